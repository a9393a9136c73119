"""What came of a planning, and what undoing it brings back."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tripkit.season.wishes import Wishes
from tripkit.words import page as words
from tripkit.words.faults import fold_errors, tell_error
from tripkit.yard.circuit import PROVED, Circuit, name_status
from tripkit.yard.errors import BadYard
from tripkit.yard.facts import Fact
from tripkit.yard.goals import MOST_WORTH, find_goal
from tripkit.yard.yard import Yard


@dataclass(frozen=True)
class Outcome:
    """What came of a planning, handed from its thread to that of the page.

    `files` is the digest of the files that it was planned from.
    """

    yard: Yard
    files: str
    wishes: Wishes
    circuits: tuple[Circuit, ...]
    unkept: tuple[Fact, ...]
    stopped: bool
    notice: str
    advice: str


@dataclass(frozen=True)
class Before:
    """What undoing brings back."""

    circuits: tuple[Circuit, ...]
    planned: Wishes
    wishes: Wishes
    left: str
    right: str


PROVED_NONE = "none exists"


def keep_what_stands(
    yard: Yard,
    wishes: Wishes,
    before: Iterable[Circuit],
    found: Sequence[Circuit],
    find_violations: Callable[[Yard, Circuit], Sequence[object]],
) -> tuple[Circuit, ...]:
    """A circuit at hand that keeps every rule and wish and is no worse than the new one stays.

    Nothing moves without a gain, and a search that ran out of time loses nothing. With a tour
    wished for, the new circuits are taken as they are. A goal beside most worth keeps its old
    circuit only above the yard's floor of the new most worth.
    """
    if wishes.tour:
        return tuple(found)
    most = max((c.objective or 0.0 for c in found if c.goal == MOST_WORTH.id), default=0.0)
    at_hand = {(c.name, c.goal): c for c in before if c.exists}
    kept = []
    for circuit in found:
        old = at_hand.get((circuit.name, circuit.goal))
        if old is not None and _is_no_worse(old, circuit, most * yard.limits.worth_floor):
            pairs = {(outing.horse, outing.show) for outing in old.outings}
            wished = pairs.issuperset(wishes.held) and pairs.isdisjoint(wishes.forbidden)
            if wished and not find_violations(yard, old):
                circuit = _bound(old, circuit)
        kept.append(circuit)
    return tuple(kept)


def _bound(old: Circuit, new: Circuit) -> Circuit:
    """A circuit at hand with what the new search says of how good one can be at most."""
    assert old.objective is not None
    assert new.bound is not None
    goal = find_goal(old.goal) or MOST_WORTH
    bound = (min if goal.least else max)(new.bound, old.objective)
    status = name_status(old.objective, bound, new.leaves_out)
    return replace(old, status=status, bound=bound, seconds=new.seconds, leaves_out=new.leaves_out)


def _is_no_worse(old: Circuit, new: Circuit, floor: float) -> bool:
    if not new.exists or old.objective is None or new.objective is None or new.bound is None:
        return False
    if old.point_price_cents != new.point_price_cents:
        return False
    goal = find_goal(new.goal) or MOST_WORTH
    gained = new.objective - old.objective
    reached = gained >= 0 if goal.least else gained <= 0
    return reached and (not goal.saves or old.totals.worth >= floor)


def read_or_tell(read: Callable[[Path], Yard], folder: Path) -> tuple[Yard | None, tuple[str, ...]]:
    """A yard, or what is wrong with its files: a page that shows nothing helps nobody."""
    try:
        return read(folder), ()
    except BadYard as bad:
        return None, fold_errors(bad.errors)
    except Exception as bad:
        return None, (words.YARD_FAILED.format(reason=tell_error(bad)),)


def settle(outcome: Outcome, at_hand: Iterable[Circuit]) -> tuple[tuple[Circuit, ...], str]:
    """The circuits that are laid on the desk after a planning, and what is said of it.

    Who stops early loses nothing: goals not reached keep the circuit they had. Wishes that leave
    no circuit take none away; the reasons stand under the plan.
    """
    circuits, notice = outcome.circuits, outcome.notice
    before = {circuit.name: circuit for circuit in at_hand if circuit.exists}
    if outcome.stopped:
        new = {c.name: c for c in circuits if c.exists or c.name not in before}
        circuits = tuple((before | new).values())
    elif circuits and before and not any(circuit.exists for circuit in circuits):
        none = (replace(circuit, name=f"{circuit.name}, as wished") for circuit in circuits)
        circuits = (*before.values(), *none)
        proved = all(circuit.status == PROVED_NONE for circuit in outcome.circuits)
        notice = words.NONE_WITH_WISHES if proved else words.NONE_IN_TIME_WITH_WISHES
    return circuits, notice


def say_end(circuits: tuple[Circuit, ...], seconds: float, stopped: bool) -> str:
    """What came of a planning, in one sentence."""
    found = [circuit for circuit in circuits if circuit.exists]
    if stopped:
        return words.STOPPED if found else words.STOPPED_EARLY
    if not found:
        sure = all(circuit.status == PROVED_NONE for circuit in circuits)
        return words.PLANNED_NONE if sure else words.PLANNED_NONE_IN_TIME
    proved = sum(circuit.status in PROVED for circuit in found)
    told = words.SOME_PROVED.format(count=proved) if proved else words.NONE_PROVED
    kind = words.OF_THEIR_KIND if any(circuit.leaves_out for circuit in found) else ""
    said = words.PLANNED if len(found) > 1 else words.PLANNED_ONE
    return said.format(
        count=len(found),
        seconds=f"{seconds:.0f}",
        proved=(words.ALL_PROVED if proved == len(found) else told) + kind,
    )
