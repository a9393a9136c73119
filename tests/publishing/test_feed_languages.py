"""Each reader's calendar in his own language; what it is, when and where does not depend on it.

**Source:** RFC 5545 section 3.2.10 (LANGUAGE), 3.8.7.4 (SEQUENCE), 3.8.4.7 (UID); Unicode CLDR 45
for months, weekdays, decimals and plurals of German, Spanish and French.
"""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime
from itertools import product
from pathlib import Path

import pytest
from icalendar import Calendar

from tests.build import make_paper, make_show
from tests.publishing.hand_season import (
    make_season_circuit,
    make_season_yard,
    move_second_show,
    pick,
    split_components,
    unfold,
)
from tests.publishing.test_feed_vet import RECHECK, make_plan
from tripkit.publishing import READER_KINDS, Reader, list_events, list_readers, publish, write_feed
from tripkit.publishing.alarms import list_alarms
from tripkit.publishing.contents import dump_event, load_event
from tripkit.store import Store, open_store
from tripkit.words.english import READERS_SEE, SENTENCES
from tripkit.words.telling import CALENDAR, load_sentences
from tripkit.yard.circuit import Circuit
from tripkit.yard.people import LANGUAGES
from tripkit.yard.yard import Yard

CIRCUIT = make_season_circuit()
OTHERS = LANGUAGES[1:]
NOW = datetime(2027, 3, 1, 12, tzinfo=UTC)


def make_yard_in(language: str, yard: Yard | None = None) -> Yard:
    """The season's yard, everybody reading one language."""
    return replace(yard or make_season_yard(), language=language)


def make_yard_of(**languages: str) -> Yard:
    """The season's yard with the languages of some people."""
    yard = make_season_yard()
    people = [replace(p, language=languages.get(p.person, "")) for p in yard.people]
    return replace(yard, people=tuple(people))


def publish_in(folder: Path, language: str, now: datetime = NOW, circuit: Circuit = CIRCUIT):
    """The season published by everybody's language; the store, and what it changed."""
    store = open_store(folder)
    return store, publish(make_yard_in(language), circuit, store, now)


def find_head(body: bytes) -> dict[str, str]:
    """Name and description of a calendar, unescaped by hand (RFC 5545 section 3.3.11)."""
    lines = dict(line.split(":", 1) for line in unfold(body)[:8])
    names = {"title": "X-WR-CALNAME", "about": "X-WR-CALDESC"}
    return {key: re.sub(r"\\(.)", r"\1", lines[name]) for key, name in names.items()}


def find_lines(store: Store, who: tuple[str, str]) -> dict[str, dict[str, str]]:
    """The content lines of each event by UID and by name, without parameters."""
    found = {}
    for lines in split_components(store.read_shelf().feeds[who].body, "VEVENT"):
        named = {line.split(":", 1)[0].split(";")[0]: line.split(":", 1)[1] for line in lines}
        found[named["UID"]] = named
    return found


def test_a_german_owner_reads_german():
    """Otto's Birch at Dothan 1, word by word; another program reads it back."""
    yard = make_yard_of(Otto="de")
    body = write_feed(yard, CIRCUIT, Reader("owner", "Otto"))
    feed = Calendar.from_ical(body)
    stay = next(e for e in feed.events if e["SUMMARY"].startswith("Birch: Turnier"))
    assert str(stay["SUMMARY"]) == "Birch: Turnier, Dothan 1"
    assert stay["SUMMARY"].params["LANGUAGE"] == "de"
    assert str(stay["DESCRIPTION"]).split("\n") == [
        "Mi. 17. März: C1, 120 cm",
        "Im Sattel: Ben",
        "Auf dem Turnierplatz: So. 14. März bis Mo. 22. März",
        "Boxen offen: So. 14. März bis Mo. 22. März",
        "Hinfahrt: Sa. 13. März 07:00, Big Lorry, am Steuer: Sam",
        "Heimfahrt: Mo. 22. März 07:00, Big Lorry, am Steuer: Sam",
        "Noch nicht genannt.",
        "Termine und Gebühren laut Kalender des Stalls; es gilt die Ausschreibung des "
        "Veranstalters.",
    ]
    assert find_head(body)["title"] == "Hill Farm: Otto, Besitzer/in"


