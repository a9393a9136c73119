"""The pictures of README, taken from the running page: `python -m tests.dashboard.take_pictures`.

The sample yard is planned and served as a visitor would have it; needs chromium and playwright.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from tests.dashboard.browsing import CHROMIUM, FLAGS, READY, ROOT, choose, find_port, serve

PICTURES = ROOT / "tripkit" / "dashboard" / "pictures"
LEFT, RIGHT = "Tour Gulf", "Tour Piedmont"
MOST_BYTES = 400_000


def main() -> None:
    """Plan the sample yard, serve it, and take every picture anew."""
    from playwright.sync_api import sync_playwright

    from tripkit import plan, read_yard, write_circuits

    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "yard"
        shutil.copytree(ROOT / "sample_calendar", folder)
        yard = read_yard(folder)
        write_circuits(folder / "circuits.json", yard, plan(yard))
        port = find_port()
        words = ("tripkit", "serve", str(folder), "--port", str(port))
        with serve(port, *words, log=Path(scratch) / "log") as url, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
            page = _open(browser, url, width=1340, height=900, scheme="light")
            whole = page.locator(".tk-card").bounding_box()
            strips = page.locator(".tk-strips-part").bounding_box()
            _take(page, "two-circuits.png", 0, strips["y"] - 12, whole["width"])
            _take(page, "strips.png", strips["y"] + 8, strips["y"] + strips["height"] + 12, 1340)
            phone = _open(browser, url, width=390, height=844, scheme="dark")
            part = phone.locator(".tk-strips-part").bounding_box()
            _take(phone, "phone-dark.png", part["y"] + 8, part["y"] + part["height"], 390)
            browser.close()


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


def _take(page, name: str, top: float, bottom: float, width: float) -> None:
    path = PICTURES / name
    clip = {"x": 0, "y": top, "width": width, "height": bottom - top}
    page.screenshot(path=path, clip=clip, full_page=True)
    size = path.stat().st_size
    if size > MOST_BYTES:
        raise SystemExit(f"{name} has {size} bytes, more than {MOST_BYTES}")
    print(f"{path.relative_to(ROOT)}  {size} bytes")


if __name__ == "__main__":
    main()
