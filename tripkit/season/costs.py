"""Costs to the cent: every line belongs to one outing, and owners share what their horses cost.

What is shared is split by `split_cents`, so the parts always sum to the whole. A figure that is
not whole (kilometres times a rate) is rounded half up once, before it is split.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import repeat

from tripkit.season.bases import find_base_nights, list_nights
from tripkit.season.grooming import price_grooms
from tripkit.season.whereabouts import list_ways
from tripkit.yard.circuit import CAR, Day, Leg, Outing, RiderWay, write_driver
from tripkit.yard.days import ONE_DAY, DaySpan
from tripkit.yard.facts import Fact, state
from tripkit.yard.money import round_cents, split_cents
from tripkit.yard.places import HOME
from tripkit.yard.recovery import find_checked_outings
from tripkit.yard.yard import Yard

NAMES_OF_A_LINE = ("name", "who", "show", "vehicle", "start", "end")
KINDS_OF_COST = (
    "entry fee",
    "stall fee",
    "late fee",
    "road",
    "rider days",
    "car",
    "groom days",
    "driver days",
    "lorry hire",
    "overnight stop",
    "stabling",
    "base nights",
    "vet check",
)

OutingKey = tuple[str, str]
NOBODY: OutingKey = ("", "")
"""A drive of no horse at all. What a horse costs without any outing is billed to (horse, "")."""


@dataclass(frozen=True)
class CostLine:
    """One amount [cents] of one outing: what kind it is, from which day on, and why."""

    kind: str
    horse: str
    show: str
    date: date | None
    cents: int
    text: Fact


@dataclass(frozen=True)
class Bill:
    """What a circuit costs, by outing, horse and owner; each of them sums to `total_cents`.

    `by_outing` has every outing, also one that costs nothing. `by_horse_and_owner` and
    `by_owner` bill a horse without owners to "" (the yard). Lines of nothing are left out.
    """

    lines: tuple[CostLine, ...] = ()
    by_outing: Mapping[OutingKey, int] = field(default_factory=dict)
    by_horse: Mapping[str, int] = field(default_factory=dict)
    by_horse_and_owner: Mapping[tuple[str, str], int] = field(default_factory=dict)
    by_owner: Mapping[str, int] = field(default_factory=dict)
    total_cents: int = 0


def price(
    yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg], days: Sequence[Day] = ()
) -> Bill:
    """The season costs fees, roads, rider and groom days, overnight stops and vet checks.

    A drive belongs to the outing it leads to, on the way home to the one it comes from, in equal
    parts among the horses aboard; an empty drive to all horses that the vehicle carries between
    leaving home and coming back (to the outing of each one's first drive on that trip). Rider days,
    groom days and crew nights are shared by the horses that cause them, so are the days of drivers
    whom nobody names and of hired lorries. No night on the grounds, no stall fee. A night at a base
    belongs to the next outing, after the last one to that. A vet check is taken from `days`
    and belongs to the outing after which it comes; a check that no outing asks for (a blood test, a
    recheck of a lame horse) costs the circuit nothing.
    """
    plan = _Plan(yard, outings, legs)
    lines = [
        *_list_fees(plan),
        *_list_drives(plan),
        *_list_rider_days(plan),
        *_list_cars(plan),
        *_list_groom_days(plan),
        *_list_hired(plan),
        *_list_stable_nights(plan),
        *_list_base_nights(plan),
        *_list_vet_checks(plan, days),
    ]
    lines = sorted(
        (line for line in lines if line.cents),
        key=lambda line: (
            line.horse,
            line.date or date.min,
            line.show,
            KINDS_OF_COST.index(line.kind),
            # A tie is broken by the names that the line is about.
            [str(line.text.get(name) or "") for name in NAMES_OF_A_LINE],
        ),
    )
    by_outing = dict.fromkeys(plan.outing_by_key, 0)
    for line in lines:
        key = (line.horse, line.show)
        by_outing[key] = by_outing.get(key, 0) + line.cents
    by_horse: dict[str, int] = {}
    for (horse, _), cents in by_outing.items():
        by_horse[horse] = by_horse.get(horse, 0) + cents
    shared = split_among_owners(yard, by_horse)
    return Bill(
        tuple(lines),
        by_outing,
        by_horse,
        shared,
        add_up_owners(yard, shared),
        sum(by_horse.values()),
    )


def split_among_owners(yard: Yard, by_horse: Mapping[str, int]) -> Mapping[tuple[str, str], int]:
    """What a horse costs is split among its owners by their shares, to the cent.

    Returns (horse, owner) to cents; a horse without owners is the yard's, owner "".
    """
    shared: dict[tuple[str, str], int] = {}
    for horse, cents in by_horse.items():
        shares = yard.owner_shares_of(horse) or {"": Fraction(1)}
        for owner, part in zip(shares, split_cents(cents, list(shares.values())), strict=True):
            shared[horse, owner] = part
    return shared


def add_up_owners(yard: Yard, shared: Mapping[tuple[str, str], int]) -> Mapping[str, int]:
    """Each owner pays the parts of all his horses; owners stand in the order of the yard's files.

    The yard itself ("") stands last, and only where it has a horse of its own to pay for.
    """
    totals = dict.fromkeys(yard.owners, 0)
    for (_, owner), cents in shared.items():
        totals[owner] = totals.get(owner, 0) + cents
    return totals


def find_rider_dates(
    yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg]
) -> Mapping[str, frozenset[date]]:
    """A rider is away on every day on which a horse he rides on that trip is away.

    From the day it leaves home to the day it is back, both counted. Returns rider to dates;
    outings without a rider are left out.
    """
    return _find_rider_dates(_Plan(yard, outings, legs))


def find_rider_ways(
    yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg]
) -> tuple[RiderWay, ...]:
    """Every rider's own ways, by rider and date."""
    return _find_rider_ways(_Plan(yard, outings, legs))


def allot_drives(
    yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg]
) -> tuple[Mapping[str, OutingKey], ...]:
    """The outing that each drive of each horse leads to, homewards the last one.

    A call on the way, where a horse stays aboard, is no end of its drive. Returns horse to
    outing for each leg, the legs by departure and vehicle; the show is empty where a horse has no
    outing at all.
    """
    plan = _Plan(yard, outings, legs)
    return tuple({h: plan.drives[i, h] for h in leg.horses} for i, leg in enumerate(plan.legs))