@pytest.mark.parametrize(
    ("language", "near"),
    [("en", "near"), ("de", "bei"), ("es", "cerca de"), ("fr", "secteur")],
)
def test_a_place_without_a_name_lies_near_a_town_in_the_readers_language(language, near):
    """What only coordinates say is told by the nearest town, as stops on the way are."""
    yard = make_yard_in(language)
    yard = replace(yard, place=replace(yard.place, is_near=True))
    feed = Calendar.from_ical(write_feed(yard, CIRCUIT, Reader("yard", yard.name)))
    located = {str(event["LOCATION"]) for event in feed.events if "LOCATION" in event}
    assert located == {f"{near} {yard.place.name}", "Dothan"}


@pytest.mark.parametrize(
    ("language", "text"),
    [
        ("en", "Wed 17 March: C1, 120 cm, young horses"),
        ("de", "Mi. 17. März: C1, 120 cm, Jungpferde"),
        ("es", "Mié 17 de marzo: C1, 120 cm, caballos jóvenes"),
        ("fr", "Mer. 17 mars\N{NO-BREAK SPACE}: C1, 120 cm, jeunes chevaux"),
    ],
)
def test_a_young_class_is_one_for_young_horses(language, text):
    """The division says whose age a class asks: a rider's status of the same name is another."""
    yard = make_yard_in(language)
    young = [
        replace(show, classes=tuple(replace(c, division="young") for c in show.classes))
        for show in yard.shows
    ]
    yard = replace(yard, shows=tuple(young))
    stay = pick(list_events(yard, CIRCUIT, Reader("horse", "Birch")), "stay")
    assert stay.told_lines[0] == text


def test_everybody_else_reads_on_as_before():
    """One owner's language changes no byte of another reader's calendar."""
    for reader in list_readers(make_season_yard()):
        before = write_feed(make_season_yard(), CIRCUIT, reader)
        after = write_feed(make_yard_of(Otto="de"), CIRCUIT, reader)
        assert (before == after) is (reader != Reader("owner", "Otto"))


def test_what_belongs_to_nobody_is_in_the_yards_language():
    """A horse and the yard have no row in people.csv; a person's own row wins over the yard."""
    yard = replace(make_yard_of(Gil="es"), language="fr")
    titles = {
        kind: find_head(write_feed(yard, CIRCUIT, Reader(kind, name)))["title"]
        for kind, name in (("horse", "Alder"), ("yard", "Hill Farm"), ("groom", "Gil"))
    }
    assert titles == {
        "horse": "Hill Farm\N{NO-BREAK SPACE}: Alder",
        "yard": "Hill Farm\N{NO-BREAK SPACE}: toute l'écurie",
        "groom": "Hill Farm: Gil, mozo/a de cuadra",
    }


@pytest.mark.parametrize("language", OTHERS)
def test_a_language_changes_texts_only(tmp_path, language):
    """UID, DTSTAMP, SEQUENCE, times, place, GEO, colour and status are the same in each language.

    RFC 5545 section 3.8.4.7: a UID is the event's for good.
    """
    told = {"SUMMARY", "DESCRIPTION", "CATEGORIES"}
    stores = []
    for name in ("en", language):
        folder = tmp_path / name
        folder.mkdir()
        stores.append(publish_in(folder, name)[0])
    for reader in list_readers(make_season_yard()):
        english, other = (find_lines(store, (reader.kind, reader.name)) for store in stores)
        assert english.keys() == other.keys()
        for uid, lines in english.items():
            same = {name: text for name, text in lines.items() if name not in told}
            assert same == {name: t for name, t in other[uid].items() if name not in told}
            assert lines["SUMMARY"] != other[uid]["SUMMARY"]


