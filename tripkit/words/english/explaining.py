"""Why a horse goes somewhere or not, what it does on a day, and where a figure comes from."""

SENTENCES = {
    # why nobody goes anywhere
    "explaining.no-lorry": "the yard has no lorry (vehicles.csv)",
    "explaining.no-rider": "the yard has no rider (people.csv)",
    "explaining.all-past": "every show is past",
    "explaining.bar-of-some": "{bar} ({count})",
    "explaining.bar-of-pairs": "{bar} ({count} of {pairs} pairs of a horse and a show)",
    "explaining.rest-is-idle": "what is left is worth nothing or breaks a rule of the season",
    "explaining.rest-costs-too-much": (
        "what is left costs more than {budget_cents}, is worth nothing or breaks a rule of the "
        "season"
    ),
    "explaining.no-fitting-height": "no class of a fitting height",
    # how a horse travels, and what keeps a lorry
    "explaining.way-none": "with no lorry",
    "explaining.way-aboard": "with {vehicle}",
    "explaining.way-extra": "with an extra run of {vehicle}",
    "explaining.way-brought": "brought by an extra run of {vehicle}",
    "explaining.way-fetched": "fetched by an extra run of {vehicle}",
    "explaining.way-both": "{there}, home {home}",
    "explaining.way-on-the-grounds": "{way}, on the grounds for {shows:* and }",
    "explaining.lorry-full": (
        "{vehicle} drives from {start} to {end} on {day} with 0 of {places} places free"
    ),
    "explaining.lorry-away": "{vehicle} is away {first} to {last}{why}",
    "explaining.because": " ({reason})",
    "explaining.lorry-on-a-run": "{vehicle} is on a run to {shows} {first} to {last}",
}
