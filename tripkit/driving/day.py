"""One day on the road: how much driving it holds, how long it is, where it halts.

Horses and crew share a day, and whichever binds binds both. Halts come when the horses must drink
or the driver must have his break, and are then spread evenly over the day.

**Source:** see `driving/rules`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil
from typing import NamedTuple

from tripkit.driving.rules import DrivingRules
from tripkit.yard.limits import Limits

GRACE_HOURS = 1e-9
HOUR, DAY = 60, 24 * 60
# Water in the driver's half hour: a trial of 22 h with a stop every 4 h (advice, no rule).
WATER_MINUTES = 30
# What is moved is moved to the quarter of an hour: common practice, no source.
STEP_MINUTES = 15
# The first part of a break in two, and the second. (Regulation (EC) No 561/2006 Art. 7)
EARLY_BREAK_MINUTES, LATE_BREAK_MINUTES = 15, 30
# Least hours of a night where no driver's rule asks for more. (Common practice, no source.)
NIGHT_HOURS = 7.0


@dataclass(frozen=True)
class Terms:
    """What a day on the road may hold, in minutes, for the horses and the crew together.

    `span` is from the first to the last turn of the wheels, `duty` from the first work to the last
    that the rules count in, `work` what may be worked within it.
    """

    water: int
    turn: int
    full_halt: int
    split: bool
    break_minutes: int
    split_breaks: bool
    loading: int
    work_counts: bool
    share: int
    long_share: int
    driving: int
    duty: int
    work: int
    span: int
    rest: int
    start_after: int
    crew: bool
    load_from: int
    arrive_until: int
    most_days: int
    week_days: int
    pause: int


@lru_cache(maxsize=512)
def make_terms(
    limits: Limits | None, rules: DrivingRules, drivers: int, short_rests: bool
) -> Terms:
    """The horses' hours and the crew's, whichever bind; the crew's alone where no horse is aboard.

    `limits` are those of the horses aboard, None for an empty lorry.
    """
    crew = drivers > 1
    horse_hours = 24.0 if limits is None else limits.horse_hours_per_day
    night = NIGHT_HOURS if limits is None else max(0.0, min(NIGHT_HOURS, 23.0 - horse_hours))
    rest = rules.crew_rest_hours if crew else rules.rest_hours
    duty_hours = rules.crew_duty_hours if crew else rules.duty_hours_per_day
    if short_rests:
        duty_hours += rest - rules.short_rest_hours
        rest = rules.short_rest_hours
    share = rules.hours_per_day
    turn = min(rules.halt_after_hours, share) if crew else rules.halt_after_hours
    split = rules.split_halts and not crew
    loading = 0 if limits is None else rules.loading_minutes
    arrive_until = 24.0 if limits is None else limits.arrive_until_hour
    duty = round(duty_hours * HOUR)
    in_duty = loading * (2 if rules.work_counts else 1)
    return Terms(
        water=DAY if limits is None else int(limits.water_every_hours * HOUR + GRACE_HOURS),
        turn=round(turn * HOUR),
        full_halt=max(WATER_MINUTES, rules.halt_minutes) if split or not crew else WATER_MINUTES,
        split=split,
        break_minutes=rules.halt_minutes,
        split_breaks=rules.split_halts,
        loading=loading,
        work_counts=rules.work_counts,
        share=round(share * HOUR),
        long_share=round(max(share, rules.long_day_hours) * HOUR),
        driving=round((rules.crew_driving_hours if crew else 24.0) * HOUR),
        duty=duty,
        work=round(rules.work_hours * HOUR),
        span=min(int(horse_hours * HOUR + GRACE_HOURS), duty - in_duty),
        rest=ceil(max(rest, night) * HOUR),
        start_after=round(rules.start_after_hours * HOUR),
        crew=crew,
        load_from=0 if limits is None else ceil(limits.load_from_hour * HOUR),
        # Midnight is of the next day.
        arrive_until=min(int(arrive_until * HOUR), DAY - 1),
        most_days=rules.short_rests if short_rests else 10**6,
        week_days=rules.first_days,
        pause=round(rules.pause_hours * HOUR),
    )


Halts = tuple[tuple[int, int], ...]


class Way(NamedTuple):
    """One way to drive so much: minutes it takes, halts included, how the break stands, halts.

    `turn` minutes were driven since the last break, `begun` says whether the first part of the
    next one is had; each halt is (minutes driven then, minutes it lasts).
    """

    length: int
    turn: int
    begun: bool
    halts: Halts


@lru_cache(maxsize=1 << 16)
def _list_halts(
    left: int, water: int, turn: int, begun: bool, terms: Terms
) -> tuple[tuple[int, int, bool, Halts], ...]:
    """The ways to halt with so much driving left, shortest first: their sum, how the break stands.

    A halt comes when the horses or the driver must have one, never before: a later halt serves
    at least as well. Only its length is a choice, where a break may be taken in two parts.
    """
    run = min(left, water, turn)
    left, turn = left - run, turn - run
    if left <= 0:
        return ((0, turn, begun, ()),)
    if not terms.split:
        ways = [(terms.full_halt, terms.turn, False)]
    elif begun:
        ways = [(WATER_MINUTES, terms.turn, False)]
    else:
        ways = [(terms.full_halt, terms.turn, False)]
        if turn > 0:
            ways.append((WATER_MINUTES, turn, True))
    found: dict[tuple[int, bool], tuple[int, Halts]] = {}
    for minutes, fresh, early in ways:
        for total, after, halved, halts in _list_halts(left, terms.water, fresh, early, terms):
            known = found.get((after, halved))
            if known is None or total + minutes < known[0]:
                found[after, halved] = total + minutes, ((left, minutes), *halts)
    listed = [(total, *state, halts) for state, (total, halts) in found.items()]
    return tuple(sorted(listed, key=lambda way: way[0]))


@lru_cache(maxsize=1 << 16)
def list_ways(driving: int, terms: Terms, turn: int = 0, begun: bool = False) -> tuple[Way, ...]:
    """The ways to drive so much at a stretch, shortest first; how the break stands before it."""
    if turn >= terms.turn:
        return ()
    return tuple(
        Way(
            driving + total,
            terms.turn - left_turn,
            early,
            tuple((driving - left, minutes) for left, minutes in halts),
        )
        for total, left_turn, early, halts in _list_halts(
            driving, terms.water, terms.turn - turn, begun, terms
        )
    )


def bound_length(driving: int, terms: Terms) -> int:
    """What a drive takes at the least, with the halts for water alone [min]."""
    return driving + WATER_MINUTES * max(0, ceil(driving / terms.water) - 1)


def plan_day(driving: int, terms: Terms) -> tuple[int, Halts]:
    """How long a day with so much driving is, halts included, and its halts (driven then, min)."""
    way = list_ways(driving, terms)[0]
    return way.length, way.halts


def spread_halts(
    driving: int, halts: Halts, terms: Terms, turn: int = 0, begun: bool = False
) -> Halts:
    """The same halts evenly over the drive, at quarters of an hour where lawful, else as planned.

    `turn` minutes were driven before it since the last break, whose first part was `begun`.

    Where a break in two parts does not let all be even, its first part comes halfway to the second.
    """
    count = len(halts)
    ways = [
        tuple(
            (round(driving * number / (count + 1) / step) * step, minutes)
            for number, (_, minutes) in enumerate(halts, start=1)
        )
        for step in (STEP_MINUTES, 1)
    ]
    ways.append(_halve_breaks(halts, terms))
    for even in ways:
        in_time = follow_breaks(driving, even, terms, turn, begun) is not None
        if in_time and _fit_crew(driving, even, halts, terms):
            return even
    return halts


def _halve_breaks(halts: Halts, terms: Terms) -> Halts:
    moved = list(halts)
    begun = False
    for number, (_, minutes) in enumerate(halts[:-1]):
        begun = terms.split and minutes < terms.full_halt and not begun
        if begun:
            before = moved[number - 1][0] if number else 0
            moved[number] = (before + halts[number + 1][0]) // 2, minutes
    return tuple(moved)


def follow_breaks(
    driving: int, halts: Halts, terms: Terms, turn: int = 0, begun: bool = False
) -> tuple[int, bool] | None:
    """How the break stands after a drive with these halts; None where one comes too late.

    Too late for the horses' water, or for the driver's break.
    """
    before = 0
    for driven, minutes in (*halts, (driving, 0)):
        run = driven - before
        turn += run
        if run <= 0 < driving or run > terms.water or turn > terms.turn:
            return None
        before = driven
        if minutes:
            begun = terms.split and minutes < terms.full_halt and not begun
            turn = turn if begun else 0
    return turn, begun


def _fit_crew(
    driving: int,
    halts: Halts,
    planned: Halts,
    terms: Terms,
) -> bool:
    """Whether no driver's share of a day grows beyond a usual day or what was planned."""
    share = _find_share(driving, halts, terms)
    return share <= max(terms.share, _find_share(driving, planned, terms))


def _find_share(driving: int, halts: Halts, terms: Terms) -> int:
    """The most that one driver drives in a day [min]: two change at each halt."""
    if not terms.crew:
        return driving
    cuts = [0, *(driven for driven, _ in halts), driving]
    turns = [b - a for a, b in zip(cuts, cuts[1:], strict=False)]
    return max(sum(turns[::2]), sum(turns[1::2]))


def is_lawful(driving: int, span: int, terms: Terms, last: bool) -> bool:
    """Whether so much driving is lawful for one day within a span [min]."""
    length, halts = plan_day(driving, terms)
    if length > span or driving > terms.driving or driving + 2 * terms.loading > terms.work:
        return False
    return _find_share(driving, halts, terms) <= (terms.long_share if last else terms.share)


@lru_cache(maxsize=1 << 14)
def find_longest_day(terms: Terms, span: int, last: bool) -> int:
    """The most driving that is lawful for one day within a span [min]."""
    low, high = 0, max(0, min(span, DAY))
    while low < high:
        middle = (low + high + 1) // 2
        if is_lawful(middle, span, terms, last):
            low = middle
        else:
            high = middle - 1
    return low
