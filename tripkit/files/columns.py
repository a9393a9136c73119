"""One table of columns per file: how a cell is read, whether it is required, what stands for none.

To add a column: add a line here; the record's field of its name takes it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from tripkit.files.faults import Faults
from tripkit.files.tables import (
    COMPUTED_MARKS,
    RawRow,
    RawTable,
    count_cells,
    find_computed_wrongly,
)
from tripkit.files.values import (
    Parser,
    make_choice,
    make_decimal,
    make_degrees,
    make_limit,
    make_whole,
    parse_born,
    parse_clock,
    parse_date,
    parse_day_names,
    parse_height,
    parse_money,
    parse_name,
    parse_names,
    parse_outings_wanted,
    parse_paper,
    parse_share,
    parse_text,
    parse_word,
    parse_yes_no,
    parse_zone,
    say_dates,
    suggest_dates,
)
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import ENTRY_STATUSES, OutingsWanted
from tripkit.yard.limits import LIMITS
from tripkit.yard.names import suggest_near
from tripkit.yard.people import HORSES_PER_GROOM, ROLES, STATUSES

LIMBS = ("lf", "rf", "lh", "rh")
MANY_DATES = 4
WHO_KINDS = ("horse", "person", "vehicle")
"""The kinds of whom no two bear one name."""
STOP_KINDS = ("show", "base")
"""The kinds of where a drive ends, of which no two bear one name either."""
FILE_OF_KIND = {
    "horse": "horses",
    "person": "people",
    "vehicle": "vehicles",
    "show": "shows",
    "base": "bases",
}
"""The file whose column of that name tells which names of a kind there are."""
KINDS = (*FILE_OF_KIND, "tour", "series", "level", "division", "sex", "paper")
UNITS: Mapping[Parser, str] = {
    parse_money: "_cents",
    parse_clock: "_minutes",
    parse_names: "_names",
}
LIMIT_NAMES = tuple(LIMITS)


@dataclass(frozen=True)
class Column:
    """One column of a file, and what it holds, in words for the handbook.

    `empty` stands for an empty cell or a column that is not there. `field` is what the record calls
    the value, else its name with the unit behind. `of` are the kinds that it names, with blanks
    between, else its name where that is a kind; a `free` one may name what the yard does not have.
    A `key` tells rows apart, together with the others of its file. The value lies not before, or
    below, that of the column `after`.
    """

    name: str
    parse: Parser
    holds: str
    required: bool = False
    empty: Any = None
    field: str = ""
    of: str = ""
    free: bool = False
    key: bool = False
    after: str = ""

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds that it names; of several each cell names one."""
        return tuple((self.of or self.name).split()) if self.of or self.name in KINDS else ()

    @property
    def holds_several(self) -> bool:
        """Whether a cell holds several names."""
        return self.parse is parse_names

    def list_names(self, row: Row) -> tuple[str, ...]:
        """The names in a row, none where its cell is empty or cannot be read."""
        held = row[self.name] if row.reads(self.name) else ()
        return tuple(name for name in ((held,) if isinstance(held, str) else held) if name)

    @property
    def record_field(self) -> str:
        """What the record calls its value."""
        return self.field or self.name + UNITS.get(self.parse, "")


def _must(name: str, parse: Parser, holds: str, **more: Any) -> Column:
    return Column(name, parse, holds, required=True, **more)


def _text(name: str, holds: str, parse: Parser = parse_name, **more: Any) -> Column:
    return Column(name, parse, holds, empty="", **more)


_AMOUNT = make_decimal()
_SPEED = make_decimal(above=True, high=200)
_LATITUDE, _LONGITUDE = make_degrees(90), make_degrees(180)
_LIMIT_COLUMNS = tuple(
    Column(name, make_limit(name), f"{limit.says}, else the yard's")
    for name, limit in LIMITS.items()
)

