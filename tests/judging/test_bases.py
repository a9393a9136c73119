"""Bases before the judge: a season that lives at one breaks nothing, and every rule can be broken.

The stable of `plan`, with a barn at Fairview, where S2 and S4 are, from 20 March to 10 May, two
boxes; and a yard at Ashford, 140 km from everywhere.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.build import (
    make_absence,
    make_base,
    make_entry,
    make_horse,
)
from tests.judging.plan import (
    broken,
    change_day,
    change_leg,
    change_outing,
    drive,
    free_show,
    outing,
    say,
    stable,
    water,
)
from tripkit.judging.judge import find_violations
from tripkit.season.scorecard import finish_circuit
from tripkit.yard.circuit import DroppedEntry
from tripkit.yard.yard import CostRates

BARN = make_base(boxes=2)
FAR = {("home", "Fairview"): 630, ("Fairview", "home"): 140}
ASH = make_base("Ash", "2027-03-10", "2027-06-06", place_key="Ashford", boxes=2)


def make(*bases, **changes):
    return stable(**{"bases": bases or (BARN,), **changes})


def finish(yard, outings, legs, **changes):
    """The circuit with day plan, bill and totals as the season's doors write them."""
    worth = sum(o.worth for o in outings)
    circuit = finish_circuit(
        yard, "A", "most worth", "proved best", worth, worth, 0.1, outings, legs
    )
    return replace(circuit, **changes)


def long_drive(start, end, on):
    """Nine hours on one day, with two halts for water: a day of rest follows."""
    return drive(start, end, on, km=630.0, hours=9.0, stops=(water(on, 11), water(on, 15, 30)))


def live_at_barn(yard, horses=("Alder",), leave="2027-05-03"):
    """To the barn on 1 April, S2 from the box, home on 3 May."""
    return finish(
        yard,
        [outing(yard, "S2", "2027-04-20", "2027-04-22", horse) for horse in horses],
        [
            drive("home", "Barn", "2027-04-01", horses),
            drive("Barn", "home", leave, horses),
        ],
    )


def go_out_from_barn(yard, back="Barn"):
    """Home to the barn on 1 April, S1 from there, back to it, home on 20 April."""
    return finish(
        yard,
        [outing(yard, "S1", "2027-04-07", "2027-04-11")],
        [
            drive("home", "Barn", "2027-04-01"),
            drive("Barn", "S1", "2027-04-07"),
            drive("S1", back, "2027-04-11"),
            drive(back, "home", "2027-04-20"),
        ],
    )


@pytest.mark.parametrize("make_circuit", [live_at_barn, go_out_from_barn])
@pytest.mark.parametrize("staffed", [False, True])
def test_a_season_at_a_base_breaks_nothing(make_circuit, staffed):
    """Outings from the box and from the barn to a show elsewhere, with every price of the yard."""
    rates = CostRates(groom_day_cents=9000, rider_day_cents=7000, vet_check_cents=8000)
    yard = make(replace(BARN, staffed=staffed), costs=rates)
    circuit = make_circuit(yard)
    assert say(circuit, yard) == ""
    assert circuit.totals.nights_away == (0 if make_circuit is live_at_barn else 4)


def test_a_horse_moves_from_the_show_to_the_barn_and_back():
    """Brought to S2, over to the barn, and for S4 from the barn into the stables of the show."""
    long = replace(BARN, days=replace(BARN.days, last=ASH.days.last))
    yard = make(long)
    circuit = finish(
        yard,
        [
            outing(yard, "S2", "2027-04-19", "2027-04-23"),
            outing(yard, "S4", "2027-05-26", "2027-05-31"),
        ],
        [drive("home", "S2", "2027-04-19"), drive("S4", "home", "2027-05-31")],
    )
    assert say(circuit, yard) == ""
    # 19 to 22 April, 26 to 30 May.
    assert circuit.totals.nights_away == 4 + 5
    assert sum(line.at == "Barn" for line in circuit.days if line.horse == "Alder") > 30


