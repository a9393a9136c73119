"""Twice the rows are twice the work, counted in lines of tripkit's own code that are run.

`tests.bench.reading` takes the time.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

import tripkit
from tests.counting import count_steps
from tests.files.folders import GOOD, list_faults, write_folder
from tripkit.files import lookalikes
from tripkit.yard import names

SETTINGS = GOOD["yard.toml"] + '[driving]\nroads = "estimate"\n'
LAST_DAY = date(2027, 2, 20)


def write_rows(table: str, count: int) -> str:
    """A file of the good folder with so many rows more, of one horse and all different."""
    lines = {
        "results": ("horse,date,show,class", "Bella,{day},Past {i},1.20"),
        "vet_checks": ("horse,date,cleared", "Bella,{day},yes"),
        "papers": ("horse,paper,date", "Bella,influenza,{day}"),
        "treatments": ("horse,substance,date", "Bella,phenylbutazone,{day}"),
        "absences": ("who,first_day,last_day", "Bella,{day},{day}"),
        "entries": ("horse,show,class,status,date", "Bella,Oak 1,Final,wanted,{day}"),
        "classes": (GOOD["classes.csv"].strip(), "Oak 2,Class {i},2027-04-15,120,50"),
        "people": (GOOD["people.csv"].strip(), "P{i},groom,"),
    }
    head, row = lines[table]
    days = (LAST_DAY - timedelta(days=2 * i) for i in range(count))
    return "\n".join([head, *(row.format(i=i, day=day) for i, day in enumerate(days))]) + "\n"


def measure(folder: Path, files: dict[str, str | bytes | None]) -> int:
    written = write_folder(folder, {"yard.toml": SETTINGS, **files})

    def read() -> None:
        yard = tripkit.read_yard(written, today=date(2027, 2, 28))
        assert yard.history is not None
        tripkit.findings(yard)

    return count_steps(read, calls=False)


@pytest.mark.parametrize(
    "table",
    ["results", "vet_checks", "papers", "treatments", "absences", "entries", "classes", "people"],
)
def test_twice_the_rows_are_twice_the_work(tmp_path: Path, table: str) -> None:
    """From 400 to 800 rows twice as much is added as from 200 to 400, and no more."""
    file = f"{table}.csv"
    # What is loaded once and kept is loaded before the others are counted.
    _, small, middle, large = (
        measure(tmp_path / str(n), {file: write_rows(table, n)}) for n in (1, 200, 400, 800)
    )
    assert large - middle <= 2.1 * (middle - small)


@pytest.mark.parametrize("show", ["", "Oak 1"])
def test_the_past_at_one_show_is_one_pass(tmp_path: Path, show: str) -> None:
    """Nowhere in particular, and over and over at the same show: an outing each, days apart."""
    sizes = []
    for count in (1, 200, 400, 800):
        days = (LAST_DAY - timedelta(days=20 * i) for i in range(count))
        text = "horse,date,show\n" + "".join(f"Bella,{day},{show}\n" for day in days)
        sizes.append(measure(tmp_path / str(count), {"results.csv": text}))
    _, small, middle, large = sizes
    assert large - middle <= 2.1 * (middle - small)


def test_near_names_are_looked_for_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A horse that is unknown in 300 rows is compared with the known ones once."""
    asked = []

    def find(text: str, *others: Any) -> list[str]:
        asked.append(text)
        return []

    monkeypatch.setattr(names, "get_close_matches", find)
    text = write_rows("results", 300).replace("Bella", "Zorro")
    assert len(list_faults(tmp_path, {"results.csv": text})) == 300
    assert asked.count("zorro") == 1


def test_numbered_shows_are_not_held_against_each_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another digit is another word: 300 past shows that differ by it alone are not compared."""
    compared = []

    def compare(left: str, right: str) -> bool:
        compared.append((left, right))
        return False

    monkeypatch.setattr(lookalikes, "is_slip", compare)
    tripkit.read_yard(write_folder(tmp_path, {"results.csv": write_rows("results", 300)}))
    assert [pair for pair in compared if "Past" in pair[0]] == []
