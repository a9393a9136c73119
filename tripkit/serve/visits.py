"""Who comes to the page: somebody who asked for it, or another site that makes a browser ask.

Every page that is opened starts a kernel, so that a picture on another site which points here
must not open one.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlsplit

# What the browser asks for to show it as a page of its own; a frame or a picture is something else.
A_PAGE = ("document", "navigate")
OWN = ("same-origin", "none")


def find_visit(headers: Mapping[str, str], host: str) -> str:
    """How a browser comes to the page of a host: "own", "from elsewhere" or "refused".

    "own" is who typed the address, kept it, or came from this server. Who follows a link of
    another site is shown a link of our own first. A browser that does not say how it comes
    (an old one, or over plain http in the yard's own network) is believed as far as it names the
    page it comes from; its login is not sent along from elsewhere (SameSite).

    **Source:** W3C Fetch Metadata Request Headers, sections 2.1 to 2.3; a page fetched before
    anybody looks at it: https://wicg.github.io/nav-speculation/prefetch.html, Sec-Purpose.
    """
    if "prefetch" in headers.get("Sec-Purpose", headers.get("Purpose", "")):
        return "refused"
    site = headers.get("Sec-Fetch-Site")
    if site is not None:
        asked = headers.get("Sec-Fetch-Dest", A_PAGE[0]), headers.get("Sec-Fetch-Mode", A_PAGE[1])
        if asked != A_PAGE:
            return "refused"
        return "own" if site in OWN else "from elsewhere"
    before = headers.get("Origin") or headers.get("Referer")
    if before and _find_host(before) != host.lower():
        return "from elsewhere"
    return "own"


def show_page(handler: Any, name: str, **words: Any) -> None:
    """A page of the door: plain HTML, without a kernel."""
    handler.set_header("Content-Type", "text/html; charset=utf-8")
    handler.set_header("Cache-Control", "no-store")
    handler.finish(handler.render_template(name, **words))


def _find_host(address: str) -> str:
    try:
        return urlsplit(address).netloc.lower()
    except ValueError:
        return ""
