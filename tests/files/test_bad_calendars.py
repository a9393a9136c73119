"""Calendar files that are broken, hostile or odd: an answer in words, soon, in little memory.

`bad_calendars/` keeps one small file per fault; large ones are made here. What each message says
was written by hand beside the file.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.counting import count_steps
from tests.files.folders import list_faults, write_folder
from tests.patience import PATIENCE_SECONDS
from tripkit.files import read_yard
from tripkit.files.calendars import name_shows, read_events
from tripkit.files.faults import Faults
from tripkit.files.repeats import add_margin, keep_newest, list_occurrences
from tripkit.files.shows_merge import preview_merge
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadYard, InputError

FOLDER = Path(__file__).parent / "bad_calendars"
SEASON = DaySpan(date(2027, 3, 1), date(2027, 6, 6))
MOST_STEPS = 6_000_000
MOST_MEGABYTES = 150
DATE = "is no date or time such as 20270507 or 20270507T080000Z"
NO_CALENDAR = ": is no calendar file (it holds no VCALENDAR)"
ENDLESS = "comes again by a rule that cannot be followed to its end; put its days into shows.csv"
OFTEN = "comes again otherwise than daily, weekly, monthly, yearly"
ABOVE_ZERO = "is not a whole number above zero"
# What follows the file's name.
WANTED = {
    "american_date": f" event 1 column DTSTART: '05/07/2027' {DATE}",
    "blank_summary": " event 1 column SUMMARY: is missing",
    "calendar_in_event": " event 1: is not ended before the next VCALENDAR",
    "duration_endless": " event 1 column DURATION: 'P99999999999D' is no duration such as P3D",
    "duration_is_text": " event 1 column DURATION: 'three days' is no duration such as P3D",
    "duration_negative": " event 1 column DURATION: '-P3D' ends before it begins (2027-05-07)",
    "empty": NO_CALENDAR,
    "empty_start": f" event 1 column DTSTART: '' {DATE}",
    "end_before_start": " event 1 column DTEND: '20270501' ends before it begins (2027-05-07)",
    "end_is_text": f" event 1 column DTEND: 'Sunday' {DATE}",
    "end_years_later": " event 1 column DTEND: '20370501' ends more than 366 days after it begins"
    " (2027-05-07)",
    "ends_out_of_order": ": ends VEVENT while VALARM is not ended",
    "event_in_event": " event 1: is not ended before the next VEVENT",
    "event_not_begun": ": ends a VEVENT that never began; its lines are lost",
    "event_not_ended": " event 1: is not ended before the next VEVENT",
    "exdate_is_text": f" event 1 column EXDATE: 'tomorrow' {DATE}",
    "garbage": NO_CALENDAR,
    "html_page": NO_CALENDAR,
    "impossible_day": f" event 1 column DTSTART: '20270230' {DATE}",
    "iso_date": f" event 1 column DTSTART: '2027-05-07' {DATE}",
    "json": NO_CALENDAR,
    "nested_deep": ": nests more than 50 components",
    "no_calendar": NO_CALENDAR,
    "no_start": " event 1 column DTSTART: is missing",
    "no_summary": " event 1 column SUMMARY: is missing",
    "noise": NO_CALENDAR,
    "other_component": NO_CALENDAR,
    "rdate_is_text": f" event 1 column RDATE: '20270507,later' {DATE}",
    "recurrence_id_is_text": f" event 1 column RECURRENCE-ID: 'the second one' {DATE}",
    "rule_count_negative": f" event 1 column RRULE: 'FREQ=DAILY;COUNT=-1' COUNT {ABOVE_ZERO}",
    "rule_count_zero": f" event 1 column RRULE: 'FREQ=DAILY;COUNT=0' COUNT {ABOVE_ZERO}",
    "rule_every_minute": f" event 1 column RRULE: 'FREQ=MINUTELY' {OFTEN}",
    "rule_every_second": f" event 1 column RRULE: 'FREQ=SECONDLY;COUNT=1000000000' {OFTEN}",
    "rule_huge_interval": f" event 1 column RRULE: 'FREQ=DAILY;INTERVAL=999999999' {ENDLESS}",
    "rule_interval_zero": f" event 1 column RRULE: 'FREQ=DAILY;INTERVAL=0' INTERVAL {ABOVE_ZERO}",
    "rule_is_text": " event 1 column RRULE: 'every Saturday' is no rule such as"
    " FREQ=WEEKLY;COUNT=3",
    "rule_never_met": f" event 1 column RRULE: 'FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30' {ENDLESS}",
    "rule_never_met_yearly": " event 1 column RRULE: 'FREQ=YEARLY;BYWEEKNO=53;BYMONTH=6' "
    + ENDLESS,
    "rule_until_text": f" event 1 column RRULE: 'FREQ=DAILY;UNTIL=LATER' {DATE}",
    "rule_without_frequency": f" event 1 column RRULE: 'COUNT=3;BYDAY=MO' {OFTEN}",
    "sequence_is_text": " event 1 column SEQUENCE: 'newest' is not a whole number",
    "start_is_duration": f" event 1 column DTSTART: 'P3D' {DATE}",
    "start_is_time": f" event 1 column DTSTART: '080000' {DATE}",
    "truncated": ": stops in the middle: VEVENT is not ended",
    "truncated_calendar": ": stops in the middle: VCALENDAR is not ended",
    "truncated_utf16": ": stops in the middle: VEVENT is not ended",
    "year_0001": " event 1 column DTSTART: '00010101' is not in the years 1950 to 2199",
    "year_9999": " event 1 column DTSTART: '99991231' is not in the years 1950 to 2199",
    "zeros": NO_CALENDAR,
    "zip_archive": NO_CALENDAR,
}
# The library's own words end this one.
BEGINNINGS = {
    "rule_of_no_day": " event 1 column RRULE: 'FREQ=WEEKLY;BYDAY=XX' is no rule such as"
    " FREQ=WEEKLY;COUNT=3 ("
}


@pytest.mark.parametrize("name", [*WANTED, *BEGINNINGS])
def test_a_bad_calendar_is_told_in_one_line(tmp_path: Path, name: str) -> None:
    """The one fault names the file, the event, the property and what was wanted."""
    file = f"{name}.ics"
    (message,) = list_faults(tmp_path, {file: (FOLDER / file).read_bytes()})
    if name in WANTED:
        assert message == f"{file}{WANTED[name]}"
    else:
        assert message.startswith(f"{file}{BEGINNINGS[name]}")


@pytest.mark.parametrize("path", sorted(FOLDER.glob("odd_*.ics")), ids=lambda path: path.stem)
def test_an_odd_calendar_is_read_all_the_same(tmp_path: Path, path: Path) -> None:
    """What is wrong where no show is told (alarms, zones, stray lines) bars nothing."""
    yard = read_yard(write_folder(tmp_path, {path.name: path.read_bytes()}))
    names = [show.show for show in yard.shows[2:]]
    if path.stem == "odd_no_events":
        assert names == []
    elif path.stem == "odd_controls":
        assert names == ["Elm [31mClassic"]
    else:
        assert names == ["Elm Classic"]


def test_every_kept_file_is_looked_at() -> None:
    """At least thirty files are kept, and each is one that a test above reads."""
    kept = {path.stem for path in FOLDER.iterdir()}
    odd = {name for name in kept if name.startswith("odd_")}
    assert kept - odd == {*WANTED, *BEGINNINGS}
    assert len(kept) >= 30


# Bombs


def wrap(*events: str) -> bytes:
    """A calendar of events, each with its own uid and name."""
    body = "".join(
        f"BEGIN:VEVENT\r\nUID:{n}\r\nSUMMARY:S{n}\r\n{event}\r\nEND:VEVENT\r\n"
        for n, event in enumerate(events)
    )
    return f"BEGIN:VCALENDAR\r\n{body}END:VCALENDAR\r\n".encode()


def wrap_lines(lines: bytes) -> bytes:
    """A calendar of one event that holds just these lines."""
    head = b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n"
    return head + lines + b"\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"


START = "DTSTART:20270301T080000\r\nRRULE:FREQ="
MANY_DATES = ",".join(
    f"{year}{month:02}{day:02}"
    for year in (2026, 2027)
    for month in range(1, 9)
    for day in range(1, 13)
)
PLACES = ",".join(map(str, range(300, 335)))
BOMBS: dict[str, Callable[[], bytes]] = {
    "rules never met": lambda: wrap(*[f"{START}YEARLY;BYMONTH=2;BYMONTHDAY=31"] * 2000),
    "rules never met by day": lambda: wrap(*[f"{START}DAILY;INTERVAL=7;BYDAY=SU"] * 2000),
    "rules without end": lambda: wrap(*[f"{START}DAILY;UNTIL=99991231T000000Z"] * 2000),
    "rules of a billion": lambda: wrap(*[f"{START}DAILY;COUNT=1000000000"] * 400),
    "rules since 1950": lambda: wrap(*["DTSTART:19500101\r\nRRULE:FREQ=DAILY"] * 400),
    "hours of every day": lambda: wrap(
        *[f"{START}DAILY;BYHOUR={','.join(map(str, range(24)))};BYSECOND=1,2,3"] * 100
    ),
    "days of the year": lambda: wrap(
        *[f"{START}YEARLY;BYSETPOS=-366;BYYEARDAY={','.join(map(str, range(1, 367)))}"] * 400
    ),
    "seldom met": lambda: wrap(*[f"{START}YEARLY;BYMONTH=2;BYMONTHDAY=29;BYDAY=MO"] * 400),
    "seldom met by month": lambda: wrap(*[f"{START}MONTHLY;BYMONTH=2;BYMONTHDAY=29"] * 400),
    "places in a year": lambda: wrap(
        *[f"{START}YEARLY;BYDAY=MO,TU,WE,TH,FR,SA,SU;BYSETPOS={PLACES}"] * 400
    ),
    "many dates": lambda: wrap(*[f"DTSTART:20260101\r\nRDATE:{MANY_DATES}"] * 400),
    "ten megabytes in a line": lambda: wrap_lines(b"SUMMARY:" + b"x" * 10_000_000),
    "most of the size in a line": lambda: wrap_lines(b"SUMMARY:" + b"x" * 4_900_000),
    "a quote without end": lambda: wrap_lines(b'SUMMARY;X="' + b";:" * 2_400_000),
    "a million properties": lambda: wrap_lines(b"X-A:1\n" * 1_000_000),
    "most lines one property": lambda: wrap_lines(b"SUMMARY;A=1;B=2:1\n" * 99_000),
    "a line of folds": lambda: wrap_lines(b"SUMMARY:x" + b"\r\n x" * 99_000),
    "nesting": lambda: b"BEGIN:VCALENDAR\r\n" + b"BEGIN:X-A\r\n" * 99_000,
    "events in events": lambda: b"BEGIN:VCALENDAR\r\n" + b"BEGIN:VEVENT\r\n" * 99_000,
    "one uid": lambda: wrap(
        *[f"UID:1\r\nDTSTART:2027{n % 12 + 1:02}{n % 28 + 1:02}" for n in range(5000)]
    ),
    "changed times": lambda: wrap(
        f"UID:1\r\n{START}DAILY",
        *[f"UID:1\r\nRECURRENCE-ID:20270301\r\nDTSTART:202703{n % 28 + 1:02}" for n in range(4900)],
    ),
    "folded marks": lambda: b"BEGIN:VCALENDAR" + b"\r\n " * 99_000,
}
MEASURE = """
import json, os, resource
from tests.counting import count_steps
from tests.files.test_bad_calendars import BOMBS, read_shows

