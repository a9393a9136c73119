"""The sentences of the other languages: one `.po` file of gettext's a language, read by Babel.

`msgctxt` is the code of the fact, `msgid` the English sentence, `msgstr` the translation. What rule
books say when they bar a horse stands under `rulebooks`, by the words of the book.
"""

from __future__ import annotations

from codecs import BOM_UTF8
from collections.abc import Mapping
from importlib.resources import files
from io import BytesIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from babel.messages.catalog import Message


RULES = "rulebooks"
"""The context of what rule books say, which is told in the words of the book."""


def read_catalogue(language: str) -> Mapping[str, tuple[str, str]]:
    """By code the English sentence and the translation; nothing where there is no readable file."""
    return {
        str(message.context): (str(message.id), str(message.string))
        for message in _read_messages(language)
        if message.context != RULES
    }


def read_rules(language: str) -> Mapping[str, str]:
    """What rule books say, by their own words."""
    return {str(m.id): str(m.string) for m in _read_messages(language) if m.context == RULES}


def _read_messages(language: str) -> list[Message]:
    from babel.messages.pofile import PoFileError, read_po

    file = files(__name__) / f"{language}.po"
    if not file.is_file():
        return []
    try:
        # Some editors put a byte-order mark before the first letter.
        lines = BytesIO(file.read_bytes().removeprefix(BOM_UTF8))
        catalogue = read_po(lines, locale=language, abort_invalid=True)
    except (PoFileError, LookupError, ValueError):
        return []
    return [m for m in catalogue if m.context and m.string and not m.fuzzy]
