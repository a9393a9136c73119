"""A browser for each file of tests; between files no event loop of its own is left running."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright import sync_api

from tests.dashboard.browsing import CHROMIUM, FLAGS, serve
from tests.outside.tools import miss
from tests.patience import PATIENCE_SECONDS
from tests.ports import find_port


def _make_patient(make: Callable[..., Any]) -> Callable[..., Any]:
    """What is made waits as long as a busy machine may take, and moves nothing meanwhile.

    What moves while the planner works would be drawn sixty times a second, beside the planner.
    """

    def make_one(**options: Any) -> Any:
        made = make(reduced_motion="reduce", **options)
        made.set_default_timeout(PATIENCE_SECONDS * 1000)
        return made

    return make_one


@pytest.fixture(scope="module")
def browser():
    if CHROMIUM is None:
        miss("chromium is not installed (Debian: chromium)")
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        for name in ("new_context", "new_page"):
            setattr(browser, name, _make_patient(getattr(browser, name)))
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of the made-up season; `?odd` and the like ask for one of its other kinds."""
    folder, port = tmp_path_factory.mktemp("served"), find_port()
    asked = ("tests.dashboard.served_season", str(folder), str(port))
    with serve(port, *asked, log=folder / "log") as url:
        yield url
