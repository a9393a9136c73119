"""The one table of rules: every row has its functions, its words, and where its numbers stand.

The ids are those that are published, and the four by which a circuit is held to itself.
"""

from __future__ import annotations

import ast
from functools import reduce
from importlib import import_module
from inspect import getdoc

import pytest

from tests.house import tables
from tests.house.floors import PACKAGE
from tripkit.words.english import SENTENCES
from tripkit.yard.limits import LIMITS
from tripkit.yard.rules import RULES, SCOPES, CircuitRule

PUBLISHED = (
    *("window", "closed", "eligible", "cleared", "cap", "recovery", "travel-rest", "fit", "break"),
    *(
        "rider",
        "most-outings",
        "attended",
        "bases",
        "stabling",
        "places",
        "one-place",
        "driving",
        "locked",
        "budget",
    ),
)
MOST_NAMED = 4
OF_ITSELF = ("past", "days", "totals", "figures")


def find(folder: str, named: str) -> object:
    """What the table names, `room.function` of a folder."""
    room, *names = named.split(".")
    return reduce(getattr, names, import_module(f"tripkit.{folder}.{room}"))


def test_the_table_holds_the_rules_that_are_published():
    """In its order; the planner keeps them all, the others hold a circuit as written."""
    assert tuple(rule.id for rule in RULES) == (*PUBLISHED, *OF_ITSELF)
    planned = tuple(rule.id for rule in RULES if rule.planned_by)
    kept = tuple(rule for rule in PUBLISHED if rule != "attended")
    assert planned in (kept, tuple(rule for rule in kept if rule != "bases"))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_row_is_whole(rule: CircuitRule):
    """Scopes that are known, limits that have an origin, a source, words of its own."""
    assert rule.scopes
    assert set(rule.scopes) <= set(SCOPES)
    assert set(rule.limits) <= set(LIMITS)
    assert rule.limits or rule.sources
    assert {f"judging.{form}-{rule.id}" for form in ("name", "demand", "bar")} <= set(SENTENCES)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_each_side_has_the_functions_that_the_row_names(rule: CircuitRule):
    """The judge's says the rule in its first line; the planner's name the rule they keep."""
    first = (getdoc(find("judging", rule.judged_by)) or "").splitlines()[0]
    assert first.endswith(".")
    assert len(first) > 30
    for named in filter(None, (rule.forbidden_by, rule.clash_judged_by, rule.beside_judged_by)):
        assert getdoc(find("judging", named))
    assert bool(rule.clash_judged_by) is bool(rule.clash_planned_by)
    for named in filter(None, (*rule.planned_by, rule.clash_planned_by)):
        assert f"`{rule.id}`" in (getdoc(find("planning", named)) or ""), named


@pytest.mark.parametrize("table", tables.TABLES, ids=lambda table: table.name)
def test_the_guides_table_is_drawn_from_the_rows(table: tables.Table):
    """`python -m tests.house.tables` draws it anew."""
    assert table.put_into(table.text) == table.text


def test_no_other_room_holds_a_list_of_rules():
    """Who needs some of the rules takes them from the table; words have a row a rule."""
    ids = {rule.id for rule in RULES}
    lists = []
    for path in sorted(PACKAGE.rglob("*.py")):
        room = str(path.relative_to(PACKAGE))
        if room in ("yard/rules.py", "words/english/judging.py"):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            items = node.keys if isinstance(node, ast.Dict) else getattr(node, "elts", ())
            named = {item.value for item in items if isinstance(item, ast.Constant)}
            if len(named & ids) >= MOST_NAMED:
                lists.append(f"{room}:{node.lineno}")
    assert lists == []
