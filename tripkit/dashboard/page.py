"""The page: every part is made from the Desk, follows its traits, and knows nothing else."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from typing import Any

import ipywidgets

from tripkit.dashboard import words
from tripkit.dashboard.daylist import write_daylist
from tripkit.dashboard.desk import Desk
from tripkit.dashboard.differences import write_differences, write_verdict_block
from tripkit.dashboard.figures import label_circuit, list_figures, write_goal, write_progress
from tripkit.dashboard.markup import wrap, write_fold, write_list, write_pairs, write_text
from tripkit.dashboard.widgets import DownloadButton, Strips
from tripkit.days import MONTHS
from tripkit.timeline import DAY_PX, draw_swatch, draw_timeline, place_rows, tell_days

HERE = Path(__file__).parent
ICS = "text/calendar; charset=utf-8"


def open_dashboard(
    folder: str | Path | None = None, circuits_file: str | Path | None = None
) -> ipywidgets.Widget:
    """The page of a yard folder, read and ready to be shown.

    Without arguments the folder is the one named by TRIPKIT_YARD, else `sample_calendar` beside
    the notebook; the circuits are those named by TRIPKIT_CIRCUITS, else `circuits.json` there.
    """
    chosen = folder or os.environ.get("TRIPKIT_YARD") or "sample_calendar"
    saved = circuits_file or os.environ.get("TRIPKIT_CIRCUITS") or None
    desk = Desk(chosen, saved)
    desk.open()
    return make_page(desk)


def make_page(desk: Desk) -> ipywidgets.Widget:
    """All parts of the page, one under the other."""
    look = ipywidgets.HTML(f"<style>{(HERE / 'card.css').read_text(encoding='utf-8')}</style>")
    season = _box(
        "season",
        make_contents(),
        make_verdict(desk),
        make_chooser(desk),
        make_strips(desk),
        make_differences(desk),
        make_one_horse(desk),
    )
    _follow(desk, ("pair",), lambda: _show(season, bool(desk.pair)))
    page = _box(
        "page",
        look,
        make_header(desk),
        make_faults(desk),
        season,
        make_planner(desk),
        make_cautions(),
    )
    page.add_class("tk-card")
    return page


def make_header(desk: Desk) -> ipywidgets.Widget:
    """The yard's name, its season and the day the plan is seen from."""

    def write() -> str:
        yard = desk.yard
        if yard is None:
            return wrap("h1", write_text(words.TITLE))
        said = (
            words.SEASON.format(
                first=_write_date(yard.season.first), last=_write_date(yard.season.last)
            ),
            words.HORSES_AND_SHOWS.format(horses=len(yard.horses), shows=len(yard.shows)),
            words.TODAY.format(today=_write_date(yard.day_of_planning)),
        )
        title = wrap("p", write_text(words.TITLE), "kind") + wrap(
            "h1", write_text(yard.name), dir="auto"
        )
        return wrap("div", title, "masthead") + write_list(said, "facts")

    return _written(desk, ("yard",), write, "header")


def make_contents() -> ipywidgets.Widget:
    """Where the parts of the page begin, for a small screen above all."""
    links = "".join(
        wrap("li", wrap("a", write_text(said), href=f"#{_anchor(said)}"))
        for said in (words.STRIPS, words.DIFFERENCES, words.DIARY, words.PLANNING)
    )
    contents = ipywidgets.HTML(wrap("nav", wrap("ul", links), **{"aria-label": words.CONTENTS}))
    contents.add_class("tk-contents")
    return contents


def make_verdict(desk: Desk) -> ipywidgets.Widget:
    """What is gained and what is paid when the right circuit is chosen instead of the left."""

    def write() -> str:
        same = bool(desk.pair) and desk.pair[0] is desk.pair[1]
        return write_verdict_block(desk.comparison, same)

    return _written(desk, ("pair",), write, "verdict")


def make_chooser(desk: Desk) -> ipywidgets.Widget:
    """Two lists of circuits, each with the figures of the one that is chosen."""
    return _box("chooser", _make_choice(desk, "left"), _make_choice(desk, "right"))


def make_strips(desk: Desk) -> ipywidgets.Widget:
    """Both circuits over the same weeks, with a key to the forms."""
    strips = Strips(
        desk.refresh,
        label=words.STRIPS_LABEL,
        hint=words.STRIPS_READOUT,
        hint_touch=words.STRIPS_TOUCH,
        day_px=DAY_PX,
    )

    def draw() -> None:
        if desk.yard is None or not desk.pair:
            strips.svg = ""
            return
        left, right = desk.pair
        today = (desk.yard.day_of_planning - desk.yard.season.first).days
        with strips.hold_sync():
            strips.left, strips.right = left.name, right.name
            strips.today_index = today if desk.yard.day_of_planning in desk.yard.season else -1
            strips.rows = [
                {
                    "horse": row.horse,
                    "top": row.top,
                    "middle": row.middle,
                    "height": row.height,
                    "left": list(tell_days(desk.yard, left, row.horse)),
                    "right": list(tell_days(desk.yard, right, row.horse)),
                }
                for row in place_rows(desk.yard)
            ]
            strips.svg = draw_timeline(desk.yard, left, right, names=False, titles=False)

    def write_head() -> str:
        if not desk.pair:
            return ""
        left, right = desk.pair
        hint = words.STRIPS_HINT.format(left=left.name, right=right.name)
        return _head(words.STRIPS) + wrap("p", write_text(hint), "hint")

    _follow(desk, ("pair",), draw)
    return _box("strips-part", _written(desk, ("pair",), write_head, "head"), strips, make_key())


