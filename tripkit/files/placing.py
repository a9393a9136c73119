"""Where the yard and its shows are: coordinates as written, the yard's venues, else towns.

A name is looked for in venues.csv, then in the gazetteer, then, only where the yard switched that
on, at an online geocoder.

Shows whose `place` is written alike are at the same place; coordinates written in one of their
rows hold for all of them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from decimal import Decimal
from math import asin, cos, radians, sin, sqrt
from pathlib import Path
from typing import TYPE_CHECKING

from tripkit.files.columns import Row
from tripkit.files.faults import Faults
from tripkit.files.settings import SETTINGS_FILE, Settings
from tripkit.files.venues import VENUES_FILE, Venue, Venues, make_point, read_venues
from tripkit.roads.gazetteer import (
    COUNTRIES_WRITTEN_BY_STATE,
    Gazetteer,
    find_zip_code,
    open_gazetteer,
    write_place,
)
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.names import find_near, fold_name, suggest
from tripkit.yard.places import HOME, Place

if TYPE_CHECKING:
    from tripkit.roads.online_places import OnlinePlaces

# The gazetteer lists some towns twice, as town and as municipality; to a lorry they are one.
SAME_TOWN_KM = 30.0
MOST_NAMED = 5
MOST_SUGGESTIONS = 20


class Atlas:
    """Answers places from venues, gazetteer and online geocoder, each question asked once.

    `remarks` say what a reader should know of how a place was found.
    """

    def __init__(
        self,
        gazetteer: Gazetteer,
        venues: Venues | None = None,
        online: OnlinePlaces | None = None,
    ) -> None:
        """Asks nothing yet."""
        self.venues = venues or Venues()
        self.remarks: list[Fact] = list(self.venues.remarks)
        self.gazetteer = gazetteer
        self._online = online
        self._found: dict[tuple[str, ...], tuple[Place, ...]] = {}
        self._suggestions_left = MOST_SUGGESTIONS

    def find_town(self, text: str, country: str = "", prefer: str = "") -> Place:
        """A venue by its name, or a town: in `country`, else in that to `prefer`, else anywhere.

        Raises `BadValue` where there is none, or where the name fits several towns.
        """
        venue = self.venues.find(text)
        if venue is not None:
            return venue.place
        code = find_zip_code(text)
        is_bare_code = bool(code) and not text.strip(" -0123456789")
        head, _, tail = text.partition(",")
        found, narrowed = (
            self._find(text, country or prefer),
            bool(country or prefer or tail),
        )
        # Five digits alone are a ZIP code in America; elsewhere they are somebody else's post.
        if not found and not country and not (is_bare_code and prefer):
            found, narrowed = self._find(text), bool(tail)
        if found and is_bare_code and not (country or prefer):
            self._remark(
                state("faults.read-as-us-zip-code", text=text, place=write_place(found[0]))
            )
        if not found:
            found = self._ask_online(text, country, prefer)
        if not found:
            raise BadValue(
                state(
                    "faults.no-town",
                    country=f"of {country} " if country else "",
                    online=self._say_online(),
                    suggest=self._suggest(text),
                )
            )
        if narrowed and not code:
            # A town whose former or foreign name this is gives way to the town of that name,
            # but only near by: from anywhere "Cologne" would be a hamlet and not Köln.
            own = [place for place in found if fold_name(place.name) == fold_name(head)]
            if not head.isascii():
                # Who writes the accents means the town that has them.
                wanted = head.strip().casefold()
                own = [place for place in own if place.name.casefold() == wanted] or own
            found = tuple(own) or found
        apart = [place for place in found if not _are_same_town(found[0], place)]
        if apart:
            raise BadValue(_say_ambiguous([found[0], *apart], bool(tail)))
        return found[0]

    def is_town(self, text: str) -> bool:
        """Whether a town of that name lies anywhere in the gazetteer."""
        return bool(self._find(text))

    def is_other_country(self, text: str, place: Place) -> bool:
        """Whether a country's name is known and is not that of a place."""
        country = self.gazetteer.find_country(text)
        return bool(country and place.country and country != place.country)

    def _find(self, text: str, country: str = "") -> tuple[Place, ...]:
        question = (text, country)
        if question not in self._found:
            self._found[question] = self.gazetteer.find_places(text, within=country)
        return self._found[question]

    def _ask_online(self, text: str, country: str, prefer: str) -> tuple[Place, ...]:
        if self._online is None:
            return ()
        question, code = ("online", text, country), self.gazetteer.find_country(country)
        if question not in self._found:
            self._found[question] = self._online.find_places(text, code)
        preferred = self.gazetteer.find_country(prefer)
        found = self._found[question]
        found = tuple(place for place in found if place.country == preferred) or found
        if found:
            point = f"{found[0].latitude:g}, {found[0].longitude:g}"
            source = self._online.describe_source(text, code)
            self._remark(state("faults.placed-at-by", text=text, point=point, source=source))
        return found

    def _say_online(self) -> Fact | None:
        if self._online is None:
            return None
        answer = self._online.failure or self._online.unknown
        return state("faults.value-4", answer=answer)

    def _remark(self, words: Fact) -> None:
        if words not in self.remarks:
            self.remarks.append(words)

    def _suggest(self, text: str) -> Fact | None:
        if self._suggestions_left <= 0:
            return None
        self._suggestions_left -= 1
        near = find_near(text, self.venues.list_names())
        return suggest((*near, *self.gazetteer.suggest_names(text, 3))[:3])


