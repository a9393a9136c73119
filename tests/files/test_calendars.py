"""Shows out of calendar files.

Expectations are written by hand from RFC 5545, sections 3.6.1 (VEVENT: for whole days DTEND is
exclusive, and without DTEND the event lasts one day) and 3.8.1.6 (GEO). What stands in the way
of reading a calendar is in `test_bad_calendars`.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tests.build import tell_all
from tests.files.folders import list_faults, write_folder
from tripkit.files import read_yard
from tripkit.yard.days import DaySpan


def write_calendar(*events: str) -> str:
    """A calendar of events, each given as its content lines."""
    body = "".join(f"BEGIN:VEVENT\n{event.strip()}\nEND:VEVENT\n" for event in events)
    text = f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//x//y//EN\n{body}END:VCALENDAR\n"
    return text.replace("\n", "\r\n")


ELM = """
SUMMARY:Elm Classic
DTSTART;VALUE=DATE:20270507
DTEND;VALUE=DATE:20270510
LOCATION:Tallahassee\\, FL
"""


def test_an_event_is_a_show_besides_those_of_the_table(tmp_path: Path) -> None:
    """SUMMARY, DTSTART, exclusive DTEND and LOCATION make a show; all .ics files are read."""
    oak = ELM.replace("Elm Classic", "Oak Finals").replace("DTEND;VALUE=DATE:20270510\n", "")
    files = {"shows.ics": write_calendar(ELM), "more.ics": write_calendar(oak)}
    yard = read_yard(write_folder(tmp_path, files))
    assert [show.show for show in yard.shows] == ["Oak 1", "Oak 2", "Oak Finals", "Elm Classic"]
    elm = yard.show_by_name["Elm Classic"]
    assert elm.days == DaySpan(date(2027, 5, 7), date(2027, 5, 9))
    assert elm.place_key == "Tallahassee, FL"
    assert yard.show_by_name["Oak Finals"].days == DaySpan(date(2027, 5, 7), date(2027, 5, 7))


def test_the_table_wins_over_the_calendar(tmp_path: Path) -> None:
    """A row of shows.csv keeps what it says; the event fills in what the row leaves empty."""
    files = {
        "shows.csv": "show,name,place,first_day,last_day\nOak 1,Elm Classic,,2027-05-08,\n",
        "classes.csv": "show,class,day,height_cm\nOak 1,Final,2027-05-09,120\n",
        "shows.ics": write_calendar(ELM),
    }
    yard = read_yard(write_folder(tmp_path, files))
    (oak,) = yard.shows
    assert (oak.show, oak.name, oak.place_key) == ("Oak 1", "Elm Classic", "Tallahassee, FL")
    assert oak.days == DaySpan(date(2027, 5, 8), date(2027, 5, 9))


def test_calendars_stand_in_for_the_table(tmp_path: Path) -> None:
    """Without shows.csv the shows come from calendars; timed events end on their last day."""
    timed = """
SUMMARY:Point
DTSTART:20270507T080000Z
DTEND:20270509T170000Z
GEO:29.25;-82.5
"""
    files = {
        "shows.csv": None,
        "classes.csv": "show,class,day,height_cm\nPoint,Final,2027-05-09,120\n",
        "shows.ics": write_calendar(ELM, timed, ELM),
    }
    yard = read_yard(write_folder(tmp_path, files))
    assert [show.show for show in yard.shows] == ["Elm Classic", "Point"]
    point = yard.shows[1]
    assert point.days == DaySpan(date(2027, 5, 7), date(2027, 5, 9))
    assert point.place_key == "29.25,-82.5"


def test_signs_that_turn_the_writing_are_no_part_of_a_calendars_name(tmp_path: Path) -> None:
    """An organiser's calendar is no file of the yard: U+202E and U+2067 go as other controls do."""
    named = ELM.replace("Elm", "\u202eElm\u2067")
    yard = read_yard(write_folder(tmp_path, {"shows.ics": write_calendar(named)}))
    assert yard.shows[-1].show == "Elm Classic"


