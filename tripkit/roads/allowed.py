"""Which road and place servers this machine lets a yard ask, and how long it waits for them.

A yard is files that anybody may have written; with it alone a server would fetch whatever address
stands in them. So a yard chooses among the servers that the machine allows, in its environment:
`TRIPKIT_SERVERS`, addresses or names of online geocoders, with blanks or commas between.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from threading import Thread
from typing import Any, TypeVar
from urllib.parse import urlsplit
from urllib.request import HTTPRedirectHandler

Answer = TypeVar("Answer")

SETTING = "TRIPKIT_SERVERS"
PORTS = {"http": 80, "https": 443}


def list_allowed() -> tuple[str, ...]:
    """The servers allowed, as they are written in the environment."""
    return tuple(dict.fromkeys(os.environ.get(SETTING, "").replace(",", " ").split()))


def is_allowed(server: str) -> bool:
    """Whether a yard may have this server asked: an address, or the name of a geocoder."""
    return _normalise(server) in map(_normalise, list_allowed())


def say_not_allowed(name: str, server: str) -> str:
    """That a server is not asked, and what whoever runs this machine can do about it."""
    return (
        f"{name} is not asked: it is none of those that this machine allows "
        f"(whoever runs tripkit here allows it by {SETTING}={server})"
    )


class NoRedirect(HTTPRedirectHandler):
    """A server that is asked answers itself, and sends nobody to another."""

    def redirect_request(self, *_: Any, **__: Any) -> None:
        """No request follows; the answer counts as an error."""


def wait_for(work: Callable[[], Answer], seconds: float) -> Answer:
    """The answer of some work, or what went wrong raised; `TimeoutError` when the time is up.

    Looking up a server's name has no time limit of its own, nor has one that sends drop by drop.
    """
    results: list[Answer | Exception] = []

    def try_to() -> None:
        try:
            results.append(work())
        except Exception as error:
            results.append(error)

    thread = Thread(target=try_to, daemon=True)
    thread.start()
    thread.join(max(seconds, 0))
    if not results:
        raise TimeoutError
    if isinstance(results[0], Exception):
        raise results[0]
    return results[0]


def _normalise(server: str) -> tuple[str, ...]:
    """Scheme, host, port and path of an address; anything else as it is written."""
    try:
        split = urlsplit(server)
        if split.scheme not in PORTS or not split.hostname:
            return (server,)
        port = split.port or PORTS[split.scheme]
    except ValueError:
        return (server,)
    # What stands before an @ is no part of where a server is, and may look like it.
    if "@" in split.netloc:
        return (server,)
    return split.scheme, split.hostname, str(port), split.path.rstrip("/"), split.query
