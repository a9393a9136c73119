"""Each kind of fault in a yard folder, with the exact words the user reads."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from tests.files.folders import GOOD, append, list_faults, swap, write_folder
from tripkit.files import read_yard
from tripkit.yard.errors import BadYard, InputError
from tripkit.yard.facts import state

BOOKS = "de, eu, fei, gb, us"
TOML = GOOD["yard.toml"]


def toml(old: str, new: str) -> dict[str, str]:
    return swap("yard.toml", old, new)


CASES: dict[str, tuple[dict, list[str]]] = {
    "date": (
        swap("shows.csv", "2027-04-14", "2027-02-30"),
        ["shows.csv row 3, column first_day: '2027-02-30' is not a date (YYYY-MM-DD)"],
    ),
    "date-other-order": (
        swap("classes.csv", "2027-04-08", "04/08/2027"),
        [
            "classes.csv row 2, column day: '04/08/2027' is not a date (YYYY-MM-DD): "
            "write 2027-08-04 or 2027-04-08"
        ],
    ),
    "date-basic-format": (
        swap("classes.csv", "2027-04-08", "20270408"),
        ["classes.csv row 2, column day: '20270408' is not a date (YYYY-MM-DD): write 2027-04-08"],
    ),
    "date-of-another-age": (
        swap("shows.csv", "2027-04-18", "9999-12-31"),
        ["shows.csv row 3, column last_day: '9999-12-31' is not a date from 1950 to 2199"],
    ),
    "born": (
        swap("horses.csv", "2017", "17"),
        ["horses.csv row 2, column born: '17' is neither a year (YYYY) nor a date (YYYY-MM-DD)"],
    ),
    "born-later": (
        swap("horses.csv", "2017", "2029"),
        ["horses.csv row 2, column born: '2029' is after the season (2027-06-06)"],
    ),
    "height-in-metres": (
        swap("classes.csv", ",120,", ",1.20,"),
        [
            "classes.csv row 2, column height_cm: '1.20' is not a whole number; heights are "
            "written in centimetres, 120 for 1.20 m"
        ],
    ),
    "number-of-a-thousand-million-digits": (
        {"yard.toml": f"{TOML}[costs]\nbudget = 1e999999999\n"},
        [
            "yard.toml setting costs.budget: '1E+999999999' is larger or smaller than any number "
            "of a yard",
        ],
    ),
    "negative-money": (
        swap("classes.csv", ",50", ",-50"),
        ["classes.csv row 2, column fee: '-50' must not be negative"],
    ),
    "too-exact-money": (
        swap("classes.csv", "72.50", "72.505"),
        ["classes.csv row 3, column fee: '72.505' is not an amount with up to two decimals"],
    ),
    "money-with-thousands": (
        swap("classes.csv", "72.50", '"1,250"'),
        [
            "classes.csv row 3, column fee: '1,250' could be 1250 or 1.25: write the one that is "
            "meant"
        ],
    ),
    "money-with-currency": (
        swap("classes.csv", "72.50", "$72"),
        ["classes.csv row 3, column fee: '$72' is not a number (written like 1234.5)"],
    ),
    "number-in-words": (
        swap("vehicles.csv", "Lorry,4", "Lorry,four"),
        ["vehicles.csv row 2, column places: 'four' is not a whole number"],
    ),
    "no-places": (
        swap("vehicles.csv", "Lorry,4", "Lorry,0"),
        ["vehicles.csv row 2, column places: '0' must be at least 1"],
    ),
    "three-drivers": (
        swap("vehicles.csv", "4,1,", "4,3,"),
        ["vehicles.csv row 2, column drivers: '3' must be at most 2"],
    ),
    "speed": (
        swap("vehicles.csv", ",70", ",0"),
        ["vehicles.csv row 2, column speed: '0' must be above zero"],
    ),
    "two-rates": (
        {"vehicles.csv": "vehicle,places,per_km,per_mile\nLorry,4,1,2\n"},
        ["vehicles.csv row 2, column per_mile: '2' stands beside per_km: keep one"],
    ),
    "role": (
        swap("people.csv", "owner", "ownr"),
        [
            "people.csv row 3, column role: 'ownr' is none of rider, owner, groom, driver, vet, "
            "manager; did you mean 'owner'?"
        ],
    ),
    "status": (
        swap("people.csv", "amateur", "pro"),
        ["people.csv row 2, column status: 'pro' is none of junior, young, amateur, professional"],
    ),
    "timezone": (
        {
            "people.csv": "person,role,timezone\nAna Reed,rider,America/NewYork\n"
            "Piet Vos,driver,\nOlga Moss,owner,\n"
        },
        [
            "people.csv row 2, column timezone: 'America/NewYork' is no time zone of the IANA "
            "database (like Europe/Berlin); did you mean 'America/New_York', "
            "'America/Nuuk' or 'America/Nome'?"
        ],
    ),
    "vet-check": (
        {"vet_checks.csv": "horse,date,limb,grade,cleared\nBella,2027-01-01,left,6,maybe\n"},
        [
            "vet_checks.csv row 2, column limb: 'left' is none of lf, rf, lh, rh; did you "
            "mean 'lf'?",
            "vet_checks.csv row 2, column grade: '6' must be at most 5",
            "vet_checks.csv row 2, column cleared: 'maybe' is neither yes nor no",
        ],
    ),
    "entry-status": (
        {"entries.csv": "horse,show,class,status\nBella,Oak 1,Final,payed\n"},
        [
            "entries.csv row 2, column status: 'payed' is none of wanted, sent, paid, scratched; "
            "did you mean 'paid'?"
        ],
    ),
    "share-of-nothing": (
        swap("shares.csv", "Bella,Olga Moss,", "Bella,Olga Moss,0"),
        ["shares.csv row 2, column share: '0' must be above 0 and at most 1"],
    ),
    "share-in-words": (
        swap("shares.csv", "1/3", "1/0"),
        ["shares.csv row 3, column share: '1/0' is not a share (0.5, 1/3 or 50%)"],
    ),
    "name-with-line-break": (
        append("horses.csv", '"Dan\ncer",2016,100,110,'),
        [
            "horses.csv row 4, column horse: 'Dan\\ncer' holds a line break or another control "
            "character"
        ],
    ),
    "name-that-turns-the-writing": (
        append("horses.csv", "D\u2067an,2016,100,110,") | append("people.csv", "\u202eAna,groom"),
        [
            "horses.csv row 4, column horse: 'D\\u2067an' holds a sign that turns the writing "
            "round (U+2067)",
            "people.csv row 5, column person: '\\u202eAna' holds a sign that turns the writing "
            "round (U+202E)",
        ],
    ),
    "empty-required-cell": (
        swap("horses.csv", "2017", ""),
        ["horses.csv row 2, column born: is empty"],
    ),
    "missing-required-column": (
        swap("shows.csv", "first_day", "firstday"),
        ["shows.csv column first_day: is missing; did you mean 'firstday'?"],
    ),
    "unknown-rider": (
        swap("horses.csv", "Ana Reed", "Anna Reed"),
        [
            "horses.csv row 2, column rider: 'Anna Reed' is no rider in people.csv; "
            "did you mean 'Ana Reed'?"
        ],
    ),
    "rider-of-another-role": (
        swap("horses.csv", "Ana Reed", "Olga Moss"),
        ["horses.csv row 2, column rider: 'Olga Moss' is in people.csv, but not as a rider"],
    ),
    "also-ridden-by-nobody": (
        {
            "horses.csv": "horse,born,from_height_cm,to_height_cm,rider,also_ridden_by\n"
            "Bella,2017,110,130,Ana Reed,Ana Reed\nComet,2015,100,120,,Anna Reed; Olga Moss\n"
            "Daisy,2016,100,120,,Ana Reed; Ana Reed\n",
            **append("shares.csv", "Daisy,Olga Moss,"),
        },
        [
            "horses.csv row 2, column also_ridden_by: 'Ana Reed' already rides Bella",
            "horses.csv row 3, column also_ridden_by: 'Anna Reed' is no rider in people.csv; "
            "did you mean 'Ana Reed'?",
            "horses.csv row 3, column also_ridden_by: 'Olga Moss' is in people.csv, but not as a "
            "rider",
            "horses.csv row 4, column also_ridden_by: 'Ana Reed' already rides Daisy",
        ],
    ),
    "no-horses-per-groom": (
        {
            "people.csv": "person,role,horses_per_groom\nAna Reed,rider,\nOlga Moss,owner,\n"
            "Piet Vos,driver,0\n"
        },
        ["people.csv row 4, column horses_per_groom: '0' must be at least 1"],
    ),
    "two-rates-of-a-car": (
        toml("[papers]", "[costs]\ncar_per_km = 1\ncar_per_mile = 2\n[papers]"),
        ["yard.toml setting costs.car_per_mile: stands beside costs.car_per_km: keep one"],
    ),
    "unknown-show-of-class": (
        append("classes.csv", "Oak 3,Opener,2027-04-08,120,50"),
        [
            "classes.csv row 5, column show: 'Oak 3' is no show in shows.csv; "
            "did you mean 'Oak 2' or 'Oak 1'?"
        ],
    ),
    "unknown-names-in-entries": (
        {"entries.csv": "horse,show,class,status\nBela,Oak 1,Finale,paid\nBella,Elm,Final,paid\n"},
        [
            "entries.csv row 2, column horse: 'Bela' is no horse in horses.csv; "
            "did you mean 'Bella'?",
            "entries.csv row 2, column class: 'Finale' is no class of 'Oak 1' in classes.csv; "
            "did you mean 'Final'?",
            "entries.csv row 3, column show: 'Elm' is no show in shows.csv",
        ],
    ),
    "unknown-names-in-aims": (
        {"aims.csv": "horse,show,class\nZorro,Oak 2,Final\n"},
        [
            "aims.csv row 2, column horse: 'Zorro' is no horse in horses.csv",
            "aims.csv row 2, column class: 'Final' is no class of 'Oak 2' in classes.csv",
        ],
    ),
    "aim-without-series": (
        {"aims.csv": "horse,show,points_needed,importance\nBella,Oak 2,5,101\nBella,Oak 1,5,\n"},
        [
            "aims.csv row 2, column importance: '101' must be at most 100",
            "aims.csv row 3, column points_needed: '5' asks for a series",
        ],
    ),
    "unknown-names-in-results-and-vet-checks": (
        {
            "results.csv": "horse,date\nComit,2027-01-01\n",
            "vet_checks.csv": "horse,date\nStella,2027-01-01\n",
        },
        [
            "results.csv row 2, column horse: 'Comit' is no horse in horses.csv; "
            "did you mean 'Comet'?",
            "vet_checks.csv row 2, column horse: 'Stella' is no horse in horses.csv; "
            "did you mean 'Bella'?",
        ],
    ),
    "unknown-who": (
        {"absences.csv": "who,first_day,last_day\nLory,2027-04-01,2027-04-02\n"},
        [
            "absences.csv row 2, column who: 'Lory' is no horse, person or vehicle of the yard; "
            "did you mean 'Lorry'?"
        ],
    ),
    "absence-ends-before-it-starts": (
        {"absences.csv": "who,first_day,last_day\nLorry,2027-04-03,2027-04-02\n"},
        ["absences.csv row 2, column last_day: '2027-04-02' is before first_day 2027-04-03"],
    ),
    "class-ends-before-it-starts": (
        {
            "classes.csv": "show,class,day,height_cm,starts,ends\n"
            "Oak 1,Opener,2027-04-08,120,9 am,\nOak 1,Final,2027-04-11,125,14:00,13:30\n"
            "Oak 2,Opener,2027-04-15,120,,\n"
        },
        [
            "classes.csv row 2, column starts: '9 am' is not a time of day (HH:MM)",
            "classes.csv row 3, column ends: '13:30' is before starts 14:00",
        ],
    ),
    "per-day-of-a-lorry-that-is-not-on-hire": (
        {"vehicles.csv": "vehicle,places,hire,per_day\nLorry,4,no,180\n"},
        ["vehicles.csv row 2: per_day stands for a lorry that is not on hire"],
    ),
    "loading-for-five-hours": (
        swap("yard.toml", "[papers]", "[driving]\nloading_minutes = 300\n[papers]"),
        ["yard.toml setting driving.loading_minutes: '300' must be at most 240"],
    ),
    "absence-at-an-unknown-place": (
        {
            "absences.csv": "who,first_day,last_day,at\nLorry,2027-04-03,2027-04-03,Elsewhere\n"
            "Bella,2027-04-03,2027-04-03,Oak 1\n"
        },
        [
            "absences.csv row 2, column at: 'Elsewhere' is no place, show or base, nor home",
            "absences.csv row 3, column at: 'Oak 1' stands beside Bella, and only a vehicle stands "
            "somewhere",
        ],
    ),
    "day-off-is-no-weekday": (
        {
            "people.csv": "person,role,days_off\nAna Reed,rider,Monday; Mittwoch\n"
            "Olga Moss,owner,\nPiet Vos,driver,Sunday\n"
        },
        [
            "people.csv row 2, column days_off: 'Monday; Mittwoch' is no day of the week (Monday "
            "to Sunday)"
        ],
    ),
    "unknown-driver": (
        swap("vehicles.csv", "Piet Vos", "Piet Vos; Pit Vos"),
        [
            "vehicles.csv row 2, column driver: 'Pit Vos' is no person in people.csv; "
            "did you mean 'Piet Vos'?"
        ],
    ),
    "unknown-owner": (
        swap("shares.csv", "Bella,Olga Moss", "Bella,Olga Mos"),
        [
            "shares.csv row 2, column owner: 'Olga Mos' is no person in people.csv; "
            "did you mean 'Olga Moss'?"
        ],
    ),
    "horse-without-owner": (
        swap("shares.csv", "Bella,Olga Moss,\n", ""),
        ["horses.csv row 2, column horse: 'Bella' has no owner in shares.csv"],
    ),
    "shares-do-not-sum-to-one": (
        swap("shares.csv", "2/3", "0.66"),
        [
            "shares.csv row 4, column share: the shares of 'Comet' sum to 0.993333, not 1; "
            "write thirds as 1/3"
        ],
    ),
    "shares-sum-to-two": (
        append("shares.csv", "Bella,Ana Reed,1"),
        ["shares.csv row 5, column share: the shares of 'Bella' sum to 2, not 1"],
    ),
    "paper": (
        {"papers.csv": "horse,person,paper,date\nBella,,influensa,2027-01-01\n"},
        [
            "papers.csv row 2, column paper: 'influensa' is no known paper; "
            "did you mean 'influenza'?"
        ],
    ),
    "paper-without-holder": (
        {
            "papers.csv": "horse,person,paper,date,valid_until\n,,licence,2027-01-01,\n"
            "Bella,Ana Reed,licence,2027-01-01,\nBella,,coggins,2027-01-02,2027-01-01\n"
        },
        [
            "papers.csv row 2, column horse: is empty; write horse or person",
            "papers.csv row 3, column person: 'Ana Reed' stands beside horse: a paper has one "
            "holder",
            "papers.csv row 4, column valid_until: '2027-01-01' is before date 2027-01-02",
        ],
    ),
    "division": (
        {"classes.csv": "show,class,day,height_cm,division\nOak 1,A,2027-04-08,120,junoir\n"},
        ["classes.csv row 2, column division: 'junoir' is no division; did you mean 'junior'?"],
    ),
    "duplicate-show": (
        append("shows.csv", 'Oak 1,"Tallahassee, FL",2027-05-07,2027-05-11,'),
        ["shows.csv row 4, column show: 'Oak 1' stands already in row 2"],
    ),
    "duplicate-class": (
        append("classes.csv", "Oak 1,Opener,2027-04-09,120,50"),
        ["classes.csv row 5, column class: 'Opener' stands already in row 2 with the same show"],
    ),
    "duplicates-of-other-keys": (
        {
            **append("horses.csv", "Bella,2016,100,110,"),
            **append("people.csv", "Piet Vos,driver,"),
            **append("vehicles.csv", "Lorry,2,1,,,"),
            "aims.csv": "horse,show\nBella,Oak 1\nBella,Oak 1\n",
        },
        [
            "horses.csv row 4, column horse: 'Bella' stands already in row 2",
            "people.csv row 5, column role: 'driver' stands already in row 4 with the same person",
            "aims.csv row 3, column show: 'Oak 1' stands already in row 2 with the same horse",
            "vehicles.csv row 3, column vehicle: 'Lorry' stands already in row 2",
        ],
    ),
    "two-aims-with-one-title": (
        {
            **append("shows.csv", '"Oak 1, Final","Tallahassee, FL",2027-04-21,2027-04-25,'),
            "aims.csv": 'horse,show,class\nBella,Oak 1,Final\nBella,"Oak 1, Final",\n',
        },
        [
            "aims.csv row 3, column show: 'Oak 1, Final' makes 'Bella at Oak 1, Final' of this "
            "aim, as row 2 does; another name has to tell them apart"
        ],
    ),
    "one-name-for-horse-and-person": (
        append("people.csv", "Bella,groom,"),
        [
            "people.csv row 5, column person: 'Bella' is also a name in horses.csv row 2; "
            "horses, people and vehicles need different names"
        ],
    ),
    "reserved-word": (
        append("shows.csv", 'Home,"Tallahassee, FL",2027-05-07,2027-05-11,'),
        [
            "shows.csv row 4, column show: 'Home' is a word that plans use themselves; "
            "name it otherwise"
        ],
    ),
    "show-ends-before-it-starts": (
        swap("shows.csv", "2027-04-18", "2027-04-13"),
        ["shows.csv row 3, column last_day: '2027-04-13' is before first_day 2027-04-14"],
    ),
    "stabling-and-closing-in-wrong-order": (
        {
            "shows.csv": "show,place,first_day,last_day,stabling_from,stabling_until,"
            "entries_open,entries_close,late_entries_until\n"
            '"Oak 1","Tallahassee, FL",2027-04-07,2027-04-11,2027-04-06,2027-04-05,'
            "2027-03-03,2027-03-02,2027-03-01\n"
            '"Oak 2","Tallahassee, FL",2027-04-14,2027-04-18,2027-04-25,,,,\n'
        },
        [
            "shows.csv row 2, column stabling_until: '2027-04-05' is before stabling_from "
            "2027-04-06",
            "shows.csv row 2, column entries_close: '2027-03-02' is before entries_open 2027-03-03",
            "shows.csv row 2, column late_entries_until: '2027-03-01' is before entries_close "
            "2027-03-02",
            "shows.csv row 3: last day 2027-04-19 lies before first day 2027-04-25",
        ],
    ),
    "share-given-back-without-a-day": (
        {
            "shows.csv": "show,place,first_day,last_day,refund_until,refund_share\n"
            '"Oak 1","Tallahassee, FL",2027-04-07,2027-04-11,,0.5\n'
            '"Oak 2","Tallahassee, FL",2027-04-14,2027-04-18,2027-04-01,0\n'
        },
        [
            "shows.csv row 2: refund_share asks for a refund_until",
            "shows.csv row 3, column refund_share: '0' must be above 0 and at most 1",
        ],
    ),
    "class-outside-show": (
        swap("classes.csv", "2027-04-11", "2027-04-12"),
        [
            "classes.csv row 3, column day: '2027-04-12' is outside the show's days "
            "2027-04-07 to 2027-04-11"
        ],
    ),
    "heights-and-ages-in-wrong-order": (
        {
            **swap("horses.csv", "110,130", "130,110"),
            "classes.csv": "show,class,day,height_cm,youngest_horse,oldest_horse\n"
            "Oak 1,A,2027-04-08,120,8,7\n",
        },
        [
            "classes.csv row 2, column oldest_horse: '7' is below youngest_horse 8",
            "horses.csv row 2, column to_height_cm: '110' is below from_height_cm 130",
        ],
    ),
    "place-unknown": (
        swap("shows.csv", "Tallahassee, FL", "Tallahasee, FL"),
        [
            "shows.csv row 2, column place: 'Tallahasee, FL' is no town in the gazetteer (write "
            "latitude and longitude); did you mean 'Tallahassee, FL', 'Tallassee, AL' or "
            "'Tall\u00e5sen, SE'?"
        ],
    ),
    "place-fits-several-towns": (
        swap("shows.csv", '"Tallahassee, FL"', "Millbrook"),
        [
            "shows.csv row 2, column place: 'Millbrook' fits 2 towns (Millbrook, AL; Millbrook, "
            "NY); write 'Town, ST' or latitude and longitude"
        ],
    ),
    "place-in-another-country": (
        {
            "shows.csv": "show,place,country,first_day,last_day\n"
            "Oak 1,Ocala,France,2027-04-07,2027-04-11\nOak 2,home,,2027-04-14,2027-04-18\n"
        },
        [
            "shows.csv row 2, column place: 'Ocala' is no town of France in the gazetteer (write "
            "latitude and longitude); did you mean 'Ocala, FL', 'Oral, KZ' or 'Oca\u00f1a, CO'?"
        ],
    ),
    "place-missing": (
        {
            "shows.csv": "show,latitude,longitude,first_day,last_day\n"
            "Oak 1,,,2027-04-07,2027-04-11\nOak 2,12,,2027-04-14,2027-04-18\n"
        },
        [
            "shows.csv row 2, column place: is empty; write a town, or latitude and longitude",
            "shows.csv row 3, column longitude: is empty; write both or neither",
        ],
    ),
    "off-the-globe": (
        {
            "shows.csv": "show,latitude,longitude,first_day,last_day\n"
            "Oak 1,90.5,0,2027-04-07,2027-04-11\nOak 2,12,-181,2027-04-14,2027-04-18\n"
        },
        [
            "shows.csv row 2, column latitude: '90.5' is off the globe (-90 to 90)",
            "shows.csv row 3, column longitude: '-181' is off the globe (-180 to 180)",
        ],
    ),
    "one-place-at-two-points": (
        {
            "shows.csv": "show,place,latitude,longitude,first_day,last_day\n"
            "Oak 1,Hill,29,-82,2027-04-07,2027-04-11\nOak 2,Hill,30,-82,2027-04-14,2027-04-18\n"
        },
        [
            "shows.csv row 3, column place: 'Hill' has other coordinates than in row 2; "
            "write one place alike"
        ],
    ),
    "one-place-in-two-countries": (
        {
            "shows.csv": "show,place,country,first_day,last_day\n"
            "Oak 1,Paris,FR,2027-04-07,2027-04-11\nOak 2,Paris,CA,2027-04-14,2027-04-18\n"
        },
        [
            "shows.csv row 3, column place: 'Paris' is Paris, FR in row 2 and Paris, ON here; "
            "write them differently"
        ],
    ),
    "show-rules": (
        {
            "shows.csv": GOOD["shows.csv"]
            .replace("entries_close", "rules")
            .replace("2027-03-20", "uss")
        },
        [
            f"shows.csv row 2, column rules: 'uss' is no rule book (there are {BOOKS}); "
            "did you mean 'us'?"
        ],
    ),
    "distances": (
        {
            "distances.csv": "from,to,km,miles,hours\nhom,Oak 1,5,,\nhome,Oak 1,5,6,\n"
            "home,Oak 1,,,\nOak 1,Oak 2,5,,\nhome,Oak 1,far,,\nhome,Oak 1,-5,,0\n"
            "home,Oak 1,5,,\nhome,Oak 2,6,,\n"
        },
        [
            "distances.csv row 2, column from: 'hom' is no place, show or base, nor home; "
            "did you mean 'home'?",
            "distances.csv row 3, column miles: '6' stands beside km: keep one",
            "distances.csv row 4, column km: is empty; write km, miles or hours",
            "distances.csv row 5, column to: 'Oak 2' is the same place as from, 'Oak 1'",
            "distances.csv row 6, column km: 'far' is not a number (written like 1234.5)",
            "distances.csv row 7, column hours: '0' must be above zero",
            "distances.csv row 7, column km: '-5' must not be negative",
            "distances.csv row 9, column to: 'Oak 2' stands already in row 8",
        ],
    ),
    "limit-columns-of-a-horse": (
        {
            "horses.csv": "horse,born,from_height_cm,to_height_cm,no_jump_days,day_off,"
            "travel_rest,worth_floor\nBella,2017,110,130,x,Funday,8-1,2\n"
            "Comet,2015,100,120,1001,,12:1 8:2,\n"
        },
        [
            "horses.csv row 2, column no_jump_days: 'x' is not a whole number",
            "horses.csv row 2, column travel_rest: '8-1' is not hours:days with blanks between "
            "(like 8:1 12:2 24:3)",
            "horses.csv row 2, column day_off: 'Funday' is no day of the week (Monday to Sunday); "
            "did you mean 'Sunday', 'Monday' or 'Friday'?",
            "horses.csv row 2, column worth_floor: '2' must be at most 1",
            "horses.csv row 3, column no_jump_days: '1001' must be at most 1000",
            "horses.csv row 3, column travel_rest: '12:1 8:2' must stand in rising order of hours",
        ],
    ),
    "outings-wanted": (
        {
            "horses.csv": "horse,born,from_height_cm,to_height_cm,outings_wanted\n"
            "Bella,2017,110,130,4-6\nComet,2015,100,120,2027-04-06\nDaisy,2015,100,120,6 to 4\n"
            "Ebony,2015,100,120,5\n",
            **append("shares.csv", "Daisy,Olga Moss,", "Ebony,Olga Moss,"),
        },
        [
            *(
                f"horses.csv row {row}, column outings_wanted: '{value}' is not how many outings "
                "are wanted (`4 to 6`, `from 4` or `to 6`; of 4-6 a spreadsheet makes a date)"
                for row, value in ((2, "4-6"), (3, "2027-04-06"))
            ),
            "horses.csv row 4, column outings_wanted: '6 to 4' at most 4 outings is below at "
            "least 6",
            "horses.csv row 5, column outings_wanted: '5' is not how many outings are wanted "
            "(`4 to 6`, `from 4` or `to 6`; of 4-6 a spreadsheet makes a date)",
        ],
    ),
    "class-worth": (
        swap("yard.toml", "[papers]", '[limits]\nclass_worth = "by-class"\n[papers]'),
        [
            "yard.toml setting limits.class_worth: 'by-class' is none of the same, by class; did "
            "you mean 'by class'?"
        ],
    ),
    "toml-syntax": (
        {"yard.toml": "[yard\nname = 1"},
        [
            "yard.toml: is not TOML: Expected ']' at the end of a table declaration "
            "(at line 1, column 6)"
        ],
    ),
    "toml-syntax-and-a-town-nowhere": (
        {"yard.toml": "[yard\nname = 1", **swap("shows.csv", "Tallahassee, FL", "Qqqqtown, ZZ")},
        [
            "yard.toml: is not TOML: Expected ']' at the end of a table declaration "
            "(at line 1, column 6)",
            "shows.csv row 2, column place: 'Qqqqtown, ZZ' is no town in the gazetteer (write "
            "latitude and longitude)",
        ],
    ),
    "toml-empty": (
        {"yard.toml": ""},
        [
            "yard.toml setting yard.name: is missing",
            "yard.toml setting season.first_day: is missing",
            "yard.toml setting season.last_day: is missing",
            "yard.toml setting yard.place: is missing; write a town, or latitude and longitude",
        ],
    ),
    "toml-unknown-section": (
        toml("[papers]", "[paper]"),
        ["yard.toml setting paper: is no section of yard.toml; did you mean 'papers'?"],
    ),
    "toml-section-as-value": (
        {"yard.toml": "costs = 3\n" + TOML},
        ["yard.toml setting costs: must be a section, written [costs]"],
    ),
    "toml-unknown-key": (
        toml("place =", 'timezon = "UTC"\nplace ='),
        ["yard.toml setting yard.timezon: is no key of [yard]; did you mean 'timezone'?"],
    ),
    "toml-unknown-limit": (
        {"yard.toml": TOML + "[limits]\nno_jump_day = 7\n"},
        [
            "yard.toml setting limits.no_jump_day: is no limit; did you mean 'no_jump_days' "
            "or 'fit_up_days'?"
        ],
    ),
    "toml-wrong-types": (
        {
            "yard.toml": """
