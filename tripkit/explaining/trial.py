"""An outing put into a circuit on trial: the lorry run it needs, and the rules it would break.

Nothing here plans a season. One horse is sent to one show, everything else stays as it is, and the
judge says what the circuit then breaks that it did not break before. Of several ways (which
classes, which days, which lorry) the one that breaks the fewest rules is taken, then the one worth
the most, then the cheapest. What is looked at: any days of the show; a rider who fits; a lorry that
goes there or comes back on fitting days anyhow, an extra run, or a stay on the grounds from or to
a neighbouring outing at the same place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from itertools import combinations

from tripkit.driving.crews import put_on_drivers
from tripkit.driving.rules import RULES
from tripkit.eligibility.classes import fits_class, list_riders
from tripkit.explaining.runs import (
    NO_LORRY,
    Plan,
    bring,
    find_obstacles,
    find_trip,
    list_ways,
    take_off,
)
from tripkit.judging.case import Case, Violation
from tripkit.judging.grounds import find_clashes
from tripkit.judging.judge import RULES as JUDGES
from tripkit.judging.judge import find_violations
from tripkit.season.costs import price
from tripkit.season.scorecard import finish_circuit
from tripkit.yard.circuit import Circuit, Leg, Outing
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Horse
from tripkit.yard.rules import NEIGHBOUR, OUTING, SEASON, VEHICLE, list_rules
from tripkit.yard.shows import Show, ShowClass, Start, choose_starts, count_worth
from tripkit.yard.yard import Yard

QUICK_RULES = list_rules(but=SEASON)
"""Rules that are quick to ask of a part of the circuit; day plan and sums come at the end."""
RULES_OF_DAYS = tuple(rule for rule in QUICK_RULES if rule not in list_rules(of=VEHICLE))
"""Rules that hang on the days and the rider, whichever lorry goes."""
RULES_OF_ONE = list_rules(of=OUTING)
"""Rules that hang on one outing, whatever else the circuit holds."""
NEIGHBOUR_RULES = list_rules(of=NEIGHBOUR)
"""Rules that another outing of the same horse may be the cause of."""
TOTALS = "totals"
CHOICES_KEPT = 3
CHOICES_TRIED = 24
WAYS_PRICED = 3


@dataclass(frozen=True)
class Trial:
    """A circuit with one outing more (or less), and what that changes against the one before.

    `outing` is the one in question, `taken_out` those left out for it. `way` says how the horse
    travels. `legs_changed` are pairs of a leg before and after, with other horses aboard.
    `violations` are those that the circuit before did not have; where no lorry can go without
    breaking a rule, `obstacles` say of each what keeps it. `worth`, `cost_cents` and `road_km` are
    after less before; all else the circuit holds, day plan and totals made anew.
    """

    circuit: Circuit
    outing: Outing
    way: Fact | None
    taken_out: tuple[Outing, ...] = ()
    legs_added: tuple[Leg, ...] = ()
    legs_removed: tuple[Leg, ...] = ()
    legs_changed: tuple[tuple[Leg, Leg], ...] = ()
    violations: tuple[Violation, ...] = ()
    worth: float = 0.0
    cost_cents: int = 0
    road_km: float = 0.0
    aims_met: tuple[str, ...] = ()
    aims_lost: tuple[str, ...] = ()
    obstacles: tuple[Fact, ...] = ()

    @property
    def possible(self) -> bool:
        """Whether no rule is broken that was kept before."""
        return not self.violations


def find_outing(circuit: Circuit, horse: str, show: str) -> Outing | None:
    """The outing of a horse at a show, None where it does not go."""
    return next((o for o in circuit.outings if (o.horse, o.show) == (horse, show)), None)


def try_outing(
    yard: Yard,
    circuit: Circuit,
    horse: str,
    show: str,
    *,
    without: Sequence[str] = (),
    before: Sequence[Violation] | None = None,
) -> Trial | None:
    """One horse goes to one show besides, by the way that breaks the fewest rules.

    `without` names shows that the horse leaves out for it; `before` are the violations of the
    circuit as it is, where they are known. None: no class of the show fits the horse. Raises
    `BadValue` for an unknown name, a circuit without a plan, or a horse that goes there already.
    """
    known, offered = _find_names(yard, circuit, horse, show)
    if find_outing(circuit, horse, show) is not None:
        raise BadValue(
            state("values.goes-to-in-already", horse=horse, show=show, circuit_name=circuit.name)
        )
    drafts = _list_drafts(yard, circuit, known, offered)
    if not drafts:
        return None
    prepared = _prepare(yard, circuit, known, drafts, without)
    return _finish(yard, circuit, prepared, before)


@dataclass(frozen=True)
class _Prepared:
    """A plan on trial before its day plan is made: what the quick rules count against it."""

    outing: Outing
    plan: Plan
    broken: int = 0
    taken_out: tuple[Outing, ...] = ()
    obstacles: tuple[Fact, ...] = ()


def _prepare(
    yard: Yard,
    circuit: Circuit,
    horse: Horse,
    drafts: Sequence[Outing],
    without: Sequence[str],
) -> _Prepared:
    dropped = tuple(o for o in circuit.outings if o.horse == horse.horse and o.show in without)
    plan = Plan(circuit.outings, circuit.legs)
    for outing in dropped:
        plan = _leave_out(yard, plan, outing)
    plan = _part_stay(yard, plan, drafts[0])
    broken, draft, way = _choose_way(yard, plan, horse, drafts)
    obstacles: tuple[Fact, ...] = ()
    of_vehicles = broken and _count_broken(yard, way, draft, QUICK_RULES, of_vehicles=True)
    if of_vehicles or way.way == NO_LORRY:
        obstacles = find_obstacles(yard, plan, draft)
    outing = next(o for o in way.outings if (o.horse, o.show) == (draft.horse, draft.show))
    return _Prepared(outing, way, broken, dropped, obstacles)


def try_without(
    yard: Yard,
    circuit: Circuit,
    horse: str,
    show: str,
    *,
    before: Sequence[Violation] | None = None,
) -> Trial:
    """A circuit without one of its outings, the lorry runs that nobody needs then left out too.

    Raises `BadValue` where the horse does not go there.
    """
    _find_names(yard, circuit, horse, show)
    outing = find_outing(circuit, horse, show)
    if outing is None:
        raise BadValue(
            state("values.does-not-go-to-in", horse=horse, show=show, circuit_name=circuit.name)
        )
    plan = _leave_out(yard, Plan(circuit.outings, circuit.legs), outing)
    return _finish(yard, circuit, _Prepared(outing, plan, taken_out=(outing,)), before)


def take_out(yard: Yard, circuit: Circuit, horse: str, show: str) -> Circuit:
    """The circuit without one of its outings; raises `BadValue` where there is none."""
    return try_without(yard, circuit, horse, show).circuit


def try_instead(
    yard: Yard, circuit: Circuit, trial: Trial, *, before: Sequence[Violation] | None = None
) -> Trial | None:
    """The same outing with those of the horse left out that stand in its way.

    Looked at are the neighbours that the broken rules name, else the one before, the one after,
    or both; never one whose entry is sent or paid. Of those with which no rule is broken, the one
    that gives up the least worth is taken. None: leaving out a neighbour does not help.
    """
    if trial.possible or not any(v.rule in NEIGHBOUR_RULES for v in trial.violations):
        return None
    horse, show = trial.outing.horse, trial.outing.show
    hopeless = [v for v in trial.violations if v.rule not in NEIGHBOUR_RULES]
    if any(v.horse == horse and v.rule != "window" for v in hopeless):
        return None
    known = yard.horse_by_name[horse]
    drafts = _list_drafts(yard, circuit, known, yard.show_by_name[show])
    ready = [
        _prepare(yard, circuit, known, drafts, names)
        for names in _list_neighbours(yard, circuit, trial)
    ]
    lost = {p.taken_out: sum(o.worth for o in p.taken_out) for p in ready}
    gains = {p.taken_out: _count_worth(yard, known, p.outing) for p in ready}
    ready.sort(key=lambda p: (lost[p.taken_out] - float(gains[p.taken_out]), len(p.taken_out)))
    for prepared in ready:
        if prepared.broken == 0:
            other = _finish(yard, circuit, prepared, before)
            if other.possible:
                return other
    return None


def _find_names(yard: Yard, circuit: Circuit, horse: str, show: str) -> tuple[Horse, Show]:
    if not circuit.exists:
        raise BadValue(
            state("values.has-no-plan", circuit_name=circuit.name, status=circuit.status)
        )
    known, offered = yard.horse_by_name.get(horse), yard.show_by_name.get(show)
    if known is None:
        raise BadValue(state("values.no-horse-of-yard", horse=horse))
    if offered is None:
        raise BadValue(state("values.no-show-of-calendar", show=show))
    return known, offered


# Classes and rider


def can_enter(yard: Yard, horse: Horse, show: Show, offered: ShowClass) -> bool:
    """Whether a class is entered already, or can still be: the rule `closed` for one class."""
    key = (horse.horse, show.show, offered.name)
    if key in yard.bound_entries:
        return True
    today, until = yard.day_of_planning, show.last_entry_day
    late = until is not None and until < today
    return key not in yard.scratched_entries and offered.day > today and not late


def choose_classes(
    yard: Yard,
    horse: Horse,
    classes: Iterable[ShowClass],
    rider: str = "",
    others: Sequence[Start] = (),
) -> tuple[ShowClass, ...]:
    """The classes worth the most that may stand together, in day order.

    A class that is sent or paid comes first, then one that an aim names. `others` are what the
    rider rides on other horses there.
    """
    aims = {
        (aim.show, aim.class_name): aim.importance for aim in yard.aims if aim.horse == horse.horse
    }

    def weigh(start: Start) -> tuple[int, Decimal]:
        key = start.offered.show, start.offered.name
        worth = count_worth(horse, start.offered) * horse.weight + aims.get(key, Decimal(0))
        return int((horse.horse, *key) in yard.bound_entries), worth

    def rank(start: Start) -> tuple[int, Decimal, int, str]:
        bound, worth = weigh(start)
        return -bound, -worth, start.offered.fee_cents, start.offered.name

    starts = sorted((Start(horse, offered, rider) for offered in classes), key=rank)
    chosen = choose_starts(starts, partial(find_clashes, yard), weigh, others)
    return tuple(sorted((s.offered for s in chosen), key=lambda c: (c.day, c.name)))


def _list_drafts(yard: Yard, circuit: Circuit, horse: Horse, show: Show) -> list[Outing]:
    """Every choice of classes over a run of class days with a rider who fits, best worth first."""
    found: dict[tuple[str, tuple[str, ...]], tuple[Decimal, int, Outing]] = {}
    for rank, rider in enumerate(list_riders(yard, horse, show)):
        fitting = [c for c in show.classes if fits_class(yard, horse, c, rider)]
        pool = [c for c in fitting if can_enter(yard, horse, show, c)] or fitting
        days = sorted({c.day for c in pool})
        others = [
            Start(yard.horse_by_name[o.horse], offered, o.rider)
            for o in circuit.outings
            if (o.show, o.rider) == (show.show, rider.person) and o.horse in yard.horse_by_name
            for name in o.classes
            if (offered := show.find_class(name))
        ]
        for i, first in enumerate(days):
            for last in reversed(days[i:]):
                within = (c for c in pool if first <= c.day <= last)
                chosen = choose_classes(yard, horse, within, rider.person, others)
                names = tuple(c.name for c in chosen)
                draft = Outing(
                    horse.horse,
                    show.show,
                    rider.person,
                    names,
                    chosen[0].day,
                    chosen[-1].day,
                    chosen[0].day,
                    chosen[-1].day,
                )
                worth = _count_worth(yard, horse, draft)
                found.setdefault((rider.person, names), (-worth, rank, draft))
    ordered = sorted(found.values(), key=lambda f: (f[0], f[1], f[2].first_day, f[2].last_day))
    return [draft for _, _, draft in ordered[:CHOICES_TRIED]]


def _count_worth(yard: Yard, horse: Horse, draft: Outing) -> Decimal:
    """What the classes and the aims there are worth, if the aims are met."""
    offered = [yard.find_class(draft.show, name) for name in draft.classes]
    worth = (count_worth(horse, c) for c in offered if c is not None)
    classes = sum(worth, Decimal(0)) * horse.weight
    own = (a for a in yard.aims if (a.horse, a.show) == (horse.horse, draft.show))
    met = (a.importance for a in own if not a.class_name or a.class_name in draft.classes)
    return classes + sum(met, Decimal(0))


# Ways


def _choose_way(
    yard: Yard, plan: Plan, horse: Horse, drafts: Sequence[Outing]
) -> tuple[int, Outing, Plan]:
    """The draft and the way that break the fewest rules, then worth the most, then cheapest."""
    counted = []
    for number, draft in enumerate(drafts):
        trip = next(iter(list_ways(yard, plan, (draft,), hypothetical=True)))
        broken = _count_broken(yard, trip, draft, RULES_OF_DAYS, of_vehicles=False)
        counted.append((broken, number))
    best: list[tuple[int, int, tuple[int, float], Outing, Plan]] = []
    for _, number in sorted(counted)[:CHOICES_KEPT]:
        draft = drafts[number]
        for way in _list_all_ways(yard, plan, horse, draft):
            broken = _count_broken(yard, way, draft, QUICK_RULES)
            best.append((broken, number, _weigh(yard, way, draft), draft, way))
        if any(broken == 0 for broken, *_ in best):
            break
    best.sort(key=lambda b: b[:3])
    broken, number, *_ = best[0]
    alike = [b for b in best if b[:2] == (broken, number)][:WAYS_PRICED]
    if len(alike) == 1 or broken:
        return broken, *alike[0][3:]
    # The rough order knows roads and days away; grooms and riders shared with others decide.
    chosen = min(alike, key=lambda b: (price(yard, b[4].outings, b[4].legs).total_cents, b[2]))
    return broken, *chosen[3:]


def _weigh(yard: Yard, plan: Plan, draft: Outing) -> tuple[int, float]:
    """What is quickly counted of a plan's price: roads, nights, the horse's days away; and km."""
    rates = yard.costs
    road = sum(
        Decimal(str(leg.km)) * yard.cents_per_km_of(yard.vehicle_by_name[leg.vehicle])
        for leg in plan.legs
        if leg.vehicle in yard.vehicle_by_name
    )
    nights = sum(stop.kind == "overnight" for leg in plan.legs for stop in leg.stops)
    away = sum((o.leave - o.arrive).days + 1 for o in plan.outings if o.horse == draft.horse)
    cents = int(road) + nights * rates.overnight_stop_cents
    cents += away * (rates.groom_day_cents + rates.rider_day_cents)
    return cents, round(sum(leg.km for leg in plan.legs), 1)


def _list_all_ways(yard: Yard, plan: Plan, horse: Horse, draft: Outing) -> Iterator[Plan]:
    """On its own from home and back, and as a part of a neighbour's stay at the same place."""
    yield from list_ways(yard, plan, (draft,))
    key = yard.place_key_of(draft.show)
    own = sorted((o for o in plan.outings if o.horse == horse.horse), key=lambda o: o.first_day)
    before = [o for o in own if o.last_day < draft.first_day][-1:]
    after = [o for o in own if o.first_day > draft.last_day][:1]
    near = [o for o in (*before, *after) if yard.place_key_of(o.show) == key]
    for number in range(1, len(near) + 1):
        for some in combinations(near, number):
            lifted: Plan = plan
            stays: list[Outing] = []
            for outing in some:
                stays += find_trip(lifted, outing)
                lifted = take_off(lifted, outing)
            if all(yard.place_key_of(o.show) == key for o in stays):
                group = sorted([*stays, draft], key=lambda o: o.first_day)
                yield from list_ways(yard, lifted, tuple(group))


