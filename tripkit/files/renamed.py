"""A name in another's place: in circuits as JSON, and by which name the calendars first knew it.

Events of a calendar are known by a UID made from names. A name that is corrected keeps the UIDs
made from the first one, so the store keeps for each corrected name what it was at first.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from tripkit.files.circuits import FACT_KEYS, NAMING
from tripkit.files.facts import dump_fact, load_fact
from tripkit.files.nodes import Node
from tripkit.files.wishes import dump_wishes, load_wishes
from tripkit.words.telling import tell
from tripkit.yard.errors import BadCircuits
from tripkit.yard.facts import Fact, Value
from tripkit.yard.goals import write_tour_goal
from tripkit.yard.yard import SHOW, WHO, find_first_name

KNOWN_AS = "known as"
"""The store's setting that says, as JSON, what each renamed name was at first."""

SPACES: Mapping[str, str] = {
    **dict.fromkeys(("horse", "person", "vehicle"), WHO),
    **dict.fromkeys(("show", "base"), SHOW),
}
"""Horses, people and vehicles of a yard bear different names, so do shows and bases; one of these
may be called as one of those."""

READERS: Mapping[str, tuple[str, ...]] = {
    "horse": ("horse",),
    "person": ("owner", "rider", "groom", "driver", "vet"),
}
"""The kinds of calendar that bear a name of each kind."""

_WHO = ("horse", "horses", "person", "people", "rider", "vehicle", "vehicles", "who")
IN_FACTS: Mapping[str, tuple[str, ...]] = {
    "horse": _WHO,
    "person": _WHO,
    "vehicle": _WHO,
    "show": ("show", "shows", "before", "after"),
    "base": ("base",),
    "tour": ("tour",),
}
"""What values of facts are called that hold a name of each kind."""


@dataclass(frozen=True)
class Renaming:
    """A name of a kind that becomes another one."""

    kind: str
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.kind} {self.old!r} to {self.new!r}"

    def rename(self, name: Any) -> Any:
        """The new name for the old one; anything else as it is."""
        return self.new if name == self.old else name


def rename_in_circuits(text: str, renaming: Renaming) -> str:
    """Circuits as JSON text with a name changed; any other text comes back as it is.

    A reason is told anew where its fact names the one renamed; plain text stays as it was said.
    """
    try:
        document = json.loads(text)
        before = json.dumps(document)
        for circuit in document["circuits"]:
            _rename_in_circuit(circuit, renaming)
        if not str(document["format"]).startswith("tripkit circuits "):
            return text
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return text
    if json.dumps(document) == before:
        return text
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def _rename_in_circuit(circuit: dict[str, Any], renaming: Renaming) -> None:
    _rename_aims(circuit, renaming)
    for group, names in NAMING.items():
        for key in (key for key, named in names.items() if renaming.kind in named.kind.split()):
            for item in circuit.get(group, ()):
                if isinstance(item.get(key), list):
                    item[key] = [renaming.rename(name) for name in item[key]]
                elif key in item:
                    item[key] = renaming.rename(item[key])
    _rename_reasons(circuit, renaming)
    if renaming.kind == "tour" and circuit.get("goal") == write_tour_goal(renaming.old):
        circuit["goal"] = write_tour_goal(renaming.new)


def _rename_reasons(circuit: dict[str, Any], renaming: Renaming) -> None:
    for name, key in FACT_KEYS.items():
        for number, held in enumerate(circuit.get(key) or ()):
            fact = _rename_fact(held, renaming)
            if fact is not None:
                circuit[key][number] = dump_fact(fact)
                circuit[name][number] = tell(fact)
    for entry in circuit.get("dropped_entries", ()):
        fact = _rename_fact(entry.get("why_fact"), renaming)
        if fact is not None:
            entry["why"] = tell(fact)
            entry["why_fact"] = dump_fact(fact)


def _rename_fact(held: Any, renaming: Renaming) -> Fact | None:
    """The fact with the new name; None where it does not name the one renamed, or is none."""
    try:
        fact = None if held is None else load_fact(Node("", "", held))
    except BadCircuits:
        return None
    renamed = fact and rename_in_fact(fact, renaming)
    return None if renamed == fact else renamed


