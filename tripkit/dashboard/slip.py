"""The slip with an answer: what was asked, the answer, its points with their sources."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from tripkit.dashboard.markup import render
from tripkit.words import page as words
from tripkit.words.telling import choose_teller
from tripkit.yard.yard import Yard

MOST_SHOWS = 8


@dataclass(frozen=True)
class Asked:
    """An answer on the slip: the explanation, and the horse and show it is about, if any.

    `shows` are shows of that day to which the horse does not go.
    """

    explanation: Any
    horse: str = ""
    show: str = ""
    shows: tuple[str, ...] = ()
    side: str = "left"


def write_slip(yard: Yard, asked: Asked | None) -> Markup:
    """Question, answer and points, then what can be wished or asked from here."""
    if asked is None:
        return Markup("")
    said, teller = asked.explanation, choose_teller(yard)
    verdict, wishes = getattr(said, "verdict", ""), []
    if asked.horse and asked.show and not _is_lived(yard, asked) and verdict != "barred":
        wishes = [("forbid", words.FORBID_HERE)]
        if verdict != "in":
            wishes.insert(0, ("hold", words.HOLD_HERE))
    return render(
        "slip",
        asked=asked,
        question=teller.tell(said.question),
        answer=teller.tell(said.answer),
        points=[
            (teller.tell(p.text), ", ".join(filter(None, (p.rule, teller.tell(p.source)))))
            for p in said.points
        ],
        wishes=wishes,
        shows=[(show, show) for show in asked.shows[:MOST_SHOWS]],
    )


def _is_lived(yard: Yard, asked: Asked) -> bool:
    """A show that is over, or whose outing has begun, can no longer be wished for or away."""
    show = yard.show_by_name.get(asked.show)
    over = show is not None and show.days.last <= yard.day_of_planning
    begun = ((outing.horse, outing.show) for outing in yard.begun.outings)
    return over or (asked.horse, asked.show) in begun
