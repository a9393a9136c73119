"""Who may jump what: height, age, level, division and rider of a class, and the vet's word.

A finding is `ok`, `due` (to be done before), `barred` or `unknown` (nothing is written; it does
not bar). tripkit reads the figures it holds; the current rule book and a vet decide.

Which books ask: those of `[papers] rules`, and at a show that names a book in its `rules` that
one too; the yard's own added rules everywhere. An empty `[papers] rules` turns them all off.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from datetime import date
from functools import lru_cache

from tripkit.eligibility.categories import (
    OLDEST_YOUNG,
    compute_horse_age,
    find_young_height,
    find_young_start,
    fits_rider_category,
    list_strictest,
    normalise_level,
)
from tripkit.eligibility.validity import quote_rule, state_rule
from tripkit.yard.answers import BARRED, CAUTION, CLEARED, OK, UNKNOWN, Finding, give_reason
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.horses import Horse, VetCheck
from tripkit.yard.people import Person
from tripkit.yard.rulebook import Rule, RuleBook
from tripkit.yard.shows import AMATEUR, JUNIOR, YOUNG, Show, ShowClass
from tripkit.yard.terms import name_term
from tripkit.yard.yard import Yard

CALENDAR_SOURCE = "the yard's classes.csv and horses.csv"
PEOPLE_SOURCE = "the yard's classes.csv and people.csv"
VET_SOURCE = (
    "the yard's vet_checks.csv; American Association of Equine Practitioners, Lameness scale"
)
LOCAL_BOOK = "local"


# Books


def find_books(yard: Yard, show: Show) -> tuple[RuleBook, ...]:
    """The rule books that apply at a show: the yard's, and the show's own."""
    if not yard.paper_rules:
        return ()
    asked = (*yard.paper_rules, LOCAL_BOOK)
    if show.rules:
        asked += tuple(_split_words(show.rules))
    return tuple(book for book in yard.rule_books if book.id in asked)


@lru_cache(maxsize=256)
def _split_words(text: str) -> frozenset[str]:
    return frozenset(re.split(r"[;,\s]+", text)) - {""}


def is_southern(yard: Yard, show: Show) -> bool:
    """Whether a show lies south of the equator, by its place, else by the yard's."""
    place = yard.roads.places.get(show.place_key)
    return (yard.place if place is None else place).southern


def _find_level_age(yard: Yard, show: Show, offered: ShowClass) -> Rule | None:
    """The strictest minimum age of the show's level; classes with ages of their own have none."""
    if not show.level or offered.youngest_horse is not None or offered.division == YOUNG:
        return None
    rule_id = f"minimum-age-{normalise_level(show.level)}"
    rules = [book.find_rule(rule_id, offered.day) for book in find_books(yard, show)]
    return list_strictest(rules)


# Classes


def fits_class(yard: Yard, horse: Horse, offered: ShowClass, rider: Person | None = None) -> bool:
    """Whether horse and rider may enter a class: height, horse's age, division, rider.

    `rider` None: any rider the horse may have. True exactly where `find_class_findings` bars
    nothing.
    """
    if not horse.from_height_cm <= offered.height_cm <= horse.to_height_cm:
        return False
    show = yard.show_by_name[offered.show]
    youngest, oldest = offered.youngest_horse, offered.oldest_horse
    if youngest is not None or oldest is not None or show.level:
        age = compute_horse_age(horse.born, offered.day, is_southern(yard, show))
        if youngest is not None and age < youngest:
            return False
        if oldest is not None and age > oldest:
            return False
        rule = _find_level_age(yard, show, offered)
        if rule is not None and age < int(str(rule.value)):
            return False
    if offered.day.year - horse.born.year <= OLDEST_YOUNG and _find_start(yard, horse, offered):
        return False
    if rider is None:
        return any(_fits_division(offered, r) for r in list_riders(yard, horse, show))
    return (
        rider.role == "rider"
        and (horse.rider in ("", rider.person) or rider in list_riders(yard, horse, show))
        and _fits_division(offered, rider)
    )


def _find_start(yard: Yard, horse: Horse, offered: ShowClass) -> Rule | None:
    """The rule of the show's books that keeps a young horse out of the class on its day."""
    show = yard.show_by_name[offered.show]
    age = compute_horse_age(horse.born, offered.day, is_southern(yard, show))
    rules = (
        find_young_start(book, age, offered.height_cm, offered.day)
        for book in find_books(yard, show)
    )
    return next((rule for rule in rules if rule is not None), None)


