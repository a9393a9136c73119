"""The whole season as one program: horses' paths, lorries' flows, classes, riders, aims, money.

One function per rule or concern; each first docstring line is the rule in words. Rules that a
horse keeps by itself over time stand in `paths`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence

from tripkit.planning.chances import Chance, Fleet, Pace, Ride, Window, find_first_leg_day
from tripkit.planning.mip import INFINITY
from tripkit.planning.paths import (
    AT_HOME,
    LOOK_BACK,
    Check,
    Enter,
    HorseGraph,
    Leave,
    Location,
    build_horse_graph,
    find_earliest_arrival,
    find_latest_arrival,
    find_latest_leave,
    list_past,
)
from tripkit.planning.problem import Problem
from tripkit.planning.program import Drive, Season
from tripkit.planning.riding import couple_riders
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Aim
from tripkit.yard.places import HOME
from tripkit.yard.recovery import CAP_WINDOW_DAYS, PREPARATION_DAYS, find_fit_day
from tripkit.yard.shows import Start
from tripkit.yard.yard import Yard

EMPTY_RUN_HOURS = 2.0
DAYS_AT_HOME = 1


def build_season(
    problem: Problem,
    *,
    extra_days: int = 0,
    count_checks: bool = False,
    breaking: Collection[str] | None = None,
    lean: bool = False,
) -> Season:
    """Builds the program of a problem; `extra_days` asks for more clear days than `recovery`.

    `breaking` are the horses whose breaks are kept, None for all. In a `lean` program days at
    home between two trips are left out. A program that leaves something out is smaller, and its
    bound still holds.
    """
    season = Season(problem)
    for horse in problem.yard.horses:
        chances = [c for c in problem.chances if c.horse == horse.horse]
        if not chances:
            continue
        graph = build_horse_graph(
            problem,
            horse,
            chances,
            extra_days=extra_days,
            count_checks=count_checks,
            count_runs=breaking is None or horse.horse in breaking,
            count_cap=season.small,
        )
        season.graphs[horse.horse] = graph
        _mark_path(season, graph)
        for chance in chances:
            _choose_window(season, chance)
            choose_classes(season, chance)
    _add_horse_rides(season)
    if not lean:
        keep_days_at_home(season)
    add_vehicle_flows(season)
    carry_horses(season)
    couple_riders(season)
    cap_outings(season)
    keep_fit_up(season)
    keep_places(season)
    _meet_aims(season)
    return season


def _mark_path(season: Season, graph: HorseGraph) -> None:
    """What a horse's path marks on its way is counted in a column of the program.

    The row of each mark says: the column equals how often the path bears the mark. Whoever adds
    the path (arc by arc, or whole seasons as columns) enters into these rows with -1.
    """
    mip = season.mip
    found = dict.fromkeys(mark for marks in graph.marks for mark in marks)
    # An outing may end one tour without a check and ask for one of its own; so may the last one
    # that is over.
    checks = 1.0 + 2.0 * len({mark.chance for mark in found if isinstance(mark, Enter)})
    for mark in found:
        column = mip.add_variable(0.0, checks if isinstance(mark, Check) else 1.0)
        season.mark_rows[mark] = mip.add_row([(column, 1.0)], 0.0, 0.0)
        if isinstance(mark, Enter):
            season.enter_of[mark] = column
        elif isinstance(mark, Leave):
            season.leave_of[mark] = column
        else:
            season.check_of[mark.horse] = column


def _choose_window(season: Season, chance: Chance) -> None:
    """A horse goes to a show in one window of days, or not at all."""
    entered: dict[Window, list[int]] = {window: [] for window in chance.windows}
    for mark, column in season.enter_of.items():
        if mark.chance is chance:
            entered[mark.window].append(column)
    for window, columns in entered.items():
        column = season.mip.add_variable(integer=True)
        season.window_of[chance, window] = column
        season.mip.add_row([(column, 1.0), *((c, -1.0) for c in columns)], 0.0, 0.0)
    if chance.begun or (chance.horse, chance.show) in season.problem.yard.held:
        season.mip.add_row(season.attends(chance), 1.0, 1.0)
    else:
        season.mip.add_row(season.attends(chance), 0.0, 1.0)


def choose_classes(season: Season, chance: Chance) -> None:
    """Classes lie within the window, begin and end it, and keep the starts of show and day.

    Rule `eligible`.
    """
    mip, horse = season.mip, season.problem.yard.horse_by_name[chance.horse]
    by_day: dict[int, list[int]] = defaultdict(list)
    for choice in chance.choices:
        column = mip.add_variable(integer=True)
        season.choice_of[chance, choice] = column
        if choice.bound:
            mip.add_row([(column, 1.0)], 1.0, 1.0)
        by_day[choice.day].append(column)
        inside = [w for w in chance.windows if w.first <= choice.day <= w.last]
        mip.add_row(
            [(column, 1.0), *((season.window_of[chance, w], -1.0) for w in inside)],
            -INFINITY,
            0.0,
        )
    # What has begun is given, and more was not taken in than there are starts.
    free = "eligible" in season.problem.without or chance.begun
    for day, columns in by_day.items():
        for edge in ("first", "last"):
            held = [w for w in chance.windows if getattr(w, edge) == day]
            if held:
                mip.add_row(
                    [
                        *((c, 1.0) for c in columns),
                        *((season.window_of[chance, w], -1.0) for w in held),
                    ],
                    0.0,
                    INFINITY,
                )
        if len(columns) > horse.starts_per_day and not free:
            there = [w for w in chance.windows if w.first <= day <= w.last]
            most = float(horse.starts_per_day)
            mip.add_row(
                [
                    *((c, 1.0) for c in columns),
                    *((season.window_of[chance, w], -most) for w in there),
                ],
                -INFINITY,
                0.0,
            )
    everything = [c for columns in by_day.values() for c in columns]
    if len(everything) > horse.starts_per_show and not free:
        mip.add_row(
            [
                *((c, 1.0) for c in everything),
                *((w, -float(horse.starts_per_show)) for w in season.attends(chance)),
            ],
            -INFINITY,
            0.0,
        )


def explain_eligible_clash(yard: Yard, start: Start, beside: Sequence[Start]) -> Fact | None:
    """A horse that has its starts of the day or the show has no other one.

    Rule `eligible`.
    """
    horse, day = start.horse, start.offered.day
    if sum(other.offered.day == day for other in beside) >= horse.starts_per_day:
        times = _count_times(horse.starts_per_day)
        return state("planning.starts-a-day", horse=horse.horse, times=times)
    if len(beside) >= horse.starts_per_show:
        times = _count_times(horse.starts_per_show)
        return state("planning.starts-a-show", horse=horse.horse, times=times)
    return None


def _count_times(count: int) -> Fact:
    if count in (1, 2):
        return state("planning.once") if count == 1 else state("planning.twice")
    return state("planning.times", count=count)


def _add_horse_rides(season: Season) -> None:
    """A horse comes and goes on days that its window, the rest after the drive and it allow."""
    for chance in season.problem.chances:
        _add_rides_home(season, chance, coming=True)
        _add_rides_home(season, chance, coming=False)
    for leave, column in list(season.leave_of.items()):
        if leave.location[0] == "road":
            _add_road(season, leave, column)
    for chance in season.problem.chances:
        _bound_leaves(season, chance)


def _add_rides_home(season: Season, chance: Chance, *, coming: bool) -> None:
    problem, mip = season.problem, season.mip
    low, high = _list_leg_days(problem)
    for pace in problem.paces:
        ends = (HOME, chance.place_key) if coming else (chance.place_key, HOME)
        ride = problem.find_ride(*ends, pace)
        if ride is None:
            continue
        columns: dict[int, int] = {}
        for day in chance.arrivals if coming else chance.leaves:
            depart = day - ride.days + 1 if coming else day
            arrive = depart + ride.days - 1
            if depart < low or arrive > high:
                continue
            if coming and depart < _find_home_day(problem, chance.horse):
                continue
            # A horse that is away when its absence begins still goes home.
            if not chance.begun and is_away(problem, chance.horse, depart, arrive):
                continue
            drive = Drive(*ends, depart, pace)
            columns[day] = season.rides_of[chance, drive] = mip.add_variable(integer=True)
        if coming:
            flows = _list_entered(season, chance, AT_HOME, pace)
            mip.add_row(
                [
                    *((c, 1.0) for c in columns.values()),
                    *((c, -1.0) for c in flows.values()),
                ],
                0.0,
                0.0,
            )
            _bound_arrivals(season, chance, ride, columns, flows)
    if not coming:
        columns_home = [
            c for (ch, d), c in season.rides_of.items() if ch is chance and d.end == HOME
        ]
        home = season.leave_of.get(Leave(chance, AT_HOME))
        goes = [] if home is None else [(home, -1.0)]
        mip.add_row([*((c, 1.0) for c in columns_home), *goes], 0.0, 0.0)


def _list_entered(
    season: Season, chance: Chance, source: Location, pace: Pace
) -> dict[Window, int]:
    """The columns of a chance's windows entered from a location at a pace."""
    found = {}
    for window in chance.windows:
        column = season.enter_of.get(Enter(chance, window, source, pace))
        if column is not None:
            found[window] = column
    return found


