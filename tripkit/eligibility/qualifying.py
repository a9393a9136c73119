"""What an aim still needs: the qualification, and a show before it that prepares the horse.

An aim is met when the horse jumps its class there, has reached its points and starts before the
day `by`, and an earlier outing ended 10 to 45 days before. All of it is common practice, no
source; the organiser's schedule decides what qualifies.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Protocol

from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.horses import Aim
from tripkit.yard.recovery import PREPARATION_DAYS
from tripkit.yard.yard import Yard


class Jumped(Protocol):
    """A horse's classes at one show of a plan; an `Outing` is one."""

    @property
    def show(self) -> str:
        """The show."""

    @property
    def classes(self) -> tuple[str, ...]:
        """The names of the classes it jumps there."""

    @property
    def first_day(self) -> date:
        """The day of its first class."""

    @property
    def last_day(self) -> date:
        """The day of its last class."""


@dataclass(frozen=True)
class AimStanding:
    """How an aim stands under a plan: met or not and why, and what of it is reached.

    `points_missing` and `starts_missing` are 0 where enough is reached. `prepared_by` is the
    show of the outing that prepares the horse, the day of its start where the results name no
    show, empty where there is none.
    """

    aim: Aim
    met: bool
    reason: Fact
    points_reached: Decimal
    starts_reached: int
    points_missing: Decimal
    starts_missing: int
    prepared_by: str | Fact


def assess_aim(yard: Yard, aim: Aim, outings: Sequence[Jumped]) -> AimStanding:
    """An aim is met when its class is jumped, its qualification reached, the horse prepared.

    `outings` are those of the plan; another horse's are passed over. Counted are the results so
    far and the expected points of classes of earlier outings, both in the aim's series and on
    days before `by` (where none is given: the first class day at the aim's show). An outing of
    the plan or of the past prepares where it ended 10 to 45 days before that first class day.
    """
    own = [o for o in outings if getattr(o, "horse", aim.horse) == aim.horse]
    target = next((o for o in own if o.show == aim.show), None)
    start = _find_start(yard, aim) if target is None else target.first_day
    earlier = sorted(
        (o for o in own if o is not target and o.first_day < start), key=lambda o: o.first_day
    )
    points, starts = _count_series(yard, aim, earlier, aim.by or start)
    points_missing = max(Decimal(0), aim.points_needed - points)
    starts_missing = max(0, aim.starts_needed - starts)
    prepared_by = _find_preparation(yard, aim, earlier, start)
    jumps = target is not None and (
        aim.class_name in target.classes if aim.class_name else bool(target.classes)
    )
    wanting = []
    if target is None:
        wanting.append(state("aims.not-there", horse=aim.horse, show=aim.show))
    elif not jumps:
        named = aim.class_name or state("aims.any-class")
        wanting.append(state("aims.not-jumped", horse=aim.horse, name=named, show=aim.show))
    where: dict[str, Value] = {"series": aim.series, "day": aim.by or start}
    if points_missing:
        needed = aim.points_needed
        wanting.append(state("aims.points", missing=points_missing, needed=needed, **where))
    if starts_missing:
        needed_starts = aim.starts_needed
        wanting.append(state("aims.starts", missing=starts_missing, needed=needed_starts, **where))
    low, high = PREPARATION_DAYS
    if not prepared_by:
        wanting.append(state("aims.unprepared", low=low, high=high, day=start))
    reason = (
        state("aims.wanting", wanting=tuple(wanting))
        if wanting
        else _praise(aim, points, starts, prepared_by)
    )
    return AimStanding(
        aim, not wanting, reason, points, starts, points_missing, starts_missing, prepared_by
    )


def _find_start(yard: Yard, aim: Aim) -> date:
    """The day an aim would begin on that no outing goes to: its class, else the show's first."""
    show = yard.show_by_name[aim.show]
    named = show.find_class(aim.class_name) if aim.class_name else None
    return show.days.first if named is None else named.day


def _count_series(
    yard: Yard, aim: Aim, earlier: Sequence[Jumped], before: date
) -> tuple[Decimal, int]:
    """Points and starts in the aim's series on days strictly before one."""
    points, starts = Decimal(0), 0
    if not aim.series:
        return points, starts
    written: set[tuple[str, str]] = set()
    for result in yard.results:
        if result.horse != aim.horse:
            continue
        written.add((result.show, result.class_name))
        offered = yard.find_class(result.show, result.class_name)
        series = result.series or ("" if offered is None else offered.series)
        if series == aim.series and result.date < before:
            points += result.points
            starts += 1
    for outing in earlier:
        for name in outing.classes:
            offered = yard.find_class(outing.show, name)
            # A class whose result is written was jumped already: it would count twice.
            if offered is None or (outing.show, name) in written:
                continue
            if offered.series == aim.series and offered.day < before:
                points += offered.points
                starts += 1
    return points, starts


def _find_preparation(yard: Yard, aim: Aim, earlier: Sequence[Jumped], start: date) -> str | Fact:
    """The latest outing that ended within the days of preparation before a day."""
    ended = [(outing.last_day, outing.show) for outing in earlier]
    # A past outing at the aim's own show is the aim's outing, already begun.
    past = yard.history.get(aim.horse, ())
    ended += [(outing.last_day, outing.show) for outing in past if outing.show != aim.show]
    low, high = PREPARATION_DAYS
    fitting = [(day, show) for day, show in ended if low <= (start - day).days <= high]
    if not fitting:
        return ""
    day, show = max(fitting)
    return show or state("aims.start-on", day=day)


def _praise(aim: Aim, points: Decimal, starts: int, prepared_by: str | Fact) -> Fact:
    if not aim.points_needed and not aim.starts_needed:
        return state("aims.prepared", by=prepared_by)
    return state("aims.qualified", series=aim.series, points=points, starts=starts, by=prepared_by)
