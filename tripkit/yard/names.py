"""Names as people type them: capitals do not matter, and what nobody is called may be a slip."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from difflib import get_close_matches
from importlib import import_module
from typing import Any
from unicodedata import combining, normalize

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state

LONGEST_NAME = 80
NEAR_COUNT = 3

# Letters that Unicode does not take apart into a plain letter and an accent (the fifth is a dotless
# i), and what stands for an apostrophe.
_SPELLED_OUT = str.maketrans(
    {
        **dict(zip("øłđð\u0131", "olddi", strict=True)),
        **{"æ": "ae", "œ": "oe", "þ": "th"},
        **dict.fromkeys("'.`\u00b4\u2018\u2019\u02bb\u02bc", ""),
    }
)
_SHORT_WORDS = {"st": "saint", "ste": "sainte", "mt": "mount", "ft": "fort"}


def find_function(folder: str, named: str) -> Callable[..., Any]:
    """What a row of a table names, `room.function` of a folder of this package."""
    room, _, name = named.partition(".")
    found: Callable[..., Any] = getattr(import_module(f"tripkit.{folder}.{room}"), name)
    return found


def find_near(text: str, known: Iterable[str], count: int = NEAR_COUNT) -> tuple[str, ...]:
    """The known names most like a text, case aside, best first; none for a very long text."""
    if len(text) > LONGEST_NAME:
        return ()
    by_fold = {name.casefold(): name for name in known}
    return tuple(by_fold[fold] for fold in get_close_matches(text.casefold(), by_fold, count))


def find_name(name: str, known: Iterable[str], kind: str) -> str:
    """The name as it is known, capitals and ways to write a letter with its mark aside.

    `kind` says what it names: `horse`, `show`, `tour`, `circuit`. Raises `BadValue` with the names
    that there are, and those that it may have meant.
    """
    names = sorted(known)
    wanted = name.strip()
    if wanted in names:
        return wanted
    alike = [other for other in names if _fold(other) == _fold(wanted)]
    if len(alike) == 1:
        return alike[0]
    there = state("names.there", names=tuple(names)) if names else state("names.none-there")
    near = suggest_near(wanted, names)
    raise BadValue(state("names.unknown", name=name, kind=kind, there=there, near=near))


def _fold(name: str) -> str:
    return normalize("NFC", normalize("NFC", name).casefold())


def fold_name(name: str) -> str:
    """Two spellings of a town are the same when they fold to the same key.

    Case, accents, apostrophes and full stops vanish, other punctuation becomes a space, and
    "St", "Ste", "Mt" and "Ft" are written out.

    **Source:** accents by Unicode normalisation form KD (Unicode Standard Annex 15); the rest is
    this project's choice.

    >>> fold_name("St. Gallen"), fold_name("'s-Hertogenbosch"), fold_name("Malmö")
    ('saint gallen', 's hertogenbosch', 'malmo')
    """
    plain = normalize("NFKD", name.casefold().translate(_SPELLED_OUT))
    plain = "".join(letter for letter in plain if not combining(letter))
    words = re.sub(r"[\W_]+", " ", plain).split()
    return " ".join(_SHORT_WORDS.get(word, word) for word in words)


def suggest(near: Iterable[str]) -> Fact | None:
    """What a name may have meant, nothing where no name is near."""
    names = tuple(near)
    return state("names.near", names=names) if names else None


def suggest_near(text: str, known: Iterable[str]) -> Fact | None:
    """The known names most like a text, nothing where none is near."""
    return suggest(find_near(text, known))
