"""The wishes in force: kept in the yard's store, so that every page and command sees the same."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from tripkit.season.wishes import Wishes
from tripkit.store import open_store
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import TripkitError
from tripkit.yard.people import Absence

KIND, QUESTION = "wishes", "in force"


def read_wishes(folder: Path | str) -> Wishes:
    """The wishes in force for a yard, none where nobody wished. Raises `BadStore`."""
    with open_store(folder) as store:
        kept = store.find_answer(KIND, QUESTION)
    return load_wishes(kept.text) if kept else Wishes()


def revise_wishes(folder: Path | str, revise: Callable[[Wishes], Wishes]) -> Wishes:
    """The wishes in force become what is made of them; nobody else changes them meanwhile.

    Answers what is in force now. Raises `BadStore`, and what `revise` raises.
    """
    made = Wishes()

    def rewrite(text: str) -> str:
        nonlocal made
        made = revise(load_wishes(text))
        return dump_wishes(made)

    with open_store(folder) as store:
        store.revise_answer(KIND, QUESTION, rewrite, datetime.now(UTC))
    return made


def dump_wishes(wishes: Wishes) -> str:
    """Wishes as JSON."""
    return json.dumps(
        {
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


def load_wishes(text: str) -> Wishes:
    """Wishes back from JSON; text that is none of ours wishes nothing."""
    try:
        known: dict[str, Any] = json.loads(text)
        return Wishes(
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
    except (ValueError, TypeError, KeyError, TripkitError):
        return Wishes()


def _read_number(value: object) -> int | None:
    return None if value is None else int(str(value))
