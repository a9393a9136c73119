"""Nights at a base: which they are, what they cost whom, and where the day plan has the horse."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from tests.build import (
    ZONE,
    make_base,
    make_class,
    make_entry,
    make_horse,
    make_show,
    make_yard,
)
from tripkit.season.bases import count_nights_on_grounds, find_base_nights
from tripkit.season.costs import price
from tripkit.season.diary import write_diary
from tripkit.season.lived import go_on_from
from tripkit.yard.circuit import Circuit, Leg, Outing
from tripkit.yard.days import DaySpan
from tripkit.yard.people import Share
from tripkit.yard.yard import CostRates

S1 = make_show("S1", "2027-04-07", stall_fee_cents=20000)
# In the town of the base.
S2 = make_show("S2", "2027-04-20", place_key="Fairview", stall_fee_cents=20000)
RATES = CostRates(
    cents_per_km=Decimal(100), groom_day_cents=9000, rider_day_cents=7000, vet_check_cents=8000
)


def day(text):
    return date.fromisoformat(f"2027-{text}")


def drive(start, end, on, *horses, until=None):
    depart = datetime.combine(day(on), datetime.min.time(), ZoneInfo(ZONE)) + timedelta(hours=8)
    arrive = depart + timedelta(hours=2)
    if until:
        arrive = arrive + (day(until) - day(on))
    return Leg("Lorry", start, end, depart, arrive, 140.0, 2.0, ("Ana",), horses)


def go(show, first, last, arrive, leave, horse="Dancer", classes=("C1",)):
    return Outing(horse, show, "Ana", classes, day(first), day(last), day(arrive), day(leave))


def make(**changes):
    fields = {"shows": [S1, S2], "bases": (make_base(),), "costs": RATES, **changes}
    return make_yard(**fields)


def nights_of(outings, legs, **changes):
    return sorted(find_base_nights(make(**changes), outings, legs))


def span(first, last):
    return [*DaySpan(day(first), day(last))]


THERE = [drive("home", "Barn", "04-01", "Dancer"), drive("Barn", "home", "04-06", "Dancer")]


def test_every_night_between_two_drives_is_one_at_the_base():
    """Comes on 1 April and goes on the 6th: the nights of the 1st to the 5th."""
    assert nights_of([], THERE) == span("04-01", "04-05")


def test_a_horse_that_stays_is_there_until_the_season_ends():
    """No drive follows: the last night is that of 6 June."""
    assert nights_of([], THERE[:1]) == span("04-01", "06-06")


def test_a_horse_that_lives_there_sleeps_in_its_box_while_it_jumps():
    """It comes to the grounds for its classes alone: no night of 20 to 24 April is spent there."""
    legs = [drive("home", "Barn", "04-01", "Dancer"), drive("Barn", "home", "05-02", "Dancer")]
    outing = go("S2", "04-21", "04-23", "04-21", "04-23")
    assert nights_of([outing], legs) == span("04-01", "05-01")
    assert count_nights_on_grounds(make(), [outing], legs) == {("Dancer", "S2"): 0}


def test_a_horse_that_came_to_the_show_moves_over_after_it():
    """From 19 April in the show's stables, from the night of the 24th at the base."""
    legs = [drive("home", "S2", "04-19", "Dancer"), drive("Barn", "home", "04-28", "Dancer")]
    outing = go("S2", "04-21", "04-23", "04-19", "04-24")
    assert nights_of([outing], legs) == span("04-24", "04-27")
    assert count_nights_on_grounds(make(), [outing], legs) == {("Dancer", "S2"): 5}


def test_a_horse_that_lives_there_may_move_into_the_stables():
    """It leaves its box on the day before its first class and drives off from the show."""
    legs = [drive("home", "Barn", "04-01", "Dancer"), drive("S2", "home", "04-24", "Dancer")]
    outing = go("S2", "04-21", "04-23", "04-20", "04-24")
    assert nights_of([outing], legs) == span("04-01", "04-19")


