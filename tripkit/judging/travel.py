"""The judge's rules about riders, stables and lorries: who is where, and how it got there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from tripkit.driving.leg import count_rider_days
from tripkit.judging.case import (
    Case,
    Held,
    Stay,
    Trip,
    Violation,
    count_clock_minutes,
    count_hours,
    find_evening,
    find_morning,
    name_stop,
    state_leg,
)
from tripkit.judging.people import find_broken_ways, find_lone_schools
from tripkit.yard.circuit import Outing
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Horse
from tripkit.yard.places import HOME

TRANSIT_NIGHTS = 1
HOUR = 60
QUARTER = 15


def judge_rider(case: Case) -> Iterator[Violation]:
    """A horse keeps its rider; a rider is at one place a day, has time between, rides so many.

    Where its rider is absent on a class day, one of those who also ride it stands in. His ways have
    him where he rides, and one of them is where a horse schools.
    Time between: clear days between class days at two places, by the drive at the yard's speed.
    """
    yield from find_broken_ways(case)
    yield from find_lone_schools(case)
    riders = case.yard.riders
    for outing in case.circuit.outings:
        about = {"horse": outing.horse, "show": outing.show, "person": outing.rider}
        horse = case.yard.horse_by_name.get(outing.horse)
        if outing.rider not in riders:
            fact = state("judging.no-rider", **_of(outing), rider=outing.rider)
            begun = case.has_begun(outing.horse, outing.show)
            day = case.date_begun(outing.first_day) if begun else outing.first_day
            yield Violation("rider", fact, **about, day=day)
        elif horse is not None and horse.rider and not _may_ride(case, horse, outing):
            fact = state(
                "judging.other-rider", **_of(outing), rider=outing.rider, own_rider=horse.rider
            )
            lived = case.find_begun(outing.horse, outing.show)
            given = lived is not None and lived.rider == outing.rider
            named = case.date_begun(outing.first_day) if given else case.pick_day(outing.days)
            yield Violation("rider", fact, **about, day=named)
    for rider, person in riders.items():
        rides = [held for held in case.held if held.outing.rider == rider]
        yield from _find_hurried_riders(case, rider, rides)
        by_show: dict[str, set[str]] = {}
        for held in rides:
            by_show.setdefault(held.show.show, set()).add(held.horse.horse)
        for show, horses in by_show.items():
            if len(horses) > person.horses_per_show:
                begun = all(case.has_begun(horse, show) for horse in horses)
                fact = state(
                    "judging.rider-full",
                    rider=rider,
                    have=len(horses),
                    show=show,
                    most=person.horses_per_show,
                )
                past = case.yard.day_of_planning if begun else None
                yield Violation("rider", fact, show=show, person=rider, day=past)


def _may_ride(case: Case, horse: Horse, outing: Outing) -> bool:
    """Whether somebody rides a horse that names a rider: he does, or one who also rides it.

    That one where he is absent on the day of a class that it jumps there.
    """
    classes = (case.yard.find_class(outing.show, name) for name in outing.classes)
    return outing.rider == horse.rider or (
        outing.rider in horse.also_ridden_by
        and any(c is not None and case.yard.is_absent(horse.rider, c.day) for c in classes)
    )


def judge_stabling(case: Case) -> Iterator[Violation]:
    """A horse stands on the grounds in time for its first class and only while stabling is open.

    Between the stabling of two shows at the same place a horse stays that jumps at the second.
    A place without an outing is for the night between two drives only. On the day of its last class
    it leaves in the evening, in one drive; on that of its first it comes in the morning.
    """
    for horse in case.yard.horses:
        used: set[Stay | None] = set()
        for stay, group in case.group_stays(horse.horse):
            used.add(stay)
            base = None if stay is None else case.yard.base_at.get(stay.place_key)
            if stay is not None:
                yield from _find_late_morning(case, stay, group[0])
                yield from _find_early_evening(case, stay, group)
            for block in [group] if base is None else _part_by_nights(group):
                # Who lives at a base in the town is there from the day it came.
                came = stay.first if stay is not None and base is not None else date.max
                yield from _find_closed_stables(case, block, came)
        for stay in case.stays_by_horse[horse.horse]:
            if stay in used or stay.place_key == HOME or stay.last is None:
                continue
            if stay.place_key in case.yard.base_at:
                continue
            nights = (stay.last - stay.first).days
            if case.waits(horse.horse, stay):
                continue
            if nights > TRANSIT_NIGHTS:
                fact = state(
                    "judging.stands-idle",
                    horse=horse.horse,
                    place=name_stop(stay.place_key),
                    first=stay.first,
                    last=stay.last,
                )
                yield Violation("stabling", fact, horse.horse, day=stay.first)


def _part_by_nights(group: Sequence[Held]) -> Iterator[tuple[Held, ...]]:
    """The outings at one place, parted where the horse sleeps elsewhere in the town between."""
    block: tuple[Held, ...] = ()
    for held in group:
        if block and block[-1].outing.leave < held.outing.arrive:
            yield block
            block = ()
        block = (*block, held)
    yield block


def _find_closed_stables(case: Case, block: Sequence[Held], came: date) -> Iterator[Violation]:
    """Outings with no night elsewhere between: there in time, while the stables are open."""
    first, last = block[0], block[-1]
    for held in block:
        there_from = min(first.outing.arrive, held.outing.arrive, came)
        yield from _find_late_arrival(case, held, there_from)
    if first.outing.arrive < first.show.stabling.first:
        fact = state(
            "judging.before-stabling",
            **_of(first.outing),
            on=first.outing.arrive,
            opens=first.show.stabling.first,
        )
        yield _charge("stabling", first, fact, _date_arrival(case, first))
    begun = case.has_begun(last.horse.horse, last.show.show)
    if last.outing.leave > last.show.stabling.last and not begun:
        fact = state(
            "judging.after-stabling",
            **_of(last.outing),
            on=last.outing.leave,
            ends=last.show.stabling.last,
        )
        yield _charge("stabling", last, fact, last.outing.leave)


def judge_places(case: Case) -> Iterator[Violation]:
    """No vehicle carries more horses than it has places, no show takes more than it has left."""
    for leg in case.circuit.legs:
        vehicle = case.yard.vehicle_by_name.get(leg.vehicle)
        aboard = len(set(leg.horses))
        if vehicle is not None and aboard > vehicle.places:
            fact = state(
                "judging.lorry-full",
                vehicle=leg.vehicle,
                have=aboard,
                start=name_stop(leg.start),
                end=name_stop(leg.end),
                on=leg.depart.date(),
                most=vehicle.places,
            )
            yield Violation("places", fact, vehicle=leg.vehicle, day=leg.depart.date())
    bound = {(horse, show) for horse, show, _ in case.yard.bound_entries}
    for show in case.yard.shows:
        new = {
            outing.horse
            for outing in case.circuit.outings
            if outing.show == show.show and (outing.horse, show.show) not in bound
        }
        binds = not all(case.has_begun(horse, show.show) for horse in new)
        if show.places_left is not None and len(new) > show.places_left and binds:
            fact = state(
                "judging.show-full",
                show=show.show,
                most=show.places_left,
                have=len(new),
                horses=tuple(sorted(new)),
            )
            yield Violation("places", fact, show=show.show)


def judge_one_place(case: Case) -> Iterator[Violation]:
    """Vehicle and horse are at one place at a time, move only with a leg, end at home or a base.

    At a base that stays, that is. Legs run from 7 days before the season to 7 days after it, so
    many of a vehicle on a day, each from a quarter of an hour on. An unknown vehicle, stop or horse
    aboard is named here too.
    """
    yield from _find_unknown(case)
    yield from _find_legs_out_of_season(case)
    for vehicle, trips in case.trips_by_vehicle.items():
        yield from _follow(case, vehicle, trips, "")
        yield from _find_many_drives(case, vehicle, trips)
    for horse in case.yard.horses:
        yield from _follow(case, "", case.trips_by_horse[horse.horse], horse.horse)
        yield from _find_unmatched_stays(case, horse.horse)
    counts = Counter((outing.horse, outing.show) for outing in case.circuit.outings)
    for (name, show), count in counts.items():
        if count > 1:
            fact = state("judging.outing-twice", horse=name, have=count, show=show)
            yield Violation("one-place", fact, name, show)


def _find_hurried_riders(case: Case, rider: str, rides: list[Held]) -> Iterator[Violation]:
    seen: dict[tuple[date, str], str] = {}
    for held in rides:
        for offered in held.classes:
            seen.setdefault((offered.day, held.show.place_key), held.show.show)
    days = sorted(seen)
    for (day, key), (later, other_key) in pairwise(days):
        if key == other_key:
            continue
        show, other = seen[day, key], seen[later, other_key]
        about = {"show": other, "person": rider}
        if day == later:
            fact = state("judging.rider-at-two", rider=rider, show=show, other=other, on=day)
            yield Violation("rider", fact, **about, day=later)
            continue
        hours = case.yard.find_hours(key, other_key)
        if hours is None:
            fact = state("judging.rider-no-road", rider=rider, show=show, on=day, other=other)
            yield Violation("rider", fact, **about, day=later)
            continue
        needed = count_rider_days(min(hours, round(hours, 2)), case.yard.limits, case.driving_rules)
        clear = (later - day).days - 1
        if clear < needed:
            fact = state(
                "judging.rider-hurried",
                rider=rider,
                have_days=clear,
                show=show,
                on=day,
                other=other,
                later=later,
                drive_hours=hours,
                need_days=needed,
            )
            yield Violation("rider", fact, **about, day=later)


def _date_arrival(case: Case, held: Held) -> date:
    """Who has left for a show that was then moved comes when it comes: that is past."""
    begun = case.has_begun(held.horse.horse, held.show.show)
    return case.date_begun(held.outing.arrive) if begun else held.outing.arrive


def _find_late_arrival(case: Case, held: Held, there_from: date) -> Iterator[Violation]:
    """A horse that stays for a second show is on the grounds from its first arrival."""
    outing = held.outing
    before = held.horse.limits.arrive_days_before
    early = (held.first - there_from).days
    if early < before:
        fact = state(
            "judging.arrives-late",
            **_of(outing),
            on=outing.arrive,
            have_days=early,
            need_days=before,
        )
        yield _charge("stabling", held, fact, _date_arrival(case, held))
    if outing.leave < held.last:
        fact = state("judging.leaves-early", **_of(outing), on=outing.leave, last=held.last)
        yield _charge("stabling", held, fact, outing.leave)


def _find_late_morning(case: Case, stay: Stay, held: Held) -> Iterator[Violation]:
    """A day trip is there an hour before its first class begins, or by ten where nobody says."""
    trips = case.trips_by_horse[held.horse.horse]
    there = (stay.place_key, held.first)
    comes = next((t for t in trips if (t.end_key, t.days.last) == there), None)
    first = [c for c in held.classes if c.day == held.first]
    if comes is None or stay.first != held.first or held.horse.limits.arrive_days_before:
        return
    until = find_morning(first)
    if count_clock_minutes(comes.arrive) > until:
        fact = state(
            "judging.comes-too-late-to-jump",
            **_of(held.outing),
            at=comes.arrive,
            until_hours=until / HOUR,
        )
        yield _charge("stabling", held, fact, _date_arrival(case, held))


def _find_early_evening(case: Case, stay: Stay, group: Sequence[Held]) -> Iterator[Violation]:
    """On a class day it is loaded after its class and the yard's hour, and there that day."""
    last = group[-1]
    horse, day = last.horse, stay.last
    jumped = [c for held in group for c in held.classes if c.day == day]
    trips = case.trips_by_horse[horse.horse]
    goes = next((t for t in trips if t.start_key == stay.place_key and t.days.first == day), None)
    if not jumped or goes is None or day is None:
        return
    from_minutes = find_evening(case, horse, jumped)
    if count_clock_minutes(goes.depart) < from_minutes:
        fact = state(
            "judging.leaves-before-evening",
            **_of(last.outing),
            at=goes.depart,
            from_hours=from_minutes / HOUR,
        )
        yield _charge("stabling", last, fact, day)
    elif goes.days.last != day:
        fact = state("judging.not-there-by-night", **_of(last.outing), on=day)
        yield _charge("stabling", last, fact, day)


