"""Frames of pandas: outings, legs, days, findings, violations, costs, comparisons.

The only room that lets in pandas, and only when a table is made. Every function lists its columns
with their dtypes; a table without rows has the same columns and dtypes. Text is `string` (never
missing, "" for none), days are `datetime64[s]`, moments `datetime64[s, UTC]`, whole numbers
`Int64` (which may be missing), others `float64`, money whole cents in `Int64`. Lists are joined
by "; ".
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple
from datetime import date, datetime
from typing import TYPE_CHECKING

from tripkit.judging.case import Violation
from tripkit.season.comparison import Comparison, Figure
from tripkit.season.costs import price
from tripkit.words.telling import PLAIN, Teller, choose_teller
from tripkit.yard.answers import Finding
from tripkit.yard.circuit import Circuit, write_driver
from tripkit.yard.yard import Yard

if TYPE_CHECKING:
    from pandas import DataFrame

TEXT, DAY, MOMENT = "string", "datetime64[s]", "datetime64[s, UTC]"
WHOLE, NUMBER = "Int64", "float64"
Columns = Mapping[str, str]

CIRCUITS: Columns = {
    "circuit": TEXT,
    "goal": TEXT,
    "status": TEXT,
    "objective": NUMBER,
    "bound": NUMBER,
    "seconds": NUMBER,
    "worth": NUMBER,
    "cost_cents": WHOLE,
    "road_km": NUMBER,
    "horse_road_hours": NUMBER,
    "nights_away": WHOLE,
    "outings": WHOLE,
    "aims_met": TEXT,
    "spare_days": WHOLE,
    "missing_outings": WHOLE,
}
OUTINGS: Columns = {
    "horse": TEXT,
    "show": TEXT,
    "rider": TEXT,
    "classes": TEXT,
    "first_day": DAY,
    "last_day": DAY,
    "arrive": DAY,
    "leave": DAY,
    "worth": NUMBER,
    "cost_cents": WHOLE,
}
LEGS: Columns = {
    "vehicle": TEXT,
    "from": TEXT,
    "to": TEXT,
    "depart": MOMENT,
    "arrive": MOMENT,
    "km": NUMBER,
    "hours": NUMBER,
    "drivers": TEXT,
    "horses": TEXT,
    "stops": WHOLE,
    "nights": WHOLE,
}
DAYS: Columns = {"horse": TEXT, "date": DAY, "at": TEXT, "does": TEXT, "also": TEXT}
FINDINGS: Columns = {
    "answer": TEXT,
    "rule": TEXT,
    "horse": TEXT,
    "person": TEXT,
    "show": TEXT,
    "class": TEXT,
    "due_by": DAY,
    "window_first": DAY,
    "window_last": DAY,
    "reason": TEXT,
    "source": TEXT,
}
VIOLATIONS: Columns = {
    "rule": TEXT,
    "text": TEXT,
    "horse": TEXT,
    "show": TEXT,
    "vehicle": TEXT,
    "person": TEXT,
    "day": DAY,
}
COSTS: Columns = {
    "horse": TEXT,
    "show": TEXT,
    "kind": TEXT,
    "date": DAY,
    "cents": WHOLE,
    "text": TEXT,
}
OWNERS: Columns = {"horse": TEXT, "owner": TEXT, "cents": WHOLE}
FIGURES: Columns = {"figure": TEXT, "left": NUMBER, "right": NUMBER, "difference": NUMBER}
COMPARED_HORSES: Columns = {
    "horse": TEXT,
    "only_left": TEXT,
    "only_right": TEXT,
    "both": TEXT,
    "road_hours_left": NUMBER,
    "road_hours_right": NUMBER,
    "nights_left": WHOLE,
    "nights_right": WHOLE,
    "spare_days_left": WHOLE,
    "spare_days_right": WHOLE,
    "cost_cents_left": WHOLE,
    "cost_cents_right": WHOLE,
}
COMPARED_OWNERS: Columns = {
    "owner": TEXT,
    "cents_left": WHOLE,
    "cents_right": WHOLE,
    "difference": WHOLE,
}


def circuits_table(circuits: Iterable[Circuit]) -> DataFrame:
    """One row per circuit with its totals; a circuit without a plan has no objective.

    Columns: circuit, goal, status `string`; objective, bound (in the goal's own unit), seconds [s],
    worth, road_km [km], horse_road_hours [h] `float64`; cost_cents [cents], nights_away, outings,
    spare_days [days], missing_outings `Int64`; aims_met `string`.
    """
    return _frame(
        CIRCUITS,
        (
            (
                c.name,
                c.goal,
                c.status,
                c.objective,
                c.bound,
                c.seconds,
                *astuple(c.totals),
            )
            for c in circuits
        ),
    )


def outings_table(circuit: Circuit) -> DataFrame:
    """One row per horse and show of a circuit, in its order.

    Columns: horse, show, rider, classes `string`; first_day, last_day, arrive, leave
    `datetime64[s]`; worth `float64`; cost_cents [cents] `Int64`.
    """
    return _frame(
        OUTINGS,
        (
            (
                o.horse,
                o.show,
                o.rider,
                o.classes,
                o.first_day,
                o.last_day,
                o.arrive,
                o.leave,
                o.worth,
                o.cost_cents,
            )
            for o in circuit.outings
        ),
    )


def legs_table(circuit: Circuit) -> DataFrame:
    """One row per drive of a vehicle, in the circuit's order.

    Columns: vehicle, from, to `string`; depart, arrive `datetime64[s, UTC]`; km [km], hours [h]
    `float64`; drivers, horses `string`; stops (all), nights (overnight ones) `Int64`.
    """
    return _frame(
        LEGS,
        (
            (
                leg.vehicle,
                leg.start,
                leg.end,
                leg.depart,
                leg.arrive,
                leg.km,
                leg.hours,
                tuple(map(write_driver, leg.drivers)),
                leg.horses,
                len(leg.stops),
                sum(stop.kind == "overnight" for stop in leg.stops),
            )
            for leg in circuit.legs
        ),
    )


def days_table(circuit: Circuit) -> DataFrame:
    """One row per horse and date of the season.

    Columns: horse `string`; date `datetime64[s]`; at, does, also `string`.
    """
    return _frame(DAYS, ((d.horse, d.date, d.at, d.does, d.also) for d in circuit.days))


def findings_table(findings: Iterable[Finding]) -> DataFrame:
    """One row per finding, in the order given.

    Columns: answer, rule, horse, person, show, class `string`; due_by, window_first, window_last
    `datetime64[s]`, missing where nothing is due; reason, source `string`.
    """
    return _frame(
        FINDINGS,
        (
            (
                f.answer,
                f.rule,
                f.horse,
                f.person,
                f.show,
                f.class_name,
                f.due_by,
                None if f.window is None else f.window.first,
                None if f.window is None else f.window.last,
                str(f.reason),
                f.source,
            )
            for f in findings
        ),
    )


def violations_table(violations: Iterable[Violation], teller: Teller = PLAIN) -> DataFrame:
    """One row per broken rule, in the order given, in words for the one who is told.

    Columns: rule, text, horse, show, vehicle, person `string`; day `datetime64[s]`.
    """
    return _frame(
        VIOLATIONS,
        (
            (v.rule, teller.tell(v.fact), v.horse, v.show, v.vehicle, teller.tell(v.person), v.day)
            for v in violations
        ),
    )


def costs_table(yard: Yard, circuit: Circuit) -> DataFrame:
    """One row per amount and outing; `cents` sums to the circuit's cost.

    Columns: horse, show, kind `string`; date `datetime64[s]`; cents [cents] `Int64`; text
    `string`.
    """
    bill = price(yard, circuit.outings, circuit.legs, circuit.days)
    tell = choose_teller(yard, local=False).tell
    return _frame(
        COSTS,
        ((x.horse, x.show, x.kind, x.date, x.cents, tell(x.text)) for x in bill.lines),
    )


def owners_table(yard: Yard, circuit: Circuit) -> DataFrame:
    """One row per horse and owner; `cents` sums to the circuit's cost. "" is the yard.

    Columns: horse, owner `string`; cents [cents] `Int64`.
    """
    bill = price(yard, circuit.outings, circuit.legs, circuit.days)
    return _frame(OWNERS, ((*key, cents) for key, cents in bill.by_horse_and_owner.items()))


def comparison_table(comparison: Comparison) -> DataFrame:
    """One row per figure of two circuits; difference is right less left.

    Columns: figure `string`; left, right, difference `float64`. Figures: worth, cost_cents
    [cents], road_km [km], horse_road_hours [h], nights_away, outings, spare_days [days], aims_met,
    missing_outings.
    """
    cost = comparison.cost
    aims = Figure(len(comparison.left_totals.aims_met), len(comparison.right_totals.aims_met))
    figures = {
        "worth": comparison.worth,
        "cost_cents": Figure(cost.left, cost.right),
        "road_km": comparison.road_km,
        "horse_road_hours": comparison.horse_road_hours,
        "nights_away": comparison.nights_away,
        "outings": comparison.outings,
        "spare_days": comparison.spare_days,
        "aims_met": aims,
        "missing_outings": Figure(
            comparison.left_totals.missing_outings, comparison.right_totals.missing_outings
        ),
    }
    return _frame(FIGURES, ((n, f.left, f.right, f.difference) for n, f in figures.items()))


def compared_horses_table(comparison: Comparison) -> DataFrame:
    """One row per horse of two circuits.

    Columns: horse, only_left, only_right, both (shows) `string`; road_hours_left,
    road_hours_right [h] `float64`; nights_left, nights_right, spare_days_left, spare_days_right
    [days], cost_cents_left, cost_cents_right [cents] `Int64`.
    """
    return _frame(
        COMPARED_HORSES,
        (
            (
                h.horse,
                [o.show for o in h.only_left],
                [o.show for o in h.only_right],
                [pair.right.show for pair in h.both],
                h.road_hours.left,
                h.road_hours.right,
                h.nights_away.left,
                h.nights_away.right,
                h.spare_days.left,
                h.spare_days.right,
                h.cost.left,
                h.cost.right,
            )
            for h in comparison.horses
        ),
    )


def compared_owners_table(comparison: Comparison) -> DataFrame:
    """One row per owner of two circuits; "" is the yard, for horses without an owner.

    Columns: owner `string`; cents_left, cents_right, difference [cents] `Int64`.
    """
    return _frame(
        COMPARED_OWNERS,
        ((o.owner, o.cost.left, o.cost.right, o.cost.difference) for o in comparison.owners),
    )


def _frame(columns: Columns, rows: Iterable[Sequence[object]]) -> DataFrame:
    import pandas as pd

    cells = [[_flatten(cell) for cell in row] for row in rows]
    data = {}
    for i, (name, dtype) in enumerate(columns.items()):
        values = [row[i] for row in cells]
        if dtype == MOMENT:
            data[name] = pd.Series(pd.to_datetime(values, utc=True)).astype(dtype)
        else:
            data[name] = pd.Series(values, dtype=dtype)
    return pd.DataFrame(data, columns=list(columns))


def _flatten(cell: object) -> object:
    if isinstance(cell, list | tuple):
        return "; ".join(map(str, cell))
    # pandas reads a plain date only as a moment.
    if isinstance(cell, date) and not isinstance(cell, datetime):
        return datetime(cell.year, cell.month, cell.day)
    return cell
