"""What breaks the law in a driver's log, or on a horse's journey."""

SENTENCES = {
    "logbook.nobody-named": "unnamed driver",
    "logbook.driver-of": "{driver} of {vehicle}",
    "logbook.minute": "day {day:number} {clock}",
    "logbook.overlap": "an entry begins {at}, before the last one ends",
    # Regulation (EC) No 561/2006
    "logbook.eu-break": (
        "drives {driven_minutes} since {since} without a break of {break_minutes}, or "
        "{first_minutes:number} and then {second_minutes:number}, and may drive {most_minutes}"
    ),
    "logbook.eu-long-days": (
        "drives {driven_minutes} from {since} to the next rest, the "
        "{rank}{rank:ordinal|st|nd|rd|th} day over {most_minutes} in the week, and {allowed} are "
        "allowed"
    ),
    "logbook.eu-day": (
        "drives {driven_minutes} from {since} to the next rest, and may drive {most_minutes} at "
        "most"
    ),
    "logbook.eu-daily-rest": (
        "rests {rest_minutes} of the {within_minutes} from {since}, and must rest "
        "{asked_minutes}{over}"
    ),
    "logbook.eu-reduced-rests": (
        ": it would be the {rank}{rank:ordinal|st|nd|rd|th} reduced daily rest since the weekly "
        "rest, and {allowed} are allowed"
    ),
    "logbook.eu-week": "drives {driven_minutes} in a week, and may drive {most_minutes}",
    "logbook.eu-fortnight": (
        "drives {before_minutes} in one week and {driven_minutes} in the next, and may drive "
        "{most_minutes} in two"
    ),
    "logbook.eu-weekly-rest-late": (
        "begins no weekly rest within six days of the one that ended {since}"
    ),
    "logbook.eu-weekly-rests-short": (
        "weekly rests of {first_minutes} and {second_minutes} in a row, and every second has "
        "{asked_minutes}"
    ),
    # Domestic rules of Great Britain
    "logbook.gb-driving": (
        "drives {driven_minutes} in the day from {since}, and may drive {most_minutes}"
    ),
    "logbook.gb-duty": (
        "is on duty {duty_minutes} in the day from {since}, and may be {most_minutes} in a week "
        "with more than {little_minutes} of driving on a day"
    ),
    # 49 CFR 395
    "logbook.us-driving": (
        "drives {driven_minutes} since the rest that ended {since}, and may drive {most_minutes} "
        "after {rest_minutes} off duty"
    ),
    "logbook.us-window": (
        "drives until {until}, {passed_minutes} after coming on duty {since}; the {most_minutes} "
        "ended {ended}"
    ),
    "logbook.us-break-driven": (
        "drives until {until} with {used_minutes} of driving since {since}; after {after_minutes} "
        "a break of {break_minutes} without driving is due"
    ),
    "logbook.us-break-elapsed": (
        "drives until {until} with {used_minutes} passed since {since}; after {after_minutes} "
        "a break of {break_minutes} off duty or in the berth is due"
    ),
    "logbook.us-cycle": (
        "drives with {duty_minutes} on duty since {since}, and may drive up to {most_minutes} in "
        "{cycle_days}"
    ),
    # Horses on the road
    "logbook.us-confined": (
        "confined {confined_minutes} since {since} without {rest_minutes} unloaded, and may be "
        "{most_minutes}"
    ),
    "logbook.eu-journey": (
        "travels {travel_minutes} since {since} without {rest_minutes} unloaded, and may travel "
        "{most_minutes}"
    ),
    "logbook.eu-water": (
        "has no liquid from {since} to {until}, and must have it every {most_minutes}"
    ),
}
