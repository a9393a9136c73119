"""The server: a Voila that knows tripkit's page, binds this machine only and ends idle kernels.

Served pages ask nobody else for anything: the template leaves out what Voila would fetch from a
content network.
"""

from __future__ import annotations

import logging
import os
import socket
import tempfile
from pathlib import Path
from typing import Any

from jupyter_server.utils import url_path_join
from tornado.web import GZipContentEncoding
from traitlets.config import Config
from voila.app import Voila

from tripkit.errors import BadValue
from tripkit.serve.notebook import REPOSITORY, find_notebook

TEMPLATES = Path(__file__).parent / "templates"
LOOPBACK = "127.0.0.1"
CULL_AFTER_SECONDS = 600
CULL_EVERY_SECONDS = 60
WARM_KERNELS = 1

Route = tuple[Any, ...]
ROUTES: tuple[Route, ...] = ()


class TripkitVoila(Voila):
    """Voila with tripkit's template, and with `routes` that come before its catch-all."""

    name = "tripkit"
    routes: tuple[Route, ...] = ROUTES

    def setup_template_dirs(self) -> None:
        """Tripkit's page is found before Voila's own of the same name."""
        super().setup_template_dirs()
        self.template_paths: list[str] = [str(TEMPLATES), *self.template_paths]

    def init_handlers(self) -> list[Route]:
        """Every route of tripkit is asked before Voila's, whose last one takes any address."""
        self.app.transforms.append(GZipContentEncoding)
        own = [(url_path_join(self.server_url, path), *rest) for path, *rest in self.routes]
        return own + super().init_handlers()


def make_config(notebook: Path, port: int, open_browser: bool) -> Config:
    """The settings of the server: this machine only, warm kernels, idle ones ended."""
    config = Config()
    config.TripkitVoila.notebook_path = str(notebook)
    config.TripkitVoila.root_dir = str(notebook.parent)
    config.TripkitVoila.ip = LOOPBACK
    config.TripkitVoila.port = port
    config.TripkitVoila.open_browser = open_browser
    config.TripkitVoila.log_level = "ERROR"
    # A page from elsewhere must not reach the card under a name of its own (DNS rebinding).
    config.TripkitVoila.tornado_settings = {"allow_remote_access": False}
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
    return config


def serve(
    yard_folder: str | Path,
    port: int = 8866,
    open_browser: bool = False,
    circuits_file: str | Path | None = None,
) -> None:
    """Serve the dashboard of a yard folder on this machine until it is interrupted.

    The kernels learn the folder by TRIPKIT_YARD (and TRIPKIT_CIRCUITS); the notebook is the
    `dashboard.ipynb` of the clone, or one of the same three cells written for the occasion.
    Raises `BadValue` for a folder that is not there and a port that is taken.
    """
    if not Path(yard_folder).exists():
        raise BadValue(f"{str(yard_folder)!r} is no yard folder: it does not exist")
    _check_port(port)
    os.environ["TRIPKIT_YARD"] = str(Path(yard_folder).resolve())
    if circuits_file is not None:
        os.environ["TRIPKIT_CIRCUITS"] = str(Path(circuits_file).resolve())
    # Kernels must run the tripkit that serves, also where it runs from a clone uninstalled.
    known = os.environ.get("PYTHONPATH", "").split(os.pathsep)
    if str(REPOSITORY) not in known:
        os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, [str(REPOSITORY), *known]))
    with tempfile.TemporaryDirectory(prefix="tripkit-") as scratch:
        notebook = find_notebook(Path(scratch))
        app = TripkitVoila(config=make_config(notebook, port, open_browser))
        app.initialize([])
        # jupyter-server gives tornado milliseconds for seconds; the remark helps no visitor.
        logging.getLogger("tornado.general").setLevel(logging.ERROR)
        print(
            f"tripkit: the season card is at http://{LOOPBACK}:{port}/ (Ctrl+C ends it)", flush=True
        )
        app.start()


def _check_port(port: int) -> None:
    with socket.socket() as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((LOOPBACK, port))
        except (OSError, OverflowError) as bad:
            raise BadValue(f"port {port} cannot be used ({bad}); choose another") from None
