"""RFC 7986 section 5, properties of the whole calendar, and what programs read in their place.

5.1 NAME, 5.2 DESCRIPTION, 5.3 UID, 5.4 LAST-MODIFIED, 5.7 REFRESH-INTERVAL (VALUE=DURATION is
required, P1W in its example), 5.9 COLOR (a name of CSS Color Module Level 3 section 4.3).
"""

from __future__ import annotations

import webcolors

from tests.publishing.hand_season import make_season_circuit, make_season_yard, read, unfold
from tripkit.publishing import READER_KINDS, Reader, list_readers, write_feed
from tripkit.publishing.write import COLORS

YARD = make_season_yard()


def test_section_5_1_name_says_whose_feed_it_is() -> None:
    """NAME and the older X-WR-CALNAME bear the same words."""
    for reader, name in (
        (Reader("horse", "Alder"), "Hill Farm: Alder"),
        (Reader("owner", "Otto"), "Hill Farm: Otto\\, owner"),
        (Reader("yard", "Hill Farm"), "Hill Farm: whole yard"),
    ):
        lines = unfold(write_feed(YARD, make_season_circuit(), reader))
        assert lines.count(f"NAME:{name}") == 1
        assert lines.count(f"X-WR-CALNAME:{name}") == 1


def test_section_5_2_description_is_written_for_both_kinds_of_program() -> None:
    """DESCRIPTION of the calendar and X-WR-CALDESC are the same TEXT, escaped alike.

    A property with an X- name is TEXT unless it says otherwise (RFC 5545 section 3.8.8.2).
    """
    lines = unfold(write_feed(YARD, make_season_circuit(), Reader("horse", "Alder")))
    text = "Season of Hill Farm\\, Mon 1 March to Sun 6 June 2027."
    about = [line.split(":", 1) for line in lines if text in line]
    assert [name for name, _ in about] == ["DESCRIPTION", "X-WR-CALDESC"]
    assert about[0][1] == about[1][1]


def test_section_5_3_the_calendar_bears_no_uid() -> None:
    """UID of a calendar is OPTIONAL; vdirsyncer takes it for the one of each event in it."""
    for reader in list_readers(YARD):
        assert "UID" not in read(write_feed(YARD, make_season_circuit(), reader))


def test_section_5_7_refresh_interval_is_a_duration() -> None:
    """One hour, also as X-PUBLISHED-TTL."""
    lines = unfold(write_feed(YARD, make_season_circuit(), Reader("horse", "Alder")))
    assert "REFRESH-INTERVAL;VALUE=DURATION:PT1H" in lines
    assert "X-PUBLISHED-TTL:PT1H" in lines


def test_section_5_9_colors_are_names_of_css3() -> None:
    """Each kind of reader has a colour of its own that CSS3 knows."""
    assert set(COLORS) == set(READER_KINDS)
    assert len(set(COLORS.values())) == len(COLORS)
    assert set(COLORS.values()) <= set(webcolors.names("css3"))
