"""What a season usually costs, so wide that only a slip lies outside: a point lost, cents, a zero.

The bounds are in euros, and in another currency roughly so many times as much. They tell a rate
that is probably not meant; they are no price list.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from tripkit.plausibility.rows import Lines
from tripkit.yard.facts import Fact, state
from tripkit.yard.oddities import Oddity, make_oddity
from tripkit.yard.places import HOME, KM_PER_MILE
from tripkit.yard.yard import Yard

USUAL_EUROS: Mapping[str, tuple[Fact, float, float]] = {
    "per_km": (state("oddities.km"), 0.2, 8),
    "groom_day": (state("oddities.groom-day"), 10, 600),
    "rider_day": (state("oddities.rider-day"), 10, 3_000),
    "overnight_stop": (state("oddities.overnight-stop"), 10, 1_500),
    "stabling_day": (state("oddities.stabling-day"), 3, 300),
    "vet_check": (state("oddities.vet-check"), 5, 1_000),
    "fee": (state("oddities.fee"), 1, 5_000),
    "late_fee": (state("oddities.late-fee"), 1, 2_000),
    "stall_fee": (state("oddities.stall-fee"), 1, 5_000),
    "amount": (state("oddities.amount"), 1, 5_000),
}
"""Lowest and highest usual amounts [EUR]. **Source:** common practice, no source."""

LARGEST_BUDGET_EUROS = 5_000_000
"""What one season of one yard costs at most [EUR]. **Source:** common practice, no source."""

PER_EURO: Mapping[str, float] = {
    **dict.fromkeys(("EUR", "€", "USD", "$", "US$", "GBP", "£", "CHF"), 1.0),
    **{"CAD": 1.5, "AUD": 1.7, "NZD": 1.8, "SGD": 1.5, "AED": 4.0, "QAR": 4.0, "SAR": 4.0},
    **{"DKK": 7.5, "SEK": 11.0, "NOK": 11.5, "PLN": 4.3, "CZK": 25.0, "HUF": 400.0, "RON": 5.0},
    **{"JPY": 160.0, "CNY": 8.0, "HKD": 8.5, "INR": 95.0, "ZAR": 20.0, "MXN": 20.0, "BRL": 6.0},
}
"""Units of a currency for one euro, roughly; a currency without a row is not asked about.

