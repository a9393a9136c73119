"""The handbook on the page: a line of its chapters, and the one that lies open."""

from __future__ import annotations

from functools import cache
from typing import Any

import mistune
from markupsafe import Markup

from tripkit.dashboard.markup import render
from tripkit.handbook import list_titles, read_chapter

LOWER = 2
"""A chapter's own title stands under that of the page's chapter."""


def write_handbook(name: str) -> Markup:
    """The titles of all chapters as links, then the chapter of that name."""
    return render("handbook", name=name, titles=list_titles(), chapter=render_chapter(name))


@cache
def render_chapter(name: str) -> Markup:
    """A chapter as HTML: nothing in it acts as markup; links to other chapters open them here."""
    markdown = mistune.create_markdown(renderer=_Leaf(escape=True), plugins=["table"])
    return Markup(str(markdown(read_chapter(name))))


class _Leaf(mistune.HTMLRenderer):
    """Heads two levels lower, and tables as the rest of the page has them."""

    def heading(self, text: str, level: int, **attributes: Any) -> str:
        return super().heading(text, level + LOWER, **attributes)

    def link(self, text: str, url: str, title: str | None = None) -> str:
        return super().link(text, f"#handbook={url.removesuffix('.md')}", title)

    def block_code(self, code: str, info: str | None = None) -> str:
        # Whoever has no mouse pushes long lines sideways all the same.
        return render("handbook_code", code=code)

    def render_token(self, token: dict[str, Any], state: mistune.BlockState) -> str:
        """On a phone each cell says what it stands under."""
        if token["type"] == "table":
            head, body = token["children"]
            labels = [self.render_tokens(c["children"], state) for c in head["children"]]
            for row in body["children"]:
                for label, cell in zip(labels, row["children"], strict=True):
                    cell["attrs"]["label"] = label
                row["children"][0]["attrs"]["label"] = None
        return super().render_token(token, state)

    def table_cell(
        self, text: str, align: str | None = None, head: bool = False, label: str | None = ""
    ) -> str:
        return render("handbook_cell", inside=Markup(text), head=head, label=label)
