"""Findings of classes, papers and clearance, and the papers a plan needs."""

from __future__ import annotations

import gc
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.bench.findings import make_big_yard
from tests.build import (
    day,
    make_class,
    make_horse,
    make_paper,
    make_rider,
    make_roads,
    make_show,
    make_vet_check,
    make_yard,
    span,
)
from tripkit.eligibility import checklist
from tripkit.eligibility.categories import compute_horse_age, fits_rider_category, normalise_level
from tripkit.eligibility.checklist import findings
from tripkit.eligibility.classes import (
    find_books,
    find_class_findings,
    find_clearance_finding,
    fits_class,
    is_cleared,
)
from tripkit.eligibility.paperwork import Paperwork, find_paper_findings, find_rider_findings
from tripkit.rulebooks import known_rule_books, load_rule_books
from tripkit.yard.days import DaySpan
from tripkit.yard.people import Person
from tripkit.yard.places import Place

BOOKS = load_rule_books(known_rule_books())
FEI, US = load_rule_books(["fei", "us"])


def make_ruled_yard(*books: str, **changes):
    """A yard under these rule books."""
    return make_yard(paper_rules=books, rule_books=BOOKS, **changes)


def judge_class(offered, horse=None, rider=None, **changes):
    """The findings of one class for Dancer and Ana by rule, and whether it fits."""
    horse = horse or make_horse()
    rider = rider or make_rider()
    show = changes.pop("show", None) or make_show(classes=[offered])
    yard = make_ruled_yard(
        *changes.pop("books", ()), horses=[horse], shows=[show], people=[rider], **changes
    )
    found = find_class_findings(yard, horse, show, offered, rider)
    return {f.rule: f for f in found}, fits_class(yard, horse, offered, rider)


def judge_papers(yard, arrive: str = "2027-04-07", last: str = "2027-04-10"):
    found = find_paper_findings(yard, yard.horses[0], yard.shows[0], day(arrive), day(last))
    return {f.rule: f for f in found}


# Ages


@pytest.mark.parametrize(
    ("born", "on", "southern", "age"),
    [
        # Check 20: foaled north 30 June 2019, on 2 January 2026
        ("2019-06-30", "2026-01-02", False, 7),
        ("2019-06-30", "2025-12-31", False, 6),
        ("2019-06-30", "2026-01-01", False, 7),
        # Check 20: foaled south 15 October 2018, the day before and on 1 August 2026
        ("2018-10-15", "2026-07-31", True, 7),
        ("2018-10-15", "2026-08-01", True, 8),
        # A leap day's foal ages like any other
        ("2020-02-29", "2027-01-01", False, 7),
        ("2020-02-29", "2020-12-31", False, 0),
    ],
)
def test_horses_age_on_1_january_and_in_the_south_on_1_august(
    born: str, on: str, southern: bool, age: int
) -> None:
    """General practice of horse sport; check 20."""
    assert compute_horse_age(day(born), day(on), southern) == age


@pytest.mark.parametrize(
    ("born", "category", "fits"),
    [
        # Check 17, year 2026: FEI General Regulations, Appendix A, Art. 124
        ("2010-12-31", "children", False),
        ("2010-12-31", "pony", True),
        ("2010-12-31", "junior", True),
        ("2010-12-31", "young", True),
        ("2010-12-31", "u25", True),
        ("2010-12-31", "senior", False),
        ("2008-01-01", "junior", True),
        ("2008-01-01", "pony", False),
        ("2008-01-01", "senior", True),
        # first and last years of each category
        ("2007-12-31", "junior", False),
        ("2013-01-01", "junior", False),
        ("2012-12-31", "junior", True),
        ("2005-01-01", "young", True),
        ("2004-12-31", "young", False),
    ],
)
def test_fei_riders_have_the_age_they_reach_in_the_year(
    born: str, category: str, fits: bool
) -> None:
    """Check 17: the calendar year counts, not the birthday."""
    rule = FEI.find_rule(f"rider-{category}", date(2026, 5, 1))
    assert rule is not None
    assert fits_rider_category(day(born), date(2026, 5, 1), rule) is fits