def _count_broken(
    yard: Yard,
    plan: Plan,
    draft: Outing,
    rules: Iterable[str],
    *,
    of_vehicles: bool | None = None,
) -> int:
    """How many times these rules are broken by the horse, its rider or what carries it.

    `of_vehicles` True counts only what names a lorry, False only what names none.
    """
    own = [leg for leg in plan.legs if draft.horse in leg.horses]
    vehicles = set() if of_vehicles is False else {leg.vehicle for leg in own}
    legs = [leg for leg in plan.legs if leg in own or leg.vehicle in vehicles]
    near = [
        o
        for o in plan.outings
        if o.horse == draft.horse or o.rider == draft.rider or o.show == draft.show
    ]
    alone = [o for o in near if (o.horse, o.show) == (draft.horse, draft.show)]
    case = _make_case(yard, near, legs)
    # What a horse may jump hangs on nothing else, and its papers take the longest to read.
    single = _make_case(yard, alone, own)
    return sum(
        violation.horse in ("", draft.horse)
        and (of_vehicles is None or bool(violation.vehicle) is of_vehicles)
        for rule in rules
        for violation in JUDGES[rule](single if rule in RULES_OF_ONE else case)
    )


def _make_case(yard: Yard, outings: Iterable[Outing], legs: Iterable[Leg]) -> Case:
    circuit = Circuit("", "", "best in time", outings=tuple(outings), legs=tuple(legs))
    return Case(yard, circuit)


