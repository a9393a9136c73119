"""The commands: exit codes, what goes to which stream, and what a manager reads.

Exit codes and the error format are those of the handbook, Commands; texts were written by hand
from the small yard of `tests.files.folders`.
"""

from __future__ import annotations

import errno
import html
import json
import os
import re
import signal
import subprocess
import sys
from datetime import date
from pathlib import Path

import openpyxl
import pytest

import tripkit
from tests.files.folders import GOOD, append, swap, write_folder
from tests.patience import PATIENCE_SECONDS
from tripkit.commands.line import main
from tripkit.commands.printouts import WIDTH, write_circuits_table
from tripkit.season.scorecard import finish_circuit
from tripkit.words.comparisons import write_verdict
from tripkit.words.telling import choose_calendar_teller
from tripkit.words.verdicts import write_broken
from tripkit.yard.circuit import Circuit, Outing
from tripkit.yard.facts import state

ROOT = Path(__file__).resolve().parents[2]
CAP = state("planning.without-rule", rule="cap")
HEAD = "Mill Lane, 2027-03-01 to 2027-06-06, as of 2027-02-28 (yard.toml)"
LAME = {"vet_checks.csv": "horse,date,limb,grade,cleared,recheck_by\nBella,2027-02-20,lf,2,no,\n"}


@pytest.fixture
def folder(tmp_path):
    return write_folder(
        tmp_path / "mill", swap("yard.toml", "[season]", "[season]\ntoday = 2027-02-28")
    )


@pytest.fixture
def circuits(folder, tmp_path):
    """A file of three circuits: nobody goes, a horse goes without a lorry, none exists."""
    yard = tripkit.read_yard(folder)
    walk = Outing(
        "Bella",
        "Oak 1",
        "Ana Reed",
        ("Opener",),
        date(2027, 4, 8),
        date(2027, 4, 8),
        date(2027, 4, 7),
        date(2027, 4, 9),
    )
    made = [
        finish_circuit(yard, "Stay home", "least road", "proved best", 0.0, 0.0, 0.1, [], []),
        finish_circuit(yard, "Walk", "most worth", "best in time", 10.0, 30.0, 0.1, [walk], []),
        Circuit("Tour Moon", "tour Moon", "none exists", reasons=("no road leads there",)),
    ]
    path = tmp_path / "circuits.json"
    tripkit.write_circuits(path, yard, made)
    return path


def write_only(path, folder, *names):
    """The file with some of its circuits only."""
    written = json.loads(path.read_text(encoding="utf-8"))
    written["circuits"] = [c for c in written["circuits"] if c["name"] in names]
    path.write_text(json.dumps(written), encoding="utf-8")


