"""The road days of one rider, driver, horse or lorry, its season, and those of the whole yard."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from markupsafe import Markup

from tripkit.dashboard.markup import render, write_note
from tripkit.pages.season_sheets import list_seasons, tell_season
from tripkit.season.costs import allot_drives, find_rider_dates
from tripkit.words import page as words
from tripkit.words.days import write_hours
from tripkit.words.figures import write_distance, write_number
from tripkit.words.formats import write_clock, write_day, write_span
from tripkit.words.telling import choose_teller
from tripkit.yard.circuit import Circuit, Leg, write_driver
from tripkit.yard.yard import Yard

EVERYBODY = ""


def list_travellers(yard: Yard, circuit: Circuit) -> dict[str, tuple[str, ...]]:
    """Who has road days, by what they are: riders, drivers, horses, lorries; all in file order."""
    drivers = dict.fromkeys(write_driver(d) for leg in circuit.legs for d in leg.drivers)
    return {
        words.RIDERS: tuple(yard.riders),
        words.DRIVERS: tuple(drivers),
        words.HORSES: tuple(h.horse for h in yard.horses),
        words.LORRIES: tuple(v.vehicle for v in yard.vehicles),
    }


def find_legs(yard: Yard, circuit: Circuit, who: str) -> tuple[Leg, ...]:
    """The drives of a horse, driver or lorry; of a rider those of the horses he rides there.

    A rider's horses are those of the outings he rides at the show that a drive leads to or comes
    from, over calls where they stay aboard.
    """
    legs = sorted(circuit.legs, key=lambda leg: (leg.depart, leg.vehicle))
    if who == EVERYBODY:
        return tuple(legs)
    riding = {(o.horse, o.show) for o in circuit.outings if o.rider == who}
    drives = allot_drives(yard, circuit.outings, legs)
    return tuple(
        leg
        for leg, goals in zip(legs, drives, strict=True)
        if who in (leg.vehicle, *map(write_driver, leg.drivers), *leg.horses)
        or any(riding & {goal, (horse, leg.start)} for horse, goal in goals.items())
    )


def write_road_days(yard: Yard, circuit: Circuit, who: str) -> Markup:
    """What the drives add up to in a sentence, the season week by week, then one row a drive."""
    legs = find_legs(yard, circuit, who)
    season = write_season(yard, circuit, who)
    if not legs:
        return write_note(words.NO_ROAD.format(who=who or yard.name), "empty") + season
    days = {day for leg in legs for day in leg.days}
    nights = sum(stop.kind == "overnight" for leg in legs for stop in leg.stops)
    said = words.ROAD_SUM.format(
        days=len(days),
        drives=words.ONE_DRIVE if len(legs) == 1 else words.DRIVES.format(count=len(legs)),
        hours=write_number(sum(leg.hours for leg in legs)),
        road=write_distance(sum(leg.km for leg in legs), yard.units),
        nights=words.ONE_NIGHT if nights == 1 else words.NIGHTS_COUNT.format(count=nights),
    )
    away = find_rider_dates(yard, circuit.outings, circuit.legs).get(who)
    if away:
        said += " " + words.RIDER_AWAY.format(who=who, days=len(away))
    drives = [_gather_drive(yard, leg) for leg in legs]
    return render("road_days", said=said, who=who or yard.name, season=season, drives=drives)


def write_season(yard: Yard, circuit: Circuit, who: str) -> Markup:
    """The season of a lorry, driver or rider; empty for a horse, whose diary has it."""
    known = who in list_seasons(yard, circuit)
    weeks = tell_season(yard, circuit, who, choose_teller(yard)) if known else ()
    return render("season", who=who, weeks=weeks) if weeks else Markup("")


def _gather_drive(yard: Yard, leg: Leg) -> dict[str, object]:
    is_later = leg.arrive.date() != leg.depart.date()
    return {
        "vehicle": leg.vehicle,
        "drivers": [write_driver(driver) for driver in leg.drivers],
        "horses": leg.horses,
        "days": write_span(leg.days.first, leg.days.last, yard.country),
        "way": words.FROM_TO.format(start=leg.start, end=leg.end),
        "depart": _tell_moment(yard, leg, leg.depart, leg.start),
        "arrive": _tell_moment(yard, leg, leg.arrive, leg.end),
        "arrives_on": write_day(leg.arrive.date(), yard.country) if is_later else "",
        "hours": write_hours(leg.hours),
        "road": write_distance(leg.km, yard.units),
        "stops": _list_stops(yard, leg),
    }


def _tell_moment(yard: Yard, leg: Leg, moment: datetime, stop: str) -> str:
    """The hour by the clock there; the clock is named where it changes."""
    told = write_clock(moment, yard.country)
    if leg.arrive.utcoffset() != leg.depart.utcoffset():
        told += f" {_name_clock(yard, moment, stop)}".rstrip()
    return told


def _name_clock(yard: Yard, moment: datetime, stop: str) -> str:
    """What the clock of a place is called there, as `CST`; its offset where it has no name."""
    found = yard.find_stop(stop)
    zone = (found.timezone if found else "") or yard.place_of(stop).timezone
    try:
        named = moment.astimezone(ZoneInfo(zone)) if zone else moment
    except (ZoneInfoNotFoundError, ValueError):
        named = moment
    return named.tzname() or ""


def _list_stops(yard: Yard, leg: Leg) -> list[str]:
    lines = []
    today = leg.depart.date()

    def say(moment: datetime) -> str:
        """The hour; with its day where that is another than of what was said before."""
        nonlocal today
        told = write_clock(moment, yard.country)
        if moment.date() != today:
            today = moment.date()
            told = f"{write_day(today, yard.country)}, {told}"
        return told

    for stop in leg.stops:
        kind = words.STOP_KINDS.get(stop.kind, stop.kind)
        told = words.STOP_AT.format(time=say(stop.start), kind=kind)
        if stop.near:
            told += words.STOP_NEAR.format(near=stop.near)
        if stop.kind == "overnight":
            told += words.STOP_UNTIL.format(time=say(stop.start + timedelta(minutes=stop.minutes)))
        lines.append(told)
    return lines
