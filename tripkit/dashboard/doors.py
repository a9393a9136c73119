"""The doors that the Desk goes through to the other rooms; heavy rooms load on first use."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tripkit.circuit import Circuit
from tripkit.yard import Yard


def _read_yard(folder: Path) -> Yard:
    from tripkit.files import read_yard

    return read_yard(folder)


def _read_circuits(path: Path, yard: Yard) -> Sequence[Circuit]:
    from tripkit.files import read_circuits

    return read_circuits(path, yard)


def _plan(yard: Yard, **options: Any) -> Sequence[Circuit]:
    import tripkit

    return tripkit.plan(yard, **options)


def _compare(left: Circuit, right: Circuit, yard: Yard) -> Any:
    from tripkit.comparison import compare

    return compare(left, right, yard)


def _write_feed(yard: Yard, circuit: Circuit, horse: str) -> tuple[str, bytes]:
    from tripkit.feeds import Reader, name_file, write_feed

    reader = Reader("horse", horse)
    return name_file(reader), write_feed(yard, circuit, reader)


@dataclass(frozen=True)
class Doors:
    """What the Desk asks of the other rooms; a test puts its own in their place."""

    read_yard: Callable[[Path], Yard] = _read_yard
    read_circuits: Callable[[Path, Yard], Sequence[Circuit]] = _read_circuits
    plan: Callable[..., Sequence[Circuit]] = _plan
    compare: Callable[[Circuit, Circuit, Yard], Any] = _compare
    write_feed: Callable[[Yard, Circuit, str], tuple[str, bytes]] = _write_feed
