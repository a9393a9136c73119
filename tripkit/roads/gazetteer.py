"""Finds towns by name or US ZIP code, near matches, and the town nearest a point, offline.

The towns are a cut of GeoNames (CC BY 4.0, see `data/LICENCE-gazetteer.txt`): Europe, the United
States, Canada, Australia and New Zealand down to small towns, elsewhere cities. ZIP codes are the
centres of the US Census Bureau's ZIP code areas. Hamlets and venue names are missing: a yard's own
latitude and longitude win over anything found here.

A name is never unique. "NL", "DE", "CA" and "AL" are each a country and a state, and hundreds of
towns stand twice in one state, so every door answers all candidates, best first.
"""

from __future__ import annotations

import difflib
import re
import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from functools import cache, cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tripkit.roads.estimate import measure_geodesic_km
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.names import fold_name
from tripkit.yard.places import Place

if TYPE_CHECKING:
    import numpy as np
    from scipy.spatial import cKDTree

DATA_FILE = Path(__file__).parent / "data" / "gazetteer.sqlite"

# In these countries people write the state behind the town, elsewhere the country.
COUNTRIES_WRITTEN_BY_STATE = ("US", "CA", "AU")
# "Cologne" is a hamlet's own name in four places and one of the names of Köln: a town known by
# another name competes as if it were this many times smaller.
ALIAS_HANDICAP = 10
# A misspelled town is the one the writer meant if this share of the letters agrees.
NEAR_MATCH_RATIO = 0.75
# A town and a ZIP code written side by side are one place when they lie no farther apart: the
# ZIP area of a town in the dry West reaches this far.
ZIP_TOWN_KM = 60.0
EARTH_KM, KM_PER_DEGREE = 6371.0, 111.0

_SELECT_TOWN = """
    SELECT name, latitude_e4, longitude_e4, timezone, country, region, population, towns.id
    FROM towns JOIN areas ON areas.id = towns.area
"""
_SELECT_ZIP = """
    SELECT zip, zips.latitude_e4, zips.longitude_e4, towns.name, timezone, country, region
    FROM zips JOIN towns ON towns.id = zips.town JOIN areas ON areas.id = towns.area
"""
_ZIP_AT_END = re.compile(r"(?<!\S)([0-9]{5})(?:-[0-9]{4})?$", re.ASCII)

Areas = list[set[tuple[str, str]]]


def find_zip_code(text: str) -> str:
    """A US ZIP code is five digits, or five and four, at the end of what stands between commas.

    Answers the five digits, empty text where there are none.

    **Source:** US Postal Service, Publication 28, Postal Addressing Standards, section 2.

    >>> find_zip_code("Bowling Green, KY 42101"), find_zip_code("42101-1234")
    ('42101', '42101')
    """
    matches = (_ZIP_AT_END.search(part.strip()) for part in text.split(","))
    return next((match[1] for match in matches if match), "")


def write_place(place: Place) -> str:
    """A place is written as "Town, ST" where people write the state, else as "Town, COUNTRY".

    **Source:** this project's choice, after how show schedules print towns.

    >>> write_place(Place("Ocala", 29.19, -82.14, country="US", region="FL"))
    'Ocala, FL'
    """
    if place.country in COUNTRIES_WRITTEN_BY_STATE and place.region:
        return f"{place.called}, {place.region}"
    return f"{place.called}, {place.country}" if place.country else str(place.called)


