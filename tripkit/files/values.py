"""One cell of text becomes one value, or `BadValue` whose message completes "'text' ...".

Every parser takes the trimmed, non-empty text of a cell. Numbers may carry a decimal point or
a decimal comma; thousands are never separated.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Collection
from contextlib import suppress
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from tripkit.yard import places
from tripkit.yard.days import MONTHS, WEEKDAYS
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import OutingsWanted
from tripkit.yard.limits import LIMITS, Limits
from tripkit.yard.names import suggest_near

KM_PER_MILE = Decimal(str(places.KM_PER_MILE))
FIRST_YEAR, LAST_YEAR = 1950, 2199
FIRST_BIRTH_YEAR = 1900
LARGEST_LIMIT = 1000
LONGEST_NAME = 200
ROUNDED_DECIMALS = 6
TURNING_SIGNS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""What turns the direction of the writing behind it, a name's own letters or not.

**Source:** Unicode Standard Annex 9, 2: explicit directional embeddings, overrides and isolates.
"""

Parser = Callable[[str], Any]

_NUMBER = re.compile(r"[+-]?[0-9]{1,12}(?:[.,][0-9]{1,12})?")
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:,[0-9]{3}|\.[0-9]{2}0)")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_YEAR = re.compile(r"[0-9]{4}")
_DATE_PARTS = re.compile(
    r"([0-9]{1,4})[-/. ]+([0-9]{1,2}|[^\W\d]{3,9})[-/., ]+([0-9]{1,4})(?:[T ].*)?"
)
_MONTH_FIRST = re.compile(r"([^\W\d]{3,9})[-. ]+([0-9]{1,2})(?:st|nd|rd|th)?[-, ]+([0-9]{4})")
_DAY_NUMBER = re.compile(r"[3-6][0-9]{4}(?:\.[0-9]+)?")
FIRST_DAY_NUMBER = date(1899, 12, 30)
_WANTED = re.compile(
    r"(?:from +)?([0-9]{1,3}) +to +([0-9]{1,3})|from +([0-9]{1,3})|to +([0-9]{1,3})", re.IGNORECASE
)
_CLOCK = re.compile(r"([0-9]{1,2}):([0-9]{2})(?::00)?")
_YES = frozenset({"yes", "y", "true", "1"})
_NO = frozenset({"no", "n", "false", "0"})
_DAY_NAMES = {day.casefold(): day for day in WEEKDAYS}


def parse_text(text: str) -> str:
    """Free text is taken as it stands."""
    return text


def parse_name(text: str) -> str:
    """A name is one line of at most 200 characters; names are keys and are matched exactly.

    Letters that are written from right to left are letters; signs that turn what follows are none.
    """
    if any(unicodedata.category(sign) in ("Cc", "Zl", "Zp") for sign in text):
        raise BadValue(state("faults.holds-line-break-or-another"))
    if turning := next((sign for sign in text if sign in TURNING_SIGNS), ""):
        raise BadValue(state("faults.holds-sign-that-turns-writing", sign=f"{ord(turning):04X}"))
    if len(text) > LONGEST_NAME:
        raise BadValue(state("faults.longer-than-characters-2", longest_name=LONGEST_NAME))
    return text


def parse_names(text: str) -> tuple[str, ...]:
    """Names with `;` between."""
    return tuple(parse_name(name.strip()) for name in text.split(";") if name.strip())


def parse_word(text: str) -> str:
    """A word of a list is compared in lower case."""
    return parse_name(text).casefold()


def parse_paper(text: str) -> str:
    """A paper's name is compared in lower case with `_` for blanks and hyphens."""
    return re.sub(r"[\s-]+", "_", parse_word(text))


def make_choice(words: Collection[str] | Callable[[], Collection[str]]) -> Parser:
    """A parser for one of a list of words, case aside; a long list is made when asked."""

    def parse_choice(text: str) -> str:
        known = words() if callable(words) else words
        if text.casefold() not in known:
            raise BadValue(
                state("faults.none-of-2", words=tuple(known), near=suggest_near(text, known))
            )
        return text.casefold()

    return parse_choice