def run(*arguments, **options):
    """The command in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "tripkit", *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=PATIENCE_SECONDS,
        check=False,
        **options,
    )


# check


def test_check_of_a_yard_in_order_ends_with_0(folder, capsys):
    """Both horses fit a class at both shows and no rule book is chosen: nothing is to be done."""
    assert main(["check", str(folder)]) == 0
    said, wrong = capsys.readouterr()
    lines = said.splitlines()
    assert lines[:2] == [
        HEAD,
        "2 horses, 2 shows, 3 classes.",
    ]
    assert "Nothing is to be done." in lines
    assert "  Bella: 2 of 2 shows with a class that fits" in lines
    assert wrong == ""


def test_check_names_entries_that_clash_and_ends_with_1(folder, capsys):
    """Comet at Oak 1 on 8 April and at Oak 2 on the 15th: 6 clear days of 9."""
    (folder / "entries.csv").write_text(
        "horse,show,class,status,amount\nComet,Oak 1,Opener,paid,50\nComet,Oak 2,Opener,sent,60\n",
        encoding="utf-8",
    )
    assert main(["check", str(folder)]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "Entries that cannot all be kept; a plan drops what loses least " in said
    assert (
        "Comet at Oak 1, Opener (dropping it loses 50.00); Comet at Oak 2, Opener (dropping it "
        "loses 60.00): days of rest between outings"
    ) in said


def test_check_says_first_what_to_do_and_ends_with_1(folder, capsys):
    """A horse that the vet did not clear stands on top, with its source, and the answer is no."""
    write_folder(folder, LAME)
    assert main(["check", str(folder)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[3] == "To do, first things first"
    assert lines[4].split(maxsplit=1)[0] == "barred"
    assert "Bella: not cleared by the vet check of 2027-02-20 (lf, grade 2 of 5)" in lines[4]
    assert any(line.startswith("  [1] the yard's vet_checks.csv") for line in lines)


def test_check_ends_with_the_caution_once(folder, capsys):
    """One closing paragraph says what decides instead of these figures."""
    main(["check", str(folder)])
    said = capsys.readouterr().out
    assert said.count("Cautions:") == 1
    assert "vet" in said.split("Cautions:")[1]
    assert "detection times" in " ".join(said.split("Cautions:")[1].split())


def test_check_all_prints_every_finding(folder, capsys):
    """With --all each finding stands under its horse and show."""
    main(["check", str(folder), "--all"])
    lines = capsys.readouterr().out.splitlines()
    found = tripkit.findings(tripkit.read_yard(folder))
    answers = [line for line in lines if line.startswith("      ok       ")]
    assert len(answers) == len(found) == 6  # two clearances, two horses at two shows
    assert "    Oak 1, 2027-04-07" in lines


def test_the_first_line_is_what_to_do_on_monday(capsys):
    """Sample yard, Sunday 28 February 2027: the first arrivals in another state are on Wednesday.

    A certificate for another state (USEF, Interstate travel page) has to be had by Tuesday.
    """
    main(["check", str(ROOT / "sample_calendar")])
    lines = capsys.readouterr().out.splitlines()
    assert lines[4].startswith("  by Tue 2027-03-02  ")
    said = " ".join(" ".join(lines[4:7]).split())
    # Clover and Elder alone have a class on the first day at Statesville 1 (classes.csv).
    assert "Clover and Elder, Statesville 1: health certificate for the way there" in said


def test_the_days_of_a_certificate_are_those_of_one_show(capsys):
    """Each journey has a certificate and days of its own, so the later shows are only counted."""
    main(["check", str(ROOT / "sample_calendar")])
    said = " ".join(capsys.readouterr().out.split())
    assert re.search(r"The like for each of \d+ later shows, on days of its own\. \[1\]", said)


def test_a_season_that_is_over_is_told_so(folder, capsys):
    """After the last show nothing fits any more, and no empty list of sources stands there."""
    assert main(["check", str(folder), "--today", "2027-06-30"]) == 0
    said = capsys.readouterr().out
    assert "The season is over: every show is past.\n" in said
    assert "Bella: no show is left with a class of its height\n" in said
    assert "Sources" not in said


def test_tasks_stand_in_the_order_of_their_days(capsys):
    """Of the sample yard's tasks each is due on or after the one above it."""
    main(["check", str(ROOT / "sample_calendar")])
    days = re.findall(r"^  by \w{3} (\d{4}-\d{2}-\d{2})", capsys.readouterr().out, re.MULTILINE)
    assert len(days) > 3
    assert days == sorted(days)


def test_papers_that_ask_for_the_same_stand_once(folder, capsys):
    """Two vaccinations of two horses, lapsed on one day, are one line (GR845, 6 months)."""
    rows = "".join(
        f"{horse},{paper},2026-09-01\n"
        for horse in ("Bella", "Comet")
        for paper in ("influenza", "herpes")
    )
    settings = (folder / "yard.toml").read_text(encoding="utf-8")
    write_folder(
        folder,
        {
            "papers.csv": "horse,paper,date\n" + rows,
            "yard.toml": settings.replace("rules = []", 'rules = ["us"]'),
        },
    )
    assert main(["check", str(folder)]) == 0
    tasks = [line for line in capsys.readouterr().out.splitlines() if line.startswith("  by ")]
    assert len(tasks) == 1
    assert "Bella and Comet, Oak 1 and 1 more show: influenza and herpes" in tasks[0]


def test_check_tells_the_vets_visits_of_a_circuit(folder, circuits, capsys):
    """`--plan` and `--circuit` belong together; a lame horse's recheck by 10 March is a visit."""
    lame = LAME["vet_checks.csv"].replace("lf,2,no,", "lf,2,yes,2027-03-10")
    write_folder(folder, {"vet_checks.csv": lame})
    asked = ["check", str(folder), "--plan", str(circuits), "--circuit", "Stay home"]
    assert main(asked) == 0
    said = capsys.readouterr().out.split("The vet's visits of Stay home")[1]
    assert "Bella: check again, as asked on 2027-02-20 by 2027-03-10" in " ".join(said.split())
    assert main(asked[:4]) == 2
    assert "--plan and --circuit belong together" in capsys.readouterr().err
    assert main([*asked[:5], "Tour Moon"]) == 2
    assert "has no plan" in capsys.readouterr().err


def test_check_quotes_treatments_and_clears_nobody(folder, capsys):
    """Published detection time, dose, route and source; no day but that of the treatment."""
    rows = "horse,substance,route,date\nBella,firocoxib,oral,2027-02-01\n"
    write_folder(folder, {"treatments.csv": rows})
    assert main(["check", str(folder)]) == 0
    said = capsys.readouterr().out.split("Treatments, beside what is published")[1]
    said = " ".join(said.split("Horse by horse")[0].split())
    assert "published detection time 360 hours (0.1 mg/kg for 7 days, 20 horses, oral)" in said
    assert "Not a withdrawal time: ask your vet." in said
    assert re.findall(r"\d{4}-\d{2}-\d{2}", said) == ["2027-02-01"]


