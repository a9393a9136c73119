"""The vet's visits of a circuit, day by day: which horse, what for, until when, by which rule.

The days are those that the diary lays out. Health certificates are told beside them: each journey
needs its own, and a vet who comes anyway may write it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tripkit.eligibility.paperwork import Paperwork
from tripkit.eligibility.validity import join_days
from tripkit.eligibility.visits import DuePaper, Look
from tripkit.season.diary import plan_vet
from tripkit.yard.answers import (
    BARRED,
    HOMEWARD,
    Finding,
    leave_out_caution,
    list_sentences,
    name_paper,
)
from tripkit.yard.circuit import Circuit, Leg, Outing
from tripkit.yard.days import ONE_DAY, DaySpan
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.papers import COGGINS, HEALTH_CERTIFICATE
from tripkit.yard.yard import Yard

LOOK_SOURCE = "the yard's own limits (vet_check_after_shows) and vet_checks.csv"


@dataclass(frozen=True)
class VetTask:
    """One thing the vet does at a horse: what, for which show, on which days it may be done.

    `paper` is the kind of dose or test, empty for a look, which comes after its show. `windows`
    hold every legal day, `why` says what asks for it, `source` where that stands.
    """

    what: Fact
    show: str
    windows: tuple[DaySpan, ...]
    why: Fact | None
    source: str
    paper: str = ""


@dataclass(frozen=True)
class VetVisit:
    """One day of the vet at one horse, with all that is done on it."""

    day: date
    horse: str
    tasks: tuple[VetTask, ...]


@dataclass(frozen=True)
class Certificate:
    """A health certificate that one journey of some horses needs: when to have it given.

    `journey` is `there` or `home`. `window` None: no day is left, or none is known. `visits` are
    the days in it on which a vet is at the yard anyway. `why` says which one is held, and what
    covers the way home, a sentence each.
    """

    show: str
    journey: str
    horses: tuple[str, ...]
    window: DaySpan | None
    visits: tuple[date, ...]
    why: tuple[Fact, ...]
    source: str


@dataclass(frozen=True)
class VetDays:
    """All that a circuit asks of the vet, by date; `missing` are papers with no legal day left."""

    visits: tuple[VetVisit, ...]
    missing: tuple[tuple[str, VetTask], ...]
    certificates: tuple[Certificate, ...]


def plan_vet_days(yard: Yard, circuit: Circuit) -> VetDays:
    """The visits of a circuit's vet, the papers that no day is left for, and the certificates."""
    outings: dict[str, list[Outing]] = {}
    for outing in circuit.outings:
        outings.setdefault(outing.horse, []).append(outing)
    legs: dict[str, list[Leg]] = {}
    for leg in circuit.legs:
        for name in leg.horses:
            legs.setdefault(name, []).append(leg)
    visits, missing = [], []
    for horse in yard.horses:
        name = horse.horse
        plan, looks = plan_vet(yard, horse, outings.get(name, ()), legs.get(name, ()))
        for visit in plan.visits:
            tasks = [_write_look(looks[number]) for number in visit.looks]
            tasks += [_write_paper(paper) for paper in visit.papers]
            if visit.day >= yard.day_of_planning:
                visits.append(VetVisit(visit.day, name, tuple(tasks)))
        missing += [(name, _write_paper(paper)) for paper in plan.missing]
    visits.sort(key=lambda visit: visit.day)
    return VetDays(tuple(visits), tuple(missing), _list_certificates(yard, circuit, visits))


def _write_look(look: Look) -> VetTask:
    return VetTask(look.why, look.show, join_days(sorted(look.days)), None, LOOK_SOURCE)


def _write_paper(paper: DuePaper) -> VetTask:
    name, why = name_paper(paper.paper), leave_out_caution(paper.reason)
    what = (
        state("visits.blood-test", paper=name)
        if paper.paper == COGGINS
        else state("visits.dose", paper=name)
    )
    return VetTask(what, paper.show, paper.windows, why, paper.source, paper.paper)


def _list_certificates(
    yard: Yard, circuit: Circuit, visits: list[VetVisit]
) -> tuple[Certificate, ...]:
    """One for each journey over a border, with the horses that need it on the same days."""
    paperwork, today = Paperwork(yard), yard.day_of_planning
    asked: dict[tuple[str, str, DaySpan | None, tuple[Value, ...]], list[Finding]] = {}
    for outing in sorted(circuit.outings, key=lambda o: (o.arrive, o.show, o.horse)):
        if outing.leave < today:
            continue
        show, horse = yard.show_by_name[outing.show], yard.horse_by_name[outing.horse]
        days = DaySpan(outing.arrive, max(outing.arrive, outing.last_day))
        for f in paperwork.list_findings(horse, show, days, outing.leave):
            is_asked = f.answer == BARRED or f.window is not None
            if f.paper == HEALTH_CERTIFICATE and is_asked:
                window = _end_before_leaving(f, outing, circuit)
                key = (f.show, f.journey, window, list_sentences(f.reason))
                asked.setdefault(key, []).append(f)
    found = []
    for (show_id, journey, window, why), group in asked.items():
        own = {f.horse for f in group}
        near = [v for v in visits if window is not None and v.day in window]
        # A visit to a horse that goes comes first; another's is on the same yard.
        there = [v.day for v in near if v.horse in own] or [v.day for v in near]
        names = tuple(dict.fromkeys(f.horse for f in group))
        days_there = tuple(dict.fromkeys(there))
        found.append(
            Certificate(
                show_id, journey, names, window, days_there, _list_told(why), group[0].source
            )
        )
    return tuple(found)


def _list_told(said: tuple[Value, ...]) -> tuple[Fact, ...]:
    """What is told of each certificate for itself; the rule's words are the same for all."""
    told = []
    for fact in (one for one in said if isinstance(one, Fact)):
        if fact.code == "documents.journey-too-short":
            told.append(state("certificates.held", **fact.values))
        elif fact.family == "certificates":
            told.append(fact)
    return tuple(told)


def _end_before_leaving(finding: Finding, outing: Outing, circuit: Circuit) -> DaySpan | None:
    """The window of a certificate, on a long drive cut short to the day before it leaves."""
    window = finding.window
    if window is None:
        return None
    arrive = outing.leave if finding.journey == HOMEWARD else outing.arrive
    ways = [leg for leg in circuit.legs if outing.horse in leg.horses and leg.days.last == arrive]
    last = min([window.last, *(leg.days.first - ONE_DAY for leg in ways)])
    return DaySpan(min(window.first, last), last)
