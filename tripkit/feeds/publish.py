"""Publishing: a circuit becomes the one that every feed shows, all feeds at once or none.

What each reader was shown is kept by uid, so that the next publishing knows what moved, what is
new and what fell away. The clock is never asked: whoever calls says what time it is.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta

from tripkit.circuit import Circuit
from tripkit.errors import BadValue, OutOfDate
from tripkit.feeds.addresses import make_address
from tripkit.feeds.changes import Change, ReaderChanges, is_significant
from tripkit.feeds.contents import dump_event, load_event, load_head
from tripkit.feeds.events import FeedEvent, list_all_events
from tripkit.feeds.kept import is_shown, write_kept_feeds
from tripkit.feeds.readers import Reader, list_readers
from tripkit.feeds.write import make_head
from tripkit.feeds.zones import find_zone
from tripkit.files.circuits import dump_circuits
from tripkit.places import HOME
from tripkit.store import Current, KeptEvent, Shelf, Store, Who
from tripkit.yard import Yard


@dataclass(frozen=True)
class Publishing:
    """A circuit that was published: which publishing it is, when, and what it changed for whom.

    `revision` counts publishings from 1. `changes` has one entry for each reader whose calendar
    differs, in the order of the readers.
    """

    revision: int
    published: datetime
    circuit: str
    changes: tuple[ReaderChanges, ...]


def publish(
    yard: Yard, circuit: Circuit, store: Store, now: datetime, *, upon: int | None = None
) -> Publishing:
    """A circuit becomes the yard's current one: from now on every feed shows it.

    `now` is aware. `upon` is the revision the caller looked at (None: whichever holds); where
    another publishing came after it, or comes meanwhile, nothing is changed.

    SEQUENCE rises where time, place or status of an event changed. What falls away is shown as
    cancelled for 30 days; what is over by the yard's today stays as it was. Readers without an
    address get one.

    Raises `BadValue` for a circuit without a plan, `BadCircuits` for one of another yard,
    `OutOfDate` where somebody else was first, `BadStore` where the store cannot be used.
    """
    if now.tzinfo is None:
        raise BadValue(f"time {now} has no time zone")
    if not circuit.exists:
        raise BadValue(f"{circuit.name} has no plan ({circuit.status}), so it cannot be published")
    shelf = store.read_shelf()
    if upon is not None and upon != shelf.current.revision:
        raise OutOfDate(
            f"{store.path}: somebody else published {shelf.current.circuit!r} meanwhile; nothing "
            "was changed: look at what changed, then publish again"
        )
    moment = now.astimezone(UTC).replace(microsecond=0)
    kept, changes = _merge_readers(yard, circuit, shelf, moment)
    heads = {(r.kind, r.name): make_head(yard, r, moment) for r in list_readers(yard)}
    seen = {event.who for event in kept if is_shown(event, moment.date())}
    for who, feed in shelf.feeds.items():
        # Whoever left the yard sees for a while that his dates are cancelled.
        if who in seen:
            heads.setdefault(who, load_head(feed.head, Reader(*who)))
    addresses = {
        **{who: make_address(who, moment) for who in heads if who not in shelf.addresses},
        **shelf.addresses,
    }
    current = Current(
        0,
        moment,
        circuit.name,
        dump_circuits(yard, [circuit]),
        json.dumps([[c.reader.kind, c.reader.name, c.text] for c in changes]),
    )
    feeds = write_kept_feeds(replace(shelf, addresses=addresses), heads, kept, moment, moment)
    holds = store.keep_publishing(shelf, current, kept, feeds, addresses.values())
    return Publishing(holds.revision, moment, circuit.name, changes)


def is_current(yard: Yard, circuit: Circuit, shelf: Shelf) -> bool:
    """Whether a circuit is the one that is published, to the last figure."""
    return bool(shelf.feeds) and shelf.current.document == dump_circuits(yard, [circuit])


def list_last_changes(store: Store) -> tuple[tuple[Reader, str], ...]:
    """What the last publishing changed, per reader, as text ready to be sent. Raises `BadStore`."""
    changes = store.find_current().changes
    return tuple((Reader(kind, name), text) for kind, name, text in json.loads(changes or "[]"))


def _merge_readers(
    yard: Yard, circuit: Circuit, shelf: Shelf, moment: datetime
) -> tuple[list[KeptEvent], tuple[ReaderChanges, ...]]:
    known: dict[Who, dict[str, KeptEvent]] = {}
    for event in shelf.events:
        known.setdefault(event.who, {})[event.uid] = event
    since = shelf.current.published
    if since is not None:
        since = since.astimezone(find_zone(yard, HOME))
    kept: list[KeptEvent] = []
    changed: list[ReaderChanges] = []
    readers = list_readers(yard)
    for reader, events in list_all_events(yard, circuit, readers).items():
        who = (reader.kind, reader.name)
        first = who not in shelf.feeds
        merged, changes = merge_events(yard, reader, known.pop(who, {}), events, moment.date())
        kept += merged
        if changes:
            changed.append(ReaderChanges(yard.name, reader, None if first else since, changes))
    for who, before in known.items():
        reader = Reader(*who)
        merged, changes = merge_events(yard, reader, before, (), moment.date())
        kept += merged
        if changes:
            changed.append(ReaderChanges(yard.name, reader, since, changes))
    return kept, tuple(changed)


def merge_events(
    yard: Yard,
    reader: Reader,
    known: Mapping[str, KeptEvent],
    events: Sequence[FeedEvent],
    today: date,
) -> tuple[list[KeptEvent], tuple[Change, ...]]:
    """A reader's events after a publishing, and what is not as he was shown it before.

    An event keeps its uid and moves. SEQUENCE rises where time, place or status changed. One
    that fell away is cancelled; one that is over by the yard's today has happened and stays.
    """
    kept: list[KeptEvent] = []
    changes: list[Change] = []
    who = (reader.kind, reader.name)
    gone = dict(known)
    for event in events:
        before = gone.pop(event.uid, None)
        sequence = 0
        if before is None:
            changes.append(Change(None, event))
        else:
            shown = load_event(before.content, reader)
            significant = is_significant(shown, event)
            sequence = before.sequence + (significant or before.cancelled is not None)
            if before.cancelled is not None or (significant and _is_over(yard, shown)):
                changes.append(Change(None, event))
            elif significant or shown != event:
                changes.append(Change(shown, event))
        kept.append(KeptEvent(who, event.uid, dump_event(event), sequence))
    for before in gone.values():
        shown = load_event(before.content, reader)
        if before.cancelled is not None:
            kept.append(before)
        elif _is_over(yard, shown):
            if _find_last_day(shown) >= yard.season.first:
                kept.append(before)
        else:
            kept.append(replace(before, sequence=before.sequence + 1, cancelled=today))
            changes.append(Change(shown, None))
    return kept, tuple(sorted(changes, key=lambda change: change.event.sort_key))


def _is_over(yard: Yard, event: FeedEvent) -> bool:
    return _find_last_day(event) < yard.day_of_planning


def _find_last_day(event: FeedEvent) -> date:
    if isinstance(event.end, datetime):
        return event.end.date()
    return event.end - timedelta(days=1)
