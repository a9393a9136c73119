"""Asks an online geocoder of geopy for a place, where the yard switched that on. Nothing else does.

At most one question a second goes out, no answer is waited for longer than five seconds, and
after the first failure nothing more is asked. Answers are kept with their source and date, so one
place is asked for once.
"""

from __future__ import annotations

import json
import warnings
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import cache
from time import monotonic
from typing import Any, Protocol
from urllib.error import HTTPError, URLError
from urllib.request import HTTPSHandler, ProxyHandler, Request, build_opener

from geopy.adapters import URLLibAdapter
from geopy.exc import GeocoderServiceError, GeopyError
from geopy.extra.rate_limiter import RateLimiter
from geopy.geocoders import SERVICE_TO_GEOCODER
from geopy.location import Location

from tripkit.roads.allowed import NoRedirect, is_allowed, say_not_allowed, wait_for
from tripkit.roads.estimate import measure_geodesic_km
from tripkit.roads.gazetteer import Gazetteer
from tripkit.roads.services import OPEN_STREET_MAP, OnlineService, find_key_name
from tripkit.yard.errors import BadStore
from tripkit.yard.places import Place

LONGEST_WAIT_SECONDS = 5.0
SECONDS_BETWEEN_QUESTIONS = 1.0
LONGEST_REPLY_BYTES = 1_000_000
MOST_CANDIDATES = 10
# A point farther from any town of the gazetteer lies in the sea or a desert: no horse goes there.
FARTHEST_TOWN_KM = 300.0
# What a geocoder does not know today somebody may have put on its map next week.
KEEP_MISS_DAYS = 7
KIND = "place"


class KeptAnswer(Protocol):
    """An answer of an online service with its source and the moment it came."""

    @property
    def text(self) -> str:
        """The answer as it was kept."""

    @property
    def source(self) -> str:
        """Who answered."""

    @property
    def when(self) -> datetime:
        """When, with a time zone."""


class AnswerCache(Protocol):
    """Anything that keeps answers from one reading to the next."""

    def find_answer(self, kind: str, question: str) -> KeptAnswer | None:
        """The answer kept for a question, None where there is none."""

    def keep_answer(self, kind: str, question: str, text: str, source: str, when: datetime) -> None:
        """Keeps an answer."""


class OnlinePlaces:
    """The places an online geocoder knows by a name, each asked once and kept.

    `failure` says in words why nothing more is asked, empty while the service answers. A service
    that this machine does not allow is never asked.
    """

    def __init__(
        self,
        service: OnlineService,
        gazetteer: Gazetteer,
        answers: AnswerCache | None = None,
        now: Callable[[], datetime] = lambda: datetime.now(UTC),
    ) -> None:
        """Asks nothing yet."""
        self.service = service
        self.failure = ""
        self._gazetteer = gazetteer
        self._answers = answers
        self._now = now

    def find_places(self, query: str, country: str = "") -> tuple[Place, ...]:
        """The places of that name which can be true, best first; time zones of the nearest towns.

        `country` is two letters: a place whose nearest town lies in another one is refused, as
        is a place far from any town. Empty where the service knows none, or failed.

        **Source:** the service; time zones: GeoNames cities500.
        """
        found = []
        for latitude, longitude in self._find_points(f"{query}, {country}" if country else query):
            near = self._gazetteer.nearest_town(latitude, longitude)
            name = query.partition(",")[0].strip()
            place = Place(name, latitude, longitude, near.timezone, near.country, near.region)
            if measure_geodesic_km(near, place) <= FARTHEST_TOWN_KM and (
                not country or country == near.country
            ):
                found.append(place)
        return tuple(found)

    @property
    def unknown(self) -> str:
        """That the service was asked and has no such place, in words."""
        return f"the online geocoder at {self.service.host} does not know it either"

    def describe_source(self, query: str, country: str = "") -> str:
        """Who answered a question and when, for the reader; empty where nothing was kept.

        **Source:** OpenStreetMap's licence (ODbL 1.0) asks that its contributors are named.
        """
        kept = self._find_kept(f"{query}, {country}" if country else query)
        day = kept.when.date() if kept else self._now().date()
        credit = "; © OpenStreetMap contributors" if self.service.name in OPEN_STREET_MAP else ""
        return f"the online geocoder at {self.service.host}, {day}{credit}"

    def _find_points(self, query: str) -> list[tuple[float, float]]:
        kept = self._find_kept(query)
        points = None if kept is None else _read_points(kept.text)
        if points or (points == [] and kept and self._now() - kept.when < _days(KEEP_MISS_DAYS)):
            return points
        if not self.failure and not is_allowed(self.service.address):
            self.failure = say_not_allowed(_name_service(self.service), self.service.address)
        if self.failure:
            return []
        try:
            points = _ask(self.service, query)
        # A parser of geopy answers nonsense with whatever it stumbles over.
        except Exception as error:
            self.failure = _say_failure(self.service, error)
            return []
        if self._answers is not None:
            self._answers.keep_answer(
                KIND,
                self._write_question(query),
                json.dumps(points),
                self.service.host,
                self._now(),
            )
        return points

    def _find_kept(self, query: str) -> KeptAnswer | None:
        if self._answers is None:
            return None
        try:
            return self._answers.find_answer(KIND, self._write_question(query))
        except BadStore:
            # What cannot be looked up is asked again.
            return None

    def _write_question(self, query: str) -> str:
        return json.dumps([self.service.name, self.service.host, query], ensure_ascii=False)


