"""The driving rules as a timetable keeps them, edition by edition.

The United States: one driver drives 11 h within 14 h of coming on duty, with a break of 30 min
after 8 h of driving, and rests 10 h. The EU: 9 h, or 10 h on the last day of a leg where that lets
it arrive on that day; 45 min of break after 4.5 h of driving, or 15 and then 30 (the first part is
never below the 30 min in which the horses drink); rest of 11 h, or of 9 h in up to three nights
where that saves a day. Great Britain: 10 h of driving and 11 h of duty in the 24 h from its start.
Loading and unloading are duty; in the EU they are no break, and the day ends after them.

Of two drivers the one who rides along is on duty in the United States and in Great Britain; in the
EU he has his break, and both rest 9 h within 30. A leg too long for one week's hours has a longer
stop on the way: 34 h after 70 h of duty in the United States; in the EU two days at the latest
after six days, and then after every 45 h of driving.

Not used, though allowed: the split rest in a sleeper berth, the split daily rest, the hour over to
reach home (EU), adverse conditions and the livestock radius (US).

**Source:** 49 CFR 395.3(a)-(c), edition of 29 September 2020; Regulation (EC) No 561/2006 Art. 6, 7
and 8; Transport Act 1968 (gov.uk guidance, Great Britain domestic rules).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state


@dataclass(frozen=True)
class DrivingRules:
    """One set of driving rules, for one driver unless a field says crew.

    Hours of driving in a day [h], hours from the first to the last drive of a day [h], hours of
    driving after which a halt is due [h], how long it must be to count [min]; hours of a long day
    [h], of rest [h], of the shortest rest [h] and how many of those; hours between the starts of
    two days [h]; of two drivers: hours from first to last drive, of driving, of rest [h]; hours of
    driving between two longer rests, and whole days and hours of such a rest; `first_days` are the
    days of driving before the first of them. `work_hours` are those of driving and other work in a
    day; `work_counts`: such work is no break, and ends the day where it comes last.
    `loading_minutes` are those of loading and of unloading, which a yard may change.
    """

    id: str
    hours_per_day: float
    duty_hours_per_day: float
    halt_after_hours: float
    halt_minutes: int
    source: Fact
    long_day_hours: float = 0.0
    rest_hours: float = 0.0
    short_rest_hours: float = 0.0
    short_rests: int = 0
    start_after_hours: float = 0.0
    crew_duty_hours: float = 24.0
    crew_driving_hours: float = 24.0
    crew_rest_hours: float = 0.0
    split_halts: bool = False
    work_counts: bool = False
    work_hours: float = 24.0
    first_days: int = 0
    cycle_hours: float = 0.0
    cycle_days: int = 0
    pause_days: int = 0
    pause_hours: float = 0.0
    loading_minutes: int = 20


def _cite(section: str, edition: date) -> Fact:
    return state("laws.us-hours", section=section, edition=edition)


_US = DrivingRules(
    "us",
    11.0,
    14.0,
    8.0,
    30,
    _cite("395.3(a)(3)(i)-(ii)", date(2020, 9, 29)),
    rest_hours=10.0,
    crew_duty_hours=14.0,
    crew_driving_hours=14.0,
    crew_rest_hours=10.0,
    cycle_hours=70.0,
    pause_days=1,
    pause_hours=34.0,
)
RULES = {
    "us": _US,
    "eu": DrivingRules(
        "eu",
        9.0,
        13.0,
        4.5,
        45,
        state("laws.eu-hours", articles="6(1), 7, 8"),
        long_day_hours=10.0,
        rest_hours=11.0,
        short_rest_hours=9.0,
        short_rests=3,
        crew_duty_hours=21.0,
        crew_driving_hours=18.0,
        crew_rest_hours=9.0,
        split_halts=True,
        work_counts=True,
        first_days=6,
        cycle_hours=45.0,
        cycle_days=6,
        pause_days=2,
        pause_hours=45.0,
    ),
    "gb": DrivingRules(
        "gb",
        10.0,
        24.0,
        24.0,
        30,
        state("laws.gb-guidance"),
        start_after_hours=24.0,
        work_hours=11.0,
    ),
    "none": DrivingRules("none", 24.0, 24.0, 24.0, 30, state("laws.none")),
}

# The rule of 2011 counts 8 hours that passed since a break off duty. Every halt here is one, so
# its timetables are those of 2020; before it there was no break.
EDITIONS = {
    "us": (
        (
            date(2005, 10, 1),
            replace(
                _US,
                halt_after_hours=24.0,
                source=_cite("395.3(a)(3)", date(2005, 10, 1)),
            ),
        ),
        (
            date(2013, 7, 1),
            replace(_US, source=_cite("395.3(a)(3)(i)-(ii)", date(2013, 7, 1))),
        ),
        (date(2020, 9, 29), _US),
    )
}


def find_rules(rules: str, day: date) -> DrivingRules:
    """The edition of some driving rules in force on a day: the latest that had begun.

    Raises `BadValue` for unknown rules, and before the first edition known.

    >>> find_rules("us", date(2019, 5, 1)).source.get("edition")
    datetime.date(2013, 7, 1)
    """
    if rules not in RULES:
        raise BadValue(
            state("values.are-no-driving-rules-there", rules=rules, rules_2=tuple(RULES))
        )
    begun = [
        found for first, found in EDITIONS.get(rules, ((date.min, RULES[rules]),)) if first <= day
    ]
    if not begun:
        raise BadValue(state("values.no-edition-of-rules-is", rules=rules, day=day))
    return begun[-1]
