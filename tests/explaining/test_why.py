"""Why a horse goes or does not go, what a day is for, and what a figure is made of.

The stable is that of `tests.judging.plan`; figures are counted by hand in each test.
"""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

import tripkit
from tests.build import (
    make_absence,
    make_aim,
    make_entry,
    make_horse,
    make_limits,
    make_lorry,
    make_show,
    make_vet_check,
    make_yard,
)
from tests.files.folders import write_folder
from tests.judging.plan import free_show, plan, stable, two_visits, visit
from tests.patience import PATIENCE_SECONDS
from tripkit.commands.line import main
from tripkit.commands.printouts import WIDTH, write_why
from tripkit.explaining.days import explain_day
from tripkit.explaining.figures import FIGURES, IN_WORDS, explain_figure
from tripkit.explaining.outing import explain_outing
from tripkit.explaining.reasons import (
    explain_finding,
    explain_violation,
    name_demand,
    name_limit_source,
)
from tripkit.explaining.trial import try_outing
from tripkit.judging.judge import find_violations
from tripkit.season.lived import go_on_from
from tripkit.season.scorecard import finish_circuit
from tripkit.words.telling import choose_teller
from tripkit.yard.answers import Finding
from tripkit.yard.circuit import Circuit, Outing, Totals
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.horses import OutingsWanted
from tripkit.yard.yard import CostRates

ROOT = Path(__file__).resolve().parents[2]
SUMMED = ("worth", "cost_cents", "road_km", "horse_road_hours", "nights_away", "outings")


tell = choose_teller(make_yard(), local=False).tell


def at_first_show(yard, *horses):
    return plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11", horses or ("Alder",)))


def empty(yard, goal="most worth", status="best in time", bound=None, **more):
    return finish_circuit(yard, "Home", goal, status, 0.0, bound, 0.0, [], [], **more)


def priced():
    """Dancer at S1 with an extra run, everything priced: see each test."""
    yard = make_yard(
        costs=CostRates(Decimal(100), groom_day_cents=9000, rider_day_cents=12000),
        aims=[make_aim()],
        horses=[make_horse(weight=Decimal("1.5"))],
    )
    return yard, try_outing(yard, empty(yard), "Dancer", "S1").circuit


def say(explanation):
    return "\n".join(map(tell, [explanation.answer, *(p.text for p in explanation.points)]))


# An outing


def test_who_goes_is_told_what_it_brings_costs_and_saves():
    """Worth (10 + 10) x 1.5 = 30; road 280.00, fees 100.00, groom and rider 5 days, driver 2."""
    yard, circuit = priced()
    told = explain_outing(yard, circuit, "Dancer", "S1")
    assert told.verdict == "in"
    assert told.is_yes
    assert "Worth (C1 10 + C2 10) x 1.5 = 30." in say(told)
    # 04-07 to 04-11 are five days: 5 x 90.00 and 5 x 120.00. Nobody of the yard drives: a hired
    # driver there and one back, 2 x 90.00. 280 + 100 + 450 + 600 + 180 = 1,610.00.
    assert "Costs 1,610.00 USD" in say(told)
    assert "Left out, the season changes by worth -30, 1,610.00 USD less" in say(told)
    # No outing 10 to 45 days before (handbook, Choices: Aims), so the aim is not met.
    assert "Aim Dancer at S1, importance 50: not met" in say(told)


@pytest.mark.parametrize(
    ("today", "said"),
    [
        ("2027-04-09", "Dancer goes to S1, "),
        ("2027-04-12", "Dancer went to S1, "),
    ],
)
def test_what_was_lived_is_told_as_such(today, said):
    """An outing that is over or under way is no choice any more: nothing is left out on trial."""
    _, circuit = priced()
    yard = go_on_from(replace(priced()[0], today=date.fromisoformat(today)), circuit)
    told = explain_outing(yard, circuit, "Dancer", "S1")
    assert said in tell(told.answer)
    assert "every plan keeps what was lived" in tell(told.answer)
    assert "Left out" not in say(told)
    assert "Worth (C1 10 + C2 10) x 1.5 = 30." in say(told)