def make_key() -> ipywidgets.Widget:
    """What each form in the strips means."""
    items = "".join(
        wrap("li", draw_swatch(kind) + wrap("span", write_text(said)))
        for kind, said in words.KEY_WORDS
    )
    key = ipywidgets.HTML(
        wrap("h3", write_text(words.KEY), "key-head") + wrap("ul", items, "key-list")
    )
    key.add_class("tk-key")
    return key


def make_differences(desk: Desk) -> ipywidgets.Widget:
    """The tables of what differs between the two circuits."""

    def write() -> str:
        tables = write_differences(desk.comparison)
        return _head(words.DIFFERENCES) + tables if tables else ""

    return _written(desk, ("pair",), write, "differences")


def make_one_horse(desk: Desk) -> ipywidgets.Widget:
    """One horse's days week by week, and its calendar as a file."""
    horse, fill_horses = _make_list(words.HORSE, lambda name: desk.set_trait("horse", name))
    side, fill_sides = _make_list(words.DIARY_OF, lambda name: desk.set_trait("diary_side", name))
    button = DownloadButton(desk.build_feed, ICS, words.DOWNLOAD_FAILED)

    def fill() -> None:
        names = [h.horse for h in desk.yard.horses] if desk.yard else []
        fill_horses([(name, name) for name in names], desk.horse)
        pair = desk.pair
        sides = [(pair[0].name, "left"), (pair[1].name, "right")] if pair else []
        fill_sides(sides, desk.diary_side)
        button.label = words.DOWNLOAD.format(horse=desk.horse)
        button.ready = bool(pair and desk.horse)

    def write() -> str:
        circuit = desk.diary_circuit
        if desk.yard is None or circuit is None or not desk.horse:
            return ""
        return write_daylist(desk.yard, circuit, desk.horse)

    _follow(desk, ("yard", "pair", "horse", "diary_side"), fill)
    head = ipywidgets.HTML(_head(words.DIARY))
    hint = _written(
        desk,
        ("pair", "diary_side"),
        lambda: (
            write_text(words.DOWNLOAD_HINT.format(circuit=desk.diary_circuit.name))
            if desk.diary_circuit
            else ""
        ),
        "hint",
    )
    return _box(
        "horse-part",
        head,
        _box("controls", horse, side, button),
        hint,
        _written(desk, ("yard", "pair", "horse", "diary_side"), write, "diary"),
    )


def make_planner(desk: Desk) -> ipywidgets.Widget:
    """Plan, stop, and what the planner says meanwhile."""
    plan = ipywidgets.Button(description=words.PLAN)
    stop = ipywidgets.Button(description=words.STOP)
    plan.on_click(lambda _: desk.plan())
    stop.on_click(lambda _: desk.stop())

    def set_buttons() -> None:
        plan.description = words.PLAN if desk.pair else words.PLAN_FIRST
        plan.disabled = desk.planning or desk.yard is None
        _show(stop, desk.planning)

    _follow(desk, ("planning", "pair", "yard"), set_buttons)
    part = _box(
        "planner",
        ipywidgets.HTML(_head(words.PLANNING)),
        _written(desk, ("notice", "advice", "planning"), lambda: _write_notice(desk), "notice"),
        _box("controls", plan, stop),
        _written(desk, ("progress", "planning"), lambda: _write_progress(desk), "progress"),
        _written(desk, ("circuits",), lambda: _write_without_plan(desk), "without-plan"),
    )
    _follow(desk, ("yard",), lambda: _show(part, desk.yard is not None))
    return part


def make_faults(desk: Desk) -> ipywidgets.Widget:
    """What is wrong in the yard folder, row by row, and a button to read it again."""
    again = ipywidgets.Button(description=words.READ_AGAIN)
    again.on_click(lambda _: desk.open_again())

    def write() -> str:
        if not desk.errors:
            return ""
        number = len(desk.errors)
        count = words.CORRECTION if number == 1 else words.CORRECTIONS.format(count=number)
        return (
            wrap("h2", write_text(words.YARD_WRONG.format(count=count)))
            + wrap("p", write_text(words.YARD_WRONG_DO.format(folder=desk.folder.name)), "hint")
            + write_list(desk.errors, "faults-list")
        )

    part = _box("faults", _written(desk, ("errors",), write, "faults-said"), again)
    _follow(desk, ("errors",), lambda: _show(part, bool(desk.errors)))
    return part