def parse_yes_no(text: str) -> bool:
    """`yes` or `no`."""
    word = text.casefold()
    if word not in _YES | _NO:
        raise BadValue(state("faults.neither-yes-nor-no"))
    return word in _YES


def parse_date(text: str, first_year: int = FIRST_YEAR) -> date:
    """A date is written YYYY-MM-DD."""
    try:
        day = date.fromisoformat(text) if _DATE.fullmatch(text) else None
    except ValueError:
        day = None
    if day is None:
        raise BadValue(state("faults.not-date-yyyymmdd-2", dates=say_dates(text)))
    if not first_year <= day.year <= LAST_YEAR:
        raise BadValue(state("faults.not-date-from-to", first_year=first_year, last_year=LAST_YEAR))
    return day


def suggest_dates(text: str) -> tuple[date, ...]:
    """The dates that a text may mean which is none, the day first and the month first.

    >>> [day.isoformat() for day in suggest_dates("04/03/2027")]
    ['2027-03-04', '2027-04-03']
    """
    found = _DATE_PARTS.fullmatch(text)
    named = _MONTH_FIRST.fullmatch(text)
    if named is not None:
        parts = [(named[3], named[1], named[2])]
    elif found is not None and len(found[1]) > 2:
        parts = [(found[1], found[2], found[3])]
    elif found is not None:
        year = found[3] if len(found[3]) > 2 else f"20{found[3].zfill(2)}"
        parts = [(year, found[2], found[1]), (year, found[1], found[2])]
        # With points between, the day comes first wherever dates are written so.
        parts = parts[:1] if "." in text else parts
    elif len(text) == 8 and text.isascii() and text.isdigit():
        parts = [(text[:4], text[4:6], text[6:])]
    elif _DAY_NUMBER.fullmatch(text):
        return (FIRST_DAY_NUMBER + timedelta(days=int(float(text))),)
    else:
        return ()
    days = []
    for year, month, day in parts:
        with suppress(ValueError):
            meant = date(int(year), _find_month(month), int(day))
            if FIRST_YEAR <= meant.year <= LAST_YEAR:
                days.append(meant)
    return tuple(dict.fromkeys(days))


def say_dates(text: str) -> Fact | None:
    """The dates that a text may mean as the end of a message, None for none."""
    meant = suggest_dates(text)
    return state("faults.write-dates", dates=meant) if meant else None


def _find_month(text: str) -> int:
    """The number of a month by number or by the beginning of its English name; 0 for none."""
    if text.isascii() and text.isdigit():
        return int(text)
    known = (i for i, name in enumerate(MONTHS, 1) if name.casefold().startswith(text.casefold()))
    return next(known, 0)


def parse_clock(text: str) -> int:
    """A time of day, HH:MM from 00:00 to 24:00, becomes minutes after midnight."""
    found = _CLOCK.fullmatch(text)
    minutes = int(found[1]) * 60 + int(found[2]) if found else -1
    if found is None or int(found[2]) > 59 or minutes > 24 * 60:
        raise BadValue(state("faults.not-time-of-day-hhmm"))
    return minutes


def parse_born(text: str) -> tuple[date, bool]:
    """A year or a date; answers the date (1 January of a year) and whether only the year stood."""
    if _YEAR.fullmatch(text) and FIRST_BIRTH_YEAR <= int(text) <= LAST_YEAR:
        return date(int(text), 1, 1), True
    try:
        return parse_date(text, FIRST_BIRTH_YEAR), False
    except BadValue:
        dates = say_dates(text)
        raise BadValue(state("faults.neither-year-yyyy-nor-date", dates=dates)) from None


