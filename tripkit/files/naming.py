"""What a file or sheet of the yard was meant to be called."""

from __future__ import annotations

import re
from collections.abc import Iterable

from tripkit.files.lookalikes import is_slip


def find_meant(text: str, known: Iterable[str], *, strict: bool = False) -> str:
    """The known name that a text all but is, empty for none.

    Case, blanks, hyphens, underscores and the end of a plural aside; unless `strict`, one letter
    may be another, too many, missing, or two may stand in the wrong order. A digit never is.

    >>> find_meant("Vet Check", ["vet_checks"]), find_meant("entires", ["entries"])
    ('vet_checks', 'entries')
    """
    wanted = _squash(text)
    forms = {name: _list_singulars(_squash(name)) for name in known}
    for name, called in forms.items():
        if wanted in called:
            return name
    if not strict:
        for name, called in forms.items():
            if any(is_slip(wanted, form) for form in called[:2]):
                return name
    return ""


def _squash(text: str) -> str:
    return re.sub(r"[\W_]+", "", text.casefold())


def _list_singulars(plural: str) -> list[str]:
    """A word of several and what one of them may be called: classes, classe, class."""
    ends = (("s", ""), ("es", ""), ("ies", "y"), ("people", "person"), ("people", "persons"))
    cut = [plural.removesuffix(end) + other for end, other in ends if plural.endswith(end)]
    return [plural, *cut]