@pytest.mark.parametrize(
    ("born", "on", "junior"),
    [
        # Check 18: competition year from 1 December 2025
        ("2007-12-05", "2025-12-01", True),
        ("2007-12-05", "2026-11-30", True),
        ("2007-12-02", "2026-06-01", True),
        ("2007-12-01", "2025-12-01", False),
        ("2007-12-01", "2026-11-30", False),
        ("2007-12-01", "2025-11-30", True),
        ("2007-12-05", "2026-12-01", False),
    ],
)
def test_us_juniors_are_not_18_on_1_december(born: str, on: str, junior: bool) -> None:
    """Check 18: USEF GR127 as quoted; a birthday on 1 December counts as the greater age."""
    rule = US.find_rule("rider-junior", day(on))
    assert rule is not None
    assert fits_rider_category(day(born), day(on), rule) is junior


@pytest.mark.parametrize(
    ("level", "youngest"),
    [
        ("CSI1*", 6),
        ("CSI2*", 6),
        ("CSIO 2*", 6),
        ("CSI3*", 7),
        ("CSI4*-W", 7),
        ("CSIO5*", 7),
        ("Regional Games", 8),
        ("Continental Championship", 8),
        ("World Cup Final", 8),
        ("Olympic Games", 9),
        ("World Championship", 9),
    ],
)
def test_the_level_of_a_show_asks_a_minimum_age(level: str, youngest: int) -> None:
    """Check 19: FEI Jumping Rules, Art. 200.7, proposals 2005 (2026 edition to be verified)."""
    show = make_show(level=level, rules="fei")
    for age in range(5, 10):
        horse = make_horse(born=date(2027 - age, 6, 1))
        found, fits = judge_class(show.classes[0], horse, show=show, books=("fei",))
        assert found["minimum-age"].answer == ("ok" if age >= youngest else "barred")
        assert fits is (age >= youngest)


def test_young_horse_classes_and_other_books_have_no_level_age() -> None:
    """Classes with ages of their own, and shows under no such book, ask their own ages only."""
    horse = make_horse(born="2022-05-01")
    young = make_class(youngest_horse=5, oldest_horse=5)
    show = make_show(level="CSI2*", classes=[young])
    found, fits = judge_class(young, horse, show=show, books=("fei",))
    assert fits
    assert "minimum-age" not in found
    plain = make_show(level="CSI2*")
    assert judge_class(plain.classes[0], horse, show=plain, books=("us",))[1]


def test_levels_are_compared_without_their_writing() -> None:
    """Blanks, dashes, "cat." and the O of an official show make no difference."""
    assert normalise_level("csio 3*") == normalise_level("CSI3*")
    assert normalise_level("CSI-J cat. B") == normalise_level("CSIJ-B")


# Classes


@pytest.mark.parametrize(("height", "fits"), [(109, False), (110, True), (130, True), (131, False)])
def test_a_class_fits_from_the_lowest_to_the_highest_height(height: int, fits: bool) -> None:
    """Rule `eligible`, DEVELOPERS.md: Dancer jumps 110 to 130 cm, both included."""
    found, fitting = judge_class(make_class(height_cm=height))
    assert fitting is fits
    assert found["height"].answer == ("ok" if fits else "barred")
    assert str(height) in str(found["height"].reason)


@pytest.mark.parametrize(
    ("youngest", "oldest", "fits"),
    [(10, None, True), (11, None, False), (None, 10, True), (None, 9, False), (10, 10, True)],
)
def test_a_horses_age_lies_within_the_classs(
    youngest: int | None, oldest: int | None, fits: bool
) -> None:
    """Rule `eligible`, DEVELOPERS.md: Dancer, born 2017, is 10 in 2027."""
    offered = make_class(youngest_horse=youngest, oldest_horse=oldest)
    found, fitting = judge_class(offered)
    assert fitting is fits
    assert found["age"].answer == ("ok" if fits else "barred")


def test_south_of_the_equator_the_age_turns_in_august() -> None:
    """Foaled 15 October 2018: 7 on 31 July 2026 and 8 on 1 August (check 20)."""
    horse = make_horse(born="2018-10-15")
    first = make_class("C1", "2026-07-31", youngest_horse=8)
    second = make_class("C2", "2026-08-01", youngest_horse=8)
    show = make_show(first="2026-07-31", classes=[first, second])
    yard = make_yard(
        southern=True, season=("2026-07-01", "2026-09-30"), horses=[horse], shows=[show]
    )
    assert not fits_class(yard, horse, first, yard.riders["Ana"])
    assert fits_class(yard, horse, second, yard.riders["Ana"])


