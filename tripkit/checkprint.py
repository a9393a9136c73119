"""What `tripkit check` prints: what to do first, then each horse, then the next shows, sources.

A paper that is asked for at several shows, or of several horses on the same days, stands once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from tripkit.answers import BARRED, CAUTION, DUE, UNKNOWN, Finding
from tripkit.checklist import ELIGIBLE, TREATMENT
from tripkit.days import add_days, name_weekday
from tripkit.documents import name_paper
from tripkit.printouts import count, indent
from tripkit.yard import Yard

CLEARED = "cleared"
CAUTIONS = (
    "Cautions: tripkit reads the figures it holds. Whether a horse is fit is for a vet to decide; "
    "the current rule book of the show and the local law rule; published detection times of "
    "medicines are no clearances."
)
SHOWS_AHEAD_DAYS = 28
"""The shows that begin within so many days are told one by one [days]."""

JOURNEYS = ("health_certificate", "temperature")
"""Papers made for one journey: every horse that goes needs one, so the first show is told."""


class _Sources:
    """The sources named so far, each with its number."""

    def __init__(self) -> None:
        self.numbers: dict[str, int] = {}

    def mark(self, source: str) -> str:
        return f"[{self.numbers.setdefault(source, len(self.numbers) + 1)}]"

    def write(self) -> list[str]:
        lines = ["", "Sources"]
        for source, number in self.numbers.items():
            lines += indent(source, f"  [{number}] ")
        return lines


def write_check(yard: Yard, found: Sequence[Finding], *, everything: bool = False) -> list[str]:
    """The findings of a yard: what to do first on top, then by horse, by show, then the sources.

    `everything` adds each finding of each horse and show.
    """
    sources = _Sources()
    classes = sum(len(show.classes) for show in yard.shows)
    lines = [
        f"{yard.name}, {yard.season.first} to {yard.season.last}, as of {yard.day_of_planning}",
        f"{count(len(yard.horses), 'horse')}, {count(len(yard.shows), 'show')}, "
        f"{count(classes, 'class', 'classes')}.",
        "",
    ]
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
            lines += _write_task(task, sources)
    quotes = [f for f in found if f.rule == TREATMENT]
    if quotes:
        lines += ["", "Treatments, beside what is published; no figure is a clearance"]
        for quote in quotes:
            lines += indent(f"{quote.horse}: {quote.reason} {sources.mark(quote.source)}", "  ", 4)
    lines += ["", "Horse by horse"]
    for horse in yard.horses:
        lines += _write_horse(horse.horse, [f for f in own if f.horse == horse.horse], sources)
    lines += _write_shows(yard, own)
    if everything:
        lines += _write_everything(yard, own, sources)
    lines += sources.write()
    if yard.remarks:
        lines += ["", "Remarks on the files"]
        for remark in yard.remarks:
            lines += indent(remark, "  ")
    return [*lines, "", *indent(CAUTIONS, "", 0)]


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
        paper = f.rule.split("-")[0]
        who = "" if paper in JOURNEYS else f.horse or f.person
        answer = "" if paper in JOURNEYS else f.answer
        key = (answer, paper if who or paper in JOURNEYS else f.rule + f.show, who, _tell_end(f))
        groups.setdefault(key, []).append(f)
    merged: dict[tuple[object, ...], list[list[Finding]]] = {}
    for group in groups.values():
        first = _pick_first(group)
        said = first.reason.split(": ", 1)[-1]
        merged.setdefault((first.answer, first.due_by, first.window, said), []).append(group)
    return [_make_task(groups) for groups in merged.values()]


def _tell_end(finding: Finding) -> str:
    # The way there and the way home are two certificates.
    return finding.rule.rpartition("-")[2] if finding.rule.endswith("-home") else ""


def _pick_first(group: Sequence[Finding]) -> Finding:
    return min(group, key=lambda f: f.due_by or date.min)


def _make_task(groups: Sequence[Sequence[Finding]]) -> _Task:
    found = [f for group in groups for f in group]
    first = _pick_first(found)
    papers = [f.reason.partition(": ")[0] for f in found] if ": " in first.reason else []
    ordered = sorted(found, key=lambda f: f is not first)
    shows = tuple(dict.fromkeys(f.show for f in ordered if f.show))
    later = 0
    if first.rule.split("-")[0] in JOURNEYS:
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
    first = task.first
    when = f"by {_write_day(first.due_by)}" if first.due_by else ""
    if first.answer == BARRED and not when:
        when = "barred"
    parts = []
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
    if task.later:
        parts.append(f"and for each of {count(task.later, 'later show')}")
    paper = f"{_join(task.papers)}: " if task.papers else ""
    rest = first.reason.split(": ", 1)[-1] if task.papers else first.reason
    said = f"{', '.join(parts)}: {paper}{_shorten(rest)} {sources.mark(first.source)}"
    return indent(said, f"  {when:<17}  ")


def _join(names: Sequence[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]


def _write_day(day: date) -> str:
    return f"{name_weekday(day)[:3]} {day}"


def _shorten(reason: str) -> str:
    # The caution closes the whole printout, it need not stand in every line.
    return reason.replace(f" {CAUTION}", "")


# By horse and by show


def _write_horse(horse: str, found: Sequence[Finding], sources: _Sources) -> list[str]:
    sums = [f for f in found if f.rule == ELIGIBLE]
    shut = [f for f in sums if f.answer == BARRED]
    parts = [f"{len(sums) - len(shut)} of {count(len(sums), 'show')} with a class that fits"]
    parts += _list_papers(found)
    if shut:
        marks = dict.fromkeys(sources.mark(f.source) for f in shut)
        parts.append(f"no class at {', '.join(f.show for f in shut)} {''.join(marks)}")
    return indent("; ".join(parts), f"  {horse}: ", 4)


def _list_papers(found: Sequence[Finding]) -> list[str]:
    """The papers that are barred, due or unknown, each once with its first date."""
    parts = []
    for answer, words in ((BARRED, "barred"), (DUE, "due"), (UNKNOWN, "unknown")):
        papers: dict[str, Finding] = {}
        for f in found:
            if f.answer == answer and f.rule != ELIGIBLE and f.rule.split("-")[0] not in JOURNEYS:
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
    if finding.rule == CLEARED:
        return "vet check"
    paper = finding.rule.split("-")[0]
    return "temperature log" if paper == "temperature" else name_paper(paper)


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
                said = f"{f.rule}: {_shorten(f.reason)} {sources.mark(f.source)}"
                lines += indent(said, f"      {f.answer:<7}  ")
    return lines
