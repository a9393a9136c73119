"""Names as people type them."""

from __future__ import annotations

import pytest

from tripkit.yard.errors import BadValue
from tripkit.yard.names import find_name, fold_name


@pytest.mark.parametrize("typed", ["Zo\u00eb", "Zoe\u0308", "ZOE\u0308", " zo\u00eb "])
def test_a_letter_with_its_mark_is_one_however_it_is_written(typed):
    """Unicode Standard Annex 15: canonically equal texts are the same text to their reader."""
    for known in ("Zo\u00eb", "Zoe\u0308"):
        assert find_name(typed, [known, "Alder"], "horse") == known


def test_another_letter_is_another_name():
    """Without its mark a letter is no slip of capitals."""
    with pytest.raises(BadValue):
        find_name("Zoe", ["Zo\u00eb"], "horse")


@pytest.mark.parametrize(
    ("written", "typed"),
    [
        ("Øster Ålborg", "oster alborg"),
        ("Łódź", "lodz"),
        ("Đakovo", "dakovo"),
        ("Hafnarfjörður", "hafnarfjordur"),
        ("Sar\u0131yer", "sariyer"),
        ("Næstved", "naestved"),
        ("Sacré-Cœur", "sacre-coeur"),
        ("Þorlákshöfn", "thorlakshofn"),
        ("Weißensee", "weissensee"),
    ],
)
def test_a_place_is_found_without_the_letters_of_its_language(written: str, typed: str) -> None:
    """As somebody types it who has no such keys: from memory."""
    assert fold_name(written) == fold_name(typed)
