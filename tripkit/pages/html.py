"""HTML is written by templates: what is put into one is escaped, and what one lacks is an error."""

from __future__ import annotations

import re
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from jinja2.ext import Extension

# Beside a tag or a block, and between two attributes.
_NOTHING = re.compile(r"(?<=[>}])\s*\n\s*|\s*\n\s*(?=[<{])")
_SPACE = re.compile(r'(?<=")\s*\n\s*(?=\w)')


class _Layout(Extension):
    """A line break beside a tag lays a template out; it is no part of what the template says."""

    def preprocess(self, source: str, name: str | None, filename: str | None = None) -> str:
        if not str(name).endswith(".html"):
            return source
        # As comments they keep the numbers of the lines after them.
        return _SPACE.sub(r" {#\g<0>#}", _NOTHING.sub(r"{#\g<0>#}", source))


def load_templates(folder: Path, **known: object) -> Environment:
    """The templates of a folder; each knows `known`, whatever it is rendered with."""
    templates = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        extensions=[_Layout],
    )
    templates.globals.update(known)
    return templates
