"""How records stand in JSON: what writes a key reads it, and a field's type says how."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import fields
from datetime import date, datetime
from math import isfinite
from typing import Any, NamedTuple

from tripkit.files.nodes import LARGEST_NUMBER, Node
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state


class Form(NamedTuple):
    """A value to JSON and back; reading raises `BadCircuits`."""

    dump: Callable[[Any], Any]
    load: Callable[[Node], Any]


class Shape:
    """A record as an object of JSON: a key a field, in their order, written as its type says.

    `order` are the fields where they are fewer or stand otherwise, `keys` what the object calls
    them where it differs, `forms` how those are written whose type does not say it. `empty` stands
    for what may be missing. Keys that are not known are passed over.
    """

    def __init__(
        self,
        record: Any,
        *,
        order: Iterable[str] = (),
        keys: Mapping[str, str] | None = None,
        empty: Mapping[str, Any] | None = None,
        **forms: Form | Shape,
    ) -> None:
        """Raises `KeyError` for a field of a type that has no form."""
        types = {field.name: field.type for field in fields(record)}
        self._fields = [
            (name, (keys or {}).get(name, name), forms.get(name) or FORM_OF_TYPE[str(types[name])])
            for name in order or types
        ]
        self._record, self._empty = record, empty or {}

    def dump(self, record: Any) -> dict[str, Any]:
        """A record as JSON."""
        return {key: form.dump(getattr(record, name)) for name, key, form in self._fields}

    def load(self, node: Node) -> Any:
        """The record of such JSON; raises `BadCircuits` at the first fault."""
        return self._record(
            **{
                name: self._empty[name]
                if name in self._empty and node.find(key) is None
                else form.load(node.key(key))
                for name, key, form in self._fields
            }
        )


def make_list(form: Form | Shape) -> Form:
    """A list of values."""
    return Form(
        lambda values: [form.dump(value) for value in values],
        lambda node: tuple(form.load(item) for item in node.items()),
    )


def make_optional(form: Form) -> Form:
    """A value, or null for none."""
    return Form(
        lambda value: None if value is None else form.dump(value),
        lambda node: None if node.value is None else form.load(node),
    )


def make_choice(words: Collection[str]) -> Form:
    """One of some words."""
    return Form(_keep, lambda node: node.choice(words))


def make_whole(low: int, high: int = LARGEST_NUMBER) -> Form:
    """A whole number between two."""
    return Form(_keep, lambda node: node.whole(low, high))


def make_number(low: float, high: float = LARGEST_NUMBER) -> Form:
    """A finite number between two."""
    return Form(dump_number, lambda node: node.number(low, high))


def dump_number(value: float) -> float:
    """A number as JSON; raises `BadValue` for one that is not finite."""
    if not isfinite(value):
        raise BadValue(state("faults.not-finite-number", value=value))
    return float(value)


def _dump_moment(moment: datetime) -> str:
    """A local time with its offset, to the minute; raises `BadValue` for any other."""
    if moment.utcoffset() is None:
        raise BadValue(state("faults.has-no-time-zone", moment=moment))
    if moment.second or moment.microsecond:
        raise BadValue(state("faults.not-time-to-minute", moment=moment))
    return moment.isoformat(timespec="minutes")


def _keep(value: Any) -> Any:
    return value


TEXT = Form(_keep, Node.text)
TEXTS = make_list(TEXT)
DAY = Form(date.isoformat, Node.day)
MOMENT = Form(_dump_moment, Node.moment)
FLAG = Form(_keep, Node.flag)
NUMBER = make_number(-LARGEST_NUMBER)
WHOLE = make_whole(-LARGEST_NUMBER)
FORM_OF_TYPE: Mapping[str, Form] = {
    "str": TEXT,
    "tuple[str, ...]": TEXTS,
    "bool": FLAG,
    "date": DAY,
    "datetime": MOMENT,
    "int": WHOLE,
    "int | None": make_optional(WHOLE),
    "float": NUMBER,
    "float | None": make_optional(NUMBER),
}
