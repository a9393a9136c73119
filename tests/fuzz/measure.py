"""All malformed input at once: `python -m tests.fuzz.measure`, with a table of what became of it.

`--sample N` draws N cases of the sample yard besides, `--only TEXT` tries those with TEXT in
their name.
"""

from __future__ import annotations

import argparse
import random
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from tests.fuzz.calendars import list_calendar_cases
from tests.fuzz.circuits import CircuitBench, list_circuit_cases, make_document
from tests.fuzz.folders import (
    Case,
    list_sample_cases,
    list_sample_files,
    list_small_cases,
    list_small_files,
)
from tests.fuzz.outcome import (
    TRACEBACK,
    Bench,
    Outcome,
    count_answers,
    list_unreviewed,
    read_reviewed,
)
from tests.fuzz.settings import list_settings_cases
from tests.fuzz.workbooks import WorkbookBench, list_workbook_cases


def list_tries(
    scratch: Path, sample: int, seed: int
) -> Iterator[tuple[Bench | CircuitBench, Case]]:
    """Every case with the bench on which it is tried."""
    small = Bench(scratch / "small", list_small_files())
    for cases in (list_small_cases(), list_settings_cases(), list_calendar_cases()):
        yield from ((small, case) for case in cases)
    book = WorkbookBench(scratch / "book")
    yield from ((book, case) for case in list_workbook_cases())
    folder = scratch / "planned"
    Bench(folder, list_small_files())
    document = make_document(folder)
    circuits = CircuitBench(folder, document)
    yield from ((circuits, case) for case in list_circuit_cases(document))
    if sample:
        whole = Bench(scratch / "sample", list_sample_files())
        yield from ((whole, case) for case in list_sample_cases(sample, seed))


def main() -> None:
    """Tries everything and prints the table, then what nobody reviewed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sample", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    parser.add_argument("--draw", type=int, default=0, metavar="N", help="N of them by lot")
    parser.add_argument("--all", action="store_true", help="print every outcome")
    asked = parser.parse_args()
    began = time.perf_counter()
    with tempfile.TemporaryDirectory() as scratch:
        tries = list_tries(Path(scratch), asked.sample, asked.seed)
        chosen = [(bench, case) for bench, case in tries if asked.only in case.name]
        if asked.draw:
            count = min(asked.draw, len(chosen))
            chosen = random.Random(asked.seed).sample(chosen, count)
        outcomes: list[Outcome] = [bench.try_case(case) for bench, case in chosen]
    reviewed = read_reviewed()
    left = list_unreviewed(outcomes, reviewed)
    for (meant, answer), count in sorted(count_answers(outcomes).items()):
        print(f"{count:6}  {meant:9} {answer}")
    tracebacks = sum(o.answer == TRACEBACK for o in outcomes)
    silent = sum(o.is_silent for o in outcomes)
    print(
        f"{len(outcomes)} inputs in {time.perf_counter() - began:.0f} s: {tracebacks} tracebacks, "
        f"{silent} silent changes, {len(left)} of both not reviewed"
    )
    for outcome in outcomes if asked.all else left:
        print(outcome)


if __name__ == "__main__":
    main()