class TestBoxes:
    """`bases`: boxes by night, and the days of the base."""

    def test_no_more_horses_than_boxes(self):
        """Three horses in two boxes; there is room where one is on the grounds of a show."""
        horses = [make_horse(name) for name in ("Alder", "Birch", "Cedar")]
        yard = make(horses=horses)
        names = tuple(h.horse for h in horses)
        circuit = live_at_barn(yard, names)
        assert broken(circuit, yard) == {"bases"}
        assert say(circuit, yard) == (
            "bases: Barn has 2 boxes, and on 2027-04-01 3 horses sleep there (Alder, Birch, Cedar)"
        )
        assert broken(circuit, make(replace(BARN, boxes=3), horses=horses)) == set()
        moved = finish(
            yard,
            [
                *(outing(yard, "S2", "2027-04-20", "2027-04-22", name) for name in names[:2]),
                outing(yard, "S2", "2027-04-19", "2027-04-23", "Cedar"),
            ],
            [
                drive("home", "Barn", "2027-04-18", names[:2]),
                drive("Barn", "home", "2027-04-18", (), hour=11),
                drive("home", "S2", "2027-04-19", names[2:]),
                drive("S2", "home", "2027-04-23", names),
            ],
        )
        assert broken(moved, yard) == set()

    @pytest.mark.parametrize(
        ("first", "last", "rules"),
        [
            ("2027-04-01", "2027-05-03", set()),
            ("2027-04-02", "2027-05-03", {"bases"}),
            ("2027-04-01", "2027-05-02", {"bases"}),
        ],
    )
    def test_only_on_its_days(self, first, last, rules):
        """Comes on the first day, and leaves on the last: the night before that is the last one."""
        yard = make()
        circuit = live_at_barn(yard)
        assert broken(circuit, make(make_base(first=first, last=last, boxes=2))) == rules

    def test_a_lorry_is_there_on_its_days_only(self):
        """An empty lorry may come and wait on any day of the base, and on no other."""
        legs = [drive("home", "Barn", "2027-04-01", ()), drive("Barn", "home", "2027-05-10", ())]
        yard = make()
        circuit = finish(yard, [], legs)
        assert broken(circuit, yard) == set()
        late = finish(yard, [], [legs[0], drive("Barn", "home", "2027-05-11", ())])
        assert broken(late, yard) == {"bases"}


class TestEnd:
    """`one-place`: the season ends at home, or at a base that stays."""

    def stay(self, yard):
        return finish(
            yard,
            [outing(yard, "S1", "2027-04-07", "2027-04-11")],
            [drive("home", "S1", "2027-04-07"), drive("S1", "Ash", "2027-04-11")],
        )

    def test_at_a_base_that_stays(self):
        """Horse and lorry may be there at the end where the yard says so, and it is open."""
        yard = make(replace(ASH, stays=True))
        assert say(self.stay(yard), yard) == ""

    def test_not_at_another(self):
        """Both are left behind where it does not stay; where it shuts in May, too."""
        yard = make(ASH)
        circuit = self.stay(yard)
        left = [v for v in find_violations(yard, circuit) if v.rule == "one-place"]
        assert {v.horse or v.vehicle for v in left} == {"Alder", "Lorry"}
        shut = make(replace(ASH, stays=True, days=BARN.days))
        assert broken(self.stay(shut), shut) == {"one-place", "bases"}