def test_the_next_shows_are_told_one_by_one(folder, capsys):
    """Today 15 March: Oak 1 begins within 28 days, Oak 2 (14 April) does not."""
    main(["check", str(folder), "--today", "2027-03-15"])
    said = capsys.readouterr().out.split("Show by show")[1]
    assert "  Wed 2027-04-07 Oak 1: Bella, Comet" in said
    assert "Oak 2" not in said


def test_every_source_mark_is_listed(capsys):
    """Each [n] of the sample yard's check has its line under Sources, and no line is spare."""
    main(["check", str(ROOT / "sample_calendar"), "--all"])
    text, listed = capsys.readouterr().out.split("\nSources\n")
    numbers = [line.split("]")[0] + "]" for line in listed.splitlines() if line.startswith("  [")]
    assert [number.strip() for number in numbers] == [f"[{i + 1}]" for i in range(len(numbers))]
    assert all(number.strip() in text for number in numbers)
    assert f"[{len(numbers) + 1}]" not in text


def test_check_keeps_lines_short(capsys):
    """No line of the sample yard's check is wider than a terminal of a hundred columns."""
    main(["check", str(ROOT / "sample_calendar")])
    assert max(map(len, capsys.readouterr().out.splitlines())) <= WIDTH


def test_remarks_on_the_files_are_told(folder, capsys):
    """An unknown column is no fault; the check says that it is there."""
    write_folder(folder, swap("vehicles.csv", "vehicle,places", "colour,vehicle,places"))
    (folder / "vehicles.csv").write_text("vehicle,places,colour\nLorry,4,red\n", encoding="utf-8")
    assert main(["check", str(folder)]) == 0
    assert "colour" in capsys.readouterr().out.split("Remarks on the files")[1]


ODD = {
    "horses.csv": GOOD["horses.csv"].replace("Bella,2017", "Bella,2024"),
    "absences.csv": "who,first_day,last_day\nAna Reed,2027-03-01,2027-06-06\n",
}


def test_what_is_probably_not_meant_stands_first(folder, capsys):
    """Below the head of the check, ranked and numbered; a yard in order has no such part."""
    main(["check", str(folder)])
    assert "Is this meant?" not in capsys.readouterr().out
    write_folder(folder, {**ODD, "yard.toml": None})
    main(["check", str(folder)])
    told = capsys.readouterr().out.split("\n\n")
    assert " ".join(told[1].split()) == (
        "Is this meant? What would change the plan most stands first 1 absences.csv row 2, column "
        "who: Ana Reed is absent all season, and nobody else may ride Bella, Comet 2 horses.csv "
        "row 2, column born: Bella is 3 years old in the season, and could go to shows; usual "
        "are 4 years and more"
    )


def test_plan_says_what_is_probably_not_meant_before_it_plans(folder, capsys, monkeypatch):
    """On stderr, the first twelve; the table on stdout stays a table."""
    rows = [f"Oak 2,C{n},2027-04-15,110,5,Cup {chr(97 + n) * 5}" for n in range(14)]
    rows += [row.replace("C", "D", 1).replace("Cup ", "cup ") for row in rows]
    classes = "show,class,day,height_cm,fee,series\n" + "\n".join(rows) + "\n"
    write_folder(folder, {"classes.csv": classes, "yard.toml": None})
    monkeypatch.setattr(tripkit, "plan", lambda yard, **options: [])
    main(["plan", str(folder)])
    said, wrong = capsys.readouterr()
    lines = wrong.splitlines()
    assert lines[0] == "Is this meant? What would change the plan most stands first"
    assert sum("did you mean" in line for line in lines) == 12
    assert "      and 2 more: see tripkit check" in lines
    assert "Is this meant?" not in said


def test_today_moves_the_day_of_planning(folder, capsys):
    """--today wins over the day before the season."""
    main(["check", str(folder), "--today", "2027-03-15"])
    assert "as of 2027-03-15 (--today)" in capsys.readouterr().out


@pytest.mark.parametrize("command", ["check", "plan", "judge", "compare", "why", "publish"])
def test_every_answer_begins_with_the_day_it_is_given_as_of(
    folder, circuits, monkeypatch, capsys, command
):
    """Who says that it is today stands beside the day."""
    monkeypatch.setattr(tripkit, "plan", lambda yard, **options: [])
    words = {
        "check": [],
        "plan": [],
        "compare": [circuits, "Stay home", "Walk"],
        "why": [circuits, "--horse", "Bella", "--show", "Oak 1"],
        "publish": [circuits, "Stay home"],
    }
    assert main([command, str(folder), *map(str, words.get(command, [circuits]))]) < 2
    assert capsys.readouterr().out.splitlines()[0] == HEAD


