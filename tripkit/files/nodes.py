"""A JSON document read with its place in the file at hand, so that every fault can name it."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from math import isfinite
from pathlib import Path
from typing import Any, NoReturn, TypeVar

from tripkit.files.values import FIRST_YEAR, LAST_YEAR
from tripkit.yard.errors import BadCircuits, give_reason
from tripkit.yard.facts import Fact, state

Word = TypeVar("Word", bound=str)

LARGEST_JSON_BYTES = 200_000_000
LONGEST_QUOTE = 60
LONGEST_TEXT = 10_000
# Beyond any sum of money, distance or time of a season.
LARGEST_NUMBER, MOST_DIGITS = 10**12, 400

_HALF_LETTER = re.compile("[\ud800-\udfff]")
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f]")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}[+-][0-9]{2}:[0-9]{2}")


@dataclass(frozen=True)
class Node:
    """One value of the document and where it stands, such as `circuits[0].outings[3]`."""

    file: str
    where: str
    value: Any

    def fail(self, wanted: Fact, *, quote: bool = True) -> NoReturn:
        """Raises `BadCircuits` that names the file, the place in it, and the value."""
        at = f"{self.file} {self.where}".strip()
        raise BadCircuits(
            state("faults.value", at=at, quote=f"{self._quote()} " if quote else "", wanted=wanted)
        )

    def _quote(self) -> str:
        if isinstance(self.value, dict | list):
            return "{...}" if isinstance(self.value, dict) else "[...]"
        quoted = repr(self.value) if isinstance(self.value, str) else json.dumps(self.value)
        return quoted if len(quoted) <= LONGEST_QUOTE else quoted[: LONGEST_QUOTE - 1] + "…"

    def key(self, name: str) -> Node:
        """The value of a key that must be there."""
        if not isinstance(self.value, dict):
            self.fail(state("faults.not-object"))
        where = f"{self.where}.{name}" if self.where else name
        if name not in self.value:
            Node(self.file, where, None).fail(state("faults.is-missing"), quote=False)
        if name in getattr(self.value, "twice", ()):
            Node(self.file, where, None).fail(
                state("faults.stands-here-more-than-once"), quote=False
            )
        return Node(self.file, where, self.value[name])

    def find(self, name: str) -> Node | None:
        """The value of a key, None where it is not there."""
        return self.key(name) if isinstance(self.value, dict) and name in self.value else None

    def items(self) -> list[Node]:
        """The values of a list."""
        if not isinstance(self.value, list):
            self.fail(state("faults.not-list"))
        return [Node(self.file, f"{self.where}[{i}]", value) for i, value in enumerate(self.value)]

    def text(self) -> str:
        """A text in one line, of whole letters."""
        if not isinstance(self.value, str):
            self.fail(state("faults.not-text"))
        if len(self.value) > LONGEST_TEXT:
            self.fail(state("faults.longer-than-letters", longest_text=LONGEST_TEXT))
        if _HALF_LETTER.search(self.value):
            self.fail(state("faults.holds-half-of-letter-lone"))
        if _CONTROL.search(self.value):
            self.fail(state("faults.holds-line-break-or-another"))
        return str(self.value)

    def texts(self) -> tuple[str, ...]:
        """A list of texts."""
        return tuple(item.text() for item in self.items())

    def choice(self, words: Collection[Word]) -> Word:
        """One of some words."""
        for word in words:
            if self.text() == word:
                return word
        self.fail(state("faults.none-of", words=tuple(words)))

    def flag(self) -> bool:
        """True or false."""
        if not isinstance(self.value, bool):
            self.fail(state("faults.not-true-or-false"))
        return self.value

    def whole(self, low: int = -LARGEST_NUMBER, high: int = LARGEST_NUMBER) -> int:
        """A whole number between two."""
        if isinstance(self.value, bool) or not isinstance(self.value, int):
            self.fail(state("faults.not-whole-number"))
        return int(self._within(self.value, low, high))

    def number(self, low: float = -LARGEST_NUMBER, high: float = LARGEST_NUMBER) -> float:
        """A finite number between two."""
        if isinstance(self.value, bool) or not isinstance(self.value, int | float):
            self.fail(state("faults.not-number"))
        if isinstance(self.value, float) and not isfinite(self.value):
            self.fail(state("faults.not-finite-number-2"))
        return float(self._within(self.value, low, high))

    def _within(self, number: float, low: float, high: float) -> float:
        if not low <= number <= high:
            self.fail(state("faults.not-from-to", low=low, high=high))
        return number

    def day(self) -> date:
        """A date YYYY-MM-DD of a year that a yard may have."""
        text = self.text()
        try:
            if _DATE.fullmatch(text):
                return self._dated(date.fromisoformat(text))
        except ValueError:
            pass
        self.fail(state("faults.not-date-yyyymmdd"))

    def moment(self) -> datetime:
        """A local time to the minute with its offset, as an aware time with that offset."""
        text = self.text()
        try:
            if _MOMENT.fullmatch(text):
                moment = datetime.fromisoformat(text)
                self._dated(moment.date())
                return moment
        except ValueError:
            pass
        self.fail(state("faults.not-time-with-offset-yyyymmddthhmmhhmm"))

    def _dated(self, day: date) -> date:
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            self.fail(
                state("faults.not-of-year-from-to", first_year=FIRST_YEAR, last_year=LAST_YEAR)
            )
        return day


class _Object(dict[str, Any]):
    """An object of JSON, with the keys that stand in it more than once."""

    def __init__(self, pairs: list[tuple[str, Any]]) -> None:
        super().__init__(pairs)
        counts = Counter(key for key, _ in pairs) if len(self) < len(pairs) else {}
        self.twice = frozenset(key for key, count in counts.items() if count > 1)


def _read_whole(digits: str) -> int | float:
    """A whole number; one of so many digits that no reader takes it is not finite."""
    if len(digits) > MOST_DIGITS:
        return float("-inf" if digits.startswith("-") else "inf")
    return int(digits)


def read_json(path: Path) -> Node:
    """A JSON file becomes its outermost node; raises `BadCircuits` where it is none."""
    try:
        if path.is_file() and path.stat().st_size > LARGEST_JSON_BYTES:
            raise BadCircuits(
                state(
                    "faults.larger-than-mb-and-was-2",
                    path_name=path.name,
                    largest_json_bytes=LARGEST_JSON_BYTES // 1_000_000,
                )
            )
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadCircuits(state("faults.not-utf8", path_name=path.name)) from None
    except (OSError, ValueError) as error:
        reason = give_reason(error)
        raise BadCircuits(
            state("faults.cannot-be-read", path_name=path.name, reason=reason)
        ) from None
    return parse_json(text, path.name)


def parse_json(text: str, name: str) -> Node:
    """JSON text becomes its outermost node; raises `BadCircuits`, which says `name`."""
    try:
        return Node(name, "", json.loads(text, parse_int=_read_whole, object_pairs_hook=_Object))
    except RecursionError:
        raise BadCircuits(state("faults.not-json-nested-too-deep", name=name)) from None
    except json.JSONDecodeError as error:
        raise BadCircuits(
            state("faults.not-json-from-row-on", name=name, lineno=error.lineno)
        ) from None
    except ValueError as error:
        raise BadCircuits(state("faults.not-json", name=name, error=str(error))) from None
