"""What an aim still needs, by hand: class jumped, qualification reached, horse prepared.

Expected days and sums follow the handbook, Choices: Aims (10 to 45 days before, days before
`by`); that rule is common practice, no source.
"""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from tests.build import day, make_aim, make_class, make_horse, make_result, make_show, make_yard
from tripkit.eligibility.qualifying import assess_aim
from tripkit.yard.circuit import Outing
from tripkit.yard.facts import state

SERIES = {"series": "Spring", "points": 12}


def outing(show, *classes: str, horse: str = "Dancer") -> Outing:
    """An outing to a show for the classes named (all of it where none is)."""
    names = classes or tuple(c.name for c in show.classes)
    days = [offered.day for offered in show.classes if offered.name in names]
    first, last = min(days), max(days)
    one = timedelta(days=1)
    return Outing(horse, show.show, "Ana", names, first, last, first - one, last + one)


def qualifier(show: str, on: str, name: str = "Q", **changes):
    """A show of one class in the spring series, worth 12 points."""
    return make_show(show, on, classes=[make_class(name, on, show, **{**SERIES, **changes})])


FINAL = make_show("Final", "2027-05-12", classes=[make_class("GP", "2027-05-15", "Final")])


def assess(aim, shows, outings, **changes):
    yard = make_yard(shows=[*shows, FINAL], aims=[aim], **changes)
    return assess_aim(yard, aim, outings)


def final_aim(**changes):
    return make_aim("Dancer", "Final", class_name="GP", **changes)


@pytest.mark.parametrize(
    ("last_day", "met"),
    [
        # Final's class on 15 May 2027: 45 days before is 31 March, 10 days before 5 May.
        ("2027-03-30", False),
        ("2027-03-31", True),
        ("2027-05-05", True),
        ("2027-05-06", False),
    ],
)
def test_an_earlier_outing_prepares_10_to_45_days_before(last_day: str, met: bool) -> None:
    """Counted from its last class to the first class at the aim."""
    show = qualifier("S1", last_day)
    standing = assess(final_aim(), [show], [outing(show), outing(FINAL)])
    assert standing.met is met
    assert standing.prepared_by == ("S1" if met else "")
    assert ("no outing ends 10 to 45 days before" in str(standing.reason)) is not met


def test_a_past_outing_prepares_too() -> None:
    """A start of 20 April in the results, today 1 May, 25 days before the class."""
    past = [make_result("2027-04-20", "Elsewhere")]
    standing = assess(final_aim(), [], [outing(FINAL)], results=past, today="2027-05-01")
    assert (standing.met, standing.prepared_by) == (True, "Elsewhere")
    nameless = [make_result("2027-04-20")]
    standing = assess(final_aim(), [], [outing(FINAL)], results=nameless, today="2027-05-01")
    assert (standing.met, standing.prepared_by) == (
        True,
        state("aims.start-on", day=day("2027-04-20")),
    )


def test_a_result_that_is_not_past_yet_prepares_nothing() -> None:
    """Results from today on are no history."""
    rows = [make_result("2027-04-20", "Elsewhere")]
    assert not assess(final_aim(), [], [outing(FINAL)], results=rows, today="2027-04-20").met


@pytest.mark.parametrize(
    ("on", "by", "met"),
    [
        ("2027-04-19", "2027-04-20", True),
        ("2027-04-20", "2027-04-20", False),
        # Without a day of its own the class at the aim is the day, 15 May.
        ("2027-05-04", None, True),
        ("2027-05-15", None, False),
    ],
)
def test_a_result_of_the_very_day_qualifies_for_nothing(on: str, by: str | None, met: bool) -> None:
    """Reached before `by`: a start on that day is too late, though it is a start."""
    rows = [
        make_result("2027-04-25", "Elsewhere"),
        make_result(on, "Qualifier", series="Spring", points=12),
    ]
    aim = final_aim(series="Spring", starts_needed=1, points_needed=12, by=by)
    standing = assess(aim, [], [outing(FINAL)], results=rows, today="2027-05-20")
    assert standing.met is met
    assert (standing.points_reached, standing.starts_reached) == (
        (Decimal(12), 1) if met else (Decimal(0), 0)
    )


@pytest.mark.parametrize(("named", "prepared"), [("GP", "S1"), ("", "")])
def test_an_aim_that_no_outing_goes_to_counts_from_its_class(named: str, prepared: str) -> None:
    """5 May is 10 days before GP (15 May); where no class is named, 7 before the show begins."""
    show = qualifier("S1", "2027-05-05")
    standing = assess(make_aim("Dancer", "Final", class_name=named), [show], [outing(show)])
    assert (standing.met, standing.prepared_by) == (False, prepared)


def test_another_horses_outings_do_not_count() -> None:
    """Neither Bella's preparation nor Bella's start at the aim."""
    show = qualifier("S1", "2027-04-20")
    horses = [make_horse(), make_horse("Bella")]
    bellas = [outing(show, horse="Bella"), outing(FINAL, horse="Bella")]
    standing = assess(final_aim(), [show], bellas, horses=horses)
    assert not standing.met
    assert "Dancer does not go to Final" in str(standing.reason)
    mixed = assess(final_aim(), [show], [bellas[0], outing(FINAL)], horses=horses)
    assert not mixed.met


