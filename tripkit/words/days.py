"""The days of a circuit in words: what a horse does on a day, where, and why."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from tripkit.eligibility import classes
from tripkit.season.comparison import ClosingDate, find_closing_dates
from tripkit.words.formats import write_day
from tripkit.yard.circuit import Circuit, Day, Leg, Outing
from tripkit.yard.days import DaySpan, add_days
from tripkit.yard.people import Absence
from tripkit.yard.places import HOME
from tripkit.yard.yard import Yard


def write_hours(hours: float) -> str:
    """Hours of driving are written with one decimal, where they have one.

    >>> write_hours(9.23), write_hours(9.0)
    ('9.2 h', '9 h')
    """
    return f"{round(hours, 1):g} h"


def tell_day(yard: Yard, circuit: Circuit, day: Day) -> str:
    """One day of one horse in words: the day, then what it does, where, and why."""
    return f"{write_day(day.date, yard.country)}: {tell_what(yard, circuit, day)}"


def tell_what(yard: Yard, circuit: Circuit, day: Day) -> str:
    """What a horse does on a day, where, and why."""
    told = _tell_kind(yard, circuit, day)
    if day.at not in (HOME, "road") and day.does not in ("show", "travel"):
        told += f", {'at' if day.at in yard.base_of else 'on the grounds of'} {day.at}"
    if day.also:
        also = [_tell_drives(circuit, day) if kind == "travel" else kind for kind in day.also]
        told += "; also " + ", ".join(also)
    return told


def tell_days(yard: Yard, circuit: Circuit, horse: str) -> tuple[str, ...]:
    """What one horse does on every day of the season, in date order; the day itself is not told."""
    known = {day.date: day for day in circuit.days_by_horse.get(horse, ())}
    closing = {
        c.closes: f"; entries for {c.show} close"
        for c in find_closing_dates(yard, circuit.outings_by_horse.get(horse, ()))
        if c.closes is not None
    }
    return tuple(
        (
            tell_what(yard, circuit, known[day]) + (", at home" if _is_home(known[day]) else "")
            if day in known
            else "nothing known"
        )
        + closing.get(day, "")
        for day in yard.season
    )


def _is_home(day: Day) -> bool:
    # A past class at a show that the yard does not list stands at home in the day plan.
    return day.at == HOME and day.does != "show"


def name_rules(yard: Yard, circuit: Circuit, horse: str) -> tuple[str, ...]:
    """The rule behind every day of the season of one horse, in date order; pressing tells more.

    Each with the horse's own number, where it has one.
    """
    known = {day.date: day for day in circuit.days_by_horse.get(horse, ())}
    return tuple(
        _name_rule(yard, circuit, known[day]) if day in known else "" for day in yard.season
    )


def _name_rule(yard: Yard, circuit: Circuit, day: Day) -> str:
    limits = yard.horse_by_name[day.horse].limits
    if day.does == "show":
        return "horse, rider and papers fit the class"
    if day.does == "travel":
        return f"at most {write_hours(limits.horse_hours_per_day)} a day on the road"
    if day.does == "school":
        schools = "1 school" if limits.schools_before_show == 1 else (
            f"{limits.schools_before_show} schools"
        )  # fmt: skip
        return f"{schools} before each show, about every {limits.days_between_schools} days"
    if day.does == "vet check":
        return f"a vet check at every {limits.vet_check_after_shows} outings and a tour's end"
    if day.does == "vaccination":
        return "a dose a later show asks for, given at home"
    rested = find_rested_outing(yard, circuit, day)
    if find_absence(yard, day) is not None:
        return "an absence of absences.csv"
    if rested is not None:
        return f"{limits.no_jump_days} days without jumping after a show"
    if day.at not in (HOME, "road", *yard.base_of):
        return f"on the grounds {limits.arrive_days_before} or more days before the first class"
    if day.does == "day off":
        return f"{limits.day_off} is the day off"
    return "light work between schools"


def find_no_jump_window(yard: Yard, outing: Outing) -> DaySpan | None:
    """The week without jumping that follows an outing, cut at the season's end."""
    days = yard.horse_by_name[outing.horse].limits.no_jump_days
    first = add_days(outing.last_day, 1)
    last = min(add_days(outing.last_day, days), yard.season.last)
    return DaySpan(first, last) if days and first <= last else None


