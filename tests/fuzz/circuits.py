"""Cases of a circuits file: each place in it with other values, taken away, doubled, turned round.

A case is `odd` unless it means the same: it must be refused, or break a rule by the judge.
"""

from __future__ import annotations

import json
import traceback
from collections.abc import Callable, Iterator
from copy import deepcopy
from functools import partial
from pathlib import Path
from typing import Any

import tripkit
from tests.fuzz.cells import ALIKE, NONSENSE, ODD
from tests.fuzz.folders import FOLDER, LOCKED, Case
from tests.fuzz.outcome import REFUSED, SAID, SAME, SHOWS, TRACEBACK, Outcome, write_file
from tests.patience import PATIENCE_SECONDS
from tripkit.yard.errors import BadCircuits, TripkitError

FILE = "c.json"
HUGE, NAN, MINUS_INFINITE = "\x00huge", "\x00nan", "\x00minus infinite"
RAW = {HUGE: "9" * 1000, NAN: "NaN", MINUS_INFINITE: "-Infinity", "\x00far": "1e999"}
VALUES: dict[str, Any] = {
    "null": None,
    "true": True,
    "minus one": -1,
    "thousand digits": HUGE,
    "largest float": 1.7e308,
    "beyond floats": "\x00far",
    "not a number": NAN,
    "minus infinite": MINUS_INFINITE,
    "fraction": 0.1,
    "empty text": "",
    "word": "later",
    "lone surrogate": "\ud800",
    "nul": "A\x00B",
    "escape": "\x1b[2J",
    "right to left": "A\u202eB",
    "long": "x" * 5000,
    "list": [],
    "object": {},
    "deep": [[[[[[]]]]]],
}
DATES = {"year 1": "0001-01-01", "year 9999": "9999-12-31", "before the season": "2026-12-31"}
MOMENTS = {
    "year 1": "0001-01-01T00:00+14:00",
    "year 9999": "9999-12-31T23:59-14:00",
    "a day's offset": "2027-04-07T07:00+23:59",
    "no offset": "2027-04-07T07:00",
    "another offset": "2027-04-07T07:00+00:00",
}
SHORT_LIST = 2

Place = tuple[Any, ...]


def make_document(folder: Path) -> dict[str, Any]:
    """The document of one circuit of the folder's yard, as the planner makes it."""
    yard = tripkit.read_yard(folder)
    circuits = tripkit.plan(yard, keep=1, seconds=PATIENCE_SECONDS)
    tripkit.write_circuits(folder / FILE, yard, circuits)
    document: dict[str, Any] = json.loads((folder / FILE).read_text(encoding="utf-8"))
    return document


def write_document(document: Any) -> bytes:
    """A document as JSON, with the numbers that JSON has no room for."""
    text = json.dumps(document, allow_nan=False)
    for sign, raw in RAW.items():
        text = text.replace(json.dumps(sign), raw)
    return text.encode()


