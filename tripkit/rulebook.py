"""A published number with its source, edition and the days on which it holds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tripkit.errors import BadValue

KINDS = ("published", "common practice", "from memory")


@dataclass(frozen=True)
class Rule:
    """One rule of one book: its words, value and unit, where it stands, and when it holds."""

    id: str
    words: str
    value: int | float | str | tuple[int, ...]
    unit: str
    source: str
    kind: str = "published"
    confidence: str = ""
    effective_from: date | None = None
    effective_to: date | None = None

    def __post_init__(self) -> None:
        if not self.source.strip():
            raise BadValue(f"rule {self.id} names no source")
        if self.kind not in KINDS:
            raise BadValue(f"rule {self.id}: kind {self.kind!r} is none of {', '.join(KINDS)}")

    def holds_on(self, day: date) -> bool:
        """Whether the rule is in force on that day."""
        return (self.effective_from is None or self.effective_from <= day) and (
            self.effective_to is None or day <= self.effective_to
        )


@dataclass(frozen=True)
class RuleBook:
    """The rules of one body; several editions of a rule may stand in it, by date."""

    id: str
    title: str
    rules: tuple[Rule, ...] = ()

    def find_rule(self, rule_id: str, on: date) -> Rule | None:
        """The edition of a rule that holds on a day, None where the book has none."""
        return next((r for r in self.rules if r.id == rule_id and r.holds_on(on)), None)
