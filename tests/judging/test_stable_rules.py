"""eligible, cleared, rider, stabling: the smallest change that breaks one, and its edge.

Expected figures are counted by hand from the rules (DEVELOPERS.md; handbook, Choices), whose
numbers are common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.build import (
    make_absence,
    make_horse,
    make_limits,
    make_lorry,
    make_paper,
    make_rider,
    make_vet_check,
)
from tests.judging.plan import (
    Visit,
    at,
    broken,
    change_day,
    change_leg,
    change_outing,
    drive,
    free_class,
    free_show,
    night,
    outing,
    plan,
    say,
    stable,
    two_day_drive,
    two_visits,
    visit,
    water,
)
from tripkit.yard.circuit import Circuit
from tripkit.yard.rulebook import Rule, RuleBook
from tripkit.yard.yard import Yard


def s1_only(
    yard: Yard, arrive: str = "2027-04-07", leave: str = "2027-04-11", **changes: Any
) -> Circuit:
    """Alder at S1 and nowhere else."""
    return plan(yard, visit(yard, "S1", arrive, leave, **changes))


def with_alder(**changes: Any) -> Yard:
    """The stable with an Alder of another kind."""
    return stable(horses=[make_horse("Alder", **changes), make_horse("Birch")])


def with_class(**changes: Any) -> Yard:
    """The stable whose S1 offers one class C1, of another kind."""
    classes = (free_class("C1", "2027-04-08", "S1", **changes),)
    return stable(shows=[free_show("S1", "2027-04-07", classes=classes)])


class TestEligible:
    """Classes, starts, papers."""

    @pytest.mark.parametrize(
        ("low", "high", "rules"),
        [(120, 125, set()), (120, 124, {"eligible"}), (121, 125, {"eligible"})],
    )
    def test_height(self, low: int, high: int, rules: set[str]):
        """Each class (120 and 125 cm) lies within the horse's heights."""
        yard = with_alder(from_height_cm=low, to_height_cm=high)
        assert broken(s1_only(yard), yard) == rules

    @pytest.mark.parametrize(
        ("ages", "rules"),
        [
            ({"youngest_horse": 10}, set()),
            ({"youngest_horse": 11}, {"eligible"}),
            ({"oldest_horse": 10}, set()),
            ({"oldest_horse": 9}, {"eligible"}),
        ],
    )
    def test_age(self, ages: dict[str, int], rules: set[str]):
        """A horse born in 2017 is 10 in 2027: not 11, and no longer 9."""
        yard = with_class(**ages)
        assert broken(s1_only(yard, classes=("C1",)), yard) == rules

    @pytest.mark.parametrize(
        ("status", "rules"), [("junior", set()), ("amateur", {"eligible"}), ("", {"eligible"})]
    )
    def test_division(self, status: str, rules: set[str]):
        """A junior class asks for a junior; an unknown status does not fit."""
        yard = replace(with_class(division="junior"), people=(make_rider(status=status),))
        assert broken(s1_only(yard, classes=("C1",)), yard) == rules

    @pytest.mark.parametrize(("starts", "rules"), [(2, set()), (1, {"eligible"})])
    def test_starts_per_show(self, starts: int, rules: set[str]):
        """Two classes are two starts at the show."""
        yard = with_alder(starts_per_show=starts)
        assert broken(s1_only(yard), yard) == rules

    @pytest.mark.parametrize(("starts", "rules"), [(2, set()), (1, {"eligible"})])
    def test_starts_per_day(self, starts: int, rules: set[str]):
        """Two classes on one day are two starts on it."""
        classes = tuple(free_class(name, "2027-04-08", "S1") for name in ("C1", "C2"))
        yard = stable(
            shows=[free_show("S1", "2027-04-07", classes=classes)],
            horses=[make_horse("Alder", starts_per_day=starts)],
        )
        assert broken(s1_only(yard), yard) == rules

    def test_one_class_twice(self):
        """A class is jumped once."""
        yard = with_alder(starts_per_day=3)
        circuit = change_outing(s1_only(yard), 0, classes=("C1", "C1", "C2"))
        assert broken(circuit, yard) == {"eligible"}

    @pytest.mark.parametrize(
        ("today", "rules"), [("2027-04-05", set()), ("2027-04-07", {"eligible"})]
    )
    def test_papers(self, today: str, rules: set[str]):
        """A passport that ran out bars once no day is left before the arrival (04-07)."""
        rule = Rule("passport-validity", "A passport holds 4 years.", 4, "years", "a test's book")
        yard = stable(
            today=today,
            rule_books=(RuleBook("book", "Book", (rule,)),),
            paper_rules=("book",),
            papers=[make_paper("passport", "2020-01-01", "Alder", valid_until="2024-01-01")],
        )
        assert broken(s1_only(yard), yard) == rules

    def test_unknown_class(self):
        """A class that the show does not offer is named."""
        yard = stable()
        circuit = change_outing(s1_only(yard), 0, classes=("C1", "C2", "C9"))
        assert broken(circuit, yard) == {"eligible"}
        assert "'C9', which Alder jumps, is no class of S1" in say(circuit, yard)

    def test_no_class(self):
        """An outing without a class is told."""
        yard = stable()
        assert "jumps no class" in say(change_outing(s1_only(yard), 0, classes=()), yard)

    @pytest.mark.parametrize("change", [{"horse": "Zephyr"}, {"show": "X9"}])
    def test_unknown_names(self, change: dict[str, str]):
        """An unknown horse or show is named under this rule."""
        yard = stable()
        circuit = change_outing(s1_only(yard), 0, **change)
        assert "eligible" in broken(circuit, yard)
        assert repr(next(iter(change.values()))) in say(circuit, yard)


