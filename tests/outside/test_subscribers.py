"""Two subscribers as people have them: vdirsyncer fetches a served feed, khal prints it.

The whole way is gone: `tripkit publish`, `serve` and `addresses` as commands, the feed over HTTP.
Then a season is lived through on a clock that moves, from a plain web host; ical.js reads along.
With TRIPKIT_STORY the story's own output goes to a file of that name.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

import tripkit
from tests.files.folders import GOOD, append, write_folder
from tests.outside.readers import read_by_icaljs
from tests.outside.tools import find_program
from tests.patience import PATIENCE_SECONDS
from tests.ports import find_port
from tests.publishing.hand_season import make_season_circuit, make_season_yard, move_second_show
from tripkit.publishing import export_feeds, publish
from tripkit.season.scorecard import finish_circuit
from tripkit.store import open_store
from tripkit.yard.circuit import Circuit, Outing

WHO = "owner Olga Moss"
BELLA = Outing(
    "Bella",
    "Oak 1",
    "Ana Reed",
    ("Opener", "Final"),
    date(2027, 4, 8),
    date(2027, 4, 11),
    date(2027, 4, 7),
    date(2027, 4, 12),
)
COMET = Outing(
    "Comet",
    "Oak 2",
    "Ana Reed",
    ("Opener",),
    date(2027, 4, 15),
    date(2027, 4, 15),
    date(2027, 4, 14),
    date(2027, 4, 16),
)
# By hand: what khal lists of Olga's stays. She comes to own both horses; a stay goes from the day
# of arrival to the day of leaving.
FIRST = {
    "2027-04-07 2027-04-12 Bella: show, Oak 1",
    "2027-04-14 2027-04-16 Comet: show, Oak 2",
}
SECOND = {
    "2027-04-06 2027-04-12 Bella: show, Oak 1",
    "2027-04-14 2027-04-16 Cancelled: Comet: show, Oak 2",
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A yard of two horses, and two plans: the second moves Bella and leaves Comet at home.

    Nobody drives in either, so that they are published anyway.
    """
    files = append("horses.csv", "Dodo,2016,100,120,Ana Reed")
    # The days on which they school would only lengthen the story.
    quiet = "[limits]\nschools_before_show = 0\ndays_between_schools = 400\n"
    folder = write_folder(tmp_path / "mill", {**files, "yard.toml": GOOD["yard.toml"] + quiet})
    (folder / "shares.csv").write_text(
        "horse,owner,share\nBella,Olga Moss,\nComet,Olga Moss,\nDodo,Ana Reed,\n", encoding="utf-8"
    )
    yard = tripkit.read_yard(folder)
    earlier = replace(BELLA, arrive=date(2027, 4, 6))
    made = [
        finish_circuit(yard, name, "least road", "proved best", 0.0, 0.0, 0.1, outings, [])
        for name, outings in (("Spring", [BELLA, COMET]), ("Later", [earlier]))
    ]
    tripkit.write_circuits(tmp_path / "c.json", yard, made)
    return folder


@pytest.fixture
def port() -> int:
    return find_port()


