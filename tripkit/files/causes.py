"""One key that its own file spells unlike all others: a fault there, not one in each of them.

A name that several rows use and no row of its own file has, beside one of that file that no other
row uses and that is much alike: the file that holds the names is the one to mend.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence

from tripkit.files.columns import FILE_OF_KIND, Row, list_columns
from tripkit.files.faults import Faults
from tripkit.yard.errors import state_rows
from tripkit.yard.facts import state
from tripkit.yard.names import find_near
from tripkit.yard.places import HOME

Rows = Mapping[str, Sequence[Row]]


def find_misspelt(rows: Rows, kind: str, faults: Faults) -> dict[str, str]:
    """What other files call a name of a kind, and how its own file spells it: a fault each."""
    masters = {row[kind]: row for row in rows[FILE_OF_KIND[kind]] if row.reads(kind)}
    used = _list_uses(rows, kind)
    unused = [name for name in masters if name not in used]
    if not unused:
        return {}
    elsewhere = {row[k] for k, file in FILE_OF_KIND.items() for row in rows[file] if row.reads(k)}
    elsewhere |= {row["place"] for name in ("shows", "bases", "venues") for row in rows[name]}
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
                kind,
            )
    return found


def find_alike(name: str, others: Iterable[str]) -> tuple[str, ...]:
    """The one name most like another, if any; names with other digits are other names."""
    digits = re.findall("[0-9]+", name)
    return find_near(name, [o for o in others if re.findall("[0-9]+", o) == digits], 1)


def _list_uses(rows: Rows, kind: str) -> Mapping[str, Collection[Row]]:
    """The rows of other files by the name of a kind that they name, known or not."""
    found: dict[str, list[Row]] = {}
    for file, column in list_columns(kind):
        if file == FILE_OF_KIND[kind] or column.free:
            continue
        for row in rows[file]:
            for name in column.list_names(row):
                found.setdefault(name, []).append(row)
    return found