def find_rested_outing(yard: Yard, circuit: Circuit, day: Day) -> Outing | None:
    """The outing in whose week without jumping a day lies, None outside any."""
    for outing in circuit.outings_by_horse.get(day.horse, ()):
        window = find_no_jump_window(yard, outing)
        if window is not None and day.date in window:
            return outing
    return None


def find_absence(yard: Yard, day: Day) -> Absence | None:
    """The absence of the horse in which a day lies, None outside any."""
    rows = (a for a in yard.absences if a.who == day.horse and day.date in a.days)
    return next(rows, None)


def _outing_around(circuit: Circuit, day: Day) -> Outing | None:
    for outing in circuit.outings_by_horse.get(day.horse, ()):
        if outing.arrive <= day.date <= outing.leave and day.at in (outing.show, "road"):
            return outing
    return None


def _tell_drives(circuit: Circuit, day: Day) -> str:
    """The drives of a day, one after the other: where to, with which lorry and for how long."""
    legs = [leg for leg in circuit.legs if day.horse in leg.horses and day.date in leg.days]
    drives = [_tell_drive(leg, day) for leg in sorted(legs, key=lambda leg: leg.depart)]
    return "on the road" + (" " if drives else "") + ", then ".join(drives)


def _tell_drive(leg: Leg, day: Day) -> str:
    end = HOME if leg.end == HOME else f"to {leg.end}"
    told = f"{end} with {leg.vehicle}, {write_hours(leg.hours)}"
    if leg.days.days == 1:
        return told
    return f"{told}, day {(day.date - leg.days.first).days + 1} of {leg.days.days}"


def _tell_kind(yard: Yard, circuit: Circuit, day: Day) -> str:
    if day.does == "show":
        return _tell_show(yard, circuit, day)
    if day.does == "travel":
        return _tell_drives(circuit, day)
    outings = circuit.outings_by_horse.get(day.horse, ())
    if day.does == "school":
        following = next((o for o in outings if o.first_day > day.date), None)
        return "school" if following is None else f"school before {following.show}"
    rested = find_rested_outing(yard, circuit, day)
    if rested is not None:
        number = (day.date - rested.last_day).days
        limit = yard.horse_by_name[day.horse].limits.no_jump_days
        return f"{day.does}, day {number} of {limit} without jumping after {rested.show}"
    absence = find_absence(yard, day)
    if absence is not None:
        return f"{day.does}, away" + (f" ({absence.reason})" if absence.reason else "")
    return day.does


def _tell_show(yard: Yard, circuit: Circuit, day: Day) -> str:
    outing = _outing_around(circuit, day)
    if outing is None:
        return "show"
    classes = [
        name
        for name in outing.classes
        if (offered := yard.find_class(outing.show, name)) is None or offered.day == day.date
    ]
    jumped = ", ".join(classes) or "show"
    return f"{jumped} at {outing.show} with {outing.rider}"


def find_home_reason(yard: Yard, circuit: Circuit, horse: str) -> str:
    """Why a horse goes nowhere in a circuit, as far as it alone is the reason; empty if it goes.

    Asked in this order: the vet, absences that cover the season, the day it is back in work,
    classes of its height, age and rider on offer; else the plan left it at home.
    """
    if circuit.outings_by_horse.get(horse):
        return ""
    known = yard.horse_by_name[horse]
    if not classes.is_cleared(yard, known, yard.season.last):
        return "not cleared by the vet"
    if all(yard.is_absent(horse, day) for day in yard.season):
        return "away all season"
    if known.in_work_from is not None and known.in_work_from > yard.season.last:
        return "not in work this season"
    offered = [c for show in yard.shows for c in show.classes if classes.fits_class(yard, known, c)]
    return "stays home in this plan" if offered else "no class on offer fits"


def find_closings_by_day(yard: Yard, circuit: Circuit) -> Mapping[date, tuple[ClosingDate, ...]]:
    """The closing dates of a circuit's entries that are still to be sent, by day."""
    found: dict[date, tuple[ClosingDate, ...]] = {}
    for closing in find_closing_dates(yard, circuit.outings):
        if closing.closes is not None:
            found[closing.closes] = (*found.get(closing.closes, ()), closing)
    return found
