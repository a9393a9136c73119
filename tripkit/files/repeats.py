"""The days on which events of a calendar fall, those that come again included.

Lets in recurring-ical-events, on a ration: a rule may be written so that it is looked for until
the year 9999 and never met.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from inspect import CO_GENERATOR
from types import FrameType
from typing import Any

from tripkit.files.calendar_events import CalendarEvent
from tripkit.files.faults import Faults
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import state

MARGIN_DAYS = 31
MOST_REPEATING = 500
MOST_SHOWS = 5_000
STEPS_PER_YARD = 400_000
STEPS_PER_EVENT = 10_000
STEPS_PER_PERIOD = 10
STEPS_PER_TIME = 300
PLAIN_STEPS = 1_000
# Beyond the plain steps: each year looked at builds tables of its days.
STEP_WEIGHTS = {"MONTHLY": 3, "YEARLY": 25}
PERIOD_DAYS = {"DAILY": 1, "WEEKLY": 7, "MONTHLY": 28, "YEARLY": 365}
MARK = "X-TRIPKIT-NUMBER"


@dataclass(frozen=True)
class Occurrence:
    """One time that an event takes place; `day` is the day it was first set for."""

    event: CalendarEvent
    day: date
    first: date
    last: date

    @property
    def key(self) -> tuple[str, date | None]:
        """What stays the same when the event moves: the day only where it is one of several."""
        several = self.event.repeats or self.event.recurrence is not None
        return (self.event.uid, self.day if several else None)


class _TooLong(BaseException):
    """The ration is used up; no handler of a library's may take it for its own."""


class _Ration:
    """Steps that work may take, where a step is a call of a function.

    Counted steps and not seconds, so that the answer is the same on every machine.
    """

    def __init__(self, steps: int) -> None:
        self.left = steps

    @property
    def is_spent(self) -> bool:
        """Whether nothing is left."""
        return self.left <= 0

    def run(self, steps: int, weight: int, work: Callable[[], Any]) -> Any:
        """Do the work; raises `_TooLong` after so many steps, or where none are left.

        What goes beyond the plain steps takes `weight` times as much of the ration.
        """
        allowed = min(steps, self.left)
        used = 0

        def count(frame: FrameType, event: str, argument: object) -> None:
            nonlocal used
            used += event == "call"
            # What is raised while a generator is put away would be lost.
            if used > allowed and not frame.f_code.co_flags & CO_GENERATOR:
                raise _TooLong

        before = sys.getprofile()
        sys.setprofile(count)
        try:
            return work()
        finally:
            sys.setprofile(before)
            self.left -= used + max(0, used - PLAIN_STEPS) * (weight - 1)


def add_margin(season: DaySpan) -> DaySpan:
    """The days whose shows are read: the season, and a month before and after it."""
    margin = timedelta(days=MARGIN_DAYS)
    return DaySpan(season.first - margin, season.last + margin)


def keep_newest(events: Iterable[CalendarEvent]) -> list[CalendarEvent]:
    """Of several states of one event the newest, in the place of the first.

    Programs that give one uid to different events are met: with another name and another day
    it is another event, of a uid with a number behind it.
    """
    kept: dict[tuple[str, date | None], CalendarEvent] = {}
    numbers: dict[tuple[str, date | None], int] = {}
    for event in events:
        other = kept.get(event.key)
        if other is not None and not _is_same(other, event):
            numbers[event.key] = numbers.get(event.key, 1) + 1
            other_uid = f"{event.uid}#{numbers[event.key]}"
            kept[other_uid, event.recurrence] = replace(event, uid=other_uid)
        elif other is None or not event.is_older_than(other):
            kept[event.key] = event
    return list(kept.values())


def _is_same(one: CalendarEvent, other: CalendarEvent) -> bool:
    if one.cancelled or other.cancelled:
        return True
    return one.name == other.name if one.first != other.first else one.known and other.known


