"""A road server is asked briefly and once, its answers are kept, and nonsense is refused."""

from __future__ import annotations

import itertools
import json
import sys
import threading
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from types import SimpleNamespace

import pytest
from answer_shelf import Kept, Shelf
from road_server import RoadServer, serve_roads

from tests.roads.allowing import allow_server
from tripkit.roads import online_roads
from tripkit.roads.estimate import measure_geodesic_km
from tripkit.roads.online_roads import OnlineRoads
from tripkit.yard.errors import BadStore
from tripkit.yard.places import Place

NOON = datetime(2027, 3, 1, 12, tzinfo=UTC)
# Any three points of Kentucky and Tennessee will do.
PLACES = {
    "home": Place("home", 36.99, -86.44, country="US", region="KY"),
    "oak": Place("oak", 38.03, -84.49, country="US", region="KY"),
    "elm": Place("elm", 36.16, -86.78, country="US", region="TN"),
}
PAIRS = list(itertools.permutations(PLACES, 2))


@pytest.fixture
def server(monkeypatch) -> Iterator[RoadServer]:
    """A road server on this machine."""
    for name in ("http_proxy", "HTTP_PROXY", "all_proxy", "ALL_PROXY"):
        monkeypatch.delenv(name, raising=False)
    with serve_roads() as state:
        yield state


def ask(server: RoadServer, kind: str, shelf: Shelf | None = None, pairs=PAIRS):
    """The drives of that server, and the asker with what it has to say."""
    asker = OnlineRoads(f"{kind} {server.address}", shelf, lambda: NOON)
    return asker.find_drives(PLACES, pairs), asker


def measure_as_served_km(start: str, end: str) -> float:
    """Four thirds of the straight line, as the server of these tests answers."""
    return measure_geodesic_km(PLACES[start], PLACES[end]) * 4 / 3


@pytest.mark.parametrize("kind", ["osrm", "valhalla"])
@pytest.mark.parametrize("most_in_a_table", [100, 2])
def test_all_drives_come_as_one_table_or_one_by_one(server, kind, most_in_a_table) -> None:
    """Every pair gets the server's km; a server that makes no such table is asked route by route.

    Sources: OSRM HTTP API, table and route service: distances in metres, durations in seconds;
    Valhalla API: kilometres and seconds. At 60 km/h the server is slower than a lorry on main
    roads (88.5 km/h in speeds.toml), so its hours hold.
    """
    server.most_in_a_table = most_in_a_table
    drives, asker = ask(server, kind)
    assert set(drives) == set(PAIRS)
    for pair, drive in drives.items():
        assert drive.km == pytest.approx(measure_as_served_km(*pair), rel=1e-3)
        assert drive.hours is None
        assert drive.typical_hours == pytest.approx(drive.km / 60, rel=1e-3)
        assert str(drive.source) == f"the {kind} server at {server.address}, 2027-03-01"
        assert drive.error_percent > 0
    assert (asker.failure, asker.refused) == ("", [])
    # One table; or one table refused, and a route for each of the three ways.
    assert len(server.asked) == (1 if most_in_a_table == 100 else 1 + 3)


@pytest.mark.parametrize("kind", ["osrm", "valhalla"])
def test_answers_are_kept_with_source_and_date(server, kind) -> None:
    """The same question is asked once; later the shelf answers, with the day it was kept.

    Source: the interface as described.
    """
    shelf = Shelf()
    first, _ = ask(server, kind, shelf)
    server.code = 500
    later = OnlineRoads(f"{kind} {server.address}", shelf)
    assert later.find_drives(PLACES, PAIRS) == first
    assert later.failure == ""
    assert len(server.asked) == 1
    (kept,) = shelf.kept.values()
    assert (kept.source, kept.when) == (server.address, NOON)


def test_a_broken_shelf_is_asked_past(server) -> None:
    """What cannot be looked up, or is no answer, is asked for again.

    Source: the interface as described.
    """

    class Broken(Shelf):
        def find_answer(self, kind: str, question: str) -> Kept | None:
            raise BadStore("cannot be read")

    assert set(ask(server, "osrm", Broken())[0]) == set(PAIRS)
    shelf = Shelf()
    ask(server, "osrm", shelf)
    (key,) = shelf.kept
    shelf.kept[key] = Kept("[]", "somebody", NOON)
    assert set(ask(server, "osrm", shelf)[0]) == set(PAIRS)


