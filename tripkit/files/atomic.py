"""A file is written whole or not at all."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from pathlib import Path

from tripkit.yard.errors import CannotWrite, give_reason
from tripkit.yard.facts import state


def write_whole(path: Path | str, data: bytes) -> None:
    """The bytes replace the file at once: a reader sees the old file or the new one.

    They go to a file beside it, which then takes its name. What is no regular file, such as a
    terminal, is written to directly. Raises `CannotWrite`, and leaves nothing behind.
    """
    path = Path(path)
    try:
        target = path.resolve()
        if target.is_dir():
            raise CannotWrite(state("faults.folder-not-file", path=str(path)))
        if target.exists() and not target.is_file():
            target.write_bytes(data)
            return
        _replace(target, data)
    except (OSError, ValueError) as error:
        reason = give_reason(error)
        raise CannotWrite(
            state("faults.cannot-be-written", path=str(path), reason=reason)
        ) from None


def _replace(target: Path, data: bytes) -> None:
    beside = target.with_name(f".{target.name[:100]}.{secrets.token_hex(6)}.tmp")
    try:
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
        with open(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(beside, target)
    except BaseException:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
        raise
