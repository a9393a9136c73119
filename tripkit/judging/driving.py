"""The judge's rule about the road: hours, halts, nights, and the drive the yard's roads know.

A drive is cut into working days at its overnight stops. A day of the horses is the time from
loading to unloading, halts included. Where horses travel together the strictest limit among them
binds. What a driver does is read as a log over the whole season, legs and lorries together, and
held to the driving rules by the `logbook` rooms, which share no function with the rooms that make
the timetables.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from tripkit.judging.case import (
    Case,
    Trip,
    Violation,
    count_clock_minutes,
    count_hours,
    find_zone,
    is_aware,
    name_stop,
    state_leg,
)
from tripkit.judging.logbook import find_log_faults, list_crew, read_log
from tripkit.judging.logbook_entries import LogFault
from tripkit.yard.circuit import KINDS_OF_STOP, Driver, Leg, Stop, write_driver
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Horse
from tripkit.yard.limits import Limits
from tripkit.yard.places import HOME
from tripkit.yard.terms import name_term

WEEK_DAYS = 7
WATERED = ("water", "overnight")
SLACK_HOURS = 0.05
# What a written figure may differ from the road's: 1 % or the last digit it is written with, and
# a crumb so that a difference of exactly that much passes in floats.
KM_SHARE, KM_SLACK = 0.01, 0.1
HOURS_SHARE, HOURS_SLACK = 0.01, 0.02
CRUMB = 1e-9

# An overnight stop of fewer hours is no night. Times are written to the minute and the night of
# the clock change is an hour shorter, so a little less than eight hours counts.
NIGHT_HOURS = 7.0

# The first day for which the log checker knows rules of the United States and of the EU.
FIRST_EDITION = date(2007, 4, 11)
OVERLAP = "log-overlap"
# Regulation (EC) No 561/2006 Art. 4(j): a second driver may have a break in a moving vehicle.
SECOND_SEAT = {"eu": "off duty"}


@dataclass(frozen=True)
class Shift:
    """One working day of a drive: aware start and end."""

    trip: Trip
    start: datetime
    end: datetime

    @property
    def hours(self) -> float:
        """From loading to unloading [h]."""
        return count_hours(self.start, self.end)


@dataclass(frozen=True)
class Halt:
    """A stop that can be placed on its drive: aware start and end, and what it is for."""

    kind: str
    start: datetime
    end: datetime
    minutes: int


def judge_driving(case: Case) -> Iterator[Violation]:
    """Each leg keeps to the roads, the horses' hours and the stops for water; so do the drivers.

    Hours of a day add up over legs with no night between them. No known road is named here too.
    Somebody known drives each leg, or an unnamed driver with a number. A driver keeps the driving
    rules over the whole season, is in one lorry at a time, and drives on no day on which he is
    absent; in any seven days he has his days off. An unnamed driver is one for each lorry.
    """
    for leg in case.circuit.legs:
        day = leg.depart.date()
        way = state_leg(leg, day)
        odd = (*_find_odd_times(case, leg), *_find_wrong_roads(case, leg))
        for what in (*odd, *_find_unknown_drivers(case, leg)):
            yield _charge(leg, state("judging.driving", leg=way, what=what), day)
    shifts: dict[int, list[Shift]] = {}
    driven: list[Leg] = []
    for trip in case.trips:
        halts, misplaced = _read_halts(case, trip)
        shifts[trip.number] = _cut_into_shifts(case, trip, halts)
        driven.append(_write_leg(case, trip, halts))
        wrong = _find_wrong_hours(case, trip, halts, shifts[trip.number])
        for what in (*misplaced, *wrong, *_find_late_hours(case, trip)):
            fact = state("judging.driving", leg=trip.name, what=what)
            yield _charge(trip.leg, fact, trip.days.first)
    for horse in case.yard.horses:
        own = [s for trip in case.trips_by_horse[horse.horse] for s in shifts[trip.number]]
        yield from _find_long_days(own, horse)
    yield from _find_absent_drivers(case)
    yield from _find_tired_drivers(case)
    yield from _find_log_faults(case, driven)


def _write_leg(case: Case, trip: Trip, halts: Sequence[Halt]) -> Leg:
    """A leg as the log has it: aware times, stops that can be placed, who can sit in the lorry."""
    vehicle = case.yard.vehicle_by_name.get(trip.leg.vehicle)
    drivers = tuple(dict.fromkeys(trip.leg.drivers))
    return replace(
        trip.leg,
        depart=trip.depart,
        arrive=trip.arrive,
        stops=tuple(Stop(halt.kind, halt.start, halt.minutes, "") for halt in halts),
        drivers=drivers[: vehicle.drivers if vehicle is not None else 1],
    )


def _find_unknown_drivers(case: Case, leg: Leg) -> Iterator[Fact]:
    if not any(write_driver(driver).strip() for driver in leg.drivers):
        yield state("judging.no-driver")
        return
    known = {person.person for person in case.yard.people}
    known.update(name for vehicle in case.yard.vehicles for name in vehicle.driver_names)
    for driver in dict.fromkeys(leg.drivers):
        if isinstance(driver, str) and driver not in known:
            yield state("judging.unknown-driver", driver=driver)
        if leg.drivers.count(driver) > 1:
            yield state("judging.driver-twice", driver=driver)


def _find_absent_drivers(case: Case) -> Iterator[Violation]:
    for trip in case.trips:
        for driver in dict.fromkeys(trip.leg.drivers):
            for away in case.find_absences(driver) if isinstance(driver, str) else ():
                if _brings_home(case, trip, driver, away):
                    continue
                if away.first <= trip.days.last and trip.days.first <= away.last:
                    day = max(away.first, trip.days.first)
                    fact = state("judging.driver-away", leg=trip.name, driver=driver, on=day)
                    yield _charge(trip.leg, fact, day, driver)


def _find_tired_drivers(case: Case) -> Iterator[Violation]:
    """Of any seven days so many are without a drive, of whoever drives."""
    off = case.yard.limits.driver_days_off
    driven: dict[Driver, dict[date, Leg]] = {}
    for trip in case.trips:
        for driver in trip.leg.drivers:
            driven.setdefault(driver, {}).update((day, trip.leg) for day in trip.days)
    for driver, legs in driven.items():
        told = date.min
        for day in sorted(legs):
            week = [other for other in legs if 0 <= (day - other).days < WEEK_DAYS]
            if len(week) > WEEK_DAYS - off and min(week) > told:
                told = day
                fact = state(
                    "judging.driver-without-day-off",
                    driver=driver,
                    have_days=len(week),
                    first=min(week),
                    until=day,
                    need_days=off,
                )
                yield _charge(legs[day], fact, day, driver)


def _brings_home(case: Case, trip: Trip, driver: Driver, away: DaySpan) -> bool:
    """Whether a driver was away with a lorry when his absence began, and drives it home."""
    driven = [leg for leg in case.yard.begun.legs if leg.vehicle == trip.leg.vehicle]
    if not driven or driven[-1].end == HOME or trip.end_key != HOME:
        return False
    ahead = [t for t in case.trips_by_vehicle[trip.leg.vehicle] if t.end_key == HOME]
    first = next((t for t in ahead if t.depart > driven[-1].depart), None)
    return driver in driven[-1].drivers and trip is first and driven[-1].days.first < away.first


def _find_log_faults(case: Case, legs: Sequence[Leg]) -> Iterator[Violation]:
    """Each driver's log of the season, held to the rules by the log checker."""
    rules = case.driving_rules.id
    for driver, log in read_log(legs, second_seat=SECOND_SEAT.get(rules, "on duty")).items():
        own = [leg for leg in legs if driver in list_crew(leg)]
        faults: list[LogFault] = []
        # Two drivers aboard have a daily rest of their own rule; the other rules are the same.
        for manned in sorted({min(2, max(1, len(leg.drivers))) for leg in own}):
            faults += [
                fault
                for fault in find_log_faults(
                    log,
                    rules,
                    edition=max(FIRST_EDITION, case.yard.season.first),
                    drivers=manned,
                    clock=find_zone(case.yard.place.timezone),
                )
                if _count_aboard(own, fault) == manned and not _is_lorry_s(own, fault)
            ]
        for fault in faults:
            assert isinstance(fault.start, datetime)
            leg = _find_leg(own, fault)
            day = fault.start.date()
            way = state_leg(leg, day)
            fact = state(
                "judging.driver-log", driver=driver, leg=way, what=fault.fact, source=fault.source
            )
            yield _charge(leg, fact, day, driver)


