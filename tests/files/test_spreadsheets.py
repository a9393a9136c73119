"""What spreadsheet programs make of cells and files: each said, none lost in silence.

What stands in a workbook's XML is that of ISO/IEC 29500-1, section 18.3 (cells, formulas, merged
cells); how programs write it is from memory.
"""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import time, timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from openpyxl import Workbook

from tests.build import tell_all
from tests.files.folders import GOOD, append, list_faults, swap, write_folder
from tripkit.files import read_yard
from tripkit.files.tables import find_computed_wrongly
from tripkit.files.values import suggest_dates
from tripkit.yard.errors import BadYard

NO_CSV = {name: None for name in GOOD if name.endswith(".csv")}


def make_book(**sheets: list[list[object]]) -> Workbook:
    """The good folder's tables as a workbook, some sheets replaced or added."""
    book = Workbook()
    book.remove(book.active)
    tables = {
        name.removesuffix(".csv"): list(csv.reader(io.StringIO(text)))
        for name, text in GOOD.items()
        if name.endswith(".csv")
    }
    for name, rows in {**tables, **sheets}.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append([None if cell == "" else cell for cell in row])
    return book


def save(folder: Path, book: Workbook) -> Path:
    write_folder(folder, NO_CSV)
    book.save(folder / "yard.xlsx")
    return folder


def edit(folder: Path, part: str, old: str, new: str) -> None:
    """One text in the XML of the workbook is replaced; it must be there."""
    path = folder / "yard.xlsx"
    with zipfile.ZipFile(path) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    assert old.encode() in parts[part]
    parts[part] = parts[part].replace(old.encode(), new.encode())
    with zipfile.ZipFile(path, "w") as packed:
        for name, data in parts.items():
            packed.writestr(name, data)


# Cells


def test_a_formula_without_a_stored_value_is_said(tmp_path: Path) -> None:
    """Programs that compute nothing store none; such a cell would be read as an empty one."""
    book = make_book()
    book["horses"]["E2"] = '=CONCATENATE("Ana"," Reed")'
    book["classes"]["E2"] = "=25*2"
    book["classes"]["E4"] = "=25*3"
    advice = "open the file in a spreadsheet program and save it, or write the value"
    assert list_faults(save(tmp_path, book), NO_CSV) == [
        f"yard.xlsx sheet classes row 2, column fee: '=25*2' is a formula without its value: "
        f"{advice} (2 cells)",
        'yard.xlsx sheet horses row 2, column rider: \'=CONCATENATE("Ana"," Reed")\' is a '
        f"formula without its value: {advice}",
    ]


def test_a_formula_with_its_value_is_the_value(tmp_path: Path) -> None:
    """Section 18.3.1.40: `f` is the formula, `v` what it gave; text is of type `str`."""
    book = make_book()
    book["classes"]["E2"] = 50
    folder = save(tmp_path, book)
    cell = '<c r="E2" t="n"><v>50</v></c>'
    edit(folder, "xl/worksheets/sheet2.xml", cell, '<c r="E2"><f>25*2</f><v>50</v></c>')
    assert read_yard(folder).shows[0].classes[0].fee_cents == 5000
    edit(folder, "xl/worksheets/sheet2.xml", "<v>50</v>", "<v></v>")
    assert len(list_faults(folder, NO_CSV)) == 1
    edit(folder, "xl/worksheets/sheet2.xml", '<c r="E2">', '<c r="E2" t="str">')
    assert read_yard(folder).shows[0].classes[0].fee_cents == 0


@pytest.mark.parametrize("error", ["#REF!", "#N/A", "#DIV/0!", "#NAME?", "#WERT!", "#NV", "####"])
@pytest.mark.parametrize("is_book", [True, False])
def test_an_error_cell_is_said(tmp_path: Path, error: str, is_book: bool) -> None:
    """Also in a column of free text, where it would be taken for a note; also in German."""
    rows = [["horse", "date", "cleared", "note"], ["Bella", "2027-02-01", "yes", error]]
    text = "".join(",".join(row) + "\n" for row in rows)
    if is_book:
        folder, files = save(tmp_path, make_book(vet_checks=rows)), NO_CSV
    else:
        folder, files = tmp_path, {"vet_checks.csv": text}
    file = "yard.xlsx sheet vet_checks" if is_book else "vet_checks.csv"
    assert list_faults(folder, files) == [
        f"{file} row 2, column note: {error!r} is an error of the spreadsheet program: mend the "
        "formula, or write the value"
    ]


