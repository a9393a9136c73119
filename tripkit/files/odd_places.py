"""Places, time zones and measured ways, held against the towns and roads that tripkit knows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from tripkit.files.columns import Row
from tripkit.files.placing import make_place_key
from tripkit.files.roadbook import GUESS, Measurement, Pair
from tripkit.files.settings import SETTINGS_FILE, Settings
from tripkit.files.values import KM_PER_MILE
from tripkit.roads.estimate import measure_geodesic_km
from tripkit.roads.gazetteer import Gazetteer, write_place
from tripkit.roads.network import SHORT_DRIVE_KM, open_network
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import write_rows
from tripkit.yard.oddities import Oddity, make_oddity
from tripkit.yard.places import HOME, Drive, Place

NEAR_TOWN_KM = 60.0
"""A show is within so many km of the town it names. **Source:** common practice, no source."""

INHABITED_KM = 150.0
"""A show is within so many km of some town. **Source:** common practice, no source."""

ABROAD_KM = 1_000.0
"""A show in another country farther away than this is asked about where its mirror is nearer.

**Source:** common practice, no source.
"""

NEAR_ZONE_KM = 120.0
"""A place keeps the time of some town so near. **Source:** common practice, no source."""

NETWORK_FACTOR = 1.5
"""A measured way of 100 km and more differs from the network's by less than this factor.

**Source:** this project's measurement: of 8,332 pairs the worst is 33 % too short (handbook,
roads); kilometres written as miles differ by 1.609.
"""
SHORT_FACTOR, SHORT_MORE_KM = 2.5, 30.0
"""The same of shorter ways, and km by which they differ at least. **Source:** as above, doubled."""

STRAIGHT_FACTOR, STRAIGHT_LESS_KM = 0.95, 10.0
"""What a way may be shorter than the straight line from town to town: its ends lie beside them.

**Source:** common practice, no source.
"""

SLOWEST_KMH, FASTEST_KMH = 25.0, 110.0
"""Mean speeds of a lorry from door to door [km/h]. **Source:** common practice, no source."""

BACK_FACTOR, BACK_MORE_KM, BACK_MORE_HOURS = 1.25, 20.0, 1.0
"""The way back is as long but for this factor, and so many km or hours.

