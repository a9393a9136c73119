"""Every word a feed shows, and how days, hours and names are written in it.

Plain text for calendar programs: no markup, one statement a line. Names are cleaned, never
changed otherwise: see `clean_text`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import lru_cache

from tripkit.season.vetlist import Certificate, VetTask
from tripkit.yard.circuit import Leg, Outing, Stop
from tripkit.yard.days import MONTHS, DaySpan, name_weekday
from tripkit.yard.horses import VetCheck
from tripkit.yard.money import write_money
from tripkit.yard.papers import Paper
from tripkit.yard.places import HOME, KM_PER_MILE
from tripkit.yard.shows import OPEN, Show, ShowClass
from tripkit.yard.yard import Yard

VET_DECIDES = "A vet decides."
CONFIRM_DATES = "Dates and fees as in the yard's calendar; the organiser's schedule decides."
MOST_BROKEN = 20
YARD_PRACTICE = "The yard's practice, not a rule; a vet decides."
VET_PAPERS = ("influenza", "herpes", "coggins", "health_certificate", "temperature_log")

_LINE_BREAKS = re.compile("\r\n|[\r\v\f\x1c-\x1e\x85\u2028\u2029]")
_ISO_DAY = re.compile(r"\b\d{4}-\d{2}-\d{2}\b", re.ASCII)
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


def write_day(day: date, *, with_year: bool = False) -> str:
    """A day in words.

    >>> write_day(date(2027, 4, 7)), write_day(date(2027, 4, 7), with_year=True)
    ('Wed 7 April', 'Wed 7 April 2027')
    """
    words = f"{name_weekday(day)[:3]} {day.day} {MONTHS[day.month - 1]}"
    return f"{words} {day.year}" if with_year else words


def write_moment(moment: datetime) -> str:
    """A local day and time in words.

    >>> write_moment(datetime(2027, 4, 7, 7, 5))
    'Wed 7 April 07:05'
    """
    return f"{write_day(moment)} {moment:%H:%M}"


def write_distance(km: float, units: str) -> str:
    """Kilometres in the yard's own units, whole.

    **Source:** the international mile is 1.609344 km (agreement of 1959).

    >>> write_distance(412.0, "km"), write_distance(160.9344, "miles")
    ('412 km', '100 miles')
    """
    return f"{km / KM_PER_MILE:.0f} miles" if units == "miles" else f"{km:.0f} km"


def join_names(names: Iterable[str]) -> str:
    """Names in one line, with commas.

    >>> join_names(["Alder", "Birch"])
    'Alder, Birch'
    """
    return ", ".join(clean_line(name) for name in names)


def join_lines(lines: Iterable[str]) -> str:
    """Statements one below the other, empty ones left out."""
    return "\n".join(line for line in lines if line)


def name_stop(yard: Yard, stop: str) -> str:
    """`home`, or what people call the show."""
    show = yard.show_by_name.get(stop)
    return HOME if show is None else clean_line(show.title)


def title_reader(home: str, kind: str, name: str) -> str:
    """Whose calendar it is."""
    who = {"horse": clean_line(name), "yard": "whole yard"}.get(kind, f"{clean_line(name)}, {kind}")
    return f"{clean_line(home)}: {who}"


def title_feed(
    yard: Yard, kind: str, name: str, published: datetime | None = None
) -> tuple[str, str]:
    """Name and description of a whole feed, with the moment of its publishing at home."""
    home = clean_line(yard.name)
    season = f"{write_day(yard.season.first)} to {write_day(yard.season.last, with_year=True)}"
    made = "Not published."
    if published is not None:
        made = f"Published {write_day(published, with_year=True)}, {published:%H:%M %Z}."
    title = title_reader(yard.name, kind, name)
    return title, f"Season of {home}, {season}. {made} {CONFIRM_DATES}"


def say_broken(told: Sequence[str]) -> str:
    """Which rules the circuit breaks that a calendar shows, at the end of its description."""
    more = f" and {len(told) - MOST_BROKEN} more" if len(told) > MOST_BROKEN else ""
    shown = "; ".join(clean_line(text) for text in told[:MOST_BROKEN])
    return f" It breaks rules of the yard: {shown}{more}." if told else ""


def announce_first(whose: str, dates: int) -> str:
    """What is said when somebody's calendar is published for the first time."""
    return f"{whose}: a new calendar with {dates} date{'' if dates == 1 else 's'}."


