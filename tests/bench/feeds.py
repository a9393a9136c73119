"""How fast feeds are written and answered: `python -m tests.bench.feeds`.

A yard of 60 horses with 271 readers is published; `tripkit serve` answers 50 clients at once on
loopback, spread over all addresses so that the limit of each stays on, while `tripkit plan` works
in a process of its own. Limits are those of the fourth step's issue. Nothing is run by the tests.
"""

from __future__ import annotations

import asyncio
import itertools
import json
import os
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path

from tests.build import make_class, make_horse, make_lorry, make_rider, make_show, make_yard
from tripkit.publishing import list_addresses, publish, revoke_addresses, write_feeds
from tripkit.store import open_store
from tripkit.yard.circuit import Circuit, Day, Leg, Outing
from tripkit.yard.people import Person, Share
from tripkit.yard.places import HOME
from tripkit.yard.yard import Yard

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "sample_calendar"
HORSES, SHOWS, LORRIES, GROOMS, VETS, CLIENTS = 60, 8, 15, 12, 3, 50
SECONDS, WARM_SECONDS, REFILL_SECONDS = 4.0, 8.0, 6.0
START_SECONDS = 60.0
LIMITS = {
    "feeds of 60 horses written, s": 2.0,
    "answers 304 a second": 1000.0,
    "answers with a body a second": 300.0,
    "99th percentile, 304, 1000 asked a second, ms": 50.0,
    "99th percentile, with a body, 300 asked a second, ms": 50.0,
    "medians of wrong, old and guessed addresses apart, ms": 1.0,
}
TRIES = 1000
FIRST = date(2027, 3, 3)


def make_season() -> tuple[Yard, Circuit]:
    """60 horses of two owners each, each at 8 shows, with 15 lorries, and their people."""
    names = [f"Horse {n}" for n in range(HORSES)]
    shows = []
    for number in range(SHOWS):
        first = FIRST + timedelta(days=11 * number)
        days = [first + timedelta(days=n) for n in range(3)]
        classes = tuple(make_class(f"C{n}", day, f"S{number}") for n, day in enumerate(days))
        shows.append(make_show(f"S{number}", first, days[-1], classes=classes))
    people = [make_rider(f"Rider {n}") for n in range(HORSES)]
    people += [Person(f"Owner {n}", "owner") for n in range(2 * HORSES)]
    people += [Person(f"Groom {n}", "groom") for n in range(GROOMS)]
    people += [Person(f"Vet {n}", "vet") for n in range(VETS)]
    yard = make_yard(
        name="Sixty",
        shows=shows,
        horses=[make_horse(name, rider=f"Rider {n}") for n, name in enumerate(names)],
        people=people,
        shares=[
            Share(name, f"Owner {n + half * HORSES}", Fraction(1, 2))
            for n, name in enumerate(names)
            for half in (0, 1)
        ],
        vehicles=[make_lorry(f"L{n}", driver_names=(f"Driver {n}",)) for n in range(LORRIES)],
    )
    outings, legs, days_at_home = [], [], []
    for show in shows:
        first, last = show.days.first, show.days.last
        arrive, leave = first - timedelta(days=1), last + timedelta(days=1)
        chosen = tuple(c.name for c in show.classes)
        for n, name in enumerate(names):
            outings.append(
                Outing(name, show.show, f"Rider {n}", chosen, first, last, arrive, leave)
            )
            check = leave + timedelta(days=1)
            days_at_home.append(Day(name, check, HOME, "hack", ("vet check",)))
            days_at_home.append(Day(name, check + timedelta(days=3), HOME, "school"))
        for lorry in range(LORRIES):
            aboard = tuple(names[lorry * 4 : lorry * 4 + 4])
            for start, end, on in ((HOME, show.show, arrive), (show.show, HOME, leave)):
                depart = datetime(on.year, on.month, on.day, 11, tzinfo=UTC)
                until = depart + timedelta(hours=5)
                drivers = (f"Driver {lorry}",)
                legs.append(
                    Leg(f"L{lorry}", start, end, depart, until, 250.0, 4.0, drivers, aboard)
                )
    return yard, Circuit(
        "sixty",
        "most worth",
        "proved best",
        outings=tuple(outings),
        legs=tuple(legs),
        days=tuple(days_at_home),
    )


