"""Reads calendar files with libical and prints their events as JSON; run as a program."""

from __future__ import annotations

import ctypes
import json
import sys
from datetime import UTC, datetime
from pathlib import Path


class Time(ctypes.Structure):
    """`struct icaltimetype` of libical 3."""

    _fields_ = [
        *((name, ctypes.c_int) for name in ("year", "month", "day", "hour", "minute", "second")),
        ("is_date", ctypes.c_int),
        ("is_daylight", ctypes.c_int),
        ("zone", ctypes.c_void_p),
    ]


def load(file: str) -> ctypes.CDLL:
    """The library with what its functions answer."""
    library = ctypes.CDLL(file)
    for name, answer, taken in (
        ("icalparser_parse_string", ctypes.c_void_p, [ctypes.c_char_p]),
        ("icalcomponent_string_to_kind", ctypes.c_int, [ctypes.c_char_p]),
        ("icalcomponent_count_errors", ctypes.c_int, [ctypes.c_void_p]),
        ("icalcomponent_get_first_component", ctypes.c_void_p, [ctypes.c_void_p, ctypes.c_int]),
        ("icalcomponent_get_next_component", ctypes.c_void_p, [ctypes.c_void_p, ctypes.c_int]),
        ("icalcomponent_get_uid", ctypes.c_char_p, [ctypes.c_void_p]),
        ("icalcomponent_get_sequence", ctypes.c_int, [ctypes.c_void_p]),
        ("icalcomponent_get_status", ctypes.c_int, [ctypes.c_void_p]),
        ("icalproperty_status_to_string", ctypes.c_char_p, [ctypes.c_int]),
        ("icalcomponent_get_dtstart", Time, [ctypes.c_void_p]),
        ("icalcomponent_get_dtend", Time, [ctypes.c_void_p]),
        ("icaltime_as_timet_with_zone", ctypes.c_long, [Time, ctypes.c_void_p]),
        ("icalcomponent_free", None, [ctypes.c_void_p]),
    ):
        function = getattr(library, name)
        function.restype, function.argtypes = answer, taken
    return library


def tell(library: ctypes.CDLL, time: Time) -> str:
    """A date, or the moment in UTC."""
    if time.is_date:
        return f"{time.year:04d}-{time.month:02d}-{time.day:02d}"
    seconds = library.icaltime_as_timet_with_zone(time, time.zone)
    return datetime.fromtimestamp(seconds, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def read(library: ctypes.CDLL, file: str) -> list[list[object]]:
    """The events of one file; libical must find no error in it."""
    calendar = library.icalparser_parse_string(Path(file).read_bytes())
    if not calendar or library.icalcomponent_count_errors(calendar):
        raise SystemExit(f"{file}: libical finds errors")
    kind = library.icalcomponent_string_to_kind(b"VEVENT")
    events = []
    event = library.icalcomponent_get_first_component(calendar, kind)
    while event:
        status = library.icalcomponent_get_status(event)
        events.append(
            [
                library.icalcomponent_get_uid(event).decode(),
                tell(library, library.icalcomponent_get_dtstart(event)),
                tell(library, library.icalcomponent_get_dtend(event)),
                library.icalcomponent_get_sequence(event),
                library.icalproperty_status_to_string(status).decode(),
            ]
        )
        event = library.icalcomponent_get_next_component(calendar, kind)
    library.icalcomponent_free(calendar)
    return events


if __name__ == "__main__":
    found = load(sys.argv[1])
    print(json.dumps({file: read(found, file) for file in sys.argv[2:]}))
