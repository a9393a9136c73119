"""A travel sheet is in the language that its drivers read, with local dates and numbers.

Months, weekdays and decimals: Unicode CLDR 45. Words: common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from tests.build import make_horse, make_yard
from tests.pages.test_travelsheet import Page, read_sheet
from tests.pictures.test_routemap import BACK, OUT, at, make_circuit, make_leg
from tests.publishing.test_feed_languages import check_no_english
from tripkit.pages.travel_sheet import write_travel_sheet, write_travel_sheets
from tripkit.yard.circuit import Stop
from tripkit.yard.facts import state
from tripkit.yard.people import LANGUAGES, Person
from tripkit.yard.places import Drive
from tripkit.yard.yard import DrivingSettings, Yard

STOPS = (
    Stop("water", at(6, 11), 30, "Lowick"),
    Stop("break", at(6, 13), 45, "Lowick"),
    Stop("overnight", at(6, 14), 17 * 60, "Ashby"),
)
LONG_WAY = make_leg(
    stops=STOPS, arrive=at(7, 8), hours=7.5, drivers=("Dan",), horses=("Dancer", "Echo")
)


def make_yard_of(*languages: str, **changes) -> Yard:
    """A yard of the drivers Dan, Eve, ... who read these languages."""
    drivers = [
        Person(n, "driver", language=w) for n, w in zip(("Dan", "Eve"), languages, strict=False)
    ]
    people = [*make_yard().people, *drivers]
    return make_yard(people=people, horses=[make_horse(), make_horse("Echo")], **changes)


def test_a_spanish_driver_reads_a_spanish_sheet():
    """Times, stops, horses, hay and water in the words of a Spanish yard."""
    text = read_sheet(LONG_WAY, make_yard_of("es"))
    for words in (
        "Hoja de viaje 1 de 1",
        "Del martes 6 de abril de 2027 al miércoles 7 de abril de 2027",
        "7 h 30 de conducción, sin contar las paradas",
        "2 caballos, 4 plazas",
        "Conduce Dan",
        "Agua para los caballos, cerca de Lowick 30 min, hasta las 11:30",
        "Parada nocturna, cerca de Ashby 17 h, hasta mié 7 abr 07:00",
        "2 caballos \N{MULTIPLICATION SIGN} 2 días",
        "30 a 40 kg",
        "Cuadra de noche, Ashby",
    ):
        assert words in re.sub(r"\s+([,)])", r"\1", text), words


def test_decimals_follow_language_and_country():
    """CLDR: Spain writes 7,5, the Spanish of the United States 7.5; a pound is the country's."""
    assert "7,5 a 10 kg" in read_sheet(LONG_WAY, make_yard_of("es", country="ES"))
    text = read_sheet(LONG_WAY, make_yard_of("es", country="US"))
    assert "7.5 a 10 kg" in text
    assert "(66 a 88 lb)" in text


def test_a_page_says_which_language_it_is_in():
    """HTML: `lang` of the page is the yard's, that of a sheet stands where it is another."""
    yard = make_yard_of("es")
    legs = (replace(OUT, drivers=("Dan",)), replace(BACK, drivers=()))
    page = write_travel_sheets(yard, make_circuit("Plan", *legs))
    assert '<html lang="en">' in page
    assert '<article id="leg-1" lang="es">' in page
    assert '<article id="leg-2">' in page
    alone = write_travel_sheet(yard, make_circuit("Plan", *legs), legs[0])
    assert '<html lang="es">' in alone
    assert "<title>De Home Farm a S1, martes 6 de abril de 2027</title>" in alone


def test_two_drivers_of_two_languages_read_the_yards():
    """What both read; where there is no such language, that of the yard."""
    leg = replace(OUT, drivers=("Dan", "Eve"))
    for languages, word in ((("de", "de"), "Fahrtblatt"), (("de", "es"), "Feuille de route")):
        assert word in read_sheet(leg, make_yard_of(*languages, language="fr"))


@pytest.mark.parametrize("language", LANGUAGES[1:])
def test_no_english_word_is_left(language):
    """Every part of a sheet: an estimate with ferry, papers that lack, a clock change, rules."""
    drive = Drive(140, None, state("roads.network-ferry"), 18, ferry_km=20, ferry_hours=2)
    yard = make_yard_of(
        language, km={("home", "Millbrook"): drive}, driving=DrivingSettings("us", 70.0)
    )
    change = make_leg(
        depart=at(1, 7).replace(month=3, day=13), arrive=at(1, 9).replace(month=3, day=14)
    )
    circuit = make_circuit("Plan", LONG_WAY, BACK, change, make_leg(horses=()))
    yard = replace(yard, language=language)
    text = Page(write_travel_sheets(yard, circuit)).text
    # Books stand as they are called.
    for cited in ("Merck Veterinary Manual", "Equine Research"):
        text = text.replace(cited, "")
    check_no_english(text.replace("Home Farm", ""), language)


@pytest.mark.parametrize(
    ("language", "one", "two"),
    [
        ("de", "(1 Pferd, 4 Plätze)", "(2 Pferde, 4 Plätze)"),
        ("es", "(1 caballo, 4 plazas)", "(2 caballos, 4 plazas)"),
        ("fr", "(1 cheval, 4 places)", "(2 chevaux, 4 places)"),
    ],
)
def test_the_form_goes_with_the_number(language, one, two):
    """CLDR plural rules: 1 is one, 2 is other, in all three."""
    for horses, words in ((("Dancer",), one), (("Dancer", "Echo"), two)):
        leg = replace(OUT, drivers=("Dan",), horses=horses)
        text = re.sub(r"\s+([,)])", r"\1", read_sheet(leg, make_yard_of(language)))
        assert words in text


def test_no_sentence_of_a_sheet_holds_markup():
    """Values are markup; a sentence with a sign of it would open an element."""
    from tripkit.words.english import SENTENCES
    from tripkit.words.telling import load_sentences

    told = [SENTENCES, *map(load_sentences, LANGUAGES[1:])]
    for sentences in told:
        for code, sentence in sentences.items():
            if code.startswith(("sheets.", "journeys.", "roads.", "units.")):
                assert not re.search(r'[<>&"]', sentence), (code, sentence)
