"""An output never eats an input: files of the yard, files read, and what a yard would read.

Which files a yard is read from stands in the handbook, "Files and columns".
"""

from __future__ import annotations

import os

import openpyxl
import pytest

import tripkit
from tests.build import make_yard, tell_all
from tests.files.folders import GOOD, write_folder
from tripkit.commands.line import main
from tripkit.dashboard.filing import write_frames
from tripkit.files import read_yard, write_circuits
from tripkit.files.circuits import holds_circuits
from tripkit.files.outputs import refuse_inputs
from tripkit.pages.entry_sheets import write_entries
from tripkit.season.scorecard import finish_circuit
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import BadYard, CannotWrite

NONE = Circuit("Most worth", "most worth", "none in time")
READ = ("yard.toml", "shows.csv", "local.toml", "north.ics", "tripkit.sqlite", "tripkit.sqlite-wal")


def write_book(path, sheets):
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, text in sheets.items():
        page = book.create_sheet(name)
        for line in text.splitlines():
            page.append(line.split(",") if '"' not in line else line.replace('"', "").split(",", 2))
    book.save(path)


def make_entries(path):
    yard = make_yard()
    circuit = finish_circuit(
        yard, "Most worth", "most worth", "best in time", 10.0, 20.0, 0.1, [], []
    )
    return write_entries(yard, circuit, path)


@pytest.fixture
def yard(tmp_path):
    folder = write_folder(tmp_path / "yard")
    for name in READ:
        if not (folder / name).exists():
            (folder / name).write_bytes(b"")
    return folder


@pytest.mark.parametrize("name", READ)
def test_a_file_of_the_yard_is_no_output(yard, name):
    """Settings, tables, calendars, local rules and the store are what a yard is read from."""
    with pytest.raises(CannotWrite, match="is a file of the yard"):
        refuse_inputs([yard / name], yard)


def test_a_way_round_is_the_same_file(yard, tmp_path):
    """`..`, a link and a second name lead to the same file."""
    (tmp_path / "link.json").symlink_to(yard / "horses.csv")
    os.link(yard / "horses.csv", tmp_path / "twin.json")
    (tmp_path / "there").symlink_to(yard)
    for path in (
        yard / ".." / "yard" / "horses.csv",
        tmp_path / "link.json",
        tmp_path / "twin.json",
        tmp_path / "there" / "horses.csv",
    ):
        with pytest.raises(CannotWrite, match="is a file of the yard"):
            refuse_inputs([path], yard)


@pytest.mark.parametrize(
    "name",
    [
        *("papers.csv", "PAPERS.CSV", "new.ics", "a.xlsx", "local.toml"),
        *(".tripkit-change.json", ".tripkit-planning"),
    ],
)
def test_what_a_yard_would_read_is_no_output(tmp_path, name):
    """A file that is not there yet would be read as the yard's the next time."""
    folder = write_folder(tmp_path / "yard")
    with pytest.raises(CannotWrite, match="would be read as a file of the yard"):
        refuse_inputs([folder / name], folder)
    refuse_inputs([tmp_path / name, folder / "circuits.json"], folder)
    (tmp_path / "link.json").symlink_to(folder / name)
    with pytest.raises(CannotWrite, match="would be read as a file of the yard"):
        refuse_inputs([tmp_path / "link.json"], folder)


def test_the_circuits_that_were_read_are_no_output(yard, tmp_path):
    """What a command reads it does not write over."""
    circuits = tmp_path / "c.json"
    circuits.write_text("{}")
    (tmp_path / "c.xlsx").symlink_to(circuits)
    with pytest.raises(CannotWrite, match="is read for this"):
        refuse_inputs([tmp_path / "c.xlsx"], yard, circuits, answers=True)


