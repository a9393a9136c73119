"""Why a horse goes to a show in a circuit, or why it does not and what would have to change.

Who goes there is told why: what it brings and costs, and what the circuit would be without it. Who
does not is put there on trial (see `trial`), and what the judge finds is the reason. Days,
figures and findings are explained by the rooms below; all doors stand here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tripkit.eligibility.classes import find_class_findings
from tripkit.eligibility.paperwork import find_paper_findings
from tripkit.eligibility.qualifying import assess_aim
from tripkit.explaining.figures import (
    PLANNER,
    SOURCES_OF_COST,
    add_up_worth,
    tell_met,
)
from tripkit.explaining.reasons import (
    LAST_OUTING,
    Explanation,
    Point,
    count_clear_days,
    explain_violation,
    name_demand,
    name_limit_source,
    name_rule_source,
    name_show,
    tell_rule,
)
from tripkit.explaining.trial import (
    Trial,
    can_enter,
    find_outing,
    try_instead,
    try_outing,
    try_without,
)
from tripkit.judging.case import Violation
from tripkit.judging.judge import find_violations
from tripkit.season.costs import KINDS_OF_COST, price
from tripkit.season.scorecard import Gap, find_gaps
from tripkit.yard.answers import BARRED, DUE, HEIGHT
from tripkit.yard.circuit import PROVED, Circuit, Outing
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, Reason, state
from tripkit.yard.goals import MOST_WORTH, SAVING_IDS, name_of_tour
from tripkit.yard.horses import Horse
from tripkit.yard.rules import OUTING, VEHICLE, list_rules
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard

IN, POSSIBLE, BREAKS, SHUT, NO_PLAN = "in", "possible", "breaks rules", "barred", "no plan"
OWN_RULES = list_rules(of=OUTING)
"""Rules that bar a horse from a show whatever else the circuit holds."""
WORTH_SLACK = 1e-6
NEAR_HEIGHT_CM = 10
LORRY_RULES = list_rules(of=VEHICLE)


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
        raise BadValue(state("values.no-horse-of-yard", horse=horse))
    if offered is None:
        raise BadValue(state("values.no-show-of-calendar", show=show))
    if not circuit.exists:
        question = state("explaining.does-it-go", horse=horse, show=show, circuit=circuit.name)
        points = tuple(
            Point(name_demand(yard, reason), "", "the planner") for reason in circuit.reasons
        )
        answer = state("explaining.no-plan", circuit=circuit.name, status=circuit.status)
        return OutingExplanation(question, answer, points, NO_PLAN)
    broken = find_violations(yard, circuit) if before is None else before
    outing = find_outing(circuit, horse, show)
    if outing is not None:
        return _explain_in(yard, circuit, outing, broken)
    question = state("explaining.why-not", horse=horse, show=show, circuit=circuit.name)
    trial = try_outing(yard, circuit, horse, show, before=broken)
    if trial is None:
        answer = state("explaining.no-class", horse=horse, show=name_show(offered))
        points = (*_list_misfits(yard, known, offered), *_tell_near_height(yard, known, offered))
        return OutingExplanation(question, answer, points, SHUT)
    if trial.possible:
        points = tuple(_explain_possible(yard, circuit, known, offered, trial))
        change = _describe_change(trial)
        answer = state("explaining.possible", horse=horse, show=show, change=change)
        return OutingExplanation(question, answer, points, POSSIBLE, trial)
    own = [v for v in trial.violations if _is_own(v, horse)]
    instead = None if own else try_instead(yard, circuit, trial, before=broken)
    answer = _answer_no(known, trial, own, instead)
    points = tuple(
        [
            *_list_broken(yard, known, trial),
            *_tell_instead(instead),
            *_tell_changes(yard, known, offered, trial, instead),
        ]
    )
    return OutingExplanation(question, answer, points, SHUT if own else BREAKS, trial, instead)


# In


def _explain_in(
    yard: Yard, circuit: Circuit, outing: Outing, before: Sequence[Violation]
) -> OutingExplanation:
    horse, show = outing.horse, outing.show
    question = state("explaining.why-in", horse=horse, show=show, circuit=circuit.name)
    bound = [name for name in outing.classes if (horse, show, name) in yard.bound_entries]
    without = try_without(yard, circuit, horse, show, before=before)
    met = [a for a in yard.aims if (a.horse, a.show) == (horse, show)]
    met = [a for a in met if a.title in circuit.totals.aims_met]
    why = state("explaining.aim-there") if met else None
    why = state("explaining.entry-sent") if bound else why
    others = [title for title in without.aims_lost if title not in {a.title for a in met}]
    begun = any((o.horse, o.show) == (horse, show) for o in yard.begun.outings)
    over = begun and outing.leave < yard.day_of_planning
    if begun:
        why = state("explaining.is-over") if over else state("explaining.has-begun")
    if why is None and others:
        why = state("explaining.aim-needs-it", aim=others[0])
    if why is None and circuit.goal in SAVING_IDS:
        share = yard.limits.worth_floor
        why = state("explaining.keeps-the-floor", worth=outing.worth, share=share)
    about = {
        "horse": horse,
        "show": name_show(yard.show_by_name[show]),
        "outing": _describe_outing(outing),
        "why": why or state("explaining.worth-it", worth=outing.worth),
    }
    answer = state("explaining.went", **about) if over else state("explaining.goes", **about)
    points = [
        Point(
            _state_worth(yard, circuit, outing),
            "worth",
            "classes.csv, column worth; horses.csv, column weight; aims.csv",
            outing.worth,
        ),
        _tell_cost(yard, circuit, outing),
    ]
    for name in bound:
        entry = yard.bound_entries[horse, show, name]
        cents = entry.amount_cents
        paid = None if cents is None else state("explaining.paid", paid_cents=cents)
        text = state("explaining.entry-kept", name=name, status=entry.status, paid=paid)
        points.append(Point(text, "locked", "entries.csv"))
    for aim in yard.aims:
        standing = assess_aim(yard, aim, circuit.outings)
        if (aim.horse, aim.show) == (horse, show):
            text = state(
                "explaining.aim-at",
                aim=aim.title,
                importance=aim.importance,
                met=tell_met(standing.met),
                reason=standing.reason,
            )
            points.append(Point(text, "aims", "aims.csv", aim.importance))
        elif aim.title in others:
            text = state("explaining.aim-lost", aim=aim.title, reason=standing.reason)
            points.append(Point(text, "aims", "aims.csv", aim.importance))
    points += _tell_gaps(yard, circuit, outing)
    if begun:
        return OutingExplanation(question, answer, tuple(points), IN, without)
    text = state("explaining.left-out", change=_describe_change(without))
    points.append(Point(text, "", "a trial"))
    others_there = tuple(o.show for o in _find_moved(circuit, without))
    lorry = [v for v in without.violations if v.vehicle or v.rule in LORRY_RULES]
    if lorry:
        where = others_there or (state("explaining.other-outings"),)
        text = state("explaining.left-out-no-lorry", shows=where)
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
    text = state("explaining.left-out-breaks", broken=point.text)
    return Point(text, point.rule, point.source)


def _state_worth(yard: Yard, circuit: Circuit, outing: Outing) -> Fact:
    added = add_up_worth(yard, circuit, outing)
    return state("explaining.adds-up-to", added=added, worth=outing.worth)


def _tell_cost(yard: Yard, circuit: Circuit, outing: Outing) -> Point:
    bill = price(yard, circuit.outings, circuit.legs, circuit.days)
    own = [x for x in bill.lines if (x.horse, x.show) == (outing.horse, outing.show)]
    kinds = {kind: sum(line.cents for line in own if line.kind == kind) for kind in KINDS_OF_COST}
    parts = tuple(
        state("explaining.cost-of-kind", kind=kind, part_cents=cents)
        for kind, cents in kinds.items()
        if cents
    )
    text = state("explaining.costs", cost_cents=outing.cost_cents)
    if parts:
        text = state("explaining.costs-in-parts", cost_cents=outing.cost_cents, parts=parts)
    sources = "; ".join(SOURCES_OF_COST[kind] for kind, cents in kinds.items() if cents)
    return Point(text, "cost", sources or "yard.toml", outing.cost_cents)


def _tell_gaps(yard: Yard, circuit: Circuit, outing: Outing) -> Iterator[Point]:
    horse = yard.horse_by_name[outing.horse]
    for gap in find_gaps(yard, circuit.outings, circuit.legs):
        if gap.horse == outing.horse and outing.show in (gap.before, gap.after):
            other = gap.before if gap.after == outing.show else gap.after
            about = {
                "clear": count_clear_days(gap.clear_days),
                "show": other or LAST_OUTING,
                "needed": gap.needed_days,
            }
            text = state("explaining.gap-before", **about)
            if gap.after == outing.show:
                text = state("explaining.gap-after", **about)
            source = name_rule_source(yard, "recovery", horse)
            yield Point(text, "recovery", source, gap.spare_days)


# Out: no class fits


def _list_misfits(yard: Yard, horse: Horse, show: Show) -> list[Point]:
    """Each reason that bars a class, once, with the classes that it bars."""
    found: dict[tuple[str, Fact, str], list[str]] = {}
    for offered in show.classes:
        for finding in find_class_findings(yard, horse, show, offered):
            if finding.answer == BARRED:
                key = finding.rule, finding.reason, finding.source
                found.setdefault(key, []).append(offered.name)
                if finding.rule == HEIGHT:
                    # Too high or too low is enough; age and rider would only bury it.
                    break
    points = [
        Point(state("explaining.misfit", classes=tuple(names), reason=reason), rule, source)
        for (rule, reason, source), names in found.items()
    ]
    none = state("explaining.no-class-offered", show=show.show)
    return points or [Point(none, "eligible", "classes.csv")]


def _tell_near_height(yard: Yard, horse: Horse, show: Show) -> Iterator[Point]:
    """What would have to change, for classes that only the height bars."""
    near: dict[tuple[str, int], list[str]] = {}
    for offered in show.classes:
        barred = [
            finding.rule
            for finding in find_class_findings(yard, horse, show, offered)
            if finding.answer == BARRED
        ]
        if barred != [HEIGHT] or not can_enter(yard, horse, show, offered):
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
        text = state(
            "explaining.with-another-height", column=column, height=height, classes=tuple(names)
        )
        yield Point(text, HEIGHT, "horses.csv")


# Out: possible


def _explain_possible(
    yard: Yard, circuit: Circuit, horse: Horse, show: Show, trial: Trial
) -> Iterator[Point]:
    yield _tell_way(trial)
    text = _state_worth(yard, trial.circuit, trial.outing)
    source = "classes.csv, column worth; horses.csv, column weight"
    yield Point(text, "worth", source, trial.outing.worth)
    yield _tell_cost(yard, trial.circuit, trial.outing)
    yield from _tell_gaps(yard, trial.circuit, trial.outing)
    yield from _tell_due_papers(yard, horse, show, trial.outing)
    yield from _tell_fewer_classes(yard, horse, show, trial)
    yield _tell_goal(yard, circuit, show, trial)


def _tell_way(trial: Trial) -> Point:
    legs = tuple(
        state(
            "explaining.new-drive",
            day=leg.depart.date(),
            start=leg.start,
            end=leg.end,
            road_km=leg.km,
            empty=None if leg.horses else state("explaining.and-empty"),
        )
        for leg in trial.legs_added
    )
    new = state("explaining.new-drives", legs=legs) if legs else None
    text = state("explaining.travels", way=trial.way, new=new)
    return Point(text, "one-place", "the yard's roads and vehicles.csv", trial.road_km)


def _tell_due_papers(yard: Yard, horse: Horse, show: Show, outing: Outing) -> Iterator[Point]:
    for finding in find_paper_findings(yard, horse, show, outing.arrive, outing.last_day):
        if finding.answer == DUE:
            by = state("explaining.by-day", day=finding.due_by) if finding.due_by else None
            text = state("explaining.to-be-done", by=by, reason=finding.reason)
            yield Point(text, finding.rule, finding.source)


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
        text = state("explaining.only-with", classes=trial.outing.classes, others=tuple(others))
        yield Point(text, "eligible", "classes.csv and horses.csv")


def _tell_goal(yard: Yard, circuit: Circuit, show: Show, trial: Trial) -> Point:
    """Why the planner left out what is possible."""
    goal = circuit.goal
    if goal in SAVING_IDS:
        text = state(
            "explaining.saving-goal",
            circuit=circuit.name,
            goal=goal,
            share=yard.limits.worth_floor,
        )
        return Point(text, "worth_floor", name_limit_source(yard, "worth_floor"))
    tour = name_of_tour(goal)
    if tour and show.tour not in ("", tour):
        text = state(
            "explaining.other-tour",
            circuit=circuit.name,
            tour=tour,
            show=show.show,
            other=show.tour,
        )
        return Point(text, "tour", "the goal of the circuit")
    limit = circuit.bound
    beyond = limit is not None and trial.circuit.totals.worth > limit + WORTH_SLACK
    left_out = circuit.leaves_out
    if left_out and trial.worth > 0 and (beyond or goal == MOST_WORTH.id):
        text = state(
            "explaining.beyond-the-proof",
            circuit=circuit.name,
            worth=trial.worth,
            left_out=left_out,
        )
        return Point(text, "", PLANNER, trial.worth)
    if circuit.status in (*PROVED, "within bound") and not beyond:
        return Point(state("explaining.within-the-bound"), "", PLANNER)
    text = state("explaining.not-come-to", circuit=circuit.name, status=circuit.status)
    return Point(text, "", PLANNER)


# Out: rules are broken


def _is_own(violation: Violation, horse: str) -> bool:
    if violation.rule == "window":
        return violation.horse == horse and not violation.vehicle and not violation.person
    return violation.rule in OWN_RULES and violation.horse == horse


def _answer_no(horse: Horse, trial: Trial, own: Sequence[Violation], instead: Trial | None) -> Fact:
    about = {"horse": horse.horse, "show": trial.outing.show}
    if own:
        return state("explaining.never", **about, rules=_name_rules(own))
    possible = None
    if instead is not None:
        shows = tuple(o.show for o in instead.taken_out)
        change = _describe_change(instead)
        possible = state(
            "explaining.possible-without", shows=shows, count=len(shows), change=change
        )
    rules = _name_rules(trial.violations)
    return state("explaining.not-now", **about, rules=rules, possible=possible)


def _name_rules(violations: Sequence[Violation]) -> tuple[Reason, ...]:
    return tuple(dict.fromkeys(tell_rule("name", v.rule) for v in violations))


def _tell_lorries(trial: Trial, rule: str) -> Point:
    outing = trial.outing
    text = state(
        "explaining.no-lorry-can",
        arrive=outing.arrive,
        leave=outing.leave,
        obstacles=trial.obstacles,
    )
    return Point(text, rule, "vehicles.csv, absences.csv and the plan")


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
            point = Point(_describe_gap(gap), point.rule, point.source, gap.spare_days)
        yield point
    lorry_rule = next((rule for rule in LORRY_RULES if rule in rules), "")
    if trial.obstacles and lorry_rule and not told_lorries:
        yield _tell_lorries(trial, lorry_rule)


def _describe_gap(gap: Gap) -> Fact:
    before = gap.before or LAST_OUTING
    if gap.clear_days < 0:
        return state(
            "explaining.same-days",
            horse=gap.horse,
            before=before,
            after=gap.after,
            needed_days=gap.needed_days,
        )
    return state(
        "explaining.gap-between",
        clear=count_clear_days(gap.clear_days),
        before=before,
        after=gap.after,
        needed=gap.needed_days,
    )


def _tell_instead(instead: Trial | None) -> Iterator[Point]:
    if instead is None:
        return
    outings = tuple(
        state("explaining.show-worth", show=o.show, worth=o.worth) for o in instead.taken_out
    )
    text = state(
        "explaining.with-left-out",
        outings=outings,
        outing=_describe_outing(instead.outing),
        way=instead.way,
    )
    yield Point(text, "", "a trial", instead.worth)


def _tell_changes(
    yard: Yard, horse: Horse, show: Show, trial: Trial, instead: Trial | None
) -> Iterator[Point]:
    """What would have to change for each broken rule that something can be done about."""
    changes: dict[Fact, None] = {}
    for violation in trial.violations:
        change = _find_change(yard, horse, show, trial, instead, violation)
        if change is not None:
            changes[change] = None
    if changes:
        yield Point(state("explaining.what-must-change", changes=tuple(changes)), "", "")


def _find_change(
    yard: Yard,
    horse: Horse,
    show: Show,
    trial: Trial,
    instead: Trial | None,
    violation: Violation,
) -> Fact | None:
    rule, who = violation.rule, violation.person or violation.vehicle
    if rule == "closed" and show.last_entry_day is not None:
        return state("explaining.if-taken-late", until=show.last_entry_day)
    if rule == "cleared":
        return state("explaining.if-cleared")
    if rule == "rider" and violation.person:
        other = None if horse.rider else state("explaining.or-another-rider")
        return state("explaining.if-rider-is-free", person=violation.person, other=other)
    if rule == "window" and who:
        return state("explaining.if-there", who=who, day=violation.day)
    if rule == "places" and not violation.vehicle:
        return state("explaining.if-a-place-more", show=show.show)
    if trial.obstacles and rule in LORRY_RULES:
        if any(fact.code == "driving.no-road" for fact in trial.obstacles):
            return state("explaining.if-a-road")
        return state("explaining.if-a-lorry")
    if rule == "budget":
        return state("explaining.if-the-budget", cost_cents=trial.circuit.totals.cost_cents)
    if rule in ("recovery", "cap", "break") and instead is None:
        bound = {(h, s) for h, s, _ in yard.bound_entries}
        near = tuple(_name_neighbours(trial))
        kept = tuple(name for name in near if (horse.horse, name) in bound)
        but = state("explaining.though-sent", shows=kept) if kept else None
        return state("explaining.if-not-at", shows=near, but=but) if near else None
    return None


def _name_neighbours(trial: Trial) -> list[str]:
    own = trial.circuit.outings_by_horse.get(trial.outing.horse, ())
    at = own.index(trial.outing)
    return [o.show for o in (*own[max(0, at - 1) : at], *own[at + 1 : at + 2])]


# Parts of answers


def _describe_outing(outing: Outing) -> Fact:
    days: DaySpan = outing.days
    on = state("explaining.on-day", day=days.first)
    if days.days > 1:
        on = state("units.span", first=days.first, last=days.last)
    return state(
        "explaining.outing",
        classes=outing.classes,
        rider=outing.rider,
        on=on,
        arrive=outing.arrive,
        leave=outing.leave,
    )


def _describe_change(trial: Trial) -> Fact:
    """What a trial changes: worth, money, road, aims."""
    cost, road = abs(trial.cost_cents), abs(trial.road_km)
    parts = [state("explaining.change-of-worth", worth=trial.worth)]
    if trial.cost_cents < 0:
        parts.append(state("explaining.less-cost", cost_cents=cost))
    else:
        parts.append(state("explaining.more-cost", cost_cents=cost))
    if trial.road_km < 0:
        parts.append(state("explaining.less-road", road_km=road))
    elif trial.road_km:
        parts.append(state("explaining.more-road", road_km=road))
    if trial.aims_met:
        parts.append(state("explaining.meets-aims", aims=trial.aims_met))
    if trial.aims_lost:
        lost = trial.aims_lost
        parts.append(state("explaining.loses-aims", aims=lost, count=len(lost)))
    return state("explaining.change", parts=tuple(parts))
