"""Travel sheets: what a driver and a groom read, and the sums of hay and water.

Figures of hay and water: Merck Veterinary Manual and Kentucky Equine Research, as collected in the
project's sourced figures, section 10 (500 kg: hay 7.5 to 10 kg, water 21 to 29 litres a day).
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser

import pytest

import tripkit
from tests.build import make_horse, make_show, make_yard
from tests.pictures.test_routemap import BACK, LONG, OUT, at, make_circuit, make_leg
from tripkit.commands.line import main
from tripkit.pages.travel_files import write_travel_files
from tripkit.pages.travel_sheet import (
    HAY,
    WATER,
    count_grounds_days,
    count_road_days,
    write_travel_sheet,
    write_travel_sheets,
)
from tripkit.yard.circuit import Outing, Stop
from tripkit.yard.errors import CannotWrite
from tripkit.yard.facts import state
from tripkit.yard.papers import Paper
from tripkit.yard.places import Drive, Place, RoadBook
from tripkit.yard.yard import DrivingSettings

VOID = {"meta", "br"}


class Page(HTMLParser):
    """Reads a page, and complains about an element that is not closed."""

    def __init__(self, text):
        super().__init__()
        self.open, self.words, self.addresses, self.ids = [], [], [], []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        self.addresses += [given[name] for name in ("src", "href") if name in given]
        self.ids += [given["id"]] if "id" in given else []
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open[-1:] != ["style"]:
            self.words.append(data)

    @property
    def text(self):
        return re.sub(r"\s+", " ", " ".join(self.words))


def read_sheet(leg=OUT, yard=None, circuit=None):
    circuit = circuit or make_circuit("Plan", leg)
    return Page(write_travel_sheet(yard or make_yard(), circuit, leg)).text


# What stands on it


def test_a_sheet_names_lorry_driver_places_and_times():
    """Lorry with its places, driver, both ends with coordinates, both times with their zone."""
    text = read_sheet()
    for words in ("Lorry (1 horse, 4 places)", "Dan", "Home Farm", "Millbrook", "Tuesday 6 April"):
        assert words in re.sub(r"\s+([(,])", r" \1", text)
    for words in ("07:00", "09:00", "EDT", "40.0000\N{DEGREE SIGN} N, 80.0000\N{DEGREE SIGN} W"):
        assert words in text


def test_each_end_has_its_own_clock_and_the_sheet_says_so():
    """Two hours from New York (07:00 EDT) it is 08:00 in Chicago (CDT), one hour behind."""
    yard = make_yard()
    there = Place("Millbrook", 41.0, -90.0, "America/Chicago", "US")
    roads = RoadBook({**yard.roads.places, "Millbrook": there}, yard.roads.drives)
    text = read_sheet(yard=make_yard(roads=roads))
    assert "08:00 CDT" in text
    assert "Clocks at S1 are 1 h behind those at Home Farm." in text


def test_a_clock_change_on_the_way_is_told():
    """On 14 March 2027 at 02:00 clocks in the United States go forward by an hour (15 USC 260a)."""
    leg = make_leg(
        depart=at(1, 7).replace(month=3, day=13), arrive=at(1, 9).replace(month=3, day=14)
    )
    assert "Clocks go forward by 1 h on the way." in read_sheet(leg)


def test_every_stop_stands_in_the_timetable():
    """What, near which town, how long, until when, and how long was driven before."""
    stops = (Stop("water", at(6, 11), 30, "Lowick"), Stop("overnight", at(6, 14), 17 * 60, "Ashby"))
    leg = make_leg(stops=stops, arrive=at(7, 8), hours=7.5)
    text = read_sheet(leg)
    assert "11:00 EDT Water the horses, near Lowick 30 min, until 11:30 4 h" in text
    # From 11:30 to 14:00 are two and a half hours; 14:00 and 17 h are 07:00 the next day.
    assert "14:00 EDT Night stop, near Ashby 17 h, until Wed 7 Apr 07:00 2 h 30" in text
    assert "Night stables near Ashby" in text


def test_an_estimated_distance_carries_its_band():
    """About, rounded, with the error of its source; a measured one is written as it is."""
    drive = Drive(140, None, state("roads.network"), 18)
    text = read_sheet(yard=make_yard(km={("home", "Millbrook"): drive}))
    assert "about 140 km, 18 % either way (road network)" in text
    assert "about" not in read_sheet().split("Lorry")[0]


def test_papers_to_carry_with_their_dates():
    """Number, date, validity; the last dose before the day; what is not there is said."""
    papers = (
        Paper("Dancer", "passport", date(2024, 4, 22), date(2028, 4, 22), "P 7"),
        Paper("Dancer", "influenza", date(2026, 5, 1)),
        Paper("Dancer", "influenza", date(2026, 11, 2)),
        Paper("Dancer", "influenza", date(2027, 5, 2)),
        Paper("Dancer", "coggins", date(2026, 3, 1), date(2027, 3, 1), "E 9"),
    )
    yard = make_yard(papers=papers, horses=[make_horse(), make_horse("Echo")])
    circuit = make_circuit("Plan", replace(OUT, horses=("Dancer", "Echo")))
    page = write_travel_sheet(yard, circuit, circuit.legs[0])
    text = Page(page).text
    assert "P 7 , 22 Apr 2024 valid until 22 Apr 2028" in text
    assert "2 Nov 2026" in text
    assert "2 May 2027" not in text
    # The test ran out on 1 March, the drive is on 6 April.
    assert '<b class="lack">valid until 1 Mar 2027</b>' in page
    # Echo has no passport, no coggins test and no dose.
    assert page.count('<b class="lack">none on file</b>') == 3


def test_a_dose_to_come_before_the_drive_is_marked_as_planned():
    """Planned on 1 March, given on 20 March, driven on 6 April."""
    yard = make_yard(papers=(Paper("Dancer", "influenza", date(2027, 3, 20)),), today="2027-03-01")
    assert "20 Mar 2027 (planned)" in read_sheet(yard=yard)


def test_telephone_and_emergency_lines_are_left_blank():
    """Lines to write on, nothing invented."""
    page = write_travel_sheet(make_yard(), make_circuit("Plan", OUT), OUT)
    assert "<dt>Emergency</dt><dd></dd>" in page
    contacts = page[page.index('<section class="contacts">') :]
    assert set(re.findall(r"<dd>(.*?)</dd>", contacts)) == {""}


def test_the_drivers_rules_are_one_line_with_their_source():
    """11 h within 14 h, 30 min after 8 h, 10 h of rest: 49 CFR 395.3, edition of 2020."""
    yard = make_yard(driving=DrivingSettings("us", 70.0))
    text = read_sheet(yard=yard)
    assert "at most 11 h of driving a day within 14 h of coming on duty" in text
    assert "30 min at the latest after 8 h of driving" in text
    assert "49 CFR 395.3" in text
    assert "a vet to decide" in text


def test_an_empty_lorry_has_a_short_sheet():
    """No horses: no papers, no hay, no water, and it says so."""
    leg = make_leg(horses=())
    page = write_travel_sheet(make_yard(), make_circuit("Plan", leg), leg)
    assert "papers to carry" not in page
    assert "to load" not in page
    assert "The lorry is empty" in page


# Hay and water


def test_the_figures_are_those_of_the_source():
    """500 kg: 1.5 to 2 % of the weight are 7.5 to 10 kg; 21 to 29 litres (section 10)."""
    assert (HAY.low, HAY.high, HAY.unit) == (0.015 * 500, 0.02 * 500, "kg")
    assert (WATER.low, WATER.high, WATER.unit) == (21, 29, "litres")


def test_hay_and_water_for_the_road():
    """Two horses, two days: 4 x 7.5 to 10 kg are 30 to 40; 4 x 21 to 29 litres are 84 to 116.

    30 and 40 kg are 66 and 88 lb (2.20462 lb a kg), 84 and 116 litres 22 and 31 US gallons
    (3.785412 litres a gallon): NIST Special Publication 811.
    """
    leg = make_leg(horses=("Dancer", "Echo"), arrive=at(7, 9))
    yard = make_yard(horses=[make_horse(), make_horse("Echo")])
    text = read_sheet(leg, yard)
    assert count_road_days(leg) == 2
    assert "2 horses \N{MULTIPLICATION SIGN} 2 days \N{MULTIPLICATION SIGN} 7.5 to 10 kg" in text
    assert "30 to 40 kg (66 to 88 lb)" in text
    assert "84 to 116 litres (22 to 31 US gal)" in text
    assert "Guidance, no rule" in text


def test_outside_the_united_states_no_pounds():
    """A yard in Germany reads kilograms and litres only."""
    text = read_sheet(yard=make_yard(country="DE"))
    assert "7.5 to 10 kg" in text
    assert "lb)" not in text


def test_hay_for_the_stay_counts_the_days_between_the_drives():
    """Arrives on the 6th, leaves on the 12th: 7, 8, 9, 10, 11 are five days, 37.5 to 50 kg."""
    circuit = make_circuit("Plan", OUT, BACK)
    assert count_grounds_days(circuit, OUT, "Dancer") == 5
    assert count_grounds_days(circuit, BACK, "Dancer") == 0
    assert "37.5 to 50 kg" in read_sheet(OUT, circuit=circuit)


def test_a_horse_that_is_not_driven_away_stays_until_its_outing_ends():
    """Without a leg home the outing's last day on the grounds, the 12th, counts as departure."""
    stay = Outing(
        "Dancer",
        "S1",
        "Ana",
        ("C1",),
        date(2027, 4, 8),
        date(2027, 4, 8),
        date(2027, 4, 6),
        date(2027, 4, 12),
    )
    circuit = replace(make_circuit("Plan", OUT), outings=(stay,))
    assert count_grounds_days(circuit, OUT, "Dancer") == 5
    assert count_grounds_days(make_circuit("Plan", OUT), OUT, "Dancer") == 0