[yard]
name = 5
place = true
units = "furlongs"
[season]
first_day = 2027-03-01T08:00:00
last_day = "6 June"
[limits]
no_jump_days = "7"
break_days = 1.5
shows_per_30_days = 0
day_off = "Sonday"
travel_rest = [[8, 1], 12]
worth_floor = inf
[costs]
per_km = -1
vet_check = 9.999
budget = false
[driving]
rules = "uk"
speed_kmh = 0
detour_factor = 0.9
[papers]
rules = "us"
"""
        },
        [
            "yard.toml setting yard.name: '5' is not text (put it in quotation marks)",
            "yard.toml setting yard.place: 'true' is not text (put it in quotation marks)",
            "yard.toml setting yard.units: 'furlongs' is none of km, miles",
            "yard.toml setting season.first_day: '2027-03-01 08:00:00' is not a date (YYYY-MM-DD)",
            "yard.toml setting season.last_day: '6 June' is not a date (YYYY-MM-DD)",
            "yard.toml setting limits.no_jump_days: '7' is not a number (written without "
            "quotation marks)",
            "yard.toml setting limits.break_days: '1.5' is not a whole number",
            "yard.toml setting limits.shows_per_30_days: '0' must be at least 1",
            "yard.toml setting limits.day_off: 'Sonday' is no day of the week (Monday to Sunday); "
            "did you mean 'Sunday', 'Monday' or 'Tuesday'?",
            "yard.toml setting limits.travel_rest: '[[8, 1], 12]' is not a list of [hours, days] "
            "(like [[8, 1], [12, 2]])",
            "yard.toml setting limits.worth_floor: 'Infinity' is not a finite number",
            "yard.toml setting costs.per_km: '-1' must not be negative",
            "yard.toml setting costs.vet_check: '9.999' is not an amount with up to two decimals",
            "yard.toml setting costs.budget: 'false' is not a number (written without quotation "
            "marks)",
            "yard.toml setting driving.rules: 'uk' is none of us, eu, gb, none",
            "yard.toml setting driving.speed_kmh: '0' must be above zero",
            "yard.toml setting driving.detour_factor: '0.9' must be at least 1",
            'yard.toml setting papers.rules: \'us\' is not a list of texts (like ["us", "eu"])',
        ],
    ),
    "toml-pairs-that-exclude-each-other": (
        {
            "yard.toml": TOML
            + "[costs]\nper_km = 1\nper_mile = 2\n[driving]\nspeed_kmh = 70\nspeed_mph = 45\n"
        },
        [
            "yard.toml setting costs.per_mile: stands beside costs.per_km: keep one",
            "yard.toml setting driving.speed_mph: stands beside driving.speed_kmh: keep one",
        ],
    ),
    "toml-season-ends-before-it-starts": (
        toml("2027-06-06", "2027-02-06"),
        ["yard.toml setting season.last_day: '2027-02-06' is before season.first_day 2027-03-01"],
    ),
    "toml-endless-season": (
        toml("2027-06-06", "2029-06-06"),
        [
            "yard.toml setting season.last_day: '2029-06-06' makes a season of 829 days; "
            "the longest is 400"
        ],
    ),
    "toml-unknown-rule-book": (
        toml("rules = []", 'rules = ["us", "uss"]'),
        [
            f"yard.toml setting papers.rules: 'uss' is no rule book (there are {BOOKS}); "
            "did you mean 'us'?"
        ],
    ),
    "toml-place": (
        toml('place = "Ocala, FL"', "latitude = 29"),
        ["yard.toml setting yard.latitude: latitude and longitude must be written both"],
    ),
    "toml-off-the-globe": (
        toml('place = "Ocala, FL"', "latitude = 91\nlongitude = 0"),
        ["yard.toml setting yard.latitude: latitude 91.0 is off the globe (-90 to 90)"],
    ),
    "latin-1": (
        {"horses.csv": GOOD["horses.csv"].replace("Comet", "Com\u00e8te").encode("latin-1")},
        [
            "horses.csv row 3: is not UTF-8 (byte 0xe8); save it as UTF-8 ('CSV UTF-8')",
        ],
    ),
    "latin-1-toml": (
        {"yard.toml": TOML.replace("Mill", "Mühl").encode("latin-1")},
        ["yard.toml row 3: is not UTF-8 (byte 0xfc); save it as UTF-8 ('CSV UTF-8')"],
    ),
    "empty-file": ({"classes.csv": ""}, ["classes.csv row 1: has no header row"]),
    "header-twice": (
        swap("horses.csv", "rider", "born"),
        ["horses.csv row 1, column born: stands in the header more than once"],
    ),
    "cell-beyond-header": (
        swap("horses.csv", "Ana Reed", "Ana Reed,Jr"),
        [
            "horses.csv row 2: 'Jr' stands beyond the 5 columns of the header; put quotation "
            "marks around a cell that holds the separator"
        ],
    ),
    "quotation-mark-left-open": (
        append("classes.csv", 'Oak 2,"Final,2027-04-16,120,50'),
        ["classes.csv row 5: is not CSV from here on (unexpected end of data)"],
    ),
    "missing-file": ({"classes.csv": None}, ["classes.csv: is missing"]),
    "missing-file-near-name": (
        {"classes.csv": None, "class.csv": "a,b"},
        ["class.csv: is not read: it is nearly named like classes.csv; name it so"],
    ),
    "people-missing": (
        {"people.csv": None},
        [
            "horses.csv row 2, column rider: 'Ana Reed' is no rider in people.csv",
            "vehicles.csv row 2, column driver: 'Piet Vos' is no person in people.csv",
        ],
    ),
}


@pytest.mark.parametrize(("files", "messages"), CASES.values(), ids=CASES.keys())
def test_says_what_is_wrong(tmp_path: Path, files: dict, messages: list[str]) -> None:
    """Each fault names file, row, column, what stands there and what was wanted."""
    assert list_faults(tmp_path, files) == messages


def test_reports_every_fault_of_the_folder_at_once(tmp_path: Path) -> None:
    """Faults of all files come in file and row order, and none hides another."""
    files = {
        "yard.toml": TOML.replace("2027-03-01", '"soon"'),
        **swap("shows.csv", "2027-04-18", "2027-04-31"),
        **append("classes.csv", "Oak 9,Opener,x,0,-1", "Oak 1,Last,2027-04-30,100,1"),
        **swap("horses.csv", "2015-05-02,100", "2015-05-02,high"),
        "shares.csv": "horse,owner\nBella,Nobody\n",
        "papers.csv": b"\xff",
    }
    assert list_faults(tmp_path, files) == [
        "yard.toml setting season.first_day: 'soon' is not a date (YYYY-MM-DD)",
        "shows.csv row 3, column last_day: '2027-04-31' is not a date (YYYY-MM-DD)",
        "classes.csv row 5, column day: 'x' is not a date (YYYY-MM-DD)",
        "classes.csv row 5, column height_cm: '0' must be at least 20; heights are written in "
        "centimetres, 120 for 1.20 m",
        "classes.csv row 5, column fee: '-1' must not be negative",
        "classes.csv row 5, column show: 'Oak 9' is no show in shows.csv; did you mean 'Oak 2' "
        "or 'Oak 1'?",
        "classes.csv row 6, column day: '2027-04-30' is outside the show's days 2027-04-07 to "
        "2027-04-11",
        "horses.csv row 3, column from_height_cm: 'high' is not a whole number; heights are "
        "written in centimetres, 120 for 1.20 m",
        "horses.csv row 3, column horse: 'Comet' has no owner in shares.csv",
        "shares.csv row 2, column owner: 'Nobody' is no person in people.csv",
        "papers.csv row 1: is not UTF-8 (byte 0xff); save it as UTF-8 ('CSV UTF-8')",
    ]


def test_a_fault_has_its_parts(tmp_path: Path) -> None:
    """The error's parts can be asked for, not only its text."""
    with pytest.raises(BadYard) as caught:
        read_yard(write_folder(tmp_path, swap("shows.csv", "2027-04-14", "2027-02-30")))
    wanted = state("faults.not-date-yyyymmdd-2", dates=None)
    assert caught.value.errors == (InputError("shows.csv", 3, "first_day", "2027-02-30", wanted),)


