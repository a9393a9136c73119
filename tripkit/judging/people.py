"""The judge's rules about people away: grooms for the horses, riders on their ways and at schools.

All is counted a second time: grooms from where the horses stand, riders from their ways as written.
A circuit without any ways is of an older edition, which had none.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from itertools import pairwise, product

from tripkit.judging.bases import Nights, list_base_nights
from tripkit.judging.case import (
    Case,
    Trip,
    Violation,
    find_run,
    name_stop,
    order_span,
    shift,
    sum_hours,
)
from tripkit.yard.circuit import CAR, RiderWay
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.horses import Horse
from tripkit.yard.money import round_cents
from tripkit.yard.people import HORSES_PER_GROOM
from tripkit.yard.places import HOME
from tripkit.yard.recovery import count_rest_days

GROOM_DAYS = "groom days"
KM_SLACK = 0.051
WEEK_BEFORE_FIRST = 7
QUIET_DAYS = 2


def judge_attended(case: Case) -> Iterator[Violation]:
    """At every place and day with horses away stand grooms enough, own ones who are free or hired.

    What is billed for them is what the cheapest of them cost, day by day.
    """
    if case.bill is None:
        return
    billed = sum(line.cents for line in case.bill.lines if line.kind == GROOM_DAYS)
    days: dict[date, Counter[str]] = {}
    for horse in case.yard.horses:
        for day, place in _list_days_away(case, horse.horse).items():
            days.setdefault(day, Counter())[place] += 1
    known: dict[tuple[object, ...], int] = {}
    counted = 0
    for day, places in days.items():
        free = tuple(
            person.horses_per_groom
            for person in case.yard.people
            if person.person in case.yard.grooms
            and person.role == "groom"
            and not case.yard.is_absent(person.person, day)
        )
        key = (tuple(sorted(places.values())), free)
        if key not in known:
            known[key] = _count_cheapest(case, places, free)
        counted += known[key]
    if billed != counted:
        fact = state("judging.other-grooms", billed_cents=billed, counted_cents=counted)
        yield Violation("attended", fact)


def _count_cheapest(case: Case, places: Mapping[str, int], free: tuple[int, ...]) -> int:
    """The least that grooms cost who look after so many horses at each place, tried one by one."""
    costs = case.yard.costs
    dear = costs.groom_day_cents >= costs.stand_in_day_cents
    useful = [takes for takes in free if takes > HORSES_PER_GROOM or not dear]
    sums = []
    for sent in product(("", *places), repeat=len(useful)):
        cents = sum(costs.groom_day_cents for place in sent if place)
        for place, horses in places.items():
            held = sum(takes for takes, at in zip(useful, sent, strict=True) if at == place)
            cents += costs.stand_in_day_cents * -(-max(0, horses - held) // HORSES_PER_GROOM)
        sums.append(cents)
    return min(sums)


def _list_days_away(case: Case, horse: str) -> Mapping[date, str]:
    """For which place key a horse has a groom on each day away: where it stands, or is driven to.

    On its way back that is where it jumped last. A base with its own people asks for none.
    """
    nights = list_base_nights(case, horse)
    trips = case.trips_by_horse[horse]
    found: dict[date, str] = {}
    for held in case.held_by_horse[horse]:
        for day in order_span(held.outing.arrive, held.outing.leave):
            found.setdefault(day, held.show.place_key)
    for number, trip in enumerate(trips):
        found.update(dict.fromkeys(trip.days, _find_end(case, horse, trips[number:], nights)))
    for trip, later in pairwise(trips):
        day = shift(trip.days.last, 1)
        while trip.end_key != HOME and day < later.days.first:
            if day not in nights:
                found.setdefault(day, trip.end_key)
            day = shift(day, 1)
    for day, base in nights.items():
        if not base.staffed:
            found.setdefault(day, base.place_key)
    return found


def _find_end(case: Case, horse: str, trips: Sequence[Trip], nights: Nights) -> str:
    """Where a drive leads: to where the horse jumps next before it is back, else to the last."""
    for trip, later in zip(trips, [*trips[1:], None], strict=True):
        until = date.max if later is None else later.days.first
        if any(
            held.show.place_key == trip.end_key and trip.days.last <= held.first <= until
            for held in case.held_by_horse[horse]
        ):
            return trip.end_key
        if trip.end_key == HOME or trip.days.last in nights:
            break
    gone = trips[0]
    before = [h for h in case.held_by_horse[horse] if h.last <= gone.days.first]
    if before:
        return before[-1].show.place_key
    return gone.start_key if gone.end_key == HOME else gone.end_key


def find_broken_ways(case: Case) -> Iterator[Violation]:
    """A rider's ways join from home on, are driven as written, and have him where he rides."""
    cents = 0
    for rider, ways in _list_ways(case).items():
        here: str | None = HOME
        for way in ways:
            if case.find_key(way.start) != here:
                yield _blame(rider, way.date, _state_way("judging.way-breaks", way))
            here = case.find_key(way.end)
            yield from _find_odd_way(case, way)
            if way.by == CAR:
                cents += round_cents(Decimal(str(way.km)) * case.yard.costs.car_cents_per_km)
    for held in case.held if case.circuit.rider_ways else ():
        rider = held.outing.rider
        for offered in held.classes:
            if held.show.place_key not in _list_places(case, rider, offered.day):
                show = held.show.show
                fact = state("judging.rider-elsewhere", rider=rider, show=show, on=offered.day)
                yield _blame(rider, offered.day, fact)
    bill = case.bill if case.yard.costs.car_cents_per_km else None
    billed = cents if bill is None else sum(b.cents for b in bill.lines if b.kind == "car")
    if billed != cents:
        fact = state("judging.other-cars", billed_cents=billed, counted_cents=cents)
        yield Violation("rider", fact)


