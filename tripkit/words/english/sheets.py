"""What a travel sheet says; values are markup already, so no sentence here holds its signs."""

SENTENCES = {
    # The whole page
    "sheets.title": "{start} to {end}, {day:full}",
    "sheets.titles": "Travel sheets of {circuit}, {yard}",
    "sheets.drives": "Drives",
    "sheets.drive": "{day:weekday}: {start} to {end}, {lorry}",
    "sheets.no-drive": "No lorry drives in it.",
    "sheets.broken": "This plan breaks rules of the yard",
    "sheets.number": "Travel sheet {number:whole} of {count:whole}, {circuit}",
    "sheets.way": "to",
    "sheets.day": "{day:full}",
    "sheets.days": "{first:full} to {last:full}",
    "sheets.hours-minutes": "{hours:whole} h {minutes}",
    "sheets.hours": "{hours:whole} h",
    "sheets.minutes": "{minutes:whole} min",
    # The season of a lorry or person
    "sheets.seasons": "Seasons of lorries and people, {circuit}, {yard}",
    "sheets.season": "Season of {who}",
    "sheets.week": "Week of {day:weekday}",
    "sheets.week-sum": "{parts:*; }",
    "sheets.week-drives": "{driving} in {count:whole} {count:drive|drives}",
    "sheets.week-free": "{count:whole} {count:day|days} without a drive",
    "sheets.week-nights": "{count:whole} {count:night|nights} away",
    "sheets.week-classes": "{count:whole} {count:class|classes}",
    "sheets.spell-days": "{days:weekday}",
    "sheets.spell-drive": "{start} to {end}{aboard}",
    "sheets.spell-aboard": ", with {horses:and}",
    "sheets.spell-hours": "{depart:clock} to {arrive:clock}, {driving}",
    "sheets.spell-stays": "{place}, {count:whole} {count:night|nights}",
    "sheets.spell-way": "{start} to {end}, {by}",
    "sheets.spell-rides": "{place}, rides {horses:and}, {count:whole} {count:class|classes}",
    "sheets.spell-absent": "absent{why}",
    "sheets.spell-because": ": {reason}",
    "sheets.by-car": "by car",
    "sheets.head-hours": "Hours",
    "sheets.head-stays": "Then",
    # Lorry, crew and road
    "sheets.from": "From",
    "sheets.to": "To",
    "sheets.road": "Road",
    "sheets.road-told": "{distance}; {driving} of driving, stops not counted",
    "sheets.distance": "{distance} ({source})",
    "sheets.lorry": "Lorry",
    "sheets.horses-places": "{horses:whole} {horses:horse|horses}, {places:whole} places",
    "sheets.horses": "{horses:whole} {horses:horse|horses}",
    "sheets.empty": "empty",
    "sheets.driver": "{count:Driver|Drivers}",
    "sheets.crew": "{drivers:and}",
    "sheets.no-driver": "not named: ",
    "sheets.ferry": "Ferry",
    "sheets.ferry-told": "{ferry} of it, with waiting",
    "sheets.north": "{degrees}\N{DEGREE SIGN} N",
    "sheets.south": "{degrees}\N{DEGREE SIGN} S",
    "sheets.east": "{degrees}\N{DEGREE SIGN} E",
    "sheets.west": "{degrees}\N{DEGREE SIGN} W",
    # The timetable
    "sheets.timetable": "Timetable",
    "sheets.head-day": "Day",
    "sheets.head-time": "Local time",
    "sheets.head-what": "What and where",
    "sheets.head-stop": "Stop",
    "sheets.head-driven": "Driven since the last",
    "sheets.driven": "driven",
    "sheets.short-day": "{day:weekday}",
    "sheets.leave": "Leave {place}",
    "sheets.arrive": "Arrive {place}",
    "sheets.stop-water": "Water the horses{near}",
    "sheets.stop-break": "Driver's break{near}",
    "sheets.stop-overnight": "Night stop{near}",
    "sheets.near": ", near {town}",
    "sheets.until": "{lasts}, until {at:clock}",
    "sheets.until-day": "{lasts}, until {day:weekday} {at:clock}",
    "sheets.clocks-ahead": "Clocks at {end} are {difference} ahead of those at {start}.",
    "sheets.clocks-behind": "Clocks at {end} are {difference} behind those at {start}.",
    "sheets.clocks-forward": "Clocks go forward by {difference} on the way.",
    "sheets.clocks-back": "Clocks go back by {difference} on the way.",
    # Horses and papers
    "sheets.aboard": "Aboard, and the papers to carry",
    "sheets.head-horse": "Horse",
    "sheets.paper-passport": "Passport",
    "sheets.paper-coggins": "Coggins test",
    "sheets.paper-health_certificate": "Health certificate",
    "sheets.paper-influenza": "Influenza, last dose",
    "sheets.paper-herpes": "Herpes, last dose",
    "sheets.sex-mare": "mare",
    "sheets.sex-gelding": "gelding",
    "sheets.sex-stallion": "stallion",
    "sheets.born": "born {year:whole}",
    "sheets.no-paper": "none on file",
    "sheets.given": "{day:dated}",
    "sheets.given-planned": "{day:dated} (planned)",
    "sheets.valid-until": "valid until {day:dated}",
    # Hay and water
    "sheets.load": "Hay and water to load",
    "sheets.hay-road": "Hay for the road",
    "sheets.water-road": "Water for the road",
    "sheets.hay-stay": "Hay for the stay, if you bring your own",
    "sheets.days-each": "{days:whole} {days:day|days}",
    "sheets.horse-days": "{count:whole} horse-days ({each})",
    "sheets.kg": "{low:1} to {high:1} kg",
    "sheets.litres": "{low:1} to {high:1} litres",
    "sheets.pounds": " ({low:number} to {high:number} lb)",
    "sheets.gallons": " ({low:number} to {high:number} US gal)",
    "sheets.load-note": (
        "Guidance, no rule; less water where you can fill up on the way. The days on the grounds "
        "are those between the two drives."
    ),
    "sheets.hay-source": (
        "Hay: {amount} a day for a horse of 500 kg ({low:1} to {high:1} % of its weight, Merck "
        "Veterinary Manual)."
    ),
    "sheets.water-source": (
        "Water: {amount} a day for a horse of 500 kg (on hay and hard feed; about double on hay "
        "alone, never below 25; Merck Veterinary Manual and Kentucky Equine Research)."
    ),
    # Telephone and cautions
    "sheets.telephone": "Telephone",
    "sheets.emergency": "Emergency",
    "sheets.contact-home": "Home yard",
    "sheets.contact-driver": "Driver",
    "sheets.contact-office": "Show office",
    "sheets.contact-stables": "Stable manager",
    "sheets.contact-vet": "Vet on the way",
    "sheets.night-stables": "Night stables",
    "sheets.night-stables-near": "Night stables near {town}",
    "sheets.caution": (
        "Whether a horse is fit to travel is for a vet to decide, on the day. Current rule books "
        "and the law rule."
    ),
    "sheets.coordinates": (
        "Coordinates are the middle of the town, unless the yard wrote its own: ask the show for "
        "its gate."
    ),
    "sheets.empty-lorry": "The lorry is empty: no papers, no hay, no water.",
    "sheets.no-rules": "Driver: no driving rules are chosen in yard.toml; the law rules.",
    "sheets.rules": (
        "Driver: at most {hours:1} h of driving a day{duty}{halt}{rest} ({source}). Whether they "
        "hold for this lorry is for its driver to know."
    ),
    "sheets.rules-duty": " within {hours:1} h of coming on duty",
    "sheets.rules-halt": (
        ", a break of {minutes:whole} min at the latest after {hours:1} h of driving"
    ),
    "sheets.rules-rest": ", {hours:1} h of rest before the next day",
}