def test_a_car_on_a_motorway_is_no_lorry(server) -> None:
    """A server's hours for a car are never less than a lorry's on main roads.

    Source: speeds.toml: 88.5 km/h in the United States.
    """
    server.measure = lambda a, b: (240.0, 240 / 130)
    drives, _ = ask(server, "osrm", pairs=[("home", "oak")])
    assert drives["home", "oak"].typical_hours == pytest.approx(240 / 88.5)


@pytest.mark.parametrize("kind", ["osrm", "valhalla"])
@pytest.mark.parametrize("most_in_a_table", [100, 2])
def test_no_way_is_no_drive_and_no_failure(server, kind, most_in_a_table) -> None:
    """Where the server knows no way the pair is left out, and the others are asked for.

    Sources: OSRM: null in a table, code NoRoute for a route; Valhalla: null, error 442.
    """
    usual = server.measure
    server.measure = lambda a, b: None if 38.03 in (a[0], b[0]) else usual(a, b)
    server.most_in_a_table = most_in_a_table
    drives, asker = ask(server, kind)
    assert set(drives) == {("home", "elm"), ("elm", "home")}
    assert (asker.failure, asker.refused) == ("", [])


# Between home and oak lie 207 km as the crow flies (geographiclib: 207.47).
@pytest.mark.parametrize(
    ("figures", "words"),
    [
        ((-300.0, 3.0), "-300 km in 3 h"),
        ((float("nan"), 3.0), "nan km in 3 h"),
        ((300.0, float("inf")), "300 km in inf h"),
        ((100.0, 1.0), "100 km, shorter than the straight line of 207 km"),
        ((2750.0, 30.0), "2750 km for a straight line of 207 km"),
        ((300.0, 0.5), "300 km in 0.5 h"),
        ((300.0, 400.0), "300 km in 400.0 h"),
        ((0.0, 0.0), "0 km, shorter than the straight line of 207 km"),
    ],
)
def test_what_cannot_be_true_is_refused_and_not_kept(server, figures, words) -> None:
    """A drive that is no number, too short, ten times too long, or too fast, is refused.

    Source: the straight line is the shortest way; a lorry does 3 to 150 km/h.
    """
    usual = server.measure
    home, oak = (36.99, -86.44), (38.03, -84.49)
    server.measure = lambda a, b: figures if (a, b) == (home, oak) else usual(a, b)
    shelf = Shelf()
    drives, asker = ask(server, "osrm", shelf)
    assert set(drives) == set(PAIRS) - {("home", "oak")}
    assert asker.refused == [f"home to oak: {words}"]
    assert not shelf.kept


@pytest.mark.parametrize("kind", ["osrm", "valhalla"])
@pytest.mark.parametrize(
    "text",
    [
        "",
        "<html>Welcome</html>",
        "[]",
        "{}",
        "null",
        '{"code": "Ok"}',
        '{"distances": [[0]], "durations": [[0]]}',
        '{"distances": 1, "durations": 2}',
        '{"distances": [[0, "1", 2], [0, 1, 2], [0, 1, 2]], "durations": [[0, 1, 2], [0, 1, 2], '
        "[0, 1, 2]]}",
        '{"sources_to_targets": [[{}]]}',
        '{"sources_to_targets": {"durations": []}}',
        "\ud800".encode("utf-8", "surrogatepass").decode("latin-1"),
    ],
)
def test_nonsense_ends_the_asking(server, kind, text) -> None:
    """An answer that is not of the documented form is a failure: nothing more is asked or kept.

    Source: the documented forms, see `road_server`.
    """
    server.spoil = lambda _: text
    shelf = Shelf()
    drives, asker = ask(server, kind, shelf)
    assert drives == {}
    assert asker.failure == f"the {kind} server at {server.address} answered nonsense"
    assert len(server.asked) == 1
    assert not shelf.kept
    assert asker.find_drives(PLACES, PAIRS) == {}
    assert len(server.asked) == 1


