"""One drive to the minute, and who drives: timetables that keep the drivers' hours and the horses'.

`leg` one drive with its halts, `stages` its days, `day` what a day holds, `rules` what a driver
may do, edition by edition, `timetables` the drives of a yard, `shifts` several drives of one crew
on one day, `crews` who drives all season.

Never imports the judge's reading of a driver's log, the planner or a map of roads.
"""
