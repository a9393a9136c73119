"""Town names as people write them, found, told apart and guessed."""

from __future__ import annotations

import re
import sqlite3
from difflib import SequenceMatcher
from importlib import resources
from pathlib import Path
from zoneinfo import available_timezones

import pytest
from road_tables import read_knuth_miles

from tripkit.roads.estimate import measure_geodesic_km
from tripkit.roads.gazetteer import DATA_FILE, Gazetteer, open_gazetteer, write_place
from tripkit.yard.errors import BadValue
from tripkit.yard.names import fold_name
from tripkit.yard.places import Place


def list_areas(query: str, country: str = "") -> list[tuple[str, str]]:
    """Country and region of each town that answers to the query."""
    return [(place.country, place.region) for place in open_gazetteer().find_places(query, country)]


@pytest.mark.parametrize(
    ("query", "best"),
    [
        # Source: ISO 3166-1 (NL, CA, AL, DE, SK are countries), US postal codes (CA, AL, DE are
        # states), Canadian postal codes (NL, SK are provinces); towns by any atlas.
        ("Amsterdam, NL", ("NL", "")),
        ("St. John's, NL", ("CA", "NL")),
        ("'s-Hertogenbosch, NL", ("NL", "")),
        ("Toronto, CA", ("CA", "ON")),
        ("Thermal, CA", ("US", "CA")),
        ("Tirana, AL", ("AL", "")),
        ("Mobile, AL", ("US", "AL")),
        ("Aachen, DE", ("DE", "")),
        ("Dover, DE", ("US", "DE")),
        ("Bratislava, SK", ("SK", "")),
        ("Saskatoon, SK", ("CA", "SK")),
        # Source: Geoscience Australia and GeoNames admin1 codes of Australia.
        ("Perth, WA", ("AU", "WA")),
        ("Seattle, WA", ("US", "WA")),
    ],
)
def test_a_tail_that_is_both_state_and_country_is_read_both_ways(query, best) -> None:
    """Of a country and a state of the same two letters the one that has the town answers."""
    assert list_areas(query)[0] == best


def test_a_town_in_both_readings_answers_twice() -> None:
    """As "Paris, CA" answers Ontario in Canada, "Dublin, CA" answers California.

    Source: GeoNames; ISO 3166-1 and US postal codes.
    """
    assert ("CA", "ON") in list_areas("Paris, CA")
    assert ("US", "CA") in list_areas("Dublin, CA")


def test_country_of_the_yard_orders_the_readings() -> None:
    """London is England's for a British yard, Ontario's for a Canadian one, both for both.

    Source: GeoNames; the preference is the yard's `country`.
    """
    assert list_areas("London", "GB")[0] == ("GB", "ENG")
    assert list_areas("London", "CA")[0] == ("CA", "ON")
    assert list_areas("London", "Canada")[0] == ("CA", "ON")
    assert set(list_areas("London", "CA")) == set(list_areas("London", "GB"))


@pytest.mark.parametrize(
    "query",
    [
        "Lexington, KY",
        "lexington,ky",
        " LEXINGTON , Kentucky ",
        "Lexington, KY, USA",
        "Lexington, KY, United States",
    ],
)
def test_ways_to_write_a_town(query) -> None:
    """State by letters or name, with or without the country, in any case and spacing.

    Source: ISO 3166-1 names; US postal codes.
    """
    assert list_areas(query)[0] == ("US", "KY")


@pytest.mark.parametrize("tail", ["DE", "DEU", "GER", "Germany", "Deutschland"])
def test_ways_to_write_a_country(tail) -> None:
    """A country by its ISO codes, its Olympic code, its English name and its own.

    Source: ISO 3166-1; International Olympic Committee country codes.
    """
    assert ("DE", "") in list_areas(f"Aachen, {tail}")


