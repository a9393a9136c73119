"""What a circuit is worth and adds up to: worth, kilometres, hours, nights, spare days.

Every total is the sum of the values as they are written in the circuit, so whoever adds up the
file finds the same figures.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

from tripkit.eligibility.qualifying import assess_aim
from tripkit.season.bases import count_nights_on_grounds
from tripkit.season.costs import Bill, find_rider_ways, price
from tripkit.season.diary import list_lone_schools, write_diary
from tripkit.yard.circuit import Circuit, DroppedEntry, Leg, Outing, Status, Totals
from tripkit.yard.days import count_clear_days
from tripkit.yard.facts import Fact, Reason, state
from tripkit.yard.horses import Aim, Horse
from tripkit.yard.recovery import ROW_CLEAR_DAYS, count_needed_clear_days, count_rest_days
from tripkit.yard.shows import count_worth
from tripkit.yard.yard import Yard

WORTH_DECIMALS = 4
KM_DECIMALS = 1
HOURS_DECIMALS = 2


@dataclass(frozen=True)
class Gap:
    """Two outings of a horse in a row: clear days between them, and what `recovery` asks.

    `before` and `after` are show ids; an outing of the past without a show is "".
    """

    horse: str
    before: str
    after: str
    clear_days: int
    needed_days: int

    @property
    def spare_days(self) -> int:
        """Clear days beyond what is asked, negative where some are missing [days]."""
        return self.clear_days - self.needed_days


@dataclass(frozen=True)
class Lack:
    """A horse with fewer outings in the season than are wanted of it at least, and whose it is."""

    horse: str
    wanted: int
    outings: int
    owners: tuple[str, ...] = ()

    @property
    def missing(self) -> int:
        """How many are missing."""
        return max(0, self.wanted - self.outings)

    @property
    def fact(self) -> Fact:
        """What is missing, to be told."""
        whose = state("season.whose", owners=self.owners) if self.owners else None
        have, wanted = self.outings, self.wanted
        return state("season.lack", horse=self.horse, whose=whose, have=have, wanted=wanted)


@dataclass(frozen=True)
class _Held:
    show: str
    place_key: str | None
    first: date
    last: date
    planned: bool


def finish_circuit(
    yard: Yard,
    name: str,
    goal: str,
    status: Status,
    objective: float | None,
    bound: float | None,
    seconds: float,
    outings: Iterable[Outing],
    legs: Iterable[Leg],
    dropped_entries: Iterable[DroppedEntry] = (),
    *,
    leaves_out: Iterable[Reason] = (),
    aims_proved: bool = False,
    point_price_cents: int | None = None,
    remarks: Iterable[Reason] = (),
    dropped_proved: bool = False,
) -> Circuit:
    """Outings and legs become a whole circuit: day plan, costs, worth and totals filled in.

    Whatever worth and cost the outings bring along is replaced. Outings are sorted by
    (first_day, horse, show), legs by (depart, vehicle), days by (horse, date).
    """
    own_outings = tuple(sorted(outings, key=lambda o: (o.first_day, o.horse, o.show)))
    own_legs = tuple(sorted(legs, key=lambda leg: (leg.depart, leg.vehicle)))
    ways = find_rider_ways(yard, own_outings, own_legs)
    days = write_diary(yard, own_outings, own_legs, ways)
    bill = price(yard, own_outings, own_legs, days)
    priced = price_outings(yard, own_outings, bill)
    return Circuit(
        name=name,
        goal=goal,
        status=status,
        objective=objective,
        bound=bound,
        seconds=seconds,
        totals=add_up(yard, priced, own_legs, bill),
        outings=priced,
        legs=own_legs,
        days=days,
        dropped_entries=tuple(dropped_entries),
        leaves_out=tuple(leaves_out),
        aims_proved=aims_proved,
        point_price_cents=point_price_cents,
        remarks=(*remarks, *list_lone_schools(yard, days, ways)),
        rider_ways=ways,
        dropped_proved=dropped_proved,
    )


def price_outings(yard: Yard, outings: Sequence[Outing], bill: Bill) -> tuple[Outing, ...]:
    """Each outing gets its worth and its cost [cents] from the bill; the order stays.

    Worth = the sum of its classes' worth times the horse's weight, plus the importance of each
    aim met there, rounded to four decimals.
    """
    met: dict[tuple[str, str], Decimal] = {}
    for aim in find_aims_met(yard, outings):
        key = (aim.horse, aim.show)
        met[key] = met.get(key, Decimal(0)) + aim.importance
    priced = []
    for outing in outings:
        key = (outing.horse, outing.show)
        horse = yard.horse_by_name[outing.horse]
        offered = (yard.find_class(outing.show, name) for name in outing.classes)
        classes = sum((count_worth(horse, c) for c in offered if c is not None), Decimal(0))
        worth = classes * horse.weight + met.get(key, Decimal(0))
        priced.append(
            replace(
                outing,
                worth=float(round(worth, WORTH_DECIMALS)),
                cost_cents=bill.by_outing.get(key, 0),
            )
        )
    return tuple(priced)


def find_aims_met(yard: Yard, outings: Sequence[Outing]) -> tuple[Aim, ...]:
    """The aims that the outings meet, in the order of the yard's file."""
    return tuple(aim for aim in yard.aims if assess_aim(yard, aim, outings).met)


