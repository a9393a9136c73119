"""One horse's season as a set list: week by week, with place and reason."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import groupby

from markupsafe import Markup

from tripkit.dashboard.markup import render
from tripkit.words import page as words
from tripkit.words.days import find_absence, find_rested_outing, tell_what
from tripkit.words.formats import write_date, write_span
from tripkit.yard.circuit import Circuit, Day
from tripkit.yard.places import HOME
from tripkit.yard.yard import Yard

ROUTINE = ("flat", "hack", "turnout", "day off", "rest")


def write_daylist(yard: Yard, circuit: Circuit, horse: str) -> Markup:
    """Every week of the season with the horse's days, those of the same reason on one line."""
    days = circuit.days_by_horse.get(horse, ())
    weeks = [
        _gather_week(yard, circuit, monday, tuple(week))
        for monday, week in groupby(days, key=lambda d: d.date - timedelta(days=d.date.weekday()))
    ]
    said = words.DAY_BY_DAY.format(horse=horse, circuit=circuit.name)
    return render("daylist", said=said, weeks=weeks)


def _gather_week(
    yard: Yard, circuit: Circuit, monday: date, days: tuple[Day, ...]
) -> dict[str, object]:
    runs = groupby(days, key=lambda day: _reason_of(yard, circuit, day))
    return {
        "monday": write_date(monday, yard.country),
        "is_away": any(not yard.houses(day.at) for day in days),
        "lines": [_tell_run(yard, circuit, tuple(run)) for _, run in runs],
    }


def _reason_of(yard: Yard, circuit: Circuit, day: Day) -> tuple[str, ...]:
    """Days with the same reason share a line; a class day, a drive or a school has its own."""
    if day.does not in ROUTINE or day.also:
        return (day.does, day.date.isoformat())
    rested = find_rested_outing(yard, circuit, day)
    absence = find_absence(yard, day)
    return (
        day.at,
        "" if rested is None else rested.show,
        "" if absence is None else absence.reason or words.AWAY,
    )


def _tell_run(yard: Yard, circuit: Circuit, run: tuple[Day, ...]) -> tuple[str, str, str]:
    """What kind of days they are, which, and what is done."""
    first, when = run[0], write_span(run[0].date, run[-1].date, form="in_week")
    if first.does in ROUTINE and not first.also:
        return "routine", when, _tell_routine(yard, circuit, run)
    return first.does.replace(" ", "-"), when, tell_what(yard, circuit, first)


def _tell_routine(yard: Yard, circuit: Circuit, run: tuple[Day, ...]) -> str:
    at, rested, away = _reason_of(yard, circuit, run[0])
    told = ", ".join(dict.fromkeys(day.does for day in run))
    if at in yard.base_of:
        told = words.AT_BASE.format(kinds=told, base=at)
    elif at not in (HOME, "road"):
        told = words.ON_THE_GROUNDS.format(kinds=told, show=at)
    if rested and rested != at:
        told = words.NO_JUMPING.format(kinds=told, show=rested)
    if away:
        told = words.AWAY_BECAUSE.format(kinds=told, reason=away)
    return told