TABLES: dict[str, tuple[Column, ...]] = {
    "shows": (
        _must("show", parse_name, "its name in every other file", key=True),
        _text("place", "town, ZIP code or a name of venues.csv; else latitude and longitude"),
        Column("latitude", _LATITUDE, "degrees north, wins over the place's own"),
        Column("longitude", _LONGITUDE, "degrees east"),
        _must("first_day", parse_date, "first day of the show"),
        _must("last_day", parse_date, "last day of the show", after="first_day"),
        _text("name", "its full name, on sheets and calendars"),
        _text("tour", "the tour it belongs to"),
        _text("country", "where the place alone does not say it (US, DE, ...)"),
        _text("timezone", "such as Europe/Berlin, else that of the place", parse_zone),
        Column(
            "stabling_from",
            parse_date,
            "first day that a horse may stand there, else two days before the first day",
        ),
        Column(
            "stabling_until",
            parse_date,
            "last day that a horse may stand there, else the day after the last day",
            after="stabling_from",
        ),
        Column("entries_open", parse_date, "when entries open"),
        Column("entries_close", parse_date, "when entries close", after="entries_open"),
        Column(
            "late_entries_until",
            parse_date,
            "until when late entries are taken",
            after="entries_close",
        ),
        Column("late_fee", parse_money, "once per horse that is entered late", empty=0),
        Column("stall_fee", parse_money, "once per horse", empty=0),
        Column("refund_until", parse_date, "until when fees are given back; empty: never"),
        Column("refund_share", parse_share, "how much of them; empty: all"),
        _text("level", "as the federation writes it: regional, CSI2*, ...", parse_text),
        _text("rules", "rule books that apply there beside the yard's"),
        Column("places_left", make_whole(), "horses it still takes beyond entries sent or paid"),
        Column(
            "stables_open", parse_clock, "from when the stables take horses, local time", empty=0
        ),
        Column("stables_close", parse_clock, "until when", empty=24 * 60),
        _text("notes", "your own words", parse_text),
    ),
    "classes": (
        _must("show", parse_name, "the show that offers it", key=True),
        _must("class", parse_name, "its name", field="name", key=True),
        _must("day", parse_date, "the day it is jumped"),
        _must("height_cm", parse_height, "its height"),
        Column("division", parse_word, "open, young, amateur, junior", empty="open"),
        Column("youngest_horse", make_whole(0, 60), "years, the youngest horse that may start"),
        Column(
            "oldest_horse",
            make_whole(0, 60),
            "years, the oldest horse that may start",
            after="youngest_horse",
        ),
        Column("fee", parse_money, "entry fee", empty=0),
        Column("prize", parse_money, "prize money; no plan counts on it", empty=0),
        Column("worth", _AMOUNT, "how much a start in it is worth to the yard, else class_worth"),
        _text("series", "the series it counts for"),
        Column(
            "points", _AMOUNT, "points to be expected there if it goes as usual", empty=Decimal(0)
        ),
        Column("starts", parse_clock, "when it begins, local time"),
        Column("ends", parse_clock, "when it ends, local time", after="starts"),
    ),
    "horses": (
        _must("horse", parse_name, "its name in every other file", key=True),
        _must("born", parse_born, "year or day of birth"),
        _text("sex", "mare, gelding, stallion", parse_word),
        _must("from_height_cm", parse_height, "lowest class it jumps"),
        _must("to_height_cm", parse_height, "highest class it jumps", after="from_height_cm"),
        _text("rider", "who alone rides it, else any rider who fits", of="person"),
        Column(
            "also_ridden_by",
            parse_names,
            "who else schools it, and rides it where that rider is absent",
            empty=(),
            field="also_ridden_by",
            of="person",
        ),
        Column("weight", _AMOUNT, "how much it matters beside the others", empty=Decimal(1)),
        Column("in_work_from", parse_date, "since when it is in work"),
        Column("last_jumped", parse_date, "when it last jumped"),
        Column(
            "clear_rate", make_decimal(0, 1), "share of rounds without faults; no plan counts on it"
        ),
        Column("starts_per_show", make_whole(1, 100), "most classes at one show", empty=3),
        Column("starts_per_day", make_whole(1, 100), "most classes on one day", empty=1),
        Column(
            "outings_wanted",
            parse_outings_wanted,
            "outings in the season, at least and at most",
            empty=OutingsWanted(),
        ),
        *_LIMIT_COLUMNS,
    ),
    "people": (
        _must("person", parse_name, "the name in every other file", key=True),
        _must("role", make_choice(ROLES), "what this person does; a row for each role", key=True),
        Column("born", parse_born, "year or day of birth"),
        Column(
            "status",
            make_choice(STATUSES[1:]),
            "what a junior or amateur class asks of its rider",
            empty="",
        ),
        Column(
            "horses_per_show", make_whole(1, 1000), "most horses a rider rides at one show", empty=4
        ),
        Column(
            "horses_per_groom",
            make_whole(1, 1000),
            "most horses a groom looks after at one place",
            empty=HORSES_PER_GROOM,
        ),
        _text("timezone", "of the calendar, else the yard's", parse_zone),
        _text("language", "of what this person reads: en, es, de or fr, else the yard's"),
        Column(
            "days_off",
            parse_day_names,
            "days of the week without a class, a drive or horses away to groom, `;` between",
            empty=(),
        ),
    ),
    "shares": (
        _must("horse", parse_name, "the horse", key=True),
        _must("owner", parse_name, "a person who is owner", of="person", key=True),
        Column("share", parse_share, "the shares of a horse sum to 1", empty=Fraction(1)),
    ),
    "papers": (
        _text("horse", "whose paper it is, else person"),
        _text("person", "whose paper it is, else horse"),
        _must(
            "paper",
            parse_paper,
            "influenza, herpes, coggins, passport, registration, health_certificate, licence, ...",
        ),
        _must("date", parse_date, "when given or issued; in the future: an appointment"),
        Column(
            "valid_until",
            parse_date,
            "where the paper says so, else what the rule book grants",
            after="date",
        ),
        _text("number", "its number", parse_text),
        _text("note", "primary 1 or 2 for a first dose; the kind of a certificate", parse_text),
    ),
    "aims": (
        _must("horse", parse_name, "the horse", key=True),
        _must("show", parse_name, "its target show", key=True),
        _text("class", "its target class, else any of the show", field="class_name", key=True),
        Column("importance", make_decimal(0, 100), "worth added when it is met", empty=Decimal(50)),
        _text("series", "the series in which it has to qualify"),
        Column("points_needed", _AMOUNT, "points of the series it has to reach", empty=Decimal(0)),
        Column(
            "starts_needed", make_whole(0, 1000), "starts of the series it has to reach", empty=0
        ),
        Column("by", parse_date, "before which day, else before the first class"),
    ),
    "vehicles": (
        _must("vehicle", parse_name, "its name in every other file", key=True),
        _must("places", make_whole(1, 100), "horses it takes"),
        Column("drivers", make_whole(1, 2), "drivers aboard", empty=1),
        Column("driver", parse_names, "who drives it, in this order", empty=(), of="person"),
        Column("per_km", _AMOUNT, "cost of a kilometre, else the yard's"),
        Column("per_mile", _AMOUNT, "cost of a mile, else the yard's"),
        Column("speed", _SPEED, "in the yard's units an hour, else the yard's"),
        Column("hire", parse_yes_no, "whether it is on hire", empty=False),
        Column(
            "per_day", parse_money, "cost of a day of one on hire, from leaving to return", empty=0
        ),
    ),
    "bases": (
        _must("base", parse_name, "its name in every other file", key=True),
        _must("place", parse_name, "town, ZIP code or a name of venues.csv"),
        _must("first_day", parse_date, "first day on which horses may be there"),
        _must("last_day", parse_date, "last day, which they leave on", after="first_day"),
        _must("boxes", make_whole(1, 1000), "horses it takes at night"),
        Column("per_night", parse_money, "a horse's night, else base_night of yard.toml"),
        Column("staffed", parse_yes_no, "whether its own grooms look after them", empty=False),
        Column(
            "stays",
            parse_yes_no,
            "whether horses and vehicles may be there when the season ends",
            empty=False,
        ),
        _text("timezone", "such as Europe/Berlin, else that of the place", parse_zone),
    ),
    "absences": (
        _must("who", parse_name, "horse, person or vehicle", of=" ".join(WHO_KINDS)),
        _must("first_day", parse_date, "first day"),
        _must("last_day", parse_date, "last day", after="first_day"),
        _text("reason", "your own words", parse_text),
        _text(
            "at",
            "where a vehicle stands meanwhile: a place, a show, a base, else home",
            of="show place base",
        ),
    ),
    "results": (
        _must("horse", parse_name, "the horse"),
        _must("date", parse_date, "the day of the start"),
        _text("show", "the show", free=True),
        _text("class", "the class", field="class_name"),
        Column("height_cm", parse_height, "its height"),
        Column("faults", _AMOUNT, "faults"),
        Column("place", make_whole(0, 10_000), "its place in the class"),
        Column("points", _AMOUNT, "points won", empty=Decimal(0)),
        _text("series", "the series they count for, else that of the class"),
        Column(
            "unsanctioned", parse_yes_no, "at an event that no federation recognised", empty=False
        ),
    ),
    "treatments": (
        _must("horse", parse_name, "the horse"),
        _must("substance", parse_name, "as the list of the federation names it"),
        _must("date", parse_date, "when it was given"),
        _text("route", "how it was given (oral, iv, ...)", parse_word),
        _text("dose", "how much of it", parse_text),
    ),
    "vet_checks": (
        _must("horse", parse_name, "the horse"),
        _must("date", parse_date, "the day of the check"),
        Column("limb", make_choice(LIMBS), "left or right, fore or hind", empty=""),
        Column("grade", make_whole(0, 5), "of lameness, AAEP scale"),
        Column("cleared", parse_yes_no, "whether it may jump"),
        Column("recheck_by", parse_date, "until when to check again", after="date"),
        _text("note", "your own words", parse_text),
    ),
    "entries": (
        _must("horse", parse_name, "the horse"),
        _must("show", parse_name, "the show"),
        _must("class", parse_name, "the class", field="class_name"),
        _must(
            "status",
            make_choice(ENTRY_STATUSES),
            "how far the entry is; sent and paid are kept by every plan",
        ),
        Column("date", parse_date, "since when; of several rows the latest holds"),
        Column("amount", parse_money, "what was paid, else the fee"),
    ),
    "venues": (
        _must("place", parse_name, "the name that the other files use"),
        _must("latitude", _LATITUDE, "degrees north"),
        _must("longitude", _LONGITUDE, "degrees east"),
        _text("timezone", "such as Europe/Berlin, else that of the nearest town", parse_zone),
        _text("country", "such as US or DE"),
        _text("town", "the town it lies by"),
    ),
    "distances": (
        _must("from", parse_name, "a place, a show, a base, or home", of="show place base"),
        _must(
            "to",
            parse_name,
            "the same; both directions hold unless both are given",
            of="show place base",
        ),
        _text("km", "a number of kilometres by road, or miles", parse_text),
        _text("miles", "a number of miles by road, or km", parse_text),
        Column("hours", make_decimal(above=True, high=200), "hours of driving, without halts"),
    ),
}