def test_a_horse_that_comes_to_the_show_on_a_class_day_stands_in_its_stables():
    """It came to the show, not to the base, and leaves on the evening of its last class."""
    legs = [drive("home", "S2", "04-21", "Dancer"), drive("S2", "home", "04-23", "Dancer")]
    outing = go("S2", "04-21", "04-23", "04-21", "04-23")
    assert nights_of([outing], legs) == []
    legs = [drive("home", "Barn", "04-21", "Dancer"), drive("Barn", "home", "04-23", "Dancer")]
    assert nights_of([outing], legs) == span("04-21", "04-22")


def test_where_the_base_is_shut_a_horse_stands_on_the_grounds():
    """The barn is given back on the 22nd: its last night is the 21st."""
    legs = [drive("home", "Barn", "04-18", "Dancer"), drive("S2", "home", "04-23", "Dancer")]
    outing = go("S2", "04-21", "04-23", "04-21", "04-23")
    base = make_base(last="2027-04-22")
    assert nights_of([outing], legs, bases=(base,)) == span("04-18", "04-20")


def test_a_night_on_the_road_is_none_at_the_base():
    """A drive of two days arrives on the 2nd."""
    legs = [drive("home", "Barn", "04-01", "Dancer", until="04-02"), THERE[1]]
    assert nights_of([], legs) == span("04-02", "04-05")


def bill_of(outings, legs, **changes):
    yard = make(**changes)
    bill = price(yard, outings, legs, write_diary(yard, outings, legs))
    kinds = {}
    for line in bill.lines:
        kinds[line.kind] = kinds.get(line.kind, 0) + line.cents
    return kinds


def test_a_base_costs_its_nights_and_a_groom_unless_staffed():
    """Home to base 1 April, to S1 on the 6th, back on the 12th, home on the 15th.

    Nights at the base: 1 to 5 and 12 to 14 April, 8 x 40.00. Days away: 6 to 12 April for rider
    and groom; for a groom besides those at the base and of the drives to and from it, 1 to 15
    April. Stall fee: one, the horse sleeps on the grounds of S1.
    """
    legs = [
        drive("home", "Barn", "04-01", "Dancer"),
        drive("Barn", "S1", "04-06", "Dancer"),
        drive("S1", "Barn", "04-12", "Dancer"),
        drive("Barn", "home", "04-15", "Dancer"),
    ]
    outing = go("S1", "04-08", "04-10", "04-06", "04-12", classes=("C1", "C2"))
    kinds = bill_of([outing], legs)
    assert kinds == {
        "entry fee": 10000,
        "stall fee": 20000,
        "road": 4 * 14000,
        "rider days": 7 * 7000,
        "groom days": 15 * 9000,
        "base nights": 8 * 4000,
    }
    # With grooms of its own only the drives and the days away ask for one: 1, 6 to 12 and 15.
    staffed = bill_of([outing], legs, bases=(make_base(staffed=True),))
    assert staffed["groom days"] == 9 * 9000
    assert {**staffed, "groom days": kinds["groom days"]} == kinds


def test_a_horse_that_jumps_from_its_box_pays_no_stall_and_a_rider_by_the_day():
    """Three class days and no night on the grounds: three rider days, no stall fee."""
    legs = [drive("home", "Barn", "04-18", "Dancer"), drive("Barn", "home", "04-26", "Dancer")]
    outing = go("S2", "04-21", "04-23", "04-21", "04-23", classes=("C1", "C2"))
    kinds = bill_of([outing], legs)
    assert kinds["base nights"] == 8 * 4000
    assert kinds["rider days"] == 3 * 7000
    assert kinds["groom days"] == 9 * 9000
    assert "stall fee" not in kinds


def test_each_owner_pays_the_nights_of_his_own_horse():
    """Bella stays two nights longer than Dancer; what each costs sums to the whole."""
    horses = [make_horse(), make_horse("Bella")]
    shares = (Share("Dancer", "Olga"), Share("Bella", "Ana"))
    legs = [
        drive("home", "Barn", "04-18", "Bella", "Dancer"),
        drive("Barn", "home", "04-26", "Dancer"),
        drive("Barn", "home", "04-28", "Bella"),
    ]
    outings = [
        go("S2", "04-21", "04-23", "04-21", "04-23", horse=horse) for horse in ("Bella", "Dancer")
    ]
    yard = make(horses=horses, shares=shares)
    bill = price(yard, outings, legs)
    nights = {line.horse: line.cents for line in bill.lines if line.kind == "base nights"}
    assert nights == {"Dancer": 8 * 4000, "Bella": 10 * 4000}
    assert bill.by_owner == {"Olga": bill.by_horse["Dancer"], "Ana": bill.by_horse["Bella"]}
    assert sum(bill.by_owner.values()) == bill.total_cents


