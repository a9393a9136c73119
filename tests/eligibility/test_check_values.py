"""Dates of published rules, each worked out by hand: the last legal day and the first illegal one.

The numbers of the tests are those of the project's list of check values (1 to 24); values that
other tests of these rooms hold already are named there. Sources stand beside the numbers.
"""

from __future__ import annotations

import dataclasses
from datetime import date

import pytest

from tests.build import (
    day,
    make_class,
    make_entry,
    make_horse,
    make_paper,
    make_result,
    make_rider,
    make_roads,
    make_show,
    make_yard,
    span,
)
from tripkit.eligibility.categories import (
    compute_horse_age,
    find_entry_day,
    find_young_height,
    find_young_start,
    is_too_soon_after,
)
from tripkit.eligibility.checklist import findings
from tripkit.eligibility.classes import find_class_findings, fits_class
from tripkit.eligibility.documents import assess_temperatures
from tripkit.eligibility.paperwork import (
    find_entry_finding,
    find_paper_findings,
    find_rider_findings,
)
from tripkit.eligibility.validity import find_first_day, find_last_day, find_next_window
from tripkit.rulebooks import known_rule_books, load_rule_books
from tripkit.yard.places import Place

BOOKS = load_rule_books(known_rule_books())
BOOK = {book.id: book for book in BOOKS}


def pick(book: str, rule_id: str, on: str):
    rule = BOOK[book].find_rule(rule_id, day(on))
    assert rule is not None
    return rule


def make_ruled_yard(*books: str, **changes):
    return make_yard(paper_rules=books, rule_books=BOOKS, **changes)


def judge_papers(yard, arrive: str = "2027-04-07", last: str = "2027-04-10", **more):
    found = find_paper_findings(yard, yard.horses[0], yard.shows[0], day(arrive), day(last), **more)
    return {f.rule: f for f in found}


# Which answers change with an edition: rule, what was given, what is asked, on which day applied

EDITIONS = [
    # FEI VR 2019 Art. 1003.2 (21-92 days) and the change for doses from 1 January 2024 (21-60):
    # 5 January + 60 days = 6 March (leap year 2024: 5 March), + 92 = 7 April (2024: 6 April)
    ("fei", "influenza-primary-gap", "2023-01-05", "2023-03-07", "2023-12-31", True),
    ("fei", "influenza-primary-gap", "2023-01-05", "2023-03-07", "2024-01-01", False),
    ("fei", "influenza-primary-gap", "2023-01-05", "2023-03-06", "2024-01-01", True),
    ("fei", "influenza-primary-gap", "2023-01-05", "2023-04-07", "2023-12-31", True),
    ("fei", "influenza-primary-gap", "2023-01-05", "2023-04-08", "2023-12-31", False),
    ("fei", "influenza-primary-gap", "2024-01-05", "2024-03-05", "2024-01-05", True),
    ("fei", "influenza-primary-gap", "2024-01-05", "2024-03-06", "2024-01-05", False),
    # 20 and 21 days after 5 January: the same in both editions
    ("fei", "influenza-primary-gap", "2023-01-05", "2023-01-25", "2023-12-31", False),
    ("fei", "influenza-primary-gap", "2023-01-05", "2023-01-26", "2023-12-31", True),
    ("fei", "influenza-primary-gap", "2023-01-05", "2023-01-25", "2024-01-01", False),
    ("fei", "influenza-primary-gap", "2023-01-05", "2023-01-26", "2024-01-01", True),
    # FEI VR 2019 Art. 1003.3 (7 months); from memory 2024 (6 months + 21 days): 1 April -> 1
    # November, or 22 October
    ("fei", "influenza-first-booster", "2023-04-01", "2023-11-01", "2023-12-31", True),
    ("fei", "influenza-first-booster", "2023-04-01", "2023-11-02", "2023-12-31", False),
    ("fei", "influenza-first-booster", "2023-04-01", "2023-11-01", "2024-01-01", False),
    ("fei", "influenza-first-booster", "2023-04-01", "2023-10-22", "2024-01-01", True),
    ("fei", "influenza-first-booster", "2023-04-01", "2023-10-23", "2024-01-01", False),
    # FEI VR 2019 Art. 1003.4 (6 months + 21 days) and the Board's decision of 8 September 2022
    # (12 months, 1 October 2022 to 1 April 2023): 1 March + 6 months + 21 days = 22 September
    ("fei", "influenza-to-compete", "2022-03-01", "2022-09-22", "2022-09-22", True),
    ("fei", "influenza-to-compete", "2022-03-01", "2022-09-23", "2022-09-23", False),
    ("fei", "influenza-to-compete", "2022-03-01", "2022-10-01", "2022-10-01", True),
    ("fei", "influenza-to-compete", "2022-03-01", "2023-03-01", "2023-03-01", True),
    ("fei", "influenza-to-compete", "2022-03-01", "2023-03-02", "2023-03-02", False),
    ("fei", "influenza-to-compete", "2022-05-01", "2023-04-01", "2023-04-01", True),
    ("fei", "influenza-to-compete", "2022-05-01", "2023-04-02", "2023-04-02", False),
    # BEF 2023 (150-215 days) and 2024 (120-180): check 1, 1 April + 183 days = 1 October
    ("gb", "influenza-first-booster", "2014-04-01", "2014-10-01", "2023-12-31", True),
    ("gb", "influenza-first-booster", "2014-04-01", "2014-10-01", "2024-01-01", False),
    # 1 April + 149, 150 days = 28, 29 August; + 120 = 30 July; + 180 = 28 September; + 215 = 2 Nov
    ("gb", "influenza-first-booster", "2014-04-01", "2014-08-28", "2023-12-31", False),
    ("gb", "influenza-first-booster", "2014-04-01", "2014-08-29", "2023-12-31", True),
    ("gb", "influenza-first-booster", "2014-04-01", "2014-07-30", "2024-01-01", True),
    ("gb", "influenza-first-booster", "2014-04-01", "2014-07-29", "2024-01-01", False),
    ("gb", "influenza-first-booster", "2014-04-01", "2014-09-28", "2024-01-01", True),
    ("gb", "influenza-first-booster", "2014-04-01", "2014-09-29", "2024-01-01", False),
    ("gb", "influenza-first-booster", "2014-04-01", "2014-11-02", "2023-12-31", True),
    ("gb", "influenza-first-booster", "2014-04-01", "2014-11-03", "2023-12-31", False),
]


