"""Feeds as files: names that are safe, bytes that are the same, nothing half written."""

from __future__ import annotations

import string
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.publishing.hand_season import make_season_circuit, make_season_yard
from tripkit.publishing import (
    READER_KINDS,
    Reader,
    list_events,
    list_readers,
    name_file,
    write_events,
    write_feed,
    write_feeds,
)
from tripkit.yard.errors import BadCircuits, CannotWrite
from tripkit.yard.places import Place, RoadBook

NASTY = [
    "..",
    ".",
    "../../etc/passwd",
    "a/b",
    "a\\b",
    "C:\\horse",
    "nul",
    "con.ics",
    "-rf",
    "🐴",
    "馬" * 200,
    "x" * 200,
    "X" + "x" * 199,
    "Alder\x00",
    "Alder\n",
    '<script>alert("1")</script>',
    "שלום",
    "alder",
    "ALDER",
    "Alder",
    "Alder ",
    "Al der",
    "Al-Der",
    "Álder",
    "Alder 2",
]
SAFE = set(string.ascii_lowercase + string.digits + "-")


@pytest.mark.parametrize("name", NASTY)
def test_a_file_name_is_safe_whatever_the_name(name: str) -> None:
    """Small ASCII letters, digits and hyphens, `.ics`, no longer than 100, no path in it."""
    written = name_file(Reader("horse", name))
    assert written.startswith("horse-")
    assert set(written.removesuffix(".ics")) <= SAFE
    assert written.endswith(".ics")
    assert len(written) <= 100


def test_distinct_names_have_distinct_files_where_case_does_not_count() -> None:
    """No two of the names share a file, nor do readers of two kinds with one name."""
    names = {name_file(Reader(kind, name)).lower() for kind in READER_KINDS for name in NASTY}
    assert len(names) == len(NASTY) * len(READER_KINDS)


@given(st.lists(st.text(max_size=30), min_size=2, max_size=6, unique=True))
def test_no_two_names_ever_share_a_file(names: list[str]) -> None:
    """Whatever the names are, as long as they differ."""
    assert len({name_file(Reader("owner", name)) for name in names}) == len(names)


@pytest.mark.parametrize(
    ("name", "written"),
    [("Alder", "rider-alder.ics"), ("Dancing Queen 2", "rider-dancing-queen-2.ics")],
)
def test_a_plain_name_gives_a_plain_file_name(name: str, written: str) -> None:
    """Nothing is lost of words with a capital first, so nothing is added."""
    assert name_file(Reader("rider", name)) == written


def test_a_name_made_to_look_like_a_hashed_one_does_not_collide() -> None:
    """The hash stands after two hyphens, which the words of a name never give."""
    hashed = name_file(Reader("horse", "ALDER")).removeprefix("horse-").removesuffix(".ics")
    words = " ".join(part.capitalize() for part in hashed.split("--"))
    assert name_file(Reader("horse", words)) != name_file(Reader("horse", "ALDER"))


def test_every_reader_has_a_file(tmp_path: Path) -> None:
    """One file per reader in a folder that is made, in the order of the readers."""
    yard = make_season_yard()
    paths = write_feeds(yard, make_season_circuit(), tmp_path / "new" / "feeds")
    assert [path.name for path in paths] == [
        "horse-alder.ics",
        "horse-birch.ics",
        "horse-cedar.ics",
        "owner-olga.ics",
        "owner-otto.ics",
        "rider-ana.ics",
        "rider-ben.ics",
        "groom-gil.ics",
        "driver-sam.ics",
        paths[9].name,
        "yard-hill-farm.ics",
    ]
    # "Dr. Vale" loses its dot, so a hash says which name it was.
    assert paths[9].name.startswith("vet-dr-vale--")
    assert sorted(path.name for path in paths) == sorted(
        path.name for path in (tmp_path / "new" / "feeds").iterdir()
    )


def test_a_file_is_what_the_feed_is(tmp_path: Path) -> None:
    """Line ends are not changed on the way to the disk, and anybody may read the file."""
    yard, circuit = make_season_yard(), make_season_circuit()
    reader = Reader("horse", "Alder")
    (path,) = write_feeds(yard, circuit, tmp_path, [reader])
    assert path.read_bytes() == write_feed(yard, circuit, reader)
    assert path.stat().st_mode & 0o444 == 0o444


def test_a_name_that_climbs_out_of_the_folder_stays_inside(tmp_path: Path) -> None:
    """A horse called ../../up is written into the folder like any other."""
    name = "../../up"
    yard, circuit = make_season_yard(name), make_season_circuit(name)
    target = tmp_path / "deep" / "feeds"
    (path,) = write_feeds(yard, circuit, target, [Reader("horse", name)])
    assert path.parent == target
    assert [p.name for p in tmp_path.rglob("*.ics")] == [path.name]


def test_writing_again_replaces_the_file_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the move to its place fails, the old file stands and no part is left behind."""
    yard, circuit = make_season_yard(), make_season_circuit()
    reader = Reader("horse", "Alder")
    (path,) = write_feeds(yard, circuit, tmp_path, [reader])
    before = path.read_bytes()

    def fail(self: Path, target: Path) -> Path:
        raise PermissionError(13, "Permission denied", str(target))

    monkeypatch.setattr(Path, "replace", fail)
    with pytest.raises(CannotWrite, match="Permission denied"):
        write_feeds(make_season_yard(title="New"), circuit, tmp_path, [reader])
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path) -> None:
    """The error names the folder that cannot be."""
    (tmp_path / "feeds").write_text("a file")
    with pytest.raises(CannotWrite, match="feeds"):
        write_feeds(make_season_yard(), make_season_circuit(), tmp_path / "feeds")


def test_nothing_is_written_of_a_wrong_circuit(tmp_path: Path) -> None:
    """A circuit of another yard leaves no file."""
    with pytest.raises(BadCircuits):
        write_feeds(make_season_yard(), make_season_circuit("Pegasus"), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_the_same_circuit_gives_the_same_bytes() -> None:
    """Written twice from yards and circuits built twice, byte for byte, for every reader."""
    for reader in list_readers(make_season_yard()):
        left = write_feed(make_season_yard(), make_season_circuit(), reader)
        right = write_feed(make_season_yard(), make_season_circuit(), reader)
        assert left == right


def test_the_order_of_events_does_not_change_the_bytes() -> None:
    """Events given from last to first are written in order of time."""
    yard, reader = make_season_yard(), Reader("yard", "Hill Farm")
    events = list_events(yard, make_season_circuit(), reader)
    assert write_events(yard, reader, events[::-1]) == write_events(yard, reader, events)


def test_a_place_without_roads_still_has_a_name() -> None:
    """Where the road book knows no point, the place is told as written, without GEO."""
    home = Place("Millbrook", 41.785, -73.694, "America/New_York")
    yard = make_season_yard(roads=RoadBook({"home": home}))
    text = write_feed(yard, make_season_circuit(), Reader("horse", "Alder")).decode()
    assert r"LOCATION:Dothan\, AL" in text
    assert "GEO:31" not in text
