"""What each freedom is worth, on tiny yards: `python -m tests.brute.measure`.

A table of the yards in which some freedom is worth something: the most worth with none, with all,
with each one alone, and with all but one, and what the planner finds. More freedom is never worth
less, so where all together are worth nothing no other search is made. Below it the sums. Nothing
here is run by the tests.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from tests.brute.freedoms import ALL, NAMES, NONE, Freedoms
from tests.brute.search import STEPS, find_most
from tests.brute.yards import make_tiny_yard

YARDS = 240


def list_cases() -> dict[str, Freedoms]:
    """What is searched in each yard: the column's name, and the freedoms."""
    cases = {"none": NONE, "all": ALL}
    cases |= {f"+{name}": replace(NONE, **{name: True}) for name in NAMES}
    cases |= {f"-{name}": replace(ALL, **{name: False}) for name in NAMES}
    return cases


def measure(number: int, steps: int) -> list[Decimal | None]:
    """The most worth of a yard in each case; None where the search did not end."""
    yard = make_tiny_yard(number)
    # So that more freedom is never worth less.
    yard = replace(yard, limits=yard.limits.override({"aims": "points"}))
    found: list[Decimal | None] = []
    for freedoms in list_cases().values():
        if len(found) > 1 and found[0] is not None and found[0] == found[1]:
            found.append(found[0])
        else:
            answer = find_most(yard, freedoms, steps)
            found.append(None if answer is None else answer.worth)
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
    names = list(list_cases())
    print("| yard | " + " | ".join(names) + " |")
    print("|---" * (len(names) + 1) + "|")
    rows = []
    for number in range(asked.yards):
        row = measure(number, asked.steps)
        rows.append(row)
        if len(set(row)) > 1:
            worths = ["-" if worth is None else f"{worth:g}" for worth in row]
            print(f"| {number} | " + " | ".join(worths) + " |", flush=True)
    found = dict(zip(names, zip(*rows, strict=True), strict=True))
    print("\nYards where it is worth more; on average over all yards; at the most")
    print("| freedom | added to none | the last one added to all others |")
    print("|---|---|---|")
    for name in NAMES:
        added = sum_up(found["none"], found[f"+{name}"])
        last = sum_up(found[f"-{name}"], found["all"])
        print(f"| {name} | {added} | {last} |")
    print(f"| all | {sum_up(found['none'], found['all'])} | |")


if __name__ == "__main__":
    main()
