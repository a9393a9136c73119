"""A lorry's speeds by class of road against published ones, and what a drive takes by them."""

from __future__ import annotations

import tomllib

import pytest

from tripkit.roads.network import open_network
from tripkit.roads.speeds import (
    DATA_FILE,
    compute_typical_hours,
    find_boarding_hours,
    find_speeds,
)
from tripkit.yard.places import Drive, Place

KM_PER_MILE = 1.609344
# Average truck speeds on interstates in 2009 [mph]. Source: FHWA, Freight Facts and Figures 2010,
# Table 3-8.
INTERSTATE_MPH = {
    "I-5": 52.8,
    "I-10": 57.4,
    "I-20": 59.2,
    "I-35": 56.8,
    "I-40": 58.6,
    "I-75": 56.7,
    "I-80": 57.7,
    "I-95": 56.2,
}


def read_data() -> dict:
    return tomllib.loads(DATA_FILE.read_text(encoding="utf-8"))


def test_american_main_roads_are_as_fast_as_trucks_were() -> None:
    """Our speed on main roads of the United States lies within the published averages.

    Source: FHWA, Freight Facts and Figures 2010, Table 3-8: 52.8 mph (I-5) to 59.2 mph (I-20).
    """
    mph = find_speeds("US").main_kmh / KM_PER_MILE
    assert min(INTERSTATE_MPH.values()) <= mph <= max(INTERSTATE_MPH.values())


@pytest.mark.parametrize(("road", "hours"), [("I-5", 9.47), ("I-20", 8.45), ("I-10", 8.71)])
def test_five_hundred_miles_at_the_published_speeds(road, hours) -> None:
    """500 miles at a road's average take the hours derived from it; ours lie between the extremes.

    Source: FHWA, Freight Facts and Figures 2010, Table 3-8: 500 / 52.8 = 9.47, 500 / 59.2 = 8.45,
    500 / 57.4 = 8.71.
    """
    drive = Drive(500 * KM_PER_MILE)
    assert drive.compute_hours(INTERSTATE_MPH[road] * KM_PER_MILE) == pytest.approx(
        hours, abs=0.005
    )
    texas = Place("a", 32, -97, country="US", region="TX")
    assert 8.45 <= compute_typical_hours(texas, texas, drive.km) <= 9.47


def test_speeds_are_those_suggested() -> None:
    """Europe 70 and 55 km/h, United States 55 and 45 mph; a country without figures as Europe.

    Source: assumptions, labelled so in speeds.toml; no published speed of horse lorries was found.
    """
    france, america = find_speeds("FR"), find_speeds("US", "KY")
    assert (france.main_kmh, france.other_kmh) == (70, 55)
    assert america.main_kmh == pytest.approx(55 * KM_PER_MILE, abs=0.05)
    assert america.other_kmh == pytest.approx(45 * KM_PER_MILE, abs=0.05)
    nowhere = find_speeds("ZZ")
    assert (nowhere.main_kmh, nowhere.limit_kmh) == (70, None)
    assert find_speeds("CA") == find_speeds("CA", "BC")


@pytest.mark.parametrize(
    ("country", "region", "limit_kmh"),
    [
        # Source: StVO section 18 (5) 1, lorries over 3.5 t on motorways, from memory.
        ("DE", "", 80),
        # Source: limiter of 90 km/h, Directive 92/6/EEC as amended by 2002/85/EC, from memory.
        ("FR", "", 90),
        # Source: limiter of 56 mph, 56 x 1.609344 = 90.1, from memory.
        ("GB", "ENG", 90.1),
        # Source: California Vehicle Code 22406, 55 mph = 88.5 km/h, from memory.
        ("US", "CA", 88.5),
    ],
)
def test_no_speed_is_above_the_legal_limit(country, region, limit_kmh) -> None:
    """A lorry's speed keeps within the limit of its country or state."""
    speeds = find_speeds(country, region)
    assert speeds.limit_kmh == pytest.approx(limit_kmh, abs=0.15)
    assert speeds.other_kmh <= speeds.main_kmh <= speeds.limit_kmh


def test_every_figure_names_its_source() -> None:
    """Each row has a source; what is nobody's publication is called assumption or from memory.

    Source: this project's promise that no figure stands without its source.
    """
    data = read_data()
    rows = [data["ferry"], *data["speeds"].values(), *data["limits"].values()]
    assert all("assumption" in row["source"] or "from memory" in row["source"] for row in rows)


def test_classes_and_countries_share_a_drive() -> None:
    """Hours are km of each class over its speed, half of them at the speeds of either end.

    By hand: 700 km at 70 and 55 km on other roads in France: 10 h and 1 h. From France to the
    United States, were there a road: 70 km main, half at 70 and half at 88.5: 0.5 + 35 / 88.5.
    """
    france, america = Place("a", 48, 2, country="FR"), Place("b", 40, -80, country="US")
    assert compute_typical_hours(france, france, 700, 55) == pytest.approx(11)
    assert compute_typical_hours(france, america, 70) == pytest.approx(0.5 + 35 / 88.5)
    assert compute_typical_hours(america, france, 70) == pytest.approx(0.5 + 35 / 88.5)


def test_what_is_measured_or_set_wins() -> None:
    """Hours come from the yard's measurement, else the speed set, else the classes, else 70 km/h.

    By hand: 140 km; 3 h measured; 2 h at 70; 2.5 h typical; with a ferry of 1.5 h: 3.5 h at 70.
    Source: the order as described in `Drive`.
    """
    measured = Drive(140, hours=3.0, typical_hours=2.5)
    assert measured.compute_hours(70) == measured.compute_hours(None) == 3
    typical = Drive(140, typical_hours=2.5)
    assert (typical.compute_hours(70), typical.compute_hours(None)) == (2, 2.5)
    assert Drive(140).compute_hours(None) == 2
    assert Drive(140, ferry_km=50, ferry_hours=1.5).compute_hours(70) == 3.5


def test_a_drive_off_the_main_roads_is_slower() -> None:
    """The network's typical hours lie between all main road and all other road.

    Source: speeds.toml; Ocala lies at I-75, Del Rio, TX, is days of desert from anywhere.
    """
    places = {
        "home": Place("Ocala", 29.19, -82.14, country="US", region="FL"),
        "show": Place("a ranch", 31.2, -84.9, country="US", region="GA"),
    }
    drive = open_network().make_drives(places)["home", "show"]
    assert drive.km / 88.5 < drive.compute_hours(None) < drive.km / 72.4
    assert drive.ferry_hours == 0


def test_boarding_is_an_hour() -> None:
    """Each ferry costs an hour of waiting and boarding besides the crossing.

    Source: an assumption, labelled so in speeds.toml.
    """
    assert find_boarding_hours() == 1
    assert "assumption" in read_data()["ferry"]["source"]
