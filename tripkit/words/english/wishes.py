"""What is wished of the next plan, what it names that the yard has not, what was not kept."""

SENTENCES = {
    "wishes.no-kind": "{kind:quoted} is no kind of wish",
    "wishes.no-horse": "{horse:quoted} is no horse of the yard",
    "wishes.no-show": "{show:quoted} is no show of the calendar",
    "wishes.nobody": "{who:quoted} is no horse, person or vehicle of the yard",
    "wishes.no-tour": "{tour:quoted} is no tour of the calendar",
    "wishes.held": "{horse} goes to {show}",
    "wishes.forbidden": "{horse} does not go to {show}",
    "wishes.away": "{who} is not to be had, {days:weekday}",
    "wishes.budget": "at most {budget_cents} in all",
    "wishes.often": "at most {count} {count:outing|outings} of a horse in 30 days",
    "wishes.tour": "new entries to the {tour} tour and single shows only",
    "wishes.not-held": "{horse} at {show}, not in {circuits}: {reason}",
    "wishes.not-forbidden": (
        "{horse} at {show} was not forbidden: its entries are sent. Scratch them first."
    ),
    "wishes.not-found-in-time": "no circuit with it was found in the time given",
}