def test_hay_for_a_stay_after_a_call_is_loaded_where_the_horse_is():
    """Bella stays aboard at S1 on the 6th, is at S2 from then to the 12th: hay for five days.

    Dancer is at S1 until the 8th, hay for one day: 6 days of 7.5 to 10 kg are 45 to 60 kg.
    """
    yard = make_yard(
        horses=[make_horse(), make_horse("Bella")], shows=[make_show(), make_show("S2")]
    )
    out = make_leg(horses=("Bella", "Dancer"))
    on = make_leg("S1", "S2", depart=at(6, 10), arrive=at(6, 12), horses=("Bella",))
    back = make_leg("S1", "home", depart=at(8, 7), arrive=at(8, 9))
    home = make_leg("S2", "home", depart=at(12, 7), arrive=at(12, 9), horses=("Bella",))
    circuit = make_circuit("Plan", out, on, back, home)
    assert [count_grounds_days(circuit, out, horse) for horse in ("Bella", "Dancer")] == [5, 1]
    assert "45 to 60 kg" in read_sheet(out, yard, circuit)


def test_who_brings_no_hay_is_not_counted():
    """Dancer drives home in the evening, Bella on the 9th: hay for two days."""
    yard = make_yard(horses=[make_horse(), make_horse("Bella")])
    out = make_leg(horses=("Bella", "Dancer"))
    evening = make_leg("S1", "home", depart=at(6, 17), arrive=at(6, 19))
    home = make_leg("S1", "home", depart=at(9, 7), arrive=at(9, 9), horses=("Bella",))
    circuit = make_circuit("Plan", out, evening, home)
    assert "bring your own 1 horse \N{MULTIPLICATION SIGN} 2 days" in read_sheet(out, yard, circuit)


