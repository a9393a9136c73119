"""The judge's rule about bases: who sleeps there, counted a second time from legs and outings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from tripkit.judging.case import Case, Held, Stay, Violation, shift
from tripkit.yard.bases import Base
from tripkit.yard.facts import state

Nights = Mapping[date, Base]


def judge_bases(case: Case) -> Iterator[Violation]:
    """No more horses sleep at a base than it has boxes, and nobody is there but on its days."""
    slept: dict[str, dict[date, list[str]]] = {base: {} for base in case.yard.base_of}
    for horse in case.yard.horses if slept else ():
        shut: dict[str, list[date]] = {}
        for night, base in list_base_nights(case, horse.horse).items():
            slept[base.base].setdefault(night, []).append(horse.horse)
            if not base.has_night(night):
                shut.setdefault(base.base, []).append(night)
        for name, nights in shut.items():
            day = case.pick_day(nights)
            fact = state(
                "judging.sleeps-at-shut-base",
                horse=horse.horse,
                base=name,
                on=day,
                days=case.yard.base_of[name].days,
            )
            yield Violation("bases", fact, horse.horse, day=day)
    for name, by_night in slept.items():
        boxes = case.yard.base_of[name].boxes
        full = [night for night, horses in by_night.items() if len(horses) > boxes]
        if full:
            day = case.pick_day(full)
            fact = state(
                "judging.base-full",
                base=name,
                boxes=boxes,
                have=len(by_night[day]),
                on=day,
                horses=tuple(by_night[day]),
            )
            yield Violation("bases", fact, day=day)
    for trip in case.trips:
        ends = ((trip.leg.start, trip.days.first), (trip.leg.end, trip.days.last))
        for stop, day in ends:
            found = case.yard.base_of.get(stop)
            if found is not None and day not in found.days:
                fact = state("judging.drives-to-shut-base", leg=trip.name, base=stop, on=day)
                yield Violation("bases", fact, vehicle=trip.leg.vehicle, day=day)


def list_base_nights(case: Case, horse: str) -> Nights:
    """Each night of a horse at a base: between two drives, where no outing has it on the grounds.

    The last stay ends with the season.
    """
    outings = {stay: group for stay, group in case.group_stays(horse) if stay is not None}
    found: dict[date, Base] = {}
    for stay in case.stays_by_horse[horse]:
        base = case.yard.base_at.get(stay.place_key)
        if base is None:
            continue
        end = shift(case.yard.season.last, 1) if stay.last is None else stay.last
        away = [held for held in outings.get(stay, ()) if stands_on_grounds(case, stay, held)]
        night = stay.first
        while night < end:
            if not any(held.outing.arrive <= night < held.outing.leave for held in away):
                found[night] = base
            night = shift(night, 1)
    return found


def stands_on_grounds(case: Case, stay: Stay, held: Held) -> bool:
    """Whether a horse stands in the stables of a show in the town of a base.

    It does not where it comes from its box on the day of its first class and goes back on that of
    its last: neither a drive to the show nor another outing brought it there on that day.
    """
    outing, base = held.outing, case.yard.base_at[stay.place_key]
    before = [o.outing.leave for o in case.held_by_horse[held.horse.horse] if o is not held]
    brought = stay.first == outing.arrive and stay.stop != base.base
    moved = outing.arrive in before
    jumps = (outing.arrive, outing.leave) == (held.first, held.last)
    nights = range((outing.leave - outing.arrive).days)
    is_open = all(base.has_night(shift(outing.arrive, night)) for night in nights)
    return brought or moved or not jumps or not is_open
