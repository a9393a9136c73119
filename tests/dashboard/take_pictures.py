"""The pictures of README, taken from the running page: `python -m tests.dashboard.take_pictures`.

The sample yard is served as a visitor would have it; needs chromium, playwright and pillow. A file
of circuits may be named, else the yard is planned.
"""

from __future__ import annotations

import io
import shutil
import sys
import tempfile
from pathlib import Path

from tests.dashboard.browsing import (
    CHROMIUM,
    FLAGS,
    READY,
    ROOT,
    choose,
    open_chapter,
    serve,
)
from tests.ports import find_port

PICTURES = ROOT / "tripkit" / "dashboard" / "pictures"
LEFT, RIGHT = "Tour Gulf", "Tour Piedmont"
MOST_BYTES = 300_000
COLOURS = 256


def main(circuits_file: str = "") -> None:
    """Serve the sample yard with its circuits and take every picture anew."""
    from playwright.sync_api import sync_playwright

    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "yard"
        shutil.copytree(ROOT / "sample_calendar", folder)
        lay_circuits(folder, circuits_file)
        port = find_port()
        words = ("tripkit", "serve", str(folder), "--port", str(port))
        with serve(port, *words, log=Path(scratch) / "log") as url, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
            _take_desk(_open(browser, url, width=1340, height=900, scheme="light"))
            _take_phone(_open(browser, url, width=390, height=844, scheme="dark"))
            browser.close()


def lay_circuits(folder: Path, circuits_file: str) -> None:
    """The circuits of a file that fit the yard, else those planned now."""
    from tripkit import plan, read_circuits, read_yard, write_circuits

    yard = read_yard(folder)
    circuits = read_circuits(circuits_file, yard) if circuits_file else plan(yard)
    write_circuits(folder / "circuits.json", yard, circuits)


def _take_desk(page) -> None:
    strips = page.locator(".tk-strips-part").bounding_box()
    _take(page, "two-circuits.png", 0, strips["y"] - 12, 1340)
    _take(page, "strips.png", strips["y"] + 8, strips["y"] + strips["height"] + 12, 1340)
    open_chapter(page, "map")
    page.wait_for_selector(".tk-chapter-map svg path", timeout=60_000)
    page.wait_for_timeout(500)
    _take_part(page, "map.png", ".tk-chapter-map")


def _take_phone(page) -> None:
    open_chapter(page, "road")
    page.wait_for_selector(".tk-table-road")
    page.locator(".tk-road-days select").first.select_option(label="Wade Pemberton")
    page.wait_for_function(
        "document.querySelector('.tk-table-road').ariaLabel.includes('Wade Pemberton')"
    )
    _take(page, "road-days-dark.png", 0, 1200, 390)


def _open(browser, url: str, width: int, height: int, scheme: str):
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme, has_touch=width < 700
    )
    page = context.new_page()
    page.goto(url)
    page.wait_for_selector(READY, timeout=60_000)
    choose(page, "left", LEFT)
    choose(page, "right", RIGHT)
    return page


def _take_part(page, name: str, part: str) -> None:
    box = page.locator(part).first.bounding_box()
    top = box["y"] + page.evaluate("scrollY")
    _take(page, name, top - 8, top + box["height"], 1340)


def _take(page, name: str, top: float, bottom: float, width: float) -> None:
    clip = {"x": 0, "y": top, "width": width, "height": bottom - top}
    page.screenshot(path=PICTURES / name, clip=clip, full_page=True)
    _shrink(PICTURES / name)


def _shrink(path: Path) -> None:
    """The card has few colours: a palette keeps the picture small and sharp."""
    from PIL import Image

    small = io.BytesIO()
    with Image.open(path) as picture:
        drawn = picture.convert("RGB").quantize(
            COLOURS, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE
        )
        drawn.save(small, "PNG", optimize=True)
    path.write_bytes(small.getvalue())
    size = path.stat().st_size
    if size > MOST_BYTES:
        raise SystemExit(f"{path.name} has {size} bytes, more than {MOST_BYTES}")
    print(f"{path.relative_to(ROOT)}  {size} bytes")


if __name__ == "__main__":
    main(*sys.argv[1:])
