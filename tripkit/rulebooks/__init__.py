"""Rule books as data: one TOML file a book, every number with its source and its dates.

A file has `id`, `title` and a list of `[[rule]]` tables::

    [[rule]]
    id = "influenza-to-compete"
    words = "The last dose was given at most 6 months and 21 days before the day of arrival."
    value = [6, 21]
    unit = "months and days"
    source = "FEI Veterinary Regulations, Art. 1003.4, edition 2019"
    kind = "published"              # or "common practice", "from memory"
    confidence = "seen"
    effective_from = 2005-01-01     # optional, TOML dates; a rule without them always holds
    effective_to = 2022-09-30

Several editions of one rule bear the same id and must not hold on the same day. The figures
were collected from public pages; the current rule book of the body decides.

`medicines` is no book that papers are asked by: it holds published detection times and, marked as
such, recommended withdrawal periods, each with `substance`, `route` and `dose`. A yard's own
`local.toml` has the same shape; its `id` and `title` may be left out, and a rule may name the one
`book` that it changes.
Never imports anything but the records of `yard`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from functools import cache
from importlib.resources import files
from typing import Any

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.rulebook import Rule, RuleBook

MEDICINES = "medicines"
LOCAL = "local"
LOCAL_TITLE = "The yard's own rules"

UNITS: Mapping[str, type | int] = {
    "days": int,
    "business days": int,
    "months": int,
    "years": int,
    "age": int,
    "age at most on 1 December": int,
    "month": int,
    "calendar year": int,
    "days from to": 2,
    "months and days": 2,
    "ages from to": 2,
    "month and day": 2,
    "hours": int,
    "doses": int,
    "readings a day": int,
    "shows a year": int,
    "cm": int,
    "cm from to": 2,
    "degrees C": float,
    "levels": str,
    "border": str,
    "words": str,
}
"""Every unit a rule may bear: one number, a pair of whole ones, or words."""

BOOK_KEYS = {"id", "title", "rule"}
RULE_KEYS = {
    "id",
    "words",
    "value",
    "unit",
    "source",
    "kind",
    "confidence",
    "effective_from",
    "effective_to",
    "substance",
    "route",
    "dose",
}
TEXT_KEYS = ("words", "source", "confidence", "substance", "route", "dose", "book")
NEEDED_KEYS = ("id", "words", "value", "unit", "source", "kind", "confidence")


def known_rule_books() -> tuple[str, ...]:
    """The ids of the rule books that a yard may be held to, in alphabetical order."""
    return tuple(name for name in _list_files() if name != MEDICINES)


def load_medicines() -> RuleBook:
    """The published figures about medicines; none of them is a clearance."""
    return _load_rule_book(MEDICINES)


def _list_files() -> tuple[str, ...]:
    names = (entry.name for entry in files(__name__).iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml")))


def load_rule_books(ids: Iterable[str]) -> tuple[RuleBook, ...]:
    """The rule books of these ids, in the order asked for, each once.

    Raises `BadValue` for an id that no book has, naming the ones there are, and for a faulty
    file, naming the file and the rule.
    """
    return tuple(_load_rule_book(book_id) for book_id in dict.fromkeys(ids))


@cache
def _load_rule_book(book_id: str) -> RuleBook:
    if book_id not in _list_files():
        raise BadValue(
            state(
                "rulebooks.no-rule-book-there-are",
                book_id=book_id,
                known_rule_books=tuple(known_rule_books()),
            )
        )
    file = f"{book_id}.toml"
    book = read_rule_book(files(__name__).joinpath(file).read_text(encoding="utf-8"), file)
    if book.id != book_id:
        what = state("rulebooks.id-is-not-name-of", book_id=book.id)
        raise BadValue(state("rulebooks.in-file", file=file, what=what))
    return book


def read_rule_book(text: str, file: str, *, local: bool = False) -> RuleBook:
    """The text of a rule book's file becomes the book.

    `local`: it is the yard's own, needs no id and title, and its rules may name a `book`.
    Raises `BadValue`, naming the file and the rule, for broken TOML, an unknown or missing key,
    a rule without a source, a value that is not of its unit, dates in the wrong order, or two
    editions of a rule that hold on the same day.
    """
    try:
        book = _read_book(text, local)
    except _InRule as error:
        raise BadValue(
            state("rulebooks.in-rule", file=file, rule=error.rule, what=error.fact)
        ) from None
    except BadValue as error:
        raise BadValue(state("rulebooks.in-file", file=file, what=error.fact)) from None
    return book


class _InRule(BadValue):
    """What is wrong with one rule: its id, or its number where it has none."""

    def __init__(self, rule: str, what: Fact) -> None:
        super().__init__(what)
        self.rule = rule


def _read_book(text: str, local: bool) -> RuleBook:
    try:
        found = tomllib.loads(text)
    # Besides its own error tomllib lets through what a huge number or a deep nesting causes.
    except (ValueError, ArithmeticError, RecursionError) as error:
        raise BadValue(state("rulebooks.not-toml", error=str(error))) from None
    _refuse_keys(found, BOOK_KEYS)
    if local:
        found = {"id": LOCAL, "title": LOCAL_TITLE, **found}
    for key in ("id", "title"):
        if not isinstance(found.get(key), str) or not found[key].strip():
            raise BadValue(state("rulebooks.is-missing", key=key))
    tables = found.get("rule", [])
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        raise BadValue(state("rulebooks.rules-are-written-as-rule"))
    known = RULE_KEYS | {"book"} if local else RULE_KEYS
    rules = []
    for number, table in enumerate(tables, start=1):
        try:
            rules.append(_read_rule(table, known))
        except BadValue as error:
            raise _InRule(str(table.get("id") or number), error.fact) from None
    _refuse_overlaps(rules)
    return RuleBook(found["id"], found["title"], tuple(rules))


def _read_rule(table: dict[str, Any], known: set[str]) -> Rule:
    _refuse_keys(table, known)
    for key in NEEDED_KEYS:
        value = table.get(key)
        if value is None or (isinstance(value, str) and not value.strip()):
            raise BadValue(state("rulebooks.is-missing", key=key))
    for key in ("id", *TEXT_KEYS):
        if not isinstance(table.get(key, ""), str):
            raise BadValue(state("rulebooks.not-text", key=key, table=table[key]))
    for key in ("effective_from", "effective_to"):
        value = table.get(key)
        if value is not None and (not isinstance(value, date) or isinstance(value, datetime)):
            raise BadValue(state("rulebooks.not-date-yyyymmdd", key=key, value=value))
    first, last = table.get("effective_from"), table.get("effective_to")
    if first is not None and last is not None and last < first:
        raise BadValue(
            state("rulebooks.effective-to-lies-before-effective", last=last, first=first)
        )
    return Rule(**{**table, "value": _read_value(table["value"], table["unit"])})


def _read_value(value: object, unit: object) -> int | float | str | tuple[int, ...]:
    if not isinstance(unit, str) or unit not in UNITS:
        raise BadValue(state("rulebooks.unit-is-none-of", unit=str(unit), units=tuple(UNITS)))
    shape = UNITS[unit]
    if shape is str and isinstance(value, str):
        return value
    if shape is float and isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    if shape is int and _is_whole(value):
        return int(str(value))
    if isinstance(value, list) and len(value) == shape and all(map(_is_whole, value)):
        return tuple(value)
    raise BadValue(state("rulebooks.value-is-not-in", value=repr(value), unit=unit))


def _is_whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value >= 0


def _refuse_keys(table: Mapping[str, object], known: set[str]) -> None:
    for key in table:
        if key not in known:
            raise BadValue(
                state(
                    "rulebooks.key-is-unknown-known-are",
                    key=key,
                    known=tuple(sorted(known)),
                )
            )


def _refuse_overlaps(rules: Sequence[Rule]) -> None:
    """Two editions that hold on one day would make the answer hang on their order in the file."""
    for i, rule in enumerate(rules):
        for other in rules[i + 1 :]:
            if rule.id == other.id and (rule.book == other.book or "" in (rule.book, other.book)):
                first = max(rule.effective_from or date.min, other.effective_from or date.min)
                last = min(rule.effective_to or date.max, other.effective_to or date.max)
                if first <= last:
                    raise _InRule(rule.id, state("rulebooks.two-editions", day=first))
