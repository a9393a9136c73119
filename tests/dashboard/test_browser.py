"""The page in a real browser: it shows, it answers, it fits, and it asks nobody else."""

from __future__ import annotations

import re
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from tests.dashboard.browsing import CHROMIUM, READY, choose, find_port, serve
from tests.dashboard.season import make_circuit, make_season
from tripkit.money import write_money
from tripkit.timeline import DAY_PX

pytest.importorskip("playwright.sync_api")

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine")


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    """The address of the made-up season."""
    folder = tmp_path_factory.mktemp("served")
    port = find_port()
    words = ("tests.dashboard.served_season", str(folder), str(port))
    with serve(port, *words, log=folder / "log") as url:
        yield url


@pytest.fixture(scope="module")
def visit(browser, address):
    """One visit at 1440 px whose every request and complaint is written down."""
    context = browser.new_context(viewport={"width": 1440, "height": 900}, accept_downloads=True)
    page = context.new_page()
    asked, complaints = [], []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(address)
    page.wait_for_selector(READY, timeout=60_000)
    yield page, asked, complaints
    context.close()


def test_a_first_visit_plans_by_itself_and_shows_both_circuits(visit):
    """Nothing was saved: the page plans in the background and shows what it found."""
    page, _, complaints = visit
    assert page.locator(".tk-row").count() == 12
    assert "Quarry Gate Farm" in page.inner_text("h1")
    assert re.search(
        r"Planned: 3 circuits in \d+ s, all proved best\.", page.inner_text(".tk-notice")
    )
    assert complaints == []


def test_no_request_leaves_the_machine(visit, address):
    """Every request of the visit went to the server itself or was made of its own bytes."""
    _, asked, _ = visit
    foreign = [u for u in asked if not u.startswith((address, "data:", "blob:"))]
    assert len(asked) > 10
    assert foreign == []


def test_the_figures_on_the_page_are_those_of_the_circuits(visit):
    """Costs to the cent, from the same circuits built here."""
    page, _, _ = visit
    yard = make_season()
    for name, tour, skip in (("most worth", "Coast", 4), ("least road", "Hills", 3)):
        cost = make_circuit(yard, name, name, tour, skip).totals.cost_cents
        assert write_money(cost, "USD") in page.inner_text(".tk-chooser")


def test_the_contents_lead_to_every_part(visit):
    """Each link names a head that is there, and following one scrolls to it on the same page."""
    page, _, _ = visit
    links = page.locator(".tk-contents a")
    assert links.count() == 4
    for i in range(4):
        target = links.nth(i).get_attribute("href")
        assert page.locator(target).inner_text() == links.nth(i).inner_text()
    links.nth(2).click()
    page.wait_for_function("scrollY > 1000")
    assert page.locator(".tk-row").count() == 12
    page.evaluate("scrollTo(0, 0)")


def test_the_keyboard_walks_the_days(visit):
    """Focus, then arrow keys: the readout tells horse, circuit and day."""
    page, _, _ = visit
    page.focus(".tk-strips-scroll")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Home")
    assert page.inner_text(".tk-strips-readout") == "Alder (most worth) Mon 1 Mar: day off"
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    assert page.inner_text(".tk-strips-readout") == "Alder (least road) Tue 2 Mar: flat"


def test_pointing_tells_the_day(visit):
    """Bracken jumps at Dothan 1 on Thursday 11 March: the eleventh day, above the line."""
    page, _, _ = visit
    box = page.locator(".tk-strips-scroll svg").bounding_box()
    row = page.locator(".tk-strips-name").nth(1).bounding_box()
    page.mouse.move(box["x"] + 10.5 * DAY_PX, row["y"] + 20)
    told = page.inner_text(".tk-strips-readout")
    assert told == (
        "Bracken (most worth) Thu 11 Mar: 1.20 Two Phase at Dothan 1 with Tessa Brandvold"
    )