REQUIRED_TABLES = ("shows", "classes", "horses")


def list_columns(kind: str) -> tuple[tuple[str, Column], ...]:
    """Every file and column that names a kind, the file of the kind itself first."""
    own = FILE_OF_KIND.get(kind)
    files = sorted(TABLES, key=lambda table: table != own)
    return tuple((t, column) for t in files for column in TABLES[t] if kind in column.kinds)


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

    @property
    def at(self) -> str:
        """The file with the row where it stands."""
        return self.file if self.number is None else f"{self.file} row {self.number}"

    def reads(self, *columns: str) -> bool:
        """Whether these columns, or all of them where none is named, could be read."""
        return not (self.bad & set(columns) if columns else self.bad)

    def complain(
        self, faults: Faults, wanted: Fact, column: str = "", *, quote: bool = True
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
            near = suggest_near(column.name, unknown)
            faults.add(table.file, state("faults.is-missing-2", near=near), column=column.name)
    wrong = _find_wrong_columns(table, columns, faults)
    return tuple(_parse_row(row, columns, missing, wrong, faults) for row in table.rows)


def _find_wrong_columns(
    table: RawTable, columns: tuple[Column, ...], faults: Faults
) -> set[tuple[int | None, str]]:
    """Cells (row, column) that are wrong in one way all down a column: one fault a column.

    A spreadsheet program did not compute them, or wrote several dates in its own way.
    """
    dates = {column.name for column in columns if column.parse in (parse_date, parse_born)}
    computed: dict[tuple[str, Fact], list[RawRow]] = {}
    written: dict[str, list[RawRow]] = {}
    for row in table.rows:
        # What comes from a calendar no spreadsheet program has seen.
        for column in columns if row.number is not None else ():
            text = row.cells.get(column.name, "")
            wrong = find_computed_wrongly(text) if text[:1] in COMPUTED_MARKS else None
            if wrong:
                computed.setdefault((column.name, wrong), []).append(row)
            elif column.name in dates and text[4:5] != "-" and suggest_dates(text):
                written.setdefault(column.name, []).append(row)
    found = [(name, wrong, rows) for (name, wrong), rows in computed.items()]
    for name, rows in written.items():
        meant = say_dates(rows[0].cells[name])
        if len(rows) >= MANY_DATES:
            found.append((name, state("faults.not-date-yyyymmdd-2", dates=meant), rows))
    for name, wrong, rows in found:
        wanted = state("faults.more", wrong=wrong, more=count_cells(len(rows)))
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
                faults.add(raw.file, error.fact, row=raw.number, column=column.name, value=text)
        elif column.required and column.name not in missing:
            bad.add(column.name)
            faults.add(raw.file, state("faults.is-empty"), row=raw.number, column=column.name)
    return Row(raw.file, raw.number, values, raw.cells, frozenset(bad))
