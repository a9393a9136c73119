"""Who may jump what, and what has to be done before: findings in words, each with its source.

A finding is `ok`, `due` (to be done before), `barred` or `unknown` (nothing is written; it does
not bar). `barred` is said of a paper only where it cannot be put right any more between today
and the arrival. tripkit reads the figures it holds; the current rule book and a vet decide.

Which books ask for papers: those of `[papers] rules`, and at a show that names a book in its
`rules` that one too. An empty `[papers] rules` turns papers and levels off.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Protocol

from tripkit.days import ONE_DAY, DaySpan, add_days
from tripkit.horses import Horse, VetCheck
from tripkit.papers import Paper
from tripkit.people import Person
from tripkit.rulebook import Rule, RuleBook
from tripkit.shows import AMATEUR, JUNIOR, Show, ShowClass
from tripkit.vaccination import (
    BARRED,
    CAUTION,
    DUE,
    OK,
    SHUT_DAYS,
    UNKNOWN,
    Steps,
    Verdict,
    assess_certificate,
    assess_coggins,
    assess_licence,
    assess_passport,
    assess_registration,
    assess_vaccination,
    choose_day,
    join_days,
    list_open_days,
)
from tripkit.yard import Yard

ANSWERS = (BARRED, DUE, UNKNOWN, OK)
"""All answers, in the order in which a manager looks at them."""

RANKS = {answer: rank for rank, answer in enumerate(ANSWERS)}

VACCINATIONS = ("influenza", "herpes")
COGGINS = "coggins"
LAST_DAYS = 21
"""A dose is planned at the earliest within so many days before it is due [days]."""

CALENDAR_SOURCE = "the yard's classes.csv and horses.csv"
PEOPLE_SOURCE = "the yard's classes.csv and people.csv"
VET_SOURCE = (
    "the yard's vet_checks.csv; American Association of Equine Practitioners, Lameness scale"
)


@dataclass(frozen=True)
class Finding:
    """One answer of a paper or eligibility rule, with the rule, the reason and the source.

    `due_by` is the last useful day to put it right, `window` all legal ones. Fields that do
    not apply are empty: a rider's licence names a person, a clearance no show.
    """

    rule: str
    answer: str
    reason: str
    source: str
    horse: str = ""
    person: str = ""
    show: str = ""
    class_name: str = ""
    due_by: date | None = None
    window: DaySpan | None = None


class Stay(Protocol):
    """A horse's days on the grounds of a show; an `Outing` is one."""

    @property
    def show(self) -> str:
        """The show."""

    @property
    def arrive(self) -> date:
        """The day it comes."""

    @property
    def leave(self) -> date:
        """The day it goes."""


@dataclass(frozen=True)
class DuePaper:
    """A dose or test that a plan needs: on which day, in which legal days, for which show.

    `day` None: no legal day exists, `reason` says why. `windows` hold every legal day, `limit`
    is the last useful one where the horse stood at home all the time.
    """

    horse: str
    paper: str
    day: date | None
    windows: tuple[DaySpan, ...]
    limit: date | None
    show: str
    reason: str
    source: str


# Ages


def compute_horse_age(born: date, on: date, southern: bool) -> int:
    """A horse is a year older on every 1 January, south of the equator on every 1 August.

    **Source:** general practice of horse sport (rule `horse-age-north`, `horse-age-south`).

    >>> compute_horse_age(date(2018, 10, 15), date(2026, 7, 31), southern=True)
    7
    """
    return _count_horse_year(on, southern) - _count_horse_year(born, southern)


def _count_horse_year(day: date, southern: bool) -> int:
    return day.year - 1 if southern and day.month < 8 else day.year


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


# Books


def find_books(yard: Yard, show: Show) -> tuple[RuleBook, ...]:
    """The rule books that apply at a show: the yard's, and the show's own."""
    if not yard.paper_rules:
        return ()
    own = _split_words(show.rules)
    return tuple(book for book in yard.rule_books if book.id in yard.paper_rules or book.id in own)


@lru_cache(maxsize=256)
def _split_words(text: str) -> frozenset[str]:
    return frozenset(re.split(r"[;,\s]+", text)) - {""}


def _is_southern(yard: Yard, show: Show) -> bool:
    place = yard.roads.places.get(show.place_key)
    return (yard.place if place is None else place).southern


