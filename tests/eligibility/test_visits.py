"""When the vet comes: the fewest visits, against trying everything out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import combinations, product

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.build import day, make_absence, make_paper, make_show, make_yard
from tripkit.eligibility.visits import Look, plan_visits
from tripkit.rulebooks import known_rule_books, load_rule_books
from tripkit.yard.days import DaySpan, add_months
from tripkit.yard.facts import state
from tripkit.yard.people import Person

BOOKS = load_rule_books(known_rule_books())
TODAY = date(2027, 2, 28)
SHUT_DAYS = 7


@dataclass(frozen=True)
class Away:
    """A stay by hand."""

    show: str
    arrive: date
    leave: date


def make_stays(*spans: tuple[str, str]) -> list[Away]:
    return [Away(f"S{i}", day(a), day(b)) for i, (a, b) in enumerate(spans)]


def plan(papers, stays, looks=(), *, books=("us",), **changes):
    """The visits of Dancer under these books; each show begins the day after the arrival."""
    shows = [make_show(s.show, s.arrive + timedelta(days=1), s.leave) for s in stays]
    yard = make_yard(paper_rules=books, rule_books=BOOKS, papers=papers, shows=shows, **changes)
    why = state("visits.look-after", show="S0")
    asked = [Look(tuple(map(day, days)), why) for days in looks]
    return plan_visits(yard, yard.horses[0], stays, looks=asked)


# The oracle: months and blackout as written in the rules, every set of days tried.


def is_covered(doses: Sequence[date], arrive: date) -> bool:
    """Within 6 calendar months before the arrival, none on the 7 days before it.

    **Source:** USEF Rule Book, GR845 (6 months); FEI Veterinary Regulations 2019, Art. 1003.4-5 and
    BHA E-18.6 (none within 7 days: D-7 is allowed).
    """
    known = [d for d in doses if d <= arrive]
    if any(0 <= (arrive - d).days < SHUT_DAYS for d in known):
        return False
    return bool(known) and arrive <= add_months(max(known), 6)


def list_shortest(first: date, stays: Sequence[Away], open_days: Sequence[date], most: int = 2):
    """Every smallest set of at most so many doses that leaves the fewest stays without cover."""
    best: tuple[int, int] | None = None
    found: list[tuple[date, ...]] = []
    for number in range(most + 1):
        for days in combinations(open_days, number):
            left_out = sum(not is_covered((first, *days), stay.arrive) for stay in stays)
            key = (left_out, number)
            if best is None or key < best:
                best, found = key, []
            if key == best:
                found.append(days)
    return best, found


def count_fewest_visits(choices: Iterable[Sequence[tuple[date, ...]]]) -> int:
    """The fewest different days, trying every combination."""
    return min(len({d for days in way for d in days}) for way in product(*choices))


def list_open(stays: Sequence[Away], absences: Sequence[tuple[date, date]]) -> list[date]:
    last = max(stay.arrive for stay in stays)
    days = [TODAY + timedelta(days=i) for i in range(1, (last - TODAY).days + 1)]
    return [
        d
        for d in days
        if not any(s.arrive - timedelta(days=SHUT_DAYS - 1) <= d <= s.leave for s in stays)
        and not any(a <= d <= b for a, b in absences)
    ]


STAYS = st.lists(st.tuples(st.integers(9, 20), st.integers(2, 5)), min_size=1, max_size=3)


@settings(max_examples=60)
@given(
    STAYS,
    st.dates(date(2026, 9, 1), date(2026, 11, 10)),
    st.dates(date(2026, 9, 1), date(2026, 11, 10)),
    st.lists(st.tuples(st.integers(1, 50), st.integers(1, 3)), max_size=2),
)
def test_the_fewest_visits_are_those_of_trying_everything(gaps, flu, rhino, asked) -> None:
    """Two vaccines and up to two looks: as many stays covered, doses and visits as the best."""
    stays, here = [], TODAY
    for i, (wait, length) in enumerate(gaps):
        arrive = here + timedelta(days=wait)
        here = arrive + timedelta(days=length)
        stays.append(Away(f"S{i}", arrive, here))
    looks = [
        tuple(TODAY + timedelta(days=start + i) for i in range(length)) for start, length in asked
    ]
    found = plan([make_paper("influenza", flu), make_paper("herpes", rhino)], stays, looks)

    open_days = list_open(stays, [])
    choices = []
    for kind, dose in (("influenza", flu), ("herpes", rhino)):
        best, ways = list_shortest(dose, stays, open_days)
        assert best is not None
        given_days = [v.day for v in found.visits for p in v.papers if p.paper == kind]
        covered = [is_covered((dose, *given_days), stay.arrive) for stay in stays]
        assert (covered.count(False), len(given_days)) == best
        assert all(d in open_days for d in given_days)
        choices.append(ways)
    choices += [[(d,) for d in look] for look in looks]
    assert len(found.visits) == count_fewest_visits(choices)
    for number, look in enumerate(looks):
        assert [v.day in look for v in found.visits if number in v.looks] == [True]


THREE_DOSES = {1, 2, 49, 116, 147, 195, 226, 241}
"""Days at home of a season in which two doses leave a show without cover."""


@settings(max_examples=15)
@given(
    st.lists(st.integers(20, 40), min_size=5, max_size=7),
    st.dates(date(2026, 9, 5), date(2026, 10, 20)),
    st.dates(date(2026, 9, 5), date(2026, 10, 20)),
    st.sets(st.integers(1, 280), min_size=8, max_size=12),
)
@example([34, 35, 38, 36, 39, 23, 29], date(2026, 9, 5), date(2026, 9, 5), THREE_DOSES)
def test_a_long_season_is_covered_with_the_fewest_visits(waits, flu, rhino, free) -> None:
    """Up to four doses of each vaccine in a year in which the horse is at home on few days."""
    stays, here = [], TODAY
    for i, wait in enumerate(waits):
        arrive = here + timedelta(days=wait)
        here = arrive + timedelta(days=3)
        stays.append(Away(f"S{i}", arrive, here))
    at_home = sorted(TODAY + timedelta(days=i) for i in free)
    absences, begin = [], TODAY
    for d in [*at_home, date(2028, 1, 1)]:
        if (d - begin).days > 1:
            absences.append((begin + timedelta(days=1), d - timedelta(days=1)))
        begin = d
    found = plan(
        [make_paper("influenza", flu), make_paper("herpes", rhino)],
        stays,
        season=_season_of(stays),
        absences=[make_absence("Dancer", a, b) for a, b in absences],
    )
    open_days = list_open(stays, absences)
    choices = []
    for kind, dose in (("influenza", flu), ("herpes", rhino)):
        best, ways = list_shortest(dose, stays, open_days, most=4)
        given_days = [v.day for v in found.visits for p in v.papers if p.paper == kind]
        covered = [is_covered((dose, *given_days), stay.arrive) for stay in stays]
        assert (covered.count(False), len(given_days)) == best
        choices.append(ways)
    assert len(found.visits) == count_fewest_visits(choices)


def _season_of(stays: Sequence[Away]):
    return DaySpan(date(2027, 3, 1), stays[-1].leave + timedelta(days=2))


def test_a_dose_is_given_on_the_day_of_a_look() -> None:
    """Dose 1 October covers to 1 April; look on 20 March, arrival 6 April: one visit, on the 20th.

    Alone it would be given on 9 March, 21 days before the last useful day (30 March).
    """
    stays = make_stays(("2027-04-06", "2027-04-12"))
    found = plan([make_paper("influenza", "2026-10-01")], stays, [("2027-03-20",)])
    assert [(v.day, len(v.papers), v.looks) for v in found.visits] == [(day("2027-03-20"), 1, (0,))]
    alone = plan([make_paper("influenza", "2026-10-01")], stays)
    assert [v.day for v in alone.visits] == [day("2027-03-09")]


def test_both_vaccines_and_the_blood_test_are_one_visit() -> None:
    """All three run out before 6 April; every day from 1 to 26 March suits all of them.

    Laboratory: 7 business days before Tuesday 6 April is Friday 26 March.
    """
    papers = [make_paper(kind, "2026-10-01") for kind in ("influenza", "herpes")]
    found = plan(
        [*papers, make_paper("coggins", "2026-03-20")], make_stays(("2027-04-06", "2027-04-12"))
    )
    (visit,) = found.visits
    assert sorted(p.paper for p in visit.papers) == ["coggins", "herpes", "influenza"]
    assert day("2027-03-01") <= visit.day <= day("2027-03-26")


def test_a_visit_is_on_a_day_on_which_a_vet_is_there() -> None:
    """With the only vet away from 5 to 25 March the dose waits for the 26th."""
    found = plan(
        [make_paper("influenza", "2026-10-01")],
        make_stays(("2027-04-06", "2027-04-12")),
        people=[Person("Ana", "rider"), Person("Vera", "vet")],
        absences=[make_absence("Vera", "2027-03-05", "2027-03-25")],
    )
    assert [v.day for v in found.visits] == [day("2027-03-26")]


def test_looks_of_one_day_are_one_visit() -> None:
    """The look after a show (12 to 14 April) and a recheck by the 13th meet on the 12th."""
    found = plan([], [], [("2027-04-12", "2027-04-13", "2027-04-14"), ("2027-04-13", "2027-04-12")])
    assert len(found.visits) == 1
    assert found.visits[0].looks == (0, 1)


@pytest.mark.parametrize("looks", [[()], []])
def test_nothing_to_do_is_no_visit(looks) -> None:
    """No papers that run out and no look with a day: nobody comes."""
    assert plan([], make_stays(("2027-04-06", "2027-04-12")), looks).visits == ()
