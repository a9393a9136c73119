"""The online geocoders that a yard may name, and what each has to be told. Asks none of them."""

from __future__ import annotations

import inspect
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from urllib.parse import urlsplit

from tripkit.yard.facts import Fact, state

OPEN_STREET_MAP = ("nominatim", "photon")
_KEY_NAMES = ("api_key", "apikey", "subscription_key", "username")


def list_services() -> tuple[str, ...]:
    """The geocoders that geopy knows; those that need no key come first, the rest by name."""
    from geopy.geocoders import SERVICE_TO_GEOCODER

    return tuple(sorted(SERVICE_TO_GEOCODER, key=lambda s: (s not in OPEN_STREET_MAP, s)))


@dataclass(frozen=True)
class OnlineService:
    """One online geocoder as the yard names it: its short name in geopy, address, key and sender.

    `server` empty means the service's own.
    """

    name: str
    server: str = ""
    user_agent: str = ""
    key: str = ""

    @property
    def parameters(self) -> Mapping[str, inspect.Parameter]:
        """What geopy's geocoder of this name may be made with."""
        from geopy.geocoders import SERVICE_TO_GEOCODER

        return inspect.signature(SERVICE_TO_GEOCODER[self.name]).parameters

    @property
    def host(self) -> str:
        """Where the service is, for messages."""
        split = urlsplit(self.server if "://" in self.server else f"//{self.server}")
        default = self.parameters.get("domain")
        usual = default.default if default and isinstance(default.default, str) else self.name
        return split.netloc or usual

    @property
    def address(self) -> str:
        """What the machine has to allow: the address written, else the service by its name."""
        if not self.server:
            return self.name
        return self.server if "://" in self.server else f"https://{self.server}"

    def list_lacks(self) -> Iterator[tuple[str, Fact]]:
        """What the service cannot be asked with: key of the yard's settings, and why.

        **Source:** the signatures of geopy's geocoders; for the user agent the Nominatim usage
        policy, https://operations.osmfoundation.org/policies/nominatim/.
        """
        known = self.parameters
        if self.name == "nominatim" and not self.user_agent:
            yield "user_agent", state("faults.missing-nominatim-asks-who-you")
        if not (self.user_agent.isascii() and self.user_agent.isprintable()):
            yield "user_agent", state("faults.holds-other-signs-than-plain")
        if self.server and "domain" not in known:
            yield "server", state("faults.of-no-use-has-its", name=self.name)
        elif self.server and not _is_address(self.server):
            yield "server", state("faults.no-address-like-httpsgeocoderexampleorg")
        elif not self.server and "domain" in known and _is_required(known["domain"]):
            yield "server", state("faults.missing-has-no-address-of", name=self.name)
        key_name = find_key_name(known)
        if self.key and not key_name:
            yield "key", state("faults.of-no-use-takes-no", name=self.name)
        elif not self.key and key_name and _is_required(known[key_name]):
            yield "key", state("faults.missing-wants-one", name=self.name)
        more = [
            name
            for name, parameter in known.items()
            if _is_required(parameter) and name not in ("domain", key_name)
        ]
        if more:
            yield (
                "online",
                state("faults.cannot-be-used-wants", name=self.name, more=" and ".join(more)),
            )
        # These have a key that may be left out, and then refuse to be made.
        elif self.name.startswith(("google", "here", "ignfrance")) and not self.key:
            yield "key", state("faults.missing-wants-one", name=self.name)


def find_key_name(known: Mapping[str, inspect.Parameter]) -> str:
    """What a geocoder calls its key, empty where it takes none."""
    # A name of an account is a key only where the service wants nothing else.
    for name in _KEY_NAMES:
        if name in known and (name != "username" or _is_required(known[name])):
            return name
    return ""


def _is_required(parameter: inspect.Parameter) -> bool:
    return parameter.default is inspect.Parameter.empty


def _is_address(text: str) -> bool:
    try:
        split = urlsplit(text if "://" in text else f"https://{text}")
        _ = split.port
    except ValueError:
        return False
    plain = text.isascii() and text.isprintable() and not set(text) & set(" ?#@\\\"'<>")
    return plain and split.scheme in ("http", "https") and bool(split.hostname)
