"""The table of goals: what a circuit may be best at, a row each, in the order in which they stand.

Goals are planned and written in the order of the rows; the goal of one tour stands where the row
`TOUR` does. Every list of goals and every unit of an objective elsewhere is taken from here. What a
goal is called is in `words`, by its id.
"""

from __future__ import annotations

from dataclasses import dataclass

from tripkit.yard.circuit import Totals
from tripkit.yard.facts import Fact, Reason, state

PLAN_SECONDS = 240.0
"""The time that a planning takes at most where nobody says otherwise [s]."""
CIRCUITS = 7
"""How many circuits a planning keeps where nobody says otherwise: a yard with two tours has all."""


@dataclass(frozen=True)
class Goal:
    """One goal: its id, the name of its circuit, what is best, and in what that is counted.

    `unit` has its words in `words`. `least`: the less the better. `counts` is the figure of a
    circuit's totals that the objective is, empty where it weighs several. `searched` is the figure
    in which the planner's search speaks, where it is another, and the unit of that search: the
    least of it is looked for. `saves`: to be good at something else it
    keeps only `worth_floor` of the most worth. `planned_by` is `room.function` in `planning`, empty
    for one that is not planned on its own.
    """

    id: str
    name: str
    unit: str
    counts: str = ""
    planned_by: str = ""
    least: bool = False
    saves: bool = False
    searched: str = ""

    @property
    def search_unit(self) -> str:
        """The unit in which the planner's search speaks."""
        return self.searched or self.unit

    @property
    def searches_least(self) -> bool:
        """Whether the search looks for the least of what it counts."""
        return self.least or bool(self.searched)


@dataclass(frozen=True)
class Progress:
    """Where a search stands: the goal, its stage, the best so far and the bound.

    In the unit in which the goal's search speaks (`Goal.search_unit`). None where nothing is
    known yet.
    """

    goal: str
    stage: str
    objective: float | None
    bound: float | None
    seconds: float


GOOD_VALUE = Goal("good value", "Good value", "cents", planned_by="goals.plan_good_value")
MOST_WORTH = Goal("most worth", "Most worth", "worth", "worth", "goals.plan_most_worth")
TOUR = Goal("tour", "Tour", "worth", "worth", "goals.plan_tour")
LEAST_ROAD = Goal(
    "least road", "Least road", "km", "road_km", "goals.plan_least_road", least=True, saves=True
)
LEAST_COST = Goal(
    "least cost",
    "Least cost",
    "cents",
    "cost_cents",
    "goals.plan_least_cost",
    least=True,
    saves=True,
)
MOST_REST = Goal(
    "most rest",
    "Most rest",
    "spare_days",
    "spare_days",
    "goals.plan_most_rest",
    saves=True,
    searched="horse_road_hours",
)
LEAST_CHANGE = Goal("least change", "Least change", "changes", least=True)
ALTERNATIVE = Goal("alternative", "Alternative", "worth", "worth", "goals.plan_alternative")

GOALS = (
    GOOD_VALUE,
    MOST_WORTH,
    TOUR,
    LEAST_ROAD,
    LEAST_COST,
    MOST_REST,
    LEAST_CHANGE,
    ALTERNATIVE,
)
"""All goals, in order."""

GOAL_IDS = tuple(goal.id for goal in GOALS if goal is not TOUR)
"""The goals as a circuit names them, but for those of tours."""

SAVING_IDS = tuple(goal.id for goal in GOALS if goal.saves)
OWN_PLANS = tuple(
    goal
    for goal in GOALS
    if goal.planned_by and goal not in (GOOD_VALUE, MOST_WORTH, TOUR, ALTERNATIVE)
)
"""The goals that are planned once each, after good value, most worth and the tours."""

_OF_TOUR = f"{TOUR.id} "


def write_tour_goal(tour: str) -> str:
    """The goal of one tour, as a circuit names it.

    >>> write_tour_goal("Gulf")
    'tour Gulf'
    """
    return _OF_TOUR + tour


def name_of_tour(goal: str) -> str:
    """The tour that a goal is of; empty for any other goal.

    >>> name_of_tour("tour Gulf"), name_of_tour("most worth")
    ('Gulf', '')
    """
    return goal.removeprefix(_OF_TOUR) if goal.startswith(_OF_TOUR) else ""


def find_goal(goal: str) -> Goal | None:
    """The row of a goal as a circuit names it, None where there is none.

    >>> find_goal("tour Gulf").name, find_goal("tour "), find_goal("tour")
    ('Tour', None, None)
    """
    if name_of_tour(goal):
        return TOUR
    return next((row for row in GOALS if row.id == goal and row is not TOUR), None)


def measure(goal: Goal, totals: Totals, point_price_cents: int = 0) -> float:
    """What a goal counts of a circuit, in the goal's unit.

    The value of a season is its worth at the price of a point, less its cost.

    >>> measure(GOOD_VALUE, Totals(worth=12.5, cost_cents=90_000), 8_000)
    10000.0
    """
    if goal is GOOD_VALUE:
        return round(point_price_cents * totals.worth - totals.cost_cents, 4)
    return float(getattr(totals, goal.counts))


def state_found(unit: str, number: float) -> Fact:
    """What a search found or how good it could be, to be told in the unit that it is counted in."""
    found = round(number) if unit == "cents" else number
    return state(f"goals.in-{unit}", **{f"found_{unit}": found})


def state_goal(goal: str) -> Reason:
    """What a circuit was planned for, to be told; a goal without a row as it is written."""
    row = find_goal(goal)
    return goal if row is None else state(f"goals.{row.id}", name=name_of_tour(goal))
