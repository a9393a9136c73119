"""The columns and rows of a season's program, by the user's own words."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace

from tripkit.planning.chances import WORTH_SCALE, Chance, Choice, Fleet, Pace, Ride, Window
from tripkit.planning.mip import Mip
from tripkit.planning.paths import Enter, HorseGraph, Leave, Mark
from tripkit.planning.problem import Problem
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.horses import Aim

Terms = dict[int, float]
FEW_WINDOWS = 600
MANY_WINDOWS = 2_500


@dataclass(frozen=True)
class Drive:
    """One possible leg of a fleet: from one place key to another, leaving on a day."""

    start: str
    end: str
    depart: int
    pace: Pace


@dataclass
class Season:
    """The program and the columns of everything in it, by the user's own words."""

    problem: Problem
    mip: Mip = field(default_factory=Mip)
    graphs: dict[str, HorseGraph] = field(default_factory=dict)
    mark_rows: dict[Mark, int] = field(default_factory=dict)
    enter_of: dict[Enter, int] = field(default_factory=dict)
    leave_of: dict[Leave, int] = field(default_factory=dict)
    check_of: dict[str, int] = field(default_factory=dict)
    window_of: dict[tuple[Chance, Window], int] = field(default_factory=dict)
    choice_of: dict[tuple[Chance, Choice], int] = field(default_factory=dict)
    rides_of: dict[tuple[Chance, Drive], int] = field(default_factory=dict)
    legs_of: dict[tuple[Fleet, Drive], int] = field(default_factory=dict)
    rider_of: dict[tuple[Chance, str], int] = field(default_factory=dict)
    aim_of: dict[Aim, int] = field(default_factory=dict)

    @property
    def small(self) -> bool:
        """Whether the horses' paths look back at the cap."""
        return is_small(self.problem)

    def ride_for(self, drive: Drive) -> Ride:
        """The drive's km, hours and days."""
        ride = self.problem.find_ride(drive.start, drive.end, drive.pace)
        if ride is None:
            raise BadValue(state("values.no-road-from-to-2", start=drive.start, end=drive.end))
        return ride

    def arrival_of(self, drive: Drive) -> int:
        """The day on which a drive arrives."""
        return drive.depart + self.ride_for(drive).days - 1

    def attends(self, chance: Chance) -> Terms:
        """The columns that sum to one where the horse goes to the show."""
        return {self.window_of[chance, window]: 1.0 for window in chance.windows}

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
