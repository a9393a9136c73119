"""The table of rules that every circuit keeps, a row each, in the order in which they are told.

The judge and the planner each read it and neither knows the other: a row names the function that
judges the rule and those that plan by it, as text, and each side looks up its own. Every list of
rules elsewhere is taken from here. What a rule is called and asks is in `words`, by its id.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

OUTING, NEIGHBOUR, VEHICLE = "outing", "neighbour", "vehicle"
PERSON, SEASON = "person", "season"
SCOPES = (OUTING, NEIGHBOUR, VEHICLE, PERSON, SEASON)
"""What a rule hangs on: one outing whatever else the horse does, the other outings of the horse, a
lorry, somebody who is away or rides, the season as a whole.

So `why` asks them: an outing's for that outing alone, and it bars; a neighbour's may be mended by
leaving out another outing of the horse; a lorry's by another way to travel; a rule of the season is
asked only of the whole trial at the end. What is counted of one horse over the season is a
neighbour's."""

ROAD = "road"
"""What bars a horse from a show beside the rules: no road or no lawful timetable is known."""


@dataclass(frozen=True)
class CircuitRule:
    """One rule: its id, what it hangs on, where it is judged and planned, what it rests on.

    `judged_by` is `room.function` in `judging`, `planned_by` the same in `planning`, empty for what
    holds a circuit as written to itself. `limits` are the numbers it counts with, `sources` where
    else it stands. `forbidden_by` is the function in `judging` that says whether it forbids a class
    sent or paid, which is then dropped; where there is none, such a class is kept.
    `clash_judged_by` and `clash_planned_by` are what `judging` and `planning` each ask whether a
    start may stand beside others of the outing. `beside_judged_by` says whether an entry breaks the
    rule beside others that are kept, where more than their nearness tells. `whenever`: broken is
    broken, also by what was lived. `private`: it tells of money.
    """

    id: str
    scopes: tuple[str, ...]
    judged_by: str
    planned_by: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    forbidden_by: str = ""
    clash_judged_by: str = ""
    clash_planned_by: str = ""
    beside_judged_by: str = ""
    whenever: bool = False
    private: bool = False


