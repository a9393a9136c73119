"""What `tripkit check` prints: what to do first, then each horse, then the next shows, sources.

A paper that is asked for at several shows, or of several horses on the same days, stands once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from tripkit.commands.printouts import count, indent, write_oddities
from tripkit.eligibility.paperwork import JOURNEYS
from tripkit.season.vetlist import Certificate, VetTask, plan_vet_days
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
from tripkit.yard.days import DaySpan, add_days, name_weekday
from tripkit.yard.facts import Fact, state
from tripkit.yard.yard import Yard

CAUTIONS = state("findings.cautions")
SHOWS_AHEAD_DAYS = 28
"""The shows that begin within so many days are told one by one [days]."""


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
    *,
    everything: bool = False,
    circuit: Circuit | None = None,
) -> list[str]:
    """The findings of a yard: what to do first on top, then by horse, by show, then the sources.

    `everything` adds each finding of each horse and show, `circuit` the vet's visits of one.
    """
    sources = _Sources()
    classes = sum(len(show.classes) for show in yard.shows)
    lines = [
        f"{count(len(yard.horses), 'horse')}, {count(len(yard.shows), 'show')}, "
        f"{count(classes, 'class', 'classes')}.",
        "",
    ]
    if yard.is_over:
        lines[-1:] = ["The season is over: every show is past.", ""]
    if yard.oddities:
        lines += [*write_oddities(yard), ""]
    own = [f for f in found if f.rule != TREATMENT]
    # Papers for a show at which the horse has no class are nobody's task.
    shut = {(f.horse, f.show) for f in own if f.rule == ELIGIBLE and f.answer == BARRED}
    open_ones = [f for f in own if f.rule != ELIGIBLE and (f.horse, f.show) not in shut]
    tasks = _gather([f for f in open_ones if f.answer in (BARRED, DUE) or f.due_by])
    # What is barred for good and names no day is looked at before anything that is due.
    tasks.sort(key=lambda task: task.first.due_by or date.min)
    lines.append("To do, first things first" if tasks else "Nothing is to be done.")
    for task in tasks:
        lines += _write_task(task, sources)
    doubtful = [f for f in own if f.rule == ELIGIBLE and f.answer == UNKNOWN]
    unsure = _gather([f for f in open_ones + doubtful if f.answer == UNKNOWN and not f.due_by])
    if unsure:
        lines += ["", "Not written down, so nobody knows; it bars nothing here"]
        for task in unsure:
            lines += indent(_say_task(task, sources), "  ", 4)
    quotes = [f for f in found if f.rule == TREATMENT]
    if quotes:
        lines += ["", "Treatments, beside what is published; no figure is a clearance"]
        for quote in quotes:
            lines += indent(f"{quote.horse}: {quote.reason} {sources.mark(quote.source)}", "  ", 4)
    if circuit is not None:
        lines += ["", *_write_vet(yard, circuit, sources)]
    lines += ["", "Horse by horse, who has something to be done first"]
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
        lines += ["", "Remarks on the files"]
        for remark in yard.remarks:
            lines += indent(str(remark), "  ")
    return [*lines, "", *indent(str(CAUTIONS), "", 0)]


def write_visits(yard: Yard, circuit: Circuit) -> list[str]:
    """The vet's visits of a circuit by date, what for and by which rule, then the sources."""
    sources = _Sources()
    lines = _write_vet(yard, circuit, sources)
    return [*lines, *sources.write(), "", *indent(str(CAUTIONS), "", 0)]


# The vet's visits


def _write_vet(yard: Yard, circuit: Circuit, sources: _Sources) -> list[str]:
    days = plan_vet_days(yard, circuit)
    lines = [f"The vet's visits of {circuit.name}"]
    if not days.visits:
        lines.append("  none is needed")
    told: dict[tuple[date, str], list[str]] = {}
    for visit in days.visits:
        for said in _say_vet_tasks(visit.tasks, sources):
            told.setdefault((visit.day, said), []).append(visit.horse)
    before: date | None = None
    for (day, said), horses in told.items():
        when = "" if day == before else _write_day(day)
        before = day
        lines += indent(f"{_join(horses)}: {said}", f"  {when:<14}  ")
    if days.missing:
        lines += ["", "No legal day is left for these"]
        for horse, task in days.missing:
            said = f"{horse}, {task.show}: {task.what}: {task.why} {sources.mark(task.source)}"
            lines += indent(said, "  ", 4)
    if days.certificates:
        lines += ["", f"Health certificates of {circuit.name}, one for each journey"]
        for certificate in days.certificates:
            lines += _write_certificate(certificate, sources)
    return lines


