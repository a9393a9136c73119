"""What a horse's doses are worth on a day of arrival: primary course, boosters, shut days.

Dates in, a `Verdict` out; nothing here knows a yard or a show. Rows dated after today are
appointments: they count as given, but one in the shut days can still be moved.

The figures come from a `RuleBook`; the current rule book of the body and a vet decide.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date

from tripkit.eligibility.validity import (
    WIDEST_DOUBT_DAYS,
    find_days_left,
    find_first_day,
    find_last_day,
    find_next_window,
    find_window,
    is_borderline,
    quote_rule,
    state_amount,
    state_rule,
)
from tripkit.yard.answers import (
    BARRED,
    CAUTION,
    DUE,
    OK,
    UNKNOWN,
    Verdict,
    give_verdict,
    leave_out_caution,
)
from tripkit.yard.days import ONE_DAY, DaySpan, add_days
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.papers import Paper
from tripkit.yard.rulebook import Rule, RuleBook

SHUT_DAYS = 7
"""A dose D days before an arrival is kept from while D is below this [days]."""

FIRST, SECOND, BOOSTER = "first", "second", "booster"
WIDEST_PRIMARY_GAP_DAYS = 92
FIRST_MARK = re.compile(r"\b(v1|(dose|primary) 1|(1st|first) (dose|of)|1 of 2)\b", re.I)
SECOND_MARK = re.compile(r"\b(v2|(dose|primary) 2|(2nd|second) (dose|of)|2 of 2)\b", re.I)


@dataclass(frozen=True)
class Course:
    """Where a horse stands in its course of vaccination: the last step that counts, and when.

    `remarks` say which doses did not count, or began the course again. `next_days` are the
    days on which the next dose may be given, None where the book sets no interval.
    """

    step: str
    last: Paper
    remarks: tuple[Fact, ...]
    next_days: DaySpan | None


Steps = tuple[str, Paper, tuple[Fact, ...]]
"""The step reached, the dose that reached it, and remarks."""


@dataclass(frozen=True)
class Known:
    """What was read of the first so many doses of one course, and under which interval."""

    steps: dict[int, Steps] = field(default_factory=dict)
    courses: dict[tuple[int, int], Course] = field(default_factory=dict)
    held: dict[tuple[int, int], Held] = field(default_factory=dict)


@dataclass(frozen=True)
class Held:
    """What the doses given say under the rules of a day, whichever the day of arrival is.

    `end` is the last arrival that they cover, None where only a first dose counts.
    """

    course: Course
    rules: DoseRules
    end: date | None
    said: tuple[Value, ...]


def read_course(
    kind: str,
    doses: Sequence[Paper],
    book: RuleBook,
    on: date,
    known: Known | None = None,
) -> Course:
    """Doses in date order become the step of the course that the last one reached.

    Where the first row is marked neither as first nor second dose (`note`: "V1", "dose 1",
    "first dose" ...), it is the first of a primary course if another follows within 92 days,
    else a booster of a course that the passport shows. A later row marked as first begins the
    course again. A dose given too early does not count;
    one given too late begins the course again. An interval is right if an edition of its rule
    that held on either of its two days allows it. `on` chooses the edition for the next dose.
    `known` keeps what was read, for a caller who asks often.

    **Source:** FEI Veterinary Regulations, Art. 1003.2-4, edition 2019; BEF, Equine influenza
    vaccination update, 1 January 2024 (doses right when given stay right).
    """
    known = Known() if known is None else known
    steps = known.steps.get(len(doses))
    if steps is None:
        steps = known.steps[len(doses)] = _read_steps(kind, doses, book)
    step, last, remarks = steps
    rule = book.find_rule(f"{kind}-{INTERVALS[step]}", on)
    key = (len(doses), id(rule))
    course = known.courses.get(key)
    if course is None:
        days = None if rule is None else find_next_window(last.date, rule)
        course = known.courses[key] = Course(step, last, remarks, days)
    return course


def _read_steps(kind: str, doses: Sequence[Paper], book: RuleBook) -> Steps:
    if f"{kind}-booster-gap" not in book.editions:
        return BOOSTER, doses[-1], ()
    last, step, remarks = doses[0], _guess_step(doses), list[Fact]()
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
            remarks.append(state("vaccination.early", given=dose.date, before=last.date))
            continue
        elif windows:
            remarks.append(state("vaccination.late", given=dose.date, before=last.date))
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
    found = (book.find_rule(rule_id, day) for day in days)
    return tuple(dict.fromkeys(rule for rule in found if rule is not None))


def assess_vaccination(
    kind: str,
    doses: Sequence[Paper],
    book: RuleBook,
    arrive: date,
    today: date,
    known: Known | None = None,
) -> Verdict | None:
    """Whether a horse may arrive on a day by its doses; None where the book does not ask.

    `doses` in date order. Barred only if no dose given between today and seven days before
    the arrival would put it right. `known` as in `read_course`, one for each horse, book
    and kind.

    **Source:** FEI Veterinary Regulations, Art. 1003.2-5, edition 2019; USEF Rule Book, GR845;
    BEF, Equine influenza vaccination update, 1 January 2024.
    """
    rules = find_dose_rules(kind, book, arrive)
    if rules is None:
        return None
    given = tuple(dose for dose in doses if dose.date <= arrive)
    return _assess(kind, given, book, rules, arrive, today, Known() if known is None else known)


def _assess(
    kind: str,
    given: Sequence[Paper],
    book: RuleBook,
    rules: DoseRules,
    arrive: date,
    today: date,
    known: Known,
) -> Verdict:
    """The verdict of doses that are all given by the day of arrival."""
    rule = rules.to_compete
    if not given:
        return give_verdict(
            rule, kind, UNKNOWN, state("findings.no-row"), state_rule(rule.words), CAUTION
        )
    if rules.blackout is not None:
        shut = _assess_shut_days(kind, given, book, rules.blackout, arrive, today)
        if shut is not None:
            return shut
    held = known.held.get((len(given), id(rules)))
    if held is None:
        held = _read_held(kind, given, book, rules, arrive, known)
        known.held[len(given), id(rules)] = held
    end, course = held.end, held.course
    last = course.last.date
    if end is None:
        return _assess_next_dose(kind, held, book, arrive, today, held.said)
    covered: dict[str, Value] = {"given": last, "end": end, "amount": state_amount(rule)}
    if end < arrive:
        short = state("vaccination.too-short", arrive=arrive, **covered)
        return _assess_next_dose(kind, held, book, arrive, today, (short, *course.remarks))
    said: list[Value] = [*held.said]
    if is_borderline(last, arrive, rule):
        said += [state("findings.borderline", day=arrive), CAUTION]
    strict = rules.strict
    if strict is not None and find_last_day(last, strict) < arrive:
        said.append(state("findings.ask", quote=quote_rule(strict)))
    if len(given) == 1 and course.next_days is not None and course.step == BOOSTER:
        said.append(state("vaccination.single"))
    return give_verdict(rule, kind, OK, *said, end=end)


def _read_held(
    kind: str,
    given: Sequence[Paper],
    book: RuleBook,
    rules: DoseRules,
    arrive: date,
    known: Known,
) -> Held:
    course = read_course(kind, given, book, arrive, known)
    rule, last = rules.to_compete, course.last.date
    if course.step == FIRST:
        only = state("vaccination.first-only", given=last)
        alone = None if rules.alone is None else quote_rule(rules.alone)
        return Held(course, rules, None, (only, *course.remarks, alone))
    end = find_last_day(last, rule)
    if course.next_days is not None:
        end = min(end, course.next_days.last)
    if course.last.valid_until is not None:
        end = min(end, course.last.valid_until)
    covers = state("vaccination.covers", given=last, end=end, amount=state_amount(rule))
    return Held(course, rules, end, (covers, *course.remarks))


def _assess_shut_days(
    kind: str, given: Sequence[Paper], book: RuleBook, shut: Rule, arrive: date, today: date
) -> Verdict | None:
    """A dose in the days before an arrival bars it, unless it is still to come and can be moved."""
    assert isinstance(shut.value, int)
    fresh = given[-1].date
    if fresh <= add_days(arrive, -shut.value):
        return None
    near = state("vaccination.shut", given=fresh, shut_days=shut.value, arrive=arrive)
    barred = give_verdict(shut, kind, BARRED, near, CAUTION)
    if fresh <= today:
        return barred
    moved = assess_vaccination(kind, given[:-1], book, arrive, today)
    if moved is not None and moved.answer in (OK, DUE):
        without = state("vaccination.without", reason=leave_out_caution(moved.reason))
        verdict = give_verdict(shut, kind, DUE, near, state("actions.move"), without, CAUTION)
        due_by = moved.due_by or fresh - ONE_DAY
        return verdict._replace(due_by=due_by, window=moved.window, end=moved.end)
    left = find_days_left(today, add_days(arrive, -shut.value))
    if left is None:
        return barred
    said = (near, state("actions.move-earlier"), CAUTION)
    return give_verdict(shut, kind, DUE, *said, due_by=left.last, window=left)


def _assess_next_dose(
    kind: str, held: Held, book: RuleBook, arrive: date, today: date, said: tuple[Value, ...]
) -> Verdict:
    """The days on which the next dose would put it right; barred where there is none."""
    rule, course, end = held.rules.to_compete, held.course, held.end

    def bar(*why: Value) -> Verdict:
        return give_verdict(rule, kind, BARRED, *said, *why, CAUTION, end=end)

    last = add_days(arrive, -SHUT_DAYS)
    if last < today:
        cannot = held.rules.cannot
        why = state("vaccination.too-late", today=today, shut_days=SHUT_DAYS, arrive=arrive)
        return bar(why, None if cannot is None else quote_rule(cannot))
    first = min(today + ONE_DAY, last)
    allowed = course.next_days
    if allowed is not None:
        if allowed.last < first:
            return _assess_new_course(kind, book, arrive, DaySpan(first, last), bar)
        if last < allowed.first:
            return bar(state("vaccination.not-before", first=allowed.first))
        first, last = max(first, allowed.first), min(last, allowed.last)
    useful = find_first_day(arrive, rule)
    if first < useful <= last:
        first = useful
    window, give = find_window("actions.give-dose", first, last)
    said = (*said, give, CAUTION)
    return give_verdict(rule, kind, DUE, *said, due_by=last, window=window, end=end)


def _assess_new_course(
    kind: str, book: RuleBook, arrive: date, left: DaySpan, bar: Callable[..., Verdict]
) -> Verdict:
    """A broken history begins again: two doses, and seven days before the arrival."""
    gap = book.find_rule(f"{kind}-primary-gap", arrive)
    if gap is None or not isinstance(gap.value, tuple):
        return bar(state("vaccination.broken"))
    last = add_days(left.last, -gap.value[0])
    if last < left.first:
        return bar(state("vaccination.no-course", gap_days=gap.value[0], shut=SHUT_DAYS))
    begin = state(
        "actions.begin-course",
        first=left.first,
        last=last,
        gap=state_amount(gap),
        shut_days=SHUT_DAYS,
    )
    window = DaySpan(left.first, last)
    return bar(begin)._replace(answer=DUE, due_by=last, window=window)


@dataclass(frozen=True)
class DoseRules:
    """What a book asks of one vaccination on a day of arrival, looked up once for many horses.

    `alone`: what a first dose alone is worth. `cannot`: what a horse that cannot be vaccinated
    brings instead.
    """

    to_compete: Rule
    primary_gap: Rule | None = None
    first_booster: Rule | None = None
    booster_gap: Rule | None = None
    blackout: Rule | None = None
    strict: Rule | None = None
    alone: Rule | None = None
    cannot: Rule | None = None

    @property
    def shut_days(self) -> int:
        """The days before an arrival, that of arrival among them, without a dose [days]."""
        shut = self.blackout
        return shut.value if shut is not None and isinstance(shut.value, int) else 0

    @property
    def key(self) -> tuple[int, ...]:
        """The same for days on which the same editions hold."""
        return tuple(map(id, vars(self).values()))


def find_dose_rules(kind: str, book: RuleBook, arrive: date) -> DoseRules | None:
    """The rules of one vaccination on a day of arrival; None where the book does not ask."""
    rule = book.find_rule(f"{kind}-to-compete", arrive)
    if rule is None:
        return None
    strict = book.find_rule(f"{kind}-strict-days", arrive)
    return DoseRules(
        rule,
        book.find_rule(f"{kind}-{INTERVALS[FIRST]}", arrive),
        book.find_rule(f"{kind}-{INTERVALS[SECOND]}", arrive),
        book.find_rule(f"{kind}-{INTERVALS[BOOSTER]}", arrive),
        book.find_rule(f"{kind}-blackout", arrive),
        strict or book.find_rule(f"{kind}-strict-months", arrive),
        book.find_rule(f"{kind}-doses-needed", arrive),
        book.find_rule("temperature-unvaccinated-days", arrive),
    )


class Doses:
    """Doses of one kind under one book, of one horse or of several alike, for many arrivals.

    The answer for an arrival that a dose covers beyond doubt is the same on all its days, so it
    is found once; near an end, or where something is to be done, each day is looked at.
    """

    def __init__(self, kind: str, rows: Sequence[Paper], book: RuleBook, today: date) -> None:
        """`rows` in date order."""
        self._kind = kind
        self._rows = rows
        self._book = book
        self._today = today
        self._dates = [row.date for row in rows]
        self._read = Known()
        self._sure: dict[tuple[int, int], tuple[date, date, Verdict | None]] = {}
        self._known: dict[date, Verdict] = {}

    def assess(self, arrive: date, rules: DoseRules) -> Verdict:
        """What `assess_vaccination` says of an arrival on which these rules hold."""
        known = self._known.get(arrive)
        if known is None:
            known = self._known[arrive] = self._find(arrive, rules)
        return known

    def _find(self, arrive: date, rules: DoseRules) -> Verdict:
        given = bisect_right(self._dates, arrive)
        key = (given, id(rules))
        sure = self._sure.get(key)
        if sure is None:
            sure = self._sure[key] = (*self._find_sure_days(given, rules), None)
        first, last, verdict = sure
        if first <= arrive <= last:
            if verdict is None:
                verdict = self._assess(arrive, rules)
                self._sure[key] = (first, last, verdict)
            return verdict
        return self._assess(arrive, rules)

    def _assess(self, arrive: date, rules: DoseRules) -> Verdict:
        given = self._rows[: bisect_right(self._dates, arrive)]
        return _assess(self._kind, given, self._book, rules, arrive, self._today, self._read)

    def _find_sure_days(self, given: int, rules: DoseRules) -> tuple[date, date]:
        """The arrivals that have one answer; a span that holds none where there are none."""
        if not given:
            return date.min, date.max
        rows = self._rows[:given]
        course = read_course(self._kind, rows, self._book, self._dates[given - 1], self._read)
        step, held = course.step, course.last
        if step == FIRST:
            return date.max, date.min
        ends = [find_last_day(held.date, rules.to_compete)]
        follows = rules.first_booster if step == SECOND else rules.booster_gap
        if follows is not None:
            ends.append(find_last_day(held.date, follows))
        if rules.strict is not None:
            ends.append(find_last_day(held.date, rules.strict))
        if held.valid_until is not None:
            ends.append(held.valid_until)
        first = add_days(self._dates[given - 1], rules.shut_days)
        return first, add_days(min(ends), -WIDEST_DOUBT_DAYS)
