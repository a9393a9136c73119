"""window, closed, cap, recovery, fit, break: the smallest change that breaks one, and its edge.

Expected figures are counted by hand from the rules (DEVELOPERS.md; handbook, Choices), whose
numbers are common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from tests.build import (
    make_absence,
    make_entry,
    make_horse,
    make_limits,
    make_result,
    make_rider,
)
from tests.judging.plan import (
    Visit,
    broken,
    change_day,
    change_outing,
    drive,
    free_class,
    free_show,
    outing,
    plan,
    say,
    stable,
    two_day_visit,
    two_visits,
    visit,
)
from tripkit.yard.circuit import Circuit
from tripkit.yard.horses import OutingsWanted
from tripkit.yard.people import Person
from tripkit.yard.yard import Yard


def with_limits(**changes: Any) -> list[Any]:
    """Alder with some limits changed, and Birch."""
    return [make_horse("Alder", limits=make_limits(**changes)), make_horse("Birch")]


def wanting(least: int = 0, most: int | None = None) -> list[Any]:
    """Alder with some outings wanted, and Birch."""
    wanted = OutingsWanted(least, most)
    return [replace(make_horse("Alder"), outings_wanted=wanted), make_horse("Birch")]


def s1_only(yard: Yard, arrive: str = "2027-04-07", leave: str = "2027-04-11") -> Circuit:
    """Alder at S1 and nowhere else."""
    return plan(yard, visit(yard, "S1", arrive, leave))


def s1_then(yard: Yard, first_show_day: str, clear_days: int) -> tuple[Yard, Circuit]:
    """Alder at S1 (ends 04-10), then at a show T whose first class is the day after it opens."""
    show = free_show("T", first_show_day, "Fairview")
    yard = replace(yard, shows=(*yard.shows, show))
    first, last = show.days.first.isoformat(), show.days.last.isoformat()
    circuit = plan(
        yard,
        visit(yard, "S1", "2027-04-07", "2027-04-11"),
        visit(yard, "T", first, last),
        spare_days=clear_days - 9,
    )
    return yard, circuit


class TestWindow:
    """Season and absences."""

    @pytest.mark.parametrize(("last", "rules"), [("2027-04-22", set()), ("2027-04-21", {"window"})])
    def test_last_class_in_season(self, last: str, rules: set[str]):
        """The last class (04-22) may be on the season's last day and not after it."""
        yard = stable(season=("2027-03-01", last))
        assert broken(two_visits(yard), yard) == rules

    @pytest.mark.parametrize(
        ("first", "last", "rules"),
        [
            ("2027-04-01", "2027-04-06", set()),
            ("2027-04-01", "2027-04-07", {"window"}),
            ("2027-04-11", "2027-04-11", {"window"}),
            ("2027-04-12", "2027-04-14", set()),
        ],
    )
    def test_horse_absent(self, first: str, last: str, rules: set[str]):
        """No day from arrive (04-07) to leave (04-11) lies in an absence of the horse."""
        yard = stable(absences=[make_absence("Alder", first, last)])
        assert broken(s1_only(yard), yard) == rules

    def test_horse_absent_on_the_road(self):
        """A day on the road is a day away from home as well."""
        # S1 is 700 km = 10 h away: 04-05 and 04-06 out, 04-11 and 04-12 back.
        yard = stable(
            km={("home", "Millbrook"): 700.0}, absences=[make_absence("Alder", "2027-04-12")]
        )
        assert broken(plan(yard, two_day_visit(yard)), yard) == {"window"}

    @pytest.mark.parametrize(("on", "rules"), [("2027-04-08", {"window"}), ("2027-04-09", set())])
    def test_rider_absent(self, on: str, rules: set[str]):
        """No class day (04-08, 04-10) lies in an absence of the rider; the day between may."""
        yard = stable(absences=[make_absence("Ana", on)])
        assert broken(s1_only(yard), yard) == rules

    @pytest.mark.parametrize(
        ("on", "at", "rules"),
        [
            ("2027-04-11", "home", {"window"}),
            ("2027-04-11", "Millbrook", {"window"}),
            ("2027-04-12", "home", set()),
            ("2027-04-10", "home", {"window"}),
            ("2027-04-10", "Millbrook", set()),
            ("2027-04-12", "Millbrook", {"window"}),
        ],
    )
    def test_vehicle_absent(self, on: str, at: str, rules: set[str]):
        """No leg (04-07, 04-11) in an absence of the lorry, which stands where its row says."""
        yard = stable(absences=[make_absence("Lorry", on, at=at)])
        assert broken(s1_only(yard), yard) == rules

    @pytest.mark.parametrize(
        ("first", "rules"), [("2027-02-22", set()), ("2027-02-23", {"window"})]
    )
    def test_vehicle_absent_before_it_can_be_there(self, first: str, rules: set[str]):
        """Legs run from 02-22 (7 days before the season): it is at Millbrook before 02-23."""
        yard = stable(absences=[make_absence("Lorry", first, at="Millbrook")])
        assert broken(plan(yard), yard) == rules

    @pytest.mark.parametrize(("off", "rules"), [("Thursday", {"window"}), ("Friday", set())])
    def test_rider_has_a_day_off(self, off: str, rules: set[str]):
        """The classes are on a Thursday (04-08) and a Saturday."""
        yard = stable(people=[make_rider(days_off=(off,)), Person("Olga", "owner")])
        assert broken(s1_only(yard), yard) == rules

    @pytest.mark.parametrize(("off", "rules"), [("Sunday", {"window"}), ("Saturday", set())])
    def test_driver_has_a_day_off(self, off: str, rules: set[str]):
        """The legs are on a Wednesday and a Sunday (04-11)."""
        yard = stable(people=[make_rider(), Person("Dell", "driver", days_off=(off,))])
        circuit = s1_only(yard)
        circuit = replace(circuit, legs=tuple(replace(x, drivers=("Dell",)) for x in circuit.legs))
        assert broken(circuit, yard) == rules

    @pytest.mark.parametrize(("on", "rules"), [("2027-03-20", {"window"}), ("2027-03-21", set())])
    def test_horse_schools_while_absent(self, on: str, rules: set[str]):
        """A school (03-20) does not lie in an absence of the horse."""
        yard = stable(absences=[make_absence("Alder", on)])
        assert broken(change_day(plan(yard), "Alder", "2027-03-20", does="school"), yard) == rules

    def test_days_as_written_are_those_of_the_classes(self):
        """An outing that says it begins on another day than its first class is told so."""
        yard = stable()
        circuit = change_outing(s1_only(yard), 0, first_day=yard.shows[0].classes[1].day)
        assert broken(circuit, yard) == {"window"}


