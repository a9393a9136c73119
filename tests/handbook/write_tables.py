"""What the handbook has from declarations: `python -m tests.handbook.write_tables` makes it anew.

A chapter is written by hand up to a mark. What follows is made: in `files` the keys of yard.toml,
the limits and the columns of each file, in `commands` every command with its options.
"""

from __future__ import annotations

import argparse
import inspect
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from tripkit.commands.line import make_parser
from tripkit.files.columns import LIMIT_NAMES, REQUIRED_TABLES, TABLES, Column, parse_clock
from tripkit.files.settings import REQUIRED_KEYS, SECTIONS, SETTINGS_FILE
from tripkit.handbook import FOLDER
from tripkit.yard.horses import OutingsWanted
from tripkit.yard.limits import LIMITS, PRACTICE, Limits

FORMS = {
    "parse_born": "year or date",
    "parse_clock": "HH:MM",
    "parse_date": "date",
    "parse_day_name": "Monday to Sunday",
    "parse_day_names": "Monday to Sunday, `;` between",
    "parse_height": "cm, 20 to 250",
    "parse_money": "amount",
    "parse_name": "name",
    "parse_names": "names, `;` between",
    "parse_outings_wanted": "`4 to 6`, `from 4`, `to 6`",
    "parse_paper": "word",
    "parse_share": "share",
    "parse_text": "text",
    "parse_travel_rest": "like 8:1 12:2 24:3",
    "parse_word": "word",
    "parse_yes_no": "yes or no",
    "parse_zone": "time zone",
    "_parse_names": 'like ["us", "eu"]',
    "_parse_road_source": "see Places and roads",
    "_parse_toml_date": "date",
    "_parse_travel_rest": "like [[8, 1], [12, 2]]",
}
MOST_WORDS = 6
TOLD_BEFORE = ("yard", "file", "circuit", "left", "right")
LIMITS_SAID = (
    "The same names may be columns of horses.csv, all but `drives_per_day`, `driver_days_off` and",
    '`worth_floor`. Where nothing stands under "from", the usual number is common practice, no',
    "source.",
)


def main() -> None:
    """Write what is made from declarations into both chapters."""
    for name in PARTS:
        path = FOLDER / f"{name}.md"
        path.write_text(make_chapter(path), encoding="utf-8")


def make_chapter(path: Path) -> str:
    """A chapter with its made part as the declarations have it now."""
    mark, make = PARTS[path.stem]
    by_hand = path.read_text(encoding="utf-8").partition(mark)[0]
    return by_hand + mark + "\n".join(make()) + "\n"


def list_files() -> Iterator[str]:
    """yard.toml by section, the limits, then each file by column."""
    for section, keys in SECTIONS.items():
        if section != "limits":
            yield from ("", f"### [{section}]", "")
            yield from _table(
                ("key", "holds", "written"),
                [
                    (_star(key, (section, key) in REQUIRED_KEYS), known.holds, _form(known.parse))
                    for key, known in keys.items()
                ],
            )
    yield from ("", "### [limits]", "", *LIMITS_SAID, "")
    yield from _table(
        ("limit", "says", "usual", "of", "from"),
        [
            (
                name,
                limit.says,
                _value(getattr(Limits(), name)),
                limit.unit,
                "" if limit.origin == PRACTICE else limit.origin,
            )
            for name, limit in LIMITS.items()
        ],
    )
    for name, columns in TABLES.items():
        yield from ("", "## " + _star(f"{name}.csv", name in REQUIRED_TABLES), "")
        yield from _table(
            ("column", "holds", "written", "if empty"),
            [
                (_star(c.name, c.required), c.holds, _form(c.parse), _empty(c))
                for c in columns
                if c.name not in LIMIT_NAMES
            ],
        )


def list_commands() -> Iterator[str]:
    """Every command with what it does and its options."""
    parser = make_parser()
    (commands,) = (a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
    for name, command in commands.choices.items():
        words = [
            f"[{a.metavar}]" if a.nargs == "?" else str(a.metavar)
            for a in command._actions
            if not a.option_strings
        ]
        yield from ("", f"### {' '.join(('tripkit', name, *words))}", "", str(command.description))
        told = [a for a in command._actions if a.dest not in TOLD_BEFORE or a.option_strings]
        if len(told) > 1:
            yield ""
        for action in told[1:]:
            name = " ".join((*action.option_strings[-1:], *filter(None, (action.metavar,))))
            needed = ", needed" if action.option_strings and action.required else ""
            yield f"- `{name}`{needed}: {action.help}"


PARTS: dict[str, tuple[str, Callable[[], Iterable[str]]]] = {
    "commands": ("## One by one\n", list_commands),
    "files": (f"## {SETTINGS_FILE}*\n", list_files),
}


def _star(name: str, is_needed: bool) -> str:
    return f"{name}*" if is_needed else name


def _empty(column: Column) -> str:
    if column.parse is parse_clock and column.empty is not None:
        return f"{column.empty // 60:02}:{column.empty % 60:02}"
    return _value(column.empty)


def _value(value: Any) -> str:
    if value is None or value in ("", ()):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, OutingsWanted):
        return ""
    if isinstance(value, tuple):
        return " ".join(f"{hours:g}:{days}" for hours, days in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _form(parse: Callable[[Any], Any]) -> str:
    """How a value is written: by the parser's name, its words or its range."""
    if parse.__name__ in FORMS:
        return FORMS[parse.__name__]
    held = inspect.getclosurevars(parse).nonlocals
    if "words" in held:
        words = held["words"]
        words = tuple(words() if callable(words) else words)
        return ", ".join(words[:MOST_WORDS]) + ", ..." * (len(words) > MOST_WORDS)
    if "low" not in held:
        return _form(held.get("parse") or held["parse_decimal"])
    noun = "whole number" if parse.__name__ == "parse_whole" else "number"
    low, high = held["low"], held["high"]
    if held.get("above"):
        noun += f" above {low}"
        low = None
    if high is not None:
        return f"{noun}, at most {high}" if low in (None, 0) else f"{noun}, {low} to {high}"
    return f"{noun}, at least {low}" if low else noun


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """A table whose columns stand under each other, so that it reads well as it is."""
    cells = [tuple(cell.replace("|", "/") for cell in row) for row in (heads, *rows)]
    cells = [(row if i == 0 else (f"`{row[0]}`", *row[1:])) for i, row in enumerate(cells)]
    wide = [max(len(row[i]) for row in cells) for i in range(len(heads))]
    wide[-1] = len(heads[-1])
    lines = [" | ".join(c.ljust(w) for c, w in zip(row, wide, strict=True)) for row in cells]
    lines.insert(1, " | ".join("-" * w for w in wide))
    yield from (f"| {line} |" for line in lines)


if __name__ == "__main__":
    main()