def rename_in_fact(fact: Fact, renaming: Renaming) -> Fact:
    """A fact with a name changed wherever a value holds a name of that kind."""
    return fact.map(lambda name, value: _rename_value(name, value, renaming))


def _rename_value(name: str, value: Value, renaming: Renaming) -> Value:
    if isinstance(value, Fact):
        return rename_in_fact(value, renaming)
    if isinstance(value, tuple):
        return tuple(_rename_value(name, one, renaming) for one in value)
    if isinstance(value, str) and name in IN_FACTS.get(renaming.kind, ()):
        return str(renaming.rename(value))
    return value


def _rename_aims(circuit: dict[str, Any], renaming: Renaming) -> None:
    """An aim that is met is written as `HORSE at SHOW, CLASS`, and an outing is there."""
    totals = circuit.get("totals") or {}
    pairs = [(o.get("horse"), o.get("show")) for o in circuit.get("outings", ())]
    renamed = []
    for title in totals.get("aims_met") or ():
        starts = [p for p in pairs if f"{title}, ".startswith(f"{p[0]} at {p[1]}, ")]
        horse, show = max(starts, key=lambda p: len(f"{p[0]}{p[1]}"), default=("", ""))
        rest = title[len(f"{horse} at {show}") :]
        if starts and renaming.kind == "horse":
            title = f"{renaming.rename(horse)} at {show}{rest}"
        elif starts and renaming.kind == "show":
            title = f"{horse} at {renaming.rename(show)}{rest}"
        renamed.append(title)
    if renamed:
        totals["aims_met"] = renamed


def rename_in_event(reader: str, content: str, renaming: Renaming) -> str:
    """An event of a reader as the store keeps it (see `publishing.contents`), with a name changed.

    What it was called when it was first shown is written beside it, because its UID is made
    from that.
    """
    event = json.loads(content)
    subject, topic = event["subject"], event["topic"]
    if SPACES.get(renaming.kind) == SHOW:
        reader_now, subject_now = reader, subject
        topic_now = topic if event["kind"] == "paper" else renaming.rename(topic)
    elif SPACES.get(renaming.kind) == WHO:
        reader_now, topic_now = renaming.rename(reader), topic
        # The subject of a certificate is a way, no name.
        subject_now = subject if event["kind"] == "certificate" else renaming.rename(subject)
    else:
        return content
    if (reader_now, subject_now, topic_now) == (reader, subject, topic):
        return content
    event.setdefault("first_names", [reader, subject, topic])
    event["subject"], event["topic"] = subject_now, topic_now
    return json.dumps(event)


def rename_in_wishes(text: str, renaming: Renaming) -> str:
    """The wishes in force, as the store keeps them, with a name changed."""
    kind, wishes = renaming.kind, load_wishes(text)

    def rename_pair(pair: tuple[str, str]) -> tuple[str, str]:
        horse, show = pair
        return (
            renaming.rename(horse) if kind == "horse" else horse,
            renaming.rename(show) if kind == "show" else show,
        )

    if SPACES.get(kind) == WHO:
        absences = tuple(replace(a, who=renaming.rename(a.who)) for a in wishes.absences)
        wishes = replace(wishes, absences=absences)
    if kind == "tour":
        wishes = replace(wishes, tour=renaming.rename(wishes.tour))
    held, forbidden = (tuple(map(rename_pair, p)) for p in (wishes.held, wishes.forbidden))
    return dump_wishes(replace(wishes, held=held, forbidden=forbidden))


def read_known_as(text: str) -> dict[tuple[str, str], str]:
    """The first names that the store keeps, by space and the name of today."""
    try:
        return {(space, name): first for space, name, first in json.loads(text or "[]")}
    except (ValueError, TypeError):
        return {}


def rename_known_as(text: str, renaming: Renaming) -> str:
    """The first names after a renaming, as the store keeps them."""
    known, space = read_known_as(text), SPACES.get(renaming.kind, "")
    if not space:
        return text
    first = find_first_name(known, space, renaming.old)
    known.pop((space, renaming.old), None)
    known.pop((space, renaming.new), None)
    if first != find_first_name(known, space, renaming.new):
        known[space, renaming.new] = first
    return json.dumps([[*key, first] for key, first in sorted(known.items())])
