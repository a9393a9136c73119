"""What reads well and is probably not meant: each kind found in a yard, and not in one beside it.

The thresholds are common practice, no source, unless a test names one. Every expected sentence is
written from the file that the test writes; distances and counts are worked out by hand.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tests.files.folders import GOOD, swap, write_folder
from tripkit.files import read_yard
from tripkit.words.telling import choose_teller
from tripkit.yard.oddities import RANKED, RANKS
from tripkit.yard.yard import Yard

ROOT = Path(__file__).resolve().parents[2]
TODAY = date(2027, 2, 28)
SEASON = GOOD["yard.toml"]


def read(folder: Path, files: dict[str, str | None]) -> Yard:
    return read_yard(write_folder(folder, files), today=TODAY)


def list_odd(folder: Path, files: dict[str, str | None]) -> list[str]:
    yard = read(folder, files)
    teller = choose_teller(yard, local=False)
    return [f"{odd.where}: {teller.tell(odd.what)}" for odd in yard.oddities]


def with_costs(*lines: str) -> dict[str, str]:
    return {"yard.toml": SEASON + "[costs]\n" + "\n".join(lines) + "\n"}


def with_born(horse: str, born: str) -> dict[str, str]:
    old = {"Bella": "Bella,2017", "Comet": "Comet,2015-05-02"}[horse]
    return swap("horses.csv", old, f"{horse},{born}")


def with_people(*rows: str) -> dict[str, str]:
    head = "person,role,status,born\n"
    rest = "Olga Moss,owner,,\n"
    return {"people.csv": head + rest + "".join(f"{row}\n" for row in rows)}


def with_shows(head: str, *rows: str, classes: str = "") -> dict[str, str]:
    return {
        "shows.csv": f"{head}\n" + "".join(f"{row}\n" for row in rows),
        "classes.csv": classes or "show,class,day,height_cm,fee\nOak 1,Opener,2027-04-08,120,50\n",
    }


PLACES = "show,place,latitude,longitude,first_day,last_day"
DAYS = "2027-04-07,2027-04-11"
AIMS = "horse,show,class,series,points_needed,by\n"
ENTRIES = "horse,show,class,status,date,amount\n"
ABSENCES = "who,first_day,last_day\n"
RESULTS = "horse,date,show,class,points,series\n"
PAPERS = "horse,person,paper,date,valid_until\n"
CHECKS = "horse,date,limb,grade,cleared,recheck_by\n"
WAYS = "from,to,km,hours\n"
ANA, PIET = "Ana Reed,rider,amateur,1990-01-01", "Piet Vos,driver,,1980-01-01"


# Each kind, by a small change of the good folder, and what is said of it.
FOUND: dict[str, tuple[dict[str, str | None], str]] = {
    "budget-least": (
        # Bound: 72.50; Ocala to Tallahassee and back is more than 400 km at 1.20, 480 at least.
        {**with_costs("budget = 300"), "entries.csv": ENTRIES + "Bella,Oak 1,Final,paid,,\n"},
        "yard.toml setting costs.budget: 300.00 is less than",
    ),
    "lorries-never": (
        {"absences.csv": ABSENCES + "Lorry,2027-02-01,2027-04-15\nLorry,2027-04-16,2027-07-01\n"},
        "absences.csv rows 2, 3, column who: every vehicle is absent all season (Lorry); no "
        "horse can go anywhere",
    ),
    "rider-never": (
        {"absences.csv": ABSENCES + "Ana Reed,2027-03-01,2027-06-06\n"},
        "absences.csv row 2, column who: Ana Reed is absent all season, and nobody else may ride "
        "Bella, Comet",
    ),
    "work-after-season": (
        {
            "horses.csv": "horse,born,from_height_cm,to_height_cm,rider,in_work_from\n"
            "Bella,2017,110,130,Ana Reed,2027-12-01\nComet,2015-05-02,100,120,,2027-01-01\n"
        },
        "horses.csv row 2, column in_work_from: Bella comes into work on 2027-12-01, after the "
        "season (2027-06-06); it goes to no show",
    ),
    "place-swapped": (
        with_shows(PLACES, f'Oak 1,"Tallahassee, FL",30.44,84.28,{DAYS}'),
        "shows.csv row 2, column latitude: 'Tallahassee, FL' at 30.44, 84.28 lies",
    ),
    "place-far": (
        # Macon, GA is no town that a sign or an exchange would lead to.
        with_shows(PLACES, f'Oak 1,"Tallahassee, FL",32.84,-83.63,{DAYS}'),
        "shows.csv row 2, column latitude: 'Tallahassee, FL' at 32.84, -83.63 lies near Macon, GA,",
    ),
    "place-nowhere": (
        with_shows(PLACES, f"Oak 1,Gull Rock,30.0,-40.0,{DAYS}"),
        "shows.csv row 2, column latitude: 'Gull Rock' at 30, -40 lies",
    ),
    "place-twice": (
        swap("shows.csv", 'Oak 2,"Tallahassee, FL"', 'Oak 2,"Tallahassee,FL"'),
        "shows.csv row 3, column place: 'Tallahassee,FL' and 'Tallahassee, FL' (shows.csv row 2) "
        "are the same point, and count as two places with a drive between them; write the place "
        "alike",
    ),
    "entry-away": (
        {
            "entries.csv": ENTRIES + "Bella,Oak 1,Final,paid,2027-02-01,72.50\n",
            "absences.csv": ABSENCES + "Ana Reed,2027-04-10,2027-04-12\n",
        },
        "entries.csv row 2, column class: Bella is entered in Final of Oak 1 on 2027-04-11, while "
        "Ana Reed is absent (absences.csv row 2)",
    ),
    "entry-misfit": (
        {"entries.csv": ENTRIES + "Comet,Oak 1,Final,sent,2027-02-01,72.50\n"},
        "entries.csv row 2, column class: Comet is entered in Final of Oak 1, which does not fit: "
        "125 cm does not lie within the horse's 100 to 120 cm",
    ),
    "entry-late": (
        {"entries.csv": ENTRIES + "Bella,Oak 1,Final,wanted,2027-04-12,\n"},
        "entries.csv row 2, column date: the entry of Bella is dated 2027-04-12, after Oak 1 ended "
        "(2027-04-11)",
    ),
    "closes-late": (
        swap("shows.csv", "2027-04-11,2027-03-20", "2027-04-11,2027-04-12"),
        "shows.csv row 2, column entries_close: Oak 1 ends on 2027-04-11, and entries close on "
        "2027-04-12; usual is before the first day",
    ),
    "closes-early": (
        # 20 March 2026 to 7 April 2027: 365 and 18 days.
        swap("shows.csv", "2027-03-20", "2026-03-20"),
        "shows.csv row 2, column entries_close: entries of Oak 1 close on 2026-03-20, 383 days "
        "before it begins; usual are at most 240 days",
    ),
    "stabling-long": (
        {
            "shows.csv": "show,place,first_day,last_day,stabling_from\n"
            'Oak 1,"Tallahassee, FL",2027-04-07,2027-04-11,1950-01-01\n'
            'Oak 2,"Tallahassee, FL",2027-04-14,2027-04-18,\n'
        },
        "shows.csv row 2, column stabling_from: stalls of Oak 1 are open from 1950-01-01 to "
        "2027-04-12; usual is at most 30 days before and after its days",
    ),
    "show-long": (
        swap("shows.csv", "2027-04-14,2027-04-18", "2027-04-14,2027-04-28"),
        "shows.csv row 3, column last_day: Oak 2 lasts 15 days; usual are at most 14",
    ),
    "way-length": (
        # About 270 km by road; as miles the same number is 1.6 times as far.
        {"distances.csv": WAYS + 'home,"Tallahassee, FL",450,5\n'},
        "distances.csv row 2, column km: home to Tallahassee, FL is 450 km here,",
    ),
    "way-straight": (
        {"distances.csv": WAYS + 'home,"Tallahassee, FL",27,\n'},
        "distances.csv row 2, column km: home to Tallahassee, FL is 27 km here, shorter than the "
        "straight line",
    ),
    "way-hours": (
        # 270 km in 27 hours are 10 km an hour.
        {"distances.csv": WAYS + 'home,"Tallahassee, FL",270,27\n'},
        "distances.csv row 2, column hours: home to Tallahassee, FL takes 27 h for 270 km, 10 km "
        "an hour; usual are 25 to 110 km",
    ),
    "way-back": (
        {"distances.csv": WAYS + 'home,"Tallahassee, FL",260,4\n"Tallahassee, FL",home,340,4.5\n'},
        "one way and",
    ),
    "zone-far": (
        {"yard.toml": SEASON.replace("[season]", 'timezone = "America/Los_Angeles"\n[season]')},
        "yard.toml setting yard.timezone: 'Ocala, FL' keeps America/New_York; America/Los_Angeles "
        "shows another time, and no town within 120 km keeps it",
    ),
    "speed": (
        swap("vehicles.csv", "1.20,70", "1.20,7"),
        "vehicles.csv row 2, column speed: 7 km/h is no usual speed of a lorry; usual are 30 to "
        "115 km/h",
    ),
    "twice": (
        {
            "results.csv": RESULTS
            + "Bella,2027-02-01,Elm,Opener,3,Cup\nComet,2027-02-02,Elm,Opener,1,Cup\n"
            + "Bella,2027-02-01,Elm,Opener,3,Cup\nComet,2027-02-02,Elm,Opener,1,Cup\n"
        },
        "results.csv rows 4, 5: stands twice, here and in results.csv rows 2, 3; was it "
        "pasted twice?",
    ),
    "near": (
        {
            "classes.csv": "show,class,day,height_cm,fee,series\n"
            "Oak 1,Opener,2027-04-08,120,50,Cedar Cup\nOak 1,Final,2027-04-11,125,72,Cedar Cup\n"
            "Oak 2,Opener,2027-04-15,120,50,cedar  cup\n"
        },
        "classes.csv row 4, column series: series 'cedar  cup' stands in one row; did you mean "
        "'Cedar Cup', which stands in 2? They count as different",
    ),
    "aim-by-late": (
        {"aims.csv": AIMS + "Bella,Oak 1,Final,,,2027-05-01\n"},
        "aims.csv row 2, column by: the aim Bella at Oak 1, Final counts what is reached before "
        "2027-05-01, and begins on 2027-04-11; usual is a day before it begins",
    ),
    "aim-by-past": (
        {
            "aims.csv": AIMS + "Bella,Oak 1,Final,Cup,12,2027-02-01\n",
            "results.csv": RESULTS + "Bella,2027-01-20,Elm,Opener,5,Cup\n",
        },
        "aims.csv row 2, column by: the aim Bella at Oak 1, Final must be reached before "
        "2027-02-01, which is past, and lacks 7 points",
    ),
    "aim-misfit": (
        {"aims.csv": AIMS + "Comet,Oak 1,Final,,,\n"},
        "aims.csv row 2, column class: the aim Comet at Oak 1, Final cannot be met: 125 cm does "
        "not lie within the horse's 100 to 120 cm",
    ),
    "aim-away": (
        {
            "aims.csv": AIMS + "Bella,Oak 1,Final,,,\n",
            "absences.csv": ABSENCES + "Bella,2027-04-01,2027-04-20\n",
        },
        "aims.csv row 2, column show: the aim Bella at Oak 1, Final is on 2027-04-11, while Bella "
        "is absent (absences.csv row 2)",
    ),
    "horse-young": (
        with_born("Bella", "2024"),
        "horses.csv row 2, column born: Bella is 3 years old in the season, and could go to "
        "shows; usual are 4 years and more",
    ),
    "horse-old": (
        with_born("Comet", "2001-05-02"),
        "horses.csv row 3, column born: Comet is 26 years old in the season, and could go to "
        "shows; usual are up to 25 years",
    ),
    "rider-age": (
        with_people("Ana Reed,rider,amateur,2023-01-01", PIET),
        "people.csv row 3, column born: Ana Reed, a rider, is 4 years old when the season begins; "
        "usual are 6 to 85",
    ),
    "status-age": (
        with_people("Ana Reed,rider,junior,1990-01-01", PIET),
        "people.csv row 3, column born: Ana Reed is called junior and 37 years old when the season "
        "begins; usual are 6 to 18",
    ),
    "driver-young": (
        with_people(ANA, "Piet Vos,driver,,2010-01-01"),
        "people.csv row 4, column born: Piet Vos drives and is 17 years old when the season "
        "begins; the least is 18 years",
    ),
    "rate-low": (
        with_costs("groom_day = 0.90"),
        "yard.toml setting costs.groom_day: 0.90 is little for a groom's day; usual are 10 to "
        "600.00",
    ),
    "rate-high": (
        swap("classes.csv", "125,72.50", "125,7250"),
        "classes.csv row 3, column fee: 7,250.00 is much for the fee of a class; usual are 1 to "
        "5,000.00",
    ),
    "before-birth": (
        {"results.csv": RESULTS + "Comet,2014-05-01,Elm,Opener,3,Cup\n"},
        "results.csv row 2, column date: Comet was born on 2015-05-02; 2014-05-01 is before that",
    ),
    "far-future": (
        {"absences.csv": ABSENCES + "Bella,2072-04-01,2072-04-20\n"},
        "absences.csv row 2, column first_day: 2072-04-01 is more than 2 years after the season "
        "(2027-06-06)",
    ),
    "absence-outside": (
        {"absences.csv": ABSENCES + "Bella,2028-01-10,2028-01-20\n"},
        "absences.csv row 2, column first_day: Bella is absent outside the season (2028-01-10 to "
        "2028-01-20), which keeps nobody at home",
    ),
    "absence-year": (
        {"absences.csv": ABSENCES + "Bella,2026-04-05,2026-04-20\n"},
        "absences.csv row 2, column first_day: Bella is absent in another year than the season "
        "(2026-04-05 to 2026-04-20); is the year right?",
    ),
}


@pytest.mark.parametrize("kind", FOUND)
def test_each_kind_is_found_with_its_row(tmp_path: Path, kind: str) -> None:
    """File, row, column, what is odd and what would be usual stand in one sentence."""
    files, said = FOUND[kind]
    odd = [one for one in read(tmp_path, files).oddities if one.kind == kind]
    assert len(odd) == 1
    assert said in str(odd[0])


def test_every_kind_is_tried() -> None:
    """A sentence without a yard that shows it is held by nobody."""
    assert set(FOUND) == set(RANKED)


def test_a_good_yard_has_nothing_odd(tmp_path: Path) -> None:
    """The small yard of these tests and the sample are as meant."""
    assert list_odd(tmp_path, {}) == []
    assert read_yard(ROOT / "sample_calendar").oddities == ()


# What looks like it and is lawful: nothing is said.
LAWFUL: dict[str, dict[str, str | None]] = {
    "a budget that one show fits": with_costs("budget = 2000"),
    "one of two lorries away all season": {
        "vehicles.csv": "vehicle,places,per_km\nLorry,4,1.20\nVan,2,0.80\n",
        "absences.csv": ABSENCES + "Lorry,2027-02-01,2027-07-01\n",
    },
    "a rider away all season whom another stands in for": {
        **with_people(ANA, PIET, "Ida Lund,rider,,1988-01-01"),
        "horses.csv": GOOD["horses.csv"].replace(",Ana Reed", ","),
        "absences.csv": ABSENCES + "Ana Reed,2027-02-01,2027-07-01\n",
    },
    "the paid entry of a rider who is back the day before": {
        "entries.csv": ENTRIES + "Bella,Oak 1,Final,paid,2027-02-01,72.50\n",
        "absences.csv": ABSENCES + "Ana Reed,2027-04-01,2027-04-10\n",
    },
    "a scratched entry of a class that does not fit": {
        "entries.csv": ENTRIES + "Comet,Oak 1,Final,scratched,2027-02-01,\n"
    },
    "entries that close on the last day": swap("shows.csv", "2027-03-20", "2027-04-11"),
    "a show of 14 days": swap("shows.csv", "2027-04-14,2027-04-18", "2027-04-14,2027-04-27"),
    "measured kilometres a tenth off": {
        "distances.csv": WAYS + 'home,"Tallahassee, FL",300,3.6\n"Tallahassee, FL",home,310,4\n'
    },
    "two starts of a day without a class": {
        "results.csv": "horse,date\nBella,2027-02-01\nBella,2027-02-01\n"
    },
    "two vaccinations on one day": {
        "papers.csv": PAPERS + "Bella,,influenza,2027-01-05,\nBella,,herpes,2027-01-05,\n"
    },
    "two limbs on one day": {
        "vet_checks.csv": CHECKS + "Bella,2027-02-01,lf,0,yes,\nBella,2027-02-01,rf,0,yes,\n"
    },
    "series that differ by a digit": {
        "classes.csv": "show,class,day,height_cm,fee,series\n"
        "Oak 1,Opener,2027-04-08,120,50,Zone 8\nOak 1,Final,2027-04-11,125,72,Zone 9\n"
    },
    "an aim whose points count until the day before": {
        "aims.csv": AIMS + "Bella,Oak 1,Final,,,2027-04-10\n"
    },
    "an aim reached before a day that is past": {
        "aims.csv": AIMS + "Bella,Oak 1,Final,Cup,5,2027-02-01\n",
        "results.csv": RESULTS + "Bella,2027-01-20,Elm,Opener,5,Cup\n",
    },
    "a horse of four": with_born("Bella", "2023"),
    "a horse of 25": with_born("Comet", "2002-05-02"),
    "an old horse that no class fits": {
        **with_born("Bella", "1999"),
        "horses.csv": GOOD["horses.csv"].replace("Bella,2017,110,130", "Bella,1999,50,60"),
    },
    "a rider of six": with_people("Ana Reed,rider,junior,2021-02-01", PIET),
    # USEF GR127 counts the age on 1 December: born on the 20th she is a junior all season.
    "a junior who is 18": with_people("Ana Reed,rider,junior,2008-12-20", PIET),
    "a driver who is 18 on the first day": with_people(ANA, "Piet Vos,driver,,2009-03-01"),
    "a groom's day that costs nothing": with_costs("groom_day = 0"),
    "a passport without end": {"papers.csv": PAPERS + "Bella,,passport,2020-01-01,2099-12-31\n"},
    "an absence just before the season": {
        "absences.csv": ABSENCES + "Bella,2026-12-01,2027-02-20\n"
    },
    "an absence in the autumn after it": {
        "absences.csv": ABSENCES + "Bella,2027-09-01,2027-10-20\n"
    },
    "a horse that is sold": {"absences.csv": ABSENCES + "Bella,2027-05-01,2099-12-31\n"},
    "a venue called like a town far away": with_shows(
        PLACES, f"Oak 1,Lexington,30.44,-84.28,{DAYS}"
    ),
    "coordinates beside the town": with_shows(
        PLACES, f'Oak 1,"Tallahassee, FL",30.60,-84.00,{DAYS}'
    ),
    "the time of the next county": {
        # Gulf County beside Tallahassee keeps Central time (49 CFR 71.5).
        "shows.csv": "show,place,first_day,last_day,timezone\n"
        f'Oak 1,"Tallahassee, FL",{DAYS},America/Chicago\n',
        "classes.csv": "show,class,day,height_cm,fee\nOak 1,Opener,2027-04-08,120,50\n",
    },
}


@pytest.mark.parametrize("case", LAWFUL)
def test_what_is_lawful_is_not_asked_about(tmp_path: Path, case: str) -> None:
    """No false alarm: each case stands just inside what is usual."""
    assert list_odd(tmp_path, LAWFUL[case]) == []


def test_entries_of_one_absence_are_one_remark(tmp_path: Path) -> None:
    """Two paid classes of a show in the days on which the only lorry is away."""
    files: dict[str, str | None] = {
        "entries.csv": ENTRIES
        + "Bella,Oak 1,Opener,paid,2027-02-01,50\nBella,Oak 1,Final,paid,2027-02-01,72.50\n",
        "absences.csv": ABSENCES + "Lorry,2027-04-06,2027-04-12\n",
    }
    assert list_odd(tmp_path, files) == [
        "entries.csv rows 2, 3, column class: Bella is entered in Opener and Final of Oak 1 on "
        "2027-04-08, while Lorry is absent (absences.csv row 2)"
    ]


# Places

SLIPS = {
    "swapped": ("-84.28,30.44", "with latitude and longitude exchanged"),
    "no minus": ("30.44,84.28", "with a minus before the longitude"),
    "minus on the wrong one": ("-30.44,84.28", "with both signs turned"),
    "minus on both": ("-30.44,-84.28", "with the sign of the latitude turned"),
    "swapped, no minus": (
        "84.28,30.44",
        "with both exchanged and a minus before the longitude",
    ),
}


@pytest.mark.parametrize("place", ['"Tallahassee, FL"', "Live Oak Park"])
@pytest.mark.parametrize("slip", SLIPS)
def test_coordinates_tell_which_slip_it_was(tmp_path: Path, place: str, slip: str) -> None:
    """With the town's name, and with a farm's of which only the country is likely."""
    written, said = SLIPS[slip]
    (odd,) = list_odd(tmp_path, with_shows(PLACES, f"Oak 1,{place},{written},{DAYS}"))
    assert said in odd
    assert "it is 30.44, -84.28, near Tallahassee, FL" in odd


def test_a_venue_without_town_and_country_is_looked_at_once(tmp_path: Path) -> None:
    """Its row in venues.csv is told, not the shows there."""
    files = {
        "venues.csv": "place,latitude,longitude\nLive Oak Park,30.44,84.28\n",
        **with_shows("show,place,first_day,last_day", f"Oak 1,Live Oak Park,{DAYS}"),
    }
    (odd,) = [o for o in list_odd(tmp_path, files) if "Live Oak" in o]
    assert odd.startswith("venues.csv row 2, column latitude: 'Live Oak Park' at 30.44, 84.28 lies")


def test_a_yard_in_the_wrong_half_of_the_world_is_told(tmp_path: Path) -> None:
    """yard.toml without the minus of the western longitudes, with and without a country."""
    place = "latitude = 29.19\nlongitude = 82.14"
    for country in ('\ncountry = "US"', ""):
        files = {"yard.toml": SEASON.replace('place = "Ocala, FL"', place + country)}
        found = [odd for odd in list_odd(tmp_path, files) if "yard.latitude" in odd]
        assert len(found) == 1
        assert "with a minus before the longitude" in found[0]


def test_a_way_with_a_ferry_is_the_yards_to_measure(tmp_path: Path) -> None:
    """From Dover to Calais are 42 km over the sea: some count them, some write their own wheels."""
    for km, hours in (("46", "3.5"), ("4", "3.5"), ("4", "")):
        files = {
            "yard.toml": SEASON.replace("Ocala, FL", "Dover, GB"),
            **with_shows(PLACES, f'Oak 1,"Calais, FR",,,{DAYS}'),
            "distances.csv": WAYS + f'home,"Calais, FR",{km},{hours}\n',
        }
        assert [o for o in list_odd(tmp_path, files) if o.startswith("distances")] == []


def test_a_show_abroad_is_no_slip(tmp_path: Path) -> None:
    """A yard of Florida may go to Calgary, to Mexico City and to Cologne."""
    shows = (
        f"Oak 1,Spruce Meadows,50.89,-114.09,{DAYS}",
        f"Oak 2,Campo Marte,19.43,-99.19,{DAYS}",
        f"Oak 3,Rheinwiese,50.95,6.97,{DAYS}",
    )
    assert list_odd(tmp_path, with_shows(PLACES, *shows)) == []


def test_miles_written_as_kilometres_are_told_with_what_is_usual(tmp_path: Path) -> None:
    """Ocala to Tallahassee is about 170 miles; in miles the sentence counts in miles."""
    files = {
        "yard.toml": SEASON.replace("[season]", 'units = "miles"\n[season]'),
        "distances.csv": 'from,to,miles\nhome,"Tallahassee, FL",275\n',
        "vehicles.csv": "vehicle,places,per_km\nLorry,4,1.20\n",
    }
    (odd,) = list_odd(tmp_path, files)
    assert odd.startswith("distances.csv row 2, column miles: home to Tallahassee, FL is 275 miles")


# Spellings


def list_near(folder: Path, files: dict[str, str | None]) -> list[tuple[str, tuple[int, ...], str]]:
    return [
        (odd.column, odd.rows, odd.what.get("other"))
        for odd in read(folder, files).oddities
        if odd.kind == "near"
    ]


def test_a_spelling_is_told_once_with_all_its_rows(tmp_path: Path) -> None:
    """Of two spellings the one used more often is likely right; the other is one remark a file."""
    rows = [f"Oak 1,C{n},2027-04-08,120,50,Cedar Cup" for n in range(30)]
    rows += [f"Oak 1,D{n},2027-04-09,120,50,Ceder Cup" for n in range(3)]
    classes = "show,class,day,height_cm,fee,series\n" + "".join(f"{row}\n" for row in rows)
    files = {"classes.csv": classes, "aims.csv": AIMS + "Bella,Oak 1,C1,Cedar Cup.,,\n"}
    assert list_near(tmp_path, files) == [
        ("series", (2,), "Cedar Cup"),
        ("series", (32, 33, 34), "Cedar Cup"),
    ]


def test_tours_levels_sexes_divisions_and_papers_are_compared(tmp_path: Path) -> None:
    """Each with what tripkit or a rule book knows, and with the yard's own other rows."""
    files: dict[str, str | None] = {
        "yard.toml": SEASON.replace("rules = []", 'rules = ["fei"]'),
        "shows.csv": "show,place,first_day,last_day,tour,level\n"
        f'Oak 1,"Tallahassee, FL",{DAYS},Gulf,CSI 2*\n'
        f'Oak 2,"Tallahassee, FL",2027-04-14,2027-04-18,Gulf,CIS2*\n'
        f'Oak 3,"Tallahassee, FL",2027-04-21,2027-04-25,gulf,CSI3*-W\n',
        "classes.csv": "show,class,day,height_cm,division\n"
        "Oak 1,A,2027-04-08,120,ponies\nOak 1,B,2027-04-08,120,ponies\n"
        "Oak 1,C,2027-04-08,120,ponnies\n",
        "horses.csv": "horse,born,sex,from_height_cm,to_height_cm,rider\n"
        "Bella,2017,Mare,110,130,Ana Reed\nComet,2015,stalion,100,120,\n",
        "papers.csv": PAPERS + "Bella,,farrier_card,2027-01-01,\nComet,,farrier card,2027-01-02,\n"
        "Comet,,farier_card,2027-01-03,\n",
    }
    assert list_near(tmp_path, files) == [
        ("division", (4,), "ponies"),
        ("sex", (3,), "stallion"),
        ("paper", (4,), "farrier_card"),
        ("level", (3,), "CSI2*"),
        ("tour", (4,), "Gulf"),
    ]


