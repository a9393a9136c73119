"""The states on the way, which may ask for papers of a horse that only passes."""

from __future__ import annotations

from tripkit.roads.gazetteer import open_gazetteer
from tripkit.roads.transit import list_states_on_way
from tripkit.yard.places import HOME, Place


def find(*names: str) -> dict[str, Place]:
    towns = {name: open_gazetteer().find_places(name)[0] for name in names}
    return {HOME: towns.pop(names[0]), **towns}


def test_the_way_through_another_state_names_it() -> None:
    """Interstate 65 runs from Kentucky through Tennessee into Alabama (FHWA, route log I-65)."""
    way = list_states_on_way(find("Bowling Green, KY", "Cullman, AL", "Louisville, KY"))
    assert way == {"Cullman, AL": ("TN",), "Louisville, KY": ()}


def test_neither_end_is_on_the_way_and_no_foreign_region_is_a_state() -> None:
    """From Buffalo NY to Detroit MI the short way is through Ontario, which is no state."""
    assert "ON" not in list_states_on_way(find("Buffalo, NY", "Detroit, MI"))["Detroit, MI"]
    assert list_states_on_way({}) == {}
