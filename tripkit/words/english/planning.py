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
    "planning.leaves-out-cars": "what riders' own cars cost is not weighed against the rest",
    "planning.stopped": "stopped before anything was found",
    "planning.without-rule": "{rule}: without this rule a circuit would fit",
    "planning.without-demand": "{demand}: without this rule a circuit would fit",
    "planning.without-budget": (
        "the budget of {budget_cents}: without this rule a circuit would fit"
    ),
    "planning.no-lorry": "the yard has no lorry (vehicles.csv)",
    "planning.no-rider": "the yard has no rider (people.csv)",
    "planning.all-past": "every show is past",
    "planning.bar-of-pairs": "{bar} ({count} of {pairs} pairs of a horse and a show)",
    "planning.no-fitting-height": "no class of a fitting height",
    "planning.rules": "{rules:*; }",
    "planning.entry": "{horse} at {show}, {name}",
    "planning.entry-loses": "{horse} at {show}, {name} (dropping it loses {lost_cents})",
    "planning.entries-clash": "{entries:*; }: {why}",
    "planning.clash": "{why}; kept instead: {others:*; }",
    "planning.entries-kept": "entries that every plan must keep: {outings:*; }",
    "planning.outing": "{horse} at {show}",
    "planning.several-rules": "no single rule is to blame: several collide at once",
    "planning.leaves-out-drives": "more than two drives of a lorry on a day",
    "planning.leaves-out-change": (
        "a horse that changes lorries or stays for a night where it has no outing, or is aboard "
        "for more than a day while its lorry calls"
    ),
    "planning.leaves-out-home": "a horse that comes home and goes out again on the same day",
    "planning.leaves-out-carry": (
        "hours of the drive that brought a horse, where it drives on at once: the most are counted"
    ),
    "planning.leaves-out-bases": (
        "a horse that comes to a base, or home from one, by a long drive and goes on at once, is "
        "aboard at a call on such a way, or goes to a base without a class at one later"
    ),
    "planning.leaves-out-base-days": (
        "horses moved between home and a base on other days than Mondays and Thursdays"
    ),
    "planning.leaves-out-hours": (
        "a horse that leaves before the latest class that it could jump on the day, or comes after "
        "the earliest"
    ),
    "planning.leaves-out-empty": (
        "an empty lorry on another day than it loads or unloads, the day before or the day after"
    ),
    "planning.leaves-out-absent": "{vehicle} sent to where it is absent",
    "planning.none-exists": "no circuit keeps every rule",
    "planning.none-in-time": (
        "time ran out before a plan was found; give it more (plan --seconds)"
    ),
}
