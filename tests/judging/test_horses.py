"""The horse's journey: what is counted and what is not (check values 34 and 35 stand elsewhere)."""

from __future__ import annotations

import pytest

from tests.judging.logs import tell, travel
from tripkit.judging.logbook_horses import Passage, find_eu_journey_faults, find_us_journey_faults
from tripkit.yard.errors import BadValue


def test_a_vehicle_with_food_water_space_and_rest_is_exempt():
    """49 USC 80502(c) (from memory)."""
    assert find_us_journey_faults(travel("aboard 0-40"), rest_aboard=True) == ()


def test_water_aboard_is_still_confinement():
    """Only unloading ends it (49 USC 80502(b)); 14 + 1 + 13 h are the 28."""
    parts = "aboard 0-14, water 14-15, aboard 15-28"
    assert find_us_journey_faults(travel(parts)) == ()
    longer = travel(f"{parts}, water 28-28:01")
    assert tell(find_us_journey_faults(longer)) == [("us-confined-28h", "28:00")]


def test_loading_counts_for_the_european_journey():
    """Transport includes loading (1/2005 Art. 2(w), from memory); liquid as well."""
    parts = "loading 0-1, aboard 1-8, water 8-9, aboard 9-17, water 17-18, aboard 18-24"
    assert find_eu_journey_faults(travel(parts), registered=False) == ()
    longer = travel(f"{parts}, loading 24-24:01")
    assert tell(find_eu_journey_faults(longer, registered=False)) == [("eu-journey-time", "24:00")]


def test_a_vehicle_that_is_not_equipped_ends_after_eight_hours():
    """1/2005 Annex I Ch. V 1.2 (from memory)."""
    eight, more = (
        travel("aboard 0-4, water 4-4:10, aboard 4:10-8"),
        travel("aboard 0-4, water 4-4:10, aboard 4:10-8:01"),
    )
    assert find_eu_journey_faults(eight, registered=False, long_journeys=False) == ()
    late = [("eu-journey-time", "8:00")]
    assert tell(find_eu_journey_faults(more, registered=False, long_journeys=False)) == late


def test_a_fault_of_a_journey_names_its_source():
    """The text has the figures, the source the article."""
    fault = find_eu_journey_faults(travel("aboard 0-9"), registered=False)[0]
    assert str(fault.fact).startswith("has no liquid from day 1 00:00 to day 1 09:00")
    assert str(fault.source) == "Regulation (EC) No 1/2005 Annex I Ch. V 1.4(c)"


def test_parts_that_are_none_are_refused():
    """An unknown part, or one that ends before it starts."""
    with pytest.raises(BadValue, match="'asleep' is no part"):
        Passage("asleep", 0, 1)
    with pytest.raises(BadValue, match="before it starts"):
        Passage("aboard", 1, 0)
    assert Passage("aboard", 1, 1).end == 1
