"""Horses that are away today: the show each stands at, and when it can go on from there.

What has begun is not planned again: the classes that were jumped or still can be are given, and
so is the day it came. Open is only when it leaves, for home or for another show. A horse whose
outing fell away (lame, scratched, moved by the organiser) stands there all the same.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from tripkit.planning.chances import (
    Chance,
    Choice,
    Window,
    drop_entry,
    explain_class,
    find_bar,
    find_clash,
    find_evening,
    find_stabling,
    make_choice,
)
from tripkit.yard.answers import Bar
from tripkit.yard.circuit import DroppedEntry, Stand
from tripkit.yard.facts import state
from tripkit.yard.horses import Horse
from tripkit.yard.places import HOME
from tripkit.yard.shows import Show, ShowClass, Start
from tripkit.yard.yard import Yard


def weigh_standing(
    yard: Yard,
    horse: Horse,
    without: frozenset[str],
    late_days: int,
) -> tuple[Chance | None, list[DroppedEntry]]:
    """Where a horse that is away goes on from, and the entries it loses; None at home or a base.

    It leaves while stabling is open, or up to `late_days` later, where nobody can come in time.
    """
    stand = yard.begun.stand_of.get(horse.horse)
    if stand is None or stand.stop == HOME:
        return None, []
    outing = next(
        (
            o
            for o in yard.begun.outings
            if o.horse == horse.horse and (o.horse, o.show) in yard.begun.under_way
        ),
        None,
    )
    if outing is None and stand.stop in yard.base_of:
        return None, []
    show = yard.show_by_name[stand.stop if outing is None else outing.show]
    lost: list[DroppedEntry] = []
    came = _Came(
        horse,
        show,
        stand.since.toordinal() if outing is None else outing.arrive.toordinal(),
        _find_rider(yard, horse, show) if outing is None else outing.rider,
        () if outing is None else outing.classes,
    )
    choices = _list_choices(yard, came, without, lost)
    today = yard.day_of_planning.toordinal()
    days = [c.day for c in choices] or [max(today, stand.since.toordinal())]
    window = Window(min(days), max(days))
    begin = max(window.last, today, stand.since.toordinal()) + 1
    stabling = find_stabling(yard, show, without)
    until = max(begin, stabling[1]) + late_days
    known = [show.find_class(choice.name) for choice in choices if choice.day == window.last]
    evening = find_evening(yard, horse, [c for c in known if c is not None])
    lives = stand.stop in yard.base_of
    chance = Chance(
        horse.horse,
        show.show,
        show.place_key,
        tuple(choices),
        (window,),
        (),
        () if lives else tuple(range(begin, until + 1)),
        stabling,
        show.stall_fee_cents if choices and not lives else 0,
        0,
        False,
        evenings=((window.last, evening),) if lives or today < window.last <= stabling[1] else (),
        came=came.day,
    )
    return chance, lost


def list_left_behind(yard: Yard, horse: Horse, show: Show) -> list[DroppedEntry]:
    """Entries for classes still to come at a show that the horse has left already."""
    left = Bar("window", state("planning.has-left", horse=horse.horse, show=show.show))
    return [
        drop_entry(yard, horse, show, c, left)
        for c in show.classes
        if c.day > yard.day_of_planning and (horse.horse, show.show, c.name) in yard.bound_entries
    ]


@dataclass(frozen=True)
class _Came:
    """A horse that came to a show on a day, with its rider, for classes that it still can jump."""

    horse: Horse
    show: Show
    day: int
    rider: str
    classes: tuple[str, ...]


def _find_rider(yard: Yard, horse: Horse, show: Show) -> str:
    """Who came along: the horse's own rider, else the one who was published."""
    outings = () if yard.published is None else yard.published.outings
    published = (o.rider for o in outings if (o.horse, o.show) == (horse.horse, show.show))
    return horse.rider or next(published, "")


def _list_choices(
    yard: Yard, came: _Came, without: frozenset[str], lost: list[DroppedEntry]
) -> list[Choice]:
    """The classes of an outing that has begun; those to come must still be allowed."""
    taken: list[Start] = []
    horse, show = came.horse, came.show
    # What was published comes before what was entered since.
    for offered in sorted(show.classes, key=lambda c: (c.name not in came.classes, c.day, c.name)):
        entered = (horse.horse, show.show, offered.name) in yard.bound_entries
        to_come = offered.day > yard.day_of_planning
        given = offered.name in came.classes
        if not given and not (entered and to_come):
            continue
        start = Start(horse, offered, came.rider)
        if to_come:
            bar = _find_obstacle(yard, came, offered, without)
            if bar is None and not given:
                bar = find_clash(yard, start, taken, without)
            if bar is not None:
                if entered:
                    lost.append(drop_entry(yard, horse, show, offered, bar))
                continue
        taken.append(start)
    riders = frozenset((came.rider,))
    found = (replace(make_choice(s.offered, horse, riders), bound=True) for s in taken)
    return sorted(found, key=lambda c: (c.day, c.name))


def _find_obstacle(
    yard: Yard, came: _Came, offered: ShowClass, without: frozenset[str]
) -> Bar | None:
    horse, show, last = came.horse, came.show, offered.day.toordinal()
    bar = explain_class(yard, horse, show, offered, came.rider, without)
    return bar or find_bar(yard, horse, show, came.day, last, without)


def find_free_day(yard: Yard, stand: Stand | None) -> int:
    """The first day on which a vehicle may set out: what has begun today is not planned again."""
    if not yard.begun.legs:
        return 0
    since = yard.day_of_planning if stand is None else max(yard.day_of_planning, stand.since)
    return since.toordinal() + 1
