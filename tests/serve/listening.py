"""A server of feeds on a free port in a thread, and a client that hides nothing."""

from __future__ import annotations

import asyncio
import http.client
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from tornado.httpserver import HTTPServer
from tornado.ioloop import IOLoop
from tornado.web import Application, GZipContentEncoding

from tests.patience import PATIENCE_SECONDS
from tripkit.serve.app import log_answer
from tripkit.serve.handlers import make_feed_route
from tripkit.serve.shelf import FeedBook
from tripkit.serve.sockets import BoundedServer
from tripkit.store import Store

Answer = tuple[int, http.client.HTTPMessage, bytes]


@contextmanager
def serve_feeds(book: FeedBook, base_url: str = "/") -> Iterator[int]:
    """The port of a server that answers for a book of feeds under a base path."""
    path, *rest = make_feed_route(book, base_url)
    application = Application([(base_url.rstrip("/") + path, *rest)], log_function=log_answer)
    # The dashboard's server packs its pages; feeds must come through unharmed.
    application.transforms.append(GZipContentEncoding)
    with serve_application(lambda: BoundedServer(application)) as port:
        yield port


@contextmanager
def serve_application(make_server: Callable[[], HTTPServer]) -> Iterator[int]:
    """The port of a server on this machine, in a thread of its own."""
    listener = socket.create_server(("127.0.0.1", 0))
    listener.setblocking(False)
    started: list[IOLoop] = []
    ready = threading.Event()

    def run() -> None:
        loop = asyncio.new_event_loop()
        asyncio.set_event_loop(loop)
        server = make_server()
        server.add_socket(listener)
        started.append(IOLoop.current())
        started[0].add_callback(ready.set)
        started[0].start()
        server.stop()
        loop.run_until_complete(server.close_all_connections())
        started[0].close(all_fds=True)

    thread = threading.Thread(target=run)
    thread.start()
    ready.wait(PATIENCE_SECONDS)
    try:
        yield listener.getsockname()[1]
    finally:
        started[0].add_callback(started[0].stop)
        thread.join(PATIENCE_SECONDS)


def ask(port: int, path: str, method: str = "GET", body: str = "", **headers: str) -> Answer:
    """One request, the path as it stands; header names with underscores for hyphens."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_SECONDS)
    try:
        own = "Host" in headers
        connection.putrequest(method, path, skip_host=own, skip_accept_encoding=True)
        for name, value in headers.items():
            connection.putheader(name.replace("_", "-"), value)
        connection.endheaders(body.encode() or None)
        answer = connection.getresponse()
        return answer.status, answer.headers, answer.read()
    finally:
        connection.close()


def find_token(store: Store, kind: str = "horse", name: str = "Alder") -> str:
    """The secret of a reader."""
    return store.read_shelf().addresses[kind, name].token