def announce_changes(whose: str, since: datetime) -> str:
    """What stands above a list of changes."""
    return f"{whose}: what changed since {write_day(since, with_year=True)}, {since:%H:%M}"


def say_status(status: str) -> str:
    """What it means that an event is sure or not."""
    return {"CONFIRMED": "entered", "TENTATIVE": "not entered yet"}.get(status, status.lower())


def title_event(summary: str, cancelled: bool) -> str:
    """The title of an event; one that is cancelled says so, because not every program does."""
    return f"Cancelled: {clean_line(summary)}" if cancelled else clean_line(summary)


def remind_closing(summary: str, days: int) -> str:
    """What rings before a closing date."""
    return f"In {days} days: {clean_line(summary)}"


def remind_departure(summary: str, start: datetime) -> str:
    """What rings on the evening before a drive."""
    return f"Tomorrow {start:%H:%M}: {clean_line(summary)}"


def write_span(start: date, end: date) -> str:
    """From when to when: whole days with an exclusive end, or times.

    >>> write_span(date(2027, 4, 6), date(2027, 4, 13))
    'Tue 6 April to Mon 12 April'
    >>> write_span(datetime(2027, 4, 6, 7), datetime(2027, 4, 6, 18, 30))
    'Tue 6 April 07:00 to 18:30'
    """
    if isinstance(start, datetime) and isinstance(end, datetime):
        same_day = start.date() == end.date()
        return f"{write_moment(start)} to {f'{end:%H:%M}' if same_day else write_moment(end)}"
    last = end - timedelta(days=1)
    return write_day(start) if last <= start else f"{write_day(start)} to {write_day(last)}"


def title_stay(yard: Yard, outing: Outing) -> str:
    """Title of a stay at a show."""
    return f"{clean_line(outing.horse)}: show, {name_stop(yard, outing.show)}"


def describe_stay(
    yard: Yard, outing: Outing, way_there: Leg | None, way_back: Leg | None, *, bound: bool
) -> str:
    """What a stay is for: classes, rider, stalls, the drives, and whether it is entered."""
    show = yard.show_by_name[outing.show]
    classes = [c for c in map(show.find_class, outing.classes) if c is not None]
    return join_lines(
        (
            *_list_classes(classes),
            f"Rider: {clean_line(outing.rider)}" if outing.rider else "",
            f"On the grounds: {write_day(outing.arrive)} to {write_day(outing.leave)}",
            f"Stalls open: {write_day(show.stabling.first)} to {write_day(show.stabling.last)}",
            _write_drive("There", way_there),
            _write_drive("Back" if way_back and way_back.end == HOME else "Then", way_back),
            "" if bound else "Not entered yet.",
            CONFIRM_DATES,
        )
    )


def title_travel(yard: Yard, leg: Leg, aboard: Sequence[str]) -> str:
    """Title of a drive as those who have horses aboard read it."""
    if leg.end == HOME:
        return f"{join_names(aboard)}: drive home from {name_stop(yard, leg.start)}"
    return f"{join_names(aboard)}: drive to {name_stop(yard, leg.end)}"


def title_drive(yard: Yard, leg: Leg) -> str:
    """Title of a drive as the people on the lorry read it."""
    aboard = join_names(leg.horses) if leg.horses else "empty"
    way = f"{name_stop(yard, leg.start)} to {name_stop(yard, leg.end)}"
    return f"{clean_line(leg.vehicle)}: {way} ({aboard})"


def describe_drive(
    yard: Yard, leg: Leg, aboard: Sequence[str], depart: datetime, arrive: datetime
) -> str:
    """A drive's timetable: departure, arrival, lorry, drivers, horses and every halt."""
    return join_lines(
        (
            f"Departs {name_stop(yard, leg.start)}: {write_moment(depart)}",
            f"Arrives {name_stop(yard, leg.end)}: {write_moment(arrive)}",
            f"Lorry: {clean_line(leg.vehicle)}",
            f"Drives: {join_names(leg.drivers)}" if leg.drivers else "Drives: nobody named",
            f"Aboard: {join_names(aboard)}" if aboard else "Aboard: no horses",
            f"{write_distance(leg.km, yard.units)}, {leg.hours:.1f} h of driving",
            *(_write_stop(stop, depart.tzinfo) for stop in leg.stops),
            "Times are planned at the lorry's usual speed; the road decides.",
        )
    )


def title_recovery(horse: str) -> str:
    """Title of the days without jumping after a show."""
    return f"{clean_line(horse)}: no jumping"


