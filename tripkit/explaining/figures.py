"""Where a figure of a circuit comes from: parts that add up to it exactly, each with its source."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal

from tripkit.explaining.reasons import (
    LAST_OUTING,
    Explanation,
    Point,
    count_clear_days,
    name_limit_source,
    name_rule_source,
)
from tripkit.season.bases import count_nights_on_grounds
from tripkit.season.costs import KINDS_OF_COST, price
from tripkit.season.scorecard import find_gaps, find_lacks
from tripkit.yard.circuit import Circuit, Leg, Outing
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.goals import MOST_WORTH, SAVING_IDS, find_goal, state_found
from tripkit.yard.names import find_function
from tripkit.yard.shows import count_worth
from tripkit.yard.yard import Yard

SOURCES_OF_COST = {
    "entry fee": "classes.csv, column fee",
    "stall fee": "shows.csv, column stall_fee",
    "late fee": "shows.csv, column late_fee",
    "road": "the yard's roads; vehicles.csv or yard.toml [costs], the rate of the lorry",
    "rider days": "yard.toml [costs] rider_day",
    "car": "yard.toml [costs] car_per_km",
    "groom days": "yard.toml [costs] groom_day, hired_groom_day; people.csv, horses_per_groom",
    "driver days": "yard.toml [costs] hired_driver_day, else groom_day",
    "lorry hire": "vehicles.csv, columns hire and per_day",
    "overnight stop": "yard.toml [costs] overnight_stop",
    "stabling": "yard.toml [costs] stabling_day",
    "base nights": "bases.csv, column per_night, else yard.toml [costs] base_night",
    "vet check": "yard.toml [costs] vet_check",
}
STATUS_WORDS = {
    "proved best": state("explaining.proved-best"),
    "within bound": state("explaining.near-the-bound"),
    "best of its kind": state("explaining.best-of-kind"),
    "best in time": state("explaining.best-in-time"),
    "none exists": state("explaining.none-exists"),
    "none in time": state("explaining.none-in-time"),
}
PLANNER = "handbook, The planner: What it leaves out"
IN_WORDS = {
    "worth": state("explaining.the-worth"),
    "cost_cents": state("explaining.the-cost"),
    "road_km": state("explaining.the-road"),
    "horse_road_hours": state("explaining.the-hours"),
    "nights_away": state("explaining.the-nights"),
    "outings": state("explaining.the-outings"),
    "aims_met": state("explaining.the-aims"),
    "spare_days": state("explaining.the-spare-days"),
    "missing_outings": state("explaining.the-missing-outings"),
    "bound": state("explaining.the-bound"),
    "status": state("explaining.the-answer"),
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
        raise BadValue(state("values.no-figure-figures-are", figure=figure, figures=tuple(FIGURES)))
    answer, points = FIGURES[figure](yard, circuit, horse, show)
    question = state(
        "explaining.where-from",
        figure=IN_WORDS[figure],
        horse=state("explaining.of-horse", horse=horse) if horse else None,
        at=state("explaining.at-of", show=show) if show else None,
        circuit=circuit.name,
    )
    return Explanation(question, answer, tuple(points))


Told = tuple[Fact, list[Point]]


def _pick(circuit: Circuit, horse: str, show: str) -> list[Outing]:
    return [o for o in circuit.outings if horse in ("", o.horse) and show in ("", o.show)]


def _explain_worth(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    points = []
    for outing in _pick(circuit, horse, show):
        points.append(
            Point(
                state(
                    "explaining.worth-of",
                    horse=outing.horse,
                    show=outing.show,
                    worth=add_up_worth(yard, circuit, outing),
                ),
                "worth",
                "classes.csv, column worth; horses.csv, column weight; aims.csv",
                Decimal(str(outing.worth)),
            )
        )
    total = sum((Decimal(str(p.amount)) for p in points), Decimal(0))
    return state("explaining.total-worth", worth=total, count=len(points)), points


def add_up_worth(yard: Yard, circuit: Circuit, outing: Outing) -> Fact:
    """How the worth of an outing adds up: classes times the horse's weight, and aims met."""
    horse = yard.horse_by_name[outing.horse]
    weight = horse.weight
    classes = tuple(
        state("explaining.class-worth", name=name, worth=count_worth(horse, c))
        for name in outing.classes
        if (c := yard.find_class(outing.show, name)) is not None
    )
    told = state("explaining.classes-worth", classes=classes)
    if weight != 1 and len(classes) > 1:
        told = state("explaining.all-times-weight", classes=classes, weight=weight)
    elif weight != 1:
        told = state("explaining.times-weight", classes=classes, weight=weight)
    aims = tuple(
        state("explaining.aim-worth", worth=aim.importance)
        for aim in yard.aims
        if (aim.horse, aim.show) == (outing.horse, outing.show)
        and aim.title in circuit.totals.aims_met
    )
    return state("explaining.outing-worth", classes=told, aims=aims)


