"""What a circuit costs, as terms of the program: fees, road, people away, vet checks.

The same sum as `costs`, which prices the finished circuit; never above it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Mapping
from datetime import date
from itertools import chain

from tripkit.planning.chances import Chance, Fleet
from tripkit.planning.mip import INFINITY
from tripkit.planning.paths import find_last_tour
from tripkit.planning.problem import price_ride
from tripkit.planning.program import Move, Season, Terms
from tripkit.season.grooming import list_free_grooms
from tripkit.yard.people import HORSES_PER_GROOM
from tripkit.yard.places import HOME
from tripkit.yard.yard import Yard

WEEK_DAYS = 7


def add_spending(season: Season) -> Terms:
    """Adds the columns that count money; the terms sum to the circuit's cost [cents]."""
    terms: Terms = defaultdict(float)
    _add_fees(season, terms)
    _add_road(season, terms)
    horses_at = _add_presence(season)
    _add_grooms(season, terms, horses_at)
    _add_riders(season, terms, horses_at)
    _add_drivers(season, terms)
    _add_hire(season, terms)
    rate = season.problem.yard.costs.vet_check_cents
    for column in season.check_of.values():
        terms[column] += rate
    for horse in season.problem.yard.horses:
        # Where nothing can follow any more, the tour has ended.
        if horse.horse not in season.graphs and find_last_tour(season.problem, horse):
            terms[season.mip.add_variable(1.0, 1.0)] += rate
    return dict(terms)


def _add_fees(season: Season, terms: Terms) -> None:
    """Entry fees for each class, a stall fee for each outing, a late fee where one is due."""
    for (_, choice), column in season.choice_of.items():
        terms[column] += choice.fee_cents
    for (chance, _), column in season.window_of.items():
        terms[column] += chance.stall_fee_cents
        if chance.new:
            terms[column] += chance.late_fee_cents
    for chance in season.problem.chances:
        if chance.new or not chance.late_fee_cents:
            continue
        late = season.mip.add_variable()
        terms[late] += chance.late_fee_cents
        for choice in chance.choices:
            if not choice.bound:
                column = season.choice_of[chance, choice]
                season.mip.add_row([(late, 1.0), (column, -1.0)], 0.0, INFINITY)
    _leave_out_stalls(season, terms)


def _leave_out_stalls(season: Season, terms: Terms) -> None:
    """Who comes and goes on one day has no stall, nor who sleeps in its box at a base."""
    for there, column in season.attendance_of.items():
        if there.boxed:
            terms[column] -= there.chance.stall_fee_cents
    for chance in season.problem.chances:
        moves = [(m, c) for m, c in season.moves_of.items() if m.on_the_day]
        comes = [(m.depart, c) for m, c in moves if m.comes is chance]
        goes = [(m.depart, c) for m, c in moves if m.leaves is chance]
        goes += [(ch.day, c) for ch, c in season.changes_of.items() if ch.leaves is chance]
        for day in sorted({day for day, _ in comes} & {day for day, _ in goes}):
            without = season.mip.add_variable()
            terms[without] -= chance.stall_fee_cents
            for some in (comes, goes):
                columns = [(c, -1.0) for on, c in some if on == day]
                season.mip.add_row([(without, 1.0), *columns], -INFINITY, 0.0)


def _add_road(season: Season, terms: Terms) -> None:
    """Each kilometre of each vehicle, crew and horses at overnight stops, horses at bases."""
    rates = season.problem.yard.costs
    for (fleet, plan), column in season.plans_of.items():
        for ride in (season.ride_for(drive) for drive in plan):
            terms[column] += price_ride(ride, fleet) + ride.nights * rates.overnight_stop_cents
    for move, column in season.moves_of.items():
        nights = sum(season.ride_for(drive).nights for drive in move.drives)
        terms[column] += nights * rates.stabling_day_cents
    for place, nights_of in season.nights_of.items():
        for column, at_base in nights_of.items():
            night_cents = season.problem.yard.base_at[place].per_night_cents
            terms[column] += len(at_base) * night_cents

    _add_nights_outside(season, terms)