def test_an_entry_that_is_paid_is_the_reason():
    """It stays whatever it brings, and leaving it out would break `locked`."""
    yard = stable(entries=[make_entry("C1", horse="Alder", amount_cents=4500)])
    told = explain_outing(yard, at_first_show(yard), "Alder", "S1")
    assert "its entry is sent or paid" in tell(told.answer)
    assert "C1 is paid (45.00 USD), so every plan keeps it." in say(told)
    assert any(point.rule == "locked" for point in told.points)


def test_a_height_bars_and_the_nearest_change_is_named():
    """Alder jumps to 130 cm, the classes are 135 and 150 cm high."""
    show = free_show("S1", "2027-04-07")
    one, two = show.classes
    show = replace(show, classes=(replace(one, height_cm=135), replace(two, height_cm=150)))
    yard = stable(shows=[show])
    told = explain_outing(yard, empty(yard), "Alder", "S1")
    assert told.verdict == "barred"
    assert not told.is_yes
    assert "C1: 135 cm does not lie within the horse's 110 to 130 cm." in say(told)
    assert "with to_height_cm 135 it could jump C1." in say(told)
    assert {p.source for p in told.points if p.rule == "height"} == {
        "the yard's classes.csv and horses.csv",
        "horses.csv",
    }


@pytest.mark.parametrize(
    ("changes", "rule", "change"),
    [
        (
            {"shows": [free_show("S1", "2027-04-07", entries_close="2027-02-20")]},
            "closed",
            "if the organiser still takes an entry (they ended on 2027-02-20)",
        ),
        (
            {"vet_checks": [make_vet_check("2027-02-20", False, horse="Alder")]},
            "cleared",
            "if the vet clears the horse in time",
        ),
        ({"horses": [make_horse("Alder", in_work_from="2027-03-20")]}, "fit", ""),
        ({"absences": [make_absence("Alder", "2027-04-07", "2027-04-10")]}, "window", ""),
    ],
    ids=["closed", "cleared", "fit", "window"],
)
def test_what_bars_whatever_else_happens_is_barred(changes, rule, change):
    """The rules that hang on the horse and the show alone."""
    yard = stable(**changes)
    told = explain_outing(yard, empty(yard), "Alder", "S1")
    assert told.verdict == "barred"
    assert told.instead is None
    assert rule in {point.rule for point in told.points}
    assert change in say(told)


def test_too_little_rest_is_told_by_how_much_and_what_could_give_way():
    """S1 ends 04-10, the classes are 04-16 and 04-18: 5 clear days with both, 9 asked, 4 short."""
    shows = [free_show("S1", "2027-04-07"), free_show("S5", "2027-04-15", "Fairview")]
    yard = stable(shows=shows)
    told = explain_outing(yard, at_first_show(yard), "Alder", "S5")
    assert told.verdict == "breaks rules"
    (point,) = [p for p in told.points if p.rule == "recovery"]
    assert str(point.text) == "5 clear days after S1 before S5, needs 9"
    assert point.amount == -4
    assert "no_jump_days, the default: common practice, no source" in point.source
    assert "Possible if S1 is left out: worth +0" in tell(told.answer)
    # The figures of the answer stand in it alone.
    assert "worth +0" not in " ".join(str(point.text) for point in told.points)
    (with_left_out,) = [p for p in told.points if p.text.code == "explaining.with-left-out"]
    assert "left out it keeps every rule" in str(with_left_out.text)
    assert told.instead.possible


def test_two_shows_on_the_same_days_are_said_plainly():
    """Nobody wants to read of minus five clear days."""
    shows = [free_show("S1", "2027-04-07"), free_show("S5", "2027-04-07", "Fairview")]
    yard = stable(shows=shows, vehicles=[make_lorry(), make_lorry("Van")])
    told = explain_outing(yard, at_first_show(yard), "Alder", "S5")
    assert "Alder would be at" in say(told)
    assert "on the same days; between two outings it needs 9 days" in say(told)
    assert "-" not in next(str(p.text) for p in told.points if p.rule == "recovery")


