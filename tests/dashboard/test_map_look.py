"""The map in the browser: readable colours, nothing fetched, and every journey answers."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.build import make_yard
from tests.dashboard.browsing import needs_browser
from tests.dashboard.test_look import DARK, LIGHT, find_contrast
from tests.pictures.test_routemap import BACK, OUT, make_circuit
from tripkit.dashboard import map_widget
from tripkit.dashboard.map_widget import RouteMap
from tripkit.pictures.route_map_forms import ALONE, STYLE
from tripkit.words import page as words

HERE = Path(map_widget.__file__).parent
LEFT, RIGHT = make_circuit("Gulf", OUT, BACK), make_circuit("<i>Hills", OUT)


def make_map(width=700):
    routes = RouteMap()
    routes.show(make_yard(), LEFT, RIGHT)
    routes.width = width
    return routes


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("form", ["spot", "blue", "ochre", "ink"])
def test_routes_stand_out_from_the_land(theme, form):
    """At least 3 to 1 on the paper that land is (WCAG 2.1, success criterion 1.4.11)."""
    assert find_contrast(theme[form], theme["paper"]) >= 3


def test_a_map_that_stands_alone_has_the_cards_colours():
    """Light and dark, the file's own colours are those of card.css."""
    light, dark = ALONE.split("@media")
    for block, theme in ((light, LIGHT), (dark, DARK)):
        for name, colour in re.findall(r"--tk-([a-z-]+):(#[0-9a-f]{6})", block):
            assert theme[name] == colour


def test_the_maps_own_colours_have_a_dark_side():
    """Water, roads and borders: each named twice, never the same."""
    light, dark = (
        dict(re.findall(r"--tk-(map-[a-z]+):(#\w+)", b)) for b in STYLE.split("@media")[:2]
    )
    assert light.keys() == dark.keys()
    assert not set(light.values()) & set(dark.values())


@pytest.mark.parametrize("name", ["routes.js", "map.css"])
def test_script_and_style_ask_nobody(name):
    """No address, no import from elsewhere."""
    text = (HERE / name).read_text(encoding="utf-8")
    assert not re.search(r"https?:|//cdn|@import|@font-face|\bimport\b|url\(", text)


# The widget


def test_nothing_is_drawn_before_the_browser_says_how_wide():
    """The base map is read for somebody who looks."""
    routes = RouteMap()
    routes.show(make_yard(), LEFT, RIGHT)
    assert routes.svg == ""
    routes.width = 360
    assert 'width="360"' in routes.svg
    assert [side["name"] for side in routes.journeys[0]["sides"]] == ["Gulf", "<i>Hills"]


def test_a_map_that_cannot_be_drawn_says_why(monkeypatch):
    """The reason stands where the map would."""

    def fail(*_args, **_more):
        raise OSError("no such file")

    monkeypatch.setattr(map_widget, "draw_season_map", fail)
    routes = make_map()
    assert routes.svg == ""
    assert "no such file" in routes.said


def open_page(browser, width, routes=None, **options):
    """The widget's script on a page of its own, with a plain object for the model."""
    routes = routes or make_map(min(1400, (width - 28) // 20 * 20))
    names = ("svg", "journeys", "width", "hint", "hint_touch", "waiting", "late", "label", "said")
    state = json.dumps({name: getattr(routes, name) for name in names}).replace("</", "<\\/")
    script = (
        (HERE / "routes.js").read_text(encoding="utf-8").replace("export default", "window.map =")
    )
    css = "".join((HERE / name).read_text(encoding="utf-8") for name in ("card.css", "map.css"))
    page = browser.new_context(viewport={"width": width, "height": 900}, **options).new_page()
    page.route("**/*", lambda route: route.abort())
    page.clock.install()
    page.set_content(
        f'<style>{css}</style><div class="tk-card" style="padding:14px"><div id="el"></div></div>'
        f"<script>{script}\nconst state = {state};"
        "const model = { get: (k) => state[k], set: (k, v) => { state[k] = v; }, on() {}, off() {},"
        ' save_changes() {} }; window.map.render({ model, el: document.getElementById("el") });'
        "</script>"
    )
    return page


@needs_browser
def test_every_journey_answers_pointer_tap_and_keys(browser):
    """Hover, tap and arrow keys tell the same legs; names are text; nothing hangs over the edge."""
    for width, touch in ((1440, False), (390, True)):
        page = open_page(browser, width, has_touch=touch)
        told = page.locator(".tk-routes-readout")
        assert "Tue 6 Apr" not in told.inner_text()
        mark = page.locator(".tk-map-way circle").first
        if touch:
            mark.tap()
        else:
            mark.hover()
        assert "Tue 6 Apr, home 07:00 EDT to S1" in told.inner_text()
        assert "<i>Hills" in told.inner_text()
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == "tk-routes-frame"
        page.keyboard.press("Escape")
        assert "Tue 6 Apr" not in told.inner_text()
        page.keyboard.press("ArrowRight")
        assert "Mon 12 Apr" in told.inner_text()
        assert page.locator(".tk-map-way[tabindex='0']").count() == 0
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        page.context.close()


@needs_browser
def test_a_map_that_nobody_draws_is_not_waited_for_without_end(browser):
    """Where no drawing comes, as from a server that was ended, the page says what helps."""
    page = open_page(browser, 700, RouteMap())
    told = page.locator(".tk-routes-readout")
    assert told.inner_text() == words.MAP_WAITING
    page.clock.run_for(60_000)
    assert told.inner_text() == words.MAP_LATE
    page.context.close()