class TestClosed:
    """Entries."""

    @pytest.mark.parametrize(
        ("close", "late", "rules"),
        [
            ("2027-03-10", None, set()),
            ("2027-03-09", None, {"closed"}),
            ("2027-03-01", "2027-03-10", set()),
            ("2027-03-01", "2027-03-09", {"closed"}),
        ],
    )
    def test_closing_date(self, close: str, late: str | None, rules: set[str]):
        """A new entry is possible up to the day of closing, late entries included; today 03-10."""
        show = free_show("S1", "2027-04-07", entries_close=close, late_entries_until=late)
        yard = stable(shows=[show], today="2027-03-10")
        assert broken(s1_only(yard), yard) == rules

    def test_entered_before_closing(self):
        """A class that is paid needs no open entries."""
        show = free_show("S1", "2027-04-07", entries_close="2027-03-01")
        entries = [make_entry(name, horse="Alder") for name in ("C1", "C2")]
        yard = stable(shows=[show], today="2027-03-10", entries=entries)
        assert broken(s1_only(yard), yard) == set()

    @pytest.mark.parametrize(
        ("today", "rules"), [("2027-04-07", set()), ("2027-04-08", {"closed"})]
    )
    def test_class_after_today(self, today: str, rules: set[str]):
        """A class not entered yet (04-08) lies after today."""
        yard = stable(today=today)
        assert broken(s1_only(yard), yard) == rules

    def test_scratched(self):
        """A scratched class is barred for the horse."""
        yard = stable(entries=[make_entry("C2", "scratched", horse="Alder")])
        assert broken(s1_only(yard), yard) == {"closed"}


