"""Costs: each kind to the cent, split by hand; parts always sum to their whole.

Expected figures are worked out in comments from the handbook, Choices: Money; the rates are
invented (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.build import (
    ZONE,
    day,
    make_class,
    make_entry,
    make_horse,
    make_limits,
    make_lorry,
    make_rider,
    make_show,
    make_yard,
)
from tripkit.season.costs import Bill, find_rider_dates, price, split_among_owners
from tripkit.yard.circuit import Day, Driver, Leg, Outing, Stop, number_driver
from tripkit.yard.people import Share
from tripkit.yard.yard import CostRates, Yard

RATES = CostRates(
    cents_per_km=Decimal(150),
    groom_day_cents=9000,
    rider_day_cents=7001,
    overnight_stop_cents=12001,
    stabling_day_cents=3500,
    vet_check_cents=8000,
)


def outing(
    horse: str,
    show: str,
    classes: tuple[str, ...],
    days: tuple[str, str, str, str],
    rider: str = "Ana",
) -> Outing:
    """An outing; ``days`` are arrive, first class, last class, leave."""
    arrive, first, last, leave = (day(text) for text in days)
    return Outing(horse, show, rider, classes, first, last, arrive, leave)


def drive(
    start: str,
    end: str,
    on: str,
    *horses: str,
    until: str = "",
    km: float = 140.0,
    vehicle: str = "Lorry",
    nights: int = 0,
    drivers: tuple[Driver, ...] = (),
) -> Leg:
    """A leg of 2 hours from 07:00, or to 17:00 of the day ``until``."""
    zone = ZoneInfo(ZONE)
    depart = datetime.combine(day(on), datetime.min.time(), zone).replace(hour=7)
    arrive = depart + timedelta(hours=2)
    if until:
        arrive = datetime.combine(day(until), datetime.min.time(), zone).replace(hour=17)
    stops = tuple(Stop("overnight", depart, 600, "Halfway") for _ in range(nights))
    return Leg(vehicle, start, end, depart, arrive, km, 2.0, drivers, horses, stops)


def show_with_fees(show: str = "S1", first: str = "2027-04-07", **changes: object) -> object:
    """A show with a stall fee of 200.00 and a late fee of 30.00."""
    return make_show(show, first, stall_fee_cents=20000, late_fee_cents=3000, **changes)


def yard_of_two(**changes: object) -> Yard:
    """Bella and Dancer, both ridden by Ana and owned by Olga; S1 is a tour of its own."""
    fields: dict[str, object] = {
        "horses": [make_horse("Bella"), make_horse("Dancer")],
        "shows": [show_with_fees(tour="Spring")],
        "costs": RATES,
        **changes,
    }
    return make_yard(**fields)  # type: ignore[arg-type]


DANCER_S1 = outing(
    "Dancer", "S1", ("C1", "C2"), ("2027-04-07", "2027-04-08", "2027-04-10", "2027-04-11")
)
BELLA_S1 = outing("Bella", "S1", ("C1",), ("2027-04-07", "2027-04-08", "2027-04-08", "2027-04-11"))
OUT = drive("home", "S1", "2027-04-07", "Dancer", "Bella")
BACK = drive("S1", "home", "2027-04-11", "Dancer", "Bella")
CHECKS = tuple(Day(horse, day("2027-04-13"), "home", "vet check") for horse in ("Bella", "Dancer"))


def cents_of(bill: Bill, kind: str) -> dict[tuple[str, str], int]:
    """The cents of one kind by outing."""
    found: dict[tuple[str, str], int] = {}
    for line in bill.lines:
        if line.kind == kind:
            found[line.horse, line.show] = found.get((line.horse, line.show), 0) + line.cents
    return found


def check_sums(bill: Bill) -> None:
    """Every way to add up the bill gives its total."""
    assert sum(line.cents for line in bill.lines) == bill.total_cents
    assert sum(bill.by_outing.values()) == bill.total_cents
    assert sum(bill.by_horse.values()) == bill.total_cents
    assert sum(bill.by_owner.values()) == bill.total_cents
    assert sum(bill.by_horse_and_owner.values()) == bill.total_cents


def test_a_trip_of_two_horses_is_billed_line_by_line() -> None:
    """Two horses in one lorry at one show cost what the rates say, cent by cent."""
    bill = price(yard_of_two(), [DANCER_S1, BELLA_S1], [OUT, BACK], CHECKS)
    # Fees: 50.00 a class (Dancer two, Bella one), 200.00 a stall each.
    assert cents_of(bill, "entry fee") == {("Dancer", "S1"): 10000, ("Bella", "S1"): 5000}
    assert cents_of(bill, "stall fee") == {("Dancer", "S1"): 20000, ("Bella", "S1"): 20000}
    # Road: 140.0 km x 1.50 = 210.00 a leg, 105.00 a horse, two legs.
    assert cents_of(bill, "road") == {("Dancer", "S1"): 21000, ("Bella", "S1"): 21000}
    # Ana is away from 7 to 11 April, 5 days of 70.01: Bella (first) 35.01, Dancer 35.00 a day.
    assert cents_of(bill, "rider days") == {("Bella", "S1"): 17505, ("Dancer", "S1"): 17500}
    # One groom for both on the same 5 days of 90.00: 45.00 each a day.
    assert cents_of(bill, "groom days") == {("Bella", "S1"): 22500, ("Dancer", "S1"): 22500}
    # S1 is the last show of its tour, and the vet looks after that.
    assert cents_of(bill, "vet check") == {("Bella", "S1"): 8000, ("Dancer", "S1"): 8000}
    # Dancer 10000+20000+21000+17500+22500+8000, Bella 5000+20000+21000+17505+22500+8000.
    assert bill.by_outing == {("Bella", "S1"): 94005, ("Dancer", "S1"): 99000}
    assert bill.total_cents == 193005
    assert bill.by_owner == {"Olga": 193005}
    check_sums(bill)


@pytest.mark.parametrize(
    ("today", "paid", "fee"),
    [
        ("2027-03-20", (), 0),
        ("2027-03-21", (), 3000),
        ("2027-03-21", ("C1",), 3000),
        ("2027-03-21", ("C1", "C2"), 0),
    ],
)
def test_the_late_fee_is_paid_once_for_new_classes_after_closing(
    today: str, paid: tuple[str, ...], fee: int
) -> None:
    """One late fee an outing, where a class of it is not yet sent and entries closed yesterday."""
    yard = yard_of_two(
        today=today,
        shows=[show_with_fees(entries_close="2027-03-20", late_entries_until="2027-03-30")],
        entries=[make_entry(name) for name in paid],
    )
    bill = price(yard, [DANCER_S1], [])
    assert cents_of(bill, "late fee").get(("Dancer", "S1"), 0) == fee


@pytest.mark.parametrize(
    ("km", "rate", "cents"),
    [(100.1, "5", 501), (100.1, "4.999", 500), (0.1, "25", 3), (0.1, "24", 2)],
)
def test_a_leg_is_rounded_half_up_once(km: float, rate: str, cents: int) -> None:
    """100.1 km x 5 = 500.5 goes up to 501; x 4.999 = 500.3999; 0.1 x 25 = 2.5, x 24 = 2.4."""
    yard = yard_of_two(vehicles=[make_lorry(cents_per_km=Decimal(rate))])
    leg = drive("home", "S1", "2027-04-07", "Dancer", km=km)
    assert cents_of(price(yard, [DANCER_S1], [leg]), "road") == {("Dancer", "S1"): cents}


def test_an_empty_drive_is_shared_by_all_horses_of_its_round_trip() -> None:
    """The lorry goes home empty after bringing both, and comes empty to fetch Dancer alone.

    Out 210.00 and the empty way back are shared, 105.00 each; the empty way to fetch Dancer and
    Dancer's way home are Dancer's: 2 x 105.00 + 2 x 210.00 = 630.00, Bella 210.00.
    """
    legs = [
        OUT,
        drive("S1", "home", "2027-04-08"),
        drive("home", "S1", "2027-04-10"),
        drive("S1", "home", "2027-04-11", "Dancer"),
    ]
    bill = price(yard_of_two(), [DANCER_S1, BELLA_S1], legs)
    assert cents_of(bill, "road") == {("Dancer", "S1"): 63000, ("Bella", "S1"): 21000}


def test_a_drive_belongs_to_the_outing_it_leads_to_and_home_to_the_last() -> None:
    """Home-S1-S2-home: S1 pays the first leg of 210.00, S2 the second and the way home."""
    yard = yard_of_two(
        shows=[show_with_fees(), show_with_fees("S2", "2027-04-14", place_key="Fairview")]
    )
    second = outing(
        "Dancer", "S2", ("C1",), ("2027-04-14", "2027-04-15", "2027-04-15", "2027-04-16")
    )
    legs = [
        drive("home", "S1", "2027-04-07", "Dancer"),
        drive("S1", "S2", "2027-04-14", "Dancer"),
        drive("S2", "home", "2027-04-16", "Dancer"),
    ]
    first = outing(
        "Dancer", "S1", ("C1",), ("2027-04-07", "2027-04-08", "2027-04-08", "2027-04-13")
    )
    bill = price(yard, [first, second], legs)
    assert cents_of(bill, "road") == {("Dancer", "S1"): 21000, ("Dancer", "S2"): 42000}
    # Away 7 to 16 April, 10 days. Until it leaves S1 on the 13th 7 days are S1's, 3 are S2's.
    assert cents_of(bill, "rider days") == {("Dancer", "S1"): 49007, ("Dancer", "S2"): 21003}
    assert cents_of(bill, "groom days") == {("Dancer", "S1"): 63000, ("Dancer", "S2"): 27000}


def test_a_drive_by_way_of_another_show_belongs_to_its_own() -> None:
    """Bella gets off at S1, Dancer drives on to S2: half of the first leg is S2's, too.

    First leg 210.00 in halves, second 210.00 and the way home from S2 210.00 Dancer's own.
    """
    yard = yard_of_two(
        shows=[
            show_with_fees("S0", "2027-03-10"),
            show_with_fees(),
            show_with_fees("S2", "2027-04-07", place_key="Fairview"),
        ]
    )
    dancer = outing(
        "Dancer", "S2", ("C1",), ("2027-04-07", "2027-04-08", "2027-04-08", "2027-04-11")
    )
    earlier = outing("Dancer", "S0", ("C1",), ("2027-03-11",) * 4)
    legs = [
        drive("home", "S1", "2027-04-06", "Bella", "Dancer"),
        drive("S1", "S2", "2027-04-07", "Dancer"),
        drive("S2", "home", "2027-04-11", "Dancer"),
    ]
    bill = price(yard, [earlier, BELLA_S1, dancer], legs)
    assert cents_of(bill, "road") == {("Bella", "S1"): 10500, ("Dancer", "S2"): 52500}


def test_a_drive_home_of_two_days_counts_to_the_day_of_return() -> None:
    """Leaving on the 11th and back on the 12th: 7 to 12 April are 6 days of rider and groom."""
    back = drive("S1", "home", "2027-04-11", "Dancer", until="2027-04-12", nights=1)
    out = drive("home", "S1", "2027-04-07", "Dancer")
    bill = price(yard_of_two(), [DANCER_S1], [out, back])
    assert cents_of(bill, "rider days") == {("Dancer", "S1"): 6 * 7001}
    assert cents_of(bill, "groom days") == {("Dancer", "S1"): 6 * 9000}


def test_a_groom_goes_to_the_next_show_with_the_horse_on_the_road() -> None:
    """On the day of the drive from S1 to S2 the groom counts at S2, the rider still at S1.

    Away 7 to 16 April, leaving S1 on the 12th: rider 6 days S1 + 4 S2, groom 5 S1 + 5 S2.
    """
    yard = yard_of_two(
        shows=[show_with_fees(), show_with_fees("S2", "2027-04-14", place_key="Fairview")]
    )
    outings = [
        outing("Dancer", "S1", ("C1",), ("2027-04-07", "2027-04-08", "2027-04-08", "2027-04-12")),
        outing("Dancer", "S2", ("C1",), ("2027-04-12", "2027-04-15", "2027-04-15", "2027-04-16")),
    ]
    legs = [
        drive("home", "S1", "2027-04-07", "Dancer"),
        drive("S1", "S2", "2027-04-12", "Dancer"),
        drive("S2", "home", "2027-04-16", "Dancer"),
    ]
    bill = price(yard, outings, legs)
    assert cents_of(bill, "rider days") == {("Dancer", "S1"): 42006, ("Dancer", "S2"): 28004}
    assert cents_of(bill, "groom days") == {("Dancer", "S1"): 45000, ("Dancer", "S2"): 45000}


def test_a_horse_that_stays_on_the_grounds_is_away_all_the_time() -> None:
    """S1 and S2 at one place without a leg between: 7 to 18 April are 12 days, each once.

    Leaving S1 is arriving for S2 on the 13th: 7 days are S1's, 5 are S2's.
    """
    yard = yard_of_two(shows=[show_with_fees(), show_with_fees("S2", "2027-04-13")])
    outings = [
        outing("Dancer", "S1", ("C1",), ("2027-04-07", "2027-04-08", "2027-04-08", "2027-04-13")),
        outing("Dancer", "S2", ("C1",), ("2027-04-13", "2027-04-14", "2027-04-14", "2027-04-18")),
    ]
    legs = [
        drive("home", "S1", "2027-04-07", "Dancer"),
        drive("S2", "home", "2027-04-18", "Dancer"),
    ]
    bill = price(yard, outings, legs)
    assert cents_of(bill, "rider days") == {("Dancer", "S1"): 49007, ("Dancer", "S2"): 35005}
    assert cents_of(bill, "groom days") == {("Dancer", "S1"): 63000, ("Dancer", "S2"): 45000}
    assert cents_of(bill, "road") == {("Dancer", "S1"): 21000, ("Dancer", "S2"): 21000}
    assert find_rider_dates(yard, outings, legs) == {
        "Ana": frozenset(date(2027, 4, number) for number in range(7, 19))
    }


def test_five_horses_at_one_place_need_two_grooms() -> None:
    """ceil(5 / 4) = 2 grooms of 90.00 on one day are 180.00, 36.00 for each horse."""
    names = ["A", "B", "C", "D", "E"]
    yard = yard_of_two(
        horses=[make_horse(name) for name in names],
        shows=[make_show("S1", "2027-04-07", "2027-04-07", classes=[make_class(on="2027-04-07")])],
    )
    one_day = ("2027-04-07",) * 4
    bill = price(yard, [outing(name, "S1", ("C1",), one_day) for name in names], [])
    assert cents_of(bill, "groom days") == {(name, "S1"): 3600 for name in names}


def test_grooms_are_counted_by_place() -> None:
    """Two horses at two places on one day need a groom each."""
    classes = [make_class(on="2027-04-07")]
    yard = yard_of_two(
        shows=[
            make_show("S1", "2027-04-07", "2027-04-07", classes=classes),
            make_show(
                "S2",
                "2027-04-07",
                "2027-04-07",
                place_key="Fairview",
                classes=[make_class(on="2027-04-07", show="S2")],
            ),
        ]
    )
    one_day = ("2027-04-07",) * 4
    outings = [outing("Bella", "S1", ("C1",), one_day), outing("Dancer", "S2", ("C1",), one_day)]
    assert sum(cents_of(price(yard, outings, []), "groom days").values()) == 18000


def test_a_rider_is_paid_once_a_day_and_two_riders_are_two() -> None:
    """Five days of two riders are ten rider days, five of one rider with two horses are five."""
    yard = yard_of_two(
        horses=[make_horse("Bella", rider="Ben"), make_horse("Dancer")],
        people=[make_rider(), make_rider("Ben")],
    )
    bella = outing(
        "Bella", "S1", ("C1",), ("2027-04-07", "2027-04-08", "2027-04-08", "2027-04-11"), "Ben"
    )
    bill = price(yard, [DANCER_S1, bella], [OUT, BACK])
    assert sum(cents_of(bill, "rider days").values()) == 10 * 7001
    bill = price(yard_of_two(), [DANCER_S1, BELLA_S1], [OUT, BACK])
    assert sum(cents_of(bill, "rider days").values()) == 5 * 7001


def test_a_night_on_the_road_costs_the_crew_and_each_horse() -> None:
    """Crew 120.01 is split 60.01 (Bella) and 60.00, stabling is 35.00 a horse."""
    out = drive(
        "home", "S1", "2027-04-06", "Bella", "Dancer", until="2027-04-07", km=900.0, nights=1
    )
    bill = price(yard_of_two(), [DANCER_S1, BELLA_S1], [out, BACK])
    assert cents_of(bill, "overnight stop") == {("Bella", "S1"): 6001, ("Dancer", "S1"): 6000}
    assert cents_of(bill, "stabling") == {("Bella", "S1"): 3500, ("Dancer", "S1"): 3500}
    # Both are on the road from the 6th, so it is 6 days of grooms and of Ana.
    assert sum(cents_of(bill, "groom days").values()) == 6 * 9000
    assert sum(cents_of(bill, "rider days").values()) == 6 * 7001


@pytest.mark.parametrize(
    ("on", "cents"), [("2027-04-09", 0), ("2027-04-10", 8000), ("2027-04-11", 8000)]
)
def test_a_check_on_the_last_class_day_is_the_one_after_the_outing(on: str, cents: int) -> None:
    """The vet looks on the evening after the last class (04-10); one the day before is none."""
    bill = price(yard_of_two(), [DANCER_S1], [], [Day("Dancer", day(on), "S1", "vet check")])
    assert sum(cents_of(bill, "vet check").values()) == cents


@pytest.mark.parametrize(("on", "show"), [("2027-04-20", "S1"), ("2027-04-21", "S2")])
def test_a_check_on_the_next_first_class_day_is_not_the_last_outings(on: str, show: str) -> None:
    """A check after S1 comes before S2 begins; on S2's only day (04-21) it is that of S2."""
    second = make_class("C1", "2027-04-21", "S2")
    yard = yard_of_two(
        shows=[
            show_with_fees(tour="Spring"),
            show_with_fees("S2", "2027-04-20", tour="Hills", classes=[second]),
        ]
    )
    outings = [
        DANCER_S1,
        outing("Dancer", "S2", ("C1",), ("2027-04-20", "2027-04-21", "2027-04-21", "2027-04-22")),
    ]
    bill = price(yard, outings, [], [Day("Dancer", day(on), "S2", "show", ("vet check",))])
    assert cents_of(bill, "vet check") == {("Dancer", show): 8000}


