"""Reads yard.toml: who the yard is, its season, its limits, what things cost, how it drives.

One table of keys per section, as `columns` has one per file. A fault names its key as
`section.key`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from tripkit.files.columns import LIMIT_NAMES
from tripkit.files.faults import Faults
from tripkit.files.tables import read_text
from tripkit.files.values import (
    KM_PER_MILE,
    check_travel_rest,
    make_choice,
    make_decimal,
    make_limit,
    make_whole,
    parse_date,
    parse_money,
    parse_name,
    parse_zone,
)
from tripkit.roads.services import OnlineService, list_services
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.limits import LIMIT_WORDS, Limits
from tripkit.yard.names import suggest_near
from tripkit.yard.yard import DRIVING_RULES, ROAD_SERVERS, ROAD_SOURCES, CostRates, DrivingSettings

SETTINGS_FILE = "yard.toml"
LONGEST_SEASON_DAYS = 400
MOST_RULE_BOOKS = 50
LARGEST_NUMBER = 10**18
LARGEST_EXPONENT = 30

TomlParser = Callable[[Any], Any]


@dataclass(frozen=True)
class Key:
    """One key of a section, and what it holds, in words for the handbook."""

    parse: TomlParser
    holds: str


@dataclass(frozen=True)
class Settings:
    """What yard.toml says; None and empty text stand for what it does not say.

    `named_costs` are the keys of [costs] that it has. `faulty_place` says that the yard's place is
    written, but not in a way that can be read.
    """

    name: str = ""
    place: str = ""
    latitude: float | None = None
    longitude: float | None = None
    timezone: str = ""
    country: str = ""
    units: str = "km"
    currency: str = ""
    season: DaySpan | None = None
    today: date | None = None
    limits: Limits = field(default_factory=Limits)
    costs: CostRates = field(default_factory=CostRates)
    driving: DrivingSettings = field(default_factory=DrivingSettings)
    online: OnlineService | None = None
    language: str = ""
    paper_rules: tuple[str, ...] = ()
    names_rules: bool = False
    named_costs: frozenset[str] = frozenset()
    faulty_place: bool = False


def _from_text(parse: Callable[[str], Any]) -> TomlParser:
    def parse_string(value: Any) -> Any:
        if not isinstance(value, str):
            raise BadValue(state("faults.not-text-put-it-in"))
        return parse(value.strip())

    return parse_string


def _from_number(parse: Callable[[str], Any]) -> TomlParser:
    def parse_number(value: Any) -> Any:
        if isinstance(value, bool) or not isinstance(value, int | Decimal):
            raise BadValue(state("faults.not-number-written-without-quotation"))
        if isinstance(value, Decimal) and not value.is_finite():
            raise BadValue(state("faults.not-finite-number-2"))
        if isinstance(value, int) and abs(value) >= LARGEST_NUMBER:
            raise BadValue(state("faults.larger-than-any-number-of"))
        # Written out, a number like 1e999999999 would fill the memory.
        if isinstance(value, Decimal) and abs(value.adjusted()) > LARGEST_EXPONENT:
            raise BadValue(state("faults.larger-or-smaller-than-any"))
        return parse(format(value, "f"))

    return parse_number


def _parse_toml_date(value: Any) -> date:
    if isinstance(value, str):
        return parse_date(value.strip())
    if isinstance(value, date) and not isinstance(value, datetime):
        return parse_date(value.isoformat())
    raise BadValue(state("faults.not-date-yyyymmdd"))


def _parse_names(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
        raise BadValue(state("faults.not-list-of-texts-like"))
    if len(value) > MOST_RULE_BOOKS:
        raise BadValue(state("faults.must-have-at-most-entries", most_rule_books=MOST_RULE_BOOKS))
    return tuple(dict.fromkeys(parse_name(item.strip()) for item in value))


def _parse_road_source(text: str) -> str:
    """The name of a road source; a server's is followed by its address, like `osrm http://pc:5000`."""
    name, _, address = text.partition(" ")
    word: str = make_choice(ROAD_SOURCES)(name)
    address = address.strip()
    if word not in ROAD_SERVERS:
        if address:
            raise BadValue(state("faults.must-be-alone", word=word))
        return word
    wanted = state("faults.must-give-servers-address-like", word=word)
    if not address or not address.isprintable():
        raise BadValue(wanted)
    if word == "valhalla" and "://" not in address:
        # The tiles of an engine on this machine.
        return f"{word} {address}"
    try:
        found = urlsplit(address)
        # Reading the port checks it.
        complete = found.hostname and (found.port is None or found.port)
    except ValueError:
        complete = None
    if not complete or found.scheme not in ("http", "https") or " " in address:
        raise BadValue(wanted)
    return f"{word} {address.rstrip('/')}"


