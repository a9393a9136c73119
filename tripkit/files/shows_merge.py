"""An organiser's calendar joins the yard folder: what that changes is shown before it is taken.

Events are known by their uid. The folder's calendar file keeps them in whole days, those that
were cancelled too, so that an older file brings nothing back. What the yard wrote of a show that
moves goes with it, and the folder is tried with all of it before anything is written.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from pathlib import Path

from tripkit.files.calendar_events import CalendarEvent
from tripkit.files.calendar_lines import LARGEST_BYTES
from tripkit.files.calendars import (
    CALENDAR_MARK,
    NamedShow,
    make_row,
    merge_calendars,
    name_shows,
    read_events,
)
from tripkit.files.faults import Faults
from tripkit.files.folder import READ_MARKS, find_folder, list_files, read_tables
from tripkit.files.repeats import add_margin, keep_newest, list_occurrences, make_component
from tripkit.files.rewriting import edit_tables, join_names, try_change
from tripkit.files.settings import SETTINGS_FILE, read_settings
from tripkit.files.shows_move import (
    CellMove,
    find_days,
    list_kept_dates,
    list_moves,
    list_outside,
    read_day,
)
from tripkit.files.tables import RawRow, RawTable, list_rows, read_bytes
from tripkit.files.together import finish_change, make_digest, write_together
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadYard, CannotWrite, InputError
from tripkit.yard.facts import Fact, Value, state

PRODUCT = "-//tripkit//shows 1//EN"
UNKNOWN_STAMP = datetime(1970, 1, 1, tzinfo=UTC)
NAMING_TABLES = ("shows", "classes", "entries", "aims", "results")

Key = tuple[str, date | None]


@dataclass(frozen=True)
class MergedShow:
    """A show as a calendar has it; `last` is inclusive."""

    name: str
    first: date
    last: date
    place: str

    @property
    def fact(self) -> Fact:
        """Its name, its days and where it is."""
        days = self.first if self.first == self.last else DaySpan(self.first, self.last)
        place = state("merging.place", place=self.place) if self.place else None
        return state("merging.show", name=self.name, days=days, place=place)


@dataclass(frozen=True)
class MergePreview:
    """What a calendar file changes in the yard, before it is taken.

    `file` is the calendar of the folder that taking writes, `is_new` where there is none yet.
    `added` are new to the yard; `joined` stand in its own shows already, and no calendar had them.
    `missing` stood in the folder's file and are not in the new one; they stay, unless they were
    asked to be dropped. `older` are in a newer state in the folder, `unreadable` are left out.
    `moves` are the yard's own dates that go with a show, `kept` is what stays and why,
    `conflicts` what stands against the change elsewhere in the folder. With `faults` the
    folder would not read any more, and nothing is taken. `files` are the new bytes of every file
    that changes, `basis` names the folder as it was looked at.
    """

    file: str
    is_new: bool
    added: tuple[MergedShow, ...]
    joined: tuple[MergedShow, ...]
    moved: tuple[tuple[MergedShow, MergedShow], ...]
    cancelled: tuple[MergedShow, ...]
    unchanged: tuple[MergedShow, ...]
    missing: tuple[MergedShow, ...]
    older: tuple[str, ...]
    moves: tuple[CellMove, ...]
    kept: tuple[Fact, ...]
    conflicts: tuple[Fact, ...]
    unreadable: tuple[InputError, ...]
    remarks: tuple[Fact, ...]
    faults: tuple[InputError, ...]
    files: Mapping[str, bytes] = field(repr=False)
    basis: str = field(repr=False)

    @property
    def content(self) -> bytes:
        """The new bytes of the calendar."""
        return self.files[self.file]

    @property
    def changes_shows(self) -> bool:
        """Whether any show of the yard changes, or is an organiser's from now on."""
        return bool(self.added or self.joined or self.moved or self.cancelled)


