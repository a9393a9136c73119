"""Small pieces of HTML text; every name that comes from a file is escaped here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape


def write_text(words: object) -> str:
    """Words as HTML text: nothing in them can act as markup."""
    return escape(str(words), quote=True)


def write_names(names: Iterable[str]) -> str:
    """Names one after the other, each kept from turning the next one round."""
    return ", ".join(f"<bdi>{write_text(name)}</bdi>" for name in names)


def wrap(tag: str, inside: str, name: str = "", **attributes: str) -> str:
    """An element around ready markup; `name` is its class, without the prefix `tk-`."""
    written = f' class="tk-{name}"' if name else ""
    written += "".join(f' {key}="{write_text(value)}"' for key, value in attributes.items())
    return f"<{tag}{written}>{inside}</{tag}>"


def write_list(items: Iterable[object], name: str = "") -> str:
    """Words as an unordered list."""
    return wrap("ul", "".join(wrap("li", write_text(item)) for item in items), name)


def write_pairs(pairs: Iterable[tuple[str, str]], name: str = "") -> str:
    """Terms and what stands for them, as a list of definitions."""
    inside = "".join(
        wrap("div", wrap("dt", write_text(term)) + wrap("dd", write_text(said)))
        for term, said in pairs
    )
    return wrap("dl", inside, name)


def write_fold(said: str, inside: str, name: str, is_open: bool = True) -> str:
    """Ready markup that can be folded away under a line of words."""
    opened = {"open": ""} if is_open else {}
    return wrap("details", wrap("summary", write_text(said)) + inside, f"fold tk-{name}", **opened)


def write_table(
    caption: str,
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    name: str = "",
    is_open: bool = True,
) -> str:
    """A table of words under its caption, to be folded; the first cell of a row names the row."""
    head = "".join(wrap("th", write_text(h), scope="col") for h in heads)
    body = "".join(
        wrap(
            "tr",
            wrap("th", write_text(row[0]), scope="row")
            + "".join(
                wrap("td", write_text(cell), "" if cell else "none", **{"data-head": head})
                for head, cell in zip(heads[1:], row[1:], strict=True)
            ),
        )
        for row in rows
    )
    table = wrap(
        "table",
        wrap("thead", wrap("tr", head)) + wrap("tbody", body),
        name,
        **{"aria-label": caption},
    )
    return write_fold(caption, table, f"fold-{name}", is_open)
