"""A drive in one line, as the map tells it, and how long a road is."""

SENTENCES = {
    "journeys.km": "{length:number} km",
    "journeys.miles": "{length:number} miles",
    "journeys.about-km": "about {length:number} km, {error:whole} % either way",
    "journeys.about-miles": "about {length:number} miles, {error:whole} % either way",
    "journeys.leg": (
        "{day:weekday}, {start} {depart:clock} {depart_zone} to {end} {arrive} {arrive_zone}: "
        "{aboard}; {lorry}{driven}; {distance}, {driving:.1} h of driving; {stops}."
    ),
    "journeys.map": "Map of the drives of {circuits:and}",
    "journeys.blank-map": "Map",
    "journeys.home": "home",
    "journeys.empty": "empty",
    "journeys.names": "{names:and}",
    "journeys.driven-by": ", driven by {drivers:and}",
    "journeys.unnamed-driver": "unnamed driver {number:plain}",
    "journeys.no-stop": "no stop",
    "journeys.stops": "stops: {stops}",
    "journeys.at": "{at:clock}",
    "journeys.at-day": "{day:weekday} {at:clock}",
    "journeys.stop-water": "water {start}{near}",
    "journeys.stop-break": "break {start}{near}",
    "journeys.stop-overnight": "night {start} to {end}{near}",
    "journeys.near": " near {town}",
}
