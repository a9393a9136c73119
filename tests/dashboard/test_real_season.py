"""The sample yard with the real planner in a real browser: every figure against the JSON."""

from __future__ import annotations

import json
import re
import shutil
from datetime import date, timedelta
from itertools import takewhile
from pathlib import Path

import icalendar
import psutil
import pytest

from tests.dashboard.browsing import (
    READY,
    ROOT,
    choose,
    needs_browser,
    open_chapter,
    serve,
)
from tests.patience import PATIENCE_SECONDS
from tests.ports import find_port
from tripkit import read_yard, write_circuits
from tripkit.planning.goals import find_most, plan_tour
from tripkit.planning.job import start_job
from tripkit.words.formats import write_money
from tripkit.yard.circuit import PROVED

pytestmark = needs_browser

LEFT, RIGHT = "Tour Gulf", "Most worth"
HORSE = "Alder"
KM_PER_MILE = 1.609344  # the international mile, agreement of 1959


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A copy of the sample yard with two real circuits saved in it, however long they take."""
    folder = tmp_path_factory.mktemp("sample") / "yard"
    shutil.copytree(ROOT / "sample_calendar", folder)
    yard = read_yard(folder)
    # The other goals of the sample take minutes, and nothing here asks for them.
    job = start_job(yard, None, frozenset(), 5 * PATIENCE_SECONDS, None, None)
    most = find_most(job)
    write_circuits(folder / "circuits.json", yard, [most, plan_tour(job, most, "Gulf")])
    return folder


@pytest.fixture(scope="module")
def circuits(folder):
    """The circuits as the file has them, by name."""
    written = json.loads((folder / "circuits.json").read_text(encoding="utf-8"))
    return {circuit["name"]: circuit for circuit in written["circuits"]}


@pytest.fixture(scope="module")
def page(browser, folder):
    """The page with the Gulf tour above the line and the most worth under it."""
    port = find_port()
    words = ("tripkit", "serve", str(folder), "--port", str(port))
    with serve(port, *words, log=folder.parent / "log") as url:
        context = browser.new_context(
            viewport={"width": 1440, "height": 900}, accept_downloads=True
        )
        page = context.new_page()
        page.complaints = []
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.goto(url)
        page.wait_for_selector(READY)
        choose(page, "left", LEFT)
        choose(page, "right", RIGHT)
        yield page
        context.close()


def write_plain(number: float) -> str:
    """As the page writes figures: thousands grouped, one decimal where there is one."""
    return f"{number:,.1f}".removesuffix(".0")


def write_signed(number: float) -> str:
    written = write_plain(abs(number))
    return f"+{written}" if number > 0 else f"\N{MINUS SIGN}{written}" if number else "same"


def write_signed_money(cents: int) -> str:
    if not cents:
        return "same"
    return ("+" if cents > 0 else "\N{MINUS SIGN}") + write_money(abs(cents), "USD")


def read_table(page, name: str) -> dict[str, list[str]]:
    """A table of the page: the name of each row, and its cells."""
    rows = page.locator(f"table.tk-{name} tbody tr").all()
    return {row.locator("th").inner_text(): row.locator("td").all_inner_texts() for row in rows}


@pytest.mark.parametrize(("side", "name"), [("left", LEFT), ("right", RIGHT)])
def test_the_figures_under_each_list_are_those_of_the_file(page, circuits, side, name):
    """Worth, bound, cost to the cent, miles, nights, spare days and aims as `totals` has them."""
    box = page.locator(f".tk-choice-{side} .tk-figures > div")
    told = dict(line.inner_text().split("\n", 1) for line in box.all())
    circuit, totals = circuits[name], circuits[name]["totals"]
    assert told["Worth"] == write_plain(totals["worth"])
    assert told["Bound"] == write_plain(circuit["bound"])
    assert told["Cost"] == write_money(totals["cost_cents"], "USD")
    assert told["Road driven"] == f"{totals['road_km'] / KM_PER_MILE:,.0f} mi"
    assert told["Nights away"] == str(totals["nights_away"])
    assert told["Fewest spare days"] == str(totals["spare_days"])
    assert told["Aims met"] == "; ".join(totals["aims_met"])
    assert told["Answer"].startswith(circuit["status"])


def test_the_season_in_all_is_right_less_left(page, circuits):
    """Each row has both figures of the file and their difference."""
    left, right = circuits[LEFT]["totals"], circuits[RIGHT]["totals"]
    open_chapter(page, "differs")
    page.wait_for_selector("table.tk-table-season")
    told = read_table(page, "table-season")
    for row, key in (
        ("Worth", "worth"),
        ("Hours on the road", "horse_road_hours"),
        ("Nights away", "nights_away"),
        ("Outings", "outings"),
        ("Fewest spare days", "spare_days"),
    ):
        expected = [
            write_plain(left[key]),
            write_plain(right[key]),
            write_signed(right[key] - left[key]),
        ]
        assert told[row] == expected, row
    assert told["Cost"] == [
        write_money(left["cost_cents"], "USD"),
        write_money(right["cost_cents"], "USD"),
        write_signed_money(right["cost_cents"] - left["cost_cents"]),
    ]
    miles = [total["road_km"] / KM_PER_MILE for total in (left, right)]
    assert told["Road driven"][:2] == [f"{number:,.0f} mi" for number in miles]
    assert told["Road driven"][2].endswith(f"{abs(miles[1] - miles[0]):,.0f} mi")
    assert told["Aims met"][:2] == [str(len(left["aims_met"])), str(len(right["aims_met"]))]


def test_what_owners_pay_adds_up_to_the_cost(page, circuits):
    """To the cent, both columns and the differences; a sole owner pays the horse's outings."""
    told = read_table(page, "table-owners")
    yard = read_yard(ROOT / "sample_calendar")

    def read_cents(cell: str) -> int:
        digits = re.sub(r"[^\d\N{MINUS SIGN}]", "", cell).replace("\N{MINUS SIGN}", "-")
        return int(digits or 0)

    for column, name in enumerate((LEFT, RIGHT)):
        cells = {owner: read_cents(row[column]) for owner, row in told.items()}
        assert sum(cells.values()) == circuits[name]["totals"]["cost_cents"]
        shared = {s.horse for s in yard.shares if s.share != 1}
        for owner in cells:
            owned = {s.horse for s in yard.shares if s.owner == owner}
            if owned and not owned & shared:
                paid = sum(
                    o["cost_cents"] for o in circuits[name]["outings"] if o["horse"] in owned
                )
                assert cells[owner] == paid, owner
    for row in told.values():
        assert read_cents(row[2]) == read_cents(row[1]) - read_cents(row[0])


