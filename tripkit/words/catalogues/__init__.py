"""The sentences of the other languages: one `.po` file of gettext's a language, read by Babel.

`msgctxt` is the code of the fact, `msgid` the English sentence, `msgstr` the translation.
"""

from __future__ import annotations

from codecs import BOM_UTF8
from collections.abc import Mapping
from importlib.resources import files
from io import BytesIO


def read_catalogue(language: str) -> Mapping[str, tuple[str, str]]:
    """By code the English sentence and the translation; nothing where there is no readable file."""
    from babel.messages.pofile import PoFileError, read_po

    file = files(__name__) / f"{language}.po"
    if not file.is_file():
        return {}
    try:
        # Some editors put a byte-order mark before the first letter.
        lines = BytesIO(file.read_bytes().removeprefix(BOM_UTF8))
        catalogue = read_po(lines, locale=language, abort_invalid=True)
    except (PoFileError, LookupError, ValueError):
        return {}
    return {
        message.context: (str(message.id), str(message.string))
        for message in catalogue
        if message.context and message.string and not message.fuzzy
    }
