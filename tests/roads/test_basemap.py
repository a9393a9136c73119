"""The shipped base map: what is in it, how it is cut, and the ways that are drawn on it.

Positions of towns, coasts and borders are from memory of any atlas, rounded to where no doubt is.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from tests.patience import PATIENCE_SECONDS
from tripkit.roads import basemap
from tripkit.roads.basemap import (
    DATA_FILE,
    ShippedMap,
    cut_line_to_box,
    cut_ring_to_box,
    open_base_map,
)
from tripkit.yard.places import Place

MOST_BYTES = 1_000_000
WORLD = (7.0, 75.0, -171.0, 60.0)
SQUARE = np.array([(0, 0), (0, 10), (10, 10), (10, 0), (0, 0)], float)


def is_inside(point, rings):
    """Whether a ray to the east crosses the rings an odd number of times."""
    north, east = point
    crossings = 0
    for ring in rings:
        for (a, b), (c, d) in zip(ring[:-1], ring[1:], strict=True):
            if (a > north) != (c > north) and east < b + (north - a) / (c - a) * (d - b):
                crossings += 1
    return crossings % 2 == 1


def test_the_map_is_at_most_a_megabyte():
    """The issue's limit for the base map in the package."""
    assert DATA_FILE.stat().st_size <= MOST_BYTES


def test_the_sources_are_named_beside_the_data():
    """Natural Earth and the Census Bureau (public domain), OpenStreetMap (ODbL 1.0)."""
    licence = (DATA_FILE.parent / "LICENCE-basemap.txt").read_text(encoding="utf-8")
    for words in ("Natural Earth", "Census Bureau", "OpenStreetMap contributors", "odbl/1-0"):
        assert words in licence


def test_the_map_is_read_when_it_is_asked_for():
    """Importing the room opens no file."""
    code = (
        "import builtins, numpy; was = numpy.load;"
        "numpy.load = lambda *a, **k: (_ for _ in ()).throw(AssertionError(a));"
        "import tripkit.roads.basemap as room; room.open_base_map()"
    )
    subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        cwd=Path(__file__).parents[2],
        timeout=PATIENCE_SECONDS,
    )


@pytest.mark.parametrize(
    ("point", "dry"),
    [
        ((38.0, -85.0), True),
        ((40.4, -3.7), True),
        ((52.0, 13.0), True),
        ((35.0, -60.0), False),
        ((56.0, 3.0), False),
        ((26.0, -90.0), False),
    ],
)
def test_land_is_land_and_sea_is_sea(point, dry):
    """Kentucky, Madrid, Berlin; the open Atlantic, the North Sea, the Gulf of Mexico."""
    assert is_inside(point, open_base_map().cut(WORLD).land) is dry


@pytest.mark.parametrize("point", [(44.0, -87.0), (47.7, -88.0), (61.0, 31.5)])
def test_the_great_lakes_are_water(point):
    """Michigan, Superior, Ladoga."""
    assert is_inside(point, open_base_map().cut(WORLD).lakes)


def test_borders_of_states_and_provinces_are_there():
    """Tennessee lies south of 36.7 N, Alberta ends at 110 W: a line runs near both."""
    states = open_base_map().cut(WORLD).states
    points = np.array([point for line in states for point in line])
    for north, east in ((36.6, -86.5), (54.0, -110.0)):
        away = np.hypot(points[:, 0] - north, (points[:, 1] - east) * 0.7)
        assert away.min() < 1.0


def test_names_stand_inside_their_areas():
    """Kentucky, Quebec and France where they are; each name has room around it."""
    names = {name.text: name for name in open_base_map().cut(WORLD).names}
    for text, box in {
        "Kentucky": (36.4, 39.2, -89.6, -81.9),
        "Quebec": (45.0, 63.0, -80.0, -57.0),
        "France": (42.0, 51.5, -5.5, 8.5),
    }.items():
        south, north, west, east = box
        assert south < names[text].at[0] < north
        assert west < names[text].at[1] < east
        assert names[text].room_km > 20


def test_a_cut_holds_what_is_near_and_nothing_else():
    """Around Kentucky no point lies farther out than the margin and one step beyond."""
    cut = open_base_map().cut((36.0, 39.0, -90.0, -82.0))
    assert cut.major_roads
    assert not any(name.text == "France" for name in cut.names)
    for ring in cut.land:
        norths, easts = zip(*ring, strict=True)
        assert min(norths) >= 36.0 - 0.3
        assert max(easts) <= -82.0 + 0.8


def test_the_data_hold_whole_numbers():
    """Thousandths of a degree as steps: small in the file and exact."""
    with np.load(DATA_FILE) as file:
        kinds = {name: file[name].dtype.kind for name in file.files}
    assert {kind for name, kind in kinds.items() if not name.startswith("name_t")} <= {
        "i",
        "u",
        "U",
    }


def test_a_missing_file_is_no_silent_blank(tmp_path):
    """A package without its data says which file is gone."""
    with pytest.raises(FileNotFoundError, match=r"basemap\.npz"):
        ShippedMap(tmp_path / "basemap.npz").cut(WORLD)


# Cutting


def test_a_ring_is_cut_to_its_part_in_the_box():
    """A square of 10 by 10 in a box that covers a quarter of it leaves 25 of 100."""
    (cut,) = cut_ring_to_box(SQUARE, (5, 20, 5, 20))
    assert cut[0].tolist() == cut[-1].tolist()
    area = abs(np.sum(cut[:-1, 0] * cut[1:, 1] - cut[1:, 0] * cut[:-1, 1])) / 2
    assert area == pytest.approx(25)


def test_a_ring_around_the_box_leaves_the_box():
    """No corner of the ring lies inside; all four of the box remain."""
    (cut,) = cut_ring_to_box(SQUARE, (4, 6, 4, 6))
    assert {tuple(point) for point in cut.tolist()} == {(4, 4), (4, 6), (6, 4), (6, 6)}


def test_a_ring_beside_the_box_is_gone():
    """Nothing of it lies inside."""
    assert cut_ring_to_box(SQUARE, (20, 30, 20, 30)) == []


def test_a_line_is_cut_into_its_parts_with_a_point_beyond():
    """In, out and in again: two parts, each reaches over the edge; a step across is kept."""
    line = np.array([(0, 0), (0, 1), (0, 5), (0, 9), (0, 10)], float)
    # Inside of 0.5 to 2 is the second point only; both its neighbours go along.
    assert [part[:, 1].tolist() for part in cut_line_to_box(line, (-1, 1, 0.5, 2))] == [[0, 1, 5]]
    across = np.array([(0, 0), (0, 10)], float)
    assert [part.tolist() for part in cut_line_to_box(across, (-1, 1, 4, 5))] == [across.tolist()]
    ends = cut_line_to_box(np.array([(0, 0), (9, 0), (9, 9), (0, 9)], float), (-1, 1, -1, 10))
    assert [part.tolist() for part in ends] == [[[0, 0], [9, 0]], [[9, 9], [0, 9]]]


# Ways


def test_a_way_follows_the_roads_and_an_island_gets_a_straight_line():
    """Home to Nashville has bends; to Hawaii no road leads."""
    home = Place("Bowling Green", 36.9903, -86.4436)
    known = basemap._find_line(home, Place("Nashville", 36.1659, -86.7844))
    guess = basemap._find_line(home, Place("Hilo", 19.73, -155.09))
    assert known.known
    assert len(known.points) > 4
    assert not guess.known
    assert len(guess.points) == 2
