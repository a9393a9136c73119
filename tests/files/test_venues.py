"""The yard's own venues, ZIP codes as places, and the online geocoder a yard may switch on."""

from __future__ import annotations

import importlib.util
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from openpyxl import Workbook

from tests.build import tell_all
from tests.files.folders import GOOD, append, list_faults, swap, write_folder
from tripkit.files import read_yard
from tripkit.roads import online_places
from tripkit.yard.places import HOME

# Source of the towns' coordinates: any atlas; the venues are invented.
# Bowling Green, KY, lies at 37.0 N 86.4 W, Tallahassee at 30.4 N 84.3 W.
HEAD = "place,latitude,longitude,timezone,country,town\n"
ARENA = HEAD + "Larkpenny Arena,36.95,-86.5,,,\n"
AT_ARENA = {
    "shows.csv": GOOD["shows.csv"].replace('"Tallahassee, FL"', "Larkpenny Arena"),
    "venues.csv": ARENA,
}


def find_place(folder: Path, files: dict, show: int = 0):
    """The place of a show of the good yard so changed."""
    yard = read_yard(write_folder(folder, files))
    return yard.roads.places[yard.shows[show].place_key]


def test_a_show_stands_at_a_venue(tmp_path: Path) -> None:
    """A name of venues.csv is a show's place, with zone and country of the nearest town."""
    place = find_place(tmp_path, AT_ARENA)
    assert (place.name, place.latitude, place.longitude) == ("Larkpenny Arena", 36.95, -86.5)
    assert (place.timezone, place.country, place.region) == ("America/Chicago", "US", "KY")


def test_coordinates_without_a_name_lie_near_a_town(tmp_path: Path) -> None:
    """Nobody named them: the name is that of the nearest town, and the place says so."""
    nameless = "latitude = 36.95\nlongitude = -86.5\n"
    yard = read_yard(write_folder(tmp_path, swap("yard.toml", 'place = "Ocala, FL"', nameless)))
    assert (yard.place.name, yard.place.is_near) == ("Bowling Green", True)
    assert str(yard.place.called) == "near Bowling Green"
    assert not find_place(tmp_path, AT_ARENA).is_near


def test_a_venue_wins_over_the_gazetteer(tmp_path: Path) -> None:
    """A venue called like a town is where the yard says, not where the atlas has the town."""
    venues = {"venues.csv": HEAD + '"Tallahassee, FL",36.95,-86.5,,,\n'}
    assert find_place(tmp_path, venues).latitude == 36.95


@pytest.mark.parametrize("written", ["larkpenny arena", "LARKPENNY ARENA", "Larkpenny-Arena"])
def test_case_and_signs_of_a_venue_do_not_matter(tmp_path: Path, written: str) -> None:
    """However it is written, it is one place, spelled as venues.csv spells it."""
    files = {**AT_ARENA, "shows.csv": GOOD["shows.csv"].replace('"Tallahassee, FL"', written)}
    files["distances.csv"] = f"from,to,km\nhome,{written.upper()},900\n"
    yard = read_yard(write_folder(tmp_path, files))
    assert {show.place_key for show in yard.shows} == {"Larkpenny Arena"}
    assert yard.roads.find_drive(HOME, "Larkpenny Arena").km == 900


def test_a_venues_own_zone_and_country_win(tmp_path: Path) -> None:
    """What the row says of zone and country stands over the nearest town's."""
    rows = "Larkpenny Arena,36.95,-86.5,America/New_York,USA,\n"
    place = find_place(tmp_path, {**AT_ARENA, "venues.csv": HEAD + rows})
    assert (place.timezone, place.country) == ("America/New_York", "US")


def test_a_venues_town_gives_zone_and_state(tmp_path: Path) -> None:
    """A venue across a border from its nearest town belongs to the town its row names.

    Source: Guthrie, KY, in central time, is opposite Tennessee; Clarksville, TN, lies 20 km off.
    """
    rows = 'Larkpenny Arena,36.64,-87.17,,,"Clarksville, TN"\n'
    place = find_place(tmp_path, {**AT_ARENA, "venues.csv": HEAD + rows})
    assert (place.region, place.timezone) == ("TN", "America/Chicago")


