"""The chapters without a browser: road days, closing dates, changes, files, calendars, answers."""

from __future__ import annotations

import io
import re
import shutil
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from html import unescape

import openpyxl
import pytest

from tests.dashboard.season import make_circuit, make_season
from tests.dashboard.test_desk import FAULT, SAMPLE, make_desk
from tests.dashboard.test_page import find, press, read
from tests.files.folders import write_folder
from tests.files.test_calendars import write_calendar
from tests.patience import PATIENCE_SECONDS
from tripkit.dashboard.changes import write_wish_forms
from tripkit.dashboard.closings import name_closing
from tripkit.dashboard.desk import Desk
from tripkit.dashboard.filespart import write_files_in, write_merging
from tripkit.dashboard.filing import lay_copy
from tripkit.dashboard.horsepage import write_why_form
from tripkit.dashboard.memo import Memo, read_memo, write_memo
from tripkit.dashboard.noticeboard import Board, Posted, write_board
from tripkit.dashboard.page import make_page
from tripkit.dashboard.roaddays import find_legs, write_road_days
from tripkit.dashboard.slip import Asked, write_slip
from tripkit.dashboard.widgets import DownloadButton
from tripkit.explaining.reasons import Explanation, Point
from tripkit.season.comparison import find_closing_dates
from tripkit.season.wishes import Wishes
from tripkit.words import page as words
from tripkit.yard.answers import Bar
from tripkit.yard.circuit import Circuit, Stop
from tripkit.yard.days import add_days
from tripkit.yard.errors import BadValue, BadYard, OutOfDate
from tripkit.yard.facts import state


@pytest.fixture
def season():
    yard = make_season()
    return yard, (
        make_circuit(yard, "most worth", "most worth", "Coast"),
        make_circuit(yard, "least road", "least road", "Hills", 3),
    )


@pytest.fixture
def desk(season, tmp_path):
    desk = make_desk(season, tmp_path)
    desk.open()
    desk.take_circuits(season[1])
    return desk


def test_nothing_is_written_on_a_leaf_that_nobody_turned_to(desk):
    """Only the chapter that lies open is written; turning to another writes it then."""
    page = make_page(desk)
    assert find(page, "closings").html == ""
    desk.go("closing")
    assert "Dothan 3" in find(page, "closings").html


def test_a_rider_has_the_drives_of_the_horses_he_rides(season):
    """Wade rides Alder, Damson, Gorse, Juniper (every third); Fennel goes nowhere."""
    yard, (coast, _) = season
    legs = find_legs(yard, coast, "Wade Pemberton")
    own = {"Alder", "Damson", "Gorse", "Juniper"}
    assert legs == tuple(leg for leg in coast.legs if own & set(leg.horses))
    assert find_legs(yard, coast, "Fennel") == ()
    assert find_legs(yard, coast, "Otis Vance") == coast.legs == find_legs(yard, coast, "")
    assert yard.vehicle_by_name["Grey lorry"]
    assert find_legs(yard, coast, "Grey lorry") == ()


def test_a_rider_has_the_drives_on_which_his_horse_stays_aboard(season):
    """Out over a show where another horse is unloaded: both drives are his, of that one the first.

    Alder goes home, Dothan 1, Dothan 2; Bracken, whom Tessa rides, home and Dothan 1.
    """
    yard, (coast, _) = season
    ridden = {"Alder": ("Wade Pemberton", "Dothan 2"), "Bracken": ("Tessa Brandvold", "Dothan 1")}
    first = coast.legs[0]
    there, on = (
        replace(first, end="Dothan 1", horses=("Alder", "Bracken")),
        replace(
            first,
            start="Dothan 1",
            end="Dothan 2",
            horses=("Alder",),
            depart=first.arrive,
            arrive=first.arrive + timedelta(hours=2),
        ),
    )
    outings = tuple(
        replace(coast.outings[0], horse=horse, rider=rider, show=show)
        for horse, (rider, show) in ridden.items()
    )
    circuit = replace(coast, outings=outings, legs=(on, there))
    assert find_legs(yard, circuit, "Wade Pemberton") == (there, on)
    assert find_legs(yard, circuit, "Tessa Brandvold") == (there,)


