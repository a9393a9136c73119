"""What requests and connections may take: attacked on loopback, in the test's own process."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

import psutil
import pytest
from tornado.web import Application, RequestHandler

from tests.patience import PATIENCE_SECONDS
from tests.serve.listening import ask, serve_application
from tripkit.serve import sockets
from tripkit.serve.sockets import BoundedServer


class Echo(RequestHandler):
    """Says how long the body was."""

    def get(self) -> None:
        self.finish("here")

    def post(self) -> None:
        self.finish(str(len(self.request.body)))


@contextmanager
def serve(**options: Any) -> Iterator[int]:
    application = Application([("/", Echo)], log_function=lambda handler: None)
    with serve_application(lambda: BoundedServer(application, **options)) as port:
        yield port


def connect(port: int, sent: bytes = b"") -> socket.socket:
    made = socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_SECONDS)
    made.sendall(sent)
    return made


def read_all(connection: socket.socket) -> bytes:
    """What comes until the other end closes."""
    came = b""
    try:
        while piece := connection.recv(65_536):
            came += piece
    except ConnectionResetError:
        pass
    return came


def test_a_large_body_is_refused_before_it_is_taken() -> None:
    """RFC 9110 section 15.5.1: 400. Twenty bodies of 50 MB, never finished, cost no memory."""
    head = b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 52428800\r\n\r\n"
    process = psutil.Process()
    with serve() as port, ExitStack() as opened:
        before = process.memory_info().rss
        crowd = [opened.enter_context(connect(port, head)) for _ in range(20)]
        for one in crowd:
            try:
                one.sendall(b"x" * 1_000_000)
            except OSError:
                continue
        assert all(read_all(one)[:12] in (b"", b"HTTP/1.1 400") for one in crowd)
        assert process.memory_info().rss - before < 60_000_000
        assert ask(port, "/")[0] == 200


def test_a_login_and_a_goodbye_are_far_from_the_bounds() -> None:
    """A body of 64 kB is taken, one byte more is not; so are 8 kB of headers, and not 20."""
    assert sockets.MOST_BODY_BYTES == 65_536
    with serve() as port:
        for size, status in ((65_536, b"200"), (65_537, b"400")):
            head = (
                f"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: {size}\r\nConnection: close\r\n\r\n"
            )
            with connect(port, head.encode()) as one:
                if status == b"200":
                    one.sendall(b"x" * size)
                assert read_all(one)[9:12] == status
        assert ask(port, "/", X_Long="x" * 8_000)[0] == 200
        with connect(port, b"GET / HTTP/1.1\r\nX-Long: " + b"x" * 20_000) as one:
            assert read_all(one)[9:12] in (b"", b"400", b"431")


def test_half_sent_headers_and_bodies_are_waited_for_a_while_only() -> None:
    """A connection that sends nothing more is closed; here after a fifth of a second."""
    halves = (b"", b"GET / HT", b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 9\r\n\r\nx")
    assert sockets.HEADERS_WITHIN_SECONDS <= 30
    assert sockets.BODY_WITHIN_SECONDS <= 30
    with serve(idle_connection_timeout=0.2, body_timeout=0.2) as port, ExitStack() as opened:
        crowd = [opened.enter_context(connect(port, half)) for half in halves]
        assert [read_all(one) for one in crowd] == [b"", b"", b""]


def test_a_crowd_of_silent_connections_pushes_out_its_own() -> None:
    """With room for ten, 300 half-sent headers leave a place for whoever asks, at any moment."""
    with serve(most_connections=10, idle_connection_timeout=600) as port, ExitStack() as opened:
        crowd = []
        for i in range(300):
            crowd.append(opened.enter_context(connect(port, b"GET / HTTP/1.1\r\nX: ")))
            if i % 50 == 49:
                assert ask(port, "/")[0] == 200
        assert ask(port, "/")[2] == b"here"
        # The oldest is gone, the youngest still waited for.
        assert read_all(crowd[0]) == b""
        crowd[-1].sendall(b"y\r\nHost: x\r\nConnection: close\r\n\r\n")
        assert read_all(crowd[-1]).endswith(b"here")


@pytest.mark.parametrize("most", [1, 3])
def test_who_is_being_answered_is_not_pushed_out(most: int) -> None:
    """A connection whose request is at work keeps its place; one more is closed at once."""
    head = (
        b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\nExpect: 100-continue\r\n"
        b"Connection: close\r\n\r\n"
    )
    with serve(most_connections=most) as port, ExitStack() as opened:
        at_work = [opened.enter_context(connect(port, head)) for _ in range(most)]
        for one in at_work:
            # RFC 9110 section 10.1.1: told when the headers are there.
            assert one.recv(65_536).startswith(b"HTTP/1.1 100")
        with connect(port, b"GET / HTTP/1.1\r\nHost: x\r\n\r\n") as late:
            assert read_all(late) == b""
        for one in at_work:
            one.sendall(b"ab")
            assert read_all(one).endswith(b"2")