def test_a_result_of_a_show_spelt_otherwise_is_told(tmp_path: Path) -> None:
    """It would be an outing of its own; another show of another season is none of ours."""
    files = {
        "results.csv": "horse,date,show\nBella,2027-02-05,oak 1\nBella,2026-02-06,Oak 12\n"
        "Comet,2026-02-07,Willow Winter\n"
    }
    assert list_near(tmp_path, files) == [("show", (2,), "Oak 1")]


@pytest.mark.parametrize(
    ("column", "one", "other"),
    [
        ("tour", "Dothan 1", "Dothan 2"),
        ("tour", "Tour A", "Tour B"),
        ("tour", "Spring VII", "Spring VIII"),
        ("tour", "Gulf Spring", "Gulf Autumn"),
        ("level", "CSI2*", "CSI3*"),
        ("level", "CSI2*", "CSN2*"),
        ("level", "CSI2*", "CSIO2*"),
        ("level", "S*", "S**"),
        ("level", "regional", "Regional"),
        ("level", "AA", "A"),
        ("level", "CSIY-A", "CSIY-B"),
        ("level", "CSIP", "CSIV"),
    ],
)
def test_words_that_differ_on_purpose_are_left_alone(
    tmp_path: Path, column: str, one: str, other: str
) -> None:
    """A digit, a star, a Roman number, a letter that stands alone; capitals of a level are one."""
    files = {
        "yard.toml": SEASON.replace("rules = []", 'rules = ["fei"]'),
        "shows.csv": f"show,place,first_day,last_day,{column}\n"
        f'Oak 1,"Tallahassee, FL",{DAYS},{one}\n'
        f'Oak 2,"Tallahassee, FL",2027-04-14,2027-04-18,{other}\n',
    }
    assert list_near(tmp_path, files) == []