def test_who_has_no_road_days_is_told_so(desk):
    """An empty state in words, with the name."""
    page = make_page(desk)
    desk.go("road=Fennel")
    assert "Fennel has no day on the road in this circuit." in read(find(page, "road-days"))


def test_a_mark_holds_for_the_entries_it_was_made_for(desk, season):
    """Marked, counted, and gone with the side on which these entries do not stand."""
    page = make_page(desk)
    desk.go("closing")
    yard, (coast, _) = season
    closings = find_closing_dates(yard, coast.outings)
    press(page, "closings", do="done", name=name_closing(closings[0]), value=True)
    told = read(find(page, "closings"))
    assert f"1 of {len(closings)} shows done" in told
    press(page, "closings", do="side", name="right")
    assert "0 of " in read(find(page, "closings"))
    assert name_closing(closings[0]) in desk.done


def test_wishes_are_listed_planned_with_and_taken_back(season, tmp_path):
    """The planner gets the yard as wished; the list has a button for each wish."""
    seen = []

    def plan(yard, **options):
        seen.append((yard, options))
        return season[1]

    desk = make_desk(season, tmp_path, plan=plan)
    desk.open()
    desk.take_circuits(season[1])
    page = make_page(desk)
    desk.go("change")
    outing = {"horse": "Alder", "show": "Danville 1"}
    press(page, "wish-add", do="outing", press="hold", fields=outing)
    press(page, "wish-add", do="outing", press="forbid", fields={**outing, "show": "Dothan 1"})
    away = {"who": "Blue lorry", "first": "2027-04-01", "last": "2027-04-05"}
    press(page, "wish-add", do="away", fields=away)
    press(page, "wish-add", do="numbers", fields={"budget": "12,500.50", "often": "1"})
    press(page, "wish-add", do="tour", fields={"tour": "Coast"})
    told = read(find(page, "wishes-said"))
    for said in (
        "Alder goes to Danville 1",
        "Alder does not go to Dothan 1",
        "Blue lorry is not to be had, Thu Apr 1 \N{EN DASH} Mon Apr 5",
        "at most 12,500.50 USD in all",
        "at most 1 outing of a horse in 30 days",
        "new entries to the Coast tour",
    ):
        assert said in told
    press(page, "plan-buttons", do="plan")
    desk.wait(PATIENCE_SECONDS)
    yard, options = seen[0]
    assert yard.held == (("Alder", "Danville 1"),)
    assert yard.costs.budget_cents == 1_250_050
    assert options["tour"] == "Coast"
    assert desk.planned == desk.wishes
    press(page, "wishes-said", do="remove", kind="held", number="0")
    assert desk.wishes.held == ()
    assert words.WISHES_OPEN in read(find(page, "wishes-said"))


@pytest.mark.parametrize(
    ("do", "fields"),
    [
        ("numbers", {"budget": "much", "often": ""}),
        ("numbers", {"budget": "", "often": "-1"}),
        ("away", {"who": "Alder", "first": "2027-04-05", "last": "2027-04-01"}),
        ("away", {"who": "Alder", "first": "", "last": "soon"}),
        ("outing", {"horse": "Nobody", "show": "Dothan 1"}),
        ("tour", {"tour": "Moon"}),
    ],
)
def test_a_wish_that_cannot_be_is_said_and_changes_nothing(desk, do, fields):
    """The reason stands over the list; the wishes stay as they were."""
    page = make_page(desk)
    desk.go("change")
    press(page, "wish-add", do=do, press="hold", fields=fields)
    assert desk.wishes == Wishes()
    assert "This cannot be wished:" in read(find(page, "wishes-said"))


