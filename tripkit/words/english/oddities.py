"""What reads well and is probably not meant, and what would be usual; then their parts."""

SENTENCES = {
    "oddities.budget-least": (
        "{budget_cents} is less than {least_cents}, which {what} cost at least; a plan within "
        "it is impossible"
    ),
    "oddities.lorries-never": (
        "every vehicle is absent all season ({who}); no horse can go anywhere"
    ),
    "oddities.rider-never": "{rider} is absent all season, and nobody else may ride {horses}",
    "oddities.work-after-season": (
        "{horse} comes into work on {day}, after the season ({last}); it goes to no show"
    ),
    "oddities.place-swapped": (
        "{place} at {written} lies {where}; {slip}, it is {point}, {near}. Usual: degrees "
        "north first, then degrees east; west and south have a minus sign"
    ),
    "oddities.place-far": (
        "{place} at {written} lies {where}, {way_km} from {town}; usual is within {most_km} of it"
    ),
    "oddities.place-nowhere": (
        "{place} at {written} lies {where}; usual is within {most_km} of a town"
    ),
    "oddities.place-twice": (
        "{place:quoted} and {other:quoted} ({there}) are the same point, and count as two "
        "places with a drive between them; write the place alike"
    ),
    "oddities.entry-away": (
        "{horse} is entered in {names:and} of {show} on {day}, while {who} absent ({rows})"
    ),
    "oddities.entry-misfit": (
        "{horse} is entered in {name} of {show}, which does not fit: {why:*; }"
    ),
    "oddities.entry-late": "the entry of {horse} is dated {day}, after {show} ended ({last})",
    "oddities.closes-late": "{show} ends on {last}, and {what}; usual is before the first day",
    "oddities.closes-early": (
        "entries of {show} close on {day}, {days} days before it begins; usual are at most "
        "{most} days. Is the year right? A class closed is never planned"
    ),
    "oddities.stabling-long": (
        "stalls of {show} are open from {first} to {last}; usual is at most {most} days "
        "before and after its days"
    ),
    "oddities.show-long": (
        "{show} lasts {days} days; usual are at most {most}. Is one of the dates wrong?"
    ),
    "oddities.way-length": (
        "{start} to {end} is {way_km} here, {other_km} by the road network; usual is "
        "{low_km:number} to {high_km}"
    ),
    "oddities.way-straight": (
        "{start} to {end} is {way_km} here, shorter than the straight line ({straight_km})"
    ),
    "oddities.way-hours": (
        "{start} to {end} takes {hours:4} h for {way_km}, {speed_km} an hour; usual are "
        "{low_km:number} to {high_km}"
    ),
    "oddities.way-back": (
        "{start} to {end} is {there} one way and {back} the other ({rows}); usual is alike"
    ),
    "oddities.zone-far": (
        "{place:quoted} keeps {usual}; {zone} shows another time, and no town within "
        "{most_km} keeps it"
    ),
    "oddities.speed": (
        "{speed_kmh} is no usual speed of a lorry; usual are {low_kmh:number} to {high_kmh}"
    ),
    "oddities.twice": "stands twice, here and in {others}; was it pasted twice?",
    "oddities.near": (
        "{column} {value:quoted} stands in {rows}; did you mean {other:quoted}, {known}? They "
        "count as different"
    ),
    "oddities.aim-by-late": (
        "the aim {aim} counts what is reached before {day}, and begins on {start}; usual is a "
        "day before it begins"
    ),
    "oddities.aim-by-past": (
        "the aim {aim} must be reached before {day}, which is past, and lacks {missing:and}"
    ),
    "oddities.aim-misfit": "the aim {aim} cannot be met: {why:*; }",
    "oddities.aim-away": "the aim {aim} is on {day}, while {who} absent ({rows})",
    "oddities.horse-young": (
        "{horse} is {age} in the season, and could go to shows; usual are {low} years and more"
    ),
    "oddities.horse-old": (
        "{horse} is {age} in the season, and could go to shows; usual are up to {high} years"
    ),
    "oddities.rider-age": (
        "{person}, a rider, is {age} when the season begins; usual are {low} to {high}"
    ),
    "oddities.status-age": (
        "{person} is called {status} and {age} when the season begins; usual are {low} to {high}"
    ),
    "oddities.driver-young": (
        "{person} drives and is {age} when the season begins; the least is {low} years"
    ),
    "oddities.rate-low": "{amount_cents} is little for {what}; usual are {low:4} to {high_cents}",
    "oddities.rate-high": "{amount_cents} is much for {what}; usual are {low:4} to {high_cents}",
    "oddities.before-birth": "{who} was born on {born}; {day} is before that",
    "oddities.far-future": "{day} is more than {years} years after the season ({last})",
    "oddities.absence-outside": (
        "{who} is absent outside the season ({first} to {last}), which keeps nobody at home"
    ),
    "oddities.absence-year": (
        "{who} is absent in another year than the season ({first} to {last}); is the year right?"
    ),
    # Parts.
    "oddities.old": "{years} {years:year|years} old",
    "oddities.unborn": "not born yet",
    "oddities.entries-open": "entries open on {day}",
    "oddities.entries-close": "entries close on {day}",
    "oddities.late-entries-close": "late entries close on {day}",
    "oddities.is-away": "{name} is",
    "oddities.no-rider": "every rider is",
    "oddities.no-vehicle": "every vehicle is",
    "oddities.points": "{number:2} points",
    "oddities.starts": "{number} starts",
    "oddities.no-class": "no class of {show} fits the horse",
    "oddities.named": "{name:quoted}",
    "oddities.unnamed": "the place",
    "oddities.near-town": "near {town}",
    "oddities.lost": "{way_km} from the nearest town ({town})",
    "oddities.exchanged": "with latitude and longitude exchanged",
    "oddities.minus-longitude": "with a minus before the longitude",
    "oddities.sign-latitude": "with the sign of the latitude turned",
    "oddities.both-signs": "with both signs turned",
    "oddities.exchanged-minus": "with both exchanged and a minus before the longitude",
    "oddities.exchanged-sign": "with both exchanged and the sign of the latitude turned",
    "oddities.hours": "{hours:4} h",
    "oddities.length": "{way_km}",
    "oddities.one-row": "one row",
    "oddities.many-rows": "{count} rows",
    "oddities.known": "which tripkit knows",
    "oddities.stands-once": "which stands in one",
    "oddities.stands-often": "which stands in {count}",
    "oddities.bound": "the classes sent or paid and the way to the farthest of them",
    "oddities.cheapest": "the cheapest class of the season and the way there and back",
    "oddities.none": "none",
    "oddities.km": "one km of a lorry",
    "oddities.mile": "one mile of a lorry",
    "oddities.groom-day": "a groom's day",
    "oddities.rider-day": "a rider's day",
    "oddities.overnight-stop": "a night of the crew",
    "oddities.stabling-day": "a horse's night at a stop",
    "oddities.vet-check": "a vet check",
    "oddities.fee": "the fee of a class",
    "oddities.late-fee": "a late fee",
    "oddities.stall-fee": "a stall",
    "oddities.amount": "an entry",
    "oddities.season": "the budget of a season",
}