def test_only_checks_that_an_outing_asks_for_are_billed() -> None:
    """A check before the outing (a blood test) and a second one after it cost nothing."""
    days = [
        Day("Dancer", day("2027-03-20"), "home", "vet check"),
        Day("Dancer", day("2027-04-11"), "road", "travel", ("vet check",)),
        Day("Dancer", day("2027-04-20"), "home", "vet check"),
    ]
    bill = price(yard_of_two(), [DANCER_S1], [], days)
    assert [(x.date, x.cents) for x in bill.lines if x.kind == "vet check"] == [
        (date(2027, 4, 11), 8000)
    ]


@pytest.mark.parametrize(
    ("tours", "checked"),
    [
        (("", "", ""), ["S2"]),
        (("", "", "Spring"), ["S2", "S3"]),
        (("Spring", "", ""), ["S1", "S2"]),
        (("Spring", "Spring", "Spring"), ["S2", "S3"]),
    ],
)
def test_checks_follow_every_second_outing_and_the_last_of_a_tour(
    tours: tuple[str, ...], checked: list[str]
) -> None:
    """Of three outings the second is billed, and the last of a tour, but no last single show."""
    shows = [
        make_show(f"S{n}", first, tour=tour)
        for n, (first, tour) in enumerate(
            zip(("2027-03-10", "2027-04-07", "2027-05-05"), tours, strict=True), 1
        )
    ]
    yard = yard_of_two(
        shows=shows,
        horses=[make_horse(limits=make_limits(vet_check_after_shows=2))],
    )
    outings = [outing("Dancer", show.show, ("C1",), (str(show.days.first),) * 4) for show in shows]
    days = [Day("Dancer", date(2027, month, 12), "home", "vet check") for month in (3, 4, 5)]
    assert cents_of(price(yard, outings, [], days), "vet check") == {
        ("Dancer", show): 8000 for show in checked
    }


