"""Horses and shows: what papers, ages and the vet say of each pair, as a word and a reason."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from markupsafe import Markup

from tripkit.dashboard.markup import join_pieces, wrap, write_fold, write_list, write_text
from tripkit.words import page as words
from tripkit.words.telling import choose_teller
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
from tripkit.yard.facts import Fact
from tripkit.yard.oddities import Oddity
from tripkit.yard.yard import Yard

NO_CLASS = "no class of its height"
NO_SHOW_LEFT = "No show is left: the last one is past."
ALL_HOLD = "all papers hold"
MOST_ODD_OPEN = 8
MEANINGS = {
    OK: "nothing keeps the horse away",
    DUE: "something has to be done before, by the day named",
    BARRED: "it cannot be put right any more, or no class fits",
    UNKNOWN: "no row in papers.csv; it bars nothing here",
}


def write_odd_fold(yard: Yard) -> Markup:
    """What of the files is probably not meant, as a ranked list that folds; empty for nothing.

    The first ones lie open, the others under a fold of their own.
    """
    odd = yard.oddities
    if not odd:
        return Markup("")
    said = (words.ODD_ONE if len(odd) == 1 else words.ODD_MANY).format(count=len(odd))
    said = words.ODD_HEAD.format(odd=said[0].upper() + said[1:])
    inside = wrap("p", write_text(words.ODD_HINT), "hint") + _list_oddities(
        yard, odd[:MOST_ODD_OPEN]
    )
    if len(odd) > MOST_ODD_OPEN:
        more = words.ODD_MORE.format(count=len(odd) - MOST_ODD_OPEN)
        rest = _list_oddities(yard, odd[MOST_ODD_OPEN:], MOST_ODD_OPEN + 1)
        inside += write_fold(more, rest, "fold-odd-more", is_open=False)
    return write_fold(said, inside, "fold-odd")


def _list_oddities(yard: Yard, odd: Sequence[Oddity], start: int = 1) -> Markup:
    teller = choose_teller(yard, local=False)
    lines = join_pieces(
        wrap(
            "li",
            wrap("span", write_text(one.where), "odd-where")
            + " "
            + write_text(teller.tell(one.what)),
            dir="auto",
        )
        for one in odd
    )
    return wrap("ol", lines, "odd", start=str(start))


def write_papers(yard: Yard, found: Sequence[Finding]) -> Markup:
    """A table of shows and horses as HTML: each cell a word and its reason, never colour alone.

    A row for each show that is still to come, a column for each horse; below it the riders'
    papers, treatments and sources. Every name is escaped.
    """
    today = yard.day_of_planning
    cells: dict[tuple[str, str], list[Finding]] = {}
    idle: dict[str, Finding] = {}
    for f in found:
        if f.horse and f.show:
            cells.setdefault((f.horse, f.show), []).append(f)
        elif f.horse and f.answer == BARRED:
            idle[f.horse] = f
    heads = join_pieces(_write_horse(horse.horse, idle.get(horse.horse)) for horse in yard.horses)
    rows = []
    for show in sorted(yard.shows, key=lambda show: (show.days.first, show.show)):
        if show.days.last < today:
            continue
        title = write_text(show.show) + wrap("small", write_text(show.days.first))
        inside = wrap("th", title, scope="row")
        for horse in yard.horses:
            inside += _write_cell(horse.horse, cells.get((horse.horse, show.show), ()))
        rows.append(wrap("tr", inside))
    head = wrap("thead", wrap("tr", wrap("th", write_text("show"), scope="col") + heads))
    caption = wrap("caption", write_text(f"What each show asks of each horse, as of {today}"))
    if not rows:
        return wrap(
            "section", wrap("p", write_text(NO_SHOW_LEFT), "empty") + _write_rest(found), "papers"
        )
    table = wrap("table", caption + head + wrap("tbody", join_pieces(rows)), "papers-table")
    key = write_list((f"{word}: {said}" for word, said in MEANINGS.items()), "papers-key")
    framed = wrap("div", table, "papers-frame", tabindex="0", role="region", **_LABEL)
    return wrap("section", key + framed + _write_rest(found), "papers")


_LABEL = {"aria-label": "papers of each horse at each show"}


def _write_horse(horse: str, idle: Finding | None) -> Markup:
    inside = write_text(horse)
    if idle is not None:
        inside += wrap("small", write_text(leave_out_caution(idle.reason)))
    return wrap("th", inside, scope="col")


def _write_cell(horse: str, found: Sequence[Finding]) -> Markup:
    where = {"data-head": horse}
    if not found:
        return wrap("td", wrap("span", write_text(NO_CLASS)), "papers-none", **where)
    answer = next(a for a in ANSWERS if any(f.answer == a for f in found))
    wrong = [f for f in found if f.answer != OK]
    # Papers for a show at which the horse has no class are nobody's business.
    wrong = [f for f in wrong if f.rule == ELIGIBLE and f.answer == BARRED] or wrong
    reason = "; ".join(_list_reasons(wrong)) or ALL_HOLD
    said = wrap("b", write_text(answer)) + " " + wrap("span", write_text(reason))
    full = " ".join(str(fact) for fact in dict.fromkeys(leave_out_caution(f.reason) for f in wrong))
    if full:
        where["title"] = full
    return wrap("td", said, f"papers-{answer}", **where)


def _list_reasons(wrong: Sequence[Finding]) -> list[str]:
    """Each paper once, with its first day; of classes what the sum says."""
    said = []
    for answer in ANSWERS:
        days: dict[str, date] = {}
        for f in wrong:
            if f.answer == answer and f.rule == ELIGIBLE:
                said.append(_say_doubts(leave_out_caution(f.reason)))
            elif f.answer == answer:
                name = str(name_paper(f.paper))
                days[name] = min(days.get(name, date.max), f.due_by or date.max)
        for name, day in days.items():
            by = f" by {day}" if day < date.max else ""
            said.append(f"{name}{by}" if answer in (DUE, UNKNOWN) else f"{name}: too late")
    return said


def _say_doubts(sum_up: Fact) -> str:
    """What speaks against each class; where nothing does, how many fit."""
    doubts = sum_up.get("doubts")
    return str(sum_up) if not isinstance(doubts, tuple) else "; ".join(map(str, doubts))


def _write_rest(found: Sequence[Finding]) -> Markup:
    """The findings of riders and treatments that ask for something, and where all of it stands."""
    people = [f for f in found if f.person and not f.horse and f.answer != OK]
    quotes = [f for f in found if f.rule == TREATMENT]
    rest = Markup("")
    if people:
        rest += wrap("h4", write_text("Riders")) + write_list(
            f"{f.answer}: {f.person}, {f.show}: {leave_out_caution(f.reason)} ({f.source})"
            for f in people
        )
    if quotes:
        rest += wrap("h4", write_text("Treatments, beside what is published")) + write_list(
            f"{f.horse}: {f.reason} ({f.source})" for f in quotes
        )
    sources: dict[str, list[str]] = {}
    for f in found:
        names = sources.setdefault(f.source, [])
        name = str(name_paper(f.paper))
        if name not in names:
            names.append(name)
    rest += wrap("h4", write_text("Sources")) + write_list(
        f"{', '.join(names)}: {source}" for source, names in sources.items()
    )
    return rest + wrap("p", write_text(CAUTION))
