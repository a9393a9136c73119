// The route map: shows the SVG that Python drew for this width and tells the journey under pointer or keys.
const STEP = 20;
const NARROWEST = 300;
const WIDEST = 1400;
const LATE_MS = 12000;

function make(tag, name, parent, words) {
  const made = document.createElement(tag);
  made.className = name;
  if (words !== undefined) {
    made.textContent = words;
    made.dir = "auto";
  }
  parent.appendChild(made);
  return made;
}

function render({ model, el }) {
  el.classList.add("tk-routes");
  const frame = make("div", "tk-routes-frame", el);
  const readout = make("div", "tk-routes-readout", el);
  frame.tabIndex = 0;
  frame.setAttribute("role", "group");
  frame.setAttribute("aria-label", model.get("label"));
  readout.setAttribute("aria-live", "polite");
  const touch = matchMedia("(pointer: coarse)");
  let at = -1;
  let patience = 0;
  let late = false;

  function find(number) {
    return frame.querySelector(`.tk-map-way[data-journey="${number}"]`);
  }

  function draw() {
    const svg = model.get("svg");
    frame.innerHTML = svg;
    frame.hidden = !svg;
    const journeys = model.get("journeys");
    for (const way of frame.querySelectorAll(".tk-map-way")) {
      // The frame takes the focus for all of them, and the readout tells what the title would.
      way.setAttribute("tabindex", "-1");
      way.querySelector("title").remove();
      const journey = journeys[Number(way.dataset.journey)];
      if (journey) way.setAttribute("aria-label", journey.title);
    }
    if (at >= 0 && at < journeys.length) tell(at);
    else rest();
  }

  function rest() {
    at = -1;
    readout.classList.remove("tk-told");
    readout.replaceChildren();
    const hint = touch.matches ? "hint_touch" : "hint";
    const waiting = late ? "late" : "waiting";
    make("p", "", readout, model.get("said") || model.get(model.get("svg") ? hint : waiting));
  }

  function tell(number) {
    const journey = model.get("journeys")[number];
    if (!journey) return;
    at = number;
    for (const way of frame.querySelectorAll(".tk-told")) way.classList.remove("tk-told");
    const way = find(number);
    if (way) way.classList.add("tk-told");
    readout.classList.add("tk-told");
    readout.replaceChildren();
    make("p", "tk-routes-title", readout, journey.title);
    const sides = make("div", "tk-routes-sides", readout);
    for (const side of journey.sides) {
      const part = make("div", `tk-routes-side tk-routes-${side.side}`, sides);
      make("p", "tk-routes-name", part, side.name);
      const list = make("ul", "", part);
      for (const leg of side.legs) make("li", "", list, leg);
    }
  }

  function onPoint(event) {
    const way = event.target.closest && event.target.closest(".tk-map-way");
    if (way && Number(way.dataset.journey) !== at) tell(Number(way.dataset.journey));
  }

  function onKey(event) {
    const last = model.get("journeys").length - 1;
    if (last < 0) return;
    let next = at;
    if (event.key === "ArrowRight" || event.key === "ArrowDown") next = at >= last ? 0 : at + 1;
    else if (event.key === "ArrowLeft" || event.key === "ArrowUp") next = at <= 0 ? last : at - 1;
    else if (event.key === "Home") next = 0;
    else if (event.key === "End") next = last;
    else if (event.key === "Escape") {
      rest();
      for (const way of frame.querySelectorAll(".tk-told")) way.classList.remove("tk-told");
      return;
    } else return;
    event.preventDefault();
    tell(next);
  }

  function onFocus() {
    if (at < 0 && frame.matches(":focus-visible")) tell(0);
  }

  function onNew() {
    at = -1;
    draw();
  }

  function fit() {
    const room = Math.max(NARROWEST, Math.min(WIDEST, el.clientWidth));
    const width = Math.floor(room / STEP) * STEP;
    if (!el.clientWidth || width === model.get("width")) return;
    model.set("width", width);
    model.save_changes();
    // Who draws the map may be gone; a wait without an end would not say so.
    clearTimeout(patience);
    late = false;
    patience = setTimeout(() => {
      late = true;
      if (!model.get("svg")) rest();
    }, LATE_MS);
  }

  const watch = new ResizeObserver(fit);
  watch.observe(el);
  frame.addEventListener("pointerover", onPoint);
  frame.addEventListener("click", onPoint);
  frame.addEventListener("keydown", onKey);
  frame.addEventListener("focus", onFocus);
  model.on("change:svg", draw);
  model.on("change:said", draw);
  model.on("change:journeys", onNew);
  draw();
  fit();
  return () => {
    watch.disconnect();
    clearTimeout(patience);
    frame.removeEventListener("pointerover", onPoint);
    frame.removeEventListener("click", onPoint);
    frame.removeEventListener("keydown", onKey);
    frame.removeEventListener("focus", onFocus);
    model.off("change:svg", draw);
    model.off("change:said", draw);
    model.off("change:journeys", onNew);
  };
}

export default { render };
