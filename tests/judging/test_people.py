"""attended, and riders on their ways and at schools: all is counted a second time.

Amounts are those that the yards of these tests say; days are counted in the calendar of 2027.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from tests.build import day, make_absence, make_horse, make_rider
from tests.judging.plan import broken, change_day, plan, stable, two_visits, visit
from tripkit.judging.judge import find_violations
from tripkit.season import costs
from tripkit.season.costs import price
from tripkit.season.scorecard import finish_circuit
from tripkit.yard.circuit import Circuit
from tripkit.yard.people import Person
from tripkit.yard.yard import CostRates, Yard

HORSES = ("Alder", "Birch")


def with_grooms(*grooms: Person, **changes: object) -> Yard:
    """The stable with own grooms at 90.00 a day; one on hire costs 140.00."""
    rates = CostRates(groom_day_cents=9000, hired_groom_day_cents=14000)
    people = (make_rider(), Person("Olga", "owner"), Person("Dell", "driver"), *grooms)
    return replace(stable(costs=rates), people=people, **changes)


def finish(yard: Yard) -> Circuit:
    """Alder and Birch at S1 and S2, 7 to 11 and 19 to 23 April, costs and totals filled in."""
    drawn = two_visits(yard, HORSES)
    return finish_circuit(
        yard, "A", "most worth", "best in time", None, None, 0.0, drawn.outings, drawn.legs
    )


def count_groom_cents(yard: Yard, circuit: Circuit) -> int:
    """What grooms cost in a circuit."""
    bill = price(yard, circuit.outings, circuit.legs, circuit.days)
    return sum(line.cents for line in bill.lines if line.kind == "groom days")


def test_own_grooms_come_first_where_they_are_cheaper() -> None:
    """Two horses at one place, 5 days twice: a groom a day, at 90.00 own, at 140.00 on hire."""
    hired, own = with_grooms(), with_grooms(Person("Gus", "groom"))
    circuit = finish(hired)
    assert count_groom_cents(hired, circuit) == 10 * 14000
    assert count_groom_cents(own, circuit) == 10 * 9000


def test_a_groom_who_is_absent_off_or_busy_is_hired_for() -> None:
    """One day of absence, a Thursday off in each week, or a lorry to drive: hired on those days."""
    own = with_grooms(Person("Gus", "groom"))
    circuit = finish(own)
    plain = count_groom_cents(own, circuit)
    first = min(o.first_day for o in circuit.outings)
    away = replace(own, absences=(make_absence("Gus", str(first)),))
    assert count_groom_cents(away, circuit) == plain + 5000
    off = with_grooms(Person("Gus", "groom", days_off=(f"{first:%A}",)))
    # Both visits last from Wednesday or Monday over a Thursday.
    assert count_groom_cents(off, circuit) == plain + 2 * 5000
    drives = replace(own, vehicles=(replace(own.vehicles[0], driver_names=("Gus",)),))
    assert count_groom_cents(drives, circuit) == count_groom_cents(with_grooms(), circuit)


def test_a_groom_of_one_horse_needs_another_beside_him() -> None:
    """Two horses: one own of one horse and one on hire cost more than one on hire alone."""
    yard = with_grooms(Person("Gus", "groom", horses_per_groom=1))
    circuit = finish(yard)
    assert count_groom_cents(yard, circuit) == count_groom_cents(with_grooms(), circuit)


@pytest.mark.parametrize("takes", [1, 2, 4, 6])
def test_what_is_billed_for_grooms_is_what_they_come_to(
    monkeypatch: pytest.MonkeyPatch, takes: int
) -> None:
    """The judge counts the same; where own grooms are billed as hired ones, he says so."""
    yard = with_grooms(
        Person("Gus", "groom", horses_per_groom=takes), Person("Hay", "groom", days_off=("Friday",))
    )
    assert "attended" not in broken(finish(yard), yard)
    monkeypatch.setattr(costs, "price_grooms", lambda yard, day, horses: [14000] * len(horses))
    assert "attended" in broken(finish(yard), yard)


class TestWays:
    """The rule `rider` on riders' ways, each the lorry's of the plan: out on the first day, back on
    the last, 140 km each.
    """

    def test_a_rider_goes_along_with_his_horses(self):
        """Out on 7 April, back on the 11th, out on the 19th, back on the 23rd, all by lorry."""
        circuit = finish(stable())
        found = [(w.start, w.end, f"{w.date:%d}", w.by, w.km) for w in circuit.rider_ways]
        assert found == [
            ("home", "S1", "07", "Lorry", 140.0),
            ("S1", "home", "11", "Lorry", 140.0),
            ("home", "S2", "19", "Lorry", 140.0),
            ("S2", "home", "23", "Lorry", 140.0),
        ]
        assert "rider" not in broken(circuit, stable())

    @pytest.mark.parametrize(
        ("number", "changes", "code"),
        [
            (0, {"start": "S2"}, "judging.way-breaks"),
            (0, {"date": day("2027-04-09")}, "judging.rider-elsewhere"),
            (1, {"date": day("2027-04-09")}, "judging.rider-elsewhere"),
            (1, {"km": 150.0}, "judging.way-not-driven"),
            (2, {"by": "Other"}, "judging.way-not-driven"),
            (2, {"by": "car"}, "judging.way-beside-lorry"),
            (3, {"end": "S1"}, "judging.way-not-driven"),
        ],
    )
    def test_a_way_that_is_not_so(self, number: int, changes: dict, code: str):
        """It begins elsewhere, on another day, is longer, in no lorry, or beside one."""
        yard = stable()
        circuit = finish(yard)
        ways = list(circuit.rider_ways)
        ways[number] = replace(ways[number], **changes)
        changed = replace(circuit, rider_ways=tuple(ways))
        codes = {v.fact.code for v in find_violations(yard, changed) if v.rule == "rider"}
        assert code in codes

    def test_a_car_is_paid_for_by_its_kilometres(self, monkeypatch: pytest.MonkeyPatch):
        """No lorry goes to S2: Ana's 140 km there at 0.50 are 70.00; another bill is told."""
        rates = CostRates(car_cents_per_km=Decimal(50))
        yard = stable(costs=rates)
        drawn = two_visits(yard, HORSES)
        legs = [leg for leg in drawn.legs if leg.end != "S2"]
        outings = [o for o in drawn.outings if o.show == "S2"]
        bill = price(yard, outings, legs)
        assert sum(line.cents for line in bill.lines if line.kind == "car") == 7000
        circuit = replace(finish(yard), rider_ways=())
        assert "rider" not in broken(circuit, yard)
        monkeypatch.setattr(costs, "CAR", "Lorry")
        assert "rider" in broken(finish(yard), yard)

    def test_a_school_is_where_a_rider_is(self):
        """Ana is at S1 with Birch: Alder schools at home on other days, which the gap has."""
        yard = stable(horses=[make_horse("Alder"), make_horse("Birch")])
        drawn = plan(
            yard,
            visit(yard, "S1", "2027-04-07", "2027-04-11", ("Birch",)),
            visit(yard, "S3", "2027-05-05", "2027-05-09", ("Alder",)),
        )
        circuit = finish_circuit(
            yard, "A", "most worth", "best in time", None, None, 0.0, drawn.outings, drawn.legs
        )
        assert "rider" not in broken(circuit, yard)
        on = {d.date for d in circuit.days if d.horse == "Alder" and "school" in (d.does, *d.also)}
        assert not on & {day(f"2027-04-{number:02}") for number in range(7, 12)}
        near = min(on, key=lambda found: abs((found - day("2027-04-09")).days))
        moved = change_day(circuit, "Alder", str(near), does="flat", also=())
        moved = change_day(moved, "Alder", "2027-04-09", does="school", also=())
        told = [v.fact.code for v in find_violations(yard, moved) if v.rule == "rider"]
        assert told == ["judging.schools-alone"]

    def test_a_school_without_any_rider_is_told(self):
        """Ana is ill from 1 March on: schools stay, nothing is broken, the remarks say so."""
        yard = stable(absences=[make_absence("Ana", "2027-03-01", "2027-06-06")])
        circuit = finish_circuit(yard, "A", "most worth", "best in time", None, None, 0.0, [], [])
        assert {"school" in (d.does, *d.also) for d in circuit.days} == {True, False}
        assert [fact.code for fact in circuit.remarks] == ["season.school-alone"] * 2
        assert "rider" not in broken(circuit, yard)
