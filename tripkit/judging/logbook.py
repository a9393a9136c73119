"""The checker of a driver's log: which rules it breaks, asked of the log alone.

A second reading of the driving rules, independent of `driving`, which makes the timetables: no
function is shared with it. `read_log` says what the legs of a circuit mean as logs, `read_journeys`
what they mean for the horses.

**Source:** see `logbook_us`, `logbook_eu`, `logbook_horses`; each fault names its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, timedelta, tzinfo
from math import inf

from tripkit.judging.logbook_entries import (
    DRIVING,
    EPOCH,
    OFF_DUTY,
    ON_DUTY,
    Duty,
    Log,
    LogFault,
    count_minutes,
    open_log,
)
from tripkit.judging.logbook_eu import find_eu_faults, find_gb_faults
from tripkit.judging.logbook_horses import (
    ABOARD,
    UNLOADED,
    WATER,
    Passage,
)
from tripkit.judging.logbook_us import find_us_faults
from tripkit.yard.circuit import Driver, Leg
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state

BOOKS = ("us", "eu", "gb", "none")


def find_log_faults(
    duties: Iterable[Duty],
    rules: str,
    *,
    edition: date,
    drivers: int = 1,
    cycle: str = "70/8",
    clock: tzinfo | None = None,
) -> tuple[LogFault, ...]:
    """Every rule a driver's log breaks under a set of rules as in force on a day, in time order.

    `rules` are `us`, `eu`, `gb` or `none`; `drivers` 2 is multi-manning in the EU and changes
    nothing elsewhere; `cycle` is the US carrier's, "70/8" or "60/7"; `clock` is where days
    and weeks begin, the first entry's unless named. Two entries at one time are a fault under any
    rules (`log-overlap`).

    Raises `BadValue` for unknown rules, and where no edition is known for the day.

    >>> find_log_faults([Duty("driving", 0, 661)], "us", edition=date(2027, 1, 1))[1].rule
    'us-driving-11h'
    """
    if rules not in BOOKS:
        raise BadValue(
            state("values.are-no-driving-rules-there-2", rules=rules, books=tuple(BOOKS))
        )
    log = open_log(duties, clock)
    found = list(_find_overlaps(log))
    if rules == "us":
        found += find_us_faults(log, edition, cycle)
    elif rules == "eu":
        found += find_eu_faults(log, edition, drivers)
    elif rules == "gb":
        found += find_gb_faults(log)
    return tuple(sorted(found, key=lambda fault: (count_minutes(fault.start), fault.rule)))


def _find_overlaps(log: Log) -> Iterator[LogFault]:
    """Nobody does two things at one time: plain sense, no source."""
    for minute in log.overlaps:
        fact = state("logbook.overlap", at=log.name_moment(minute))
        yield log.make_fault("log-overlap", fact, minute, state("laws.plain-sense"))


def read_log(
    legs: Iterable[Leg], *, tends_horses: bool = False, second_seat: str = ON_DUTY
) -> dict[Driver, tuple[Duty, ...]]:
    """The legs of a circuit become a log for each driver, across the season, in time order.

    Between departure, stops and arrival somebody drives. At a break or a stop for water the
    drivers are off duty: the grooms water the horses; with `tends_horses` a stop for water is work.
    Over night and between legs they are off duty; loading takes no time. With two drivers aboard
    they drive in turn, changing at each stop, and the other one is `second_seat`: "on duty" as 49
    CFR 395.2 has it, or "off duty", since availability in a moving vehicle is a break under
    Regulation (EC) No 561/2006. An unnamed driver is one for each vehicle. (Common practice, no
    source, where none is named.)

    Raises `BadValue` for times without an offset.
    """
    found: dict[Driver, list[Duty]] = {}
    for leg in legs:
        crew = list_crew(leg)
        for turn, (start, end, kind) in enumerate(_cut_leg(leg)):
            for seat, driver in enumerate(dict.fromkeys(crew)):
                if kind:
                    does = ON_DUTY if tends_horses and kind == "water" else OFF_DUTY
                else:
                    does = DRIVING if turn // 2 % len(crew) == seat else second_seat
                found.setdefault(driver, []).append(Duty(does, start, end))
    return {
        driver: tuple(sorted(found[driver], key=lambda duty: count_minutes(duty.start)))
        for driver in sorted(found, key=_find_order)
    }


def list_crew(leg: Leg) -> tuple[Driver, ...]:
    """The drivers of a leg as logs name them: an unnamed one is one for each vehicle."""
    return tuple(
        driver
        if isinstance(driver, str)
        else state("logbook.driver-of", driver=driver, vehicle=leg.vehicle)
        for driver in leg.drivers or (state("logbook.nobody-named"),)
    )


def _find_order(driver: Driver) -> tuple[bool, str, float]:
    """People by name, then by vehicle and number those whom nobody names."""
    if isinstance(driver, str):
        return False, driver, 0
    number = driver.get_fact("driver").get("number")
    return True, str(driver.get("vehicle")), number if isinstance(number, int) else inf


def read_journeys(legs: Iterable[Leg]) -> Mapping[str, tuple[Passage, ...]]:
    """The legs of a circuit become the journeys of each horse, across the season.

    A stop for water gives water aboard, any other short halt keeps the horses aboard, an overnight
    stop and the time between legs has them unloaded; loading takes no time. (Common practice, no
    source.)
    """
    kinds = {"": ABOARD, "water": WATER, "overnight": UNLOADED}
    found: dict[str, list[Passage]] = {}
    for leg in legs:
        for start, end, kind in _cut_leg(leg):
            for horse in leg.horses:
                part = Passage(kinds.get(kind, ABOARD), start, end)
                found.setdefault(horse, []).append(part)
    return {
        horse: tuple(sorted(found[horse], key=lambda part: count_minutes(part.start)))
        for horse in sorted(found)
    }


def _cut_leg(leg: Leg) -> Iterator[tuple[datetime, datetime, str]]:
    """The parts of a leg in turn: a drive, a stop, a drive, ..., each with the kind of its stop.

    Times are those of the place of departure. Stops are cut where they reach into each other or
    out of the leg.
    """
    now = count_minutes(leg.depart)
    last = max(now, count_minutes(leg.arrive))

    def place(minute: int) -> datetime:
        return (EPOCH + timedelta(minutes=minute)).astimezone(leg.depart.tzinfo)

    for stop in sorted(leg.stops, key=lambda stop: count_minutes(stop.start)):
        reach = count_minutes(stop.start)
        start = min(max(reach, now), last)
        end = min(max(reach + stop.minutes, start), last)
        yield place(now), place(start), ""
        yield place(start), place(end), stop.kind
        now = end
    yield place(now), place(last), ""
