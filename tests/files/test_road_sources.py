"""One line of yard.toml chooses where the roads come from; distances.csv wins over all of them."""

from __future__ import annotations

import socket
import sys
import threading
from pathlib import Path

import pytest

from tests.build import tell_all
from tests.files.folders import GOOD, append, list_faults, write_folder
from tests.roads.allowing import allow_server
from tests.roads.road_server import serve_roads
from tripkit.files import read_yard
from tripkit.roads import network, online_roads
from tripkit.roads.network import RoadNetwork
from tripkit.yard.places import HOME

# By I-75 from exit 352 to 435 and I-10 from exit 296 to 203, numbered by miles (Florida DOT, from
# memory): 83 + 93 = 176 miles, 283 km, and a few km of town at either end.
OCALA_TO_TALLAHASSEE_KM = 290
SHOW = "Tallahassee, FL"
SERVERS = ("osrm", "valhalla")


def choose(source: str, *lines: str) -> dict[str, str]:
    """The good yard.toml with a road source."""
    return append("yard.toml", "[driving]", f'roads = "{source}"', *lines)


def shows(*places: str) -> dict[str, str]:
    """A calendar of a show at each of some places, without classes."""
    rows = [f'{n},"{place}",2027-04-07,2027-04-08' for n, place in enumerate(places)]
    text = "\n".join(["show,place,first_day,last_day", *rows, ""])
    return {"shows.csv": text, "classes.csv": "show,class,day,height_cm\n"}


@pytest.fixture
def forbid_sockets(monkeypatch) -> None:
    """Whoever opens a connection fails."""

    def refuse(*args: object, **options: object) -> None:
        raise AssertionError("a connection was opened")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)


@pytest.mark.usefixtures("forbid_sockets")
@pytest.mark.parametrize("lines", [{}, choose("network")])
def test_roads_come_from_the_network(tmp_path, lines) -> None:
    """Without a word, or by name, drives are the network's, with their error, and nobody is asked.

    Source: the yard folder's description; the length by exit numbers, see above.
    """
    yard = read_yard(write_folder(tmp_path, lines))
    drive = yard.roads.find_drive(HOME, SHOW)
    assert drive is not None
    assert drive == yard.roads.find_drive(SHOW, HOME)
    assert (str(drive.source), drive.error_percent, drive.hours) == ("road network", 10, None)
    assert drive.km == pytest.approx(OCALA_TO_TALLAHASSEE_KM, rel=0.04)
    assert not [remark for remark in tell_all(yard.remarks) if "road" in remark]


@pytest.mark.usefixtures("forbid_sockets")
def test_roads_may_be_estimated(tmp_path) -> None:
    """By name the drive is the straight line times the factor, with the estimate's error.

    Source: the handbook's roads. 19 % is the 90th percentile on eurodist, see there.
    """
    files = choose("estimate", "detour_factor = 1.5")
    drive = read_yard(write_folder(tmp_path, files)).roads.find_drive(HOME, SHOW)
    assert drive is not None
    assert (str(drive.source), drive.error_percent) == ("estimate: straight line x 1.5", 19)


@pytest.mark.parametrize(
    ("written", "fault"),
    [
        ("rails", "is none of network, estimate, osrm, valhalla"),
        ("network please", "must be 'network' alone"),
        ("osrm", "must give the server's address (like osrm http://localhost:5000)"),
        ("valhalla", "must give the server's address (like valhalla http://localhost:5000)"),
        ("osrm localhost:5000", "must give the server's address"),
        ("osrm file:///etc/passwd", "must give the server's address"),
        ("osrm http://", "must give the server's address"),
        ("osrm http://pc:port", "must give the server's address"),
        ("osrm http://pc:99999", "must give the server's address"),
        ("osrm http://a b", "must give the server's address"),
        ("valhalla ftp://pc", "must give the server's address"),
    ],
)
def test_a_wrong_source_is_a_fault(tmp_path, written, fault) -> None:
    """What is no road source, or lacks its address, is told with the key and what was wanted.

    Source: the yard folder's description.
    """
    (words,) = list_faults(tmp_path, choose(written))
    assert words.startswith(f"yard.toml setting driving.roads: {written!r} {fault}")