def _bound_arrivals(
    season: Season,
    chance: Chance,
    ride: Ride,
    columns: Mapping[int, int],
    flows: Mapping[Window, int],
) -> None:
    """An arrival is late enough for absences before, early enough for lead and rest."""
    problem = season.problem
    latest = {w: find_latest_arrival(problem, chance, w, ride) for w in flows}
    earliest = {w: find_earliest_arrival(problem, chance, w) for w in flows}
    for day in columns:
        late = [(c, 1.0) for d, c in columns.items() if d >= day]
        takers = [(c, -1.0) for w, c in flows.items() if latest[w] >= day]
        season.mip.add_row([*late, *takers], -INFINITY, 0.0)
        if any(earliest[w] > day for w in flows):
            early = [(c, 1.0) for d, c in columns.items() if d <= day]
            takers = [(c, -1.0) for w, c in flows.items() if earliest[w] <= day]
            season.mip.add_row([*early, *takers], -INFINITY, 0.0)


def _add_road(season: Season, leave: Leave, leaving: int) -> None:
    """A horse drives on from one show to the next without going home."""
    problem, mip, a = season.problem, season.mip, leave.chance
    b = next(c for c in problem.chances if c.horse == a.horse and c.show == leave.location[2])
    pace = next(p for p in problem.paces if repr(p) == leave.location[3])
    ride = problem.find_ride(a.place_key, b.place_key, pace)
    if ride is None:
        raise BadValue(
            state("values.no-road-from-to", place_key=a.place_key, place_key_2=b.place_key)
        )
    arrivals: dict[int, int] = {}
    for depart in a.leaves:
        arrive = depart + ride.days - 1
        if arrive in b.arrivals and not is_away(problem, a.horse, depart, arrive):
            drive = Drive(a.place_key, b.place_key, depart, pace)
            column = mip.add_variable(integer=True)
            season.rides_of[a, drive] = arrivals[arrive] = column
    entered = _list_entered(season, b, leave.location, pace)
    drives = [(c, 1.0) for c in arrivals.values()]
    mip.add_row([*drives, (leaving, -1.0)], 0.0, 0.0)
    mip.add_row([*drives, *((c, -1.0) for c in entered.values())], 0.0, 0.0)
    _bound_arrivals(season, b, ride, arrivals, entered)