class TestCleared:
    """The vet's word."""

    @pytest.mark.parametrize(
        ("again", "rules"), [("2027-04-08", set()), ("2027-04-09", {"cleared"})]
    )
    def test_outing(self, again: str, rules: set[str]):
        """A horse not cleared on 03-20 jumps (04-08) on the day it is cleared again, not before."""
        checks = [
            make_vet_check("2027-03-20", False, horse="Alder"),
            make_vet_check(again, True, horse="Alder"),
        ]
        yard = stable(vet_checks=checks)
        assert broken(s1_only(yard), yard) == rules

    @pytest.mark.parametrize(("on", "rules"), [("2027-03-19", set()), ("2027-03-20", {"cleared"})])
    def test_school(self, on: str, rules: set[str]):
        """No school from the day of the check that says not cleared (03-20)."""
        yard = stable(vet_checks=[make_vet_check("2027-03-20", False, horse="Alder")])
        assert broken(change_day(plan(yard), "Alder", on, does="school"), yard) == rules


class TestRider:
    """Who rides."""

    def test_other_rider(self):
        """A horse that names a rider is ridden by that rider only."""
        yard = stable(people=[make_rider(), make_rider("Ben")])
        assert broken(s1_only(yard, rider="Ben"), yard) == {"rider"}

    @pytest.mark.parametrize(
        ("also", "absent", "rules"),
        [
            (("Ben",), ("2027-04-08", "2027-04-08"), set()),
            (("Ben",), ("2027-04-10", "2027-04-30"), set()),
            (("Ben",), ("2027-04-09", "2027-04-09"), {"rider"}),
            ((), ("2027-04-08", "2027-04-08"), {"rider"}),
        ],
    )
    def test_stand_in(self, also: tuple[str, ...], absent: tuple[str, str], rules: set[str]):
        """One who also rides it does so where its rider is absent on a class day (8th and 10th)."""
        yard = stable(
            people=[make_rider(), make_rider("Ben")],
            horses=[make_horse("Alder", also_ridden_by=also), make_horse("Birch")],
            absences=[make_absence("Ana", *absent)],
        )
        assert broken(s1_only(yard, rider="Ben"), yard) == rules

    def test_stand_in_has_the_status_of_the_class(self):
        """A class for juniors asks for the status of the one who rides."""
        yard = replace(
            with_class(division="junior"),
            people=(make_rider(status="junior"), make_rider("Ben")),
            horses=(make_horse("Alder", also_ridden_by=("Ben",)),),
            absences=(make_absence("Ana", "2027-04-08", "2027-04-11"),),
        )
        assert broken(s1_only(yard, rider="Ben", classes=("C1",)), yard) == {"eligible"}

    def test_any_rider(self):
        """A horse that names nobody is ridden by any rider."""
        yard = stable(
            people=[make_rider(), make_rider("Ben")], horses=[make_horse("Alder", rider="")]
        )
        assert broken(s1_only(yard, rider="Ben"), yard) == set()

    @pytest.mark.parametrize("rider", ["Nobody", ""])
    def test_unknown_rider(self, rider: str):
        """A rider the yard does not have is named."""
        yard = stable()
        assert broken(s1_only(yard, rider=rider), yard) == {"rider"}

    @pytest.mark.parametrize(("allowed", "rules"), [(2, set()), (1, {"rider"})])
    def test_horses_per_show(self, allowed: int, rules: set[str]):
        """Two horses of one rider at a show need a rider of two."""
        yard = stable(people=[make_rider(horses_per_show=allowed)])
        assert broken(two_visits(yard, ("Alder", "Birch")), yard) == rules

    @pytest.mark.parametrize(
        ("km", "on", "rules"),
        [
            (140.0, "2027-04-08", {"rider"}),
            (280.0, "2027-04-09", set()),
            (287.0, "2027-04-09", {"rider"}),
            (287.0, "2027-04-10", set()),
            (None, "2027-04-20", {"rider"}),
        ],
    )
    def test_two_places(self, km: float | None, on: str, rules: set[str]):
        """A rider is at one place a day; 4 h fit into the evening, 4.1 h take a clear day."""
        # Alder jumps at Millbrook on 04-08, Birch at Fairview; 287 / 70 = 4.1 h.
        classes = (free_class("C1", on, "T"),)
        day = classes[0].day
        shows = [
            free_show("S1", "2027-04-07"),
            free_show("T", day, "Fairview", classes=classes),
        ]
        yard = stable(
            shows=shows,
            vehicles=[make_lorry(), make_lorry("Van")],
            km={("Millbrook", "Fairview"): km},
        )
        arrive, leave = (day.fromordinal(day.toordinal() + i) for i in (-1, 1))
        there = Visit(
            (outing(yard, "T", arrive, leave, "Birch", ("C1",)),),
            (
                drive("home", "T", arrive, ("Birch",), vehicle="Van"),
                drive("T", "home", leave, ("Birch",), vehicle="Van"),
            ),
        )
        one = visit(yard, "S1", "2027-04-07", "2027-04-09", classes=("C1",))
        assert broken(plan(yard, one, there), yard) == rules