@pytest.mark.parametrize("division", ["junior", "amateur"])
@pytest.mark.parametrize("status", ["", "junior", "young", "amateur", "professional"])
def test_junior_and_amateur_classes_ask_for_that_status(division: str, status: str) -> None:
    """Rule `eligible`, DEVELOPERS.md; an unknown status does not fit."""
    found, fits = judge_class(make_class(division=division), rider=make_rider(status=status))
    assert fits is (division == status)
    assert (found["division"].answer == "barred") is (division != status)


@pytest.mark.parametrize(
    ("division", "code"),
    [("open", "any-rider"), ("young", "young-horses"), ("", "any-rider"), ("pony", "any-rider")],
)
def test_other_divisions_are_open_to_any_rider(division: str, code: str) -> None:
    """Only junior and amateur classes ask for a status; a young class is one for young horses."""
    found, fits = judge_class(make_class(division=division), rider=make_rider(status=""))
    assert fits
    assert found["division"].reason.code == f"eligibility.{code}"


def test_a_junior_whose_birth_speaks_against_it_is_unknown_and_not_barred() -> None:
    """Born 1990, written as junior: the status of people.csv fits, the finding asks."""
    rider = make_rider(status="junior")
    found, fits = judge_class(make_class(division="junior"), rider=rider, books=("us",))
    assert fits
    assert found["division"].answer == "unknown"
    right = make_rider(status="junior", born="2010-05-01")
    found, _ = judge_class(make_class(division="junior"), rider=right, books=("us",))
    assert found["division"].answer == "ok"


def test_a_horse_that_names_a_rider_has_no_other() -> None:
    """Rule `rider`, DEVELOPERS.md."""
    found, fits = judge_class(make_class(), make_horse(rider=""), make_rider("Ben"))
    assert fits
    horse = make_horse()
    yard = make_yard(horses=[horse], people=[make_rider(), make_rider("Ben")])
    offered = yard.shows[0].classes[0]
    assert not fits_class(yard, horse, offered, yard.riders["Ben"])
    found = find_class_findings(yard, horse, yard.shows[0], offered, yard.riders["Ben"])
    assert [f.rule for f in found if f.answer == "barred"] == ["rider"]


def test_who_is_no_rider_does_not_ride() -> None:
    """A groom of the yard fits no class."""
    groom = Person("Gus", "groom")
    horse = make_horse(rider="")
    yard = make_yard(horses=[horse], people=[make_rider(), groom])
    assert not fits_class(yard, horse, yard.shows[0].classes[0], groom)


def test_without_a_rider_given_any_rider_of_the_horse_will_do() -> None:
    """A junior class fits a horse without a named rider where the yard has a junior."""
    offered = make_class(division="junior")
    people = [make_rider(), make_rider("Jo", status="junior")]
    free, named = make_horse("Free", rider=""), make_horse("Named")
    show = make_show(classes=[offered])
    yard = make_yard(horses=[free, named], people=people, shows=[show])
    assert fits_class(yard, free, offered)
    assert not fits_class(yard, named, offered)


def test_every_rule_of_a_class_has_one_finding() -> None:
    """Rules that hold are answered too."""
    found, _ = judge_class(make_class())
    assert sorted(found) == ["age", "division", "height", "rider"]
    assert {f.answer for f in found.values()} == {"ok"}
    assert all(f.reason and f.source for f in found.values())


@given(
    st.integers(95, 145),
    st.sampled_from(["open", "junior", "amateur", "young"]),
    st.sampled_from([None, 5, 6, 8]),
    st.sampled_from([None, 8, 12]),
    st.integers(4, 13),
    st.sampled_from(["", "junior", "amateur", "professional"]),
    st.sampled_from(["", "Ana", "Ben"]),
    st.sampled_from(["", "CSI2*", "CSI3*"]),
    st.booleans(),
)
def test_a_class_fits_exactly_where_no_finding_bars(
    height, division, youngest, oldest, age, status, named, level, given_rider
) -> None:
    """The fast answer and the one in words agree."""
    offered = make_class(
        height_cm=height, division=division, youngest_horse=youngest, oldest_horse=oldest
    )
    show = make_show(classes=[offered], level=level)
    horse = make_horse(born=date(2027 - age, 4, 1), rider=named)
    people = [make_rider("Ana", status=status), make_rider("Ben")]
    yard = make_ruled_yard("fei", horses=[horse], shows=[show], people=people)
    rider = people[0] if given_rider else None
    found = find_class_findings(yard, horse, show, offered, rider)
    assert fits_class(yard, horse, offered, rider) is all(f.answer != "barred" for f in found)


