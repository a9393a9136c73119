"""Words that files have for kinds, standings and roles, as facts: told in the reader's language."""

from __future__ import annotations

from tripkit.yard.circuit import KINDS_OF_DAY, KINDS_OF_STOP
from tripkit.yard.circuit import STATUSES as OF_CIRCUITS
from tripkit.yard.facts import Fact
from tripkit.yard.horses import ENTRY_STATUSES
from tripkit.yard.people import ROLES
from tripkit.yard.people import STATUSES as OF_RIDERS

TERMS = {
    term: Fact(f"terms.{term.replace(' ', '-')}")
    for term in (
        *KINDS_OF_DAY,
        *KINDS_OF_STOP,
        *ENTRY_STATUSES,
        *filter(None, OF_RIDERS),
        *ROLES,
        *OF_CIRCUITS,
    )
}


def name_term(word: str) -> Fact | str:
    """A word of a file as it is told; what is none stays as it is written.

    >>> name_term("vet check").code, name_term("yoga")
    ('terms.vet-check', 'yoga')
    """
    return TERMS.get(word, word)
