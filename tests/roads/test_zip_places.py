"""US ZIP codes, alone and behind a town, read as an American address reads them."""

from __future__ import annotations

import re
import sqlite3

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tripkit.roads.estimate import measure_geodesic_km
from tripkit.roads.gazetteer import DATA_FILE, find_zip_code, open_gazetteer, write_place
from tripkit.yard.places import Place


def find(query: str, within: str = "") -> list[str]:
    """The places that answer a query, as they are written."""
    return [write_place(place) for place in open_gazetteer().find_places(query, within=within)]


@pytest.mark.parametrize(
    ("code", "latitude", "longitude"),
    [
        # Source: US Census Bureau, 2023 Gazetteer Files, 2023_Gaz_zcta_national, INTPTLAT and
        # INTPTLONG.
        ("42101", 37.058097, -86.463061),
        ("10001", 40.750649, -73.997298),
        ("33414", 26.646721, -80.250311),
        ("00802", 18.342939, -64.925102),
    ],
)
def test_a_code_lies_where_the_census_has_it(code, latitude, longitude) -> None:
    """The middle of the ZIP code area, to a ten-thousandth of a degree."""
    (place,) = open_gazetteer().find_places(code)
    assert place.latitude == pytest.approx(latitude, abs=0.00005)
    assert place.longitude == pytest.approx(longitude, abs=0.00005)


@pytest.mark.parametrize(
    ("code", "state", "zone"),
    [
        # Source: states by US Postal Service, Domestic Mail Manual L002; zones by the IANA time
        # zone database, northamerica, and 49 CFR 71 (Bowling Green and Pensacola are central,
        # Lexington eastern, Ontario in Oregon mountain; Arizona has no summer time).
        ("42101", "KY", "America/Chicago"),
        ("40511", "KY", "America/New_York"),
        ("32501", "FL", "America/Chicago"),
        ("34471", "FL", "America/New_York"),
        ("46204", "IN", "America/Indiana/Indianapolis"),
        ("85004", "AZ", "America/Phoenix"),
        ("97914", "OR", "America/Boise"),
        ("99501", "AK", "America/Anchorage"),
        ("96813", "HI", "Pacific/Honolulu"),
        ("05901", "VT", "America/New_York"),
        ("02110", "MA", "America/New_York"),
        ("73301", "TX", "America/Chicago"),
        ("20001", "DC", "America/New_York"),
        ("79901", "TX", "America/Denver"),
    ],
)
def test_a_code_has_state_and_zone(code, state, zone) -> None:
    """State and time zone are those of the nearest town of the code's state."""
    found = open_gazetteer().find_places(code)
    assert [(place.region, place.timezone) for place in found] in ([(state, zone)], [])
    # 733 01 is a post box of Austin's and has no area: the census leaves such codes out.
    assert found or code == "73301"


@pytest.mark.parametrize(
    "query",
    [
        "42101",
        " 42101 ",
        "42101-1234",
        "KY 42101",
        "Kentucky 42101",
        "42101, KY",
        "42101, USA",
        "Bowling Green 42101",
        "Bowling Green, KY 42101",
        "bowling green, ky 42101-1234",
        "Bowling Green, KY, 42101",
        "Bowling Green KY 42101",
        "Bowling Green, KY 42101, US",
    ],
)
def test_ways_to_write_a_code(query) -> None:
    """Alone, behind the state or behind the town, with four digits more, with the country.

    Source: US Postal Service, Publication 28, section 2 (city, state, ZIP+4 in the last line).
    """
    assert find(query) == ["Bowling Green 42101, KY"]


def test_what_is_written_is_found_again() -> None:
    """A ZIP code's place as it is written leads to the same place.

    Source: the interface as described.
    """
    (place,) = open_gazetteer().find_places("33414")
    assert open_gazetteer().find_places(write_place(place)) == (place,)


def test_a_code_picks_among_namesakes() -> None:
    """Of all Springfields the one at the code answers alone.

    Source: US Postal Service: 62701 Springfield, Illinois; 65806 Springfield, Missouri.
    """
    assert find("Springfield 62701") == ["Springfield 62701, IL"]
    assert find("Springfield, MO 65806") == ["Springfield 65806, MO"]


def test_a_code_lends_a_hamlet_its_place() -> None:
    """A name that is in no list lies where its code is, if the state agrees.

    Source: the interface as described; the name is invented.
    """
    (place,) = open_gazetteer().find_places("Larkpenny Hollow, KY 42101")
    assert (place.name, place.region) == ("Larkpenny Hollow 42101", "KY")
    assert find("Larkpenny Hollow, OH 42101") == []
    assert find("Larkpenny Hollow, DE 42101") == []


