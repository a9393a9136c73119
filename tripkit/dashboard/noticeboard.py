"""What is published: the current circuit, who reads it where, and what the last time changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from markupsafe import Markup

from tripkit.dashboard.markup import join_pieces, wrap, write_fold, write_text
from tripkit.words import page as words
from tripkit.words.formats import write_clock, write_day
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
    qr: str = field(repr=False)
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


def write_board(
    yard: Yard, board: Board, circuit: Circuit, said: str, is_doubted: bool = False
) -> Markup:
    """What is current, a button that publishes the circuit read from, and every address.

    A circuit that is doubted breaks a rule: the button publishes it all the same.
    """
    parts = [wrap("p", write_text(said), "fault", role="alert")] if said else []
    if board.published is None:
        parts.append(wrap("p", write_text(words.NOT_PUBLISHED), "sum"))
    else:
        when = write_moment(yard, board.published)
        told = words.PUBLISHED.format(name=board.circuit, when=when, number=board.revision)
        parts.append(wrap("p", write_text(told), "sum", role="status"))
    if circuit.name in board.current:
        parts.append(wrap("p", write_text(words.IS_CURRENT.format(name=circuit.name)), "hint"))
    elif is_doubted:
        press = words.PUBLISH_ANYWAY.format(name=circuit.name)
        parts.append(_press("publish", "", press, "button"))
    else:
        press = words.PUBLISH.format(name=circuit.name)
        ask = words.PUBLISH_ASK.format(name=circuit.name)
        parts.append(_press("publish", "", press, "button", ask=(ask, words.PUBLISH_NOW)))
        parts.append(wrap("p", write_text(words.PUBLISH_HINT), "hint"))
    if board.changes:
        items = join_pieces(
            wrap("li", wrap("pre", write_text(text), "message", dir="auto"))
            for _, text in board.changes
        )
        parts.append(
            write_fold(words.LAST_CHANGES, wrap("ul", items), "fold-messages", is_open=False)
        )
    if board.posted:
        parts.append(wrap("h3", write_text(words.ADDRESSES)))
        parts.append(wrap("p", write_text(words.ADDRESSES_HINT), "hint"))
        folder = next((p.only_here for p in board.posted if p.only_here), "")
        if folder:
            parts.append(_write_only_here(folder))
        parts.append(wrap("ul", join_pieces(write_posted(p) for p in board.posted), "posted"))
    return join_pieces(parts)


def write_moment(yard: Yard, moment: datetime) -> str:
    """A day and a time by the clock of the yard."""
    try:
        moment = moment.astimezone(ZoneInfo(yard.place.timezone))
    except (ZoneInfoNotFoundError, ValueError):
        moment = moment.astimezone(UTC)
    return f"{write_day(moment.date(), yard.country)}, {write_clock(moment, yard.country)}"


def write_posted(posted: Posted, qr: bool = True) -> Markup:
    """One reader: name, link, QR code, and the buttons that renew, revoke and hush."""
    kind = words.READER_KINDS.get(posted.kind, posted.kind)
    head = wrap("h4", wrap("span", write_text(posted.name), "long", dir="auto"))
    head += wrap("p", write_text(kind), "kind")
    if not posted.link:
        body = wrap("p", write_text(words.REVOKED), "hint")
        ask = words.RENEW_REVOKED_ASK.format(name=posted.name)
        sure = (ask, words.RENEW_NOW)
        buttons = _press("renew", posted.key, words.RENEW, about=posted.name, ask=sure)
    else:
        body = wrap("p", write_text(posted.link), "address tk-long")
        if posted.only_here:
            body += wrap("p", write_text(words.ONLY_HERE_SHORT), "hint")
        body += _write_ways(posted)
        if qr and posted.qr:
            label = words.QR_OF.format(name=posted.name)
            reach = _write_only_here(posted.only_here) if posted.only_here else ""
            body += write_fold(
                words.QR,
                reach + wrap("div", Markup(posted.qr), "qr", role="img", **{"aria-label": label}),
                "fold-qr",
                is_open=False,
            )
        ring = ("hush", words.HUSH) if posted.alarms else ("ring", words.RING)
        asks = {
            "renew": (words.RENEW_ASK.format(name=posted.name), words.RENEW_NOW),
            "revoke": (words.REVOKE_ASK.format(name=posted.name), words.REVOKE_NOW),
        }
        buttons = join_pieces(
            _press(do, posted.key, said, about=posted.name, ask=asks.get(do))
            for do, said in (("renew", words.RENEW), ("revoke", words.REVOKE), ring)
        )
    return wrap("li", head + body + wrap("p", buttons, "put"))


def _write_ways(posted: Posted) -> Markup:
    """A link that opens a calendar program, and a button that copies the address."""
    subscribe = wrap(
        "a",
        write_text(words.SUBSCRIBE),
        "subscribe",
        href=posted.webcal,
        **{"aria-label": f"{words.SUBSCRIBE}: {posted.name}"},
    )
    copy = wrap(
        "button",
        write_text(words.COPY),
        "small-button",
        type="button",
        **{
            "data-copy": posted.link,
            "data-copied": words.COPIED.format(name=posted.name),
            "data-refused": words.COPY_REFUSED,
            "data-key": f"copy-{posted.key}",
            "aria-label": f"{words.COPY}: {posted.name}",
        },
    )
    said = wrap("span", Markup(""), "copied", role="status")
    return wrap("p", subscribe + copy + said, "put")


def _write_only_here(folder: str) -> Markup:
    """That a phone finds nothing at these addresses, and the commands that change it."""
    listen, public = (
        wrap("code", write_text(command.format(folder=_quote(folder))))
        for command in (words.SERVE_LISTEN, words.SERVE_PUBLIC)
    )
    told = write_text(words.ONLY_HERE).format(listen=listen, public=public)
    return wrap("p", told, "advice")


def _quote(folder: str) -> str:
    return f'"{folder}"' if " " in folder else folder


def find_posted(board: Board | None, kind: str, name: str) -> Posted | None:
    """The calendar of one reader, None where nothing is published for it."""
    rows: Sequence[Posted] = () if board is None else board.posted
    return next((p for p in rows if (p.kind, p.name) == (kind, name)), None)


def _press(
    do: str,
    key: str,
    said: str,
    name: str = "small-button",
    about: str = "",
    ask: tuple[str, str] | None = None,
) -> Markup:
    """A button; with `ask` the page asks back in its place, and that press is what counts."""
    label = {"aria-label": f"{said}: {about}"} if about else {}
    if ask:
        label |= {"data-ask": ask[0], "data-yes": ask[1], "data-no": words.LEAVE_IT}
    return wrap(
        "button",
        write_text(said),
        name,
        type="button",
        **{"data-do": do, "data-name": key, "data-key": f"{do}-{key}"},
        **label,
    )
