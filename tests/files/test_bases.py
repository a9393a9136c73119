"""bases.csv: what it may say, what stands for an empty cell, and what is asked back."""

from __future__ import annotations

import csv
from datetime import UTC, date, datetime, timedelta

import pytest

from tests.files.folders import GOOD, list_faults, write_folder
from tripkit.files import read_yard
from tripkit.files.circuits import read_circuits, write_circuits
from tripkit.files.renaming import rename
from tripkit.yard.bases import Base
from tripkit.yard.circuit import Circuit, Day, Leg
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue

HEAD = "base,place,first_day,last_day,boxes"
BARN = 'Barn,"Crestview, FL",2027-03-15,2027-05-02,6'
MARCH = DaySpan(date(2027, 3, 15), date(2027, 5, 2))


def write_bases(*rows, head=HEAD):
    return {"bases.csv": "\n".join((head, *rows, ""))}


def read(tmp_path, files):
    return read_yard(write_folder(tmp_path / "yard", files), today=date(2027, 3, 1))


def test_a_base_takes_what_it_does_not_say_from_yard_and_town(tmp_path):
    """The price is that of yard.toml, the time zone the town's: Crestview is in Florida's west.

    **Source:** 49 CFR 71.7: west of the Apalachicola, Florida keeps central time.
    """
    toml = GOOD["yard.toml"] + "[costs]\nbase_night = 42.50\n"
    yard = read(tmp_path, {"yard.toml": toml, **write_bases(BARN)})
    (base,) = yard.bases
    assert base == Base("Barn", "Crestview, FL", MARCH, 6, 4250, timezone="America/Chicago")
    assert yard.base_of == {"Barn": base}
    assert yard.place_of("Barn").name == "Crestview"


def test_a_base_says_its_own_price_grooms_end_and_zone(tmp_path):
    """Every column of the file is heard."""
    row = f"{BARN},38,yes,yes,America/New_York"
    yard = read(tmp_path, write_bases(row, head=f"{HEAD},per_night,staffed,stays,timezone"))
    assert yard.bases == (
        Base("Barn", "Crestview, FL", MARCH, 6, 3800, True, True, "America/New_York"),
    )


def test_every_way_from_and_to_a_base_is_known(tmp_path):
    """Home, the shows' towns and the bases: each pair has a drive, there and back."""
    yard = read(tmp_path, write_bases(BARN, 'Mill,"Valdosta, GA",2027-03-15,2027-05-02,4'))
    keys = ("home", "Tallahassee, FL", "Crestview, FL", "Valdosta, GA")
    pairs = {(start, end) for start in keys for end in keys if start != end}
    assert pairs == set(yard.roads.drives)


def test_a_base_in_a_shows_town_is_at_the_show(tmp_path):
    """The same place as written is the same place: no drive lies between."""
    yard = read(tmp_path, write_bases('Barn,"Tallahassee, FL",2027-04-01,2027-05-02,6'))
    assert yard.place_key_of("Barn") == yard.place_key_of("Oak 1")
    assert yard.place_of("Barn") == yard.place_of("Oak 1")


def test_distances_and_absences_may_name_a_base(tmp_path):
    """A measured way may say the base or its town; a lorry may stand there."""
    files = {
        **write_bases(BARN),
        "distances.csv": 'from,to,km\nhome,Barn,500\n"Crestview, FL",Oak 1,210\n',
        "absences.csv": "who,first_day,last_day,at\nLorry,2027-04-01,2027-04-05,Barn\n",
    }
    yard = read(tmp_path, files)
    assert yard.roads.find_drive("home", "Crestview, FL").km == 500
    assert yard.roads.find_drive("Tallahassee, FL", "Crestview, FL").km == 210
    assert [absence.at for absence in yard.absences] == ["Crestview, FL"]


def test_a_workbook_may_have_a_sheet_of_bases(tmp_path):
    """The sheet bears the file's name."""
    from openpyxl import Workbook

    folder = write_folder(tmp_path / "yard", write_bases(BARN))
    book = Workbook()
    book.remove(book.active)
    for path in sorted(folder.glob("*.csv")):
        sheet = book.create_sheet(path.stem)
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.reader(file):
                sheet.append(row)
        path.unlink()
    book.save(folder / "yard.xlsx")
    assert [base.base for base in read_yard(folder, today=date(2027, 3, 1)).bases] == ["Barn"]


