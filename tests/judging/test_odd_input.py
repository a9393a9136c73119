"""Whatever a circuit file says, the judge answers and does not raise."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.build import make_absence, make_aim, make_entry, make_result, make_vet_check
from tests.judging.plan import plan, stable, two_visits, visit
from tripkit.judging.judge import RULES, find_violations
from tripkit.yard.circuit import Circuit, Day, DroppedEntry, Leg, Outing, Stop, Totals
from tripkit.yard.yard import CostRates, DrivingSettings

ODD_DATES = st.one_of(
    st.dates(date(2027, 2, 15), date(2027, 6, 20)),
    st.sampled_from([date.min, date.max, date(2027, 3, 14), date(2027, 4, 8), date(2027, 4, 20)]),
)
ZONES = st.sampled_from([None, UTC, timezone(timedelta(hours=-4)), timezone(timedelta(hours=14))])
ODD_TIMES = st.one_of(
    st.builds(
        lambda day, hour, zone: datetime(day.year, day.month, day.day, hour, tzinfo=zone),
        st.dates(date(2027, 3, 1), date(2027, 6, 6)),
        st.integers(0, 23),
        ZONES,
    ),
    st.sampled_from([datetime.min, datetime.max, datetime.min.replace(tzinfo=UTC)]),
)
NAMES = st.sampled_from(["Alder", "Birch", "Zephyr", "Ana", "S1", "S2", "S3", "home", "", "X9"])
FLOATS = st.one_of(st.floats(), st.sampled_from([0.0, 2.0, 140.0, -1.0]))
CLASSES = st.lists(st.sampled_from(["C1", "C2", "C9", ""]), max_size=3).map(tuple)
CENTS = st.integers(-(10**9), 10**9)

OUTINGS = st.builds(
    Outing, NAMES, NAMES, NAMES, CLASSES, ODD_DATES, ODD_DATES, ODD_DATES, ODD_DATES, FLOATS, CENTS
)
STOPS = st.builds(
    Stop,
    st.sampled_from(["water", "break", "overnight", "tea"]),
    ODD_TIMES,
    st.sampled_from([-(10**9), -1, 0, 30, 840, 10**9]),
    st.just(""),
)
LEGS = st.builds(
    Leg,
    st.sampled_from(["Lorry", "Ghost"]),
    NAMES,
    NAMES,
    ODD_TIMES,
    ODD_TIMES,
    FLOATS,
    FLOATS,
    st.lists(NAMES, max_size=3).map(tuple),
    st.lists(NAMES, max_size=3).map(tuple),
    st.lists(STOPS, max_size=3).map(tuple),
)
KINDS = st.sampled_from(["show", "travel", "school", "vet check", "vaccination", "flat", "tea"])
DAYS = st.builds(
    Day,
    NAMES,
    ODD_DATES,
    st.sampled_from(["home", "road", "S1", "X9"]),
    KINDS,
    st.lists(KINDS, max_size=2).map(tuple),
)
DROPPED = st.builds(
    DroppedEntry,
    NAMES,
    NAMES,
    st.sampled_from(["C1", "C9"]),
    st.sampled_from(["", "window: x", "tea"]),
    CENTS,
)
TOTALS = st.builds(
    Totals,
    FLOATS,
    CENTS,
    FLOATS,
    FLOATS,
    st.integers(-9, 9),
    st.integers(-9, 9),
    st.lists(NAMES, max_size=2).map(tuple),
    st.none() | st.integers(-9, 9),
)
YARD = stable(
    today="2027-04-09",
    aims=[make_aim("Alder", "S2"), make_aim("Birch", "S1", class_name="C1")],
    absences=[make_absence("Alder", "2027-05-01", "2027-05-03"), make_absence("Ana", "2027-05-02")],
    entries=[make_entry("C1", horse="Alder"), make_entry("C2", "scratched", horse="Birch")],
    results=[make_result("2027-04-08", "S1", "Alder"), make_result("2027-03-01", "", "Birch")],
    vet_checks=[make_vet_check("2027-05-20", False, horse="Birch")],
    costs=CostRates(groom_day_cents=100, rider_day_cents=100, budget_cents=1000),
    driving=DrivingSettings("us"),
    km={("home", "Fairview"): None},
)


@given(
    st.lists(OUTINGS, max_size=3),
    st.lists(LEGS, max_size=4),
    st.lists(DAYS, max_size=4),
    st.lists(DROPPED, max_size=2),
    TOTALS,
    st.booleans(),
)
@settings(max_examples=100)
def test_any_circuit_is_answered(
    outings: list[Outing],
    legs: list[Leg],
    days: list[Day],
    dropped: list[DroppedEntry],
    totals: Totals,
    upon_clean: bool,
):
    """A circuit of anything, alone or on top of a clean one, gets violations with known ids."""
    clean = two_visits(YARD) if upon_clean else Circuit("A", "most worth", "proved best")
    circuit = replace(
        clean,
        outings=(*clean.outings, *outings),
        legs=(*clean.legs, *legs),
        days=(*clean.days, *days),
        dropped_entries=tuple(dropped),
        totals=totals,
    )
    found = find_violations(YARD, circuit)
    # Compared as written: what is no number is not equal to itself.
    assert repr(found) == repr(find_violations(YARD, circuit))
    assert all(violation.rule in RULES and str(violation.fact) for violation in found)
    assert found


OUTING_CHANGES = st.one_of(
    *(
        st.fixed_dictionaries({name: ODD_DATES})
        for name in ("first_day", "last_day", "arrive", "leave")
    ),
    *(st.fixed_dictionaries({name: NAMES}) for name in ("horse", "show", "rider")),
    st.fixed_dictionaries({"classes": CLASSES}),
)
LEG_CHANGES = st.one_of(
    *(st.fixed_dictionaries({name: ODD_TIMES}) for name in ("depart", "arrive")),
    *(st.fixed_dictionaries({name: FLOATS}) for name in ("km", "hours")),
    *(st.fixed_dictionaries({name: NAMES}) for name in ("vehicle", "start", "end")),
    st.fixed_dictionaries({"horses": st.lists(NAMES, max_size=2).map(tuple)}),
    st.fixed_dictionaries({"stops": st.lists(STOPS, min_size=1, max_size=2).map(tuple)}),
)


@given(st.integers(0, 3), st.integers(0, 7), OUTING_CHANGES, LEG_CHANGES)
@settings(max_examples=100)
def test_one_change_is_answered(
    outing: int, leg: int, outing_change: dict[str, Any], leg_change: dict[str, Any]
):
    """One outing and one leg of a clean circuit changed to anything are answered."""
    clean = plan(
        YARD,
        visit(YARD, "S1", "2027-04-07", "2027-04-11", ("Alder", "Birch")),
        visit(YARD, "S3", "2027-05-05", "2027-05-09", ("Alder", "Birch")),
        spare_days=16,
    )
    outings, legs = list(clean.outings), list(clean.legs)
    outings[outing] = replace(outings[outing], **outing_change)
    legs[leg % 4] = replace(legs[leg % 4], **leg_change)
    circuit = replace(clean, outings=tuple(outings), legs=tuple(legs))
    assert all(violation.rule in RULES for violation in find_violations(YARD, circuit))


@pytest.mark.parametrize("zone", ["", "Nowhere/Else"])
def test_places_without_a_known_zone(zone: str):
    """Where no time zone is known, times are taken as they are written."""
    shows = tuple(replace(show, timezone=zone) for show in YARD.shows)
    places = {key: replace(place, timezone=zone) for key, place in YARD.roads.places.items()}
    yard = stable(
        shows=shows,
        place=replace(YARD.place, timezone=zone),
        roads=replace(stable().roads, places=places),
    )
    assert find_violations(yard, two_visits(yard)) == ()
