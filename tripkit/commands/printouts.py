"""What the commands print, as lines of text: the plan's table, the judge, a comparison.

Everything counted or compared here was found by another room; this one only says it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from tripkit.explaining.outing import OutingExplanation
from tripkit.explaining.reasons import name_demand, say_today
from tripkit.files.circuits import REASON_OF_STATUS
from tripkit.files.renaming import Renamed
from tripkit.files.shows_merge import MergePreview
from tripkit.judging.case import Violation
from tripkit.judging.judge import RULES
from tripkit.season.comparison import Comparison, Figure, HorseComparison
from tripkit.season.scorecard import find_lacks
from tripkit.words import page as words
from tripkit.words.comparisons import write_verdict
from tripkit.words.figures import write_number, write_objective
from tripkit.words.formats import write_money
from tripkit.words.telling import Teller, choose_teller
from tripkit.words.verdicts import write_violation
from tripkit.yard.circuit import Circuit
from tripkit.yard.facts import Reason, state
from tripkit.yard.places import convert_km
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard

if TYPE_CHECKING:
    from tripkit.publishing import Publishing

WIDTH = 100


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


def indent(text: Reason, first: str, later: int | None = None) -> list[str]:
    """A text in lines of at most `WIDTH`, the first after `first`, the others set in as far."""
    return wrap(
        str(text),
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * (len(first) if later is None else later),
        break_long_words=False,
        break_on_hyphens=False,
    )


def write_head(yard: Yard) -> str:
    """The first line of every answer: whose season it is, and as of which day it is told."""
    return str(state("commands.head", yard=yard.name, season=yard.season, today=say_today(yard)))


# What is probably not meant


def write_oddities(yard: Yard, most: int | None = None) -> list[str]:
    """What is probably not meant, best ranked first; with `most` so many, and how many more."""
    lines, oddities = [str(state("commands.odd"))], yard.oddities
    teller = choose_teller(yard, local=False)
    for number, odd in enumerate(oddities[:most], start=1):
        lines += indent(f"{odd.where}: {teller.tell(odd.what)}", f"  {number:>2}  ")
    left = len(oddities) - len(oddities[:most])
    return lines + ([f"      {state('commands.odd-more', count=left)}"] if left else [])


# plan


def write_circuits_table(yard: Yard, circuits: Sequence[Circuit]) -> list[str]:
    """One line per circuit, then aims, what proofs leave out, entries dropped, what has no plan."""
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
    teller = choose_teller(yard, local=False)
    rows = [
        (
            c.name,
            c.goal,
            c.status,
            write_objective(c.goal, c.objective, yard),
            write_objective(c.goal, c.bound, yard),
            write_number(c.totals.worth),
            write_money(c.totals.cost_cents),
            teller.write_number(convert_km(c.totals.road_km, yard.units), "0"),
            str(c.totals.outings),
            f"{len(c.totals.aims_met)} of {len(yard.aims)}",
            write_number(c.totals.spare_days),
        )
        for c in circuits
        if c.exists
    ]
    lines = write_table(heads, rows, left=(0, 1, 2)) if rows else []
    lines += _write_aims(yard, [c for c in circuits if c.outings])
    lines += _write_lacks(yard, circuits)
    left_out = dict.fromkeys(what for c in circuits for what in c.leaves_out)
    if left_out:
        lines += ["", str(state("commands.left-out"))]
        for what in left_out:
            lines += indent(teller.tell(what), "  ", 4)
    dropped = dict.fromkeys(entry for c in circuits for entry in c.dropped_entries)
    if dropped:
        lines += ["", str(state("commands.entries-dropped"))]
        for entry in dropped:
            lines += indent(teller.tell(entry.fact), "  ", 4)
        if any(c.dropped_entries and not c.dropped_proved for c in circuits):
            lines += indent(str(state("commands.dropped-unproved")), "  ", 4)
    for c in circuits:
        if not c.exists:
            lines += [*([""] if lines else []), f"{c.name}: {c.status}"]
            for reason in c.reasons or (REASON_OF_STATUS[c.status],):
                lines += indent(teller.tell(name_demand(yard, reason)), "  ", 4)
    return lines


def _write_aims(yard: Yard, circuits: Sequence[Circuit]) -> list[str]:
    planned = [c for c in circuits if c.exists]
    if not yard.aims or not planned:
        return []
    lines = ["", str(state("commands.aims"))]
    for aim in yard.aims:
        meeting = [c.name for c in planned if aim.title in c.totals.aims_met]
        all_or_none = state("commands.all" if meeting else "commands.none")
        said = ", ".join(meeting) if 0 < len(meeting) < len(planned) else str(all_or_none)
        lines += indent(f"{aim.title}: {said}", "  ", 4)
    return lines


def _write_lacks(yard: Yard, circuits: Sequence[Circuit]) -> list[str]:
    """The outings that are wanted and missing, by horse and owner."""
    lines: list[str] = []
    for circuit in circuits:
        lacks = find_lacks(yard, circuit.outings) if circuit.exists else ()
        if lacks:
            lines.append(f"  {circuit.name}")
        for lack in lacks:
            lines += indent(str(lack.fact), "    ", 4)
    return ["", str(state("commands.missing")), *lines] if lines else []


# judge


def write_judgement(
    yard: Yard,
    judged: Sequence[tuple[Circuit, Sequence[Violation]]],
    past: Sequence[tuple[Circuit, Sequence[Violation]]] = (),
) -> list[str]:
    """How many violations there are, then those of each circuit by rule id.

    `past` are those that only what was lived breaks: remarks.
    """
    planned = [circuit for circuit, _ in judged if circuit.exists]
    total = sum(len(violations) for _, violations in judged)
    others = len(judged) - len(planned)
    without = state("commands.without-plan", count=others) if others else None
    counts = state("commands.violations", count=total, circuits=len(planned), without=without)
    lines = [str(counts)]
    teller = choose_teller(yard, local=False)
    for circuit, violations in judged:
        if violations:
            head = state("commands.violations-of", circuit=circuit.name, count=len(violations))
            lines.append(str(head))
        lines += _list_violations(teller, violations)
    for circuit, violations in past:
        if violations:
            head = state("commands.remarks-of", circuit=circuit.name, count=len(violations))
            lines.append(str(head))
        lines += _list_violations(teller, violations)
    return lines


def _list_violations(teller: Teller, violations: Sequence[Violation]) -> list[str]:
    lines: list[str] = []
    for violation in violations:
        day = f"{violation.day}  " if violation.day else ""
        lines += indent(write_violation(teller, violation), f"  {day}", 4)
    return lines


# compare


def write_comparison(c: Comparison, shows: Sequence[Show]) -> list[str]:
    """What the right circuit brings and costs, in words; then by horse and closing date."""
    lines: list[str] = []
    for sentence in write_verdict(c):
        lines += indent(sentence, "- ")
    heads = ("horse", "outings", "road hours", "nights", "spare days", f"cost {c.currency}".strip())
    rows = [_list_horse(horse) for horse in c.horses]
    lines += ["", str(state("commands.each-horse", left=c.left_name, right=c.right_name))]
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
        closes = str(closing.closes or state("commands.no-closing"))
        entries = [str(len(side[show].entries)) if show in side else "" for side in sides]
        rows.append((f"{closes}{' late' if closing.late else ''}", show, *entries))
    if not rows:
        return []
    heads = ("closes", "show", "left", "right")
    return ["", str(state("commands.to-be-sent")), *write_table(heads, rows, left=(0, 1))]


# import, rename


def write_preview(preview: MergePreview) -> Iterator[str]:
    """What taking an organiser's calendar changes, in lines for a manager."""
    yield from _list_under(words.MERGE_NEW, [show.fact for show in preview.added])
    yield from _list_under(words.MERGE_JOINED, [show.fact for show in preview.joined])
    yield from _list_under(words.MERGE_CANCELLED, [show.fact for show in preview.cancelled])
    yield from _list_under(words.MERGE_MISSING, [show.fact for show in preview.missing])
    moved = [
        line
        for before, after in preview.moved
        for line in (after.fact, f"  {state('merging.was', show=before.fact)}")
    ]
    yield from _list_under(words.MERGE_CHANGED, moved)
    yield from _list_under(words.MERGE_MOVES, [move.fact for move in preview.moves])
    yield from _list_under(words.MERGE_KEPT, preview.kept)
    yield from _list_under(words.MERGE_OLDER, preview.older)
    yield from _list_under(words.MERGE_UNREADABLE, preview.unreadable)
    yield from _list_under(words.MERGE_AGAINST, preview.conflicts)
    yield from _list_under(words.MERGE_REMARKS, preview.remarks)
    yield from _list_under(words.MERGE_REFUSED, preview.faults)
    yield str(state("merging.unchanged", count=len(preview.unchanged)))


