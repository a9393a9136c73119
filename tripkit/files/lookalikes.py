"""Words that nobody checks, held against each other; and rows that stand twice.

A tour, a series, a level, a division, a sex or a paper may be called what the yard likes, and a
result may be of a show of another season. Two
spellings that differ by a capital, a blank or one letter are most likely one; a digit or a star
more is another word. Of two spellings the one that is known, else the one used more often, is
taken for the right one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from tripkit.eligibility.categories import normalise_level, normalise_levels
from tripkit.files.columns import FILE_OF_KIND, Row, list_columns
from tripkit.yard.errors import state_rows
from tripkit.yard.facts import Fact, state
from tripkit.yard.names import fold_name
from tripkit.yard.oddities import Oddity, make_oddity
from tripkit.yard.papers import KNOWN_PAPERS
from tripkit.yard.rulebook import RuleBook
from tripkit.yard.shows import DIVISIONS

Rows = Mapping[str, Sequence[Row]]

SEXES = ("mare", "gelding", "stallion", "colt", "filly")
LEVEL_RULES = "minimum-age-"
LEVEL_UNIT = "levels"

WORDS = ("tour", "series", "level", "division", "sex", "paper", "show")
"""Kinds that nobody checks, each where columns name it; of shows a result's own."""

PASTED = ("results", "papers", "treatments", "vet_checks", "absences", "entries")

SHORTEST_WORD = 4
"""A letter makes another word of a shorter one: CSI and CSN, the Gulf tours A and B [letters].

**Source:** common practice, no source.
"""
SHORTEST_NAME = 8
"""What is written in capitals only is a code up to this length: CSIP and CSIV [letters].

**Source:** common practice, no source.
"""
SHORTEST_CODE = 3
"""Letters in the wrong order or doubled are a slip in codes, too: CIS for CSI [letters].

**Source:** common practice, no source.
"""
ROMAN = frozenset("ivx")


def find_lookalikes(rows: Rows, books: Iterable[RuleBook]) -> Iterator[Oddity]:
    """Each rare spelling that is nearly another one, once a file, with its rows."""
    known_words: Mapping[str, Iterable[str]] = {
        "level": _list_levels(books),
        "division": DIVISIONS,
        "sex": SEXES,
        "paper": KNOWN_PAPERS,
    }
    for word in WORDS:
        found = _collect(rows, word, known_words.get(word, ()))
        near: dict[str, list[_Spelling]] = {}
        for use in found:
            for key in _list_keys(use.text):
                near.setdefault(key, []).append(use)
        # Two shows with rows of their own are two, however alike they sound.
        own = {row["show"] for row in rows["shows"]} if word == "show" else set()
        for use in found:
            alike = [o for key in _list_keys(use.text) for o in near[key]]
            other = _find_likely(use, [o for o in alike if not {use.text, o.text} <= own])
            if other is not None:
                yield from _tell(word, use, other)


def find_pasted_rows(rows: Rows) -> Iterator[Oddity]:
    """Rows that say the same in every column; a block pasted again is one oddity."""
    for table in PASTED:
        seen: dict[object, Row] = {}
        blocks: list[list[tuple[Row, Row]]] = []
        before: tuple[int, int] | None = None
        places = {id(row): place for place, row in enumerate(rows[table])}
        for row in rows[table]:
            first = seen.setdefault(_list_cells(row), row)
            if first is row or not _says_enough(table, row):
                continue
            at = places[id(first)], places[id(row)]
            follows = before is not None and at == (before[0] + 1, before[1] + 1)
            if follows:
                blocks[-1].append((first, row))
            else:
                blocks.append([(first, row)])
            before = at
        for block in blocks:
            others = state_rows((first.file, first.number) for first, _ in block)
            numbers = [row.number for _, row in block]
            twice = state("oddities.twice", others=others)
            yield make_oddity(twice, block[0][1].file, numbers)


def _list_cells(row: Row) -> object:
    return frozenset((column, text) for column, text in row.texts.items() if text)


def _says_enough(table: str, row: Row) -> bool:
    """Two starts of one day that name no class may well be two."""
    return table != "results" or bool(row["class"] or row["points"])


# Spellings


@dataclass
class _Spelling:
    """One spelling of a word: its rows, its place among all, and whether tripkit knows it."""

    text: str
    place: int
    known: bool = False
    rows: list[Row] = field(default_factory=list)


def _list_levels(books: Iterable[RuleBook]) -> frozenset[str]:
    rules = [rule for book in books for rule in book.rules]
    levels = {r.id.removeprefix(LEVEL_RULES) for r in rules if r.id.startswith(LEVEL_RULES)}
    listed = [normalise_levels(str(rule.value)) for rule in rules if rule.unit == LEVEL_UNIT]
    return frozenset(map(normalise_level, levels)).union(*listed)


