"""Any name comes back from a feed as it went in, whatever is written in it."""

from __future__ import annotations

import pytest
import vobject
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.publishing.hand_season import make_season_circuit, make_season_yard, read
from tripkit.publishing import Reader, list_events, write_feed
from tripkit.publishing.words import clean_line, clean_text

# Names as a spreadsheet may hold them: any letters, with the dangerous ones more often.
PIECES = st.sampled_from(
    [
        "<script>alert(1)</script>",
        '"',
        "'",
        "\\",
        "\\n",
        "\\N",
        ";",
        ",",
        ":",
        "=",
        "^",
        "%2C",
        "BEGIN:VEVENT",
        "\r\nEND:VCALENDAR\r\n",
        "\n ",
        "\t",
        "🐴",
        "👩‍🚀",
        "שלום",
        "\u202e",
        "\u2028",
        "\x85",
        "\x00",
        "é",
    ]
)
NAMES = (
    st.lists(st.one_of(PIECES, st.text(max_size=12)), min_size=1, max_size=12)
    .map("".join)
    .map(str.strip)
    .map(lambda name: name[:200])
    .filter(lambda name: clean_line(name) and name not in ("Birch", "Cedar"))
)


@settings(max_examples=60)
@given(horse=NAMES, title=NAMES)
@example(horse="x" * 200, title="🐴" * 200)
@example(horse=r"C:\North\new;a,b", title="A\r\nBEGIN:VEVENT\r\nB")
def test_two_libraries_read_back_what_was_listed(horse: str, title: str) -> None:
    """Titles, descriptions and places are the same after writing and reading, one by one."""
    yard, circuit = make_season_yard(horse, title), make_season_circuit(horse)
    reader = Reader("horse", horse)
    listed = {
        event.uid: (event.summary, event.description, event.location)
        for event in list_events(yard, circuit, reader)
    }
    data = write_feed(yard, circuit, reader)
    with_icalendar = {
        str(event["UID"]): tuple(
            str(event.get(name, "")) for name in ("SUMMARY", "DESCRIPTION", "LOCATION")
        )
        for event in read(data).events
    }
    assert with_icalendar == listed
    with_vobject = {
        event.uid.value: (
            event.summary.value,
            event.getChildValue("description", ""),
            event.getChildValue("location", ""),
        )
        for event in vobject.readOne(data.decode()).vevent_list
    }
    assert with_vobject == listed


@settings(max_examples=60)
@given(horse=NAMES)
def test_no_name_breaks_the_form_of_the_file(horse: str) -> None:
    """Lines stay at 75 octets, components stay as many, the name stands in its title."""
    yard, circuit = make_season_yard(horse), make_season_circuit(horse)
    plain = write_feed(make_season_yard(), make_season_circuit(), Reader("yard", "Hill Farm"))
    data = write_feed(yard, circuit, Reader("yard", "Hill Farm"))
    lines = data.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    for mark in (b"BEGIN:VEVENT", b"END:VEVENT", b"BEGIN:VCALENDAR", b"END:VCALENDAR"):
        assert lines.count(mark) == plain.split(b"\r\n").count(mark)
    titles = [str(event["SUMMARY"]) for event in read(data).events]
    assert f"{clean_line(horse)}: show, Dothan 2" in titles


@pytest.mark.parametrize("line_break", ["\n", "\r\n", "\r", "\v", "\f", "\x85", "\u2028", "\u2029"])
def test_every_kind_of_line_break_becomes_a_plain_one(line_break: str) -> None:
    """The line breaks of Unicode Standard Annex 14 (BK, CR, LF, NL) are one."""
    assert clean_text(f"a{line_break}b") == "a\nb"


@given(st.text())
def test_cleaning_twice_is_cleaning_once(text: str) -> None:
    """What is clean stays as it is, and a line holds no line break."""
    assert clean_text(clean_text(text)) == clean_text(text)
    assert clean_line(clean_line(text)) == clean_line(text)
    assert len(clean_line(text).splitlines()) <= 1


@given(st.text(st.characters(exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp", "Zs", "Cn"))))
def test_letters_of_every_script_stay_as_they_are(text: str) -> None:
    """Cleaning takes nothing from a name of letters, marks, figures and signs."""
    assert clean_text(text) == text
    assert clean_line(text) == text
