"""The machine that puts faults in: its faults are valid Python, its choice stays, its list is true.

The faults themselves are tried by `python -m tests.mutants.run` only.
"""

from __future__ import annotations

import ast

import pytest

from tests.mutants.choosing import PACKAGE, ROOMS, ROOT, choose_mutants, list_room, list_tests
from tests.mutants.operators import list_mutants, put_in
from tests.mutants.run import read_survivors

SOURCE = '''
"""Words."""
TABLE = {"a": 1, "b": 2}

class Horse:
    """More words."""

    def count(self, days: int = 7) -> int:
        """And more."""
        total = 0
        for day in range(days):
            if day % 2 == 0 and not day > 4:
                total += max(day, 1)
        return total // 2
'''


def describe(source: str) -> set[tuple[str, str]]:
    """Where a fault is and what it changes."""
    return {(mutant.function, mutant.change) for mutant in list_mutants("room/file.py", source)}


@pytest.mark.parametrize(
    ("function", "change"),
    [
        ("-", "'a' -> no row"),
        ("-", "2 -> 3"),
        ("Horse.count", "7 -> 8"),
        ("Horse.count", "for day in range(days) -> only the first"),
        ("Horse.count", "if day % 2 == 0 and (not day > 4) -> if True"),
        ("Horse.count", "day % 2 == 0 -> day % 2 != 0"),
        ("Horse.count", "day % 2 == 0 and (not day > 4) -> day % 2 == 0 or not day > 4"),
        ("Horse.count", "not day > 4 -> day > 4"),
        ("Horse.count", "day > 4 -> day >= 4"),
        ("Horse.count", "total += max(day, 1) -> total -= max(day, 1)"),
        ("Horse.count", "max(day, 1) -> min(day, 1)"),
        ("Horse.count", "total // 2 -> total * 2"),
    ],
)
def test_faults_are_those_that_people_make(function: str, change: str) -> None:
    """A limit off by one, a sign turned, a guard, a row or all rounds but the first lost."""
    assert (function, change) in describe(SOURCE)


def test_words_have_no_faults() -> None:
    """Texts, docstrings, annotations and messages stay as they are."""
    source = (
        'def tell(days: int) -> str:\n    """Words."""\n    raise BadValue(f"{days + 1} days")\n'
    )
    assert describe(source) == set()
    assert describe("def pair(a, b):\n    return zip(a, b, strict=True)\n") == set()


def test_a_file_has_one_fault_at_a_time() -> None:
    """Each is valid Python and unlike the file without it."""
    unchanged = ast.unparse(ast.parse(SOURCE))
    for mutant in list_mutants("room/file.py", SOURCE):
        changed = put_in(SOURCE, mutant)
        compile(changed, mutant.file, "exec")
        assert changed != unchanged


@pytest.fixture(scope="module")
def faults():
    """Every fault of two rooms."""
    return {room: list_room(room) for room in ("driving", "yard")}


def test_the_same_seed_takes_the_same_faults(faults) -> None:
    """The rooms in turn; another seed takes others."""
    chosen = choose_mutants(faults, 1, 20)
    assert chosen == choose_mutants({room: found[::-1] for room, found in faults.items()}, 1, 20)
    assert [mutant.file.partition("/")[0] for mutant in chosen] == ["driving", "yard"] * 10
    assert chosen != choose_mutants(faults, 2, 20)
    assert chosen[:6] == choose_mutants(faults, 1, 6)


def test_a_chosen_fault_can_be_put_in(faults) -> None:
    """Into the file it was found in, as Python that compiles."""
    for mutant in choose_mutants(faults, 1, 20):
        source = (PACKAGE / mutant.file).read_text(encoding="utf-8")
        compile(put_in(source, mutant), mutant.file, "exec")


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_has_tests_to_find_its_faults(room: str) -> None:
    """They stand in the folder of its name, and are there."""
    for path in sorted((PACKAGE / room).glob("*.py")):
        source = path.read_text(encoding="utf-8")
        for mutant in list_mutants(f"{room}/{path.name}", source)[:1]:
            doctests, *tests = list_tests(mutant)
            assert doctests == f"tripkit/{mutant.file}"
            assert [name for name in tests if not (ROOT / name).is_file()] == []
            assert [name for name in tests if name.startswith(f"tests/{room}/")]


def test_every_fault_that_may_live_is_in_a_function_that_is_there() -> None:
    """And has a reason."""
    for (file, function, _), reason in read_survivors().items():
        tree = ast.parse((PACKAGE / file).read_text(encoding="utf-8"))
        names = {node.name for node in ast.walk(tree) if hasattr(node, "name")}
        assert set(function.split(".")) <= names | {"-"}, f"{file} has no {function}"
        assert reason