def _bound_leaves(season: Season, chance: Chance) -> None:
    """A horse leaves after its last class, and before an absence that follows."""
    leaving = {
        drive: c
        for (ch, drive), c in season.rides_of.items()
        if ch is chance and drive.start == chance.place_key
    }
    latest = {w: find_latest_leave(season.problem, chance, w) for w in chance.windows}
    if chance.begun:
        latest = dict.fromkeys(chance.windows, season.problem.yard.road_days.last.toordinal())
    for day in sorted({drive.depart for drive in leaving}):
        early = [(c, 1.0) for drive, c in leaving.items() if drive.depart <= day]
        ended = [(season.window_of[chance, w], -1.0) for w in chance.windows if w.last < day]
        season.mip.add_row([*early, *ended], -INFINITY, 0.0)
        if any(limit < day for limit in latest.values()):
            late = [(c, 1.0) for drive, c in leaving.items() if drive.depart >= day]
            free = [(season.window_of[chance, w], -1.0) for w in chance.windows if latest[w] >= day]
            season.mip.add_row([*late, *free], -INFINITY, 0.0)


def keep_days_at_home(season: Season) -> None:
    """A horse is on one trip at a time, and has a whole day at home between two trips.

    Rule `one-place`.
    """
    if "one-place" in season.problem.without:
        return
    moves: dict[str, dict[int, list[tuple[int, float]]]] = defaultdict(lambda: defaultdict(list))
    for (chance, drive), column in season.rides_of.items():
        if drive.start == HOME:
            moves[chance.horse][drive.depart].append((column, -1.0))
        if drive.end == HOME:
            again = season.arrival_of(drive) + 1 + DAYS_AT_HOME
            moves[chance.horse][again].append((column, 1.0))
    gone = {chance.horse for chance in season.problem.chances if chance.begun}
    for horse, days in moves.items():
        away: int | None = None
        for day in sorted(days):
            before = [] if away is None else [(away, -1.0)]
            start = float(away is None and horse in gone)
            away = season.mip.add_variable()
            season.mip.add_row([(away, 1.0), *before, *days[day]], start, start)


