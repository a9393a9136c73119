"""Feeds as files for any web host; of the published circuit the same bytes that are served."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from tripkit.judging.case import Violation
from tripkit.publishing.publish import is_current
from tripkit.publishing.readers import Reader
from tripkit.publishing.write import name_file, write_feeds, write_files
from tripkit.store import Store
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.yard import Yard


def export_feeds(
    yard: Yard,
    circuit: Circuit,
    store: Store,
    folder: Path | str,
    *,
    secret_names: bool = False,
    broken: Sequence[Violation] = (),
) -> tuple[Path, ...]:
    """Each reader's calendar becomes a file in a folder: of the published circuit as it is served.

    Whose calendar the folder would tell otherwise by now says `list_outdated`.
    A circuit that is not published is written as `write_feeds` does, with what it has `broken` in
    the descriptions. With `secret_names` a file
    is named by its secret address, so that a web host can answer at the same addresses as the
    yard's server; a revoked one is left out. Raises `BadValue` for secret names of a circuit
    that is not published, `CannotWrite`, `BadStore`.
    """
    shelf = store.read_shelf(with_events=False)
    if not is_current(yard, circuit, shelf):
        if secret_names:
            raise BadValue(state("values.not-published-so-its-feeds", circuit_name=circuit.name))
        return write_feeds(yard, circuit, folder, broken=broken)
    files = {}
    for who, feed in shelf.feeds.items():
        name = name_file(Reader(*who))
        if secret_names:
            if not shelf.addresses[who].token:
                continue
            name = f"{shelf.addresses[who].token}.ics"
        files[name] = feed.body
    return write_files(folder, files)
