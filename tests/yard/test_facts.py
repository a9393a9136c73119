"""A fact is its code and its values: whatever their order, wherever it went."""

from __future__ import annotations

import pickle
from dataclasses import FrozenInstanceError
from datetime import date

import pytest

from tripkit.yard.facts import state

CAP = state("judging.cap", horse="Dancer", most=2, until=date(2027, 4, 8))


def test_the_order_in_which_values_are_stated_does_not_matter():
    """Equal and found under one key; another value, name or code is another fact."""
    other_way = state("judging.cap", until=date(2027, 4, 8), most=2, horse="Dancer")
    assert other_way == CAP
    assert {CAP: 1}[other_way] == 1
    assert len({CAP, state("judging.cap", horse="Dancer"), CAP.change(most=3)}) == 3


def test_values_are_read_by_name():
    """None where there is none of that name, which a value may be as well."""
    assert (CAP.get("most"), CAP.get("least")) == (2, None)
    assert CAP.values == {"horse": "Dancer", "most": 2, "until": date(2027, 4, 8)}


def test_a_fact_is_changed_by_name_only():
    """The old one stays as it was."""
    assert CAP.change(most=3).values == {**CAP.values, "most": 3}
    doubled = CAP.map(lambda name, value: 2 * value if name == "most" else value)
    assert doubled == CAP.change(most=4)
    with pytest.raises(FrozenInstanceError):
        CAP.code = "judging.other"


def test_a_fact_survives_pickling():
    """Between processes, with its facts within."""
    fact = state("findings.reason", said=(CAP, "and more"))
    assert pickle.loads(pickle.dumps(fact)) == fact
