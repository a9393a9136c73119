"""What an organiser's calendar changes in the yard's files, what stays, what stands against it."""

SENTENCES = {
    "merging.show": "{name}, {days}{place}",
    "merging.place": ", {place}",
    "merging.was": "was {show}",
    "merging.unchanged": "{count:plain} {count:show|shows} unchanged.",
    # what moves with a show
    "merging.move": "{what}: {after}, was {before}",
    "merging.class": "class {class_name} of {show} ({file} row {row:plain})",
    "merging.date": "{column} of {show} ({file} row {row:plain})",
    # what stays, and why
    "merging.name-stays": (
        "{show}, which the organiser now calls {name}: keeps its name, because the yard's files "
        "call it so; {file} row {row:plain} says that both are one"
    ),
    "merging.rows-stay": "{rows}: kept, and not read while {show} is cancelled",
    "merging.days-stay": (
        "{show}, {days:* to }: kept, because {file} row {row:plain} says so; empty "
        "{columns:* and } there to take the organiser's days"
    ),
    "merging.place-stays": "{show}, {place}: kept, because {file} row {row:plain} says so",
    "merging.qualifies-by": (
        "{horse} qualifies for {show} by {day}: kept, because {file} row {row:plain} says so"
    ),
    # what stands against it
    "merging.rows": "{file} row {row:plain}{more}",
    "merging.one-name": "one name stands for several shows: {shows:*; }",
    "merging.still-named": (
        "{rows} still names {show}: delete it where the show is not held, then import again"
    ),
}
