"""What the store keeps: outside answers, the current circuit, what each reader saw, addresses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

Who = tuple[str, str]
"""A reader: what kind, and the name as the yard writes it."""


@dataclass(frozen=True)
class Answer:
    """What somebody outside answered once: verbatim, who said it, and when (aware)."""

    text: str
    source: str
    when: datetime


@dataclass(frozen=True)
class Current:
    """The circuit that is published: which publishing it was, when, and the circuit as JSON.

    `changes` are what it changed, as JSON. `revision` counts publishings from 1; 0 stands for a
    store in which nothing was published.
    """

    revision: int = 0
    published: datetime | None = None
    circuit: str = ""
    document: str = ""
    changes: str = ""


@dataclass(frozen=True)
class KeptEvent:
    """One event as a reader was shown it: content as JSON, its SEQUENCE, and when it was cancelled.

    `changed` is the publishing in which it last changed (aware). `cancelled` None: it stands.
    `archived`: of long ago and shown no more, but its uid is never another event's.
    """

    who: Who
    uid: str
    content: str
    changed: datetime
    sequence: int = 0
    cancelled: date | None = None
    archived: bool = False


@dataclass(frozen=True)
class KeptFeed:
    """One feed as it is served: the bytes, the same packed by gzip, and when they last changed.

    `head` is what the calendar says of itself, as JSON; `published` the publishing in which head
    or events last changed. Both moments are aware.
    """

    who: Who
    head: str
    body: bytes
    packed: bytes
    etag: str
    modified: datetime
    published: datetime


@dataclass(frozen=True)
class Address:
    """The secret part of one reader's address; empty: revoked. `alarms`: whether reminders ring.

    Where one is printed, the secret is left out.
    """

    who: Who
    token: str = field(repr=False)
    made: datetime
    alarms: bool = True


@dataclass(frozen=True)
class Shelf:
    """Everything the store holds of feeds, from one moment: never half of a publishing."""

    current: Current = field(default_factory=Current)
    feeds: Mapping[Who, KeptFeed] = field(default_factory=dict)
    addresses: Mapping[Who, Address] = field(default_factory=dict)
    settings: Mapping[str, str] = field(default_factory=dict)
    events: tuple[KeptEvent, ...] = ()
