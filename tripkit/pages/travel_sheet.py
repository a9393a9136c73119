"""What driver and groom take along on a drive: one printed page a leg, as HTML text.

A page holds the lorry and its crew, the times at both ends, every stop, the horses aboard with the
papers to carry, the hay and water to load, and empty lines for telephone numbers. It asks nothing
of any other address, prints on A4 and Letter alike, and every name in it is escaped. It is written
in the language that its drivers read.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from html import escape
from zoneinfo import ZoneInfo

from tripkit.driving.rules import find_rules
from tripkit.words.journeys import find_error_percent, state_about
from tripkit.words.telling import Teller, choose_calendar_teller
from tripkit.yard.circuit import Circuit, Leg, Stop
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.papers import Paper
from tripkit.yard.places import HOME, Place
from tripkit.yard.yard import Yard

HORSE_KG = 500
POUNDS_PER_KG = 2.20462
US_GALLONS_PER_LITRE = 0.264172


@dataclass(frozen=True)
class Ration:
    """What one horse of 500 kg eats or drinks in a day, from low to high, in kg or litres."""

    what: str
    low: float
    high: float
    unit: str


HAY = Ration("hay", 7.5, 10.0, "kg")
WATER = Ration("water", 21.0, 29.0, "litres")
"""**Source:** Merck Veterinary Manual (forage, minimum of 5 litres per 100 kg); Kentucky Equine
Research (water); guidance, no rule."""

CARRIED = ("passport", "coggins", "health_certificate", "influenza", "herpes")
"""The papers a sheet tells of; of those not asked for, a kind that no horse has is left out."""

ASKED_FOR = ("passport", "health_certificate", "influenza")
# Made out shortly before a drive: a plan of weeks ahead cannot know it.
FILLED_IN = "health_certificate"

STOPS = ("water", "break", "overnight")
SEXES = ("mare", "gelding", "stallion")
CONTACTS = ("home", "driver", "office", "stables", "vet")


def choose_leg_teller(yard: Yard, leg: Leg) -> Teller:
    """Who tells the sheet of a leg: in what its drivers read where all read one, else the yard."""
    languages = {yard.find_language(name, "driver") for name in leg.drivers}
    return choose_calendar_teller(yard, languages.pop() if len(languages) == 1 else "")


def write_travel_sheet(yard: Yard, circuit: Circuit, leg: Leg) -> str:
    """One leg of a circuit as a page to print."""
    teller, number = choose_leg_teller(yard, leg), circuit.legs.index(leg) + 1
    start, end = _name_end(yard, leg.start), _name_end(yard, leg.end)
    title = teller.tell(state("sheets.title", start=start, end=end, day=leg.depart.date()))
    return _write_page(teller, title, [_Sheet(yard, circuit, leg, number, teller).write()])


def write_travel_sheets(yard: Yard, circuit: Circuit, broken: Sequence[str] = ()) -> str:
    """Every leg of a circuit, a printed page each, in the order of their departures.

    `broken` is what the circuit breaks, a line each: a page of its own, and a word on every sheet.
    """
    teller = choose_calendar_teller(yard)
    sheets = [
        _Sheet(yard, circuit, leg, number, choose_leg_teller(yard, leg), bool(broken))
        for number, leg in enumerate(circuit.legs, start=1)
    ]
    sheets.sort(key=lambda sheet: (sheet.leg.depart, sheet.number))
    parts = [_write_contents(yard, circuit, sheets, teller)]
    parts += [sheet.write(teller.language) for sheet in sheets]
    if broken:
        told = "".join(f"<p>{_text(line)}</p>" for line in broken)
        warning = _write_warning(teller)
        parts.insert(0, f'<article role="alert"><header>{warning}</header>{told}</article>')
    title = state("sheets.titles", circuit=circuit.name, yard=yard.name)
    return _write_page(teller, teller.tell(title), parts)


def _write_contents(yard: Yard, circuit: Circuit, sheets: Sequence[_Sheet], teller: Teller) -> str:
    head = f"<h1>{_text(circuit.name)}</h1>"
    if not sheets:
        return f"<nav>{head}<p>{teller.tell(state('sheets.no-drive'))}</p></nav>"
    lines = []
    for sheet in sheets:
        leg = sheet.leg
        told = state(
            "sheets.drive",
            day=leg.depart.date(),
            start=_text(_name_end(yard, leg.start)),
            end=_text(_name_end(yard, leg.end)),
            lorry=_text(leg.vehicle),
        )
        lines.append(f'<li><a href="#leg-{sheet.number}">{teller.tell(told)}</a></li>')
    label = teller.tell(state("sheets.drives"))
    return f'<nav aria-label="{label}">{head}<ol>{"".join(lines)}</ol></nav>'


def _write_warning(teller: Teller) -> str:
    return f'<p class="lack">{_text(teller.tell(state("sheets.broken")))}</p>'


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


@dataclass(frozen=True)
class _Sheet:
    """The page of one leg. `is_broken`: the circuit breaks rules, and the page says so."""

    yard: Yard
    circuit: Circuit
    leg: Leg
    number: int
    teller: Teller
    is_broken: bool = False

    def tell(self, code: str, **values: Value) -> str:
        """A sentence of the sheet; values are markup."""
        return self.teller.tell(state(f"sheets.{code}", **values))

    @property
    def ends(self) -> tuple[str, str]:
        """Where the leg starts and ends, as the sheet names it."""
        return _name_end(self.yard, self.leg.start), _name_end(self.yard, self.leg.end)

    @property
    def times(self) -> tuple[datetime, datetime]:
        """Departure and arrival, each by the clock of its place."""
        depart, arrive = (
            at.astimezone(ZoneInfo(self.yard.place_of(end).timezone))
            for at, end in (
                (self.leg.depart, self.leg.start),
                (self.leg.arrive, self.leg.end),
            )
        )
        return depart, arrive

    def write(self, around: str = "") -> str:
        """The page; it names its language where that of the text `around` it is another."""
        parts = [self._write_head(), self._write_facts(), self._write_timetable()]
        if self.leg.horses:
            parts += [self._write_aboard(), self._write_load()]
        parts.append(self._write_contacts())
        parts.append(f"<footer>{self._write_cautions()}</footer>")
        name = "" if self.leg.horses else ' class="empty"'
        language = self.teller.language
        if around and language != around:
            name += f' lang="{language}"'
        return f'<article id="leg-{self.number}"{name}>{"".join(parts)}</article>'

    def _write_head(self) -> str:
        depart, arrive = (at.date() for at in self.times)
        day = self.tell("day", day=depart)
        if arrive != depart:
            day = self.tell("days", first=depart, last=arrive)
        number = self.tell(
            "number",
            number=self.number,
            count=len(self.circuit.legs),
            circuit=_text(self.circuit.name),
        )
        start, end = map(_text, self.ends)
        return (
            f'<header><p class="kind">{number}</p>'
            f"<h1>{start} <span>{self.tell('way')}</span> {end}</h1>"
            f'<p class="day">{day}</p>{_write_warning(self.teller) if self.is_broken else ""}'
            "</header>"
        )

    def _write_facts(self) -> str:
        yard, leg = self.yard, self.leg
        drive = yard.roads.find_drive(yard.place_key_of(leg.start), yard.place_key_of(leg.end))
        distance = state_about(leg.km, find_error_percent(yard, leg), yard.units)
        if drive and drive.source:
            distance = state("sheets.distance", distance=distance, source=drive.source)
        road = self.tell(
            "road-told",
            distance=_text(self.teller.tell(distance)),
            driving=_state_hours(leg.hours),
        )
        crew = self.tell("crew", drivers=leg.drivers) if leg.drivers else self.tell("no-driver")
        facts = [
            (self.tell("from"), self._write_place(leg.start)),
            (self.tell("to"), self._write_place(leg.end)),
            (self.tell("road"), road),
            (self.tell("lorry"), f"{_text(leg.vehicle)} ({self._count_aboard()})"),
            (
                self.tell("driver", count=max(1, len(leg.drivers))),
                _text(crew) + _blank(not leg.drivers),
            ),
        ]
        if drive and drive.ferry_hours:
            ferry = self.tell("ferry-told", ferry=_state_hours(drive.ferry_hours))
            facts.append((self.tell("ferry"), ferry))
        inside = "".join(f"<div><dt>{term}</dt><dd>{said}</dd></div>" for term, said in facts)
        return f'<dl class="facts">{inside}</dl>'

    def _count_aboard(self) -> str:
        horses, vehicle = len(self.leg.horses), self.yard.vehicle_by_name.get(self.leg.vehicle)
        if not horses:
            return self.tell("empty")
        if vehicle is None:
            return self.tell("horses", horses=horses)
        return self.tell("horses-places", horses=horses, places=vehicle.places)

    def _write_place(self, at: str) -> str:
        place = self.yard.place_of(at)
        show = self.yard.show_by_name.get(at)
        said = self.yard.name if at == HOME else (show.name if show and show.name else at)
        town = ", ".join(part for part in (place.name, place.region, place.country) if part)
        return f"{_text(said)}<br>{_text(town)}<br><small>{self._write_coordinates(place)}</small>"

    def _write_coordinates(self, place: Place) -> str:
        north = "north" if place.latitude >= 0 else "south"
        east = "east" if place.longitude >= 0 else "west"
        return ", ".join(
            self.tell(side, degrees=f"{abs(degrees):.4f}")
            for side, degrees in ((north, place.latitude), (east, place.longitude))
        )

    # The timetable

    def _write_timetable(self) -> str:
        (depart, arrive), (start, end) = self.times, self.ends
        rows = [(depart, self.tell("leave", place=_text(start)), "", "")]
        since = self.leg.depart
        for stop in self.leg.stops:
            stage = (stop.start - since).total_seconds() / 3600
            since = stop.start + timedelta(minutes=stop.minutes)
            at = _place_in_zone(stop.start, depart, arrive)
            until = _place_in_zone(since, depart, arrive)
            rows.append(
                (
                    at,
                    self._name_stop(stop),
                    self._say_until(stop, at, until),
                    self._say_hours(stage),
                )
            )
        stage = (self.leg.arrive - since).total_seconds() / 3600
        rows.append((arrive, self.tell("arrive", place=_text(end)), "", self._say_hours(stage)))
        written, last = "", None
        driven = self.tell("driven")
        for at, what, lasts, stage_said in rows:
            day = self.tell("short-day", day=at.date()) if at.date() != last else ""
            last = at.date()
            written += (
                f'<tr><td>{day}</td><th scope="row">{at:%H:%M} <small>{_text(at.tzname())}</small>'
                f"</th><td>{what}</td><td>{lasts}</td>"
                f'<td data-head="{driven}">{stage_said}</td></tr>'
            )
        heads = "".join(
            f"<th>{self.tell(f'head-{head}')}</th>"
            for head in ("day", "time", "what", "stop", "driven")
        )
        return (
            f'<section class="times"><h2>{self.tell("timetable")}</h2><table><thead><tr>{heads}'
            f"</tr></thead><tbody>{written}</tbody></table>{self._write_clocks()}</section>"
        )

    def _name_stop(self, stop: Stop) -> str:
        near = state("sheets.near", town=_text(stop.near)) if stop.near else None
        if stop.kind in STOPS:
            return self.tell(f"stop-{stop.kind}", near=near)
        return _text(stop.kind) + self.teller.tell(near)

    def _say_until(self, stop: Stop, at: datetime, until: datetime) -> str:
        lasts = state("sheets.minutes", minutes=stop.minutes)
        if stop.minutes >= 180:
            lasts = _state_hours(stop.minutes / 60)
        if until.date() == at.date():
            return self.tell("until", lasts=lasts, at=until)
        return self.tell("until-day", lasts=lasts, day=until.date(), at=until)

    def _say_hours(self, hours: float) -> str:
        return self.teller.tell(_state_hours(hours))

    def _write_clocks(self) -> str:
        """What a driver must know of clocks: another zone at the end, a change on the way."""
        (depart, arrive), (start, end) = self.times, self.ends
        notes = []
        at_start = arrive.astimezone(depart.tzinfo)
        ahead = _count_minutes(arrive) - _count_minutes(at_start)
        if ahead:
            notes.append(
                self.tell(
                    "clocks-ahead" if ahead > 0 else "clocks-behind",
                    end=end,
                    difference=_state_minutes(abs(ahead)),
                    start=start,
                )
            )
        moved = _count_minutes(at_start) - _count_minutes(depart)
        if moved:
            code = "clocks-forward" if moved > 0 else "clocks-back"
            notes.append(self.tell(code, difference=_state_minutes(abs(moved))))
        return f'<p class="note">{_text(" ".join(notes))}</p>' if notes else ""

    # Horses and papers

    def _write_aboard(self) -> str:
        yard = self.yard
        kinds = [
            (kind, self.tell(f"paper-{kind}"))
            for kind in CARRIED
            if kind in ASKED_FOR
            or any((horse.horse, kind) in yard.papers_by_holder for horse in yard.horses)
        ]
        heads = "".join(f"<th>{head}</th>" for _, head in kinds)
        rows = "".join(
            f'<tr><th scope="row">{_text(horse)}{self._describe(horse)}</th>'
            + "".join(
                f'<td data-head="{head}">{self._write_paper(horse, kind)}</td>'
                for kind, head in kinds
            )
            + "</tr>"
            for horse in self.leg.horses
        )
        return (
            f'<section class="aboard"><h2>{self.tell("aboard")}</h2><table><thead><tr>'
            f"<th>{self.tell('head-horse')}</th>{heads}</tr></thead><tbody>{rows}</tbody></table>"
            "</section>"
        )

    def _describe(self, horse: str) -> str:
        known = self.yard.horse_by_name.get(horse)
        if known is None:
            return ""
        sex = self.tell(f"sex-{known.sex}") if known.sex in SEXES else known.sex
        born = self.tell("born", year=known.born.year)
        return f"<small>{_text(', '.join(part for part in (sex, born) if part))}</small>"

    def _write_paper(self, horse: str, kind: str) -> str:
        """The paper that is there on the day of departure, and whether it lasts to the arrival."""
        leg = self.leg
        rows = self.yard.papers_by_holder.get((horse, kind), ())
        there = [row for row in rows if row.date <= leg.depart.date()]
        if there and there[-1].valid_until and kind == FILLED_IN:
            there = [row for row in there if not _is_over(row, leg)]
        if not there:
            lacks = f'<b class="lack">{self.tell("no-paper")}</b>'
            return _blank(True) if kind == FILLED_IN else lacks
        row = there[-1]
        is_planned = row.date > self.yard.day_of_planning
        words = f"{_text(row.number)}, " if row.number else ""
        words += self.tell("given-planned" if is_planned else "given", day=row.date)
        if row.valid_until:
            until = self.tell("valid-until", day=row.valid_until)
            words += "<br>" + (f'<b class="lack">{until}</b>' if _is_over(row, leg) else until)
        return words

    # Hay, water and the rest

    def _write_load(self) -> str:
        leg, days = self.leg, count_road_days(self.leg)
        road = [days] * len(leg.horses)
        rows = [("hay-road", HAY, road), ("water-road", WATER, road)]
        stay = [count_grounds_days(self.circuit, leg, horse) for horse in leg.horses]
        if sum(stay):
            rows.append(("hay-stay", HAY, stay))
        written = "".join(
            f'<tr><th scope="row">{self.tell(name)}</th>'
            f"<td>{self._multiply(ration, horse_days)}</td>"
            f"<td><b>{self._say_amount(ration, sum(horse_days))}</b></td></tr>"
            for name, ration, horse_days in rows
        )
        sources = " ".join(
            self.tell(
                f"{ration.what}-source",
                amount=_state_ration(ration, 1),
                low=ration.low / HORSE_KG * 100,
                high=ration.high / HORSE_KG * 100,
            )
            for ration in (HAY, WATER)
        )
        return (
            f'<section class="load"><h2>{self.tell("load")}</h2><table><tbody>{written}</tbody>'
            f'</table><p class="note">{self.tell("load-note")} {_text(sources)}</p></section>'
        )

    def _multiply(self, ration: Ration, horse_days: Sequence[int]) -> str:
        """The sum as it is done: horses, days, what one horse takes in a day."""
        times = " \N{MULTIPLICATION SIGN} "
        if min(horse_days) == max(horse_days):
            horses = self.tell("horses", horses=len(horse_days))
            counted = horses + times + self.tell("days-each", days=horse_days[0])
        else:
            each = " + ".join(map(str, horse_days))
            counted = self.tell("horse-days", count=sum(horse_days), each=each)
        return f"{counted}{times}{self.teller.tell(_state_ration(ration, 1))}"

    def _say_amount(self, ration: Ration, horse_days: int) -> str:
        said = self.teller.tell(_state_ration(ration, horse_days))
        if self.yard.country != "US":
            return said
        factor, unit = POUNDS_PER_KG, "pounds"
        if ration.unit == "litres":
            factor, unit = US_GALLONS_PER_LITRE, "gallons"
        low, high = (round(horse_days * each * factor) for each in (ration.low, ration.high))
        return said + self.tell(unit, low=low, high=high)

    def _write_contacts(self) -> str:
        names = [
            self.tell(f"contact-{who}")
            for who in CONTACTS
            if who != "office" or self.leg.end != HOME
        ]
        names += [
            self.tell("night-stables-near", town=stop.near)
            if stop.near
            else self.tell("night-stables")
            for stop in self.leg.stops
            if stop.kind == "overnight"
        ]
        lines = "".join(f"<div><dt>{_text(name)}</dt><dd></dd></div>" for name in names)
        return (
            f'<section class="contacts"><h2>{self.tell("telephone")}</h2>'
            f'<dl><div class="emergency"><dt>{self.tell("emergency")}</dt><dd></dd></div>{lines}'
            "</dl></section>"
        )

    def _write_cautions(self) -> str:
        rules = _state_driving_rules(self.yard, self.leg.depart.date())
        last = "caution" if self.leg.horses else "empty-lorry"
        said = [self.teller.tell(rules), self.tell("coordinates"), self.tell(last)]
        return "".join(f"<p>{_text(line)}</p>" for line in said)


def _place_in_zone(moment: datetime, depart: datetime, arrive: datetime) -> datetime:
    """A moment on the way in the zone of the end whose clock it was written by."""
    for end in (depart, arrive):
        there = moment.astimezone(end.tzinfo)
        if there.utcoffset() == moment.utcoffset():
            return there
    return moment.astimezone(depart.tzinfo)


def _count_minutes(moment: datetime) -> int:
    return round((moment.utcoffset() or timedelta()).total_seconds() / 60)


def _is_over(row: Paper, leg: Leg) -> bool:
    return row.valid_until is not None and row.valid_until < leg.arrive.date()


def _state_ration(ration: Ration, horse_days: int) -> Fact:
    low, high = horse_days * ration.low, horse_days * ration.high
    return state(f"sheets.{ration.unit}", low=low, high=high)


def _state_driving_rules(yard: Yard, day: date) -> Fact:
    rules = find_rules(yard.driving.rules, day)
    if rules.id == "none":
        return state("sheets.no-rules")
    duty = halt = rest = None
    if rules.duty_hours_per_day < 24:
        duty = state("sheets.rules-duty", hours=rules.duty_hours_per_day)
    if rules.halt_after_hours < 24:
        halt = state("sheets.rules-halt", minutes=rules.halt_minutes, hours=rules.halt_after_hours)
    if rules.rest_hours:
        rest = state("sheets.rules-rest", hours=rules.rest_hours)
    return state(
        "sheets.rules",
        hours=rules.hours_per_day,
        duty=duty,
        halt=halt,
        rest=rest,
        source=rules.source,
    )


def _state_hours(hours: float) -> Fact:
    return _state_minutes(round(hours * 60))


def _state_minutes(minutes: int) -> Fact:
    whole, rest = divmod(minutes, 60)
    if rest and whole:
        return state("sheets.hours-minutes", hours=whole, minutes=f"{rest:02d}")
    return state("sheets.hours", hours=whole) if whole else state("sheets.minutes", minutes=rest)


def _blank(needed: bool) -> str:
    return '<span class="blank"></span>' if needed else ""


def _text(words: object) -> str:
    """Words as HTML, escaped; a name keeps its own direction of writing."""
    return f"<bdi>{escape(str(words))}</bdi>"


def _name_end(yard: Yard, at: str) -> str:
    return yard.name if at == HOME else at


def _write_page(teller: Teller, title: str, articles: Iterable[str]) -> str:
    return (
        f'<!DOCTYPE html>\n<html lang="{teller.language}"><head><meta charset="utf-8">'
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
