"""The planner: candidate circuits for a season, each with the bound that says how good it is.

`plan` is the door. `problem` is what a planner sees of a yard, `chances` a horse at a show by
itself, `standing` where a horse away today goes on from, `keeping` which entries are kept where
some clash, `standstill` why nobody goes. Three nets that meet in few columns make
the program: when each horse jumps (`paths`), where it stands and what brings it on (`places`), how
lorries drive (`lorries`); `coupling`, `riding` and `spending` join them in a `program`, and `goals`
runs the search for each goal.
`pursuit` is the search of one goal and `search` its bound, by which a plan is proved best; `cores`
and `prices` do it for a large season; `decode` turns what was found into outings and legs. Lets in
highspy and numpy.
Never imports the judge, or anything that judging made.
"""

from __future__ import annotations

from tripkit.planning.goals import plan

__all__ = ["plan"]
