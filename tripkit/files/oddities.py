"""Everything of a folder that reads well and is probably not meant, ranked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tripkit.files.columns import Row
from tripkit.files.lookalikes import find_lookalikes, find_pasted_rows
from tripkit.files.odd_places import find_odd_places, find_odd_ways, find_odd_zones
from tripkit.files.roadbook import Measurement, Pair
from tripkit.files.settings import Settings
from tripkit.plausibility.rates import find_odd_rates
from tripkit.plausibility.rows import Lines, find_oddities
from tripkit.roads.gazetteer import open_gazetteer
from tripkit.yard.oddities import Oddity, rank_oddities
from tripkit.yard.places import Place
from tripkit.yard.yard import Yard


def collect_oddities(
    yard: Yard,
    rows: Mapping[str, Sequence[Row]],
    settings: Settings,
    places: Mapping[str, Place],
    measured: Mapping[Pair, Measurement],
) -> tuple[Oddity, ...]:
    """What is odd about a yard whose every row could be read; most likely wrong plans first."""
    lines = Lines(rows, settings.named_costs)
    gazetteer = open_gazetteer()
    return rank_oddities(
        [
            *find_oddities(yard, lines),
            *find_odd_rates(yard, lines),
            *find_lookalikes(rows, yard.rule_books),
            *find_pasted_rows(rows),
            *find_odd_places(rows, settings, places, gazetteer),
            *find_odd_zones(rows, settings, places, yard.season, gazetteer),
            *find_odd_ways(places, measured),
        ]
    )
