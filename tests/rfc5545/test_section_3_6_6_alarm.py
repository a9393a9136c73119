"""RFC 5545 section 3.6.6, the VALARM component, and section 3.8.6.3, TRIGGER.

dispprop: ACTION, DESCRIPTION and TRIGGER are REQUIRED and MUST NOT occur more than once. A
TRIGGER without RELATED is before or after DTSTART; DTSTART of type DATE is "the beginning of the
day" of the reader (3.8.6.3). 7 and 2 days ahead and the evening before are this project's.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.publishing.hand_season import (
    NEW_YORK,
    make_season_circuit,
    make_season_yard,
    pick,
    read,
    split_components,
)
from tripkit.publishing import Reader, list_events, list_readers, write_events, write_feed
from tripkit.publishing.alarms import list_alarms
from tripkit.publishing.events import CANCELLED

YARD = make_season_yard()
CIRCUIT = make_season_circuit()
ALDER = Reader("horse", "Alder")


def test_each_alarm_has_what_is_required_once() -> None:
    """ACTION:DISPLAY, a DESCRIPTION and a TRIGGER, and nothing else, in every feed."""
    seen = 0
    for reader in list_readers(YARD):
        for lines in split_components(write_feed(YARD, CIRCUIT, reader), "VALARM"):
            assert sorted(line.split(":")[0] for line in lines) == [
                "ACTION",
                "DESCRIPTION",
                "TRIGGER",
            ]
            assert "ACTION:DISPLAY" in lines
            seen += 1
    assert seen > 20


def test_a_closing_date_rings_seven_and_two_days_ahead_in_the_morning() -> None:
    """Closing on 24 March: at 9:00 on the 17th and on the 22nd, counted back from midnight."""
    closing = pick(list_events(YARD, CIRCUIT, ALDER), "closing")
    midnight = datetime(2027, 3, 24)
    assert [midnight - alarm.before for alarm in list_alarms(closing)] == [
        datetime(2027, 3, 17, 9),
        datetime(2027, 3, 22, 9),
    ]
    data = write_events(YARD, ALDER, [closing])
    # 7 days less 9 hours are 6 days and 15 hours.
    triggers = [line for a in split_components(data, "VALARM") for line in a if "TRIGGER" in line]
    assert triggers == ["TRIGGER:-P6DT15H", "TRIGGER:-P1DT15H"]
    said = [str(alarm["DESCRIPTION"]) for alarm in read(data).events[0].walk("VALARM")]
    assert said == [
        "In 7 days: Alder: last day to enter, Dothan 2",
        "In 2 days: Alder: last day to enter, Dothan 2",
    ]


def test_a_departure_rings_at_seven_on_the_evening_before() -> None:
    """Departing at 07:00 on 6 April, it rings twelve hours earlier."""
    drive = pick(list_events(YARD, CIRCUIT, ALDER), "travel there", "D2")
    (alarm,) = list_alarms(drive)
    assert (alarm.before, alarm.words) == (
        timedelta(hours=12),
        "Tomorrow 07:00: Alder: drive to Dothan 2",
    )


def test_the_evening_before_is_right_over_a_clock_change() -> None:
    """Clocks go forward on 14 March 2027 at 02:00 in New York: from 19:00 to 07:00 are 11 hours."""
    drive = pick(list_events(YARD, CIRCUIT, ALDER), "travel there", "D2")
    start = datetime(2027, 3, 14, 7, tzinfo=ZoneInfo(NEW_YORK))
    (alarm,) = list_alarms(replace(drive, start=start))
    assert alarm.before == timedelta(hours=11)


@pytest.mark.parametrize("kind", ["stay", "recovery", "school", "vet check", "paper"])
def test_nothing_else_rings(kind: str) -> None:
    """Closing dates and departures ring, other days are quiet."""
    for event in list_events(YARD, CIRCUIT, Reader("yard", "Hill Farm")):
        if event.kind == kind:
            assert list_alarms(event) == ()


def test_what_is_cancelled_does_not_ring() -> None:
    """Nobody is woken for a drive that does not take place."""
    for event in list_events(YARD, CIRCUIT, ALDER):
        assert list_alarms(replace(event, status=CANCELLED)) == ()
