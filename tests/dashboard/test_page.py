"""The page's widgets without a browser: they follow the Desk, and names stay text."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from types import SimpleNamespace

import ipywidgets
import pytest

from tests.dashboard.season import make_circuit, make_season
from tests.dashboard.test_desk import FAULT, make_desk
from tripkit.dashboard.cardprint import write_print
from tripkit.dashboard.daylist import write_daylist
from tripkit.dashboard.figures import list_figures
from tripkit.dashboard.horsepage import write_horse_facts
from tripkit.dashboard.page import make_page
from tripkit.dashboard.widgets import Contents, DownloadButton, Sheet, Strips
from tripkit.season.wishes import Wishes
from tripkit.words import page as words
from tripkit.words.figures import write_progress
from tripkit.words.formats import write_money
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import BadYard
from tripkit.yard.horses import OutingsWanted

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
    text = widget.html if isinstance(widget, Sheet) else widget.value
    return unescape(re.sub(r"<[^>]+>", " ", text))


def press(page, piece, **message):
    """What a browser sends when somebody presses or chooses on the sheet of this class."""
    sheet = find(page, piece)
    sheet._take_message(sheet, message, message.pop("buffers", []))


def list_options(sheet):
    """The values of the lists on a sheet, in order."""
    return re.findall(r'<option value="([^"]*)"', sheet.html)


def strips_of(page):
    return next(w for w in walk(page) if isinstance(w, Strips))


def test_the_lists_offer_every_circuit_that_exists(desk):
    """A circuit without a plan cannot be chosen; its reasons stand at the foot."""
    page = make_page(desk)
    for side in ("left", "right"):
        assert list_options(find(page, f"choice-{side}")) == ["most worth", "least road"]
    desk.go("change")
    assert "no road to the Moon" in read(find(page, "without-plan"))


def test_choosing_in_the_list_moves_everything(desk):
    """Strips, figures and verdict follow the list in one step."""
    page = make_page(desk)
    before = strips_of(page).svg
    press(page, "choice-left", do="left", value="least road")
    assert desk.left == "least road"
    assert strips_of(page).left == "least road"
    assert strips_of(page).svg != before
    assert read(find(page, "verdict")).strip() == words.VERDICT_SAME


def test_circuits_laid_anew_keep_the_two_that_were_chosen(desk, season):
    """Putting circuits in another order on the desk chooses nothing."""
    page = make_page(desk)
    desk.right = "most worth"
    desk.left = "least road"
    desk.take_circuits(tuple(reversed(season[1])))
    assert (desk.left, desk.right) == ("least road", "most worth")
    for side, name in (("left", "least road"), ("right", "most worth")):
        assert f'value="{name}" selected' in find(page, f"choice-{side}").html


def test_the_figures_are_those_of_the_circuits(desk):
    """Cost to the cent and worth, as the circuit has them."""
    page = make_page(desk)
    desk.go("differs")
    told = read(find(page, "differences"))
    for circuit in desk.pair:
        assert write_money(circuit.totals.cost_cents, "USD") in told
        assert f"{circuit.totals.worth:,.0f}" in told


def test_what_is_wanted_of_a_horse_and_missing_is_told(desk):
    """Under the circuit by horse and owner, on the horse's page as its row has it."""
    yard, circuit = desk.yard, replace(desk.pair[0], outings=())
    first, *others = yard.horses
    for wanted, said in ((OutingsWanted(4, 6), "4 to 6"), (OutingsWanted(0, 5), "at most 5")):
        horse = replace(first, outings_wanted=wanted)
        one = replace(yard, horses=(horse, *others))
        assert said in write_horse_facts(one, circuit, horse.horse)
        told = dict(list_figures(one, circuit)).get(words.MISSING, "")
        assert (f"{horse.horse}" in told and "0 of 4" in told) is bool(wanted.least)
    assert words.WANTED not in write_horse_facts(yard, circuit, first.horse)
    assert words.MISSING not in dict(list_figures(yard, circuit))


def test_aims_with_commas_of_their_own_stand_apart_on_page_and_paper(desk):
    """An aim is titled HORSE at SHOW, CLASS: semicolons stand between two; none is told as such."""
    yard, circuit = desk.yard, desk.pair[0]
    aims = ("Alder at Coast 1, Final", "Birch at Coast 2, Final")
    both = replace(circuit, totals=replace(circuit.totals, aims_met=aims))
    told = (words.AIMS, "Alder at Coast 1, Final; Birch at Coast 2, Final")
    assert list_figures(yard, both)[-1] == told
    assert told[1] in write_print(yard, (both, both), both)
    neither = replace(circuit, totals=replace(circuit.totals, aims_met=()))
    assert list_figures(yard, neither)[-1] == (words.AIMS, words.NO_FIGURE)
    assert words.AIMS not in dict(list_figures(replace(yard, aims=()), both))


