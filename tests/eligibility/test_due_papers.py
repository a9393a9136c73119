"""The doses and tests a plan needs: legal windows, the day chosen, and why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.build import day, make_absence, make_paper, make_show, make_yard, span
from tripkit.eligibility.visits import plan_visits
from tripkit.rulebooks import known_rule_books, load_rule_books
from tripkit.yard.days import DaySpan

BOOKS = load_rule_books(known_rule_books())


def make_ruled_yard(*books: str, **changes):
    """A yard under these rule books."""
    return make_yard(paper_rules=books, rule_books=BOOKS, **changes)


@dataclass(frozen=True)
class Away:
    """A stay by hand."""

    show: str
    arrive: date
    leave: date


def away(show: str, arrive: str, leave: str) -> Away:
    return Away(show, day(arrive), day(leave))


def plan_papers(papers, stays, *, books=("us",), **changes):
    shows = [make_show(s.show, s.arrive + timedelta(days=1), s.leave) for s in stays]
    yard = make_ruled_yard(*books, papers=papers, shows=shows, **changes)
    return plan_visits(yard, yard.horses[0], stays).papers


def test_a_dose_is_planned_on_the_earliest_day_within_21_days_of_its_limit() -> None:
    """Dose 1 October 2026 covers to 1 April (GR845); arrival 6 April: limit 30 March, - 21."""
    (due,) = plan_papers(
        [make_paper("influenza", "2026-10-01")], [away("S1", "2027-04-06", "2027-04-12")]
    )
    assert (due.paper, due.show, due.limit) == ("influenza", "S1", day("2027-03-30"))
    assert due.day == day("2027-03-09")
    assert due.windows == (span("2027-03-01", "2027-03-30"),)


def test_a_dose_that_still_covers_the_arrival_is_not_planned() -> None:
    """Dose 6 October 2026 + 6 months covers the arrival of 6 April itself."""
    stays = [away("S1", "2027-04-06", "2027-04-12")]
    assert plan_papers([make_paper("influenza", "2026-10-06")], stays) == ()
    assert len(plan_papers([make_paper("influenza", "2026-10-05")], stays)) == 1


def test_nothing_known_plans_nothing() -> None:
    """Without a row it is unknown whether a dose is needed."""
    assert plan_papers([], [away("S1", "2027-04-06", "2027-04-12")]) == ()


def test_a_dose_keeps_clear_of_stays_and_of_the_days_before_any_arrival() -> None:
    """Stay 10 to 20 March shuts 4 to 20 March; arrival 6 April: open 1-3 and 21-30 March.

    Dose 1 October 2026 covers 10 March and not 6 April (1 April, GR845).
    """
    stays = [away("S1", "2027-03-10", "2027-03-20"), away("S2", "2027-04-06", "2027-04-12")]
    (due,) = plan_papers([make_paper("influenza", "2026-10-01")], stays)
    assert due.windows == (span("2027-03-01", "2027-03-03"), span("2027-03-21", "2027-03-30"))
    assert due.day == day("2027-03-21")


def test_a_horse_that_stays_away_has_its_dose_before() -> None:
    """Away from 10 March to 5 April: the last open day is 3 March, a week before arrival."""
    stays = [away("S1", "2027-03-10", "2027-04-05"), away("S2", "2027-04-06", "2027-04-12")]
    (due,) = plan_papers([make_paper("influenza", "2026-10-01")], stays)
    assert due.day == day("2027-03-03")
    assert "later the horse is away" in str(due.reason)


def test_no_legal_day_is_said_with_its_reason() -> None:
    """Home from 21 to 26 March only, all within 7 days before 27 March; 1-3 March absent."""
    stays = [away("S1", "2027-03-10", "2027-03-20"), away("S2", "2027-03-27", "2027-04-12")]
    (due,) = plan_papers(
        [make_paper("influenza", "2026-09-20")],
        stays,
        absences=[make_absence("Dancer", "2027-03-01", "2027-03-03")],
    )
    assert (due.day, due.windows, due.show) == (None, (), "S2")
    assert "No day is left on which the horse stands at home" in str(due.reason)


def test_a_dose_too_late_before_the_arrival_is_said() -> None:
    """Today 1 April, arrival 6 April: no day seven days before."""
    (due,) = plan_papers(
        [make_paper("influenza", "2026-09-01")],
        [away("S1", "2027-04-06", "2027-04-12")],
        today="2027-04-01",
    )
    assert due.day is None
    assert "too late" in str(due.reason)


def test_the_days_on_the_road_are_not_at_home() -> None:
    """Spans of `away` shut their days for the vet at home."""
    stays = [away("S1", "2027-04-06", "2027-04-12")]
    yard = make_ruled_yard("us", papers=[make_paper("influenza", "2026-10-01")])
    shut = [span("2027-03-08", "2027-03-12")]
    (due,) = plan_visits(yard, yard.horses[0], stays, away=shut).papers
    assert due.day == day("2027-03-13")


def test_a_test_is_drawn_early_enough_for_the_laboratory() -> None:
    """12 months from 3 April 2026; arrival Tuesday 6 April 2027 - 7 business days = 26 March.

    Back from the 6th: 6, 5, 2, 1 April, 31, 30, 29 March are seven, Friday the 26th before
    them. 21 days before it is 5 March; no days are shut but those away.
    """
    stays = [away("S0", "2027-03-03", "2027-03-06"), away("S1", "2027-04-06", "2027-04-12")]
    (due,) = plan_papers([make_paper("coggins", "2026-04-03")], stays)
    assert (due.paper, due.limit) == ("coggins", day("2027-03-26"))
    assert due.day == day("2027-03-07")


def test_a_planned_dose_serves_the_later_shows() -> None:
    """One dose in March covers April and May; none is planned twice."""
    stays = [away("S1", "2027-04-06", "2027-04-12"), away("S2", "2027-05-11", "2027-05-16")]
    papers = [make_paper("influenza", "2026-10-01"), make_paper("herpes", "2026-10-01")]
    found = plan_papers(papers, stays)
    assert [(d.paper, d.show) for d in found] == [("herpes", "S1"), ("influenza", "S1")]


def test_a_broken_course_takes_two_doses() -> None:
    """FEI: dose 1 January 2026 is over a year old; first dose 1 March, second 21 days later."""
    found = plan_papers(
        [make_paper("influenza", "2026-01-01")],
        [away("S1", "2027-04-20", "2027-04-25")],
        books=("fei",),
    )
    assert [d.day for d in found] == [day("2027-03-01"), day("2027-03-22")]


PLANS = st.lists(
    st.tuples(st.integers(0, 9), st.integers(3, 9), st.integers(1, 25)), min_size=1, max_size=6
)


@settings(max_examples=60)
@given(PLANS, st.dates(date(2026, 2, 1), date(2027, 2, 28)), st.sampled_from(["us", "fei", "gb"]))
def test_windows_never_overlap_a_blackout(plan, dose: date, book: str) -> None:
    """No legal day lies in a stay, before tomorrow, or within 7 days before an arrival."""
    stays, start = [], date(2027, 3, 1)
    for i, (gap, length, rest) in enumerate(plan):
        arrive = start + timedelta(days=gap + rest)
        start = arrive + timedelta(days=length)
        stays.append(Away(f"S{i}", arrive, start))
    found = plan_papers(
        [make_paper(kind, dose) for kind in ("influenza", "herpes", "coggins")],
        stays,
        books=(book,),
    )
    for due in found:
        for window in due.windows:
            assert window.first > date(2027, 2, 28)
            for stay in stays:
                shut = 0 if due.paper == "coggins" else 6
                blackout = DaySpan(stay.arrive - timedelta(days=shut), stay.leave)
                assert not window.overlaps(blackout)
        assert due.day is None or any(due.day in window for window in due.windows)
