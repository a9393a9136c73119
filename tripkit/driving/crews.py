"""Drivers put on the legs of a season, so that each driver's hours over all of it are lawful.

A lorry's round from home to home has one crew: drivers change at home only, and where the lorry
leaves again on the day it came home, those who brought it are asked first. The drivers named for a
lorry come first, in the order written; one who is absent on a day of the round, is out with another
lorry, or has no hours left is passed over, and the next one drives, at last an unnamed driver.
Everybody has his days off in any seven (`driver_days_off`). Unnamed drivers are counted through the
yard: no number is on two lorries at once. At a show the crew is off duty until the lorry leaves.
Where no one driver may drive a whole round, the one who takes over meets the lorry at the show
where the hours of the first run out.

Hours are kept from leg to leg: in the United States 10 h off between two days, 70 h of duty in 8
days with a restart of 34 h off; in the EU the daily rest of 11 h, or 9 h up to three times between
two weekly rests, two days of 10 h a week, 56 h a week, 90 h in two, and a weekly rest of 45 h, or
24 h every second time, within six days; in Great Britain 10 h of driving and 11 h of duty in the
24 h from the start of duty. What is stricter than the law: no split rests, and nothing is made
good by a later rest. The log checker in `logbook` shares no function with this room.

**Source:** see `driving/rules`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta, tzinfo
from itertools import count
from zoneinfo import ZoneInfo

from tripkit.driving.day import EARLY_BREAK_MINUTES, LATE_BREAK_MINUTES
from tripkit.driving.rules import DrivingRules
from tripkit.yard.circuit import Driver, Leg, number_driver
from tripkit.yard.places import HOME
from tripkit.yard.yard import Yard

HOUR, DAY, WEEK = 60, 24 * 60, 7
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
US_REST, US_RESTART, US_DUTY, US_DAYS = 10 * HOUR, 34 * HOUR, 70 * HOUR, 8
EU_SHORT_REST, EU_REST, EU_SHORT_RESTS = 9 * HOUR, 11 * HOUR, 3
EU_DAY, EU_LONG_DAYS, EU_WEEK, EU_FORTNIGHT = 9 * HOUR, 2, 56 * HOUR, 90 * HOUR
EU_WEEKLY_REST, EU_SHORT_WEEKLY_REST, EU_BETWEEN = 45 * HOUR, 24 * HOUR, 6 * DAY
GB_DRIVING, GB_DUTY = 10 * HOUR, 11 * HOUR


@dataclass(frozen=True)
class Work:
    """One stretch of work in minutes of UTC since 1970: driving, or riding along on duty."""

    start: int
    end: int
    drives: bool
    crew: bool

    @property
    def minutes(self) -> int:
        """How long it is [min]."""
        return self.end - self.start


@dataclass
class _Driver:
    name: Driver
    work: list[Work] = field(default_factory=list)
    days: set[int] = field(default_factory=set)
    free_from: int = 0


def put_on_drivers(yard: Yard, legs: Iterable[Leg], rules: DrivingRules) -> tuple[Leg, ...]:
    """Every leg gets its drivers: as many as its lorry has, named where they can be.

    Legs of each lorry must follow each other in time; the answer is in their order. Legs that have
    begun keep their drivers, and who is away with a lorry brings it home where his hours allow.
    """
    ordered = list(legs)
    begun = {(leg.vehicle, leg.depart) for leg in yard.begun.legs}
    open_legs = [n for n, leg in enumerate(ordered) if (leg.vehicle, leg.depart) not in begun]
    clock = ZoneInfo(yard.place.timezone)
    came_home = _list_returns(ordered)

    def order(numbers: list[int]) -> tuple[bool, int, list[int]]:
        """Who is away, or goes on today, comes home with his lorry before he takes another one."""
        leg = ordered[numbers[0]]
        before = came_home.get(numbers[0])
        moment = leg.depart if before is None else ordered[before].arrive
        return leg.start == HOME, _count(moment), numbers

    rounds = sorted(_list_rounds(ordered, open_legs), key=order)
    known: dict[Driver, _Driver] = {}
    away = _count_driven(yard.begun.legs, rules, known)
    for numbers in rounds:
        left = numbers
        first = away.get(ordered[numbers[0]].vehicle, ())
        if ordered[numbers[0]].start == HOME:
            before = came_home.get(numbers[0])
            names = () if before is None else ordered[before].drivers
            first = tuple(known.setdefault(name, _Driver(name)) for name in names)
        while left:
            part = [ordered[n] for n in left]
            crew, held = _find_crew(yard, part, rules, clock, known, first)
            for number in left[:held]:
                ordered[number] = replace(ordered[number], drivers=tuple(d.name for d in crew))
            left = left[held:]
    return tuple(ordered)


def _count_driven(
    driven: Sequence[Leg], rules: DrivingRules, known: dict[Driver, _Driver]
) -> dict[str, tuple[_Driver, ...]]:
    """The hours of the legs driven before are counted; answers who is away with which lorry."""
    away: dict[str, tuple[_Driver, ...]] = {}
    for leg in sorted(driven, key=lambda leg: _count(leg.depart)):
        crew = []
        for seat, name in enumerate(leg.drivers):
            driver = known.setdefault(name, _Driver(name))
            driver.work += list_work(leg, seat, len(leg.drivers), rules)
            driver.days |= _list_days([leg])
            driver.free_from = _count(leg.arrive)
            crew.append(driver)
        away[leg.vehicle] = () if leg.end == HOME else tuple(crew)
    return away


def _list_rounds(legs: Sequence[Leg], numbers: Iterable[int]) -> Iterator[list[int]]:
    """The legs of each lorry from home to home, by number."""
    open_rounds: dict[str, list[int]] = {}
    for number in sorted(numbers, key=lambda n: _count(legs[n].depart)):
        leg = legs[number]
        open_rounds.setdefault(leg.vehicle, []).append(number)
        if leg.end == HOME:
            yield open_rounds.pop(leg.vehicle)
    yield from open_rounds.values()


def _list_returns(legs: Sequence[Leg]) -> dict[int, int]:
    """For a leg that leaves home on the day on which its lorry came home: the leg it came with."""
    found: dict[int, int] = {}
    last: dict[str, int] = {}
    for number in sorted(range(len(legs)), key=lambda n: _count(legs[n].depart)):
        leg = legs[number]
        before = last.get(leg.vehicle)
        came = None if before is None else legs[before].arrive.date()
        if before is not None and leg.start == HOME and came == leg.depart.date():
            found[number] = before
        last[leg.vehicle] = number
    return found


def _find_crew(
    yard: Yard,
    legs: Sequence[Leg],
    rules: DrivingRules,
    clock: tzinfo,
    known: dict[Driver, _Driver],
    first: Sequence[_Driver] = (),
) -> tuple[list[_Driver], int]:
    """The crew that drives the legs of a round, and how many of them: all, where anyone may.

    Those who come `first` are asked before the drivers named for the lorry.
    """
    vehicle = yard.vehicle_by_name[legs[0].vehicle]
    for held in range(len(legs), 0, -1):
        part = legs[:held]
        crew: list[_Driver] = []
        own = [known.setdefault(name, _Driver(name)) for name in vehicle.driver_names]
        candidates = [*first, *(driver for driver in own if driver not in first)]
        for driver in candidates:
            if len(crew) < vehicle.drivers and not _is_away(yard, driver.name, part):
                _try_driver(yard, driver, part, vehicle.drivers, rules, clock, crew)
        for number in count(1):
            if len(crew) == vehicle.drivers:
                return _take(crew, part, rules), held
            name = number_driver(number)
            unnamed = known.setdefault(name, _Driver(name))
            fresh = not unnamed.free_from
            if unnamed in crew:
                continue
            taken = _try_driver(yard, unnamed, part, vehicle.drivers, rules, clock, crew)
            # Who has no hours behind him can drive a single leg: its timetable is made so.
            if fresh and not taken:
                if held > 1:
                    break
                crew.append(unnamed)
    raise AssertionError("a crew of one leg is always found")


def _try_driver(
    yard: Yard,
    driver: _Driver,
    legs: Sequence[Leg],
    seats: int,
    rules: DrivingRules,
    clock: tzinfo,
    crew: list[_Driver],
) -> bool:
    if driver in crew or driver.free_from > _count(legs[0].depart):
        return False
    if not has_days_off(driver.days | _list_days(legs), yard.limits.driver_days_off):
        return False
    more = [work for leg in legs for work in list_work(leg, len(crew), seats, rules)]
    if not is_lawful([*driver.work, *more], rules, clock):
        return False
    crew.append(driver)
    return True


def _take(crew: list[_Driver], legs: Sequence[Leg], rules: DrivingRules) -> list[_Driver]:
    for seat, driver in enumerate(crew):
        driver.work += [w for leg in legs for w in list_work(leg, seat, len(crew), rules)]
        driver.days |= _list_days(legs)
        driver.free_from = _count(legs[-1].arrive)
    return crew


def _list_days(legs: Sequence[Leg]) -> set[int]:
    return {day.toordinal() for leg in legs for day in leg.days}


def has_days_off(days: Iterable[int], off: int) -> bool:
    """Whether so many of any seven days are without a drive.

    >>> has_days_off([1, 2, 3, 4, 5, 6, 8], 1), has_days_off(range(1, 8), 1)
    (True, False)
    """
    ordered, most = sorted(set(days)), WEEK - off
    return all(b - a >= WEEK for a, b in zip(ordered, ordered[most:], strict=False))


def _is_away(yard: Yard, name: Driver, legs: Sequence[Leg]) -> bool:
    first, last = legs[0].depart.date(), legs[-1].arrive.date()
    if not isinstance(name, str):
        return False
    if any(yard.has_day_off(name, day) for leg in legs for day in leg.days):
        return True
    return any(days.first <= last and first <= days.last for days in yard.absences_of(name))


def _count(moment: datetime) -> int:
    return int((moment - EPOCH) // timedelta(minutes=1))


def list_work(leg: Leg, seat: int, seats: int, rules: DrivingRules) -> list[Work]:
    """What the driver of one seat does on a leg: drivers change at each stop, the first begins.

    Who rides along is on duty, and has a break in the EU.
    """
    found: list[Work] = []
    now = _count(leg.depart)
    cuts = [(_count(stop.start), stop.minutes) for stop in leg.stops]
    for turn, (start, minutes) in enumerate([*cuts, (_count(leg.arrive), 0)]):
        drives = turn % seats == seat
        if start > now and (drives or rules.id != "eu"):
            found.append(Work(now, start, drives, seats > 1))
        now = start + minutes
    return found


def is_lawful(work: Sequence[Work], rules: DrivingRules, clock: tzinfo) -> bool:
    """Whether a driver's work over a season, in time order, keeps the rules from leg to leg.

    What lies within one leg is its timetable's and was asked there.
    """
    if any(b.start < a.end for a, b in zip(work, work[1:], strict=False)):
        return False
    if not _keeps_breaks(work, rules):
        return False
    if rules.id == "us":
        return _keeps_us(work, clock)
    if rules.id == "eu":
        return _keeps_eu(work, clock)
    if rules.id == "gb":
        return _keeps_gb(work)
    return True


def _find_day(minute: int, clock: tzinfo) -> int:
    return (EPOCH + timedelta(minutes=minute)).astimezone(clock).toordinal()


def _start_day(day: int, clock: tzinfo) -> int:
    return _count(datetime.combine(date.fromordinal(day), datetime.min.time(), clock))


def _cut_shifts(work: Sequence[Work], rest: int) -> list[list[Work]]:
    """Work between rests of at least so many minutes."""
    shifts: list[list[Work]] = []
    for piece in work:
        if shifts and piece.start - shifts[-1][-1].end < rest:
            shifts[-1].append(piece)
        else:
            shifts.append([piece])
    return shifts


def _sum_driving(work: Iterable[Work]) -> int:
    return sum(piece.minutes for piece in work if piece.drives)


def _keeps_breaks(work: Sequence[Work], rules: DrivingRules) -> bool:
    """A break is due after so much driving, also where it is of two legs, of two lorries even."""
    turn, begun, until = 0, False, 0
    for piece in work:
        if not piece.drives:
            continue
        rested = piece.start - until
        late = rules.split_halts and begun and rested >= LATE_BREAK_MINUTES
        if late or rested >= rules.halt_minutes:
            turn, begun = 0, False
        elif rules.split_halts:
            begun = begun or rested >= EARLY_BREAK_MINUTES
        if turn and turn + piece.minutes > rules.halt_after_hours * HOUR:
            return False
        turn, until = turn + piece.minutes, piece.end
    return True


def _keeps_us(work: Sequence[Work], clock: tzinfo) -> bool:
    """11 h of driving and 14 h of duty between two rests of 10 h, 70 h of duty in 8 days."""
    for shift in _cut_shifts(work, US_REST):
        if _sum_driving(shift) > 11 * HOUR or shift[-1].end - shift[0].start > 14 * HOUR:
            return False
    since = first = 0
    for number, piece in enumerate(work):
        if number and piece.start - work[number - 1].end >= US_RESTART:
            since = number
        begin = _start_day(_find_day(piece.start, clock) - US_DAYS + 1, clock)
        first = max(first, since)
        while work[first].end <= begin:
            first += 1
        used = sum(p.end - max(p.start, begin) for p in work[first : number + 1])
        if used > US_DUTY:
            return False
    return True


def _keeps_eu(work: Sequence[Work], clock: tzinfo) -> bool:
    """Daily rests, long days, weeks and weekly rests; see the room's text."""
    shifts = _cut_shifts(work, EU_SHORT_REST)
    short = 0
    long_days: dict[int, int] = {}
    driven: dict[int, int] = {}
    for number, shift in enumerate(shifts):
        week = (_find_day(shift[0].start, clock) - 1) // 7
        driving = _sum_driving(shift)
        driven[week] = driven.get(week, 0) + driving
        if driving > EU_DAY:
            long_days[week] = long_days.get(week, 0) + 1
            if driving > EU_DAY + HOUR or long_days[week] > EU_LONG_DAYS:
                return False
        within = 30 * HOUR if shift[-1].crew else DAY
        rest = DAY * 7
        if number + 1 < len(shifts):
            rest = shifts[number + 1][0].start - shift[-1].end
        got = min(rest, shift[0].start + within - shift[-1].end)
        if got < EU_SHORT_REST:
            return False
        short += not shift[-1].crew and got < EU_REST
        if short > EU_SHORT_RESTS:
            return False
        if rest >= EU_SHORT_WEEKLY_REST:
            short = 0
    for week, minutes in driven.items():
        if minutes > EU_WEEK or minutes + driven.get(week - 1, 0) > EU_FORTNIGHT:
            return False
    return _keeps_weekly_rests(shifts)


