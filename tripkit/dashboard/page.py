"""The page: chapters of a season card, every one made from the Desk; one lies open at a time."""

from __future__ import annotations

import os
from datetime import date
from itertools import chain
from pathlib import Path
from typing import Any

import ipywidgets
from markupsafe import Markup

from tripkit.dashboard.chapters import (
    is_first_planning,
    make_all_circuits,
    make_calendars,
    make_change,
    make_closings,
    make_differences,
    make_handbook,
    make_map,
    make_one_horse,
    make_papers,
    make_road_days,
    write_steps,
)
from tripkit.dashboard.desk import Desk
from tripkit.dashboard.differences import write_verdict_block
from tripkit.dashboard.figures import (
    label_circuit,
    list_figures,
    write_asked_pairs,
    write_dropped,
)
from tripkit.dashboard.filespart import make_files
from tripkit.dashboard.markup import render
from tripkit.dashboard.parts import (
    follow,
    make_box,
    make_chapter,
    make_nothing,
    make_sheet,
    make_written,
    show,
    when_read,
)
from tripkit.dashboard.slip import write_slip
from tripkit.dashboard.widgets import Contents, Strips
from tripkit.explaining.reasons import TODAY_WORDS
from tripkit.pictures.timeline import DAY_PX, draw_half, join_halves, place_rows
from tripkit.pictures.timeline_forms import draw_swatch
from tripkit.words import page as words
from tripkit.words.days import name_rules, tell_days
from tripkit.words.formats import write_date, write_day
from tripkit.yard.circuit import Circuit
from tripkit.yard.yard import Yard

HERE = Path(__file__).parent

# A circuit's side of the strips: each row drawn, and what each of its days tells.
Half = tuple[tuple[str, ...], list[list[str]]]


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
    """Header, contents line, the chapters, and what the card does not decide."""
    contents = make_contents(desk)
    chapters = make_box(
        "season",
        make_two_circuits(desk),
        make_all_circuits(desk),
        make_differences(desk),
        make_map(desk),
        make_road_days(desk),
        make_one_horse(desk),
        make_closings(desk),
        make_papers(desk),
        make_change(desk),
        make_calendars(desk),
        make_files(desk, contents),
        make_handbook(desk),
    )
    follow(desk, ("yard",), lambda: show(chapters, desk.yard is not None))
    follow(desk, ("yard",), lambda: show(contents, desk.yard is not None))
    page = make_box(
        "page",
        _make_look(),
        make_header(desk),
        contents,
        make_faults(desk),
        make_status(desk),
        chapters,
        make_slip(desk),
        make_cautions(),
    )
    page.add_class("tk-card")
    return page


def _make_look() -> ipywidgets.Widget:
    """The style sheet, and which chapter is hidden while another lies open."""
    css = (HERE / "card.css").read_text(encoding="utf-8")
    look = ipywidgets.HTML(render("look", css=Markup(css)))
    look.add_class("tk-look")
    return look


def make_header(desk: Desk) -> ipywidgets.Widget:
    """The yard's name, its season and the day the plan is seen from."""

    def write() -> Markup:
        yard = desk.yard
        if yard is None:
            return render("masthead", name="")

        def say(day: date) -> str:
            return write_date(day, yard.country, "long")

        said = (
            words.SEASON.format(first=say(yard.season.first), last=say(yard.season.last)),
            words.HORSES_AND_SHOWS.format(
                horses=_count(len(yard.horses), words.ONE_HORSE, words.SOME_HORSES),
                shows=_count(len(yard.shows), words.ONE_SHOW, words.SOME_SHOWS),
            ),
            words.TODAY.format(
                today=say(yard.day_of_planning), said_by=TODAY_WORDS[yard.today_from]
            ),
            *((words.OVER,) if yard.is_over else ()),
        )
        odd = _count(len(yard.oddities), words.ODD_ONE, words.ODD_MANY) if yard.oddities else ""
        return render("masthead", name=yard.name, facts=said, odd=odd)

    return make_written(desk, ("yard",), write, "header")


