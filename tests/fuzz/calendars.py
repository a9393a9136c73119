"""Cases of an organiser's calendar beside the tables: broken lines, odd rules, odd times.

The calendar brings one show of its own. A case is nonsense where no show, or another one, may be
made of it without a word.
"""

from __future__ import annotations

from collections.abc import Iterator

from tests.fuzz.cells import NONSENSE, ODD, OTHER
from tests.fuzz.folders import FOLDER, LOCKED, Case

FILE = "organiser.ics"
LINES = (
    "BEGIN:VCALENDAR",
    "VERSION:2.0",
    "PRODID:-//Organiser//EN",
    "BEGIN:VEVENT",
    "UID:1@organiser",
    "DTSTAMP:20270101T000000Z",
    "SUMMARY:Birch Summer",
    "LOCATION:Gainesville\\, FL",
    "DTSTART;VALUE=DATE:20270512",
    "DTEND;VALUE=DATE:20270517",
    "END:VEVENT",
    "END:VCALENDAR",
)
STARTS = {
    "no date": (NONSENSE, "DTSTART;VALUE=DATE:later"),
    "30 February": (NONSENSE, "DTSTART;VALUE=DATE:20270230"),
    "year 1": (ODD, "DTSTART;VALUE=DATE:00010101"),
    "year 9999": (NONSENSE, "DTSTART;VALUE=DATE:99991231"),
    "after its end": (NONSENSE, "DTSTART;VALUE=DATE:20270601"),
    "a time": (OTHER, "DTSTART:20270511T090000Z"),
    "unknown zone": (ODD, "DTSTART;TZID=Atlantis/Main:20270511T090000"),
    "hour 25": (NONSENSE, "DTSTART:20270511T250000Z"),
    "twice": (NONSENSE, "DTSTART;VALUE=DATE:20270511\r\nDTSTART;VALUE=DATE:20270513"),
    "a period": (NONSENSE, "DTSTART;VALUE=PERIOD:20270511T090000Z/PT5H"),
    "list": (NONSENSE, "DTSTART;VALUE=DATE:20270511,20270513"),
    "thousand digits": (NONSENSE, "DTSTART;VALUE=DATE:" + "9" * 1000),
    "empty": (NONSENSE, "DTSTART;VALUE=DATE:"),
    "missing": (NONSENSE, ""),
}
RULES = {
    "every second": "FREQ=SECONDLY",
    "every nothing": "FREQ=DAILY;INTERVAL=0",
    "minus": "FREQ=DAILY;INTERVAL=-1",
    "huge interval": "FREQ=DAILY;INTERVAL=" + "9" * 30,
    "huge count": "FREQ=DAILY;COUNT=" + "9" * 30,
    "no frequency": "COUNT=3",
    "unknown frequency": "FREQ=FORTNIGHTLY",
    "30 February": "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
    "never": "FREQ=YEARLY;BYWEEKNO=54",
    "until before": "FREQ=WEEKLY;UNTIL=20200101",
    "until no date": "FREQ=WEEKLY;UNTIL=soon",
    "both ends": "FREQ=WEEKLY;COUNT=2;UNTIL=20270601",
    "words": "every other week",
    "empty": "",
    "all parts": "FREQ=YEARLY;BYDAY=MO,TU,WE,TH,FR,SA,SU;BYSETPOS=-1,366;BYYEARDAY=-366,366",
    "daily": "FREQ=DAILY;COUNT=200",
}


def write(*lines: str) -> bytes:
    """Content lines as a calendar file."""
    return ("\r\n".join(line for line in lines if line) + "\r\n").encode("utf-8", "surrogateescape")


def list_calendar_cases() -> Iterator[Case]:
    """The file with each line broken in each way, other dates, other rules."""

    def case(what: str, meant: str, data: bytes | None) -> Case:
        return Case(f"{FILE}:{what}", FILE, meant, {FILE: data})

    yield case(":as it is", OTHER, write(*LINES))
    for number, line in enumerate(LINES):
        name = line if line.startswith(("BEGIN", "END")) else line.split(":")[0].split(";")[0]
        name = name.replace(":", " ")
        before, after = LINES[:number], LINES[number + 1 :]
        broken = {
            "missing": "",
            "no colon": line.replace(":", " "),
            "open quote": line.replace(":", ';X="a:', 1),
            "empty value": line.split(":")[0] + ":",
            "nul": line + "\x00",
            "escape": line + "\x1b[2J",
            "right to left": line + "\u202e",
            "not UTF-8": line + "\udcff",
            "twice": f"{line}\r\n{line}",
            "long": line + "x" * 100_000,
            "blank before": f" {line}",
            "small letters": line.lower(),
        }
        for what, text in broken.items():
            yield case(f"{name}:{what}", OTHER, write(*before, text, *after))
    for what, (meant, text) in STARTS.items():
        yield case(f"start:{what}", meant, write(*LINES[:8], text, *LINES[9:]))
        end = text.replace("DTSTART", "DTEND").replace("20270601", "20270401")
        yield case(
            f"end:{what}",
            OTHER if what == "missing" else meant,
            write(*LINES[:9], end, *LINES[10:]),
        )
    for what, rule in RULES.items():
        meant = OTHER if what == "daily" else ODD
        yield case(f"rule:{what}", meant, write(*LINES[:10], f"RRULE:{rule}", *LINES[10:]))
    for what, text in {
        "duration minus": "DURATION:-P1D",
        "duration huge": "DURATION:P999999999W",
        "duration words": "DURATION:long",
        "dates": "RDATE;VALUE=DATE:20270520,later",
        "except": "EXDATE:whenever",
        "recurrence": "RECURRENCE-ID:never",
        "sequence": "SEQUENCE:" + "9" * 1000,
        "sequence words": "SEQUENCE:first",
        "position": "GEO:north;west",
        "position outside": "GEO:91.5;-200",
        "status": "STATUS:MAYBE",
    }.items():
        yield case(f"more:{what}", OTHER, write(*LINES[:10], text, *LINES[10:]))
    plain = write(*LINES)
    yield case(":empty", NONSENSE, b"")
    yield case(":cut off", NONSENSE, plain[:120])
    yield case(":web page", NONSENSE, b"<!DOCTYPE html>")
    yield case(":a folder", NONSENSE, FOLDER)
    yield case(":locked", NONSENSE, LOCKED)
    yield case(":nested", NONSENSE, b"BEGIN:VCALENDAR\r\n" * 3000)
    yield case(":other component", ODD, plain.replace(b"VEVENT", b"VTODO"))
    yield case(":unix line ends", OTHER, plain.replace(b"\r\n", b"\n"))
    yield case(":town unknown", NONSENSE, plain.replace(b"Gainesville", b"Nowhere at all"))
    yield case(":two calendars", OTHER, plain * 2)
    yield case(":a shows's name", OTHER, plain.replace(b"Birch Summer", b"Oak 1"))