def test_a_long_cell_is_quoted_in_part(tmp_path: Path) -> None:
    """A cell of 90 000 characters does not fill the screen."""
    (message,) = list_faults(tmp_path, swap("classes.csv", "72.50", "7" * 90_000))
    assert len(message) < 200


@pytest.mark.parametrize(
    ("line", "setting"),
    [
        ("speed_kmh = " + "9" * 4000, "driving.speed_kmh"),
        ("detour_factor = 0x" + "f" * 5000, "driving.detour_factor"),
        ("rules = 0x" + "f" * 5000, "driving.rules"),
    ],
)
def test_a_number_of_thousands_of_digits_is_a_fault(
    tmp_path: Path, line: str, setting: str
) -> None:
    """Named with its setting, and quoted in part."""
    (message,) = list_faults(tmp_path, append("yard.toml", "[driving]", line))
    assert message.startswith(f"yard.toml setting {setting}: ")
    assert len(message) < 200


def test_an_unreadable_file_makes_no_other_file_wrong(tmp_path: Path) -> None:
    """Where shows.csv cannot be read, no class is blamed for naming an unknown show."""
    assert list_faults(tmp_path, {"shows.csv": b"\xff"}) == [
        "shows.csv row 1: is not UTF-8 (byte 0xff); save it as UTF-8 ('CSV UTF-8')"
    ]


