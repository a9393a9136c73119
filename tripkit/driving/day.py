"""One day on the road: how much driving it holds, how long it is, where it halts.

Horses and crew share a day, and whichever binds binds both. Halts come when the horses must drink
or the driver must have his break, and are then spread evenly over the day.

**Source:** see `driving/rules`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil

from tripkit.driving.rules import DrivingRules
from tripkit.yard.limits import Limits

GRACE_HOURS = 1e-9
HOUR, DAY = 60, 24 * 60
# Water in the driver's half hour: a trial of 22 h with a stop every 4 h (advice, no rule).
WATER_MINUTES = 30
# What is moved is moved to the quarter of an hour: common practice, no source.
STEP_MINUTES = 15
# Least hours of a night where no driver's rule asks for more. (Common practice, no source.)
NIGHT_HOURS = 7.0


@dataclass(frozen=True)
class Terms:
    """What a day on the road may hold, in minutes, for the horses and the crew together."""

    water: int
    turn: int
    full_halt: int
    split: bool
    share: int
    long_share: int
    driving: int
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
def make_terms(limits: Limits, rules: DrivingRules, drivers: int, short_rests: bool) -> Terms:
    """The horses' hours and the crew's, whichever bind."""
    crew = drivers > 1
    night = max(0.0, min(NIGHT_HOURS, 23.0 - limits.horse_hours_per_day))
    rest = rules.crew_rest_hours if crew else rules.rest_hours
    duty = rules.crew_duty_hours if crew else rules.duty_hours_per_day
    if short_rests:
        duty += rest - rules.short_rest_hours
        rest = rules.short_rest_hours
    share = rules.hours_per_day
    turn = min(rules.halt_after_hours, share) if crew else rules.halt_after_hours
    split = rules.split_halts and not crew
    return Terms(
        water=int(limits.water_every_hours * HOUR + GRACE_HOURS),
        turn=round(turn * HOUR),
        full_halt=max(WATER_MINUTES, rules.halt_minutes) if split or not crew else WATER_MINUTES,
        split=split,
        share=round(share * HOUR),
        long_share=round(max(share, rules.long_day_hours) * HOUR),
        driving=round((rules.crew_driving_hours if crew else 24.0) * HOUR),
        span=int(min(limits.horse_hours_per_day, duty) * HOUR + GRACE_HOURS),
        rest=ceil(max(rest, night) * HOUR),
        start_after=round(rules.start_after_hours * HOUR),
        crew=crew,
        load_from=ceil(limits.load_from_hour * HOUR),
        # Midnight is of the next day.
        arrive_until=min(int(limits.arrive_until_hour * HOUR), DAY - 1),
        most_days=rules.short_rests if short_rests else 10**6,
        week_days=rules.first_days,
        pause=round(rules.pause_hours * HOUR),
    )


@lru_cache(maxsize=1 << 16)
def _plan_halts(
    left: int, water: int, turn: int, early: bool, terms: Terms
) -> tuple[int, tuple[tuple[int, int], ...]]:
    """The shortest halts of a day with so much driving left: their sum, and each (left then, min).

    A halt comes when the horses or the driver must have one, never before: a later halt serves
    at least as well. Only its length is a choice, where a break may be taken in two parts.
    """
    run = min(left, water, turn)
    left -= run
    if left <= 0:
        return 0, ()
    turn -= run
    ways = []
    if not terms.split:
        ways.append((terms.full_halt, terms.turn, False))
    elif early:
        ways.append((WATER_MINUTES, terms.turn, False))
    else:
        ways.append((terms.full_halt, terms.turn, False))
        if turn > 0:
            ways.append((WATER_MINUTES, turn, True))
    best: tuple[int, tuple[tuple[int, int], ...]] | None = None
    for minutes, fresh, begun in ways:
        total, halts = _plan_halts(left, terms.water, fresh, begun, terms)
        if best is None or total + minutes < best[0]:
            best = (total + minutes, ((left, minutes), *halts))
    assert best is not None
    return best


def plan_day(driving: int, terms: Terms) -> tuple[int, tuple[tuple[int, int], ...]]:
    """How long a day with so much driving is, halts included, and its halts (driven then, min)."""
    total, halts = _plan_halts(driving, terms.water, terms.turn, False, terms)
    return driving + total, tuple((driving - left, minutes) for left, minutes in halts)


def spread_halts(
    driving: int, halts: tuple[tuple[int, int], ...], terms: Terms
) -> tuple[tuple[int, int], ...]:
    """The same halts evenly over the day, at quarters of an hour where lawful, else as planned.

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
        if _come_in_time(driving, even, terms) and _fit_crew(driving, even, halts, terms):
            return even
    return halts


def _halve_breaks(halts: tuple[tuple[int, int], ...], terms: Terms) -> tuple[tuple[int, int], ...]:
    moved = list(halts)
    begun = False
    for number, (_, minutes) in enumerate(halts[:-1]):
        begun = terms.split and minutes < terms.full_halt and not begun
        if begun:
            before = moved[number - 1][0] if number else 0
            moved[number] = (before + halts[number + 1][0]) // 2, minutes
    return tuple(moved)


def _come_in_time(driving: int, halts: tuple[tuple[int, int], ...], terms: Terms) -> bool:
    """Whether neither horses nor driver go too long without a halt."""
    before, turn, begun = 0, 0, False
    for driven, minutes in (*halts, (driving, terms.full_halt)):
        run = driven - before
        turn += run
        if run <= 0 or run > terms.water or turn > terms.turn:
            return False
        before = driven
        begun = terms.split and minutes < terms.full_halt and not begun
        if not begun:
            turn = 0
    return True


def _fit_crew(
    driving: int,
    halts: tuple[tuple[int, int], ...],
    planned: tuple[tuple[int, int], ...],
    terms: Terms,
) -> bool:
    """Whether no driver's share of a day grows beyond a usual day or what was planned."""
    share = _find_share(driving, halts, terms)
    return share <= max(terms.share, _find_share(driving, planned, terms))


def _find_share(driving: int, halts: tuple[tuple[int, int], ...], terms: Terms) -> int:
    """The most that one driver drives in a day [min]: two change at each halt."""
    if not terms.crew:
        return driving
    cuts = [0, *(driven for driven, _ in halts), driving]
    turns = [b - a for a, b in zip(cuts, cuts[1:], strict=False)]
    return max(sum(turns[::2]), sum(turns[1::2]))


def is_lawful(driving: int, span: int, terms: Terms, last: bool) -> bool:
    """Whether so much driving is lawful for one day within a span [min]."""
    length, halts = plan_day(driving, terms)
    if length > span or driving > terms.driving:
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
