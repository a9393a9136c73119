"""Outings before today: rows of results.csv, and what of the published circuit has begun."""

from __future__ import annotations

from tests.build import day, make_result, make_yard
from tripkit.yard.circuit import Begun, Outing

TODAY = "2027-04-20"


def list_days(*results: tuple[str, str], **changes: object) -> list[tuple[str, str, str]]:
    """Show, first and last day of each outing of Dancer."""
    rows = [make_result(on, show) for on, show in results]
    yard = make_yard(results=rows, today=TODAY, **changes)
    return [(o.show, f"{o.first_day:%m-%d}", f"{o.last_day:%m-%d}") for o in yard.history["Dancer"]]


def test_rows_of_one_show_are_one_outing() -> None:
    """In whatever order they stand; of the same show a month later another one."""
    rows = [("2027-04-09", "Elm"), ("2027-04-07", "Elm"), ("2027-03-01", "Elm")]
    assert list_days(*rows) == [("Elm", "03-01", "03-01"), ("Elm", "04-07", "04-09")]


def test_two_shows_in_the_same_days_are_two_outings() -> None:
    """A row of another show between two rows does not part them."""
    rows = [("2027-04-07", "Elm"), ("2027-04-08", "Ash"), ("2027-04-09", "Elm")]
    assert list_days(*rows) == [("Elm", "04-07", "04-09"), ("Ash", "04-08", "04-08")]


def test_rows_without_a_show_are_one_outing_on_following_days() -> None:
    """A day between them makes two, a named show on these days another one."""
    rows = [("2027-04-07", ""), ("2027-04-08", ""), ("2027-04-10", ""), ("2027-04-08", "Elm")]
    assert list_days(*rows) == [
        ("", "04-07", "04-08"),
        ("Elm", "04-08", "04-08"),
        ("", "04-10", "04-10"),
    ]


def test_a_start_of_last_year_is_no_part_of_an_outing_that_has_begun() -> None:
    """Shows keep their names from year to year; a row on its days is a part of it."""
    begun = Outing(
        "Dancer", "S1", "", ("C1",), day("2027-04-10"), day("2027-04-11"), day("2027-04-09"),
        day("2027-04-12"),
    )  # fmt: skip
    rows = [("2026-04-12", "S1"), ("2027-04-11", "S1")]
    assert list_days(*rows, begun=Begun(outings=(begun,))) == [
        ("S1", "04-12", "04-12"),
        ("S1", "04-10", "04-11"),
    ]


def test_a_row_near_an_outing_that_has_begun_moves_none_of_its_days() -> None:
    """Its days are those of its classes (common practice); a row weeks off is an outing."""
    begun = Outing(
        "Dancer", "S1", "", ("C1",), day("2027-04-10"), day("2027-04-11"), day("2027-04-09"),
        day("2027-04-12"),
    )  # fmt: skip
    rows = [("2027-04-08", "S1"), ("2027-04-13", "S1"), ("2027-03-02", "S1")]
    assert list_days(*rows, begun=Begun(outings=(begun,))) == [
        ("S1", "03-02", "03-02"),
        ("S1", "04-10", "04-11"),
    ]
