"""The answers of paper and eligibility rules: ok, due, barred, unknown, each with its reason."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from tripkit.yard.days import DaySpan

OK = "ok"
DUE = "due"
BARRED = "barred"
UNKNOWN = "unknown"

ANSWERS = (BARRED, DUE, UNKNOWN, OK)
"""All answers, in the order in which a manager looks at them."""

RANKS = {answer: rank for rank, answer in enumerate(ANSWERS)}

CAUTION = "The current rule book and a vet decide."


# Tuples, because a big yard has some hundred thousand of them.
class Verdict(NamedTuple):
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


class Finding(NamedTuple):
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


def write_finding(
    verdict: Verdict, *, horse: str = "", person: str = "", show: str = ""
) -> Finding:
    """A verdict becomes the finding of a horse or person at a show."""
    return Finding(
        verdict.rule,
        verdict.answer,
        verdict.reason,
        verdict.source,
        horse,
        person,
        show,
        "",
        verdict.due_by,
        verdict.window,
    )
