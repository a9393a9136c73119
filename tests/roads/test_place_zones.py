"""The gazetteer's time zones against zoneinfo and against an independent map of zones."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

import pytest
import tzfpy

from tripkit.roads.gazetteer import DATA_FILE, open_gazetteer

COUNTRIES = (
    *("US", "CA", "AU", "NZ", "GB", "IE", "DE", "FR", "NL", "BE", "LU", "ES", "PT", "IT", "CH"),
    *("AT", "DK", "SE", "NO", "FI", "PL", "CZ", "HU"),
)
# A town may disagree with the map only if it is listed here, and then because it lies at a border
# of zones and the neighbours' clock is in use there:
# Huguley, AL, by the Georgia line keeps its mill towns' eastern time by custom (IANA time zone
# database, northamerica, on Phenix City and its neighbours); Fort Pierre, SD, is across the
# Missouri from Pierre, on the line of 49 CFR 71.7; Rockport, IN, is on the Ohio, in Spencer
# County, central by 49 CFR 71.5 (b).
BORDER_TOWNS = {("Huguley", "AL"), ("Fort Pierre", "SD"), ("Rockport", "IN")}


@cache
def list_offsets(zone: str) -> tuple[timedelta | None, ...]:
    """What a zone is ahead of UTC in the middle of January and of July 2027."""
    return tuple(
        datetime(2027, month, 15, 12, tzinfo=UTC).astimezone(ZoneInfo(zone)).utcoffset()
        for month in (1, 7)
    )


def list_towns() -> list[tuple[str, float, float, str, str, str]]:
    """Name, degrees, country, region and zone of the towns of the countries above."""
    marks = ", ".join("?" * len(COUNTRIES))
    with sqlite3.connect(DATA_FILE) as connection:
        return connection.execute(
            f"""SELECT name, latitude_e4 / 1e4, longitude_e4 / 1e4, country, region, timezone
                FROM towns JOIN areas ON areas.id = area WHERE country IN ({marks})""",
            COUNTRIES,
        ).fetchall()


def test_zoneinfo_knows_every_zone() -> None:
    """Each zone of each town and ZIP code is one that zoneinfo can open.

    Source: IANA time zone database.
    """
    with sqlite3.connect(DATA_FILE) as connection:
        zones = {zone for (zone,) in connection.execute("SELECT timezone FROM areas")}
    assert zones <= available_timezones()


def test_zones_agree_with_a_map_of_zones() -> None:
    """In 23 countries every town, border towns listed above aside, keeps the map's clock.

    The same clock: as far ahead of UTC in January and in July 2027.

    Source: tzfpy, from the borders of zones in OpenStreetMap (timezone-boundary-builder).
    """
    towns = list_towns()
    differing = {
        (name, region or country)
        for name, latitude, longitude, country, region, zone in towns
        if list_offsets(zone) != list_offsets(tzfpy.get_tz(longitude, latitude))
    }
    assert differing <= BORDER_TOWNS
    by_country = {country: 0 for country in COUNTRIES}
    for town in towns:
        by_country[town[3]] += 1
    assert len(towns) > 500
    assert sum(count >= 100 for count in by_country.values()) >= 20


def test_zones_of_zip_codes_agree_with_a_map_of_zones() -> None:
    """Two codes of a thousand at most, all in states with two clocks, are an hour off.

    Source: tzfpy, as above; the states that two zones share, 49 CFR 71 (Alabama by custom).
    """
    with sqlite3.connect(DATA_FILE) as connection:
        rows = connection.execute(
            """SELECT zips.latitude_e4 / 1e4, zips.longitude_e4 / 1e4, region, timezone
               FROM zips JOIN towns ON towns.id = town JOIN areas ON areas.id = area"""
        ).fetchall()
    differing = [
        (region, zone)
        for latitude, longitude, region, zone in rows
        if list_offsets(zone) != list_offsets(tzfpy.get_tz(longitude, latitude))
    ]
    assert len(differing) <= 2 * len(rows) / 1000
    two_clocks = {"AL", "AZ", "FL", "ID", "IN", "KS", "KY", "MI", "ND", "NE", "NV", "OR", "SD"}
    assert {region for region, _ in differing} <= two_clocks | {"TN", "TX"}


@pytest.mark.parametrize(
    ("query", "zone"),
    [
        # Source: IANA time zone database, files northamerica, europe and australasia.
        ("Vincennes, IN", "America/Indiana/Vincennes"),
        ("Rockwood, TN", "America/New_York"),  # Roane County, 49 CFR 71.5
        ("West Wendover, NV", "America/Denver"),
        ("Evansville, IN", "America/Chicago"),
        ("Louisville, KY", "America/Kentucky/Louisville"),
        ("Nashville, TN", "America/Chicago"),
        ("Chattanooga, TN", "America/New_York"),
        ("El Paso, TX", "America/Denver"),
        ("Rapid City, SD", "America/Denver"),
        ("Regina, SK", "America/Regina"),
        ("St. John's, NL", "America/St_Johns"),
        ("Las Palmas, ES", "Atlantic/Canary"),
        ("Dublin, IE", "Europe/Dublin"),
        ("Lisbon, PT", "Europe/Lisbon"),
        ("Auckland, NZ", "Pacific/Auckland"),
        ("Broken Hill, NSW", "Australia/Broken_Hill"),
        ("Adelaide, SA", "Australia/Adelaide"),
    ],
)
def test_zone_of_towns_at_the_edge(query, zone) -> None:
    """Towns near another clock, on islands or with a clock of their own keep the right zone."""
    assert open_gazetteer().find_places(query)[0].timezone == zone


def test_clocks_change_on_the_right_days() -> None:
    """On 14 March 2027 American clocks go forward, on 28 March European ones, Phoenix' never.

    Source: Energy Policy Act of 2005, section 110 (second Sunday in March); Directive 2000/84/EC,
    article 2 (last Sunday in March); both Sundays from a calendar of 2027.
    """

    def is_ahead(query: str, day: datetime) -> timedelta | None:
        zone = ZoneInfo(open_gazetteer().find_places(query)[0].timezone)
        return day.astimezone(zone).utcoffset()

    hour = timedelta(hours=1)
    for town, winter in (("Ocala, FL", -5), ("Bowling Green, KY", -6)):
        assert is_ahead(town, datetime(2027, 3, 14, 6, tzinfo=UTC)) == winter * hour
        assert is_ahead(town, datetime(2027, 3, 14, 9, tzinfo=UTC)) == (winter + 1) * hour
    assert is_ahead("Aachen, Germany", datetime(2027, 3, 27, 12, tzinfo=UTC)) == hour
    assert is_ahead("Aachen, Germany", datetime(2027, 3, 28, 2, tzinfo=UTC)) == 2 * hour
    assert is_ahead("Scottsdale, AZ", datetime(2027, 7, 1, tzinfo=UTC)) == -7 * hour