def _find_home_day(problem: Problem, horse: str) -> int:
    """The first day on which a horse may leave home again after its last drive that has begun."""
    stand = problem.yard.begun.stand_of.get(horse)
    if stand is None or stand.stop != HOME:
        return 0
    return stand.since.toordinal() + 1 + DAYS_AT_HOME


def is_away(problem: Problem, who: str, first: int, last: int) -> bool:
    """Whether a horse, person or vehicle is absent on some of these days.

    Rule `window`.
    """
    if "window" in problem.without:
        return False
    return any(
        days.first.toordinal() <= last and first <= days.last.toordinal()
        for days in problem.yard.absences_of(who)
    )


def _list_leg_days(problem: Problem) -> tuple[int, int]:
    return find_first_leg_day(problem.yard), problem.yard.road_days.last.toordinal()


def add_vehicle_flows(season: Season) -> None:
    """A vehicle is at one place at a time, starts where its last leg ended, and ends at home.

    It carries horses between home and a show or from show to show, and goes empty only between
    home and a show: grounds where horses may stay on for a later show, or not far away.

    Rule `one-place`.
    """
    for fleet in season.problem.fleets:
        drives = _list_drives(season, fleet)
        events: dict[str, dict[int, list[tuple[int, float]]]] = defaultdict(
            lambda: defaultdict(list)
        )
        for drive in drives:
            column = season.mip.add_variable(0.0, float(fleet.count), integer=True)
            season.legs_of[fleet, drive] = column
            events[drive.start][drive.depart].append((column, -1.0))
            events[drive.end][season.arrival_of(drive) + 1].append((column, 1.0))
        if "one-place" in season.problem.without:
            continue
        if fleet.start != HOME:
            # Its first day there is an event, so that it waits for whoever leaves later.
            events[fleet.start].setdefault(fleet.free_from, [])
            events[HOME].setdefault(fleet.free_from, [])
        for place in sorted(events):
            _close_place(season, place, events[place], fleet)


def _close_place(
    season: Season, place: str, events: Mapping[int, list[tuple[int, float]]], fleet: Fleet
) -> None:
    waiting: int | None = None
    count = fleet.count
    days = sorted(events)
    for i, day in enumerate(days):
        terms = list(events[day])
        supply = 0.0
        if waiting is not None:
            terms.append((waiting, 1.0))
        elif place == fleet.start:
            supply = float(count)
        if i < len(days) - 1 or place == HOME:
            waiting = season.mip.add_variable(0.0, float(count))
            terms.append((waiting, -1.0))
        season.mip.add_row(terms, -supply, -supply)
        if place == HOME and i == len(days) - 1 and waiting is not None:
            season.mip.lower[waiting] = float(count)


