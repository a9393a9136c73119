"""The one map of the floors is `pyproject.toml`; the guide's and the package's are drawn from it.

`python -m tests.house.floors` writes both anew.
"""

from __future__ import annotations

import ast
import tomllib
from collections import Counter
from pathlib import Path
from textwrap import wrap

import grimp

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "tripkit"
GUIDE = ROOT / "DEVELOPERS.md"
FRONT = PACKAGE / "__init__.py"
IN_GUIDE = ("<!-- floors: drawn by tests.house.floors -->\n", "<!-- end of floors -->\n")
IN_FRONT = ("The folders, from the top floor down\n", '"""\n\nfrom __future__')


def read_layers() -> list[list[str]]:
    """The folders of each floor, the top one first."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = {c["id"]: c for c in settings["tool"]["importlinter"]["contracts"]}
    return [[name.strip() for name in layer.split("|")] for layer in contracts["floors"]["layers"]]


def read_purpose(folder: str) -> str:
    """The first line of a folder's docstring: what it is for."""
    path = PACKAGE / folder / "__init__.py"
    if not path.exists():
        path = PACKAGE / f"{folder}.py"
    return (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or "").splitlines()[0]


def count_imports() -> Counter[tuple[str, str]]:
    """How many imports of modules lead from one folder to another."""
    graph = grimp.build_graph("tripkit", cache_dir=None)
    found: Counter[tuple[str, str]] = Counter()
    for module in graph.modules:
        for other in graph.find_modules_directly_imported_by(module):
            pair = (_name_folder(module), _name_folder(other))
            if pair[0] != pair[1] and all(pair):
                found[pair] += 1
    return found


def _name_folder(module: str) -> str:
    return module.split(".")[1] if "." in module else ""


def draw_guide() -> str:
    """The table of DEVELOPERS.md: floor, folder, what it is for, what it imports."""
    layers = read_layers()
    order = [folder for layer in layers for folder in layer]
    imports = count_imports()
    rows = ["| floor | folder | what it is for | imports |", "|---|---|---|---|"]
    for number, layer in enumerate(layers):
        for folder in layer:
            below = [f"`{other}`" for other in order if imports[folder, other]]
            rows.append(
                f"| {len(layers) - number} | `{folder}` | {read_purpose(folder)} | "
                f"{' '.join(below) or 'nothing'} |"
            )
    return "\n".join(rows) + "\n"


def draw_front() -> str:
    """The list of the package's docstring: a folder a line, with what it is for."""
    lines = ["-" * (len(IN_FRONT[0]) - 1), "::", ""]
    for number, layer in enumerate(read_layers()):
        for folder in layer:
            floor = len(read_layers()) - number
            first, *more = wrap(read_purpose(folder), 76)
            lines.append(f"    {floor:2} {folder:13} {first}")
            lines += [f"{'':21}{line}" for line in more]
    return "\n".join(lines) + "\n"


def put_between(text: str, marks: tuple[str, str], drawn: str) -> str:
    """A text with what stands between two marks drawn anew."""
    before, _, rest = text.partition(marks[0])
    _, _, after = rest.partition(marks[1])
    return before + marks[0] + drawn + marks[1] + after


def main() -> None:
    """Writes the drawings into the guide and the package."""
    for path, marks, drawn in ((GUIDE, IN_GUIDE, draw_guide()), (FRONT, IN_FRONT, draw_front())):
        text = path.read_text(encoding="utf-8")
        path.write_text(put_between(text, marks, drawn), encoding="utf-8")


if __name__ == "__main__":
    main()
