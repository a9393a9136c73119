"""What an event of a calendar says of a show: its name, its place, its whole days.

A show has days, so hours and zones are left behind here: a time counts on the day that the
clocks on the grounds show. Lets in icalendar for the values of RFC 5545.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from zoneinfo import ZoneInfo

from tripkit.files.calendar_lines import ContentLine, EventLines
from tripkit.files.faults import Faults
from tripkit.files.values import FIRST_YEAR, LAST_YEAR
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state

ONE_DAY = timedelta(days=1)
LONGEST_SHOW_DAYS = 366
MOST_DATES = 200
LONGEST_RULE = 200
FREQUENCIES = ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")
TIMES_OF_DAY = ("BYHOUR", "BYMINUTE", "BYSECOND")
RULE_PART = re.compile(r"[A-Z]+=[A-Z0-9,+-]+")
ESCAPED = re.compile(r"\\(.)")
UNKNOWN_DAY = date(1970, 1, 1)
OLDEST = (0, "")


@dataclass(frozen=True)
class CalendarEvent:
    """One event in whole days; `last` is inclusive.

    `rule`, `more_days` and `fewer_days` say when it comes again, `recurrence` which of those
    days this event replaces, `onwards` with all after it. `version` is (SEQUENCE, when it was
    changed last): of two events of one `uid` the greater one holds. `known` says that the
    event bears a uid of its own.
    """

    where: str
    uid: str
    name: str
    place: str
    latitude: float | None
    longitude: float | None
    first: date
    last: date
    version: tuple[int, str] = OLDEST
    cancelled: bool = False
    rule: str = ""
    more_days: tuple[date, ...] = ()
    fewer_days: tuple[date, ...] = ()
    recurrence: date | None = None
    onwards: bool = False
    known: bool = True

    @property
    def key(self) -> tuple[str, date | None]:
        """What stays the same when an event changes."""
        return (self.uid, self.recurrence)

    @property
    def file(self) -> str:
        """The calendar file in which it stands."""
        return self.where.rpartition(" event ")[0]

    @property
    def repeats(self) -> bool:
        """Whether it comes more than once."""
        return bool(self.rule or self.more_days)

    def is_older_than(self, other: CalendarEvent) -> bool:
        """Whether the other is the later state of the same event.

        **Source:** RFC 5546 section 2.1.5: the higher SEQUENCE, then the later stamp.
        """
        if self.version[0] != other.version[0]:
            return self.version[0] < other.version[0]
        return bool(self.version[1] and other.version[1]) and self.version[1] < other.version[1]

    def says_same(self, other: CalendarEvent) -> bool:
        """Whether both say the same of the show, whichever of them is newer."""
        return replace(self, where="", version=OLDEST, known=True) == replace(
            other, where="", version=OLDEST, known=True
        )


def read_event(
    lines: EventLines, home_zone: str, faults: Faults, remarks: list[Fact]
) -> CalendarEvent | None:
    """The lines of one event become the event; None with a fault where they cannot.

    Without DTEND and DURATION an event of whole days lasts one day, a timed one ends as it
    begins. What cancels an event need not say when it was. A time in UTC counts in the event's
    own zone, else the calendar's (X-WR-TIMEZONE), else in `home_zone`. A rule by the hour or
    less is a fault: no show comes every minute.

    **Source:** RFC 5545 sections 3.3.10, 3.6.1, 3.8.1.6, 3.8.2.2, 3.8.4.4, 3.8.5; RFC 5546
    section 3.2.5.
    """
    where = lines.where
    if faults.has_any(where):
        return None
    cancelled = (
        lines.find_text("STATUS").upper() == "CANCELLED"
        or getattr(lines.calendar.get("METHOD"), "value", "").strip().upper() == "CANCEL"
    )
    name = _read_text(lines, "SUMMARY")
    uid = lines.find_text("UID")
    if not name and not (cancelled and uid):
        faults.add(where, state("faults.is-missing"), column="SUMMARY")
        return None
    column = "DTSTART"
    try:
        zone = _find_zone(lines, home_zone)
        start = _read_start(lines, zone, cancelled and bool(uid))
        column = "DTEND" if lines.find("DTEND") else "DURATION"
        first, last = _find_days(start, _read_end(lines, start, zone))
        column = "SEQUENCE"
        version = _read_version(lines)
        column = "RECURRENCE-ID"
        recurrence = lines.find("RECURRENCE-ID")
        replaced = _find_day(_read_moment(recurrence.value, zone)) if recurrence else None
        column = "EXDATE"
        fewer = _read_days(lines.lines.get("EXDATE", ()), zone)
        column = "RDATE"
        more = _read_days(lines.lines.get("RDATE", ()), zone)
        column = "RRULE"
        rule = _read_rule(lines.find_text("RRULE"), zone)
    except BadValue as error:
        line = lines.find(column)
        faults.add(where, error.fact, column=column, value=line.value if line else None)
        return None
    latitude, longitude = _read_point(lines, remarks)
    return CalendarEvent(
        where,
        uid or f"{name} {first}",
        name,
        _read_text(lines, "LOCATION"),
        latitude,
        longitude,
        first,
        last,
        version,
        cancelled,
        "" if replaced else rule,
        () if replaced else more,
        () if replaced else fewer,
        replaced,
        recurrence is not None
        and recurrence.parameters.get("RANGE", "").upper() == "THISANDFUTURE",
        bool(uid),
    )


def _read_text(lines: EventLines, name: str) -> str:
    """A text in one line; a sign behind a backslash stands for itself, n for a line break.

    **Source:** RFC 5545 section 3.3.11.
    """
    text = ESCAPED.sub(lambda m: " " if m[1] in "nN" else m[1], lines.find_text(name))
    return " ".join(text.split())


def _read_start(lines: EventLines, zone: tzinfo, may_lack: bool) -> date | datetime:
    start = lines.find("DTSTART") or (lines.find("RECURRENCE-ID") if may_lack else None)
    if start is None and may_lack:
        return UNKNOWN_DAY
    if start is None:
        raise BadValue(state("faults.is-missing"))
    return _read_moment(start.value, zone)


def _read_end(lines: EventLines, start: date | datetime, zone: tzinfo) -> date | datetime | None:
    end = lines.find("DTEND")
    if end is not None:
        return _read_moment(end.value, zone)
    duration = lines.find_text("DURATION")
    if not duration:
        return None
    lasts = _parse(duration, state("faults.no-duration-such-as-p3d"))
    if not isinstance(lasts, timedelta):
        raise BadValue(state("faults.no-duration-such-as-p3d"))
    try:
        return start + lasts
    except OverflowError:
        raise BadValue(state("faults.too-long")) from None


def _find_days(start: date | datetime, end: date | datetime | None) -> tuple[date, date]:
    first = _find_day(start)
    if end is None:
        return first, first
    last = _find_day(end)
    # Some programs end a day on itself, and a night's event may begin at its midnight.
    if last > first and (not isinstance(end, datetime) or end.time() == time()):
        last -= ONE_DAY
    if last < first:
        raise BadValue(state("faults.ends-before-it-begins", first=first))
    if (last - first).days >= LONGEST_SHOW_DAYS:
        raise BadValue(
            state(
                "faults.ends-more-than-days-after", longest_show_days=LONGEST_SHOW_DAYS, first=first
            )
        )
    return first, last


def _find_day(moment: date | datetime) -> date:
    return moment.date() if isinstance(moment, datetime) else moment


def _read_moment(text: str, zone: tzinfo) -> date | datetime:
    """A day, or a time as the clocks of the zone show it, without zone."""
    wanted = state("faults.no-date-or-time-such")
    moment = _parse(text.strip(), wanted)
    if isinstance(moment, tuple):
        moment = moment[0]
    if not isinstance(moment, date | datetime):
        raise BadValue(wanted)
    if not FIRST_YEAR <= moment.year <= LAST_YEAR:
        raise BadValue(state("faults.not-in-years-to", first_year=FIRST_YEAR, last_year=LAST_YEAR))
    if isinstance(moment, datetime) and moment.tzinfo is not None:
        moment = moment.astimezone(zone).replace(tzinfo=None)
    return moment


def _parse(text: str, wanted: Fact) -> object:
    from icalendar.prop import vDDDTypes

    try:
        return vDDDTypes.from_ical(text)  # type: ignore[no-untyped-call]
    # The library raises whatever it trips over; to the user every one of them means the same.
    except Exception as error:
        raise BadValue(wanted) from error


def _read_days(lines: Iterable[ContentLine], zone: tzinfo) -> tuple[date, ...]:
    texts = {text for line in lines for text in line.value.split(",") if text.strip()}
    if len(texts) > MOST_DATES:
        raise BadValue(state("faults.are-more-than-dates", most_dates=MOST_DATES))
    return tuple(sorted({_find_day(_read_moment(text, zone)) for text in texts}))


def _read_rule(text: str, zone: tzinfo) -> str:
    """A rule by days: hours fall away, UNTIL is a day."""
    if not text:
        return ""
    if len(text) > LONGEST_RULE:
        raise BadValue(state("faults.longer-than-characters", longest_rule=LONGEST_RULE))
    parts: dict[str, str] = {}
    for part in filter(None, text.upper().replace(" ", "").split(";")):
        if not RULE_PART.fullmatch(part):
            raise BadValue(state("faults.no-rule-such-as-freqweeklycount3"))
        name, _, value = part.partition("=")
        parts[name] = value
    if parts.get("FREQ") not in FREQUENCIES:
        raise BadValue(
            state("faults.comes-again-otherwise-than", lower=", ".join(FREQUENCIES).lower())
        )
    for name in TIMES_OF_DAY:
        parts.pop(name, None)
    if "UNTIL" in parts:
        parts["UNTIL"] = f"{_find_until(parts['UNTIL'], zone):%Y%m%d}"
    for name in ("COUNT", "INTERVAL"):
        if name in parts and not re.fullmatch("0*[1-9][0-9]{0,17}", parts[name]):
            raise BadValue(state("faults.not-whole-number-above-zero", name=name))
    from icalendar.prop import vRecur

    rule = ";".join(f"{name}={value}" for name, value in parts.items())
    try:
        vRecur.from_ical(rule)
    except ValueError as error:
        raise BadValue(
            state("faults.no-rule-such-as-freqweeklycount3-2", error=str(error))
        ) from None
    return rule


def _find_until(text: str, zone: tzinfo) -> date:
    """The last day of a rule; an end as far as year 9999 means that there is none."""
    if re.match(r"\d{4}", text) and int(text[:4]) > LAST_YEAR:
        return date(LAST_YEAR, 12, 31)
    return _find_day(_read_moment(text, zone))


def _read_version(lines: EventLines) -> tuple[int, str]:
    text = lines.find_text("SEQUENCE") or "0"
    if not re.fullmatch(r"[0-9]{1,9}", text):
        raise BadValue(state("faults.not-whole-number"))
    stamp = lines.find_text("LAST-MODIFIED") or lines.find_text("DTSTAMP")
    return int(text), stamp if re.fullmatch(r"\d{8}T\d{6}Z?", stamp) else ""


def _read_point(lines: EventLines, remarks: list[Fact]) -> tuple[float | None, float | None]:
    """Latitude and longitude; 0;0 is what programs write that know none."""
    text = lines.find_text("GEO")
    if not text:
        return None, None
    try:
        latitude, longitude = (float(part) for part in re.split(r"\\?[;,]", text))
        if not (abs(latitude) <= 90 and abs(longitude) <= 180):
            raise ValueError
    except ValueError:
        remarks.append(state("faults.geo-is-no-point-such", where=lines.where, text=text[:40]))
        return None, None
    return (latitude, longitude) if latitude or longitude else (None, None)


def _find_zone(lines: EventLines, home_zone: str) -> tzinfo:
    """Where the event is, as far as it says."""
    names = [
        line.parameters.get("TZID", "")
        for name in ("DTSTART", "DTEND")
        if (line := lines.find(name)) is not None
    ]
    calendar: Mapping[str, ContentLine] = lines.calendar
    if "X-WR-TIMEZONE" in calendar:
        names.append(calendar["X-WR-TIMEZONE"].value.strip())
    for name in (*names, home_zone):
        zone = find_named_zone(name)
        if zone is not None:
            return zone
    return UTC


def find_named_zone(name: str) -> tzinfo | None:
    """The zone a calendar program means: IANA's name, Windows's, or a path that ends in IANA's.

    >>> find_named_zone("Eastern Standard Time")
    zoneinfo.ZoneInfo(key='America/New_York')
    >>> find_named_zone("/example.org/20220101_1/Europe/Berlin")
    zoneinfo.ZoneInfo(key='Europe/Berlin')
    >>> find_named_zone("Customized Time Zone") is None
    True
    """
    from icalendar.timezone.windows_to_olson import WINDOWS_TO_OLSON

    name = WINDOWS_TO_OLSON.get(name, name)
    parts = [part for part in name.split("/") if part][-3:]
    for count in range(len(parts), 0, -1):
        key = "/".join(parts[-count:])
        if re.fullmatch(r"[A-Za-z0-9_+/-]{1,60}", key):
            try:
                return ZoneInfo(key)
            except (ValueError, OSError, LookupError):
                continue
    return None