class TestStabling:
    """Days on the grounds."""

    @pytest.mark.parametrize(
        ("arrive", "leave", "rules"),
        [
            ("2027-04-05", "2027-04-12", set()),
            ("2027-04-04", "2027-04-12", {"stabling"}),
            ("2027-04-05", "2027-04-13", {"stabling"}),
            ("2027-04-08", "2027-04-11", {"stabling"}),
        ],
    )
    def test_window_and_lead(self, arrive: str, leave: str, rules: set[str]):
        """From stabling_from (04-05), a day before the first class (04-08), to the end (04-12)."""
        yard = stable()
        assert broken(plan(yard, visit(yard, "S1", arrive, leave)), yard) == rules

    def test_horse_s_own_lead(self):
        """A horse that comes two days before its first class does not come one day before."""
        yard = with_alder(limits=make_limits(arrive_days_before=2))
        assert broken(s1_only(yard), yard) == {"stabling"}

    @pytest.mark.parametrize(("place", "rules"), [("Millbrook", set()), ("Fairview", {"stabling"})])
    def test_nights_between_two_windows(self, place: str, rules: set[str]):
        """Nights between two stabling windows belong to a horse that stays for the second show."""
        # S1's stabling ends 04-12, T's opens 04-17; T's first class 04-20 is 9 clear days later.
        # Where T is elsewhere, Alder goes there on 04-15, two days before stabling opens.
        yard = stable(shows=[free_show("S1", "2027-04-07"), free_show("T", "2027-04-19", place)])
        if rules:
            visits = [
                visit(yard, "S1", "2027-04-07", "2027-04-11"),
                visit(yard, "T", "2027-04-15", "2027-04-23"),
            ]
        else:
            visits = [
                Visit(
                    (
                        outing(yard, "S1", "2027-04-07", "2027-04-19"),
                        outing(yard, "T", "2027-04-19", "2027-04-23"),
                    ),
                    (drive("home", "S1", "2027-04-07"), drive("T", "home", "2027-04-23")),
                )
            ]
        assert broken(plan(yard, *visits, spare_days=0), yard) == rules

    def test_first_of_a_stay_keeps_its_own_window(self):
        """A stay for two shows begins in the first one's stabling and ends in the second's."""
        yard = stable(shows=[free_show("S1", "2027-04-07"), free_show("T", "2027-04-19")])
        for arrive, leave in (("2027-04-04", "2027-04-23"), ("2027-04-07", "2027-04-25")):
            stays = Visit(
                (
                    outing(yard, "S1", arrive, "2027-04-19"),
                    outing(yard, "T", "2027-04-19", leave),
                ),
                (drive("home", "S1", arrive), drive("T", "home", leave)),
            )
            assert broken(plan(yard, stays, spare_days=0), yard) == {"stabling"}

    @pytest.mark.parametrize(
        ("from_hour", "ends", "leaves", "rules"),
        [
            (16, None, (16, 30), set()),
            (16, None, (16, 15), {"stabling"}),
            (16, 17 * 60, (17, 30), set()),
            (16, 17 * 60, (17, 15), {"stabling"}),
            (14, None, (14, 30), set()),
            (14, 15 * 60, (14, 30), {"stabling"}),
        ],
    )
    def test_evening_of_the_last_class(
        self, from_hour: int, ends: int | None, leaves: tuple[int, int], rules: set[str]
    ):
        """It is loaded in 20 minutes from the yard's hour and the end of the class on (04-10)."""
        classes = (
            free_class("C1", "2027-04-08", "S1"),
            free_class("C2", "2027-04-10", "S1", ends_minutes=ends),
        )
        limits = make_limits(leave_from_hour=from_hour)
        yard = stable(
            shows=[free_show("S1", "2027-04-07", classes=classes)],
            horses=[make_horse("Alder", limits=limits)],
        )
        circuit = s1_only(yard, arrive="2027-04-07", leave="2027-04-10")
        times = [at("2027-04-10", hour, leaves[1]) for hour in (leaves[0], leaves[0] + 2)]
        circuit = change_leg(circuit, 1, depart=times[0], arrive=times[1])
        assert broken(circuit, yard) == rules

    def test_a_drive_that_begins_in_the_evening_ends_on_that_day(self):
        """Of 10 h the lorry drives 3.5 h on the evening of the last class: it is not there."""
        yard = stable(km={("home", "Millbrook"): 700.0})
        stops = (night("2027-04-10", 20, 720), water("2027-04-11", 11, 30))
        back = drive(
            "S1",
            "home",
            "2027-04-10",
            km=700.0,
            hours=10.0,
            arrive=at("2027-04-11", 15),
            stops=stops,
        )
        legs = (
            two_day_drive("home", "S1", "2027-04-05", "2027-04-06"),
            replace(back, depart=at("2027-04-10", 16, 30)),
        )
        outings = (outing(yard, "S1", "2027-04-06", "2027-04-10"),)
        circuit = plan(yard, Visit(outings, legs))
        assert broken(circuit, yard) == {"stabling"}
        assert "is not there on that day" in say(circuit, yard)

    @pytest.mark.parametrize(
        ("starts", "leaves", "rules"),
        [
            (None, (8, 0), set()),
            (None, (8, 15), {"stabling"}),
            (13 * 60, (10, 0), set()),
            (13 * 60, (10, 15), {"stabling"}),
            (9 * 60, (6, 15), {"stabling"}),
        ],
    )
    def test_day_trip(self, starts: int | None, leaves: tuple[int, int], rules: set[str]):
        """2 h away it is there at 10:00, or an hour before the class begins (13:00, 9:00)."""
        show = free_show(
            "S1",
            "2027-04-07",
            classes=(free_class("C1", "2027-04-08", "S1", starts_minutes=starts),),
        )
        own = make_limits(arrive_days_before=0)
        yard = stable(shows=[show], horses=[make_horse("Alder", limits=own)])
        circuit = s1_only(yard, arrive="2027-04-08", leave="2027-04-08", classes=("C1",))
        times = [at("2027-04-08", hour, leaves[1]) for hour in (leaves[0], leaves[0] + 2)]
        circuit = change_leg(circuit, 0, depart=times[0], arrive=times[1])
        times = [at("2027-04-08", hour, 30) for hour in (16, 18)]
        circuit = change_leg(circuit, 1, depart=times[0], arrive=times[1])
        assert broken(circuit, yard) == rules

    def test_standing_without_an_outing(self):
        """A horse that jumps nowhere does not stand at a show for days."""
        yard = stable()
        one = visit(yard, "S1", "2027-04-07", "2027-04-11")
        legs = tuple(replace(leg, horses=("Alder", "Birch")) for leg in one.legs)
        circuit = plan(yard, Visit(one.outings, legs))
        assert broken(circuit, yard) == {"stabling"}
        assert "Birch stands at Millbrook from 2027-04-07 to 2027-04-11" in say(circuit, yard)
