"""Small pieces of HTML text. Ready markup has its own type; whatever else is put in is escaped.

The type and its escaping are those of jinja2's templates (markupsafe).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markupsafe import Markup, escape


def write_text(words: object) -> Markup:
    """Words as HTML text: nothing in them can act as markup."""
    return escape(str(words))


def join_pieces(pieces: Iterable[Markup]) -> Markup:
    """Ready markup one piece after the other."""
    return Markup("").join(pieces)


def write_names(names: Iterable[str]) -> Markup:
    """Names one after the other, each kept from turning the next one round."""
    return Markup(", ").join(wrap("bdi", write_text(name)) for name in names)


def wrap(tag: str, inside: Markup, name: str = "", /, **attributes: str) -> Markup:
    """An element around ready markup; `name` is its class, without the prefix `tk-`."""
    written = Markup(' class="tk-{}"').format(name) if name else Markup("")
    written += join_pieces(Markup(' {}="{}"').format(*pair) for pair in attributes.items())
    return Markup("<{tag}{written}>{inside}</{tag}>").format(
        tag=tag, written=written, inside=inside
    )


def write_list(items: Iterable[object], name: str = "") -> Markup:
    """Words as an unordered list."""
    return wrap("ul", join_pieces(wrap("li", write_text(item)) for item in items), name)


def write_pairs(pairs: Iterable[tuple[str, str]], name: str = "") -> Markup:
    """Terms and what stands for them, as a list of definitions."""
    inside = join_pieces(
        wrap("div", wrap("dt", write_text(term)) + wrap("dd", write_text(said)))
        for term, said in pairs
    )
    return wrap("dl", inside, name)


def write_fold(said: str, inside: str, name: str, is_open: bool = True) -> Markup:
    """Ready markup that can be folded away under a line of words."""
    opened = {"open": ""} if is_open else {}
    return wrap("details", wrap("summary", write_text(said)) + inside, f"fold tk-{name}", **opened)


def write_table(
    caption: str,
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    name: str = "",
    is_open: bool = True,
) -> Markup:
    """A table of words under its caption, to be folded; the first cell of a row names the row."""
    head = join_pieces(wrap("th", write_text(h), scope="col") for h in heads)
    body = join_pieces(
        wrap(
            "tr",
            wrap("th", write_text(row[0]), scope="row")
            + join_pieces(
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
