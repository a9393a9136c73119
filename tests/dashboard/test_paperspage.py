"""The page of horses and shows: a word and a reason in each cell, every name escaped."""

from __future__ import annotations

import re
from datetime import date

from tests.build import make_class, make_horse, make_paper, make_show, make_vet_check, make_yard
from tripkit.dashboard.horsepage import write_horse_findings
from tripkit.dashboard.paperspage import write_odd_fold, write_papers
from tripkit.eligibility.checklist import findings
from tripkit.rulebooks import known_rule_books, load_rule_books
from tripkit.words import page as words
from tripkit.yard.answers import Finding, give_reason, name_paper
from tripkit.yard.facts import state
from tripkit.yard.oddities import make_oddity
from tripkit.yard.papers import HEALTH_CERTIFICATE

BOOKS = load_rule_books(known_rule_books())


def write(**changes) -> str:
    yard = make_yard(paper_rules=("us",), rule_books=BOOKS, **changes)
    return write_papers(yard, findings(yard))


def list_cells(html: str) -> list[str]:
    cells = re.findall(r"<td[^>]*>(.*?)</td>", html)
    return [re.sub(r"<[^>]+>", "", cell) for cell in cells]


def test_each_cell_has_a_word_and_a_reason() -> None:
    """Due, barred, ok and no class at all, told in words (GR845: 1 July 2026 + 6 months)."""
    papers = [
        make_paper("influenza", "2026-07-01"),
        make_paper("herpes", "2027-02-01"),
        make_paper("coggins", "2026-06-01"),
    ]
    good = [make_paper(p.paper, "2027-02-01", "Elm") for p in papers]
    junior = make_show("S2", "2027-05-05", classes=[make_class("J", "2027-05-06", "S2")])
    html = write(
        horses=[make_horse(), make_horse("Elm"), make_horse("Low", to_height_cm=115)],
        shows=[make_show("S1"), junior],
        papers=[*papers, *good],
    )
    first = list_cells(html)[:3]
    assert first == [
        "due influenza by Mar 31",
        "ok all papers hold",
        "no class of its height",
    ]


def test_a_class_that_does_not_fit_is_the_only_reason_told() -> None:
    """Papers for a show at which the horse has no class are left out."""
    html = write(shows=[make_show(classes=[make_class("J", division="junior")])])
    (cell,) = list_cells(html)
    assert cell.startswith("barred J: the class is for junior riders")
    assert "influenza" not in cell


def test_a_horse_that_is_not_cleared_says_so_at_its_head() -> None:
    """The vet's word stands beside the name."""
    html = write(vet_checks=[make_vet_check("2027-02-10", False)])
    assert "not cleared by the vet check of Feb 10" in html


def test_names_are_escaped() -> None:
    """Nothing in a name acts as markup."""
    html = write(
        horses=[make_horse("<b>&Co")],
        shows=[make_show("<script>", first="2027-04-07", classes=[make_class(show="<script>")])],
    )
    assert "<script>" not in html
    assert "<b>&Co" not in html
    assert "&lt;script&gt;" in html


def test_every_source_of_a_finding_is_listed() -> None:
    """Rules and their documents stand under the table."""
    html = write()
    assert "USEF Rule Book, GR845" in html
    assert "USEF, Interstate travel page" in html


def test_shows_that_are_past_are_left_out() -> None:
    """The table looks ahead."""
    html = write(shows=[make_show("Gone", "2027-03-03"), make_show("S1")], today="2027-04-01")
    assert "Gone" not in html


def list_items(html: str) -> list[str]:
    return [re.sub(r"<[^>]+>", "", item) for item in re.findall(r"<li>(.*?)</li>", html)]


def make_due(rule: str, show: str, by: date, said: str, paper: str = "coggins") -> Finding:
    reason = give_reason(said, of=name_paper(paper))
    return Finding(rule, "due", reason, "a book", "Dancer", "", show, "", by, paper=paper)


def test_the_days_of_a_paper_for_one_journey_hold_for_its_own_show() -> None:
    """A certificate for S1 is none for S2 and S3; what they ask is told as the like."""
    shows = [make_show(f"S{n}", f"2027-0{n + 3}-07") for n in (1, 2, 3)]
    days = {"S2": (date(2027, 5, 5), "5 April"), "S1": (date(2027, 4, 5), "6 March")}
    days["S3"] = (date(2027, 6, 5), "6 May")
    found = [
        make_due(f"{HEALTH_CERTIFICATE}-validity", show, by, f"from {first}", HEALTH_CERTIFICATE)
        for show, (by, first) in days.items()
    ]
    (said,) = list_items(write_horse_findings(make_yard(shows=shows), found, "Dancer"))
    assert "certificate: from 6 March" in said
    assert "Asked by S1; the like by each later one, on days of its own: S2, S3" in said


def test_rules_that_say_the_same_stand_once() -> None:
    """One test of blood is asked for by two states in the same words."""
    shows = [make_show("S1"), make_show("S2", "2027-05-05")]
    by = date(2027, 4, 1)
    found = [
        make_due("coggins-validity", "S1", by, "no row"),
        make_due("coggins-validity-GA", "S2", by, "no row"),
    ]
    (said,) = list_items(write_horse_findings(make_yard(shows=shows), found, "Dancer"))
    assert "Asked by S1, S2" in said


def test_a_season_that_is_over_asks_for_nothing() -> None:
    """The only show ended on 11 April; in June nothing is left."""
    yard = make_yard(today="2027-06-01")
    assert words.NOT_ASKED in write_horse_findings(yard, findings(yard), "Dancer")
    assert "No show is left" in write_papers(yard, findings(yard))


def test_what_is_odd_is_a_ranked_list_that_folds() -> None:
    """The first eight lie open, the rest under a fold that counts on; nothing for nothing."""
    assert write_odd_fold(make_yard()) == ""
    odd = tuple(
        make_oddity(
            state("oddities.rate-low", what="a fee", amount_cents=0, low=1, high_cents=200),
            "classes.csv",
            [n],
            "fee",
        )
        for n in range(2, 12)
    )
    html = write_odd_fold(make_yard(oddities=odd))
    assert "<summary>Is this meant? 10 things in the files look odd</summary>" in html
    shown, hidden = html.split("<summary>2 more</summary>")
    assert [shown.count("<li"), hidden.count("<li")] == [8, 2]
    assert '<ol class="tk-odd" start="9">' in hidden
    assert "classes.csv row 2, column fee" in shown


def test_names_in_what_is_odd_are_text() -> None:
    """A horse called like markup stays a name."""
    old = state("oddities.horse-old", horse="<b>Elm", age="30", high=25)
    odd = make_oddity(old, "horses.csv", [2], "born")
    html = write_odd_fold(make_yard(oddities=(odd,)))
    assert "Is this meant? One thing in the files looks odd" in html
    assert "&lt;b&gt;Elm" in html
    assert "<b>Elm" not in html
