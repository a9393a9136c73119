"""The judge's rule about the road: hours, halts, nights, and the drive the yard's roads know.

A drive is cut into working days at its overnight stops. A day of the horses is the time from
loading to unloading, halts included; a day of the driver is the driving in it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from tripkit.circuit import Leg
from tripkit.judge_case import Case, Trip, Violation, count_hours, is_aware

HALTS = ("water", "break", "overnight")
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

# Driving hours after which the driver's break is due. 49 CFR 395.3(a)(3)(ii), edition of
# 29 September 2020; Regulation (EC) No 561/2006 Art. 7, whose split break is not looked for.
BREAK_AFTER_HOURS: Mapping[str, float] = {"us": 8.0, "eu": 4.5}


@dataclass(frozen=True)
class Shift:
    """One working day of a drive: aware start and end, halts in it [h], driving in it [h]."""

    trip: Trip
    start: datetime
    end: datetime
    driving_hours: float

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
    """Each leg keeps to the roads, the driving rules, the horses' hours, and the stops for water.

    Hours of a day add up over legs with no night between them. No known road is named here too.
    """
    for leg in case.circuit.legs:
        day = leg.depart.date()
        way = f"{leg.vehicle} from {leg.start} to {leg.end} on {day}"
        for text in (*_find_odd_times(case, leg), *_find_wrong_roads(case, leg)):
            yield Violation("driving", f"{way}: {text}", vehicle=leg.vehicle, day=day)
    shifts: dict[int, list[Shift]] = {}
    for trip in case.trips:
        halts, odd = _read_halts(case, trip)
        shifts[trip.number] = _cut_into_shifts(case, trip, halts)
        for text in (*odd, *_find_wrong_hours(case, trip, halts, shifts[trip.number])):
            yield Violation(
                "driving", f"{trip.name}: {text}", vehicle=trip.leg.vehicle, day=trip.days.first
            )
    for vehicle, trips in case.trips_by_vehicle.items():
        own = [shift for trip in trips for shift in shifts[trip.number]]
        limit = case.driving_rules.hours_per_day
        yield from _find_long_days(case, own, limit, vehicle, "")
    for horse in case.yard.horses:
        own = [s for trip in case.trips_by_horse[horse.horse] for s in shifts[trip.number]]
        limit = case.yard.limits.horse_hours_per_day
        yield from _find_long_days(case, own, limit, "", horse.horse)


def _find_odd_times(case: Case, leg: Leg) -> Iterator[str]:
    for word, moment, stop in (
        ("departs", leg.depart, leg.start),
        ("arrives", leg.arrive, leg.end),
    ):
        zones = case.find_zones(stop)
        if not is_aware(moment):
            yield f"{word} at {moment:%Y-%m-%d %H:%M} without an offset from UTC"
        elif case.is_placed(leg) and zones:
            local = [moment.astimezone(zone) for zone in zones]
            if all(moment.utcoffset() != other.utcoffset() for other in local):
                yield (
                    f"{word} at {moment:%H:%M%z}, which is not local time there "
                    f"({local[0]:%H:%M%z})"
                )
    if case.is_placed(leg):
        depart = case.read_moment(leg.depart, leg.start)
        arrive = case.read_moment(leg.arrive, leg.end)
        if count_hours(depart, arrive) < 0:
            yield f"arrives at {arrive:%Y-%m-%d %H:%M%z}, before it departs"


def _find_wrong_roads(case: Case, leg: Leg) -> Iterator[str]:
    start, end = case.find_key(leg.start), case.find_key(leg.end)
    if start is None or end is None:
        return
    drive = case.yard.roads.find_drive(start, end)
    hours = case.find_hours(leg)
    if drive is None or hours is None:
        yield f"no road is known from {start} to {end}"
        return
    # Written so that a figure that is no number fails as well.
    if not abs(leg.km - drive.km) <= max(KM_SHARE * drive.km, KM_SLACK) + CRUMB:
        yield f"{leg.km:.1f} km as written, {drive.km:.1f} km by road"
    if leg.vehicle in case.yard.vehicle_by_name and not (
        abs(leg.hours - hours) <= max(HOURS_SHARE * hours, HOURS_SLACK) + CRUMB
    ):
        yield f"{leg.hours:.2f} h as written, {hours:.2f} h by road"


def _read_halts(case: Case, trip: Trip) -> tuple[list[Halt], list[str]]:
    """The stops of a drive in order, and what is wrong with those that cannot be placed."""
    halts: list[Halt] = []
    odd: list[str] = []
    placed = [stop for stop in trip.leg.stops if case.is_near(stop.start.date())]
    if len(placed) < len(trip.leg.stops):
        odd.append("a stop lies far from the season")
    moments = [(case.read_moment(s.start, trip.leg.start), s) for s in placed]
    for start, stop in sorted(moments, key=lambda m: m[0].astimezone(UTC)):
        if not is_aware(stop.start):
            odd.append(f"the {stop.kind} stop at {stop.start:%H:%M} has no offset from UTC")
        last = halts[-1].end if halts else trip.depart
        if stop.kind not in HALTS:
            odd.append(f"{stop.kind!r} is no kind of stop")
        elif not 0 < stop.minutes <= count_minutes(trip):
            odd.append(f"a {stop.kind} stop of {stop.minutes} minutes does not fit into the drive")
        elif (
            count_hours(last, start) < -SLACK_HOURS
            or count_hours(start, trip.arrive) + SLACK_HOURS < stop.minutes / 60
        ):
            odd.append(
                f"the {stop.kind} stop at {start:%Y-%m-%d %H:%M} lies outside the drive or in "
                f"another stop"
            )
        else:
            # Added in UTC, so that the night of a clock change keeps its length.
            end = start.astimezone(UTC) + timedelta(minutes=stop.minutes)
            halts.append(Halt(stop.kind, start, end.astimezone(start.tzinfo), stop.minutes))
    return halts, odd


def count_minutes(trip: Trip) -> int:
    """Minutes from departure to arrival."""
    return round(count_hours(trip.depart, trip.arrive) * 60)


def _count_night_hours(case: Case) -> float:
    """The hours an overnight stop has at least [h]; fewer where the horses' day is longer."""
    return max(0.0, min(NIGHT_HOURS, 23.0 - case.yard.limits.horse_hours_per_day))


