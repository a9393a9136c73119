"""The server's ear: what one request and all connections together may take, in bytes and time.

Nothing here knows what is asked for. A page's own line (a websocket) leaves this count as soon as
it is opened.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Any

from tornado.httpserver import HTTPServer
from tornado.httputil import HTTPMessageDelegate

# common practice, no source: a browser's request has some 2 kB of headers, a login less of a body.
MOST_HEADER_BYTES = 16 * 1024
MOST_BODY_BYTES = 64 * 1024
HEADERS_WITHIN_SECONDS = 20.0
BODY_WITHIN_SECONDS = 20.0
MOST_CONNECTIONS = 400
# A page sends files through its websocket, each message in one piece.
MOST_BUFFER_BYTES = 16 * 1024 * 1024


class BoundedServer(HTTPServer):
    """An HTTP server with a bounded number of connections.

    Where there are too many, the one that has waited longest without a request is closed: a crowd
    of silent ones pushes out its own, and who asks is answered.
    """

    def initialize(
        self, *args: Any, most_connections: int = MOST_CONNECTIONS, **options: Any
    ) -> None:
        """The bounds of this module, unless told otherwise."""
        bounds: dict[str, Any] = {
            "max_header_size": MOST_HEADER_BYTES,
            "max_body_size": MOST_BODY_BYTES,
            "max_buffer_size": MOST_BUFFER_BYTES,
            "idle_connection_timeout": HEADERS_WITHIN_SECONDS,
            "body_timeout": BODY_WITHIN_SECONDS,
        }
        super().initialize(*args, **bounds | options)
        self._most = most_connections
        # Streams in the order in which they began to wait, and those whose request is at work.
        self._silent: dict[Any, None] = {}
        self._at_work: set[Any] = set()

    def handle_stream(self, stream: Any, address: tuple[Any, ...]) -> None:
        """A connection begins, in the place of a silent one where there are too many."""
        if len(self._silent) + len(self._at_work) >= self._most:
            oldest = next(iter(self._silent), None)
            if oldest is None:
                stream.close()
                return
            del self._silent[oldest]
            oldest.close()
        self._silent[stream] = None
        super().handle_stream(stream, address)

    def start_request(self, server_conn: Any, request_conn: Any) -> HTTPMessageDelegate:
        """A connection waits for a request until its headers are there."""
        stream = server_conn.stream
        if stream in self._at_work:
            self._at_work.remove(stream)
            self._silent[stream] = None
        return _Heard(super().start_request(server_conn, request_conn), lambda: self._hear(stream))

    def on_close(self, server_conn: Any) -> None:
        """A connection is gone, or has become a page's own line."""
        self._silent.pop(server_conn.stream, None)
        self._at_work.discard(server_conn.stream)
        super().on_close(server_conn)

    def _hear(self, stream: Any) -> None:
        if stream in self._silent:
            del self._silent[stream]
            self._at_work.add(stream)


class _Heard(HTTPMessageDelegate):
    """A request that tells when its headers are there; all else goes on to `inner`."""

    def __init__(self, inner: HTTPMessageDelegate, tell: Callable[[], None]) -> None:
        self._inner = inner
        self._tell = tell

    def headers_received(self, start_line: Any, headers: Any) -> Awaitable[None] | None:
        self._tell()
        return self._inner.headers_received(start_line, headers)

    def data_received(self, chunk: bytes) -> Awaitable[None] | None:
        return self._inner.data_received(chunk)

    def finish(self) -> None:
        self._inner.finish()

    def on_connection_close(self) -> None:
        self._inner.on_connection_close()
