"""What reads well and is probably not meant: where it stands, what is odd, what would be usual.

An oddity stops nothing. The order of `RANKED` is the rank of the kinds: what most likely makes the
plan wrong stands first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tripkit.yard.errors import state_rows
from tripkit.yard.facts import Fact, state

RANKED = (
    # Nothing, or hardly anything, can be planned.
    "budget-least",
    "lorries-never",
    "rider-never",
    "work-after-season",
    "place-swapped",
    "place-far",
    "place-nowhere",
    "place-twice",
    # Entries and money that a plan must keep or loses.
    "entry-away",
    "entry-misfit",
    "entry-late",
    "closes-late",
    "closes-early",
    "stabling-long",
    "show-long",
    # What every drive is planned on.
    "way-length",
    "way-straight",
    "way-hours",
    "way-back",
    "zone-far",
    "speed",
    # What counts for aims and papers.
    "twice",
    "near",
    "aim-by-late",
    "aim-by-past",
    "aim-misfit",
    "aim-away",
    # Ages.
    "horse-young",
    "horse-old",
    "rider-age",
    "status-age",
    "driver-young",
    # Money.
    "rate-low",
    "rate-high",
    # Days that count for nothing.
    "before-birth",
    "far-future",
    "absence-outside",
    "absence-year",
)
"""Every kind of oddity in the order of its rank."""
RANKS = {kind: rank for rank, kind in enumerate(RANKED)}


@dataclass(frozen=True)
class Oddity:
    """One thing that is probably not meant: what is odd and would be usual, file, rows, column.

    `rows` are those a spreadsheet shows; none: a setting, or an event of a calendar file.
    """

    what: Fact
    file: str
    rows: tuple[int, ...] = ()
    column: str = ""

    def __str__(self) -> str:
        return f"{self.where}: {self.what}"

    @property
    def kind(self) -> str:
        """Which kind it is, as `RANKED` has them."""
        return self.what.code.partition(".")[2]

    @property
    def where(self) -> Fact:
        """File, rows and column."""
        rows = state_rows([(self.file, row) for row in self.rows] or [(self.file, None)])
        if not self.column:
            return rows
        code = "setting" if self.file.endswith(".toml") else "column-of-file"
        code = "column" if self.rows else code
        return state(f"faults.where-{code}", rows=rows, column=self.column)


def make_oddity(what: Fact, file: str, rows: Iterable[int | None] = (), column: str = "") -> Oddity:
    """An oddity in some rows of a file; rows without a number are none."""
    return Oddity(what, file, tuple(row for row in rows if row is not None), column)


def rank_oddities(oddities: Iterable[Oddity]) -> tuple[Oddity, ...]:
    """What most likely makes the plan wrong stands first, then by file and row; each once."""
    return tuple(
        sorted(
            dict.fromkeys(oddities),
            key=lambda odd: (RANKS[odd.kind], odd.file, odd.rows, odd.column),
        )
    )
