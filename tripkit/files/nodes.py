"""A JSON document read with its place in the file at hand, so that every fault can name it."""

from __future__ import annotations

import json
import re
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from math import isfinite
from pathlib import Path
from typing import Any, NoReturn

from tripkit.errors import BadCircuits

LARGEST_JSON_BYTES = 200_000_000
LONGEST_QUOTE = 60

_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}[+-][0-9]{2}:[0-9]{2}")


@dataclass(frozen=True)
class Node:
    """One value of the document and where it stands, such as `circuits[0].outings[3]`."""

    file: str
    where: str
    value: Any

    def fail(self, wanted: str, *, quote: bool = True) -> NoReturn:
        """Raises `BadCircuits` that names the file, the place in it, and the value."""
        at = f"{self.file} {self.where}".strip()
        quoted = repr(self.value) if isinstance(self.value, str) else json.dumps(self.value)
        if len(quoted) > LONGEST_QUOTE:
            quoted = quoted[: LONGEST_QUOTE - 1] + "…"
        raise BadCircuits(f"{at}: {f'{quoted} ' if quote else ''}{wanted}")

    def key(self, name: str) -> Node:
        """The value of a key that must be there."""
        if not isinstance(self.value, dict):
            self.fail("is not an object {...}")
        where = f"{self.where}.{name}" if self.where else name
        if name not in self.value:
            Node(self.file, where, None).fail("is missing", quote=False)
        return Node(self.file, where, self.value[name])

    def find(self, name: str) -> Node | None:
        """The value of a key, None where it is not there."""
        return self.key(name) if isinstance(self.value, dict) and name in self.value else None

    def items(self) -> list[Node]:
        """The values of a list."""
        if not isinstance(self.value, list):
            self.fail("is not a list [...]")
        return [Node(self.file, f"{self.where}[{i}]", value) for i, value in enumerate(self.value)]

    def text(self) -> str:
        """A text."""
        if not isinstance(self.value, str):
            self.fail("is not a text")
        return str(self.value)

    def texts(self) -> tuple[str, ...]:
        """A list of texts."""
        return tuple(item.text() for item in self.items())

    def choice(self, words: Collection[str]) -> str:
        """One of some words."""
        if self.text() not in words:
            self.fail(f"is none of {', '.join(words)}")
        return self.text()

    def whole(self) -> int:
        """A whole number."""
        if isinstance(self.value, bool) or not isinstance(self.value, int):
            self.fail("is not a whole number")
        return int(self.value)

    def number(self) -> float:
        """A finite number."""
        if isinstance(self.value, bool) or not isinstance(self.value, int | float):
            self.fail("is not a number")
        try:
            number = float(self.value)
        except OverflowError:
            number = float("inf")
        if not isfinite(number):
            self.fail("is not a finite number", quote=False)
        return number

    def day(self) -> date:
        """A date YYYY-MM-DD."""
        text = self.text()
        try:
            if _DATE.fullmatch(text):
                return date.fromisoformat(text)
        except ValueError:
            pass
        self.fail("is not a date (YYYY-MM-DD)")

    def moment(self) -> datetime:
        """A local time to the minute with its offset, as an aware time with that offset."""
        text = self.text()
        try:
            if _MOMENT.fullmatch(text):
                return datetime.fromisoformat(text)
        except ValueError:
            pass
        self.fail("is not a time with offset (YYYY-MM-DDTHH:MM+HH:MM)")


def read_json(path: Path) -> Node:
    """A JSON file becomes its outermost node; raises `BadCircuits` where it is none."""
    try:
        if path.is_file() and path.stat().st_size > LARGEST_JSON_BYTES:
            raise BadCircuits(
                f"{path.name}: is larger than {LARGEST_JSON_BYTES // 1_000_000} MB and was not read"
            )
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadCircuits(f"{path.name}: is not UTF-8") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise BadCircuits(f"{path.name}: cannot be read ({reason})") from None
    return parse_json(text, path.name)


def parse_json(text: str, name: str) -> Node:
    """JSON text becomes its outermost node; raises `BadCircuits`, which says `name`."""

    def refuse(constant: str) -> NoReturn:
        raise ValueError(f"{constant} is not a number of JSON")

    try:
        return Node(name, "", json.loads(text, parse_constant=refuse))
    except RecursionError:
        raise BadCircuits(f"{name}: is not JSON: nested too deep") from None
    except json.JSONDecodeError as error:
        raise BadCircuits(
            f"{name}: is not JSON from row {error.lineno} on; plan again, or put back a copy of it"
        ) from None
    except ValueError as error:
        raise BadCircuits(f"{name}: is not JSON: {error}") from None