def make_decimal(
    low: Decimal | int | None = 0,
    high: Decimal | int | None = None,
    *,
    above: bool = False,
    long_comma: bool = False,
) -> Parser:
    """A parser for an exact number from `low` (or above it) to `high`.

    A comma with three digits behind it could stand for thousands: it is refused unless
    `long_comma` says that no such number can be meant.
    """

    def parse_decimal(text: str) -> Decimal:
        if not _NUMBER.fullmatch(text):
            raise BadValue(state("faults.not-number-written-like-12345"))
        if _THOUSANDS.fullmatch(text) and not long_comma:
            raise BadValue(_ask_for_thousands(text))
        if "," in text and len(text.split(",")[1]) > 2 and not long_comma:
            raise BadValue(state("faults.not-number-write-decimal-point"))
        number = Decimal(text.replace(",", "."))
        check_range(number, low, high, above=above)
        return number

    return parse_decimal


def _ask_for_thousands(text: str) -> Fact:
    """Both readings of three digits behind a sign: a last 0 is written for thousands alone."""
    whole, part = re.split("[.,]", text)
    short = part.rstrip("0")
    other = f"{whole}.{short.ljust(2, '0')}" if len(short) < 3 else f"{whole}.{part}"
    return state("faults.could-be-or-write-one", whole=whole, part=part, other=other)


def check_range(
    number: Decimal | int | float,
    low: Decimal | int | float | None,
    high: Decimal | int | float | None,
    *,
    above: bool = False,
) -> None:
    """Raises `BadValue` for a number below `low` (or at it, with `above`) or over `high`."""
    if low is not None and above and number <= low:
        raise BadValue(
            state("faults.must-be-above-zero")
            if low == 0
            else state("faults.must-be-above", low=low)
        )
    if low is not None and number < low:
        raise BadValue(
            state("faults.must-not-be-negative")
            if low == 0
            else state("faults.must-be-at-least", low=low)
        )
    if high is not None and number > high:
        raise BadValue(state("faults.must-be-at-most", high=high))


def make_degrees(most: int) -> Parser:
    """A parser for degrees north or east, `most` either way; many decimals may have a comma."""
    parse_decimal = make_decimal(None, long_comma=True)

    def parse_degrees(text: str) -> Decimal:
        degrees: Decimal = parse_decimal(text)
        if not -most <= degrees <= most:
            raise BadValue(state("faults.off-globe-to", most=most))
        return degrees

    return parse_degrees


def make_whole(low: int | None = 0, high: int | None = None) -> Parser:
    """A parser for a whole number from `low` to `high`; `12.0` is one, too."""
    parse_decimal = make_decimal(None)

    def parse_whole(text: str) -> int:
        try:
            number = parse_decimal(text)
        except BadValue as error:
            asked = _THOUSANDS.fullmatch(text)
            raise BadValue(error.fact if asked else state("faults.not-whole-number")) from None
        if number != number.to_integral_value():
            raise BadValue(state("faults.not-whole-number"))
        check_range(int(number), low, high)
        return int(number)

    return parse_whole


def parse_height(text: str) -> int:
    """A height in whole centimetres, 20 to 250."""
    try:
        return int(make_whole(20, 250)(text))
    except BadValue as error:
        raise BadValue(
            state("faults.heights-are-written-in-centimetres", error=error.fact)
        ) from None


def parse_money(text: str) -> int:
    """An amount in currency units with up to two decimals becomes whole cents; not negative."""
    amount: Decimal = make_decimal(None)(text)
    if amount * 100 != (amount * 100).to_integral_value():
        raise BadValue(state("faults.not-amount-with-up-to"))
    check_range(amount, 0, None)
    return int(amount * 100)


def parse_price(text: str) -> int:
    """An amount as `parse_money` takes it, above zero."""
    cents = parse_money(text)
    check_range(cents, 0, None, above=True)
    return cents


