"""Answers: what was asked, what is so, and the points it rests on with their sources.

Every point names the rule it comes from and where that rule, row or number stands: a file of the
yard, a published book, or the default of a limit with its origin.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from tripkit.driving.rules import RULES as DRIVING_RULES
from tripkit.judging.case import Violation
from tripkit.season.wishes import Wishes
from tripkit.yard.answers import BARRED, DUE, OK, Bar, Finding
from tripkit.yard.circuit import Circuit
from tripkit.yard.facts import Fact, Reason, state
from tripkit.yard.horses import Horse
from tripkit.yard.limits import LIMITS, Limits
from tripkit.yard.rules import RULE_BY_ID, CircuitRule
from tripkit.yard.shows import Show
from tripkit.yard.yard import TODAY_BY_CLOCK, TODAY_EVE, TODAY_GIVEN, TODAY_WRITTEN, Yard

TODAY_WORDS = {
    TODAY_GIVEN: "--today",
    TODAY_WRITTEN: "yard.toml",
    TODAY_BY_CLOCK: "the clock",
    TODAY_EVE: "the day before the season",
}

Bars = Mapping[tuple[str, str], tuple[Bar, ...]]
"""Why the planner leaves out pairs of a horse and a show."""

LAST_OUTING = state("explaining.last-outing")

ANSWER_WORDS = {
    BARRED: state("explaining.barred"),
    DUE: state("explaining.due"),
    OK: state("explaining.in-order"),
}


@dataclass(frozen=True)
class Point:
    """One reason: what is so, the rule's id, where it stands, and an amount where it has one.

    `amount` is a part of a figure in that figure's unit, or by how much a rule is broken (days
    missing, negative).
    """

    text: Reason
    rule: str = ""
    source: str = ""
    amount: Decimal | int | float | None = None


@dataclass(frozen=True)
class Explanation:
    """A question, its answer, and the points it rests on.

    `verdict` of an outing is `in`, `possible`, `breaks rules`, `barred` or `no plan`; of anything
    else empty.
    """

    question: Reason
    answer: Reason
    points: tuple[Point, ...] = ()
    verdict: str = ""

    @property
    def is_yes(self) -> bool:
        """Whether the horse goes there or could."""
        return self.verdict in ("in", "possible")


def say_today(yard: Yard) -> Fact:
    """The day as of which everything is answered, and who says that it is today."""
    where = TODAY_WORDS[yard.today_from]
    return state("explaining.today", day=yard.day_of_planning, where=where)


def name_limit_source(yard: Yard, limit: str, horse: Horse | None = None) -> str:
    """Where a number comes from: the horse's row, yard.toml, or the default and its origin."""
    value = getattr(yard.limits if horse is None else horse.limits, limit)
    if horse is not None and value != getattr(yard.limits, limit):
        return f"horses.csv, row of {horse.horse}, column {limit}"
    if value != getattr(Limits(), limit):
        return f"yard.toml [limits] {limit}"
    return f"{limit}, the default: {LIMITS[limit].origin}"


def name_rule_source(yard: Yard, rule: str, horse: Horse | None = None) -> str:
    """Where the numbers of a rule stand: its limits, else the files it reads."""
    row = RULE_BY_ID.get(rule, CircuitRule(rule, (), ""))
    limits = [name_limit_source(yard, limit, horse) for limit in row.limits]
    *most, last = row.sources or ("",)
    files = [f"{', '.join(most)} and {last}" if most else last] if last else []
    if rule == "driving":
        files.append(str(DRIVING_RULES[yard.driving.rules].source))
    return "; ".join(dict.fromkeys([*limits, *files])) or rule


def tell_rule(form: str, rule: str) -> Fact:
    """A rule in words: its `name`, what it asks (`demand`), or why it is a `bar` to a show."""
    return Fact(f"judging.{form}-{rule}")


