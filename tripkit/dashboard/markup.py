"""HTML of the page, from the templates beside this file: whatever is put into one is escaped.

What recurs stands in `macros.html`, for the templates and, below, for Python.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from markupsafe import Markup

from tripkit.pages.html import load_templates
from tripkit.words import page as words

TEMPLATES = load_templates(Path(__file__).parent / "templates", words=words)


def render(template: str, **values: object) -> Markup:
    """A template, by the name of its file without ending, filled with values."""
    return Markup(TEMPLATES.get_template(f"{template}.html").render(values))


def call_macro(macro: str, *values: object, **named: object) -> Markup:
    """What a macro of `macros.html` makes of the values."""
    return Markup(getattr(TEMPLATES.get_template("macros.html").module, macro)(*values, **named))


def write_note(said: str, name: str, role: str = "") -> Markup:
    """Words as a paragraph; `name` is its class, without the prefix `tk-`."""
    return call_macro("note", said, name, role)


def write_table(
    caption: str,
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    name: str,
    is_open: bool = True,
) -> Markup:
    """A table of words under its caption, to be folded; the first cell of a row names the row."""
    return call_macro("table", caption, heads, rows, name, is_open)
