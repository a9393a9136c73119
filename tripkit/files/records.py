"""Rows with checked cells become the ground floor's records.

A row with a fault becomes nothing. What the record of a row without one refuses is its fault.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any, TypeVar

from tripkit.files.columns import LIMIT_NAMES, Row
from tripkit.files.faults import Faults
from tripkit.files.placing import make_place_key
from tripkit.files.settings import Settings, convert_rate
from tripkit.files.values import KM_PER_MILE
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue
from tripkit.yard.horses import Aim, Entry, Horse, Result, VetCheck
from tripkit.yard.limits import Limits
from tripkit.yard.papers import Paper
from tripkit.yard.people import LANGUAGES, Absence, Person, Share
from tripkit.yard.places import Place
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
    for offered in make_records(rows["classes"], make_class, faults):
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
    return Show(
        show=row["show"],
        place_key=key,
        days=days,
        stabling=stabling,
        name=row["name"],
        tour=row["tour"],
        country=place.country or row["country"],
        timezone=row["timezone"] or place.timezone,
        entries_open=row["entries_open"],
        entries_close=row["entries_close"],
        late_entries_until=row["late_entries_until"],
        late_fee_cents=row["late_fee"],
        stall_fee_cents=row["stall_fee"],
        level=row["level"],
        rules=row["rules"],
        places_left=row["places_left"],
        stables_open_minutes=row["stables_open"],
        stables_close_minutes=row["stables_close"],
        notes=row["notes"],
        classes=tuple(c for c in classes if c.day in days),
    )


def make_class(row: Row) -> ShowClass:
    """A row of classes.csv."""
    return ShowClass(
        show=row["show"],
        name=row["class"],
        day=row["day"],
        height_cm=row["height_cm"],
        division=row["division"],
        youngest_horse=row["youngest_horse"],
        oldest_horse=row["oldest_horse"],
        fee_cents=row["fee"],
        prize_cents=row["prize"],
        worth=row["worth"],
        series=row["series"],
        points=row["points"],
    )


def make_horse(row: Row, limits: Limits) -> Horse:
    """A row of horses.csv; its limit columns stand over the yard's limits."""
    own = {name: row[name] for name in LIMIT_NAMES if row[name] is not None}
    born, year_only = row["born"]
    return Horse(
        horse=row["horse"],
        born=born,
        from_height_cm=row["from_height_cm"],
        to_height_cm=row["to_height_cm"],
        born_year_only=year_only,
        sex=row["sex"],
        rider=row["rider"],
        weight=row["weight"],
        in_work_from=row["in_work_from"],
        last_jumped=row["last_jumped"],
        clear_rate=row["clear_rate"],
        starts_per_show=row["starts_per_show"],
        starts_per_day=row["starts_per_day"],
        limits=limits.override(own) if own else limits,
    )


def make_person(row: Row) -> Person:
    """A row of people.csv; of a year alone 1 January is the day of birth."""
    return Person(
        person=row["person"],
        role=row["role"],
        born=row["born"][0] if row["born"] else None,
        status=row["status"],
        horses_per_show=row["horses_per_show"],
        timezone=row["timezone"],
        language=find_known_language(row["language"]),
    )


def find_known_language(word: str) -> str:
    """A language in which people are written to; for any other stands the first, English."""
    known = word.casefold()
    return known if known in ("", *LANGUAGES) else LANGUAGES[0]


def make_vehicle(row: Row, units: str) -> Vehicle:
    """A row of vehicles.csv; `speed` is in the yard's units an hour."""
    speed: Decimal | None = row["speed"]
    if speed is not None and units == "miles":
        speed = speed * KM_PER_MILE
    return Vehicle(
        vehicle=row["vehicle"],
        places=row["places"],
        drivers=row["drivers"],
        driver_names=row["driver"],
        cents_per_km=convert_rate(row["per_km"], row["per_mile"]),
        speed_kmh=None if speed is None else float(speed),
    )


def _make_paper(row: Row) -> Paper:
    return Paper(
        holder=row["horse"] or row["person"],
        paper=row["paper"],
        date=row["date"],
        valid_until=row["valid_until"],
        number=row["number"],
        note=row["note"],
    )


def _make_aim(row: Row) -> Aim:
    return Aim(
        horse=row["horse"],
        show=row["show"],
        class_name=row["class"],
        importance=row["importance"],
        series=row["series"],
        points_needed=row["points_needed"],
        starts_needed=row["starts_needed"],
        by=row["by"],
    )


def _make_result(row: Row) -> Result:
    return Result(
        horse=row["horse"],
        date=row["date"],
        show=row["show"],
        class_name=row["class"],
        height_cm=row["height_cm"],
        faults=row["faults"],
        place=row["place"],
        points=row["points"],
        series=row["series"],
        unsanctioned=row["unsanctioned"],
    )


def _make_treatment(row: Row) -> Treatment:
    return Treatment(
        horse=row["horse"],
        substance=row["substance"],
        date=row["date"],
        route=row["route"],
        dose=row["dose"],
    )


def _make_vet_check(row: Row) -> VetCheck:
    return VetCheck(
        horse=row["horse"],
        date=row["date"],
        limb=row["limb"],
        grade=row["grade"],
        cleared=row["cleared"],
        recheck_by=row["recheck_by"],
        note=row["note"],
    )


def _make_entry(row: Row) -> Entry:
    return Entry(
        horse=row["horse"],
        show=row["show"],
        class_name=row["class"],
        status=row["status"],
        date=row["date"],
        amount_cents=row["amount"],
    )


def make_everything_else(
    rows: Mapping[str, Sequence[Row]], settings: Settings, faults: Faults
) -> dict[str, Any]:
    """All records but the shows, by their field of `Yard`."""
    held: dict[str, Fraction] = {}
    for row in rows["shares"]:
        held[row["horse"]] = held.get(row["horse"], Fraction(0)) + row["share"]
    makers: dict[str, Callable[[Row], Any]] = {
        "horses": lambda row: make_horse(row, settings.limits),
        "people": make_person,
        # Thirds that a spreadsheet rounded are thirds again.
        "shares": lambda row: Share(row["horse"], row["owner"], row["share"] / held[row["horse"]]),
        "papers": _make_paper,
        "aims": _make_aim,
        "vehicles": lambda row: make_vehicle(row, settings.units),
        "absences": lambda row: Absence(
            row["who"], DaySpan(row["first_day"], row["last_day"]), row["reason"]
        ),
        "results": _make_result,
        "treatments": _make_treatment,
        "vet_checks": _make_vet_check,
        "entries": _make_entry,
    }
    return {name: make_records(rows[name], make, faults) for name, make in makers.items()}