def _part_stay(yard: Yard, plan: Plan, draft: Outing) -> Plan:
    """A horse that stands elsewhere from before a show to after it goes home in between."""
    key = yard.place_key_of(draft.show)
    own = [o for o in plan.outings if o.horse == draft.horse and o.last_day < draft.first_day]
    if not own:
        return plan
    trip = find_trip(plan, max(own, key=lambda o: o.last_day))
    earlier = [o for o in trip if o.first_day < draft.first_day]
    later = [o for o in trip if o.first_day >= draft.first_day]
    if not later or any(yard.place_key_of(o.show) == key for o in trip):
        return plan
    return _bring_apart(yard, take_off(plan, trip[0]), [*earlier], [*later])


def _leave_out(yard: Yard, plan: Plan, outing: Outing) -> Plan:
    """A horse does not go to one show; what else it jumps on that trip gets a way of its own."""
    others = [o for o in find_trip(plan, outing) if o.show != outing.show]
    return _bring_apart(yard, take_off(plan, outing), others)


def _bring_apart(yard: Yard, lifted: Plan, *runs: Sequence[Outing]) -> Plan:
    """A horse goes to these outings again, from home for each run of them at one place."""
    groups: list[list[Outing]] = []
    for outings in runs:
        for i, other in enumerate(outings):
            key = yard.place_key_of(other.show)
            if i > 0 and yard.place_key_of(groups[-1][0].show) == key:
                groups[-1].append(other)
            else:
                groups.append([other])
    for group in groups:
        first = group[0]

        def weigh(way: Plan, first: Outing = first) -> tuple[float, ...]:
            return _count_broken(yard, way, first, QUICK_RULES), *_weigh(yard, way, first)

        lifted = bring(yard, lifted, tuple(group), weigh)
    return lifted


