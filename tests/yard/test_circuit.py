"""Parts of a circuit, whoever makes them."""

from __future__ import annotations

from datetime import UTC, datetime

from tripkit.yard.circuit import Leg, number_driver


def test_a_driver_whom_nobody_names_is_the_same_from_python_as_from_a_file():
    """Files write `unnamed driver 1` where nobody is named (tripkit/handbook/choices.md)."""
    at = datetime(2027, 4, 6, 7, tzinfo=UTC)
    leg = Leg("Blue lorry", "home", "Gulf 3", at, at, 1.0, 1.0, ("unnamed driver 1", "Otis Vance"))
    assert leg.drivers == (number_driver(1), "Otis Vance")