@pytest.mark.parametrize(("book", "rule_id", "given", "asked", "applied", "answer"), EDITIONS)
def test_an_edition_answers_for_the_day_it_is_applied_to(
    book: str, rule_id: str, given: str, asked: str, applied: str, answer: bool
) -> None:
    """Checks 1, 2, 3: the same dates, judged by the edition of the day (sources above)."""
    window = find_next_window(day(given), pick(book, rule_id, applied))
    assert (day(asked) in window) is answer


@pytest.mark.parametrize(
    ("arrive", "first", "last"),
    [
        # Equestrian Australia, 1 March 2023: 3 days since 1 November 2021, 10 before
        ("2026-11-26", "2026-11-23", "2026-11-25"),
        ("2021-11-01", "2021-10-29", "2021-10-31"),
        ("2021-10-31", "2021-10-21", "2021-10-30"),
        # A leap year: 29 February 2028 is the day before
        ("2028-03-01", "2028-02-27", "2028-02-29"),
    ],
)
def test_temperatures_are_asked_by_the_edition_of_the_arrival(
    arrive: str, first: str, last: str
) -> None:
    """Check 10: two readings a day, so six for three days."""
    found = assess_temperatures((), BOOK["fei"], day(arrive), day("2020-01-01"))
    assert found is not None
    assert (found.answer, found.window) == ("due", span(first, last))
    assert "2 readings a day" in str(found.reason)


def test_written_temperatures_answer_and_missing_ones_bar_nothing() -> None:
    """Arrival Thursday 26 November 2026 asks for the 23rd to the 25th (check 10)."""
    log = (make_paper("temperature_log", "2026-11-23", valid_until="2026-11-25"),)
    short = (make_paper("temperature_log", "2026-11-24", valid_until="2026-11-25"),)
    arrive = day("2026-11-26")

    def answer(rows, today: str) -> str:
        found = assess_temperatures(rows, BOOK["fei"], arrive, day(today))
        assert found is not None
        return found.answer

    assert answer(log, "2026-11-26") == "ok"
    assert answer(short, "2026-11-26") == "unknown"
    assert answer((), "2026-11-22") == "due"
    assert answer((), "2026-11-23") == "unknown"
    assert assess_temperatures((), BOOK["us"], arrive, arrive) is None