def test_two_towns_of_one_name_in_one_state_both_answer() -> None:
    """North Carolina has two Tryons far apart; the horse show's, in Polk County, is one of them.

    Source: US Geological Survey, Geographic Names Information System: Tryon, Polk County, lies at
    35 deg 12' 29" N, 82 deg 14' 18" W.
    """
    found = open_gazetteer().find_places("Tryon, NC")
    polk = Place("Tryon", 35 + 12 / 60 + 29 / 3600, -(82 + 14 / 60 + 18 / 3600))
    km = sorted(measure_geodesic_km(polk, place) for place in found)
    assert len(found) == 2
    assert km[0] < 2
    assert km[1] > 50


def test_an_ambiguous_town_answers_every_candidate() -> None:
    """A bare "Bowling Green" answers at least Kentucky, Ohio, Missouri and Florida, largest first.

    Source: US Census 2020: Bowling Green KY 72 294, OH 30 808, MO 4 195, FL 2 405 people.
    """
    areas = list_areas("Bowling Green")
    assert areas[:2] == [("US", "KY"), ("US", "OH")]
    assert {("US", "MO"), ("US", "FL")} <= set(areas)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Malmö", "malmo"),
        ("Zürich", "ZURICH"),
        ("Zürich", "Zuerich"),
        ("København", "Copenhagen"),
        ("Łódź", "Lodz"),
        ("Béziers", "Beziers"),
        ("A Coruña", "A Coruna"),
        ("Saint-Tropez", "St. Tropez"),
        ("St. Louis, MO", "Saint Louis, MO"),
        ("Fort Worth, TX", "Ft. Worth, TX"),
        ("'s-Hertogenbosch", "s Hertogenbosch"),
        ("’s-Hertogenbosch", "'s-Hertogenbosch"),  # noqa: RUF001
        ("Winston-Salem, NC", "Winston Salem, NC"),
        ("Köln", "Cologne, DE"),
        ("Washington, DC", "Washington, D.C."),
    ],
)
def test_spellings_of_one_town_are_one(one, other) -> None:
    """Accents, case, apostrophes, hyphens and "St." make no difference, nor does the English name.

    Source: the towns' own and English names in any atlas.
    """
    gazetteer = open_gazetteer()
    assert gazetteer.find_places(one)[0] == gazetteer.find_places(other)[0]


@pytest.mark.parametrize(
    ("name", "key"),
    [("Gdańsk", "gdansk"), ("Straße", "strasse"), ("Ærøskøbing", "aeroskobing"), ("  ", "")],
)
def test_letters_fold_to_their_plain_form(name, key) -> None:
    """Letters with accents lose them, ligatures and sharp s are written out.

    Source: Unicode Standard Annex 15 and the Unicode case folding table; Æ and Ø by custom.
    """
    assert fold_name(name) == key


@pytest.mark.parametrize("query", ["", ",", " , FL", "Xqzzyville", "Lexington, Nowhere", "a,b,c,d"])
def test_a_miss_answers_nothing(query) -> None:
    """A name that is no town, or a tail that is no state or country, answers an empty tuple.

    Source: the interface as described.
    """
    assert open_gazetteer().find_places(query) == ()


@pytest.mark.parametrize(
    ("query", "meant"),
    [
        ("Bolwing Green, KY", "Bowling Green, KY"),
        ("Bolwing Green", "Bowling Green, KY"),
        ("Wellingtn, FL", "Wellington, FL"),
        ("Ocalla", "Ocala, FL"),
        ("Pcala, FL", "Ocala, FL"),
        ("Sant-Oedenrode, NL", "Sint-Oedenrode, NL"),
        ("Hambrug", "Hamburg, DE"),
    ],
)
def test_a_misspelled_town_is_guessed(query, meant) -> None:
    """The town that was meant is among three suggestions, and suggestions can be looked up.

    Source: the misspellings are ours.
    """
    suggestions = open_gazetteer().suggest_names(query)
    assert meant in suggestions
    assert len(suggestions) <= 3
    assert all(open_gazetteer().find_places(suggestion) for suggestion in suggestions)


