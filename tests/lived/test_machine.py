"""A season lived day by day in any order of events: a yard of two horses, one lorry, five shows.

Plan, publish, ride, go lame, be absent, be moved, be cancelled, be scratched, be renamed, plan
again: no event of the past changes for any reader, none doubles or vanishes, and nothing that the
judge refuses is published (handbook, Choices and Calendars). With TRIPKIT_LIVED_EXAMPLES more
seasons are lived than by default.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from datetime import timedelta
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from tests.lived.world import World
from tests.lived.yard import FIRST, write_lived_yard
from tests.patience import PATIENCE_SECONDS

EXAMPLES = int(os.environ.get("TRIPKIT_LIVED_EXAMPLES", "4"))
WEEKS = 6
LAST_DAY = FIRST + timedelta(weeks=WEEKS)
HORSES = ("Alder", "Birch")


class LivedSeason(RuleBasedStateMachine):
    """One yard, its folder, and everybody who subscribed to it."""

    def __init__(self) -> None:
        super().__init__()
        self.base = Path(tempfile.mkdtemp(prefix="tripkit-lived-"))
        folder = write_lived_yard(self.base / "marsh", weeks=WEEKS, horses=len(HORSES), lorries=1)
        self.world = World(folder, seconds=PATIENCE_SECONDS)
        self.names = {name: name for name in HORSES}
        self.lame: set[str] = set()
        self.gone: set[str] = set()

    @initialize()
    def subscribe(self) -> None:
        """The season is published before it begins."""
        self.world.plan_and_publish()

    def teardown(self) -> None:
        """The folder goes."""
        shutil.rmtree(self.base)

    def is_going_on(self) -> bool:
        """Whether the season is not over yet."""
        return self.world.today < LAST_DAY

    @precondition(is_going_on)
    @rule(days=st.integers(1, 9))
    def days_go_by(self, days: int) -> None:
        """What was planned for these days is ridden."""
        self.world.pass_days(days)

    @precondition(is_going_on)
    @rule(days=st.integers(1, 9))
    def days_go_by_and_it_is_planned_anew(self, days: int) -> None:
        """The commonest evening."""
        self.world.pass_days(days)
        self.world.pay_entries()
        self.world.plan_and_publish()

    @precondition(is_going_on)
    @rule()
    def plan_again(self) -> None:
        """Twice on a day does no harm."""
        self.world.plan_and_publish()

    @rule(horse=st.sampled_from(HORSES))
    def lame_or_sound(self, horse: str) -> None:
        """The vet bars a horse, or clears it."""
        name = self.names[horse]
        (self.world.get_sound if horse in self.lame else self.world.go_lame)(name)
        self.lame ^= {horse}

    @rule(who=st.sampled_from(("Ana Reed", "Blue lorry", "Gil Hart")), days=st.integers(1, 8))
    def be_absent(self, who: str, days: int) -> None:
        """The rider, the only lorry or the groom is away."""
        self.world.be_absent(who, days)

    @rule(show=st.sampled_from(("Pine 1", "Pine 2", "Pine 3")), days=st.integers(-3, 9))
    def move_show(self, show: str, days: int) -> None:
        """The organiser sends another edition of his calendar, for a show to come."""
        if show not in self.gone and self.world.is_to_come(show, days):
            self.world.move_show(show, days)

    @rule(show=st.sampled_from(("Pine 2", "Pine 3")))
    def cancel_show(self, show: str) -> None:
        """The organiser cancels a show to come."""
        if show not in self.gone and self.world.is_to_come(show):
            self.world.cancel_show(show)
            self.gone.add(show)

    @rule()
    def scratch(self) -> None:
        """An entry that is paid is taken back."""
        self.world.scratch()

    @rule(horse=st.sampled_from(HORSES))
    def rename(self, horse: str) -> None:
        """A horse's name is corrected."""
        old = self.names[horse]
        self.names[horse] = f"{old}y"
        self.world.rename("horse", old, self.names[horse])

    @invariant()
    def nothing_went_wrong(self) -> None:
        """No reader was told anything false, and no circuit forgot what was."""
        assert not self.world.violations, "\n".join(self.world.violations)


def test_seasons_lived_in_any_order() -> None:
    """A few seasons of up to twelve steps each."""
    run_state_machine_as_test(
        LivedSeason,
        settings=settings(
            max_examples=EXAMPLES,
            stateful_step_count=12,
            suppress_health_check=list(HealthCheck),
        ),
    )
