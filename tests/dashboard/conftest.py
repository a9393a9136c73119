"""A browser for each file of tests; between files no event loop of its own is left running."""

from __future__ import annotations

import pytest
from playwright import sync_api

from tests.dashboard.browsing import CHROMIUM, FLAGS
from tests.outside.tools import miss


@pytest.fixture(scope="module")
def browser():
    if CHROMIUM is None:
        miss("chromium is not installed (Debian: chromium)")
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield browser
        browser.close()
