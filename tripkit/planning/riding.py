"""Who rides: a rider of the horse's own or one who fits, at one place on one day."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from datetime import date

from tripkit.planning.chances import Chance
from tripkit.planning.mip import INFINITY
from tripkit.planning.program import Season


def couple_riders(season: Season) -> None:
    """Every horse has its rider, and every rider can be where the horses are."""
    choose_riders(season)
    keep_riders_in_one_place(season)


def choose_riders(season: Season) -> None:
    """A horse that names a rider is ridden by that rider only, else by one who fits.

    Another rides it where its rider is absent on the day of a class that it jumps.
    """
    for chance in season.problem.chances:
        names = sorted(frozenset().union(*(c.riders for c in chance.choices)))
        if season.problem.sole_rider_of[chance.horse] or not chance.choices:
            continue
        for name in names:
            season.rider_of[chance, name] = season.mip.add_variable(integer=True)
        season.mip.add_row(
            [
                *((season.rider_of[chance, name], 1.0) for name in names),
                *((w, -1.0) for w in season.attends(chance)),
            ],
            0.0,
            0.0,
        )
        for choice in chance.choices:
            season.mip.add_row(
                [
                    (season.choice_of[chance, choice], 1.0),
                    *((season.rider_of[chance, name], -1.0) for name in sorted(choice.riders)),
                ],
                -INFINITY,
                0.0,
            )
        _keep_stand_ins_out(season, chance)


def _keep_stand_ins_out(season: Season, chance: Chance) -> None:
    yard = season.problem.yard
    own = yard.horse_by_name[chance.horse].rider
    for name in yard.riders if own and not chance.begun else ():
        if name != own and (chance, name) in season.rider_of:
            missed = [
                (season.choice_of[chance, choice], 1.0)
                for choice in chance.choices
                if yard.is_absent(own, date.fromordinal(choice.day))
            ]
            stands_in = (season.rider_of[chance, name], -1.0)
            season.mip.add_row([*missed, stands_in], 0.0, INFINITY)


def keep_riders_in_one_place(season: Season) -> None:
    """A rider is at one place on one day, has time to drive, and rides so many at a show.

    Rule `rider`.
    """
    problem, mip = season.problem, season.mip
    if "rider" in problem.without:
        return
    for rider in problem.yard.riders.values():
        present = _list_lived_days(season, rider.person)
        for (chance, choice), column in season.choice_of.items():
            sole = problem.sole_rider_of[chance.horse]
            key = (choice.day, chance.place_key)
            # Who came with a horse that is away rides it on, whoever it names since.
            came = chance.begun and rider.person in choice.riders
            if came or (sole == rider.person and not chance.begun):
                there = present.setdefault(key, mip.add_variable())
                mip.add_row([(column, 1.0), (there, -1.0)], -INFINITY, 0.0)
            elif not chance.begun and not sole and rider.person in choice.riders:
                there = present.setdefault(key, mip.add_variable())
                rides = season.rider_of[chance, rider.person]
                mip.add_row([(column, 1.0), (rides, 1.0), (there, -1.0)], -INFINITY, 1.0)
        _separate_days(season, present)
        _limit_horses(season, rider.person, rider.horses_per_show)


def _list_lived_days(season: Season, rider: str) -> dict[tuple[int, str], int]:
    """The class days of outings that are over, as columns that are one."""
    yard = season.problem.yard
    found: dict[tuple[int, str], int] = {}
    for outing in yard.begun.done:
        for name in outing.classes if outing.rider == rider else ():
            offered = yard.find_class(outing.show, name)
            if offered is not None:
                key = (offered.day.toordinal(), yard.place_key_of(outing.show))
                found.setdefault(key, season.mip.add_variable(1.0, 1.0))
    return found


def _separate_days(season: Season, present: Mapping[tuple[int, str], int]) -> None:
    by_day: dict[int, list[tuple[str, int]]] = defaultdict(list)
    for (day, place), column in sorted(present.items()):
        by_day[day].append((place, column))
    # Two days that are both lived are past, however close.
    lived = season.problem.yard.day_of_planning.toordinal() if season.problem.yard.begun.legs else 0
    longest = max(
        (season.problem.count_rider_gap(a, b) for _, a in present for _, b in present),
        default=0,
    )
    for day, there in by_day.items():
        if len(there) > 1 and day > lived:
            season.mip.add_row([(c, 1.0) for _, c in there], 0.0, 1.0)
        for gap in range(longest):
            for place, column in there:
                later = [
                    c
                    for other, c in by_day.get(day + gap + 1, ())
                    if other != place and season.problem.count_rider_gap(place, other) > gap
                ]
                if later and day + gap + 1 > lived:
                    season.mip.add_row([(column, 1.0), *((c, 1.0) for c in later)], 0.0, 1.0)


def _limit_horses(season: Season, rider: str, limit: int) -> None:
    by_show: dict[str, list[int]] = defaultdict(list)
    given = Counter(o.show for o in season.problem.yard.begun.done if o.rider == rider)
    for chance in season.problem.chances:
        if chance.begun:
            given[chance.show] += any(rider in choice.riders for choice in chance.choices)
        elif season.problem.sole_rider_of[chance.horse] == rider:
            by_show[chance.show] += season.attends(chance)
        elif (chance, rider) in season.rider_of:
            by_show[chance.show].append(season.rider_of[chance, rider])
    for show, columns in by_show.items():
        most = max(limit - given[show], 0)
        season.mip.add_row([(c, 1.0) for c in columns], 0.0, float(most))
