"""The judge states facts with all that their sentences name; lines are made of them elsewhere."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.build import make_entry
from tests.judging.plan import plan, stable
from tripkit.judging import judge
from tripkit.judging.judge import admit, find_violations
from tripkit.words.english import SENTENCES
from tripkit.words.telling import list_placeholders
from tripkit.words.verdicts import write_broken
from tripkit.yard.errors import RulesBroken
from tripkit.yard.facts import Fact

FOLDER = Path(judge.__file__).parent
OF_RULES = ("judging.id-", "judging.name-", "judging.demand-", "judging.bar-")
HANDED_ON = {"horse", "show"}, {"driven_minutes", "since"}
"""What `**` hands on: whom an outing concerns, how much a day of a log was driven."""


def list_states() -> list[ast.Call]:
    """Each `state(...)` of the judge's rooms."""
    return [
        node
        for path in sorted(FOLDER.glob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "state"
    ]


def test_what_is_handed_on_completes_the_sentence():
    """A sentence lacks no value, whether it is named or comes with `**`."""
    for call in list_states():
        first = call.args[0]
        if isinstance(first, ast.Constant):
            named = {keyword.arg for keyword in call.keywords}
            lacking = list_placeholders(SENTENCES[str(first.value)]) - named
            assert not lacking or (None in named and any(lacking <= h for h in HANDED_ON))


def test_no_sentence_is_idle():
    """Each sentence of the judge's families is stated somewhere in its rooms."""
    texts = "".join(path.read_text(encoding="utf-8") for path in FOLDER.glob("*.py"))
    codes = [
        code
        for code in SENTENCES
        if code.startswith(("judging.", "logbook.")) and not code.startswith(OF_RULES)
    ]
    assert [code for code in codes if f'"{code}"' not in texts] == []


def test_whoever_is_refused_gets_the_violations_and_whose_they_are():
    """The error says what is broken in English, and holds it for those who tell it otherwise."""
    yard = stable(entries=[make_entry("C1", horse="Alder")])
    circuit = plan(yard)
    with pytest.raises(RulesBroken, match="breaks 1 rule of") as bad:
        admit(yard, circuit)
    assert isinstance(bad.value.head, Fact)
    assert bad.value.violations == find_violations(yard, circuit)
    assert admit(yard, circuit, anyway=True) == bad.value.violations


def test_lines_stand_under_a_head_with_the_day():
    """How many rules, whose and as of when; then the day, the rule and what is so."""
    yard = stable(entries=[make_entry("C1", horse="Alder")])
    circuit = plan(yard)
    head, line = write_broken(yard, circuit, find_violations(yard, circuit))
    assert head.startswith(f"{circuit.name} breaks 1 rule of {yard.name} as of 2027-")
    assert line.startswith("2027-04-08  locked: Alder is ")
    assert write_broken(yard, circuit, ()) == ()
