"""The judge's rules about people away: grooms who look after the horses, counted a second time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from itertools import pairwise, product

from tripkit.judging.bases import Nights, list_base_nights
from tripkit.judging.case import Case, Trip, Violation, order_span, shift
from tripkit.yard.facts import state
from tripkit.yard.people import HORSES_PER_GROOM
from tripkit.yard.places import HOME

GROOM_DAYS = "groom days"


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
