"""Circuits to and from the JSON that `tripkit plan --out` writes: "tripkit circuits 1".

The keys of each object stand in the order of the record's fields; times are local with their
offset, to the minute. Unknown keys are passed over when reading, so that a later edition may add
some.
"""

from __future__ import annotations

import json
import os
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any, NamedTuple

from tripkit.files.atomic import write_whole
from tripkit.files.facts import dump_fact, load_fact
from tripkit.files.nodes import Node, parse_json, read_json
from tripkit.files.shapes import (
    Form,
    Shape,
    dump_number,
    make_choice,
    make_list,
    make_number,
    make_optional,
    make_whole,
)
from tripkit.words.telling import tell
from tripkit.yard.circuit import (
    CAR,
    KINDS_OF_DAY,
    KINDS_OF_STOP,
    STATUSES,
    WITHOUT_PLAN,
    Circuit,
    Day,
    DroppedEntry,
    Leg,
    Outing,
    RiderWay,
    Stop,
    Totals,
    write_driver,
)
from tripkit.yard.errors import BadCircuits, CannotWrite
from tripkit.yard.facts import Fact, Reason, state
from tripkit.yard.goals import GOAL_IDS, find_goal, write_tour_goal
from tripkit.yard.money import round_cents
from tripkit.yard.names import suggest_near
from tripkit.yard.places import HOME
from tripkit.yard.yard import Yard

FORMAT = "tripkit circuits 1"
# Around the earth, and a month: beyond what any drive takes.
MOST_KM, MOST_HOURS = 40_000, 744


class Named(NamedTuple):
    """Whose name a key holds; its noun where it must be known, and what may stand there beside.

    Of several kinds with blanks between it holds a name of one.
    """

    kind: str
    what: Fact | None = None
    beside: tuple[str, ...] = ()


HORSE, PERSON = Named("horse", state("faults.kinds-of-yard", kinds=("horse",))), Named("person")
SHOW = Named("show", state("faults.kinds-of-yard", kinds=("show",)))
VEHICLE = Named("vehicle", state("faults.kinds-of-yard", kinds=("vehicle",)))
HALT = Named("show base", state("faults.show-nor-home"), (HOME,))
NAMING: Mapping[str, Mapping[str, Named]] = {
    "outings": {"horse": HORSE, "show": SHOW, "rider": PERSON},
    "dropped_entries": {"horse": HORSE, "show": SHOW},
    "days": {
        "horse": HORSE,
        "at": Named("show base", state("faults.show-home-or-road"), (HOME, "road")),
    },
    "legs": {"vehicle": VEHICLE, "from": HALT, "to": HALT, "drivers": PERSON, "horses": HORSE},
    "rider_ways": {
        "rider": PERSON,
        "from": HALT,
        "to": HALT,
        "by": Named("vehicle", state("faults.vehicle-nor-car"), (CAR,)),
    },
}
"""Where the lists of a circuit hold names: the keys of each object, and whose name each is."""

FACT_KEYS = {"leaves_out": "left_out_facts", "remarks": "remark_facts", "reasons": "reason_facts"}
"""What is said of a circuit in sentences, and where the facts stand that these are told of."""

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
    written = CIRCUIT.dump(circuit)
    if circuit.reasons or not circuit.exists:
        reasons = circuit.reasons or (REASON_OF_STATUS[circuit.status],)
        written["reasons"] = [tell(reason) for reason in reasons]
    for name, key in FACT_KEYS.items():
        said: Sequence[Reason] = getattr(circuit, name)
        if any(isinstance(one, Fact) for one in said):
            written[key] = [_dump_reason(one) for one in said]
    return written


def _dump_dropped(entry: DroppedEntry) -> dict[str, Any]:
    written = DROPPED.dump(entry)
    if isinstance(entry.why, Fact):
        written["why_fact"] = dump_fact(entry.why)
    return written


def _dump_reason(reason: Reason) -> dict[str, Any] | None:
    return dump_fact(reason) if isinstance(reason, Fact) else None


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
    if not node.key("name").text().strip():
        node.key("name").fail(state("faults.no-name"))
    goal = node.key("goal").text()
    if find_goal(goal) is None:
        node.key("goal").fail(
            state("faults.none-of-3", goal_ids=tuple(GOAL_IDS), tour_goal=write_tour_goal("NAME"))
        )
    circuit: Circuit = CIRCUIT.load(node)
    said: dict[str, Any] = {
        name: _load_reasons(texts, node.find(key))
        for name, key in FACT_KEYS.items()
        if (texts := node.find(name)) is not None
    }
    return replace(circuit, **said)


def _load_reasons(texts: Node, facts: Node | None) -> tuple[Reason, ...]:
    """Reasons as they were stated; plain text where the file has no facts, or unknown ones."""
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


