"""Every error tripkit raises, as a tree; each class says what the user can do.

::

    TripkitError                 catch this to catch all of them
    ├── BadValue                 one value is wrong: correct the value
    ├── BadYard                  a yard folder is wrong: correct the listed rows
    ├── BadCircuits              a circuits file is wrong: plan again or correct the file
    ├── CannotWrite              a file cannot be written: choose another folder or make room
    ├── BadStore                 tripkit.sqlite cannot be used: the message says how to mend it
    │   └── OutOfDate            somebody else was first: look at what he did, then do it again
    ├── RulesBroken              a circuit breaks rules: plan again, or say that you know better
    └── NoPlanner                the solver is not installed: install tripkit with its dependencies

"No circuit fits" and "not eligible" are answers, never errors.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

MOST_SPANS = 12
UNKNOWN = "is no "


class TripkitError(Exception):
    """Base of every error of this package."""


class BadValue(TripkitError, ValueError):
    """One value is wrong; the message says what was found and what was wanted."""


@dataclass(frozen=True, order=True)
class InputError:
    """One fault in a file of the yard: where it is, what stands there, what was wanted.

    Tables have columns, yard.toml has settings.

    >>> print(InputError("shows.csv", 12, "first_day", "2027-02-30", "is not a date (YYYY-MM-DD)"))
    shows.csv row 12, column first_day: '2027-02-30' is not a date (YYYY-MM-DD)
    """

    file: str
    row: int | None = None
    column: str = ""
    value: str | None = None
    wanted: str = ""

    def __str__(self) -> str:
        where = self.file
        if self.row is not None:
            where += f" row {self.row}"
        if self.column:
            kind = "setting" if self.file == "yard.toml" else "column"
            where += f"{',' if self.row is not None else ''} {kind} {self.column}"
        return f"{where}: {self.what}"

    @property
    def what(self) -> str:
        """What is wrong, without where."""
        return self.wanted if self.value is None else f"{self.value!r} {self.wanted}"


def fold_errors(errors: Iterable[InputError]) -> tuple[str, ...]:
    """Faults in words; what is wrong in the same way in many rows is one fault, with the rows.

    A name that is unknown is one in whatever column, else the column must be the same.

    >>> rows = [InputError(f, r, "horse", "Elm", "is no horse") for f, r in (("a", 2), ("a", 5))]
    >>> fold_errors([*rows, InputError("b", 3, "horse", "Elm", "is no horse")])
    ("'Elm' is no horse (a rows 2, 5; b row 3)",)
    """
    groups: dict[object, list[InputError]] = {}
    for number, error in enumerate(errors):
        if error.value is None or error.row is None:
            key: object = number
        elif error.wanted.startswith(UNKNOWN):
            key = error.what
        else:
            key = error.file, error.column, error.what
        groups.setdefault(key, []).append(error)
    return tuple(_write_group(group) for group in groups.values())


def _write_group(group: Sequence[InputError]) -> str:
    first = group[0]
    if len(group) == 1:
        return str(first)
    rows = write_rows((error.file, error.row) for error in group)
    if first.wanted.startswith(UNKNOWN):
        return f"{first.what} ({rows})"
    return f"{rows}{f', column {first.column}' if first.column else ''}: {first.what}"


def write_rows(places: Iterable[tuple[str, int | None]]) -> str:
    """Rows of files in words, following rows as one span, a long list cut.

    >>> write_rows([("a", 2), ("a", 3), ("a", 4), ("a", 9), ("b", None)])
    'a rows 2 to 4, 9; b'
    """
    files: dict[str, dict[int, None]] = {}
    for file, row in places:
        files.setdefault(file, {}).update({} if row is None else {row: None})
    return "; ".join(f"{file}{_write_numbers(list(rows))}" for file, rows in files.items())


def _write_numbers(numbers: Sequence[int]) -> str:
    spans: list[list[int]] = []
    for number in sorted(numbers):
        if spans and spans[-1][-1] == number - 1:
            spans[-1].append(number)
        else:
            spans.append([number])
    said = [
        f"{span[0]} to {span[-1]}" if len(span) > 2 else ", ".join(map(str, span))
        for span in spans[:MOST_SPANS]
    ]
    left = sum(len(span) for span in spans[MOST_SPANS:])
    more = f" and {left} more" if left else ""
    return f" row{'s' if len(numbers) > 1 else ''} {', '.join(said)}{more}" if said else ""


class BadYard(TripkitError):
    """A yard folder cannot be used; `errors` holds every fault found, in file and row order."""

    def __init__(self, errors: tuple[InputError, ...]) -> None:
        self.errors = errors
        super().__init__("\n".join(str(error) for error in errors))


class BadCircuits(TripkitError):
    """A circuits file cannot be used; the message names the file and the place in it."""


class CannotWrite(TripkitError):
    """A file cannot be written; the message names it and says why. Nothing is left behind."""


class BadStore(TripkitError):
    """The store of a yard cannot be read or written; the message names the file and says why."""


class OutOfDate(BadStore):
    """Somebody else changed the store meanwhile; nothing was written."""


class RulesBroken(TripkitError):
    """A circuit breaks rules of the yard as it is: `violations`, under a `head` that says whose."""

    def __init__(self, head: object, violations: Sequence[Any]) -> None:
        self.head = head
        self.violations = tuple(violations)
        super().__init__(head, self.violations)

    def __str__(self) -> str:
        return "\n".join(str(told) for told in (self.head, *self.violations))


class NoPlanner(TripkitError):
    """The solver cannot be loaded; install tripkit with its dependencies."""
