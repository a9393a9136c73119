"""Why nothing drives, or why it comes later."""

SENTENCES = {
    "driving.no-lorry": "the yard has no lorry",
    "driving.no-road": "no road is known between {start} and {end}; write it into distances.csv",
    "driving.road-unknown": "no road is known between {start} and {end}",
    "driving.no-timetable": "no lawful timetable is known between {start} and {end}",
    "driving.no-drive": "{hours:4} h are no drive by road",
    "driving.stables-shut": (
        "the stables take horses from {opens:clock} to {closes:clock}, and nobody arrives after "
        "{until:clock}"
    ),
    "driving.day-too-short": (
        "no lawful timetable of {hours:4} h is known: the hours of a day are too short"
    ),
    "driving.too-long": "{hours:4} h of driving do not fit into {most_days}: {why}",
    "driving.hours-of-the-day": (
        "nobody loads before {load:clock}, and horses arrive from {opens:clock} to {closes:clock}"
    ),
    "driving.horse-hours": "the horses travel at most {hours:4} h a day, halts included",
    "driving.two-drivers": "what two drivers may drive in a day ({source})",
    "driving.one-driver": "a driver drives at most {hours:4} h a day ({source})",
}