def _list_drives(season: Season, fleet: Fleet) -> list[Drive]:
    problem = season.problem
    low, high = _list_leg_days(problem)
    low = max(low, fleet.free_from)
    wanted: set[tuple[str, str, int]] = set()
    # Whoever stands somewhere today is fetched, however far it is.
    standing = {chance.place_key for chance in problem.chances if chance.begun}
    if fleet.start != HOME:
        # A lorry that is away may go home empty on any day.
        wanted.update((fleet.start, HOME, day) for day in range(fleet.free_from, high + 1))
    for _, drive in season.rides_of:
        if drive.pace != fleet.pace:
            continue
        wanted.add((drive.start, drive.end, drive.depart))
        there = problem.find_ride(HOME, drive.start, fleet.pace)
        back = problem.find_ride(drive.end, HOME, fleet.pace)
        onward = HOME not in (drive.start, drive.end)
        if there is not None and (
            onward or drive.start in standing or _may_go_empty(problem, drive.start, there)
        ):
            wanted.add((HOME, drive.start, drive.depart - there.days))
        if back is not None and (
            onward or drive.end in standing or _may_go_empty(problem, drive.end, back)
        ):
            wanted.add((drive.end, HOME, season.arrival_of(drive) + 1))
    absent = () if "window" in problem.without else fleet.absences
    drives = []
    for start, end, depart in sorted(wanted):
        if problem.find_ride(start, end, fleet.pace) is None:
            continue
        drive = Drive(start, end, depart, fleet.pace)
        arrive = season.arrival_of(drive)
        clear = not any(first <= arrive and depart <= last for first, last in absent)
        if depart >= low and arrive <= high and clear:
            drives.append(drive)
    return drives


def _may_go_empty(problem: Problem, place: str, ride: Ride) -> bool:
    """A lorry goes empty where horses may stay on without it, or where it is not far."""
    stays = sum(show.place_key == place for show in problem.yard.shows) > 1
    return stays or ride.hours <= EMPTY_RUN_HOURS


def carry_horses(season: Season) -> None:
    """No horse moves without a vehicle, and none carries more horses than it has places.

    Rule `places`.
    """
    aboard: dict[Drive, list[int]] = defaultdict(list)
    for (_, drive), column in season.rides_of.items():
        aboard[drive].append(column)
    for drive, columns in aboard.items():
        carriers = [
            (season.legs_of[fleet, drive], fleet)
            for fleet in season.problem.fleets
            if (fleet, drive) in season.legs_of
        ]
        for column in columns:
            season.mip.add_row([(column, 1.0), *((c, -1.0) for c, _ in carriers)], -INFINITY, 0.0)
        if "places" not in season.problem.without:
            season.mip.add_row(
                [
                    *((c, 1.0) for c in columns),
                    *((c, -float(fleet.places)) for c, fleet in carriers),
                ],
                -INFINITY,
                0.0,
            )


def cap_outings(season: Season) -> None:
    """Of one more outings than the cap in date order, the last begins 30 days after the first.

    A cap of one is kept by the horse's path, in a small season one of two as well.

    Rule `cap`.
    """
    problem = season.problem
    if "cap" in problem.without:
        return
    for horse in problem.yard.horses:
        limit = horse.limits.shows_per_30_days
        if limit == 1 or (limit == LOOK_BACK and season.small):
            continue
        past = [o.first_day.toordinal() for o in list_past(problem, horse)]
        firsts = [
            (window.first, column)
            for (chance, window), column in season.window_of.items()
            if chance.horse == horse.horse and chance.choices
        ]
        lived = {
            column
            for (chance, _), column in season.window_of.items()
            if chance.horse == horse.horse and chance.begun
        }
        known: set[frozenset[int]] = set()
        for start in sorted({day for day, _ in firsts} | set(past)):
            columns = frozenset(c for d, c in firsts if start <= d < start + CAP_WINDOW_DAYS)
            used = sum(start <= d < start + CAP_WINDOW_DAYS for d in past)
            if columns and (used or not any(columns <= other for other in known)):
                known.add(columns)
                given = len(columns & lived)
                most = max(limit - used, given)
                season.mip.add_row([(c, 1.0) for c in sorted(columns)], 0.0, most)


def keep_fit_up(season: Season) -> None:
    """A horse back in work shows only after its fit-up days.

    Rule `fit`.
    """
    if "fit" in season.problem.without:
        return
    for (chance, window), column in season.window_of.items():
        horse = season.problem.yard.horse_by_name[chance.horse]
        fit_day = find_fit_day(horse.in_work_from, horse.limits)
        late = fit_day is not None and window.first < fit_day.toordinal()
        if late and not chance.begun:
            season.mip.add_row([(column, 1.0)], 0.0, 0.0)


def keep_places(season: Season) -> None:
    """New outings at a show are at most the places left there.

    Rule `places`.
    """
    if "places" in season.problem.without:
        return
    for show in season.problem.yard.shows:
        if show.places_left is None:
            continue
        columns = [
            c
            for chance in season.problem.chances
            if chance.show == show.show and chance.new
            for c in season.attends(chance)
        ]
        yard = season.problem.yard
        entered = {horse for horse, name, _ in yard.bound_entries if name == show.show}
        taken = sum(o.show == show.show and o.horse not in entered for o in yard.begun.outings)
        if columns:
            left = float(max(0, show.places_left - taken))
            season.mip.add_row([(c, 1.0) for c in columns], 0.0, left)


