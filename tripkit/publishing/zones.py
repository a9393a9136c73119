"""Time zones of a feed: which zone a place is in, and the zone written out as VTIMEZONE."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard
from icalendar.prop import vUTCOffset

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.yard import Yard

ONE_SECOND = timedelta(seconds=1)


def find_zone(yard: Yard, stop: str) -> ZoneInfo:
    """The time zone of `home`, a show or a base: its own, else its place's, else the yard's.

    Raises `BadValue` for a name that is no IANA time zone.
    """
    name = yard.place.timezone
    found = yard.find_stop(stop)
    if found is not None:
        place = yard.roads.places.get(found.place_key)
        name = found.timezone or (place.timezone if place else "") or name
    try:
        return ZoneInfo(name or "UTC")
    except (ValueError, OSError, LookupError):
        raise BadValue(state("values.no-time-zone-such-as", name=name)) from None


def find_changes(zone: ZoneInfo, first: datetime, last: datetime) -> tuple[datetime, ...]:
    """The moments, in UTC, at which a zone changes its offset or name after `first`.

    `first` and `last` are aware. Found day by day, then to the second.
    """
    found = []
    start = first.astimezone(UTC)
    while start < last:
        end = start + timedelta(days=1)
        if _look(zone, start) != _look(zone, end):
            low, high = start, end
            while high - low > ONE_SECOND:
                middle = low + timedelta(seconds=(high - low) // ONE_SECOND // 2)
                if _look(zone, middle) == _look(zone, low):
                    low = middle
                else:
                    high = middle
            found.append(high)
        start = end
    return tuple(found)


def build_timezone(zone: ZoneInfo, days: Iterable[date]) -> Timezone:
    """A VTIMEZONE that is right for the whole calendar years in which the days lie.

    One observance holds from the first 1 January, one more follows at each change. Each
    begins at the local time that the clock showed *before* the change, TZOFFSETFROM.
    (`icalendar.Timezone.from_tzinfo` writes the time after it, an hour late in spring.)

    **Source:** RFC 5545 section 3.6.5: "DTSTART [...] effective onset date and local time",
    and its New York examples with DTSTART:20070311T020000 and TZOFFSETFROM:-0500.
    """
    years = [day.year for day in days]
    first = datetime(min(years), 1, 1, tzinfo=zone)
    last = datetime(max(years) + 1, 1, 1, tzinfo=zone)
    written = Timezone()
    written.add("tzid", zone.key)
    written.add_component(_build_observance(zone, first.astimezone(UTC), None))
    for change in find_changes(zone, first, last):
        written.add_component(_build_observance(zone, change, change - ONE_SECOND))
    return written


@lru_cache(maxsize=256)
def write_timezone(zone: str, first_year: int, last_year: int) -> bytes:
    """The VTIMEZONE of a zone for all days from one year to another, as lines of a file."""
    days = (date(first_year, 1, 1), date(last_year, 12, 31))
    written: bytes = build_timezone(ZoneInfo(zone), days).to_ical()
    return written


def _build_observance(
    zone: ZoneInfo, change: datetime, before: datetime | None
) -> TimezoneStandard | TimezoneDaylight:
    offset, saving, name = _look(zone, change)
    offset_before = offset if before is None else _look(zone, before)[0]
    observance = TimezoneDaylight() if saving else TimezoneStandard()
    observance.add("dtstart", (change + offset_before).replace(tzinfo=None))
    observance.add("tzoffsetfrom", vUTCOffset(offset_before))
    observance.add("tzoffsetto", vUTCOffset(offset))
    observance.add("tzname", name)
    return observance


def _look(zone: ZoneInfo, moment: datetime) -> tuple[timedelta, bool, str]:
    local = moment.astimezone(zone)
    return local.utcoffset() or timedelta(), bool(local.dst()), local.tzname() or ""
