"""The whole season as one program: when, where and how, joined by classes, riders, places, aims.

One function per rule or concern; each first docstring line is the rule in words. What a horse keeps
by itself stands in `paths` and `places`, what a lorry keeps in `lorries`, money in `spending`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from tripkit.planning.chances import Chance, Window
from tripkit.planning.lorries import add_vehicle_flows, carry_horses
from tripkit.planning.mip import INFINITY
from tripkit.planning.paths import (
    LOOK_BACK,
    Check,
    Enter,
    HorseGraph,
    build_horse_graph,
    list_past,
)
from tripkit.planning.places import BACK, BASE, Arc, Node, PlaceNet, build_place_nets
from tripkit.planning.problem import Problem
from tripkit.planning.program import Change, Move, Season
from tripkit.planning.riding import couple_riders
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Aim, Horse
from tripkit.yard.places import HOME
from tripkit.yard.recovery import (
    CAP_WINDOW_DAYS,
    PREPARATION_DAYS,
    count_rest_days,
    find_fit_day,
)
from tripkit.yard.shows import Start
from tripkit.yard.yard import Yard


def build_season(
    problem: Problem,
    *,
    extra_days: int = 0,
    count_checks: bool = False,
    breaking: Collection[str] | None = None,
) -> Season:
    """Builds the program of a problem; `extra_days` asks for more clear days than `recovery`.

    `breaking` are the horses whose breaks are kept, None for all. A program that leaves breaks
    out is smaller, and its bound still holds.
    """
    season = Season(problem)
    nets = build_place_nets(problem)
    for name, net in nets.items():
        chances = [c for c in problem.chances if c.horse == name]
        graph = build_horse_graph(
            problem,
            problem.yard.horse_by_name[name],
            chances,
            net.extras,
            extra_days=extra_days,
            count_checks=count_checks,
            count_runs=breaking is None or name in breaking,
            count_cap=season.small,
        )
        season.graphs[name] = graph
        _mark_path(season, graph)
        for chance in chances:
            _choose_window(season, chance)
            choose_classes(season, chance)
        add_places(season, net, name)
    add_vehicle_flows(season)
    carry_horses(season)
    keep_horse_days(season)
    _add_begun_nights(season)
    keep_boxes(season)
    keep_recovery(season)
    couple_riders(season)
    cap_outings(season)
    keep_most_outings(season)
    count_missing(season)
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
        if choice.bound and (chance.begun or not season.problem.free):
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


def add_places(season: Season, net: PlaceNet, horse: str) -> None:
    """A horse is at one place at a time, and every visit of its path is one of its places too.

    Rule `one-place`.
    """
    mip = season.mip
    balance: dict[Node, list[tuple[int, float]]] = defaultdict(list)
    arrived: dict[Enter, list[tuple[int, float]]] = defaultdict(list)
    stayed: dict[Enter, list[tuple[int, float]]] = defaultdict(list)
    for tail, head, step in net.arcs:
        column = mip.add_variable(integer=isinstance(step, Move | Change))
        balance[tail].append((column, -1.0))
        balance[head].append((column, 1.0))
        _add_nights(season, (tail, head, step), column)
        if isinstance(step, Move):
            season.moves_of[step] = column
        elif isinstance(step, Change):
            season.changes_of[step] = column
        elif step is not None:
            season.attendance_of[step] = column
            arrived[Enter(step.chance, step.window, step.extra)].append((column, 1.0))
            if step.after is not None:
                stayed[Enter(step.chance, step.window, 0, step.after)].append((column, 1.0))
            for enter in season.enter_of if step.boxed else ():
                # Who lives in the town stays on there from whichever show before.
                same = enter.chance is step.chance and enter.window == step.window
                if same and enter.after is not None:
                    stayed[enter].append((column, 1.0))
    for node, terms in balance.items():
        supply = float(node == net.sink) - float(node == net.source)
        mip.add_row(terms, supply, supply)
    for enter, column in season.enter_of.items():
        if enter.chance.horse == horse and not enter.chance.begun:
            # In a row of shows a horse comes from the one before.
            if enter.after is not None:
                mip.add_row([(column, 1.0), *_less(stayed[enter])], -INFINITY, 0.0)
            arrived[replace(enter, after=None)].append((column, -1.0))
    for terms in arrived.values():
        mip.add_row(terms, 0.0, 0.0)


def _add_nights(season: Season, arc: Arc, column: int) -> None:
    """The nights of a horse at a base while it goes along an arc of its net."""
    (_, early), (spot, late), step = arc
    first = season.arrival_of(step) if isinstance(step, Move) else early // 2
    if spot.kind in (BASE, BACK) and first < late // 2:
        season.nights_of.setdefault(spot.place, {})[column] = range(first, late // 2)


def _less(terms: Iterable[tuple[int, float]]) -> list[tuple[int, float]]:
    return [(column, -value) for column, value in terms]


def keep_horse_days(season: Season) -> None:
    """A horse that comes and goes on one day has its hours on the road for both drives.

    Rule `driving`.
    """
    problem = season.problem
    same_day = [(move, c) for move, c in season.moves_of.items() if move.on_the_day]
    comes = [(move, c) for move, c in same_day if move.comes is not None and move.comes.mornings]
    for coming, column in comes if "driving" not in problem.without else ():
        for going, other in same_day:
            together = going.leaves is coming.comes and going.depart == coming.depart
            if together and not problem.may_share_day((*coming.drives, *going.drives)):
                season.mip.add_row([(column, 1.0), (other, 1.0)], 0.0, 1.0)


def _add_begun_nights(season: Season) -> None:
    """The nights from today on of a horse at a base until it may leave: no choice any more."""
    yard = season.problem.yard
    for stand in yard.begun.stands:
        base = yard.base_of.get(stand.stop)
        if base is not None and stand.who in season.graphs:
            first = max(stand.since, yard.day_of_planning).toordinal()
            begun = [c for c in season.problem.chances if c.horse == stand.who and c.begun]
            end = max([first + 1, *(c.windows[0].last for c in begun)])
            column = season.mip.add_variable(1.0, 1.0)
            season.nights_of.setdefault(base.place_key, {})[column] = range(first, end)


def keep_boxes(season: Season) -> None:
    """At a base stand no more horses by night than it has boxes.

    Rule `bases`.
    """
    for place, nights_of in (
        season.nights_of.items() if "bases" not in season.problem.without else ()
    ):
        base = season.problem.yard.base_at[place]
        by_night: dict[int, set[int]] = defaultdict(set)
        for column, nights in nights_of.items():
            for night in nights:
                by_night[night].add(column)
        known: set[frozenset[int]] = set()
        for columns in map(frozenset, by_night.values()):
            if len(columns) > base.boxes and columns not in known:
                known.add(columns)
                season.mip.add_row([(c, 1.0) for c in sorted(columns)], 0.0, float(base.boxes))


def keep_recovery(season: Season) -> None:
    """Drives to a base or from it home take from the recovery when the no-jump days are over.

    The horses' paths count the way to a show, their places one from a show home. Each row holds
    for the outings that are recovered from one day on and go on by another, and asks that the
    drives between take no more than what lies between.

    Rule `recovery`.
    """
    problem = season.problem
    if not problem.yard.bases or "recovery" in problem.without:
        return
    for name in season.graphs:
        limits = problem.yard.horse_by_name[name].limits
        schools = 2 * limits.schools_before_show
        runs: list[tuple[int, int, int]] = []
        for move, column in season.moves_of.items():
            end = move.drives[-1].end
            if move.horse == name and move.comes is None and (end != HOME or move.leaves is None):
                hours = sum(season.ride_for(drive).hours for drive in move.drives)
                days = season.arrival_of(move) - move.depart + 1
                taken = days + count_rest_days(hours, limits)
                runs.append((move.depart, taken, column))
        ends: dict[int, list[int]] = defaultdict(list)
        for (chance, window), column in season.window_of.items():
            if chance.horse == name and chance.choices:
                ends[problem.compute_ready(name, window.last)].append(column)
        past = [
            o.last_day.toordinal() for o in list_past(problem, problem.yard.horse_by_name[name])
        ]
        lived = problem.compute_ready(name, max(past)) if past else None
        begins: dict[int, list[int]] = defaultdict(list)
        for there, column in season.attendance_of.items():
            if there.chance.horse == name and there.after is None:
                begins[
                    there.window.first + 1 if there.boxed else there.window.first - there.extra
                ].append(column)
        longest = max((taken for _, taken, _ in runs), default=0)
        for ready in sorted({*ends, *(() if lived is None else (lived,))}):
            for spare in range(3 * longest):
                key = ready + spare
                between = [
                    (column, float(taken))
                    for depart, taken, column in runs
                    if ready - schools <= depart < key - 1
                ]
                before, after = ends.get(ready, []), begins.get(key, [])
                most = sum(taken for _, taken in between)
                if not after or not between or most <= spare:
                    continue
                much = min(most - spare, schools + 4.0 * longest)
                given = float(lived == ready)
                season.mip.add_row(
                    [*between, *((c, much) for c in (*before, *after))],
                    -INFINITY,
                    spare + (2.0 - given) * much,
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


def keep_most_outings(season: Season) -> None:
    """A horse has no new outing beyond the most that is wanted of it in the season.

    Rule `most-outings`.
    """
    if "most-outings" in season.problem.without:
        return
    for horse in season.problem.yard.horses:
        most = horse.outings_wanted.most
        if most is not None:
            given, chances = _count_given(season, horse)
            new = [c for chance in chances if chance.new for c in season.attends(chance)]
            bound = sum(not chance.new for chance in chances)
            season.mip.add_row([(c, 1.0) for c in new], 0.0, float(max(0, most - given - bound)))


def count_missing(season: Season) -> None:
    """The outings that a horse lacks of the least that is wanted of it, a column each."""
    for horse in season.problem.yard.horses:
        given, chances = _count_given(season, horse)
        missing = horse.outings_wanted.count_missing(given)
        if missing:
            column = season.missing_of[horse.horse] = season.mip.add_variable(0.0, float(missing))
            attends = [(c, 1.0) for chance in chances for c in season.attends(chance)]
            season.mip.add_row([(column, 1.0), *attends], float(missing), INFINITY)


def _count_given(season: Season, horse: Horse) -> tuple[int, list[Chance]]:
    """A horse's outings of the season that are past, and the chances that may be more of them."""
    past = list_past(season.problem, horse)
    given = sum(o.first_day >= season.problem.yard.season.first for o in past)
    own = [c for c in season.problem.chances if c.horse == horse.horse]
    return given, [c for c in own if c.bound or not c.begun]


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
        ways = []
        for window in chance.windows:
            way = mip.add_variable()
            ways.append((way, -1.0))
            mip.add_row([(way, 1.0), (season.window_of[chance, window], -1.0)], -INFINITY, 0.0)
            _prepare_aim(season, aim, window, way)
            _qualify_aim(season, aim, window, way)
        mip.add_row([(met, 1.0), *ways], -INFINITY, 0.0)


def _prepare_aim(season: Season, aim: Aim, window: Window, way: int) -> None:
    """An outing ended 10 to 45 days before the window in which the aim is met."""
    low, high = PREPARATION_DAYS
    past = any(
        low <= window.first - o.last_day.toordinal() <= high
        for o in season.problem.yard.history.get(aim.horse, ())
    )
    if past:
        return
    before = [
        (column, -1.0)
        for (other, w), column in season.window_of.items()
        if other.horse == aim.horse
        and other.show != aim.show
        and other.choices
        and low <= window.first - w.last <= high
    ]
    season.mip.add_row([(way, 1.0), *before], -INFINITY, 0.0)


def _qualify_aim(season: Season, aim: Aim, window: Window, way: int) -> None:
    """Points and starts are reached before the window in which the aim is met."""
    if not aim.series or not (aim.points_needed or aim.starts_needed):
        return
    by = window.first if aim.by is None else min(window.first, aim.by.toordinal())
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
                [(way, missing), *((c, -value) for c, value in values)], -INFINITY, 0.0
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
