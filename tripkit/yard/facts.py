"""A fact: what is so, as a code with typed values. Words for it are made elsewhere, once.

Below `words` everything that is told to people is a fact: a reason, a violation, a remark, what was
wanted of a value. `words` holds one sentence for each code in each language and makes it from the
values; nothing ever takes a sentence apart to get at a value.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Protocol, TypeAlias


class Span(Protocol):
    """First and last day, as `days.DaySpan` has them; `days` itself states facts."""

    @property
    def first(self) -> date:
        """The first day."""

    @property
    def last(self) -> date:
        """The last day."""

    def __hash__(self) -> int:
        """Facts can be keys."""


Value: TypeAlias = (
    "str | int | float | Decimal | date | datetime | Span | Fact | tuple[Value, ...] | None"
)
"""What a fact holds; the end of its name says its unit (`_days`, `_km`, `_hours`, `_cents`)."""


@dataclass(frozen=True, slots=True)
class Fact:
    """What is so: a code, and the values that its sentence needs, by name; `state` makes one.

    Facts are equal by code and values. `str()` tells one in English, by whoever was appointed.
    A big yard has some hundred thousand: all of the same values share `names`, which are sorted.
    """

    code: str
    names: tuple[str, ...] = ()
    held: tuple[Value, ...] = ()

    @property
    def family(self) -> str:
        """What its code begins with: the room that its sentence stands in."""
        return self.code.partition(".")[0]

    @property
    def values(self) -> dict[str, Value]:
        """What its sentence needs, by name."""
        return dict(zip(self.names, self.held, strict=True))

    def get(self, name: str) -> Value:
        """The value of that name, None where the fact has none."""
        return self.held[self.names.index(name)] if name in self.names else None

    def change(self, **values: Value) -> Fact:
        """The same fact with other values under some names."""
        return state(self.code, **{**self.values, **values})

    def map(self, change: Callable[[str, Value], Value]) -> Fact:
        """The same fact with each value changed, by its name."""
        return Fact(self.code, self.names, tuple(map(change, self.names, self.held)))

    def get_fact(self, name: str) -> Fact:
        """The fact that this one holds by that name; raises `KeyError` where there is none."""
        value = self.get(name)
        if not isinstance(value, Fact):
            raise KeyError(name)
        return value

    def __str__(self) -> str:
        return _APPOINTED[0][0](self)


Reason: TypeAlias = str | Fact
"""Why something is so; plain text only where others wrote it, such as an older file."""


def state(code: str, /, **values: Value) -> Fact:
    """A fact with its values.

    >>> state("horse.too-young", horse="Alder", have_years=3).get("have_years")
    3
    """
    names = tuple(values)
    ordered = _ORDERS.get(names)
    if ordered is None:
        ordered = _ORDERS[names] = tuple(sorted(names))
    if ordered == names:
        return Fact(code, ordered, tuple(values.values()))
    return Fact(code, ordered, tuple([values[name] for name in ordered]))


def appoint(*, tell: Callable[[Fact], str], draw: Callable[[object], str]) -> None:
    """Who tells a fact for `str()` and draws a record for a notebook: the front door appoints."""
    _APPOINTED[:] = [(tell, draw)]


def draw(record: object) -> str:
    """A record as HTML, as notebooks show it, by whoever was appointed."""
    return _APPOINTED[0][1](record)


def _tell_bare(fact: Fact) -> str:
    values = ", ".join(f"{name}={value}" for name, value in fact.values.items())
    return f"{fact.code}({values})"


_ORDERS: dict[tuple[str, ...], tuple[str, ...]] = {}
"""The names of a fact as they were written, and sorted."""

_APPOINTED: list[tuple[Callable[[Fact], str], Callable[[object], str]]] = [(_tell_bare, repr)]