def list_shows(tmp_path: Path, *events: str) -> dict[str, DaySpan]:
    """The days of the shows that come from a calendar of these events."""
    yard = read_yard(write_folder(tmp_path, {"shows.ics": write_calendar(*events)}))
    return {show.show: show.days for show in yard.shows if not show.show.startswith("Oak")}


def make_days(first: str, last: str = "") -> DaySpan:
    """Days of 2027 as `05-07`."""
    return DaySpan(*(date.fromisoformat(f"2027-{day}") for day in (first, last or first)))


def test_a_cancelled_event_is_left_out(tmp_path: Path) -> None:
    """RFC 5545 section 3.8.1.11: CANCELLED is remarked; METHOD:CANCEL (RFC 5546 3.2.5) as well."""
    files = {
        "shows.ics": write_calendar(ELM + "STATUS:CANCELLED", ELM.replace("Elm", "Fir")),
        "undo.ics": write_calendar(ELM.replace("Elm", "Ash")).replace(
            "VERSION:2.0", "METHOD:CANCEL"
        ),
    }
    yard = read_yard(write_folder(tmp_path, files))
    assert [show.show for show in yard.shows] == ["Oak 1", "Oak 2", "Fir Classic"]
    assert tell_all(yard.remarks)[:2] == (
        "shows.ics event 1: is cancelled and was left out",
        "undo.ics event 1: is cancelled and was left out",
    )


def test_an_event_that_comes_again_is_a_show_each_time(tmp_path: Path) -> None:
    """RRULE by weeks from 7 May: 7, 14, 21 May; EXDATE takes 14 May out, RDATE adds 1 June.

    RFC 5545 sections 3.8.5.1 to 3.8.5.3. Each lasts three days like the first.
    """
    rules = "RRULE:FREQ=WEEKLY;COUNT=3\nEXDATE;VALUE=DATE:20270514\nRDATE;VALUE=DATE:20270601"
    assert list_shows(tmp_path, ELM + rules) == {
        "Elm Classic 2027-05-07": make_days("05-07", "05-09"),
        "Elm Classic 2027-05-21": make_days("05-21", "05-23"),
        "Elm Classic 2027-06-01": make_days("06-01", "06-03"),
    }
    yard = read_yard(tmp_path)
    assert "shows.ics event 1: comes again; 3 times in or near the season" in tell_all(yard.remarks)


def test_one_time_in_the_season_keeps_the_plain_name(tmp_path: Path) -> None:
    """A show of every year since 2019 on the second Saturday of May is 8 May in 2027.

    1 May 2027 is a Saturday (1 January 2027 is a Friday, by the perpetual calendar).
    """
    event = """
UID:yearly
SUMMARY:Derby
DTSTART;VALUE=DATE:20190511
RRULE:FREQ=YEARLY;BYMONTH=5;BYDAY=2SA;UNTIL=99991231T235959Z
LOCATION:Tallahassee\\, FL
"""
    assert list_shows(tmp_path, event) == {"Derby": make_days("05-08")}


def test_a_time_that_moves_keeps_its_name(tmp_path: Path) -> None:
    """RECURRENCE-ID (RFC 5545 section 3.8.4.4): 14 May is held on 15 May, 21 May is cancelled.

    The times are those of New York: 22:00 UTC is 18:00 there, and 02:00 UTC the evening before.
    """
    head = "UID:league\nSUMMARY:League\nLOCATION:Tallahassee\\, FL\n"
    zone = "DTSTART;TZID=Eastern Standard Time:"
    events = (
        f"{head}{zone}20270507T180000\nRRULE:FREQ=WEEKLY;UNTIL=20270528T220000Z",
        f"{head}RECURRENCE-ID:20270514T220000Z\n{zone}20270515T180000",
        f"{head}RECURRENCE-ID;TZID=Eastern Standard Time:20270521T180000\n{zone}20270521T180000\n"
        "STATUS:CANCELLED",
    )
    assert list_shows(tmp_path, *events) == {
        "League 2027-05-07": make_days("05-07"),
        "League 2027-05-14": make_days("05-15"),
        "League 2027-05-28": make_days("05-28"),
    }


