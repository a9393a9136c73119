"""The planner: candidate circuits for a season, each with the bound that says how good it is."""

from __future__ import annotations

from tripkit.solver.goals import Progress, plan

__all__ = ["Progress", "plan"]