def test_the_class_of_the_aim_must_be_jumped() -> None:
    """Another class at the show does not do; an aim without a class takes any."""
    final = make_show(
        "Final",
        "2027-05-12",
        classes=[make_class("GP", "2027-05-15", "Final"), make_class("X", "2027-05-14", "Final")],
    )
    show = qualifier("S1", "2027-04-20")
    outings = [outing(show), outing(final, "X")]
    yard = make_yard(shows=[show, final])
    named = assess_aim(yard, final_aim(), outings)
    assert not named.met
    assert "does not jump GP" in str(named.reason)
    assert assess_aim(yard, make_aim("Dancer", "Final"), outings).met


def test_expected_points_and_starts_of_earlier_outings_qualify() -> None:
    """Two qualifiers of 12 points each: 24 points and 2 starts are reached, 25 or 3 are not."""
    shows = [qualifier("S1", "2027-04-01"), qualifier("S2", "2027-04-20")]
    outings = [outing(show) for show in (*shows, FINAL)]
    enough = assess(final_aim(series="Spring", points_needed=24, starts_needed=2), shows, outings)
    assert enough.met
    assert (enough.points_reached, enough.starts_reached) == (Decimal(24), 2)
    assert (enough.points_missing, enough.starts_missing) == (Decimal(0), 0)
    points = assess(final_aim(series="Spring", points_needed=25), shows, outings)
    assert (points.met, points.points_missing) == (False, Decimal(1))
    assert "1 of 25 points are missing in Spring before 2027-05-15" in str(points.reason)
    starts = assess(final_aim(series="Spring", starts_needed=3), shows, outings)
    assert (starts.met, starts.starts_missing) == (False, 1)


def test_only_classes_of_the_series_count() -> None:
    """A class of another series earns nothing for the aim."""
    show = qualifier("S1", "2027-04-20", series="Autumn")
    aim = final_aim(series="Spring", starts_needed=1)
    assert not assess(aim, [show], [outing(show), outing(FINAL)]).met


@pytest.mark.parametrize(("by", "met"), [("2027-04-20", False), ("2027-04-21", True)])
def test_the_qualification_is_reached_strictly_before_its_day(by: str, met: bool) -> None:
    """A class on the day `by` itself comes too late."""
    show = qualifier("S1", "2027-04-20")
    aim = final_aim(series="Spring", starts_needed=1, by=by)
    assert assess(aim, [show], [outing(show), outing(FINAL)]).met is met


def test_results_so_far_count_by_their_own_series_or_that_of_their_class() -> None:
    """A row without a series takes the one of the class it names."""
    show = qualifier("S1", "2027-04-20")
    old = qualifier("S0", "2027-03-10")
    rows = [
        make_result("2027-02-01", "Elsewhere", series="Spring", points=7),
        make_result("2027-03-10", "S0", class_name="Q", points=5),
        make_result("2027-03-11", "Elsewhere", series="Autumn", points=100),
        make_result("2027-03-12", "Elsewhere", points=100),
        make_result("2027-03-12", "Elsewhere", horse="Bella", series="Spring", points=100),
    ]
    aim = final_aim(series="Spring", points_needed=24)
    standing = assess(
        aim,
        [old, show],
        [outing(show), outing(FINAL)],
        results=rows,
        today="2027-04-01",
        horses=[make_horse(), make_horse("Bella")],
    )
    # 7 + 5 so far, 12 expected
    assert (standing.points_reached, standing.starts_reached) == (Decimal(24), 3)
    assert standing.met


def test_a_class_whose_result_is_written_does_not_count_twice() -> None:
    """A locked outing that has begun stands in the plan and in the results."""
    show = qualifier("S1", "2027-04-20")
    rows = [make_result("2027-04-20", "S1", class_name="Q", points=9)]
    aim = final_aim(series="Spring", points_needed=9)
    standing = assess(aim, [show], [outing(show), outing(FINAL)], results=rows, today="2027-04-21")
    assert (standing.points_reached, standing.starts_reached) == (Decimal(9), 1)


def test_an_aim_nobody_goes_to_says_what_is_reached() -> None:
    """Not met, but points, starts and preparation are told all the same."""
    show = qualifier("S1", "2027-04-20")
    aim = final_aim(series="Spring", points_needed=20)
    standing = assess(aim, [show], [outing(show)])
    assert not standing.met
    assert (standing.points_reached, standing.points_missing) == (Decimal(12), Decimal(8))
    assert standing.prepared_by == "S1"
    assert standing.reason.get("wanting")[0].code == "aims.not-there"


def test_later_outings_neither_qualify_nor_prepare() -> None:
    """The final on 15 May is not helped by a show on 1 June."""
    show = qualifier("S9", "2027-06-01")
    standing = assess(
        final_aim(series="Spring", starts_needed=1), [show], [outing(FINAL), outing(show)]
    )
    assert (standing.starts_reached, standing.prepared_by) == (0, "")
    assert day("2027-06-01") > FINAL.days.last
