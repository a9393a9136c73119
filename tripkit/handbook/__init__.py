"""The handbook: chapters in Markdown beside this file, for the command line and the page.

Doors: `CHAPTERS`, `list_titles`, `read_chapter`. To add a chapter: a file `<noun>.md` whose first
line is its title, and its noun in `CHAPTERS`.

Never imports anything of tripkit: it reads these files and nothing else.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

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


def list_titles() -> dict[str, str]:
    """The title of each chapter by its noun, in the order in which they are read."""
    return {name: read_chapter(name).partition("\n")[0].removeprefix("# ") for name in CHAPTERS}


@cache
def read_chapter(name: str) -> str:
    """A chapter as it is written; raises `KeyError` for none."""
    if name not in CHAPTERS:
        raise KeyError(name)
    return (FOLDER / f"{name}.md").read_text(encoding="utf-8")
