"""What a wish names that the yard has not."""

SENTENCES = {
    "wishes.no-kind": "{kind:quoted} is no kind of wish",
    "wishes.no-horse": "{horse:quoted} is no horse of the yard",
    "wishes.no-show": "{show:quoted} is no show of the calendar",
    "wishes.nobody": "{who:quoted} is no horse, person or vehicle of the yard",
    "wishes.no-tour": "{tour:quoted} is no tour of the calendar",
}