**Source:** from memory, rates of 2025; half and double of them leave what is asked the same.
"""

LIKE_A_EURO = frozenset(
    {"US", "CA", "AU", "NZ", "GB", "IE", "CH", "DE", "AT", "FR", "BE", "NL", "LU", "IT"}
    | {"ES", "PT", "FI", "GR", "SI", "SK", "EE", "LV", "LT"}
)
"""Countries whose unit of money is worth about a euro, for a yard that names no currency."""

LOWEST_SPEED_KMH, HIGHEST_SPEED_KMH = 30.0, 115.0
"""Mean speeds of a lorry on the way [km/h]. **Source:** common practice, no source."""


def find_odd_rates(yard: Yard, lines: Lines) -> Iterator[Oddity]:
    """Rates, fees, budgets and speeds far from usual, in no order."""
    yield from _look_at_speeds(yard, lines)
    yield from _look_at_least(yard)
    factor = _find_factor(yard)
    if factor is None:
        return
    yield from _look_at_settings(yard, lines, factor)
    yield from _look_at_vehicles(yard, lines, factor)
    yield from _look_at_tables(yard, lines, factor)


def _find_factor(yard: Yard) -> float | None:
    currency = yard.currency.strip().upper()
    if not currency:
        return 1.0 if yard.country in LIKE_A_EURO else None
    return PER_EURO.get(currency)


def _judge(key: str, cents: Decimal | int, factor: float) -> str:
    """The code of what is odd about an amount, empty for a usual one and for nothing at all."""
    _, low, high = USUAL_EUROS[key]
    if not cents or low * factor * 100 <= cents <= high * factor * 100:
        return ""
    return "oddities.rate-low" if cents < low * factor * 100 else "oddities.rate-high"


def _state_rate(code: str, key: str, cents: Decimal | int, factor: float, unit: str = "km") -> Fact:
    """What is odd about an amount; a rate for each `unit` of the way is told for that unit."""
    what, low, high = USUAL_EUROS[key]
    times = KM_PER_MILE if unit == "mile" else 1.0
    return state(
        code,
        what=state("oddities.mile") if unit == "mile" else what,
        amount_cents=round(float(cents) * times),
        low=float(f"{low * times * factor:.3g}"),
        high_cents=round(high * times * factor) * 100,
    )


def _look_at_settings(yard: Yard, lines: Lines, factor: float) -> Iterator[Oddity]:
    costs = yard.costs
    unit = "mile" if "per_mile" in lines.named_costs else "km"
    for key, column, cents in (
        ("per_km", f"per_{unit}", costs.cents_per_km),
        ("groom_day", "groom_day", costs.groom_day_cents),
        ("rider_day", "rider_day", costs.rider_day_cents),
        ("overnight_stop", "overnight_stop", costs.overnight_stop_cents),
        ("stabling_day", "stabling_day", costs.stabling_day_cents),
        ("vet_check", "vet_check", costs.vet_check_cents),
    ):
        kind = _judge(key, cents, factor)
        if kind:
            odd = _state_rate(kind, key, cents, factor, unit if key == "per_km" else "km")
            yield make_oddity(odd, "yard.toml", (), f"costs.{column}")
    if costs.budget_cents is not None and costs.budget_cents > LARGEST_BUDGET_EUROS * factor * 100:
        large = state(
            "oddities.rate-high",
            what=state("oddities.season"),
            amount_cents=costs.budget_cents,
            low=state("oddities.none"),
            high_cents=round(LARGEST_BUDGET_EUROS * factor) * 100,
        )
        yield make_oddity(large, "yard.toml", (), "costs.budget")


def _look_at_vehicles(yard: Yard, lines: Lines, factor: float) -> Iterator[Oddity]:
    for index, vehicle in enumerate(yard.vehicles):
        cents = vehicle.cents_per_km
        kind = "" if cents is None else _judge("per_km", cents, factor)
        if cents is not None and kind:
            unit = "mile" if lines.read("vehicles", index, "per_mile") else "km"
            odd = _state_rate(kind, "per_km", cents, factor, unit)
            yield lines.make(odd, "vehicles", index, f"per_{unit}")


def _look_at_tables(yard: Yard, lines: Lines, factor: float) -> Iterator[Oddity]:
    """Fees, one oddity for all rows of a column that are too low, or too high."""
    own = {
        (row.show, row.name): row for show in yard.shows for row in show.classes if row.fee_cents
    }
    columns: list[tuple[str, str, Sequence[int]]] = [
        ("shows", "late_fee", [show.late_fee_cents for show in yard.shows]),
        ("shows", "stall_fee", [show.stall_fee_cents for show in yard.shows]),
        ("entries", "amount", [entry.amount_cents or 0 for entry in yard.entries]),
    ]
    if "classes" in lines.rows:
        keys = [(row.texts.get("show"), row.texts.get("class")) for row in lines.rows["classes"]]
        fees = [own[key].fee_cents if key in own else 0 for key in keys]
        columns.insert(0, ("classes", "fee", fees))
    else:
        fees = [offered.fee_cents for show in yard.shows for offered in show.classes]
        columns.insert(0, ("classes", "fee", fees))
    for table, column, amounts in columns:
        found: dict[str, list[int]] = {}
        for index, cents in enumerate(amounts):
            kind = _judge(column, cents, factor)
            if kind:
                found.setdefault(kind, []).append(index)
        for kind, indexes in found.items():
            pick = min if kind == "oddities.rate-low" else max
            cents = pick(amounts[index] for index in indexes)
            places = [lines.locate(table, index) for index in indexes]
            odd = _state_rate(kind, column, cents, factor)
            yield make_oddity(odd, places[0][0], [row for _, row in places], column)


def _look_at_speeds(yard: Yard, lines: Lines) -> Iterator[Oddity]:
    speed = yard.driving.speed_kmh
    if speed is not None and not LOWEST_SPEED_KMH <= speed <= HIGHEST_SPEED_KMH:
        yield make_oddity(_state_speed(speed), "yard.toml")
    for index, vehicle in enumerate(yard.vehicles):
        own = vehicle.speed_kmh
        if own is not None and not LOWEST_SPEED_KMH <= own <= HIGHEST_SPEED_KMH:
            yield lines.make(_state_speed(own), "vehicles", index, "speed")


def _state_speed(speed_kmh: float) -> Fact:
    return state(
        "oddities.speed",
        speed_kmh=speed_kmh,
        low_kmh=LOWEST_SPEED_KMH,
        high_kmh=HIGHEST_SPEED_KMH,
    )


def _look_at_least(yard: Yard) -> Iterator[Oddity]:
    """A budget below what entries already made cost, or else below the cheapest single outing."""
    budget = yard.costs.budget_cents
    if budget is None:
        return
    bound = list(yard.bound_entries)
    if bound:
        shows = {(horse, show) for horse, show, _ in bound}
        least = sum(_find_fee(yard, show, name) for _, show, name in bound)
        least += sum(yard.show_by_name[show].stall_fee_cents for _, show in shows)
        least += max(_compute_way_cents(yard, show) for _, show in shows)
        what = state("oddities.bound")
    else:
        single = [
            show.stall_fee_cents
            + min(offered.fee_cents for offered in show.classes)
            + _compute_way_cents(yard, show.show)
            for show in yard.shows
            if show.days.overlaps(yard.season) and show.classes
        ]
        if not single:
            return
        least, what = min(single), state("oddities.cheapest")
    if budget < least:
        short = state("oddities.budget-least", budget_cents=budget, least_cents=least, what=what)
        yield make_oddity(short, "yard.toml", (), "costs.budget")


def _find_fee(yard: Yard, show: str, name: str) -> int:
    offered = yard.find_class(show, name)
    return 0 if offered is None else offered.fee_cents


def _compute_way_cents(yard: Yard, show: str) -> int:
    """There and back with the vehicle that costs least."""
    drive = yard.roads.find_drive(HOME, yard.place_key_of(show))
    rates = [yard.cents_per_km_of(vehicle) for vehicle in yard.vehicles]
    return round(2 * drive.km * float(min(rates))) if drive is not None and rates else 0
