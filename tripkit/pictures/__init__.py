"""Both circuits drawn: the strips of days and the map of the drives, as SVG text.

`timeline` the strips and `timeline_forms` a form for each kind of day; `route_map` the drives,
`route_map_forms` its signs, `map_frame` projection and labels.
Never imports a file, a widget or the planner.
"""