def describe_recovery(yard: Yard, outing: Outing, last_day: date) -> str:
    """Why a horse does not jump for some days."""
    return join_lines(
        (
            f"Flat, hack or turnout after {name_stop(yard, outing.show)}, "
            f"until {write_day(last_day)}.",
            YARD_PRACTICE,
        )
    )


def title_work(horse: str, kind: str) -> str:
    """Title of a school, vet check or vaccination."""
    return f"{clean_line(horse)}: {kind}"


def describe_school(yard: Yard, show: str) -> str:
    """What a school is for."""
    return f"Jumping session before {name_stop(yard, show)}." if show else "Jumping session."


def describe_vet_check(yard: Yard, show: str, tasks: Sequence[VetTask], day: date) -> str:
    """What a vet check is for; without known tasks, the show that it follows."""
    if tasks:
        return join_lines((*_list_tasks(yard, tasks, day), VET_DECIDES))
    after = f"After {name_stop(yard, show)}. " if show else ""
    return f"{after}{VET_DECIDES}"


def describe_vaccination(yard: Yard, tasks: Sequence[VetTask], day: date) -> str:
    """Which doses are given, for which show, in which days, and what to heed."""
    planned = f"Planned in its window and clear of the next arrival. {VET_DECIDES}"
    return join_lines((*_list_tasks(yard, tasks, day), planned))


def write_window(window: DaySpan) -> str:
    """The days on which something may be done.

    >>> write_window(DaySpan(date(2027, 3, 1), date(2027, 4, 17)))
    '1 March to 17 April'
    """
    first, last = (f"{d.day} {MONTHS[d.month - 1]}" for d in (window.first, window.last))
    return first if window.days == 1 else f"{first} to {last}"


def _list_tasks(yard: Yard, tasks: Sequence[VetTask], day: date) -> tuple[str, ...]:
    said = (_say_task(yard, task, day) for task in tasks)
    return tuple(f"{line[:1].upper()}{line[1:]}" for line in said)


def _say_task(yard: Yard, task: VetTask, day: date) -> str:
    """One thing done on a day: a look says after which show, a dose for which and until when."""
    if not task.show:
        return _ISO_DAY.sub(lambda found: write_day(date.fromisoformat(found[0])), str(task.what))
    show = name_stop(yard, task.show)
    if not task.paper:
        return f"look after {show}"
    held = [w for w in task.windows if day in w] or task.windows
    spans = ", ".join(write_window(window) for window in held)
    return f"{task.what} for {show}" + (f" (open {spans})" if spans else "")


def title_visit(work: Sequence[tuple[str, str]]) -> str:
    """Title of a vet's visit: how many horses."""
    horses = len({horse for horse, _ in work})
    return f"Vet: {horses} horse{'' if horses == 1 else 's'}"


def describe_visit(
    yard: Yard,
    day: date,
    work: Sequence[tuple[str, str]],
    tasks: Mapping[tuple[date, str, str], Sequence[VetTask]],
    certificates: Sequence[Certificate],
) -> str:
    """Which horses the vet sees on one day at one place, what for, and what he may sign there."""
    said: dict[str, list[str]] = {}
    for horse, kind in work:
        known = [_say_task(yard, task, day) for task in tasks.get((day, horse, kind), ())]
        said.setdefault(horse, []).extend(known or [kind])
    return join_lines(
        (
            *(f"{clean_line(horse)}: {'; '.join(things)}" for horse, things in said.items()),
            *(_say_certificate(yard, certificate) for certificate in certificates),
        )
    )


def name_way(certificate: Certificate) -> str:
    """Which journey a certificate is for: `there` or `home`."""
    return certificate.journey


def title_certificate(yard: Yard, certificate: Certificate) -> str:
    """Title of the last day on which a health certificate may be given."""
    return f"Health certificate, last day: {_say_journey(yard, certificate)}"


def describe_certificate(yard: Yard, certificate: Certificate, visit: date | None) -> str:
    """For which horses a certificate is, when it may be given, and when the vet comes anyway."""
    return join_lines(
        (
            _say_certificate(yard, certificate),
            f"The vet comes on {write_day(visit)} anyway." if visit else "",
            VET_DECIDES,
        )
    )


def _say_journey(yard: Yard, certificate: Certificate) -> str:
    way = "home from" if name_way(certificate) == "home" else "to"
    return f"{way} {name_stop(yard, certificate.show)}"


