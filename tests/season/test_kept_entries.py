"""Classes sent or paid that a plan cannot keep: as few as may be go, and the season stays possible.

Dancer of `tests.build` at S1: C1 on 8 April and C2 on the 10th, stabling from the 5th to the 12th,
there the day before the first class and home the day after the last at the earliest. Rules
`window`, `eligible` and `locked`; days are counted by hand.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.build import (
    make_absence,
    make_class,
    make_entry,
    make_horse,
    make_limits,
    make_lorry,
    make_show,
    make_yard,
    plan_most,
)
from tripkit.judging.judge import find_violations
from tripkit.yard.circuit import Circuit
from tripkit.yard.yard import Yard

S2_THERE = make_show("S2", "2027-04-19")  # at Millbrook as well: C1 on 20 April, C2 on the 22nd


def make_paid_yard(*names: str, **changes: Any) -> Yard:
    """Dancer with paid classes of S1; nobody drives after 14:00, so not in the evening either."""
    fields: dict[str, Any] = {"limits": make_limits(arrive_until_hour=14), **changes}
    return make_yard(entries=[make_entry(name) for name in names], **fields)


def plan_clean(yard: Yard) -> Circuit:
    """The circuit of most worth, in which the judge finds nothing."""
    circuit = plan_most(yard)
    assert circuit.status == "proved best"
    assert [str(violation) for violation in find_violations(yard, circuit)] == []
    return circuit


def list_dropped(circuit: Circuit) -> list[tuple[str, str]]:
    """Class and rule of each dropped entry, by class."""
    return sorted((d.class_name, d.rule) for d in circuit.dropped_entries)


@pytest.mark.parametrize("more", [(), (S2_THERE,)])
@pytest.mark.parametrize(
    ("away", "dropped"),
    [
        # Home on the 11th or 12th, both through the 11th; after C1 on the 9th.
        ("2027-04-11", ["C2"]),
        # For C1 it comes on the 5th, 6th or 7th and is there on the 7th; for C2 on the 8th or 9th.
        ("2027-04-07", ["C1"]),
        # C1 ends on the road of the 9th, C2 begins there.
        ("2027-04-09", ["C1", "C2"]),
        ("2027-04-04", []),
        ("2027-04-13", []),
    ],
)
def test_only_what_an_absence_of_the_horse_forbids_goes(
    away: str, dropped: list[str], more: tuple[Any, ...]
) -> None:
    """A later show at the place saves nothing: who stays on for it is there in the absence."""
    yard = make_paid_yard(
        "C1", "C2", absences=[make_absence("Dancer", away)], shows=(make_show(), *more)
    )
    circuit = plan_clean(yard)
    assert list_dropped(circuit) == [(name, "window") for name in dropped]


@pytest.mark.parametrize(("worth", "dropped"), [((20, 10), "C2"), ((10, 20), "C1"), ((5, 5), "C2")])
def test_of_two_ends_the_one_worth_less_goes(worth: tuple[int, int], dropped: str) -> None:
    """Away on the 9th between classes on the 7th and 11th: each fits alone, both do not."""
    classes = [
        make_class("C1", "2027-04-07", worth=worth[0]),
        make_class("C2", "2027-04-11", worth=worth[1]),
    ]
    yard = make_paid_yard(
        "C1",
        "C2",
        absences=[make_absence("Dancer", "2027-04-09")],
        shows=[make_show(classes=classes)],
    )
    assert list_dropped(plan_clean(yard)) == [(dropped, "window")]


@pytest.mark.parametrize(
    ("away", "dropped", "stay"),
    [
        # The lorry drives the day before, and the day after.
        (("2027-04-07", "2027-04-07"), [], ("2027-04-06", "2027-04-11")),
        (("2027-04-06", "2027-04-07"), [], ("2027-04-05", "2027-04-11")),
        (("2027-04-11", "2027-04-11"), [], ("2027-04-07", "2027-04-12")),
        # Nothing is there from the 5th on to bring it for C1; on the 8th and 9th for C2.
        (("2027-04-01", "2027-04-07"), ["C1"], ("2027-04-09", "2027-04-11")),
        (("2027-04-11", "2027-04-14"), ["C2"], ("2027-04-07", "2027-04-09")),
        (("2027-04-05", "2027-04-09"), ["C1", "C2"], None),
    ],
)
def test_a_lorry_in_the_workshop(
    away: tuple[str, str], dropped: list[str], stay: tuple[str, str] | None
) -> None:
    """Horses come earlier or leave later; only what no lorry reaches goes, by `window`."""
    circuit = plan_clean(make_paid_yard("C1", "C2", absences=[make_absence("Lorry", *away)]))
    assert list_dropped(circuit) == [(name, "window") for name in dropped]
    stays = [(str(o.arrive), str(o.leave)) for o in circuit.outings]
    assert stays == ([] if stay is None else [stay])
    if dropped:
        assert "no lorry is there to" in str(circuit.dropped_entries[0].why)


def test_another_lorry_brings_it() -> None:
    """Of two lorries one in the workshop keeps nobody at home."""
    yard = make_paid_yard(
        "C1",
        "C2",
        absences=[make_absence("Lorry", "2027-04-05", "2027-04-12")],
        vehicles=[make_lorry(), make_lorry("Van", places=1)],
    )
    circuit = plan_clean(yard)
    assert list_dropped(circuit) == []
    assert {leg.vehicle for leg in circuit.legs} == {"Van"}


@pytest.mark.parametrize("entered", [(), ("C1",)])
def test_a_workshop_day_costs_no_worth(entered: tuple[str, ...]) -> None:
    """Two classes of 10 are worth 20, whether one is paid or none, one day earlier on the road."""
    yard = make_paid_yard(*entered, absences=[make_absence("Lorry", "2027-04-07")])
    assert plan_clean(yard).objective == 20


@pytest.mark.parametrize(("shows", "dropped"), [((), ["C2"]), ((S2_THERE,), [])])
def test_a_horse_that_no_lorry_fetches_stays_for_the_next_show(
    shows: tuple[Any, ...], dropped: list[str]
) -> None:
    """From the 10th to the 20th are nine clear days, and nine are asked of a horse that stays."""
    yard = make_paid_yard(
        "C1",
        "C2",
        absences=[make_absence("Lorry", "2027-04-11", "2027-04-14")],
        shows=(make_show(), *shows),
    )
    circuit = plan_clean(yard)
    assert list_dropped(circuit) == [(name, "window") for name in dropped]


@pytest.mark.parametrize(("who", "dropped"), [("Lorry", []), ("Dancer", ["C1"])])
def test_a_horse_that_no_lorry_brings_has_stayed_since_the_show_before(
    who: str, dropped: list[str]
) -> None:
    """Without a lorry from the 14th to the 19th it stays since S1; an absence forbids that too."""
    yard = make_yard(
        entries=[make_entry("C1", show="S2")],
        absences=[make_absence(who, "2027-04-14", "2027-04-19")],
        shows=(make_show(), S2_THERE),
    )
    assert list_dropped(plan_clean(yard)) == [(name, "window") for name in dropped]


def test_a_horse_cannot_stay_for_a_show_too_soon() -> None:
    """To a class of the 19th are eight clear days: nobody fetches it, and it may not go on."""
    yard = make_paid_yard(
        "C1",
        "C2",
        absences=[make_absence("Lorry", "2027-04-11", "2027-04-14")],
        shows=(make_show(), make_show("S2", "2027-04-17", "2027-04-19")),
    )
    assert ("C2", "window") in list_dropped(plan_clean(yard))


def test_more_starts_than_a_day_has() -> None:
    """Of two classes paid on one day the one worth less goes, by `eligible`."""
    classes = [make_class(name, worth=worth) for name, worth in (("A", 5), ("B", 10), ("C", 7))]
    show = make_show(classes=classes)
    for starts, dropped in ((1, ["A", "C"]), (2, ["A"]), (3, [])):
        yard = make_paid_yard(
            "A", "B", "C", shows=[show], horses=[make_horse(starts_per_day=starts)]
        )
        assert list_dropped(plan_clean(yard)) == [(name, "eligible") for name in dropped]


def test_more_starts_than_a_show_has() -> None:
    """Of three paid classes on three days the one worth least goes where two starts are allowed."""
    classes = [
        make_class(name, f"2027-04-{day:02d}", worth=worth)
        for name, day, worth in (("A", 8, 9), ("B", 9, 6), ("C", 10, 8))
    ]
    yard = make_paid_yard(
        "A", "B", "C", shows=[make_show(classes=classes)], horses=[make_horse(starts_per_show=2)]
    )
    assert list_dropped(plan_clean(yard)) == [("B", "eligible")]


def test_what_cannot_be_reached_takes_no_start() -> None:
    """C of the 11th ends on the road of the 12th, an absence; two starts of two are left."""
    classes = [
        make_class(name, f"2027-04-{day:02d}", worth=worth)
        for name, day, worth in (("A", 8, 1), ("B", 9, 2), ("C", 11, 9))
    ]
    yard = make_paid_yard(
        "A",
        "B",
        "C",
        shows=[make_show(classes=classes)],
        horses=[make_horse(starts_per_show=2)],
        absences=[make_absence("Dancer", "2027-04-12")],
    )
    assert list_dropped(plan_clean(yard)) == [("C", "window")]


def test_a_long_drive_begins_before_the_arrival() -> None:
    """12 h are two days on the road: away on the 4th and 5th, the horse cannot come for C1.

    Rest of two days asks for an arrival on the 5th, the drive would begin on the 4th; for C2 it
    may leave on the 6th and arrive on the 7th.
    """
    yard = make_paid_yard(
        "C1",
        "C2",
        km={("home", "Millbrook"): 840},
        absences=[make_absence("Dancer", "2027-04-03", "2027-04-04")],
        horses=[make_horse(limits=make_limits())],
    )
    assert list_dropped(plan_clean(yard)) == [("C1", "window")]
