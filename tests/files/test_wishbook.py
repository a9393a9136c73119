"""The wishes in force: kept for the yard, read by everybody."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tests.files.folders import write_folder
from tripkit.files import read_yard
from tripkit.files.wishes import dump_wishes, load_wishes, read_wishes, revise_wishes
from tripkit.season.wishes import Wishes, fit_wishes
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadStore, BadValue

APRIL = DaySpan(date(2027, 4, 1), date(2027, 4, 3))


def test_wishes_come_back_as_they_were() -> None:
    """All kinds of wish; text of somebody else wishes nothing."""
    wishes = Wishes().hold("Bella", "Oak 1").forbid("Comet", "Oak 2").take_out("Lorry", APRIL)
    wishes = wishes.ask_numbers(6_000_000, 1).ask_tour("Gulf")
    assert load_wishes(dump_wishes(wishes)) == wishes
    for nonsense in ("", "{", "[]", "{}", '{"held": 1}'):
        assert load_wishes(nonsense) == Wishes()


def test_what_is_made_of_the_wishes_is_in_force(tmp_path: Path) -> None:
    """One change upon the other; one that fails changes nothing."""
    assert read_wishes(tmp_path) == Wishes()
    revise_wishes(tmp_path, lambda w: w.hold("Bella", "Oak 1"))
    made = revise_wishes(tmp_path, lambda w: w.ask_tour("Gulf"))
    assert made == read_wishes(tmp_path) == Wishes(held=(("Bella", "Oak 1"),), tour="Gulf")
    with pytest.raises(BadValue):
        revise_wishes(tmp_path, lambda w: w.remove("height"))
    assert read_wishes(tmp_path) == made


def test_a_store_that_is_none_is_said(tmp_path: Path) -> None:
    """Nothing is written over somebody's file."""
    (tmp_path / "tripkit.sqlite").write_text("my notes")
    with pytest.raises(BadStore):
        read_wishes(tmp_path)
    with pytest.raises(BadStore):
        revise_wishes(tmp_path, lambda w: w.ask_tour("Gulf"))
    assert (tmp_path / "tripkit.sqlite").read_text() == "my notes"


def test_a_wish_of_what_is_gone_falls_away_alone(tmp_path: Path) -> None:
    """Horse, show, person and tour that the yard has not; the others stay."""
    yard = read_yard(write_folder(tmp_path))
    wishes = Wishes().hold("Bella", "Oak 1").hold("Dot", "Oak 1").forbid("Comet", "Elm 1")
    wishes = wishes.take_out("Ana Reed", APRIL).take_out("Ida", APRIL).ask_tour("Gulf")
    kept = Wishes().hold("Bella", "Oak 1").take_out("Ana Reed", APRIL)
    assert fit_wishes(yard, wishes) == kept
