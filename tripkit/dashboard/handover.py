"""How a thread that plans gives what it found to the thread of the page."""

from __future__ import annotations

import asyncio
from collections.abc import Callable


def find_hand_over() -> Callable[[Callable[[], None]], None]:
    """The way to the page's thread: its event loop, or at once without one."""
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:
        return lambda work: work()
    return lambda work: _hand_to(loop, work)


def _hand_to(loop: asyncio.AbstractEventLoop, work: Callable[[], None]) -> None:
    # The page may be closed while the planner still runs: its loop is gone, nobody listens.
    if not loop.is_closed():
        loop.call_soon_threadsafe(work)