def _parse_travel_rest(value: Any) -> tuple[tuple[float, int], ...]:
    rows = []
    for row in value if isinstance(value, list) else [None]:
        if not isinstance(row, list) or len(row) != 2:
            raise BadValue(state("faults.not-list-of-hours-days"))
        hours = _from_number(make_decimal(0, 1000))(row[0])
        rows.append((float(hours), int(_from_number(make_whole(0, 365))(row[1]))))
    return check_travel_rest(rows)


def _make_toml_limit(name: str) -> TomlParser:
    if name == "travel_rest":
        return _parse_travel_rest
    return (_from_text if name == "day_off" else _from_number)(make_limit(name))


_TEXT = _from_text(parse_name)
_MONEY = _from_number(parse_money)
_RATE = _from_number(make_decimal())
_SPEED = _from_number(make_decimal(high=200, above=True))

SECTIONS: dict[str, dict[str, Key]] = {
    "yard": {
        "name": Key(_TEXT, "the yard's name"),
        "place": Key(_TEXT, "where home is: a town, a ZIP code or a name of venues.csv"),
        "latitude": Key(
            _from_number(make_decimal(None, long_comma=True)),
            "degrees north, wins over the place's own",
        ),
        "longitude": Key(_from_number(make_decimal(None, long_comma=True)), "degrees east"),
        "timezone": Key(_from_text(parse_zone), "such as America/Chicago, else that of the place"),
        "country": Key(_TEXT, "where the place alone does not say it"),
        "units": Key(_from_text(make_choice(("km", "miles"))), "in what the yard reads distances"),
        "currency": Key(_TEXT, "such as USD or EUR"),
    },
    "season": {
        "first_day": Key(_parse_toml_date, "first day of the season"),
        "last_day": Key(_parse_toml_date, "last day of the season"),
        "today": Key(_parse_toml_date, "the day of planning, else the clock's"),
    },
    "limits": {name: Key(_make_toml_limit(name), LIMIT_WORDS[name]) for name in LIMIT_NAMES},
    "costs": {
        "per_km": Key(_RATE, "cost of a kilometre; a lorry with a rate of its own wins"),
        "per_mile": Key(_RATE, "cost of a mile, instead"),
        "groom_day": Key(_MONEY, "a groom's day away"),
        "rider_day": Key(_MONEY, "a rider's day away"),
        "overnight_stop": Key(_MONEY, "a crew's night on the way"),
        "stabling_day": Key(_MONEY, "a horse's night at a stop on the way"),
        "vet_check": Key(_MONEY, "a vet check"),
        "budget": Key(_MONEY, "what the season may cost at most; none without it"),
    },
    "driving": {
        "rules": Key(_from_text(make_choice(DRIVING_RULES)), "whose rules drivers keep"),
        "speed_kmh": Key(_SPEED, "how fast a lorry is, else by kind of road and country"),
        "speed_mph": Key(_SPEED, "the same in miles an hour, instead"),
        "detour_factor": Key(
            _from_number(make_decimal(1, 10)), "the straight line times this where no road is known"
        ),
        "roads": Key(
            _from_text(_parse_road_source), "network, estimate, or a server with its address"
        ),
    },
    "places": {
        "online": Key(
            _from_text(make_choice(list_services)),
            "the online geocoder that is asked for names nobody else knows",
        ),
        "server": Key(_TEXT, "its address, where it is not the usual one"),
        "user_agent": Key(_TEXT, "your yard and your e-mail, as these services ask for"),
        "key": Key(_TEXT, "your key, where the service wants one"),
    },
    "words": {
        "language": Key(
            _TEXT,
            "of calendars and travel sheets where people.csv names none: en, es, de or fr",
        )
    },
    "papers": {"rules": Key(_parse_names, "the rule books that apply; an empty list: none")},
}
REQUIRED_KEYS = (("yard", "name"), ("season", "first_day"), ("season", "last_day"))


