"""A published number with its source, edition and the days on which it holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state

KINDS = ("published", "common practice", "from memory")


@dataclass(frozen=True)
class Rule:
    """One rule of one book: its words, value and unit, where it stands, and when it holds.

    A figure about a medicine names `substance`, `route` and `dose` besides. `book` names the
    one book that a rule of the yard's own changes; empty: every book that has the id.
    """

    id: str
    words: str
    value: int | float | str | tuple[int, ...]
    unit: str
    source: str
    kind: str = "published"
    confidence: str = ""
    effective_from: date | None = None
    effective_to: date | None = None
    substance: str = ""
    route: str = ""
    dose: str = ""
    book: str = ""

    def __post_init__(self) -> None:
        if not self.source.strip():
            raise BadValue(state("values.rule-names-no-source", id=self.id))
        if self.kind not in KINDS:
            raise BadValue(
                state("values.rule-kind-is-none-of", id=self.id, kind=self.kind, kinds=tuple(KINDS))
            )

    @cached_property
    def cited(self) -> str:
        """The source as it is printed: what is not published or not sure says so beside it.

        >>> Rule("x", "", 1, "days", "A rule book, Art. 1", "from memory", "medium").cited
        'A rule book, Art. 1 (from memory, medium)'
        """
        doubt = [] if self.kind == KINDS[0] else [self.kind]
        if self.confidence not in ("", "seen"):
            doubt.append(self.confidence.removeprefix("seen; "))
        return f"{self.source} ({', '.join(doubt)})" if doubt else self.source

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
        key = (rule_id, on)
        if key not in self._found:
            editions = self.editions.get(rule_id, ())
            self._found[key] = next((rule for rule in editions if rule.holds_on(on)), None)
        return self._found[key]

    @cached_property
    def _found(self) -> dict[tuple[str, date], Rule | None]:
        return {}

    def override(self, own: tuple[Rule, ...]) -> RuleBook:
        """A copy in which the yard's own rules come before those of the same id.

        On days on which an own rule does not hold, the book's edition goes on holding.
        """
        wanted = [r for r in own if r.id in self.editions and r.book in ("", self.id)]
        return RuleBook(self.id, self.title, (*wanted, *self.rules)) if wanted else self
