"""What may stand in a cell that was asked for something else, by the kind of the column.

Each text comes with what it means there, by the handbook, Files:

- `nonsense`: cannot be read as the column's kind; it must be refused, or said.
- `other`: another value that is as good; it must show in the yard, be refused, or be said.
- `odd`: can be read, and no yard means it; it must be refused or said.
- `alike`: the same value written otherwise; the yard must not change without a word.
- `any`: text of a column that takes all text; it must show in the yard or be said.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta

NONSENSE, OTHER, ODD, ALIKE, ANY = "nonsense", "other", "odd", "alike", "any"


def _name(columns: str, kind: str) -> dict[str, str]:
    return dict.fromkeys(columns.split(), kind)


KINDS: Mapping[str, str] = {
    **_name(
        "first_day last_day stabling_from stabling_until entries_open entries_close "
        "late_entries_until day in_work_from last_jumped date valid_until by recheck_by",
        "date",
    ),
    **_name(
        "late_fee stall_fee fee prize amount",
        "money",
    ),
    **_name(
        "stables_open stables_close",
        "clock",
    ),
    **_name(
        "latitude longitude",
        "degrees",
    ),
    **_name(
        "height_cm from_height_cm to_height_cm",
        "height",
    ),
    **_name(
        "places_left youngest_horse oldest_horse starts_per_show starts_per_day "
        "horses_per_show starts_needed places drivers place_won grade shows_per_30_days "
        "no_jump_days schools_before_show shows_in_a_row fit_up_days outings_before_break "
        "break_days arrive_days_before vet_check_after_shows longest_days_without_jumping "
        "days_between_schools",
        "whole",
    ),
    **_name(
        "worth points weight clear_rate importance points_needed per_km per_mile speed "
        "faults km miles hours horse_hours_per_day water_every_hours load_from_hour "
        "arrive_until_hour",
        "number",
    ),
    **_name(
        "show class horse person owner vehicle who rider driver place town from to substance",
        "name",
    ),
    **_name(
        "name tour series country rules route sex",
        "text",
    ),
    **_name(
        "level number note notes reason dose",
        "free",
    ),
    **_name(
        "role status limb division paper day_off language",
        "word",
    ),
    **_name(
        "cleared unsanctioned",
        "yes",
    ),
    "timezone": "zone",
    "born": "born",
    "share": "share",
    "travel_rest": "rest",
}


def _leave_out(texts: Mapping[str, str], *names: str) -> dict[str, str]:
    return {name: text for name, text in texts.items() if name not in names}


LONG_DIGITS = "9" * 1000
CONTROLS: Mapping[str, str] = {
    "nul": "A\x00B",
    "escape": "A\x1b[31mB",
    "line break": "A\nB",
    "next line": "A\x85B",
    "line separator": "A\u2028B",
    "right to left": "A\u202eB",
    "isolate": "A\u2067B\u2069",
}
FORMATS: Mapping[str, str] = {
    "zero width": "A\u200bB",
    "tag": "A\U000e0041B",
    "private use": "A\ue000B",
}
EVERYWHERE: Mapping[str, str] = {
    "error cell": "#REF!",
    "missing value": "#N/A",
    "word": "later",
    "dash": "-",
    "question": "?",
    "formula": "=SUM(A1:A9)",
    "command": "=cmd|' /C calc'!A0",
    "thousand digits": LONG_DIGITS,
    "minus thousand digits": f"-{LONG_DIGITS}",
    "not a number": "nan",
    "infinite": "inf",
    "exponent": "1e309",
    "hexadecimal": "0x1F",
    "underscores": "1_000",
    "arabic digits": "\u0663\u0664",
    "wide digits": "\uff11\uff12",
    "superscript": "\u00b2",
    "quote": 'a"b',
    "null": "NULL",
    "none": "None",
    "markup": "<script>alert(1)</script>",
    "braces": "{0}{horse}%s",
    "long text": "x" * 5000,
    "true": "TRUE",
}
UNREADABLE: Mapping[str, str] = {**EVERYWHERE, **CONTROLS, **FORMATS}
DATES: Mapping[str, str] = {
    "30 February": "2027-02-30",
    "month 13": "2027-13-01",
    "day month year": "04/03/2027",
    "dots": "4.3.2027",
    "short year": "04/03/27",
    "no zeros": "2027-4-3",
    "no hyphens": "20270403",
    "month in words": "3 Apr 2027",
    "serial": "46480",
    "year only": "2027",
    "year and month": "2027-04",
    "week": "2027-W14-6",
    "year 1": "0001-01-01",
    "year 9999": "9999-12-31",
    "year 0": "0000-01-01",
    "long year": "12027-04-03",
    "minus year": "-2027-04-03",
    "wide digits date": "\uff12\uff10\uff12\uff17-04-03",
    "true minus": "2027\u221204\u221203",
    "two dates": "2027-04-03 2027-04-04",
    "zone": "2027-04-03T00:00Z",
}
NUMBERS: Mapping[str, str] = {
    "negative": "-5",
    "double minus": "--5",
    "unit": "5 km",
    "thousands comma": "1,250",
    "thousands blank": "1 250",
    "thousands quote": "1'250",
    "two points": "1.2.3",
    "point alone": ".",
    "sum": "1+1",
    "range": "4-6",
    "date": "2027-04-03",
    "time": "12:30",
    "currency": "$72",
    "percent": "50%",
}
ODD_NUMBERS: Mapping[str, str] = {"twelve digits": "999999999999", "a million": "1000000"}
BY_KIND: Mapping[str, tuple[tuple[str, Mapping[str, str]], ...]] = {
    "date": (
        (NONSENSE, {**UNREADABLE, **DATES}),
        (ODD, {"year 1950": "1950-01-01", "year 2199": "2199-12-31"}),
        (OTHER, {"a week later": "+7", "a week earlier": "-7", "a year later": "+365"}),
    ),
    "born": (
        (
            NONSENSE,
            {**EVERYWHERE, **CONTROLS, **FORMATS, **DATES, "year only": "20 27", "serial": "1850"},
        ),
        (ODD, {"year 1950": "1950", "next year": "2028", "year 2199": "2199"}),
        (OTHER, {"another year": "2014", "another day": "2016-03-04"}),
    ),
    "money": (
        (
            NONSENSE,
            {
                **UNREADABLE,
                **NUMBERS,
                "third decimal": "72.505",
                "thousands point": "1.250",
                "zeros behind a point": "2.000",
            },
        ),
        (ODD, ODD_NUMBERS),
        (OTHER, {"another amount": "17.25", "comma": "17,5", "nought": "0"}),
    ),
    "number": (
        (NONSENSE, {**UNREADABLE, **NUMBERS}),
        (ODD, ODD_NUMBERS),
        (OTHER, {"half": "0.5", "comma": "0,55", "one": "1"}),
    ),
    "whole": (
        (NONSENSE, {**UNREADABLE, **NUMBERS, "half": "2.5"}),
        (ODD, {**ODD_NUMBERS, "nine hundred": "900"}),
        (OTHER, {"nought": "0", "one": "1", "five": "5", "seven": "7.0"}),
    ),
    "height": (
        (
            NONSENSE,
            {
                **UNREADABLE,
                **NUMBERS,
                "metres": "1.20",
                "metres comma": "1,2",
            },
        ),
        (ODD, {**ODD_NUMBERS, "half a metre": "50", "two metres": "200", "hands": "16"}),
        (OTHER, {"another": "123"}),
    ),
    "degrees": (
        (
            NONSENSE,
            {
                **UNREADABLE,
                **{k: v for k, v in NUMBERS.items() if k not in ("negative", "thousands comma")},
                "compass": "30.4 N",
                "minutes": "30\u00b026'",
            },
        ),
        (
            ODD,
            {
                **ODD_NUMBERS,
                "outside": "180.5",
                "pole": "90",
                "nought": "0",
                "far": "47.4",
                "other sign": "-30.4383",
            },
        ),
        (OTHER, {"near": "30.45"}),
    ),
    "clock": (
        (
            NONSENSE,
            {
                **UNREADABLE,
                **_leave_out(NUMBERS, "time"),
                "minute 60": "07:60",
                "hour 25": "25:00",
                "pm": "7:30 pm",
                "half": "7.5",
                "hour alone": "7",
                "part of a day": "0.3125",
            },
        ),
        (OTHER, {"another": "08:15"}),
        (ODD, {"midnight": "00:00", "end of day": "24:00"}),
    ),
    "name": (
        (NONSENSE, CONTROLS),
        (
            ODD,
            {
                **EVERYWHERE,
                **FORMATS,
                "other case": "^",
                "two blanks": "  ",
                "one letter more": "+s",
            },
        ),
    ),
    "text": (
        (NONSENSE, CONTROLS),
        (ANY, {**EVERYWHERE, **FORMATS}),
        (OTHER, {"plain": "quite another"}),
    ),
    "free": (
        (ANY, {**EVERYWHERE, **CONTROLS, **FORMATS}),
        (OTHER, {"plain": "quite another"}),
    ),
    "word": (
        (NONSENSE, {**UNREADABLE, "near": "+s", "joined": "a;b"}),
        (ALIKE, {"other case": "^"}),
    ),
    "yes": (
        (
            NONSENSE,
            {
                **{k: v for k, v in EVERYWHERE.items() if k != "true"},
                **CONTROLS,
                "half": "0.5",
                "ja": "ja",
            },
        ),
        (OTHER, {"turned": "!"}),
    ),
    "zone": (
        (
            NONSENSE,
            {
                **UNREADABLE,
                "no underscore": "America/NewYork",
                "absolute": "/etc/localtime",
                "upwards": "../UTC",
                "folder": "America",
                "offset": "-05:00",
            },
        ),
        (OTHER, {"one zone on": "America/Chicago"}),
        (ODD, {"far away": "Asia/Tokyo", "no summer": "UTC", "old name": "EST5EDT"}),
    ),
    "share": (
        (
            NONSENSE,
            {
                **UNREADABLE,
                "negative": "-1",
                "nought": "0",
                "by nought": "1/0",
                "three parts": "1/2/2",
                "more than all": "150%",
                "two": "2",
                "tiny": "0.000000000001",
            },
        ),
        (OTHER, {"a third": "1/3"}),
    ),
    "rest": (
        (
            NONSENSE,
            {
                **UNREADABLE,
                "falling": "12:1 8:2",
                "doubled": "8:1 8:2",
                "negative": "-8:1",
                "three": "8:1:2",
                "huge": f"{LONG_DIGITS}:1",
                "days as words": "8:one",
            },
        ),
        (OTHER, {"another": "9:1"}),
        (ODD, {"a year": "8:365"}),
    ),
}


def find_kind(table: str, column: str) -> str:
    """The kind of a column; a place of a result is a number, of a show a name."""
    if (table, column) == ("results", "place"):
        return "whole"
    return KINDS[column]


def list_texts(table: str, column: str, text: str) -> Iterator[tuple[str, str, str]]:
    """What may stand in a cell instead of its text: what it is, what it means there, the text."""
    for meaning, texts in BY_KIND[find_kind(table, column)]:
        for what, wanted in texts.items():
            yield what, meaning, _write(wanted, text)


def _write(wanted: str, text: str) -> str:
    """A text of the lists; a few are made from the text that stands there."""
    if wanted == "^":
        return text.swapcase()
    if wanted == "  ":
        return text.replace(" ", "  ") if " " in text else f"{text}  {text}"
    if wanted == "+s":
        return f"{text}s"
    if wanted == "!":
        return "no" if text == "yes" else "yes"
    if wanted in ("+7", "-7", "+365"):
        return str(date.fromisoformat(text) + timedelta(days=int(wanted)))
    return wanted
