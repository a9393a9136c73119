"""Records into sentences: the only folder that makes them.

`days` tells days and times, `journeys` tells drives.
Never imports a file, a widget or the planner.
"""
