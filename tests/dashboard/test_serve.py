"""The server's settings and its notebook, without starting it."""

from __future__ import annotations

import json
import re
import socket
import subprocess
import sys
from pathlib import Path

import pytest
from tornado.web import Application, RequestHandler

from tripkit.errors import BadValue
from tripkit.serve import serve
from tripkit.serve.app import LOOPBACK, TEMPLATES, TripkitVoila, make_config
from tripkit.serve.notebook import CELLS, REPOSITORY, find_notebook, write_notebook


class Hello(RequestHandler):
    """Anything that answers."""


@pytest.fixture
def app(tmp_path):
    notebook = tmp_path / "dashboard.ipynb"
    notebook.write_text(write_notebook())
    config = make_config(notebook, 8899, False)
    config.VoilaConfiguration.preheat_kernel = False
    app = TripkitVoila(config=config)
    app.initialize([])
    app.app = Application(**app.init_settings())
    return app


def test_the_server_listens_to_this_machine_only(tmp_path):
    """The loopback address, and a taken port is an error instead of another port."""
    config = make_config(tmp_path / "dashboard.ipynb", 8899, False)
    assert config.TripkitVoila.ip == LOOPBACK == "127.0.0.1"
    assert config.TripkitVoila.port_retries == 0


def test_idle_kernels_are_ended(app):
    """A closed tab does not end its kernel, so the server does (shared/web.md, section 5)."""
    assert app.kernel_manager.cull_idle_timeout == 600
    assert app.kernel_manager.cull_interval == 60


def test_tripkits_page_is_found_before_voilas(app):
    """The first index.html.j2 on the way is tripkit's."""
    assert app.template_paths[0] == str(TEMPLATES)
    assert (TEMPLATES / "index.html.j2").is_file()


def test_own_routes_come_before_the_catch_all(app):
    """Voila's last route takes any address; a route of tripkit must be asked first."""
    app.routes = ((r"/hello", Hello),)
    handlers = app.init_handlers()
    assert handlers[0] == ("/hello", Hello)
    assert handlers[-1][0].endswith("/(.*)")


def test_no_file_of_the_folder_is_allowed_out(app):
    """The only pattern allowed matches no name at all."""
    patterns = app.voila_configuration.file_allowlist
    assert patterns
    assert not any(re.fullmatch(p, name) for p in patterns for name in ("a.png", "", "x.ics"))


def test_the_notebook_is_three_cells_without_logic():
    """The clone's notebook is the one that an installed package writes, cell by cell."""
    shipped = json.loads((REPOSITORY / "dashboard.ipynb").read_text(encoding="utf-8"))
    assert ["".join(cell["source"]) for cell in shipped["cells"]] == list(CELLS)
    assert len(CELLS) == 3
    assert json.loads(write_notebook())["cells"] == shipped["cells"]


def test_a_clone_shows_its_own_notebook(tmp_path):
    """Nothing is written where the repository's notebook is at hand."""
    if not (REPOSITORY / "pyproject.toml").is_file():
        pytest.skip("not a clone")
    assert find_notebook(tmp_path) == REPOSITORY / "dashboard.ipynb"
    assert list(tmp_path.iterdir()) == []


def test_an_installed_package_writes_its_notebook(tmp_path, monkeypatch):
    """Where no repository is around the package, the notebook is put where asked."""
    monkeypatch.setattr("tripkit.serve.notebook.REPOSITORY", Path(tmp_path / "site-packages"))
    made = find_notebook(tmp_path)
    assert made == tmp_path / "dashboard.ipynb"
    assert made.read_text(encoding="utf-8") == write_notebook()


def test_a_folder_that_is_not_there_is_refused_before_anything_starts(tmp_path):
    """Bad input is told at once, with the name as it was given."""
    with pytest.raises(BadValue, match="no yard folder"):
        serve(tmp_path / "nowhere")


def test_a_taken_port_is_refused(tmp_path):
    """Another program listens there: say so instead of moving elsewhere in silence."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(BadValue, match=f"port {port} cannot be used"):
            serve(tmp_path, port=port)


def test_the_template_asks_no_content_network():
    """Nothing in tripkit's page names an address outside; Voila's own head is replaced."""
    text = (TEMPLATES / "index.html.j2").read_text(encoding="utf-8")
    assert "http:" not in text
    assert "https:" not in text


def test_the_server_starts_without_the_slow_grammar():
    """A fresh interpreter loads the server and never builds it; afterwards it can be imported."""
    source = (
        "import sys\n"
        "from tripkit.serve import SLOW_AND_UNUSED, serve\n"
        "from tripkit.errors import BadValue\n"
        "try:\n"
        "    serve('nowhere at all')\n"
        "except BadValue:\n"
        "    print('voila' in sys.modules, SLOW_AND_UNUSED in sys.modules)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", source],
        cwd=REPOSITORY,
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    assert ran.stdout.split() == ["True", "False"]