@pytest.mark.parametrize("code", [403, 404, 429, 500, 503])
def test_an_error_ends_the_asking(server, code) -> None:
    """A status that is neither an answer nor a refusal is a failure with its number.

    Source: RFC 9110, section 15: 4xx and 5xx are errors; both APIs refuse a question with 400.
    """
    server.code = code
    drives, asker = ask(server, "osrm")
    assert drives == {}
    assert asker.failure.endswith(f"did not answer (error {code})")
    assert len(server.asked) == 1


def test_a_server_that_is_down_says_so() -> None:
    """At a port where nobody listens the answer is a failure, at once.

    Source: TCP refuses the connection.
    """
    with serve_roads() as state:
        address = state.address
    with allow_server(address):
        asker = OnlineRoads(f"valhalla {address}")
    assert asker.find_drives(PLACES, PAIRS) == {}
    assert asker.failure == f"the valhalla server at {address} did not answer"


@pytest.mark.parametrize("one_by_one", [False, True])
def test_a_slow_server_is_not_waited_for(server, monkeypatch, one_by_one) -> None:
    """All questions of a reading together wait no longer than the limit; the rest is not asked.

    Source: this project's promise of 5 s, shortened here to 0.4 s.
    """
    monkeypatch.setattr(online_roads, "LONGEST_WAIT_SECONDS", 0.4)
    go_on = threading.Event()
    if one_by_one:
        # The refused table and the first routes come in time, but not all of them.
        server.most_in_a_table = 2
        server.before = lambda: time.sleep(0.15)
    else:
        server.before = lambda: go_on.wait(10)
    waited: list[float] = []
    join = threading.Thread.join

    def join_and_note(thread, timeout=None):
        if timeout is not None:
            waited.append(timeout)
        join(thread, timeout)

    monkeypatch.setattr(threading.Thread, "join", join_and_note)
    drives, asker = ask(server, "osrm")
    go_on.set()
    assert "did not answer within" in asker.failure
    assert set(drives) < set(PAIRS)
    assert waited
    assert all(left <= 0.4 for left in waited)
    assert waited == sorted(waited, reverse=True)


def test_an_engine_in_this_process_is_asked_the_same(server, tmp_path, monkeypatch) -> None:
    """With an extract and pyvalhalla no server is needed: the same questions go to its actor.

    Source: Valhalla's Python bindings 3.9: `get_config(tile_extract, tile_dir)`, `Actor.matrix` and
    `Actor.route` take and answer JSON text; the engine itself is not installed here.
    """
    extract = tmp_path / "tiles.tar"
    extract.write_bytes(b"")
    configs = []

    class Actor:
        def __init__(self, config) -> None:
            configs.append(config)

        def matrix(self, text: str) -> str:
            raise RuntimeError("Exceeded max locations")

        def route(self, text: str) -> str:
            return json.dumps(server.answer_valhalla("/route", text)[1])

    engine = SimpleNamespace(Actor=Actor, get_config=lambda **options: options)
    monkeypatch.setitem(sys.modules, "valhalla", engine)
    asker = OnlineRoads("valhalla tiles.tar", home=tmp_path)
    drives = asker.find_drives(PLACES, PAIRS)
    assert set(drives) == set(PAIRS)
    assert drives["home", "oak"].km == pytest.approx(measure_as_served_km("home", "oak"), rel=1e-3)
    assert configs[0] == {"tile_extract": str(extract), "tile_dir": ""}
    assert server.asked == []


def test_an_engine_or_extract_that_is_missing_says_so(tmp_path, monkeypatch) -> None:
    """Without the package, or without the file, the failure says which.

    Source: the interface as described.
    """
    asker = OnlineRoads("valhalla tiles.tar", home=tmp_path)
    assert asker.find_drives(PLACES, PAIRS) == {}
    assert asker.failure.endswith("tiles.tar did not answer")
    monkeypatch.setitem(sys.modules, "valhalla", None)
    (tmp_path / "tiles.tar").write_bytes(b"")
    asker = OnlineRoads("valhalla tiles.tar", home=tmp_path)
    assert asker.find_drives(PLACES, PAIRS) == {}
    assert "pyvalhalla is not installed" in asker.failure
