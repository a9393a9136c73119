"""What the manager wishes of the next plan: a value that can be kept, listed and taken back.

Nothing here is written to the yard folder. A wish changes what the planner is given; entries sent
or paid, and what the vet and the rule books say, hold against any wish.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields, replace
from typing import Any

from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Entry
from tripkit.yard.people import Absence
from tripkit.yard.yard import Yard

Pair = tuple[str, str]


@dataclass(frozen=True)
class Wishes:
    """Outings to hold and to forbid as (horse, show), who is away, and three numbers and a tour.

    `budget_cents` and `shows_per_30_days` replace the yard's where they are given; with `tour`
    no new entry goes to another tour.
    """

    held: tuple[Pair, ...] = ()
    forbidden: tuple[Pair, ...] = ()
    absences: tuple[Absence, ...] = ()
    budget_cents: int | None = None
    shows_per_30_days: int | None = None
    tour: str = ""

    def __bool__(self) -> bool:
        return self != Wishes()

    @property
    def numbers(self) -> Wishes:
        """Of these wishes the two numbers, which stand in the place of the yard's own."""
        return Wishes(budget_cents=self.budget_cents, shows_per_30_days=self.shows_per_30_days)

    def hold(self, horse: str, show: str) -> Wishes:
        """The horse goes to the show; it is no longer forbidden."""
        pair = (horse, show)
        return replace(self, held=_add(self.held, pair), forbidden=_drop(self.forbidden, pair))

    def forbid(self, horse: str, show: str) -> Wishes:
        """The horse does not go to the show; it is no longer held."""
        pair = (horse, show)
        return replace(self, held=_drop(self.held, pair), forbidden=_add(self.forbidden, pair))

    def take_out(self, who: str, days: DaySpan) -> Wishes:
        """A horse, person or vehicle is not to be had on these days."""
        return replace(self, absences=_add(self.absences, Absence(who, days, "wished")))

    def ask_numbers(self, budget_cents: int | None, shows_per_30_days: int | None) -> Wishes:
        """What is given replaces what was wished before; None leaves it as it is."""
        return replace(
            self,
            budget_cents=self.budget_cents if budget_cents is None else budget_cents,
            shows_per_30_days=(
                self.shows_per_30_days if shows_per_30_days is None else shows_per_30_days
            ),
        )

    def ask_tour(self, tour: str) -> Wishes:
        """New entries go to this tour only; empty: to every tour."""
        return replace(self, tour=tour)

    def remove(self, kind: str, number: int = 0) -> Wishes:
        """One wish is taken back: by its field, and its number where the field holds several."""
        if kind not in {known.name for known in fields(self)}:
            raise BadValue(state("wishes.no-kind", kind=kind))
        held = getattr(self, kind)
        less: Any = "" if kind == "tour" else None
        if isinstance(held, tuple):
            less = held[:number] + held[number + 1 :]
        changed: dict[str, Any] = {kind: less}
        return replace(self, **changed)


def apply_wishes(yard: Yard, wishes: Wishes) -> Yard:
    """The yard as the planner is to see it; the yard itself stays as it is.

    Held outings become `Yard.held`; forbidden ones are as if every class were scratched, save
    classes sent or paid; absences, budget and limits are added or replaced, also in the horses'
    own limits. The tour is no part of a yard: it is the planner's. Raises `BadValue` where a wish
    names a horse, show, person, vehicle or tour that the yard has not.
    """
    if not wishes:
        return yard
    _check(yard, wishes)
    scratched = tuple(
        Entry(horse, show, offered.name, "scratched")
        for horse, show in wishes.forbidden
        for offered in yard.show_by_name[show].classes
        if (horse, show, offered.name) not in yard.bound_entries
    )
    changed = replace(
        yard,
        held=(*yard.held, *wishes.held),
        # A wish comes last and without a date: of rows of one day the later one holds.
        entries=(*(e for e in yard.entries if not _overruled(e, scratched)), *scratched),
        absences=(*yard.absences, *wishes.absences),
    )
    if wishes.budget_cents is not None:
        changed = replace(changed, costs=replace(yard.costs, budget_cents=wishes.budget_cents))
    if wishes.shows_per_30_days is not None:
        number = {"shows_per_30_days": wishes.shows_per_30_days}
        changed = replace(
            changed,
            limits=yard.limits.override(number),
            horses=tuple(replace(h, limits=h.limits.override(number)) for h in yard.horses),
        )
    return changed


