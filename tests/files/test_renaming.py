"""A corrected name: in every file of the folder and in the store, in one go.

The yard is the small good one, planned in a second. That addresses and events outlive a
corrected name is this project's promise; that an event is one by its UID is RFC 5545 section
3.8.4.7.
"""

from __future__ import annotations

import csv
import json
import os
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Mapping
from datetime import UTC, date, datetime
from io import BytesIO
from pathlib import Path

import icalendar
import pytest
from openpyxl import Workbook, load_workbook

from tests.files.folders import GOOD, write_folder
from tests.files.test_calendars import write_calendar
from tests.files.test_spreadsheets import make_book
from tests.patience import PATIENCE_SECONDS
from tripkit.commands.line import main
from tripkit.files import read_circuits, read_yard, write_circuits
from tripkit.files.columns import TABLES
from tripkit.files.renaming import list_cells, rename
from tripkit.planning import plan
from tripkit.publishing import publish
from tripkit.publishing.publish import is_current
from tripkit.store import open_store
from tripkit.yard.errors import BadValue, BadYard

NOW = datetime(2027, 2, 27, 9, tzinfo=UTC)
MORE = {
    "yard.toml": GOOD["yard.toml"].replace("[papers]", "today = 2027-02-28\n[papers]"),
    "aims.csv": "horse,show,class\nBella,Oak 1,Final\n",
    "absences.csv": "who,first_day,last_day\nPiet Vos,2027-05-20,2027-05-21\n",
    "results.csv": "horse,date,show\nBella,2027-02-01,Oak 1\nComet,2027-02-01,Old Show\n",
    "entries.csv": "horse,show,class,status\nBella,Oak 1,Opener,wanted\n",
    "distances.csv": "from,to,km\nhome,Oak 1,300\n",
    "papers.csv": (
        "horse,person,paper,date,valid_until\nBella,,passport,2024-01-01,2027-05-01\n"
        ",Olga Moss,licence,2026-01-01,2027-04-20\n"
    ),
    "vehicles.csv": (
        "vehicle,places,drivers,driver,per_km,speed\nGrey van,4,1,Piet Vos; Olga Moss,1.20,70\n"
    ),
}
RENAMINGS = (
    ("horse", "Bella", "Bellissima"),
    ("person", "Olga Moss", "Olga Moß"),
    ("person", "Ana Reed", "Anna Reed"),
    ("person", "Piet Vos", "Piet de Vos"),
    ("vehicle", "Grey van", "Green van"),
    ("show", "Oak 1", "Oak first week"),
)


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder with its circuits beside it, one of them published."""
    folder = write_folder(tmp_path_factory.mktemp("planned") / "yard", MORE)
    yard = read_yard(folder)
    circuits = plan(yard, keep=1, seconds=PATIENCE_SECONDS)
    assert "Oak 1" in {outing.show for outing in circuits[0].outings}
    write_circuits(folder / "circuits.json", yard, circuits)
    with open_store(folder) as store:
        publish(yard, circuits[0], store, NOW)
    return folder


@pytest.fixture
def folder(planned: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(planned, tmp_path / "yard"))


def read_files(folder: Path) -> dict[str, bytes]:
    """Every file of a folder but the store's."""
    return {p.name: p.read_bytes() for p in folder.iterdir() if "sqlite" not in p.name}


def read_calendars(folder: Path) -> dict[str, dict[str, tuple[object, ...]]]:
    """By secret address, what each event of its calendar says, by UID."""
    found = {}
    with open_store(folder) as store:
        shelf = store.read_shelf()
    for who, feed in shelf.feeds.items():
        events = icalendar.Calendar.from_ical(feed.body).walk("VEVENT")
        uids = [str(event["UID"]) for event in events]
        assert len(uids) == len(set(uids))
        found[shelf.addresses[who].token] = {
            str(e["UID"]): (e["DTSTART"].dt, e["DTEND"].dt, str(e["STATUS"]), int(e["SEQUENCE"]))
            for e in events
        }
    return found


