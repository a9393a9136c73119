"""One key that its own file spells unlike all others: a fault there, not one in each of them.

A name that several rows use and no row of its own file has, beside one of that file that no other
row uses and that is much alike: the file that holds the names is the one to mend.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from tripkit.files.columns import Row
from tripkit.files.faults import Faults
from tripkit.yard.errors import state_rows
from tripkit.yard.facts import state
from tripkit.yard.names import find_near
from tripkit.yard.places import HOME

Rows = Mapping[str, Sequence[Row]]

MASTERS = {"horses": "horse", "shows": "show", "people": "person", "vehicles": "vehicle"}
REFERENCES: Mapping[str, tuple[tuple[str, str], ...]] = {
    "horses": (
        *((table, "horse") for table in ("shares", "aims", "entries", "results", "papers")),
        *((table, "horse") for table in ("vet_checks", "treatments")),
        ("absences", "who"),
    ),
    "shows": (
        *((table, "show") for table in ("classes", "aims", "entries")),
        ("distances", "from"),
        ("distances", "to"),
    ),
    "people": (
        ("horses", "rider"),
        ("shares", "owner"),
        ("vehicles", "driver"),
        ("papers", "person"),
        ("absences", "who"),
    ),
    "vehicles": (("absences", "who"),),
}


def find_misspelt(rows: Rows, table: str, faults: Faults) -> dict[str, str]:
    """What other files call a key of a table, and how the table spells it: a fault each."""
    column = MASTERS[table]
    masters = {row[column]: row for row in rows[table] if row.reads(column)}
    used = _list_uses(rows, table)
    unused = [name for name in masters if name not in used]
    if not unused:
        return {}
    elsewhere = {name for other in MASTERS for name in _list_names(rows, other)}
    elsewhere |= {row["place"] for name in ("shows", "venues") for row in rows[name]}
    found: dict[str, str] = {}
    for name, users in sorted(used.items(), key=lambda item: -len(item[1])):
        if len(users) < 2 or name in elsewhere or name == HOME:
            continue
        for meant in find_alike(name, unused):
            unused.remove(meant)
            found[name] = meant
            where = state_rows((row.file, row.number) for row in users)
            masters[meant].complain(
                faults,
                state("faults.stands-in-no-other-file", name=name, where=where),
                column,
            )
    return found


def find_alike(name: str, others: Iterable[str]) -> tuple[str, ...]:
    """The one name most like another, if any; names with other digits are other names."""
    digits = re.findall("[0-9]+", name)
    return find_near(name, [o for o in others if re.findall("[0-9]+", o) == digits], 1)


def _list_names(rows: Rows, table: str) -> Iterator[str]:
    yield from (row[MASTERS[table]] for row in rows[table] if row.reads(MASTERS[table]))


def _list_uses(rows: Rows, table: str) -> Mapping[str, Collection[Row]]:
    """The rows of other files by the key of a table that they name, known or not."""
    found: dict[str, list[Row]] = {}
    for other, column in REFERENCES[table]:
        for row in rows[other]:
            named = row[column] if row.reads(column) else ()
            for name in (named,) if isinstance(named, str) else named:
                if name:
                    found.setdefault(name, []).append(row)
    return found
