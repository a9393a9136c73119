"""Asks a road server, or a road engine in this process, for drives. Only where the yard chose one.

Two kinds are known, each by its documented interface:

- `osrm http://host:port`: OSRM's HTTP API v1, services `table` and `route`
  (https://project-osrm.org/docs/v5.24.0/api/).
- `valhalla http://host:port`: Valhalla's `sources_to_targets` and `route` with costing "truck"
  (https://valhalla.github.io/valhalla/api/). `valhalla /path/to/tiles.tar` asks the package
  pyvalhalla, where it is installed, for the same from an extract on this machine.

All drives are asked for as one table; where there are too many places for one, or the server
refuses, as single routes. A reading of the yard waits five seconds at most, all questions
together; after the first failure nothing more is asked. Answers are kept as they came, with source
and date. What cannot be true is refused.
"""

from __future__ import annotations

import importlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from math import isfinite
from os.path import abspath
from pathlib import Path
from time import monotonic
from typing import Any
from urllib.error import HTTPError
from urllib.request import Request, build_opener

from tripkit.roads.allowed import NoRedirect, is_allowed, say_not_allowed, wait_for
from tripkit.roads.estimate import measure_geodesic_km
from tripkit.roads.online_places import AnswerCache
from tripkit.roads.speeds import compute_typical_hours
from tripkit.yard.errors import BadStore, BadValue
from tripkit.yard.facts import state
from tripkit.yard.places import Drive, Place

LONGEST_WAIT_SECONDS = 5.0
LONGEST_REPLY_BYTES = 20_000_000
# What OSRM's server takes in one table if nobody told it otherwise (--max-table-size).
MOST_PLACES_IN_A_TABLE = 100
# A server moves both ends to the nearest road.
SNAP_KM = 2.0
# No drive is believed that is this many times the straight line, unless it is short.
LONGEST_DETOUR = 5.0
LONGEST_SHORT_DRIVE_KM = 50.0
FASTEST_KMH = 150.0
SLOWEST_KMH = 3.0
# Assumption: not measured, as every server has its own roads.
SERVER_ERROR_PERCENT = 3.0
KIND = "drive"

Pair = tuple[str, str]
Figures = tuple[float, float] | None
MakeDrives = Callable[[str, datetime], dict[Pair, Drive]]


@dataclass(frozen=True)
class Question:
    """What a server is asked: the service by its path, and the body where it takes one."""

    path: str
    body: str = ""


