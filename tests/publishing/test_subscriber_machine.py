"""A season lived through at random, and what a subscriber's calendar makes of it.

Plans change, shows move, horses go lame, are sold and join, papers are renewed, days pass, and now
and then the plan is published: sometimes one that carries the past on, sometimes one that tells it
otherwise or not at all. The subscriber reads the served bytes with the icalendar library and keeps
what a calendar program keeps: events by UID. What he may never see is in the handbook, Calendars.
"""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, precondition, rule

from tests.build import make_class, make_horse, make_paper, make_show, make_vet_check
from tests.publishing.hand_season import CHICAGO, NEW_YORK, make_season_yard
from tests.publishing.subscriber import Subscriber
from tripkit.publishing import publish, refresh_feeds
from tripkit.store import open_store
from tripkit.yard.circuit import Circuit, Day, Leg, Outing
from tripkit.yard.days import DaySpan
from tripkit.yard.people import Person, Share
from tripkit.yard.yard import Yard

SHOWS = {f"D{n}": date(2027, 3, 10) + timedelta(days=14 * (n - 1)) for n in range(1, 5)}
RIDERS = {"Alder": "Ana", "Birch": "Ben", "Drum": "Ana"}
DAY = timedelta(days=1)
SUBSCRIBED = {
    ("horse", "Alder"),
    ("owner", "Olga"),
    ("owner", "Otto"),
    ("rider", "Ana"),
    ("driver", "Sam"),
    ("vet", "Dr. Vale"),
    ("yard", "Hill Farm"),
}
"""Whose calendars are read; between them they have every kind of event."""
PUBLISHED = st.sampled_from(["later", "carried on", "anew", "anew"])
"""How what happens is published: with the past of the plan before it, or all of it laid anew."""
Who = tuple[str, str]