def test_a_full_lorry_is_told_with_its_places():
    """The brief's own words: places 0 free in the lorry on that day."""
    yard = stable(vehicles=[make_lorry(places=1)])
    told = explain_outing(yard, at_first_show(yard, "Birch"), "Alder", "S1")
    assert told.verdict == "breaks rules"
    assert "Lorry drives from home to S1 on 2027-04-07 with 0 of 1 places free" in say(told)
    assert "if a lorry with a place were free on those days" in say(told)


def test_a_show_that_no_road_leads_to_is_told_so():
    """No drive to S1: the missing road is the reason, and a row of the yard would change it."""
    yard = make_yard()
    yard = replace(yard, roads=replace(yard.roads, drives={}))
    told = explain_outing(yard, empty(yard), "Dancer", "S1")
    assert "no road is known between home and" in say(told)
    assert "if the way stood in distances.csv" in say(told)


def test_a_rider_elsewhere_is_named():
    """Ana rides Birch at S1 on the same days."""
    shows = [free_show("S1", "2027-04-07"), free_show("S5", "2027-04-07", "Fairview")]
    yard = stable(shows=shows, vehicles=[make_lorry(), make_lorry("Van")])
    told = explain_outing(yard, at_first_show(yard, "Birch"), "Alder", "S5")
    assert "if Ana rode nothing else on those days" in say(told)


def test_what_is_possible_is_told_with_gain_price_and_drives():
    """Two classes of 10, two drives of 140 km."""
    yard = make_yard()
    told = explain_outing(yard, empty(yard), "Dancer", "S1")
    assert told.verdict == "possible"
    assert "Dancer could go to S1 besides: worth +20, 380.00 USD more, 280.0 km more" in tell(
        told.answer
    )
    assert "2027-04-07 home to S1, 140.0 km" in say(told)
    assert "the planner's time was up before it had tried one with this" in say(told)


@pytest.mark.parametrize(
    ("circuit", "text"),
    [
        ({"goal": "least cost"}, "keeps at least 80% of the most worth and then saves"),
        ({"goal": "tour Gulf"}, "sends no new entry to a tour other than Gulf"),
        (
            {"status": "best of its kind", "bound": 0.0, "leaves_out": ("a drive by night",)},
            "is the best of its kind, and this is worth 20 more. Its proof leaves out: a drive by "
            "night.",
        ),
        ({"status": "within bound", "bound": 50.0}, "brings no more than the bound allows"),
    ],
    ids=["saving", "tour", "proved", "bound"],
)
def test_why_the_planner_left_out_what_is_possible(circuit, text):
    """A saving goal, another tour, a restriction of the planner's own, or the bound."""
    yard = make_yard(shows=[replace(make_yard().shows[0], tour="Hill")])
    told = explain_outing(yard, empty(yard, **circuit), "Dancer", "S1")
    assert told.verdict == "possible"
    assert text in say(told)


def test_no_plan_and_unknown_names():
    """A circuit that does not exist is an answer, an unknown name an error."""
    yard = stable()
    none = Circuit("None", "most worth", "none exists", reasons=("no road",))
    told = explain_outing(yard, none, "Alder", "S1")
    assert (told.verdict, told.points[0].text) == ("no plan", "no road")
    with pytest.raises(BadValue, match="no horse"):
        explain_outing(yard, none, "Nobody", "S1")
    with pytest.raises(BadValue, match="no show"):
        explain_outing(yard, none, "Alder", "Nowhere")


# Rules and sources


def test_the_planners_reasons_are_told_without_ids():
    """The rule by what it asks, the budget with its amount; other sentences as they are."""
    yard = make_yard(costs=CostRates(Decimal(100), budget_cents=100))
    said = "without this rule a circuit would fit"
    teller = choose_teller(yard, local=False)
    told = teller.tell(name_demand(yard, state("planning.without-rule", rule="budget")))
    assert told == f"the budget of 1.00 USD: {said}"
    told = teller.tell(name_demand(yard, state("planning.without-rule", rule="locked")))
    assert told == f"entries sent or paid must be kept: {said}"
    assert name_demand(yard, "several collide: at once") == "several collide: at once"