def _charge(leg: Leg, fact: Fact, day: date, driver: Driver = "") -> Violation:
    return Violation("driving", fact, vehicle=leg.vehicle, person=driver, day=day)


def _is_lorry_s(legs: Sequence[Leg], fault: LogFault) -> bool:
    """Whether a driver is in two legs at once because his lorry is: `one-place` tells of that."""
    if fault.rule != OVERLAP:
        return False
    now = {
        leg.vehicle
        for leg in legs
        if leg.depart <= fault.start < leg.arrive  # type: ignore[operator]
    }
    return len(now) < 2


def _find_leg(legs: Sequence[Leg], fault: LogFault) -> Leg:
    """The leg in which a fault begins, else the last one before it."""
    begun = [leg for leg in legs if leg.depart <= fault.start]  # type: ignore[operator]
    return begun[-1] if begun else legs[0]


def _count_aboard(legs: Sequence[Leg], fault: LogFault) -> int:
    return min(2, max(1, len(_find_leg(legs, fault).drivers)))


def _find_odd_times(case: Case, leg: Leg) -> Iterator[Fact]:
    for does, moment, stop in (
        (state("judging.departs"), leg.depart, leg.start),
        (state("judging.arrives"), leg.arrive, leg.end),
    ):
        zones = case.find_zones(stop)
        if not is_aware(moment):
            yield state("judging.no-offset", does=does, at=moment)
        elif case.is_placed(leg) and zones:
            local = [moment.astimezone(zone) for zone in zones]
            if all(moment.utcoffset() != other.utcoffset() for other in local):
                yield state("judging.not-local", does=does, at=moment, local=local[0])
    if case.is_placed(leg):
        depart = case.read_moment(leg.depart, leg.start)
        arrive = case.read_moment(leg.arrive, leg.end)
        if count_hours(depart, arrive) < 0:
            yield state("judging.arrives-before", on=arrive.date(), at=arrive)