def measure(name):
    base = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    data = BOMBS[name]()
    found = []
    steps = count_steps(lambda: found.extend(read_shows(data)))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    megabytes = (peak - base) / 1024 - len(data) / 1e6
    print(json.dumps([name, steps, megabytes, *found]), flush=True)

# Each in a process of its own: the memory of one is not the next one's.
for name in BOMBS:
    if not os.fork():
        measure(name)
        os._exit(0)
    os.wait()
"""


def read_shows(data: bytes) -> tuple[int, int]:
    """How many shows and how many faults a calendar makes, all the way but the folder's."""
    faults = Faults()
    events = read_events("x.ics", data, "", faults, []) or []
    shows = name_shows(list_occurrences(keep_newest(events), add_margin(SEASON), faults))
    assert all(show.occurrence.first <= show.occurrence.last for show in shows)
    errors = list_errors(faults)
    assert all(error.file.startswith("x.ics") and error.wanted for error in errors)
    return len(shows), len(errors)


def list_errors(faults: Faults) -> tuple[InputError, ...]:
    """The faults as they would be raised."""
    try:
        faults.raise_if_any()
    except BadYard as bad:
        return bad.errors
    return ()


@pytest.fixture(scope="module")
def measured() -> dict[str, tuple[int, float, int, int]]:
    """Of each bomb: steps, megabytes beyond the file's own, shows, faults."""
    done = subprocess.run(
        [sys.executable, "-c", MEASURE],
        cwd=Path(__file__).resolve().parents[2],
        capture_output=True,
        text=True,
        timeout=PATIENCE_SECONDS,
        check=True,
    )
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    return {name: tuple(figures) for name, *figures in rows}


