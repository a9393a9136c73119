"""Numbers with their units."""

SENTENCES = {
    "units.span": "{first} to {last}",
    "units.days": "{count:number} {count:day|days}",
    "units.clear-days": "{count:number} clear {count:day|days}",
    "units.hours": "{hours:number} h",
    "units.minutes": "{count:number} min",
    "units.hours-minutes": "{hours:number} h {rest} min",
    "units.km": "{count:number} km",
    "units.miles": "{count:number} {count:mile|miles}",
    "units.mi": "{count:number} mi",
    "units.km-tenths": "{count:.1} km",
    "units.miles-tenths": "{count:.1} miles",
    "units.kmh": "{count:number} km/h",
    "units.mph": "{count:number} mph",
    "units.percent": "{count:number}%",
}
