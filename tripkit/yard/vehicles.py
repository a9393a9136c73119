"""Lorries and trailers of the yard."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from tripkit.yard.errors import BadValue


@dataclass(frozen=True)
class Vehicle:
    """One vehicle: places for horses, who drives it, cost [cents per km] and speed [km/h].

    `speed_kmh` None means the yard's.
    """

    vehicle: str
    places: int
    drivers: int = 1
    driver_names: tuple[str, ...] = ()
    cents_per_km: Decimal | None = None
    speed_kmh: float | None = None

    def __post_init__(self) -> None:
        if self.places < 1:
            raise BadValue("places must be at least 1")
        if self.drivers not in (1, 2):
            raise BadValue(f"drivers {self.drivers} must be 1 or 2")
        if self.speed_kmh is not None and self.speed_kmh <= 0:
            raise BadValue("speed must be above zero")
