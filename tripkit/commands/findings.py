"""What `tripkit check` prints: what to do first, then each horse, then the next shows, sources.

A paper that is asked for at several shows, or of several horses on the same days, stands once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from tripkit.commands.printouts import indent, write_oddities
from tripkit.eligibility.paperwork import JOURNEYS
from tripkit.season.vetlist import Certificate, VetTask, plan_vet_days
from tripkit.words.formats import write_pattern
from tripkit.words.telling import PLAIN, choose_teller
from tripkit.yard.answers import (
    BARRED,
    CLEARED,
    DUE,
    ELIGIBLE,
    HOMEWARD,
    TREATMENT,
    UNKNOWN,
    Finding,
    find_action,
    leave_out_caution,
    list_sentences,
    name_paper,
)
from tripkit.yard.circuit import Circuit
from tripkit.yard.days import DaySpan, add_days
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.yard import Yard

CAUTIONS = state("findings.cautions")
DAY = "EEE y-MM-dd"
"""How a day stands at the head of a line."""

SHOWS_AHEAD_DAYS = 28
"""The shows that begin within so many days are told one by one [days]."""

MOST_NAMED = 3
"""Of more horses or people the first is named."""


class _Sources:
    """The sources named so far, each with its number."""

    def __init__(self) -> None:
        self.numbers: dict[str, int] = {}

    def mark(self, source: str) -> str:
        return f"[{self.numbers.setdefault(source, len(self.numbers) + 1)}]"

    def write(self) -> list[str]:
        lines = ["", "Sources"] if self.numbers else []
        for source, number in self.numbers.items():
            lines += indent(source, f"  [{number}] ")
        return lines


def write_check(
    yard: Yard,
    found: Sequence[Finding],
    clashes: Sequence[Fact] = (),
    *,
    everything: bool = False,
    circuit: Circuit | None = None,
) -> list[str]:
    """The findings of a yard: what to do first on top, then by horse, by show, then the sources.

    `clashes` are the entries that cannot all be kept. `everything` adds each finding of each horse
    and show, `circuit` the vet's visits of one.
    """
    sources = _Sources()
    classes = sum(len(show.classes) for show in yard.shows)
    horses, shows = len(yard.horses), len(yard.shows)
    lines = [str(state("commands.counts", horses=horses, shows=shows, classes=classes)), ""]
    if yard.is_over:
        lines[-1:] = [str(state("commands.season-is-over")), ""]
    if yard.oddities:
        lines += [*write_oddities(yard), ""]
    own = [f for f in found if f.rule != TREATMENT]
    # Papers for a show at which the horse has no class are nobody's task.
    shut = {(f.horse, f.show) for f in own if f.rule == ELIGIBLE and f.answer == BARRED}
    open_ones = [f for f in own if f.rule != ELIGIBLE and (f.horse, f.show) not in shut]
    tasks = _gather([f for f in open_ones if f.answer in (BARRED, DUE) or f.due_by])
    # What is barred for good and names no day is looked at before anything that is due.
    tasks.sort(key=lambda task: task.first.due_by or date.min)
    lines.append(str(state("commands.to-do" if tasks else "commands.nothing-to-do")))
    for task in tasks:
        lines += _write_task(task, sources)
    if clashes:
        teller = choose_teller(yard, local=False)
        lines += ["", str(state("commands.clashes"))]
        for clash in clashes:
            lines += indent(teller.tell(clash), "  ", 4)
    doubtful = [f for f in own if f.rule == ELIGIBLE and f.answer == UNKNOWN]
    unsure = _gather([f for f in open_ones + doubtful if f.answer == UNKNOWN and not f.due_by])
    if unsure:
        lines += ["", str(state("commands.nobody-knows"))]
        for task in unsure:
            lines += indent(_state_task(task, sources), "  ", 4)
    quotes = [f for f in found if f.rule == TREATMENT]
    if quotes:
        lines += ["", str(state("commands.treatments"))]
        for quote in quotes:
            lines += indent(f"{quote.horse}: {quote.reason} {sources.mark(quote.source)}", "  ", 4)
    if circuit is not None:
        lines += ["", *_write_vet(yard, circuit, sources)]
    lines += ["", str(state("commands.by-horse"))]
    sums = [f for f in own if f.rule == ELIGIBLE]
    first: dict[str, date] = {}
    for f in open_ones:
        if f.due_by and f.paper not in JOURNEYS:
            first[f.horse] = min(f.due_by, first.get(f.horse, f.due_by))
    for horse in sorted(yard.horses, key=lambda h: first.get(h.horse, date.max)):
        lines += _write_horse(horse.horse, sums, open_ones)
    lines += _write_shows(yard, own)
    if everything:
        lines += _write_everything(yard, own, sources)
    lines += sources.write()
    if yard.remarks:
        lines += ["", str(state("commands.remarks-on-files"))]
        for remark in yard.remarks:
            lines += indent(remark, "  ")
    return [*lines, "", *indent(CAUTIONS, "", 0)]


# The vet's visits


def _write_vet(yard: Yard, circuit: Circuit, sources: _Sources) -> list[str]:
    days = plan_vet_days(yard, circuit)
    lines = [str(state("commands.visits", circuit=circuit.name))]
    if not days.visits:
        lines += indent(state("commands.no-visit"), "  ")
    told: dict[tuple[date, Fact], list[str]] = {}
    for visit in days.visits:
        for said in _say_vet_tasks(visit.tasks, sources):
            told.setdefault((visit.day, said), []).append(visit.horse)
    before: date | None = None
    for (day, said), horses in told.items():
        when = "" if day == before else write_pattern(day, DAY)
        before = day
        lines += indent(f"{PLAIN.join(tuple(horses))}: {said}", f"  {when:<14}  ")
    if days.missing:
        lines += ["", str(state("commands.no-day-left"))]
        for horse, task in days.missing:
            lost = f"{horse}, {task.show}: {task.what}: {task.why} {sources.mark(task.source)}"
            lines += indent(lost, "  ", 4)
    if days.certificates:
        lines += ["", str(state("commands.certificates", circuit=circuit.name))]
        for certificate in days.certificates:
            lines += _write_certificate(certificate, sources)
    return lines


def _say_vet_tasks(tasks: Sequence[VetTask], sources: _Sources) -> Iterator[Fact]:
    """What is done on one visit; what is for one show and open on the same days stands once."""
    alike: dict[tuple[str, tuple[DaySpan, ...], str], list[VetTask]] = {}
    for task in tasks:
        alike.setdefault((task.show, task.windows, task.source), []).append(task)
    for (show, windows, source), done in alike.items():
        yield state(
            "commands.vet-task",
            tasks=tuple(task.what for task in done),
            show=state("commands.for-show", show=show) if done[0].paper else None,
            windows=tuple(w if w.days > 1 else w.first for w in windows),
            mark=sources.mark(source),
        )


def _write_certificate(certificate: Certificate, sources: _Sources) -> list[str]:
    window, given = certificate.window, list[Value]()
    if window is not None and certificate.visits:
        day = certificate.visits[-1]
        given = [state("commands.given-on-visit", window=window, day=day)]
    elif window is not None:
        given = [state("commands.given-alone", window=window)]
    code = "homeward" if certificate.journey == HOMEWARD else "outward"
    told = state(
        f"commands.certificate-{code}",
        horses=certificate.horses,
        show=certificate.show,
        said=(*given, *certificate.why, sources.mark(certificate.source)),
    )
    return indent(told, _write_end(None if window is None else window.last))


def _write_end(day: date | None) -> str:
    """By when something is to be done, as the head of its line."""
    end = state("commands.by", day=write_pattern(day, DAY)) if day else state("commands.barred")
    return f"  {end!s:<17}  "


# What to do


@dataclass(frozen=True)
class _Task:
    """One thing to do or to ask: for whom, at which shows, and the finding that comes first.

    `later` counts the shows after those that ask for the like again.
    """

    first: Finding
    papers: tuple[str, ...]
    who: tuple[str, ...]
    shows: tuple[str, ...]
    later: int


def _gather(found: Iterable[Finding]) -> list[_Task]:
    """Findings of one paper become one task; so do papers and horses that ask for the same."""
    groups: dict[tuple[str, ...], list[Finding]] = {}
    for f in found:
        paper = f.paper
        who = "" if paper in JOURNEYS else f.horse or f.person
        answer = "" if paper in JOURNEYS else f.answer
        key = (answer, paper if who or paper in JOURNEYS else f.rule + f.show, who, _find_end(f))
        groups.setdefault(key, []).append(f)
    merged: dict[tuple[object, ...], list[list[Finding]]] = {}
    for group in groups.values():
        first = _pick_first(group)
        said = list_sentences(first.reason)
        merged.setdefault((first.answer, first.due_by, first.window, said), []).append(group)
    return [_make_task(groups) for groups in merged.values()]


def _find_end(finding: Finding) -> str:
    # The way there and the way home are two certificates.
    return finding.journey if finding.journey == HOMEWARD else ""


def _pick_first(group: Sequence[Finding]) -> Finding:
    return min(group, key=lambda f: f.due_by or date.min)


def _make_task(groups: Sequence[Sequence[Finding]]) -> _Task:
    found = [f for group in groups for f in group]
    first = _pick_first(found)
    papers = [str(of) for f in found if (of := f.reason.get("of")) is not None]
    ordered = sorted(found, key=lambda f: f is not first)
    shows = tuple(dict.fromkeys(f.show for f in ordered if f.show))
    later = 0
    if first.paper in JOURNEYS:
        # Who goes first is told; every later show asks for a paper of its own.
        ordered = [f for f in ordered if f.due_by == first.due_by]
        now = tuple(dict.fromkeys(f.show for f in ordered))
        shows, later = now, len(shows) - len(now)
    return _Task(
        first,
        tuple(dict.fromkeys(papers)),
        tuple(dict.fromkeys(name for f in ordered if (name := f.horse or f.person))),
        shows,
        later,
    )


def _write_task(task: _Task, sources: _Sources) -> list[str]:
    return indent(_state_task(task, sources), _write_end(task.first.due_by))


def _state_task(task: _Task, sources: _Sources) -> Fact:
    first, about = task.first, list[Value]()
    if len(task.who) > MOST_NAMED:
        about.append(state("commands.and-others", name=task.who[0], count=len(task.who) - 1))
    elif task.who:
        about.append(PLAIN.join(task.who))
    shows = len(task.shows)
    if shows > 1 and first.answer == UNKNOWN and not first.due_by:
        about.append(state("commands.shows", count=shows))
    elif shows > 1:
        about.append(state("commands.and-shows", show=task.shows[0], count=shows - 1))
    else:
        about += task.shows
    later = "commands.one-later" if task.later == 1 else "commands.each-later"
    return state(
        "commands.task",
        about=tuple(about),
        papers=state("commands.of-papers", papers=task.papers) if task.papers else None,
        reason=_say_reason(first.reason),
        later=state(later, count=task.later) if task.later else None,
        mark=sources.mark(first.source),
    )


def _say_reason(reason: Fact) -> str:
    """What to do stands before the reason why; what it is about is told elsewhere.

    The caution closes the whole printout, it need not stand in every line.
    """
    short = leave_out_caution(reason)
    said, action = list_sentences(short), find_action(short)
    if action is None or said[0] == action:
        return " ".join(map(str, said))
    act, why = str(action), " ".join(str(one) for one in said if one != action)
    return f"{act[:1].lower()}{act[1:]} {why[:1].upper()}{why[1:]}"


# By horse and by show


def _write_horse(horse: str, sums: Sequence[Finding], open_ones: Sequence[Finding]) -> list[str]:
    own = [f for f in sums if f.horse == horse]
    fits = sum(f.answer != BARRED for f in own)
    sum_up = state("commands.fits", fits=fits, count=len(own))
    if not own:
        sum_up = state("commands.no-show-left")
    papers = _list_papers([f for f in open_ones if f.horse == horse])
    return indent("; ".join(map(str, (sum_up, *papers))), f"  {horse}: ", 4)


def _list_papers(found: Sequence[Finding]) -> Iterator[str]:
    """The papers that are barred, due or unknown, each once with its first date."""
    for answer in (BARRED, DUE, UNKNOWN):
        papers: dict[str, Finding] = {}
        for f in found:
            if f.answer == answer and f.rule != ELIGIBLE and f.paper not in JOURNEYS:
                known = papers.get(_name_paper(f))
                if known is None or (f.due_by or date.max) < (known.due_by or date.max):
                    papers[_name_paper(f)] = f
        names = [
            str(state("commands.paper-by", paper=name, day=f.due_by))
            if f.due_by and answer != UNKNOWN
            else name
            for name, f in papers.items()
        ]
        if names:
            yield f"{answer}: {', '.join(names)}"


def _name_paper(finding: Finding) -> str:
    return "vet check" if finding.paper == CLEARED else str(name_paper(finding.paper))


def _write_shows(yard: Yard, found: Sequence[Finding]) -> list[str]:
    """The shows of the next weeks, each with who has a class there and what keeps whom."""
    today = yard.day_of_planning
    lines = []
    idle = {f.horse for f in found if f.rule == CLEARED and f.answer == BARRED}
    for show in sorted(yard.shows, key=lambda show: (show.days.first, show.show)):
        if not today <= show.days.first <= add_days(today, SHOWS_AHEAD_DAYS):
            continue
        own = [f for f in found if f.show == show.show]
        fits = [f.horse for f in own if f.rule == ELIGIBLE and f.answer != BARRED]
        going = [horse for horse in fits if horse not in idle]
        parts = [", ".join(going) or str(state("commands.nobody-fits"))]
        held = tuple(horse for horse in fits if horse in idle)
        if held:
            parts.append(str(state("commands.not-cleared", horses=held)))
        for answer in (BARRED, DUE, UNKNOWN):
            who: dict[str, list[str]] = {}
            for f in own:
                if f.answer == answer and f.rule != ELIGIBLE and (not f.horse or f.horse in going):
                    who.setdefault(_name_paper(f), []).append(f.horse or f.person)
            for paper, names in who.items():
                unlike = dict.fromkeys(name for name in names if name)
                said = ", ".join(unlike)
                if len(going) > 1 and set(going) <= set(unlike):
                    said = str(state("commands.all"))
                parts.append(f"{answer}: {paper}" + (f" ({said})" if said else ""))
        head = f"  {write_pattern(show.days.first, DAY)} {show.show}: "
        lines += indent("; ".join(parts), head, 4)
    if lines:
        return ["", str(state("commands.by-show", ahead_days=SHOWS_AHEAD_DAYS)), *lines]
    return []


def _write_everything(yard: Yard, found: Sequence[Finding], sources: _Sources) -> list[str]:
    lines = ["", str(state("commands.everything"))]
    days = {show.show: show.days.first for show in yard.shows}
    for who in (*(h.horse for h in yard.horses), *(p.person for p in yard.people)):
        own = [f for f in found if who in (f.horse, f.person if not f.horse else "")]
        if own:
            lines.append(f"  {who}")
        shows = sorted({f.show for f in own}, key=lambda s: (s in days, days.get(s), s))
        for show in shows:
            if show:
                lines.append(f"    {show}, {days[show]}")
            for f in (f for f in own if f.show == show):
                said = f"{f.rule}: {leave_out_caution(f.reason)} {sources.mark(f.source)}"
                lines += indent(said, f"      {f.answer:<7}  ")
    return lines