def test_owners_share_a_horse_to_the_cent() -> None:
    """100.00 in thirds is 33.34, 33.33 and 33.33, the first owner paying the odd cent."""
    third = Fraction(1, 3)
    yard = yard_of_two(shares=[Share("Dancer", name, third) for name in ("Max", "Olga", "Pia")])
    assert split_among_owners(yard, {"Dancer": 10000}) == {
        ("Dancer", "Max"): 3334,
        ("Dancer", "Olga"): 3333,
        ("Dancer", "Pia"): 3333,
    }


def test_a_horse_without_an_owner_is_billed_to_the_yard() -> None:
    """Bella has no row in shares: her part stands under the empty name."""
    yard = yard_of_two(shares=[Share("Dancer", "Olga")])
    bill = price(yard, [DANCER_S1, BELLA_S1], [OUT, BACK], CHECKS)
    assert bill.by_owner == {"Olga": 99000, "": 94005}


def test_nothing_planned_costs_nothing() -> None:
    """No outings, no legs: an empty bill, with every owner at zero."""
    bill = price(yard_of_two(), [], [])
    assert (bill.total_cents, bill.lines, bill.by_owner) == (0, (), {"Olga": 0})


def test_a_drive_without_any_outing_is_billed_to_the_yard() -> None:
    """A lorry that drives for nobody's outing still costs its 210.00."""
    bill = price(yard_of_two(), [], [drive("home", "S1", "2027-04-07")])
    assert (bill.total_cents, bill.by_owner[""]) == (21000, 21000)
    check_sums(bill)


