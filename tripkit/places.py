"""A place on the globe, and the drive between two places."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite
from types import MappingProxyType

from tripkit.errors import BadValue

HOME = "home"


@dataclass(frozen=True, order=True)
class Place:
    """A named point: degrees north and east (WGS 84), its time zone, country and region.

    Raises `BadValue` for coordinates off the globe.
    """

    name: str
    latitude: float
    longitude: float
    timezone: str = "UTC"
    country: str = ""
    region: str = ""

    def __post_init__(self) -> None:
        if not (isfinite(self.latitude) and -90 <= self.latitude <= 90):
            raise BadValue(f"latitude {self.latitude} of {self.name} is off the globe (-90 to 90)")
        if not (isfinite(self.longitude) and -180 <= self.longitude <= 180):
            raise BadValue(
                f"longitude {self.longitude} of {self.name} is off the globe (-180 to 180)"
            )

    @property
    def southern(self) -> bool:
        """Whether the place lies south of the equator, where horses age on 1 August."""
        return self.latitude < 0


@dataclass(frozen=True)
class Drive:
    """The way between two places: kilometres, and hours where somebody measured them.

    `source` says where the figure comes from, `error_percent` how far it may be off (0 where
    the yard measured it itself). `hours` None means: kilometres over the lorry's speed.
    """

    km: float
    hours: float | None = None
    source: str = ""
    error_percent: float = 0.0


@dataclass(frozen=True)
class RoadBook:
    """All drives of a yard, between place keys: `home` or a show's place as written.

    A pair that has no row in `drives` has no road. A place is 0 km from itself.
    """

    places: Mapping[str, Place] = field(default_factory=dict)
    drives: Mapping[tuple[str, str], Drive] = field(default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(self, "places", MappingProxyType(dict(self.places)))
        object.__setattr__(self, "drives", MappingProxyType(dict(self.drives)))

    def find_drive(self, start: str, end: str) -> Drive | None:
        """The drive from one place key to another, None where no road is known."""
        if start == end:
            return Drive(0.0, 0.0, "the same place")
        return self.drives.get((start, end))

    def __getstate__(self) -> dict[str, object]:
        return {"places": dict(self.places), "drives": dict(self.drives)}

    def __setstate__(self, state: dict[str, object]) -> None:
        for name, value in state.items():
            object.__setattr__(self, name, MappingProxyType(dict(value)))  # type: ignore[call-overload]
