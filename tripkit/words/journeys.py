"""The drives of two circuits by the places they join, and each drive in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from tripkit.words.telling import CALENDAR
from tripkit.yard.circuit import Circuit, Leg, Stop
from tripkit.yard.facts import Fact, state
from tripkit.yard.places import HOME, convert_km
from tripkit.yard.yard import Yard

EMPTY = state("journeys.empty")

Pair = tuple[str, str]


@dataclass(frozen=True)
class Journey:
    """Two places (keys, in order) and the legs of either circuit between them, in date order."""

    pair: Pair
    left: tuple[Leg, ...] = ()
    right: tuple[Leg, ...] = ()


@dataclass(frozen=True)
class JourneyWords:
    """A journey in words: where, and each side that drives it with its circuit's name and its legs.

    A side is `left` or `right`.
    """

    number: int
    title: str
    sides: tuple[tuple[str, str, tuple[str, ...]], ...]

    @property
    def text(self) -> str:
        """All of it, a line a leg."""
        lines = [self.title]
        for _, name, legs in self.sides:
            lines += [f"{name}:", *legs]
        return "\n".join(lines)


def pair_of(yard: Yard, leg: Leg) -> Pair:
    """The place keys that a leg joins, in alphabetical order."""
    one, other = sorted((yard.place_key_of(leg.start), yard.place_key_of(leg.end)))
    return one, other


def list_journeys(yard: Yard, left: Circuit | None, right: Circuit | None) -> tuple[Journey, ...]:
    """The legs of two circuits by the places they join, those driven first coming first."""
    found: dict[Pair, tuple[list[Leg], list[Leg]]] = {}
    for side, circuit in enumerate((left, right)):
        for leg in sorted(circuit.legs, key=lambda leg: leg.depart) if circuit else ():
            found.setdefault(pair_of(yard, leg), ([], []))[side].append(leg)
    journeys = [Journey(pair, tuple(one), tuple(other)) for pair, (one, other) in found.items()]
    return tuple(
        sorted(journeys, key=lambda j: (min(leg.depart for leg in j.left + j.right), j.pair))
    )


def state_about(km: float, error_percent: float, units: str) -> Fact:
    """A distance with how far it may be off, and rounded where it is an estimate.

    >>> str(state_about(732.3, 0.0, "miles")), str(state_about(641.0, 10.0, "km"))
    ('455 miles', 'about 640 km, 10 % either way')
    """
    length = convert_km(km, units)
    if not error_percent:
        return state(f"journeys.{units}", length=round(length))
    rounded = round(length, -1) if length >= 100 else round(length)
    return state(f"journeys.about-{units}", length=rounded, error=error_percent)


def find_error_percent(yard: Yard, leg: Leg) -> float:
    """How far the km of a leg may be off: what the road book says of its two places."""
    drive = yard.roads.find_drive(yard.place_key_of(leg.start), yard.place_key_of(leg.end))
    return drive.error_percent if drive else 0.0


def tell_leg(yard: Yard, leg: Leg) -> str:
    """A leg in one line: day, times, places, who is aboard, how far, how long, where it halts."""
    start_zone, end_zone = (ZoneInfo(yard.place_of(at).timezone) for at in (leg.start, leg.end))
    depart, arrive = leg.depart.astimezone(start_zone), leg.arrive.astimezone(end_zone)
    start, end = (state("journeys.home") if at == HOME else at for at in (leg.start, leg.end))
    halts = tuple(_state_halt(leg, stop) for stop in leg.stops)
    told = state(
        "journeys.leg",
        day=depart.date(),
        start=start,
        depart=depart,
        depart_zone=f"{depart:%Z}",
        end=end,
        arrive=_state_time(arrive, depart),
        arrive_zone=f"{arrive:%Z}",
        aboard=state("journeys.names", names=leg.horses) if leg.horses else EMPTY,
        lorry=leg.vehicle,
        driven=state("journeys.driven-by", drivers=leg.drivers) if leg.drivers else None,
        distance=state_about(leg.km, find_error_percent(yard, leg), yard.units),
        driving=leg.hours,
        stops=state("journeys.stops", stops=halts) if halts else state("journeys.no-stop"),
    )
    return CALENDAR.tell(told)


def _state_time(moment: datetime, before: datetime) -> Fact:
    """A time of day, with its day where that is another than that of what came before."""
    if moment.date() == before.date():
        return state("journeys.at", at=moment)
    return state("journeys.at-day", day=moment.date(), at=moment)


def _state_halt(leg: Leg, stop: Stop) -> Fact:
    """A halt with its hour; its day where the drive began on another, and when a night ends."""
    start = _state_time(stop.start, leg.depart)
    near = state("journeys.near", town=stop.near) if stop.near else None
    if stop.kind == "overnight":
        on = _state_time(stop.start + timedelta(minutes=stop.minutes), stop.start)
        return state("journeys.stop-overnight", start=start, end=on, near=near)
    return state(f"journeys.stop-{stop.kind}", start=start, near=near)


def name_place(yard: Yard, key: str) -> str:
    """A place as the map names it: the yard at home, else the town."""
    if key == HOME:
        return yard.name
    place = yard.roads.places.get(key)
    return CALENDAR.tell(place.called) if place else key


def tell_journeys(
    yard: Yard, left: Circuit | None, right: Circuit | None
) -> tuple[JourneyWords, ...]:
    """Every journey in words, in the order of the map's routes."""
    told = []
    for number, journey in enumerate(list_journeys(yard, left, right)):
        first = (journey.left + journey.right)[0]
        ends = [name_place(yard, yard.place_key_of(at)) for at in (first.start, first.end)]
        sides = [
            (side, circuit.name, tuple(tell_leg(yard, leg) for leg in legs))
            for side, circuit, legs in (
                ("left", left, journey.left),
                ("right", right, journey.right),
            )
            if circuit and legs
        ]
        told.append(JourneyWords(number, " \N{EN DASH} ".join(ends), tuple(sides)))
    return tuple(told)
