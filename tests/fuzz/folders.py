"""Cases of malformed folders: each is the small yard, or the sample, with one thing changed.

A case says what its change means (see `cells`); `meant` may also be `refused`, for a folder that
cannot be read at all.
"""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from tests.fuzz.cells import ALIKE, NONSENSE, ODD, OTHER, find_kind, list_texts
from tests.fuzz.yards import SETTINGS, TABLES, make_records

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "sample_calendar"
REQUIRED = {
    "shows": ("show", "first_day", "last_day"),
    "classes": ("show", "class", "day", "height_cm"),
    "horses": ("horse", "born", "from_height_cm", "to_height_cm"),
    "people": ("person", "role"),
    "shares": ("horse", "owner"),
    "papers": ("paper", "date"),
    "aims": ("horse", "show"),
    "vehicles": ("vehicle", "places"),
    "absences": ("who", "first_day", "last_day"),
    "results": ("horse", "date"),
    "treatments": ("horse", "substance", "date"),
    "vet_checks": ("horse", "date"),
    "entries": ("horse", "show", "class", "status"),
    "venues": ("place", "latitude", "longitude"),
    "distances": ("from", "to"),
}
"""The columns that the handbook, Files, marks with a star."""

Records = Sequence[Sequence[str]]


@dataclass(frozen=True)
class Case:
    """One change of a folder: its name, where it is, what it means, the files it writes.

    A file without content is taken away, one that is `FOLDER` becomes one. `write` makes the files
    of a case that is costly to make, when it is tried.
    """

    name: str
    file: str
    meant: str
    written: Mapping[str, bytes | None] = field(default_factory=dict)
    write: Callable[[], Mapping[str, bytes | None]] | None = None

    @cached_property
    def files(self) -> Mapping[str, bytes | None]:
        """What the case writes."""
        return self.written if self.write is None else self.write()


FOLDER = b"\x00a folder\x00"
LOCKED = b"\x00not to be read\x00"


def write_csv(records: Records, delimiter: str = ",", line_end: str = "\r\n") -> bytes:
    """Records as CSV; lone surrogates become bytes that are no UTF-8."""
    text = io.StringIO()
    csv.writer(text, delimiter=delimiter, lineterminator=line_end).writerows(records)
    return text.getvalue().encode("utf-8", "surrogateescape")


def list_small_files() -> dict[str, bytes]:
    """The files of the small yard."""
    files = {f"{name}.csv": write_csv(make_records(rows)) for name, rows in TABLES.items()}
    return {"yard.toml": SETTINGS.encode(), **files}


def list_sample_files() -> dict[str, bytes]:
    """The files of the sample."""
    return {path.name: path.read_bytes() for path in sorted(SAMPLE.iterdir()) if path.is_file()}


def read_records(data: bytes) -> list[list[str]]:
    """CSV as records."""
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def change_cell(records: Records, row: int, column: int, text: str) -> list[list[str]]:
    """The records with one cell changed; `row` counts from the header."""
    changed = [list(record) for record in records]
    changed[row][column] = text
    return changed


def list_cell_cases(table: str, records: Records, rows: Sequence[int]) -> Iterator[Case]:
    """Every text of its kind in every column, in these rows where the cell is filled."""
    file = f"{table}.csv"
    for number, column in enumerate(records[0]):
        for row in rows:
            text = records[row][number]
            if not text:
                continue
            where = f"{file}:{row + 1}:{column}"
            required = column in REQUIRED[table]
            empty = NONSENSE if required else OTHER
            texts = [
                ("empty", empty, ""),
                ("blank", empty, "  \t"),
                ("padded", ALIKE, f"  {text} "),
            ]
            texts += [
                ("bytes", NONSENSE, f"{text}\udcff"),
                ("surrogate", NONSENSE, f"{text}\udced\udca0\udc80"),
            ]
            if number + 1 < len(records[0]) and records[row][number + 1] not in ("", text):
                meant = (
                    ODD
                    if find_kind(table, records[0][number + 1]) != find_kind(table, column)
                    else OTHER
                )
                texts.append(("its neighbour's", meant, records[row][number + 1]))
            texts += list_texts(table, column, text)
            for what, meant, wanted in texts:
                if wanted != text:
                    yield Case(
                        f"{where}:{what}",
                        file,
                        meant,
                        {file: write_csv(change_cell(records, row, number, wanted))},
                    )


