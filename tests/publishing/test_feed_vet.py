"""What calendars say of the vet's work: which dose, which look, which certificate, until when."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

from tests.build import day, make_paper, make_show, make_vet_check, make_yard
from tests.publishing.hand_season import pick
from tripkit.publishing import FeedEvent, Reader, list_events, publish
from tripkit.publishing.contents import load_shown
from tripkit.publishing.events import list_all_events
from tripkit.publishing.readers import list_readers
from tripkit.rulebooks import known_rule_books, load_rule_books
from tripkit.season.diary import write_diary
from tripkit.store import open_store
from tripkit.words.telling import CALENDAR
from tripkit.yard.circuit import Circuit, Leg, Outing
from tripkit.yard.people import Person
from tripkit.yard.yard import Yard

BOOKS = load_rule_books(known_rule_books())
VET = Reader("vet", "Dr. Vale")
OWNER = Reader("owner", "Olga")
RECHECK = make_vet_check("2027-02-20", True, recheck_by="2027-03-10")


def make_plan(**changes) -> tuple[Yard, Circuit]:
    """Dancer of Olga at S1, a day's drive away, from 6 to 12 April, with the diary's days."""
    people = [*make_yard().people, Person("Dr. Vale", "vet")]
    yard = make_yard(paper_rules=("us",), rule_books=BOOKS, people=people, **changes)
    outing = Outing(
        "Dancer", "S1", "Ana", ("C1",), day("2027-04-08"), day("2027-04-08"), day("2027-04-06"),
        day("2027-04-12"),
    )  # fmt: skip
    legs = tuple(
        Leg(
            "Lorry", *ends, datetime(2027, 4, on, 12, tzinfo=UTC),
            datetime(2027, 4, on, 15, tzinfo=UTC), 140, 2, horses=("Dancer",),
        )
        for ends, on in ((("home", "S1"), 6), (("S1", "home"), 12))
    )  # fmt: skip
    days = tuple(write_diary(yard, (outing,), legs))
    return yard, Circuit("Plan", "worth", "optimal", outings=(outing,), legs=legs, days=days)


def find_kind(events: tuple[FeedEvent, ...], kind: str) -> list[FeedEvent]:
    """The events of one kind."""
    return [event for event in events if event.kind == kind]


def test_a_dose_is_told_with_its_show_and_the_days_it_may_be_given() -> None:
    """Dose of 1 October 2026 + 6 months ends 1 April; arrival 6 April - 7 days is 30 March.

    USEF GR845: within 6 months, and none within 7 days of the grounds. Today is 28 February.
    """
    yard, circuit = make_plan(papers=[make_paper("influenza", "2026-10-01")])
    said = "influenza dose for S1 (open 1 March to 30 March)"
    visits = [
        e.description.split("\n")[0]
        for e in find_kind(list_events(yard, circuit, VET), "vet visit")
    ]
    assert f"Dancer: {said}" in visits
    for reader in (OWNER, Reader("horse", "Dancer")):
        dose = pick(list_events(yard, circuit, reader), "vaccination")
        assert dose.description.split("\n") == [
            f"I{said[1:]}",
            "Planned in its window and clear of the next arrival. A vet decides.",
        ]


def test_a_look_again_is_told_in_words() -> None:
    """The horse lame on Saturday, 20 February 2027 is seen by Wednesday, 10 March."""
    yard, circuit = make_plan(vet_checks=[RECHECK])
    first = find_kind(list_events(yard, circuit, OWNER), "vet check")[0]
    assert first.description.split("\n")[0] == (
        "Check again, as asked on Sat 20 February by Wed 10 March"
    )


def test_a_certificate_stands_in_a_visit_that_falls_in_its_days() -> None:
    """USEF, 30 days: 6 April - 30 is 7 March, home 12 April - 30 is 13 March, a Saturday."""
    yard, circuit = make_plan(shows=[make_show(country="CA")], vet_checks=[RECHECK])
    events = list_events(yard, circuit, VET)
    line = (
        "Health certificate to S1 (open 7 March to 5 April): Dancer. "
        "One from Sat 13 March on covers the way home on Mon 12 April as well."
    )
    told = [e.start for e in find_kind(events, "vet visit") if line in e.description.split("\n")]
    assert len(told) == 1
    assert date(2027, 3, 7) <= told[0] <= date(2027, 4, 5)
    assert find_kind(events, "certificate") == []


def test_a_look_that_is_planned_stands_once() -> None:
    """Lame on 20 February, to be seen by 10 March: the plan's day in that week is the one event.

    Where the plan has no such day, or its day went by without an answer and the last one is still
    to come, the due day stands; once that is past, a plan that had its day adds nothing.
    """
    lame = make_vet_check("2027-02-20", cleared=False, recheck_by="2027-03-10")
    yard, circuit = make_plan(vet_checks=[lame])
    for reader in (OWNER, VET, Reader("horse", "Dancer"), Reader("yard", yard.name)):
        events = list_events(yard, circuit, reader)
        looks = find_kind(events, "vet visit" if reader == VET else "vet check")
        assert [e.start for e in looks if e.start <= date(2027, 3, 10)] == [looks[0].start]
        assert find_kind(events, "recheck") == []
    assert pick(list_events(yard, circuit, OWNER), "vet check", "").description.split("\n") == [
        "Check again, as asked on Sat 20 February by Wed 10 March",
        "Not cleared on Sat 20 February 2027: no school and no show until cleared. A vet decides.",
    ]
    without = replace(circuit, days=())
    assert pick(list_events(yard, without, OWNER), "recheck").start == date(2027, 3, 10)
    moved = tuple(
        replace(line, date=date(2027, 3, 3)) if line.date == looks[0].start else line
        for line in circuit.days
        if line.date != date(2027, 3, 3)
    )
    for today, stands in (("2027-03-04", True), ("2027-03-11", False)):
        later = replace(yard, today=day(today))
        events = list_events(later, replace(circuit, days=moved), OWNER)
        assert bool(find_kind(events, "recheck")) is stands


def test_the_due_day_of_a_look_is_no_longer_needed_once_it_is_planned(tmp_path: Path) -> None:
    """Published without the vet's days, then with them: cancelled, told so, and nothing doubles.

    RFC 5545 section 3.8.1.11: STATUS:CANCELLED; section 3.8.7.4: its SEQUENCE rises.
    """
    lame = make_vet_check("2027-02-20", cleared=False, recheck_by="2027-03-10")
    yard, circuit = make_plan(vet_checks=[lame])
    store, now = open_store(tmp_path), datetime(2027, 2, 28, 12, tzinfo=UTC)
    publish(yard, replace(circuit, days=()), store, now)
    published = publish(yard, circuit, store, now.replace(hour=13))
    kept = [
        event
        for event in store.read_shelf().events
        if event.who == ("owner", "Olga") and load_shown(event, CALENDAR).event.kind == "recheck"
    ]
    assert [(event.sequence, event.cancelled) for event in kept] == [(1, date(2027, 2, 28))]
    text = next(c.text for c in published.changes if c.reader == OWNER)
    assert "No longer needed:\n- Dancer: vet recheck due, Wed 10 March" in text


def test_a_certificate_that_no_visit_falls_in_has_a_day_of_its_own() -> None:
    """Without the vet's days in the circuit its last day, 5 April, is an event; owners see none."""
    yard, circuit = make_plan(shows=[make_show(country="CA")])
    circuit = replace(circuit, days=())
    for reader in (VET, Reader("yard", yard.name)):
        event = pick(list_events(yard, circuit, reader), "certificate")
        assert (event.start, event.end) == (date(2027, 4, 5), date(2027, 4, 6))
        assert event.summary == "Health certificate, last day: to S1"
        assert event.description.endswith("as well.\nA vet decides.")
    assert find_kind(list_events(yard, circuit, OWNER), "certificate") == []


def test_a_text_that_changes_raises_no_sequence(tmp_path: Path) -> None:
    """A show that is called otherwise changes what the dose is for, not when or where."""
    papers = [make_paper("influenza", "2026-10-01")]
    now = datetime(2027, 2, 28, 12, tzinfo=UTC)
    with_name = [make_show(name="Spring Show")]
    for shows in ([make_show()], with_name):
        yard, circuit = make_plan(papers=papers, shows=shows)
        publish(yard, circuit, open_store(tmp_path), now)
    kept = [e for e in open_store(tmp_path).read_shelf().events if e.who == ("vet", "Dr. Vale")]
    told = [load_shown(event, CALENDAR).event.description for event in kept]
    assert any("influenza dose for Spring Show" in text for text in told)
    assert {event.sequence for event in kept} == {0}


def test_all_readers_at_once_see_what_each_sees_alone() -> None:
    """Laying the vet's days once for all changes nothing."""
    yard, circuit = make_plan(papers=[make_paper("influenza", "2026-10-01")])
    readers = list_readers(yard)
    together = list_all_events(yard, circuit, readers)
    assert list(together) == list(readers)
    assert all(list_events(yard, circuit, r) == events for r, events in together.items())