# Rows that stand twice

PASTED = {
    "results": RESULTS + "Bella,2027-02-01,Elm,Opener,3,Cup\n",
    "papers": PAPERS + "Bella,,influenza,2027-01-05,\n",
    "vet_checks": CHECKS + "Bella,2027-02-01,lf,0,yes,\n",
    "absences": ABSENCES + "Bella,2027-05-01,2027-05-10\n",
    "entries": ENTRIES + "Bella,Oak 1,Final,paid,2027-02-01,72.50\n",
}


@pytest.mark.parametrize("table", PASTED)
def test_a_row_pasted_twice_is_told_with_both_rows(tmp_path: Path, table: str) -> None:
    """The same cells, whatever stands between them; one cell that differs makes another row."""
    head, row = PASTED[table].splitlines()
    twice = f"{head}\n{row}\n{row}\n"
    assert list_odd(tmp_path, {f"{table}.csv": twice}) == [
        f"{table}.csv row 3: stands twice, here and in {table}.csv row 2; was it pasted twice?"
    ]
    other = f"{head},mine\n{row},1\n{row},2\n"
    assert list_odd(tmp_path, {f"{table}.csv": other}) == []


def test_a_block_pasted_twice_is_one_remark(tmp_path: Path) -> None:
    """Forty rows and the same forty again."""
    rows = [f"Bella,2027-01-{1 + n // 2:02d},Elm,C{n},3,Cup" for n in range(40)]
    text = RESULTS + "".join(f"{row}\n" for row in rows * 2)
    assert list_odd(tmp_path, {"results.csv": text}) == [
        "results.csv rows 42 to 81: stands twice, here and in results.csv rows 2 to 41; was it "
        "pasted twice?"
    ]


