"""What a publishing changed for one reader, as a text that is ready to be sent to him."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from tripkit.publishing import words
from tripkit.publishing.events import FeedEvent
from tripkit.publishing.readers import Reader
from tripkit.words.telling import CALENDAR, Teller
from tripkit.yard.facts import Fact, Value, state

MOVED = "moved"
NEW = "new"
CANCELLED = "cancelled"
SETTLED = "settled"
REWORDED = "reworded"
KINDS = (MOVED, NEW, CANCELLED, SETTLED, REWORDED)
"""What a change may be, in the order in which a reader is told."""
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
    def told(self) -> Value:
        """The change in one line."""
        event = self.event
        title, span = event.title, words.state_span(event.start, event.end)
        if self.before is None or self.after is None:
            return state("feeds.dated", title=title, span=span)
        if self.kind == REWORDED:
            new = _list_new_lines(self.before, self.after) or (state("feeds.less"),)
            return state("feeds.reworded", title=title, span=span, told=new)
        parts = [state("feeds.now", title=title, span=span)]
        before = words.state_span(self.before.start, self.before.end)
        if before != span:
            parts.append(state("feeds.was", span=before))
        if _find_place(self.before) != _find_place(self.after):
            places = self.after.location or "?", self.before.location or "?"
            parts.append(state("feeds.at-place", place=places[0], before=places[1]))
        if self.before.status != self.after.status:
            parts.append(state(f"feeds.status-{self.after.status.lower()}"))
        return tuple(parts)


@dataclass(frozen=True)
class ReaderChanges:
    """Everything that a publishing changed for one reader.

    `since` is the publishing before, in the time of home; None: this is his first calendar.
    """

    yard: str
    reader: Reader
    since: datetime | None
    changes: tuple[Change, ...]
    teller: Teller = CALENDAR

    @property
    def text(self) -> str:
        """The text for the reader: what moved, what is new, what fell away."""
        return "\n".join(self.teller.tell(line) for line in self._list_lines())

    def _list_lines(self) -> Iterator[Fact]:
        whose = words.title_reader(self.yard, self.reader.kind, self.reader.name)
        since = self.since
        if since is None:
            yield state("feeds.first", whose=whose, dates=len(self.changes))
            return
        yield state("feeds.since", whose=whose, day=since.date(), at=since.replace(tzinfo=None))
        told = drop_renumbered(self.changes)
        for kind in KINDS:
            found = [change for change in told if change.kind == kind]
            if found:
                yield state(f"feeds.heading-{kind}")
                yield from (state("feeds.change", told=change.told) for change in found)


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

    **Source:** RFC 5545 section 3.8.7.4 leaves to the organizer what is significant; what
    is here is this project's choice.
    """
    return _find_core(before) != _find_core(after)


def _find_core(event: FeedEvent) -> tuple[object, ...]:
    # Two zones may show one moment differently: that is a change, too.
    times = (event.start.isoformat(), event.end.isoformat())
    return (*times, _find_place(event), event.status)


def _find_place(event: FeedEvent) -> tuple[str, str]:
    return (event.location, f"{event.geo[0]:.6f};{event.geo[1]:.6f}" if event.geo else "")


def _list_new_lines(before: FeedEvent, after: FeedEvent) -> tuple[str, ...]:
    known = {before.summary, *before.told_lines}
    return tuple(line for line in (after.summary, *after.told_lines) if line not in known)