@pytest.mark.parametrize(
    ("rule_id", "travel", "answer"),
    [
        # 12. Drawn 10 January 2026 (USEF, Interstate travel page: three ways of counting)
        ("coggins-validity", "2026-11-25", True),
        ("coggins-validity", "2027-01-05", True),
        ("coggins-validity", "2027-01-10", True),
        ("coggins-validity", "2027-01-11", False),
        ("coggins-validity-AK", "2026-07-10", True),
        ("coggins-validity-AK", "2026-07-11", False),
        ("coggins-validity-AK", "2026-11-25", False),
        ("coggins-validity-HI", "2026-04-10", True),
        ("coggins-validity-HI", "2026-04-11", False),
        ("coggins-validity-MI", "2026-11-25", True),
        ("coggins-validity-MI", "2026-12-31", True),
        ("coggins-validity-MI", "2027-01-01", False),
        ("coggins-validity-MI", "2027-01-05", False),
    ],
)
def test_a_blood_test_holds_by_month_or_by_calendar_year(
    rule_id: str, travel: str, answer: bool
) -> None:
    """Check 12: rolling months, and the calendar year of the journey."""
    end = find_last_day(day("2026-01-10"), pick("us", rule_id, travel))
    assert (day(travel) <= end) is answer


@pytest.mark.parametrize(
    ("book", "rule_id", "given", "last"),
    [
        # 13. USEF, Interstate travel page; Delegated Regulation (EU) 2020/688 Art. 91-92
        ("us", "health_certificate-validity", "2026-11-01", "2026-12-01"),
        ("eu", "health_certificate-validity", "2026-11-20", "2026-11-30"),
        ("eu", "health_certificate-mark-validity", "2026-11-20", "2026-12-20"),
        ("us", "health_certificate-extended-validity", "2026-08-31", "2027-02-28"),
        # 15. FEI VR Art. 1027.8 (2015), how-to page 7/43
        ("fei", "passport-validity", "2012-04-02", "2016-04-02"),
        ("fei", "passport-validity", "2016-04-02", "2020-04-02"),
        ("fei", "passport-validity", "2024-02-29", "2028-02-29"),
        # FEI GRs Art. 113, how-to page 7/84: whenever bought, to 31 December
        ("fei", "registration-validity", "2026-01-01", "2026-12-31"),
        ("fei", "registration-validity", "2026-11-20", "2026-12-31"),
        ("fei", "registration-validity", "2026-12-31", "2026-12-31"),
        # USEF GR845: 31 August + 6 months; 29 February
        ("us", "influenza-to-compete", "2026-08-31", "2027-02-28"),
        ("us", "influenza-to-compete", "2027-08-31", "2028-02-29"),
        ("us", "influenza-to-compete", "2028-02-29", "2028-08-29"),
    ],
)
def test_a_document_holds_to_its_last_day(book: str, rule_id: str, given: str, last: str) -> None:
    """Checks 13 and 15; the day of issue is day 0 (this project's reading)."""
    assert find_last_day(day(given), pick(book, rule_id, given)) == day(last)


@pytest.mark.parametrize(
    ("rule_id", "earliest"),
    [
        # 14. GB export guidance 2021, travel 25 November 2026: minus 90, 30, 21 days
        ("coggins-validity-from-GB", "2026-08-27"),
        ("coggins-validity-from-GB-permanent", "2026-10-26"),
        ("arteritis-validity-from-GB", "2026-11-04"),
        # Residency of 40 days, and of 90 for others: since when at the latest
        ("residency-days-from-GB", "2026-10-16"),
        ("residency-days-from-GB-permanent", "2026-08-27"),
    ],
)
def test_from_britain_to_the_continent_days_count_back_from_the_journey(
    rule_id: str, earliest: str
) -> None:
    """Check 14: sample on or after, residence on or before this day."""
    assert find_first_day(day("2026-11-25"), pick("eu", rule_id, "2026-11-25")) == day(earliest)