@pytest.mark.parametrize("command", ["entries", "feeds", "sheets"])
def test_a_list_of_files_has_its_head_on_stderr(folder, circuits, tmp_path, capsys, command):
    """What stdout says is for another program, a path a line."""
    out = tmp_path / "out.xlsx"
    assert main([command, str(folder), str(circuits), "Stay home", "--out", str(out)]) == 0
    said, wrong = capsys.readouterr()
    assert wrong.splitlines()[0] == HEAD
    assert all(Path(line).exists() for line in said.splitlines())


# Bad input


def test_all_faults_of_a_folder_go_to_stderr_in_one_go(folder, capsys):
    """Handbook, Commands: file, row, column, value, what was wanted; nothing else is said."""
    broken = {
        **swap("shows.csv", "2027-04-07", "2027-02-30"),
        **swap("horses.csv", "Ana Reed", "Nobody"),
    }
    write_folder(folder, broken)
    assert main(["check", str(folder)]) == 2
    said, wrong = capsys.readouterr()
    assert said == ""
    assert "shows.csv row 2, column first_day: '2027-02-30' is not a date (YYYY-MM-DD)" in wrong
    assert "horses.csv row 2, column rider: 'Nobody'" in wrong


@pytest.mark.parametrize("command", ["check", "plan", "serve"])
def test_a_folder_that_is_not_there(command, tmp_path, capsys):
    """Every command that takes a yard says which one is missing and ends with 2."""
    assert main([command, str(tmp_path / "nowhere")]) == 2
    said, wrong = capsys.readouterr()
    assert said == ""
    assert "nowhere" in wrong


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        ([], "COMMAND"),
        (["dance", "yard"], "dance"),
        (["check"], "YARD"),
        (["check", "yard", "--alll"], "--alll"),
        (["check", "yard", "--today", "2027-02-30"], "'2027-02-30' is not a date (YYYY-MM-DD)"),
        (["plan", "yard", "--today", "20270301"], "'20270301' is not a date (YYYY-MM-DD)"),
        (["plan", "yard", "--today", "2027-W09-1"], "'2027-W09-1' is not a date (YYYY-MM-DD)"),
        (["plan", "yard", "--keep", "0"], "'0' is not a whole number above zero"),
        (["plan", "yard", "--keep", "two"], "'two' is not a whole number"),
        (["plan", "yard", "--seconds", "-1"], "'-1' is not a number of seconds"),
        (["plan", "yard", "--seconds", "nan"], "'nan' is not a number of seconds"),
        (["plan", "yard", "--sec", "5"], "--sec"),
        (["compare", "yard", "c.json", "one"], "RIGHT"),
        (["feeds", "yard", "c.json", "one"], "--out"),
        (["serve", "yard", "--port", "65536"], "'65536' is not a port (1 to 65535)"),
    ],
)
def test_bad_usage_ends_with_2(arguments, word, capsys):
    """What is wrong with the words after the command is said on stderr."""
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    said, wrong = capsys.readouterr()
    assert said == ""
    assert word in wrong


def test_a_fault_of_tripkit_is_neither_answer_nor_bad_input(folder, capsys, monkeypatch):
    """An error that nobody foresaw ends with 3, after its traceback."""
    monkeypatch.setattr(tripkit, "findings", lambda yard: 1 / 0)
    assert main(["check", str(folder)]) == 3
    wrong = capsys.readouterr().err
    assert "ZeroDivisionError" in wrong
    assert wrong.splitlines()[-1] == "this is a fault of tripkit, not of your files"


# plan


def test_what_proofs_leave_out_and_what_is_missing_stand_under_the_table(tmp_path):
    """Each freedom once, the lacks of each circuit by horse and owner; Olga Moss owns Bella."""
    table = (
        "horse,born,from_height_cm,to_height_cm,outings_wanted\n"
        "Bella,2017,110,130,from 2\nComet,2015,100,120,\n"
    )
    yard = tripkit.read_yard(write_folder(tmp_path / "mill", {"horses.csv": table}))
    given = {"leaves_out": (state("planning.leaves-out-drives"),)}
    made = [
        finish_circuit(yard, name, "most worth", "best of its kind", 0, 0, 0, [], [], **given)
        for name in ("Home", "Stay")
    ]
    lines = write_circuits_table(yard, made)
    assert lines[lines.index("Outings that are wanted and missing") :] == [
        "Outings that are wanted and missing",
        "  Home",
        "    Bella of Olga Moss: 0 of 2 outings that are wanted",
        "  Stay",
        "    Bella of Olga Moss: 0 of 2 outings that are wanted",
        "",
        "Best of its kind: the proof leaves out",
        "  more than two drives of a lorry on a day",
    ]