@settings(max_examples=60)
@given(st.data())
def test_parts_sum_to_totals_whatever_the_plan(data: st.DataObject) -> None:
    """Lines, outings, horses and owners all add up to the total, whatever rates and trips."""
    cents = st.integers(0, 99999)
    rates = CostRates(
        data.draw(st.decimals(0, 500, places=3)), *(data.draw(cents) for _ in range(5))
    )
    names = ["Asta", "Bella", "Cid", "Dancer", "Echo"]
    cut = data.draw(st.integers(1, 98))
    shares = [
        Share("Asta", "Max", Fraction(cut, 99)),
        Share("Asta", "Olga", 1 - Fraction(cut, 99)),
        Share("Bella", "Pia"),
    ]
    shows = [
        show_with_fees(f"S{i}", str(date(2027, 3, 10) + timedelta(days=14 * i))) for i in range(4)
    ]
    yard = yard_of_two(
        horses=[make_horse(name) for name in names], shows=shows, costs=rates, shares=shares
    )
    outings, legs = [], []
    for show in yard.shows:
        going = data.draw(st.lists(st.sampled_from(names), unique=True))
        first, last = show.classes[0].day, show.classes[1].day
        arrive, leave = first - timedelta(days=1), last + timedelta(days=1)
        for name in going:
            outings.append(Outing(name, show.show, "Ana", ("C1", "C2"), first, last, arrive, leave))
        km = data.draw(st.integers(1, 9999)) / 10
        nights = data.draw(st.integers(0, 2))
        if going or data.draw(st.booleans()):
            until = str(arrive)
            begin = str(arrive - timedelta(days=nights))
            legs.append(drive("home", show.show, begin, *going, until=until, km=km, nights=nights))
            legs.append(drive(show.show, "home", str(leave), *going, km=km))
    days = [Day(name, date(2027, 5, 30), "home", "vet check") for name in names]
    bill = price(yard, outings, legs, days)
    check_sums(bill)
    assert set(bill.by_outing) >= {(o.horse, o.show) for o in outings}


