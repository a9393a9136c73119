"""The season strips as SVG text: well formed, escaped, mirrored, told by form and in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import pairwise
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest

from tests.build import make_aim, make_horse, make_show, make_yard, span
from tests.dashboard.season import make_circuit, make_season
from tripkit.pictures.timeline import draw_timeline, place_rows
from tripkit.pictures.timeline_forms import HEIGHTS_PX, draw_swatch
from tripkit.words.days import find_no_jump_window, tell_day, tell_days
from tripkit.yard.circuit import Circuit, Day, Leg, Outing, Totals
from tripkit.yard.people import Absence

SVG = "{http://www.w3.org/2000/svg}"
NASTY = "<script>alert('x')</script> & \"Ünïcode\" 🐎 \u202eabc"


def parse(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)


def outing(horse: str = "Dancer", show: str = "S1") -> Outing:
    return Outing(
        horse,
        show,
        "Ana",
        ("C1", "C2"),
        date(2027, 4, 8),
        date(2027, 4, 10),
        date(2027, 4, 7),
        date(2027, 4, 11),
    )


@pytest.fixture
def season():
    yard = make_season()
    left = make_circuit(yard, "most worth", "most worth", "Coast")
    right = make_circuit(yard, "least road", "least road", "Hills", 3)
    return yard, left, right


def test_the_picture_is_well_formed_and_as_wide_as_the_season(season):
    """98 days (1 March to 6 June: 31 + 30 + 31 + 6) at 10 px, and one pixel for the last line."""
    yard, left, right = season
    root = parse(draw_timeline(yard, left, right, day_px=10, names=False))
    assert root.tag == SVG + "svg"
    assert float(root.get("width")) == 981


def test_every_horse_has_one_line_in_file_order(season):
    """A row per horse, also for one that goes nowhere."""
    yard, left, right = season
    root = parse(draw_timeline(yard, left, right))
    rows = root.findall(f"{SVG}g[@class='tk-row']")
    assert [row.find(f"{SVG}title").text for row in rows] == [h.horse for h in yard.horses]
    assert len(place_rows(yard)) == 12


def test_the_same_circuit_on_both_sides_mirrors_itself(season):
    """Left stands on the line, right hangs under it: same places, same widths, same heights."""
    yard, left, _ = season
    root = parse(draw_timeline(yard, left, left, names=False))
    for row, place in zip(root.findall(f"{SVG}g[@class='tk-row']"), place_rows(yard), strict=True):
        above, below = set(), set()
        for show in row.iter(f"{SVG}rect"):
            if show.get("class") != "tk-show":
                continue
            y = float(show.get("y"))
            spot = (show.get("x"), show.get("width"), show.get("height"))
            (above if y < place.middle else below).add(spot)
        assert above == below
        assert bool(above) == (row.find(f"{SVG}title").text != "Fennel")


def test_a_difference_breaks_the_symmetry(season):
    """Of two circuits that never share a show, no class day stands on both sides alike."""
    yard, left, right = season
    drawn = draw_timeline(yard, left, right)
    for show in ("Dothan 1", "Statesville 1"):
        assert show in drawn
    assert draw_timeline(yard, left, right) != draw_timeline(yard, right, left)


@pytest.mark.parametrize("names", [True, False])
def test_names_are_text_and_never_markup(names):
    """Angle brackets, quotes, emoji and marks of direction in names stay text (XML 1.0, 2.4)."""
    yard = make_yard(
        horses=[make_horse(NASTY)],
        shows=[make_show(NASTY)],
    )
    circuit = Circuit(
        NASTY,
        "most worth",
        "proved best",
        outings=(outing(NASTY, NASTY),),
        days=(Day(NASTY, date(2027, 4, 8), NASTY, "show"),),
    )
    drawn = draw_timeline(yard, circuit, circuit, names=names)
    assert "<script" not in drawn
    root = parse(drawn)
    titles = [title.text for title in root.iter(f"{SVG}title")]
    assert any(NASTY in title for title in titles)


def test_what_the_yard_wrote_of_a_day_is_text_in_its_title():
    """Why a horse is away, what it aims at, which entries close and who meets the aim."""
    reason = f"reason {NASTY}"
    yard = make_yard(
        horses=[make_horse(NASTY)],
        shows=[make_show(NASTY, entries_close="2027-03-20")],
        aims=[make_aim(NASTY, NASTY)],
        absences=[Absence(NASTY, span("2027-05-03", "2027-05-05"), reason)],
    )
    meets = Circuit(
        f"name {NASTY}",
        "most worth",
        "proved best",
        outings=(outing(NASTY, NASTY),),
        totals=Totals(aims_met=(yard.aims[0].title,)),
    )
    misses = replace(meets, name="b", totals=Totals())
    drawn = draw_timeline(yard, meets, misses)
    assert "<script" not in drawn
    titles = [title.text for title in parse(drawn).iter(f"{SVG}title")]
    for written in (reason, yard.aims[0].title, meets.name, f"entries close for {NASTY}"):
        assert [title for title in titles if written in title], written


def test_every_kind_of_day_has_a_form_of_its_own():
    """No two kinds look alike in one colour, apart from rest and day off."""
    forms = {kind: draw_swatch(kind) for kind in HEIGHTS_PX}
    assert forms.pop("rest") == forms["day off"]
    assert len(set(forms.values())) == len(forms)
    for drawn in forms.values():
        parse(drawn)


def test_the_week_without_jumping_follows_the_last_class():
    """Seven days by default (handbook, Files: no_jump_days): from the 11th to the 17th."""
    yard = make_yard()
    window = find_no_jump_window(yard, outing())
    assert (window.first, window.last) == (date(2027, 4, 11), date(2027, 4, 17))


def test_the_week_without_jumping_ends_with_the_season():
    """A season that ends on the 13th leaves three days of it."""
    yard = make_yard(season=("2027-03-01", "2027-04-13"))
    assert find_no_jump_window(yard, outing()).days == 3


@pytest.mark.parametrize(
    ("day", "told"),
    [
        (Day("Dancer", date(2027, 4, 8), "S1", "show"), "Thu Apr 8: C1 at S1 with Ana"),
        (Day("Dancer", date(2027, 4, 10), "S1", "show"), "Sat Apr 10: C2 at S1 with Ana"),
        (
            Day("Dancer", date(2027, 4, 14), "home", "hack", ("vet check",)),
            "Wed Apr 14: hack, day 4 of 7 without jumping after S1; also vet check",
        ),
        (Day("Dancer", date(2027, 4, 2), "home", "school"), "Fri Apr 2: school before S1"),
        (Day("Dancer", date(2027, 4, 19), "home", "flat"), "Mon Apr 19: flat"),
    ],
)
def test_a_day_is_told_with_place_and_reason(day, told):
    """What it does, where and why; classes only on the day they are jumped."""
    circuit = Circuit("a", "most worth", "proved best", outings=(outing(),), days=(day,))
    assert tell_day(make_yard(), circuit, day) == told


def test_a_drive_tells_where_to_and_how_long(season):
    """The leg of that day with the horse aboard, from the season's own legs."""
    yard, left, _ = season
    days = tell_days(yard, left, "Bracken")
    assert "on the road to Dothan 1 with Blue lorry, 6.5 h" in days
    assert "on the road home with Blue lorry, 6.5 h" in days


