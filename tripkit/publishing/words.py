"""What a feed says of each event, as facts: `words.english.feeds` has the sentences.

Names in them are cleaned for calendar programs, never changed otherwise: see `clean_text`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import lru_cache

from tripkit.season.vetlist import Certificate, VetTask
from tripkit.yard.answers import name_paper
from tripkit.yard.bases import Base
from tripkit.yard.circuit import CAR, Driver, Leg, Outing, RiderWay, Stop
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.horses import VetCheck
from tripkit.yard.papers import Paper
from tripkit.yard.places import HOME, KM_PER_MILE
from tripkit.yard.shows import AMATEUR, JUNIOR, OPEN, YOUNG, Show, ShowClass
from tripkit.yard.yard import Yard

VET_DECIDES = state("feeds.vet-decides")
ORGANISER_DECIDES = state("feeds.organiser-decides")
AT_HOME = state("feeds.home")
MOST_BROKEN = 20
VET_PAPERS = ("influenza", "herpes", "coggins", "health_certificate", "temperature_log")

Lines = tuple[Value, ...]

_LINE_BREAKS = re.compile("\r\n|[\r\v\f\x1c-\x1e\x85\u2028\u2029]")
_NOT_TEXT = re.compile(
    "[\x00-\x08\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff\ud800-\udfff]"
)


def clean_text(text: str) -> str:
    r"""Text without what a calendar file cannot hold, every kind of line break a plain one.

    Control characters are not allowed in TEXT; marks that override the direction of writing
    would turn round the words after a name; half a surrogate pair has no UTF-8.

    **Source:** RFC 5545 section 3.3.11 (TSAFE-CHAR) and 3.1 (CONTROL).

    >>> clean_text("a\r\nb\x00c\x85d\re")
    'a\nbc\nd\ne'
    """
    return _NOT_TEXT.sub("", _LINE_BREAKS.sub("\n", text))


@lru_cache(maxsize=4096)
def clean_line(text: str) -> str:
    r"""Text in one line, as titles and lists need it.

    >>> clean_line(" Alder\n  the  Great ")
    'Alder the Great'
    """
    return " ".join(clean_text(text).split())


def clean_names(names: Iterable[str]) -> tuple[str, ...]:
    """Names, each in one line."""
    return tuple(clean_line(name) for name in names)


def _clean_drivers(leg: Leg) -> tuple[Driver, ...]:
    return tuple(clean_line(d) if isinstance(d, str) else d for d in leg.drivers)


def name_stop(yard: Yard, stop: str) -> Value:
    """Home, or what people call the show or base."""
    found = yard.find_stop(stop)
    return AT_HOME if found is None else clean_line(found.title)


def state_moment(moment: datetime) -> Fact:
    """A day and a time by the clock of where it is."""
    return state("feeds.moment", day=moment.date(), at=moment.replace(tzinfo=None))


def state_span(start: date, end: date) -> Fact:
    """From when to when: whole days with an exclusive end, or times."""
    if isinstance(start, datetime) and isinstance(end, datetime):
        if start.date() == end.date():
            return state("feeds.hours", start=state_moment(start), end=end.replace(tzinfo=None))
        return state("feeds.moments", start=state_moment(start), end=state_moment(end))
    last = end - timedelta(days=1)
    if last <= start:
        return state("feeds.day", day=start)
    return state("feeds.days", first=start, last=last)


# The calendar and what it is about


def title_reader(home: str, kind: str, name: str) -> Fact:
    """Whose calendar it is."""
    return state(f"feeds.calendar-{kind}", home=clean_line(home), name=clean_line(name))


def describe_feed(yard: Yard, published: datetime | None = None) -> Lines:
    """What a whole feed is about, with the moment of its publishing at home."""
    made = state("feeds.not-published")
    if published is not None:
        made = state(
            "feeds.published",
            day=published.date(),
            at=published.replace(tzinfo=None),
            zone=f"{published:%Z}",
        )
    home, season = clean_line(yard.name), yard.season
    return (
        state("feeds.season", home=home, first=season.first, last=season.last),
        made,
        ORGANISER_DECIDES,
    )


def state_broken(told: Sequence[Value]) -> Lines:
    """Which rules the circuit breaks that a calendar shows, at the end of its description."""
    if not told:
        return ()
    shown = tuple(told[:MOST_BROKEN])
    if len(told) > MOST_BROKEN:
        return (state("feeds.breaks-more", told=shown, more=len(told) - MOST_BROKEN),)
    return (state("feeds.breaks", told=shown),)


# Stays


def title_stay(yard: Yard, outing: Outing) -> Fact:
    """Title of a stay at a show."""
    return state("feeds.stay", horse=clean_line(outing.horse), show=name_stop(yard, outing.show))


def describe_stay(
    yard: Yard, outing: Outing, way_there: Leg | None, way_back: Leg | None, *, bound: bool
) -> Lines:
    """What a stay is for: classes, rider, stalls, the drives, and whether it is entered."""
    show = yard.show_by_name[outing.show]
    classes = [c for c in map(show.find_class, outing.classes) if c is not None]
    lines = [*_list_classes(classes)]
    if outing.rider:
        lines.append(state("feeds.rider", rider=clean_line(outing.rider)))
    lines.append(state("feeds.grounds", first=outing.arrive, last=outing.leave))
    lines.append(state("feeds.stalls", first=show.stabling.first, last=show.stabling.last))
    if way_there is not None:
        lines.append(state("feeds.way-there", **_describe_way(way_there)))
    if way_back is not None and yard.houses(way_back.end):
        lines.append(state("feeds.way-back", **_describe_way(way_back)))
    elif way_back is not None:
        lines.append(state("feeds.way-on", **_describe_way(way_back)))
    if not bound:
        lines.append(state("feeds.not-entered"))
    return (*lines, ORGANISER_DECIDES)


def _list_classes(classes: Sequence[ShowClass]) -> Iterable[Fact]:
    for offered in sorted(classes, key=lambda c: (c.day, c.name)):
        told: dict[str, Value] = {"day": offered.day, "name": clean_line(offered.name)}
        if offered.division == OPEN:
            yield state("feeds.class", **told, height_cm=offered.height_cm)
            continue
        division: Value = clean_line(offered.division)
        if offered.division in (YOUNG, JUNIOR, AMATEUR):
            division = state(f"feeds.division-{offered.division}")
        yield state(
            "feeds.class-of-division", **told, height_cm=offered.height_cm, division=division
        )


def _describe_way(leg: Leg) -> dict[str, Value]:
    drivers = _clean_drivers(leg)
    return {
        "start": state_moment(leg.depart),
        "lorry": clean_line(leg.vehicle),
        "driven": state("feeds.driven-by", drivers=drivers) if drivers else None,
    }


def title_base(horse: str, base: Base) -> Fact:
    """Title of a stay at a base."""
    return state("feeds.at-base", horse=clean_line(horse), base=clean_line(base.title))


def describe_base(base: Base, nights: DaySpan) -> Lines:
    """Which nights a horse has its box at a base, and who looks after it there."""
    code = "feeds.base-staffed" if base.staffed else "feeds.base-own-grooms"
    return (state("feeds.base-nights", first=nights.first, last=nights.last), state(code))


# Drives


def title_travel(yard: Yard, leg: Leg, aboard: Sequence[str]) -> Fact:
    """Title of a drive as those who have horses aboard read it."""
    horses = clean_names(aboard)
    if leg.end == HOME:
        return state("feeds.drive-home", horses=horses, show=name_stop(yard, leg.start))
    return state("feeds.drive-to", horses=horses, show=name_stop(yard, leg.end))


def title_way(yard: Yard, way: RiderWay) -> Fact:
    """Title of a rider's own way."""
    ends = {"start": name_stop(yard, way.start), "end": name_stop(yard, way.end)}
    if way.by == CAR:
        return state("feeds.way-by-car", **ends)
    return state("feeds.way-by-lorry", **ends, lorry=clean_line(way.by))


