"""attended: grooms for the horses away are counted a second time, by hand from the rule.

Amounts are those that the yards of these tests say; days are counted in the calendar of 2027.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.build import make_absence, make_rider
from tests.judging.plan import broken, stable, two_visits
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