def list_riders(yard: Yard, horse: Horse, show: Show) -> tuple[Person, ...]:
    """The riders a horse may have at a show: all where it names none, else the one it names.

    Where that one is absent on a class day, those who ride it besides may take over.
    """
    if not horse.rider:
        return tuple(yard.riders.values())
    own = yard.riders[horse.rider]
    if horse.also_ridden_by and any(yard.is_absent(own.person, c.day) for c in show.classes):
        return (own, *(yard.riders[name] for name in horse.also_ridden_by))
    return (own,)


def _fits_division(offered: ShowClass, rider: Person) -> bool:
    return offered.division not in (JUNIOR, AMATEUR) or rider.status == offered.division


def find_class_findings(
    yard: Yard, horse: Horse, show: Show, offered: ShowClass, rider: Person | None = None
) -> tuple[Finding, ...]:
    """What each rule says of a horse and rider in a class: one finding a rule, ok ones too.

    Rules: `height`, `age`, `division`, `rider`; `minimum-age` where a book has one for the
    show's level, `young-start` where it keeps a young horse out, `young-height` where a class
    is above its guide. A junior whose date of birth speaks against the status is `unknown`.
    """
    answers = [
        _judge_height(horse, offered),
        _judge_age(yard, horse, show, offered),
        *_judge_level_age(yard, horse, show, offered),
        *_judge_young(yard, horse, show, offered),
        _judge_division(yard, horse, show, offered, rider),
        _judge_rider(yard, horse, show, rider),
    ]
    person = rider.person if rider is not None else horse.rider
    return tuple(
        Finding(rule, answer, reason, source, horse.horse, person, show.show, offered.name)
        for rule, answer, reason, source in answers
    )


Judged = tuple[str, str, Fact, str]


def _judge_height(horse: Horse, offered: ShowClass) -> Judged:
    fits = horse.from_height_cm <= offered.height_cm <= horse.to_height_cm
    heights: dict[str, Value] = {
        "height": offered.height_cm,
        "low": horse.from_height_cm,
        "high": horse.to_height_cm,
    }
    if fits:
        return "height", OK, state("eligibility.height", **heights), CALENDAR_SOURCE
    return "height", BARRED, state("eligibility.no-height", **heights), CALENDAR_SOURCE


def _judge_age(yard: Yard, horse: Horse, show: Show, offered: ShowClass) -> Judged:
    southern = is_southern(yard, show)
    age = compute_horse_age(horse.born, offered.day, southern)
    youngest, oldest = offered.youngest_horse, offered.oldest_horse
    unsure = state("eligibility.year-only") if horse.born_year_only and southern else None
    counted: dict[str, Value] = {"age": age, "day": offered.day, "unsure": unsure}
    fits = (youngest is None or age >= youngest) and (oldest is None or age <= oldest)
    if youngest is None and oldest is None:
        asked = state("eligibility.any-age")
    elif youngest == oldest:
        asked = state("eligibility.one-age", years=youngest)
    elif oldest is None:
        asked = state("eligibility.least-age", years=youngest)
    elif youngest is None:
        asked = state("eligibility.most-age", years=oldest)
    else:
        asked = state("eligibility.ages", youngest=youngest, oldest=oldest)
    reason = (
        state("eligibility.age-south", asked=asked, **counted)
        if southern
        else state("eligibility.age-north", asked=asked, **counted)
    )
    return "age", OK if fits else BARRED, reason, CALENDAR_SOURCE


def _judge_level_age(yard: Yard, horse: Horse, show: Show, offered: ShowClass) -> Iterator[Judged]:
    rule = _find_level_age(yard, show, offered)
    if rule is not None:
        age = compute_horse_age(horse.born, offered.day, is_southern(yard, show))
        fits = age >= int(str(rule.value))
        counted = state("eligibility.level-age", age=age, level=show.level)
        reason = give_reason(counted, state_rule(rule.words), CAUTION)
        yield "minimum-age", OK if fits else BARRED, reason, rule.cited


def _judge_young(yard: Yard, horse: Horse, show: Show, offered: ShowClass) -> Iterator[Judged]:
    """When young horses start by a book, and how high its guide for young-horse classes is."""
    if offered.day.year - horse.born.year > OLDEST_YOUNG:
        return
    start = _find_start(yard, horse, offered)
    if start is not None:
        early = state("eligibility.early", height=offered.height_cm, day=offered.day)
        reason = give_reason(early, state_rule(start.words), CAUTION)
        yield "young-start", BARRED, reason, start.cited
    if offered.division != YOUNG and offered.youngest_horse is None:
        return
    age = compute_horse_age(horse.born, offered.day, is_southern(yard, show))
    guide = find_young_height(find_books(yard, show), age, offered.height_cm, offered.day)
    if guide is not None:
        above = state("eligibility.above-guide", height=offered.height_cm, age=age)
        reason = give_reason(above, state_rule(guide.words), state("eligibility.ask"))
        yield "young-height", UNKNOWN, reason, guide.cited