def test_names_three_near_towns_for_each_of_many_unknown_ones(tmp_path: Path) -> None:
    """Many misspelled towns are all reported, each once, however many shows are there."""
    shows = "show,place,first_day,last_day\n" + "".join(
        f'S{i},"Tallahasee{i % 40}, FL",2027-04-07,2027-04-11\n' for i in range(80)
    )
    files = {"shows.csv": shows, "classes.csv": "show,class,day,height_cm\n"}
    assert len(list_faults(tmp_path, files)) == 40


def test_an_empty_folder_lacks_four_files(tmp_path: Path) -> None:
    """yard.toml, shows, classes and horses are the required files (handbook, Files)."""
    with pytest.raises(BadYard) as caught:
        read_yard(tmp_path)
    assert [str(error) for error in caught.value.errors] == [
        "yard.toml: is missing",
        "shows.csv: is missing",
        "classes.csv: is missing",
        "horses.csv: is missing",
    ]


def test_a_folder_that_is_none(tmp_path: Path) -> None:
    """No such folder, and a file in its stead, are told apart."""
    (tmp_path / "file").write_text("")
    nothing, no_yard = (
        "there is no such folder or workbook",
        "is not a folder or a workbook (.xlsx)",
    )
    for name, wanted in (("none", nothing), ("none.xlsx", nothing), ("file", no_yard)):
        with pytest.raises(BadYard) as caught:
            read_yard(str(tmp_path / name))
        assert str(caught.value) == f"{tmp_path / name}: {wanted}"
    with pytest.raises(BadYard):
        read_yard("nul\0byte")


