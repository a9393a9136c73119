"""Ages, categories and levels: how old a horse or rider counts, and what a level asks.

Numbers and words in, an answer out; nothing here knows a yard. The figures come from rule books.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from functools import lru_cache

from tripkit.yard.days import add_days, add_months
from tripkit.yard.rulebook import Rule, RuleBook

YOUNGEST_SHOWN = 3
OLDEST_YOUNG = 7
SOUTHERN_MONTH = 8


def compute_horse_age(born: date, on: date, southern: bool) -> int:
    """A horse is a year older on every 1 January, south of the equator on every 1 August.

    **Source:** general practice of horse sport (rule `horse-age-north`, `horse-age-south`).

    >>> compute_horse_age(date(2018, 10, 15), date(2026, 7, 31), southern=True)
    7
    """
    return count_horse_year(on, southern) - count_horse_year(born, southern)


def count_horse_year(day: date, southern: bool) -> int:
    """The year that a day counts to for the age of horses: in the south it begins in August."""
    return day.year - 1 if southern and day.month < SOUTHERN_MONTH else day.year


def fits_rider_category(born: date, on: date, rule: Rule) -> bool:
    """Whether a rider's age fits a category: the age reached in the year, or that on 1 December.

    A United States competition year begins on 1 December; a birthday on that day counts as the
    greater age. Elsewhere the age reached in the calendar year counts.

    **Source:** FEI General Regulations, Appendix A and Art. 124, 24th edition; USEF GR127.
    """
    if rule.unit == "age at most on 1 December":
        year = on.year if on.month == 12 else on.year - 1
        age = year - born.year - ((born.month, born.day) > (12, 1))
        return isinstance(rule.value, int) and age <= rule.value
    age = on.year - born.year
    if isinstance(rule.value, tuple):
        return rule.value[0] <= age <= rule.value[1]
    return isinstance(rule.value, int) and age >= rule.value


@lru_cache(maxsize=1024)
def normalise_level(level: str) -> str:
    """A level is compared without blanks and dashes; an official show ranks as its stars.

    >>> normalise_level("CSIO 3*"), normalise_level("CSI4*-W"), normalise_level("CSI-Y cat. A")
    ('CSI3*', 'CSI4*', 'CSIYA')
    """
    text = re.sub(r"[\s.\-]|CAT", "", level.upper()).replace("CSIO", "CSI")
    return text.removesuffix("W") if text.endswith("*W") else text


@lru_cache(maxsize=64)
def normalise_levels(text: str) -> frozenset[str]:
    """The levels of a list, each as it is compared."""
    return frozenset(map(normalise_level, text.split(",")))


def list_strictest(rules: Iterable[Rule | None]) -> Rule | None:
    """The rule with the largest number, None where there is none."""
    known = [rule for rule in rules if rule is not None and isinstance(rule.value, int)]
    return max(known, key=lambda rule: int(str(rule.value)), default=None)


# Young horses


def find_young_start(book: RuleBook, age: int, height_cm: int, on: date) -> Rule | None:
    """The rule that keeps a young horse out of a class on a day, None where none does.

    A rule `young-start-AGE` names the first day of the year on which horses of that age start
    at all, `young-start-above-AGE` the first on which they start above `young-start-height` [cm].

    **Source:** German national rules (LPO) 2024, as reported.
    """
    if not YOUNGEST_SHOWN <= age <= OLDEST_YOUNG:
        return None
    wanted = [f"young-start-{age}"]
    limit = book.find_rule("young-start-height", on)
    if limit is not None and isinstance(limit.value, int) and height_cm > limit.value:
        wanted.append(f"young-start-above-{age}")
    for rule_id in wanted:
        rule = book.find_rule(rule_id, on)
        if rule is not None and isinstance(rule.value, tuple) and (on.month, on.day) < rule.value:
            return rule
    return None


def find_young_height(books: Iterable[RuleBook], age: int, height_cm: int, on: date) -> Rule | None:
    """The guide that a young-horse class is higher than, None where it is within all of them."""
    for book in books:
        rule = book.find_rule(f"young-height-{age}", on)
        if rule is not None and isinstance(rule.value, int) and height_cm > rule.value:
            return rule
    return None


# Events


def is_too_soon_after(start: date, event: date, rule: Rule) -> bool:
    """Whether an unsanctioned start lies within the months before the first day of an event.

    **Source:** FEI General Regulations, Art. 113.4, 24th edition, updates of 1 January 2026.
    """
    assert isinstance(rule.value, int)
    return add_months(event, -rule.value) < start < event


def find_entry_day(book: RuleBook, first_day: date, kind: str = "definite") -> date | None:
    """The last day for nominated or definite entries of an event, None where the book has none.

    **Source:** FEI General Regulations, Art. 116, 24th edition, updates of 1 January 2026.
    """
    rule = book.find_rule(f"entry-{kind}-days", first_day)
    if rule is None or not isinstance(rule.value, int):
        return None
    return add_days(first_day, -rule.value)
