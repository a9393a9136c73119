"""Rows out of CSV files: text cells, each row with the number a spreadsheet shows.

Nothing is known here of what the columns mean, only what they are called. The header is row 1, so
the first row of data is row 2; blank rows count and are skipped.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from tripkit.files.faults import Faults
from tripkit.yard.errors import give_reason
from tripkit.yard.facts import Fact, state

LARGEST_BYTES = 20_000_000
DELIMITERS = ",;\t"
HEADER_WITHIN_ROWS = 10
NAMED_COLUMNS = 6

_SEPARATOR_LINE = re.compile('"?sep=(.)"?\r?\n', re.IGNORECASE)
COMPUTED_MARKS = ("=", "#", "E")
_FORMULA = re.compile(r"=.*", re.DOTALL)
_ERROR = re.compile(r"#[¡¿]?[A-ZÀ-Þ][A-ZÀ-Þ0-9/_ ]+[!?]|#(?:N/A|NV|N/D)|#{3,}|Err:[0-9]{3}")


@dataclass(frozen=True)
class RawRow:
    """One row as text: the file it came from, its row number, and cell by column name.

    A row out of a calendar file has no number: its `file` names the event.
    """

    file: str
    number: int | None
    cells: dict[str, str]


@dataclass(frozen=True)
class RawTable:
    """One table as text: its file, its columns in file order, its rows."""

    file: str
    columns: tuple[str, ...]
    rows: tuple[RawRow, ...]


def list_rows(tables: Mapping[str, RawTable], table: str, show: str | None = None) -> list[RawRow]:
    """The rows of a table, none where it is not there; of one show those that name it."""
    rows = tables[table].rows if table in tables else ()
    return [row for row in rows if show is None or row.cells.get("show") == show]


def read_bytes(path: Path, faults: Faults, largest: int = LARGEST_BYTES) -> bytes | None:
    """A file's bytes, None with a fault where it is no file, too large, or cannot be read."""
    try:
        if not path.is_file():
            faults.add(path.name, state("faults.not-file"))
            return None
        size = path.stat().st_size
        if size > largest:
            faults.add(
                path.name,
                state(
                    "faults.larger-than-mb-mb-and",
                    largest=largest // 1_000_000,
                    size=f"{size / 1_000_000:.0f}",
                ),
            )
            return None
        return path.read_bytes()
    except OSError as error:
        faults.add(path.name, state("faults.cannot-be-read-2", value=give_reason(error)))
        return None


def read_text(path: Path, faults: Faults) -> str | None:
    """A file's text as UTF-8 without byte order mark, None with a fault where it is not UTF-8."""
    data = read_bytes(path, faults)
    if data is None:
        return None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        # With a byte order mark the codec counts from behind it; a mark holds no line break, so
        # the row is right either way.
        row = error.object.count(b"\n", 0, error.start) + 1
        bad = error.object[error.start]
        faults.add(
            path.name,
            state("faults.not-utf8-byte-0x-save", bad=f"{bad:02x}"),
            row=row,
        )
        return None


def read_csv(path: Path, faults: Faults, known: Collection[str] = ()) -> RawTable | None:
    """A CSV file with `;`, `,` or tabs becomes a table; None with a fault where it is none.

    `known` are the columns that such a file may have. A first line `sep=;`, which spreadsheet
    programs write and hide, is no row.
    """
    text = read_text(path, faults)
    if text is None:
        return None
    line, delimiter = find_separator_line(text)
    text = text[len(line) :]
    delimiter = delimiter or choose_delimiter(text, known)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    records: list[list[str]] = []
    try:
        records.extend(reader)
    except csv.Error as error:
        faults.add(
            path.name, state("faults.not-csv-from-here-on", error=str(error)), row=len(records) + 1
        )
        return None
    return make_table(path.name, records, faults, known)


def find_separator_line(text: str) -> tuple[str, str]:
    """The line `sep=;` that a file may begin with, and the sign it names; empty without one."""
    found = _SEPARATOR_LINE.match(text)
    return ("", "") if found is None else (found[0], found[1])


def choose_delimiter(text: str, known: Collection[str] = ()) -> str:
    """The sign between the most names of columns, else the one that is there most often."""
    lines = [line for line in text[:20_000].splitlines() if line.strip()][:HEADER_WITHIN_ROWS]

    def weigh(sign: str) -> tuple[int, int]:
        names = (_count_known((c.strip('"') for c in ln.split(sign)), known) for ln in lines)
        return max(names, default=0), sum(_count_outside_quotes(line, sign) for line in lines[:1])

    return max(DELIMITERS, key=weigh)