def test_home_stands_at_a_venue(tmp_path: Path) -> None:
    """The yard's own place may be a venue, too."""
    files = {**swap("yard.toml", "Ocala, FL", "larkpenny arena"), "venues.csv": ARENA}
    files["distances.csv"] = 'from,to,km\nLarkpenny Arena,"Tallahassee, FL",850\n'
    yard = read_yard(write_folder(tmp_path, files))
    assert (yard.place.name, yard.place.latitude) == ("Larkpenny Arena", 36.95)
    assert yard.roads.find_drive(HOME, "Tallahassee, FL").km == 850


def test_a_venue_without_a_show_may_have_distances(tmp_path: Path) -> None:
    """A distance to a venue at which no show is yet is no fault."""
    files = {"venues.csv": ARENA, "distances.csv": "from,to,km\nhome,Larkpenny Arena,900\n"}
    yard = read_yard(write_folder(tmp_path, files))
    assert "Larkpenny Arena" not in yard.roads.places


def test_venues_stand_in_a_workbook(tmp_path: Path) -> None:
    """The sheet `venues` of a workbook is read as the file is."""
    book = Workbook()
    for name in ("shows", "classes", "horses", "people", "shares", "vehicles"):
        sheet = book.create_sheet(name)
        content = AT_ARENA.get(f"{name}.csv", GOOD[f"{name}.csv"])
        for line in content.splitlines():
            sheet.append(line.split(","))
    sheet = book.create_sheet("venues")
    sheet.append(["place", "latitude", "longitude"])
    sheet.append(["Larkpenny Arena", 36.95, -86.5])
    book.remove(book["Sheet"])
    tmp_path.joinpath("yard.toml").write_text(GOOD["yard.toml"], encoding="utf-8")
    book.save(tmp_path / "yard.xlsx")
    yard = read_yard(tmp_path)
    assert yard.roads.places["Larkpenny Arena"].latitude == 36.95


CASES: dict[str, tuple[str, list[str]]] = {
    "no-point": (
        "Larkpenny Arena,,,,,\n",
        [
            "venues.csv row 2, column latitude: is empty",
            "venues.csv row 2, column longitude: is empty",
        ],
    ),
    "no-name": (",36.95,-86.5,,,\n", ["venues.csv row 2, column place: is empty"]),
    "only-signs": (
        "--,36.95,-86.5,,,\n",
        ["venues.csv row 2, column place: '--' holds neither a letter nor a digit"],
    ),
    "off-globe": (
        "Larkpenny Arena,96.95,-86.5,,,\n",
        ["venues.csv row 2, column latitude: '96.95' is off the globe (-90 to 90)"],
    ),
    "off-globe-east": (
        "Larkpenny Arena,36.95,-186.5,,,\n",
        ["venues.csv row 2, column longitude: '-186.5' is off the globe (-180 to 180)"],
    ),
    "words": (
        "Larkpenny Arena,36°57' N,-86.5,,,\n",
        [
            'venues.csv row 2, column latitude: "36°57\' N" is not a number (written like 1234.5)',
        ],
    ),
    "zone": (
        "Larkpenny Arena,36.95,-86.5,Central,,\n",
        [
            "venues.csv row 2, column timezone: 'Central' is no time zone of the IANA database "
            "(like Europe/Berlin); did you mean 'US/Central', "
            "'Canada/Central' or 'CET'?"
        ],
    ),
    "country": (
        "Larkpenny Arena,36.95,-86.5,,Narnia,\n",
        ["venues.csv row 2, column country: 'Narnia' is no country (like US or Germany)"],
    ),
    "town": (
        "Larkpenny Arena,36.95,-86.5,,US,Xqzzyville\n",
        [
            "venues.csv row 2, column town: 'Xqzzyville' is no town of US in the gazetteer "
            "(leave it out, or mend it)"
        ],
    ),
    "home": (
        "Home,36.95,-86.5,,,\n",
        [
            "venues.csv row 2, column place: 'Home' is the yard's own place, which stands in "
            "yard.toml"
        ],
    ),
    "twice": (
        "Larkpenny Arena,36.95,-86.5,,,\nlarkpenny arena,36.96,-86.5,,,\n",
        ["venues.csv row 3, column place: 'larkpenny arena' stands already in row 2"],
    ),
}


