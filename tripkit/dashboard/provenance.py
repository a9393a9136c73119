"""What a page was made from: files, wishes, what is published; and circuits found before."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from tripkit.files.folder import READ_MARKS, find_folder
from tripkit.files.wishes import dump_wishes, read_wishes
from tripkit.files.workbooks import is_answer
from tripkit.season.wishes import Wishes
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import BadStore
from tripkit.yard.yard import Yard

KIND = "circuits found"
LOTS = ("as the yard stands", "as wished")


@dataclass(frozen=True)
class Seen:
    """Folder and store as they were looked at: another value as soon as anything is another.

    `files` is a digest, `saved` the mark of the circuits file, `revision` counts publishings,
    `wishes` are those in force, `found` says when circuits were found last.
    """

    files: str = ""
    saved: tuple[tuple[str, int, int], ...] = ()
    revision: int = 0
    wishes: Wishes = field(default_factory=Wishes)
    found: tuple[str, ...] = ()


def look_at(folder: Path, circuits_file: Path) -> Seen:
    """Folder and store as they are now; a store that cannot be read is an empty one."""
    from tripkit.store import open_store

    files, saved = digest_files(folder), mark_saved(circuits_file)
    try:
        with open_store(folder) as store:
            lots = [store.find_answer(KIND, lot) for lot in LOTS]
            revision = store.find_current().revision
        found = tuple(lot.when.isoformat() if lot else "" for lot in lots)
        return Seen(files, saved, revision, read_wishes(folder), found)
    except BadStore:
        return Seen(files, saved)


@dataclass(frozen=True)
class Found:
    """Circuits of an earlier visit, and when they were found (aware)."""

    circuits: tuple[Circuit, ...]
    when: datetime


def list_yard_files(folder: Path) -> list[Path]:
    """The files that a yard is read from, in order; hidden ones, locks and answers aside."""
    try:
        known = sorted(find_folder(folder).iterdir())
    except OSError:
        return []
    if folder.is_file():
        # What lies beside a workbook that was named are its settings and calendars only.
        known = [p for p in known if p == folder or p.suffix.lower() in (".toml", ".ics")]
    return [
        path
        for path in known
        if path.suffix.lower() in READ_MARKS
        and not path.name.startswith((".", "~$"))
        and not is_answer(path)
    ]


def digest_files(folder: Path) -> str:
    """A digest that is another one as soon as a name or a byte of the yard's files is another."""
    digest = hashlib.sha256()
    for path in list_yard_files(folder):
        try:
            content = path.read_bytes()
        except OSError:
            continue
        digest.update(f"{path.name}\0{len(content)}\0".encode("utf-8", "surrogateescape"))
        digest.update(content)
    return digest.hexdigest()


def mark_saved(circuits_file: Path) -> tuple[tuple[str, int, int], ...]:
    """Name, size and time of the circuits file; empty where there is none."""
    try:
        known = circuits_file.stat()
    except OSError:
        return ()
    return ((str(circuits_file), known.st_size, known.st_mtime_ns),)


def keep_found(
    folder: Path, files: str, yard: Yard, wishes: Wishes, circuits: Sequence[Circuit]
) -> None:
    """Circuits are kept for the next visit, with what they were found from.

    One lot as the yard stands and one as last wished for, each in the place of an older one.
    Where the store cannot be written nothing is kept, and nothing fails.
    """
    from tripkit.files.circuits import dump_circuits
    from tripkit.store import open_store

    text = dump_circuits(yard, circuits)
    with open_store(folder) as store:
        store.keep_answer(
            KIND, _name_lot(wishes), text, _write_mark(files, yard, wishes), datetime.now(UTC)
        )


def find_found(folder: Path, files: str, yard: Yard, wishes: Wishes) -> Found | None:
    """The circuits kept for these wishes; None where any file, the day or tripkit changed since.

    Raises `BadStore`, and `BadCircuits` where what is kept is not what was written.
    """
    from tripkit.files import read_circuits
    from tripkit.store import open_store

    with open_store(folder) as store:
        kept = store.find_answer(KIND, _name_lot(wishes))
    if kept is None or kept.source != _write_mark(files, yard, wishes):
        return None
    with TemporaryDirectory(prefix="tripkit-") as scratch:
        path = Path(scratch) / "circuits.json"
        path.write_text(kept.text, encoding="utf-8")
        return Found(tuple(read_circuits(path, yard)), kept.when)


def _name_lot(wishes: Wishes) -> str:
    return LOTS[bool(wishes)]


def _write_mark(files: str, yard: Yard, wishes: Wishes) -> str:
    """What a plan is made from: the files, the day, what has begun, the wishes, tripkit itself."""
    import tripkit

    begun = yard.begun

    parts = (
        tripkit.__version__,
        yard.day_of_planning.isoformat(),
        files,
        repr((begun.outings, begun.legs, begun.days, begun.stands, sorted(begun.under_way))),
        dump_wishes(wishes),
    )
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()
