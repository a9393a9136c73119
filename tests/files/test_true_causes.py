"""One slip in the file that holds the names is one fault there, not one in every file."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.files.folders import GOOD, append, list_faults, swap, write_folder
from tripkit.commands.line import main
from tripkit.words.faults import fold_errors
from tripkit.yard.errors import InputError
from tripkit.yard.facts import state

USED: dict[str, str | bytes | None] = {
    **append("horses.csv", "Dancer,2016,100,120,Ana Reed"),
    **append("shares.csv", "Dancer,Olga Moss,"),
    "papers.csv": "horse,paper,date\nBella,influenza,2027-01-04\nBella,influenza,2026-06-04\n",
    "results.csv": "horse,date\nBella,2027-01-02\nBella,2027-01-03\n",
    "vet_checks.csv": "horse,date,cleared\nBella,2027-01-02,yes\n",
    "entries.csv": "horse,show,class,status\nBella,Oak 1,Final,paid\nComet,Oak 1,Opener,sent\n",
    "aims.csv": "horse,show\nBella,Oak 1\n",
    "absences.csv": "who,first_day,last_day\nBella,2027-05-01,2027-05-02\n"
    "Ana Reed,2027-05-01,2027-05-02\nLorry,2027-05-01,2027-05-02\nLorry,2027-05-04,2027-05-05\n",
    "distances.csv": "from,to,km\nhome,Oak 1,300\n",
}


def change(name: str, old: str, new: str) -> dict[str, str | bytes | None]:
    """The folder in which every name is used, with one text of one file replaced."""
    text = USED.get(name, GOOD.get(name))
    assert isinstance(text, str)
    assert old in text
    return {**USED, name: text.replace(old, new, 1)}


def test_the_folder_is_good(tmp_path: Path) -> None:
    """Each fault below comes from one change."""
    assert main(["check", str(write_folder(tmp_path, USED))]) in (0, 1)


@pytest.mark.parametrize(
    ("name", "old", "new", "said"),
    [
        (
            "horses.csv",
            "Bella",
            "Bela",
            "horses.csv row 2, column horse: 'Bela' stands in no other file, while 'Bella', which "
            "is not here, stands in shares.csv row 2; papers.csv rows 2, 3; aims.csv row 2; "
            "absences.csv row 2; results.csv rows 2, 3; vet_checks.csv row 2; entries.csv row 2; "
            "did you mean 'Bella'?",
        ),
        (
            "shows.csv",
            "Oak 1",
            "Oka 1",
            "shows.csv row 2, column show: 'Oka 1' stands in no other file, while 'Oak 1', which "
            "is not here, stands in classes.csv rows 2, 3; aims.csv row 2; entries.csv rows 2, 3; "
            "distances.csv row 2; did you mean 'Oak 1'?",
        ),
        (
            "people.csv",
            "Ana Reed",
            "Anna  Reed",
            "people.csv row 2, column person: 'Anna  Reed' stands in no other file, while 'Ana "
            "Reed', which is not here, stands in horses.csv rows 2, 4; shares.csv row 4; "
            "absences.csv row 3; did you mean 'Ana Reed'?",
        ),
        (
            "vehicles.csv",
            "Lorry",
            "lorry",
            "vehicles.csv row 2, column vehicle: 'lorry' stands in no other file, while 'Lorry', "
            "which is not here, stands in absences.csv rows 4, 5; did you mean 'Lorry'?",
        ),
    ],
)
def test_a_key_that_its_own_file_misspells_is_one_fault(
    tmp_path: Path, name: str, old: str, new: str, said: str
) -> None:
    """No row that uses the name is blamed, nor is the horse told that it has no owner."""
    assert list_faults(tmp_path, change(name, old, new)) == [said]


def test_a_name_used_once_is_the_one_to_mend(tmp_path: Path) -> None:
    """Where one row alone uses the other spelling, it is told, and the horse has its owner."""
    assert list_faults(tmp_path, swap("shares.csv", "Bella", "Bela")) == [
        "shares.csv row 2, column horse: 'Bela' is no horse in horses.csv; did you mean 'Bella'?"
    ]


def test_other_digits_are_another_show(tmp_path: Path) -> None:
    """A new show without classes beside one that is gone: both are what they are."""
    found = list_faults(tmp_path, change("shows.csv", "Oak 1", "Oak 7"))
    assert {said.split(":")[1][:8] for said in found} == {" 'Oak 1'"}


def test_a_show_on_other_days_than_all_its_classes_is_one_fault(tmp_path: Path) -> None:
    """A slip in the show's dates; one class outside is a slip of that class."""
    text = GOOD["shows.csv"].replace("2027-04-07,2027-04-11", "2027-05-07,2027-05-11")
    assert list_faults(tmp_path, {"shows.csv": text}) == [
        "shows.csv row 2, column first_day: '2027-05-07' to 2027-05-11 are not the days of its "
        "classes, 2027-04-08 to 2027-04-11 (classes.csv rows 2, 3)"
    ]


def test_faults_are_folded_on_stderr(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One unknown name in many rows is one line with its rows, as on the page."""
    entries = "horse,show,class,status\n" + "Zorro,Oak 1,Final,paid\n" * 3
    files = {"entries.csv": entries, "results.csv": "horse,date\nZorro,2027-01-02\n"}
    assert main(["check", str(write_folder(tmp_path, files))]) == 2
    assert capsys.readouterr().err == (
        "'Zorro' is no horse in horses.csv (results.csv row 2; entries.csv rows 2 to 4)\n"
    )


def test_the_same_fault_in_a_column_is_folded() -> None:
    """Its rows stand in front, as one row does; other values and columns are lines of their own."""
    rows = [
        InputError("classes.csv", row, column, value, state("faults.not-date-yyyymmdd"))
        for row, column, value in (
            (2, "day", "soon"), (3, "day", "soon"), (4, "day", "late"), (9, "day", "soon"),
            (2, "until", "soon"),
        )
    ]  # fmt: skip
    assert fold_errors(rows) == (
        "classes.csv rows 2, 3, 9, column day: 'soon' is not a date (YYYY-MM-DD)",
        "classes.csv row 4, column day: 'late' is not a date (YYYY-MM-DD)",
        "classes.csv row 2, column until: 'soon' is not a date (YYYY-MM-DD)",
    )


def test_a_long_list_of_rows_is_cut() -> None:
    """Every second of 8,000 rows would fill the screen."""
    unknown = state("faults.no-name-of-kind", what="horse", near=None)
    rows = [InputError("results.csv", row, "horse", "Elm", unknown) for row in range(2, 8000, 2)]
    (said,) = fold_errors(rows)
    assert said.endswith("22, 24 and 3987 more)")
    assert len(said) < 120