# Neighbours


def _list_neighbours(yard: Yard, circuit: Circuit, trial: Trial) -> list[tuple[str, ...]]:
    horse, show = trial.outing.horse, trial.outing.show
    own = [o for o in circuit.outings_by_horse.get(horse, ()) if o.show != show]
    bound = {(h, s) for h, s, _ in yard.bound_entries}
    free = [o for o in own if (o.horse, o.show) not in bound]
    middle = trial.outing.first_day
    before = [o for o in own if o.first_day < middle]
    after = [o for o in own if o.first_day >= middle]
    near = [o.show for o in (*before[-1:], *after[:1])]
    named = [
        name
        for name in near
        if any(
            v.rule == "recovery" and (v.show == name or v.fact.get("before") == name)
            for v in trial.violations
        )
    ]
    possible = {o.show for o in free}
    if named:
        return [tuple(named)] if set(named) <= possible else []
    singles = [(name,) for name in near if name in possible]
    worths = {o.show: o.worth for o in own}
    singles.sort(key=lambda names: worths[names[0]])
    both = [tuple(near)] if len(near) == 2 and set(near) <= possible else []
    return [*singles, *both]


# The whole circuit


def _finish(
    yard: Yard,
    circuit: Circuit,
    prepared: _Prepared,
    before: Sequence[Violation] | None,
) -> Trial:
    plan, outing = prepared.plan, prepared.outing
    jumped = {(o.horse, o.show, name) for o in plan.outings for name in o.classes}
    legs: Sequence[Leg] = plan.legs
    if plan.legs != circuit.legs:
        # An extra run takes a driver's hours, so who drives is settled anew for all runs.
        ordered = sorted(plan.legs, key=lambda leg: (leg.depart, leg.vehicle))
        legs = put_on_drivers(yard, ordered, RULES[yard.driving.rules])
    made = finish_circuit(
        yard,
        circuit.name,
        circuit.goal,
        "best in time",
        None,
        circuit.bound,
        0.0,
        plan.outings,
        legs,
        (d for d in circuit.dropped_entries if (d.horse, d.show, d.class_name) not in jumped),
    )
    known = set(find_violations(yard, circuit) if before is None else before)
    new = tuple(v for v in find_violations(yard, made) if v not in known)
    if any(v.rule != TOTALS for v in new):
        # Where a drive belongs to nobody the sums are off because of it, which helps no one.
        new = tuple(v for v in new if v.rule != TOTALS)
    added, removed, changed = _compare_legs(circuit.legs, made.legs)
    old, now = circuit.totals, made.totals
    return Trial(
        made,
        find_outing(made, outing.horse, outing.show) or outing,
        plan.way,
        prepared.taken_out,
        added,
        removed,
        changed,
        new,
        float(round(Decimal(str(now.worth)) - Decimal(str(old.worth)), 4)),
        now.cost_cents - old.cost_cents,
        float(round(Decimal(str(now.road_km)) - Decimal(str(old.road_km)), 1)),
        tuple(title for title in now.aims_met if title not in old.aims_met),
        tuple(title for title in old.aims_met if title not in now.aims_met),
        prepared.obstacles if new else (),
    )


LegKey = tuple[str, str, str, str]


def _compare_legs(
    old: Sequence[Leg], new: Sequence[Leg]
) -> tuple[tuple[Leg, ...], tuple[Leg, ...], tuple[tuple[Leg, Leg], ...]]:
    """Legs that came, legs that went, and pairs of one that changed."""
    key: Callable[[Leg], LegKey] = lambda leg: (  # noqa: E731
        leg.vehicle,
        leg.start,
        leg.end,
        leg.depart.isoformat(),
    )
    were, are = {key(leg): leg for leg in old}, {key(leg): leg for leg in new}
    return (
        tuple(leg for k, leg in are.items() if k not in were),
        tuple(leg for k, leg in were.items() if k not in are),
        tuple(
            (were[k], leg) for k, leg in are.items() if k in were and were[k].horses != leg.horses
        ),
    )