def _keeps_weekly_rests(shifts: Sequence[Sequence[Work]]) -> bool:
    """A weekly rest begins within six days of the last; of two in a row one has 45 h.

    Ways to call rests weekly are followed side by side: (end of the last weekly rest, whether it
    was a short one).
    """
    if not shifts:
        return True
    ways = {(shifts[0][0].start, False)}
    for shift, later in zip(shifts, [*shifts[1:], None], strict=True):
        end = shift[-1].end
        ways = {way for way in ways if end - way[0] <= EU_BETWEEN}
        if not ways or later is None:
            break
        start = later[0].start
        rest = start - end
        if rest >= EU_WEEKLY_REST:
            ways = {(start, False)}
        elif rest >= EU_SHORT_WEEKLY_REST and any(not short for _, short in ways):
            ways.add((start, True))
    return bool(ways)


def _keeps_gb(work: Sequence[Work]) -> bool:
    """10 h of driving and 11 h of duty in the 24 h that begin with the start of duty."""
    begin, driving, duty = 0, 0, 0
    for piece in work:
        start = piece.start
        while start < piece.end:
            if not begin or start >= begin + DAY:
                begin, driving, duty = start, 0, 0
            end = min(piece.end, begin + DAY)
            duty += end - start
            driving += end - start if piece.drives else 0
            if driving > GB_DRIVING or duty > GB_DUTY:
                return False
            start = end
    return True