def _count_outside_quotes(line: str, sign: str) -> int:
    return sum(part.count(sign) for part in line.split('"')[::2])


def _count_known(cells: Iterable[str], known: Collection[str]) -> int:
    return sum(cell.strip().casefold() in known for cell in cells)


def make_table(
    file: str, records: Sequence[Sequence[str]], faults: Faults, known: Collection[str] = ()
) -> RawTable | None:
    """Records of cells become a table; the first record is the header.

    Header names are trimmed and lower-cased, cells are trimmed. A header that stands lower down,
    names no column that is known or one twice, and cells of columns without a name, are faults.
    """
    faults.announce(file)
    header = [cell.strip().casefold() for cell in records[0]] if records else []
    if not _check_header(file, header, records, faults, known):
        return None
    width = len(header)
    while header and not header[-1]:
        header.pop()
    rows = []
    nameless: dict[int, tuple[int, str, int]] = {}
    for number, record in enumerate(records[1:], start=2):
        cells = [cell.strip() for cell in record]
        if not any(cells):
            continue
        if [cell.casefold() for cell in cells] == [*header, *[""] * (len(cells) - len(header))]:
            faults.add(file, state("faults.header-once-more-delete-row"), row=number)
            continue
        beyond = [cell for cell in cells[width:] if cell]
        if beyond:
            faults.add(
                file,
                state("faults.stands-beyond-columns-of-header", len_header=len(header)),
                row=number,
                value=beyond[0],
            )
        for i, cell in enumerate(cells[:width]):
            if cell and not (i < len(header) and header[i]):
                first, text, count = nameless.get(i, (number, cell, 0))
                nameless[i] = first, text, count + 1
        padded = cells + [""] * (len(header) - len(cells))
        rows.append(RawRow(file, number, dict(zip(header, padded, strict=False))))
    for i, (first, text, count) in sorted(nameless.items()):
        faults.add(
            file,
            state(
                "faults.stands-in-column-which-has", column=name_column(i), more=count_cells(count)
            ),
            row=first,
            value=text,
        )
    columns = tuple(dict.fromkeys(name for name in header if name))
    return RawTable(file, columns, tuple(rows))


def _check_header(
    file: str,
    header: Sequence[str],
    records: Sequence[Sequence[str]],
    faults: Faults,
    known: Collection[str],
) -> bool:
    """Whether the first row can be the header; what is wrong with it is a fault."""
    found = [_count_known(record, known) for record in records[:HEADER_WITHIN_ROWS]]
    best = found.index(max(found)) if found else 0
    if best and found[best] >= found[0] + 2:
        said = state("faults.header-stands-in-row-delete", best=best + 1)
        title = next((cell for cell in records[0] if cell.strip()), None)
        wanted = said if title is None else state("faults.no-header", said=said)
        faults.add(file, wanted, row=1, value=title)
        return False
    if not any(header):
        faults.add(file, state("faults.has-no-header-row"), row=1)
        return False
    for i, cell in enumerate(records[0]):
        wrong = find_computed_wrongly(cell.strip())
        if wrong:
            faults.add(file, wrong, row=1, column=name_column(i), value=cell.strip())
            return False
    if known and not found[0]:
        named = (*islice(known, NAMED_COLUMNS), *["…"][: len(known) > NAMED_COLUMNS])
        wanted = state("faults.no-column-of-this-file", named=named)
        faults.add(file, wanted, row=1, value=next(name for name in header if name))
        return False
    twice = dict.fromkeys(name for name in header if name and header.count(name) > 1)
    for name in twice:
        faults.add(file, state("faults.stands-in-header-more-than"), row=1, column=name)
    return not twice


def name_column(index: int) -> str:
    """The letters by which a spreadsheet program calls a column, counted from 0.

    >>> name_column(0), name_column(25), name_column(26)
    ('A', 'Z', 'AA')
    """
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def count_cells(count: int) -> Fact | None:
    """How many cells are alike, as the end of a message; nothing for one."""
    return None if count < 2 else state("faults.cells", count=count)


def find_computed_wrongly(text: str) -> Fact | None:
    """What is wrong with a cell that a spreadsheet program did not compute; None for others.

    A formula stands for itself where nobody stored its value; an error is the program's word.
    """
    if _FORMULA.fullmatch(text):
        return state("faults.formula-without-its-value-open")
    if _ERROR.fullmatch(text):
        return state("faults.error-of-spreadsheet-program-mend")
    return None
