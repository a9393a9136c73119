"""The tables of rules and of goals in DEVELOPERS.md, drawn from the rows.

`python -m tests.house.tables` writes them anew.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tests.house.floors import GUIDE, put_between
from tripkit.words.english.goals import GOALS as WORDS_OF_GOALS
from tripkit.words.english.judging import RULES as WORDS_OF_RULES
from tripkit.yard.goals import GOALS, TOUR, write_tour_goal
from tripkit.yard.rules import RULES


@dataclass(frozen=True)
class Table:
    """One table of the guide: what it holds, and the rows as Markdown."""

    name: str
    draw: Callable[[], str]

    @property
    def text(self) -> str:
        """The guide as it is."""
        return GUIDE.read_text(encoding="utf-8")

    def put_into(self, text: str) -> str:
        """A text with this table drawn anew."""
        begin = f"<!-- {self.name}: drawn by tests.house.tables -->\n"
        return put_between(text, (begin, f"<!-- end of {self.name} -->\n"), self.draw())


def draw_rules() -> str:
    """A row a rule: id, what it asks, what it hangs on, what it counts with, who keeps it."""
    heads = ("rule", "asks", "hangs on", "rests on", "judged by", "planned by")
    rows = [f"| {' | '.join(heads)} |", f"|{'---|' * len(heads)}"]
    for rule in RULES:
        rests = [*(f"`{limit}`" for limit in rule.limits), *rule.sources]
        judged, planned = (
            ", ".join(f"`{named}`" for named in functions if named)
            for functions in (
                (rule.judged_by, rule.forbidden_by, rule.clash_judged_by, rule.beside_judged_by),
                (*rule.planned_by, rule.clash_planned_by),
            )
        )
        rows.append(
            f"| `{rule.id}` | {WORDS_OF_RULES[rule.id].demand} | {', '.join(rule.scopes)} "
            f"| {'; '.join(rests)} | {judged} | {planned} |"
        )
    return "\n".join(rows) + "\n"


def draw_goals() -> str:
    """A row a goal: id, in words, what is best, its unit, whether it saves, who plans it."""
    heads = ("goal", "in words", "best is", "unit", "keeps only the worth floor", "planned by")
    rows = [f"| {' | '.join(heads)} |", f"|{'---|' * len(heads)}"]
    for goal in GOALS:
        shown = write_tour_goal("NAME") if goal is TOUR else goal.id
        best = f"the {'least' if goal.least else 'most'}"
        best += f" `{goal.counts}`" if goal.counts else ""
        said = WORDS_OF_GOALS[goal.id].format(name="NAME")
        planned = f"`{goal.planned_by}`" if goal.planned_by else ""
        saves = "yes" if goal.saves else ""
        rows.append(f"| `{shown}` | {said} | {best} | {goal.unit} | {saves} | {planned} |")
    return "\n".join(rows) + "\n"


TABLES = (Table("rules", draw_rules), Table("goals", draw_goals))


def main() -> None:
    """Draw every table into the guide."""
    for table in TABLES:
        GUIDE.write_text(table.put_into(table.text), encoding="utf-8")


if __name__ == "__main__":
    main()