@lru_cache(maxsize=1024)
def normalise_level(level: str) -> str:
    """A level is compared without blanks and dashes; an official show ranks as its stars.

    >>> normalise_level("CSIO 3*"), normalise_level("CSI4*-W"), normalise_level("CSI-Y cat. A")
    ('CSI3*', 'CSI4*', 'CSIYA')
    """
    text = re.sub(r"[\s.\-]|CAT", "", level.upper()).replace("CSIO", "CSI")
    return text.removesuffix("W") if text.endswith("*W") else text


def _find_level_age(yard: Yard, show: Show, offered: ShowClass) -> Rule | None:
    """The strictest minimum age of the show's level; classes with ages of their own have none."""
    if not show.level or offered.youngest_horse is not None or offered.division == "young":
        return None
    rule_id = f"minimum-age-{normalise_level(show.level)}"
    rules = [book.find_rule(rule_id, offered.day) for book in find_books(yard, show)]
    known = [rule for rule in rules if rule is not None and isinstance(rule.value, int)]
    return max(known, key=lambda rule: int(str(rule.value)), default=None)


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
        age = compute_horse_age(horse.born, offered.day, _is_southern(yard, show))
        if youngest is not None and age < youngest:
            return False
        if oldest is not None and age > oldest:
            return False
        rule = _find_level_age(yard, show, offered)
        if rule is not None and age < int(str(rule.value)):
            return False
    if rider is None:
        return any(_fits_division(offered, r) for r in _list_riders(yard, horse))
    return (
        rider.role == "rider"
        and horse.rider in ("", rider.person)
        and _fits_division(offered, rider)
    )


def _list_riders(yard: Yard, horse: Horse) -> Iterable[Person]:
    """The riders a horse may have: the one it names, else all."""
    return (yard.riders[horse.rider],) if horse.rider else yard.riders.values()


def _fits_division(offered: ShowClass, rider: Person) -> bool:
    return offered.division not in (JUNIOR, AMATEUR) or rider.status == offered.division


def find_class_findings(
    yard: Yard, horse: Horse, show: Show, offered: ShowClass, rider: Person | None = None
) -> tuple[Finding, ...]:
    """What each rule says of a horse and rider in a class: one finding a rule, ok ones too.

    Rules: `height`, `age`, `minimum-age` where a book has one for the show's level, `division`,
    `rider`. A junior whose date of birth speaks against the status is `unknown`.
    """
    answers = [
        _judge_height(horse, offered),
        _judge_age(yard, horse, show, offered),
        *_judge_level_age(yard, horse, show, offered),
        _judge_division(yard, horse, show, offered, rider),
        _judge_rider(yard, horse, rider),
    ]
    person = rider.person if rider is not None else horse.rider
    return tuple(
        Finding(rule, answer, reason, source, horse.horse, person, show.show, offered.name)
        for rule, answer, reason, source in answers
    )


Judged = tuple[str, str, str, str]


def _judge_height(horse: Horse, offered: ShowClass) -> Judged:
    fits = horse.from_height_cm <= offered.height_cm <= horse.to_height_cm
    reason = (
        f"{offered.height_cm} cm {'lies' if fits else 'does not lie'} within the horse's "
        f"{horse.from_height_cm} to {horse.to_height_cm} cm"
    )
    return "height", OK if fits else BARRED, reason, CALENDAR_SOURCE


def _judge_age(yard: Yard, horse: Horse, show: Show, offered: ShowClass) -> Judged:
    southern = _is_southern(yard, show)
    age = compute_horse_age(horse.born, offered.day, southern)
    youngest, oldest = offered.youngest_horse, offered.oldest_horse
    counted = (
        f"{age} years old on {offered.day}, counted on 1 {'August' if southern else 'January'}"
    )
    if horse.born_year_only and southern:
        counted += " (only the year of birth is written: a date makes it sure)"
    fits = (youngest is None or age >= youngest) and (oldest is None or age <= oldest)
    if youngest is None and oldest is None:
        asked = "the class sets no age"
    elif youngest == oldest:
        asked = f"the class asks {youngest} years"
    elif oldest is None:
        asked = f"the class asks {youngest} years or more"
    elif youngest is None:
        asked = f"the class asks {oldest} years or less"
    else:
        asked = f"the class asks {youngest} to {oldest} years"
    return "age", OK if fits else BARRED, f"{counted}; {asked}", CALENDAR_SOURCE


