"""A published number with its source, edition and the days on which it holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property

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

    @cached_property
    def editions(self) -> Mapping[str, tuple[Rule, ...]]:
        """All editions of each rule, in file order."""
        found: dict[str, list[Rule]] = {}
        for rule in self.rules:
            found.setdefault(rule.id, []).append(rule)
        return {rule_id: tuple(rules) for rule_id, rules in found.items()}

    def find_rule(self, rule_id: str, on: date) -> Rule | None:
        """The edition of a rule that holds on a day, None where the book has none."""
        for rule in self.editions.get(rule_id, ()):
            if rule.holds_on(on):
                return rule
        return None