def test_plan_prints_a_table_and_writes_the_circuits(folder, tmp_path, capsys):
    """Bella can jump Opener and Final of Oak 1 or Opener of Oak 2, Comet an Opener: worth 30.

    The shows lie 2 clear days apart and a horse needs 9, so each goes to one; a class is worth
    10 by default (handbook, Files), so 20 for Bella at Oak 1 and 10 for Comet.
    """
    out = tmp_path / "c.json"
    assert main(["plan", str(folder), "--keep", "2", "--out", str(out)]) == 0
    said, wrong = capsys.readouterr()
    head, _, row = said.splitlines()[1:4]
    assert head.split()[:5] == ["circuit", "goal", "status", "objective", "bound"]
    assert "proved best" in row
    assert row.split("proved best")[1].split()[:3] == ["30", "30", "30"]
    assert "most worth:" in wrong
    _, circuit = tripkit.read_circuits(out, tripkit.read_yard(folder))
    assert circuit.totals.worth == 30


def test_plan_names_near_tours(folder, capsys):
    """An unknown tour is bad input: the tours there are, and the one it may mean."""
    write_folder(folder, swap("shows.csv", "show,", "tour,show,"))
    shows = GOOD["shows.csv"].splitlines()
    rows = ["tour," + shows[0], "Gulf," + shows[1], "Piedmont," + shows[2]]
    (folder / "shows.csv").write_text("\n".join(rows), encoding="utf-8")
    assert main(["plan", str(folder), "--tour", "Gulff"]) == 2
    wrong = capsys.readouterr().err
    assert wrong == "'Gulff' is no tour (there are Gulf, Piedmont); did you mean 'Gulf'?\n"


def test_what_a_library_writes_of_its_own_is_no_answer(folder, capfd, monkeypatch):
    """A line written past Python, as the solver's library does, does not reach the answers."""

    def plan(yard, **options):
        os.write(1, b"solver.run();\n")
        return [Circuit("Most worth", "most worth", "none exists", reasons=(CAP,))]

    monkeypatch.setattr(tripkit, "plan", plan)
    assert main(["plan", str(folder)]) == 1
    out = capfd.readouterr().out
    assert "solver.run" not in out
    assert out.startswith(f"{HEAD}\nMost worth: none exists")


def test_no_circuit_ends_with_1_and_the_reasons(folder, capsys, monkeypatch):
    """Where no goal has a circuit the answer is no, and the rules that collide are named."""
    none = Circuit("Most worth", "most worth", "none exists", reasons=(CAP,))
    monkeypatch.setattr(tripkit, "plan", lambda yard, **options: [none])
    assert main(["plan", str(folder)]) == 1
    assert capsys.readouterr().out.splitlines() == [
        HEAD,
        "Most worth: none exists",
        "  only so many outings in 30 days: without this rule a circuit would fit",
    ]


def test_one_goal_without_a_circuit_is_still_done(folder, capsys, monkeypatch):
    """Exit 1 is for the case that no goal has one (format of circuits)."""
    home = Circuit("Stay home", "least road", "proved best", 0.0, 0.0)
    none = Circuit("Tour Moon", "tour Moon", "none exists", reasons=("no road leads there",))
    monkeypatch.setattr(tripkit, "plan", lambda yard, **options: [home, none])
    assert main(["plan", str(folder)]) == 0
    assert "Tour Moon: none exists\n  no road leads there\n" in capsys.readouterr().out


@pytest.mark.parametrize("found", [True, False])
def test_an_interrupt_ends_the_search_and_what_was_found_is_written(
    folder, tmp_path, capsys, monkeypatch, found
):
    """Ctrl-C asks the planner to stop: its circuits are written and printed, the exit is 130."""
    home = Circuit("Stay home", "least road", "proved best", 0.0, 0.0)
    none = Circuit("Most worth", "most worth", "none in time", reasons=("stopped",))

    def plan(yard, should_stop, **options):
        assert not should_stop()
        os.kill(os.getpid(), signal.SIGINT)
        assert should_stop()
        return [home, none] if found else [none]

    out = tmp_path / "c.json"
    monkeypatch.setattr(tripkit, "plan", plan)
    assert main(["plan", str(folder), "--out", str(out)]) == 130
    assert "Most worth: none in time\n  stopped\n" in capsys.readouterr().out
    assert out.exists() is found


def test_a_second_interrupt_waits_for_nothing(folder, tmp_path, monkeypatch, capsys):
    """Who presses Ctrl-C twice wants the end, not an answer."""

    def plan(yard, **options):
        os.kill(os.getpid(), signal.SIGINT)
        os.kill(os.getpid(), signal.SIGINT)
        return [Circuit("Stay home", "least road", "proved best", 0.0, 0.0)]

    monkeypatch.setattr(tripkit, "plan", plan)
    assert main(["plan", str(folder), "--out", str(tmp_path / "c.json")]) == 130
    assert capsys.readouterr().out == ""
    assert not (tmp_path / "c.json").exists()


