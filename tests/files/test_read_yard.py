"""A good yard folder in every dialect it may be written in, its defaults, its roads."""

from __future__ import annotations

import csv
import io
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from openpyxl import Workbook

from tests.build import tell_all
from tests.files.folders import GOOD, append, swap, write_folder
from tripkit.files import read_yard
from tripkit.yard.days import DaySpan
from tripkit.yard.horses import OutingsWanted
from tripkit.yard.limits import Limits
from tripkit.yard.yard import Yard


def rewrite(change) -> dict[str, str]:
    """Every CSV file of the good folder with its rows sent through `change`, written with `;`."""
    files = {}
    for name, text in GOOD.items():
        if name.endswith(".csv"):
            out = io.StringIO(newline="")
            rows = change(list(csv.reader(io.StringIO(text))))
            csv.writer(out, delimiter=";", lineterminator="\r\n").writerows(rows)
            files[name] = out.getvalue()
    return files


def write_workbook(folder: Path, parse=lambda cell: cell, sheet_name="{}") -> Path:
    """The good folder as yard.toml and one workbook."""
    write_folder(folder, {name: None for name in GOOD if name.endswith(".csv")})
    book = Workbook()
    book.remove(book.active)
    for name, text in GOOD.items():
        if name.endswith(".csv"):
            sheet = book.create_sheet(sheet_name.format(name.removesuffix(".csv")))
            for row in csv.reader(io.StringIO(text)):
                sheet.append([parse(cell) for cell in row])
    book.save(folder / "our yard.xlsx")
    return folder


def as_spreadsheet_cell(text: str) -> object:
    """What a spreadsheet program makes of a typed text: dates and numbers, not text."""
    for parse in (date.fromisoformat, int, float):
        try:
            return parse(text)
        except ValueError:
            continue
    return text or None


@pytest.fixture
def plain(tmp_path: Path) -> Yard:
    return read_yard(write_folder(tmp_path / "plain"))


def test_reads_what_an_organiser_gives_back(tmp_path: Path) -> None:
    """Until a day, a share written as a part of 1 or of 100; none written is all of it."""
    shows = (
        "show,place,first_day,last_day,refund_until,refund_share\n"
        '"Oak 1","Tallahassee, FL",2027-04-07,2027-04-11,2027-03-20,0.5\n'
        '"Oak 2","Tallahassee, FL",2027-04-14,2027-04-18,2027-03-27,\n'
    )
    yard = read_yard(write_folder(tmp_path / "gives", {"shows.csv": shows}))
    assert [(s.refund_until, s.refund_share) for s in yard.shows] == [
        (date(2027, 3, 20), Fraction(1, 2)),
        (date(2027, 3, 27), None),
    ]


def test_reads_names_dates_and_money(plain: Yard) -> None:
    """What stands in the files stands in the yard, money in cents (hand-read from the files)."""
    assert plain.name == "Mill Lane"
    assert plain.season == DaySpan(date(2027, 3, 1), date(2027, 6, 6))
    assert [show.show for show in plain.shows] == ["Oak 1", "Oak 2"]
    oak = plain.show_by_name["Oak 1"]
    assert oak.days == DaySpan(date(2027, 4, 7), date(2027, 4, 11))
    assert oak.entries_close == date(2027, 3, 20)
    assert (oak.refund_until, oak.refund_share) == (None, None)
    assert [(c.name, c.fee_cents) for c in oak.classes] == [("Opener", 5000), ("Final", 7250)]
    assert [horse.rider for horse in plain.horses] == ["Ana Reed", ""]
    assert plain.owner_shares_of("Comet") == {
        "Olga Moss": Fraction(1, 3),
        "Ana Reed": Fraction(2, 3),
    }
    assert plain.vehicles[0].driver_names == ("Piet Vos",)
    assert plain.vehicles[0].cents_per_km == 120
    assert tell_all(plain.remarks) == ()


