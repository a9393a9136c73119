"""What every part of the page is put together from: boxes, pieces that follow the Desk, toggles."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import ipywidgets
from markupsafe import Markup

from tripkit.dashboard.desk import Desk
from tripkit.dashboard.markup import call_macro, render
from tripkit.dashboard.widgets import Sheet
from tripkit.words import page as words
from tripkit.yard.circuit import Circuit
from tripkit.yard.yard import Yard

Act = Callable[[dict[str, Any], list[Any]], None]


def make_box(name: str, *children: ipywidgets.Widget) -> ipywidgets.VBox:
    """Parts one under the other; `name` is the class, without the prefix `tk-`."""
    box = ipywidgets.VBox(children)
    box.add_class(f"tk-{name}")
    return box


def make_chapter(key: str, *children: ipywidgets.Widget) -> ipywidgets.VBox:
    """A chapter of the card: its head, what it is for, and its parts."""
    head = ipywidgets.HTML(render("chapter_head", key=key))
    head.add_class("tk-chapter-head")
    box = make_box("chapter", head, *children)
    box.add_class(f"tk-chapter-{key}")
    return box


def follow(desk: Desk, traits: Iterable[str], act: Callable[[], None], chapter: str = "") -> None:
    """Acts now and whenever one of the Desk's traits changes.

    With a `chapter`, what lies on a leaf that nobody looks at waits until the leaf is turned to.
    """
    stale = True

    def on_change(_change: Any = None) -> None:
        nonlocal stale
        stale = True
        on_turn()

    def on_turn(_change: Any = None) -> None:
        nonlocal stale
        if stale and (not chapter or desk.chapter == chapter):
            stale = False
            act()

    desk.observe(on_change, list(traits))
    if chapter:
        desk.observe(on_turn, "chapter")
    on_turn()


def make_written(
    desk: Desk, traits: Iterable[str], write: Callable[[], str], name: str, chapter: str = ""
) -> ipywidgets.HTML:
    """A piece of HTML that is written anew whenever one of the Desk's traits changes."""
    piece = ipywidgets.HTML()
    piece.add_class(f"tk-{name}")
    follow(desk, traits, lambda: piece.set_trait("value", write()), chapter)
    return piece


def make_sheet(
    desk: Desk,
    traits: Iterable[str],
    write: Callable[[], str],
    name: str,
    chapter: str = "",
    act: Act | None = None,
) -> Sheet:
    """The same with buttons and forms; what is pressed goes to `act`, else where it always goes."""
    piece = Sheet(act or act_for(desk))
    piece.add_class(f"tk-{name}")
    follow(desk, traits, lambda: piece.set_trait("html", write()), chapter)
    return piece


def when_read(desk: Desk, write: Callable[[Yard], str]) -> Callable[[], str]:
    """Writes about the yard at hand; without one there is nothing to say."""
    return lambda: "" if desk.yard is None else write(desk.yard)


def make_reading(
    desk: Desk,
    traits: Iterable[str],
    write: Callable[[Yard, Circuit], Markup],
    name: str,
    chapter: str,
) -> Sheet:
    """A sheet about the circuit that is read from; it says so while there is none."""

    def write_any() -> Markup:
        circuit = desk.diary_circuit
        if desk.yard is None or circuit is None or not desk.pair:
            return call_macro("empty", desk)
        return write(desk.yard, circuit)

    return make_sheet(desk, ("yard", "pair", "planning", *traits), write_any, name, chapter)


def make_nothing(desk: Desk, chapter: str = "") -> Sheet:
    """What a chapter of drawings says while nothing is planned."""

    def write() -> Markup:
        return Markup("") if desk.pair else call_macro("empty", desk)

    return make_sheet(desk, ("pair", "planning"), write, "nothing", chapter)


def show(widget: ipywidgets.Widget, shown: bool) -> None:
    """Shown or not there at all."""
    widget.layout.display = None if shown else "none"


def write_sides(desk: Desk, where: str) -> Markup:
    """Which of the two circuits a chapter is read from."""
    return call_macro("sides", desk, where)


def act_for(desk: Desk) -> Act:
    """What the buttons and lists of every chapter do; a chapter adds its own."""
    plain: dict[str, Callable[[], object]] = {
        "plan": desk.plan,
        "stop": desk.stop,
        "undo": desk.undo,
        "save": desk.save_circuits,
        "publish": desk.publish,
    }

    def act(message: dict[str, Any], buffers: list[Any]) -> None:
        name = str(message.get("name", ""))
        value = message.get("value")
        do = message["do"]
        if do == "side" and name in ("left", "right"):
            desk.diary_side = name
        elif do in ("left", "right"):
            desk.put(do, name or str(value))
        elif do in plain:
            plain[do]()
        elif do in ("renew", "revoke", "ring", "hush"):
            desk.change_address(do, name)
        elif do == "axis" and message.get("axis") in words.AXES:
            desk.axis = str(message["axis"])
        elif do == "pick":
            desk.picked = "" if desk.picked == name else name
        elif do == "person":
            desk.go(f"road={value}")
        elif do == "horse":
            desk.go(f"horse={value or name}")
        elif do == "done":
            desk.mark_done(name, bool(value))
        elif do == "close":
            desk.asked = None
        elif do == "figure":
            desk.ask_figure(str(message.get("side")), name)
        elif do in ("hold", "forbid", "why"):
            _act_on_outing(desk, do, message)

    return act


def _act_on_outing(desk: Desk, do: str, message: dict[str, Any]) -> None:
    fields = {**message, **(message.get("fields") or {})}
    horse, show_id = str(fields.get("horse", "")), str(fields.get("show", ""))
    if do == "why":
        desk.ask_outing(str(fields.get("side", "left")), horse, show_id)
        return
    desk.wish(lambda w: (w.hold if do == "hold" else w.forbid)(horse, show_id))
    desk.asked = None
    desk.go("change")