class Gazetteer:
    """The towns in the shipped file. Never asks the network.

    **Source:** GeoNames cities500 (CC BY 4.0); ZIP codes: US Census Bureau, 2023 Gazetteer Files.
    """

    def __init__(self, path: Path = DATA_FILE) -> None:
        """Opens nothing yet: the first question opens the file."""
        self.path = path
        self._trees: dict[int, tuple[cKDTree, list[int]]] = {}

    def find_places(self, query: str, country: str = "", within: str = "") -> tuple[Place, ...]:
        """A town's name answers every town of that name: the yard's country first, then the larger.

        `query` is "Town", "Town, ST", "Town, COUNTRY" or "Town, ST, COUNTRY"; a country may be its
        code or its name, and a tail that is both a state and a country is read both ways.
        `country` is the yard's; `within` leaves out what lies in any other country. A US ZIP code
        may stand alone or end any part ("KY 42101", "Bowling Green, KY 42101"): it answers the
        middle of its area, named by the town and the code. Where the town lies elsewhere, both
        answer. No match answers an empty tuple.

        **Source:** GeoNames cities500; US Census Bureau, 2023 Gazetteer Files, ZIP Code Tabulation
        Areas; the order is this project's choice.
        """
        code = find_zip_code(query)
        head, areas = self._read_query(_drop_zip_code(query) if code else query)
        if within:
            areas.append(self._read_country(within))
        zipped = self._find_zip(code) if code else None
        if zipped is None:
            return self._find_towns(head, areas, country)
        return self._match_zip(zipped, head, areas, country)

    def find_country(self, text: str) -> str:
        """A country's code or name, or a name of one of its regions, answers its two letters.

        Empty text where it is none, or regions of two countries.

        **Source:** ISO 3166-1 and GeoNames names, as listed by the build script.
        """
        countries = {country for country, _ in self._read_country(text)}
        return countries.pop() if len(countries) == 1 else ""

    def suggest_names(self, query: str, count: int = 3) -> tuple[str, ...]:
        """A misspelled town is probably one whose letters nearly agree, best first.

        Written as `find_places` reads them. Towns in the state or country of the query stand
        before others.

        **Source:** Ratcliff and Metzener, "Pattern Matching: The Gestalt Approach", Dr. Dobb's
        Journal, July 1988, as in Python's difflib.
        """
        code = find_zip_code(query)
        if code and not _drop_zip_code(query).strip(" ,"):
            return self._suggest_zips(code, count)
        head, areas = self._read_query(_drop_zip_code(query) if code else query)
        key = fold_name(head)
        matcher = difflib.SequenceMatcher(autojunk=False)
        matcher.set_seq2(key)
        ratios: dict[str, float] = {}
        for candidate in self._list_candidates(key, areas):
            matcher.set_seq1(candidate)
            if matcher.quick_ratio() >= NEAR_MATCH_RATIO:
                ratios[candidate] = matcher.ratio()
        near = [
            (not _lies_in(row, areas), -ratio, row[7], write_place(_make_place(row)))
            for candidate, ratio in ratios.items()
            if ratio >= NEAR_MATCH_RATIO
            for row in self._select_by_key(candidate)
        ]
        names = tuple(dict.fromkeys(written for *_, written in sorted(near)))[:count]
        # With a ZIP code and a state that do not fit, or a hamlet, the code alone may be meant.
        return (*names[: count - 1], *self._suggest_zips(code, 1)) if code else names

    def nearest_town(self, latitude: float, longitude: float, min_population: int = 1000) -> Place:
        """The nearest town to a point is the one fewest kilometres away among those large enough.

        **Source:** GeoNames cities500; distance as a chord through a sphere, which orders points as
        the way along its surface does.
        """
        point = Place("the point", latitude, longitude)
        (nearest,) = self._find_nearest([(point.latitude, point.longitude)], min_population)
        row = self._connection.execute(_SELECT_TOWN + "WHERE towns.id = ?", (nearest,))
        return _make_place(row.fetchone())

    def list_zones(
        self, latitude: float, longitude: float, within_km: float, min_population: int = 1000
    ) -> tuple[str, ...]:
        """The time zones that the towns around a point keep, that of the nearest town first.

        **Source:** as for `nearest_town`.
        """
        import numpy as np

        north = within_km / KM_PER_DEGREE
        east = north / max(np.cos(np.radians(latitude)), 0.01)
        # Where the box reaches over the date line the whole belt is looked at.
        wide = abs(longitude) + east > 180
        rows = self._connection.execute(
            "SELECT timezone, latitude_e4 / 1e4, longitude_e4 / 1e4 FROM towns "
            "JOIN areas ON areas.id = towns.area WHERE population >= ? "
            "AND latitude_e4 BETWEEN ? AND ? AND (? OR longitude_e4 BETWEEN ? AND ?)",
            (
                min_population,
                *((latitude - north) * 10_000, (latitude + north) * 10_000),
                wide,
                *((longitude - east) * 10_000, (longitude + east) * 10_000),
            ),
        ).fetchall()
        if not rows:
            return ()
        zones, latitudes, longitudes = zip(*rows, strict=True)
        towns = _put_on_sphere(latitudes, longitudes).T
        chords = np.linalg.norm(towns - _put_on_sphere(latitude, longitude), axis=1)
        within = 2 * np.sin(min(within_km / EARTH_KM, np.pi) / 2)
        order = [i for i in np.argsort(chords, kind="stable") if chords[i] <= within]
        return tuple(dict.fromkeys(zones[i] for i in order))

    def list_areas(
        self, points: Sequence[tuple[float, float]], min_population: int = 1000
    ) -> list[tuple[str, str]]:
        """The country and region of the town nearest to each point (latitude, longitude).

        **Source:** as for `nearest_town`.
        """
        if not points:
            return []
        ids = self._find_nearest(points, min_population)
        query = (
            "SELECT country, region FROM towns JOIN areas ON areas.id = towns.area "
            "WHERE towns.id = ?"
        )
        areas = {id: self._connection.execute(query, (id,)).fetchone() for id in set(ids)}
        return [areas[id] for id in ids]

    def _find_nearest(
        self, points: Sequence[tuple[float, float]], min_population: int
    ) -> list[int]:
        """The id of the town nearest to each point."""
        if min_population not in self._trees:
            self._trees[min_population] = self._plant_tree(min_population)
        tree, town_ids = self._trees[min_population]
        _, nearest = tree.query(_put_on_sphere(*zip(*points, strict=True)).T)
        return [town_ids[index] for index in nearest]

    def _plant_tree(self, min_population: int) -> tuple[cKDTree, list[int]]:
        from scipy.spatial import cKDTree

        rows = self._connection.execute(
            "SELECT id, latitude_e4 / 1e4, longitude_e4 / 1e4 FROM towns WHERE population >= ?",
            (min_population,),
        ).fetchall()
        if not rows:
            raise BadValue(state("values.no-town-of-or-more", min_population=min_population))
        town_ids, latitudes, longitudes = zip(*rows, strict=True)
        return cKDTree(_put_on_sphere(latitudes, longitudes).T), list(town_ids)

    @cached_property
    def _connection(self) -> sqlite3.Connection:
        # A read-only file that nobody changes needs no locks, and readers on other threads are
        # safe because nothing is ever written.
        uri = f"{self.path.resolve().as_uri()}?mode=ro&immutable=1"
        return sqlite3.connect(uri, uri=True, check_same_thread=False)

    @cached_property
    def _tails(self) -> dict[str, set[tuple[str, str]]]:
        tails: dict[str, set[tuple[str, str]]] = {}
        for key, country, region in self._connection.execute("SELECT * FROM tails"):
            tails.setdefault(key, set()).add((country, region))
        return tails

    def _read_query(self, query: str) -> tuple[str, Areas]:
        head, *tails = query.split(",")
        return head, [self._tails.get(fold_name(tail), set()) for tail in tails if tail.strip()]

    def _read_country(self, text: str) -> set[tuple[str, str]]:
        # "CA" where a country is asked for is Canada and not California; Scotland will do.
        tails = self._tails.get(fold_name(text), set())
        return {(country, region) for country, region in tails if not region} or tails

    def _find_towns(self, head: str, areas: Areas, country: str) -> tuple[Place, ...]:
        key = fold_name(head)
        preferred = {code for code, _ in self._tails.get(fold_name(country), ())}

        def rank(row: tuple[Any, ...]) -> tuple[bool, float, int]:
            handicap = 1 if fold_name(row[0]) == key else ALIAS_HANDICAP
            return row[4] not in preferred, -row[6] / handicap, row[7]

        rows = sorted(self._select_by_key(key), key=rank)
        return tuple(_make_place(row) for row in rows if _lies_in(row, areas))

    def _find_zip(self, code: str) -> Place | None:
        row = self._connection.execute(_SELECT_ZIP + "WHERE zip = ?", (int(code),)).fetchone()
        if row is None:
            return None
        _, north, east, town, timezone, country, region = row
        return Place(f"{town} {code}", north / 10_000, east / 10_000, timezone, country, region)

    def _match_zip(self, zipped: Place, head: str, areas: Areas, country: str) -> tuple[Place, ...]:
        code, name = zipped.name[-5:], head.strip()
        own_areas = {(zipped.country, zipped.region), (zipped.country, ""), ("US", "")}
        fits = all(area & own_areas for area in areas)
        towns = self._find_towns(name, areas, country)
        km = {town: measure_geodesic_km(town, zipped) for town in towns}
        if km and min(km.values()) <= ZIP_TOWN_KM:
            nearest = min(km, key=km.__getitem__)
            return (replace(zipped, name=f"{nearest.name} {code}"),)
        name_areas = self._tails.get(fold_name(name), set())
        if not name or name_areas & own_areas:
            return (zipped,) if fits else ()
        first, _, last = name.rpartition(" ")
        last_areas = self._tails.get(fold_name(last), set())
        if not towns and first and not areas and last_areas & own_areas:
            # "Bowling Green KY 42101" is an address written without its comma.
            return self._match_zip(zipped, first, [last_areas], country)
        if not towns:
            return (replace(zipped, name=f"{name} {code}"),) if fits and not name_areas else ()
        # Abroad five digits behind a town are that country's own postal code.
        american = any(town.country == zipped.country for town in towns)
        return (zipped, *towns) if american else towns

    def _suggest_zips(self, code: str, count: int) -> tuple[str, ...]:
        number = int(code)
        rows = self._connection.execute(
            _SELECT_ZIP + "WHERE zip BETWEEN ? AND ? ORDER BY abs(zip - ?), zip LIMIT ?",
            (number - number % 100, number - number % 100 + 99, number, count),
        )
        found = [(f"{zip_code:05}", region or country) for zip_code, *_, country, region in rows]
        if found and found[0][0] == code:
            del found[1:]
        return tuple(f"{area} {zip_code}" for zip_code, area in found)

    def _select_by_key(self, key: str) -> list[tuple[Any, ...]]:
        return self._connection.execute(
            _SELECT_TOWN + "JOIN names ON names.town = towns.id WHERE names.key = ?", (key,)
        ).fetchall()

    def _list_candidates(self, key: str, areas: Areas) -> list[str]:
        # Comparing every name takes a second, so those of another first letter are looked at in
        # one state only.
        states = [region for area in areas for _, region in area if region]
        marks = ", ".join("?" * len(states))
        rows = self._connection.execute(
            f"""
            SELECT DISTINCT key FROM names JOIN towns ON towns.id = names.town
                                JOIN areas ON areas.id = towns.area
            WHERE length(key) BETWEEN ? AND ?
              AND (substr(key, 1, 1) = ? OR region IN ({marks}))
            """,
            (len(key) - 2, len(key) + 2, key[:1], *states),
        )
        return [candidate for (candidate,) in rows]


