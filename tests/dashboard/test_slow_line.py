"""A page on a slow line, and what a page may copy: in a real browser, on this machine."""

from __future__ import annotations

from tests.dashboard.browsing import READY, needs_browser, open_chapter

pytestmark = needs_browser


def test_a_page_on_a_slow_line_says_how_much_is_here_and_blames_nobody(browser, address) -> None:
    """At 20 kB a second it is still loading, with a number that grows; nobody is told to end the
    server; without a line it says so; with one again the card opens."""
    page = browser.new_page(viewport={"width": 390, "height": 800})
    line = page.context.new_cdp_session(page)
    line.send("Network.enable")

    def make_line(kb_a_second: float, offline: bool = False) -> None:
        speed = {"downloadThroughput": kb_a_second * 1000, "uploadThroughput": -1}
        line.send("Network.emulateNetworkConditions", {"offline": offline, "latency": 50, **speed})

    make_line(20)
    page.goto(address, wait_until="commit")
    much = "#loading_much"
    page.wait_for_function(
        "() => document.querySelector('#loading_much')?.innerText.includes('kB are here')",
    )
    first = page.inner_text(much)
    assert page.inner_text("#loading_text").startswith("Still loading")
    page.wait_for_function(
        "first => document.querySelector('#loading_much').innerText !== first",
        arg=first,
    )
    assert page.locator("#lost").is_hidden()
    assert "end " not in page.inner_text("body")
    make_line(-1 / 1000, offline=True)
    page.wait_for_selector("#lost:not([hidden])")
    assert "goes on by itself" in page.inner_text("#lost")
    make_line(-1 / 1000)
    page.wait_for_function("() => document.querySelector('#lost').hidden")
    page.context.close()


def test_an_address_is_copied_by_keyboard_and_by_the_old_way(browser, address) -> None:
    """The browser's clipboard, else a marked text; where neither is allowed the address is left
    marked and the page says why. Each is said where a screen reader hears it."""
    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.goto(address)
    page.wait_for_selector(READY)
    open_chapter(page, "calendars")
    page.get_by_role("button", name="Publish").click()
    page.get_by_role("button", name="Publish now").click()
    page.wait_for_selector(".tk-posted li")
    assert "tripkit serve" in page.inner_text(".tk-board .tk-advice >> nth=0")
    button = page.locator("[data-copy]").first
    said = page.locator(".tk-posted [role=status]").first

    page.evaluate(
        "() => { window.kept = [];"
        " const clipboard = { writeText: async (text) => { window.kept.push(text); } };"
        " Object.defineProperty(navigator, 'clipboard', { value: clipboard, configurable: true });"
        " document.addEventListener('copy', () => window.kept.push(getSelection().toString())); }"
    )
    button.focus()
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.querySelector('.tk-copied').innerText")
    assert said.inner_text().endswith("is copied.")
    page.evaluate("Object.defineProperty(navigator, 'clipboard', { value: undefined })")
    button.focus()
    page.keyboard.press("Enter")
    page.wait_for_function("() => window.kept.length === 2")
    wanted = button.get_attribute("data-copy")
    assert page.evaluate("window.kept") == [wanted, wanted]
    page.evaluate("() => { document.execCommand = () => false; }")
    button.focus()
    page.keyboard.press("Enter")
    page.wait_for_function(
        "() => document.querySelector('.tk-copied').innerText.includes('not let this page')"
    )
    assert page.evaluate("getSelection().toString()") == wanted
    page.context.close()
