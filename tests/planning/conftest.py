"""The tests of this room ask what the planner proves, whatever its proofs leave out."""

from __future__ import annotations

import pytest

from tripkit.planning import goals, pursuit


@pytest.fixture(autouse=True)
def leave_nothing_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a yard has a case of is `test_left_out`'s; elsewhere a proof is a proof."""
    monkeypatch.setattr(pursuit, "list_left_out", lambda problem: ())
    monkeypatch.setattr(goals, "list_left_out_of_money", lambda problem, goal: ())