def test_time_that_ran_out_is_no_proof(folder, capsys, monkeypatch):
    """Where nothing was found in time, nobody says that no circuit keeps every rule."""
    none = Circuit("Most worth", "most worth", "none in time")
    monkeypatch.setattr(tripkit, "plan", lambda yard, **options: [none])
    assert main(["plan", str(folder)]) == 1
    said = capsys.readouterr().out
    assert "Most worth: none in time\n  time ran out before a plan was found" in said
    assert "keeps every rule" not in said


def test_options_of_plan_reach_the_planner(folder, monkeypatch, capsys):
    """--keep, --tour, --seconds and --today are handed on, tours whatever their capitals."""
    rows = GOOD["shows.csv"].splitlines()
    (folder / "shows.csv").write_text(
        "\n".join(["tour," + rows[0], "Gulf," + rows[1]]), encoding="utf-8"
    )
    (folder / "classes.csv").write_text(
        "show,class,day,height_cm\nOak 1,Opener,2027-04-08,120\n", encoding="utf-8"
    )
    heard = {}

    def plan(yard, **options):
        heard.update(options, today=yard.today)
        return [Circuit("Stay home", "least road", "proved best", 0.0, 0.0)]

    monkeypatch.setattr(tripkit, "plan", plan)
    words = ["--keep", "2", "--tour", "gulf", "--seconds", "7.5", "--today", "2027-03-02"]
    assert main(["plan", str(folder), *words]) == 0
    assert (heard["keep"], heard["tour"], heard["seconds"]) == (2, "Gulf", 7.5)
    assert heard["today"] == date(2027, 3, 2)


def test_plan_looks_for_the_folder_of_its_file_before_it_plans(folder, tmp_path, monkeypatch):
    """Nobody waits a minute to hear that the file cannot be written."""
    asked = []
    monkeypatch.setattr(tripkit, "plan", lambda yard, **options: asked.append(yard))
    assert main(["plan", str(folder), "--out", str(tmp_path / "no" / "c.json")]) == 2
    assert asked == []


def test_progress_says_each_stage_every_two_seconds_at_most(folder, monkeypatch, capsys):
    """Five steps of one stage within two seconds are one line; a new stage is said at once.

    A bound that is not known yet is left out.
    """
    from tripkit.yard.goals import Progress

    def plan(yard, *, report, **options):
        for i in range(5):
            report(Progress("most worth", "searching", None, 90.0, 0.1 * i))
        report(Progress("most worth", "proving", 80.0, float("inf"), 0.6))
        return [Circuit("Stay home", "least road", "proved best", 0.0, 0.0)]

    monkeypatch.setattr(tripkit, "plan", plan)
    main(["plan", str(folder)])
    said, wrong = capsys.readouterr()
    assert wrong.splitlines() == [
        "  0.0 s  most worth: searching, bound 90",
        "  0.6 s  most worth: proving, found 80",
    ]
    assert "searching" not in said


# judge, compare, feeds


def test_judge_of_good_circuits(folder, circuits, capsys):
    """A circuit in which nobody goes anywhere breaks nothing: exit 0."""
    write_only(circuits, folder, "Stay home")
    assert main(["judge", str(folder), str(circuits)]) == 0
    assert capsys.readouterr().out == f"{HEAD}\n0 violations in 1 circuit\n"


