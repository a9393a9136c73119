"""Where something odd stands, as people look for it in a spreadsheet or a text file."""

from __future__ import annotations

import pytest

from tripkit.yard.facts import state
from tripkit.yard.oddities import Oddity


@pytest.mark.parametrize(
    ("file", "rows", "column", "said"),
    [
        ("shows.csv", (2,), "fee", "shows.csv row 2, column fee"),
        ("shows.csv", (2,), "", "shows.csv row 2"),
        ("yard.toml", (), "costs", "yard.toml setting costs"),
        ("spring.ics", (), "DTSTART", "spring.ics column DTSTART"),
        ("spring.ics", (), "", "spring.ics"),
    ],
)
def test_a_place_is_told_as_far_as_it_is_known(file, rows, column, said):
    """File, row and column; a setting is none of a table."""
    assert str(Oddity(state("oddities.any"), file, rows, column).where) == said