def _find_unknown(case: Case) -> Iterator[Violation]:
    for leg in case.circuit.legs:
        day = leg.depart.date()
        way = state_leg(leg, day)
        if leg.vehicle not in case.yard.vehicle_by_name:
            start, end = name_stop(leg.start), name_stop(leg.end)
            fact = state("judging.no-vehicle", vehicle=leg.vehicle, start=start, end=end)
            yield Violation("one-place", fact, vehicle=leg.vehicle, day=day)
        for stop in dict.fromkeys((leg.start, leg.end)):
            if case.find_key(stop) is None:
                fact = state("judging.no-stop", leg=way, stop=stop)
                yield Violation("one-place", fact, vehicle=leg.vehicle, day=day)
        for horse, count in Counter(leg.horses).items():
            if horse not in case.yard.horse_by_name:
                fact = state("judging.carries-no-horse", leg=way, horse=horse)
                yield Violation("one-place", fact, horse, vehicle=leg.vehicle, day=day)
            elif count > 1:
                fact = state("judging.carries-twice", leg=way, horse=horse, count=count)
                yield Violation("one-place", fact, horse, vehicle=leg.vehicle, day=day)


def _find_legs_out_of_season(case: Case) -> Iterator[Violation]:
    first, last = case.yard.road_days.first, case.yard.road_days.last
    for leg in case.circuit.legs:
        days = sorted((leg.depart.date(), leg.arrive.date()))
        if days[0] < first or days[-1] > last:
            fact = state(
                "judging.leg-out-of-season",
                vehicle=leg.vehicle,
                start=name_stop(leg.start),
                end=name_stop(leg.end),
                on=days[0],
                until=days[-1],
                first=first,
                last=last,
            )
            yield Violation("one-place", fact, vehicle=leg.vehicle, day=days[0])


