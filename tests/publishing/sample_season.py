"""A circuit of the sample yard that is no good plan, but puts all horses together on the road."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from tripkit.yard.circuit import Circuit, Day, Leg, Outing
from tripkit.yard.yard import Yard


def make_crowded_circuit(yard: Yard) -> Circuit:
    """Every horse goes to the first three shows that have classes, all in one lorry."""
    horses = tuple(yard.horse_by_name)
    vehicle = yard.vehicles[0]
    zone = ZoneInfo(yard.place.timezone)
    outings, legs, days = [], [], []
    shows = sorted((s for s in yard.shows if s.classes), key=lambda s: (s.days.first, s.show))
    for show in shows[::12][:3]:
        first, last = show.classes[0].day, show.classes[-1].day
        arrive, leave = first - timedelta(days=1), last + timedelta(days=1)
        names = tuple(c.name for c in show.classes)
        for horse in horses:
            rider = yard.horse_by_name[horse].rider or next(iter(yard.riders))
            outings.append(Outing(horse, show.show, rider, names, first, last, arrive, leave))
            days.append(Day(horse, leave + timedelta(days=2), "home", "vet check"))
        for start, end, day in (("home", show.show, arrive), (show.show, "home", leave)):
            depart = datetime.combine(day, time(7), zone)
            drivers = vehicle.driver_names[:1]
            legs.append(
                Leg(
                    vehicle.vehicle,
                    start,
                    end,
                    depart,
                    depart + timedelta(hours=9),
                    500.0,
                    8.0,
                    drivers,
                    horses,
                )
            )
    return Circuit(
        "crowded",
        "most worth",
        "best in time",
        outings=tuple(outings),
        legs=tuple(legs),
        days=tuple(days),
    )
