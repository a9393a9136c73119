"""What is printed: streams on which no character takes command of the terminal.

Names and texts come from other people's files. A control character in one could rewrite what
stands on the screen, and one that turns the direction of writing could make a text read as another.
"""

from __future__ import annotations

import errno
import os
import re
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout, suppress
from threading import Event, current_thread, main_thread
from typing import Any

from tripkit.yard.facts import state

# Controls but the line's end; what Unicode Standard Annex 9 lists as directional formatting;
# line and paragraph separators; halves of letters.
_COMMANDING = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
)


def show_controls(text: str) -> str:
    r"""A text whose control and directional characters are written as escapes; line ends stay.

    >>> show_controls("Al\x1b[2Jder\u202e")
    'Al\\x1b[2Jder\\u202e'
    """
    return _COMMANDING.sub(_escape, text)


def _escape(found: re.Match[str]) -> str:
    code = ord(found[0])
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"


class Shown:
    """A stream that shows what commands the terminal as escapes, and passes on all else.

    One that is closed (`>&-`) raises `OSError` when it is written to, with its own name; where
    errors would go, they are lost instead: there is nowhere to say so.
    """

    def __init__(self, stream: Any, name: str, *, lose: bool = False) -> None:
        self._stream = stream
        self._name = name
        self._lose = lose

    def write(self, text: str) -> int:
        """Writes a text; answers its length, as every stream does."""
        if self._stream is not None:
            self._stream.write(show_controls(text))
        elif not self._lose:
            raise OSError(errno.EBADF, str(state("commands.closed")), self._name)
        return len(text)

    def flush(self) -> None:
        """Hands on what was written."""
        if self._stream is not None:
            self._stream.flush()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


@contextmanager
def guard_terminal() -> Iterator[None]:
    """Whatever is printed meanwhile goes through `Shown`; no file gets a closed one's number."""
    _fill_closed()
    for stream in (sys.stdout, sys.stderr):
        # A name that the terminal's encoding lacks must not end the command.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    out, err = Shown(sys.stdout, "standard output"), Shown(sys.stderr, "standard error", lose=True)
    with redirect_stdout(out), redirect_stderr(err):
        yield


@contextmanager
def stop_on_interrupt() -> Iterator[Callable[[], bool]]:
    """The first Ctrl-C only asks to stop: what was found is still written; the second ends it.

    Yields what answers whether somebody asked.
    """
    asked = Event()

    def stop(number: int, frame: object) -> None:
        if asked.is_set():
            raise KeyboardInterrupt
        asked.set()

    if current_thread() is not main_thread():
        yield asked.is_set
        return
    before = signal.signal(signal.SIGINT, stop)
    try:
        yield asked.is_set
    finally:
        signal.signal(signal.SIGINT, before)


def _fill_closed() -> None:
    """The next file opened would get the number of a closed stream, and what libraries print."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    while nowhere <= 2:
        nowhere = os.open(os.devnull, os.O_RDWR)
    with suppress(OSError):
        os.close(nowhere)
