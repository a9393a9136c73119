"""The house keeps its own rules: floors, style, types, sizes, words.

The rules are those of the project's DEVELOPERS.md; each test names the one it holds.
"""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
import tomllib
from functools import cache, reduce
from importlib import import_module
from pathlib import Path

import pytest

import tripkit
from tests.house import floors
from tests.patience import PATIENCE_SECONDS

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "tripkit"
SETTINGS = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
CONTRACTS = {c["id"]: c for c in SETTINGS["tool"]["importlinter"]["contracts"]}
FOLDERS = [name.removeprefix("tripkit.") for name in CONTRACTS["ground"]["source_modules"]]
GROUND = sorted(path for folder in FOLDERS for path in (PACKAGE / folder).glob("*.py"))
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
LONGEST_FILE = 900
# What reads files, the clock, the environment or the network.
OUTSIDE = {
    "asyncio",
    "glob",
    "http",
    "io",
    "locale",
    "os",
    "pathlib",
    "platform",
    "random",
    "secrets",
    "shutil",
    "socket",
    "sqlite3",
    "subprocess",
    "sys",
    "tempfile",
    "threading",
    "time",
    "urllib",
}
CLOCKS = {"today", "now", "utcnow", "fromtimestamp"}


def list_sources(*folders):
    return sorted(p for folder in folders for p in (ROOT / folder).rglob("*.py"))


@cache
def read_tree(path):
    return ast.parse(path.read_text(encoding="utf-8"), str(path))


def run_tool(*command):
    done = subprocess.run(
        [sys.executable, *command],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=PATIENCE_SECONDS,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-4000:]


# Tools


def test_ruff_finds_nothing():
    """Rules E, F, I, B, SIM, RUF, PT, UP, and D on the public names of the package."""
    run_tool("-m", "ruff", "check", "--no-cache", ".")


def test_ruff_would_format_nothing():
    """One format for all files."""
    run_tool("-m", "ruff", "format", "--check", "--no-cache", ".")


def test_mypy_finds_nothing():
    """Strict on the ground floor and wherever the outside has types."""
    run_tool("-m", "mypy", f"--cache-dir={os.devnull}")


def test_rooms_import_only_from_floors_below():
    """import-linter: floors, ground, judge apart from planner, views apart from annexes."""
    lint = (
        "from importlinter.cli import lint_imports; raise SystemExit(lint_imports(no_cache=True))"
    )
    run_tool("-c", lint)


# Floors


def test_every_ground_floor_room_is_held_to_the_standard_library():
    """What stands below the annexes in the layers is listed in the contract of the ground floor."""
    layers = [room.strip() for layer in _list_layers() for room in layer.split("|")]
    assert set(layers[layers.index("explaining") :]) == set(FOLDERS)


def _list_layers():
    return CONTRACTS["floors"]["layers"]


@pytest.mark.parametrize("room", GROUND, ids=lambda path: f"{path.parent.name}.{path.stem}")
def test_a_ground_floor_room_asks_nothing_outside(room):
    """Standard library only; no file, clock, environment or network."""
    tree = read_tree(room)
    imported, called = set(), set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            imported |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            imported.add((node.module or "").split(".")[0])
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            called.add(node.func.id)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            called.add(node.func.attr)
    assert imported - {"tripkit"} <= set(sys.stdlib_module_names)
    assert imported & OUTSIDE == set()
    assert called & {"open", "input", "print", *CLOCKS} == set()


@pytest.mark.parametrize(
    ("path", "marks", "draw"),
    [
        (floors.GUIDE, floors.IN_GUIDE, floors.draw_guide),
        (floors.FRONT, floors.IN_FRONT, floors.draw_front),
    ],
    ids=["guide", "package"],
)
def test_the_map_of_the_floors_is_drawn_from_the_settings(path, marks, draw):
    """One map of the floors: `python -m tests.house.floors` draws the others from it."""
    text = path.read_text(encoding="utf-8")
    assert floors.put_between(text, marks, draw()) == text


def test_every_folder_says_what_it_never_imports():
    """Five lines: what it is for, its doors, and what it must never import."""
    for layer in floors.read_layers():
        for folder in layer:
            path = PACKAGE / folder / "__init__.py"
            if path.exists():
                said = ast.get_docstring(read_tree(path)) or ""
                assert re.search(r"^(Never imports?|Never imported) ", said, re.M), folder