def _judge_division(
    yard: Yard, horse: Horse, show: Show, offered: ShowClass, rider: Person | None
) -> Judged:
    division = offered.division
    if division not in (JUNIOR, AMATEUR):
        code = "eligibility.young-horses" if division == YOUNG else "eligibility.any-rider"
        return "division", OK, state(code), PEOPLE_SOURCE
    able = (rider,) if rider is not None else list_riders(yard, horse, show)
    fitting = [person for person in able if _fits_division(offered, person)]
    if not fitting:
        found = tuple(_state_status(person) for person in able)
        reason = state(
            "eligibility.no-division",
            division=name_term(division),
            riders=found or state("eligibility.nobody"),
        )
        return "division", BARRED, reason, PEOPLE_SOURCE
    named = fitting[0]
    doubt = _doubt_junior(find_books(yard, show), named, offered) if division == JUNIOR else None
    if doubt is not None:
        return "division", UNKNOWN, doubt, PEOPLE_SOURCE
    reason = state("eligibility.division", rider=named.person, division=name_term(division))
    return "division", OK, reason, PEOPLE_SOURCE


def _state_status(rider: Person) -> Fact:
    if rider.status:
        return state("eligibility.status", rider=rider.person, status=name_term(rider.status))
    return state("eligibility.no-status", rider=rider.person)


def _doubt_junior(books: Iterable[RuleBook], rider: Person, offered: ShowClass) -> Fact | None:
    """Why the books doubt that a rider is a junior; None where none does."""
    for book in books:
        rule = book.find_rule("rider-junior", offered.day)
        if rule is None:
            continue
        if rider.born is None:
            unknown = state("eligibility.junior-unborn", rider=rider.person)
            return give_reason(unknown, quote_rule(rule))
        if not fits_rider_category(rider.born, offered.day, rule):
            too_old = state("eligibility.junior-born", rider=rider.person, born=rider.born)
            return give_reason(too_old, quote_rule(rule))
    return None


def _judge_rider(yard: Yard, horse: Horse, show: Show, rider: Person | None) -> Judged:
    if rider is None:
        if not list_riders(yard, horse, show):
            return "rider", BARRED, state("eligibility.no-rider"), PEOPLE_SOURCE
        ridden = (
            state("eligibility.ridden-by", rider=horse.rider)
            if horse.rider
            else state("eligibility.ridden-by-any")
        )
        return "rider", OK, ridden, PEOPLE_SOURCE
    if rider.role != "rider":
        other = state("eligibility.no-rider-role", rider=rider.person, role=name_term(rider.role))
        return "rider", BARRED, other, PEOPLE_SOURCE
    if horse.rider not in ("", rider.person) and rider not in list_riders(yard, horse, show):
        alone = state("eligibility.other-rider", rider=horse.rider)
        return "rider", BARRED, alone, PEOPLE_SOURCE
    return "rider", OK, state("eligibility.may-ride", rider=rider.person), PEOPLE_SOURCE


# Clearance


def find_last_vet_check(yard: Yard, horse: Horse, on: date) -> VetCheck | None:
    """What the vet last said of a horse on or before a day, appointments aside."""
    checks = yard.vet_checks_by_horse.get(horse.horse, ())
    return next((check for check in reversed(checks) if check.date <= on), None)


def is_cleared(yard: Yard, horse: Horse, on: date) -> bool:
    """A horse jumps unless its last vet check on or before the day says not cleared."""
    check = find_last_vet_check(yard, horse, on)
    return check is None or check.cleared is not False


def find_clearance_finding(yard: Yard, horse: Horse, on: date | None = None) -> Finding:
    """Whether the vet lets a horse jump on a day (today where none is given)."""
    day = yard.day_of_planning if on is None else on
    check = find_last_vet_check(yard, horse, day)
    if check is None:
        reason = state("eligibility.no-check")
        return Finding(CLEARED, OK, reason, VET_SOURCE, horse.horse, paper=CLEARED)
    grade = None if check.grade is None else state("eligibility.grade", grade=check.grade)
    found = state("eligibility.limb", limb=check.limb, grade=grade) if check.limb else grade
    if check.cleared:
        reason = state("eligibility.cleared", day=check.date, found=found)
        return Finding(CLEARED, OK, reason, VET_SOURCE, horse.horse, paper=CLEARED)
    recheck = state("eligibility.recheck", by=check.recheck_by) if check.recheck_by else None
    reason = state("eligibility.not-cleared", day=check.date, found=found, recheck=recheck)
    return Finding(
        CLEARED,
        BARRED,
        reason,
        VET_SOURCE,
        horse.horse,
        due_by=check.recheck_by,
        paper=CLEARED,
    )
