"""Entry sheets: what is to be sent by when, and money that adds up on every sheet.

Sheets are read back with openpyxl; sums are counted by hand beside each test.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction
from pathlib import Path

import openpyxl
import pytest

import tripkit
from tests.build import make_base, make_class, make_entry, make_horse, make_show, make_yard
from tests.files.folders import write_folder
from tests.judging.plan import drive, outing
from tripkit.commands.line import main
from tripkit.pages.entry_sheets import FEES, list_show_sheets, name_sheet, write_entries
from tripkit.season.costs import price
from tripkit.season.scorecard import finish_circuit
from tripkit.yard.circuit import Circuit, Outing
from tripkit.yard.errors import CannotWrite
from tripkit.yard.people import Person, Share

ROOT = Path(__file__).resolve().parents[2]


def two_shows(**changes):
    """S1 closes 04-01 and has stalls of 30.01; S2 closed on 02-01 and asks 20.00 more."""
    return make_yard(
        **{
            "shows": [
                make_show("S1", entries_close="2027-04-01", stall_fee_cents=3001),
                make_show(
                    "S2",
                    "2027-05-05",
                    entries_close="2027-02-01",
                    late_entries_until="2027-04-20",
                    late_fee_cents=2000,
                ),
            ],
            "horses": [make_horse(), make_horse("Bella")],
            "people": [
                make_yard().people[0],
                Person("Olga", "owner"),
                Person("Paul", "owner"),
                Person("Ruth", "owner"),
            ],
            "shares": [
                Share("Dancer", "Olga", Fraction(1, 3)),
                Share("Dancer", "Paul", Fraction(1, 3)),
                Share("Dancer", "Ruth", Fraction(1, 3)),
                Share("Bella", "Paul"),
            ],
            "entries": [make_entry("C1")],
            **changes,
        }
    )


def make_circuit(yard):
    """Dancer at both shows, Bella at S1 with one class."""
    outings = [
        outing(yard, "S1", "2027-04-07", "2027-04-11", "Dancer"),
        outing(yard, "S1", "2027-04-07", "2027-04-11", "Bella", ("C2",)),
        outing(yard, "S2", "2027-05-05", "2027-05-09", "Dancer"),
    ]
    return finish_circuit(yard, "A", "most worth", "best in time", None, None, 0.0, outings, [])


@pytest.fixture
def book(tmp_path):
    yard = two_shows()
    path = write_entries(yard, make_circuit(yard), tmp_path / "e.xlsx")
    return openpyxl.load_workbook(path)


def read(page):
    """Rows of values below the heads, keyed by head."""
    heads = [cell.value for cell in page[3]]
    return [
        dict(zip(heads, (c.value for c in row), strict=False)) for row in page.iter_rows(min_row=4)
    ]


def cents(amount):
    return round(amount * 100)


def test_sheets_stand_in_date_order_between_overview_and_owners(book):
    """Entries first, then each show by its first day, owners last."""
    assert book.sheetnames == ["Entries", "S1", "S2", "Owners"]


def test_the_overview_is_sorted_by_closing_date_and_says_what_is_due(book):
    """S2 closed on 02-01 (today is 02-28), late entries go to 04-20; S1 closes on 04-01."""
    first, second, total, *_ = read(book["Entries"])
    assert (first["show"], second["show"]) == ("S2", "S1")
    assert first["to do"] == "send 2 classes late by 2027-04-20"
    # Three classes at S1, one of them paid.
    assert second["to do"] == "send 2 classes by 2027-04-01"
    assert (second["horses"], second["classes"], second["to send"]) == (2, 3, 2)
    # Fees of 50.00 each: 3 at S1 and 2 at S2; two stalls of 30.01; one late fee of 20.00.
    assert [cents(second[h]) for h in ("entry fees USD", "stall fees", "late fees", "total")] == [
        15000,
        6002,
        0,
        21002,
    ]
    assert [cents(first[h]) for h in ("entry fees USD", "stall fees", "late fees", "total")] == [
        10000,
        0,
        2000,
        12000,
    ]
    assert cents(total["total"]) == 33002


def test_a_show_lists_each_class_stall_and_late_fee(book):
    """Horse, rider, owners with shares, class, day, height, status, fee."""
    rows = read(book["S1"])
    assert [(r["horse"], r["class"], r["status"], cents(r["fee USD"])) for r in rows[:5]] == [
        ("Bella", "C2", "to send", 5000),
        ("Bella", "stall", "to send", 3001),
        ("Dancer", "C1", "paid", 5000),
        ("Dancer", "C2", "to send", 5000),
        ("Dancer", "stall", "with the entry", 3001),
    ]
    assert rows[0]["owner"] == "Paul"
    assert rows[2]["owner"] == "Olga 33.33 %, Paul 33.33 %, Ruth 33.33 %"
    assert (rows[2]["rider"], rows[2]["height cm"]) == ("Ana", 120)
    assert rows[2]["day"] == datetime(2027, 4, 8)
    late = [r for r in read(book["S2"]) if r["class"] == "late fee"]
    assert [cents(r["fee USD"]) for r in late] == [2000]


def test_owners_pay_to_the_cent_on_every_sheet(book):
    """S1: Bella 80.01 by Paul; Dancer 130.01 in three: 43.34, 43.34, 43.33. S2: 40.00 each."""
    rows = {row["show"]: row for row in read(book["Owners"]) if row["show"]}
    s1, s2 = rows["S1"], rows["S2"]
    # split_cents gives the cents left over to the earlier of equal shares.
    assert [cents(s1[o]) for o in ("Olga", "Paul", "Ruth")] == [4334, 4334 + 8001, 4333]
    assert [cents(s2[o]) for o in ("Olga", "Paul", "Ruth")] == [4000, 4000, 4000]
    assert [cents(rows["total"][o]) for o in ("Olga", "Paul", "Ruth")] == [8334, 16335, 8333]
    assert sum(cents(rows["total"][o]) for o in ("Olga", "Paul", "Ruth")) == 33002
    assert cents(rows["total"]["total"]) == 33002
    shown = [row for row in read(book["S1"]) if row["horse"] in ("Olga", "Paul", "Ruth", "total")]
    assert [cents(row["fee USD"]) for row in shown] == [21002, 4334 + 8001, 4334, 4333, 21002]


def test_the_money_is_that_of_the_bill():
    """Only fees, line for line."""
    yard = two_shows()
    circuit = make_circuit(yard)
    bill = price(yard, circuit.outings, circuit.legs, circuit.days)
    for sheet in list_show_sheets(yard, circuit):
        for kind in FEES:
            own = sum(x.cents for x in bill.lines if (x.kind, x.show) == (kind, sheet.show.show))
            assert sum(line.cents for line in sheet.lines if line.kind == kind) == own
        assert sum(sheet.by_owner.values()) == sheet.total_cents


def test_dates_are_dates_and_money_has_two_decimals(book):
    """A spreadsheet sorts the one and adds up the other."""
    page = book["Entries"]
    assert page["A4"].value == datetime(2027, 2, 1)
    assert page["A4"].number_format == "yyyy-mm-dd"
    assert page["N4"].number_format == "#,##0.00"
    assert isinstance(page["N4"].value, int | float)


def test_pages_print_on_one_width_with_their_heads(book):
    """Landscape, as wide as the paper, heads on every page, Letter in the United States."""
    for page in book:
        assert page.page_setup.orientation == "landscape"
        assert page.sheet_properties.pageSetUpPr.fitToPage
        assert (page.page_setup.fitToWidth, page.page_setup.fitToHeight) == (1, 0)
        assert page.print_title_rows == "$1:$3"
        assert page.page_setup.paperSize == 1
        assert all(9 <= d.width <= 50 for d in page.column_dimensions.values())


NASTY = ("=HYPERLINK(1)", "+1", "-1+2", "@SUM(A1)", "<b>x</b>", "\u202eevil", "Ünï\U0001f40e")


@pytest.mark.parametrize("name", NASTY)
def test_a_name_is_never_a_formula(tmp_path, name):
    """Formula injection (OWASP, CSV Injection): names are kept as text, as they are written."""
    yard = two_shows(horses=[make_horse(name), make_horse("Bella")], entries=[])
    yard = replace(yard, shares=(Share(name, "Olga"), Share("Bella", "Paul")))
    outings = [outing(yard, "S1", "2027-04-07", "2027-04-11", name)]
    circuit = finish_circuit(yard, name, "most worth", "best in time", None, None, 0, outings, [])
    book = openpyxl.load_workbook(write_entries(yard, circuit, tmp_path / "e.xlsx"))
    cell = book["S1"]["A4"]
    assert (cell.value, cell.data_type) == (name, "s")
    assert all(c.data_type != "f" for page in book for row in page.iter_rows() for c in row)


def test_names_of_sheets_are_legal_and_their_own():
    """At most 31 characters, none of []:*?/\\, no two alike, not History."""
    taken = {"entries", "owners"}
    shows = ["a/b:c*d?[e]\\f", "x" * 40, "X" * 50, "entries", "History", "'", "", "Show"]
    names = [name_sheet(show, taken) for show in shows]
    assert all(0 < len(n) <= 31 and not set(n) & set("[]:*?/\\") for n in names)
    assert len({n.casefold() for n in names} | {"entries", "owners"}) == len(shows) + 2
    assert "history" not in {n.casefold() for n in names}


def test_the_same_circuit_gives_the_same_bytes(tmp_path):
    """No part bears the time of writing."""
    yard = two_shows()
    first = write_entries(yard, make_circuit(yard), tmp_path / "a.xlsx").read_bytes()
    assert write_entries(yard, make_circuit(yard), tmp_path / "b.xlsx").read_bytes() == first


def test_a_circuit_without_outings_has_an_empty_overview(tmp_path):
    """Nobody goes, nothing is due, the workbook opens all the same."""
    yard = two_shows()
    circuit = finish_circuit(yard, "A", "most worth", "best in time", None, None, 0.0, [], [])
    book = openpyxl.load_workbook(write_entries(yard, circuit, tmp_path / "e.xlsx"))
    assert book.sheetnames == ["Entries", "Owners"]


def test_shows_without_closing_dates_stand_last(tmp_path):
    """What has no date cannot be late."""
    shows = [
        make_show("S1", "2027-04-07"),
        make_show("S2", "2027-05-05", entries_close="2027-04-20"),
    ]
    yard = two_shows(shows=shows, entries=[])
    path = write_entries(yard, make_circuit(yard), tmp_path / "e.xlsx")
    rows = read(openpyxl.load_workbook(path)["Entries"])
    assert [row["show"] for row in rows[:2]] == ["S2", "S1"]
    assert rows[1]["to do"] == "send 3 classes; no closing date is written"


def test_a_free_show_costs_nothing(tmp_path):
    """Fees of zero stand as 0.00, and nobody pays."""
    free = make_show("S1", classes=(make_class("C1", fee_cents=0),))
    yard = two_shows(shows=[free])
    going = [outing(yard, "S1", "2027-04-07", "2027-04-09", "Dancer", ("C1",))]
    circuit = finish_circuit(yard, "A", "most worth", "best in time", None, None, 0.0, going, [])
    book = openpyxl.load_workbook(write_entries(yard, circuit, tmp_path / "e.xlsx"))
    (row, *_) = read(book["Entries"])
    assert (row["total"], row["to do"]) == (0, "nothing, all is sent")


def test_a_folder_that_is_not_there_is_said(tmp_path):
    """`CannotWrite` names the file."""
    yard = two_shows()
    with pytest.raises(CannotWrite, match=r"e\.xlsx"):
        write_entries(yard, make_circuit(yard), tmp_path / "nowhere" / "e.xlsx")


def test_the_command_writes_the_workbook(tmp_path, capsys):
    """0 and the path; 2 for a circuit that has no plan."""
    folder = write_folder(tmp_path / "mill")
    yard = tripkit.read_yard(folder)
    home = finish_circuit(yard, "Home", "least cost", "proved best", 0.0, 0.0, 0.0, [], [])
    none = Circuit("None", "tour Moon", "none exists", reasons=("no road",))
    tripkit.write_circuits(tmp_path / "c.json", yard, [home, none])
    out = tmp_path / "e.xlsx"
    assert main(["entries", str(folder), str(tmp_path / "c.json"), "home", "--out", str(out)]) == 0
    assert capsys.readouterr().out.strip() == str(out)
    assert openpyxl.load_workbook(out).sheetnames[0] == "Entries"
    wrong = ["entries", str(folder), str(tmp_path / "c.json"), "none", "--out", str(out)]
    assert main(wrong) == 2
    assert "has no plan" in capsys.readouterr().err


def test_days_of_classes_keep_their_date(book):
    """A date is a day, without a time of day or a zone."""
    days = [row["day"] for row in read(book["S1"]) if row["class"] == "C1"]
    assert [d.date() for d in days] == [date(2027, 4, 8)]
    assert {d.time() for d in days} == {datetime.min.time()}


def test_who_sleeps_at_a_base_has_no_stall_to_pay():
    """It jumps from its box: the sheet asks for its classes alone, and counts no stall."""
    show = make_show("S1", "2027-04-19", place_key="Fairview", stall_fee_cents=15000)
    yard = make_yard(shows=[show], bases=(make_base(),))
    there = drive("home", "Barn", "2027-04-01", ("Dancer",))
    first, last = date(2027, 4, 20), date(2027, 4, 22)
    outing = Outing("Dancer", "S1", "Ana", ("C1", "C2"), first, last, first, last)
    circuit = Circuit("A", "most worth", "proved best", outings=(outing,), legs=(there,))
    (sheet,) = list_show_sheets(yard, circuit)
    assert sheet.stalls == 0
    assert {line.kind for line in sheet.lines} == {"entry fee"}
    assert sheet.total_cents == sum(sheet.by_owner.values()) == 2 * 5000
