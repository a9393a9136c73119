"""What doses are worth on a day of arrival."""

SENTENCES = {
    "vaccination.covers": "the dose of {given} covers arrivals to {end} ({amount}).",
    "vaccination.too-short": (
        "the dose of {given} covers arrivals to {end} ({amount}), not {arrive}."
    ),
    "vaccination.first-only": "only the first dose of a course ({given}) counts.",
    "vaccination.early": "The dose of {given} came too early after {before}.",
    "vaccination.late": "The dose of {given} came too late after {before}.",
    "vaccination.single": "One dose is written; the passport must show the course before it.",
    "vaccination.shut": "the dose of {given} lies within {shut_days} before {arrive}.",
    "vaccination.without": "Without it: {reason}",
    "vaccination.too-late": (
        "Barred: today, {today}, is too late for a dose {shut_days} before {arrive}."
    ),
    "vaccination.not-before": "Barred: the next dose may not be given before {first}.",
    "vaccination.broken": "Barred: the course is broken.",
    "vaccination.no-course": (
        "Barred: a new course takes {gap_days} between two doses and {shut:number} after."
    ),
    "vaccination.course-first": "First dose of the new course.",
    "vaccination.course-second": "Second dose of the new course.",
    "vaccination.no-day-at-home": (
        "No day is left on which the horse stands at home and no arrival follows within "
        "{shut_days}."
    ),
}
