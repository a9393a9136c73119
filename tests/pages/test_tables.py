"""Frames of pandas: columns and dtypes as documented, values as in the rows they come from."""

from __future__ import annotations

import inspect
from dataclasses import fields
from datetime import date, datetime, timedelta, timezone
from fractions import Fraction

import pytest

from tests.build import make_yard
from tripkit.judging.case import Violation
from tripkit.pages import tables
from tripkit.season.comparison import compare
from tripkit.season.scorecard import finish_circuit
from tripkit.yard.answers import Finding
from tripkit.yard.circuit import Circuit, Day, Leg, Outing, Stop, Totals
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import state
from tripkit.yard.people import Share

SUMMER = timezone(timedelta(hours=-4))
DOCUMENTED = [
    (tables.circuits_table, tables.CIRCUITS),
    (tables.outings_table, tables.OUTINGS),
    (tables.legs_table, tables.LEGS),
    (tables.days_table, tables.DAYS),
    (tables.findings_table, tables.FINDINGS),
    (tables.violations_table, tables.VIOLATIONS),
    (tables.costs_table, tables.COSTS),
    (tables.owners_table, tables.OWNERS),
    (tables.comparison_table, tables.FIGURES),
    (tables.compared_horses_table, tables.COMPARED_HORSES),
    (tables.compared_owners_table, tables.COMPARED_OWNERS),
]
NONE = Circuit("Tour Moon", "tour Moon", "none exists")

OUTING = Outing(
    "Dancer",
    "S1",
    "Ana",
    ("C1", "C2"),
    date(2027, 4, 8),
    date(2027, 4, 10),
    date(2027, 4, 7),
    date(2027, 4, 11),
)
WATER = Stop("water", datetime(2027, 4, 7, 8, tzinfo=SUMMER), 30, "Mid")
NIGHT = Stop("overnight", datetime(2027, 4, 7, 9, tzinfo=SUMMER), 600, "Mid")
OUT = Leg(
    "Lorry",
    "home",
    "S1",
    datetime(2027, 4, 7, 7, tzinfo=SUMMER),
    datetime(2027, 4, 7, 9, tzinfo=SUMMER),
    140.0,
    2.0,
    ("Piet", "Vera"),
    ("Dancer",),
    (WATER, NIGHT),
)


@pytest.fixture(scope="module")
def yard():
    shares = (Share("Dancer", "Olga", Fraction(2, 3)), Share("Dancer", "Ana", Fraction(1, 3)))
    return make_yard(shares=shares)


@pytest.fixture(scope="module")
def circuit(yard):
    return finish_circuit(
        yard, "One", "most worth", "proved best", 20.0, 20.0, 0.5, [OUTING], [OUT]
    )


@pytest.fixture(scope="module")
def comparison(yard, circuit):
    home = finish_circuit(yard, "Home", "least cost", "proved best", 0.0, 0.0, 0.1, [], [])
    return compare(yard, home, circuit)


@pytest.fixture(scope="module")
def frames(yard, circuit, comparison):
    """Every table twice: with rows, and with none where it can have none."""
    broken = Violation("cap", state("judging.no-driver"))
    return [
        (tables.circuits_table([circuit, NONE]), tables.CIRCUITS),
        (tables.circuits_table([]), tables.CIRCUITS),
        (tables.outings_table(circuit), tables.OUTINGS),
        (tables.outings_table(NONE), tables.OUTINGS),
        (tables.legs_table(circuit), tables.LEGS),
        (tables.legs_table(NONE), tables.LEGS),
        (tables.days_table(circuit), tables.DAYS),
        (tables.days_table(NONE), tables.DAYS),
        (tables.findings_table([Finding("age", "ok", "why", "source")]), tables.FINDINGS),
        (tables.findings_table([]), tables.FINDINGS),
        (
            tables.violations_table([broken]),
            tables.VIOLATIONS,
        ),
        (tables.violations_table([]), tables.VIOLATIONS),
        (tables.costs_table(yard, circuit), tables.COSTS),
        (tables.costs_table(yard, NONE), tables.COSTS),
        (tables.owners_table(yard, circuit), tables.OWNERS),
        (tables.owners_table(yard, NONE), tables.OWNERS),
        (tables.comparison_table(comparison), tables.FIGURES),
        (tables.compared_horses_table(comparison), tables.COMPARED_HORSES),
        (tables.compared_owners_table(comparison), tables.COMPARED_OWNERS),
    ]


