"""What the judge found, in lines: as it stands above sheets and on the command line."""

from __future__ import annotations

from collections.abc import Sequence

from tripkit.judging.case import Violation
from tripkit.judging.judge import sum_up
from tripkit.words.telling import Teller, choose_teller
from tripkit.yard.circuit import Circuit
from tripkit.yard.yard import Yard


def write_broken(
    yard: Yard,
    circuit: Circuit,
    violations: Sequence[Violation],
    teller: Teller | None = None,
) -> tuple[str, ...]:
    """What a circuit breaks: how much, then a line each; nothing where nothing is broken."""
    if not violations:
        return ()
    teller = teller or choose_teller(yard, local=False)
    head = teller.tell(sum_up(yard, circuit, violations))
    return (head, *(write_line(teller, violation) for violation in violations))


def write_line(teller: Teller, violation: Violation) -> str:
    """The day, where it has one, the rule and what is so."""
    day = "" if violation.day is None else f"{teller.write_date(violation.day)}  "
    return f"{day}{write_violation(teller, violation)}"


def write_violation(teller: Teller, violation: Violation) -> str:
    """The rule and what is so."""
    return teller.tell(violation.told)
