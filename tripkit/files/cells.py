"""Single cells of a CSV file are changed; every other byte of it stays.

Separator, quotes, order, unknown columns, blank rows, byte order mark and line ends stay as they
were.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Collection, Iterator, Mapping

from tripkit.files.faults import Faults
from tripkit.files.tables import choose_delimiter, find_separator_line
from tripkit.yard.facts import state

BYTE_ORDER_MARK = "\ufeff"
CANNOT_CHANGE = state("faults.cannot-be-changed-cell-by")

Edits = Mapping[tuple[int, str], str]
"""New text by row number, as a spreadsheet counts, and column, as the header names it."""


def edit_csv(
    file: str, data: bytes, edits: Edits, faults: Faults, known: Collection[str] = ()
) -> bytes:
    """The bytes of a CSV file with some cells changed, and nothing else; `known` as it is read.

    A column that the header lacks is put at its end, a row behind the last one is a new row.
    A file that cannot be changed so is a fault, and comes back as it was.
    """
    text = data.decode("utf-8")
    mark = BYTE_ORDER_MARK if text.startswith(BYTE_ORDER_MARK) else ""
    text = text.removeprefix(mark)
    line, sign = find_separator_line(text)
    mark += line
    text = text[len(line) :]
    sign = sign or choose_delimiter(text, known)
    # Each record as its fields, as they are written, and what stands behind it.
    records = list(_split(text, sign))
    if [[_unquote(field) for field in fields] for fields, _ in records] != list(
        csv.reader(io.StringIO(text, newline=""), delimiter=sign)
    ):
        faults.add(file, CANNOT_CHANGE)
        return data
    records = records or [([], "")]
    header = [_unquote(field).strip().casefold() for field in records[0][0]]
    while header and not header[-1]:
        header.pop()
    columns = list(dict.fromkeys([*header, *(column for _, column in edits)]))
    new_names = {(1, name): name for name in columns[len(header) :]}
    line_end = next((end for _, end in records if end), "\n")
    for (row, column), new in {**new_names, **edits}.items():
        while len(records) < row:
            fields, end = records[-1]
            records[-1] = (fields, end or line_end)
            records.append(([], line_end))
        fields = records[row - 1][0]
        fields += [""] * (columns.index(column) + 1 - len(fields))
        fields[columns.index(column)] = _write(fields[columns.index(column)], new, sign)
    return (mark + "".join(sign.join(fields) + end for fields, end in records)).encode("utf-8")


def _split(text: str, sign: str) -> Iterator[tuple[list[str], str]]:
    at, fields = 0, list[str]()
    while at < len(text) or fields:
        start = at
        if text.startswith('"', at):
            at = text.find('"', at + 1)
            while at >= 0 and text.startswith('""', at):
                at = text.find('"', at + 2)
            at = len(text) if at < 0 else at + 1
        while at < len(text) and text[at] not in (sign, "\r", "\n"):
            at += 1
        written = text[start:at]
        if text.startswith(sign, at):
            fields.append(written)
            at += 1
            continue
        end = "\r\n" if text.startswith("\r\n", at) else text[at : at + 1]
        at += len(end)
        # A blank line is a record without fields.
        yield [*fields, written] if fields or written else [], end
        fields = []


def _unquote(field: str) -> str:
    return field[1:-1].replace('""', '"') if field.startswith('"') else field


def _write(field: str, new: str, sign: str) -> str:
    """The new text in the place of the old one: blanks around it and its quotes stay."""
    old = _unquote(field)
    bare = old.strip()
    blanks = old.split(bare, 1) if bare else ("", "")
    text = blanks[0] + new + blanks[1]
    if field.startswith('"') or any(mark in text for mark in (sign, '"', "\r", "\n")):
        return '"' + text.replace('"', '""') + '"'
    return text