def test_fills_in_the_defaults(plain: Yard) -> None:
    """Defaults are those of the handbook, Files: stabling, worth, starts, today, weight."""
    oak = plain.show_by_name["Oak 1"]
    assert oak.stabling == DaySpan(date(2027, 4, 5), date(2027, 4, 12))
    assert oak.classes[0].worth is None
    assert oak.classes[0].division == "open"
    assert (oak.country, oak.timezone) == ("US", "America/New_York")
    assert plain.today == date(2027, 2, 28)
    assert plain.limits == Limits()
    bella = plain.horse_by_name["Bella"]
    assert (bella.starts_per_show, bella.starts_per_day, bella.weight) == (3, 1, 1)
    assert (bella.born, bella.born_year_only) == (date(2017, 1, 1), True)
    assert plain.horse_by_name["Comet"].born_year_only is False
    assert plain.people[0].horses_per_show == 4


@pytest.mark.parametrize(
    "files",
    [
        rewrite(lambda rows: rows),
        {name: b"\xef\xbb\xbf" + text.encode() for name, text in GOOD.items()},
        rewrite(lambda rows: [row[::-1] for row in rows]),
        rewrite(lambda rows: [[f"  {cell} " for cell in row] for row in rows]),
        rewrite(lambda rows: [[c.upper() for c in rows[0]], *rows[1:]]),
        rewrite(lambda rows: [row for pair in rows for row in (pair, [""] * len(pair))]),
        {name: text.replace("\n", "\r\n") for name, text in GOOD.items()},
    ],
    ids=["semicolon", "bom", "columns-reversed", "untrimmed", "upper", "blank-rows", "crlf"],
)
def test_reads_every_dialect_alike(tmp_path: Path, plain: Yard, files: dict) -> None:
    """Separator, byte order mark, order of columns, blanks and line ends change nothing."""
    assert read_yard(write_folder(tmp_path / "other", files)) == plain


@pytest.mark.parametrize("parse", [str, as_spreadsheet_cell], ids=["text", "typed"])
@pytest.mark.parametrize("sheet_name", ["{}", "{}.csv"])
def test_reads_a_workbook_like_csv(tmp_path: Path, plain: Yard, parse, sheet_name: str) -> None:
    """One .xlsx whose sheets bear the files' names gives the same yard, typed cells or text."""
    assert read_yard(write_workbook(tmp_path / "book", parse, sheet_name)) == plain


def test_a_lorry_that_costs_nothing_to_drive_is_remarked(tmp_path: Path) -> None:
    """Neither yard.toml nor vehicles.csv has a rate; a rate in either is enough."""
    free = {"vehicles.csv": "vehicle,places\nLorry,4\n"}
    (said,) = tell_all(read_yard(write_folder(tmp_path / "free", free)).remarks)
    assert said == (
        "yard.toml: [costs] has no per_km or per_mile; driving counts as 0 in every cost, and so "
        "do groom_day, rider_day, overnight_stop, stabling_day, vet_check"
    )
    settings = GOOD["yard.toml"] + "[costs]\nper_mile = 1.75\n"
    paid = write_folder(tmp_path / "paid", {**free, "yard.toml": settings})
    assert tell_all(read_yard(paid).remarks) == ()


def test_a_yard_may_be_named_by_its_workbook(tmp_path: Path, plain: Yard) -> None:
    """Settings and calendars are those beside it; other workbooks and CSV files are not its own."""
    folder = write_workbook(tmp_path / "book")
    (folder / "horses.csv").write_text("nothing of ours\n", encoding="utf-8")
    (folder / "another.xlsx").write_bytes(b"no workbook at all")
    assert read_yard(folder / "our yard.xlsx") == plain


def test_a_workbook_beside_csv_files_is_not_read(tmp_path: Path, plain: Yard) -> None:
    """Entry sheets written into the folder do not disturb it; a remark says so."""
    folder = write_workbook(tmp_path / "both")
    yard = read_yard(write_folder(folder))
    assert yard.shows == plain.shows
    assert tell_all(yard.remarks) == (
        "our yard.xlsx: is not read, because the folder has CSV files",
    )


