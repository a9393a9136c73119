// A leaf of HTML that Python wrote; presses, choices and files on it go back to Python.
function render({ model, el }) {
  el.classList.add("tk-sheet");
  // Where the hand was when this leaf came up as an answer; it goes back there afterwards.
  let asker = null;
  let drawn = 0;

  // A clock goes on between two answers of Python.
  function tick() {
    const passed = (Date.now() - drawn) / 1000;
    for (const clock of el.querySelectorAll("[data-ticks]")) {
      clock.textContent = Math.floor(Number(clock.dataset.ticks) + passed);
    }
  }

  function nameOf(part) {
    return part && el.contains(part) ? part.getAttribute("data-key") : null;
  }

  function find(key) {
    return [...document.querySelectorAll("[data-key]")].find(
      (part) => part.getAttribute("data-key") === key && part.getClientRects().length,
    );
  }

  // What a hand holds while the leaf is written anew stays in that hand.
  function draw() {
    const hand = document.activeElement;
    const question = el.contains(hand) && hand.closest(".tk-ask-back");
    const held = question ? question.dataset.of : nameOf(hand);
    const about = held === null ? "" : hand.dataset.name;
    const opened = new Set(
      [...el.querySelectorAll("details[data-key]")].filter((d) => d.open).map(nameOf),
    );
    const asking = [...el.querySelectorAll(".tk-ask-back")].map((asked) => ({
      key: asked.dataset.of,
      at: asked === hand ? 0 : [...asked.children].indexOf(hand),
    }));
    el.innerHTML = model.get("html");
    drawn = Date.now();
    for (const fold of el.querySelectorAll("details[data-key]")) {
      if (opened.has(nameOf(fold))) fold.open = true;
    }
    if (asking.filter(askAgain).some(({ at }) => at >= 0)) return;
    if (el.querySelector("[data-takes-focus]") || asker) answer(hand, held !== null);
    else if (held !== null) holdAgain(held, about);
  }

  // A button that is gone leaves the hand to its neighbour, else to what is said of the press.
  function holdAgain(held, about) {
    const parts = [...el.querySelectorAll("[data-key]")];
    const again =
      parts.find((part) => nameOf(part) === held) ||
      (about && parts.find((part) => part.dataset.name === about)) ||
      el.querySelector("[role=status]");
    if (!again) return;
    if (!again.matches("a, button, input, select, summary, [tabindex]")) again.tabIndex = -1;
    again.focus({ preventScroll: true });
  }

  // Who asks by keyboard is led to the answer; who puts it away is led back.
  function answer(hand, inside) {
    const words = el.querySelector("[data-takes-focus]");
    if (words) {
      if (inside || hand.matches(":focus-visible")) requestAnimationFrame(() => take(words, 20));
      if (!inside) asker = hand;
      return;
    }
    const back = asker.isConnected ? asker : find(asker.getAttribute("data-key"));
    if (inside && back) back.focus({ preventScroll: true });
    asker = null;
  }

  // A part that does not show yet takes no focus: a busy page is asked again.
  function take(words, times) {
    words.focus();
    if (document.activeElement === words || !words.isConnected || !times) return;
    requestAnimationFrame(() => take(words, times - 1));
  }

  function press(part) {
    const { ask, yes, no, ...said } = part.dataset;
    if (ask) askBack(part).focus({ preventScroll: true });
    else model.send(said);
  }

  // A question that nobody has answered stays asked, and in the hand where it was there.
  function askAgain({ key, at }) {
    const part = [...el.querySelectorAll("[data-ask]")].find((p) => nameOf(p) === key);
    if (!part || part.disabled) return false;
    const asked = askBack(part);
    if (at >= 0) (at ? asked.children[at] : asked).focus({ preventScroll: true });
    return true;
  }

  // What cannot be taken back asks once more, in its own place.
  function askBack(part) {
    const { ask, yes, no, ...said } = part.dataset;
    const asked = document.createElement("span");
    asked.className = "tk-ask-back";
    asked.dataset.of = nameOf(part);
    asked.tabIndex = -1;
    asked.setAttribute("role", "group");
    asked.setAttribute("aria-label", ask);
    const words = document.createElement("span");
    words.textContent = ask;
    words.dir = "auto";
    const sure = document.createElement("button");
    sure.className = "tk-button";
    sure.textContent = yes;
    const back = document.createElement("button");
    back.className = "tk-small-button";
    back.textContent = no;
    sure.type = back.type = "button";
    asked.append(words, sure, back);
    sure.addEventListener("click", () => {
      leave(asked, part);
      model.send(said);
    });
    back.addEventListener("click", () => leave(asked, part));
    asked.addEventListener("keydown", (event) => {
      if (event.key !== "Escape") return;
      event.preventDefault();
      leave(asked, part);
    });
    part.replaceWith(asked);
    return asked;
  }

  function leave(asked, part) {
    asked.replaceWith(part);
    part.focus({ preventScroll: true });
  }

  // Over plain http, but for this machine, a browser keeps its clipboard to itself: the old way
  // of a marked text is tried, and where that fails the address is left marked.
  async function copy(part) {
    const text = part.dataset.copy;
    const said = part.parentElement.querySelector("[role=status]");
    let copied = false;
    try {
      await navigator.clipboard.writeText(text);
      copied = true;
    } catch {
      const shown = [...el.querySelectorAll(".tk-address")].find((p) => p.textContent === text);
      const marked = document.createRange();
      if (shown) marked.selectNodeContents(shown);
      getSelection().removeAllRanges();
      getSelection().addRange(marked);
      copied = Boolean(shown) && document.execCommand("copy");
      if (copied) getSelection().removeAllRanges();
    }
    // The same words once more are only heard where something changed.
    said.textContent = "";
    setTimeout(() => (said.textContent = copied ? part.dataset.copied : part.dataset.refused), 50);
  }

  function onClick(event) {
    const copier = event.target.closest("[data-copy]");
    if (copier && el.contains(copier)) copy(copier);
    const part = event.target.closest("[data-do]");
    if (!part || !el.contains(part) || part.disabled) return;
    event.preventDefault();
    press(part);
  }

  function onKey(event) {
    const part = event.target.closest("[data-do]");
    if (!part || part.tagName === "BUTTON") return;
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    press(part);
  }

  function onEscape(event) {
    if (event.key !== "Escape" || event.defaultPrevented) return;
    el.querySelector("[data-escape]")?.click();
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
  document.addEventListener("keydown", onEscape);
  model.on("change:html", draw);
  const beat = setInterval(tick, 1000);
  draw();
  return () => {
    clearInterval(beat);
    document.removeEventListener("keydown", onEscape);
    for (const [kind, act] of Object.entries(deeds)) el.removeEventListener(kind, act);
    model.off("change:html", draw);
  };
}

export default { render };