def make_contents(desk: Desk) -> Contents:
    """The contents line; a visitor's address opens a chapter, and what is opened has one."""

    def shown(address: str, memo: str) -> None:
        desk.refresh(memo)
        desk.go(address)

    def go(address: str) -> None:
        desk.go(address)
        desk.look_round()

    contents = Contents(go, shown, label=words.CONTENTS)
    contents.chapters = [{"key": k, "title": said} for k, said in words.CHAPTERS.items()]

    def turn() -> None:
        with contents.hold_sync():
            contents.chapter = desk.chapter
            contents.address = desk.address

    follow(desk, ("chapter", "horse", "person", "leaf"), turn)
    remembered = ("done", "left", "right", "diary_side")
    follow(desk, remembered, lambda: contents.set_trait("memo", desk.memo))
    follow(desk, ("yard",), lambda: contents.set_trait("yard", desk.yard.name if desk.yard else ""))
    return contents


def make_slip(desk: Desk) -> ipywidgets.Widget:
    """The answer to what was asked last, at the foot of the window until it is put away."""
    write = when_read(desk, lambda yard: write_slip(yard, desk.asked))
    return make_sheet(desk, ("asked", "yard"), write, "slip")


def make_status(desk: Desk) -> ipywidgets.Widget:
    """What the visitor has to know on every chapter.

    That planning goes on (of the first one also how far it is), that it failed, or that the
    circuits are those of an earlier visit.
    """
    write = when_read(desk, lambda _: render("status", desk=desk))
    traits = ("notice", "advice", "planning", "yard", "found")
    status = make_sheet(desk, traits, write, "status")
    steps = make_sheet(
        desk,
        ("progress", "planning", "pair"),
        lambda: write_steps(desk) if is_first_planning(desk) else "",
        "first-steps",
    )
    return make_box("status-part", status, steps)


def make_two_circuits(desk: Desk) -> ipywidgets.Widget:
    """The verdict, both circuits with their figures, the strips and the key to them."""
    inner = make_box("two", make_verdict(desk), make_chooser(desk), make_strips(desk))
    follow(desk, ("pair",), lambda: show(inner, bool(desk.pair)))
    return make_chapter("two", make_nothing(desk), inner)


def make_verdict(desk: Desk) -> ipywidgets.Widget:
    """What is gained and what is paid when the right circuit is chosen instead of the left."""

    def write() -> Markup:
        same = bool(desk.pair) and desk.pair[0] is desk.pair[1]
        yard = desk.yard
        return write_verdict_block(
            desk.comparison,
            same,
            yard.country if yard else "",
            yard.season if yard else None,
        )

    return make_written(desk, ("pair",), write, "verdict", "two")


def make_chooser(desk: Desk) -> ipywidgets.Widget:
    """Two lists of circuits, each with the figures of the one that is chosen."""
    return make_box("chooser", _make_choice(desk, "left"), _make_choice(desk, "right"))


def _make_choice(desk: Desk, side: str) -> ipywidgets.Widget:
    def write() -> Markup:
        yard = desk.yard
        if yard is None or not desk.pair:
            return Markup("")
        options = [(c.name, label_circuit(yard, c)) for c in desk.circuits if c.exists]
        circuit: Circuit = desk.pair[0 if side == "left" else 1]
        return render(
            "choice",
            side=side,
            circuits=options,
            chosen=circuit.name,
            figures=write_asked_pairs(list_figures(yard, circuit), side),
            dropped=write_dropped(yard, circuit),
        )

    sheet = make_sheet(desk, ("circuits", "pair"), write, f"choice-{side}", "two")
    sheet.add_class("tk-choice")
    return sheet