class TestCap:
    """Outings in 30 days."""

    @pytest.mark.parametrize(("name", "rules"), [("C2", set()), ("C1", {"cap"})])
    def test_thirty_days(self, name: str, rules: set[str]):
        """With one outing in 30 days the next begins on day 30; day 29 is too early."""
        # S1 begins 04-08. 04-08 + 30 days = 05-08 (22 days left in April and 8 in May).
        classes = (free_class("C1", "2027-05-07", "T"), free_class("C2", "2027-05-08", "T"))
        yard = stable(
            shows=[free_show("S1", "2027-04-07"), free_show("T", "2027-05-07", classes=classes)],
            horses=with_limits(shows_per_30_days=1),
        )
        day = "2027-05-06" if name == "C1" else "2027-05-07"
        # Clear days 04-11 to 05-06 or 05-07: 26 or 27, less 9 asked.
        circuit = plan(
            yard,
            visit(yard, "S1", "2027-04-07", "2027-04-11"),
            visit(yard, "T", day, "2027-05-09", classes=(name,)),
            spare_days=17 if name == "C1" else 18,
        )
        assert broken(circuit, yard) == rules

    def test_three_outings(self):
        """By default three outings take 30 days from first day to first day: 28 are too few."""
        # First days 04-08, 04-20, 05-06: 04-08 to 05-06 = 22 + 6 = 28.
        yard = stable()
        circuit = plan(
            yard,
            visit(yard, "S1", "2027-04-07", "2027-04-11"),
            visit(yard, "S2", "2027-04-19", "2027-04-23"),
            visit(yard, "S3", "2027-05-05", "2027-05-09"),
            spare_days=0,
        )
        assert broken(circuit, yard) == {"cap"}
        assert "28 days after S1" in say(circuit, yard)

    @pytest.mark.parametrize(("on", "rules"), [("2027-02-09", set()), ("2027-02-10", {"cap"})])
    def test_history_counts(self, on: str, rules: set[str]):
        """An outing of the results counts: 02-09 to 03-11 are 30 days, 02-10 are 29."""
        # February 2027 has 28 days: 02-09 to 03-11 = 19 + 11 = 30.
        yard = stable(
            shows=[free_show("S0", "2027-03-10")],
            horses=with_limits(shows_per_30_days=1),
            results=[make_result(on, "Winter", "Alder")],
        )
        # Clear days after 02-09: 02-10 to 03-10 = 19 + 10 = 29, less 9 asked.
        spare = 20 if on == "2027-02-09" else 19
        circuit = plan(yard, visit(yard, "S0", "2027-03-10", "2027-03-14"), spare_days=spare)
        assert broken(circuit, yard) == rules

    @pytest.mark.parametrize(("last", "rules"), [("2027-05-05", set()), ("2027-05-04", {"cap"})])
    def test_any_three_outings_and_not_the_first_three_only(self, last: str, rules: set[str]):
        """First days 03-15, 04-05, 04-16: 32 days; from 04-05 to 05-05 are 30, to 05-04 are 29."""
        # 03-15 to 04-16 = 16 + 16 = 32; 04-05 to 05-05 = 25 + 5 = 30.
        days = ("2027-03-15", "2027-04-05", "2027-04-16", last)
        shows = [
            free_show(f"T{i}", on, classes=(free_class("C1", on, f"T{i}"),))
            for i, on in enumerate(days)
        ]
        yard = stable(shows=shows)
        one = timedelta(days=1)
        visits = [
            visit(yard, s.show, str(s.days.first - one), str(s.days.first + one), classes=("C1",))
            for s in shows
        ]
        # Clear days 04-06 to 04-15: 10, less 9 asked; the other gaps are longer.
        assert broken(plan(yard, *visits, spare_days=1), yard) == rules

    def test_history_among_itself(self):
        """What the results break among themselves is not the plan's fault."""
        yard = stable(
            shows=[free_show("S0", "2027-03-31")],
            horses=with_limits(shows_per_30_days=1),
            results=[make_result(f"2027-02-{d:02d}", f"W{d}", "Alder") for d in (1, 6, 11)],
        )
        # Clear days 02-12 to 03-31 = 17 + 31 = 48, less 9.
        circuit = plan(yard, visit(yard, "S0", "2027-03-31", "2027-04-04"), spare_days=39)
        assert broken(circuit, yard) == set()