class TestElsewhere:
    """What other rules ask of horses that live at a base."""

    def test_a_leg_starts_where_the_last_one_ended(self):
        """From the barn the lorry cannot leave Ashford."""
        yard = make(BARN, ASH)
        circuit = go_out_from_barn(yard)
        assert "one-place" in broken(change_leg(circuit, 1, start="Ash"), yard)
        assert "one-place" in broken(change_leg(circuit, 1, start="Nowhere"), yard)

    def test_days_on_the_grounds_lie_within_those_of_the_legs(self):
        """It may not come to the grounds before it is in the town, nor leave after it has gone."""
        yard = make()
        circuit = live_at_barn(yard, leave="2027-04-24")
        early = change_outing(circuit, 0, arrive=circuit.legs[0].days.first.replace(month=3))
        assert "one-place" in broken(early, yard)
        late = change_outing(circuit, 0, leave=circuit.legs[1].days.last.replace(day=25))
        assert "one-place" in broken(late, yard)
        without = replace(yard, bases=())
        assert "one-place" in broken(circuit, without)

    def test_stables_of_a_show_stay_shut_to_who_moves_in_too_soon(self):
        """Stabling of S2 opens on 17 April."""
        yard = make()
        circuit = finish(
            yard,
            [outing(yard, "S2", "2027-04-16", "2027-04-23")],
            [drive("home", "Barn", "2027-04-01"), drive("S2", "home", "2027-04-23")],
        )
        assert broken(circuit, yard) == {"stabling"}

    def test_who_lives_there_is_in_town_before_its_class(self):
        """A day before its first class it has to be there: the barn does."""
        yard = make()
        late = finish(
            yard,
            [outing(yard, "S2", "2027-04-20", "2027-04-22")],
            [drive("home", "Barn", "2027-04-20"), drive("Barn", "home", "2027-05-03")],
        )
        assert broken(late, yard) == {"stabling"}

    def test_no_stay_without_an_outing_but_at_a_base(self):
        """At Ashford it stands from the 11th to the 20th, because the yard has boxes there."""
        yard = make(BARN, ASH)
        circuit = go_out_from_barn(yard, back="Ash")
        assert broken(circuit, yard) == set()

    @pytest.mark.parametrize(
        ("on", "rules"),
        # S1 ends on 10 April, so the days without jumping on the 17th; S2 begins on the 20th.
        [("2027-04-17", set()), ("2027-04-18", {"recovery"})],
    )
    def test_a_drive_to_the_base_after_the_week_without_jumping_counts(self, on, rules):
        """Nine clear days, 7 + 2 asked; after the week a drive with a day of rest asks one more.

        1 + 1 - 1. In the week it costs nothing.
        """
        yard = make(ASH, BARN, km=FAR)
        circuit = finish(
            yard,
            [
                outing(yard, "S1", "2027-04-07", "2027-04-11"),
                outing(yard, "S2", "2027-04-20", "2027-04-22"),
            ],
            [
                drive("home", "S1", "2027-04-07"),
                drive("S1", "home", "2027-04-11"),
                long_drive("home", "Barn", on),
                drive("Barn", "home", "2027-05-03"),
            ],
        )
        assert broken(circuit, yard) == rules
        assert circuit.totals.spare_days == (-1 if rules else 0)

    def test_rest_after_a_long_drive_to_the_base(self):
        """Nine hours on the 1st ask a day of rest before a school there on the 2nd."""
        yard = make(km=FAR)
        circuit = finish(
            yard,
            [outing(yard, "S2", "2027-04-20", "2027-04-22")],
            [
                long_drive("home", "Barn", "2027-04-01"),
                drive("Barn", "home", "2027-05-03"),
            ],
        )
        assert broken(circuit, yard) == set()
        school = change_day(circuit, "Alder", "2027-04-02", does="school", also=())
        assert broken(school, yard) == {"travel-rest"}

    def test_a_horse_that_is_absent_stands_there(self):
        """Days at a base are as days at home; a drive, a class or a school is not for it."""
        yard = make(absences=(make_absence("Alder", "2027-04-03", "2027-04-10"),))
        circuit = live_at_barn(yard)
        assert broken(circuit, yard) == set()
        for first, last in (("2027-04-01", "2027-04-01"), ("2027-04-21", "2027-04-21")):
            away = replace(yard, absences=(make_absence("Alder", first, last),))
            assert "window" in broken(circuit, away)

    def test_a_vehicle_that_is_absent_stands_at_the_base(self):
        """Its row says so: while it is absent it waits at the barn, and nowhere else."""
        legs = [drive("home", "Barn", "2027-04-01", ()), drive("Barn", "home", "2027-05-03", ())]
        here = make_absence("Lorry", "2027-04-05", "2027-04-09", at="Fairview")
        yard = make(absences=(here,))
        circuit = finish(yard, [], legs)
        assert broken(circuit, yard) == set()
        assert broken(circuit, replace(yard, absences=(replace(here, at="home"),))) == {"window"}

    def test_the_vet_looks_after_it_at_the_base(self):
        """After the second outing within three days, in the box."""
        long = replace(BARN, days=replace(BARN.days, last=ASH.days.last))
        yard = make(long)
        circuit = finish(
            yard,
            [
                outing(yard, "S1", "2027-04-07", "2027-04-11"),
                outing(yard, "S2", "2027-04-20", "2027-04-22"),
            ],
            [
                drive("home", "S1", "2027-04-07"),
                drive("S1", "Barn", "2027-04-11"),
                drive("Barn", "home", "2027-05-20"),
            ],
        )
        assert broken(circuit, yard) == set()
        (check,) = [d for d in circuit.days if "vet check" in (d.does, *d.also)]
        assert check.at == "Barn"
        without = change_day(circuit, "Alder", str(check.date), does="flat", also=())
        late = change_day(without, "Alder", "2027-04-26", does="vet check", also=())
        assert broken(without, yard) == {"days"}
        assert "days" in broken(late, yard)

    def test_the_day_plan_has_it_at_the_base(self):
        """A line that has it at home on a day at the barn is not true."""
        yard = make()
        circuit = live_at_barn(yard)
        assert broken(change_day(circuit, "Alder", "2027-04-10", at="home"), yard) == {"days"}
        assert broken(change_day(circuit, "Alder", "2027-05-10", at="Barn"), yard) == {"days"}


