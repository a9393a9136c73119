"""Manager, owner and rider play their evening from start to end on a real yard.

The yard is four horses of the sample, planned by the real planner; every number that is read on
the page is held against the JSON that the page itself hands out.
"""

from __future__ import annotations

import csv
import json
import re
import urllib.request
from datetime import date, datetime, timedelta
from pathlib import Path

import icalendar
import pytest
from openpyxl import Workbook

from tests.dashboard.browsing import (
    READY,
    needs_browser,
    open_chapter,
    put_away,
    serve,
)
from tests.dashboard.small_yard import write_small_yard
from tests.patience import PATIENCE_SECONDS
from tests.ports import find_port
from tripkit import read_yard
from tripkit.files.wishes import revise_wishes
from tripkit.season.wishes import Wishes
from tripkit.words.formats import write_money

pytestmark = needs_browser

KM_PER_MILE = 1.609344  # the international mile, agreement of 1959
AWAY = ("2027-04-05", "2027-04-25")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return write_small_yard(tmp_path_factory.mktemp("stories") / "yard")


@pytest.fixture(scope="module")
def address(folder):
    port = find_port()
    words = ("tripkit", "serve", str(folder), "--port", str(port))
    with serve(port, *words, log=folder.parent / "log") as url:
        yield url


def visit(browser, url, **how):
    context = browser.new_context(accept_downloads=True, **how)
    page = context.new_page()
    page.complaints = []
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    page.goto(url)
    return page


def wait_for_plan(page):
    page.wait_for_selector(".tk-strips-part .tk-row", state="attached")
    page.wait_for_function("!document.querySelector('.tk-working')")


def take(page, name):
    """Press a button that hands out a file: its name and bytes."""
    with page.expect_download() as coming:
        page.get_by_role("button", name=re.compile(name)).click()
    return coming.value.suggested_filename, Path(coming.value.path()).read_bytes()


def take_circuits(page):
    """All circuits as the page hands them out, by name."""
    open_chapter(page, "files")
    _, data = take(page, r"^All circuits")
    return {circuit["name"]: circuit for circuit in json.loads(data)["circuits"]}


def list_pairs(circuit):
    return {(o["horse"], o["show"]) for o in circuit["outings"]}


def write_clock(moment):
    """The hour as it is written in the United States."""
    return f"{(moment.hour + 11) % 12 + 1}:{moment:%M} {'am' if moment.hour < 12 else 'pm'}"


@pytest.fixture(scope="module")
def manager(browser, address):
    page = visit(browser, address, viewport={"width": 1440, "height": 900})
    wait_for_plan(page)
    yield page
    page.context.close()


@pytest.fixture(scope="module")
def before(manager):
    """The circuits of the first planning."""
    return take_circuits(manager)