# Clearance


def test_a_horse_not_cleared_waits_for_a_later_row() -> None:
    """Handbook, Files, vet_checks.csv: from the day of the check that clears it, it jumps."""
    checks = [make_vet_check("2027-03-20"), make_vet_check("2027-03-10", cleared=False, grade=2)]
    yard = make_yard(vet_checks=checks)
    horse = yard.horses[0]
    cleared = [is_cleared(yard, horse, date(2027, 3, d)) for d in (9, 10, 19, 20)]
    assert cleared == [True, False, False, True]


def test_of_two_checks_on_one_day_the_later_row_holds() -> None:
    """Rows of one day stand in the order in which they were written."""
    yard = make_yard(
        vet_checks=[make_vet_check("2027-03-10", False), make_vet_check("2027-03-10", True)]
    )
    assert is_cleared(yard, yard.horses[0], date(2027, 3, 10))


@pytest.mark.parametrize(
    "found", [{"limb": "lf"}, {"grade": 1}, {"grade": 5}, {"recheck_by": "2027-04-01"}]
)
def test_an_empty_answer_clears_nobody(found: dict) -> None:
    """Handbook, Files: with a limb, a grade of 1 or more or a recheck it is not cleared."""
    yard = make_yard(
        vet_checks=[make_vet_check("2027-03-01"), make_vet_check("2027-03-10", None, **found)]
    )
    horse = yard.horses[0]
    assert is_cleared(yard, horse, date(2027, 3, 9))
    assert not is_cleared(yard, horse, date(2027, 3, 10))
    assert find_clearance_finding(yard, horse, date(2027, 3, 10)).answer == "barred"


@pytest.mark.parametrize("grade", [None, 0])
@pytest.mark.parametrize("before", [False, True])
def test_an_appointment_leaves_what_stood_before(grade: int | None, before: bool) -> None:
    """Handbook, Files: a row without a sign and without an answer says nothing yet."""
    yard = make_yard(
        vet_checks=[
            make_vet_check("2027-03-10", None, grade=grade),
            make_vet_check("2027-03-01", before),
            make_vet_check("2027-03-01", None, grade=grade),
        ]
    )
    horse = yard.horses[0]
    assert is_cleared(yard, horse, date(2027, 3, 12)) is before
    assert "2027-03-01" in str(find_clearance_finding(yard, horse, date(2027, 3, 12)).reason)


def test_another_horses_check_says_nothing() -> None:
    """Each horse has its own checks."""
    yard = make_yard(
        horses=[make_horse(), make_horse("Bella")],
        vet_checks=[make_vet_check("2027-03-10", False, horse="Bella")],
    )
    assert is_cleared(yard, yard.horses[0], date(2027, 3, 11))


def test_the_clearance_finding_names_the_check() -> None:
    """Not cleared: barred, with the day of the next check; no check: nothing bars."""
    check = make_vet_check("2027-02-20", False, limb="lf", grade=2, recheck_by="2027-03-06")
    yard = make_yard(vet_checks=[check])
    found = find_clearance_finding(yard, yard.horses[0])
    assert (found.answer, found.due_by) == ("barred", day("2027-03-06"))
    assert "lf, grade 2 of 5" in str(found.reason)
    assert find_clearance_finding(make_yard(), make_horse()).answer == "ok"


# Papers


def test_an_empty_list_of_rule_books_asks_for_nothing() -> None:
    """Handbook, Files: `[papers] rules` empty: none, whatever a show names."""
    yard = make_ruled_yard(shows=[make_show(rules="fei")])
    assert find_books(yard, yard.shows[0]) == ()
    assert judge_papers(yard) == {}


def test_a_shows_own_book_applies_besides_the_yards() -> None:
    """The yard's books hold everywhere, the show's at that show."""
    yard = make_ruled_yard("us", shows=[make_show("S1", rules="fei"), make_show("S2")])
    assert {book.id for book in find_books(yard, yard.shows[0])} == {"us", "fei"}
    assert {book.id for book in find_books(yard, yard.shows[1])} == {"us"}


def test_without_rows_every_paper_asked_for_is_unknown() -> None:
    """Nothing known does not bar."""
    found = judge_papers(make_ruled_yard("us", "fei"))
    assert {f.answer for f in found.values()} == {"unknown"}
    assert set(found) == {
        "influenza-to-compete",
        "herpes-to-compete",
        "coggins-validity",
        "passport-validity",
        "registration-validity",
    }