@pytest.mark.parametrize(
    ("files", "wanted"),
    [
        (
            write_bases('Barn,"Crestview, FL",2027-05-02,2027-03-15,6'),
            "bases.csv row 2, column last_day: '2027-03-15' is before first_day 2027-05-02",
        ),
        (
            write_bases('Barn,"Crestview, FL",2027-03-15,2027-05-02,0'),
            "bases.csv row 2, column boxes: '0' must be at least 1",
        ),
        (
            write_bases('Barn,"Crestview, FL",2027-03-15,2027-05-02,'),
            "bases.csv row 2, column boxes: is empty",
        ),
        (
            write_bases(BARN, 'Shed,"Crestview, FL",2027-03-15,2027-05-02,2'),
            "bases.csv row 3, column place: 'Crestview, FL' has a base already, in row 2",
        ),
        (
            write_bases(BARN, 'Shed,"crestview, fl",2027-03-15,2027-05-02,2'),
            "bases.csv row 3, column place: 'crestview, fl' has a base already, in row 2",
        ),
        (
            write_bases(BARN, 'Barn,"Valdosta, GA",2027-03-15,2027-05-02,2'),
            "bases.csv row 3, column base: 'Barn' stands already in row 2",
        ),
        (
            write_bases('Oak 2,"Crestview, FL",2027-03-15,2027-05-02,6'),
            "bases.csv row 2, column base: 'Oak 2' is also the name of a show, shows.csv row 3",
        ),
        (
            write_bases('Home,"Crestview, FL",2027-03-15,2027-05-02,6'),
            "bases.csv row 2, column base: 'Home' is a word that plans use themselves; name it "
            "otherwise",
        ),
        (
            write_bases("Barn,home,2027-03-15,2027-05-02,6"),
            "bases.csv row 2, column place: 'home' is the yard's own place, which stands in "
            "yard.toml",
        ),
        (
            write_bases(f"{BARN},-1", head=f"{HEAD},per_night"),
            "bases.csv row 2, column per_night: '-1' must not be negative",
        ),
        (
            {
                **write_bases(BARN),
                "distances.csv": "from,to,km\nhome,Barn,closed\n",
            },
            "bases.csv row 2, column place: 'Crestview, FL' no road or ferry is known from home; "
            "write the way into distances.csv",
        ),
        (
            {**write_bases(BARN), "distances.csv": "from,to,km\nhome,Barm,500\n"},
            "distances.csv row 2, column to: 'Barm' is no place, show or base, nor "
            "home; did you mean 'Barn'?",
        ),
    ],
)
def test_what_a_base_cannot_be_is_asked_back(tmp_path, files, wanted):
    """Each fault stands at its row and column and says what was wanted."""
    assert list_faults(tmp_path / "yard", files) == [wanted]


def test_a_base_in_no_town_is_asked_back(tmp_path):
    """A town that the gazetteer lacks is asked back as a show's is."""
    (fault,) = list_faults(
        tmp_path / "yard", write_bases('Barn,"Crestvieuw, FL",2027-03-15,2027-05-02,6')
    )
    assert fault.startswith("bases.csv row 2, column place: 'Crestvieuw, FL' is no town")


def test_a_base_open_outside_the_season_is_a_remark(tmp_path):
    """It harms nothing; somebody may have written last year's days."""
    row = 'Barn,"Crestview, FL",2026-03-15,2026-05-02,6'
    yard = read(tmp_path, write_bases(row))
    assert "bases.csv row 2: Barn is open on no day of the season" in map(str, yard.remarks)


def test_a_town_written_in_two_ways_is_asked_about(tmp_path):
    """A base beside a show's town, spelt otherwise, would need a drive that nobody drives."""
    yard = read(tmp_path, write_bases('Barn,"tallahassee, fl",2027-04-01,2027-05-02,6'))
    (odd,) = [odd for odd in yard.oddities if odd.what.code == "oddities.place-twice"]
    assert odd.file == "bases.csv"


def test_a_column_of_the_yards_own_is_kept(tmp_path):
    """As in every file."""
    yard = read(tmp_path, write_bases(f"{BARN},near the mill", head=f"{HEAD},way"))
    assert ("bases.csv", 2, "way", "near the mill") in yard.extra_cells


def test_a_base_is_renamed_in_files_and_circuits(tmp_path):
    """Its own row, distances, absences, drives and days; the name of a show is taken."""
    folder = write_folder(
        tmp_path / "yard",
        {
            **write_bases(BARN),
            "distances.csv": "from,to,km\nhome,Barn,500\n",
            "absences.csv": "who,first_day,last_day,at\nLorry,2027-04-01,2027-04-05,Barn\n",
        },
    )
    yard = read_yard(folder, today=date(2027, 3, 1))
    noon = datetime(2027, 3, 20, 12, tzinfo=UTC)
    leg = Leg("Lorry", "home", "Barn", noon, noon + timedelta(hours=6), 500.0, 6.0, (), ("Bella",))
    day = Day("Bella", date(2027, 3, 21), "Barn", "flat")
    circuit = Circuit("A", "most worth", "best in time", 0.0, 1.0, legs=(leg,), days=(day,))
    write_circuits(folder / "circuits.json", yard, (circuit,))
    with pytest.raises(BadValue, match="Oak 1"):
        rename(folder, "base", "Barn", "Oak 1")
    rename(folder, "base", "Barn", "Shed")
    yard = read_yard(folder, today=date(2027, 3, 1))
    (renamed,) = read_circuits(folder / "circuits.json", yard)
    assert (renamed.legs[0].end, renamed.days[0].at) == ("Shed", "Shed")
    assert [absence.at for absence in yard.absences] == ["Crestview, FL"]
    assert "Barn" not in (folder / "distances.csv").read_text(encoding="utf-8")
