"""The judge's rule about the past: a circuit holds the season so far as it was lived."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from tripkit.judging.case import Case, Violation, state_leg
from tripkit.yard.circuit import Leg, Outing
from tripkit.yard.facts import Fact, state
from tripkit.yard.rules import RULE_BY_ID

NAMED = 3
"""How many of the things that are missing a violation names."""


def judge_past(case: Case) -> Iterator[Violation]:
    """What has begun by today stands in the circuit as it was published, as far as it happened.

    Outings and drives of the past that nobody published are no plan and no history.
    """
    yard = case.yard
    if yard.published is None or not yard.begun.legs:
        return
    today = yard.day_of_planning
    held = {(o.horse, o.show): o for o in case.circuit.outings}
    missing = [o for o in yard.begun.outings if not _holds(held.get((o.horse, o.show)), o)]
    drives = {_name_leg(leg) for leg in case.circuit.legs}
    undriven = [leg for leg in yard.begun.legs if _name_leg(leg) not in drives]
    if missing or undriven:
        first = min([*(o.first_day for o in missing), *(leg.depart.date() for leg in undriven)])
        count = len(missing) + len(undriven)
        names = [state("judging.outing", horse=o.horse, show=o.show) for o in missing[:NAMED]]
        names += [
            state("judging.departure", vehicle=leg.vehicle, on=leg.depart.date())
            for leg in undriven[: NAMED - len(names)]
        ]
        fact = state("judging.lived-missing", today=today, names=_cut(names, count))
        yield Violation("past", fact, day=first)
    known = {(o.horse, o.show) for o in yard.published.outings} | {
        (r.horse, r.show) for r in yard.results
    }
    false: list[tuple[date, Fact]] = []
    for outing in case.circuit.outings:
        key = (outing.horse, outing.show)
        show = yard.show_by_name.get(outing.show)
        stays = show is not None and case.stands_at(outing.horse, show.place_key)
        begins = outing.first_day if stays else min(outing.first_day, outing.arrive)
        if begins <= today and key not in known and not case.has_begun(*key):
            fact = state("judging.outing-from", horse=outing.horse, show=outing.show, on=begins)
            false.append((begins, fact))
    published = {_name_leg(leg) for leg in yard.published.legs}
    for leg in case.circuit.legs:
        day = leg.depart.date()
        if day <= today and _name_leg(leg) not in published:
            fact = state_leg(leg, day)
            false.append((day, fact))
    if false:
        false.sort(key=lambda found: (found[0], str(found[1])))
        named = _cut([fact for _, fact in false[:NAMED]], len(false))
        yield Violation(
            "past", state("judging.never-published", today=today, names=named), day=false[0][0]
        )


def _cut(names: Sequence[Fact], count: int) -> tuple[Fact, ...]:
    """Names, and how many more there are."""
    more = count - len(names)
    return (*names, *([state("judging.more", count=more)] if more else []))


def is_past(case: Case, violation: Violation) -> bool:
    """Whether only what was lived breaks a rule: that is a remark, and stops nothing."""
    if not case.yard.begun.legs or RULE_BY_ID[violation.rule].whenever or violation.day is None:
        return False
    return violation.day <= case.yard.day_of_planning


def _holds(written: Outing | None, lived: Outing) -> bool:
    return written is not None and set(lived.classes) <= set(written.classes)


def _name_leg(leg: Leg) -> tuple[object, ...]:
    return leg.vehicle, leg.start, leg.end, leg.depart
