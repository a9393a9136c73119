"""The files of a yard: its folder in, its circuits in and out.

`read_yard` reads a folder, `read_circuits` and `write_circuits` the JSON of plans. `columns`
declares every column of every table, `settings` every key of yard.toml, `records` makes the
yard's records, `placing` says where each place is, `roadbook` how far; `rewriting` and `together`
change files, `renaming` a name in all of them, `shows_merge` takes in an organiser's calendar.
Lets in csv, tomllib, openpyxl, icalendar, recurring-ical-events and json.
Never imports the planner, a calendar for readers or the page.
"""

from __future__ import annotations

from tripkit.files.circuits import read_circuits, write_circuits
from tripkit.files.reader import is_of_another_day, read_yard

__all__ = ["is_of_another_day", "read_circuits", "read_yard", "write_circuits"]
