"""Reads yard.toml: who the yard is, its season, its limits, what things cost, how it drives.

One table of keys per section, as `columns` has one per file. A fault names its key as
`section.key`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

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
    parse_price,
    parse_zone,
)
from tripkit.roads.services import OnlineService, list_services
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.limits import LIMITS, Limits
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
    required: bool = False


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


def _from_number(parse: Callable[[str], Any], to: Callable[[Any], Any] = lambda n: n) -> TomlParser:
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
        return to(parse(format(value, "f")))

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
    written = name == "day_off" or LIMITS[name].choices
    return (_from_text if written else _from_number)(make_limit(name))


_TEXT = _from_text(parse_name)
_MONEY = _from_number(parse_money)
_PRICE = _from_number(parse_price)
_DEGREES = _from_number(make_decimal(None, long_comma=True), float)
_RATE = _from_number(make_decimal())
_SPEED = _from_number(make_decimal(high=200, above=True))

SECTIONS: dict[str, dict[str, Key]] = {
    "yard": {
        "name": Key(_TEXT, "the yard's name", required=True),
        "place": Key(_TEXT, "where home is: a town, a ZIP code or a name of venues.csv"),
        "latitude": Key(_DEGREES, "degrees north, wins over the place's own"),
        "longitude": Key(_DEGREES, "degrees east"),
        "timezone": Key(_from_text(parse_zone), "such as America/Chicago, else that of the place"),
        "country": Key(_TEXT, "where the place alone does not say it"),
        "units": Key(_from_text(make_choice(("km", "miles"))), "in what the yard reads distances"),
        "currency": Key(_TEXT, "such as USD or EUR"),
    },
    "season": {
        "first_day": Key(_parse_toml_date, "first day of the season", required=True),
        "last_day": Key(_parse_toml_date, "last day of the season", required=True),
        "today": Key(_parse_toml_date, "the day of planning, else the clock's"),
    },
    "limits": {
        **{name: Key(_make_toml_limit(name), limit.says) for name, limit in LIMITS.items()},
        "point_price": Key(_PRICE, "what a point of worth is worth in money, else found out"),
    },
    "costs": {
        "per_km": Key(_RATE, "cost of a kilometre; a lorry with a rate of its own wins"),
        "per_mile": Key(_RATE, "cost of a mile, instead"),
        "car_per_km": Key(_RATE, "cost of a kilometre of a rider's way in his own car"),
        "car_per_mile": Key(_RATE, "cost of a mile of it, instead"),
        "groom_day": Key(_MONEY, "a groom's day away"),
        "hired_groom_day": Key(_MONEY, "a day of a groom on hire, else a groom's"),
        "hired_driver_day": Key(_MONEY, "a day of a driver whom nobody names, else a groom's"),
        "rider_day": Key(_MONEY, "a rider's day away"),
        "overnight_stop": Key(_MONEY, "a crew's night on the way"),
        "stabling_day": Key(_MONEY, "a horse's night at a stop on the way"),
        "base_night": Key(_MONEY, "a horse's night at a base that names no price of its own"),
        "vet_check": Key(_MONEY, "a vet check"),
        "budget": Key(_MONEY, "what the season may cost at most; none without it"),
    },
    "driving": {
        "rules": Key(_from_text(make_choice(DRIVING_RULES)), "whose rules drivers keep"),
        "speed_kmh": Key(_SPEED, "how fast a lorry is, else by kind of road and country"),
        "speed_mph": Key(_SPEED, "the same in miles an hour, instead"),
        "detour_factor": Key(
            _from_number(make_decimal(1, 10), float),
            "the straight line times this where no road is known",
        ),
        "loading_minutes": Key(
            _from_number(make_whole(0, 240), int), "to load horses, and to unload them"
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
REQUIRED_KEYS = tuple(
    (section, name)
    for section, keys in SECTIONS.items()
    for name, key in keys.items()
    if key.required
)


def read_settings(paths: Iterable[Path], faults: Faults) -> Settings:
    """yard.toml becomes settings; what cannot be read is a fault and left at its default.

    `paths` are the files of the yard; the name of this one may have capitals.
    """
    faults.announce(SETTINGS_FILE)
    path = next((path for path in paths if path.name.casefold() == SETTINGS_FILE), None)
    if path is None or not path.exists():
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
            _complain(faults, section, state("faults.no-section-of-yardtoml", near=near))
            continue
        if not isinstance(content, dict):
            _complain(faults, section, state("faults.must-be-section-written", section=section))
            continue
        for key, value in content.items():
            column = f"{section}.{key}"
            if key not in keys:
                kind = "limit" if section == "limits" else f"key of [{section}]"
                unknown = state("faults.no-key", kind=kind, near=suggest_near(key, keys))
                _complain(faults, column, unknown)
                continue
            # An empty text says nothing, as an empty cell does.
            if value == "":
                continue
            try:
                found[section, key] = keys[key].parse(value)
            except BadValue as error:
                found[section, key] = None
                _complain(faults, column, error.fact, _quote(value))
    for section, key in REQUIRED_KEYS:
        if (section, key) not in found:
            _complain(faults, f"{section}.{key}", state("faults.is-missing"))
    return found


def _complain(faults: Faults, column: str, wanted: Fact, value: str | None = None) -> None:
    faults.add(SETTINGS_FILE, wanted, column=column, value=value)


def _quote(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    try:
        return str(value)
    except ValueError:
        # Python writes so many digits in no other way.
        return hex(value) if isinstance(value, int) else type(value).__name__


def _make_settings(found: dict[tuple[str, str], Any], faults: Faults) -> Settings:
    taken: dict[str, dict[str, Any]] = {section: {} for section in SECTIONS}
    for (section, key), value in found.items():
        if value is not None:
            taken[section][key] = value
    point_price = taken["limits"].pop("point_price", None)
    return Settings(
        **taken["yard"],
        season=_make_season(taken["season"], faults),
        today=taken["season"].get("today"),
        limits=Limits().override(taken["limits"]),
        costs=replace(_make_costs(taken["costs"], faults), point_price_cents=point_price),
        driving=_make_driving(taken["driving"], faults),
        online=_make_online(taken["places"], faults),
        **taken["words"],
        paper_rules=taken["papers"].get("rules", ()),
        names_rules=("papers", "rules") in found,
        named_costs=frozenset(key for section, key in found if section == "costs"),
        faulty_place=any(
            found.get(("yard", key), "") is None
            for key in ("place", "latitude", "longitude", "country")
        ),
    )


def _make_season(taken: Mapping[str, date], faults: Faults) -> DaySpan | None:
    first, last = taken.get("first_day"), taken.get("last_day")
    if first is None or last is None:
        return None
    if last < first:
        wanted = state("faults.before-seasonfirst-day", first=first)
    elif (days := DaySpan(first, last).days) > LONGEST_SEASON_DAYS:
        wanted = state(
            "faults.makes-season-of-days-longest",
            days=days,
            longest_season_days=LONGEST_SEASON_DAYS,
        )
    else:
        return DaySpan(first, last)
    _complain(faults, "season.last_day", wanted, last.isoformat())
    return None


def _take_either(
    taken: dict[str, Any], section: str, metric: str, other: str, faults: Faults
) -> tuple[Decimal | None, Decimal | None]:
    """Two keys that say the same in other units, taken out; a fault where both stand."""
    pair = taken.pop(metric, None), taken.pop(other, None)
    if None not in pair:
        wanted = state("faults.stands-beside", other=f"{section}.{metric}")
        _complain(faults, f"{section}.{other}", wanted)
    return pair


def _make_costs(taken: dict[str, Any], faults: Faults) -> CostRates:
    rates: dict[str, Any] = {
        f"{kind}cents_per_km": convert_rate(
            *_take_either(taken, "costs", f"{kind}per_km", f"{kind}per_mile", faults)
        )
        or Decimal(0)
        for kind in ("", "car_")
    }
    return CostRates(**rates, **{f"{key}_cents": value for key, value in taken.items()})


def convert_rate(per_km: Decimal | None, per_mile: Decimal | None) -> Decimal | None:
    """A rate in currency units per km or per mile in cents per km; None for neither.

    **Source:** 1 mile = 1.609344 km, international yard and pound agreement, 1959.

    >>> convert_rate(None, Decimal("1.609344"))
    Decimal('100')
    """
    if per_km is not None:
        return per_km * 100
    return None if per_mile is None else per_mile * 100 / KM_PER_MILE


def _make_online(taken: dict[str, str], faults: Faults) -> OnlineService | None:
    """The online geocoder the yard switched on; None without one, or with a fault."""
    if "online" not in taken:
        return None
    service = OnlineService(taken.pop("online"), **taken)
    lacks = list(service.list_lacks())
    for key, words in lacks:
        value = service.name if key == "online" else taken.get(key) if key != "key" else None
        _complain(faults, f"places.{key}", words, value)
    return None if lacks else service


def _make_driving(taken: dict[str, Any], faults: Faults) -> DrivingSettings:
    kmh, mph = _take_either(taken, "driving", "speed_kmh", "speed_mph", faults)
    speed = kmh if kmh is not None else None if mph is None else mph * KM_PER_MILE
    return DrivingSettings(speed_kmh=None if speed is None else float(speed), **taken)
