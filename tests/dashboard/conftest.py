"""A browser for each file of tests; between files no event loop of its own is left running."""

from __future__ import annotations

import pytest

from tests.dashboard.browsing import CHROMIUM, FLAGS


@pytest.fixture(scope="module")
def browser():
    sync_api = pytest.importorskip("playwright.sync_api")
    if CHROMIUM is None:
        pytest.skip("no chromium on this machine")
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield browser
        browser.close()
