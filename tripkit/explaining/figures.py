"""Where a figure of a circuit comes from: parts that add up to it exactly, each with its source."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal

from tripkit.eligibility.qualifying import assess_aim
from tripkit.explaining.reasons import (
    Explanation,
    Point,
    count_clear_days,
    count_days,
    list_words,
    name_limit_source,
    name_rule_source,
    write_cents,
    write_way,
    write_worth,
)
from tripkit.season.costs import KINDS_OF_COST, price
from tripkit.season.scorecard import find_gaps
from tripkit.yard.circuit import Circuit, Leg, Outing
from tripkit.yard.errors import BadValue
from tripkit.yard.yard import Yard

SOURCES_OF_COST = {
    "entry fee": "classes.csv, column fee",
    "stall fee": "shows.csv, column stall_fee",
    "late fee": "shows.csv, column late_fee",
    "road": "the yard's roads; vehicles.csv or yard.toml [costs], the rate of the lorry",
    "rider days": "yard.toml [costs] rider_day",
    "groom days": "yard.toml [costs] groom_day; one groom for four horses or part",
    "overnight stop": "yard.toml [costs] overnight_stop",
    "stabling": "yard.toml [costs] stabling_day",
    "vet check": "yard.toml [costs] vet_check",
}
STATUS_WORDS = {
    "proved best": "the bound equals what was found, so nothing better keeps every rule",
    "within bound": "what was found lies within 1 % of the bound",
    "best of its kind": "nothing better of its kind keeps every rule",
    "best in time": "the best found in the time given; better may exist, up to the bound",
    "none exists": "no plan keeps every rule",
    "none in time": "none was found in the time given",
}
PLANNER = "handbook, The planner: What it leaves out"
IN_WORDS = {
    "worth": "the worth",
    "cost_cents": "the cost",
    "road_km": "the road driven",
    "horse_road_hours": "the number of hours on the road",
    "nights_away": "the number of nights away",
    "outings": "the number of outings",
    "aims_met": "the number of aims met",
    "spare_days": "the number of spare days",
    "bound": "the bound",
    "status": "the answer",
}


def explain_figure(
    yard: Yard, circuit: Circuit, figure: str, *, horse: str = "", show: str = ""
) -> Explanation:
    """A figure of a circuit as the sum of its parts.

    `figure` is one of `FIGURES`; `horse` and `show` narrow worth, cost, hours, nights, outings and
    spare days to one horse or one outing. The points with an amount add up to the figure exactly.
    Raises `BadValue` for an unknown figure.
    """
    if figure not in FIGURES:
        raise BadValue(f"{figure!r} is no figure; figures are {', '.join(FIGURES)}")
    about = f" of {horse}" if horse else ""
    about += f" at {show}" if show else ""
    answer, points = FIGURES[figure](yard, circuit, horse, show)
    question = f"Where does {IN_WORDS[figure]}{about} of {circuit.name} come from?"
    return Explanation(question, answer, tuple(points))


Told = tuple[str, list[Point]]


def _pick(circuit: Circuit, horse: str, show: str) -> list[Outing]:
    return [o for o in circuit.outings if horse in ("", o.horse) and show in ("", o.show)]


def _explain_worth(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    points = []
    for outing in _pick(circuit, horse, show):
        points.append(
            Point(
                f"{outing.horse} at {outing.show}: {tell_worth(yard, circuit, outing)}",
                "worth",
                "classes.csv, column worth; horses.csv, column weight; aims.csv",
                Decimal(str(outing.worth)),
            )
        )
    total = sum((Decimal(str(p.amount)) for p in points), Decimal(0))
    return f"{write_worth(total)} is the worth of {_count(len(points), 'outing')}.", points


def tell_worth(yard: Yard, circuit: Circuit, outing: Outing) -> str:
    """How the worth of an outing adds up: classes times the horse's weight, and aims met."""
    weight = yard.horse_by_name[outing.horse].weight
    parts = [
        f"{name} {write_worth(c.worth)}"
        for name in outing.classes
        if (c := yard.find_class(outing.show, name)) is not None
    ]
    text = " + ".join(parts)
    if weight != 1:
        text = f"({text}) x {write_worth(weight)}" if len(parts) > 1 else f"{text} x {weight}"
    for aim in yard.aims:
        key = (aim.horse, aim.show) == (outing.horse, outing.show)
        if key and aim.title in circuit.totals.aims_met:
            text += f" + aim {write_worth(aim.importance)}"
    return text


