"""The road days of one rider, driver, horse or lorry as a table, and of the whole yard."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from markupsafe import Markup

from tripkit.dashboard.markup import join_pieces, wrap, write_names, write_text
from tripkit.season.costs import find_rider_dates
from tripkit.words import page as words
from tripkit.words.days import write_hours
from tripkit.words.figures import write_distance, write_number
from tripkit.words.formats import write_clock, write_day, write_span
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


def find_legs(circuit: Circuit, who: str) -> tuple[Leg, ...]:
    """The drives of a horse, driver or lorry; of a rider those of the horses he rides there.

    A rider's horses are those of the outings he rides at the show where a drive ends or starts.
    """
    if who == EVERYBODY:
        return circuit.legs
    riding = {(o.horse, o.show) for o in circuit.outings if o.rider == who}
    return tuple(
        leg
        for leg in circuit.legs
        if who in (leg.vehicle, *map(write_driver, leg.drivers), *leg.horses)
        or any((horse, stop) in riding for horse in leg.horses for stop in (leg.start, leg.end))
    )


def write_road_days(yard: Yard, circuit: Circuit, who: str) -> Markup:
    """What the drives add up to in a sentence, then one row a drive."""
    legs = find_legs(circuit, who)
    if not legs:
        return wrap("p", write_text(words.NO_ROAD.format(who=who or yard.name)), "empty")
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
    return wrap("p", write_text(said), "sum") + _write_table(yard, legs, who)


def _write_table(yard: Yard, legs: Sequence[Leg], who: str) -> Markup:
    heads = words.ROAD_HEADS
    rows = []
    for leg in legs:
        drivers = tuple(map(write_driver, leg.drivers))
        cells = (
            wrap("span", write_text(words.FROM_TO.format(
                start=leg.start, end=leg.end)), "long"),
            _write_moment(yard, leg, leaving=True),
            _write_moment(yard, leg, leaving=False),
            wrap("span", write_text(write_hours(leg.hours)), "hour")
            + wrap("small", write_text(write_distance(leg.km, yard.units))),
            _write_stops(yard, leg),
            write_text(leg.vehicle)
            + (wrap("small", write_names(drivers)) if drivers else Markup("")),
            write_names(leg.horses) or write_text(words.EMPTY_LORRY),
        )  # fmt: skip
        when = write_span(leg.days.first, leg.days.last, yard.country)
        rows.append(
            wrap(
                "tr",
                wrap("th", write_text(when), scope="row")
                + join_pieces(
                    wrap("td", cell, "" if cell else "none", **{"data-head": head})
                    for head, cell in zip(heads[1:], cells, strict=True)
                ),
            )
        )
    head = wrap("tr", join_pieces(wrap("th", write_text(h), scope="col") for h in heads))
    return wrap(
        "table",
        wrap("thead", head) + wrap("tbody", join_pieces(rows)),
        "table-road",
        **{"aria-label": words.ROAD_DAYS_OF.format(who=who or yard.name)},
    )


def _write_moment(yard: Yard, leg: Leg, *, leaving: bool) -> Markup:
    """The hour by the clock there; the clock is named where it changes, the day where it is new."""
    moment, stop = (leg.depart, leg.start) if leaving else (leg.arrive, leg.end)
    told = write_clock(moment, yard.country)
    if leg.arrive.utcoffset() != leg.depart.utcoffset():
        told += f" {_name_clock(yard, moment, stop)}".rstrip()
    written = wrap("span", write_text(told), "hour")
    if not leaving and leg.arrive.date() != leg.depart.date():
        written += wrap("small", write_text(write_day(leg.arrive.date(), yard.country)))
    return written


def _name_clock(yard: Yard, moment: datetime, stop: str) -> str:
    """What the clock of a place is called there, as `CST`; its offset where it has no name."""
    show = yard.show_by_name.get(stop)
    zone = (show.timezone if show else "") or yard.place_of(stop).timezone
    try:
        named = moment.astimezone(ZoneInfo(zone)) if zone else moment
    except (ZoneInfoNotFoundError, ValueError):
        named = moment
    return named.tzname() or ""


def _write_stops(yard: Yard, leg: Leg) -> Markup:
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
        lines.append(wrap("li", write_text(told)))
    return wrap("ul", join_pieces(lines), "stops") if lines else Markup("")