def publish_again(folder: Path) -> str:
    """The circuit of the folder is published; answers every word of every calendar."""
    yard = read_yard(folder)
    with open_store(folder) as store:
        publish(yard, read_circuits(folder / "circuits.json", yard)[0], store, NOW)
        feeds = store.read_shelf().feeds
    return "".join(feed.body.decode().replace("\r\n ", "") for feed in feeds.values())


@pytest.mark.parametrize(("kind", "old", "new"), RENAMINGS)
def test_a_corrected_name_keeps_addresses_and_events(
    folder: Path, kind: str, old: str, new: str
) -> None:
    """Before and after the next publishing: no event doubles, moves or is cancelled."""
    before = read_calendars(folder)
    rename(folder, kind, old, new)
    assert read_calendars(folder) == before
    for name, data in read_files(folder).items():
        if name != "results.csv" or kind != "show":
            assert old not in data.decode().replace(new, ""), name
    told = publish_again(folder).replace("\\,", ",")
    assert read_calendars(folder) == before
    assert new in told
    assert old not in told.replace(new, "")


def test_all_names_one_after_another_and_back_again(folder: Path) -> None:
    """After twelve renamings the folder is what it was, to the byte, and so are the events."""
    files, before = read_files(folder), read_calendars(folder)
    for kind, old, new in RENAMINGS:
        rename(folder, kind, old, new)
    publish_again(folder)
    assert read_calendars(folder) == before
    for kind, old, new in RENAMINGS:
        rename(folder, kind, new, old)
    assert read_files(folder) == files
    publish_again(folder)
    assert read_calendars(folder) == before
    assert read_yard(folder).known_as == {}


def test_the_circuit_published_is_the_renamed_one(folder: Path) -> None:
    """What has begun is known by the published circuit: its names are the yard's again."""
    rename(folder, "horse", "Bella", "Bellissima")
    rename(folder, "show", "Oak 1", "Oak, first week")
    yard = read_yard(folder, today=datetime(2027, 4, 13).date())
    assert ("Bellissima", "Oak, first week") in {(o.horse, o.show) for o in yard.begun.outings}
    with open_store(folder) as store:
        shelf = store.read_shelf()
    document = json.loads(shelf.current.document)
    assert is_current(yard, read_circuits(folder / "circuits.json", yard)[0], shelf)
    assert "Bella at" not in str(document["circuits"][0]["totals"]["aims_met"])


def test_wishes_of_the_next_plan_follow(folder: Path) -> None:
    """Held and forbidden outings, absences that were wished, the tour; numbers stay."""
    wishes = {
        "held": [["Bella", "Oak 1"], ["Comet", "Oak 2"]],
        "forbidden": [["Bella", "Oak 2"]],
        "absences": [["Piet Vos", "2027-04-01", "2027-04-02"]],
        "budget_cents": 100,
        "shows_per_30_days": None,
        "tour": "",
    }
    with open_store(folder) as store:
        store.keep_answer("wishes", "in force", json.dumps(wishes), "", NOW)
        rename(folder, "horse", "Bella", "Bellissima")
        rename(folder, "show", "Oak 1", "Oak first week")
        rename(folder, "person", "Piet Vos", "Piet de Vos")
        kept = store.find_answer("wishes", "in force")
    assert kept is not None
    assert json.loads(kept.text) == wishes | {
        "held": [["Bellissima", "Oak first week"], ["Comet", "Oak 2"]],
        "forbidden": [["Bellissima", "Oak 2"]],
        "absences": [["Piet de Vos", "2027-04-01", "2027-04-02"]],
    }


def test_every_column_that_names_somebody_is_known() -> None:
    """A column of a name's own name, in any table, is one that a corrected name reaches."""
    words = {
        "horse": {"horse", "who"},
        "person": {"person", "rider", "owner", "driver", "who", "also_ridden_by"},
        "vehicle": {"vehicle", "who"},
        "show": {"show"},
        "tour": {"tour"},
        "series": {"series"},
    }
    for kind, columns in words.items():
        there = {(t, c.name) for t, known in TABLES.items() for c in known if c.name in columns}
        assert there <= {(table, column.name) for table, column in list_cells(kind)}, kind


