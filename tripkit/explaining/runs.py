"""How one horse comes to a show and home again beside everything else that drives.

A `Plan` is outings and legs, no more. `list_ways` names the ways there are for a horse to stand at
one place for one or several outings: aboard lorries that go there anyhow, with an extra run of a
lorry that is free on those days, or both. `take_off` is the way back: a horse leaves its trip and
its lorry, and a run that nobody needs then is left out.

An extra run leaves home in the morning. A lorry waits at the show where it is free all the time,
else it drives home empty and comes again; an empty drive has a day of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import product

from tripkit.driving.timetables import count_leg_days, explain_no_leg, schedule_leg
from tripkit.yard.circuit import Leg, Outing
from tripkit.yard.days import DaySpan, add_days
from tripkit.yard.facts import Fact, state
from tripkit.yard.places import HOME
from tripkit.yard.recovery import count_arrival_days, find_changeover
from tripkit.yard.vehicles import Vehicle
from tripkit.yard.yard import Yard

DAYS_TRIED = 3
LEGS_TRIED = 2
RUNS_TRIED = 3
WATER, BREAK = "water", "break"
NO_LORRY = state("explaining.way-none")


@dataclass(frozen=True)
class Plan:
    """Outings and legs of a season; of a way besides how the horse travels."""

    outings: tuple[Outing, ...]
    legs: tuple[Leg, ...]
    way: Fact | None = None


@dataclass(frozen=True)
class _Half:
    """Half a way: the day at the grounds, new legs, the leg that takes the horse along, how."""

    day: date
    how: Fact | None
    new: tuple[Leg, ...] = ()
    aboard: Leg | None = None
    full: bool = False


def find_trip(plan: Plan, outing: Outing) -> tuple[Outing, ...]:
    """The outings of a horse between leaving home and coming back around one, that one included.

    Empty where the plan does not hold the outing.
    """
    own = [o for o in plan.outings if o.horse == outing.horse]
    if outing not in own:
        return ()
    legs = _find_trip_legs(plan, outing)
    if not legs:
        return (outing,)
    first, last = legs[0].days.first, legs[-1].days.last
    return tuple(
        sorted(
            (o for o in own if o is outing or first <= o.first_day <= last),
            key=lambda o: o.first_day,
        )
    )


def take_off(plan: Plan, outing: Outing) -> Plan:
    """A horse stays at home instead of the trip around an outing; idle runs are left out.

    All outings of the trip go with it.
    """
    gone = find_trip(plan, outing)
    legs = _find_trip_legs(plan, outing)
    kept = [
        _load(leg, [h for h in leg.horses if h != outing.horse]) if leg in legs else leg
        for leg in plan.legs
    ]
    vehicles = {leg.vehicle for leg in legs}
    return Plan(
        tuple(o for o in plan.outings if o not in gone), tuple(_drop_idle_runs(kept, vehicles))
    )


def bring(
    yard: Yard, plan: Plan, group: tuple[Outing, ...], weigh: Callable[[Plan], tuple[float, ...]]
) -> Plan:
    """A horse goes to a place for its outings there by the way that weighs least."""
    return min(list_ways(yard, plan, group), key=weigh)


def list_ways(
    yard: Yard, plan: Plan, group: tuple[Outing, ...], *, hypothetical: bool = False
) -> Iterator[Plan]:
    """The ways for a horse to stand at one place for these outings, in date order.

    Where no lorry has a place and none is free, the ways that break least are named all the same,
    so that the judge can say what is wrong with them; without a road the horse has no legs.
    `hypothetical`: one way by a lorry taken to be free.
    """
    ways = _Ways(yard, plan, group)
    if hypothetical:
        yield next(ways.list_round_trips(free=False), ways.walk())
        return
    found = False
    for way in ways.list_legal():
        found = True
        yield way
    if not found:
        yield from ways.list_makeshift()


def find_obstacles(yard: Yard, plan: Plan, outing: Outing) -> tuple[Fact, ...]:
    """Why each lorry cannot carry a horse to an outing and home on the days it asks for.

    A lorry that could carry it both ways is not named.
    """
    return tuple(_Ways(yard, plan, (outing,)).find_obstacles())


def add_reason(reason: str) -> Fact | None:
    """A reason that somebody wrote down, behind what it is given for."""
    return state("explaining.because", reason=reason) if reason else None


class _Ways:
    """The ways of one horse to one place, for outings that follow each other there."""

    def __init__(self, yard: Yard, plan: Plan, group: tuple[Outing, ...]) -> None:
        self.yard, self.plan, self.group = yard, plan, group
        self.first, self.last = group[0], group[-1]
        self.horse = yard.horse_by_name[self.first.horse]
        self.key = yard.place_key_of(self.first.show)
        self.opens = yard.show_by_name[self.first.show].stabling.first
        self.ends = yard.show_by_name[self.last.show].stabling.last
        self.hours: dict[str, tuple[float | None, float | None]] = {}
        self.days: dict[str, tuple[int, int]] = {}
        for vehicle in yard.vehicles:
            self._measure(vehicle)
        self.busy = _find_busy_spans(plan.legs)
        self.leave = add_days(self.last.last_day, 1)

    def list_legal(self) -> Iterator[Plan]:
        """Every way for which a lorry has a place and is free."""
        ins = [half for half in self._list_aboard(there=True) if not half.full]
        outs = [half for half in self._list_aboard(there=False) if not half.full]
        for come in ins:
            for go in outs:
                yield self._join(come, go)
        yield from self.list_round_trips(free=True)
        vehicles = self._list_vehicles()
        brings = [half for v in vehicles if (half := self._bring(v)) is not None][:RUNS_TRIED]
        fetches = [half for v in vehicles if (half := self._fetch(v)) is not None][:RUNS_TRIED]
        for come, go in (*product(brings, outs[:1]), *product(ins[:1], fetches)):
            yield self._join(come, go)
        for come, go in product(brings, fetches):
            apart = come.new[-1].days.last < go.new[0].days.first
            if apart or come.new[0].vehicle != go.new[0].vehicle:
                yield self._join(come, go)

    def list_makeshift(self) -> Iterator[Plan]:
        """What there is where nothing is free: full lorries, lorries away, else on its own feet."""
        ins, outs = self._list_aboard(there=True), self._list_aboard(there=False)
        found = False
        for come in ins[:1]:
            for go in outs[:1]:
                found = True
                yield self._join(come, go)
        for way in self.list_round_trips(free=False):
            found = True
            yield way
        if not found:
            yield self.walk()

    def walk(self) -> Plan:
        """The horse is there, nothing brings it."""
        lead = count_arrival_days(self.horse.limits, 0.0, by_rest=False)
        come = _Half(add_days(self.first.first_day, -lead), NO_LORRY)
        return self._join(come, _Half(self.leave, None))

    def list_round_trips(self, *, free: bool) -> Iterator[Plan]:
        """An extra run there and back by one lorry that waits at the show."""
        for vehicle in self._list_vehicles():
            out_hours = self.hours[vehicle.vehicle][0]
            assert out_hours is not None
            latest = self._find_latest(out_hours)
            for early, late in _list_shifts():
                arrive, leave = add_days(latest, -early), add_days(self.leave, late)
                days = self._span_out(vehicle, arrive), self._span_back(vehicle, leave)
                if (early or late) and (arrive < self.opens or leave > self.ends or not free):
                    continue
                if free and not self._is_free(vehicle, days[0].first, days[1].last):
                    continue
                come = self._drive(vehicle, days[0].first, there=True, loaded=True)
                go = self._drive(vehicle, leave, there=False, loaded=True)
                how = state("explaining.way-extra", vehicle=vehicle.vehicle)
                yield self._join(
                    _Half(arrive, how, (come,)),
                    _Half(leave, None, (go,)),
                )
                break

    def find_obstacles(self) -> Iterator[Fact]:
        """What keeps each lorry from carrying the horse."""
        if not self.yard.vehicles:
            yield state("driving.no-lorry")
        for vehicle in self.yard.vehicles:
            name = vehicle.vehicle
            hours = self.hours[name]
            if hours[0] is None or hours[1] is None:
                yield explain_no_leg(self.yard, HOME, self.key)
                return
            days = DaySpan(
                self._span_out(vehicle, self._find_latest(hours[0])).first,
                self._span_back(vehicle, self.leave).last,
            )
            aboard = [
                leg
                for leg in self.plan.legs
                if leg.vehicle == name
                and self.key in (self._key_of(leg.start), self._key_of(leg.end))
                and leg.days.overlaps(days)
            ]
            full = [leg for leg in aboard if len(leg.horses) >= vehicle.places]
            for leg in full:
                yield state(
                    "explaining.lorry-full",
                    vehicle=name,
                    start=leg.start,
                    end=leg.end,
                    day=leg.days.first,
                    places=vehicle.places,
                )
            for absence in self.yard.absences:
                if absence.who == name and absence.days.overlaps(days):
                    first, last = absence.days.first, absence.days.last
                    why = add_reason(absence.reason)
                    yield state(
                        "explaining.lorry-away", vehicle=name, first=first, last=last, why=why
                    )
            for run in self.busy.get(name, ()):
                if run.overlaps(days) and not full:
                    shows = dict.fromkeys(
                        stop
                        for leg in self.plan.legs
                        if leg.vehicle == name and leg.days.overlaps(run)
                        for stop in (leg.start, leg.end)
                        if stop != HOME
                    )
                    yield state(
                        "explaining.lorry-on-a-run",
                        vehicle=name,
                        shows=tuple(shows),
                        first=run.first,
                        last=run.last,
                    )

    # Halves

    def _list_aboard(self, *, there: bool) -> list[_Half]:
        """Lorries that go there (or come home) on a fitting day, those with a place first."""
        found = []
        for leg in self.plan.legs:
            stop, other = (leg.end, leg.start) if there else (leg.start, leg.end)
            vehicle = self.yard.vehicle_by_name.get(leg.vehicle)
            if vehicle is None or other != HOME or self._key_of(stop) != self.key:
                continue
            day = leg.days.last if there else leg.days.first
            fits = (
                self.opens <= day <= self._find_latest(leg.hours)
                if there
                else self.leave <= day <= self.ends
            )
            if fits and self.horse.horse not in leg.horses:
                full = len(leg.horses) >= vehicle.places
                how = state("explaining.way-aboard", vehicle=leg.vehicle)
                found.append(_Half(day, how, (), leg, full))
        found.sort(key=lambda h: (h.full, -h.day.toordinal() if there else h.day.toordinal()))
        return found[:LEGS_TRIED]

    def _bring(self, vehicle: Vehicle) -> _Half | None:
        """An extra run that brings the horse and drives home empty the day after."""
        out_hours = self.hours[vehicle.vehicle][0]
        assert out_hours is not None
        for early in range(DAYS_TRIED):
            arrive = add_days(self._find_latest(out_hours), -early)
            out, back = (
                self._span_out(vehicle, arrive),
                self._span_back(vehicle, add_days(arrive, 1)),
            )
            if arrive >= self.opens and self._is_free(vehicle, out.first, back.last):
                legs = (
                    self._drive(vehicle, out.first, there=True, loaded=True),
                    self._drive(vehicle, back.first, there=False, loaded=False),
                )
                how = state("explaining.way-brought", vehicle=vehicle.vehicle)
                return _Half(arrive, how, legs)
        return None

    def _fetch(self, vehicle: Vehicle) -> _Half | None:
        """An extra run that drives there empty, is there the day before, and fetches the horse."""
        for late in range(DAYS_TRIED):
            leave = add_days(self.leave, late)
            out, back = (
                self._span_out(vehicle, add_days(leave, -1)),
                self._span_back(vehicle, leave),
            )
            if leave <= self.ends and self._is_free(vehicle, out.first, back.last):
                legs = (
                    self._drive(vehicle, out.first, there=True, loaded=False),
                    self._drive(vehicle, leave, there=False, loaded=True),
                )
                how = state("explaining.way-fetched", vehicle=vehicle.vehicle)
                return _Half(leave, how, legs)
        return None

    def _join(self, come: _Half, go: _Half) -> Plan:
        name = self.horse.horse
        outings = []
        arrive = come.day
        for i, outing in enumerate(self.group):
            if i + 1 < len(self.group):
                following = self.group[i + 1].first_day
                leave = find_changeover(outing.last_day, following, self.horse.limits)
            else:
                leave = go.day
            outings.append(replace(outing, arrive=arrive, leave=leave))
            arrive = leave
        taken = [half.aboard for half in (come, go) if half.aboard is not None]
        legs = [_load(leg, [*leg.horses, name]) if leg in taken else leg for leg in self.plan.legs]
        legs += [*come.new, *go.new]
        way = come.how or go.how
        if come.how and go.how and come.how != go.how:
            way = state("explaining.way-both", there=come.how, home=go.how)
        if len(self.group) > 1:
            shows = tuple(outing.show for outing in self.group)
            way = state("explaining.way-on-the-grounds", way=way, shows=shows)
        ordered = sorted([*self.plan.outings, *outings], key=lambda o: (o.first_day, o.horse))
        return Plan(
            tuple(ordered),
            tuple(sorted(legs, key=lambda leg: (leg.depart, leg.vehicle))),
            way,
        )

    # Days and lorries

    def _find_latest(self, hours: float) -> date:
        """The last day to arrive before the first class: the lead of the yard, rest after it."""
        return add_days(self.first.first_day, -count_arrival_days(self.horse.limits, hours))

    def _count_days(self, vehicle: Vehicle, *, there: bool) -> int:
        return self.days[vehicle.vehicle][0 if there else 1]

    def _span_out(self, vehicle: Vehicle, arrive: date) -> DaySpan:
        return DaySpan(add_days(arrive, 1 - self._count_days(vehicle, there=True)), arrive)

    def _span_back(self, vehicle: Vehicle, leave: date) -> DaySpan:
        return DaySpan(leave, add_days(leave, self._count_days(vehicle, there=False) - 1))

    def _is_free(self, vehicle: Vehicle, first: date, last: date) -> bool:
        days = DaySpan(first, last)
        shut = [*self.busy.get(vehicle.vehicle, ()), *self.yard.absences_of(vehicle.vehicle)]
        return not any(days.overlaps(span) for span in shut)

    def _list_vehicles(self) -> list[Vehicle]:
        known = [v for v in self.yard.vehicles if None not in self.hours[v.vehicle]]
        return sorted(known, key=self.yard.cents_per_km_of)

    def _measure(self, vehicle: Vehicle) -> None:
        """Hours and days there and back; None for the hours where there is no lawful drive."""
        hours, days = [], []
        for start, end in ((HOME, self.key), (self.key, HOME)):
            asked = self.yard.find_hours(start, end, vehicle)
            lawful = None
            if asked is not None:
                asked = round(asked, 2)
                lawful = count_leg_days(self.yard, start, end, asked, vehicle.drivers)
            hours.append(None if lawful is None else asked)
            days.append(max(1, lawful or 0))
        self.hours[vehicle.vehicle] = hours[0], hours[1]
        self.days[vehicle.vehicle] = days[0], days[1]

    def _key_of(self, stop: str) -> str:
        known = stop == HOME or self.yard.find_stop(stop) is not None
        return self.yard.place_key_of(stop) if known else ""

    def _drive(self, vehicle: Vehicle, day: date, *, there: bool, loaded: bool) -> Leg:
        yard = self.yard
        start, end = (HOME, self.first.show) if there else (self.last.show, HOME)
        drive = yard.roads.find_drive(yard.place_key_of(start), yard.place_key_of(end))
        hours = self.hours[vehicle.vehicle][0 if there else 1]
        assert drive is not None
        assert hours is not None
        horses = (self.horse.horse,) if loaded else ()
        ends = (HOME, self.key) if there else (self.key, HOME)
        table = schedule_leg(
            yard,
            *ends,
            hours,
            day,
            self._count_days(vehicle, there=there),
            drivers=vehicle.drivers,
            loaded=loaded,
            horses=horses,
        )
        return Leg(
            vehicle.vehicle,
            start,
            end,
            table.depart,
            table.arrive,
            round(drive.km, 1),
            hours,
            (),
            horses,
            table.stops,
        )


def _list_shifts() -> list[tuple[int, int]]:
    """Days earlier to come and later to go, the nearest first."""
    pairs = [(a, b) for a in range(DAYS_TRIED) for b in range(DAYS_TRIED)]
    return sorted(pairs, key=lambda pair: (sum(pair), pair))


def _find_trip_legs(plan: Plan, outing: Outing) -> list[Leg]:
    """The legs of a horse from leaving home to coming back around an outing."""
    own = sorted((leg for leg in plan.legs if outing.horse in leg.horses), key=lambda g: g.depart)
    trips: list[list[Leg]] = []
    for leg in own:
        if not trips or leg.start == HOME or trips[-1][-1].end == HOME:
            trips.append([])
        trips[-1].append(leg)
    for trip in trips:
        if trip[0].days.first <= outing.first_day and outing.last_day <= trip[-1].days.last:
            return trip
    return []


def _find_busy_spans(legs: Sequence[Leg]) -> dict[str, list[DaySpan]]:
    """The days of each lorry from leaving home to coming back."""
    found: dict[str, list[DaySpan]] = {}
    left: dict[str, date] = {}
    for leg in sorted(legs, key=lambda g: g.depart):
        first = left.pop(leg.vehicle, leg.days.first)
        if leg.end == HOME:
            found.setdefault(leg.vehicle, []).append(DaySpan(first, max(first, leg.days.last)))
        else:
            left[leg.vehicle] = first
    for vehicle, first in left.items():
        found.setdefault(vehicle, []).append(DaySpan(first, date.max))
    return found


def _load(leg: Leg, horses: Sequence[str]) -> Leg:
    """A leg with other horses aboard: halts are for water with horses, else for the driver."""
    was, now = (BREAK, WATER) if horses else (WATER, BREAK)
    stops = tuple(replace(s, kind=now) if s.kind == was else s for s in leg.stops)
    return replace(leg, horses=tuple(sorted(horses)), stops=stops)


def _drop_idle_runs(legs: Sequence[Leg], vehicles: set[str]) -> Iterator[Leg]:
    """Runs of these lorries from home to home that carry no horse are left out."""
    runs: dict[str, list[Leg]] = {}
    for leg in legs:
        if leg.vehicle not in vehicles:
            yield leg
            continue
        run = runs.setdefault(leg.vehicle, [])
        run.append(leg)
        if leg.end == HOME:
            if any(part.horses for part in run):
                yield from run
            runs[leg.vehicle] = []
    for run in runs.values():
        yield from run