def test_only_three_tables_are_required(tmp_path: Path) -> None:
    """yard.toml, shows, classes and horses are enough; without shares a remark is made."""
    files = {"people.csv": None, "shares.csv": None, "vehicles.csv": None}
    yard = read_yard(write_folder(tmp_path, {**files, **swap("horses.csv", ",Ana Reed", ",")}))
    assert len(yard.horses) == 2
    assert tell_all(yard.remarks) == ("shares.csv: is missing; costs are not shared among owners",)


def test_unknown_columns_are_kept_and_reported(tmp_path: Path) -> None:
    """An unknown column makes a remark, its cells stay with file, row and column."""
    files = swap("horses.csv", "rider\n", "rider,colour\n")
    files = {"horses.csv": files["horses.csv"].replace("Ana Reed\n", "Ana Reed,bay\n")}
    yard = read_yard(write_folder(tmp_path, files))
    assert tell_all(yard.remarks) == (
        "horses.csv: column 'colour' is not known; it is kept and not used",
    )
    assert yard.extra_cells == (("horses.csv", 2, "colour", "bay"),)


def test_reads_every_section_of_yard_toml(tmp_path: Path) -> None:
    """Each key of yard.toml (handbook, Files) is read; a mile is 1.609344 km (mile of 1959)."""
    files = {
        "yard.toml": """
[yard]
name = "Mill Lane"
place = "the hill"
latitude = 29.2
longitude = -82
timezone = "America/Chicago"
country = "US"
units = "miles"
currency = "USD"
[season]
first_day = 2027-03-01
last_day = 2027-06-06
today = "2027-02-10"
[limits]
no_jump_days = 9
horse_hours_per_day = 8.5
day_off = "sunday"
travel_rest = [[6, 1], [10.5, 2]]
[costs]
per_mile = 1.609344
groom_day = 150
rider_day = 240.50
hired_driver_day = 210
hired_groom_day = 180
car_per_mile = 0.8046720
overnight_stop = 175
stabling_day = 45
vet_check = 95
budget = 60000
[driving]
rules = "us"
speed_mph = 50
detour_factor = 1.2
loading_minutes = 25
[papers]
rules = ["us"]
""",
        **swap("vehicles.csv", "per_km,speed", "per_mile,speed"),
    }
    yard = read_yard(write_folder(tmp_path, files))
    assert (yard.place.latitude, yard.place.longitude) == (29.2, -82.0)
    assert (yard.place.name, yard.place.timezone) == ("the hill", "America/Chicago")
    assert (yard.country, yard.units, yard.currency) == ("US", "miles", "USD")
    assert yard.today == date(2027, 2, 10)
    assert yard.limits == Limits(
        no_jump_days=9, horse_hours_per_day=8.5, day_off="Sunday", travel_rest=((6, 1), (10.5, 2))
    )
    assert yard.costs.cents_per_km == 100
    assert yard.costs.groom_day_cents == 15000
    assert yard.costs.rider_day_cents == 24050
    assert yard.costs.driver_day_cents == 21000
    assert yard.costs.stand_in_day_cents == 18000
    # Half a unit for each km of 1.609344 to the mile.
    assert yard.costs.car_cents_per_km == 50
    assert yard.costs.budget_cents == 6000000
    assert yard.driving.rules == "us"
    assert yard.driving.speed_kmh == pytest.approx(80.4672)
    assert yard.driving.detour_factor == 1.2
    assert yard.driving.loading_minutes == 25
    assert yard.paper_rules == ("us",)
    assert [book.id for book in yard.rule_books] == ["us"]
    # 70 miles an hour, the vehicle's speed in the yard's units: 70 x 1.609344.
    assert yard.vehicles[0].speed_kmh == pytest.approx(112.65408)


