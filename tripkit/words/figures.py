"""Figures of a circuit as the page and the command line write them."""

from __future__ import annotations

from math import isfinite

from tripkit.words.formats import write_money
from tripkit.words.page import MINUS, NO_FIGURE
from tripkit.words.telling import PLAIN, Teller, choose_teller
from tripkit.yard.facts import Value, state
from tripkit.yard.goals import MOST_WORTH, Goal, find_goal, state_found, state_goal
from tripkit.yard.places import convert_km
from tripkit.yard.yard import Yard


def write_number(number: float | None) -> str:
    """A number with its thousands grouped, one decimal where it has one.

    >>> write_number(1412.0), write_number(38.54), write_number(None)
    ('1,412', '38.5', 'none')
    """
    return NO_FIGURE if number is None else PLAIN.write_number(number).replace("-", MINUS)


def write_distance(km: float, units: str) -> str:
    """Kilometres in the yard's units, whole.

    >>> write_distance(160.9344, "miles"), write_distance(160.9344, "km")
    ('100 mi', '161 km')
    """
    return Teller(units=units).write_distance(km, "short")


def write_goal(goal: str) -> str:
    """What a circuit was planned for.

    >>> write_goal("tour Gulf"), write_goal("most rest")
    ('the Gulf tour', 'the most rest')
    """
    return PLAIN.tell(state_goal(goal))


def write_objective(goal: str, number: float | None, yard: Yard) -> str:
    """An objective or bound in the unit of its goal."""
    if number is None:
        return NO_FIGURE
    unit = _find_goal(goal).unit
    if unit == "cents":
        return write_money(round(number), yard.currency)
    if unit == "km":
        return write_distance(number, yard.units)
    return write_number(number)


def write_progress(goal: str, objective: float | None, bound: float | None, yard: Yard) -> str:
    """How far the search for a goal has come: what is found and how good it could be at most.

    Searches count worth, km, cents, or for the most rest the hours of horses on the road.
    """
    teller = choose_teller(yard)
    found, limit = (_find_searched(goal, number, yard) for number in (objective, bound))
    if found and _round_searched(goal, objective, yard) == _round_searched(goal, bound, yard):
        return teller.tell(state("goals.as-good-as-can-be", found=found))
    edge = "goals.at-least" if _find_goal(goal).searches_least else "goals.at-most"
    told = [state("goals.found", found=found)] if found else []
    told += [state(edge, bound=limit)] if limit else []
    return "; ".join(map(teller.tell, told or [state("goals.searching")]))


def _find_searched(goal: str, number: float | None, yard: Yard) -> Value:
    if number is None:
        return None
    unit = _find_goal(goal).search_unit
    if unit in ("cents", "km"):
        return write_objective(goal, number, yard)
    return state_found(unit, round(number, 1))


def _round_searched(goal: str, number: float | None, yard: Yard) -> float | None:
    """A number as exactly as it is told: whole cents, whole kilometres or miles, else tenths."""
    unit = _find_goal(goal).search_unit
    if number is None or not isfinite(number):
        return number
    if unit == "km":
        return round(convert_km(number, yard.units))
    return round(number) if unit == "cents" else round(number, 1)


def _find_goal(goal: str) -> Goal:
    return find_goal(goal) or MOST_WORTH
