"""The feeds over HTTP: one secret address each, everything else under them is not found."""

from __future__ import annotations

import logging
from datetime import UTC
from email.utils import format_datetime, parsedate_to_datetime
from math import ceil
from typing import Any

from jupyter_server.auth.decorator import allow_unauthenticated
from jupyter_server.utils import url_path_join
from tornado.web import HTTPError, RequestHandler

from tripkit.serve.shelf import FeedBook

FEEDS = "/feeds"
MARK = b".ics"
NOT_FOUND = b"Not found.\n"
TOO_MANY = b"Too many requests; try again later.\n"
NO_ANSWER = b"No answer.\n"

_log = logging.getLogger("tripkit.serve")


def make_feed_route(book: FeedBook, server_url: str = "/") -> tuple[str, type, dict[str, Any]]:
    """The route that takes every address under `/feeds`, to stand before Voila's catch-all."""
    prefix = url_path_join(server_url, FEEDS, "/").encode()
    return (rf"{FEEDS}(?:/.*)?", FeedHandler, {"book": book, "prefix": prefix})


class FeedHandler(RequestHandler):
    """GET and HEAD of a feed by its secret; 404 for anything else, whatever it looks like."""

    SUPPORTED_METHODS = ("GET", "HEAD")

    def initialize(self, book: FeedBook, prefix: bytes) -> None:
        """`prefix` is the path before the secret, the server's base path included."""
        self._book = book
        self._prefix = prefix

    def prepare(self) -> None:
        """The page's own packing would pack a second time, and for clients that refuse it."""
        self._transforms = []

    def set_default_headers(self) -> None:
        """No answer may be kept by others, guessed at, or told on."""
        self.clear_header("Server")
        self.set_header("Cache-Control", "private, no-cache")
        self.set_header("X-Content-Type-Options", "nosniff")
        self.set_header("Referrer-Policy", "no-referrer")
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        self.set_header("X-Robots-Tag", "noindex")

    @allow_unauthenticated
    def get(self) -> None:
        """The feed, or that nothing changed, or that there is no such address."""
        page = self._book.find(self._find_token())
        if page is None:
            self.set_status(404)
            self.finish(NOT_FOUND)
            return
        seconds = self._book.take(page)
        if seconds:
            self.set_status(429)
            self.set_header("Retry-After", str(ceil(seconds)))
            self.finish(TOO_MANY)
            return
        packed = _takes_gzip(self.request.headers.get("Accept-Encoding", ""))
        etag = page.packed_etag if packed else page.etag
        self.set_header("Etag", etag)
        self.set_header("Last-Modified", format_datetime(page.modified, usegmt=True))
        self.set_header("Vary", "Accept-Encoding")
        if self._has(etag, page.modified.timestamp()):
            self.clear_header("Content-Type")
            self.set_status(304)
            self.finish()
            return
        self.set_header("Content-Type", "text/calendar; charset=utf-8")
        self.set_header("Content-Disposition", "inline; filename=calendar.ics")
        if packed:
            self.set_header("Content-Encoding", "gzip")
        self.finish(page.packed if packed else page.body)

    @allow_unauthenticated
    def head(self) -> None:
        """What GET would say, without the feed; tornado leaves out the body."""
        self.get()

    def compute_etag(self) -> str | None:
        """The store knows the name of the bytes; nothing is computed here."""
        return None

    def check_etag_header(self) -> bool:
        """Asked and answered in `get`."""
        return False

    def write_error(self, status_code: int, **_: Any) -> None:
        """A fault says nothing of itself, least of all the address."""
        self.finish(NO_ANSWER)

    def log_exception(self, kind: Any, error: Any, trace: Any) -> None:
        """The kind of fault goes to the log; tornado's own line would hold the address."""
        if isinstance(error, HTTPError) and error.status_code < 500:
            return
        _log.error("a feed could not be answered: %s", kind.__name__)

    def _find_token(self) -> bytes:
        """What stands for the secret in the path as it was sent, nothing decoded; else nothing."""
        path = self.request.path.encode("utf-8", "surrogateescape")
        token = path[len(self._prefix) : -len(MARK)]
        return token if path == self._prefix + token + MARK else b""

    def _has(self, etag: str, modified: float) -> bool:
        """Whether the client has these bytes already.

        **Source:** RFC 9110 section 13.1.2 (weak comparison), 13.1.3 (ignored where
        If-None-Match is sent).
        """
        known = self.request.headers.get("If-None-Match")
        if known is not None:
            tags = (tag.strip().removeprefix("W/") for tag in known.split(","))
            return any(tag in ("*", etag) for tag in tags)
        since = self.request.headers.get("If-Modified-Since")
        if since is None:
            return False
        try:
            moment = parsedate_to_datetime(since)
        except (ValueError, TypeError, OverflowError):
            return False
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=UTC)
        return modified <= moment.timestamp()


def _takes_gzip(accepted: str) -> bool:
    """Whether a client takes packed bytes.

    **Source:** RFC 9110 section 12.5.3: a coding with `q=0` is refused.
    """
    for part in accepted.lower().split(","):
        coding, _, parameters = part.strip().partition(";")
        if coding.strip() in ("gzip", "x-gzip"):
            weight = parameters.replace(" ", "").removeprefix("q=")
            try:
                return not parameters or float(weight) > 0
            except ValueError:
                return False
    return False
