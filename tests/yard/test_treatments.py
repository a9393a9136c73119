"""Treatments beside published figures: quoted with dose, route and source, never a clearance."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.build import day
from tripkit.rulebooks import load_medicines
from tripkit.yard.answers import list_sentences
from tripkit.yard.treatments import (
    ASK_YOUR_VET,
    Treatment,
    list_substances,
    normalise_route,
    normalise_substance,
    quote_treatments,
)

MEDICINES = load_medicines()


def quote(substance: str, route: str = "", dose: str = "", on: str = "2026-11-20"):
    return quote_treatments([Treatment("Dancer", substance, day(on), route, dose)], MEDICINES)


@pytest.mark.parametrize(
    ("substance", "route", "hours", "dose"),
    [
        # EHSLC/FEI table, German vets' leaflet
        ("dexamethasone sodium phosphate", "iv", 120, "0.06 mg/kg"),
        ("Dexamethasone isonicotinate", "IM", 336, "0.03 mg/kg"),
        ("firocoxib", "oral", 360, "0.1 mg/kg for 7 days"),
        ("clenbuterol", "by mouth", 312, "1.6 µg/kg"),
        ("clenbuterol", "nebulised", 144, "0.3 µg/kg"),
        ("carprofen", "i.v.", 264, "0.7 mg/kg"),
        # FEI, 11 May 2011
        ("meloxicam", "oral", 72, "not in the text found"),
        # FEI list, from memory
        ("phenylbutazone", "oral", 168, "not held"),
    ],
)
def test_a_figure_is_quoted_with_dose_route_and_source(
    substance: str, route: str, hours: int, dose: str
) -> None:
    """Hours as published; the sentence says that it is no withdrawal time."""
    first = quote(substance, route)[0]
    assert f"published detection time {hours} hours" in str(first.text)
    assert dose in str(first.text)
    assert ASK_YOUR_VET in list_sentences(first.text)
    assert len(first.source) > 10


def test_what_is_from_memory_says_so() -> None:
    """Phenylbutazone's hours are from memory, of high confidence."""
    assert "from memory, high" in quote("phenylbutazone", "oral")[0].source


def test_another_bodys_figure_is_marked_as_such() -> None:
    """German federation 2011: phenylbutazone 21 days, beside the detection time."""
    first, second = quote("phenylbutazone", "oral")
    assert "detection" in str(first.text)
    assert "recommendation of the German federation: 21 days" in str(second.text)
    assert "28 April 2011" in second.source


def test_what_prolongs_detection_is_told() -> None:
    """FEI list, 12 May 2011: droppings and bedding, for dipyrone, flunixin and clenbuterol."""
    assert "clean the stable daily" in str(quote("flunixin", "iv")[-1].text)
    assert all("stable" not in str(q.text) for q in quote("firocoxib", "oral"))


def test_another_route_than_the_published_one_gets_no_figure() -> None:
    """Firocoxib is published for the mouth only."""
    (found,) = quote("firocoxib", "iv")
    assert "published for oral only" in str(found.text)
    assert "hours" not in str(found.text)


def test_an_unknown_substance_names_a_near_one_and_no_figure() -> None:
    """A misspelling is asked back, nothing is invented."""
    (found,) = quote("firocoxb", "oral")
    assert "did you mean firocoxib" in str(found.text)
    assert "hours" not in str(found.text)
    (found,) = quote("moonwater")
    assert "no published figure is held" in str(found.text)
    assert "did you mean" not in str(found.text)


@pytest.mark.parametrize("name", ["bute", "Bute", "ACP", "metamizole", "flunixin meglumine"])
def test_what_the_stable_calls_a_substance_finds_its_figures(name: str) -> None:
    """The lists write phenylbutazone, acepromazine, dipyrone, flunixin (names from memory)."""
    assert normalise_substance(name) in list_substances(MEDICINES)
    assert "no published figure is held" not in str(quote(name)[0].text)


@given(
    st.sampled_from([*list_substances(MEDICINES), "moonwater", "firocoxb"]),
    st.sampled_from(["", "iv", "im", "oral", "nebulised"]),
    st.dates(day("2020-01-01"), day("2030-12-31")),
)
def test_no_quote_names_another_day_than_that_of_the_treatment(substance, route, on) -> None:
    """A date counted from a figure would read as a clearance."""
    for found in quote_treatments([Treatment("Dancer", substance, on, route)], MEDICINES):
        assert set(re.findall(r"\d{4}-\d{2}-\d{2}", str(found.text))) <= {on.isoformat()}
        assert "vet" in str(found.text) or "stable" in str(found.text)


def test_routes_are_compared_without_their_writing() -> None:
    """Points, capitals and other words make no difference."""
    assert [normalise_route(text) for text in ("I.V.", "Intravenous", "PO", " oral ")] == [
        "iv",
        "iv",
        "oral",
        "oral",
    ]
