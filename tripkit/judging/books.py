"""The judge's rules about what is bound and what it comes to: entries, budget, sums."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from math import isfinite

from tripkit.eligibility.qualifying import assess_aim
from tripkit.judging.bases import list_base_nights
from tripkit.judging.case import Case, Violation, list_stays, name_rule
from tripkit.judging.grounds import GROUNDS, BoundClass, find_grounds
from tripkit.yard.circuit import DroppedEntry, write_driver
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import Value, state
from tripkit.yard.horses import Aim, Horse
from tripkit.yard.places import HOME
from tripkit.yard.shows import ShowClass
from tripkit.yard.terms import name_term

WORTH_SLACK = 1e-4
KM_SLACK = 0.051
HOURS_SLACK = 0.0051
WRITTEN_PLACES = 4


def judge_locked(case: Case) -> Iterator[Violation]:
    """Classes sent or paid stay, or are listed as dropped with a true reason and the money.

    True reasons are those of `grounds`: no more is dropped than has to be. Bound classes before
    today are past.
    """
    jumped = {(o.horse, o.show, name) for o in case.circuit.outings for name in o.classes}
    dropped = {(d.horse, d.show, d.class_name): d for d in case.circuit.dropped_entries}
    for key, entry in case.yard.bound_entries.items():
        horse, show, name = key
        offered = case.yard.find_class(show, name)
        day = None if offered is None else offered.day
        if key in jumped and key in dropped:
            fact = state("judging.jumped-and-dropped", horse=horse, name=name, show=show)
            yield Violation("locked", fact, horse, show, day=day)
        past = day is not None and case.is_over(day)
        if key not in jumped and key not in dropped and not past:
            fact = state(
                "judging.not-jumped",
                horse=horse,
                status=name_term(entry.status),
                name=name,
                show=show,
            )
            yield Violation("locked", fact, horse, show, day=day)
    counts = Counter((d.horse, d.show, d.class_name) for d in case.circuit.dropped_entries)
    for (horse, show, name), count in counts.items():
        if count > 1:
            fact = state("judging.dropped-twice", name=name, horse=horse, show=show, count=count)
            yield Violation("locked", fact, horse, show)
    for row in case.circuit.dropped_entries:
        yield from _judge_dropped(case, row)


def judge_budget(case: Case) -> Iterator[Violation]:
    """The total cost is at most the budget, where one is set.

    What was lived and entered may be dearer; then nothing new is planned.
    """
    budget = case.yard.costs.budget_cents
    bound = {(horse, show) for horse, show, _ in case.yard.bound_entries}
    given = bound | case.yard.begun.outing_keys
    lived = bool(case.yard.begun.legs)
    if budget is None or (lived and all((o.horse, o.show) in given for o in case.circuit.outings)):
        return
    bill = case.bill
    costs = [case.circuit.totals.cost_cents, sum(o.cost_cents for o in case.circuit.outings)]
    cost = max([*costs, bill.total_cents] if bill is not None else costs)
    if cost > budget:
        yield Violation(
            "budget", state("judging.over-budget", cost_cents=cost, budget_cents=budget)
        )


def judge_totals(case: Case) -> Iterator[Violation]:
    """Totals are the sums of the values as written, and worth and cost are what they come to.

    Worth is counted again from classes, weight and aims met, cost by `costs`, spare days from
    the outings; what holds a name or time that cannot be read is not counted again.
    """
    circuit, totals = case.circuit, case.circuit.totals
    legs = circuit.legs
    nights = sum((o.leave - o.arrive).days for o in circuit.outings)
    nights -= _count_nights_in_boxes(case)
    nights += sum(len(leg.horses) for leg in legs for stop in leg.stops if stop.kind == "overnight")
    counted: tuple[tuple[str, float | None, float, float], ...] = (
        ("outings", totals.outings, len(circuit.outings), 0),
        ("nights_away", totals.nights_away, nights, 0),
        (
            "cost_cents",
            totals.cost_cents,
            sum(o.cost_cents for o in circuit.outings) + _count_idle_cents(case),
            0,
        ),
        ("worth", totals.worth, sum(o.worth for o in circuit.outings), WORTH_SLACK),
        ("road_km", totals.road_km, sum(leg.km for leg in legs), KM_SLACK),
        (
            "horse_road_hours",
            totals.horse_road_hours,
            sum(leg.hours * len(leg.horses) for leg in legs),
            HOURS_SLACK,
        ),
    )
    for name, written, summed, slack in counted:
        # An older file has no figure (None); what is no number fails.
        if written is not None and not abs(written - summed) <= slack:
            fact = state(
                "judging.other-sum", name=name, written=_round(written), summed=_round(summed)
            )
            yield Violation("totals", fact)
    yield from _judge_worth(case)
    yield from _judge_cost(case)
    spare = [
        gap.clear_days - gap.needed
        for gaps in case.gaps_by_horse.values()
        for gap in gaps
        if gap.needed is not None
    ]
    missing = sum(_count_missing(case, horse) for horse in case.yard.horses)
    if totals.missing_outings != missing:
        fact = state(
            "judging.other-sum",
            name="missing_outings",
            written=totals.missing_outings,
            summed=missing,
        )
        yield Violation("totals", fact)
    if totals.spare_days != min(spare, default=None):
        fact = state(
            "judging.other-spare-days",
            written=_tell_days(totals.spare_days),
            left=_tell_days(min(spare, default=None)),
        )
        yield Violation("totals", fact)


def _count_nights_in_boxes(case: Case) -> int:
    """The nights between coming to a show and leaving it that a horse sleeps at a base instead."""
    return sum(
        held.outing.arrive <= night < held.outing.leave
        for horse, outings in case.held_by_horse.items()
        for night in (list_base_nights(case, horse) if case.yard.bases else ())
        for held in outings
    )


def _count_missing(case: Case, horse: Horse) -> int:
    """How many outings of the season a horse lacks of the least that is wanted."""
    first = case.yard.season.first
    have = sum(career.first >= first for career in case.careers[horse.horse])
    return max(0, horse.outings_wanted.least - have)


def _count_idle_cents(case: Case) -> int:
    """What a horse cost without an outing: in a season that has begun, or at a base.

    One that came home in vain, or that was rented a box and went nowhere.
    """
    if case.bill is None or not (case.yard.begun.legs or case.yard.bases):
        return 0
    planned = {(o.horse, o.show) for o in case.circuit.outings}
    return sum(cents for key, cents in case.bill.by_outing.items() if key not in planned)


def find_aims_met(case: Case) -> tuple[Aim, ...]:
    """The aims of the yard that the outings meet, by the days their classes really have."""
    outings = [replace(h.outing, first_day=h.first, last_day=h.last) for h in case.held]
    return tuple(aim for aim in case.yard.aims if assess_aim(case.yard, aim, outings).met)


def _judge_worth(case: Case) -> Iterator[Violation]:
    met = find_aims_met(case)
    titles = Counter(aim.title for aim in met)
    written = Counter(case.circuit.totals.aims_met)
    for title in sorted((titles - written).keys()):
        yield Violation("totals", state("judging.aim-not-listed", aim=title))
    for title in sorted((written - titles).keys()):
        yield Violation("totals", state("judging.aim-not-met", aim=title))
    for held in case.held:
        key = (held.horse.horse, held.show.show)
        classes = sum((_weigh_start(held.horse, c) for c in held.classes), Decimal(0))
        classes *= held.horse.weight
        aims = sum((a.importance for a in met if (a.horse, a.show) == key), Decimal(0))
        worth = float(classes + aims)
        if not abs(held.outing.worth - worth) <= WORTH_SLACK:
            fact = state(
                "judging.other-worth",
                horse=key[0],
                show=key[1],
                written=held.outing.worth,
                comes=worth,
            )
            yield Violation("totals", fact, *key, day=held.first)


def _weigh_start(horse: Horse, offered: ShowClass) -> Decimal:
    """The worth written; else 10, and where classes count by height a tenth more for each tenth."""
    if offered.worth is not None:
        return offered.worth
    span_cm = horse.to_height_cm - horse.from_height_cm
    above_cm = min(span_cm, max(0, offered.height_cm - horse.from_height_cm))
    by_height = span_cm > 0 and horse.limits.class_worth == "by class"
    # Whole tenths, the nearest: half a tenth is one.
    tenths = (200 * above_cm + span_cm) // (2 * span_cm) if by_height else 0
    return Decimal(100 + tenths) / 10


def _judge_cost(case: Case) -> Iterator[Violation]:
    bill = case.bill
    if bill is None:
        return
    for held in case.held:
        key = (held.horse.horse, held.show.show)
        cents = bill.by_outing.get(key, 0)
        if held.outing.cost_cents != cents:
            fact = state(
                "judging.other-outing-cost",
                horse=key[0],
                show=key[1],
                written_cents=held.outing.cost_cents,
                counted_cents=cents,
            )
            yield Violation("totals", fact, *key, day=held.first)
    nights = (
        base.per_night_cents
        for horse in (case.yard.horse_by_name if case.yard.bases else ())
        for base in list_base_nights(case, horse).values()
    )
    for kind, cents in {**_count_hired(case), "base nights": sum(nights)}.items():
        billed = sum(line.cents for line in bill.lines if line.kind == kind)
        if billed != cents:
            fact = state("judging.other-hire", kind=kind, billed_cents=billed, counted_cents=cents)
            yield Violation("totals", fact)
    if case.circuit.totals.cost_cents != bill.total_cents:
        fact = state(
            "judging.other-cost",
            written_cents=case.circuit.totals.cost_cents,
            counted_cents=bill.total_cents,
        )
        yield Violation("totals", fact)


def _count_hired(case: Case) -> dict[str, int]:
    """What hired drivers and hired lorries cost, counted from the legs a second time."""
    crews: set[tuple[str, str, date]] = set()
    lorries = 0
    for name, trips in case.trips_by_vehicle.items():
        for trip in trips:
            unnamed = {write_driver(d) for d in trip.leg.drivers if not isinstance(d, str)}
            crews |= {(name, driver, day) for driver in unnamed for day in trip.days}
        vehicle = case.yard.vehicle_by_name.get(name)
        away = {
            day
            for stay in list_stays(trips)
            if stay.place_key != HOME and stay.last is not None
            for day in DaySpan(stay.first, stay.last)
        }
        away |= {day for trip in trips for day in trip.days}
        lorries += len(away) * (vehicle.per_day_cents if vehicle and vehicle.hire else 0)
    rates = case.yard.costs
    return {"driver days": len(crews) * rates.driver_day_cents, "lorry hire": lorries}


def _judge_dropped(case: Case, row: DroppedEntry) -> Iterator[Violation]:
    about = (row.horse, row.show)
    way = state("judging.entry", name=row.class_name, horse=row.horse, show=row.show)
    key = (row.horse, row.show, row.class_name)
    horse = case.yard.horse_by_name.get(row.horse)
    show = case.yard.show_by_name.get(row.show)
    offered = None if show is None else show.find_class(row.class_name)
    if key not in case.yard.bound_entries or horse is None or show is None or offered is None:
        yield Violation("locked", state("judging.dropped-unsent", entry=way), *about)
        return
    grounds = find_grounds(BoundClass(case, horse, show, offered))
    if not str(row.why).strip():
        fact = state("judging.dropped-unexplained", entry=way)
        yield Violation("locked", fact, *about, day=offered.day)
    elif not grounds or (row.rule in GROUNDS and row.rule not in grounds):
        fact = state("judging.dropped-for-nothing", entry=way, why=row.why)
        if grounds:
            fact = state(
                "judging.dropped-for-other",
                entry=way,
                why=row.why,
                grounds=tuple(map(name_rule, filter(None, grounds))),
            )
        yield Violation("locked", fact, *about, day=offered.day)
    cents = case.yard.count_lost_cents(row.horse, offered)
    if row.cents != cents:
        fact = state(
            "judging.other-money-at-risk", entry=way, written_cents=row.cents, paid_cents=cents
        )
        yield Violation("locked", fact, *about, day=offered.day)


def _tell_days(days: int | None) -> Value:
    return state("judging.no-figure") if days is None else days


def _round(value: float) -> float:
    # What is no number stays itself: another one would not be equal to it.
    return round(value, WRITTEN_PLACES) if isinstance(value, float) and isfinite(value) else value