def test_a_calendar_is_no_spreadsheet(tmp_path: Path) -> None:
    """What an organiser calls an event is text, and its file has no rows that could be mixed up."""
    event = "BEGIN:VEVENT\nUID:{0}\nDTSTAMP:20270101T000000Z\nDTSTART;VALUE=DATE:202705{0}\n"
    event += "SUMMARY:{1}\nLOCATION:Tallahassee\\, FL\nEND:VEVENT\n"
    text = "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:x\n" + event.format(10, "#### May")
    text += event.format(12, "####") + "END:VCALENDAR\n"
    yard = read_yard(write_folder(tmp_path, {"shows.ics": text}))
    assert [show.show for show in yard.shows] == ["Oak 1", "Oak 2", "#### May", "####"]


@pytest.mark.parametrize("text", ["#1", "# 7", "N/A", "number 3!", "E", "Elm", "", "##"])
def test_other_texts_are_no_errors(text: str) -> None:
    """A sign in front of a number or a word alone is text."""
    assert find_computed_wrongly(text) is None


def test_cells_of_a_column_without_a_name_are_said(tmp_path: Path) -> None:
    """A header that was deleted would take its whole column away."""
    book = make_book()
    book["horses"]["E1"] = None
    book["horses"]["E3"] = "Ana Reed"
    book["people"]["F3"] = "moved"
    said = "which has no name in row 1; name it or empty it"
    assert list_faults(save(tmp_path, book), NO_CSV) == [
        f"yard.xlsx sheet horses row 2: 'Ana Reed' stands in column E, {said} (2 cells)",
        f"yard.xlsx sheet people row 3: 'moved' stands in column F, {said}",
    ]
    assert list_faults(tmp_path / "csv", swap("horses.csv", "born,", ",")) == [
        "horses.csv column born: is missing",
        f"horses.csv row 2: '2017' stands in column B, {said} (2 cells)",
    ]


def test_a_merged_cell_is_said_once(tmp_path: Path) -> None:
    """Only its first cell holds the value: the rows below would lack it."""
    book = make_book()
    book["classes"].merge_cells("A2:A3")
    book["shares"].merge_cells("B2:B3")
    book["people"].merge_cells("B3:C3")
    book["people"].merge_cells("F8:F9")
    advice = "unmerge it and write each cell"
    assert list_faults(save(tmp_path, book), NO_CSV) == [
        f"yard.xlsx sheet classes row 2, column show: 'Oak 1' is one cell merged over rows 2 to 3; "
        f"{advice}",
        f"yard.xlsx sheet people row 3, column role: 'owner' is one cell merged over columns B to "
        f"C; {advice}",
        f"yard.xlsx sheet shares row 2, column owner: 'Olga Moss' is one cell merged over rows 2 "
        f"to 3; {advice}",
    ]


def test_a_time_cell_is_a_time(tmp_path: Path) -> None:
    """24:00 is typed as a count of hours; a CSV file brings the seconds that the sheet shows."""
    rows = list(csv.reader(io.StringIO(GOOD["shows.csv"])))
    opens = [["stables_open", "stables_close"], [time(7), timedelta(hours=24)], [time(6, 30), ""]]
    book = make_book(shows=[row + more for row, more in zip(rows, opens, strict=True)])
    shows = read_yard(save(tmp_path, book)).shows
    assert [(s.stables_open_minutes, s.stables_close_minutes) for s in shows] == [
        (420, 1440),
        (390, 1440),
    ]
    text = (
        GOOD["shows.csv"].replace("entries_close", "stables_open").replace("2027-03-20", "7:00:00")
    )
    assert (
        read_yard(write_folder(tmp_path / "csv", {"shows.csv": text})).shows[0].stables_open_minutes
        == 420
    )


def test_a_wrong_extent_hides_no_row(tmp_path: Path) -> None:
    """Section 18.3.1.35: `dimension` is what a program noted, and programs note it wrongly."""
    folder = save(tmp_path, make_book())
    edit(folder, "xl/worksheets/sheet3.xml", 'ref="A1:E3"', 'ref="A1:B2"')
    assert [horse.horse for horse in read_yard(folder).horses] == ["Bella", "Comet"]


