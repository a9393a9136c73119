"""A server of the made-up season for the browser test: `python -m tests.dashboard.served_season`.

It is tripkit's own server; only the notebook differs, because nothing in it must plan for real.
What stands behind the address's question mark is the kind of season that a visit sees.
"""

from __future__ import annotations

import json
import os
import sys
import time
from pathlib import Path
from types import SimpleNamespace

from tests.dashboard.season import HORSES, make_circuit, make_season
from tests.patience import PATIENCE_SECONDS
from tripkit.dashboard.desk import Desk
from tripkit.dashboard.errands import Doors
from tripkit.dashboard.page import make_page
from tripkit.serve import SLOW_AND_UNUSED, leave_out
from tripkit.yard.circuit import Circuit

STEPS = 8
FIELDS = ("Upper Paddock", "Mill Field", "Long Acre", "Water Meadow")
ODD_NAMES = (
    "<script>alert(1)</script>",
    "x" * 200,
    "\N{HORSE} \u202e\u05de\u05e8\u05d9\u05dd",
    'O\'Hara "Q" & Co',
)


KINDS = {
    "": HORSES,
    "odd": ODD_NAMES,
    "one": HORSES[:1],
    "none": HORSES[:3],
    "forty": tuple(f"{name} of the {field}" for field in FIELDS for name in HORSES)[:40],
}


def show_season(folder: str):
    """The page of the made-up season; planning ends soon, and planned again when it is stopped.

    The kind is empty for the twelve horses, `odd` for names that nobody should have, `one` for one
    horse, `forty` for forty, `none` for a season in which no circuit keeps every rule; what is kept
    of one kind is not there for another.
    """
    kind = os.environ["QUERY_STRING"]
    kept = Path(folder, kind)
    kept.mkdir(exist_ok=True)
    yard = make_season(KINDS[kind])
    circuits = (
        make_circuit(yard, "most worth", "most worth", "Coast"),
        make_circuit(yard, "least road", "least road", "Hills", 3),
        make_circuit(yard, "tour Hills", "tour Hills", "Hills", 5),
    )

    if kind == "none":
        reason = "Alder at Dothan 1: entries closed on 2027-02-20"
        circuits = (Circuit("most worth", "most worth", "none exists", reasons=(reason,)),)

    begun = []

    def plan(yard, keep, seconds, report, should_stop):
        begun.append(True)
        for i in range(STEPS if len(begun) == 1 else PATIENCE_SECONDS * STEPS):
            if should_stop():
                break
            step = {"goal": "most worth", "stage": "searching", "objective": 400.0 + i % STEPS}
            report(SimpleNamespace(**step, bound=420.0, seconds=i / STEPS))
            time.sleep(1 / STEPS)
        return circuits

    # Made-up circuits break rules; that a page asks back is tested in test_one_state.
    doors = Doors(read_yard=lambda folder: yard, plan=plan, find_violations=lambda *_: ())
    desk = Desk(str(kept), doors=doors)
    desk.open()
    return make_page(desk)


def write_notebook(folder: Path) -> Path:
    """A notebook with one cell that shows the season."""
    root = str(Path(__file__).resolve().parents[2])
    source = (
        f"import sys; sys.path.insert(0, {root!r})\n"
        "from tests.dashboard.served_season import show_season\n"
        f"show_season({str(folder)!r})"
    )
    cell = {
        "cell_type": "code",
        "execution_count": None,
        "id": "season",
        "metadata": {},
        "outputs": [],
        "source": source,
    }
    kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
    metadata = {"kernelspec": kernel, "title": "Season card"}
    notebook = {"cells": [cell], "metadata": metadata, "nbformat": 4, "nbformat_minor": 5}
    path = folder / "season.ipynb"
    path.write_text(json.dumps(notebook), encoding="utf-8")
    return path


def main(folder: str, port: str) -> None:
    """Serve until the process is ended; a kernel begins when a visit has said what it wants."""
    with leave_out(SLOW_AND_UNUSED):
        from tripkit.serve.app import TripkitVoila, make_config

    config = make_config(write_notebook(Path(folder)), int(port), False)
    config.VoilaConfiguration.default_pool_size = 0
    app = TripkitVoila(config=config)
    app.initialize([])
    app.start()


if __name__ == "__main__":
    main(*sys.argv[1:])