def sum_kind(bill: Bill, kind: str) -> dict[tuple[str, str], int]:
    """What a kind of cost comes to, by outing."""
    found: dict[tuple[str, str], int] = {}
    for line in bill.lines:
        if line.kind == kind:
            found[line.horse, line.show] = found.get((line.horse, line.show), 0) + line.cents
    return found


DAYS = ("2027-04-07", "2027-04-08", "2027-04-10", "2027-04-11")


def test_a_driver_whom_nobody_names_costs_each_day_with_a_lorry() -> None:
    """Two days (04-07 and 04-11) of 90.00 as a groom's day, or of 110.01, halved; Dell is free."""
    legs = [
        drive("home", "S1", "2027-04-07", "Bella", "Dancer", drivers=(number_driver(1),)),
        drive("S1", "home", "2027-04-11", "Bella", "Dancer", drivers=(number_driver(1),)),
    ]
    outings = [outing(horse, "S1", ("C1",), DAYS) for horse in ("Bella", "Dancer")]
    known = sum_kind(price(yard_of_two(), outings, legs), "driver days")
    assert known == {("Bella", "S1"): 9000, ("Dancer", "S1"): 9000}
    own = yard_of_two(costs=replace(RATES, hired_driver_day_cents=11001))
    # 110.01 is 55.01 and 55.00, on each of two days.
    assert sorted(sum_kind(price(own, outings, legs), "driver days").values()) == [11000, 11002]
    named = [replace(leg, drivers=("Dell",)) for leg in legs]
    assert sum_kind(price(yard_of_two(), outings, named), "driver days") == {}