@pytest.mark.parametrize(
    ("written", "wanted"),
    [
        ("4 to 6", OutingsWanted(4, 6)),
        ("from 4", OutingsWanted(4)),
        ("To 6", OutingsWanted(0, 6)),
        ("from 4 to 6", OutingsWanted(4, 6)),
        ("", OutingsWanted()),
    ],
)
def test_how_many_outings_are_wanted(tmp_path: Path, written: str, wanted: OutingsWanted) -> None:
    """Handbook, Files: `4 to 6`, `from 4`, `to 6`, in words; nothing wanted is any number."""
    table = (
        "horse,born,from_height_cm,to_height_cm,outings_wanted\n"
        f"Bella,2017,110,130,{written}\nComet,2015,100,120,\n"
    )
    yard = read_yard(write_folder(tmp_path, {"horses.csv": table}))
    assert yard.horses[0].outings_wanted == wanted


def test_people_stand_in_for_others_and_groom_as_their_rows_say(tmp_path: Path) -> None:
    """Handbook, Files: who else rides a horse, how many horses a groom has (4), what one costs."""
    files = {
        "horses.csv": "horse,born,from_height_cm,to_height_cm,rider,also_ridden_by\n"
        "Bella,2017,110,130,Ana Reed,Bo Lind; Cy Marr\nComet,2015,100,120,,\n",
        "people.csv": "person,role,horses_per_groom\nAna Reed,rider,\nBo Lind,rider,\n"
        "Cy Marr,rider,\nOlga Moss,owner,\nPiet Vos,driver,\nGus Hay,groom,6\n",
        **swap("yard.toml", "[papers]", "[costs]\ngroom_day = 90\n[papers]"),
    }
    yard = read_yard(write_folder(tmp_path, files))
    bella, comet = yard.horses
    assert (bella.also_ridden_by, comet.also_ridden_by) == (("Bo Lind", "Cy Marr"), ())
    assert {p.person: p.horses_per_groom for p in yard.people} == {
        **dict.fromkeys(("Ana Reed", "Bo Lind", "Cy Marr", "Olga Moss", "Piet Vos"), 4),
        "Gus Hay": 6,
    }
    # No day of a hired groom: a groom's. No rate of a car: nothing.
    assert (yard.costs.stand_in_day_cents, yard.costs.car_cents_per_km) == (9000, 0)


def test_today_of_the_caller_wins(tmp_path: Path) -> None:
    """`today` of the call stands over the one in yard.toml."""
    files = swap("yard.toml", "[season]", "[season]\ntoday = 2027-02-10")
    assert read_yard(write_folder(tmp_path, files), today=date(2027, 3, 9)).today == date(
        2027, 3, 9
    )


@pytest.mark.parametrize("born", ["1941", "1941-05-17"])
def test_an_owner_of_eighty_is_no_fault(tmp_path: Path, born: str) -> None:
    """People are older than any date of a season; a birth year is one from 1900 on."""
    rows = f"Ana Reed,rider,1990-06-15\nOlga Moss,owner,{born}\nPiet Vos,driver,1980\n"
    yard = read_yard(write_folder(tmp_path, {"people.csv": f"person,role,born\n{rows}"}))
    assert {p.born.year for p in yard.people if p.person == "Olga Moss"} == {1941}


def test_a_horse_column_overrides_the_yards_limit(tmp_path: Path) -> None:
    """Handbook, Files: any limit as a column of horses.csv stands over the yard's."""
    files = {
        **swap("yard.toml", "[papers]", "[limits]\nno_jump_days = 9\nbreak_days = 20\n[papers]"),
        "horses.csv": """horse,born,from_height_cm,to_height_cm,no_jump_days,day_off,travel_rest
Bella,2017,110,130,5,friday,8:2 12:4
Comet,2015,100,120,,,
""",
    }
    yard = read_yard(write_folder(tmp_path, files))
    bella, comet = yard.horses
    assert bella.limits == Limits(
        no_jump_days=5, break_days=20, day_off="Friday", travel_rest=((8.0, 2), (12.0, 4))
    )
    assert comet.limits == yard.limits == Limits(no_jump_days=9, break_days=20)


