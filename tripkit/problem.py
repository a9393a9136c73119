"""What a planner sees of a yard: who could go where on which days, in whole numbers.

Days are ordinals (`date.toordinal`), money is cents, worth is in units of 1/`WORTH_SCALE`.
Everything a single outing forbids by itself (papers, heights, absences, closing dates, stabling,
fit-up) is settled here; what outings forbid each other is left to the planner.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction

from tripkit import eligibility, paperwork
from tripkit.circuit import DroppedEntry
from tripkit.days import DaySpan
from tripkit.driving import RULES, DrivingRules, count_rider_days
from tripkit.horses import Horse
from tripkit.money import round_cents
from tripkit.people import Person
from tripkit.places import HOME
from tripkit.recovery import count_needed_clear_days, count_rest_days, find_fit_day
from tripkit.shows import Show, ShowClass
from tripkit.timetables import count_leg_days, explain_no_leg
from tripkit.vehicles import Vehicle
from tripkit.yard import Yard

WORTH_SCALE = 10_000
DAYS_OUTSIDE_SEASON = 7

RULE_IDS = (
    "window",
    "closed",
    "eligible",
    "cleared",
    "cap",
    "recovery",
    "travel-rest",
    "fit",
    "break",
    "rider",
    "stabling",
    "places",
    "one-place",
    "driving",
    "locked",
    "budget",
)


@dataclass(frozen=True)
class Pace:
    """A speed that some vehicles share; None where nobody set one, see `Drive.compute_hours`.

    `drivers` aboard say how far a day goes.
    """

    speed_kmh: float | None
    drivers: int = 1


@dataclass(frozen=True)
class Ride:
    """One drive between two place keys at one pace: km, hours, calendar days, rest days.

    The rest is by the yard's table; a horse may have its own, see `Problem.count_rest`.
    """

    start: str
    end: str
    km: float
    hours: float
    days: int
    rest_days: int

    @property
    def nights(self) -> int:
        """Overnight stops on the way."""
        return max(0, self.days - 1)


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

    `arrivals` and `leaves` are days on the grounds that stabling and absences allow.
    `clear_from` and `clear_until` bound the days away on which the horse is not absent around
    each window.
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

    @property
    def bound(self) -> tuple[Choice, ...]:
        """The classes that were sent or paid."""
        return tuple(choice for choice in self.choices if choice.bound)


@dataclass(frozen=True, eq=False)
class Fleet:
    """Vehicles that are alike for planning: same places, rate, pace, and no absences apart."""

    vehicles: tuple[str, ...]
    places: int
    cents_per_km: Fraction
    pace: Pace
    absences: tuple[tuple[int, int], ...]

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.vehicles)


@dataclass(frozen=True, eq=False)
class Problem:
    """All chances of a season, the fleets, and why the other pairs of horse and show are out."""

    yard: Yard
    first: int
    last: int
    chances: tuple[Chance, ...]
    fleets: tuple[Fleet, ...]
    rides: Mapping[tuple[str, str, Pace], Ride]
    dropped: tuple[DroppedEntry, ...] = ()
    excluded: Mapping[tuple[str, str], str] = field(default_factory=dict)
    without: frozenset[str] = frozenset()

    @property
    def rules(self) -> DrivingRules:
        """The driving rules the yard chose."""
        return RULES[self.yard.driving.rules]

    @property
    def paces(self) -> tuple[Pace, ...]:
        """The paces of the fleets, each once."""
        return tuple(dict.fromkeys(fleet.pace for fleet in self.fleets))

    def find_ride(self, start: str, end: str, pace: Pace) -> Ride | None:
        """The drive between two place keys at a pace, None where there is no road."""
        return self.rides.get((start, end, pace))

    def count_rider_gap(self, start: str, end: str) -> int:
        """Clear days a rider needs between class days at two places [days]."""
        if start == end:
            return 0
        hours = self.yard.find_hours(start, end)
        if hours is None:
            return self.last - self.first
        return count_rider_days(hours, self.yard.limits, self.rules)

    def count_rest(self, horse: str, ride: Ride) -> int:
        """Whole days of rest that a horse needs after a ride, by its own table [days]."""
        return count_rest_days(ride.hours, self.yard.horse_by_name[horse].limits)

    def compute_key(self, horse: str, first: int, ride: Ride | None) -> int:
        """The day by which a horse must be recovered to begin at `first` after a ride.

        The outward drive and the rest after it take days from the recovery; see `recovery`.
        """
        limits = self.yard.horse_by_name[horse].limits
        base = count_needed_clear_days(limits, 0, 0)
        if ride is None or "recovery" in self.without:
            return first
        rest = self.count_rest(horse, ride)
        return first - (count_needed_clear_days(limits, ride.days, rest) - base)

    def compute_ready(self, horse: str, last: int, extra_days: int = 0) -> int:
        """The first day on which a horse is recovered from an outing that ended on `last`."""
        if "recovery" in self.without:
            return last + 1
        limits = self.yard.horse_by_name[horse].limits
        return last + 1 + count_needed_clear_days(limits, 0, 0) + extra_days


def build_problem(
    yard: Yard,
    *,
    tour: str | None = None,
    forbidden: Collection[tuple[str, str]] = (),
    without: Collection[str] = (),
) -> Problem:
    """Every horse at every show it could go to, as the rules for a single outing leave it.

    With `tour`, shows of other tours are out. `forbidden` are (horse, show) pairs to leave out.
    `without` names rules to leave out: the tests use it to see that the judge misses them, and
    the explanation of "no circuit fits" to find which rules collide.
    """
    skipped = frozenset(without)
    fleets = _group_vehicles(yard)
    rides = _list_rides(yard, fleets, skipped)
    chances: list[Chance] = []
    dropped: list[DroppedEntry] = []
    excluded: dict[tuple[str, str], str] = {}
    for horse in yard.horses:
        for show in yard.shows:
            key = (horse.horse, show.show)
            bound = tuple(c for c in show.classes if (*key, c.name) in yard.bound_entries)
            kept = bound or key in yard.held
            if not kept and tour and show.tour and show.tour != tour:
                excluded[key] = f"{show.show} is of the tour {show.tour}"
                continue
            if not bound and key in forbidden:
                excluded[key] = "forbidden by the manager"
                continue
            chance, lost, why = _weigh_chance(yard, horse, show, bound, fleets, rides, skipped)
            dropped += lost
            if chance is None:
                excluded[key] = why
            else:
                chances.append(chance)
    return Problem(
        yard,
        yard.season.first.toordinal(),
        yard.season.last.toordinal(),
        _trim_days(yard, chances, rides, skipped),
        fleets,
        rides,
        tuple(dropped),
        excluded,
        skipped,
    )


def _group_vehicles(yard: Yard) -> tuple[Fleet, ...]:
    groups: dict[tuple[object, ...], list[Vehicle]] = {}
    for vehicle in yard.vehicles:
        away = tuple(
            (days.first.toordinal(), days.last.toordinal())
            for days in yard.absences_of(vehicle.vehicle)
        )
        kind = (
            vehicle.places,
            yard.cents_per_km_of(vehicle),
            yard.speed_kmh_of(vehicle),
            vehicle.drivers,
            away,
        )
        groups.setdefault(kind, []).append(vehicle)
    return tuple(
        Fleet(
            tuple(v.vehicle for v in vehicles),
            vehicles[0].places,
            Fraction(yard.cents_per_km_of(vehicles[0])),
            Pace(yard.speed_kmh_of(vehicles[0]), vehicles[0].drivers),
            tuple(
                (days.first.toordinal(), days.last.toordinal())
                for days in yard.absences_of(vehicles[0].vehicle)
            ),
        )
        for vehicles in groups.values()
    )


def _list_rides(
    yard: Yard, fleets: tuple[Fleet, ...], without: frozenset[str]
) -> Mapping[tuple[str, str, Pace], Ride]:
    keys = [HOME, *dict.fromkeys(show.place_key for show in yard.shows)]
    rides: dict[tuple[str, str, Pace], Ride] = {}
    for pace in dict.fromkeys(fleet.pace for fleet in fleets):
        for start in keys:
            for end in keys:
                drive = yard.roads.find_drive(start, end)
                if start == end or drive is None:
                    continue
                hours = round(drive.compute_hours(pace.speed_kmh), 2)
                days = 1
                if "driving" not in without:
                    lawful = count_leg_days(yard, start, end, hours, pace.drivers)
                    if lawful is None:
                        continue
                    days = lawful
                rest = count_rest_days(hours, yard.limits)
                rides[start, end, pace] = Ride(start, end, round(drive.km, 1), hours, days, rest)
    return rides


def _weigh_chance(
    yard: Yard,
    horse: Horse,
    show: Show,
    bound: tuple[ShowClass, ...],
    fleets: tuple[Fleet, ...],
    rides: Mapping[tuple[str, str, Pace], Ride],
    without: frozenset[str],
) -> tuple[Chance | None, list[DroppedEntry], str]:
    """One horse at one show: its chance, the bound classes it loses, and why there is none."""
    lost: list[DroppedEntry] = []
    reasons: dict[str, str] = {}
    choices: list[Choice] = []
    paces = tuple(dict.fromkeys(fleet.pace for fleet in fleets))
    there = [rides[HOME, show.place_key, p] for p in paces if (HOME, show.place_key, p) in rides]
    back = [rides[show.place_key, HOME, p] for p in paces if (show.place_key, HOME, p) in rides]
    no_road = not there or not back
    if no_road:
        reasons["road"] = explain_no_leg(yard, HOME, show.place_key)
    entry_day = show.last_entry_day
    closed = entry_day is not None and entry_day < yard.day_of_planning
    if "locked" in without:
        bound = ()

    def lose(offered: ShowClass, rule: str, why: str) -> None:
        entry = yard.bound_entries[horse.horse, show.show, offered.name]
        cents = offered.fee_cents if entry.amount_cents is None else entry.amount_cents
        lost.append(DroppedEntry(horse.horse, show.show, offered.name, f"{rule}: {why}", cents))

    for offered in sorted(show.classes, key=lambda c: (c.day, c.name)):
        held = offered in bound
        rule, why = "", ""
        riders = _find_riders(yard, horse, offered, without)
        fits = bool(riders)
        if no_road:
            rule, why = "road", reasons["road"]
        elif "window" not in without and offered.day not in yard.season:
            rule, why = "window", f"{offered.day} lies outside the season"
        elif "window" not in without and yard.is_absent(horse.horse, offered.day):
            rule, why = "window", f"{horse.horse} is away on {offered.day}"
        elif "cleared" not in without and not eligibility.is_cleared(yard, horse, offered.day):
            rule, why = "cleared", "the last vet check says not cleared"
        elif not fits:
            rule, why = _explain_misfit(yard, horse, show, offered)
        elif not held:
            fit_day = find_fit_day(horse.in_work_from, horse.limits)
            if "fit" not in without and fit_day is not None and offered.day < fit_day:
                rule, why = "fit", f"back in work {horse.in_work_from}, may show from {fit_day}"
            elif (horse.horse, show.show, offered.name) in yard.scratched_entries:
                rule, why = "locked", f"{offered.name} was scratched"
            elif "closed" not in without and closed:
                rule, why = "closed", f"entries closed on {entry_day}"
            elif "closed" not in without and offered.day <= yard.day_of_planning:
                rule, why = "closed", f"{offered.day} is not after today"
        if rule:
            reasons.setdefault(rule, why)
            if held:
                lose(offered, rule, why)
            continue
        choices.append(
            Choice(
                offered.name,
                offered.day.toordinal(),
                _scale_worth(offered, horse),
                offered.fee_cents,
                riders,
                held,
                offered.series,
                Fraction(offered.points),
            )
        )
    if not choices:
        return None, lost, _say_reasons(reasons, "no class fits")
    chance, none = _fit_days(yard, horse, show, choices, there, back, without)
    held_choices = [c for c in choices if c.bound]
    if held_choices and not _keeps_bound(chance, held_choices):
        rule, _, why = none.partition(": ")
        for choice in held_choices:
            lose(show.find_class(choice.name) or bound[0], rule or "window", why)
        choices = [c for c in choices if not c.bound] if not closed else []
        chance = None
        if choices:
            chance, none = _fit_days(yard, horse, show, choices, there, back, without)
    if chance is None:
        return None, lost, none
    return chance, lost, ""


def _keeps_bound(chance: Chance | None, held: list[Choice]) -> bool:
    if chance is None:
        return False
    first, last = min(c.day for c in held), max(c.day for c in held)
    return any(w.first <= first and last <= w.last for w in chance.windows)


def _say_reasons(reasons: Mapping[str, str], otherwise: str) -> str:
    return "; ".join(f"{rule}: {why}" for rule, why in reasons.items()) or otherwise


def _scale_worth(offered: ShowClass, horse: Horse) -> int:
    return int(Fraction(offered.worth) * Fraction(horse.weight) * WORTH_SCALE)


def _find_riders(
    yard: Yard, horse: Horse, offered: ShowClass, without: frozenset[str]
) -> frozenset[str]:
    people: list[Person] = [yard.riders[horse.rider]] if horse.rider else list(yard.riders.values())
    return frozenset(
        rider.person
        for rider in people
        if ("eligible" in without or _may_ride(yard, horse, offered, rider))
        and ("window" in without or not yard.is_absent(rider.person, offered.day))
    )


def _may_ride(yard: Yard, horse: Horse, offered: ShowClass, rider: Person) -> bool:
    if not eligibility.fits_class(yard, horse, offered, rider):
        return False
    show = yard.show_by_name[offered.show]
    found = paperwork.find_rider_findings(yard, rider, show, DaySpan(offered.day, offered.day))
    return all(finding.answer != "barred" for finding in found)


def _explain_misfit(yard: Yard, horse: Horse, show: Show, offered: ShowClass) -> tuple[str, str]:
    people = [yard.riders[horse.rider]] if horse.rider else list(yard.riders.values())
    fitting = [p for p in people if eligibility.fits_class(yard, horse, offered, p)]
    if fitting:
        names = " and ".join(p.person for p in fitting)
        return "window", f"{names} is away on {offered.day}"
    for person in people:
        for finding in eligibility.find_class_findings(yard, horse, show, offered, person):
            if finding.answer == "barred":
                return "eligible", finding.reason
    return "eligible", "nobody fits to ride"


def _fit_days(
    yard: Yard,
    horse: Horse,
    show: Show,
    choices: list[Choice],
    there: list[Ride],
    back: list[Ride],
    without: frozenset[str],
) -> tuple[Chance | None, str]:
    """The windows, arrivals and leaves that stabling, absences and papers leave open, or why none.

    The reason begins with the id of its rule.
    """
    days = sorted({choice.day for choice in choices})
    away = [(d.first.toordinal(), d.last.toordinal()) for d in yard.absences_of(horse.horse)]
    if "window" in without:
        away = []
    held = [c.day for c in choices if c.bound]
    margin = 3
    low, high = show.stabling.first.toordinal(), show.stabling.last.toordinal()
    if "stabling" in without:
        low, high = low - margin, high + margin
    low = max(low, yard.season.first.toordinal() - DAYS_OUTSIDE_SEASON)
    high = min(high, yard.season.last.toordinal() + DAYS_OUTSIDE_SEASON)
    lead = 0 if "stabling" in without else horse.limits.arrive_days_before
    rest = min(count_rest_days(ride.hours, horse.limits) for ride in there)
    if "travel-rest" in without:
        rest = 0
    today = yard.day_of_planning.toordinal()
    windows, arrivals, leaves = [], set(), set()
    why = "window: no days to come and go fit stabling and absences"
    for first in days:
        for last in days:
            window = Window(first, last)
            if last < first or (held and not (first <= min(held) and max(held) <= last)):
                continue
            earliest = low if held else max(low, today)
            come = [
                day
                for day in range(earliest, first - max(lead, 1 + rest) + 1)
                if _is_clear(away, day, last)
            ]
            go = [day for day in range(last + 1, high + 1) if _is_clear(away, first, day)]
            comes = bool(come) or _has_show_nearby(yard, show, earlier=True)
            goes = bool(go) or _has_show_nearby(yard, show, earlier=False)
            if not (comes and goes and _is_clear(away, first, last)):
                continue
            bars = {day: _find_bar(yard, horse, show, day, last, without) for day in come}
            admitted = [day for day in come if not bars[day]]
            barred = "" if admitted else _find_bar(yard, horse, show, first - 1, last, without)
            if barred:
                why = barred
                continue
            windows.append(window)
            arrivals.update(admitted)
            leaves.update(go)
    if not windows:
        return None, why
    new = not held
    late = show.entries_close is not None and yard.day_of_planning > show.entries_close
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
    )
    return chance, ""


def _trim_days(
    yard: Yard,
    chances: list[Chance],
    rides: Mapping[tuple[str, str, Pace], Ride],
    without: frozenset[str],
) -> tuple[Chance, ...]:
    """Horses come and go on days that suit the classes of some horse at the place.

    A horse comes early or leaves late only to share a lorry, so only the last day of arrival for
    a window and the day after one are kept, over all horses at the place.
    """
    come: dict[str, set[int]] = {}
    go: dict[str, set[int]] = {}
    for chance in chances:
        horse = yard.horse_by_name[chance.horse]
        for (_, end, _), ride in rides.items():
            if end != chance.place_key:
                continue
            lead = 0 if "stabling" in without else horse.limits.arrive_days_before
            rest = 0
            if "travel-rest" not in without:
                rest = count_rest_days(ride.hours, horse.limits)
            for window in chance.windows:
                come.setdefault(end, set()).add(window.first - max(lead, 1 + rest))
        go.setdefault(chance.place_key, set()).update(w.last + 1 for w in chance.windows)
    return tuple(
        replace(
            chance,
            arrivals=tuple(d for d in chance.arrivals if d in come.get(chance.place_key, ())),
            leaves=tuple(d for d in chance.leaves if d in go[chance.place_key]),
        )
        for chance in chances
    )


def _has_show_nearby(yard: Yard, show: Show, *, earlier: bool) -> bool:
    """Whether a horse could have stayed on from an earlier show at the place, or for a later."""
    return any(
        other.place_key == show.place_key
        and other.show != show.show
        and (other.days.first < show.days.last if earlier else other.days.last > show.days.first)
        for other in yard.shows
    )


def _is_clear(away: list[tuple[int, int]], first: int, last: int) -> bool:
    return not any(first <= end and start <= last for start, end in away)


def _find_bar(
    yard: Yard, horse: Horse, show: Show, arrive: int, last: int, without: frozenset[str]
) -> str:
    """Why the horse's papers keep it out of a show if it arrives on a day; empty if they do not."""
    if "eligible" in without:
        return ""
    found = paperwork.find_paper_findings(
        yard, horse, show, date.fromordinal(arrive), date.fromordinal(last)
    )
    return next((f"eligible: {f.reason}" for f in found if f.answer == "barred"), "")


def price_ride(ride: Ride, fleet: Fleet) -> int:
    """What one drive of a vehicle of a fleet costs [cents], rounded once for the whole drive."""
    return round_cents(Fraction(str(ride.km)) * fleet.cents_per_km)
