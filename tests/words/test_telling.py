"""Facts are told by their values alone: units by the end of a name, dates by who reads.

Expected forms: Unicode CLDR 45 (charts of dates, numbers, lists, plurals) for Spanish, German
and French; English ones are the project's own choice, see the handbook.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from tests.build import make_yard
from tripkit.words import catalogues, english, telling
from tripkit.words.telling import Teller, choose_calendar_teller, choose_teller, find_form
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import state

SEASON = DaySpan(date(2027, 3, 1), date(2027, 6, 6))


def say(monkeypatch: pytest.MonkeyPatch, sentence: str, teller: Teller, **values: object) -> str:
    monkeypatch.setattr("tripkit.words.telling.SENTENCES", {**english.SENTENCES, "x": sentence})
    return teller.tell(state("x", **values))


@pytest.mark.parametrize(
    ("sentence", "values", "said"),
    [
        ("{a} and {b}", {"a": "Alder", "b": ("Birch", "Cedar")}, "Alder and Birch, Cedar"),
        ("{h:and}", {"h": ("A", "B", "C")}, "A, B and C"),
        ("{h:*; }", {"h": ("A", "B", "C")}, "A; B; C"),
        ("{h:*; }", {"h": ()}, ""),
        ("{w:4}", {"w": 1037.5}, "1,037.5"),
        ("{w:4}", {"w": 52.0}, "52"),
        ("{w:+4}", {"w": 52.0}, "+52"),
        ("{w:+4}", {"w": -0.5}, "-0.5"),
        ("{w:.1}", {"w": 1234}, "1,234.0"),
        ("{w:percent}", {"w": 0.8}, "80%"),
        ("{a_km}, {a_km:tenths}", {"a_km": 1234.56}, "1,235 km, 1,234.6 km"),
        ("until {d}", {"d": date(2027, 4, 6)}, "until 2027-04-06"),
        ("{gap_days}", {"gap_days": 1}, "1 day"),
        ("{gap_days}", {"gap_days": 9}, "9 days"),
        ("{n} {n:outing|outings}", {"n": 1}, "1 outing"),
        ("{n} {n:outing|outings}", {"n": 0}, "0 outings"),
        ("{drive_hours}", {"drive_hours": 5.64}, "5.6 h"),
        ("{worth:4}", {"worth": float("nan")}, "nan"),
        ("{driven_minutes}", {"driven_minutes": 665}, "11 h 05 min"),
        ("{driven_minutes}", {"driven_minutes": 660}, "11 h"),
        ("{driven_minutes}", {"driven_minutes": 45}, "45 min"),
        ("{n}{n:ordinal|st|nd|rd|th}", {"n": 3}, "3rd"),
        ("{n}{n:ordinal|st|nd|rd|th}", {"n": 11}, "11th"),
        ("{fee_cents}", {"fee_cents": 123450}, "1,234.50"),
        ("{found:quoted} is no horse", {"found": "Elm"}, "'Elm' is no horse"),
        ("so{why}", {"why": None}, "so"),
        ("{at}", {"at": datetime(2027, 4, 6, 13, 5, tzinfo=UTC)}, "2027-04-06 13:05"),
        ("{at:offset}", {"at": datetime(2027, 4, 6, 13, 5, tzinfo=UTC)}, "13:05+0000"),
        ("{span}", {"span": SEASON}, "2027-03-01 to 2027-06-06"),
    ],
)
def test_a_value_is_told_by_its_kind_and_name(monkeypatch, sentence, values, said):
    """Names as they are, amounts with the unit that their name ends with."""
    assert say(monkeypatch, sentence, Teller(), **values) == said


@pytest.mark.parametrize(
    ("language", "country", "said"),
    [
        ("en", "GB", "6 Apr, 12,345.6"),
        ("en", "US", "Apr 6, 12,345.6"),
        ("de", "DE", "6. Apr., 12.345,6"),
        ("fr", "FR", "6 avr., 12\N{NARROW NO-BREAK SPACE}345,6"),
        ("es", "ES", "6 abr, 12.345,6"),
    ],
)
def test_dates_and_numbers_follow_the_reader(monkeypatch, language, country, said):
    """Each language writes its own months and decimals (CLDR)."""
    teller = Teller(language, country, dates="local", season=SEASON)
    assert say(monkeypatch, "{d}, {n}", teller, d=date(2027, 4, 6), n=12345.6) == said


@pytest.mark.parametrize("digits", [26, 300])
def test_a_number_of_any_size_is_told(digits):
    """A circuits file may say anything: a one and its noughts, grouped by three."""
    said = Teller().write_number(10.0**digits)
    assert float(said.replace(",", "")) == 10.0**digits
    assert len(said) == digits + 1 + digits // 3


def test_a_date_outside_the_seasons_years_keeps_its_year(monkeypatch):
    """Valid until 2028 must not read as this year's."""
    teller = Teller(dates="local", season=SEASON)
    assert say(monkeypatch, "{d}", teller, d=date(2028, 1, 31)) == "31 Jan 2028"


