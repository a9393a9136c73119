"""How long it takes to read a yard by the rows of its files: `python -m tests.bench.reading`."""

from __future__ import annotations

import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

from tests.files.folders import GOOD, write_folder
from tripkit.eligibility.checklist import findings
from tripkit.files import read_yard

SIZES = (1_000, 2_000, 4_000, 8_000)
HORSES = 12
TODAY = date(2027, 2, 28)


def write_results(folder: Path, rows: int) -> Path:
    """The good folder of the tests with a stable of horses and a past of so many starts."""
    names = [f"H{i}" for i in range(HORSES)]
    starts = "".join(
        f"{names[i % HORSES]},{TODAY - timedelta(1 + i // HORSES)},Past {i // HORSES // 3},120\n"
        for i in range(rows)
    )
    files = {
        "horses.csv": GOOD["horses.csv"] + "".join(f"{name},2016,100,120,\n" for name in names),
        "shares.csv": None,
        "results.csv": "horse,date,show,height_cm\n" + starts,
    }
    return write_folder(folder, files)


def write_calendar(folder: Path, rows: int) -> Path:
    """The good folder with so many classes, five a show, all at one place."""
    shows, classes = [], []
    for i in range(rows // 5):
        first = date(2027, 3, 10) + timedelta(days=i % 80)
        shows.append(f'S{i},"Tallahassee, FL",{first},{first + timedelta(days=4)},\n')
        classes += [f"S{i},C{k},{first + timedelta(days=k)},120,50\n" for k in range(5)]
    files = {
        "shows.csv": GOOD["shows.csv"] + "".join(shows),
        "classes.csv": GOOD["classes.csv"] + "".join(classes),
    }
    return write_folder(folder, files)


def measure() -> list[tuple[str, int, float, float]]:
    """What grows, rows, seconds of reading, of history and findings; a first reading before."""
    measured = []
    with tempfile.TemporaryDirectory() as scratch:
        for name, write in (("results", write_results), ("classes", write_calendar)):
            read_yard(write(Path(scratch) / name, 10), today=TODAY)
            for rows in SIZES:
                folder = write(Path(scratch) / f"{name}{rows}", rows)
                began = time.perf_counter()
                yard = read_yard(folder, today=TODAY)
                read = time.perf_counter()
                assert yard.history is not None
                findings(yard)
                measured.append((name, rows, read - began, time.perf_counter() - read))
    return measured


if __name__ == "__main__":
    for name, rows, read, found in measure():
        print(f"{rows:>6} {name}: read {read:.2f} s, history and findings {found:.2f} s")
