"""A page is as folder and store are now: whatever leaves it is read and judged before.

The small yard of `tests.files.folders` through the real doors; of the rules (DEVELOPERS.md)
`cleared` bars a horse that the vet did not clear, `one-place` a horse without a lorry.
"""

from __future__ import annotations

import io
import threading
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import openpyxl
import pytest

from tests.files.folders import GOOD, swap, write_folder
from tests.patience import PATIENCE_SECONDS
from tripkit.commands.line import main
from tripkit.dashboard.desk import Desk
from tripkit.dashboard.errands import Doors
from tripkit.dashboard.page import make_page
from tripkit.files import read_circuits, read_yard, reader
from tripkit.files.wishes import read_wishes
from tripkit.season.wishes import Wishes, merge_wishes
from tripkit.store import open_store, take_turn
from tripkit.words import page as words
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import RulesBroken, TripkitError

LAME = {"vet_checks.csv": "horse,date,limb,grade,cleared\nBella,2027-02-20,lf,2,no\n"}
FAULTY = swap("horses.csv", ",130,", ",13x,")
FAULT = "horses.csv row 2, column to_height_cm: '13x' is not a whole number"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_folder(tmp_path / "mill")


def visit(folder: Path, **doors) -> Desk:
    """A page that is loaded, its first plan at hand."""
    desk = Desk(folder, doors=Doors(**doors), keep=2, seconds=PATIENCE_SECONDS)
    desk.open()
    desk.refresh()
    desk.wait(PATIENCE_SECONDS)
    return desk


def test_planning_reads_the_folder_anew(folder: Path) -> None:
    """Bella, who can jump 130 cm, may jump 110 at most since: both goals leave her at home."""
    desk = visit(folder)
    assert "Bella" in {o.horse for o in desk.circuits[0].outings}
    write_folder(folder, swap("horses.csv", "Bella,2017,110,130", "Bella,2017,105,110"))
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    assert {o.horse for c in desk.circuits for o in c.outings} == {"Comet"}
    assert desk.yard.horse_by_name["Bella"].to_height_cm == 110


@pytest.mark.parametrize("act", ["plan", "publish", "save_circuits", "build_entries"])
def test_a_folder_that_no_longer_reads_stops_the_act(folder: Path, act: str) -> None:
    """Its faults stand on the page, and nothing is planned, published, kept or taken."""
    desk = visit(folder)
    write_folder(folder, FAULTY)
    if act == "build_entries":
        with pytest.raises(TripkitError, match="faults"):
            desk.build_entries()
    else:
        getattr(desk, act)()
    assert not desk.planning
    assert len(desk.errors) == 1
    assert desk.errors[0].startswith(FAULT)
    assert open_store(folder).find_current().revision == 0
    assert not (folder / "circuits.json").exists()


def test_what_the_folder_still_knows_stays_at_hand(folder: Path) -> None:
    """A note more changes nothing in the circuits; the page says that they are from before."""
    desk = visit(folder)
    before = desk.circuits
    write_folder(folder, swap("people.csv", "Piet Vos,driver,", "Piet Vos,driver,\nIda Quill,vet,"))
    desk.look_round()
    assert desk.found == words.FILES_MOVED_ON
    desk.build_yard_feed()
    assert desk.circuits == before
    assert desk.found == words.FILES_CHANGED
    assert "Ida Quill" in {p.person for p in desk.yard.people}


def test_a_show_that_is_gone_takes_its_circuits_along(folder: Path) -> None:
    """A circuit that goes to a show that nobody knows any more is not published."""
    desk = visit(folder)
    assert any(o.show == "Oak 1" for o in desk.diary_circuit.outings)
    write_folder(
        folder,
        {
            "shows.csv": GOOD["shows.csv"].replace("Oak 1,", "Elm 1,"),
            "classes.csv": GOOD["classes.csv"].replace("Oak 1,", "Elm 1,"),
        },
    )
    desk.publish()
    assert open_store(folder).find_current().revision == 0
    assert desk.board_said
    assert not any(o.show == "Oak 1" for c in desk.circuits for o in c.outings)


def test_publishing_asks_once_more_where_a_rule_is_broken(folder: Path) -> None:
    """Bella is lame since: the page says which rule; asked again, it is published and says so."""
    desk = visit(folder)
    write_folder(folder, LAME)
    desk.publish()
    assert open_store(folder).find_current().revision == 0
    assert "cleared: Bella" in desk.board_said
    assert desk.doubted == desk.diary_circuit.name
    desk.publish()
    assert open_store(folder).find_current().revision == 1
    assert not desk.board_said
    shelf = open_store(folder).read_shelf()
    assert "cleared" in shelf.feeds["yard", "Mill Lane"].head


