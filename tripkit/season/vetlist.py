"""The vet's visits of a circuit, day by day: which horse, what for, until when, by which rule.

The days are those that the diary lays out. Health certificates are told beside them: each journey
needs its own, and a vet who comes anyway may write it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from tripkit.eligibility.documents import name_paper
from tripkit.eligibility.paperwork import Paperwork
from tripkit.eligibility.validity import join_days
from tripkit.eligibility.visits import DuePaper, Look
from tripkit.season.diary import plan_vet
from tripkit.yard.answers import BARRED, CAUTION, Finding
from tripkit.yard.circuit import Circuit, Leg, Outing
from tripkit.yard.days import ONE_DAY, DaySpan
from tripkit.yard.papers import COGGINS
from tripkit.yard.yard import Yard

CERTIFICATE = "health_certificate"
TOLD = re.compile(r"(That of|It covers|One from|The way home)")
"""How the sentences begin that are told of each certificate; the rule's words are the same."""

LOOK_SOURCE = "the yard's own limits (vet_check_after_shows) and vet_checks.csv"


@dataclass(frozen=True)
class VetTask:
    """One thing the vet does at a horse: what, for which show, on which days it may be done.

    `windows` hold every legal day, `why` says what asks for it, `source` where that stands.
    """

    what: str
    show: str
    windows: tuple[DaySpan, ...]
    why: str
    source: str


@dataclass(frozen=True)
class VetVisit:
    """One day of the vet at one horse, with all that is done on it."""

    day: date
    horse: str
    tasks: tuple[VetTask, ...]


@dataclass(frozen=True)
class Certificate:
    """A health certificate that one journey of some horses needs: when to have it given.

    `window` None: no day is left, or none is known. `visits` are the days in it on which a vet
    is at the yard anyway. `why` says which one is held, and what covers the way home.
    """

    show: str
    journey: str
    horses: tuple[str, ...]
    window: DaySpan | None
    visits: tuple[date, ...]
    why: str
    source: str


@dataclass(frozen=True)
class VetDays:
    """All that a circuit asks of the vet, by date; `missing` are papers with no legal day left."""

    visits: tuple[VetVisit, ...]
    missing: tuple[tuple[str, VetTask], ...]
    certificates: tuple[Certificate, ...]


def list_vet_visits(yard: Yard, circuit: Circuit) -> tuple[VetVisit, ...]:
    """The visits of a circuit's vet by date and horse, those of the past left out."""
    return plan_vet_days(yard, circuit).visits


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
    show = look.why.removeprefix("look after ") if look.why.startswith("look after ") else ""
    return VetTask(look.why, show, join_days(sorted(look.days)), "", LOOK_SOURCE)


def _write_paper(paper: DuePaper) -> VetTask:
    is_test = paper.paper == COGGINS
    what = f"blood test for {COGGINS}" if is_test else f"{name_paper(paper.paper)} dose"
    why = paper.reason.replace(f" {CAUTION}", "")
    return VetTask(what, paper.show, paper.windows, why, paper.source)


def _list_certificates(
    yard: Yard, circuit: Circuit, visits: list[VetVisit]
) -> tuple[Certificate, ...]:
    """One for each journey over a border, with the horses that need it on the same days."""
    paperwork, today = Paperwork(yard), yard.day_of_planning
    asked: dict[tuple[str, str, DaySpan | None, str], list[Finding]] = {}
    for outing in sorted(circuit.outings, key=lambda o: (o.arrive, o.show, o.horse)):
        if outing.leave < today:
            continue
        show, horse = yard.show_by_name[outing.show], yard.horse_by_name[outing.horse]
        days = DaySpan(outing.arrive, max(outing.arrive, outing.last_day))
        for f in paperwork.list_findings(horse, show, days, outing.leave):
            if f.rule.startswith(CERTIFICATE) and (f.answer == BARRED or f.window is not None):
                journey, _, why = f.reason.partition(": ")
                key = (f.show, journey, _end_before_leaving(f, outing, circuit), why)
                asked.setdefault(key, []).append(f)
    found = []
    for (show_id, journey, window, why), group in asked.items():
        own = {f.horse for f in group}
        near = [v for v in visits if window is not None and v.day in window]
        # A visit to a horse that goes comes first; another's is on the same yard.
        there = [v.day for v in near if v.horse in own] or [v.day for v in near]
        sentences = re.split(r"(?<=\.) (?=[A-Z])", f"{why[0].upper()}{why[1:]}")
        said = " ".join(sentence for sentence in sentences if TOLD.match(sentence))
        names = tuple(dict.fromkeys(f.horse for f in group))
        days_there = tuple(dict.fromkeys(there))
        found.append(
            Certificate(show_id, journey, names, window, days_there, said, group[0].source)
        )
    return tuple(found)


def _end_before_leaving(finding: Finding, outing: Outing, circuit: Circuit) -> DaySpan | None:
    """The window of a certificate, on a long drive cut short to the day before it leaves."""
    window = finding.window
    if window is None:
        return None
    arrive = outing.leave if finding.rule.endswith("-home") else outing.arrive
    ways = [leg for leg in circuit.legs if outing.horse in leg.horses and leg.days.last == arrive]
    last = min([window.last, *(leg.days.first - ONE_DAY for leg in ways)])
    return DaySpan(min(window.first, last), last)
