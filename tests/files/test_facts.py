"""Facts in circuits as JSON: beside each sentence stands what it was told from.

The form is the project's own; sentences are those of `words.english`.
"""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from tests.build import make_yard
from tests.files.test_circuits import NONE, make_circuit
from tripkit.files.circuits import dump_circuits, parse_circuits
from tripkit.files.facts import dump_fact, load_fact
from tripkit.files.nodes import Node
from tripkit.files.renamed import Renaming, rename_in_circuits
from tripkit.yard.circuit import DroppedEntry
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadCircuits
from tripkit.yard.facts import state

AWAY = state("planning.away", who=("Dancer", "Ana"), day=date(2027, 4, 8))
KEPT = state(
    "planning.entries-kept", outings=(state("planning.outing", horse="Dancer", show="S1"),)
)
LOST = DroppedEntry("Dancer", "S1", "C1", AWAY, 5000, "window")


def dump(**changes) -> str:
    return dump_circuits(make_yard(), [replace(NONE, **changes)])


def test_reasons_come_back_as_they_were_stated():
    """Facts, and plain text among them, are the same records after the file."""
    circuit = replace(NONE, reasons=(KEPT, "as somebody wrote"), dropped_entries=(LOST,))
    assert parse_circuits(dump_circuits(make_yard(), [circuit]), "c.json") == (circuit,)


def test_what_is_left_out_and_remarked_comes_back_as_it_was_stated():
    """Facts and plain text, with a plan too; the sentences stand where the format has them."""
    circuit = replace(NONE, leaves_out=(KEPT,), remarks=("as somebody wrote", KEPT))
    text = dump_circuits(make_yard(), [circuit])
    assert parse_circuits(text, "c.json") == (circuit,)
    (written,) = json.loads(text)["circuits"]
    assert written["leaves_out"] == ["entries that every plan must keep: Dancer at S1"]
    assert written["remarks"] == ["as somebody wrote", *written["leaves_out"]]


def test_the_sentences_stay_where_the_format_has_them():
    """Format of circuits: `reasons` are sentences, `why` of a dropped entry is one."""
    (written,) = json.loads(dump(reasons=(KEPT,), dropped_entries=(LOST,)))["circuits"]
    assert written["reasons"] == ["entries that every plan must keep: Dancer at S1"]
    (lost,) = written["dropped_entries"]
    assert lost["why"] == "Dancer and Ana is away on 2027-04-08"


def test_a_file_without_facts_is_read_as_plain_text():
    """An older file says the rule at the head of the reason only."""
    document = json.loads(dump(reasons=(KEPT,), dropped_entries=(LOST,)))
    (written,) = document["circuits"]
    del written["reason_facts"]
    (lost,) = written["dropped_entries"]
    del lost["rule"], lost["why_fact"]
    lost["why"] = f"window: {lost['why']}"
    (circuit,) = parse_circuits(json.dumps(document), "c.json")
    assert circuit.reasons == ("entries that every plan must keep: Dancer at S1",)
    (lost,) = circuit.dropped_entries
    assert (lost.rule, lost.why) == ("window", "Dancer and Ana is away on 2027-04-08")


def test_a_fact_of_another_version_is_read_as_its_sentence():
    """A code that this version does not have is no fault of the file."""
    text = dump(reasons=(KEPT,)).replace("planning.outing", "planning.unheard-of")
    (circuit,) = parse_circuits(text, "c.json")
    assert circuit.reasons == ("entries that every plan must keep: Dancer at S1",)


@pytest.mark.parametrize(
    "value",
    [
        "Dancer",
        None,
        3,
        2.5,
        Decimal("1.50"),
        date(2027, 4, 8),
        datetime(2027, 4, 8, 7, 30, tzinfo=UTC),
        DaySpan(date(2027, 4, 8), date(2027, 4, 9)),
        ("Dancer", ("Ana", 1)),
        AWAY,
    ],
)
def test_every_kind_of_value_comes_back(value):
    """Each keeps its kind, not its look."""
    fact = state("planning.away", who=(), day=date(2027, 4, 8), more=value)
    again = load_fact(Node("c.json", "", json.loads(json.dumps(dump_fact(fact)))))
    assert again == fact
    assert type(again.get("more")) is type(value)


