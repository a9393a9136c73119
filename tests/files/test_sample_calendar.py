"""The sample yard that ships with tripkit is read without a fault and without waiting."""

from __future__ import annotations

from pathlib import Path

from tripkit.files import read_yard

SAMPLE = Path(__file__).parents[2] / "sample_calendar"


def test_the_sample_is_as_large_and_varied_as_asked_for() -> None:
    """Asked for: how large the sample is at least, and what is in it."""
    yard = read_yard(SAMPLE)
    assert len(yard.horses) >= 10
    assert len(yard.owners) >= 5
    assert len(yard.riders) >= 3
    assert len(yard.vehicles) == 2
    assert len(yard.shows) >= 40
    assert sum(len(show.classes) for show in yard.shows) >= 200
    assert len({show.tour for show in yard.shows if show.tour}) == 2
    assert any(not show.tour for show in yard.shows)
    assert any(
        yard.season.first <= p.valid_until < yard.season.last for p in yard.papers if p.valid_until
    )
    assert any(aim.points_needed or aim.starts_needed for aim in yard.aims)
    assert any(person.status == "junior" for person in yard.riders.values())
    last_checks = {check.horse: check for check in sorted(yard.vet_checks, key=lambda c: c.date)}
    assert any(not check.cleared for check in last_checks.values())
    for horse in yard.horses:
        assert sum(yard.owner_shares_of(horse.horse).values()) == 1
    places = len(yard.roads.places)
    assert len(yard.roads.drives) == places * (places - 1)
