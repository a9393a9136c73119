"""Where the outside programs are, and what to do where one is missing.

Without one its tests are skipped; where TRIPKIT_OUTSIDE is `all`, as in `.ci/run`, they fail.
"""

from __future__ import annotations

import ctypes.util
import os
import shutil
from pathlib import Path

import pytest

HERE = Path(__file__).parent


def find_program(name: str) -> str:
    """The path of a program."""
    found = shutil.which(name)
    if found is None:
        miss(f"{name} is not installed (Debian: {name})")
    return found or ""


def find_node_modules() -> Path:
    """The folder of npm's packages of `package.json`, named by TRIPKIT_NODE_MODULES."""
    folder = Path(os.environ.get("TRIPKIT_NODE_MODULES", "") or HERE / "node_modules")
    if not (folder / "ical.js").is_dir():
        miss("TRIPKIT_NODE_MODULES names no folder with ical.js (npm ci in tests/outside)")
    return folder


def find_library(name: str) -> str:
    """The file of a shared library."""
    found = ctypes.util.find_library(name)
    if found is None:
        miss(f"lib{name} is not installed (Debian: lib{name}3)")
    return found or ""


def miss(what: str) -> None:
    """Skip the test, or fail where everything has to be there."""
    if os.environ.get("TRIPKIT_OUTSIDE") == "all":
        pytest.fail(what)
    pytest.skip(what)
