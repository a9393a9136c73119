"""What to do about a paper, and by when."""

SENTENCES = {
    "actions.ask-new": "Ask for a new one from {first} to {last}.",
    "actions.ask-in-haste": "Ask for a new one in haste from {first} to {last}.",
    "actions.begin-course": (
        "The course begins again: first dose from {first} to {last}, the second {gap} later, "
        "at least {shut_days} before arrival."
    ),
    "actions.begin-log": "Begin on {day}.",
    "actions.give-dose": "Give the next dose from {first} to {last}.",
    "actions.have-given": "Have one given from {first} to {last}.",
    "actions.move": "Move the appointment.",
    "actions.move-earlier": "Move the appointment to an earlier day.",
    "actions.renew": "Renew it by {last}.",
    "actions.scratch": "Scratch, or raise the cap.",
}
