"""Facts into sentences, in the language, the units and the dates of who reads them.

A sentence names the values of its fact in braces::

    {horse}                 a name as it is; another fact is told; several names stand with commas
    {until}                 a date, as the reader writes dates
    {until:weekday}         with its day of the week; `long` in full, `iso` as files have it; more
                            forms stand in `formats.Patterns`; days from one to another as well
    {start:clock} {start:offset}  the time of day of a moment, or of minutes after midnight; with
                            its distance from UTC
    {gap_days} {drive_hours} {road_km} {speed_kmh} {fee_cents}   with their unit, by the end of
                            the name
    {driven_minutes}        as hours and minutes
    {gap_days:number}       the number alone, a length in the reader's units; `whole` without
                            decimals and not grouped
    {count:outing|outings}  the form that goes with the number, as many as the language has
    {rank:ordinal|st|nd|rd|th}  the same for its place in a row
    {row:plain}             a number as it is, nothing grouped
    {words:rule}            what a rule book says: by the reader's catalogue, else as it stands
    {found:quoted}          in quotation marks, as a value of a file is shown
    {names:quoted or}       several values in quotation marks, joined by "or"
    {horses:and} {horses:or}  names joined by the language's "and" or "or"
    {reasons:*; }           several values with what follows the star between them
    {worth:4} {worth:.1} {worth:+4}   a number with at most, with just so many decimals; signed
    {share:percent}         a share of 1 in whole per cent
    {road_km:tenths} {road_km:short}   always one decimal; whole, with the unit cut short
    {until:Weekday} {task:Line}  a form with a capital begins with one, as a line does

A value that is None or empty is told as nothing.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import cache, lru_cache
from string import Formatter
from typing import Any, Literal

from tripkit.words.catalogues import read_catalogue, read_rules
from tripkit.words.english import READERS_SEE, SENTENCES
from tripkit.words.formats import (
    ENGLISH,
    Patterns,
    find_list_locale,
    find_locale,
    find_patterns,
    write_clock,
    write_decimal,
    write_money,
    write_pattern,
    write_span,
)
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.people import find_language
from tripkit.yard.places import convert_km
from tripkit.yard.yard import Yard

ORDINAL = "ordinal"
UNITS = ("_days", "_km", "_hours", "_minutes", "_cents")
WORDS_OF_FORMS = (
    *("line", "iso", "clock", "offset", "number", "plain", "rule", "whole"),
    *("quoted", "quoted or", "and", "or", "percent"),
    *("tenths", "short", *(pattern.name for pattern in fields(Patterns))),
)
FORM = re.compile(rf"({'|'.join(WORDS_OF_FORMS)})?|\*.*|[+]?\.?\d|.*\|.*")
"""How a value may be told."""

MARKS = " :;,.()-\N{EN DASH}\N{NO-BREAK SPACE}"
"""What stands between the values of a sentence without words of its own."""

MOST_NAMED = 5

_log = logging.getLogger("tripkit.words")


@dataclass(frozen=True)
class Teller:
    """Who is told: language, country, units (`km` or `miles`), currency, how dates are written.

    `dates` is `iso` for the command line and for files, `local` for the page, `calendar` for
    calendars and printed sheets: the weekday with every day, the month after the day, hours to 24.
    Dates outside the years of `season` have their year. Where a translation does
    not fit the values, English stands for it; whoever `is_strict` raises instead.
    """

    language: str = ENGLISH
    country: str = ""
    units: str = "km"
    currency: str = ""
    dates: Literal["iso", "local", "calendar"] = "iso"
    season: DaySpan | None = None
    is_strict: bool = False

    def tell(self, told: Value) -> str:
        """A fact, or any value of one, in words."""
        if told is None:
            return ""
        if isinstance(told, Fact):
            return self._tell_fact(told)
        if isinstance(told, str):
            return told
        if isinstance(told, tuple):
            return ", ".join(self.tell(one) for one in told)
        if isinstance(told, DaySpan):
            return self.tell(state("units.span", first=told.first, last=told.last))
        if isinstance(told, date):
            return self.write_date(told)
        assert isinstance(told, int | float | Decimal)
        return self.write_number(told)

    def find_sentence(self, code: str) -> str:
        """The sentence of a code in the reader's language, else in English."""
        if self.language == ENGLISH:
            return SENTENCES[code]
        return load_sentences(self.language).get(code, SENTENCES[code])

    def find_language(self, told: Value) -> str:
        """In which language something is told: English where the reader's has no good sentence.

        A sentence of placeholders alone is in the language of what stands in them; of several
        sentences one in the reader's language decides.
        """
        return ENGLISH if self._list_languages(told) == {ENGLISH} else self.language

    def _list_languages(self, told: Value) -> set[str]:
        if isinstance(told, tuple):
            return set().union(*map(self._list_languages, told))
        if not isinstance(told, Fact):
            return set()
        sentence, values = self.find_sentence(told.code), dict(told.values)
        language = self.language
        if language != ENGLISH:
            try:
                self._fill(load_sentences(language)[told.code], values)
            except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
                language = ENGLISH
        if any(text.strip(MARKS) or "|" in form for text, _, form in _parse(sentence)):
            return {language}
        return self._list_languages(tuple(values.values())) or {language}

    def write_date(self, day: date, form: str = "") -> str:
        """A day, or a moment with its time; `form` is `iso`, a field of `Patterns` or nothing."""
        if form == "iso" or (self.dates == "iso" and not form):
            return f"{day:%Y-%m-%d %H:%M}" if isinstance(day, datetime) else day.isoformat()
        is_calendar = self.dates == "calendar"
        patterns = find_patterns(self.language, "" if is_calendar else self.country)
        years = self.season and range(self.season.first.year, self.season.last.year + 1)
        if not form:
            form = "named" if is_calendar else "day"
            if years and day.year not in years:
                form = "named_dated" if is_calendar else "dated"
        written = write_pattern(day, getattr(patterns, form), self.language)
        return f"{written}, {self.write_clock(day)}" if isinstance(day, datetime) else written

    def write_clock(self, moment: datetime | int) -> str:
        """The time of day of a moment, or of minutes after midnight."""
        if isinstance(moment, int):
            if self.dates != "local":
                return f"{moment // 60:02d}:{moment % 60:02d}"
            moment = datetime.min + timedelta(minutes=moment)
        if self.dates != "local":
            return f"{moment:%H:%M}"
        return write_clock(moment, self.country, self.language)

    def write_number(self, number: float | int | Decimal, form: str = "1") -> str:
        """A number by its form: `4` at most so many decimals, `.1` just so many, `+4` signed."""
        places = int(form[-1])
        least = places if "." in form else 0
        rounded = round(float(number), places)
        written = write_decimal(rounded, self.language, self.country, places=places, least=least)
        return f"+{written}" if "+" in form and rounded >= 0 else written

    def write_duration(self, minutes: int) -> str:
        """Minutes as hours and minutes."""
        hours, rest = divmod(minutes, 60)
        if not hours:
            return self.tell(state("units.minutes", count=rest))
        if not rest:
            return self.tell(state("units.hours", hours=hours))
        return self.tell(state("units.hours-minutes", hours=hours, rest=f"{rest:02d}"))

    def write_money(self, cents: int) -> str:
        """Cents in the yard's currency."""
        return write_money(cents, self.currency, self.language, self.country)

    def write_distance(self, km: float, form: str = "") -> str:
        """Kilometres in the yard's units, whole; `tenths` has one decimal, `short` says `mi`."""
        length = convert_km(km, self.units)
        code = f"units.{self.units}"
        if form == "tenths":
            return self.tell(state(f"{code}-tenths", count=length))
        if form == "short" and self.units == "miles":
            code = "units.mi"
        return self.tell(state(code, count=round(length)))

    def join(self, names: tuple[Value, ...], style: Literal["standard", "or"] = "standard") -> str:
        """Names joined by the language's "and" (`standard`) or "or" (`or`)."""
        from babel.lists import format_list

        told = [self.tell(name) for name in names]
        return (
            format_list(told, style=style, locale=find_list_locale(self.language)) if told else ""
        )

    def _tell_fact(self, fact: Fact) -> str:
        sentence, values = self.find_sentence(fact.code), fact.values
        try:
            return "".join(self._fill(sentence, values))
        except (ArithmeticError, AttributeError, TypeError, ValueError):
            if self.is_strict or sentence == SENTENCES[fact.code]:
                raise
        _log_misfit(self.language, fact.code)
        return "".join(self._fill(SENTENCES[fact.code], values))

    def _fill(self, sentence: str, values: Mapping[str, Value]) -> list[str]:
        parts = []
        for text, name, form in _parse(sentence):
            parts.append(text)
            if name:
                parts.append(self._write(name, values[name], form))
        return parts

    def _write(self, name: str, value: Any, form: str) -> str:
        if form in ("and", "or") or form.startswith("*"):
            value = (value,) if isinstance(value, str) else value
        if form.startswith("*"):
            return form[1:].join(self.tell(one) for one in value or ())
        if "|" in form:
            kind, *forms = form.split("|")
            ordinal = kind == ORDINAL
            forms = forms if ordinal else [kind, *forms]
            return forms[min(find_form(self.language, value, ordinal=ordinal), len(forms) - 1)]
        if form[:1].isupper():
            told = self._write(name, value, form[0].lower() + form[1:])
            return f"{told[:1].upper()}{told[1:]}"
        if value is None:
            return ""
        if form == "line":
            form = ""
        if form == "quoted":
            return repr(self.tell(value) if isinstance(value, Fact) else value)
        if form == "quoted or":
            return self.join(tuple(map(repr, value)), "or")
        if form in ("and", "or"):
            return self.join(value, "or" if form == "or" else "standard")
        if form == "rule":
            return (
                value if self.language == ENGLISH else load_rules(self.language).get(value, value)
            )
        if form == "plain":
            return str(value)
        if form == "clock":
            return self.write_clock(value)
        if form == "offset":
            return f"{self.write_clock(value)}{value:%z}"
        if isinstance(value, Fact):
            return self.tell(value)
        if isinstance(value, str):
            return value
        if form == "whole":
            return f"{value:.0f}"
        if form == "number":
            return self._write_bare(name, value)
        if isinstance(value, date):
            return self.write_date(value, form)
        if isinstance(value, DaySpan) and form:
            return write_span(value.first, value.last, self.country, form, self.language)
        if form == "percent":
            return self.tell(state("units.percent", count=round(100 * value)))
        return self._write_unit(name, value, form)

    def _write_bare(self, name: str, value: Any) -> str:
        if name.endswith("_cents"):
            return write_money(value, "", self.language, self.country)
        if name.endswith(("_km", "_kmh")):
            return self.write_number(round(convert_km(value, self.units)))
        return self.tell(value)

    def _write_unit(self, name: str, value: Any, form: str) -> str:
        if name.endswith("_cents"):
            return self.write_money(value)
        if name.endswith("_km"):
            return self.write_distance(value, form)
        if name.endswith("_kmh"):
            speed = "units.mph" if self.units == "miles" else "units.kmh"
            return self.tell(state(speed, count=round(convert_km(value, self.units))))
        if name.endswith("_days"):
            return self.tell(state("units.days", count=value))
        if name.endswith("_hours") and not form:
            return self.tell(state("units.hours", hours=value))
        if name.endswith("_minutes") and not form:
            return self.write_duration(value)
        if form[-1:].isdigit():
            return self.write_number(value, form)
        return self.tell(value)


