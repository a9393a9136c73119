"""Horses and shows: what papers, ages and the vet say of each pair, as a word and a reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from markupsafe import Markup

from tripkit.dashboard.markup import render
from tripkit.words import page as words
from tripkit.words.telling import Teller, choose_teller
from tripkit.yard.answers import (
    ANSWERS,
    BARRED,
    CAUTION,
    DUE,
    ELIGIBLE,
    OK,
    TREATMENT,
    UNKNOWN,
    Finding,
    leave_out_caution,
    name_paper,
)
from tripkit.yard.facts import Fact, Reason, Value, state
from tripkit.yard.yard import Yard

MOST_ODD_OPEN = 8


def write_odd_fold(yard: Yard) -> Markup:
    """What of the files is probably not meant, as a ranked list that folds; empty for nothing.

    The first ones lie open, the others under a fold of their own.
    """
    odd = yard.oddities
    if not odd:
        return Markup("")
    said = (words.ODD_ONE if len(odd) == 1 else words.ODD_MANY).format(count=len(odd))
    said = words.ODD_HEAD.format(odd=said[0].upper() + said[1:])
    teller = choose_teller(yard, local=False)
    told = [(one.where, teller.tell(one.what)) for one in odd]
    return render("oddities", said=said, odd=told, most=MOST_ODD_OPEN)


def write_papers(yard: Yard, found: Sequence[Finding]) -> Markup:
    """A table of shows and horses as HTML: each cell a word and its reason, never colour alone.

    A row for each show that is still to come, a column for each horse; below it the riders'
    papers, treatments and sources. Every name is escaped.
    """
    today, teller = yard.day_of_planning, choose_teller(yard)
    cells: dict[tuple[str, str], list[Finding]] = {}
    idle: dict[str, Finding] = {}
    for f in found:
        if f.horse and f.show:
            cells.setdefault((f.horse, f.show), []).append(f)
        elif f.horse and f.answer == BARRED:
            idle[f.horse] = f
    coming = [show for show in yard.shows if show.days.last >= today]
    return render(
        "papers",
        today=teller.write_date(today),
        horses=[(h.horse, _say_idle(teller, idle.get(h.horse))) for h in yard.horses],
        rows=[
            (
                show.show,
                teller.write_date(show.days.first),
                [_gather_cell(teller, cells.get((h.horse, show.show), ())) for h in yard.horses],
            )
            for show in sorted(coming, key=lambda show: (show.days.first, show.show))
        ],
        rest=_list_rest(teller, found),
        caution=CAUTION,
    )


def _say_idle(teller: Teller, idle: Finding | None) -> str:
    return "" if idle is None else teller.tell(leave_out_caution(idle.reason))


def _gather_cell(teller: Teller, found: Sequence[Finding]) -> dict[str, str]:
    """The answer for a horse at a show with its reason, short and in full; empty for no class."""
    if not found:
        return {}
    wrong = [f for f in found if f.answer != OK]
    # Papers for a show at which the horse has no class are nobody's business.
    wrong = [f for f in wrong if f.rule == ELIGIBLE and f.answer == BARRED] or wrong
    full = dict.fromkeys(leave_out_caution(f.reason) for f in wrong)
    return {
        "answer": next(a for a in ANSWERS if any(f.answer == a for f in found)),
        "reason": "; ".join(map(teller.tell, _list_reasons(wrong))) or words.PAPERS_HOLD,
        "full": " ".join(map(teller.tell, full)),
    }


def _list_reasons(wrong: Sequence[Finding]) -> Iterator[Value]:
    """Each paper once, with its first day; of classes what the sum says."""
    for answer in ANSWERS:
        days: dict[Reason, date] = {}
        for f in wrong:
            if f.answer == answer and f.rule == ELIGIBLE:
                yield from _list_doubts(leave_out_caution(f.reason))
            elif f.answer == answer:
                name = name_paper(f.paper)
                days[name] = min(days.get(name, date.max), f.due_by or date.max)
        for name, day in days.items():
            if answer not in (DUE, UNKNOWN):
                yield state("commands.paper-too-late", paper=name)
            else:
                yield state("commands.paper-by", paper=name, day=day) if day < date.max else name


def _list_doubts(sum_up: Fact) -> Iterable[Value]:
    """What speaks against each class; where nothing does, how many fit."""
    doubts = sum_up.get("doubts")
    return doubts if isinstance(doubts, tuple) else (sum_up,)


def _list_rest(teller: Teller, found: Sequence[Finding]) -> list[tuple[str, list[str]]]:
    """The findings of riders and treatments that ask for something, and where all of it stands."""
    sources: dict[str, dict[str, None]] = {}
    for f in found:
        sources.setdefault(f.source, {})[str(name_paper(f.paper))] = None

    def tell(finding: Finding) -> str:
        return f"{teller.tell(leave_out_caution(finding.reason))} ({finding.source})"

    asks = [
        f"{f.answer}: {f.person}, {f.show}: {tell(f)}"
        for f in found
        if f.person and not f.horse and f.answer != OK
    ]
    quotes = [
        f"{f.horse}: {teller.tell(f.reason)} ({f.source})" for f in found if f.rule == TREATMENT
    ]
    stands = [f"{', '.join(names)}: {source}" for source, names in sources.items()]
    return [(words.RIDERS_PAPERS, asks), (words.TREATMENTS, quotes), (words.SOURCES, stands)]