def test_a_huge_file_is_not_read(tmp_path: Path) -> None:
    """A file of 50 MB (sparse) is refused by its size alone."""
    folder = write_folder(tmp_path)
    with open(folder / "classes.csv", "wb") as file:
        file.truncate(50_000_000)
    assert list_faults(folder, {"classes.csv": None, "yard.toml": ""}) == [
        "yard.toml setting yard.name: is missing",
        "yard.toml setting season.first_day: is missing",
        "yard.toml setting season.last_day: is missing",
        "yard.toml setting yard.place: is missing; write a town, or latitude and longitude",
        "classes.csv: is larger than 20 MB (50 MB) and was not read",
    ]


def test_a_folder_in_place_of_a_file(tmp_path: Path) -> None:
    """A folder named shows.csv is no file."""
    (tmp_path / "shows.csv").mkdir()
    assert list_faults(tmp_path, {"shows.csv": None}) == ["shows.csv: is not a file"]


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the system refuses is a fault in the system's words."""

    def refuse(path: Path) -> bytes:
        raise PermissionError(13, "Permission denied", str(path))

    folder = write_folder(tmp_path)
    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(BadYard) as caught:
        read_yard(folder)
    assert "horses.csv: cannot be read (Permission denied)" in str(caught.value).splitlines()


