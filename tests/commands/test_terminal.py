"""Nothing that is printed takes command of the terminal.

Which characters turn the direction of writing: Unicode Standard Annex 9, section 2. Which are
controls: general category Cc of the Unicode Character Database.
"""

from __future__ import annotations

import subprocess
import sys
import unicodedata
from contextlib import suppress
from pathlib import Path

import pytest

from tests.files.folders import GOOD, write_folder
from tripkit.commands.line import main
from tripkit.commands.terminal import show_controls

ROOT = Path(__file__).resolve().parents[2]
# UAX 9, 2.1 to 2.6: embeddings, overrides, isolates, marks.
DIRECTIONAL = [0x202A, 0x202B, 0x202C, 0x202D, 0x202E, 0x2066, 0x2067, 0x2068, 0x2069]
DIRECTIONAL += [0x200E, 0x200F, 0x061C]


def test_controls_and_directions_are_shown_as_escapes():
    """Every character of category Cc but the line's end, and every directional one."""
    controls = [c for c in range(0x110000) if unicodedata.category(chr(c)) == "Cc" and c != 10]
    for code in (*controls, *DIRECTIONAL):
        shown = show_controls(f"a{chr(code)}b")
        assert shown.isprintable()
        assert shown.startswith("a\\")
    assert show_controls("Åsa, 서울\nشدت") == "Åsa, 서울\nشدت"


@pytest.mark.parametrize(
    "words",
    [
        ["check", "YARD"],
        ["plan", "YARD", "--tour", "x\x1b[2J\u202ey"],
        ["import", "YARD", "c.ics"],
        ["judge", "YARD", "c.json"],
        ["\x1b]0;title\x07", "\u202e"],
        ["plan", "YARD", "--today", "\x1b[31m"],
    ],
)
def test_no_command_prints_one(tmp_path, monkeypatch, capsys, words):
    """Names of tables, calendars, JSON and arguments reach stdout and stderr as escapes."""
    evil = "\x1b[2J\u202e\u2066"
    monkeypatch.chdir(tmp_path)
    horses = GOOD["horses.csv"].replace("Comet", "Com\u202eet")
    write_folder(tmp_path / "YARD", {"horses.csv": horses})
    (tmp_path / "c.json").write_text('{"format": "\\u001b[2J\\u202e", "\\u202e": 1}')
    (tmp_path / "c.ics").write_text(
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\nBEGIN:VEVENT\r\nUID:1\r\n"
        "DTSTAMP:20270101T000000Z\r\nDTSTART;VALUE=DATE:20270407\r\nDTEND;VALUE=DATE:20270412\r\n"
        f"SUMMARY:Oak{evil}\\n9 forged\r\nLOCATION:Ocala{evil}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    )
    with suppress(SystemExit):
        main(words)
    said = capsys.readouterr()
    printed = said.out + said.err
    assert printed
    assert [c for c in printed if c != "\n" and not c.isprintable()] == []
    assert "\n9 forged" not in printed


def run(*words):
    return subprocess.run(
        ["bash", "-c", f'exec "$0" -m tripkit {" ".join(words)}', sys.executable],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )


def test_a_closed_stdout_is_said(tmp_path):
    """`>&-`: nothing can be answered, which is bad usage and no fault of tripkit."""
    folder = write_folder(tmp_path / "yard")
    done = run("check", str(folder), ">&-")
    assert done.returncode == 2
    assert done.stderr == "standard output: is closed, so the answer cannot be printed\n"


def test_a_closed_stderr_puts_no_error_among_the_answers(tmp_path):
    """`2>&-`: what went wrong is lost, and the exit code says it."""
    done = run("check", str(tmp_path / "none"), "2>&-")
    assert (done.returncode, done.stdout, done.stderr) == (2, "", "")


def test_a_full_disk_behind_stdout_is_said(tmp_path):
    """What cannot be written is said once, without Python's own words."""
    folder = write_folder(tmp_path / "yard")
    done = run("check", str(folder), ">/dev/full")
    assert done.returncode == 2
    assert done.stderr == "standard output: No space left on device\n"
