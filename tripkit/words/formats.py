"""Dates, times and numbers as a language and a country write them.

Patterns are CLDR's, read by Babel. English stays English whatever the country, but for the order of
month and day and the clock of twelve.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import localcontext
from functools import lru_cache
from math import isfinite
from types import MappingProxyType
from typing import TYPE_CHECKING

from tripkit.yard.people import LANGUAGES

if TYPE_CHECKING:
    from babel import Locale

MONTH_FIRST = ("US", "USA", "PH", "FM", "PW", "MH")
"""Countries that write the month before the day, and the hours of the day as 1 to 12."""

ENGLISH = LANGUAGES[0]

MOST_DIGITS = 4300
"""As many as Python writes of a whole number (`sys.int_info.default_max_str_digits`)."""


@dataclass(frozen=True)
class Patterns:
    """How a language writes a day, from short to full, and a time (CLDR patterns).

    `named` is a day as calendars name it, `dated` has a year, `month` has no weekday, `in_week` no
    month.
    """

    day: str
    weekday: str
    dated: str
    long: str
    time: str
    month: str
    named: str
    named_dated: str
    full: str
    in_week: str


# fmt: off
PATTERNS: Mapping[str, Patterns] = MappingProxyType(
    {
        "en": Patterns(
            "d MMM", "EEE d MMM", "d MMM y", "d MMMM y", "H:mm",
            "d MMMM", "EEE d MMMM", "EEE d MMMM y", "EEEE d MMMM y", "EEE d",
        ),
        "en month first": Patterns(
            "MMM d", "EEE MMM d", "MMM d, y", "MMMM d, y", "h:mm a",
            "MMMM d", "EEE MMMM d", "EEE MMMM d, y", "EEEE MMMM d, y", "EEE d",
        ),
        "es": Patterns(
            "d MMM", "EEE d MMM", "d MMM y", "d 'de' MMMM 'de' y", "H:mm", "d 'de' MMMM",
            "EEE d 'de' MMMM", "EEE d 'de' MMMM 'de' y", "EEEE d 'de' MMMM 'de' y", "EEE d",
        ),
        "de": Patterns(
            "d. MMM", "EEE d. MMM", "d. MMM y", "d. MMMM y", "H:mm",
            "d. MMMM", "EEE d. MMMM", "EEE d. MMMM y", "EEEE, d. MMMM y", "EEE d.",
        ),
        "fr": Patterns(
            "d MMM", "EEE d MMM", "d MMM y", "d MMMM y", "H:mm",
            "d MMMM", "EEE d MMMM", "EEE d MMMM y", "EEEE d MMMM y", "EEE d",
        ),
    }
)
# fmt: on


def find_patterns(language: str, country: str = "") -> Patterns:
    """The patterns of a language in a country; a language without any has those of English."""
    if language == ENGLISH and country in MONTH_FIRST:
        return PATTERNS["en month first"]
    return PATTERNS.get(language, PATTERNS[ENGLISH])


@lru_cache(maxsize=64)
def find_locale(language: str, country: str = "") -> Locale:
    """Babel's locale; one that it does not have falls back to the language, then to English."""
    from babel import Locale, UnknownLocaleError

    if language != ENGLISH:
        # Of "USA" the first two letters are the territory; of "Atlantis" they would be Austria.
        code = country.upper()[:2] if len(country) in (2, 3) else ""
        for territory in (code or None, None):
            try:
                return Locale(language, territory)
            except (UnknownLocaleError, ValueError):
                continue
    return Locale(ENGLISH)


def find_list_locale(language: str) -> Locale:
    """Babel's locale for lists: English ones have no comma before the last "and"."""
    from babel import Locale

    return Locale(ENGLISH, "GB") if language == ENGLISH else find_locale(language)


