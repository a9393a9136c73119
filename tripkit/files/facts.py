"""Facts to and from JSON: the code, and each value with its kind.

Texts, numbers, lists and null stand as they are; a fact is `{"code", "values"}`, every other kind
an object with one key that names it: `{"date": "2027-04-06"}`, `{"moment"}`, `{"span"}`,
`{"decimal"}`.
"""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from typing import Any

from tripkit.files.nodes import Node
from tripkit.words.english import SENTENCES
from tripkit.words.telling import PLAIN, Teller, list_placeholders
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.people import LANGUAGES

TELLERS = (
    PLAIN,
    *(Teller(language, units="miles", dates="local", is_strict=True) for language in LANGUAGES),
)
"""Everybody who may be told of a fact that was read."""

MOST_DEEP = 12
"""Facts within facts, and lists: no reason is nested deeper."""


def dump_fact(fact: Fact) -> dict[str, Any]:
    """A fact as JSON."""
    values = {name: dump_value(value) for name, value in fact.values.items()}
    return {"code": fact.code, "values": values}


def dump_value(value: Value) -> Any:
    """A value of a fact as JSON."""
    if isinstance(value, Fact):
        return dump_fact(value)
    if isinstance(value, tuple):
        return [dump_value(one) for one in value]
    if isinstance(value, DaySpan):
        return {"span": [value.first.isoformat(), value.last.isoformat()]}
    if isinstance(value, datetime):
        return {"moment": value.isoformat(timespec="minutes")}
    if isinstance(value, date):
        return {"date": value.isoformat()}
    if isinstance(value, Decimal):
        return {"decimal": str(value)}
    return value


def load_fact(node: Node) -> Fact | None:
    """A fact of such JSON; None where its code is one of another version.

    Raises `BadCircuits` where a value is none of its kind, or the sentence cannot be told of it.
    """
    fact = _load_fact(node, MOST_DEEP)
    if not _is_known(fact):
        return None
    try:
        for teller in TELLERS:
            teller.tell(fact)
    except (ArithmeticError, AttributeError, KeyError, TypeError, ValueError):
        node.fail(state("faults.holds-value-that-its-sentence"))
    return fact


def _load_fact(node: Node, deep: int) -> Fact:
    code, values = node.key("code").text(), node.key("values")
    if not isinstance(values.value, dict):
        values.fail(state("faults.not-object"))
    fact = state(code, **{name: _load(values.key(name), deep - 1) for name in values.value})
    missing = list_placeholders(SENTENCES.get(code, "")).difference(fact.names)
    if missing:
        values.key(min(missing))
    return fact


def _load(node: Node, deep: int) -> Value:
    value = node.value
    if deep < 0:
        node.fail(state("faults.nested-too-deep"))
    if value is None:
        return None
    if isinstance(value, str):
        return node.text()
    if isinstance(value, list):
        return tuple(_load(item, deep - 1) for item in node.items())
    if isinstance(value, dict):
        return _load_fact(node, deep) if "code" in value else _load_typed(node)
    return node.number() if isinstance(value, float) else node.whole()


def _load_typed(node: Node) -> Value:
    kind = next(iter(node.value), "")
    if kind == "date":
        return node.key(kind).day()
    if kind == "moment":
        return node.key(kind).moment()
    if kind == "span":
        days = [item.day() for item in node.key(kind).items()]
        try:
            return DaySpan(*days)
        except (BadValue, TypeError):
            node.key(kind).fail(state("faults.not-first-day-last-day"))
    if kind == "decimal":
        try:
            number = Decimal(node.key(kind).text())
            if number.is_finite():
                return number
        except InvalidOperation:
            pass
        node.key(kind).fail(state("faults.not-finite-number-2"))
    node.fail(state("faults.no-value-of-fact"))


def _is_known(value: Value) -> bool:
    if isinstance(value, tuple):
        return all(map(_is_known, value))
    if isinstance(value, Fact):
        return value.code in SENTENCES and all(map(_is_known, value.held))
    return True
