"""A season that breaks rules, published all the same: each reader reads it in his own language.

Expected: every sentence comes from the reader's catalogue, and what a sentence is filled with is a
name, a number, a date, or a key of a file in quotation marks. RFC 5545 section 3.2.10 (LANGUAGE).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from tests.build import day, make_paper
from tests.publishing.hand_season import make_season_circuit, make_season_yard, unfold
from tests.publishing.test_feed_languages import check_no_english, find_head
from tripkit.judging.judge import find_violations
from tripkit.pages.travel_sheet import write_travel_sheets
from tripkit.publishing import Reader, publish, write_feed
from tripkit.publishing.contents import load_head
from tripkit.store import open_store
from tripkit.words import telling
from tripkit.words.english import SENTENCES
from tripkit.words.telling import Teller, choose_calendar_teller, load_sentences
from tripkit.words.verdicts import write_broken
from tripkit.yard.circuit import Circuit, Day, number_driver
from tripkit.yard.people import LANGUAGES, Person
from tripkit.yard.yard import DrivingSettings, Yard

OTHERS = LANGUAGES[1:]
NOW = datetime(2027, 3, 1, 12, tzinfo=UTC)
READ_BY = {"Otto": "de", "Gil": "es", "Sam": "fr"}
ENGLISH = re.compile(
    r"\b(the|and|of|is|was|with|from|has|have|not|needs|may|which|its|there|home)\b"
)
"""Words that are English and no word of the other three."""


def make_broken(language: str, rules: str = "us") -> tuple[Yard, Circuit]:
    """The season by hand with a second driver whom nobody names, an odd day and a short rest."""
    yard = make_season_yard(
        language=language,
        today=day("2027-03-01"),
        driving=DrivingSettings(rules, 70.0),
        papers=[make_paper("influenza", "2026-03-01", "Alder", valid_until="2026-09-01")],
        paper_rules=(),
    )
    people = [replace(p, language=READ_BY.get(p.person, "")) for p in yard.people]
    people.append(Person("Sam", "driver", language="fr"))
    circuit = make_season_circuit()
    first, *legs = circuit.legs
    odd = Day("Birch", day("2027-03-25"), "home", "hack", ("vet check",))
    return replace(yard, people=tuple(people)), replace(
        circuit,
        legs=(first, replace(legs[0], drivers=(number_driver(1),)), *legs[1:-1]),
        days=(*circuit.days, odd),
    )


@pytest.fixture
def told(monkeypatch) -> set[tuple[str, str]]:
    """The language and code of each sentence that is told."""
    found: set[tuple[str, str]] = set()
    good = telling.Teller.find_sentence

    def find_sentence(teller: Teller, code: str) -> str:
        found.add((teller.language, code))
        return good(teller, code)

    monkeypatch.setattr(telling.Teller, "find_sentence", find_sentence)
    return found


def list_texts(body: bytes) -> Iterator[str]:
    """Every text of a calendar that is told to somebody, unescaped by hand."""
    for line in unfold(body):
        name, _, text = line.partition(":")
        if name.split(";")[0] in ("NAME", "DESCRIPTION", "SUMMARY", "CATEGORIES", "X-WR-CALDESC"):
            yield re.sub(r"\\n", "\n", re.sub(r"\\([,;\\])", r"\1", text))


def check_told(text: str, language: str) -> None:
    """No English word stands in a text; keys of files, in quotation marks, are none."""
    text = re.sub("„[^“]*“|«[^»]*»", " ", text)
    assert ENGLISH.findall(text) == []
    check_no_english(text, language)


@pytest.mark.parametrize(("language", "rules"), [("es", "us"), ("de", "eu"), ("fr", "gb")])
def test_every_sentence_of_a_broken_season_is_the_readers(tmp_path, told, language, rules):
    """Feeds as they are served, and travel sheets: each code told is in the catalogue."""
    yard, circuit = make_broken(language, rules)
    broken = find_violations(yard, circuit)
    assert {v.rule for v in broken} >= {"driving", "days", "totals", "one-place"}
    store = open_store(tmp_path)
    told.clear()
    publish(yard, circuit, store, NOW, broken=broken)
    for who, feed in store.read_shelf().feeds.items():
        reads = load_head(feed.head, Reader(*who)).teller.language
        assert reads == READ_BY.get(who[1], language)
        for text in list_texts(feed.body):
            check_told(text, reads)
    lines = write_broken(yard, circuit, broken, choose_calendar_teller(yard))
    page = write_travel_sheets(yard, circuit, lines)
    overview = page.split("<body>")[1].split("<article id")[0]
    check_told(re.sub("<[^>]*>", " ", overview), language)
    lost = {(w, c) for w, c in told if w in OTHERS and c not in load_sentences(w)}
    assert lost == set()
    assert any(code.startswith("logbook.") for _, code in told)


@pytest.mark.parametrize("language", OTHERS)
def test_what_a_driver_does_is_told_to_everybody_in_his_words(language):
    """The driver's log, its law and the driver whom nobody names: word by word."""
    said = {
        "de": ("darf 11 h fahren", "Fassung vom 29. September 2020", "Fahrer ohne Namen 1"),
        "es": (
            "puede conducir 11 h",
            "edición del 29 de septiembre de 2020",
            "sin nombre 1",
        ),
        "fr": ("peut conduire 11 h", "édition du 29 septembre 2020", "non désigné 1"),
    }
    yard, circuit = make_broken(language)
    lines = write_broken(
        yard, circuit, find_violations(yard, circuit), choose_calendar_teller(yard)
    )
    for words in said[language]:
        assert any(words in line for line in lines), words


