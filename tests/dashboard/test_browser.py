"""The page in a real browser: it shows, it answers, it fits, and it asks nobody else."""

from __future__ import annotations

import re
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from tests.dashboard.browsing import (
    READY,
    choose,
    needs_browser,
    open_chapter,
)
from tests.dashboard.season import make_circuit, make_season
from tests.dashboard.served_season import ODD_NAMES
from tests.patience import PATIENCE_SECONDS
from tripkit.dashboard.widgets import HERE
from tripkit.pictures.timeline import DAY_PX
from tripkit.words import page as words
from tripkit.words.formats import write_money

pytestmark = needs_browser


@pytest.fixture(scope="module")
def visit(browser, address):
    """One visit at 1440 px whose every request and complaint is written down."""
    context = browser.new_context(viewport={"width": 1440, "height": 900}, accept_downloads=True)
    page = context.new_page()
    asked, complaints = [], []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(address)
    page.wait_for_selector(READY)
    yield page, asked, complaints
    context.close()


def test_a_first_visit_plans_by_itself_and_shows_both_circuits(visit):
    """Nothing was saved: the page plans in the background and shows what it found."""
    page, _, complaints = visit
    assert page.locator(".tk-strips-part .tk-row").count() == 12
    assert "Quarry Gate Farm" in page.inner_text("h1")
    # The words come a moment after the picture.
    page.wait_for_selector(".tk-plan-buttons .tk-said:has-text('Planned:')", state="attached")
    assert re.search(
        r"Planned: 3 circuits in \d+ s, all proved best\.",
        page.inner_text(".tk-plan-buttons .tk-said"),
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


def test_the_contents_lead_to_every_chapter(visit):
    """Each link opens the chapter it names, and no other; the address says which."""
    page, _, _ = visit
    for key, said in words.CHAPTERS.items():
        open_chapter(page, key)
        heads = page.locator(".tk-chapter:visible .tk-chapter-head h2").all_inner_texts()
        assert heads == [said]
        page.wait_for_function("key => location.hash.slice(1).split('=')[0] === key", arg=key)
    open_chapter(page, "two")
    assert page.locator(".tk-strips-part .tk-row").count() == 12


def test_a_link_of_the_handbook_leads_to_the_head_of_its_chapter(visit):
    """It opens there, not where the one before was left; Back opens that one again."""
    page, _, _ = visit
    opened = "name => document.querySelector('.tk-leaves a[aria-current]')?.hash === name"
    open_chapter(page, "handbook")
    page.wait_for_function(opened, arg="#handbook=evening")
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    page.click('.tk-leaf a[href="#handbook=calendars"]')
    page.wait_for_function(opened, arg="#handbook=calendars")
    assert page.evaluate("document.activeElement.innerText") == words.CHAPTERS["handbook"]
    assert page.locator(".tk-leaf h3").bounding_box()["y"] > 0
    page.go_back()
    page.wait_for_function(opened, arg="#handbook=evening")
    open_chapter(page, "two")


def test_an_address_opens_a_horse(browser, address):
    """A calendar's link leads to the horse's page, also where the name has to be quoted."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(f"{address}#horse=Hazel")
    page.wait_for_function("document.querySelector('.tk-horse-name')?.innerText === 'Hazel'")
    assert page.locator(".tk-chapter-horse").is_visible()
    assert page.locator(".tk-chapter-two").is_hidden()
    context.close()


def test_the_keyboard_walks_the_days(visit):
    """Focus, then arrow keys: the readout tells horse, circuit and day."""
    page, _, _ = visit
    page.focus(".tk-strips-scroll")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Home")
    assert page.inner_text(".tk-strips-readout") == (
        "Alder (most worth) Mon Mar 1: day off, at home. Rule: Monday is the day off."
    )
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    assert page.inner_text(".tk-strips-readout") == (
        "Alder (least road) Tue Mar 2: flat, at home. Rule: light work between schools."
    )


def test_pointing_tells_the_day(visit):
    """Bracken jumps at Dothan 1 on Thursday 11 March: the eleventh day, above the line."""
    page, _, _ = visit
    page.locator(".tk-strips-part svg.tk-timeline").hover(position={"x": 10.5 * DAY_PX, "y": 140})
    told = page.inner_text(".tk-strips-readout")
    assert told == (
        "Bracken (most worth) Thu Mar 11: 1.20 Two Phase at Dothan 1 with Tessa Brandvold. "
        "Rule: horse, rider and papers fit the class."
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
    open_chapter(page, "horse")
    page.locator(".tk-horse-controls select").first.select_option(label="Hazel")
    page.wait_for_function(
        "document.querySelector('.tk-take-horse .tk-button').innerText.includes('Hazel')"
    )
    with page.expect_download() as coming:
        page.click(".tk-take-horse .tk-button")
    data = Path(coming.value.path()).read_bytes()
    assert coming.value.suggested_filename.endswith(".ics")
    assert data.startswith(b"BEGIN:VCALENDAR\r\n")
    assert b"Hazel" in data


def test_planning_again_leaves_the_page_free_and_can_be_stopped(visit):
    """While the planner works the lists answer; Stop ends it and keeps what was found."""
    page, _, _ = visit
    open_chapter(page, "change")
    page.get_by_role("button", name="Plan again").click()
    page.wait_for_selector(".tk-working")
    open_chapter(page, "two")
    page.locator(".tk-choice-right select").select_option(index=2)
    page.wait_for_function("document.querySelector('.tk-head').innerText.includes('tour Hills')")
    assert page.locator(".tk-working").count() == 1
    page.locator(".tk-status").get_by_role("button", name=re.compile("^Stop")).click()
    page.wait_for_function("!document.querySelector('.tk-working')")
    assert "tour Hills" in page.inner_text(".tk-head")
    open_chapter(page, "change")
    page.click(".tk-fold-steps summary")
    told = page.inner_text(".tk-fold-steps")
    assert "the most worth" in told
    assert "at most 420 of worth possible" in told


def test_pressing_a_day_answers_with_rule_and_source(visit):
    """The slip tells the day and its source; from it the outing can be forbidden and taken back."""
    page, _, _ = visit
    open_chapter(page, "two")
    # 30 March, a day of Dothan 2: what is over by the yard's today can no longer be forbidden.
    page.locator(".tk-strips-part svg.tk-timeline").click(position={"x": 29.5 * DAY_PX, "y": 140})
    page.wait_for_selector(".tk-slip-paper")
    assert "Bracken" in page.inner_text(".tk-asked")
    page.locator(".tk-slip").get_by_role("button", name="Forbid").click()
    page.wait_for_selector(".tk-chapter-change", state="visible")
    page.wait_for_selector(".tk-wishes li")
    assert page.inner_text(".tk-wishes li span") == "Bracken does not go to Dothan 2"
    page.locator(".tk-wishes").get_by_role("button").click()
    page.wait_for_selector(".tk-wishes li", state="detached")


def test_a_point_of_the_picture_is_laid_under_the_line(visit):
    """By keyboard alone: pick the point, then press the button that lays it."""
    page, _, _ = visit
    open_chapter(page, "all")
    page.focus('.tk-wide-only .tk-point[data-name="tour Hills"]')
    page.keyboard.press("Enter")
    page.wait_for_selector(".tk-picked button")
    page.focus('.tk-picked [data-do="right"]')
    page.keyboard.press("Enter")
    page.wait_for_function(
        "document.querySelector('.tk-choice-right select')?.value === 'tour Hills'"
    )
    marked = page.locator('.tk-wide-only .tk-point[data-name="tour Hills"] .tk-point-note')
    assert marked.text_content() == "Under the line"


def test_a_broken_table_that_is_brought_is_refused_with_its_reason(visit, tmp_path):
    """Nothing changes; the reason stands on the page (here: a kind of file no yard has)."""
    page, _, _ = visit
    open_chapter(page, "files")
    wrong = tmp_path / "shows.docx"
    wrong.write_bytes(b"no table")
    page.set_input_files('.tk-files-in input[type="file"]', str(wrong))
    page.wait_for_selector(".tk-files-in .tk-fault")
    assert "'shows.docx' is none of .xlsx, .csv, .ics, .toml" in page.inner_text(".tk-files-in")
    assert page.locator(".tk-strips-part .tk-row").count() == 12


def test_the_print_has_a_page_for_each_circuit_and_each_horse(visit, tmp_path):
    """Two circuits and twelve horses are fourteen pages, on A4 and on Letter."""
    page, _, _ = visit
    open_chapter(page, "files")
    page.evaluate("() => { window.print = () => { window.printed = true; }; }")
    page.locator('[data-do="print"]').click()
    page.wait_for_function("window.printed")
    for paper in ("A4", "Letter"):
        printed = page.pdf(format=paper)
        assert len(re.findall(rb"/Type\s*/Page\b(?!s)", printed)) == 14, paper


def test_two_views_of_the_contents_line_print_once(browser):
    """An order to print that two views hear opens one print window; the next order another."""
    page = browser.new_page()
    page.set_content('<div class="tk-card"><div id="one"></div><div id="two"></div></div>')
    script = (HERE / "contents.js").read_text(encoding="utf-8")
    prints = page.evaluate(
        """async (script) => {
            const { default: widget } = await import(
                "data:text/javascript," + encodeURIComponent(script));
            const heard = [];
            const model = {
                get: (name) => (name === "chapters" ? [] : ""),
                on: (name, act) => name === "msg:custom" && heard.push(act),
                send() {}, off() {},
            };
            let count = 0;
            window.print = () => { count += 1; };
            for (const id of ["one", "two"])
                widget.render({ model, el: document.getElementById(id) });
            const counts = [];
            for (const html of ["first", "second"]) {
                const order = { kind: "print", html };
                heard.forEach((act) => act(order));
                counts.push([count, document.querySelectorAll(".tk-print").length]);
            }
            return counts;
        }""",
        script,
    )
    page.close()
    assert prints == [[1, 1], [2, 1]]


def test_a_question_stays_asked_while_its_leaf_is_written_anew(browser):
    """It stays in the hand that holds it, and goes with the button that asked it."""
    page = browser.new_page()
    page.set_content('<div id="leaf"></div>')
    script = (HERE / "sheet.js").read_text(encoding="utf-8")
    seen = page.evaluate(
        """async (script) => {
            const { default: widget } = await import(
                "data:text/javascript," + encodeURIComponent(script));
            const button = (state) => `<p role="status"></p><button data-do="publish"
                data-key="publish" data-ask="Sure?" data-yes="Yes" data-no="No"
                ${state}>Go</button>`;
            let html = button("");
            let draw;
            const model = { get: () => html, on: (name, act) => (draw = act), send() {}, off() {} };
            const el = document.getElementById("leaf");
            widget.render({ model, el });
            const seen = [];
            const look = () => seen.push(
                [el.querySelectorAll(".tk-ask-back").length, document.activeElement.textContent]);
            el.querySelector("button").click();
            look();
            draw();
            look();
            [...el.querySelectorAll("button")].at(-1).focus();
            draw();
            look();
            [...el.querySelectorAll("button")].at(-1).click();
            draw();
            look();
            el.querySelector("button").click();
            html = '<p role="status">Published.</p>';
            draw();
            look();
            return seen;
        }""",
        script,
    )
    page.close()
    assert seen == [
        [1, "Sure?YesNo"],
        [1, "Sure?YesNo"],
        [1, "No"],
        [0, "Go"],
        [0, "Published."],
    ]


def test_a_question_that_is_left_publishes_nothing(visit):
    """Pressed by keyboard it asks in place; Escape and "Leave it" bring the button back in hand."""
    page, _, _ = visit
    page.wait_for_selector(".tk-working", state="detached")
    open_chapter(page, "calendars")
    page.focus('[data-do="publish"]')
    page.keyboard.press("Enter")
    page.wait_for_function("document.activeElement.matches('.tk-ask-back')")
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.dataset.do") == "publish"
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Leave it").click()
    assert page.evaluate("document.activeElement.dataset.do") == "publish"
    assert page.locator(".tk-ask-back, .tk-posted").count() == 0


def test_wishes_taken_back_by_keyboard_leave_the_hand_at_the_list(visit):
    """On the wish that is left, then on what is said where none is."""
    page, _, _ = visit
    open_chapter(page, "change")
    forms = page.locator(".tk-fold-wish-forms")
    forms.get_by_role("button", name="Forbid").click()
    page.fill('[name="budget"]', "40000,50")
    page.keyboard.press("Enter")
    page.wait_for_function("document.querySelectorAll('.tk-wishes li').length === 2")
    page.locator(".tk-wishes button").first.focus()
    page.keyboard.press("Enter")
    page.wait_for_function("document.querySelectorAll('.tk-wishes li').length === 1")
    assert page.evaluate("document.activeElement.dataset.do") == "remove"
    page.keyboard.press("Enter")
    page.wait_for_function("!document.querySelector('.tk-wishes')")
    assert page.evaluate("document.activeElement.innerText") == words.NO_WISHES


def test_a_chapter_on_paper_keeps_what_was_chosen_and_the_whole_season(visit):
    """What a list or a toggle shows stands there as words; no strip is wider than the page.

    The card that was printed before, whole, is gone with the leaf it was printed from.
    """
    page, _, _ = visit
    page.set_viewport_size({"width": 718, "height": 900})
    page.emulate_media(media="print")
    for key in ("two", "horse"):
        page.evaluate("key => { location.hash = key; }", key)
        page.wait_for_selector(f".tk-chapter-{key}", state="visible")
        page.wait_for_selector(f".tk-chapter-{key} .tk-strips-scroll svg")
        for part in page.locator(f".tk-chapter-{key} .tk-strips-scroll svg").all():
            box = part.bounding_box()
            assert box["x"] + box["width"] <= 718
    assert page.locator('[data-take="horse"]').is_visible()
    shown = page.locator(".tk-horse-controls .tk-toggle:visible")
    assert shown.count() == 1
    page.emulate_media(media="screen")
    page.set_viewport_size({"width": 1440, "height": 900})


def test_everything_can_be_touched_on_a_phone(visit):
    """Buttons and lists are 44 px high or more (WCAG 2.5.5), figures 24 px each way (2.5.8)."""
    page, _, _ = visit
    page.set_viewport_size({"width": 390, "height": 844})
    small = []
    for key in words.CHAPTERS:
        open_chapter(page, key)
        small += page.evaluate(
            """() => [...document.querySelectorAll(".tk-card :is(button, select, summary)")]
            .filter((part) => part.getClientRects().length)
            .map((part) => [part.className, part.getBoundingClientRect()])
            .filter(([name, box]) => name === "tk-figure"
                ? box.width < 24 || box.height < 24 : box.height < 44)
            .map(([name, box]) => [name, box.width, box.height])"""
        )
    page.set_viewport_size({"width": 1440, "height": 900})
    assert small == []


@pytest.mark.parametrize("width", [1440, 820, 390])
def test_nothing_scrolls_sideways_but_the_strip(visit, width):
    """At three widths every chapter is as wide as the window with all folds open."""
    page, _, _ = visit
    page.set_viewport_size({"width": width, "height": 900})
    for key in words.CHAPTERS:
        open_chapter(page, key)
        page.wait_for_timeout(150)
        page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true; })")
        assert page.evaluate("document.documentElement.scrollWidth") <= width, key
    open_chapter(page, "two")
    strips = page.locator(".tk-strips-part .tk-strips-scroll")
    assert strips.evaluate("part => part.scrollWidth >= part.clientWidth")
    page.set_viewport_size({"width": 1440, "height": 900})


def test_a_phone_gets_the_long_tables_folded_and_keeps_what_it_opens(browser, address):
    """Closed at first; one that was opened stays open when another circuit is chosen."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    page.goto(address)
    page.wait_for_selector(READY)
    page.wait_for_function("!document.querySelector('.tk-working')")
    open_chapter(page, "differs")
    folds = page.locator(".tk-differences details.tk-fold")
    page.wait_for_selector(".tk-fold-table-owners")
    # The season, the owners, the horses, the entries.
    assert folds.count() == 4
    assert page.locator(".tk-differences details.tk-fold[open]").count() == 0
    page.click(".tk-fold-table-owners summary")
    page.wait_for_selector(".tk-fold-table-owners[open]")
    open_chapter(page, "two")
    choose(page, "right", "tour Hills")
    open_chapter(page, "differs")
    page.wait_for_selector(".tk-fold-table-owners[open]")
    assert page.locator(".tk-differences details.tk-fold[open]").count() == 1
    context.close()


def test_files_of_the_yard_are_not_served(address):
    """The server gives the page and nothing of the folder (it allows no file at all)."""
    for name in ("season.ipynb", "log"):
        request = urllib.request.Request(f"{address}voila/files/{name}")
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(request, timeout=PATIENCE_SECONDS)
        refused.value.close()
        assert refused.value.code in (403, 404)


def test_a_foreign_name_for_this_machine_is_refused(address):
    """A page from elsewhere that points its own name here (DNS rebinding) gets nothing."""
    request = urllib.request.Request(address, headers={"Host": "season.example:80"})
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(request, timeout=PATIENCE_SECONDS)
    refused.value.close()
    assert refused.value.code == 403


def test_odd_names_are_text_and_break_no_chapter(browser, address):
    """Markup, 200 letters, emoji, right to left: shown as text, nothing runs, nothing overflows."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    ran = []
    page.on("dialog", lambda dialog: (ran.append(dialog.message), dialog.dismiss()))
    page.goto(f"{address}?odd")
    page.wait_for_selector(READY)
    page.wait_for_function("!document.querySelector('.tk-working')")
    for key in words.CHAPTERS:
        open_chapter(page, key)
        page.wait_for_timeout(150)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, key
    assert "<script>alert(1)</script>" in page.inner_text(".tk-strips-part")
    open_chapter(page, "horse")
    for name in ODD_NAMES:
        page.locator(".tk-horse-controls select").first.select_option(value=name)
        page.wait_for_function(
            "name => document.querySelector('.tk-horse-name')?.textContent === name", arg=name
        )
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, name
    assert ran == []
    context.close()