def add_up(yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg], bill: Bill) -> Totals:
    """A circuit's totals are sums over its outings and legs as written.

    `outings` are those of `price_outings`. Kilometres count every leg, empty ones too; horse
    road hours are a leg's hours times the horses aboard; nights away are those between each
    outing's `arrive` and `leave`, but for those at a base, and those of horses at overnight stops.
    """
    worth = sum((Decimal(str(o.worth)) for o in outings), Decimal(0))
    km = sum((Decimal(str(leg.km)) for leg in legs), Decimal(0))
    hours = sum((Decimal(str(leg.hours)) * len(leg.horses) for leg in legs), Decimal(0))
    nights = sum(count_nights_on_grounds(yard, outings, legs).values())
    nights += sum(len(leg.horses) for leg in legs for s in leg.stops if s.kind == "overnight")
    return Totals(
        worth=float(round(worth, WORTH_DECIMALS)),
        cost_cents=bill.total_cents,
        road_km=float(round(km, KM_DECIMALS)),
        horse_road_hours=float(round(hours, HOURS_DECIMALS)),
        nights_away=nights,
        outings=len(outings),
        aims_met=tuple(aim.title for aim in find_aims_met(yard, outings)),
        spare_days=count_spare_days(yard, outings, legs),
        missing_outings=sum(lack.missing for lack in find_lacks(yard, outings)),
    )


def find_lacks(yard: Yard, outings: Sequence[Outing]) -> tuple[Lack, ...]:
    """The horses that lack outings of the least that is wanted, in the order of the yard's file.

    Those before today count as far as they lie in the season.
    """
    found = []
    for horse in yard.horses:
        held = _join_history(yard, horse, [o for o in outings if o.horse == horse.horse])
        count = sum(one.first >= yard.season.first for one in held)
        owners = tuple(share.owner for share in yard.shares_of(horse.horse))
        lack = Lack(horse.horse, horse.outings_wanted.least, count, owners)
        found += [lack] if lack.missing else []
    return tuple(found)


def count_spare_days(yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg]) -> int | None:
    """The smallest surplus of clear days over what `recovery` asks, None without a pair [days]."""
    return min((gap.spare_days for gap in find_gaps(yard, outings, legs)), default=None)


