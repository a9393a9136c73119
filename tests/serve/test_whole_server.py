"""`tripkit serve` as a process of its own: dashboard behind a password, feeds by secret alone."""

from __future__ import annotations

import os
import re
import socket
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import psutil
import pytest

from tests.patience import PATIENCE_SECONDS
from tests.ports import find_port
from tests.publishing.hand_season import make_season_circuit, make_season_yard, move_second_show
from tests.serve.listening import ask, find_token
from tripkit.publishing import list_addresses, publish
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
    port = find_port()
    words = ("--base-url", "stable", "--public", "https://yard.example/s")
    with serve(port, store.path.parent, log, *words):
        yield port


@contextmanager
def serve(
    port: int, folder: Path, log: Path, *words: str, module: str = "tripkit"
) -> Iterator[psutil.Process]:
    """The server of a folder as a process of its own, ended afterwards.

    It asks for the password where it has a public address.
    """
    command = ["serve", str(folder), "--port", str(port), *words]
    with log.open("wb") as out:
        process = psutil.Popen(
            [sys.executable, "-m", module, *command],
            cwd=ROOT,
            stdout=out,
            stderr=out,
            env={**os.environ, "TRIPKIT_PASSWORD": PASSWORD if "--public" in words else ""},
        )
    try:
        wait_until(lambda: is_open(port))
        yield process
    finally:
        process.terminate()
        process.wait(PATIENCE_SECONDS)


def is_open(port: int) -> bool:
    try:
        socket.create_connection(("127.0.0.1", port), timeout=1).close()
    except OSError:
        return False
    return True


def wait_until(holds: object) -> None:
    assert callable(holds)
    until = time.monotonic() + PATIENCE_SECONDS
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


def open_page(port: int) -> str:
    """The id of the kernel behind a page that is loaded now."""
    status, _, body = ask(port, "/", Host=f"127.0.0.1:{port}")
    found = re.search(rb'"kernelId": "([0-9a-f-]+)"', body)
    assert status == 200
    assert found is not None
    return found[1].decode()


def lives(port: int, kernel: str) -> bool:
    return ask(port, f"/api/kernels/{kernel}", Host=f"127.0.0.1:{port}")[0] == 200


def test_a_page_that_is_left_ends_its_kernel_and_a_dead_one_is_given_to_nobody(
    tmp_path: Path,
) -> None:
    """The goodbye of a page needs no token but the kernel's id; of a kernel that is gone already
    it is no fault. After every kernel was killed the next page has one that lives. The server's
    address stands in the store before anything is published."""
    port = find_port()
    folder = tmp_path / "yard"
    folder.mkdir()
    with serve(port, folder, tmp_path / "log") as server, open_store(folder) as store:
        wait_until(lambda: store.read_shelf().settings)
        publish(make_season_yard(), make_season_circuit(), store, datetime(2027, 2, 10, tzinfo=UTC))
        assert list_addresses(store)[0].link.startswith(f"http://127.0.0.1:{port}/feeds/")

        kernel = open_page(port)
        assert lives(port, kernel)
        for _ in range(2):
            goodbye = f"/voila/api/shutdown/{kernel}"
            assert (
                ask(port, goodbye, "POST", Host=f"127.0.0.1:{port}", Content_Length="0")[0] == 204
            )
            assert not lives(port, kernel)

        kernel = open_page(port)
        killed = [p for p in server.children() if "ipykernel_launcher" in " ".join(p.cmdline())]
        assert killed
        for process in killed:
            process.kill()
        wait_until(lambda: not any(p.is_running() and p.status() != "zombie" for p in killed))
        assert lives(port, open_page(port))
