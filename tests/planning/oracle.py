"""A second planner, by brute force, from the rules in words alone, for yards of a few outings.

It shares nothing with the planner but the values of a `Yard`: every class set of every outing,
every way to string a horse's outings together, best sum first, and for each a search day by day
for lorries that carry it. Yards here have one speed, no driving rules, default hours of a day,
no papers, and classes told apart by height and horse age only.

The search holds to one of two sets of habits:

* ``strict``: what the planner says of itself. One leg a vehicle and day; horses come on a day
  that is the latest for some window at the place and leave the day after one ends, or, where a
  lorry is absent then, on the nearest day before or after on which it drives; a lorry goes empty
  only between home and a place that has more than one show or is at most 2 h away, the day
  before it loads there or the day after it unloaded.
* ``free``: what the judge lets pass. Any day that stabling allows, any empty run.

What the planner finds lies between the two; where they agree, it is that.

A horse's day of driving by default: 10 h from loading to unloading, a halt of half an hour after
every 4 h: 4 + 0.5 + 4 + 0.5 + 1, so 9 h of driving. Common practice, no source.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations, pairwise, product
from math import ceil

from tests.planning.lorries import HOME, Move, Prices, Road, Way
from tripkit.yard.horses import Aim, Horse
from tripkit.yard.shows import Show, ShowClass
from tripkit.yard.yard import Yard

DAY_HOURS = 9.0
EVENING_HOURS = 4.0
OUTSIDE = 7


@dataclass(frozen=True)
class Option:
    """One horse at one show with a set of classes."""

    horse: str
    show: str
    place: str
    classes: tuple[ShowClass, ...]
    riders: tuple[str, ...]
    new: bool

    @property
    def first(self) -> int:
        """The day of the first class."""
        return min(c.day for c in self.classes).toordinal()

    @property
    def last(self) -> int:
        """The day of the last class."""
        return max(c.day for c in self.classes).toordinal()


@dataclass(frozen=True)
class Itinerary:
    """One horse's whole season: outings, how it goes on from each, worth, money beside the road."""

    horse: str
    outings: tuple[Option, ...]
    links: tuple[str, ...]
    moves: tuple[Move, ...]
    worth: Decimal
    cents: int