@contextmanager
def open_atlas(
    settings: Settings,
    folder: Path,
    rows: Sequence[Row],
    unreadable: Collection[str],
    faults: Faults,
) -> Iterator[Atlas]:
    """The atlas of a yard: its venues, the gazetteer, and the online geocoder if it wants one.

    The store is open as long as the block lasts; afterwards the atlas keeps its remarks.
    """
    gazetteer = open_gazetteer()
    venues = read_venues(rows, "venues" not in unreadable, gazetteer, faults)
    if settings.online is None:
        yield Atlas(gazetteer, venues)
        return
    # Where nothing is asked online the reader works without a store.
    from tripkit.roads.online_places import OnlinePlaces
    from tripkit.store import open_store

    with open_store(folder) as store:
        yield Atlas(gazetteer, venues, OnlinePlaces(settings.online, gazetteer, store))


def _are_same_town(left: Place, right: Place) -> bool:
    lat_left, lat_right = radians(left.latitude), radians(right.latitude)
    half_lat = (lat_left - lat_right) / 2
    half_lon = radians(left.longitude - right.longitude) / 2
    chord = sin(half_lat) ** 2 + cos(lat_left) * cos(lat_right) * sin(half_lon) ** 2
    return left.country == right.country and 2 * 6371 * asin(sqrt(min(1, chord))) <= SAME_TOWN_KM


def _say_ambiguous(candidates: Sequence[Place], has_tail: bool) -> Fact:
    written = [write_place(place) for place in candidates]
    if len(set(written)) < len(written):
        written = [
            f"{text} ({place.latitude}, {place.longitude})"
            for text, place in zip(written, candidates, strict=True)
        ]
    named = "; ".join(written[:MOST_NAMED]) + ("; …" if len(written) > MOST_NAMED else "")
    advice = state("faults.latitude-and-longitude")
    if not has_tail and any(p.country in COUNTRIES_WRITTEN_BY_STATE for p in candidates):
        advice = state("faults.town-st-or-latitude-and")
    elif not has_tail and len({place.country for place in candidates}) > 1:
        advice = state("faults.town-country-or-latitude-and")
    return state("faults.fits-towns-write", len_written=len(written), named=named, advice=advice)


def locate_home(settings: Settings, atlas: Atlas, faults: Faults) -> Place | None:
    """The yard's own place with its time zone, None with a fault where it cannot be told."""
    if settings.faulty_place:
        return None
    latitude, longitude = settings.latitude, settings.longitude
    column, value = "yard.place", settings.place or None
    try:
        if latitude is not None or longitude is not None:
            column, value = "yard.latitude", None
            if latitude is None or longitude is None:
                raise BadValue(state("faults.latitude-and-longitude-must-be"))
            _check_globe(latitude, longitude)
            venue = atlas.venues.find(settings.place)
            if venue and not _is_at(venue, latitude, longitude):
                raise BadValue(_say_venue_differs(venue))
            place = make_point(
                atlas.gazetteer, settings.place, latitude, longitude, settings.country
            )
        elif settings.place:
            if atlas.venues.may_hide(settings.place):
                return None
            place = atlas.find_town(settings.place, settings.country)
        else:
            raise BadValue(state("faults.missing-write-town-or-latitude"))
    except BadValue as error:
        faults.add(SETTINGS_FILE, error.fact, column=column, value=value)
        return None
    return replace(place, timezone=settings.timezone or place.timezone)


def _is_at(venue: Venue, latitude: Decimal | float, longitude: Decimal | float) -> bool:
    return (float(latitude), float(longitude)) == (venue.place.latitude, venue.place.longitude)


def _say_venue_differs(venue: Venue) -> Fact:
    row = "" if venue.row.number is None else f" {venue.row.where}"
    return state("faults.has-other-coordinates-in-write", venues_file=VENUES_FILE, row=row)


def _check_globe(latitude: Decimal | float, longitude: Decimal | float) -> None:
    if not -90 <= latitude <= 90:
        raise BadValue(state("faults.latitude-is-off-globe-90", latitude=latitude))
    if not -180 <= longitude <= 180:
        raise BadValue(state("faults.longitude-is-off-globe-180", longitude=longitude))


