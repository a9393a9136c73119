"""What a reader is told of a publishing: numbers that moved on are no news."""

from __future__ import annotations

from datetime import date

from tripkit.publishing.changes import Change, drop_renumbered
from tripkit.publishing.events import FeedEvent
from tripkit.publishing.readers import Reader

ALDER = Reader("horse", "Alder")


def school(number: int, day: int, description: str = "") -> FeedEvent:
    """A school of Alder in April."""
    start, end = date(2027, 4, day), date(2027, 4, day + 1)
    return FeedEvent(
        "Quarry", ALDER, "school", "Alder", "", number, "School", (description,), start, end
    )


def tell(*changes: Change) -> list[tuple[str, int]]:
    """Kind and day of what is told."""
    return [(change.kind, change.event.start.day) for change in drop_renumbered(changes)]


def test_one_school_less_is_told_as_one_school_less() -> None:
    """Of 6, 13 and 20 April the first falls away: 13 and 20 are numbers 1 and 2 now."""
    changes = [
        Change(school(1, 6), school(1, 13)),
        Change(school(2, 13), school(2, 20)),
        Change(school(3, 20), None),
    ]
    assert tell(*changes) == [("cancelled", 6)]


def test_a_school_on_another_day_is_moved() -> None:
    """Where nothing like it stood before, an event that moved is told as moved."""
    assert tell(Change(school(1, 6), school(1, 8))) == [("moved", 8)]


def test_new_and_cancelled_on_one_day_are_nothing() -> None:
    """The same look at the same time under another number is no change."""
    assert tell(Change(None, school(1, 6)), Change(school(4, 6), None)) == []


def test_other_words_are_told_still() -> None:
    """A description that changed is a detail, whatever else moved."""
    changes = [
        Change(school(1, 6), school(1, 6, "with the other saddle")),
        Change(school(2, 6), None),
    ]
    assert tell(*changes) == [("reworded", 6), ("cancelled", 6)]
