"""What each habit of the planner costs, on tiny yards: `python -m tests.brute.measure`.

A table of yards and freedoms: the most worth with the planner's habits, what each freedom adds to
it alone and what is lost when it alone is taken from all of them, and what all add together. Below
it the same as the lines of the handbook have it. Nothing here is run by the tests.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from tests.brute.freedoms import ALL, NAMES, TODAY, Freedoms
from tests.brute.search import STEPS, find_most
from tests.brute.yards import make_tiny_yard

YARDS = 240


def list_cases() -> dict[str, Freedoms]:
    """What is searched in each yard: the column's name, and the freedoms."""
    cases = {"today": TODAY, "all": ALL}
    cases |= {f"+{name}": replace(TODAY, **{name: True}) for name in NAMES}
    cases |= {f"-{name}": replace(ALL, **{name: False}) for name in NAMES}
    return cases


def measure(numbers: Sequence[int], steps: int) -> dict[str, list[Decimal | None]]:
    """The most worth of each yard by case; None where the search did not end."""
    found: dict[str, list[Decimal | None]] = {name: [] for name in list_cases()}
    for number in numbers:
        yard = make_tiny_yard(number)
        for name, freedoms in list_cases().items():
            answer = find_most(yard, freedoms, steps)
            found[name].append(None if answer is None else answer.worth)
    return found


def sum_up(less: Sequence[Decimal | None], more: Sequence[Decimal | None]) -> str:
    """In how many yards more is more, by how much on average over all and at the most [%]."""
    pairs = [(a, b) for a, b in zip(less, more, strict=True) if a is not None and b is not None]
    # Where nothing else is worth anything, all of it is more.
    gains = [float((b - a) / a * 100) if a else 100.0 * bool(b) for a, b in pairs]
    beaten = sum(gain > 0 for gain in gains)
    mean, worst = sum(gains) / len(gains), max(gains)
    return f"{beaten} of {len(gains)}; {mean:.1f} %; {worst:.0f} %"


def main() -> None:
    """Prints the table of yards, then the summary of freedoms."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--yards", type=int, default=YARDS, help="how many yards")
    parser.add_argument("--steps", type=int, default=STEPS, help="most steps of one search")
    asked = parser.parse_args()
    numbers = range(asked.yards)
    found = measure(numbers, asked.steps)
    print("| yard | " + " | ".join(found) + " |")
    print("|---" * (len(found) + 1) + "|")
    for at, number in enumerate(numbers):
        row = [worths[at] for worths in found.values()]
        if len(set(row)) > 1:
            print(f"| {number} | " + " | ".join("-" if w is None else f"{w:g}" for w in row) + " |")
    print("\nYards where it is worth more; on average over all yards; at the most")
    print("| freedom | added to the planner's habits | the last one added to all others |")
    print("|---|---|---|")
    for name in NAMES:
        added = sum_up(found["today"], found[f"+{name}"])
        last = sum_up(found[f"-{name}"], found["all"])
        print(f"| {name} | {added} | {last} |")
    print(f"| all | {sum_up(found['today'], found['all'])} | |")


if __name__ == "__main__":
    main()