def test_good_papers_are_ok() -> None:
    """Every paper of a horse in order, under both books."""
    papers = [
        make_paper("influenza", "2027-01-15"),
        make_paper("herpes", "2027-01-15"),
        make_paper("coggins", "2026-06-01"),
        make_paper("passport", "2025-05-01"),
        make_paper("registration", "2027-01-02"),
    ]
    found = judge_papers(make_ruled_yard("us", "fei", papers=papers))
    assert {f.answer for f in found.values()} == {"ok"}
    assert all(f.horse == "Dancer" and f.show == "S1" for f in found.values())


def test_a_due_dose_has_its_last_day_and_its_window() -> None:
    """Dose 1 July 2026 + 6 months = 1 January 2027 (USEF GR845); arrival 7 April - 7 days."""
    yard = make_ruled_yard("us", papers=[make_paper("influenza", "2026-07-01")])
    found = judge_papers(yard)["influenza-to-compete"]
    assert (found.answer, found.due_by) == ("due", day("2027-03-31"))
    assert found.window == span("2027-03-01", "2027-03-31")
    assert "vet decide" in str(found.reason)


def test_the_region_of_a_show_chooses_how_long_a_test_holds() -> None:
    """Old state table (Oregon): Alaska 6 months, Michigan the calendar year; check 12."""
    paper = make_paper("coggins", "2026-09-15")
    answers = {}
    for region in ("", "AK", "MI", "FL"):
        roads = make_roads(["Millbrook"])
        place = Place("Millbrook", 41.0, -79.0, "America/New_York", "US", region)
        roads = type(roads)({**roads.places, "Millbrook": place}, dict(roads.drives))
        found = judge_papers(make_ruled_yard("us", papers=[paper], roads=roads))
        answers[region] = next(f.answer for r, f in found.items() if r.startswith("coggins"))
    assert answers == {"": "ok", "AK": "due", "MI": "due", "FL": "ok"}


@pytest.mark.parametrize(
    ("level", "country", "rule"),
    [
        # Check 16: FEI General Regulations 2026, Art. 137, Appendix E
        ("CSI2*", "US", "passport-free-levels"),
        ("CSI2*", "CA", "passport-validity"),
        ("CSI3*", "US", "passport-validity"),
        ("CSI-J cat. A", "US", "passport-free-levels"),
    ],
)
def test_minor_shows_in_the_own_country_need_no_passport(
    level: str, country: str, rule: str
) -> None:
    """Check 16: a lapsed passport matters abroad and at higher levels only."""
    paper = make_paper("passport", "2022-01-01", valid_until="2026-01-01")
    yard = make_ruled_yard("fei", papers=[paper], shows=[make_show(level=level, country=country)])
    found = judge_papers(yard)
    assert rule in found
    assert found[rule].answer == ("ok" if rule == "passport-free-levels" else "due")


def test_a_health_certificate_is_asked_for_each_journey_abroad() -> None:
    """EU 2020/688 Art. 91: 10 days; issued 1 April 2027 it holds to the 11th, not the 13th.

    Arrival on 7 April is covered; the way home on 13 April (last class the 12th) asks for one
    given from the 11th (Art. 91(2)(b): examined within 48 hours before the 13th) to the 12th.
    """
    paper = make_paper("health_certificate", "2027-04-01")
    abroad = make_ruled_yard("eu", papers=[paper], shows=[make_show(country="FR")])
    found = judge_papers(abroad, last="2027-04-12")
    assert found["health_certificate-validity"].answer == "ok"
    home = found["health_certificate-home"]
    assert (home.answer, home.window) == ("due", span("2027-04-11", "2027-04-12"))
    # Home on the 11th, the last day covered
    short = judge_papers(abroad, last="2027-04-10")
    assert short["health_certificate-home"].answer == "ok"
    assert "health_certificate-validity" not in judge_papers(make_ruled_yard("eu", papers=[paper]))


def test_a_riders_papers_name_the_person() -> None:
    """FEI General Regulations, Art. 113: riders register for the year as horses do."""
    papers = [
        make_paper("registration", "2026-03-01", "Ana"),
        make_paper("licence", "2026-03-01", "Ana", valid_until="2027-12-31"),
    ]
    yard = make_ruled_yard("fei", papers=papers)
    found = find_rider_findings(
        yard, yard.riders["Ana"], yard.shows[0], span("2027-04-08", "2027-04-10")
    )
    assert {f.rule: f.answer for f in found} == {"registration-validity": "due", "licence": "ok"}
    assert {(f.person, f.horse) for f in found} == {("Ana", "")}