def test_what_was_asked_of_another_state_is_asked_again(folder: Path) -> None:
    """Between both presses one more rule is broken: that one nobody has seen yet."""
    desk = visit(folder)
    write_folder(folder, LAME)
    desk.publish()
    write_folder(folder, {**LAME, **swap("vehicles.csv", "Lorry,4", "Lorry,1")})
    desk.publish()
    assert open_store(folder).find_current().revision == 0
    assert "places" in desk.board_said


def test_keeping_and_files_are_judged_as_well(folder: Path) -> None:
    """The first asking says the rule; the second does it, with the rule at the head."""
    desk = visit(folder)
    write_folder(folder, LAME)
    desk.save_circuits()
    assert "cleared: Bella" in desk.notice
    assert desk.notice.endswith(words.KEEP_ANYWAY)
    assert "2027" not in desk.notice
    assert not desk.circuits_file.exists()
    desk.save_circuits()
    assert desk.circuits_file.exists()
    for build in (desk.build_yard_feed, desk.build_travel_sheets, desk.build_circuits):
        with pytest.raises(RulesBroken, match="cleared: Bella"):
            build()
        build()
    with pytest.raises(RulesBroken, match=r"cleared: Bella.*to print it"):
        desk.take_to_print()
    assert any("cleared: Bella" in line for line in desk.take_to_print()[2])
    with pytest.raises(RulesBroken):
        desk.build_entries()
    _, data = desk.build_entries()
    page = openpyxl.load_workbook(io.BytesIO(data))["Entries"]
    assert "cleared: Bella" in "".join(str(page.cell(r, 1).value) for r in range(2, 6))


def test_a_page_made_ready_before_a_publishing_is_not_empty(folder: Path) -> None:
    """A kernel reads the yard ahead of its visitor; publishing meanwhile hides no circuit."""
    other = visit(folder)
    desk = Desk(folder, doors=Doors(), keep=2, seconds=PATIENCE_SECONDS)
    desk.open()
    other.publish()
    desk.refresh()
    desk.wait(PATIENCE_SECONDS)
    assert [c.name for c in desk.circuits] == [c.name for c in other.circuits]


def test_what_another_page_published_is_not_published_over_unseen(folder: Path) -> None:
    """The press is about what the visitor saw; the second one knows of the other's."""
    first, second = visit(folder), visit(folder)
    second.look_at_board()
    first.publish()
    second.put("left", second.circuits[1].name)
    second.publish()
    assert second.board_said
    assert open_store(folder).find_current().revision == 1
    assert second.board.revision == 1
    second.publish()
    assert open_store(folder).find_current().revision == 2


def test_circuits_that_no_longer_fit_are_told_on_every_chapter(folder: Path) -> None:
    """After a horse was renamed the page says why nothing stands there, and why no file came."""
    desk = visit(folder)
    assert main(["rename", str(folder), "horse", "Bella", "Belle"]) == 0
    with pytest.raises(TripkitError, match="no longer fit"):
        desk.build_yard_feed()
    assert desk.found == words.FILES_CHANGED_ALL


def test_what_was_asked_between_two_presses_changes_nothing(folder: Path) -> None:
    """Asked of the file in between, "publish all the same" still publishes at the second press."""
    desk = visit(folder)
    write_folder(folder, LAME)
    desk.publish()
    with pytest.raises(RulesBroken):
        desk.build_yard_feed()
    desk.publish()
    assert open_store(folder).find_current().revision == 1


def test_circuits_that_break_the_same_are_told_together(folder: Path) -> None:
    """Two circuits, one breach: one sentence names both, with the day in words."""
    desk = visit(folder)
    circuit = desk.circuits[0]
    write_folder(folder, LAME)
    assert desk.catch_up()
    with pytest.raises(RulesBroken) as bad:
        desk.admit("keep", circuit, replace(circuit, name="The same"))
    said = " ".join(bad.value.lines)
    assert said.startswith(f"{circuit.name} and The same break rules of the yard. cleared: Bella")
    assert said.count("cleared: ") == 1
    assert "2027-" not in said


