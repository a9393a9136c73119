"""The planner: candidate circuits for a season, each with the bound that says how good it is."""

from __future__ import annotations

from tripkit.planning.goals import plan
from tripkit.planning.job import Progress

__all__ = ["Progress", "plan"]
