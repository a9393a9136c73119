"""What a page remembers when it is loaded again, as text that a browser keeps: marks and wishes."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from typing import Any

from tripkit.days import DaySpan
from tripkit.errors import TripkitError
from tripkit.people import Absence
from tripkit.wishes import Wishes


def write_memo(done: Sequence[str], wishes: Wishes) -> str:
    """Marks and wishes as JSON."""
    return json.dumps(
        {
            "done": list(done),
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


def read_memo(memo: str) -> tuple[tuple[str, ...], Wishes]:
    """Marks and wishes back from JSON; text that is none of ours is nothing to remember."""
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
        return tuple(str(key) for key in known["done"]), wishes
    except (ValueError, TypeError, KeyError, TripkitError):
        return (), Wishes()


def _read_number(value: object) -> int | None:
    return None if value is None else int(str(value))
