"""The door of a real server on loopback: login, logout, what starts a kernel and what ends it."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlencode

import psutil
import pytest
from tornado.websocket import websocket_connect

from tests.ports import find_port
from tests.serve.listening import Answer, ask
from tests.serve.test_whole_server import PASSWORD, lives, open_page, serve, wait_until
from tripkit.serve.gate import GUESSES, Guesses

HASTY = "tests.serve.hasty_server"
ELSEWHERE = {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Dest": "image", "Sec_Fetch_Mode": "no-cors"}


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("door") / "log"


@pytest.fixture(scope="module")
def port(log: Path) -> Iterator[int]:
    """A server behind a base path that asks for a password."""
    port, folder = find_port(), log.parent / "yard"
    folder.mkdir()
    with serve(
        port, folder, log, "--base-url", "stable", "--public", "https://yard.example/stable"
    ):
        yield port


def send(port: int, path: str, body: str, **headers: str) -> Answer:
    return ask(port, path, "POST", body, Content_Length=str(len(body)), **headers)


def ask_for_form(port: int) -> tuple[str, str]:
    """The cookie and the field against forms from elsewhere."""
    status, headers, body = ask(port, "/stable/login")
    assert status == 200
    found = re.search(r'name="_xsrf" value="([^"]+)"', body.decode())
    assert found is not None
    return headers["Set-Cookie"].partition(";")[0], found[1]


def log_in(port: int, password: str, **headers: str) -> Answer:
    cookie, field = ask_for_form(port)
    body = urlencode({"_xsrf": field, "password": password})
    kind = "application/x-www-form-urlencoded"
    return send(port, "/stable/login", body, Cookie=cookie, Content_Type=kind, **headers)


def test_login_behind_a_base_path_leads_to_the_card_and_logout_out_again(port: int) -> None:
    """Card, login, card; the way out answers, takes the cookie back and the card asks again."""
    status, headers, _ = ask(port, "/stable/")
    assert (status, headers["Location"]) == (302, "/stable/login")
    status, headers, body = log_in(port, PASSWORD)
    assert (status, headers["Location"], body) == (302, "/stable/", b"")
    kept = headers["Set-Cookie"]
    # RFC 6265 section 5.2: not for scripts, over https only; SameSite: not along from elsewhere.
    for wanted in ("; HttpOnly", "; Secure", "; SameSite=Lax", "; Path=/stable/"):
        assert wanted in kept
    cookie = kept.partition(";")[0]
    status, headers, body = ask(port, "/stable/", Cookie=cookie)
    assert status == 200
    assert b"Opening the season card" in body
    assert headers["Content-Security-Policy"] == "frame-ancestors 'none'"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Robots-Tag"] == "noindex"
    status, headers, body = ask(port, "/stable/logout", Cookie=cookie)
    assert status == 200
    assert b"logged out" in body
    assert any("expires=" in line for line in headers.get_all("Set-Cookie"))


def test_a_wrong_password_is_told_and_a_form_from_elsewhere_is_refused(port: int) -> None:
    """No cookie is given for either; the answer says nothing of the password."""
    status, headers, body = log_in(port, "sesame")
    assert status == 401
    assert b"not the password" in body
    assert "Set-Cookie" not in headers
    assert log_in(port, PASSWORD, Origin="https://evil.example")[0] in (403, 404)
    assert send(port, "/stable/login", f"password={PASSWORD}")[0] == 403


def test_no_address_and_no_header_opens_the_door(port: int) -> None:
    """A password in an address would stay in logs, one in a header would be a guess uncounted."""
    asked = urlencode({"token": PASSWORD, "password": PASSWORD})
    for path in (f"/stable/?{asked}", f"/stable/login?{asked}"):
        for headers in ({}, {"Authorization": f"token {PASSWORD}"}):
            status, answered, body = ask(port, path, **headers)
            assert status == 302 or b'type="password"' in body
            assert "sesame" not in str(answered.get("Location"))
    assert send(port, f"/stable/login?{asked}", "")[0] == 403


@pytest.mark.parametrize(
    "path",
    [
        "/stable/voila/query/3f2504e0-4f89-11d3-9a0c-0305e82c3301",
        "/stable/voila/files/yard.toml",
        "/stable/nowhere",
        "/login",
        "/",
    ],
)
def test_nothing_else_answers_without_the_password(port: int, path: str) -> None:
    """Neither the line by which kernels ask for their page, nor files, nor another base path."""
    upgrade = {
        "Connection": "Upgrade",
        "Upgrade": "websocket",
        "Sec_WebSocket_Version": "13",
        "Sec_WebSocket_Key": "dGhlIHNhbXBsZSBub25jZQ==",
    }
    assert ask(port, path)[0] in (403, 404)
    assert ask(port, path, **upgrade)[0] in (403, 404)


def test_guesses_are_slowed_down_and_the_log_stays_empty_of_secrets(port: int, log: Path) -> None:
    """After a few wrong passwords even the right one has to wait; the answer says how long."""
    answers = [log_in(port, f"guess {i}") for i in range(int(GUESSES) + 1)]
    assert answers[-1][0] == 429
    assert 1 <= int(answers[-1][1]["Retry-After"]) <= 5
    assert b"Too many wrong passwords" in answers[-1][2]
    ask(port, "/stable/feeds/secret-of-alder.ics?token=hush")
    ask(port, "/stable/logout?token=hush", Host="[")
    said = log.read_text(encoding="utf-8")
    for secret in (PASSWORD, "hush", "secret-of-alder", "guess"):
        assert secret not in said


def test_guesses_are_counted_by_address_and_come_back_with_time() -> None:
    """Five at once, one more every five seconds; who knew it in the end starts anew; a thousand
    guessers are remembered at most."""
    now = [0.0]
    guesses = Guesses(lambda: now[0])
    assert [guesses.take("192.0.2.1") for _ in range(5)] == [0.0] * 5
    assert guesses.take("192.0.2.1") == pytest.approx(5.0)
    assert guesses.take("192.0.2.2") == 0
    now[0] = 5.0
    assert guesses.take("192.0.2.1") == 0
    assert guesses.take("192.0.2.1") > 0
    guesses.forget("192.0.2.1")
    assert guesses.take("192.0.2.1") == 0
    # RFC 4291 section 2.5.4: one network has 2**64 addresses.
    assert [guesses.take(f"2001:db8::{i:x}") > 0 for i in range(7)] == [False] * 5 + [True] * 2
    for i in range(1500):
        guesses.take(f"198.18.{i // 250}.{i % 250}")
    assert len(guesses._allowances) == 1000


@pytest.fixture(scope="module")
def hasty(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[int, psutil.Process]]:
    """A server of one page without a password, with little patience."""
    port, folder = find_port(), tmp_path_factory.mktemp("hasty")
    with serve(port, folder, folder / "log", "--pages", "1", module=HASTY) as server:
        yield port, server


def count_kernels(server: psutil.Process) -> int:
    return sum("ipykernel_launcher" in " ".join(p.cmdline()) for p in server.children())


def test_requests_from_elsewhere_start_no_kernel(hasty: tuple[int, psutil.Process]) -> None:
    """Twelve pictures of another site that point here get nothing, nor does a link's first step."""
    port, server = hasty
    host = f"127.0.0.1:{port}"
    wait_until(lambda: count_kernels(server) == 1)
    assert [ask(port, "/", Host=host, **ELSEWHERE)[0] for _ in range(12)] == [403] * 12
    link = {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Dest": "document"}
    status, _, body = ask(port, "/", Host=host, Sec_Fetch_Mode="navigate", **link)
    assert status == 200
    assert b'href="/"' in body
    assert b"kernelId" not in body
    # The name of a site that points to this machine (DNS rebinding).
    assert ask(port, "/", Host="evil.example")[0] == 403
    assert count_kernels(server) == 1


def test_one_more_page_waits_in_words_and_has_its_turn_when_a_place_is_free(
    hasty: tuple[int, psutil.Process],
) -> None:
    """RFC 9110 section 15.6.4: 503 with Retry-After; the page asks again by itself."""
    port, server = hasty
    host = f"127.0.0.1:{port}"
    first = open_page(port)
    status, headers, body = ask(port, "/", Host=host)
    assert (status, headers["Retry-After"]) == (503, "5")
    assert b"tries again by itself" in body
    assert b'<meta http-equiv="refresh" content="5">' in body
    assert count_kernels(server) <= 2
    assert ask(port, f"/voila/api/here/{first}", Host=host)[0] == 204
    goodbye = f"/voila/api/shutdown/{first}"
    assert ask(port, goodbye, "POST", Host=host, Content_Length="0")[0] == 204
    assert ask(port, f"/voila/api/here/{first}", Host=host)[0] == 404
    second = open_page(port)
    ask(port, f"/voila/api/shutdown/{second}", "POST", Host=host, Content_Length="0")


def test_a_page_without_goodbye_loses_its_kernel(hasty: tuple[int, psutil.Process]) -> None:
    """An open line keeps it, whatever the time; when the line is gone and nobody comes, it ends."""
    port, _ = hasty
    kernel = open_page(port)

    async def hold_the_line() -> None:
        line = await websocket_connect(f"ws://127.0.0.1:{port}/api/kernels/{kernel}/channels")
        for _ in range(30):
            assert lives(port, kernel)
            await asyncio.sleep(0.1)
        line.close()
        while await line.read_message() is not None:
            pass

    asyncio.run(hold_the_line())
    assert lives(port, kernel)
    wait_until(lambda: not lives(port, kernel))
