"""Everybody can use it: axe-core finds nothing on any chapter, width or theme.

axe-core comes from npm: `npm install --prefix tests/dashboard axe-core@4`, else it is fetched into
a scratch folder for the run; without npm the test is skipped.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from tests.dashboard.browsing import CHROMIUM, READY, find_port, open_chapter, serve
from tripkit.dashboard import words

HERE = Path(__file__).parent
SCRIPT = Path("node_modules") / "axe-core" / "axe.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine")


@pytest.fixture(scope="module")
def axe(tmp_path_factory):
    """The text of axe-core."""
    for root in (HERE, HERE.parents[1]):
        if (root / SCRIPT).is_file():
            return (root / SCRIPT).read_text(encoding="utf-8")
    npm = shutil.which("npm")
    if npm is None:
        pytest.skip("no npm on this machine")
    folder = tmp_path_factory.mktemp("axe")
    words = [npm, "install", "--no-audit", "--no-fund", "--prefix", str(folder), "axe-core@4"]
    fetched = subprocess.run(words, capture_output=True, text=True, timeout=120, check=False)
    assert (folder / SCRIPT).is_file(), fetched.stderr
    return (folder / SCRIPT).read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    """The address of the made-up season."""
    folder = tmp_path_factory.mktemp("served")
    port = find_port()
    asked = ("tests.dashboard.served_season", str(folder), str(port))
    with serve(port, *asked, log=folder / "log") as url:
        yield url


@pytest.mark.parametrize("width", [390, 820, 1440])
def test_axe_finds_nothing(browser, address, axe, width):
    """0 violations of WCAG 2.1 A and AA, on every chapter in both themes, with all folds open."""
    context = browser.new_context(viewport={"width": width, "height": 900})
    page = context.new_page()
    page.goto(address)
    page.wait_for_selector(READY, timeout=60_000)
    page.wait_for_function("!document.querySelector('.tk-working')", timeout=30_000)
    page.evaluate(axe)
    found = []
    for key in words.CHAPTERS:
        open_chapter(page, key)
        page.wait_for_timeout(200)
        page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true; })")
        if key == "two":
            # The slip lies over the chapter with an answer.
            page.locator(".tk-figure").first.click()
            page.wait_for_selector(".tk-slip-paper")
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            told = page.evaluate(
                "tags => axe.run(document, {runOnly: {type: 'tag', values: tags}})", TAGS
            )
            found += [
                (key, scheme, v["id"], node["html"][:160])
                for v in told["violations"]
                for node in v["nodes"]
            ]
    context.close()
    assert found == []
