"""The driving rules as a timetable keeps them, edition by edition, and what it leaves to people.

The United States: one driver drives 11 h within 14 h of coming on duty, with a break of 30 min
after 8 h of driving, and rests 10 h. The EU: 9 h, or 10 h on the last day of a leg where that lets
it arrive on that day; 45 min of break after 4.5 h of driving, or 15 and then 30 (the first part is
never below the 30 min in which the horses drink); rest of 11 h, or of 9 h in up to three nights
where that saves a day. Great Britain: 10 h of driving and 11 h of duty in the 24 h from its start.

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

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state

CAUTIONS: Mapping[str, str] = {
    "driver": (
        "The timetable keeps the driving rules chosen in yard.toml. The driver keeps the log and "
        "the law: whether the rules hold for this lorry at all depends on its weight and on "
        "whether it is driven for business (US: transport of horses not for business is exempt, "
        "FMCSA guidance of February 2018; EU and Great Britain: horseboxes up to 7.5 t not driven "
        "for business, Regulation (EC) No 561/2006 Art. 3(h))."
    ),
    "water": (
        "Water every 4 hours is advice to yards, not a law (Harness Racing New Zealand guide); "
        "the yard's water_every_hours wins."
    ),
    "us-journey": (
        "United States: horses may be confined at most 28 hours in a row, loading not counted, "
        "36 where the owner asks in writing, and are then unloaded for at least 5 hours in a row; "
        "a vehicle that gives food, water, space and rest is exempt (49 USC 80502). The yard's "
        "horse_hours_per_day keeps every journey far below."
    ),
    "eu-journey": (
        "EU: unregistered horses drink every 8 hours, travel at most 24 and then rest 24 unloaded; "
        "8 hours where the vehicle is not equipped for long journeys. Registered horses, as sport "
        "horses with a passport of their studbook or federation are, are exempt from intervals and "
        "journey times (Regulation (EC) No 1/2005, Annex I Chapter V). The timetable takes every "
        "horse for a registered one and keeps the yard's own hours."
    ),
    "gb-journey": (
        "Great Britain: registered horses on the way to competitions are exempt from journey logs, "
        "intervals and journey times (retained Regulation (EC) No 1/2005)."
    ),
}
"""What a timetable does not know, in words for whoever prints one; by what each is about."""


@dataclass(frozen=True)
class DrivingRules:
    """One set of driving rules, for one driver unless a field says crew.

    Hours of driving in a day [h], hours from the first to the last drive of a day [h], hours of
    driving after which a halt is due [h], how long it must be to count [min]; hours of a long day
    [h], of rest [h], of the shortest rest [h] and how many of those; hours between the starts of
    two days [h]; of two drivers: hours from first to last drive, of driving, of rest [h]; hours of
    driving between two longer rests, and whole days and hours of such a rest; `first_days` are the
    days of driving before the first of them.
    """

    id: str
    hours_per_day: float
    duty_hours_per_day: float
    halt_after_hours: float
    halt_minutes: int
    source: str
    long_day_hours: float = 0.0
    rest_hours: float = 0.0
    short_rest_hours: float = 0.0
    short_rests: int = 0
    start_after_hours: float = 0.0
    crew_duty_hours: float = 24.0
    crew_driving_hours: float = 24.0
    crew_rest_hours: float = 0.0
    split_halts: bool = False
    first_days: int = 0
    cycle_hours: float = 0.0
    cycle_days: int = 0
    pause_days: int = 0
    pause_hours: float = 0.0


_US = DrivingRules(
    "us",
    11.0,
    14.0,
    8.0,
    30,
    "49 CFR 395.3(a)(3)(i)-(ii), edition of 29 September 2020",
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
        "Regulation (EC) No 561/2006 Art. 6(1), 7, 8",
        long_day_hours=10.0,
        rest_hours=11.0,
        short_rest_hours=9.0,
        short_rests=3,
        crew_duty_hours=21.0,
        crew_driving_hours=18.0,
        crew_rest_hours=9.0,
        split_halts=True,
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
        "Transport Act 1968; gov.uk guidance section 2",
        start_after_hours=24.0,
        crew_driving_hours=11.0,
    ),
    "none": DrivingRules("none", 24.0, 24.0, 24.0, 30, "no driving rules chosen"),
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
                source="49 CFR 395.3(a)(3), edition of 1 October 2005",
            ),
        ),
        (
            date(2013, 7, 1),
            replace(_US, source="49 CFR 395.3(a)(3)(i)-(ii), edition of 1 July 2013"),
        ),
        (date(2020, 9, 29), _US),
    )
}


def find_rules(rules: str, day: date) -> DrivingRules:
    """The edition of some driving rules in force on a day: the latest that had begun.

    Raises `BadValue` for unknown rules, and before the first edition known.

    >>> find_rules("us", date(2019, 5, 1)).source
    '49 CFR 395.3(a)(3)(i)-(ii), edition of 1 July 2013'
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
