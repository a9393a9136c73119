"""Errors cross from one process to another, as those of a pool's workers do."""

from __future__ import annotations

import copy
import pickle

import pytest

from tripkit.judging.case import Violation
from tripkit.yard.errors import BadCircuits, BadValue, BadYard, InputError, RulesBroken
from tripkit.yard.facts import state

FACT = state("names.none-there")
FAULT = InputError("horses.csv", 3, "rider", "Aldr", FACT)
BROKEN = Violation("cap", FACT, horse="Alder")


@pytest.mark.parametrize("carry", [lambda e: pickle.loads(pickle.dumps(e)), copy.deepcopy])
@pytest.mark.parametrize(
    "error",
    [BadYard((FAULT, FAULT)), RulesBroken(FACT, [BROKEN]), BadValue(FACT), BadCircuits(FACT)],
)
def test_an_error_that_was_carried_says_and_holds_the_same(carry, error):
    """The text, the fact, the list of faults, the rules broken."""
    carried = carry(error)
    assert type(carried) is type(error)
    assert str(carried) == str(error)
    assert vars(carried) == vars(error)
