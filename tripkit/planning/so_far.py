"""What the season so far comes to: it stands in every circuit and is no choice of the program."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time

from tripkit.season.costs import price
from tripkit.season.scorecard import add_up, price_outings
from tripkit.yard.circuit import Leg, Outing, Totals
from tripkit.yard.places import HOME
from tripkit.yard.recovery import find_checked_outings
from tripkit.yard.yard import Yard

FEES = ("entry fee", "stall fee", "late fee")


def add_up_so_far(yard: Yard) -> Totals:
    """The worth of outings that are over, the road driven, and what was spent up to today.

    What a horse that is away was or will be entered for is counted by the program, and so is
    everything from tomorrow on.
    """
    begun = yard.begun
    if not begun.legs:
        return Totals()
    today = yard.day_of_planning
    under_way = begun.under_way
    outings = [_cut(o, today) if (o.horse, o.show) in under_way else o for o in begun.outings]
    legs = [_cut_leg(leg, today) for leg in begun.legs]
    legs += _end_idle_trips(yard, legs)
    bill = price(yard, outings, legs, begun.days)
    spent = sum(
        line.cents
        for line in bill.lines
        if not (line.kind in FEES and (line.horse, line.show) in under_way)
        and line.kind != "vet check"
        and not (line.kind == "car" and (line.date or today) > today)
    )
    worth = sum(
        o.worth
        for o in price_outings(yard, begun.outings, bill)
        if (o.horse, o.show) not in under_way
    )
    return replace(
        add_up(yard, outings, begun.legs, bill),
        worth=worth,
        cost_cents=spent + _count_checks(yard) * yard.costs.vet_check_cents,
    )


def _cut(outing: Outing, today: date) -> Outing:
    """An outing under way up to today."""
    arrive = min(outing.arrive, today)
    return replace(outing, arrive=arrive, leave=today, last_day=max(outing.first_day, today))


def _cut_leg(leg: Leg, today: date) -> Leg:
    """A drive under way up to today: what it costs in people from tomorrow on is not counted."""
    return leg if leg.arrive.date() <= today else replace(leg, arrive=leg.depart)


def _end_idle_trips(yard: Yard, legs: list[Leg]) -> list[Leg]:
    """The days up to today of horses that are away without an outing, as drives of no length."""
    begun = yard.begun
    there = {horse for horse, _ in begun.under_way}
    ended = []
    for horse in yard.horses:
        stand = begun.stand_of.get(horse.horse)
        if stand is None or stand.stop == HOME:
            continue
        if horse.horse in there and not yard.houses(stand.stop):
            continue
        last = next(leg for leg in reversed(legs) if horse.horse in leg.horses)
        moment = max(last.arrive, _end_day(yard.day_of_planning, last.arrive))
        ended.append(Leg("", stand.stop, HOME, moment, moment, 0.0, 0.0, (), (horse.horse,)))
    return ended


def _end_day(day: date, like: datetime) -> datetime:
    return datetime.combine(day, time(23, 59), like.tzinfo)


def _count_checks(yard: Yard) -> int:
    """The vet checks after outings that are over, save one that the next outing may put off."""
    found = 0
    for horse in yard.horses:
        done = [o for o in yard.begun.done if o.horse == horse.horse]
        tours = [yard.show_by_name[o.show].tour for o in done]
        checked = find_checked_outings(tours, horse.limits)
        last_by_tour = bool(done) and len(done) % horse.limits.vet_check_after_shows != 0
        found += len(checked) - (last_by_tour and len(done) - 1 in checked)
    return found