def preview_merge(
    folder: Path | str, data: bytes, name: str = "shows.ics", *, drop_missing: bool = False
) -> MergePreview:
    """What the bytes of a calendar file change in a yard folder; nothing is written.

    `name` is the file's name, for messages and for a new file of the folder. An event replaces
    the folder's event of the same uid, unless that is newer; where a program made new uids, the
    one event of the same name. Raises `BadYard` where the file is no calendar, and for faults of
    the folder's own settings and calendars.
    """
    yard = _YardCalendars(Path(folder))
    name = Path(name).name or "shows.ics"
    faults, remarks = Faults(), list[Fact]()
    incoming = read_events(name, data, yard.home_zone, faults, remarks)
    unreadable = list(faults.list_errors())
    if incoming is None:
        raise BadYard(tuple(unreadable))
    incoming = keep_newest(incoming)
    target = yard.find_target(incoming, name)
    incoming = _keep_uids(yard.events.get(target, []), incoming)
    kept = keep_newest(yard.events.get(target, []))
    merged, older = _merge(kept, incoming)
    origins = {f"{target} event {n}": event.where for n, event in enumerate(merged, start=1)}
    merged = [replace(e, where=where) for e, where in zip(merged, origins, strict=True)]
    brought = {event.uid for event in incoming}
    before = yard.list_shows(yard.events, Faults())
    missing = [
        key
        for key, show in before.items()
        if show.event.uid not in brought and show.event.file == target and target in yard.events
    ]
    if drop_missing:
        gone = {uid for uid, _ in missing}
        merged = [replace(e, cancelled=True) if e.uid in gone else e for e in merged]
    after_faults = Faults()
    after = yard.list_shows({**yard.events, target: merged}, after_faults)
    errors = after_faults.list_errors()
    if errors:
        wrong = {error.file for error in errors}
        unreadable += (replace(e, file=origins.get(e.file, e.file)) for e in errors)
        merged = [event for event in merged if event.where not in wrong]
        after = yard.list_shows({**yard.events, target: merged}, Faults())
    changed = {key for key in (*before, *after) if _see(before, key) != _see(after, key)}
    cancelled = {(event.uid, event.recurrence) for event in merged if event.cancelled}
    effects = yard.follow(before, after, changed, cancelled)
    files = {target: write_shows(merged), **effects.files}
    wrong_after = effects.faults
    if not wrong_after and (changed or effects.files):
        wrong_after = try_change(yard.path, files)
    fresh = [_show(after[key]) for key in after if key not in before]
    return MergePreview(
        target,
        target not in yard.events,
        tuple(show for show in fresh if show.name not in yard.own_names),
        tuple(show for show in fresh if show.name in yard.own_names),
        tuple(
            (_show(before[key]), _show(after[key]))
            for key in after
            if key in before and key in changed
        ),
        tuple(_show(before[key]) for key in before if key not in after),
        tuple(
            _show(show) for key, show in after.items() if key not in changed and key[0] in brought
        ),
        () if drop_missing else tuple(_show(before[key]) for key in missing if key in after),
        tuple(older),
        effects.moves,
        effects.kept,
        effects.conflicts,
        tuple(unreadable),
        tuple(remarks),
        tuple(replace(e, file=origins.get(e.file, e.file)) for e in wrong_after),
        files,
        yard.basis,
    )


def take_merge(folder: Path | str, preview: MergePreview) -> Path:
    """The files of a preview are written into the folder, all of them or none.

    Raises `BadYard` where the folder would not read any more, `CannotWrite` where a file of the
    folder changed since the preview was made, or cannot be written.
    """
    if preview.faults:
        raise BadYard(preview.faults)
    path = find_folder(Path(folder)) / preview.file
    if make_basis(Path(folder)) != preview.basis:
        raise CannotWrite(state("faults.changed-meanwhile-look-at-what", folder=str(folder)))
    write_together(path.parent, preview.files)
    return path


def read_calendar_file(path: Path | str) -> bytes:
    """The bytes of a calendar file of bearable size; raises `BadYard` with what is wrong."""
    faults = Faults()
    data = read_bytes(Path(path), faults, LARGEST_BYTES)
    faults.raise_if_any()
    return data or b""


