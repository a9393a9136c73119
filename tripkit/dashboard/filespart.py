"""The chapter of files: the plan taken along, another yard brought, an organiser's calendar."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import ipywidgets
from markupsafe import Markup

from tripkit.dashboard.cardprint import write_print
from tripkit.dashboard.desk import Desk
from tripkit.dashboard.filing import MOST_BYTES, Merging, is_copy, is_own_machine
from tripkit.dashboard.markup import join_pieces, wrap, write_fold, write_list, write_text
from tripkit.dashboard.paperspage import write_odd_fold
from tripkit.dashboard.parts import (
    act_for,
    follow,
    make_box,
    make_chapter,
    make_sheet,
    write_button,
    write_empty,
    write_sides,
)
from tripkit.dashboard.widgets import Contents, DownloadButton
from tripkit.words import page as words
from tripkit.words.days import put_dates
from tripkit.words.faults import fold_errors
from tripkit.words.formats import write_span
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

    def write_out() -> Markup:
        head = wrap("h3", write_text(words.FILES_OUT))
        return head + (write_sides(desk, "files") if desk.pair else write_empty(desk))

    def write_paper() -> Markup:
        if not desk.pair:
            return Markup("")
        wrong = desk.print_wrong
        said = wrap("p", write_text(wrong), "fault", role="alert") if wrong else ""
        hint = wrap("p", write_text(words.PRINT_HINT), "hint")
        return write_button("print", words.PRINT) + said + hint

    buttons: list[tuple[DownloadButton, str]] = [
        (DownloadButton(build, mime, words.TAKE_FAILED), said)
        for build, mime, said in _list_files(desk)
    ]

    def fill() -> None:
        for button, said in buttons:
            button.label = said
            button.ready = bool(desk.pair)

    follow(desk, ("pair",), fill)
    sides = ("pair", "diary_side", "planning")
    brought = ("files_wrong", "folder", "merge", "yard")
    return make_chapter(
        "files",
        make_sheet(desk, sides, write_out, act, "files-out", "files"),
        make_box("take-files", *(button for button, _ in buttons)),
        make_sheet(desk, ("pair", "print_wrong"), write_paper, act, "paper", "files"),
        make_sheet(desk, brought, lambda: write_files_in(desk), act, "files-in", "files"),
    )


def _print(desk: Desk, contents: Contents) -> None:
    try:
        yard, circuit, broken = desk.take_to_print()
    except TripkitError as bad:
        desk.print_wrong = str(bad)
        return
    desk.print_wrong = ""
    contents.print_out(write_print(yard, desk.pair, circuit, broken))


def write_files_in(desk: Desk) -> Markup:
    """What lies at hand, what was wrong with the last files, and the ways to bring others."""
    parts = [wrap("h3", write_text(words.FILES_IN))]
    at_hand = words.FOLDER_AT_HAND.format(folder=desk.folder.name)
    parts.append(wrap("p", write_text(at_hand), "sum", dir="auto"))
    if is_copy(desk.folder):
        parts.append(wrap("p", write_text(words.COPY_AT_HAND), "hint"))
    if desk.yard is not None:
        parts.append(write_odd_fold(desk.yard))
    if desk.yard is not None and desk.yard.remarks:
        remarks = write_list(desk.yard.remarks, "remarks")
        parts.append(write_fold(words.REMARKS_ON_FILES, remarks, "fold-remarks"))
    if desk.files_wrong:
        parts.append(wrap("p", write_text(words.FILES_WRONG), "fault", role="alert"))
        parts.append(write_list(desk.files_wrong, "faults-list"))
    parts.append(_write_chooser("files", words.FILES_CHOOSE, ".xlsx,.csv,.ics,.toml", True))
    parts.append(wrap("p", write_text(words.FILES_IN_HINT), "hint"))
    if desk.yard is not None and desk.folder.exists():
        parts.append(_write_chooser("calendar", words.MERGE_CHOOSE, ".ics", False))
        hint = words.MERGE_HINT.format(folder=desk.folder.name)
        parts.append(wrap("p", write_text(hint), "hint"))
        if desk.merge is not None:
            parts.append(write_merging(desk.yard, desk.merge))
    if is_own_machine():
        parts.append(
            Markup(
                '<form class="tk-form tk-folder" data-form="folder"><label class="tk-field">'
                '<span>{}</span><input type="text" name="folder" data-key="folder" '
                'autocomplete="off"></label>{}</form>'
            ).format(
                words.FOLDER,
                wrap("button", write_text(words.OPEN_FOLDER), "small-button", type="submit"),
            )
        )
    return join_pieces(parts)


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

    def put_in_words(lines: Sequence[str]) -> list[str]:
        return [put_dates(line, yard.country, yard.season) for line in lines]

    moved = [words.MERGE_MOVED.format(now=say(b), before=say(a)) for a, b in preview.moved]
    told = join_pieces(
        wrap("h4", write_text(head)) + write_list(lines, "merge-list")
        for head, lines in (
            (words.MERGE_NEW, [say(show) for show in preview.added]),
            (words.MERGE_CHANGED, moved),
            (words.MERGE_CANCELLED, [say(show) for show in preview.cancelled]),
            (words.MERGE_MOVES, [say_move(move) for move in preview.moves]),
            (words.MERGE_KEPT, put_in_words(preview.kept)),
            (words.MERGE_MISSING, [say(show) for show in preview.missing]),
            (words.MERGE_OLDER, put_in_words(preview.older)),
            (words.MERGE_UNREADABLE, [str(error) for error in preview.unreadable]),
            (words.MERGE_AGAINST, put_in_words(preview.conflicts)),
            (words.MERGE_REFUSED, fold_errors(preview.faults)),
            (words.MERGE_REMARKS, preview.remarks),
        )
        if lines
    )
    same = words.MERGE_SAME.format(count=len(preview.unchanged))
    drop = Markup("")
    if preview.missing or merging.drop_missing:
        tick = Markup(
            '<input type="checkbox" data-take="merge-missing" data-key="merge-missing"{}>'
        )
        checked = Markup(" checked") if merging.drop_missing else ""
        drop = wrap("label", tick.format(checked) + write_text(words.MERGE_DROP), "task-name")
    useless = bool(preview.faults) or not preview.changes_shows
    buttons = write_button("merge-take", words.MERGE_TAKE, useless)
    buttons += write_button("merge-leave", words.MERGE_LEAVE, quiet=True)
    own = merging.name == preview.file
    head = (words.MERGE_HEAD_OWN if own else words.MERGE_HEAD).format(
        name=merging.name, file=preview.file
    )
    return wrap(
        "section",
        wrap("h3", write_text(head), dir="auto")
        + told
        + wrap("p", write_text(same), "hint")
        + drop
        + wrap("div", buttons, "controls"),
        "merging",
    )


def _write_chooser(take: str, said: str, accept: str, many: bool) -> Markup:
    box = Markup('<input type="file"{} accept="{}" data-take="{}" data-most="{}" data-key="{}">')
    several = Markup(" multiple") if many else ""
    return wrap(
        "label",
        wrap("span", write_text(said)) + box.format(several, accept, take, MOST_BYTES, take),
        "field",
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
