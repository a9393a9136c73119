"""Two circuits side by side: what each has that the other has not, and what the choice costs.

Every difference is right less left: what you get, and what you pay, by choosing the right one
instead of the left.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from tripkit.eligibility.qualifying import assess_aim
from tripkit.season.costs import (
    add_up_owners,
    find_rider_dates,
    needs_late_fee,
    split_among_owners,
    write_distance,
)
from tripkit.season.scorecard import find_spare_days_by_horse
from tripkit.yard.circuit import Circuit, Outing, Totals
from tripkit.yard.days import add_days
from tripkit.yard.facts import draw
from tripkit.yard.money import write_money
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
    aims_missed: Mapping[str, str]
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
        late = show.entries_close is not None and yard.day_of_planning > show.entries_close
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


def _find_missed_aims(yard: Yard, left: Circuit, right: Circuit) -> dict[str, str]:
    """Of aims met on the left alone whose show the right goes to: what they lack there."""
    found = {}
    lost = set(left.totals.aims_met) - set(right.totals.aims_met)
    for aim in yard.aims:
        there = [o for o in right.outings if (o.horse, o.show) == (aim.horse, aim.show)]
        if aim.title not in lost or not there:
            continue
        standing = assess_aim(yard, aim, right.outings)
        lacks = [] if standing.prepared_by else ["unprepared"]
        if standing.points_missing or standing.starts_missing:
            lacks.append("not qualified")
        if aim.class_name and aim.class_name not in there[0].classes:
            lacks.append("not in that class")
        found[aim.title] = _list(lacks)
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
                nights_away=Figure(_sum_nights(left, name), _sum_nights(right, name)),
                spare_days=Figure(spare_left.get(name), spare_right.get(name)),
                cost=Amount(
                    sum(o.cost_cents for o in a.values()), sum(o.cost_cents for o in b.values())
                ),
            )
        )
    return tuple(found)


def _sum_hours(circuit: Circuit, horse: str) -> float:
    return round(sum(leg.hours for leg in circuit.legs if horse in leg.horses), 2)


def _sum_nights(circuit: Circuit, horse: str) -> int:
    nights = sum((o.leave - o.arrive).days for o in circuit.outings_by_horse.get(horse, ()))
    own = (leg for leg in circuit.legs if horse in leg.horses)
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


# The verdict in words.


def write_verdict(comparison: Comparison) -> tuple[str, ...]:
    """What you gain and what you pay by choosing the right circuit instead of the left.

    One sentence a point, gains and prices in the yard's units, money to the cent; points on
    which the circuits agree are left out.
    """
    c = comparison
    if not c.right_exists:
        rest = f"so {c.left_name} stays" if c.left_exists else f"and {c.left_name} has none either"
        return (f"{c.right_name} has no plan, {rest}.",)
    start = [] if c.left_exists else [f"{c.left_name} has no plan: it counts as staying at home."]
    sentences = [
        *start,
        *_say_worth_and_cost(c),
        *_say_aims(c),
        *_say_roads(c),
        *_say_rest(c),
        *(sentence for horse in c.horses for sentence in _say_horse(horse, c.currency)),
        *_say_owners(c),
        *_say_riders(c),
        *_say_closings(c),
        *_say_weeks(c),
    ]
    if not sentences:
        if not c.outings.left and not c.outings.right:
            return (f"No horse goes anywhere in {c.right_name} or in {c.left_name}.",)
        return (
            f"{c.right_name} and {c.left_name} send the same horses to the same classes at the "
            f"same cost: nothing is gained or paid.",
        )
    return tuple(sentences)


def _say_worth_and_cost(c: Comparison) -> list[str]:
    found = []
    instead = f"{c.right_name} instead of {c.left_name}"
    worth, cents = c.worth.difference or 0.0, c.cost.difference
    if worth:
        found.append(
            f"{instead} {'gains' if worth > 0 else 'gives up'} {_number(abs(worth))} of worth "
            f"({_number(c.worth.right)} instead of {_number(c.worth.left)})."
        )
    if cents:
        found.append(
            f"{instead} {'costs' if cents > 0 else 'saves'} "
            f"{write_money(abs(cents), c.currency)}{' more' if cents > 0 else ''} "
            f"({write_money(c.cost.right, c.currency)} instead of "
            f"{write_money(c.cost.left, c.currency)})."
        )
    if worth and cents and (worth > 0) == (cents > 0):
        each = write_money(round(cents / worth), c.currency)
        verb = "costs" if cents > 0 else "given up saves"
        found.append(f"Each point of worth {verb} {each}.")
    return found


def _say_aims(c: Comparison) -> list[str]:
    found = []
    if c.aims_only_right:
        found.append(f"It also meets {_list(c.aims_only_right)}.")
    if c.aims_only_left:
        lost = [_say_lost_aim(aim, c.aims_missed.get(aim, "")) for aim in c.aims_only_left]
        found.append(f"It no longer meets {_list(lost)}.")
    return found


def _say_lost_aim(aim: str, lacks: str) -> str:
    return f"{aim} (still goes, but {lacks})" if lacks else aim


def _say_roads(c: Comparison) -> list[str]:
    """What is told as the difference is that of the numbers told beside it."""
    found = []
    unit_km = KM_PER_MILE if c.units == "miles" else 1.0
    here, there = (round((km or 0.0) / unit_km, 1) for km in (c.road_km.left, c.road_km.right))
    apart = round(there - here, 1)
    if apart:
        found.append(
            f"The lorries drive {write_distance(abs(apart) * unit_km, c.units)} {_more(apart)} "
            f"({write_distance(c.road_km.right or 0.0, c.units)} instead of "
            f"{write_distance(c.road_km.left or 0.0, c.units)})."
        )
    left, right = (
        round(hours or 0.0, 1) for hours in (c.horse_road_hours.left, c.horse_road_hours.right)
    )
    hours = round(right - left, 1)
    if hours:
        found.append(
            f"The horses spend {_count(abs(hours), 'hour')} {_more(hours)} on the road "
            f"({_number(right)} instead of {_number(left)})."
        )
    return found


def _say_rest(c: Comparison) -> list[str]:
    found = []
    nights = c.nights_away.difference or 0.0
    if nights:
        found.append(
            f"The horses spend {_count(abs(nights), 'night')} {_more(nights)} away "
            f"({_number(c.nights_away.right)} instead of {_number(c.nights_away.left)})."
        )
    left, right = c.spare_days.left, c.spare_days.right
    gap = "The tightest gap between two outings has"
    if left is None and right is not None:
        no_gap = f"in {c.left_name} no horse has two outings"
        found.append(f"{gap} {_count(right, 'spare day')}; {no_gap}.")
    elif right is None and left is not None:
        found.append(f"In {c.right_name} no horse has two outings, so there is no gap to count.")
    elif left is not None and right is not None and left != right:
        found.append(f"{gap} {_count(right, 'spare day')} instead of {_number(left)}.")
    return found


def _say_horse(horse: HorseComparison, currency: str) -> list[str]:
    found = []
    gone = [o.show for o in horse.only_left]
    new = [o.show for o in horse.only_right]
    cents = horse.cost.difference
    money = f", for {write_money(abs(cents), currency)} {_more(cents)}" if cents else ""
    if new and gone:
        found.append(f"{horse.horse} goes to {_list(new)} instead of {_list(gone)}{money}.")
    elif new:
        found.append(f"{horse.horse} also goes to {_list(new)}{money}.")
    elif gone:
        found.append(f"{horse.horse} no longer goes to {_list(gone)}{money}.")
    if found:
        money = ""
    for pair in horse.both:
        if pair.differs:
            found.append(f"{horse.horse} at {pair.right.show}: {_describe_change(pair)}{money}.")
            money = ""
    return found


def _describe_change(pair: SharedOuting) -> str:
    a, b = pair.left, pair.right
    parts = []
    if pair.classes_only_right and pair.classes_only_left:
        parts.append(f"{_list(pair.classes_only_right)} instead of {_list(pair.classes_only_left)}")
    elif pair.classes_only_right:
        parts.append(f"also {_list(pair.classes_only_right)}")
    elif pair.classes_only_left:
        parts.append(f"without {_list(pair.classes_only_left)}")
    if a.rider != b.rider:
        parts.append(f"ridden by {b.rider or 'nobody'} instead of {a.rider or 'nobody'}")
    if a.arrive != b.arrive:
        parts.append(f"there from {b.arrive} instead of {a.arrive}")
    if a.leave != b.leave:
        parts.append(f"leaves on {b.leave} instead of {a.leave}")
    if not parts:
        parts.append(f"jumps from {b.first_day} to {b.last_day}")
    return ", ".join(parts)


def _say_owners(c: Comparison) -> list[str]:
    return [
        f"{owner.owner or 'The yard'} pays {write_money(abs(owner.cost.difference), c.currency)} "
        f"{_more(owner.cost.difference)} ({write_money(owner.cost.right, c.currency)} instead of "
        f"{write_money(owner.cost.left, c.currency)})."
        for owner in c.owners
        if owner.cost.difference
    ]


def _say_riders(c: Comparison) -> list[str]:
    return [
        f"{rider.rider} is away {_count(abs(days), 'day')} {_more(days)} "
        f"({_number(rider.days_away.right)} instead of {_number(rider.days_away.left)})."
        for rider in c.riders
        if (days := rider.days_away.difference)
    ]


def _say_closings(c: Comparison) -> list[str]:
    found = []
    left, right = (
        next((closing for closing in side if closing.closes is not None), None)
        for side in (c.closing_left, c.closing_right)
    )
    if right is not None and (
        left is None or (left.closes, left.show) != (right.closes, right.show)
    ):
        instead = "" if left is None else f" instead of {left.closes} for {left.show}"
        found.append(
            f"The first entries to send close on {right.closes} for {right.show}{instead}."
        )
    elif right is None and left is not None:
        found.append(f"No entries are left to send; {left.show} would close on {left.closes}.")
    fees = [sum(x.late_fee_cents for x in side) for side in (c.closing_left, c.closing_right)]
    if fees[0] != fees[1]:
        found.append(
            f"Late fees come to {write_money(fees[1], c.currency)} instead of "
            f"{write_money(fees[0], c.currency)}."
        )
    return found


def _say_weeks(c: Comparison) -> list[str]:
    if not c.weeks:
        return []
    return [
        f"Horses show elsewhere in {len(c.weeks)} of {_count(c.weeks_of_season, 'week')}, first in "
        f"the week of {c.weeks[0].first_day}."
    ]


def _more(difference: float) -> str:
    return "more" if difference > 0 else "less"


def _count(number: float, noun: str) -> str:
    return f"{_number(number)} {noun}" + ("" if number == 1 else "s")


def _number(value: float | None) -> str:
    if value is None:
        return "none"
    return f"{value:,.2f}".rstrip("0").rstrip(".")


def _list(names: Sequence[str]) -> str:
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