def needs_late_fee(yard: Yard, outing: Outing) -> bool:
    """An outing pays the late fee once where a class of it is new after the entries closed.

    One that has begun pays it where entries.csv dates an entry after they closed, or where they
    closed before the season.
    """
    closed = yard.show_by_name[outing.show].entries_close
    if closed is None or yard.day_of_planning <= closed:
        return False
    if (outing.horse, outing.show) in yard.begun.outing_keys:
        own = [e for e in yard.entries if (e.horse, e.show) == (outing.horse, outing.show)]
        if any(e.binds for e in own):
            return any(e.date is not None and e.date > closed and e.binds for e in own)
        return closed < yard.season.first - ONE_DAY
    bound = yard.bound_entries
    return any((outing.horse, outing.show, name) not in bound for name in outing.classes)


class _Plan:
    """Outings and legs with what every kind of cost asks of them, looked up once."""

    def __init__(self, yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg]) -> None:
        self.yard = yard
        self.outings = sorted(outings, key=lambda o: (o.first_day, o.horse, o.show))
        self.legs = sorted(legs, key=lambda leg: (leg.depart, leg.vehicle))
        self.outing_by_key = {(o.horse, o.show): o for o in self.outings}
        self.outings_of: dict[str, list[Outing]] = {}
        for outing in self.outings:
            self.outings_of.setdefault(outing.horse, []).append(outing)
        self.legs_of: dict[str, list[int]] = {}
        for number, leg in enumerate(self.legs):
            for horse in leg.horses:
                self.legs_of.setdefault(horse, []).append(number)
        self.nights = {
            horse: find_base_nights(
                yard, self.outings_of.get(horse, []), [self.legs[i] for i in numbers]
            )
            for horse, numbers in self.legs_of.items()
        }
        self.away: dict[str, dict[date, Outing]] = {}
        self.drives: dict[tuple[int, str], OutingKey] = {}
        for horse, numbers in self.legs_of.items():
            self._allot_drives(horse, numbers)
        self.payers = self._find_payers()

    def ends_trip(self, horse: str, leg: Leg) -> bool:
        """Whether a drive brings a horse to where it lives: home, or to a base for the night."""
        return leg.end == HOME or leg.days.last in self.nights[horse]

    def sleeps_on_grounds(self, outing: Outing) -> bool:
        """Whether a horse spends a night of an outing in the stables of the show."""
        at_base = self.nights.get(outing.horse, {})
        return any(night not in at_base for night in list_nights(outing))

    def find_payer_of_day(self, horse: str, day: date) -> OutingKey:
        """The next outing of a horse that lives at a base, after the last one that."""
        outings = self.outings_of.get(horse, [])
        ahead = next((o for o in outings if o.last_day >= day), outings[-1] if outings else None)
        return (horse, "" if ahead is None else ahead.show)

    def _allot_drives(self, horse: str, numbers: list[int]) -> None:
        """Each drive of a horse belongs to the outing it leads to, homewards to the last one."""
        outings = self.outings_of.get(horse, [])
        ahead: Outing | None = None
        for i in range(len(numbers) - 1, -1, -1):
            leg = self.legs[numbers[i]]
            next_depart = self.legs[numbers[i + 1]].depart.date() if i + 1 < len(numbers) else None
            if leg.end == HOME:
                ahead = None
            else:
                key = self.yard.place_key_of(leg.end)
                there = (
                    o
                    for o in outings
                    if self.yard.place_key_of(o.show) == key
                    and leg.arrive.date() <= o.first_day
                    and (next_depart is None or o.first_day <= next_depart)
                )
                ahead = next(there, None if self.ends_trip(horse, leg) else ahead)
            if ahead is not None:
                self.drives[numbers[i], horse] = (horse, ahead.show)
                continue
            before = [o for o in outings if o.last_day <= leg.depart.date()]
            known = before[-1] if before else next(iter(outings), None)
            self.drives[numbers[i], horse] = (horse, "" if known is None else known.show)

    def _find_payers(self) -> list[list[OutingKey]]:
        """For each leg the outings that pay for it in equal parts."""
        payers: list[list[OutingKey]] = [[] for _ in self.legs]
        trips: dict[str, list[list[int]]] = {}
        for number, leg in enumerate(self.legs):
            runs = trips.setdefault(leg.vehicle, [])
            if not runs or self.legs[runs[-1][-1]].end == HOME:
                runs.append([])
            runs[-1].append(number)
        for runs in trips.values():
            for trip in runs:
                first: dict[str, OutingKey] = {}
                for number in trip:
                    for horse in sorted(self.legs[number].horses):
                        first.setdefault(horse, self.drives[number, horse])
                everyone = [first[horse] for horse in sorted(first)]
                for number in trip:
                    aboard = sorted(self.legs[number].horses)
                    own = [self.drives[number, horse] for horse in aboard]
                    payers[number] = own or everyone or self._find_stranded(self.legs[number])
        return payers

    def _find_stranded(self, leg: Leg) -> list[OutingKey]:
        """A trip that carries no horse at all is paid by those at the places it goes to."""
        places = {self.yard.place_key_of(stop) for stop in (leg.start, leg.end)}
        there = [
            (o.horse, o.show)
            for o in self.outings
            if self.yard.place_key_of(o.show) in places and o.arrive <= leg.days.last <= o.leave
        ]
        return there or [NOBODY]

    def find_days_away(self, horse: str) -> dict[date, Outing]:
        """Each day of a horse from leaving home to coming back, with its outing.

        A day between two outings without going home belongs to the earlier one until its
        `leave`, then to the later. A horse at a base is as one at home.
        """
        if horse in self.away:
            return self.away[horse]
        outings = self.outings_of.get(horse, [])
        legs = [self.legs[number] for number in self.legs_of.get(horse, [])]
        nights = self.nights.get(horse, {})
        found: dict[date, Outing] = {}
        for i, outing in enumerate(outings):
            first, last = outing.arrive, outing.leave
            came = [
                leg
                for leg in legs
                if leg.arrive.date() <= outing.first_day
                and (leg.end != HOME or leg.depart.date() < outing.first_day)
            ]
            for leg in reversed(came):
                if self.ends_trip(horse, leg) or first - ONE_DAY in nights:
                    break
                first = min(first, leg.depart.date())
            back = next(
                (
                    leg
                    for leg in legs
                    if leg.depart.date() >= outing.last_day and self.ends_trip(horse, leg)
                ),
                None,
            )
            until = outings[i + 1].first_day if i + 1 < len(outings) else date.max
            if back is not None and back.arrive.date() <= until and last not in nights:
                last = max(last, back.arrive.date())
            for day in DaySpan(first, last):
                found.setdefault(day, outing)
        self.away[horse] = found
        return found

    def find_groom_days(self, horse: str) -> dict[date, tuple[str, OutingKey]]:
        """Each day away with the place key where the horse counts for a groom, and who pays.

        A horse that came home without having jumped had a groom as well, so has one at a base that
        is not staffed.
        """
        found = {
            day: (self.yard.place_key_of(outing.show), (horse, outing.show))
            for day, outing in self.find_days_away(horse).items()
        }
        trip: list[int] = []
        for number in self.legs_of.get(horse, []):
            trip.append(number)
            if self.ends_trip(horse, self.legs[number]):
                self._add_trip(horse, trip, found)
                trip = []
        self._add_trip(horse, trip, found)
        for day, base in self.nights.get(horse, {}).items():
            if not base.staffed and day not in found:
                found[day] = (base.place_key, self.find_payer_of_day(horse, day))
        return found

    def _add_trip(
        self, horse: str, trip: Sequence[int], found: dict[date, tuple[str, OutingKey]]
    ) -> None:
        """A day on the road counts for the outing it belongs to; in vain, for where it ends."""
        if not trip:
            return
        away = DaySpan(self.legs[trip[0]].days.first, self.legs[trip[-1]].days.last)
        in_vain = not any(o.first_day in away for o in self.outings_of.get(horse, []))
        where = self.yard.place_key_of(self.legs[trip[0]].start)
        for number, later in zip(trip, [*trip[1:], None], strict=True):
            leg, key = self.legs[number], self.drives[number, horse]
            where = where if leg.end == HOME else self.yard.place_key_of(leg.end)
            if not in_vain and key in self.outing_by_key:
                where = self.yard.place_key_of(key[1])
            last = leg.days.last
            if in_vain and later is not None:
                last = self.legs[later].days.first
            for day in DaySpan(leg.days.first, last):
                found[day] = (where, key)


