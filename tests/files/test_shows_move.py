"""What the yard wrote of a show moves with it when its organiser moves it.

Days are counted by hand on a calendar of May 2027: the 7th is a Friday. That classes, entry
dates and stabling go along by as many days is this project's choice.
"""

from __future__ import annotations

from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.styles import Font

from tests.files.folders import GOOD, write_folder
from tests.files.test_calendars import write_calendar
from tripkit.commands.line import main
from tripkit.files import read_yard
from tripkit.files.shows_merge import preview_merge, take_merge
from tripkit.yard.errors import BadYard, CannotWrite

CLASSES = "show,class,day,height_cm\r\nElm,A,2027-05-07,120\r\n\r\n Elm ,B,2027-05-09,120\r\n"
SHOWS = (
    "\ufeffshow;odd;entries_open;entries_close;late_entries_until;stabling_from;stabling_until;"
    "place;first_day;last_day\n"
    'Elm;"a;b";2027-03-01;2027-04-20;2027-04-30;2027-05-05;2027-05-10;;;\n'
)
REST = {
    "entries.csv": "horse,show,class,status\nBella,Elm,A,paid\n",
    "aims.csv": "horse,show,class,by\nBella,Elm,B,2027-05-09\n",
    "results.csv": "horse,date,show\nBella,2027-02-01,Elm\n",
}


def make_event(first: int, last: int, more: str = "", name: str = "Elm", town: str = "") -> str:
    """Elm on some days of May 2027."""
    return (
        f"UID:e\nSUMMARY:{name}\nDTSTART;VALUE=DATE:202705{first:02}\n"
        f"DTEND;VALUE=DATE:202705{last + 1:02}\nLOCATION:{town or 'Tallahassee'}\\, FL\n{more}"
    )


def pack(*events: str) -> bytes:
    """A calendar file's bytes."""
    return write_calendar(*events).encode()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    files = {
        "club.ics": write_calendar(make_event(7, 9)),
        "classes.csv": CLASSES,
        "shows.csv": SHOWS,
        **REST,
    }
    return write_folder(tmp_path / "yard", files)


def read_files(folder: Path) -> dict[str, bytes]:
    """Every file of a folder."""
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_all_that_is_written_of_a_show_moves_with_it(folder: Path) -> None:
    """From 7-9 to 14-16 May are seven days; every other byte of the two files stays."""
    before = read_files(folder)
    preview = preview_merge(folder, pack(make_event(14, 16)))
    assert [str(move.fact) for move in preview.moves] == [
        "entries_open of Elm (shows.csv row 2): 2027-03-08, was 2027-03-01",
        "entries_close of Elm (shows.csv row 2): 2027-04-27, was 2027-04-20",
        "late_entries_until of Elm (shows.csv row 2): 2027-05-07, was 2027-04-30",
        "stabling_from of Elm (shows.csv row 2): 2027-05-12, was 2027-05-05",
        "stabling_until of Elm (shows.csv row 2): 2027-05-17, was 2027-05-10",
        "class A of Elm (classes.csv row 2): 2027-05-14, was 2027-05-07",
        "class B of Elm (classes.csv row 4): 2027-05-16, was 2027-05-09",
    ]
    assert tuple(map(str, preview.kept)) == (
        "Bella qualifies for Elm by 2027-05-09: kept, because aims.csv row 2 says so",
    )
    assert read_files(folder) == before
    take_merge(folder, preview)
    after = read_files(folder)
    moved = CLASSES.replace("05-09", "05-16").replace("05-07", "05-14")
    assert after["classes.csv"].decode() == moved
    assert after["shows.csv"].decode() == (
        SHOWS.replace("2027-05-05;2027-05-10", "2027-05-12;2027-05-17")
        .replace("2027-04-30", "2027-05-07")
        .replace("2027-04-20", "2027-04-27")
        .replace("2027-03-01", "2027-03-08")
    )
    assert {n for n in after if after[n] != before.get(n)} == {
        "classes.csv",
        "shows.csv",
        "club.ics",
    }
    yard = read_yard(folder)
    assert [c.day.day for c in yard.show_by_name["Elm"].classes] == [14, 16]
    assert yard.entries[0].class_name == "A"


def test_a_longer_show_keeps_its_classes_where_they_are(folder: Path) -> None:
    """One day more at either end: stabling goes with the ends, entries and classes stay."""
    preview = preview_merge(folder, pack(make_event(6, 10)))
    assert [(m.column, m.after.day) for m in preview.moves] == [
        ("stabling_from", 4),
        ("stabling_until", 11),
    ]
    take_merge(folder, preview)
    assert [c.day.day for c in read_yard(folder).show_by_name["Elm"].classes] == [7, 9]


def test_a_class_outside_a_shorter_show_is_named_and_stops_the_import(folder: Path) -> None:
    """Elm loses its last day: class B of the 9th has none; a new day written first is taken."""
    before = read_files(folder)
    data = pack(make_event(7, 8))
    preview = preview_merge(folder, data)
    assert [str(fault) for fault in preview.faults] == [
        "classes.csv row 4, column day: '2027-05-09' would be 2027-05-09 and outside Elm, "
        "2027-05-07 to 2027-05-08: write the new day of class 'B' there, or delete the row, and "
        "import again"
    ]
    with pytest.raises(BadYard):
        take_merge(folder, preview)
    assert read_files(folder) == before
    (folder / "classes.csv").write_text(CLASSES.replace("05-09", "05-08"), newline="")
    take_merge(folder, preview_merge(folder, data))
    assert [c.day.day for c in read_yard(folder).show_by_name["Elm"].classes] == [7, 8]


