"""`tripkit publish`, `addresses` and `feeds`: exit codes, and what a manager reads."""

from __future__ import annotations

import re
from contextlib import AbstractContextManager
from datetime import UTC, datetime
from pathlib import Path
from unittest import mock

import pytest

import tripkit
from tests.files.folders import write_folder
from tripkit.commands.line import main
from tripkit.files import reader
from tripkit.publishing import list_readers
from tripkit.publishing.addresses import keep_server_address
from tripkit.season.scorecard import finish_circuit
from tripkit.store import open_store

LINK = re.compile(r"  (http://127\.0\.0\.1:8866/feeds/([A-Za-z0-9_-]{32})\.ics)")


def stop_clock(hour: int) -> AbstractContextManager[object]:
    """The clock says an hour of 20 February 2027, before the season."""
    now = datetime(2027, 2, 20, hour, tzinfo=UTC)
    return mock.patch.object(reader, "read_clock", return_value=now)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_folder(tmp_path / "mill")


@pytest.fixture
def circuits(folder: Path, tmp_path: Path) -> Path:
    """A file with one circuit, in which everybody stays at home."""
    yard = tripkit.read_yard(folder)
    home = finish_circuit(yard, "Home", "least road", "proved best", 0.0, 0.0, 0.1, [], [])
    none = tripkit.Circuit("None", "most worth", "none exists", reasons=("no road",))
    path = tmp_path / "circuits.json"
    tripkit.write_circuits(path, yard, [home, none])
    return path