def find_form(language: str, count: Any, *, ordinal: bool = False) -> int:
    """Which form of a word goes with a number in a language, counted from 0 (CLDR's plural rules).

    `ordinal`: with its place in a row, of which English has 1st, 2nd, 3rd and all others.

    >>> find_form("en", 1), find_form("en", 2), find_form("fr", 0)
    (0, 1, 0)
    >>> find_form("en", 22, ordinal=True), find_form("en", 12, ordinal=True)
    (1, 3)
    """
    locale = find_locale(language)
    rule = locale.ordinal_form if ordinal else locale.plural_form
    tags = sorted(
        rule.tags | {"other"},
        key=("zero", "one", "two", "few", "many", "other").index,
    )
    if "many" in tags and not ordinal:
        # Of Romance languages the form from a million on: none of ours says one.
        tags.remove("many")
    tag = rule(abs(float(count)))
    return tags.index(tag if tag in tags else "other")


@cache
def _log_misfit(language: str, code: str) -> None:
    """Once a sentence: a form of it fits no value of that kind."""
    _log.warning("%s.po: English stands for what cannot be told: %s", language, code)


@lru_cache(maxsize=4096)
def _parse(sentence: str) -> tuple[tuple[str, str, str], ...]:
    return tuple(
        (text, name or "", form or "") for text, name, form, _ in Formatter().parse(sentence)
    )