def _explain_cost(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    bill = price(yard, circuit.outings, circuit.legs, circuit.days)
    lines = [x for x in bill.lines if horse in ("", x.horse) and show in ("", x.show)]
    points = []
    if horse and show:
        for line in lines:
            source = SOURCES_OF_COST[line.kind]
            points.append(Point(f"{line.kind}: {line.text}", "cost", source, line.cents))
    else:
        for kind in KINDS_OF_COST:
            cents = [line.cents for line in lines if line.kind == kind]
            if cents:
                text = f"{kind}, {_count(len(cents), 'line')}: {write_cents(yard, sum(cents))}"
                points.append(Point(text, "cost", SOURCES_OF_COST[kind], sum(cents)))
    total = sum(line.cents for line in lines)
    answer = f"{write_cents(yard, total)} in {_count(len(lines), 'line')}."
    written = sum(o.cost_cents for o in _pick(circuit, horse, show))
    if written != total:
        answer += f" The circuit as written says {write_cents(yard, written)}."
    return answer, points


def _explain_road(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    legs = _pick_legs(circuit, horse)
    points = [
        Point(_tell_leg(yard, leg), "driving", find_road_source(yard, leg), Decimal(str(leg.km)))
        for leg in legs
    ]
    km = float(sum((Decimal(str(leg.km)) for leg in legs), Decimal(0)))
    return f"{write_way(yard, km)} in {_count(len(legs), 'drive')}, empty ones too.", points


def _explain_hours(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    points = []
    for leg in _pick_legs(circuit, horse):
        aboard = 1 if horse else len(leg.horses)
        if aboard:
            text = f"{_tell_leg(yard, leg)}: {leg.hours:g} h x {_count(aboard, 'horse')}"
            amount = Decimal(str(leg.hours)) * aboard
            points.append(Point(text, "driving", find_road_source(yard, leg), amount))
    total = sum((Decimal(str(p.amount)) for p in points), Decimal(0))
    return f"{total:g} hours that horses stand on the road, halts not counted.", points


def _explain_nights(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    points = [
        Point(
            f"{o.horse} at {o.show}, {o.arrive} to {o.leave}",
            "stabling",
            name_rule_source(yard, "stabling", yard.horse_by_name.get(o.horse)),
            (o.leave - o.arrive).days,
        )
        for o in _pick(circuit, horse, show)
    ]
    for leg in _pick_legs(circuit, horse):
        nights = sum(stop.kind == "overnight" for stop in leg.stops)
        aboard = 1 if horse and horse in leg.horses else len(leg.horses)
        if nights and aboard and not show:
            text = f"on the way, {_tell_leg(yard, leg)}: {nights} x {_count(aboard, 'horse')}"
            points.append(
                Point(text, "driving", name_rule_source(yard, "driving"), nights * aboard)
            )
    return f"{_count(sum(int(p.amount or 0) for p in points), 'night')} away from home.", points


def _explain_outings(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    points = [
        Point(f"{o.horse} at {o.show}, {o.first_day} to {o.last_day}", "", "the circuit", 1)
        for o in _pick(circuit, horse, show)
    ]
    return f"{_count(len(points), 'outing')}: a horse at a show is one.", points


def _explain_aims(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    points, met = [], 0
    for aim in yard.aims:
        if horse not in ("", aim.horse):
            continue
        standing = assess_aim(yard, aim, circuit.outings)
        met += standing.met
        said = "met" if standing.met else "not met"
        text = f"{aim.title}, importance {write_worth(aim.importance)}: {said}; {standing.reason}"
        points.append(Point(text, "aims", "aims.csv and results.csv", int(standing.met)))
    return f"{met} of {_count(len(points), 'aim')} met.", points


def _explain_spare_days(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    gaps = [
        gap
        for gap in find_gaps(yard, circuit.outings, circuit.legs)
        if horse in ("", gap.horse) and show in ("", gap.before, gap.after)
    ]
    gaps.sort(key=lambda gap: (gap.spare_days, gap.horse))
    points = []
    for gap in gaps:
        known = yard.horse_by_name[gap.horse]
        text = (
            f"{gap.horse} from {gap.before or 'its last outing'} to {gap.after}: "
            f"{count_clear_days(gap.clear_days)}, needs {gap.needed_days}, "
            f"{count_days(gap.spare_days)} to spare"
        )
        points.append(Point(text, "recovery", name_rule_source(yard, "recovery", known)))
    if not gaps:
        return "No horse has two outings, so there are no spare days to count.", points
    least = gaps[0].spare_days
    points[0] = Point(points[0].text, points[0].rule, points[0].source, least)
    return f"{count_days(least)}: the tightest of {_count(len(gaps), 'gap')}.", points


def _explain_bound(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    answer = f"{circuit.status}: {STATUS_WORDS.get(circuit.status, 'as written')}."
    points = [Point(f"Planned for {circuit.goal} in {circuit.seconds:.1f} s.", "", PLANNER)]
    if circuit.objective is not None and circuit.bound is not None:
        found, bound = (
            _write_searched(yard, circuit.goal, number)
            for number in (circuit.objective, circuit.bound)
        )
        text = f"Found: {found}; the bound: {bound}."
        points.append(Point(text, "", "the planner's proof"))
    if circuit.goal in ("least road", "least cost", "most rest"):
        points.append(
            Point(
                f"It keeps at least {yard.limits.worth_floor:.0%} of the most worth.",
                "worth_floor",
                name_limit_source(yard, "worth_floor"),
            )
        )
    text = (
        "The bound holds for what the planner looks at; what it leaves out stands in the handbook."
    )
    return answer, [*points, Point(text, "", PLANNER)]


def _write_searched(yard: Yard, goal: str, number: float) -> str:
    if goal == "least cost":
        return write_cents(yard, round(number))
    if goal == "least road":
        return write_way(yard, number)
    if goal == "most rest":
        return f"{write_worth(number)} spare days in the tightest gap"
    return f"{write_worth(number)} of worth"


def _pick_legs(circuit: Circuit, horse: str) -> list[Leg]:
    return [leg for leg in circuit.legs if not horse or horse in leg.horses]


def _tell_leg(yard: Yard, leg: Leg) -> str:
    aboard = list_words(leg.horses) if leg.horses else "empty"
    return (
        f"{leg.depart.date()} {leg.vehicle}, {leg.start} to {leg.end}, {write_way(yard, leg.km)} "
        f"({aboard})"
    )


def find_road_source(yard: Yard, leg: Leg) -> str:
    """Where the distance of a leg comes from, and how far it may be off."""
    keys = [
        yard.place_key_of(stop) if stop == "home" or stop in yard.show_by_name else ""
        for stop in (leg.start, leg.end)
    ]
    drive = yard.roads.find_drive(keys[0], keys[1])
    if drive is None:
        return "no road is known"
    off = f", nine of ten within {drive.error_percent:g} %" if drive.error_percent else ""
    return (drive.source or "the yard's roads") + off


def _count(number: int, noun: str) -> str:
    return f"{number:,} {noun}" + ("" if number == 1 else "s")


FIGURES: Mapping[str, Callable[[Yard, Circuit, str, str], Told]] = {
    "worth": _explain_worth,
    "cost_cents": _explain_cost,
    "road_km": _explain_road,
    "horse_road_hours": _explain_hours,
    "nights_away": _explain_nights,
    "outings": _explain_outings,
    "aims_met": _explain_aims,
    "spare_days": _explain_spare_days,
    "bound": _explain_bound,
    "status": _explain_bound,
}
