"""The independent readers of calendar files: each answers the same lines for each event.

A line is (uid, start, end, SEQUENCE, STATUS); a moment is written in UTC, a whole day as a date.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from pathlib import Path

import vobject

from tests.outside.tools import HERE, find_library, find_node_modules, find_program
from tests.patience import PATIENCE_SECONDS

Line = tuple[str, str, str, int, str]
Lines = dict[str, list[Line]]


def tell(moment: date) -> str:
    """A date, or the moment in UTC."""
    if isinstance(moment, datetime):
        return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    return moment.isoformat()


def read_by_icaljs(files: Sequence[Path]) -> Lines:
    """By ical.js, which knows no zones but those of the file."""
    script = HERE / "read_icaljs.mjs"
    return _run([find_program("node"), str(script), str(find_node_modules())], files)


def read_by_nodeical(files: Sequence[Path]) -> Lines:
    """By node-ical."""
    script = HERE / "read_nodeical.mjs"
    return _run([find_program("node"), str(script), str(find_node_modules())], files)


def read_by_libical(files: Sequence[Path]) -> Lines:
    """By libical, in a process of its own."""
    return _run([sys.executable, str(HERE / "read_libical.py"), find_library("ical")], files)


def read_by_vobject(files: Sequence[Path]) -> Lines:
    """By vobject."""
    found: Lines = {}
    for file in files:
        parsed = vobject.readOne(file.read_text(encoding="utf-8"))
        found[file.name] = [
            (
                event.uid.value,
                tell(event.dtstart.value),
                tell(event.dtend.value),
                int(event.sequence.value),
                event.status.value,
            )
            for event in parsed.contents.get("vevent", [])
        ]
    return found


READERS: dict[str, Callable[[Sequence[Path]], Lines]] = {
    "ical.js": read_by_icaljs,
    "node-ical": read_by_nodeical,
    "libical": read_by_libical,
    "vobject": read_by_vobject,
}


def _run(command: Sequence[str], files: Sequence[Path]) -> Lines:
    done = subprocess.run(
        [*command, *map(str, files)],
        capture_output=True,
        text=True,
        timeout=PATIENCE_SECONDS,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    answer = json.loads(done.stdout)
    return {
        Path(file).name: [(event[0], event[1], event[2], event[3], event[4]) for event in events]
        for file, events in answer.items()
    }
