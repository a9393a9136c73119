"""A reason keeps its parts: what it is about, its sentences, what to do, the caution."""

from __future__ import annotations

import pytest

from tripkit.words.english import SENTENCES
from tripkit.yard.answers import (
    CAUTION,
    NAMES,
    add_sentences,
    find_action,
    give_reason,
    leave_out_caution,
    list_sentences,
    name_paper,
)
from tripkit.yard.facts import Fact, state
from tripkit.yard.oddities import RANKED

ASK = state("actions.renew", last="Monday")
SHORT = state("documents.no-end")


@pytest.mark.parametrize("kind", NAMES)
def test_each_paper_and_matter_has_a_name(kind):
    """What a finding is about can be told."""
    named = name_paper(kind)
    assert isinstance(named, Fact)
    assert named.code in SENTENCES


def test_a_paper_nobody_knows_is_called_as_it_is_written():
    """The yard may keep papers of its own."""
    assert name_paper("farrier_card") == "farrier card"


def test_a_reason_is_told_about_its_paper_in_order():
    """The subject stands before the sentences, what is missing is left out."""
    reason = give_reason(SHORT, None, ASK, CAUTION, of=name_paper("licence"))
    assert list_sentences(reason) == (SHORT, ASK, CAUTION)
    assert str(give_reason(SHORT, CAUTION, of=name_paper("licence"))) == (
        "licence: written without valid_until. The current rule book and a vet decide."
    )


def test_what_to_do_is_found_by_its_family():
    """Not by how a sentence begins."""
    assert find_action(give_reason(SHORT, ASK)) == ASK
    assert find_action(give_reason("Ask for a new one.", SHORT)) is None
    assert find_action(SHORT) is None


def test_the_caution_is_left_out_wherever_it_stands():
    """Also in a reason inside a reason, and in those of a sum."""
    inner = give_reason(SHORT, CAUTION, of="licence")
    without = state("vaccination.without", reason=inner)
    doubt = state("eligibility.doubt", classes=("A", "B"), why=inner)
    for told in (add_sentences(inner, without, CAUTION), state("x", doubts=(doubt,))):
        short = leave_out_caution(told)
        assert CAUTION.code in repr(told)
        assert CAUTION.code not in repr(short)
        assert short.get("of") == told.get("of")


@pytest.mark.parametrize("kind", RANKED)
def test_each_kind_of_oddity_has_its_sentence(kind):
    """The rank stands in one table, the words in another."""
    assert f"oddities.{kind}" in SENTENCES