def test_a_british_stallion_abroad_is_asked_for_residence_and_a_test() -> None:
    """Check 14: residence since 26 February for 7 April 2027 (- 40 days), test from 17 March."""
    place = Place("Home Farm", 52.0, -1.0, "Europe/London", "GB")

    def judge(sex: str, *papers):
        yard = make_ruled_yard(
            "eu",
            place=place,
            country="GB",
            horses=[make_horse(sex=sex)],
            shows=[make_show(country="FR")],
            papers=papers,
        )
        return {rule: f.answer for rule, f in judge_papers(yard).items()}

    good = [
        make_paper("residency", "2027-02-26"),
        make_paper("arteritis", "2027-03-17"),
        make_paper("coggins", "2027-01-10"),
    ]
    found = judge("stallion", *good)
    assert found["residency-days-from-GB"] == "ok"
    assert found["arteritis-validity-from-GB"] == "ok"
    late = [make_paper("residency", "2027-02-27"), make_paper("arteritis", "2027-03-16")]
    found = judge("stallion", *late)
    assert found["residency-days-from-GB"] == "barred"
    assert found["arteritis-validity-from-GB"] == "due"
    assert "arteritis-validity-from-GB" not in judge("mare")
    assert judge("mare")["residency-days-from-GB"] == "unknown"


@pytest.mark.parametrize(
    ("drawn", "country", "answer"),
    [
        # 7 April 2027 - 90 days = 7 January; the journey counts, not the last class on the 10th
        ("2027-01-06", "FR", "due"),
        ("2027-01-07", "FR", "ok"),
        # At home no border asks (tests of two years ago)
        ("2025-01-07", "GB", ""),
    ],
)
def test_a_british_blood_test_counts_to_the_journey(drawn: str, country: str, answer: str) -> None:
    """Check 14: GB export guidance 2021, EIA within 90 days of travel; nothing at home."""
    place = Place("Home Farm", 52.0, -1.0, "Europe/London", "GB")
    yard = make_ruled_yard(
        "eu",
        place=place,
        country="GB",
        shows=[make_show(country=country)],
        papers=[make_paper("coggins", drawn)],
    )
    found = {rule: f.answer for rule, f in judge_papers(yard).items() if "coggins" in rule}
    assert found == ({"coggins-validity-from-GB": answer} if answer else {})


@pytest.mark.parametrize(
    ("arrive", "first", "last"),
    [
        # Wednesday: 48 hours before; Monday: the last working day is Friday; Sunday: Friday
        ("2027-04-07", "2027-04-05", "2027-04-06"),
        ("2027-04-12", "2027-04-09", "2027-04-11"),
        ("2027-04-11", "2027-04-09", "2027-04-10"),
    ],
)
def test_a_european_certificate_follows_the_examination(arrive: str, first: str, last: str) -> None:
    """Delegated Regulation (EU) 2020/688, Art. 91(2)(b): 48 hours, or the last working day."""
    yard = make_ruled_yard("eu", country="DE", shows=[make_show(country="FR")])
    found = judge_papers(yard, arrive, "2027-04-12")["health_certificate-validity"]
    assert (found.answer, found.window) == ("due", span(first, last))
    assert "8431" not in str(found.reason)  # British forms are not for a German yard


def test_the_way_there_says_whether_the_certificate_covers_the_way_home() -> None:
    """10 days (Art. 91(3)): given on 5 April it holds to the 15th, on the 6th to the 16th."""
    yard = make_ruled_yard("eu", country="GB", shows=[make_show(country="FR")])

    def say(leave: str) -> str:
        found = judge_papers(yard, leave=day(leave))["health_certificate-validity"]
        assert "8431" in str(found.reason)
        return str(found.reason)

    assert "It covers the way home on 2027-04-15 as well." in say("2027-04-15")
    assert "One from 2027-04-06 on covers the way home on 2027-04-16 as well." in say("2027-04-16")
    assert "The way home on 2027-04-17 needs one of its own." in say("2027-04-17")


