"""Cases of yard.toml: each key with each type of value, sections, and the file as a whole."""

from __future__ import annotations

from collections.abc import Iterator

from tests.fuzz.cells import ALIKE, CONTROLS, NONSENSE, ODD, OTHER, UNREADABLE
from tests.fuzz.folders import FOLDER, LOCKED, Case
from tests.fuzz.yards import SETTINGS

FILE = "yard.toml"
VALUES = {
    "text": '"later"',
    "whole": "-3",
    "huge": "9" * 4000,
    "huge fraction": "0." + "9" * 4000,
    "huge exponent": "1e999999999",
    "tiny exponent": "1e-999999999",
    "nan": "nan",
    "infinite": "-inf",
    "true": "true",
    "list": "[]",
    "nested list": "[" * 60 + "]" * 60,
    "list of texts": '["us", "moon"]',
    "table": "{ a = 1 }",
    "date": "1951-02-03",
    "date and time": "2027-03-04T05:06:07Z",
    "time": "05:06:07",
    "hexadecimal": "0xdead_beef",
    "million": "1000000",
    "number as text": '"5"',
    "blank text": '"   "',
    "lines": '"""a\nb"""',
}
NUMBERS = {"nought": "0", "one": "1", "half": "0.5", "twelve digits": "999999999999"}
REQUIRED_KEYS = ("yard.name", "season.first_day", "season.last_day")
WHOLE_KEYS_TAKE = {
    # What each key takes of the values above, by the handbook, Files; the rest is nonsense there.
    "yard.name": ("text", "number as text"),
    "yard.place": (),
    "yard.currency": ("text", "number as text"),
    "yard.country": (),
    "papers.rules": ("list",),
    "season.first_day": (),
    "season.last_day": (),
    "season.today": ("date",),
    "limits.travel_rest": ("list",),
}


def list_lines() -> list[str]:
    """The lines of the file."""
    return SETTINGS.splitlines()


def list_settings_cases() -> Iterator[Case]:
    """Every key by every value, taken away, doubled, misspelt; sections; the file itself."""
    lines, section = list_lines(), ""
    for number, line in enumerate(lines):
        around = lines[:number], lines[number + 1 :]
        if line.startswith("["):
            section = line.strip("[]")
            yield from _list_section_cases(section, line, *around)
        elif line:
            key, value = line.split(" = ")
            yield from _list_key_cases(f"{section}.{key}", key, value, *around)
            yield from _list_value_cases(f"{section}.{key}", key, value, *around)
    yield from _list_file_cases()


def case(what: str, meant: str, data: bytes | None) -> Case:
    """A case of the file."""
    return Case(f"{FILE}:{what}", FILE, meant, {FILE: data})


def write(before: list[str], *lines: str) -> bytes:
    """The file of these lines."""
    return ("\n".join([*before, *lines]) + "\n").encode("utf-8", "surrogateescape")


def _list_section_cases(
    section: str, line: str, before: list[str], after: list[str]
) -> Iterator[Case]:
    for what, lines in {
        "misspelt": [f"[{section}x]", *after],
        "twice": [line, *after, line],
        "list of tables": [f"[{line}]", *after],
        "unknown key": [line, "spots = 3", *after],
    }.items():
        yield case(f"{section}:{what}", NONSENSE, write(before, *lines))


def _list_key_cases(
    where: str, key: str, value: str, before: list[str], after: list[str]
) -> Iterator[Case]:
    line = f"{key} = {value}"
    empty = NONSENSE if where in REQUIRED_KEYS else OTHER
    for what, meant, lines in (
        ("missing", empty, []),
        ("empty text", empty, [f'{key} = ""']),
        ("commented out", empty, [f"# {line}"]),
        ("twice", NONSENSE, [line, line]),
        ("misspelt", NONSENSE, [f"{key}x = {value}"]),
        ("in capitals", NONSENSE, [f"{key.upper()} = {value}"]),
        ("no value", NONSENSE, [f"{key} ="]),
        ("colon", NONSENSE, [f"{key}: {value}"]),
    ):
        yield case(f"{where}:{what}", meant, write(before, *lines, *after))


def _list_value_cases(
    where: str, key: str, value: str, before: list[str], after: list[str]
) -> Iterator[Case]:
    is_number = value.replace(".", "").isdigit()
    takes = WHOLE_KEYS_TAKE.get(where, ())
    for what, wanted in VALUES.items():
        meant = OTHER if what in takes else NONSENSE
        if what in ("million", "hexadecimal") and is_number:
            meant = ODD
        yield case(f"{where}:{what}", meant, write(before, f"{key} = {wanted}", *after))
    if is_number:
        for what, wanted in NUMBERS.items():
            meant = ODD if what == "twelve digits" else OTHER
            yield case(f"{where}:{what}", meant, write(before, f"{key} = {wanted}", *after))
    if not value.startswith('"'):
        return
    for what, text in UNREADABLE.items():
        if (where, text) == ("driving.rules", "None"):
            continue
        quoted = text.replace("\\", "\\\\").replace('"', '\\"')
        escaped = "".join(c if c.isprintable() else f"\\U{ord(c):08X}" for c in quoted)
        free = where in ("yard.name", "yard.currency") and what not in CONTROLS
        line = f'{key} = "{escaped}"'
        yield case(f"{where}:{what} text", ODD if free else NONSENSE, write(before, line, *after))


def _list_file_cases() -> Iterator[Case]:
    plain = SETTINGS.encode()
    yield case("byte order mark", ALIKE, b"\xef\xbb\xbf" + plain)
    yield case("windows line ends", ALIKE, plain.replace(b"\n", b"\r\n"))
    yield case("old Mac line ends", NONSENSE, plain.replace(b"\n", b"\r"))
    yield case("UTF-16", NONSENSE, SETTINGS.encode("utf-16"))
    yield case("not UTF-8", NONSENSE, plain + b"# \xff\n")
    yield case("nul bytes", NONSENSE, plain + b"\x00")
    yield case("deep", NONSENSE, plain + b"a = " + b"[" * 5000)
    yield case("deep keys", NONSENSE, plain + b"[" + b"a." * 3000 + b"a]\n")
    yield case("empty", NONSENSE, b"")
    yield case("missing", NONSENSE, None)
    yield case("a folder", NONSENSE, FOLDER)
    yield case("locked", NONSENSE, LOCKED)
    yield case(
        "two rates", NONSENSE, plain.replace(b"per_km = 1.25", b"per_km = 1.25\nper_mile = 2")
    )
    yield case(
        "two speeds", NONSENSE, plain.replace(b"speed_kmh = 72", b"speed_kmh = 72\nspeed_mph = 40")
    )
    yield case("season turned round", NONSENSE, plain.replace(b"2027-06-06", b"2027-02-06"))
    yield case("season of two years", NONSENSE, plain.replace(b"2027-06-06", b"2029-06-06"))
    yield case("season in another year", ODD, plain.replace(b"2027-", b"2028-"))
    yield case("servers unasked", NONSENSE, plain + b'[places]\nonline = "nomnatim"\n')
