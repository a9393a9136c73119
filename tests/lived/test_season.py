"""A season of seven weeks with its mishaps, its calendars compared week by week.

Fourteen weeks of four horses: `python -m tests.lived.season`.
"""

from __future__ import annotations

from pathlib import Path

from tests.lived.season import live, write_week
from tests.lived.world import World
from tests.lived.yard import write_lived_yard
from tests.patience import PATIENCE_SECONDS

WEEKS = 7
HAPPENINGS = {
    2: lambda world: world.go_lame("Birch"),
    3: lambda world: world.move_show("Pine 3", 7),
    4: lambda world: world.get_sound("Birch"),
    5: lambda world: world.rename("horse", "Comet", "Comet II"),
    6: lambda world: world.scratch(),
}


def test_seven_weeks(tmp_path: Path) -> None:
    """No reader is told anything false, and no circuit forgets what was (rule `past`)."""
    folder = write_lived_yard(tmp_path / "marsh", weeks=WEEKS + 2, horses=3)
    world = World(folder, seconds=PATIENCE_SECONDS)
    lived = list(live(world, WEEKS, HAPPENINGS))
    told = "\n".join(map(write_week, lived))
    assert not world.violations, told
    # By hand: in seven weeks somebody rode, something was moved, and something is over.
    assert world.ridden, told
    assert sum(week.counts.moved for week in lived) > 0, told
    assert lived[-1].counts.ended > 0, told