@pytest.mark.parametrize(
    "words",
    [
        ["plan", "YARD", "--out", "YARD/horses.csv"],
        ["plan", "YARD", "--out", "YARD/plan.ics"],
        ["entries", "YARD", "c.json", "A", "--out", "YARD/shows.csv"],
        ["entries", "YARD", "c.json", "A", "--out", "c.json"],
        ["feeds", "YARD", "c.json", "A", "--out", "YARD"],
        ["sheets", "YARD", "YARD/travel.html", "A", "--out", "YARD"],
        ["import", "YARD", "YARD/north.ics", "--take"],
    ],
)
def test_every_command_that_writes_refuses_its_inputs(tmp_path, capsys, monkeypatch, words):
    """Bad usage ends with 2, says which file, and every file of the folder is what it was."""
    monkeypatch.chdir(tmp_path)
    calendar = (
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\nBEGIN:VEVENT\r\nUID:1\r\n"
        "DTSTAMP:20270101T000000Z\r\nDTSTART;VALUE=DATE:20270407\r\nDTEND;VALUE=DATE:20270412\r\n"
        "SUMMARY:Oak 1\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    )
    folder = write_folder(tmp_path / "YARD", {"north.ics": calendar, "travel.html": "{}"})
    (tmp_path / "c.json").write_text("{}")
    before = {p: p.read_bytes() for p in sorted(tmp_path.rglob("*")) if p.is_file()}
    assert main(words) == 2
    said = capsys.readouterr().err
    assert "is not replaced" in said or "would be read as a file of the yard" in said
    assert {p: p.read_bytes() for p in sorted(tmp_path.rglob("*")) if p.is_file()} == before
    assert folder.is_dir()


def test_a_planning_without_a_circuit_replaces_no_file_with_circuits(tmp_path, capsys, monkeypatch):
    """Exit 1, the file is what it was, and stderr says so."""
    folder = write_folder(tmp_path / "yard")
    out = tmp_path / "c.json"
    before = '{"circuits": [{"status": "proved best"}]}'
    out.write_text(before)
    monkeypatch.setattr(tripkit, "plan", lambda *_, **__: [NONE])
    assert main(["plan", str(folder), "--out", str(out)]) == 1
    assert "has circuits and was left as it was" in capsys.readouterr().err
    assert out.read_text() == before
    with pytest.raises(CannotWrite, match="was left as it was"):
        write_circuits(out, read_yard(folder), [NONE])


def test_what_was_found_is_told_where_it_cannot_be_written(tmp_path, capsys, monkeypatch):
    """A full disk (`/dev/full`, Linux man-pages full(4)) takes no minute of planning with it."""
    folder = write_folder(tmp_path / "yard")
    monkeypatch.setattr(tripkit, "plan", lambda *_, **__: [NONE])
    assert main(["plan", str(folder), "--out", "/dev/full"]) == 2
    told = capsys.readouterr()
    assert "none in time" in told.out
    assert "/dev/full: cannot be written (No space left on device)" in told.err


@pytest.mark.parametrize("before", [None, "no JSON", '{"circuits": [{"status": "none in time"}]}'])
def test_a_planning_without_a_circuit_is_written_where_nothing_is_lost(tmp_path, before):
    """No file, a file that is none, and one that has no circuit either are replaced."""
    out = tmp_path / "c.json"
    if before is not None:
        out.write_text(before)
    write_circuits(out, make_yard(), [NONE])
    assert "none in time" in out.read_text()
    assert not holds_circuits(out)


def test_entry_sheets_beside_tables_are_not_read(tmp_path):
    """A yard of tables reads as before, with a remark."""
    folder = write_folder(tmp_path / "yard")
    before = read_yard(folder)
    make_entries(folder / "entries.xlsx")
    after = read_yard(folder)
    assert after.horses == before.horses
    assert [r for r in tell_all(after.remarks) if r not in tell_all(before.remarks)] == [
        "entries.xlsx: is not read, because tripkit wrote it as an answer"
    ]


def test_answers_beside_a_workbook_are_not_read(tmp_path):
    """A yard of one workbook reads on with entry sheets and exported tables beside it."""
    tables = {n.removesuffix(".csv"): t for n, t in GOOD.items() if n.endswith(".csv")}
    folder = write_folder(tmp_path / "yard", {n: None for n in GOOD if n.endswith(".csv")})
    tables["shows"] = tables["shows"].replace('"Tallahassee, FL"', "Tallahassee")
    toml = (folder / "yard.toml").read_text().replace("[yard]", '[yard]\ncountry = "US"')
    (folder / "yard.toml").write_text(toml)
    write_book(folder / "mill.xlsx", tables)
    before = read_yard(folder)
    make_entries(folder / "entries.xlsx")
    (folder / "tables.xlsx").write_bytes(write_frames({}))
    assert read_yard(folder).horses == before.horses
    # Saved again by another program, the properties stay.
    book = openpyxl.load_workbook(folder / "entries.xlsx")
    book.save(folder / "entries.xlsx")
    assert read_yard(folder).horses == before.horses
    refuse_inputs([folder / "entries.xlsx"], folder, answers=True)


def test_entry_sheets_are_no_yard(tmp_path):
    """Named as a yard, they are said to be what they are."""
    folder = write_folder(tmp_path / "yard")
    with pytest.raises(BadYard, match="workbook of answers"):
        read_yard(make_entries(folder / "entries.xlsx"))