class OnlineRoads:
    """The drives a road server knows; each question is asked once and kept.

    `failure` says in words why nothing more is asked, empty while the server answers. A server
    that this machine does not allow is never asked.
    """

    def __init__(
        self,
        source: str,
        answers: AnswerCache | None = None,
        now: Callable[[], datetime] = lambda: datetime.now(UTC),
        home: Path | None = None,
    ) -> None:
        """Asks nothing yet; `source` is `osrm ADDRESS` or `valhalla ADDRESS`.

        Of files, those in the folder `home` need no leave.
        """
        self.kind, _, self.address = source.partition(" ")
        if home is not None and not self._is_remote:
            self.address = str(home / self.address)
        self._allowed = is_allowed(self.address) or (home is not None and self._lies_in(home))
        self.failure = ""
        self.refused: list[str] = []
        self._answers = answers
        self._now = now
        self._left_seconds = LONGEST_WAIT_SECONDS

    @property
    def name(self) -> str:
        """What messages call the server."""
        return f"the {self.kind} server at {self.address}"

    @property
    def _is_remote(self) -> bool:
        return "://" in self.address

    def _lies_in(self, home: Path) -> bool:
        # By their names alone: looking at a file may already ask another machine for it.
        file = Path(abspath(self.address))
        return not self._is_remote and file.is_relative_to(abspath(home))

    def find_drives(self, places: Mapping[str, Place], pairs: Sequence[Pair]) -> dict[Pair, Drive]:
        """The drives between pairs of place keys, as far as the server gave believable ones.

        Their km hold ferries. Their typical hours are the server's, which may think of a car, but
        never less than a lorry takes on main roads.

        **Source:** the server; for a lorry's hours `speeds.toml`.
        """
        ends = {key: places[key] for pair in pairs for key in pair}
        found = self._find_in_table(ends, pairs) if len(ends) <= MOST_PLACES_IN_A_TABLE else None
        return self._find_one_by_one(ends, pairs) if found is None else found

    def _find_in_table(
        self, ends: Mapping[str, Place], pairs: Sequence[Pair]
    ) -> dict[Pair, Drive] | None:
        # None where the server does not make such a table.
        rows = {key: row for row, key in enumerate(ends)}

        def make(text: str, when: datetime) -> dict[Pair, Drive]:
            table = _read_table(self.kind, text)
            figures = {(start, end): table[rows[start]][rows[end]] for start, end in pairs}
            return self._make_drives(figures, ends, when)

        answer = self._ask(_write_table(self.kind, list(ends.values())), make)
        return {} if answer is None and self.failure else answer

    def _find_one_by_one(
        self, ends: Mapping[str, Place], pairs: Sequence[Pair]
    ) -> dict[Pair, Drive]:
        found: dict[Pair, Drive] = {}
        for start, end in pairs:
            # The way back is as long; asking for it would take twice the time.
            if (end, start) in found:
                found[start, end] = found[end, start]
                continue

            def make(text: str, when: datetime, pair: Pair = (start, end)) -> dict[Pair, Drive]:
                return self._make_drives({pair: _read_route(self.kind, text)}, ends, when)

            found |= self._ask(_write_route(self.kind, ends[start], ends[end]), make) or {}
        return found

    def _ask(self, question: Question, make: MakeDrives) -> dict[Pair, Drive] | None:
        # None where the server refuses to answer, or has failed.
        kept = self._find_kept(question, make)
        if kept is not None or self.failure:
            return kept
        if not self._allowed:
            self.failure = say_not_allowed(self.name, self.address)
            return None
        began, believed, now = monotonic(), len(self.refused), self._now()
        try:
            text = wait_for(lambda: self._send(question), self._left_seconds)
            drives = make(text, now)
        except _Refused:
            return None
        # A server answers nonsense in more ways than can be listed.
        except Exception as error:
            self.failure = f"{self.name} {_say_what_failed(error)}"
            return None
        finally:
            self._left_seconds -= monotonic() - began
        if self._answers is not None and len(self.refused) == believed:
            key = self._write_key(question)
            self._answers.keep_answer(KIND, key, text, self.address, now)
        return drives

    def _find_kept(self, question: Question, make: MakeDrives) -> dict[Pair, Drive] | None:
        if self._answers is None:
            return None
        # What cannot be looked up, or was kept by another tripkit, is asked again.
        try:
            kept = self._answers.find_answer(KIND, self._write_key(question))
            return None if kept is None else make(kept.text, kept.when)
        except (BadStore, BadValue, ValueError, TypeError, LookupError):
            return None

    def _write_key(self, question: Question) -> str:
        return json.dumps([self.kind, self.address, question.path, question.body])

    def _send(self, question: Question) -> str:
        if not self._is_remote:
            return _ask_engine(Path(self.address), question)
        request = Request(
            self.address + question.path,
            data=question.body.encode() or None,
            headers={"Content-Type": "application/json", "User-Agent": "tripkit"},
        )
        try:
            # This thread is left alone when time is up; the timeout lets it end some day.
            with build_opener(NoRedirect).open(request, timeout=LONGEST_WAIT_SECONDS) as reply:
                content: bytes = reply.read(LONGEST_REPLY_BYTES + 1)
        except HTTPError as error:
            error.close()
            if error.code == 400:
                raise _Refused from None
            raise
        if len(content) > LONGEST_REPLY_BYTES:
            raise BadValue(state("values.reply-is-too-long"))
        return content.decode("utf-8")

    def _make_drives(
        self, figures: Mapping[Pair, Figures], ends: Mapping[str, Place], when: datetime
    ) -> dict[Pair, Drive]:
        drives = {}
        for (start, end), pair in figures.items():
            if pair is None:
                continue
            a, b, (km, hours) = ends[start], ends[end], pair
            wrong = _find_nonsense(a, b, km, hours)
            if wrong:
                self.refused.append(f"{start} to {end}: {wrong}")
                continue
            drives[start, end] = Drive(
                km,
                source=state("roads.server", kind=self.kind, address=self.address, day=when.date()),
                error_percent=SERVER_ERROR_PERCENT,
                typical_hours=max(hours, compute_typical_hours(a, b, km)),
            )
        return drives


class _Refused(Exception):
    """The server understood the question and does not answer it: too large, or no way there."""


def _write_point(place: Place) -> dict[str, float]:
    return {"lat": round(place.latitude, 6), "lon": round(place.longitude, 6)}


def _write_osrm_path(service: str, places: Sequence[Place], options: str) -> Question:
    points = ";".join(f"{place.longitude:.6f},{place.latitude:.6f}" for place in places)
    return Question(f"/{service}/v1/driving/{points}?{options}")