def _list_under(head: str, lines: Sequence[object]) -> Iterator[str]:
    if lines:
        yield f"{head}:"
        yield from (f"  {line}" for line in lines)


def write_renamed(done: Renamed) -> Iterator[str]:
    """What a renaming changed."""
    new, calendars = done.renaming.new, done.calendars
    names = {"kind": done.renaming.kind, "old": done.renaming.old, "new": new}
    if done.was_done:
        yield str(state("commands.renamed-before", **names))
        return
    yield str(state("commands.renamed", **names))
    for file, count in done.cells:
        yield f"  {state('commands.cells', file=file, count=count) if count else file}"
    if calendars:
        keep = state("commands.calendars-keep", new=new, calendars=calendars, count=len(calendars))
        yield str(keep)
    yield str(state("commands.outside-circuits"))


# addresses


def write_published(published: Publishing) -> list[str]:
    """Which publishing it is, new calendars a line each, then what changed, ready to be sent on."""
    new = [changed for changed in published.changes if changed.since is None]
    told = state("commands.published", circuit=published.circuit, revision=published.revision)
    lines: list[Reason] = [told]
    if new:
        lines += ["", state("commands.new-calendars")]
    for changed in new:
        kind, count = changed.reader.kind, len(changed.changes)
        line = state("commands.new-calendar", kind=kind, name=changed.reader.name, count=count)
        if kind == "yard":
            line = state("commands.new-calendar-yard", count=count)
        lines.append(f"  {line}")
    for changed in published.changes:
        if changed.since is not None:
            lines += ["", *changed.text.split("\n")]
    if published.retold:
        lines += ["", state("commands.retold", count=len(published.retold))]
    if not published.changes and not published.retold:
        lines.append(state("commands.nothing-changed"))
    return list(map(str, lines))


