"""The planner: candidate circuits for a season, each with the bound that says how good it is.

`plan` is the door. `problem` is what a planner sees of a yard, `chances` a horse at a show by
itself, `standing` where a horse away today goes on from; `goals` runs the search for each goal on
the program that `program`, `paths`, `coupling`, `riding` and `spending` write.
`pursuit` is the search of one goal and `search` its bound, by which a plan is proved best; `cores`
and `prices` do it for a large season; `decode` turns what was found into outings and legs. Lets in
highspy and numpy.
Never imports the judge, or anything that judging made.
"""

from __future__ import annotations

from tripkit.planning.goals import plan

__all__ = ["plan"]