def read_settings(path: Path, faults: Faults) -> Settings:
    """yard.toml becomes settings; what cannot be read is a fault and left at its default."""
    faults.announce(SETTINGS_FILE)
    if not path.exists():
        faults.add(SETTINGS_FILE, state("faults.is-missing"))
        return Settings(faulty_place=True)
    text = read_text(path, faults)
    if text is None:
        return Settings(faulty_place=True)
    try:
        document = tomllib.loads(text, parse_float=Decimal)
    # Besides its own error tomllib lets through what a huge number or a deep nesting causes.
    except (ValueError, ArithmeticError, RecursionError) as error:
        faults.add(SETTINGS_FILE, state("faults.not-toml", error=str(error)))
        return Settings(faulty_place=True)
    return _make_settings(_parse_sections(document, faults), faults)


def _parse_sections(document: dict[str, Any], faults: Faults) -> dict[tuple[str, str], Any]:
    """Values by (section, key); a value that cannot be read stands as None."""
    found: dict[tuple[str, str], Any] = {}
    for section, content in document.items():
        keys = SECTIONS.get(section)
        if keys is None:
            near = suggest_near(section, SECTIONS)
            faults.add(
                SETTINGS_FILE, state("faults.no-section-of-yardtoml", near=near), column=section
            )
            continue
        if not isinstance(content, dict):
            faults.add(
                SETTINGS_FILE,
                state("faults.must-be-section-written", section=section),
                column=section,
            )
            continue
        for key, value in content.items():
            column = f"{section}.{key}"
            if key not in keys:
                kind = "limit" if section == "limits" else f"key of [{section}]"
                faults.add(
                    SETTINGS_FILE,
                    state("faults.no-key", kind=kind, near=suggest_near(key, keys)),
                    column=column,
                )
                continue
            found[section, key] = None
            # An empty text says nothing, as an empty cell does.
            if value == "":
                del found[section, key]
                continue
            try:
                found[section, key] = keys[key].parse(value)
            except BadValue as error:
                faults.add(SETTINGS_FILE, error.fact, column=column, value=_quote(value))
    for section, key in REQUIRED_KEYS:
        if (section, key) not in found:
            faults.add(SETTINGS_FILE, state("faults.is-missing"), column=f"{section}.{key}")
    return found