class TestMostOutings:
    """What is wanted of a horse in the season (format of the folder, horses.csv)."""

    @pytest.mark.parametrize(("most", "rules"), [(2, set()), (1, {"most-outings"})])
    def test_no_new_outing_beyond_the_most(self, most: int, rules: set[str]):
        """Two new outings are one more than one."""
        yard = stable(horses=wanting(most=most))
        circuit = two_visits(yard)
        assert broken(circuit, yard) == rules
        told = "Alder has 2 outings in the season, and at most 1 are wanted"
        assert (told in say(circuit, yard)) is bool(rules)

    @pytest.mark.parametrize(
        ("on", "spare_days", "rules"),
        [("2027-02-20", 37, set()), ("2027-03-02", 27, {"most-outings"})],
    )
    def test_what_was_before_today_counts_within_the_season(
        self, on: str, spare_days: int, rules: set[str]
    ):
        """A result of March is the second outing, one of February lies before the season."""
        # Clear days to 04-08: 8 + 31 + 7 and 29 + 7, less 9 asked.
        yard = stable(
            horses=wanting(most=1), results=[make_result(on, horse="Alder")], today="2027-03-05"
        )
        there = visit(yard, "S1", "2027-04-07", "2027-04-11")
        assert broken(plan(yard, there, spare_days=spare_days), yard) == rules

    def test_entries_are_not_too_many(self):
        """Both shows are paid, and one outing is wanted: nothing is new."""
        entries = [make_entry(horse="Alder"), make_entry(horse="Alder", show="S2")]
        yard = stable(horses=wanting(most=1), entries=entries)
        assert broken(two_visits(yard), yard) == set()