RULES = (
    CircuitRule(
        "window",
        (PERSON,),
        "horses.judge_window",
        ("chances.list_away", "chances.find_riders", "lorries.may_run", "lorries.list_shut"),
        sources=("yard.toml [season]", "absences.csv"),
        forbidden_by="horses.forbids_window",
        beside_judged_by="beside.is_near_others_while_away",
    ),
    CircuitRule(
        "closed",
        (OUTING,),
        "horses.judge_closed",
        ("chances.find_obstacle",),
        sources=("shows.csv", "entries.csv"),
        whenever=True,
    ),
    CircuitRule(
        "eligible",
        (OUTING,),
        "horses.judge_eligible",
        ("chances.find_riders", "chances.find_bar", "coupling.choose_classes"),
        sources=("classes.csv", "horses.csv", "people.csv", "papers.csv"),
        forbidden_by="horses.forbids_eligible",
        clash_judged_by="horses.clashes_eligible",
        clash_planned_by="coupling.explain_eligible_clash",
    ),
    CircuitRule(
        "cleared",
        (OUTING,),
        "horses.judge_cleared",
        ("chances.find_obstacle",),
        sources=("vet_checks.csv",),
        forbidden_by="horses.forbids_cleared",
    ),
    CircuitRule(
        "cap",
        (NEIGHBOUR,),
        "horses.judge_cap",
        ("coupling.cap_outings", "paths.find_start", "paths.GraphBuilder.find_uncapped_day"),
        limits=("shows_per_30_days",),
        beside_judged_by="beside.breaks_cap",
    ),
    CircuitRule(
        "recovery",
        (NEIGHBOUR,),
        "horses.judge_recovery",
        ("problem.Problem.compute_ready", "problem.Problem.compute_key"),
        limits=("no_jump_days", "schools_before_show"),
        sources=("the outward drive by the yard's roads",),
        beside_judged_by="beside.breaks_recovery",
    ),
    CircuitRule(
        "travel-rest",
        (NEIGHBOUR,),
        "horses.judge_travel_rest",
        ("chances.count_days_before", "chances.may_come_on_the_day"),
        limits=("travel_rest",),
    ),
    CircuitRule(
        "fit",
        (OUTING,),
        "horses.judge_fit",
        ("chances.find_obstacle", "coupling.keep_fit_up"),
        limits=("fit_up_days",),
        sources=("horses.csv, column in_work_from",),
        beside_judged_by="beside.breaks_fit",
    ),
    CircuitRule(
        "break",
        (NEIGHBOUR,),
        "horses.judge_break",
        ("pursuit.find_restless",),
        limits=("outings_before_break", "break_days", "no_jump_days"),
        beside_judged_by="beside.breaks_break",
    ),
    CircuitRule(
        "rider",
        (PERSON,),
        "travel.judge_rider",
        ("riding.keep_riders_in_one_place",),
        sources=("people.csv", "horses.csv"),
        beside_judged_by="beside.breaks_rider",
    ),
    CircuitRule(
        "most-outings",
        (NEIGHBOUR,),
        "horses.judge_most_outings",
        ("coupling.keep_most_outings",),
        sources=("horses.csv, column outings_wanted",),
    ),
    CircuitRule(
        "attended",
        (SEASON,),
        "people.judge_attended",
        sources=("people.csv", "yard.toml [costs]"),
        whenever=True,
        private=True,
    ),
    CircuitRule(
        "bases",
        (SEASON,),
        "bases.judge_bases",
        ("coupling.keep_boxes",),
        sources=("bases.csv",),
    ),
    CircuitRule(
        "stabling",
        (NEIGHBOUR,),
        "travel.judge_stabling",
        ("chances.find_stabling", "chances.count_days_before", "chances.may_come_on_the_day"),
        limits=("arrive_days_before",),
        sources=("shows.csv, columns stabling_from and stabling_until",),
    ),
    CircuitRule(
        "places",
        (VEHICLE,),
        "travel.judge_places",
        ("lorries.carry_horses", "coupling.keep_places"),
        sources=("vehicles.csv", "shows.csv, column places_left"),
    ),
    CircuitRule(
        "one-place",
        (VEHICLE, NEIGHBOUR),
        "travel.judge_one_place",
        ("coupling.add_places", "lorries.add_vehicle_flows"),
        sources=("the drives of the plan",),
    ),
    CircuitRule(
        "driving",
        (VEHICLE, SEASON),
        "driving.judge_driving",
        ("problem.list_rides", "problem.Problem.may_drive", "decode.write_legs"),
        limits=("horse_hours_per_day", "water_every_hours"),
    ),
    CircuitRule(
        "locked",
        (SEASON,),
        "books.judge_locked",
        ("chances.weigh_chance",),
        sources=("entries.csv",),
        whenever=True,
    ),
    CircuitRule(
        "budget",
        (SEASON,),
        "books.judge_budget",
        ("pursuit.keep_budget",),
        sources=("yard.toml [costs] budget",),
        beside_judged_by="beside.exceeds_budget",
        whenever=True,
        private=True,
    ),
    CircuitRule(
        "past",
        (SEASON,),
        "past.judge_past",
        sources=("the circuit that is published",),
        whenever=True,
    ),
    CircuitRule(
        "days",
        (NEIGHBOUR, SEASON),
        "days.judge_days",
        limits=("longest_days_without_jumping",),
    ),
    CircuitRule(
        "totals",
        (SEASON,),
        "books.judge_totals",
        sources=("the circuit as written",),
        whenever=True,
    ),
    CircuitRule(
        "figures",
        (SEASON,),
        "figures.judge_figures",
        sources=("the circuit as written",),
    ),
)

CLASHING = tuple(rule for rule in RULES if rule.clash_judged_by)
"""Those that say which starts of an outing may stand together."""
RULE_BY_ID = MappingProxyType({rule.id: rule for rule in RULES})
PLANNED_IDS = tuple(rule.id for rule in RULES if rule.planned_by)
"""Those that the planner keeps; the others hold a circuit as written to itself."""


def list_rules(*, of: str = "", but: str = "") -> tuple[str, ...]:
    """The ids of the rules that hang on one thing, or that do not hang on another.

    >>> list_rules(of=VEHICLE), list_rules(of=VEHICLE, but=SEASON)
    (('places', 'one-place', 'driving'), ('places', 'one-place'))
    """
    return tuple(r.id for r in RULES if (not of or of in r.scopes) and but not in r.scopes)
