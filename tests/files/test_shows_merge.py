"""An organiser's changed calendar: what it changes is shown first, then taken.

What counts as the newer state is RFC 5546 section 2.1.5; the rest is this project's choice.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tests.build import tell_all
from tests.files.folders import write_folder
from tests.files.test_calendars import write_calendar
from tripkit.commands.line import main
from tripkit.files import read_yard
from tripkit.files.shows_merge import MergedShow, preview_merge, take_merge
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadYard, CannotWrite

PLACE = "Tallahassee, FL"


def make_event(uid: str, name: str, first: str, more: str = "") -> str:
    """An event of two whole days of May 2027."""
    day = int(first)
    return (
        f"UID:{uid}\nSUMMARY:{name}\nDTSTART;VALUE=DATE:202705{day:02}\n"
        f"DTEND;VALUE=DATE:202705{day + 2:02}\nLOCATION:Tallahassee\\, FL\n{more}"
    )


def make_show(name: str, first: int) -> MergedShow:
    """The show of such an event."""
    return MergedShow(name, date(2027, 5, first), date(2027, 5, first + 1), PLACE)


ELM, FIR, ASH = (
    make_event("e", "Elm", "7"),
    make_event("f", "Fir", "14"),
    make_event("a", "Ash", "21"),
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_folder(tmp_path / "yard", {"club.ics": write_calendar(ELM, FIR)})


def pack(*events: str) -> bytes:
    """A calendar file's bytes."""
    return write_calendar(*events).encode()


def test_what_moved_is_new_or_cancelled_is_told_before_it_is_taken(folder: Path) -> None:
    """Elm moves to 8 May, Fir is cancelled, Ash is new; the folder changes only when taken."""
    before = (folder / "club.ics").read_bytes()
    data = pack(make_event("e", "Elm", "8"), FIR + "STATUS:CANCELLED", ASH)
    preview = preview_merge(folder, data, "download.ics")
    assert (preview.file, preview.is_new) == ("club.ics", False)
    assert preview.moved == ((make_show("Elm", 7), make_show("Elm", 8)),)
    assert preview.cancelled == (make_show("Fir", 14),)
    assert preview.added == (make_show("Ash", 21),)
    assert (preview.unchanged, preview.missing, preview.conflicts) == ((), (), ())
    assert (folder / "club.ics").read_bytes() == before
    assert take_merge(folder, preview) == folder / "club.ics"
    yard = read_yard(folder)
    assert [s.show for s in yard.shows] == ["Oak 1", "Oak 2", "Elm", "Ash"]
    assert yard.show_by_name["Elm"].days == DaySpan(date(2027, 5, 8), date(2027, 5, 9))
    assert "club.ics event 2: is cancelled and was left out" in tell_all(yard.remarks)
    again = preview_merge(folder, data, "download.ics")
    assert not again.changes_shows
    assert again.content == (folder / "club.ics").read_bytes()


@pytest.mark.parametrize(
    ("kept", "brought"),
    [
        ("SEQUENCE:2", "SEQUENCE:1"),
        (
            "SEQUENCE:1\nLAST-MODIFIED:20270102T000000Z",
            "SEQUENCE:1\nLAST-MODIFIED:20270101T000000Z",
        ),
        ("STATUS:CANCELLED\nSEQUENCE:2", "SEQUENCE:1"),
    ],
)
def test_an_older_state_does_not_come_back(tmp_path: Path, kept: str, brought: str) -> None:
    """A lower SEQUENCE, or an earlier LAST-MODIFIED, leaves the folder as it is, and is told."""
    folder = write_folder(
        tmp_path / "yard", {"club.ics": write_calendar(make_event("e", "Elm", "7", kept), FIR)}
    )
    preview = preview_merge(folder, pack(make_event("e", "Elm", "9", brought)))
    assert not preview.changes_shows
    assert preview.older == ("Elm (shows.ics event 1)",)


def test_what_left_the_file_stays_unless_it_is_dropped(folder: Path) -> None:
    """An update may hold one event only, so that nothing is taken away without being asked."""
    preview = preview_merge(folder, pack(ELM))
    assert preview.missing == (make_show("Fir", 14),)
    assert not preview.changes_shows
    dropped = preview_merge(folder, pack(ELM), drop_missing=True)
    assert (dropped.cancelled, dropped.missing) == ((make_show("Fir", 14),), ())
    take_merge(folder, dropped)
    assert [s.show for s in read_yard(folder).shows] == ["Oak 1", "Oak 2", "Elm"]


