"""All drives between home and the shows' places: measured by the yard, else from a road source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import permutations
from pathlib import Path

from tripkit.files.columns import Row
from tripkit.files.faults import Faults
from tripkit.files.settings import SETTINGS_FILE
from tripkit.files.values import KM_PER_MILE, make_decimal
from tripkit.roads.estimate import make_estimate
from tripkit.roads.speeds import compute_typical_hours, find_speeds
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.names import suggest_near
from tripkit.yard.places import HOME, Drive, Place, RoadBook
from tripkit.yard.yard import DrivingSettings

MEASURED = state("roads.measured")
NO_ROAD = "closed"
MOST_NAMED = 5

Pair = tuple[str, str]


@dataclass(frozen=True)
class Measurement:
    """One row of distances.csv: km and hours as far as written, or that there is no road."""

    row: Row
    km: float | None
    hours: float | None
    closed: bool


def read_measurements(
    rows: Sequence[Row], keys_by_name: Mapping[str, str], known: bool, faults: Faults
) -> dict[Pair, Measurement]:
    """The rows of distances.csv by pair of place keys, in the direction written.

    `keys_by_name` leads from whatever may stand in `from` and `to` to a place key; `known` says
    whether it is complete.
    """
    found: dict[Pair, Measurement] = {}
    for row in rows:
        ends = []
        for column in ("from", "to"):
            key = keys_by_name.get(row[column]) if row.reads(column) else None
            ends.append(key)
            if key is None and known and row.reads(column):
                near = suggest_near(row[column], keys_by_name)
                row.complain(faults, state("faults.no-stop", near=near), column)
        measurement = _read_measurement(row, faults)
        start, end = ends
        if start is None or end is None or measurement is None:
            continue
        if start == end:
            row.complain(faults, state("faults.same-place-as-from", start=row["from"]), "to")
            continue
        earlier = found.setdefault((start, end), measurement)
        if earlier is not measurement:
            row.complain(
                faults, state("faults.stands-already-in-row", number=earlier.row.number), "to"
            )
    return found


def _read_measurement(row: Row, faults: Faults) -> Measurement | None:
    written = [column for column in ("km", "miles") if row[column]]
    if len(written) == 2:
        row.complain(faults, state("faults.stands-beside", other="km"), "miles")
        return None
    if not written and row["hours"] is None:
        if row.reads("hours"):
            row.complain(faults, state("faults.empty-write-km-miles-or"), "km", quote=False)
        return None
    hours = None if row["hours"] is None else float(row["hours"])
    if not written:
        return Measurement(row, None, hours, False)
    column = written[0]
    if row[column].casefold() == NO_ROAD:
        return Measurement(row, None, None, True)
    try:
        number = make_decimal(0, 30_000)(row[column])
    except BadValue as error:
        row.complain(faults, error.fact, column)
        return None
    km = number * KM_PER_MILE if column == "miles" else number
    return Measurement(row, round(float(km), 1), hours, False)


def build_roads(
    places: Mapping[str, Place],
    measured: Mapping[Pair, Measurement],
    driving: DrivingSettings,
    folder: Path,
) -> tuple[RoadBook, tuple[Fact, ...]]:
    """Every pair of places gets a drive in both directions: as measured, else from a road source.

    A row of distances.csv holds both ways unless both are written. A way that was measured only
    in hours has its kilometres from the source; a closed one has no drive, nor one that the
    source knows no road for. km are rounded to one decimal. Also answers remarks.
    """
    drives: dict[Pair, Drive] = {}
    wanted = []
    hours = {}
    for pair in permutations(places, 2):
        row = measured.get(pair) or measured.get((pair[1], pair[0]))
        if row is None:
            wanted.append(pair)
        elif row.km is not None:
            start, end = (places[key] for key in pair)
            typical_hours = round(compute_typical_hours(start, end, row.km), 3)
            drives[pair] = Drive(row.km, row.hours, MEASURED, typical_hours=typical_hours)
        elif not row.closed:
            wanted.append(pair)
            hours[pair] = row.hours
    found, remarks = _find_drives(places, wanted, driving, folder)
    for pair in wanted:
        drive = found.get(pair)
        if drive is None and pair in hours:
            # Somebody drove there: it is no island.
            drive = make_estimate(places[pair[0]], places[pair[1]], driving.detour_factor)
        if drive is None:
            continue
        typical_hours = round(drive.compute_hours(None), 3)
        drive = replace(drive, km=round(drive.km, 1), typical_hours=typical_hours)
        if pair in hours:
            source = state("roads.hours-measured", source=drive.source)
            drive = replace(drive, hours=hours[pair], source=source)
        drives[pair] = drive
    remarks += [
        state("faults.showscsv-no-road-or-ferry", end=end)
        for start, end in wanted
        if start == HOME and (start, end) not in drives
    ]
    return RoadBook(places, drives), (*remarks, *_remark_on_speed(places.get(HOME), driving))


def _find_drives(
    places: Mapping[str, Place], wanted: Sequence[Pair], driving: DrivingSettings, folder: Path
) -> tuple[dict[Pair, Drive], list[Fact]]:
    if driving.roads == "estimate":
        estimates = {
            (start, end): make_estimate(places[start], places[end], driving.detour_factor)
            for start, end in wanted
        }
        return estimates, []
    found: dict[Pair, Drive] = {}
    remarks: list[Fact] = []
    if wanted and driving.roads != "network":
        found, remarks = _ask_server(places, wanted, driving, folder)
    rest = [pair for pair in wanted if pair not in found]
    if rest:
        from tripkit.roads.network import open_network

        ends = {key: places[key] for pair in rest for key in pair}
        drives = open_network().make_drives(ends, driving.detour_factor)
        found |= {pair: drives[pair] for pair in rest if pair in drives}
        remarks = [
            *remarks,
            *_remark_on_guesses(rest, drives, driving.detour_factor),
            *_remark_on_islands(ends, rest, drives),
        ]
    return found, remarks


def _remark_on_guesses(
    rest: Sequence[Pair], drives: Mapping[Pair, Drive], factor: float
) -> Iterator[Fact]:
    """Drives from home over land that the network does not cover are told once; no short ones."""
    from tripkit.roads.network import SHORT_DRIVE_KM

    asked = {end for start, end in rest if start == HOME}
    guessed = [
        repr(end)
        for (start, end), drive in drives.items()
        if start == HOME and end in asked and drive.is_estimate and drive.km > SHORT_DRIVE_KM
    ]
    if guessed:
        named = ", ".join(guessed[:MOST_NAMED]) + (", …" if len(guessed) > MOST_NAMED else "")
        yield state("faults.showscsv-no-main-roads-are", named=named, factor=f"{factor:g}")


def _remark_on_islands(
    ends: Mapping[str, Place], rest: Sequence[Pair], drives: Mapping[Pair, Drive]
) -> Iterator[Fact]:
    """A drive from home that the network leads over water without a crossing is told."""
    from tripkit.roads.islands import find_doubtful_islands

    joined = {end for pair in rest if HOME in pair and pair in drives for end in pair}
    asked = {key: place for key, place in ends.items() if key in joined}
    for key in find_doubtful_islands(asked):
        where = f"{SETTINGS_FILE}: the yard" if key == HOME else f"shows.csv: {key!r}"
        yield state("faults.seems-to-lie-across-water", where=where)


def _ask_server(
    places: Mapping[str, Place], wanted: Sequence[Pair], driving: DrivingSettings, folder: Path
) -> tuple[dict[Pair, Drive], list[Fact]]:
    # Where no server is asked the reader works without a store.
    from tripkit.roads.online_roads import OnlineRoads
    from tripkit.store import open_store

    home = folder if folder.is_dir() else folder.parent
    server = OnlineRoads(driving.roads, open_store(folder), home=home)
    found = server.find_drives(places, wanted)
    remarks = []
    instead = state(
        "faults.of-drives-are-from-road",
        len_wanted=len(wanted) - len(found),
        len_wanted_2=len(wanted),
    )
    if server.failure:
        remarks.append(
            state(
                "faults.value-6",
                settings_file=SETTINGS_FILE,
                failure=server.failure,
                instead=instead,
            )
        )
    if server.refused:
        remarks.append(
            state(
                "faults.answered-what-cannot-be-true",
                settings_file=SETTINGS_FILE,
                server_name=server.name,
                refused_first=server.refused[0],
                instead=instead,
            )
        )
    return found, remarks


def _remark_on_speed(home: Place | None, driving: DrivingSettings) -> Iterator[Fact]:
    if home is None or driving.speed_kmh is None:
        return
    legal = find_speeds(home.country, home.region)
    if legal.limit_kmh is not None and driving.speed_kmh > legal.limit_kmh:
        yield state(
            "faults.speed-of-kmh-is-above",
            settings_file=SETTINGS_FILE,
            speed_kmh=f"{driving.speed_kmh:.0f}",
            limit_kmh=f"{legal.limit_kmh:.0f}",
            home_country=home.country,
            limit_source=legal.limit_source,
        )
