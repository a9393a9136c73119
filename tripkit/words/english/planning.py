"""Why a planner leaves something out, and why it finds nothing."""

SENTENCES = {
    "planning.no-class-fits": "no class fits",
    "planning.no-days": "no days to come and go fit stabling and absences",
    "planning.no-lorry-to-bring": "no lorry is there to bring {horse}",
    "planning.no-lorry-to-fetch": "no lorry is there to fetch {horse}",
    "planning.scratched": "{name} was scratched",
    "planning.starts-a-day": "{horse} may start {times} a day",
    "planning.starts-a-show": "{horse} may start {times} a show",
    "planning.once": "once",
    "planning.twice": "twice",
    "planning.times": "{count} times",
    "planning.outside-season": "{day} lies outside the season",
    "planning.away": "{who:* and } is away on {day}",
    "planning.not-cleared": "the last vet check says not cleared",
    "planning.fit": "back in work {since}, may show from {fit_day}",
    "planning.closed": "entries closed on {until}",
    "planning.not-ahead": "{day} is not after today",
    "planning.nobody-fits": "nobody fits to ride",
    "planning.has-left": "{horse} has left {show}",
    "planning.has-been": "{horse} has been at {show}",
    "planning.other-tour": "{show} is of the tour {tour}",
    "planning.forbidden": "forbidden by the manager",
    "planning.bar": "{rule}: {why}",
    "planning.bars": "{bars:*; }",
    "planning.stopped": "stopped before anything was found",
    "planning.without-rule": "{rule}: without this rule a circuit would fit",
    "planning.without-demand": "{demand}: without this rule a circuit would fit",
    "planning.without-budget": (
        "the budget of {budget_cents}: without this rule a circuit would fit"
    ),
    "planning.entries-kept": "entries that every plan must keep: {outings:*; }",
    "planning.outing": "{horse} at {show}",
    "planning.several-rules": "no single rule is to blame: several collide at once",
    "planning.none-exists": "no circuit keeps every rule",
    "planning.none-in-time": (
        "time ran out before a plan was found; give it more (plan --seconds)"
    ),
}
