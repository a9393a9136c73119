"""What driver and groom take along on a drive: one printed page a leg, as HTML text.

A page holds the lorry and its crew, the times at both ends, every stop, the horses aboard with the
papers to carry, the hay and water to load, and empty lines for telephone numbers. It asks nothing
of any other address, prints on A4 and Letter alike, and every name in it is escaped.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from html import escape
from zoneinfo import ZoneInfo

from tripkit.driving.rules import find_rules
from tripkit.words.journeys import find_error_percent, write_about, write_names
from tripkit.yard.circuit import Circuit, Leg
from tripkit.yard.days import MONTHS
from tripkit.yard.papers import Paper
from tripkit.yard.places import HOME, Place
from tripkit.yard.yard import Yard

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
POUNDS_PER_KG = 2.20462
US_GALLONS_PER_LITRE = 0.264172


@dataclass(frozen=True)
class Ration:
    """What one horse of 500 kg eats or drinks in a day, from low to high, in kg or litres."""

    what: str
    low: float
    high: float
    unit: str
    source: str


HAY = Ration(
    "Hay",
    7.5,
    10.0,
    "kg",
    "1.5 to 2 % of its weight, Merck Veterinary Manual",
)
WATER = Ration(
    "Water",
    21.0,
    29.0,
    "litres",
    "on hay and hard feed; about double on hay alone, never below 25; Merck Veterinary Manual and "
    "Kentucky Equine Research",
)
"""**Source:** Merck Veterinary Manual (forage, minimum of 5 litres per 100 kg); Kentucky Equine
Research (water); guidance, no rule."""

CARRIED = (
    ("passport", "Passport"),
    ("coggins", "Coggins test"),
    ("health_certificate", "Health certificate"),
    ("influenza", "Influenza, last dose"),
    ("herpes", "Herpes, last dose"),
)
"""The papers a sheet tells of; of those not asked for, a kind that no horse has is left out."""

ASKED_FOR = ("passport", "health_certificate", "influenza")
# Made out shortly before a drive: a plan of weeks ahead cannot know it.
FILLED_IN = "health_certificate"

STOPS = {"water": "Water the horses", "break": "Driver's break", "overnight": "Night stop"}
BROKEN = "This plan breaks rules of the yard"
CONTACTS = ("Home yard", "Driver", "Show office", "Stable manager", "Vet on the way")
CAUTION = (
    "Whether a horse is fit to travel is for a vet to decide, on the day. Current rule books and "
    "the law rule."
)
COORDINATES = (
    "Coordinates are the middle of the town, unless the yard wrote its own: ask the show for its "
    "gate."
)


def write_travel_sheet(yard: Yard, circuit: Circuit, leg: Leg) -> str:
    """One leg of a circuit as a page to print."""
    number = circuit.legs.index(leg) + 1
    return _write_page(
        f"{_name_end(yard, leg.start)} to {_name_end(yard, leg.end)}, {_say_day(leg.depart)}",
        [_write_leg(yard, circuit, leg, number)],
    )


def write_travel_sheets(yard: Yard, circuit: Circuit, broken: Sequence[str] = ()) -> str:
    """Every leg of a circuit, a printed page each, in the order of their departures.

    `broken` is what the circuit breaks, a line each: a page of its own, and a word on every sheet.
    """
    warning = f'<p class="lack">{_text(BROKEN)}</p>' if broken else ""
    sheets = [
        (leg, number, _write_leg(yard, circuit, leg, number, warning))
        for number, leg in enumerate(circuit.legs, start=1)
    ]
    sheets.sort(key=lambda sheet: (sheet[0].depart, sheet[1]))
    contents = "".join(
        f'<li><a href="#leg-{number}">{_say_short_day(leg.depart)}: '
        f"{_text(_name_end(yard, leg.start))} to {_text(_name_end(yard, leg.end))}, "
        f"{_text(leg.vehicle)}</a></li>"
        for leg, number, _ in sheets
    )
    contents = f'<nav aria-label="Drives"><h1>{_text(circuit.name)}</h1><ol>{contents}</ol></nav>'
    if not sheets:
        contents = f"<nav><h1>{_text(circuit.name)}</h1><p>No lorry drives in it.</p></nav>"
    told = "".join(f"<p>{_text(line)}</p>" for line in broken)
    first = f'<article role="alert"><header>{warning}</header>{told}</article>' if broken else ""
    return _write_page(
        f"Travel sheets of {circuit.name}, {yard.name}", [first, contents, *(s for *_, s in sheets)]
    )


def count_road_days(leg: Leg) -> int:
    """Calendar days from departure to arrival, both counted, local at each end [days]."""
    return (leg.arrive.date() - leg.depart.date()).days + 1


def count_grounds_days(circuit: Circuit, leg: Leg, horse: str) -> int:
    """Whole days that a horse stands where a leg takes it, before it is driven away [days].

    The days of arrival and departure are days on the road. 0 at home, and where nothing says when
    it goes on.
    """
    if leg.end == HOME:
        return 0
    onward = [
        other.depart.date()
        for other in circuit.legs
        if horse in other.horses and other.depart >= leg.arrive
    ] or [
        outing.leave
        for outing in circuit.outings
        if outing.horse == horse and outing.show == leg.end and outing.leave >= leg.arrive.date()
    ]
    return max(0, (min(onward) - leg.arrive.date()).days - 1) if onward else 0


# Pieces of a sheet


def _write_leg(yard: Yard, circuit: Circuit, leg: Leg, number: int, warning: str = "") -> str:
    depart, arrive = _find_times(yard, leg)
    parts = [
        f'<header><p class="kind">Travel sheet {number} of {len(circuit.legs)}, '
        f"{_text(circuit.name)}</p>"
        f"<h1>{_text(_name_end(yard, leg.start))} <span>to</span> "
        f"{_text(_name_end(yard, leg.end))}</h1>"
        f'<p class="day">{_say_day(depart)}'
        + (f" to {_say_day(arrive)}" if arrive.date() != depart.date() else "")
        + f"</p>{warning}</header>",
        _write_facts(yard, leg),
        _write_timetable(yard, leg),
    ]
    if leg.horses:
        parts += [_write_aboard(yard, leg), _write_load(yard, circuit, leg)]
    parts.append(_write_contacts(leg))
    parts.append(f"<footer>{_write_cautions(yard, leg)}</footer>")
    name = "" if leg.horses else ' class="empty"'
    return f'<article id="leg-{number}"{name}>{"".join(parts)}</article>'


def _write_facts(yard: Yard, leg: Leg) -> str:
    drive = yard.roads.find_drive(yard.place_key_of(leg.start), yard.place_key_of(leg.end))
    error_percent = find_error_percent(yard, leg)
    distance = write_about(leg.km, error_percent, yard.units)
    if drive and drive.source:
        distance += f" ({drive.source})"
    crew = write_names(leg.drivers) if leg.drivers else "not named: "
    aboard = f"{len(leg.horses)} {'horse' if len(leg.horses) == 1 else 'horses'}"
    vehicle = yard.vehicle_by_name.get(leg.vehicle)
    if vehicle:
        aboard += f", {vehicle.places} places"
    facts = [
        ("From", _write_place(yard, leg.start)),
        ("To", _write_place(yard, leg.end)),
        ("Road", f"{_text(distance)}; {_say_hours(leg.hours)} of driving, stops not counted"),
        ("Lorry", f"{_text(leg.vehicle)} ({aboard if leg.horses else 'empty'})"),
        ("Driver" if len(leg.drivers) < 2 else "Drivers", _text(crew) + _blank(not leg.drivers)),
    ]
    if drive and drive.ferry_hours:
        facts.append(("Ferry", f"{_say_hours(drive.ferry_hours)} of it, with waiting"))
    return _write_pairs(facts)


def _write_place(yard: Yard, at: str) -> str:
    place = yard.place_of(at)
    show = yard.show_by_name.get(at)
    said = yard.name if at == HOME else (show.name if show and show.name else at)
    town = ", ".join(part for part in (place.name, place.region, place.country) if part)
    return f"{_text(said)}<br>{_text(town)}<br><small>{_say_coordinates(place)}</small>"


def _say_coordinates(place: Place) -> str:
    north = f"{abs(place.latitude):.4f}\N{DEGREE SIGN} {'N' if place.latitude >= 0 else 'S'}"
    east = f"{abs(place.longitude):.4f}\N{DEGREE SIGN} {'E' if place.longitude >= 0 else 'W'}"
    return f"{north}, {east}"


def _find_times(yard: Yard, leg: Leg) -> tuple[datetime, datetime]:
    zones = (ZoneInfo(yard.place_of(at).timezone) for at in (leg.start, leg.end))
    depart, arrive = (
        at.astimezone(zone) for at, zone in zip((leg.depart, leg.arrive), zones, strict=True)
    )
    return depart, arrive


def _write_timetable(yard: Yard, leg: Leg) -> str:
    depart, arrive = _find_times(yard, leg)
    rows = [(depart, f"Leave {_text(_name_end(yard, leg.start))}", "", "")]
    driven, since = 0.0, leg.depart
    for stop in leg.stops:
        stage = (stop.start - since).total_seconds() / 3600
        driven += stage
        since = stop.start + timedelta(minutes=stop.minutes)
        at = _place_in_zone(stop.start, depart, arrive)
        until = _place_in_zone(since, depart, arrive)
        lasts = f"{stop.minutes} min" if stop.minutes < 180 else _say_hours(stop.minutes / 60)
        day = f"{_say_short_day(until)} " if until.date() != at.date() else ""
        where = f", near {_text(stop.near)}" if stop.near else ""
        rows.append(
            (
                at,
                f"{STOPS.get(stop.kind, _text(stop.kind))}{where}",
                f"{lasts}, until {day}{until:%H:%M}",
                _say_hours(stage),
            )
        )
    rows.append(
        (
            arrive,
            f"Arrive {_text(_name_end(yard, leg.end))}",
            "",
            _say_hours((leg.arrive - since).total_seconds() / 3600),
        )
    )
    written, last = "", None
    for at, what, lasts, stage_said in rows:
        day = _say_short_day(at) if at.date() != last else ""
        last = at.date()
        written += (
            f'<tr><td>{day}</td><th scope="row">{at:%H:%M} <small>{_text(at.tzname())}</small></th>'
            f'<td>{what}</td><td>{lasts}</td><td data-head="driven">{stage_said}</td></tr>'
        )
    return (
        '<section class="times"><h2>Timetable</h2><table><thead><tr><th>Day</th>'
        "<th>Local time</th><th>What and where</th><th>Stop</th><th>Driven since the last</th></tr>"
        f"</thead><tbody>{written}</tbody></table>{_write_clocks(yard, leg)}</section>"
    )


def _place_in_zone(moment: datetime, depart: datetime, arrive: datetime) -> datetime:
    """A moment on the way in the zone of the end whose clock it was written by."""
    for end in (depart, arrive):
        there = moment.astimezone(end.tzinfo)
        if there.utcoffset() == moment.utcoffset():
            return there
    return moment.astimezone(depart.tzinfo)


def _write_clocks(yard: Yard, leg: Leg) -> str:
    """What a driver must know of clocks: another zone at the end, a change on the way."""
    depart, arrive = _find_times(yard, leg)
    notes = []
    at_start = arrive.astimezone(depart.tzinfo)
    ahead = _count_minutes(arrive) - _count_minutes(at_start)
    if ahead:
        notes.append(
            f"Clocks at {_name_end(yard, leg.end)} are {_say_minutes(abs(ahead))} "
            f"{'ahead of' if ahead > 0 else 'behind'} those at {_name_end(yard, leg.start)}."
        )
    moved = _count_minutes(at_start) - _count_minutes(depart)
    if moved:
        notes.append(
            f"Clocks go {'forward' if moved > 0 else 'back'} by {_say_minutes(abs(moved))} "
            "on the way."
        )
    return f'<p class="note">{_text(" ".join(notes))}</p>' if notes else ""


def _count_minutes(moment: datetime) -> int:
    return round((moment.utcoffset() or timedelta()).total_seconds() / 60)


def _write_aboard(yard: Yard, leg: Leg) -> str:
    kinds = [
        (kind, head)
        for kind, head in CARRIED
        if kind in ASKED_FOR
        or any((horse.horse, kind) in yard.papers_by_holder for horse in yard.horses)
    ]
    heads = "".join(f"<th>{head}</th>" for _, head in kinds)
    rows = "".join(
        f'<tr><th scope="row">{_text(horse)}{_describe(yard, horse, leg)}</th>'
        + "".join(
            f'<td data-head="{head}">{_write_paper(yard, horse, kind, leg)}</td>'
            for kind, head in kinds
        )
        + "</tr>"
        for horse in leg.horses
    )
    return (
        '<section class="aboard"><h2>Aboard, and the papers to carry</h2><table><thead><tr>'
        f"<th>Horse</th>{heads}</tr></thead><tbody>{rows}</tbody></table></section>"
    )


def _describe(yard: Yard, horse: str, leg: Leg) -> str:
    known = yard.horse_by_name.get(horse)
    if known is None:
        return ""
    words = ", ".join(part for part in (known.sex, f"born {known.born.year}") if part)
    return f"<small>{_text(words)}</small>"


def _write_paper(yard: Yard, horse: str, kind: str, leg: Leg) -> str:
    """The paper that is there on the day of departure, and whether it lasts until the arrival."""
    rows = yard.papers_by_holder.get((horse, kind), ())
    there = [row for row in rows if row.date <= leg.depart.date()]
    if there and there[-1].valid_until and kind == FILLED_IN:
        there = [row for row in there if not _is_over(row, leg)]
    if not there:
        return _blank(True) if kind == FILLED_IN else '<b class="lack">none on file</b>'
    row = there[-1]
    number = f"{_text(row.number)}, " if row.number else ""
    words = number + _say_date(row.date) + (" (planned)" if _is_planned(yard, row) else "")
    if row.valid_until:
        until = f"valid until {_say_date(row.valid_until)}"
        words += "<br>" + (f'<b class="lack">{until}</b>' if _is_over(row, leg) else until)
    return words


def _is_over(row: Paper, leg: Leg) -> bool:
    return row.valid_until is not None and row.valid_until < leg.arrive.date()


def _is_planned(yard: Yard, row: Paper) -> bool:
    return row.date > yard.day_of_planning


def _write_load(yard: Yard, circuit: Circuit, leg: Leg) -> str:
    days = count_road_days(leg)
    road = [days] * len(leg.horses)
    rows = [("Hay for the road", HAY, road), ("Water for the road", WATER, road)]
    stay = [count_grounds_days(circuit, leg, horse) for horse in leg.horses]
    if sum(stay):
        rows.append(("Hay for the stay, if you bring your own", HAY, stay))
    written = "".join(
        f'<tr><th scope="row">{name}</th><td>{_multiply(ration, horse_days)}</td>'
        f"<td><b>{_say_amount(yard, ration, sum(horse_days))}</b></td></tr>"
        for name, ration, horse_days in rows
    )
    sources = " ".join(
        f"{ration.what}: {_say_number(ration.low)} to {_say_number(ration.high)} {ration.unit} a "
        f"day for a horse of 500 kg ({ration.source})."
        for ration in (HAY, WATER)
    )
    return (
        f'<section class="load"><h2>Hay and water to load</h2><table><tbody>{written}</tbody>'
        f'</table><p class="note">Guidance, no rule; less water where you can fill up on the way. '
        f"The days on the grounds are those between the two drives. {_text(sources)}</p></section>"
    )


def _multiply(ration: Ration, horse_days: Sequence[int]) -> str:
    """The sum as it is done: horses, days, what one horse takes in a day."""
    times = " \N{MULTIPLICATION SIGN} "
    if min(horse_days) == max(horse_days):
        counted = _count(len(horse_days), "horse") + times + _count(horse_days[0], "day")
    else:
        counted = f"{sum(horse_days)} horse-days ({' + '.join(map(str, horse_days))})"
    return f"{counted}{times}{_say_number(ration.low)} to {_say_number(ration.high)} {ration.unit}"


def _say_amount(yard: Yard, ration: Ration, horse_days: int) -> str:
    low, high = horse_days * ration.low, horse_days * ration.high
    said = f"{_say_number(low)} to {_say_number(high)} {ration.unit}"
    if yard.country == "US":
        factor, unit = (
            (POUNDS_PER_KG, "lb") if ration.unit == "kg" else (US_GALLONS_PER_LITRE, "US gal")
        )
        said += f" ({low * factor:,.0f} to {high * factor:,.0f} {unit})"
    return said


def _write_contacts(leg: Leg) -> str:
    nights = [stop.near for stop in leg.stops if stop.kind == "overnight"]
    names = [
        *(name for name in CONTACTS if name != "Show office" or leg.end != HOME),
        *(f"Night stables near {near}" if near else "Night stables" for near in nights),
    ]
    lines = "".join(f"<div><dt>{_text(name)}</dt><dd></dd></div>" for name in names)
    return (
        '<section class="contacts"><h2>Telephone</h2>'
        f'<dl><div class="emergency"><dt>Emergency</dt><dd></dd></div>{lines}</dl></section>'
    )


def _write_cautions(yard: Yard, leg: Leg) -> str:
    said = [_say_driving_rules(yard, leg.depart.date()), COORDINATES]
    if leg.horses:
        said.append(CAUTION)
    else:
        said.append("The lorry is empty: no papers, no hay, no water.")
    return "".join(f"<p>{_text(line)}</p>" for line in said if line)


def _say_driving_rules(yard: Yard, day: date) -> str:
    rules = find_rules(yard.driving.rules, day)
    if rules.id == "none":
        return "Driver: no driving rules are chosen in yard.toml; the law rules."
    said = f"Driver: at most {_say_number(rules.hours_per_day)} h of driving a day"
    if rules.duty_hours_per_day < 24:
        said += f" within {_say_number(rules.duty_hours_per_day)} h of coming on duty"
    if rules.halt_after_hours < 24:
        said += (
            f", a break of {rules.halt_minutes} min at the latest after "
            f"{_say_number(rules.halt_after_hours)} h of driving"
        )
    if rules.rest_hours:
        said += f", {_say_number(rules.rest_hours)} h of rest before the next day"
    return f"{said} ({rules.source}). Whether they hold for this lorry is for its driver to know."


# Words


def _write_pairs(pairs: Iterable[tuple[str, str]]) -> str:
    inside = "".join(f"<div><dt>{term}</dt><dd>{said}</dd></div>" for term, said in pairs)
    return f'<dl class="facts">{inside}</dl>'


def _blank(needed: bool) -> str:
    return '<span class="blank"></span>' if needed else ""


def _text(words: object) -> str:
    """Words as HTML, escaped; a name keeps its own direction of writing."""
    return f"<bdi>{escape(str(words))}</bdi>"


def _name_end(yard: Yard, at: str) -> str:
    return yard.name if at == HOME else at


def _say_day(day: date) -> str:
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]} {day.year}"


def _say_short_day(day: date) -> str:
    return f"{WEEKDAYS[day.weekday()][:3]} {day.day} {MONTHS[day.month - 1][:3]}"


def _say_date(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1][:3]} {day.year}"


def _say_hours(hours: float) -> str:
    return _say_minutes(round(hours * 60))


def _say_minutes(minutes: int) -> str:
    whole, rest = divmod(minutes, 60)
    return f"{whole} h {rest:02d}" if rest and whole else f"{whole} h" if whole else f"{rest} min"


def _say_number(number: float) -> str:
    return f"{number:,.1f}".removesuffix(".0")


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" + ("" if number == 1 else "s")


def _write_page(title: str, articles: Iterable[str]) -> str:
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{STYLE}</style></head>"
        f"<body>{''.join(articles)}</body></html>\n"
    )


STYLE = """
:root{--ground:#f4eee1;--paper:#fbf8f0;--ink:#2a2620;--soft:#5f5648;--rule:#d9cfbb;--spot:#7c2d2b;
--serif:"Iowan Old Style","Palatino Linotype",Palatino,"Book Antiqua","URW Palladio L",Georgia,
"Liberation Serif",serif;
--sans:"Gill Sans","Gill Sans MT",Optima,Candara,"Trebuchet MS","Liberation Sans",sans-serif}
@media screen and (prefers-color-scheme:dark){:root{--ground:#1d1a16;--paper:#26221d;--ink:#ede5d6;
--soft:#b9ae9b;--rule:#443d33;--spot:#d88b7c;color-scheme:dark}}
*{box-sizing:border-box;margin:0;padding:0}
body{background:var(--ground);color:var(--ink);font:14px/1.4 var(--sans);padding:24px 12px}
article,nav{background:var(--paper);max-width:820px;margin:0 auto 28px;padding:34px 40px;
overflow-wrap:anywhere}
header{border-bottom:4px double var(--ink);padding-bottom:8px;margin-bottom:12px}
.kind{font:italic 15px var(--serif);color:var(--spot)}
h1{font:400 30px/1.12 var(--serif)}
h1 span{font-style:italic;color:var(--soft);font-size:.8em}
.day{font:19px/1.3 var(--serif);margin-top:2px}
h2{font:italic 400 17px/1.3 var(--serif);color:var(--spot);margin:14px 0 3px}
.facts{display:grid;grid-template-columns:1fr 1fr 1.15fr;gap:6px 28px}
dt{color:var(--soft);font-size:12px;line-height:1.35}
small{display:inline;color:var(--soft);font-size:12px;font-weight:400}
table{border-collapse:collapse;width:100%}
th,td{text-align:left;vertical-align:top;font-weight:400;padding:3px 12px 3px 0;
font-variant-numeric:tabular-nums lining-nums}
thead th{color:var(--soft);font-size:12px;border-bottom:1px solid var(--ink);line-height:1.25;
vertical-align:bottom}
tbody tr{border-bottom:1px solid var(--rule)}
tbody th{font-family:var(--serif);font-size:16px;line-height:1.3}
.times td:first-child,.times tbody th,.times td:nth-child(n+4){white-space:nowrap}
.aboard small{display:block}
.aboard td{font-size:13px;line-height:1.35}
.load td:last-child{text-align:right;padding-right:0}
.load tbody th{font-size:15px}
.load td:last-child{white-space:nowrap}
.lack{color:var(--spot);font-weight:600}
.note{color:var(--soft);font-size:12px;margin-top:4px;line-height:1.35}
.contacts dl{display:grid;grid-template-columns:1fr 1fr;gap:0 28px}
.contacts div{display:grid;grid-template-columns:9.5em 1fr;align-items:end;gap:8px;min-height:25px}
.contacts dt{font-size:13px}
.contacts dd,.blank{border-bottom:1px solid var(--soft);min-height:1em}
.blank{display:inline-block;width:9em}
.contacts .emergency{grid-column:1/-1;border:2px solid var(--spot);padding:7px 10px;
margin:2px 0 4px}
.emergency dt{font:600 16px var(--sans);color:var(--spot)}
.emergency dd{border-bottom-color:var(--spot)}
footer{margin-top:14px;padding-top:8px;border-top:1px solid var(--rule);color:var(--soft);
font-size:12px;line-height:1.35}
nav ol{list-style:none;columns:2 300px;column-gap:32px;margin-top:10px}
nav li{break-inside:avoid;padding:2px 0}
a{color:var(--spot)}
@media (max-width:560px){
article,nav{padding:20px 16px}
.facts,.contacts dl{grid-template-columns:1fr}
.times thead,.aboard thead{display:none}
.times tr,.aboard tr{display:block;padding:5px 0}
.times td,.times th{display:inline;white-space:normal}
.times td:empty{display:none}
.aboard th,.aboard td,.load tr,.load th,.load td{display:block}
.load td:last-child{text-align:left;white-space:normal}
[data-head]:not(:empty)::before{content:attr(data-head) " ";color:var(--soft);font-size:12px}
}
@page{margin:11mm 14mm}
@media print{
:root{--ground:#fff;--paper:#fff;--ink:#1c1915;--soft:#4c4539;--rule:#cfc5b1;--spot:#7c2d2b}
body{padding:0;font-size:12px}
h1{font-size:26px}
h2{margin-top:9px;font-size:16px}
th,td{padding-top:2px;padding-bottom:2px}
.aboard td,.contacts dt{font-size:11.5px}
.note,footer,small,dt,thead th{font-size:10.5px}
nav{display:none}
article{max-width:none;margin:0;padding:0;break-after:page}
article:last-child{break-after:auto}
section,tr,header{break-inside:avoid}
}
"""