def test_numbers_may_carry_a_decimal_comma(tmp_path: Path) -> None:
    """A spreadsheet of a country with decimal commas writes 72,50 for 72.50."""
    files = {"classes.csv": "show;class;day;height_cm;fee\nOak 1;Final;2027-04-11;125;72,50\n"}
    yard = read_yard(write_folder(tmp_path, files))
    assert yard.shows[0].classes[0].fee_cents == 7250


def test_reads_every_other_file(tmp_path: Path) -> None:
    """Papers, aims, absences, results, vet checks and entries come as written (hand-read)."""
    files = {
        "papers.csv": "horse,person,paper,date,valid_until,number\n"
        "Bella,,Health certificate,2027-03-01,2027-03-31,77\n,Ana Reed,licence,2027-01-01,,\n",
        "aims.csv": "horse,show,class,importance,series,points_needed,starts_needed,by\n"
        "Bella,Oak 2,,80,Cup,12.5,2,2027-04-12\n",
        "absences.csv": "who,first_day,last_day,reason,at\n"
        "Lorry,2027-04-01,2027-04-02,brakes,Oak 1\n",
        "classes.csv": "show,class,day,height_cm,starts,ends\n"
        "Oak 1,Final,2027-04-11,125,14:30,16:15\nOak 2,Opener,2027-04-15,120,,\n",
        "vehicles.csv": "vehicle,places,hire,per_day\nLorry,4,yes,180.50\n",
        "results.csv": "horse,date,show,class,height_cm,faults,place,points,series\n"
        "Bella,2027-02-19,Elm,1.20,120,4,7,3,Cup\n",
        "vet_checks.csv": "horse,date,limb,grade,cleared,recheck_by,note\n"
        "Bella,2027-02-01,LF,2,no,2027-02-20,rest\n",
        "entries.csv": "horse,show,class,status,date,amount\n"
        "Bella,Oak 1,Final,paid,2027-02-01,72.5\n",
    }
    yard = read_yard(write_folder(tmp_path, files))
    assert [(p.holder, p.paper, p.number) for p in yard.papers] == [
        ("Bella", "health_certificate", "77"),
        ("Ana Reed", "licence", ""),
    ]
    aim = yard.aims[0]
    assert (aim.class_name, aim.importance, aim.points_needed) == ("", 80, Decimal("12.5"))
    assert (aim.starts_needed, aim.by) == (2, date(2027, 4, 12))
    assert yard.absences_of("Lorry") == (DaySpan(date(2027, 4, 1), date(2027, 4, 2)),)
    final, opener = yard.shows[0].classes[0], yard.shows[1].classes[0]
    # 14 x 60 + 30 and 16 x 60 + 15 minutes after midnight.
    assert (final.starts_minutes, final.ends_minutes) == (870, 975)
    assert (opener.starts_minutes, opener.ends_minutes) == (None, None)
    assert (yard.vehicles[0].hire, yard.vehicles[0].per_day_cents) == (True, 18050)
    assert yard.absences[0].at == "Tallahassee, FL"
    assert (yard.results[0].place, yard.results[0].points, yard.results[0].series) == (7, 3, "Cup")
    check = yard.vet_checks[0]
    assert (check.limb, check.grade, check.cleared) == ("lf", 2, False)
    assert yard.bound_entries[("Bella", "Oak 1", "Final")].amount_cents == 7250


