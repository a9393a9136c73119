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

from tripkit.yard.facts import Fact, Value, state

MOST_SPANS = 12
UNKNOWN_NAMES = frozenset(
    {
        "faults.no-country-like-us-or",
        "faults.no-division",
        "faults.no-key",
        "faults.no-known-paper",
        "faults.no-name",
        "faults.no-name-of-kind",
        "faults.no-rule-book",
        "faults.no-section-of-yardtoml",
        "faults.no-stop",
        "faults.no-town",
        "faults.no-town-in-gazetteer-leave",
        "faults.no-weekday",
        "faults.no-zone",
    }
)
"""Faults of names that nothing bears: the same wherever they stand."""


def give_reason(error: Exception) -> str:
    """Why a file cannot be read or written, as the system says it."""
    return str(getattr(error, "strerror", None) or error)


class TripkitError(Exception):
    """Base of every error of this package; `fact` says what is wrong, `str()` tells it."""

    def __init__(self, fact: Fact | str) -> None:
        self.fact = fact
        super().__init__(fact)


class BadValue(TripkitError, ValueError):
    """One value is wrong; the fact says what was found and what was wanted."""

    fact: Fact

    def __init__(self, fact: Fact) -> None:
        super().__init__(fact)


@dataclass(frozen=True)
class InputError:
    """One fault in a file of the yard: where it is, what stands there, what was wanted.

    Tables have columns, yard.toml has settings.
    """

    file: str
    row: int | None = None
    column: str = ""
    value: str | None = None
    wanted: Fact | None = None

    def __str__(self) -> str:
        return str(self.fact)

    @property
    def fact(self) -> Fact:
        """The fault with the place where it stands."""
        row, column = self.row, self.column
        if row is not None:
            code = "faults.at-cell" if column else "faults.at-row"
        elif column:
            code = "faults.at-setting" if self.file == "yard.toml" else "faults.at-column"
        else:
            code = "faults.at-file"
        return state(code, file=self.file, row=row, column=column, what=self.what)

    @property
    def is_unknown_name(self) -> bool:
        """Whether nothing bears the name that stands there."""
        return self.wanted is not None and self.wanted.code in UNKNOWN_NAMES

    @property
    def what(self) -> Fact | None:
        """What is wrong, without where."""
        if self.value is None:
            return self.wanted
        return state("faults.found", value=self.value, wanted=self.wanted)


def state_rows(places: Iterable[tuple[str, int | None]]) -> Fact:
    """Rows of files, following rows as one span, a long list cut.

    >>> str(state_rows([("a", 2), ("a", 3), ("a", 4), ("a", 9), ("b", None)]))
    'a rows 2 to 4, 9; b'
    """
    files: dict[str, dict[int, None]] = {}
    for file, row in places:
        files.setdefault(file, {}).update({} if row is None else {row: None})
    told = tuple(_state_rows_of(file, sorted(rows)) for file, rows in files.items())
    return state("faults.rows", files=told)


def _state_rows_of(file: str, numbers: Sequence[int]) -> Value:
    spans: list[list[int]] = []
    for number in numbers:
        if spans and spans[-1][-1] == number - 1:
            spans[-1].append(number)
        else:
            spans.append([number])
    told = tuple(
        state("faults.row-span", first=span[0], last=span[-1])
        if len(span) > 2
        else tuple(map(str, span))
        for span in spans[:MOST_SPANS]
    )
    left = sum(len(span) for span in spans[MOST_SPANS:])
    more = state("faults.more-rows", count=left) if left else None
    of_file = state("faults.rows-of", file=file, count=len(numbers), spans=told, more=more)
    return of_file if told else file


class BadYard(TripkitError):
    """A yard folder cannot be used; `errors` holds every fault found, in file and row order."""

    def __init__(self, errors: tuple[InputError, ...]) -> None:
        self.errors = errors
        super().__init__("\n".join(str(error) for error in errors))

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.errors,)


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

    def __init__(self, head: Fact | str, violations: Sequence[Any]) -> None:
        self.head = head
        self.violations = tuple(violations)
        super().__init__(head)

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.head, self.violations)

    def __str__(self) -> str:
        return "\n".join(str(told) for told in (self.head, *self.violations))


class NoPlanner(TripkitError):
    """The solver cannot be loaded; install tripkit with its dependencies."""
