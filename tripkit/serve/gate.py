"""The door: one password for the dashboard, asked on a page of ours and written in no log."""

from __future__ import annotations

import hmac
import logging
import re
import time
from collections.abc import Callable
from ipaddress import IPv6Address, ip_address
from math import ceil
from typing import Any

from jupyter_server.auth.decorator import allow_unauthenticated
from jupyter_server.auth.identity import IdentityProvider
from jupyter_server.base.handlers import JupyterHandler
from jupyter_server.utils import url_path_join

from tripkit.serve.shelf import Allowance
from tripkit.serve.visits import show_page

Route = tuple[Any, ...]
LOGIN, LOGOUT = "/login", "/logout"

# Wrong passwords from one address: five at once, then one every five seconds.
GUESSES = 5.0
GUESSES_PER_SECOND = 0.2
MOST_GUESSERS = 1000
HOME_PREFIX_BITS = 64

# No page of another site holds ours in a frame; nobody elsewhere learns what was looked at; no
# search engine keeps it. "same-origin" and not "no-referrer": that would hide the page's own
# origin from its own server, which then takes its goodbye for a stranger's.
HEADERS = {
    "Content-Security-Policy": "frame-ancestors 'none'",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Robots-Tag": "noindex",
}

LOGGERS = ("tornado.access", "tornado.application", "tornado.general", "tripkit.serve", "asyncio")
HIDDEN = "\N{HORIZONTAL ELLIPSIS}"
SECRETS = re.compile(r"(\?)[^\s'\"]+|(/feeds/)[^\s'\"]+")


class DoorKeeper(IdentityProvider):
    """Knows who has given the password, by a cookie; an address never holds it."""

    @property
    def auth_enabled(self) -> bool:
        """Without a password everybody is let in."""
        return bool(self.token)

    def get_token(self, handler: Any) -> str:
        """None is taken: one in an address stays in logs, one in a header is a guess uncounted."""
        return ""

    def get_handlers(self) -> list[tuple[str, object]]:
        """The door's routes are the server's own; see `make_door_routes`."""
        return []


class Guesses:
    """How many wrong passwords each address may still give."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._allowances: dict[str, Allowance] = {}

    def take(self, address: str) -> float:
        """One guess is taken; answers the seconds to wait where none is left, else 0."""
        now, home = self._clock(), find_home(address)
        known = self._allowances.pop(home, None)
        if known is None:
            known = Allowance(GUESSES, now, GUESSES, GUESSES_PER_SECOND)
        # Who guessed last stands last; the first is forgotten where there are too many.
        self._allowances[home] = known
        if len(self._allowances) > MOST_GUESSERS:
            del self._allowances[next(iter(self._allowances))]
        return known.take(now)

    def forget(self, address: str) -> None:
        """Who knew the password in the end has guessed nothing."""
        self._allowances.pop(find_home(address), None)


def find_home(address: str) -> str:
    """Whose guesses are counted together: an IPv6 address changes at will within its network.

    **Source:** RFC 4291 section 2.5.4: the last 64 bits name an interface.

    >>> find_home("192.0.2.7"), find_home("2001:db8::1") == find_home("2001:db8::2:1")
    ('192.0.2.7', True)
    """
    try:
        found = ip_address(address)
    except ValueError:
        return address
    if isinstance(found, IPv6Address):
        return str(int(found) >> HOME_PREFIX_BITS)
    return address


def make_door_routes() -> tuple[Route, ...]:
    """The pages that let in and out."""
    return ((LOGIN, LoginHandler, {"guesses": Guesses()}), (LOGOUT, LogoutHandler))


class LoginHandler(JupyterHandler):
    """Asks for the password, and gives a cookie for it."""

    def initialize(self, guesses: Guesses) -> None:
        """All doors of a server count guesses together."""
        self._guesses = guesses

    @allow_unauthenticated
    def get(self) -> None:
        """The page that asks, or the dashboard where nothing is to be asked."""
        if self.current_user is not None:
            self.redirect(self.base_url)
            return
        self._ask()

    @allow_unauthenticated
    def post(self) -> None:
        """The dashboard for the right password; of wrong ones only so many are looked at."""
        if not self.identity_provider.auth_enabled:
            self.redirect(self.base_url)
            return
        address = str(self.request.remote_ip)
        seconds = self._guesses.take(address)
        if seconds:
            self.set_status(429)
            self.set_header("Retry-After", str(ceil(seconds)))
            self._ask("many", ceil(seconds))
            return
        # A wrong one takes as long as a right one.
        given, wanted = self.get_body_argument("password", "", strip=False), str(self.token)
        if not hmac.compare_digest(given.encode(), wanted.encode()):
            self.set_status(401)
            self._ask("wrong")
            return
        self._guesses.forget(address)
        user = self.identity_provider.generate_anonymous_user(self)
        self.identity_provider.set_login_cookie(self, user)
        self.redirect(self.base_url)

    def _ask(self, trouble: str = "", seconds: int = 0) -> None:
        show_page(self, "login.html", trouble=trouble, seconds=seconds)


class LogoutHandler(JupyterHandler):
    """Takes the cookie back."""

    @allow_unauthenticated
    def get(self) -> None:
        """That one is out, and the way back in."""
        self.identity_provider.clear_login_cookie(self)
        show_page(self, "logout.html", login=url_path_join(self.base_url, LOGIN))


def hide_secrets(text: str) -> str:
    """A line for a log, without what an address asks for and without the secret of a calendar.

    >>> hide_secrets("GET /stable/?token=sesame (::1), /feeds/abc.ics")
    'GET /stable/?\N{HORIZONTAL ELLIPSIS} (::1), /feeds/\N{HORIZONTAL ELLIPSIS}'
    """
    return SECRETS.sub(lambda found: f"{found[1] or found[2]}{HIDDEN}", text)


class SecretsFilter(logging.Filter):
    """No line of a log holds a secret, whoever writes it."""

    def filter(self, record: logging.LogRecord) -> bool:
        """The line is written, with its secrets hidden."""
        record.msg, record.args = hide_secrets(record.getMessage()), ()
        return True