def test_who_takes_a_name_that_another_gave_up_gets_events_of_his_own(folder: Path) -> None:
    """Bella becomes Bellissima, and Comet Bella: neither calendar takes the other's events."""
    before = read_calendars(folder)
    rename(folder, "horse", "Bella", "Bellissima")
    rename(folder, "horse", "Comet", "Bella")
    publish_again(folder)
    assert read_calendars(folder) == before


def test_only_the_cells_change(folder: Path) -> None:
    """Line ends, blanks, separators, quotes, comments of a column and a byte order mark stay."""
    text = (
        "\ufeffhorse;born;from_height_cm;to_height_cm;rider;mine\r\n"
        '"Bella";2017;110;130; Ana Reed ;Bella\r\n\r\n'
        'Comet;2015-05-02;100;120;;"x;y"\r\n'
    )
    (folder / "horses.csv").write_text(text, encoding="utf-8", newline="")
    rename(folder, "horse", "Bella", 'Be"lla; II')
    rename(folder, "person", "Ana Reed", "Anna Reed")
    assert (folder / "horses.csv").read_bytes().decode() == text.replace(
        '"Bella"', '"Be""lla; II"'
    ).replace("Ana Reed", "Anna Reed")


def test_a_workbook_is_renamed_cell_by_cell(tmp_path: Path) -> None:
    """All sheets that name it, and no other; a formula that names it stops everything."""
    book = Workbook()
    book.remove(book.active)
    for name in GOOD:
        if name.endswith(".csv"):
            sheet = book.create_sheet(name.removesuffix(".csv"))
            for record in csv.reader(GOOD[name].splitlines()):
                sheet.append(record)
    book.create_sheet("My notes").append(["Bella", "=1+1"])
    folder = write_folder(tmp_path / "yard", {n: None for n in GOOD if n.endswith(".csv")})
    book.save(folder / "book.xlsx")
    rename(folder, "horse", "Bella", "Bellissima")
    written = load_workbook(BytesIO((folder / "book.xlsx").read_bytes()))
    assert [c.value for c in written["horses"]["A"]] == ["horse", "Bellissima", "Comet"]
    assert written["shares"]["A2"].value == "Bellissima"
    assert [c.value for c in written["My notes"][1]] == ["Bella", "=1+1"]
    assert {h.horse for h in read_yard(folder).horses} == {"Bellissima", "Comet"}


def test_a_name_in_a_cell_that_is_a_date_is_renamed(tmp_path: Path) -> None:
    """A spreadsheet program takes a horse called 2017-04-08 for a day."""
    folder = write_folder(tmp_path / "yard", {n: None for n in GOOD if n.endswith(".csv")})
    book = make_book()
    book["horses"]["A2"] = book["shares"]["A2"] = date(2017, 4, 8)
    book.save(folder / "yard.xlsx")
    rename(folder, "horse", "2017-04-08", "Bex")
    assert {h.horse for h in read_yard(folder).horses} == {"Bex", "Comet"}


def test_a_sheet_in_another_encoding_is_told(tmp_path: Path) -> None:
    """XML 1.0 section 4.3.3 allows UTF-16; the cells are then not to be found one by one."""
    folder = write_folder(tmp_path / "yard", {n: None for n in GOOD if n.endswith(".csv")})
    book, buffer = make_book(), BytesIO()
    book.save(buffer)
    with zipfile.ZipFile(buffer) as packed, zipfile.ZipFile(folder / "yard.xlsx", "w") as new:
        for name in packed.namelist():
            data = packed.read(name)
            if name.startswith("xl/worksheets/sheet"):
                text = data.decode().removeprefix("<?xml version='1.0' encoding='utf-8'?>")
                data = f'<?xml version="1.0" encoding="UTF-16"?>{text}'.encode("utf-16")
            new.writestr(name, data)
    assert read_yard(folder).horses[0].horse == "Bella"
    with pytest.raises(BadYard, match="cannot be changed cell by cell"):
        rename(folder, "horse", "Bella", "Bex")