THIRDS = [["horse", "owner", "share"], ["Bella", "Olga Moss", 1]]


@pytest.mark.parametrize("share", [1 / 3, 0.333333, "33.333333 %", "0,333333", "=1/3"])
def test_thirds_of_a_spreadsheet_sum_to_one(tmp_path: Path, share: object) -> None:
    """Three times 0.333333 lie within what three roundings may take away, 3 x 0.0000005."""
    owners = ["Olga Moss", "Ana Reed", "Piet Vos"]
    rows = [*THIRDS, *(["Comet", owner, share] for owner in owners)]
    folder = save(tmp_path, make_book(shares=rows))
    if share == "=1/3":
        for i in (3, 4, 5):
            edit(
                folder,
                "xl/worksheets/sheet5.xml",
                f'<c r="C{i}"><f>1/3</f><v /></c>',
                f'<c r="C{i}"><f>1/3</f><v>0.333333333333333</v></c>',
            )
    assert set(read_yard(folder).owner_shares_of("Comet").values()) == {Fraction(1, 3)}


def test_sevenths_and_a_rest_sum_to_one(tmp_path: Path) -> None:
    """Seven shares of 0.142857 leave 0.000001, seven roundings 0.0000035; a rest is exact."""
    people = "person,role\nAna Reed,rider\nOlga Moss,owner\nPiet Vos,driver\n"
    people += "".join(f"P{i},owner\n" for i in range(7))
    shares = "horse,owner,share\nBella,Olga Moss,\n"
    sevenths = shares + "".join(f"Comet,P{i},0.142857\n" for i in range(7))
    yard = read_yard(write_folder(tmp_path, {"people.csv": people, "shares.csv": sevenths}))
    assert set(yard.owner_shares_of("Comet").values()) == {Fraction(1, 7)}
    rest = shares + "Comet,P0,0.3333\nComet,P1,0.3333\nComet,P2,0.3334\n"
    yard = read_yard(write_folder(tmp_path, {"people.csv": people, "shares.csv": rest}))
    assert yard.owner_shares_of("Comet")["P2"] == Fraction(3334, 10000)


@pytest.mark.parametrize("share", ["0.3333", "33.33 %", "33.3 %", "0.33"])
def test_thirds_cut_by_hand_are_asked_back(tmp_path: Path, share: str) -> None:
    """With four decimals a hundredth of a percent has no owner: that may be a slip."""
    text = "horse,owner,share\nBella,Olga Moss,\n"
    text += "".join(f"Comet,{who},{share}\n" for who in ("Olga Moss", "Ana Reed", "Piet Vos"))
    (said,) = list_faults(tmp_path, {"shares.csv": text})
    assert said.endswith("not 1; write thirds as 1/3")


def test_a_third_that_became_a_date_is_said(tmp_path: Path) -> None:
    """Typed into a spreadsheet, 1/3 is the first of March or the third of January."""
    assert list_faults(tmp_path, swap("shares.csv", "1/3", "2027-03-01")) == [
        "shares.csv row 3, column share: '2027-03-01' is a date, as spreadsheets make of 1/3: "
        "write =1/3 there"
    ]


# Files and sheets


def test_a_sheet_of_notes_is_a_remark(tmp_path: Path) -> None:
    """Whatever stands there, a nameless column or a formula too, harms nothing."""
    book = make_book(**{"My notes": [["", "x"], ["y", "", "z"], ["=1/0", "#REF!"]]})
    book["My notes"].merge_cells("A1:A2")
    assert tell_all(read_yard(save(tmp_path, book)).remarks) == (
        "yard.xlsx sheet My notes: is no sheet of a yard and is not read",
    )


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("Vet Checks", "vet_checks"),
        ("vetchecks", "vet_checks"),
        ("vet-check", "vet_checks"),
        ("vet_cheks", "vet_checks"),
        ("Entry", "entries"),
        ("entires", "entries"),
        ("person", "people"),
        ("horse", "horses"),
        ("Clases", "classes"),
    ],
)
def test_a_file_or_sheet_nearly_named_like_a_table_is_a_fault(
    tmp_path: Path, name: str, meant: str
) -> None:
    """Its rows would be lost; no other file is blamed for what it lacks."""
    text = GOOD.get(f"{meant}.csv", "horse,date\nBella,2027-02-01\n")
    files = {f"{name}.csv": text, f"{meant}.csv": None}
    assert list_faults(tmp_path / "csv", files) == [
        f"{name}.csv: is not read: it is nearly named like {meant}.csv; name it so"
    ]
    book = make_book(**{name: list(csv.reader(io.StringIO(text)))})
    if meant in book.sheetnames:
        del book[meant]
    assert list_faults(save(tmp_path / "book", book), NO_CSV) == [
        f"yard.xlsx sheet {name}: is not read: it is nearly named like {meant}; name it so"
    ]