def _quote(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    try:
        return str(value)
    except ValueError:
        # Python writes so many digits in no other way.
        return hex(value) if isinstance(value, int) else type(value).__name__


def _make_settings(found: dict[tuple[str, str], Any], faults: Faults) -> Settings:
    def take(section: str, key: str, empty: Any = None) -> Any:
        value = found.get((section, key))
        return empty if value is None else value

    latitude, longitude = take("yard", "latitude"), take("yard", "longitude")
    faulty_place = any(
        ("yard", key) in found and found["yard", key] is None
        for key in ("place", "latitude", "longitude", "country")
    )
    limits = {name: take("limits", name) for name in LIMIT_NAMES}
    first, last = take("season", "first_day"), take("season", "last_day")
    return Settings(
        name=take("yard", "name", ""),
        place=take("yard", "place", ""),
        latitude=None if latitude is None else float(latitude),
        longitude=None if longitude is None else float(longitude),
        timezone=take("yard", "timezone", ""),
        country=take("yard", "country", ""),
        units=take("yard", "units", "km"),
        currency=take("yard", "currency", ""),
        season=_make_season(first, last, faults),
        today=take("season", "today"),
        limits=Limits().override({k: v for k, v in limits.items() if v is not None}),
        costs=CostRates(
            cents_per_km=_choose_rate(take("costs", "per_km"), take("costs", "per_mile"), faults),
            groom_day_cents=take("costs", "groom_day", 0),
            rider_day_cents=take("costs", "rider_day", 0),
            overnight_stop_cents=take("costs", "overnight_stop", 0),
            stabling_day_cents=take("costs", "stabling_day", 0),
            vet_check_cents=take("costs", "vet_check", 0),
            budget_cents=take("costs", "budget"),
        ),
        driving=_make_driving(take, faults),
        online=_make_online(take, faults),
        language=take("words", "language", ""),
        paper_rules=take("papers", "rules", ()),
        names_rules=("papers", "rules") in found,
        named_costs=frozenset(key for section, key in found if section == "costs"),
        faulty_place=faulty_place,
    )


def _make_season(first: date | None, last: date | None, faults: Faults) -> DaySpan | None:
    if first is None or last is None:
        return None
    column, value = "season.last_day", last.isoformat()
    if last < first:
        faults.add(
            SETTINGS_FILE,
            state("faults.before-seasonfirst-day", first=first),
            column=column,
            value=value,
        )
        return None
    season = DaySpan(first, last)
    if season.days > LONGEST_SEASON_DAYS:
        faults.add(
            SETTINGS_FILE,
            state(
                "faults.makes-season-of-days-longest",
                days=season.days,
                longest_season_days=LONGEST_SEASON_DAYS,
            ),
            column=column,
            value=value,
        )
        return None
    return season


def _choose_rate(per_km: Decimal | None, per_mile: Decimal | None, faults: Faults) -> Decimal:
    if per_km is not None and per_mile is not None:
        faults.add(
            SETTINGS_FILE,
            state("faults.stands-beside-costsper-km-keep"),
            column="costs.per_mile",
        )
    return convert_rate(per_km, per_mile) or Decimal(0)


def convert_rate(per_km: Decimal | None, per_mile: Decimal | None) -> Decimal | None:
    """A rate in currency units per km or per mile in cents per km; None for neither.

    **Source:** 1 mile = 1.609344 km, international yard and pound agreement, 1959.

    >>> convert_rate(None, Decimal("1.609344"))
    Decimal('100')
    """
    if per_km is not None:
        return per_km * 100
    return None if per_mile is None else per_mile * 100 / KM_PER_MILE


def _make_online(take: Callable[..., Any], faults: Faults) -> OnlineService | None:
    """The online geocoder the yard switched on; None without one, or with a fault."""
    name = take("places", "online")
    if name is None:
        return None
    service = OnlineService(
        name, *(take("places", key, "") for key in ("server", "user_agent", "key"))
    )
    lacks = list(service.list_lacks())
    for key, words in lacks:
        value = take("places", key) if key != "key" else None
        faults.add(SETTINGS_FILE, words, column=f"places.{key}", value=value)
    return None if lacks else service


def _make_driving(take: Callable[..., Any], faults: Faults) -> DrivingSettings:
    kmh, mph = take("driving", "speed_kmh"), take("driving", "speed_mph")
    if kmh is not None and mph is not None:
        faults.add(
            SETTINGS_FILE,
            state("faults.stands-beside-drivingspeed-kmh-keep"),
            column="driving.speed_mph",
        )
    usual = DrivingSettings()
    speed = kmh if kmh is not None else None if mph is None else mph * KM_PER_MILE
    return DrivingSettings(
        rules=take("driving", "rules", usual.rules),
        speed_kmh=None if speed is None else float(speed),
        detour_factor=float(take("driving", "detour_factor", usual.detour_factor)),
        roads=take("driving", "roads", usual.roads),
    )
