"""A cell of a CSV file is changed and nothing else, whatever the file looks like.

The judge is Python's csv module, which the reader of yards uses too; what a record is comes from
RFC 4180.
"""

from __future__ import annotations

import csv
import io

from hypothesis import given
from hypothesis import strategies as st

from tripkit.files.cells import edit_csv
from tripkit.files.faults import Faults

CELL = st.text(st.sampled_from('ab ,;"\n\r\t=é'), max_size=5)
PLAIN = st.text(st.sampled_from("ab é."), max_size=4)


@st.composite
def write_file(draw: st.DrawFn) -> tuple[str, str]:
    """A CSV file as some program writes it, with its separator; cells quoted or not."""
    sign, end = draw(st.sampled_from(",;")), draw(st.sampled_from(("\n", "\r\n", "\r")))
    lines = [sign.join(("one", '"two"', " Three "))]
    for _ in range(draw(st.integers(1, 5))):
        cells = []
        for _ in range(draw(st.integers(0, 4))):
            text = draw(CELL)
            plain = draw(PLAIN)
            cells.append('"' + text.replace('"', '""') + '"' if draw(st.booleans()) else plain)
        lines.append(sign.join(cells))
    return end.join(lines) + draw(st.sampled_from(("", end))), sign


def parse(text: str, sign: str) -> list[list[str]]:
    """The records of a file."""
    return list(csv.reader(io.StringIO(text, newline=""), delimiter=sign, strict=True))


@given(write_file(), st.booleans())
def test_no_change_changes_no_byte(written: tuple[str, str], mark: bool) -> None:
    """With and without a byte order mark."""
    data = (("\ufeff" if mark else "") + written[0]).encode()
    faults = Faults()
    assert edit_csv("a.csv", data, {}, faults) == data
    assert not faults.has_any()


@given(write_file(), st.integers(2, 6), st.sampled_from(("one", "two", "three")), CELL)
def test_one_cell_changes_and_no_other(
    written: tuple[str, str], row: int, column: str, new: str
) -> None:
    """Also where the record is shorter, or is not there yet; blanks around the old text stay."""
    text, sign = written
    faults, new = Faults(), f"{new}x"
    after = edit_csv("a.csv", text.encode(), {(row, column): new.strip()}, faults)
    assert not faults.has_any()
    before, now = parse(text, sign), parse(after.decode(), sign)
    at = ("one", "two", "three").index(column)
    assert now[row - 1][at].strip() == new.strip()
    for number in range(max(len(before), len(now))):
        old = before[number] if number < len(before) else []
        cells = now[number]
        if number == row - 1:
            cells = [c for n, c in enumerate(cells) if n != at]
            old = [c for n, c in enumerate(old) if n != at]
        assert [c for c in cells if c] == [c for c in old if c]


def test_a_new_column_stands_at_the_end_of_the_header() -> None:
    """A blank heading at the end is taken; other records stay as short as they were."""
    for head in ("show,place", "show,place,"):
        data = f"{head}\nElm,Ocala\nOak,Ocala\n".encode()
        written = edit_csv("a.csv", data, {(3, "name"): "Old Oak"}, Faults())
        assert written.decode() == "show,place,name\nElm,Ocala\nOak,Ocala,Old Oak\n"


def test_a_file_that_is_not_there_yet_is_begun() -> None:
    """Header and rows, each with a line end."""
    edits = {(2, "show"): "Elm", (2, "name"): "Elm, old"}
    assert edit_csv("a.csv", b"", edits, Faults()) == b'show,name\nElm,"Elm, old"\n'