@pytest.mark.parametrize("name", BOMBS)
def test_no_bomb_hangs_or_fills_the_memory(
    name: str, measured: dict[str, tuple[int, float, int, int]]
) -> None:
    """So many steps at most, and memory that goes with the limit of the file's size.

    What the interpreter does within a step is no step: `tests.bench.calendars` takes the time.
    """
    steps, megabytes, shows, faults = measured[name]
    assert steps < MOST_STEPS
    assert megabytes < MOST_MEGABYTES
    assert shows or faults


# Whatever may come

GOOD_EVENTS = (
    "DTSTART;VALUE=DATE:20270507\r\nDTEND;VALUE=DATE:20270510\r\nLOCATION:Tallahassee\\, FL",
    "DTSTART;TZID=America/New_York:20270507T080000\r\nDURATION:P2DT8H\r\nGEO:29.25;-82.5",
    f"{START}WEEKLY;COUNT=9;BYDAY=SA,SU\r\nEXDATE:20270307T080000\r\nRDATE:20270601T080000",
    "RECURRENCE-ID:20270313T080000\r\nDTSTART:20270314T080000\r\nSEQUENCE:2",
    f"{START}YEARLY;BYMONTH=5;BYDAY=2SA;UNTIL=20300101T000000Z\r\nSTATUS:TENTATIVE",
)
PIECES = (
    *(part.encode() for event in GOOD_EVENTS for part in event.split("\r\n")),
    b"BEGIN:VEVENT",
    b"END:VEVENT",
    b"BEGIN:VCALENDAR",
    b"END:VCALENDAR",
    b"BEGIN:VALARM",
    b"\r\n",
    b"\r\n ",
    b"\n",
    b"\r",
    b":",
    b";",
    b'"',
    b"=",
    b",",
    b"\0",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"\xc3",
    b"99999999999999",
    b"-1",
    b"FREQ=DAILY",
    b";INTERVAL=400",
    b";BYSETPOS=-1",
    b";BYMONTHDAY=-31",
    b";BYWEEKNO=53",
    b";BYDAY=-5SU",
    b"RANGE=THISANDFUTURE",
)