def test_one_name_on_several_days_is_several_shows(tmp_path: Path) -> None:
    """Organisers write a league as events of one name; each is a show named by its day."""
    events = [
        f"UID:{n}\nSUMMARY:League\nDTSTART;VALUE=DATE:202705{day}\nLOCATION:Tallahassee\\, FL"
        for n, day in enumerate(("07", "14"))
    ]
    assert list_shows(tmp_path, *events) == {
        "League 2027-05-07": make_days("05-07"),
        "League 2027-05-14": make_days("05-14"),
    }


def test_of_one_event_in_two_files_the_newer_holds(tmp_path: Path) -> None:
    """RFC 5546 section 2.1.5: the higher SEQUENCE wins, whichever file is read first."""
    files = {
        "a.ics": write_calendar(ELM.replace("0507", "0506") + "UID:e\nSEQUENCE:2"),
        "b.ics": write_calendar(ELM + "UID:e\nSEQUENCE:1"),
    }
    yard = read_yard(write_folder(tmp_path, files))
    assert yard.show_by_name["Elm Classic"].days == make_days("05-06", "05-09")
    assert "b.ics event 1: there is a newer state of it, which is read instead" in tell_all(
        yard.remarks
    )


def test_shows_far_from_the_season_are_left_out(tmp_path: Path) -> None:
    """The season ends on 6 June: 7 July is the last day that is read, 31 days after it."""
    late = "\nLOCATION:Tallahassee\\, FL"
    yard = read_yard(
        write_folder(
            tmp_path,
            {
                "shows.ics": write_calendar(
                    f"SUMMARY:In\nDTSTART;VALUE=DATE:20270707{late}",
                    f"SUMMARY:Out\nDTSTART;VALUE=DATE:20270708{late}",
                )
            },
        )
    )
    assert [show.show for show in yard.shows] == ["Oak 1", "Oak 2", "In"]
    told = "shows.ics: 1 event was left out, more than a month before or after the season"
    assert told in tell_all(yard.remarks)


@pytest.mark.parametrize(
    ("lines", "first", "last"),
    [
        ("DTSTART;VALUE=DATE:20270507\nDTEND;VALUE=DATE:20270507", "05-07", "05-07"),
        ("DTSTART;VALUE=DATE:20270507\nDURATION:P3D", "05-07", "05-09"),
        ("DTSTART:20270507T080000\nDURATION:PT34H", "05-07", "05-08"),
        ("DTSTART:20270507T080000", "05-07", "05-07"),
        ("DTSTART:20270507T080000\nDTEND:20270509T000000", "05-07", "05-08"),
        ("DTSTART:20270507\nDTEND:20270509", "05-07", "05-08"),
        ("dtstart;value=date:20270507", "05-07", "05-07"),
        # 03:30 UTC on 8 May is 23:30 EDT on 7 May, 22:30 on 9 May likewise.
        ("DTSTART:20270508T033000Z\nDTEND:20270510T023000Z", "05-07", "05-09"),
        ("DTSTART;TZID=Nowhere/Odd:20270507T233000", "05-07", "05-07"),
        ('DTSTART;TZID="(UTC-05:00) Eastern: here":20270507T233000', "05-07", "05-07"),
        ("DTSTART;TZID=/x.org/1/Australia/Sydney:20270507T233000", "05-07", "05-07"),
    ],
)
def test_days_of_all_that_dates_may_be(tmp_path: Path, lines: str, first: str, last: str) -> None:
    """RFC 5545 sections 3.6.1 and 3.3.5; a day on which an event ends at midnight is not its own.

    A time in UTC counts in the calendar's zone, any other on the clocks it is written for.
    """
    calendar = write_calendar(f"SUMMARY:Elm\n{lines}\nLOCATION:Tallahassee\\, FL")
    calendar = calendar.replace("VERSION:2.0", "X-WR-TIMEZONE:America/New_York")
    yard = read_yard(write_folder(tmp_path, {"shows.ics": calendar}))
    assert yard.show_by_name["Elm"].days == make_days(first, last)