def test_each_horse_goes_where_the_file_sends_it(page, circuits):
    """Shows of one side only and of both, horse by horse, and the difference in cost."""
    for horse, cells in read_table(page, "table-horses").items():
        shows, cents = [], []
        for name in (LEFT, RIGHT):
            own = [o for o in circuits[name]["outings"] if o["horse"] == horse]
            shows.append({o["show"] for o in own})
            cents.append(sum(o["cost_cents"] for o in own))
        told = [
            {re.sub(r" \(other \w+\)$", "", show) for show in cell.split(", ") if show}
            for cell in cells[:3]
        ]
        expected = [shows[0] - shows[1], shows[1] - shows[0], shows[0] & shows[1]]
        assert told == expected, horse
        assert cells[6] == write_signed_money(cents[1] - cents[0])


def test_the_diary_of_a_horse_is_that_of_the_file(page, circuits):
    """Every class day and drive of the most worth stands in its week, and no other."""
    open_chapter(page, "horse")
    page.locator(".tk-horse-controls select").first.select_option(label=HORSE)
    page.locator(".tk-horse-controls .tk-toggle").nth(1).click()
    page.wait_for_function(
        "name => document.querySelector('.tk-fold-diary summary')?.innerText.includes(name)",
        arg=f"{HORSE} day by day, in \u201c{RIGHT}\u201d",
    )
    days = [d for d in circuits[RIGHT]["days"] if d["horse"] == HORSE]
    for kind in ("show", "travel", "school"):
        told = page.locator(f".tk-does-{kind} .tk-when").all_inner_texts()
        dates = [date.fromisoformat(d["date"]) for d in days if d["does"] == kind]
        assert told == [f"{day:%a} {day.day}" for day in dates], kind
    for outing in circuits[RIGHT]["outings"]:
        if outing["horse"] == HORSE:
            assert f"{outing['show']} with {outing['rider']}" in page.inner_text(".tk-horse-page")


def test_the_calendar_file_has_the_stays_of_the_diary(page, circuits):
    """An event a stay at a show, from arrival to the day after it is left (RFC 5545, DTEND)."""
    with page.expect_download() as coming:
        page.get_by_role("button", name=re.compile("^Take .*calendar")).click()
    data = Path(coming.value.path()).read_bytes()
    calendar = icalendar.Calendar.from_ical(data)
    events = [(str(e["SUMMARY"]), e["DTSTART"].dt, e["DTEND"].dt) for e in calendar.walk("VEVENT")]
    stays = [
        (date.fromisoformat(o["arrive"]), date.fromisoformat(o["leave"]) + timedelta(days=1))
        for o in circuits[RIGHT]["outings"]
        if o["horse"] == HORSE
    ]
    told = [(start, end) for said, start, end in events if said.startswith(f"{HORSE}: show, ")]
    assert sorted(told) == sorted(stays)
    drives = sum(HORSE in leg["horses"] for leg in circuits[RIGHT]["legs"])
    assert sum(said.startswith(f"{HORSE}: drive ") for said, _, _ in events) >= drives > 0


