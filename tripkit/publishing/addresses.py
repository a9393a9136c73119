"""The secret address of each reader's feed: made, renewed, revoked, and shown for a phone.

The secret is 24 random bytes, 192 bits. It stays readable in the store, because the manager must
be able to show it again; the file is its owner's only.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from io import BytesIO

from tripkit.publishing.readers import READER_KINDS, Reader
from tripkit.publishing.served import ADDRESS_SETTING, is_public, normalise_address, refresh_feeds
from tripkit.store import Address, Store, Who
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.names import suggest_near

SECRET_BYTES = 24
DEFAULT_ADDRESS = "http://127.0.0.1:8866/"
FEEDS_PATH = "feeds"


@dataclass(frozen=True)
class FeedAddress:
    """Where one reader's feed is; links are empty where the address is revoked.

    `link` is for any calendar program, `webcal` opens one on a phone. `alarms`: reminders ring.
    """

    reader: Reader
    link: str = field(repr=False)
    webcal: str = field(repr=False)
    alarms: bool
    made: datetime

    @property
    def is_revoked(self) -> bool:
        """Whether the feed answers nobody."""
        return not self.link

    @property
    def is_only_here(self) -> bool:
        """Whether no other machine than this one reaches the feed."""
        return bool(self.link) and not is_public(self.link)

    def draw_qr(self) -> str:
        """The `webcal` link as a QR code, SVG text without size; empty where revoked."""
        return draw_qr(self.webcal) if self.webcal else ""


def draw_qr(text: str) -> str:
    """A text as a QR code in SVG: black on white, for any screen, with the margin that is asked.

    **Source:** ISO/IEC 18004 asks for a quiet zone of four modules around the code.
    """
    import segno

    drawn = BytesIO()
    segno.make(text, error="m", micro=False).save(
        drawn,
        kind="svg",
        border=4,
        light="#ffffff",
        dark="#000000",
        xmldecl=False,
        omitsize=True,
        nl=False,
        title="QR code of a calendar's address",
    )
    return drawn.getvalue().decode("utf-8")


def make_address(who: Who, now: datetime) -> Address:
    """A new secret address for a reader."""
    return Address(who, secrets.token_urlsafe(SECRET_BYTES), now)


def list_addresses(store: Store) -> tuple[FeedAddress, ...]:
    """The address of every reader that was published for, by kind and name. Raises `BadStore`."""
    shelf = store.read_shelf(with_events=False)
    base = shelf.settings.get(ADDRESS_SETTING) or DEFAULT_ADDRESS
    shown = (a for a in shelf.addresses.values() if a.who in shelf.feeds)
    return tuple(_show(address, base) for address in sorted(shown, key=_sort_address))


def renew_addresses(store: Store, who: str, now: datetime) -> tuple[FeedAddress, ...]:
    """A reader's address is made anew: the old one answers nobody any more.

    `who` is a name, or a kind and a name (`owner Olga`); a name means all its calendars. Raises
    `BadValue` for a name nobody bears, `BadStore`.
    """
    return _change(store, who, lambda a: replace(make_address(a.who, now), alarms=a.alarms))


def revoke_addresses(store: Store, who: str, now: datetime) -> tuple[FeedAddress, ...]:
    """A reader's address answers nobody any more, until it is renewed; `who` as in renewing."""
    return _change(store, who, lambda a: replace(a, token="", made=now))


def switch_alarms(store: Store, who: str, on: bool, now: datetime) -> tuple[FeedAddress, ...]:
    """Reminders of a reader's feed ring, or do not; `who` as in renewing. Raises `BadStore`."""
    changed = _change(store, who, lambda a: replace(a, alarms=on))
    refresh_feeds(store, now)
    return changed


def keep_server_address(store: Store, address: str, now: datetime) -> None:
    """Where the server is reached from outside; links and the events' URL begin with it.

    Raises `BadValue` for what is no http or https address, `BadStore`.
    """
    store.keep_setting(ADDRESS_SETTING, normalise_address(address))
    refresh_feeds(store, now)


def find_addresses(addresses: Iterable[Address], who: str) -> tuple[Address, ...]:
    """The addresses of a name, or of a kind and a name; raises `BadValue` where there is none."""
    there = tuple(addresses)
    wanted = " ".join(who.split())
    found = tuple(a for a in there if wanted in (a.who[1], " ".join(a.who)))
    if not found:
        names = sorted({a.who[1] for a in there})
        if not names:
            raise BadValue(state("values.nothing-is-published-yet-so"))
        raise BadValue(state("values.has-no-calendar", who=who, near=suggest_near(wanted, names)))
    return found


def _change(
    store: Store, who: str, change: Callable[[Address], Address]
) -> tuple[FeedAddress, ...]:
    shelf = store.read_shelf(with_events=False)
    changed = [change(a) for a in find_addresses(shelf.addresses.values(), who)]
    store.keep_addresses(changed)
    base = shelf.settings.get(ADDRESS_SETTING) or DEFAULT_ADDRESS
    return tuple(_show(address, base) for address in sorted(changed, key=_sort_address))


def _sort_address(address: Address) -> tuple[int, str]:
    return (READER_KINDS.index(address.who[0]), address.who[1])


def _show(address: Address, base: str) -> FeedAddress:
    link = f"{base}{FEEDS_PATH}/{address.token}.ics" if address.token else ""
    webcal = f"webcal://{link.split('://', 1)[1]}" if link else ""
    return FeedAddress(Reader(*address.who), link, webcal, address.alarms, address.made)