def test_a_name_is_never_rewritten_whatever_it_looks_like():
    """A show called after its date keeps its name where dates are the country's."""
    name = "Evening Jump 2027-04-07"
    yard = make_yard(shows=[make_show(name, name=name)])
    local = choose_teller(replace(yard, country="US")).tell
    told = explain_outing(yard, empty(yard), "Dancer", name)
    assert f"go to {name} in" in local(told.question)
    assert f"Dancer could go to {name} besides" in local(told.answer)
    assert f"Apr 7 home to {name}" in "\n".join(local(p.text) for p in told.points)


def test_a_jump_outside_the_season_comes_from_the_season_whatever_the_show_is_called():
    """What a show is called says nothing of absences."""
    name = "absent friends cup"
    yard = make_yard(
        shows=[make_show(name, "2027-07-07", name=name)],
        absences=[make_absence("Lorry", "2027-07-01", "2027-07-31")],
    )
    outing = Outing("Dancer", name, "Ana", ("C1",), *(date(2027, 7, day) for day in (8, 8, 7, 9)))
    broken = find_violations(yard, Circuit("A", "most worth", "best in time", outings=(outing,)))
    far = [v for v in broken if v.rule == "window" and v.horse == "Dancer" and not v.person]
    assert far
    sources = {explain_violation(yard, violation).source for violation in far}
    assert sources == {"yard.toml [season] and absences.csv"}


def test_a_number_tells_where_it_was_set():
    """The horse's row over yard.toml over the default."""
    yard = make_yard(
        limits=make_limits(break_days=10),
        horses=[make_horse(limits=make_limits(break_days=10, no_jump_days=9))],
    )
    horse = yard.horses[0]
    assert name_limit_source(yard, "no_jump_days", horse).startswith("horses.csv, row of Dancer")
    assert name_limit_source(yard, "break_days", horse) == "yard.toml [limits] break_days"
    assert "the default" in name_limit_source(yard, "fit_up_days", horse)


def test_an_absence_is_told_with_its_reason():
    """The row of absences.csv is the source."""
    away = replace(make_absence("Lorry", "2027-04-01", "2027-04-30"), reason="workshop")
    yard = stable(absences=[away])
    trial = try_outing(yard, empty(yard), "Alder", "S1")
    point = explain_violation(yard, trial.violations[0])
    assert point.source == "absences.csv, row of Lorry (workshop)"


def test_a_finding_is_explained_with_its_last_day():
    """Rule, reason, source and date of the finding, nothing more."""
    finding = Finding(
        "influenza",
        "due",
        "the dose runs out",
        "a book",
        "Dancer",
        show="S1",
        due_by=date(2027, 4, 1),
    )
    told = explain_finding(finding)
    assert str(told.answer) == "influenza of Dancer at S1 is due."
    assert [str(p.text) for p in told.points] == [
        "the dose runs out",
        "The last useful day is 2027-04-01.",
    ]
    assert {p.source for p in told.points} == {"a book"}


# Days


def test_each_kind_of_day_has_its_reason():
    """Class, drive, week without jumping and the eve of the second show, by the table of plan."""
    yard = stable()
    circuit = try_outing(yard, at_first_show(yard), "Alder", "S2").circuit
    told = {d: say(explain_day(yard, circuit, "Alder", d)) for d in yard.season}
    assert "C1 at S1 with Ana, 120 cm" in told[date(2027, 4, 8)]
    assert "Lorry from home to S1, 2027-04-07 07:00 to 2027-04-07 09:00" in told[date(2027, 4, 7)]
    assert "Day 2 of 7 without jumping after S1, to 2027-04-17." in told[date(2027, 4, 12)]
    # No jump to 04-17, an easy day on 04-19: the school before S2 can only be on 04-18.
    assert "Before S2, which begins 2 days later" in told[date(2027, 4, 18)]
    # Between its classes of 04-20 and 04-22.
    assert "On the grounds of S2 2027-04-19 to 2027-04-23" in told[date(2027, 4, 21)]
    # The second outing is followed by the vet (vet_check_after_shows 2).
    (check,) = [d.date for d in circuit.days if "vet check" in (d.does, *d.also)]
    assert "outing number 2, and every 2 ask for a check" in told[check]