def test_the_manager_wishes_plans_again_undoes_and_publishes(manager, before):
    """Hold, forbid, a lorry away; what moved is listed; undone is as before; then published."""
    page = manager
    most = before["Most worth"]
    held = sorted(list_pairs(before["Tour Gulf"]) - list_pairs(most))[0]
    forbidden = next(pair for pair in sorted(list_pairs(most)) if pair[0] != held[0])
    open_chapter(page, "change")
    form = page.locator('[data-form="outing"]')
    for pair, press in ((held, "Hold"), (forbidden, "Forbid")):
        form.locator('[name="horse"]').select_option(value=pair[0])
        form.locator('[name="show"]').select_option(value=pair[1])
        form.get_by_role("button", name=press).click()
        page.wait_for_function(
            "said => document.querySelector('.tk-wishes')?.innerText.includes(said)",
            arg=f"{pair[0]} {'goes' if press == 'Hold' else 'does not go'} to {pair[1]}",
        )
    away = page.locator('[data-form="away"]')
    away.locator('[name="who"]').select_option(value="Grey lorry")
    away.locator('[name="first"]').fill(AWAY[0])
    away.locator('[name="last"]').fill(AWAY[1])
    away.get_by_role("button", name="Take out").click()
    page.wait_for_function("document.querySelectorAll('.tk-wishes li').length === 3")
    # 5 and 25 April 2027 are a Monday and a Sunday (any calendar of 2027).
    assert "Grey lorry is not to be had, Mon Apr 5 \N{EN DASH} Sun Apr 25" in page.inner_text(
        ".tk-wishes"
    )
    page.get_by_role("button", name="Plan again").click()
    page.wait_for_selector(".tk-working")
    page.wait_for_function("!document.querySelector('.tk-working')")
    page.wait_for_selector(".tk-without-plan table.tk-table-moved", state="attached")
    moved = page.evaluate(
        """() => Object.fromEntries([...document.querySelectorAll(
            '.tk-without-plan .tk-fold-table-moved')].map((fold) => [
                fold.querySelector('summary').textContent,
                [...fold.querySelectorAll('tbody tr')].map((row) =>
                    [...row.children].map((cell) => cell.textContent)),
            ]))"""
    )
    unkept = page.locator(".tk-unkept li").all_inner_texts()
    after = take_circuits(page)
    first, last = (date.fromisoformat(day) for day in AWAY)
    for name, circuit in after.items():
        if circuit["status"].startswith("none"):
            continue
        assert forbidden not in list_pairs(circuit), name
        told = any(held[0] in said and held[1] in said and name in said for said in unkept)
        assert held in list_pairs(circuit) or told, name
        for leg in circuit["legs"]:
            if leg["vehicle"] == "Grey lorry":
                days = [datetime.fromisoformat(leg[end]).date() for end in ("depart", "arrive")]
                assert days[1] < first or days[0] > last, name
    rows = next(rows for said, rows in moved.items() if "most worth" in said.lower())
    assert held in list_pairs(after["Most worth"])
    for horse, lost, won, _ in rows:
        own = [{s for h, s in list_pairs(c) if h == horse} for c in (most, after["Most worth"])]
        assert {s for s in lost.split(", ") if s} == own[0] - own[1], horse
        assert {s for s in won.split(", ") if s} == own[1] - own[0], horse
    untold = {h for h, _ in list_pairs(most) ^ list_pairs(after["Most worth"])} - {
        r[0] for r in rows
    }
    assert untold == set()
    open_chapter(page, "change")
    page.get_by_role("button", name=re.compile("^Undo|before")).click()
    page.wait_for_selector("[data-do='undo']", state="detached")
    assert take_circuits(page) == before
    open_chapter(page, "change")
    page.get_by_role("button", name=re.compile("^Keep these")).click()
    page.wait_for_function(
        "document.querySelector('.tk-plan-buttons .tk-said').innerText.includes('circuits.json')"
    )
    open_chapter(page, "calendars")
    page.wait_for_selector(".tk-board .tk-sum")
    assert "Nothing is published yet" in page.inner_text(".tk-board")
    page.get_by_role("button", name=re.compile("^Publish")).click()
    assert "Everybody\u2019s calendar changes." in page.inner_text(".tk-ask-back")
    page.get_by_role("button", name="Publish now").click()
    page.wait_for_selector(".tk-posted li")
    assert "as it stands here is what every calendar shows" in page.inner_text(".tk-board")
    assert page.complaints == []


def test_the_owner_finds_the_horse_and_subscribes(browser, address, folder):
    """From the horse's own address: cost, spare days, address, QR code; the calendar is alive."""
    page = visit(browser, f"{address}#horse=Damson", viewport={"width": 820, "height": 1100})
    page.wait_for_function("document.querySelector('.tk-horse-name')?.innerText === 'Damson'")
    saved = json.loads((folder / "circuits.json").read_text(encoding="utf-8"))["circuits"]
    circuit = next(c for c in saved if c["name"] == "Good value")
    own = [o for o in circuit["outings"] if o["horse"] == "Damson"]
    facts = dict(
        line.inner_text().split("\n", 1)
        for line in page.locator(".tk-horse-page .tk-figures-plain > div").all()
    )
    assert facts["Cost"] == write_money(sum(o["cost_cents"] for o in own), "USD")
    assert facts["Outings"] == str(len(own))
    page.wait_for_selector(".tk-horse-address .tk-subscribe")
    text = page.locator(".tk-horse-address .tk-address").inner_text()
    assert text.startswith(address)
    link = page.locator(".tk-horse-address .tk-subscribe")
    assert link.get_attribute("href") == text.replace("http://", "webcal://")
    page.locator(".tk-horse-address summary").click()
    assert page.locator(".tk-horse-address .tk-qr svg").is_visible()
    name, data = take(page, r"calendar \(\.ics\)")
    assert name.endswith(".ics")
    with urllib.request.urlopen(text, timeout=PATIENCE_SECONDS) as answer:
        feed = answer.read()
    stays = sorted(
        (date.fromisoformat(o["arrive"]), date.fromisoformat(o["leave"]) + timedelta(days=1))
        for o in own
    )
    for calendar in (data, feed):
        events = icalendar.Calendar.from_ical(calendar).walk("VEVENT")
        shown = [
            (e["DTSTART"].dt, e["DTEND"].dt)
            for e in events
            if str(e["SUMMARY"]).startswith("Damson: show, ")
        ]
        assert sorted(shown) == stays
    assert page.complaints == []
    page.context.close()