def test_two_drives_of_a_day_are_one_day_of_a_driver() -> None:
    """Out with Bella and empty home on one day: 90.00 once."""
    legs = [
        drive("home", "S1", "2027-04-07", "Bella", drivers=(number_driver(1),)),
        replace(
            drive("S1", "home", "2027-04-07", drivers=(number_driver(1),)),
            depart=datetime(2027, 4, 7, 10, tzinfo=ZoneInfo(ZONE)),
            arrive=datetime(2027, 4, 7, 12, tzinfo=ZoneInfo(ZONE)),
        ),
    ]
    bill = price(yard_of_two(), [outing("Bella", "S1", ("C1",), DAYS)], legs)
    assert sum_kind(bill, "driver days") == {("Bella", "S1"): 9000}


@pytest.mark.parametrize(("hire", "cents"), [(True, 5 * 18000), (False, 0)])
def test_a_lorry_on_hire_costs_each_day_from_leaving_to_return(hire: bool, cents: int) -> None:
    """04-07 to 04-11 are five days of 180.00."""
    lorry = make_lorry(hire=hire, per_day_cents=18000 if hire else 0)
    legs = [
        drive("home", "S1", "2027-04-07", "Bella"),
        drive("S1", "home", "2027-04-11", "Bella"),
    ]
    bill = price(yard_of_two(vehicles=[lorry]), [outing("Bella", "S1", ("C1",), DAYS)], legs)
    assert sum(sum_kind(bill, "lorry hire").values()) == cents


