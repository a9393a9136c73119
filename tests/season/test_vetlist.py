"""The vet's visits of a circuit: what is done on each, and the certificates beside them."""

from __future__ import annotations

from datetime import UTC, datetime

from tests.build import day, make_horse, make_paper, make_show, make_vet_check, make_yard, span
from tripkit.commands.findings import write_check
from tripkit.rulebooks import known_rule_books, load_rule_books
from tripkit.season.diary import write_diary
from tripkit.season.vetlist import plan_vet_days
from tripkit.yard.circuit import Circuit, Leg, Outing
from tripkit.yard.papers import COGGINS

BOOKS = load_rule_books(known_rule_books())


def make_leg(start: str, end: str, depart: str, arrive: str, *horses: str) -> Leg:
    moments = [datetime.fromisoformat(text).replace(tzinfo=UTC) for text in (depart, arrive)]
    return Leg("Lorry", start, end, moments[0], moments[1], 140, 2, horses=horses)


def make_plan(*papers, arrive: str = "2027-04-06", depart: str = "2027-04-06", **changes):
    """Dancer at S1 from 6 to 12 April, home on the 12th."""
    yard = make_yard(paper_rules=("us",), rule_books=BOOKS, papers=papers, **changes)
    outing = Outing(
        "Dancer", "S1", "Ana", ("C1",), day("2027-04-08"), day("2027-04-08"), day(arrive),
        day("2027-04-12"),
    )  # fmt: skip
    legs = (
        make_leg("home", "Millbrook", f"{depart}T12:00", f"{arrive}T15:00", "Dancer"),
        make_leg("Millbrook", "home", "2027-04-12T12:00", "2027-04-12T15:00", "Dancer"),
    )
    return yard, Circuit("Plan", "worth", "optimal", outings=(outing,), legs=legs)


def test_each_visit_says_what_it_is_for_with_its_window_and_source() -> None:
    """Dose of 1 October 2026 + 6 months (GR845) does not reach 6 April: 30 March at the latest."""
    yard, circuit = make_plan(make_paper("influenza", "2026-10-01"))
    visit = next(v for v in plan_vet_days(yard, circuit).visits if v.tasks[0].paper == "influenza")
    (task,) = visit.tasks
    assert (visit.horse, task.show) == ("Dancer", "S1")
    assert task.windows == (span("2027-03-01", "2027-03-30"),)
    assert visit.day in task.windows[0]
    assert "GR845" in task.source


def test_a_blood_test_and_a_recheck_are_named() -> None:
    """The horse lame on 20 February is seen again by 10 March; the test of April 2026 ran out."""
    yard, circuit = make_plan(
        make_paper(COGGINS, "2026-04-01"),
        vet_checks=[make_vet_check("2027-02-20", True, recheck_by="2027-03-10")],
    )
    said = [str(task.what) for visit in plan_vet_days(yard, circuit).visits for task in visit.tasks]
    assert "blood test for coggins" in said
    assert "check again, as asked on 2027-02-20 by 2027-03-10" in said


def test_the_days_are_those_of_the_diary() -> None:
    """What the diary calls vet check or vaccination is here, and nothing else."""
    yard, circuit = make_plan(
        make_paper("influenza", "2026-10-01"),
        make_paper(COGGINS, "2026-04-01"),
        vet_checks=[make_vet_check("2027-02-20", True, recheck_by="2027-03-10")],
    )
    lines = write_diary(yard, circuit.outings, circuit.legs)
    shown = {d.date for d in lines if {d.does, *d.also} & {"vet check", "vaccination"}}
    assert {visit.day for visit in plan_vet_days(yard, circuit).visits} == shown


def test_a_paper_without_a_legal_day_is_told_apart() -> None:
    """Today 1 April, arrival the 6th: no dose seven days before it."""
    yard, circuit = make_plan(make_paper("influenza", "2026-09-01"), today="2027-04-01")
    ((horse, task),) = plan_vet_days(yard, circuit).missing
    assert (horse, task.paper, task.windows) == ("Dancer", "influenza", ())
    assert "No legal day is left" in "\n".join(write_check(yard, (), circuit=circuit))


def test_a_certificate_is_given_before_the_lorry_leaves() -> None:
    """USEF page, 30 days: arrival 6 April - 30 = 7 March; a two-day drive leaves on the 5th."""
    for depart, last in (("2027-04-06", "2027-04-05"), ("2027-04-05", "2027-04-04")):
        yard, circuit = make_plan(shows=[make_show(country="CA")], depart=depart)
        (found,) = plan_vet_days(yard, circuit).certificates
        assert found.window == span("2027-03-07", last)
        # 12 April - 30 days = 13 March
        (why,) = found.why
        assert str(why) == "One from 2027-03-13 on covers the way home on 2027-04-12 as well."


def test_a_certificate_names_a_visit_that_falls_in_its_days() -> None:
    """The recheck by 10 March lies in the window from 7 March."""
    yard, circuit = make_plan(
        shows=[make_show(country="CA")],
        vet_checks=[make_vet_check("2027-02-20", True, recheck_by="2027-03-10")],
    )
    days = plan_vet_days(yard, circuit)
    (found,) = days.certificates
    inside = tuple(v.day for v in days.visits if v.day <= day("2027-04-05"))
    assert found.visits == inside != ()
    said = " ".join(" ".join(write_check(yard, (), circuit=circuit)).split())
    assert f"say on the visit of {inside[-1]}" in said


def test_a_circuit_without_outings_needs_no_vet() -> None:
    """Nothing runs out before nothing."""
    yard = make_yard(horses=[make_horse()])
    lines = write_check(yard, (), circuit=Circuit("None", "worth", "optimal"))
    first = lines.index("The vet's visits of None")
    assert lines[first + 1] == "  none is needed"
