"""One address for dashboard and feeds: Voila with tripkit's own look and routes.

Lets in voila, jupyter-server and tornado. `serve()` is the one door.
`app` is the server, `handlers` answer for the feeds what `shelf` has in memory, `gate` asks for the
password, `kernels` ends what nobody looks at, `upkeep` looks after the store.
Never imports the planner: no handler computes a plan.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

# A grammar of international addresses: jsonschema takes it along where it is installed, and
# building it at import takes from one second to ten. No schema of the server asks for it.
SLOW_AND_UNUSED = "rfc3987_syntax"


def serve(
    yard_folder: str | Path,
    port: int = 8866,
    open_browser: bool = False,
    *,
    ip: str = "127.0.0.1",
    base_url: str = "/",
    public_address: str = "",
    password: str = "",
    most_pages: int | None = None,
) -> None:
    """Serve dashboard and feeds of a yard folder until it is interrupted; see `app.serve`."""
    with leave_out(SLOW_AND_UNUSED):
        from tripkit.serve import app, kernels

    app.serve(
        yard_folder,
        port=port,
        open_browser=open_browser,
        ip=ip,
        base_url=base_url,
        public_address=public_address,
        password=password,
        most_pages=kernels.MOST_PAGES if most_pages is None else most_pages,
    )


@contextmanager
def leave_out(module: str) -> Iterator[None]:
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
