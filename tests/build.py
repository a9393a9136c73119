"""A tiny valid yard for tests, built by hand: one horse, one show, one rider, one lorry.

``make_yard()`` is valid as it stands; every keyword of `Yard` replaces that field, and dates
may be written as ISO strings. The other makers build one row each::

    yard = make_yard(
        today="2027-02-01",
        horses=[make_horse(), make_horse("Bella", from_height_cm=100)],
        shows=[make_show("S1"), make_show("S2", "2027-05-05", place_key="Fairview")],
        km={("home", "Fairview"): 700},
    )

The default yard: season 2027-03-01 (Monday) to 2027-06-06 (Sunday), today the day before;
horse ``Dancer`` (born 2017, 110 to 130 cm, rider ``Ana``, owner ``Olga``); show ``S1`` at
``Millbrook``, 2027-04-07 to 2027-04-11 (Wednesday to Sunday), stabling from 04-05 to 04-12, with
classes ``C1`` (04-08, 120 cm) and ``C2`` (04-10, 125 cm), fee 50.00, worth 10 each; lorry
``Lorry`` with 4 places; no papers, no rule books, no driving rules. Every pair of place keys is
140 km apart (2 h at 70 km/h) unless ``km`` says otherwise; a ``None`` there means no road.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from tripkit.yard.bases import Base
from tripkit.yard.circuit import Circuit
from tripkit.yard.days import DaySpan
from tripkit.yard.horses import Aim, Entry, Horse, Result, VetCheck
from tripkit.yard.limits import Limits
from tripkit.yard.papers import Paper
from tripkit.yard.people import Absence, Person, Share
from tripkit.yard.places import HOME, Drive, Place, RoadBook
from tripkit.yard.shows import Show, ShowClass
from tripkit.yard.vehicles import Vehicle
from tripkit.yard.yard import CostRates, Yard

ZONE = "America/New_York"
COUNTRY = "US"
KM = 140.0


def day(text: str | date) -> date:
    """An ISO string (or a date) becomes a date."""
    return text if isinstance(text, date) else date.fromisoformat(text)


def span(first: str | date, last: str | date | None = None) -> DaySpan:
    """Two ISO strings become a span of days; one alone is a span of one day."""
    return DaySpan(day(first), day(first if last is None else last))


def make_limits(**changes: Any) -> Limits:
    """The default limits with some numbers changed."""
    return Limits().override(changes)


def make_horse(horse: str = "Dancer", born: str | date = "2017-01-01", **changes: Any) -> Horse:
    """A horse of 110 to 130 cm, ridden by Ana; ``rider=""`` for any rider."""
    fields: dict[str, Any] = {
        "from_height_cm": 110,
        "to_height_cm": 130,
        "rider": "Ana",
        **_dates(changes, "in_work_from", "last_jumped"),
    }
    return Horse(horse, day(born), **fields)


def make_class(
    name: str = "C1", on: str | date = "2027-04-08", show: str = "S1", **changes: Any
) -> ShowClass:
    """A class of 120 cm, open to all, fee 50.00, worth 10."""
    fields: dict[str, Any] = {"height_cm": 120, "fee_cents": 5000, **changes}
    for number in ("worth", "points"):
        if number in fields:
            fields[number] = Decimal(str(fields[number]))
    return ShowClass(show, name, day(on), **fields)


def make_show(
    show: str = "S1",
    first: str | date = "2027-04-07",
    last: str | date | None = None,
    **changes: Any,
) -> Show:
    """A show of five days from ``first`` at Millbrook.

    Stabling runs from two days before to the day after. Classes, unless given: C1 on the
    second day (120 cm) and C2 on the fourth (125 cm), or the last where the show is shorter.
    """
    begin = day(first)
    end = begin + timedelta(days=4) if last is None else day(last)
    fields: dict[str, Any] = {
        "place_key": "Millbrook",
        "stabling": DaySpan(begin - timedelta(days=2), end + timedelta(days=1)),
        "country": COUNTRY,
        "timezone": ZONE,
        "classes": (
            make_class("C1", min(begin + timedelta(days=1), end), show),
            make_class("C2", min(begin + timedelta(days=3), end), show, height_cm=125),
        ),
        **_dates(changes, "entries_open", "entries_close", "late_entries_until"),
    }
    fields["classes"] = tuple(fields["classes"])
    return Show(show, fields.pop("place_key"), DaySpan(begin, end), **fields)


def make_rider(person: str = "Ana", **changes: Any) -> Person:
    """A professional rider, born 1990."""
    fields: dict[str, Any] = {
        "role": "rider",
        "born": date(1990, 6, 15),
        "status": "professional",
        **_dates(changes, "born"),
    }
    return Person(person, **fields)


def make_base(
    base: str = "Barn",
    first: str | date = "2027-03-20",
    last: str | date = "2027-05-10",
    **changes: Any,
) -> Base:
    """A rented barn at Fairview with eight boxes, at 40.00 a horse and night."""
    fields: dict[str, Any] = {
        "place_key": "Fairview",
        "boxes": 8,
        "per_night_cents": 4000,
        "timezone": ZONE,
        **changes,
    }
    return Base(base, days=span(first, last), **fields)


def make_lorry(vehicle: str = "Lorry", places: int = 4, **changes: Any) -> Vehicle:
    """A lorry with four places and one driver without a name."""
    return Vehicle(vehicle, places, **changes)


def make_paper(
    paper: str = "influenza", on: str | date = "2027-01-15", holder: str = "Dancer", **changes: Any
) -> Paper:
    """One row of papers.csv for Dancer."""
    return Paper(holder, paper, day(on), **_dates(changes, "valid_until"))


def make_aim(horse: str = "Dancer", show: str = "S1", **changes: Any) -> Aim:
    """An aim at any class of S1, importance 50, without qualification."""
    fields = _dates(changes, "by")
    for number in ("importance", "points_needed"):
        if number in fields:
            fields[number] = Decimal(str(fields[number]))
    return Aim(horse, show, **fields)


def make_entry(class_name: str = "C1", status: str = "paid", **changes: Any) -> Entry:
    """A paid entry of Dancer in class C1 of S1."""
    fields: dict[str, Any] = {"horse": "Dancer", "show": "S1", **_dates(changes, "date")}
    return Entry(fields.pop("horse"), fields.pop("show"), class_name, status, **fields)


def make_result(on: str | date, show: str = "", horse: str = "Dancer", **changes: Any) -> Result:
    """One start of Dancer in the past."""
    if "points" in changes:
        changes["points"] = Decimal(str(changes["points"]))
    return Result(horse, day(on), show, **changes)


def make_vet_check(on: str | date, cleared: bool | None = True, **changes: Any) -> VetCheck:
    """One vet check of Dancer."""
    fields: dict[str, Any] = {"horse": "Dancer", **_dates(changes, "recheck_by")}
    return VetCheck(fields.pop("horse"), day(on), cleared=cleared, **fields)


def make_absence(
    who: str, first: str | date, last: str | date | None = None, *, at: str = HOME
) -> Absence:
    """Days on which a horse, person or vehicle is away; `at` is where a vehicle stands then."""
    return Absence(who, span(first, last), at=at)


def make_roads(
    place_keys: Iterable[str],
    km: Mapping[tuple[str, str], float | Drive | None] | None = None,
    *,
    southern: bool = False,
) -> RoadBook:
    """Roads between all pairs of keys (``home`` among them), 140 km unless ``km`` says otherwise.

    A pair in ``km`` holds both ways unless both are given; `None` means no road, a `Drive` is
    taken as it is. Places lie in a row, south of the equator where asked.
    """
    keys = [HOME, *dict.fromkeys(key for key in place_keys if key != HOME)]
    given = km or {}
    drives: dict[tuple[str, str], Drive] = {}
    for start in keys:
        for end in keys:
            if start == end:
                continue
            way = given.get((start, end), given.get((end, start), KM))
            if way is not None:
                drives[start, end] = way if isinstance(way, Drive) else Drive(float(way))
    latitude = -34.0 if southern else 40.0
    places = {key: Place(key, latitude + i, -80.0 + i, ZONE, COUNTRY) for i, key in enumerate(keys)}
    return RoadBook(places, drives)


def make_yard(
    *,
    km: Mapping[tuple[str, str], float | Drive | None] | None = None,
    southern: bool = False,
    **changes: Any,
) -> Yard:
    """A valid yard of one horse, one show, one rider and one lorry, changed by keywords.

    Every keyword but ``km`` and ``southern`` is a field of `Yard`; ``today`` and ``season`` may
    be ISO strings (``season=("2027-03-01", "2027-06-06")``). Roads are made for the shows and
    bases that stand in it, every horse without a row in ``shares`` belongs to Olga, and one
    without limits of its own has the yard's.
    """
    fields: dict[str, Any] = {
        "name": "Home Farm",
        "place": Place("Home Farm", -34.0 if southern else 40.0, -80.0, ZONE, COUNTRY),
        "season": ("2027-03-01", "2027-06-06"),
        "country": COUNTRY,
        "currency": "USD",
        "costs": CostRates(cents_per_km=Decimal(100)),
        "shows": (make_show(),),
        "horses": (make_horse(),),
        "people": (make_rider(), Person("Olga", "owner")),
        "vehicles": (make_lorry(),),
        **_dates(changes, "today"),
    }
    if not isinstance(fields["season"], DaySpan):
        fields["season"] = span(*fields["season"])
    for name, value in fields.items():
        if isinstance(value, list):
            fields[name] = tuple(value)
    if "limits" in fields:
        # As the reader does: what a horse's row does not say is the yard's.
        fields["horses"] = tuple(
            replace(horse, limits=fields["limits"]) if horse.limits == Limits() else horse
            for horse in fields["horses"]
        )
    if "shares" not in fields:
        fields["shares"] = tuple(Share(horse.horse, "Olga") for horse in fields["horses"])
    if "roads" not in fields:
        stops = (*fields["shows"], *fields.get("bases", ()))
        keys = dict.fromkeys(stop.place_key for stop in stops)
        fields["roads"] = make_roads(keys, km, southern=southern)
    return Yard(**fields)


def plan_most(
    yard: Yard,
    tour: str | None = None,
    without: frozenset[str] = frozenset(),
    seconds: float = 240.0,
    report: Any = None,
    should_stop: Any = None,
) -> Circuit:
    """The circuit of most worth before it is settled; where there is no plan, why."""
    from tripkit.planning.goals import find_most
    from tripkit.planning.job import start_job

    return find_most(start_job(yard, tour, without, seconds, report, should_stop))


def _dates(changes: Mapping[str, Any], *names: str) -> dict[str, Any]:
    """The changes with ISO strings under these names turned into dates."""
    return {
        name: date.fromisoformat(value) if name in names and isinstance(value, str) else value
        for name, value in changes.items()
    }


def tell_all(facts):
    """Facts in English, as the command line tells them."""
    return tuple(str(fact) for fact in facts)
