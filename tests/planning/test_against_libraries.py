"""The planner against libraries that solve its parts: a longest path, and a knapsack.

`networkx` (dag_longest_path_length) and `scipy.optimize.milp` (HiGHS, but a program of one row
built here) know nothing of tripkit. Limits are the handbook's usual ones (common practice,
no source) but for cap and break, which are set too high to bind.
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from random import Random

import networkx as nx
import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from tests.build import (
    make_class,
    make_horse,
    make_limits,
    make_lorry,
    make_rider,
    make_show,
    make_yard,
    plan_most,
)
from tripkit.judging.judge import find_violations
from tripkit.yard.days import DaySpan
from tripkit.yard.yard import CostRates

FIRST = date(2027, 3, 1)
# km at 70 km/h: 2 h, 8 h (a day and a day of rest), 11 h (two days, as a day has 9 h, and a day
# of rest), 12 h (two days and two of rest).
TRAVEL_DAYS = {140: 0, 560: 1, 770: 2, 840: 3}
PLACE_TO_PLACE_KM = 900


@pytest.mark.parametrize("seed", range(8))
def test_one_horse_is_a_longest_path(seed: int) -> None:
    """One horse, a lorry of its own, 24 shows of a day: the most worth is the longest path.

    From one show to a later one there is an edge where the clear days are 7 + 2 and the days of
    the drive from home and the rest after it less one; at the same place 7 + 2, staying there.
    Driving straight on takes 12.9 h, so never fewer days than from home.
    """
    dice = Random(seed)
    places = {f"Place {i}": dice.choice(list(TRAVEL_DAYS)) for i in range(6)}
    days = sorted(dice.sample(range(8, 90), 24))
    where = [dice.choice(list(places)) for _ in days]
    worth = [dice.randint(5, 30) for _ in days]
    shows = [
        make_show(
            f"S{i}",
            on := FIRST + timedelta(days=day),
            on,
            place_key=place,
            stabling=DaySpan(on - timedelta(days=4), on + timedelta(days=1)),
            classes=[make_class("C1", on, f"S{i}", worth=value)],
        )
        for i, (day, place, value) in enumerate(zip(days, where, worth, strict=True))
    ]
    limits = make_limits(shows_per_30_days=30, outings_before_break=30)
    yard = make_yard(
        shows=shows,
        horses=[make_horse(limits=limits)],
        limits=limits,
        km={
            (a, b): float(km if b == "home" else PLACE_TO_PLACE_KM)
            for a, km in places.items()
            for b in ("home", *places)
            if a != b
        },
    )
    graph = nx.DiGraph()
    for j in range(len(days)):
        graph.add_edge("start", j, weight=worth[j])
        for i in range(j):
            clear = days[j] - days[i] - 1
            travel = 0 if where[i] == where[j] else TRAVEL_DAYS[places[where[j]]]
            if clear >= 7 + 2 + travel:
                graph.add_edge(i, j, weight=worth[j])
    longest = nx.dag_longest_path_length(graph)
    most = plan_most(yard)
    assert (most.status, most.objective) == ("proved best", float(longest))
    assert find_violations(yard, most) == ()


@pytest.mark.parametrize("seed", range(8))
def test_a_budget_alone_is_a_knapsack(seed: int) -> None:
    """Ten horses, each with rider, lorry and one show of its own: a 0/1 knapsack of money.

    An outing costs its fee, its stall and twice the way at 1.00 a kilometre.
    """
    dice = Random(seed)
    count = 10
    km = [dice.randint(40, 250) for _ in range(count)]
    fee = [dice.randint(30, 90) * 100 for _ in range(count)]
    stall = [dice.randint(0, 200) * 100 for _ in range(count)]
    worth = [dice.randint(5, 40) for _ in range(count)]
    # A class is 10 cm higher than the one before, and each horse jumps one height only.
    shows = [
        make_show(
            f"S{i}",
            on := FIRST + timedelta(days=20 + i),
            on,
            place_key=f"Place {i}",
            stall_fee_cents=stall[i],
            classes=[
                make_class(
                    "C1", on, f"S{i}", height_cm=60 + 10 * i, fee_cents=fee[i], worth=worth[i]
                )
            ],
        )
        for i in range(count)
    ]
    cents = [fee[i] + stall[i] + 2 * km[i] * 100 for i in range(count)]
    budget = round(sum(cents) * dice.choice([0.25, 0.4, 0.6]))
    yard = make_yard(
        shows=shows,
        horses=[
            make_horse(
                f"Horse {i}",
                from_height_cm=60 + 10 * i,
                to_height_cm=60 + 10 * i,
                rider=f"Rider {i}",
            )
            for i in range(count)
        ],
        people=[make_rider(f"Rider {i}") for i in range(count)],
        vehicles=[make_lorry(f"Lorry {i}", places=1) for i in range(count)],
        km={("home", f"Place {i}"): km[i] for i in range(count)},
        shares=(),
        costs=CostRates(cents_per_km=Decimal(100), budget_cents=budget),
    )
    solved = milp(
        -np.array(worth, dtype=float),
        constraints=LinearConstraint(np.array([cents], dtype=float), -np.inf, budget),
        bounds=Bounds(0, 1),
        integrality=np.ones(count),
    )
    most = plan_most(yard)
    assert (most.status, most.objective) == ("proved best", round(-solved.fun))
    assert most.totals.cost_cents <= budget
    assert find_violations(yard, most) == ()
