"""A small yard for a season of fourteen weeks: four horses, two lorries, fourteen shows.

Eight shows stand in shows.csv, the six of the Pine Tour come in an organiser's calendar. All names
are invented, the towns are real.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path

FIRST = date(2027, 3, 1)
WEEKS = 14
HEIGHTS_CM = (105, 115, 125, 135)
"""Each horse jumps one of these."""
PRODUCT = "-//Pine Tour//EN"
# Show, week counted from the first day, town. A show lasts from Thursday to Sunday.
OWN_SHOWS = (
    ("Ash 1", 1, "Gainesville, FL"),
    ("Ash 2", 3, "Gainesville, FL"),
    ("Birch 1", 4, "Tallahassee, FL"),
    ("Ash 3", 6, "Gainesville, FL"),
    ("Birch 2", 7, "Tallahassee, FL"),
    ("Ash 4", 9, "Gainesville, FL"),
    ("Birch 3", 11, "Tallahassee, FL"),
    ("Ash 5", 12, "Gainesville, FL"),
)
TOUR_SHOWS = (
    ("Pine 1", 2, "Valdosta, GA"),
    ("Pine 2", 3, "Valdosta, GA"),
    ("Pine 3", 5, "Valdosta, GA"),
    ("Pine 4", 8, "Valdosta, GA"),
    ("Pine 5", 10, "Valdosta, GA"),
    ("Pine 6", 12, "Valdosta, GA"),
)
SETTINGS = """[yard]
name = "Marsh End"
place = "Ocala, FL"
[season]
first_day = 2027-03-01
last_day = 2027-06-06
[costs]
per_km = 1.20
groom_day = 90
rider_day = 110
vet_check = 80
[driving]
rules = "us"
roads = "estimate"
[papers]
rules = []
"""

Row = Mapping[str, object]


def find_days(week: int) -> tuple[date, date]:
    """A show's first and last day: Thursday and Sunday of a week of the season."""
    monday = FIRST + timedelta(weeks=week)
    return monday + timedelta(days=3), monday + timedelta(days=6)


def list_classes(show: str, week: int, first: date) -> list[Row]:
    """Each show has classes for two of the horses: on Friday and Sunday, and one on Saturday."""
    low = HEIGHTS_CM[week % len(HEIGHTS_CM)]
    high = HEIGHTS_CM[(week + 1) % len(HEIGHTS_CM)]
    final = {"fee": 80, "worth": 15, "series": "Marsh Cup", "points": 6}
    classes = (("Opener", 1, low, {"fee": 45}), ("Middle", 2, high, {"fee": 50}))
    finals = (("Low Final", 3, low, final), ("High Final", 3, high, final))
    return [
        {"show": show, "class": name, "day": first + timedelta(day), "height_cm": height, **more}
        for name, day, height, more in (*classes, *finals)
    ]


def write_calendar(
    shows: Sequence[tuple[str, date, date, str]], cancelled: Sequence[str] = (), sequence: int = 0
) -> str:
    """The organiser's calendar of some shows; a new edition has a higher sequence."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}"]
    for show, first, last, town in shows:
        lines += [
            "BEGIN:VEVENT",
            f"UID:{show.replace(' ', '-').lower()}@pine.example",
            f"DTSTAMP:202702{sequence + 1:02}T080000Z",
            f"SEQUENCE:{sequence}",
            f"SUMMARY:{show}",
            "LOCATION:" + town.replace(",", "\\,"),
            f"DTSTART;VALUE=DATE:{first:%Y%m%d}",
            f"DTEND;VALUE=DATE:{last + timedelta(days=1):%Y%m%d}",
            *(["STATUS:CANCELLED"] if show in cancelled else []),
            "END:VEVENT",
        ]
    return "\r\n".join([*lines, "END:VCALENDAR", ""])


def write_rows(path: Path, rows: Sequence[Row], columns: Sequence[str] = ()) -> None:
    """Rows as CSV, with these columns, else with every column that any of them has."""
    columns = columns or list(dict.fromkeys(column for row in rows for column in row))
    text = io.StringIO()
    writer = csv.DictWriter(text, columns)
    writer.writeheader()
    writer.writerows(rows)
    path.write_text(text.getvalue(), encoding="utf-8", newline="")


def append_rows(path: Path, rows: Sequence[Row]) -> None:
    """Rows more at the end of a table of the yard."""
    with path.open(encoding="utf-8", newline="") as opened:
        known: list[Row] = list(csv.DictReader(opened))
    write_rows(path, [*known, *rows])


def write_lived_yard(folder: Path, weeks: int = WEEKS, horses: int = 4, lorries: int = 2) -> Path:
    """The yard's folder, with the shows of its first weeks alone."""
    folder.mkdir(parents=True)
    (folder / "yard.toml").write_text(SETTINGS, encoding="utf-8")
    own = [(show, *find_days(w), town) for show, w, town in OWN_SHOWS if w < weeks]
    tour = [(show, *find_days(w), town) for show, w, town in TOUR_SHOWS if w < weeks]
    weeks_of = {show: w for show, w, _ in (*OWN_SHOWS, *TOUR_SHOWS)}
    (folder / "shows.ics").write_text(write_calendar(tour), encoding="utf-8", newline="")
    write_rows(
        folder / "shows.csv",
        [
            {
                "show": show,
                "place": town,
                "first_day": first,
                "last_day": last,
                "entries_close": first - timedelta(days=9),
            }
            for show, first, last, town in own
        ],
    )
    write_rows(
        folder / "classes.csv",
        [
            row
            for show, first, _, _ in (*own, *tour)
            for row in list_classes(show, weeks_of[show], first)
        ],
    )
    names = ["Alder", "Birch", "Comet", "Dodo"][:horses]
    riders = {"Alder": "Ana Reed", "Birch": "Ana Reed", "Comet": "Ben Lark", "Dodo": "Ben Lark"}
    write_rows(
        folder / "horses.csv",
        [
            {
                "horse": name,
                "born": 2014 + number,
                "from_height_cm": HEIGHTS_CM[number],
                "to_height_cm": HEIGHTS_CM[number],
                "rider": riders[name],
                "starts_per_show": 2,
            }
            for number, name in enumerate(names)
        ],
    )
    write_rows(
        folder / "people.csv",
        [
            {"person": "Ana Reed", "role": "rider", "status": "professional"},
            {"person": "Ben Lark", "role": "rider", "status": "amateur"},
            {"person": "Olga Moss", "role": "owner"},
            {"person": "Gil Hart", "role": "groom"},
            {"person": "Dr. Vale", "role": "vet"},
            {"person": "Piet Vos", "role": "driver"},
        ],
    )
    write_rows(
        folder / "shares.csv",
        [
            {"horse": name, "owner": "Olga Moss" if number % 2 == 0 else "Ben Lark"}
            for number, name in enumerate(names)
        ],
    )
    write_rows(
        folder / "vehicles.csv",
        [
            {"vehicle": "Blue lorry", "places": 3, "driver": "Piet Vos"},
            {"vehicle": "Grey lorry", "places": 2, "driver": ""},
        ][:lorries],
    )
    write_rows(folder / "results.csv", [{"horse": "Alder", "date": "2027-02-12", "height_cm": 110}])
    write_rows(
        folder / "vet_checks.csv",
        [{"horse": "Alder", "date": "2027-02-15", "limb": "", "grade": 0, "cleared": "yes"}],
    )
    write_rows(
        folder / "absences.csv",
        [
            {
                "who": "Gil Hart",
                "first_day": "2027-03-01",
                "last_day": "2027-03-01",
                "reason": "moves",
            }
        ],
    )
    return folder