def measure() -> dict[str, float]:
    """Seconds to write and to publish, answers a second, and 99th percentiles [ms]."""
    yard, circuit = make_season()
    found: dict[str, float] = {}
    with tempfile.TemporaryDirectory(prefix="tripkit-bench-") as scratch:
        folder = Path(scratch) / "yard"
        shutil.copytree(SAMPLE, folder, ignore=shutil.ignore_patterns("tripkit.sqlite*"))
        began = time.perf_counter()
        found["feeds"] = float(len(write_feeds(yard, circuit, Path(scratch) / "out")))
        found["feeds of 60 horses written, s"] = time.perf_counter() - began
        store = open_store(folder)
        began = time.perf_counter()
        publish(yard, circuit, store, datetime.now(UTC))
        found["the same published, s"] = time.perf_counter() - began
        with _serve(folder) as port:
            # The address is taken up and the first kernel is warm before anything is asked.
            time.sleep(WARM_SECONDS)
            paths = [f"/feeds/{a.link.rsplit('/', 1)[1]}" for a in list_addresses(store)]
            old = paths.pop()
            revoke_addresses(store, "yard Sixty", datetime.now(UTC))
            store.close()
            # The server has looked at the store again.
            time.sleep(1.0)
            found["medians of wrong, old and guessed addresses apart, ms"] = asyncio.run(
                _compare_refusals(port, [old, "/feeds/wrong", f"{paths[0][:-5]}x.ics"])
            )
            tags = asyncio.run(_read_tags(port, paths))
            with _plan(folder, Path(scratch) / "c.json"):
                found["load before"] = os.getloadavg()[0]
                for what, known, pace in (("304", tags, 1000), ("with a body", {}, 300)):
                    wanted = 304 if known else 200
                    # The limit of each address lets 60 answers through after six quiet seconds.
                    time.sleep(REFILL_SECONDS)
                    rate, slowest = asyncio.run(_ask_all(port, paths, known, wanted))
                    found[f"answers {what} a second"] = rate
                    found[f"99th percentile, {what}, all that it can, ms"] = slowest
                    rate, slowest = asyncio.run(_ask_all(port, paths, known, wanted, pace))
                    found[f"answers {what} a second, of {pace} asked"] = rate
                    found[f"99th percentile, {what}, {pace} asked a second, ms"] = slowest
                found["load after"] = os.getloadavg()[0]
    return found


@contextmanager
def _serve(folder: Path) -> Iterator[int]:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = int(free.getsockname()[1])
    command = [sys.executable, "-m", "tripkit", "serve", str(folder), "--port", str(port)]
    with _run(command):
        until = time.monotonic() + START_SECONDS
        while True:
            try:
                socket.create_connection(("127.0.0.1", port), timeout=1).close()
                break
            except OSError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.2)
        yield port


@contextmanager
def _plan(folder: Path, out: Path) -> Iterator[None]:
    """One plan after another is computed beside what is measured."""
    again = "import subprocess, sys\nwhile True: subprocess.run(sys.argv[1:])"
    plan = [sys.executable, "-m", "tripkit", "plan", str(folder), "--out", str(out)]
    with _run([sys.executable, "-c", again, *plan]):
        yield


@contextmanager
def _run(command: list[str]) -> Iterator[None]:
    quiet = subprocess.DEVNULL
    process = subprocess.Popen(
        command, cwd=ROOT, stdout=quiet, stderr=quiet, start_new_session=True
    )
    try:
        yield
    finally:
        # The whole session: a server's kernels, a plan that another process started.
        os.killpg(process.pid, 15)
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, 9)
            process.wait()


async def _read_tags(port: int, paths: list[str]) -> dict[str, str]:
    tags = {}
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    for path in paths:
        head = await _ask(reader, writer, path, "")
        tags[path] = next(
            line.split(": ", 1)[1]
            for line in head.split("\r\n")
            if line.lower().startswith("etag:")
        )
    writer.close()
    return tags


async def _compare_refusals(port: int, paths: list[str]) -> float:
    """How far the medians of many requests to addresses that are not found lie apart [ms]."""
    took: dict[str, list[float]] = {path: [] for path in paths}
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    # In turn, so that a busy moment of the machine meets all of them alike.
    for path in paths * TRIES:
        began = time.perf_counter()
        head = await _ask(reader, writer, path, "")
        took[path].append(time.perf_counter() - began)
        if not head.startswith("HTTP/1.1 404"):
            raise SystemExit(f"wanted 404, got {head.splitlines()[0]}")
    writer.close()
    medians = [1000 * statistics.median(times) for times in took.values()]
    return max(medians) - min(medians)


async def _ask_all(
    port: int, paths: list[str], tags: dict[str, str], wanted: int, pace: float = 0.0
) -> tuple[float, float]:
    """Answers a second and the 99th percentile [ms] of 50 clients.

    They ask without a pause, or all together `pace` times a second; then the time counts from
    when a question was due, so that a late answer makes no later one look quick.
    """
    turn = itertools.cycle(paths)
    took: list[float] = []
    began = time.perf_counter()

    async def ask_on(number: int) -> None:
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        due = began + 0.1 + number / (pace or CLIENTS)
        while time.perf_counter() < began + SECONDS:
            path = next(turn)
            if pace:
                await asyncio.sleep(max(0.0, due - time.perf_counter()))
            asked = due if pace else time.perf_counter()
            due += CLIENTS / pace if pace else 0.0
            head = await _ask(reader, writer, path, tags.get(path, ""))
            took.append(time.perf_counter() - asked)
            if not head.startswith(f"HTTP/1.1 {wanted}"):
                raise SystemExit(f"wanted {wanted}, got {head.splitlines()[0]}")
        writer.close()

    await asyncio.gather(*(ask_on(number) for number in range(CLIENTS)))
    seconds = time.perf_counter() - began
    took.sort()
    return len(took) / seconds, 1000 * took[int(len(took) * 0.99)]


async def _ask(
    reader: asyncio.StreamReader, writer: asyncio.StreamWriter, path: str, tag: str
) -> str:
    known = f"If-None-Match: {tag}\r\n" if tag else ""
    writer.write(f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\n{known}\r\n".encode())
    head = (await reader.readuntil(b"\r\n\r\n")).decode("latin-1")
    for line in head.split("\r\n"):
        if line.lower().startswith("content-length:"):
            await reader.readexactly(int(line.split(":")[1]))
    return head


if __name__ == "__main__":
    print(json.dumps(measure(), indent=1))
