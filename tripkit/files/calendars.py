"""Shows out of calendar files (.ics): one row of text cells per show, as shows.csv has them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tripkit.files.calendar_events import CalendarEvent, read_event
from tripkit.files.calendar_lines import LARGEST_BYTES, split_calendar
from tripkit.files.faults import Faults
from tripkit.files.repeats import Occurrence, add_margin, keep_newest, list_occurrences
from tripkit.files.tables import RawRow, RawTable, read_bytes
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import Fact, state

CALENDAR_MARK = ".ics"
HANGING_TABLES = ("classes", "entries", "aims")
"""Tables whose rows hang on a show."""
SHOW_COLUMNS = ("show", "place", "latitude", "longitude", "first_day", "last_day")


@dataclass(frozen=True)
class NamedShow:
    """One time that an event takes place, with the name that the yard knows it by."""

    name: str
    occurrence: Occurrence

    @property
    def event(self) -> CalendarEvent:
        """The event that takes place."""
        return self.occurrence.event


def read_calendars(
    paths: Sequence[Path],
    season: DaySpan | None,
    home_zone: str,
    faults: Faults,
    remarks: list[Fact],
    cancelled: list[RawRow],
) -> list[RawRow]:
    """The shows of calendar files in and a month around the season; what cannot be read is a fault.

    Of one event in several states, also in several files, the newest holds. Events of other times
    are left out with a remark; cancelled ones too, and `cancelled` takes them. `season` None: it
    is not known, and every event counts once.
    """
    events: list[CalendarEvent] = []
    for path in paths:
        faults.announce(path.name)
        data = read_bytes(path, faults, LARGEST_BYTES)
        if data is not None:
            events += read_events(path.name, data, home_zone, faults, remarks) or ()
    newest = keep_newest(events)
    read = {event.key: event for event in newest}
    for event in events:
        holds = read[event.key]
        if event.is_older_than(holds) and not event.says_same(holds):
            remarks.append(state("faults.there-is-newer-state-of", where=event.where))
    remarks += [
        state("faults.cancelled-and-was-left-out", where=e.where) for e in newest if e.cancelled
    ]
    cancelled += [_make_cancelled_row(e) for e in newest if e.cancelled and e.name]
    window = add_margin(season) if season else None
    shows = name_shows(list_occurrences(newest, window, faults))
    remarks += _tell_others(newest, shows)
    return [make_row(show) for show in shows]


def read_events(
    file: str, data: bytes, home_zone: str, faults: Faults, remarks: list[Fact]
) -> list[CalendarEvent] | None:
    """The events of one calendar file in file order; None with a fault where it is none.

    An event that cannot be read is a fault, and is left out.
    """
    found = split_calendar(file, data, faults, remarks)
    if found is None:
        return None
    events = (read_event(lines, home_zone, faults, remarks) for lines in found)
    return [event for event in events if event is not None]


CALENDAR_COLUMNS = ("first_day", "last_day", "place")
"""What a calendar says of a show and shows.csv may say otherwise."""


def name_shows(occurrences: Sequence[Occurrence]) -> list[NamedShow]:
    """A show bears its event's name; where a file has it on several days, the day behind it.

    `Winter League` with one time in the season is a show of that name, with three times it is
    `Winter League 2027-03-06` and so on. The day is the one it was first set for, so that a
    time that moves keeps its name.
    """
    days: dict[tuple[str, str], set[str]] = {}
    for one in occurrences:
        days.setdefault(_find_kin(one), set()).add(one.day.isoformat())
    return [
        NamedShow(
            f"{one.event.name} {one.day}" if len(days[_find_kin(one)]) > 1 else one.event.name, one
        )
        for one in occurrences
    ]


def _find_kin(one: Occurrence) -> tuple[str, str]:
    return (one.event.file, one.event.name)


def _tell_others(events: Sequence[CalendarEvent], shows: Sequence[NamedShow]) -> list[Fact]:
    """What is outside the season per file, and how often an event comes again."""
    times: dict[str, int] = {}
    for show in shows:
        times[show.event.uid] = times.get(show.event.uid, 0) + 1
    outside: dict[str, int] = {}
    told: list[Fact] = []
    for event in events:
        if event.cancelled or event.recurrence is not None:
            continue
        if event.uid not in times:
            outside[event.file] = outside.get(event.file, 0) + 1
        elif event.repeats:
            count = times[event.uid]
            code = "faults.comes-again-once" if count == 1 else "faults.comes-again"
            told.append(state(code, event=event.where, count=count))
    for file, count in outside.items():
        told.append(state("faults.outside-season", file=file, count=count))
    return told


def make_row(show: NamedShow) -> RawRow:
    """A show as text cells; empty ones for what the calendar does not say."""
    event, one = show.event, show.occurrence
    cells = {
        "show": show.name,
        "place": event.place,
        "first_day": one.first.isoformat(),
        "last_day": one.last.isoformat(),
    }
    if event.latitude is not None and event.longitude is not None:
        cells |= {"latitude": f"{event.latitude:f}", "longitude": f"{event.longitude:f}"}
    return RawRow(event.where, None, cells)


def _make_cancelled_row(event: CalendarEvent) -> RawRow:
    """A cancelled show as it stood; one of several times bears the day it was set for."""
    name = f"{event.name} {event.recurrence}" if event.recurrence else event.name
    day = event.recurrence or event.first
    return make_row(NamedShow(name, Occurrence(event, day, event.first, event.last)))


def set_aside_cancelled(
    tables: dict[str, RawTable], cancelled: Sequence[RawRow], remarks: list[Fact]
) -> None:
    """Rows that name a cancelled show are not read; it stays as a show without classes.

    So nobody goes there, and whoever stands there today is still somewhere. A show whose days
    shows.csv says itself is held all the same.
    """
    shows = tables.get("shows")
    known = {row.cells.get("show", ""): row for row in (shows.rows if shows else ())}
    named = {row.cells.get("name", ""): row for row in known.values()}
    for event in cancelled:
        name = event.cells["show"]
        row = known.get(name) or named.get(name)
        if row is not None and (row.number is None or row.cells.get("first_day")):
            continue
        show = name if row is None else row.cells["show"]
        lost = []
        for table in HANGING_TABLES:
            found = tables.get(table)
            rows = [r for r in found.rows if r.cells.get("show") == show] if found else []
            if found and rows:
                left = tuple(r for r in found.rows if r not in rows)
                tables[table] = replace(found, rows=left)
                more = state("faults.more-rows", count=len(rows) - 1) if len(rows) > 1 else None
                lost.append(state("faults.rows-lost", table=table, row=rows[0].number, more=more))
        if lost:
            remarks.append(
                state(
                    "faults.cancelled-so-that-its-rows",
                    file=event.file,
                    show=show,
                    lost=tuple(lost),
                )
            )
        if lost or row is not None:
            merged = merge_calendars(tables.get("shows"), [event], [])
            assert merged is not None
            tables["shows"] = merged


def merge_calendars(
    table: RawTable | None, events: Sequence[RawRow], remarks: list[Fact]
) -> RawTable | None:
    """Shows of calendar files join those of the table by show or name; what the table says wins.

    An event fills only the empty cells of the row it belongs to; where it says other days or
    another place than that row, a remark says which holds. The same show in two calendar files is
    one show where both say the same.
    """
    if not events:
        return table
    rows = list(table.rows) if table else []
    index: dict[str, int] = {}
    for i, row in enumerate(rows):
        for name in (row.cells.get("name", ""), row.cells.get("show", "")):
            if name:
                index[name] = i
    added: dict[str, list[dict[str, str]]] = {}
    for event in events:
        show = event.cells["show"]
        if show not in index:
            if event.cells not in added.setdefault(show, []):
                added[show].append(event.cells)
                rows.append(event)
            continue
        i = index[show]
        row = rows[i]
        fill = {name: text for name, text in event.cells.items() if name != "show"}
        if row.cells.get("place"):
            fill = {n: t for n, t in fill.items() if n not in ("latitude", "longitude")}
        kept = {name: text for name, text in row.cells.items() if text}
        rows[i] = RawRow(row.file, row.number, {**row.cells, **fill, **kept})
        other = [n for n in CALENDAR_COLUMNS if fill.get(n) and kept.get(n, fill[n]) != fill[n]]
        if other and row.number is not None:
            said = ", ".join(f"{name} {fill[name]}" for name in other)
            remarks.append(
                state(
                    "faults.has-what-row-says-holds",
                    file=event.file,
                    show=show,
                    said=said,
                    file_2=row.file,
                    number=row.number,
                )
            )
    columns = table.columns if table else SHOW_COLUMNS
    return RawTable(table.file if table else events[0].file, columns, tuple(rows))
