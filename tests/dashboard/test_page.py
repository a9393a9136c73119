"""The page's widgets without a browser: they follow the Desk, and names stay text."""

from __future__ import annotations

import re
from html import unescape
from types import SimpleNamespace

import ipywidgets
import pytest

from tests.dashboard.season import make_circuit, make_season
from tests.dashboard.test_desk import FAULT, make_desk
from tripkit.circuit import Circuit
from tripkit.dashboard import words
from tripkit.dashboard.daylist import write_daylist
from tripkit.dashboard.figures import write_progress
from tripkit.dashboard.page import make_page
from tripkit.dashboard.widgets import DownloadButton, Strips
from tripkit.errors import BadYard
from tripkit.money import write_money

NASTY = "<img src=x onerror=alert(1)> & \"'"


@pytest.fixture(scope="module")
def season():
    yard = make_season()
    circuits = (
        make_circuit(yard, "most worth", "most worth", "Coast"),
        make_circuit(yard, "least road", "least road", "Hills", 3),
        Circuit("tour Moon", "tour Moon", "none exists", reasons=("no road to the Moon",)),
    )
    return yard, circuits


@pytest.fixture
def desk(season, tmp_path):
    desk = make_desk(season, tmp_path)
    desk.open()
    desk.take_circuits(season[1])
    return desk


