"""Every sentence in English, by the code of the fact it tells: one room a family of codes.

A code begins with its family: `judging.cap`, `eligibility.too-young`. A sentence names the fact's
values in braces, see `words.telling`. What a reader of calendars and pages may see is listed in
`READERS_SEE`: those families stand in every catalogue.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from types import MappingProxyType

FAMILIES = (
    "actions",
    "aims",
    "certificates",
    "commands",
    "documents",
    "drawings",
    "driving",
    "eligibility",
    "entries",
    "explaining",
    "faults",
    "feeds",
    "findings",
    "goals",
    "journeys",
    "judging",
    "laws",
    "lived",
    "logbook",
    "merging",
    "names",
    "oddities",
    "papers",
    "paperwork",
    "planning",
    "roads",
    "rulebooks",
    "season",
    "sheets",
    "store",
    "terms",
    "treatments",
    "units",
    "vaccination",
    "validity",
    "values",
    "visits",
    "wishes",
)
"""The rooms of this folder; the codes of each begin with its name."""

READERS_SEE = (
    "certificates",
    "documents",
    "eligibility",
    "feeds",
    "findings",
    "journeys",
    "judging",
    "laws",
    "logbook",
    "papers",
    "paperwork",
    "roads",
    "sheets",
    "terms",
    "units",
    "vaccination",
    "validity",
    "visits",
)
"""Families that grooms, drivers, owners, riders and vets read: held complete in every language."""


def _collect() -> Mapping[str, str]:
    sentences: dict[str, str] = {}
    for family in FAMILIES:
        sentences.update(import_module(f"tripkit.words.english.{family}").SENTENCES)
    return MappingProxyType(sentences)


SENTENCES = _collect()
