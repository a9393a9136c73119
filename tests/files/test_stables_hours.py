"""stables_open and stables_close of shows.csv, and the hours of the day in [limits]."""

from __future__ import annotations

import pytest

from tests.files.folders import append, list_faults, write_folder
from tripkit.files import read_yard

HEAD = "show,place,first_day,last_day,stables_open,stables_close\n"
PLACE = '"Tallahassee, FL",2027-04-07,2027-04-11'


def shows(opens, closes):
    """A calendar of one show whose stables take horses between two times."""
    return {
        "shows.csv": f"{HEAD}Oak 1,{PLACE},{opens},{closes}\n",
        "classes.csv": "show,class,day,height_cm\n",
    }


@pytest.mark.parametrize(
    ("opens", "closes", "minutes"),
    [
        ("08:00", "18:30", (480, 1110)),
        ("8:00", "", (480, 1440)),
        ("", "24:00", (0, 1440)),
        ("", "", (0, 1440)),
    ],
)
def test_the_hours_in_which_stables_take_horses(tmp_path, opens, closes, minutes):
    """HH:MM, local; an empty cell is the start or the end of the day."""
    show = read_yard(write_folder(tmp_path, shows(opens, closes))).shows[0]
    assert (show.stables_open_minutes, show.stables_close_minutes) == minutes


@pytest.mark.parametrize(
    ("opens", "closes", "fault"),
    [
        ("8 am", "", "column stables_open: '8 am' is not a time of day (HH:MM)"),
        ("08:60", "", "column stables_open: '08:60' is not a time of day (HH:MM)"),
        ("", "24:01", "column stables_close: '24:01' is not a time of day (HH:MM)"),
        ("18:00", "08:00", "stables_open 18:00 must be before stables_close 08:00"),
        ("18:00", "18:00", "stables_open 18:00 must be before stables_close 18:00"),
    ],
)
def test_odd_hours(tmp_path, opens, closes, fault):
    """What is no time of day, or the wrong way round, is told with its row."""
    (told,) = list_faults(tmp_path, shows(opens, closes))
    assert told.startswith("shows.csv row 2")
    assert fault in told


@pytest.mark.parametrize(
    "line",
    [
        "load_from_hour = 13",
        "load_from_hour = -1",
        "arrive_until_hour = 25",
        "arrive_until_hour = 12",
    ],
)
def test_odd_limits(tmp_path, line):
    """Loading begins by noon, horses arrive after it, and a day has 24 hours."""
    faults = list_faults(tmp_path, append("yard.toml", "[limits]", line))
    assert len(faults) == 1
    assert faults[0].startswith("yard.toml")
    assert line.split()[0] in faults[0]


def test_the_yard_s_own_hours(tmp_path):
    """Half hours are allowed."""
    lines = append("yard.toml", "[limits]", "load_from_hour = 4.5", "arrive_until_hour = 22")
    limits = read_yard(write_folder(tmp_path, lines)).limits
    assert (limits.load_from_hour, limits.arrive_until_hour) == (4.5, 22.0)
