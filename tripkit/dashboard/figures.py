"""Figures of a circuit as the page writes them."""

from __future__ import annotations

from markupsafe import Markup

from tripkit.dashboard.markup import render
from tripkit.season.scorecard import find_lacks
from tripkit.words import page as words
from tripkit.words.figures import write_distance, write_goal, write_number, write_objective
from tripkit.words.formats import write_money
from tripkit.words.telling import choose_teller
from tripkit.yard.circuit import Circuit
from tripkit.yard.yard import Yard


def list_figures(yard: Yard, circuit: Circuit) -> tuple[tuple[str, str], ...]:
    """What stands under a circuit's name: term and figure."""
    totals = circuit.totals
    # The title of an aim has commas of its own.
    aims = ((words.AIMS, "; ".join(totals.aims_met) or words.NO_FIGURE),) if yard.aims else ()
    tell = choose_teller(yard).tell
    lacks = "; ".join(tell(lack.fact) for lack in find_lacks(yard, circuit.outings))
    missing = ((words.MISSING, lacks),) if lacks else ()
    proof = "; ".join(tell(what) for what in circuit.leaves_out)
    left_out = ((words.LEFT_OUT, proof),) if proof else ()
    return (
        (words.GOAL, write_goal(circuit.goal)),
        (words.STATUS, words.STATUS_IN_WORDS.get(circuit.status, circuit.status)),
        *left_out,
        (words.WORTH, write_number(totals.worth)),
        (words.BOUND, write_objective(circuit.goal, circuit.bound, yard)),
        (words.COST, write_money(totals.cost_cents, yard.currency)),
        (words.ROAD, write_distance(totals.road_km, yard.units)),
        (words.NIGHTS, write_number(totals.nights_away)),
        (words.TIGHTEST, write_number(totals.spare_days)),
        *missing,
        *aims,
    )


def write_dropped(yard: Yard, circuit: Circuit) -> Markup:
    """Entries sent or paid that a circuit cannot keep: why, and what is at risk."""
    if not circuit.dropped_entries:
        return Markup("")
    tell = choose_teller(yard).tell
    return render("dropped", entries=[tell(entry.fact) for entry in circuit.dropped_entries])


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
    words.MISSING: "missing_outings",
    words.AIMS: "aims_met",
}


def write_asked_pairs(pairs: tuple[tuple[str, str], ...], side: str) -> Markup:
    """Terms and figures; a figure that has parts is a button that asks for them."""
    return render("figures", pairs=pairs, side=side, asked=ASKED)
