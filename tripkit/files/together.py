"""Several files of a yard folder change together: all of them, or none.

What is to be written is first laid down whole in one file, `.tripkit-change.json`; then each file
takes its new bytes, and that file goes. Whoever reads the folder after a kill in between ends
the change first. Between two of the files another program may see one new and one old.
"""

from __future__ import annotations

import base64
import hashlib
import json
import secrets
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from tripkit.files.atomic import write_whole
from tripkit.files.renamed import (
    KNOWN_AS,
    READERS,
    Renaming,
    rename_in_circuits,
    rename_in_event,
    rename_in_wishes,
    rename_known_as,
)
from tripkit.files.wishes import KIND, QUESTION
from tripkit.store import LAST_RENAMING, STORE_FILES, open_store
from tripkit.yard.errors import CannotWrite, TripkitError, give_reason
from tripkit.yard.facts import state

CHANGE_FILE = ".tripkit-change.json"
FORMAT = "tripkit change 1"


@dataclass(frozen=True)
class _Change:
    """Files by name, with the digest of what each replaces and its new bytes."""

    id: str
    files: Mapping[str, tuple[str, bytes]]
    renaming: Renaming | None

    def dump(self) -> bytes:
        r = self.renaming
        written = {
            "format": FORMAT,
            "id": self.id,
            "renaming": [r.kind, r.old, r.new] if r else None,
            "files": [
                [name, before, base64.b64encode(after).decode("ascii")]
                for name, (before, after) in self.files.items()
            ],
        }
        return json.dumps(written).encode("ascii")

    @staticmethod
    def load(data: bytes) -> _Change:
        """Raises `ValueError` for what no change of tripkit is."""
        try:
            known = json.loads(data)
            files = {
                name: (before, base64.b64decode(after)) for name, before, after in known["files"]
            }
            renaming = Renaming(*known["renaming"]) if known["renaming"] else None
            id, is_ours = known["id"], known["format"] == FORMAT
            names = [renaming.kind, renaming.old, renaming.new] if renaming else []
            texts = [id, *files, *(before for before, _ in files.values()), *names]
            is_ours = is_ours and all(isinstance(text, str) for text in texts)
            is_ours = is_ours and (not names or json.loads(id)[1:] == names)
        except (TypeError, KeyError, RecursionError) as error:
            raise ValueError(str(error)) from None
        # A folder comes from anywhere: its change writes into itself only, and no store.
        if not is_ours or any(map(_is_elsewhere, files)):
            raise ValueError("it is none")
        return _Change(id, files, renaming)


def write_together(
    folder: Path, files: Mapping[str, bytes], renaming: Renaming | None = None
) -> None:
    """Files of a folder take new bytes, all or none; with a renaming the store follows them.

    Raises `CannotWrite` or `BadStore`: then everything is as it was.
    """
    old = {name: _read(folder / name) for name in files}
    pairs = {name: (make_digest(old[name]), data) for name, data in files.items()}
    id = secrets.token_hex(8)
    if renaming is not None:
        # The store remembers the last one by this, so that it is known when it is asked for again.
        id = json.dumps([id, renaming.kind, renaming.old, renaming.new])
    change = _Change(id, pairs, renaming)
    write_whole(folder / CHANGE_FILE, change.dump())
    try:
        _carry_out(folder, change)
    except BaseException:
        for name, data in old.items():
            with suppress(TripkitError, OSError):
                if data is None:
                    (folder / name).unlink(missing_ok=True)
                elif _read(folder / name) != data:
                    write_whole(folder / name, data)
        _remove(folder / CHANGE_FILE)
        raise
    _remove(folder / CHANGE_FILE)


def finish_change(folder: Path) -> Renaming | None:
    """A change that a kill left half done is ended; answers the renaming that it was, if any.

    Raises `CannotWrite` where that cannot be, or a file was changed by somebody else meanwhile;
    `BadStore` where the store cannot follow.
    """
    path = folder / CHANGE_FILE
    with suppress(OSError, ValueError):
        if not path.is_file():
            return None
    data = _read(path)
    if data is None:
        return None
    try:
        change = _Change.load(data)
    except ValueError:
        raise CannotWrite(state("faults.no-change-that-tripkit-began", path=str(path))) from None
    for name in change.files:
        # What is no name of a file at all is said where it is read.
        _read(folder / name)
        if (folder / name).resolve().parent != folder.resolve():
            raise CannotWrite(
                state(
                    "faults.leads-out-of-folder-where",
                    folder=str(folder / name),
                    change_file=CHANGE_FILE,
                )
            )
    _carry_out(folder, change)
    _remove(path)
    return change.renaming


def find_last_renaming(folder: Path) -> Renaming | None:
    """The renaming that the store followed last. Raises `BadStore`."""
    with open_store(folder) as store:
        last = store.find_setting(LAST_RENAMING)
    return Renaming(*json.loads(last)[1:]) if last else None


def make_digest(data: bytes | None) -> str:
    """A name of exactly these bytes; empty for no file."""
    return "" if data is None else hashlib.sha256(data).hexdigest()


def _is_elsewhere(name: str) -> bool:
    return Path(name).name != name or name[:1] in ("", ".") or name.casefold() in STORE_FILES


def _carry_out(folder: Path, change: _Change) -> None:
    left = []
    for name, (before, after) in change.files.items():
        now = make_digest(_read(folder / name))
        if now not in (before, make_digest(after)):
            raise CannotWrite(
                state(
                    "faults.was-changed-while-tripkit-had",
                    folder=str(folder / name),
                    change_file=CHANGE_FILE,
                )
            )
        if now == before:
            left.append((name, after))
    for name, after in left:
        write_whole(folder / name, after)
    if change.renaming is not None:
        rename_in_store(folder, change.id, change.renaming)


def rename_in_store(folder: Path, change: str, renaming: Renaming) -> None:
    """The store follows a renaming, once for each change. Raises `BadStore`."""
    with open_store(folder) as store:
        store.rename(
            change,
            READERS.get(renaming.kind, ()),
            renaming.old,
            renaming.new,
            settings={KNOWN_AS: lambda text: rename_known_as(text, renaming)},
            document=lambda text: rename_in_circuits(text, renaming),
            content=lambda reader, text: rename_in_event(reader, text, renaming),
            answers={(KIND, QUESTION): lambda text: rename_in_wishes(text, renaming)},
        )


def _read(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        reason = give_reason(error)
        raise CannotWrite(state("faults.cannot-be-read-3", path=str(path), reason=reason)) from None


def _remove(path: Path) -> None:
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise CannotWrite(
            state("faults.cannot-be-removed", path=str(path), value=give_reason(error))
        ) from None