def test_an_american_yard_asks_a_certificate_over_a_state_line() -> None:
    """USEF, Interstate travel page: from Kentucky to Georgia, not within Kentucky."""

    def judge(region: str, *papers, **more):
        roads = make_roads(["Millbrook"])
        there = Place("Millbrook", 41.0, -79.0, "America/New_York", "US", region)
        roads = type(roads)({**roads.places, "Millbrook": there}, dict(roads.drives))
        home = Place("Home Farm", 40.0, -80.0, "America/New_York", "US", "KY")
        return judge_papers(make_ruled_yard("us", roads=roads, place=home, papers=papers), **more)

    assert "health_certificate-validity" not in judge("KY")
    due = judge("GA")["health_certificate-validity"]
    # Today is 28 February; 7 April - 30 days = 8 March, so none of today's would hold
    assert (due.answer, due.window) == ("due", span("2027-03-08", "2027-04-06"))
    near = judge("GA", arrive="2027-03-30", last="2027-04-02")["health_certificate-validity"]
    # 30 March - 30 days = 28 February: one given today would hold, so nobody knows
    assert (near.answer, near.due_by) == ("unknown", day("2027-03-29"))
    paper = make_paper("health_certificate", "2027-03-08")
    found = judge("GA", paper)
    assert found["health_certificate-validity"].answer == "ok"
    assert "10 days" in str(found["health_certificate-validity"].reason)
    # The way home on 11 April is not covered by 8 March + 30 days
    assert found["health_certificate-home"].answer == "due"
    extended = make_paper("health_certificate", "2026-11-01", note="extended")
    assert judge("GA", extended)["health_certificate-extended-validity"].answer == "ok"


def test_the_strictest_state_on_the_way_decides() -> None:
    """Old state table: Georgia 12 months, Alaska 6: drawn 15 September 2026, arrival in April."""
    roads = make_roads(["Millbrook"])
    there = Place("Millbrook", 41.0, -79.0, "America/New_York", "US", "GA")
    roads = type(roads)({**roads.places, "Millbrook": there}, dict(roads.drives))
    home = Place("Home Farm", 40.0, -80.0, "America/New_York", "US", "KY")
    yard = make_ruled_yard(
        "us", roads=roads, place=home, papers=[make_paper("coggins", "2026-09-15")]
    )
    assert judge_papers(yard)["coggins-validity-GA"].answer == "ok"
    passing = type(roads)(roads.places, roads.drives, {"Millbrook": ("TN", "AK")})
    found = judge_papers(dataclasses.replace(yard, roads=passing))
    assert found["coggins-validity-AK"].answer == "due"
    late = make_ruled_yard(
        "us", roads=roads, place=home, papers=[make_paper("coggins", "2026-04-01")]
    )
    found = judge_papers(late)["coggins-validity-GA"]
    assert "the states on the way are not known" in str(found.reason)


def test_a_test_of_the_calendar_year_is_of_the_year_of_the_journey() -> None:
    """Michigan, arrival 30 December 2026, last class 2 January: drawn in 2026 (old state table).

    Arrival 4 January asks for one of 2027; with a 12-month state on the way the window that
    opens last is told: 1 January, not the 21st of December.
    """
    roads = make_roads(["Millbrook"])
    there = Place("Millbrook", 41.0, -79.0, "America/New_York", "US", "MI")
    passing = type(roads)({**roads.places, "Millbrook": there}, dict(roads.drives))
    passing = type(roads)(passing.places, passing.drives, {"Millbrook": ("GA",)})
    yard = make_ruled_yard(
        "us",
        roads=passing,
        place=Place("Home Farm", 40.0, -80.0, "America/New_York", "US", "KY"),
        season=("2026-12-21", "2027-03-01"),
        today="2026-12-20",
        shows=[make_show(first="2026-12-30")],
        papers=[make_paper("coggins", "2026-01-12")],
    )
    found = judge_papers(yard, "2026-12-30", "2027-01-02")
    assert [f.answer for rule, f in found.items() if "coggins" in rule] == ["ok"]
    # Both are due by 8 January (19 January - 7 business days)
    found = judge_papers(yard, "2027-01-19", "2027-01-22")
    (due,) = [f for rule, f in found.items() if "coggins" in rule]
    assert (due.rule, due.window) == ("coggins-validity-MI", span("2027-01-01", "2027-01-08"))