class _ShortAdapter(URLLibAdapter):
    """geopy's way to the network, but a reply ends at a size and a time, and where it was asked."""

    def __init__(self, *, proxies: Any, ssl_context: Any) -> None:
        super().__init__(proxies=proxies, ssl_context=ssl_context)
        https, proxy = HTTPSHandler(context=ssl_context), ProxyHandler(proxies)
        self.urlopen = build_opener(NoRedirect, https, proxy).open

    def get_text(self, url: str, *, timeout: float, headers: dict[str, str]) -> str:
        end = monotonic() + timeout
        reply = bytearray()
        try:
            page = self.urlopen(Request(url=url, headers=headers), timeout=timeout)
        except HTTPError as error:
            error.close()
            raise
        with page:
            while piece := page.read1(65_536):
                reply += piece
                if monotonic() > end:
                    raise TimeoutError("the reply takes too long")
                if len(reply) > LONGEST_REPLY_BYTES:
                    raise ValueError("the reply is too long")
        return reply.decode("utf-8")


@cache
def _make_asker(service: OnlineService) -> Callable[..., Any]:
    # One for the whole process, so that two readings together keep the rate as well.
    known = service.parameters
    options: dict[str, Any] = {"adapter_factory": _ShortAdapter}
    options["user_agent"] = service.user_agent or "tripkit"
    if service.server:
        scheme, _, rest = service.server.rpartition("://")
        options["domain"] = rest.strip("/")
        if scheme and "scheme" in known:
            options["scheme"] = scheme
    if service.key:
        options[find_key_name(known)] = service.key
    with warnings.catch_warnings():
        # That geopy calls a service old is no business of the yard's.
        warnings.simplefilter("ignore")
        geocoder = SERVICE_TO_GEOCODER[service.name](**options)
    return RateLimiter(
        geocoder.geocode,
        min_delay_seconds=SECONDS_BETWEEN_QUESTIONS,
        max_retries=0,
        swallow_exceptions=False,
    )


def _ask(service: OnlineService, query: str) -> list[tuple[float, float]]:
    """The points a service answers, within the longest wait; raises what went wrong."""
    timeout = LONGEST_WAIT_SECONDS - SECONDS_BETWEEN_QUESTIONS

    def ask() -> list[tuple[float, float]]:
        return _list_points(_make_asker(service)(query, exactly_one=False, timeout=timeout))

    return wait_for(ask, LONGEST_WAIT_SECONDS)


def _list_points(answer: list[Location] | None) -> list[tuple[float, float]]:
    points = [(location.latitude, location.longitude) for location in answer or ()]
    if (0.0, 0.0) in points:
        raise ValueError("a place without coordinates")
    return [(round(north, 6), round(east, 6)) for north, east in points[:MOST_CANDIDATES]]


def _read_points(text: str) -> list[tuple[float, float]] | None:
    """The points of a kept answer, None where it is not what was kept."""
    try:
        kept = json.loads(text)
        points = [(float(north), float(east)) for north, east in kept]
    except (ValueError, TypeError):
        return None
    on_globe = all(-90 <= north <= 90 and -180 <= east <= 180 for north, east in points)
    return points if on_globe and isinstance(kept, list) else None


def _name_service(service: OnlineService) -> str:
    return f"the online geocoder at {service.host}"


def _say_failure(service: OnlineService, error: Exception) -> str:
    where = _name_service(service)
    if isinstance(error, HTTPError):
        return f"{where} did not answer (error {error.code})"
    if isinstance(error, URLError | OSError):
        return f"{where} did not answer"
    if isinstance(error, GeopyError) and not isinstance(error, GeocoderServiceError):
        return f"{where} cannot be asked so ({error})"
    return f"{where} answered nonsense"


def _days(count: int) -> timedelta:
    return timedelta(days=count)