def _say_certificate(yard: Yard, certificate: Certificate) -> str:
    window = certificate.window
    spans = f" (open {write_window(window)})" if window else ""
    said = (
        f"Health certificate {_say_journey(yard, certificate)}{spans}: "
        f"{join_names(certificate.horses)}."
    )
    told = " ".join(map(str, certificate.why))
    why = _ISO_DAY.sub(lambda found: write_day(date.fromisoformat(found[0])), told)
    return f"{said} {clean_line(why)}".strip()


def title_recheck(horse: str) -> str:
    """Title of the day by which a horse is seen again."""
    return f"{clean_line(horse)}: vet recheck due"


def describe_recheck(check: VetCheck) -> str:
    """Why a horse is seen again."""
    seen = write_day(check.date, with_year=True)
    return f"Not cleared on {seen}: no school and no show until cleared. {VET_DECIDES}"


def title_paper(paper: Paper) -> str:
    """Title of the last day on which a paper holds."""
    return f"{clean_line(paper.holder)}: {_write_paper(paper)} runs out"


def describe_paper(paper: Paper, valid_until: date) -> str:
    """Until when a paper holds."""
    return join_lines(
        (
            f"The {_write_paper(paper)} of {clean_line(paper.holder)} holds until "
            f"{write_day(valid_until, with_year=True)}.",
            VET_DECIDES if paper.paper in VET_PAPERS else "",
        )
    )


def title_closing(yard: Yard, horse: str, show: str) -> str:
    """Title of the last day for an entry."""
    return f"{clean_line(horse)}: last day to enter, {name_stop(yard, show)}"


def describe_closing(
    yard: Yard,
    show: Show,
    classes: Sequence[ShowClass],
    *,
    stall_fee_cents: int,
    late: bool,
    split: Callable[[int], int] | None = None,
) -> str:
    """Which classes are to be entered, what that costs, and what happens afterwards.

    `split` says what part of an amount [cents] is the reader's own; he is told nothing of the rest.
    """
    late_cents = show.late_fee_cents if late else 0
    classes_cents = sum(c.fee_cents for c in classes)
    total = classes_cents + stall_fee_cents + late_cents
    if split is None:
        parts = [
            f"classes {write_money(classes_cents)}",
            f"stall {write_money(stall_fee_cents)}" if stall_fee_cents else "",
            f"late fee {write_money(late_cents)}" if late_cents else "",
        ]
        fees = f"Fees: {write_money(total, yard.currency)} ({', '.join(p for p in parts if p)})"
    else:
        fees = f"Your share of the fees: {write_money(split(total), yard.currency)}"
    return join_lines(
        (
            *_list_classes(classes),
            fees,
            _write_late_entries(yard, show, late=late, with_fee=split is None),
            CONFIRM_DATES,
        )
    )


def _list_classes(classes: Sequence[ShowClass]) -> tuple[str, ...]:
    return tuple(
        f"{write_day(c.day)}: {clean_line(c.name)}, {c.height_cm} cm"
        + ("" if c.division == OPEN else f", {clean_line(c.division)}")
        for c in sorted(classes, key=lambda c: (c.day, c.name))
    )


def _write_late_entries(yard: Yard, show: Show, *, late: bool, with_fee: bool) -> str:
    if show.late_entries_until is None:
        return ""
    if late:
        return "These are late entries."
    fee = ""
    if with_fee and show.late_fee_cents:
        fee = f" for {write_money(show.late_fee_cents, yard.currency)} more"
    return f"Late entries until {write_day(show.late_entries_until)}{fee}."


def _write_drive(what: str, leg: Leg | None) -> str:
    if leg is None:
        return ""
    drivers = f", drives: {join_names(leg.drivers)}" if leg.drivers else ""
    return f"{what}: {write_moment(leg.depart)}, {clean_line(leg.vehicle)}{drivers}"


def _write_stop(stop: Stop, zone: tzinfo | None) -> str:
    near = f", near {clean_line(stop.near)}" if stop.near else ""
    start = stop.start.astimezone(zone)
    if stop.kind == "overnight":
        # The night may hold a clock change: its length counts in UTC.
        until = (stop.start.astimezone(UTC) + timedelta(minutes=stop.minutes)).astimezone(zone)
        return f"Night stop {write_moment(start)} to {write_moment(until)}{near}"
    what = "Water" if stop.kind == "water" else "Break"
    return f"{what} {write_moment(start)}, {stop.minutes} min{near}"


def _write_paper(paper: Paper) -> str:
    return clean_line(paper.paper).replace("_", " ")