@pytest.mark.parametrize("staffed", [False, True])
def test_horses_at_one_base_share_its_groom(staffed):
    """Two horses on the same days: one groom for both, where the base has none of its own."""
    horses = [make_horse(), make_horse("Bella")]
    legs = [
        drive("home", "Barn", "04-18", "Bella", "Dancer"),
        drive("Barn", "home", "04-26", "Bella", "Dancer"),
    ]
    outings = [go("S2", "04-21", "04-23", "04-21", "04-23")]
    bases = (make_base(staffed=staffed),)
    kinds = {}
    for line in price(make(horses=horses, bases=bases), outings, legs).lines:
        kinds[line.kind] = kinds.get(line.kind, 0) + line.cents
    # Staffed: the days of the drives and the three of the show.
    assert kinds["groom days"] == (5 if staffed else 9) * 9000


def find_lines(outings, legs, **changes):
    return {line.date: line for line in write_diary(make(**changes), outings, legs)}


def test_a_horse_at_a_base_works_as_at_home():
    """It is at the base every day but for drives and class days, schools and has its vet there.

    Its check after the second outing lies within three days of that.
    """
    legs = [
        drive("home", "S1", "04-06", "Dancer"),
        drive("S1", "Barn", "04-12", "Dancer"),
        drive("Barn", "home", "05-03", "Dancer"),
    ]
    outings = [
        go("S1", "04-08", "04-10", "04-06", "04-12"),
        go("S2", "04-21", "04-23", "04-21", "04-23"),
    ]
    lines = find_lines(outings, legs)
    assert {lines[d].at for d in span("04-13", "04-20")} == {"Barn"}
    assert [lines[day(d)].at for d in ("04-21", "04-22", "04-23")] == ["S2", "Barn", "S2"]
    assert {lines[d].at for d in span("04-24", "05-02")} == {"Barn"}
    assert lines[day("05-04")].at == "home"
    kinds = {d: (line.does, *line.also) for d, line in lines.items()}
    schools = [d for d, done in kinds.items() if "school" in done]
    assert any(lines[d].at == "Barn" for d in schools)
    checks = [d for d, done in kinds.items() if "vet check" in done]
    assert len(checks) == 1
    assert checks[0] in span("04-24", "04-26")
    assert {"turnout", "hack", "flat"} <= {kinds[d][0] for d in span("04-24", "04-30")}


def test_what_has_begun_goes_on_from_the_base():
    """On 22 April the horse lives at the base: its outing there is over on the evening of its last
    class, and a class that was scratched takes none of its nights to the grounds.
    """
    legs = (drive("home", "Barn", "04-01", "Dancer"), drive("Barn", "home", "05-02", "Dancer"))
    show = make_show(
        "S2",
        "2027-04-20",
        place_key="Fairview",
        classes=[make_class("C1", "2027-04-20", "S2"), make_class("C2", "2027-04-22", "S2")],
    )
    outing = go("S2", "04-20", "04-22", "04-20", "04-22", classes=("C1", "C2"))
    published = Circuit("A", "most worth", "proved best", outings=(outing,), legs=legs)
    entries = (make_entry("C1", "scratched", show="S2"),)
    yard = go_on_from(make(shows=[show], entries=entries, today="2027-04-21"), published)
    (lived,) = yard.begun.outings
    assert (lived.arrive, lived.leave) == (day("04-22"), day("04-22"))
    assert yard.begun.under_way == {("Dancer", "S2")}
    assert yard.begun.stand_of["Dancer"].stop == "Barn"
    over = go_on_from(make(shows=[show], entries=entries, today="2027-04-23"), published)
    assert over.begun.under_way == frozenset()
