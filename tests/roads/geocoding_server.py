"""A small server on this machine that answers as Nominatim does, or badly.

**Source:** https://nominatim.org/release-docs/latest/api/Search/ and .../api/Output/: a search
answers a JSON list of places whose `lat` and `lon` are texts.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Event, Thread
from urllib.parse import parse_qs, urlsplit

from tests.patience import PATIENCE_SECONDS
from tests.roads.allowing import allow_server


def make_nominatim_place(name: str, latitude: float | str, longitude: float | str) -> dict:
    """One place of a search's answer, with the fields of Nominatim's documentation."""
    return {
        "place_id": 100149,
        "licence": "Data © OpenStreetMap contributors, ODbL 1.0. https://osm.org/copyright",
        "osm_type": "node",
        "osm_id": 107775,
        "lat": str(latitude),
        "lon": str(longitude),
        "class": "leisure",
        "type": "horse_riding",
        "importance": 0.3,
        "display_name": name,
    }


class GeocodingServer:
    """What the server answers and what it was asked.

    `mode` is good, nonsense (`body` is sent as it stands), error (`status`), slow (no answer until
    `released`), dripping (one byte, then as slow) or endless.
    """

    def __init__(self, address: str) -> None:
        """Knows nothing yet."""
        self.address = address
        self.mode = "good"
        self.body = b""
        self.status = 503
        self.elsewhere = ""
        self.released = Event()
        self.places: dict[str, list[dict]] = {}
        self.questions: list[str] = []
        self.paths: list[str] = []
        self.user_agents: list[str] = []


@contextmanager
def serve_geocoder() -> Iterator[GeocodingServer]:
    """Runs the server on a free port of this machine until the block ends."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            split = urlsplit(self.path)
            question = parse_qs(split.query).get("q", [""])[0]
            state.questions.append(question)
            state.paths.append(split.path)
            state.user_agents.append(self.headers["User-Agent"])
            if state.mode == "slow":
                state.released.wait(PATIENCE_SECONDS)
                return
            body = state.body
            if state.mode == "good":
                body = json.dumps(state.places.get(question, [])).encode()
            self.send_response(state.status if state.mode == "error" else 200)
            self.send_header("Content-Type", "application/json")
            if state.elsewhere:
                self.send_header("Location", state.elsewhere)
            self.end_headers()
            if state.mode == "dripping":
                self.wfile.write(b"[")
                self.wfile.flush()
                state.released.wait(PATIENCE_SECONDS)
            elif state.mode == "endless":
                for _ in range(100):
                    self.wfile.write(b" " * 65_536)
            else:
                self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            return

    class Server(ThreadingHTTPServer):
        def handle_error(self, *_: object) -> None:
            # A caller that hangs up is what some tests are about.
            return

    server = Server(("127.0.0.1", 0), Handler)
    state = GeocodingServer(f"http://127.0.0.1:{server.server_port}")
    thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        with allow_server(state.address):
            yield state
    finally:
        state.released.set()
        server.shutdown()
        server.server_close()
        thread.join()
