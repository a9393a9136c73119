"""Every fact has a sentence, and every catalogue says what readers may see, with all its values."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

import tripkit
from tripkit.rulebooks import known_rule_books, load_rule_books
from tripkit.words.catalogues import RULES, read_rules
from tripkit.words.english import FAMILIES, READERS_SEE, SENTENCES
from tripkit.words.formats import ENGLISH
from tripkit.words.telling import Teller, is_translation, list_placeholders
from tripkit.yard.facts import state
from tripkit.yard.people import LANGUAGES

PACKAGE = Path(tripkit.__file__).parent
CATALOGUES = PACKAGE / "words" / "catalogues"
OTHERS = [language for language in LANGUAGES if language != ENGLISH]


def list_stated() -> list[tuple[str, str, ast.Call]]:
    """Each `state("code", ...)` of the package: where, code, call."""
    stated = []
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "state":
                where = f"{path.relative_to(PACKAGE)}:{node.lineno}"
                first = node.args[0]
                if isinstance(first, ast.Constant):
                    stated.append((where, str(first.value), node))
    return stated


def test_a_code_that_is_stated_has_its_sentence_and_all_its_values():
    """What a sentence names must be among the values given."""
    for where, code, call in list_stated():
        assert code in SENTENCES, f"{where}: {code}"
        names = {keyword.arg for keyword in call.keywords}
        if None not in names:  # ** hands on what the caller knows
            assert list_placeholders(SENTENCES[code]) - names == set(), f"{where}: {code}"


def test_a_code_begins_with_its_family():
    """Where a sentence stands is seen from its code."""
    assert {code.partition(".")[0] for code in SENTENCES} <= set(FAMILIES)
    assert set(READERS_SEE) <= set(FAMILIES)


@pytest.mark.parametrize("language", OTHERS)
def test_a_catalogue_is_complete_and_keeps_every_value(language):
    """Each sentence that readers see, translated from the English of today, no placeholder lost."""
    with (CATALOGUES / f"{language}.po").open("rb") as lines:
        catalogue = read_po(lines, locale=language)
    wanted = {c: s for c, s in SENTENCES.items() if c.partition(".")[0] in READERS_SEE}
    found = {m.context: m for m in catalogue if m.id and m.context != RULES}
    assert {c: m.id for c, m in found.items()} == wanted
    for code, message in found.items():
        assert message.string, code
        assert is_translation(message.id, message.string), code


MAY_BAR = ("minimum-age", "young-start", "residency", "unsanctioned", "temperature-unvaccinated")


@pytest.mark.parametrize("language", OTHERS)
def test_what_a_rule_book_says_when_it_bars_a_horse_is_translated(language):
    """Why a horse may not go is read by grooms and owners; what a yard's own book says stands."""
    said = {
        rule.words
        for book in load_rule_books(known_rule_books())
        for editions in book.editions.values()
        for rule in editions
        if rule.id.startswith(MAY_BAR) or rule.id.endswith("-doses-needed")
    } - NO_REASONS
    assert said == set(read_rules(language))
    fact = state("findings.quote", words="Horses are at least 7 years old.", source="Art. 254")
    assert Teller(language).tell(fact).startswith(read_rules(language)[fact.get("words")])
    own = state("findings.rule", words="Our own rule.")
    assert Teller(language).tell(own) == Teller().tell(own) == "Our own rule."


NO_REASONS = {"Class A of jumping goes up to 1.05 m, class L begins above it."}
"""What a rule needs to be read, and no reason."""
