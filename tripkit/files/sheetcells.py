"""Single cells of a workbook are changed; formats, formulas, pictures and other sheets stay.

The cell is exchanged in the sheet's own XML, and the rest of the file is copied as it is: a
program that loads and saves the whole workbook would lose what it does not know.

**Source:** ECMA-376 part 1, sections 18.3.1.4 (c, cell), 18.3.1.73 (row) and 18.18.11 (cell types).
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping
from datetime import date
from posixpath import join, normpath
from typing import Any
from xml.etree import ElementTree
from xml.sax.saxutils import escape

from tripkit.files.cells import CANNOT_CHANGE, Edits
from tripkit.files.faults import Faults
from tripkit.files.spreadsheets import name_table
from tripkit.yard.facts import Fact, state

BOOK = "xl/workbook.xml"
RELATIONS = "xl/_rels/workbook.xml.rels"
RELATION_ID = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"

_HAS = r"(?P<has>(?:[^>\"'/]|\"[^\"]*\"|'[^']*')*)"
ROW = re.compile(rf"<(?P<tag>(?:\w+:)?row)\b{_HAS}(?:/>|>(?P<holds>.*?)</(?P=tag)>)", re.DOTALL)
CELL = re.compile(rf"<(?P<tag>(?:\w+:)?c)\b{_HAS}(?:/>|>(?P<holds>.*?)</(?P=tag)>)", re.DOTALL)
ATTRIBUTE = re.compile(r"""([\w:]+)\s*=\s*("[^"]*"|'[^']*')""")
FORMULA = re.compile(r"<(?:\w+:)?f\b")


def edit_workbook(
    file: str, data: bytes, edits_by_sheet: Mapping[str, Edits], faults: Faults
) -> bytes:
    """The bytes of a workbook with some cells changed; sheets by lower-cased name without `.csv`.

    A date stays a date with its format. A cell that holds a formula, a row or column that is not
    there, and a workbook that is put together otherwise are faults; the workbook then comes back
    as it was.
    """
    from openpyxl import load_workbook

    mine = Faults()
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        book = load_workbook(io.BytesIO(data), data_only=True)
        parts = _find_parts(packed)
        changed: dict[str, bytes] = {}
        there = {name_table(sheet.title) for sheet in book.worksheets}
        for title in set(edits_by_sheet) - there:
            mine.add(
                file,
                state("faults.has-no-sheet-add-it", title=title),
            )
        for sheet in book.worksheets:
            edits = edits_by_sheet.get(name_table(sheet.title), {})
            where, part = f"{file} sheet {sheet.title}", parts.get(sheet.title, "")
            header = [str(cell.value or "").strip().casefold() for cell in sheet[1]]
            wanted: dict[int, dict[int, str]] = {}
            for (row, column), new in edits.items():
                if column not in header or row > sheet.max_row or part not in packed.namelist():
                    mine.add(where, _ask_for(new), row=row, column=column)
                    continue
                wanted.setdefault(row, {})[header.index(column) + 1] = new
            if wanted and not mine.has_any():
                try:
                    xml = packed.read(part).decode("utf-8")
                except UnicodeDecodeError:
                    mine.add(where, CANNOT_CHANGE)
                    continue
                changed[part] = _edit_sheet(where, xml, sheet, wanted, mine).encode("utf-8")
        for error in mine.list_errors():
            assert error.wanted is not None
            faults.add(error.file, error.wanted, row=error.row, column=error.column)
        return data if mine.has_any() else _pack(packed, changed)


def _ask_for(new: str) -> Fact:
    return state("faults.has-no-such-cell-write", new=new)


def _find_parts(packed: zipfile.ZipFile) -> dict[str, str]:
    """The part of the file that holds each sheet, by title."""
    targets = {
        relation.get("Id"): relation.get("Target", "")
        for relation in ElementTree.fromstring(packed.read(RELATIONS))
    }
    return {
        node.get("name", ""): normpath(join("/xl", targets.get(node.get(RELATION_ID), "")))[1:]
        for node in ElementTree.fromstring(packed.read(BOOK)).iter()
        if node.tag.endswith("}sheet")
    }


