"""The season of a lorry or a person week by week: hours, days off and nights counted by hand.

Dancer, whom Ana rides, is at S1 from 7 April (a Wednesday) to the 12th, with classes on the 8th and
10th; the drives are of 2 h. A rider sleeps at a show from the night before his first class day to
the night before his last.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from tests.build import make_absence, make_yard
from tripkit.pages.season_sheets import list_seasons, tell_season, write_season_sheets
from tripkit.season.seasons import list_weeks
from tripkit.words.telling import choose_teller
from tripkit.yard.circuit import CAR, Circuit, Leg, Outing, RiderWay
from tripkit.yard.yard import Yard


def drive(start: str, end: str, on: int, hour: int, *drivers: str, horses: tuple[str, ...]) -> Leg:
    """Two hours on a day of April."""
    depart, arrive = (
        datetime.fromisoformat(f"2027-04-{on:02}T{h:02}:00-04:00") for h in (hour, hour + 2)
    )
    return Leg("Lorry", start, end, depart, arrive, 140.0, 2.0, drivers, horses)


@pytest.fixture
def yard() -> Yard:
    """Ana is away in the last week of May, the lorry in the workshop on one day before."""
    return make_yard(
        absences=[
            make_absence("Ana", "2027-05-24", "2027-05-25"),
            replace(make_absence("Lorry", "2027-05-20"), reason="tyres"),
        ]
    )


@pytest.fixture
def circuit() -> Circuit:
    """Dell brings Dancer on the 7th and somebody unnamed fetches it on the 12th."""
    days = date(2027, 4, 8), date(2027, 4, 10), date(2027, 4, 7), date(2027, 4, 12)
    return Circuit(
        "Plan",
        "most worth",
        "proved best",
        outings=(Outing("Dancer", "S1", "Ana", ("C1", "C2"), *days),),
        legs=(
            drive("home", "S1", 7, 9, "Dell", horses=("Dancer",)),
            drive("S1", "home", 12, 10, horses=("Dancer",)),
        ),
        rider_ways=(RiderWay("Ana", "home", "S1", date(2027, 4, 7), CAR, 140.0),),
    )


def test_a_lorry_waits_where_it_brought_the_horses(yard: Yard, circuit: Circuit) -> None:
    """Away in the nights of 7 to 11 April: all five of that week; on the 12th it is home."""
    week, after, workshop = list_weeks(yard, circuit, "Lorry")
    assert (week.first, week.drives, week.hours) == (date(2027, 4, 5), 1, 2.0)
    assert (week.nights, week.free_days) == (5, 6)
    assert (after.first, after.drives, after.nights, after.free_days) == (
        date(2027, 4, 12),
        1,
        0,
        6,
    )
    assert [(spell.days.first, spell.reason) for spell in workshop.spells] == [
        (date(2027, 5, 20), "tyres")
    ]


def test_a_driver_has_his_own_drives_only(yard: Yard, circuit: Circuit) -> None:
    """Dell drove on the 7th and no more: he is where the lorry stands until another takes it."""
    (week,) = list_weeks(yard, circuit, "Dell")
    assert (week.drives, week.nights) == (1, 5)


def test_a_rider_has_ways_shows_and_absences(yard: Yard, circuit: Circuit) -> None:
    """The nights before the 8th, 9th and 10th at the show; two classes; no hours driven."""
    week, away = list_weeks(yard, circuit, "Ana")
    way, show = week.spells
    assert way.way is not None
    assert way.way.end == "S1"
    assert (show.show, show.horses, show.classes) == ("S1", ("Dancer",), 2)
    assert (week.nights, week.classes, week.hours) == (3, 2, 0.0)
    assert away.spells[0].days.last == date(2027, 5, 25)


def test_who_does_nothing_has_no_season(yard: Yard, circuit: Circuit) -> None:
    """Nobody of that name drives or rides."""
    assert list_weeks(yard, circuit, "Nobody") == ()


def test_a_season_in_words(yard: Yard, circuit: Circuit) -> None:
    """Days, what and where, hours, and where it stands then."""
    week, _, workshop = tell_season(yard, circuit, "Lorry", choose_teller(yard))
    assert week.head == "Week of Mon Apr 5"
    assert week.sum == "2 h in 1 drive; 6 days without a drive; 5 nights away"
    assert week.rows == (
        (
            "Wed Apr 7",
            "Home Farm to S1, with Dancer",
            "9:00 am to 11:00 am, 2 h",
            "S1, 5 nights",
        ),
    )
    assert workshop.rows == (("Thu May 20", "absent: tyres", "", ""),)
    (first, *_) = tell_season(yard, circuit, "Ana", choose_teller(yard))
    assert first.sum == "2 classes; 3 nights away"
    assert first.rows == (
        ("Wed Apr 7", "Home Farm to S1, by car", "", ""),
        ("Thu Apr 8 \N{EN DASH} Sat Apr 10", "S1, rides Dancer, 2 classes", "", "3 nights away"),
    )


def test_a_page_for_each_lorry_driver_and_rider(yard: Yard, circuit: Circuit) -> None:
    """Each has a heading; what the circuit breaks stands at the head."""
    assert list_seasons(yard, circuit) == ("Lorry", "Dell", "Ana")
    page = write_season_sheets(yard, circuit, ("budget: too dear",))
    found = [page.index(f"Season of {who}") for who in ("Lorry", "Dell", "Ana")]
    assert found == sorted(found)
    assert "budget: too dear" in page