def make_strips(desk: Desk) -> ipywidgets.Widget:
    """Both circuits over the same weeks, with a key to the forms."""
    strips = Strips(
        desk.ask_day,
        label=words.STRIPS_LABEL,
        hint=words.STRIPS_READOUT,
        hint_touch=words.STRIPS_TOUCH,
        day_px=DAY_PX,
    )
    kept: dict[tuple[int, int], tuple[Circuit, Half]] = {}
    drawn_for: list[Any] = [None]

    def get_half(yard: Yard, circuit: Circuit, side: int) -> Half:
        key = (id(circuit), side)
        if key not in kept:
            drawn = draw_half(yard, circuit, side, place_rows(yard))
            told = [_tell_strip(yard, circuit, h.horse) for h in yard.horses]
            # The circuit is kept with its picture, so that no other can take its number.
            kept[key] = (circuit, (drawn, told))
        return kept[key][1]

    def draw() -> None:
        yard = desk.yard
        if yard is None or not desk.pair:
            strips.svg = ""
            return
        if drawn_for[0] is not yard:
            kept.clear()
            drawn_for[0] = yard
        left, right = desk.pair
        above, told_above = get_half(yard, left, -1)
        below, told_below = get_half(yard, right, 1)
        # Many days tell the same: each telling is sent once.
        known = dict.fromkeys(chain.from_iterable((*told_above, *told_below)))
        numbers = {told: number for number, told in enumerate(known)}
        rows = place_rows(yard)
        today = (yard.day_of_planning - yard.season.first).days
        with strips.hold_sync():
            strips.left, strips.right = left.name, right.name
            strips.today_index = today if yard.day_of_planning in yard.season else -1
            strips.days = [write_day(day, yard.country) for day in yard.season]
            strips.told = list(numbers)
            strips.rows = [
                {
                    "horse": row.horse,
                    "top": row.top,
                    "middle": row.middle,
                    "height": row.height,
                    "left": [numbers[told] for told in told_above[i]],
                    "right": [numbers[told] for told in told_below[i]],
                }
                for i, row in enumerate(rows)
            ]
            strips.svg = join_halves(yard, (left, right), (above, below), rows)

    def write_head() -> Markup:
        return render("strips_head", pair=desk.pair) if desk.pair else Markup("")

    follow(desk, ("pair", "yard"), draw, "two")
    head = make_written(desk, ("pair",), write_head, "head", "two")
    return make_box("strips-part", head, strips, make_key(desk))


def _tell_strip(yard: Yard, circuit: Circuit, horse: str) -> list[str]:
    """What each day of a horse tells beside its date: place, reason and rule."""
    told = []
    for said, rule in zip(
        tell_days(yard, circuit, horse), name_rules(yard, circuit, horse), strict=True
    ):
        told.append(words.STRIPS_TOLD.format(told=said, rule=rule) if rule else f"{said}.")
    return told


def make_key(desk: Desk) -> ipywidgets.Widget:
    """What each form in the strips means; a yard without aims or bases has none to explain."""

    def write() -> Markup:
        yard = desk.yard
        unused = {"aim": not (yard and yard.aims), "base": not (yard and yard.bases)}
        forms = [
            (kind, Markup(draw_swatch(kind)), said)
            for kind, said in words.KEY_WORDS
            if not unused.get(kind)
        ]
        return render("key", forms=forms)

    return make_written(desk, ("yard",), write, "key")


def make_faults(desk: Desk) -> ipywidgets.Widget:
    """What is wrong in the yard folder, row by row, and a button to read it again."""
    again = ipywidgets.Button(description=words.READ_AGAIN)
    again.on_click(lambda _: desk.open_again())

    def write() -> Markup:
        if not desk.errors:
            return Markup("")
        number = len(desk.errors)
        count = words.CORRECTION if number == 1 else words.CORRECTIONS.format(count=number)
        return render("faults", desk=desk, count=count)

    part = make_box("faults", make_written(desk, ("errors",), write, "faults-said"), again)
    follow(desk, ("errors",), lambda: show(part, bool(desk.errors)))
    return part


def make_cautions() -> ipywidgets.Widget:
    """What the card does not decide."""
    cautions = ipywidgets.HTML(render("cautions"))
    cautions.add_class("tk-cautions")
    return cautions


def _count(number: int, one: str, many: str) -> str:
    return one if number == 1 else many.format(count=number)
