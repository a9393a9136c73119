"""Shows out of calendar files.

Expectations are written by hand from RFC 5545, sections 3.6.1 (VEVENT: for whole days DTEND is
exclusive, and without DTEND the event lasts one day) and 3.8.1.6 (GEO).
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

from tests.files.folders import list_faults, write_folder
from tripkit.days import DaySpan
from tripkit.files import read_yard


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


def test_cancelled_and_repeating_events_are_remarked(tmp_path: Path) -> None:
    """A cancelled event is left out, of a repeating one the first time is read."""
    files = {
        "shows.ics": write_calendar(
            ELM + "STATUS:CANCELLED", ELM.replace("Elm", "Fir") + "RRULE:FREQ=WEEKLY;COUNT=3"
        )
    }
    yard = read_yard(write_folder(tmp_path, files))
    assert [show.show for show in yard.shows] == ["Oak 1", "Oak 2", "Fir Classic"]
    assert yard.remarks[:2] == (
        "shows.ics event 1: is cancelled and was left out",
        "shows.ics event 2: repeats; only the first time was read",
    )


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
    assert messages[1].startswith("shows.ics event 2 column DTSTART: cannot be read (")
    assert messages[2].startswith("shows.ics event 3: 'Elm Classic' has no readable DTSTART")
    assert messages[3].startswith(
        "shows.ics event 4 column place: 'Tallahasee, FL' is no town in the gazetteer"
    )
    assert messages[4:] == [
        "shows.ics event 5 column show: 'Elm Classic' stands already in shows.ics event 4",
        "shows.ics event 6 column show: 'Elm Classic' stands already in shows.ics event 4",
    ]


def test_a_file_that_is_no_calendar(tmp_path: Path) -> None:
    """Garbage and Latin-1 in a calendar file are faults of the file, not of the show table."""
    (message,) = list_faults(tmp_path, {"shows.csv": None, "x.ics": "garbage"})
    assert message.startswith("x.ics: is no readable calendar file (")
    (message,) = list_faults(tmp_path, {"x.ics": b"BEGIN:VCALENDAR\r\nX:\xe9\r\nEND:VCALENDAR"})
    assert message.startswith("x.ics: is no readable calendar file (")
    assert list_faults(tmp_path, {"x.ics": ""}) == [
        "x.ics: is no calendar file (it holds no VCALENDAR)"
    ]