# Ages and categories


@pytest.mark.parametrize(("foaled", "age"), [(2001, 4), (2000, 5), (1999, 6), (1998, 7), (1997, 8)])
def test_the_young_jumper_classes_of_2005_by_year_of_birth(foaled: int, age: int) -> None:
    """Check 21: YJC 2005 specifications: 2000 for 5 years, 1999 for 6, 1998 and 1997 for 7/8."""
    assert compute_horse_age(date(foaled, 5, 1), date(2005, 6, 1), southern=False) == age


@pytest.mark.parametrize(
    ("age", "height_cm", "on", "starts"),
    [
        # Check 22: LPO 2024; that class A ends at 1.05 m is from memory
        (3, 95, "2027-04-30", False),
        (3, 95, "2027-05-01", True),
        (4, 105, "2027-02-28", False),
        (4, 105, "2027-03-01", True),
        (4, 105, "2028-02-29", False),
        (4, 115, "2027-06-30", False),
        (4, 115, "2027-07-01", True),
        (4, 106, "2027-06-30", False),
        (5, 115, "2027-01-01", True),
    ],
)
def test_german_young_horses_start_from_a_day_of_the_year(
    age: int, height_cm: int, on: str, starts: bool
) -> None:
    """Check 22: rule, finding and the fast answer agree."""
    assert (find_young_start(BOOK["de"], age, height_cm, day(on)) is None) is starts
    horse = make_horse(born=date(int(on[:4]) - age, 5, 1), from_height_cm=90, to_height_cm=120)
    offered = make_class("C", on, height_cm=height_cm)
    show = make_show(first=on, classes=[offered], rules="de")
    yard = make_ruled_yard(
        "de", season=(f"{on[:4]}-01-01", f"{on[:4]}-12-31"), horses=[horse], shows=[show]
    )
    found = find_class_findings(yard, horse, show, offered)
    assert fits_class(yard, horse, offered) is starts
    assert ("young-start" in {f.rule for f in found}) is not starts


def test_the_sixth_show_of_a_three_year_old_is_barred() -> None:
    """Check 22, LPO 2024: five shows a year; four are not too many."""
    horse = make_horse(born="2024-04-01", from_height_cm=90)
    show = make_show("S6", "2027-06-02")

    def judge(shows: int) -> set[str]:
        results = [make_result(f"2027-05-{2 + 4 * i:02d}", f"Past {i}") for i in range(shows)]
        yard = make_ruled_yard(
            "de",
            horses=[horse],
            shows=[show],
            results=results,
            today="2027-06-01",
            season=("2027-03-01", "2027-08-31"),
        )
        return {f.rule for f in findings(yard) if f.answer == "barred"}

    assert "young-shows-3" not in judge(4)
    assert "young-shows-3" in judge(5)


@pytest.mark.parametrize(
    ("book", "age", "highest"),
    [
        # British Showjumping 2019; world breeding championship 2021; JP117 from memory
        ("gb", 4, 110),
        ("gb", 5, 120),
        ("gb", 6, 130),
        ("gb", 7, 135),
        ("fei", 5, 125),
        ("fei", 6, 135),
        ("fei", 7, 140),
        ("us", 5, 120),
        ("us", 6, 130),
        ("us", 7, 140),
    ],
)
def test_a_young_horse_class_above_its_guide_asks_a_question(
    book: str, age: int, highest: int
) -> None:
    """A guide bars nothing: one centimetre more is unknown, not barred."""
    on = date(2027, 4, 8)
    assert find_young_height([BOOK[book]], age, highest, on) is None
    assert find_young_height([BOOK[book]], age, highest + 1, on) is not None
    horse = make_horse(born=date(2027 - age, 5, 1), to_height_cm=150)
    offered = make_class(division="young", height_cm=highest + 1)
    yard = make_ruled_yard(book, horses=[horse], shows=[make_show(classes=[offered])])
    found = find_class_findings(yard, horse, yard.shows[0], offered)
    assert {f.rule: f.answer for f in found}["young-height"] == "unknown"
    assert fits_class(yard, horse, offered)
    (summed,) = [f for f in findings(yard) if f.rule == "eligible"]
    assert summed.answer == "unknown"


