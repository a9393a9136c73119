"""What a show asks besides papers: entries, starts, where a horse has been."""

SENTENCES = {
    "paperwork.entries": "entries",
    "paperwork.starts": "starts",
    "paperwork.shows": "shows",
    "paperwork.unsanctioned": "unsanctioned event",
    "paperwork.no-closing": "shows.csv names no closing date.",
    "paperwork.late-closing": "shows.csv says {day}.",
    "paperwork.one-state": "Asked for {region}: the states on the way are not known here.",
    "paperwork.started": "started on {day}.",
    "paperwork.no-passport": "not compulsory at {level} in {country}.",
    "paperwork.show-cap": "{count} entries, and at most {most} a show by the yard's own cap.",
    "paperwork.day-cap": (
        "{count} entries on {day}, and at most {most} a day by the yard's own cap."
    ),
    "paperwork.shown": "{count} in {year} before this one.",
    "paperwork.twice": "sent or paid for {show} and for {others} on the same days.",
}