def _cut_into_shifts(case: Case, trip: Trip, halts: Sequence[Halt]) -> list[Shift]:
    night = _count_night_hours(case) - SLACK_HOURS
    cuts: list[tuple[datetime, datetime, float]] = []
    start, rest = trip.depart, 0.0
    for halt in halts:
        if halt.kind == "overnight" and count_hours(halt.start, halt.end) >= night:
            cuts.append((start, halt.start, rest))
            start, rest = halt.end, 0.0
        else:
            rest += halt.minutes / 60
    cuts.append((start, trip.arrive, rest))
    driven = [max(0.0, count_hours(a, b) - halted) for a, b, halted in cuts]
    # Time that is neither driving as written nor a halt is spread over the days.
    share = min(1.0, trip.hours / sum(driven)) if sum(driven) > 0 else 1.0
    crew = _count_crew(case, trip)
    return [
        Shift(trip, a, b, hours * share / crew)
        for (a, b, _), hours in zip(cuts, driven, strict=True)
    ]


def _count_crew(case: Case, trip: Trip) -> int:
    vehicle = case.yard.vehicle_by_name.get(trip.leg.vehicle)
    named = len(set(trip.leg.drivers)) or 1
    return min(named, vehicle.drivers) if vehicle is not None else 1


def _find_wrong_hours(
    case: Case, trip: Trip, halts: Sequence[Halt], shifts: Sequence[Shift]
) -> Iterator[str]:
    limits, rules = case.yard.limits, case.driving_rules
    halted = sum(halt.minutes for halt in halts) / 60
    passed = count_hours(trip.depart, trip.arrive)
    if passed + SLACK_HOURS < trip.leg.hours + halted:
        yield (
            f"{trip.leg.hours:.2f} h of driving and {halted:.2f} h of halts do not fit into the "
            f"{passed:.2f} h from departure to arrival"
        )
    night = _count_night_hours(case)
    for halt in halts:
        if halt.kind == "overnight" and count_hours(halt.start, halt.end) < night - SLACK_HOURS:
            yield f"an overnight stop of {halt.minutes / 60:.1f} h is no night"
    for shift in shifts:
        if trip.horses and shift.hours > limits.horse_hours_per_day + SLACK_HOURS:
            yield (
                f"horses travel {shift.hours:.1f} h without a night from {shift.start:%H:%M}, and "
                f"may travel {limits.horse_hours_per_day:g}"
            )
        if shift.driving_hours > rules.hours_per_day + SLACK_HOURS:
            yield (
                f"a driver drives {shift.driving_hours:.1f} h without a night from "
                f"{shift.start:%H:%M}, and may drive {rules.hours_per_day:g} ({rules.source})"
            )
    if trip.horses:
        watered = [halt.kind in WATERED for halt in halts]
        longest = _find_longest_drive(trip, halts, watered)
        if longest > limits.water_every_hours + SLACK_HOURS:
            yield (
                f"horses go {longest:.1f} h without a stop for water, and may go "
                f"{limits.water_every_hours:g}"
            )
    allowed = BREAK_AFTER_HOURS.get(rules.id)
    if allowed is not None:
        rested = [halt.minutes >= rules.halt_minutes for halt in halts]
        longest = _find_longest_drive(trip, halts, rested) / _count_crew(case, trip)
        if longest > allowed + SLACK_HOURS:
            yield (
                f"a driver drives {longest:.1f} h without a break of {rules.halt_minutes} "
                f"minutes, and may drive {allowed:g}"
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


def _find_long_days(
    case: Case, shifts: Sequence[Shift], limit: float, vehicle: str, horse: str
) -> Iterator[Violation]:
    """Shifts of several legs that no night parts, and those on one date, add up."""

    def measure(shift: Shift) -> float:
        return shift.hours if horse else shift.driving_hours

    who = horse or f"a driver of {vehicle}"
    night = _count_night_hours(case) - SLACK_HOURS
    ordered = sorted(shifts, key=lambda s: s.start.astimezone(UTC))
    stretches: list[list[Shift]] = []
    for shift in ordered:
        if stretches and count_hours(stretches[-1][-1].end, shift.start) < night:
            stretches[-1].append(shift)
        else:
            stretches.append([shift])
    told: set[date] = set()
    for stretch in stretches:
        hours = sum(measure(shift) for shift in stretch)
        if _adds_up(stretch, measure, hours, limit):
            told |= {shift.start.date() for shift in stretch}
            yield _tell_long_day(stretch, hours, limit, who, vehicle, horse)
    by_date: dict[date, list[tuple[Shift, float]]] = {}
    for shift in ordered:
        for day, share in _share_among_dates(shift):
            by_date.setdefault(day, []).append((shift, share * measure(shift)))
    for day, parts in by_date.items():
        hours = sum(part for _, part in parts)
        own = [shift for shift, _ in parts]
        if day not in told and _adds_up(own, measure, hours, limit):
            yield _tell_long_day(own, hours, limit, who, vehicle, horse)


def _adds_up(
    shifts: Sequence[Shift], measure: Callable[[Shift], float], hours: float, limit: float
) -> bool:
    """Whether shifts are too long together and none of them is by itself."""
    over = limit + SLACK_HOURS
    return hours > over and all(measure(shift) <= over for shift in shifts)


def _tell_long_day(
    shifts: Sequence[Shift], hours: float, limit: float, who: str, vehicle: str, horse: str
) -> Violation:
    does = "travels" if horse else "drives"
    legs = dict.fromkeys(f"{s.trip.leg.start} to {s.trip.leg.end}" for s in shifts)
    day = shifts[-1].start.date()
    text = f"{who} {does} {hours:.1f} h on {day} ({', '.join(legs)}), and may {does[:-1]} {limit:g}"
    return Violation("driving", text, horse, vehicle=vehicle, day=day)


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