def _add_nights_outside(season: Season, terms: Terms) -> None:
    """A night on the grounds outside the stabling days of the shows that a horse is there for."""
    rate = season.problem.yard.costs.stabling_day_cents
    tomorrow = season.problem.yard.day_of_planning.toordinal() + 1
    for there, column in season.attendance_of.items():
        if there.after is not None:
            since = there.after.stabling[1]
            since = max(since, tomorrow) if there.after.begun else since
            terms[column] += rate * max(0, there.chance.stabling[0] - since)
    for move, column in season.moves_of.items():
        if move.leaves is not None and move.leaves.begun:
            since = max(move.leaves.stabling[1], tomorrow)
            terms[column] += rate * max(0, move.depart - since)


def _add_drivers(season: Season, terms: Terms) -> None:
    """A driver whom nobody names costs each day on which he drives; named ones have days off."""
    yard = season.problem.yard
    seats: dict[Fleet, dict[int, Terms]] = defaultdict(lambda: defaultdict(dict))
    for (fleet, plan), column in season.plans_of.items():
        for day in range(plan[0].depart, season.problem.arrival_of(plan[-1]) + 1):
            seats[fleet][day][column] = float(fleet.pace.drivers)
    for fleet, days in seats.items():
        vehicles = [yard.vehicle_by_name[name] for name in fleet.vehicles]
        names = {name for vehicle in vehicles for name in vehicle.driver_names}
        named: dict[int, int] = {}
        for day, driven in sorted(days.items()):
            free = sum(not yard.is_absent(name, date.fromordinal(day)) for name in names)
            for column, count in driven.items():
                terms[column] += count * yard.costs.driver_day_cents
            if free:
                named[day] = season.mip.add_variable(0.0, float(free))
                terms[named[day]] -= yard.costs.driver_day_cents
                season.mip.add_row([(named[day], -1.0), *driven.items()], 0.0, INFINITY)
        _keep_days_off(season, named, len(names))


def _keep_days_off(season: Season, named: Mapping[int, int], names: int) -> None:
    """In any week each driver whom somebody names has his days off: others drive then."""
    most = float(names * (WEEK_DAYS - season.problem.yard.limits.driver_days_off))
    for first in sorted(named):
        week = [named[day] for day in range(first, first + WEEK_DAYS) if day in named]
        if len(week) == WEEK_DAYS:
            season.mip.add_row([(column, 1.0) for column in week], -INFINITY, most)


def _add_hire(season: Season, terms: Terms) -> None:
    """A lorry on hire costs each day from leaving home to coming back."""
    for (fleet, plan), column in season.plans_of.items():
        days = season.problem.arrival_of(plan[-1]) - plan[0].depart + 1
        terms[column] += fleet.per_day_cents * days
    for (fleet, place, first, last), column in season.waits_of.items():
        if place != HOME:
            terms[column] += fleet.per_day_cents * (last - first + 1)


_Away = tuple[str, str, bool]


class _Presence:
    """Whether a horse is away for a place, as columns between the days on which that changes.

    By horse, place, and whether for an outing: a horse whose outing fell away has a groom there
    and no rider.
    """

    def __init__(self) -> None:
        self.days: dict[_Away, list[int]] = {}
        self.columns: dict[_Away, list[int]] = {}

    def find(self, away: _Away, day: int) -> int | None:
        """The column that holds on a day, None before the first change."""
        index = bisect_right(self.days[away], day) - 1
        return None if index < 0 else self.columns[away][index]


