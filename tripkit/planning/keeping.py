"""Which entries sent or paid are kept where not all can be, and which of them clash.

One program in which each class sent or paid may be kept or not, and nothing else is planned, says
which lose the least, and whether some of them can be kept together.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations
from typing import TypeAlias

from tripkit.planning.job import Given, Job, start_job
from tripkit.planning.mip import Mip
from tripkit.planning.problem import build_problem
from tripkit.planning.program import Season, Terms
from tripkit.planning.pursuit import FOUND, Target, build_program
from tripkit.planning.search import Objective, Search, Watch
from tripkit.planning.stopping import Stopped
from tripkit.yard.circuit import DroppedEntry
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Entry
from tripkit.yard.rules import PLANNED_IDS, RULE_BY_ID, SEASON, VEHICLE
from tripkit.yard.yard import Yard

Key: TypeAlias = tuple[str, str, str]
"""An entry: horse, show, class."""

KEEP_SECONDS = 20.0
"""How long a yard that is only checked is searched for entries that clash."""

LOCKED = "locked"


@dataclass(frozen=True)
class Clash:
    """Entries sent or paid of which any one less could be kept, and the rules they break together.

    Without any one of the `rules` all could be kept. `lost_cents` is what dropping each would lose.
    """

    entries: tuple[Key, ...]
    rules: tuple[str, ...]
    lost_cents: tuple[int, ...]

    @property
    def fact(self) -> Fact:
        """The entries, what dropping each would lose, and why not all can be kept."""
        entries = tuple(
            state("planning.entry-loses", horse=horse, show=show, name=name, lost_cents=cents)
            for (horse, show, name), cents in zip(self.entries, self.lost_cents, strict=True)
        )
        return state("planning.entries-clash", entries=entries, why=name_rules(self.rules))


def _is_roomy(name: str) -> bool:
    """Whether a rule asks each outing for itself: without it there is room, seldom meant."""
    rule = RULE_BY_ID[name]
    together = rule.beside_judged_by and not rule.forbidden_by
    return not together and (VEHICLE not in rule.scopes or SEASON in rule.scopes)


def name_rules(rules: Sequence[str]) -> Fact:
    """What rules that clash ask, or that several of them are to blame at once."""
    if not rules:
        return state("planning.several-rules")
    return state("planning.rules", rules=tuple(Fact(f"judging.demand-{rule}") for rule in rules))


class Keeping:
    """The entries of a yard that could be kept, each for itself, and the program that says which.

    In a season that has begun the budget does not bind them, and horses stay away until the end
    where nobody can fetch them sooner.
    """

    def __init__(self, job: Job, watch: Watch) -> None:
        yard = job.yard
        late_days = (yard.road_days.last - yard.day_of_planning).days if yard.begun.legs else 0
        # A wish takes no entry away.
        self._job = replace(job, yard=replace(yard, held=()), frozen=bool(yard.begun.legs))
        self._watch = watch
        self.problem = build_problem(
            self._job.yard, without=job.without, late_days=late_days, free=True
        )

    @cached_property
    def season(self) -> Season:
        """The program, with all breaks written in."""
        season, _ = build_program(self._job, Target(), self.problem, None)
        return season

    @cached_property
    def _mip(self) -> Mip:
        return Search(self.season).mip

    @cached_property
    def entries(self) -> Mapping[Key, int]:
        """What dropping each entry would lose [cents]."""
        yard = self.problem.yard
        return {
            (chance.horse, show.show, choice.name): yard.count_lost_cents(chance.horse, offered)
            for chance in self.problem.chances
            for choice in chance.bound
            if not chance.begun
            and (show := yard.show_by_name[chance.show])
            and (offered := show.find_class(choice.name))
        }

    @cached_property
    def _column_of(self) -> Mapping[Key, int]:
        return {
            key: column
            for (chance, choice), column in self.season.choice_of.items()
            if (key := (chance.horse, chance.show, choice.name)) in self.entries
        }

    def can_keep(self, entries: Sequence[Key]) -> bool:
        """Whether entries can be kept together, as far as there is time to know."""
        if self._watch.is_stopped:
            raise Stopped
        mip = self._mip.copy()
        for key in entries:
            mip.lower[self._column_of[key]] = 1.0
        mip.set_objective({}, maximise=True)
        solved = mip.solve(seconds=self._watch.left, should_stop=self._watch.should_stop)
        return solved.status != "none"

    def shrink(self, entries: Sequence[Key], given: Sequence[Key] = ()) -> tuple[Key, ...]:
        """The fewest of entries that cannot be kept together: with any one less they can.

        The `given` are among them.
        """
        kept = list(entries)
        for key in entries:
            rest = [other for other in kept if other != key]
            if not self.can_keep((*given, *rest)):
                kept = rest
        return (*given, *kept)

    def choose(self) -> tuple[frozenset[Key], bool] | None:
        """The entries to keep: those that save the most money, then are worth most; and a proof.

        None where there is none in time.
        """
        cents: Terms = {self._column_of[key]: float(lost) for key, lost in self.entries.items()}
        worth: Terms = {
            column: float(choice.worth)
            for (_, choice), column in self.season.choice_of.items()
            if column in cents
        }
        season, proved, values = self.season, True, None
        for terms in (cents, worth, dict.fromkeys(cents, 1.0)):
            objective = Objective({c: v for c, v in terms.items() if v}, True)
            found = Search(season).find_best(objective, self._watch)
            if found.status not in FOUND:
                break
            proved, values = proved and found.status == "best", found.values
            season = replace(season, mip=season.mip.copy())
            season.mip.add_row(objective.terms, found.objective - 0.5, found.objective + 0.5)
        if values is None:
            return None
        kept = frozenset(key for key, column in self._column_of.items() if values[column] > 0.5)
        return kept, proved

    def find_rules(self, entries: Sequence[Key]) -> tuple[str, ...]:
        """The rules without any one of which entries could be kept together."""
        job = self._job
        small = replace(job, yard=_cut(job.yard, entries), known={})
        found = []
        for rule in PLANNED_IDS:
            if rule not in job.without and rule != LOCKED:
                eased = replace(small, without=job.without | {rule}, known={})
                keeping = Keeping(eased, self._watch)
                if set(entries) <= keeping.entries.keys() and keeping.can_keep(entries):
                    found.append(rule)
        if not found and _are_at_once(job.yard, entries):
            return ("one-place",)
        return tuple(sorted(found, key=_is_roomy))

    def explain(self, entries: Sequence[Key]) -> Clash:
        """A set of entries that clash, with the rules and the losses."""
        losses = tuple(self.entries[key] for key in entries)
        return Clash(tuple(entries), self.find_rules(entries), losses)


def _are_at_once(yard: Yard, entries: Sequence[Key]) -> bool:
    """Whether a horse is asked for at two places on one day, or on one and the next."""
    asked = [
        (horse, yard.place_key_of(show), offered.day)
        for horse, show, name in entries
        if (offered := yard.find_class(show, name))
    ]
    return any(
        one[0] == other[0] and one[1] != other[1] and abs((one[2] - other[2]).days) <= 1
        for one, other in combinations(asked, 2)
    )


def _cut(yard: Yard, entries: Sequence[Key]) -> Yard:
    """The yard with nobody who clashes left out; what has begun hangs together."""
    if yard.begun.legs:
        return yard
    keys = set(entries)
    places = {yard.show_by_name[show].place_key for _, show, _ in keys}
    return replace(
        yard,
        entries=tuple(e for e in yard.entries if (e.horse, e.show, e.class_name) in keys),
        shows=tuple(show for show in yard.shows if show.place_key in places),
        aims=(),
    )


def find_clashes(yard: Yard, seconds: float = KEEP_SECONDS) -> tuple[Clash, ...]:
    """The smallest sets of entries sent or paid that cannot be kept together; none where all can.

    Of each set that is found the entry that loses least is left out for the next.
    """
    job = start_job(yard, None, frozenset(), seconds, None, None)
    keeping = Keeping(job, Watch(seconds))
    left = list(keeping.entries)
    found: list[Clash] = []
    while left and not keeping.can_keep(left):
        clash = keeping.explain(keeping.shrink(left))
        found.append(clash)
        left.remove(min(clash.entries, key=lambda key: keeping.entries[key]))
    return tuple(found)


def give_up(job: Job, watch: Watch) -> Given:
    """The entries that are dropped so that the others can be kept, with the rule and why."""
    if not any(entry.binds for entry in job.yard.entries):
        return Given()
    keeping = Keeping(job, watch)
    entries = keeping.entries
    if not entries or keeping.can_keep(tuple(entries)):
        return Given()
    chosen = keeping.choose()
    if chosen is None:
        return Given(proved=False)
    kept, proved = chosen
    dropped = []
    for key in entries:
        if key not in kept:
            others = keeping.shrink([k for k in entries if k in kept], given=(key,))
            clash = keeping.explain(others)
            rule = clash.rules[0] if clash.rules else ""
            dropped.append(DroppedEntry(*key, _explain(clash), entries[key], rule))
    return Given(tuple(dropped), proved)


def _explain(clash: Clash) -> Fact:
    """Why the first entry of a clash is not kept: the others are, and what they break together."""
    others = tuple(
        state("planning.entry", horse=horse, show=show, name=name)
        for horse, show, name in clash.entries[1:]
    )
    why = name_rules(clash.rules)
    return state("planning.clash", why=why, others=others) if others else why


def scratch(yard: Yard, dropped: Sequence[DroppedEntry]) -> Yard:
    """The yard as it is planned without the entries that were given up."""
    gone = {(entry.horse, entry.show, entry.class_name) for entry in dropped}
    entries = (e for e in yard.entries if (e.horse, e.show, e.class_name) not in gone)
    return replace(yard, entries=(*entries, *(Entry(*key, "scratched") for key in sorted(gone))))
