"""The season of a lorry or a person, week by week: drives and where they lead, shows, days off."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from tripkit.yard.circuit import Circuit, Leg, RiderWay, write_driver
from tripkit.yard.days import ONE_DAY, DaySpan, add_days
from tripkit.yard.places import HOME
from tripkit.yard.yard import Yard


@dataclass(frozen=True)
class Spell:
    """Some days of a lorry or a person: a drive and the nights after it, a show, an absence.

    `nights` are those away from home, by the day before each. Of a rider `horses` are those that he
    rides at a show, in so many `classes`.
    """

    days: DaySpan
    nights: tuple[date, ...] = ()
    leg: Leg | None = None
    way: RiderWay | None = None
    show: str = ""
    horses: tuple[str, ...] = ()
    classes: int = 0
    reason: str | None = None


@dataclass(frozen=True)
class Week:
    """A week from Monday to Sunday with what begins in it, and what it adds up to.

    `free_days` are its days within the season without a drive.
    """

    first: date
    spells: tuple[Spell, ...]
    drives: int
    hours: float
    nights: int
    free_days: int

    @property
    def classes(self) -> int:
        """The classes ridden at the shows that begin in it."""
        return sum(spell.classes for spell in self.spells)


def list_weeks(yard: Yard, circuit: Circuit, who: str) -> tuple[Week, ...]:
    """The weeks of a lorry, driver or rider in which something begins or somebody sleeps away."""
    legs = [
        leg
        for leg in sorted(circuit.legs, key=lambda leg: (leg.depart, leg.vehicle))
        if who in (leg.vehicle, *map(write_driver, leg.drivers))
    ]
    spells = [
        *_list_drives(yard, circuit, legs),
        *_list_shows(circuit, who),
        *_list_ways(circuit, who),
        *(Spell(a.days, reason=a.reason) for a in yard.absences if a.who == who),
    ]
    spells.sort(key=lambda spell: (spell.days.first, spell.days.last))
    nights = {night for spell in spells for night in spell.nights}
    firsts = {_find_monday(day) for day in (*nights, *(spell.days.first for spell in spells))}
    return tuple(_sum_up(yard, first, spells, nights, legs) for first in sorted(firsts))


def _sum_up(
    yard: Yard, first: date, spells: Iterable[Spell], nights: set[date], legs: Sequence[Leg]
) -> Week:
    days = set(DaySpan(first, add_days(first, 6)))
    driven = [leg for leg in legs if leg.depart.date() in days]
    on_the_road = {day for leg in legs for day in leg.days}
    return Week(
        first,
        tuple(spell for spell in spells if spell.days.first in days),
        len(driven),
        round(sum(leg.hours for leg in driven), 2),
        len(nights & days),
        len((days & set(yard.season)) - on_the_road),
    )


def _list_drives(yard: Yard, circuit: Circuit, legs: Sequence[Leg]) -> Iterable[Spell]:
    """Each drive with the nights on it and, away from home, those until the lorry goes on."""
    for leg in legs:
        until = leg.days.last
        if leg.end != HOME:
            own = (o for o in (*legs, *circuit.legs) if o in legs or o.vehicle == leg.vehicle)
            until = min(
                (o.days.first for o in own if o.depart > leg.depart), default=yard.season.last
            )
        yield Spell(leg.days, _list_nights(leg.days.first, until), leg=leg)


def _list_shows(circuit: Circuit, who: str) -> Iterable[Spell]:
    """Each show of a rider: he sleeps there from before his first class day to before his last."""
    riding = [outing for outing in circuit.outings if outing.rider == who]
    for show in dict.fromkeys(outing.show for outing in riding):
        there = [outing for outing in riding if outing.show == show]
        days = DaySpan(min(o.first_day for o in there), max(o.last_day for o in there))
        nights = _list_nights(days.first - ONE_DAY, days.last)
        horses = tuple(outing.horse for outing in there)
        classes = sum(len(outing.classes) for outing in there)
        yield Spell(days, nights, show=show, horses=horses, classes=classes)


def _list_ways(circuit: Circuit, who: str) -> Iterable[Spell]:
    for way in circuit.rider_ways:
        if way.rider == who:
            yield Spell(DaySpan(way.date, way.date), way=way)


def _list_nights(first: date, last: date) -> tuple[date, ...]:
    """The nights between two days, each by the day before it."""
    return tuple(first + timedelta(days=i) for i in range(max(0, (last - first).days)))


def _find_monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