def _follow(case: Case, vehicle: str, trips: tuple[Trip, ...], horse: str) -> Iterator[Violation]:
    """Follow one vehicle or one horse from home through its drives and back."""
    who = horse or vehicle
    at, stop, before = HOME, HOME, None
    for trip in trips:
        about = {"horse": horse, "vehicle": trip.leg.vehicle}
        if before is not None and count_hours(before.arrive, trip.depart) < 0:
            fact = state(
                "judging.still-on-road",
                who=who,
                start=name_stop(trip.leg.start),
                at=trip.depart,
                other=name_stop(before.leg.start),
                until=before.arrive,
            )
            yield Violation("one-place", fact, **about, day=trip.days.first)
        if trip.start_key != at:
            fact = state(
                "judging.not-there",
                who=who,
                start=name_stop(trip.leg.start),
                on=trip.days.first,
                stop=name_stop(stop),
            )
            yield Violation("one-place", fact, **about, day=trip.days.first)
        at, stop, before = trip.end_key, trip.leg.end, trip
    base = case.yard.base_at.get(at)
    kept = base is not None and base.stays and case.yard.season.last in base.days
    if at != HOME and not kept and before is not None:
        fact = state("judging.left-behind", who=who, stop=name_stop(stop), on=before.days.last)
        # A drive that is over leaves the way home to come.
        day = before.days.last if not case.is_over(before.days.last) else None
        yield Violation("one-place", fact, horse=horse, vehicle=vehicle, day=day)


