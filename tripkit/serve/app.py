"""The server: a Voila that knows tripkit's page and feeds, and ends idle kernels.

It binds this machine only, unless told otherwise; then the dashboard asks for a password.

Served pages ask nobody else for anything: the template leaves out what Voila would fetch from a
content network.
"""

from __future__ import annotations

import errno
import logging
import os
import re
import secrets
import socket
import tempfile
from ipaddress import ip_address
from pathlib import Path
from typing import Any

from jupyter_server.utils import url_path_join
from tornado.ioloop import IOLoop
from tornado.log import access_log
from tornado.web import GZipContentEncoding, RequestHandler
from traitlets.config import Config
from voila.app import Voila

from tripkit.publishing.served import normalise_address
from tripkit.roads.allowed import list_allowed
from tripkit.serve.gate import HEADERS, LOGGERS, LOGIN, DoorKeeper, SecretsFilter, make_door_routes
from tripkit.serve.handlers import make_feed_route
from tripkit.serve.kernels import (
    MOST_PAGES,
    PING_EVERY_MS,
    PONG_WITHIN_MS,
    SETTING,
    Pages,
    Route,
    make_page_routes,
    take_over_routes,
)
from tripkit.serve.notebook import REPOSITORY, find_notebook
from tripkit.serve.shelf import FeedBook
from tripkit.serve.sockets import BoundedServer
from tripkit.serve.upkeep import Upkeep
from tripkit.store import open_store
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state

TEMPLATES = Path(__file__).parent / "templates"
LOOPBACK = "127.0.0.1"
EVERYWHERE = ("", "0.0.0.0", "::")
PASSWORD_BYTES = 24
PLAIN_PART = re.compile(r"[A-Za-z0-9_-]+")
CULL_AFTER_SECONDS = 600
CULL_EVERY_SECONDS = 60
WARM_KERNELS = 1

ROUTES: tuple[Route, ...] = (*make_door_routes(), *make_page_routes())


class TripkitVoila(Voila):
    """Voila with tripkit's template, and with `routes` that come before its catch-all."""

    name = "tripkit"
    routes: tuple[Route, ...] = ROUTES
    most_pages = MOST_PAGES

    def setup_template_dirs(self) -> None:
        """Tripkit's page is found before Voila's own of the same name."""
        super().setup_template_dirs()
        self.template_paths: list[str] = [str(TEMPLATES), *self.template_paths]

    def init_settings(self) -> dict[str, Any]:
        """Voila's, with pages of tripkit's own for the door and for what goes wrong."""
        settings = super().init_settings()
        pages = settings["voila_jinja2_env"]
        return {**settings, "jinja2_env": pages, SETTING: Pages(self.most_pages)}

    def listen(self) -> None:
        """No request takes more than its share; pages that are left lose their kernels."""
        app, pages = self.app, self.app.settings[SETTING]
        app.listen = lambda port, address: BoundedServer(app).listen(port, address)
        IOLoop.current().add_callback(pages.watch, self.kernel_manager)
        super().listen()

    def init_handlers(self) -> list[Route]:
        """Every route of tripkit is asked before Voila's, whose last one takes any address."""
        self.app.transforms.append(GZipContentEncoding)
        own = [(url_path_join(self.server_url, path), *rest) for path, *rest in self.routes]
        return own + take_over_routes(super().init_handlers())


