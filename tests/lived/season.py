"""A season of fourteen weeks with its mishaps: `python -m tests.lived.season [--yard sample]`.

Week by week the clock moves on, what was ridden is written down, something goes wrong, the yard
plans again and publishes, and every reader's calendar is held to what he was shown before.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from tests.lived.world import Counts, World
from tests.lived.yard import WEEKS, write_lived_yard

Happening = Callable[[World], str]

HAPPENINGS: Mapping[int, Happening] = {
    2: lambda world: world.go_lame("Birch"),
    3: lambda world: world.move_show("Pine 3", 7),
    4: lambda world: world.get_sound("Birch"),
    5: lambda world: world.be_absent("Blue lorry", 9, "workshop"),
    6: lambda world: world.cancel_show("Pine 4"),
    7: lambda world: world.be_absent("Ben Lark", 7, "family"),
    8: lambda world: world.scratch(),
    9: lambda world: world.rename("horse", "Comet", "Comet II"),
    10: lambda world: world.rename("person", "Olga Moss", "Olga Mosse"),
}


@dataclass(frozen=True)
class Week:
    """What a week brought."""

    number: int
    today: str
    happened: str
    circuit: str
    counts: Counts
    wrong: tuple[str, ...]
    seconds: float


def live(world: World, weeks: int, happenings: Mapping[int, Happening]) -> Iterator[Week]:
    """The season is lived week by week from the day before it."""
    for number in range(weeks):
        began, known = time.perf_counter(), len(world.violations)
        if number:
            world.pass_days(7 if number > 1 else 1)
        happened = [happenings[number](world)] if number in happenings else []
        paid = world.pay_entries()
        counts = world.plan_and_publish()
        circuit = world.circuit
        assert circuit is not None
        totals = circuit.totals
        yield Week(
            number,
            str(world.today),
            "; ".join(filter(None, [*happened, paid])),
            f"{totals.outings} outings, worth {totals.worth:g}, {circuit.status}",
            counts,
            tuple(world.violations[known:]),
            time.perf_counter() - began,
        )


COLUMNS = "{:>4}  {:10}  {:44}  {:>4}  {:>5}  {:>9}  {:>17}  {:>5}  {}"
HEAD = COLUMNS.format(
    *("week", "today", "circuit", "new", "moved", "cancelled", "ended as they were", "wrong"),
    "what happened",
)


def write_week(week: Week) -> str:
    """One row of the table, what went wrong below it."""
    counts = week.counts
    row = COLUMNS.format(
        *(week.number, week.today, week.circuit, counts.new, counts.moved, counts.cancelled),
        *(counts.ended, len(week.wrong), week.happened),
    )
    return "\n".join([row.rstrip(), *(f"      {words}" for words in week.wrong)])


def main() -> None:
    """Lives the season and prints its table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--weeks", type=int, default=WEEKS)
    parser.add_argument("--seconds", type=int, default=20, help="for each planning")
    parser.add_argument("--keep", type=int, default=1)
    parser.add_argument("--without", type=int, nargs="*", default=[], help="weeks without mishap")
    asked = parser.parse_args()
    happenings = {n: what for n, what in HAPPENINGS.items() if n not in asked.without}
    with tempfile.TemporaryDirectory() as scratch:
        folder = write_lived_yard(Path(scratch) / "marsh")
        world = World(folder, seconds=asked.seconds, keep=asked.keep)
        lived = []
        print(HEAD)
        for week in live(world, asked.weeks, happenings):
            lived.append(week)
            print(write_week(week), flush=True)
    wrong = sum(len(week.wrong) for week in lived)
    print(f"{len(lived)} weeks, {wrong} violations, {sum(w.seconds for w in lived):.0f} s")


if __name__ == "__main__":
    main()
