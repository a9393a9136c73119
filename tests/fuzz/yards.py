"""A small yard in which every column of every table and every key of yard.toml is filled.

Figures differ from their defaults, so that a value which is passed over shows. All names are
invented, the towns are real.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

SETTINGS = """[yard]
name = "Mill Lane"
place = "Ocala, FL"
timezone = "America/New_York"
country = "US"
units = "km"
currency = "USD"

[season]
first_day = 2027-03-01
last_day = 2027-06-06
today = 2027-03-10

[limits]
shows_per_30_days = 3
no_jump_days = 6
schools_before_show = 2
shows_in_a_row = 2
travel_rest = [[7, 1], [11, 2]]
fit_up_days = 21
outings_before_break = 5
break_days = 12
arrive_days_before = 2
horse_hours_per_day = 9.5
water_every_hours = 3.5
load_from_hour = 5.5
arrive_until_hour = 20.5
vet_check_after_shows = 3
day_off = "Tuesday"
longest_days_without_jumping = 26
days_between_schools = 6
worth_floor = 0.75

[costs]
per_km = 1.25
groom_day = 90
rider_day = 120
overnight_stop = 175
stabling_day = 45
vet_check = 95
budget = 60000

[driving]
rules = "us"
speed_kmh = 72
detour_factor = 1.3
roads = "estimate"