def test_championship_entries_close_four_weeks_and_four_days_before() -> None:
    """Check 23: FEI GRs-2026 Art. 116: 11 August 2026 - 28 days and - 4 days."""
    first = day("2026-08-11")
    assert find_entry_day(BOOK["fei"], first, "nominated") == day("2026-07-14")
    assert find_entry_day(BOOK["fei"], first) == day("2026-08-07")
    assert find_entry_day(BOOK["us"], first) is None


def test_a_closing_date_later_than_the_published_one_is_told() -> None:
    """FEI GRs-2026 Art. 116.3.2: show of 7 April 2027, definite entries by the 3rd."""

    def judge(**changes):
        yard = make_ruled_yard("fei", shows=[make_show(level="CSI2*", **changes)])
        return find_entry_finding(yard, yard.shows[0])

    silent, late = judge(), judge(entries_close="2027-04-04")
    assert silent is not None
    assert silent.due_by == day("2027-04-03")
    assert late is not None
    assert judge(entries_close="2027-04-03") is None


@pytest.mark.parametrize(
    ("start", "barred"),
    [
        # Check 23: event 25 November 2026, "after 25 May": GRs-2026 Art. 113.4
        ("2026-05-25", False),
        ("2026-05-26", True),
        ("2026-11-24", True),
        ("2026-11-25", False),
    ],
)
def test_an_unsanctioned_start_bars_for_six_months(start: str, barred: bool) -> None:
    """Check 23: column `unsanctioned` of results.csv."""
    rule = pick("fei", "unsanctioned-months", "2026-11-25")
    assert is_too_soon_after(day(start), day("2026-11-25"), rule) is barred
    yard = make_ruled_yard(
        "fei",
        shows=[make_show(first="2026-11-25")],
        season=("2026-11-01", "2027-02-01"),
        results=[make_result(start, "Meadow", unsanctioned=True)],
    )
    found = judge_papers(yard, "2026-11-24", "2026-11-28")
    assert [f.answer for r, f in found.items() if r == "unsanctioned-months"] == ["barred"] * barred
    plain = make_ruled_yard("fei", results=[make_result(start, "Meadow")])
    assert "unsanctioned-months" not in judge_papers(plain)


def test_six_months_before_the_31st_of_august_are_clamped() -> None:
    """Event 31 August 2027: 28 February is six months before it, 1 March is after that."""
    rule = pick("fei", "unsanctioned-months", "2027-08-31")
    assert not is_too_soon_after(day("2027-02-28"), day("2027-08-31"), rule)
    assert is_too_soon_after(day("2027-03-01"), day("2027-08-31"), rule)


def test_the_same_pair_entered_twice_on_the_same_days_is_barred() -> None:
    """Check 24: FEI GRs-2026 Art. 116 (8); entries only wanted, or shows in a row, are right."""
    shows = [
        make_show("S1", "2027-04-07"),
        make_show("S2", "2027-04-11", place_key="Elm"),
        make_show("S3", "2027-04-12", place_key="Oak"),
    ]

    def judge(status: str, *ids: str, book: str = "fei") -> list[str]:
        entries = [make_entry(show=show, status=status) for show in ids]
        yard = make_ruled_yard(book, shows=shows, entries=entries)
        return [f.show for f in findings(yard) if f.rule == "double-entry"]

    assert judge("paid", "S1", "S2") == ["S1", "S2"]
    assert judge("sent", "S1", "S2") == ["S1", "S2"]
    assert judge("paid", "S1", "S3") == []
    assert judge("wanted", "S1", "S2") == []
    assert judge("paid", "S1", "S2", book="us") == []


def test_more_entries_than_the_yards_own_cap_are_told_as_its_own() -> None:
    """No published number was found: the cap is the yard's, and the source says so."""
    classes = [make_class("A"), make_class("B"), make_class("C", "2027-04-09")]
    entries = [make_entry(name) for name in ("A", "B", "C")]

    def judge(**caps):
        yard = make_yard(
            horses=[make_horse(**caps)], shows=[make_show(classes=classes)], entries=entries
        )
        return [f for f in findings(yard) if f.rule == "starts"]

    assert judge(starts_per_day=2, starts_per_show=3) == []
    (day_cap,) = judge(starts_per_day=1, starts_per_show=3)
    assert "2 entries on 2027-04-08" in str(day_cap.reason)
    (show_cap,) = judge(starts_per_day=2, starts_per_show=2)
    assert "3 entries" in str(show_cap.reason)
    assert "not a published rule" in show_cap.source


