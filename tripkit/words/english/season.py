"""What a circuit costs, line by line, and how two circuits differ."""

SENTENCES = {
    # lines of a bill
    "season.of-class": "class {name}",
    "season.stall": "stall on the grounds",
    "season.entries-closed": "entries closed {day}",
    "season.drive": "{vehicle}, {start} to {end}, {road_km:tenths}{empty}{parts}",
    "season.car": "{name}, {start} to {end}, {road_km:tenths}{parts}",
    "season.empty": ", empty",
    "season.school-alone": (
        "{horse}: {count} {count:school|schools} with none of its riders there, the first on {on}"
    ),
    "season.one-of-parts": ", one of {count} parts",
    "season.night-outside": "{place}, the night of {on}, outside the stabling days",
    "season.nights": "{vehicle}, {start} to {end}, {count} {count:night|nights}",
    "season.nights-at-base": "{base}, {count} {count:night|nights}",
    "season.nights-of-crew": (
        "{vehicle}, {start} to {end}, {count} {count:night|nights}, crew{parts}"
    ),
    "season.days-of": "{who}, {count} {count:day|days}{shared}",
    "season.of-them-shared": ", {count} of them shared",
    "season.after": "after {show}",
    "season.entry-lost": "{horse} at {show}, {name}: {why}; {risk_cents} at risk",
    "season.lack": "{horse}{whose}: {have} of {wanted} outings that are wanted",
    "season.whose": " of {owners:and}",
    # two circuits side by side
    "season.more": "more",
    "season.less": "less",
    "season.nobody": "nobody",
    "season.the-yard": "The yard",
    "season.no-plan-so-the-left-stays": "{right} has no plan, so {left} stays.",
    "season.no-plan-either": "{right} has no plan, and {left} has none either.",
    "season.counts-as-home": "{left} has no plan: it counts as staying at home.",
    "season.nobody-goes": "No horse goes anywhere in {right} or in {left}.",
    "season.all-the-same": (
        "{right} and {left} send the same horses to the same classes at the same cost: nothing is "
        "gained or paid."
    ),
    "season.gains": (
        "{right} instead of {left} gains {worth:2} of worth ({now:2} instead of {before:2})."
    ),
    "season.gives-up": (
        "{right} instead of {left} gives up {worth:2} of worth ({now:2} instead of {before:2})."
    ),
    "season.costs": (
        "{right} instead of {left} costs {cost_cents} more ({now_cents} instead of {before_cents})."
    ),
    "season.saves": (
        "{right} instead of {left} saves {cost_cents} ({now_cents} instead of {before_cents})."
    ),
    "season.each-point-costs": "Each point of worth costs {each_cents}.",
    "season.each-point-saves": "Each point of worth given up saves {each_cents}.",
    "season.meets": "{right} also meets {aims:*; }.",
    "season.meets-no-longer": "{right} no longer meets {aims:*; }.",
    "season.goes-but": "{aim} (still goes, but {lacks:and})",
    "season.unprepared": "unprepared",
    "season.not-qualified": "not qualified",
    "season.not-in-that-class": "not in that class",
    "season.lorries-drive": (
        "The lorries drive {road_km:tenths} {more} ({now_km:tenths} instead of {before_km:tenths})."
    ),
    "season.on-the-road": (
        "The horses spend {count:2} {count:hour|hours} {more} on the road ({now:2} instead of "
        "{before:2})."
    ),
    "season.nights-away": (
        "The horses spend {count:2} {count:night|nights} {more} away ({now:2} instead of "
        "{before:2})."
    ),
    "season.gap-where-none-was": (
        "The tightest gap between two outings has {count:2} {count:spare day|spare days}; in "
        "{left} no horse has two outings."
    ),
    "season.no-gap": "In {right} no horse has two outings, so there is no gap to count.",
    "season.gap": (
        "The tightest gap between two outings has {count:2} {count:spare day|spare days} instead "
        "of {before:2}."
    ),
    "season.for": ", for {cost_cents} {more}",
    "season.goes-instead": "{horse} goes to {new:and} instead of {gone:and}{money}.",
    "season.goes-also": "{horse} also goes to {new:and}{money}.",
    "season.goes-no-longer": "{horse} no longer goes to {gone:and}{money}.",
    "season.at": "{horse} at {show}: {changes}{money}.",
    "season.classes-instead": "{new:and} instead of {gone:and}",
    "season.classes-also": "also {new:and}",
    "season.classes-without": "without {gone:and}",
    "season.ridden-by": "ridden by {rider} instead of {before}",
    "season.there-from": "there from {arrive} instead of {before}",
    "season.leaves-on": "leaves on {leave} instead of {before}",
    "season.jumps-from": "jumps from {first} to {last}",
    "season.pays": ("{owner} pays {cost_cents} {more} ({now_cents} instead of {before_cents})."),
    "season.rider-away": (
        "{rider} is away {count:2} {count:day|days} {more} ({now:2} instead of {before:2})."
    ),
    "season.first-to-close": "The first entries to send close on {closes} for {show}{instead}.",
    "season.instead-of-closing": " instead of {closes} for {show}",
    "season.nothing-to-send": "No entries are left to send; {show} would close on {closes}.",
    "season.late-fees": "Late fees come to {now_cents} instead of {before_cents}.",
    "season.weeks": (
        "Horses show elsewhere in {count} of {weeks} {weeks:week|weeks}, first in the week of "
        "{first}."
    ),
}
