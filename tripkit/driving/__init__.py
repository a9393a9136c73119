"""One drive to the minute, and who drives: timetables that keep the drivers' hours and the horses'.

`leg` one drive with its halts, `day` one day of it, `rules` what a driver may do, edition by
edition, `timetables` the drives of a yard, `crews` who drives all season.

Never imports the judge's reading of a driver's log, the planner or a map of roads.
"""