def find_gaps(yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg]) -> tuple[Gap, ...]:
    """Each planned outing with the horse's outing before it, one of the past included.

    An outing that `shows_in_a_row` allows right after another (at most four clear days, same
    place, fewer than recovery asks) is no pair. A past outing at the show of a planned one is the
    same outing: it began before today, so what lies before it is past, too. By horse and date.
    """
    outings_of: dict[str, list[Outing]] = {}
    for outing in outings:
        outings_of.setdefault(outing.horse, []).append(outing)
    legs_of: dict[str, list[Leg]] = {}
    for leg in sorted(legs, key=lambda leg: (leg.depart, leg.vehicle)):
        for name in leg.horses:
            legs_of.setdefault(name, []).append(leg)
    gaps: list[Gap] = []
    for name in sorted(outings_of):
        horse = yard.horse_by_name[name]
        own_legs = legs_of.get(name, [])
        row = 1
        held = _join_history(yard, horse, outings_of[name])
        for before, after in pairwise(held):
            clear = count_clear_days(before.last, after.first)
            same_place = before.place_key is not None and before.place_key == after.place_key
            follows = same_place and 0 <= clear <= ROW_CLEAR_DAYS
            needed = _count_needed(yard, horse, own_legs, before, after)
            short = clear < needed
            row = row + 1 if follows and short and row < horse.limits.shows_in_a_row else 1
            if row == 1 and after.planned:
                gaps.append(Gap(name, before.show, after.show, clear, needed))
    return tuple(gaps)


def _join_history(yard: Yard, horse: Horse, outings: Sequence[Outing]) -> list[_Held]:
    held = {
        o.show: _Held(o.show, yard.place_key_of(o.show), o.first_day, o.last_day, True)
        for o in outings
    }
    past: list[_Held] = []
    for known in yard.history.get(horse.horse, ()):
        show = yard.show_by_name.get(known.show)
        same = held.get(known.show)
        if same is not None and (horse.horse, same.show) in yard.begun.outing_keys:
            if same.first <= known.last_day and known.first_day <= same.last:
                continue
            same = None
        if same is not None and show is not None and known.first_day in show.days:
            held[known.show] = replace(
                same,
                first=min(same.first, known.first_day),
                last=max(same.last, known.last_day),
                planned=False,
            )
        else:
            key = None if show is None else show.place_key
            past.append(_Held(known.show, key, known.first_day, known.last_day, False))
    return sorted([*past, *held.values()], key=lambda h: (h.first, h.last, h.show))


def _count_needed(
    yard: Yard, horse: Horse, legs: Sequence[Leg], before: _Held, after: _Held
) -> int:
    """The clear days `recovery` asks before an outing: by the drives to it, and late ones before.

    Late are those that begin after the days without jumping.
    """
    outward = _find_outward(yard, legs, before, after)
    rested = before.last + timedelta(days=horse.limits.no_jump_days)
    ends = outward[0].days.first if outward else after.first
    late = [leg for leg in legs if rested < leg.days.first and leg.days.last < ends]
    drive_days = rest_days = 0
    for run in (*_split_runs(late), outward):
        if run:
            hours = float(sum(Decimal(str(leg.hours)) for leg in run))
            drive_days += (run[-1].days.last - run[0].days.first).days + 1
            rest_days += count_rest_days(hours, horse.limits)
    return count_needed_clear_days(horse.limits, drive_days, rest_days)


def _find_outward(yard: Yard, legs: Sequence[Leg], before: _Held, after: _Held) -> Sequence[Leg]:
    """The drives that lead to an outing with no whole day between.

    None for a horse that stays, or that lives at a base there.
    """
    there = [
        i
        for i, leg in enumerate(legs)
        if yard.place_key_of(leg.end) == after.place_key and leg.days.last <= after.first
    ]
    if not there:
        return ()
    last = there[-1]
    lives = legs[last].end in yard.base_of and legs[last].days.last < after.first
    if lives or (before.place_key == after.place_key and legs[last].days.last <= before.last):
        return ()
    return _split_runs(legs[: last + 1])[-1]


def _split_runs(legs: Sequence[Leg]) -> list[list[Leg]]:
    """Drives in order, parted where a whole day without one lies between."""
    runs: list[list[Leg]] = []
    for leg in legs:
        if runs and (leg.days.first - runs[-1][-1].days.last).days <= 1:
            runs[-1].append(leg)
        else:
            runs.append([leg])
    return runs


def find_spare_days_by_horse(
    yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg]
) -> Mapping[str, int]:
    """The smallest surplus of clear days of each horse that has a pair of outings [days]."""
    found: dict[str, int] = {}
    for gap in find_gaps(yard, outings, legs):
        found[gap.horse] = min(gap.spare_days, found.get(gap.horse, gap.spare_days))
    return found