# Order


def test_what_makes_the_plan_wrong_stands_first(tmp_path: Path) -> None:
    """No lorry all season, then a show too long, then a rate, then a day that counts nothing."""
    files = {
        **with_costs("groom_day = 9000"),
        **swap("shows.csv", "2027-04-14,2027-04-18", "2027-04-14,2027-04-28"),
        "absences.csv": ABSENCES + "Lorry,2027-02-01,2027-07-01\nBella,2026-04-05,2026-04-20\n",
    }
    kinds = [odd.kind for odd in read(tmp_path, files).oddities]
    assert kinds == ["lorries-never", "show-long", "rate-high", "absence-year"]
    assert [RANKS[kind] for kind in kinds] == sorted(RANKS[kind] for kind in kinds)


def test_many_odd_rows_of_a_kind_are_one_remark(tmp_path: Path) -> None:
    """Fees written in cents in 200 rows are said once, the largest of them."""
    rows = [f"Oak 1,C{n},2027-04-08,120,{9000 + n}" for n in range(200)]
    files = {"classes.csv": GOOD["classes.csv"] + "".join(f"{row}\n" for row in rows)}
    (odd,) = list_odd(tmp_path, files)
    assert odd.startswith("classes.csv rows 5 to 204, column fee: 9,199.00 is much for")