@lru_cache(maxsize=8)
def load_sentences(language: str) -> Mapping[str, str]:
    """The sentences of a language by code, those left out that are not good.

    What readers see and has none is told in English, and the log says so, once.
    """
    catalogue, found = read_catalogue(language), {}
    for code, english in SENTENCES.items():
        translated_from, translated = catalogue.get(code, ("", ""))
        if translated_from == english and is_translation(english, translated):
            found[code] = translated
    lost = [c for c in SENTENCES if c.partition(".")[0] in READERS_SEE and c not in found]
    if lost:
        more = f" and {len(lost) - MOST_NAMED} more" if len(lost) > MOST_NAMED else ""
        named = ", ".join(lost[:MOST_NAMED])
        _log.warning("%s.po: English stands for what it does not say: %s%s", language, named, more)
    return found


@lru_cache(maxsize=8)
def load_rules(language: str) -> Mapping[str, str]:
    """What rule books say, by their words: a book of the yard's own stands as it is written."""
    return read_rules(language)


def is_translation(english: str, translated: str) -> bool:
    """Whether a sentence needs the same values as the English one, each in a form there is."""
    try:
        forms = {form for _, name, form in _parse(translated) if name}
    except ValueError:
        return False
    known = all(FORM.fullmatch(form[:1].lower() + form[1:]) for form in forms)
    return known and list_placeholders(translated) == list_placeholders(english)


def list_placeholders(sentence: str) -> frozenset[str]:
    """The names of the values that a sentence needs.

    >>> sorted(list_placeholders("{horse} jumps {count} {count:class|classes}"))
    ['count', 'horse']
    """
    return frozenset(name for _, name, _ in _parse(sentence) if name)


def tell(told: Value) -> str:
    """A fact in English, with dates as files have them."""
    return PLAIN.tell(told)


def choose_teller(yard: Yard, language: str = ENGLISH, *, local: bool = True) -> Teller:
    """Who is told of a yard: its units, currency and country; a language nobody has is English."""
    return Teller(
        find_language(language) or ENGLISH,
        yard.country,
        yard.units,
        yard.currency,
        "local" if local else "iso",
        yard.season,
    )


def choose_calendar_teller(yard: Yard, language: str = "") -> Teller:
    """Who reads a calendar or a printed sheet of a yard; without a language it is the yard's."""
    language = (find_language(language) or ENGLISH) if language else yard.language
    return Teller(language, yard.country, yard.units, yard.currency, "calendar", yard.season)


PLAIN = Teller()
CALENDAR = Teller(dates="calendar")
"""English, as calendars have it."""