def test_the_drives_of_a_day_are_told_and_drawn_one_after_the_other():
    """Home on the evening of the last class; over a call on one day: each drive, in its order."""
    zone = ZoneInfo("America/New_York")
    legs = [
        Leg("Blue", start, end, at, at + timedelta(hours=2), 140.0, 2.0, (), ("Dancer",))
        for start, end, at in (
            ("S2", "home", datetime(2027, 4, 12, 14, tzinfo=zone)),
            ("S1", "S2", datetime(2027, 4, 12, 8, tzinfo=zone)),
            ("S1", "home", datetime(2027, 4, 10, 17, tzinfo=zone)),
        )
    ]
    days = (
        Day("Dancer", date(2027, 4, 10), "S1", "show", ("travel",)),
        Day("Dancer", date(2027, 4, 12), "road", "travel"),
    )
    left = replace(outing(), leave=date(2027, 4, 10))
    circuit = Circuit(
        "a", "most worth", "proved best", outings=(left,), legs=tuple(legs), days=days
    )
    yard = make_yard()
    assert [tell_day(yard, circuit, day) for day in days] == [
        "Sat Apr 10: C2 at S1 with Ana; also on the road home with Blue, 2 h",
        "Mon Apr 12: on the road to S2 with Blue, 2 h, then home with Blue, 2 h",
    ]
    drawn = parse(draw_timeline(yard, circuit, Circuit("b", "most rest", "none exists"), day_px=12))
    found = [e for e in drawn.iter(SVG + "rect") if e.get("class") == "tk-travel"]
    # 1 March is day 0: 10 April is day 40 and the 12th day 42, each 12 px after 132 px of names;
    # the evening takes the last third of its day, half a pixel is left at either side.
    assert [(float(e.get("x")), float(e.get("width"))) for e in found] == [
        (132 + 40 * 12 + 8 + 0.5, 3),
        (132 + 42 * 12 + 0.5, 11),
    ]


