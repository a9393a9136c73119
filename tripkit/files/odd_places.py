"""Places, time zones and measured ways, held against the towns and roads that tripkit knows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from tripkit.files.columns import Row
from tripkit.files.placing import make_place_key
from tripkit.files.roadbook import Measurement, Pair
from tripkit.files.settings import SETTINGS_FILE, Settings
from tripkit.roads.estimate import measure_geodesic_km
from tripkit.roads.gazetteer import Gazetteer, write_place
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import state_rows
from tripkit.yard.facts import Fact, Value, state
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
SLIPS: tuple[tuple[Fact, Callable[[float, float], Point]], ...] = (
    (state("oddities.exchanged"), lambda north, east: (east, north)),
    (state("oddities.minus-longitude"), lambda north, east: (north, -east)),
    (state("oddities.sign-latitude"), lambda north, east: (-north, east)),
    (state("oddities.both-signs"), lambda north, east: (-north, -east)),
    (state("oddities.exchanged-minus"), lambda north, east: (east, -north)),
    (state("oddities.exchanged-sign"), lambda n, e: (-e, n)),
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
    yield from _find_twins([*rows["shows"], *rows["bases"]], places)


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
    said = state("oddities.named", name=name) if name else state("oddities.unnamed")
    here = _place_at(point)
    near = gazetteer.nearest_town(*point)
    code = gazetteer.find_country(country) or country
    where = _state_where(here, near)
    facts: dict[str, Value] = {"place": said, "written": _write_point(point), "where": where}
    towns = gazetteer.find_places(name, within=country) if name else ()
    if towns:
        if _measure_nearest(here, towns)[0] <= NEAR_TOWN_KM:
            return
        for slip, turned in _list_slips(point):
            km, town = _measure_nearest(_place_at(turned), towns)
            if km <= NEAR_TOWN_KM:
                swapped = _state_swap(facts, slip, turned, town)
                yield make_oddity(swapped, file, (row,), column)
                return
        km, town = _measure_nearest(here, towns)
        # A bare name may be that of a farm; with its state or country it is a town's.
        if "," in name:
            far = state(
                "oddities.place-far",
                way_km=km,
                town=write_place(town),
                most_km=NEAR_TOWN_KM,
                **facts,
            )
            yield make_oddity(far, file, (row,), column)
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
            yield make_oddity(_state_swap(facts, slip, turned, other), file, (row,), column)
            return
    if lost:
        nowhere = state("oddities.place-nowhere", most_km=INHABITED_KM, **facts)
        yield make_oddity(nowhere, file, (row,), column)


def _state_swap(facts: Mapping[str, Value], slip: Fact, turned: Point, town: Place) -> Fact:
    near = state("oddities.near-town", town=write_place(town))
    return state(
        "oddities.place-swapped", slip=slip, point=_write_point(turned), near=near, **facts
    )


def _place_at(point: Point) -> Place:
    return Place("", *point)


def _measure_nearest(here: Place, towns: Iterable[Place]) -> tuple[float, Place]:
    return min(((measure_geodesic_km(here, town), town) for town in towns), key=lambda m: m[0])


def _list_slips(point: Point) -> Iterator[tuple[Fact, Point]]:
    for slip, turn in SLIPS:
        north, east = turn(*point)
        if -90 <= north <= 90 and (north, east) != point:
            yield slip, (north, east)


def _write_point(point: Point) -> str:
    return f"{point[0]:g}, {point[1]:g}"


def _state_where(here: Place, near: Place) -> Fact:
    km = measure_geodesic_km(here, near)
    if km <= NEAR_TOWN_KM:
        return state("oddities.near-town", town=write_place(near))
    return state("oddities.lost", way_km=km, town=write_place(near))


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
        twice = state("oddities.place-twice", place=key, other=first, there=state_rows(there))
        yield make_oddity(twice, twins[0].file, [row.number for row in twins], "place")


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
    for table in ("shows", "bases", "venues"):
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
            far = state(
                "oddities.zone-far", place=name, usual=usual, zone=zone, most_km=NEAR_ZONE_KM
            )
            yield make_oddity(far, file, (row_number,), column)


def _find_offset(zone: str, day: date) -> timedelta | None:
    return datetime(day.year, day.month, day.day, 12, tzinfo=ZoneInfo(zone)).utcoffset()


# Ways


def find_odd_ways(
    places: Mapping[str, Place], measured: Mapping[Pair, Measurement]
) -> Iterator[Oddity]:
    """Measured ways far from the network's, of an odd speed, or unlike there and back."""
    from tripkit.roads.network import open_network

    asked = {pair: way for pair, way in measured.items() if not way.closed}
    ends = {key: places[key] for pair in asked for key in pair if key in places}
    usual = open_network().make_drives(ends) if ends else {}
    for (start, end), way in asked.items():
        if start in places and end in places:
            drive = usual.get((start, end))
            yield from _look_at_way(way, places[start], places[end], drive)
            back = asked.get((end, start))
            if back is not None and start < end:
                yield from _look_at_way_back(way, back)