def _list_fees(plan: _Plan) -> Iterator[CostLine]:
    for outing in plan.outings:
        horse, show = outing.horse, plan.yard.show_by_name[outing.show]
        for name in outing.classes:
            offered = show.find_class(name)
            if offered is not None:
                text = state("season.of-class", name=name)
                yield CostLine("entry fee", horse, show.show, offered.day, offered.fee_cents, text)
        yield CostLine(
            "stall fee",
            horse,
            show.show,
            outing.arrive,
            show.stall_fee_cents if plan.sleeps_on_grounds(outing) else 0,
            state("season.stall"),
        )
        if needs_late_fee(plan.yard, outing):
            text = state("season.entries-closed", day=show.entries_close)
            yield CostLine("late fee", horse, show.show, None, show.late_fee_cents, text)


def _list_drives(plan: _Plan) -> Iterator[CostLine]:
    rates = plan.yard.costs
    for leg, payers in zip(plan.legs, plan.payers, strict=True):
        vehicle = plan.yard.vehicle_by_name.get(leg.vehicle)
        rate = rates.cents_per_km if vehicle is None else plan.yard.cents_per_km_of(vehicle)
        day = leg.depart.date()
        way = {"vehicle": leg.vehicle, "start": leg.start, "end": leg.end}
        cents = round_cents(Decimal(str(round(leg.km, 1))) * rate)
        parts = _describe_parts(payers)
        empty = None if leg.horses else state("season.empty")
        text = state("season.drive", **way, road_km=leg.km, empty=empty, parts=parts)
        yield from _share("road", cents, payers, day, text)
        nights = sum(stop.kind == "overnight" for stop in leg.stops)
        crew = nights * rates.overnight_stop_cents
        text = state("season.nights-of-crew", **way, count=nights, parts=parts)
        yield from _share("overnight stop", crew, payers, day, text)
        if leg.horses:
            stay = state("season.nights", **way, count=nights)
            for horse, show in payers:
                yield CostLine(
                    "stabling", horse, show, day, nights * rates.stabling_day_cents, stay
                )