def title_drive(yard: Yard, leg: Leg) -> Fact:
    """Title of a drive as the people on the lorry read it."""
    return state(
        "feeds.drive",
        lorry=clean_line(leg.vehicle),
        start=name_stop(yard, leg.start),
        end=name_stop(yard, leg.end),
        aboard=clean_names(leg.horses) or state("feeds.empty"),
    )


def describe_drive(
    yard: Yard, leg: Leg, aboard: Sequence[str], depart: datetime, arrive: datetime
) -> Lines:
    """A drive's timetable: departure, arrival, lorry, drivers, horses and every halt."""
    drivers, horses = _clean_drivers(leg), clean_names(aboard)
    length, code = leg.km, "feeds.road-km"
    if yard.units == "miles":
        length, code = leg.km / KM_PER_MILE, "feeds.road-miles"
    return (
        state("feeds.departs", place=name_stop(yard, leg.start), at=state_moment(depart)),
        state("feeds.arrives", place=name_stop(yard, leg.end), at=state_moment(arrive)),
        state("feeds.lorry", lorry=clean_line(leg.vehicle)),
        state("feeds.drivers", drivers=drivers) if drivers else state("feeds.no-driver"),
        state("feeds.aboard", horses=horses) if horses else state("feeds.no-horses"),
        state(code, length=length, driving=leg.hours),
        *(_describe_stop(stop, depart.tzinfo) for stop in leg.stops),
        state("feeds.times"),
    )