def explain_violation(yard: Yard, violation: Violation) -> Point:
    """A broken rule as a point, with the row or number it was held against."""
    horse = yard.horse_by_name.get(violation.horse)
    source = name_rule_source(yard, violation.rule, horse)
    absence = violation.fact.get("absence")
    if violation.rule == "window" and absence is not None:
        who = violation.vehicle or violation.person or violation.horse
        reasons = [
            a.reason
            for a in yard.absences
            if a.who == who and a.reason and (violation.day is None or violation.day in a.days)
        ]
        source = f"absences.csv, row of {who}" + (f" ({reasons[0]})" if reasons else "")
    elif violation.rule == "closed" and violation.show:
        source = f"shows.csv, row of {violation.show}; entries.csv"
    return Point(violation.fact, violation.rule, source)


def explain_finding(finding: Finding) -> Explanation:
    """What a paper or eligibility rule says, by when it can be put right, and who says so."""
    who = finding.horse or finding.person
    about = {
        "rule": finding.rule,
        "who": who,
        "at": state("explaining.at-of", show=finding.show) if finding.show else None,
        "name": state("explaining.name-of", name=finding.class_name) if finding.class_name else "",
        "answer": ANSWER_WORDS.get(finding.answer, state("explaining.not-known")),
    }
    points = [Point(str(finding.reason), finding.rule, finding.source)]
    if finding.due_by is not None:
        text = state("explaining.last-useful-day", due_by=finding.due_by)
        points.append(Point(text, finding.rule, finding.source))
    if finding.window is not None:
        text = state("explaining.any-day", window=finding.window)
        points.append(Point(text, finding.rule, finding.source))
    question = state("explaining.why-finding", **about)
    return Explanation(question, state("explaining.finding", **about), tuple(points))


# What the planner says


def join_bars(bars: Iterable[Bar]) -> Fact:
    """Why a horse cannot go to a show, without the ids of the rules.

    >>> str(join_bars([Bar("closed", "too late"), Bar("fit", "new")]))
    'too late; new'
    """
    return state("planning.bars", bars=tuple(bar.why for bar in bars))


def name_demand(yard: Yard, reason: Reason) -> Reason:
    """A planner's reason why no circuit fits, with the rule in words instead of its id."""
    if not isinstance(reason, Fact) or reason.code != "planning.without-rule":
        return reason
    rule, budget_cents = str(reason.get("rule")), yard.costs.budget_cents
    if rule == "budget" and budget_cents is not None:
        return state("planning.without-budget", budget_cents=budget_cents)
    return state("planning.without-demand", demand=tell_rule("demand", rule))


def find_unkept(
    yard: Yard,
    wishes: Wishes,
    circuits: Sequence[Circuit],
    find_bars: Callable[[Yard], Bars],
) -> tuple[Fact, ...]:
    """Which wishes the circuits do not keep, and why where one outing alone is the reason."""
    found: list[Fact] = []
    bars: Bars | None = None
    for horse, show in wishes.held:
        without = tuple(
            c.name
            for c in circuits
            if c.exists and not any((o.horse, o.show) == (horse, show) for o in c.outings)
        )
        if without:
            bars = find_bars(yard) if bars is None else bars
            known = bars.get((horse, show))
            reason = join_bars(known) if known else state("wishes.not-found-in-time")
            found.append(
                state("wishes.not-held", horse=horse, show=show, circuits=without, reason=reason)
            )
    for horse, show in wishes.forbidden:
        if any(key[:2] == (horse, show) for key in yard.bound_entries):
            found.append(state("wishes.not-forbidden", horse=horse, show=show))
    return tuple(found)


# Parts of answers


def count_clear_days(days: int) -> Fact:
    """A number of clear days.

    >>> str(count_clear_days(1)), str(count_clear_days(9))
    ('1 clear day', '9 clear days')
    """
    return state("units.clear-days", count=days)


def name_show(show: Show) -> Reason:
    """A show's id, with the name that people use where it has another."""
    if show.title == show.show:
        return show.show
    return state("explaining.show-named", show=show.show, name=show.name)