def test_wishes_of_another_page_are_seen_when_a_chapter_is_turned(folder: Path) -> None:
    """Nothing has to be pressed: the list on a page that lies open names them."""
    first, second = visit(folder), visit(folder)
    first.wish(lambda w: w.forbid("Bella", "Oak 1"))
    second.look_round()
    assert second.wishes == first.wishes
    assert second.wish_fault == words.WISHES_ELSEWHERE


def test_wishes_are_the_same_on_every_page(folder: Path) -> None:
    """A second page has them at once, an open one with its next act; the store has them."""
    first, second = visit(folder), visit(folder)
    first.wish(lambda w: w.forbid("Bella", "Oak 1"))
    assert read_wishes(folder) == Wishes(forbidden=(("Bella", "Oak 1"),))
    assert visit(folder).wishes == first.wishes
    second.plan()
    second.wait(PATIENCE_SECONDS)
    assert second.wishes == second.planned == first.wishes
    assert second.wish_fault == words.WISHES_ELSEWHERE
    assert ("Bella", "Oak 1") not in {(o.horse, o.show) for o in second.circuits[0].outings}


def test_of_two_pages_that_wish_at_once_the_later_wins(folder: Path) -> None:
    """What only one of them changed stays; the other is told."""
    first, second = visit(folder), visit(folder)
    first.wish(lambda w: w.forbid("Bella", "Oak 1"))
    second.wish(lambda w: w.hold("Bella", "Oak 1").ask_numbers(None, 1))
    assert second.wishes == Wishes(held=(("Bella", "Oak 1"),), shows_per_30_days=1)
    assert not second.wish_fault
    second.wish(lambda w: w.remove("shows_per_30_days"))
    first.wish(lambda w: w.take_out("Comet", DaySpan(date(2027, 4, 1), date(2027, 4, 2))))
    assert first.wish_fault == words.WISHES_ELSEWHERE
    assert first.wishes.held == (("Bella", "Oak 1"),)
    assert read_wishes(folder) == first.wishes


def test_a_wish_taken_back_elsewhere_stays_taken_back() -> None:
    """Three wishes, one page takes back the first, the other the last: the middle one is left."""
    pairs = (("A", "1"), ("B", "2"), ("C", "3"))
    base = Wishes(held=pairs, tour="Gulf")
    mine, theirs = base.remove("held", 0), replace(base.remove("held", 2), tour="")
    assert merge_wishes(base, mine, theirs) == Wishes(held=(pairs[1],))


def test_what_another_page_planned_is_seen_before_anything_leaves(folder: Path) -> None:
    """Nothing is published that this visitor has not seen; asked again, it is."""
    first, second = visit(folder), visit(folder)
    second.wish(lambda w: w.forbid("Bella", "Oak 1"))
    second.plan()
    second.wait(PATIENCE_SECONDS)
    first.publish()
    assert first.board_said == words.LOOK_FIRST
    assert first.found == words.FOUND_ELSEWHERE
    assert first.circuits == second.circuits
    assert open_store(folder).find_current().revision == 0
    first.publish()
    assert open_store(folder).find_current().revision == 1


def test_another_pages_publishing_is_seen(folder: Path) -> None:
    """Who published last is said, and nothing is published upon what nobody looked at."""
    first, second = visit(folder), visit(folder)
    first.look_at_board()
    second.publish()
    first.publish()
    assert "somebody else published" in first.board_said
    assert open_store(folder).find_current().revision == 1


def test_circuits_kept_elsewhere_are_seen(folder: Path) -> None:
    """`circuits.json` of another page is on this one with its next act."""
    first, second = visit(folder), visit(folder)
    second.take_circuits(second.circuits[:1])
    second.save_circuits()
    assert not first.catch_up()
    assert first.notice == words.SAVED.format(file="circuits.json")
    assert [c.name for c in first.circuits] == [second.circuits[0].name]


def test_files_that_change_while_it_plans_make_it_no_answer(folder: Path) -> None:
    """The plan of the old files is neither laid on the page nor kept for the next visit."""
    desk = visit(folder)
    before, started, go_on = desk.circuits, threading.Event(), threading.Event()
    real = desk._doors.plan

    def plan(yard, **options):
        started.set()
        go_on.wait(PATIENCE_SECONDS)
        return real(yard, **options)

    desk._doors = replace(desk._doors, plan=plan)
    desk.plan()
    assert started.wait(PATIENCE_SECONDS)
    write_folder(folder, LAME)
    with pytest.raises(RulesBroken):
        desk.build_yard_feed()
    go_on.set()
    desk.wait(PATIENCE_SECONDS)
    assert not desk.planning
    assert desk.notice == words.FILES_CHANGED_MEANWHILE
    assert desk.circuits == before