def write_shows(events: Iterable[CalendarEvent]) -> bytes:
    """Events in whole days as a calendar file, cancelled ones too; no clock is asked."""
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("version", "2.0")
    calendar.add("prodid", PRODUCT)
    for event in events:
        component = make_component(event)
        if event.name:
            component.add("summary", event.name)
        if event.place:
            component.add("location", event.place)
        if event.latitude is not None and event.longitude is not None:
            component.add("geo", (event.latitude, event.longitude))
        if event.cancelled:
            component.add("status", "CANCELLED")
        stamp = _read_stamp(event.version[1])
        component.add("dtstamp", stamp or UNKNOWN_STAMP)
        if stamp is not None:
            component.add("last-modified", stamp)
        calendar.add_component(component)
    written: bytes = calendar.to_ical()
    return written


@dataclass(frozen=True)
class _Effects:
    """What a change of shows does to the rest of the folder."""

    moves: tuple[CellMove, ...]
    kept: tuple[Fact, ...]
    conflicts: tuple[Fact, ...]
    faults: tuple[InputError, ...]
    files: Mapping[str, bytes]


class _YardCalendars:
    """What a yard folder holds that a calendar may change or meet."""

    def __init__(self, folder: Path) -> None:
        faults = Faults()
        self.path = folder
        finish_change(find_folder(folder))
        self.basis = make_basis(folder)
        paths = list_files(folder, faults)
        faults.raise_if_any()
        settings = read_settings(paths, faults)
        self.home_zone = settings.timezone
        self.events: dict[str, list[CalendarEvent]] = {}
        remarks: list[Fact] = []
        for path in paths:
            if path.suffix.casefold() == CALENDAR_MARK:
                data = read_bytes(path, faults, LARGEST_BYTES)
                if data is not None:
                    events = read_events(path.name, data, self.home_zone, faults, remarks)
                    self.events[path.name] = events or []
        season = settings.season
        if season is None:
            faults.add(SETTINGS_FILE, state("faults.is-missing"), column="season")
        faults.raise_if_any()
        assert season is not None
        self._season: DaySpan = season
        self._names = {path.name.casefold() for path in paths}
        others = [path for path in paths if path.suffix.casefold() != CALENDAR_MARK]
        self._tables = read_tables(others, Faults()).tables
        rows = list_rows(self._tables, "shows")
        self.own_names = {row.cells.get(name) for row in rows for name in ("show", "name")}

    def find_target(self, incoming: Sequence[CalendarEvent], name: str) -> str:
        """The calendar of the folder that shares most events with another, else a new name.

        Where no uid is shared, half of the names have to be: leagues of two organisers may bear
        one name.
        """
        uids = {event.uid for event in incoming if event.known}
        names = {event.name for event in incoming if event.name}
        shared = {
            file: (len(uids & {e.uid for e in events}), len(names & {e.name for e in events}))
            for file, events in self.events.items()
        }
        best = max(shared, key=lambda file: shared[file], default="")
        if best and (shared[best][0] or (names and 2 * shared[best][1] >= len(names))):
            return best
        stem = re.sub(r"[^\w .-]", "-", Path(name).stem).strip(". ")[:80] or "shows"
        number = 1
        free = f"{stem}{CALENDAR_MARK}"
        while free.casefold() in self._names:
            number += 1
            free = f"{stem}-{number}{CALENDAR_MARK}"
        return free

    def list_shows(
        self, events: Mapping[str, Sequence[CalendarEvent]], faults: Faults
    ) -> dict[Key, NamedShow]:
        """Every show of calendar files in and around the season, by what stays when it moves."""
        newest = keep_newest(event for listed in events.values() for event in listed)
        occurrences = list_occurrences(newest, add_margin(self._season), faults)
        return {show.occurrence.key: show for show in name_shows(occurrences)}

    def follow(
        self,
        before: Mapping[Key, NamedShow],
        after: Mapping[Key, NamedShow],
        changed: set[Key],
        cancelled: Collection[Key],
    ) -> _Effects:
        """What goes with the shows that change, what stays and why, and what stands against it."""
        tables = self._tables
        edits: dict[str, dict[tuple[int, str], str]] = {}
        kept = list(self._keep_names(before, after, edits))
        was = self._list_rows(before, tables.get("shows"))
        now = self._list_rows(after, _edit_rows(tables.get("shows"), edits))
        moves: list[CellMove] = []
        outside: list[InputError] = []
        for show, row in now.items():
            old = find_days(was[show].cells) if show in was else None
            new = find_days(row.cells)
            if old and new and old != new:
                moved = list(list_moves(tables, show, old, new))
                outside += list_outside(tables, show, new, moved)
                kept += list_kept_dates(tables, show)
                moves += moved
        for key in after:
            if key in changed:
                kept += _list_overruled(after[key], tables.get("shows"))
        for move in moves:
            edits.setdefault(move.file, {})[move.row, move.column] = move.after.isoformat()
        faults = Faults()
        files = edit_tables(self.path, edits, faults)
        off = {before[key].name for key in before if key not in after and key in cancelled}
        kept += self._list_unread(off - set(now))
        conflicts = tuple(self._list_conflicts(before, after, {*now, *off}))
        return _Effects(
            tuple(moves), tuple(kept), conflicts, (*faults.list_errors(), *outside), files
        )

    def _list_rows(
        self, shows: Mapping[Key, NamedShow], table: RawTable | None
    ) -> dict[str, RawRow]:
        """Every show as the folder has it with these events, by the yard's own name of it."""
        merged = merge_calendars(table, [make_row(show) for show in shows.values()], [])
        return {row.cells.get("show", ""): row for row in (merged.rows if merged else ())}

    def _keep_names(
        self,
        before: Mapping[Key, NamedShow],
        after: Mapping[Key, NamedShow],
        edits: dict[str, dict[tuple[int, str], str]],
    ) -> Iterator[Fact]:
        """The yard goes on calling a show as its files do when the organiser calls it otherwise.

        What the organiser calls it goes into the column `name` of the yard's shows.
        """
        rows = list_rows(self._tables, "shows")
        for key, show in after.items():
            old, new = before[key].name if key in before else show.name, show.name
            if old == new:
                continue
            row = next((r for r in rows if old in (r.cells.get("name"), r.cells.get("show"))), None)
            if row is None or row.number is None:
                row, name, is_kept = None, old, bool(self._find_naming(old))
            else:
                name = row.cells.get("show", "")
                is_kept = row.cells.get("name") in ("", None, old)
            if not is_kept:
                continue
            file, number = join_names(self._tables, row, name, new, edits)
            yield state("merging.name-stays", show=name, name=new, file=file, row=number)

    def _find_naming(self, name: str) -> list[RawRow]:
        """The rows of the folder that name a show."""
        return [row for table in NAMING_TABLES for row in list_rows(self._tables, table, name)]

    def _list_unread(self, cancelled: Collection[str]) -> Iterator[Fact]:
        """The rows that name a cancelled show: they stay, and are not read until it is held."""
        for name in sorted(cancelled):
            for rows in self._group_naming(name):
                yield state("merging.rows-stay", rows=rows, show=name)

    def _group_naming(self, name: str) -> Iterator[Fact]:
        """The first row of each file that names a show, and how many more there are."""
        by_file: dict[str, list[RawRow]] = {}
        for row in self._find_naming(name):
            by_file.setdefault(row.file, []).append(row)
        for file, rows in by_file.items():
            more = state("faults.more-rows", count=len(rows) - 1) if len(rows) > 1 else None
            yield state("merging.rows", file=file, row=rows[0].number, more=more)

    def _list_conflicts(
        self,
        before: Mapping[Key, NamedShow],
        after: Mapping[Key, NamedShow],
        there: Collection[str],
    ) -> Iterator[Fact]:
        """What else in the folder stands against a change."""
        by_name: dict[str, set[Fact]] = {}
        for show in after.values():
            by_name.setdefault(show.name, set()).add(_show(show).fact)
        for shows in by_name.values():
            if len(shows) > 1:
                yield state("merging.one-name", shows=tuple(sorted(shows, key=str)))
        for name in sorted({show.name for show in before.values()} - set(there)):
            for rows in self._group_naming(name):
                yield state("merging.still-named", rows=rows, show=name)