def test_a_column_whose_name_holds_commas_is_left_alone(tmp_path: Path) -> None:
    """What separates the columns when the file is read separates them when it is changed."""
    text = "horse;owner;share;said, by whom, when, why\nBella;Olga Moss;;\nComet;Ana Reed;;\n"
    folder = write_folder(tmp_path / "yard", {"shares.csv": text})
    rename(folder, "person", "Olga Moss", "Olga Moor")
    assert (folder / "shares.csv").read_text() == text.replace("Olga Moss", "Olga Moor")


def test_what_only_looks_like_circuits_is_left_alone(tmp_path: Path) -> None:
    """Half a letter (a lone surrogate) can be written in JSON, but not in UTF-8; a pipe waits."""
    folder = write_folder(tmp_path / "yard")
    text = (
        '{"format": "tripkit circuits 1", "circuits": '
        '[{"outings": [{"horse": "Bella", "show": "\\ud800"}]}]}'
    )
    (folder / "half.json").write_text(text)
    os.mkfifo(folder / "pipe.json")
    rename(folder, "horse", "Bella", "Bex")
    assert (folder / "half.json").read_text() == text


def test_a_show_of_a_calendar_keeps_its_organisers_name(tmp_path: Path) -> None:
    """The calendar goes on with its own name, so that the organiser's next file still fits."""
    event = "UID:e\nSUMMARY:Elm\nDTSTART;VALUE=DATE:20270507\nDTEND;VALUE=DATE:20270509\n"
    calendar = write_calendar(f"{event}LOCATION:Tallahassee\\, FL")
    classes = GOOD["classes.csv"] + "Elm,Final,2027-05-08,120,10\n"
    folder = write_folder(tmp_path / "yard", {"club.ics": calendar, "classes.csv": classes})
    rename(folder, "show", "Elm", "Elm Masters")
    assert (folder / "club.ics").read_bytes() == calendar.encode()
    assert (folder / "shows.csv").read_text().splitlines()[-1] == "Elm Masters,,,,,Elm"
    assert [c.name for c in read_yard(folder).show_by_name["Elm Masters"].classes] == ["Final"]
    rename(folder, "show", "Elm Masters", "Elm May")
    assert (folder / "shows.csv").read_text().splitlines()[-1] == "Elm May,,,,,Elm"


@pytest.mark.parametrize(
    ("kind", "old", "new", "said"),
    [
        ("pony", "Bella", "B", "is no kind of name"),
        ("class", "Final", "B", "is no kind of name"),
        ("horse", "Belle", "B", "did you mean 'Bella'?"),
        ("horse", "Ana Reed", "B", "is no horse of the yard"),
        ("horse", "Bella", "Comet", "a horse of the yard bears it"),
        ("horse", "Bella", "Olga Moss", "a person of the yard bears it"),
        ("person", "Olga Moss", "Grey van", "a vehicle of the yard bears it"),
        ("horse", "Bella", " Bella ", "is the name already"),
        ("horse", "Bella", "  ", "the new name is empty"),
        ("horse", "Bella", "B\nC", "line break"),
        ("horse", "Bella", "B" * 201, "longer than 200"),
        ("horse", "Bella", "\u200bB", r"a sign that nobody sees \(U\+200B\)"),
        ("horse", "Bella", "\u202eB", r"turns the writing round \(U\+202E\)"),
        ("horse", "Bella", "=B", "a spreadsheet program"),
        ("person", "Olga Moss", "Olga; Moss", "between the names"),
        ("person", "Piet Vos", "Unnamed driver 1", "whom nobody named"),
        ("show", "Oak 1", "Home", "plans use the word"),
        ("show", "Oak 1", "road", "plans use the word"),
        ("show", "Oak 1", "Oak 2", "a show of the yard bears it"),
        ("show", "Oak 1", "Tallahassee, FL", "would mean the place"),
    ],
)
def test_a_name_that_will_not_do_is_refused_and_nothing_changes(
    folder: Path, kind: str, old: str, new: str, said: str
) -> None:
    """Unknown, taken, unseen signs, words of the plans: said in words, with exit code 2."""
    before = read_files(folder)
    with pytest.raises(BadValue, match=said):
        rename(folder, kind, old, new)
    assert read_files(folder) == before


