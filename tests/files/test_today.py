"""Which day is today (handbook, Choices); offsets by hand: EST is UTC-5, EDT UTC-4."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from tests.files.folders import append, list_faults, swap, write_folder
from tripkit.files import is_of_another_day, read_yard, reader
from tripkit.yard.yard import Yard

NAMED = swap("yard.toml", "[season]", "[season]\ntoday = 2027-03-20")


def read_at(folder: Path, moment: str, today: date | None = None) -> Yard:
    """The yard read at a moment in UTC."""
    return read_yard(folder, today=today, clock=lambda: tell(moment))


def tell(moment: str) -> datetime:
    return datetime.fromisoformat(moment).replace(tzinfo=UTC)


def test_the_caller_wins_over_yard_toml_and_that_over_the_clock(tmp_path: Path) -> None:
    """The handbook's order (Choices: Days), each with who said it."""
    folder = write_folder(tmp_path, NAMED)
    asked = read_at(folder, "2027-05-01T12:00", date(2027, 4, 2))
    assert (asked.today, asked.today_from) == (date(2027, 4, 2), "given")
    written = read_at(folder, "2027-05-01T12:00")
    assert (written.today, written.today_from) == (date(2027, 3, 20), "written")
    write_folder(tmp_path)
    told = read_at(folder, "2027-05-01T12:00")
    assert (told.today, told.today_from) == (date(2027, 5, 1), "clock")


@pytest.mark.parametrize(
    ("moment", "today", "said_by"),
    [
        ("2026-08-01T12:00", date(2027, 2, 28), "eve"),
        ("2027-03-01T04:59", date(2027, 2, 28), "clock"),  # 23:59 EST on 28 February
        ("2027-03-01T05:00", date(2027, 3, 1), "clock"),  # midnight
        ("2027-04-02T03:59", date(2027, 4, 1), "clock"),  # 23:59 EDT on 1 April
        ("2027-04-02T04:00", date(2027, 4, 2), "clock"),
        ("2027-09-01T12:00", date(2027, 9, 1), "clock"),  # after the season, as it is
    ],
)
def test_the_clock_is_read_in_the_yards_zone(
    tmp_path: Path, moment: str, today: date, said_by: str
) -> None:
    """Ocala keeps eastern time; before the day before the season it is that day."""
    yard = read_at(write_folder(tmp_path), moment)
    assert (yard.today, yard.today_from) == (today, said_by)


def test_the_zone_that_yard_toml_names_wins(tmp_path: Path) -> None:
    """02:00 UTC on 2 April: 15:00 that day in Auckland (UTC+13), 22:00 of the first in Ocala."""
    zoned = swap("yard.toml", "[season]", 'timezone = "Pacific/Auckland"\n[season]')
    at = "2027-04-02T02:00"
    assert read_at(write_folder(tmp_path / "a"), at).today == date(2027, 4, 1)
    assert read_at(write_folder(tmp_path / "b", zoned), at).today == date(2027, 4, 2)


def test_a_yard_is_of_another_day_after_midnight(tmp_path: Path) -> None:
    """Only where the clock told the day; what the caller or yard.toml says stays."""
    folder = write_folder(tmp_path)
    yard = read_at(folder, "2027-04-02T03:00")
    assert not is_of_another_day(yard, lambda: tell("2027-04-02T03:59"))
    assert is_of_another_day(yard, lambda: tell("2027-04-02T04:00"))
    eve = read_at(folder, "2026-12-01T12:00")
    assert not is_of_another_day(eve, lambda: tell("2027-02-28T12:00"))
    assert is_of_another_day(eve, lambda: tell("2027-03-01T12:00"))
    named = read_at(write_folder(tmp_path, NAMED), "2027-04-02T03:00")
    assert not is_of_another_day(named, lambda: tell("2027-05-01T12:00"))


def test_a_paper_dated_between_the_season_and_today_is_no_fault(tmp_path: Path) -> None:
    """Read in September, a test of July is done, though it lies after the season; one of October
    is not."""
    rows = "horse,paper,date\nBella,coggins,{}\n"
    files = {"papers.csv": rows.format("2027-07-15")}
    assert read_at(write_folder(tmp_path / "a", files), "2027-09-01T12:00").papers
    later = {"papers.csv": rows.format("2027-10-15"), **append("shows.csv")}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(reader, "read_clock", lambda: tell("2027-09-01T12:00"))
        assert list_faults(tmp_path / "b", later) == [
            "papers.csv row 2, column date: '2027-10-15' is after today (2027-09-01)"
        ]
