"""One man's day as the law has it; expected values are the law's own figures, added by hand."""

from __future__ import annotations

import pytest

from tests.brute.hours import EVENING, LAWS, MORNING, NIGHT, TEN, Part, place
from tests.brute.roads import split_drive


def span(rules: str, hours: float, *, horses: bool = False) -> float | None:
    """The hours that one drive of a day takes, halts included."""
    placed = place((Part(round(4 * hours), horses, horses, horses),), LAWS[rules])
    return placed[0].span / 4 if placed else None


@pytest.mark.parametrize(
    ("rules", "driven", "passed"),
    [
        ("us", 8, 8),  # 49 CFR 395.3(a)(3)(ii): the break is due after 8 hours of driving
        ("us", 8.25, 8.75),
        ("us", 11, 11.5),  # (a)(3)(i): 11 hours of driving
        ("us", 11.25, None),
        ("eu", 4.5, 4.5),  # 561/2006 Art. 7: 45 minutes after four and a half hours
        ("eu", 4.75, 5.5),
        ("eu", 9, 9.75),  # Art. 6(1): 9 hours, twice a week 10
        ("eu", 10, 11.5),
        ("eu", 10.25, None),
        ("none", 20, 20),
    ],
)
def test_an_empty_lorry_keeps_its_driver_s_law(
    rules: str, driven: float, passed: float | None
) -> None:
    """Breaks and hours of driving of one day are those of the article."""
    assert span(rules, driven) == passed


@pytest.mark.parametrize(
    ("rules", "driven", "passed"),
    [
        ("us", 4, 4),  # water every 4 hours, half an hour; 10 hours on the road (handbook, Files)
        ("us", 4.25, 4.75),
        ("us", 9, 10),
        ("us", 9.25, None),
        # 4 h, 30 min of water (the break's first part), half an hour, 30 min (its second), 4 h.
        ("eu", 8.5, 9.5),
        # The horses would drink once more: 8.75 + 1 + 0.5.
        ("eu", 8.75, None),
    ],
)
def test_horses_drink_and_are_ten_hours_on_the_road(
    rules: str, driven: float, passed: float | None
) -> None:
    """Halts for water serve the driver as far as they are long enough."""
    assert span(rules, driven, horses=True) == passed


@pytest.mark.parametrize(("hours", "fits"), [(4, True), (4.25, False)])
def test_an_evening_holds_four_hours(hours: float, fits: bool) -> None:
    """From 16:30 to 21:00 are 4.5 h: a drive of 4 h, and a longer one halts for water."""
    part = Part(round(4 * hours), True, True, True, EVENING, NIGHT)
    assert (place((part,), LAWS["us"]) is not None) is fits


@pytest.mark.parametrize(("hours", "fits"), [(3.5, True), (3.75, False)])
def test_out_by_ten_and_back_in_the_evening_is_within_fourteen_hours(
    hours: float, fits: bool
) -> None:
    """3.5 h: loads 6:10, there at 10:00, leaves 16:30, home at 20:00: 13 h 50. 3.75 h: 14 h 20."""
    out = Part(round(4 * hours), True, True, True, MORNING, TEN)
    back = Part(round(4 * hours), True, True, True, EVENING, NIGHT)
    assert (place((out, back), LAWS["us"]) is not None) is fits


def test_between_two_loads_twenty_minutes_and_twenty() -> None:
    """An hour from 5:30, unloads and loads 40 minutes: off again at 7:15, on the quarter."""
    drive = Part(4, True, True, True, MORNING, NIGHT)
    placed = place((drive, drive), LAWS["us"])
    assert placed is not None
    assert [at.start / 4 for at in placed] == [5.5, 7.25]


def test_a_long_drive_fills_its_first_day() -> None:
    """12 h with horses: 9 h on the first day, 3 h from 5:00 on the second."""
    halves = split_drive(Part(48, True, True, True, MORNING, NIGHT), LAWS["us"], ())
    assert halves is not None
    assert [(half.driving, half.earliest) for half in halves] == [(36, MORNING), (12, 20)]