def _describe_parts(payers: Sequence[OutingKey]) -> Fact | None:
    return state("season.one-of-parts", count=len(payers)) if len(payers) > 1 else None


def _share(
    kind: str, cents: int, payers: Sequence[OutingKey], day: date, text: Fact
) -> Iterator[CostLine]:
    for (horse, show), part in zip(payers, split_cents(cents, [1] * len(payers)), strict=True):
        yield CostLine(kind, horse, show, day, part, text)


def _find_rider_days(plan: _Plan) -> dict[tuple[str, date], list[OutingKey]]:
    found: dict[tuple[str, date], list[OutingKey]] = {}
    for horse in sorted(plan.outings_of):
        for day, outing in plan.find_days_away(horse).items():
            if outing.rider:
                found.setdefault((outing.rider, day), []).append((horse, outing.show))
    return found


def _find_rider_dates(plan: _Plan) -> Mapping[str, frozenset[date]]:
    found: dict[str, set[date]] = {}
    for rider, day in _find_rider_days(plan):
        found.setdefault(rider, set()).add(day)
    return {rider: frozenset(found[rider]) for rider in sorted(found)}


def _find_rider_ways(plan: _Plan) -> tuple[RiderWay, ...]:
    return list_ways(plan.yard, plan.outings, plan.legs, _find_rider_dates(plan))