def test_a_change_of_language_raises_no_sequence_and_tells_no_change(tmp_path):
    """On the next day everybody reads French: texts and LAST-MODIFIED change, SEQUENCE stays 0.

    RFC 5545 section 3.8.7.4 counts significant changes; here time, place and status are those.
    """
    store, _ = publish_in(tmp_path, "en")
    who = ("horse", "Alder")
    before = find_lines(store, who)
    _, published = publish_in(tmp_path, "fr", NOW.replace(day=2))
    after = find_lines(store, who)
    assert published.changes == ()
    assert before.keys() == after.keys()
    assert {lines["SEQUENCE"] for lines in after.values()} == {"0"}
    assert {lines["LAST-MODIFIED"] for lines in before.values()} == {"20270301T120000Z"}
    assert {lines["LAST-MODIFIED"] for lines in after.values()} == {"20270302T120000Z"}
    assert "concours, Dothan 2" in "".join(lines["SUMMARY"] for lines in after.values()).replace(
        "\\", ""
    )


def test_what_was_cancelled_is_told_in_the_language_of_today(tmp_path):
    """Published in English, cancelled when Spanish is read: no English word is left in it."""
    publish_in(tmp_path, "en")
    without = replace(CIRCUIT, outings=CIRCUIT.outings[:2], legs=CIRCUIT.legs[:2])
    store, published = publish_in(tmp_path, "es", NOW.replace(day=2), without)
    titles = [lines["SUMMARY"] for lines in find_lines(store, ("horse", "Alder")).values()]
    assert "Anulado: Alder: concurso\\, Dothan 2" in titles
    text = next(c.text for c in published.changes if c.reader == Reader("horse", "Alder"))
    assert text.split("\n")[0] == (
        "Hill Farm: Alder: lo que cambió desde el lun 1 de marzo de 2027, 07:00"
    )
    assert "- Alder: concurso, Dothan 2, del mar 6 de abril al lun 12 de abril" in text.split("\n")


@pytest.mark.parametrize(
    ("language", "text"),
    [
        (
            "de",
            "Hill Farm: Alder: was sich seit Mo. 1. März 2027, 07:00, geändert hat\nVerschoben:",
        ),
        ("fr", "Alder\N{NO-BREAK SPACE}: ce qui a changé depuis le lun. 1er mars 2027, 07:00"),
    ],
)
def test_changes_are_told_in_the_readers_language(tmp_path, language, text):
    """A show three days later: what moved, from when to when."""
    publish_in(tmp_path, language)
    later = NOW.replace(day=2)
    _, published = publish_in(tmp_path, language, later, move_second_show(CIRCUIT, 3))
    told = next(c.text for c in published.changes if c.reader == Reader("horse", "Alder"))
    assert text in told
    check_no_english(told, language)


# No English is left

VET_SEASONS = [
    {"papers": [make_paper("influenza", "2026-10-01")]},
    {"vet_checks": [RECHECK]},
    {"shows": [make_show(country="CA")], "vet_checks": [RECHECK]},
]
SAME_IN_OTHERS = {"km", "min", "cm", "h", "Lorry", "Big", "USD", "Alder", "box", "test", "coggins"}
"""Units, and names of the season; words that are spelt the same in one of the languages."""


def list_english_words() -> frozenset[str]:
    """Words of four letters and more of the English sentences that readers see, values left out."""
    words: set[str] = set()
    for code, sentence in SENTENCES.items():
        if code.partition(".")[0] in READERS_SEE:
            words.update(re.findall(r"[a-z]{4,}", re.sub(r"\{[^}]*\}", " ", sentence)))
    return frozenset(words)


def list_own_words(language: str) -> frozenset[str]:
    """The words of a language's own sentences."""
    text = " ".join(load_sentences(language).values()).lower()
    return frozenset(re.findall(r"[a-zà-ÿ]{4,}", text))


