"""Rows out of workbooks (.xlsx): the sheets that bear the names of tables, as text cells.

Lets in openpyxl, which tells neither that a formula has no value nor, while it reads row by row,
which cells are merged: both are looked up in the sheet's own XML.
"""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import iterparse

from tripkit.files.faults import Faults
from tripkit.files.tables import RawTable, make_table, name_column, read_bytes
from tripkit.yard.facts import state

LARGEST_UNPACKED_BYTES = 200_000_000
MOST_ROWS = 1_048_576
"""How many rows a sheet has at most. **Source:** Excel specifications and limits."""
MOST_CELLS = 5_000_000
"""common practice, no source: a season of a large yard has some hundred thousand."""

_TOLD_BY_XML = re.compile(rb"<(?:\w+:)?(?:f[ />]|mergeCell )")
Cells = list[list[str]]


@dataclass(frozen=True)
class Merged:
    """Cells merged into one, rows and columns counted from 0, the last ones included."""

    rows: tuple[int, int]
    columns: tuple[int, int]


@dataclass
class Sheets:
    """The tables of a workbook by name, those that cannot be read, and what else has rows."""

    tables: dict[str, RawTable] = field(default_factory=dict)
    unreadable: set[str] = field(default_factory=set)
    others: list[str] = field(default_factory=list)


def read_workbook(path: Path, columns: Mapping[str, Collection[str]], faults: Faults) -> Sheets:
    """The sheets of a workbook, case and `.csv` at the end of a name aside.

    `columns` are the names of the tables and of what columns each may have. What cannot be read
    is a fault; sheets of other names are `others`, by their titles.
    """
    found = Sheets()
    data = read_bytes(path, faults)
    packed = None if data is None else _unpack(path, data, faults)
    if data is None or packed is None:
        found.unreadable.update(columns)
        return found
    try:
        sheets = _load_sheets(data, packed, columns)
    # openpyxl raises whatever its XML trips over; to the user every one of them means the same.
    except Exception as error:
        faults.add(
            path.name,
            state("faults.not-readable-xlsx-workbook", name=type(error).__name__, error=str(error)),
        )
        found.unreadable.update(columns)
        return found
    for title, (cells, merged) in sheets.items():
        if not any(any(record) for record in cells):
            continue
        name = name_table(title)
        file = f"{path.name} sheet {title}"
        if name not in columns:
            found.others.append(title)
        elif name in found.tables or name in found.unreadable:
            faults.add(file, state("faults.second-sheet-of-keep-one", name=name))
        else:
            table = _make_table(file, cells, merged, columns[name], faults)
            if table is None:
                found.unreadable.add(name)
            else:
                found.tables[name] = table
    return found


def name_table(title: str) -> str:
    """The table that a sheet of that title holds: capitals and `.csv` at the end aside."""
    return title.strip().casefold().removesuffix(".csv")


def _unpack(path: Path, data: bytes, faults: Faults) -> zipfile.ZipFile | None:
    try:
        packed = zipfile.ZipFile(io.BytesIO(data))
    except zipfile.BadZipFile:
        # Both an older kind of workbook and one with a password are files of this kind.
        locked = data.startswith(b"\xd0\xcf\x11\xe0")
        hint = state("faults.without-password") if locked else None
        faults.add(path.name, state("faults.not-xlsx-workbook", hint=hint))
        return None
    if sum(item.file_size for item in packed.infolist()) > LARGEST_UNPACKED_BYTES:
        faults.add(
            path.name,
            state(
                "faults.unpacks-to-more-than-mb",
                largest_unpacked_bytes=LARGEST_UNPACKED_BYTES // 1_000_000,
            ),
        )
        return None
    return packed


def _make_table(
    file: str, cells: Cells, merged: Iterable[Merged], known: Collection[str], faults: Faults
) -> RawTable | None:
    # A sheet has no separators: what stands beyond the header stands in a column without a name.
    width = max(len(record) for record in cells)
    cells[0] += [""] * (width - len(cells[0]))
    wrong = [(m, _spread(cells, m)) for m in merged]
    table = make_table(file, cells, faults, known)
    if table is None:
        return None
    for m, text in wrong:
        (top, bottom), (left, right) = m.rows, m.columns
        if not text:
            continue
        over = (
            f"rows {top + 1} to {bottom + 1}"
            if bottom > top
            else f"columns {name_column(left)} to {name_column(right)}"
        )
        faults.add(
            file,
            state("faults.one-cell-merged-over-unmerge", over=over),
            row=top + 1,
            column=cells[0][left].strip().casefold() or name_column(left),
            value=text,
        )
    return table


