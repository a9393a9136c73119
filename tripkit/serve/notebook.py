"""Where the three cells of the dashboard are: in the clone, else written anew."""

from __future__ import annotations

import json
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[2]
CELLS = (
    "from tripkit.dashboard import open_dashboard",
    "page = open_dashboard()",
    "page",
)


def find_notebook(scratch: Path) -> Path:
    """The clone's `dashboard.ipynb`; an installed package has none, so one is put in `scratch`."""
    shipped = REPOSITORY / "dashboard.ipynb"
    if shipped.is_file() and (REPOSITORY / "pyproject.toml").is_file():
        return shipped
    made = scratch / "dashboard.ipynb"
    made.write_text(write_notebook(), encoding="utf-8")
    return made


def write_notebook() -> str:
    """The notebook as text: three cells, no logic."""
    cells: list[dict[str, object]] = [
        {
            "cell_type": "code",
            "execution_count": None,
            "id": f"cell-{i + 1}",
            "metadata": {},
            "outputs": [],
            "source": [source],
        }
        for i, source in enumerate(CELLS)
    ]
    metadata = {
        "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
        "language_info": {"name": "python"},
        "title": "Season card",
    }
    notebook = {"cells": cells, "metadata": metadata, "nbformat": 4, "nbformat_minor": 5}
    return json.dumps(notebook, indent=1, ensure_ascii=False) + "\n"
