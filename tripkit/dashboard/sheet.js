// A leaf of HTML that Python wrote; presses, choices and files on it go back to Python.
function render({ model, el }) {
  el.classList.add("tk-sheet");

  function nameOf(part) {
    return part && el.contains(part) ? part.getAttribute("data-key") : null;
  }

  // What a hand holds while the leaf is written anew stays in that hand.
  function draw() {
    const held = nameOf(document.activeElement);
    const opened = new Set(
      [...el.querySelectorAll("details[data-key]")].filter((d) => d.open).map(nameOf),
    );
    el.innerHTML = model.get("html");
    for (const fold of el.querySelectorAll("details[data-key]")) {
      if (opened.has(nameOf(fold))) fold.open = true;
    }
    if (held === null) return;
    const again = [...el.querySelectorAll("[data-key]")].find((p) => nameOf(p) === held);
    if (again) again.focus({ preventScroll: true });
  }

  function onClick(event) {
    const part = event.target.closest("[data-do]");
    if (!part || !el.contains(part) || part.disabled) return;
    event.preventDefault();
    model.send({ ...part.dataset });
  }

  function onKey(event) {
    const part = event.target.closest("[data-do]");
    if (!part || part.tagName === "BUTTON") return;
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    model.send({ ...part.dataset });
  }

  async function onChange(event) {
    const part = event.target.closest("[data-take]");
    if (!part) return;
    if (part.type !== "file") {
      const value = part.type === "checkbox" ? part.checked : part.value;
      model.send({ do: part.dataset.take, ...part.dataset, value });
      return;
    }
    const files = [...part.files];
    const size = files.reduce((sum, file) => sum + file.size, 0);
    if (part.dataset.most && size > Number(part.dataset.most)) {
      model.send({ do: part.dataset.take, names: files.map((file) => file.name), size });
      part.value = "";
      return;
    }
    const contents = await Promise.all(files.map((file) => file.arrayBuffer()));
    const names = files.map((file) => file.name);
    model.send({ do: part.dataset.take, names }, undefined, contents);
    part.value = "";
  }

  function onSubmit(event) {
    const form = event.target.closest("[data-form]");
    if (!form) return;
    event.preventDefault();
    const fields = Object.fromEntries(new FormData(form).entries());
    model.send({ do: form.dataset.form, press: event.submitter?.value || "", fields });
  }

  const deeds = { click: onClick, keydown: onKey, change: onChange, submit: onSubmit };
  for (const [kind, act] of Object.entries(deeds)) el.addEventListener(kind, act);
  model.on("change:html", draw);
  draw();
  return () => {
    for (const [kind, act] of Object.entries(deeds)) el.removeEventListener(kind, act);
    model.off("change:html", draw);
  };
}

export default { render };