def _write_table(kind: str, places: Sequence[Place]) -> Question:
    if kind == "osrm":
        return _write_osrm_path("table", places, "annotations=duration,distance")
    points = [_write_point(place) for place in places]
    body = {
        "sources": points,
        "targets": points,
        "costing": "truck",
        "units": "kilometers",
        # Another form comes otherwise.
        "verbose": True,
    }
    return Question("/sources_to_targets", json.dumps(body))


def _write_route(kind: str, start: Place, end: Place) -> Question:
    if kind == "osrm":
        return _write_osrm_path("route", [start, end], "overview=false")
    points = [_write_point(place) for place in (start, end)]
    body = {
        "locations": points,
        "costing": "truck",
        "units": "kilometers",
        "directions_type": "none",
    }
    return Question("/route", json.dumps(body))


def _read_table(kind: str, text: str) -> list[list[Figures]]:
    """The km and hours of a table, None where the server knows no way.

    **Source:** OSRM: `distances` [m] and `durations` [s]; Valhalla: `distance` [km] and `time` [s]
    in each cell of `sources_to_targets`.
    """
    answer = json.loads(text)
    if kind == "osrm":
        return [
            [_make_figures(m, s, 1000) for m, s in zip(metres, seconds, strict=True)]
            for metres, seconds in zip(answer["distances"], answer["durations"], strict=True)
        ]
    return [
        [_make_figures(cell["distance"], cell["time"], 1) for cell in row]
        for row in answer["sources_to_targets"]
    ]


def _read_route(kind: str, text: str) -> Figures:
    """The km and hours of a route.

    **Source:** OSRM: `distance` [m] and `duration` [s] of `routes`; Valhalla: `length` [km] and
    `time` [s] of the trip's `summary`.
    """
    answer = json.loads(text)
    if kind == "osrm":
        route = answer["routes"][0]
        return _make_figures(route["distance"], route["duration"], 1000)
    summary = answer["trip"]["summary"]
    return _make_figures(summary["length"], summary["time"], 1)


def _make_figures(length: Any, seconds: Any, per_km: float) -> Figures:
    if length is None or seconds is None:
        return None
    if isinstance(length, bool | str) or isinstance(seconds, bool | str):
        raise BadValue(state("values.no-number"))
    return float(length) / per_km, float(seconds) / 3600


def _find_nonsense(start: Place, end: Place, km: float, hours: float) -> str:
    """Why a drive cannot be true, empty where it can."""
    straight_km = measure_geodesic_km(start, end)
    if not (isfinite(km) and isfinite(hours)) or km < 0 or hours < 0:
        return f"{km:g} km in {hours:g} h"
    if km < straight_km - SNAP_KM:
        return f"{km:.0f} km, shorter than the straight line of {straight_km:.0f} km"
    if km > max(LONGEST_SHORT_DRIVE_KM, LONGEST_DETOUR * straight_km):
        return f"{km:.0f} km for a straight line of {straight_km:.0f} km"
    # A short way through a town may take any time.
    if km > LONGEST_SHORT_DRIVE_KM and not SLOWEST_KMH <= km / max(hours, 1e-9) <= FASTEST_KMH:
        return f"{km:.0f} km in {hours:.1f} h"
    return ""


def _say_what_failed(error: Exception) -> str:
    if isinstance(error, HTTPError):
        return f"did not answer (error {error.code})"
    if isinstance(error, TimeoutError):
        return f"did not answer within {LONGEST_WAIT_SECONDS:.0f} s"
    if isinstance(error, ImportError):
        return "cannot be asked: the package pyvalhalla is not installed"
    if isinstance(error, OSError):
        return "did not answer"
    return "answered nonsense"


def _ask_engine(extract: Path, question: Question) -> str:
    """Valhalla in this process answers as its server does.

    **Source:** Valhalla's Python bindings, https://valhalla.github.io/valhalla/python/actor/.
    """
    if not extract.exists():
        raise OSError(f"no file {extract}")
    engine = importlib.import_module("valhalla")
    folder, file = (str(extract), "") if extract.is_dir() else ("", str(extract))
    actor = engine.Actor(engine.get_config(tile_extract=file, tile_dir=folder))
    ask = actor.matrix if question.path == "/sources_to_targets" else actor.route
    # It raises RuntimeError with the words its server would refuse with.
    try:
        return str(ask(question.body))
    except RuntimeError:
        raise _Refused from None
