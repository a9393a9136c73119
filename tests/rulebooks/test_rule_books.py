"""Rule books: what is in them, and what a faulty file is answered with."""

from __future__ import annotations

from datetime import date

import pytest

from tripkit.errors import BadValue
from tripkit.rulebooks import known_rule_books, load_rule_books, read_rule_book

ALL_RULES = [
    pytest.param(rule, id=f"{book.id}-{rule.id}-{rule.effective_from or 'always'}")
    for book in load_rule_books(known_rule_books())
    for rule in book.rules
]

GOOD = """
id = "test"
title = "A book for tests"
[[rule]]
id = "booster"
words = "Boosters follow within 12 months."
value = 12
unit = "months"
source = "A document, Art. 1, edition 2027"
kind = "published"
confidence = "seen"
"""


def test_the_known_books_are_the_four_files() -> None:
    """Great Britain, the European Union, the international body and the United States."""
    assert known_rule_books() == ("eu", "fei", "gb", "us")


def test_books_come_in_the_order_asked_for_and_once() -> None:
    """The yard's list decides the order; a book named twice comes once."""
    assert [book.id for book in load_rule_books(["us", "fei", "us"])] == ["us", "fei"]


def test_no_ids_give_no_books() -> None:
    """An empty list of rule books means none."""
    assert load_rule_books([]) == ()


def test_an_unknown_book_is_refused_with_the_known_ones() -> None:
    """The message helps with the spelling."""
    with pytest.raises(BadValue, match=r"'fie' is no rule book; there are eu, fei, gb, us"):
        load_rule_books(["fie"])


@pytest.mark.parametrize("rule", ALL_RULES)
def test_every_rule_names_a_document_and_how_sure_it_is(rule) -> None:
    """No figure without a source, a confidence and a sentence of its own."""
    assert len(rule.source) > 10
    assert rule.confidence
    assert rule.words.endswith(".")


@pytest.mark.parametrize(
    ("book_id", "rule_id", "on", "value"),
    [
        # FEI VR 2019 Art. 1003.2 and the change for doses from 1 January 2024
        ("fei", "influenza-primary-gap", "2023-12-31", (21, 92)),
        ("fei", "influenza-primary-gap", "2024-01-01", (21, 60)),
        # FEI Board decision of 8 September 2022: 12 months from 1 Oct 2022 to 1 Apr 2023
        ("fei", "influenza-to-compete", "2022-09-30", (6, 21)),
        ("fei", "influenza-to-compete", "2022-10-01", 12),
        ("fei", "influenza-to-compete", "2023-04-01", 12),
        ("fei", "influenza-to-compete", "2023-04-02", (6, 21)),
        # BEF, update of 1 January 2024
        ("gb", "influenza-first-booster", "2023-12-31", (150, 215)),
        ("gb", "influenza-first-booster", "2024-01-01", (120, 180)),
        # USEF GR845; USEF interstate travel page
        ("us", "influenza-to-compete", "2027-04-01", 6),
        ("us", "herpes-to-compete", "2027-04-01", 6),
        ("us", "coggins-validity", "2027-04-01", 12),
        # FEI return-to-competition measures: 10 days, 3 from 1 November 2021
        ("fei", "temperature-days", "2021-10-31", 10),
        ("fei", "temperature-days", "2021-11-01", 3),
    ],
)
def test_the_edition_of_the_day_holds(book_id: str, rule_id: str, on: str, value: object) -> None:
    """Each edition holds from its first to its last day (sources: the comment beside it)."""
    (book,) = load_rule_books([book_id])
    rule = book.find_rule(rule_id, date.fromisoformat(on))
    assert rule is not None
    assert rule.value == value


def test_a_rule_before_its_first_edition_is_not_there() -> None:
    """USEF GR845 is in force since 1 December 2015."""
    (book,) = load_rule_books(["us"])
    assert book.find_rule("herpes-to-compete", date(2015, 11, 30)) is None
    assert book.find_rule("herpes-to-compete", date(2015, 12, 1)) is not None


def test_a_good_file_is_read() -> None:
    """The text of the faulty ones below is sound before it is spoilt."""
    (rule,) = read_rule_book(GOOD, "test.toml").rules
    assert (rule.id, rule.value, rule.unit) == ("booster", 12, "months")


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('source = "A document, Art. 1, edition 2027"\n', "", "rule booster: source is missing"),
        ('"A document, Art. 1, edition 2027"', '" "', "rule booster: source is missing"),
        ('confidence = "seen"', 'certainty = "seen"', "rule booster: key 'certainty' is unknown"),
        ('title = "A book for tests"', 'titel = "A book"', "key 'titel' is unknown"),
        ('title = "A book for tests"', "", "title is missing"),
        ("value = 12", "value = 12.5", "rule booster: value 12.5 is not in months"),
        ("value = 12", "value = true", "rule booster: value True is not in months"),
        ("value = 12", "value = [6, 21]", r"rule booster: value \[6, 21\] is not in months"),
        ("value = 12", "value = -1", "rule booster: value -1 is not in months"),
        ('unit = "months"', 'unit = "moons"', "rule booster: unit 'moons' is none of"),
        ('kind = "published"', 'kind = "gossip"', "rule booster: .*'gossip' is none of"),
        ('id = "booster"', "", "rule 1: id is missing"),
        ("value = 12", "value = ", "is not TOML"),
        (
            'confidence = "seen"',
            'confidence = "seen"\neffective_from = "2024-01-01"',
            "rule booster: effective_from '2024-01-01' is not a date",
        ),
        (
            'confidence = "seen"',
            'confidence = "seen"\neffective_from = 2024-01-02\neffective_to = 2024-01-01',
            "rule booster: effective_to 2024-01-01 lies before effective_from",
        ),
    ],
)
def test_a_faulty_file_names_file_and_rule(old: str, new: str, message: str) -> None:
    """Whoever edits a rule book is told where the fault stands."""
    assert old in GOOD
    with pytest.raises(BadValue, match=rf"test\.toml.*{message}"):
        read_rule_book(GOOD.replace(old, new, 1), "test.toml")


def test_two_editions_may_not_hold_on_one_day() -> None:
    """An answer must not hang on the order of the rules in the file."""
    table = GOOD[GOOD.index("[[rule]]") :]
    apart = GOOD + "effective_to = 2023-12-31\n" + table + "effective_from = 2024-01-01\n"
    assert len(read_rule_book(apart, "test.toml").rules) == 2
    with pytest.raises(BadValue, match=r"test\.toml, rule booster: two editions hold on"):
        read_rule_book(GOOD + "effective_to = 2024-01-01\n" + table, "test.toml")
