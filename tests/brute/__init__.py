"""A referee for the planner: tiny yards, searched to the end from the rules in words.

`hours` is one man's day at the wheel, `schedules` what a horse may do by itself, `roads` whether
the lorries carry several of them; `search` joins the three, `writing` makes a circuit of what it
found, `yards` draws the yards, `freedoms` says what a yard might do without, and `measure` what
each of it is worth. Nothing here shares code with `tripkit.planning` or `tripkit.driving`, or knows
how the planner searches.

Left aside: entries, papers, history and bases.
"""
