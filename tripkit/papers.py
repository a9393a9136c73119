"""Papers of horses and people: vaccinations, tests, passports, registrations, licences."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from datetime import date

from tripkit.errors import BadValue

KNOWN_PAPERS = (
    "influenza",
    "herpes",
    "coggins",
    "passport",
    "registration",
    "health_certificate",
    "licence",
    "membership",
    "insurance",
    "temperature_log",
)


@dataclass(frozen=True)
class Paper:
    """One row of papers.csv: whose it is, what it is, when it was given, until when it holds."""

    holder: str
    paper: str
    date: date
    valid_until: datetime.date | None = None
    number: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        if self.valid_until is not None and self.valid_until < self.date:
            raise BadValue(f"valid_until {self.valid_until} lies before date {self.date}")