def _find_wrong_roads(case: Case, leg: Leg) -> Iterator[Fact]:
    start, end = case.find_key(leg.start), case.find_key(leg.end)
    if start is None or end is None:
        return
    drive = case.yard.roads.find_drive(start, end)
    hours = case.find_hours(leg)
    if drive is None or hours is None:
        yield state("judging.no-road", start=name_stop(start), end=name_stop(end))
        return
    # Written so that a figure that is no number fails as well.
    if not abs(leg.km - drive.km) <= max(KM_SHARE * drive.km, KM_SLACK) + CRUMB:
        yield state("judging.other-km", written_km=leg.km, road_km=drive.km)
    if leg.vehicle in case.yard.vehicle_by_name and not (
        abs(leg.hours - hours) <= max(HOURS_SHARE * hours, HOURS_SLACK) + CRUMB
    ):
        yield state("judging.other-hours", written_hours=leg.hours, road_hours=hours)


def _read_halts(case: Case, trip: Trip) -> tuple[list[Halt], list[Fact]]:
    """The stops of a drive in order, and what is wrong with those that cannot be placed."""
    halts: list[Halt] = []
    odd: list[Fact] = []
    placed = [stop for stop in trip.leg.stops if case.is_near(stop.start.date())]
    if len(placed) < len(trip.leg.stops):
        odd.append(state("judging.stop-far"))
    moments = [(case.read_moment(s.start, trip.leg.start), s) for s in placed]
    for start, stop in sorted(moments, key=lambda m: m[0].astimezone(UTC)):
        if not is_aware(stop.start):
            odd.append(
                state("judging.stop-without-offset", kind=name_term(stop.kind), at=stop.start)
            )
        last = halts[-1].end if halts else trip.depart
        if stop.kind not in KINDS_OF_STOP:
            odd.append(state("judging.no-kind-of-stop", kind=stop.kind))
        elif not 0 < stop.minutes <= count_minutes(trip):
            odd.append(
                state("judging.stop-too-long", kind=name_term(stop.kind), stop_minutes=stop.minutes)
            )
        elif (
            count_hours(last, start) < -SLACK_HOURS
            or count_hours(start, trip.arrive) + SLACK_HOURS < stop.minutes / 60
        ):
            odd.append(state("judging.stop-outside", kind=name_term(stop.kind), at=start))
        else:
            # Added in UTC, so that the night of a clock change keeps its length.
            end = start.astimezone(UTC) + timedelta(minutes=stop.minutes)
            halts.append(Halt(stop.kind, start, end.astimezone(start.tzinfo), stop.minutes))
    return halts, odd


