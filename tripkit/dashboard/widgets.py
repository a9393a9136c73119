"""The widgets with JavaScript of their own: contents, leaves of HTML, strips, download."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import anywidget
from traitlets import Bool, Float, Int, List, Unicode

from tripkit.words.faults import tell_error

HERE = Path(__file__).parent


class Strips(anywidget.AnyWidget):
    """Shows an SVG of strips beside its names and tells the day under pointer or arrow keys.

    `rows` holds for each horse its place in the picture and for each side and day the number of
    what it tells in `told`; `days` are the dates in words. `ask` is called with side, horse and
    the number of the day when one is pressed.
    """

    _esm = HERE / "strips.js"
    svg = Unicode().tag(sync=True)
    rows: List[Any] = List().tag(sync=True)
    days: List[Any] = List().tag(sync=True)
    told: List[Any] = List().tag(sync=True)
    left = Unicode().tag(sync=True)
    right = Unicode().tag(sync=True)
    hint = Unicode().tag(sync=True)
    hint_touch = Unicode().tag(sync=True)
    label = Unicode().tag(sync=True)
    day_px = Float(12.0).tag(sync=True)
    today_index = Int(-1).tag(sync=True)

    def __init__(self, ask: Callable[[str, str, int], None], **traits: Any) -> None:
        super().__init__(**traits)
        self._ask = ask
        self.on_msg(self._take_message)

    def _take_message(self, _widget: object, content: Any, _buffers: object) -> None:
        if not isinstance(content, dict) or content.get("do") != "ask":
            return
        side, day = str(content.get("side")), content.get("day")
        if isinstance(day, int):
            self._ask(side, str(content.get("horse")), day)


class DownloadButton(anywidget.AnyWidget):
    """A button that builds a file when it is pressed and sends its bytes as they are.

    `build` returns a file name and bytes, or raises; what it raises is said beside the button,
    as `tell` tells it.
    """

    _esm = HERE / "download.js"
    label = Unicode().tag(sync=True)
    ready = Bool(False).tag(sync=True)

    def __init__(
        self,
        build: Callable[[], tuple[str, bytes]],
        mime: str,
        failed: str = "{reason}",
        tell: Callable[[Exception], str] = tell_error,
        **traits: Any,
    ) -> None:
        super().__init__(**traits)
        self._build = build
        self._mime = mime
        self._failed = failed
        self._tell = tell
        self.on_msg(self._take_message)

    def _take_message(self, _widget: object, content: Any, _buffers: object) -> None:
        if not isinstance(content, dict) or content.get("kind") != "build":
            return
        try:
            name, data = self._build()
        # Whatever goes wrong is told beside the button; a dead callback would tell nobody.
        except Exception as bad:
            said = self._failed.format(reason=self._tell(bad))
            self.send({"kind": "failed", "said": said})
            return
        self.send({"kind": "file", "name": name, "mime": self._mime}, buffers=[data])


class Sheet(anywidget.AnyWidget):
    """A leaf of HTML whose buttons, lists, forms and files speak to Python.

    What carries `data-do` or `data-take` in the HTML sends all its `data-` words; `act` gets
    them as a mapping with `do`, besides `value`, `fields` or `names` where there are any, and the
    bytes of the files chosen.
    """

    _esm = HERE / "sheet.js"
    html = Unicode().tag(sync=True)

    def __init__(self, act: Callable[[dict[str, Any], list[Any]], None], **traits: Any) -> None:
        super().__init__(**traits)
        self._act = act
        self.on_msg(self._take_message)

    def _take_message(self, _widget: object, content: Any, buffers: Any) -> None:
        if isinstance(content, dict) and isinstance(content.get("do"), str):
            self._act(content, list(buffers or ()))


class Contents(anywidget.AnyWidget):
    """The contents line; the page's address names the chapter that lies open.

    `go` is called with an address, `shown` when a browser has put the card on a page, with the
    address it came by and what it kept in mind of the last visit.
    """

    _esm = HERE / "contents.js"
    label = Unicode().tag(sync=True)
    yard = Unicode().tag(sync=True)
    chapters: List[Any] = List().tag(sync=True)
    chapter = Unicode().tag(sync=True)
    address = Unicode().tag(sync=True)
    memo = Unicode().tag(sync=True)

    def __init__(
        self, go: Callable[[str], None], shown: Callable[[str, str], None], **traits: Any
    ) -> None:
        super().__init__(**traits)
        self._go = go
        self._shown = shown
        self.on_msg(self._take_message)

    def print_out(self, html: str) -> None:
        """Put the card on paper and open the browser's own print window."""
        self.send({"kind": "print", "html": html})

    def _take_message(self, _widget: object, content: Any, _buffers: object) -> None:
        if not isinstance(content, dict):
            return
        address = str(content.get("address") or "")
        if content.get("do") == "go":
            self._go(address)
        elif content.get("do") == "shown":
            self._shown(address, str(content.get("memo") or ""))
