"""Dates, times and amounts as a country writes them."""

from __future__ import annotations

from datetime import date

import pytest

from tripkit.words.formats import write_money, write_span


@pytest.mark.parametrize(
    ("cents", "words"),
    [(5, "0.05"), (100, "1.00"), (-5, "-0.05"), (99999, "999.99"), (100000, "1,000.00")],
)
def test_money_is_written_with_two_decimals(cents: int, words: str) -> None:
    """Thousands are grouped, the sign stands before the first figure."""
    assert write_money(cents) == words
    assert write_money(cents, "EUR") == f"{words} EUR"


@pytest.mark.parametrize(
    ("first", "last", "country", "said"),
    [
        (date(2027, 4, 6), date(2027, 4, 6), "GB", "Tue 6 Apr"),
        (date(2027, 4, 6), date(2027, 4, 11), "GB", "Tue 6 \N{EN DASH} Sun 11 Apr"),
        (date(2027, 4, 6), date(2027, 5, 2), "GB", "Tue 6 Apr \N{EN DASH} Sun 2 May"),
        (date(2027, 4, 6), date(2027, 4, 11), "US", "Tue Apr 6 \N{EN DASH} Sun Apr 11"),
    ],
)
def test_days_are_written_as_shortly_as_they_can_be_read(first, last, country, said) -> None:
    """One month stands once, after both days, where it stands after the day (common practice)."""
    assert write_span(first, last, country) == said