def test_a_day_of_absence_lameness_or_lay_off_is_told():
    """Each of the three reasons for a day of rest, from its own file."""
    yard = stable(
        absences=[make_absence("Birch", "2027-05-01")],
        vet_checks=[make_vet_check("2027-02-20", False, horse="Alder")],
        horses=[
            make_horse("Alder"),
            make_horse("Birch", in_work_from="2027-03-10"),
        ],
    )
    circuit = empty(yard)
    assert "Not cleared by the vet check of 2027-02-20" in say(
        explain_day(yard, circuit, "Alder", date(2027, 3, 5))
    )
    away = explain_day(yard, circuit, "Birch", date(2027, 5, 1))
    assert away.points[0].source == "absences.csv, row of Birch"
    assert "Not in work before 2027-03-10" in say(
        explain_day(yard, circuit, "Birch", date(2027, 3, 5))
    )


def test_every_day_of_every_horse_has_a_reason():
    """No line of the day plan is left without a point."""
    yard = stable()
    circuit = finish_circuit(
        yard,
        "A",
        "most worth",
        "best in time",
        None,
        None,
        0.0,
        two_visits(yard).outings,
        two_visits(yard).legs,
    )
    for horse in yard.horses:
        for day in yard.season:
            told = explain_day(yard, circuit, horse.horse, day)
            assert told.points, (horse.horse, day)
            assert all(point.source for point in told.points)
    outside = explain_day(yard, circuit, "Alder", yard.season.last + timedelta(days=1))
    assert "no line" in str(outside.answer)
    with pytest.raises(BadValue, match="no horse"):
        explain_day(yard, circuit, "Nobody", yard.season.first)


# Figures


def check_sums(yard, circuit):
    for figure in SUMMED:
        told = explain_figure(yard, circuit, figure)
        total = sum((Decimal(str(p.amount)) for p in told.points), Decimal(0))
        assert total == Decimal(str(getattr(circuit.totals, figure))), figure


def test_the_parts_of_every_figure_add_up_to_it():
    """To the last digit, as the circuit writes it."""
    yard, circuit = priced()
    check_sums(yard, circuit)
    cost = explain_figure(yard, circuit, "cost_cents")
    # See test_who_goes_is_told_what_it_brings_costs_and_saves for the arithmetic.
    assert [(p.text.get("kind"), p.amount) for p in cost.points] == [
        ("entry fee", 10000),
        ("road", 28000),
        ("rider days", 60000),
        ("groom days", 45000),
        ("driver days", 18000),
    ]
    assert tell(cost.answer).startswith("1,610.00 USD")


def test_every_figure_of_the_totals_can_be_asked_for():
    """Each has its words and its parts."""
    figures = {field.name for field in fields(Totals)}
    assert figures <= set(FIGURES)
    assert set(FIGURES) == set(IN_WORDS)


def test_figures_are_asked_for_in_words_and_told_in_their_units():
    """No field name of a circuit is seen; 90 000 cents of the least cost are 900.00 USD."""
    yard, circuit = priced()
    asked = [tell(explain_figure(yard, circuit, figure).question) for figure in FIGURES]
    assert not any("_" in question or "cents" in question for question in asked)
    assert f"Where does the cost of {circuit.name} come from?" in asked
    least = replace(circuit, goal="least cost", objective=90000.0, bound=90000.0)
    told = [tell(point.text) for point in explain_figure(yard, least, "bound").points]
    assert "Found: 900.00 USD; the bound: 900.00 USD." in told


def test_a_figure_can_be_asked_of_one_outing():
    """The lines of the bill, one by one."""
    yard, circuit = priced()
    told = explain_figure(yard, circuit, "cost_cents", horse="Dancer", show="S1")
    assert sum(p.amount for p in told.points) == 161000
    assert [p.amount for p in told.points if p.text.get("kind") == "entry fee"] == [5000, 5000]


def test_spare_days_are_the_tightest_gap():
    """9 clear days where 9 are asked: none to spare."""
    yard = stable()
    told = explain_figure(yard, two_visits(yard), "spare_days")
    assert tell(told.answer) == "0 days: the tightest of 1 gap."
    assert tell(told.points[0].text).endswith("9 clear days, needs 9, 0 days to spare")