@cache
def open_gazetteer() -> Gazetteer:
    """The shipped gazetteer, the same one each time; its file is opened by the first question.

    **Source:** GeoNames cities500 (CC BY 4.0).
    """
    return Gazetteer()


def _lies_in(row: tuple[Any, ...], areas: Areas) -> bool:
    country, region = row[4:6]
    return all((country, region) in area or (country, "") in area for area in areas)


def _drop_zip_code(query: str) -> str:
    """The query without its ZIP code; a part that was nothing else falls away."""
    parts = [part.strip() for part in query.split(",")]
    for number, part in enumerate(parts):
        if _ZIP_AT_END.search(part):
            parts[number] = _ZIP_AT_END.sub("", part).strip()
            if number and not parts[number]:
                del parts[number]
            break
    return ", ".join(parts)


def _put_on_sphere(latitude: Any, longitude: Any) -> np.ndarray:
    import numpy as np

    north, east = np.radians(latitude), np.radians(longitude)
    return np.array([np.cos(north) * np.cos(east), np.cos(north) * np.sin(east), np.sin(north)])


def _make_place(row: tuple[Any, ...]) -> Place:
    name, latitude_e4, longitude_e4, timezone, country, region = row[:6]
    return Place(name, latitude_e4 / 10_000, longitude_e4 / 10_000, timezone, country, region)
