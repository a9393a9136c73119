"""The judge's rules about riders, stables and lorries: who is where, and how it got there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date
from itertools import pairwise

from tripkit.driving.leg import count_rider_days
from tripkit.judging.case import (
    Case,
    Held,
    Stay,
    Trip,
    Violation,
    count_hours,
    list_names,
    say_days,
    shift,
)
from tripkit.yard.limits import DAYS_OUTSIDE_SEASON
from tripkit.yard.places import HOME

TRANSIT_NIGHTS = 1


def judge_rider(case: Case) -> Iterator[Violation]:
    """A horse keeps its rider; a rider is at one place a day, has time between, rides so many.

    Time between: clear days between class days at two places, by the drive at the yard's speed.
    """
    riders = case.yard.riders
    for outing in case.circuit.outings:
        about = {"horse": outing.horse, "show": outing.show, "person": outing.rider}
        horse = case.yard.horse_by_name.get(outing.horse)
        if outing.rider not in riders:
            text = f"{outing.rider!r}, who rides {outing.horse} at {outing.show}, is no rider"
            begun = case.has_begun(outing.horse, outing.show)
            day = case.date_begun(outing.first_day) if begun else outing.first_day
            yield Violation("rider", text, **about, day=day)
        elif horse is not None and horse.rider and horse.rider != outing.rider:
            text = (
                f"{outing.horse} is ridden by {outing.rider} at {outing.show} and only by "
                f"{horse.rider} otherwise"
            )
            lived = case.find_begun(outing.horse, outing.show)
            given = lived is not None and lived.rider == outing.rider
            named = case.date_begun(outing.first_day) if given else case.pick_day(outing.days)
            yield Violation("rider", text, **about, day=named)
    for rider, person in riders.items():
        rides = [held for held in case.held if held.outing.rider == rider]
        yield from _find_hurried_riders(case, rider, rides)
        by_show: dict[str, set[str]] = {}
        for held in rides:
            by_show.setdefault(held.show.show, set()).add(held.horse.horse)
        for show, horses in by_show.items():
            if len(horses) > person.horses_per_show:
                begun = all(case.has_begun(horse, show) for horse in horses)
                text = (
                    f"{rider} rides {len(horses)} horses at {show} and may ride "
                    f"{person.horses_per_show}"
                )
                past = case.yard.day_of_planning if begun else None
                yield Violation("rider", text, show=show, person=rider, day=past)


def judge_stabling(case: Case) -> Iterator[Violation]:
    """A horse stands on the grounds in time for its first class and only while stabling is open.

    Between the stabling of two shows at the same place a horse stays that jumps at the second.
    A place without an outing is for the night between two drives only.
    """
    for horse in case.yard.horses:
        used: set[Stay | None] = set()
        for stay, group in case.group_stays(horse.horse):
            used.add(stay)
            first, last = group[0], group[-1]
            for held in group:
                there_from = min(first.outing.arrive, held.outing.arrive)
                yield from _find_late_arrival(case, held, there_from)
            if first.outing.arrive < first.show.stabling.first:
                text = (
                    f"{horse.horse} arrives at {first.show.show} on {first.outing.arrive}, and "
                    f"stabling opens on {first.show.stabling.first}"
                )
                yield _tell("stabling", first, text, _date_arrival(case, first))
            begun = case.has_begun(horse.horse, last.show.show)
            if last.outing.leave > last.show.stabling.last and not begun:
                text = (
                    f"{horse.horse} leaves {last.show.show} on {last.outing.leave}, and "
                    f"stabling ends on {last.show.stabling.last}"
                )
                yield _tell("stabling", last, text, last.outing.leave)
        for stay in case.stays_by_horse[horse.horse]:
            if stay in used or stay.place_key == HOME or stay.last is None:
                continue
            nights = (stay.last - stay.first).days
            if case.waits(horse.horse, stay):
                continue
            if nights > TRANSIT_NIGHTS:
                text = (
                    f"{horse.horse} stands at {stay.place_key} from {stay.first} to {stay.last} "
                    f"and jumps at no show there"
                )
                yield Violation("stabling", text, horse.horse, day=stay.first)


def judge_places(case: Case) -> Iterator[Violation]:
    """No vehicle carries more horses than it has places, no show takes more than it has left."""
    for leg in case.circuit.legs:
        vehicle = case.yard.vehicle_by_name.get(leg.vehicle)
        aboard = len(set(leg.horses))
        if vehicle is not None and aboard > vehicle.places:
            text = (
                f"{leg.vehicle} carries {aboard} horses from {leg.start} to {leg.end} on "
                f"{leg.depart.date()} and has {vehicle.places} places"
            )
            yield Violation("places", text, vehicle=leg.vehicle, day=leg.depart.date())
    bound = {(horse, show) for horse, show, _ in case.yard.bound_entries}
    for show in case.yard.shows:
        new = {
            outing.horse
            for outing in case.circuit.outings
            if outing.show == show.show and (outing.horse, show.show) not in bound
        }
        binds = not all(case.has_begun(horse, show.show) for horse in new)
        if show.places_left is not None and len(new) > show.places_left and binds:
            text = (
                f"{show.show} has {show.places_left} places left and the plan enters {len(new)} "
                f"new horses: {list_names(sorted(new))}"
            )
            yield Violation("places", text, show=show.show)


def judge_one_place(case: Case) -> Iterator[Violation]:
    """Vehicle and horse are at one place at a time, move only with a leg, and end at home.

    Legs run from 7 days before the season to 7 days after it. An unknown vehicle, stop or horse
    aboard is named here too.
    """
    yield from _find_unknown(case)
    yield from _find_legs_out_of_season(case)
    for vehicle, trips in case.trips_by_vehicle.items():
        yield from _follow(case, vehicle, trips, "")
    for horse in case.yard.horses:
        yield from _follow(case, "", case.trips_by_horse[horse.horse], horse.horse)
        yield from _find_unmatched_stays(case, horse.horse)
    counts = Counter((outing.horse, outing.show) for outing in case.circuit.outings)
    for (name, show), count in counts.items():
        if count > 1:
            text = f"{name} has {count} outings at {show}, and one horse at one show is one outing"
            yield Violation("one-place", text, name, show)


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
            text = f"{rider} rides at {show} and at {other} on {day}"
            yield Violation("rider", text, **about, day=later)
            continue
        hours = case.yard.find_hours(key, other_key)
        if hours is None:
            text = f"{rider} rides at {show} on {day}, and no road to {other} is known"
            yield Violation("rider", text, **about, day=later)
            continue
        needed = count_rider_days(min(hours, round(hours, 2)), case.yard.limits, case.driving_rules)
        clear = (later - day).days - 1
        if clear < needed:
            text = (
                f"{rider} has {clear} clear {'day' if clear == 1 else 'days'} from {show} on {day} "
                f"to {other} on {later}, {hours:.1f} h away, and needs {needed}"
            )
            yield Violation("rider", text, **about, day=later)


def _date_arrival(case: Case, held: Held) -> date:
    """Who has left for a show that was then moved comes when it comes: that is past."""
    begun = case.has_begun(held.horse.horse, held.show.show)
    return case.date_begun(held.outing.arrive) if begun else held.outing.arrive


def _find_late_arrival(case: Case, held: Held, there_from: date) -> Iterator[Violation]:
    """A horse that stays for a second show is on the grounds from its first arrival."""
    outing, name = held.outing, held.horse.horse
    before = held.horse.limits.arrive_days_before
    early = (held.first - there_from).days
    if early < before:
        text = (
            f"{name} arrives at {held.show.show} on {outing.arrive}, {say_days(early)} before its "
            f"first class, and needs {before}"
        )
        yield _tell("stabling", held, text, _date_arrival(case, held))
    if outing.leave < held.last:
        text = (
            f"{name} leaves {held.show.show} on {outing.leave}, before its last class on "
            f"{held.last}"
        )
        yield _tell("stabling", held, text, outing.leave)


def _find_unknown(case: Case) -> Iterator[Violation]:
    for leg in case.circuit.legs:
        day = leg.depart.date()
        way = f"{leg.vehicle} from {leg.start} to {leg.end} on {day}"
        if leg.vehicle not in case.yard.vehicle_by_name:
            text = f"{leg.vehicle!r}, which drives from {leg.start} to {leg.end}, is no vehicle"
            yield Violation("one-place", text, vehicle=leg.vehicle, day=day)
        for stop in dict.fromkeys((leg.start, leg.end)):
            if case.find_key(stop) is None:
                text = f"{way}: {stop!r} is neither home nor a show of the calendar"
                yield Violation("one-place", text, vehicle=leg.vehicle, day=day)
        for horse, count in Counter(leg.horses).items():
            if horse not in case.yard.horse_by_name:
                text = f"{way} carries {horse!r}, which is no horse of the yard"
                yield Violation("one-place", text, horse, vehicle=leg.vehicle, day=day)
            elif count > 1:
                text = f"{way} carries {horse} {count} times"
                yield Violation("one-place", text, horse, vehicle=leg.vehicle, day=day)


def _find_legs_out_of_season(case: Case) -> Iterator[Violation]:
    season = case.yard.season
    first = shift(season.first, -DAYS_OUTSIDE_SEASON)
    last = shift(season.last, DAYS_OUTSIDE_SEASON)
    for leg in case.circuit.legs:
        days = sorted((leg.depart.date(), leg.arrive.date()))
        if days[0] < first or days[-1] > last:
            text = (
                f"{leg.vehicle} drives from {leg.start} to {leg.end} on {days[0]} to {days[-1]}, "
                f"and legs run from {first} to {last}"
            )
            yield Violation("one-place", text, vehicle=leg.vehicle, day=days[0])


def _follow(case: Case, vehicle: str, trips: tuple[Trip, ...], horse: str) -> Iterator[Violation]:
    """Follow one vehicle or one horse from home through its drives and back."""
    who = horse or vehicle
    at, stop, before = HOME, HOME, None
    for trip in trips:
        about = {"horse": horse, "vehicle": trip.leg.vehicle}
        if before is not None and count_hours(before.arrive, trip.depart) < 0:
            text = (
                f"{who} leaves {trip.leg.start} at {trip.depart:%Y-%m-%d %H:%M} and is on the "
                f"road from {before.leg.start} until {before.arrive:%Y-%m-%d %H:%M}"
            )
            yield Violation("one-place", text, **about, day=trip.days.first)
        if trip.start_key != at:
            text = (
                f"{who} leaves {trip.leg.start} on {trip.days.first} and is at {stop}; "
                f"no leg brought it there"
            )
            yield Violation("one-place", text, **about, day=trip.days.first)
        at, stop, before = trip.end_key, trip.leg.end, trip
    if at != HOME and before is not None:
        text = f"{who} is left at {stop} from {before.days.last} to the end of the season"
        # A drive that is over leaves the way home to come.
        day = before.days.last if not case.is_over(before.days.last) else None
        yield Violation("one-place", text, horse=horse, vehicle=vehicle, day=day)


def _find_unmatched_stays(case: Case, horse: str) -> Iterator[Violation]:
    """The days of an outing are those on which the horse's legs come and go."""
    for stay, group in case.group_stays(horse):
        if stay is None:
            held = group[0]
            text = (
                f"{horse} jumps at {held.show.show} {held.first} to {held.last}, and its legs do "
                f"not bring it there by then and keep it there"
            )
            yield _tell("one-place", held, text, case.pick_day((held.first, held.last)))
            continue
        first, last = group[0], group[-1]
        if first.outing.arrive != stay.first:
            text = (
                f"{horse} arrives at {first.show.show} on {first.outing.arrive} as written, and "
                f"by its legs on {stay.first}"
            )
            yield _tell("one-place", first, text, first.outing.arrive)
        if stay.last is not None and last.outing.leave != stay.last:
            text = (
                f"{horse} leaves {last.show.show} on {last.outing.leave} as written, and by its "
                f"legs on {stay.last}"
            )
            yield _tell("one-place", last, text, last.outing.leave)
        for held, following in pairwise(group):
            if held.outing.leave != following.outing.arrive:
                text = (
                    f"{horse} stays at {held.show.place_key}: its leave {held.outing.leave} from "
                    f"{held.show.show} is not its arrive {following.outing.arrive} for "
                    f"{following.show.show}"
                )
                yield _tell("one-place", following, text, following.outing.arrive)


def _tell(rule: str, held: Held, text: str, day: date | None) -> Violation:
    return Violation(rule, text, held.horse.horse, held.show.show, day=day)
