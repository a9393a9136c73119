"""Closing dates as a list to work through: by date, what to send, a mark when it is done."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date, timedelta
from itertools import groupby
from zlib import crc32

from markupsafe import Markup

from tripkit.dashboard.figures import write_dropped
from tripkit.dashboard.markup import render
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
    said = words.NO_CLOSINGS if circuit.outings else words.NO_ENTRIES
    if closings:
        open_ones = [c for c in closings if name_closing(c) not in done]
        fees = sum(_sum_fees(yard, c) for c in open_ones)
        late = sum(c.late_fee_cents for c in open_ones)
        said = (words.CLOSINGS_SUM if open_ones else words.CLOSINGS_DONE).format(
            done=len(closings) - len(open_ones),
            count=len(closings),
            fees=_say_fees(yard, fees, late),
        )
    dates = [
        _gather_date(yard, closes, tuple(group), done)
        for closes, group in groupby(closings, key=lambda c: c.closes)
    ]
    dropped = write_dropped(yard, circuit)
    return render(
        "closings", said=said, sent=_say_sent(yard, circuit), dropped=dropped, dates=dates
    )


def _gather_date(
    yard: Yard, closes: date | None, group: Sequence[ClosingDate], done: Collection[str]
) -> dict[str, object]:
    """A closing date, how many days are left until then, and what closes."""
    left = None if closes is None else (closes - yard.day_of_planning).days
    return {
        "day": words.NO_CLOSING if closes is None else write_day(closes, yard.country),
        "left": left,
        "is_soon": left is not None and left <= SOON.days,
        "shows": [_gather_show(yard, closing, done) for closing in group],
    }


def _gather_show(yard: Yard, closing: ClosingDate, done: Collection[str]) -> dict[str, object]:
    return {
        "key": name_closing(closing),
        "is_done": name_closing(closing) in done,
        "title": closing.show,
        "entries": [
            (horse, [name for _, name in entries])
            for horse, entries in groupby(closing.entries, key=lambda e: e[0])
        ],
        "facts": _list_facts(yard, closing),
    }


def _list_facts(yard: Yard, closing: ClosingDate) -> list[str]:
    """The fees, and what of them is for being late or may still be saved."""
    show = yard.show_by_name[closing.show]
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
    return facts


def _say_fees(yard: Yard, fees: int, late: int) -> str:
    written = write_money(fees, yard.currency)
    if not late:
        return written
    return words.FEES_AND_LATE.format(fees=written, late=write_money(late, yard.currency))


def _say_sent(yard: Yard, circuit: Circuit) -> str:
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
        return ""
    return words.SENT_UNPAID.format(
        entries="; ".join(said), money=write_money(total, yard.currency)
    )


def _sum_fees(yard: Yard, closing: ClosingDate) -> int:
    offered = (yard.find_class(closing.show, name) for _, name in closing.entries)
    return sum(c.fee_cents for c in offered if c is not None)
