"""One address for the dashboard: Voila with tripkit's own look, on this machine only.

Lets in voila, jupyter-server and tornado. `serve()` is the one door.
"""

from __future__ import annotations

from pathlib import Path


def serve(yard_folder: str | Path, port: int = 8866, open_browser: bool = False) -> None:
    """Serve the dashboard of a yard folder until it is interrupted; see `app.serve`."""
    from tripkit.serve import app

    app.serve(yard_folder, port=port, open_browser=open_browser)


__all__ = ["serve"]
