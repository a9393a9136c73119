"""The widget of the route map: both circuits' drives, drawn for the width the browser gives it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
from traitlets import Int, List, Unicode

from tripkit.roads.basemap import draw_season_map
from tripkit.words import page as words
from tripkit.words.faults import tell_error
from tripkit.words.journeys import tell_journeys
from tripkit.yard.circuit import Circuit
from tripkit.yard.yard import Yard

HERE = Path(__file__).parent


class RouteMap(anywidget.AnyWidget):
    """Shows the roads of two circuits and tells the journey under pointer or arrow keys.

    Nothing is drawn before a browser says how wide the map may be. `journeys` holds each pair
    of places with its legs in words, `said` what went wrong, if anything did.
    """

    _esm = HERE / "routes.js"
    _css = HERE / "map.css"
    svg = Unicode().tag(sync=True)
    journeys: List[Any] = List().tag(sync=True)
    width = Int(0).tag(sync=True)
    waiting = Unicode(words.MAP_WAITING).tag(sync=True)
    late = Unicode(words.MAP_LATE).tag(sync=True)
    hint = Unicode(words.MAP_READOUT).tag(sync=True)
    hint_touch = Unicode(words.MAP_TOUCH).tag(sync=True)
    label = Unicode(words.MAP_LABEL).tag(sync=True)
    said = Unicode().tag(sync=True)

    def __init__(self, **traits: Any) -> None:
        super().__init__(**traits)
        self._shown: tuple[Yard, Circuit | None, Circuit | None] | None = None
        self.observe(lambda _change: self._draw(), "width")

    def show(self, yard: Yard, left: Circuit | None, right: Circuit | None) -> None:
        """These two circuits are on the map from now on; None: none on that side."""
        self._shown = (yard, left, right)
        self._draw()

    def _draw(self) -> None:
        if self._shown is None or self.width <= 0:
            return
        yard, left, right = self._shown
        try:
            svg = draw_season_map(yard, left, right, self.width)
            told = tell_journeys(yard, left, right)
        # Whatever goes wrong is told under the map; a dead callback would tell nobody.
        except Exception as bad:
            svg, told = "", ()
            self.said = words.MAP_FAILED.format(reason=tell_error(bad, yard))
        else:
            self.said = ""
        journeys = [
            {
                "title": journey.title,
                "sides": [
                    {"side": side, "name": name, "legs": list(legs)}
                    for side, name, legs in journey.sides
                ],
            }
            for journey in told
        ]
        with self.hold_sync():
            self.journeys = journeys
            self.svg = svg