def test_the_network_is_read_only_when_asked(tmp_path, monkeypatch) -> None:
    """Where every pair is measured, or only guessed at, no road is asked of the network's file.

    Whether a measured way is odd is asked of it, and left out here. Source: this project's promise.
    """
    monkeypatch.setattr(network, "_read_roads", lambda path: pytest.fail("the file was read"))
    monkeypatch.setattr(network, "open_network", RoadNetwork)
    monkeypatch.setattr("tripkit.files.reader.collect_oddities", lambda *given: ())
    measured = {"distances.csv": f'from,to,km,hours\nhome,"{SHOW}",260,3.5\n'}
    roads = read_yard(write_folder(tmp_path / "a", measured)).roads
    assert roads.drives[HOME, SHOW].km == 260
    read_yard(write_folder(tmp_path / "b", choose("estimate")))


def test_guesses_are_remarked_on(tmp_path) -> None:
    """Australia has no network: the way to Hobart is a straight line across the sea, and is told.

    Source: any atlas.
    """
    toml = GOOD["yard.toml"].replace('"Ocala, FL"', '"Sydney"\ncountry = "AU"')
    files = {**shows("Hobart, TAS", SHOW), "yard.toml": toml}
    yard = read_yard(write_folder(tmp_path, files))
    (remark,) = (remark for remark in tell_all(yard.remarks) if "Hobart" in remark)
    assert remark == (
        "shows.csv: no main roads are known from home to 'Hobart, TAS': the way is the straight "
        "line x 1.25, even across water; write your own into distances.csv"
    )


def test_a_place_across_water_from_its_road_is_in_doubt(tmp_path) -> None:
    """Nantucket has a drive, as if there were no sea; a remark says so, a row of the yard ends it.

    Source: any atlas: no road leads there, and its ferry is not among the network's links.
    """
    files = {**shows("Nantucket, MA", SHOW), "yard.toml": GOOD["yard.toml"]}
    yard = read_yard(write_folder(tmp_path / "a", files))
    (remark,) = (remark for remark in tell_all(yard.remarks) if "Nantucket" in remark)
    assert remark == (
        "shows.csv: 'Nantucket, MA' seems to lie across water from the nearest main road known; "
        "if no road leads there, write the way with its ferry, or 'closed', into distances.csv"
    )
    files["distances.csv"] = 'from,to,km,hours\nhome,"Nantucket, MA",900,14\n'
    yard = read_yard(write_folder(tmp_path / "b", files))
    assert not [remark for remark in tell_all(yard.remarks) if "Nantucket" in remark]


def test_an_island_is_remarked_on_and_asked_for(tmp_path) -> None:
    """A place that no road reaches has no drive, and a remark asks for a row of distances.csv.

    Source: any atlas: no ferry from the mainland to Visby is among the network's links.
    """
    files = {**shows("Visby, SE", SHOW), "yard.toml": GOOD["yard.toml"]}
    yard = read_yard(write_folder(tmp_path / "a", files))
    assert yard.roads.find_drive(HOME, "Visby, SE") is None
    (remark,) = (
        remark for remark in tell_all(yard.remarks) if "Visby" in remark and "road" in remark
    )
    assert remark == (
        "shows.csv: no road or ferry is known from home to 'Visby, SE'; write the way into "
        "distances.csv"
    )
    # A row answers it: with its km, with hours alone, or that there is none.
    for row, km in (("9000,200", 9000), (",200", None), ("closed,", 0)):
        files["distances.csv"] = f'from,to,km,hours\nhome,"Visby, SE",{row}\n'
        folder = tmp_path / f"{km}"
        yard = read_yard(write_folder(folder, files))
        assert not [remark for remark in tell_all(yard.remarks) if "no road" in remark]
        drive = yard.roads.find_drive(HOME, "Visby, SE")
        assert (drive is None) == (row == "closed,")
        if drive is not None:
            assert drive.hours == 200
            assert km is None or drive.km == km


