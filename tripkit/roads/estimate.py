"""Guesses road kilometres from the straight line, and says how wrong the guess is.

A straight line is not a lorry's road. Measured with the default factor against two published
tables of road distances (error = estimate / table - 1; MAPE is the mean of its absolute value):

| table | pairs | MAPE | bias | 90th percentile | worst |
|---|---|---|---|---|---|
| Europe: R's eurodist without six faulty values [1] | 204 | 7.3 % | -4.5 % | 18.7 % | 29 % |
| North America: Knuth's highway miles of 1949 [2] | 8128 | 5.3 % | +1.8 % | 10.4 % | 53 % |

1. R datasets, "eurodist", from The Cambridge Encyclopaedia. Left out are values shorter than the
   straight line (five) or 1.5 times longer than the way through another city of the table (one).
2. D. E. Knuth, The Stanford GraphBase, 1993, miles.dat.

The worst pairs lie across water. Both tables are old: part of the error is theirs. A distance that
the yard measured itself wins over this.
"""

from __future__ import annotations

from tripkit.roads.speeds import compute_typical_hours
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.places import ESTIMATED, Drive, Place

DETOUR_FACTOR = 1.25
# Nine pairs of ten of either table are nearer than this.
ESTIMATE_ERROR_PERCENT = 19.0


def measure_geodesic_km(a: Place, b: Place) -> float:
    """The straight line between two places is the geodesic on the WGS 84 ellipsoid, in km.

    **Source:** C. F. F. Karney, "Algorithms for geodesics", Journal of Geodesy 87 (2013), 43-55,
    as in geopy.distance.geodesic.
    """
    from geopy.distance import geodesic

    return float(geodesic((a.latitude, a.longitude), (b.latitude, b.longitude)).km)


def estimate_road_km(a: Place, b: Place, detour_factor: float = DETOUR_FACTOR) -> float:
    """A road is about a quarter longer than the straight line, in km.

    Raises `BadValue` for a factor below 1: no road is shorter than the straight line.

    With the default factor the mean absolute error is 7.3 % in Europe (bias -4.5 %, 90th percentile
    18.7 %, worst 29 %) and 5.3 % in North America (bias +1.8 %, 90th percentile 10.4 %, worst
    53 %).

    **Source:** this project's measurement against the two tables named in the module's docstring.
    """
    if not detour_factor >= 1:
        raise BadValue(state("values.detour-factor-is-below-1", detour_factor=detour_factor))
    return measure_geodesic_km(a, b) * detour_factor


def make_estimate(a: Place, b: Place, detour_factor: float = DETOUR_FACTOR) -> Drive:
    """A drive of which only the straight line is known, with the hours typical of a main road.

    **Source:** as for `estimate_road_km`; the error is what nine pairs of ten keep within.
    """
    km = estimate_road_km(a, b, detour_factor)
    return Drive(
        km,
        source=state(ESTIMATED, factor=detour_factor),
        error_percent=ESTIMATE_ERROR_PERCENT,
        typical_hours=compute_typical_hours(a, b, km),
    )