def test_the_rider_checks_the_road_days_on_a_phone(browser, address, folder):
    """By the rider's own address: every drive with its day, departure, hours and miles."""
    saved = json.loads((folder / "circuits.json").read_text(encoding="utf-8"))["circuits"]
    circuit = next(c for c in saved if c["name"] == "Good value")
    rider = circuit["outings"][0]["rider"]
    page = visit(
        browser,
        f"{address}#road={rider.replace(' ', '%20')}",
        viewport={"width": 390, "height": 844},
        has_touch=True,
        color_scheme="dark",
    )
    page.wait_for_selector(".tk-table-road tbody tr")
    riding = {(o["horse"], o["show"]) for o in circuit["outings"] if o["rider"] == rider}
    legs = [
        leg
        for leg in circuit["legs"]
        if any((h, stop) in riding for h in leg["horses"] for stop in (leg["from"], leg["to"]))
    ]
    rows = page.locator(".tk-table-road tbody tr").all()
    assert len(rows) == len(legs) > 0
    for row, leg in zip(rows, legs, strict=True):
        told = row.inner_text()
        depart = datetime.fromisoformat(leg["depart"])
        assert row.locator("th").inner_text().startswith(f"{depart:%a %b} {depart.day}"), told
        assert write_clock(depart) in told
        assert f"{leg['km'] / KM_PER_MILE:,.0f} mi" in told
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.context.close()


def write_workbook(folder, path, wrong_date=False):
    """The tables of a yard folder as sheets of one workbook."""
    book = Workbook()
    book.remove(book.active)
    for table in sorted(folder.glob("*.csv")):
        sheet = book.create_sheet(table.stem)
        with table.open(encoding="utf-8", newline="") as opened:
            for number, row in enumerate(csv.reader(opened), start=1):
                if wrong_date and table.stem == "shows" and number == 3:
                    row = ["2027-02-30" if re.fullmatch(r"2027-\d\d-\d\d", c) else c for c in row]
                sheet.append(row)
    book.save(path)


def test_a_workbook_is_taken_when_it_reads_and_refused_with_its_rows(
    browser, address, folder, tmp_path
):
    """Refused: file, row, value, and nothing lost. Taken: the page shows a yard of it."""
    page = visit(browser, f"{address}#files", viewport={"width": 1440, "height": 900})
    chooser = '.tk-files-in input[data-take="files"]'
    page.wait_for_selector(chooser)
    faulty, good = tmp_path / "wrong.xlsx", tmp_path / "spring.xlsx"
    write_workbook(folder, faulty, wrong_date=True)
    write_workbook(folder, good)
    page.set_input_files(chooser, str(faulty))
    page.wait_for_selector(".tk-files-in .tk-faults-list li")
    told = page.inner_text(".tk-files-in .tk-faults-list")
    assert "row 3" in told
    assert "2027-02-30" in told
    assert page.locator(".tk-strips-part .tk-row").count() == 4
    page.set_input_files(chooser, str(good))
    page.wait_for_selector(".tk-files-in .tk-faults-list", state="detached")
    open_chapter(page, "change")
    page.wait_for_function(
        "document.querySelector('.tk-plan-buttons .tk-said').innerText.startsWith('Taken: spring')"
    )
    assert read_yard(folder).name in page.inner_text("h1")
    assert {p.suffix for p in folder.iterdir()} >= {".csv"}
    page.context.close()


def test_an_organisers_calendar_is_looked_at_before_it_is_taken(browser, address, folder, tmp_path):
    """The preview names the new show by the country's dates; only taking it writes a file."""
    organiser = tmp_path / "league.ics"
    organiser.write_bytes(
        b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//league//EN\r\nBEGIN:VEVENT\r\n"
        b"UID:one@league\r\nDTSTAMP:20270101T000000Z\r\nDTSTART;VALUE=DATE:20270407\r\n"
        b"DTEND;VALUE=DATE:20270412\r\nSUMMARY:Quarry <b>Cup</b>\r\nLOCATION:Dothan\\, AL\r\n"
        b"END:VEVENT\r\nEND:VCALENDAR\r\n"
    )
    page = visit(browser, f"{address}#files", viewport={"width": 390, "height": 844})
    chooser = '.tk-files-in input[data-take="calendar"]'
    page.wait_for_selector(chooser)
    page.set_input_files(chooser, str(organiser))
    page.wait_for_selector(".tk-merging")
    told = page.inner_text(".tk-merging")
    # 7 and 11 April 2027 are a Wednesday and a Sunday; DTEND is the day after (RFC 5545).
    assert "Quarry <b>Cup</b>, Wed Apr 7 \N{EN DASH} Sun Apr 11, Dothan, AL" in told
    assert not list(folder.glob("*.ics"))
    page.get_by_role("button", name="Leave it").click()
    page.wait_for_selector(".tk-merging", state="detached")
    page.set_input_files(chooser, str(organiser))
    page.wait_for_selector(".tk-merging")
    page.get_by_role("button", name=re.compile("^Take it into")).click()
    page.wait_for_selector(".tk-merging", state="detached")
    assert [path.name for path in folder.glob("*.ics")] == ["league.ics"]
    assert any(show.show == "Quarry <b>Cup</b>" for show in read_yard(folder).shows)
    (folder / "league.ics").unlink()
    page.context.close()