def _load_outing(node: Node) -> Outing:
    outing: Outing = OUTING.load(node)
    if outing.last_day < outing.first_day:
        node.key("last_day").fail(state("faults.before-first-day", first_day=outing.first_day))
    if outing.leave < outing.arrive:
        node.key("leave").fail(state("faults.before-arrive", arrive=outing.arrive))
    return outing


def _load_leg(node: Node) -> Leg:
    leg: Leg = LEG.load(node)
    if leg.arrive < leg.depart:
        node.key("arrive").fail(
            state("faults.before-depart", isoformat=leg.depart.isoformat(timespec="minutes"))
        )
    return leg


def _load_dropped(node: Node) -> DroppedEntry:
    entry: DroppedEntry = DROPPED.load(node)
    head, mark, rest = str(entry.why).partition(": ")
    if node.find("rule") is None and mark and " " not in head:
        # Older files say the rule's id at the head of the reason.
        entry = replace(entry, rule=head, why=rest)
    return replace(entry, why=_load_reason(node.find("why_fact")) or entry.why)


def _check_names(circuit: Node, yard: Yard) -> None:
    """Names of horses, shows and vehicles are those of the yard; whoever drives or rides may go."""
    known = {
        "horse": yard.horse_by_name,
        "show": yard.show_by_name,
        "show base": {**yard.show_by_name, **yard.base_of},
        "vehicle": yard.vehicle_by_name,
    }
    for group, names in NAMING.items():
        rows = circuit.find(group)
        for item in () if rows is None else rows.items():
            for key, named in names.items():
                found = item.key(key)
                for one in found.items() if isinstance(found.value, list) else (found,):
                    if named.what and one.value not in named.beside:
                        _check_known(one, known[named.kind], named.what)
    for outing in circuit.key("outings").items():
        show = yard.show_by_name[outing.key("show").text()]
        offered = {c.name for c in show.classes}
        for item in outing.key("classes").items():
            _check_known(item, offered, state("faults.class-of", show=show.show))


def _check_known(node: Node, known: Collection[str], what: Fact) -> None:
    if node.value not in known:
        node.fail(state("faults.no-name-of-kind", what=what, near=suggest_near(node.text(), known)))


def _load_cents(node: Node) -> int:
    return round_cents(Decimal(str(node.number(0))) * 100)


OUTING = Shape(Outing)
STOP = Shape(Stop, kind=make_choice(KINDS_OF_STOP), minutes=make_whole(0, MOST_HOURS * 60))
LEG = Shape(
    Leg,
    keys={"start": "from", "end": "to"},
    km=make_number(0, MOST_KM),
    hours=make_number(0, MOST_HOURS),
    drivers=make_list(Form(write_driver, lambda node: node.text())),
    stops=make_list(STOP),
)
WAY = Shape(RiderWay, keys={"start": "from", "end": "to"}, km=make_number(0, MOST_KM))
DAY_KIND = make_choice(KINDS_OF_DAY)
DROPPED = Shape(
    DroppedEntry,
    order=("horse", "show", "class_name", "rule", "why", "cents"),
    keys={"class_name": "class"},
    empty={"rule": ""},
    why=Form(tell, Node.text),
)
SENTENCES = make_list(Form(tell, Node.text))
CIRCUIT = Shape(
    Circuit,
    order=(
        *("name", "goal", "status", "leaves_out", "objective", "bound", "seconds", "totals"),
        *("aims_proved", "point_price_cents", "remarks", "rider_ways", "outings", "legs", "days"),
        *("dropped_entries", "dropped_proved"),
    ),
    keys={"point_price_cents": "point_price"},
    empty={
        "leaves_out": (),
        "aims_proved": False,
        "point_price_cents": None,
        "remarks": (),
        "rider_ways": (),
        "dropped_proved": False,
    },
    leaves_out=SENTENCES,
    remarks=SENTENCES,
    point_price_cents=make_optional(Form(lambda cents: cents / 100, _load_cents)),
    rider_ways=make_list(WAY),
    status=make_choice(STATUSES),
    seconds=Form(lambda seconds: round(dump_number(seconds), 3), lambda node: node.number(0)),
    totals=Shape(
        Totals,
        empty={"missing_outings": 0},
        nights_away=make_whole(0),
        outings=make_whole(0),
        missing_outings=make_whole(0),
    ),
    outings=make_list(Form(OUTING.dump, _load_outing)),
    legs=make_list(Form(LEG.dump, _load_leg)),
    days=make_list(Shape(Day, does=DAY_KIND, also=make_list(DAY_KIND))),
    dropped_entries=make_list(Form(_dump_dropped, _load_dropped)),
)
