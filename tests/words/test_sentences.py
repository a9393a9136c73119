"""Facts first, words last: no sentence is made below `words`, and none is ever taken apart."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import tripkit
from tests.house import floors

PACKAGE = Path(tripkit.__file__).parent
CUTTERS = {
    *("split", "rsplit", "partition", "rpartition", "splitlines", "removeprefix", "removesuffix"),
    *("startswith", "endswith", "replace", "find", "index"),
}
TOLD = {"answer", "fact", "problem", "reason", "remark", "said", "sentence", "told", "verdict"}
"""How a text that was told is called."""

FIRST_WORDS = 4
SOURCES = {
    "driving.crews": "the message of an assertion",
    "eligibility.categories": "units of a rule book",
    "eligibility.checklist": "sources",
    "eligibility.classes": "sources",
    "eligibility.vaccination": "what users write into a note",
    "explaining.days": "sources",
    "explaining.figures": "sources",
    "explaining.outing": "sources",
    "explaining.reasons": "sources",
    "season.vetlist": "sources",
    "yard.circuit": "words of the circuits' file",
    "yard.facts": "a type",
    "yard.limits": "what a number means and where it comes from",
    "yard.rules": "files that a rule rests on",
    "yard.yard": "what a debugger shows",
}
"""Rooms below words that hold text of four words or more, and what it is."""

LEFT = {
    "commands.line": "what an option is for, beside the option",
    "dashboard.provenance": "a key of the store",
    "files.columns": "what a column means, for the handbook",
    "files.settings": "what a setting means, for the handbook",
    "files.values": "a pattern",
    "pages.notebook": "a head of a table",
    "pictures.route_map_forms": "a style sheet",
    "publishing.addresses": "the title of a drawing",
    "roads.allowed": "why a server is not asked",
    "roads.gazetteer": "SQL",
    "roads.online_places": "why a server gave no answer",
    "roads.online_roads": "why a server gave no answer",
    "rulebooks.__init__": "a unit of a rule book",
    "serve.app": "where the page is, for the terminal that serves it",
    "serve.handlers": "a line of the log",
    "serve.shelf": "a line of the log",
    "store.database": "SQL; what is wrong with the store",
    "store.keeping": "SQL",
}
"""The same of the rooms above them: what is no sentence, or is told here as yet."""

WORD = re.compile(r"(?<![\w./-])[a-z]{2,}(?![\w/])")
TAG = re.compile(r"</?[a-z][^>]*(?:>|$)")


def list_rooms(*, below: bool) -> Iterator[Path]:
    """The rooms of the folders below words, or of those above."""
    layers = floors.read_layers()
    place = layers.index(["words"])
    for layer in layers[place + 1 :] if below else layers[:place]:
        for folder in layer:
            yield from sorted((PACKAGE / folder).glob("*.py"))


def list_texts(path: Path) -> Iterator[str]:
    """Every text of a room that is no docstring, what is put into it left out."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    passed = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            passed.add(node.value)
        if isinstance(node, ast.JoinedStr):
            passed |= {part for part in ast.walk(node) if part is not node}
    for node in ast.walk(tree):
        if node in passed:
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value
        elif isinstance(node, ast.JoinedStr):
            parts = [p.value for p in node.values if isinstance(p, ast.Constant)]
            yield " X ".join(map(str, parts))


def find_sentences(rooms: Iterable[Path]) -> set[str]:
    """The rooms that hold a text of several words beside tags."""
    return {
        f"{path.parent.name}.{path.stem}"
        for path in rooms
        for text in list_texts(path)
        if len(WORD.findall(TAG.sub("", text))) >= FIRST_WORDS
    }


def test_no_sentence_is_made_below_words():
    """Where text of several words stands below, it is a source, a law's article or a unit."""
    found = find_sentences(list_rooms(below=True))
    assert found - set(SOURCES) == set()
    assert set(SOURCES) - found == set()


def test_no_sentence_is_made_above_words():
    """Commands, files and the page state facts and take labels from words, but for a list."""
    found = find_sentences(list_rooms(below=False))
    assert found - set(LEFT) == set()
    assert set(LEFT) - found == set()


def list_cuts(path: Path) -> Iterator[str]:
    """Each place that cuts or searches what was told."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
            continue
        of = node.func.value
        if isinstance(of, ast.Name) and of.id == "re" and len(node.args) > 1:
            of = node.args[1]
        elif node.func.attr not in CUTTERS:
            continue
        if _is_told(of):
            yield f"{path.relative_to(PACKAGE)}:{node.lineno}: {ast.unparse(node)[:80]}"


def _is_told(node: ast.expr) -> bool:
    if isinstance(node, ast.Name):
        return node.id in TOLD
    if isinstance(node, ast.Attribute):
        return node.attr in TOLD
    if isinstance(node, ast.Call):
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        return name.startswith("tell") or (name in CUTTERS and _is_told(node.func.value))
    return False


def test_nothing_takes_a_told_sentence_apart():
    """Whoever needs a value of a fact asks the fact for it."""
    assert [cut for path in sorted(PACKAGE.rglob("*.py")) for cut in list_cuts(path)] == []