def list_occurrences(
    events: Sequence[CalendarEvent], window: DaySpan | None, faults: Faults
) -> list[Occurrence]:
    """Every time that events take place within a window, in file order, then by day.

    Cancelled ones are left out. Without a window each event counts once. An event that cannot
    be followed is a fault.
    """
    sets: dict[str, list[CalendarEvent]] = {}
    for event in events:
        sets.setdefault(event.uid, []).append(event)
    ration = _Ration(STEPS_PER_YARD)
    found: list[Occurrence] = []
    repeating = 0
    for group in sets.values():
        single = group[0]
        if window is None or not (len(group) > 1 or single.repeats or single.recurrence):
            if not single.cancelled and (window is None or _is_in(single, window)):
                found.append(Occurrence(single, single.first, single.first, single.last))
            continue
        repeating += len(group)
        if repeating > MOST_REPEATING:
            faults.add(
                single.where, state("faults.one-of-more-than-that", most_repeating=MOST_REPEATING)
            )
            return found
        if ration.is_spent:
            faults.add(single.where, state("faults.comes-again-and-was-not"))
            continue
        found += _follow(group, window, ration, faults)
        if len(found) > MOST_SHOWS:
            faults.add(
                single.where, state("faults.makes-more-than-shows-with", most_shows=MOST_SHOWS)
            )
            return found
    return found


def _is_in(event: CalendarEvent, window: DaySpan) -> bool:
    return event.first <= window.last and window.first <= event.last


def _follow(
    group: Sequence[CalendarEvent], window: DaySpan, ration: _Ration, faults: Faults
) -> list[Occurrence]:
    head = next((event for event in group if event.recurrence is None), group[0])
    if head.cancelled and head.recurrence is None:
        return []
    # Not on the ration: the first event would pay for all.
    import icalendar
    import recurring_ical_events

    calendar = icalendar.Calendar()
    for number, event in enumerate(group):
        calendar.add_component(make_component(event, number))
    try:
        met = ration.run(
            _count_steps(head, group, window),
            next((w for name, w in STEP_WEIGHTS.items() if name in head.rule), 1),
            lambda: _expand(recurring_ical_events.of(calendar), window),
        )
    except _TooLong:
        ration.left = 0
        faults.add(
            head.where,
            state("faults.comes-again-by-rule-that"),
            column="RRULE",
            value=head.rule,
        )
        return []
    # The library raises whatever it trips over; to the user every one of them means the same.
    except Exception as error:
        faults.add(
            head.where,
            state("faults.cannot-be-followed", name=type(error).__name__, error=str(error)),
            column="RRULE",
            value=head.rule,
        )
        return []
    occurrences = []
    for number, day, first, last in sorted(met, key=lambda one: one[1:]):
        event = group[number]
        if not event.cancelled:
            occurrences.append(Occurrence(event, day, first, last))
    return occurrences


def _count_steps(head: CalendarEvent, group: Sequence[CalendarEvent], window: DaySpan) -> int:
    """What a rule takes at most that is met in most of its periods, as rules of shows are."""
    period_days = next((d for name, d in PERIOD_DAYS.items() if name in head.rule), 1)
    per_period = 1 + head.rule.count(",")
    periods = max(0, (window.last - head.first).days // period_days) * per_period
    times = (window.days // period_days + 1) * per_period + len(group)
    times += len(head.more_days) + len(head.fewer_days)
    return STEPS_PER_EVENT + STEPS_PER_PERIOD * periods + STEPS_PER_TIME * times


def _expand(query: Any, window: DaySpan) -> list[tuple[int, date, date, date]]:
    """Number in the group, day first set, first day, last day of each time within a window."""
    met = []
    for component in query.between(window.first, window.last + timedelta(days=1)):
        first, end = component.start, component.end
        last = max(first, end - timedelta(days=1))
        if first > window.last or last < window.first:
            continue
        replaced = component.get("RECURRENCE-ID")
        day = replaced.dt if replaced is not None else first
        met.append((int(component[MARK]), day, first, last))
    return met


def make_component(event: CalendarEvent, number: int | None = None) -> Any:
    """The event in whole days as a VEVENT of icalendar; with its number for `_expand`."""
    from icalendar import Event
    from icalendar.prop import vRecur

    component = Event()
    component.add("uid", event.uid)
    component.add("dtstart", event.first)
    component.add("dtend", event.last + timedelta(days=1))
    component.add("sequence", event.version[0])
    if event.rule:
        component.add("rrule", vRecur.from_ical(event.rule))
    if event.more_days:
        component.add("rdate", list(event.more_days), parameters={"VALUE": "DATE"})
    if event.fewer_days:
        component.add("exdate", list(event.fewer_days), parameters={"VALUE": "DATE"})
    if event.recurrence is not None:
        onwards = {"RANGE": "THISANDFUTURE"} if event.onwards else {}
        component.add("recurrence-id", event.recurrence, parameters=onwards)
    if number is not None:
        component.add(MARK, str(number))
    return component
