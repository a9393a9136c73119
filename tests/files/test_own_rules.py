"""local.toml, treatments.csv and papers that cannot be: what is read, and what is answered."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tests.build import tell_all
from tests.files.folders import GOOD, append, list_faults, write_folder
from tripkit.files import read_yard

ASKING = {"yard.toml": GOOD["yard.toml"].replace("rules = []", 'rules = ["us"]')}
RULE = """[[rule]]
id = "coggins-validity"
words = "This yard tests twice a year."
value = 6
unit = "months"
source = "agreed with the yard's vet, January 2027"
kind = "common practice"
confidence = "seen"
"""
PAPERS = "horse,person,paper,date,valid_until,number\n"


def test_local_rules_change_the_books_rule(tmp_path: Path) -> None:
    """The yard's 6 months stand before the book's 12 (USEF, Interstate travel page)."""
    yard = read_yard(write_folder(tmp_path, {**ASKING, "local.toml": RULE}))
    (us,) = yard.rule_books
    rule = us.find_rule("coggins-validity", date(2027, 4, 1))
    assert rule is not None
    assert (rule.value, rule.words) == (6, "This yard tests twice a year.")


def test_local_rules_that_no_book_has_are_added_and_told(tmp_path: Path) -> None:
    """A misspelt id is seen, with the near one."""
    text = RULE.replace('"coggins-validity"', '"coggins-validty"')
    yard = read_yard(write_folder(tmp_path, {**ASKING, "local.toml": text}))
    assert [book.id for book in yard.rule_books] == ["us", "local"]
    assert any(
        "'coggins-validty'" in r and "'coggins-validity'" in r for r in tell_all(yard.remarks)
    )


@pytest.mark.parametrize(
    ("old", "new", "wanted"),
    [
        (
            'source = "agreed with the yard\'s vet, January 2027"\n',
            "",
            "local.toml row 2, column rule coggins-validity: source is missing",
        ),
        (
            "confidence",
            "certainty",
            "local.toml row 2, column rule coggins-validity: key 'certainty' is unknown",
        ),
        (
            'unit = "months"',
            'unit = "months"\nbook = "usa"',
            "local.toml row 2, column rule coggins-validity: book 'usa' is none of de, eu, fei",
        ),
        ("value = 6", 'value = "six"', "local.toml row 2, column rule coggins-validity: value"),
        ("[[rule]]", "[[rules]]", "local.toml: key 'rules' is unknown"),
        ("value = 6", "value =", "local.toml: is not TOML"),
    ],
)
def test_a_faulty_local_file_names_row_rule_and_key(
    tmp_path: Path, old: str, new: str, wanted: str
) -> None:
    """Whoever writes own rules is told where the fault stands."""
    assert old in RULE
    (found,) = list_faults(tmp_path, {**ASKING, "local.toml": RULE.replace(old, new, 1)})
    assert found.startswith(wanted)


@pytest.mark.parametrize(
    ("rows", "wanted"),
    [
        (
            "Comet,,influenza,2015-05-01,,\n",
            "papers.csv row 2, column date: '2015-05-01' is before the horse was born (2015-05-02)",
        ),
        (
            "Bella,,coggins,2027-03-02,,\n",
            "papers.csv row 2, column date: '2027-03-02' is after today (2027-03-01)",
        ),
        (
            "Bella,,passport,2024-01-01,2028-01-01,P1\nBella,,passport,2026-01-01,2030-01-01,P2\n",
            "papers.csv row 3, column number: 'P2' is a second passport: 'P1' in row 2 has not "
            "ended by 2026-01-01; write its valid_until, or one number",
        ),
        (
            "Bella,,influenca,2027-01-01,,\n",
            "papers.csv row 2, column paper: 'influenca' is no known paper; did you mean "
            "'influenza'?",
        ),
    ],
)
def test_a_paper_that_cannot_be_is_a_fault_at_its_row(
    tmp_path: Path, rows: str, wanted: str
) -> None:
    """Before birth, in the future, a second passport, an unknown name."""
    settings = GOOD["yard.toml"].replace("[papers]", "today = 2027-03-01\n[papers]")
    files = {"papers.csv": PAPERS + rows, "yard.toml": settings}
    assert list_faults(tmp_path, files) == [wanted]


def test_what_may_be_is_no_fault(tmp_path: Path) -> None:
    """The day of birth, today, an appointment for a dose, a new passport after the old one."""
    rows = (
        "Comet,,influenza,2015-05-02,,\nBella,,coggins,2027-03-01,,\n"
        "Bella,,influenza,2027-04-01,,\nBella,,passport,2020-01-01,2024-01-01,P1\n"
        "Bella,,passport,2024-01-02,,P2\nComet,,passport,2020-01-01,,P3\n"
        "Comet,,passport,2024-01-01,,P3\n"
    )
    settings = GOOD["yard.toml"].replace("[papers]", "today = 2027-03-01\n[papers]")
    yard = read_yard(write_folder(tmp_path, {"papers.csv": PAPERS + rows, "yard.toml": settings}))
    assert len(yard.papers) == 7


def test_a_horse_without_papers_is_told_at_its_row(tmp_path: Path) -> None:
    """It may be new: nobody is kept from planning, and its papers are unknown."""
    files = {**ASKING, "papers.csv": PAPERS + "Bella,,coggins,2027-01-10,,\n"}
    yard = read_yard(write_folder(tmp_path, files))
    told = "horses.csv row 3: 'Comet' has no row in papers.csv; its papers are unknown"
    assert told in tell_all(yard.remarks)


def test_treatments_are_read_and_bring_the_lists_along(tmp_path: Path) -> None:
    """Horse, substance and date are asked for; route and dose may be written."""
    rows = "horse,substance,route,dose,date\nBella,Firocoxib,Oral,57 mg,2027-02-01\n"
    yard = read_yard(write_folder(tmp_path, {"treatments.csv": rows}))
    (given,) = yard.treatments
    assert (given.horse, given.substance, given.route) == ("Bella", "Firocoxib", "oral")
    assert yard.medicines is not None
    assert read_yard(write_folder(tmp_path / "none")).medicines is None


def test_a_treatment_of_an_unknown_horse_or_in_the_future_is_a_fault(tmp_path: Path) -> None:
    """At its row, as everywhere."""
    rows = "horse,substance,date\nBela,firocoxib,2027-02-01\nBella,firocoxib,2028-02-01\n"
    assert list_faults(tmp_path, {"treatments.csv": rows}) == [
        "treatments.csv row 2, column horse: 'Bela' is no horse in horses.csv; did you mean "
        "'Bella'?",
        "treatments.csv row 3, column date: '2028-02-01' is after the season (2027-06-06)",
    ]


def test_a_start_at_an_unsanctioned_event_is_read(tmp_path: Path) -> None:
    """Column `unsanctioned` of results.csv, yes or no, empty for no."""
    rows = "horse,date,unsanctioned\nBella,2027-01-10,yes\nBella,2027-01-20,\n"
    yard = read_yard(write_folder(tmp_path, {**append("shows.csv"), "results.csv": rows}))
    assert dict(yard.unsanctioned_starts) == {"Bella": (date(2027, 1, 10),)}


def test_a_test_after_the_day_of_planning_is_asked_back(tmp_path: Path) -> None:
    """Nobody said which day is today, so it is 28 February: one of March may be a slip."""
    rows = "horse,person,paper,date\nBella,,coggins,2027-03-10\nBella,,influenza,2027-03-10\n"
    yard = read_yard(write_folder(tmp_path, {"papers.csv": rows}))
    (told,) = [remark for remark in tell_all(yard.remarks) if "is it done?" in remark]
    assert told.startswith("papers.csv row 2: coggins of 2027-03-10 is after today (2027-02-28)")