def _edit_rows(
    table: RawTable | None, edits: Mapping[str, Mapping[tuple[int, str], str]]
) -> RawTable | None:
    """A table as it reads with some cells changed, and rows added."""
    if not edits:
        return table
    file = next(iter(edits))
    rows = {row.number: row for row in (table.rows if table else ())}
    for (number, column), text in edits.get(file, {}).items():
        row = rows.get(number, RawRow(file, number, {}))
        rows[number] = replace(row, cells={**row.cells, column: text})
    return RawTable(file, table.columns if table else ("show", "name"), tuple(rows.values()))


def _list_overruled(show: NamedShow, table: RawTable | None) -> Iterator[Fact]:
    """What the yard's own row says otherwise than an organiser: it wins."""
    said = make_row(show).cells
    for row in table.rows if table else ():
        if show.name not in (row.cells.get("show"), row.cells.get("name")):
            continue
        own: dict[str, Value] = {
            "show": row.cells.get("show"),
            "file": row.file,
            "row": row.number,
        }
        columns = [column for column in ("first_day", "last_day") if row.cells.get(column)]
        if any(row.cells[column] != said[column] for column in columns):
            days = tuple(read_day(row.cells[column]) for column in columns)
            yield state("merging.days-stay", **own, days=days, columns=tuple(columns))
        place = row.cells.get("place", "")
        if place and said["place"] and place != said["place"]:
            yield state("merging.place-stays", **own, place=place)


