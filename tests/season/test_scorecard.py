"""Worth, totals and spare days: figures worked out by hand from the handbook, Choices.

All limits are the handbook's usual ones (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from tests.build import (
    ZONE,
    day,
    make_aim,
    make_class,
    make_horse,
    make_limits,
    make_result,
    make_show,
    make_yard,
)
from tripkit.season.costs import Bill, price
from tripkit.season.scorecard import (
    add_up,
    count_spare_days,
    find_gaps,
    find_lacks,
    find_spare_days_by_horse,
    finish_circuit,
    price_outings,
)
from tripkit.yard.circuit import DroppedEntry, Leg, Outing, Stop
from tripkit.yard.horses import OutingsWanted
from tripkit.yard.yard import CostRates


def outing(
    show: str, *days: str, horse: str = "Dancer", classes: tuple[str, ...] = ("C1", "C2")
) -> Outing:
    """An outing; ``days`` are arrive, first class, last class, leave."""
    arrive, first, last, leave = (day(text) for text in days)
    return Outing(horse, show, "Ana", classes, first, last, arrive, leave)


def drive(
    start: str,
    end: str,
    on: str,
    *horses: str,
    until: str = "",
    hours: float = 2.0,
    km: float = 140.0,
) -> Leg:
    """A leg from 07:00 to 15:00 with a night on the way for each day it takes more than one."""
    zone = ZoneInfo(ZONE)
    depart = datetime.combine(day(on), datetime.min.time(), zone).replace(hour=7)
    arrive = datetime.combine(day(until or on), datetime.min.time(), zone).replace(hour=15)
    nights = (arrive.date() - depart.date()).days
    stops = tuple(
        Stop("overnight", depart + timedelta(days=n, hours=9), 900, "Halfway")
        for n in range(nights)
    )
    return Leg("Lorry", start, end, depart, arrive, km, hours, (), horses, stops)


S1 = make_show("S1", "2027-04-07")  # C1 on 8 April, C2 on 10 April
S2 = make_show("S2", "2027-04-21", place_key="Fairview")  # C1 on 22 April, C2 on 24 April
FIRST = outing("S1", "2027-04-07", "2027-04-08", "2027-04-10", "2027-04-11")
SECOND = outing("S2", "2027-04-21", "2027-04-22", "2027-04-24", "2027-04-25")
LEGS = (
    drive("home", "S1", "2027-04-07", "Dancer"),
    drive("S1", "home", "2027-04-11", "Dancer"),
    drive("home", "S2", "2027-04-21", "Dancer", km=200.5, hours=2.86),
    drive("S2", "home", "2027-04-25", "Dancer", km=200.5, hours=2.86),
)


def test_spare_days_are_clear_days_beyond_recovery() -> None:
    """11 to 21 April are 11 clear days; 7 + 2 x 1 + (1 + 0 - 1) = 9 are asked: 2 to spare."""
    yard = make_yard(shows=[S1, S2])
    assert count_spare_days(yard, [FIRST, SECOND], LEGS) == 2
    (gap,) = find_gaps(yard, [SECOND, FIRST], LEGS)
    assert (gap.horse, gap.before, gap.after) == ("Dancer", "S1", "S2")
    assert (gap.clear_days, gap.needed_days) == (11, 9)


def test_one_outing_has_no_spare_days() -> None:
    """Without a pair of outings there is no figure."""
    assert count_spare_days(make_yard(shows=[S1, S2]), [FIRST], LEGS[:2]) is None


def test_a_long_drive_asks_for_more_clear_days() -> None:
    """A drive of 2 days and 12 h asks 7 + 2 + (2 + 2 - 1) = 12 of the 11 clear days: -1."""
    yard = make_yard(shows=[S1, S2])
    legs = [*LEGS[:2], drive("home", "S2", "2027-04-18", "Dancer", until="2027-04-19", hours=12.0)]
    assert count_spare_days(yard, [FIRST, SECOND], legs) == -1


def test_drives_without_a_whole_day_between_are_one_drive() -> None:
    """Home on the 18th and on to S2 on the 19th, 5 h and 4 h: 2 days, 9 h, so 7 + 2 + 2 = 11."""
    yard = make_yard(shows=[S1, S2])
    legs = [
        LEGS[0],
        drive("S1", "home", "2027-04-18", "Dancer", hours=5.0),
        drive("home", "S2", "2027-04-19", "Dancer", hours=4.0),
    ]
    assert count_spare_days(yard, [FIRST, SECOND], legs) == 0


def test_a_drive_after_the_days_without_jumping_counts_besides() -> None:
    """Home on the 18th, the day after the seventh, and on the 20th to S2: 7 + 2 + (2 - 1) = 10."""
    legs = [
        LEGS[0],
        drive("S1", "home", "2027-04-18", "Dancer"),
        drive("home", "S2", "2027-04-20", "Dancer"),
    ]
    assert count_spare_days(make_yard(shows=[S1, S2]), [FIRST, SECOND], legs) == 1


def test_a_horse_that_stays_on_the_grounds_needs_no_drive() -> None:
    """At one place without a leg 7 + 2 = 9 are asked, however far home is: 11 - 9 = 2."""
    shows = [S1, make_show("S2", "2027-04-21")]
    legs = [
        drive("home", "S1", "2027-04-04", "Dancer", until="2027-04-06", hours=25.0),
        drive("S2", "home", "2027-04-25", "Dancer", until="2027-04-27", hours=25.0),
    ]
    assert count_spare_days(make_yard(shows=shows), [FIRST, SECOND], legs) == 2


def test_the_last_outing_of_the_past_is_a_pair_with_the_first_planned() -> None:
    """A result on 25 March leaves 13 clear days to 8 April; 9 are asked: 4, and 2 after that."""
    yard = make_yard(
        shows=[S1, S2], today="2027-04-01", results=[make_result("2027-03-25", "Elsewhere")]
    )
    gaps = find_gaps(yard, [FIRST, SECOND], LEGS)
    assert [(g.before, g.spare_days) for g in gaps] == [("Elsewhere", 4), ("S1", 2)]
    assert count_spare_days(yard, [FIRST, SECOND], LEGS) == 2


def test_a_result_at_the_planned_show_is_the_same_outing() -> None:
    """In the middle of S1 its result of the 8th is no pair with the rest of S1.

    Nor is the outing that ended on 6 April: what lies between is past.
    """
    yard = make_yard(
        shows=[S1, S2],
        today="2027-04-09",
        results=[make_result("2027-04-06", "Elsewhere"), make_result("2027-04-08", "S1")],
    )
    rest = outing("S1", "2027-04-07", "2027-04-10", "2027-04-10", "2027-04-11", classes=("C2",))
    gaps = find_gaps(yard, [rest, SECOND], LEGS)
    assert [(g.before, g.after, g.spare_days) for g in gaps] == [("S1", "S2", 2)]


@pytest.mark.parametrize(
    ("in_a_row", "pairs"),
    [(1, ["S1", "S2", "S3"]), (2, ["S2"]), (3, ["S3"]), (4, [])],
)
def test_outings_in_a_row_are_no_pairs(in_a_row: int, pairs: list[str]) -> None:
    """Four shows a week apart at one place, 4 clear days between: rows of k are left out.

    Listed are the outings before the pairs that count: with rows of two the rows are S1-S2 and
    S3-S4; with rows of three S1-S2-S3, then S4 is counted after S3.
    """
    shows = [
        make_show(f"S{n}", day("2027-04-07") + timedelta(days=7 * (n - 1))) for n in range(1, 5)
    ]
    outings = []
    for show in shows:
        first = show.days.first + timedelta(days=1)
        stay = (first - timedelta(days=1), first, first + timedelta(days=2), first)
        outings.append(outing(show.show, *(str(d) for d in stay)))
    yard = make_yard(shows=shows, horses=[make_horse(limits=make_limits(shows_in_a_row=in_a_row))])
    assert [gap.before for gap in find_gaps(yard, outings, [])] == pairs


def test_spare_days_by_horse() -> None:
    """Each horse has its own smallest surplus; a horse with one outing has none."""
    yard = make_yard(shows=[S1, S2], horses=[make_horse("Bella"), make_horse("Dancer")])
    bella = outing("S1", "2027-04-07", "2027-04-08", "2027-04-10", "2027-04-11", horse="Bella")
    assert find_spare_days_by_horse(yard, [FIRST, SECOND, bella], LEGS) == {"Dancer": 2}


def test_worth_counts_classes_weight_and_the_aim_met() -> None:
    """(10 + 12.5) x 1.5 = 33.75 at S1; at S2 20 x 1.5 = 30 and the aim of 40: 70.

    S1 ended on 10 April, 11 to 12 days before S2: within 10 to 45, so the aim is met.
    """
    first = make_show(
        "S1",
        "2027-04-07",
        classes=[
            make_class("C1", "2027-04-08", worth=10),
            make_class("C2", "2027-04-10", worth="12.5"),
        ],
    )
    yard = make_yard(
        shows=[first, S2],
        horses=[make_horse(weight=Decimal("1.5"))],
        aims=[make_aim(show="S2", importance=40), make_aim(show="S1", importance=30)],
    )
    bill = Bill(by_outing={("Dancer", "S1"): 111, ("Dancer", "S2"): 222}, total_cents=333)
    priced = price_outings(yard, [FIRST, SECOND], bill)
    assert [(o.worth, o.cost_cents) for o in priced] == [(33.75, 111), (70.0, 222)]
    totals = add_up(yard, priced, LEGS, bill)
    assert (totals.worth, totals.cost_cents) == (103.75, 333)
    # S1 has no outing before it, so the aim there is not met.
    assert totals.aims_met == ("Dancer at S2",)


def test_totals_are_sums_of_what_is_written() -> None:
    """Kilometres, hours, nights of a season with two horses, an empty leg and a night on the way.

    km 900.1 + 140 + 140.2 = 1180.3. Hours: 13.25 x 2 + 2 x 0 + 2.01 x 1 = 28.51. Nights on the
    grounds: 7 to 11 April twice, 4 + 4, and one night on the road for two horses: 10.
    """
    yard = make_yard(shows=[S1], horses=[make_horse("Bella"), make_horse("Dancer")])
    bella = outing("S1", "2027-04-07", "2027-04-08", "2027-04-10", "2027-04-11", horse="Bella")
    legs = [
        drive(
            "home", "S1", "2027-04-06", "Bella", "Dancer", until="2027-04-07", km=900.1, hours=13.25
        ),
        drive("S1", "home", "2027-04-08"),
        drive("S1", "home", "2027-04-11", "Dancer", km=140.2, hours=2.01),
    ]
    totals = add_up(yard, [FIRST, bella], legs, Bill())
    assert totals.road_km == 1180.3
    assert totals.horse_road_hours == 28.51
    assert totals.nights_away == 10
    assert totals.outings == 2


def test_outings_are_missing_by_what_is_wanted_of_each_horse() -> None:
    """Two outings of Dancer and one of March make 3 of 4; Bella has none of 2; Comet any number."""
    horses = [
        replace(make_horse(), outings_wanted=OutingsWanted(4)),
        replace(make_horse("Bella"), outings_wanted=OutingsWanted(2, 3)),
        make_horse("Comet"),
    ]
    results = [make_result("2027-03-02"), make_result("2027-02-20")]
    yard = make_yard(shows=[S1, S2], horses=horses, results=results, today="2027-03-05")
    assert [(lack.horse, lack.missing) for lack in find_lacks(yard, [FIRST, SECOND])] == [
        ("Dancer", 1),
        ("Bella", 2),
    ]
    assert add_up(yard, [FIRST, SECOND], LEGS, Bill()).missing_outings == 3


def test_a_finished_circuit_holds_together() -> None:
    """Outings sorted and priced, 98 days, outings' costs and worth sum to the totals."""
    yard = make_yard(
        shows=[S1, S2],
        costs=CostRates(Decimal(100), 9000, 7001, 0, 0, 8000),
    )
    dropped = DroppedEntry("Dancer", "S2", "C9", "the road is closed", 5000)
    circuit = finish_circuit(
        yard,
        "A",
        "most worth",
        "proved best",
        40.0,
        40.0,
        0.5,
        [SECOND, FIRST],
        LEGS[::-1],
        [dropped],
    )
    assert [o.show for o in circuit.outings] == ["S1", "S2"]
    assert circuit.legs == LEGS
    assert len(circuit.days) == 98
    # Four classes of 10 each.
    assert (circuit.totals.worth, circuit.objective, circuit.bound) == (40.0, 40.0, 40.0)
    # Per show: 2 classes of 50.00, 5 days of groom 90.00 and rider 70.01: 900.05.
    # Road 2 x 140.00 and 2 x 200.50; one check after the second outing (the last, too).
    assert [o.cost_cents for o in circuit.outings] == [
        10000 + 5 * 16001 + 28000,
        10000 + 5 * 16001 + 40100 + 8000,
    ]
    assert sum(o.cost_cents for o in circuit.outings) == circuit.totals.cost_cents
    assert circuit.totals.spare_days == 2
    assert circuit.dropped_entries == (dropped,)
    assert price(yard, circuit.outings, circuit.legs, circuit.days).total_cents == (
        circuit.totals.cost_cents
    )