def fit_wishes(yard: Yard, wishes: Wishes) -> Wishes:
    """The wishes that name what the yard has; a horse or show that is gone takes its own along."""
    names = _list_names(yard)

    def knows(pair: Pair) -> bool:
        return pair[0] in yard.horse_by_name and pair[1] in yard.show_by_name

    return replace(
        wishes,
        held=tuple(filter(knows, wishes.held)),
        forbidden=tuple(filter(knows, wishes.forbidden)),
        absences=tuple(a for a in wishes.absences if a.who in names),
        tour=wishes.tour if wishes.tour in _list_tours(yard) else "",
    )


def list_wishes(wishes: Wishes) -> Iterator[tuple[str, int, Fact]]:
    """Every wish, with the field and number by which it is taken back."""
    for kind in ("held", "forbidden"):
        for i, (horse, show) in enumerate(getattr(wishes, kind)):
            yield kind, i, state(f"wishes.{kind}", horse=horse, show=show)
    for i, absence in enumerate(wishes.absences):
        yield "absences", i, state("wishes.away", who=absence.who, days=absence.days)
    if wishes.budget_cents is not None:
        yield "budget_cents", 0, state("wishes.budget", budget_cents=wishes.budget_cents)
    if wishes.shows_per_30_days is not None:
        yield "shows_per_30_days", 0, state("wishes.often", count=wishes.shows_per_30_days)
    if wishes.tour:
        yield "tour", 0, state("wishes.tour", tour=wishes.tour)


def merge_wishes(base: Wishes, mine: Wishes, theirs: Wishes) -> Wishes:
    """What `mine` changed of `base` is changed of `theirs`, too: the later of two wishes wins."""
    merged: dict[str, Any] = {}
    for known in fields(base):
        was, want, there = (getattr(w, known.name) for w in (base, mine, theirs))
        if isinstance(was, tuple):
            new = tuple(item for item in want if item not in was)
            kept = (item for item in there if item in want or item not in was)
            merged[known.name] = tuple(dict.fromkeys((*kept, *new)))
        else:
            merged[known.name] = there if want == was else want
    for kind, other in (("held", "forbidden"), ("forbidden", "held")):
        now = {pair for pair in getattr(mine, kind) if pair not in getattr(base, kind)}
        merged[other] = tuple(pair for pair in merged[other] if pair not in now)
    return Wishes(**merged)


def _list_names(yard: Yard) -> set[str]:
    return {*yard.horse_by_name, *yard.vehicle_by_name, *(p.person for p in yard.people)}


def _list_tours(yard: Yard) -> set[str]:
    return {show.tour for show in yard.shows if show.tour}


def _check(yard: Yard, wishes: Wishes) -> None:
    for horse, show in (*wishes.held, *wishes.forbidden):
        if horse not in yard.horse_by_name:
            raise BadValue(state("wishes.no-horse", horse=horse))
        if show not in yard.show_by_name:
            raise BadValue(state("wishes.no-show", show=show))
    known = _list_names(yard)
    for absence in wishes.absences:
        if absence.who not in known:
            raise BadValue(state("wishes.nobody", who=absence.who))
    if wishes.tour and wishes.tour not in _list_tours(yard):
        raise BadValue(state("wishes.no-tour", tour=wishes.tour))


def _overruled(entry: Entry, scratched: Iterable[Entry]) -> bool:
    key = (entry.horse, entry.show, entry.class_name)
    return any(key == (e.horse, e.show, e.class_name) for e in scratched)


def _add(items: tuple, item: object) -> tuple:  # type: ignore[type-arg]
    return items if item in items else (*items, item)


def _drop(items: tuple, item: object) -> tuple:  # type: ignore[type-arg]
    return tuple(known for known in items if known != item)