class TestMoney:
    """`totals`: what a base costs is counted a second time."""

    def test_nights_at_a_base_are_none_away(self):
        """The two nights between its first and last class are slept in the box."""
        yard = make()
        circuit = live_at_barn(yard)
        wrong = replace(circuit, totals=replace(circuit.totals, nights_away=2))
        assert say(wrong, yard) == "totals: nights_away is 2 as written, and the parts sum to 0"

    def test_base_nights_are_paid(self):
        """32 nights at 40.00, from 1 April to 2 May."""
        yard = make()
        circuit = live_at_barn(yard)
        assert circuit.totals.cost_cents == 32 * 4000
        free = replace(yard, bases=(replace(BARN, per_night_cents=0),))
        assert "totals" in broken(circuit, free)

    def test_a_horse_without_an_outing_pays_its_box(self):
        """What no outing asks for belongs to the circuit all the same."""
        yard = make()
        circuit = finish(
            yard,
            [],
            [drive("home", "Barn", "2027-04-01"), drive("Barn", "home", "2027-04-11")],
        )
        assert circuit.totals.cost_cents == 10 * 4000
        assert broken(circuit, yard) == set()

    def test_the_stall_fee_falls_away(self):
        """The same outing with a night on the grounds pays it, from the box it does not."""
        show = free_show("S2", "2027-04-19", "Fairview", stall_fee_cents=15000)
        yard = make(shows=[show])
        assert live_at_barn(yard).totals.cost_cents == 32 * 4000
        moved = finish(
            yard,
            [outing(yard, "S2", "2027-04-19", "2027-04-23")],
            [drive("home", "Barn", "2027-04-01"), drive("Barn", "home", "2027-05-03")],
        )
        assert moved.totals.cost_cents == 28 * 4000 + 15000
        assert broken(moved, yard) == set()


def test_a_rider_may_be_at_a_base_for_nothing():
    """Three rider days for S2 from the box, whatever the horse does there besides."""
    yard = make(replace(BARN, per_night_cents=0), costs=CostRates(rider_day_cents=7000))
    assert live_at_barn(yard).totals.cost_cents == 3 * 7000


class TestDropped:
    """`locked`: what a horse can be brought to from a base, or from its box, is not dropped."""

    def judge(self, rule="window", **changes):
        entry = make_entry("C1", show="S2", horse="Alder", amount_cents=5000)
        yard = make(entries=(entry,), **changes)
        lost = DroppedEntry("Alder", "S2", "C1", "no lorry brings it", 5000, rule)
        return broken(finish(yard, [], [], dropped_entries=(lost,)), yard)

    def test_with_no_road_but_from_a_base(self):
        """No road leads from home to S2, but from Ashford: the class was dropped for nothing."""
        shut = {("home", "Fairview"): None}
        assert self.judge("road", km=shut, bases=()) == set()
        assert self.judge("road", km=shut, bases=(ASH,)) == {"locked"}

    def test_with_every_lorry_absent_but_a_box_in_the_town(self):
        """From 10 to 30 April no lorry drives; a horse that has its box there needs none."""
        away = (make_absence("Lorry", "2027-04-10", "2027-04-30"),)
        assert self.judge(absences=away, bases=()) == set()
        assert self.judge(absences=away, bases=(BARN,)) == {"locked"}