def test_what_moved_is_listed_and_undone(season, tmp_path):
    """The second plan sends other horses; undo brings back circuits and wishes as they were."""
    yard, first = season
    second = (make_circuit(yard, "most worth", "most worth", "Coast", 2), first[1])
    desk = make_desk(season, tmp_path, plan=lambda yard, **options: second)
    desk.open()
    desk.take_circuits(first)
    page = make_page(desk)
    desk.go("change")
    desk.wish(lambda wishes: wishes.hold("Alder", "Dothan 1"))
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    assert desk.circuits == second
    told = read(find(page, "without-plan"))
    assert "For the most worth:" in told
    press(page, "plan-buttons", do="undo")
    assert desk.circuits == first
    assert desk.planned == Wishes()
    assert desk.past == ()
    assert desk.notice == words.UNDONE


def test_wishes_that_leave_no_circuit_take_none_away(season, tmp_path):
    """What stood there stays, and the reasons are told."""
    none = Circuit("most worth", "most worth", "none exists", reasons=("the lorry is away",))
    desk = make_desk(season, tmp_path, plan=lambda yard, **options: (none,))
    desk.open()
    desk.take_circuits(season[1])
    page = make_page(desk)
    desk.go("change")
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    assert desk.pair == season[1]
    assert desk.notice == words.NONE_WITH_WISHES
    assert "the lorry is away" in read(find(page, "without-plan"))


def test_a_held_outing_that_no_circuit_has_is_told_with_its_reason(season, tmp_path):
    """Fennel goes nowhere in these circuits; the problem says why it cannot."""
    desk = make_desk(
        season,
        tmp_path,
        find_bars=lambda yard: {("Fennel", "Dothan 1"): (Bar("cleared", "the vet said no"),)},
    )
    desk.open()
    desk.take_circuits(season[1])
    desk.wish(lambda wishes: wishes.hold("Fennel", "Dothan 1"))
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    (unkept,) = desk.unkept
    assert str(unkept.get("reason")) == "the vet said no"


def test_memory_of_a_page_comes_back_and_nonsense_does_not():
    """Marks and the circuits chosen as they were; text of somebody else is nothing."""
    memo = Memo(("a", "b"), "least cost", "most worth", "right")
    assert read_memo(write_memo(memo)) == memo
    for nonsense in ("", "{", "[]", "{}", '{"done": 1}'):
        assert read_memo(nonsense) == Memo()


def test_a_table_goes_into_a_copy_and_the_folder_stays(tmp_path):
    """The copy has the new table beside the old ones; a workbook stands alone."""
    folder, copies = tmp_path / "yard", tmp_path / "copies"
    folder.mkdir()
    copies.mkdir()
    (folder / "shows.csv").write_text("old")
    (folder / "horses.csv").write_text("horses")
    copy = lay_copy(folder, copies, ["../shows.csv"], [b"new"])
    assert (copy / "shows.csv").read_text() == "new"
    assert (copy / "horses.csv").read_text() == "horses"
    assert (folder / "shows.csv").read_text() == "old"
    with pytest.raises(BadValue, match="without other tables"):
        lay_copy(folder, copies, ["a.xlsx", "shows.csv"], [b"", b""])


@pytest.mark.parametrize(
    ("budget", "cents"),
    [
        ("40000", 4_000_000),
        ("40,000", 4_000_000),
        ("40000,50", 4_000_050),
        ("1,234,567.5", 123456750),
    ],
)
def test_a_budget_may_have_a_decimal_comma_as_in_the_files(season, tmp_path, budget, cents):
    """Three digits behind a comma are thousands (common practice, no source), fewer are cents."""
    desk = make_desk(season, tmp_path)
    desk.open()
    page = make_page(desk)
    desk.go("change")
    press(page, "wish-add", do="numbers", fields={"budget": budget, "often": ""})
    assert desk.wishes.budget_cents == cents


def test_a_file_that_no_yard_has_is_refused_by_name(tmp_path):
    """Nothing is copied for it, and the tables there are stand in the answer."""
    folder = tmp_path / "yard"
    folder.mkdir()
    with pytest.raises(BadValue, match=r"empty\.csv: no table .*shows\.csv"):
        lay_copy(folder, tmp_path, ["empty.csv"], [b""])


