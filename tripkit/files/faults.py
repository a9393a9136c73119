"""Faults are gathered until the whole yard folder was looked at, then raised at once."""

from __future__ import annotations

from collections.abc import Iterable

from tripkit.yard.errors import BadYard, InputError
from tripkit.yard.facts import Fact
from tripkit.yard.names import suggest_near

LONGEST_QUOTE = 80


class Faults:
    """The faults found so far; files stand in the order in which they are first announced."""

    def __init__(self) -> None:
        """Starts with no faults and no files."""
        self._errors: dict[InputError, int] = {}
        self._order: dict[str, int] = {}
        self._rows: set[tuple[str, int | None]] = set()
        self._near: dict[tuple[str, Fact], Fact | None] = {}

    def announce(self, file: str) -> None:
        """Faults of a file stand behind those of the files announced before it."""
        self._order.setdefault(file, len(self._order))

    def add(
        self,
        file: str,
        wanted: Fact,
        *,
        row: int | None = None,
        column: str = "",
        value: str | None = None,
    ) -> None:
        """One fault is kept; the same fault twice is kept once."""
        self.announce(file)
        self._rows.add((file, row))
        if value is not None and len(value) > LONGEST_QUOTE:
            value = value[: LONGEST_QUOTE - 1] + "…"
        self._errors.setdefault(InputError(file, row, column, value, wanted), len(self._errors))

    def has_any(self, file: str = "") -> bool:
        """Whether a file has faults so far, or any file where none is named."""
        return any(not file or error.file == file for error in self._errors)

    def has_row(self, file: str, row: int | None) -> bool:
        """Whether a row of a file has faults so far."""
        return (file, row) in self._rows

    def suggest_near(self, text: str, known: Iterable[str], what: Fact) -> Fact | None:
        """`suggest_near` among the names of a kind, looked up once for each text."""
        if (text, what) not in self._near:
            self._near[text, what] = suggest_near(text, known)
        return self._near[text, what]

    def list_errors(self) -> tuple[InputError, ...]:
        """Every fault, in file and row order."""
        return tuple(
            sorted(
                self._errors,
                key=lambda e: (self._order[e.file], e.row or 0, self._errors[e]),
            )
        )

    def raise_if_any(self) -> None:
        """Raises `BadYard` with every fault, in file and row order."""
        if self._errors:
            raise BadYard(self.list_errors())
