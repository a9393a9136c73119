"""A leg's timetable: how many days a drive takes, where it halts, when it arrives.

Whole-day legs: a driving day begins at `DEPART_HOUR` local time; the horses have a halt for
water at the latest every `water_every_hours` of driving, and the day ends where the horses'
`horse_hours_per_day` (from loading to unloading, halts included) or the driver's daily hours
run out; then crew and horses stop for the night.

The driver's daily hours of driving [h]: 11 in the US, 9 in the EU, 10 in Great Britain; on duty
[h]: 14, 13 (24 less the daily rest of 11) and 11. A halt is due after 8 h of driving in the US and
4.5 h in the EU, so halts of `halt_minutes` for water are breaks as well.

**Source:** 49 CFR 395.3(a)(2)-(3); Regulation (EC) No 561/2006 Art. 6(1), 7, 8; Transport Act 1968
(gov.uk guidance, Great Britain domestic rules).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from math import ceil
from zoneinfo import ZoneInfo

from tripkit.circuit import Stop
from tripkit.limits import Limits

DEPART_HOUR = 7
EVENING_DRIVE_HOURS = 4.0
GRACE_HOURS = 1e-9


@dataclass(frozen=True)
class DrivingRules:
    """One set of driving rules for one driver and one day.

    Hours of driving [h], hours on duty from first to last drive [h], hours of driving after which
    a halt is due [h], and how long a halt must be to count [min].
    """

    id: str
    hours_per_day: float
    duty_hours_per_day: float
    halt_after_hours: float
    halt_minutes: int
    source: str


RULES = {
    "us": DrivingRules(
        "us", 11.0, 14.0, 8.0, 30, "49 CFR 395.3(a)(3)(i)-(ii), edition of 29 September 2020"
    ),
    "eu": DrivingRules("eu", 9.0, 13.0, 4.5, 45, "Regulation (EC) No 561/2006 Art. 6(1), 7, 8"),
    "gb": DrivingRules("gb", 10.0, 11.0, 24.0, 30, "Transport Act 1968; gov.uk guidance section 2"),
    "none": DrivingRules("none", 24.0, 24.0, 24.0, 30, "no driving rules chosen"),
}


@dataclass(frozen=True)
class Timetable:
    """When a leg departs and arrives (aware, local), and where it halts on the way."""

    depart: datetime
    arrive: datetime
    stops: tuple[Stop, ...]

    @property
    def nights(self) -> int:
        """Overnight stops on the way."""
        return sum(stop.kind == "overnight" for stop in self.stops)


def compute_day_hours(limits: Limits, rules: DrivingRules) -> float:
    """Hours of driving that fit into one day [h]: the horses' day less its halts, or the driver's.

    >>> compute_day_hours(Limits(), RULES["us"])
    9.0
    """
    halt_hours = rules.halt_minutes / 60
    stretch = min(limits.water_every_hours, rules.halt_after_hours)
    left, driven = min(limits.horse_hours_per_day, rules.duty_hours_per_day), 0.0
    while left > GRACE_HOURS:
        stage = min(stretch, left)
        driven += stage
        left -= stage + halt_hours
    return min(driven, rules.hours_per_day)


def count_drive_days(hours: float, limits: Limits, rules: DrivingRules) -> int:
    """Calendar days a drive of so many hours takes [days]; 0 for no drive.

    >>> [count_drive_days(h, Limits(), RULES["us"]) for h in (0.0, 5.6, 9.0, 9.1)]
    [0, 1, 1, 2]
    """
    return ceil(hours / compute_day_hours(limits, rules) - GRACE_HOURS)


def count_rider_days(hours: float, limits: Limits, rules: DrivingRules) -> int:
    """Clear days a rider needs between class days at two places so many hours apart [days].

    A drive of up to four hours fits into the evening after the last class; a longer one takes
    whole days. (Common practice, no source.)

    >>> [count_rider_days(h, Limits(), RULES["us"]) for h in (0.0, 4.0, 4.5, 9.5)]
    [0, 0, 1, 2]
    """
    if hours <= EVENING_DRIVE_HOURS:
        return 0
    return count_drive_days(hours, limits, rules)


def schedule_drive(
    hours: float,
    day: date,
    from_zone: str,
    to_zone: str,
    limits: Limits,
    rules: DrivingRules,
    *,
    loaded: bool,
    name_town: Callable[[float], str] | None = None,
) -> Timetable:
    """A drive of so many hours [h] leaving on a day becomes departure, halts and arrival.

    `name_town(fraction)` names the town nearest to that part of the way. Halts of a loaded
    lorry are for water, of an empty one for the driver's break. Elapsed time is counted in
    UTC, so a clock change on the way moves the local arrival, not the length of the drive.
    """
    per_day = compute_day_hours(limits, rules)
    stretch = min(limits.water_every_hours, rules.halt_after_hours, per_day)
    zone = ZoneInfo(from_zone)
    depart = datetime.combine(day, time(DEPART_HOUR), zone)
    now = depart.astimezone(ZoneInfo("UTC"))
    left, today_left, until_halt = hours, per_day, stretch
    stops: list[Stop] = []
    nights = 0

    def town() -> str:
        fraction = 1.0 if hours <= 0 else (hours - left) / hours
        return name_town(fraction) if name_town else ""

    while True:
        stage = min(left, today_left, until_halt)
        now += timedelta(hours=stage)
        left -= stage
        today_left -= stage
        until_halt -= stage
        if left <= GRACE_HOURS:
            break
        local = now.astimezone(zone)
        if today_left <= GRACE_HOURS:
            nights += 1
            morning = datetime.combine(
                depart.date() + timedelta(days=nights), time(DEPART_HOUR), zone
            ).astimezone(ZoneInfo("UTC"))
            minutes = round((morning - now).total_seconds() / 60)
            stops.append(Stop("overnight", _round_minute(local), minutes, town()))
            now, today_left, until_halt = morning, per_day, stretch
        else:
            kind = "water" if loaded else "break"
            stops.append(Stop(kind, _round_minute(local), rules.halt_minutes, town()))
            now += timedelta(minutes=rules.halt_minutes)
            until_halt = stretch
    return Timetable(depart, _round_minute(now.astimezone(ZoneInfo(to_zone))), tuple(stops))


def _round_minute(moment: datetime) -> datetime:
    return (moment + timedelta(seconds=30)).replace(second=0, microsecond=0)