def test_odd_things_are_remarks_and_no_faults(tmp_path: Path) -> None:
    """What may be meant is remarked and kept: future results, other papers, other divisions."""
    files = {
        "results.csv": "horse,date\nBella,2027-05-01\n",
        "papers.csv": "horse,paper,date\nBella,radiographs,2027-01-01\n",
        "aims.csv": "horse,show,series,starts_needed\nBella,Oak 2,Cup,1\n",
        "xyz.csv": "a,b\n1,2\n",
        "vehicles.csv": None,
        "vehicles old.csv": "a,b\n1,2\n",
        **append("shows.csv", 'Oak 3,"Ocala, FL",2027-05-01,2027-05-02,'),
        **append("classes.csv", "Oak 2,Minis,2027-04-15,80,5"),
        **swap("yard.toml", "[papers]\nrules = []\n", ""),
    }
    files["classes.csv"] = files["classes.csv"].replace("fee\n", "fee,division\n")
    files["classes.csv"] = files["classes.csv"].replace("80,5\n", "80,5,ponies\n")
    assert tell_all(read_yard(write_folder(tmp_path, files)).remarks) == (
        "vehicles old.csv: is no file of a yard folder and is not read; did you mean vehicles.csv?",
        "xyz.csv: is no file of a yard folder and is not read",
        "yard.toml: [papers] rules is missing; no paper is asked for",
        "shows.csv: place 'Ocala, FL' is 0 km from home; write coordinates, or the way into "
        "distances.csv",
        "shows.csv row 4: 'Oak 3' offers no classes",
        "classes.csv row 5: division 'ponies' asks for no status of the rider",
        "papers.csv row 2: paper 'radiographs' is kept, but no rule book asks for it",
        "aims.csv row 2: no class and no result counts for series 'Cup'",
        "results.csv row 2: 2027-05-01 is after today (2027-02-28); it is no history yet",
    )


def test_a_vet_check_without_an_answer_is_remarked(tmp_path: Path) -> None:
    """Handbook, Files, vet_checks: who is lame without an answer waits; a visit to come is one.

    Today is 28 February 2027, the day before the season.
    """
    files = {
        "vet_checks.csv": "horse,date,limb,grade,cleared,recheck_by\nBella,2027-01-01,,2,,\n"
        "Bella,2027-02-01,,0,,\nComet,2027-02-27,lf,0,,\nComet,2027-03-09,,,,\n"
        "Comet,2027-03-10,,,yes,\n"
    }
    yard = read_yard(write_folder(tmp_path, files))
    assert [check.cleared for check in yard.vet_checks] == [False, None, False, None, True]
    assert tell_all(yard.remarks) == (
        "vet_checks.csv row 2: cleared is empty; with grade 2 it counts as not cleared",
        "vet_checks.csv row 3: cleared is empty; what stood before 2027-02-01 stands: write yes "
        "or no once the vet has been there",
        "vet_checks.csv row 4: cleared is empty; with limb lf it counts as not cleared",
        "vet_checks.csv row 6: 2027-03-10 is after today (2027-02-28); has the vet been there?",
    )


def test_the_worth_floor_is_no_number_of_one_horse(tmp_path: Path) -> None:
    """Handbook, Choices: the floor is a share of the most worth of the circuit, not of a horse."""
    files = swap("horses.csv", "rider\nBella,2017,110,130,Ana Reed", "rider,worth_floor\n"
                 "Bella,2017,110,130,Ana Reed,0.5")  # fmt: skip
    files["horses.csv"] = files["horses.csv"].replace("120,\n", "120,,\n")
    assert tell_all(read_yard(write_folder(tmp_path, files)).remarks) == (
        "horses.csv row 2: worth_floor is a number of the whole plan and is not kept for one "
        "horse; write it into yard.toml [limits]",
    )


def test_a_show_names_a_rule_book_of_its_own(tmp_path: Path) -> None:
    """The books of shows are loaded besides those of yard.toml."""
    files = {"shows.csv": GOOD["shows.csv"].replace("entries_close", "rules")}
    files["shows.csv"] = files["shows.csv"].replace("2027-03-20", "eu")
    yard = read_yard(write_folder(tmp_path, files))
    assert [book.id for book in yard.rule_books] == ["eu"]
    assert yard.paper_rules == ()


POINTS = """show,place,latitude,longitude,first_day,last_day
A,,0,0,2027-04-07,2027-04-08
B,,1,0,2027-04-10,2027-04-11
C,The Field,"29,25",-82.5,2027-04-10,2027-04-11
D,The Field,,,2027-05-10,2027-05-11
E,home,,,2027-05-20,2027-05-21
"""
AT_POINTS = {
    "shows.csv": POINTS,
    "classes.csv": "show,class,day,height_cm\n",
    **append("yard.toml", "[driving]", 'roads = "estimate"'),
}


