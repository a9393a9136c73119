"""The judge's rule about the past: a circuit holds the season so far as it was lived."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from tripkit.judging.case import Case, Violation, list_names
from tripkit.yard.circuit import Leg, Outing

ANYTIME = ("closed", "locked", "budget", "past", "totals")
"""Rules whose violations are judged whatever day they name."""


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
        names = [f"{o.horse} at {o.show}" for o in missing[:3]]
        names += [f"{leg.vehicle} on {leg.depart.date()}" for leg in undriven[: 3 - len(names)]]
        names += [f"{count - len(names)} more"] if count > len(names) else []
        text = (
            f"what has begun by {today} is not in the plan as it was published and lived: "
            f"{list_names(names)}; plan again"
        )
        yield Violation("past", text, day=first)
    known = {(o.horse, o.show) for o in yard.published.outings} | {
        (r.horse, r.show) for r in yard.results
    }
    false: list[tuple[date, str]] = []
    for outing in case.circuit.outings:
        key = (outing.horse, outing.show)
        show = yard.show_by_name.get(outing.show)
        stays = show is not None and case.stands_at(outing.horse, show.place_key)
        begins = outing.first_day if stays else min(outing.first_day, outing.arrive)
        if begins <= today and key not in known and not case.has_begun(*key):
            false.append((begins, f"{outing.horse} at {outing.show} on {begins}"))
    published = {_name_leg(leg) for leg in yard.published.legs}
    for leg in case.circuit.legs:
        day = leg.depart.date()
        if day <= today and _name_leg(leg) not in published:
            false.append((day, f"{leg.vehicle} from {leg.start} to {leg.end} on {day}"))
    if false:
        false.sort()
        names = [name for _, name in false[:3]]
        names += [f"{len(false) - 3} more"] if len(false) > 3 else []
        text = (
            f"the plan dates by today, {today}, what was never published: {list_names(names)}; "
            "plan again"
        )
        yield Violation("past", text, day=false[0][0])


def is_past(case: Case, violation: Violation) -> bool:
    """Whether only what was lived breaks a rule: that is a remark, and stops nothing."""
    if not case.yard.begun.legs or violation.rule in ANYTIME or violation.day is None:
        return False
    return violation.day <= case.yard.day_of_planning


def _holds(written: Outing | None, lived: Outing) -> bool:
    return written is not None and set(lived.classes) <= set(written.classes)


def _name_leg(leg: Leg) -> tuple[object, ...]:
    return leg.vehicle, leg.start, leg.end, leg.depart
