"""What came of a planning, and what undoing it brings back."""

from __future__ import annotations

from dataclasses import dataclass

from tripkit.circuit import Circuit
from tripkit.dashboard import words
from tripkit.wishes import Wishes
from tripkit.yard import Yard


@dataclass(frozen=True)
class Outcome:
    """What came of a planning, handed from its thread to that of the page."""

    yard: Yard
    wishes: Wishes
    circuits: tuple[Circuit, ...]
    unkept: tuple[str, ...]
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


def say_end(circuits: tuple[Circuit, ...], seconds: float, stopped: bool) -> str:
    """What came of a planning, in one sentence."""
    found = [circuit for circuit in circuits if circuit.exists]
    if stopped:
        return words.STOPPED if found else words.STOPPED_EARLY
    if not found:
        return words.PLANNED_NONE
    proved = sum(circuit.status == "proved best" for circuit in found)
    told = words.SOME_PROVED.format(count=proved) if proved else words.NONE_PROVED
    said = words.PLANNED if len(found) > 1 else words.PLANNED_ONE
    return said.format(
        count=len(found),
        seconds=f"{seconds:.0f}",
        proved=words.ALL_PROVED if proved == len(found) else told,
    )