def test_a_second_file_of_a_table_is_a_fault(tmp_path: Path) -> None:
    """Nobody can know which of both holds; a file that may be another thing is a remark."""
    files = {"Horse.csv": GOOD["horses.csv"], "shoes.csv": "a,b\n", "notes.csv": "a,b\n"}
    assert list_faults(tmp_path, files) == [
        "Horse.csv: is not read: it is nearly named like horses.csv, and there is a file of that "
        "name; keep one"
    ]
    (tmp_path / "Horse.csv").unlink()
    assert tell_all(read_yard(tmp_path).remarks) == (
        "notes.csv: is no file of a yard folder and is not read",
        "shoes.csv: is no file of a yard folder and is not read",
    )
    book = make_book(**{"horses.csv": [["horse"]]})
    assert list_faults(save(tmp_path / "book", book), NO_CSV) == [
        "yard.xlsx sheet horses.csv: is a second sheet of horses; keep one"
    ]


@pytest.mark.parametrize("mark", ["ods", "xlsm", "xls", "numbers"])
def test_files_of_other_programs_are_named(tmp_path: Path, mark: str) -> None:
    """What is the only thing there, or bears a table's name, is a fault; else a remark."""
    advice = "save it as one .xlsx workbook, or each sheet as a CSV file"
    alone = {**NO_CSV, f"Our yard.{mark}": b"x"}
    assert list_faults(tmp_path / "alone", alone) == [
        f"Our yard.{mark}: is a file of another program; {advice}"
    ]
    assert list_faults(tmp_path / "lost", {f"vet_checks.{mark}": b"x"}) == [
        f"vet_checks.{mark}: is a file of another program; save it as vet_checks.csv"
    ]
    files = {f"horses.{mark}": b"x", f"budget.{mark}": b"x"}
    assert tell_all(read_yard(write_folder(tmp_path / "beside", files)).remarks) == tuple(
        f"{name}.{mark}: is a file of another program and is not read; if it is the yard's, "
        f"{advice}"
        for name in ("budget", "horses")
    )
    named = tmp_path / "alone" / f"Our yard.{mark}"
    with pytest.raises(BadYard) as caught:
        read_yard(named)
    assert str(caught.value) == f"{named}: is not a folder or a workbook (.xlsx); {advice}"


def test_a_workbook_with_a_password_is_told(tmp_path: Path) -> None:
    """It is an OLE compound file, known by its first bytes ([MS-CFB] section 2.2)."""
    files = {**NO_CSV, "yard.xlsx": bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 600}
    assert list_faults(tmp_path, files) == [
        "yard.xlsx: is not an .xlsx workbook; save it as one, without a password"
    ]


def test_a_table_that_is_not_read_for_its_ending_is_a_fault(tmp_path: Path) -> None:
    """Some programs hide or add `.txt`; a workbook of one table lies beside CSV files."""
    files = {"vet_checks.csv.txt": "horse,date\n", "papers.tsv": "horse\n", "notes.txt": "x"}
    assert list_faults(tmp_path / "text", files) == [
        "papers.tsv: is not read; name it papers.csv",
        "vet_checks.csv.txt: is not read; name it vet_checks.csv",
    ]
    folder = write_folder(tmp_path / "book")
    make_book().save(folder / "vet_checks.xlsx")
    assert list_faults(folder) == [
        "vet_checks.xlsx: is a workbook beside CSV files; save it as vet_checks.csv"
    ]
    assert list_faults(tmp_path / "rules", {"locals.toml": "", "Local.toml.txt": ""}) == [
        "Local.toml.txt: is not read; name it local.toml",
        "locals.toml: is nearly named like local.toml; name it so, or otherwise",
    ]


