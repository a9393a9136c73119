"""Closing dates as a list to work through: by date, what to send, a mark when it is done."""

from __future__ import annotations

from collections.abc import Collection
from datetime import timedelta
from itertools import groupby
from zlib import crc32

from markupsafe import Markup

from tripkit.dashboard.figures import write_dropped
from tripkit.dashboard.markup import join_pieces, wrap, write_names, write_text
from tripkit.season.comparison import ClosingDate, find_closing_dates
from tripkit.words import page as words
from tripkit.words.formats import write_date, write_day, write_money
from tripkit.yard.circuit import Circuit
from tripkit.yard.yard import Yard

SOON = timedelta(days=14)


def name_closing(closing: ClosingDate) -> str:
    """A mark holds for exactly these entries: another plan asks for another mark."""
    entries = crc32(repr(closing.entries).encode())
    return f"{closing.show}#{entries:08x}"


def write_closings(yard: Yard, circuit: Circuit, done: Collection[str]) -> Markup:
    """How many are done, then the shows by closing date with horses, classes and fees."""
    closings = find_closing_dates(yard, circuit.outings)
    sent = _write_sent(yard, circuit) + write_dropped(yard, circuit)
    if not closings:
        said = words.NO_CLOSINGS if circuit.outings else words.NO_ENTRIES
        return wrap("p", write_text(said), "empty") + sent
    open_ones = [c for c in closings if name_closing(c) not in done]
    fees = sum(_sum_fees(yard, c) for c in open_ones)
    late = sum(c.late_fee_cents for c in open_ones)
    said = (words.CLOSINGS_SUM if open_ones else words.CLOSINGS_DONE).format(
        done=len(closings) - len(open_ones), count=len(closings), fees=_say_fees(yard, fees, late)
    )
    parts = [wrap("p", write_text(said), "sum", role="status") + sent]
    for closes, group in groupby(closings, key=lambda c: c.closes):
        head = words.NO_CLOSING if closes is None else write_day(closes, yard.country)
        left = None if closes is None else (closes - yard.day_of_planning).days
        note = ""
        if left is not None:
            note = words.CLOSED if left < 0 else words.TODAY_LAST if left == 0 else ""
            note = note or (words.DAYS_LEFT.format(days=left) if left > 1 else words.DAY_LEFT)
        soon = left is not None and left <= SOON.days
        titled = write_text(head) + (wrap("span", write_text(note), "left-days") if note else "")
        items = join_pieces(_write_show(yard, c, done) for c in group)
        parts.append(
            wrap(
                "section",
                wrap("h3", titled) + wrap("ul", items, "tasks"),
                "closes tk-soon" if soon else "closes",
            )
        )
    return join_pieces(parts)


def _write_show(yard: Yard, closing: ClosingDate, done: Collection[str]) -> Markup:
    key = name_closing(closing)
    mark = {"checked": ""} if key in done else {}
    show = yard.show_by_name[closing.show]
    tick = Markup('<input type="checkbox" data-take="done" data-name="{}" data-key="done-{}"{}>')
    box = wrap(
        "label",
        tick.format(key, key, Markup(" checked") if mark else "")
        + wrap("span", write_text(closing.show), "long", dir="auto"),
        "task-name",
    )
    by_horse = [
        write_names([horse]) + write_text(": " + ", ".join(name for _, name in entries))
        for horse, entries in groupby(closing.entries, key=lambda e: e[0])
    ]
    late, late_until = closing.late_fee_cents, show.late_entries_until
    fees = _say_fees(yard, _sum_fees(yard, closing), late)
    if late > show.late_fee_cents:
        fees += words.LATE_EACH.format(
            count=late // show.late_fee_cents, each=write_money(show.late_fee_cents)
        )
    facts = [words.FEES.format(fees=fees)]
    if closing.late and not late:
        facts.append(words.LATE_FREE)
    elif not closing.late and late_until is not None and late_until != closing.closes:
        facts.append(
            words.LATE_UNTIL.format(
                day=write_date(late_until, yard.country),
                fee=write_money(show.late_fee_cents, yard.currency),
            )
        )
    lines = join_pieces(wrap("li", line) for line in by_horse)
    return wrap(
        "li",
        box + wrap("ul", lines, "entries") + wrap("p", write_text("; ".join(facts)), "facts-line"),
        "task tk-done" if mark else "task",
    )


def _say_fees(yard: Yard, fees: int, late: int) -> str:
    written = write_money(fees, yard.currency)
    if not late:
        return written
    return words.FEES_AND_LATE.format(fees=written, late=write_money(late, yard.currency))


def _write_sent(yard: Yard, circuit: Circuit) -> Markup:
    """Entries of the circuit that were sent and not paid: they have no closing date any more."""
    said, total = [], 0
    for outing in circuit.outings:
        for name in outing.classes:
            entry = yard.bound_entries.get((outing.horse, outing.show, name))
            if entry is None or entry.status != "sent":
                continue
            offered = yard.find_class(outing.show, name)
            cents = entry.amount_cents
            if cents is None:
                cents = 0 if offered is None else offered.fee_cents
            total += cents
            said.append(
                words.SENT_ENTRY.format(
                    horse=outing.horse, show=outing.show, name=name,
                    money=write_money(cents, yard.currency),
                )
            )  # fmt: skip
    if not said:
        return Markup("")
    told = words.SENT_UNPAID.format(
        entries="; ".join(said), money=write_money(total, yard.currency)
    )
    return wrap("p", write_text(told), "hint")


def _sum_fees(yard: Yard, closing: ClosingDate) -> int:
    offered = (yard.find_class(closing.show, name) for _, name in closing.entries)
    return sum(c.fee_cents for c in offered if c is not None)