**Source:** common practice, no source.
"""

HALF_YEAR_DAYS = 182

Point = tuple[float, float]
SLIPS: tuple[tuple[str, Callable[[float, float], Point]], ...] = (
    ("with latitude and longitude exchanged", lambda north, east: (east, north)),
    ("with a minus before the longitude", lambda north, east: (north, -east)),
    ("with the sign of the latitude turned", lambda north, east: (-north, east)),
    ("with both signs turned", lambda north, east: (-north, -east)),
    ("with both exchanged and a minus before the longitude", lambda north, east: (east, -north)),
    ("with both exchanged and the sign of the latitude turned", lambda n, e: (-e, n)),
)


# Places


def find_odd_places(
    rows: Mapping[str, Sequence[Row]],
    settings: Settings,
    places: Mapping[str, Place],
    gazetteer: Gazetteer,
) -> Iterator[Oddity]:
    """Coordinates far from the town named, exchanged or without sign; one place written twice."""
    home = places[HOME]
    if settings.latitude is not None and settings.longitude is not None:
        point = (settings.latitude, settings.longitude)
        country = settings.country or _guess_country(places)
        yield from _look_at_point(
            gazetteer, point, settings.place, country, None, SETTINGS_FILE, None, "yard.latitude"
        )
    # A venue with a town or a country was held against it where it was read.
    seen = {row["place"] for row in rows["venues"] if row["town"] or row["country"]}
    for row in (*rows["venues"], *rows["shows"]):
        key = make_place_key(row)
        if row["latitude"] is None or row["longitude"] is None or key in seen:
            continue
        seen.add(key)
        yield from _look_at_point(
            gazetteer,
            (float(row["latitude"]), float(row["longitude"])),
            row["place"],
            row["country"] or home.country,
            None if row["country"] else home,
            row.file,
            row.number,
            "latitude",
        )
    yield from _find_twins(rows["shows"], places)


def _guess_country(places: Mapping[str, Place]) -> str:
    """The country of the only shows there are, for a yard that names none; else empty."""
    countries = {place.country for key, place in places.items() if key != HOME}
    return countries.pop() if len(countries) == 1 else ""


def _look_at_point(
    gazetteer: Gazetteer,
    point: Point,
    name: str,
    country: str,
    home: Place | None,
    file: str,
    row: int | None,
    column: str,
) -> Iterator[Oddity]:
    """One pair of coordinates against the town and country it should be in.

    `home` stands where the country is not written but only likely.
    """
    said, written = repr(name) if name else "the place", f"{point[0]:g}, {point[1]:g}"
    facts = {"place": said, "written": written}
    here = _place_at(point)
    near = gazetteer.nearest_town(*point)
    code = gazetteer.find_country(country) or country
    facts["where"] = _say_where(here, near)
    towns = gazetteer.find_places(name, within=country) if name else ()
    if towns:
        if _measure_nearest(here, towns)[0] <= NEAR_TOWN_KM:
            return
        for slip, turned in _list_slips(point):
            km, town = _measure_nearest(_place_at(turned), towns)
            if km <= NEAR_TOWN_KM:
                told = {**facts, "slip": slip, "point": _write_point(turned)}
                told["near"] = f"near {write_place(town)}"
                yield make_oddity("place-swapped", file, (row,), column, **told)
                return
        km, town = _measure_nearest(here, towns)
        # A bare name may be that of a farm; with its state or country it is a town's.
        if "," in name:
            told = {**facts, "km": f"{km:,.0f}", "town": write_place(town)}
            yield make_oddity("place-far", file, (row,), column, most=f"{NEAR_TOWN_KM:g}", **told)
            return
    lost = measure_geodesic_km(here, near) > INHABITED_KM
    abroad = bool(code) and near.country != code
    if home is not None:
        # Shows abroad are usual, unless nobody lives there or they are very far.
        abroad = abroad and measure_geodesic_km(here, home) > ABROAD_KM
    if not lost and not abroad:
        return
    for slip, turned in _list_slips(point):
        there, other = _place_at(turned), gazetteer.nearest_town(*turned)
        fits = measure_geodesic_km(there, other) <= NEAR_TOWN_KM and other.country == code
        if home is not None:
            nearer = measure_geodesic_km(here, home) > 3 * measure_geodesic_km(there, home)
            fits = fits and nearer
        if fits:
            told = {**facts, "slip": slip, "point": _write_point(turned)}
            told["near"] = f"near {write_place(other)}"
            yield make_oddity("place-swapped", file, (row,), column, **told)
            return
    if lost:
        yield make_oddity("place-nowhere", file, (row,), column, most=f"{INHABITED_KM:g}", **facts)


def _place_at(point: Point) -> Place:
    return Place("", *point)


def _measure_nearest(here: Place, towns: Iterable[Place]) -> tuple[float, Place]:
    return min(((measure_geodesic_km(here, town), town) for town in towns), key=lambda m: m[0])


def _list_slips(point: Point) -> Iterator[tuple[str, Point]]:
    for words, turn in SLIPS:
        north, east = turn(*point)
        if -90 <= north <= 90 and (north, east) != point:
            yield words, (north, east)


def _write_point(point: Point) -> str:
    return f"{point[0]:g}, {point[1]:g}"


def _say_where(here: Place, near: Place) -> str:
    km = measure_geodesic_km(here, near)
    if km <= NEAR_TOWN_KM:
        return f"near {write_place(near)}"
    return f"{km:,.0f} km from the nearest town ({write_place(near)})"


def _find_twins(rows: Sequence[Row], places: Mapping[str, Place]) -> Iterator[Oddity]:
    """Two spellings of one place: each show at the second needs a drive that nobody drives."""
    by_point: dict[Point, str] = {}
    found: dict[tuple[str, str], list[Row]] = {}
    for row in rows:
        key = make_place_key(row)
        place = places.get(key)
        if not row["place"] or place is None or key == HOME:
            continue
        first = by_point.setdefault((place.latitude, place.longitude), key)
        if first != key:
            found.setdefault((first, key), []).append(row)
    for (first, key), twins in found.items():
        there = [(r.file, r.number) for r in rows if make_place_key(r) == first]
        yield make_oddity(
            "place-twice",
            twins[0].file,
            [row.number for row in twins],
            "place",
            place=repr(key),
            other=repr(first),
            there=write_rows(there),
        )


# Time zones


def find_odd_zones(
    rows: Mapping[str, Sequence[Row]],
    settings: Settings,
    places: Mapping[str, Place],
    season: DaySpan,
    gazetteer: Gazetteer,
) -> Iterator[Oddity]:
    """Time zones written that no town near the place keeps, winter and summer."""
    written: list[tuple[str, str, Place | None, tuple[str, int | None, str]]] = []
    name = settings.place or settings.name
    written.append((settings.timezone, name, places[HOME], (SETTINGS_FILE, None, "yard.timezone")))
    for table in ("shows", "venues"):
        for row in rows[table]:
            key = row["place"] if table == "venues" else make_place_key(row)
            place, at = places.get(key), (row.file, row.number, "timezone")
            # The zone of a town is known without looking at its neighbours.
            if place is None or table == "venues" or place.timezone != row["timezone"]:
                written.append((row["timezone"], key, place, at))
    days = (season.first, season.first + timedelta(days=HALF_YEAR_DAYS))
    seen: dict[tuple[str, str], tuple[str, ...]] = {}
    for zone, name, place, (file, row_number, column) in written:
        if not zone or place is None:
            continue
        if (zone, name) not in seen:
            zones = gazetteer.list_zones(place.latitude, place.longitude, NEAR_ZONE_KM)
            own = [_find_offset(zone, day) for day in days]
            kept = any([_find_offset(near, day) for day in days] == own for near in zones)
            seen[zone, name] = () if kept else zones
        for usual in seen[zone, name][:1]:
            yield make_oddity(
                "zone-far",
                file,
                (row_number,),
                column,
                place=repr(name),
                usual=usual,
                zone=zone,
                most=f"{NEAR_ZONE_KM:g}",
            )


def _find_offset(zone: str, day: date) -> timedelta | None:
    return datetime(day.year, day.month, day.day, 12, tzinfo=ZoneInfo(zone)).utcoffset()


# Ways


def find_odd_ways(
    places: Mapping[str, Place], measured: Mapping[Pair, Measurement], units: str
) -> Iterator[Oddity]:
    """Measured ways far from the network's, of an odd speed, or unlike there and back."""
    asked = {pair: way for pair, way in measured.items() if not way.closed}
    ends = {key: places[key] for pair in asked for key in pair if key in places}
    usual = open_network().make_drives(ends) if ends else {}
    for (start, end), way in asked.items():
        if start in places and end in places:
            drive = usual.get((start, end))
            yield from _look_at_way(way, places[start], places[end], drive, units)
            back = asked.get((end, start))
            if back is not None and start < end:
                yield from _look_at_way_back(way, back, units)


