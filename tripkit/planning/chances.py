"""What one horse can do at one show, in whole numbers: classes, windows, days to come and go.

Everything a single outing forbids by itself (papers, heights, absences, closing dates, stabling,
fit-up) is settled here, and which classes sent or paid are lost to it; days are ordinals
(`date.toordinal`), money is cents, worth is in units of 1/`WORTH_SCALE`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from itertools import product
from math import ceil
from typing import TypeAlias

from tripkit.driving.shifts import Run, may_drive
from tripkit.driving.timetables import explain_no_leg
from tripkit.eligibility import classes, paperwork
from tripkit.yard.answers import BARRED, Bar
from tripkit.yard.circuit import DroppedEntry
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import state
from tripkit.yard.horses import Horse
from tripkit.yard.limits import Limits
from tripkit.yard.names import find_function
from tripkit.yard.people import Person
from tripkit.yard.places import HOME
from tripkit.yard.recovery import (
    count_arrival_days,
    count_needed_clear_days,
    count_rest_days,
    find_fit_day,
)
from tripkit.yard.rules import CLASHING
from tripkit.yard.shows import Show, ShowClass, Start, choose_starts, count_worth
from tripkit.yard.yard import Yard

WORTH_SCALE = 10_000
DAY_MINUTES = 24 * 60
# By when a horse is there for a class of that day whose time nobody knows; else an hour before.
MORNING_MINUTES = 10 * 60
HOUR_MINUTES = 60
# How much longer stables take horses where the rule is left out.
MARGIN_DAYS = 3
NO_DAYS = Bar("window", state("planning.no-days"))


@dataclass(frozen=True)
class Pace:
    """A speed that some vehicles share; None where nobody set one, see `Drive.compute_hours`.

    `drivers` aboard say how far a day goes.
    """

    speed_kmh: float | None
    drivers: int = 1


@dataclass(frozen=True)
class Ride:
    """One drive between two place keys at one pace: km, hours, calendar days.

    How long a horse rests after it is the horse's, see `Problem.count_rest`.
    """

    start: str
    end: str
    km: float
    hours: float
    days: int

    @property
    def nights(self) -> int:
        """Overnight stops on the way."""
        return max(0, self.days - 1)


@dataclass(frozen=True)
class Drive:
    """One possible leg of a fleet: from one place key to another, leaving on a day.

    It leaves not before the minute `earliest` of that day and is there by `latest` of the last,
    where the hours of its horses' classes ask for it. Without horses (`loaded`) its driver's hours
    alone count.
    """

    start: str
    end: str
    depart: int
    pace: Pace
    earliest: int = 0
    latest: int = DAY_MINUTES
    loaded: bool = True


DayPlan: TypeAlias = tuple[Drive, ...]
"""What a lorry drives before it waits again: one drive, or several one after the other."""


@dataclass(frozen=True, eq=False)
class Choice:
    """One class a horse could jump at a show, and the riders who could ride it there."""

    name: str
    day: int
    worth: int
    fee_cents: int
    riders: frozenset[str]
    bound: bool
    series: str
    points: Fraction


@dataclass(frozen=True)
class Window:
    """The days of the first and the last class of a possible outing."""

    first: int
    last: int


@dataclass(frozen=True, eq=False)
class Chance:
    """One horse at one show as far as it could go there: classes, windows, days to come and go.

    `arrivals` and `leaves` are days on the grounds that stabling and absences allow: before the
    first class and after the last. `mornings` are first class days on which
    it may come, each with the minute by which it is there; `evenings` are last class days on which
    it may leave, each with the minute from which.
    """

    horse: str
    show: str
    place_key: str
    choices: tuple[Choice, ...]
    windows: tuple[Window, ...]
    arrivals: tuple[int, ...]
    leaves: tuple[int, ...]
    stabling: tuple[int, int]
    stall_fee_cents: int
    late_fee_cents: int
    new: bool
    mornings: tuple[tuple[int, int], ...] = ()
    evenings: tuple[tuple[int, int], ...] = ()
    came: int | None = None

    @property
    def begun(self) -> bool:
        """Whether the horse is there, or on its way: it came, or comes, on the day `came`."""
        return self.came is not None

    @property
    def bound(self) -> tuple[Choice, ...]:
        """The classes that were sent or paid."""
        return tuple(choice for choice in self.choices if choice.bound)


@dataclass(frozen=True, eq=False)
class Fleet:
    """Vehicles that are alike for planning: places, rates, pace, absences, where they start from.

    `per_day_cents` is what one on hire costs each day away. `start` is the place key where they
    stand, `free_from` the first day on which they set out.
    """

    vehicles: tuple[str, ...]
    places: int
    cents_per_km: Fraction
    pace: Pace
    absences: tuple[tuple[int, int], ...]
    start: str = HOME
    free_from: int = 0
    per_day_cents: int = 0

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.vehicles)


def weigh_chance(
    yard: Yard,
    horse: Horse,
    show: Show,
    bound: tuple[ShowClass, ...],
    fleets: tuple[Fleet, ...],
    rides: Mapping[tuple[str, str, Pace], Ride],
    without: frozenset[str],
    *,
    free: bool = False,
) -> tuple[Chance | None, list[DroppedEntry], tuple[Bar, ...]]:
    """One horse at one show: its chance, the bound classes it loses, and why there is none.

    Where a horse is `free`, it may go for some of its bound classes, and for nothing else there.

    Rule `locked`.
    """
    lost: list[DroppedEntry] = []
    bars: dict[str, Bar] = {}
    choices: list[Choice] = []
    paces = tuple(dict.fromkeys(fleet.pace for fleet in fleets))
    key, barns = show.place_key, (HOME, *yard.base_at)
    there = [rides[b, key, p] for b in barns for p in paces if (b, key, p) in rides]
    back = [rides[key, b, p] for b in barns for p in paces if (key, b, p) in rides]
    no_road = not there or not back
    if no_road:
        bars["road"] = Bar("road", explain_no_leg(yard, HOME, show.place_key))
    if "locked" in without:
        bound = ()

    def lose(offered: ShowClass, bar: Bar) -> None:
        lost.append(drop_entry(yard, horse, show, offered, bar))

    for offered in sorted(show.classes, key=lambda c: (c.day, c.name)):
        held = offered in bound
        riders = find_riders(yard, horse, offered, without)
        bar = find_obstacle(yard, horse, show, offered, held, riders, without)
        if no_road:
            bar = bars["road"]
        if bar is not None:
            bars.setdefault(bar.rule, bar)
            if held:
                lose(offered, bar)
            continue
        choices.append(replace(make_choice(offered, horse, riders), bound=held))
    if not choices:
        return None, lost, tuple(bars.values()) or (Bar("", state("planning.no-class-fits")),)
    kept = [c for c in choices if c.bound]
    trip = _Trip(yard, horse, show, fleets, rides, without)
    for choice, bar in tuple(_drop_unkept(trip, kept)):
        lose(next(c for c in bound if c.name == choice.name), bar)
        choices.remove(choice)
    if not choices:
        return None, lost, (Bar(lost[-1].rule, lost[-1].why),)
    if free and bound:
        choices = [choice for choice in choices if choice.bound]
    chance, bar = _fit_days(yard, horse, show, choices, there, rides, without, free)
    return chance, lost, () if bar is None else (bar,)


def drop_entry(yard: Yard, horse: Horse, show: Show, offered: ShowClass, bar: Bar) -> DroppedEntry:
    """A class sent or paid that cannot be kept, and the money at risk."""
    cents = yard.count_lost_cents(horse.horse, offered)
    return DroppedEntry(horse.horse, show.show, offered.name, bar.why, cents, bar.rule)


def make_choice(offered: ShowClass, horse: Horse, riders: frozenset[str]) -> Choice:
    """A class as a horse could jump it; nobody has entered it."""
    return Choice(
        offered.name,
        offered.day.toordinal(),
        _scale_worth(offered, horse),
        offered.fee_cents,
        riders,
        False,
        offered.series,
        Fraction(offered.points),
    )


def explain_class(
    yard: Yard, horse: Horse, show: Show, offered: ShowClass, rider: str, without: frozenset[str]
) -> Bar | None:
    """The rule that keeps a horse that is there out of a class, and why; None where none does."""
    if (horse.horse, show.show, offered.name) in yard.scratched_entries:
        return Bar("locked", state("planning.scratched", name=offered.name))
    there = "window" in without or not yard.is_absent(rider, offered.day)
    riders = frozenset((rider,)) if there else frozenset[str]()
    bar = find_obstacle(yard, horse, show, offered, True, riders, without)
    if bar is not None or "eligible" in without:
        return bar
    for finding in classes.find_class_findings(yard, horse, show, offered, yard.riders.get(rider)):
        # Who came along rides, whoever the horse names since.
        if finding.answer == BARRED and finding.rule != "rider":
            return Bar("eligible", finding.reason, finding.rule)
    return None


@dataclass(frozen=True)
class _Trip:
    """One horse on its way to a show and home again, whatever else the season holds."""

    yard: Yard
    horse: Horse
    show: Show
    fleets: tuple[Fleet, ...]
    rides: Mapping[tuple[str, str, Pace], Ride]
    without: frozenset[str]

    def explain(self, first: int, last: int) -> Bar | None:
        """The rule and why the horse cannot be there for classes on these days; None if it can."""
        about = self.yard, self.horse, self.show
        come = self._list_days(self.show, first, last, coming=True)
        if not self._stands_there() and all(
            find_bar(*about, day, last, self.without) for day in come
        ):
            bar = find_bar(*about, first - 1, last, self.without)
            if bar or not self._stays_on(first, last, earlier=True):
                return bar or self._blame(first, last, coming=True)
        if self._list_days(self.show, first, last, coming=False):
            return None
        if self._stays_on(first, last, earlier=False):
            return None
        return self._blame(first, last, coming=False)

    def _stands_there(self) -> bool:
        """Whether the horse is at the place today and may stay on."""
        stand = self.yard.begun.stand_of.get(self.horse.horse)
        return stand is not None and self.yard.place_key_of(stand.stop) == self.show.place_key

    def _blame(self, first: int, last: int, *, coming: bool) -> Bar:
        if not self._list_days(self.show, first, last, coming=coming, absent=False):
            return NO_DAYS
        horse = self.horse.horse
        if coming:
            return Bar("window", state("planning.no-lorry-to-bring", horse=horse))
        return Bar("window", state("planning.no-lorry-to-fetch", horse=horse))

    def _list_days(
        self, show: Show, first: int, last: int, *, coming: bool, absent: bool = True
    ) -> list[int]:
        """The days on which some lorry can bring the horse from home or a base, or fetch it.

        A base of the town needs none. Without `absent` no lorry is ever absent.
        """
        yard, without, limits = self.yard, self.without, self.horse.limits
        away = list_away(yard, self.horse, without)
        low, high = find_stabling(yard, show, without)
        begin = find_first_leg_day(yard)
        end = yard.road_days.last.toordinal()
        found: set[int] = set()
        nights = (first - 1, last - 1) if coming else (last, last)
        if has_boxes(yard, show.place_key, *nights):
            found.add(first if coming else last)
        for fleet, barn in product(self.fleets, (HOME, *yard.base_at)):
            way = (barn, show.place_key) if coming else (show.place_key, barn)
            ride = self.rides.get((*way, fleet.pace))
            if ride is None:
                continue
            shut = fleet.absences if absent and "window" not in without else ()
            latest = first - count_days_before(limits, ride, without)
            days = [*range(low, latest + 1)] if coming else [*range(last + 1, high + 1)]
            edge = first if coming else last
            offered = [c for c in show.classes if c.day.toordinal() == edge]
            same_day = may_come_on_the_day if coming else may_leave_on_the_day
            about = yard, self.horse, offered, ride, fleet.pace, without
            if low <= edge <= high and same_day(*about):
                days.append(edge)
            for day in days:
                depart = day - ride.days + 1 if coming else day
                arrive = depart + ride.days - 1
                gone = (depart, last) if coming else (first, arrive)
                night = depart - 1 if coming else arrive
                if barn != HOME and not has_boxes(yard, barn, night, night):
                    continue
                if begin <= depart and arrive <= end and is_clear(away, *gone):
                    found.update({day} if is_clear(shut, depart, arrive) else ())
        return sorted(found)

    def _stays_on(self, first: int, last: int, *, earlier: bool) -> bool:
        """Whether the horse could have stayed on from an earlier show there, or for a later."""
        limits = self.horse.limits
        gap = count_needed_clear_days(limits, 0, 0)
        if limits.shows_in_a_row > 1 or "recovery" in self.without:
            gap = 0
        for other in self.yard.shows:
            if other.place_key != self.show.place_key or other.show == self.show.show:
                continue
            for offered in other.classes:
                day = offered.day.toordinal()
                if (first - day if earlier else day - last) <= gap or not self._may_jump(
                    other, offered
                ):
                    continue
                span = (day, last) if earlier else (first, day)
                if self._list_days(other, *span, coming=earlier):
                    return True
        return False

    def _may_jump(self, show: Show, offered: ShowClass) -> bool:
        held = (self.horse.horse, show.show, offered.name) in self.yard.bound_entries
        riders = find_riders(self.yard, self.horse, offered, self.without)
        about = self.yard, self.horse, show, offered
        return find_obstacle(*about, held, riders, self.without) is None


def _drop_unkept(trip: _Trip, kept: list[Choice]) -> Iterator[tuple[Choice, Bar]]:
    """Classes sent or paid that a horse cannot jump at one show: those that lose least money go.

    First those that it cannot be there for at all: they take no start from another. Of the rest
    those stay, within days on which it can be there, that save the most money, then are worth most.
    """
    for choice in tuple(kept):
        bar = trip.explain(choice.day, choice.day)
        if bar is not None:
            kept.remove(choice)
            yield choice, bar
    choice_of = {choice.name: choice for choice in kept}
    starts = [
        Start(trip.horse, c, trip.horse.rider) for c in trip.show.classes if c.name in choice_of
    ]

    def weigh(start: Start) -> tuple[int, int]:
        cents = trip.yard.count_lost_cents(trip.horse.horse, start.offered)
        return cents, choice_of[start.offered.name].worth

    def clash(start: Start, beside: Sequence[Start]) -> Bar | None:
        return find_clash(trip.yard, start, beside, trip.without)

    def add_up(taken: Sequence[Start]) -> list[int]:
        return [sum(weights) for weights in zip(*map(weigh, taken), strict=True)]

    starts.sort(key=lambda start: (*(-w for w in weigh(start)), start.offered.day))
    days = sorted({choice.day for choice in kept})
    chosen: list[Start] = []
    for first, last in sorted(product(days, days), key=lambda span: span[0] - span[1]):
        within = [s for s in starts if first <= choice_of[s.offered.name].day <= last]
        taken = choose_starts(within, clash, weigh)
        if add_up(taken) > add_up(chosen) and trip.explain(first, last) is None:
            chosen = taken
    there = [choice_of[start.offered.name].day for start in chosen]
    for start in starts:
        choice = choice_of[start.offered.name]
        if start not in chosen:
            span = min(choice.day, *there), max(choice.day, *there)
            bar = trip.explain(*span) or clash(start, chosen)
            yield choice, bar or NO_DAYS


def find_clash(
    yard: Yard, start: Start, beside: Sequence[Start], without: frozenset[str]
) -> Bar | None:
    """The rule that keeps a start from standing beside others of the outing, and why."""
    for rule in CLASHING:
        if rule.id not in without:
            why = find_function("planning", rule.clash_planned_by)(yard, start, beside)
            if why is not None:
                return Bar(rule.id, why)
    return None


def find_obstacle(
    yard: Yard,
    horse: Horse,
    show: Show,
    offered: ShowClass,
    held: bool,
    riders: frozenset[str],
    without: frozenset[str],
) -> Bar | None:
    """The rule that keeps a horse out of one class, and why; None where none does.

    Rules `closed`, `cleared` and `fit`.
    """
    entry_day = show.last_entry_day
    if "window" not in without and offered.day not in yard.season:
        return Bar("window", state("planning.outside-season", day=offered.day))
    if "window" not in without and yard.is_absent(horse.horse, offered.day):
        return Bar("window", state("planning.away", who=(horse.horse,), day=offered.day))
    if "cleared" not in without and not classes.is_cleared(yard, horse, offered.day):
        return Bar("cleared", state("planning.not-cleared"))
    if not riders:
        return _explain_misfit(yard, horse, show, offered)
    if held:
        return None
    fit_day = find_fit_day(horse.in_work_from, horse.limits)
    if "fit" not in without and fit_day is not None and offered.day < fit_day:
        return Bar("fit", state("planning.fit", since=horse.in_work_from, fit_day=fit_day))
    if (horse.horse, show.show, offered.name) in yard.scratched_entries:
        return Bar("locked", state("planning.scratched", name=offered.name))
    if "closed" not in without and entry_day is not None and entry_day < yard.day_of_planning:
        return Bar("closed", state("planning.closed", until=entry_day))
    if "closed" not in without and offered.day <= yard.day_of_planning:
        return Bar("closed", state("planning.not-ahead", day=offered.day))
    return None


def _scale_worth(offered: ShowClass, horse: Horse) -> int:
    return int(Fraction(count_worth(horse, offered)) * Fraction(horse.weight) * WORTH_SCALE)


def find_riders(
    yard: Yard, horse: Horse, offered: ShowClass, without: frozenset[str]
) -> frozenset[str]:
    """Who may ride a class: fits it, and is not absent that day.

    Rules `window` and `eligible`.
    """
    show = yard.show_by_name[offered.show]
    return frozenset(
        rider.person
        for rider in classes.list_riders(yard, horse, show)
        if ("eligible" in without or _may_ride(yard, horse, offered, rider))
        and ("window" in without or not yard.is_absent(rider.person, offered.day))
    )


def _may_ride(yard: Yard, horse: Horse, offered: ShowClass, rider: Person) -> bool:
    if not classes.fits_class(yard, horse, offered, rider):
        return False
    show = yard.show_by_name[offered.show]
    found = paperwork.find_rider_findings(yard, rider, show, DaySpan(offered.day, offered.day))
    return all(finding.answer != BARRED for finding in found)


def _explain_misfit(yard: Yard, horse: Horse, show: Show, offered: ShowClass) -> Bar:
    people = classes.list_riders(yard, horse, show)
    fitting = [p for p in people if classes.fits_class(yard, horse, offered, p)]
    if fitting:
        names = tuple(p.person for p in fitting)
        return Bar("window", state("planning.away", who=names, day=offered.day))
    for person in people:
        for finding in classes.find_class_findings(yard, horse, show, offered, person):
            if finding.answer == BARRED:
                return Bar("eligible", finding.reason, finding.rule)
    return Bar("eligible", state("planning.nobody-fits"))


def _fit_days(
    yard: Yard,
    horse: Horse,
    show: Show,
    choices: list[Choice],
    there: list[Ride],
    rides: Mapping[tuple[str, str, Pace], Ride],
    without: frozenset[str],
    free: bool,
) -> tuple[Chance | None, Bar | None]:
    """The windows, arrivals and leaves that stabling, absences and papers leave, or why none."""
    days = sorted({choice.day for choice in choices})
    away = list_away(yard, horse, without)
    held = [c.day for c in choices if c.bound]
    low, high = find_stabling(yard, show, without)
    classes = {
        name: found for name in (c.name for c in choices) if (found := show.find_class(name))
    }
    by_day: dict[int, list[ShowClass]] = defaultdict(list)
    for choice in choices:
        by_day[choice.day].append(classes[choice.name])

    def has_way(day: int, *, coming: bool) -> bool:
        """Whether some drive brings it on the day itself, or takes it on."""
        may = may_come_on_the_day if coming else may_leave_on_the_day
        return low <= day <= high and any(
            may(yard, horse, by_day[day], ride, pace, without)
            for (start, end, pace), ride in rides.items()
            if (end if coming else start) == show.place_key
        )

    comes_on = {day: find_morning(by_day[day]) for day in days if has_way(day, coming=True)}
    goes_on = {
        day: find_evening(yard, horse, by_day[day]) for day in days if has_way(day, coming=False)
    }
    before = min(count_days_before(horse.limits, ride, without) for ride in there)
    today = yard.day_of_planning.toordinal()
    if yard.begun.legs:
        low = max(low, today + 1)
    windows: list[Window] = []
    arrivals: set[int] = set()
    leaves: set[int] = set()
    mornings: set[tuple[int, int]] = set()
    evenings: set[tuple[int, int]] = set()
    bar = NO_DAYS
    for first in days:
        for last in days:
            window = Window(first, last)
            bound = held and not free
            if last < first or (bound and not (first <= min(held) and max(held) <= last)):
                continue
            earliest = low if held else max(low, today)
            come = [day for day in range(earliest, first - before + 1) if is_clear(away, day, last)]
            go = [day for day in range(last + 1, high + 1) if is_clear(away, first, day)]
            lives = has_boxes(yard, show.place_key, first - 1, last - 1)
            if lives or (first in comes_on and earliest <= first):
                come.append(first)
            comes = bool(come) or _stays_on(yard, show, away, window, earlier=True)
            goes = bool(go) or last in goes_on or has_boxes(yard, show.place_key, last, last)
            goes = goes or _stays_on(yard, show, away, window, earlier=False)
            if not (comes and goes and is_clear(away, first, last)):
                continue
            bars = {day: find_bar(yard, horse, show, day, last, without) for day in come}
            admitted = [day for day in come if not bars[day]]
            barred = None if admitted else find_bar(yard, horse, show, first - 1, last, without)
            if barred is not None:
                bar = barred
                continue
            windows.append(window)
            arrivals.update(day for day in admitted if day < first)
            on_the_day = first in admitted and first in comes_on
            mornings.update([(first, comes_on[first])] if on_the_day else ())
            leaves.update(go)
            evenings.update([(last, goes_on[last])] if last in goes_on else ())
    if not windows:
        return None, bar
    new = not held
    late = show.is_late(yard.day_of_planning)
    chance = Chance(
        horse.horse,
        show.show,
        show.place_key,
        tuple(choices),
        tuple(windows),
        tuple(sorted(arrivals)),
        tuple(sorted(leaves)),
        (low, high),
        show.stall_fee_cents,
        show.late_fee_cents if late else 0,
        new,
        tuple(sorted(mornings)),
        tuple(sorted(evenings)),
    )
    return chance, None


def _stays_on(
    yard: Yard, show: Show, away: list[tuple[int, int]], window: Window, *, earlier: bool
) -> bool:
    """Whether a horse may have stayed on from an earlier class at the place, or for a later."""
    days = {
        offered.day.toordinal()
        for other in yard.shows
        if other.place_key == show.place_key and other.show != show.show
        for offered in other.classes
    }
    if earlier:
        return any(day < window.first and is_clear(away, day, window.last) for day in days)
    return any(day > window.last and is_clear(away, window.first, day) for day in days)


def has_boxes(yard: Yard, place_key: str, first: int, last: int) -> bool:
    """Whether there is a base at a place, open on all nights from one to another."""
    base = yard.base_at.get(place_key)
    nights = range(first, last + 1)
    return base is not None and all(base.has_night(date.fromordinal(night)) for night in nights)


def list_away(yard: Yard, horse: Horse, without: frozenset[str]) -> list[tuple[int, int]]:
    """The spans of days on which a horse is absent and can be neither away nor on the road.

    Rule `window`.
    """
    if "window" in without:
        return []
    return [(d.first.toordinal(), d.last.toordinal()) for d in yard.absences_of(horse.horse)]


def find_stabling(yard: Yard, show: Show, without: frozenset[str]) -> tuple[int, int]:
    """The first day on which a horse may come to a show and the last on which it may leave.

    Rule `stabling`.
    """
    low, high = show.stabling.first.toordinal(), show.stabling.last.toordinal()
    if "stabling" in without:
        low, high = low - MARGIN_DAYS, high + MARGIN_DAYS
    return (
        max(low, yard.road_days.first.toordinal()),
        min(high, yard.road_days.last.toordinal()),
    )


def find_first_leg_day(yard: Yard) -> int:
    """The first day on which a drive may be planned: once drives have begun, tomorrow."""
    if yard.begun.legs:
        return yard.day_of_planning.toordinal() + 1
    return yard.road_days.first.toordinal()


def count_days_before(limits: Limits, ride: Ride, without: frozenset[str]) -> int:
    """How many days before its first class a horse arrives by a ride, less the rules left out.

    Rules `stabling` and `travel-rest`.
    """
    return count_arrival_days(
        limits,
        ride.hours,
        by_lead="stabling" not in without,
        by_rest="travel-rest" not in without,
    )


def may_come_on_the_day(
    yard: Yard,
    horse: Horse,
    offered: Iterable[ShowClass],
    ride: Ride,
    pace: Pace,
    without: frozenset[str],
) -> bool:
    """Whether a horse may be driven to a show on the morning of its first classes there.

    Rules `stabling` and `travel-rest`.
    """
    if "stabling" not in without and horse.limits.arrive_days_before > 0:
        return False
    rest = 0 if "travel-rest" in without else count_rest_days(ride.hours, horse.limits)
    drive = Drive(ride.start, ride.end, 0, pace, latest=find_morning(offered))
    return ride.days == 1 and rest == 0 and may_drive(yard, (run_of(drive, ride),), pace.drivers)


def may_leave_on_the_day(
    yard: Yard,
    horse: Horse,
    offered: Iterable[ShowClass],
    ride: Ride,
    pace: Pace,
    without: frozenset[str],
) -> bool:
    """Whether a horse may leave on the evening of its last classes.

    Rule `stabling`.
    """
    drive = Drive(ride.start, ride.end, 0, pace, earliest=find_evening(yard, horse, offered))
    return ride.days == 1 and may_drive(yard, (run_of(drive, ride),), pace.drivers)


def find_morning(offered: Iterable[ShowClass]) -> int:
    """By which minute of the day a horse is there that comes on the day of these classes."""
    starts = [c.starts_minutes for c in offered if c.starts_minutes is not None]
    return min(starts) - HOUR_MINUTES if starts else MORNING_MINUTES


def find_evening(yard: Yard, horse: Horse, offered: Iterable[ShowClass]) -> int:
    """From which minute of the day a horse may leave after these classes: they are over, it is in.

    Rule `stabling`.
    """
    ends = [c.ends_minutes for c in offered if c.ends_minutes is not None]
    from_minute = max(horse.limits.leave_from_hour * HOUR_MINUTES, *ends, 0)
    return ceil(from_minute) + yard.driving.loading_minutes


def run_of(drive: Drive, ride: Ride) -> Run:
    """A drive as the clock sees it."""
    return Run(
        ride.start, ride.end, ride.hours, ride.days, drive.loaded, drive.earliest, drive.latest
    )


def is_clear(away: Sequence[tuple[int, int]], first: int, last: int) -> bool:
    """Whether none of some absences overlaps the days from first to last."""
    return not any(first <= end and start <= last for start, end in away)


def find_bar(
    yard: Yard, horse: Horse, show: Show, arrive: int, last: int, without: frozenset[str]
) -> Bar | None:
    """Why the horse's papers keep it out of a show if it arrives on a day; None if they do not.

    Rule `eligible`.
    """
    if "eligible" in without:
        return None
    found = paperwork.find_paper_findings(
        yard, horse, show, date.fromordinal(arrive), date.fromordinal(last)
    )
    return next((Bar("eligible", f.reason, f.rule) for f in found if f.answer == BARRED), None)
