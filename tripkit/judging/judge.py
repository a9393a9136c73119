"""The judge: every rule of a circuit held against what is written, independent of the planner.

The judge knows the yard and the arithmetic of the ground floor, and nothing of how a plan is
made. Each rule is one function that yields what breaks it, named in the table `yard.rules`. `days`
holds the day plan against outings and legs, `totals` counts the sums again, `figures` holds what
the search says of the circuit against it.

What cannot be judged is reported where it belongs and left out elsewhere: an unknown horse, show
or class under `eligible`, an unknown rider under `rider`, an unknown vehicle or stop under
`one-place`, a time without an offset under `driving`. Nothing written in a circuit raises.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from types import MappingProxyType

from tripkit.judging.case import Case, Violation
from tripkit.judging.figures import judge_without_plan
from tripkit.judging.past import is_past
from tripkit.yard import rules
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import RulesBroken
from tripkit.yard.facts import Fact, state
from tripkit.yard.names import find_function
from tripkit.yard.terms import name_term
from tripkit.yard.yard import Yard

Judge = Callable[[Case], Iterator[Violation]]


RULES: Mapping[str, Judge] = MappingProxyType(
    {rule.id: find_function("judging", rule.judged_by) for rule in rules.RULES}
)
"""The function that judges each rule, by its id, in the order of the table."""


def find_violations(yard: Yard, circuit: Circuit) -> tuple[Violation, ...]:
    """Every rule that a circuit breaks, in the order of the rules, then by day and name.

    A circuit without a plan breaks nothing as long as its lists are empty. Each violation stands
    once. What the past alone breaks is none, see `find_past_violations`.
    """
    return _judge(circuit, yard, past=False)


def find_past_violations(yard: Yard, circuit: Circuit) -> tuple[Violation, ...]:
    """Every rule that only what was lived breaks, in the same order: remarks that stop nothing."""
    return _judge(circuit, yard, past=True)


def _judge(circuit: Circuit, yard: Yard, *, past: bool) -> tuple[Violation, ...]:
    if not circuit.exists:
        return () if past else (*_find_leftovers(circuit), *judge_without_plan(circuit))
    case = Case(yard, circuit)
    found: list[Violation] = []
    order = list(RULES)
    for judge in RULES.values():
        found.extend(judge(case))
    return tuple(
        sorted(
            dict.fromkeys(v for v in found if is_past(case, v) is past),
            key=lambda v: (order.index(v.rule), v.day or date.min, v.horse, v.show, str(v.fact)),
        )
    )


def admit(yard: Yard, circuit: Circuit, *, anyway: bool = False) -> tuple[Violation, ...]:
    """What breaks a rule of the yard as it is goes no further, unless somebody knows better.

    The one door to publishing, files and paper. Answers what is broken `anyway`; raises
    `RulesBroken`.
    """
    violations = find_violations(yard, circuit)
    if violations and not anyway:
        raise RulesBroken(sum_up(yard, circuit, violations), violations)
    return violations


def sum_up(yard: Yard, circuit: Circuit, violations: Sequence[Violation]) -> Fact:
    """How many rules a circuit breaks, as it stands above the violations themselves."""
    return state(
        "judging.breaks",
        circuit=circuit.name,
        count=len({violation.rule for violation in violations}),
        yard=yard.name,
        today=yard.day_of_planning,
    )


def _find_leftovers(circuit: Circuit) -> Iterator[Violation]:
    lists = {
        "outings": circuit.outings,
        "legs": circuit.legs,
        "days": circuit.days,
        "dropped_entries": circuit.dropped_entries,
        "rider_ways": circuit.rider_ways,
    }
    for name, rows in lists.items():
        if rows:
            fact = state(
                "judging.leftover", status=name_term(circuit.status), name=name, count=len(rows)
            )
            yield Violation("totals", fact)
