"""RFC 5545 section 3.1, content lines.

"Lines of text SHOULD NOT be longer than 75 octets, excluding the line break. [...] a long line
can be split between any two characters by inserting a CRLF immediately followed by a single
linear white-space character"; section 3.1.4: the default charset is UTF-8.
"""

from __future__ import annotations

import pytest

from tests.publishing.hand_season import make_season_circuit, make_season_yard, read, unfold
from tripkit.publishing import Reader, write_feed

# Octets of one letter in UTF-8 (RFC 3629 section 3): 1, 2, 3, 4.
LONG_NAMES = {1: "A" * 200, 2: "é" * 200, 3: "馬" * 200, 4: "🐴" * 200}


@pytest.fixture(params=sorted(LONG_NAMES), ids="octets-{}".format)
def long_feed(request: pytest.FixtureRequest) -> tuple[str, bytes]:
    """A name of 200 letters and the feed of the horse that bears it."""
    name = LONG_NAMES[request.param]
    data = write_feed(make_season_yard(name), make_season_circuit(name), Reader("horse", name))
    return name, data


def test_every_line_ends_with_crlf(long_feed: tuple[str, bytes]) -> None:
    """A CR and an LF stand only together, and the file ends with them."""
    _, data = long_feed
    assert data.endswith(b"END:VCALENDAR\r\n")
    without = data.replace(b"\r\n", b"")
    assert b"\r" not in without
    assert b"\n" not in without


def test_no_line_is_longer_than_75_octets(long_feed: tuple[str, bytes]) -> None:
    """Octets count, not letters, and the line break does not."""
    _, data = long_feed
    assert max(len(line) for line in data.split(b"\r\n")) <= 75


def test_a_letter_is_never_split(long_feed: tuple[str, bytes]) -> None:
    """A line is split between characters: each physical line is UTF-8 by itself."""
    name, data = long_feed
    lines = data.split(b"\r\n")
    assert "\r\n".join(line.decode("utf-8") for line in lines).encode() == data
    assert len([line for line in lines if line.startswith(b" ")]) > len(name) // 75


def test_unfolding_gives_the_text_back(long_feed: tuple[str, bytes]) -> None:
    """Removing each CRLF with the one space after it restores the whole name."""
    name, data = long_feed
    assert f"SUMMARY:{name}: school" in unfold(data)


def test_no_line_is_empty(long_feed: tuple[str, bytes]) -> None:
    """A content line has a name: between the line breaks there is always something."""
    _, data = long_feed
    assert all(data.split(b"\r\n")[:-1])


def test_no_control_character_is_written() -> None:
    """CONTROL is %x00-08, %x0A-1F and %x7F: none of them may stand in a value."""
    name = "A\x00l\x08d\x0be\x1fr\x7f"
    data = write_feed(make_season_yard(name), make_season_circuit(name), Reader("horse", name))
    forbidden = {*range(0x09), *range(0x0A, 0x20), 0x7F}
    assert not forbidden & set(data.replace(b"\r\n", b""))
    # The vertical tab breaks a line, so it parts two words; the others vanish.
    assert str(read(data).events[0]["SUMMARY"]) == "Ald er: school"
