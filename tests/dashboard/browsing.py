"""A server of its own for a test, and the browser that looks at it."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.patience import PATIENCE_SECONDS

ROOT = Path(__file__).resolve().parents[2]
CHROMIUM = shutil.which("chromium")
# Where every outside program has to be there, the fixture `browser` fails instead.
needs_browser = pytest.mark.skipif(
    CHROMIUM is None and os.environ.get("TRIPKIT_OUTSIDE") != "all",
    reason="chromium is not installed (Debian: chromium)",
)
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
READY = ".tk-strips-scroll svg"


@contextmanager
def serve(port: int, *words: str, log: Path) -> Iterator[str]:
    """The address of `python -m ...` while it serves; ended with all its kernels afterwards."""
    with log.open("w") as said:
        server = subprocess.Popen(
            [sys.executable, "-m", *words],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=said,
            stderr=said,
            start_new_session=True,
        )
    try:
        _wait_for_port(port, server)
        yield f"http://127.0.0.1:{port}/"
    finally:
        server.send_signal(signal.SIGTERM)
        try:
            server.wait(20)
        except subprocess.TimeoutExpired:
            os.killpg(server.pid, signal.SIGKILL)
            server.wait(PATIENCE_SECONDS)


def _wait_for_port(port: int, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < until:
        assert server.poll() is None, "the server ended before it listened"
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.2)
        else:
            return
    raise AssertionError("the server never listened")


def choose(page, side: str, name: str) -> None:
    """Choose a circuit by its name in the list above (left) or under (right) the line."""
    options = page.locator(f".tk-choice-{side} select option").all_text_contents()
    starts = [option.replace("\N{NO-BREAK SPACE}", " ").startswith(name) for option in options]
    page.locator(f".tk-choice-{side} select").select_option(index=starts.index(True))
    # What the kernel has written, not what was chosen: the head names both circuits already.
    page.wait_for_function(
        """([side, name]) => document
            .querySelector(`.tk-choice-${side} select option[selected]`)
            ?.textContent.replaceAll("\u00a0", " ").trim().startsWith(name)""",
        arg=[side, name],
    )


def open_chapter(page, key: str) -> None:
    """Press a chapter in the contents line (on a phone, open the line first)."""
    opener = page.locator(".tk-contents-opener")
    if opener.is_visible():
        opener.click()
    page.locator(f'.tk-contents a[href="#{key}"]').click()
    page.wait_for_selector(f".tk-chapter-{key}", state="visible")


def put_away(page) -> None:
    """Put the slip with an answer away."""
    page.click(".tk-slip-close")
    page.wait_for_selector(".tk-slip-paper", state="detached")


def measure_switch(page, side: str, name: str) -> float:
    """Milliseconds from choosing a circuit until its strips are drawn (for the benchmark)."""
    return page.evaluate(
        """([side, name]) => new Promise((done) => {
            const list = document.querySelector(`.tk-choice-${side} select`);
            const strips = document.querySelector(".tk-strips-part .tk-strips-scroll");
            const began = performance.now();
            new MutationObserver((_, watch) => {
                watch.disconnect();
                requestAnimationFrame(() => done(performance.now() - began));
            }).observe(strips, { childList: true });
            list.value = name;
            list.dispatchEvent(new Event("change", { bubbles: true }));
        })""",
        [side, name],
    )