def test_every_day_of_the_season_is_told(season):
    """98 sentences a horse, in order, also where the circuit knows nothing."""
    yard, _, right = season
    assert len(tell_days(yard, right, "Alder")) == 98
    empty = Circuit("none", "most rest", "none exists")
    assert tell_days(yard, empty, "Alder")[0] == "nothing known"


def test_today_is_drawn_only_within_the_season(season):
    """A plan made before the season has no line for today in it."""
    yard, left, right = season
    assert 'class="tk-today"' in draw_timeline(yard, left, right)
    before = make_season(today="2027-02-20")
    assert 'class="tk-today"' not in draw_timeline(before, left, right)


def test_an_aim_is_filled_on_the_side_that_meets_it(season):
    """Kestrel's aim lies in the hills: only the right circuit can meet it, so half is filled."""
    yard, left, right = season
    aim = yard.aims[1].title
    assert aim in right.totals.aims_met
    assert aim not in left.totals.aims_met
    root = parse(draw_timeline(yard, left, right))
    marks = [g for g in root.iter(f"{SVG}g") if g.get("class") == "tk-aim"]
    by_title = {mark.find(f"{SVG}title").text: mark for mark in marks}
    title = f"Aim, Fri May 21: {aim}; met by least road only"
    halves = [path.get("class") for path in by_title[title].iter(f"{SVG}path")]
    assert halves == ["tk-aim-open", "tk-aim-met"]


def test_an_absence_is_shown_with_its_reason(season):
    """A manager sees why nothing stands there."""
    yard, left, right = season
    assert "Larch away, Mon Apr 19" in draw_timeline(yard, left, right)
    assert "breeding clinic" in draw_timeline(yard, left, right)


def read_labels(yard, circuit):
    """The labels above the line as (words, first pixel, last pixel) and the tall forms' edges."""
    root = parse(draw_timeline(yard, circuit, circuit, names=False, day_px=12))
    middle = place_rows(yard)[0].middle
    labels, forms = [], []
    for text in root.iter(f"{SVG}text"):
        if text.get("class") == "tk-label" and float(text.get("y")) < middle:
            x, width = float(text.get("x")), len(text.text) * 5.4
            end = text.get("text-anchor") == "end"
            labels.append((text.text, x - width if end else x, x if end else x + width))
    for form in root.iter(f"{SVG}rect"):
        if form.get("class") in ("tk-show", "tk-travel") and float(form.get("y")) < middle:
            x = float(form.get("x"))
            forms.append((x, x + float(form.get("width"))))
    return labels, forms


def test_a_label_never_lies_on_a_tall_form_or_another_label():
    """The made-up season of one horse: its shows are named where nothing stands in the way."""
    yard = make_season(horses=("Alder",))
    labels, forms = read_labels(yard, make_circuit(yard, "a", "most worth", "Coast", 9))
    shows = [words for words, _, _ in labels]
    assert shows == ["Dothan 2", "Dothan 3", "Crestview 1", "Crestview 2"]
    edges = sorted([*forms, *((first, last) for _, first, last in labels)])
    assert all(a[1] <= b[0] for a, b in pairwise(edges))