def test_judge_lists_violations_by_rule(folder, circuits, capsys):
    """No horse moves without a vehicle: rule one-place is named, exit 1."""
    assert main(["judge", str(folder), str(circuits)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[1].endswith("in 2 circuits; 1 without a plan")
    assert any("one-place: " in line for line in lines)


def test_judge_counts_what_the_door_finds(folder, circuits, capsys):
    """The first line counts the violations of all circuits."""
    yard = tripkit.read_yard(folder)
    total = sum(len(tripkit.judge(yard, c)) for c in tripkit.read_circuits(circuits, yard))
    main(["judge", str(folder), str(circuits)])
    assert capsys.readouterr().out.startswith(f"{HEAD}\n{total} violations in ")


@pytest.mark.parametrize("text", ["", "{}", '{"format": "another"}', "\xff"])
def test_a_file_that_holds_no_circuits(folder, tmp_path, text, capsys):
    """A broken file is named, exit 2."""
    path = tmp_path / "broken.json"
    path.write_text(text, encoding="latin-1")
    assert main(["judge", str(folder), str(path)]) == 2
    assert capsys.readouterr().err.startswith("broken.json")


def test_compare_says_the_verdict_and_each_horse(folder, circuits, capsys):
    """The sentences of the comparison, then one line for each horse: Bella 0 outings > 1."""
    assert main(["compare", str(folder), str(circuits), "stay home", "Walk"]) == 0
    said = capsys.readouterr().out
    yard = tripkit.read_yard(folder)
    left, right, _ = tripkit.read_circuits(circuits, yard)
    words = " ".join(said.split())
    for sentence in write_verdict(tripkit.compare(yard, left, right)):
        assert " ".join(sentence.split()) in words
    row = next(line for line in said.splitlines() if line.startswith("Bella "))
    assert row.split()[1:4] == ["0", ">", "1"]
    assert "2027-03-20  Oak 1" in said  # entries_close of shows.csv


def test_compare_names_near_circuits(folder, circuits, capsys):
    """An unknown circuit is bad input: which there are, and which it may mean."""
    assert main(["compare", str(folder), str(circuits), "Wall", "Walk"]) == 2
    wrong = capsys.readouterr().err
    assert wrong == (
        "'Wall' is no circuit (there are Stay home, Tour Moon, Walk); did you mean 'Walk'?\n"
    )


def test_feeds_prints_the_files_it_wrote(folder, circuits, tmp_path, capsys):
    """One file for each horse, owner, rider and driver, and one for the yard."""
    out = tmp_path / "feeds"
    asked = ["feeds", str(folder), str(circuits), "Walk", "--out", str(out), "--anyway"]
    assert main(asked) == 0
    printed = capsys.readouterr().out.splitlines()
    assert sorted(printed) == sorted(str(path) for path in out.iterdir())
    assert {"horse-bella.ics", "yard-mill-lane.ics", "driver-piet-vos.ics"} <= {
        Path(line).name for line in printed
    }


def test_feeds_of_a_circuit_without_a_plan(folder, circuits, tmp_path, capsys):
    """Nothing is written, and the reason is the circuit's status."""
    out = tmp_path / "feeds"
    assert main(["feeds", str(folder), str(circuits), "Tour Moon", "--out", str(out)]) == 2
    assert "none exists" in capsys.readouterr().err
    assert not out.exists()


def test_feeds_into_a_file_is_refused(folder, circuits, tmp_path, capsys):
    """A folder that cannot be made is bad input."""
    (tmp_path / "taken").write_text("", encoding="utf-8")
    out = str(tmp_path / "taken")
    assert main(["feeds", str(folder), str(circuits), "Stay home", "--out", out]) == 2
    assert "taken" in capsys.readouterr().err


# The judge at the door: handbook, Commands

DOORS = {"publish": None, "entries": "entries.xlsx", "feeds": "feeds", "sheets": "sheets"}


def ask(command, folder, circuits, tmp_path, *more):
    """One of the four commands that take a circuit further, and where it writes."""
    out = tmp_path / DOORS[command] if DOORS[command] else folder / "tripkit.sqlite"
    words = ["--out", str(out)] if DOORS[command] else []
    return main([command, str(folder), str(circuits), "Walk", *words, *more]), out


@pytest.mark.parametrize("command", DOORS)
def test_a_circuit_that_breaks_a_rule_goes_no_further(folder, circuits, tmp_path, capsys, command):
    """Bella at Oak 1 without a lorry (`one-place`): exit 1, said on stderr, nothing written."""
    code, out = ask(command, folder, circuits, tmp_path)
    said, wrong = capsys.readouterr()
    assert (code, said) == (1, "")
    lines = wrong.splitlines()
    assert lines[0].startswith("Walk breaks ")
    assert any("one-place: " in line and "Bella" in line for line in lines)
    assert "--anyway" in lines[-1]
    assert not out.exists()


@pytest.mark.parametrize("command", DOORS)
def test_who_knows_better_says_anyway(folder, circuits, tmp_path, capsys, command):
    """Exit 0, what is broken is still said on stderr, and it is written."""
    code, out = ask(command, folder, circuits, tmp_path, "--anyway")
    said, wrong = capsys.readouterr()
    assert code == 0
    assert "one-place: " in wrong
    assert said
    assert out.exists()


@pytest.mark.parametrize("command", DOORS)
def test_a_horse_made_lame_after_planning_is_held_back(tmp_path, capsys, command):
    """The circuit is judged against the folder as it is now, not as it was planned."""
    folder = write_folder(tmp_path / "mill")
    path = tmp_path / "c.json"
    assert main(["plan", str(folder), "--keep", "1", "--out", str(path)]) == 0
    write_folder(folder, LAME)
    capsys.readouterr()
    out = [] if command == "publish" else ["--out", str(tmp_path / "out.xlsx")]
    asked = [command, str(folder), str(path), "Good value", *out]
    assert main(asked) == 1
    assert "cleared: Bella" in capsys.readouterr().err
    assert main([*asked, "--anyway"]) == 0


def test_what_is_broken_stands_at_the_head_of_sheets_and_workbooks(
    folder, circuits, tmp_path, capsys
):
    """Each line that stderr has, in the overview below its title and before the first sheet."""
    _, book = ask("entries", folder, circuits, tmp_path, "--anyway")
    lines = [
        line for line in capsys.readouterr().err.splitlines() if not line.startswith("Mill Lane,")
    ]
    page = openpyxl.load_workbook(book)["Entries"]
    cells = [page.cell(row, 1).value for row in range(2, 2 + len(lines))]
    assert cells == lines
    assert page.cell(3 + len(lines), 1).value == "entries close"
    _, sheets = ask("sheets", folder, circuits, tmp_path, "--anyway")
    text = (sheets / "travel.html").read_text(encoding="utf-8")
    body = text.split("<body>")[1]
    whole = tripkit.read_yard(folder)
    circuit = next(c for c in tripkit.read_circuits(circuits, whole) if c.name == "Walk")
    broken = tripkit.judge(whole, circuit)
    told = write_broken(whole, circuit, broken, choose_calendar_teller(whole))
    assert len(told) == len(lines)
    for line in told:
        assert html.escape(line) in body.split("<nav")[0]


def test_what_is_broken_stands_in_the_description_of_the_calendar_only(
    folder, circuits, tmp_path, capsys
):
    """In that of the yard as judged; an owner reads of his own horses and no other name."""
    _, out = ask("feeds", folder, circuits, tmp_path, "--anyway")
    whole = unfold(out / "yard-mill-lane.ics")
    head, events = whole.split("BEGIN:VEVENT", 1)
    assert head.count("It breaks rules of the yard: ") == 2  # DESCRIPTION and X-WR-CALDESC
    assert "one-place: " in head
    assert "breaks rules" not in events
    assert "one-place\\, Bella" in unfold(out / "owner-olga-moss.ics")
    assert "breaks rules" not in unfold(out / "owner-ana-reed.ics")  # Comet alone, who stays
    assert "breaks rules" not in unfold(out / "horse-comet.ics")
    ask("publish", folder, circuits, tmp_path, "--anyway")
    _, served = ask("feeds", folder, circuits, tmp_path, "--anyway")
    assert "It breaks rules" in unfold(served / "yard-mill-lane.ics")


def unfold(path):
    """The lines of a calendar, put together again (RFC 5545 section 3.1)."""
    return path.read_bytes().decode("utf-8").replace("\r\n ", "")


# serve


def test_serve_hands_over_the_port(folder, monkeypatch):
    """The folder and port go to the server; Ctrl-C is how it ends, exit 0."""
    heard = []

    def serve(yard, port, open_browser, **others):
        heard.append((yard, port, open_browser, others))
        raise KeyboardInterrupt

    monkeypatch.setattr("tripkit.serve.serve", serve)
    assert main(["serve", str(folder), "--port", "8899"]) == 0
    others = {
        "ip": "127.0.0.1",
        "base_url": "/",
        "public_address": "",
        "password": "",
        "most_pages": 10,
    }
    assert heard == [(str(folder), 8899, False, others)]


# The process


def test_ctrl_c_ends_quietly(folder, monkeypatch, capsys):
    """No traceback, and the exit code that shells give an interrupted program (128 + 2)."""

    def plan(yard, **options):
        raise KeyboardInterrupt

    monkeypatch.setattr(tripkit, "plan", plan)
    assert main(["plan", str(folder)]) == 130
    assert capsys.readouterr() == ("", "")


def test_a_closed_pipe_ends_quietly(folder):
    """Whoever reads only the first line hears no complaint (128 + 13, SIGPIPE)."""
    reader, writer = os.pipe()
    os.close(reader)
    process = subprocess.Popen(
        [sys.executable, "-m", "tripkit", "check", str(folder)],
        cwd=ROOT,
        stdout=writer,
        stderr=subprocess.PIPE,
    )
    os.close(writer)
    _, wrong = process.communicate(timeout=PATIENCE_SECONDS)
    assert (process.returncode, wrong) == (141, b"")


def test_a_full_disk_is_told(folder, capsys, monkeypatch):
    """What cannot be printed is no answer: exit 2 and the reason of the system."""

    def write(lines):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("tripkit.commands.line._print", write)
    assert main(["check", str(folder)]) == 2
    assert capsys.readouterr().err == f"standard output: {os.strerror(errno.ENOSPC)}\n"


def test_a_poor_encoding_ends_nothing(folder):
    """A name that ASCII lacks is written with an escape."""
    write_folder(folder, append("horses.csv", "Élan,2016,100,120,"))
    write_folder(folder, {**append("horses.csv", "Élan,2016,100,120,"), **_share("Élan")})
    done = run("check", folder, env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert (done.returncode, done.stderr) == (0, "")
    assert "  \\xc9lan: 2 of 2 shows" in done.stdout


def _share(horse):
    return append("shares.csv", f"{horse},Olga Moss,")


def test_the_module_says_its_version():
    """`python -m tripkit` is the command."""
    done = run("--version")
    assert (done.returncode, done.stdout) == (0, f"tripkit {tripkit.__version__}\n")