def test_choosing_another_circuit_redraws_the_page(visit):
    """The list under the line goes from the least road to the Hills tour and back."""
    page, _, _ = visit
    page.locator(".tk-choice-right select").select_option(index=2)
    page.wait_for_function("document.querySelector('.tk-head').innerText.includes('tour Hills')")
    assert "Tour Hills instead of most worth" in page.inner_text(".tk-verdict")
    page.locator(".tk-choice-right select").select_option(index=1)
    page.wait_for_function("!document.querySelector('.tk-head').innerText.includes('tour Hills')")


def test_the_diary_and_its_file_follow_the_horse(visit):
    """The file that arrives is a calendar of the horse that was chosen."""
    page, _, _ = visit
    page.locator(".tk-horse-part select").first.select_option(label="Hazel")
    page.wait_for_function("document.querySelector('.tk-button').innerText.includes('Hazel')")
    with page.expect_download(timeout=20_000) as coming:
        page.click(".tk-button")
    data = Path(coming.value.path()).read_bytes()
    assert coming.value.suggested_filename.endswith(".ics")
    assert data.startswith(b"BEGIN:VCALENDAR\r\n")
    assert b"Hazel" in data


def test_planning_again_leaves_the_page_free_and_can_be_stopped(visit):
    """While the planner works the lists answer; Stop ends it and keeps what was found."""
    page, _, _ = visit
    page.get_by_role("button", name="Plan again").click()
    page.wait_for_selector(".tk-working")
    page.locator(".tk-choice-right select").select_option(index=2)
    page.wait_for_function("document.querySelector('.tk-head').innerText.includes('tour Hills')")
    assert page.locator(".tk-working").count() == 1
    page.get_by_role("button", name=re.compile("^Stop")).click()
    page.wait_for_function("!document.querySelector('.tk-working')")
    assert "tour Hills" in page.inner_text(".tk-head")
    page.click(".tk-fold-steps summary")
    told = page.inner_text(".tk-fold-steps")
    assert "the most worth" in told
    assert "at most 420 of worth possible" in told


@pytest.mark.parametrize("width", [1440, 820, 390])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_scrolls_sideways_but_the_strip(visit, width, scheme):
    """At three widths, light and dark, the page is as wide as the window with all folds open."""
    page, _, _ = visit
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    page.set_viewport_size({"width": width, "height": 900})
    page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true; })")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    strips = page.locator(".tk-strips-scroll")
    assert strips.evaluate("part => part.scrollWidth >= part.clientWidth")
    page.set_viewport_size({"width": 1440, "height": 900})


def test_a_phone_gets_the_long_tables_folded_and_keeps_what_it_opens(browser, address):
    """Closed at first; one that was opened stays open when another circuit is chosen."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    page.goto(address)
    page.wait_for_selector(READY, timeout=60_000)
    page.wait_for_function("!document.querySelector('.tk-working')")
    folds = page.locator("details.tk-fold")
    # The season, the owners, the horses, the entries, the diary, the steps of the search.
    assert folds.count() == 6
    assert page.locator("details.tk-fold[open]").count() == 0
    page.click(".tk-fold-table-owners summary")
    page.wait_for_selector(".tk-fold-table-owners[open]")
    choose(page, "right", "tour Hills")
    page.wait_for_selector(".tk-fold-table-owners[open]")
    assert page.locator("details.tk-fold[open]").count() == 1
    context.close()


def test_files_of_the_yard_are_not_served(address):
    """The server gives the page and nothing of the folder (it allows no file at all)."""
    for name in ("season.ipynb", "log"):
        request = urllib.request.Request(f"{address}voila/files/{name}")
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(request, timeout=10)
        refused.value.close()
        assert refused.value.code in (403, 404)


def test_a_foreign_name_for_this_machine_is_refused(address):
    """A page from elsewhere that points its own name here (DNS rebinding) gets nothing."""
    request = urllib.request.Request(address, headers={"Host": "season.example:80"})
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(request, timeout=10)
    refused.value.close()
    assert refused.value.code == 403