def list_shape_cases(table: str, records: Records) -> Iterator[Case]:
    """What may happen to a table as a whole: rows, columns, header, delimiter, line ends."""
    file = f"{table}.csv"
    header, *rows = [list(record) for record in records]
    required = table in ("shows", "classes", "horses")

    def case(what: str, meant: str, data: bytes | None, more: str = "") -> Case:
        return Case(
            f"{file}::{what}",
            file,
            meant,
            {file: data, **({more: write_csv(records)} if more else {})},
        )

    plain = write_csv(records)
    text = plain.decode()
    yield case("byte order mark", ALIKE, b"\xef\xbb\xbf" + plain)
    yield case("two byte order marks", ALIKE, b"\xef\xbb\xbf" * 2 + plain)
    yield case("semicolons", ALIKE, write_csv(records, ";"))
    yield case("tabs", ALIKE, write_csv(records, "\t"))
    yield case("bars", NONSENSE, write_csv(records, "|"))
    yield case("sep line", ALIKE, b"sep=,\r\n" + plain)
    yield case("sep line, semicolons", ALIKE, b"sep=;\r\n" + write_csv(records, ";"))
    yield case("title row", NONSENSE, b"Our season 2027\r\n" + plain)
    yield case(
        "title row, padded",
        NONSENSE,
        write_csv([["Our season"] + [""] * (len(header) - 1), *records]),
    )
    yield case("blank row on top", NONSENSE, b"\r\n" + plain)
    yield case(
        "blank rows between", ALIKE, write_csv([header, *(r for row in rows for r in ([], row))])
    )
    yield case("rows of delimiters at the end", ALIKE, plain + b",,,\r\n" * 3)
    yield case("unix line ends", ALIKE, write_csv(records, line_end="\n"))
    yield case("old Mac line ends", ALIKE, write_csv(records, line_end="\r"))
    yield case("double line ends", ALIKE, text.replace("\r\n", "\r\r\n").encode())
    yield case("no last line end", ALIKE, plain.rstrip())
    yield case("header in capitals", ALIKE, write_csv([[h.upper() for h in header], *rows]))
    yield case("header padded", ALIKE, write_csv([[f" {h} " for h in header], *rows]))
    yield case(
        "header with no-break blanks", ALIKE, write_csv([[f"\xa0{h}" for h in header], *rows])
    )
    yield case("columns turned round", ALIKE, write_csv([r[::-1] for r in (header, *rows)]))
    yield case("all cells quoted", ALIKE, _quote_all(records))
    yield case("UTF-16", NONSENSE, text.encode("utf-16"))
    yield case("Latin-1", NONSENSE, text.replace("a", "\xe4").encode("latin-1"))
    yield case("nul bytes", NONSENSE, plain + b"\x00" * 40)
    yield case("zip", NONSENSE, b"PK\x03\x04" + bytes(range(200)))
    yield case("web page", NONSENSE, b"<!DOCTYPE html><html><body>sign in</body></html>")
    yield case("open quote", NONSENSE, plain + b'"' + b"x," * 50)
    yield case("quote inside", NONSENSE, write_csv([header, *rows[:-1]]) + b'"a"b,c\r\n')
    yield case("empty file", NONSENSE, b"")
    yield case("blanks only", NONSENSE, b"   \r\n\r\n")
    yield case("header only", NONSENSE if required else OTHER, write_csv([header]))
    yield case("missing", NONSENSE if required else OTHER, None)
    yield case("a folder", NONSENSE, FOLDER)
    yield case("locked", NONSENSE, LOCKED)
    yield case("name in capitals", ALIKE, None, f"{table.upper()}.CSV")
    yield case("name with a blank", NONSENSE, None, f"{table.replace('_', ' ')} .csv")
    yield case("name in the singular", NONSENSE, None, f"{table[:-1]}.csv")
    yield case("copy beside", ODD, plain, f"{table} (1).csv")
    yield case("text file instead", NONSENSE, None, f"{table}.txt")
    yield case("first row doubled", NONSENSE, write_csv([header, rows[0], rows[0], *rows[1:]]))
    yield case("all rows doubled", NONSENSE, write_csv([header, *rows, *rows]))
    yield case("header once more", NONSENSE, write_csv([header, *rows, header]))
    yield case("first row missing", OTHER, write_csv([header, *rows[1:]]))
    yield case("cut off in the last row", OTHER, plain[: -max(3, len(write_csv([rows[-1]])) // 2)])
    yield case("a cell too many", NONSENSE, write_csv([header, [*rows[0], "more"], *rows[1:]]))
    yield case("one cell only", OTHER, write_csv([header, rows[0][:1], *rows[1:]]))
    yield case(
        "unknown column", ODD, write_csv([[*header, "colour"], *([*r, "red"] for r in rows)])
    )
    yield case(
        "column without a name", ODD, write_csv([[*header, ""], *([*r, "red"] for r in rows)])
    )
    for i, name in enumerate(header):
        without = [[c for j, c in enumerate(r) if j != i] for r in records]
        meant = NONSENSE if name in REQUIRED[table] else OTHER
        yield case(f"without {name}", meant, write_csv(without))
        yield case(f"{name} twice", NONSENSE, write_csv([[*r, r[i]] for r in records]))
        misspelt = [[*header[:i], f"{name}x", *header[i + 1 :]], *rows]
        yield case(f"{name} misspelt", NONSENSE, write_csv(misspelt))
        if i + 1 < len(header):
            order = [*range(i), i + 1, i, *range(i + 2, len(header))]
            same = find_kind(table, name) == find_kind(table, header[i + 1])
            swapped = [header, *([r[j] for j in order] for r in rows)]
            if swapped[1:] != rows:
                yield case(
                    f"{name} and the next swapped", OTHER if same else ODD, write_csv(swapped)
                )


def _quote_all(records: Records) -> bytes:
    text = io.StringIO()
    csv.writer(text, quoting=csv.QUOTE_ALL).writerows(records)
    return text.getvalue().encode()


def list_small_cases() -> Iterator[Case]:
    """All cases of the small yard's tables."""
    for table, rows in TABLES.items():
        records = make_records(rows)
        yield from list_shape_cases(table, records)
        filled = range(1, len(records))
        # The first row is filled; of the others one cell of each column is enough.
        yield from list_cell_cases(table, records, [1])
        others = [row for row in filled if row > 1][:1]
        for case in list_cell_cases(table, records, others):
            if random.Random(case.name).random() < 0.15:
                yield case


def list_sample_cases(count: int, seed: int) -> Iterator[Case]:
    """Some cases of the sample's tables, drawn by lot: any column, any row."""
    dice = random.Random(seed)
    tables = {
        name.removesuffix(".csv"): read_records(data)
        for name, data in list_sample_files().items()
        if name.endswith(".csv")
    }
    for _ in range(count):
        table = dice.choice(sorted(tables))
        records = tables[table]
        row = dice.randrange(1, len(records))
        cases = list(list_cell_cases(table, records, [row]))
        if dice.random() < 0.25:
            cases = list(list_shape_cases(table, records))
        yield dice.choice(cases)
