"""One address for the dashboard: Voila with tripkit's own look, on this machine only.

Lets in voila, jupyter-server and tornado. `serve()` is the one door.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

# A grammar of international addresses: jsonschema takes it along where it is installed, and
# building it at import takes from one second to ten. No schema of the server asks for it.
SLOW_AND_UNUSED = "rfc3987_syntax"


def serve(yard_folder: str | Path, port: int = 8866, open_browser: bool = False) -> None:
    """Serve the dashboard of a yard folder until it is interrupted; see `app.serve`."""
    with _leave_out(SLOW_AND_UNUSED):
        from tripkit.serve import app

    app.serve(yard_folder, port=port, open_browser=open_browser)


@contextmanager
def _leave_out(module: str) -> Iterator[None]:
    """Whoever imports the module meanwhile is told that it is not installed."""
    if module in sys.modules:
        yield
        return
    sys.modules[module] = None  # type: ignore[assignment]
    try:
        yield
    finally:
        del sys.modules[module]


__all__ = ["serve"]
