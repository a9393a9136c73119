"""What may be written where: an output never takes the place of anything that is read."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from tripkit.files.folder import READ_MARKS, WORKBOOK_MARK, find_folder
from tripkit.files.together import CHANGE_FILE
from tripkit.files.workbooks import is_answer
from tripkit.store import STORE_FILES
from tripkit.store.turns import FILE_NAME as TURN_FILE
from tripkit.yard.errors import CannotWrite
from tripkit.yard.facts import state


def refuse_inputs(
    targets: Iterable[Path | str],
    yard: Path | str | None,
    *read: Path | str,
    answers: bool = False,
) -> None:
    """A file to be written is none of a yard, none that was read, and none a yard would read.

    Files are compared as the system knows them: through links, `..`, capitals and second names.
    A workbook of answers (`answers`) may lie in the yard's folder, because it is known for one.
    Raises `CannotWrite`.
    """
    folder = None if yard is None else find_folder(Path(yard))
    own = [] if folder is None else list(_list_inputs(folder))
    for target in map(Path, targets):
        for paths, whose in ((own, "faults.file-of-yard"), (read, "faults.read-for-this")):
            if any(_is_same(target, Path(path)) for path in paths):
                of = state(whose)
                raise CannotWrite(
                    state("faults.and-is-not-replaced-write", target=str(target), whose=of)
                )
        if folder is not None and any(
            _is_held(path.name.casefold(), answers) and _is_same(path.parent, folder)
            for path in (target, _follow(target))
        ):
            raise CannotWrite(state("faults.would-be-read-as-file", target=str(target)))


def _is_held(name: str, answers: bool) -> bool:
    """Whether a folder is read by a file of that name, or keeps something of its own in it."""
    would_read = name.endswith(READ_MARKS) and not (answers and name.endswith(WORKBOOK_MARK))
    return would_read or name in (*STORE_FILES, TURN_FILE, CHANGE_FILE)


def _follow(path: Path) -> Path:
    """Where a path leads; a link may lead to a file that is not there yet."""
    try:
        return path.resolve()
    except (OSError, ValueError, RuntimeError):
        return path


def _list_inputs(folder: Path) -> Iterator[Path]:
    """The files of a yard's folder that may be read; workbooks of answers are none."""
    try:
        paths = sorted(folder.iterdir())
    except OSError:
        return
    for path in paths:
        name = path.name.casefold()
        if name in STORE_FILES or (name.endswith(READ_MARKS) and not is_answer(path)):
            yield path


def _is_same(left: Path, right: Path) -> bool:
    """Whether two paths are one file; where one is not there yet, by where it would be."""
    try:
        return os.path.samefile(left, right)
    except (OSError, ValueError):
        pass
    return _follow(left) == _follow(right)