NO_CSV = {name: None for name in GOOD if name.endswith(".csv")}


def test_a_workbook_that_is_none(tmp_path: Path) -> None:
    """A file named .xlsx that is no workbook, one that lacks sheets, and two of them."""
    assert list_faults(tmp_path / "a", {**NO_CSV, "y.xlsx": b"PK nonsense"}) == [
        "y.xlsx: is not an .xlsx workbook"
    ]
    book = Workbook()
    folder = tmp_path / "b"
    folder.mkdir()
    book.save(folder / "y.xlsx")
    assert list_faults(folder, NO_CSV) == ["y.xlsx: holds no rows"]
    book.active.title = "shows"
    book.active.append(["show", "place", "first_day", "last_day"])
    book.active.append(["Oak 1", "Ocala, FL", 46000.5, "2027-04-11"])
    book.save(folder / "y.xlsx")
    assert list_faults(folder, NO_CSV) == [
        "y.xlsx sheet shows row 2, column first_day: '46000.5' is not a date (YYYY-MM-DD): "
        "write 2025-12-09",
        "classes.csv: is missing",
        "horses.csv: is missing",
    ]
    book.save(folder / "z.xlsx")
    assert list_faults(folder, NO_CSV) == [
        "y.xlsx: is one of several workbooks (y.xlsx, z.xlsx); keep one"
    ]


@settings(
    max_examples=150,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    st.one_of(
        st.binary(max_size=300),
        st.text(max_size=300).map(str.encode),
        st.lists(st.text(alphabet='Oak12,;"\n\r\t -0.é\0', max_size=60), max_size=6).map(
            lambda lines: "\n".join(["show,place,first_day,last_day", *lines]).encode()
        ),
    )
)
@pytest.mark.parametrize("name", ["shows.csv", "yard.toml", "shows.ics", "distances.csv"])
def test_arbitrary_bytes_raise_nothing_but_bad_yard(
    tmp_path: Path, name: str, content: bytes
) -> None:
    """Whatever stands in a file, the answer is a yard or `BadYard`."""
    folder = write_folder(tmp_path, {name: content})
    try:
        faults = None if read_yard(folder).name else ()
    except BadYard as error:
        faults = error.errors
    assert faults is None or (faults and all(fault.wanted for fault in faults))