def make_place_key(row: Row) -> str:
    """The place as written; coordinates where only they are written; empty where neither is."""
    if row["place"]:
        return HOME if row["place"].casefold() == HOME else str(row["place"])
    if row.values.get("latitude") is None or row.values.get("longitude") is None:
        return ""
    return f"{float(row['latitude'])},{float(row['longitude'])}"


def locate_shows(
    rows: Sequence[Row],
    settings: Settings,
    home: Place | None,
    atlas: Atlas,
    faults: Faults,
) -> dict[str, Place]:
    """The places of all shows by place key; what cannot be found is a fault in its first row."""
    points = _collect_points(rows, faults)
    places: dict[str, Place] = {} if home is None else {HOME: home}
    failed: set[tuple[str, str]] = set()
    first_rows: dict[str, Row] = {}
    for row in rows:
        key = make_place_key(row)
        if not key or key == HOME:
            continue
        country = row["country"]
        venue = atlas.venues.find(key)
        try:
            if venue is not None:
                places[key] = venue.place
                point = row["latitude"], row["longitude"]
                if None not in point and not _is_at(venue, *point):
                    raise BadValue(_say_venue_differs(venue))
                if country and atlas.is_other_country(country, venue.place):
                    row.complain(
                        faults,
                        state(
                            "faults.not-country-of-in",
                            key=key,
                            venues_file=VENUES_FILE,
                            place_country=venue.place.country,
                        ),
                        "country",
                    )
                continue
            if key in points:
                if key not in places:
                    places[key] = make_point(atlas.gazetteer, row["place"], *points[key], country)
                continue
            written = row["latitude"] is not None or row["longitude"] is not None
            readable = row.reads("place", "latitude", "longitude")
            if (key, country) in failed or written or not readable or atlas.venues.may_hide(key):
                continue
            # Which country to prefer is not known while the yard's own place is in doubt: only
            # what is no town anywhere is a fault then.
            vague = home is None and not country and not settings.country
            if vague and atlas.is_town(row["place"]):
                continue
            prefer = settings.country or (home.country if home else "")
            place = atlas.find_town(row["place"], country, prefer)
        except BadValue as error:
            failed.add((key, country))
            row.complain(faults, error.fact, "place")
            continue
        other = places.setdefault(key, place)
        first = first_rows.setdefault(key, row)
        if other != place:
            row.complain(
                faults,
                state(
                    "faults.in-and-here-write-them",
                    place=write_place(other),
                    where=first.where,
                    place_2=write_place(place),
                ),
                "place",
            )
    return places


def locate_bases(
    rows: Sequence[Row],
    settings: Settings,
    places: Mapping[str, Place],
    atlas: Atlas,
    faults: Faults,
) -> dict[str, Place]:
    """The places of the bases by place key, beside those of home and of the shows.

    A base in a town of the shows is there. Home is no base, and no two are at one place.
    """
    found: dict[str, Place] = {}
    first_rows: dict[tuple[float, float], Row] = {}
    home = places.get(HOME)
    for row in rows:
        key = make_place_key(row) if row.reads("place") else ""
        if not key:
            continue
        try:
            if key == HOME:
                raise BadValue(state("faults.yards-own-place-which-stands"))
            place = places.get(key)
            if place is None and not atlas.venues.may_hide(key):
                vague = home is None and not settings.country
                if not vague or not atlas.is_town(key):
                    prefer = settings.country or (home.country if home else "")
                    place = atlas.find_town(key, prefer=prefer)
            if place is None:
                continue
            first = first_rows.setdefault((place.latitude, place.longitude), row)
            if first is not row:
                raise BadValue(state("faults.base-stands-already-in", where=first.where))
            found[key] = place
        except BadValue as error:
            row.complain(faults, error.fact, "place")
    return found


def _collect_points(rows: Sequence[Row], faults: Faults) -> dict[str, tuple[Decimal, Decimal]]:
    points: dict[str, tuple[Decimal, Decimal]] = {}
    first_rows: dict[str, Row] = {}
    for row in rows:
        latitude, longitude = row["latitude"], row["longitude"]
        if not row.reads("place", "latitude", "longitude"):
            continue
        if latitude is None and longitude is None:
            if not row["place"]:
                row.complain(
                    faults,
                    state("faults.empty-write-town-or-latitude"),
                    "place",
                    quote=False,
                )
            continue
        if latitude is None or longitude is None:
            lacking = "latitude" if latitude is None else "longitude"
            row.complain(faults, state("faults.empty-write-both-or-neither"), lacking, quote=False)
            continue
        key = make_place_key(row)
        known = points.setdefault(key, (latitude, longitude))
        first = first_rows.setdefault(key, row)
        if known != (latitude, longitude):
            row.complain(
                faults,
                state("faults.has-other-coordinates-than-in", where=first.where),
                "place",
            )
    return points
