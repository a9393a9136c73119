"""Which rule keeps a horse out of a class, and by which of its parts."""

from __future__ import annotations

from tests.build import make_class, make_horse, make_rider, make_show, make_yard
from tripkit.planning.chances import explain_class, find_obstacle, find_riders
from tripkit.yard.answers import Bar
from tripkit.yard.yard import Yard

NOTHING: frozenset[str] = frozenset()


def make_offer(horse_rider: str = "", **changes: object) -> Yard:
    """Dancer, born 2015, from 100 to 130 cm, and one class of 120 cm that may be changed."""
    offered = make_class("C1", "2027-04-08", "S1", **{"height_cm": 120, **changes})
    return make_yard(
        shows=[make_show("S1", "2027-04-08", "2027-04-08", classes=[offered])],
        horses=[
            make_horse(born="2015-01-01", from_height_cm=100, to_height_cm=130, rider=horse_rider)
        ],
        people=[make_rider(), make_rider("Ben")],
    )


def bar_there(yard: Yard, rider: str) -> Bar | None:
    """What keeps the horse out of the class that came along with a rider."""
    (show,) = yard.shows
    return explain_class(yard, yard.horses[0], show, show.classes[0], rider, NOTHING)


def test_a_horse_that_is_there_jumps_what_fits() -> None:
    """Whoever came along rides, also where the horse names another since."""
    assert bar_there(make_offer(), "Ana") is None
    assert bar_there(make_offer("Ben"), "Ana") is None


def test_a_horse_that_is_there_is_kept_out_by_what_does_not_fit() -> None:
    """140 cm is too high; 130 cm it jumps."""
    bar = bar_there(make_offer(height_cm=140), "Ana")
    assert bar is not None
    assert (bar.rule, bar.part) == ("eligible", "height")
    assert bar_there(make_offer(height_cm=130), "Ana") is None


def test_what_bars_is_told_not_what_is_in_order() -> None:
    """The height fits; the class is for horses of at most six years and Dancer is twelve."""
    yard = make_offer(oldest_horse=6)
    (show,), (horse,) = yard.shows, yard.horses
    riders = find_riders(yard, horse, show.classes[0], NOTHING)
    bar = find_obstacle(yard, horse, show, show.classes[0], False, riders, NOTHING)
    assert bar is not None
    assert (bar.rule, bar.part) == ("eligible", "age")
