"""The server's settings and its notebook, without starting it."""

from __future__ import annotations

import errno
import json
import os
import re
import socket
import subprocess
import sys
from pathlib import Path

import pytest
from tornado.web import Application, RequestHandler

from tests.patience import PATIENCE_SECONDS
from tests.ports import find_port
from tripkit.serve import serve
from tripkit.serve.app import (
    LOOPBACK,
    TEMPLATES,
    TripkitVoila,
    is_loopback,
    make_config,
    normalise_path,
)
from tripkit.serve.gate import LOGIN, LOGOUT
from tripkit.serve.kernels import GOODBYE, HERE
from tripkit.serve.notebook import CELLS, REPOSITORY, find_notebook, write_notebook
from tripkit.yard.errors import BadValue


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


def test_this_machine_only_has_no_password_and_knows_its_names(tmp_path):
    """Open to who sits here; a page from elsewhere under a name of its own is kept out."""
    config = make_config(tmp_path / "dashboard.ipynb", 8899, False)
    assert "token" not in config.TripkitVoila
    assert config.TripkitVoila.tornado_settings["allow_remote_access"] is False


def test_a_password_is_the_dashboard_s_and_a_proxy_may_have_any_name(tmp_path):
    """Bound elsewhere or behind a proxy, requests come under names the server does not know."""
    for changes in ({"ip": "0.0.0.0"}, {"public_address": "https://yard.example/"}):
        config = make_config(
            tmp_path / "dashboard.ipynb", 8899, False, password="sesame", **changes
        )
        assert config.TripkitVoila.token == "sesame"
        assert config.TripkitVoila.tornado_settings["allow_remote_access"] is True


class Started(Exception):
    """The server would start now."""


@pytest.mark.parametrize(
    ("options", "asks"),
    [
        ({}, False),
        ({"ip": "127.0.0.1"}, False),
        ({"password": "sesame"}, True),
        ({"ip": "0.0.0.0"}, True),
        ({"public_address": "https://yard.example/"}, True),
    ],
)
def test_bound_to_anything_else_the_dashboard_asks_for_a_password(
    tmp_path, monkeypatch, capsys, options, asks
):
    """One that nobody gave is made, printed, and has at least 128 bits; one given is not shown."""
    seen = []

    def start(app):
        seen.append(app)
        raise Started

    monkeypatch.setattr(TripkitVoila, "start", start)
    monkeypatch.setenv("TRIPKIT_SERVERS", "http://pc:5000, nominatim")
    with pytest.raises(Started):
        serve(tmp_path, port=find_free_port(), **options)
    (app,) = seen
    said = capsys.readouterr().out
    assert bool(app.token) is asks
    if "password" in options:
        assert "sesame" not in said
    elif asks:
        assert f"password, until it ends, is {app.token}\n" in said
        assert "?" not in said
        assert len(app.token) * 6 >= 128
    assert [path for path, *_ in app.routes] == [r"/feeds(?:/.*)?", LOGIN, LOGOUT, GOODBYE, HERE]
    assert "servers that a yard may name: http://pc:5000, nominatim\n" in said


@pytest.mark.parametrize(
    ("public", "secure"), [("https://yard.example/", True), ("http://yard.example/", False)]
)
def test_cookies_go_over_https_only_where_people_come_by_it(tmp_path, public, secure):
    """RFC 6265 section 5.2.5: Secure; neither cookie is for scripts or for other sites."""
    config = make_config(tmp_path / "dashboard.ipynb", 8899, False, public_address=public)
    assert bool(config.DoorKeeper.secure_cookie) is secure
    assert config.DoorKeeper.cookie_options["samesite"] == "Lax"
    form = config.TripkitVoila.tornado_settings["xsrf_cookie_kwargs"]
    assert (form["secure"], form["httponly"], form["samesite"]) == (secure, True, "Strict")


def find_free_port():
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return trial.getsockname()[1]


@pytest.mark.parametrize(
    ("path", "normal"),
    [("/", "/"), ("", "/"), ("stable", "/stable/"), ("/a/b/", "/a/b/"), ("//x//", "/x/")],
)
def test_a_base_path_begins_and_ends_with_a_slash(path, normal):
    """However it is given."""
    assert normalise_path(path) == normal


@pytest.mark.parametrize("path", ["/a b/", "/..", "/a?b", "/(.*)", "/\x00"])
def test_what_is_no_plain_path_is_refused(path):
    """It becomes part of a pattern and of every link."""
    with pytest.raises(BadValue, match="no path such as"):
        normalise_path(path)


@pytest.mark.parametrize(
    ("ip", "alone"),
    [
        ("127.0.0.1", True),
        ("127.0.0.9", True),
        ("::1", True),
        ("localhost", True),
        ("0.0.0.0", False),
        ("::", False),
        ("", False),
        ("192.168.1.5", False),
        ("yard.example", False),
    ],
)
def test_which_addresses_only_this_machine_reaches(ip, alone):
    """RFC 1122 section 3.2.1.3 (127/8) and RFC 4291 section 2.5.3 (::1); a name may be anything."""
    assert is_loopback(ip) is alone


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
        why = re.escape(os.strerror(errno.EADDRINUSE))
        with pytest.raises(BadValue, match=rf"port {port} cannot be used \({why}\)"):
            serve(tmp_path, port=port)


@pytest.mark.parametrize("ip", ["192.0.2.1", "999.1.1.1"])
def test_an_address_that_is_not_of_this_machine_is_refused_as_such(tmp_path, ip):
    """One of RFC 5737, which no machine has, and none at all: no other port would mend it."""
    with pytest.raises(BadValue, match=rf"address '{ip}' cannot be used \([^\[]*\)"):
        serve(tmp_path, ip=ip, port=find_port())


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
        "from tripkit.yard.errors import BadValue\n"
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
        timeout=PATIENCE_SECONDS,
        check=True,
    )
    assert ran.stdout.split() == ["True", "False"]
