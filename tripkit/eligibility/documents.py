"""What tests and documents are worth on the days of a stay or a journey.

Dates in, a `Verdict` out; nothing here knows a yard or a show. The figures come from a
`RuleBook`; the current rule book of the body, the states at both ends and a vet decide.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from tripkit.eligibility.validity import (
    WIDEST_DOUBT_DAYS,
    count_back_business_days,
    find_days_before,
    find_days_left,
    find_first_day,
    find_last_day,
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
    add_sentences,
    give_reason,
    give_verdict,
    name_paper,
)
from tripkit.yard.days import ONE_DAY, DaySpan, add_days, add_months
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.papers import COGGINS, HEALTH_CERTIFICATE, TEMPERATURE_LOG, Paper
from tripkit.yard.rulebook import Rule, RuleBook

CERTIFICATE_MARKS: Mapping[str, re.Pattern[str]] = {
    "extended": re.compile(r"\bextended\b", re.I),
    "mark": re.compile(r"\b(mark|30[ -]days?)\b", re.I),
}


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
    found = find_best(rows, rule, days.first, written_end_wins)
    if found is None:
        return give_verdict(
            rule, kind, UNKNOWN, state("findings.no-row"), state_rule(rule.words), CAUTION
        )
    best, end = found
    if end >= days.last:
        said: list[Value] = [state("documents.holds", given=best.date, end=end)]
        if best.valid_until is None and is_borderline(best.date, days.last, rule):
            said += [state("findings.borderline", day=days.last), CAUTION]
        return give_verdict(rule, kind, OK, *said, end=end)
    short = state("documents.too-short", given=best.date, end=end, needed=days.last)
    first = lead.opens or find_first_day(days.last, rule)
    for last, code in ((lead.usual, "actions.ask-new"), (lead.haste, "actions.ask-in-haste")):
        left = find_days_left(today, last)
        if left is not None and max(left.first, first) <= left.last:
            window, ask = find_window(code, max(left.first, first), last)
            said = [short, ask, CAUTION]
            return give_verdict(rule, kind, DUE, *said, due_by=last, window=window, end=end)
    late = state("documents.too-late", today=today)
    return give_verdict(rule, kind, BARRED, short, late, CAUTION, end=end)


def make_day_lead(day: date) -> Lead:
    """A paper that is had from one day to the next: at the latest on the day before."""
    return Lead(day - ONE_DAY, day - ONE_DAY)


def find_best(
    rows: Sequence[Paper], rule: Rule, on: date, written_end_wins: bool = True
) -> tuple[Paper, date] | None:
    """Of the rows given by a day the one that covers longest, or the latest; with its end."""
    best: tuple[Paper, date] | None = None
    for row in rows:
        if row.date <= on:
            end = find_end(row, rule, written_end_wins)
            if best is None or (end, row.date) >= (best[1], best[0].date):
                best = row, end
    return best


def find_end(row: Paper, rule: Rule, written_end_wins: bool = True) -> date:
    """The last day that a paper covers: as written, else by the rule; of a test the earlier."""
    by_rule = find_last_day(row.date, rule)
    if row.valid_until is None:
        return by_rule
    return row.valid_until if written_end_wins else min(by_rule, row.valid_until)


class Cover:
    """Rows of one document under one rule, of one horse or of several alike, for many stays.

    Stays that a row covers beyond doubt have one answer, found once.
    """

    def __init__(self, rows: Sequence[Paper], rule: Rule, *, written_end_wins: bool = True) -> None:
        """`rows` in date order."""
        self._dates = [row.date for row in rows]
        self._best: list[tuple[Paper, ...]] = [()]
        self._sure: list[date] = []
        self._by_rows: dict[int, Verdict] = {}
        self._by_days: dict[tuple[date, date], Verdict] = {}
        for row in rows:
            found = find_best((*self._best[-1], row), rule, row.date, written_end_wins)
            assert found is not None
            self._best.append(found[:1])
            self._sure.append(add_days(found[1], -WIDEST_DOUBT_DAYS))

    def find(self, days: DaySpan) -> Verdict | None:
        """The answer for a stay, None where it is not known yet."""
        known = self._by_days.get((days.first, days.last))
        return known or self._by_rows.get(self._count_rows(days))

    def list_best(self, days: DaySpan) -> tuple[Paper, ...]:
        """The one row that decides about a stay; none where none is given by then."""
        return self._best[bisect_right(self._dates, days.first)]

    def keep(self, days: DaySpan, verdict: Verdict) -> Verdict:
        """The answer for a stay is kept, and for all stays like it."""
        held = self._count_rows(days)
        if held >= 0:
            self._by_rows[held] = verdict
        else:
            self._by_days[days.first, days.last] = verdict
        return verdict

    def _count_rows(self, days: DaySpan) -> int:
        """How many rows count for a stay that they settle beyond doubt, else -1."""
        held = bisect_right(self._dates, days.first)
        return held if not held or days.last <= self._sure[held - 1] else -1


def _count_back(book: RuleBook, rule_id: str, day: date) -> date:
    """The last day on which to ask for a paper that takes as long as a rule says."""
    rule = book.find_rule(rule_id, day)
    if rule is None or not isinstance(rule.value, int):
        return day - ONE_DAY
    if rule.unit == "business days":
        return count_back_business_days(day, rule.value)
    return add_days(day, -rule.value)


def find_test_days(rule: Rule, days: DaySpan) -> DaySpan:
    """The days that an EIA test has to cover: the stay, or the journey where the rule names it.

    **Source:** Great Britain export guidance 2021 (within so many days of travel); USEF, Interstate
    travel page (calendar year, of the journey).
    """
    of_journey = "-from-" in rule.id or rule.unit == "calendar year"
    return DaySpan(days.first, days.first) if of_journey else days


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
    asked = find_test_days(rule, days)
    return assess_paper(COGGINS, rows, rule, lead, asked, today, written_end_wins=False)


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
    best = find_best(rows, rule, days.first)
    if best is not None and early is not None and isinstance(early.value, int):
        opens = add_months(best[1], -early.value)
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
    best = find_best(rows, rule, days.first)
    late_bought = (
        opens is not None and best and best[0].date >= opens and best[0].valid_until is None
    )
    if verdict.answer in (DUE, BARRED) and late_bought:
        bought = state("documents.bought-early", year=str(days.last.year))
        return verdict._replace(reason=add_sentences(verdict.reason, bought))
    return verdict


def find_certificate_rule(book: RuleBook, on: date, note: str = "") -> Rule | None:
    """How long a health certificate holds: as its note says what kind it is, else the usual kind.

    A note with "extended" or with "mark" or "30 days" names the kinds that books know besides.
    """
    for kind, mark in CERTIFICATE_MARKS.items():
        rule = book.find_rule(f"health_certificate-{kind}-validity", on)
        if rule is not None and mark.search(note):
            return rule
    return book.find_rule("health_certificate-validity", on)


def assess_certificate(
    rows: Sequence[Paper],
    book: RuleBook,
    needed: date,
    today: date,
    journey: str,
    *,
    home: date | None = None,
    origin: str = "",
) -> Verdict | None:
    """Whether a health certificate covers one journey; None where the book asks for none.

    `needed` is the day on which the border is crossed, `journey` is `there` or `home`, `home` the
    day of the way home where this is the way there, `origin` the country the yard lies in. Never
    barred while a vet can still be asked before. Where the book sets hours for the examination,
    the certificate is given within them or on the last working day.

    **Source:** Delegated Regulation (EU) 2020/688, Art. 91(2)-(3) and 92(2); USEF, Interstate
    travel page.
    """
    rule = book.find_rule("health_certificate-validity", needed)
    if rule is None:
        return None
    name = state(f"documents.certificate-{journey}")
    exam = book.find_rule("health_certificate-exam-hours", needed)
    form = book.find_rule(f"health_certificate-form-from-{origin}", needed)
    notes = tuple(quote_rule(more) for more in (exam, form) if more is not None)
    held = [row for row in rows if row.date <= needed]
    first = find_first_day(needed, rule)
    if exam is not None:
        first = max(first, _find_exam_day(needed, exam))
    left = find_days_left(today, needed - ONE_DAY)
    window = None
    if left is not None and max(left.first, first) <= left.last:
        window = DaySpan(max(left.first, first), left.last)

    def answer(
        answer: str, rule: Rule, *said: Value, due_by: date | None = None, end: date | None = None
    ) -> Verdict:
        reason = give_reason(*said, of=name)
        asked = window if answer in (DUE, UNKNOWN) else None
        return Verdict(
            rule.id, answer, reason, rule.cited, due_by, asked, end, HEALTH_CERTIFICATE, journey
        )

    due_by = None if window is None else window.last
    if not held:
        # One of today would not hold so long, so a new one is asked for whatever is not written.
        is_sure = first > today and window is not None
        said: list[Value] = [state("documents.no-row") if is_sure else state("findings.no-row")]
        if window is not None:
            said.append(state("actions.have-given", first=window.first, last=window.last))
            if home is not None:
                said.append(_state_home(home, rule, window))
        said += [state_rule(rule.words), *notes, CAUTION]
        return answer(DUE if is_sure else UNKNOWN, rule, *said, due_by=due_by)
    ends = []
    for row in held:
        own = find_certificate_rule(book, needed, row.note) or rule
        ends.append((find_end(row, own), row, own))
    end, best, own = max(ends, key=lambda e: (e[0], e[1].date))
    if end >= needed:
        amount = state_amount(own)
        holds = state("documents.holds-by-rule", given=best.date, end=end, amount=amount)
        strict = book.find_rule("health_certificate-strict-days", needed)
        doubt = None
        if strict is not None and find_last_day(best.date, strict) < needed:
            doubt = state("findings.ask", quote=quote_rule(strict))
        return answer(OK, own, holds, doubt, end=end)
    short = state("documents.journey-too-short", given=best.date, end=end, needed=needed)
    if window is None:
        return answer(BARRED, rule, short, state("documents.no-day-left"), CAUTION, end=end)
    ask = state("actions.ask-new", first=window.first, last=window.last)
    return answer(DUE, rule, short, ask, *notes, CAUTION, due_by=due_by, end=end)


def _find_exam_day(needed: date, exam: Rule) -> date:
    """The first day on which a horse can be examined for a journey: hours before, or a workday."""
    assert isinstance(exam.value, int)
    working_day = count_back_business_days(needed - ONE_DAY, 0)
    return min((datetime.combine(needed, time()) - timedelta(hours=exam.value)).date(), working_day)


def _state_home(home: date, rule: Rule, window: DaySpan) -> Fact:
    first = find_first_day(home, rule)
    if first > window.last:
        return state("certificates.own-home", home=home)
    if first <= window.first:
        return state("certificates.covers-home", home=home)
    return state("certificates.covers-home-from", first=first, home=home)


def assess_since(kind: str, rows: Sequence[Paper], rule: Rule, needed: date) -> Verdict:
    """Whether a horse has lived somewhere for so many days before one; `date`: since when.

    **Source:** the rule's; Great Britain export guidance 2021.
    """
    assert isinstance(rule.value, int)
    latest = add_days(needed, -rule.value)
    held = [row for row in rows if row.date <= needed]
    if not held:
        none, since = state("findings.no-row"), state("documents.since", latest=latest)
        return give_verdict(rule, kind, UNKNOWN, none, state_rule(rule.words), since, CAUTION)
    since_day = held[-1].date
    if since_day <= latest:
        lived = state("documents.lived", since=since_day, latest=latest)
        return give_verdict(rule, kind, OK, lived)
    short = state("documents.lived-too-short", since=since_day, latest=latest)
    return give_verdict(rule, kind, BARRED, short, state_rule(rule.words), CAUTION)


def assess_temperatures(
    rows: Sequence[Paper], book: RuleBook, arrive: date, today: date
) -> Verdict | None:
    """Whether the temperatures asked for before an arrival are written, or when they begin.

    A row of papers.csv covers the days from its `date` to its `valid_until`, or its date alone.
    It bars nothing: a log may be kept elsewhere. None where the book asks for none.

    **Source:** FEI Veterinary Regulations, edition 2022; Equestrian Australia, 1 March 2023.
    """
    rule = book.find_rule("temperature-days", arrive)
    if rule is None:
        return None
    asked = find_days_before(arrive, rule)
    spans = [DaySpan(row.date, row.valid_until or row.date) for row in rows]
    missing = [day for day in asked if not any(day in span for span in spans)]
    times = book.find_rule("temperature-readings", arrive)
    often = None
    if times is not None:
        often = state("documents.readings", count=times.value)
    days: dict[str, Value] = {"first": asked.first, "last": asked.last, "often": often}
    if not missing:
        return give_verdict(rule, TEMPERATURE_LOG, OK, state("documents.log-written", **days))
    if missing[0] <= today:
        gap = state("documents.log-missing", day=missing[0], **days)
        return give_verdict(rule, TEMPERATURE_LOG, UNKNOWN, gap, CAUTION)
    limit = book.find_rule("temperature-limit", arrive)
    certify = book.find_rule("self-certification-days", arrive)
    more = [state_rule(r.words) for r in (limit, certify) if r is not None]
    begin = state("actions.begin-log", day=missing[0])
    said: tuple[Value, ...] = (state("documents.log-asked", **days), begin, *more, CAUTION)
    window = DaySpan(missing[0], asked.last)
    return give_verdict(rule, TEMPERATURE_LOG, DUE, *said, due_by=window.first, window=window)


def assess_written_end(
    kind: str, rows: Sequence[Paper], days: DaySpan, today: date, *, is_kept: bool = False
) -> Verdict | None:
    """Whether a licence or membership covers a show by its written end.

    None where none is written, unless the yard keeps such papers of others (`is_kept`).
    """

    def answer(answer: str, *said: Value, **asked: Any) -> Verdict:
        reason = give_reason(*said, of=name_paper(kind))
        return Verdict(kind, answer, reason, "the yard's papers.csv", paper=kind, **asked)

    if not rows:
        return answer(UNKNOWN, state("findings.no-row"), CAUTION) if is_kept else None
    ends = [row.valid_until for row in rows if row.valid_until is not None]
    if not ends:
        return answer(UNKNOWN, state("documents.no-end"), CAUTION)
    end = max(ends)
    holds = state("documents.holds-needed", end=end, needed=days.last)
    if end >= days.last:
        return answer(OK, holds, end=end)
    left = find_days_left(today, days.first - ONE_DAY)
    if left is None:
        return answer(BARRED, holds, CAUTION, end=end)
    renew = state("actions.renew", last=left.last)
    return answer(DUE, holds, renew, CAUTION, due_by=left.last, window=left, end=end)