# The whole yard


def test_what_is_to_be_done_first_stands_first() -> None:
    """Barred, due by date, unknown, ok."""
    papers = [
        make_paper("influenza", "2026-07-01"),
        make_paper("herpes", "2027-02-01"),
        make_paper("coggins", "2026-03-20"),
    ]
    yard = make_ruled_yard(
        "us",
        "fei",
        papers=papers,
        vet_checks=[make_vet_check("2027-02-01", False)],
        shows=[make_show("S1"), make_show("S2", "2027-05-05")],
    )
    found = findings(yard)
    order = ["barred", "due", "unknown", "ok"]
    assert [order.index(f.answer) for f in found] == sorted(order.index(f.answer) for f in found)
    due = [f.due_by for f in found if f.answer == "due"]
    assert len(due) >= 3
    assert due == sorted(due)
    assert found[0].rule == "cleared"


def test_shows_without_a_class_of_the_height_are_left_out() -> None:
    """A horse of 110 to 130 cm has nothing to ask at a show of 140 cm."""
    tall = make_show(
        "S2", "2027-05-05", classes=[make_class("G", "2027-05-06", "S2", height_cm=140)]
    )
    found = findings(make_ruled_yard("us", shows=[make_show("S1"), tall]))
    assert {f.show for f in found} == {"", "S1"}


def test_shows_that_are_past_are_left_out() -> None:
    """Classes before today are not to be jumped any more; one of today still is."""
    assert {f.show for f in findings(make_yard(today="2027-04-10"))} == {"", "S1"}
    assert {f.show for f in findings(make_yard(today="2027-04-11"))} == {""}


def test_the_classes_of_a_show_are_summed_up() -> None:
    """One finding `eligible`: ok where a class fits, barred with each reason where none does."""
    open_class = make_class()
    junior = make_class("J", division="junior")
    both = findings(make_yard(shows=[make_show(classes=[open_class, junior])]))
    (eligible,) = [f for f in both if f.rule == "eligible"]
    assert eligible.answer == "ok"
    assert "1 of 2 classes" in str(eligible.reason)
    none = findings(make_yard(shows=[make_show(classes=[junior])]))
    (eligible,) = [f for f in none if f.rule == "eligible"]
    assert eligible.answer == "barred"
    assert "J: the class is for junior riders (Ana: professional)" in str(eligible.reason)


def test_papers_are_asked_for_from_the_day_before_the_first_class_that_fits() -> None:
    """First class that fits 10 April: arrival on the 9th, last dose day 2 April."""
    classes = [make_class("J", division="junior"), make_class("C", "2027-04-10")]
    yard = make_ruled_yard(
        "us",
        papers=[make_paper("influenza", "2026-07-01")],
        shows=[make_show(classes=classes)],
    )
    (due,) = [f for f in findings(yard) if f.answer == "due"]
    assert due.due_by == day("2027-04-02")


def test_findings_read_each_course_and_document_once() -> None:
    """Horses whose rows say the same share one course for each book and vaccination."""
    yard = make_big_yard(12, 8)
    paperwork = Paperwork(yard)
    for horse in yard.horses:
        for show in yard.shows:
            paperwork.list_findings(horse, show, DaySpan(show.days.first, show.days.last))
    # Horses i and i + 6 have doses in the same two months: six sets of dates. Influenza under two
    # books, herpes under one.
    assert len(paperwork._doses) == 6 * 3
    found = findings(yard)
    assert len(found) > 12 * 8


@pytest.mark.parametrize("was_on", [True, False])
def test_the_collector_rests_while_findings_are_made_and_is_then_as_it_was(was_on, monkeypatch):
    """Also where they cannot be made; whoever had turned it off before finds it off."""
    seen: list[bool] = []

    def fail(yard):
        seen.append(gc.isenabled())
        raise KeyError(yard.name)

    monkeypatch.setattr(checklist, "_list_findings", fail)
    (gc.enable if was_on else gc.disable)()
    try:
        with pytest.raises(KeyError):
            findings(make_yard())
        assert (seen, gc.isenabled()) == ([False], was_on)
    finally:
        gc.enable()