def list_places(node: Any, at: Place = ()) -> Iterator[tuple[Place, Any]]:
    """Every place of a document and what stands there; of longer lists the middle."""
    if at:
        yield at, node
    if isinstance(node, dict):
        for key, value in node.items():
            yield from list_places(value, (*at, key))
    if isinstance(node, list):
        for number in range(len(node)) if len(node) <= SHORT_LIST else (len(node) // 2,):
            yield from list_places(node[number], (*at, number))


def list_circuit_cases(document: dict[str, Any]) -> Iterator[Case]:
    """All cases of a document."""
    for at, value in list_places(document):
        where = f"{FILE}:{'.'.join(map(str, at))}"
        for what, meant, wanted in _list_values(value):
            yield _make_case(f"{where}:{what}", meant, partial(_replace, document, at, wanted))
        yield _make_case(f"{where}:missing", ODD, partial(_remove, document, at))
        if isinstance(at[-1], int):
            yield _make_case(f"{where}:doubled", ODD, partial(_double, document, at))
    plain = write_document(document)
    whole = {
        "empty": (NONSENSE, b""),
        "cut off": (NONSENSE, plain[: len(plain) // 2]),
        "byte order mark": (ALIKE, b"\xef\xbb\xbf" + plain),
        "UTF-16": (NONSENSE, plain.decode().encode("utf-16")),
        "not UTF-8": (NONSENSE, plain.replace(b"home", b"h\xffme", 1)),
        "deep": (NONSENSE, b"[" * 100_000),
        "key twice": (NONSENSE, plain.replace(b'"yard":', b'"yard": "Other", "yard":', 1)),
        "unknown key": (ALIKE, plain.replace(b'"yard":', b'"colour": 1, "yard":', 1)),
        "keys turned round": (ALIKE, json.dumps(dict(reversed(document.items()))).encode()),
        "a list": (NONSENSE, b"[]"),
        "a number": (NONSENSE, b"9" * 5000),
        "missing": (NONSENSE, None),
        "a folder": (NONSENSE, FOLDER),
        "locked": (NONSENSE, LOCKED),
        "web page": (NONSENSE, b"<!DOCTYPE html>"),
    }
    for what, (meant, data) in whole.items():
        yield Case(f"{FILE}::{what}", FILE, meant, {FILE: data})


def _make_case(name: str, meant: str, write: Callable[[], bytes]) -> Case:
    return Case(name, FILE, meant, write=lambda: {FILE: write()})


def _list_values(value: Any) -> Iterator[tuple[str, str, Any]]:
    for what, other in VALUES.items():
        if other != value or type(other) is not type(value):
            yield what, ODD, other
    if isinstance(value, bool):
        yield "turned", ODD, not value
    elif isinstance(value, int | float):
        yield "one more", ODD, value + 1
        yield "a hundredth more", ODD, value + 0.01
        yield "doubled", ODD, value * 2 + 1
        yield "as text", ODD, str(value)
    elif isinstance(value, str):
        yield "other case", ODD, value.swapcase()
        yield "blank behind", ODD, f"{value} "
        yield from ((what, ODD, day) for what, day in {**DATES, **MOMENTS}.items() if day != value)
    elif isinstance(value, list):
        yield "turned round", ODD, value[::-1]
        yield "twice", ODD, value * 2
        yield "null inside", ODD, [*value, None]


def _change(document: dict[str, Any], at: Place) -> tuple[dict[str, Any], Any]:
    changed = deepcopy(document)
    node: Any = changed
    for step in at[:-1]:
        node = node[step]
    return changed, node


def _replace(document: dict[str, Any], at: Place, value: Any) -> bytes:
    changed, node = _change(document, at)
    node[at[-1]] = value
    return write_document(changed)


def _remove(document: dict[str, Any], at: Place) -> bytes:
    changed, node = _change(document, at)
    del node[at[-1]]
    return write_document(changed)


def _double(document: dict[str, Any], at: Place) -> bytes:
    changed, node = _change(document, at)
    node.insert(at[-1], deepcopy(node[at[-1]]))
    return write_document(changed)


class CircuitBench:
    """A yard's folder with a circuits file in it, on which cases are tried."""

    def __init__(self, folder: Path, document: dict[str, Any]) -> None:
        self.path, self.yard = folder / FILE, tripkit.read_yard(folder)
        self.path.write_bytes(write_document(document))
        self.circuits = tripkit.read_circuits(self.path, self.yard)
        self.plain = self.path.read_bytes()
        broken = [v for c in self.circuits for v in tripkit.judge(self.yard, c)]
        assert not broken, broken

    def try_case(self, case: Case) -> Outcome:
        """The file is read, judged, made into frames and calendars, compared."""
        write_file(self.path, case.files[FILE])
        try:
            return self._read(case)
        except BadCircuits as error:
            words = str(error)
            return Outcome(case, REFUSED if words.startswith(FILE) else SHOWS, words[:240])
        except TripkitError as error:
            return Outcome(case, TRACEBACK, f"{type(error).__name__}: {error}"[:240])
        except Exception as error:
            where = traceback.extract_tb(error.__traceback__)[-1]
            words = f"{type(error).__name__}: {error} ({where.filename}:{where.lineno})"
            return Outcome(case, TRACEBACK, words[:300])
        finally:
            write_file(self.path, self.plain)

    def _read(self, case: Case) -> Outcome:
        circuits = tripkit.read_circuits(self.path, self.yard)
        broken = [v for c in circuits for v in tripkit.judge(self.yard, c)]
        for circuit in circuits if circuits != self.circuits else ():
            self._use(circuit)
        if broken:
            return Outcome(case, SAID, f"{broken[0].rule}: {broken[0]}"[:200])
        return Outcome(case, SAME if circuits == self.circuits else SHOWS)

    def _use(self, circuit: Any) -> None:
        from tripkit.pages.entry_sheets import list_show_sheets
        from tripkit.pages.travel_sheet import write_travel_sheets
        from tripkit.publishing.events import list_all_events
        from tripkit.publishing.readers import list_readers

        tables = tripkit.tables
        violations = tripkit.judge(self.yard, circuit)
        tables.violations_table(violations)
        tables.circuits_table([circuit])
        for table in (tables.outings_table, tables.legs_table, tables.days_table):
            table(circuit)
        if not circuit.exists:
            return
        tables.costs_table(self.yard, circuit)
        tripkit.compare(self.yard, self.circuits[0], circuit)
        list_all_events(self.yard, circuit, list_readers(self.yard))
        list_show_sheets(self.yard, circuit)
        write_travel_sheets(self.yard, circuit)
