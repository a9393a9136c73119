"""One table of columns per file: how a cell is read, whether it is required, what stands for none.

To add a column: add a line here, and use it in `records`.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, fields
from decimal import Decimal
from fractions import Fraction
from typing import Any

from tripkit.errors import BadValue
from tripkit.files.faults import Faults, say_near
from tripkit.files.tables import COMPUTED_MARKS, RawRow, RawTable, find_computed_wrongly, say_more
from tripkit.files.values import (
    Parser,
    make_choice,
    make_decimal,
    make_limit,
    make_whole,
    parse_born,
    parse_clock,
    parse_date,
    parse_height,
    parse_money,
    parse_name,
    parse_names,
    parse_paper,
    parse_share,
    parse_text,
    parse_word,
    parse_yes_no,
    parse_zone,
    say_dates,
    suggest_dates,
)
from tripkit.limits import Limits
from tripkit.people import ROLES, STATUSES

ENTRY_STATUSES = ("wanted", "sent", "paid", "scratched")
LIMBS = ("lf", "rf", "lh", "rh")
MANY_DATES = 4
LIMIT_NAMES = tuple(limit.name for limit in fields(Limits))


@dataclass(frozen=True)
class Column:
    """One column of a file; `empty` stands for an empty cell or a column that is not there."""

    name: str
    parse: Parser
    required: bool = False
    empty: Any = None


def _must(name: str, parse: Parser) -> Column:
    return Column(name, parse, required=True)


_AMOUNT = make_decimal()
_SPEED = make_decimal(above=True, high=200)
_LATITUDE = make_decimal(None, long_comma=True)
_LIMIT_COLUMNS = tuple(Column(name, make_limit(name)) for name in LIMIT_NAMES)

TABLES: dict[str, tuple[Column, ...]] = {
    "shows": (
        _must("show", parse_name),
        Column("place", parse_name, empty=""),
        Column("latitude", _LATITUDE),
        Column("longitude", _LATITUDE),
        _must("first_day", parse_date),
        _must("last_day", parse_date),
        Column("name", parse_name, empty=""),
        Column("tour", parse_name, empty=""),
        Column("country", parse_name, empty=""),
        Column("timezone", parse_zone, empty=""),
        Column("stabling_from", parse_date),
        Column("stabling_until", parse_date),
        Column("entries_open", parse_date),
        Column("entries_close", parse_date),
        Column("late_entries_until", parse_date),
        Column("late_fee", parse_money, empty=0),
        Column("stall_fee", parse_money, empty=0),
        Column("level", parse_text, empty=""),
        Column("rules", parse_name, empty=""),
        Column("places_left", make_whole()),
        Column("stables_open", parse_clock, empty=0),
        Column("stables_close", parse_clock, empty=24 * 60),
        Column("notes", parse_text, empty=""),
    ),
    "classes": (
        _must("show", parse_name),
        _must("class", parse_name),
        _must("day", parse_date),
        _must("height_cm", parse_height),
        Column("division", parse_word, empty="open"),
        Column("youngest_horse", make_whole(0, 60)),
        Column("oldest_horse", make_whole(0, 60)),
        Column("fee", parse_money, empty=0),
        Column("prize", parse_money, empty=0),
        Column("worth", _AMOUNT, empty=Decimal(10)),
        Column("series", parse_name, empty=""),
        Column("points", _AMOUNT, empty=Decimal(0)),
    ),
    "horses": (
        _must("horse", parse_name),
        _must("born", parse_born),
        Column("sex", parse_word, empty=""),
        _must("from_height_cm", parse_height),
        _must("to_height_cm", parse_height),
        Column("rider", parse_name, empty=""),
        Column("weight", _AMOUNT, empty=Decimal(1)),
        Column("in_work_from", parse_date),
        Column("last_jumped", parse_date),
        Column("clear_rate", make_decimal(0, 1)),
        Column("starts_per_show", make_whole(1, 100), empty=3),
        Column("starts_per_day", make_whole(1, 100), empty=1),
        *_LIMIT_COLUMNS,
    ),
    "people": (
        _must("person", parse_name),
        _must("role", make_choice(ROLES)),
        Column("born", parse_born),
        Column("status", make_choice(STATUSES[1:]), empty=""),
        Column("horses_per_show", make_whole(1, 1000), empty=4),
        Column("timezone", parse_zone, empty=""),
    ),
    "shares": (
        _must("horse", parse_name),
        _must("owner", parse_name),
        Column("share", parse_share, empty=Fraction(1)),
    ),
    "papers": (
        Column("horse", parse_name, empty=""),
        Column("person", parse_name, empty=""),
        _must("paper", parse_paper),
        _must("date", parse_date),
        Column("valid_until", parse_date),
        Column("number", parse_text, empty=""),
        Column("note", parse_text, empty=""),
    ),
    "aims": (
        _must("horse", parse_name),
        _must("show", parse_name),
        Column("class", parse_name, empty=""),
        Column("importance", make_decimal(0, 100), empty=Decimal(50)),
        Column("series", parse_name, empty=""),
        Column("points_needed", _AMOUNT, empty=Decimal(0)),
        Column("starts_needed", make_whole(0, 1000), empty=0),
        Column("by", parse_date),
    ),
    "vehicles": (
        _must("vehicle", parse_name),
        _must("places", make_whole(1, 100)),
        Column("drivers", make_whole(1, 2), empty=1),
        Column("driver", parse_names, empty=()),
        Column("per_km", _AMOUNT),
        Column("per_mile", _AMOUNT),
        Column("speed", _SPEED),
    ),
    "absences": (
        _must("who", parse_name),
        _must("first_day", parse_date),
        _must("last_day", parse_date),
        Column("reason", parse_text, empty=""),
    ),
    "results": (
        _must("horse", parse_name),
        _must("date", parse_date),
        Column("show", parse_name, empty=""),
        Column("class", parse_name, empty=""),
        Column("height_cm", parse_height),
        Column("faults", _AMOUNT),
        Column("place", make_whole(0, 10_000)),
        Column("points", _AMOUNT, empty=Decimal(0)),
        Column("series", parse_name, empty=""),
        Column("unsanctioned", parse_yes_no, empty=False),
    ),
    "treatments": (
        _must("horse", parse_name),
        _must("substance", parse_name),
        _must("date", parse_date),
        Column("route", parse_word, empty=""),
        Column("dose", parse_text, empty=""),
    ),
    "vet_checks": (
        _must("horse", parse_name),
        _must("date", parse_date),
        Column("limb", make_choice(LIMBS), empty=""),
        Column("grade", make_whole(0, 5)),
        Column("cleared", parse_yes_no),
        Column("recheck_by", parse_date),
        Column("note", parse_text, empty=""),
    ),
    "entries": (
        _must("horse", parse_name),
        _must("show", parse_name),
        _must("class", parse_name),
        _must("status", make_choice(ENTRY_STATUSES)),
        Column("date", parse_date),
        Column("amount", parse_money),
    ),
    "venues": (
        _must("place", parse_name),
        _must("latitude", _LATITUDE),
        _must("longitude", _LATITUDE),
        Column("timezone", parse_zone, empty=""),
        Column("country", parse_name, empty=""),
        Column("town", parse_name, empty=""),
    ),
    "distances": (
        _must("from", parse_name),
        _must("to", parse_name),
        Column("km", parse_text, empty=""),
        Column("miles", parse_text, empty=""),
        Column("hours", make_decimal(above=True, high=200)),
    ),
}

REQUIRED_TABLES = ("shows", "classes", "horses")


@dataclass(frozen=True)
class Row:
    """One row of a file with its values; `bad` are the columns whose cell could not be read."""

    file: str
    number: int | None
    values: dict[str, Any]
    texts: dict[str, str]
    bad: frozenset[str]

    def __getitem__(self, column: str) -> Any:
        return self.values[column]

    @property
    def where(self) -> str:
        """Where the row stands, for a message about another row of the same file."""
        return self.file if self.number is None else f"row {self.number}"

    def reads(self, *columns: str) -> bool:
        """Whether these columns, or all of them where none is named, could be read."""
        return not (self.bad & set(columns) if columns else self.bad)

    def complain(
        self, faults: Faults, wanted: str, column: str = "", *, quote: bool = True
    ) -> None:
        """Adds a fault in this row, with the cell's own text where a column is named."""
        value = self.texts.get(column, "") if column and quote else None
        faults.add(self.file, wanted, row=self.number, column=column, value=value)