def _judge_level_age(yard: Yard, horse: Horse, show: Show, offered: ShowClass) -> Iterator[Judged]:
    rule = _find_level_age(yard, show, offered)
    if rule is not None:
        age = compute_horse_age(horse.born, offered.day, _is_southern(yard, show))
        fits = age >= int(str(rule.value))
        reason = f"{age} years old at {show.level}. {rule.words} {CAUTION}"
        yield "minimum-age", OK if fits else BARRED, reason, rule.source


def _judge_division(
    yard: Yard, horse: Horse, show: Show, offered: ShowClass, rider: Person | None
) -> Judged:
    division = offered.division
    if division not in (JUNIOR, AMATEUR):
        return "division", OK, f"the class is {division or 'open'} to any rider", PEOPLE_SOURCE
    able = (rider,) if rider is not None else tuple(_list_riders(yard, horse))
    fitting = [person for person in able if _fits_division(offered, person)]
    if not fitting:
        found = ", ".join(f"{p.person}: {p.status or 'status unknown'}" for p in able) or "no rider"
        return "division", BARRED, f"the class is for {division} riders ({found})", PEOPLE_SOURCE
    named = fitting[0]
    doubt = _doubt_junior(find_books(yard, show), named, offered) if division == JUNIOR else ""
    if doubt:
        return "division", UNKNOWN, f"{named.person} is written as junior; {doubt}", PEOPLE_SOURCE
    return "division", OK, f"{named.person} is {division}, as the class asks", PEOPLE_SOURCE


def _doubt_junior(books: Iterable[RuleBook], rider: Person, offered: ShowClass) -> str:
    """Why the books doubt that a rider is a junior; empty where none does."""
    for book in books:
        rule = book.find_rule("rider-junior", offered.day)
        if rule is None:
            continue
        if rider.born is None:
            return f"the date of birth is not written. {rule.words} ({rule.source})"
        if not fits_rider_category(rider.born, offered.day, rule):
            return f"born {rider.born}. {rule.words} ({rule.source})"
    return ""


def _judge_rider(yard: Yard, horse: Horse, rider: Person | None) -> Judged:
    if rider is None:
        riders = tuple(_list_riders(yard, horse))
        if not riders:
            return "rider", BARRED, "the yard has no rider", PEOPLE_SOURCE
        return "rider", OK, f"ridden by {horse.rider or 'any rider of the yard'}", PEOPLE_SOURCE
    if rider.role != "rider":
        return "rider", BARRED, f"{rider.person} is {rider.role}, not rider", PEOPLE_SOURCE
    if horse.rider not in ("", rider.person):
        return "rider", BARRED, f"ridden by {horse.rider} only", PEOPLE_SOURCE
    return "rider", OK, f"{rider.person} may ride the horse", PEOPLE_SOURCE


# Clearance


def find_last_vet_check(yard: Yard, horse: Horse, on: date) -> VetCheck | None:
    """The last vet check of a horse on or before a day; of several on one day the last row."""
    last: VetCheck | None = None
    for check in yard.vet_checks:
        counts = check.horse == horse.horse and check.date <= on
        if counts and (last is None or check.date >= last.date):
            last = check
    return last


def is_cleared(yard: Yard, horse: Horse, on: date) -> bool:
    """A horse jumps unless its last vet check on or before the day says not cleared."""
    check = find_last_vet_check(yard, horse, on)
    return check is None or check.cleared


def find_clearance_finding(yard: Yard, horse: Horse, on: date | None = None) -> Finding:
    """Whether the vet lets a horse jump on a day (today where none is given)."""
    day = yard.day_of_planning if on is None else on
    check = find_last_vet_check(yard, horse, day)
    if check is None:
        reason = "no vet check is written, nothing keeps the horse from jumping"
        return Finding("cleared", OK, reason, VET_SOURCE, horse.horse)
    grade = "" if check.grade is None else f", grade {check.grade} of 5"
    limb = f" ({check.limb}{grade})" if check.limb else grade
    if check.cleared:
        reason = f"cleared by the vet check of {check.date}{limb}"
        return Finding("cleared", OK, reason, VET_SOURCE, horse.horse)
    recheck = f"; check again by {check.recheck_by}" if check.recheck_by else ""
    reason = f"not cleared by the vet check of {check.date}{limb}{recheck}. The vet decides."
    return Finding("cleared", BARRED, reason, VET_SOURCE, horse.horse, due_by=check.recheck_by)


