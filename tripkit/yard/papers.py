"""Papers of horses and people: vaccinations, tests, passports, registrations, licences."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from datetime import date

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state

VACCINATIONS = ("influenza", "herpes")
COGGINS = "coggins"
HEALTH_CERTIFICATE, TEMPERATURE_LOG = "health_certificate", "temperature_log"
KNOWN_PAPERS = (
    *VACCINATIONS,
    COGGINS,
    "passport",
    "registration",
    HEALTH_CERTIFICATE,
    "licence",
    "membership",
    "insurance",
    TEMPERATURE_LOG,
    "arteritis",
    "residency",
)
FINISHED_PAPERS = (COGGINS, "passport", HEALTH_CERTIFICATE, TEMPERATURE_LOG, "arteritis")
"""Papers that are there or not: a row dated after today is a mistake, not an appointment."""


@dataclass(frozen=True)
class Paper:
    """One row of papers.csv: whose it is, what it is, when it was given, until when it holds.

    A vaccination dated after today is an appointment. Of a temperature log `date` and
    `valid_until` are the first and last day written, of a residency `date` is its beginning.
    """

    holder: str
    paper: str
    date: date
    valid_until: datetime.date | None = None
    number: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        if self.valid_until is not None and self.valid_until < self.date:
            raise BadValue(
                state(
                    "values.valid-until-lies-before-date",
                    valid_until=self.valid_until,
                    date=self.date,
                )
            )
