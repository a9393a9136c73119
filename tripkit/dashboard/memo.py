"""What a page remembers when it is loaded again, as text that a browser keeps.

Marks, the two circuits chosen, and which of them is read from. Wishes are no tab's own: the yard's
store keeps them.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Memo:
    """Marks on closing dates, the circuits above and under the line, the side read from."""

    done: tuple[str, ...] = ()
    left: str = ""
    right: str = ""
    side: str = ""


def write_memo(memo: Memo) -> str:
    """A memo as JSON."""
    return json.dumps(
        {"done": memo.done, "left": memo.left, "right": memo.right, "side": memo.side}
    )


def read_memo(memo: str) -> Memo:
    """A memo back from JSON; text that is none of ours is nothing to remember."""
    try:
        known: dict[str, Any] = json.loads(memo)
        done = tuple(str(key) for key in known["done"])
        return Memo(done, *(str(known[key]) for key in ("left", "right", "side")))
    except (ValueError, TypeError, KeyError):
        return Memo()
