"""Reads local.toml: the yard's own rules, which change those of a rule book or come besides."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from tripkit.files.faults import Faults
from tripkit.files.tables import read_text
from tripkit.rulebooks import LOCAL, LOCAL_TITLE, known_rule_books, read_rule_book
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.names import suggest_near
from tripkit.yard.rulebook import RuleBook

LOCAL_FILE = "local.toml"


def read_local_rules(paths: Sequence[Path], faults: Faults) -> RuleBook | None:
    """The yard's own rules, None where there is no local.toml; what is wrong is a fault.

    A fault names the line on which the rule begins, the rule and the key.
    """
    path = next((p for p in paths if p.name.casefold() == LOCAL_FILE), None)
    text = None if path is None else read_text(path, faults)
    if path is None or text is None:
        return None
    faults.announce(path.name)
    try:
        book = read_rule_book(text, path.name, local=True)
    except BadValue as error:
        fact = error.fact
        _complain(path.name, text, str(fact.get("rule") or ""), fact.get_fact("what"), faults)
        return None
    for rule in book.rules:
        if rule.book and rule.book not in known_rule_books():
            known = known_rule_books()
            near = suggest_near(rule.book, known)
            said = state("faults.book-is-none-of", book=rule.book, known=tuple(known), near=near)
            _complain(path.name, text, rule.id, said, faults)
    return book


def apply_local_rules(
    books: Sequence[RuleBook], local: RuleBook | None
) -> tuple[tuple[RuleBook, ...], tuple[Fact, ...]]:
    """The books with the yard's own rules in them, and what came besides as a book of its own.

    With it the remarks: which rules are in no book, so that a misspelt id is seen.
    """
    if local is None:
        return tuple(books), ()
    changed = {
        id(rule)
        for book in books
        for rule in local.rules
        if rule.id in book.editions and rule.book in ("", book.id)
    }
    added = tuple(rule for rule in local.rules if id(rule) not in changed)
    known = {rule_id for book in books for rule_id in book.editions}
    remarks = tuple(
        state(
            "faults.rule-stands-in-no-book",
            local_file=LOCAL_FILE,
            rule_id=rule.id,
            near=suggest_near(rule.id, known),
        )
        for rule in added
    )
    own = (RuleBook(LOCAL, LOCAL_TITLE, added),) if added else ()
    return (*(book.override(local.rules) for book in books), *own), remarks


def _complain(file: str, text: str, rule: str, wanted: Fact, faults: Faults) -> None:
    """What is wrong with a rule, by its id or number, becomes a fault at the rule's line."""
    starts = [n for n, line in enumerate(text.splitlines(), 1) if line.strip() == "[[rule]]"]
    row = None
    if rule.isdigit() and int(rule) <= len(starts):
        row = starts[int(rule) - 1]
    elif rule:
        written = re.compile(rf"""\s*id\s*=\s*["']{re.escape(rule)}["']""")
        lines = [n for n, line in enumerate(text.splitlines(), 1) if written.match(line)]
        row = lines[-1] if lines else None
    faults.add(file, wanted, row=row, column=f"rule {rule}" if rule else "")
