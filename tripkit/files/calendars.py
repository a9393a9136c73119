"""Shows out of calendar files (.ics): one row of text cells per VEVENT, as shows.csv has them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from tripkit.files.faults import Faults
from tripkit.files.tables import RawRow, RawTable, read_bytes

SHOW_COLUMNS = ("show", "place", "latitude", "longitude", "first_day", "last_day")


def read_calendar(path: Path, faults: Faults, remarks: list[str]) -> list[RawRow]:
    """The shows of one calendar file; an event that cannot be read is a fault.

    Cancelled events are left out and of a repeating one only the first is read, both with a
    remark. DTEND of whole days is exclusive.

    **Source:** RFC 5545, sections 3.6.1 and 3.8.2.2.
    """
    faults.announce(path.name)
    data = read_bytes(path, faults)
    if data is None:
        return []
    from icalendar import Calendar

    try:
        calendars = Calendar.from_ical(data.decode("utf-8-sig"), multiple=True)
        events = [event for calendar in calendars for event in calendar.walk("VEVENT")]
    # The parser raises whatever it trips over; to the user every one of them means the same.
    except Exception as error:
        faults.add(path.name, f"is no readable calendar file ({type(error).__name__}: {error})")
        return []
    if not any(calendar.name == "VCALENDAR" for calendar in calendars):
        faults.add(path.name, "is no calendar file (it holds no VCALENDAR)")
        return []
    rows = []
    for number, event in enumerate(events, start=1):
        where = f"{path.name} event {number}"
        faults.announce(where)
        if str(event.get("STATUS", "")).upper() == "CANCELLED":
            remarks.append(f"{where}: is cancelled and was left out")
            continue
        if "RRULE" in event:
            remarks.append(f"{where}: repeats; only the first time was read")
        cells = _read_event(event, where, faults)
        if cells is not None:
            rows.append(RawRow(where, None, cells))
    return rows


def _read_event(event: Any, where: str, faults: Faults) -> dict[str, str] | None:
    for name, reason in event.errors:
        faults.add(where, f"cannot be read ({reason})", column=str(name))
    if event.errors:
        return None
    summary = " ".join(str(event.get("SUMMARY", "")).split())
    if not summary:
        faults.add(where, "is missing", column="SUMMARY")
        return None
    try:
        first = _find_day(event.start)
        last = max(first, _find_last_day(event.end))
    # Missing, doubled or mixed dates are told apart by the parser's own words.
    except Exception as error:
        faults.add(where, f"has no readable DTSTART and DTEND ({error})", value=summary)
        return None
    cells = {
        "show": summary,
        "place": " ".join(str(event.get("LOCATION", "")).split()),
        "first_day": first.isoformat(),
        "last_day": last.isoformat(),
    }
    point = event.get("GEO")
    if point is not None and hasattr(point, "latitude"):
        cells |= {
            "latitude": f"{point.latitude:f}",
            "longitude": f"{point.longitude:f}",
        }
    return cells


def _find_day(moment: date | datetime) -> date:
    return moment.date() if isinstance(moment, datetime) else moment


def _find_last_day(end: date | datetime) -> date:
    ends_at_midnight = not isinstance(end, datetime) or end.time() == time()
    return _find_day(end) - timedelta(days=1) if ends_at_midnight else _find_day(end)


def merge_calendars(table: RawTable | None, events: Sequence[RawRow]) -> RawTable | None:
    """Shows of calendar files join those of the table by show or name; what the table says wins.

    An event fills only the empty cells of the row it belongs to. The same show in two calendar
    files is one show where both say the same.
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
    columns = table.columns if table else SHOW_COLUMNS
    return RawTable(table.file if table else events[0].file, columns, tuple(rows))
