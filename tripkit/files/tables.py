"""Rows out of CSV files and workbooks: text cells, each row with the number a spreadsheet shows.

Nothing is known here of what the columns mean. The header is row 1, so the first row of data
is row 2; blank rows count and are skipped.
"""

from __future__ import annotations

import csv
import io
import warnings
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Any

from tripkit.files.faults import Faults

LARGEST_BYTES = 20_000_000
LARGEST_UNPACKED_BYTES = 200_000_000
DELIMITERS = ",;"


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


def read_bytes(path: Path, faults: Faults, largest: int = LARGEST_BYTES) -> bytes | None:
    """A file's bytes, None with a fault where it is no file, too large, or cannot be read."""
    try:
        if not path.is_file():
            faults.add(path.name, "is not a file")
            return None
        size = path.stat().st_size
        if size > largest:
            faults.add(
                path.name,
                f"is larger than {largest // 1_000_000} MB "
                f"({size / 1_000_000:.0f} MB) and was not read",
            )
            return None
        return path.read_bytes()
    except OSError as error:
        faults.add(path.name, f"cannot be read ({error.strerror or error})")
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
            f"is not UTF-8 (byte 0x{bad:02x}); save it as UTF-8 ('CSV UTF-8')",
            row=row,
        )
        return None


def read_csv(path: Path, faults: Faults) -> RawTable | None:
    """A CSV file with `;` or `,` becomes a table; None with a fault where it is none."""
    text = read_text(path, faults)
    if text is None:
        return None
    delimiter = choose_delimiter(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    records: list[list[str]] = []
    try:
        records.extend(reader)
    except csv.Error as error:
        faults.add(path.name, f"is not CSV from here on ({error})", row=len(records) + 1)
        return None
    return make_table(path.name, records, faults)


def choose_delimiter(text: str) -> str:
    """The separator of a CSV file: the one that stands in its header more often."""
    header_line = next((line for line in text.splitlines() if line.strip()), "")
    return max(DELIMITERS, key=lambda sign: _count_outside_quotes(header_line, sign))


def _count_outside_quotes(line: str, sign: str) -> int:
    return sum(part.count(sign) for part in line.split('"')[::2])


def make_table(file: str, records: Sequence[Sequence[str]], faults: Faults) -> RawTable | None:
    """Records of cells become a table; the first record is the header.

    Header names are trimmed and lower-cased, cells are trimmed. A header that names a column
    twice, and cells beyond the header, are faults.
    """
    faults.announce(file)
    header = [cell.strip().casefold() for cell in records[0]] if records else []
    while header and not header[-1]:
        header.pop()
    if not header:
        faults.add(file, "has no header row", row=1)
        return None
    twice = dict.fromkeys(name for name in header if name and header.count(name) > 1)
    for name in twice:
        faults.add(file, "stands in the header more than once", row=1, column=name)
    if twice:
        return None
    rows = []
    for number, record in enumerate(records[1:], start=2):
        cells = [cell.strip() for cell in record]
        if not any(cells):
            continue
        beyond = [cell for cell in cells[len(header) :] if cell]
        if beyond:
            faults.add(
                file,
                f"stands beyond the {len(header)} columns of the header; "
                "put quotation marks around a cell that holds the separator",
                row=number,
                value=beyond[0],
            )
        padded = cells + [""] * (len(header) - len(cells))
        rows.append(RawRow(file, number, dict(zip(header, padded, strict=False))))
    columns = tuple(dict.fromkeys(name for name in header if name))
    return RawTable(file, columns, tuple(rows))


def list_sheets(path: Path, faults: Faults) -> dict[str, RawTable]:
    """The sheets of a workbook as tables, by lower-cased sheet name without `.csv`."""
    data = read_bytes(path, faults)
    if data is None:
        return {}
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            unpacked = sum(item.file_size for item in packed.infolist())
    except zipfile.BadZipFile:
        faults.add(path.name, "is not an .xlsx workbook")
        return {}
    if unpacked > LARGEST_UNPACKED_BYTES:
        faults.add(
            path.name,
            f"unpacks to more than {LARGEST_UNPACKED_BYTES // 1_000_000} MB and was not read",
        )
        return {}
    try:
        sheets = _load_sheets(data)
    # openpyxl raises whatever its XML trips over; to the user every one of them means the same.
    except Exception as error:
        faults.add(
            path.name,
            f"is not a readable .xlsx workbook ({type(error).__name__}: {error})",
        )
        return {}
    found = {}
    for title, records in sheets.items():
        if any(any(record) for record in records):
            table = make_table(f"{path.name} sheet {title}", records, faults)
            if table is not None:
                found[title.strip().casefold().removesuffix(".csv")] = table
    return found


def _load_sheets(data: bytes) -> dict[str, list[list[str]]]:
    from openpyxl import load_workbook

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        workbook = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        try:
            return {
                sheet.title: [
                    [_write_cell(cell) for cell in record]
                    for record in _drop_blank_end(sheet.iter_rows(values_only=True))
                ]
                for sheet in workbook.worksheets
            }
        finally:
            workbook.close()


def _drop_blank_end(records: Iterable[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
    kept: list[tuple[Any, ...]] = []
    blank = 0
    for record in records:
        if all(cell is None for cell in record):
            blank += 1
            continue
        kept.extend([()] * blank)
        blank = 0
        kept.append(record)
    return kept


def _write_cell(cell: Any) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, datetime):
        # A spreadsheet keeps a date as midnight of that day.
        if cell.time() == time():
            return cell.date().isoformat()
        return cell.isoformat(sep=" ")
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, float):
        # Sums such as 0.1 + 0.2 carry noise that the spreadsheet itself never shows.
        exact = Decimal(repr(float(f"{cell:.12g}")))
        return format(exact.to_integral_value() if exact == int(exact) else exact, "f")
    return str(cell)
