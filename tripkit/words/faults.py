"""Faults in words: a folder's each with its place, those that are alike folded into one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tripkit.words.telling import choose_teller, tell
from tripkit.yard.errors import InputError, RulesBroken, state_rows
from tripkit.yard.facts import Fact, state
from tripkit.yard.yard import Yard


def fold_errors(errors: Iterable[InputError]) -> tuple[str, ...]:
    """Faults in words; what is wrong in the same way in many rows is one fault, with the rows.

    A name that is unknown is one in whatever column, else the column must be the same.

    >>> unknown = state("faults.no-name-of-kind", what="horse", near=None)
    >>> rows = [InputError(f, r, "horse", "Elm", unknown) for f, r in (("a", 2), ("a", 5))]
    >>> fold_errors([*rows, InputError("b", 3, "horse", "Elm", unknown)])
    ("'Elm' is no horse (a rows 2, 5; b row 3)",)
    """
    groups: dict[object, list[InputError]] = {}
    for number, error in enumerate(errors):
        if error.value is None or error.row is None:
            key: object = number
        elif error.is_unknown_name:
            key = error.what
        else:
            key = error.file, error.column, error.what
        groups.setdefault(key, []).append(error)
    return tuple(_write_group(group) for group in groups.values())


def tell_error(error: Exception, yard: Yard | None = None) -> str:
    """Why something failed: a fact as the yard's own readers are told, else what it says or is.

    >>> tell_error(OSError()), tell_error(ValueError("no luck"))
    ('OSError', 'no luck')
    """
    fact = getattr(error, "fact", None)
    if yard is not None and isinstance(fact, Fact) and not isinstance(error, RulesBroken):
        return choose_teller(yard).tell(fact)
    return str(error) or type(error).__name__


def _write_group(group: Sequence[InputError]) -> str:
    first = group[0]
    if len(group) == 1:
        return tell(first.fact)
    rows = state_rows((error.file, error.row) for error in group)
    if first.is_unknown_name:
        return tell(state("faults.wherever", what=first.what, rows=rows))
    code = "faults.in-column" if first.column else "faults.in-rows"
    return tell(state(code, rows=rows, column=first.column, what=first.what))
