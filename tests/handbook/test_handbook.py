"""The handbook: its chapters, what of it is made from declarations, and that its examples run."""

from __future__ import annotations

import argparse
import contextlib
import doctest
import io
import re
import shlex
import shutil
from pathlib import Path

import pytest

import tripkit
from tests.handbook.write_tables import PARTS, make_chapter
from tripkit.commands.line import main, make_parser
from tripkit.handbook import CHAPTERS, FOLDER, list_titles, read_chapter

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
TOLD = {"README": README, **{name: read_chapter(name) for name in CHAPTERS}}
# A busy machine is given more time to prove the same.
PLAN_SECONDS = "600"


def list_blocks(text, language):
    return re.findall(rf"^```{language}\n(.*?)^```", text, flags=re.MULTILINE | re.DOTALL)


def list_commands():
    parser = make_parser()
    (commands,) = (a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
    return commands.choices


# Chapters


def test_each_file_is_a_chapter_with_a_title_of_its_own():
    """Nothing lies in the folder that nobody is shown."""
    assert {path.stem for path in FOLDER.glob("*.md")} == set(CHAPTERS)
    assert all(read_chapter(name).startswith("# ") for name in CHAPTERS)
    assert len(set(list_titles().values())) == len(CHAPTERS)


def test_links_lead_to_chapters_that_are_there():
    """A link beside the text and on the page."""
    for name, text in TOLD.items():
        for path in re.findall(r"\]\(([^)]+)\)", text):
            folder = ROOT if name == "README" else FOLDER
            assert (folder / path).exists(), (name, path)


def test_the_chapters_are_listed(capsys):
    """`tripkit handbook`: the short name that the command takes, and the title."""
    assert main(["handbook"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == list(CHAPTERS)
    assert "roads      Places and roads" in lines


@pytest.mark.parametrize("name", CHAPTERS)
def test_a_chapter_is_printed_as_it_is_written(name, capsys):
    """Plain text that can be piped, whatever the capitals of its name."""
    assert main(["handbook", name.upper()]) == 0
    printed = capsys.readouterr().out
    assert printed == read_chapter(name)
    assert "\x1b" not in printed


def test_an_unknown_chapter_names_those_there_are(capsys):
    """Bad usage, and what may have been meant."""
    assert main(["handbook", "raods"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "'raods' is no chapter" in said.err
    assert all(name in said.err for name in CHAPTERS)
    assert "did you mean 'roads'?" in said.err


# What is made from declarations


@pytest.mark.parametrize("name", PARTS)
def test_what_is_made_from_declarations_is_up_to_date(name):
    """Columns, keys, limits and commands; `python -m tests.handbook.write_tables` makes it anew."""
    assert read_chapter(name) == make_chapter(FOLDER / f"{name}.md")


@pytest.mark.parametrize(
    ("file", "row"),
    [
        ("shows.csv*", ("`show*`", "name", "")),
        ("shows.csv*", ("`stables_close`", "HH:MM", "24:00")),
        ("classes.csv*", ("`worth`", "number", "")),
        ("horses.csv*", ("`starts_per_show`", "whole number, 1 to 100", "3")),
        ("people.csv", ("`role*`", "rider, owner, groom, driver, vet, manager", "")),
        ("vehicles.csv", ("`places*`", "whole number, 1 to 100", "")),
        ("shares.csv", ("`share`", "share", "1")),
        ("results.csv", ("`unsanctioned`", "yes or no", "no")),
    ],
)
def test_a_column_tells_how_it_is_written_and_what_stands_for_none(file, row):
    """Handbook, Files: required columns, ranges and defaults."""
    table = read_chapter("files").split(f"## {file}\n")[1].split("\n## ")[0]
    rows = [[cell.strip() for cell in line.split("|")[1:-1]] for line in table.splitlines()]
    assert [*row] in [[cells[0], *cells[2:]] for cells in rows if len(cells) == 4]


# Nothing is left untold


def test_every_door_is_told():
    """Each name of `__all__` stands in README or a chapter."""
    told = "".join(TOLD.values())
    assert [n for n in tripkit.__all__ if n != "__version__" and f"`{n}" not in told] == []


def test_every_command_is_told_with_each_option():
    """Each command has its part in the chapter of commands; an option without a word is lost."""
    parts = read_chapter("commands").split("\n### tripkit ")[1:]
    assert [part.split()[0] for part in parts] == list(list_commands())
    for part, command in zip(parts, list_commands().values(), strict=True):
        for action in command._actions:
            names = [o for o in action.option_strings if o.startswith("--") and o != "--help"]
            assert all(f"`{name}" in part for name in names), (part, names)


def test_what_is_told_of_a_command_is_there():
    """A command or option between backticks is one that the parser knows."""
    commands = list_commands()
    known = {option for c in commands.values() for a in c._actions for option in a.option_strings}
    for name, text in TOLD.items():
        for said in re.findall(r"`tripkit ([^`]+)`", text):
            command = said.split()[0]
            assert command in commands or command.isupper(), (name, said)
        prose = re.sub(r"^```.*?^```", "", text, flags=re.MULTILINE | re.DOTALL)
        for option in re.findall(r"`[^`\n]*?(--[a-z-]+)[^`\n]*`", prose):
            assert option in known, (name, option)


# Examples


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A folder with the sample yard and its circuits, and what each command printed there."""
    folder = tmp_path_factory.mktemp("evening")
    shutil.copytree(ROOT / "sample_calendar", folder / "sample_calendar")
    printed = {}

    def run(line):
        if line not in printed:
            words = shlex.split(line)[1:]
            if words[0] == "plan":
                words += ["--seconds", PLAN_SECONDS]
            out = io.StringIO()
            with contextlib.chdir(folder), contextlib.redirect_stdout(out):
                code = main(words)
            # 1 is an answer, too: something is barred.
            assert code in (0, 1), line
            printed[line] = out.getvalue().splitlines()
        return printed[line]

    run("tripkit plan sample_calendar --out c.json")
    return folder, run


@pytest.mark.parametrize("name", [n for n, text in TOLD.items() if "```console" in text])
def test_commands_print_what_is_shown(name, place):
    """Line after line; "..." is what is cut. A command without lines under it ends well."""
    _, run = place
    for block in list_blocks(TOLD[name], "console"):
        for example in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, *shown = example.splitlines()
            check_shown(shown, run(command))


def check_shown(shown, printed):
    """Between two cuts the lines stand together; without a cut the answer begins and ends there."""
    if not shown:
        return
    pieces = [[]]
    for line in shown:
        if line == "...":
            pieces.append([])
        else:
            pieces[-1].append(line)
    assert printed[: len(pieces[0])] == pieces[0]
    rest = printed[len(pieces[0]) :]
    for piece in filter(None, pieces[1:]):
        starts = [i for i in range(len(rest)) if rest[i : i + len(piece)] == piece]
        assert starts, piece
        rest = rest[starts[0] + len(piece) :]
    assert shown[-1] == "..." or rest == []


def test_a_line_that_is_not_printed_is_found_out():
    """The check of the examples itself: order, gaps and ends."""
    check_shown(["a", "...", "c"], ["a", "b", "c"])
    check_shown(["...", "b", "..."], ["a", "b", "c"])
    for shown in (["b", "..."], ["a", "c"], ["...", "c", "b"], ["a"], ["...", "d"]):
        with pytest.raises(AssertionError):
            check_shown(shown, ["a", "b", "c"])


@pytest.mark.parametrize("name", [n for n, text in TOLD.items() if "```sh" in text])
def test_commands_that_stay_open_are_understood(name):
    """What serves or installs is not run here; its words are those of the parser."""
    asked = re.findall(
        r"(?:^|/)(tripkit .*)$", "".join(list_blocks(TOLD[name], "sh")), re.MULTILINE
    )
    assert asked
    for line in asked:
        make_parser().parse_args(shlex.split(line)[1:])


@pytest.mark.parametrize("name", [n for n, text in TOLD.items() if "```pycon" in text])
def test_python_answers_what_is_shown(name, place):
    """The Python lines give what is printed under them."""
    folder, _ = place
    found = doctest.DocTestParser().get_doctest(TOLD[name], {}, name, name, 0)
    assert len(found.examples) >= 5
    said = []
    with contextlib.chdir(folder):
        doctest.DocTestRunner(optionflags=doctest.ELLIPSIS).run(found, out=said.append)
    assert "".join(said) == ""