def test_three_readers_of_one_publishing_read_three_languages(tmp_path):
    """A German owner, a Spanish groom, a French driver, and an English yard."""
    yard, circuit = make_broken("en")
    store = open_store(tmp_path)
    publish(yard, circuit, store, NOW, broken=find_violations(yard, circuit))
    feeds = store.read_shelf().feeds
    about = {who[1]: find_head(feed.body)["about"] for who, feed in feeds.items()}
    assert "Der Plan bricht Regeln des Stalls: " in about["Otto"]
    assert "Tagesplan, Birch, " in about["Otto"]
    assert "El plan incumple reglas de la cuadra: " in about["Gil"]
    assert "Le plan enfreint des règles de l'écurie" in about["Sam"]
    assert "It breaks rules of the yard: " in about["Hill Farm"]


# What is spoilt


def list_marks(body: bytes, name: str) -> set[str]:
    """The parameters of a property, over all of a calendar."""
    found = (line.split(":", 1)[0] for line in unfold(body))
    return {head.removeprefix(name) for head in found if head.split(";")[0] == name}


def test_what_is_told_in_english_says_so(monkeypatch):
    """A spoilt title is English and marked as that; the lines below it stay German."""
    good = telling.read_catalogue

    def read(language: str):
        lost = {"feeds.stay", "feeds.group-show"}
        return {code: both for code, both in good(language).items() if code not in lost}

    yard, circuit = make_broken("de")
    reader = Reader("horse", "Alder")
    assert list_marks(write_feed(yard, circuit, reader), "SUMMARY") == {";LANGUAGE=de"}
    monkeypatch.setattr(telling, "read_catalogue", read)
    telling.load_sentences.cache_clear()
    clear_told_lines()
    body = write_feed(yard, circuit, reader)
    telling.load_sentences.cache_clear()
    clear_told_lines()
    assert list_marks(body, "SUMMARY") == {";LANGUAGE=de", ";LANGUAGE=en"}
    assert list_marks(body, "CATEGORIES") == {";LANGUAGE=de", ";LANGUAGE=en"}
    assert list_marks(body, "DESCRIPTION") == {";LANGUAGE=de"}
    for line in unfold(body):
        if line.startswith("SUMMARY"):
            assert (";LANGUAGE=en" in line) is ("show" in line)
    english, _ = make_broken("en")
    assert list_marks(write_feed(english, circuit, reader), "SUMMARY") == {""}


def clear_told_lines() -> None:
    """Lines that were told before are told anew."""
    from tripkit.publishing import events

    events.tell_line.cache_clear()
    events.find_language.cache_clear()


def test_every_sentence_that_the_judge_may_state_is_in_every_catalogue():
    """Whatever rule a plan breaks: its families are held complete."""
    families = ("judging", "logbook", "laws", "terms", "eligibility", "documents", "vaccination")
    for language in OTHERS:
        known = load_sentences(language)
        assert [c for c in SENTENCES if c.startswith(families) and c not in known] == []
