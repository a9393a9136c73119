"""Figures of a circuit as the page writes them."""

from __future__ import annotations

from markupsafe import Markup

from tripkit.dashboard import words
from tripkit.dashboard.markup import wrap, write_list, write_text
from tripkit.words.telling import PLAIN, Teller, choose_teller
from tripkit.yard.circuit import Circuit
from tripkit.yard.goals import MOST_WORTH, Goal, find_goal, state_found, state_goal
from tripkit.yard.money import write_money
from tripkit.yard.yard import Yard


def write_number(number: float | None) -> str:
    """A number with its thousands grouped, one decimal where it has one.

    >>> write_number(1412.0), write_number(38.54), write_number(None)
    ('1,412', '38.5', 'none')
    """
    if number is None:
        return words.NO_FIGURE
    rounded = round(number, 1)
    written = f"{rounded:,.0f}" if rounded == int(rounded) else f"{rounded:,.1f}"
    return written.replace("-", words.MINUS)


def write_distance(km: float, units: str) -> str:
    """Kilometres in the yard's units, whole.

    >>> write_distance(160.9344, "miles"), write_distance(160.9344, "km")
    ('100 mi', '161 km')
    """
    return Teller(units=units).write_distance(km, "short")


def write_goal(goal: str) -> str:
    """What a circuit was planned for, in the page's words.

    >>> write_goal("tour Gulf"), write_goal("most rest")
    ('the Gulf tour', 'the most rest')
    """
    return PLAIN.tell(state_goal(goal))


def write_objective(goal: str, number: float | None, yard: Yard) -> str:
    """An objective or bound in the unit of its goal."""
    if number is None:
        return words.NO_FIGURE
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
    found, limit = (_write_searched(goal, number, yard) for number in (objective, bound))
    if found and found == limit:
        return words.AS_GOOD_AS_CAN_BE.format(objective=found)
    edge = words.AT_LEAST if _find_goal(goal).searches_least else words.AT_MOST
    told = [words.FOUND.format(objective=found)] if found else []
    told += [edge.format(bound=limit)] if limit else []
    return "; ".join(told) or words.SEARCHING


def _write_searched(goal: str, number: float | None, yard: Yard) -> str:
    if number is None:
        return ""
    unit = _find_goal(goal).search_unit
    if unit in ("cents", "km"):
        return write_objective(goal, number, yard)
    return PLAIN.tell(state_found(unit, round(number, 1)))


def _find_goal(goal: str) -> Goal:
    return find_goal(goal) or MOST_WORTH


def list_figures(yard: Yard, circuit: Circuit) -> tuple[tuple[str, str], ...]:
    """What stands under a circuit's name: term and figure."""
    totals = circuit.totals
    return (
        (words.GOAL, write_goal(circuit.goal)),
        (words.STATUS, words.STATUS_IN_WORDS.get(circuit.status, circuit.status)),
        (words.WORTH, write_number(totals.worth)),
        (words.BOUND, write_objective(circuit.goal, circuit.bound, yard)),
        (words.COST, write_money(totals.cost_cents, yard.currency)),
        (words.ROAD, write_distance(totals.road_km, yard.units)),
        (words.NIGHTS, write_number(totals.nights_away)),
        (words.TIGHTEST, write_number(totals.spare_days)),
    )


def write_dropped(yard: Yard, circuit: Circuit) -> Markup:
    """Entries sent or paid that a circuit cannot keep: why, and what is at risk."""
    if not circuit.dropped_entries:
        return Markup("")
    teller = choose_teller(yard)
    said = (
        words.DROPPED_ENTRY.format(
            horse=entry.horse,
            show=entry.show,
            name=entry.class_name,
            why=teller.tell(entry.why),
            money=write_money(entry.cents, yard.currency),
        )
        for entry in circuit.dropped_entries
    )
    return wrap("div", wrap("h4", write_text(words.DROPPED)) + write_list(said), "dropped")


def label_circuit(yard: Yard, circuit: Circuit) -> str:
    """One line that tells a circuit from the others in a list."""
    return (
        f"{circuit.name}: worth {write_number(circuit.totals.worth)}, "
        f"{write_money(circuit.totals.cost_cents, yard.currency)}"
    )


ASKED = {
    words.WORTH: "worth",
    words.STATUS: "status",
    words.BOUND: "bound",
    words.COST: "cost_cents",
    words.ROAD: "road_km",
    words.NIGHTS: "nights_away",
    words.TIGHTEST: "spare_days",
    words.AIMS: "aims_met",
}


def write_asked_pairs(pairs: tuple[tuple[str, str], ...], side: str) -> Markup:
    """Terms and figures; a figure that has parts is a button that asks for them."""
    inside = Markup("")
    for term, said in pairs:
        shown = write_text(said)
        if term in ASKED:
            shown = wrap(
                "button",
                shown,
                "figure",
                type="button",
                **{
                    "data-do": "figure",
                    "data-name": ASKED[term],
                    "data-side": side,
                    "data-key": f"figure-{side}-{ASKED[term]}",
                    "title": words.ASK_FIGURE,
                },
            )
        inside += wrap("div", wrap("dt", write_text(term)) + wrap("dd", shown))
    return wrap("dl", inside, "figures")
