"""The season so far: what of the published circuit has happened by today or is under way.

What the published circuit dates before or on today has begun. Whoever wrote down that it went
otherwise is believed: results say what was jumped, a scratched entry, an absence or a vet check
that does not clear say what was not.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date

from tripkit.eligibility.classes import find_class_findings, is_cleared
from tripkit.eligibility.paperwork import find_paper_findings
from tripkit.season.bases import find_base_nights, list_nights
from tripkit.yard.circuit import Begun, Circuit, Leg, Outing, Stand
from tripkit.yard.facts import Fact, state
from tripkit.yard.places import HOME
from tripkit.yard.shows import Show, ShowClass
from tripkit.yard.yard import Yard


def go_on_from(yard: Yard, published: Circuit | None) -> Yard:
    """A yard that knows the circuit which is published, and what of it has begun by today."""
    bare = replace(yard, published=None, begun=Begun())
    if published is None:
        return bare
    return replace(bare, published=published, begun=find_begun(bare, published))


def find_begun(yard: Yard, published: Circuit) -> Begun:
    """What the published circuit dates before or on today has begun, as far as it happened.

    An outing did not happen where every class of it was scratched, or lies on days on which the
    horse was absent or not cleared, or cannot be jumped any more; a horse that this kept at home
    was aboard no drive there. What results.csv says of a horse at a show holds against the circuit.
    A show or a vehicle that the yard has no more took its drives and outings with it.
    """
    today = yard.day_of_planning
    begins = yard.road_days.first
    legs = [
        leg
        for leg in sorted(published.legs, key=lambda leg: (leg.depart, leg.vehicle))
        if begins <= leg.depart.date() <= today
        and leg.vehicle in yard.vehicle_by_name
        and {leg.start, leg.end} <= {HOME, *yard.show_by_name, *yard.base_of}
    ]
    days = tuple(
        day for day in published.days if day.date <= today and day.horse in yard.horse_by_name
    )
    if not legs:
        return Begun(days=days)
    outings = [o for o in published.outings if _is_known(yard, o)]
    lived: list[Outing] = []
    under_way: set[tuple[str, str]] = set()
    aboard: dict[str, list[Leg]] = {}
    for horse in yard.horses:
        own = [leg for leg in legs if horse.horse in leg.horses]
        mine = sorted((o for o in outings if o.horse == horse.horse), key=lambda o: o.first_day)
        kept = aboard[horse.horse] = []
        for trip in _list_trips(own):
            stays = [o for o in mine if _find_way(yard, o, trip, today) is not None]
            happened = [(o, jumped) for o in stays if (jumped := _list_jumped(yard, o, trip))]
            if stays and not happened and _stayed_at_home(yard, trip[0], stays):
                continue
            kept += trip
            lived += [_write_outing(yard, outing, jumped, trip) for outing, jumped in happened]
            there = [o for o, _ in happened if _is_under_way(yard, o, trip)]
            under_way.update((o.horse, o.show) for o in there[-1:])
    driven = tuple(
        replace(leg, horses=tuple(h for h in leg.horses if leg in aboard.get(h, ())))
        for leg in legs
    )
    return Begun(
        tuple(sorted(lived, key=lambda o: (o.first_day, o.horse, o.show))),
        driven,
        days,
        tuple(_list_stands(driven)),
        frozenset(under_way),
    )


def list_forgotten(yard: Yard) -> tuple[Fact, ...]:
    """Vehicles that drove by today as published and are gone from the yard, with their drives."""
    published = () if yard.published is None else yard.published.legs
    today, drives = yard.day_of_planning, Counter[str]()
    drives.update(leg.vehicle for leg in published if leg.depart.date() <= today)
    return tuple(
        state("lived.forgotten", vehicle=vehicle, count=count, today=today)
        for vehicle, count in sorted(drives.items())
        if vehicle not in yard.vehicle_by_name
    )


def _is_known(yard: Yard, outing: Outing) -> bool:
    return outing.horse in yard.horse_by_name and outing.show in yard.show_by_name


def _list_trips(legs: Sequence[Leg]) -> Iterator[list[Leg]]:
    """The drives of a horse from home to home; the last trip may still be under way."""
    trip: list[Leg] = []
    for leg in legs:
        trip.append(leg)
        if leg.end == HOME:
            yield trip
            trip = []
    if trip:
        yield trip


def _find_way(yard: Yard, outing: Outing, trip: Sequence[Leg], today: date) -> int | None:
    """Which drive of a trip brought a horse to an outing that has begun, None where none did.

    The horse is there before the next drive; one that stays on for another show came with the
    first one's drive.
    """
    key = yard.place_key_of(outing.show)
    for i, leg in enumerate(trip):
        arrived = leg.arrive.date()
        left = trip[i + 1].depart.date() if i + 1 < len(trip) else date.max
        if leg.end == HOME or yard.place_key_of(leg.end) != key:
            continue
        begun = outing.arrive <= today or outing.arrive == arrived
        if begun and arrived <= outing.arrive <= left:
            return i
    return None


def _list_jumped(yard: Yard, outing: Outing, trip: Sequence[Leg]) -> tuple[ShowClass, ...]:
    """The classes of an outing that has begun which were jumped, or still can be."""
    way = _find_way(yard, outing, trip, yard.day_of_planning)
    assert way is not None
    until = trip[way + 1].depart.date() if way + 1 < len(trip) else date.max
    show = yard.show_by_name[outing.show]
    offered = [c for name in outing.classes if (c := show.find_class(name)) is not None]
    jumped = [
        c
        for c in offered
        if trip[way].arrive.date() <= c.day <= until and not _is_barred(yard, outing, c)
    ]
    return tuple(_ask_results(yard, outing, show, jumped))


def _is_barred(yard: Yard, outing: Outing, offered: ShowClass) -> bool:
    horse = yard.horse_by_name[outing.horse]
    return (
        (outing.horse, outing.show, offered.name) in yard.scratched_entries
        or yard.is_absent(outing.horse, offered.day)
        or not is_cleared(yard, horse, offered.day)
        or (offered.day > yard.day_of_planning and not _can_be_jumped(yard, outing, offered))
    )


def _can_be_jumped(yard: Yard, outing: Outing, offered: ShowClass) -> bool:
    """Whether a class to come is still in the season, and fits horse, papers and who came along."""
    if offered.day not in yard.season or yard.is_absent(outing.rider, offered.day):
        return False
    horse, show = yard.horse_by_name[outing.horse], yard.show_by_name[outing.show]
    rider = yard.riders.get(outing.rider)
    findings = (
        *find_class_findings(yard, horse, show, offered, rider),
        *find_paper_findings(yard, horse, show, outing.arrive, offered.day),
    )
    return not any(f.answer == "barred" and f.rule != "rider" for f in findings)


def _ask_results(
    yard: Yard, outing: Outing, show: Show, jumped: Sequence[ShowClass]
) -> Iterable[ShowClass]:
    """Where results speak of a horse at a show, they say what it jumped there before today."""
    today = yard.day_of_planning
    rows = [
        r
        for r in yard.results
        if r.horse == outing.horse
        and r.date < today
        and (r.show == outing.show if r.show else r.date in outing.days)
        and outing.arrive <= r.date <= max(outing.leave, outing.last_day)
    ]
    if not rows:
        return jumped
    dates = {row.date for row in rows}
    named = {row.class_name for row in rows}
    past = (
        [c for c in show.classes if c.name in named and c.day < today]
        or [c for c in jumped if c.day in dates]
        or [c for c in jumped if c.day < today]
    )
    return sorted({*past, *(c for c in jumped if c.day >= today)}, key=lambda c: (c.day, c.name))


def _stayed_at_home(yard: Yard, first: Leg, stays: Sequence[Outing]) -> bool:
    """Whether what kept a horse from all outings of a trip was known before it would have left."""
    horse, depart = yard.horse_by_name[stays[0].horse], first.depart.date()
    if yard.is_absent(horse.horse, depart) or not is_cleared(yard, horse, depart):
        return True
    scratched = [
        e
        for e in yard.entries
        if e.horse == horse.horse
        and any(e.show == o.show and e.class_name in o.classes for o in stays)
        and (e.horse, e.show, e.class_name) in yard.scratched_entries
    ]
    return bool(scratched) and all(e.date is None or e.date <= depart for e in scratched)


def _is_under_way(yard: Yard, outing: Outing, trip: Sequence[Leg]) -> bool:
    """Whether a horse is at a show, or driving to it; one at a base there may have left it."""
    today = yard.day_of_planning
    lives = yard.place_key_of(outing.show) in yard.base_at and outing.leave <= today
    return not lives and _find_way(yard, outing, trip, today) == len(trip) - 1


def _write_outing(
    yard: Yard, outing: Outing, jumped: Sequence[ShowClass], trip: Sequence[Leg]
) -> Outing:
    days = sorted(c.day for c in jumped)
    arrive, leave = outing.arrive, max(outing.leave, days[-1])
    nights = list_nights(outing)
    if nights and nights[0] in find_base_nights(yard, [outing], trip):
        arrive, leave = days[0], days[-1]
    return replace(
        outing,
        classes=tuple(c.name for c in jumped),
        first_day=days[0],
        last_day=days[-1],
        arrive=arrive,
        leave=leave,
    )


def _list_stands(legs: Iterable[Leg]) -> Iterator[Stand]:
    """Where the last drive of each horse and vehicle leaves it."""
    found: dict[str, Stand] = {}
    for leg in legs:
        for who in (leg.vehicle, *leg.horses):
            found[who] = Stand(who, leg.end, leg.arrive.date())
    return iter(found.values())