@pytest.mark.parametrize(
    ("budget", "said"),
    [
        ("-5", "'-5' must not be negative"),
        ("1e99", "'1e99' is not a number"),
        ("40.000", "'40.000' could be 40000 or 40.00"),
        ("40.000,50", "'40.000,50' is not a number"),
        ("1.005", "'1.005' is not an amount with up to two decimals"),
        ("", "first"),
    ],
)
def test_a_budget_that_is_none_is_told(season, tmp_path, budget, said):
    """Below nothing, no plain number, unclear, or empty: it is not taken, and the page says why."""
    desk = make_desk(season, tmp_path)
    desk.open()
    page = make_page(desk)
    desk.go("change")
    press(page, "wish-add", do="numbers", fields={"budget": budget, "often": ""})
    assert said in desk.wish_fault
    assert desk.wishes.budget_cents is None


def test_a_calendar_with_an_unknown_place_shuts_no_yard(tmp_path):
    """Taken, it would be a fault of the folder: it is refused, and the folder stays as it was."""
    folder = tmp_path / "yard"
    shutil.copytree(SAMPLE, folder)
    before = sorted(path.name for path in folder.iterdir())
    desk = Desk(folder)
    desk.open()
    event = "BEGIN:VEVENT\r\nUID:1\r\nDTSTART;VALUE=DATE:20270410\r\nSUMMARY:New Show\r\n"
    event += "LOCATION:Xyzzyville\r\nEND:VEVENT\r\n"
    calendar = f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//x//\r\n{event}END:VCALENDAR\r\n"
    desk.look_at_calendar("org.ics", calendar.encode())
    desk.take_calendar()
    assert "Xyzzyville" in " ".join(desk.files_wrong)
    assert desk.errors == ()
    assert sorted(path.name for path in folder.iterdir()) == before


def test_a_calendar_says_what_moves_and_what_stays_before_it_is_taken(tmp_path):
    """The page shows what the command shows; what would shut the card cannot be pressed."""
    elm = "UID:e\nSUMMARY:Elm\nLOCATION:Tallahassee\\, FL\nDTSTART;VALUE=DATE:202705"
    files = {
        "club.ics": write_calendar(f"{elm}07\nDTEND;VALUE=DATE:20270510"),
        "classes.csv": "show,class,day,height_cm\nElm,A,2027-05-07,120\nElm,B,2027-05-09,120\n",
    }
    desk = Desk(write_folder(tmp_path / "yard", files))
    desk.open()
    later = write_calendar(f"{elm}14\nDTEND;VALUE=DATE:20270517")
    desk.look_at_calendar("new.ics", later.encode())
    shown = write_merging(desk.yard, desk.merge)
    assert "class A of Elm (classes.csv row 2): Fri May 14, was Fri May 7" in shown
    assert 'data-key="do-merge-take">' in shown
    shorter = write_calendar(f"{elm}07\nDTEND;VALUE=DATE:20270508")
    desk.look_at_calendar("new.ics", shorter.encode())
    shown = write_merging(desk.yard, desk.merge)
    assert words.MERGE_REFUSED in shown
    assert "write the new day of class" in shown
    assert 'data-key="do-merge-take" disabled' in shown
    desk.take_calendar()
    assert "of class 'B' there" in unescape(write_files_in(desk))


def test_what_stays_is_told_in_the_words_of_the_page(tmp_path):
    """The yard's own days of a show, as the page writes days; a first calendar is no file yet."""
    desk = Desk(write_folder(tmp_path / "yard"))
    desk.open()
    oak = "UID:o\nSUMMARY:Oak 1\nDTSTART;VALUE=DATE:20270602"
    desk.look_at_calendar("new.ics", write_calendar(oak).encode())
    shown = unescape(write_merging(desk.yard, desk.merge))
    assert "kept, because" in shown
    assert f"<h4>{words.MERGE_JOINED}</h4>" in shown
    assert f"<h4>{words.MERGE_NEW}</h4>" not in shown
    assert not re.search(r"\d{4}-\d\d-\d\d", shown)
    assert words.MERGE_HEAD_OWN.format(name="new.ics") in shown