def test_a_long_name_is_cut_though_there_is_room():
    """28 letters at most: the eighty weeks behind belong to whatever stands there."""
    yard = make_yard(shows=[make_show("Long" * 50)])
    days = (Day("Dancer", date(2027, 4, 8), "Long" * 50, "show"),)
    circuit = Circuit(
        "a", "most worth", "proved best", outings=(outing(show="Long" * 50),), days=days
    )
    labels, _ = read_labels(yard, circuit)
    assert [len(words) for words, _, _ in labels] == [28]


def test_a_label_at_the_end_of_the_season_is_not_cut_by_the_edge():
    """72 px are left from 1 to 6 June; eleven letters of a wide face (6.6 px) would need 75.6."""
    yard = make_yard(shows=[make_show("Gadsden May", "2027-05-26", "2027-05-30")])
    days = tuple(date(2027, 5, day) for day in (28, 30, 27, 31))
    last = Outing("Dancer", "Gadsden May", "Ana", ("C1", "C2"), *days)
    shown = (Day("Dancer", date(2027, 5, 28), "Gadsden May", "show"),)
    circuit = Circuit("a", "most worth", "proved best", outings=(last,), days=shown)
    ((words, _, end),), _ = read_labels(yard, circuit)
    # 27 May is day 87 of the season, counted from 0: the name stands before it.
    assert words == "Gadsden May"
    assert end <= 87 * 12


def test_what_is_said_of_a_horse_at_home_lies_over_no_school():
    """The rails of a school end 12.5 px off the line; the words keep clear of them."""
    yard = make_yard()
    circuit = Circuit("a", "most worth", "proved best")
    middle = place_rows(yard)[0].middle
    said = [
        text
        for text in parse(draw_timeline(yard, circuit, circuit)).iter(f"{SVG}text")
        if text.get("class") == "tk-home"
    ]
    above, below = (float(text.get("y")) for text in said)
    # Letters rise 12 px at most over their line and hang 3 px under it.
    assert above + 3 <= middle - HEIGHTS_PX["school"]
    assert below - 12 >= middle + HEIGHTS_PX["school"]


def test_shows_of_one_stay_are_named_at_their_own_ends():
    """Two shows without a way home between: the first is named before them, the second after."""
    yard = make_yard(shows=[make_show("First"), make_show("Second", "2027-04-20", "2027-04-21")])
    early = replace(outing(show="First"), leave=date(2027, 4, 19))
    late = Outing(
        "Dancer",
        "Second",
        "Ana",
        ("C1",),
        *(date(2027, 4, day) for day in (20, 21, 19, 22)),
    )
    days = (
        Day("Dancer", date(2027, 4, 8), "First", "show"),
        Day("Dancer", date(2027, 4, 20), "Second", "show"),
    )
    circuit = Circuit("a", "most worth", "proved best", outings=(early, late), days=days)
    labels, _ = read_labels(yard, circuit)
    (first, _, end), (second, begin, _) = labels
    # 7 April is day 37 of the season, counted from 0, 23 April day 53.
    assert (first, second) == ("First", "Second")
    assert end <= 37 * 12
    assert begin >= 53 * 12


def test_a_label_at_the_end_of_the_season_goes_before_its_outing():
    """Home on the last day: the name stands left of the drive, with the text ending there."""
    yard = make_yard(season=("2027-03-01", "2027-04-11"), shows=[make_show("Millbrook 1")])
    days = (
        Day("Dancer", date(2027, 4, 7), "road", "travel"),
        Day("Dancer", date(2027, 4, 8), "Millbrook 1", "show"),
    )
    circuit = Circuit(
        "a", "most worth", "proved best", outings=(outing(show="Millbrook 1"),), days=days
    )
    labels, _ = read_labels(yard, circuit)
    assert [words for words, _, _ in labels] == ["Millbrook 1"]
    # 7 April is day 37 of the season, counted from 0: the label ends 3 px before it.
    assert labels[0][2] == 37 * 12 - 3