def parse_share(text: str) -> Fraction:
    """A share is a decimal (0.5), a fraction (1/3) or a percentage (50 %), above 0, at most 1."""
    whole = make_decimal(None, long_comma=True)
    if _DATE.fullmatch(text):
        raise BadValue(state("faults.date-as-spreadsheets-make-of"))
    try:
        if "/" in text:
            above, below = (whole(part.strip()) for part in text.split("/", 1))
            share = Fraction(above) / Fraction(below)
        elif text.endswith("%"):
            share = Fraction(whole(text[:-1].strip())) / 100
        else:
            share = Fraction(whole(text))
    except (BadValue, ZeroDivisionError):
        raise BadValue(state("faults.not-share-05-13-or")) from None
    if not 0 < share <= 1:
        raise BadValue(state("faults.must-be-above-0-and"))
    return share


def measure_rounding(text: str) -> Fraction:
    """By how much a share may lie beside what is meant: half of the last decimal of six or more.

    Six decimals are what a program writes of 1/3; who writes fewer by hand may have missed some.
    """
    decimals = len(re.split("[.,]", text.rstrip(" %"))[-1]) if re.search("[.,]", text) else 0
    decimals += 2 * text.endswith("%")
    return Fraction(1, 2 * 10**decimals) if decimals >= ROUNDED_DECIMALS else Fraction(0)


def parse_zone(text: str) -> str:
    """A time zone is a name of the IANA time zone database, such as America/New_York."""
    try:
        ZoneInfo(text)
    # A directory of the database, an absolute path and an odd character each fail in their own way.
    except (KeyError, ValueError, OSError):
        near = suggest_near(text, available_timezones())
        raise BadValue(state("faults.no-zone", near=near)) from None
    return text


def parse_day_name(text: str) -> str:
    """A day of the week by its English name."""
    day = _DAY_NAMES.get(text.casefold())
    if day is None:
        raise BadValue(state("faults.no-weekday", near=suggest_near(text, WEEKDAYS)))
    return day


def parse_day_names(text: str) -> tuple[str, ...]:
    """Days of the week with `;` between."""
    return tuple(parse_day_name(name.strip()) for name in text.split(";") if name.strip())


def parse_outings_wanted(text: str) -> OutingsWanted:
    """How many outings a horse is to have: `4 to 6`, `from 4` or `to 6`.

    A hyphen is asked back, and so is the date that a spreadsheet makes of one.
    """
    found = _WANTED.fullmatch(text)
    if found is None:
        raise BadValue(state("faults.not-outings-wanted"))
    between, until, least, most = found.groups()
    most = until or most
    return OutingsWanted(int(between or least or 0), None if most is None else int(most))


def parse_travel_rest(text: str) -> tuple[tuple[float, int], ...]:
    """Rest after drives in one cell: `8:1 12:2 24:3` is hours and days, blanks between."""
    try:
        pairs = [part.split(":") for part in re.split(r"[\s;]+", text) if part]
        rows = [(make_decimal()(hours), make_whole(0, 365)(days)) for hours, days in pairs]
    except ValueError:
        raise BadValue(state("faults.not-hoursdays-with-blanks-between")) from None
    return check_travel_rest([(float(hours), days) for hours, days in rows])


def check_travel_rest(rows: list[tuple[float, int]]) -> tuple[tuple[float, int], ...]:
    """Raises `BadValue` unless the rows stand in rising order of hours."""
    hours = [row[0] for row in rows]
    if hours != sorted(set(hours)):
        raise BadValue(state("faults.must-stand-in-rising-order"))
    return tuple(rows)


def make_limit(name: str) -> Parser:
    """The parser for a number of `Limits`, by its name: type, lowest and highest value."""
    default = getattr(Limits(), name)
    if name == "travel_rest":
        return parse_travel_rest
    if name == "day_off":
        return parse_day_name
    if LIMITS[name].choices:
        return make_choice(LIMITS[name].choices)
    low, high = LIMITS[name].low, min(LIMITS[name].high, LARGEST_LIMIT)
    if isinstance(default, int):
        return make_whole(int(low), int(high))
    parse_decimal = make_decimal(Decimal(str(low)), Decimal(str(high)))

    def parse_limit(text: str) -> float:
        return float(parse_decimal(text))

    return parse_limit