def test_a_workbook_takes_the_place_of_all_tables(tmp_path):
    """The settings stay, the tables go; into a yard with a workbook no single table fits."""
    folder, copies, more = (tmp_path / name for name in ("yard", "copies", "more"))
    for made in (folder, copies, more):
        made.mkdir()
    (folder / "shows.csv").write_text("old")
    (folder / "yard.toml").write_text("settings")
    copy = lay_copy(folder, copies, ["spring.xlsx"], [b"PK"])
    assert sorted(path.name for path in copy.iterdir()) == ["spring.xlsx", "yard.toml"]
    with pytest.raises(BadValue, match="bring one in its place"):
        lay_copy(copy, more, ["shows.csv"], [b""])


def test_a_file_with_faults_is_refused_with_its_rows(season, tmp_path):
    """Nothing is lost: yard and circuits stay; each fault stands with file, row and column."""
    (tmp_path / "shows.csv").write_text("x")
    faulty = [False]

    def read_yard(folder):
        if faulty[0]:
            raise BadYard((FAULT,))
        return season[0]

    desk = make_desk(season, tmp_path, read_yard=read_yard)
    desk.open()
    desk.take_circuits(season[1])
    page = make_page(desk)
    desk.go("files")
    faulty[0] = True
    press(page, "files-in", do="files", names=["shows.csv"], buffers=[b"y"])
    assert "shows.csv row 12, column first_day" in read(find(page, "files-in"))
    assert desk.pair == season[1]
    assert desk.folder == tmp_path


def test_a_brought_calendar_of_the_sample_is_taken(tmp_path):
    """A whole folder's table that reads takes the place of the old one, in a copy."""
    desk = make_desk((make_season(), ()), SAMPLE)
    desk.open()
    data = (SAMPLE / "absences.csv").read_bytes()
    desk.take_files(["absences.csv"], [data])
    assert desk.files_wrong == ()
    assert desk.folder != SAMPLE
    assert (desk.folder / "shows.csv").read_bytes() == (SAMPLE / "shows.csv").read_bytes()
    assert desk.notice == words.TAKEN.format(names="absences.csv")


def test_a_folder_that_vanishes_is_said_and_nothing_is_lost(season, tmp_path):
    """Yard and circuits stay on the page, with what to do."""
    folder = tmp_path / "yard"
    folder.mkdir()
    desk = make_desk(season, folder)
    desk.open()
    desk.take_circuits(season[1])
    page = make_page(desk)
    folder.rmdir()
    desk.refresh()
    assert desk.pair == season[1]
    told = read(find(page, "status"))
    assert "The yard folder yard is gone" in told
    assert "Put the folder back" in told


def test_publishing_and_addresses_go_through_the_doors(season, tmp_path):
    """Nothing is published before the button; then who, where and what changed stand there."""
    asked = []
    posted = (
        Posted("horse Alder", "horse", "Alder", "http://x/feeds/a.ics", "webcal://x/a", True, ""),
        Posted("owner Ike", "owner", "Ike", "", "", True, ""),
    )

    def read_board(folder, yard, circuits):
        if not asked:
            return Board()
        moment = datetime(2027, 3, 1, 15, 5, tzinfo=UTC)
        return Board("most worth", moment, 1, ("most worth",), posted, (("a", "Alder moved"),))

    desk = make_desk(
        season,
        tmp_path,
        read_board=read_board,
        publish=lambda folder, yard, circuit, upon, broken: asked.append((circuit.name, upon)),
        change_address=lambda folder, do, who: asked.append((do, who)),
    )
    desk.open()
    desk.take_circuits(season[1])
    page = make_page(desk)
    desk.go("calendars")
    assert words.NOT_PUBLISHED in read(find(page, "board"))
    press(page, "board", do="publish")
    # 15:05 UTC is 10:05 in the morning in New York before 14 March.
    told = read(find(page, "board"))
    assert "Published is \u201cmost worth\u201d, Mon Mar 1, 10:05 am (number 1)." in told
    assert "http://x/feeds/a.ics" in told
    assert words.REVOKED in told
    assert "Alder moved" in told
    press(page, "board", do="revoke", name="horse Alder")
    assert asked == [("most worth", 0), ("revoke", "horse Alder")]