@pytest.mark.parametrize(("rows", "messages"), CASES.values(), ids=CASES.keys())
def test_a_bad_row_says_what_is_wrong(tmp_path: Path, rows: str, messages: list[str]) -> None:
    """Each fault names row and column."""
    assert list_faults(tmp_path, {"venues.csv": HEAD + rows}) == messages


@pytest.mark.parametrize("case", ["no-point", "no-name", "off-globe", "zone", "twice"])
def test_a_show_at_a_bad_venue_is_not_blamed(tmp_path: Path, case: str) -> None:
    """Where a venue's row has a fault, or a name is missing, the shows may well be right."""
    rows, messages = CASES[case]
    assert list_faults(tmp_path, {**AT_ARENA, "venues.csv": HEAD + rows}) == messages


def test_home_at_a_bad_venue_is_not_blamed(tmp_path: Path) -> None:
    """The same holds for the yard's own place."""
    rows, messages = CASES["off-globe"]
    files = {**swap("yard.toml", "Ocala, FL", "Larkpenny Arena"), "venues.csv": HEAD + rows}
    assert list_faults(tmp_path, files) == messages


def test_a_town_far_from_its_venue_is_a_fault(tmp_path: Path) -> None:
    """A venue over 100 km from its town has one of the two wrong.

    Source: Ocala, FL, and Bowling Green, KY, lie about 950 km apart (any atlas).
    """
    rows = 'Larkpenny Arena,36.95,-86.5,,,"Ocala, FL"\n'
    (message,) = list_faults(tmp_path, {"venues.csv": HEAD + rows})
    assert message.startswith("venues.csv row 2, column town: 'Ocala, FL' is 9")
    assert message.endswith(" km from the coordinates (Ocala, FL); one is wrong")


def test_a_forgotten_minus_sign_is_remarked(tmp_path: Path) -> None:
    """86.5 east is in China: the row's country does not fit the point."""
    yard = read_yard(
        write_folder(tmp_path, {"venues.csv": HEAD + "Larkpenny Arena,36.95,86.5,,US,\n"})
    )
    (remark,) = [remark for remark in tell_all(yard.remarks) if "Larkpenny" in remark]
    assert remark.startswith("venues.csv row 2: 'Larkpenny Arena' lies near ")
    assert remark.endswith("not in US; is a minus sign missing?")


def test_missing_columns_are_faults(tmp_path: Path) -> None:
    """Without coordinates there is no venue."""
    assert list_faults(tmp_path, {"venues.csv": "place,town\nLarkpenny Arena,Ocala\n"}) == [
        "venues.csv column latitude: is missing",
        "venues.csv column longitude: is missing",
    ]


def test_an_unreadable_file_blames_no_show(tmp_path: Path) -> None:
    """Where venues.csv cannot be read at all, its faults are the only ones."""
    messages = list_faults(tmp_path, {**AT_ARENA, "venues.csv": b"\xff\xfe\x00place"})
    assert messages
    assert all(message.startswith("venues.csv") for message in messages)


def test_other_coordinates_in_shows_are_a_fault(tmp_path: Path) -> None:
    """A place has one point; the same point twice is none the worse."""
    head = "show,place,first_day,last_day,latitude,longitude,country\n"
    row = "Oak 1,Larkpenny Arena,2027-04-07,2027-04-11,{},-86.5,\nOak 2,Larkpenny Arena,"
    row += "2027-04-14,2027-04-18,,,{}\n"
    same = {"shows.csv": head + row.format("36.950", "USA"), "venues.csv": ARENA}
    assert find_place(tmp_path, same).latitude == 36.95
    assert list_faults(tmp_path, {**same, "shows.csv": head + row.format("37", "Canada")}) == [
        "shows.csv row 2, column place: 'Larkpenny Arena' has other coordinates in venues.csv "
        "row 2; write them once",
        "shows.csv row 3, column country: 'Canada' is not the country of 'Larkpenny Arena' in "
        "venues.csv, US",
    ]