def _describe_stop(stop: Stop, zone: tzinfo | None) -> Fact:
    near = state("feeds.near", town=clean_line(stop.near)) if stop.near else None
    start = state_moment(stop.start.astimezone(zone))
    if stop.kind == "overnight":
        # The night may hold a clock change: its length counts in UTC.
        until = (stop.start.astimezone(UTC) + timedelta(minutes=stop.minutes)).astimezone(zone)
        return state("feeds.stop-overnight", start=start, end=state_moment(until), near=near)
    code = "feeds.stop-water" if stop.kind == "water" else "feeds.stop-break"
    return state(code, start=start, lasts=stop.minutes, near=near)


# Work at home, and the vet


def title_recovery(horse: str) -> Fact:
    """Title of the days without jumping after a show."""
    return state("feeds.recovery", horse=clean_line(horse))


def describe_recovery(yard: Yard, outing: Outing, last_day: date) -> Lines:
    """Why a horse does not jump for some days."""
    why = state("feeds.recovery-why", show=name_stop(yard, outing.show), last=last_day)
    return (why, state("feeds.practice"))


def title_work(horse: str, kind: str) -> Fact:
    """Title of a school, vet check or vaccination."""
    return state(f"feeds.work-{kind.replace(' ', '-')}", horse=clean_line(horse))


def describe_school(yard: Yard, show: str) -> Lines:
    """What a school is for."""
    if show:
        return (state("feeds.school-before", show=name_stop(yard, show)),)
    return (state("feeds.school-why"),)


def describe_vet_check(
    yard: Yard, horse: str, show: str, tasks: Sequence[VetTask], day: date
) -> Lines:
    """What a vet check is for, and what waits for it; without known tasks the show before it."""
    if tasks:
        asked = {task.what.get("asked") for task in tasks}
        last = yard.vet_checks_by_horse.get(horse, ())[-1:]
        uncleared = [check for check in last if not check.cleared and check.date in asked]
        closing = describe_recheck(uncleared[0]) if uncleared else (VET_DECIDES,)
        return (*_list_tasks(yard, tasks, day), *closing)
    if show:
        return (state("feeds.check-after", show=name_stop(yard, show)),)
    return (VET_DECIDES,)


def describe_vaccination(yard: Yard, tasks: Sequence[VetTask], day: date) -> Lines:
    """Which doses are given, for which show, in which days, and what to heed."""
    return (*_list_tasks(yard, tasks, day), state("feeds.dose-window"))


def _state_open(windows: Sequence[DaySpan]) -> Fact | None:
    """The days on which something may be done."""
    spans = tuple(
        state("feeds.short-day", day=window.first)
        if window.days == 1
        else state("feeds.short-days", first=window.first, last=window.last)
        for window in windows
    )
    return state("feeds.open", windows=spans) if spans else None


def _list_tasks(yard: Yard, tasks: Sequence[VetTask], day: date) -> Iterable[Fact]:
    return (state("feeds.task", task=_state_task(yard, task, day)) for task in tasks)


def _state_task(yard: Yard, task: VetTask, day: date) -> Fact:
    """One thing done on a day: a look says after which show, a dose for which and until when."""
    if not task.show:
        return task.what
    show = name_stop(yard, task.show)
    if not task.paper:
        return state("visits.look-after", show=show)
    held = [w for w in task.windows if day in w] or task.windows
    return state("feeds.task-for", task=task.what, show=show, open=_state_open(held))


def title_visit(work: Sequence[tuple[str, str]]) -> Fact:
    """Title of a vet's visit: how many horses."""
    return state("feeds.visit", horses=len({horse for horse, _ in work}))


