"""Circuits to and from JSON: as the published format has it, lossless, whole or not at all."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.build import make_horse, make_show, make_yard
from tripkit.files import read_circuits, write_circuits
from tripkit.files.nodes import LARGEST_JSON_BYTES
from tripkit.yard.circuit import (
    Circuit,
    Day,
    DroppedEntry,
    Leg,
    Outing,
    RiderWay,
    Stop,
    Totals,
    number_driver,
)
from tripkit.yard.errors import BadCircuits, BadValue, CannotWrite

WEST, EAST = ZoneInfo("America/Chicago"), ZoneInfo("America/New_York")


def make_circuit(**changes) -> Circuit:
    """One circuit of the yard of `tests.build`: Dancer at S1, driven there by night."""
    outing = Outing(
        "Dancer",
        "S1",
        "Ana",
        ("C1", "C2"),
        date(2027, 4, 8),
        date(2027, 4, 10),
        date(2027, 4, 6),
        date(2027, 4, 11),
        20.5,
        123456,
    )
    stops = (
        Stop("water", datetime(2027, 4, 5, 11, 0, tzinfo=WEST), 30, "Évreux"),
        Stop("overnight", datetime(2027, 4, 5, 17, 15, tzinfo=WEST), 825, "O'Fallon"),
    )
    leg = Leg(
        "Lorry",
        "home",
        "S1",
        datetime(2027, 4, 5, 7, 0, tzinfo=WEST),
        datetime(2027, 4, 6, 9, 30, tzinfo=EAST),
        412.3,
        5.6,
        (number_driver(1),),
        ("Dancer",),
        stops,
    )
    circuit = Circuit(
        name="Most worth",
        goal="most worth",
        status="proved best",
        objective=20.5,
        bound=20.5,
        seconds=1.25,
        totals=Totals(20.5, 123456, 412.3, 5.6, 5, 1, ("Dancer at S1",), None, 2),
        outings=(outing,),
        legs=(leg,),
        days=(
            Day("Dancer", date(2027, 4, 5), "road", "travel"),
            Day("Dancer", date(2027, 4, 8), "S1", "show", ("vet check", "turnout")),
        ),
        dropped_entries=(DroppedEntry("Dancer", "S1", "C1", "not cleared", 5000, "cleared"),),
        aims_proved=True,
        point_price_cents=3_550,
        remarks=("Dancer has nobody to school it on 2027-05-01",),
        rider_ways=(RiderWay("Ana", "home", "S1", date(2027, 4, 7), "car", 411.5),),
        dropped_proved=True,
    )
    return replace(circuit, **changes)


NONE = Circuit("Tour", "tour Elm", "none exists", seconds=0.1, reasons=("no show of the tour",))


@pytest.mark.parametrize("status", ["none exists", "none in time"])
def test_a_circuit_without_a_plan_always_says_why(tmp_path: Path, status: str) -> None:
    """Format of circuits: none exists and none in time carry reasons, if the planner gave none."""
    write_circuits(tmp_path / "c.json", make_yard(), [replace(NONE, status=status, reasons=())])
    written = json.loads((tmp_path / "c.json").read_text(encoding="utf-8"))["circuits"][0]
    assert list(written)[-1] == "reasons"
    (reason,) = written["reasons"]
    assert ("--seconds" in reason) == (status == "none in time")


def test_seconds_are_written_to_the_millisecond(tmp_path: Path) -> None:
    """The clock says more digits than it knows: three decimals, as a clock has them."""
    found = [make_circuit(seconds=1.23456789), replace(NONE, seconds=0.1 + 0.2)]
    write_circuits(tmp_path / "c.json", make_yard(), found)
    written = json.loads((tmp_path / "c.json").read_text(encoding="utf-8"))["circuits"]
    assert [circuit["seconds"] for circuit in written] == [1.235, 0.3]


def test_writes_the_keys_of_the_format_in_its_order(tmp_path: Path) -> None:
    """Keys, their order and the form of values are those of the format of circuits (by hand)."""
    write_circuits(tmp_path / "c.json", make_yard(), [make_circuit(), NONE])
    text = (tmp_path / "c.json").read_text(encoding="utf-8")
    assert text.endswith("}\n")
    assert "Évreux" in text
    document = json.loads(text)
    assert list(document) == ["format", "yard", "season", "circuits"]
    assert document["format"] == "tripkit circuits 1"
    assert document["season"] == ["2027-03-01", "2027-06-06"]
    first, second = document["circuits"]
    keys = ["name", "goal", "status", "leaves_out", "objective", "bound", "seconds", "totals"]
    keys += ["aims_proved", "point_price", "remarks", "rider_ways", "outings", "legs", "days"]
    keys += ["dropped_entries", "dropped_proved"]
    assert list(first) == keys
    assert list(second) == [*keys, "reasons"]
    assert (second["objective"], second["bound"], second["outings"]) == (None, None, [])
    assert list(first["totals"]) == [
        "worth",
        "cost_cents",
        "road_km",
        "horse_road_hours",
        "nights_away",
        "outings",
        "aims_met",
        "spare_days",
        "missing_outings",
    ]
    assert first["totals"]["spare_days"] is None
    assert (first["leaves_out"], first["aims_proved"], first["dropped_proved"]) == ([], True, True)
    assert (first["point_price"], second["point_price"]) == (35.5, None)
    assert first["remarks"] == ["Dancer has nobody to school it on 2027-05-01"]
    assert [list(way.items()) for way in first["rider_ways"]] == [
        [
            *[("rider", "Ana"), ("from", "home"), ("to", "S1"), ("date", "2027-04-07")],
            *[("by", "car"), ("km", 411.5)],
        ]
    ]
    assert list(first["outings"][0].items()) == [
        ("horse", "Dancer"),
        ("show", "S1"),
        ("rider", "Ana"),
        ("classes", ["C1", "C2"]),
        ("first_day", "2027-04-08"),
        ("last_day", "2027-04-10"),
        ("arrive", "2027-04-06"),
        ("leave", "2027-04-11"),
        ("worth", 20.5),
        ("cost_cents", 123456),
    ]
    # In April Chicago is 5 and New York 4 hours behind UTC (daylight saving time).
    leg = first["legs"][0]
    assert list(leg) == [
        *["vehicle", "from", "to", "depart", "arrive", "km", "hours", "drivers", "horses"],
        "stops",
    ]
    assert leg["depart"] == "2027-04-05T07:00-05:00"
    assert leg["arrive"] == "2027-04-06T09:30-04:00"
    assert list(leg["stops"][0].items()) == [
        ("kind", "water"),
        ("start", "2027-04-05T11:00-05:00"),
        ("minutes", 30),
        ("near", "Évreux"),
    ]
    assert list(first["days"][1].items()) == [
        ("horse", "Dancer"),
        ("date", "2027-04-08"),
        ("at", "S1"),
        ("does", "show"),
        ("also", ["vet check", "turnout"]),
    ]
    assert first["dropped_entries"] == [
        {
            "horse": "Dancer",
            "show": "S1",
            "class": "C1",
            "rule": "cleared",
            "why": "not cleared",
            "cents": 5000,
        }
    ]


def test_reads_back_what_was_written(tmp_path: Path) -> None:
    """A circuit comes back equal, its times the same instants with the same local clock."""
    circuits = (make_circuit(), NONE)
    path = tmp_path / "c.json"
    write_circuits(path, make_yard(), circuits)
    again = read_circuits(path, make_yard())
    assert again == circuits == read_circuits(str(path))
    leg = again[0].legs[0]
    assert leg.arrive.utcoffset() == timedelta(hours=-4)
    assert leg.arrive.replace(tzinfo=None) == datetime(2027, 4, 6, 9, 30)
    before = path.read_bytes()
    write_circuits(path, make_yard(), again)
    assert path.read_bytes() == before


FINITE = st.floats(-(10**12), 10**12)
ROADS = st.floats(0, 40_000)
MOMENTS = st.builds(
    lambda day, minute, offset: (
        datetime(2027, 1, 1, tzinfo=timezone(timedelta(minutes=offset)))
        + timedelta(days=day, minutes=minute)
    ),
    st.integers(0, 364),
    st.integers(0, 1439),
    st.integers(-14 * 60, 14 * 60),
)
NAMES = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=20).filter(str.strip)


@settings(
    max_examples=80,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    *(FINITE, FINITE, ROADS, MOMENTS),
    *(st.integers(0, 10**12), NAMES, st.none() | st.integers(-99, 99)),
)
def test_any_circuit_survives_the_round_trip(
    tmp_path: Path,
    number: float,
    other: float,
    km: float,
    moment: datetime,
    cents: int,
    name: str,
    spare,
) -> None:
    """Numbers, names, offsets and instants come back exactly, whatever they are."""
    leg = replace(make_circuit().legs[0], depart=moment, arrive=moment, km=km)
    circuit = make_circuit(
        name=name,
        objective=number,
        bound=other,
        totals=Totals(number, cents, other, spare_days=spare),
        legs=(leg,),
        reasons=(name,),
    )
    write_circuits(tmp_path / "c.json", make_yard(), [circuit])
    (again,) = read_circuits(tmp_path / "c.json")
    assert again == circuit
    assert again.legs[0].depart.isoformat() == moment.isoformat()


@pytest.mark.parametrize(
    ("moment", "message"),
    [
        (datetime(2027, 4, 5, 7, 0), "2027-04-05 07:00:00 has no time zone"),
        (
            datetime(2027, 4, 5, 7, 0, 30, tzinfo=WEST),
            "2027-04-05 07:00:30-05:00 is not a time to the minute",
        ),
    ],
)
def test_refuses_times_it_would_lose(tmp_path: Path, moment: datetime, message: str) -> None:
    """A naive time or one with seconds cannot be written without loss, and nothing is written."""
    circuit = make_circuit(legs=(replace(make_circuit().legs[0], depart=moment),))
    with pytest.raises(BadValue) as caught:
        write_circuits(tmp_path / "c.json", make_yard(), [circuit])
    assert str(caught.value) == message
    assert list(tmp_path.iterdir()) == []


def test_refuses_numbers_that_json_has_not(tmp_path: Path) -> None:
    """NaN and infinity are no JSON (RFC 8259, section 6)."""
    with pytest.raises(BadValue, match="nan is not a finite number"):
        write_circuits(tmp_path / "c.json", make_yard(), [make_circuit(seconds=float("nan"))])


def test_a_folder_that_cannot_be_written_to(tmp_path: Path) -> None:
    """A path below a regular file, a missing folder, and a folder as the file."""
    (tmp_path / "file").write_text("x")
    for path, reason in (
        (tmp_path / "file" / "c.json", "cannot be written (Not a directory)"),
        (tmp_path / "none" / "c.json", "cannot be written (No such file or directory)"),
        (tmp_path, "is a folder, not a file"),
    ):
        with pytest.raises(CannotWrite) as caught:
            write_circuits(path, make_yard(), [])
        assert str(caught.value) == f"{path}: {reason}"
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


@pytest.mark.parametrize("step", ["open", "fsync", "replace"])
def test_a_failed_write_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    """Whichever step fails, the old file stands as it was and nothing else is left behind."""
    path = tmp_path / "c.json"
    write_circuits(path, make_yard(), [NONE])
    before = path.read_bytes()

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    with monkeypatch.context() as patch:
        patch.setattr(os, step, refuse)
        with pytest.raises(CannotWrite) as caught:
            write_circuits(path, make_yard(), [make_circuit()])
    assert str(caught.value) == f"{path}: cannot be written (Permission denied)"
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]


def test_a_device_is_written_to_and_not_replaced() -> None:
    """--out /dev/null must not make a regular file of it."""
    write_circuits("/dev/null", make_yard(), [NONE])
    assert not Path("/dev/null").is_file()


CHANGES = {
    "format": (["format"], "tripkit circuits 2", "is not 'tripkit circuits 1'"),
    "season": (["season"], ["2027-03-01"], "is not [first day, last day]"),
    "circuits": (["circuits"], {}, "is not a list [...]"),
    "circuit": (["circuits", 0], 7, "is not an object {...}"),
    "status": (
        ["circuits", 0, "status"],
        "best",
        "is none of proved best, best of its kind",
    ),
    "bound": (["circuits", 0, "bound"], "high", "is not a number"),
    "seconds": (["circuits", 0, "seconds"], True, "is not a number"),
    "cost": (["circuits", 0, "totals", "cost_cents"], 1.5, "is not a whole number"),
    "date": (
        ["circuits", 0, "outings", 0, "first_day"],
        "2027-02-30",
        "is not a date (YYYY-MM-DD)",
    ),
    "order": (["circuits", 0, "outings", 0, "last_day"], "2027-04-07", "is before first_day"),
    "leave": (["circuits", 0, "outings", 0, "leave"], "2027-04-05", "is before arrive 2027-04-06"),
    "class": (["circuits", 0, "outings", 0, "classes", 1], 5, "is not a text"),
    "depart": (
        ["circuits", 0, "legs", 0, "depart"],
        "2027-04-05T07:00",
        "is not a time with offset (YYYY-MM-DDTHH:MM+HH:MM)",
    ),
    "arrive": (["circuits", 0, "legs", 0, "arrive"], "2027-04-05T06:00-05:00", "is before depart"),
    "stop": (["circuits", 0, "legs", 0, "stops", 1, "kind"], "nap", "is none of water, break"),
    "does": (["circuits", 0, "days", 1, "does"], "sleep", "is none of show, travel"),
    "also": (["circuits", 0, "days", 1, "also"], "vet check", "is not a list [...]"),
    "cents": (["circuits", 0, "dropped_entries", 0, "cents"], None, "is not a whole number"),
    "unknown-horse": (
        ["circuits", 0, "outings", 0, "horse"],
        "Danzer",
        "is no horse of the yard; did you mean 'Dancer'?",
    ),
    "unknown-show": (["circuits", 0, "outings", 0, "show"], "Z9", "is no show of the yard"),
    "unknown-class": (
        ["circuits", 0, "outings", 0, "classes", 0],
        "C9",
        "is no class of 'S1'",
    ),
    "unknown-stop": (
        ["circuits", 0, "legs", 0, "to"],
        "Z9",
        "is no show or base of the yard, nor home",
    ),
    "unknown-vehicle": (["circuits", 0, "legs", 0, "vehicle"], "Van", "is no vehicle of the yard"),
    "unknown-passenger": (["circuits", 0, "legs", 0, "horses", 0], "X", "is no horse of the yard"),
    "unknown-place": (
        ["circuits", 0, "days", 0, "at"],
        "Z9",
        "is no show or base of the yard, home or",
    ),
    "other-yard": (["yard"], "Elm Lodge", "is not this yard, "),
    "season-other": (
        ["season"],
        ["2026-03-01", "2026-06-06"],
        "is 2026-03-01 to 2026-06-06, not",
    ),
    "name-blank": (["circuits", 0, "name"], " ", "is no name"),
    "goal": (["circuits", 0, "goal"], "most fun", "is none of good value, most worth"),
    "tour-nameless": (["circuits", 0, "goal"], "tour ", "is none of good value, most worth"),
    "year-1": (["circuits", 0, "days", 0, "date"], "0001-01-01", "is not of a year from 1950 to"),
    "year-9999": (
        ["circuits", 0, "legs", 0, "arrive"],
        "9999-12-31T23:59-12:00",
        "is not of a year from 1950 to 2199",
    ),
    "half-letter": (["circuits", 0, "outings", 0, "rider"], "\ud800", "holds half of a letter"),
    "control": (["circuits", 0, "legs", 0, "stops", 0, "near"], "a\x1b[2J", "or another control"),
    "long-text": (["circuits", 0, "legs", 0, "drivers", 0], "x" * 10_001, "is longer than 10,000"),
    "long-stop": (["circuits", 0, "legs", 0, "stops", 0, "minutes"], 10**9, "is not from 0 to"),
    "digits-1000": (["circuits", 0, "totals", "cost_cents"], 10**1000, "is not a whole number"),
    "digits-100": (["circuits", 0, "totals", "outings"], 10**100, "is not from 0 to"),
    "flag": (["circuits", 0, "aims_proved"], 1, "is not true or false"),
    "price": (["circuits", 0, "point_price"], -1, "is not from 0 to"),
    "unknown-way": (
        ["circuits", 0, "rider_ways", 0, "by"],
        "Van",
        "is no vehicle of the yard, nor car",
    ),
    "minus": (["circuits", 0, "legs", 0, "km"], -1, "is not from 0 to 40,000"),
    "not-a-number": (["circuits", 0, "bound"], float("nan"), "NaN is not a finite number"),
    "endless": (["circuits", 0, "outings", 0, "worth"], float("inf"), "is not a finite number"),
    "name-twice": (["circuits", 1, "name"], "Most worth", "is also the name of circuits[0]"),
}


def name_place(path: list) -> str:
    """Keys and numbers as a message writes them: circuits[0].outings[3].first_day."""
    return "".join(f"[{p}]" if isinstance(p, int) else f".{p}" for p in path).lstrip(".")


@pytest.mark.parametrize(("path", "value", "message"), CHANGES.values(), ids=CHANGES.keys())
def test_names_the_place_of_a_fault(tmp_path: Path, path: list, value, message: str) -> None:
    """A wrong value is named with file, place, the value and what was wanted."""
    file = tmp_path / "c.json"
    yard = make_yard()
    write_circuits(file, yard, [make_circuit(), NONE])
    document = json.loads(file.read_text(encoding="utf-8"))
    node = document
    for step in path[:-1]:
        node = node[step]
    node[path[-1]] = value
    file.write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(BadCircuits) as caught:
        read_circuits(file, yard)
    assert str(caught.value).startswith(f"c.json {name_place(path)}: ")
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("before", "after", "message"),
    [
        ('"status"', '"status": "none exists", "status"', "circuits[0].status: stands here more"),
        ('"cost_cents": 0', '"cost_cents": ' + "9" * 5000, "cost_cents: Infinity is not a whole"),
        ('"outings": []', '"outings": ' + "[" * 900 + "]" * 900, "circuits[0].outings[0]"),
    ],
)
def test_what_json_lets_through_is_named_with_its_place(
    tmp_path: Path, before: str, after: str, message: str
) -> None:
    """A key that stands twice, a number of 5,000 digits, lists in lists in lists."""
    file = tmp_path / "c.json"
    write_circuits(file, make_yard(), [Circuit("Home", "most worth", "proved best", 0.0, 0.0)])
    text = file.read_text(encoding="utf-8")
    assert before in text
    file.write_text(text.replace(before, after, 1), encoding="utf-8")
    with pytest.raises(BadCircuits) as caught:
        read_circuits(file)
    assert message in str(caught.value)
    assert len(str(caught.value)) < 200


LATER = ("leaves_out", "aims_proved", "point_price", "remarks", "rider_ways", "dropped_proved")
LATER += ("missing_outings", "rule")


def test_a_file_of_the_first_edition_is_read(tmp_path: Path) -> None:
    """What that edition had no keys for is empty, not known, or not proved."""
    write_circuits(tmp_path / "c.json", make_yard(), [make_circuit()])
    document = json.loads((tmp_path / "c.json").read_text(encoding="utf-8"))
    (written,) = document["circuits"]
    for node in (written, written["totals"], *written["dropped_entries"]):
        for key in LATER:
            node.pop(key, None)
    (tmp_path / "c.json").write_text(json.dumps(document), encoding="utf-8")
    (read,) = read_circuits(tmp_path / "c.json", make_yard())
    expected = make_circuit(
        totals=replace(make_circuit().totals, missing_outings=0),
        aims_proved=False,
        point_price_cents=None,
        remarks=(),
        rider_ways=(),
        dropped_proved=False,
    )
    assert replace(read, dropped_entries=()) == replace(expected, dropped_entries=())


def test_every_key_is_required(tmp_path: Path) -> None:
    """Each key taken away is missed by name; an unknown key is passed over."""
    file = tmp_path / "c.json"
    write_circuits(file, make_yard(), [make_circuit()])
    text = file.read_text(encoding="utf-8")

    def list_paths(node, path=()):
        children = node.items() if isinstance(node, dict) else enumerate(node)
        for key, value in children:
            if isinstance(node, dict):
                yield (*path, key)
            if isinstance(value, dict | list):
                yield from list_paths(value, (*path, key))

    paths = list(list_paths(json.loads(text)))
    # Written out by hand from the format: 4 + 17 + 9 + 6 + 10 + 10 + 2 x 4 + 2 x 5 + 6 keys.
    assert len(paths) == 80
    for path in (p for p in paths if p[-1] not in LATER):
        document = json.loads(text)
        node = document
        for step in path[:-1]:
            node = node[step]
        del node[path[-1]]
        node["later edition"] = 1
        file.write_text(json.dumps(document), encoding="utf-8")
        with pytest.raises(BadCircuits) as caught:
            read_circuits(file)
        assert str(caught.value) == f"c.json {name_place(list(path))}: is missing"


NO_JSON = "c.json: is not JSON from row 1 on; plan again, or put back a copy of it"


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", NO_JSON),
        (b"\xff", "c.json: is not UTF-8"),
        (b"[]", "c.json: [...] is not an object {...}"),
        (b"{}", "c.json format: is missing"),
        (b'{"format": NaN}', "c.json format: NaN is not 'tripkit circuits 1'"),
        (b"[" * 100_000, "c.json: is not JSON: nested too deep"),
    ],
)
def test_a_file_that_is_no_circuits_file(tmp_path: Path, content: bytes, message: str) -> None:
    """Other files are told apart in one line."""
    (tmp_path / "c.json").write_bytes(content)
    with pytest.raises(BadCircuits) as caught:
        read_circuits(tmp_path / "c.json")
    assert str(caught.value) == message


def test_a_circuits_file_that_is_not_there(tmp_path: Path) -> None:
    """A missing file, a folder and a file too large are refused in one line."""
    with pytest.raises(BadCircuits) as caught:
        read_circuits(tmp_path / "c.json")
    assert str(caught.value) == "c.json: cannot be read (No such file or directory)"
    with pytest.raises(BadCircuits, match=r"cannot be read \(Is a directory\)"):
        read_circuits(tmp_path)
    with open(tmp_path / "c.json", "wb") as file:
        file.truncate(LARGEST_JSON_BYTES + 1)
    with pytest.raises(BadCircuits, match="is larger than 200 MB and was not read"):
        read_circuits(tmp_path / "c.json")


@settings(
    max_examples=150,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.data())
def test_a_damaged_file_raises_nothing_but_bad_circuits(tmp_path: Path, data) -> None:
    """Bytes cut out of or put into a good file give circuits or `BadCircuits`."""
    file = tmp_path / "c.json"
    yard = make_yard()
    write_circuits(file, yard, [make_circuit(), NONE])
    content = file.read_bytes()
    start = data.draw(st.integers(0, len(content)))
    end = data.draw(st.integers(start, min(len(content), start + 20)))
    file.write_bytes(content[:start] + data.draw(st.binary(max_size=8)) + content[end:])
    message = "c.json"
    try:
        circuits = read_circuits(file, yard)
    except BadCircuits as error:
        circuits, message = (), str(error)
    assert message.startswith("c.json")
    assert all(isinstance(circuit, Circuit) for circuit in circuits)


def test_circuits_of_a_yard_with_more_horses(tmp_path: Path) -> None:
    """A file stays readable when the yard gains a horse and a show."""
    write_circuits(tmp_path / "c.json", make_yard(), [make_circuit()])
    larger = make_yard(
        horses=[make_horse(), make_horse("Bella")],
        shows=[make_show("S1"), make_show("S2", "2027-05-05", place_key="Fairview")],
    )
    assert read_circuits(tmp_path / "c.json", larger) == (make_circuit(),)
