"""The rules in words, and what breaks them, as the judge finds it."""

from typing import NamedTuple


class Words(NamedTuple):
    """A rule that is broken, what it asks of a circuit, and why it bars a horse from a show."""

    name: str
    demand: str
    bar: str = ""


RULES = {
    "window": Words(
        "somebody is absent",
        "nobody may be used outside the season or while absent",
        "a day lies outside the season, or somebody is absent",
    ),
    "closed": Words(
        "entries are closed",
        "no new entry after entries have closed",
        "entries are closed, or the classes are past",
    ),
    "eligible": Words(
        "horse, rider or papers do not fit",
        "horse, rider and papers must fit each class",
    ),
    "cleared": Words(
        "the vet has not cleared it",
        "no outing before the vet has cleared the horse",
    ),
    "cap": Words(
        "too many outings in 30 days",
        "only so many outings in 30 days",
    ),
    "recovery": Words(
        "too little rest between outings",
        "days of rest between outings",
    ),
    "travel-rest": Words(
        "too little rest after the drive",
        "days of rest after a long drive",
    ),
    "fit": Words(
        "too soon after coming back into work",
        "time to get fit after coming back into work",
    ),
    "break": Words(
        "no break between outings",
        "a break after so many outings",
    ),
    "rider": Words(
        "the rider is elsewhere or has too many horses",
        "a rider is at one place at a time, with so many horses",
    ),
    "most-outings": Words(
        "more outings than are wanted",
        "no more outings of a horse than are wanted",
    ),
    "attended": Words(
        "nobody looks after the horses",
        "grooms for the horses at every place and day away",
    ),
    "bases": Words(
        "no box is free at the base",
        "no more horses at a base than it has boxes, and only on its days",
    ),
    "stabling": Words(
        "the stables are not open in time",
        "come in time, and stay only while the stables are open",
    ),
    "places": Words(
        "no place is left",
        "no more horses than the lorry or the show has places",
    ),
    "one-place": Words(
        "no lorry is free",
        "a horse and a lorry are at one place at a time",
    ),
    "driving": Words(
        "the drive is too long for a day",
        "the hours that drivers and horses may be on the road",
    ),
    "locked": Words(
        "an entry sent or paid would be lost",
        "entries sent or paid must be kept",
        "the entry was scratched",
    ),
    "budget": Words(
        "the budget is too small",
        "the budget",
    ),
    "past": Words(
        "its days are over or under way",
        "what was lived stays as it was",
    ),
    "days": Words(
        "the day plan does not work out",
        "the day plan of each horse",
    ),
    "totals": Words(
        "the sums are wrong",
        "the sums of the circuit",
    ),
    "figures": Words(
        "what the search says of it is not so",
        "goal, objective, bound and status that fit the circuit",
    ),
}

