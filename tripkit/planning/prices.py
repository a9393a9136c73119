"""What a season can bring at most, and what is lost at least by going through a window.

Any prices of the rows bound a program: what the rows allow at their prices, plus the most that
each column and each horse's path still bring beside them. So the prices may come from a solver
that stopped early, and the bound holds all the same.

**Source:** A. M. Geoffrion, Lagrangean relaxation for integer programming, Mathematical
Programming Study 2 (1974).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from tripkit.planning.chances import Window
from tripkit.planning.mip import INFINITY, Mip
from tripkit.planning.paths import Enter, HorseGraph
from tripkit.planning.program import Season

Stay = tuple[str, str, Window]
"""A horse at a show in one window."""


@dataclass(frozen=True)
class Outline:
    """A bound of a season's objective, and what each stay loses against it at the least."""

    bound: float
    losses: Mapping[Stay, float]

    @property
    def order(self) -> tuple[Stay, ...]:
        """Stays, those first that lose least."""

        def rank(stay: Stay) -> tuple[float, str, str, int, int]:
            horse, show, window = stay
            return self.losses[stay], horse, show, window.first, window.last

        return tuple(sorted(self.losses, key=rank))


def read_outline(season: Season, mip: Mip, prices: np.ndarray) -> Outline:
    """The bound and the losses under prices of the rows of the season's own program.

    `mip` has the objective; its first rows and columns are those of `season.mip`. In the numbers
    of the objective as it stands there, whichever way it goes.
    """
    own, sign = season.mip, 1.0 if mip.maximise else -1.0
    rows, columns = len(own.row_lower), len(own.lower)
    low, high = np.array(own.row_lower), np.array(own.row_upper)
    price = sign * prices[:rows]
    price[(price > 0) & ~np.isfinite(high)] = 0.0
    price[(price < 0) & ~np.isfinite(low)] = 0.0
    allowed = np.where(price > 0, high, low)
    bound = float(np.sum(price[price != 0] * allowed[price != 0]))
    brings = sign * np.array(mip.cost[:columns])
    row_of = np.repeat(np.arange(rows), np.diff(np.array(own.starts)))
    np.subtract.at(brings, np.array(own.columns), price[row_of] * np.array(own.entries))
    at_best = np.where(brings > 0, np.array(own.upper), np.array(own.lower))
    bound += float(np.sum(brings * at_best))
    losses: dict[Stay, float] = {}
    for graph in season.graphs.values():
        through, best = _measure_arcs(season, graph, price)
        bound += best
        for marks, most in zip(graph.marks, through, strict=True):
            for mark in marks:
                if isinstance(mark, Enter):
                    chance, window = mark.chance, mark.window
                    own_loss = max(0.0, -float(brings[season.window_of[chance, window]]))
                    stay = (chance.horse, chance.show, window)
                    losses[stay] = min(losses.get(stay, INFINITY), best - most + own_loss)
    return Outline(sign * bound, losses)


def _measure_arcs(
    season: Season, graph: HorseGraph, price: np.ndarray
) -> tuple[list[float], float]:
    """The most that a horse's season through each arc brings, and the most of all."""
    values = [sum(float(price[season.mark_rows[mark]]) for mark in marks) for marks in graph.marks]
    ahead, behind = [-INFINITY] * graph.nodes, [-INFINITY] * graph.nodes
    ahead[0] = behind[graph.sink] = 0.0
    arcs = list(zip(graph.tails, graph.heads, values, strict=True))
    for tail, head, value in arcs:
        ahead[head] = max(ahead[head], ahead[tail] + value)
    for tail, head, value in reversed(arcs):
        behind[tail] = max(behind[tail], behind[head] + value)
    return [ahead[tail] + v + behind[head] for tail, head, v in arcs], ahead[graph.sink]
