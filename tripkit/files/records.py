"""Rows with checked cells become the ground floor's records.

A row with a fault becomes nothing. What the record of a row without one refuses is its fault.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping, Sequence
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cache, partial
from typing import Any, TypeVar

from tripkit.files.columns import LIMIT_NAMES, TABLES, Row
from tripkit.files.faults import Faults
from tripkit.files.placing import make_place_key
from tripkit.files.settings import Settings, convert_rate
from tripkit.files.values import KM_PER_MILE
from tripkit.yard.bases import Base
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue
from tripkit.yard.horses import Aim, Entry, Horse, Result, VetCheck
from tripkit.yard.limits import Limits
from tripkit.yard.papers import Paper
from tripkit.yard.people import LANGUAGES, Absence, Person, Share, find_language
from tripkit.yard.places import HOME, Place
from tripkit.yard.shows import Show, ShowClass
from tripkit.yard.treatments import Treatment
from tripkit.yard.vehicles import Vehicle

Record = TypeVar("Record")

STABLING_DAYS_BEFORE = 2
STABLING_DAYS_AFTER = 1


def make_records(
    rows: Sequence[Row], make: Callable[[Row], Record], faults: Faults
) -> tuple[Record, ...]:
    """Each row without faults becomes a record; what the record refuses is a fault."""
    records = []
    for row in rows:
        if row.reads() and not faults.has_row(row.file, row.number):
            try:
                records.append(make(row))
            except BadValue as error:
                row.complain(faults, error.fact)
    return tuple(records)


def make_shows(
    rows: Mapping[str, Sequence[Row]], places: Mapping[str, Place], faults: Faults
) -> tuple[Show, ...]:
    """Shows in file order, each with its classes by day and then in file order."""
    classes: dict[str, list[ShowClass]] = {}
    for offered in make_records(rows["classes"], partial(_fill, ShowClass, "classes"), faults):
        classes.setdefault(offered.show, []).append(offered)

    def make(row: Row) -> Show:
        return make_show(row, places, sorted(classes.get(row["show"], ()), key=lambda c: c.day))

    located = [row for row in rows["shows"] if make_place_key(row) in places]
    return make_records(located, make, faults)


def make_show(row: Row, places: Mapping[str, Place], classes: Sequence[ShowClass]) -> Show:
    """A row of shows.csv; time zone and country are its place's where the row names none.

    Stalls are open from two days before the first day to the day after the last unless the row
    says otherwise. **Source:** common practice, no source.
    """
    key = make_place_key(row)
    place = places[key]
    days = DaySpan(row["first_day"], row["last_day"])
    opens, closes = row["stabling_from"], row["stabling_until"]
    stabling = DaySpan(
        days.first - timedelta(days=STABLING_DAYS_BEFORE) if opens is None else opens,
        days.last + timedelta(days=STABLING_DAYS_AFTER) if closes is None else closes,
    )
    return _fill(
        Show,
        "shows",
        row,
        place_key=key,
        days=days,
        stabling=stabling,
        country=place.country or row["country"],
        timezone=row["timezone"] or place.timezone,
        classes=tuple(c for c in classes if c.day in days),
    )


def _fill(record: Callable[..., Record], table: str, row: Row, **more: Any) -> Record:
    """The record of a row: values go where the columns say, but for what is made of several."""
    taken = {field: row[column] for field, column in _list_fields(record, table)}
    return record(**taken | more)


@cache
def _list_fields(record: Callable[..., Record], table: str) -> tuple[tuple[str, str], ...]:
    """The fields of a record that a column fills, each with that column."""
    known = inspect.signature(record).parameters
    pairs = ((column.record_field, column.name) for column in TABLES[table])
    return tuple(pair for pair in pairs if pair[0] in known)


def make_horse(row: Row, limits: Limits) -> Horse:
    """A row of horses.csv; its limit columns stand over the yard's limits."""
    own = {name: row[name] for name in LIMIT_NAMES if row[name] is not None}
    born, year_only = row["born"]
    limits = limits.override(own) if own else limits
    return _fill(Horse, "horses", row, born=born, born_year_only=year_only, limits=limits)


def make_person(row: Row) -> Person:
    """A row of people.csv; of a year alone 1 January is the day of birth."""
    born = row["born"][0] if row["born"] else None
    return _fill(Person, "people", row, born=born, language=find_known_language(row["language"]))


def find_known_language(word: str) -> str:
    """A language in which people are written to; for any other stands the first, English."""
    known = find_language(word)
    return LANGUAGES[0] if known is None else known


def make_vehicle(row: Row, units: str) -> Vehicle:
    """A row of vehicles.csv; `speed` is in the yard's units an hour."""
    speed: Decimal | None = row["speed"]
    if speed is not None and units == "miles":
        speed = speed * KM_PER_MILE
    return _fill(
        Vehicle,
        "vehicles",
        row,
        cents_per_km=convert_rate(row["per_km"], row["per_mile"]),
        speed_kmh=None if speed is None else float(speed),
    )


def make_base(row: Row, place: Place, base_night_cents: int) -> Base:
    """A row of bases.csv; where it names no price or time zone, the yard's and its place's."""
    price = row["per_night"]
    return _fill(
        Base,
        "bases",
        row,
        place_key=make_place_key(row),
        days=DaySpan(row["first_day"], row["last_day"]),
        per_night_cents=base_night_cents if price is None else price,
        timezone=row["timezone"] or place.timezone,
    )


def make_everything_else(
    rows: Mapping[str, Sequence[Row]],
    settings: Settings,
    places: Mapping[str, Place],
    stands: Mapping[str, str],
    faults: Faults,
) -> dict[str, Any]:
    """All records but the shows, by their field of `Yard`.

    `stands` leads from what `at` of absences.csv may say to a place key.
    """
    located = {**rows, "bases": [row for row in rows["bases"] if make_place_key(row) in places]}
    held: dict[str, Fraction] = {}
    for row in rows["shares"]:
        held[row["horse"]] = held.get(row["horse"], Fraction(0)) + row["share"]
    makers: dict[str, Callable[[Row], Any]] = {
        "horses": lambda row: make_horse(row, settings.limits),
        "people": make_person,
        # Thirds that a spreadsheet rounded are thirds again.
        "shares": lambda row: Share(row["horse"], row["owner"], row["share"] / held[row["horse"]]),
        "papers": lambda row: _fill(Paper, "papers", row, holder=row["horse"] or row["person"]),
        "aims": partial(_fill, Aim, "aims"),
        "vehicles": lambda row: make_vehicle(row, settings.units),
        "bases": lambda row: make_base(
            row, places[make_place_key(row)], settings.costs.base_night_cents
        ),
        "absences": lambda row: Absence(
            row["who"],
            DaySpan(row["first_day"], row["last_day"]),
            row["reason"],
            stands.get(row["at"], HOME),
        ),
        "results": partial(_fill, Result, "results"),
        "treatments": partial(_fill, Treatment, "treatments"),
        "vet_checks": partial(_fill, VetCheck, "vet_checks"),
        "entries": partial(_fill, Entry, "entries"),
    }
    return {name: make_records(located[name], make, faults) for name, make in makers.items()}