def test_columns_and_dtypes_are_the_documented_ones_with_or_without_rows(frames):
    """An empty table can be joined with a full one."""
    for frame, columns in frames:
        assert dict(frame.dtypes.astype(str)) == dict(columns)


def test_every_figure_of_the_totals_is_a_column_and_is_compared(comparison):
    """In their order at the end of a circuit's row; two circuits are compared in each."""
    figures = [field.name for field in fields(Totals)]
    assert list(tables.CIRCUITS)[-len(figures) :] == figures
    assert set(tables.comparison_table(comparison)["figure"]) == set(figures)


@pytest.mark.parametrize(("table", "columns"), DOCUMENTED)
def test_docstrings_name_every_column_and_dtype(table, columns):
    """Whoever asks for help reads what stands in the frame."""
    said = inspect.getdoc(table).split("Columns:")[1]
    assert [name for name in columns if name not in said] == []
    assert [dtype for dtype in set(columns.values()) if f"`{dtype}`" not in said] == []


def test_every_table_is_tested_here():
    """A new function of the room needs a row above."""
    made = {name for name in vars(tables) if name.endswith("_table")}
    listed = {table.__name__ for table, _ in DOCUMENTED}
    assert made == listed


def test_outings_keep_days_and_join_classes(circuit):
    """Days as written, classes joined by "; "."""
    (row,) = tables.outings_table(circuit).to_dict("records")
    assert (row["horse"], row["show"], row["classes"]) == ("Dancer", "S1", "C1; C2")
    assert row["arrive"].date() == date(2027, 4, 7)
    assert row["worth"] == 20.0  # two classes worth 10, weight 1


def test_legs_are_in_utc_and_count_their_stops(circuit):
    """07:00 four hours behind UTC is 11:00; of two stops one is over night."""
    (row,) = tables.legs_table(circuit).to_dict("records")
    assert row["depart"].isoformat() == "2027-04-07T11:00:00+00:00"
    assert (row["from"], row["to"], row["drivers"]) == ("home", "S1", "Piet; Vera")
    assert (row["stops"], row["nights"]) == (2, 1)


def test_days_have_one_row_a_day():
    """The kinds besides the first are joined."""
    day = Day("Dancer", date(2027, 4, 6), "home", "school", ("vet check", "flat"))
    (row,) = tables.days_table(Circuit("x", "y", "proved best", days=(day,))).to_dict("records")
    assert (row["at"], row["does"], row["also"]) == ("home", "school", "vet check; flat")


def test_findings_split_their_window():
    """A window of days becomes two columns; a finding without one has them missing."""
    span = DaySpan(date(2027, 3, 1), date(2027, 3, 9))
    with_window = Finding("age", "due", "why", "s", due_by=date(2027, 3, 9), window=span)
    frame = tables.findings_table([with_window, Finding("age", "ok", "why", "s")])
    assert frame["window_first"][0].date() == date(2027, 3, 1)
    assert frame["window_last"][0].date() == date(2027, 3, 9)
    assert frame["due_by"].isna().tolist() == [False, True]


def test_missing_figures_are_missing(circuit):
    """A circuit without a plan has no objective, no bound and no spare days."""
    frame = tables.circuits_table([circuit, NONE])
    assert frame["objective"].isna().tolist() == [False, True]
    assert frame["spare_days"].isna().tolist() == [True, True]  # one outing has no pair


def test_costs_and_owners_sum_to_the_circuit(yard, circuit):
    """Money is exact: parts sum to totals to the cent (handbook, Choices)."""
    total = circuit.totals.cost_cents
    assert total > 0
    assert tables.costs_table(yard, circuit)["cents"].sum() == total
    owners = tables.owners_table(yard, circuit)
    assert owners["cents"].sum() == total
    assert set(owners["owner"]) == {"Olga", "Ana"}


def test_comparison_is_right_less_left(comparison, circuit):
    """From staying at home to one outing: all of its worth and cost are gained and paid."""
    frame = tables.comparison_table(comparison).set_index("figure")
    assert frame.loc["worth", "difference"] == 20.0
    assert frame.loc["cost_cents", "difference"] == circuit.totals.cost_cents
    assert frame.loc["outings"].tolist() == [0, 1, 1]
    (row,) = tables.compared_horses_table(comparison).to_dict("records")
    assert (row["only_left"], row["only_right"], row["both"]) == ("", "S1", "")
