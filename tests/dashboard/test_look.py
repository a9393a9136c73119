"""The look of the card: readable contrast in light and dark, and nothing fetched from outside."""

from __future__ import annotations

import re
from pathlib import Path

import colorspacious
import pytest

from tripkit.dashboard import page

HERE = Path(page.__file__).parent
CSS = (HERE / "card.css").read_text(encoding="utf-8")
TEXT_ON_GROUND = ("ink", "soft", "spot", "blue", "ochre")


def read_colours(block: str) -> dict[str, str]:
    return dict(re.findall(r"--tk-([a-z-]+): (#[0-9a-f]{6});", block))


LIGHT = read_colours(CSS.split("@media (prefers-color-scheme: dark)")[0])
DARK = {**LIGHT, **read_colours(CSS.split("@media (prefers-color-scheme: dark)")[1].split("}")[0])}


def find_luminance(colour: str) -> float:
    """Relative luminance. **Source:** WCAG 2.1, definition of "relative luminance"."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def find_contrast(one: str, other: str) -> float:
    """Contrast of two colours. **Source:** WCAG 2.1, definition of "contrast ratio"."""
    high, low = sorted((find_luminance(one), find_luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_black_on_white_is_twenty_one_to_one():
    """The formula itself: WCAG 2.1 says that contrast ranges from 1 to 21."""
    assert find_contrast("#000000", "#ffffff") == pytest.approx(21)
    assert find_contrast("#ffffff", "#ffffff") == 1


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["ground", "paper"])
@pytest.mark.parametrize("text", TEXT_ON_GROUND)
def test_text_is_readable_on_both_grounds(theme, ground, text):
    """At least 4.5 to 1 for text (WCAG 2.1, success criterion 1.4.3, level AA)."""
    assert find_contrast(theme[text], theme[ground]) >= 4.5


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
def test_labels_are_readable_on_the_days_without_jumping(theme):
    """A show's name lies on the pale field: 4.5 to 1 (WCAG 2.1, 1.4.3)."""
    assert find_contrast(theme["ink"], theme["window"]) >= 4.5
    assert find_contrast(theme["spot-ink"], theme["spot"]) >= 4.5


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("form", ["spot", "road", "ochre", "blue"])
def test_the_forms_that_matter_stand_out(theme, form):
    """Class days, drives, schools, marks: 3 to 1 on the paper (WCAG 2.1, 1.4.11)."""
    assert find_contrast(theme[form], theme["paper"]) >= 3


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("kind", ["protanomaly", "deuteranomaly", "tritanomaly"])
@pytest.mark.parametrize("form", ["spot", "road", "ochre", "blue"])
def test_the_forms_stand_out_to_the_colour_blind(theme, kind, form):
    """Seen without one kind of cone they still have 3 to 1 on the paper (WCAG 2.1, 1.4.11).

    The simulation is that of Machado, Oliveira and Fernandes 2009, at full severity.
    """
    space = {"name": "sRGB1+CVD", "cvd_type": kind, "severity": 100}

    def simulate(colour: str) -> str:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        seen = colorspacious.cspace_convert(parts, space, "sRGB1")
        return "#" + "".join(f"{round(255 * min(1.0, max(0.0, p))):02x}" for p in seen)

    assert find_contrast(simulate(theme[form]), simulate(theme["paper"])) >= 3


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("field", ["grounds", "window"])
def test_the_forms_stand_out_on_the_pale_fields(theme, field):
    """A class day on the field of its stay: 3 to 1 in lightness alone (WCAG 2.1, 1.4.11)."""
    assert find_contrast(theme["spot"], theme[field]) >= 3


def test_dark_is_designed_and_not_left_to_chance():
    """Every colour of the card has one of its own in the dark."""
    same = [name for name, colour in LIGHT.items() if DARK[name] == colour]
    assert same == []


@pytest.mark.parametrize(
    "name", ["card.css", "strips.js", "download.js", "sheet.js", "contents.js"]
)
def test_look_and_scripts_ask_nobody(name):
    """No address, no import from elsewhere; the only address is the name of the SVG namespace."""
    text = (HERE / name).read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
    assert "//cdn" not in text
    assert not re.search(r"https?:|@import|@font-face|\bimport\b", text)
