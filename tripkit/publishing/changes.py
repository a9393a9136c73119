"""What a publishing changed for one reader, as a text that is ready to be sent to him."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from tripkit.publishing import words
from tripkit.publishing.events import FeedEvent
from tripkit.publishing.readers import Reader

MOVED = "moved"
NEW = "new"
CANCELLED = "cancelled"
SETTLED = "settled"
REWORDED = "reworded"
HEADINGS = {
    MOVED: "Moved",
    NEW: "New",
    CANCELLED: "Cancelled",
    SETTLED: "No longer needed",
    REWORDED: "Details",
}
KINDS_THAT_SETTLE = frozenset({"closing", "paper", "recheck", "certificate"})
"""What ends because somebody did it: entered, renewed, looked again."""


@dataclass(frozen=True)
class Change:
    """One event that is not what the reader was shown before; `before` or `after` may be absent."""

    before: FeedEvent | None
    after: FeedEvent | None

    @property
    def event(self) -> FeedEvent:
        """The event as it is now, or as it was."""
        event = self.after or self.before
        assert event is not None
        return event

    @property
    def kind(self) -> str:
        """`moved` in time, place or standing, `new`, `cancelled`, `settled`, `reworded`."""
        if self.before is None:
            return NEW
        if self.after is None:
            return SETTLED if self.before.kind in KINDS_THAT_SETTLE else CANCELLED
        return MOVED if is_significant(self.before, self.after) else REWORDED

    @property
    def words(self) -> str:
        """The change in one line."""
        event = self.event
        title = words.clean_line(event.summary)
        span = words.write_span(event.start, event.end)
        if self.before is None or self.after is None:
            return f"{title}, {span}"
        if self.kind == REWORDED:
            told = "; ".join(_list_new_lines(self.before, self.after)) or "less is said of it"
            return f"{title}, {span}: {told}"
        said = [f"{title}: now {span}"]
        before = words.write_span(self.before.start, self.before.end)
        if before != span:
            said.append(f"was {before}")
        if _find_place(self.before) != _find_place(self.after):
            said.append(f"at {self.after.location or '?'}, was at {self.before.location or '?'}")
        if self.before.status != self.after.status:
            said.append(words.say_status(self.after.status))
        return ", ".join(said)


@dataclass(frozen=True)
class ReaderChanges:
    """Everything that a publishing changed for one reader.

    `since` is the publishing before, in the time of home; None: this is his first calendar.
    """

    yard: str
    reader: Reader
    since: datetime | None
    changes: tuple[Change, ...]

    @property
    def text(self) -> str:
        """The text for the reader: what moved, what is new, what fell away."""
        return "\n".join(self._list_lines())

    def _list_lines(self) -> Iterator[str]:
        whose = words.title_reader(self.yard, self.reader.kind, self.reader.name)
        if self.since is None:
            yield words.announce_first(whose, len(self.changes))
            return
        yield words.announce_changes(whose, self.since)
        told = drop_renumbered(self.changes)
        for kind, heading in HEADINGS.items():
            found = [change for change in told if change.kind == kind]
            if found:
                yield f"{heading}:"
                yield from (f"- {change.words}" for change in found)


def drop_renumbered(changes: Sequence[Change]) -> tuple[Change, ...]:
    """The changes as a reader sees them: what stands where a like event stood is no change.

    A school that leads to another show than before is another event on the same day.
    """
    real = [change for change in changes if change.kind != REWORDED]
    gone = Counter(_find_looks(change.before) for change in real if change.before)
    come = Counter(_find_looks(change.after) for change in real if change.after)
    shared = gone & come
    left = {"before": Counter(shared), "after": Counter(shared)}

    def keep(event: FeedEvent | None, side: str) -> FeedEvent | None:
        if event is None or not left[side][_find_looks(event)]:
            return event
        left[side][_find_looks(event)] -= 1
        return None

    told = []
    for change in changes:
        if change.kind == REWORDED:
            told.append(change)
            continue
        seen = Change(keep(change.before, "before"), keep(change.after, "after"))
        if seen.before or seen.after:
            told.append(seen)
    return tuple(told)


def _find_looks(event: FeedEvent) -> tuple[object, ...]:
    return (event.kind, event.summary, *_find_core(event))


def is_significant(before: FeedEvent, after: FeedEvent) -> bool:
    """Whether time, place or status differ: what raises SEQUENCE.

    **Source:** RFC 5545 section 3.8.7.4 leaves to the organizer what is significant; this
    project's choice is the contract's, section 6.
    """
    return _find_core(before) != _find_core(after)


def _find_core(event: FeedEvent) -> tuple[object, ...]:
    # Two zones may show one moment differently: that is a change, too.
    times = (event.start.isoformat(), event.end.isoformat())
    return (*times, _find_place(event), event.status)


def _find_place(event: FeedEvent) -> tuple[str, str]:
    return (event.location, f"{event.geo[0]:.6f};{event.geo[1]:.6f}" if event.geo else "")


def _list_new_lines(before: FeedEvent, after: FeedEvent) -> Sequence[str]:
    known = {before.summary, *before.description.splitlines()}
    lines = (after.summary, *after.description.splitlines())
    return [line for line in lines if line not in known]
