"""The slip with an answer: what was asked, the answer, its points with their sources."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from tripkit.dashboard.markup import join_pieces, wrap, write_text
from tripkit.words import page as words
from tripkit.words.telling import choose_teller
from tripkit.yard.facts import Reason
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
    said = asked.explanation

    teller = choose_teller(yard)

    def say(told: Reason) -> Markup:
        return write_text(teller.tell(told))

    parts = [
        wrap("p", say(said.question), "asked"),
        wrap("p", say(said.answer), "answered", role="status"),
    ]
    if said.points:
        parts.append(wrap("ul", join_pieces(_write_point(p, say) for p in said.points), "points"))
    buttons = []
    if asked.horse and asked.show and not _is_lived(yard, asked):
        pair = (asked.horse, asked.show)
        if getattr(said, "verdict", "") not in ("in", "barred"):
            buttons.append(_press("hold", words.HOLD_HERE, pair, asked.side))
        if getattr(said, "verdict", "") != "barred":
            buttons.append(_press("forbid", words.FORBID_HERE, pair, asked.side))
    parts.append(wrap("p", join_pieces(buttons), "put") if buttons else Markup(""))
    if asked.shows:
        parts.append(_write_shows(yard, asked.horse, asked.shows, asked.side))
    close = wrap(
        "button",
        write_text(words.CLOSE),
        "small-button tk-slip-close",
        type="button",
        **{"data-do": "close", "data-key": "slip-close", "data-escape": ""},
    )
    inside = wrap(
        "div", join_pieces(parts), "slip-words", tabindex="0", role="region",
        **{"aria-label": words.SLIP, "data-key": "slip", "data-takes-focus": ""},
    )  # fmt: skip
    return wrap("div", inside + close, "slip-paper")


def _is_lived(yard: Yard, asked: Asked) -> bool:
    """A show that is over, or whose outing has begun, can no longer be wished for or away."""
    show = yard.show_by_name.get(asked.show)
    over = show is not None and show.days.last <= yard.day_of_planning
    begun = ((outing.horse, outing.show) for outing in yard.begun.outings)
    return over or (asked.horse, asked.show) in begun


def _write_point(point: Any, say: Callable[[Reason], Markup]) -> Markup:
    source = ", ".join(part for part in (point.rule, point.source) if part)
    return wrap("li", say(point.text) + (wrap("small", say(source)) if source else Markup("")))


def _write_shows(yard: Yard, horse: str, shows: Sequence[str], side: str) -> Markup:
    buttons = join_pieces(_press("why", show, (horse, show), side) for show in shows[:MOST_SHOWS])
    said = wrap("span", write_text(words.WHY_NOT), "toggles-label")
    return wrap("p", said + buttons, "put")


def _press(do: str, said: str, pair: tuple[str, str], side: str) -> Markup:
    return wrap(
        "button",
        write_text(said),
        "small-button",
        type="button",
        **{
            "data-do": do,
            "data-horse": pair[0],
            "data-show": pair[1],
            "data-side": side,
            "data-key": f"slip-{do}-{pair[0]}-{pair[1]}",
        },
    )