@pytest.mark.parametrize("separator", ["\t", ";", ","])
@pytest.mark.parametrize("first_line", ["", "sep={}\n", '"sep={}"\r\n'])
def test_tabs_and_a_line_of_the_separator_are_understood(
    tmp_path: Path, separator: str, first_line: str
) -> None:
    """The line is hidden by the programs that write it, so it counts as no row."""
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator).writerows(csv.reader(io.StringIO(GOOD["shows.csv"])))
    text = first_line.format(separator) + out.getvalue()
    plain = read_yard(write_folder(tmp_path / "plain"))
    assert read_yard(write_folder(tmp_path / "other", {"shows.csv": text})) == plain
    bad = text.replace("2027-04-14", "soon")
    (said,) = list_faults(tmp_path / "bad", {"shows.csv": bad})
    assert said.startswith("shows.csv row 3, column first_day: 'soon'")


@pytest.mark.parametrize(
    ("above", "said"),
    [
        ("Our horses 2027\n", "'Our horses 2027' is no header: the header stands in row 2"),
        (";;;;\nHorses;;;;\n\n", "the header stands in row 4"),
        ("Horse;list;;;\n", "'Horse' is no header: the header stands in row 2"),
    ],
)
def test_rows_above_the_header_are_one_fault(tmp_path: Path, above: str, said: str) -> None:
    """Whatever the separator; nothing else is said of the file, nor of those that name it."""
    text = GOOD["horses.csv"].replace(",", ";")
    assert list_faults(tmp_path, {"horses.csv": above + text}) == [
        f"horses.csv row 1: {said}; delete what is above it"
    ]


def test_a_header_that_comes_again_is_one_fault(tmp_path: Path) -> None:
    """Two files were pasted under each other."""
    text = GOOD["horses.csv"] + GOOD["horses.csv"].split("\n")[0].upper() + "\n"
    assert list_faults(tmp_path, {"horses.csv": text}) == [
        "horses.csv row 4: is the header once more; delete the row"
    ]


def test_a_file_without_its_header_is_one_fault(tmp_path: Path) -> None:
    """Rows alone, or those of another table."""
    rows = GOOD["horses.csv"].split("\n", 1)[1]
    assert list_faults(tmp_path, {"horses.csv": rows}) == [
        "horses.csv row 1: 'bella' is no column of this file; row 1 holds their names (horse, "
        "born, sex, from_height_cm, to_height_cm, rider, …)"
    ]


# Values


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("04/03/2027", ["2027-03-04", "2027-04-03"]),
        ("4/3/27", ["2027-03-04", "2027-04-03"]),
        ("25/03/2027", ["2027-03-25"]),
        ("03-25-2027", ["2027-03-25"]),
        ("04/04/2027", ["2027-04-04"]),
        ("4.3.2027", ["2027-03-04"]),
        ("2027/3/4", ["2027-03-04"]),
        ("2027-3-4", ["2027-03-04"]),
        ("20270304", ["2027-03-04"]),
        ("4 March 2027", ["2027-03-04"]),
        ("4-Mar-27", ["2027-03-04"]),
        ("March 4, 2027", ["2027-03-04"]),
        ("2027-03-04 10:30:00", ["2027-03-04"]),
        ("2027-03-04T00:00:00", ["2027-03-04"]),
        # 1 January 2000 is day 36526 of spreadsheets (from memory), 9924 days before this one.
        ("46450", ["2027-03-04"]),
        ("31/02/2027", []),
        ("soon", []),
        ("1/3", []),
        ("99999999", []),
        ("4/3/0027", []),
    ],
)
def test_a_date_written_otherwise_is_told_in_the_right_way(text: str, meant: list[str]) -> None:
    """Both readings where day and month may stand either way; none where no day is meant."""
    assert [day.isoformat() for day in suggest_dates(text)] == meant


