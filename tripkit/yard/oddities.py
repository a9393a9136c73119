"""What reads well and is probably not meant: where it stands, what is odd, what would be usual.

An oddity stops nothing. `ODDITIES` has one sentence for each kind, and its order is the rank: what
most likely makes the plan wrong stands first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tripkit.yard.errors import write_rows

ODDITIES: Mapping[str, str] = {
    # Nothing, or hardly anything, can be planned.
    "budget-least": (
        "{budget} is less than {least}, which {what} cost at least; a plan within it is impossible"
    ),
    "lorries-never": "every vehicle is absent all season ({who}); no horse can go anywhere",
    "rider-never": "{rider} is absent all season, and nobody else may ride {horses}",
    "work-after-season": (
        "{horse} comes into work on {day}, after the season ({last}); it goes to no show"
    ),
    "place-swapped": (
        "{place} at {written} lies {where}; {slip}, it is {point}, {near}. Usual: degrees north "
        "first, then degrees east; west and south have a minus sign"
    ),
    "place-far": (
        "{place} at {written} lies {where}, {km} km from {town}; usual is within {most} km of it"
    ),
    "place-nowhere": "{place} at {written} lies {where}; usual is within {most} km of a town",
    "place-twice": (
        "{place} and {other} ({there}) are the same point, and count as two places with a drive "
        "between them; write the place alike"
    ),
    # Entries and money that a plan must keep or loses.
    "entry-away": "{horse} is entered in {name} of {show} on {day}, while {who} absent ({rows})",
    "entry-misfit": "{horse} is entered in {name} of {show}, which does not fit: {why}",
    "entry-late": "the entry of {horse} is dated {day}, after {show} ended ({last})",
    "closes-late": "{show} ends on {last}, and {what}; usual is before the first day",
    "closes-early": (
        "entries of {show} close on {day}, {days} days before it begins; usual are at most {most} "
        "days. Is the year right? A class closed is never planned"
    ),
    "stabling-long": (
        "stalls of {show} are open from {first} to {last}; usual is at most {most} days before and "
        "after its days"
    ),
    "show-long": "{show} lasts {days} days; usual are at most {most}. Is one of the dates wrong?",
    # What every drive is planned on.
    "way-length": (
        "{start} to {end} is {km} here, {other} by the road network; usual is {low} to {high}"
    ),
    "way-straight": "{start} to {end} is {km} here, shorter than the straight line ({straight})",
    "way-hours": (
        "{start} to {end} takes {hours} h for {km}, {speed} an hour; usual are {low} to {high}"
    ),
    "way-back": "{start} to {end} is {there} one way and {back} the other ({rows}); usual is alike",
    "zone-far": (
        "{place} keeps {usual}; {zone} shows another time, and no town within {most} km keeps it"
    ),
    "speed": "{speed} is no usual speed of a lorry; usual are {low} to {high}",
    # What counts for aims and papers.
    "twice": "stands twice, here and in {others}; was it pasted twice?",
    "near": (
        "{column} {value} stands in {count}; did you mean {other}, {known}? They count as different"
    ),
    "aim-by-late": (
        "the aim {aim} counts what is reached before {day}, and begins on {start}; usual is a day "
        "before it begins"
    ),
    "aim-by-past": "the aim {aim} must be reached before {day}, which is past, and lacks {missing}",
    "aim-misfit": "the aim {aim} cannot be met: {why}",
    "aim-away": "the aim {aim} is on {day}, while {who} absent ({rows})",
    # Ages.
    "horse-young": "{horse} is {age} in the season, and could go to shows; usual are {low}",
    "horse-old": "{horse} is {age} in the season, and could go to shows; usual are up to {high}",
    "rider-age": "{person}, a rider, is {age} when the season begins; usual are {low} to {high}",
    "status-age": (
        "{person} is {status} and {age} when the season begins; usual are {low} to {high}"
    ),
    "driver-young": "{person} drives and is {age} when the season begins; the least is {low}",
    # Money.
    "rate-low": "{amount} is little for {what}; usual are {low} to {high}",
    "rate-high": "{amount} is much for {what}; usual are {low} to {high}",
    # Days that count for nothing.
    "before-birth": "{who} was born on {born}; {day} is before that",
    "far-future": "{day} is more than {years} years after the season ({last})",
    "absence-outside": (
        "{who} is absent outside the season ({first} to {last}), which keeps nobody at home"
    ),
    "absence-year": (
        "{who} is absent in another year than the season ({first} to {last}); is the year right?"
    ),
}
RANKS = {kind: rank for rank, kind in enumerate(ODDITIES)}


@dataclass(frozen=True)
class Oddity:
    """One thing that is probably not meant: kind, file, rows, column, and what its sentence names.

    `rows` are those a spreadsheet shows; none: a setting, or an event of a calendar file.
    """

    kind: str
    file: str
    rows: tuple[int, ...] = ()
    column: str = ""
    facts: tuple[tuple[str, str], ...] = ()

    def __str__(self) -> str:
        return f"{self.where}: {self.what}"

    @property
    def where(self) -> str:
        """File, rows and column."""
        where = write_rows((self.file, row) for row in self.rows) or self.file
        if self.column:
            noun = "setting" if self.file.endswith(".toml") else "column"
            where += f"{',' if self.rows else ''} {noun} {self.column}"
        return where

    @property
    def what(self) -> str:
        """What is odd and what would be usual, without where."""
        return ODDITIES[self.kind].format(**dict(self.facts))


def make_oddity(
    kind: str, file: str, rows: Iterable[int | None] = (), at: str = "", /, **facts: object
) -> Oddity:
    """An oddity of a kind in some rows of a file, in the column `at`, with its facts as text."""
    numbers = tuple(row for row in rows if row is not None)
    return Oddity(kind, file, numbers, at, tuple((k, str(v)) for k, v in facts.items()))


def rank_oddities(oddities: Iterable[Oddity]) -> tuple[Oddity, ...]:
    """What most likely makes the plan wrong stands first, then by file and row; each once."""
    return tuple(
        sorted(
            dict.fromkeys(oddities),
            key=lambda odd: (RANKS[odd.kind], odd.file, odd.rows, odd.column),
        )
    )