def test_a_fact_inside_a_fact_is_told_in_place(monkeypatch):
    """Parts of a sentence that may be missing are facts of their own."""
    rest = state("units.clear-days", count=9)
    assert say(monkeypatch, "{gap} are too few", Teller(), gap=rest) == "9 clear days are too few"


def test_a_bare_length_and_a_speed_are_in_the_units_of_the_yard(monkeypatch):
    """161 km are 100 miles; so are 161 km/h 100 mph (international mile, 1959)."""
    sentence, teller = "{a_km:number} to {b_km}, {c_kmh}", Teller(units="miles")
    values = {"a_km": 16.09344, "b_km": 160.9344, "c_kmh": 160.9344}
    assert say(monkeypatch, sentence, teller, **values) == "10 to 100 miles, 100 mph"
    assert say(monkeypatch, "{c_kmh}", Teller(), **values) == "161 km/h"


def test_miles_are_told_where_the_yard_counts_in_miles(monkeypatch):
    """161 km are 100 miles (international mile, 1959)."""
    teller = Teller(units="miles")
    sentence = "{road_km}, {road_km:tenths}, {road_km:short}"
    assert say(monkeypatch, sentence, teller, road_km=160.9344) == "100 miles, 100.0 miles, 100 mi"
    assert [teller.write_distance(km) for km in (0, 1.609344)] == ["0 miles", "1 mile"]


@pytest.mark.parametrize(
    ("form", "said"),
    [("day:Weekday", "Mar 6 abr"), ("horse:Line", "Alder"), ("km:whole", "1120")],
)
def test_a_line_begins_with_a_capital_where_its_form_does(monkeypatch, form, said):
    """Spanish writes days small; whole numbers are not grouped where no sum is read."""
    teller = Teller("es", dates="calendar")
    values = {"day": date(2027, 4, 6), "horse": "alder", "km": 1120.4}
    assert say(monkeypatch, "{" + form + "}", teller, **values) == said


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "Tue 6 April, Tue 6 April 2027, 07:05"),
        ("de", "Di. 6. April, Di. 6. April 2027, 07:05"),
        ("es", "mar 6 de abril, mar 6 de abril de 2027, 07:05"),
        ("fr", "mar. 6 avril, mar. 6 avril 2027, 07:05"),
    ],
)
def test_a_calendar_names_the_day_in_every_country(monkeypatch, language, said):
    """The day before the month and hours to 24, in the United States as elsewhere (CLDR names)."""
    teller = Teller(language, "US", dates="calendar", season=SEASON)
    moment = datetime(2027, 4, 6, 7, 5, tzinfo=UTC)
    sentence = "{d}, {d:named_dated}, {at:clock}"
    assert say(monkeypatch, sentence, teller, d=date(2027, 4, 6), at=moment) == said


def test_the_first_of_a_month_is_premier_in_french(monkeypatch):
    """Imprimerie nationale, Lexique des regles typographiques: 1er mars, but 2 mars."""
    teller = Teller("fr", dates="calendar")
    days = {"a": date(2027, 3, 1), "b": date(2027, 3, 2), "c": date(2027, 3, 11)}
    said = say(monkeypatch, "{a:month}, {b:month}, {c:month}", teller, **days)
    assert said == "1er mars, 2 mars, 11 mars"


@pytest.mark.parametrize(("language", "form"), [("en", 1), ("de", 1), ("es", 1), ("fr", 0)])
def test_none_of_a_thing_takes_the_form_of_the_language(language, form):
    """CLDR plural rules: French counts 0 as one, the others as many."""
    assert find_form(language, 0) == form


@pytest.fixture
def spoil(monkeypatch):
    """Puts other translations for some codes into a catalogue; they are read anew."""
    good = telling.read_catalogue

    def spoil_catalogue(language: str, changed: dict[str, str | None]) -> None:
        def read(asked: str):
            found = dict(good(asked))
            for code, text in changed.items() if asked == language else ():
                if text is None:
                    del found[code]
                else:
                    found[code] = (found[code][0], text)
            return found

        monkeypatch.setattr(telling, "read_catalogue", read)
        telling.load_sentences.cache_clear()
        telling._log_misfit.cache_clear()

    yield spoil_catalogue
    telling.load_sentences.cache_clear()