class Oracle:
    """Everything a yard allows, found by trying it."""

    def __init__(self, yard: Yard, *, strict: bool) -> None:
        self.yard, self.strict = yard, strict
        self.first = yard.season.first.toordinal() - OUTSIDE
        self.last = yard.season.last.toordinal() + OUTSIDE
        self.today = yard.day_of_planning.toordinal()
        # Entries that a rule for one outing forbids are dropped, so they bind nobody.
        self.bound: set[tuple[str, str, str]] = set()
        self.bound = {
            (e.horse, e.show, e.class_name)
            for e in yard.entries
            if e.binds and self.may_go(e.horse, e.show, e.class_name)
        }
        self.options = [
            option
            for horse in yard.horses
            for show in yard.shows
            for option in self.list_sets(horse, show)
        ]
        self.come: dict[str, set[int]] = {}
        self.go: dict[str, set[int]] = {}
        for option in self.options:
            stabling = yard.show_by_name[option.show].stabling
            opens, closes = stabling.first.toordinal(), stabling.last.toordinal()
            come, go = (days.setdefault(option.place, set()) for days in (self.come, self.go))
            for end in (HOME, *(other.place_key for other in yard.shows)):
                if way := self.find_way(end, option.place):
                    days = range(self.latest(option, end), opens - 1, -1)
                    come |= self.find_nearest(days, 1 - way.days, 0)
                if way := self.find_way(option.place, end):
                    go |= self.find_nearest(range(option.last + 1, closes + 1), 0, way.days - 1)
        self.carried: dict[object, int | None] = {}

    # Roads.

    def find_way(self, start: str, end: str) -> Way | None:
        """The drive between two places at the yard's speed."""
        drive = self.yard.roads.find_drive(start, end)
        if drive is None or start == end:
            return None
        hours = round(drive.km / (self.yard.driving.speed_kmh or 70), 2)
        rest = sum(hours >= edge for edge in (8, 12, 24))
        days = max(1, ceil(hours / DAY_HOURS - 1e-9))
        return Way(round(drive.km * 10), hours, days, rest)

    def find_nearest(self, days: range, before: int, after: int) -> set[int]:
        """The first of some days, and for each lorry the first on which it may drive."""
        found = {
            next((d for d in days if self.is_free(v.vehicle, d + before, d + after)), 0)
            for v in self.yard.vehicles
        }
        return {*days[:1], *found}

    # One outing.

    def list_sets(self, horse: Horse, show: Show) -> Iterator[Option]:
        """The sets of classes that a horse may jump at a show, each by itself."""
        if not self.find_way(HOME, show.place_key):
            return
        held = {c.name for c in show.classes if (horse.horse, show.show, c.name) in self.bound}
        open_until = show.late_entries_until or show.entries_close
        closed = open_until is not None and open_until.toordinal() < self.today
        fit = 0
        if horse.in_work_from is not None:
            fit = horse.in_work_from.toordinal() + horse.limits.fit_up_days
        single = [
            c
            for c in show.classes
            if self.may_jump(horse, c)
            and (c.name in held or (not closed and c.day.toordinal() > self.today))
        ]
        for size in range(1, horse.starts_per_show + 1):
            for classes in combinations(single, size):
                days = [c.day for c in classes]
                if max(days.count(d) for d in days) > horse.starts_per_day:
                    continue
                if not held <= {c.name for c in classes} or min(days).toordinal() < fit:
                    continue
                riders = tuple(r for r in self.list_riders(horse) if self.is_there(r, classes))
                option = Option(horse.horse, show.show, show.place_key, classes, riders, not held)
                if riders and self.arrivals(option, option, HOME) and self.leaves(option, option):
                    yield option

    def may_go(self, name: str, show_name: str, class_name: str) -> bool:
        """Whether a horse could jump one class that was entered, and nothing else."""
        horse, show = self.yard.horse_by_name[name], self.yard.show_by_name[show_name]
        classes = tuple(c for c in show.classes if c.name == class_name)
        riders = tuple(r for r in self.list_riders(horse) if self.is_there(r, classes))
        option = Option(name, show_name, show.place_key, classes, riders, False)
        return bool(
            all(self.may_jump(horse, c) for c in classes)
            and riders
            and self.arrivals(option, option, HOME)
            and self.leaves(option, option)
        )

    def may_jump(self, horse: Horse, offered: ShowClass) -> bool:
        """Height, age, season, scratching, and the vet."""
        if not horse.from_height_cm <= offered.height_cm <= horse.to_height_cm:
            return False
        age = offered.day.year - horse.born.year
        if not (offered.youngest_horse or 0) <= age <= (offered.oldest_horse or 99):
            return False
        if not self.yard.season.first <= offered.day <= self.yard.season.last:
            return False
        key = (horse.horse, offered.show, offered.name)
        if any(
            (e.horse, e.show, e.class_name) == key and e.status == "scratched"
            for e in self.yard.entries
        ):
            return False
        seen = sorted(
            (c.date, c.cleared)
            for c in self.yard.vet_checks
            if c.horse == horse.horse and c.date <= offered.day
        )
        return not seen or seen[-1][1]

    def list_riders(self, horse: Horse) -> list[str]:
        """The riders a horse may have."""
        return [horse.rider] if horse.rider else list(self.yard.riders)

    def is_there(self, who: str, classes: Sequence[ShowClass]) -> bool:
        """Whether somebody is not absent on any of the class days."""
        return not any(
            a.days.first <= c.day <= a.days.last
            for a in self.yard.absences
            if a.who == who
            for c in classes
        )

    def is_free(self, who: str, first: int, last: int) -> bool:
        """Whether no absence of somebody overlaps these days."""
        return not any(
            a.days.first.toordinal() <= last and first <= a.days.last.toordinal()
            for a in self.yard.absences
            if a.who == who
        )

    def latest(self, option: Option, start: str) -> int:
        """The last day to arrive from a place: in time, and rested."""
        way = self.find_way(start, option.place)
        lead = self.yard.horse_by_name[option.horse].limits.arrive_days_before
        return option.first - max(lead, 1 + (way.rest if way else 0))

    def arrivals(self, option: Option, until: Option, start: str) -> list[int]:
        """The days on which a horse may come for an outing and stay to the end of another."""
        way = self.find_way(start, option.place)
        if way is None:
            return []
        opens = self.yard.show_by_name[option.show].stabling.first.toordinal()
        if self.strict and option.new:
            opens = max(opens, self.today)
        return [
            day
            for day in range(max(opens, self.first), self.latest(option, start) + 1)
            if day - way.days + 1 >= self.first
            and self.is_free(option.horse, day - way.days + 1, until.last)
        ]

    def leaves(self, option: Option, since: Option) -> list[int]:
        """The days on which a horse may go after an outing, having stayed since another."""
        ends = self.yard.show_by_name[option.show].stabling.last.toordinal()
        return [
            day
            for day in range(option.last + 1, min(ends, self.last) + 1)
            if self.is_free(option.horse, since.first, day)
        ]

    # One horse.

    def list_itineraries(self, horse: Horse) -> list[Itinerary]:
        """All seasons a horse can have, the most worth first."""
        own = [o for o in self.options if o.horse == horse.horse]
        must = {show for name, show, _ in self.bound if name == horse.horse}
        found: list[Itinerary] = []

        def extend(outings: tuple[Option, ...], links: tuple[str, ...]) -> None:
            if must <= {o.show for o in outings}:
                moves = self.list_moves(outings, links)
                if all(move.departs for move in moves):
                    worth = self.count_worth(horse, outings)
                    cents = self.count_cents(horse, outings)
                    found.append(Itinerary(horse.horse, outings, links, moves, worth, cents))
            for option in own:
                if any(option.show == o.show for o in outings):
                    continue
                if outings and option.first <= outings[-1].last:
                    continue
                for link in self.list_links(outings, option):
                    longer = (*outings, option), (*links, link)
                    if self.keeps_rest(horse, *longer):
                        extend(*longer)

        extend((), ())
        return sorted(found, key=lambda i: -i.worth)

    def list_links(self, outings: Sequence[Option], option: Option) -> list[str]:
        if not outings:
            return ["home"]
        place = outings[-1].place
        if place == option.place:
            return ["home", "stay"]
        return ["home", "road"] if self.find_way(place, option.place) else ["home"]

    def keeps_rest(self, horse: Horse, outings: Sequence[Option], links: Sequence[str]) -> bool:
        """Recovery, cap and break, the results before today counted."""
        limits = horse.limits
        past = [
            (o.first_day.toordinal(), o.last_day.toordinal())
            for o in self.yard.history.get(horse.horse, ())
        ]
        spans = past + [(o.first, o.last) for o in outings]
        row = 1
        for i, option in enumerate(outings):
            if i == 0 and not past:
                continue
            clear = option.first - spans[len(past) + i - 1][1] - 1
            link = links[i]
            start = {"home": HOME, "stay": option.place}.get(link, outings[i - 1].place)
            way = self.find_way(start, option.place)
            travel = 0 if way is None else way.days + way.rest - 1
            if link == "stay" and row < limits.shows_in_a_row and clear <= 4:
                row += 1
                continue
            row = 1
            if clear < limits.no_jump_days + 2 * limits.schools_before_show + travel:
                return False
        cap = limits.shows_per_30_days
        firsts = [first for first, _ in spans]
        for i in range(len(past), len(spans)):
            if i >= cap and firsts[i] - firsts[i - cap] < 30:
                return False
            run = spans[max(0, i - limits.outings_before_break) : i + 1]
            gaps = [b[0] - a[1] - 1 for a, b in pairwise(run)]
            if (
                len(run) > limits.outings_before_break
                and max(gaps) < limits.break_days + limits.no_jump_days
            ):
                return False
        return True

    def list_moves(self, outings: Sequence[Option], links: Sequence[str]) -> tuple[Move, ...]:
        """The drives of a horse: to each place, on from it or home."""
        blocks: list[list[Option]] = []
        starts: list[str] = []
        for option, link in zip(outings, links, strict=True):
            if link == "stay":
                blocks[-1].append(option)
            else:
                starts.append(HOME if link == "home" else blocks[-1][-1].place)
                blocks.append([option])
        moves: list[Move] = []
        for i, block in enumerate(blocks):
            first, last = block[0], block[-1]
            come = set(self.arrivals(first, last, starts[i]))
            if self.strict:
                come &= self.come[first.place]
            way = self.find_way(starts[i], first.place)
            assert way is not None
            departs = {day - way.days + 1 for day in come}
            if starts[i] != HOME:
                departs &= self.list_leaves(blocks[i - 1])
            moves.append(Move(starts[i], first.place, tuple(sorted(departs))))
            if i + 1 == len(blocks) or starts[i + 1] == HOME:
                back = self.find_way(last.place, HOME)
                assert back is not None
                days = [
                    day
                    for day in sorted(self.list_leaves(block))
                    if day + back.days - 1 <= self.last
                    and self.is_free(last.horse, day, day + back.days - 1)
                ]
                moves.append(Move(last.place, HOME, tuple(days)))
        return tuple(moves)

    def list_leaves(self, block: Sequence[Option]) -> set[int]:
        days = set(self.leaves(block[-1], block[0]))
        return days & self.go[block[-1].place] if self.strict else days

    def count_worth(self, horse: Horse, outings: Sequence[Option]) -> Decimal:
        """Classes times weight, and the aims met."""
        classes = sum((c.worth for o in outings for c in o.classes), Decimal(0))
        aims = [a for a in self.yard.aims if a.horse == horse.horse and self.is_met(a, outings)]
        return classes * horse.weight + sum((a.importance for a in aims), Decimal(0))

    def is_met(self, aim: Aim, outings: Sequence[Option]) -> bool:
        """The class is jumped, the points are there, an outing 10 to 45 days before prepared it."""
        there = next((o for o in outings if o.show == aim.show), None)
        if there is None or (
            aim.class_name and aim.class_name not in {c.name for c in there.classes}
        ):
            return False
        ends = [o.last for o in outings if o.first < there.first]
        ends += [o.last_day.toordinal() for o in self.yard.history.get(aim.horse, ())]
        if not any(10 <= there.first - end <= 45 for end in ends):
            return False
        by = there.first if aim.by is None else min(there.first, aim.by.toordinal())
        earned = [
            c.points
            for o in outings
            if o.first < there.first
            for c in o.classes
            if c.series == aim.series and c.day.toordinal() < by
        ]
        earned += [
            r.points
            for r in self.yard.results
            if r.horse == aim.horse and r.series == aim.series and r.date.toordinal() < by
        ]
        enough = sum(earned, Decimal(0)) >= aim.points_needed and len(earned) >= aim.starts_needed
        return not aim.series or enough

    def count_cents(self, horse: Horse, outings: Sequence[Option]) -> int:
        """Entry, stall and late fees, and the vet."""
        cents = 0
        tours = [self.yard.show_by_name[o.show].tour for o in outings]
        for i, option in enumerate(outings):
            show = self.yard.show_by_name[option.show]
            cents += sum(c.fee_cents for c in option.classes) + show.stall_fee_cents
            fresh = any((horse.horse, show.show, c.name) not in self.bound for c in option.classes)
            closes = show.entries_close
            if fresh and closes is not None and self.today > closes.toordinal():
                cents += show.late_fee_cents
            ends = tours[i] and (i + 1 == len(tours) or tours[i + 1] != tours[i])
            if ends or (i + 1) % horse.limits.vet_check_after_shows == 0:
                cents += self.yard.costs.vet_check_cents
        return cents

    # All horses together.

    def find_most(self) -> Decimal | None:
        """The most worth of a season, None where there is no season at all."""
        for combo in self.list_combos():
            if self.least_cents(combo, self.yard.costs.budget_cents) is not None:
                return sum((i.worth for i in combo), Decimal(0))
        return None

    def find_least(self, floor: Decimal, prices: Prices) -> int | None:
        """The least of what prices count, over all seasons worth at least the floor."""
        best: int | None = None
        fees = prices.tenths == 0
        for combo in self.list_combos():
            if sum((i.worth for i in combo), Decimal(0)) < floor:
                break
            beside = sum(i.cents for i in combo) if fees else 0
            if best is not None and beside >= best:
                continue
            spent = self.carry(combo, prices)
            if spent is not None and (best is None or spent + beside < best):
                best = spent + beside
        return best

    def least_cents(self, combo: Sequence[Itinerary], budget: int | None) -> int | None:
        """The cents a season costs at least, None where it cannot be driven or paid."""
        if budget is None:
            return self.carry(combo, Prices())
        spent = self.carry(combo, self.rates())
        if spent is None:
            return None
        total = spent + sum(i.cents for i in combo)
        return total if total <= budget else None

    def rates(self) -> Prices:
        """The yard's rates."""
        costs = self.yard.costs
        return Prices(
            0,
            costs.cents_per_km,
            costs.groom_day_cents,
            costs.rider_day_cents,
            costs.overnight_stop_cents,
            costs.stabling_day_cents,
        )

    def list_combos(self) -> Iterator[tuple[Itinerary, ...]]:
        """One season for each horse, the most worth first, that riders and shows have room for."""
        lists = []
        for horse in self.yard.horses:
            seasons = self.list_itineraries(horse)
            alone = [i for i in seasons if self.carry((i,), Prices()) is not None]
            lists.append(alone)
        if not all(lists):
            return
        start = (0,) * len(lists)
        heap = [(-sum(seasons[0].worth for seasons in lists), start)]
        seen = {start}
        while heap:
            _, index = heapq.heappop(heap)
            combo = tuple(seasons[i] for seasons, i in zip(lists, index, strict=True))
            if self.has_room(combo) and self.has_riders(combo) and self.fit_in_pairs(combo):
                yield combo
            for at in range(len(lists)):
                following = (*index[:at], index[at] + 1, *index[at + 1 :])
                if following[at] < len(lists[at]) and following not in seen:
                    seen.add(following)
                    worth = sum(s[i].worth for s, i in zip(lists, following, strict=True))
                    heapq.heappush(heap, (-worth, following))

    def fit_in_pairs(self, combo: Sequence[Itinerary]) -> bool:
        """Whether the lorries can carry any two of the horses; all of them is asked later."""
        return len(combo) < 3 or all(
            self.carry(pair, Prices()) is not None for pair in combinations(combo, 2)
        )

    def has_room(self, combo: Sequence[Itinerary]) -> bool:
        """New horses at a show are at most the places left."""
        for show in self.yard.shows:
            new = sum(o.show == show.show and o.new for i in combo for o in i.outings)
            if show.places_left is not None and new > show.places_left:
                return False
        return True

    def has_riders(self, combo: Sequence[Itinerary]) -> bool:
        """Whether some choice of riders is nowhere in two places, hurried, or too busy."""
        outings = [o for i in combo for o in i.outings]
        for riders in product(*(o.riders for o in outings)):
            if all(
                self.keeps_time(
                    [o for o, r in zip(outings, riders, strict=True) if r == rider], limit
                )
                for rider, limit in (
                    (name, self.yard.riders[name].horses_per_show) for name in set(riders)
                )
            ):
                return True
        return False

    def keeps_time(self, outings: Sequence[Option], limit: int) -> bool:
        """One rider's outings: room at each show, and time from place to place."""
        shows = [o.show for o in outings]
        if any(shows.count(show) > limit for show in set(shows)):
            return False
        days = sorted({(c.day.toordinal(), o.place) for o in outings for c in o.classes})
        for (day, place), (later, other) in pairwise(days):
            if place == other:
                continue
            way = self.find_way(place, other)
            if way is None or day == later:
                return False
            needed = 0 if way.hours <= EVENING_HOURS else way.days
            if later - day - 1 < needed:
                return False
        return True

    # Lorries.

    def carry(self, combo: Sequence[Itinerary], prices: Prices) -> int | None:
        """The least that prices count for carrying all the horses, None where it cannot be."""
        key = (tuple((i.horse, i.moves) for i in combo), prices)
        if key not in self.carried:
            going = [i for i in combo if i.moves]
            self.carried[key] = Road(self, going, prices).find_least() if going else 0
        return self.carried[key]