def write_addresses(
    addresses: Sequence[tuple[str, str, str, bool]], only_here: str = ""
) -> list[str]:
    """The secret address of each reader, by kind; rows are kind, name, link and alarms.

    `only_here` is the yard as it was named, where no other machine reaches the addresses.
    """
    if not addresses:
        return [str(state("commands.not-published"))]
    lines = []
    for kind, name, link, alarms in addresses:
        quiet = None if alarms else state("commands.alarms-off")
        lines += [f"{kind} {name}{quiet or ''}", f"  {link or state('commands.revoked')}"]
    lines += ["", str(state("commands.give-each-its-own"))]
    if only_here:
        yard = f'"{only_here}"' if " " in only_here else only_here
        lines += [
            str(state("commands.only-here")),
            f"  {state('commands.serve-at-home', yard=yard)}",
            f"  {state('commands.serve-public', yard=yard)}",
            str(state("commands.ask-anew")),
        ]
    return lines


# why


def write_why(yard: Yard, found: Sequence[tuple[Circuit, OutingExplanation]]) -> list[str]:
    """The answer first, then what it rests on; of several circuits a line each on top.

    Told in full is the first circuit in which the horse does not go there, else the first.
    """
    if not found:
        return [str(state("commands.no-circuit"))]
    told = next((f for f in found if f[1].verdict != "in"), found[0])
    tell = choose_teller(yard, local=False).tell
    lines: list[str] = []
    if len(found) > 1:
        width = max(len(circuit.name) for circuit, _ in found)
        for circuit, explanation in found:
            head = f"{circuit.name:<{width}}  {explanation.verdict}: "
            lines += indent(tell(explanation.answer), head)
        lines += ["", str(state("commands.in-full", circuit=told[0].name))]
    explanation, rules = told[1], RULES
    lines += indent(tell(explanation.answer), "", 0)
    sources: dict[str, int] = {}
    for point in explanation.points:
        mark = f" [{sources.setdefault(point.source, len(sources) + 1)}]" if point.source else ""
        rule = f" ({point.rule})" if point.rule in rules else ""
        lines += indent(f"{tell(point.text)}{rule}{mark}", "- ")
    if sources:
        lines += ["", "Sources"]
        for source, number in sources.items():
            lines += indent(source, f"  [{number}] ")
    return lines