class Season(RuleBasedStateMachine):
    """A yard, its plan, the clock, and a subscriber of every feed."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.store = open_store(self.folder)
        # Both horses are at the first show.
        self.now = datetime(2027, 3, 9, 15, tzinfo=UTC)
        self.today: date | None = None
        self.shows = dict(SHOWS)
        self.going = {(horse, show) for horse in ("Alder", "Birch") for show in ("D1", "D2", "D4")}
        self.schools: dict[str, tuple[int, ...]] = {}
        self.shifts = (0, 0)
        self.horses = ["Alder", "Birch"]
        self.lame: list[str] = []
        self.olga = {"Alder"}
        self.paper = date(2027, 4, 12)
        self.published: Circuit | None = None
        self.subscribers: dict[Who, Subscriber] = {}

    def teardown(self) -> None:
        self.store.close()
        shutil.rmtree(self.folder)

    # What happens

    @rule(days=st.sampled_from([1, 2, 5, 7]), hour=st.sampled_from([11, 15, 21]), how=PUBLISHED)
    def time_passes(self, days: int, hour: int, how: str) -> None:
        self.now = datetime.combine(self.now.date() + days * DAY, time(hour), UTC)
        self._plan(how)

    @rule(stale=st.integers(0, 40))
    def somebody_forgets_what_day_it_is(self, stale: int) -> None:
        """The day written in yard.toml is an old one, until it is struck out."""
        self.today = self.now.date() - stale * DAY if stale < 30 else None

    @rule(
        horse=st.sampled_from(sorted(RIDERS)),
        show=st.sampled_from(sorted(SHOWS)),
        how=PUBLISHED,
    )
    def an_outing_comes_or_goes(self, horse: str, show: str, how: str) -> None:
        self.going ^= {(horse, show)}
        self._plan(how)

    @rule(
        show=st.sampled_from(sorted(SHOWS)),
        days=st.sampled_from([-20, -3, -1, 1, 2, 5, 20]),
        how=PUBLISHED,
    )
    def an_organiser_moves_a_show(self, show: str, days: int, how: str) -> None:
        self.shows[show] += days * DAY
        self._plan(how)

    @rule(show=st.sampled_from(sorted(SHOWS)), before=st.sets(st.integers(5, 16), max_size=3))
    def schools_are_laid_otherwise(self, show: str, before: set[int]) -> None:
        self.schools[show] = tuple(sorted(before))

    @rule(arrive=st.integers(-1, 1), leave=st.integers(-2, 2), how=PUBLISHED)
    def stays_are_told_otherwise(self, arrive: int, leave: int, how: str) -> None:
        """Those that are over as well: a plan from scratch, or results that overrule it."""
        self.shifts = (arrive, leave)
        self._plan(how)

    @rule(horse=st.sampled_from(sorted(RIDERS)))
    def a_horse_goes_lame(self, horse: str) -> None:
        self.lame.append(horse)
        self.going = {
            (h, s) for h, s in self.going if h != horse or self.shows[s] < self.now.date()
        }

    @rule(horse=st.sampled_from(["Alder", "Birch"]))
    def a_horse_is_sold(self, horse: str) -> None:
        self.olga ^= {horse}

    @rule()
    def a_horse_joins_or_leaves(self) -> None:
        self.horses = ["Alder", "Birch"] if "Drum" in self.horses else ["Alder", "Birch", "Drum"]

    @rule(days=st.integers(1, 60))
    def a_paper_is_renewed(self, days: int) -> None:
        self.paper += days * DAY

    # What is published

    @initialize()
    def the_season_is_published(self) -> None:
        self._publish(self._make_circuit(carry=False))

    @precondition(lambda self: self.published is not None)
    @rule()
    def the_same_is_published_again(self) -> None:
        """Once to bring it up to the day, and once more, which changes no byte."""
        assert self.published is not None
        self.published = self._keep_known(self.published)
        self._publish(self.published)
        before = self.store.read_shelf().feeds
        self.now += timedelta(minutes=10)
        published = publish(self._make_yard(), self.published, self.store, self.now)
        assert published.changes == ()
        assert self.store.read_shelf().feeds == before

    @rule()
    def the_server_looks_after_its_feeds(self) -> None:
        refresh_feeds(self.store, self.now)
        self._fetch()
        assert not refresh_feeds(self.store, self.now)

    def _plan(self, how: str) -> None:
        if how != "later":
            self._publish(self._make_circuit(carry=how == "carried on"))

    def _publish(self, circuit: Circuit) -> None:
        self.now += timedelta(minutes=1)
        publish(self._make_yard(), circuit, self.store, self.now)
        self.published = circuit
        self._fetch()

    def _fetch(self) -> None:
        today = self._make_yard().day_of_planning
        for who, feed in self.store.read_shelf().feeds.items():
            if who in SUBSCRIBED:
                self.subscribers.setdefault(who, Subscriber()).fetch(feed.body, self.now, today)

    # The yard and its circuits, by hand

    def _make_yard(self) -> Yard:
        local = self.now.astimezone(ZoneInfo(NEW_YORK)).date()
        owners = {h: "Olga" if h in self.olga else "Otto" for h in self.horses}
        fields: dict[str, Any] = {
            "today": self.today or local,
            "shows": [self._make_show(show) for show in sorted(SHOWS)],
            "horses": [make_horse(h, rider=RIDERS[h]) for h in self.horses],
            "people": [
                Person("Ana", "rider"),
                Person("Ben", "rider"),
                Person("Gil", "groom"),
                Person("Dr. Vale", "vet"),
                *(Person(name, "owner") for name in ("Olga", "Otto")),
            ],
            "shares": [Share(h, owner, Fraction(1)) for h, owner in owners.items()],
            "entries": [],
            "papers": [make_paper("coggins", "2027-01-10", "Alder", valid_until=self.paper)],
            "vet_checks": [
                make_vet_check("2027-03-01", cleared=False, horse=h, recheck_by="2027-04-20")
                for h in self.lame
                if h in self.horses
            ],
        }
        return make_season_yard(**fields)

    def _make_show(self, show: str) -> Any:
        first = self.shows[show]
        return make_show(
            show,
            first,
            first + 4 * DAY,
            name=f"Dothan {show}",
            place_key="Dothan, AL",
            timezone=CHICAGO,
            stabling=DaySpan(first - 3 * DAY, first + 6 * DAY),
            entries_close=first - 15 * DAY,
            late_entries_until=first - 5 * DAY,
            classes=(make_class("C1", first + DAY, show), make_class("C2", first + 3 * DAY, show)),
        )

    def _make_circuit(self, *, carry: bool) -> Circuit:
        """The plan as it stands; with what has begun of the published one verbatim, or without."""
        made = self._plan_anew()
        if not carry or self.published is None:
            return made
        today = self._make_yard().day_of_planning
        old = self._keep_known(self.published)
        begun = tuple(o for o in old.outings if o.arrive <= today)
        known = {(o.horse, o.show) for o in begun}
        return replace(
            made,
            outings=begun + tuple(o for o in made.outings if self._is_new(o, known, today)),
            legs=tuple(leg for leg in old.legs if leg.depart.date() <= today)
            + tuple(leg for leg in made.legs if leg.depart.date() > today),
            days=tuple(d for d in old.days if d.date <= today)
            + tuple(d for d in made.days if d.date > today),
        )

    @staticmethod
    def _is_new(outing: Outing, known: set[tuple[str, str]], today: date) -> bool:
        return (outing.horse, outing.show) not in known and outing.arrive > today

    def _keep_known(self, circuit: Circuit) -> Circuit:
        """A circuit without the horses that have left the yard."""
        here = set(self.horses)
        legs = (replace(g, horses=tuple(h for h in g.horses if h in here)) for g in circuit.legs)
        return replace(
            circuit,
            outings=tuple(o for o in circuit.outings if o.horse in here),
            legs=tuple(leg for leg in legs if leg.horses),
            days=tuple(d for d in circuit.days if d.horse in here),
        )

    def _plan_anew(self) -> Circuit:
        outings, legs, days = [], [], []
        for show, first in self.shows.items():
            horses = tuple(h for h in self.horses if (h, show) in self.going)
            sooner, longer = self.shifts
            arrive, last = first + (sooner - 2) * DAY, first + 3 * DAY
            leave = first + (longer + 5) * DAY
            for horse in horses:
                classes = ("C1", "C2")
                outings.append(
                    Outing(horse, show, RIDERS[horse], classes, first + DAY, last, arrive, leave)
                )
                schools = self.schools.get(show, (8,))
                days += [Day(horse, first - before * DAY, "home", "school") for before in schools]
                days.append(Day(horse, leave + 2 * DAY, "home", "vet check"))
            if horses:
                legs += [
                    _make_leg("home", show, arrive, NEW_YORK, CHICAGO, horses),
                    _make_leg(show, "home", leave, CHICAGO, NEW_YORK, horses),
                ]
        seen = {(d.horse, d.date): d for d in days}
        return Circuit(
            "c",
            "most worth",
            "proved best",
            outings=tuple(outings),
            legs=tuple(legs),
            days=tuple(seen.values()),
        )


def _make_leg(
    start: str, end: str, day: date, zone: str, there: str, horses: tuple[str, ...]
) -> Leg:
    depart = datetime.combine(day, time(7), ZoneInfo(zone))
    arrive = datetime.combine(day, time(19), ZoneInfo(there))
    return Leg("Big Lorry", start, end, depart, arrive, 1120.0, 12.0, ("Sam",), horses)


Season.TestCase.settings = settings(
    max_examples=12,
    stateful_step_count=20,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
test_no_calendar_ever_changes_its_past = Season.TestCase