def test_what_cannot_be_taken_back_asks_back(season, tmp_path):
    """Publish, make anew and revoke carry a question that names who loses what; the bell none."""
    posted = (
        Posted("horse Alder", "horse", "Alder", "http://x/feeds/a.ics", "webcal://x/a", True, ""),
        Posted("owner Ike", "owner", "Ike", "", "", True, ""),
    )
    moment = datetime(2027, 3, 1, 15, 5, tzinfo=UTC)
    board = Board("another", moment, 1, (), posted)
    desk = make_desk(season, tmp_path, read_board=lambda *_: board)
    desk.open()
    desk.take_circuits(season[1])
    page = make_page(desk)
    desk.go("calendars")
    html = unescape(find(page, "board").html)
    asks = dict(re.findall(r'data-key="([^"]*)"[^>]*data-ask="([^"]*)"', html))
    assert asks == {
        "publish-": words.PUBLISH_ASK.format(name="most worth"),
        "renew-horse Alder": words.RENEW_ASK.format(name="Alder"),
        "revoke-horse Alder": words.REVOKE_ASK.format(name="Alder"),
        "renew-owner Ike": words.RENEW_REVOKED_ASK.format(name="Ike"),
    }
    assert 'data-yes="Publish now" data-no="Leave it"' in html


def test_addresses_that_only_this_machine_reaches_say_so_and_can_be_copied(season):
    """In words, with the commands that change it, once on top and in each QR code's fold; every
    address has a link for calendar programs and a button that copies it."""
    link = "http://127.0.0.1:8866/feeds/a.ics"
    here = Posted(
        "horse Alder", "horse", "Alder", link, f"webcal{link[4:]}", True, "<svg/>", "Home yard"
    )
    there = replace(here, key="horse Bay", name="Bay", link="https://x/b.ics", only_here="")
    moment = datetime(2027, 3, 1, 15, 5, tzinfo=UTC)
    yard, (circuit, _) = season

    def write(*posted):
        return unescape(write_board(yard, Board("x", moment, 1, (), posted), circuit, ""))

    told = write(here, there)
    assert told.count('tripkit serve "Home yard" --ip 0.0.0.0') == 2
    assert told.count('tripkit serve "Home yard" --public URL') == 2
    assert told.count(words.ONLY_HERE_SHORT) == 1
    assert "Only" not in write(there)
    assert 'href="webcal://127.0.0.1:8866/feeds/a.ics"' in told
    assert f'data-copy="{link}"' in told
    assert 'data-copied="The address of Alder is copied."' in told
    assert 'role="status"' in told


def test_halts_after_a_night_name_their_day(season):
    """Left on Wed Mar 10, a night from 5 pm for 14 hours: on at 7:00 am on Thu Mar 11."""
    yard, (coast, _) = season
    leg = coast.legs[0]
    day = leg.depart.replace(hour=17, minute=0)
    stops = (
        Stop("overnight", day, 14 * 60, "Ottery, AL"),
        Stop("water", day + timedelta(hours=16), 30, ""),
    )
    leg = replace(leg, stops=stops, arrive=day + timedelta(hours=20))
    told = write_road_days(yard, replace(coast, legs=(leg,)), "")
    assert leg.depart.strftime("%a %b %d") == "Wed Mar 10"
    assert "<li>5:00 pm night, near Ottery, AL; on at Thu Mar 11, 7:00 am</li>" in told
    assert "<li>9:00 am water</li>" in told
    # It comes in at 1 pm on the next day.
    assert "1:00 pm</span><small>Thu Mar 11</small>" in told


