"""The referee for yards with papers: the exhaustive search of `tests.brute`, and least of all.

It shares nothing with the planner but the values of a `Yard`. To what the search of `tests.brute`
knows of horses, riders and roads it adds what these yards have besides: riders to choose, ages,
vet checks, entries, a budget, and what a season costs. Yards here have one speed, no driving rules,
default hours of a day, no papers, and classes told apart by height and horse age only.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cached_property
from itertools import combinations, product

from tests.brute.freedoms import ALL
from tests.brute.roads import Roads, Trail, list_rides
from tests.brute.schedules import AIM_STEP, HOME, Book, Schedule, Visit
from tests.brute.search import Join
from tests.planning.lorries import LeastRoad, Prices
from tripkit.yard.horses import Entry, Horse
from tripkit.yard.shows import Show, ShowClass
from tripkit.yard.yard import Yard

STEPS = 10_000_000

Joined = tuple[Schedule, ...]


class Oracle(Book):
    """Everything a yard allows, found by trying it."""

    def __init__(self, yard: Yard) -> None:
        super().__init__(yard, ALL)
        # Entries that a rule for one outing forbids are dropped, so they bind nobody.
        self.bound = {
            (e.horse, e.show, e.class_name) for e in yard.entries if e.binds and self.may_go(e)
        }
        self.schedules = [self.drop_twins(horse) for horse in yard.horses]
        self.roads = Roads(self, list_rides(self.schedules), STEPS)
        self.known: dict[object, tuple[int, Trail] | None] = {}

    # One outing.

    def may_go(self, entry: Entry) -> bool:
        """Whether a horse could jump one class that was entered, and nothing else."""
        # Whether it is fit by then is asked of the season.
        horse = replace(self.yard.horse_by_name[entry.horse], in_work_from=None)
        show = self.yard.show_by_name[entry.show]
        offered = tuple(c for c in self.list_classes(horse, show) if c.name == entry.class_name)
        visit = Visit(horse.horse, show.show, show.place_key, horse.rider, offered)
        return bool(
            offered
            and self.list_riders(visit)
            and self.list_moves(horse, (visit,), (HOME,)) is not None
        )

    def list_classes(self, horse: Horse, show: Show) -> list[ShowClass]:
        """The classes of a show that a horse may start in: also by age, entry and vet."""
        return [c for c in super().list_classes(horse, show) if self.may_jump(horse, c)]

    def may_jump(self, horse: Horse, offered: ShowClass) -> bool:
        """Age, scratching, and the vet."""
        age = offered.day.year - horse.born.year
        if not (offered.youngest_horse or 0) <= age <= (offered.oldest_horse or 99):
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
        return not seen or bool(seen[-1][1])

    def list_visits(self, horse: Horse, show: Show) -> Iterator[Visit]:
        """Every set of classes that holds what was entered and has a rider."""
        held = self.list_held(horse.horse, show.show)
        for visit in super().list_visits(horse, show):
            if held <= {c.name for c in visit.classes} and self.list_riders(visit):
                yield visit

    def list_held(self, horse: str, show: str) -> set[str]:
        """The classes of a show in which a horse was entered."""
        return {name for own, there, name in self.bound_or_none if (own, there) == (horse, show)}

    @property
    def bound_or_none(self) -> set[tuple[str, str, str]]:
        """What binds, nothing while that is still being found out."""
        return getattr(self, "bound", set())

    def list_riders(self, visit: Visit) -> list[str]:
        """The riders a horse may have, who are not absent on any of its class days."""
        riders = [visit.rider] if visit.rider else list(self.yard.riders)
        if visit.rider and not all(self.is_free(visit.rider, day, day) for day in visit.days):
            riders = list(self.yard.horse_by_name[visit.horse].also_ridden_by)
        return [r for r in riders if all(self.is_free(r, day, day) for day in visit.days)]

    # One horse.

    def drop_twins(self, horse: Horse) -> list[Schedule]:
        """A horse's schedules with all that was entered; of those alike none dearer and worth less.

        Alike are those with the same moves, shows and class days.
        """
        must = {show for name, show, _ in self.bound if name == horse.horse}
        whole = [s for s in self.list_schedules(horse) if must <= {v.show for v in s.visits}]
        found: dict[object, int] = {}
        kept = []
        for schedule in sorted(whole, key=lambda s: (-s.worth, self.count_cents(s))):
            days = tuple((visit.show, visit.days) for visit in schedule.visits)
            key, cents = (schedule.moves, days), self.count_cents(schedule)
            if key not in found or cents < found[key]:
                found[key] = cents
                kept.append(schedule)
        return kept

    def count_cents(self, schedule: Schedule) -> int:
        """Entry and stall fees, nights between two shows at a place, and the vet."""
        cents = 0
        costs = self.yard.costs
        after = self.yard.horse_by_name[schedule.horse].limits.vet_check_after_shows
        shows = [self.yard.show_by_name[visit.show] for visit in schedule.visits]
        for number, (visit, show) in enumerate(zip(schedule.visits, shows, strict=True), start=1):
            cents += sum(c.fee_cents for c in visit.classes) + show.stall_fee_cents
            ends = show.tour and (number == len(shows) or shows[number].tour != show.tour)
            if ends or number % after == 0:
                cents += costs.vet_check_cents
            if schedule.links[number - 1] == "stay":
                nights = (show.stabling.first - shows[number - 2].stabling.last).days
                cents += max(0, nights) * costs.stabling_day_cents
        return cents

    # All horses together.

    @cached_property
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

    def list_best(self) -> Iterator[tuple[Decimal, Joined]]:
        """Seasons that can be driven, the most worth first."""
        return _Pairing(self, self.roads).list_best(self.schedules)

    def find_value(self, score: Decimal, price_cents: int) -> Decimal:
        """The most that a season is worth at the price of a point, less its cost [cents].

        Over all seasons of at least a score.
        """
        best: Decimal | None = None
        for worth, joined in self.list_best():
            value = worth % AIM_STEP * price_cents
            if worth < score or (best is not None and value <= best):
                break
            value -= self.price(joined, self.rates)
            best = value if best is None else max(best, value)
        assert best is not None
        return best

    def find_most(self) -> Decimal | None:
        """The most worth of a season, None where there is no season at all."""
        budget = self.yard.costs.budget_cents
        for worth, joined in self.list_best():
            if budget is None or self.price(joined, self.rates) <= budget:
                return worth
        return None

    def give_up(self) -> Oracle:
        """The yard with a season, less the entries that lose least money, then worth.

        No organiser of these yards gives fees back.
        """
        bound = sorted(self.bound)
        sets = [gone for n in range(len(bound) + 1) for gone in combinations(bound, n)]
        for gone in sorted(sets, key=self.count_losses):
            entries = tuple(
                replace(e, status="scratched") if (e.horse, e.show, e.class_name) in gone else e
                for e in self.yard.entries
            )
            rest = Oracle(replace(self.yard, entries=entries)) if gone else self
            if rest.find_most() is not None:
                return rest
        raise AssertionError("nobody need leave home")

    def count_losses(self, gone: Sequence[tuple[str, str, str]]) -> tuple[int, Decimal, int]:
        """Money and worth that entries lose, and how many they are."""
        paid = {
            (e.horse, e.show, e.class_name): e.amount_cents for e in self.yard.entries if e.binds
        }
        cents, worth = 0, Decimal(0)
        for key in gone:
            _, show, name = key
            (offered,) = (c for c in self.yard.show_by_name[show].classes if c.name == name)
            amount_cents = paid[key]
            cents += offered.fee_cents if amount_cents is None else amount_cents
            worth += offered.worth
        return cents, worth, len(gone)

    def find_least(self, floor: Decimal, prices: Prices) -> tuple[int, Joined, Trail]:
        """The least of what prices count, over all seasons worth at least the floor."""
        seasons = []
        for worth, joined in self.list_best():
            if worth < floor:
                break
            # The others' horses make no drive of one horse cheaper.
            alone = max((self.spend((own,), prices)[0] for own in joined), default=0)
            seasons.append((alone + self.count_beside(joined, prices), len(seasons), joined))
        best: tuple[int, Joined, Trail] | None = None
        for bound, _, joined in sorted(seasons, key=lambda season: season[:2]):
            if best is not None and bound >= best[0]:
                break
            spent, trail = self.spend(joined, prices)
            spent += self.count_beside(joined, prices)
            if best is None or spent < best[0]:
                best = spent, joined, trail
        assert best is not None
        return best

    def count_beside(self, joined: Joined, prices: Prices) -> int:
        """Money beside the road, where money is counted."""
        return 0 if prices.tenths else sum(self.count_cents(own) for own in joined)

    def price(self, joined: Joined, prices: Prices) -> int:
        """The least that a season can cost."""
        return self.spend(joined, prices)[0] + self.count_beside(joined, prices)

    def spend(self, joined: Joined, prices: Prices) -> tuple[int, Trail]:
        """The least that prices count for the road of some horses, that can be driven."""
        going = tuple(own for own in joined if own.moves)
        key = (tuple((own.horse, own.moves) for own in going), prices)
        if key not in self.known:
            self.known[key] = LeastRoad(self.roads, going, prices).find_least()
        found = self.known[key]
        assert found is not None
        return found


class _Pairing(Join):
    """Whether the schedules of several horses go together, riders being chosen."""

    book: Oracle

    def keeps_places(self, joined: Sequence[Schedule]) -> bool:
        """New horses at a show are at most the places left."""
        shows = [
            v.show for s in joined for v in s.visits if not self.book.list_held(s.horse, v.show)
        ]
        return all(
            show.places_left is None or shows.count(show.show) <= show.places_left
            for show in self.book.yard.shows
        )

    def keeps_riders(self, joined: Sequence[Schedule]) -> bool:
        """Some choice of riders is nowhere in two places, hurried, or too busy."""
        visits = [visit for schedule in joined for visit in schedule.visits]
        most = {name: rider.horses_per_show for name, rider in self.book.yard.riders.items()}
        for riders in product(*(self.book.list_riders(visit) for visit in visits)):
            own = list(zip(visits, riders, strict=True))
            if all(
                self.keeps_time([v for v, r in own if r == rider], most[rider])
                for rider in set(riders)
            ):
                return True
        return False