def make_cautions() -> ipywidgets.Widget:
    """What the card does not decide."""
    cautions = ipywidgets.HTML(
        wrap("h3", write_text(words.CAUTIONS_TITLE)) + write_list(words.CAUTIONS)
    )
    cautions.add_class("tk-cautions")
    return cautions


def _make_choice(desk: Desk, side: str) -> ipywidgets.Widget:
    title = words.ABOVE if side == "left" else words.BELOW
    choice, fill_list = _make_list(title, lambda name: desk.set_trait(side, name))

    def fill() -> None:
        if desk.yard is None:
            return
        options = [(label_circuit(c, desk.yard), c.name) for c in desk.circuits if c.exists]
        fill_list(options, getattr(desk, side))

    def write() -> str:
        circuit = desk.find_circuit(getattr(desk, side))
        if desk.yard is None or circuit is None:
            return ""
        aims = ", ".join(circuit.totals.aims_met) or words.NO_FIGURE
        figures = (*list_figures(circuit, desk.yard), (words.AIMS, aims))
        return write_pairs(figures, "figures")

    _follow(desk, ("circuits", side), fill)
    box = _box(f"choice-{side}", choice, _written(desk, ("pair",), write, "choice-said"))
    box.add_class("tk-choice")
    return box


def _write_notice(desk: Desk) -> str:
    said = desk.notice or ("" if desk.circuits else words.NOT_PLANNED)
    working = ' tk-working" aria-busy="true' if desk.planning else ""
    told = f'<p class="tk-said{working}" role="status">{write_text(said)}</p>'
    return told + (wrap("p", write_text(desk.advice), "advice") if desk.advice else "")


def _write_progress(desk: Desk) -> str:
    if desk.yard is None or not desk.progress:
        return ""
    lines = []
    for step in desk.progress:
        goal = wrap("span", write_text(write_goal(step.goal)), "what-for")
        told = write_progress(step.goal, step.objective, step.bound, desk.yard)
        lines.append(wrap("li", goal + wrap("span", write_text(told), "how-far")))
    steps = wrap("ol", "".join(lines), "steps")
    if not desk.planning:
        return write_fold(words.PROGRESS_DONE, steps, "fold-steps", is_open=False)
    passed = max(step.seconds for step in desk.progress)
    clock = words.PROGRESS_ALL.format(seconds=f"{passed:.0f}", limit=f"{desk.seconds:.0f}")
    return wrap("p", write_text(clock), "clock") + steps


def _write_without_plan(desk: Desk) -> str:
    parts = []
    for circuit in desk.circuits:
        if not circuit.exists:
            told = words.WITHOUT_PLAN.format(
                goal=write_goal(circuit.goal),
                status=words.STATUS_IN_WORDS.get(circuit.status, circuit.status),
            )
            parts.append(wrap("p", write_text(told)) + write_list(circuit.reasons))
    return "".join(parts)


def _anchor(said: str) -> str:
    return "tk-" + said.lower().replace(" ", "-")


def _head(said: str) -> str:
    return wrap("h2", write_text(said), id=_anchor(said))


def _write_date(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def _box(name: str, *children: ipywidgets.Widget) -> ipywidgets.VBox:
    box = ipywidgets.VBox(children)
    box.add_class(f"tk-{name}")
    return box


def _written(
    desk: Desk, traits: Iterable[str], write: Callable[[], str], name: str
) -> ipywidgets.HTML:
    """A piece of HTML that is written anew whenever one of the Desk's traits changes."""
    piece = ipywidgets.HTML()
    piece.add_class(f"tk-{name}")
    _follow(desk, traits, lambda: piece.set_trait("value", write()))
    return piece


def _follow(desk: Desk, traits: Iterable[str], act: Callable[[], None]) -> None:
    desk.observe(lambda _change: act(), list(traits))
    act()


def _make_list(
    title: str, take: Callable[[str], None]
) -> tuple[ipywidgets.Dropdown, Callable[[list[tuple[str, str]], str], None]]:
    """A list to choose from, and the function that fills it.

    Only what the visitor chooses is taken: while it is being filled, the list passes through
    values that nobody chose.
    """
    choice = ipywidgets.Dropdown(description=title)
    filling = False

    def fill(options: list[tuple[str, str]], value: str) -> None:
        nonlocal filling
        filling = True
        try:
            if list(choice.options) != options:
                choice.options = options
            if value in [key for _, key in options]:
                choice.value = value
        finally:
            filling = False

    def on_value(change: Any) -> None:
        if not filling and change["new"] is not None:
            take(change["new"])

    choice.observe(on_value, "value")
    return choice, fill


def _show(widget: ipywidgets.Widget, shown: bool) -> None:
    widget.layout.display = None if shown else "none"
