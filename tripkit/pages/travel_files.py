"""Travel sheets, seasons and the route map of a circuit, written into a folder for print."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from tripkit.files.atomic import write_whole
from tripkit.pages.season_sheets import write_season_sheets
from tripkit.pages.travel_sheet import write_travel_sheets
from tripkit.roads.basemap import draw_season_map
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import CannotWrite
from tripkit.yard.facts import state
from tripkit.yard.yard import Yard

SHEETS, SEASONS, MAP = "travel.html", "seasons.html", "routes.svg"
# As wide as the map of the dashboard on a desk.
MAP_PX = 1200


def write_travel_files(
    yard: Yard, circuit: Circuit, folder: Path | str, broken: Sequence[str] = ()
) -> tuple[Path, ...]:
    """`travel.html`, a page a leg, `seasons.html` and `routes.svg` are written into a folder.

    `broken` is what the circuit breaks, a line each, at the head of the sheets. The folder is
    made where there is none. All are made before the first is written. Raises
    `CannotWrite`.
    """
    target = Path(folder)
    made = {
        SHEETS: write_travel_sheets(yard, circuit, broken),
        SEASONS: write_season_sheets(yard, circuit, broken),
        MAP: draw_season_map(yard, circuit, None, MAP_PX, alone=True) + "\n",
    }
    try:
        target.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise CannotWrite(
            state("values.no-sheets-can-be-written", target=str(target), reason=str(reason))
        ) from None
    for name, text in made.items():
        # A name may hold half of a letter; the rest must reach the driver all the same.
        write_whole(target / name, text.encode("utf-8", errors="replace"))
    return tuple(target / name for name in made)
