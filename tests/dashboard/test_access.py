"""Everybody can use it: axe-core finds nothing on any chapter, width or theme.

axe-core is one of npm's packages that `tests/outside/package.json` pins; see `tests/outside/tools`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.dashboard.browsing import READY, open_chapter, put_away
from tests.outside.tools import find_node_modules
from tripkit.words import page as words

SCRIPT = Path("axe-core") / "axe.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]
COLOURS = ["color-contrast", "link-in-text-block"]


@pytest.fixture(scope="module")
def axe():
    """The text of axe-core."""
    return (find_node_modules() / SCRIPT).read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def grown(browser, address, axe):
    """A page that is used on: what was opened, wished and published stays for the test after."""
    page = visit(browser, address, axe, 390)
    page.wait_for_selector(READY)
    yield page
    page.context.close()


def find_violations(page, schemes, chapter=""):
    """What axe-core says of the page as it stands, or of a chapter alone, with all folds open.

    In a second scheme only the colours are others.
    """
    page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true; })")
    found = []
    for scheme in schemes:
        page.emulate_media(color_scheme=scheme)
        asked = {"type": "tag", "values": TAGS}
        if scheme != schemes[0]:
            asked = {"type": "rule", "values": COLOURS}
        told = page.evaluate(
            """([part, asked]) => axe.run(part || document, {
                runOnly: asked, resultTypes: ['violations']})""",
            [f".tk-chapter-{chapter}" if chapter else None, asked],
        )
        found += [
            (scheme, v["id"], node["html"][:160]) for v in told["violations"] for node in v["nodes"]
        ]
    return found


def visit(browser, url, axe, width):
    page = browser.new_context(viewport={"width": width, "height": 900}).new_page()
    page.goto(url)
    page.wait_for_selector(".tk-chapter h2")
    page.wait_for_selector(".tk-working", state="detached")
    page.evaluate(axe)
    return page


@pytest.mark.parametrize(
    ("width", "schemes"),
    [(390, ("light",)), (820, ("dark",)), (1440, ("light",))],
    ids=str,
)
def test_axe_finds_nothing(grown, width, schemes):
    """0 violations of WCAG 2.1 A and AA, on every chapter, with all folds open and the slip."""
    page = grown
    page.set_viewport_size({"width": width, "height": 900})
    found = []
    for key in words.CHAPTERS:
        open_chapter(page, key)
        page.wait_for_timeout(200)
        if key == "two":
            # The slip lies over the chapter with an answer.
            page.locator(".tk-figure").first.click()
            page.wait_for_selector(".tk-slip-paper")
        # What stands around every chapter is looked at with the first.
        alone = "" if key == "two" else key
        found += [(key, *said) for said in find_violations(page, schemes, alone)]
        if key == "two":
            put_away(page)
    assert found == []


def test_axe_finds_nothing_in_what_grows_in_use(grown, tmp_path):
    """Wishes, a refused file, addresses with QR codes after publishing, and the card on paper."""
    page = grown
    page.set_viewport_size({"width": 820, "height": 900})
    both = ("light", "dark")
    open_chapter(page, "change")
    page.locator('[data-form="outing"]').get_by_role("button", name="Forbid").click()
    page.wait_for_selector(".tk-wishes li")
    found = find_violations(page, both, "change")
    open_chapter(page, "files")
    wrong = tmp_path / "shows.docx"
    wrong.write_bytes(b"no table")
    page.set_input_files('.tk-files-in input[data-take="files"]', str(wrong))
    page.wait_for_selector(".tk-files-in .tk-fault")
    found += find_violations(page, both, "files")
    open_chapter(page, "calendars")
    page.get_by_role("button", name="Publish").click()
    page.wait_for_selector(".tk-ask-back")
    found += find_violations(page, both, "calendars")
    page.get_by_role("button", name="Publish now").click()
    page.wait_for_selector(".tk-posted li")
    found += find_violations(page, both)
    open_chapter(page, "files")
    page.evaluate("() => { window.print = () => { window.printed = true; }; }")
    page.locator('[data-do="print"]').click()
    page.wait_for_function("window.printed")
    page.emulate_media(media="print")
    found += find_violations(page, ("light",))
    assert found == []


@pytest.mark.parametrize(("kind", "width"), [("one", 390), ("forty", 1440), ("none", 820)])
def test_axe_finds_nothing_where_there_is_little_or_much(browser, address, axe, kind, width):
    """One horse, forty, and a season without any circuit: 0 violations, nothing overflows."""
    page = visit(browser, f"{address}?{kind}", axe, width)
    found = []
    for key in ("two", "all", "horse", "change"):
        open_chapter(page, key)
        page.wait_for_timeout(300)
        scheme = "dark" if key in ("two", "change") else "light"
        alone = "" if key == "two" else key
        found += [(key, *said) for said in find_violations(page, (scheme,), alone)]
        assert page.evaluate("document.documentElement.scrollWidth") <= width, key
    page.context.close()
    assert found == []