def _list_cars(plan: _Plan) -> Iterator[CostLine]:
    """A rider's way in his own car is paid by what he rides at its end, homewards at its start."""
    rate = plan.yard.costs.car_cents_per_km
    for way in _find_rider_ways(plan) if rate else ():
        if way.by != CAR:
            continue
        cents = round_cents(Decimal(str(way.km)) * rate)
        own = [o for o in plan.outings if o.rider == way.rider]
        ahead = [o for o in own if o.last_day >= way.date and o.show == way.end]
        behind = [o for o in own if o.first_day <= way.date]
        shows = {ahead[0].show} if ahead else {behind[-1].show if behind else own[0].show}
        payers = [(o.horse, o.show) for o in own if o.show in shows]
        parts = _describe_parts(payers)
        ends = {"start": way.start, "end": way.end}
        text = state("season.car", name=way.rider, **ends, road_km=way.km, parts=parts)
        yield from _share("car", cents, payers, way.date, text)


def _list_rider_days(plan: _Plan) -> Iterator[CostLine]:
    shared = (
        (rider, day, plan.yard.costs.rider_day_cents, keys)
        for (rider, day), keys in _find_rider_days(plan).items()
    )
    for key, (rider, first, days, others, cents) in _gather(shared).items():
        text = state("season.days-of", who=rider, count=days, shared=_describe_shared(others))
        yield CostLine("rider days", *key[1], first, cents, text)


def _list_groom_days(plan: _Plan) -> Iterator[CostLine]:
    found: dict[date, dict[str, list[OutingKey]]] = {}
    for horse in sorted({*plan.outings_of, *plan.legs_of}):
        for day, (where, payer) in plan.find_groom_days(horse).items():
            found.setdefault(day, {}).setdefault(where, []).append(payer)
    shared: list[tuple[str, date, int, list[OutingKey]]] = []
    for day, places in found.items():
        prices = price_grooms(plan.yard, day, [len(keys) for keys in places.values()])
        shared += zip(places, repeat(day), prices, places.values())
    for key, (place, first, days, others, cents) in _gather(shared).items():
        text = state("season.days-of", who=place, count=days, shared=_describe_shared(others))
        yield CostLine("groom days", *key[1], first, cents, text)


def _list_hired(plan: _Plan) -> Iterator[CostLine]:
    """A driver whom nobody names costs each day on which he drives a lorry.

    A lorry on hire costs each day from leaving home to coming back.
    """
    yard = plan.yard
    driven: dict[tuple[str, str, date], list[OutingKey]] = {}
    hired: dict[tuple[str, date], list[OutingKey]] = {}
    rounds: dict[str, list[int]] = {}
    for number, leg in enumerate(plan.legs):
        for driver in leg.drivers:
            for day in leg.days if not isinstance(driver, str) else ():
                key = (leg.vehicle, write_driver(driver), day)
                driven.setdefault(key, []).extend(plan.payers[number])
        trip = rounds.setdefault(leg.vehicle, [])
        trip.append(number)
        vehicle = yard.vehicle_by_name.get(leg.vehicle)
        if vehicle is not None and vehicle.hire:
            for day in DaySpan(plan.legs[trip[0]].days.first, leg.days.last):
                hired.setdefault((leg.vehicle, day), []).extend(plan.payers[number])
        if leg.end == HOME:
            trip.clear()
    rate = yard.costs.driver_day_cents
    drivers = ((who, day, rate, keys) for (_, who, day), keys in driven.items())
    yield from _list_days_of("driver days", drivers)
    lorries = (
        (name, day, yard.vehicle_by_name[name].per_day_cents, keys)
        for (name, day), keys in hired.items()
    )
    yield from _list_days_of("lorry hire", lorries)


