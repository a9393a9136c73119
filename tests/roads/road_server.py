"""A road server on this machine that speaks as OSRM and Valhalla do, or badly, as it is told.

Sources of the forms: OSRM, HTTP API v5.24, "Table service" and "Route service",
https://project-osrm.org/docs/v5.24.0/api/; Valhalla, "Time-Distance Matrix service" and
"Turn-by-turn", https://valhalla.github.io/valhalla/api/.
"""

from __future__ import annotations

import json
import re
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from tests.roads.allowing import allow_server
from tripkit.roads.estimate import measure_geodesic_km
from tripkit.yard.places import Place

Point = tuple[float, float]


def drive_a_third_longer(start: Point, end: Point) -> tuple[float, float]:
    """A drive as a server may know it: 4/3 of the straight line, at 60 km/h: km and hours."""
    km = measure_geodesic_km(Place("", *start), Place("", *end)) * 4 / 3
    return km, km / 60


def _leave(text: str) -> str:
    return text


def _do_nothing() -> None:
    return None


@dataclass
class RoadServer:
    """What the server answers, and what it was asked.

    `spoil` changes an answer's text before it is sent; `before` runs before each answer.
    """

    address: str = ""
    measure: Callable[[Point, Point], tuple[float, float] | None] = drive_a_third_longer
    most_in_a_table: int = 100
    spoil: Callable[[str], str] = _leave
    before: Callable[[], Any] = _do_nothing
    code: int = 200
    elsewhere: str = ""
    asked: list[str] = field(default_factory=list)

    def answer(self, path: str, body: str) -> tuple[int, str]:
        """The status and the text of an answer."""
        self.asked.append(path)
        self.before()
        if self.code != 200:
            return self.code, "{}"
        status, content = self.answer_osrm(path) if not body else self.answer_valhalla(path, body)
        return status, self.spoil(json.dumps(content))

    def answer_osrm(self, path: str) -> tuple[int, dict[str, Any]]:
        """OSRM: metres and seconds, `null` where there is no way."""
        service, points = re.fullmatch(r"/(table|route)/v1/driving/([^?]*)\?.*", path).groups()
        ends = [tuple(map(float, point.split(",")))[::-1] for point in points.split(";")]
        if service == "route":
            found = self.measure(*ends)
            if found is None:
                return 400, {"code": "NoRoute", "message": "Impossible route between points"}
            route = {"distance": found[0] * 1000, "duration": found[1] * 3600, "legs": []}
            return 200, {"code": "Ok", "routes": [route], "waypoints": []}
        if len(ends) > self.most_in_a_table:
            return 400, {"code": "TooBig", "message": "Too many table coordinates"}
        table = [[self.measure(a, b) for b in ends] for a in ends]
        return 200, {
            "code": "Ok",
            "distances": [[cell and cell[0] * 1000 for cell in row] for row in table],
            "durations": [[cell and cell[1] * 3600 for cell in row] for row in table],
        }

    def answer_valhalla(self, path: str, body: str) -> tuple[int, dict[str, Any]]:
        """Valhalla: kilometres and whole seconds, `null` where there is no way."""
        asked = json.loads(body)
        assert (asked["costing"], asked["units"]) == ("truck", "kilometers")
        if path == "/route":
            ends = [(point["lat"], point["lon"]) for point in asked["locations"]]
            found = self.measure(*ends)
            if found is None:
                return 400, {"error_code": 442, "error": "No path could be found for input"}
            summary = {"length": round(found[0], 3), "time": round(found[1] * 3600)}
            return 200, {"trip": {"status": 0, "units": "kilometers", "summary": summary}}
        assert path == "/sources_to_targets"
        ends = [(point["lat"], point["lon"]) for point in asked["sources"]]
        assert asked["targets"] == asked["sources"]
        if len(ends) > self.most_in_a_table:
            return 400, {"error_code": 150, "error": "Exceeded max locations"}
        table = [[self.measure(a, b) or (None, None) for b in ends] for a in ends]
        cells = [
            [
                {
                    "distance": km,
                    "time": None if hours is None else round(hours * 3600),
                    "from_index": row_number,
                    "to_index": number,
                }
                for number, (km, hours) in enumerate(row)
            ]
            for row_number, row in enumerate(table)
        ]
        return 200, {"sources_to_targets": cells, "units": "kilometers"}


@contextmanager
def serve_roads() -> Iterator[RoadServer]:
    """The server at a free port of this machine."""
    state = RoadServer()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.reply("")

        def do_POST(self) -> None:
            self.reply(self.rfile.read(int(self.headers["Content-Length"])).decode())

        def reply(self, body: str) -> None:
            status, text = state.answer(self.path, body)
            try:
                self.send_response(status)
                if state.elsewhere:
                    self.send_header("Location", state.elsewhere)
                self.end_headers()
                self.wfile.write(text.encode())
            except OSError:
                # Who asked has gone.
                pass

        def log_message(self, *args: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    state.address = f"http://127.0.0.1:{server.server_port}"
    thread = threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True)
    thread.start()
    try:
        with allow_server(state.address):
            yield state
    finally:
        server.shutdown()
        server.server_close()
