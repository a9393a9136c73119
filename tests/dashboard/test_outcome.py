"""What stays of the circuits at hand when the season is planned again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from tests.build import make_yard
from tripkit.dashboard.outcome import keep_what_stands, say_end
from tripkit.season.wishes import Wishes
from tripkit.yard.circuit import Circuit, Outing, Totals

YARD = make_yard()
DAY = date(2027, 4, 8)
OUTING = Outing("Dancer", "S1", "Ana", ("C1",), DAY, DAY, DAY, DAY, 10.0)
OLD = Circuit(
    "Most worth", "most worth", "proved best", 10.0, 10.0, 1.0, Totals(worth=10.0), (OUTING,)
)
NEW = replace(OLD, outings=(replace(OUTING, classes=("C2",)),), bound=12.0, seconds=2.0)


def keep(old: Circuit, new: Circuit, wishes: Wishes | None = None, violations: tuple = ()):
    (kept,) = keep_what_stands(YARD, wishes or Wishes(), [old], [new], lambda *_: violations)
    return kept


def test_nothing_moves_without_a_gain() -> None:
    """Worth is the same: the outing at hand stays, with what the new search says of the bound."""
    kept = keep(OLD, NEW)
    assert kept.outings == OLD.outings
    assert (kept.bound, kept.seconds) == (12.0, 2.0)


def test_a_better_circuit_takes_the_place() -> None:
    """11 of worth instead of 10; a shorter road instead of a longer one."""
    assert keep(OLD, replace(NEW, objective=11.0)).outings == NEW.outings
    road = [replace(c, name="Least road", goal="least road") for c in (OLD, NEW)]
    assert keep(road[0], replace(road[1], objective=9.0)).outings == NEW.outings
    assert keep(replace(road[0], objective=9.0), road[1]).outings == OLD.outings


def test_what_breaks_a_rule_or_a_wish_goes() -> None:
    """A rule broken, an outing that is forbidden, one that is held and missing, another tour."""
    assert keep(OLD, NEW, violations=("cap",)).outings == NEW.outings
    for wishes in (
        Wishes().forbid("Dancer", "S1"),
        Wishes().hold("Dancer", "S2"),
        Wishes(tour="Gulf"),
    ):
        assert keep(OLD, NEW, wishes).outings == NEW.outings


def test_a_circuit_below_the_floor_of_the_most_worth_goes() -> None:
    """The floor is 0.8 of the new most worth, 20: an old least cost of worth 10 is no answer."""
    most = replace(NEW, objective=20.0, totals=Totals(worth=20.0))
    old, new = (replace(c, name="Least cost", goal="least cost") for c in (OLD, NEW))
    _, kept = keep_what_stands(YARD, Wishes(), [old], [most, new], lambda *_: ())
    assert kept.outings == NEW.outings


def test_a_circuit_that_stays_has_the_status_of_its_own_figures() -> None:
    """10 reached against 12 is far off, against 10 it is proved; a bound is never passed."""
    assert keep(OLD, NEW).status == "best in time"
    found = replace(NEW, objective=9.0, bound=10.0, status="best in time")
    assert (keep(OLD, found).bound, keep(OLD, found).status) == (10.0, "proved best")
    lower = replace(NEW, objective=9.0, bound=9.0)
    assert (keep(OLD, lower).bound, keep(OLD, lower).status) == (10.0, "proved best")


def test_a_proof_that_leaves_something_out_is_told_as_one() -> None:
    """All or some of the circuits are proved; of their kind where a proof leaves something out."""
    kind = replace(NEW, status="best of its kind", leaves_out=("a drive by night",))
    open_ = replace(NEW, status="best in time")
    assert say_end((NEW, NEW), 1, False).endswith("all proved best.")
    assert say_end((NEW, kind), 1, False).endswith("all proved best of their kind.")
    assert say_end((kind, open_), 1, False).endswith("1 of them proved best of their kind.")