def test_a_rider_finds_his_road_days(page, circuits):
    """Every drive to or from a show where he rides a horse aboard, as the file has them.

    What a drive leads to is the next show where the horse is shown, homewards the last one: where
    others are loaded or unloaded it stays aboard.
    """
    open_chapter(page, "road")
    rider = circuits[RIGHT]["outings"][0]["rider"]
    page.locator(".tk-road-days select").select_option(value=rider)
    page.wait_for_function(
        "name => document.querySelector('.tk-table-road').ariaLabel.includes(name)", arg=rider
    )
    riding = {(o["horse"], o["show"]) for o in circuits[RIGHT]["outings"] if o["rider"] == rider}
    shown = {(o["horse"], o["show"]) for o in circuits[RIGHT]["outings"]}

    def list_shows(horse: str, leg: dict) -> list[tuple[str, str]]:
        """The outings that the horse drives from and to."""
        own = [each for each in circuits[RIGHT]["legs"] if horse in each["horses"]]
        at = own.index(leg)
        ahead = list(takewhile(lambda each: each["to"] != "home", own[at:]))
        stops = [each["to"] for each in ahead] + [each["from"] for each in reversed(own[: at + 1])]
        goal = next(stop for stop in stops if (horse, stop) in shown)
        return [(horse, goal), (horse, leg["from"])]

    legs = [
        leg
        for leg in circuits[RIGHT]["legs"]
        if any(riding.intersection(list_shows(horse, leg)) for horse in leg["horses"])
    ]
    told = [
        (row[0], row[3].split("\n")[0], row[3].split("\n")[1])
        for row in (
            tr.locator("td").all_inner_texts()
            for tr in page.locator("table.tk-table-road tbody tr").all()
        )
    ]
    expected = [
        (
            f"{leg['from']} \N{RIGHTWARDS ARROW} {leg['to']}",
            f"{round(leg['hours'], 1):g} h",
            f"{leg['km'] / KM_PER_MILE:,.0f} mi",
        )
        for leg in legs
    ]
    assert told == expected


def test_closing_dates_are_worked_through(page, circuits):
    """Every show of the plan with an entry that is not sent, and a mark that stays."""
    open_chapter(page, "closing")
    yard = read_yard(ROOT / "sample_calendar")
    open_shows = {
        o["show"]
        for o in circuits[RIGHT]["outings"]
        if any((o["horse"], o["show"], name) not in yard.bound_entries for name in o["classes"])
    }
    assert set(page.locator(".tk-task-name").all_inner_texts()) == open_shows
    page.locator(".tk-task-name input").first.check()
    page.wait_for_selector(".tk-task.tk-done")
    assert page.inner_text(".tk-closings .tk-sum").startswith(f"1 of {len(open_shows)} shows done.")


def test_the_planner_plans_the_sample_while_the_page_answers(page, circuits):
    """A list answers before the real planner is done; stopping loses nothing.

    However little of its time the planner had: it tells no more worth than is proved to be there,
    and what is not as good as that of the file takes its place nowhere.
    """
    open_chapter(page, "change")
    page.get_by_role("button", name="Plan again").click()
    page.wait_for_selector(".tk-steps")
    open_chapter(page, "two")
    choose(page, "left", RIGHT)
    page.wait_for_function(
        "name => !document.querySelector('.tk-head').innerText.includes(name)", arg=LEFT
    )
    assert page.locator(".tk-working").count() == 1
    assert circuits[RIGHT]["status"] in PROVED
    told = page.wait_for_function(
        "document.querySelector('.tk-progress')?.innerText.match(/([0-9,.]+) of worth found/)?.[1]"
    ).json_value()
    assert 0 < float(told.replace(",", "")) <= circuits[RIGHT]["bound"]
    page.locator(".tk-status").get_by_role("button", name=re.compile("^Stop")).click()
    page.wait_for_function("!document.querySelector('.tk-working')")
    assert page.inner_text(".tk-plan-buttons .tk-said").startswith("Stopped.")
    options = page.locator(".tk-choice-left select option").all_text_contents()
    told = [option.replace("\N{NO-BREAK SPACE}", " ") for option in options]
    for name in (LEFT, RIGHT):
        worth = write_plain(circuits[name]["totals"]["worth"])
        assert any(line.startswith(f"{name}: worth {worth}, ") for line in told)
    assert page.complaints == []


def test_a_card_whose_kernel_died_says_what_to_do(page):
    """A kernel that is started anew knows nothing of the page: the visitor is told to load it."""
    assert page.locator("#lost").is_hidden()
    kernels = [
        child
        for child in psutil.Process().children(recursive=True)
        if any("ipykernel" in word for word in child.cmdline())
    ]
    assert kernels
    for kernel in kernels:
        kernel.kill()
    page.wait_for_selector("#lost:not([hidden])")
    assert page.inner_text("#lost") == (
        "This card has stopped and answers no more. Load the page again."
    )