def _look_at_way(
    way: Measurement, start: Place, end: Place, drive: Drive | None
) -> Iterator[Oddity]:
    names: dict[str, Value] = {"start": way.row["from"], "end": way.row["to"]}
    straight = measure_geodesic_km(start, end)
    if drive is not None and drive.ferry_km:
        # Whether the km on board and the hours of waiting were counted is the yard's choice.
        return
    known = drive is not None and not drive.is_estimate
    column = "miles" if way.row["miles"] else "km"
    if way.km is not None:
        if way.km < STRAIGHT_FACTOR * straight - STRAIGHT_LESS_KM:
            short = state("oddities.way-straight", way_km=way.km, straight_km=straight, **names)
            yield _make(way, short, column)
            return
        if drive is not None and known:
            low, high = _find_usual_km(drive.km, straight)
            if not low <= way.km <= high:
                length = state(
                    "oddities.way-length",
                    way_km=way.km,
                    other_km=drive.km,
                    low_km=low,
                    high_km=high,
                    **names,
                )
                yield _make(way, length, column)
                return
    if way.hours is None:
        return
    km = way.km if way.km is not None else drive.km if drive is not None else None
    if km is None:
        return
    speed = km / way.hours
    if speed > FASTEST_KMH or (speed < SLOWEST_KMH and way.hours > BACK_MORE_HOURS):
        odd = state(
            "oddities.way-hours",
            hours=way.hours,
            way_km=km,
            speed_km=speed,
            low_km=SLOWEST_KMH,
            high_km=FASTEST_KMH,
            **names,
        )
        yield _make(way, odd, "hours")


def _find_usual_km(km: float, straight: float) -> tuple[float, float]:
    """Between what lengths a measured way lies, by the network's; the straight line is least."""
    from tripkit.roads.network import SHORT_DRIVE_KM

    if km >= SHORT_DRIVE_KM:
        low, high = km / NETWORK_FACTOR, km * NETWORK_FACTOR
    else:
        low = min(km / SHORT_FACTOR, km - SHORT_MORE_KM)
        high = max(km * SHORT_FACTOR, km + SHORT_MORE_KM)
    return max(low, STRAIGHT_FACTOR * straight - STRAIGHT_LESS_KM, 0.0), high


def _look_at_way_back(way: Measurement, back: Measurement) -> Iterator[Oddity]:
    for there, home, more, code, name in (
        (way.km, back.km, BACK_MORE_KM, "oddities.length", "way_km"),
        (way.hours, back.hours, BACK_MORE_HOURS, "oddities.hours", "hours"),
    ):
        if there is None or home is None:
            continue
        low, high = sorted((there, home))
        if high > BACK_FACTOR * low and high - low > more:
            unlike = state(
                "oddities.way-back",
                start=way.row["from"],
                end=way.row["to"],
                there=state(code, **{name: there}),
                back=state(code, **{name: home}),
                rows=back.row.where,
            )
            yield _make(way, unlike, "to")
            return


def _make(way: Measurement, what: Fact, column: str) -> Oddity:
    return make_oddity(what, way.row.file, (way.row.number,), column)