def test_shows_of_one_town_are_near_each_other(tmp_path) -> None:
    """Two spellings of a town are 0 km apart, and nothing is said about it; no hours either.

    Source: the same point.
    """
    files = shows("Tallahassee, FL", "Tallahassee, Florida")
    yard = read_yard(write_folder(tmp_path, files))
    places = {show.place_key for show in yard.shows}
    for start in places:
        for end in places:
            drive = yard.roads.find_drive(start, end)
            assert drive is not None
            assert (drive.km, drive.compute_hours(None)) == (0, 0)
    assert not [remark for remark in tell_all(yard.remarks) if "km" in remark]


def test_a_speed_set_by_the_yard_wins_over_the_roads(tmp_path) -> None:
    """Hours are km over the lorry's speed, else the yard's, else what is typical of the roads.

    Source: the yard folder's description. By hand: 70 km/h of the good folder's lorry.
    """
    files = choose("network", "speed_kmh = 50")
    yard = read_yard(write_folder(tmp_path / "a", files))
    drive = yard.roads.find_drive(HOME, SHOW)
    assert drive is not None
    assert yard.find_hours(HOME, SHOW) == drive.km / 50
    assert yard.find_hours(HOME, SHOW, yard.vehicles[0]) == drive.km / 70
    yard = read_yard(write_folder(tmp_path / "b"))
    assert yard.driving.speed_kmh is None
    assert yard.find_hours(HOME, SHOW) == drive.typical_hours
    assert yard.find_hours(HOME, SHOW, yard.vehicles[0]) == drive.km / 70
    assert yard.find_hours(HOME, "nowhere") is None


def test_a_speed_above_the_law_is_remarked_on(tmp_path) -> None:
    """The yard's speed does as it was told; above the limit of its country a remark says so.

    Source: 80 km/h for lorries over 3.5 t, StVO section 18 (5), from memory.
    """
    aachen = append("yard.toml", "[driving]", "speed_kmh = 95")
    aachen["yard.toml"] = aachen["yard.toml"].replace("Ocala, FL", "Aachen, DE")
    yard = read_yard(write_folder(tmp_path, {**aachen, **shows("Köln, DE")}))
    assert yard.driving.speed_kmh == 95
    (remark,) = (remark for remark in tell_all(yard.remarks) if "km/h" in remark)
    assert remark.startswith(
        "yard.toml: a speed of 95 km/h is above the 80 km/h of a heavy lorry in DE"
    )


@pytest.mark.parametrize("kind", SERVERS)
def test_a_server_answers_and_its_answers_are_kept(tmp_path, monkeypatch, kind) -> None:
    """Drives are the server's, with source and date; read again, the store answers in its place.

    Source: the yard folder's description; the server answers 4/3 of the straight line.
    """
    monkeypatch.delenv("http_proxy", raising=False)
    with serve_roads() as server:
        folder = write_folder(tmp_path, choose(f"{kind} {server.address}/"))
        yard = read_yard(folder)
        drive = yard.roads.find_drive(HOME, SHOW)
        assert drive is not None
        assert str(drive.source).startswith(f"the {kind} server at {server.address}, 20")
        assert len(server.asked) == 1
    # It is gone now.
    again = read_yard(folder)
    assert again.roads == yard.roads
    assert tell_all(again.remarks) == tell_all(yard.remarks)


