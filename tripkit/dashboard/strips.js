// The season strips: shows the SVG that Python drew and tells the day under pointer or keys.
const SVG = "http://www.w3.org/2000/svg";

function make(tag, name, parent) {
  const made = document.createElement(tag);
  made.className = name;
  parent.appendChild(made);
  return made;
}

function render({ model, el }) {
  el.classList.add("tk-strips");
  const frame = make("div", "tk-strips-frame", el);
  const names = make("div", "tk-strips-names", frame);
  const scroll = make("div", "tk-strips-scroll", frame);
  const readout = make("p", "tk-strips-readout", el);
  scroll.tabIndex = 0;
  scroll.setAttribute("role", "group");
  scroll.setAttribute("aria-label", model.get("label"));
  readout.setAttribute("aria-live", "polite");
  const touch = matchMedia("(pointer: coarse)");
  let at = null;
  let cursor = null;

  function draw() {
    const svg = model.get("svg");
    scroll.innerHTML = svg;
    names.replaceChildren();
    frame.hidden = !svg;
    readout.hidden = !svg;
    readout.textContent = model.get(touch.matches ? "hint_touch" : "hint");
    readout.classList.remove("tk-told");
    at = null;
    const picture = scroll.querySelector("svg");
    if (!picture) return;
    const high = Number(picture.getAttribute("height"));
    names.style.height = high + "px";
    for (const row of model.get("rows")) {
      const name = make("span", "tk-strips-name", names);
      // Shares of the whole, as paper draws the strips smaller than the window does.
      name.style.top = (100 * row.top) / high + "%";
      name.style.height = (100 * row.height) / high + "%";
      const words = make("span", "tk-strips-word", name);
      words.textContent = row.horse;
      words.dir = "auto";
      name.title = row.horse;
    }
    cursor = document.createElementNS(SVG, "rect");
    cursor.setAttribute("class", "tk-cursor");
    cursor.setAttribute("visibility", "hidden");
    picture.appendChild(cursor);
    const today = model.get("today_index");
    if (today > 0) scroll.scrollLeft = Math.max(0, today * model.get("day_px") - 120);
  }

  function tell(next, follow) {
    const rows = model.get("rows");
    const px = model.get("day_px");
    if (!rows.length || !cursor) return;
    const row = rows[Math.max(0, Math.min(rows.length - 1, next.row))];
    const days = row[next.side];
    const day = Math.max(0, Math.min(days.length - 1, next.day));
    at = { row: rows.indexOf(row), side: next.side, day };
    const half = row.height / 2 - 4;
    cursor.setAttribute("x", day * px);
    cursor.setAttribute("width", px);
    cursor.setAttribute("y", next.side === "left" ? row.middle - half : row.middle);
    cursor.setAttribute("height", half);
    cursor.setAttribute("visibility", "visible");
    readout.replaceChildren();
    readout.classList.add("tk-told");
    const who = make("b", "", readout);
    who.textContent = row.horse;
    who.dir = "auto";
    const rest = next.side === "left" ? model.get("left") : model.get("right");
    readout.append(` (${rest}) ${model.get("days")[day]}: ${model.get("told")[days[day]]}`);
    if (follow) {
      const x = day * px;
      if (x < scroll.scrollLeft + px) scroll.scrollLeft = Math.max(0, x - 4 * px);
      const edge = scroll.scrollLeft + scroll.clientWidth;
      if (x > edge - 2 * px) scroll.scrollLeft = x - scroll.clientWidth + 6 * px;
    }
  }

  function onPoint(event) {
    const picture = scroll.querySelector("svg");
    if (!picture) return;
    const box = picture.getBoundingClientRect();
    const x = event.clientX - box.left;
    const y = event.clientY - box.top;
    const rows = model.get("rows");
    const row = rows.findIndex((r) => y >= r.top && y < r.top + r.height);
    if (row < 0) return;
    const side = y < rows[row].middle ? "left" : "right";
    tell({ row, side, day: Math.floor(x / model.get("day_px")) }, false);
  }

  function onKey(event) {
    const now = at || { row: 0, side: "left", day: Math.max(0, model.get("today_index")) };
    const next = { ...now };
    if (event.key === "ArrowRight") next.day += 1;
    else if (event.key === "ArrowLeft") next.day -= 1;
    else if (event.key === "Home") next.day = 0;
    else if (event.key === "End") next.day = Infinity;
    else if (event.key === "ArrowDown") {
      if (now.side === "left") next.side = "right";
      else if (now.row < model.get("rows").length - 1) {
        next.row += 1;
        next.side = "left";
      }
    } else if (event.key === "ArrowUp") {
      if (now.side === "right") next.side = "left";
      else if (now.row > 0) {
        next.row -= 1;
        next.side = "right";
      }
    } else if ((event.key === "Enter" || event.key === " ") && at) {
      event.preventDefault();
      ask();
      return;
    } else return;
    event.preventDefault();
    tell(at ? next : now, true);
  }

  // A day is told at once; pressing it asks Python for the rules and rows behind it.
  function ask() {
    if (!at) return;
    const row = model.get("rows")[at.row];
    model.send({ do: "ask", horse: row.horse, side: at.side, day: at.day });
  }

  function onClick(event) {
    onPoint(event);
    ask();
  }

  scroll.addEventListener("pointermove", onPoint);
  scroll.addEventListener("click", onClick);
  scroll.addEventListener("keydown", onKey);
  model.on("change:svg", draw);
  draw();
  return () => {
    scroll.removeEventListener("pointermove", onPoint);
    scroll.removeEventListener("click", onClick);
    scroll.removeEventListener("keydown", onKey);
    model.off("change:svg", draw);
  };
}

export default { render };
