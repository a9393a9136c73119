"""Puts faults into a copy of the package, one at a time, and runs the tests that could find each.

`python -m tests.mutants.run [--seed S] [--count N] [--rooms ROOM ...]`, and `--after N` to go on
behind the first N of that choice, `--minutes M` to begin no other one after so many.

A fault is killed by the first test that fails; one whose tests do not end within `--seconds` hangs.
One that lives and has no reason in `survivors.toml` makes the run end with 1.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import shutil
import signal
import sys
import tempfile
import time
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from tests.mutants.choosing import ROOMS, ROOT, choose_mutants, list_room, list_tests
from tests.mutants.operators import Mutant, put_in

SURVIVORS = Path(__file__).with_name("survivors.toml")
COPIED = ("tripkit", "tests", "sample_calendar", "pyproject.toml", "DEVELOPERS.md", "README.md")
SAID = "said.txt"
HOUR_SECONDS = 3600.0
# Each run begins with these, which cost more to import than many a test takes.
LOADED = ("pytest", "numpy", "scipy.spatial", "openpyxl", "icalendar", "geopy")


def main() -> int:
    """The run: 0 where every fault that lives has its reason."""
    asked = _read_arguments()
    reasons = read_survivors()
    mutants = choose_mutants(
        {room: list_room(room) for room in asked.rooms}, asked.seed, asked.count
    )
    for module in LOADED:
        __import__(module)
    counts: Counter[str] = Counter()
    until = time.monotonic() + asked.minutes * 60
    with tempfile.TemporaryDirectory() as folder:
        for name in COPIED:
            copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
            copy(ROOT / name, Path(folder, name))
        sound = sorted({test for m in mutants[asked.after :] for test in list_tests(m)})
        if _run_tests(Path(folder), sound, HOUR_SECONDS) != "lives":
            print(Path(folder, SAID).read_text(encoding="utf-8")[-2000:])
            print("the tests fail, or do not end, before anything is changed")
            return 2
        for mutant in mutants[asked.after :]:
            if time.monotonic() > until:
                break
            outcome = _try_mutant(Path(folder), mutant, asked.seconds)
            reason = reasons.get((mutant.file, mutant.function, mutant.change), "")
            if outcome == "lives" and reason:
                outcome = "reasoned"
            counts[outcome] += 1
            print(
                f"{outcome:9}{mutant.file}:{mutant.line}  {mutant.function}  {mutant.change}",
                end="",
            )
            print(f"  ({reason})" if reason else "", flush=True)
    print(", ".join(f"{count} {outcome}" for outcome, count in sorted(counts.items())))
    return 1 if counts["lives"] else 0


def _read_arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.mutants.run")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--after", type=int, default=0)
    parser.add_argument("--rooms", nargs="+", default=ROOMS)
    parser.add_argument("--seconds", type=float, default=300.0)
    parser.add_argument("--minutes", type=float, default=float("inf"))
    return parser.parse_args()


def read_survivors() -> dict[tuple[str, str, str], str]:
    """The faults known to live, by file, function and change, and why each may."""
    rows = tomllib.loads(SURVIVORS.read_text(encoding="utf-8"))["survivor"]
    return {(row["file"], row["function"], row["change"]): row["reason"] for row in rows}


def _try_mutant(folder: Path, mutant: Mutant, seconds: float) -> str:
    path = folder / "tripkit" / mutant.file
    source = path.read_text(encoding="utf-8")
    for old in path.parent.glob(f"__pycache__/{path.stem}.*.pyc"):
        old.unlink()
    path.write_text(put_in(source, mutant), encoding="utf-8")
    try:
        return _run_tests(folder, list_tests(mutant), seconds)
    finally:
        path.write_text(source, encoding="utf-8")
        for old in path.parent.glob(f"__pycache__/{path.stem}.*.pyc"):
            old.unlink()


def _run_tests(folder: Path, tests: list[str], seconds: float) -> str:
    """Whether a fault is killed, hangs or lives; each run is a process of its own."""
    process = multiprocessing.get_context("fork").Process(target=_work, args=(folder, tests))
    process.start()
    process.join(seconds)
    if process.is_alive() and process.pid is not None:
        os.killpg(process.pid, signal.SIGKILL)
        process.join()
        return "hangs"
    return "killed" if process.exitcode else "lives"


def _work(folder: Path, tests: list[str]) -> None:
    os.setsid()
    os.chdir(folder)
    said = os.open(SAID, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(said, 1)
    os.dup2(said, 2)
    os.environ["PYTHONPATH"] = str(folder)
    sys.path[:] = [str(folder), *(p for p in sys.path if p and Path(p).resolve() != ROOT)]
    for name in list(_list_own_modules()):
        del sys.modules[name]
    import pytest

    options = ["-x", "-q", "-p", "no:cacheprovider", "--hypothesis-seed=0"]
    os._exit(pytest.main([*options, *tests]))


def _list_own_modules() -> Iterator[str]:
    return (name for name in [*sys.modules] if name.partition(".")[0] in ("tests", "tripkit"))


if __name__ == "__main__":
    sys.exit(main())