def make_config(
    notebook: Path,
    port: int,
    open_browser: bool,
    *,
    ip: str = LOOPBACK,
    base_url: str = "/",
    password: str = "",
    public_address: str = "",
) -> Config:
    """The settings of the server: warm kernels, idle ones ended, no address in any log.

    Without a `password` the dashboard is open to whoever reaches it; see `serve`. Where
    `public_address` is https, cookies go over https only.
    """
    config = Config()
    config.TripkitVoila.notebook_path = str(notebook)
    config.TripkitVoila.root_dir = str(notebook.parent)
    config.TripkitVoila.ip = ip
    config.TripkitVoila.port = port
    config.TripkitVoila.base_url = base_url
    config.TripkitVoila.open_browser = open_browser
    config.TripkitVoila.log_level = "ERROR"
    if password:
        config.TripkitVoila.token = password
    config.TripkitVoila.identity_provider_class = DoorKeeper
    secure = public_address.startswith("https:")
    config.DoorKeeper.cookie_options = {"samesite": "Lax"}
    config.DoorKeeper.secure_cookie = secure or None
    config.TripkitVoila.tornado_settings = {
        # A page from elsewhere must not reach the card under a name of its own (DNS rebinding);
        # a password keeps it out where the server has names that it does not know.
        "allow_remote_access": bool(public_address) or not is_loopback(ip),
        "headers": HEADERS,
        "log_function": log_answer,
        "login_url": base_url.rstrip("/") + LOGIN,
        # What a page is drawn from packs to a tenth.
        "websocket_compression_options": {"compression_level": 1, "mem_level": 8},
        "ws_ping_interval": PING_EVERY_MS,
        "ws_ping_timeout": PONG_WITHIN_MS,
        "xsrf_cookie_kwargs": {
            "httponly": True,
            "samesite": "Strict",
            "secure": secure,
            "path": base_url,
        },
    }
    # Another program may sit on the port: saying so is better than another address in silence.
    config.TripkitVoila.port_retries = 0
    config.VoilaConfiguration.template = "lab"
    config.VoilaConfiguration.allow_template_override = "NO"
    config.VoilaConfiguration.allow_theme_override = "NO"
    config.VoilaConfiguration.file_allowlist = ["(?!)"]
    config.VoilaConfiguration.preheat_kernel = True
    config.VoilaConfiguration.default_pool_size = WARM_KERNELS
    if os.name == "posix":
        # Sockets of this user instead of ports that every user of the machine could reach.
        config.KernelManager.transport = "ipc"
    config.MappingKernelManager.cull_idle_timeout = CULL_AFTER_SECONDS
    config.MappingKernelManager.cull_interval = CULL_EVERY_SECONDS
    # A kernel started in the place of a dead one knows nothing of its page: dead is said at once.
    config.KernelRestarter.restart_limit = 0
    return config


