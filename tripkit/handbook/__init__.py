"""The handbook: chapters in Markdown beside this file, as text and as HTML.

Doors: `CHAPTERS`, `list_titles`, `read_chapter`, `render_chapter`. To add a chapter: a file
`<noun>.md` whose first line is its title, and its noun in `CHAPTERS`. It reads these files and
nothing else, and knows no yard.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent

CHAPTERS = (
    "evening",
    "card",
    "files",
    "roads",
    "commands",
    "python",
    "calendars",
    "serving",
    "choices",
    "planner",
    "speed",
    "cautions",
    "licences",
)
"""The chapters in the order in which they are read."""

PAGE_LEVELS = 2
"""On the page a chapter's title stands under that of the page's own chapter."""


def list_titles() -> dict[str, str]:
    """The title of each chapter by its noun, in the order in which they are read."""
    return {name: read_chapter(name).partition("\n")[0].removeprefix("# ") for name in CHAPTERS}


@cache
def read_chapter(name: str) -> str:
    """A chapter as it is written; raises `KeyError` for none."""
    if name not in CHAPTERS:
        raise KeyError(name)
    return (FOLDER / f"{name}.md").read_text(encoding="utf-8")


@cache
def render_chapter(name: str) -> str:
    """A chapter as HTML for the page: nothing in it acts as markup of its own.

    Its heads stand two levels lower; a link to another chapter opens that one on the page.
    """
    import mistune

    class Renderer(mistune.HTMLRenderer):
        def heading(self, text: str, level: int, **attributes: Any) -> str:
            return super().heading(text, level + PAGE_LEVELS, **attributes)

        def link(self, text: str, url: str, title: str | None = None) -> str:
            return super().link(text, f"#handbook={url.removesuffix('.md')}", title)

    markdown = mistune.create_markdown(renderer=Renderer(escape=True), plugins=["table"])
    return str(markdown(read_chapter(name)))
