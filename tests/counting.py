"""What work takes, counted and not timed: the answer is the same on every machine."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import Any

import tripkit

PACKAGE = str(Path(tripkit.__file__).parent)


def count_steps(work: Callable[[], object], *, calls: bool = True) -> int:
    """How many lines of tripkit's own code are run, and how many functions of anybody's called.

    What the interpreter does within a line (a name looked for in a list) is not counted. Without
    `calls` the lines alone are.
    """
    count = 0

    def count_line(frame: FrameType, event: str, argument: Any) -> Any:
        nonlocal count
        count += event == "line"
        return count_line

    def choose(frame: FrameType, event: str, argument: Any) -> Any:
        nonlocal count
        count += calls
        return count_line if frame.f_code.co_filename.startswith(PACKAGE) else None

    before = sys.gettrace()
    sys.settrace(choose)
    try:
        work()
    finally:
        sys.settrace(before)
    return count
