"""The search of large seasons, on small yards where brute force knows the answer.

The limits from which a season counts as large are set so low that every yard is one: cores are
smaller than the season, so that plans must be bettered and the proof must look at the rest.
"""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest

from tests.brute.schedules import AIM_STEP
from tests.build import plan_most
from tests.planning.oracle import Oracle, Prices
from tests.planning.yards import make_random_yard
from tripkit.judging.judge import find_violations
from tripkit.planning import cores, goals, plan, program, pursuit
from tripkit.planning.coupling import build_season
from tripkit.planning.prices import read_outline
from tripkit.planning.problem import build_problem
from tripkit.planning.search import Objective, Search

SEEDS = (0, 2, 3, 5, 8, 21, 28, 38, 41, 57, 95, 187)
SMALL_SEEDS = (0, 3, 7, 16, 25, 39, 1026)
WORTH_FLOOR = Decimal("0.8")
# Far more than the proofs take; where a plan is bettered until its time is over, it waits so long.
SECONDS = 20.0


@pytest.fixture(params=[(1, 2), (4, 8)])
def everything_is_large(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every season is searched in cores of very few stays."""
    monkeypatch.setattr(program, "FEW_WINDOWS", 0)
    monkeypatch.setattr(cores, "FIRST_CORE", request.param[0])
    monkeypatch.setattr(cores, "CORE", request.param[1])


@pytest.mark.usefixtures("everything_is_large")
@pytest.mark.parametrize("seed", SEEDS)
def test_a_large_season_is_worth_what_brute_force_finds(seed: int) -> None:
    """Most worth is proved, and equal to the best of all subsets; it breaks no rule."""
    yard = make_random_yard(seed)
    score = Oracle(yard).find_most()
    assert score is not None
    most = plan_most(yard, seconds=SECONDS)
    assert (most.status, most.objective) == ("proved best", float(score % AIM_STEP))
    assert [str(violation) for violation in find_violations(yard, most)] == []


@pytest.mark.parametrize("few_windows", [0, program.FEW_WINDOWS])
def test_an_aim_is_asked_once_for_each_program(
    few_windows: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """So it may add columns to the program; in a large season and in a small one."""
    monkeypatch.setattr(program, "FEW_WINDOWS", few_windows)
    asked: list[program.Season] = []

    def aim(season: program.Season, cost: program.Terms) -> Objective:
        asked.append(season)
        return pursuit.aim_at_road(season, cost)

    monkeypatch.setattr(goals, "aim_at_road", aim)
    plan(make_random_yard(3, small=True, rich=True), keep=8)
    assert asked
    assert len({id(season) for season in asked}) == len(asked)


@pytest.mark.usefixtures("everything_is_large")
@pytest.mark.parametrize("seed", SMALL_SEEDS)
def test_the_least_of_a_large_season_is_what_brute_force_finds(seed: int) -> None:
    """Kilometres and cents are the least of all subsets, and nothing less is claimed possible."""
    yard = make_random_yard(seed, small=True, rich=True)
    oracle = Oracle(yard)
    score = oracle.find_most()
    assert score is not None
    most = score % AIM_STEP
    floor = score - most + WORTH_FLOOR * most
    tenths, *_ = oracle.find_least(floor, Prices(tenths=1))
    cents, *_ = oracle.find_least(floor, oracle.rates)
    circuits = {circuit.goal: circuit for circuit in plan(yard, keep=6, seconds=SECONDS)}
    assert circuits["least road"].objective == tenths / 10
    assert circuits["least cost"].objective == float(cents)
    for goal, least in (("least road", tenths / 10), ("least cost", float(cents))):
        bound = circuits[goal].bound
        assert bound is not None
        assert bound <= least


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("scale", [0.0, 1.0, -3.0])
def test_any_prices_bound_the_season(seed: int, scale: float) -> None:
    """Prices made up at random still give a bound: brute force finds nothing worth more."""
    yard = make_random_yard(seed)
    most = Oracle(yard).find_most()
    season = build_season(build_problem(yard))
    objective = Objective(season.worth_terms(), True)
    search = Search(season)
    search.mip.set_objective(objective.terms, maximise=True)
    spread = max(objective.terms.values(), default=1.0)
    drawn = np.random.default_rng(seed).normal(size=len(search.mip.row_lower))
    outline = read_outline(season, search.mip, scale * spread * drawn)
    if most is not None:
        assert outline.bound / 10_000 >= float(most % AIM_STEP) - 1e-6
    assert all(loss >= -1e-6 * max(1.0, abs(outline.bound)) for loss in outline.losses.values())