@pytest.fixture
def server(folder: Path, port: int) -> Iterator[str]:
    """The server of the yard, from when it answers."""
    command = [sys.executable, "-m", "tripkit", "serve", str(folder), "--port", str(port)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    address = f"http://127.0.0.1:{port}"
    try:
        for _ in range(600):
            assert process.poll() is None, (process.stderr and process.stderr.read()) or b""
            if _answers(f"{address}/feeds/none.ics") == 404:
                break
            time.sleep(0.1)
        yield address
    finally:
        process.terminate()
        process.wait(timeout=PATIENCE_SECONDS)
        if process.stderr:
            process.stderr.close()


def _answers(address: str) -> int:
    try:
        with urllib.request.urlopen(address, timeout=PATIENCE_SECONDS) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        error.close()
        return error.code
    except OSError:
        return 0


class Story:
    """What was said on the way, for a reader; secrets are blotted out."""

    def __init__(self, base: Path) -> None:
        self.lines: list[str] = []
        self._base = base
        self._environment = {
            **os.environ,
            "HOME": str(base),
            "XDG_CONFIG_HOME": str(base / "config"),
            "XDG_DATA_HOME": str(base / "data"),
            "XDG_CACHE_HOME": str(base / "cache"),
            "LC_ALL": "C.UTF-8",
            "TZ": "America/New_York",
        }

    def run(self, *command: str, tell: bool = True) -> str:
        """One command; its output, which must be a good one."""
        done = subprocess.run(
            command,
            cwd=self._base,
            env=self._environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            timeout=PATIENCE_SECONDS,
            check=False,
        )
        if tell:
            said = " ".join(Path(command[0]).name if n == 0 else c for n, c in enumerate(command))
            self.lines += [f"$ {said}", done.stdout.rstrip(), ""]
        assert done.returncode == 0, done.stdout
        return done.stdout

    def tripkit(self, *arguments: str) -> str:
        """One command of ours."""
        root = str(Path(__file__).resolve().parents[2])
        self._environment["PYTHONPATH"] = root
        output = self.run(sys.executable, "-m", "tripkit", *arguments, tell=False)
        self.lines += [f"$ tripkit {' '.join(arguments)}", output.rstrip(), ""]
        return output

    def write(self) -> None:
        """The story into the file that was asked for."""
        text = "\n".join(self.lines).replace(str(self._base), "~")
        text = re.sub(r"(feeds/)[\w-]{20,}(\.ics)", r"\1SECRET\2", text)
        if os.environ.get("TRIPKIT_STORY"):
            Path(os.environ["TRIPKIT_STORY"]).write_text(text + "\n", encoding="utf-8")


def write_settings(base: Path, link: str) -> None:
    """What a subscriber tells vdirsyncer and khal once."""
    (base / "config/vdirsyncer").mkdir(parents=True)
    (base / "config/khal").mkdir()
    (base / "config/vdirsyncer/config").write_text(
        f'[general]\nstatus_path = "{base}/status"\n'
        '[pair olga]\na = "yard"\nb = "here"\ncollections = null\nconflict_resolution = "a wins"\n'
        f'[storage yard]\ntype = "http"\nurl = "{link}"\n'
        f'[storage here]\ntype = "filesystem"\npath = "{base}/olga"\nfileext = ".ics"\n'
    )
    (base / "config/khal/config").write_text(
        f"[calendars]\n[[olga]]\npath = {base}/olga\n"
        "[locale]\nlocal_timezone = America/New_York\ndefault_timezone = America/New_York\n"
        "timeformat = %H:%M\ndateformat = %Y-%m-%d\nlongdateformat = %Y-%m-%d\n"
        "datetimeformat = %Y-%m-%d %H:%M\nlongdatetimeformat = %Y-%m-%d %H:%M\n"
    )


def list_stays(khal: str, story: Story, first: str = "2027-04-01") -> set[str]:
    """What khal has of stays, each once; the list by day is told in the story."""
    style = "{start-end-time-style}{cancelled}{title}"
    story.run(khal, "list", "--format", style, first, "2027-04-30")
    output = story.run(
        khal,
        *("list", "--once", "--format", "{start-date} {end-date} {title}", "--day-format", ""),
        *(first, "90d"),
        tell=False,
    )
    lines = [line for line in output.splitlines() if ": show, " in line]
    assert len(lines) == len(set(lines))
    return set(lines)


def test_one_moves_one_is_cancelled_none_is_doubled(
    folder: Path, tmp_path: Path, server: str
) -> None:
    """Subscribed once; after the second publishing one stay has moved and one is cancelled."""
    vdirsyncer, khal = find_program("vdirsyncer"), find_program("khal")
    story = Story(tmp_path)
    circuits = str(tmp_path / "c.json")
    story.tripkit("publish", str(folder), circuits, "Spring", "--anyway")
    link = wait_for_link(story, folder, server)
    write_settings(tmp_path, link)
    story.run("sh", "-c", f"yes | {vdirsyncer} discover", tell=False)
    story.run(vdirsyncer, "sync")
    try:
        assert list_stays(khal, story) == FIRST
        story.tripkit("publish", str(folder), circuits, "Later", "--anyway")
        wait_for_change(link)
        story.run(vdirsyncer, "sync")
        assert list_stays(khal, story) == SECOND
    finally:
        story.write()
    # A file for each event that is served, and none that lingers.
    with urllib.request.urlopen(link, timeout=PATIENCE_SECONDS) as answer:
        served = answer.read().count(b"BEGIN:VEVENT")
    assert len(list((tmp_path / "olga").iterdir())) == served


def wait_for_link(story: Story, folder: Path, server: str) -> str:
    """The owner's secret address, once the server has told the store where it is."""
    for _ in range(900):
        shown = story.tripkit("addresses", str(folder))
        del story.lines[-3:]
        found = re.search(rf"{re.escape(WHO)}\s+({re.escape(server)}/\S+\.ics)", shown)
        if found:
            story.lines += ["$ tripkit addresses ~/mill", shown.rstrip(), ""]
            return found[1]
        time.sleep(0.2)
    pytest.fail(f"no address of the server among\n{shown}")


def wait_for_change(link: str) -> None:
    """Until the server shows what was published last."""
    for _ in range(900):
        with urllib.request.urlopen(link, timeout=PATIENCE_SECONDS) as answer:
            if b"STATUS:CANCELLED" in answer.read():
                return
        time.sleep(0.1)
    pytest.fail("the server still shows what was published before")


CIRCUIT = make_season_circuit()
LONGER = replace(CIRCUIT.outings[0], leave=date(2027, 3, 24))
NOWHERE = replace(CIRCUIT, name="lame", outings=(), legs=(), days=())
MARCH = "2027-03-14 2027-03-24 Alder: show, Dothan 1"
# By hand: what is published when, and the stays that khal then has. From 1 April on no plan knows
# anything of March, on 15 April Alder is lame at Dothan 2, and the last is the first plan again.
SEASON: list[tuple[str, Circuit, set[str]]] = [
    (
        "2027-02-10",
        CIRCUIT,
        {
            "2027-03-14 2027-03-22 Alder: show, Dothan 1",
            "2027-04-06 2027-04-12 Alder: show, Dothan 2",
        },
    ),
    (
        "2027-03-18",
        replace(CIRCUIT, name="longer", outings=(LONGER, *CIRCUIT.outings[1:])),
        {MARCH, "2027-04-06 2027-04-12 Alder: show, Dothan 2"},
    ),
    (
        "2027-04-01",
        move_second_show(
            replace(CIRCUIT, outings=CIRCUIT.outings[2:], legs=CIRCUIT.legs[2:], days=()), 7
        ),
        {MARCH, "2027-04-13 2027-04-19 Alder: show, Dothan 2"},
    ),
    ("2027-04-15", NOWHERE, {MARCH, "2027-04-13 2027-04-15 Alder: show, Dothan 2"}),
    ("2027-05-20", CIRCUIT, {MARCH, "2027-04-13 2027-04-15 Alder: show, Dothan 2"}),
]


@contextmanager
def host(folder: Path) -> Iterator[str]:
    """A plain web host of a folder; its address."""

    class Quiet(SimpleHTTPRequestHandler):
        def log_message(self, format: str, *arguments: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=folder)) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()


