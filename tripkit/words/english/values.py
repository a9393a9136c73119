"""What is wrong with one value, whoever brings it."""

SENTENCES = {
    "values.address-cannot-be-used-give": (
        "address {ip:quoted} cannot be used ({bad}); give one of this machine"
    ),
    "values.are-no-driving-rules-there": "{rules:quoted} are no driving rules; there are {rules_2}",
    "values.are-no-driving-rules-there-2": "{rules:quoted} are no driving rules; there are {books}",
    "values.are-no-rules": "{unknown} are no rules",
    "values.circuit-is-no-of": "circuit {circuit_name}: {name:quoted} is no {what} of {yard_name}",
    "values.boxes-must-be-at-least": "boxes must be at least 1",
    "values.class-on-lies-outside-shows": (
        "class {offered_name} on {day} lies outside the show's days {days_first} to {days_last}"
    ),
    "values.day-off-is-no-day": "day_off {day_off:quoted} is no day of the week",
    "values.detour-factor-is-below-1": (
        "detour factor {detour_factor:plain} is below 1, shorter than the straight line"
    ),
    "values.detour-factor-must-be-at": "detour_factor must be at least 1",
    "values.did-not-apply-on-it": (
        "{book:plain} did not apply on {day}; it does from {eu_first_day:plain}"
    ),
    "values.does-not-go-to-in": "{horse} does not go to {show} in {circuit_name}",
    "values.drivers-must-be-1-or": "drivers {drivers:plain} must be 1 or 2",
    "values.driving-rules-are-none-of": "driving rules {rules:quoted} are none of {driving_rules}",
    "values.empty-password-keeps-nobody-out": "an empty password keeps nobody out",
    "values.ends-at-before-it-starts": "{kind} ends at {end}, before it starts at {start}",
    "values.fee-and-prize-must-not": "fee and prize must not be negative",
    "values.feeds-cannot-be-written-to": "feeds cannot be written to {target}: {strerror}",
    "values.from-to-mixes-minutes-and": "{kind} from {start} to {end} mixes minutes and times",
    "values.goes-to-in-already": "{horse} goes to {show} in {circuit_name} already",
    "values.grade-must-be-0-to": "grade {grade:plain} must be 0 to 5",
    "values.has-no-calendar": "{who:quoted} has no calendar{near}",
    "values.has-no-offset-from-utc": "{moment} has no offset from UTC",
    "values.has-no-plan": "{circuit_name} has no plan ({status})",
    "values.has-no-plan-so-it": "{circuit_name} has no plan ({status}), so it cannot be published",
    "values.has-no-plan-so-no": "{circuit_name} has no plan ({status}), so no vet comes",
    "values.has-no-plan-so-there": "{circuit_name} has no plan ({status}), so there are no entries",
    "values.has-no-plan-so-there-2": (
        "{circuit_name} has no plan ({status}), so there is no calendar"
    ),
    "values.has-no-plan-so-there-3": (
        "{circuit_name} has no plan ({status}), so there are no drives"
    ),
    "values.height-cm-must-be-above": "height_cm {height_cm:plain} must be above zero",
    "values.horses-per-groom-must-be": "horses_per_groom must be at least 1",
    "values.horses-per-show-must-be": "horses_per_show must be at least 1",
    "values.importance-must-be-0-to": "importance {importance:plain} must be 0 to 100",
    "values.is-gone": "{path}: is gone",
    "values.keep-must-be-at-least": "keep {keep} must be at least 1",
    "values.keeps-its-tables-in-workbook": (
        "{yard_name} keeps its tables in a workbook: bring one in its place"
    ),
    "values.language-is-none-of": "language {language:quoted} is none of {languages}",
    "values.last-day-lies-before-first": "last day {last} lies before first day {first}",
    "values.refund-share-without-day": "refund_share asks for a refund_until",
    "values.late-fee-and-stall-fee": "late_fee and stall_fee must not be negative",
    "values.latitude-of-is-off-globe": (
        "latitude {latitude:plain} of {name} is off the globe (-90 to 90)"
    ),
    "values.limb-is-none-of-lf": "limb {limb:quoted} is none of lf, rf, lh, rh",
    "values.log-holds-minutes-or-times": "a log holds minutes or times, not both",
    "values.longitude-of-is-off-globe": (
        "longitude {longitude:plain} of {name} is off the globe (-180 to 180)"
    ),
    "values.must-be-at-least": "{limit_name} {value:plain} must be at least {low:plain}",
    "values.must-be-one-of": "{limit_name} must be one of {words:and}, not {value:quoted}",
    "values.wanted-most-below-least": "at most {most} outings is below at least {least}",
    "values.must-be-at-most": "{limit_name} {value:plain} must be at most {high:plain}",
    "values.no-address-such-as-httpsyardexamplestable": (
        "{address:quoted} is no address such as https://yard.example/stable/"
    ),
    "values.no-class-of": "{class_name:quoted} is no class of {show}",
    "values.no-cycle-cycles-are": "{cycle:quoted} is no cycle; cycles are {cycles}",
    "values.no-day": "{given} ({kind}) is no day: give a date, as date(2027, 3, 10)",
    "values.no-edition-of-49-cfr": (
        "no edition of 49 CFR 395 is known for {day}; the first is of 2005-10-01"
    ),
    "values.no-edition-of-rules-is": "no edition of the rules {rules:quoted} is known for {day}",
    "values.no-figure-figures-are": "{figure:quoted} is no figure; figures are {figures}",
    "values.no-horse-of-yard": "{horse:quoted} is no horse of the yard",
    "values.no-horse-person-or-vehicle": "{who:quoted} is no horse, person or vehicle of the yard",
    "values.no-kind-of-duty-kinds": "{kind:quoted} is no kind of duty; kinds are {kinds}",
    "values.no-kind-of-wish": "{kind:quoted} is no kind of wish",
    "values.no-limit-limits-are": "{name:quoted} is no limit; limits are {known}",
    "values.no-number": "no number",
    "values.no-of": "{reader_name:quoted} is no {kind} of {yard_name}",
    "values.no-part-of-journey-parts": "{kind:quoted} is no part of a journey; parts: {passages}",
    "values.no-path-such-as-stable": (
        "{path:quoted} is no path such as /stable/ (letters, digits, - and _)"
    ),
    "values.no-road-from-to": "no road from {place_key} to {place_key_2}",
    "values.no-road-from-to-2": "no road from {start} to {end}",
    "values.no-sheets-can-be-written": "{target}: no sheets can be written there ({reason})",
    "values.no-show-of-calendar": "{show:quoted} is no show of the calendar",
    "values.no-table-or-settings-of": (
        "{unknown}: no table or settings of a yard; tables are {value:plain}"
    ),
    "values.no-time-zone-such-as": "{name:quoted} is no time zone (such as America/New_York)",
    "values.no-timetable-of-days-from": (
        "no timetable of {days} days from {start} to {end} on {day}"
    ),
    "values.no-tour-of-calendar": "{tour:quoted} is no tour of the calendar",
    "values.no-tour-tours-are": "{tour:quoted} is no tour; tours are {value:plain}",
    "values.no-town-of-or-more": "no town of {min_population:plain} or more is in the gazetteer",
    "values.no-whole-number-above-0": "{often:quoted} is no whole number above 0",
    "values.no-yard-folder-it-does": "{yard_folder:quoted} is no yard folder: it does not exist",
    "values.no-yard-folder-it-does-2": "{yard:quoted} is no yard folder: it does not exist",
    "values.none-of": "{today_from:quoted} is none of {today_sources}",
    "values.none-of-2": "{name:quoted} is none of {brought}",
    "values.not-published-so-its-feeds": (
        "{circuit_name} is not published, so its feeds have no addresses"
    ),
    "values.nothing-is-published-yet-so": "nothing is published yet, so there are no addresses",
    "values.oldest-horse-is-below-youngest": (
        "oldest_horse {oldest:plain} is below youngest_horse {youngest:plain}"
    ),
    "values.per-day-asks-for-hire": "per_day stands for a lorry that is not on hire",
    "values.places-left-must-not-be": "places_left {places_left:plain} must not be negative",
    "values.per-night-must-not-be": "per_night must not be negative",
    "values.places-must-be-at-least": "places must be at least 1",
    "values.plan-and-circuit-belong-together": (
        "--plan and --circuit belong together: the file and the circuit in it"
    ),
    "values.points-needed-or-starts-needed": "points_needed or starts_needed ask for a series",
    "values.port-cannot-be-used-choose": "port {port:plain} cannot be used ({bad}); choose another",
    "values.published-has-no-time-zone": "published {published} has no time zone",
    "values.reader-kind-is-none-of": "reader kind {kind:quoted} is none of {reader_kinds}",
    "values.reply-is-too-long": "the reply is too long",
    "values.rider-of-is-no-rider": "rider {rider:quoted} of {horse} is no rider in people",
    "values.roads-are-none-of": "roads {roads:quoted} are none of {road_sources}",
    "values.role-is-none-of": "role {role:quoted} is none of {roles}",
    "values.rule-kind-is-none-of": "rule {id}: kind {kind:quoted} is none of {kinds}",
    "values.rule-names-no-source": "rule {id} names no source",
    "values.share-must-be-above-0": "share {share:plain} must be above 0 and at most 1",
    "values.shares-must-not-be-negative": (
        "shares must not be negative and must sum to more than zero"
    ),
    "values.solver-cannot-be-loaded-install": (
        "the solver cannot be loaded ({error}): install highspy"
    ),
    "values.somebody-else-published-meanwhile-nothing": (
        "{path}: somebody else published {circuit:quoted} meanwhile; nothing was changed: look "
        "at what changed, then publish again"
    ),
    "values.speed-must-be-above-zero": "speed must be above zero",
    "values.stables-open-must-be-before": (
        "stables_open {opens}:{opens_2} must be before stables_close {closes}:{closes_2}, both "
        "within one day"
    ),
    "values.starts-per-show-and-starts": "starts_per_show and starts_per_day must be at least 1",
    "values.status-is-none-of": "status {status:quoted} is none of {statuses}",
    "values.status-is-none-of-wanted": (
        "status {status:quoted} is none of wanted, sent, paid, scratched"
    ),
    "values.substance-is-empty": "substance is empty",
    "values.there-is-no-folder": "{out}: there is no folder {parent}",
    "values.time-has-no-time-zone": "time {moment} has no time zone",
    "values.time-has-no-time-zone-2": "time {now} has no time zone",
    "values.to-height-cm-is-below": (
        "to_height_cm {to_height_cm:plain} is below from_height_cm {from_height_cm:plain}"
    ),
    "values.travel-rest-rows-must-stand": "travel_rest rows must stand in order of hours",
    "values.units-are-none-of-km": "units {units:quoted} are none of km, miles",
    "values.valid-until-lies-before-date": "valid_until {valid_until} lies before date {date}",
    "values.weight-must-not-be-negative": "weight {weight:plain} must not be negative",
    "values.workbook-holds-all-tables-of": (
        "a workbook holds all tables of a yard: bring it without other tables"
    ),
    "values.worth-must-not-be-negative": "worth {worth:plain} must not be negative",
    "values.write-budget-or-how-often": "write a budget or how often first",
}