@lru_cache(maxsize=8192)
def write_pattern(day: date, pattern: str, language: str = ENGLISH) -> str:
    """A date by a CLDR pattern; the first of a month is `1er` in French.

    **Source** of the `1er`: Imprimerie nationale, Lexique des règles typographiques, "date".

    >>> write_pattern(date(2027, 4, 6), "EEE d MMM", "de")
    'Di. 6 Apr.'
    """
    from babel.dates import format_date

    if language == "fr" and day.day == 1:
        pattern = pattern.replace("d", "d'er'", 1)
    return format_date(day, pattern, locale=find_locale(language))


def write_date(day: date, country: str = "", form: str = "day", language: str = ENGLISH) -> str:
    """A day as a country writes it; `form` is a field of `Patterns`.

    >>> write_date(date(2027, 4, 6)), write_date(date(2027, 4, 6), "US", "long")
    ('6 Apr', 'April 6, 2027')
    """
    return write_pattern(day, getattr(find_patterns(language, country), form), language)


def write_day(day: date, country: str = "") -> str:
    """A day with its day of the week, without a year.

    >>> write_day(date(2027, 4, 6)), write_day(date(2027, 4, 6), "US")
    ('Tue 6 Apr', 'Tue Apr 6')
    """
    return write_date(day, country, "weekday")


def write_span(
    first: date, last: date, country: str = "", form: str = "weekday", language: str = ENGLISH
) -> str:
    r"""First and last day as shortly as they can be read.

    >>> print(ascii(write_span(date(2027, 4, 6), date(2027, 4, 11))))
    'Tue 6 \u2013 Sun 11 Apr'
    """
    ending = write_date(last, country, form, language)
    if first == last:
        return ending
    pattern = getattr(find_patterns(language, country), form)
    if (first.year, first.month) == (last.year, last.month):
        pattern = pattern.removesuffix(" MMM")
    return f"{write_pattern(first, pattern, language)} \N{EN DASH} {ending}"


def write_clock(moment: datetime, country: str = "", language: str = ENGLISH) -> str:
    """A time of day to the minute, by the clock of twelve where that is usual.

    >>> moment = datetime(2027, 4, 6, 13, 5)
    >>> write_clock(moment), write_clock(moment, "US")
    ('13:05', '1:05 pm')
    """
    from babel.dates import format_time

    pattern = find_patterns(language, country).time
    written = format_time(moment.time(), pattern, locale=find_locale(language))
    return written.lower().replace("\N{NARROW NO-BREAK SPACE}", " ")


def write_decimal(
    number: float | int,
    language: str = ENGLISH,
    country: str = "",
    *,
    places: int = 0,
    least: int = 0,
) -> str:
    """A number with thousands grouped, at most so many decimals, and at the least so many.

    >>> write_decimal(1234.56, "de", places=1), write_decimal(1234.0, places=1)
    ('1.234,6', '1,234')
    >>> write_decimal(1234.0, places=1, least=1)
    '1,234.0'
    """
    if not isfinite(number):
        return str(number)
    pattern = "#,##0" + ("." + "0" * least + "#" * (places - least) if places else "")
    return _fill_pattern(number, pattern, find_locale(language, country))


def _fill_pattern(number: float | int, pattern: str, locale: Locale) -> str:
    from babel.numbers import format_decimal

    # Babel rounds with the digits of the context, 28 unless it is told more.
    with localcontext(prec=MOST_DIGITS):
        return format_decimal(number, pattern, locale=locale)


def write_money(cents: int, currency: str = "", language: str = ENGLISH, country: str = "") -> str:
    """Cents in currency units, thousands grouped, always two decimals, then the currency's code.

    >>> write_money(-123450, "EUR", "de")
    '-1.234,50 EUR'
    """
    units, rest = divmod(abs(cents), 100)
    locale = find_locale(language, country)
    whole = _fill_pattern(units, "#,##0", locale)
    mark = locale.number_symbols["latn"]["decimal"]
    return f"{'-' if cents < 0 else ''}{whole}{mark}{rest:02d}{' ' + currency if currency else ''}"
