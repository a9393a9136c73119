"""How long tripkit takes and how much memory, on the sample yard: `python -m tests.bench.measure`.

Each row is a process of its own or a step inside one, the best of several runs where it is short.
Limits are what the project wants to keep. Nothing here is run by the tests.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
MEGABYTE = 1024 * 1024
LIMITS = {"plan": "60 s", "plan memory": "600 MB", "import": "0.15 s"}

STEPS = """
import json, sys, time
import tripkit

def measure(work):
    began = time.perf_counter()
    answer = work()
    return time.perf_counter() - began, answer

yard_folder, circuits_file, out = sys.argv[1:]
first, yard = measure(lambda: tripkit.read_yard(yard_folder))
read = min(measure(lambda: tripkit.read_yard(yard_folder))[0] for _ in range(3))
found = min(measure(lambda: tripkit.findings(yard))[0] for _ in range(3))
circuits = [c for c in tripkit.read_circuits(circuits_file, yard) if c.exists]
judge, _ = measure(lambda: [tripkit.judge(yard, c) for c in circuits])
compare, _ = measure(lambda: tripkit.compare(yard, circuits[0], circuits[-1]))
feeds, paths = measure(lambda: tripkit.feeds(yard, circuits[0], out))
print(json.dumps({
    "reading, first time": first,
    "reading again": read,
    "findings": found,
    f"judging {len(circuits)} circuits": judge,
    "comparing two": compare,
    f"feeds, {len(paths)} files": feeds,
}))
"""


def run_process(*command: str) -> tuple[float, float, str]:
    """A process runs to its end: seconds, most memory at once [MB], standard output.

    Where it does not end with 0, what it complained of ends the measurement.
    """
    with tempfile.TemporaryFile("w+") as said, tempfile.TemporaryFile("w+") as wrong:
        began = time.perf_counter()
        process = subprocess.Popen(command, cwd=ROOT, stdout=said, stderr=wrong)
        _, status, usage = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - began
        process.returncode = os.waitstatus_to_exitcode(status)
        said.seek(0)
        wrong.seek(0)
        if process.returncode:
            raise SystemExit(f"{said.read()}{wrong.read()}exit {process.returncode}")
        return seconds, _read_peak(usage), said.read()


def _read_peak(usage: resource.struct_rusage) -> float:
    # Linux counts in kilobytes, macOS in bytes.
    unit = 1 if sys.platform == "darwin" else 1024
    return usage.ru_maxrss * unit / MEGABYTE


def best_of(times: int, measure: Callable[[], float]) -> float:
    """The shortest of several measurements [s]."""
    return min(measure() for _ in range(times))


def measure_import() -> float:
    """Seconds that `import tripkit` takes in a new process."""
    look = "import time; t = time.perf_counter(); import tripkit; print(time.perf_counter() - t)"
    return float(run_process(sys.executable, "-c", look)[2])


def measure_all(yard: Path, runs: int) -> list[tuple[str, str, str]]:
    """All rows: what, measured, limit."""
    rows = [("import tripkit", write(best_of(5, measure_import)), LIMITS["import"])]
    with tempfile.TemporaryDirectory() as scratch:
        circuits = Path(scratch) / "c.json"
        plans = [
            run_process(sys.executable, "-m", "tripkit", "plan", str(yard), "--out", str(circuits))
            for _ in range(runs)
        ]
        seconds, peak, _ = min(plans)
        made: list[dict[str, Any]] = json.loads(circuits.read_text(encoding="utf-8"))["circuits"]
        rows.append(("tripkit plan, whole process", write(seconds), LIMITS["plan"]))
        rows.append(("  most memory at once", f"{peak:.0f} MB", LIMITS["plan memory"]))
        for circuit in made:
            label = f"  {circuit['name']}: {circuit['status']}"
            rows.append((label, write(circuit["seconds"]), ""))
        out = str(Path(scratch) / "feeds")
        steps = run_process(sys.executable, "-c", STEPS, str(yard), str(circuits), out)[2]
        rows += [(name, write(seconds), "") for name, seconds in json.loads(steps).items()]
    return rows


def write(seconds: float) -> str:
    """Seconds with as many decimals as say something."""
    return f"{seconds:.1f} s" if seconds >= 1 else f"{seconds:.3f} s"


def main() -> None:
    """Measures and prints the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("yard", nargs="?", type=Path, default=ROOT / "sample_calendar")
    parser.add_argument("--runs", type=int, default=1, help="plans to run, the quickest counts")
    asked = parser.parse_args()
    rows = [("what", "measured", "limit"), *measure_all(asked.yard, asked.runs)]
    widths = [max(len(row[i]) for row in rows) for i in range(3)]
    for what, measured, limit in rows:
        print(f"{what:<{widths[0]}}  {measured:>{widths[1]}}  {limit:>{widths[2]}}".rstrip())


if __name__ == "__main__":
    main()
