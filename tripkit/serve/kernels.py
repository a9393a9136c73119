"""The kernels behind the pages: how many there may be, and when each of them ends.

A kernel lives as long as its page is heard of: by its open line (a websocket), and before that by
the page's script, which says every few seconds that it is still loading. A page that is left says
goodbye; of one that cannot the line ends, or nothing is heard, and its kernel ends a little later.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from typing import Any

from jupyter_server.auth.decorator import allow_unauthenticated
from jupyter_server.base.handlers import APIHandler
from jupyter_server.utils import url_path_join
from tornado.ioloop import IOLoop
from tornado.web import HTTPError, authenticated
from voila.request_info_handler import RequestInfoSocketHandler
from voila.shutdown_kernel_handler import VoilaShutdownKernelHandler
from voila.tornado.handler import TornadoVoilaHandler
from voila.tornado.kernel_websocket_handler import VoilaKernelWebsocketHandler

from tripkit.serve.visits import find_visit, show_page

Route = tuple[Any, ...]
GOODBYE = r"/voila/api/shutdown/([0-9a-f-]+)"
HERE = r"/voila/api/here/([0-9a-f-]+)"

# How many pages may be open at once: each has a kernel, of 160 to 220 MB.
MOST_PAGES = 10
# What is given to a line that broke, and to a page that is still loading, to be heard of again.
BROKEN_LINE_SECONDS = 20.0
LOADING_SECONDS = 45.0
LOOK_EVERY_SECONDS = 5.0
# A line whose other end is gone in silence is found out by the pings that nobody answers; on a
# slow line an answer waits behind all that is still on its way.
PING_EVERY_MS = 10_000
PONG_WITHIN_MS = 40_000
TRY_AGAIN_SECONDS = 5
SETTING = "tripkit_pages"


@dataclass
class Seat:
    """A page that has a kernel: its open lines, and until when it need not be heard of."""

    until: float
    lines: int = 0


@dataclass(frozen=True, eq=False)
class Coming:
    """A page that has a place and waits for its kernel."""

    pages: Pages
    kernels: list[str] = field(default_factory=list)

    def seat(self, kernel_id: str) -> None:
        """The kernel is there."""
        self.pages.seat(kernel_id, self)


class Pages:
    """Which kernels belong to pages, and which of those pages are still there."""

    def __init__(self, most: int = MOST_PAGES, clock: Callable[[], float] = time.monotonic) -> None:
        self.most = most
        self._clock = clock
        self._seats: dict[str, Seat] = {}
        self._coming: set[Coming] = set()

    @property
    def is_full(self) -> bool:
        """Whether a page that comes now has to wait."""
        return len(self._seats) + len(self._coming) >= self.most

    @contextmanager
    def come(self) -> Iterator[Coming]:
        """A place is kept while a page gets its kernel."""
        coming = Coming(self)
        self._coming.add(coming)
        try:
            yield coming
        finally:
            self._coming.discard(coming)
            for kernel_id in coming.kernels:
                self.send(kernel_id)

    def seat(self, kernel_id: str, coming: Coming) -> None:
        """A page that came has got its kernel; its line is the answer that is being written."""
        self._coming.discard(coming)
        coming.kernels.append(kernel_id)
        self.open_line(kernel_id)

    def send(self, kernel_id: str) -> None:
        """A page is written and begins to load."""
        seat = self._seats.get(kernel_id)
        if seat is not None:
            seat.lines -= 1
            seat.until = self._clock() + LOADING_SECONDS

    def hear(self, kernel_id: str) -> None:
        """A page says that it is still loading."""
        seat = self._seats.get(kernel_id)
        if seat is not None:
            seat.until = max(seat.until, self._clock() + LOADING_SECONDS)

    def open_line(self, kernel_id: str) -> None:
        """A line between page and kernel is open."""
        seat = self._seats.setdefault(kernel_id, Seat(0.0))
        seat.lines += 1

    def end_line(self, kernel_id: str, silent_seconds: float = 0.0) -> None:
        """A line ended that was silent so long: the page is gone, or comes back at once."""
        seat = self._seats.get(kernel_id)
        if seat is not None:
            seat.lines -= 1
            seat.until = self._clock() + max(BROKEN_LINE_SECONDS - silent_seconds, 0.0)

    def leave(self, kernel_id: str) -> None:
        """The kernel of a page has ended."""
        self._seats.pop(kernel_id, None)

    def find_left(self) -> list[str]:
        """The kernels of pages that are not heard of any more."""
        now = self._clock()
        return [k for k, seat in self._seats.items() if seat.lines <= 0 and seat.until < now]

    async def end_left(self, manager: Any) -> None:
        """Kernels of pages that are left are ended; of those that ended themselves none is kept."""
        for kernel_id in [known for known in self._seats if known not in manager]:
            self.leave(kernel_id)
        for kernel_id in self.find_left():
            self.leave(kernel_id)
            # One that ends by itself at this moment is ended, too.
            with suppress(KeyError, HTTPError):
                await manager.shutdown_kernel(kernel_id)

    async def watch(self, manager: Any) -> None:
        """Looks after the pages for as long as the server runs."""
        while True:
            await asyncio.sleep(LOOK_EVERY_SECONDS)
            await self.end_left(manager)


def make_page_routes() -> tuple[Route, ...]:
    """The routes by which a page says goodbye, and that it still loads."""
    return ((GOODBYE, GoodbyeHandler), (HERE, HereHandler))


def take_over_routes(routes: list[Route]) -> list[Route]:
    """Voila's routes, with tripkit's handlers in the place of those that they extend.

    Left out are its own goodbye, and the line by which a kernel asks what its page was asked for:
    it asks for no password, and no page of tripkit needs it.
    """
    own = {TornadoVoilaHandler: PageHandler, VoilaKernelWebsocketHandler: SocketHandler}
    left_out = (RequestInfoSocketHandler, VoilaShutdownKernelHandler)
    return [
        (path, own.get(handler, handler), *rest)
        for path, handler, *rest in routes
        if handler not in left_out
    ]


class GoodbyeHandler(APIHandler):
    """Ends the kernel of a page that is left; of one that is gone already there is nothing to say.

    A beacon carries no token against requests from elsewhere. The kernel's id, random and known
    to its page only, does the same: who cannot name a kernel cannot end one.
    """

    def check_xsrf_cookie(self) -> None:
        """Asked of the kernel's id instead."""

    @authenticated
    async def post(self, kernel_id: str) -> None:
        """The kernel is ended."""
        if kernel_id in self.kernel_manager:
            self.settings[SETTING].leave(kernel_id)
            await self.kernel_manager.shutdown_kernel(kernel_id)
        self.set_status(204)
        self.finish()


