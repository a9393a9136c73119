"""Whole numbers stand in limits.py and the rule books; every other one was looked at.

Scope: the ground floor, where the rules of papers, horses, roads and money are. Rooms upstairs
(files, roads, solver, feeds, dashboard ...) are not looked at, nor are decimals and whole numbers
up to 2. A whole room is free only where `TABLES` names it.
"""

from __future__ import annotations

import ast
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
REVIEWED = ROOT / "tests" / "literals.txt"
SMALL = 2
FREE = {"yard.limits"}
TABLES = {
    *("judging.logbook_entries", "judging.logbook_eu", "judging.logbook_horses"),
    *(
        "judging.logbook_us",
        "driving.rules",
        "driving.leg",
        "driving.day",
        "driving.stages",
        "driving.crews",
    ),
    *("plausibility.rows", "plausibility.rates"),
}
"""Laws of the road with their articles, the timetable's search under them, what is usual."""


def list_rooms() -> list[str]:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    (ground,) = [c for c in contracts if c["id"] == "ground"]
    folders = [ROOT.joinpath(*name.split(".")) for name in ground["source_modules"]]
    return [f"{path.parent.name}.{path.stem}" for folder in folders for path in folder.glob("*.py")]


def find_literals(room: str) -> dict[str, int]:
    """Each whole number above 2 of a room, with the line where it first stands."""
    path = ROOT.joinpath("tripkit", *room.split(".")).with_suffix(".py")
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found: dict[str, int] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and type(node.value) is int and node.value > SMALL:
            found.setdefault(str(node.value), node.lineno)
    return found


def read_reviewed() -> dict[tuple[str, str], str]:
    """The reviewed exceptions: (room, number) to the reason."""
    found = {}
    for line in REVIEWED.read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            room, number, why = line.split(maxsplit=2)
            assert (room, number) not in found, line
            found[room, number] = why
    return found


def test_a_number_outside_the_tables_was_looked_at():
    """A number that a rule or a yard may change belongs into a rule book or limits.py."""
    reviewed = read_reviewed()
    new = [
        f"{room}.py line {line}: {number}"
        for room in list_rooms()
        if room not in FREE and (room, "*") not in reviewed
        for number, line in find_literals(room).items()
        if (room, number) not in reviewed
    ]
    assert new == [], f"write each into {REVIEWED.name} with its reason, or into a table"


def test_no_exception_is_left_over():
    """A reviewed number that is gone takes its line with it; each line says why."""
    rooms = set(list_rooms())

    def is_there(room: str, number: str) -> bool:
        found = find_literals(room)
        return bool(found) if number == "*" else number in found

    spare = [
        f"{room} {number}"
        for (room, number), why in read_reviewed().items()
        if room not in rooms or not why or not is_there(room, number)
    ]
    assert spare == []


def test_only_tables_and_drawings_are_free_as_a_whole():
    """A star in the list is no way round the review."""
    assert {room for room, number in read_reviewed() if number == "*"} == TABLES


def test_the_rooms_of_papers_and_eligibility_have_no_room_free():
    """Where the rules of papers are read, every number is named one by one."""
    free = {room for room, number in read_reviewed() if number == "*"}
    assert [room for room in free if room.startswith("eligibility.")] == []
    assert find_literals("eligibility.checklist") == find_literals("yard.treatments") == {}