@pytest.mark.parametrize(
    ("held", "message"),
    [
        ([], "holds 0 facts for 1 reasons"),
        ("planning.away", "is not a list"),
        (["planning.away"], "is not an object"),
        ([{"code": 3, "values": {}}], "is not a text"),
        ([{"code": "planning.away"}], "values: is missing"),
        ([{"code": "planning.away", "values": []}], "is not an object"),
        ([{"code": "planning.away", "values": {"who": []}}], "day: is missing"),
        ([{"code": "planning.scratched", "values": {"name": {}}}], "is no value of a fact"),
        ([{"code": "planning.scratched", "values": {"name": {"date": "soon"}}}], "is not a date"),
        ([{"code": "planning.scratched", "values": {"name": {"span": ["2027-04-08"]}}}], "is not"),
        ([{"code": "planning.scratched", "values": {"name": {"decimal": "NaN"}}}], "finite"),
        ([{"code": "planning.scratched", "values": {"name": True}}], "is not a whole number"),
        ([{"code": "planning.away", "values": {"who": 3, "day": "x"}}], "cannot tell"),
        ([{"code": "units.days", "values": {"count": "two"}}], "cannot tell"),
        ([{"code": "units.miles", "values": {"count": []}}], "cannot tell"),
        (
            [{"code": "planning.scratched", "values": {"name": [[[[[[[[[[[[[[1]]]]]]]]]]]]]]}}],
            "too deep",
        ),
    ],
)
def test_a_malformed_fact_is_a_fault_of_the_file(held, message):
    """Named with its place, never a traceback."""
    document = json.loads(dump(reasons=(KEPT,)))
    document["circuits"][0]["reason_facts"] = held
    with pytest.raises(BadCircuits, match=message) as caught:
        parse_circuits(json.dumps(document), "c.json")
    assert str(caught.value).startswith("c.json circuits[0].reason_facts")


@pytest.mark.parametrize(
    ("kind", "old", "new", "said"),
    [
        ("horse", "Dancer", "Comet", "Comet and Ana is away on 2027-04-08"),
        ("person", "Ana", "Bea", "Dancer and Bea is away on 2027-04-08"),
        ("show", "Ana", "Bea", "Dancer and Ana is away on 2027-04-08"),
    ],
)
def test_a_name_is_corrected_in_facts_and_in_what_is_told_of_them(kind, old, new, said):
    """By what a value holds, not by how it reads."""
    text = rename_in_circuits(dump(dropped_entries=(LOST,)), Renaming(kind, old, new))
    (circuit,) = parse_circuits(text, "c.json")
    assert json.loads(text)["circuits"][0]["dropped_entries"][0]["why"] == said
    assert str(circuit.dropped_entries[0].why) == said


def test_a_show_is_corrected_in_facts_within_facts():
    """Entries that every plan must keep name their shows."""
    text = rename_in_circuits(dump(reasons=(KEPT,)), Renaming("show", "S1", "Elm 1"))
    (circuit,) = parse_circuits(text, "c.json")
    outing = state("planning.outing", horse="Dancer", show="Elm 1")
    assert circuit.reasons == (state("planning.entries-kept", outings=(outing,)),)
    assert json.loads(text)["circuits"][0]["reasons"] == [
        "entries that every plan must keep: Dancer at Elm 1"
    ]


def test_a_circuit_with_a_plan_has_no_reason_facts():
    """Keys that say nothing are not written."""
    (written,) = json.loads(dump_circuits(make_yard(), [make_circuit()]))["circuits"]
    assert "reason_facts" not in written
