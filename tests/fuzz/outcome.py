"""A case is tried: what became of it, and whether anything changed without a word.

The answer is one of

- `refused`: a fault names the file (or what refers to it);
- `said`: a new remark names the file;
- `shows`: the folder reads, and the yard is another one;
- `same`: the folder reads, and the yard is what it was;
- `traceback`: an exception that is no error of tripkit.

Silent is: nonsense or an odd value that `shows` or stays the `same`; another value that stays the
`same`; the same value written otherwise that `shows`; and a refusal of nonsense that does not name
its file.
"""

from __future__ import annotations

import os
import shutil
import traceback
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any

import tripkit
from tests.build import tell_all
from tests.fuzz.cells import ALIKE, ANY, NONSENSE, ODD, OTHER
from tests.fuzz.folders import FOLDER, LOCKED, Case
from tripkit.yard.errors import BadYard, TripkitError

REFUSED, SAID, SHOWS, SAME, TRACEBACK = "refused", "said", "shows", "same", "traceback"
ELSEWHERE = "refused elsewhere"
REVIEWED = Path(__file__).with_name("reviewed.txt")
SILENT: Mapping[str, tuple[str, ...]] = {
    NONSENSE: (SHOWS, SAME, ELSEWHERE),
    ODD: (SHOWS, SAME),
    OTHER: (SAME,),
    ANY: (SAME,),
    ALIKE: (SHOWS, ELSEWHERE),
}
OUTSIDE_THE_YARD = ("remarks", "extra_cells", "oddities")


@dataclass(frozen=True)
class Outcome:
    """What became of a case, and in which words."""

    case: Case
    answer: str
    words: str = ""

    @property
    def is_silent(self) -> bool:
        """Whether something changed, or was passed over, without a word."""
        return self.answer in SILENT[self.case.meant]

    def __str__(self) -> str:
        return f"{self.case.name}  [{self.case.meant} -> {self.answer}]  {self.words}".rstrip()


class Bench:
    """A folder on which cases are tried one after the other."""

    def __init__(self, folder: Path, files: Mapping[str, bytes]) -> None:
        self.folder, self.files = folder, files
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            (folder / name).write_bytes(data)
        yard = tripkit.read_yard(folder)
        self.told = frozenset(list_told(yard))
        self.yard = take_values(yard)

    def try_case(self, case: Case) -> Outcome:
        """The folder with the case's files is read, and its findings are asked for."""
        for name, data in case.files.items():
            write_file(self.folder / name, data)
        try:
            return self._read(case)
        finally:
            for name in case.files:
                write_file(self.folder / name, self.files.get(name))

    def _read(self, case: Case) -> Outcome:
        try:
            yard = tripkit.read_yard(self.folder)
            values = take_values(yard)
            if values != self.yard:
                tripkit.findings(yard)
        except BadYard as error:
            words = str(error)
            names = {e.file.split(" ")[0].split(":")[0].casefold() for e in error.errors}
            if any("Traceback" in str(e) or not e.wanted for e in error.errors):
                return Outcome(case, TRACEBACK, words[:200])
            asked = {name.casefold() for name in case.files}
            answer = (
                REFUSED if names & asked or case.file.casefold() in words.casefold() else ELSEWHERE
            )
            return Outcome(case, answer, words.splitlines()[0][:240])
        except TripkitError as error:
            return Outcome(case, TRACEBACK, f"{type(error).__name__} instead of BadYard: {error}")
        except Exception as error:
            where = traceback.extract_tb(error.__traceback__)[-1]
            return Outcome(
                case,
                TRACEBACK,
                f"{type(error).__name__}: {error} ({where.filename}:{where.lineno})"[:300],
            )
        new = [words for words in list_told(yard) if words not in self.told]
        if new:
            return Outcome(case, SAID, new[0][:240])
        return Outcome(
            case, SAME if values == self.yard else SHOWS, say_difference(self.yard, values)
        )


def list_told(yard: Any) -> list[str]:
    """What was said of the files: remarks, and what is probably not meant."""
    return [*tell_all(yard.remarks), *map(str, yard.oddities)]


def take_values(yard: Any) -> dict[str, Any]:
    """What the yard is, by field, without what was said of its files."""
    return {f.name: getattr(yard, f.name) for f in fields(yard) if f.name not in OUTSIDE_THE_YARD}


def say_difference(before: dict[str, Any], after: dict[str, Any]) -> str:
    """The fields in which two yards differ."""
    return ", ".join(name for name in before if before[name] != after[name])


def write_file(path: Path, data: bytes | None) -> None:
    """A file as a case wants it: with this content, gone, a folder, or locked."""
    if path.is_dir():
        shutil.rmtree(path)
    elif path.exists():
        path.chmod(0o644)
        path.unlink()
    if data is None:
        return
    if data == FOLDER:
        path.mkdir()
    elif data == LOCKED:
        path.write_bytes(b"horse\n")
        path.chmod(0)
    else:
        path.write_bytes(data)


def can_lock() -> bool:
    """Whether a locked file is locked for whoever runs this."""
    return os.geteuid() != 0


def read_reviewed() -> dict[str, str]:
    """Patterns of case names that were looked at, and why each is right."""
    lines = REVIEWED.read_text(encoding="utf-8").splitlines() if REVIEWED.exists() else []
    pairs = (line.partition("  # ") for line in lines if line.strip() and not line.startswith("#"))
    return {pattern.strip(): why.strip() for pattern, _, why in pairs}


def find_review(name: str, reviewed: Iterable[str]) -> str | None:
    """The pattern that covers a case; brackets in names stand for themselves."""
    return next((p for p in reviewed if fnmatchcase(name, p.replace("[", "[[]"))), None)


def list_unreviewed(outcomes: Iterable[Outcome], reviewed: Mapping[str, str]) -> list[Outcome]:
    """Tracebacks, and silent changes that nobody looked at."""
    return [
        o
        for o in outcomes
        if o.answer == TRACEBACK or (o.is_silent and find_review(o.case.name, reviewed) is None)
    ]


def count_answers(outcomes: Iterable[Outcome]) -> Counter[tuple[str, str]]:
    """How many cases of each meaning got which answer."""
    return Counter((o.case.meant, o.answer) for o in outcomes)
