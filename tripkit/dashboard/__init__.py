"""The dashboard: one Desk that holds the state, and parts of a page that know only the Desk.

Lets in ipywidgets and anywidget. `open_dashboard()` is the one door; `words/page` holds every
word of the page. `desk` is the Desk, `page` puts the chapters together, `chapters` and the files
`…page` and `…part` are what each shows, `outcome` what came of a planning.
Never imports the planner or the server at import: heavy folders load on first use.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import ipywidgets

__all__ = ["open_dashboard"]


def open_dashboard(
    folder: str | None = None, circuits_file: str | None = None
) -> ipywidgets.Widget:
    """The page of a yard folder; see `page.open_dashboard`."""
    from tripkit.dashboard import page

    return page.open_dashboard(folder, circuits_file)