def test_programs_that_make_new_uids_double_nothing(folder: Path) -> None:
    """The one event of the same name is the same event, with a new uid or with none."""
    for uid in ("UID:new", "X-NONE:1"):
        data = pack(make_event("e", "Elm", "8").replace("UID:e", uid), FIR)
        preview = preview_merge(folder, data)
        assert preview.moved == ((make_show("Elm", 7), make_show("Elm", 8)),)
        assert preview.added == preview.cancelled == ()


def test_a_calendar_of_another_organiser_gets_a_file_of_its_own(folder: Path) -> None:
    """No event is shared: the name is the file's, with a number where it is taken."""
    preview = preview_merge(folder, pack(ASH), "../club.ics")
    assert (preview.file, preview.is_new) == ("club-2.ics", True)
    take_merge(folder, preview)
    assert {s.show for s in read_yard(folder).shows} == {"Oak 1", "Oak 2", "Elm", "Fir", "Ash"}


def test_one_time_of_several_moves(folder: Path) -> None:
    """A league on 4, 11, 18 May; 11 May is moved to 12 May by an update that holds just that."""
    league = "UID:l\nSUMMARY:League\nLOCATION:Tallahassee\\, FL\nDTSTART;VALUE=DATE:202705"
    take_merge(
        folder, preview_merge(folder, pack(f"{league}04\nRRULE:FREQ=WEEKLY;COUNT=3"), "l.ics")
    )
    preview = preview_merge(folder, pack(f"{league}12\nRECURRENCE-ID;VALUE=DATE:20270511"))
    name, day = "League 2027-05-11", date(2027, 5, 11)
    moved = date(2027, 5, 12)
    assert preview.moved == (
        (MergedShow(name, day, day, PLACE), MergedShow(name, moved, moved, PLACE)),
    )
    take_merge(folder, preview)
    assert read_yard(folder).show_by_name[name].days == DaySpan(moved, moved)


def test_a_bare_cancellation_is_enough(folder: Path) -> None:
    """RFC 5546 section 3.2.5: METHOD:CANCEL needs a UID, neither DTSTART nor SUMMARY."""
    text = write_calendar("UID:f\nSEQUENCE:1").replace("VERSION:2.0", "METHOD:CANCEL")
    preview = preview_merge(folder, text.encode(), "undo.ics")
    assert (preview.file, preview.unreadable) == ("club.ics", ())
    assert preview.cancelled == (make_show("Fir", 14),)
    assert preview.missing == (make_show("Elm", 7),)
    take_merge(folder, preview)
    assert [s.show for s in read_yard(folder).shows] == ["Oak 1", "Oak 2", "Elm"]


def test_one_name_in_common_makes_no_common_file(folder: Path) -> None:
    """Of three events one is called Elm, as one of the other organiser's: a file of its own."""
    others = (make_event(f"o{n}", name, "20") for n, name in enumerate(("Elm", "Bay", "Yew")))
    preview = preview_merge(folder, pack(*others), "other.ics")
    assert (preview.file, preview.missing) == ("other.ics", ())
    (conflict,) = preview.conflicts
    assert str(conflict).startswith(
        "one name stands for several shows: Elm, 2027-05-07 to 2027-05-08"
    )


def test_what_a_change_leaves_is_told(tmp_path: Path) -> None:
    """The table wins over a calendar; rows of a cancelled show stay, and are not read."""
    files = {
        "shows.csv": "show,place,first_day,last_day\nElm,,2027-05-07,2027-05-08\n",
        "classes.csv": "show,class,day,height_cm\nFir,A,2027-05-14,120\nFir,B,2027-05-15,120\n",
        "entries.csv": "horse,show,class,status\nBella,Fir,A,paid\n",
        "aims.csv": "horse,show\nBella,Elm\n",
        "club.ics": write_calendar(ELM, FIR),
    }
    folder = write_folder(tmp_path / "yard", files)
    data = pack(make_event("e", "Elm", "8"), FIR + "STATUS:CANCELLED")
    preview = preview_merge(folder, data)
    assert tuple(map(str, preview.kept)) == (
        "Elm, 2027-05-07 to 2027-05-08: kept, because shows.csv row 2 says so; empty first_day and "
        "last_day there to take the organiser's days",
        "classes.csv row 2 and 1 more: kept, and not read while Fir is cancelled",
        "entries.csv row 2: kept, and not read while Fir is cancelled",
    )
    assert (preview.conflicts, preview.faults) == ((), ())
    before = (folder / "classes.csv").read_bytes()
    take_merge(folder, preview)
    assert (folder / "classes.csv").read_bytes() == before
    yard = read_yard(folder)
    # Whoever stands there is still somewhere, and nobody can be entered.
    assert yard.show_by_name["Fir"].classes == ()
    assert yard.bound_entries == {}
    assert (
        "club.ics event 2: 'Fir' is cancelled, so that its rows are not read: classes (row 2 and "
        "1 more), entries (row 2)"
    ) in tell_all(yard.remarks)