def _add_presence(season: Season) -> _Presence:
    changes: dict[_Away, dict[int, list[tuple[int, float]]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for chance in season.problem.chances:
        if chance.begun:
            # What was spent up to today is history; from tomorrow on the horse is there.
            is_there = season.mip.add_variable(1.0, 1.0)
            tomorrow = season.problem.yard.day_of_planning.toordinal() + 1
            away = (chance.horse, chance.place_key, bool(chance.choices))
            changes[away][tomorrow].append((is_there, 1.0))
            for there, column in season.attendance_of.items():
                if there.after is chance and not chance.choices:
                    # It waits for its next outing there.
                    changes[away][tomorrow].append((column, -1.0))
                    changes[chance.horse, chance.place_key, True][tomorrow].append((column, 1.0))
    _add_homecomings(season, changes)
    _add_lodgers(season, changes)
    for move, column in season.moves_of.items():
        if move.comes is not None:
            changes[move.horse, move.comes.place_key, True][move.depart].append((column, 1.0))
        if move.leaves is not None:
            gone = season.arrival_of(move) + 1 if move.comes is None else move.depart
            away = (move.horse, move.leaves.place_key, bool(move.leaves.choices))
            changes[away][gone].append((column, -1.0))
    presence = _Presence()
    for key in sorted(changes):
        previous: int | None = None
        presence.days[key] = sorted(changes[key])
        presence.columns[key] = []
        for day in presence.days[key]:
            # Who drives on from the base of a show's town in the evening is away for the next.
            least = 0.0 if key[2] or key[1] not in season.nights_of else -1.0
            column = season.mip.add_variable(least)
            before = [] if previous is None else [(previous, -1.0)]
            moved = [(c, -sign) for c, sign in changes[key][day]]
            season.mip.add_row([(column, 1.0), *before, *moved], 0.0, 0.0)
            presence.columns[key].append(column)
            previous = column
    return presence


def _add_homecomings(
    season: Season, changes: dict[_Away, dict[int, list[tuple[int, float]]]]
) -> None:
    """A horse whose drive home ends after today is away until then."""
    yard = season.problem.yard
    tomorrow = yard.day_of_planning.toordinal() + 1
    for outing in yard.begun.done:
        stand = yard.begun.stand_of.get(outing.horse)
        last = max(o.leave for o in yard.begun.done if o.horse == outing.horse)
        if stand is None or stand.stop != HOME or outing.leave < last:
            continue
        if stand.since.toordinal() >= tomorrow:
            there = season.mip.add_variable(1.0, 1.0)
            away = (outing.horse, yard.place_key_of(outing.show), True)
            changes[away][tomorrow].append((there, 1.0))
            changes[away][stand.since.toordinal() + 1].append((there, -1.0))


def _add_lodgers(season: Season, changes: dict[_Away, dict[int, list[tuple[int, float]]]]) -> None:
    """Horses at a base have grooms there, unless it is staffed; on the drives to it and from it."""
    yard = season.problem.yard

    def count(horse: str, place: str, day: int, column: int, sign: float) -> None:
        changes[horse, place, False][day].append((column, sign))

    def live(horse: str, place: str, day: int, column: int, sign: float) -> None:
        if not yard.base_at[place].staffed:
            count(horse, place, day, column, sign)

    for there, column in season.attendance_of.items():
        horse, place, window = there.chance.horse, there.chance.place_key, there.window
        if there.boxed:
            changes[horse, place, True][window.first].append((column, 1.0))
            changes[horse, place, True][window.last + 1].append((column, -1.0))
            live(horse, place, window.first, column, -1.0)
            live(horse, place, window.last + 1, column, 1.0)
    for change, column in season.changes_of.items():
        away = change.horse, change.place, True
        if change.leaves is not None:
            away = *away[:2], bool(change.leaves.choices)
            changes[away][change.day + 1].append((column, -1.0))
            live(change.horse, change.place, change.day + 1, column, 1.0)
            continue
        live(change.horse, change.place, change.day, column, -1.0)
        if change.comes is not None:
            changes[away][change.day].append((column, 1.0))
    for move, column in season.moves_of.items():
        start, end, there_on = move.drives[0].start, move.drives[-1].end, season.arrival_of(move)
        if move.comes is None and end in yard.base_at:
            if move.leaves is not None:
                live(move.horse, end, there_on + 1, column, 1.0)
            else:
                count(move.horse, end, move.depart, column, 1.0)
                if yard.base_at[end].staffed:
                    count(move.horse, end, there_on + 1, column, -1.0)
        if move.leaves is None and start in yard.base_at:
            gone = there_on + 1 if end == HOME else move.depart
            live(move.horse, start, gone, column, -1.0)
            if yard.base_at[start].staffed and (end == HOME) != move.on_the_day:
                first = 1.0 if end == HOME else -1.0
                count(move.horse, start, move.depart, column, first)
                count(move.horse, start, there_on + 1, column, -first)
    tomorrow = yard.day_of_planning.toordinal() + 1
    for stand in yard.begun.stands:
        under_way = any(horse == stand.who for horse, _ in yard.begun.under_way)
        if stand.who in season.graphs and stand.stop in yard.base_of and not under_way:
            is_there = season.mip.add_variable(1.0, 1.0)
            live(stand.who, yard.place_key_of(stand.stop), tomorrow, is_there, 1.0)


def _add_grooms(season: Season, terms: Terms, presence: _Presence) -> None:
    """At each place and day stand grooms for the horses there, own ones who are free or hired."""
    yard = season.problem.yard
    own_cents, hired_cents = yard.costs.groom_day_cents, yard.costs.stand_in_day_cents
    changes = _list_groom_changes(yard, presence)
    taken: dict[tuple[int, int], list[int]] = defaultdict(list)
    for place in sorted({place for _, place, _ in presence.days}):
        horses = [away for away in presence.days if away[1] == place]
        days = sorted({*changes, *(day for away in horses for day in presence.days[away])})
        for first, end in zip(days, days[1:], strict=False):
            there: dict[str, list[tuple[int, float]]] = defaultdict(list)
            for away in horses:
                if (column := presence.find(away, first)) is not None:
                    there[away[0]].append((column, -1.0))
            most = -(-len(there) // HORSES_PER_GROOM)
            if not there:
                continue
            whole = most > 1 or bool(changes)
            hired = season.mip.add_variable(0.0, float(most), integer=whole)
            terms[hired] += hired_cents * (end - first)
            standing = [(hired, float(HORSES_PER_GROOM))]
            for takes, free in changes.get(first, {}).items():
                own = season.mip.add_variable(0.0, float(min(free, len(there))), integer=True)
                terms[own] += own_cents * (end - first)
                standing.append((own, float(takes)))
                taken[first, takes].append(own)
            for horse in there.values():
                someone = [(groom, 1.0) for groom, _ in standing]
                season.mip.add_row([*someone, *horse], 0.0, INFINITY)
            if most > 1 or len(standing) > 1:
                everyone = chain.from_iterable(there.values())
                season.mip.add_row([*standing, *everyone], 0.0, INFINITY)
    for (day, takes), columns in taken.items():
        season.mip.add_row([(c, 1.0) for c in columns], -INFINITY, float(changes[day][takes]))


def _list_groom_changes(yard: Yard, presence: _Presence) -> dict[int, dict[int, int]]:
    """On which days horses or own grooms come or go: how many of these are free, by what they take.

    No day where those on hire do as well: they cost no more and take as many.
    """
    cheap = yard.costs.groom_day_cents < yard.costs.stand_in_day_cents
    days = sorted({day for changed in presence.days.values() for day in changed})
    found: dict[int, dict[int, int]] = {}
    if not days or not any(cheap or takes > HORSES_PER_GROOM for takes in yard.grooms.values()):
        return found
    free: Mapping[int, int] = {}
    for day in range(days[0], days[-1] + 1):
        before, free = free, Counter(list_free_grooms(yard, date.fromordinal(day)))
        if free != before or day in days:
            found[day] = dict(free)
    return found


def _add_riders(season: Season, terms: Terms, presence: _Presence) -> None:
    """Each calendar day on which a horse that the rider rides is away."""
    yard = season.problem.yard
    rate = yard.costs.rider_day_cents
    trips = _Trips(season)
    for rider in yard.riders:
        horses = [h.horse for h in yard.horses if season.problem.sole_rider_of[h.horse] == rider]
        chances = [c for c in season.problem.chances if (c, rider) in season.rider_of]
        ridden = [away for away in presence.days if away[0] in horses and away[2]]
        days = {day for away in ridden for day in presence.days[away]}
        for chance in chances:
            days |= _list_trip_days(season, chance)
        order = sorted(days)
        for first, end in zip(order, order[1:], strict=False):
            away = season.mip.add_variable()
            terms[away] += rate * (end - first)
            for horse in horses:
                there = [
                    (column, -1.0)
                    for at in ridden
                    if at[0] == horse and (column := presence.find(at, first)) is not None
                ]
                if there:
                    season.mip.add_row([(away, 1.0), *there], 0.0, INFINITY)
            for chance in chances:
                rides = season.rider_of[chance, rider]
                on_trip = trips.find(chance, first)
                season.mip.add_row([(away, 1.0), (rides, -1.0), (on_trip, -1.0)], -1.0, INFINITY)


def _list_trip_days(season: Season, chance: Chance) -> set[int]:
    if chance.begun:
        days = {season.problem.yard.day_of_planning.toordinal() + 1}
        for move in season.moves_of:
            if move.leaves is chance:
                days.add(season.arrival_of(move) + 1)
        return days
    days = {day for w in chance.windows for day in (w.first, w.last + 1)}
    for move in season.moves_of:
        if move.horse == chance.horse:
            days |= {move.depart, season.arrival_of(move) + 1}
    for change in season.changes_of:
        days |= {change.day, change.day + 1} if change.horse == chance.horse else set()
    return days


class _Trips:
    """Whether a horse that anyone may ride is on the trip to a show, as columns by days."""

    def __init__(self, season: Season) -> None:
        self.season = season
        self.known: dict[tuple[Chance, int], int] = {}
        self.moves: dict[str, list[tuple[Move, int]]] = defaultdict(list)
        for move, column in season.moves_of.items():
            self.moves[move.horse].append((move, column))

    def find(self, chance: Chance, day: int) -> int:
        """The column that is one where the trip to a show holds a day."""
        if (chance, day) not in self.known:
            self.known[chance, day] = column = self.season.mip.add_variable()
            self._add_own_rows(chance, day, column)
            self._add_longer_rows(chance, day, column)
        return self.known[chance, day]

    def _add_own_rows(self, chance: Chance, day: int, on_trip: int) -> None:
        """From departure to return: it has left home and is not over, or is not back and began."""
        mip, window_of = self.season.mip, self.season.window_of
        out = [
            (c, -1.0)
            for move, c in self.moves[chance.horse]
            if move.comes is chance and move.leaves is None and move.depart <= day
        ]
        out += [
            (c, -1.0)
            for there, c in self.season.attendance_of.items()
            if there.boxed and there.chance is chance and there.window.first <= day
        ]
        changes = self.season.changes_of.items()
        out += [(c, -1.0) for ch, c in changes if ch.comes is chance and ch.day <= day]
        over = [(window_of[chance, w], 1.0) for w in chance.windows if w.last < day]
        if out:
            mip.add_row([(on_trip, 1.0), *out, *over], 0.0, INFINITY)
        back = [
            (c, -1.0)
            for move, c in self.moves[chance.horse]
            if move.leaves is chance and move.comes is None and self.season.arrival_of(move) >= day
        ]
        back += [(c, -1.0) for ch, c in changes if ch.leaves is chance and ch.day >= day]
        ahead = [
            (window_of[chance, w], 1.0)
            for w in chance.windows
            if w.first > day and not chance.begun
        ]
        if back:
            mip.add_row([(on_trip, 1.0), *back, *ahead], 0.0, INFINITY)

    def _add_longer_rows(self, chance: Chance, day: int, on_trip: int) -> None:
        """On a trip to several shows each of them holds the days from departure to return."""
        mip, window_of = self.season.mip, self.season.window_of
        own = self.moves[chance.horse]
        onward = [(m, c) for m, c in own if None not in (m.leaves, m.comes)]
        stays = [(a, c) for a, c in self.season.attendance_of.items() if a.after is not None]
        comes = [(c, -1.0) for move, c in onward if move.comes is chance]
        comes += [(c, -1.0) for there, c in stays if there.chance is chance]
        for window in chance.windows if comes else ():
            if window.first > day:
                later = [
                    (c, 1.0)
                    for move, c in own
                    if move.leaves is None and day < move.depart <= window.first
                ]
                there = (window_of[chance, window], -1.0)
                mip.add_row([(on_trip, 1.0), there, *comes, *later], -1.0, INFINITY)
        over = [(window_of[chance, w], -1.0) for w in chance.windows if w.last < day]
        goes = [(c, -1.0) for move, c in onward if move.leaves is chance]
        goes += [(c, -1.0) for there, c in stays if there.after is chance]
        ended = min(w.last for w in chance.windows)
        if over and goes:
            back = [
                (c, 1.0)
                for move, c in own
                if move.comes is None and ended < self.season.arrival_of(move) < day
            ]
            mip.add_row([(on_trip, 1.0), *goes, *over, *back], -1.0, INFINITY)
