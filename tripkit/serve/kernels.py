"""The kernels behind the pages: one that a page left is ended, one that died is given to nobody."""

from __future__ import annotations

from typing import Any

from jupyter_server.base.handlers import APIHandler
from tornado.web import authenticated
from voila.tornado.handler import TornadoVoilaHandler
from voila.tornado.kernel_websocket_handler import VoilaKernelWebsocketHandler

Route = tuple[Any, ...]
GOODBYE = r"/voila/api/shutdown/([0-9a-f-]+)"


def make_goodbye_route() -> Route:
    """The route that a page which is left ends its kernel by, before Voila's own of that name."""
    return (GOODBYE, GoodbyeHandler)


def take_over_routes(routes: list[Route]) -> list[Route]:
    """Voila's routes, with tripkit's handlers in the place of those that they extend."""
    own = {TornadoVoilaHandler: PageHandler, VoilaKernelWebsocketHandler: SocketHandler}
    return [(path, own.get(handler, handler), *rest) for path, handler, *rest in routes]


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
            await self.kernel_manager.shutdown_kernel(kernel_id)
        self.set_status(204)
        self.finish()


class PageHandler(TornadoVoilaHandler):
    """Voila's page, from a kernel that lives."""

    @authenticated
    async def get(self, path: str | None = None) -> None:
        """The page; a warm kernel that died meanwhile is replaced before it is given out."""
        if not path:
            await replace_dead(self.kernel_manager)
        await super().get(path)


class SocketHandler(VoilaKernelWebsocketHandler):
    """Voila's line between a page and its kernel."""

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
