"""How long a horse rests between outings: numbers in, numbers out.

All defaults are common practice, no source; see `limits`.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import pairwise

from tripkit.yard.days import add_days, count_clear_days
from tripkit.yard.limits import Limits

CAP_WINDOW_DAYS = 30
ROW_CLEAR_DAYS = 4
PREPARATION_DAYS = (10, 45)


def count_rest_days(hours: float, limits: Limits) -> int:
    """Whole days of rest after a drive of so many hours [h], from the travel_rest table [days].

    >>> [count_rest_days(hours, Limits()) for hours in (7.9, 8.0, 12.0, 24.0)]
    [0, 1, 2, 3]
    """
    rest = 0
    for from_hours, days in limits.travel_rest:
        if hours >= from_hours:
            rest = days
    return rest


def count_needed_clear_days(limits: Limits, drive_days: int, rest_days: int) -> int:
    """Clear days asked between two outings [days].

    The week without jumping, each school with an easy day after it, and the days that the
    outward drive and the rest after it take, less the one that may be the last easy day.
    `drive_days` is 0 for a horse that stays on the grounds.

    >>> count_needed_clear_days(Limits(), drive_days=1, rest_days=0)
    9
    >>> count_needed_clear_days(Limits(), drive_days=2, rest_days=2)
    12
    """
    travel = max(0, drive_days + rest_days - 1)
    return limits.no_jump_days + 2 * limits.schools_before_show + travel


def count_arrival_days(
    limits: Limits, hours: float, *, by_lead: bool = True, by_rest: bool = True
) -> int:
    """How many days before its first class a horse comes, after a drive of so many hours [days].

    The yard's days on the grounds, or the day it comes and the rest after the drive: whichever is
    more. `by_lead` and `by_rest` say which of the two counts.

    >>> [count_arrival_days(Limits(arrive_days_before=2), hours) for hours in (7.9, 12.0)]
    [2, 3]
    """
    lead_days = limits.arrive_days_before if by_lead else 0
    rest_days = count_rest_days(hours, limits) if by_rest else 0
    return max(lead_days, 1 + rest_days)


def find_changeover(last_day: date, first_day: date, limits: Limits) -> date:
    """The day on which a horse that stays on the grounds leaves one show for the next.

    The yard's days before the first class there, but not before the last class here.
    """
    return max(add_days(first_day, -limits.arrive_days_before), last_day)


def find_cap_breaches(first_days: Sequence[date], limits: Limits) -> tuple[tuple[date, date], ...]:
    """Of one more outings in a row than allowed, the last may begin 30 days after the first.

    `first_days` in date order; returns the (first, last) pairs that lie closer.
    """
    step = limits.shows_per_30_days
    return tuple(
        (early, late)
        for early, late in zip(first_days, first_days[step:], strict=False)
        if (late - early).days < CAP_WINDOW_DAYS
    )


def find_break_breaches(
    spans: Sequence[tuple[date, date]], limits: Limits
) -> tuple[tuple[date, date], ...]:
    """Among one more outings in a row than allowed, one gap has the break's clear days.

    `spans` are (first day, last day) in date order; returns the (first, last) days of each
    run of outings that has no such gap.
    """
    step = limits.outings_before_break
    needed = limits.break_days + limits.no_jump_days
    breaches = []
    for i in range(len(spans) - step):
        run = spans[i : i + step + 1]
        gaps = [count_clear_days(a[1], b[0]) for a, b in pairwise(run)]
        if max(gaps) < needed:
            breaches.append((run[0][0], run[-1][1]))
    return tuple(breaches)


def find_fit_day(in_work_from: date | None, limits: Limits) -> date | None:
    """The first day on which a horse back in work may show; None where nothing is known."""
    return None if in_work_from is None else add_days(in_work_from, limits.fit_up_days)


def find_checked_outings(tours: Sequence[str], limits: Limits) -> tuple[int, ...]:
    """The vet looks after every n-th outing and after the last of a tour.

    `tours` are the tours of a horse's outings in date order ("" for a single show); returns
    the places in that order after which a check is due. n is `vet_check_after_shows`.

    >>> find_checked_outings(["", "", "Sun", "", ""], Limits(vet_check_after_shows=2))
    (1, 2, 3)
    """
    last = len(tours) - 1
    return tuple(
        i
        for i, tour in enumerate(tours)
        if (i + 1) % limits.vet_check_after_shows == 0
        or (tour != "" and (i == last or tours[i + 1] != tour))
    )
