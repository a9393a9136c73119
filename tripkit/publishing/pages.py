"""Where the dashboard shows the horse of an event."""

from __future__ import annotations

from urllib.parse import quote

from tripkit.publishing.events import FeedEvent

KINDS_OF_ONE_HORSE = frozenset(
    {
        "stay",
        "base",
        "travel there",
        "travel home",
        "recovery",
        "school",
        "vet check",
        "vaccination",
        "recheck",
        "closing",
    }
)


def find_page(event: FeedEvent, address: str) -> str:
    """The page of the event's horse under the dashboard's address; empty for no single horse.

    The horse stands behind `#`, which a browser keeps to itself: no log on the way has it.
    """
    if not event.subject or event.kind not in KINDS_OF_ONE_HORSE:
        return ""
    name = event.subject.encode("utf-8", "replace").decode("utf-8")
    return f"{address.rstrip('/')}/#horse={quote(name, safe='')}"