def test_a_show_of_the_yards_own_is_not_new_where_a_calendar_brings_it(tmp_path: Path) -> None:
    """By the show's id or its full name; it can be taken, so that what moves later moves here."""
    shows = "show,name,place,first_day,last_day\nElm,,,2027-05-07,\nF1,Fir,,,\n"
    folder = write_folder(tmp_path / "yard", {"shows.csv": shows, "classes.csv": None})
    preview = preview_merge(folder, pack(make_event("e", "Elm", "8"), FIR, ASH))
    assert preview.added == (make_show("Ash", 21),)
    assert preview.joined == (make_show("Elm", 8), make_show("Fir", 14))
    assert [fact.get("show") for fact in preview.kept] == ["Elm"]
    assert preview.changes_shows
    again = preview_merge(folder, pack(make_event("e", "Elm", "8")))
    assert (again.added, again.changes_shows) == ((), True)


def test_a_show_that_is_held_after_all_is_read_again(tmp_path: Path) -> None:
    """Nothing of the yard's own was lost while it was cancelled."""
    classes = "show,class,day,height_cm\nFir,A,2027-05-14,120\n"
    folder = write_folder(
        tmp_path / "yard",
        {"shows.csv": None, "classes.csv": classes, "club.ics": write_calendar(ELM, FIR)},
    )
    for change in ("STATUS:CANCELLED\nSEQUENCE:1", "SEQUENCE:2"):
        preview = preview_merge(folder, pack(ELM, f"{FIR}{change}"))
        take_merge(folder, preview)
    assert [c.name for c in read_yard(folder).show_by_name["Fir"].classes] == ["A"]


def test_what_cannot_be_read_is_left_out_and_told(folder: Path) -> None:
    """The rest of the file is taken, and the folder stays one that can be read."""
    wrong = make_event("x", "Bad", "9").replace("202705", "209905", 1).replace("2099", "20279")
    endless = make_event("y", "Never", "9", "RRULE:FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30")
    preview = preview_merge(folder, pack(wrong, endless, ASH), "new.ics")
    assert [error.file for error in preview.unreadable] == ["new.ics event 1", "new.ics event 2"]
    assert preview.added == (make_show("Ash", 21),)
    take_merge(folder, preview)
    assert "Ash" in read_yard(folder).show_by_name


def test_a_file_that_changed_meanwhile_is_not_overwritten(folder: Path) -> None:
    """Between looking and taking somebody else took his own: nothing is written."""
    preview = preview_merge(folder, pack(ASH, ELM))
    (folder / "club.ics").write_text(write_calendar(FIR), newline="")
    with pytest.raises(CannotWrite, match="changed meanwhile"):
        take_merge(folder, preview)
    assert (folder / "club.ics").read_text(encoding="utf-8").count("BEGIN:VEVENT") == 1


def test_no_calendar_is_no_merge(folder: Path) -> None:
    """Garbage, and a folder whose own calendar is broken, are told as faults."""
    with pytest.raises(BadYard, match="is no calendar file"):
        preview_merge(folder, b"garbage")
    (folder / "club.ics").write_text("garbage")
    with pytest.raises(BadYard, match=r"club\.ics: is no calendar file"):
        preview_merge(folder, pack(ELM))


def test_two_thousand_events(folder: Path) -> None:
    """A whole federation's calendar: 2 000 events over May, of one name per event."""
    data = pack(*(make_event(f"u{n}", f"S{n}", str(n % 28 + 1)) for n in range(2000)))
    assert len(preview_merge(folder, data).added) == 2000


def test_the_command_shows_then_takes(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without --take nothing is written; a file that is not there is bad input."""
    file = tmp_path / "new.ics"
    file.write_bytes(pack(make_event("e", "Elm", "8"), FIR))
    assert main(["import", str(folder), str(file)]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "Changed:",
        "  Elm, 2027-05-08 to 2027-05-09, Tallahassee, FL",
        "    was Elm, 2027-05-07 to 2027-05-08, Tallahassee, FL",
        "1 show unchanged.",
        "Nothing is written yet; with --take it goes into club.ics.",
    ]
    assert read_yard(folder).show_by_name["Elm"].days.first == date(2027, 5, 7)
    assert main(["import", str(folder), str(file), "--take"]) == 0
    assert capsys.readouterr().out.splitlines()[-1] == f"Taken into {folder / 'club.ics'}."
    assert read_yard(folder).show_by_name["Elm"].days.first == date(2027, 5, 8)
    assert main(["import", str(folder), str(tmp_path / "none.ics")]) == 2
    assert capsys.readouterr().err == "none.ics: is not a file\n"