def test_places_are_keyed_as_written(tmp_path: Path) -> None:
    """Coordinates alone make the key; one row's coordinates hold for all of that place."""
    yard = read_yard(write_folder(tmp_path, AT_POINTS))
    assert [s.place_key for s in yard.shows] == [
        "0.0,0.0",
        "1.0,0.0",
        "The Field",
        "The Field",
        "home",
    ]
    assert yard.place_of("D").latitude == 29.25
    assert yard.place_of("D").timezone == "America/New_York"
    assert yard.place_of("E") == yard.place


def test_roads_are_estimated_in_both_directions(tmp_path: Path) -> None:
    """A straight line x 1.25 between all pairs of places.

    One degree of latitude from the equator is 110.574 km on WGS 84 (NGA.STND.0036, table of
    degree lengths): 110.574 x 1.25 = 138.2.
    """
    yard = read_yard(write_folder(tmp_path, AT_POINTS))
    drive = yard.roads.find_drive("0.0,0.0", "1.0,0.0")
    assert drive == yard.roads.find_drive("1.0,0.0", "0.0,0.0")
    assert drive is not None
    assert (drive.km, drive.hours) == (138.2, None)
    assert (str(drive.source), drive.error_percent) == ("estimate: straight line x 1.25", 19)
    assert len(yard.roads.drives) == 4 * 3


def test_measured_roads_win(tmp_path: Path) -> None:
    """A measured row holds both ways unless both are written; a mile is 1.609344 km.

    100 miles are 160.9344 km, 10.25 miles are 16.495776 km, rounded to one decimal.
    """
    files = AT_POINTS | {
        "distances.csv": "from,to,km,miles,hours\n"
        "home,A,,100,2.5\nhome,B,50,,\nB,home,60,,\n"
        "The Field,home,,10.25,\nA,B,,,9\nC,B,closed,,\n"
    }
    roads = read_yard(write_folder(tmp_path, files)).roads
    for pair in (("home", "0.0,0.0"), ("0.0,0.0", "home")):
        drive = roads.drives[pair]
        assert (drive.km, drive.hours) == (160.9, 2.5)
        assert (str(drive.source), drive.error_percent) == ("measured by the yard", 0)
    assert roads.drives["home", "1.0,0.0"].km == 50
    assert roads.drives["1.0,0.0", "home"].km == 60
    assert roads.drives["home", "The Field"].km == 16.5
    half = roads.drives["1.0,0.0", "0.0,0.0"]
    assert (half.km, half.hours, half.error_percent) == (138.2, 9, 19)
    assert roads.find_drive("The Field", "1.0,0.0") is None
    assert roads.find_drive("1.0,0.0", "The Field") is None


def test_the_country_decides_between_towns(tmp_path: Path) -> None:
    """A name that fits towns of two countries is the one of the show's, else the yard's country.

    Paris is a city in France and the seat of Lamar County, Texas (GeoNames).
    """
    shows = "show,place,country,first_day,last_day\nP,Paris,France,2027-04-07,2027-04-08\n"
    shows += 'Q,"Paris, TX",,2027-04-07,2027-04-08\n'
    yard = read_yard(
        write_folder(tmp_path, {"shows.csv": shows, "classes.csv": "show,class,day,height_cm\n"})
    )
    french, texan = yard.shows
    assert (french.country, french.timezone) == ("FR", "Europe/Paris")
    assert (texan.country, texan.timezone) == ("US", "America/Chicago")


def test_a_name_that_is_written_from_right_to_left_is_a_name(tmp_path: Path) -> None:
    """Hebrew and Arabic letters, and the joiner that Persian words need (U+200C), stay."""
    names = ("רותם 3", "نجمة", "می\u200cرود")
    files = append("horses.csv", *(f"{name},2016,100,110," for name in names))
    files |= append("shares.csv", *(f"{name},Olga Moss," for name in names))
    assert set(names) <= set(read_yard(write_folder(tmp_path, files)).horse_by_name)
