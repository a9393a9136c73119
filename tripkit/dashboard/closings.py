"""Closing dates as a list to work through: by date, what to send, a mark when it is done."""

from __future__ import annotations

from collections.abc import Collection
from datetime import timedelta
from itertools import groupby
from zlib import crc32

from tripkit.circuit import Circuit
from tripkit.comparison import ClosingDate, find_closing_dates
from tripkit.dashboard import words
from tripkit.dashboard.markup import wrap, write_names, write_text
from tripkit.money import write_money
from tripkit.timeline_words import title_of, write_date, write_day
from tripkit.yard import Yard

SOON = timedelta(days=14)


def name_closing(closing: ClosingDate) -> str:
    """A mark holds for exactly these entries: another plan asks for another mark."""
    entries = crc32(repr(closing.entries).encode())
    return f"{closing.show}#{entries:08x}"


def write_closings(yard: Yard, circuit: Circuit, done: Collection[str]) -> str:
    """How many are done, then the shows by closing date with horses, classes and fees."""
    closings = find_closing_dates(yard, circuit.outings)
    if not closings:
        return wrap("p", write_text(words.NO_CLOSINGS), "empty")
    ready = sum(name_closing(c) in done for c in closings)
    fees = sum(_sum_fees(yard, c) + c.late_fee_cents for c in closings)
    said = words.CLOSINGS_SUM.format(
        done=ready, count=len(closings), fees=write_money(fees, yard.currency)
    )
    parts = [wrap("p", write_text(said), "sum", role="status")]
    for closes, group in groupby(closings, key=lambda c: c.closes):
        head = words.NO_CLOSING if closes is None else write_day(closes, yard.country)
        left = None if closes is None else (closes - yard.day_of_planning).days
        note = ""
        if left is not None:
            note = words.CLOSED if left < 0 else words.TODAY_LAST if left == 0 else ""
            note = note or (words.DAYS_LEFT.format(days=left) if left > 1 else words.DAY_LEFT)
        soon = left is not None and left <= SOON.days
        titled = write_text(head) + (wrap("span", write_text(note), "left-days") if note else "")
        items = "".join(_write_show(yard, c, done) for c in group)
        parts.append(
            wrap(
                "section",
                wrap("h3", titled) + wrap("ul", items, "tasks"),
                "closes tk-soon" if soon else "closes",
            )
        )
    return "".join(parts)


def _write_show(yard: Yard, closing: ClosingDate, done: Collection[str]) -> str:
    key = name_closing(closing)
    mark = {"checked": ""} if key in done else {}
    show = yard.show_by_name[closing.show]
    box = wrap(
        "label",
        f'<input type="checkbox" data-take="done" data-name="{write_text(key)}" '
        f'data-key="done-{write_text(key)}"{" checked" if mark else ""}>'
        + wrap("span", write_text(title_of(yard, closing.show)), "long", dir="auto"),
        "task-name",
    )
    by_horse = [
        write_names([horse]) + write_text(": " + ", ".join(name for _, name in entries))
        for horse, entries in groupby(closing.entries, key=lambda e: e[0])
    ]
    facts = [words.FEES.format(fees=write_money(_sum_fees(yard, closing), yard.currency))]
    if closing.late:
        facts.append(words.LATE_NOW.format(fee=write_money(closing.late_fee_cents, yard.currency)))
    elif show.late_entries_until is not None and show.late_entries_until != closing.closes:
        facts.append(
            words.LATE_UNTIL.format(
                day=write_date(show.late_entries_until, yard.country),
                fee=write_money(show.late_fee_cents, yard.currency),
            )
        )
    lines = "".join(wrap("li", line) for line in by_horse)
    return wrap(
        "li",
        box + wrap("ul", lines, "entries") + wrap("p", write_text("; ".join(facts)), "facts-line"),
        "task tk-done" if mark else "task",
    )


def _sum_fees(yard: Yard, closing: ClosingDate) -> int:
    offered = (yard.find_class(closing.show, name) for _, name in closing.entries)
    return sum(c.fee_cents for c in offered if c is not None)