def test_a_code_elsewhere_than_its_town_answers_both() -> None:
    """Bowling Green of Ohio is not at a code of Kentucky: both answer and are asked back.

    Source: the interface as described.
    """
    assert find("Bowling Green, OH 42101") == ["Bowling Green 42101, KY", "Bowling Green, OH"]
    assert find("OH 42101") == []
    assert open_gazetteer().suggest_names("OH 42101")[-1] == "KY 42101"


def test_a_code_without_an_area_leaves_the_town() -> None:
    """42102 is post boxes of Bowling Green: the town still answers, the code alone does not.

    Source: US Postal Service; the census has no area for post boxes.
    """
    assert find("Bowling Green, KY 42102") == ["Bowling Green, KY"]
    assert find("42102") == []
    assert "KY 42101" in open_gazetteer().suggest_names("42102")
    assert open_gazetteer().suggest_names("00000") == ()


def test_a_postal_code_of_another_country_is_no_zip_code() -> None:
    """Emden in Germany keeps its place although 26725 is a code of West Virginia's, too.

    Source: Deutsche Post: 26725 Emden; 26725 lies between 26704 and 26726, West Virginia.
    """
    assert find("Emden 26725, Germany") == ["Emden, DE"]
    assert find("26725", within="DE") == []


def test_territories_have_codes_of_their_own() -> None:
    """Puerto Rico is a country to GeoNames and a state to the post: both ways of writing work.

    Source: US Postal Service: 00901 San Juan PR.
    """
    assert find("San Juan, PR 00901") == find("00901") == find("00901, US")
    (place,) = open_gazetteer().find_places("00901")
    san_juan = Place("San Juan", 18 + 28 / 60, -(66 + 7 / 60))  # 18° 28' N, 66° 7' W
    assert measure_geodesic_km(place, san_juan) < 5
    assert place.timezone == "America/Puerto_Rico"


@pytest.mark.parametrize("text", ["", "421011", "4210", "A42101", "42101-12", "42101 KY", "Ocala"])
def test_other_digits_are_no_code(text) -> None:
    """Four or six digits, or digits that do not stand at the end, are no ZIP code.

    Source: US Postal Service, Publication 28, section 2.
    """
    assert find_zip_code(text) == ""


def test_a_country_is_not_a_state() -> None:
    """Where a country is asked for, CA is Canada and DE Germany; a region names its country.

    Source: ISO 3166-1.
    """
    gazetteer = open_gazetteer()
    assert {place.country for place in gazetteer.find_places("London", within="CA")} == {"CA"}
    assert {place.country for place in gazetteer.find_places("Dover", within="GB")} == {"GB"}
    assert gazetteer.find_country("CA") == "CA"
    assert gazetteer.find_country("Scotland") == "GB"
    assert gazetteer.find_country("WA") == ""  # Washington and Western Australia
    assert gazetteer.find_country("Narnia") == ""


def test_every_code_is_near_a_town_of_its_state() -> None:
    """Nearly all codes of the 2023 files are there; none lies over 200 km from its town.

    Source: US Census Bureau, 2023 Gazetteer Files: 33 791 areas; left out are American Samoa,
    Guam and the Northern Marianas.
    """
    with sqlite3.connect(DATA_FILE) as connection:
        rows = connection.execute(
            """SELECT zips.latitude_e4, zips.longitude_e4, towns.latitude_e4, towns.longitude_e4
               FROM zips JOIN towns ON towns.id = town WHERE zip % 7 = 0"""
        ).fetchall()
        (count,) = connection.execute("SELECT count(*) FROM zips").fetchone()
    assert 33_700 <= count <= 33_791
    for row in rows:
        north, east, town_north, town_east = (degrees / 10_000 for degrees in row)
        town = Place("", town_north, town_east)
        assert measure_geodesic_km(Place("", north, east), town) <= 200


def test_the_licence_names_the_census() -> None:
    """The Census Bureau and that its work is public domain stand beside the file.

    Source: 17 U.S.C. 105.
    """
    licence = (DATA_FILE.parent / "LICENCE-gazetteer.txt").read_text(encoding="utf-8")
    assert re.search(r"US Census Bureau", licence)
    assert re.search(r"public domain", licence)


PIECES = st.sampled_from(
    ["42101", "Bowling Green", "KY", "OH", "CA", "DE", ",", " ", "-1234", "US", "Paris", "00000"]
)
WORDS = st.lists(PIECES | st.text(max_size=4), max_size=7).map("".join)


@given(WORDS, st.sampled_from(["", "US", "DE", "Narnia"]))
@settings(max_examples=150)
def test_any_text_is_answered(text, within) -> None:
    """Whatever stands in a cell, the answer is places, each once, and never an error.

    Source: the interface as described.
    """
    found = open_gazetteer().find_places(text, within=within)
    assert len(set(found)) == len(found)
    if within == "DE":
        assert {place.country for place in found} <= {"DE"}
    if within == "Narnia":
        assert found == ()