def serve(
    yard_folder: str | Path,
    port: int = 8866,
    open_browser: bool = False,
    circuits_file: str | Path | None = None,
    *,
    ip: str = LOOPBACK,
    base_url: str = "/",
    public_address: str = "",
    password: str = "",
    most_pages: int = MOST_PAGES,
) -> None:
    """Serve dashboard and feeds of a yard folder until interrupted.

    The kernels learn the folder by TRIPKIT_YARD (and TRIPKIT_CIRCUITS); the notebook is the
    `dashboard.ipynb` of the clone, or one of the same three cells written for the occasion.

    `base_url` is the path that a reverse proxy passes on unchanged, `public_address` where people
    reach the server. Bound to anything but this machine, or with a public address, the dashboard
    asks for the password; without one a new one is made and printed. Feeds ask for nothing but
    their secret address. Of `most_pages` pages each has a kernel; one more waits.

    Raises `BadValue` for a folder that is not there, an address or a port that cannot be used,
    `BadStore` where the yard's store cannot be read.
    """
    if not Path(yard_folder).exists():
        raise BadValue(state("values.no-yard-folder-it-does", yard_folder=str(yard_folder)))
    _check_port(ip, port)
    base_url = normalise_path(base_url)
    address = normalise_address(public_address) if public_address else make_url(ip, port, base_url)
    made = not password and (bool(public_address) or not is_loopback(ip))
    if made:
        password = secrets.token_urlsafe(PASSWORD_BYTES)
    store = open_store(yard_folder)
    book = FeedBook(store)
    book.read()
    os.environ["TRIPKIT_YARD"] = str(Path(yard_folder).resolve())
    # Paths of this machine may be named on the page only where nobody else reaches it.
    own = is_loopback(ip) and not public_address
    os.environ["TRIPKIT_LOOPBACK"] = "1" if own else "0"
    if circuits_file is not None:
        os.environ["TRIPKIT_CIRCUITS"] = str(Path(circuits_file).resolve())
    # Kernels must run the tripkit that serves, also where it runs from a clone uninstalled.
    known = os.environ.get("PYTHONPATH", "").split(os.pathsep)
    if str(REPOSITORY) not in known:
        os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, [str(REPOSITORY), *known]))
    with tempfile.TemporaryDirectory(prefix="tripkit-") as scratch:
        notebook = find_notebook(Path(scratch))
        config = make_config(
            notebook,
            port,
            open_browser,
            ip=ip,
            base_url=base_url,
            password=password,
            public_address=public_address,
        )
        app = TripkitVoila(config=config)
        app.most_pages = most_pages
        app.initialize([])
        app.routes = (make_feed_route(book, base_url), *ROUTES)
        # jupyter-server gives tornado milliseconds for seconds, and a page whose kernel is gone
        # asks for it every few seconds: such remarks help nobody.
        for name in ("tornado.general", "tornado.application"):
            logging.getLogger(name).setLevel(logging.ERROR)
        hide = SecretsFilter()
        for log in (app.log, *map(logging.getLogger, LOGGERS)):
            log.addFilter(hide)
        upkeep = Upkeep(store, address, told=bool(public_address) or not is_loopback(ip))
        upkeep.start()
        print(f"tripkit: the season card is at {address} (Ctrl+C ends it)", flush=True)
        if made:
            print(f"tripkit: its password, until it ends, is {password}", flush=True)
        allowed = ", ".join(list_allowed()) or "none"
        print(f"tripkit: road and place servers that a yard may name: {allowed}", flush=True)
        try:
            app.start()
        finally:
            upkeep.stop()
            store.close()


def make_url(ip: str, port: int, base_url: str) -> str:
    """Where a server is reached that nobody gave another address."""
    host = socket.gethostname() if ip in EVERYWHERE else ip
    return f"http://{f'[{host}]' if ':' in host else host}:{port}{base_url}"


def normalise_path(path: str) -> str:
    """A base path begins and ends with a slash.

    Raises `BadValue` for what is no plain path.

    >>> normalise_path("stable"), normalise_path("/"), normalise_path("/a/b/")
    ('/stable/', '/', '/a/b/')
    """
    parts = [part for part in path.split("/") if part]
    if not all(PLAIN_PART.fullmatch(part) for part in parts):
        raise BadValue(state("values.no-path-such-as-stable", path=path))
    return "/".join(["", *parts, ""])


def is_loopback(ip: str) -> bool:
    """Whether only programs of this machine reach an address."""
    if ip == "localhost":
        return True
    try:
        return ip_address(ip).is_loopback
    except ValueError:
        return False


def log_answer(handler: RequestHandler) -> None:
    """One line per answer, without the address: some of them are secret."""
    access_log.info("%d %s", handler.get_status(), handler.request.method)


def _check_port(ip: str, port: int) -> None:
    try:
        family, kind, protocol, _, where = socket.getaddrinfo(
            ip, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        with socket.socket(family, kind, protocol) as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            trial.bind(where)
    except (OSError, OverflowError, UnicodeError) as bad:
        why = getattr(bad, "strerror", None) or str(bad)
        number = getattr(bad, "errno", None)
        if isinstance(bad, OverflowError) or number in (errno.EADDRINUSE, errno.EACCES):
            fact = state("values.port-cannot-be-used-choose", port=port, bad=why)
        else:
            fact = state("values.address-cannot-be-used-give", ip=ip, bad=why)
        raise BadValue(fact) from None