def _list_days_of(
    kind: str, shared: Iterable[tuple[str, date, int, list[OutingKey]]]
) -> Iterator[CostLine]:
    once = ((name, day, cents, list(dict.fromkeys(keys))) for name, day, cents, keys in shared)
    for key, (name, first, days, others, cents) in _gather(once).items():
        text = state("season.days-of", who=name, count=days, shared=_describe_shared(others))
        yield CostLine(kind, *key[1], first, cents, text)


def _list_stable_nights(plan: _Plan) -> Iterator[CostLine]:
    """A night at a place outside the stabling days of the shows that the horse is there for."""
    rate = plan.yard.costs.stabling_day_cents
    for horse, numbers in plan.legs_of.items():
        outings = plan.outings_of.get(horse, [])
        for number, later in zip(numbers, [*numbers[1:], None], strict=True):
            leg = plan.legs[number]
            if leg.end == HOME:
                continue
            place, first = plan.yard.place_key_of(leg.end), leg.arrive.date()
            until = date.max if later is None else plan.legs[later].depart.date()
            own = [
                o
                for o in outings
                if plan.yard.place_key_of(o.show) == place and first <= o.first_day <= until
            ]
            until = min(until, max([first, *(o.leave for o in own)])) if later is None else until
            open_days = [plan.yard.show_by_name[o.show].stabling for o in own]
            for day in DaySpan(first, until) if first < until else ():
                if day == until or any(s.first <= day < s.last for s in open_days):
                    continue
                if day in plan.nights[horse]:
                    continue
                there = next(((horse, o.show) for o in own if o.arrive <= day < o.leave), None)
                key = there or plan.drives[number, horse]
                text = state("season.night-outside", place=place, on=day)
                yield CostLine("stabling", *key, day, rate, text)


def _list_base_nights(plan: _Plan) -> Iterator[CostLine]:
    """Each night of a horse at a base, whatever it does by day."""
    nights = (
        (base.base, day, base.per_night_cents, [plan.find_payer_of_day(horse, day)])
        for horse in sorted(plan.nights)
        for day, base in plan.nights[horse].items()
    )
    for key, (base, first, count, _, cents) in _gather(nights).items():
        text = state("season.nights-at-base", base=base, count=count)
        yield CostLine("base nights", *key[1], first, cents, text)


def _gather(
    shared: Iterable[tuple[str, date, int, list[OutingKey]]],
) -> dict[tuple[str, OutingKey], tuple[str, date, int, int, int]]:
    """Daily amounts are split day by day, then added up per name and outing.

    Returns (name, first day, days, days shared with other horses, cents).
    """
    found: dict[tuple[str, OutingKey], tuple[str, date, int, int, int]] = {}
    for name, day, cents, keys in shared:
        for key, part in zip(keys, split_cents(cents, [1] * len(keys)), strict=True):
            _, first, days, others, sum_cents = found.get((name, key), (name, day, 0, 0, 0))
            found[name, key] = (
                name,
                min(first, day),
                days + 1,
                others + (len(keys) > 1),
                sum_cents + part,
            )
    return found


def _describe_shared(days: int) -> Fact | None:
    return state("season.of-them-shared", count=days) if days else None


def _list_vet_checks(plan: _Plan, days: Sequence[Day]) -> Iterator[CostLine]:
    checks: dict[str, list[date]] = {}
    for day in days:
        if "vet check" in (day.does, *day.also):
            checks.setdefault(day.horse, []).append(day.date)
    for horse, outings in plan.outings_of.items():
        known = plan.yard.horse_by_name.get(horse)
        limits = plan.yard.limits if known is None else known.limits
        tours = [plan.yard.show_by_name[o.show].tour for o in outings]
        dates = sorted(checks.get(horse, []))
        for i in find_checked_outings(tours, limits):
            after = outings[i]
            until = outings[i + 1].first_day if i + 1 < len(outings) else date.max
            on = next((d for d in dates if after.last_day <= d < until), None)
            if on is not None:
                yield CostLine(
                    "vet check",
                    horse,
                    after.show,
                    on,
                    plan.yard.costs.vet_check_cents,
                    state("season.after", show=after.show),
                )
