"""Publishing: a circuit becomes the one that every feed shows, all feeds at once or none.

What each reader was shown is kept by uid, so that the next publishing knows what moved, what is
new and what fell away. The clock is never asked: whoever calls says what time it is.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from tripkit.files.circuits import dump_circuits
from tripkit.judging.case import Violation
from tripkit.publishing.addresses import make_address
from tripkit.publishing.changes import Change, ReaderChanges, is_significant
from tripkit.publishing.contents import dump_event, load_head, load_shown
from tripkit.publishing.events import FeedEvent, list_all_events
from tripkit.publishing.matching import Moment, match_events
from tripkit.publishing.readers import Reader, choose_reader_teller, list_readers
from tripkit.publishing.served import is_shown, write_kept_feeds
from tripkit.publishing.write import FeedHead, make_head
from tripkit.store import Current, KeptEvent, Shelf, Store, Who
from tripkit.words.telling import Teller
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import BadValue, OutOfDate
from tripkit.yard.facts import state
from tripkit.yard.yard import Yard

SHOWN_FOR = timedelta(days=365)
"""How long before the season what is over is shown still."""


@dataclass(frozen=True)
class Publishing:
    """A circuit that was published: which publishing it is, when, and what it changed for whom.

    `revision` counts publishings from 1. `changes` has one entry for each reader whose dates
    differ, in the order of the readers; `retold` are those who read the same dates in other words.
    """

    revision: int
    published: datetime
    circuit: str
    changes: tuple[ReaderChanges, ...]
    retold: tuple[Reader, ...] = ()


def publish(
    yard: Yard,
    circuit: Circuit,
    store: Store,
    now: datetime,
    *,
    upon: int | None = None,
    broken: Sequence[Violation] = (),
) -> Publishing:
    """A circuit becomes the yard's current one: from now on every feed shows it.

    `now` is aware. `upon` is the revision the caller looked at (None: whichever holds); where
    another publishing came after it, or comes meanwhile, nothing is changed. `broken` is what the
    circuit breaks and somebody publishes all the same: the calendars say so.

    SEQUENCE rises where time, place or status of an event changed. What falls away is shown as
    cancelled for 30 days; what is over by the yard's today or by `now` stays as it was, and what
    is under way began when it began. A feed in which nothing changed keeps every byte. Readers
    without an address get one.

    Raises `BadValue` for a circuit without a plan, `BadCircuits` for one of another yard,
    `OutOfDate` where somebody else was first, `BadStore` where the store cannot be used.
    """
    if now.tzinfo is None:
        raise BadValue(state("values.time-has-no-time-zone-2", now=now))
    if not circuit.exists:
        raise BadValue(
            state("values.has-no-plan-so-it", circuit_name=circuit.name, status=circuit.status)
        )
    shelf = store.read_shelf()
    if upon is not None and upon != shelf.current.revision:
        raise OutOfDate(
            state(
                "values.somebody-else-published-meanwhile-nothing",
                path=str(store.path),
                circuit=shelf.current.circuit,
            )
        )
    moment = now.astimezone(UTC).replace(microsecond=0)
    kept, changes = _merge_readers(yard, circuit, shelf, moment)
    heads = _choose_heads(yard, shelf, kept, moment, broken)
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
    feeds = write_kept_feeds(replace(shelf, addresses=addresses), heads, kept, moment)
    holds = store.keep_publishing(shelf, current, kept, feeds, addresses.values())
    retold = _list_retold(shelf, heads, changes)
    return Publishing(holds.revision, moment, circuit.name, changes, retold)


def list_outdated(
    yard: Yard,
    circuit: Circuit,
    store: Store,
    now: datetime,
    *,
    broken: Sequence[Violation] = (),
) -> tuple[Reader, ...]:
    """Whose calendar another publishing of the published circuit would change; nothing is written.

    The folder may have changed since: a language, a paper, a name. Of a circuit that is not
    published it is nobody. Raises `BadStore`.
    """
    shelf = store.read_shelf()
    if not is_current(yard, circuit, shelf):
        return ()
    moment = now.astimezone(UTC).replace(microsecond=0)
    kept, changes = _merge_readers(yard, circuit, shelf, moment)
    heads = _choose_heads(yard, shelf, kept, moment, broken)
    return (*(c.reader for c in changes), *_list_retold(shelf, heads, changes))


def is_current(yard: Yard, circuit: Circuit, shelf: Shelf) -> bool:
    """Whether a circuit is the one that is published, to the last figure."""
    return bool(shelf.feeds) and shelf.current.document == dump_circuits(yard, [circuit])


def list_last_changes(store: Store) -> tuple[tuple[Reader, str], ...]:
    """What the last publishing changed, per reader, as text ready to be sent. Raises `BadStore`."""
    changes = store.find_current().changes
    return tuple((Reader(kind, name), text) for kind, name, text in json.loads(changes or "[]"))


def _merge_readers(
    yard: Yard, circuit: Circuit, shelf: Shelf, clock: datetime
) -> tuple[list[KeptEvent], tuple[ReaderChanges, ...]]:
    known: dict[Who, list[KeptEvent]] = {}
    for event in shelf.events:
        known.setdefault(event.who, []).append(event)
    now = Moment.find(yard, clock)
    since = shelf.current.published
    if since is not None:
        since = since.astimezone(now.home)
    kept: list[KeptEvent] = []
    changed: list[ReaderChanges] = []
    planned = list_all_events(yard, circuit, list_readers(yard))
    gone = (Reader(*who) for who in known if Reader(*who) not in planned)
    for reader in (*planned, *gone):
        who = (reader.kind, reader.name)
        events = planned.get(reader, ())
        teller = choose_reader_teller(yard, reader)
        merged, changes = merge_events(yard, who, known.get(who, ()), events, now, teller)
        feed = shelf.feeds.get(who)
        if feed is not None and reader in planned:
            merged = _mark_retold(merged, load_head(feed.head, reader).teller, teller, now)
        kept += merged
        if changes:
            before = since if who in shelf.feeds or reader not in planned else None
            changed.append(ReaderChanges(yard.name, reader, before, changes, teller))
    return kept, tuple(changed)


def _mark_retold(
    kept: Iterable[KeptEvent], before: Teller, teller: Teller, now: Moment
) -> list[KeptEvent]:
    """Events that a reader is told in other words than before, as in another language, changed."""
    if before == teller:
        return list(kept)
    marked = []
    for event in kept:
        shown = load_shown(event, teller).event
        is_retold = not _tells_alike(shown, replace(shown, teller=before))
        marked.append(replace(event, changed=now.clock) if is_retold else event)
    return marked


def _tells_alike(left: FeedEvent, right: FeedEvent) -> bool:
    return (left.summary, left.description) == (right.summary, right.description)


def _is_same(before: FeedEvent, after: FeedEvent) -> bool:
    """Whether an event is as it was shown, and is told as it was."""
    if before == after:
        return True
    alike = replace(after, title=before.title, lines=before.lines)
    return before == alike and _tells_alike(before, after)


def merge_events(
    yard: Yard,
    who: Who,
    known: Iterable[KeptEvent],
    planned: Iterable[FeedEvent],
    now: Moment,
    teller: Teller,
) -> tuple[list[KeptEvent], tuple[Change, ...]]:
    """A reader's events after a publishing, and what is not as he was shown it before.

    An event keeps its uid and moves. SEQUENCE rises where time, place or status changed. One
    that fell away is cancelled; one that is over has happened and stays, until a year before the
    season.
    """
    shown = [load_shown(event, teller) for event in known]
    oldest = yard.season.first - SHOWN_FOR
    kept = {
        one.kept.uid: replace(one.kept, archived=now.is_over(one.event) and one.end_day < oldest)
        for one in shown
    }
    changes: list[Change] = []
    for match in match_events(shown, planned, now):
        before, after = match.before, match.after
        if before is None:
            assert after is not None
            kept[after.uid] = KeptEvent(who, after.uid, dump_event(after), now.clock)
            changes.append(Change(None, after))
            continue
        sequence = before.kept.sequence + 1
        if after is None:
            kept[before.kept.uid] = replace(
                before.kept, sequence=sequence, cancelled=now.clock.date(), changed=now.clock
            )
            changes.append(Change(before.event, None))
        elif not before.stands or not _is_same(before.event, after):
            if before.stands and not is_significant(before.event, after):
                sequence -= 1
            kept[before.kept.uid] = KeptEvent(
                who, before.kept.uid, dump_event(after), now.clock, sequence
            )
            changes.append(Change(before.event if before.stands else None, after))
    return list(kept.values()), tuple(sorted(changes, key=lambda change: change.event.sort_key))


def _choose_heads(
    yard: Yard,
    shelf: Shelf,
    kept: Sequence[KeptEvent],
    moment: datetime,
    broken: Sequence[Violation],
) -> dict[Who, tuple[FeedHead, datetime]]:
    """The head of each feed, with the publishing in which it or its events last changed."""
    known = set(shelf.events)
    changed = {event.who for event in kept if event not in known}
    heads = {}
    for reader in list_readers(yard):
        who = (reader.kind, reader.name)
        before = shelf.feeds.get(who)
        published = moment if before is None or who in changed else before.published
        head = make_head(yard, reader, published, broken)
        if before is not None and not _heads_alike(head, load_head(before.head, reader)):
            published = moment
            head = make_head(yard, reader, published, broken)
        heads[who] = (head, published)
    # Whoever left the yard sees for a while that his dates are cancelled.
    seen = {event.who for event in kept if is_shown(event, moment.date())}
    for who, feed in shelf.feeds.items():
        if who in seen and who not in heads:
            published = moment if who in changed else feed.published
            heads[who] = (load_head(feed.head, Reader(*who)), published)
    return heads


def _list_retold(
    shelf: Shelf, heads: Mapping[Who, tuple[FeedHead, datetime]], changes: Iterable[ReaderChanges]
) -> tuple[Reader, ...]:
    """Who reads in other words what he was shown, no date of it changed."""
    changed = {(c.reader.kind, c.reader.name) for c in changes}
    return tuple(
        Reader(*who)
        for who, (_, published) in heads.items()
        if who in shelf.feeds and who not in changed and published != shelf.feeds[who].published
    )


def _heads_alike(left: FeedHead, right: FeedHead) -> bool:
    told = ((head.told_title, head.told_about, head.teller.language) for head in (left, right))
    return next(told) == next(told)
