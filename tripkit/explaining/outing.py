"""Why a horse goes to a show in a circuit, or why it does not and what would have to change.

Who goes there is told why: what it brings and costs, and what the circuit would be without it. Who
does not is put there on trial (see `trial`), and the judge's answer is put into words. Days,
figures and findings are explained by the rooms below; all doors stand here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tripkit.eligibility.classes import find_class_findings
from tripkit.eligibility.paperwork import find_paper_findings
from tripkit.eligibility.qualifying import assess_aim
from tripkit.explaining.days import explain_day
from tripkit.explaining.figures import FIGURES, PLANNER, SOURCES_OF_COST, explain_figure, tell_worth
from tripkit.explaining.reasons import (
    RULE_NAMES,
    Explanation,
    Point,
    count_clear_days,
    count_days,
    explain_finding,
    explain_violation,
    list_words,
    name_demand,
    name_limit_source,
    name_rule_source,
    name_show,
    write_cents,
    write_way,
    write_worth,
)
from tripkit.explaining.trial import (
    Trial,
    can_enter,
    find_outing,
    try_instead,
    try_outing,
    try_without,
)
from tripkit.judging.judge import Violation, find_violations
from tripkit.season.costs import KINDS_OF_COST, price
from tripkit.season.scorecard import Gap, find_gaps
from tripkit.yard.answers import BARRED, DUE
from tripkit.yard.circuit import Circuit, Outing
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue
from tripkit.yard.horses import Horse
from tripkit.yard.places import HOME
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard

__all__ = [
    "FIGURES",
    "Explanation",
    "OutingExplanation",
    "Point",
    "explain_day",
    "explain_figure",
    "explain_finding",
    "explain_outing",
    "explain_violation",
]

IN, POSSIBLE, BREAKS, SHUT, NO_PLAN = "in", "possible", "breaks rules", "barred", "no plan"
# Rules that bar a horse from a show whatever else the circuit holds.
OWN_RULES = ("closed", "eligible", "cleared", "fit")
SAVING_GOALS = ("least road", "least cost", "most rest")
WORTH_SLACK = 1e-6
NEAR_HEIGHT_CM = 10
LORRY_RULES = ("places", "one-place", "driving")


@dataclass(frozen=True)
class OutingExplanation(Explanation):
    """Why a horse is at a show or not, with the circuits that were tried.

    `trial` is the circuit with the outing (or, where it is in, without it); `instead` the one in
    which the outing is possible because neighbours are left out. None where there is none.
    """

    trial: Trial | None = None
    instead: Trial | None = None


def explain_outing(
    yard: Yard,
    circuit: Circuit,
    horse: str,
    show: str,
    *,
    before: Sequence[Violation] | None = None,
) -> OutingExplanation:
    """Why a horse goes to a show in a circuit, or what keeps it from going.

    `before` are the violations of the circuit, where they are known already. Raises `BadValue`
    for an unknown horse or show.
    """
    known, offered = yard.horse_by_name.get(horse), yard.show_by_name.get(show)
    if known is None:
        raise BadValue(f"{horse!r} is no horse of the yard")
    if offered is None:
        raise BadValue(f"{show!r} is no show of the calendar")
    if not circuit.exists:
        question = f"Does {horse} go to {show} in {circuit.name}?"
        points = tuple(
            Point(str(name_demand(yard, reason)), "", "the planner") for reason in circuit.reasons
        )
        answer = f"{circuit.name} has no plan ({circuit.status})."
        return OutingExplanation(question, answer, points, NO_PLAN)
    broken = find_violations(yard, circuit) if before is None else before
    outing = find_outing(circuit, horse, show)
    if outing is not None:
        return _explain_in(yard, circuit, outing, broken)
    question = f"Why does {horse} not go to {show} in {circuit.name}?"
    trial = try_outing(yard, circuit, horse, show, before=broken)
    if trial is None:
        answer = f"{horse} cannot go to {name_show(offered)}: no class there fits."
        points = (*_list_misfits(yard, known, offered), *_tell_near_height(yard, known, offered))
        return OutingExplanation(question, answer, points, SHUT)
    if trial.possible:
        points = tuple(_explain_possible(yard, circuit, known, offered, trial))
        answer = f"{horse} could go to {show} besides: {_tell_change(yard, trial)}."
        return OutingExplanation(question, answer, points, POSSIBLE, trial)
    own = [v for v in trial.violations if _is_own(v, horse)]
    instead = None if own else try_instead(yard, circuit, trial, before=broken)
    answer = _answer_no(yard, known, trial, own, instead)
    points = tuple(
        [
            *_list_broken(yard, known, trial),
            *_tell_instead(yard, instead),
            *_tell_changes(yard, known, offered, trial, instead),
        ]
    )
    return OutingExplanation(question, answer, points, SHUT if own else BREAKS, trial, instead)


# In


def _explain_in(
    yard: Yard, circuit: Circuit, outing: Outing, before: Sequence[Violation]
) -> OutingExplanation:
    horse, show = outing.horse, outing.show
    question = f"Why does {horse} go to {show} in {circuit.name}?"
    bound = [name for name in outing.classes if (horse, show, name) in yard.bound_entries]
    without = try_without(yard, circuit, horse, show, before=before)
    met = [a for a in yard.aims if (a.horse, a.show) == (horse, show)]
    met = [a for a in met if a.title in circuit.totals.aims_met]
    why = "an aim of the season is met there" if met else ""
    why = "its entry is sent or paid" if bound else why
    others = [title for title in without.aims_lost if title not in {a.title for a in met}]
    begun = any((o.horse, o.show) == (horse, show) for o in yard.begun.outings)
    over = begun and outing.leave < yard.day_of_planning
    if begun:
        why = f"it {'is over' if over else 'has begun'}, and every plan keeps what was lived"
    if not why:
        why = f"the aim {others[0]} needs it" if others else ""
    if not why and circuit.goal in SAVING_GOALS:
        why = f"its worth of {write_worth(outing.worth)} helps to keep "
        why += f"{yard.limits.worth_floor:.0%} of the most worth"
    why = why or f"it is worth {write_worth(outing.worth)} and breaks no rule"
    goes = "went" if over else "goes"
    told = _tell_outing(outing)
    answer = f"{horse} {goes} to {name_show(yard.show_by_name[show])}, {told}: {why}."
    points = [
        Point(
            f"Worth {tell_worth(yard, circuit, outing)} = {write_worth(outing.worth)}.",
            "worth",
            "classes.csv, column worth; horses.csv, column weight; aims.csv",
            outing.worth,
        ),
        _tell_cost(yard, circuit, outing),
    ]
    for name in bound:
        entry = yard.bound_entries[horse, show, name]
        paid = write_cents(yard, entry.amount_cents) if entry.amount_cents is not None else ""
        text = f"{name} is {entry.status}{f' ({paid})' if paid else ''}, so every plan keeps it."
        points.append(Point(text, "locked", "entries.csv"))
    for aim in yard.aims:
        standing = assess_aim(yard, aim, circuit.outings)
        if (aim.horse, aim.show) == (horse, show):
            said = "met" if standing.met else "not met"
            text = f"Aim {aim.title}, importance {write_worth(aim.importance)}: {said}; "
            points.append(Point(f"{text}{standing.reason}", "aims", "aims.csv", aim.importance))
        elif aim.title in others:
            text = f"Without it the aim {aim.title} would not be met: {standing.reason}."
            points.append(Point(text, "aims", "aims.csv", aim.importance))
    points += _tell_gaps(yard, circuit, outing)
    if begun:
        return OutingExplanation(question, answer, tuple(points), IN, without)
    points.append(
        Point(f"Left out, the season changes by {_tell_change(yard, without)}.", "", "a trial")
    )
    others_there = [o.show for o in _find_moved(circuit, without)]
    lorry = [v for v in without.violations if v.vehicle or v.rule in LORRY_RULES]
    if lorry:
        where = list_words(tuple(others_there)) or "its other outings"
        text = f"Left out, no lorry is free to bring it to {where} and home in time."
        points.append(Point(text, lorry[0].rule, "vehicles.csv, absences.csv and the plan"))
    points += [_say_left_out(yard, v) for v in without.violations if v not in lorry]
    return OutingExplanation(question, answer, tuple(points), IN, without)


def _find_moved(circuit: Circuit, without: Trial) -> list[Outing]:
    """The other outings of the horse that come or go on other days once one is left out."""
    before = {(o.show, o.arrive, o.leave) for o in circuit.outings_by_horse[without.outing.horse]}
    own = without.circuit.outings_by_horse.get(without.outing.horse, ())
    return [o for o in own if (o.show, o.arrive, o.leave) not in before]


def _say_left_out(yard: Yard, violation: Violation) -> Point:
    point = explain_violation(yard, violation)
    return Point(f"Left out, it would break a rule: {point.text}", point.rule, point.source)


def _tell_cost(yard: Yard, circuit: Circuit, outing: Outing) -> Point:
    bill = price(yard, circuit.outings, circuit.legs, circuit.days)
    own = [x for x in bill.lines if (x.horse, x.show) == (outing.horse, outing.show)]
    kinds = {kind: sum(line.cents for line in own if line.kind == kind) for kind in KINDS_OF_COST}
    parts = [f"{kind} {write_cents(yard, cents)}" for kind, cents in kinds.items() if cents]
    text = f"Costs {write_cents(yard, outing.cost_cents)}" + (": " if parts else ".")
    sources = "; ".join(SOURCES_OF_COST[kind] for kind, cents in kinds.items() if cents)
    return Point(text + ", ".join(parts), "cost", sources or "yard.toml", outing.cost_cents)


def _tell_gaps(yard: Yard, circuit: Circuit, outing: Outing) -> Iterator[Point]:
    horse = yard.horse_by_name[outing.horse]
    for gap in find_gaps(yard, circuit.outings, circuit.legs):
        if gap.horse == outing.horse and outing.show in (gap.before, gap.after):
            other = gap.before if gap.after == outing.show else gap.after
            word = "after" if gap.after == outing.show else "before"
            text = (
                f"{count_clear_days(gap.clear_days)} {word} {other or 'its last outing'}, needs "
                f"{gap.needed_days}."
            )
            source = name_rule_source(yard, "recovery", horse)
            yield Point(text, "recovery", source, gap.spare_days)


# Out: no class fits


def _list_misfits(yard: Yard, horse: Horse, show: Show) -> list[Point]:
    """Each reason that bars a class, once, with the classes that it bars."""
    found: dict[tuple[str, str, str], list[str]] = {}
    rider = yard.riders.get(horse.rider)
    for offered in show.classes:
        for finding in find_class_findings(yard, horse, show, offered, rider):
            if finding.answer == BARRED:
                key = finding.rule, str(finding.reason), finding.source
                found.setdefault(key, []).append(offered.name)
                if finding.rule == "height":
                    # Too high or too low is enough; age and rider would only bury it.
                    break
    points = [
        Point(f"{', '.join(names)}: {reason}.", rule, source)
        for (rule, reason, source), names in found.items()
    ]
    return points or [Point(f"{show.show} offers no class.", "eligible", "classes.csv")]


def _tell_near_height(yard: Yard, horse: Horse, show: Show) -> Iterator[Point]:
    """What would have to change, for classes that only the height bars."""
    rider = yard.riders.get(horse.rider)
    near: dict[tuple[str, int], list[str]] = {}
    for offered in show.classes:
        barred = [
            finding.rule
            for finding in find_class_findings(yard, horse, show, offered, rider)
            if finding.answer == BARRED
        ]
        if barred != ["height"] or not can_enter(yard, horse, show, offered):
            continue
        high = offered.height_cm > horse.to_height_cm
        far = offered.height_cm - (horse.to_height_cm if high else horse.from_height_cm)
        if abs(far) > NEAR_HEIGHT_CM:
            continue
        column = "to_height_cm" if high else "from_height_cm"
        near.setdefault((column, offered.height_cm), []).append(offered.name)
    for (column, height), names in sorted(
        near.items(), key=lambda n: abs(n[0][1] - getattr(horse, n[0][0]))
    )[:1]:
        text = f"What would have to change: with {column} {height} it could jump "
        yield Point(text + f"{list_words(tuple(names))}.", "height", "horses.csv")


# Out: possible


def _explain_possible(
    yard: Yard, circuit: Circuit, horse: Horse, show: Show, trial: Trial
) -> Iterator[Point]:
    yield _tell_way(yard, trial)
    worth = trial.outing.worth
    text = f"Worth {tell_worth(yard, trial.circuit, trial.outing)} = {write_worth(worth)}."
    yield Point(text, "worth", "classes.csv, column worth; horses.csv, column weight", worth)
    yield _tell_cost(yard, trial.circuit, trial.outing)
    yield from _tell_gaps(yard, trial.circuit, trial.outing)
    yield from _tell_due_papers(yard, horse, show, trial.outing)
    yield from _tell_fewer_classes(yard, horse, show, trial)
    yield _tell_goal(yard, circuit, show, trial)


def _tell_way(yard: Yard, trial: Trial) -> Point:
    text = f"It travels {trial.way}."
    if trial.legs_added:
        legs = "; ".join(
            f"{leg.depart.date()} {leg.start} to {leg.end}, {write_way(yard, leg.km)}"
            + ("" if leg.horses else ", empty")
            for leg in trial.legs_added
        )
        text += f" New drives: {legs}."
    return Point(text, "one-place", "the yard's roads and vehicles.csv", trial.road_km)


def _tell_due_papers(yard: Yard, horse: Horse, show: Show, outing: Outing) -> Iterator[Point]:
    for finding in find_paper_findings(yard, horse, show, outing.arrive, outing.last_day):
        if finding.answer == DUE:
            by = f" by {finding.due_by}" if finding.due_by else ""
            yield Point(f"To be done{by}: {finding.reason}", finding.rule, finding.source)


def _tell_fewer_classes(yard: Yard, horse: Horse, show: Show, trial: Trial) -> Iterator[Point]:
    """Where only some of the classes that fit keep every rule, this is said."""
    rider = yard.riders.get(trial.outing.rider)
    others = [
        c.name
        for c in show.classes
        if c.name not in trial.outing.classes
        and can_enter(yard, horse, show, c)
        and not any(f.answer == BARRED for f in find_class_findings(yard, horse, show, c, rider))
    ]
    if others and len(trial.outing.classes) < horse.starts_per_show:
        text = (
            f"Only with {list_words(trial.outing.classes)}; {list_words(tuple(others))} would "
            "break a rule or more starts than it may have a day."
        )
        yield Point(text, "eligible", "classes.csv and horses.csv")


def _tell_goal(yard: Yard, circuit: Circuit, show: Show, trial: Trial) -> Point:
    """Why the planner left out what is possible."""
    goal = circuit.goal
    if goal in SAVING_GOALS:
        text = (
            f"{circuit.name} looks for the {goal}: it keeps at least "
            f"{yard.limits.worth_floor:.0%} of the most worth and then saves, so what is not "
            "needed is left out."
        )
        return Point(text, "worth_floor", name_limit_source(yard, "worth_floor"))
    tour = goal.removeprefix("tour ")
    if goal.startswith("tour ") and show.tour not in ("", tour):
        text = f"{circuit.name} sends no new entry to a tour other than {tour}; {show.show} is of "
        return Point(text + f"the {show.tour} tour.", "tour", "the goal of the circuit")
    limit = circuit.bound
    beyond = limit is not None and trial.circuit.totals.worth > limit + WORTH_SLACK
    if circuit.status == "proved best" and trial.worth > 0 and (beyond or goal == "most worth"):
        named = _name_restriction(yard, trial)
        text = (
            f"{circuit.name} is proved best within what the planner looks at, and this is worth "
            f"{write_worth(trial.worth)} more: the planner leaves such a plan out"
            f"{f' ({named})' if named else ''}, the rules do not."
        )
        return Point(text, "", PLANNER, trial.worth)
    if circuit.status in ("proved best", "within bound") and not beyond:
        text = "It brings no more than the bound allows; the plan is good enough without it."
        return Point(text, "", PLANNER)
    text = f"{circuit.name} is {circuit.status}: the search did not come to it."
    return Point(text, "", PLANNER)


def _name_restriction(yard: Yard, trial: Trial) -> str:
    """The restriction of the planner that a way goes beyond, where it can be told."""
    if any(not leg.horses for leg in trial.legs_added):
        return "a lorry goes empty to a show only where horses may stay on or it is near"
    horse = trial.outing.horse
    own = sorted((g for g in trial.circuit.legs if horse in g.horses), key=lambda g: g.depart)
    for home, away in zip(own, own[1:], strict=False):
        if home.end == HOME == away.start and (away.days.first - home.days.last).days < 2:
            return "each horse has a whole day at home between two trips"
    return ""


# Out: rules are broken


def _is_own(violation: Violation, horse: str) -> bool:
    if violation.rule == "window":
        return violation.horse == horse and not violation.vehicle and not violation.person
    return violation.rule in OWN_RULES and violation.horse == horse


def _answer_no(
    yard: Yard, horse: Horse, trial: Trial, own: Sequence[Violation], instead: Trial | None
) -> str:
    show = trial.outing.show
    if own:
        return f"{horse.horse} cannot go to {show}, whatever else it does: {_name_rules(own)}."
    rules = _name_rules(trial.violations)
    answer = f"{horse.horse} cannot go to {show} as the season stands: {rules}."
    if instead is not None:
        names = list_words(tuple(o.show for o in instead.taken_out))
        answer += (
            f" Possible if {names} is left out"
            if len(instead.taken_out) == 1
            else (f" Possible if {names} are left out")
        )
        answer += f": {_tell_change(yard, instead)}."
    return answer


def _name_rules(violations: Sequence[Violation]) -> str:
    return list_words(tuple(dict.fromkeys(RULE_NAMES.get(v.rule, v.rule) for v in violations)))


def _tell_lorries(trial: Trial, rule: str) -> Point:
    outing = trial.outing
    text = f"No lorry can bring it on {outing.arrive} and home on {outing.leave}: "
    source = "vehicles.csv, absences.csv and the plan"
    return Point(text + "; ".join(str(fact) for fact in trial.obstacles), rule, source)


def _list_broken(yard: Yard, horse: Horse, trial: Trial) -> Iterator[Point]:
    """The broken rules, by how much; what keeps the lorries is said once, in words."""
    gaps = {
        gap.after: gap
        for gap in find_gaps(yard, trial.circuit.outings, trial.circuit.legs)
        if gap.horse == horse.horse
    }
    rules = {violation.rule for violation in trial.violations}
    told_lorries = told_days = False
    for violation in trial.violations:
        of_lorry = bool(trial.obstacles) and (violation.vehicle or violation.rule in LORRY_RULES)
        if of_lorry and violation.show != trial.outing.show:
            if not told_lorries:
                told_lorries = True
                yield _tell_lorries(trial, violation.rule)
            continue
        if violation.rule == "days" and len(rules) > 1:
            # The day plan follows from what is broken besides; one line of it says enough.
            if told_days:
                continue
            told_days = True
        point = explain_violation(yard, violation)
        gap = gaps.get(violation.show)
        if violation.rule == "recovery" and gap is not None and violation.day is not None:
            point = Point(_tell_gap(gap), point.rule, point.source, gap.spare_days)
        yield point
    lorry_rule = next((rule for rule in LORRY_RULES if rule in rules), "")
    if trial.obstacles and lorry_rule and not told_lorries:
        yield _tell_lorries(trial, lorry_rule)


def _tell_gap(gap: Gap) -> str:
    before = gap.before or "its last outing"
    if gap.clear_days < 0:
        return (
            f"{gap.horse} would be at {before} and {gap.after} on the same days; between two "
            f"outings it needs {count_days(gap.needed_days)}"
        )
    return (
        f"{count_clear_days(gap.clear_days)} after {before} before "
        f"{gap.after}, needs {gap.needed_days}"
    )


def _tell_instead(yard: Yard, instead: Trial | None) -> Iterator[Point]:
    if instead is None:
        return
    names = list_words(tuple(f"{o.show} (worth {write_worth(o.worth)})" for o in instead.taken_out))
    text = (
        f"With {names} left out it keeps every rule: {_tell_outing(instead.outing)}, "
        f"{instead.way}; the season changes by {_tell_change(yard, instead)}."
    )
    yield Point(text, "", "a trial", instead.worth)


def _tell_changes(
    yard: Yard, horse: Horse, show: Show, trial: Trial, instead: Trial | None
) -> Iterator[Point]:
    """What would have to change for each broken rule that something can be done about."""
    said: list[str] = []
    bound = {(h, s) for h, s, _ in yard.bound_entries}
    for violation in trial.violations:
        rule, change = violation.rule, ""
        if rule == "closed" and show.last_entry_day is not None:
            change = f"the organiser still takes an entry (they ended on {show.last_entry_day})"
        elif rule == "cleared":
            change = "the vet clears the horse in time"
        elif rule == "rider" and violation.person:
            change = f"{violation.person} rode nothing else on those days"
            change += "" if horse.rider else ", or another rider who fits were free"
        elif rule == "window" and (violation.person or violation.vehicle):
            who = violation.person or violation.vehicle
            change = f"{who} were there on {violation.day}"
        elif rule == "places" and not violation.vehicle:
            change = f"{show.show} had a place more, or another horse stayed at home"
        elif trial.obstacles and rule in LORRY_RULES:
            change = "a lorry with a place were free on those days"
            if any(fact.code == "driving.no-road" for fact in trial.obstacles):
                change = "the way stood in distances.csv"
        elif rule == "budget":
            change = f"the budget were {write_cents(yard, trial.circuit.totals.cost_cents)}"
        elif rule in ("recovery", "cap", "break") and instead is None:
            near = _name_neighbours(trial)
            kept = [name for name in near if (horse.horse, name) in bound]
            change = f"it did not go to {list_words(tuple(near))}" if near else ""
            change += f" ({list_words(tuple(kept))} is sent or paid, though)" if kept else ""
        if change and change not in said:
            said.append(change)
    if said:
        text = "What would have to change: " + "; and ".join(f"if {change}" for change in said)
        yield Point(f"{text}.", "", "")


def _name_neighbours(trial: Trial) -> list[str]:
    own = trial.circuit.outings_by_horse.get(trial.outing.horse, ())
    at = own.index(trial.outing)
    return [o.show for o in (*own[max(0, at - 1) : at], *own[at + 1 : at + 2])]


# Words


def _tell_outing(outing: Outing) -> str:
    days = DaySpan(outing.first_day, outing.last_day)
    on = f"on {days.first}" if days.days == 1 else f"{days.first} to {days.last}"
    return (
        f"{', '.join(outing.classes)} with {outing.rider} {on}, "
        f"away {outing.arrive} to {outing.leave}"
    )


def _tell_change(yard: Yard, trial: Trial) -> str:
    """What a trial changes: worth, money, road, aims."""
    cost = write_cents(yard, abs(trial.cost_cents))
    more = "less" if trial.cost_cents < 0 else "more"
    road = write_way(yard, abs(trial.road_km))
    parts = [f"worth {write_worth(trial.worth, signed=True)}", f"{cost} {more}"]
    if trial.road_km:
        parts.append(f"{road} {'less' if trial.road_km < 0 else 'more'} road")
    if trial.aims_met:
        parts.append(f"meets {list_words(trial.aims_met)}")
    if trial.aims_lost:
        parts.append(f"loses the aim {list_words(trial.aims_lost)}")
    return ", ".join(parts)
