"""The season of each lorry, driver and rider as a printed page: drives and shows, week by week."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tripkit.pages.travel_sheet import TEMPLATES, name_end, state_hours
from tripkit.season.seasons import Spell, Week, list_weeks
from tripkit.words.telling import Teller, choose_calendar_teller
from tripkit.yard.circuit import CAR, Circuit, write_driver
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.places import HOME
from tripkit.yard.yard import Yard


@dataclass(frozen=True)
class SeasonWeek:
    """A week as it is told: its head and sum, then a row a spell: days, what, hours, where next."""

    head: str
    sum: str
    rows: tuple[tuple[str, str, str, str], ...]


def tell_season(yard: Yard, circuit: Circuit, who: str, teller: Teller) -> tuple[SeasonWeek, ...]:
    """The season of a lorry or person in words; empty where nothing is told of it."""
    rides = who in yard.riders
    return tuple(
        SeasonWeek(
            teller.tell(state("sheets.week", day=week.first)),
            teller.tell(_sum_up(week, rides)),
            tuple(_tell_spell(yard, spell, teller) for spell in week.spells),
        )
        for week in list_weeks(yard, circuit, who)
    )


def list_seasons(yard: Yard, circuit: Circuit) -> tuple[str, ...]:
    """Whose seasons are told: lorries, those who drive, riders, each once."""
    drivers = (write_driver(d) for leg in circuit.legs for d in leg.drivers)
    names = (*(v.vehicle for v in yard.vehicles), *drivers, *yard.riders)
    return tuple(dict.fromkeys(names))


def write_season_sheets(yard: Yard, circuit: Circuit, broken: Sequence[str] = ()) -> str:
    """A page for each lorry, driver and rider, each in what this person reads.

    `broken` is what the circuit breaks, a line each, at the head of the pages.
    """
    sheets = []
    for who in list_seasons(yard, circuit):
        role = "rider" if who in yard.riders else "driver"
        language = "" if who in yard.vehicle_by_name else yard.find_language(who, role)
        teller = choose_calendar_teller(yard, language)
        weeks = tell_season(yard, circuit, who, teller)
        if weeks:
            sheets.append((who, teller, weeks))
    teller = choose_calendar_teller(yard)
    page = TEMPLATES.get_template("season_sheets.html")
    title = teller.tell(state("sheets.seasons", circuit=circuit.name, yard=yard.name))
    told = page.render(
        sheets=sheets, title=title, teller=teller, circuit=circuit, broken=broken, tell=_tell
    )
    return told + "\n"


def _tell(teller: Teller, code: str, **values: Value) -> str:
    return teller.tell(state(f"sheets.{code}", **values))


def _sum_up(week: Week, rides: bool) -> Fact:
    parts: list[Fact] = []
    if rides and week.classes:
        parts.append(state("sheets.week-classes", count=week.classes))
    if week.drives or not rides:
        parts.append(
            state("sheets.week-drives", driving=state_hours(week.hours), count=week.drives)
        )
        parts.append(state("sheets.week-free", count=week.free_days))
    if week.nights:
        parts.append(state("sheets.week-nights", count=week.nights))
    return state("sheets.week-sum", parts=tuple(parts))


def _tell_spell(yard: Yard, spell: Spell, teller: Teller) -> tuple[str, str, str, str]:
    days = state("sheets.spell-days", days=spell.days)
    what: Fact
    hours: Fact | None = None
    place, there = spell.show, spell.nights
    if spell.leg is not None:
        leg, place = spell.leg, name_end(yard, spell.leg.end)
        there = tuple(night for night in there if night >= leg.days.last and leg.end != HOME)
        horses = state("sheets.spell-aboard", horses=leg.horses) if leg.horses else None
        start = name_end(yard, leg.start)
        what = state("sheets.spell-drive", start=start, end=place, aboard=horses)
        driving = state_hours(leg.hours)
        hours = state("sheets.spell-hours", depart=leg.depart, arrive=leg.arrive, driving=driving)
    elif spell.way is not None:
        way = spell.way
        by = state("sheets.by-car") if way.by == CAR else way.by
        start, end = name_end(yard, way.start), name_end(yard, way.end)
        what = state("sheets.spell-way", start=start, end=end, by=by)
    elif spell.show:
        what = state("sheets.spell-rides", place=place, horses=spell.horses, count=spell.classes)
    else:
        why = state("sheets.spell-because", reason=spell.reason) if spell.reason else None
        what = state("sheets.spell-absent", why=why)
    stays = state("sheets.spell-stays", place=place, count=len(there)) if there else None
    if there and spell.show:
        stays = state("sheets.week-nights", count=len(there))
    told = (days, what, hours, stays)
    first, second, third, fourth = ("" if fact is None else teller.tell(fact) for fact in told)
    return first, second, third, fourth