def test_a_horse_that_goes_everywhere_is_asked_nothing(season):
    """No list without a show in it: a sentence instead."""
    yard, (coast, _) = season
    there = coast.outings[0]
    yard = replace(yard, shows=(yard.show_by_name[there.show],), aims=())
    told = write_why_form(yard, coast, there.horse, "left")
    assert "<select" not in told
    assert words.GOES_EVERYWHERE.format(horse=there.horse) in told


def test_an_answer_ends_with_its_leaf_and_with_its_circuit(season, tmp_path):
    """Another chapter, or another circuit on either side, puts the slip away."""
    said = Explanation("Why not?", "It needs rest.")
    desk = make_desk(season, tmp_path, explain_outing=lambda *_: said)
    desk.open()
    desk.take_circuits(season[1])
    changes = (lambda: desk.go("all"), lambda: desk.put("right", "most worth"))
    for change in changes:
        desk.ask_outing("left", "Alder", "Dothan 1")
        assert desk.asked is not None
        change()
        assert desk.asked is None


def test_a_publishing_that_fails_is_said(season, tmp_path):
    """Somebody else was first: the reason stands over the chapter."""

    def publish(*_):
        raise OutOfDate("somebody else published meanwhile")

    desk = make_desk(season, tmp_path, publish=publish, read_board=lambda *_: Board())
    desk.open()
    desk.take_circuits(season[1])
    page = make_page(desk)
    desk.go("calendars")
    press(page, "board", do="publish")
    assert "somebody else published meanwhile" in read(find(page, "board"))


def test_an_answer_stands_on_the_slip_with_its_source(season, tmp_path):
    """Question, answer, point and source; what cannot be answered is said as well."""

    def explain_outing(yard, circuit, horse, show):
        if show == "Dothan 2":
            raise BadValue("no such thing")
        point = Point("3 clear days, needs 9", "recovery", "yard.toml [limits]")
        return Explanation("Why not?", "It needs rest.", (point,), "breaks rules")

    desk = make_desk(season, tmp_path, explain_outing=explain_outing)
    desk.open()
    desk.take_circuits(season[1])
    page = make_page(desk)
    press(page, "slip", do="why", horse="Alder", show="Dothan 1", side="left")
    told = read(find(page, "slip"))
    for said in ("Why not?", "It needs rest.", "3 clear days, needs 9", "yard.toml [limits]"):
        assert said in told
    press(page, "slip", do="why", horse="Alder", show="Dothan 2", side="left")
    assert "no such thing" in read(find(page, "slip"))
    press(page, "slip", do="close")
    assert desk.asked is None


def test_wishes_are_about_what_lies_ahead(season):
    """A show that is over is not offered, and nobody is taken out of days that are past."""
    yard = season[0]
    over, ahead = min(s.days.last for s in yard.shows), max(s.days.last for s in yard.shows)
    forms = write_wish_forms(replace(yard, today=over), "")
    offered = re.findall('<option value="([^"]*)"', forms)
    for show in yard.shows:
        assert (show.show in offered) == (show.days.last > over)
    assert forms.count(f'min="{over}"') == forms.count(f'value="{over}"') == 2
    assert 'name="show"' not in write_wish_forms(replace(yard, today=ahead), "")


@pytest.mark.parametrize(("from_last", "wished"), [(-1, True), (0, False), (1, False)])
def test_a_show_that_is_over_cannot_be_wished_for(season, from_last, wished):
    """Until its last day a show can be held or forbidden, from that day on neither."""
    show = season[0].shows[0]
    yard = replace(season[0], today=add_days(show.days.last, from_last))
    slip = write_slip(yard, Asked(Explanation("Why?", "So.", ()), "Alder", show.show))
    assert (words.FORBID_HERE in slip) == wished


