"""A second visit takes the circuits of the first at once, as long as nothing changed since."""

from __future__ import annotations

import pytest

from tests.dashboard.season import make_circuit, make_season
from tests.dashboard.test_desk import make_desk
from tests.dashboard.test_page import find, walk
from tests.patience import PATIENCE_SECONDS
from tripkit.dashboard import provenance as found
from tripkit.dashboard.map_widget import RouteMap
from tripkit.dashboard.memo import Memo, write_memo
from tripkit.dashboard.page import make_page
from tripkit.dashboard.widgets import Sheet
from tripkit.files import read_circuits
from tripkit.season.wishes import Wishes
from tripkit.words import page as words


@pytest.fixture
def season():
    yard = make_season()
    circuits = (
        make_circuit(yard, "most worth", "most worth", "Coast"),
        make_circuit(yard, "least road", "least road", "Hills", 3),
        make_circuit(yard, "least cost", "least cost", "Hills", 5),
    )
    return yard, circuits


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "shows.csv").write_text("show\n")
    return tmp_path


def visit(season, folder, memo=""):
    """A page that is loaded: its desk, and how often it planned."""
    plans = []

    def plan(yard, **options):
        plans.append(yard)
        return season[1]

    desk = make_desk(season, folder, plan=plan, read_circuits=read_circuits)
    desk.open()
    desk.refresh(memo)
    desk.wait(PATIENCE_SECONDS)
    return desk, plans


def test_the_next_visit_takes_what_was_found(season, folder):
    """The same circuits are there without planning, and a sentence says since when."""
    first, plans = visit(season, folder)
    assert len(plans) == 1
    assert not first.found
    second, plans = visit(season, folder)
    assert not plans
    assert second.circuits == first.circuits
    assert second.found.startswith("These circuits were found on ")
    second.plan()
    second.wait(PATIENCE_SECONDS)
    assert not second.found


def test_a_file_that_changed_is_planned_anew(season, folder):
    """One byte more in a file of the yard, or one file more; what tripkit writes is none."""
    visit(season, folder)
    (folder / "tripkit.sqlite-wal.old").write_text("x")
    assert not visit(season, folder)[1]
    (folder / "shows.csv").write_text("show \n")
    assert len(visit(season, folder)[1]) == 1
    (folder / "horses.csv").write_text("horse\n")
    assert len(visit(season, folder)[1]) == 1
    assert not visit(season, folder)[1]


def test_another_tripkit_plans_anew(season, folder, monkeypatch):
    """A later version may know a rule more."""
    visit(season, folder)
    monkeypatch.setattr("tripkit.__version__", "99.0")
    assert len(visit(season, folder)[1]) == 1


def test_another_day_plans_anew(season, folder):
    """Entries that were open then may be closed now."""
    yard, circuits = season
    visit(season, folder)
    later = yard.season.first.replace(day=yard.season.first.day + 1)
    object.__setattr__(yard, "today", later)
    assert len(visit((yard, circuits), folder)[1]) == 1


def test_wishes_bring_back_the_circuits_planned_with_them(season, folder):
    """Whoever visits finds wishes and circuits again; before they are planned, the yard's."""
    desk, _ = visit(season, folder)
    desk.wish(lambda wishes: wishes.ask_numbers(None, 1))
    waiting, plans = visit(season, folder)
    assert not plans
    assert waiting.wishes == Wishes(shows_per_30_days=1)
    assert not waiting.planned
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    again, plans = visit(season, folder)
    assert not plans
    assert again.planned == again.wishes == Wishes(shows_per_30_days=1)
    assert again.yard.limits.shows_per_30_days == 1


def test_a_reload_keeps_both_sides_and_the_one_read_from(season, folder):
    """Also where the circuits have to be found first; a name that is none changes nothing."""
    memo = write_memo(Memo(left="least cost", right="most worth", side="right"))
    for _ in range(2):
        desk, _ = visit(season, folder, memo)
        assert (desk.left, desk.right, desk.diary_side) == ("least cost", "most worth", "right")
        assert desk.diary_circuit.name == "most worth"
    desk, _ = visit(season, folder, write_memo(Memo(left="<none>", right="least cost", side="up")))
    assert (desk.left, desk.right, desk.diary_side) == ("most worth", "least cost", "left")