def count_minutes(trip: Trip) -> int:
    """Minutes from departure to arrival."""
    return round(count_hours(trip.depart, trip.arrive) * 60)


def _list_limits(case: Case, horses: Sequence[str]) -> list[Limits]:
    """The limits of each horse aboard; the yard's for an empty lorry and a horse not known."""
    known = case.yard.horse_by_name
    return [known[name].limits for name in horses if name in known] or [case.yard.limits]


def _count_night_hours(limits: Sequence[Limits]) -> float:
    """The hours an overnight stop has at least [h]; fewer where the horses' day is longer."""
    return max(0.0, min(NIGHT_HOURS, 23.0 - min(one.horse_hours_per_day for one in limits)))


def _cut_into_shifts(case: Case, trip: Trip, halts: Sequence[Halt]) -> list[Shift]:
    night = _count_night_hours(_list_limits(case, trip.horses)) - SLACK_HOURS
    shifts: list[Shift] = []
    start = trip.depart
    for halt in halts:
        if halt.kind == "overnight" and count_hours(halt.start, halt.end) >= night:
            shifts.append(Shift(trip, start, halt.start))
            start = halt.end
    shifts.append(Shift(trip, start, trip.arrive))
    return shifts


def _find_wrong_hours(
    case: Case, trip: Trip, halts: Sequence[Halt], shifts: Sequence[Shift]
) -> Iterator[Fact]:
    limits = _list_limits(case, trip.horses)
    day_hours = min(one.horse_hours_per_day for one in limits)
    water_hours = min(one.water_every_hours for one in limits)
    halted = sum(halt.minutes for halt in halts) / 60
    passed = count_hours(trip.depart, trip.arrive)
    if passed + SLACK_HOURS < trip.leg.hours + halted:
        yield state(
            "judging.too-little-time",
            drive_hours=trip.leg.hours,
            halt_hours=halted,
            have_hours=passed,
        )
    night = _count_night_hours(limits)
    for halt in halts:
        if halt.kind == "overnight" and count_hours(halt.start, halt.end) < night - SLACK_HOURS:
            yield state("judging.no-night", have_hours=halt.minutes / 60)
    for shift in shifts:
        if trip.horses and shift.hours > day_hours + SLACK_HOURS:
            yield state(
                "judging.horses-too-long",
                have_hours=shift.hours,
                start=shift.start,
                most_hours=day_hours,
            )
    if trip.horses:
        watered = [halt.kind in WATERED for halt in halts]
        longest = _find_longest_drive(trip, halts, watered)
        if longest > water_hours + SLACK_HOURS:
            yield state("judging.no-water", have_hours=longest, most_hours=water_hours)


