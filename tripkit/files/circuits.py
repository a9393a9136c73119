"""Circuits to and from the JSON that `tripkit plan --out` writes: "tripkit circuits 1".

The keys of each object stand in the order of the contract; times are local with their offset,
to the minute. Unknown keys are passed over when reading, so that a later edition may add some.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Sequence
from datetime import datetime
from math import isfinite
from pathlib import Path
from typing import Any

from tripkit.files.atomic import write_whole
from tripkit.files.facts import dump_fact, load_fact
from tripkit.files.nodes import Node, parse_json, read_json
from tripkit.words.telling import tell
from tripkit.yard.circuit import (
    KINDS_OF_DAY,
    STATUSES,
    WITHOUT_PLAN,
    Circuit,
    Day,
    DroppedEntry,
    Leg,
    Outing,
    Stop,
    Totals,
    read_driver,
    write_driver,
)
from tripkit.yard.errors import BadCircuits, BadValue, CannotWrite
from tripkit.yard.facts import Fact, Reason, state
from tripkit.yard.goals import GOAL_IDS, find_goal, write_tour_goal
from tripkit.yard.names import suggest_near
from tripkit.yard.places import HOME
from tripkit.yard.yard import Yard

FORMAT = "tripkit circuits 1"
# Around the earth, and a month: beyond what any drive takes.
MOST_KM, MOST_HOURS = 40_000, 744
STOP_KINDS = ("water", "break", "overnight")
# What a circuit without a plan says where the planner gave no reason of its own.
REASON_OF_STATUS = {
    "none exists": state("planning.none-exists"),
    "none in time": state("planning.none-in-time"),
}


def write_circuits(path: Path | str, yard: Yard, circuits: Sequence[Circuit]) -> None:
    """The circuits of a yard become a JSON file, whole or not at all.

    The same circuits give the same bytes. Raises `BadValue` for a time without offset or with
    seconds, and for a number that is not finite; `CannotWrite` where there is no writing, and
    where the file has a circuit and none of these is one.
    """
    if not any(circuit.exists for circuit in circuits) and holds_circuits(path):
        raise CannotWrite(state("faults.has-circuits-and-was-left", path=str(path)))
    write_whole(path, dump_circuits(yard, circuits).encode("utf-8"))


def holds_circuits(path: Path | str) -> bool:
    """Whether a file has a circuit that would be lost with it; what is no JSON has none."""
    try:
        # What is no regular file keeps nothing, and may be read for ever.
        document = read_json(Path(path)).value if os.path.isfile(path) else None
    except BadCircuits:
        return False
    circuits = document.get("circuits") if isinstance(document, dict) else None
    return isinstance(circuits, list) and any(
        isinstance(circuit, dict) and circuit.get("status") not in WITHOUT_PLAN
        for circuit in circuits
    )


def dump_circuits(yard: Yard, circuits: Sequence[Circuit]) -> str:
    """The circuits of a yard as JSON text, as `write_circuits` writes it."""
    document = {
        "format": FORMAT,
        "yard": yard.name,
        "season": [yard.season.first.isoformat(), yard.season.last.isoformat()],
        "circuits": [_dump_circuit(circuit) for circuit in circuits],
    }
    return json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _dump_circuit(circuit: Circuit) -> dict[str, Any]:
    totals = circuit.totals
    written: dict[str, Any] = {
        "name": circuit.name,
        "goal": circuit.goal,
        "status": circuit.status,
        "objective": None if circuit.objective is None else _number(circuit.objective),
        "bound": None if circuit.bound is None else _number(circuit.bound),
        "seconds": round(_number(circuit.seconds), 3),
        "totals": {
            "worth": _number(totals.worth),
            "cost_cents": totals.cost_cents,
            "road_km": _number(totals.road_km),
            "horse_road_hours": _number(totals.horse_road_hours),
            "nights_away": totals.nights_away,
            "outings": totals.outings,
            "aims_met": list(totals.aims_met),
            "spare_days": totals.spare_days,
        },
        "outings": [_dump_outing(outing) for outing in circuit.outings],
        "legs": [_dump_leg(leg) for leg in circuit.legs],
        "days": [_dump_day(day) for day in circuit.days],
        "dropped_entries": [_dump_dropped(entry) for entry in circuit.dropped_entries],
    }
    if circuit.reasons or not circuit.exists:
        reasons = circuit.reasons or (REASON_OF_STATUS[circuit.status],)
        written["reasons"] = [tell(reason) for reason in reasons]
        if any(isinstance(reason, Fact) for reason in circuit.reasons):
            written["reason_facts"] = [_dump_reason(reason) for reason in reasons]
    return written


def _dump_outing(outing: Outing) -> dict[str, Any]:
    return {
        "horse": outing.horse,
        "show": outing.show,
        "rider": outing.rider,
        "classes": list(outing.classes),
        "first_day": outing.first_day.isoformat(),
        "last_day": outing.last_day.isoformat(),
        "arrive": outing.arrive.isoformat(),
        "leave": outing.leave.isoformat(),
        "worth": _number(outing.worth),
        "cost_cents": outing.cost_cents,
    }


def _dump_leg(leg: Leg) -> dict[str, Any]:
    return {
        "vehicle": leg.vehicle,
        "from": leg.start,
        "to": leg.end,
        "depart": _moment(leg.depart),
        "arrive": _moment(leg.arrive),
        "km": _number(leg.km),
        "hours": _number(leg.hours),
        "drivers": [write_driver(driver) for driver in leg.drivers],
        "horses": list(leg.horses),
        "stops": [
            {
                "kind": stop.kind,
                "start": _moment(stop.start),
                "minutes": stop.minutes,
                "near": stop.near,
            }
            for stop in leg.stops
        ],
    }


def _dump_day(day: Day) -> dict[str, Any]:
    return {
        "horse": day.horse,
        "date": day.date.isoformat(),
        "at": day.at,
        "does": day.does,
        "also": list(day.also),
    }


def _dump_dropped(entry: DroppedEntry) -> dict[str, Any]:
    written: dict[str, Any] = {
        "horse": entry.horse,
        "show": entry.show,
        "class": entry.class_name,
        "rule": entry.rule,
        "why": tell(entry.why),
        "cents": entry.cents,
    }
    if isinstance(entry.why, Fact):
        written["why_fact"] = dump_fact(entry.why)
    return written


def _dump_reason(reason: Reason) -> dict[str, Any] | None:
    return dump_fact(reason) if isinstance(reason, Fact) else None


def _number(value: float) -> float:
    if not isfinite(value):
        raise BadValue(state("faults.not-finite-number", value=value))
    return float(value)


def _moment(moment: datetime) -> str:
    if moment.utcoffset() is None:
        raise BadValue(state("faults.has-no-time-zone", moment=moment))
    if moment.second or moment.microsecond:
        raise BadValue(state("faults.not-time-to-minute", moment=moment))
    return moment.isoformat(timespec="minutes")


def read_circuits(path: Path | str, yard: Yard | None = None) -> tuple[Circuit, ...]:
    """A JSON file of circuits becomes circuits; times come back with their fixed offset.

    With a `yard` the file must be of that yard, and its horses, shows, classes and vehicles
    must be the yard's. Raises `BadCircuits` at the first fault, naming its place in the file.
    """
    return _load_circuits(read_json(Path(path)), yard)


def parse_circuits(text: str, name: str, yard: Yard | None = None) -> tuple[Circuit, ...]:
    """The text of such a file becomes circuits, as `read_circuits` does; faults say `name`."""
    return _load_circuits(parse_json(text, name), yard)


def _load_circuits(root: Node, yard: Yard | None) -> tuple[Circuit, ...]:
    if root.key("format").value != FORMAT:
        root.key("format").fail(state("faults.is-not", format=FORMAT))
    name = root.key("yard").text()
    if yard is not None and name != yard.name:
        root.key("yard").fail(state("faults.not-this-yard", yard_name=yard.name))
    season = [day.day() for day in root.key("season").items()]
    if len(season) != 2:
        root.key("season").fail(state("faults.not-first-day-last-day"))
    if yard is not None and season != [yard.season.first, yard.season.last]:
        was = f"{season[0]} to {season[1]}"
        root.key("season").fail(
            state(
                "faults.not-this-yards-season-to",
                was=was,
                season_first=yard.season.first,
                season_last=yard.season.last,
            ),
            quote=False,
        )
    circuits = []
    first_by_name: dict[str, str] = {}
    for node in root.key("circuits").items():
        circuit = _load_circuit(node)
        first = first_by_name.setdefault(circuit.name, node.where)
        if first != node.where:
            node.key("name").fail(state("faults.also-name-of", first=first))
        if yard is not None:
            _check_names(node, yard)
        circuits.append(circuit)
    return tuple(circuits)


def _load_circuit(node: Node) -> Circuit:
    reasons = node.find("reasons")
    if not node.key("name").text().strip():
        node.key("name").fail(state("faults.no-name"))
    goal = node.key("goal").text()
    if find_goal(goal) is None:
        node.key("goal").fail(
            state("faults.none-of-3", goal_ids=tuple(GOAL_IDS), tour_goal=write_tour_goal("NAME"))
        )
    return Circuit(
        name=node.key("name").text(),
        goal=goal,
        status=node.key("status").choice(STATUSES),
        objective=_load_optional(node.key("objective"), Node.number),
        bound=_load_optional(node.key("bound"), Node.number),
        seconds=node.key("seconds").number(0),
        totals=_load_totals(node.key("totals")),
        outings=tuple(_load_outing(item) for item in node.key("outings").items()),
        legs=tuple(_load_leg(item) for item in node.key("legs").items()),
        days=tuple(_load_day(item) for item in node.key("days").items()),
        dropped_entries=tuple(_load_dropped(i) for i in node.key("dropped_entries").items()),
        reasons=_load_reasons(reasons, node.find("reason_facts")) if reasons else (),
    )


def _load_reasons(texts: Node, facts: Node | None) -> tuple[Reason, ...]:
    """The reasons as they were stated; plain text where the file has no facts, or unknown ones."""
    told = texts.texts()
    if facts is None or facts.value is None:
        return told
    stated = facts.items()
    if len(stated) != len(told):
        facts.fail(
            state("faults.holds-facts-for-reasons", len_stated=len(stated), len_told=len(told)),
            quote=False,
        )
    return tuple(_load_reason(fact) or text for fact, text in zip(stated, told, strict=True))


def _load_reason(node: Node | None) -> Fact | None:
    return None if node is None or node.value is None else load_fact(node)


def _load_optional(node: Node, read: Callable[[Node], Any]) -> Any:
    return None if node.value is None else read(node)


def _load_totals(node: Node) -> Totals:
    return Totals(
        worth=node.key("worth").number(),
        cost_cents=node.key("cost_cents").whole(),
        road_km=node.key("road_km").number(),
        horse_road_hours=node.key("horse_road_hours").number(),
        nights_away=node.key("nights_away").whole(0),
        outings=node.key("outings").whole(0),
        aims_met=node.key("aims_met").texts(),
        spare_days=_load_optional(node.key("spare_days"), Node.whole),
    )


def _load_outing(node: Node) -> Outing:
    outing = Outing(
        horse=node.key("horse").text(),
        show=node.key("show").text(),
        rider=node.key("rider").text(),
        classes=node.key("classes").texts(),
        first_day=node.key("first_day").day(),
        last_day=node.key("last_day").day(),
        arrive=node.key("arrive").day(),
        leave=node.key("leave").day(),
        worth=node.key("worth").number(),
        cost_cents=node.key("cost_cents").whole(),
    )
    if outing.last_day < outing.first_day:
        node.key("last_day").fail(state("faults.before-first-day", first_day=outing.first_day))
    if outing.leave < outing.arrive:
        node.key("leave").fail(state("faults.before-arrive", arrive=outing.arrive))
    return outing


def _load_leg(node: Node) -> Leg:
    leg = Leg(
        vehicle=node.key("vehicle").text(),
        start=node.key("from").text(),
        end=node.key("to").text(),
        depart=node.key("depart").moment(),
        arrive=node.key("arrive").moment(),
        km=node.key("km").number(0, MOST_KM),
        hours=node.key("hours").number(0, MOST_HOURS),
        drivers=tuple(map(read_driver, node.key("drivers").texts())),
        horses=node.key("horses").texts(),
        stops=tuple(_load_stop(item) for item in node.key("stops").items()),
    )
    if leg.arrive < leg.depart:
        node.key("arrive").fail(
            state("faults.before-depart", isoformat=leg.depart.isoformat(timespec="minutes"))
        )
    return leg


def _load_stop(node: Node) -> Stop:
    return Stop(
        kind=node.key("kind").choice(STOP_KINDS),
        start=node.key("start").moment(),
        minutes=node.key("minutes").whole(0, MOST_HOURS * 60),
        near=node.key("near").text(),
    )


def _load_day(node: Node) -> Day:
    return Day(
        horse=node.key("horse").text(),
        date=node.key("date").day(),
        at=node.key("at").text(),
        does=node.key("does").choice(KINDS_OF_DAY),
        also=tuple(item.choice(KINDS_OF_DAY) for item in node.key("also").items()),
    )


def _load_dropped(node: Node) -> DroppedEntry:
    named = node.find("rule")
    rule, why = "" if named is None else named.text(), node.key("why").text()
    head, mark, rest = why.partition(": ")
    if named is None and mark and " " not in head:
        # Older files say the rule's id at the head of the reason.
        rule, why = head, rest
    return DroppedEntry(
        horse=node.key("horse").text(),
        show=node.key("show").text(),
        class_name=node.key("class").text(),
        why=_load_reason(node.find("why_fact")) or why,
        cents=node.key("cents").whole(),
        rule=rule,
    )


def _check_names(circuit: Node, yard: Yard) -> None:
    stops = {HOME, *yard.show_by_name}
    for group in ("outings", "dropped_entries", "days"):
        for item in circuit.key(group).items():
            _check_known(item.key("horse"), yard.horse_by_name, "horse of the yard")
            if group != "days":
                _check_known(item.key("show"), yard.show_by_name, "show of the yard")
            else:
                _check_known(item.key("at"), {"road", *stops}, "show of the yard, home or road")
    for outing in circuit.key("outings").items():
        show = yard.show_by_name[outing.key("show").text()]
        offered = {c.name: c for c in show.classes}
        for item in outing.key("classes").items():
            _check_known(item, offered, f"class of {show.show!r}")
    for leg in circuit.key("legs").items():
        _check_known(leg.key("vehicle"), yard.vehicle_by_name, "vehicle of the yard")
        for end in ("from", "to"):
            _check_known(leg.key(end), stops, "show of the yard, nor home")
        for horse in leg.key("horses").items():
            _check_known(horse, yard.horse_by_name, "horse of the yard")


def _check_known(node: Node, known: Any, what: str) -> None:
    if node.value not in known:
        node.fail(state("faults.no-name-of-kind", what=what, near=suggest_near(node.text(), known)))
