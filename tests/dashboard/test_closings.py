"""Closing dates on the page: what is still to pay, late fees by the horse, what was sent before."""

from __future__ import annotations

import re
from datetime import date

from tests.build import make_class, make_entry, make_horse, make_show, make_yard
from tripkit.dashboard.closings import name_closing, write_closings
from tripkit.dashboard.figures import write_dropped
from tripkit.season.comparison import find_closing_dates
from tripkit.words import page as words
from tripkit.yard.circuit import Circuit, DroppedEntry, Outing
from tripkit.yard.facts import state

DAY = date(2027, 4, 8)


def strip_tags(html: str) -> str:
    """What a person would read."""
    return re.sub(r"<[^>]+>", "", html)


def make_case(**changes):
    """Dancer and Elder enter C1 and C2 at S1, 50.00 each; late entries cost 30.00 a horse."""
    show = make_show(
        "S1",
        "2027-04-07",
        classes=[make_class(name, "2027-04-08", fee_cents=5000) for name in ("C1", "C2")],
        entries_close="2027-03-20",
        late_entries_until="2027-03-31",
        late_fee_cents=3000,
    )
    horses = [make_horse(), make_horse("Elder")]
    yard = make_yard(**{"shows": [show], "horses": horses, "today": "2027-03-21", **changes})
    outings = tuple(
        Outing(h.horse, "S1", "Ana", ("C1", "C2"), DAY, DAY, DAY, DAY) for h in yard.horses
    )
    return yard, Circuit("A", "most worth", "best in time", outings=outings)


def test_late_fees_are_told_beside_the_fees_and_by_the_horse():
    """Four classes of 50.00 are 200.00, two horses late at 30.00 are 60.00."""
    yard, circuit = make_case()
    told = strip_tags(write_closings(yard, circuit, ()))
    assert "fees 200.00 USD and late fees 60.00 USD (2 \N{MULTIPLICATION SIGN} 30.00)" in told
    rest = "0 of 1 shows done. Still to pay for the rest: 200.00 USD and late fees 60.00 USD."
    assert rest in told


def test_a_class_of_today_or_before_is_no_entry_to_send():
    """On the class day itself nothing can be sent (rule `closed`: it lies after today)."""
    for today, left in (("2027-04-07", 4), ("2027-04-08", 0), ("2027-04-30", 0)):
        yard, circuit = make_case(today=today)
        closings = find_closing_dates(yard, circuit.outings)
        assert sum(len(c.entries) for c in closings) == left
    assert words.NO_CLOSINGS in strip_tags(write_closings(yard, circuit, ()))


def test_what_is_done_is_paid_no_more():
    """The one show ticked off leaves nothing."""
    yard, circuit = make_case()
    (closing,) = find_closing_dates(yard, circuit.outings)
    told = strip_tags(write_closings(yard, circuit, (name_closing(closing),)))
    assert "1 of 1 shows done; nothing is left to send." in told


def test_entries_sent_and_not_paid_are_told_beside_the_sum():
    """Dancer's C1 was sent for 45.00 and is not paid; its C2 and Elder's two are 150.00."""
    entry = make_entry("C1", "sent", amount_cents=4500)
    yard, circuit = make_case(entries=[entry], today="2027-03-01")
    told = strip_tags(write_closings(yard, circuit, ()))
    assert "Still to pay for the rest: 150.00 USD." in told
    assert "Dancer at S1, C1 (45.00 USD). Together 45.00 USD, in no other sum here." in told


def test_a_circuit_that_enters_nobody_says_so():
    """It has no closing date, and not because everything was sent."""
    yard, _ = make_case()
    told = write_closings(yard, Circuit("A", "most worth", "proved best"), ())
    assert words.NO_ENTRIES in told


def test_entries_that_are_lost_stand_with_why_and_what_is_at_risk():
    """The reason without the id of its rule, the money in the yard's currency."""
    yard, circuit = make_case()
    lost = DroppedEntry("Dancer", "S1", "C1", state("driving.no-lorry"), 4500, "road")
    told = write_dropped(yard, Circuit("A", "most worth", "none exists", dropped_entries=(lost,)))
    assert "Dancer at S1, C1: the yard has no lorry; 45.00 USD at risk" in told
    assert write_dropped(yard, circuit) == ""