def _spread(cells: Cells, merged: Merged) -> str:
    """The text of a merged cell, written into the rows it covers so that none seems empty."""
    (top, bottom), (left, _) = merged.rows, merged.columns
    text = cells[top][left] if top < len(cells) and left < len(cells[top]) else ""
    for record in filter(any, cells[top + 1 : bottom + 1] if text else ()):
        record += [""] * (left + 1 - len(record))
        record[left] = text
    return text


def _load_sheets(
    data: bytes, packed: zipfile.ZipFile, columns: Collection[str]
) -> dict[str, tuple[Cells, list[Merged]]]:
    from openpyxl import load_workbook

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        workbook = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        try:
            found = {}
            for sheet in workbook.worksheets:
                # What a program wrote as the extent of the sheet may be wrong; rows are not.
                sheet.reset_dimensions()
                cells = [
                    [_write_cell(cell) for cell in record]
                    for record in _drop_blank_end(sheet.iter_rows(values_only=True))
                ]
                merged: list[Merged] = []
                if name_table(sheet.title) in columns:
                    xml = packed.read(sheet._worksheet_path)  # type: ignore[attr-defined]
                    merged = _look_up(xml, cells) if _TOLD_BY_XML.search(xml) else []
                found[sheet.title] = cells, merged
            return found
        finally:
            workbook.close()


def _look_up(xml: bytes, cells: Cells) -> list[Merged]:
    """The merged cells of a sheet; formulas without a value are written into `cells` as such."""
    from openpyxl.utils.cell import coordinate_to_tuple, range_boundaries

    merged = []
    row = column = -1
    for event, element in iterparse(io.BytesIO(xml), events=("start", "end")):
        tag = element.tag.rpartition("}")[2]
        if event == "start":
            if tag == "row":
                row, column = int(element.get("r", row + 2)) - 1, -1
            continue
        if tag == "c":
            column += 1
            place = element.get("r")
            if place is not None:
                row, column = (number - 1 for number in coordinate_to_tuple(place))
                _check_extent(row)
            formula = element.find("{*}f")
            if formula is not None and not element.findtext("{*}v") and element.get("t") != "str":
                cells += [[] for _ in range(row + 1 - len(cells))]
                cells[row] += [""] * (column + 1 - len(cells[row]))
                cells[row][column] = f"={formula.text or ''}"
        elif tag == "mergeCell":
            left, top, right, bottom = (
                int(n or 1) - 1 for n in range_boundaries(element.get("ref", "A1"))
            )
            merged.append(Merged((top, bottom), (left, right)))
        if tag in ("c", "row"):
            element.clear()
    return merged


def _drop_blank_end(records: Iterable[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
    kept: list[tuple[Any, ...]] = []
    blank = count = 0
    for record in records:
        width = next((i for i in range(len(record), 0, -1) if record[i - 1] is not None), 0)
        count += width
        _check_extent(len(kept) + blank, count)
        if not width:
            blank += 1
            continue
        kept.extend([()] * blank)
        blank = 0
        kept.append(record[:width])
    return kept


def _check_extent(row: int, cells: int = 0) -> None:
    """A sheet ends somewhere; one that says otherwise would be read for hours."""
    if row >= MOST_ROWS:
        raise ValueError(state("faults.sheet-is-too-long", most=MOST_ROWS))
    if cells > MOST_CELLS:
        raise ValueError(state("faults.sheet-is-too-large", most=MOST_CELLS))


def _write_clock(cell: time | timedelta) -> str:
    """A time of day as HH:MM, with seconds where there are some; an hour count may reach 24."""
    if isinstance(cell, time):
        cell = timedelta(hours=cell.hour, minutes=cell.minute, seconds=cell.second)
    minutes, seconds = divmod(round(cell.total_seconds()), 60)
    clock = f"{minutes // 60:02d}:{minutes % 60:02d}"
    return f"{clock}:{seconds:02d}" if seconds else clock


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
    if isinstance(cell, time | timedelta):
        return _write_clock(cell)
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, float):
        # Sums such as 0.1 + 0.2 carry noise that the spreadsheet itself never shows.
        exact = Decimal(repr(float(f"{cell:.12g}")))
        return format(exact.to_integral_value() if exact == int(exact) else exact, "f")
    return str(cell)
