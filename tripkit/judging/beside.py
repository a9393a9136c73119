"""Whether a class sent or paid clashes with those that are kept: by the judge's own arithmetic.

Each rule is asked of the class beside all entries that are kept and all that was lived, whatever
else the circuit holds: no new outing is a reason to drop what was paid. Where horses, lorries and
places hang together the judge cannot say more than that something kept is near.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from types import MappingProxyType

from tripkit.driving.leg import count_rider_days
from tripkit.judging.case import Case
from tripkit.yard.days import DaySpan
from tripkit.yard.horses import Horse
from tripkit.yard.places import HOME
from tripkit.yard.recovery import (
    count_needed_clear_days,
    count_rest_days,
    find_break_breaches,
    find_cap_breaches,
    find_fit_day,
)
from tripkit.yard.rules import OUTING, PLANNED_IDS, RULES, list_rules
from tripkit.yard.shows import Show

NEAR_DAYS = 14
"""How far apart [days] two entries may lie that share a lorry, a stable or a driver."""


@dataclass(frozen=True)
class Kept:
    """One horse at one show, on the days of what is kept there: sent, paid or lived."""

    horse: str
    show: str
    place_key: str
    days: DaySpan


@dataclass(frozen=True)
class Beside:
    """A class that was dropped, on the days of what is kept with it there, and all else kept."""

    case: Case
    horse: Horse
    show: Show
    days: DaySpan

    @cached_property
    def kept(self) -> tuple[Kept, ...]:
        """Every other horse and show with something kept, in the order of the days."""
        yard = self.case.yard
        dropped = {(d.horse, d.show, d.class_name) for d in self.case.circuit.dropped_entries}
        days: dict[tuple[str, str], list[date]] = {}
        for key in yard.bound_entries:
            offered = yard.find_class(key[1], key[2])
            if offered is not None and key not in dropped:
                days.setdefault(key[:2], []).append(offered.day)
        for outing in yard.begun.outings:
            lived = days.setdefault((outing.horse, outing.show), [])
            lived += [outing.first_day, outing.last_day]
        for horse, outings in yard.history.items():
            for past in outings:
                if (horse, past.show) not in days:
                    days[horse, past.show] = [past.first_day, past.last_day]
        found = [
            Kept(horse, show, yard.place_key_of(show), DaySpan(min(on), max(on)))
            for (horse, show), on in days.items()
            if (horse, show) != (self.horse.horse, self.show.show) and show in yard.show_by_name
        ]
        return tuple(sorted(found, key=lambda kept: kept.days.first))

    @cached_property
    def own(self) -> tuple[Kept, ...]:
        """What else the horse itself keeps."""
        return tuple(kept for kept in self.kept if kept.horse == self.horse.horse)

    def count_clear_days(self, other: DaySpan) -> int:
        """Clear days between this and other days, below 0 where they overlap."""
        if other.first > self.days.last:
            return (other.first - self.days.last).days - 1
        return (self.days.first - other.last).days - 1


def breaks_cap(beside: Beside) -> bool:
    """With what is kept it would be one outing too many in 30 days."""
    limits, own = beside.horse.limits, beside.days.first
    firsts = sorted([own, *(kept.days.first for kept in beside.own)])
    size = limits.shows_per_30_days + 1
    runs = (firsts[i : i + size] for i in range(len(firsts) - size + 1))
    return any(own in run and bool(find_cap_breaches(run, limits)) for run in runs)


def breaks_recovery(beside: Beside) -> bool:
    """Between it and an outing that is kept lie too few clear days, the way there included."""
    return any(
        beside.count_clear_days(kept.days) < _count_needed(beside, kept) for kept in beside.own
    )


def _count_needed(beside: Beside, kept: Kept) -> int:
    """The clear days that recovery asks with the longest drive to the later of the two."""
    case, limits = beside.case, beside.horse.limits
    later = kept.place_key if kept.days.first > beside.days.first else beside.show.place_key
    earlier = beside.show.place_key if later == kept.place_key else kept.place_key
    hours = [
        case.yard.find_hours(start, later, vehicle) or 0.0
        for start in (HOME, earlier)
        for vehicle in case.yard.vehicles
        if start != later
    ]
    longest = max(hours, default=0.0)
    # A day of driving for each stretch that a horse may travel.
    days = 1 + int(longest // limits.horse_hours_per_day)
    return count_needed_clear_days(limits, days, count_rest_days(longest, limits))


def breaks_break(beside: Beside) -> bool:
    """With what is kept there would be one outing too many without a break."""
    spans = [(kept.days.first, kept.days.last) for kept in beside.own]
    spans = sorted([*spans, (beside.days.first, beside.days.last)])
    return bool(find_break_breaches(spans, beside.horse.limits))


def breaks_fit(beside: Beside) -> bool:
    """The horse would not be fit by then."""
    fit_day = find_fit_day(beside.horse.in_work_from, beside.horse.limits)
    return fit_day is not None and beside.days.first < fit_day


def breaks_rider(beside: Beside) -> bool:
    """Its rider would be elsewhere on the day or on the way, or would have too many horses.

    Who rides a horse that names nobody is open: then any other horse near may have the rider.
    """
    yard, name = beside.case.yard, beside.horse.rider
    others = [kept for kept in beside.kept if kept.horse != beside.horse.horse]
    riders = {kept.horse: yard.horse_by_name[kept.horse].rider for kept in others}
    same = [kept for kept in others if not name or riders[kept.horse] in ("", name)]
    there = {kept.horse for kept in same if kept.show == beside.show.show}
    person = yard.riders.get(name)
    if len(there) >= min(p.horses_per_show for p in ([person] if person else yard.riders.values())):
        return True
    rules = beside.case.driving_rules
    for kept in same:
        if kept.place_key != beside.show.place_key:
            hours = yard.find_hours(kept.place_key, beside.show.place_key)
            needed = None if hours is None else count_rider_days(hours, yard.limits, rules)
            if needed is None or beside.count_clear_days(kept.days) < needed:
                return True
    return False


def exceeds_budget(beside: Beside) -> bool:
    """There is a budget."""
    return beside.case.yard.costs.budget_cents is not None


def is_near_others(beside: Beside) -> bool:
    """Something else is kept within two weeks, or what was lived hinders it."""
    return bool(beside.case.yard.begun.legs) or any(
        beside.count_clear_days(kept.days) < NEAR_DAYS for kept in beside.kept
    )


def is_near_others_while_away(beside: Beside) -> bool:
    """Something else is kept near, and somebody or something is away some time."""
    return bool(beside.case.yard.absences) and is_near_others(beside)


_SHARED = (rule for rule in list_rules(but=OUTING) if rule in PLANNED_IDS and rule != "locked")
CLASHES: Mapping[str, str] = MappingProxyType(
    # Without a name it is several rules at once.
    dict.fromkeys((*_SHARED, ""), "beside.is_near_others")
    | {rule.id: rule.beside_judged_by for rule in RULES if rule.beside_judged_by}
)
"""By which rules an entry may clash with others that are kept, and how the judge knows."""