def _collect(rows: Rows, word: str, known: Iterable[str]) -> tuple[_Spelling, ...]:
    """The spellings of a word in the order in which they are met, the known ones first.

    Levels are compared as the rule books compare them: blanks and dashes aside.
    """
    found = {text: _Spelling(text, -1, known=True) for text in known}
    own = FILE_OF_KIND.get(word)
    for table, column in list_columns(word):
        for row in rows[table] if own in (None, table) or column.free else ():
            text = row[word]
            key = normalise_level(text) if word == "level" else text
            if text:
                found.setdefault(key, _Spelling(text, len(found))).rows.append(row)
    return tuple(found.values())


def _list_keys(text: str) -> set[str]:
    """The letters of a spelling, and what is left without each: one slip apart share one.

    Beside each stand the digits, so that a series of shows that are numbered shares none.
    """
    letters, digits = "".join(_list_words(text)), " ".join(_list_digits(text))
    left = {letters, *(letters[:i] + letters[i + 1 :] for i in range(len(letters)))}
    return {f"{digits}|{key}" for key in left}


def _find_likely(use: _Spelling, near: Iterable[_Spelling]) -> _Spelling | None:
    """The spelling that was most likely meant, None where this one stands for itself."""
    if use.known:
        return None
    better = [
        other
        for other in near
        if other is not use
        and (other.known or (len(other.rows), -other.place) > (len(use.rows), -use.place))
        and is_slip(use.text, other.text)
    ]
    return max(better, key=lambda other: (other.known, len(other.rows)), default=None)


def _tell(word: str, use: _Spelling, other: _Spelling) -> Iterator[Oddity]:
    by_file: dict[str, list[Row]] = {}
    for row in use.rows:
        by_file.setdefault(row.file, []).append(row)
    count = len(use.rows)
    near = state(
        "oddities.near",
        column=word,
        value=use.text,
        rows=state("oddities.one-row") if count == 1 else state("oddities.many-rows", count=count),
        other=other.text,
        known=_state_known(other),
    )
    for file, rows in by_file.items():
        yield make_oddity(near, file, [row.number for row in rows], word)


def _state_known(use: _Spelling) -> Fact:
    if use.known:
        return state("oddities.known")
    count = len(use.rows)
    return state("oddities.stands-once") if count == 1 else state(
        "oddities.stands-often", count=count
    )  # fmt: skip


def is_slip(left: str, right: str) -> bool:
    """Whether two spellings are one word but for a capital, a blank, a sign or one letter.

    A digit or a star more is another word, and so is a letter in a word of up to three or a code.

    >>> is_slip("Saltmarsh Series", "saltmarsh  Serie"), is_slip("Dothan 1", "Dothan 2")
    (True, False)
    >>> is_slip("CSI2*", "CSN2*"), is_slip("CSI2*", "CIS2*"), is_slip("Tour A", "Tour B")
    (False, True, False)
    """
    if _list_digits(left) != _list_digits(right):
        return False
    one, two = _list_words(left), _list_words(right)
    if "".join(one) == "".join(two):
        return bool(one)
    if len(one) != len(two):
        return False
    unlike = [(a, b) for a, b in zip(one, two, strict=True) if a != b]
    shortest = SHORTEST_NAME if left.isupper() and right.isupper() else SHORTEST_WORD
    return len(unlike) == 1 and _is_slip_in_word(*unlike[0], shortest)


def _list_digits(text: str) -> list[str]:
    return re.findall(r"[0-9*]+", text)


def _list_words(text: str) -> list[str]:
    return re.findall(r"[^\W\d_]+", fold_name(text))


def _is_slip_in_word(one: str, two: str, shortest: int) -> bool:
    if ROMAN.issuperset(one) and ROMAN.issuperset(two):
        return False
    short, long = sorted((one, two), key=len)
    if len(short) == len(long):
        places = [i for i, (a, b) in enumerate(zip(one, two, strict=True)) if a != b]
        if len(places) == 1:
            return len(one) >= shortest
        swapped = len(places) == 2 and places[1] == places[0] + 1
        swapped = swapped and one[places[0]] == two[places[1]] and one[places[1]] == two[places[0]]
        return swapped and len(one) >= SHORTEST_CODE
    if len(long) != len(short) + 1:
        return False
    more = [i for i in range(len(long)) if long[:i] + long[i + 1 :] == short]
    doubled = any(long[i - 1 : i] == long[i] for i in more)
    return bool(more) and len(short) >= (SHORTEST_CODE if doubled else shortest)
