"""The chapter of files: the plan taken along, another yard brought, an organiser's calendar."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import ipywidgets
from markupsafe import Markup

from tripkit.dashboard.cardprint import write_print
from tripkit.dashboard.desk import Desk
from tripkit.dashboard.filing import MOST_BYTES, Merging, is_copy, is_own_machine
from tripkit.dashboard.markup import render
from tripkit.dashboard.paperspage import write_odd_fold
from tripkit.dashboard.parts import (
    act_for,
    follow,
    make_box,
    make_chapter,
    make_sheet,
)
from tripkit.dashboard.widgets import Contents, DownloadButton
from tripkit.words import page as words
from tripkit.words.faults import fold_errors
from tripkit.words.formats import write_span
from tripkit.words.telling import choose_teller
from tripkit.yard.errors import TripkitError
from tripkit.yard.yard import Yard

HTML = "text/html; charset=utf-8"
ICS = "text/calendar; charset=utf-8"
JSON = "application/json"
SVG = "image/svg+xml"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def make_files(desk: Desk, contents: Contents) -> ipywidgets.Widget:
    """Files out: calendar, tables, sheets, map, JSON, paper; files in: a yard, a calendar."""

    def act(message: dict[str, Any], buffers: list[Any]) -> None:
        do = message["do"]
        names = [str(name) for name in message.get("names") or ()]
        if do in ("files", "calendar") and message.get("size"):
            _refuse(desk, names, int(message["size"]))
        elif do == "files":
            desk.take_files(names, [bytes(data) for data in buffers])
        elif do == "calendar" and names:
            desk.look_at_calendar(names[0], bytes(buffers[0]))
        elif do == "merge-missing" and desk.merge is not None:
            desk.look_at_calendar(desk.merge.name, desk.merge.data, bool(message.get("value")))
        elif do == "merge-take":
            desk.take_calendar()
        elif do == "merge-leave":
            desk.merge = None
        elif do == "folder":
            desk.open_folder(str((message.get("fields") or {}).get("folder", "")))
        elif do == "print" and desk.yard is not None and desk.diary_circuit:
            _print(desk, contents)
        else:
            act_for(desk)(message, buffers)

    def write_paper() -> Markup:
        return render("paper", wrong=desk.print_wrong) if desk.pair else Markup("")

    buttons = [
        DownloadButton(build, mime, words.TAKE_FAILED, desk.tell_error, label=said)
        for build, mime, said in _list_files(desk)
    ]

    def fill() -> None:
        for button in buttons:
            button.ready = bool(desk.pair)

    follow(desk, ("pair",), fill)
    sides = ("pair", "diary_side", "planning")
    brought = ("files_wrong", "folder", "merge", "yard")
    return make_chapter(
        "files",
        make_sheet(desk, sides, lambda: render("files_out", desk=desk), "files-out", "files"),
        make_box("take-files", *buttons),
        make_sheet(desk, ("pair", "print_wrong"), write_paper, "paper", "files", act),
        make_sheet(desk, brought, lambda: write_files_in(desk), "files-in", "files", act),
    )


def _print(desk: Desk, contents: Contents) -> None:
    try:
        yard, circuit, broken = desk.take_to_print()
    except TripkitError as bad:
        desk.print_wrong = desk.tell_error(bad)
        return
    desk.print_wrong = ""
    contents.print_out(write_print(yard, desk.pair, circuit, broken))


def write_files_in(desk: Desk) -> Markup:
    """What lies at hand, what was wrong with the last files, and the ways to bring others."""
    yard = desk.yard
    return render(
        "files_in",
        desk=desk,
        is_copy=is_copy(desk.folder),
        is_own_machine=is_own_machine(),
        odd=write_odd_fold(yard) if yard else "",
        merging=write_merging(yard, desk.merge) if yard and desk.merge else "",
        most=MOST_BYTES,
    )


def write_merging(yard: Yard, merging: Merging) -> Markup:
    """What taking a calendar changes, show by show, and the buttons that take or leave it."""
    preview = merging.preview

    def say(show: Any) -> str:
        days = write_span(show.first, show.last, yard.country)
        return words.MERGE_SHOW.format(
            name=show.name, days=days, place=f", {show.place}" if show.place else ""
        )

    def say_move(move: Any) -> str:
        now, before = (write_span(day, day, yard.country) for day in (move.after, move.before))
        return words.MERGE_MOVE.format(what=move.what, now=now, before=before)

    tell = choose_teller(yard).tell
    moved = [words.MERGE_MOVED.format(now=say(b), before=say(a)) for a, b in preview.moved]
    told = (
        (words.MERGE_NEW, [say(show) for show in preview.added]),
        (words.MERGE_JOINED, [say(show) for show in preview.joined]),
        (words.MERGE_CHANGED, moved),
        (words.MERGE_CANCELLED, [say(show) for show in preview.cancelled]),
        (words.MERGE_MOVES, [say_move(move) for move in preview.moves]),
        (words.MERGE_KEPT, [*map(tell, preview.kept)]),
        (words.MERGE_MISSING, [say(show) for show in preview.missing]),
        (words.MERGE_OLDER, preview.older),
        (words.MERGE_UNREADABLE, preview.unreadable),
        (words.MERGE_AGAINST, [*map(tell, preview.conflicts)]),
        (words.MERGE_REFUSED, fold_errors(preview.faults)),
        (words.MERGE_REMARKS, preview.remarks),
    )
    own = merging.name == preview.file
    head = words.MERGE_HEAD_OWN if own else words.MERGE_HEAD
    return render(
        "merging",
        head=head.format(name=merging.name, file=preview.file),
        told=told,
        preview=preview,
        drops_missing=merging.drop_missing,
    )


def _refuse(desk: Desk, names: Sequence[str], size: int) -> None:
    """Files above what a message may hold never leave the browser; what to do is said instead."""
    mega = 1024 * 1024
    said = words.TOO_LARGE.format(
        names=", ".join(names), size=f"{size / mega:.1f}", most=MOST_BYTES // mega
    )
    instead = words.TOO_LARGE_DO if is_own_machine() else words.TOO_LARGE_DO_ELSEWHERE
    desk.files_wrong = (f"{said} {instead.format(folder=desk.folder.name)}",)


def _list_files(desk: Desk) -> tuple[tuple[Callable[[], tuple[str, bytes]], str, str], ...]:
    return (
        (desk.build_yard_feed, ICS, words.TAKE_CALENDAR),
        (desk.build_entries, XLSX, words.TAKE_ENTRIES),
        (desk.build_travel_sheets, HTML, words.TAKE_TRAVEL),
        (desk.build_map, SVG, words.TAKE_MAP),
        (desk.build_workbook, XLSX, words.TAKE_WORKBOOK),
        (desk.build_circuits, JSON, words.TAKE_CIRCUITS),
    )