# The whole circuit


def test_each_leg_has_one_page_in_order():
    """Legs in any order: as many pages as legs, by departure, each linked once."""
    page = write_travel_sheets(make_yard(), make_circuit("Plan", BACK, OUT))
    read = Page(page)
    assert page.count("<article") == 2
    assert read.ids == ["leg-2", "leg-1"]
    assert read.addresses == ["#leg-2", "#leg-1"]
    assert page.index("Tuesday 6 April 2027") < page.index("Monday 12 April 2027")


def test_a_circuit_without_drives_has_no_pages():
    """Nobody drives: the page says so."""
    page = write_travel_sheets(make_yard(), make_circuit("Plan"))
    assert "<article" not in page
    assert "No lorry drives in it." in page


def test_names_are_escaped_and_any_name_is_written():
    """Markup, quotes, an emoji, right-to-left letters, 200 letters: nothing acts as markup."""
    yard = make_yard(name=LONG, shows=[make_show(LONG, place_key=LONG)], horses=[make_horse(LONG)])
    leg = make_leg(end=LONG, vehicle=LONG, horses=(LONG,), drivers=(LONG,))
    page = write_travel_sheets(yard, make_circuit(LONG, leg))
    body = page[page.index("<body>") :]
    # The sheet's own bold words are sums of hay and water.
    assert "<b>&amp;amp;" not in body
    assert "&lt;b&gt;&amp;amp;" in body
    assert LONG.strip()[:40] in Page(page).text


def test_nothing_is_fetched():
    """No address at all but those within the page."""
    page = write_travel_sheets(make_yard(), make_circuit("Plan", OUT, BACK))
    assert not re.search(r"https?:|//|@import|url\(|<script|<img|<link", page)


# The files


def test_the_files_of_a_circuit(tmp_path):
    """Sheets, seasons and map in a folder that is made; written again they are the same."""
    circuit = make_circuit("Plan", OUT, BACK)
    folder = tmp_path / "new" / "sheets"
    paths = write_travel_files(make_yard(), circuit, folder)
    assert [path.name for path in paths] == ["travel.html", "seasons.html", "routes.svg"]
    first = [path.read_bytes() for path in paths]
    assert [p.read_bytes() for p in write_travel_files(make_yard(), circuit, folder)] == first


def test_a_file_in_the_way_is_said(tmp_path):
    """A file where the folder should be: `CannotWrite` names it."""
    (tmp_path / "sheets").write_text("")
    with pytest.raises(CannotWrite, match="sheets"):
        write_travel_files(make_yard(), make_circuit("Plan", OUT), tmp_path / "sheets")


def test_the_command_writes_both_files(tmp_path, capsys):
    """`tripkit sheets` prints the files and ends with 0; an unknown circuit ends with 2."""
    from tests.files.folders import write_folder

    folder = write_folder(tmp_path / "mill")
    yard = tripkit.read_yard(folder)
    tripkit.write_circuits(tmp_path / "c.json", yard, [make_circuit("Stay home")])
    words = ["sheets", str(folder), str(tmp_path / "c.json")]
    assert main([*words, "stay home", "--out", str(tmp_path / "out"), "--anyway"]) == 0
    said = capsys.readouterr().out.split()
    assert said == [
        str(tmp_path / "out" / name) for name in ("travel.html", "seasons.html", "routes.svg")
    ]
    assert main([*words, "gone", "--out", str(tmp_path / "out")]) == 2