def test_missing_outings_are_told_by_horse_and_owner():
    """Alder, which is Olga's, has two of the five outings that are wanted of it."""
    wanted = replace(make_horse("Alder"), outings_wanted=OutingsWanted(5))
    yard = stable(horses=[wanted, make_horse("Birch")])
    told = explain_figure(yard, two_visits(yard), "missing_outings")
    assert tell(told.answer) == "3 outings missing of those that are wanted of 1 horse."
    assert [(tell(p.text), p.amount) for p in told.points] == [
        ("Alder of Olga: 2 of 5 outings that are wanted", 3)
    ]
    told = explain_figure(stable(), two_visits(stable()), "missing_outings")
    assert tell(told.answer) == "No horse lacks an outing that is wanted."


def test_aims_bound_and_status_are_told():
    """What misses of an aim, and what a status means."""
    yard, circuit = priced()
    aims = explain_figure(yard, circuit, "aims_met")
    assert tell(aims.answer) == "0 of 1 aim met."
    assert "no outing ends 10 to 45 days before" in tell(aims.points[0].text)
    status = explain_figure(yard, circuit, "status")
    assert tell(status.answer).startswith("best in time: the best found in the time given")
    with pytest.raises(BadValue, match="no figure"):
        explain_figure(yard, circuit, "beauty")


# The command


def test_the_command_answers_and_ends_with_its_code(tmp_path, capsys):
    """0 where the horse goes or could, 1 where it cannot, 2 for a name nobody has."""
    folder = write_folder(tmp_path / "mill")
    yard = tripkit.read_yard(folder)
    path = tmp_path / "c.json"
    tripkit.write_circuits(path, yard, [empty(yard), replace(empty(yard), name="Other")])
    horse, show = yard.horses[0].horse, yard.shows[0].show
    asked = [str(folder), str(path), "--horse", horse.lower(), "--show", show]
    code = main(["why", *asked])
    printed = capsys.readouterr().out
    verdict = explain_outing(yard, empty(yard), horse, show).verdict
    assert code == (0 if verdict == "possible" else 1)
    assert "Home, in full" in printed
    assert max(len(line) for line in printed.splitlines()) <= WIDTH
    assert main(["why", *asked, "--circuit", "other"]) == code
    assert "in full" not in capsys.readouterr().out
    wrong = [str(folder), str(path), "--horse", horse + "x", "--show", show]
    assert main(["why", *wrong]) == 2
    assert f"did you mean '{horse}'" in capsys.readouterr().err


def test_an_empty_file_is_said():
    """No circuit, no answer."""
    assert write_why(stable(), []) == ["The file holds no circuit."]


# The sample


@pytest.fixture(scope="module")
def sample():
    yard = tripkit.read_yard(ROOT / "sample_calendar")
    return yard, [c for c in tripkit.plan(yard, keep=2, seconds=PATIENCE_SECONDS) if c.exists]


def test_every_answer_of_the_sample_is_held_by_the_judge(sample):
    """Each seventh pair of horse and show: what is called possible breaks no rule anew."""
    yard, circuits = sample
    pairs = [(h.horse, s.show) for h in yard.horses for s in yard.shows]
    for circuit in circuits:
        before = find_violations(yard, circuit)
        for horse, show in pairs[::7]:
            told = explain_outing(yard, circuit, horse, show, before=before)
            assert told.verdict in ("in", "possible", "breaks rules", "barred")
            assert told.points
            for trial in (told.trial, told.instead):
                if trial is not None and trial.possible:
                    assert set(find_violations(yard, trial.circuit)) <= set(before)
            if told.verdict == "breaks rules":
                assert told.trial.violations


def test_figures_and_days_of_the_sample_add_up(sample):
    """The parts sum to the totals of the circuits as planned."""
    yard, circuits = sample
    for circuit in circuits:
        check_sums(yard, circuit)
        for figure in FIGURES:
            assert explain_figure(yard, circuit, figure).answer
        for horse in yard.horses[::4]:
            for day in yard.season:
                assert explain_day(yard, circuit, horse.horse, day).points