# Papers


def find_paper_findings(
    yard: Yard, horse: Horse, show: Show, arrive: date, last_day: date
) -> tuple[Finding, ...]:
    """What the papers of a horse say of a stay: one finding for each rule of each book that asks.

    Vaccinations are asked for on the day of arrival, tests and documents from arrival to the
    last class. Rules: `influenza-*`, `herpes-*`, `coggins-*`, `passport-*`, `registration-*`,
    and `health_certificate-*` where the show lies in another country.
    """
    return tuple(_iterate_papers(yard, horse, show, DaySpan(arrive, max(arrive, last_day)), {}))


Memo = dict[tuple[str, str, str], dict[int, Steps]]
"""What was read of each course of vaccination: by horse, book and kind, then doses counted."""


def _iterate_papers(
    yard: Yard, horse: Horse, show: Show, days: DaySpan, memo: Memo
) -> Iterator[Finding]:
    today = yard.day_of_planning
    for book in find_books(yard, show):
        for kind in VACCINATIONS:
            known = memo.setdefault((horse.horse, book.id, kind), {})
            rows = yard.papers_by_holder.get((horse.horse, kind), ())
            verdict = assess_vaccination(kind, rows, book, days.first, today, known)
            if verdict is not None:
                yield _write_finding(verdict, horse=horse.horse, show=show.show)
        for verdict in _judge_documents(yard, horse, show, book, days):
            if verdict is not None:
                yield _write_finding(verdict, horse=horse.horse, show=show.show)


def _write_finding(verdict: Verdict, *, horse: str = "", person: str = "", show: str) -> Finding:
    return Finding(
        verdict.rule,
        verdict.answer,
        verdict.reason,
        verdict.source,
        horse,
        person,
        show,
        due_by=verdict.due_by,
        window=verdict.window,
    )


def find_coggins_rule(yard: Yard, show: Show, book: RuleBook, on: date) -> Rule | None:
    """How long an EIA test holds: by the show's region, by the yard's country, else the book's."""
    place = yard.roads.places.get(show.place_key)
    region = place.region if place is not None else ""
    for suffix in (f"-{region}" if region else "", f"-from-{yard.country}", ""):
        rule = book.find_rule(f"coggins-validity{suffix}", on)
        if rule is not None:
            return rule
    return None


def _judge_documents(
    yard: Yard, horse: Horse, show: Show, book: RuleBook, days: DaySpan
) -> Iterator[Verdict | None]:
    def rows(kind: str) -> tuple[Paper, ...]:
        return yard.papers_by_holder.get((horse.horse, kind), ())

    today = yard.day_of_planning
    rule = find_coggins_rule(yard, show, book, days.first)
    if rule is not None:
        yield assess_coggins(rows(COGGINS), book, rule, days, today)
    free = _find_passport_exemption(yard, show, book, days.first)
    yield free or assess_passport(rows("passport"), book, days, today)
    yield assess_registration(rows("registration"), book, days, today)
    if show.country and yard.country and show.country != yard.country:
        yield assess_certificate(rows("health_certificate"), book, days, today)


@lru_cache(maxsize=64)
def _normalise_levels(text: str) -> frozenset[str]:
    return frozenset(map(normalise_level, text.split(",")))


def _find_passport_exemption(yard: Yard, show: Show, book: RuleBook, on: date) -> Verdict | None:
    """Minor shows in the horse's own country, taken to be the yard's, ask for no passport."""
    if not show.level or not show.country or show.country != yard.country:
        return None
    free = book.find_rule("passport-free-levels", on)
    if free is None:
        return None
    if normalise_level(show.level) not in _normalise_levels(str(free.value)):
        return None
    reason = f"passport: not compulsory at {show.level} in {show.country}. {free.words}"
    return Verdict(free.id, OK, reason, free.source)