def test_a_page_left_open_over_midnight_moves_on(folder: Path, monkeypatch) -> None:
    """Read on 18 March; on the 21st entries of Oak 1 are closed, so nobody goes there any more."""
    clock = [datetime(2027, 3, 18, 12, tzinfo=UTC)]
    monkeypatch.setattr(reader, "read_clock", lambda: clock[0])
    desk = visit(folder)
    assert desk.yard.today == date(2027, 3, 18)
    assert any(o.show == "Oak 1" for o in desk.circuits[0].outings)
    clock[0] = datetime(2027, 3, 21, 12, tzinfo=UTC)
    desk.publish()
    assert desk.yard.today == date(2027, 3, 21)
    assert "closed: " in desk.board_said
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    assert not any(o.show == "Oak 1" for c in desk.circuits for o in c.outings)


def test_tripkit_plan_plans_with_the_wishes_in_force(folder: Path, tmp_path: Path, capsys) -> None:
    """What the page wished holds for the command, which says so and can leave it out."""
    out = tmp_path / "c.json"
    desk = Desk(folder)
    desk.open()
    desk.wish(lambda w: w.forbid("Bella", "Oak 1"))
    asked = ["plan", str(folder), "--keep", "1", "--out", str(out)]
    assert main(asked) == 0
    assert "Wishes in force (--without-wishes leaves them out): Bella" in capsys.readouterr().err
    yard = read_yard(folder)
    (circuit,) = read_circuits(out, yard)
    assert ("Bella", "Oak 1") not in {(o.horse, o.show) for o in circuit.outings}
    assert main([*asked, "--without-wishes"]) == 0
    (circuit,) = read_circuits(out, yard)
    assert ("Bella", "Oak 1") in {(o.horse, o.show) for o in circuit.outings}
    assert "Wishes" not in capsys.readouterr().err


def test_tripkit_plan_says_which_wish_no_circuit_keeps(folder: Path, capsys) -> None:
    """Comet jumps 100 to 120 cm; a wish for a show with no class of it is told after planning."""
    desk = Desk(folder)
    desk.open()
    desk.wish(lambda w: w.take_out("Comet", DaySpan(date(2027, 3, 1), date(2027, 6, 6))))
    desk.wish(lambda w: w.hold("Comet", "Oak 1"))
    main(["plan", str(folder), "--keep", "1"])
    assert "Wish not kept: Comet at Oak 1" in capsys.readouterr().err


def test_of_two_pages_opened_at_once_one_plans(folder: Path) -> None:
    """The second waits and shows what the first found."""
    started, go_on, plans = threading.Event(), threading.Event(), []
    real = Doors().plan

    def plan(yard, **options):
        plans.append(yard)
        started.set()
        go_on.wait(PATIENCE_SECONDS)
        return real(yard, **options)

    first, second = (
        Desk(folder, doors=Doors(plan=plan), keep=2, seconds=PATIENCE_SECONDS) for _ in range(2)
    )
    for desk in (first, second):
        desk.open()
    first.refresh()
    assert started.wait(PATIENCE_SECONDS)
    second.refresh()
    assert second.planning
    assert second.notice == words.PLANNING_ELSEWHERE
    go_on.set()
    first.wait(PATIENCE_SECONDS)
    second.wait(PATIENCE_SECONDS)
    assert len(plans) == 1
    assert second.circuits == first.circuits
    assert not second.planning


def test_a_page_that_waits_plans_where_nothing_was_found(folder: Path) -> None:
    """The other one was left before it found anything; who stops waiting waits no more."""
    turn = take_turn(folder)
    assert take_turn(folder) is None
    desk, other = (Desk(folder, keep=2, seconds=PATIENCE_SECONDS) for _ in range(2))
    for page in (desk, other):
        page.open()
        page.refresh()
        assert page.planning
    other.stop()
    other.wait(PATIENCE_SECONDS)
    assert not other.planning
    turn.end()
    desk.wait(PATIENCE_SECONDS)
    desk.wait(PATIENCE_SECONDS)
    assert desk.pair
    assert take_turn(folder) is not None


def test_turning_to_the_calendars_shows_what_is_published_now(folder: Path) -> None:
    """Published by a command while the page lay open on another chapter."""
    first, second = visit(folder), visit(folder)
    make_page(second)
    second.go("calendars")
    second.go("all")
    first.publish()
    second.go("calendars")
    assert second.board.revision == 1
