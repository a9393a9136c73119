"""Two circuits side by side: what each has that the other has not, and what the choice costs.

Every difference is right less left: what you get, and what you pay, by choosing the right one
instead of the left.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from tripkit.eligibility.qualifying import assess_aim
from tripkit.season.bases import count_nights_on_grounds
from tripkit.season.costs import (
    add_up_owners,
    find_rider_dates,
    needs_late_fee,
    split_among_owners,
)
from tripkit.season.scorecard import find_spare_days_by_horse
from tripkit.yard.circuit import Circuit, Outing, Totals
from tripkit.yard.days import add_days
from tripkit.yard.facts import Fact, Reason, Value, draw, state
from tripkit.yard.places import KM_PER_MILE
from tripkit.yard.yard import Yard

FIGURE_DECIMALS = 4


@dataclass(frozen=True)
class Figure:
    """One figure of both circuits; None where a circuit has none."""

    left: float | None
    right: float | None

    @property
    def difference(self) -> float | None:
        """Right less left, None where one of them is missing."""
        if self.left is None or self.right is None:
            return None
        return round(self.right - self.left, FIGURE_DECIMALS)


@dataclass(frozen=True)
class Amount:
    """One amount of money of both circuits [cents]."""

    left: int
    right: int

    @property
    def difference(self) -> int:
        """Right less left [cents]."""
        return self.right - self.left


@dataclass(frozen=True)
class SharedOuting:
    """One horse at the same show in both circuits."""

    left: Outing
    right: Outing

    @property
    def classes_only_left(self) -> tuple[str, ...]:
        """Classes jumped in the left circuit only."""
        return tuple(name for name in self.left.classes if name not in self.right.classes)

    @property
    def classes_only_right(self) -> tuple[str, ...]:
        """Classes jumped in the right circuit only."""
        return tuple(name for name in self.right.classes if name not in self.left.classes)

    @property
    def differs(self) -> bool:
        """Whether classes, rider or days differ."""

        def view(o: Outing) -> tuple[object, ...]:
            return set(o.classes), o.rider, o.first_day, o.last_day, o.arrive, o.leave

        return view(self.left) != view(self.right)


@dataclass(frozen=True)
class HorseComparison:
    """One horse in both circuits: outings, road hours, nights away, spare days, cost."""

    horse: str
    only_left: tuple[Outing, ...]
    only_right: tuple[Outing, ...]
    both: tuple[SharedOuting, ...]
    road_hours: Figure
    nights_away: Figure
    spare_days: Figure
    cost: Amount

    @property
    def differs(self) -> bool:
        """Whether the horse goes elsewhere, or to the same shows otherwise."""
        return bool(self.only_left or self.only_right or any(pair.differs for pair in self.both))


@dataclass(frozen=True)
class OwnerComparison:
    """What one owner pays in both circuits; "" is the yard, for horses without an owner."""

    owner: str
    cost: Amount


@dataclass(frozen=True)
class RiderComparison:
    """How many days one rider is away in both circuits."""

    rider: str
    days_away: Figure


@dataclass(frozen=True)
class ClosingDate:
    """Entries of one show still to be sent: until when, and what it costs to be late.

    `closes` is the last day for these entries as of today (None: no closing date), the late day
    where entries have closed already (`late`); `late_until` is the last day for late entries.
    `entries` are (horse, class).
    """

    show: str
    closes: date | None
    late: bool
    late_until: date | None
    late_fee_cents: int
    entries: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class WeekDifference:
    """One week (from its Monday) in which horses show in different places.

    `horses` are (horse, shows in the left circuit, shows in the right one).
    """

    first_day: date
    horses: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...]


@dataclass(frozen=True, repr=False)
class Comparison:
    """Two circuits of one yard, point by point; differences are right less left.

    `aims_missed` says of aims that only the left circuit meets why the right one, which goes
    there as well, does not: `unprepared`, `not qualified`, or that its class is not jumped.
    """

    left_name: str
    right_name: str
    left_exists: bool
    right_exists: bool
    units: str
    currency: str
    weeks_of_season: int
    left_totals: Totals
    right_totals: Totals
    worth: Figure
    cost: Amount
    road_km: Figure
    horse_road_hours: Figure
    nights_away: Figure
    outings: Figure
    spare_days: Figure
    aims_only_left: tuple[str, ...]
    aims_missed: Mapping[str, tuple[Fact, ...]]
    aims_only_right: tuple[str, ...]
    aims_both: tuple[str, ...]
    horses: tuple[HorseComparison, ...]
    owners: tuple[OwnerComparison, ...]
    riders: tuple[RiderComparison, ...]
    closing_left: tuple[ClosingDate, ...]
    closing_right: tuple[ClosingDate, ...]
    weeks: tuple[WeekDifference, ...]

    def __repr__(self) -> str:
        return f"<Comparison of {self.left_name!r} and {self.right_name!r}>"

    def _repr_html_(self) -> str:
        return draw(self)


def compare(yard: Yard, left: Circuit, right: Circuit) -> Comparison:
    """Two circuits of a yard are held against each other; the figures are those written in them.

    Costs of horses and owners are the outings' `cost_cents` added up and shared. A circuit that
    does not exist has no outings and counts as staying at home.
    """
    a, b = left.totals, right.totals
    return Comparison(
        left_name=left.name,
        right_name=right.name,
        left_exists=left.exists,
        right_exists=right.exists,
        units=yard.units,
        currency=yard.currency,
        weeks_of_season=len(_list_weeks(yard)),
        left_totals=a,
        right_totals=b,
        worth=Figure(a.worth, b.worth),
        cost=Amount(a.cost_cents, b.cost_cents),
        road_km=Figure(a.road_km, b.road_km),
        horse_road_hours=Figure(a.horse_road_hours, b.horse_road_hours),
        nights_away=Figure(a.nights_away, b.nights_away),
        outings=Figure(a.outings, b.outings),
        spare_days=Figure(a.spare_days, b.spare_days),
        aims_only_left=tuple(aim for aim in a.aims_met if aim not in b.aims_met),
        aims_missed=_find_missed_aims(yard, left, right),
        aims_only_right=tuple(aim for aim in b.aims_met if aim not in a.aims_met),
        aims_both=tuple(aim for aim in a.aims_met if aim in b.aims_met),
        horses=_compare_horses(left, right, yard),
        owners=_compare_owners(left, right, yard),
        riders=_compare_riders(left, right, yard),
        closing_left=find_closing_dates(yard, left.outings),
        closing_right=find_closing_dates(yard, right.outings),
        weeks=_compare_weeks(left, right, yard),
    )


def find_closing_dates(yard: Yard, outings: Iterable[Outing]) -> tuple[ClosingDate, ...]:
    """Entries that are not sent yet have a closing date, a late one at a fee where it has passed.

    By date, shows without a closing date last. A class of today or before is jumped or missed:
    whether its entry was ever written down, nothing can be sent any more.
    """
    entries: dict[str, list[tuple[str, str]]] = {}
    fees: dict[str, int] = {}
    for outing in outings:
        show = yard.show_by_name[outing.show]
        for name in outing.classes:
            offered = yard.find_class(outing.show, name)
            ahead = offered is None or offered.day > yard.day_of_planning
            if ahead and (outing.horse, outing.show, name) not in yard.bound_entries:
                entries.setdefault(outing.show, []).append((outing.horse, name))
        if needs_late_fee(yard, outing):
            fees[outing.show] = fees.get(outing.show, 0) + show.late_fee_cents
    found = []
    for name, open_entries in entries.items():
        show = yard.show_by_name[name]
        late = show.is_late(yard.day_of_planning)
        closes = show.last_entry_day if late else show.entries_close or show.late_entries_until
        found.append(
            ClosingDate(
                name,
                closes,
                late,
                show.late_entries_until,
                fees.get(name, 0),
                tuple(sorted(open_entries)),
            )
        )
    return tuple(sorted(found, key=lambda c: (c.closes or date.max, c.show)))


def _find_missed_aims(yard: Yard, left: Circuit, right: Circuit) -> dict[str, tuple[Fact, ...]]:
    """Of aims met on the left alone whose show the right goes to: what they lack there."""
    found = {}
    lost = set(left.totals.aims_met) - set(right.totals.aims_met)
    for aim in yard.aims:
        there = [o for o in right.outings if (o.horse, o.show) == (aim.horse, aim.show)]
        if aim.title not in lost or not there:
            continue
        standing = assess_aim(yard, aim, right.outings)
        lacks = [] if standing.prepared_by else [state("season.unprepared")]
        if standing.points_missing or standing.starts_missing:
            lacks.append(state("season.not-qualified"))
        if aim.class_name and aim.class_name not in there[0].classes:
            lacks.append(state("season.not-in-that-class"))
        found[aim.title] = tuple(lacks)
    return found


def _compare_horses(left: Circuit, right: Circuit, yard: Yard) -> tuple[HorseComparison, ...]:
    spare_left = find_spare_days_by_horse(yard, left.outings, left.legs)
    spare_right = find_spare_days_by_horse(yard, right.outings, right.legs)
    found = []
    for name in sorted(horse.horse for horse in yard.horses):
        a = {o.show: o for o in left.outings_by_horse.get(name, ())}
        b = {o.show: o for o in right.outings_by_horse.get(name, ())}
        found.append(
            HorseComparison(
                horse=name,
                only_left=tuple(o for show, o in a.items() if show not in b),
                only_right=tuple(o for show, o in b.items() if show not in a),
                both=tuple(SharedOuting(o, b[show]) for show, o in a.items() if show in b),
                road_hours=Figure(_sum_hours(left, name), _sum_hours(right, name)),
                nights_away=Figure(_sum_nights(yard, left, name), _sum_nights(yard, right, name)),
                spare_days=Figure(spare_left.get(name), spare_right.get(name)),
                cost=Amount(
                    sum(o.cost_cents for o in a.values()), sum(o.cost_cents for o in b.values())
                ),
            )
        )
    return tuple(found)


def _sum_hours(circuit: Circuit, horse: str) -> float:
    return round(sum(leg.hours for leg in circuit.legs if horse in leg.horses), 2)


def _sum_nights(yard: Yard, circuit: Circuit, horse: str) -> int:
    own = [leg for leg in circuit.legs if horse in leg.horses]
    outings = circuit.outings_by_horse.get(horse, ())
    nights = sum(count_nights_on_grounds(yard, outings, own).values())
    return nights + sum(stop.kind == "overnight" for leg in own for stop in leg.stops)


def _compare_owners(left: Circuit, right: Circuit, yard: Yard) -> tuple[OwnerComparison, ...]:
    sides = []
    for circuit in (left, right):
        by_horse = {
            horse: sum(o.cost_cents for o in outings)
            for horse, outings in circuit.outings_by_horse.items()
        }
        sides.append(add_up_owners(yard, split_among_owners(yard, by_horse)))
    a, b = sides
    return tuple(
        OwnerComparison(owner, Amount(a.get(owner, 0), b.get(owner, 0)))
        for owner in dict.fromkeys([*a, *b])
    )


def _compare_riders(left: Circuit, right: Circuit, yard: Yard) -> tuple[RiderComparison, ...]:
    a = find_rider_dates(yard, left.outings, left.legs)
    b = find_rider_dates(yard, right.outings, right.legs)
    return tuple(
        RiderComparison(rider, Figure(len(a.get(rider, ())), len(b.get(rider, ()))))
        for rider in dict.fromkeys([*yard.riders, *a, *b])
    )


def _list_weeks(yard: Yard) -> tuple[date, ...]:
    """The Mondays of the weeks that the season touches."""
    first = _find_monday(yard.season.first)
    count = (yard.season.last - first).days // 7 + 1
    return tuple(add_days(first, 7 * week) for week in range(count))


def _find_monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _compare_weeks(left: Circuit, right: Circuit, yard: Yard) -> tuple[WeekDifference, ...]:
    sides = [_find_shows_by_week(left), _find_shows_by_week(right)]
    found: dict[date, list[tuple[str, tuple[str, ...], tuple[str, ...]]]] = {}
    for week, horse in sorted(sides[0].keys() | sides[1].keys()):
        a, b = (side.get((week, horse), ()) for side in sides)
        if a != b:
            found.setdefault(week, []).append((horse, a, b))
    return tuple(WeekDifference(week, tuple(horses)) for week, horses in found.items())


def _find_shows_by_week(circuit: Circuit) -> Mapping[tuple[date, str], tuple[str, ...]]:
    found: dict[tuple[date, str], tuple[str, ...]] = {}
    for horse, outings in circuit.outings_by_horse.items():
        for outing in outings:
            week = _find_monday(outing.first_day)
            while week <= outing.last_day:
                found[week, horse] = (*found.get((week, horse), ()), outing.show)
                week = add_days(week, 7)
    return found


# The verdict.


def find_verdict(comparison: Comparison) -> tuple[Fact, ...]:
    """What you gain and what you pay by choosing the right circuit instead of the left.

    A fact a point; points on which the circuits agree are left out.
    """
    c = comparison
    names = {"right": c.right_name, "left": c.left_name}
    if not c.right_exists:
        if c.left_exists:
            return (state("season.no-plan-so-the-left-stays", **names),)
        return (state("season.no-plan-either", **names),)
    found = [
        *([] if c.left_exists else [state("season.counts-as-home", left=c.left_name)]),
        *_compare_worth_and_cost(c),
        *_compare_aims(c),
        *_compare_roads(c),
        *_compare_rest(c),
        *(fact for horse in c.horses for fact in _compare_horse(horse)),
        *_compare_bills(c),
        *_compare_days_away(c),
        *_compare_closings(c),
        *_find_first_week(c),
    ]
    if not found:
        if not c.outings.left and not c.outings.right:
            return (state("season.nobody-goes", **names),)
        return (state("season.all-the-same", **names),)
    return tuple(found)


def _compare_worth_and_cost(c: Comparison) -> Iterator[Fact]:
    names = {"right": c.right_name, "left": c.left_name}
    worth, cents = c.worth.difference or 0.0, c.cost.difference
    if worth:
        about: dict[str, Value] = {
            **names,
            "worth": abs(worth),
            "now": c.worth.right,
            "before": c.worth.left,
        }
        yield state("season.gains", **about) if worth > 0 else state("season.gives-up", **about)
    if cents:
        now, before = c.cost.right, c.cost.left
        money: dict[str, Value] = {
            **names,
            "cost_cents": abs(cents),
            "now_cents": now,
            "before_cents": before,
        }
        yield state("season.costs", **money) if cents > 0 else state("season.saves", **money)
    if worth and cents and (worth > 0) == (cents > 0):
        each = round(cents / worth)
        if cents > 0:
            yield state("season.each-point-costs", each_cents=each)
        else:
            yield state("season.each-point-saves", each_cents=each)


def _compare_aims(c: Comparison) -> Iterator[Fact]:
    if c.aims_only_right:
        yield state("season.meets", right=c.right_name, aims=c.aims_only_right)
    if c.aims_only_left:
        lost = tuple(_describe_lost(aim, c.aims_missed.get(aim, ())) for aim in c.aims_only_left)
        yield state("season.meets-no-longer", right=c.right_name, aims=lost)


def _describe_lost(aim: str, lacks: tuple[Fact, ...]) -> Reason:
    return state("season.goes-but", aim=aim, lacks=lacks) if lacks else aim


def _compare_roads(c: Comparison) -> Iterator[Fact]:
    """What is told as the difference is that of the numbers told beside it."""
    unit_km = KM_PER_MILE if c.units == "miles" else 1.0
    here, there = (round((km or 0.0) / unit_km, 1) for km in (c.road_km.left, c.road_km.right))
    apart = round(there - here, 1)
    if apart:
        yield state(
            "season.lorries-drive",
            road_km=abs(apart) * unit_km,
            more=_describe_sign(apart),
            now_km=c.road_km.right or 0.0,
            before_km=c.road_km.left or 0.0,
        )
    left, right = (
        round(hours or 0.0, 1) for hours in (c.horse_road_hours.left, c.horse_road_hours.right)
    )
    hours = round(right - left, 1)
    if hours:
        more = _describe_sign(hours)
        yield state("season.on-the-road", count=abs(hours), more=more, now=right, before=left)


def _compare_rest(c: Comparison) -> Iterator[Fact]:
    nights = c.nights_away.difference or 0.0
    if nights:
        yield state(
            "season.nights-away",
            count=abs(nights),
            more=_describe_sign(nights),
            now=c.nights_away.right,
            before=c.nights_away.left,
        )
    left, right = c.spare_days.left, c.spare_days.right
    if left is None and right is not None:
        yield state("season.gap-where-none-was", count=right, left=c.left_name)
    elif right is None and left is not None:
        yield state("season.no-gap", right=c.right_name)
    elif left is not None and right is not None and left != right:
        yield state("season.gap", count=right, before=left)


def _compare_horse(horse: HorseComparison) -> Iterator[Fact]:
    gone = tuple(o.show for o in horse.only_left)
    new = tuple(o.show for o in horse.only_right)
    cents = horse.cost.difference
    money = None
    if cents:
        money = state("season.for", cost_cents=abs(cents), more=_describe_sign(cents))
    about: dict[str, Value] = {"horse": horse.horse, "money": money}
    if new and gone:
        yield state("season.goes-instead", **about, new=new, gone=gone)
    elif new:
        yield state("season.goes-also", **about, new=new)
    elif gone:
        yield state("season.goes-no-longer", **about, gone=gone)
    if new or gone:
        money = None
    for pair in horse.both:
        if pair.differs:
            changes = tuple(_list_changes(pair))
            show = pair.right.show
            yield state("season.at", horse=horse.horse, show=show, changes=changes, money=money)
            money = None


def _list_changes(pair: SharedOuting) -> Iterator[Fact]:
    a, b = pair.left, pair.right
    new, gone = pair.classes_only_right, pair.classes_only_left
    found = []
    if new and gone:
        found.append(state("season.classes-instead", new=new, gone=gone))
    elif new:
        found.append(state("season.classes-also", new=new))
    elif gone:
        found.append(state("season.classes-without", gone=gone))
    if a.rider != b.rider:
        nobody = state("season.nobody")
        found.append(state("season.ridden-by", rider=b.rider or nobody, before=a.rider or nobody))
    if a.arrive != b.arrive:
        found.append(state("season.there-from", arrive=b.arrive, before=a.arrive))
    if a.leave != b.leave:
        found.append(state("season.leaves-on", leave=b.leave, before=a.leave))
    yield from found or [state("season.jumps-from", first=b.first_day, last=b.last_day)]


def _compare_bills(c: Comparison) -> Iterator[Fact]:
    for owner in c.owners:
        cents = owner.cost.difference
        if cents:
            yield state(
                "season.pays",
                owner=owner.owner or state("season.the-yard"),
                cost_cents=abs(cents),
                more=_describe_sign(cents),
                now_cents=owner.cost.right,
                before_cents=owner.cost.left,
            )


def _compare_days_away(c: Comparison) -> Iterator[Fact]:
    for rider in c.riders:
        days = rider.days_away.difference
        if days:
            yield state(
                "season.rider-away",
                rider=rider.rider,
                count=abs(days),
                more=_describe_sign(days),
                now=rider.days_away.right,
                before=rider.days_away.left,
            )


def _compare_closings(c: Comparison) -> Iterator[Fact]:
    left, right = (
        next((closing for closing in side if closing.closes is not None), None)
        for side in (c.closing_left, c.closing_right)
    )
    if right is not None and (
        left is None or (left.closes, left.show) != (right.closes, right.show)
    ):
        instead = None
        if left is not None:
            instead = state("season.instead-of-closing", closes=left.closes, show=left.show)
        yield state("season.first-to-close", closes=right.closes, show=right.show, instead=instead)
    elif right is None and left is not None:
        yield state("season.nothing-to-send", show=left.show, closes=left.closes)
    before, now = (
        sum(x.late_fee_cents for x in side) for side in (c.closing_left, c.closing_right)
    )
    if before != now:
        yield state("season.late-fees", now_cents=now, before_cents=before)


def _find_first_week(c: Comparison) -> Iterator[Fact]:
    if c.weeks:
        yield state(
            "season.weeks",
            count=len(c.weeks),
            weeks=c.weeks_of_season,
            first=c.weeks[0].first_day,
        )


def _describe_sign(difference: float) -> Fact:
    return state("season.more") if difference > 0 else state("season.less")
