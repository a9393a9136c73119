"""The columns and rows of a season's program, by the user's own words."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from tripkit.planning.chances import (
    WORTH_SCALE,
    Chance,
    Choice,
    DayPlan,
    Drive,
    Fleet,
    Ride,
    Window,
)
from tripkit.planning.mip import Mip
from tripkit.planning.paths import Enter, HorseGraph, Mark
from tripkit.planning.problem import Problem
from tripkit.yard.horses import Aim

Terms: TypeAlias = dict[int, float]
FEW_WINDOWS = 600
MANY_WINDOWS = 2_500


@dataclass(frozen=True, eq=False)
class Move:
    """A horse aboard: from a show that it leaves, to one that it comes to; None is home or a base.

    Of two drives the lorry calls somewhere on the way, and the horse stays aboard. `on_the_day` it
    comes on the morning of its first class, or goes on the evening of its last. The same drive may
    stand for several moves, by what it comes after and what it comes in time for.
    """

    horse: str
    leaves: Chance | None
    comes: Chance | None
    drives: DayPlan
    on_the_day: bool = False

    @property
    def depart(self) -> int:
        """The day on which it leaves."""
        return self.drives[0].depart


@dataclass(frozen=True)
class Attendance:
    """A horse at a show from before its classes until after them, in one window.

    `extra` are the days that its way took from the recovery; `after` is the show from which it
    stayed on at the same place. One that lives at the base of the town sleeps in its box.
    """

    chance: Chance
    window: Window
    extra: int
    after: Chance | None = None
    boxed: bool = False


@dataclass(frozen=True, eq=False)
class Change:
    """A horse that moves on a day from a show's stables to a box of the base there, or back.

    Without a show it stays at the base when the season ends.
    """

    horse: str
    place: str
    day: int
    leaves: Chance | None = None
    comes: Chance | None = None


Step: TypeAlias = Move | Attendance | Change


@dataclass
class Season:
    """The program and the columns of everything in it, by the user's own words."""

    problem: Problem
    mip: Mip = field(default_factory=Mip)
    graphs: dict[str, HorseGraph] = field(default_factory=dict)
    mark_rows: dict[Mark, int] = field(default_factory=dict)
    enter_of: dict[Enter, int] = field(default_factory=dict)
    check_of: dict[str, int] = field(default_factory=dict)
    window_of: dict[tuple[Chance, Window], int] = field(default_factory=dict)
    choice_of: dict[tuple[Chance, Choice], int] = field(default_factory=dict)
    moves_of: dict[Move, int] = field(default_factory=dict)
    changes_of: dict[Change, int] = field(default_factory=dict)
    nights_of: dict[str, dict[int, range]] = field(default_factory=dict)
    attendance_of: dict[Attendance, int] = field(default_factory=dict)
    legs_of: dict[tuple[Fleet, Drive], int] = field(default_factory=dict)
    plans_of: dict[tuple[Fleet, DayPlan], int] = field(default_factory=dict)
    waits_of: dict[tuple[Fleet, str, int, int], int] = field(default_factory=dict)
    rider_of: dict[tuple[Chance, str], int] = field(default_factory=dict)
    aim_of: dict[Aim, int] = field(default_factory=dict)
    missing_of: dict[str, int] = field(default_factory=dict)

    @property
    def small(self) -> bool:
        """Whether the horses' paths look back at the cap."""
        return is_small(self.problem)

    def ride_for(self, drive: Drive) -> Ride:
        """The drive's km, hours and days."""
        return self.problem.ride_for(drive)

    def arrival_of(self, move: Move) -> int:
        """The day on which a horse arrives."""
        return self.problem.arrival_of(move.drives[-1])

    def attends(self, chance: Chance) -> Terms:
        """The columns that sum to one where the horse goes to the show."""
        return {self.window_of[chance, window]: 1.0 for window in chance.windows}

    def missing_terms(self) -> Terms:
        """The outings that horses lack of the least that is wanted of them."""
        return dict.fromkeys(self.missing_of.values(), 1.0)

    def worth_terms(self) -> Terms:
        """The worth of a circuit: its classes and the aims it meets."""
        terms = {column: float(key[1].worth) for key, column in self.choice_of.items()}
        for aim, column in self.aim_of.items():
            terms[column] = terms.get(column, 0.0) + float(aim.importance) * WORTH_SCALE
        return terms


def is_small(problem: Problem, harder: int = 1) -> bool:
    """Whether the windows are so few that the whole season is solved at once."""
    return harder * sum(len(chance.windows) for chance in problem.chances) <= FEW_WINDOWS


def can_break(problem: Problem) -> bool:
    """Whether the windows are so few that all breaks of the season are in one program."""
    return sum(len(chance.windows) for chance in problem.chances) <= MANY_WINDOWS


def narrow(problem: Problem, stays: Collection[tuple[str, str, Window]]) -> Problem:
    """The problem with only some windows of the horses at the shows."""
    chances = []
    for chance in problem.chances:
        windows = tuple(w for w in chance.windows if (chance.horse, chance.show, w) in stays)
        if windows:
            chances.append(replace(chance, windows=windows))
    return replace(problem, chances=tuple(chances))
