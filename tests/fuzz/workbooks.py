"""Cases of a workbook: error cells, formulas, merged cells, times, sheets that are not tables."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from datetime import date, datetime, time
from functools import partial
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from tests.fuzz.cells import ALIKE, NONSENSE, ODD, OTHER, find_kind
from tests.fuzz.folders import FOLDER, LOCKED, REQUIRED, Case
from tests.fuzz.outcome import Bench
from tests.fuzz.yards import SETTINGS, TABLES, make_records

FILE = "yard.xlsx"
NUMBERS = ("money", "number", "whole", "height", "degrees")
Edit = Callable[[Workbook], object]


def write_book(edit: Edit | None = None) -> bytes:
    """The small yard as a workbook with cells of their own types, edited."""
    book = Workbook()
    book.remove(book.active)
    for table, rows in TABLES.items():
        sheet = book.create_sheet(table)
        header, *records = make_records(rows)
        sheet.append(header)
        for record in records:
            sheet.append([_give_type(table, c, t) for c, t in zip(header, record, strict=True)])
    if edit is not None:
        edit(book)
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def _give_type(table: str, column: str, text: str) -> Any:
    kind = find_kind(table, column)
    if not text:
        return None
    if kind == "date":
        return datetime.combine(date.fromisoformat(text), time())
    if kind in NUMBERS:
        return float(text) if "." in text else int(text)
    return text


VALUES: dict[str, tuple[str, Any]] = {
    "error": (NONSENSE, "#REF!"),
    "division by nought": (NONSENSE, "#DIV/0!"),
    "formula": (NONSENSE, "=A1"),
    "formula of sum": (NONSENSE, "=SUM(1,2)"),
    "true": (NONSENSE, True),
    "time": (NONSENSE, time(7, 30)),
    "date and time": (NONSENSE, datetime(2027, 4, 8, 13, 45)),
    "first date of spreadsheets": (NONSENSE, datetime(1900, 1, 1)),
    "long fraction": (NONSENSE, 0.1 + 0.2),
    "huge": (NONSENSE, 1e300),
    "negative": (NONSENSE, -3),
    "text": (NONSENSE, "later"),
    "empty": (NONSENSE, None),
}
OLD_FORMAT = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)
VENUES = b"place,latitude,longitude\nGlen,30,-83\n"
FREE = ("text", "free", "name")


FORMULAS = ("error", "division by nought", "formula", "formula of sum", "empty")
TAKEN = {
    # Values of another type that a column takes nevertheless.
    **dict.fromkeys([("clock", "time"), ("yes", "true"), ("share", "true")], OTHER),
    **dict.fromkeys([(kind, "long fraction") for kind in ("number", "share", "degrees")], ODD),
    ("degrees", "negative"): ODD,
}


def list_workbook_cases() -> Iterator[Case]:
    """Cells of another type in every column, merged cells, sheets."""
    for table, rows in TABLES.items():
        for number, column in enumerate(make_records(rows)[0], start=1):
            kind = find_kind(table, column)
            for what, (meant, value) in VALUES.items():
                if kind in FREE and what not in FORMULAS:
                    meant = ODD if kind == "name" else OTHER
                if what == "empty" and column not in REQUIRED[table]:
                    meant = OTHER
                meant = TAKEN.get((kind, what), meant)
                edit = partial(_set_cell, table, number, value)
                yield _make_case(f":{table}:{column}:{what}", meant, edit)
    yield from _list_sheet_cases()


def _set_cell(table: str, column: int, value: Any, book: Workbook) -> None:
    book[table].cell(2, column).value = value


def _make_case(what: str, meant: str, edit: Edit) -> Case:
    return Case(f"{FILE}{what}", FILE, meant, write=lambda: {FILE: write_book(edit)})


def _list_sheet_cases() -> Iterator[Case]:
    def case(what: str, meant: str, edit: Edit) -> Case:
        return _make_case(f"::{what}", meant, edit)

    for table in TABLES:
        near = table.replace("_", " ") if "_" in table else f"{table}s"
        edits: dict[str, tuple[str, Callable[[Any], object]]] = {
            "merged down": (NONSENSE, lambda sheet: sheet.merge_cells("A2:A3")),
            "merged across": (NONSENSE, lambda sheet: sheet.merge_cells("A2:B2")),
            "without a name": (ODD, lambda sheet: sheet.cell(2, 40, "red")),
            "with a title row": (NONSENSE, lambda sheet: sheet.insert_rows(1)),
            "hidden": (ALIKE, lambda sheet: setattr(sheet, "sheet_state", "hidden")),
            "nearly named": (NONSENSE, partial(_name_sheet, near)),
            "in capitals": (ALIKE, partial(_name_sheet, f"{table.upper()} ")),
            "filtered": (ALIKE, lambda sheet: setattr(sheet.auto_filter, "ref", "A1:B2")),
            "row hidden": (
                ODD,
                lambda sheet: setattr(sheet.row_dimensions[2], "hidden", True),
            ),
        }
        for what, (meant, edit) in edits.items():
            yield case(f"{table} {what}", meant, partial(_edit_sheet, table, edit))
        yield case(f"{table} as chart sheet", NONSENSE, partial(_make_chart, table))
    yield case("notes beside", ODD, lambda b: b.create_sheet("My notes").append(["buy hay"]))
    yield case("empty sheet beside", ALIKE, lambda b: b.create_sheet("Sheet1"))
    plain = write_book()
    yield Case(f"{FILE}::cut off", FILE, NONSENSE, {FILE: plain[: len(plain) // 2]})
    yield Case(f"{FILE}::empty", FILE, NONSENSE, {FILE: b""})
    yield Case(f"{FILE}::text", FILE, NONSENSE, {FILE: b"horse,born\n"})
    yield Case(
        f"{FILE}::old format",
        FILE,
        NONSENSE,
        {FILE: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)},
    )
    yield Case(f"{FILE}::a folder", FILE, NONSENSE, {FILE: FOLDER})
    yield Case(f"{FILE}::locked", FILE, NONSENSE, {FILE: LOCKED})
    yield Case(f"{FILE}::no sheets", FILE, NONSENSE, {FILE: b"PK\x05\x06" + bytes(18)})
    yield Case(f"{FILE}::two workbooks", FILE, NONSENSE, {FILE: plain, "copy.xlsx": plain})
    for other in ("yard.ods", "yard.xlsm", "yard.xls", "yard.numbers"):
        yield Case(f"{FILE}::{other} beside", other, ODD, {other: plain})
        yield Case(f"{FILE}::{other} instead", other, NONSENSE, {FILE: None, other: plain})
    yield Case(f"{FILE}::lock file beside", FILE, ALIKE, {f"~${FILE}": b"Ana"})
    yield Case(
        f"{FILE}::CSV beside", FILE, ODD, {"venues.csv": b"place,latitude,longitude\nGlen,30,-83\n"}
    )


def _edit_sheet(table: str, edit: Callable[[Any], object], book: Workbook) -> None:
    edit(book[table])


def _name_sheet(name: str, sheet: Any) -> None:
    sheet.title = name


def _make_chart(table: str, book: Workbook) -> None:
    position = book.sheetnames.index(table)
    book.remove(book[table])
    book.create_chartsheet(table, position)


class WorkbookBench(Bench):
    """A folder with yard.toml and the workbook."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder, {"yard.toml": SETTINGS.encode(), FILE: write_book()})
