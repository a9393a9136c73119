"""What moves with a show that its organiser moves, and what the yard wrote itself and keeps.

Classes, entry dates and stabling follow their show. What is left to the manager is said, row by
row, with what to do.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from tripkit.files.tables import RawTable, list_rows
from tripkit.files.values import parse_date
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue, InputError
from tripkit.yard.facts import Fact, state

ENTRY_DATES = ("entries_open", "entries_close", "late_entries_until")


@dataclass(frozen=True)
class CellMove:
    """One date of the yard's files that moves with a show: where it stands, and what it becomes."""

    file: str
    row: int
    column: str
    show: str
    class_name: str
    before: date
    after: date

    @property
    def what(self) -> Fact:
        """Which date it is, and where it stands."""
        code = "merging.class" if self.class_name else "merging.date"
        return state(code, **vars(self))

    @property
    def fact(self) -> Fact:
        """What moves, from which day to which."""
        return state("merging.move", what=self.what, after=self.after, before=self.before)


def find_days(cells: Mapping[str, str]) -> DaySpan | None:
    """The days of a row of shows, None where they cannot be read."""
    first, last = (_read(cells.get(column, "")) for column in ("first_day", "last_day"))
    if first is None or last is None or last < first:
        return None
    return DaySpan(first, last)


def list_moves(
    tables: Mapping[str, RawTable], show: str, before: DaySpan, after: DaySpan
) -> Iterator[CellMove]:
    """Every date of the yard's files that moves with a show.

    A show that moved as a whole takes everything along by as many days. Where it became longer
    or shorter, classes and entry dates keep their days as long as the old and the new days of the
    show overlap, and else move with its first day; stabling goes with the first and last day. A
    class that already lies in the new days only was moved by hand, and stays.
    """
    first, last = after.first - before.first, after.last - before.last
    none = timedelta()
    shift = first if first == last or not before.overlaps(after) else none
    shifts = dict.fromkeys(ENTRY_DATES, shift) | {"stabling_from": first, "stabling_until": last}
    for row in list_rows(tables, "shows", show):
        for column, by in shifts.items():
            day = _read(row.cells.get(column, ""))
            if day is not None and by and row.number is not None:
                yield CellMove(row.file, row.number, column, show, "", day, day + by)
    for row in list_rows(tables, "classes", show):
        day = _read(row.cells.get("day", ""))
        if day is None or not shift or row.number is None or (day in after and day not in before):
            continue
        name = row.cells.get("class", "")
        yield CellMove(row.file, row.number, "day", show, name, day, day + shift)


def list_outside(
    tables: Mapping[str, RawTable], show: str, after: DaySpan, moves: Sequence[CellMove]
) -> Iterator[InputError]:
    """Every class that falls outside the new days of its show, with what to do."""
    moved = {(move.file, move.row): move.after for move in moves if move.column == "day"}
    for row in list_rows(tables, "classes", show):
        written = row.cells.get("day", "")
        day = moved.get((row.file, row.number or 0), _read(written))
        if day is not None and day not in after:
            yield InputError(
                row.file,
                row.number,
                "day",
                written,
                state(
                    "faults.would-be-and-outside-to",
                    day=day,
                    show=show,
                    after_first=after.first,
                    after_last=after.last,
                    get=row.cells.get("class", ""),
                ),
            )


def list_kept_dates(tables: Mapping[str, RawTable], show: str) -> Iterator[Fact]:
    """What the yard wrote of a show itself and an organiser does not move."""
    for row in list_rows(tables, "aims", show):
        if row.cells.get("by"):
            yield state(
                "merging.qualifies-by",
                horse=row.cells.get("horse", ""),
                show=show,
                day=read_day(row.cells["by"]),
                file=row.file,
                row=row.number,
            )


def read_day(text: str) -> date | str:
    """A day as it was written; text that is none stays as it is."""
    return _read(text) or text


def _read(text: str) -> date | None:
    try:
        return parse_date(text) if text else None
    except BadValue:
        return None
