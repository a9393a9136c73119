"""The sentences of the other languages: one `.po` a language, read by Babel, asked by gettext.

`msgctxt` is the code of the fact, `msgid` the English sentence, `msgstr` the translation.
"""

from __future__ import annotations

import io
from functools import lru_cache
from gettext import GNUTranslations, NullTranslations
from importlib.resources import files

from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po


@lru_cache(maxsize=8)
def open_catalogue(language: str) -> NullTranslations:
    """The catalogue of a language; one without a catalogue answers in English."""
    file = files(__name__) / f"{language}.po"
    if not file.is_file():
        return NullTranslations()
    with file.open("rb") as lines:
        catalogue = read_po(lines, locale=language)
    binary = io.BytesIO()
    write_mo(binary, catalogue)
    binary.seek(0)
    return GNUTranslations(binary)