def test_a_rate_by_the_mile_is_told_by_the_mile(tmp_path: Path) -> None:
    """175.00 a mile; 8 a km are 12.90 a mile. A groom's day has no length."""
    files = with_costs("per_mile = 175", "groom_day = 900")
    assert list_odd(tmp_path, files) == [
        "yard.toml setting costs.groom_day: 900.00 is much for a groom's day; usual are 10 to "
        "600.00",
        "yard.toml setting costs.per_mile: 175.00 is much for one mile of a lorry; usual are 0.322 "
        "to 13.00",
    ]


def test_a_currency_of_small_units_has_other_bounds(tmp_path: Path) -> None:
    """900 yen a day are little for a groom, 15,000 are usual; of a rare currency none is told."""
    for currency, amount, odd in (("JPY", 900, 1), ("JPY", 15_000, 0), ("XAU", 900_000, 0)):
        files = with_costs(f"groom_day = {amount}")
        files["yard.toml"] = files["yard.toml"].replace(
            "[season]", f'currency = "{currency}"\n[season]'
        )
        found = [o for o in read(tmp_path, files).oddities if o.file == "yard.toml"]
        assert len(found) == odd


def test_a_workbook_names_its_sheet(tmp_path: Path) -> None:
    """What is odd in a sheet stands at its row there."""
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    book.remove(book.active)
    files = {**GOOD, **with_born("Bella", "2024")}
    folder = tmp_path / "book"
    folder.mkdir()
    (folder / "yard.toml").write_text(files["yard.toml"], encoding="utf-8")
    for name in ("shows", "classes", "horses", "people", "shares", "vehicles"):
        sheet = book.create_sheet(name)
        for line in files[f"{name}.csv"].splitlines():
            cells = line.replace('"Tallahassee, FL"', "Tallahassee; FL").split(",")
            sheet.append([cell.replace("; ", ", ") for cell in cells])
    book.save(folder / "ours.xlsx")
    (odd,) = read_yard(folder, today=TODAY).oddities
    assert str(odd).startswith("ours.xlsx sheet horses row 2, column born: Bella is 3 years old")