def test_the_strips_carry_every_day_of_both_sides(desk):
    """12 horses with 98 days each, above and below."""
    strips = strips_of(make_page(desk))
    assert len(strips.rows) == 12
    assert {len(row[side]) for row in strips.rows for side in ("left", "right")} == {98}


def test_the_key_explains_no_mark_that_the_strips_have_not(season, tmp_path):
    """A yard with aims has their mark in the key, one without has not."""
    yard, circuits = season
    for aims, shown in ((yard.aims, True), ((), False)):
        desk = make_desk((replace(yard, aims=aims), circuits), tmp_path)
        desk.open()
        assert ("half filled" in read(find(make_page(desk), "key"))) is shown


def test_the_card_on_paper_says_year_and_day_and_draws_the_season_in_two_bands(desk):
    """Fourteen weeks are two bands of seven, 49 days to the width of the page."""
    html = write_print(desk.yard, desk.pair, desk.pair[0])
    assert "March 1, 2027 to June 6, 2027; planned as of March 16, 2027" in html
    alder = html.split("tk-print-horse")[1]
    assert alder.count('class="tk-timeline"') == 2
    assert set(re.findall(r'class="tk-timeline"[^>]* width="(\d+)"', alder)) == {"717"}


def test_the_diary_follows_horse_and_side(desk):
    """Fourteen weeks; the shows of the chosen circuit and no others."""
    page = make_page(desk)
    desk.go("horse")
    press(page, "horse-controls", do="horse", value="Bracken")
    told = read(find(page, "horse-page")).partition("day by day")[2]
    assert "Dothan 1" in told
    assert "Danville 1" not in told
    press(page, "horse-controls", do="side", name="right")
    told = read(find(page, "horse-page")).partition("day by day")[2]
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
    assert next(w for w in walk(page) if isinstance(w, Contents)).layout.display == "none"


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
    assert "3</span> s of at most 240 s" in find(page, "progress").html
    assert "<details" not in find(page, "progress").html
    desk.planning = False
    assert "<details" in find(page, "progress").html


def test_the_first_planning_is_alive_on_every_chapter(desk):
    """How far each goal is, with a clock that goes on, stands above whatever chapter lies open;
    once there are circuits to read it stands in its own chapter only."""
    page = make_page(desk)
    circuits = desk.circuits
    desk.take_circuits(())
    desk.planning = True
    for chapter in words.CHAPTERS:
        desk.go(chapter)
        assert "0</span> s of at most 240 s" in find(page, "first-steps").html
        assert 'data-ticks="0"' in find(page, "first-steps").html
    step = {"goal": "most worth", "stage": "proof", "objective": 1.0, "bound": 2.0, "seconds": 3.2}
    desk.progress = (SimpleNamespace(**step),)
    assert "3</span> s of at most 240 s" in find(page, "first-steps").html
    assert "most worth" in read(find(page, "first-steps"))
    assert find(page, "progress").html == ""
    desk.take_circuits(circuits)
    assert find(page, "first-steps").html == ""
    assert "3</span> s of at most 240 s" in find(page, "progress").html


def test_the_stop_button_is_there_only_while_planning(desk):
    """Plan is barred meanwhile: one plan at a time. Stop stands on every chapter."""
    page = make_page(desk)
    desk.go("change")
    assert 'data-do="stop"' not in find(page, "plan-buttons").html
    desk.planning = True
    assert 'data-do="stop"' in find(page, "plan-buttons").html
    assert 'data-do="stop"' in find(page, "status").html
    assert re.search(r'data-do="plan"[^>]* disabled', find(page, "plan-buttons").html)
    desk.planning = False
    assert find(page, "status").html == ""


def test_no_chapter_shows_its_own_tags(desk):
    """Ready markup is put in as it is: no person reads `<section class=…>` on any chapter."""
    page = make_page(desk)
    for chapter in words.CHAPTERS:
        desk.go(chapter)
        desk.ask_figure("left", "worth")
        written = [w for w in walk(page) if hasattr(w, "html") or hasattr(w, "value")]
        # The handbook tells of signs in its own words.
        shown = [read(w) for w in written if "tk-handbook" not in w._dom_classes]
        assert [text for text in shown if re.search(r"</?[a-z]+[ >]", text)] == [], chapter


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
    desk.wishes = Wishes().hold(NASTY, "Dothan 1")
    page = make_page(desk)
    for chapter in words.CHAPTERS:
        desk.go(chapter)
    desk.go(f"horse={NASTY}")
    desk.ask_day("left", NASTY, 10)
    pieces = [w.value for w in walk(page) if isinstance(w, ipywidgets.HTML)]
    pieces += [w.html for w in walk(page) if isinstance(w, Sheet)]
    assert not any("<img" in piece for piece in pieces)
    assert sum("&lt;img" in piece for piece in pieces) >= 12
    assert "<img" not in strips_of(page).svg
    assert "<img" not in write_print(yard, desk.pair, desk.pair[0])


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
