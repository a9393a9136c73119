"""What the machine of a test lets a yard ask."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from unittest.mock import patch


@contextmanager
def allow_server(*servers: str) -> Iterator[None]:
    """This machine lets a yard ask these servers, too."""
    allowed = " ".join((os.environ.get("TRIPKIT_SERVERS", ""), *servers))
    with patch.dict(os.environ, {"TRIPKIT_SERVERS": allowed}):
        yield
