"""An online geocoder is asked rarely, briefly and only once, and is never believed blindly."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest
from answer_shelf import Kept, Shelf
from geocoding_server import GeocodingServer, make_nominatim_place, serve_geocoder
from geopy.geocoders import SERVICE_TO_GEOCODER

from tests.roads.allowing import allow_server
from tripkit.roads import online_places
from tripkit.roads.gazetteer import open_gazetteer
from tripkit.roads.online_places import OnlinePlaces
from tripkit.roads.services import OnlineService, list_services
from tripkit.yard.errors import BadStore

NOON = datetime(2027, 3, 1, 12, tzinfo=UTC)
AGENT = "Mill Lane yard, post@example.org"


@pytest.fixture
def server(monkeypatch) -> Iterator[GeocodingServer]:
    """A geocoder on this machine, no pause between questions, half a second of patience."""
    for name in ("http_proxy", "HTTP_PROXY", "all_proxy", "ALL_PROXY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(online_places, "SECONDS_BETWEEN_QUESTIONS", 0.0)
    with serve_geocoder() as state:
        yield state


def make_online(server: GeocodingServer, shelf: Shelf | None = None, now=lambda: NOON):
    """The nominatim of that server."""
    service = OnlineService("nominatim", server.address, AGENT)
    return OnlinePlaces(service, open_gazetteer(), shelf, now)


def test_a_place_is_found_and_kept(server) -> None:
    """The answer becomes a place with the nearest town's zone; asked again, the shelf answers.

    Source: Nominatim's documentation of Search and Output; the place is invented, near Bowling
    Green, Kentucky, which keeps central time (49 CFR 71.5).
    """
    server.places["Larkpenny Park, KY"] = [make_nominatim_place("Larkpenny Park", 36.95, -86.5)]
    shelf = Shelf()
    (place,) = make_online(server, shelf).find_places("Larkpenny Park, KY")
    assert (place.name, place.latitude, place.longitude) == ("Larkpenny Park", 36.95, -86.5)
    assert (place.timezone, place.country, place.region) == ("America/Chicago", "US", "KY")
    later = make_online(server, shelf, lambda: NOON + timedelta(days=900))
    assert later.find_places("Larkpenny Park, KY") == (place,)
    assert server.questions == ["Larkpenny Park, KY"]
    assert server.paths == ["/search"]
    assert server.user_agents == [AGENT]
    (kept,) = shelf.kept.values()
    assert kept.when == NOON
    assert kept.source == server.address.removeprefix("http://")
    words = later.describe_source("Larkpenny Park, KY")
    assert "2027-03-01" in words
    assert "© OpenStreetMap contributors" in words


def test_several_places_of_one_name_all_answer(server) -> None:
    """Every candidate comes back, so that the yard can be asked which is meant.

    Source: the interface as described.
    """
    server.places["Larkpenny"] = [
        make_nominatim_place("Larkpenny, KY", 36.95, -86.5),
        make_nominatim_place("Larkpenny, OH", 41.4, -83.6),
    ]
    found = make_online(server).find_places("Larkpenny")
    assert [place.region for place in found] == ["KY", "OH"]


def test_a_miss_is_asked_again_after_a_week(server) -> None:
    """A name nobody knows is kept as such for seven days.

    Source: this project's choice.
    """
    shelf = Shelf()
    now = NOON
    online = make_online(server, shelf, lambda: now)
    assert online.find_places("Larkpenny") == ()
    now = NOON + timedelta(days=6)
    assert online.find_places("Larkpenny") == ()
    assert len(server.questions) == 1
    now = NOON + timedelta(days=8)
    assert online.find_places("Larkpenny") == ()
    assert len(server.questions) == 2
    assert online.failure == ""


@pytest.mark.parametrize(
    "point",
    [
        (0.1, 0.1),  # the Gulf of Guinea
        (30.0, -45.0),  # the middle of the Atlantic
        (90, 0),
    ],
)
def test_a_place_far_from_any_town_is_refused(server, point) -> None:
    """No show is held in the sea.

    Source: any atlas.
    """
    server.places["Larkpenny"] = [make_nominatim_place("Larkpenny", *point)]
    online = make_online(server)
    assert online.find_places("Larkpenny") == ()
    assert online.failure == ""


def test_a_place_in_another_country_is_refused(server) -> None:
    """Where the country is told, a place whose nearest town lies elsewhere is none.

    Source: Aachen lies in Germany, Bowling Green in the United States.
    """
    server.places["Larkpenny, DE"] = [
        make_nominatim_place("Larkpenny", 36.95, -86.5),
        make_nominatim_place("Larkpenny", 50.78, 6.08),
    ]
    assert [place.country for place in make_online(server).find_places("Larkpenny", "DE")] == ["DE"]


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"<html>busy</html>",
        b"[[]]",
        b'["Larkpenny"]',
        b'{"answer": 42}',
        b'[{"lat": "north", "lon": "west"}]',
        b'[{"lat": "NaN", "lon": "1"}]',
        b'[{"lat": "91", "lon": "1"}]',
        b'[{"display_name": "Larkpenny"}]',
        b'[{"lat": "0", "lon": "0.0"}]',
        b'{"error": "Unknown parameter"}',
        b"\xff\xfe",
        b"[" * 100_000,
    ],
)
def test_nonsense_is_a_failure_in_words(server, body) -> None:
    """What is no list of places ends the questions, and nothing of it is kept.

    Source: Nominatim's documentation of Output: what an answer has to look like.
    """
    server.mode, server.body = "nonsense", body
    shelf = Shelf()
    online = make_online(server, shelf)
    assert online.find_places("Larkpenny") == ()
    assert server.address.removeprefix("http://") in online.failure
    assert online.find_places("Larkpenny Park") == ()
    assert server.questions == ["Larkpenny"]
    assert shelf.kept == {}


@pytest.mark.parametrize("status", [403, 404, 429, 500, 503])
def test_an_error_is_a_failure_in_words(server, status) -> None:
    """A server that refuses is asked no second time.

    Source: RFC 9110, section 15.
    """
    server.mode, server.status = "error", status
    online = make_online(server)
    assert online.find_places("Larkpenny") == ()
    assert online.failure.endswith(f"did not answer (error {status})")
    assert online.find_places("Larkpenny Park") == ()
    assert len(server.questions) == 1


@pytest.mark.parametrize("mode", ["slow", "dripping"])
def test_a_slow_server_is_given_up(server, monkeypatch, mode) -> None:
    """The reader goes on while the server still sits on its answer; five seconds at most.

    Source: this project's promise; the test waits half a second instead.
    """
    assert online_places.LONGEST_WAIT_SECONDS == 5
    monkeypatch.setattr(online_places, "LONGEST_WAIT_SECONDS", 0.5)
    server.mode = mode
    online = make_online(server)
    assert online.find_places("Larkpenny") == ()
    assert not server.released.is_set()
    assert online.failure.endswith("did not answer")
    assert online.find_places("Larkpenny Park") == ()
    assert len(server.questions) == 1


def test_an_endless_reply_is_cut_off(server) -> None:
    """A reply of more than a million bytes is nonsense.

    Source: this project's limit; a hundred times Nominatim's longest answers.
    """
    server.mode = "endless"
    online = make_online(server)
    assert online.find_places("Larkpenny") == ()
    assert online.failure.endswith("answered nonsense")


def test_a_server_that_is_not_there() -> None:
    """Where nobody listens nothing is found, and the words say so.

    Source: port 9 (discard) is free on this machine.
    """
    online = OnlinePlaces(OnlineService("photon", "http://127.0.0.1:9"), open_gazetteer())
    with allow_server("http://127.0.0.1:9"):
        assert online.find_places("Larkpenny") == ()
    assert online.failure == "the online geocoder at 127.0.0.1:9 did not answer"


def test_a_spoilt_shelf_is_asked_past(server) -> None:
    """What was kept and cannot be read any more is asked for anew.

    Source: the interface as described.
    """
    server.places["Larkpenny"] = [make_nominatim_place("Larkpenny", 36.95, -86.5)]
    for text in ("", "{}", "[[1]]", '[["a", "b"]]', "[[99, 0]]", "[[null, 1]]"):
        shelf = Shelf()
        question = json.dumps(["nominatim", server.address.removeprefix("http://"), "Larkpenny"])
        shelf.keep_answer("place", question, text, "x", NOON)
        assert len(make_online(server, shelf).find_places("Larkpenny")) == 1

    class Broken(Shelf):
        def find_answer(self, kind: str, question: str) -> Kept | None:
            raise BadStore("tripkit.sqlite: is no database")

    assert len(make_online(server, Broken()).find_places("Larkpenny")) == 1
    assert len(server.questions) == 7


def test_photon_speaks_its_own_format(server) -> None:
    """Another geocoder of geopy needs only its name and address.

    Source: Photon's documentation, https://github.com/komoot/photon: GeoJSON, longitude first.
    """
    feature = {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [-86.5, 36.95]},
        "properties": {"name": "Larkpenny Park", "country": "United States"},
    }
    server.mode = "nonsense"
    server.body = json.dumps({"type": "FeatureCollection", "features": [feature]}).encode()
    online = OnlinePlaces(OnlineService("photon", server.address), open_gazetteer())
    (place,) = online.find_places("Larkpenny Park")
    assert (place.latitude, place.longitude) == (36.95, -86.5)
    assert server.paths == ["/api"]


def test_one_question_a_second() -> None:
    """The pause is a second, and a question that failed is not put again.

    Source: Nominatim usage policy: an absolute maximum of 1 request per second.
    """
    asker = online_places._make_asker(OnlineService("nominatim", user_agent=AGENT))
    assert asker.min_delay_seconds == 1
    assert asker.max_retries == 0
    # Two readings of one process share the pause.
    assert online_places._make_asker(OnlineService("nominatim", user_agent=AGENT)) is asker


@pytest.mark.parametrize(
    ("service", "lacks"),
    [
        (OnlineService("nominatim", user_agent=AGENT), []),
        (OnlineService("nominatim"), ["user_agent"]),
        (OnlineService("nominatim", user_agent="Hof Müller"), ["user_agent"]),
        (OnlineService("nominatim", user_agent=AGENT, key="x"), ["key"]),
        (OnlineService("photon"), []),
        (OnlineService("photon", "https://places.example.org/photon"), []),
        (OnlineService("photon", "places.example.org:8080"), []),
        (OnlineService("photon", "ftp://example.org"), ["server"]),
        (OnlineService("photon", "http://"), ["server"]),
        (OnlineService("photon", "http://a b"), ["server"]),
        (OnlineService("photon", "http://example.org:port"), ["server"]),
        (OnlineService("pelias"), ["server"]),
        (OnlineService("pelias", "pelias.example.org"), []),
        (OnlineService("opencage"), ["key"]),
        (OnlineService("opencage", key="x"), []),
        (OnlineService("google"), ["key"]),
        (OnlineService("geonames"), ["key"]),
        (OnlineService("geonames", key="yard"), []),
        (OnlineService("liveaddress"), ["online"]),
    ],
)
def test_what_a_service_lacks(service, lacks) -> None:
    """Address, key and sender are wanted where the service needs them, and refused elsewhere.

    Source: geopy's documentation of each geocoder.
    """
    assert [key for key, _ in service.list_lacks()] == lacks


def test_every_service_without_lacks_can_be_made() -> None:
    """Whatever passes the check can be asked: geopy makes a geocoder of it without the network.

    Source: geopy's list of geocoders.
    """
    assert set(list_services()) == set(SERVICE_TO_GEOCODER)
    made = 0
    for name in list_services():
        for server, key in (("", ""), ("", "k"), ("example.org", ""), ("example.org", "k")):
            service = OnlineService(name, server, AGENT, key)
            assert service.host
            if not list(service.list_lacks()):
                assert online_places._make_asker(service)
                made += 1
    assert made >= len(list_services()) - 1
