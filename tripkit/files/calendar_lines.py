"""The events of a calendar file as their content lines, whatever made the file.

Nothing is known here of what a line means. Work and memory are bounded by the size of the file,
which is limited: what is no event's own line is passed over unread.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from tripkit.files.faults import Faults
from tripkit.files.values import TURNING_SIGNS
from tripkit.yard.facts import Fact, state

LARGEST_BYTES = 5_000_000
MOST_LINES = 100_000
MOST_EVENTS = 5_000
LONGEST_LINE = 20_000
DEEPEST = 50
EVENT_NAMES = frozenset(
    {
        "DTEND",
        "DTSTAMP",
        "DTSTART",
        "DURATION",
        "EXDATE",
        "GEO",
        "LAST-MODIFIED",
        "LOCATION",
        "RDATE",
        "RECURRENCE-ID",
        "RRULE",
        "SEQUENCE",
        "STATUS",
        "SUMMARY",
        "UID",
    }
)
CALENDAR_NAMES = frozenset({"METHOD", "X-WR-TIMEZONE"})
REPEATABLE = frozenset({"EXDATE", "RDATE"})

_END_OF_LINE = re.compile(rb"\r\n?|\n")
_FOLD = re.compile(rb"\n[ \t]")
_NAME = re.compile(rb"[A-Za-z0-9-]+")
# What no calendar may hold and no terminal should be sent, the tabulator is none of them; and what
# turns the writing round.
_CONTROLS = {
    code: None for code in (*range(9), *range(10, 32), *range(127, 160), *map(ord, TURNING_SIGNS))
}


@dataclass(frozen=True)
class ContentLine:
    """One line: parameters by name in capitals, and the value as it stands."""

    parameters: dict[str, str]
    value: str


@dataclass
class EventLines:
    """The lines of one event by name, and what its calendar says of all its events.

    `where` names the event as users see it: `shows.ics event 3`.
    """

    where: str
    calendar: dict[str, ContentLine]
    lines: dict[str, list[ContentLine]] = field(default_factory=dict)

    def find(self, name: str) -> ContentLine | None:
        """The line of a name, of several the last; None where there is none."""
        return self.lines[name][-1] if name in self.lines else None

    def find_text(self, name: str) -> str:
        """The trimmed value of a line, empty where there is none."""
        line = self.find(name)
        return line.value.strip() if line else ""


def split_calendar(
    file: str, data: bytes, faults: Faults, remarks: list[Fact]
) -> list[EventLines] | None:
    """A calendar file becomes the lines of its events; None with a fault where it is none.

    Several calendars in one file are read as one. UTF-8 and UTF-16, with a mark or without;
    a line that is neither is read as Windows-1252, with a remark. Any line end, and lines folded
    in the middle of a letter. An event that is not ended, and a file that stops in the middle,
    are faults: shows would be missing unseen.

    **Source:** RFC 5545 section 3.1 (folding by octets), 3.4, 3.6.
    """
    if len(data) > LARGEST_BYTES:
        faults.add(
            file, state("faults.larger-than-mb-and-was", largest_bytes=LARGEST_BYTES // 1_000_000)
        )
        return None
    text = _END_OF_LINE.sub(b"\n", _recode(data))
    if text.count(b"\n") > MOST_LINES:
        faults.add(file, state("faults.has-more-than-lines-and", most_lines=MOST_LINES))
        return None
    walk = _Walk(file, faults)
    for line in _FOLD.sub(b"", text).split(b"\n"):
        if not walk.take(line):
            return None
    if not walk.calendars:
        faults.add(file, state("faults.no-calendar-file-it-holds"))
        return None
    if walk.stack:
        faults.add(file, state("faults.stops-in-middle-is-not", stack=walk.stack[-1]))
        return None
    if not walk.events:
        remarks.append(state("faults.holds-no-event-vevent-so", file=file))
    if walk.foreign:
        count = walk.foreign
        remarks.append(state("faults.not-utf8-everywhere-read-as", file=file, count=count))
    return walk.events


def _recode(data: bytes) -> bytes:
    """UTF-16, known by its mark or by the zeros of its first letters, becomes UTF-8."""
    for mark, codec in ((b"\xff\xfe", "utf-16-le"), (b"\xfe\xff", "utf-16-be")):
        if data.startswith(mark):
            return data[2:].decode(codec, "replace").encode("utf-8", "replace")
    if data.startswith(b"B\0E\0"):
        return data.decode("utf-16-le", "replace").encode("utf-8", "replace")
    if data.startswith(b"\0B\0E"):
        return data.decode("utf-16-be", "replace").encode("utf-8", "replace")
    return data.removeprefix(b"\xef\xbb\xbf")


class _Walk:
    """Goes through a file line by line and keeps the lines of events."""

    def __init__(self, file: str, faults: Faults) -> None:
        self.file = file
        self.events: list[EventLines] = []
        self.stack: list[str] = []
        self.calendars = 0
        self.foreign = 0
        self._faults = faults
        self._calendar: dict[str, ContentLine] = {}

    def take(self, line: bytes) -> bool:
        """One line is read; False where nothing after it can be understood."""
        found = _NAME.match(line)
        if not found:
            return True
        name = found.group().decode("ascii").upper()
        if name in ("BEGIN", "END") and line[found.end() : found.end() + 1] == b":":
            what = line[found.end() + 1 :][:100].decode("ascii", "replace").strip().upper()
            return self._open(what) if name == "BEGIN" else self._close(what)
        inside = self.stack[-1] if self.stack else ""
        if inside == "VEVENT" and name in EVENT_NAMES:
            self._keep(self.events[-1].lines, name, line[found.end() :])
        elif inside == "VCALENDAR" and name in CALENDAR_NAMES:
            lines: dict[str, list[ContentLine]] = {}
            self._keep(lines, name, line[found.end() :])
            self._calendar.update({name: kept[-1] for name, kept in lines.items()})
        return True

    def _open(self, what: str) -> bool:
        if what == "VCALENDAR" and not self.stack:
            self.calendars += 1
            self._calendar = {}
        elif not self.stack:
            return True
        if what in ("VEVENT", "VCALENDAR") and "VEVENT" in self.stack:
            self._faults.add(
                self.events[-1].where, state("faults.not-ended-before-next", what=what)
            )
            return False
        if len(self.stack) >= DEEPEST:
            self._faults.add(self.file, state("faults.nests-more-than-components", deepest=DEEPEST))
            return False
        if what == "VEVENT":
            if len(self.events) >= MOST_EVENTS:
                self._faults.add(
                    self.file, state("faults.holds-more-than-events", most_events=MOST_EVENTS)
                )
                return False
            where = f"{self.file} event {len(self.events) + 1}"
            self._faults.announce(where)
            self.events.append(EventLines(where, self._calendar))
        self.stack.append(what)
        return True

    def _close(self, what: str) -> bool:
        if self.stack and self.stack[-1] == what:
            self.stack.pop()
        elif what in self.stack:
            self._faults.add(
                self.file, state("faults.ends-while-is-not-ended", what=what, stack=self.stack[-1])
            )
            return False
        elif what == "VEVENT" and self.calendars:
            self._faults.add(self.file, state("faults.ends-that-never-began-its", what=what))
            return False
        return True

    def _keep(self, lines: dict[str, list[ContentLine]], name: str, rest: bytes) -> None:
        try:
            text = rest[: LONGEST_LINE + 1].decode("utf-8")
        except UnicodeDecodeError as error:
            cut = len(rest) > LONGEST_LINE and error.start > LONGEST_LINE - 4
            text = rest[: LONGEST_LINE + 1].decode("utf-8" if cut else "cp1252", "replace")
            self.foreign += not cut
        if len(rest) > LONGEST_LINE:
            self._faults.add(
                self.events[-1].where if self.events else self.file,
                state("faults.longer-than-bytes", longest_line=LONGEST_LINE),
                column=name,
            )
            return
        parts = _split_outside_quotes(text.translate(_CONTROLS))
        line = ContentLine(_read_parameters(parts[:-1]), parts[-1])
        if name in REPEATABLE:
            lines.setdefault(name, []).append(line)
        else:
            lines[name] = [line]


def _split_outside_quotes(text: str) -> list[str]:
    """The parameters, cut at `;`, then the value behind the first `:`; quotes keep both signs."""
    head, _, value = text.partition(":")
    if '"' not in head:
        return [*filter(None, head.split(";")), value]
    parts: list[str] = []
    start, quoted = 0, False
    for i, sign in enumerate(text):
        if sign == '"':
            quoted = not quoted
        elif not quoted and sign in ";:":
            if i > start:
                parts.append(text[start:i])
            start = i + 1
            if sign == ":":
                return [*parts, text[start:]]
    # A quote that is never closed.
    return [value]


def _read_parameters(parts: list[str]) -> dict[str, str]:
    parameters = {}
    for part in parts:
        name, _, value = part.partition("=")
        parameters[name.strip().upper()] = value.strip().strip('"')
    return parameters
