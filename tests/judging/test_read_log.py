"""What the legs of a circuit mean as logs of drivers and journeys of horses."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from tripkit.judging.logbook import read_journeys, read_log
from tripkit.judging.logbook_entries import Duty
from tripkit.judging.logbook_horses import Passage
from tripkit.yard.circuit import Leg, Stop, number_driver
from tripkit.yard.errors import BadValue

WEST, EAST = ZoneInfo("America/Chicago"), ZoneInfo("America/New_York")


def at(day, hour, minute=0, zone=WEST):
    return datetime(2027, 3, day, hour, minute, tzinfo=zone)


LEG = Leg(
    "Lorry", "home", "S1", at(3, 7), at(4, 10, zone=EAST), 900.0, 10.0,
    ("Dell",), ("Clover",),
    (Stop("water", at(3, 11), 30, "Rutledge, TN"), Stop("overnight", at(3, 15, 30), 930, "")),
)  # fmt: skip


def test_a_leg_with_a_halt_and_a_night():
    """Driving between the stops, off duty at them; 10:00 in the east is 09:00 in the west."""
    assert read_log([LEG]) == {
        "Dell": (
            Duty("driving", at(3, 7), at(3, 11)),
            Duty("off duty", at(3, 11), at(3, 11, 30)),
            Duty("driving", at(3, 11, 30), at(3, 15, 30)),
            Duty("off duty", at(3, 15, 30), at(4, 7)),
            Duty("driving", at(4, 7), at(4, 9)),
        )
    }


def test_a_driver_who_tends_the_horses_is_on_duty_at_the_water():
    """Water is work for him, the night is not."""
    kinds = [duty.kind for duty in read_log([LEG], tends_horses=True)["Dell"]]
    assert kinds == ["driving", "on duty", "driving", "off duty", "driving"]


def test_two_drivers_change_at_each_stop():
    """The other one is on duty, or off duty where that is asked."""
    legs = [replace(LEG, drivers=("Dell", "Otis"))]
    kinds = {name: [d.kind for d in log] for name, log in read_log(legs).items()}
    assert kinds == {
        "Dell": ["driving", "off duty", "on duty", "off duty", "driving"],
        "Otis": ["on duty", "off duty", "driving", "off duty", "on duty"],
    }
    assert read_log(legs, second_seat="off duty")["Otis"][0].kind == "off duty"


def test_a_season_is_one_log_for_each_driver():
    """Legs in any order; nobody named is one driver for each vehicle."""
    back = replace(LEG, depart=at(9, 7), arrive=at(9, 9), stops=())
    log = read_log([back, LEG])["Dell"]
    assert [d.start for d in log] == sorted(d.start for d in log)
    assert len(log) == 6
    unnamed = [
        replace(LEG, drivers=()),
        replace(back, drivers=(number_driver(1),)),
        replace(back, vehicle="Box", drivers=(number_driver(1),)),
    ]
    assert list(map(str, read_log(unnamed))) == [
        "unnamed driver 1 of Box",
        "unnamed driver 1 of Lorry",
        "unnamed driver of Lorry",
    ]


def test_the_night_of_the_clock_change_is_an_hour_shorter():
    """15 h from 16:00 on 13 March 2027 end at 08:00, as clocks go from 02:00 to 03:00 (US)."""
    leg = replace(LEG, depart=at(13, 7), arrive=at(14, 10), horses=(),
                  stops=(Stop("overnight", at(13, 16), 900, ""),))  # fmt: skip
    night = read_log([leg])["Dell"][1]
    assert (night.end.hour, night.end.utcoffset()) == (8, timedelta(hours=-5))


def test_stops_outside_the_leg_are_cut():
    """What a file may say of a stop never makes a log run backwards."""
    stops = (Stop("break", at(3, 5), 180, ""), Stop("break", at(3, 7, 30), 5000, ""))
    log = read_log([replace(LEG, arrive=at(3, 12), stops=stops)])["Dell"]
    assert [(d.kind, d.start, d.end) for d in log] == [
        ("driving", at(3, 7), at(3, 7)),
        ("off duty", at(3, 7), at(3, 8)),
        ("driving", at(3, 8), at(3, 8)),
        ("off duty", at(3, 8), at(3, 12)),
        ("driving", at(3, 12), at(3, 12)),
    ]


def test_times_without_an_offset_are_refused():
    """A log cannot be laid on a clock without one."""
    with pytest.raises(BadValue, match="no offset"):
        read_log([replace(LEG, depart=datetime(2027, 3, 3, 7))])


def test_the_journey_of_a_horse():
    """Water aboard, unloaded over night."""
    assert read_journeys([LEG]) == {
        "Clover": (
            Passage("aboard", at(3, 7), at(3, 11)),
            Passage("water", at(3, 11), at(3, 11, 30)),
            Passage("aboard", at(3, 11, 30), at(3, 15, 30)),
            Passage("unloaded", at(3, 15, 30), at(4, 7)),
            Passage("aboard", at(4, 7), at(4, 9)),
        )
    }