def test_every_room_that_the_guides_name_is_there():
    """`folder/room` in DEVELOPERS.md and in the folders' docstrings leads to a file."""
    heads = [ast.get_docstring(read_tree(path)) or "" for path in PACKAGE.glob("*/__init__.py")]
    text = "\n".join((floors.GUIDE.read_text(encoding="utf-8"), *heads))
    folders = {path.name for path in PACKAGE.iterdir() if path.is_dir()}
    named = re.findall(r"`(?:tripkit/)?([a-z_]+)/([a-z_]+)[`./]", text)
    rooms = {(folder, room) for folder, room in named if folder in folders}
    assert len(rooms) > 20
    missing = [
        f"{folder}/{room}"
        for folder, room in sorted(rooms)
        if not any((PACKAGE / folder).glob(f"{room}*"))
    ]
    assert missing == []


def test_every_function_that_the_guide_names_exists():
    """`folder/room.function` in DEVELOPERS.md is found in that room."""
    named = re.findall(r"`([a-z_/]+/[a-z_]+)\.([A-Za-z_.]+)`", DEVELOPERS)
    asked = [(room, name) for room, name in named if (PACKAGE / f"{room}.py").exists()]
    assert len(asked) > 20
    for room, name in asked:
        if name not in ("py", "toml"):
            module = import_module(f"tripkit.{room.replace('/', '.')}")
            assert reduce(getattr, name.split("."), module) is not None


# Style that no tool checks


@pytest.mark.parametrize("path", list_sources("tripkit"), ids=lambda p: str(p.relative_to(ROOT)))
def test_a_room_stays_small_and_finished(path):
    """At most 900 lines, and nothing left to do later."""
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= LONGEST_FILE
    unfinished = "TO" + "DO|FIX" + "ME|XX" + "X|NotImplemented" + "Error|pragma: no cover"
    assert re.findall(rf"\b({unfinished})\b", text) == []
    assert not re.search(r"except( Exception)?:\s*(pass)?$", text, flags=re.MULTILINE)


def test_every_test_says_what_it_holds():
    """One sentence as docstring, for every test of the project."""
    silent = [
        f"{path.name}:{node.lineno}"
        for path in list_sources("tests")
        for node in ast.walk(read_tree(path))
        if isinstance(node, ast.FunctionDef)
        and node.name.startswith("test_")
        and not ast.get_docstring(node)
    ]
    assert silent == []


def test_no_file_names_a_machine():
    """Paths are relative, so that a clone works anywhere."""
    folders = "|".join(("work", "farm", "root", "home/[a-z]", "Users"))
    wrong = [
        str(path.relative_to(ROOT))
        for path in [*list_sources("tripkit", "tests"), *ROOT.glob("*.md"), ROOT / "pyproject.toml"]
        if re.search(rf"(^|[\s\"'(=])/({folders})/", path.read_text(encoding="utf-8"))
    ]
    assert wrong == []


def test_served_and_drawn_pages_ask_nobody_else():
    """No script, style or font comes from another address."""
    wrong = [
        str(path.relative_to(ROOT))
        for path in PACKAGE.rglob("*")
        if path.suffix in {".py", ".js", ".css", ".html", ".j2"}
        and re.search(r"https?://(cdn|unpkg|esm\.sh|fonts\.)", path.read_text(encoding="utf-8"))
    ]
    assert wrong == []


def test_html_stands_in_templates():
    """No string in Python holds a tag; drawings, a workbook's cells and a record's name may."""
    may = {"files/sheetcells.py", "season/comparison.py", "yard/circuit.py", "yard/yard.py"}
    wrong = [
        f"{path.relative_to(PACKAGE)}:{text.lineno}"
        for path in list_sources("tripkit")
        if path.parent.name != "pictures" and path.relative_to(PACKAGE).as_posix() not in may
        for text in _list_texts(read_tree(path))
        # Behind a question mark it is a group of a regular expression.
        if re.search(r"(?<![?P])<[a-zA-Z/!]", text.value)
    ]
    assert wrong == []


