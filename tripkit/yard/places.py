"""A place on the globe, and the drive between two places."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from math import isfinite
from types import MappingProxyType

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, Value, state

HOME = "home"
# For a drive of which nothing but its length is known.
USUAL_SPEED_KMH = 70.0
KM_PER_MILE = 1.609344
"""**Source:** the international mile (agreement of 1959)."""
SAME_PLACE = state("roads.same-place")
ESTIMATED = "roads.estimate"


@dataclass(frozen=True, order=True)
class Place:
    """A named point: degrees north and east (WGS 84), its time zone, country and region.

    Where nobody named it, `name` is that of the town nearest to it and `is_near` true.
    Raises `BadValue` for coordinates off the globe.
    """

    name: str
    latitude: float
    longitude: float
    timezone: str = "UTC"
    country: str = ""
    region: str = ""
    is_near: bool = False

    def __post_init__(self) -> None:
        if not (isfinite(self.latitude) and -90 <= self.latitude <= 90):
            raise BadValue(
                state("values.latitude-of-is-off-globe", latitude=self.latitude, name=self.name)
            )
        if not (isfinite(self.longitude) and -180 <= self.longitude <= 180):
            raise BadValue(
                state("values.longitude-of-is-off-globe", longitude=self.longitude, name=self.name)
            )

    @property
    def called(self) -> Value:
        """What it is called: its name, or which town it lies near."""
        return state("roads.near-town", town=self.name) if self.is_near else self.name

    @property
    def southern(self) -> bool:
        """Whether the place lies south of the equator, where horses age on 1 August."""
        return self.latitude < 0


@dataclass(frozen=True)
class Drive:
    """The way between two places: kilometres on the lorry's own wheels, and how long it takes.

    `hours` stands where the yard measured them, `typical_hours` where the classes of the roads
    are known; both hold the ferries, of which `ferry_km` and `ferry_hours` (waiting and boarding
    included) tell. `source` says where the figures come from, `error_percent` how far nine
    drives of ten are off at most (0 where the yard measured it itself).
    """

    km: float
    hours: float | None = None
    source: Fact | None = None
    error_percent: float = 0.0
    typical_hours: float | None = None
    ferry_km: float = 0.0
    ferry_hours: float = 0.0

    @property
    def is_estimate(self) -> bool:
        """Whether no road was found for it: a straight line made longer."""
        source: Value = self.source
        while isinstance(source, Fact) and source.code != ESTIMATED:
            source = source.get("source")
        return source is not None

    def compute_hours(self, speed_kmh: float | None) -> float:
        """How long the drive takes [h]: as measured, else at the speed given, else as is typical.

        A speed [km/h] counts for the road; the ferries are added. None means that nobody set one.
        """
        if self.hours is not None:
            return self.hours
        if speed_kmh is None and self.typical_hours is not None:
            return self.typical_hours
        return self.km / (speed_kmh or USUAL_SPEED_KMH) + self.ferry_hours


@dataclass(frozen=True)
class RoadBook:
    """All drives of a yard, between place keys: `home` or a show's place as written.

    A pair that has no row in `drives` has no road. A place is 0 km from itself. `states_on_way`
    are the states of the United States that are crossed from home to a place, neither end's own;
    a place without an entry: not known.
    """

    places: Mapping[str, Place] = field(default_factory=dict)
    drives: Mapping[tuple[str, str], Drive] = field(default_factory=dict)
    states_on_way: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.__setstate__(self.__getstate__())

    def find_drive(self, start: str, end: str) -> Drive | None:
        """The drive from one place key to another, None where no road is known."""
        if start == end:
            return Drive(0.0, 0.0, SAME_PLACE)
        return self.drives.get((start, end))

    def __getstate__(self) -> dict[str, object]:
        return {
            "places": dict(self.places),
            "drives": dict(self.drives),
            "states_on_way": dict(self.states_on_way),
        }

    def __setstate__(self, state: dict[str, object]) -> None:
        for name, value in state.items():
            object.__setattr__(self, name, MappingProxyType(dict(value)))  # type: ignore[call-overload]


def convert_km(km: float | Decimal, units: str) -> float:
    """Kilometres in the yard's units, km or miles.

    >>> convert_km(160.9344, "miles"), convert_km(160.9344, "km")
    (100.0, 160.9344)
    """
    return float(km) / KM_PER_MILE if units == "miles" else float(km)
