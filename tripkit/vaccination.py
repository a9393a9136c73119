"""What a horse's papers are worth on a day: the arithmetic of doses, tests and documents.

Dates in, a `Verdict` out; nothing here knows a yard or a show. Months are calendar months,
counted forward from the day a paper was given (`days.add_months`); where counting backward from
the day asked for gives another answer, the verdict says so. Rows dated after today are
appointments: they count as given, but one in the shut days can still be moved.

The figures come from a `RuleBook`; the current rule book of the body and a vet decide.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache

from tripkit.days import ONE_DAY, DaySpan, add_days, add_months
from tripkit.papers import Paper
from tripkit.rulebook import Rule, RuleBook

Value = int | float | str | tuple[int, ...]

OK = "ok"
DUE = "due"
BARRED = "barred"
UNKNOWN = "unknown"

SHUT_DAYS = 7
"""A dose D days before an arrival is kept from while D is below this [days]."""

SATURDAY = 5
CAUTION = "The current rule book and a vet decide."

FIRST, SECOND, BOOSTER = "first", "second", "booster"
WIDEST_PRIMARY_GAP_DAYS = 92
FIRST_MARK = re.compile(r"\b(v1|(dose|primary) 1|(1st|first) (dose|of)|1 of 2)\b", re.I)
SECOND_MARK = re.compile(r"\b(v2|(dose|primary) 2|(2nd|second) (dose|of)|2 of 2)\b", re.I)


@dataclass(frozen=True)
class Verdict:
    """What one rule says of one paper: the answer, why, and the days that would put it right.

    `due_by` is the last useful day, `window` all legal ones. `end` is the last day that the
    paper held covers, where one is held.
    """

    rule: str
    answer: str
    reason: str
    source: str
    due_by: date | None = None
    window: DaySpan | None = None
    end: date | None = None


@dataclass(frozen=True)
class Course:
    """Where a horse stands in its course of vaccination: the last step that counts, and when.

    `remarks` say which doses did not count, or began the course again. `next_days` are the
    days on which the next dose may be given, None where the book sets no interval.
    """

    step: str
    last: Paper
    remarks: tuple[str, ...]
    next_days: DaySpan | None


def find_last_day(given: date, rule: Rule) -> date:
    """The last day a paper given on a day covers, that day included.

    A calendar year ends on 31 December of the year it was given in. The day of giving is day 0
    of a count in days.

    **Source:** FEI Veterinary Regulations, Art. 1003.4, edition 2019 (6 months + 21 days); USEF,
    Interstate travel page (rolling months or calendar year); the inclusive last day is this
    project's choice.
    """
    return _count_on(given, rule.unit, rule.value)


@lru_cache(maxsize=1 << 16)
def _count_on(given: date, unit: str, value: Value) -> date:
    if isinstance(value, tuple):
        months, days = (0, value[1]) if unit == "days from to" else (value[0], value[1])
        return add_months(given, months) + timedelta(days=days)
    assert isinstance(value, int)
    if unit == "months":
        return add_months(given, value)
    if unit == "years":
        return add_months(given, 12 * value)
    if unit == "calendar year":
        return date(given.year + value - 1, 12, 31)
    return add_days(given, value)


def find_first_day(needed: date, rule: Rule) -> date:
    """The earliest day on which a paper can be given that still covers the day needed."""
    return _count_to(needed, rule.unit, rule.value)


@lru_cache(maxsize=1 << 14)
def _count_to(needed: date, unit: str, value: Value) -> date:
    if unit == "calendar year":
        assert isinstance(value, int)
        return date(needed.year - value + 1, 1, 1)
    # Clamped months make the forward count flat in places, so the exact day is searched for.
    day = needed - (_count_on(needed, unit, value) - needed) - timedelta(days=5)
    while _count_on(day, unit, value) < needed:
        day += ONE_DAY
    return day


def find_next_window(given: date, rule: Rule) -> DaySpan:
    """The days on which the next dose may follow one given on a day."""
    last = find_last_day(given, rule)
    if rule.unit == "days from to" and isinstance(rule.value, tuple):
        return DaySpan(add_days(given, rule.value[0]), last)
    return DaySpan(given + ONE_DAY, last)


def find_days_before(arrive: date, rule: Rule) -> DaySpan:
    """The days before an arrival on which something is asked every day: the last is the day before.

    **Source:** the example of Equestrian Australia, 1 March 2023: arrival on Thursday asks for
    Monday, Tuesday and Wednesday.
    """
    assert isinstance(rule.value, int)
    return DaySpan(add_days(arrive, -rule.value), arrive - ONE_DAY)


def is_borderline(given: date, needed: date, rule: Rule) -> bool:
    """Whether counting months forward and counting them backward disagree about a day.

    Backward: the months are taken off first, then the days.
    """
    return _count_both_ways(given, needed, rule.unit, rule.value)


@lru_cache(maxsize=1 << 14)
def _count_both_ways(given: date, needed: date, unit: str, value: Value) -> bool:
    if unit == "months and days" and isinstance(value, tuple):
        months, days = value
    elif unit == "months" and isinstance(value, int):
        months, days = value, 0
    else:
        return False
    backward = add_days(add_months(needed, -months), -days)
    return (needed <= _count_on(given, unit, value)) != (given >= backward)


@lru_cache(maxsize=1 << 12)
def count_back_business_days(day: date, business_days: int) -> date:
    """The last business day after which so many more lie, up to and including `day`.

    Business days are Monday to Friday; public holidays are not known here. What is asked for
    at a weekend is begun on Monday, so the answer is never a Saturday or Sunday.
    """
    while business_days > 0:
        if day.weekday() < SATURDAY:
            business_days -= 1
        day -= ONE_DAY
    while day.weekday() >= SATURDAY:
        day -= ONE_DAY
    return day


def find_days_left(today: date, last: date) -> DaySpan | None:
    """The days from tomorrow to the last; today alone where it is the last; None after it."""
    if last < today:
        return None
    return DaySpan(min(today + ONE_DAY, last), last)


def write_amount(rule: Rule) -> str:
    """A rule's value in words.

    >>> write_amount(Rule("x", "", (6, 21), "months and days", "none"))
    '6 months and 21 days'
    """
    value = rule.value
    if rule.unit == "months and days" and isinstance(value, tuple):
        return f"{value[0]} months and {value[1]} days"
    if rule.unit == "days from to" and isinstance(value, tuple):
        return f"{value[0]} to {value[1]} days"
    if rule.unit == "calendar year":
        return "the calendar year"
    return f"{value} {rule.unit}"


# Vaccination

Steps = tuple[str, Paper, tuple[str, ...]]
"""The step reached, the dose that reached it, and remarks."""


def read_course(
    kind: str,
    doses: Sequence[Paper],
    book: RuleBook,
    on: date,
    known: dict[int, Steps] | None = None,
) -> Course:
    """Doses in date order become the step of the course that the last one reached.

    Where the first row is marked neither as first nor second dose (`note`: "V1", "dose 1",
    "first dose" ...), it is the first of a primary course if another follows within 92 days,
    else a booster of a course that the passport shows. A later row marked as first begins the
    course again. A dose given too early does not count;
    one given too late begins the course again. An interval is right if an edition of its rule
    that held on either of its two days allows it. `on` chooses the edition for the next dose.
    `known` keeps what was read of the first so many doses, for a caller who asks often.

    **Source:** FEI Veterinary Regulations, Art. 1003.2-4, edition 2019; BEF, Equine influenza
    vaccination update, 1 January 2024 (doses right when given stay right).
    """
    steps = None if known is None else known.get(len(doses))
    if steps is None:
        steps = _read_steps(kind, doses, book)
        if known is not None:
            known[len(doses)] = steps
    step, last, remarks = steps
    rule = book.find_rule(f"{kind}-{INTERVALS[step]}", on)
    return Course(step, last, remarks, None if rule is None else find_next_window(last.date, rule))


def _read_steps(kind: str, doses: Sequence[Paper], book: RuleBook) -> Steps:
    if f"{kind}-booster-gap" not in book.editions:
        return BOOSTER, doses[-1], ()
    last, step, remarks = doses[0], _guess_step(doses), list[str]()
    for dose in doses[1:]:
        if FIRST_MARK.search(dose.note):
            last, step = dose, FIRST
            continue
        windows = [
            find_next_window(last.date, rule)
            for rule in _find_editions(book, f"{kind}-{INTERVALS[step]}", (last.date, dose.date))
        ]
        if any(dose.date in window for window in windows):
            step = SECOND if step == FIRST else BOOSTER
        elif windows and dose.date < min(window.first for window in windows):
            remarks.append(f"the dose of {dose.date} came too early after {last.date}")
            continue
        elif windows:
            remarks.append(f"the dose of {dose.date} came too late after {last.date}")
            step = FIRST
        last = dose
    return step, last, tuple(remarks)


INTERVALS = {FIRST: "primary-gap", SECOND: "first-booster", BOOSTER: "booster-gap"}


def _guess_step(doses: Sequence[Paper]) -> str:
    if FIRST_MARK.search(doses[0].note):
        return FIRST
    if SECOND_MARK.search(doses[0].note):
        return SECOND
    if len(doses) > 1 and 0 < (doses[1].date - doses[0].date).days <= WIDEST_PRIMARY_GAP_DAYS:
        return FIRST
    return BOOSTER


def _find_editions(book: RuleBook, rule_id: str, days: Sequence[date]) -> tuple[Rule, ...]:
    return tuple(
        rule for rule in book.editions.get(rule_id, ()) if any(rule.holds_on(day) for day in days)
    )


def assess_vaccination(
    kind: str,
    doses: Sequence[Paper],
    book: RuleBook,
    arrive: date,
    today: date,
    known: dict[int, Steps] | None = None,
) -> Verdict | None:
    """Whether a horse may arrive on a day by its doses; None where the book does not ask.

    `doses` in date order. Barred only if no dose given between today and seven days before
    the arrival would put it right. `known` as in `read_course`, one dict for each horse, book
    and kind.

    **Source:** FEI Veterinary Regulations, Art. 1003.2-5, edition 2019; USEF Rule Book, GR845;
    BEF, Equine influenza vaccination update, 1 January 2024.
    """
    rule = book.find_rule(f"{kind}-to-compete", arrive)
    if rule is None:
        return None
    given = [dose for dose in doses if dose.date <= arrive]
    if not given:
        words = f"{kind}: no dose is written in papers. {rule.words} {CAUTION}"
        return Verdict(rule.id, UNKNOWN, words, rule.source)
    shut = _assess_shut_days(kind, given, book, arrive, today)
    if shut is not None:
        return shut
    course = read_course(kind, given, book, arrive, known)
    last = course.last.date
    remarks = "".join(f" {remark[0].upper()}{remark[1:]}." for remark in course.remarks)
    if course.step == FIRST:
        held = f"{kind}: only the first dose of a course ({last}) counts.{remarks}"
        return _assess_next_dose(kind, rule, course, book, arrive, today, held)
    end = find_last_day(last, rule)
    if course.next_days is not None:
        end = min(end, course.next_days.last)
    if course.last.valid_until is not None:
        end = min(end, course.last.valid_until)
    if end < arrive:
        held = f"{kind}: the dose of {last} covers arrivals to {end} ({write_amount(rule)})"
        held += f", not {arrive}.{remarks}"
        return _assess_next_dose(kind, rule, course, book, arrive, today, held, end)
    reason = f"{kind}: the dose of {last} covers arrivals to {end} ({write_amount(rule)}).{remarks}"
    if is_borderline(last, arrive, rule):
        reason += f" BORDERLINE: counted backward from {arrive} it is too old. {CAUTION}"
    strict = book.find_rule(f"{kind}-strict-days", arrive)
    strict = strict or book.find_rule(f"{kind}-strict-months", arrive)
    if strict is not None and find_last_day(last, strict) < arrive:
        reason += f" {strict.words} ({strict.source}): ask before you go."
    if len(given) == 1 and course.next_days is not None and course.step == BOOSTER:
        reason += " One dose is written; the passport must show the course before it."
    return Verdict(rule.id, OK, reason, rule.source, end=end)


def _assess_shut_days(
    kind: str, given: Sequence[Paper], book: RuleBook, arrive: date, today: date
) -> Verdict | None:
    """A dose in the days before an arrival bars it, unless it is still to come and can be moved."""
    shut = book.find_rule(f"{kind}-blackout", arrive)
    if shut is None:
        return None
    assert isinstance(shut.value, int)
    fresh = given[-1].date
    if fresh <= add_days(arrive, -shut.value):
        return None
    reason = f"{kind}: the dose of {fresh} lies within {shut.value} days before {arrive}."
    if fresh <= today:
        return Verdict(shut.id, BARRED, f"{reason} {CAUTION}", shut.source)
    moved = assess_vaccination(kind, given[:-1], book, arrive, today)
    if moved is not None and moved.answer in (OK, DUE):
        reason += f" Move the appointment. Without it: {moved.reason}"
        window = moved.window
        due_by = moved.due_by or fresh - ONE_DAY
        return Verdict(shut.id, DUE, f"{reason} {CAUTION}", shut.source, due_by, window, moved.end)
    left = find_days_left(today, add_days(arrive, -shut.value))
    if left is None:
        return Verdict(shut.id, BARRED, f"{reason} {CAUTION}", shut.source)
    reason += " Move the appointment to an earlier day."
    return Verdict(shut.id, DUE, f"{reason} {CAUTION}", shut.source, left.last, left)


def _assess_next_dose(
    kind: str,
    rule: Rule,
    course: Course,
    book: RuleBook,
    arrive: date,
    today: date,
    held: str,
    end: date | None = None,
) -> Verdict:
    """The days on which the next dose would put it right; barred where there is none."""
    barred = Verdict(rule.id, BARRED, held, rule.source, end=end)
    left = find_days_left(today, add_days(arrive, -SHUT_DAYS))
    if left is None:
        why = f"today, {today}, is too late for a dose {SHUT_DAYS} days before {arrive}"
        return replace(barred, reason=f"{held} Barred: {why}. {CAUTION}")
    allowed = course.next_days or DaySpan(min(left.first, course.last.date), left.last)
    if allowed.last < left.first:
        return _assess_new_course(kind, book, arrive, left, barred)
    if left.last < allowed.first:
        why = f"the next dose may not be given before {allowed.first}"
        return replace(barred, reason=f"{held} Barred: {why}. {CAUTION}")
    first, last = max(left.first, allowed.first), min(left.last, allowed.last)
    useful = find_first_day(arrive, rule)
    if first < useful <= last:
        first = useful
    window = DaySpan(first, last)
    reason = f"{held} Give the next dose from {first} to {last}. {CAUTION}"
    return Verdict(rule.id, DUE, reason, rule.source, last, window, end)


def _assess_new_course(
    kind: str, book: RuleBook, arrive: date, left: DaySpan, barred: Verdict
) -> Verdict:
    """A broken history begins again: two doses, and seven days before the arrival."""
    gap = book.find_rule(f"{kind}-primary-gap", arrive)
    if gap is None or not isinstance(gap.value, tuple):
        return replace(barred, reason=f"{barred.reason} Barred: the course is broken. {CAUTION}")
    last = add_days(left.last, -gap.value[0])
    if last < left.first:
        why = f"a new course takes {gap.value[0]} days between two doses and {SHUT_DAYS} after"
        return replace(barred, reason=f"{barred.reason} Barred: {why}. {CAUTION}")
    reason = (
        f"{barred.reason} The course begins again: first dose from {left.first} to {last}, the "
        f"second {write_amount(gap)} later, at least {SHUT_DAYS} days before arrival. {CAUTION}"
    )
    window = DaySpan(left.first, last)
    return Verdict(barred.rule, DUE, reason, barred.source, last, window, barred.end)


# Tests and documents


@dataclass(frozen=True)
class Lead:
    """How long a paper takes: the last day to ask for it as usual, and in haste.

    `opens` is the first day on which a new one is to be had, None where the rule's own length
    decides.
    """

    usual: date
    haste: date
    opens: date | None = None


def assess_paper(
    kind: str,
    rows: Sequence[Paper],
    rule: Rule,
    lead: Lead,
    days: DaySpan,
    today: date,
    *,
    written_end_wins: bool = True,
) -> Verdict:
    """Whether a test or document covers every day from arrival to the last class.

    `days` are those. `valid_until`, where written, is a document's end; of a test the earlier
    of it and the rule's holds. Barred only where even in haste no new one is had in time.
    """
    held = [row for row in rows if row.date <= days.first]
    if not held:
        reason = f"{kind}: none is written in papers. {rule.words} {CAUTION}"
        return Verdict(rule.id, UNKNOWN, reason, rule.source)

    def find_end(row: Paper) -> date:
        by_rule = find_last_day(row.date, rule)
        if row.valid_until is None:
            return by_rule
        return row.valid_until if written_end_wins else min(by_rule, row.valid_until)

    best = max(held, key=find_end)
    end = find_end(best)
    if end >= days.last:
        reason = f"{kind}: that of {best.date} holds to {end}."
        if best.valid_until is None and is_borderline(best.date, days.last, rule):
            reason += f" BORDERLINE: counted backward from {days.last} it is too old. {CAUTION}"
        return Verdict(rule.id, OK, reason, rule.source, end=end)
    reason = f"{kind}: that of {best.date} holds to {end}, needed to {days.last}."
    first = lead.opens or find_first_day(days.last, rule)
    for last, how in ((lead.usual, ""), (lead.haste, " in haste")):
        left = find_days_left(today, last)
        if left is not None and max(left.first, first) <= left.last:
            window = DaySpan(max(left.first, first), left.last)
            reason += f" Ask for a new one{how} from {window.first} to {last}. {CAUTION}"
            return Verdict(rule.id, DUE, reason, rule.source, last, window, end)
    reason += f" Barred: no new one is to be had in time from {today}. {CAUTION}"
    return Verdict(rule.id, BARRED, reason, rule.source, end=end)


def _count_back(book: RuleBook, rule_id: str, day: date) -> date:
    """The last day on which to ask for a paper that takes as long as a rule says."""
    rule = book.find_rule(rule_id, day)
    if rule is None or not isinstance(rule.value, int):
        return day - ONE_DAY
    if rule.unit == "business days":
        return count_back_business_days(day, rule.value)
    return add_days(day, -rule.value)


def assess_coggins(
    rows: Sequence[Paper], book: RuleBook, rule: Rule, days: DaySpan, today: date
) -> Verdict:
    """Whether an EIA test covers a stay, and when the next must be drawn for the laboratory.

    **Source:** the rule's; turnaround of the laboratory: rule `coggins-lab-days`.
    """
    lead = Lead(
        _count_back(book, "coggins-lab-days", days.first),
        _count_back(book, "coggins-express-days", days.first),
    )
    return assess_paper("coggins", rows, rule, lead, days, today, written_end_wins=False)


def assess_passport(
    rows: Sequence[Paper], book: RuleBook, days: DaySpan, today: date
) -> Verdict | None:
    """Whether a passport covers a stay; None where the book has no rule for its length.

    **Source:** FEI Veterinary Regulations, Art. 1027.8, edition 2015; USEF passport pages.
    """
    rule = book.find_rule("passport-validity", days.first)
    if rule is None:
        return None
    early = book.find_rule("passport-early-months", days.first)
    opens = None
    if rows and early is not None and isinstance(early.value, int):
        end = rows[-1].valid_until or find_last_day(rows[-1].date, rule)
        opens = add_months(end, -early.value)
    lead = Lead(
        _count_back(book, "passport-lead-days", days.first),
        _count_back(book, "passport-express-days", days.first),
        opens,
    )
    return assess_paper("passport", rows, rule, lead, days, today)


def assess_registration(
    rows: Sequence[Paper], book: RuleBook, days: DaySpan, today: date
) -> Verdict | None:
    """Whether a registration covers a stay; None where the book asks for none.

    One bought late in the year, for the next, needs its `valid_until`: without it the year of
    its date counts.

    **Source:** FEI General Regulations, Art. 113; FEI how-to page 7/84 (2017).
    """
    rule = book.find_rule("registration-validity", days.first)
    if rule is None:
        return None
    month = book.find_rule("registration-opens-month", days.first)
    opens = None
    if month is not None and isinstance(month.value, int):
        opens = date(days.last.year - 1, month.value, 1)
    lead = Lead(days.first - ONE_DAY, days.first - ONE_DAY, opens)
    verdict = assess_paper("registration", rows, rule, lead, days, today)
    late_bought = (
        opens is not None and rows and rows[-1].date >= opens and rows[-1].valid_until is None
    )
    if verdict.answer in (DUE, BARRED) and late_bought:
        words = f"{verdict.reason} If it was bought for {days.last.year}, write valid_until."
        return replace(verdict, reason=words)
    return verdict


def assess_certificate(
    rows: Sequence[Paper], book: RuleBook, days: DaySpan, today: date
) -> Verdict | None:
    """Whether a health certificate covers a stay; None where the book asks for none.

    **Source:** Delegated Regulation (EU) 2020/688, Art. 91(3) and 92(2); USEF, Interstate travel.
    """
    rule = book.find_rule("health_certificate-validity", days.first)
    if rule is None:
        return None
    lead = Lead(days.first - ONE_DAY, days.first - ONE_DAY)
    return assess_paper("health_certificate", rows, rule, lead, days, today)


def assess_licence(rows: Sequence[Paper], days: DaySpan, today: date) -> Verdict | None:
    """Whether a rider's licence covers a show by its written end; None where none is written."""
    if not rows:
        return None
    source = "the yard's papers.csv"
    ends = [row.valid_until for row in rows if row.valid_until is not None]
    if not ends:
        reason = f"licence: written without valid_until. {CAUTION}"
        return Verdict("licence", UNKNOWN, reason, source)
    end = max(ends)
    reason = f"licence: holds to {end}, needed to {days.last}."
    if end >= days.last:
        return Verdict("licence", OK, reason, source, end=end)
    left = find_days_left(today, days.first - ONE_DAY)
    if left is None:
        return Verdict("licence", BARRED, f"{reason} {CAUTION}", source, end=end)
    reason = f"{reason} Renew it by {left.last}. {CAUTION}"
    return Verdict("licence", DUE, reason, source, left.last, left, end)


# Planning


def list_open_days(first: date, last: date, shut: Sequence[DaySpan]) -> tuple[date, ...]:
    """The days from first to last that lie in no shut span."""
    if last < first:
        return ()
    return tuple(day for day in DaySpan(first, last) if not any(day in span for span in shut))


def choose_day(legal: Sequence[date], limit: date, last_days: int) -> date | None:
    """The earliest legal day within so many days before the limit, else the latest before them.

    Early in those days there is room for a second try; earlier still, the paper held would be
    wasted. Common practice, no source.
    """
    recent = [day for day in legal if day >= add_days(limit, -last_days)]
    return recent[0] if recent else (legal[-1] if legal else None)


def join_days(days: Sequence[date]) -> tuple[DaySpan, ...]:
    """Days in order become the spans they make up."""
    spans: list[DaySpan] = []
    for day in days:
        if spans and spans[-1].end == day:
            spans[-1] = DaySpan(spans[-1].first, day)
        else:
            spans.append(DaySpan(day, day))
    return tuple(spans)