def test_a_season_lived_through_never_changes_what_is_over(tmp_path: Path) -> None:
    """Five publishings, the clock at 15:00 UTC of each day; Olga's horse is Alder.

    What ical.js reads of an event that had ended never changes; khal shows each stay once.
    """
    vdirsyncer, khal = find_program("vdirsyncer"), find_program("khal")
    story, store = Story(tmp_path), open_store(tmp_path)
    served = tmp_path / "host"
    known: dict[str, tuple[str, str, int, str]] = {}
    with host(served) as base:
        for day, circuit, stays in SEASON:
            now = datetime.fromisoformat(f"{day}T15:00:00+00:00")
            yard = make_season_yard(today=day)
            publish(yard, circuit, store, now)
            export_feeds(yard, circuit, store, served, secret_names=True)
            name = f"{store.read_shelf().addresses['owner', 'Olga'].token}.ics"
            if not known:
                write_settings(tmp_path, f"{base}/{name}")
                story.run("sh", "-c", f"yes | {vdirsyncer} discover", tell=False)
            story.run(vdirsyncer, "sync")
            assert list_stays(khal, story, "2027-03-01") == stays
            read = {
                uid: (start, end, sequence, status)
                for uid, start, end, sequence, status in read_by_icaljs([served / name])[name]
            }
            for uid, event in known.items():
                if event[3] != "CANCELLED" and has_ended(event[1], now):
                    assert read[uid] == event
                elif uid in read:
                    assert read[uid][2] >= event[2]
            known = read
    store.close()


def has_ended(end: str, now: datetime) -> bool:
    """Whether an end as the readers tell it, a day or a moment in UTC, has passed."""
    return end <= now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")[: len(end)]
