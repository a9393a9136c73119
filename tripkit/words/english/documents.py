"""What tests, documents and certificates are worth on the days of a stay or journey."""

SENTENCES = {
    "documents.holds": "that of {given} holds to {end}.",
    "documents.too-short": "that of {given} holds to {end}, needed to {needed}.",
    "documents.too-late": "Barred: no new one is to be had in time from {today}.",
    "documents.bought-early": "If it was bought for {year}, write valid_until.",
    "documents.certificate-there": "health certificate for the way there",
    "documents.certificate-home": "health certificate for the way home",
    "documents.no-row": "no row in papers.csv.",
    "documents.holds-by-rule": "that of {given} holds to {end} ({amount}).",
    "documents.journey-too-short": "that of {given} holds to {end}, needed on {needed}.",
    "documents.no-day-left": "Barred: no day is left for a new one.",
    "documents.since": "Since {latest}.",
    "documents.lived": "since {since}, asked since {latest}.",
    "documents.lived-too-short": "since {since}, and asked since {latest}.",
    "documents.readings": ", {count} readings a day",
    "documents.log-written": "{first} to {last}{often}: written.",
    "documents.log-missing": (
        "{first} to {last}{often}: unknown, because no row in papers.csv for {day}."
    ),
    "documents.log-asked": "{first} to {last}{often}.",
    "documents.no-end": "written without valid_until.",
    "documents.holds-needed": "holds to {end}, needed to {needed}.",
    "documents.no-day": "No day is left for it.",
    "documents.no-day-at-home": "No day is left on which the horse stands at home.",
    "documents.day-near": "{day}: at home, within {last_days} before {limit}.",
    "documents.day-early": (
        "{day}: at home before {limit}; later the horse is away, near a show, or seen anyway."
    ),
}
