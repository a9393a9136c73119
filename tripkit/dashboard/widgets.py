"""The two widgets with JavaScript of their own: the season strips and the download button."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import anywidget
from traitlets import Bool, Float, Int, List, Unicode

HERE = Path(__file__).parent


class Strips(anywidget.AnyWidget):
    """Shows an SVG of strips beside its names and tells the day under pointer or arrow keys.

    `rows` holds for each horse its place in the picture and its days in words; `on_shown` is
    called whenever a browser has put the widget on a page.
    """

    _esm = HERE / "strips.js"
    svg = Unicode().tag(sync=True)
    rows: List[Any] = List().tag(sync=True)
    left = Unicode().tag(sync=True)
    right = Unicode().tag(sync=True)
    hint = Unicode().tag(sync=True)
    hint_touch = Unicode().tag(sync=True)
    label = Unicode().tag(sync=True)
    day_px = Float(12.0).tag(sync=True)
    today_index = Int(-1).tag(sync=True)

    def __init__(self, on_shown: Callable[[], None] | None = None, **traits: Any) -> None:
        super().__init__(**traits)
        self._on_shown = on_shown
        self.on_msg(self._take_message)

    def _take_message(self, _widget: object, content: Any, _buffers: object) -> None:
        if isinstance(content, dict) and content.get("kind") == "shown" and self._on_shown:
            self._on_shown()


class DownloadButton(anywidget.AnyWidget):
    """A button that builds a file when it is pressed and sends its bytes as they are.

    `build` returns a file name and bytes, or raises; what it raises is said beside the button.
    """

    _esm = HERE / "download.js"
    label = Unicode().tag(sync=True)
    ready = Bool(False).tag(sync=True)

    def __init__(
        self,
        build: Callable[[], tuple[str, bytes]],
        mime: str,
        failed: str = "{reason}",
        **traits: Any,
    ) -> None:
        super().__init__(**traits)
        self._build = build
        self._mime = mime
        self._failed = failed
        self.on_msg(self._take_message)

    def _take_message(self, _widget: object, content: Any, _buffers: object) -> None:
        if not isinstance(content, dict) or content.get("kind") != "build":
            return
        try:
            name, data = self._build()
        # Whatever goes wrong is told beside the button; a dead callback would tell nobody.
        except Exception as bad:
            reason = str(bad) or type(bad).__name__
            self.send({"kind": "failed", "said": self._failed.format(reason=reason)})
            return
        self.send({"kind": "file", "name": name, "mime": self._mime}, buffers=[data])
