"""Rule books: what is in them, and what a faulty file is answered with."""

from __future__ import annotations

from datetime import date

import pytest

from tripkit.rulebooks import (
    known_rule_books,
    load_medicines,
    load_rule_books,
    read_rule_book,
)
from tripkit.yard.errors import BadValue

ALL_RULES = [
    pytest.param(rule, id=f"{book.id}-{rule.id}-{rule.effective_from or 'always'}")
    for book in (*load_rule_books(known_rule_books()), load_medicines())
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


def test_the_known_books_are_those_that_papers_are_asked_by() -> None:
    """Germany, European Union, international body, Great Britain, United States; no medicines."""
    assert known_rule_books() == ("de", "eu", "fei", "gb", "us")
    assert load_medicines().id == "medicines"


def test_books_come_in_the_order_asked_for_and_once() -> None:
    """The yard's list decides the order; a book named twice comes once."""
    assert [book.id for book in load_rule_books(["us", "fei", "us"])] == ["us", "fei"]


def test_no_ids_give_no_books() -> None:
    """An empty list of rule books means none."""
    assert load_rule_books([]) == ()


def test_an_unknown_book_is_refused_with_the_known_ones() -> None:
    """The message helps with the spelling."""
    with pytest.raises(BadValue, match=r"'fie' is no rule book; there are de, eu, fei, gb, us"):
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


@pytest.mark.parametrize("rule", ALL_RULES)
def test_what_is_not_sure_is_marked_wherever_its_source_is_printed(rule) -> None:
    """From memory, common practice, stale, secondary: the words stand in what is printed."""
    assert rule.cited.startswith(rule.source)
    if rule.kind != "published":
        assert rule.kind in rule.cited
    if rule.confidence != "seen":
        assert rule.confidence.removeprefix("seen; ") in rule.cited
    if rule.kind == "published" and rule.confidence == "seen":
        assert rule.cited == rule.source


@pytest.mark.parametrize(
    ("book_id", "rule_id", "value"),
    [
        # FEI GRs-2026 Art. 116.2.2, 116.3.2, 113.4; FEI 2021 fever limit
        ("fei", "entry-nominated-days", 28),
        ("fei", "entry-definite-days", 4),
        ("fei", "unsanctioned-months", 6),
        ("fei", "temperature-limit", 38.5),
        ("fei", "temperature-readings", 2),
        # world breeding championship 2021
        ("fei", "young-height-5", 125),
        # Oregon table, undated
        ("us", "coggins-validity-KY", 12),
        # USEF GR845.4
        ("us", "temperature-unvaccinated-days", 7),
        # Del. Reg. 2020/688 Art. 91(2)(b), 92(3)
        ("eu", "health_certificate-exam-hours", 48),
        ("eu", "health_certificate-mark-validity", 30),
        # British Showjumping 2019
        ("gb", "young-height-7", 135),
        # LPO 2024
        ("de", "young-shows-3", 5),
    ],
)
def test_a_figure_is_that_of_its_document(book_id: str, rule_id: str, value: object) -> None:
    """Each number was read by hand in the document named beside it."""
    (book,) = load_rule_books([book_id])
    rule = book.find_rule(rule_id, date(2027, 4, 1))
    assert rule is not None
    assert rule.value == value


# The yard's own rules


def read_local(*tables: str) -> tuple:
    return read_rule_book("\n".join(tables), "local.toml", local=True).rules


TABLE = GOOD[GOOD.index("[[rule]]") :]


def test_an_own_rule_comes_before_the_books_and_leaves_other_days_alone() -> None:
    """The yard asks for 6 months in 2027; in 2026 and 2028 the book's 12 months hold."""
    book = read_rule_book(GOOD, "test.toml")
    own = read_local(
        TABLE.replace("value = 12", "value = 6"),
        "effective_from = 2027-01-01",
        "effective_to = 2027-12-31",
    )
    changed = book.override(own)
    answers = []
    for year in (2026, 2027, 2028):
        rule = changed.find_rule("booster", date(year, 5, 1))
        assert rule is not None
        answers.append(rule.value)
    assert answers == [12, 6, 12]


def test_an_own_rule_may_name_the_one_book_it_changes() -> None:
    """A rule for another book changes nothing here."""
    book = read_rule_book(GOOD, "test.toml")
    other = read_local(TABLE.replace("value = 12", 'value = 6\nbook = "us"'))
    assert book.override(other) is book
    with pytest.raises(BadValue, match="key 'book' is unknown"):
        read_rule_book(GOOD + 'book = "us"\n', "test.toml")


def test_a_local_file_without_a_source_is_refused() -> None:
    """The yard's own rules name where they come from, too."""
    with pytest.raises(BadValue, match=r"local\.toml, rule booster: source is missing"):
        read_local(TABLE.replace('source = "A document, Art. 1, edition 2027"\n', ""))
