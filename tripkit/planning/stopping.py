"""Work that ends as soon as somebody ends it, whatever it is doing at the time.

HiGHS cannot be interrupted everywhere (not while it makes a program smaller, nor in the small
programs of its own), so it runs in a thread of its own and is left behind there. Python can: an
exception is raised in its thread. So no loop of the planner has to ask whether it may go on.
"""

from __future__ import annotations

import atexit
import ctypes
import sys
import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from typing import TypeVar

Outcome = TypeVar("Outcome")
POLL_SECONDS = 0.02
# What a search needs to come back by itself with what it has found.
GRACE_SECONDS = 0.3
# What it takes to write down what was found, on a slow machine.
LAST_WORDS_SECONDS = 5.0
# Far more than an exception needs that was raised already.
LATE_STEPS = 10_000
_left_behind: list[threading.Thread] = []


class Stopped(BaseException):
    """Raised in the middle of work that was broken off; whoever began it catches it."""


def run_aside(work: Callable[[], object], should_stop: Callable[[], bool]) -> bool:
    """Runs work in a thread of its own; False where it was left behind there, unfinished."""
    faults: list[BaseException] = []

    def run() -> None:
        try:
            work()
        except BaseException as fault:
            faults.append(fault)

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    while thread.is_alive():
        thread.join(POLL_SECONDS)
        if thread.is_alive() and should_stop():
            _left_behind.append(thread)
            return False
    if faults:
        raise faults[0]
    return True


def list_left_behind() -> list[threading.Thread]:
    """The threads that were left behind and still run."""
    _left_behind[:] = [thread for thread in _left_behind if thread.is_alive()]
    return list(_left_behind)


@atexit.register
def _wait_for_left_behind() -> None:
    # A library that calls Python back while Python ends takes the process down with it.
    for thread in list_left_behind():
        thread.join()


class Breaker:
    """One piece of work in Python that another thread may break off, once."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._thread: int | None = None
        self._broken = False

    def attempt(self, work: Callable[[], Outcome], otherwise: Callable[[], Outcome]) -> Outcome:
        """The outcome of the work, or what `otherwise` says where it was broken off."""
        try:
            try:
                with self._lock:
                    self._thread = threading.get_ident()
                return work()
            finally:
                with self._lock:
                    self._thread = None
                if self._broken and not isinstance(sys.exc_info()[1], Stopped):
                    self._take_late()
        except Stopped:
            return otherwise()

    def break_off(self) -> None:
        """Breaks the work off, if it is still done."""
        with self._lock:
            if self._thread is not None and not self._broken:
                self._broken = True
                _raise_in(self._thread, Stopped)

    def _take_late(self) -> None:
        """What was raised as the work ended comes here, and nowhere later."""
        for _ in range(LATE_STEPS):
            time.sleep(0.0)


def _raise_in(thread: int, kind: type[BaseException]) -> None:
    """An exception is raised in a thread at its next step.

    It is never taken back: CPython then believes for ever that one waits, and runs no function
    under a profile any more.
    """
    ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(thread), ctypes.py_object(kind))


class Crew:
    """Threads that do tasks side by side, until they are done or `should_end` says so."""

    def __init__(self, workers: int, should_end: Callable[[], bool]) -> None:
        self._workers = workers
        self._should_end = should_end
        self._left = False
        self._breakers: list[Breaker] = []

    def is_over(self) -> bool:
        """Whether nothing more is to be begun, because somebody said so or waits no longer."""
        return self._left or self._should_end()

    def attempt(self, work: Callable[[], Outcome], otherwise: Callable[[], Outcome]) -> Outcome:
        """What a task does that may be broken off; `otherwise` says what came of it then."""
        breaker = Breaker()
        self._breakers.append(breaker)
        try:
            return otherwise() if self.is_over() else breaker.attempt(work, otherwise)
        finally:
            self._breakers.remove(breaker)

    def run(self, tasks: Sequence[Callable[[], Outcome]]) -> list[Outcome | None]:
        """The outcome of each task, in order; None for one that did not end in time when told to.

        What a task raises is raised here.
        """
        waiting = deque(enumerate(tasks))
        outcomes: dict[int, Outcome] = {}
        faults: list[BaseException] = []

        def work() -> None:
            while waiting and not faults:
                try:
                    number, task = waiting.popleft()
                except IndexError:
                    return
                try:
                    outcomes[number] = task()
                except BaseException as fault:
                    faults.append(fault)

        threads = [
            threading.Thread(target=work, daemon=True)
            for _ in range(min(self._workers, len(tasks)))
        ]
        for thread in threads:
            thread.start()
        told: float | None = None
        try:
            while any(thread.is_alive() for thread in threads) and not faults:
                next(t for t in threads if t.is_alive() or t is threads[-1]).join(POLL_SECONDS)
                if not self.is_over():
                    continue
                told = told or time.perf_counter()
                passed = time.perf_counter() - told
                if passed > LAST_WORDS_SECONDS:
                    break
                if passed > GRACE_SECONDS:
                    self._break_off()
        finally:
            left = [thread for thread in threads if thread.is_alive()]
            if left:
                self._left = True
                self._break_off()
                _left_behind.extend(left)
        if faults:
            raise faults[0]
        return [outcomes.get(number) for number in range(len(tasks))]

    def _break_off(self) -> None:
        for breaker in list(self._breakers):
            breaker.break_off()
