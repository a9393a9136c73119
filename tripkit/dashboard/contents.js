// The contents line: one chapter of the card lies open, and the address of the page names it.
const BEAT_MS = 60000;

// Every view of the line hears the order to print; one carries it out.
let printed = null;

function render({ model, el }) {
  el.classList.add("tk-contents");
  const nav = document.createElement("nav");
  nav.setAttribute("aria-label", model.get("label"));
  const opener = document.createElement("button");
  opener.type = "button";
  opener.className = "tk-contents-opener";
  opener.setAttribute("aria-expanded", "false");
  opener.setAttribute("aria-controls", "tk-contents-list");
  const list = document.createElement("ul");
  list.id = "tk-contents-list";
  nav.append(opener, list);
  el.append(nav);
  let follows = false;
  // The address asked for last, and the chapter Python has yet to answer for it.
  let asked = model.get("address");
  let awaited = "";

  // An address that was cut short may hold half a letter; then it names nothing.
  function readAddress() {
    try {
      return decodeURIComponent(location.hash.slice(1));
    } catch {
      return "";
    }
  }

  function findCard() {
    return el.closest(".tk-card") || document.querySelector(".tk-card");
  }

  function build() {
    list.replaceChildren();
    for (const { key, title } of model.get("chapters")) {
      const item = document.createElement("li");
      const link = document.createElement("a");
      link.href = "#" + key;
      link.textContent = title;
      item.append(link);
      list.append(item);
    }
    write();
  }

  function write() {
    if (isLate()) return;
    awaited = "";
    const open = model.get("chapter");
    for (const link of list.querySelectorAll("a")) {
      if (link.hash !== "#" + open) link.removeAttribute("aria-current");
      else {
        link.setAttribute("aria-current", "page");
        opener.textContent = link.textContent;
      }
    }
    turn(open);
  }

  // An answer to an earlier question must not turn the leaf back.
  function isLate() {
    return awaited && model.get("chapter") !== awaited;
  }

  function turn(chapter) {
    const card = findCard();
    if (!card) {
      requestAnimationFrame(() => turn(chapter));
      return;
    }
    const turned = card.dataset.chapter && card.dataset.chapter !== chapter;
    // What the hand held on a leaf that is turned, or on the slip, is gone with it.
    const hand = document.activeElement;
    const loses = card.contains(hand) && hand.closest(".tk-chapter, .tk-slip");
    card.dataset.chapter = chapter;
    // Words that came late must not shut a list that was opened meanwhile.
    if (!turned) return;
    // Whoever prints another leaf does not want the whole card.
    card.querySelector(".tk-print")?.remove();
    close();
    lead(card, chapter, follows || loses);
    follows = false;
  }

  // To the head of what was opened; whoever followed a link goes on reading there.
  function lead(card, chapter, takesFocus) {
    // The bar sticks, so that its own place says nothing of where it stands unscrolled.
    const masthead = card.querySelector(".tk-header");
    const top = masthead ? masthead.getBoundingClientRect().bottom + scrollY : 0;
    if (scrollY > top) scrollTo(0, top);
    const head = card.querySelector(`.tk-chapter-${CSS.escape(chapter)} h2`);
    if (takesFocus && head) {
      head.tabIndex = -1;
      head.focus({ preventScroll: true });
    }
  }

  function close() {
    opener.setAttribute("aria-expanded", "false");
    nav.classList.remove("tk-open");
  }

  function onOpener() {
    const open = opener.getAttribute("aria-expanded") !== "true";
    opener.setAttribute("aria-expanded", String(open));
    nav.classList.toggle("tk-open", open);
  }

  function onKey(event) {
    if (event.key !== "Escape" || opener.getAttribute("aria-expanded") !== "true") return;
    event.preventDefault();
    close();
    opener.focus();
  }

  function onHash() {
    const address = readAddress();
    if (!address || address === asked) return;
    asked = address;
    const chapter = address.split("=")[0];
    // Turning the leaf waits for nobody; what stands on it is then written by Python.
    if (model.get("chapters").some((c) => c.key === chapter)) {
      follows = true;
      if (awaited || chapter !== model.get("chapter")) awaited = chapter;
      turn(chapter);
      // Another page of the chapter that lies open already.
      if (follows && findCard()) lead(findCard(), chapter, true);
      follows = false;
    }
    model.send({ do: "go", address });
  }

  function onAddress() {
    if (isLate()) return;
    asked = model.get("address");
    const address = "#" + encodeURIComponent(model.get("address")).replace("%3D", "=");
    if (readAddress() !== model.get("address")) {
      history.pushState(null, "", address);
    }
  }

  // Wishes and marks outlive a page that is loaded again, in this tab only.
  function onMemo() {
    try {
      sessionStorage.setItem("tripkit-" + model.get("yard"), model.get("memo"));
    } catch {
      // A browser may refuse to keep anything; then nothing is kept.
    }
  }

  function recall() {
    try {
      return sessionStorage.getItem("tripkit-" + model.get("yard")) || "";
    } catch {
      return "";
    }
  }

  // The card on paper lies beside the contents line, unseen until something prints.
  function onPrint(message) {
    if (message.kind !== "print" || message === printed) return;
    printed = message;
    findCard().querySelector(".tk-print")?.remove();
    const paper = document.createElement("div");
    paper.className = "tk-print";
    paper.innerHTML = message.html;
    findCard().append(paper);
    window.print();
  }

  opener.addEventListener("click", onOpener);
  list.addEventListener("click", close);
  nav.addEventListener("keydown", onKey);
  addEventListener("hashchange", onHash);
  addEventListener("popstate", onHash);
  model.on("change:chapter", write);
  model.on("change:chapters", build);
  model.on("change:address", onAddress);
  model.on("change:memo", onMemo);
  model.on("msg:custom", onPrint);
  // A kernel that hears nothing is ended after a while; an open page is no reason to lose it.
  const beat = setInterval(() => model.send({ do: "beat" }), BEAT_MS);
  build();
  const address = readAddress();
  model.send({ do: "shown", address, memo: recall() });
  return () => {
    clearInterval(beat);
    opener.removeEventListener("click", onOpener);
    list.removeEventListener("click", close);
    nav.removeEventListener("keydown", onKey);
    removeEventListener("hashchange", onHash);
    removeEventListener("popstate", onHash);
    model.off("change:chapter", write);
    model.off("change:chapters", build);
    model.off("change:address", onAddress);
    model.off("change:memo", onMemo);
    model.off("msg:custom", onPrint);
  };
}

export default { render };