def test_other_coordinates_of_home_are_a_fault(tmp_path: Path) -> None:
    """The same holds for the yard's own place."""
    text = GOOD["yard.toml"].replace(
        'place = "Ocala, FL"', 'place = "Larkpenny Arena"\nlatitude = 37.0\nlongitude = -86.5'
    )
    assert list_faults(tmp_path, {"yard.toml": text, "venues.csv": ARENA}) == [
        "yard.toml setting yard.latitude: has other coordinates in venues.csv row 2; write them "
        "once"
    ]


def test_a_misspelled_venue_is_guessed(tmp_path: Path) -> None:
    """The near matches of a name that is nowhere begin with the yard's own venues."""
    files = {
        **AT_ARENA,
        "shows.csv": GOOD["shows.csv"].replace('"Tallahassee, FL"', "Larkpeny Arena"),
    }
    messages = list_faults(tmp_path, files)
    assert "did you mean 'Larkpenny Arena'" in messages[0]


# ZIP codes


@pytest.mark.parametrize("written", ["42101", "KY 42101", '"Bowling Green, KY 42101"'])
def test_a_show_stands_at_a_zip_code(tmp_path: Path, written: str) -> None:
    """A US ZIP code is a place, alone or behind state or town.

    Source: US Census Bureau, 2023 Gazetteer Files: 42101 at 37.058097, -86.463061.
    """
    place = find_place(tmp_path, swap("shows.csv", '"Tallahassee, FL"', written))
    assert (place.latitude, place.longitude) == (37.0581, -86.4631)
    assert (place.timezone, place.country) == ("America/Chicago", "US")


def test_home_stands_at_a_zip_code(tmp_path: Path) -> None:
    """Where no country is told, five digits alone are read as America's, and that is said."""
    yard = read_yard(write_folder(tmp_path, swap("yard.toml", "Ocala, FL", "34471")))
    assert (yard.place.region, yard.place.timezone) == ("FL", "America/New_York")
    assert "'34471' is read as a US ZIP code, Ocala 34471, FL" in tell_all(yard.remarks)
    silent = {"yard.toml": GOOD["yard.toml"].replace('"Ocala, FL"', '"34471"\ncountry = "US"')}
    assert not [
        r for r in tell_all(read_yard(write_folder(tmp_path, silent)).remarks) if "ZIP" in r
    ]


def test_a_german_yards_five_digits_are_not_american(tmp_path: Path) -> None:
    """26725 is Emden to a German yard; it is asked back, with West Virginia as what it could be.

    Source: Deutsche Post: 26725 Emden.
    """
    files = {
        **swap("yard.toml", "Ocala, FL", "Aachen, Germany"),
        **swap("shows.csv", '"Tallahassee, FL"', "26726"),
    }
    messages = list_faults(tmp_path, files)
    assert messages == [
        "shows.csv row 2, column place: '26726' is no town in the gazetteer (write latitude and "
        "longitude); did you mean 'WV 26726'?"
    ]


def test_a_zip_code_of_another_town_is_asked_back(tmp_path: Path) -> None:
    """Town and code that lie apart are both named."""
    files = swap("shows.csv", '"Tallahassee, FL"', '"Bowling Green, OH 42101"')
    assert list_faults(tmp_path, files) == [
        "shows.csv row 2, column place: 'Bowling Green, OH 42101' fits 2 towns (Bowling Green "
        "42101, KY; Bowling Green, OH); write latitude and longitude"
    ]


@pytest.mark.parametrize(("written", "number"), [("Munster", 4), ("Münster", 3)])
def test_a_german_town_that_is_asked_back_gets_no_american_advice(
    tmp_path: Path, written: str, number: int
) -> None:
    """Munster is a town of its own; who writes the umlaut means one of the three Münster.

    Source: GeoNames.
    """
    files = {
        **swap("yard.toml", "Ocala, FL", "Warendorf, Germany"),
        **swap("shows.csv", '"Tallahassee, FL"', written),
    }
    (message,) = list_faults(tmp_path, files)
    assert f"fits {number} towns (Münster, DE (51.9624, 7.6257);" in message
    assert message.endswith("write latitude and longitude")


