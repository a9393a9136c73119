"""Some 1,100 malformed inputs, drawn by lot of more than ten thousand.

None ends in a traceback, and none changes the yard without a word, but for those that were looked
at (`reviewed.txt`).

All of them: `python -m tests.fuzz.measure`.
"""

from __future__ import annotations

import random
import shutil
import unicodedata
from collections.abc import Iterable
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from tests.fuzz.calendars import list_calendar_cases
from tests.fuzz.cells import CONTROLS, FORMATS
from tests.fuzz.circuits import CircuitBench, list_circuit_cases, make_document, write_document
from tests.fuzz.folders import (
    Case,
    change_cell,
    list_sample_cases,
    list_sample_files,
    list_small_cases,
    list_small_files,
    write_csv,
)
from tests.fuzz.outcome import Bench, find_review, list_unreviewed, read_reviewed, write_file
from tests.fuzz.settings import list_settings_cases
from tests.fuzz.workbooks import WorkbookBench, list_workbook_cases
from tests.fuzz.yards import TABLES, make_records
from tripkit.commands.line import main

SEED = 11


def draw(cases: Iterable[Case], count: int) -> list[Case]:
    """Some of the cases, the same every time."""
    known = list(cases)
    return random.Random(SEED).sample(known, min(count, len(known)))


def try_and_hold(bench: Bench | CircuitBench | WorkbookBench, cases: Iterable[Case]) -> None:
    """No traceback, and no silent change that nobody looked at."""
    outcomes = [bench.try_case(case) for case in cases]
    left = list_unreviewed(outcomes, read_reviewed())
    assert not left, "\n".join(map(str, left))


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    """The small yard's folder and the document of its circuit."""
    folder = tmp_path_factory.mktemp("planned") / "small"
    Bench(folder, list_small_files())
    return folder, make_document(folder)


def test_tables(tmp_path: Path) -> None:
    """500 of the small yard's cells, columns, rows and files."""
    try_and_hold(Bench(tmp_path / "small", list_small_files()), draw(list_small_cases(), 500))


def test_settings(tmp_path: Path) -> None:
    """220 of the values, keys and sections of yard.toml."""
    try_and_hold(Bench(tmp_path / "small", list_small_files()), draw(list_settings_cases(), 220))


def test_calendars(tmp_path: Path) -> None:
    """100 organisers' calendars."""
    try_and_hold(Bench(tmp_path / "small", list_small_files()), draw(list_calendar_cases(), 100))


def test_workbooks(tmp_path: Path) -> None:
    """60 workbooks."""
    try_and_hold(WorkbookBench(tmp_path / "book"), draw(list_workbook_cases(), 60))


def test_circuits(planned: tuple[Path, dict[str, Any]]) -> None:
    """210 circuits files, each read, judged, compared, made into frames and calendars."""
    folder, document = planned
    try_and_hold(CircuitBench(folder, document), draw(list_circuit_cases(document), 210))


def test_the_sample(tmp_path: Path) -> None:
    """Ten cells and shapes of the sample yard, any row."""
    bench = Bench(tmp_path / "sample", list_sample_files())
    try_and_hold(bench, list_sample_cases(10, SEED))


def test_every_review_says_why() -> None:
    """A pattern without a reason is no review, and one that covers everything neither."""
    reviewed = read_reviewed()
    assert [pattern for pattern, why in reviewed.items() if len(why.split()) < 4] == []
    assert find_review("horses.csv:2:born:later", reviewed) is None


# What a terminal is given

SIGNS = {**CONTROLS, **FORMATS}
CELLS = (("shows", "notes"), ("vet_checks", "note"), ("horses", "horse"), ("vehicles", "vehicle"))


def is_clean(text: str) -> bool:
    """Whether a text holds no sign that takes command of a terminal or turns its line round.

    General categories Cc, Cf, Zl and Zp of the Unicode Character Database, line ends aside.
    """
    return all(
        sign == "\n" or unicodedata.category(sign) not in ("Cc", "Cf", "Zl", "Zp", "Cs")
        for sign in text
    )


@pytest.mark.parametrize("what", SIGNS)
def test_no_raw_sign_reaches_the_terminal(
    what: str, planned: tuple[Path, dict[str, Any]], capsys: pytest.CaptureFixture[str]
) -> None:
    """`check` of a yard with the sign in a name and in a note, `judge` with it in a circuit's."""
    folder, document = planned
    for table, column in CELLS:
        records = make_records(TABLES[table])
        number = records[0].index(column)
        path = folder / f"{table}.csv"
        plain = path.read_bytes()
        text = f"{SIGNS[what]} {records[1][number]}"
        path.write_bytes(write_csv(change_cell(records, 1, number, text)))
        assert main(["check", str(folder)]) in (0, 1, 2)
        path.write_bytes(plain)
    named = deepcopy(document)
    named["circuits"][0]["name"] = SIGNS[what]
    path = folder.with_name("named.json")
    path.write_bytes(write_document(named))
    assert main(["judge", str(folder), str(path)]) in (0, 1, 2)
    said = capsys.readouterr()
    assert said.out or said.err
    assert is_clean(said.out)
    assert is_clean(said.err)


def test_a_file_becomes_a_folder_and_back(tmp_path: Path) -> None:
    """The bench leaves no trace of a case behind (held, because every other test leans on it)."""
    bench = Bench(tmp_path / "small", list_small_files())
    for case in draw(list_small_cases(), 30):
        bench.try_case(case)
    here = {path.name: path.read_bytes() for path in bench.folder.iterdir()}
    assert here == list_small_files()
    write_file(tmp_path / "x", None)
    shutil.rmtree(tmp_path / "small")
