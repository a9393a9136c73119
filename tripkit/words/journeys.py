"""The drives of two circuits by the places they join, and each drive in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from tripkit.yard.circuit import Circuit, Leg, Stop
from tripkit.yard.places import HOME, KM_PER_MILE
from tripkit.yard.yard import Yard

# A driver's halt in words.
STOP_WORDS = {"water": "water", "break": "break", "overnight": "night"}

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


def write_about(km: float, error_percent: float, units: str) -> str:
    """A distance with how far it may be off, and rounded where it is an estimate.

    >>> write_about(732.3, 0.0, "miles"), write_about(641.0, 10.0, "km")
    ('455 miles', 'about 640 km, 10 % either way')
    """
    distance = km / KM_PER_MILE if units == "miles" else km
    if not error_percent:
        return f"{distance:,.0f} {units}"
    rounded = round(distance, -1) if distance >= 100 else round(distance)
    return f"about {rounded:,.0f} {units}, {error_percent:.0f} % either way"


def find_error_percent(yard: Yard, leg: Leg) -> float:
    """How far the km of a leg may be off: what the road book says of its two places."""
    drive = yard.roads.find_drive(yard.place_key_of(leg.start), yard.place_key_of(leg.end))
    return drive.error_percent if drive else 0.0


def write_names(names: Sequence[str]) -> str:
    """Names one after the other, `and` before the last.

    >>> write_names(["Ash", "Birch", "Clover"])
    'Ash, Birch and Clover'
    """
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def tell_leg(yard: Yard, leg: Leg) -> str:
    """A leg in one line: day, times, places, who is aboard, how far, how long, where it halts."""
    start_zone, end_zone = (ZoneInfo(yard.place_of(at).timezone) for at in (leg.start, leg.end))
    depart, arrive = leg.depart.astimezone(start_zone), leg.arrive.astimezone(end_zone)
    start, end = ("home" if at == HOME else at for at in (leg.start, leg.end))
    later = _write_later(arrive, depart)
    aboard = write_names(leg.horses) if leg.horses else "empty"
    crew = f", driven by {write_names(leg.drivers)}" if leg.drivers else ""
    halts = ", ".join(_tell_halt(leg, stop) for stop in leg.stops)
    return (
        f"{depart:%a} {depart.day} {depart:%b}, {start} {depart:%H:%M %Z} to {end} "
        f"{later}{arrive:%H:%M %Z}: {aboard}; {leg.vehicle}{crew}; "
        f"{write_about(leg.km, find_error_percent(yard, leg), yard.units)}, "
        f"{leg.hours:.1f} h of driving; {f'stops: {halts}' if halts else 'no stop'}."
    )


def _write_later(moment: datetime, before: datetime) -> str:
    """The day of a moment, where it is another than that of what came before."""
    if moment.date() == before.date():
        return ""
    return f"{moment:%a} {moment.day} {moment:%b} "


def _tell_halt(leg: Leg, stop: Stop) -> str:
    """A halt with its hour; its day where the drive began on another, and when a night ends."""
    told = f"{STOP_WORDS.get(stop.kind, stop.kind)} {_write_later(stop.start, leg.depart)}"
    told += f"{stop.start:%H:%M}"
    if stop.kind == "overnight":
        on = stop.start + timedelta(minutes=stop.minutes)
        told += f" to {_write_later(on, stop.start)}{on:%H:%M}"
    return told + (f" near {stop.near}" if stop.near else "")


def name_place(yard: Yard, key: str) -> str:
    """A place as the map names it: the yard at home, else the town."""
    if key == HOME:
        return yard.name
    place = yard.roads.places.get(key)
    return place.name if place else key


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