SENTENCES = {
    **{f"judging.id-{rule}": rule for rule in RULES},
    **{f"judging.name-{rule}": words.name for rule, words in RULES.items()},
    **{f"judging.demand-{rule}": words.demand for rule, words in RULES.items()},
    **{f"judging.bar-{rule}": words.bar or words.name for rule, words in RULES.items()},
    "judging.id-road": "road",
    "judging.bar-road": "no road or no lawful timetable is known",
    # What several sentences name
    "judging.leg": "{vehicle} from {start} to {end} on {on}",
    "judging.home": "home",
    "judging.road": "road",
    "judging.way": "{start} to {end}",
    "judging.departure": "{vehicle} on {on}",
    "judging.outing": "{horse} at {show}",
    "judging.outing-from": "{horse} at {show} on {on}",
    "judging.outing-of": "its outing of {on}",
    "judging.entry": "{name} of {horse} at {show}",
    "judging.more": "{count} more",
    "judging.broken": "{rule}: {what}",
    "judging.breaks": "{circuit} breaks {count} {count:rule|rules} of {yard} as of {today}:",
    # rider
    "judging.by-car": "car",
    "judging.way-breaks": "{rider} goes from {start} to {end} on {on} and is not in {start}",
    "judging.way-beside-lorry": (
        "{rider} goes from {start} to {end} by car on {on}, and a lorry goes with a horse of theirs"
    ),
    "judging.way-not-driven": (
        "{rider} goes from {start} to {end} on {on} by {by}, {road_km:tenths}, and nothing goes so"
    ),
    "judging.rider-elsewhere": "{rider} rides at {show} on {on} and is elsewhere by their ways",
    "judging.other-cars": "riders' cars are billed at {billed_cents}, they come to {counted_cents}",
    "judging.schools-alone": (
        "{horse} schools on {on} with none of its riders there, and on {other} one is"
    ),
    # attended
    "judging.other-grooms": (
        "grooms for the horses away are billed at {billed_cents}, they come to {counted_cents}"
    ),
    # window
    "judging.outside-season": "{horse} at {show} jumps on {on}, outside the season {season}",
    "judging.far-from-season": "{horse} at {show} has a day far from the season, {on}",
    "judging.other-days": (
        "{horse} at {show} is written as {written_first} to {written_last}, but its classes run "
        "{first} to {last}"
    ),
    "judging.drives-while-absent": "{leg} drives while absent {absence}",
    "judging.drives-on-day-off": "{leg}: {driver} drives on {on}, a day off",
    "judging.rides-while-absent": "{rider} rides {horse} at {show} on {on} and is absent {absence}",
    "judging.rides-on-day-off": "{rider} rides {horse} at {show} on {on}, a day off",
    "judging.jumps-while-absent": "{horse} at {show} jumps on {on} while absent {absence}",
    "judging.away-while-absent": (
        "{horse} at {show} is away from home {away} while absent {absence}"
    ),
    "judging.on-road-while-absent": "{horse} is on the road with {leg} while absent {absence}",
    "judging.schools-while-absent": "{horse} schools on {on} while absent {absence}",
    "judging.stands-while-absent": (
        "{vehicle} stands at {stop} on {on} while absent {absence}, and should stand at {at}"
    ),
    # closed
    "judging.jumps-scratched": "{horse} at {show} jumps {name}, which was scratched",
    "judging.not-after-today": (
        "{horse} at {show} jumps {name} on {on}, not entered and not after today {today}"
    ),
    "judging.entries-ended": (
        "{horse} is not entered for {name} of {show}, and entries ended on {until}, {ago_days} "
        "before today"
    ),
    # eligible
    "judging.no-horse": "{horse:quoted} at {show} is no horse of the yard",
    "judging.no-show": "{show:quoted}, where {horse} goes, is no show of the calendar",
    "judging.no-class": "{name:quoted}, which {horse} jumps, is no class of {show}",
    "judging.jumps-nothing": "{horse} goes to {show} and jumps no class",
    "judging.does-not-fit": "{horse} at {show} does not fit {name}: {reason}",
    "judging.barred": "{horse} at {show} is barred by {finding}: {reason}",
    "judging.jumps-twice": "{horse} at {show} jumps {names:and} more than once",
    "judging.starts-at-show": "{horse} at {show} has {have} starts at the show and may have {most}",
    "judging.starts-on-day": "{horse} at {show} has {have} starts on {on} and may have {most}",
    # cleared
    "judging.jumps-uncleared": "{horse} at {show} jumps on {on} and is not cleared by the vet",
    "judging.schools-uncleared": "{horse} schools on {on} and is not cleared by the vet",
    # cap, recovery, travel-rest, fit, break
    "judging.cap": (
        "{horse} begins {show} on {on}, {have_days} after {before} on {before_on}; {count} "
        "outings need {need_days:number}"
    ),
    "judging.most-outings": (
        "{horse} has {have:number} outings in the season, and at most {most:number} are wanted"
    ),
    "judging.recovery": (
        "{horse} has {have_days:number} clear {have_days:day|days} after {before} before {after} "
        "and needs {need_days:number}"
    ),
    "judging.schools-too-soon": (
        "{horse} schools on {on}, {have_days} after {show} ended, within {need_days} without "
        "jumping"
    ),
    "judging.jumps": "jumps {name} of {show}",
    "judging.schools": "schools",
    "judging.travel-rest": (
        "{horse} {does} on {on}, {have_days} of rest after {drive_hours:.1} h on the road to "
        "{to}, and needs {need_days:number}"
    ),
    "judging.fit": (
        "{horse} at {show} begins on {on}, {have_days} after coming back into work on "
        "{in_work_from}, and needs {need_days:number}"
    ),
    "judging.schools-before-first": (
        "{horse} schools on {on}, {have_days} before its first outing {show}; the {need_days} "
        "before have no school"
    ),
    "judging.break": (
        "{horse} has {count} outings from {first} to {last} with at most {have_days:number} clear "
        "days between two, and needs a break of {need_days:number}"
    ),
    # rider
    "judging.no-rider": "{rider:quoted}, who rides {horse} at {show}, is no rider",
    "judging.other-rider": (
        "{horse} is ridden by {rider} at {show} and only by {own_rider} otherwise"
    ),
    "judging.rider-full": "{rider} rides {have} horses at {show} and may ride {most}",
    "judging.rider-at-two": "{rider} rides at {show} and at {other} on {on}",
    "judging.rider-no-road": "{rider} rides at {show} on {on}, and no road to {other} is known",
    "judging.rider-hurried": (
        "{rider} has {have_days:number} clear {have_days:day|days} from {show} on {on} to {other} "
        "on {later}, {drive_hours:.1} h away, and needs {need_days:number}"
    ),
    # stabling
    "judging.before-stabling": "{horse} arrives at {show} on {on}, and stabling opens on {opens}",
    "judging.after-stabling": "{horse} leaves {show} on {on}, and stabling ends on {ends}",
    "judging.sleeps-at-shut-base": ("{horse} sleeps at {base} on {on}, which is open {days}"),
    "judging.base-full": (
        "{base} has {boxes} {boxes:box|boxes}, and on {on} {have} horses sleep there ({horses})"
    ),
    "judging.drives-to-shut-base": "{leg}: {base} is shut on {on}",
    "judging.stands-idle": (
        "{horse} stands at {place} from {first} to {last} and jumps at no show there"
    ),
    "judging.arrives-late": (
        "{horse} arrives at {show} on {on}, {have_days} before its first class, and needs "
        "{need_days:number}"
    ),
    "judging.comes-too-late-to-jump": (
        "{horse} at {show} comes at {at:clock} on the day of its first class, and has to be "
        "there by {until_hours:4} h"
    ),
    "judging.leaves-early": "{horse} leaves {show} on {on}, before its last class on {last}",
    "judging.leaves-before-evening": (
        "{horse} at {show} leaves at {at:clock} on the day of its last class, and may leave "
        "from {from_hours:4} h"
    ),
    "judging.not-there-by-night": (
        "{horse} leaves {show} on the evening of its last class on {on}, and is not there on "
        "that day"
    ),
    # places
    "judging.lorry-full": (
        "{vehicle} carries {have} horses from {start} to {end} on {on} and has {most} places"
    ),
    "judging.show-full": (
        "{show} has {most} places left and the plan enters {have} new horses: {horses:and}"
    ),
    # one-place
    "judging.outing-twice": (
        "{horse} has {have} outings at {show}, and one horse at one show is one outing"
    ),
    "judging.no-vehicle": "{vehicle:quoted}, which drives from {start} to {end}, is no vehicle",
    "judging.no-stop": "{leg}: {stop:quoted} is neither home nor a show of the calendar",
    "judging.carries-no-horse": "{leg} carries {horse:quoted}, which is no horse of the yard",
    "judging.carries-twice": "{leg} carries {horse} {count} times",
    "judging.leg-out-of-season": (
        "{vehicle} drives from {start} to {end} on {on} to {until}, and legs run from {first} to "
        "{last}"
    ),
    "judging.still-on-road": (
        "{who} leaves {start} at {at} and is on the road from {other} until {until}"
    ),
    "judging.no-quarter": "{leg} leaves at {at:clock}, and drives begin on a quarter of an hour",
    "judging.drives-too-often": (
        "{vehicle} has {count} {count:drive|drives} on {on}, and at most {most} on a day"
    ),
    "judging.not-there": "{who} leaves {start} on {on} and is at {stop}; no leg brought it there",
    "judging.left-behind": "{who} is left at {stop} from {on} to the end of the season",
    "judging.not-brought": (
        "{horse} jumps at {show} {first} to {last}, and its legs do not bring it there by then "
        "and keep it there"
    ),
    "judging.arrives-otherwise": (
        "{horse} arrives at {show} on {written} as written, and by its legs on {on}"
    ),
    "judging.leaves-otherwise": (
        "{horse} leaves {show} on {written} as written, and by its legs on {on}"
    ),
    "judging.stays-apart": (
        "{horse} stays at {place}: its leave {leave} from {show} is not its arrive {arrive} for "
        "{other}"
    ),
    # driving
    "judging.driving": "{leg}: {what}",
    "judging.driver-log": "{driver} on {leg}: {what} ({source})",
    "judging.driver-away": "{leg}: {driver}, who drives, is away on {on}",
    "judging.driver-without-day-off": (
        "{driver} drives on {have_days:number} days from {first} to {until}, and needs "
        "{need_days} without a drive in any seven"
    ),
    "judging.no-driver": "nobody drives it",
    "judging.unknown-driver": "{driver:quoted}, who drives it, is no person of the yard",
    "judging.driver-twice": (
        "{driver:quoted} stands twice among its drivers; two drivers are two people"
    ),
    "judging.departs": "departs",
    "judging.arrives": "arrives",
    "judging.no-offset": "{does} at {at} without an offset from UTC",
    "judging.not-local": "{does} at {at:offset}, which is not local time there ({local:offset})",
    "judging.arrives-before": "arrives at {on} {at:offset}, before it departs",
    "judging.no-road": "no road is known from {start} to {end}",
    "judging.other-km": "{written_km:tenths} as written, {road_km:tenths} by road",
    "judging.other-hours": "{written_hours:.2} h as written, {road_hours:.2} h by road",
    "judging.stop-far": "a stop lies far from the season",
    "judging.stop-without-offset": "the {kind} stop at {at:clock} has no offset from UTC",
    "judging.no-kind-of-stop": "{kind:quoted} is no kind of stop",
    "judging.stop-too-long": (
        "a {kind} stop of {stop_minutes:number} minutes does not fit into the drive"
    ),
    "judging.stop-outside": "the {kind} stop at {at} lies outside the drive or in another stop",
    "judging.too-little-time": (
        "{drive_hours:.2} h of driving and {halt_hours:.2} h of halts do not fit into the "
        "{have_hours:.2} h from departure to arrival"
    ),
    "judging.no-night": "an overnight stop of {have_hours:.1} h is no night",
    "judging.horses-too-long": (
        "horses travel {have_hours:.1} h without a night from {start:clock}, and may travel "
        "{most_hours:4}"
    ),
    "judging.no-water": (
        "horses go {have_hours:.1} h without a stop for water, and may go {most_hours:4}"
    ),
    "judging.loads-early": "loads at {at:clock}, and loading begins at {from_hours:4} h",
    "judging.comes-late": "arrives at {at:clock}, and horses arrive until {until_hours:4} h",
    "judging.stables-shut": (
        "arrives at {at:clock}, and the stables of {show} take horses from {from_hours:5} to "
        "{until_hours:5} h"
    ),
    "judging.long-day": (
        "{horse} travels {have_hours:.1} h on {on} ({legs}), and may travel {most_hours:4}"
    ),
    # locked
    "judging.jumped-and-dropped": (
        "{horse} jumps {name} at {show}, and the entry is listed as dropped"
    ),
    "judging.not-jumped": "{horse} is {status} for {name} at {show} and does not jump it",
    "judging.dropped-twice": "{name} of {horse} at {show} is listed as dropped {count} times",
    "judging.dropped-unsent": "{entry} is listed as dropped and was never sent or paid",
    "judging.dropped-unexplained": "{entry} is dropped without a reason",
    "judging.dropped-for-nothing": "{entry} is dropped for {why:quoted}, and nothing forbids it",
    "judging.dropped-for-other": (
        "{entry} is dropped for {why:quoted}, and only {grounds:and} forbids it"
    ),
    "judging.other-money-at-risk": (
        "{entry} is dropped with {written_cents} at risk, and {paid_cents} were sent or paid"
    ),
    # budget
    "judging.over-budget": "the plan costs {cost_cents}, and the budget is {budget_cents}",
    # past
    "judging.lived-missing": (
        "what has begun by {today} is not in the plan as it was published and lived: {names:and}; "
        "plan again"
    ),
    "judging.never-published": (
        "the plan dates by today, {today}, what was never published: {names:and}; plan again"
    ),
    # days
    "judging.no-line": "{horse} has no line for {missing_days} of the season, first for {on}",
    "judging.lines-twice": "{horse} has {count} lines for {on}",
    "judging.line-outside-season": "{horse} has a line for {on}, outside the season",
    "judging.lines-of-nobody": "{horse:quoted} has lines and is no horse of the yard",
    "judging.elsewhere": "{horse} is at {at} on {on}, and its drives leave it at {where:* or }",
    "judging.travels-without-leg": ("{horse} travels on {on}, and no leg of that day carries it"),
    "judging.leg-without-travel": (
        "{horse} does not travel on {on}, and a leg of that day carries it"
    ),
    "judging.class-not-shown": "{horse} has a class on {on}, and its line shows none",
    "judging.shows-without-outing": "{horse} shows on {on}, and no outing of it has that day",
    "judging.no-kind-of-day": "{horse} does {kind:quoted} on {on}, which is no kind of day",
    "judging.kind-twice": "{horse} does the same thing twice on {on}",
    "judging.kinds-out-of-order": (
        "{horse} does {does} on {on} and also {also}, which stands first in the order of kinds"
    ),
    "judging.schools-on-easy-day": (
        "{horse} schools on {on}, the day before its first class at {show}, which is an easy day"
    ),
    "judging.vaccinated-late": (
        "{horse} is vaccinated on {on}, {have_days} before it arrives at {show}, and "
        "{need_days:number} are asked"
    ),
    "judging.no-vet-check": "{horse} has no vet check from {first} to {until}, after {show}",
    "judging.idle": (
        "{horse} has more than {most_days} without a school or outing, up to {until}, while in work"
    ),
    # totals
    "judging.other-sum": (
        "{name} is {written:quoted} as written, and the parts sum to {summed:quoted}"
    ),
    "judging.other-spare-days": (
        "spare_days is {written} as written, and the outings leave {left}"
    ),
    "judging.no-figure": "None",
    "judging.aim-not-listed": "the aim {aim} is met and not listed in aims_met",
    "judging.aim-not-met": "the aim {aim} is listed in aims_met and not met",
    "judging.other-worth": (
        "{horse} at {show} is worth {written:4} as written, and its classes and aims come to "
        "{comes:4}"
    ),
    "judging.other-outing-cost": (
        "{horse} at {show} costs {written_cents} as written, and counted again {counted_cents}"
    ),
    "judging.other-cost": (
        "the plan costs {written_cents} as written, and counted again {counted_cents}"
    ),
    "judging.other-hire": ("{kind} come to {counted_cents}, and the bill has {billed_cents}"),
    "judging.leftover": "the status is {status}, and {name} has {count} rows",
    # figures
    "judging.no-status": "{status:quoted} is no status of a circuit",
    "judging.no-bound": "the status is {status}, and there is no bound",
    "judging.no-number": (
        "the objective {objective:quoted} or the bound {bound:quoted} is no number"
    ),
    "judging.other-objective": (
        "the objective is {written:4} as written, and what {goal} counts comes to {comes:4}"
    ),
    "judging.under-bound": (
        "the objective {objective:4} is less than the bound {bound:4}, which nothing is"
    ),
    "judging.over-bound": (
        "the objective {objective:4} is more than the bound {bound:4}, which nothing is"
    ),
    "judging.other-status": (
        "the status is {written}, and the objective {objective:4} with the bound {bound:4} is "
        "{status}"
    ),
    "judging.figure-without-plan": "the status is {status}, and {name} is {figure:4}",
    "judging.no-tour": "the goal is {goal:quoted}, and the yard has no such tour",
    "judging.no-goal": "{goal:quoted} is no goal of a circuit",
}
