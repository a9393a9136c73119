"""Answers: what was asked, what is so, and the points it rests on with their sources.

Every point names the rule it comes from and where that rule, row or number stands: a file of the
yard, a published book, or the default of a limit with its origin.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from tripkit.driving.leg import RULES as DRIVING_RULES
from tripkit.judging.case import Violation
from tripkit.yard.answers import BARRED, DUE, OK, Bar, Finding
from tripkit.yard.facts import Fact, Reason, state
from tripkit.yard.horses import Horse
from tripkit.yard.limits import ORIGINS, Limits
from tripkit.yard.shows import Show
from tripkit.yard.yard import TODAY_BY_CLOCK, TODAY_EVE, TODAY_GIVEN, TODAY_WRITTEN, Yard

# The limits that a rule of the judge counts with.
LIMITS_OF_RULE = {
    "cap": ("shows_per_30_days",),
    "recovery": ("no_jump_days", "schools_before_show"),
    "travel-rest": ("travel_rest",),
    "fit": ("fit_up_days",),
    "break": ("outings_before_break", "break_days", "no_jump_days"),
    "stabling": ("arrive_days_before",),
    "driving": ("horse_hours_per_day", "water_every_hours"),
    "days": ("longest_days_without_jumping",),
}
TODAY_WORDS = {
    TODAY_GIVEN: "--today",
    TODAY_WRITTEN: "yard.toml",
    TODAY_BY_CLOCK: "the clock",
    TODAY_EVE: "the day before the season",
}
FILES_OF_RULE = {
    "window": "yard.toml [season] and absences.csv",
    "closed": "shows.csv and entries.csv",
    "eligible": "classes.csv, horses.csv, people.csv and papers.csv",
    "cleared": "vet_checks.csv",
    "recovery": "the outward drive by the yard's roads",
    "fit": "horses.csv, column in_work_from",
    "rider": "people.csv and horses.csv",
    "stabling": "shows.csv, columns stabling_from and stabling_until",
    "places": "vehicles.csv and shows.csv, column places_left",
    "one-place": "the drives of the plan",
    "locked": "entries.csv",
    "budget": "yard.toml [costs] budget",
    "past": "the circuit that is published",
    "totals": "the circuit as written",
    "figures": "the circuit as written",
}
RULE_NAMES = {
    "window": "somebody is absent",
    "closed": "entries are closed",
    "eligible": "horse, rider or papers do not fit",
    "cleared": "the vet has not cleared it",
    "cap": "too many outings in 30 days",
    "recovery": "too little rest between outings",
    "travel-rest": "too little rest after the drive",
    "fit": "too soon after coming back into work",
    "break": "no break between outings",
    "rider": "the rider is elsewhere or has too many horses",
    "stabling": "the stables are not open in time",
    "places": "no place is left",
    "one-place": "no lorry is free",
    "driving": "the drive is too long for a day",
    "locked": "an entry sent or paid would be lost",
    "budget": "the budget is too small",
    "past": "its days are over or under way",
    "days": "the day plan does not work out",
    "totals": "the sums are wrong",
    "figures": "what the search says of it is not so",
}
RULE_DEMANDS = {
    "window": "nobody may be used outside the season or while absent",
    "closed": "no new entry after entries have closed",
    "eligible": "horse, rider and papers must fit each class",
    "cleared": "no outing before the vet has cleared the horse",
    "cap": "only so many outings in 30 days",
    "recovery": "days of rest between outings",
    "travel-rest": "days of rest after a long drive",
    "fit": "time to get fit after coming back into work",
    "break": "a break after so many outings",
    "rider": "a rider is at one place at a time, with so many horses",
    "stabling": "come in time, and stay only while the stables are open",
    "places": "no more horses than the lorry or the show has places",
    "one-place": "a horse and a lorry are at one place at a time",
    "driving": "the hours that drivers and horses may be on the road",
    "locked": "entries sent or paid must be kept",
    "budget": "the budget",
    "past": "what was lived stays as it was",
    "days": "the day plan of each horse",
    "totals": "the sums of the circuit",
    "figures": "goal, objective, bound and status that fit the circuit",
}
"""What each rule asks, as it is said where no circuit keeps them all."""

BARS = {
    **RULE_NAMES,
    "road": "no road or no lawful timetable is known",
    "window": "a day lies outside the season, or somebody is absent",
    "closed": "entries are closed, or the classes are past",
    "locked": "the entry was scratched",
}
"""Why a horse cannot go to a show at all, by the rule with which the planner begins its reason."""

LAST_OUTING = state("explaining.last-outing")

HEIGHT = "height"
"""The rule of eligibility by which a class is too high or too low."""

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
    _, origin = ORIGINS[limit]
    value = getattr(yard.limits if horse is None else horse.limits, limit)
    if horse is not None and value != getattr(yard.limits, limit):
        return f"horses.csv, row of {horse.horse}, column {limit}"
    if value != getattr(Limits(), limit):
        return f"yard.toml [limits] {limit}"
    return f"{limit}, the default: {origin}"


def name_rule_source(yard: Yard, rule: str, horse: Horse | None = None) -> str:
    """Where the numbers of a rule stand: its limits, else the files it reads."""
    limits = [name_limit_source(yard, limit, horse) for limit in LIMITS_OF_RULE.get(rule, ())]
    files = [FILES_OF_RULE[rule]] if rule in FILES_OF_RULE else []
    if rule == "driving":
        files.append(DRIVING_RULES[yard.driving.rules].source)
    return "; ".join(dict.fromkeys([*limits, *files])) or rule


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
    return state("planning.without-demand", demand=RULE_DEMANDS.get(rule, rule))


def list_bars(
    yard: Yard, excluded: Mapping[tuple[str, str], tuple[Bar, ...]]
) -> tuple[Reason, ...]:
    """Why no horse goes anywhere: what bars most pairs of a horse and a show, then the others.

    `excluded` are the planner's bars of each pair that it leaves out.
    """
    if not yard.vehicles:
        return (state("explaining.no-lorry"),)
    if not yard.riders:
        return (state("explaining.no-rider"),)
    if yard.is_over:
        return (state("explaining.all-past"),)
    pairs = len(yard.horses) * len(yard.shows)
    counts = Counter(
        said
        for (horse, show), bars in excluded.items()
        for said in _name_bars(yard, horse, show, bars)
    )
    listed = [
        said if count == pairs else state("explaining.bar-of-some", bar=said, count=count)
        for said, count in counts.most_common()
    ]
    if listed and counts.most_common(1)[0][1] < pairs:
        bar, count = counts.most_common(1)[0]
        listed[0] = state("explaining.bar-of-pairs", bar=bar, count=count, pairs=pairs)
    if len(excluded) < pairs:
        budget = yard.costs.budget_cents
        rest = state("explaining.rest-is-idle")
        if budget is not None:
            rest = state("explaining.rest-costs-too-much", budget_cents=budget)
        listed.append(rest)
    return tuple(listed)


def _name_bars(yard: Yard, horse: str, show: str, bars: tuple[Bar, ...]) -> Iterator[Reason]:
    known = yard.horse_by_name[horse]
    low, high = known.from_height_cm, known.to_height_cm
    if not any(low <= c.height_cm <= high for c in yard.show_by_name[show].classes):
        yield state("explaining.no-fitting-height")
        return
    ruled = [bar for bar in bars if bar.rule]
    # Of the classes of other heights nobody wants to know at a show that has a fitting one.
    ruled = [bar for bar in ruled if bar.part != HEIGHT] or ruled
    yield from dict.fromkeys(BARS[bar.rule] for bar in ruled) if ruled else [join_bars(bars)]


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