def walk(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from walk(child)


def find(page, name):
    """The only widget on the page with this class."""
    found = [w for w in walk(page) if f"tk-{name}" in getattr(w, "_dom_classes", ())]
    assert len(found) == 1, name
    return found[0]


def read(widget):
    """What a person would read of a piece of HTML."""
    return unescape(re.sub(r"<[^>]+>", " ", widget.value))


def find_list(page, title):
    kinds = [w for w in walk(page) if isinstance(w, ipywidgets.Dropdown)]
    return next(w for w in kinds if w.description == title)


def strips_of(page):
    return next(w for w in walk(page) if isinstance(w, Strips))


def test_the_lists_offer_every_circuit_that_exists(desk):
    """A circuit without a plan cannot be chosen; its reasons stand at the foot."""
    page = make_page(desk)
    for title in (words.ABOVE, words.BELOW):
        names = [name for _, name in find_list(page, title).options]
        assert names == ["most worth", "least road"]
    assert "no road to the Moon" in read(find(page, "without-plan"))


def test_choosing_in_the_list_moves_everything(desk):
    """Strips, figures and verdict follow the list in one step."""
    page = make_page(desk)
    before = strips_of(page).svg
    find_list(page, words.ABOVE).value = "least road"
    assert desk.left == "least road"
    assert strips_of(page).left == "least road"
    assert strips_of(page).svg != before
    assert read(find(page, "verdict")).strip() == words.VERDICT_SAME


def test_a_list_that_is_filled_anew_chooses_nothing(desk, season):
    """Putting circuits in another order on the desk keeps the two that were chosen."""
    page = make_page(desk)
    desk.right = "most worth"
    desk.left = "least road"
    desk.take_circuits(tuple(reversed(season[1])))
    assert (desk.left, desk.right) == ("least road", "most worth")
    assert find_list(page, words.ABOVE).value == "least road"
    assert find_list(page, words.BELOW).value == "most worth"


def test_the_figures_are_those_of_the_circuits(desk):
    """Cost to the cent and worth, as the circuit has them."""
    page = make_page(desk)
    told = read(find(page, "differences"))
    for circuit in desk.pair:
        assert write_money(circuit.totals.cost_cents, "USD") in told
        assert f"{circuit.totals.worth:,.0f}" in told


def test_the_strips_carry_every_day_of_both_sides(desk):
    """12 horses with 98 days each, above and below."""
    strips = strips_of(make_page(desk))
    assert len(strips.rows) == 12
    assert {len(row[side]) for row in strips.rows for side in ("left", "right")} == {98}


def test_the_diary_follows_horse_and_side(desk):
    """Fourteen weeks; the shows of the chosen circuit and no others."""
    page = make_page(desk)
    find_list(page, words.HORSE).value = "Bracken"
    told = read(find(page, "diary"))
    assert "Dothan 1" in told
    assert "Danville 1" not in told
    find_list(page, words.DIARY_OF).value = "right"
    told = read(find(page, "diary"))
    assert "Danville 1" in told
    assert told.count("Week of") == 14


def test_days_of_one_reason_share_a_line(season):
    """Bracken is home on 15 March after Dothan 1 (last class 13 March): rest to the 20th."""
    yard, circuits = season
    told = unescape(re.sub(r"<[^>]+>", "|", write_daylist(yard, circuits[0], "Bracken")))
    assert (
        "Mon 15 \N{EN DASH} Sat 20||day off, flat, hack, turnout; no jumping after Dothan 1" in told
    )


def test_the_file_goes_as_bytes_on_a_press(desk):
    """The button asks, the Desk builds, the bytes go as a buffer of their own."""
    page = make_page(desk)
    button = next(w for w in walk(page) if isinstance(w, DownloadButton))
    assert button.ready
    sent = []
    button.send = lambda content, buffers=None: sent.append((content, buffers))
    button._take_message(button, {"kind": "build"}, [])
    assert sent == [
        (
            {"kind": "file", "name": "a.ics", "mime": "text/calendar; charset=utf-8"},
            [b"most worth Alder"],
        )
    ]


def test_a_file_that_cannot_be_built_is_said_beside_the_button():
    """The visitor reads the reason instead of waiting for a file."""

    def build():
        raise OSError("disk full")

    button = DownloadButton(build, "text/plain", "No file: {reason}")
    sent = []
    button.send = lambda content, buffers=None: sent.append(content)
    button._take_message(button, {"kind": "build"}, [])
    assert sent == [{"kind": "failed", "said": "No file: disk full"}]


def test_a_wrong_yard_shows_its_faults_and_hides_the_rest(season, tmp_path):
    """Every fault with its row; neither season nor planner is shown."""

    def read_wrong(folder):
        raise BadYard((FAULT,))

    desk = make_desk(season, tmp_path, read_yard=read_wrong)
    desk.open()
    page = make_page(desk)
    assert "shows.csv row 12, column first_day" in read(find(page, "faults-said"))
    assert find(page, "faults").layout.display is None
    assert find(page, "season").layout.display == "none"
    assert find(page, "planner").layout.display == "none"


@pytest.mark.parametrize(
    ("goal", "objective", "bound", "told"),
    [
        ("most worth", None, None, "searching"),
        ("most worth", None, 2809.5, "at most 2,809.5 of worth possible"),
        ("tour Gulf", 497.5, 2362, "497.5 of worth found; at most 2,362 of worth possible"),
        ("alternative", 2357, 2357, "2,357 of worth found, as good as can be"),
        # 160.9344 km are 100 international miles (1959 agreement: 1.609344 km each).
        ("least road", 321.8688, 160.9344, "200 mi found; at least 100 mi needed"),
        (
            "least cost",
            4584984.0,
            4544115.0,
            "45,849.84 USD found; at least 45,441.15 USD needed",
        ),
        (
            "most rest",
            477.42,
            475.1,
            "477.4 hours of horses on the road found; "
            "at least 475.1 hours of horses on the road needed",
        ),
    ],
)
def test_progress_is_told_in_the_unit_of_its_search(goal, objective, bound, told):
    """Worth, miles, cents or hours of horses on the road, as `Progress` says; never a bare None."""
    assert write_progress(goal, objective, bound, make_season()) == told


def test_the_search_is_folded_away_when_it_is_over(desk):
    """While planning a line a goal and the clock; afterwards under a line of words."""
    page = make_page(desk)
    desk.planning = True
    step = {"goal": "most worth", "stage": "proof", "objective": 1.0, "bound": 2.0, "seconds": 3.2}
    desk.progress = (SimpleNamespace(**step),)
    assert "3 s of at most 60 s" in read(find(page, "progress"))
    assert "<details" not in find(page, "progress").value
    desk.planning = False
    assert "<details" in find(page, "progress").value


def test_the_stop_button_is_there_only_while_planning(desk):
    """Plan is barred meanwhile: one plan at a time."""
    page = make_page(desk)
    buttons = {w.description: w for w in walk(page) if isinstance(w, ipywidgets.Button)}
    plan, stop = buttons[words.PLAN], buttons[words.STOP]
    assert stop.layout.display == "none"
    desk.planning = True
    assert plan.disabled
    assert stop.layout.display is None
    desk.planning = False
    assert not plan.disabled


def test_cautions_stand_at_the_foot(desk):
    """A vet decides whether a horse is fit; the rule book and the law rule."""
    page = make_page(desk)
    told = read(find(page, "cautions"))
    assert "vet" in told
    assert "rule book" in told
    assert page.children[-1] is find(page, "cautions")


def test_names_are_shown_as_text_everywhere(tmp_path):
    """No piece of HTML on the page holds a name as markup."""
    yard = make_season(horses=(NASTY, "x" * 200, "\u202egnireg"))
    circuits = (
        make_circuit(yard, NASTY, "tour " + NASTY, "Coast"),
        make_circuit(yard, "b", "most worth", "Hills"),
    )
    desk = make_desk((yard, circuits), tmp_path)
    desk.open()
    desk.take_circuits(circuits)
    desk.notice = NASTY
    desk.errors = (NASTY,)
    page = make_page(desk)
    pieces = [w.value for w in walk(page) if isinstance(w, ipywidgets.HTML)]
    assert not any("<img" in piece for piece in pieces)
    assert sum("&lt;img" in piece for piece in pieces) >= 5
    assert "<img" not in strips_of(page).svg


@pytest.mark.parametrize("number", [1, 40])
def test_one_horse_and_forty_horses_have_a_page(number, tmp_path):
    """Nothing depends on twelve."""
    yard = make_season(horses=tuple(f"Horse {i}" for i in range(number)))
    circuits = (
        make_circuit(yard, "a", "most worth", "Coast"),
        make_circuit(yard, "b", "most rest", "Hills"),
    )
    desk = make_desk((yard, circuits), tmp_path)
    desk.open()
    desk.take_circuits(circuits)
    assert len(strips_of(make_page(desk)).rows) == number