def _find_odd_way(case: Case, way: RiderWay) -> Iterator[Violation]:
    """A way is a drive of that vehicle, or one by car where no lorry goes with a horse of his."""
    ends = (case.find_key(way.start), case.find_key(way.end))
    goes = [t for t in case.trips if ((t.start_key, t.end_key), t.days.first) == (ends, way.date)]
    km = [trip.leg.km for trip in goes if trip.leg.vehicle == way.by]
    by: Value = way.by
    if way.by == CAR:
        drive = case.yard.roads.find_drive(ends[0] or "", ends[1] or "")
        km, by = [] if drive is None else [drive.km], state("judging.by-car")
        aboard = {name for trip in goes if trip.days.days == 1 for name in trip.horses}
        if any(_rides(case, way.rider, name) for name in aboard):
            yield _blame(way.rider, way.date, _state_way("judging.way-beside-lorry", way))
    if not any(abs(way.km - each) <= KM_SLACK for each in km):
        fact = _state_way("judging.way-not-driven", way, by=by, road_km=way.km)
        yield _blame(way.rider, way.date, fact)


def _state_way(code: str, way: RiderWay, **more: Value) -> Fact:
    start, end = name_stop(way.start), name_stop(way.end)
    return state(code, rider=way.rider, start=start, end=end, on=way.date, **more)


def find_lone_schools(case: Case) -> Iterator[Violation]:
    """A school is where somebody who rides the horse is, if any day of its gap allows that."""
    if not case.circuit.rider_ways:
        return
    for horse in case.yard.horses:
        schools = [line.date for line in case.schools[horse.horse]]
        shows = [day for h in case.held_by_horse[horse.horse] for day in DaySpan(h.first, h.last)]
        jumps = sorted({*schools, *shows})
        for day in schools:
            if day <= case.yard.day_of_planning or _is_ridden(case, horse, day):
                continue
            i = jumps.index(day)
            before = jumps[i - 1] if i else None
            after = jumps[i + 1] if i + 1 < len(jumps) else None
            other = next(
                (d for d in case.yard.season if _may_school(case, horse, d, before, after)), None
            )
            if other is not None:
                fact = state("judging.schools-alone", horse=horse.horse, on=day, other=other)
                yield Violation("rider", fact, horse.horse, day=day)


def _may_school(
    case: Case, horse: Horse, day: date, before: date | None, after: date | None
) -> bool:
    """Whether a horse may school on a day between two others on which it jumps, with a rider."""
    most = shift(day, -horse.limits.longest_days_without_jumping - 1)
    last = day if after is None else shift(after, -horse.limits.longest_days_without_jumping - 1)
    yard, name = case.yard, horse.horse
    outings = case.held_by_horse[name]
    first = outings[0].first if outings else None
    trips = case.trips_by_horse[name]
    quiet = [
        day in trip.days
        or 0
        < (day - trip.days.last).days
        <= count_rest_days(sum_hours(find_run(trips, i)), horse.limits)
        for i, trip in enumerate(trips)
    ]
    vaccinated = (case.day_lines.get((name, shift(day, -back))) for back in range(QUIET_DAYS + 1))
    return not (
        day <= yard.day_of_planning
        or before is None
        or not most <= before < shift(day, -1)
        or not day >= last
        or (after is not None and after <= shift(day, 1))
        or any(quiet)
        or any(0 <= (day - h.last).days <= horse.limits.no_jump_days for h in outings)
        or (first is not None and 0 < (first - day).days <= WEEK_BEFORE_FIRST)
        or any(o and "vaccination" in (o.does, *o.also) for o in vaccinated)
        or yard.is_absent(name, day)
        or not case.is_cleared(horse, day)
        or (horse.in_work_from is not None and day < horse.in_work_from)
        or not _is_ridden(case, horse, day)
    )


def _is_ridden(case: Case, horse: Horse, day: date) -> bool:
    """Whether somebody who rides a horse is at its place on a day, and not absent."""
    line = case.day_lines.get((horse.horse, day))
    place = None if line is None else case.find_key(line.at)
    return place is not None and any(
        _rides(case, rider, horse.horse)
        and not case.yard.is_absent(rider, day)
        and _list_places(case, rider, day) == [place]
        for rider in case.yard.riders
    )


def _rides(case: Case, rider: str, name: str) -> bool:
    horse = case.yard.horse_by_name.get(name)
    return horse is not None and (not horse.rider or rider in (horse.rider, *horse.also_ridden_by))


def _list_ways(case: Case) -> Mapping[str, list[RiderWay]]:
    """The ways as written, by rider and day."""
    found: dict[str, list[RiderWay]] = {}
    for way in sorted(case.circuit.rider_ways, key=lambda way: way.date):
        found.setdefault(way.rider, []).append(way)
    return found


def _list_places(case: Case, rider: str, day: date) -> list[str | None]:
    """The place keys between which a rider is on a day: several on the day of a way."""
    ways = _list_ways(case).get(rider, [])
    places: list[str | None] = [HOME]
    for way in ways:
        if way.date < day:
            places = []
        if way.date <= day:
            places.append(case.find_key(way.end))
    return places


def _blame(rider: str, day: date, fact: Fact) -> Violation:
    return Violation("rider", fact, person=rider, day=day)