def parse_table(name: str, table: RawTable | None, faults: Faults) -> tuple[Row, ...]:
    """The rows of a table with every cell read; a cell that cannot be read is a fault.

    A required column that is missing is one fault, an empty cell in it one fault each.
    """
    if table is None:
        return ()
    columns = TABLES[name]
    known = [column.name for column in columns]
    missing = set()
    for column in columns:
        # Rows that come from a calendar file bring cells for columns that shows.csv lacks.
        brought = any(row.cells.get(column.name) for row in table.rows)
        if column.required and column.name not in table.columns and not brought:
            missing.add(column.name)
            unknown = [other for other in table.columns if other not in known]
            near = say_near(column.name, unknown)
            faults.add(table.file, f"is missing{near}", column=column.name)
    wrong = _find_wrong_columns(table, columns, faults)
    return tuple(_parse_row(row, columns, missing, wrong, faults) for row in table.rows)


def _find_wrong_columns(
    table: RawTable, columns: tuple[Column, ...], faults: Faults
) -> set[tuple[int | None, str]]:
    """Cells (row, column) that are wrong in one way all down a column: one fault a column.

    A spreadsheet program did not compute them, or wrote several dates in its own way.
    """
    dates = {column.name for column in columns if column.parse in (parse_date, parse_born)}
    computed: dict[tuple[str, str], list[RawRow]] = {}
    written: dict[str, list[RawRow]] = {}
    for row in table.rows:
        # What comes from a calendar no spreadsheet program has seen.
        for column in columns if row.number is not None else ():
            text = row.cells.get(column.name, "")
            wrong = find_computed_wrongly(text) if text[:1] in COMPUTED_MARKS else ""
            if wrong:
                computed.setdefault((column.name, wrong), []).append(row)
            elif column.name in dates and text[4:5] != "-" and suggest_dates(text):
                written.setdefault(column.name, []).append(row)
    found = [(name, wrong, rows) for (name, wrong), rows in computed.items()]
    for name, rows in written.items():
        meant = say_dates(rows[0].cells[name])
        if len(rows) >= MANY_DATES:
            found.append((name, f"is not a date (YYYY-MM-DD){meant}", rows))
    for name, wrong, rows in found:
        wanted = f"{wrong}{say_more(len(rows))}"
        faults.add(rows[0].file, wanted, row=rows[0].number, column=name, value=rows[0].cells[name])
    return {(row.number, name) for name, _, rows in found for row in rows}


def _parse_row(
    raw: RawRow,
    columns: tuple[Column, ...],
    missing: set[str],
    wrong: Collection[tuple[int | None, str]],
    faults: Faults,
) -> Row:
    values: dict[str, Any] = {}
    bad = set(missing)
    for column in columns:
        text = raw.cells.get(column.name, "")
        values[column.name] = column.empty
        if (raw.number, column.name) in wrong:
            bad.add(column.name)
        elif text:
            try:
                values[column.name] = column.parse(text)
            except BadValue as error:
                bad.add(column.name)
                faults.add(raw.file, str(error), row=raw.number, column=column.name, value=text)
        elif column.required and column.name not in missing:
            bad.add(column.name)
            faults.add(raw.file, "is empty", row=raw.number, column=column.name)
    return Row(raw.file, raw.number, values, raw.cells, frozenset(bad))
