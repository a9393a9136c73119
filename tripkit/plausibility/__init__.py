"""What reads well and is probably not meant: questions about the yard, never refusals.

`rows` asks about ages, days, absences, entries and aims; `rates` about money.
Each threshold is a named constant with its source, and wide: no false alarm counts as much.
Never imports circuits made of outings (season), drives, the planner or a file.
"""