@pytest.mark.parametrize("kind", SERVERS)
@pytest.mark.parametrize(
    ("trouble", "words"),
    [
        ("down", "did not answer; 2 of 2 drives are from the road network instead"),
        ("slow", "did not answer within 0 s; 2 of 2 drives are from the road network instead"),
        ("nonsense", "answered nonsense; 2 of 2 drives are from the road network instead"),
        ("ill", "did not answer (error 500); 2 of 2 drives are from the road network instead"),
        ("untrue", "answered what cannot be true (home to Tallahassee, FL: 1 km, shorter than"),
    ],
)
def test_a_server_in_trouble_is_fallen_back_from(
    tmp_path, monkeypatch, kind, trouble, words
) -> None:
    """Down, slow, ill, or answering nonsense: the network's drives, and a remark with the reason.

    Source: this project's promise; five seconds of patience are shortened to a fifth of one.
    """
    monkeypatch.delenv("http_proxy", raising=False)
    monkeypatch.setattr(online_roads, "LONGEST_WAIT_SECONDS", 0.2 if trouble == "slow" else 5.0)
    with serve_roads() as server:
        go_on = threading.Event()
        if trouble == "slow":
            server.before = lambda: go_on.wait(5)
        elif trouble == "nonsense":
            server.spoil = lambda text: text[: len(text) // 2]
        elif trouble == "ill":
            server.code = 500
        elif trouble == "untrue":
            server.measure = lambda a, b: (1.0, 1.0)
        address = "http://127.0.0.1:9" if trouble == "down" else server.address
        with allow_server(address):
            yard = read_yard(write_folder(tmp_path, choose(f"{kind} {address}")))
        go_on.set()
    drive = yard.roads.find_drive(HOME, SHOW)
    assert drive is not None
    assert str(drive.source) == "road network"
    (remark,) = (remark for remark in tell_all(yard.remarks) if address in remark)
    assert remark.startswith(f"yard.toml: the {kind} server at {address} ")
    assert words in remark


@pytest.mark.usefixtures("forbid_sockets")
@pytest.mark.parametrize(
    ("source", "named"),
    [
        ("osrm http://127.0.0.1:9", "http://127.0.0.1:9"),
        ("valhalla https://roads.example/eu", "https://roads.example/eu"),
        ("valhalla ../tiles.tar", "../tiles.tar"),
        ("valhalla /srv/tiles", "/srv/tiles"),
    ],
)
def test_a_server_that_the_machine_does_not_allow_is_never_asked(tmp_path, source, named) -> None:
    """Whoever wrote yard.toml chooses no address for the machine that reads it; the drives are the
    network's, and a remark says what whoever runs it can do. Files beside the yard need no leave.

    Source: this project's promise.
    """
    with allow_server("http://127.0.0.1:5000"):
        yard = read_yard(write_folder(tmp_path, choose(source)))
    drive = yard.roads.find_drive(HOME, SHOW)
    assert drive is not None
    assert str(drive.source) == "road network"
    (remark,) = (remark for remark in tell_all(yard.remarks) if "is not asked" in remark)
    assert named in remark
    assert "allows it by TRIPKIT_SERVERS=" in remark


def test_an_engine_is_looked_for_beside_the_yard(tmp_path, monkeypatch) -> None:
    """A path of tiles is taken from the yard's folder; without the package a remark says so.

    Source: the yard folder's description.
    """
    monkeypatch.setitem(sys.modules, "valhalla", None)
    folder = write_folder(tmp_path, choose("valhalla tiles.tar"))
    yard = read_yard(folder)
    (remark,) = (remark for remark in tell_all(yard.remarks) if "tiles.tar" in remark)
    assert "did not answer" in remark
    Path(folder / "tiles.tar").write_bytes(b"")
    (remark,) = (remark for remark in tell_all(read_yard(folder).remarks) if "tiles.tar" in remark)
    assert "pyvalhalla is not installed" in remark


@pytest.mark.parametrize("source", ["network", "estimate", "osrm http://127.0.0.1:9"])
def test_what_the_yard_measured_wins(tmp_path, source) -> None:
    """A row of distances.csv holds whatever the source, and only the other pairs are asked for.

    Source: the yard folder's description.
    """
    files = {**choose(source), "distances.csv": f'from,to,km,hours\nhome,"{SHOW}",250,\n'}
    yard = read_yard(write_folder(tmp_path, files))
    drive = yard.roads.find_drive(HOME, SHOW)
    assert drive is not None
    assert (drive.km, str(drive.source), drive.error_percent) == (250, "measured by the yard", 0)
    assert not [remark for remark in tell_all(yard.remarks) if "server" in remark]
