"""The sample yard with four of its horses: real files that the real planner plans in seconds."""

from __future__ import annotations

import csv
import shutil
from pathlib import Path

from tests.dashboard.browsing import ROOT

HORSES = ("Alder", "Bracken", "Clover", "Damson")


def write_small_yard(folder: Path) -> Path:
    """A yard folder whose tables hold these horses alone; everything else is the sample's."""
    folder.mkdir(parents=True)
    for path in sorted((ROOT / "sample_calendar").iterdir()):
        if path.suffix != ".csv":
            shutil.copyfile(path, folder / path.name)
            continue
        with path.open(encoding="utf-8", newline="") as opened:
            rows = list(csv.DictReader(opened))
            heads = list(rows[0])
        kept = [r for r in rows if not r.get("horse") or r["horse"] in HORSES]
        if path.name == "absences.csv":
            kept = []
        with (folder / path.name).open("w", encoding="utf-8", newline="") as opened:
            writer = csv.DictWriter(opened, heads)
            writer.writeheader()
            writer.writerows(kept)
    return folder