def test_a_folder_that_does_not_read_is_refused_with_its_faults(folder: Path) -> None:
    """The fault has nothing to do with the name; it is said, and nothing is written."""
    (folder / "aims.csv").write_text("horse,show,class\nBella,Oak 1,Nothing\n")
    before = read_files(folder)
    with pytest.raises(BadYard, match=r"aims\.csv row 2, column class: 'Nothing'"):
        rename(folder, "horse", "Bella", "Bellissima")
    assert read_files(folder) == before


KILL = """
import os, sys
from pathlib import Path
from tripkit.files import together
left = [int(sys.argv[2])]
def die_after(function):
    def act(*given):
        if left[0] == 0:
            os._exit(9)
        left[0] -= 1
        return function(*given)
    return act
together.write_whole = die_after(together.write_whole)
together._remove = die_after(together._remove)
together.rename_in_store = die_after(together.rename_in_store)
from tripkit.files.columns import TABLES
from tripkit.files.renaming import rename
rename(Path(sys.argv[1]), "horse", "Bella", "Bellissima")
"""


@pytest.mark.parametrize("steps", [0, 1, 4, 9, 10])
def test_a_second_run_completes_what_a_kill_left(folder: Path, steps: int) -> None:
    """Killed before all, between files, before the store, before clearing up: then once more.

    A horse stands in eight files here: one write is the plan of the change, eight are files,
    the tenth step is the store and the eleventh clears up.
    """
    before = read_calendars(folder)
    code = [sys.executable, "-c", KILL, str(folder), str(steps)]
    assert subprocess.run(code, check=False, timeout=PATIENCE_SECONDS).returncode == 9
    assert main(["rename", str(folder), "horse", "Bella", "Bellissima"]) == 0
    assert all(b"Bella," not in data for data in read_files(folder).values())
    assert main(["rename", str(folder), "horse", "Bella", "Bellissima"]) == 0
    publish_again(folder)
    assert read_calendars(folder) == before


def test_the_command_tells_what_it_changed(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Files with their cells, then the calendars; a word of advice for circuits elsewhere."""
    assert main(["rename", str(folder), "person", "Olga Moss", "Olga Moß"]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "The person Olga Moss is Olga Moß now.",
        "  people.csv: 1 cell",
        "  shares.csv: 2 cells",
        "  papers.csv: 1 cell",
        "  vehicles.csv: 1 cell",
        "The calendars of Olga Moß (owner, driver) keep address and events; the next publishing "
        "writes the new name into them.",
        "Circuits kept outside of the folder still have the old name: plan them again.",
    ]
    assert main(["rename", str(folder), "person", "Olga Moss", "Olga Moß"]) == 0
    assert "is Olga Moß already" in capsys.readouterr().out
    assert main(["rename", str(folder), "person", "Olga", "Else"]) == 2
    assert "did you mean 'Olga Moß'?" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("kind", "files", "old", "new"),
    [
        (
            "tour",
            {
                "shows.csv": "show,place,first_day,last_day,tour\n"
                'Oak 1,"Tallahassee, FL",2027-04-07,2027-04-11,Gulff\n'
                'Oak 2,"Tallahassee, FL",2027-04-14,2027-04-18,Gulff\n'
            },
            "Gulff",
            "Gulf",
        ),
        (
            "series",
            {
                "results.csv": "horse,date,series\nBella,2027-02-01,Clayy\n",
                "classes.csv": "show,class,day,height_cm,series\nOak 2,A,2027-04-15,120,Clayy\n",
            },
            "Clayy",
            "Clay",
        ),
    ],
)
def test_tours_and_series_are_corrected_in_all_files(
    tmp_path: Path, kind: str, files: Mapping[str, str], old: str, new: str
) -> None:
    """They are names without a calendar."""
    folder = write_folder(tmp_path / "yard", files)
    rename(folder, kind, old, new)
    for name, text in files.items():
        assert (folder / name).read_text() == text.replace(old, new)