def tab_to(page, wanted, most=400):
    """Press Tab until the part in hand fits a selector."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("wanted => document.activeElement.matches(wanted)", wanted):
            return
    raise AssertionError(f"Tab never came to {wanted}")


def test_all_of_it_by_keyboard_alone(browser, folder, address):
    """Day, reason, wish, taking it back, a point of the picture, a horse: no pointer is used."""
    # What the stories before wished is in force on every page.
    revise_wishes(folder, lambda _: Wishes())
    page = visit(browser, address, viewport={"width": 1440, "height": 900})
    page.wait_for_selector(READY)
    # The stories before changed the folder: it is read once more, and the strips drawn anew.
    page.wait_for_timeout(2_500)
    tab_to(page, ".tk-strips-scroll")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    page.wait_for_selector(".tk-slip-paper")
    assert page.locator(".tk-asked").inner_text().startswith("What does Alder do on")
    page.wait_for_function("document.activeElement.matches('.tk-slip-words')")
    page.keyboard.press("Escape")
    page.wait_for_selector(".tk-slip-paper", state="detached")
    assert page.evaluate("document.activeElement.matches('.tk-strips-scroll')")
    page.keyboard.press("Home")
    tab_to(page, '.tk-contents a[href="#change"]')
    page.keyboard.press("Enter")
    page.wait_for_selector('[data-form="outing"]', state="visible")
    tab_to(page, '[data-form="outing"] [name="horse"]')
    # One letter: on a busy machine the next one would begin a word of its own.
    page.keyboard.type("C")
    tab_to(page, '[data-form="outing"] [value="forbid"]')
    page.keyboard.press("Enter")
    page.wait_for_selector(".tk-wishes li")
    assert page.inner_text(".tk-wishes li span").startswith("Clover does not go to ")
    tab_to(page, '[data-do="remove"]')
    page.keyboard.press("Enter")
    page.wait_for_selector(".tk-wishes li", state="detached")
    tab_to(page, '.tk-contents a[href="#all"]')
    page.keyboard.press("Enter")
    page.wait_for_selector(".tk-wide-only .tk-point", state="visible")
    tab_to(page, '.tk-wide-only .tk-point[data-name="Least cost"]')
    page.keyboard.press("Enter")
    page.wait_for_selector(".tk-picked button")
    tab_to(page, '.tk-picked [data-do="right"]')
    page.keyboard.press("Enter")
    tab_to(page, '.tk-contents a[href="#two"]')
    page.keyboard.press("Enter")
    page.wait_for_function("document.querySelector('.tk-head').innerText.includes('Least cost')")
    tab_to(page, '.tk-contents a[href="#horse"]')
    page.keyboard.press("Enter")
    page.wait_for_selector(".tk-horse-controls select", state="visible")
    tab_to(page, ".tk-horse-controls select")
    page.keyboard.type("D")
    page.wait_for_function("document.querySelector('.tk-horse-name')?.innerText === 'Damson'")
    assert page.complaints == []
    page.context.close()


def test_no_date_stands_as_files_write_it(browser, address):
    """On every chapter with all folds open, and on the slip: no 2027-04-06 in words or titles.

    The handbook alone shows what files say and what commands print.
    """
    page = visit(browser, address, viewport={"width": 1440, "height": 900})
    page.wait_for_selector(READY)
    found = []
    keys = page.locator(".tk-contents a").evaluate_all("all => all.map(a => a.hash.slice(1))")
    for key in (key for key in keys if key != "handbook"):
        open_chapter(page, key)
        if key == "map":
            page.wait_for_selector(".tk-chapter-map svg")
        if key == "two":
            page.click(".tk-strips-part svg.tk-timeline", position={"x": 300, "y": 80})
            page.wait_for_selector(".tk-slip-paper")
        page.wait_for_timeout(200)
        words = page.evaluate("document.querySelector('.tk-card').textContent")
        titles = page.locator(".tk-card [title], .tk-card [aria-label]").evaluate_all(
            "all => all.map(p => p.title + ' ' + p.ariaLabel).join(' ')"
        )
        found += [(key, said) for said in re.findall(r".{20}\d{4}-\d\d-\d\d.{0,9}", words + titles)]
        if key == "two":
            put_away(page)
    assert found == []
    page.context.close()
