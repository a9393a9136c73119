"""Lorries and trailers of the yard."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state


@dataclass(frozen=True)
class Vehicle:
    """One vehicle: places for horses, who drives it, cost [cents per km] and speed [km/h].

    `speed_kmh` None means the yard's. One on `hire` costs so much a day [cents], from leaving home
    to coming back.
    """

    vehicle: str
    places: int
    drivers: int = 1
    driver_names: tuple[str, ...] = ()
    cents_per_km: Decimal | None = None
    speed_kmh: float | None = None
    hire: bool = False
    per_day_cents: int = 0

    def __post_init__(self) -> None:
        if self.places < 1:
            raise BadValue(state("values.places-must-be-at-least"))
        if self.drivers not in (1, 2):
            raise BadValue(state("values.drivers-must-be-1-or", drivers=self.drivers))
        if self.speed_kmh is not None and self.speed_kmh <= 0:
            raise BadValue(state("values.speed-must-be-above-zero"))
        if self.per_day_cents and not self.hire:
            raise BadValue(state("values.per-day-asks-for-hire"))
