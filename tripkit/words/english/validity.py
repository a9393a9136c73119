"""How long a paper holds."""

SENTENCES = {
    "validity.months-and-days": "{months} months and {days} days",
    "validity.days-from-to": "{low} to {high} days",
    "validity.calendar-year": "the calendar year",
    "validity.amount": "{value} {unit}",
    "validity.days": "days",
    "validity.business-days": "business days",
    "validity.months": "months",
    "validity.years": "years",
    "validity.hours": "hours",
}