def test_bytes_of_every_make(tmp_path: Path) -> None:
    """UTF-16, Latin-1, old line ends, folds within a letter, two calendars in a file."""
    text = write_calendar(ELM.replace("Elm", "\u00c9lan"))
    folded = text.encode().replace(b"\xc3\x89", b"\xc3\r\n \x89")
    for data in (
        text.encode("utf-16"),
        text.encode("utf-16-be"),
        b"\xef\xbb\xbf" + text.encode(),
        text.encode("latin-1"),
        text.replace("\r\n", "\n").encode(),
        text.replace("\r\n", "\r").encode(),
        text.replace("VEVENT\r\n", "VEVENT\n").encode(),
        folded,
        write_calendar().encode() + text.encode(),
    ):
        yard = read_yard(write_folder(tmp_path, {"shows.ics": data}))
        assert yard.shows[-1].show == "\u00c9lan Classic", data[:40]
    (tmp_path / "shows.ics").write_bytes(text.encode("latin-1"))
    told = "shows.ics: is not UTF-8 everywhere; 1 line was read as Windows-1252"
    assert told in tell_all(read_yard(tmp_path).remarks)


def test_says_which_event_is_wrong(tmp_path: Path) -> None:
    """Faults name the file, the event's number and the property."""
    files = {
        "shows.ics": write_calendar(
            ELM.replace("SUMMARY:Elm Classic", ""),
            ELM.replace("20270507", "20279907"),
            ELM.replace("DTSTART;VALUE=DATE:20270507", ""),
            ELM.replace("Tallahassee", "Tallahasee"),
            ELM,
            ELM.replace("20270510", "20270511"),
        )
    }
    messages = list_faults(tmp_path, files)
    assert messages[0] == "shows.ics event 1 column SUMMARY: is missing"
    assert messages[1].startswith("shows.ics event 2 column DTSTART: '20279907' is no date or")
    assert messages[2] == "shows.ics event 3 column DTSTART: is missing"
    assert messages[3].startswith(
        "shows.ics event 4 column place: 'Tallahasee, FL' is no town in the gazetteer"
    )
    assert messages[4:] == [
        "shows.ics event 5 column show: 'Elm Classic' stands already in shows.ics event 4",
        "shows.ics event 6 column show: 'Elm Classic' stands already in shows.ics event 4",
    ]


def test_a_calendar_without_shows_or_with_other_days_is_told(tmp_path: Path) -> None:
    """What shows.csv says wins, and whoever reads the calendar hears of it."""
    head = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n"
    event = (
        "BEGIN:VEVENT\r\nUID:1@x\r\nSUMMARY:Oak 1\r\nDTSTART;VALUE=DATE:20270408\r\nEND:VEVENT\r\n"
    )
    files = {"a.ics": f"{head}END:VCALENDAR\r\n", "b.ics": f"{head}{event}END:VCALENDAR\r\n"}
    yard = read_yard(write_folder(tmp_path, files))
    assert yard.show_by_name["Oak 1"].days.first == date(2027, 4, 7)
    assert tell_all(yard.remarks) == (
        "a.ics: holds no event (VEVENT), so no show is taken from it",
        "b.ics event 1: 'Oak 1' has first_day 2027-04-08, last_day 2027-04-08; what shows.csv "
        "row 2 says holds",
    )
