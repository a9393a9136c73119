"""In which language people are written to: as their row says, else the yard, else English."""

from __future__ import annotations

import pytest

from tests.build import tell_all
from tests.files.folders import GOOD, write_folder
from tripkit.files import read_yard

PEOPLE = """person,role,language
Ana Reed,rider,ES
Olga Moss,owner,{word}
Piet Vos,driver,
"""


def read(tmp_path, word="de", words=""):
    people, toml = PEOPLE.format(word=word), GOOD["yard.toml"] + words
    return read_yard(write_folder(tmp_path / "mill", {"people.csv": people, "yard.toml": toml}))


def test_a_person_reads_the_language_of_the_row_else_the_yards(tmp_path):
    """Capitals do not matter; an empty cell is the yard's language."""
    yard = read(tmp_path, words='[words]\nlanguage = "fr"\n')
    names = ("Ana Reed", "Olga Moss", "Piet Vos", "nobody of the file")
    assert [yard.find_language(name) for name in names] == ["es", "de", "fr", "fr"]
    assert not [remark for remark in tell_all(yard.remarks) if "language" in remark]


def test_without_a_word_the_yard_is_english(tmp_path):
    """Neither a column nor a section: as it always was."""
    yard = read_yard(write_folder(tmp_path / "mill"))
    assert yard.find_language("Olga Moss") == "en"


@pytest.mark.parametrize("word", ["de-AT", "de_CH", "DE", "de-Latn-DE"])
def test_a_tag_with_a_country_is_its_language(tmp_path, word):
    """BCP 47: the first part of a tag is the language; nothing is to be remarked."""
    yard = read(tmp_path, word, f'[words]\nlanguage = "{word}"\n')
    assert (yard.find_language("Olga Moss"), yard.language) == ("de", "de")
    assert not [remark for remark in tell_all(yard.remarks) if "language" in remark]


@pytest.mark.parametrize("word", ["pt", "xx", "pt-BR", "-AT", "deutsch"])
def test_a_language_nobody_has_is_english_with_one_remark(tmp_path, word):
    """Where it stands, what stands there, which there are; English, not the yard's language."""
    yard = read(tmp_path, word, '[words]\nlanguage = "fr"\n')
    said = f"people.csv row 3: language {word!r} is none of en, es, de, fr; English is written"
    assert [remark for remark in tell_all(yard.remarks) if "language" in remark] == [said]
    assert yard.find_language("Olga Moss") == "en"


def test_a_yard_in_a_language_nobody_has_is_english_with_one_remark(tmp_path):
    """The section of yard.toml, told by its key."""
    yard = read(tmp_path, words='[words]\nlanguage = "pt"\n')
    said = "yard.toml: [words] language 'pt' is none of en, es, de, fr; English is written"
    assert [remark for remark in tell_all(yard.remarks) if "language" in remark] == [said]
    assert yard.language == "en"


def test_a_person_of_two_roles_reads_each_calendar_in_its_language(tmp_path):
    """A row for each role; a role without a word takes that of another row."""
    people = "person,role,language\nAna Reed,rider,es\nAna Reed,owner,de\nAna Reed,vet,\n"
    people += "Olga Moss,owner,\nPiet Vos,driver,\n"
    yard = read_yard(write_folder(tmp_path / "mill", {"people.csv": people}))
    roles = ("rider", "owner", "vet")
    assert [yard.find_language("Ana Reed", role) for role in roles] == ["es", "de", "es"]