def test_a_night_outside_the_stabling_days_costs_a_night_at_a_stop() -> None:
    """S1's stabling ends on 04-12, T's begins on 04-17: the nights of 04-12 to 04-16 cost 35.00."""
    yard = yard_of_two(shows=[show_with_fees(), show_with_fees("T", "2027-04-19")])
    outings = [
        outing("Bella", "S1", ("C1",), ("2027-04-07", "2027-04-08", "2027-04-08", "2027-04-19")),
        outing("Bella", "T", ("C1",), ("2027-04-19", "2027-04-20", "2027-04-20", "2027-04-23")),
    ]
    legs = [drive("home", "S1", "2027-04-07", "Bella"), drive("T", "home", "2027-04-23", "Bella")]
    assert sum_kind(price(yard, outings, legs), "stabling") == {("Bella", "S1"): 5 * 3500}


def test_a_day_trip_costs_no_stall_and_one_day_of_groom_and_rider() -> None:
    """Out and back on 04-08: 90.00 and 70.01."""
    back = drive("S1", "home", "2027-04-08", "Bella")
    zone = ZoneInfo(ZONE)
    evening = replace(
        back,
        depart=datetime(2027, 4, 8, 17, tzinfo=zone),
        arrive=datetime(2027, 4, 8, 19, tzinfo=zone),
    )
    legs = [drive("home", "S1", "2027-04-08", "Bella"), evening]
    bill = price(yard_of_two(), [outing("Bella", "S1", ("C1",), ("2027-04-08",) * 4)], legs)
    kinds = {line.kind: line.cents for line in bill.lines}
    assert (kinds["groom days"], kinds["rider days"]) == (9000, 7001)
    assert "stall fee" not in kinds