def _edit_sheet(
    where: str, xml: str, sheet: Any, wanted: Mapping[int, Mapping[int, str]], faults: Faults
) -> str:
    written, at, number = [], 0, 0
    left = dict(wanted)
    for match in ROW.finditer(xml):
        number = int(_list_attributes(match["has"]).get("r", number + 1))
        cells = left.pop(number, None)
        if cells is None:
            continue
        tag, holds = match["tag"], match["holds"] or ""
        holds = _edit_row(where, number, tag, holds, sheet, cells, faults)
        written += [xml[at : match.start()], f"<{tag}{match['has']}>{holds}</{tag}>"]
        at = match.end()
    for row, cells in left.items():
        for new in cells.values():
            faults.add(where, _ask_for(new), row=row)
    return "".join(written) + xml[at:]


def _edit_row(
    where: str,
    row: int,
    row_tag: str,
    holds: str,
    sheet: Any,
    cells: Mapping[int, str],
    faults: Faults,
) -> str:
    from openpyxl.utils.cell import column_index_from_string, coordinate_from_string

    written, at, column = [], 0, 0
    left = dict(sorted(cells.items()))
    tag = row_tag.removesuffix("row") + "c"
    for match in CELL.finditer(holds):
        has = _list_attributes(match["has"])
        column = (
            column_index_from_string(coordinate_from_string(has["r"])[0])
            if "r" in has
            else column + 1
        )
        written.append(holds[at : match.start()])
        at = match.start()
        for missing in [n for n in left if n < column]:
            written.append(_write_cell(tag, {}, row, missing, left.pop(missing), sheet))
        if column in left:
            new = left.pop(column)
            if FORMULA.search(match["holds"] or ""):
                faults.add(
                    where,
                    state("faults.holds-formula-write-there-in", new=new),
                    row=row,
                    column=sheet.cell(1, column).value,
                )
            written.append(_write_cell(tag, has, row, column, new, sheet))
            at = match.end()
    written.append(holds[at:])
    written += [_write_cell(tag, {}, row, n, new, sheet) for n, new in left.items()]
    return "".join(written)


def _write_cell(
    tag: str, has: Mapping[str, str], row: int, column: int, new: str, sheet: Any
) -> str:
    """A cell in the place of another, with its format; a date where a date stood."""
    from openpyxl.utils import get_column_letter

    prefix = tag.removesuffix("c")
    kept = "".join(f' {n}="{v}"' for n, v in has.items() if n not in ("t", "r"))
    head = f'<{tag} r="{get_column_letter(column)}{row}"{kept}'
    # A cell that is formatted as a date may hold a name as well.
    day = _read_date(new) if sheet.cell(row, column).is_date else None
    if day is not None:
        if has.get("t") == "d":
            return f'{head} t="d"><{prefix}v>{day.isoformat()}</{prefix}v></{tag}>'
        serial = (day - sheet.parent.epoch.date()).days
        return f"{head}><{prefix}v>{serial}</{prefix}v></{tag}>"
    text = f'<{prefix}t xml:space="preserve">{escape(new)}</{prefix}t>'
    return f'{head} t="inlineStr"><{prefix}is>{text}</{prefix}is></{tag}>'


def _read_date(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _list_attributes(written: str) -> dict[str, str]:
    return {name: value[1:-1] for name, value in ATTRIBUTE.findall(written)}


def _pack(packed: zipfile.ZipFile, changed: Mapping[str, bytes]) -> bytes:
    """The same file with some parts exchanged; names, order, times and packing stay."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as new:
        new.comment = packed.comment
        for item in packed.infolist():
            new.writestr(item, changed.get(item.filename, packed.read(item.filename)))
    return buffer.getvalue()
