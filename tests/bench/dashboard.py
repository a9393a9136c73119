"""How fast the season card answers and what it needs: `python -m tests.bench.dashboard`.

A real browser visits real servers. Needs chromium, playwright and psutil; nothing here is run by
the tests. Limits are those of issue 6.
"""

from __future__ import annotations

import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from typing import Any

from tests.dashboard.browsing import (
    CHROMIUM,
    FLAGS,
    READY,
    ROOT,
    measure_switch,
    serve,
)
from tests.ports import find_port

LIMITS = {
    "page ready, cold [s]": 6.0,
    "page ready, preheated kernel [s]": 2.5,
    "switching, 12 horses [ms]": 200.0,
    "switching, 40 horses [ms]": 600.0,
    "page [MB]": 2.0,
    "10 visitors at once [GB]": 2.5,
}
VISITORS = 10
SWITCHES = 3
WARM_VISITS = 3
WARM_UP_SECONDS = 8.0
MEGABYTE = 1024 * 1024


def measure(circuits_file: str | Path | None = None) -> dict[str, float]:
    """Every figure of `LIMITS` on the sample yard; its circuits are planned where none are given.

    Cold is the first visit as soon as the server listens; preheated is one to a kernel that has
    run the notebook before, the median of three. Memory is the sum of RSS of the server and all its
    kernels, the preheated one too, while every visitor has the page open, in binary GB.
    """
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "yard"
        shutil.copytree(ROOT / "sample_calendar", folder)
        if circuits_file is None:
            from tripkit import plan, read_yard, write_circuits

            yard = read_yard(folder)
            write_circuits(folder / "circuits.json", yard, plan(yard))
        else:
            shutil.copyfile(circuits_file, folder / "circuits.json")
        return _measure_sample(folder) | _measure_forty(Path(scratch))


def _measure_sample(folder: Path) -> dict[str, float]:
    port = find_port()
    words = ("tripkit", "serve", str(folder), "--port", str(port))
    found = {}
    with serve(port, *words, log=folder.parent / "log") as url, _browse() as browser:
        page, seconds, weight = _visit(browser, url)
        found["page ready, cold [s]"] = seconds
        found["page [MB]"] = weight / MEGABYTE
        found["switching, 12 horses [ms]"] = _measure_switches(page)
        warm = []
        for _ in range(WARM_VISITS):
            # The next kernel runs the notebook while nobody visits.
            time.sleep(WARM_UP_SECONDS)
            page, seconds, _ = _visit(browser, url)
            warm.append(seconds)
        found["page ready, preheated kernel [s]"] = median(warm)
        for _ in range(VISITORS - WARM_VISITS - 1):
            _visit(browser, url)
        found["10 visitors at once [GB]"] = _measure_memory(port) / 1024 / MEGABYTE
    return found


def _measure_forty(scratch: Path) -> dict[str, float]:
    folder = scratch / "forty"
    folder.mkdir()
    port = find_port()
    words = ("tests.dashboard.served_season", str(folder), str(port))
    with serve(port, *words, log=scratch / "log-forty") as url, _browse() as browser:
        page, _, _ = _visit(browser, f"{url}?forty")
        page.wait_for_function("!document.querySelector('.tk-working')", timeout=30_000)
        return {"switching, 40 horses [ms]": _measure_switches(page)}


@contextmanager
def _browse() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield browser
        browser.close()


def _visit(browser: Any, url: str) -> tuple[Any, float, int]:
    """A visitor of their own: the page, seconds until the strips stand, bytes received."""
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    page = context.new_page()
    weight = [0]
    session = context.new_cdp_session(page)
    session.send("Network.enable")

    def count(event: dict[str, Any]) -> None:
        weight[0] += int(event.get("encodedDataLength", 0))

    def count_frame(event: dict[str, Any]) -> None:
        # The log shows bytes that are no text in base64, four letters for three of them.
        frame = event["response"]
        size = len(frame["payloadData"])
        weight[0] += size * 3 // 4 if frame["opcode"] == 2 else size

    session.on("Network.loadingFinished", count)
    session.on("Network.webSocketFrameReceived", count_frame)
    began = time.perf_counter()
    page.goto(url)
    page.wait_for_selector(READY, timeout=120_000)
    seconds = time.perf_counter() - began
    page.wait_for_timeout(500)
    return page, seconds, weight[0]


def _measure_switches(page: Any) -> float:
    """The slowest of several first and second choices of the circuit under the line [ms]."""
    names = page.locator(".tk-choice-right select option").evaluate_all(
        "all => all.map(option => option.value)"
    )
    chosen = page.locator(".tk-choice-right select").input_value()
    others = [name for name in names if name != chosen]
    return max(measure_switch(page, "right", name) for name in (others * SWITCHES)[:SWITCHES])


def _measure_memory(port: int) -> float:
    """Bytes that the server and all its kernels hold, each with what it shares with others."""
    import psutil

    server = next(p for p in psutil.Process().children() if str(port) in p.cmdline())
    family = (server, *server.children(recursive=True))
    return sum(float(process.memory_info().rss) for process in family)


def main() -> None:
    """Every figure beside its limit."""
    for name, figure in measure().items():
        missed = "" if figure <= LIMITS[name] else "  MISSED"
        print(f"{name:36} {figure:8.2f}  at most {LIMITS[name]:g}{missed}")


if __name__ == "__main__":
    main()