def _look_at_way(
    way: Measurement, start: Place, end: Place, drive: Drive | None, units: str
) -> Iterator[Oddity]:
    names = {"start": way.row["from"], "end": way.row["to"]}
    straight = measure_geodesic_km(start, end)
    if drive is not None and drive.ferry_km:
        # Whether the km on board and the hours of waiting were counted is the yard's choice.
        return
    known = drive is not None and not drive.source.startswith(GUESS)
    column = "miles" if way.row["miles"] else "km"
    if way.km is not None:
        facts = {**names, "km": _write_km(way.km, units)}
        if way.km < STRAIGHT_FACTOR * straight - STRAIGHT_LESS_KM:
            told = _write_km(straight, units)
            yield _make(way, "way-straight", column, straight=told, **facts)
            return
        if drive is not None and known:
            low, high = _find_usual_km(drive.km, straight)
            if not low <= way.km <= high:
                facts["other"] = _write_km(drive.km, units)
                facts |= _write_span(low, high, units)
                yield _make(way, "way-length", column, **facts)
                return
    if way.hours is None:
        return
    km = way.km if way.km is not None else drive.km if drive is not None else None
    if km is None:
        return
    speed = km / way.hours
    if speed > FASTEST_KMH or (speed < SLOWEST_KMH and way.hours > BACK_MORE_HOURS):
        facts = {**names, "hours": f"{way.hours:g}", "km": _write_km(km, units)}
        facts["speed"] = _write_km(speed, units)
        facts |= _write_span(SLOWEST_KMH, FASTEST_KMH, units)
        yield _make(way, "way-hours", "hours", **facts)


def _find_usual_km(km: float, straight: float) -> tuple[float, float]:
    """Between what lengths a measured way lies, by the network's; the straight line is least."""
    if km >= SHORT_DRIVE_KM:
        low, high = km / NETWORK_FACTOR, km * NETWORK_FACTOR
    else:
        low = min(km / SHORT_FACTOR, km - SHORT_MORE_KM)
        high = max(km * SHORT_FACTOR, km + SHORT_MORE_KM)
    return max(low, STRAIGHT_FACTOR * straight - STRAIGHT_LESS_KM, 0.0), high


def _look_at_way_back(way: Measurement, back: Measurement, units: str) -> Iterator[Oddity]:

    def write_hours(hours: float) -> str:
        return f"{hours:g} h"

    def write_km(km: float) -> str:
        return _write_km(km, units)

    for there, home, more, write in (
        (way.km, back.km, BACK_MORE_KM, write_km),
        (way.hours, back.hours, BACK_MORE_HOURS, write_hours),
    ):
        if there is None or home is None:
            continue
        low, high = sorted((there, home))
        if high > BACK_FACTOR * low and high - low > more:
            other = back.row.where
            facts = {"start": way.row["from"], "end": way.row["to"], "rows": other}
            yield _make(way, "way-back", "to", there=write(there), back=write(home), **facts)
            return


def _make(way: Measurement, kind: str, column: str, **facts: str) -> Oddity:
    return make_oddity(kind, way.row.file, (way.row.number,), column, **facts)


def _write_span(low: float, high: float, units: str) -> dict[str, str]:
    return {"low": _write_km(low, units).split()[0], "high": _write_km(high, units)}


def _write_km(km: float, units: str) -> str:
    return f"{km / float(KM_PER_MILE):,.0f} miles" if units == "miles" else f"{km:,.0f} km"
