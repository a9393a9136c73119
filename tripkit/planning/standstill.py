"""Why no horse goes anywhere, where none can: what bars most pairs of a horse and a show."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from tripkit.planning.problem import Problem
from tripkit.yard.answers import HEIGHT, Bar
from tripkit.yard.facts import Fact, state
from tripkit.yard.yard import Yard


def list_bars(problem: Problem) -> tuple[Fact, ...]:
    """What bars most pairs of a horse and a show, then the others; or the one thing lacking."""
    yard, excluded = problem.yard, problem.excluded
    if not yard.vehicles:
        return (state("planning.no-lorry"),)
    if not yard.riders:
        return (state("planning.no-rider"),)
    if yard.is_over:
        return (state("planning.all-past"),)
    pairs = len(yard.horses) * len(yard.shows)
    counts = Counter(
        said
        for (horse, show), bars in excluded.items()
        for said in _name_bars(yard, horse, show, bars)
    )
    return tuple(
        said
        if count == pairs
        else state("planning.bar-of-pairs", bar=said, count=count, pairs=pairs)
        for said, count in counts.most_common()
    )


def _name_bars(yard: Yard, horse: str, show: str, bars: tuple[Bar, ...]) -> Iterator[Fact]:
    known = yard.horse_by_name[horse]
    low, high = known.from_height_cm, known.to_height_cm
    if not any(low <= c.height_cm <= high for c in yard.show_by_name[show].classes):
        yield state("planning.no-fitting-height")
        return
    ruled = [bar for bar in bars if bar.rule]
    # Of the classes of other heights nobody wants to know at a show that has a fitting one.
    ruled = [bar for bar in ruled if bar.part != HEIGHT] or ruled
    if ruled:
        yield from dict.fromkeys(Fact(f"judging.bar-{bar.rule}") for bar in ruled)
    else:
        yield state("planning.bars", bars=tuple(bar.why for bar in bars))