def _find_late_hours(case: Case, trip: Trip) -> Iterator[Fact]:
    """Horses are loaded and unloaded by day, and come while the stables take them."""
    if not trip.horses:
        return
    limits, show = _list_limits(case, trip.horses), case.yard.show_by_name.get(trip.leg.end)
    load_from = max(one.load_from_hour for one in limits)
    arrive_until = min(one.arrive_until_hour for one in limits)
    goes, comes = (count_clock_minutes(moment) / 60 for moment in (trip.depart, trip.arrive))
    loads = goes - case.yard.driving.loading_minutes / 60
    if loads < load_from - CRUMB:
        yield state("judging.loads-early", at=trip.depart, from_hours=load_from)
    if comes > arrive_until + CRUMB:
        yield state("judging.comes-late", at=trip.arrive, until_hours=arrive_until)
    if show is None:
        return
    opens, closes = show.stables_open_minutes / 60, show.stables_close_minutes / 60
    if not opens - CRUMB <= comes <= closes + CRUMB:
        yield state(
            "judging.stables-shut",
            at=trip.arrive,
            show=show.show,
            from_hours=opens,
            until_hours=closes,
        )


def _find_longest_drive(trip: Trip, halts: Sequence[Halt], counts: Sequence[bool]) -> float:
    """The longest driving between two halts that count [h]; other halts are taken off."""
    longest, start, other = 0.0, trip.depart, 0.0
    for halt, counted in zip(halts, counts, strict=True):
        if counted:
            longest = max(longest, count_hours(start, halt.start) - other)
            start, other = halt.end, 0.0
        else:
            other += halt.minutes / 60
    return max(longest, count_hours(start, trip.arrive) - other)


def _find_long_days(shifts: Sequence[Shift], horse: Horse) -> Iterator[Violation]:
    """Shifts of several legs that no night parts, and those on one date, add up."""
    limit = horse.limits.horse_hours_per_day
    night = _count_night_hours([horse.limits]) - SLACK_HOURS
    ordered = sorted(shifts, key=lambda s: s.start.astimezone(UTC))
    stretches: list[list[Shift]] = []
    for shift in ordered:
        if stretches and count_hours(stretches[-1][-1].end, shift.start) < night:
            stretches[-1].append(shift)
        else:
            stretches.append([shift])
    told: set[date] = set()
    for stretch in stretches:
        hours = sum(shift.hours for shift in stretch)
        if _adds_up(stretch, hours, limit):
            told |= {shift.start.date() for shift in stretch}
            yield _tell_long_day(stretch, hours, limit, horse.horse)
    by_date: dict[date, list[tuple[Shift, float]]] = {}
    for shift in ordered:
        for day, share in _share_among_dates(shift):
            by_date.setdefault(day, []).append((shift, share * shift.hours))
    for day, parts in by_date.items():
        hours = sum(part for _, part in parts)
        own = [shift for shift, _ in parts]
        if day not in told and _adds_up(own, hours, limit):
            yield _tell_long_day(own, hours, limit, horse.horse)


def _adds_up(shifts: Sequence[Shift], hours: float, limit: float) -> bool:
    """Whether shifts are too long together and none of them is by itself."""
    over = limit + SLACK_HOURS
    return hours > over and all(shift.hours <= over for shift in shifts)


def _tell_long_day(shifts: Sequence[Shift], hours: float, limit: float, horse: str) -> Violation:
    ways = dict.fromkeys((s.trip.leg.start, s.trip.leg.end) for s in shifts)
    day = shifts[-1].start.date()
    fact = state(
        "judging.long-day",
        horse=horse,
        have_hours=hours,
        on=day,
        legs=tuple(
            state("judging.way", start=name_stop(start), end=name_stop(end)) for start, end in ways
        ),
        most_hours=limit,
    )
    vehicle = shifts[-1].trip.leg.vehicle
    return Violation("driving", fact, horse, vehicle=vehicle, day=day)


def _share_among_dates(shift: Shift) -> Iterator[tuple[date, float]]:
    """The local dates a shift touches, each with its part of the shift."""
    whole = shift.hours
    if whole <= 0:
        return
    zone = shift.start.tzinfo
    now, end = shift.start, shift.end.astimezone(zone)
    while now.date() < end.date():
        midnight = datetime.combine(now.date() + timedelta(days=1), time(), zone)
        yield now.date(), count_hours(now, midnight) / whole
        now = midnight
    yield now.date(), count_hours(now, end) / whole
