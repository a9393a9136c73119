// A button that asks Python for a file when it is pressed, and hands it to the browser.
function render({ model, el }) {
  el.classList.add("tk-download");
  const button = document.createElement("button");
  button.type = "button";
  button.className = "tk-button";
  const said = document.createElement("span");
  said.className = "tk-download-said";
  said.setAttribute("role", "status");
  el.append(button, said);

  function label() {
    button.textContent = model.get("label");
    button.disabled = !model.get("ready");
    said.textContent = "";
  }

  function ask() {
    said.textContent = "";
    model.send({ kind: "build" });
  }

  function take(message, buffers) {
    if (message.kind === "failed") {
      said.textContent = message.said;
      return;
    }
    if (message.kind !== "file") return;
    const blob = new Blob([buffers[0]], { type: message.mime });
    const link = document.createElement("a");
    link.href = URL.createObjectURL(blob);
    link.download = message.name;
    document.body.appendChild(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  }

  button.addEventListener("click", ask);
  model.on("change:label", label);
  model.on("change:ready", label);
  model.on("msg:custom", take);
  label();
  return () => {
    button.removeEventListener("click", ask);
    model.off("change:label", label);
    model.off("change:ready", label);
    model.off("msg:custom", take);
  };
}

export default { render };