@st.composite
def mutate(draw: st.DrawFn) -> bytes:
    """A good calendar with a few pieces put in, taken out, doubled or overwritten."""
    data = bytearray(wrap(*draw(st.lists(st.sampled_from(GOOD_EVENTS), min_size=1, max_size=4))))
    if draw(st.integers(0, 9)) == 0:
        data = bytearray(data.decode().encode("utf-16"))
    for _ in range(draw(st.integers(1, 5))):
        at = draw(st.integers(0, len(data)))
        length = draw(st.integers(0, 40))
        piece = draw(st.one_of(st.sampled_from(PIECES), st.binary(max_size=6)))
        kind = draw(st.sampled_from(("put", "cut", "double", "write")))
        if kind == "put":
            data[at:at] = piece
        elif kind == "cut":
            del data[at : at + length]
        elif kind == "double":
            data[at:at] = data[at : at + length]
        else:
            data[at : at + len(piece)] = piece
    return bytes(data)


@settings(max_examples=1000, suppress_health_check=list(HealthCheck))
@given(mutate())
def test_no_mutation_of_a_good_calendar_crashes(data: bytes) -> None:
    """A thousand files: each makes shows or faults, and takes no more steps than a bomb may."""
    assert count_steps(lambda: read_shows(data)) < MOST_STEPS


@settings(
    max_examples=60,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(data=mutate())
def test_no_mutation_crashes_the_merge(data: bytes, tmp_path: Path) -> None:
    """A file is no calendar, or what taking it would write is a calendar that can be read."""
    folder = write_folder(tmp_path / "yard", {"x.ics": wrap(*GOOD_EVENTS)})
    try:
        preview = preview_merge(folder, data, "x.ics")
    except BadYard:
        return
    faults = Faults()
    read_events("x.ics", preview.content, "", faults, [])
    faults.raise_if_any()