def _say_vet_tasks(tasks: Sequence[VetTask], sources: _Sources) -> list[str]:
    """What is done on one visit; what is for one show and open on the same days stands once."""
    alike: dict[tuple[str, tuple[DaySpan, ...], str], list[VetTask]] = {}
    for task in tasks:
        alike.setdefault((task.show, task.windows, task.source), []).append(task)
    lines = []
    for (show, windows, source), done in alike.items():
        said = _join([str(task.what) for task in done])
        said += f" for {show}" if done[0].paper else ""
        spans = ", ".join(_write_span(window) for window in windows)
        lines.append(f"{said} (open: {spans}) {sources.mark(source)}")
    return lines


def _write_span(span: DaySpan) -> str:
    return f"{span.first} to {span.last}" if span.days > 1 else f"{span.first}"


def _write_certificate(certificate: Certificate, sources: _Sources) -> list[str]:
    window = certificate.window
    way = "home from" if certificate.journey == HOMEWARD else "to"
    said, when = f"{_join(certificate.horses)}, the way {way} {certificate.show}: ", "barred"
    if window is not None:
        when = f"by {_write_day(window.last)}"
        said += f"have it given from {window.first} to {window.last}"
        days = certificate.visits
        said += (
            f", say on the visit of {days[-1]}. " if days else "; no visit falls in these days. "
        )
    said += "".join(f"{why} " for why in certificate.why)
    return indent(said + sources.mark(certificate.source), f"  {when:<17}  ")


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
    day = task.first.due_by
    when = f"by {_write_day(day)}" if day else "barred"
    return indent(_say_task(task, sources), f"  {when:<17}  ")


def _say_task(task: _Task, sources: _Sources) -> str:
    first, parts = task.first, []
    if task.who:
        most = 3
        shown = task.who if len(task.who) <= most else task.who[:1]
        more = len(task.who) - len(shown)
        said = _join(shown) if not more else f"{shown[0]} and {more} more"
        parts.append(said)
    if task.shows:
        more = len(task.shows) - 1
        parts.append(task.shows[0] + (f" and {count(more, 'more show')}" if more else ""))
    if first.answer == UNKNOWN and not first.due_by and len(task.shows) > 1:
        parts[-1] = count(len(task.shows), "show")
    paper = f"{_join(task.papers)}: " if task.papers else ""
    said = f"{', '.join(parts)}: {paper}{_say_reason(first.reason)}"
    if task.later:
        each = "one later show" if task.later == 1 else f"each of {task.later} later shows"
        said += f" The like for {each}, on days of its own."
    return f"{said} {sources.mark(first.source)}"


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


def _join(names: Sequence[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]


def _write_day(day: date) -> str:
    return f"{name_weekday(day)[:3]} {day}"


# By horse and by show


def _write_horse(horse: str, sums: Sequence[Finding], open_ones: Sequence[Finding]) -> list[str]:
    own = [f for f in sums if f.horse == horse]
    fits = sum(f.answer != BARRED for f in own)
    parts = [f"{fits} of {count(len(own), 'show')} with a class that fits"]
    if not own:
        parts = ["no show is left with a class of its height"]
    parts += _list_papers([f for f in open_ones if f.horse == horse])
    return indent("; ".join(parts), f"  {horse}: ", 4)


def _list_papers(found: Sequence[Finding]) -> list[str]:
    """The papers that are barred, due or unknown, each once with its first date."""
    parts = []
    for answer, words in ((BARRED, "barred"), (DUE, "due"), (UNKNOWN, "unknown")):
        papers: dict[str, Finding] = {}
        for f in found:
            if f.answer == answer and f.rule != ELIGIBLE and f.paper not in JOURNEYS:
                known = papers.get(_name_paper(f))
                if known is None or (f.due_by or date.max) < (known.due_by or date.max):
                    papers[_name_paper(f)] = f
        names = [
            name + (f" by {f.due_by}" if f.due_by and answer != UNKNOWN else "")
            for name, f in papers.items()
        ]
        if names:
            parts.append(f"{words}: {', '.join(names)}")
    return parts


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
        parts = [", ".join(going) or "no horse has a class that fits"]
        held = [horse for horse in fits if horse in idle]
        if held:
            parts.append(f"not cleared by the vet: {', '.join(held)}")
        for answer, word in ((BARRED, "barred"), (DUE, "due"), (UNKNOWN, "unknown")):
            who: dict[str, list[str]] = {}
            for f in own:
                if f.answer == answer and f.rule != ELIGIBLE and (not f.horse or f.horse in going):
                    who.setdefault(_name_paper(f), []).append(f.horse or f.person)
            for paper, names in who.items():
                unlike = dict.fromkeys(name for name in names if name)
                said = "all" if len(going) > 1 and set(going) <= set(unlike) else ", ".join(unlike)
                parts.append(f"{word}: {paper}" + (f" ({said})" if said else ""))
        lines += indent("; ".join(parts), f"  {_write_day(show.days.first)} {show.show}: ", 4)
    if lines:
        return ["", f"Show by show, the next {SHOWS_AHEAD_DAYS} days", *lines]
    return []


def _write_everything(yard: Yard, found: Sequence[Finding], sources: _Sources) -> list[str]:
    lines = ["", "Every finding"]
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
