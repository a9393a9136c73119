"""Circuits files with anything in the place of anything: an answer or a fault with its place.

The file is a good one of a small yard, changed in some places by a seed. What the commands do with
it must be one of their exit codes; a fault of tripkit (3) is none of them.
"""

from __future__ import annotations

import copy
import json
from random import Random

import pytest

import tripkit
from tests.files.folders import swap, write_folder
from tripkit.commands.line import main

SEEDS = range(24)
DAYS = ["1950-01-01", "2199-12-31", "0001-01-01", "9999-12-31", "2027-04-08", "2027-06-20"]
TIMES = ["2199-12-31T23:59-23:59", "2027-04-08T12:00+00:00", "0001-01-01T00:00+00:00"]
WORDS = ["", " ", "home", "road", "Oak 1", "Opener", "Bella", "Lorry", "x" * 9_000, "\x1b[2J\u202e"]
WORDS += ["none exists", "proved best", "best of its kind", "least road", "tour X", "overnight"]
NUMBERS = [0, -1, 1, 0.5, 10**12, -(10**12), 10**100, 1e-300, float("nan"), float("inf")]
OTHERS = [None, True, [], {}, [[]], "\ud800"]


@pytest.fixture(scope="module")
def season(tmp_path_factory):
    """The folder, its yard, and the document of its circuits."""
    place = tmp_path_factory.mktemp("fuzz")
    today = swap("yard.toml", "[season]", "[season]\ntoday = 2027-02-28")
    folder = write_folder(place / "yard", today)
    yard = tripkit.read_yard(folder)
    tripkit.write_circuits(place / "good.json", yard, tripkit.plan(yard, keep=2))
    return folder, yard, json.loads((place / "good.json").read_text(encoding="utf-8"))


def list_places(node, path=()):
    """Every place of a document; of a long list the first ones."""
    yield path
    if isinstance(node, dict):
        for key in node:
            yield from list_places(node[key], (*path, key))
    elif isinstance(node, list):
        for number, item in enumerate(node[:4]):
            yield from list_places(item, (*path, number))


def change(document, dice):
    """Some values become others, some lists longer or shorter, some keys go."""
    places = [path for path in list_places(document) if path]
    for _ in range(dice.choice([1, 1, 2, 4])):
        *way, last = dice.choice(places)
        node = document
        try:
            for step in way:
                node = node[step]
            old = node[last]
        except (KeyError, IndexError, TypeError):
            continue
        if not isinstance(node, dict | list):
            continue
        if isinstance(node, list) and dice.random() < 0.5:
            node[last:last] = [copy.deepcopy(old)] * dice.choice([1, 60])
        elif dice.random() < 0.1:
            del node[last]
        else:
            alike = NUMBERS if isinstance(old, int | float) else [*DAYS, *TIMES, *WORDS]
            node[last] = copy.deepcopy(dice.choice(alike if dice.random() < 0.8 else OTHERS))
    return document


@pytest.mark.parametrize("seed", SEEDS)
def test_no_circuits_file_is_a_fault_of_tripkit(season, tmp_path, monkeypatch, capsys, seed):
    """Exit 0, 1 or 2, whatever stands in the file and whatever is asked of it."""
    folder, yard, good = season
    dice = Random(seed)
    document = change(copy.deepcopy(good), dice)
    file = tmp_path / "c.json"
    file.write_text(json.dumps(document), encoding="utf-8")
    monkeypatch.setattr(tripkit, "read_yard", lambda *_, **__: yard)
    a, b = "Most worth", "Least road"
    for words in (
        ["judge"],
        dice.choice([["compare", a, b], ["compare", b, a]]),
        ["why", "--horse", "Bella", "--show", "Oak 1"],
        ["entries", a, "--anyway", "--out", str(tmp_path / "e.xlsx")],
        ["sheets", a, "--anyway", "--out", str(tmp_path / "s")],
        ["feeds", a, "--anyway", "--out", str(tmp_path / "f")],
    ):
        code = main([words[0], str(folder), str(file), *words[1:]])
        assert code in (0, 1, 2), capsys.readouterr().err
