"""Which faults a run takes, and which tests could find them."""

from __future__ import annotations

from hashlib import sha256
from itertools import chain, zip_longest
from pathlib import Path

from tests.mutants.operators import Mutant, list_mutants

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "tripkit"

# A room's tests stand in the folder of its name; these rooms are held by others as well.
BESIDE = {
    "yard": ("tests/judging", "tests/season", "tests/eligibility"),
    "eligibility": ("tests/judging",),
    "driving": ("tests/judging",),
    "planning": ("tests/season",),
}
ROOMS = ("judging", "planning", "season", "driving", "eligibility", "publishing", "yard")
# These search hundreds of seasons or start servers: minutes each, and seldom the first to find.
SLOW = (
    "planning/test_against_libraries.py",
    "planning/test_answers.py",
    "planning/test_begun_seasons.py",
    "planning/test_brute_force.py",
    "planning/test_cores.py",
    "planning/test_stopping.py",
    "publishing/test_feed_commands.py",
    "publishing/test_subscriber_machine.py",
)


def list_room(room: str) -> list[Mutant]:
    """Every fault of a room, by file and place."""
    return [
        mutant
        for path in sorted((PACKAGE / room).glob("*.py"))
        for mutant in list_mutants(f"{room}/{path.name}", path.read_text(encoding="utf-8"))
    ]


def choose_mutants(mutants: dict[str, list[Mutant]], seed: int, count: int) -> list[Mutant]:
    """So many faults, the rooms in turn; the same seed takes the same from the same code.

    Each fault has its own lot, so that a change elsewhere in the code leaves the choice alone.
    """
    drawn = [sorted(faults, key=lambda m: _draw_lot(seed, m)) for faults in mutants.values()]
    turns = chain.from_iterable(zip_longest(*drawn))
    return [mutant for mutant in turns if mutant is not None][:count]


def _draw_lot(seed: int, mutant: Mutant) -> tuple[str, int]:
    told = f"{seed} {mutant.file} {mutant.function} {mutant.change}"
    return sha256(told.encode()).hexdigest(), mutant.number


def list_tests(mutant: Mutant) -> list[str]:
    """The doctests of the file, the tests that import it, then the others of its room, in order."""
    room, _, name = mutant.file.partition("/")
    module = f"tripkit.{room}.{name.removesuffix('.py')} import"
    own = _list_files(ROOT / "tests" / room)
    beside = [path for folder in BESIDE.get(room, ()) for path in _list_files(ROOT / folder)]
    asking = [path for path in own + beside if module in path.read_text(encoding="utf-8")]
    files = asking + [path for path in own if path not in asking]
    return [f"tripkit/{mutant.file}", *(str(path.relative_to(ROOT)) for path in files)]


def _list_files(folder: Path) -> list[Path]:
    files = sorted(folder.glob("test_*.py"))
    return [path for path in files if f"{folder.name}/{path.name}" not in SLOW]