@pytest.mark.parametrize(
    ("address", "chapter", "horse"),
    [
        ("horse=Hazel", "horse", "Hazel"),
        ("horse=Nobody", "horse", "Alder"),
        ("closing", "closing", "Alder"),
        ("nowhere", "two", "Alder"),
        ("", "two", "Alder"),
    ],
)
def test_an_address_opens_what_it_names(desk, address, chapter, horse):
    """An unknown chapter or horse changes nothing."""
    desk.go(address)
    assert (desk.chapter, desk.horse) == (chapter, horse)


def test_a_workbook_goes_out_as_sheets_and_reads_back(desk):
    """Five sheets; every outing of the circuit has a row (openpyxl reads it)."""
    name, data = desk.build_workbook()
    book = openpyxl.load_workbook(io.BytesIO(data))
    assert name == "most-worth.xlsx"
    assert book.sheetnames == ["outings", "legs", "days", "costs", "owners"]
    assert book["outings"].max_row == 1 + len(desk.pair[0].outings)


def test_a_page_served_to_others_opens_no_folder_of_the_machine(desk, monkeypatch, tmp_path):
    """The field is not there, and what is sent all the same is refused."""
    page = make_page(desk)
    desk.go("files")
    assert 'data-form="folder"' in find(page, "files-in").html
    monkeypatch.setenv("TRIPKIT_LOOPBACK", "0")
    press(page, "files-in", do="folder", fields={"folder": str(tmp_path)})
    assert 'data-form="folder"' not in find(page, "files-in").html
    assert words.FOLDER_ELSEWHERE in read(find(page, "files-in"))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", words.FOLDER_WANTED),
        ("  ", words.FOLDER_WANTED),
        (" no/yard ", "'no/yard' is not there"),
    ],
)
def test_open_says_what_is_wanted_where_no_folder_is_typed(desk, typed, said):
    """A name that leads nowhere is told, and nothing typed asks for one."""
    page = make_page(desk)
    desk.go("files")
    press(page, "files-in", do="folder", fields={"folder": typed})
    assert desk.files_wrong == (said,)


def test_what_fails_on_the_page_is_told_in_the_dates_of_its_yard(desk, monkeypatch):
    """The yard stands in the US: April 7 is Apr 7, on paper, beside a button, on the slip."""
    first = date(2027, 4, 7)
    late = BadValue(
        state("values.last-day-lies-before-first", last=first, first=add_days(first, 1))
    )

    def fail(*_, **__):
        raise late

    page = make_page(desk)
    monkeypatch.setattr(desk, "take_to_print", fail)
    desk.go("files")
    press(page, "paper", do="print")
    told = "last day Apr 7 lies before first day Apr 8"
    assert desk.print_wrong == told
    desk._ask(fail)
    assert told in str(desk.asked.explanation.answer)
    button, sent = DownloadButton(fail, "text/plain", tell=desk.tell_error), []
    button.send = lambda content, buffers=None: sent.append(content)
    button._take_message(button, {"kind": "build"}, [])
    assert sent == [{"kind": "failed", "said": told}]


def test_files_too_large_for_a_message_are_refused_with_what_to_do(desk):
    """The browser sends their names and sizes only: 12 MiB are more than the 9 that are taken."""
    page = make_page(desk)
    desk.go("files")
    press(page, "files-in", do="files", names=["big.xlsx"], size=12 * 1024 * 1024)
    told = read(find(page, "files-in"))
    assert "big.xlsx: 12.0 MB are more than the 9 MB that this page takes at once." in told
    assert f"Put the files into the folder {desk.folder.name}" in told


def test_sheets_and_map_of_the_made_up_season_are_handed_out(desk):
    """A workbook (a zip), a page a drive, a picture; each is named after its circuit."""
    marks = {"build_entries": b"PK", "build_travel_sheets": b"<!", "build_map": b"<svg"}
    for build, mark in marks.items():
        name, data = getattr(desk, build)()
        assert "most-worth" in name, build
        assert data.lstrip().startswith(mark), build
