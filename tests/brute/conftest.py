"""The tests of this room ask what the planner proves, whatever its proofs leave out."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tripkit.planning import goals, pursuit


@pytest.fixture(autouse=True, scope="module")
def leave_nothing_out() -> Iterator[None]:
    """What a yard has a case of is `test_left_out`'s; elsewhere a proof is a proof."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pursuit, "list_left_out", lambda problem: ())
        patch.setattr(goals, "list_left_out_of_money", lambda yard, goal: ())
        yield