def test_nonsense_gets_no_suggestion() -> None:
    """Letters that resemble no town answer nothing.

    Source: the interface as described.
    """
    assert open_gazetteer().suggest_names("xqzzykw") == ()
    assert open_gazetteer().suggest_names("") == ()


def test_cities_lie_where_a_printed_table_has_them() -> None:
    """Each of Knuth's 128 cities is found and lies within 15 km of his coordinates.

    Source: D. E. Knuth, The Stanford GraphBase, miles.dat, to a hundredth of a degree.
    """
    pairs = read_knuth_miles()
    cities = {place.name: place for pair in pairs for place in (pair.start, pair.end)}
    assert len(cities) == 128
    far = {}
    for name, city in cities.items():
        found = open_gazetteer().find_places(name)
        km = measure_geodesic_km(found[0], city) if found else float("inf")
        if km > 15:
            far[name] = km
    assert far == {}


def test_zones_of_all_towns_exist() -> None:
    """Every time zone in the file, and so that of each of its > 500 towns, is in zoneinfo.

    Source: IANA time zone database.
    """
    with sqlite3.connect(DATA_FILE) as connection:
        zones = {zone for (zone,) in connection.execute("SELECT DISTINCT timezone FROM areas")}
        (towns,) = connection.execute("SELECT count(*) FROM towns").fetchone()
    assert towns > 500
    assert zones <= available_timezones()


def test_zones_of_towns_belong_to_their_country() -> None:
    """A town's time zone is one that the IANA table lists for its country, 99 times in 100.

    Source: IANA time zone database, zone.tab, which lists the zones of each country.
    """
    table = resources.files("tzdata").joinpath("zoneinfo/zone.tab").read_text(encoding="utf-8")
    zones_by_country: dict[str, set[str]] = {}
    for line in table.splitlines():
        if not line.startswith("#"):
            country, _, zone, *_ = line.split("\t")
            zones_by_country.setdefault(country, set()).add(zone)
    with sqlite3.connect(DATA_FILE) as connection:
        rows = connection.execute(
            """SELECT country, timezone, count(*) FROM towns JOIN areas ON areas.id = area
               WHERE country IN ('US', 'CA', 'DE', 'FR', 'GB', 'NL', 'BE', 'ES', 'IT', 'AU')
               GROUP BY country, timezone"""
        ).fetchall()
    total = sum(count for *_, count in rows)
    stray = sum(count for country, zone, count in rows if zone not in zones_by_country[country])
    assert stray <= total / 100


@pytest.mark.parametrize(
    ("query", "zone"),
    [
        # Source: IANA time zone database, northamerica and europe: comments on Kentucky, Indiana,
        # Arizona and Florida's two zones; London, Paris, Madrid.
        ("Bowling Green, KY", "America/Chicago"),
        ("Ocala, FL", "America/New_York"),
        ("Pensacola, FL", "America/Chicago"),
        ("Scottsdale, AZ", "America/Phoenix"),
        ("Indianapolis, IN", "America/Indiana/Indianapolis"),
        ("London, GB", "Europe/London"),
        ("Fontainebleau, FR", "Europe/Paris"),
        ("Vejer de la Frontera, ES", "Europe/Madrid"),
    ],
)
def test_zone_of_known_towns(query, zone) -> None:
    """A town has the time zone it keeps."""
    assert open_gazetteer().find_places(query)[0].timezone == zone


def test_nearest_town_and_nearest_city() -> None:
    """In the middle of Ocala the nearest town is Ocala; the nearest city of 100 000 is farther off.

    Source: Gainesville is the nearest Florida city above 100 000 (US Census 2020:
    141 085), Ocala has 63 591.
    """
    gazetteer = open_gazetteer()
    near = gazetteer.nearest_town(29.187, -82.140)
    assert write_place(near) == "Ocala, FL"
    assert write_place(gazetteer.nearest_town(29.187, -82.140, 100_000)) == "Gainesville, FL"


