"""What is published: the current circuit, who reads it where, and what the last time changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from markupsafe import Markup

from tripkit.dashboard.markup import render
from tripkit.words.telling import choose_teller
from tripkit.yard.circuit import Circuit
from tripkit.yard.yard import Yard


@dataclass(frozen=True)
class Posted:
    """One reader's calendar: who it is for, its links (empty: revoked), and its QR code as SVG.

    `only_here` is the yard folder's name where only the machine that serves reaches the links.
    """

    key: str
    kind: str
    name: str
    link: str = field(repr=False)
    webcal: str = field(repr=False)
    alarms: bool
    qr: Markup = field(repr=False)
    only_here: str = ""


@dataclass(frozen=True)
class Board:
    """The current circuit (revision 0: none yet), which circuits at hand it is, the addresses."""

    circuit: str = ""
    published: datetime | None = None
    revision: int = 0
    current: tuple[str, ...] = ()
    posted: tuple[Posted, ...] = ()
    changes: tuple[tuple[str, str], ...] = ()

    @property
    def only_here(self) -> str:
        """The yard folder's name where only the machine that serves reaches any of the links."""
        return next((posted.only_here for posted in self.posted if posted.only_here), "")


def write_board(
    yard: Yard, board: Board, circuit: Circuit, said: str, is_doubted: bool = False
) -> Markup:
    """What is current, a button that publishes the circuit read from, and every address.

    A circuit that is doubted breaks a rule: the button publishes it all the same.
    """
    when = board.published and write_moment(yard, board.published)
    return render(
        "board", board=board, name=circuit.name, said=said, is_doubted=is_doubted, when=when
    )


def write_moment(yard: Yard, moment: datetime) -> str:
    """A day and a time by the clock of the yard."""
    try:
        moment = moment.astimezone(ZoneInfo(yard.place.timezone))
    except (ZoneInfoNotFoundError, ValueError):
        moment = moment.astimezone(UTC)
    return choose_teller(yard).write_date(moment, "weekday")


def find_posted(board: Board | None, kind: str, name: str) -> Posted | None:
    """The calendar of one reader, None where nothing is published for it."""
    rows: Sequence[Posted] = () if board is None else board.posted
    return next((p for p in rows if (p.kind, p.name) == (kind, name)), None)