def test_a_column_of_dates_written_otherwise_is_one_fault(tmp_path: Path) -> None:
    """A program that writes dates its own way writes all of them so; three are told one by one."""
    head = "show,class,day,height_cm\n"
    rows = [f"Oak 1,C{i},04/{8 + i:02d}/2027,120\n" for i in range(4)]
    asked = "is not a date (YYYY-MM-DD): write 2027-08-04 or 2027-04-08"
    assert list_faults(tmp_path / "four", {"classes.csv": head + "".join(rows)}) == [
        f"classes.csv row 2, column day: '04/08/2027' {asked} (4 cells)"
    ]
    assert len(list_faults(tmp_path / "three", {"classes.csv": head + "".join(rows[:3])})) == 3


def test_dates_of_birth_are_told_as_well(tmp_path: Path) -> None:
    """A year may stand there alone, so the words are others."""
    assert list_faults(tmp_path, swap("horses.csv", "2015-05-02", "02/05/2015")) == [
        "horses.csv row 3, column born: '02/05/2015' is neither a year (YYYY) nor a date "
        "(YYYY-MM-DD): write 2015-05-02 or 2015-02-05"
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1.250", "could be 1250 or 1.25: write the one that is meant"),
        ("2.000", "could be 2000 or 2.00: write the one that is meant"),
        ("12.500", "could be 12500 or 12.50: write the one that is meant"),
        ('"1,250"', "could be 1250 or 1.25: write the one that is meant"),
        ('"1,255"', "could be 1255 or 1.255: write the one that is meant"),
    ],
)
def test_thousands_are_asked_back(tmp_path: Path, text: str, said: str) -> None:
    """In a country with decimal commas 1.250 is twelve hundred and fifty."""
    files = swap("classes.csv", "72.50", text)
    shown = text.strip('"')
    assert list_faults(tmp_path, files) == [f"classes.csv row 3, column fee: {shown!r} {said}"]


def test_thousands_are_asked_back_everywhere(tmp_path: Path) -> None:
    """Settings, ways and counts too; a share or a coordinate cannot mean thousands."""
    files = {
        **append("yard.toml", "[costs]", "budget = 60.000"),
        "distances.csv": "from,to,km\nhome,Oak 1,1.250\n",
        "aims.csv": "horse,show,starts_needed,series\nBella,Oak 1,1.000,Cup\n",
        "shares.csv": "horse,owner,share\nBella,Olga Moss,1.000\nComet,Olga Moss,1\n",
        "venues.csv": "place,latitude,longitude\nHill,29.250,-82.500\n",
    }
    asked = "write the one that is meant"
    assert list_faults(tmp_path, files) == [
        f"yard.toml setting costs.budget: '60.000' could be 60000 or 60.00: {asked}",
        f"aims.csv row 2, column starts_needed: '1.000' could be 1000 or 1.00: {asked}",
        f"distances.csv row 2, column km: '1.250' could be 1250 or 1.25: {asked}",
    ]


SHEET_END = "</sheetData>"


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ('<row r="9999999999"><c r="A9999999999"><v>1</v></c></row>', "no row beyond 1048576"),
        ('<row r="9"><c r="A9999999999"><f>1</f></c></row>', "no row beyond 1048576"),
        ("<row/>" * 1_048_577, "no row beyond 1048576"),
        (
            "".join(f'<row r="{n}"><c r="XFD{n}"><v>1</v></c></row>' for n in range(10, 330)),
            "more than 5000000 cells",
        ),
    ],
    ids=["far row", "far formula", "rows without end", "far columns"],
)
def test_a_sheet_that_has_no_end_is_said_and_not_read_for_hours(
    tmp_path: Path, rows: str, said: str
) -> None:
    """The last cell of a sheet is XFD1048576; a few bytes may claim far more than fits a machine.

    320 rows to the column XFD, the 16 384th, are 5 242 880 cells.
    """
    folder = save(tmp_path, make_book())
    edit(folder, "xl/worksheets/sheet3.xml", SHEET_END, rows + SHEET_END)
    (fault,) = list_faults(folder, NO_CSV)
    assert said in fault


def test_empty_cells_far_right_are_no_cells(tmp_path: Path) -> None:
    """Whoever paints whole rows leaves cells without a value up to the last column."""
    folder = save(tmp_path, make_book())
    rows = "".join(f'<row r="{n}"><c r="XFD{n}"/></row>' for n in range(10, 330))
    edit(folder, "xl/worksheets/sheet3.xml", SHEET_END, rows + SHEET_END)
    assert len(read_yard(folder).horses) == 2