def test_what_undo_brings_back_is_there_on_the_next_visit(season, folder):
    """The store holds what lies on the desk, not what was planned last."""
    desk, _ = visit(season, folder)
    desk.take_circuits(season[1][:2])
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    desk.undo()
    assert [c.name for c in visit(season, folder)[0].circuits] == ["most worth", "least road"]


def test_a_store_that_cannot_be_written_or_read_stops_nobody(season, folder):
    """The season is planned on every visit, as if nothing were kept."""
    (folder / "tripkit.sqlite").write_bytes(b"no store at all, but long enough to be looked at")
    desk, plans = visit(season, folder)
    assert desk.pair
    assert len(plans) == 1
    assert not desk.advice


def test_circuits_that_are_kept_and_do_not_read_are_found_anew(season, folder, monkeypatch):
    """What is in the store is held to the yard as any file of circuits is."""
    monkeypatch.setattr("tripkit.files.circuits.dump_circuits", lambda yard, circuits: "{")
    visit(season, folder)
    assert len(visit(season, folder)[1]) == 1


def test_a_workbook_of_its_own_is_its_files(tmp_path):
    """A yard that is one workbook has that one file; hidden files and locks are none of a yard."""
    book = tmp_path / "yard.xlsx"
    book.write_bytes(b"1")
    (tmp_path / "~$yard.xlsx").write_bytes(b"1")
    (tmp_path / ".shows.csv").write_bytes(b"1")
    assert found.list_yard_files(book) == found.list_yard_files(tmp_path) == [book]


def test_a_folder_that_is_gone_says_what_is_lost(season, folder, tmp_path_factory):
    """With circuits: take them along; without any there is nothing to take along."""
    desk, _ = visit(season, folder)
    bare = make_desk(season, folder)
    bare.open()
    folder.rename(tmp_path_factory.mktemp("moved") / "yard")
    assert desk.is_folder_gone()
    assert desk.advice == words.YARD_GONE_DO
    bare.refresh()
    assert not bare.planning
    assert bare.advice == words.YARD_GONE_EMPTY_DO


def test_what_is_published_stays_on_the_board_of_a_folder_that_is_gone(
    season, folder, tmp_path_factory
):
    """The board is not read from nothing: it would say that nothing is published."""
    desk, _ = visit(season, folder)
    desk.look_at_board()
    board = desk.board
    folder.rename(tmp_path_factory.mktemp("moved") / "yard")
    desk.look_at_board()
    assert desk.board is board
    assert desk.board_said == words.BOARD_GONE


def test_while_the_first_plan_runs_no_chapter_says_otherwise(season, folder):
    """Nothing says that nothing is planned, offers a calendar or keys to an empty map; the
    sentence about an earlier visit has a button that plans again."""
    desk = make_desk(season, folder)
    desk.open()
    page = make_page(desk)
    desk.planning = True
    for chapter in words.CHAPTERS:
        desk.go(chapter)
    told = " ".join(w.html for w in walk(page) if isinstance(w, Sheet))
    assert words.EMPTY_PLANNING in told
    assert words.EMPTY_CHAPTER not in told
    parts = [find(page, "take-horse"), find(page, "horse-address")]
    parts += [w for w in walk(page) if isinstance(w, RouteMap)]
    assert [part.layout.display for part in parts] == ["none"] * 3
    desk.planning = False
    desk.take_circuits(season[1])
    assert [part.layout.display for part in parts] == [None] * 3
    assert find(page, "status").html == ""
    desk.found = words.FOUND_BEFORE.format(when="<then>")
    assert "found on &lt;then&gt;" in find(page, "status").html
    assert 'data-do="plan"' in find(page, "status").html