def check_no_english(told: str, language: str) -> None:
    foreign = list_english_words() - list_own_words(language) - SAME_IN_OTHERS
    assert set(re.findall(r"[A-Za-zà-ÿ]{4,}", told.lower())) & foreign == set()


@pytest.mark.parametrize(("kind", "language"), list(product(READER_KINDS, OTHERS)))
def test_no_english_word_is_left(kind, language):
    """Every event of every kind of reader, its reminders and the calendar's head."""
    seasons = [(make_season_yard(), CIRCUIT), *(make_plan(**season) for season in VET_SEASONS)]
    for yard, circuit in seasons:
        for reader in list_readers(yard):
            if reader.kind != kind:
                continue
            yard_in = make_yard_in(language, yard)
            events = list_events(yard_in, circuit, reader)
            texts = [text for e in events for text in (e.summary, e.description)]
            texts += [alarm.words for e in events for alarm in list_alarms(e)]
            texts += find_head(write_feed(yard_in, circuit, reader)).values()
            check_no_english(" ".join(texts), language)


@pytest.mark.parametrize("language", OTHERS)
def test_names_are_never_translated(language):
    """A show called Home, a horse called Vet: they stay what they are."""
    yard = make_yard_in(language, make_season_yard("Vet", "Home"))
    stay = pick(list_events(yard, make_season_circuit("Vet"), Reader("horse", "Vet")), "stay", "D1")
    assert "Vet" in stay.summary
    assert "Home" in stay.summary


# Plurals


@pytest.mark.parametrize(
    ("language", "one", "two"),
    [
        ("de", "Tierarzt: 1 Pferd", "Tierarzt: 2 Pferde"),
        ("es", "Veterinario: 1 caballo", "Veterinario: 2 caballos"),
        (
            "fr",
            "Vétérinaire\N{NO-BREAK SPACE}: 1 cheval",
            "Vétérinaire\N{NO-BREAK SPACE}: 2 chevaux",
        ),
    ],
)
def test_the_form_goes_with_the_number(language, one, two):
    """CLDR plural rules: 1 is one, 2 is other, in all three."""
    visits = list_events(make_yard_in(language), CIRCUIT, Reader("vet", "Dr. Vale"))
    assert [e.summary for e in visits if e.kind == "vet visit"] == [one, two]


# What an older edition kept


def test_what_an_older_edition_kept_is_no_news(tmp_path):
    """Events kept as English text, not as facts: the same plan changes nothing."""
    store, _ = publish_in(tmp_path, "en")
    shelf = store.read_shelf()
    old = []
    for kept in shelf.events:
        content = json.loads(kept.content)
        event = next(
            e
            for reader in list_readers(make_season_yard())
            for e in list_events(make_season_yard(), CIRCUIT, reader)
            if e.uid == kept.uid
        )
        del content["title"], content["lines"]
        content |= {"summary": event.summary, "description": event.description}
        old.append(replace(kept, content=json.dumps(content)))
    feeds = [
        replace(feed, head=json.dumps({"yard": "Hill Farm", **find_head(feed.body)}))
        for feed in shelf.feeds.values()
    ]
    current = replace(shelf.current, revision=0)
    other = open_store(tmp_path / "old")
    (tmp_path / "old").mkdir()
    other.keep_publishing(other.read_shelf(), current, old, feeds, shelf.addresses.values())
    published = publish(make_season_yard(), CIRCUIT, other, NOW.replace(day=2))
    assert published.changes == ()
    for who, feed in other.read_shelf().feeds.items():
        assert feed.body == shelf.feeds[who].body


def test_a_fact_that_this_edition_does_not_know_is_told_by_its_values():
    """A code of another edition: names and numbers stand, nothing fails."""
    event = list_events(make_season_yard(), CIRCUIT, Reader("horse", "Alder"))[0]
    text = dump_event(event).replace('"feeds.', '"gone.')
    assert "Alder" in load_event(text, event.reader, CALENDAR).summary
