"""People of the yard, who owns what, and who is away when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from tripkit.yard.days import WEEKDAYS, DaySpan
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.places import HOME

ROLES = ("rider", "owner", "groom", "driver", "vet", "manager")
STATUSES = ("", "junior", "young", "amateur", "professional")
LANGUAGES = ("en", "es", "de", "fr")
"""The languages in which people are written to; the first stands for any other."""
HORSES_PER_GROOM = 4
"""One groom looks after so many horses at one place, hired or where his row says nothing else."""


def find_language(tag: str) -> str | None:
    """The language of a tag, whatever its capitals and country; empty where none is named.

    None where nobody can be written to in it.

    >>> find_language("de-AT"), find_language("ES"), find_language("pt-BR"), find_language("")
    ('de', 'es', None, '')
    """
    language = tag.casefold().replace("_", "-").partition("-")[0] if tag else ""
    return language if language in LANGUAGES or not tag else None


@dataclass(frozen=True)
class Person:
    """One person in one role.

    `status` is the competitor's (empty: unknown), `language` that of what the person reads (empty:
    the yard's), `horses_per_groom` how many horses a groom looks after at one place, `days_off` the
    days of the week on which the person neither rides, drives nor grooms away from home.
    """

    person: str
    role: str
    born: date | None = None
    status: str = ""
    horses_per_show: int = 4
    horses_per_groom: int = HORSES_PER_GROOM
    timezone: str = ""
    language: str = ""
    days_off: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.role not in ROLES:
            raise BadValue(state("values.role-is-none-of", role=self.role, roles=tuple(ROLES)))
        if self.status not in STATUSES:
            raise BadValue(
                state("values.status-is-none-of", status=self.status, statuses=tuple(STATUSES[1:]))
            )
        if self.horses_per_show < 1:
            raise BadValue(state("values.horses-per-show-must-be"))
        if self.horses_per_groom < 1:
            raise BadValue(state("values.horses-per-groom-must-be"))
        if self.language not in ("", *LANGUAGES):
            raise BadValue(
                state(
                    "values.language-is-none-of", language=self.language, languages=tuple(LANGUAGES)
                )
            )
        for name in self.days_off:
            if name not in WEEKDAYS:
                raise BadValue(state("values.day-off-is-no-day", day_off=name))


@dataclass(frozen=True)
class Share:
    """The part of a horse that an owner has, as an exact fraction."""

    horse: str
    owner: str
    share: Fraction = Fraction(1)

    def __post_init__(self) -> None:
        if not 0 < self.share <= 1:
            raise BadValue(state("values.share-must-be-above-0", share=float(self.share)))


@dataclass(frozen=True)
class Absence:
    """Days on which a horse, a person or a vehicle is not to be had.

    `at` is the place key where a vehicle stands meanwhile.
    """

    who: str
    days: DaySpan
    reason: str = ""
    at: str = HOME