def find_rider_findings(
    yard: Yard, rider: Person, show: Show, days: DaySpan
) -> tuple[Finding, ...]:
    """What a rider's licence and registration say of the days of a show.

    A licence that is written is held against its `valid_until`; a registration is asked for by
    the books that have one. No book at the show: no finding.
    """
    books, today = find_books(yard, show), yard.day_of_planning
    rows = yard.papers_by_holder.get((rider.person, "registration"), ())
    verdicts = [assess_registration(rows, book, days, today) for book in books]
    if books:
        licences = yard.papers_by_holder.get((rider.person, "licence"), ())
        verdicts.append(assess_licence(licences, days, today))
    return tuple(
        _write_finding(verdict, person=rider.person, show=show.show)
        for verdict in verdicts
        if verdict is not None
    )


# The whole yard


def findings(yard: Yard) -> tuple[Finding, ...]:
    """Everything there is to say before planning, what has to be done first on top.

    For each horse one clearance; for each show with a class of its height that is not past, one
    finding `eligible` that sums up the classes, and the papers, asked for as if the horse came
    `arrive_days_before` its first class that fits; for each rider named by such a horse the
    papers of the rider. Order: barred, due by date, unknown, ok.
    """
    found: list[Finding] = []
    riding: dict[tuple[str, str], DaySpan] = {}
    memo: Memo = {}
    for horse in yard.horses:
        found.append(find_clearance_finding(yard, horse))
        rider = yard.riders.get(horse.rider)
        for show in yard.shows:
            tall = [
                offered
                for offered in show.classes
                if horse.from_height_cm <= offered.height_cm <= horse.to_height_cm
                and offered.day >= yard.day_of_planning
            ]
            if not tall:
                continue
            fitting = [offered for offered in tall if fits_class(yard, horse, offered, rider)]
            found.append(_sum_up_classes(yard, horse, show, rider, tall, fitting))
            asked = fitting or tall
            first = min(offered.day for offered in asked)
            last = max(offered.day for offered in asked)
            arrive = add_days(first, -horse.limits.arrive_days_before)
            found.extend(_iterate_papers(yard, horse, show, DaySpan(arrive, last), memo))
            if rider is not None and fitting:
                known = riding.get((rider.person, show.show), DaySpan(first, last))
                riding[rider.person, show.show] = DaySpan(
                    min(known.first, first), max(known.last, last)
                )
    for (person, show_id), days in riding.items():
        show = yard.show_by_name[show_id]
        found.extend(find_rider_findings(yard, yard.riders[person], show, days))
    return tuple(sorted(found, key=_rank))


def _rank(finding: Finding) -> tuple[int, date, str, str, str, str]:
    return (
        RANKS[finding.answer],
        finding.due_by or date.max,
        finding.horse,
        finding.person,
        finding.show,
        finding.rule,
    )


def _sum_up_classes(
    yard: Yard,
    horse: Horse,
    show: Show,
    rider: Person | None,
    tall: Sequence[ShowClass],
    fitting: Sequence[ShowClass],
) -> Finding:
    """One finding for all classes of the horse's height: barred only where none fits."""
    answer, source = (OK, CALENDAR_SOURCE) if fitting else (BARRED, PEOPLE_SOURCE)
    reason = f"{len(fitting)} of {len(tall)} classes of its height fit"
    words: list[str] = []
    doubtful = 0
    for offered in tall:
        if offered in fitting and offered.division != JUNIOR:
            continue
        for finding in find_class_findings(yard, horse, show, offered, rider):
            doubtful += finding.answer == UNKNOWN and offered in fitting
            if finding.answer in (BARRED, UNKNOWN):
                words.append(f"{offered.name}: {finding.reason}")
                source = finding.source
    if fitting and doubtful == len(fitting):
        answer = UNKNOWN
    if words:
        reason += "; " + "; ".join(words)
    person = horse.rider
    return Finding("eligible", answer, reason, source, horse.horse, person, show.show)


# Papers of a plan