def _meet_aims(season: Season) -> None:
    """An aim counts when its class is jumped, its qualification reached, an outing prepared it."""
    problem, mip, yard = season.problem, season.mip, season.problem.yard
    for aim in yard.aims:
        chance = next(
            (c for c in problem.chances if (c.horse, c.show) == (aim.horse, aim.show)), None
        )
        if chance is None:
            continue
        there = {
            c.day: season.choice_of[chance, c]
            for c in chance.choices
            if aim.class_name in ("", c.name)
        }
        if not there:
            continue
        met = season.aim_of[aim] = mip.add_variable(integer=True)
        goal = there.values() if aim.class_name else season.attends(chance)
        mip.add_row([(met, 1.0), *((c, -1.0) for c in goal)], -INFINITY, 0.0)
        _prepare_aim(season, aim, chance, met)
        _qualify_aim(season, aim, chance, met)


def _prepare_aim(season: Season, aim: Aim, chance: Chance, met: int) -> None:
    low, high = PREPARATION_DAYS
    mip, yard = season.mip, season.problem.yard
    parts = []
    for window in chance.windows:
        part = mip.add_variable()
        parts.append((part, -1.0))
        mip.add_row([(part, 1.0), (season.window_of[chance, window], -1.0)], -INFINITY, 0.0)
        past = any(
            low <= window.first - o.last_day.toordinal() <= high
            for o in yard.history.get(aim.horse, ())
        )
        if not past:
            before = [
                (column, -1.0)
                for (other, w), column in season.window_of.items()
                if other.horse == aim.horse
                and other.show != aim.show
                and other.choices
                and low <= window.first - w.last <= high
            ]
            mip.add_row([(part, 1.0), *before], -INFINITY, 0.0)
    mip.add_row([(met, 1.0), *parts], -INFINITY, 0.0)


def _qualify_aim(season: Season, aim: Aim, chance: Chance, met: int) -> None:
    if not aim.series or not (aim.points_needed or aim.starts_needed):
        return
    first = min(w.first for w in chance.windows)
    by = first if aim.by is None else min(first, aim.by.toordinal())
    points, starts = count_past_points(season.problem, aim, by)
    written = {(r.show, r.class_name) for r in season.problem.yard.results if r.horse == aim.horse}
    earlier = [
        (choice, column)
        for (other, choice), column in season.choice_of.items()
        if other.horse == aim.horse
        and other.show != aim.show
        and choice.series == aim.series
        and choice.day < by
        # A class whose result is written was jumped already: it would count twice.
        and (other.show, choice.name) not in written
    ]
    for needed, so_far, values in (
        (float(aim.points_needed), points, [(c, float(ch.points)) for ch, c in earlier]),
        (float(aim.starts_needed), float(starts), [(c, 1.0) for _, c in earlier]),
    ):
        missing = needed - so_far
        if missing > 0:
            season.mip.add_row(
                [(met, missing), *((c, -value) for c, value in values)], -INFINITY, 0.0
            )


def count_past_points(problem: Problem, aim: Aim, by: int) -> tuple[float, int]:
    """Points and starts of a horse in the aim's series: results before today, and outings done.

    Of what was done without a written result the expected points count.
    """
    yard = problem.yard
    points, starts = 0.0, 0
    written = {(r.show, r.class_name) for r in yard.results if r.horse == aim.horse}
    for outing in yard.begun.done:
        for name in outing.classes if outing.horse == aim.horse else ():
            offered = yard.find_class(outing.show, name)
            if offered is None or (outing.show, name) in written:
                continue
            if offered.series == aim.series and offered.day.toordinal() < by:
                points += float(offered.points)
                starts += 1
    for result in yard.results:
        if result.horse != aim.horse or result.date >= yard.day_of_planning:
            continue
        if result.date.toordinal() >= by:
            continue
        offered = yard.find_class(result.show, result.class_name)
        series = result.series or (offered.series if offered else "")
        if series == aim.series:
            points += float(result.points)
            starts += 1
    return points, starts