def describe_visit(
    yard: Yard,
    day: date,
    work: Sequence[tuple[str, str]],
    tasks: Mapping[tuple[date, str, str], Sequence[VetTask]],
    certificates: Sequence[Certificate],
) -> Lines:
    """Which horses the vet sees on one day at one place, what for, and what he may sign there."""
    done: dict[str, list[Value]] = {}
    for horse, kind in work:
        known = [_state_task(yard, task, day) for task in tasks.get((day, horse, kind), ())]
        done.setdefault(horse, []).extend(known or [state(f"feeds.{kind.replace(' ', '-')}")])
    return (
        *(
            state("feeds.visit-horse", horse=clean_line(horse), tasks=tuple(things))
            for horse, things in done.items()
        ),
        *(_state_certificate(yard, certificate) for certificate in certificates),
    )


def title_certificate(yard: Yard, certificate: Certificate) -> Fact:
    """Title of the last day on which a health certificate may be given."""
    show = name_stop(yard, certificate.show)
    return state(f"feeds.certificate-{certificate.journey}", show=show)


def describe_certificate(yard: Yard, certificate: Certificate, visit: date | None) -> Lines:
    """For which horses a certificate is, when it may be given, and when the vet comes anyway."""
    comes = (state("feeds.vet-comes", day=visit),) if visit else ()
    return (_state_certificate(yard, certificate), *comes, VET_DECIDES)


def _state_certificate(yard: Yard, certificate: Certificate) -> Fact:
    window, why = certificate.window, certificate.why
    return state(
        f"feeds.certificate-{certificate.journey}-for",
        show=name_stop(yard, certificate.show),
        open=_state_open((window,) if window else ()),
        horses=clean_names(certificate.horses),
        why=state("feeds.why", told=why) if why else None,
    )


def title_recheck(horse: str) -> Fact:
    """Title of the day by which a horse is seen again."""
    return state("feeds.recheck", horse=clean_line(horse))


def describe_recheck(check: VetCheck) -> Lines:
    """Why a horse is seen again."""
    return (state("feeds.recheck-why", day=check.date),)


# Papers and entries


def title_paper(paper: Paper) -> Fact:
    """Title of the last day on which a paper holds."""
    return state("feeds.paper", holder=clean_line(paper.holder), paper=_name_paper(paper))


def describe_paper(paper: Paper, valid_until: date) -> Lines:
    """Until when a paper holds."""
    holds = state(
        "feeds.paper-why",
        paper=_name_paper(paper),
        holder=clean_line(paper.holder),
        day=valid_until,
    )
    return (holds, VET_DECIDES) if paper.paper in VET_PAPERS else (holds,)


def _name_paper(paper: Paper) -> Value:
    return name_paper(clean_line(paper.paper))


def title_closing(yard: Yard, horse: str, show: str) -> Fact:
    """Title of the last day for an entry."""
    return state("feeds.closing", horse=clean_line(horse), show=name_stop(yard, show))


def describe_closing(
    yard: Yard,
    show: Show,
    classes: Sequence[ShowClass],
    *,
    stall_fee_cents: int,
    late: bool,
    split: Callable[[int], int] | None = None,
) -> Lines:
    """Which classes are to be entered, what that costs, and what happens afterwards.

    `split` says what part of an amount [cents] is the reader's own; he is told nothing of the rest.
    """
    late_cents = show.late_fee_cents if late else 0
    classes_cents = sum(c.fee_cents for c in classes)
    total = classes_cents + stall_fee_cents + late_cents
    if split is None:
        parts = [state("feeds.fee-classes", fee_cents=classes_cents)]
        if stall_fee_cents:
            parts.append(state("feeds.fee-stall", fee_cents=stall_fee_cents))
        if late_cents:
            parts.append(state("feeds.fee-late", fee_cents=late_cents))
        fees = state("feeds.fees", total_cents=total, parts=tuple(parts))
    else:
        fees = state("feeds.share", share_cents=split(total))
    later = _list_late_entries(show, late=late, with_fee=split is None)
    return (*_list_classes(classes), fees, *later, ORGANISER_DECIDES)


def _list_late_entries(show: Show, *, late: bool, with_fee: bool) -> Iterable[Fact]:
    until = show.late_entries_until
    if until is None:
        return
    if late:
        yield state("feeds.late")
    elif with_fee and show.late_fee_cents:
        yield state("feeds.late-until-for", day=until, fee_cents=show.late_fee_cents)
    else:
        yield state("feeds.late-until", day=until)