def test_publish_says_which_it_is_and_what_changed_for_whom(
    folder: Path, circuits: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The number counts; the second time nothing changed."""
    assert main(["publish", str(folder), str(circuits), "Home"]) == 0
    first = capsys.readouterr().out
    told = first.splitlines()
    assert told[1:4] == [
        "Home is published, number 1",
        "",
        "New calendars, with the number of dates",
    ]
    # A line for each reader with dates: where all stay at home, not for rider or driver.
    assert [line.partition(": ")[0] for line in told[4:]] == [
        *("  horse Bella", "  horse Comet", "  owner Olga Moss", "  owner Ana Reed"),
        "  the whole yard",
    ]
    assert first.count("Mill Lane") == 1
    assert main(["publish", str(folder), str(circuits), "Home"]) == 0
    again = capsys.readouterr().out
    assert again.endswith("\nHome is published, number 2\nNothing changed for anybody.\n")


def test_another_language_is_told_by_the_next_publishing_and_said(
    folder: Path, circuits: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`feeds` gives what is published and says how many calendars the folder tells otherwise."""
    with stop_clock(12):
        main(["publish", str(folder), str(circuits), "Home"])
    settings = folder / "yard.toml"
    words = settings.read_text(encoding="utf-8") + '\n[words]\nlanguage = "de"\n'
    settings.write_text(words, encoding="utf-8")
    count = len(list_readers(tripkit.read_yard(folder)))
    out = tmp_path / "out"
    feeds = ["feeds", str(folder), str(circuits), "Home", "--out", str(out)]
    capsys.readouterr()
    with stop_clock(13):
        assert main(feeds) == 0
        assert f"{count} calendars are as published, and the folder" in capsys.readouterr().err
        assert main(["publish", str(folder), str(circuits), "Home"]) == 0
    said = capsys.readouterr().out
    assert said.endswith(
        f"number 2\n\n{count} calendars are told anew: other words, the same dates.\n"
    )
    with stop_clock(14):
        assert main(feeds) == 0
    assert "as published" not in capsys.readouterr().err
    assert b"LANGUAGE=de" in (out / "horse-bella.ics").read_bytes()


def test_publish_of_a_circuit_without_a_plan_is_bad_input(
    folder: Path, circuits: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is stored."""
    assert main(["publish", str(folder), str(circuits), "None"]) == 2
    assert "no plan" in capsys.readouterr().err
    assert not (folder / "tripkit.sqlite").exists()


def test_a_newer_store_is_bad_input(
    folder: Path, circuits: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The error names the file and the version, on stderr, without a traceback."""
    import sqlite3

    main(["publish", str(folder), str(circuits), "Home"])
    connection = sqlite3.connect(folder / "tripkit.sqlite")
    connection.execute("PRAGMA user_version = 99")
    connection.commit()
    connection.close()
    capsys.readouterr()
    assert main(["publish", str(folder), str(circuits), "Home"]) == 2
    said = capsys.readouterr().err
    assert "tripkit.sqlite: was written by a newer tripkit (store version 99" in said
    assert "Traceback" not in said


def test_addresses_are_listed_renewed_and_revoked(
    folder: Path, circuits: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each reader with his link; a revoked one says so, a renewed one has another secret."""
    assert main(["addresses", str(folder)]) == 1
    assert "Nothing is published yet" in capsys.readouterr().out
    main(["publish", str(folder), str(circuits), "Home"])
    capsys.readouterr()
    assert main(["addresses", str(folder)]) == 0
    said = capsys.readouterr().out
    assert "horse Bella\n  http" in said
    secrets = {found[1] for found in LINK.findall(said)}
    assert len(secrets) == len(open_store(folder).read_shelf().addresses)
    assert main(["addresses", str(folder), "--revoke", "Bella", "--alarms-off", "Comet"]) == 0
    said = capsys.readouterr().out
    assert "horse Bella\n  revoked\n" in said
    assert "horse Comet (alarms off)\n" in said
    codes = tmp_path / "codes"
    assert main(["addresses", str(folder), "--renew", "horse Bella", "--qr", str(codes)]) == 0
    renewed = {found[1] for found in LINK.findall(capsys.readouterr().out)}
    assert len(renewed) == len(secrets)
    assert len(renewed - secrets) == 1
    drawn = codes / "horse-bella.svg"
    assert drawn.read_text(encoding="utf-8").startswith("<svg")
    assert main(["addresses", str(folder), "--renew", "Bela"]) == 2
    assert "Bella" in capsys.readouterr().err


def test_addresses_that_only_this_machine_reaches_say_so(
    folder: Path, circuits: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the commands that change it, also beside QR codes; RFC 1122 section 3.2.1.3: 127/8 never
    leaves a machine. An address that others reach needs no such words."""
    main(["publish", str(folder), str(circuits), "Home"])
    capsys.readouterr()
    for more in ((), ("--qr", str(tmp_path / "codes"))):
        assert main(["addresses", str(folder), *more]) == 0
        said = capsys.readouterr().out
        assert "Only this machine reaches these addresses" in said
        assert f"tripkit serve {folder} --ip 0.0.0.0 " in said
        assert f"tripkit serve {folder} --public URL " in said
    with open_store(folder) as store:
        keep_server_address(store, "http://192.168.1.5:8866/", datetime(2027, 3, 1, tzinfo=UTC))
    assert main(["addresses", str(folder)]) == 0
    assert "Only this machine" not in capsys.readouterr().out


def test_addresses_of_a_folder_that_is_not_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Bad input, and nothing is made."""
    assert main(["addresses", str(tmp_path / "nowhere"), "--renew", "Bella"]) == 2
    assert capsys.readouterr().err
    assert not (tmp_path / "nowhere").exists()


def test_feeds_of_the_published_circuit_are_the_served_bytes(
    folder: Path, circuits: Path, tmp_path: Path
) -> None:
    """Under readable names, and under secret ones for a web host."""
    main(["publish", str(folder), str(circuits), "Home"])
    out = tmp_path / "out"
    command = ["feeds", str(folder), str(circuits), "Home", "--out", str(out)]
    assert main(command) == 0
    feed = open_store(folder).read_shelf().feeds["horse", "Bella"]
    assert (out / "horse-bella.ics").read_bytes() == feed.body
    assert main([*command[:-1], str(tmp_path / "host"), "--secret-names"]) == 0
    token = open_store(folder).read_shelf().addresses["horse", "Bella"].token
    assert (tmp_path / "host" / f"{token}.ics").read_bytes() == feed.body