def test_a_riders_membership_counts_by_its_written_end() -> None:
    """The yard's papers.csv; where memberships are kept at all, one without a row is unknown."""
    people = [make_rider(), make_rider("Ben")]
    papers = [make_paper("membership", "2026-12-01", "Ana", valid_until="2027-04-09")]
    yard = make_ruled_yard("us", people=people, papers=papers)
    found = {}
    for rider in people:
        for f in find_rider_findings(yard, rider, yard.shows[0], span("2027-04-08", "2027-04-10")):
            found[f.person, f.rule] = f
    assert found["Ana", "membership"].due_by == day("2027-04-07")
    assert found["Ben", "membership"].answer == "unknown"
    assert ("Ben", "licence") not in found


def test_what_a_rule_says_besides_is_told() -> None:
    """Words that change no answer: a first dose alone, fever, 6 of 12 months, 180 days.

    FEI vaccination table and measures of 2021; BEF 2024; a protocol of a United States show:
    7 October + 6 months = 7 April, which is 182 days; 1 October + 6 months = 1 April.
    """

    def say(book: str, rule: str, *papers) -> str:
        yard = make_ruled_yard(book, papers=papers, shows=[make_show(level="CSI2*")])
        return str(judge_papers(yard)[rule].reason)

    yard = make_ruled_yard("fei", shows=[make_show(level="CSI2*")])
    assert judge_papers(yard)["temperature-days"].answer == "due"
    alone = make_paper("influenza", "2027-02-01", note="V1")
    assert "neither competes nor enters" in say("fei", "influenza-to-compete", alone)
    log = say("fei", "temperature-days")
    assert "38.5" in log
    assert "on the day before arrival or on the day" in log
    half = make_paper("influenza", "2026-10-01")
    assert "Some member bodies ask" in say("gb", "influenza-to-compete", half)
    for kind in ("influenza", "herpes"):
        old = make_paper(kind, "2026-10-07")
        assert "180 days" in say("us", f"{kind}-to-compete", old)


def test_california_is_reckoned_with_the_shorter_of_two_lists() -> None:
    """6 months in the old table, 12 in a later list: 10 January to 10 July; marked as doubtful."""
    rule = pick("us", "coggins-validity-CA", "2026-03-01")
    assert find_last_day(day("2026-01-10"), rule) == day("2026-07-10")
    assert "a later list says 12 months" in rule.cited


def test_a_dose_in_the_shut_days_and_none_at_all_bar_at_the_gate() -> None:
    """Check 6: 1 April is 6 days before the 7th, 31 March 7 (FEI 2006 Annex VII).

    Today 1 April: too late for a dose; USEF GR845.4 tells what an unvaccinated horse brings.
    """

    def judge(book: str, dose: str):
        yard = make_ruled_yard(book, papers=[make_paper("influenza", dose)], today="2027-04-01")
        return judge_papers(yard)

    assert judge("fei", "2027-04-01")["influenza-blackout"].answer == "barred"
    assert "influenza-blackout" not in judge("fei", "2027-03-31")
    late = judge("us", "2026-09-01")["influenza-to-compete"]
    assert late.answer == "barred"
    assert "twice a day for the 7 days before it enters" in str(late.reason)


def test_a_validation_mark_makes_a_certificate_hold_thirty_days() -> None:
    """Check 13, Delegated Regulation (EU) 2020/688, Art. 92(3): 8 March + 30 days = 7 April."""

    def judge(given: str) -> dict[str, str]:
        paper = make_paper("health_certificate", given, note="validation mark")
        yard = make_ruled_yard("eu", shows=[make_show(country="FR")], papers=[paper])
        return {rule: f.answer for rule, f in judge_papers(yard).items()}

    assert judge("2027-03-08")["health_certificate-mark-validity"] == "ok"
    assert judge("2027-03-07")["health_certificate-validity"] == "due"
