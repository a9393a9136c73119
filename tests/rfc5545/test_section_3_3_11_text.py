r"""RFC 5545 section 3.3.11, TEXT.

ESCAPED-CHAR = ("\\" / "\;" / "\," / "\N" / "\n"): "\\ encodes \, \N or \n encodes newline,
\; encodes ;, \, encodes ,". A colon and a double quote stand as they are.
"""

from __future__ import annotations

import pytest
import vobject

from tests.publishing.hand_season import make_season_circuit, make_season_yard, read, unfold
from tripkit.publishing import Reader, write_feed

# Show title, and how the RFC writes it; by hand.
TITLES = [
    ("Spring; Classic", r"Spring\; Classic"),
    ("Spring, Classic", r"Spring\, Classic"),
    ("Spring: Classic", "Spring: Classic"),
    ('The "Spring" Classic', 'The "Spring" Classic'),
    ("Spring\\Classic", r"Spring\\Classic"),
    (r"Spring\New", r"Spring\\New"),
    (r"Spring\new", r"Spring\\new"),
    (r"Spring\;New", r"Spring\\\;New"),
    ("<script>alert(1)</script>", "<script>alert(1)</script>"),
    ("&amp; 100%2C", r"&amp\; 100%2C"),
    ("^n ^' ^^", "^n ^' ^^"),
    ("פסח 2027", "פסח 2027"),
]


@pytest.mark.parametrize(("title", "written"), TITLES)
def test_text_is_escaped_as_the_rfc_says(title: str, written: str) -> None:
    """A show's title is escaped once, and two libraries read the title back."""
    yard = make_season_yard(title=title)
    data = write_feed(yard, make_season_circuit(), Reader("horse", "Alder"))
    assert rf"SUMMARY:Alder: show\, {written}" in unfold(data)
    expected = f"Alder: show, {title}"
    assert expected in [str(event["SUMMARY"]) for event in read(data).events]
    parsed = vobject.readOne(data.decode())
    assert expected in [event.summary.value for event in parsed.vevent_list]


def test_a_line_break_is_written_as_backslash_n() -> None:
    r"""Lines of a description are parted by \n, and read back as lines."""
    data = write_feed(make_season_yard(), make_season_circuit(), Reader("driver", "Sam"))
    written = next(line for line in unfold(data) if line.startswith("DESCRIPTION:Departs home"))
    assert written.startswith(
        r"DESCRIPTION:Departs home: Sat 13 March 07:00\nArrives Dothan 1: Sun 14 March 15:00\n"
    )
    lines = str(read(data).events[0]["DESCRIPTION"]).split("\n")
    assert lines[2:5] == ["Lorry: Big Lorry", "Drives: Sam", "Aboard: Alder, Birch"]


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r", "\x0b", "\x85", "\u2028"])
def test_a_title_stays_in_one_line(newline: str) -> None:
    """A line break in a name is a space in a title, whatever kind it is."""
    yard = make_season_yard(title=f"Dothan{newline}Spring")
    data = write_feed(yard, make_season_circuit(), Reader("horse", "Alder"))
    assert r"SUMMARY:Alder: show\, Dothan Spring" in unfold(data)


def test_a_name_cannot_turn_the_writing_round() -> None:
    """Marks that override the direction of writing (U+202E) are left out; letters stay."""
    yard = make_season_yard(title="\u202ereversed\u202c שלום")
    data = write_feed(yard, make_season_circuit(), Reader("horse", "Alder"))
    assert r"SUMMARY:Alder: show\, reversed שלום" in unfold(data)
