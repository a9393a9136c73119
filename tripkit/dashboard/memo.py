"""What a page remembers when it is loaded again, as text that a browser keeps.

Marks, wishes, the two circuits chosen, and which of them is read from.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from tripkit.days import DaySpan
from tripkit.errors import TripkitError
from tripkit.people import Absence
from tripkit.wishes import Wishes


@dataclass(frozen=True)
class Memo:
    """Marks on closing dates, wishes, the circuits above and under the line, the side read from."""

    done: tuple[str, ...] = ()
    wishes: Wishes = field(default_factory=Wishes)
    left: str = ""
    right: str = ""
    side: str = ""


def write_memo(memo: Memo) -> str:
    """A memo as JSON."""
    wishes = memo.wishes
    return json.dumps(
        {
            "done": memo.done,
            "left": memo.left,
            "right": memo.right,
            "side": memo.side,
            "held": wishes.held,
            "forbidden": wishes.forbidden,
            "absences": [
                (a.who, a.days.first.isoformat(), a.days.last.isoformat()) for a in wishes.absences
            ],
            "budget_cents": wishes.budget_cents,
            "shows_per_30_days": wishes.shows_per_30_days,
            "tour": wishes.tour,
        }
    )


def read_memo(memo: str) -> Memo:
    """A memo back from JSON; text that is none of ours is nothing to remember."""
    try:
        known: dict[str, Any] = json.loads(memo)
        wishes = Wishes(
            tuple((str(h), str(s)) for h, s in known["held"]),
            tuple((str(h), str(s)) for h, s in known["forbidden"]),
            tuple(
                Absence(
                    str(who),
                    DaySpan(date.fromisoformat(first), date.fromisoformat(last)),
                    "wished",
                )
                for who, first, last in known["absences"]
            ),
            _read_number(known["budget_cents"]),
            _read_number(known["shows_per_30_days"]),
            str(known["tour"]),
        )
        done = tuple(str(key) for key in known["done"])
        return Memo(done, wishes, *(str(known[key]) for key in ("left", "right", "side")))
    except (ValueError, TypeError, KeyError, TripkitError):
        return Memo()


def _read_number(value: object) -> int | None:
    return None if value is None else int(str(value))