class TestRecovery:
    """Clear days between outings."""

    @pytest.mark.parametrize(
        ("first_show_day", "clear_days", "rules"),
        [("2027-04-19", 9, set()), ("2027-04-18", 8, {"recovery"})],
    )
    def test_nine_clear_days(self, first_show_day: str, clear_days: int, rules: set[str]):
        """Nine clear days are legal and eight are not: 7 + 2 x 1 + (1 drive day - 1)."""
        # S1 ends 04-10; first classes 04-20 and 04-19.
        yard, circuit = s1_then(stable(), first_show_day, clear_days)
        assert broken(circuit, yard) == rules

    @pytest.mark.parametrize(
        ("changes", "clear_days"),
        [({"no_jump_days": 8}, 9), ({"schools_before_show": 2}, 9)],
    )
    def test_horse_overrides(self, changes: dict[str, int], clear_days: int):
        """A horse's own limits count: with 8 no-jump days 10 are asked, with 2 schools 11."""
        yard = stable(horses=with_limits(**changes))
        needed = 10 if "no_jump_days" in changes else 11
        circuit = two_visits(yard)
        circuit = replace(circuit, totals=replace(circuit.totals, spare_days=clear_days - needed))
        if "no_jump_days" in changes:
            # The builder schools on 04-18 at the earliest: 8 days after 04-10.
            circuit = change_day(circuit, "Alder", "2027-04-18", does="flat")
        assert broken(circuit, yard) == {"recovery"}
        assert f"9 clear days after S1 before S2 and needs {needed}" in say(circuit, yard)

    @pytest.mark.parametrize(("leave", "needed"), [("2027-04-11", 9), ("2027-04-12", 10)])
    def test_every_drive_after_the_no_jump_days_counts(self, leave: str, needed: int):
        """A drive home on the one day without jumping (04-11) is free, on the day after it is not.

        1 + 2 x 4 and the days of both drives less one: 9 clear days are enough, or one too few.
        """
        own = {"no_jump_days": 1, "schools_before_show": 4}
        yard = stable(horses=with_limits(**own))
        circuit = plan(
            yard,
            visit(yard, "S1", "2027-04-07", leave),
            visit(yard, "S2", "2027-04-19", "2027-04-23"),
            spare_days=9 - needed,
        )
        assert broken(circuit, yard) == ({"recovery"} if needed > 9 else set())

    @pytest.mark.parametrize(("on", "rules"), [("2027-03-01", set()), ("2027-03-02", {"recovery"})])
    def test_history_counts(self, on: str, rules: set[str]):
        """An outing of the results asks for recovery: to 03-11 nine clear days, or eight."""
        yard = stable(
            shows=[free_show("S0", "2027-03-10")],
            today="2027-03-03",
            results=[make_result(on, "Winter", "Alder")],
        )
        spare = 0 if on == "2027-03-01" else -1
        circuit = plan(yard, visit(yard, "S0", "2027-03-10", "2027-03-14"), spare_days=spare)
        assert broken(circuit, yard) == rules

    def test_same_show_in_history(self):
        """A result at the show that the plan goes on with is the same outing, not a pair."""
        show = free_show("S1", "2027-04-07")
        yard = stable(
            shows=[show],
            today="2027-04-09",
            results=[make_result("2027-04-08", "S1", "Alder", class_name="C1")],
            entries=[make_entry("C1", horse="Alder")],
        )
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11", classes=("C2",)))
        assert broken(circuit, yard) == set()

    @pytest.mark.parametrize(("on", "rules"), [("2027-04-17", {"recovery"}), ("2027-04-18", set())])
    def test_no_school_in_the_no_jump_days(self, on: str, rules: set[str]):
        """The seven days after the last class (04-10) have no school; the eighth may."""
        yard = stable()
        circuit = change_day(two_visits(yard), "Alder", on, does="school")
        assert broken(circuit, yard) == rules

    @pytest.mark.parametrize(
        ("first", "clear_days", "in_a_row", "rules"),
        [
            ("2027-04-14", 4, 2, set()),
            ("2027-04-15", 5, 2, {"recovery"}),
            ("2027-04-14", 4, 1, {"recovery"}),
        ],
    )
    def test_in_a_row(self, first: str, clear_days: int, in_a_row: int, rules: set[str]):
        """Two outings at most four clear days apart at one place need none with two in a row."""
        # S1 ends 04-10, first classes of T on 04-15 (04-11 to 04-14 = 4) or 04-16 (5). A horse
        # that stays on the grounds is asked 7 + 2 = 9.
        yard = stable(
            shows=[free_show("S1", "2027-04-07"), free_show("T", first)],
            horses=with_limits(shows_in_a_row=in_a_row),
        )
        stays = Visit(
            (
                outing(yard, "S1", "2027-04-07", first),
                outing(yard, "T", first, "2027-04-19"),
            ),
            (drive("home", "S1", "2027-04-07"), drive("T", "home", "2027-04-19")),
        )
        circuit = plan(yard, stays, spare_days=clear_days - 9 if rules else None)
        assert broken(circuit, yard) == rules

    def test_in_a_row_elsewhere(self):
        """Two in a row are two at the same place: another place asks for recovery."""
        # S1 ends 04-10, T (Fairview) begins 04-15: 4 clear days, asked 9.
        yard, circuit = s1_then(stable(horses=with_limits(shows_in_a_row=2)), "2027-04-14", 4)
        assert broken(circuit, yard) == {"recovery"}

    @pytest.mark.parametrize(
        ("opens", "spare", "rules"), [("2027-04-26", 0, set()), ("2027-04-25", -1, {"recovery"})]
    )
    def test_recovery_follows_the_second(self, opens: str, spare: int, rules: set[str]):
        """After two in a row the recovery follows the second outing."""
        # S1 has classes 04-08 and 04-10, T 04-15 and 04-17.
        yard = stable(
            shows=[
                free_show("S1", "2027-04-07"),
                free_show("T", "2027-04-14"),
                free_show("U", opens, "Fairview"),
            ],
            horses=with_limits(shows_in_a_row=2, shows_per_30_days=3),
        )
        # U opens 04-26: first class 04-27, clear days 04-18 to 04-26 = 9. Opens 04-25: 8.
        leave = yard.show_by_name["U"].days.last.isoformat()
        stays = Visit(
            (
                outing(yard, "S1", "2027-04-07", "2027-04-14"),
                outing(yard, "T", "2027-04-14", "2027-04-18"),
            ),
            (drive("home", "S1", "2027-04-07"), drive("T", "home", "2027-04-18")),
        )
        circuit = plan(yard, stays, visit(yard, "U", opens, leave), spare_days=spare)
        assert broken(circuit, yard) == rules

    def test_cap_counts_two_in_a_row_as_two(self):
        """Two outings in a row are two for the cap."""
        yard = stable(
            shows=[free_show("S1", "2027-04-07"), free_show("T", "2027-04-14")],
            horses=with_limits(shows_in_a_row=2, shows_per_30_days=1),
        )
        stays = Visit(
            (
                outing(yard, "S1", "2027-04-07", "2027-04-14"),
                outing(yard, "T", "2027-04-14", "2027-04-18"),
            ),
            (drive("home", "S1", "2027-04-07"), drive("T", "home", "2027-04-18")),
        )
        assert broken(plan(yard, stays), yard) == {"cap"}