def _find_many_drives(case: Case, vehicle: str, trips: Sequence[Trip]) -> Iterator[Violation]:
    """A vehicle has so many drives on a day, and leaves on a quarter of an hour."""
    most = case.yard.limits.drives_per_day
    counts = Counter(day for trip in trips for day in trip.days)
    for day, count in counts.items():
        if count > most:
            fact = state(
                "judging.drives-too-often", vehicle=vehicle, count=count, on=day, most=most
            )
            yield Violation("one-place", fact, vehicle=vehicle, day=day)
    for trip in trips:
        if trip.depart.minute % QUARTER or trip.depart.second:
            fact = state("judging.no-quarter", leg=trip.name, at=trip.depart)
            yield Violation("one-place", fact, vehicle=vehicle, day=trip.days.first)


def _find_unmatched_stays(case: Case, horse: str) -> Iterator[Violation]:
    """The days of an outing are those on which the horse's legs come and go.

    Beside a base in the town it may come later and go sooner.
    """
    for stay, group in case.group_stays(horse):
        if stay is None:
            held = group[0]
            fact = state(
                "judging.not-brought", **_of(held.outing), first=held.first, last=held.last
            )
            yield _charge("one-place", held, fact, case.pick_day((held.first, held.last)))
            continue
        first, last = group[0], group[-1]
        lives = stay.place_key in case.yard.base_at
        if first.outing.arrive < stay.first or (first.outing.arrive > stay.first and not lives):
            fact = state(
                "judging.arrives-otherwise",
                **_of(first.outing),
                written=first.outing.arrive,
                on=stay.first,
            )
            yield _charge("one-place", first, fact, first.outing.arrive)
        leave = last.outing.leave
        if stay.last is not None and (leave > stay.last or (leave < stay.last and not lives)):
            fact = state(
                "judging.leaves-otherwise",
                **_of(last.outing),
                written=last.outing.leave,
                on=stay.last,
            )
            yield _charge("one-place", last, fact, last.outing.leave)
        for held, following in pairwise(group):
            leave, arrive = held.outing.leave, following.outing.arrive
            if leave > arrive or (leave < arrive and not lives):
                fact = state(
                    "judging.stays-apart",
                    **_of(held.outing),
                    place=name_stop(held.show.place_key),
                    leave=held.outing.leave,
                    arrive=following.outing.arrive,
                    other=following.show.show,
                )
                yield _charge("one-place", following, fact, following.outing.arrive)


def _of(outing: Outing) -> dict[str, str]:
    return {"horse": outing.horse, "show": outing.show}


def _charge(rule: str, held: Held, fact: Fact, day: date | None) -> Violation:
    return Violation(rule, fact, held.horse.horse, held.show.show, day=day)
