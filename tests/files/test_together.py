"""Several files of a folder change together: a kill between any two writes leaves no mixture.

A process that is killed is one that ends without doing anything more, so `os._exit` inside the
writing stands for it.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.files.folders import write_folder
from tests.patience import PATIENCE_SECONDS
from tripkit.files import read_yard, together
from tripkit.files.together import CHANGE_FILE, finish_change, write_together
from tripkit.yard.errors import BadYard, CannotWrite

FILES = {"a.csv": b"new a", "b.csv": b"new b", "c.csv": b"new c"}
KILL = """
import os, sys
from pathlib import Path
from tripkit.files import together
left = [int(sys.argv[2])]
write = together.write_whole
def write_or_die(path, data):
    if left[0] == 0:
        os._exit(9)
    left[0] -= 1
    write(path, data)
together.write_whole = write_or_die
remove = together._remove
def remove_or_die(path):
    if left[0] == 0:
        os._exit(9)
    remove(path)
together._remove = remove_or_die
folder = Path(sys.argv[1])
together.write_together(folder, {"a.csv": b"new a", "b.csv": b"new b", "c.csv": b"new c"})
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "a.csv").write_bytes(b"old a")
    (tmp_path / "b.csv").write_bytes(b"old b")
    return tmp_path


def read_files(folder: Path) -> dict[str, bytes]:
    """Every file of a folder."""
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


@pytest.mark.parametrize("writes", range(5))
def test_after_a_kill_all_files_are_old_or_all_become_new(folder: Path, writes: int) -> None:
    """Killed before each of the four writes and before the last clearing up."""
    old = read_files(folder)
    code = [sys.executable, "-c", KILL, str(folder), str(writes)]
    assert subprocess.run(code, check=False, timeout=PATIENCE_SECONDS).returncode == 9
    finish_change(folder)
    assert read_files(folder) == (FILES if writes else old)


def test_what_cannot_be_written_leaves_all_as_it_was(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The third file is refused by the system: the first two are put back."""
    old, write = read_files(folder), together.write_whole

    def refuse(path: Path, data: bytes) -> None:
        if path.name == "c.csv":
            raise CannotWrite(f"{path}: cannot be written (No space left on device)")
        write(path, data)

    monkeypatch.setattr(together, "write_whole", refuse)
    with pytest.raises(CannotWrite, match="No space left"):
        write_together(folder, FILES)
    assert read_files(folder) == old


def test_reading_a_yard_ends_a_change_that_was_killed(tmp_path: Path) -> None:
    """The half is made whole before anything is read, whichever command comes next."""
    folder = write_folder(tmp_path / "yard")
    before = read_files(folder)
    text = before["shows.csv"].replace(b"Oak 2", b"Elm 2")
    more = {"shows.csv": text, "classes.csv": before["classes.csv"].replace(b"Oak 2", b"Elm 2")}
    pairs = {name: (together.make_digest(before[name]), data) for name, data in more.items()}
    (folder / CHANGE_FILE).write_bytes(together._Change("1", pairs, None).dump())
    (folder / "shows.csv").write_bytes(text)
    assert [show.show for show in read_yard(folder).shows] == ["Oak 1", "Elm 2"]
    assert not (folder / CHANGE_FILE).exists()


def test_a_file_that_somebody_else_changed_meanwhile_is_not_written_over(folder: Path) -> None:
    """A third state is nobody's but the person's who wrote it: said, and nothing is written."""
    write_folder(folder)
    pairs = {name: ("0" * 64, data) for name, data in FILES.items()}
    (folder / CHANGE_FILE).write_bytes(together._Change("1", pairs, None).dump())
    before = read_files(folder)
    with pytest.raises(BadYard, match="changed while tripkit had changed the folder by half"):
        read_yard(folder)
    assert read_files(folder) == before


@pytest.mark.parametrize(
    "name",
    ["../outside.csv", "/tmp/outside.csv", ".hidden", "sub/x.csv", "..", "", "tripkit.sqlite", 5],
)
def test_a_change_file_from_elsewhere_writes_nowhere_else(folder: Path, name: object) -> None:
    """A folder may come from anybody: a change names plain files of its own folder only."""
    inner = folder / "yard"
    inner.mkdir()
    written = {
        "format": together.FORMAT,
        "id": "1",
        "renaming": None,
        "files": [[name, "", "eA=="]],
    }
    (inner / CHANGE_FILE).write_text(json.dumps(written))
    with pytest.raises(CannotWrite, match="is no change that tripkit began"):
        finish_change(inner)
    assert not (folder / "outside.csv").exists()


def test_a_link_that_leads_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    """A folder from anybody may hold a link; reading it writes nothing anywhere else."""
    folder = write_folder(tmp_path / "yard")
    outside = tmp_path / "outside"
    (folder / "x.csv").symlink_to(outside)
    change = together._Change("1", {"x.csv": ("", b"taken")}, None)
    (folder / CHANGE_FILE).write_bytes(change.dump())
    with pytest.raises(BadYard, match="leads out of the folder"):
        read_yard(folder)
    assert not outside.exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"id": None},
        {"id": ["1"]},
        {"id": "1", "renaming": ["horse", "Bella", "Bex"]},
        {"renaming": [["horse"], ["Bella"], ["Bex"]]},
        {"files": [["x.csv", ["0"], "eA=="]]},
        {"files": [["x\0.csv", "", "eA=="]]},
        {"files": [["x\ud800.csv", "", "eA=="]]},
    ],
)
def test_a_change_file_that_somebody_wrote_is_told(folder: Path, wrong: dict[str, Any]) -> None:
    """Each of its parts may be missing or of another kind: it is said, and nothing happens."""
    written = {"format": together.FORMAT, "id": "1", "renaming": None, "files": [], **wrong}
    for text in (written, {name: part for name, part in written.items() if name not in wrong}):
        (folder / CHANGE_FILE).write_text(json.dumps(text))
        before = read_files(folder)
        with pytest.raises(CannotWrite, match=r"is no change that tripkit began|cannot be read"):
            finish_change(folder)
        assert read_files(folder) == before