def test_a_tail_that_is_state_and_country_is_asked_back(tmp_path: Path) -> None:
    """London, CA is in Ontario and in California: a yard of neither country is asked.

    Source: GeoNames; ISO 3166-1 and US postal codes.
    """
    files = {
        **swap("yard.toml", "Ocala, FL", "Aachen, Germany"),
        **swap("shows.csv", '"Tallahassee, FL"', '"London, CA"'),
    }
    assert list_faults(tmp_path, files) == [
        "shows.csv row 2, column place: 'London, CA' fits 2 towns (London, ON; London, CA); "
        "write latitude and longitude"
    ]


# The online geocoder

NOWHERE = {"shows.csv": GOOD["shows.csv"].replace('"Tallahassee, FL"', '"Larkpenny Park, KY"')}
AGENT = 'user_agent = "Mill Lane yard, post@example.org"\n'


def switch_on(address: str) -> dict[str, str]:
    """The good yard.toml with a nominatim of its own."""
    places = f'[places]\nonline = "nominatim"\nserver = "{address}"\n{AGENT}'
    return {"yard.toml": GOOD["yard.toml"] + places}


@pytest.fixture
def helper():
    """The tests' own geocoding server, which stands with the tests of the roads."""
    path = Path(__file__).parents[1] / "roads" / "geocoding_server.py"
    spec = importlib.util.spec_from_file_location("geocoding_server_of_files", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def server(monkeypatch, helper) -> Iterator:
    """A geocoder on this machine, asked without pause."""
    monkeypatch.setattr(online_places, "SECONDS_BETWEEN_QUESTIONS", 0.0)
    with helper.serve_geocoder() as state:
        yield state


def test_nothing_is_fetched_unless_switched_on(tmp_path: Path, monkeypatch) -> None:
    """With every door to the network shut a yard reads as ever, and an unknown town is a fault."""
    tried = []

    def refuse(*arguments: object, **_: object) -> None:
        tried.append(arguments)
        raise OSError("no network in this test")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    assert find_place(tmp_path / "good", AT_ARENA).latitude == 36.95
    messages = list_faults(tmp_path / "bad", NOWHERE)
    # A key and a sender without `online` switch nothing on.
    assert (
        list_faults(
            tmp_path / "half", {**NOWHERE, "yard.toml": GOOD["yard.toml"] + "[places]\n" + AGENT}
        )
        == messages
    )
    assert "is no town in the gazetteer" in messages[0]
    assert "online" not in messages[0]
    assert tried == []
    assert not list(tmp_path.rglob("tripkit.sqlite"))


def test_the_geocoder_is_asked_for_what_nobody_else_knows(tmp_path: Path, server, helper) -> None:
    """Towns and venues are never asked for, the rest once; the answer is kept and remarked."""
    server.places["Larkpenny Park, KY"] = [
        helper.make_nominatim_place("Larkpenny Park", 36.95, -86.5)
    ]
    files = {**NOWHERE, **switch_on(server.address), "venues.csv": ARENA}
    for _ in range(2):
        yard = read_yard(write_folder(tmp_path, files))
        place = yard.roads.places["Larkpenny Park, KY"]
        assert (place.latitude, place.timezone) == (36.95, "America/Chicago")
        (remark,) = [remark for remark in tell_all(yard.remarks) if "Larkpenny Park" in remark]
        assert "placed at 36.95, -86.5 by the online geocoder at 127.0.0.1" in remark
        assert "OpenStreetMap" in remark
    assert server.questions == ["Larkpenny Park, KY"]
    assert (tmp_path / "tripkit.sqlite").exists()


def test_the_geocoders_place_in_the_yards_country_comes_first(
    tmp_path: Path, server, helper
) -> None:
    """Of a park in Germany and one in America an American yard means the latter."""
    files = {"shows.csv": GOOD["shows.csv"].replace('"Tallahassee, FL"', "Larkpenny Park")}
    server.places["Larkpenny Park"] = [
        helper.make_nominatim_place("Larkpenny Park", 50.78, 6.08),
        helper.make_nominatim_place("Larkpenny Park", 36.95, -86.5),
    ]
    yard = read_yard(write_folder(tmp_path, {**files, **switch_on(server.address)}))
    assert yard.roads.places["Larkpenny Park"].country == "US"
    (remark,) = [remark for remark in tell_all(yard.remarks) if "Larkpenny Park" in remark]
    assert "placed at 36.95, -86.5 by" in remark


def test_what_the_geocoder_finds_twice_is_asked_back(tmp_path: Path, server, helper) -> None:
    """Two places of one name are candidates, as two towns are."""
    server.places["Larkpenny Park, KY"] = [
        helper.make_nominatim_place("Larkpenny Park", 36.95, -86.5),
        helper.make_nominatim_place("Larkpenny Park", 38.05, -84.5),
    ]
    messages = list_faults(tmp_path, {**NOWHERE, **switch_on(server.address)})
    assert messages[0].endswith(
        "fits 2 towns (Larkpenny Park, KY (36.95, -86.5); Larkpenny Park, KY (38.05, -84.5)); "
        "write latitude and longitude"
    )


@pytest.mark.parametrize(
    ("mode", "words"),
    [
        ("good", "does not know it either"),
        ("error", "did not answer (error 503)"),
        ("nonsense", "answered nonsense"),
    ],
)
def test_a_geocoder_of_no_help_is_told(tmp_path: Path, server, mode: str, words: str) -> None:
    """The fault is the usual one, and says what the geocoder did; it is asked once."""
    server.mode, server.body = mode, b"<html>"
    rows = GOOD["shows.csv"].replace('"Tallahassee, FL"', "Larkpenny Park", 1)
    files = {"shows.csv": rows.replace('"Tallahassee, FL"', "Larkpenny Green")}
    messages = list_faults(tmp_path, {**files, **switch_on(server.address)})
    assert len(messages) == 2
    host = server.address.removeprefix("http://")
    for message in messages:
        assert "is no town in the gazetteer (write latitude and longitude)" in message
        assert f"; the online geocoder at {host} {words}" in message
    assert len(server.questions) == (2 if mode == "good" else 1)


@pytest.mark.parametrize(
    ("lines", "messages"),
    [
        (
            'online = "nominatim"\n',
            [
                "yard.toml setting places.user_agent: is missing; nominatim asks who you are (a "
                "name and an address)"
            ],
        ),
        (
            'online = "opencage"\n',
            ["yard.toml setting places.key: is missing; opencage wants one"],
        ),
        (
            'online = "photon"\nserver = "here and there"\n',
            [
                "yard.toml setting places.server: 'here and there' is no address (like "
                "https://geocoder.example.org)"
            ],
        ),
        (
            "online = true\n",
            [
                "yard.toml setting places.online: 'true' is not text (put it in quotation marks)",
            ],
        ),
        (
            'onlin = "photon"\n',
            ["yard.toml setting places.onlin: is no key of [places]; did you mean 'online'?"],
        ),
    ],
)
def test_bad_settings_say_what_is_wrong(tmp_path: Path, lines: str, messages: list[str]) -> None:
    """Each fault names its key; nothing is asked."""
    text = {"yard.toml": GOOD["yard.toml"] + "[places]\n" + lines}
    assert list_faults(tmp_path, text) == messages


def test_an_unknown_geocoder_is_a_fault(tmp_path: Path) -> None:
    """A near match of geopy's short names is offered."""
    text = {"yard.toml": GOOD["yard.toml"] + '[places]\nonline = "nominatm"\n'}
    (message,) = list_faults(tmp_path, text)
    assert message.startswith("yard.toml setting places.online: 'nominatm' is none of nominatim, ")
    assert message.endswith("; did you mean 'nominatim'?")


def test_a_key_is_not_shown(tmp_path: Path) -> None:
    """A key that is of no use is a fault which does not print it."""
    lines = f'[places]\nonline = "nominatim"\nkey = "hush-hush"\n{AGENT}'
    (message,) = list_faults(tmp_path, {"yard.toml": GOOD["yard.toml"] + lines})
    assert message == "yard.toml setting places.key: is of no use: nominatim takes no key"


def test_venues_do_not_move_towns(tmp_path: Path) -> None:
    """A venue leaves every other place where it was."""
    with_venue = read_yard(write_folder(tmp_path, {**append("shows.csv"), "venues.csv": ARENA}))
    (tmp_path / "venues.csv").unlink()
    assert read_yard(tmp_path).roads.places == with_venue.roads.places