def make_basis(yard: Path) -> str:
    """A name of exactly these bytes of every file that a yard is read from."""
    parts = [
        f"{path.name}\0{make_digest(path.read_bytes())}"
        for path in list_files(yard, Faults())
        if path.is_file() and path.suffix.casefold() in READ_MARKS
    ]
    return make_digest("\0".join(parts).encode("utf-8", "surrogateescape"))


def _merge(
    kept: Sequence[CalendarEvent], incoming: Sequence[CalendarEvent]
) -> tuple[list[CalendarEvent], list[str]]:
    merged = {event.key: event for event in kept}
    older = []
    for event in incoming:
        before = merged.get(event.key)
        if before is not None and event.is_older_than(before):
            if not event.says_same(before):
                older.append(f"{before.name} ({event.where})")
            continue
        if event.recurrence is None:
            brought = {e.key for e in incoming if e.uid == event.uid} if event.repeats else set()
            for key in [k for k in merged if k[0] == event.uid and k[1] and k not in brought]:
                del merged[key]
        if before is not None and event.cancelled:
            event = replace(before, cancelled=True, version=event.version)
        merged[event.key] = event
    return list(merged.values()), older


def _keep_uids(
    kept: Sequence[CalendarEvent], incoming: Sequence[CalendarEvent]
) -> list[CalendarEvent]:
    """Events whose uid is new, but whose name only one event bore and bears, keep its uid."""
    old_uids, new_uids = {e.uid for e in kept}, {e.uid for e in incoming}
    old_names, new_names = _list_uids_by_name(kept), _list_uids_by_name(incoming)
    same: dict[str, str] = {}
    for name, uids in new_names.items():
        olds = old_names.get(name, set())
        if len(uids) == len(olds) == 1 and not (uids & old_uids or olds & new_uids):
            same[next(iter(uids))] = next(iter(olds))
    return [replace(e, uid=same.get(e.uid, e.uid)) for e in incoming]


def _list_uids_by_name(events: Iterable[CalendarEvent]) -> dict[str, set[str]]:
    uids: dict[str, set[str]] = {}
    for event in events:
        uids.setdefault(event.name, set()).add(event.uid)
    return uids


def _show(show: NamedShow) -> MergedShow:
    return MergedShow(show.name, show.occurrence.first, show.occurrence.last, show.event.place)


def _see(shows: Mapping[Key, NamedShow], key: Key) -> object:
    if key not in shows:
        return None
    return (_show(shows[key]), shows[key].event.latitude, shows[key].event.longitude)


def _read_stamp(text: str) -> datetime | None:
    try:
        return datetime.strptime(text.rstrip("Z"), "%Y%m%dT%H%M%S").replace(tzinfo=UTC)
    except ValueError:
        return None
