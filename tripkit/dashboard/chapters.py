"""The chapters beside the two circuits: each is a few pieces that follow the Desk."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import ipywidgets
from markupsafe import Markup, escape

from tripkit.dashboard.changes import write_outcome, write_wish_forms, write_wishes
from tripkit.dashboard.closings import write_closings
from tripkit.dashboard.daylist import write_daylist
from tripkit.dashboard.desk import Desk
from tripkit.dashboard.differences import write_differences
from tripkit.dashboard.handbookpart import write_handbook
from tripkit.dashboard.horsepage import (
    write_horse_facts,
    write_horse_findings,
    write_horse_outings,
    write_horse_strip,
    write_load,
    write_why_form,
)
from tripkit.dashboard.map_widget import RouteMap
from tripkit.dashboard.markup import render, write_note
from tripkit.dashboard.noticeboard import Board, find_posted, write_board
from tripkit.dashboard.paperspage import write_odd_fold, write_papers
from tripkit.dashboard.parts import (
    Act,
    act_for,
    follow,
    make_box,
    make_chapter,
    make_nothing,
    make_reading,
    make_sheet,
    make_written,
    show,
    when_read,
    write_sides,
)
from tripkit.dashboard.roaddays import list_travellers, write_road_days
from tripkit.dashboard.tradeoff import write_tradeoff
from tripkit.dashboard.widgets import DownloadButton
from tripkit.files.values import parse_date, parse_money
from tripkit.words import page as words
from tripkit.words.figures import write_goal, write_progress
from tripkit.yard.circuit import Circuit
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.yard import Yard

ICS = "text/calendar; charset=utf-8"


def make_all_circuits(desk: Desk) -> ipywidgets.Widget:
    """The trade-off picture and the table of all circuits."""

    def write(yard: Yard, _circuit: Circuit) -> Markup:
        return write_tradeoff(yard, desk.circuits, desk.left, desk.right, desk.axis, desk.picked)

    traits = ("circuits", "axis", "picked")
    return make_chapter("all", make_reading(desk, traits, write, "all-circuits", "all"))


def make_differences(desk: Desk) -> ipywidgets.Widget:
    """The tables of what differs between the two circuits."""

    def write(yard: Yard, _circuit: Circuit) -> Markup:
        return write_differences(desk.comparison, yard.country)

    return make_chapter("differs", make_reading(desk, (), write, "differences", "differs"))


def make_road_days(desk: Desk) -> ipywidgets.Widget:
    """The road days of whoever is chosen, in one of the two circuits."""

    def write(yard: Yard, circuit: Circuit) -> Markup:
        travellers = list_travellers(yard, circuit)
        known = {name for names in travellers.values() for name in names}
        person = desk.person if desk.person in known else ""
        controls = render("road_controls", desk=desk, travellers=travellers, person=person)
        return controls + write_road_days(yard, circuit, person)

    traits = ("person", "diary_side")
    return make_chapter("road", make_reading(desk, traits, write, "road-days", "road"))


def make_closings(desk: Desk) -> ipywidgets.Widget:
    """Closing dates to work through, for one of the two circuits."""

    def write(yard: Yard, circuit: Circuit) -> Markup:
        return write_sides(desk, "closing") + write_closings(yard, circuit, desk.done)

    traits = ("done", "diary_side")
    return make_chapter("closing", make_reading(desk, traits, write, "closings", "closing"))


def make_one_horse(desk: Desk) -> ipywidgets.Widget:
    """One horse: strip, facts, outings, load, findings, diary, and its calendar as a file."""
    traits = ("yard", "pair", "horse", "diary_side", "planning")

    def write_controls(yard: Yard, circuit: Circuit) -> Markup:
        horses = [(h.horse, h.horse) for h in yard.horses]
        controls = render("horse_controls", desk=desk, horses=horses)
        return controls + write_why_form(yard, circuit, desk.horse, desk.diary_side)

    def write() -> Markup:
        circuit = desk.diary_circuit
        yard, horse = desk.yard, desk.horse
        if yard is None or circuit is None or not desk.pair or not horse:
            return Markup("")
        return render(
            "horse",
            horse=horse,
            facts=write_horse_facts(yard, circuit, horse),
            strip=write_horse_strip(yard, desk.pair, horse),
            outings=write_horse_outings(yard, circuit, horse),
            load=write_load(yard, circuit, horse),
            findings=write_horse_findings(yard, desk.findings, horse),
            diary=write_daylist(yard, circuit, horse),
        )

    button = DownloadButton(desk.build_feed, ICS, words.DOWNLOAD_FAILED, desk.tell_error)

    def fill() -> None:
        button.label = words.DOWNLOAD.format(horse=desk.horse)
        button.ready = bool(desk.pair and desk.horse)

    follow(desk, ("yard", "pair", "horse"), fill)
    follow(desk, ("yard", "pair", "chapter"), desk.look_at_board, "horse")

    def write_address() -> Markup:
        if desk.board is None:
            return Markup("")
        posted = find_posted(desk.board, "horse", desk.horse)
        return render("address", horse=desk.horse, one=posted)

    def write_hint() -> Markup:
        circuit = desk.diary_circuit
        return escape(words.DOWNLOAD_HINT.format(circuit=circuit.name) if circuit else "")

    hint = make_written(desk, ("pair", "diary_side"), write_hint, "hint", "horse")
    address = make_sheet(desk, ("board", "horse"), write_address, "horse-address", "horse")
    take = make_box("take-horse", button, hint)
    for part in (address, take):
        follow(desk, ("pair",), lambda part=part: show(part, bool(desk.pair)))  # type: ignore[misc]
    return make_chapter(
        "horse",
        make_reading(desk, traits, write_controls, "horse-controls", "horse"),
        make_written(desk, traits, write, "horse-page", "horse"),
        take,
        address,
    )


def make_map(desk: Desk) -> ipywidgets.Widget:
    """The roads of both circuits."""
    routes = RouteMap()

    def draw() -> None:
        if desk.yard is not None and desk.pair:
            routes.show(desk.yard, *desk.pair)

    follow(desk, ("yard", "pair"), draw, "map")
    follow(desk, ("pair",), lambda: show(routes, bool(desk.pair)))

    def write_hint() -> Markup:
        if not desk.pair:
            return Markup("")
        left, right = desk.pair
        return escape(words.MAP_HINT.format(left=left.name, right=right.name))

    hint = make_written(desk, ("pair",), write_hint, "hint", "map")
    return make_chapter("map", make_nothing(desk, "map"), hint, routes)


def make_papers(desk: Desk) -> ipywidgets.Widget:
    """What the papers of the yard say of the shows on offer."""

    def write(yard: Yard) -> Markup:
        return render(
            "papers_chapter",
            odd=write_odd_fold(yard),
            by_horse=[
                write_horse_findings(yard, desk.findings, h.horse, named=True) for h in yard.horses
            ],
            papers=write_papers(yard, desk.findings),
        )

    written = make_written(desk, ("yard",), when_read(desk, write), "papers", "papers")
    return make_chapter("papers", written)


def make_calendars(desk: Desk) -> ipywidgets.Widget:
    """What is published, for whom at which address, and the button that publishes."""

    def write(yard: Yard, circuit: Circuit) -> Markup:
        if desk.board is None and desk.board_said:
            # What is published is not known: nothing may be said of it, nothing published upon it.
            return write_note(desk.board_said, "fault", "alert")
        doubted = desk.doubted == circuit.name
        board = write_board(yard, desk.board or Board(), circuit, desk.board_said, doubted)
        return write_sides(desk, "calendars") + board

    follow(desk, ("yard", "pair", "chapter"), desk.look_at_board, "calendars")
    traits = ("board", "board_said", "diary_side", "doubted")
    sheet = make_reading(desk, traits, write, "board", "calendars")
    # Many addresses with their codes take a while on the first look.
    sheet.html = sheet.html or write_note(words.BOARD_COMING, "hint", "status")
    return make_chapter("calendars", sheet)


def make_handbook(desk: Desk) -> ipywidgets.Widget:
    """The handbook, one of its chapters open."""
    written = make_written(
        desk, ("leaf",), lambda: write_handbook(desk.leaf), "handbook", "handbook"
    )
    return make_chapter("handbook", written)


def make_change(desk: Desk) -> ipywidgets.Widget:
    """Wishes, the forms that add one, planning with its progress, and what moved."""
    act = _act_on_wishes(desk)

    def write_list(yard: Yard) -> Markup:
        return write_wishes(yard, desk.wishes, desk.planned, desk.wish_fault)

    def write_forms(yard: Yard) -> Markup:
        return write_wish_forms(yard, desk.horse)

    def write_result(yard: Yard) -> Markup:
        return write_outcome(yard, desk.moved, desk.unkept, desk.circuits)

    asked, came = ("wishes", "planned", "wish_fault", "yard"), ("moved", "unkept", "circuits")
    return make_chapter(
        "change",
        make_sheet(desk, asked, when_read(desk, write_list), "wishes-said", "change", act),
        make_sheet(desk, ("yard",), when_read(desk, write_forms), "wish-add", "change", act),
        make_planner(desk),
        make_written(desk, came, when_read(desk, write_result), "without-plan", "change"),
    )


def make_planner(desk: Desk) -> ipywidgets.Widget:
    """Plan, stop, undo, keep, and what the planner says meanwhile."""
    said = ("notice", "planning", "pair", "yard", "past", "circuits")
    return make_box(
        "planner",
        make_sheet(desk, said, lambda: render("planner", desk=desk), "plan-buttons"),
        make_sheet(
            desk,
            ("progress", "planning", "pair"),
            lambda: "" if is_first_planning(desk) else write_steps(desk),
            "progress",
        ),
    )


def _act_on_wishes(desk: Desk) -> Act:
    def act(message: dict[str, Any], buffers: list[Any]) -> None:
        fields = {str(k): str(v) for k, v in (message.get("fields") or {}).items()}
        do = message["do"]
        try:
            if do == "outing" and message.get("press") == "hold":
                desk.wish(lambda w: w.hold(fields["horse"], fields["show"]))
            elif do == "outing":
                desk.wish(lambda w: w.forbid(fields["horse"], fields["show"]))
            elif do == "away":
                first, last = (_read(parse_date, fields[key]) for key in ("first", "last"))
                span = DaySpan(first, last)
                desk.wish(lambda w: w.take_out(fields["who"], span))
            elif do == "numbers":
                _wish_numbers(desk, fields)
            elif do == "tour":
                desk.wish(lambda w: w.ask_tour(fields["tour"]))
            elif do == "remove":
                kind, number = str(message["kind"]), int(message["number"])
                desk.wish(lambda w: w.remove(kind, number))
            else:
                act_for(desk)(message, buffers)
        except (ValueError, BadValue) as bad:
            desk.refuse_wish(bad)

    return act


def _wish_numbers(desk: Desk, fields: dict[str, str]) -> None:
    budget, often = fields.get("budget", "").strip(), fields.get("often", "").strip()
    if not budget and not often:
        raise BadValue(state("values.write-budget-or-how-often"))
    cents = _read(_parse_budget, budget) if budget else None
    if often and not (often.isdecimal() and int(often) > 0):
        raise BadValue(state("values.no-whole-number-above-0", often=often))
    desk.wish(lambda w: w.ask_numbers(cents, int(often) if often else None))


def _parse_budget(text: str) -> int:
    """As an amount of the files, but that commas may group its thousands."""
    return parse_money(re.sub(r",(?=\d{3}(?!\d))", "", text))


def _read(parse: Callable[[str], Any], text: str) -> Any:
    try:
        return parse(text)
    except BadValue as bad:
        raise BadValue(state("faults.found", value=text, wanted=bad.fact)) from None


def is_first_planning(desk: Desk) -> bool:
    """Whether the page has nothing to read yet but how the planning goes."""
    return desk.planning and not desk.pair


def write_steps(desk: Desk) -> Markup:
    """How far the search is for each goal; its clock goes on between two steps."""
    if desk.yard is None or not (desk.progress or desk.planning):
        return Markup("")
    return render(
        "steps",
        lines=[(write_goal(step.goal), _tell_step(desk.yard, step)) for step in desk.progress],
        is_planning=desk.planning,
        passed=f"{max((step.seconds for step in desk.progress), default=0):.0f}",
        limit=f"{desk.seconds:.0f}",
    )


def _tell_step(yard: Yard, step: Any) -> str:
    told = write_progress(step.goal, step.objective, step.bound, yard)
    is_done = getattr(step, "stage", "") == "done"
    return words.STAGE_DONE.format(told=told) if is_done else told
