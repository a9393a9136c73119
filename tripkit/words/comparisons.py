"""What choosing one circuit instead of another brings and costs, told."""

from __future__ import annotations

from tripkit.season.comparison import Comparison, find_verdict
from tripkit.words.telling import Teller


def write_verdict(comparison: Comparison, teller: Teller | None = None) -> tuple[str, ...]:
    """One sentence a point, gains and prices in the yard's units, money to the cent.

    Without a teller in English, with dates as files have them.
    """
    told = teller or Teller(units=comparison.units, currency=comparison.currency)
    return tuple(map(told.tell, find_verdict(comparison)))