class HereHandler(APIHandler):
    """Hears that a page is still loading, and tells it whether its kernel lives."""

    @authenticated
    def get(self, kernel_id: str) -> None:
        """Nothing to say, or that there is no such kernel."""
        known = kernel_id in self.kernel_manager
        if known:
            self.settings[SETTING].hear(kernel_id)
        self.set_status(204 if known else 404)
        self.finish()


class PageHandler(TornadoVoilaHandler):
    """Voila's page, for somebody who came for it, from a kernel that lives."""

    _coming: Coming | None = None

    @property
    def kernel_manager(self) -> Any:
        """Voila's; a kernel that it gives out to this page is noted."""
        manager = super().kernel_manager
        return manager if self._coming is None else _Seating(manager, self._coming)

    @allow_unauthenticated
    async def get(self, path: str | None = None) -> None:
        """The page; to wait where all places are taken; or no page, and no kernel is started.

        A warm kernel that died meanwhile is replaced before it is given out.
        """
        if path:
            raise HTTPError(404)
        visit = find_visit(self.request.headers, self.request.host)
        if visit == "refused":
            raise HTTPError(403)
        if visit == "from elsewhere":
            show_page(self, "elsewhere.html")
            return
        if self.current_user is None:
            self.redirect(url_path_join(self.base_url, "login"))
            return
        pages: Pages = self.settings[SETTING]
        await pages.end_left(self.kernel_manager)
        if pages.is_full:
            self.set_status(503)
            self.set_header("Retry-After", str(TRY_AGAIN_SECONDS))
            show_page(self, "full.html", most=pages.most, seconds=TRY_AGAIN_SECONDS)
            return
        with pages.come() as coming:
            await replace_dead(self.kernel_manager)
            self._coming = coming
            await super().get()
        # Voila keeps for ever what each page was asked for.
        RequestInfoSocketHandler._cache.clear()


class _Seating:
    """Voila's kernel manager; a kernel that it gives out is noted as a page's."""

    def __init__(self, manager: Any, coming: Coming) -> None:
        self._manager = manager
        self._coming = coming

    def __getattr__(self, name: str) -> Any:
        return getattr(self._manager, name)

    async def get_rendered_notebook(self, **options: Any) -> Any:
        given = await self._manager.get_rendered_notebook(**options)
        self._coming.seat(given[2])
        return given

    async def start_kernel(self, **options: Any) -> str:
        kernel_id: str = await self._manager.start_kernel(**options)
        self._coming.seat(kernel_id)
        return kernel_id


class SocketHandler(VoilaKernelWebsocketHandler):
    """Voila's line between a page and its kernel."""

    _is_open = False

    async def open(self, kernel_id: str) -> None:
        """The line is open; its page is there."""
        self._is_open = True
        self.settings[SETTING].open_line(kernel_id)
        await super().open(kernel_id)

    def on_close(self) -> None:
        """The line ended."""
        if self._is_open:
            self._is_open = False
            silent_seconds = IOLoop.current().time() - self.last_pong
            self.settings[SETTING].end_line(self.kernel_id, silent_seconds)
        super().on_close()

    def write_error(self, status_code: int, **_: Any) -> None:
        """A page whose kernel is gone asks again and again; no page of errors is drawn for it."""
        self.finish()


async def replace_dead(manager: Any) -> None:
    """Kernels kept warm that live no more leave the pool, and others are started."""
    for notebook, pool in list(manager._pools.items()):
        dead = [task for task in pool if task.done() and not await _lives(manager, task)]
        for task in dead:
            if task in pool:
                pool.remove(task)
        if dead:
            manager.fill_if_needed(delay=0, notebook_name=notebook)


async def _lives(manager: Any, task: Any) -> bool:
    if task.cancelled() or task.exception() is not None:
        return False
    kernel_id = task.result()["kernel_id"]
    if kernel_id not in manager:
        return False
    return bool(await manager.get_kernel(kernel_id).is_alive())
