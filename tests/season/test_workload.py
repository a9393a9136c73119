"""Load week by week: counted by hand, the ratio by the published reading of four weeks."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from tests.build import make_yard
from tripkit.season.workload import WeekLoad, compute_ratio, weigh_weeks
from tripkit.yard.circuit import Circuit, Day, Outing


def test_the_ratio_of_the_published_example():
    """3, 4, 4, 5 km give 1.25 (abphysio4horseandrider.com, post on workload)."""
    assert compute_ratio([3, 4, 4, 5]) == 1.25


def test_no_ratio_before_four_weeks_and_without_load():
    """Chronic is four weeks (Munsters 2020): fewer are no month, and nothing divides by nothing."""
    assert compute_ratio([3, 4, 4]) is None
    assert compute_ratio([0, 0, 0, 0]) is None


def test_a_week_counts_classes_schools_and_the_days_between():
    """Week of 5 April: two classes (8), one school (3), two flat days (4), one hack (1) make 16."""
    yard = make_yard()
    monday = date(2027, 4, 5)
    kinds = ["flat", "school", "hack", "show", "flat", "show", "day off"]
    days = tuple(
        Day("Dancer", monday + timedelta(days=i), "home", does) for i, does in enumerate(kinds)
    )
    outing = Outing(
        "Dancer",
        "S1",
        "Ana",
        ("C1", "C2"),
        date(2027, 4, 8),
        date(2027, 4, 10),
        date(2027, 4, 7),
        date(2027, 4, 11),
    )
    circuit = Circuit("a", "most worth", "proved best", outings=(outing,), days=days)
    weeks = {week.first_day: week for week in weigh_weeks(yard, circuit, "Dancer")}
    # Three weeks without load before it: 16 over (0 + 0 + 0 + 16) / 4 is 4.
    assert weeks[monday] == WeekLoad(monday, 2, 1, 16.0, 4.0)
    assert weeks[monday].stands_out
    # 1 March to 6 June are 14 weeks from Monday to Sunday.
    assert len(weeks) == 14


@pytest.mark.parametrize(("ratio", "out"), [(0.49, True), (0.5, False), (1.5, False), (1.51, True)])
def test_the_band_is_closed(ratio, out):
    """Below 0.5 and above 1.5 stand out (the same post, after human sport)."""
    assert WeekLoad(date(2027, 3, 1), 0, 0, 1.0, ratio).stands_out is out
