"""What is wrong with a file of the yard, or with what it holds."""

SENTENCES = {
    "faults.after-today-has-vet-been": (
        "{at}: {date} is after today ({today}); has the vet been there?"
    ),
    "faults.after-today-it-is-no": "{at}: {date} is after today ({today}); it is no history yet",
    "faults.also-day-of-passport-in": "is also the day of the passport in {where}",
    "faults.also-name-in-row-horses": (
        "is also a name in {file} row {number}; horses, people and vehicles need different names"
    ),
    "faults.also-name-of": "is also the name of {first}",
    "faults.and-is-not-read": "{file}: {wanted} and is not read{hint}",
    "faults.and-is-not-replaced-write": (
        "{target}: {whose} and is not replaced; write to another file"
    ),
    "faults.and-so-do": ", and so do {keys}",
    "faults.and-there-is-file-of": ", and there is a file of that name; keep one",
    "faults.and-there-is-sheet-of": ", and there is a sheet of that name; keep one",
    "faults.answered-what-cannot-be-true": (
        "{settings_file:plain}: {server_name} answered what cannot be true ({refused_first}); "
        "{instead}"
    ),
    "faults.are-more-than-dates": "are more than {most_dates:plain} dates",
    "faults.asks-for-series": "asks for a series",
    "faults.at-cell": "{file} row {row:plain}, column {column}: {what}",
    "faults.at-column": "{file} column {column}: {what}",
    "faults.at-file": "{file}: {what}",
    "faults.at-row": "{file} row {row:plain}: {what}",
    "faults.at-setting": "{file} setting {column}: {what}",
    "faults.base-at-no-road": (
        "no road or ferry is known from home; write the way into distances.csv"
    ),
    "faults.base-is-show": "is also the name of a show, {where}",
    "faults.base-outside-season": "{at}: {base} is open on no day of the season",
    "faults.base-stands-already-in": "has a base already, in {where}",
    "faults.before-arrive": "is before arrive {arrive}",
    "faults.before-depart": "is before depart {isoformat}",
    "faults.before-first-day": "is before first_day {first_day}",
    "faults.before-horse-was-born": "is before the horse was born ({day_first})",
    "faults.before-seasonfirst-day": "is before season.first_day {first}",
    "faults.book-is-none-of": "book {book:quoted} is none of {known}{near}",
    "faults.cancelled-and-was-left-out": "{where}: is cancelled and was left out",
    "faults.cancelled-so-that-its-rows": (
        "{file}: {show:quoted} is cancelled, so that its rows are not read: {lost}"
    ),
    "faults.cannot-be-changed-cell-by": (
        "cannot be changed cell by cell; save it anew from a spreadsheet program"
    ),
    "faults.cannot-be-followed": "cannot be followed ({name}: {error})",
    "faults.cannot-be-new-name": "{new:quoted} cannot be the new name: {taken}",
    "faults.cannot-be-read": "{path_name}: cannot be read ({reason})",
    "faults.cannot-be-read-2": "cannot be read ({value:plain})",
    "faults.cannot-be-read-3": "{path}: cannot be read ({reason})",
    "faults.cannot-be-read-4": "cannot be read ({reason})",
    "faults.cannot-be-removed": "{path}: cannot be removed ({value:plain})",
    "faults.cannot-be-used-wants": "cannot be used: {name} wants {more}",
    "faults.cannot-be-written": "{path}: cannot be written ({reason})",
    "faults.cells": " ({count} cells)",
    "faults.changed-meanwhile-look-at-what": (
        "{folder}: changed meanwhile; look at what the merge changes again"
    ),
    "faults.class-in-file": "class of {show:quoted} in classes.csv",
    "faults.class-of": "class of {show:quoted}",
    "faults.cleared-is-empty-what-stood": (
        "{at}: cleared is empty; what stood before {date} stands: write yes or no once the vet "
        "has been there"
    ),
    "faults.cleared-is-empty-with-it": (
        "{at}: cleared is empty; with {said} it counts as not cleared"
    ),
    "faults.column-is-not-known-it": (
        "{file}: column {column:quoted} is not known; it is kept and not used"
    ),
    "faults.comes-again": "{event}: comes again; {count} times in or near the season",
    "faults.comes-again-and-was-not": "comes again and was not followed, as too many before it do",
    "faults.comes-again-by-rule-that": (
        "comes again by a rule that cannot be followed to its end; put its days into shows.csv"
    ),
    "faults.comes-again-once": "{event}: comes again; once in or near the season",
    "faults.comes-again-otherwise-than": "comes again otherwise than {lower}",
    "faults.could-be-or-write-one": (
        "could be {whole}{part} or {other}: write the one that is meant"
    ),
    "faults.date-as-spreadsheets-make-of": (
        "is a date, as spreadsheets make of 1/3: write =1/3 there"
    ),
    "faults.did-you-mean": "; did you mean {near_first}{mark}?",
    "faults.division-asks-for-no-status": (
        "{at}: division {division:quoted} asks for no status of the rider"
    ),
    "faults.drives-cost-nothing": (
        "{settings_file}: [costs] has no per_km or per_mile; driving counts as 0 in every cost"
        "{more}"
    ),
    "faults.empty-write-both-or-neither": "is empty; write both or neither",
    "faults.empty-write-horse-or-person": "is empty; write horse or person",
    "faults.empty-write-km-miles-or": "is empty; write km, miles or hours",
    "faults.empty-write-town-or-latitude": "is empty; write a town, or latitude and longitude",
    "faults.ends-before-it-begins": "ends before it begins ({first})",
    "faults.ends-more-than-days-after": (
        "ends more than {longest_show_days:plain} days after it begins ({first})"
    ),
    "faults.ends-that-never-began-its": "ends a {what} that never began; its lines are lost",
    "faults.ends-while-is-not-ended": "ends {what} while {stack} is not ended",
    "faults.error-of-spreadsheet-program-mend": (
        "is an error of the spreadsheet program: mend the formula, or write the value"
    ),
    "faults.file-of-another-program": "is a file of another program; {save_as}",
    "faults.file-of-another-program-2": "is a file of another program",
    "faults.file-of-another-program-and": (
        "{path_name}: is a file of another program and is not read; if it is the yard's, {save_as}"
    ),
    "faults.file-of-yard": "is a file of the yard",
    "faults.fits-towns-write": "fits {len_written} towns ({named}); write {advice}",
    "faults.folder-not-file": "{path}: is a folder, not a file",
    "faults.formula-without-its-value-open": (
        "is a formula without its value: open the file in a spreadsheet program and save it, "
        "or write the value"
    ),
    "faults.found": "{value:quoted} {wanted}",
    "faults.geo-is-no-point-such": "{where}: GEO {text:quoted} is no point such as 29.25;-82.5",
    "faults.has-circuits-and-was-left": (
        "{path}: has circuits and was left as it was; there is none to write"
    ),
    "faults.has-more-than-lines-and": "has more than {most_lines:plain} lines and was not read",
    "faults.has-no-header-row": "has no header row",
    "faults.has-no-owner-in-sharescsv": "has no owner in shares.csv",
    "faults.has-no-row-in-paperscsv": (
        "{at}: {horse:quoted} has no row in papers.csv; its papers are unknown"
    ),
    "faults.has-no-sheet-add-it": (
        "has no sheet {title}; add it with the columns that tripkit handbook files names"
    ),
    "faults.has-no-such-cell-write": (
        "has no such cell; write {new:quoted} there in the spreadsheet program"
    ),
    "faults.has-no-time-zone": "{moment:plain} has no time zone",
    "faults.has-other-coordinates-in-write": (
        "has other coordinates in {venues_file:plain}{row}; write them once"
    ),
    "faults.has-other-coordinates-than-in": (
        "has other coordinates than in {where}; write one place alike"
    ),
    "faults.has-what-row-says-holds": (
        "{file}: {show:quoted} has {said}; what {file_2} row {number} says holds"
    ),
    "faults.header-once-more-delete-row": "is the header once more; delete the row",
    "faults.header-stands-in-row-delete": (
        "the header stands in row {best:plain}; delete what is above it"
    ),
    "faults.heights-are-written-in-centimetres": (
        "{error}; heights are written in centimetres, 120 for 1.20 m"
    ),
    "faults.holds-facts-for-reasons": "holds {len_stated} facts for {len_told} reasons",
    "faults.holds-formula-write-there-in": (
        "holds a formula; write {new:quoted} there in the spreadsheet program"
    ),
    "faults.holds-half-of-letter-lone": "holds half of a letter (a lone surrogate)",
    "faults.holds-line-break-or-another": "holds a line break or another control character",
    "faults.holds-more-than-events": "holds more than {most_events:plain} events",
    "faults.holds-neither-letter-nor-digit": "holds neither a letter nor a digit",
    "faults.holds-no-event-vevent-so": (
        "{file}: holds no event (VEVENT), so no show is taken from it"
    ),
    "faults.holds-no-rows": "holds no rows",
    "faults.holds-other-signs-than-plain": (
        "holds other signs than plain letters, digits and punctuation"
    ),
    "faults.holds-sign-that-turns-writing": "holds a sign that turns the writing round (U+{sign})",
    "faults.holds-value-that-its-sentence": "holds a value that its sentence cannot tell",
    "faults.in-and-here-write-them": (
        "is {place} in {where} and {place_2} here; write them differently"
    ),
    "faults.in-column": "{rows}, column {column}: {what}",
    "faults.in-peoplecsv-but-not-as": "is in people.csv, but not as a rider",
    "faults.rides-it-already": "already rides {horse}",
    "faults.in-rows": "{rows}: {what}",
    "faults.is": "is {word} {early} {low:plain}",
    "faults.is-after": "is after {end} ({latest})",
    "faults.is-empty": "is empty",
    "faults.is-missing": "is missing",
    "faults.is-missing-2": "is missing{near}",
    "faults.is-not": "is not {format:quoted}",
    "faults.it": "it {error}",
    "faults.it-holds-sign-that-nobody": "it holds a sign that nobody sees (U+{odd})",
    "faults.kind-in-file": "{kind} in {file}",
    "faults.kinds-of-yard": "{kinds:or} of the yard",
    "faults.km-from-coordinates-one-is": "is {km} km from the coordinates ({place}); one is wrong",
    "faults.larger-or-smaller-than-any": "is larger or smaller than any number of a yard",
    "faults.larger-than-any-number-of": "is larger than any number of a yard",
    "faults.larger-than-mb-and-was": "is larger than {largest_bytes:plain} MB and was not read",
    "faults.larger-than-mb-and-was-2": (
        "{path_name}: is larger than {largest_json_bytes:plain} MB and was not read"
    ),
    "faults.larger-than-mb-mb-and": (
        "is larger than {largest:plain} MB ({size} MB) and was not read"
    ),
    "faults.last-jumped-is-after-today": "{at}: last_jumped {last_jumped} is after today ({today})",
    "faults.latitude-and-longitude": "latitude and longitude",
    "faults.latitude-and-longitude-must-be": "latitude and longitude must be written both",
    "faults.latitude-is-off-globe-90": "latitude {latitude:plain} is off the globe (-90 to 90)",
    "faults.leads-out-of-folder-where": (
        "{folder:plain}: leads out of the folder, where nothing is written that stands in "
        "{change_file:plain}; delete that and look at every file"
    ),
    "faults.lies-near-not-in-is": (
        "{at}: {place:quoted} lies near {place_2}, not in {place_country}; is a minus sign missing?"
    ),
    "faults.longer-than-bytes": "is longer than {longest_line:plain} bytes",
    "faults.longer-than-characters": "is longer than {longest_rule:plain} characters",
    "faults.longer-than-characters-2": "is longer than {longest_name:plain} characters",
    "faults.longer-than-letters": "is longer than {longest_text} letters",
    "faults.longitude-is-off-globe-180": (
        "longitude {longitude:plain} is off the globe (-180 to 180)"
    ),
    "faults.makes-more-than-shows-with": (
        "makes more than {most_shows:plain} shows with those before it"
    ),
    "faults.makes-season-of-days-longest": (
        "makes a season of {days} days; the longest is {longest_season_days:plain}"
    ),
    "faults.missing-has-no-address-of": "is missing; {name} has no address of its own",
    "faults.missing-nominatim-asks-who-you": (
        "is missing; nominatim asks who you are (a name and an address)"
    ),
    "faults.missing-wants-one": "is missing; {name} wants one",
    "faults.missing-write-town-or-latitude": "is missing; write a town, or latitude and longitude",
    "faults.more": "{wrong}{more}",
    "faults.more-rows": " and {count:plain} more",
    "faults.must-be-above": "must be above {low:plain}",
    "faults.must-be-above-0-and": "must be above 0 and at most 1",
    "faults.must-be-above-zero": "must be above zero",
    "faults.must-be-alone": "must be {word:quoted} alone",
    "faults.must-be-at-least": "must be at least {low:plain}",
    "faults.must-be-at-most": "must be at most {high:plain}",
    "faults.must-be-section-written": "must be a section, written [{section}]",
    "faults.must-give-servers-address-like": (
        "must give the server's address (like {word} http://localhost:5000)"
    ),
    "faults.must-have-at-most-entries": "must have at most {most_rule_books:plain} entries",
    "faults.must-not-be-negative": "must not be negative",
    "faults.must-stand-in-rising-order": "must stand in rising order of hours",
    "faults.name-already": "{new:quoted} is the name already",
    "faults.name-is-borne": "a {kind} of the yard bears it",
    "faults.name-it-so": "; name it so",
    "faults.name-of-calendar": (
        "an organiser's calendar calls the show {old:quoted}, and {file} row {row:plain} says "
        "{name:quoted} in column name; write {old:quoted} there first"
    ),
    "faults.name-of-organisers-show": "an organiser calls another show so",
    "faults.name-of-place": "a place is called so, and distances.csv would mean the place",
    "faults.nearly-named-like-name-it": "is nearly named like {settings}; name it so, or otherwise",
    "faults.neither-year-yyyy-nor-date": "is neither a year (YYYY) nor a date (YYYY-MM-DD){dates}",
    "faults.neither-yes-nor-no": "is neither yes nor no",
    "faults.nested-too-deep": "is nested too deep",
    "faults.nests-more-than-components": "nests more than {deepest:plain} components",
    "faults.new-name-is-empty": "the new name is empty",
    "faults.no-address-like-httpsgeocoderexampleorg": (
        "is no address (like https://geocoder.example.org)"
    ),
    "faults.no-calendar-file-it-holds": "is no calendar file (it holds no VCALENDAR)",
    "faults.no-change-that-tripkit-began": "{path}: is no change that tripkit began; delete it",
    "faults.no-class-and-no-result": "{at}: no class and no result counts for series {name:quoted}",
    "faults.no-column-of-this-file": "is no column of this file; row 1 holds their names ({named})",
    "faults.no-country-like-us-or": "is no country (like US or Germany)",
    "faults.no-date-or-time-such": "is no date or time such as 20270507 or 20270507T080000Z",
    "faults.no-division": "is no division{choice}",
    "faults.no-duration-such-as-p3d": "is no duration such as P3D",
    "faults.no-file-of-yard-folder": "is no file of a yard folder",
    "faults.no-header": "is no header: {said}",
    "faults.no-key": "is no {kind}{near}",
    "faults.no-kind-of-name-there": "{kind:quoted} is no kind of name (there are {kinds})",
    "faults.no-known-paper": "is no known paper{choice}",
    "faults.no-name": "is no name",
    "faults.no-name-of-kind": "is no {what}{near}",
    "faults.no-of-yard": "{old:quoted} is no {kind} of the yard{near}",
    "faults.no-rule-book": "is no rule book (there are {known}){near}",
    "faults.no-rule-such-as-freqweeklycount3": "is no rule such as FREQ=WEEKLY;COUNT=3",
    "faults.no-rule-such-as-freqweeklycount3-2": "is no rule such as FREQ=WEEKLY;COUNT=3 ({error})",
    "faults.no-section-of-yardtoml": "is no section of yard.toml{near}",
    "faults.no-sheet-of-yard": "is no sheet of a yard",
    "faults.no-stop": "is no place, show or base, nor home{near}",
    "faults.only-vehicles-stand": "stands beside {who}, and only a vehicle stands somewhere",
    "faults.no-town": (
        "is no town {country}in the gazetteer (write latitude and longitude){online}{suggest}"
    ),
    "faults.no-town-in-gazetteer-leave": (
        "is no town{of} in the gazetteer (leave it out, or mend it)"
    ),
    "faults.no-value-of-fact": "is no value of a fact",
    "faults.no-vehicle-any-more-its": (
        "{vehicle} is no vehicle any more: its {count} drives up to {today} and the outings "
        "they led to count for nothing; keep its row in vehicles.csv and write down an absence"
    ),
    "faults.no-weekday": "is no day of the week (Monday to Sunday){near}",
    "faults.no-zone": "is no time zone of the IANA database (like Europe/Berlin){near}",
    "faults.none-of": "is none of {words}",
    "faults.none-of-2": "is none of {words}{near}",
    "faults.none-of-3": "is none of {goal_ids}, {tour_goal}",
    "faults.none-of-english-is-written": (
        "{where} {word:quoted} is none of {languages}; English is written"
    ),
    "faults.none-of-name": "is none of {goals}, {tour_goal:plain}NAME",
    "faults.not-amount-with-up-to": "is not an amount with up to two decimals",
    "faults.not-country-of-in": (
        "is not the country of {key:quoted} in {venues_file:plain}, {place_country}"
    ),
    "faults.not-csv-from-here-on": "is not CSV from here on ({error})",
    "faults.not-date-from-to": "is not a date from {first_year:plain} to {last_year:plain}",
    "faults.not-date-yyyymmdd": "is not a date (YYYY-MM-DD)",
    "faults.not-date-yyyymmdd-2": "is not a date (YYYY-MM-DD){dates}",
    "faults.not-ended-before-next": "is not ended before the next {what}",
    "faults.not-file": "is not a file",
    "faults.not-finite-number": "{value:plain} is not a finite number",
    "faults.not-finite-number-2": "is not a finite number",
    "faults.not-first-day-last-day": "is not [first day, last day]",
    "faults.not-folder-or-workbook": "is not a folder or a workbook ({workbook_mark:plain}){other}",
    "faults.not-from-to": "is not from {low} to {high}",
    "faults.not-hoursdays-with-blanks-between": (
        "is not hours:days with blanks between (like 8:1 12:2 24:3)"
    ),
    "faults.not-in-years-to": "is not in the years {first_year:plain} to {last_year:plain}",
    "faults.not-json": "{name}: is not JSON: {error}",
    "faults.not-json-from-row-on": (
        "{name}: is not JSON from row {lineno} on; plan again, or put back a copy of it"
    ),
    "faults.not-json-nested-too-deep": "{name}: is not JSON: nested too deep",
    "faults.not-list": "is not a list [...]",
    "faults.not-list-of-hours-days": "is not a list of [hours, days] (like [[8, 1], [12, 2]])",
    "faults.not-list-of-texts-like": 'is not a list of texts (like ["us", "eu"])',
    "faults.not-number": "is not a number",
    "faults.not-number-write-decimal-point": (
        "is not a number: write a decimal point, and nothing between thousands"
    ),
    "faults.not-number-written-like-12345": "is not a number (written like 1234.5)",
    "faults.not-number-written-without-quotation": (
        "is not a number (written without quotation marks)"
    ),
    "faults.not-object": "is not an object {{...}}",
    "faults.not-of-year-from-to": "is not of a year from {first_year:plain} to {last_year:plain}",
    "faults.not-read-because-folder-has": (
        "{path_name}: is not read, because the folder has CSV files"
    ),
    "faults.not-read-because-tripkit-wrote": (
        "{path_name}: is not read, because tripkit wrote it as an answer"
    ),
    "faults.not-read-it-is-nearly": "is not read: it is nearly named like {table}{mark}{also}",
    "faults.not-read-name-it": "is not read; name it {settings}",
    "faults.not-read-name-it-csv": "is not read; name it {table}.csv",
    "faults.not-readable-xlsx-workbook": "is not a readable .xlsx workbook ({name}: {error})",
    "faults.not-share-05-13-or": "is not a share (0.5, 1/3 or 50%)",
    "faults.not-outings-wanted": (
        "is not how many outings are wanted (`4 to 6`, `from 4` or `to 6`; of 4-6 a spreadsheet "
        "makes a date)"
    ),
    "faults.not-text": "is not a text",
    "faults.not-text-put-it-in": "is not text (put it in quotation marks)",
    "faults.not-this-yard": "is not this yard, {yard_name:quoted}",
    "faults.not-this-yards-season-to": (
        "is {was}, not this yard's season, {season_first} to {season_last}; plan again"
    ),
    "faults.not-time-of-day-hhmm": "is not a time of day (HH:MM)",
    "faults.not-time-to-minute": "{moment:plain} is not a time to the minute",
    "faults.not-time-with-offset-yyyymmddthhmmhhmm": (
        "is not a time with offset (YYYY-MM-DDTHH:MM+HH:MM)"
    ),
    "faults.not-toml": "is not TOML: {error}",
    "faults.not-utf8": "{path_name}: is not UTF-8",
    "faults.not-utf8-byte-0x-save": "is not UTF-8 (byte 0x{bad}); save it as UTF-8 ('CSV UTF-8')",
    "faults.not-utf8-everywhere-read-as": (
        "{file}: is not UTF-8 everywhere; {count:plain} {count:line was|lines were} read as "
        "Windows-1252"
    ),
    "faults.not-true-or-false": "is not true or false",
    "faults.not-whole-number": "is not a whole number",
    "faults.not-whole-number-above-zero": "{name} is not a whole number above zero",
    "faults.not-xlsx-workbook": "is not an .xlsx workbook{hint}",
    "faults.of-drives-are-from-road": (
        "{len_wanted:plain} of {len_wanted_2} drives are from the road network instead"
    ),
    "faults.of-is-after-today-is": "{at}: {what} of {date} is after today ({today}); is it done?",
    "faults.of-no-use-has-its": "is of no use: {name} has its own address",
    "faults.of-no-use-takes-no": "is of no use: {name} takes no key",
    "faults.off-globe-to": "is off the globe (-{most} to {most})",
    "faults.offers-no-classes": "{at}: {show:quoted} offers no classes",
    "faults.one-cell-merged-over-unmerge": (
        "is one cell merged over {over}; unmerge it and write each cell"
    ),
    "faults.one-of-more-than-that": "is one of more than {most_repeating:plain} that come again",
    "faults.one-of-several-workbooks-keep": "is one of several workbooks ({names}); keep one",
    "faults.outside-season": (
        "{file}: {count} {count:event was|events were} left out, more than a month before or "
        "after the season"
    ),
    "faults.outside-shows-days-to": "is outside the show's days {first} to {last}",
    "faults.paper-is-kept-but-no": (
        "{at}: paper {paper:quoted} is kept, but no rule book asks for it"
    ),
    "faults.papers-rules-is-missing-no": (
        "{settings_file:plain}: [papers] rules is missing; no paper is asked for"
    ),
    "faults.placed-at-by": "{text:quoted} is placed at {point} by {source}",
    "faults.plans-call-driver-so-whom": "plans call a driver so whom nobody named",
    "faults.plans-use-word-themselves": "plans use the word themselves",
    "faults.read-as-us-zip-code": "{text:quoted} is read as a US ZIP code, {place}",
    "faults.read-for-this": "is read for this",
    "faults.row-span": "{first:plain} to {last:plain}",
    "faults.rows": "{files:*; }",
    "faults.rows-lost": "{table} (row {row:plain}{more})",
    "faults.rows-of": "{file} {count:row|rows} {spans}{more}",
    "faults.rule-stands-in-no-book": (
        "{local_file:plain}: rule {rule_id:quoted} stands in no book asked here; it is added{near}"
    ),
    "faults.same-aim-in-words": (
        "makes {title:quoted} of this aim, as {where} does; another name has to tell them apart"
    ),
    "faults.same-place-as-from": "is the same place as from, {start:quoted}",
    "faults.save-as": "save it as one {mark} workbook, or each sheet as a CSV file",
    "faults.save-it-as-csv": "{wanted}; save it as {table}.csv",
    "faults.second-passport-in-has-not": (
        "is a second passport: {number:quoted} in {where} has not ended by {date}; write its "
        "valid_until, or one number"
    ),
    "faults.second-sheet-of-keep-one": "is a second sheet of {name}; keep one",
    "faults.seems-to-lie-across-water": (
        "{where} seems to lie across water from the nearest main road known; if no road leads "
        "there, write the way with its ferry, or 'closed', into distances.csv"
    ),
    "faults.shares-of-sum-to-not": "the shares of {horse:quoted} sum to {total}, not 1{hint}",
    "faults.sharescsv-is-missing-costs-are": (
        "shares.csv: is missing; costs are not shared among owners"
    ),
    "faults.sheet-is-too-large": (
        "a sheet has more than {most:plain} cells; delete what stands far right"
    ),
    "faults.sheet-is-too-long": "a sheet has no row beyond {most:plain}",
    "faults.show-home-or-road": "show or base of the yard, home or road",
    "faults.show-nor-home": "show or base of the yard, nor home",
    "faults.showscsv-no-main-roads-are": (
        "shows.csv: no main roads are known from home to {named}: the way is the straight line "
        "x {factor}, even across water; write your own into distances.csv"
    ),
    "faults.showscsv-no-road-or-ferry": (
        "shows.csv: no road or ferry is known from home to {end:quoted}; write the way into "
        "distances.csv"
    ),
    "faults.showscsv-place-is-0-km": (
        "shows.csv: place {end:quoted} is 0 km from home; write coordinates, or the way into "
        "distances.csv"
    ),
    "faults.speed-of-kmh-is-above": (
        "{settings_file:plain}: a speed of {speed_kmh} km/h is above the {limit_kmh} km/h of a "
        "heavy lorry in {home_country} ({limit_source})"
    ),
    "faults.spreadsheet-program-takes-what-begins": (
        "a spreadsheet program takes what begins with {new_first:quoted} for more"
    ),
    "faults.stands-already-in": "stands already in {where}{shared}",
    "faults.stands-already-in-2": "stands already in {where}",
    "faults.stands-already-in-row": "stands already in row {number}",
    "faults.stands-beside": "stands beside {other}: keep one",
    "faults.stands-beside-horse-paper-has": "stands beside horse: a paper has one holder",
    "faults.stands-between-names-of-several": ("';' stands between the names of several people"),
    "faults.stands-beyond-columns-of-header": (
        "stands beyond the {len_header:plain} columns of the header; put quotation marks "
        "around a cell that holds the separator"
    ),
    "faults.stands-here-more-than-once": "stands here more than once",
    "faults.stands-in-column-which-has": (
        "stands in column {column}, which has no name in row 1; name it or empty it{more}"
    ),
    "faults.stands-in-header-more-than": "stands in the header more than once",
    "faults.stands-in-no-other-file": (
        "stands in no other file, while {name:quoted}, which is not here, stands in {where}; "
        "did you mean {name:quoted}?"
    ),
    "faults.stops-in-middle-is-not": "stops in the middle: {stack} is not ended",
    "faults.there-are": "; there are {names}",
    "faults.there-is-newer-state-of": (
        "{where}: there is a newer state of it, which is read instead"
    ),
    "faults.there-is-no-such-folder": "there is no such folder or workbook",
    "faults.to-are-not-days-of": (
        "to {last} are not the days of its classes, {min_days} to {max_days} ({where})"
    ),
    "faults.told": "{said}",
    "faults.too-long": "is too long",
    "faults.town-country-or-latitude-and": "'Town, COUNTRY' or latitude and longitude",
    "faults.town-st-or-latitude-and": "'Town, ST' or latitude and longitude",
    "faults.unpacks-to-more-than-mb": (
        "unpacks to more than {largest_unpacked_bytes:plain} MB and was not read"
    ),
    "faults.value": "{at}: {quote}{wanted}",
    "faults.value-2": "{words}, {place_country}",
    "faults.value-3": "; {save_as}",
    "faults.value-4": "; {answer}",
    "faults.value-6": "{settings_file:plain}: {failure}; {instead}",
    "faults.vehicle-nor-car": "vehicle of the yard, nor car",
    "faults.was-changed-while-tripkit-had": (
        "{folder:plain}: was changed while tripkit had changed the folder by half; put back "
        "what stood there, or delete {change_file:plain} and look at every file"
    ),
    "faults.what-is-published-cannot-be": (
        "what is published cannot be read, so nobody knows what has begun: {fact}"
    ),
    "faults.where-column": "{rows}, column {column}",
    "faults.where-column-of-file": "{rows} column {column}",
    "faults.where-setting": "{rows} setting {column}",
    "faults.wherever": "{what} ({rows})",
    "faults.with-the-same": " with the same {columns:* and }",
    "faults.without-password": "; save it as one, without a password",
    "faults.word-that-plans-use-themselves": (
        "is a word that plans use themselves; name it otherwise"
    ),
    "faults.workbook-beside-csv-files": "is a workbook beside CSV files",
    "faults.workbook-of-answers-that-tripkit": (
        "is a workbook of answers that tripkit wrote, not a yard"
    ),
    "faults.number-of-the-yard": (
        "{at}: {name} is a number of the whole plan and is not kept for one horse; write "
        "it into {settings_file:plain} [limits]"
    ),
    "faults.would-be-and-outside-to": (
        "would be {day} and outside {show}, {after_first} to {after_last}: write the new day "
        "of class {get:quoted} there, or delete the row, and import again"
    ),
    "faults.would-be-read-as-file": (
        "{target}: would be read as a file of the yard; write to another folder"
    ),
    "faults.write-dates": ": write {dates:or}",
    "faults.yards-own-place-which-stands": "is the yard's own place, which stands in yard.toml",
}
