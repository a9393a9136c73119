"""Workbooks that tripkit wrote as answers: known by their properties, never read as a yard's."""

from __future__ import annotations

import re
import warnings
import zipfile
import zlib
from pathlib import Path
from typing import Any

from tripkit.files.tables import LARGEST_BYTES

# Spreadsheet programs keep the keywords of a workbook that they save again.
ANSWER = "answer of tripkit"
PROPERTIES = "docProps/core.xml"
_KEYWORDS = re.compile(rb"<(?:\w+:)?keywords[^>]*>[^<]*" + ANSWER.encode() + rb"[^<]*<")
LARGEST_PROPERTIES_BYTES = 100_000
# What zipfile lets through of a damaged, cut or locked file.
UNREADABLE = (
    OSError,
    ValueError,
    LookupError,
    RuntimeError,
    EOFError,
    zlib.error,
    zipfile.BadZipFile,
)


def mark_answer(book: Any) -> None:
    """A workbook of openpyxl is marked as an answer, before it is saved."""
    book.properties.creator = "tripkit"
    book.properties.keywords = ANSWER


def is_answer(path: Path) -> bool:
    """Whether a file is a workbook that tripkit wrote as an answer."""
    if path.suffix.casefold() != ".xlsx":
        return False
    try:
        if not path.is_file() or path.stat().st_size > LARGEST_BYTES:
            return False
        with warnings.catch_warnings(), zipfile.ZipFile(path) as packed:
            warnings.simplefilter("ignore")
            if packed.getinfo(PROPERTIES).file_size > LARGEST_PROPERTIES_BYTES:
                return False
            return _KEYWORDS.search(packed.read(PROPERTIES)) is not None
    # What is no readable workbook is said where it is read, not here.
    except UNREADABLE:
        return False
