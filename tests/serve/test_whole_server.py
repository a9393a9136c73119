"""`tripkit serve` as a process of its own: dashboard behind a password, feeds by secret alone."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.feeds.hand_season import make_season_circuit, make_season_yard, move_second_show
from tests.serve.listening import ask, find_token
from tripkit.feeds import list_addresses, publish
from tripkit.store import Store, open_store

ROOT = Path(__file__).resolve().parents[2]
PASSWORD = "open sesame, all of you"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path) as made:
        publish(make_season_yard(), make_season_circuit(), made, datetime(2027, 2, 10, tzinfo=UTC))
        yield made


@pytest.fixture
def log(tmp_path: Path) -> Path:
    return tmp_path / "server.log"


@pytest.fixture
def port(store: Store, log: Path) -> Iterator[int]:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = int(free.getsockname()[1])
    command = [sys.executable, "-m", "tripkit", "serve", str(store.path.parent)]
    command += ["--port", str(port), "--base-url", "stable", "--public", "https://yard.example/s"]
    with log.open("wb") as out:
        process = subprocess.Popen(
            command,
            cwd=ROOT,
            stdout=out,
            stderr=out,
            env={**os.environ, "TRIPKIT_PASSWORD": PASSWORD},
        )
    try:
        wait_until(lambda: is_open(port))
        yield port
    finally:
        process.terminate()
        process.wait(30)


def is_open(port: int) -> bool:
    try:
        socket.create_connection(("127.0.0.1", port), timeout=1).close()
    except OSError:
        return False
    return True


def wait_until(holds: object) -> None:
    assert callable(holds)
    until = time.monotonic() + 60
    while not holds():
        assert time.monotonic() < until
        time.sleep(0.1)


def test_one_process_serves_the_dashboard_and_the_feeds(port: int, store: Store, log: Path) -> None:
    """Feeds need their address only, the dashboard its password; a new publishing is seen."""
    path = f"/stable/feeds/{find_token(store)}.ics"
    status, headers, body = ask(port, path, Host="yard.example")
    assert (status, headers["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    # The dashboard sends whoever has not logged in to where he can.
    status, headers, _ = ask(port, "/stable/", Host="yard.example")
    assert status == 302
    assert headers["Location"].startswith("/stable/login")
    assert ask(port, "/stable/api/kernels/x/channels", Host="yard.example")[0] in (302, 403, 404)
    wrong = "/stable/feeds/wrong.ics"
    assert ask(port, wrong, Host="yard.example")[0] == 404
    # The kernel is another process, and meets the server in the store only.
    moved = move_second_show(make_season_circuit(), 7)
    publish(make_season_yard(), moved, store, datetime(2027, 2, 11, tzinfo=UTC))
    wait_until(lambda: ask(port, path)[2] != body)
    # The server has said where people reach it.
    wait_until(lambda: list_addresses(store)[0].link.startswith("https://yard.example/s/feeds/"))
    said = log.read_text(encoding="utf-8")
    assert find_token(store) not in said
    assert PASSWORD not in said
    assert "https://yard.example/s/" in said
