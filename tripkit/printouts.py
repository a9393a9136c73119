"""What the commands print, as lines of text: the check, the plan's table, the judge, a comparison.

Everything counted or compared here was found by another room; this one only says it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from textwrap import wrap

from tripkit.circuit import Circuit
from tripkit.comparison import Comparison, Figure, HorseComparison, write_verdict
from tripkit.dashboard.figures import write_distance, write_number, write_objective
from tripkit.eligibility import Finding
from tripkit.judge_case import Violation
from tripkit.money import write_money
from tripkit.shows import Show
from tripkit.vaccination import BARRED, CAUTION, DUE, UNKNOWN
from tripkit.yard import Yard

WIDTH = 100
ELIGIBLE = "eligible"
CLEARED = "cleared"
CAUTIONS = (
    "Cautions: tripkit reads the figures it holds. Whether a horse is fit is for a vet to decide; "
    "the current rule book of the show and the local law rule; published detection times of "
    "medicines are no clearances."
)


def write_table(
    heads: Sequence[str], rows: Iterable[Sequence[str]], left: Sequence[int] = (0,)
) -> list[str]:
    """Columns as wide as their widest cell; those in `left` flush left, the others right.

    >>> write_table(["horse", "days"], [["Alder", "9"], ["Elder", "12"]])
    ['horse  days', 'Alder     9', 'Elder    12']
    """
    cells = [tuple(heads), *map(tuple, rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(heads))]
    return [
        "  ".join(
            text.ljust(width) if i in left else text.rjust(width)
            for i, (text, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in cells
    ]


def indent(text: str, first: str, later: int | None = None) -> list[str]:
    """A text in lines of at most `WIDTH`, the first after `first`, the others set in as far."""
    return wrap(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * (len(first) if later is None else later),
        break_long_words=False,
        break_on_hyphens=False,
    )


def count(number: int, noun: str, nouns: str = "") -> str:
    """A number with its noun.

    >>> count(1, "class", "classes"), count(3, "show")
    ('1 class', '3 shows')
    """
    return f"{number:,} {noun if number == 1 else nouns or noun + 's'}"


# check


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
    """The findings of a yard: what to do first on top, then each horse, then the sources.

    A paper that is asked for at several shows stands once, with its first date. `everything`
    adds each finding of each horse and show.
    """
    sources = _Sources()
    classes = sum(len(show.classes) for show in yard.shows)
    lines = [
        f"{yard.name}, {yard.season.first} to {yard.season.last}, as of {yard.day_of_planning}",
        f"{count(len(yard.horses), 'horse')}, {count(len(yard.shows), 'show')}, "
        f"{count(classes, 'class', 'classes')}.",
        "",
    ]
    urgent = [f for f in found if f.answer in (BARRED, DUE) and f.rule != ELIGIBLE]
    unsure = [f for f in found if f.answer == UNKNOWN]
    lines.append("To do, first things first" if urgent else "Nothing is to be done.")
    for group in _group_by_paper(sorted(urgent, key=lambda f: f.due_by or yard.season.first)):
        lines += _write_task(group, sources)
    if unsure:
        lines += ["", "Not written down, so nobody knows; it bars nothing here"]
        for group in _group_by_paper(unsure):
            lines += _write_task(group, sources)
    lines += ["", "Horse by horse"]
    for horse in yard.horses:
        own = [f for f in found if f.horse == horse.horse]
        lines += _write_horse(horse.horse, own, sources)
    if everything:
        lines += _write_everything(yard, found, sources)
    lines += sources.write()
    if yard.remarks:
        lines += ["", "Remarks on the files"]
        for remark in yard.remarks:
            lines += indent(remark, "  ")
    return [*lines, "", *indent(CAUTIONS, "", 0)]


def _group_by_paper(found: Iterable[Finding]) -> list[list[Finding]]:
    groups: dict[tuple[str, str, str, str], list[Finding]] = {}
    for finding in found:
        key = (finding.answer, finding.rule, finding.horse, finding.person)
        groups.setdefault(key, []).append(finding)
    return list(groups.values())


def _write_task(group: Sequence[Finding], sources: _Sources) -> list[str]:
    first = group[0]
    when = f"by {first.due_by}" if first.due_by else "barred" if first.answer == BARRED else ""
    shows = [f.show for f in group if f.show]
    at = ""
    if shows and first.answer == UNKNOWN:
        at = f", {shows[0] if len(shows) == 1 else count(len(shows), 'show')}"
    elif shows:
        more = f" and {count(len(shows) - 1, 'more show')}" if len(shows) > 1 else ""
        at = f", {shows[0]}{more}"
    said = (
        f"{first.horse or first.person}{at}: {_shorten(first.reason)} {sources.mark(first.source)}"
    )
    return indent(said, f"  {when:<13}  ")


def _shorten(reason: str) -> str:
    # The caution closes the whole printout, it need not stand in every line.
    return reason.replace(f" {CAUTION}", "")


def _write_horse(horse: str, found: Sequence[Finding], sources: _Sources) -> list[str]:
    sums = [f for f in found if f.rule == ELIGIBLE]
    shut = [f for f in sums if f.answer == BARRED]
    parts = [f"{len(sums) - len(shut)} of {count(len(sums), 'show')} with a class that fits"]
    if shut:
        marks = dict.fromkeys(sources.mark(f.source) for f in shut)
        parts.append(f"none at {', '.join(f.show for f in shut)} {''.join(marks)}")
    for answer, words in ((BARRED, "barred"), (DUE, "due"), (UNKNOWN, "unknown")):
        papers = {f.rule: f for f in reversed(found) if f.answer == answer and f.rule != ELIGIBLE}
        names = [_name_paper(finding) for finding in reversed(papers.values())]
        if names:
            parts.append(f"{words}: {', '.join(names)}")
    return indent("; ".join(parts), f"  {horse}: ", 4)


def _name_paper(finding: Finding) -> str:
    name = "vet check" if finding.rule == CLEARED else finding.rule.split("-")[0]
    return name + (f" by {finding.due_by}" if finding.due_by else "")


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


# plan


def write_circuits_table(yard: Yard, circuits: Sequence[Circuit]) -> list[str]:
    """One line per circuit, then the aims each meets, entries dropped, and what has no circuit."""
    unit = "miles" if yard.units == "miles" else "km"
    heads = (
        "circuit",
        "goal",
        "status",
        "objective",
        "bound",
        "worth",
        f"cost {yard.currency}".strip(),
        unit,
        "outings",
        "aims",
        "spare days",
    )
    rows = [
        (
            c.name,
            c.goal,
            c.status,
            write_objective(c.goal, c.objective, yard),
            write_objective(c.goal, c.bound, yard),
            write_number(c.totals.worth),
            write_money(c.totals.cost_cents),
            write_distance(c.totals.road_km, yard.units).split()[0],
            str(c.totals.outings),
            f"{len(c.totals.aims_met)} of {len(yard.aims)}",
            write_number(c.totals.spare_days),
        )
        for c in circuits
        if c.exists
    ]
    lines = write_table(heads, rows, left=(0, 1, 2)) if rows else []
    lines += _write_aims(yard, circuits)
    dropped = dict.fromkeys(entry for c in circuits for entry in c.dropped_entries)
    if dropped:
        lines += ["", "Entries sent or paid that cannot be kept"]
        for entry in dropped:
            money = write_money(entry.cents, yard.currency)
            said = (
                f"{entry.horse} at {entry.show}, {entry.class_name}: {entry.why}; {money} at risk"
            )
            lines += indent(said, "  ", 4)
    for c in circuits:
        if not c.exists:
            lines += [*([""] if lines else []), f"{c.name}: {c.status}"]
            for reason in c.reasons:
                lines += indent(reason, "  ", 4)
    return lines


def _write_aims(yard: Yard, circuits: Sequence[Circuit]) -> list[str]:
    planned = [c for c in circuits if c.exists]
    if not yard.aims or not planned:
        return []
    lines = ["", "Aims and the circuits that meet them"]
    for aim in yard.aims:
        meeting = [c.name for c in planned if aim.title in c.totals.aims_met]
        said = "all" if len(meeting) == len(planned) else ", ".join(meeting) or "none"
        lines += indent(f"{aim.title}: {said}", "  ", 4)
    return lines


# judge


def write_judgement(judged: Sequence[tuple[Circuit, Sequence[Violation]]]) -> list[str]:
    """How many violations there are, then those of each circuit by rule id."""
    planned = [circuit for circuit, _ in judged if circuit.exists]
    total = sum(len(violations) for _, violations in judged)
    first = f"{count(total, 'violation')} in {count(len(planned), 'circuit')}"
    others = len(judged) - len(planned)
    if others:
        first += f"; {others} without a plan"
    lines = [first]
    for circuit, violations in judged:
        if violations:
            lines.append(f"{circuit.name}: {count(len(violations), 'violation')}")
        for violation in violations:
            day = f"{violation.day}  " if violation.day else ""
            lines += indent(str(violation), f"  {day}", 4)
    return lines


# compare


def write_comparison(c: Comparison, shows: Sequence[Show]) -> list[str]:
    """What the right circuit brings and costs, in words; then by horse and closing date."""
    lines: list[str] = []
    for sentence in write_verdict(c):
        lines += indent(sentence, "- ")
    heads = ("horse", "outings", "road hours", "nights", "spare days", f"cost {c.currency}".strip())
    rows = [_list_horse(horse) for horse in c.horses]
    lines += ["", f"Each horse: {c.left_name} > {c.right_name}"]
    lines += write_table(heads, rows)
    lines += _write_closings(c, shows)
    return lines


def _list_horse(horse: HorseComparison) -> tuple[str, ...]:
    both = len(horse.both)
    outings = Figure(both + len(horse.only_left), both + len(horse.only_right))
    return (
        horse.horse,
        _change(outings),
        _change(horse.road_hours),
        _change(horse.nights_away),
        _change(horse.spare_days),
        _sign(horse.cost.difference, write_money(horse.cost.difference)),
    )


def _change(figure: Figure) -> str:
    left, right = write_number(figure.left), write_number(figure.right)
    return left if left == right else f"{left} > {right}"


def _sign(difference: float | None, written: str) -> str:
    if difference is None:
        return ""
    return "same" if difference == 0 else f"+{written}" if difference > 0 else written


def _write_closings(c: Comparison, shows: Sequence[Show]) -> list[str]:
    order = {show.show: i for i, show in enumerate(shows)}
    sides = [{x.show: x for x in side} for side in (c.closing_left, c.closing_right)]
    known = {**sides[1], **sides[0]}
    rows = []
    for show, closing in sorted(
        known.items(), key=lambda item: (item[1].closes is None, item[1].closes, order[item[0]])
    ):
        closes = "no closing date" if closing.closes is None else str(closing.closes)
        entries = [str(len(side[show].entries)) if show in side else "" for side in sides]
        rows.append((f"{closes}{' late' if closing.late else ''}", show, *entries))
    if not rows:
        return []
    heads = ("closes", "show", "left", "right")
    return ["", "Entries still to be sent", *write_table(heads, rows, left=(0, 1))]
