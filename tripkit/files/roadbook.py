"""All drives between home and the shows' places: measured by the yard, else estimated."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from tripkit.errors import BadValue
from tripkit.files.columns import Row
from tripkit.files.faults import Faults, say_near
from tripkit.files.values import KM_PER_MILE, make_decimal
from tripkit.places import Drive, Place, RoadBook
from tripkit.roads.estimate import estimate_road_km

MEASURED = "measured by the yard"
NO_ROAD = "closed"
ESTIMATE_ERROR_PERCENT = 7.3


@dataclass(frozen=True)
class Measurement:
    """One row of distances.csv: km and hours as far as written, or that there is no road."""

    row: Row
    km: float | None
    hours: float | None
    closed: bool


def read_measurements(
    rows: Sequence[Row], keys_by_name: Mapping[str, str], known: bool, faults: Faults
) -> dict[tuple[str, str], Measurement]:
    """The rows of distances.csv by pair of place keys, in the direction written.

    `keys_by_name` leads from whatever may stand in `from` and `to` to a place key; `known` says
    whether it is complete.
    """
    found: dict[tuple[str, str], Measurement] = {}
    for row in rows:
        ends = []
        for column in ("from", "to"):
            key = keys_by_name.get(row[column]) if row.reads(column) else None
            ends.append(key)
            if key is None and known and row.reads(column):
                near = say_near(row[column], keys_by_name)
                row.complain(faults, f"is no place or show of shows.csv, nor home{near}", column)
        measurement = _read_measurement(row, faults)
        start, end = ends
        if start is None or end is None or measurement is None:
            continue
        if start == end:
            row.complain(faults, f"is the same place as from, {row['from']!r}", "to")
            continue
        earlier = found.setdefault((start, end), measurement)
        if earlier is not measurement:
            row.complain(faults, f"stands already in row {earlier.row.number}", "to")
    return found


def _read_measurement(row: Row, faults: Faults) -> Measurement | None:
    written = [column for column in ("km", "miles") if row[column]]
    if len(written) == 2:
        row.complain(faults, "stands beside km: keep one", "miles")
        return None
    if not written and row["hours"] is None:
        if row.reads("hours"):
            row.complain(faults, "is empty; write km, miles or hours", "km", quote=False)
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
        row.complain(faults, str(error), column)
        return None
    km = number * KM_PER_MILE if column == "miles" else number
    return Measurement(row, round(float(km), 1), hours, False)


def build_roads(
    places: Mapping[str, Place],
    measured: Mapping[tuple[str, str], Measurement],
    detour_factor: float,
) -> RoadBook:
    """Every pair of places gets a drive in both directions: as measured, else as estimated.

    A row of distances.csv holds both ways unless both are written. A way that was measured only
    in hours has estimated kilometres; a closed one has no drive. km are rounded to one decimal.
    """
    drives: dict[tuple[str, str], Drive] = {}
    source = f"estimate: straight line x {detour_factor:g}"
    for left, right in combinations(places, 2):
        estimate: Drive | None = None
        for pair in ((left, right), (right, left)):
            row = measured.get(pair) or measured.get((pair[1], pair[0]))
            if row is not None and row.closed:
                continue
            if row is not None and row.km is not None:
                drives[pair] = Drive(row.km, row.hours, MEASURED)
                continue
            if estimate is None:
                km = estimate_road_km(places[left], places[right], detour_factor)
                estimate = Drive(round(km, 1), None, source, ESTIMATE_ERROR_PERCENT)
            drives[pair] = estimate
            if row is not None:
                words = f"{source}; hours {MEASURED}"
                drives[pair] = Drive(estimate.km, row.hours, words, ESTIMATE_ERROR_PERCENT)
    return RoadBook(places, drives)