def test_nearest_town_is_nearest_of_all() -> None:
    """No other town is nearer, at the date line, near a pole and in between.

    Source: the geodesic to every large town of the file. The sphere may misjudge by 0.5 %.
    """
    with sqlite3.connect(DATA_FILE) as connection:
        towns = [
            Place("", north / 1e4, east / 1e4)
            for north, east in connection.execute(
                "SELECT latitude_e4, longitude_e4 FROM towns WHERE population >= 500000"
            )
        ]
    for latitude, longitude in [(50.8, 6.1), (-37.9, 179.9), (-40, -179), (78, 15), (29, -82)]:
        here = Place("", latitude, longitude)
        nearest = open_gazetteer().nearest_town(latitude, longitude, 500_000)
        shortest_km = min(measure_geodesic_km(here, town) for town in towns)
        assert measure_geodesic_km(here, nearest) <= shortest_km * 1.005


def test_nearest_town_refuses_what_is_not_there() -> None:
    """A point off the globe and a town larger than any are bad values.

    Source: the interface as described.
    """
    with pytest.raises(BadValue, match="off the globe"):
        open_gazetteer().nearest_town(91, 0)
    with pytest.raises(BadValue, match="no town of"):
        open_gazetteer().nearest_town(50, 6, min_population=10**9)


def test_it_opens_late_and_looks_up(monkeypatch) -> None:
    """Making a gazetteer reads nothing; a question looks a name up, it does not go through all.

    Counted in the steps of SQLite's machine, of which each row looked at takes several, and in
    names compared. Source: this project's promise; `tests.bench.roads` takes the time.
    """
    Gazetteer(Path("no such file"))
    gazetteer = Gazetteer()
    towns = gazetteer._connection.execute("SELECT count(*) FROM towns").fetchone()[0]
    steps, compared = [], []
    gazetteer._connection.set_progress_handler(lambda: steps.append(1) and None, 1)
    assert gazetteer.find_places("Ocala, FL")
    assert len(steps) < towns / 10
    steps.clear()
    assert gazetteer.find_places("Tampa, FL")
    assert len(steps) < 200
    gazetteer._connection.set_progress_handler(None, 1)

    class Matcher(SequenceMatcher):
        def set_seq1(self, name: str) -> None:
            compared.append(name)
            super().set_seq1(name)

    monkeypatch.setattr("tripkit.roads.gazetteer.difflib.SequenceMatcher", Matcher)
    assert "Hamburg, DE" in gazetteer.suggest_names("Hambrug, DE")
    assert len(compared) < towns / 20
    assert open_gazetteer() is open_gazetteer()


def test_the_zones_around_a_point_begin_with_its_own() -> None:
    """Chattanooga keeps Eastern time and lies 40 km from the line; Denver is far from any.

    Source: 49 CFR 71.5 and 71.7 (boundary between eastern, central and mountain zones).
    """
    zones = open_gazetteer().list_zones(35.05, -85.31, 60)
    assert zones == ("America/New_York", "America/Chicago")
    assert open_gazetteer().list_zones(39.74, -104.99, 100) == ("America/Denver",)
    assert open_gazetteer().list_zones(0, -160, 100) == ()


def test_files_keep_their_size_and_licence() -> None:
    """The town list is at most 8 MB and names GeoNames and its licence; test data stays small.

    Source: this project's limits; CC BY 4.0 asks for attribution.
    """
    assert DATA_FILE.stat().st_size <= 8_000_000
    licence = (DATA_FILE.parent / "LICENCE-gazetteer.txt").read_text(encoding="utf-8")
    assert re.search("GeoNames", licence)
    assert re.search("Creative Commons Attribution 4.0", licence)
    data = Path(__file__).parent.parent / "data"
    assert (data / "knuth_miles.txt.gz").stat().st_size < 30_000


def test_the_file_is_never_written() -> None:
    """A question cannot change the file.

    Source: the house rule: shipped data is read-only.
    """
    with pytest.raises(sqlite3.OperationalError, match="readonly"):
        open_gazetteer()._connection.execute("DELETE FROM towns")