def _explain_cost(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    bill = price(yard, circuit.outings, circuit.legs, circuit.days)
    lines = [x for x in bill.lines if horse in ("", x.horse) and show in ("", x.show)]
    points = []
    if horse and show:
        for line in lines:
            source = SOURCES_OF_COST[line.kind]
            text = state("explaining.cost-line", kind=line.kind, text=line.text)
            points.append(Point(text, "cost", source, line.cents))
    else:
        for kind in KINDS_OF_COST:
            cents = [line.cents for line in lines if line.kind == kind]
            if cents:
                text = state(
                    "explaining.cost-lines", kind=kind, count=len(cents), cost_cents=sum(cents)
                )
                points.append(Point(text, "cost", SOURCES_OF_COST[kind], sum(cents)))
    total = sum(line.cents for line in lines)
    written = sum(o.cost_cents for o in _pick(circuit, horse, show))
    off = state("explaining.written-cost", cost_cents=written) if written != total else None
    answer = state("explaining.total-cost", cost_cents=total, count=len(lines), off=off)
    return answer, points


def _explain_road(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    legs = _pick_legs(circuit, horse)
    points = [
        Point(_describe_leg(leg), "driving", find_road_source(yard, leg), Decimal(str(leg.km)))
        for leg in legs
    ]
    km = float(sum((Decimal(str(leg.km)) for leg in legs), Decimal(0)))
    return state("explaining.total-road", road_km=km, count=len(legs)), points


def _explain_hours(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    points = []
    for leg in _pick_legs(circuit, horse):
        aboard = 1 if horse else len(leg.horses)
        if aboard:
            text = state(
                "explaining.leg-hours", leg=_describe_leg(leg), hours=leg.hours, count=aboard
            )
            amount = Decimal(str(leg.hours)) * aboard
            points.append(Point(text, "driving", find_road_source(yard, leg), amount))
    total = sum((Decimal(str(p.amount)) for p in points), Decimal(0))
    return state("explaining.total-hours", hours=total), points


def _explain_nights(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    nights_of = count_nights_on_grounds(yard, circuit.outings, circuit.legs)
    points = [
        Point(
            state(
                "explaining.nights-of", horse=o.horse, show=o.show, arrive=o.arrive, leave=o.leave
            ),
            "stabling",
            name_rule_source(yard, "stabling", yard.horse_by_name.get(o.horse)),
            nights_of[o.horse, o.show],
        )
        for o in _pick(circuit, horse, show)
    ]
    for leg in _pick_legs(circuit, horse):
        nights = sum(stop.kind == "overnight" for stop in leg.stops)
        aboard = 1 if horse and horse in leg.horses else len(leg.horses)
        if nights and aboard and not show:
            text = state(
                "explaining.nights-on-the-way",
                leg=_describe_leg(leg),
                nights=nights,
                count=aboard,
            )
            points.append(
                Point(text, "driving", name_rule_source(yard, "driving"), nights * aboard)
            )
    count = sum(int(p.amount or 0) for p in points)
    return state("explaining.total-nights", count=count), points


def _explain_outings(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    points = [
        Point(
            state("explaining.outing-of", horse=o.horse, show=o.show, days=o.days),
            "",
            "the circuit",
            1,
        )
        for o in _pick(circuit, horse, show)
    ]
    return state("explaining.total-outings", count=len(points)), points


def _explain_aims(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    # It puts horses on trial, which stands above the figures.
    told: Told = find_function("explaining", "aims.explain_aims")(yard, circuit, horse)
    return told


def tell_met(met: bool) -> Fact:
    """Whether an aim is met."""
    return state("explaining.met") if met else state("explaining.not-met")


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
        text = state(
            "explaining.spare-days-of",
            horse=gap.horse,
            before=gap.before or LAST_OUTING,
            after=gap.after,
            clear=count_clear_days(gap.clear_days),
            needed=gap.needed_days,
            spare_days=gap.spare_days,
        )
        points.append(Point(text, "recovery", name_rule_source(yard, "recovery", known)))
    if not gaps:
        return state("explaining.no-gap"), points
    least = gaps[0].spare_days
    points[0] = Point(points[0].text, points[0].rule, points[0].source, least)
    return state("explaining.tightest-gap", spare_days=least, count=len(gaps)), points


def _explain_missing(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    lacks = [lack for lack in find_lacks(yard, circuit.outings) if horse in ("", lack.horse)]
    source = "horses.csv, column outings_wanted"
    points = [Point(lack.fact, "", source, lack.missing) for lack in lacks]
    missing = sum(lack.missing for lack in lacks)
    if not lacks:
        return state("explaining.none-missing"), points
    return state("explaining.total-missing", missing=missing, count=len(lacks)), points


def _explain_bound(yard: Yard, circuit: Circuit, horse: str, show: str) -> Told:
    words = STATUS_WORDS.get(circuit.status, state("explaining.as-written"))
    answer = state("explaining.status", status=circuit.status, words=words)
    text = state("explaining.planned-for", goal=circuit.goal, seconds=circuit.seconds)
    points = [Point(text, "", PLANNER)]
    if circuit.objective is not None and circuit.bound is not None:
        unit = (find_goal(circuit.goal) or MOST_WORTH).unit
        found, bound = (state_found(unit, n) for n in (circuit.objective, circuit.bound))
        text = state("explaining.found-and-bound", found=found, bound=bound)
        points.append(Point(text, "", "the planner's proof"))
    points += _explain_precedence(yard, circuit)
    if circuit.goal in SAVING_IDS:
        points.append(
            Point(
                state("explaining.keeps-at-least", share=yard.limits.worth_floor),
                "worth_floor",
                name_limit_source(yard, "worth_floor"),
            )
        )
    left_out = [state("explaining.not-in-bound", what=what) for what in circuit.leaves_out]
    return answer, [*points, *(Point(text, "", PLANNER) for text in left_out)]


def _explain_precedence(yard: Yard, circuit: Circuit) -> Iterator[Point]:
    """What came before the goal, what a point of worth counts, and what most worth gave away."""
    limits = yard.limits
    if yard.aims and limits.aims == "first":
        proved = None if circuit.aims_proved else state("explaining.aims-unproved")
        text = state("explaining.aims-first", met=len(circuit.totals.aims_met), proved=proved)
        yield Point(text, "aims", name_limit_source(yard, "aims"))
    if circuit.point_price_cents is not None:
        given = yard.costs.point_price_cents is not None
        how = state("explaining.point-price-given" if given else "explaining.point-price-found")
        text = state("explaining.point-price", price_cents=circuit.point_price_cents, how=how)
        yield Point(text, "", "yard.toml [limits] point_price" if given else PLANNER)
    if circuit.goal == MOST_WORTH.id and circuit.objective is not None:
        about = {"percent": 100 * limits.worth_slack, "worth": circuit.totals.worth}
        text = state("explaining.worth-given-away", **about)
        yield Point(text, "worth_slack", name_limit_source(yard, "worth_slack"))


def _pick_legs(circuit: Circuit, horse: str) -> list[Leg]:
    return [leg for leg in circuit.legs if not horse or horse in leg.horses]


def _describe_leg(leg: Leg) -> Fact:
    return state(
        "explaining.leg",
        day=leg.depart.date(),
        vehicle=leg.vehicle,
        start=leg.start,
        end=leg.end,
        road_km=leg.km,
        aboard=leg.horses or (state("explaining.empty"),),
    )


def find_road_source(yard: Yard, leg: Leg) -> str:
    """Where the distance of a leg comes from, and how far it may be off."""
    keys = [
        yard.place_key_of(stop) if stop == "home" or yard.find_stop(stop) else ""
        for stop in (leg.start, leg.end)
    ]
    drive = yard.roads.find_drive(keys[0], keys[1])
    if drive is None:
        return "no road is known"
    off = f", nine of ten within {drive.error_percent:g} %" if drive.error_percent else ""
    return (str(drive.source) if drive.source else "the yard's roads") + off


FIGURES: Mapping[str, Callable[[Yard, Circuit, str, str], Told]] = {
    "worth": _explain_worth,
    "cost_cents": _explain_cost,
    "road_km": _explain_road,
    "horse_road_hours": _explain_hours,
    "nights_away": _explain_nights,
    "outings": _explain_outings,
    "aims_met": _explain_aims,
    "spare_days": _explain_spare_days,
    "missing_outings": _explain_missing,
    "bound": _explain_bound,
    "status": _explain_bound,
}
