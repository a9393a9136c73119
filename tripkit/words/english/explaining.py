"""Why a horse goes somewhere or not, what it does on a day, and where a figure comes from."""

SENTENCES = {
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
    # questions and answers
    "explaining.today": "{day} ({where})",
    "explaining.at-of": " at {show}",
    "explaining.name-of": ", {name}",
    "explaining.of-horse": " of {horse}",
    "explaining.barred": "barred",
    "explaining.due": "due",
    "explaining.in-order": "in order",
    "explaining.not-known": "not known",
    "explaining.finding": "{rule} of {who}{at}{name} is {answer}.",
    "explaining.why-finding": "Why is {rule} of {who}{at}{name} {answer}?",
    "explaining.last-useful-day": "The last useful day is {due_by}.",
    "explaining.any-day": "Any day from {window} will do.",
    "explaining.show-named": "{show} ({name})",
    "explaining.last-outing": "its last outing",
    "explaining.does-it-go": "Does {horse} go to {show} in {circuit}?",
    "explaining.why-in": "Why does {horse} go to {show} in {circuit}?",
    "explaining.why-not": "Why does {horse} not go to {show} in {circuit}?",
    "explaining.no-plan": "{circuit} has no plan ({status}).",
    "explaining.no-class": "{horse} cannot go to {show}: no class there fits.",
    "explaining.possible": "{horse} could go to {show} besides: {change}.",
    "explaining.never": "{horse} cannot go to {show}, whatever else it does: {rules:and}.",
    "explaining.not-now": (
        "{horse} cannot go to {show} as the season stands: {rules:and}.{possible}"
    ),
    "explaining.possible-without": " Possible if {shows:and} {count:is|are} left out: {change}.",
    "explaining.goes": "{horse} goes to {show}, {outing}: {why}.",
    "explaining.went": "{horse} went to {show}, {outing}: {why}.",
    "explaining.outing": "{classes} with {rider} {on}, away {arrive} to {leave}",
    "explaining.on-day": "on {day}",
    # what an outing changes
    "explaining.change": "{parts}",
    "explaining.change-of-worth": "worth {worth:+4}",
    "explaining.more-cost": "{cost_cents} more",
    "explaining.less-cost": "{cost_cents} less",
    "explaining.more-road": "{road_km:tenths} more road",
    "explaining.less-road": "{road_km:tenths} less road",
    "explaining.meets-aims": "meets {aims:*; }",
    "explaining.loses-aims": "loses the {count:aim|aims} {aims:*; }",
    # why it goes there
    "explaining.aim-there": "an aim of the season is met there",
    "explaining.entry-sent": "its entry is sent or paid",
    "explaining.is-over": "it is over, and every plan keeps what was lived",
    "explaining.has-begun": "it has begun, and every plan keeps what was lived",
    "explaining.aim-needs-it": "the aim {aim} needs it",
    "explaining.keeps-the-floor": (
        "its worth of {worth:4} helps to keep {share:percent} of the most worth"
    ),
    "explaining.worth-it": "it is worth {worth:4} and breaks no rule",
    "explaining.adds-up-to": "Worth {added} = {worth:4}.",
    "explaining.entry-kept": "{name} is {status}{paid}, so every plan keeps it.",
    "explaining.paid": " ({paid_cents})",
    "explaining.met": "met",
    "explaining.not-met": "not met",
    "explaining.aim-at": "Aim {aim}, importance {importance:4}: {met}; {reason}",
    "explaining.aim-lost": "Without it the aim {aim} would not be met: {reason}.",
    "explaining.left-out": "Left out, the season changes by {change}.",
    "explaining.left-out-no-lorry": (
        "Left out, no lorry is free to bring it to {shows:and} and home in time."
    ),
    "explaining.other-outings": "its other outings",
    "explaining.left-out-breaks": "Left out, it would break a rule: {broken}",
    "explaining.costs": "Costs {cost_cents}.",
    "explaining.costs-in-parts": "Costs {cost_cents}: {parts}",
    "explaining.cost-of-kind": "{kind} {part_cents}",
    "explaining.gap-after": "{clear} after {show}, needs {needed}.",
    "explaining.gap-before": "{clear} before {show}, needs {needed}.",
    # no class fits
    "explaining.misfit": "{classes}: {reason}.",
    "explaining.no-class-offered": "{show} offers no class.",
    "explaining.with-another-height": (
        "What would have to change: with {column} {height} it could jump {classes:and}."
    ),
    # it could go there
    "explaining.travels": "It travels {way}.{new}",
    "explaining.new-drives": " New drives: {legs:*; }.",
    "explaining.new-drive": "{day} {start} to {end}, {road_km:tenths}{empty}",
    "explaining.and-empty": ", empty",
    "explaining.to-be-done": "To be done{by}: {reason}",
    "explaining.by-day": " by {day}",
    "explaining.only-with": (
        "Only with {classes:and}; {others:and} would break a rule or more starts than it may have "
        "a day."
    ),
    "explaining.saving-goal": (
        "{circuit} looks for the {goal}: it keeps at least {share:percent} of the most worth and "
        "then saves, so what is not needed is left out."
    ),
    "explaining.other-tour": (
        "{circuit} sends no new entry to a tour other than {tour}; {show} is of the {other} tour."
    ),
    "explaining.beyond-the-proof": (
        "{circuit} is the best of its kind, and this is worth {worth:4} more. Its proof leaves "
        "out: {left_out:*; }."
    ),
    "explaining.within-the-bound": (
        "It brings no more than the bound allows; the plan is good enough without it."
    ),
    "explaining.not-come-to": (
        "{circuit} is {status}, so there may be a better plan: the planner's time was up before it "
        "had tried one with this. With more seconds it may find one."
    ),
    # rules are broken
    "explaining.no-lorry-can": (
        "No lorry can bring it on {arrive} and home on {leave}: {obstacles:*; }"
    ),
    "explaining.same-days": (
        "{horse} would be at {before} and {after} on the same days; between two outings it needs "
        "{needed_days}"
    ),
    "explaining.gap-between": "{clear} after {before} before {after}, needs {needed}",
    "explaining.show-worth": "{show} (worth {worth:4})",
    "explaining.with-left-out": (
        "With {outings:and} left out it keeps every rule: {outing}, {way}."
    ),
    "explaining.what-must-change": "What would have to change: {changes:*; and }.",
    "explaining.if-taken-late": "if the organiser still takes an entry (they ended on {until})",
    "explaining.if-cleared": "if the vet clears the horse in time",
    "explaining.if-rider-is-free": "if {person} rode nothing else on those days{other}",
    "explaining.or-another-rider": ", or another rider who fits were free",
    "explaining.if-there": "if {who} were there on {day}",
    "explaining.if-a-place-more": "if {show} had a place more, or another horse stayed at home",
    "explaining.if-a-lorry": "if a lorry with a place were free on those days",
    "explaining.if-a-road": "if the way stood in distances.csv",
    "explaining.if-the-budget": "if the budget were {cost_cents}",
    "explaining.if-not-at": "if it did not go to {shows:and}{but}",
    "explaining.though-sent": " ({shows:and} is sent or paid, though)",
    # days
    "explaining.what-day": "What does {horse} do on {weekday} {day}, and why?",
    "explaining.no-line": "{circuit} has no line for {horse} on that day.",
    "explaining.line": "{horse}: {does:and}, {where}.",
    "explaining.at-home": "at home",
    "explaining.on-the-road": "on the road",
    "explaining.at-show": "at {show}",
    "explaining.at-base": "at {base}",
    "explaining.lives-at-base": "It has a box at {base}, which is open {days}.",
    "explaining.drive-between-homes": "It moves between the places where it lives.",
    "explaining.past-start": "A start of the past, from the results.",
    "explaining.start": "{name} at {show} with {rider}, {height} cm",
    "explaining.entry": "The entry is {status}.",
    "explaining.aim-of-day": "An aim of the season, {met}: {aim}",
    "explaining.between-classes": "Between its classes at {show}.",
    "explaining.drive": (
        "{vehicle} from {start} to {end}, {depart} to {arrive}, {road_km:tenths}, {hours:4} h"
        "{others}{crew}"
    ),
    "explaining.with": ", with {horses:and}",
    "explaining.driven-by": ", driven by {people:and}",
    "explaining.drive-home": (
        "The drive home leaves at the earliest on the day after the last class."
    ),
    "explaining.arrival": (
        "It arrives {lead_days} before its first class at {show}; asked are {asked}{rest}."
    ),
    "explaining.rest-included": ", {rest_days} of rest after the drive included",
    "explaining.school-before": (
        "Before {show}, which begins {ahead_days} later; each outing is to have {asked} before "
        "it, and an easy day after it."
    ),
    "explaining.school-after": (
        "{after_days} after {show}: the {limit} days without jumping are over."
    ),
    "explaining.schools": (
        "Schools come about every {every_days}, and never more than {longest} days pass without a "
        "school or class."
    ),
    "explaining.check-after": (
        "After {show}: {why}, within {within} days of coming home or on the grounds."
    ),
    "explaining.every-so-many": "outing number {number}, and every {every} ask for a check",
    "explaining.last-of-tour": "the last of the {tour} tour",
    "explaining.look-again": "The vet asked on {asked} to look again by {by}.",
    "explaining.blood": "Blood is drawn for {show}: {reason}",
    "explaining.vet-looks": "The vet looks at the horse.",
    "explaining.dose-due": "A dose is due for a later show.",
    "explaining.dose-for": "For {show}: {reason}",
    "explaining.dose-at-home": (
        "It is given at home, at least 7 days before an arrival; that day and the {quiet} days "
        "after it have no school."
    ),
    "explaining.away": "Away {days}{why}.",
    "explaining.not-cleared": "Not cleared by the vet check of {day}. The vet decides.",
    "explaining.not-in-work": "Not in work before {day}.",
    "explaining.no-jumping": "Day {number} of {limit} without jumping after {show}, to {until}.",
    "explaining.easy-day": "An easy day: {show} begins tomorrow.",
    "explaining.quiet-days": (
        "{ahead_days} before its first outing {show}: the {quiet} days before have no school."
    ),
    "explaining.day-off": "{weekday} is the yard's day off, where nothing else falls on it.",
    "explaining.on-the-grounds": (
        "On the grounds of {show} {arrive} to {leave}, no class that day."
    ),
    "explaining.light-work": "Light work between schools: {kinds}, in turn.",
    "explaining.resting": "Day {number} of {limit} of rest after {hours:4} h on the road.",
    # figures
    "explaining.where-from": "Where does {figure}{horse}{at} of {circuit} come from?",
    "explaining.the-worth": "the worth",
    "explaining.the-cost": "the cost",
    "explaining.the-road": "the road driven",
    "explaining.the-hours": "the number of hours on the road",
    "explaining.the-nights": "the number of nights away",
    "explaining.the-outings": "the number of outings",
    "explaining.the-aims": "the number of aims met",
    "explaining.the-spare-days": "the number of spare days",
    "explaining.the-missing-outings": "the number of outings that are missing",
    "explaining.the-bound": "the bound",
    "explaining.the-answer": "the answer",
    "explaining.worth-of": "{horse} at {show}: {worth}",
    "explaining.outing-worth": "{classes}{aims:*}",
    "explaining.classes-worth": "{classes:* + }",
    "explaining.times-weight": "{classes:* + } x {weight:4}",
    "explaining.all-times-weight": "({classes:* + }) x {weight:4}",
    "explaining.class-worth": "{name} {worth:4}",
    "explaining.aim-worth": " + aim {worth:4}",
    "explaining.total-worth": "{worth:4} is the worth of {count} {count:outing|outings}.",
    "explaining.cost-line": "{kind}: {text}",
    "explaining.cost-lines": "{kind}, {count} {count:line|lines}: {cost_cents}",
    "explaining.total-cost": "{cost_cents} in {count} {count:line|lines}.{off}",
    "explaining.written-cost": " The circuit as written says {cost_cents}.",
    "explaining.total-road": ("{road_km:tenths} in {count} {count:drive|drives}, empty ones too."),
    "explaining.leg": "{day} {vehicle}, {start} to {end}, {road_km:tenths} ({aboard:and})",
    "explaining.empty": "empty",
    "explaining.leg-hours": "{leg}: {hours:4} h x {count} {count:horse|horses}",
    "explaining.total-hours": "{hours:4} hours that horses stand on the road, halts not counted.",
    "explaining.nights-of": "{horse} at {show}, {arrive} to {leave}",
    "explaining.nights-on-the-way": ("on the way, {leg}: {nights} x {count} {count:horse|horses}"),
    "explaining.total-nights": "{count} {count:night|nights} away from home.",
    "explaining.outing-of": "{horse} at {show}, {days}",
    "explaining.total-outings": "{count} {count:outing|outings}: a horse at a show is one.",
    "explaining.aim-of": "{aim}, importance {importance:4}: {met}; {reason}",
    "explaining.total-aims": "{met} of {count} {count:aim|aims} met.",
    "explaining.spare-days-of": (
        "{horse} from {before} to {after}: {clear}, needs {needed}, {spare_days} to spare"
    ),
    "explaining.none-missing": "No horse lacks an outing that is wanted.",
    "explaining.total-missing": (
        "{missing} {missing:outing|outings} missing of those that are wanted of {count} "
        "{count:horse|horses}."
    ),
    "explaining.no-gap": "No horse has two outings, so there are no spare days to count.",
    "explaining.tightest-gap": "{spare_days}: the tightest of {count} {count:gap|gaps}.",
    "explaining.status": "{status}: {words}.",
    "explaining.proved-best": (
        "the bound equals what was found, so nothing better keeps every rule"
    ),
    "explaining.near-the-bound": "what was found lies within 1 % of the bound",
    "explaining.best-of-kind": "nothing better of its kind keeps every rule",
    "explaining.best-in-time": (
        "the best found in the time given; better may exist, up to the bound"
    ),
    "explaining.none-exists": "no plan keeps every rule",
    "explaining.none-in-time": "none was found in the time given",
    "explaining.as-written": "as written",
    "explaining.planned-for": "Planned for {goal} in {seconds:.1} s.",
    "explaining.found-and-bound": "Found: {found}; the bound: {bound}.",
    "explaining.keeps-at-least": "It keeps at least {share:percent} of the most worth.",
    "explaining.not-in-bound": "The bound does not hold for this, which the rules allow: {what}.",
    "explaining.aims-first": (
        "The best set of aims came first, then points; it meets {met:number} "
        "{met:aim|aims}.{proved}"
    ),
    "explaining.aims-unproved": " Whether a better set can be met was not proved.",
    "explaining.point-price": "A point of worth counts {price_cents}: {how}.",
    "explaining.point-price-given": "the yard's own price",
    "explaining.point-price-found": (
        "what a point of most worth costs beyond the cheapest season with the same entries and aims"
    ),
    "explaining.worth-given-away": (
        "Of all circuits within {percent:4} % of that it is the one that costs least: worth "
        "{worth:4}."
    ),
}
