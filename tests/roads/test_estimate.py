"""The straight line against published lines, and the estimate against published road tables."""

from __future__ import annotations

import random

import pytest
from geographiclib.geodesic import Geodesic
from geopy.distance import geodesic
from road_tables import (
    find_faulty_pairs,
    print_worst,
    read_clean_eurodist,
    read_eurodist,
    read_knuth_miles,
    summarise_errors,
)

from tripkit.roads import estimate
from tripkit.roads.estimate import estimate_road_km, measure_geodesic_km
from tripkit.yard.errors import BadValue
from tripkit.yard.places import Place


def read_degrees(degrees: int, minutes: int, seconds: float) -> float:
    return degrees + minutes / 60 + seconds / 3600


# Source: ICSM, Geocentric Datum of Australia Technical Manual, version 2.3, section 4.1, worked
# example of Vincenty's formulae: GDA94 coordinates, GRS80 ellipsoid, 54 972.271 m.
FLINDERS_PEAK = Place(
    "Flinders Peak", -read_degrees(37, 57, 3.72030), read_degrees(144, 25, 29.52440)
)
BUNINYON = Place("Buninyon", -read_degrees(37, 39, 10.15610), read_degrees(143, 55, 35.38390))
FLINDERS_PEAK_TO_BUNINYON_KM = 54.972271


def test_published_line_on_its_own_ellipsoid() -> None:
    """Flinders Peak to Buninyon is 54 972.271 m on GRS80, to the millimetre it is printed with."""
    line = geodesic(
        (FLINDERS_PEAK.latitude, FLINDERS_PEAK.longitude),
        (BUNINYON.latitude, BUNINYON.longitude),
        ellipsoid="GRS-80",
    )
    assert line.km == pytest.approx(FLINDERS_PEAK_TO_BUNINYON_KM, abs=1e-6)


def test_published_line_on_our_ellipsoid() -> None:
    """The same line is as long on WGS 84, whose axis differs from GRS80's by a tenth of a mm."""
    km = measure_geodesic_km(FLINDERS_PEAK, BUNINYON)
    assert km == pytest.approx(FLINDERS_PEAK_TO_BUNINYON_KM, abs=1e-6)


def test_published_line_round_half_the_globe() -> None:
    """Wellington to Salamanca is 19 959 679.267 m on WGS 84.

    Source: GeographicLib for Python, documentation, "Examples", the inverse problem.
    """
    wellington = Place("Wellington", -41.32, 174.81)
    salamanca = Place("Salamanca", 40.96, -5.50)
    assert measure_geodesic_km(wellington, salamanca) == pytest.approx(19959.679267, abs=1e-6)


@pytest.mark.parametrize("seed", range(40))
def test_walking_a_line_and_measuring_it_agree(seed: int) -> None:
    """A point reached by walking so many km along a geodesic lies that many km away.

    Source: geographiclib's solution of the direct problem, the reverse of what is tested.
    """
    draw = random.Random(seed)
    start = Place("start", draw.uniform(-80, 80), draw.uniform(-180, 180))
    km = draw.uniform(1, 15_000)
    walk = Geodesic.WGS84.Direct(start.latitude, start.longitude, draw.uniform(0, 360), km * 1000)
    end = Place("end", walk["lat2"], walk["lon2"])
    assert measure_geodesic_km(start, end) == pytest.approx(km, abs=1e-6)
    assert measure_geodesic_km(end, start) == pytest.approx(km, abs=1e-6)


def test_estimate_is_the_line_times_the_factor() -> None:
    """A factor of 2 doubles the straight line, and a factor of 1 is the straight line.

    Source: the definition in the yard folder's description, `detour_factor`.
    """
    line = FLINDERS_PEAK, BUNINYON
    assert estimate_road_km(*line, detour_factor=1) == pytest.approx(FLINDERS_PEAK_TO_BUNINYON_KM)
    assert estimate_road_km(*line, detour_factor=2) == pytest.approx(
        2 * FLINDERS_PEAK_TO_BUNINYON_KM
    )


@pytest.mark.parametrize("factor", [0.99, 0, -1, float("nan")])
def test_a_road_shorter_than_the_straight_line_is_refused(factor: float) -> None:
    """A detour factor below one is a bad value.

    Source: the straight line is the shortest way there is.
    """
    with pytest.raises(BadValue, match="detour factor"):
        estimate_road_km(FLINDERS_PEAK, BUNINYON, factor)


def test_faulty_values_of_eurodist_are_found_by_rule() -> None:
    """Five of eurodist's 210 values are shorter than the straight line, one far too long.

    Source: the values as R 4.2 prints them.
    """
    faulty = {str(pair): pair.table_km for pair in find_faulty_pairs(read_eurodist())}
    assert faulty == {
        "Copenhagen-Hoek van Holland": 269,
        "Athens-Rome": 817,
        "Lisbon-Lyon": 1178,
        "Lyon-Milan": 328,
        "Milan-Munich": 331,
        "Köln-Geneva": 1662,
    }


def test_knuth_table_is_read_as_printed() -> None:
    """Three mileages that Knuth's book prints stand between the right cities.

    Source: The Stanford GraphBase, miles.dat, its first lines: Yankton-Youngstown 966,
    Yakima-Youngstown 2410, Worcester-Yankton 1520 miles.
    """
    pairs = read_knuth_miles()
    miles = {str(pair): round(pair.table_km / 1.609344) for pair in pairs}
    assert len(pairs) == 128 * 127 // 2
    assert miles["Yankton, SD-Youngstown, OH"] == 966
    assert miles["Yakima, WA-Youngstown, OH"] == 2410
    assert miles["Worcester, MA-Yankton, SD"] == 1520


def test_no_road_in_knuth_table_is_shorter_than_the_line() -> None:
    """Knuth's mileages need no rule: each is at least as long as the straight line.

    Source: The Stanford GraphBase, miles.dat.
    """
    assert all(pair.table_km >= pair.geodesic_km for pair in read_knuth_miles())


@pytest.mark.parametrize(
    ("title", "read_pairs", "written"),
    [
        ("eurodist", read_clean_eurodist, (7.3, -4.5, 18.7, 29)),
        ("Knuth's miles", read_knuth_miles, (5.3, +1.8, 10.4, 53)),
    ],
)
def test_estimate_is_as_wrong_as_its_docstring_says(title, read_pairs, written) -> None:
    """The error of the estimate is within the figures written in the docstring.

    Sources: R datasets "eurodist"; Knuth, The Stanford GraphBase, miles.dat.
    """
    mape, bias, p90, worst = written
    text = f"{mape} % |"
    assert text in estimate.__doc__
    for figure in (f"{mape} %", f"{bias:+} %", f"{p90} %", f"{worst} %"):
        assert figure in " ".join(estimate_road_km.__doc__.split())
    pairs = read_pairs()
    estimates_km = [estimate_road_km(pair.start, pair.end) for pair in pairs]
    print_worst(title, pairs, estimates_km)
    errors = summarise_errors(pairs, estimates_km)
    assert errors.mape <= mape
    assert abs(errors.bias - bias) <= 0.05
    assert errors.p90 <= p90
    assert errors.worst <= worst
