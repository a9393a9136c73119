"""The answers of paper and eligibility rules: ok, due, barred, unknown, each with its reason.

A reason is a fact of one or more sentences, most of them about one paper or matter. What is to be
done is a sentence of the family `actions`; the caution may be left out where it stands once.
"""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from tripkit.yard.days import DaySpan
from tripkit.yard.facts import Fact, Reason, Value, state
from tripkit.yard.papers import KNOWN_PAPERS
from tripkit.yard.rulebook import Rule

OK = "ok"
DUE = "due"
BARRED = "barred"
UNKNOWN = "unknown"

ANSWERS = (BARRED, DUE, UNKNOWN, OK)
"""All answers, in the order in which a manager looks at them."""

RANKS = {answer: rank for rank, answer in enumerate(ANSWERS)}

HEIGHT = "height"
"""The rule of eligibility by which a class is too high or too low."""

CAUTION = state("findings.caution")

CLEARED, ELIGIBLE, TREATMENT = "cleared", "eligible", "treatment"
STARTS, ENTRY, DOUBLE_ENTRY = "starts", "entry", "double_entry"
YOUNG_HORSE, UNSANCTIONED = "young_horse", "unsanctioned"
MATTERS = (
    *(CLEARED, ELIGIBLE, TREATMENT),
    *(STARTS, ENTRY, DOUBLE_ENTRY),
    *(YOUNG_HORSE, UNSANCTIONED),
)
"""What findings are about that are not about a paper."""

NAMES = {
    **{kind: Fact(f"papers.{kind}") for kind in KNOWN_PAPERS},
    **{kind: Fact(f"findings.{kind}") for kind in MATTERS},
}

ACTIONS = "actions"
"""The family of sentences that say what to do."""

THERE, HOMEWARD = "there", "home"
"""The journeys that a paper may be made for."""


# Tuples, because a big yard has some hundred thousand of them.
class Verdict(NamedTuple):
    """What one rule says of one paper: the answer, why, and the days that would put it right.

    `due_by` is the last useful day, `window` all legal ones. `end` is the last day that the
    paper held covers, where one is held. `paper` and `journey` as in `Finding`.
    """

    rule: str
    answer: str
    reason: Fact
    source: str
    due_by: date | None = None
    window: DaySpan | None = None
    end: date | None = None
    paper: str = ""
    journey: str = ""


class Finding(NamedTuple):
    """One answer of a paper or eligibility rule, with the rule, the reason and the source.

    `due_by` is the last useful day to put it right, `window` all legal ones. Fields that do
    not apply are empty: a rider's licence names a person, a clearance no show. `paper` is the
    kind of paper, or what else all its rules are about (`name_paper` has them); `journey` is
    `there` or `home` where the paper is made for that one.
    """

    rule: str
    answer: str
    reason: Fact
    source: str
    horse: str = ""
    person: str = ""
    show: str = ""
    class_name: str = ""
    due_by: date | None = None
    window: DaySpan | None = None
    paper: str = ""
    journey: str = ""


class Bar(NamedTuple):
    """What keeps a horse out of a class or a show: the rule's id, empty where none is it, and why.

    `part` is the part of the rule, such as `height` of `eligible`.
    """

    rule: str
    why: Reason
    part: str = ""


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
        verdict.paper,
        verdict.journey,
    )


def name_paper(kind: str) -> Fact | str:
    """What a kind of paper or a matter is called; a paper nobody knows is called as written.

    >>> name_paper("health_certificate").code, name_paper("farrier_card")
    ('papers.health_certificate', 'farrier card')
    """
    return NAMES.get(kind) or kind.replace("_", " ")


# Reasons


def give_reason(*said: Value, of: Value = None) -> Fact:
    """A reason of sentences in order, about a paper or matter where one is named; None is none.

    >>> give_reason("It is due.", None, CAUTION).get("said") == ("It is due.", CAUTION)
    True
    """
    sentences = tuple([sentence for sentence in said if sentence is not None])
    if of is None:
        return state("findings.reason", said=sentences)
    return state("findings.reason-of", of=of, said=sentences)


def give_verdict(
    rule: Rule,
    paper: str,
    answer: str,
    *said: Value,
    due_by: date | None = None,
    window: DaySpan | None = None,
    end: date | None = None,
) -> Verdict:
    """What a rule of a book says of a paper: the answer, and the sentences of its reason."""
    reason = give_reason(*said, of=name_paper(paper))
    return Verdict(rule.id, answer, reason, rule.cited, due_by, window, end, paper)


def list_sentences(reason: Fact) -> tuple[Value, ...]:
    """The sentences of a reason, in order."""
    said = reason.get("said")
    return said if isinstance(said, tuple) else (reason,)


def add_sentences(reason: Fact, *more: Value) -> Fact:
    """A reason that says some more at its end."""
    return give_reason(*list_sentences(reason), *more, of=reason.get("of"))


def find_action(reason: Fact) -> Fact | None:
    """The sentence of a reason that says what to do first, None where nothing is to be done."""
    facts = (said for said in list_sentences(reason) if isinstance(said, Fact))
    return next((said for said in facts if said.family == ACTIONS), None)


def leave_out_caution(reason: Fact) -> Fact:
    """A reason without the caution, for whoever tells it once for many."""
    return reason.map(_leave_out)


def _leave_out(name: str, value: Value) -> Value:
    if isinstance(value, Fact):
        return leave_out_caution(value)
    if isinstance(value, tuple):
        return tuple(_leave_out(name, one) for one in value if one != CAUTION)
    return value
