"""One man's day at the wheel, in quarters of an hour, from the figures of the law itself.

Why quarters of an hour are enough: a drive departs on one (handbook, Choices), the drives of the
tiny yards last whole quarters, and so do all halts (15, 30, 45 minutes) and all bounds (hours of
the clock, of driving, of duty). So every drive ends on a quarter too. Loading takes 20 minutes, no
whole quarters, but nothing is measured from its end except the next departure, which is a quarter
again. Every start of every drive of a day is tried on every quarter, so nothing lies between.

A halt is made when it is due and never before: whatever an earlier one would allow afterwards, the
later one allows too, because it leaves less of the way to go. Only its length is tried.

A driver who has slept is a fresh one: the handbook knows drivers without a name, as many as it
takes, so that whoever has driven a lorry one day may be followed by another. What remains of the
law is its day. 49 CFR 395.3(a): 11 h of driving, none after the 14th hour on duty, 30 minutes
without driving after 8 h of it, 10 h of rest. Regulation (EC) No 561/2006 Art. 6-8: 10 h of driving
(9, twice a week 10), 45 minutes of rest after 4.5 h of driving, or 15 and then 30, 9 h of rest (11,
three times 9) within 24, so 15 h on duty. Loading is duty and no rest (handbook, Choices: Drives).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

QUARTER = 15
HOUR = 4
DAY = 24 * HOUR
LOADING_MINUTES = 20
WATER = 4 * HOUR
HORSE_DAY = 10 * HOUR
ANYTIME = 0
LOAD_FROM = 5 * HOUR
MORNING = 5 * HOUR + 2  # loading begins at 5, the wheels turn on the next quarter after 5:20
EVENING = 16 * HOUR + 2  # 16 and 20 minutes
TEN = 10 * HOUR
NIGHT = 21 * HOUR


@dataclass(frozen=True)
class Law:
    """Quarters of driving a day, on duty, of driving until a break is due, and of the night."""

    driving: int
    duty: int
    turn: int
    rest: int
    european: bool = False


LAWS = {
    "us": Law(11 * HOUR, 14 * HOUR, 8 * HOUR, 10 * HOUR),
    "eu": Law(10 * HOUR, 15 * HOUR, 4 * HOUR + 2, 9 * HOUR, european=True),
    "none": Law(DAY, DAY, DAY, 7 * HOUR),
}


@dataclass(frozen=True)
class Part:
    """What one day holds of one drive: quarters at the wheel, from when, until when.

    `loads` and `unloads`: horses are loaded before it, unloaded after it.
    """

    driving: int
    horses: bool
    loads: bool
    unloads: bool
    earliest: int = ANYTIME
    latest: int = DAY


@dataclass(frozen=True)
class Placed:
    """When a part begins, and its halts: quarters driven before each, quarters it lasts."""

    start: int
    span: int
    halts: tuple[tuple[int, int], ...]


Way = tuple[int, int, bool, tuple[tuple[int, int], ...]]


@cache
def list_ways(driving: int, horses: bool, law: Law, since: int, half: bool) -> tuple[Way, ...]:
    """The ways to drive so long: quarters it takes, since the last break, first half of one, halts.

    `since` quarters were driven since the last break; `half`: its first 15 minutes are had.
    """
    return tuple(dict.fromkeys(_drive_on(driving, 0, horses, law, since, half, 0)))


def _drive_on(
    left: int, done: int, horses: bool, law: Law, since: int, half: bool, water: int
) -> Iterator[Way]:
    run = min(left, law.turn - since, WATER - water if horses else DAY)
    left, done, since, water = left - run, done + run, since + run, water + run
    if left == 0:
        yield done, since, half, ()
        return
    for pause in (2, 3) if law.european else (2,):
        fresh = pause == 3 or half or not law.european
        if not fresh and since == law.turn:
            continue
        after = (0, False) if fresh else (since, True)
        for span, *rest, halts in _drive_on(left, done, horses, law, *after, 0):
            yield span + pause, *rest, ((done, pause), *halts)


@cache
def place(parts: tuple[Part, ...], law: Law) -> tuple[Placed, ...] | None:
    """The parts of one man's day, each on the first quarter of an hour that the law allows."""
    if sum(part.driving for part in parts) > law.driving:
        return None
    for start in range(parts[0].earliest, DAY):
        on_duty = start * QUARTER - LOADING_MINUTES * parts[0].loads
        found = _place_from(parts, law, start, on_duty, 0, False)
        if found is not None:
            return found
    return None


def _place_from(
    parts: tuple[Part, ...], law: Law, start: int, on_duty: int, since: int, half: bool
) -> tuple[Placed, ...] | None:
    part, later = parts[0], parts[1:]
    for span, driven, halved, halts in list_ways(part.driving, part.horses, law, since, half):
        end = start + span
        off_duty = end * QUARTER + LOADING_MINUTES * (part.unloads and law.european)
        if end > part.latest or (part.horses and span > HORSE_DAY):
            continue
        if off_duty > on_duty + law.duty * QUARTER:
            continue
        placed = Placed(start, span, halts)
        if not later:
            return (placed,)
        busy = LOADING_MINUTES * (part.unloads + later[0].loads)
        for again in range(max(end, later[0].earliest), DAY):
            pause = (again - end) * QUARTER
            if pause < busy:
                continue
            rested = pause - busy if law.european else pause
            state = _rest(rested, law, driven, halved)
            found = _place_from(later, law, again, on_duty, *state)
            if found is not None:
                return (placed, *found)
    return None


def _rest(minutes: int, law: Law, since: int, half: bool) -> tuple[int, bool]:
    """Time between two drives is a break where it is long enough."""
    if not law.european:
        return (0, False) if minutes >= 30 else (since, half)
    if minutes >= 45 or (half and minutes >= 30):
        return 0, False
    return since, half or minutes >= 15