class TestFit:
    """Coming back into work."""

    @pytest.mark.parametrize(("work", "rules"), [("2027-03-11", set()), ("2027-03-12", {"fit"})])
    def test_fit_up_days(self, work: str, rules: set[str]):
        """The first outing (04-08) is 28 days after coming into work; 27 are too few."""
        # 03-11 + 28 days = 04-08 (20 days left in March and 8).
        yard = stable(horses=[make_horse("Alder", in_work_from=work), make_horse("Birch")])
        assert broken(s1_only(yard), yard) == rules

    @pytest.mark.parametrize(("on", "rules"), [("2027-03-31", set()), ("2027-04-01", {"fit"})])
    def test_no_school_in_the_week_before(self, on: str, rules: set[str]):
        """The seven days before the first outing (04-08) have no school; the eighth may."""
        yard = stable()
        circuit = change_day(s1_only(yard), "Alder", on, does="school")
        assert broken(circuit, yard) == rules

    @pytest.mark.parametrize(
        ("shown", "rules"), [("2027-02-24", {"fit"}), ("2027-03-01", set()), ("2027-03-20", set())]
    )
    @pytest.mark.parametrize("show", ["Winter", ""])
    def test_the_week_is_that_of_the_first_of_the_season(
        self, shown: str, rules: set[str], show: str
    ):
        """A horse that has shown since 03-01, where the season begins, schools on 04-01."""
        yard = stable(today="2027-03-22", results=[make_result(shown, show, "Alder")])
        # 04-08 less 03-20 are 18 clear days and 9 are asked; the builder's own days are flat.
        circuit = s1_only(yard)
        found = [line for line in circuit.days if "school" in (line.does, *line.also)]
        for line in found:
            circuit = change_day(circuit, line.horse, str(line.date), does="flat")
        circuit = change_day(circuit, "Alder", "2027-04-01", does="school")
        assert broken(circuit, yard) - {"days", "totals"} == rules

    def test_a_show_begun_before_today_is_still_the_first(self):
        """A result at the show that the plan goes on with takes no other outing's place."""
        yard = stable(
            today="2027-04-09",
            results=[make_result("2027-04-08", "S1", "Alder", class_name="C1")],
            entries=[make_entry("C1", horse="Alder")],
        )
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11", classes=("C2",)))
        circuit = change_day(circuit, "Alder", "2027-04-03", does="school")
        assert broken(circuit, yard) == {"fit"}


class TestBreak:
    """A longer gap among several outings."""

    @pytest.mark.parametrize(
        ("first_show_day", "clear_days", "rules"),
        [("2027-05-01", 21, set()), ("2027-04-30", 20, {"break"})],
    )
    def test_break_days(self, first_show_day: str, clear_days: int, rules: set[str]):
        """With one outing before a break, 14 + 7 = 21 clear days are a break and 20 are none."""
        # S1 ends 04-10; 04-11 to 05-01 = 20 + 1 = 21 clear days before the class of 05-02.
        yard = stable(horses=with_limits(outings_before_break=1))
        yard, circuit = s1_then(yard, first_show_day, clear_days)
        assert broken(circuit, yard) == rules

    def test_five_outings(self):
        """By default five outings in a row with gaps of 13 clear days need a break."""
        # Shows every 16 days from 03-08: classes on days 2 and 4, so 13 clear days between;
        # first days 16 days apart: three outings take 32 days.
        starts = ["2027-03-08", "2027-03-24", "2027-04-09", "2027-04-25", "2027-05-11"]
        places = ("Millbrook", "Fairview") * 3
        shows = [free_show(f"R{i}", start, places[i]) for i, start in enumerate(starts)]
        yard = stable(shows=shows)
        visits = [
            visit(yard, s.show, s.days.first.isoformat(), s.days.last.isoformat()) for s in shows
        ]
        # Class days 03-09 and 03-11, next 03-25: clear 03-12 to 03-24 = 13, less 9 asked.
        assert broken(plan(yard, *visits, spare_days=4), yard) == {"break"}
        assert broken(plan(yard, *visits[:4], spare_days=4), yard) == set()

    @pytest.mark.parametrize(("on", "rules"), [("2027-02-17", set()), ("2027-02-18", {"break"})])
    def test_history_counts(self, on: str, rules: set[str]):
        """An outing of the results counts: 02-17 to 03-11 are 21 clear days, 02-18 are 20."""
        # 02-18 to 03-10 = 11 + 10 = 21.
        yard = stable(
            shows=[free_show("S0", "2027-03-10")],
            horses=with_limits(outings_before_break=1),
            results=[make_result(on, "Winter", "Alder")],
        )
        spare = 12 if on == "2027-02-17" else 11
        circuit = plan(yard, visit(yard, "S0", "2027-03-10", "2027-03-14"), spare_days=spare)
        assert broken(circuit, yard) == rules