def test_a_class_moved_by_hand_is_not_moved_again(folder: Path) -> None:
    """Somebody wrote the 16th already: it lies in the new days only."""
    (folder / "classes.csv").write_text(CLASSES.replace("05-09", "05-16"), newline="")
    preview = preview_merge(folder, pack(make_event(14, 16)))
    assert [m.after.day for m in preview.moves if m.class_name] == [14]
    take_merge(folder, preview)
    assert [c.day.day for c in read_yard(folder).show_by_name["Elm"].classes] == [14, 16]


@pytest.mark.parametrize(
    "event",
    [
        make_event(14, 16, name="Ash", town="Xyzzyville"),
        make_event(14, 16, name="Ash").replace("LOCATION:Tallahassee\\, FL\n", ""),
    ],
)
def test_a_place_that_nobody_finds_leaves_the_folder_as_it_was(folder: Path, event: str) -> None:
    """An unknown town, and none at all: the fault names the event that was brought."""
    before = read_files(folder)
    data = pack(event.replace("UID:e", "UID:a"))
    preview = preview_merge(folder, data, "new.ics")
    assert preview.faults
    assert preview.faults[0].file == "new.ics event 1"
    with pytest.raises(BadYard):
        take_merge(folder, preview)
    assert read_files(folder) == before


def test_a_show_that_its_organiser_calls_otherwise_keeps_the_yards_name(tmp_path: Path) -> None:
    """Classes name it; the new name goes into the column `name` of a row of its own."""
    files = {"club.ics": write_calendar(make_event(7, 9)), "classes.csv": CLASSES}
    folder = write_folder(tmp_path / "yard", files)
    preview = preview_merge(folder, pack(make_event(7, 9, name="Elm Masters")))
    assert [stays.code for stays in preview.kept] == ["merging.name-stays"]
    take_merge(folder, preview)
    text = (folder / "shows.csv").read_text(encoding="utf-8")
    lines = GOOD["shows.csv"].splitlines()
    assert text.splitlines() == [f"{lines[0]},name", *lines[1:], "Elm,,,,,Elm Masters"]
    assert len(read_yard(folder).show_by_name["Elm"].classes) == 2
    again = preview_merge(folder, pack(make_event(14, 16, name="Elm Masters")))
    assert [m.after.day for m in again.moves] == [14, 16]


def test_a_workbook_is_changed_cell_by_cell(tmp_path: Path) -> None:
    """Formats, notes, other sheets and a date's own format stay; a formula stops the import."""
    book = Workbook()
    for name in ("horses", "people", "shares", "vehicles"):
        sheet = book.create_sheet(name)
        for line in GOOD[f"{name}.csv"].splitlines():
            sheet.append(line.split(","))
    sheet = book.active
    sheet.title = "Classes"
    sheet.append(["show", "class", "day", "height_cm"])
    sheet.append(["Elm", "A", date(2027, 5, 7), 120])
    sheet.append(["Elm", "B", "2027-05-09", 120])
    sheet["C2"].number_format = "DD.MM.YYYY"
    sheet["C3"].font = Font(bold=True)
    book.create_sheet("My notes").append(["=1+1"])
    folder = write_folder(
        tmp_path / "yard",
        {name: None for name in GOOD if name.endswith(".csv")}
        | {"club.ics": write_calendar(make_event(7, 9))},
    )
    book.save(folder / "book.xlsx")
    take_merge(folder, preview_merge(folder, pack(make_event(14, 16))))
    written = load_workbook(BytesIO((folder / "book.xlsx").read_bytes()))
    classes = written["Classes"]
    assert classes["C2"].value.date() == date(2027, 5, 14)
    assert classes["C2"].number_format == "DD.MM.YYYY"
    assert (classes["C3"].value, classes["C3"].font.b) == ("2027-05-16", True)
    assert written["My notes"]["A1"].value == "=1+1"
    assert [c.day.day for c in read_yard(folder).show_by_name["Elm"].classes] == [14, 16]


def test_a_folder_changed_meanwhile_is_looked_at_again(folder: Path) -> None:
    """The classes were written anew after the preview: nothing of it is taken."""
    preview = preview_merge(folder, pack(make_event(14, 16)))
    (folder / "classes.csv").write_text(CLASSES + "Elm,C,2027-05-08,120\r\n", newline="")
    before = read_files(folder)
    with pytest.raises(CannotWrite, match="changed meanwhile"):
        take_merge(folder, preview)
    assert read_files(folder) == before


def test_the_command_says_each_of_it_and_refuses(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What cannot be taken ends with 1 when looked at, and with 2 and the faults when taken."""
    file = tmp_path / "new.ics"
    file.write_bytes(pack(make_event(7, 8)))
    assert main(["import", str(folder), str(file)]) == 1
    told = capsys.readouterr().out.splitlines()
    assert told[told.index("Moves with it:") + 1] == (
        "  stabling_until of Elm (shows.csv row 2): 2027-05-09, was 2027-05-10"
    )
    assert told[told.index("Stays:") + 1].endswith("kept, because aims.csv row 2 says so")
    assert "Cannot be taken, because the folder would not read any more:" in told
    assert main(["import", str(folder), str(file), "--take"]) == 2
    assert "class 'B'" in capsys.readouterr().err
    file.write_bytes(pack(make_event(14, 16)))
    assert main(["import", str(folder), str(file)]) == 0
    assert capsys.readouterr().out.splitlines()[-1] == (
        "Nothing is written yet; with --take it goes into club.ics and shows.csv and classes.csv."
    )
    assert main(["import", str(folder), str(file), "--take"]) == 0
    written = " and ".join(str(folder / n) for n in ("club.ics", "shows.csv", "classes.csv"))
    assert capsys.readouterr().out.splitlines()[-1] == f"Taken into {written}."
