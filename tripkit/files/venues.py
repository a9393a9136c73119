"""The yard's own places: `venues.csv` names points of the globe in the yard's words.

What is written there wins over the gazetteer. A name is known again whatever its case, accents
and punctuation are, and is then spelled as `venues.csv` spells it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from tripkit.files.columns import Row
from tripkit.files.faults import Faults
from tripkit.roads.estimate import measure_geodesic_km
from tripkit.roads.gazetteer import Gazetteer, write_place
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.names import fold_name
from tripkit.yard.places import HOME, Place

VENUES_FILE = "venues.csv"
# A venue farther from the town it is said to be at has its coordinates or its town wrong.
FARTHEST_TOWN_KM = 100.0


@dataclass(frozen=True)
class Venue:
    """One row of venues.csv and the place it names."""

    row: Row
    place: Place


@dataclass(frozen=True)
class Venues:
    """The venues by folded name; `unread` are names of rows with faults.

    `complete` is false where a name may be missing because it could not be read.
    """

    found: Mapping[str, Venue] = field(default_factory=dict)
    unread: frozenset[str] = frozenset()
    complete: bool = True
    remarks: tuple[Fact, ...] = ()

    def find(self, text: str) -> Venue | None:
        """The venue of that name, None where there is none."""
        return self.found.get(fold_name(text))

    def may_hide(self, text: str) -> bool:
        """Whether a name is that of a venue whose row has a fault: where it lies is not known."""
        return fold_name(text) in self.unread or (not self.complete and self.find(text) is None)

    def list_names(self) -> list[str]:
        """The venues' names as written, in file order."""
        return [str(venue.row["place"]) for venue in self.found.values()]

    def spell(self, text: str) -> str:
        """A venue's name as venues.csv spells it, any other text as it stands."""
        venue = self.find(text)
        return str(venue.row["place"]) if venue else text

    def spell_rows(self, rows: Sequence[Row], *columns: str) -> tuple[Row, ...]:
        """The rows with the venues in these columns spelled as venues.csv spells them."""
        if not self.found:
            return tuple(rows)
        return tuple(
            replace(
                row, values={**row.values, **{c: self.spell(row[c]) for c in columns if row[c]}}
            )
            for row in rows
        )


def make_point(
    gazetteer: Gazetteer,
    name: str,
    latitude: Decimal | float,
    longitude: Decimal | float,
    country: str = "",
) -> Place:
    """A point of the globe, with time zone, country and region of the town nearest to it."""
    near = gazetteer.nearest_town(float(latitude), float(longitude))
    country = gazetteer.find_country(country) or country or near.country
    return replace(
        near,
        name=name or near.name,
        is_near=not name,
        latitude=float(latitude),
        longitude=float(longitude),
        country=country,
        region=near.region if country == near.country else "",
    )


def read_venues(
    rows: Sequence[Row], readable: bool, gazetteer: Gazetteer, faults: Faults
) -> Venues:
    """The rows of venues.csv become places; `readable` is false where the file could not be read.

    A venue's time zone and country are those of the row, else of its town, else of the town
    nearest to it.
    """
    found: dict[str, Venue] = {}
    unread: set[str] = set()
    remarks: list[Fact] = []
    complete = readable
    for row in rows:
        if not row.reads("place"):
            complete = False
            continue
        key = fold_name(row["place"])
        try:
            _check_name(row, key, found)
            place = _make_venue(row, gazetteer, remarks) if row.reads() else None
        except _BadCell as error:
            row.complain(faults, error.fact, error.column)
            place = None
        if place is None:
            unread.add(key)
        else:
            found[key] = Venue(row, place)
    return Venues(found, frozenset(unread - set(found)), complete, tuple(remarks))


class _BadCell(BadValue):
    """A value that does not fit, with its column."""

    def __init__(self, column: str, wanted: Fact) -> None:
        super().__init__(wanted)
        self.column = column


def _check_name(row: Row, key: str, found: Mapping[str, Venue]) -> None:
    if not key:
        raise _BadCell("place", state("faults.holds-neither-letter-nor-digit"))
    if key == HOME:
        raise _BadCell("place", state("faults.yards-own-place-which-stands"))
    if key in found:
        raise _BadCell("place", state("faults.stands-already-in-2", where=found[key].row.where))


def _make_venue(row: Row, gazetteer: Gazetteer, remarks: list[Fact]) -> Place:
    if row["country"] and not gazetteer.find_country(row["country"]):
        raise _BadCell("country", state("faults.no-country-like-us-or"))
    place = make_point(gazetteer, row["place"], row["latitude"], row["longitude"], row["country"])
    near = gazetteer.nearest_town(place.latitude, place.longitude)
    if row["town"]:
        town = _find_nearest_namesake(row, place, gazetteer)
        place = replace(place, timezone=town.timezone, country=town.country, region=town.region)
    elif place.country != near.country:
        remarks.append(
            state(
                "faults.lies-near-not-in-is",
                at=row.at,
                place=row["place"],
                place_2=write_place(near),
                place_country=place.country,
            )
        )
    return replace(place, timezone=row["timezone"] or place.timezone)


def _find_nearest_namesake(row: Row, place: Place, gazetteer: Gazetteer) -> Place:
    towns = gazetteer.find_places(row["town"], within=row["country"])
    if not towns:
        of = f" of {row['country']}" if row["country"] else ""
        raise _BadCell("town", state("faults.no-town-in-gazetteer-leave", of=of))
    km = {town: measure_geodesic_km(town, place) for town in towns}
    nearest = min(km, key=km.__getitem__)
    if km[nearest] > FARTHEST_TOWN_KM:
        raise _BadCell(
            "town",
            state(
                "faults.km-from-coordinates-one-is",
                km=f"{km[nearest]:.0f}",
                place=write_place(nearest),
            ),
        )
    return nearest