[papers]
rules = ["us"]
"""

LIMITS = {
    "shows_per_30_days": "2",
    "no_jump_days": "8",
    "schools_before_show": "1",
    "shows_in_a_row": "1",
    "travel_rest": "8:1 12:2",
    "fit_up_days": "30",
    "outings_before_break": "4",
    "break_days": "15",
    "arrive_days_before": "1",
    "horse_hours_per_day": "8.5",
    "water_every_hours": "3",
    "load_from_hour": "6",
    "arrive_until_hour": "20",
    "vet_check_after_shows": "2",
    "day_off": "Wednesday",
    "longest_days_without_jumping": "24",
    "days_between_schools": "5",
}

Rows = Sequence[Mapping[str, str]]

TABLES: Mapping[str, Rows] = {
    "shows": [
        {
            "show": "Oak 1",
            "name": "Oak Park Spring, week 1",
            "tour": "Oak Park",
            "place": "Tallahassee, FL",
            "latitude": "30.4383",
            "longitude": "-84.2807",
            "first_day": "2027-04-07",
            "last_day": "2027-04-11",
            "country": "US",
            "timezone": "America/New_York",
            "stabling_from": "2027-04-04",
            "stabling_until": "2027-04-13",
            "entries_open": "2027-01-11",
            "entries_close": "2027-03-20",
            "late_entries_until": "2027-03-29",
            "late_fee": "60",
            "stall_fee": "145.50",
            "level": "regional",
            "rules": "us",
            "places_left": "12",
            "stables_open": "07:30",
            "stables_close": "21:15",
            "notes": "sand ring",
        },
        {
            "show": "Fern 1",
            "tour": "Fern Hill",
            "place": "Gainesville, FL",
            "first_day": "2027-05-05",
            "last_day": "2027-05-09",
            "entries_close": "2027-04-20",
            "level": "regional",
        },
        {
            "show": "Winter",
            "place": "Long Meadow",
            "first_day": "2027-03-03",
            "last_day": "2027-03-07",
            "level": "regional",
        },
    ],
    "classes": [
        {
            "show": "Oak 1",
            "class": "Opener",
            "day": "2027-04-08",
            "height_cm": "120",
            "division": "amateur",
            "youngest_horse": "6",
            "oldest_horse": "18",
            "fee": "52.50",
            "prize": "400",
            "worth": "12",
            "series": "Cedar Cup",
            "points": "6",
        },
        {"show": "Oak 1", "class": "Final", "day": "2027-04-10", "height_cm": "125"},
        {
            "show": "Fern 1",
            "class": "Final",
            "day": "2027-05-08",
            "height_cm": "120",
            "division": "open",
            "fee": "80",
            "series": "Cedar Cup",
            "points": "8",
        },
        {"show": "Winter", "class": "Opener", "day": "2027-03-05", "height_cm": "115"},
    ],
    "horses": [
        {
            "horse": "Bella",
            "born": "2015-05-02",
            "sex": "mare",
            "from_height_cm": "110",
            "to_height_cm": "130",
            "rider": "Ana Reed",
            "weight": "1.5",
            "in_work_from": "2026-11-02",
            "last_jumped": "2027-02-21",
            "clear_rate": "0.6",
            "starts_per_show": "2",
            "starts_per_day": "2",
            **LIMITS,
        },
        {
            "horse": "Comet",
            "born": "2017",
            "sex": "gelding",
            "from_height_cm": "100",
            "to_height_cm": "120",
            "rider": "Ana Reed",
        },
    ],
    "people": [
        {
            "person": "Ana Reed",
            "role": "rider",
            "born": "1990-06-15",
            "status": "amateur",
            "horses_per_show": "3",
            "timezone": "America/New_York",
        },
        {"person": "Olga Moss", "role": "owner"},
        {"person": "Piet Vos", "role": "driver"},
        {"person": "Gil Hart", "role": "groom"},
        {"person": "Dr. Vale", "role": "vet"},
    ],
    "shares": [
        {"horse": "Bella", "owner": "Olga Moss", "share": "1"},
        {"horse": "Comet", "owner": "Olga Moss", "share": "0.5"},
        {"horse": "Comet", "owner": "Ana Reed", "share": "0.5"},
    ],
    "papers": [
        {
            "horse": "Bella",
            "paper": "influenza",
            "date": "2027-01-15",
            "valid_until": "2027-07-15",
            "number": "A12",
            "note": "booster",
        },
        {"person": "Ana Reed", "paper": "licence", "date": "2027-01-02", "number": "R7"},
        {"horse": "Comet", "paper": "coggins", "date": "2027-01-10"},
    ],
    "aims": [
        {
            "horse": "Bella",
            "show": "Fern 1",
            "class": "Final",
            "importance": "60",
            "series": "Cedar Cup",
            "points_needed": "5",
            "starts_needed": "1",
            "by": "2027-05-01",
        },
    ],
    "vehicles": [
        {
            "vehicle": "Lorry",
            "places": "4",
            "drivers": "2",
            "driver": "Piet Vos",
            "per_km": "1.40",
            "speed": "68",
        },
        {"vehicle": "Van", "places": "2", "drivers": "1"},
    ],
    "absences": [
        {
            "who": "Comet",
            "first_day": "2027-04-20",
            "last_day": "2027-04-28",
            "reason": "grass",
        },
    ],
    "results": [
        {
            "horse": "Bella",
            "date": "2027-03-05",
            "show": "Winter",
            "class": "Opener",
            "height_cm": "115",
            "faults": "4",
            "place": "3",
            "points": "2",
            "series": "Cedar Cup",
            "unsanctioned": "no",
        },
        {"horse": "Comet", "date": "2027-02-20", "height_cm": "100"},
    ],
    "treatments": [
        {
            "horse": "Bella",
            "substance": "phenylbutazone",
            "date": "2027-01-30",
            "route": "oral",
            "dose": "4 g",
        },
    ],
    "vet_checks": [
        {
            "horse": "Bella",
            "date": "2027-02-12",
            "limb": "lf",
            "grade": "1",
            "cleared": "yes",
            "recheck_by": "2027-03-01",
            "note": "sound",
        },
        {
            "horse": "Comet",
            "date": "2027-02-18",
            "limb": "rh",
            "grade": "2",
            "cleared": "no",
            "recheck_by": "2027-03-25",
        },
    ],
    "entries": [
        {
            "horse": "Bella",
            "show": "Oak 1",
            "class": "Opener",
            "status": "paid",
            "date": "2027-02-16",
            "amount": "52.50",
        },
    ],
    "venues": [
        {
            "place": "Long Meadow",
            "latitude": "30.1",
            "longitude": "-83.2",
            "timezone": "America/New_York",
            "country": "US",
            "town": "Live Oak, FL",
        },
    ],
    "distances": [
        {"from": "home", "to": "Tallahassee, FL", "km": "270", "hours": "3.5"},
        {"from": "Tallahassee, FL", "to": "home", "miles": "170", "hours": "3.6"},
    ],
}


def list_columns(rows: Rows) -> list[str]:
    """The columns of a table in the order in which they first stand."""
    return list(dict.fromkeys(column for row in rows for column in row))


def make_records(rows: Rows) -> list[list[str]]:
    """A table as records, its header first."""
    columns = list_columns(rows)
    return [columns, *([row.get(column, "") for column in columns] for row in rows)]