def find_due_papers(
    yard: Yard, horse: Horse, stays: Sequence[Stay], *, away: Sequence[DaySpan] = ()
) -> tuple[DuePaper, ...]:
    """Which doses and tests a horse needs for its stays, and on which day each is best done.

    A dose is given at home (in no stay, absence, or span of `away`: the days on the road), after
    today, not within seven days before any arrival, and early enough for the stay that asks for
    it; a test is drawn at home, early enough for the laboratory. Chosen is the earliest such day
    within 21 days before the limit, else the latest before them. In date order, those without a
    legal day by their limit.

    **Source:** the rules named in each; the choice within the legal days is this project's.
    """
    ordered = sorted(stays, key=lambda stay: (stay.arrive, stay.show))
    gone = [DaySpan(stay.arrive, max(stay.arrive, stay.leave)) for stay in ordered]
    gone += [*yard.absences_of(horse.horse), *away]
    shut = gone + [DaySpan(add_days(s.arrive, 1 - SHUT_DAYS), s.arrive) for s in ordered]
    found: list[DuePaper] = []
    for kind in (*VACCINATIONS, COGGINS):
        rows = yard.papers_by_holder.get((horse.horse, kind), ())
        barred_days = gone if kind == COGGINS else shut
        for stay in ordered if rows else ():
            due, rows = _plan_paper(yard, horse, kind, stay, rows, barred_days)
            found.extend(due)
    return tuple(sorted(found, key=lambda d: (d.day or d.limit or date.max, d.paper, d.show)))


Rows = tuple[Paper, ...]


def _judge_kind(yard: Yard, kind: str, stay: Stay, rows: Rows) -> list[Verdict]:
    show = yard.show_by_name[stay.show]
    last_day: date = getattr(stay, "last_day", stay.leave)
    days, today = DaySpan(stay.arrive, max(stay.arrive, last_day)), yard.day_of_planning
    verdicts: list[Verdict | None] = []
    for book in find_books(yard, show):
        if kind != COGGINS:
            verdicts.append(assess_vaccination(kind, rows, book, stay.arrive, today))
            continue
        rule = find_coggins_rule(yard, show, book, stay.arrive)
        if rule is not None:
            verdicts.append(assess_coggins(rows, book, rule, days, today))
    return [verdict for verdict in verdicts if verdict is not None]


def _plan_paper(
    yard: Yard, horse: Horse, kind: str, stay: Stay, rows: Rows, shut: Sequence[DaySpan]
) -> tuple[list[DuePaper], Rows]:
    """What one stay still needs of one kind, and the rows with it added."""
    wrong = [v for v in _judge_kind(yard, kind, stay, rows) if v.answer in (BARRED, DUE)]
    if not wrong:
        return [], rows
    worst = min(wrong, key=lambda v: (RANKS[v.answer], v.due_by or date.max))

    def add(*days: date) -> Rows:
        new = (Paper(horse.horse, kind, day) for day in days)
        return tuple(sorted((*rows, *new), key=lambda row: row.date))

    def helps(*days: date) -> bool:
        return all(v.answer == OK for v in _judge_kind(yard, kind, stay, add(*days)))

    def write(day: date | None, legal: Sequence[date], why: str) -> DuePaper:
        return DuePaper(
            horse.horse,
            kind,
            day,
            join_days(legal),
            worst.due_by,
            stay.show,
            f"{worst.reason} {why}",
            worst.source,
        )

    tomorrow = yard.day_of_planning + ONE_DAY
    if worst.answer == BARRED or worst.due_by is None:
        return [write(None, (), "No day is left for it.")], rows
    open_days = list_open_days(tomorrow, worst.due_by, shut)
    legal = [day for day in open_days if helps(day)]
    day = choose_day(legal, worst.due_by, LAST_DAYS)
    if day is not None:
        return [write(day, legal, _say_choice(day, worst.due_by))], add(day)
    later = list_open_days(tomorrow, add_days(stay.arrive, -SHUT_DAYS), shut)
    for first in open_days if kind != COGGINS else ():
        second = next((late for late in later if late > first and helps(first, late)), None)
        if second is not None:
            legal_seconds = [late for late in later if late > first and helps(first, late)]
            return [
                write(first, open_days, "First dose of the new course: the earliest day at home."),
                write(second, legal_seconds, "Second dose: the earliest day at home for it."),
            ], add(first, second)
    why = "No day is left on which the horse stands at home"
    why += "." if kind == COGGINS else f" and no arrival follows within {SHUT_DAYS} days."
    return [write(None, (), why)], rows


def _say_choice(day: date, limit: date) -> str:
    if day >= add_days(limit, -LAST_DAYS):
        return f"{day}: the earliest day at home within {LAST_DAYS} days before {limit}."
    return f"{day}: the latest day at home before {limit}, later the horse is away or near a show."