def _list_texts(tree):
    told = {node.value for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    texts = (node for node in ast.walk(tree) if isinstance(node, ast.Constant))
    return [text for text in texts if isinstance(text.value, str) and text not in told]


def test_no_template_leaves_anything_unescaped():
    """What is ready markup has its type from Python; the form's token of the server has none."""
    unescaped = {
        (path.relative_to(PACKAGE).as_posix(), line.strip())
        for path in PACKAGE.rglob("*.html")
        for line in path.read_text(encoding="utf-8").splitlines()
        if re.search(r"\|\s*safe\b|\bautoescape\b", line)
    }
    assert {name for name, _ in unescaped} <= {"serve/templates/login.html"}


def test_no_test_takes_the_time():
    """Speed is measured in tests/bench: a bound in seconds holds on one machine only."""
    clocks = {"perf_counter", "perf_counter_ns", "process_time", "process_time_ns", "thread_time"}
    measuring = {"tests/bench", "tests/fuzz/measure.py", "tests/lived/season.py"}
    timed = [
        f"{path.relative_to(ROOT)}:{node.lineno}"
        for path in list_sources("tests")
        if not any(part in path.as_posix() for part in measuring)
        for node in ast.walk(read_tree(path))
        if (isinstance(node, ast.Attribute) and node.attr in clocks)
        or (isinstance(node, ast.keyword) and node.arg == "deadline")
    ]
    assert [name for name in timed if "tests/conftest.py" not in name] == []


@pytest.mark.parametrize(
    ("module", "ours"),
    [
        # As Python's documentation of warnings has it: of a file that is being compiled the
        # module is the path without ".py".
        ("/opt/tripkit/.venv/lib/python3.14/site-packages/vobject/base", False),
        ("C:\\tests\\.venv\\Lib\\site-packages\\vobject\\base", False),
        ("vobject.base", False),
        ("numpy.tests.test_all", False),
        ("tripkit.files.reader", True),
        ("tests.build", True),
        ("/opt/tripkit/tripkit/files/reader", True),
        ("C:\\tripkit\\tests\\test_doors", True),
    ],
)
def test_only_what_our_own_lines_do_is_an_error(module, ours):
    """What a newer Python says of other packages' source fails nobody."""
    first, *others = SETTINGS["tool"]["pytest"]["ini_options"]["filterwarnings"]
    assert first == "error"
    assert [line.split(":")[2] for line in others] == ["SyntaxWarning", "DeprecationWarning"]
    assert [bool(re.match(line.split(":")[3], module)) for line in others] == [not ours] * 2


# Packaging


def test_dependencies_are_those_that_developers_explains():
    """Each dependency has its row in DEVELOPERS.md: why, licence, what breaks without it."""
    named = [re.split(r"[><=\[]", line)[0] for line in SETTINGS["project"]["dependencies"]]
    assert [name for name in named if f"| {name} |" not in DEVELOPERS] == []


def test_every_dependency_has_a_lower_bound():
    """Nobody gets a version older than those the project was made with."""
    project = SETTINGS["project"]
    lines = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    assert [line for line in lines if ">=" not in line] == []


def test_what_the_package_imports_is_declared():
    """A module of another project is imported only if pyproject.toml asks for it."""
    names = {
        "jupyter_server": "jupyter-server",
        "recurring_ical_events": "recurring-ical-events",
    }
    asked = " ".join(SETTINGS["project"]["dependencies"])
    built = " ".join(SETTINGS["project"]["optional-dependencies"]["build"])
    for path in list_sources("tripkit"):
        wanted = built + asked if path.parent.name == "build" else asked
        for node in ast.walk(read_tree(path)):
            modules = []
            if isinstance(node, ast.Import):
                modules = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and not node.level:
                modules = [node.module or ""]
            for top in {module.split(".")[0] for module in modules}:
                known = top in sys.stdlib_module_names or top in {"tripkit", "tests"}
                assert known or names.get(top, top) in wanted, f"{path.name} imports {top}"


def test_the_version_stands_in_one_place():
    """pyproject.toml takes it from the package."""
    assert SETTINGS["project"]["dynamic"] == ["version"]
    assert SETTINGS["tool"]["hatch"]["version"]["path"] == "tripkit/__init__.py"
    assert re.fullmatch(r"\d+\.\d+\.\d+", tripkit.__version__)
