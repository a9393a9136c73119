"""Answers of servers kept in a dictionary, as the store keeps them in a file."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime


@dataclass(frozen=True)
class Kept:
    """An answer as a store gives it."""

    text: str
    source: str
    when: datetime


@dataclass
class Shelf:
    """Keeps answers in a dictionary, as the store does in a file."""

    kept: dict[tuple[str, str], Kept] = field(default_factory=dict)

    def find_answer(self, kind: str, question: str) -> Kept | None:
        return self.kept.get((kind, question))

    def keep_answer(self, kind: str, question: str, text: str, source: str, when) -> None:
        self.kept[kind, question] = Kept(text, source, when)