@pytest.mark.parametrize(
    "text",
    [
        None,  # missing
        "",  # not translated
        "{count:number} Tage",  # another value than in English is asked for: none lost, none new
        "{anzahl:number} {count:Tag|Tage}",
        "{count:number} {count:Tag",
        "{count:nummer} {count:Tag|Tage}",
        "{count:number} {count.real} {count:Tag|Tage}",
    ],
)
def test_a_sentence_that_is_not_good_is_told_in_english_and_the_log_says_so(spoil, caplog, text):
    """A lost, a new, an open, an unknown placeholder: that sentence alone is English."""
    spoil("de", {"units.clear-days": text})
    teller = Teller("de")
    is_good = text == "{count:number} Tage"
    for _ in range(2):
        told = teller.tell(state("units.clear-days", count=2))
        assert told == ("2 Tage" if is_good else "2 clear days")
        assert teller.tell(state("units.days", count=2)) == "2 Tage"
    said = "de.po: English stands for what it does not say: units.clear-days"
    assert caplog.messages == ([] if is_good else [said])


@pytest.mark.parametrize("form", ["clock", "Pferd|Pferde", ".1", "percent", "and", "*; "])
def test_a_form_that_does_not_fit_the_value_is_told_in_english(spoil, caplog, form):
    """A name as a time of day, as a number, as a list: told, and the log says so once at most."""
    spoil("de", {"feeds.work-school": "{horse:" + form + "}: Training"})
    told = {Teller("de").tell(state("feeds.work-school", horse="Alder")) for _ in range(2)}
    assert told <= {"Alder: school", "Alder: Training"}
    assert len(caplog.messages) == (told == {"Alder: school"})


NO_ENCODING = """msgid ""
msgstr "Content-Type: text/plain; charset=klingon\\n"

msgid "a"
msgstr "b"
"""


@pytest.mark.parametrize("text", ["msgid without end", NO_ENCODING])
def test_a_catalogue_that_cannot_be_read_is_english(tmp_path, monkeypatch, caplog, text):
    """No gettext file, or letters of no encoding: everything is English, one line in the log."""
    (tmp_path / "de.po").write_text(text, encoding="utf-8")
    monkeypatch.setattr(catalogues, "files", lambda _: tmp_path)
    telling.load_sentences.cache_clear()
    assert Teller("de").tell(state("units.days", count=2)) == "2 days"
    assert len(caplog.messages) == 1
    telling.load_sentences.cache_clear()


def test_a_byte_order_mark_costs_no_catalogue(tmp_path, monkeypatch, caplog):
    """Unicode 15.0, section 23.8: the mark before the first letter is no letter."""
    good = Path(catalogues.__file__).with_name("de.po").read_bytes()
    (tmp_path / "de.po").write_bytes(b"\xef\xbb\xbf" + good)
    monkeypatch.setattr(catalogues, "files", lambda _: tmp_path)
    telling.load_sentences.cache_clear()
    assert Teller("de").tell(state("units.days", count=2)) == "2 Tage"
    assert caplog.messages == []
    telling.load_sentences.cache_clear()


@pytest.mark.parametrize(
    ("tag", "language"),
    [
        ("de-AT", "de"),
        ("es_MX", "es"),
        ("FR", "fr"),
        ("pt-BR", "en"),
        ("", "en"),
        ("x-klingon", "en"),
    ],
)
def test_a_tag_is_told_in_its_language(tag, language):
    """BCP 47, section 2.2.1: the first part is the language; one that nobody has is English."""
    yard = make_yard()
    assert choose_teller(yard, tag).language == language
    assert choose_calendar_teller(yard, tag).language == language


@pytest.mark.parametrize("country", ["ZZ", "Atlantis", "", "XK", "USA", "U"])
def test_a_country_nobody_has_leaves_the_language(country):
    """A country that Babel does not know, or no country: months and words stay German."""
    teller = Teller("de", country, dates="local")
    assert teller.tell(date(2027, 5, 6)) == "6. Mai"


def test_a_language_nobody_has_is_told_in_english(monkeypatch):
    """A catalogue that is not there answers with the English sentence."""
    assert say(monkeypatch, "so it is", Teller("xx")) == "so it is"


def test_a_day_of_another_year_has_its_year_in_calendars_too():
    """A paper of two years ago: the season is in 2027, the day is not (calendar of 2025)."""
    yard = make_yard()
    told = [
        choose_calendar_teller(yard, language).tell((date(2025, 1, 10), date(2027, 4, 6)))
        for language in ("en", "de")
    ]
    assert told == ["Fri 10 January 2025, Tue 6 April", "Fr. 10. Januar 2025, Di. 6. April"]
