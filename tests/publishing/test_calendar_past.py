"""What is over stays as a reader was shown it, whatever a new plan says of it.

Days, uids and sequence numbers were found by hand from the season of `hand_season`: Alder is at
Dothan 1 from 14 to 22 March and at Dothan 2 from 6 to 12 April 2027, it schools on 9 March and
3 April, and is looked at on 13 April. Dothan keeps Chicago time, home New York time.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tests.build import make_paper, make_show, make_vet_check, span
from tests.publishing.hand_season import make_season_circuit, make_season_yard, split_components
from tests.publishing.test_publishing import find_title, pick, read_events
from tripkit.publishing import publish
from tripkit.store import Store, open_store
from tripkit.yard.circuit import Circuit, Day
from tripkit.yard.people import Person
from tripkit.yard.yard import TODAY_WRITTEN, Yard

YARD = make_season_yard()
CIRCUIT = make_season_circuit()
ALDER = ("horse", "Alder")
FIRST = datetime(2027, 2, 10, 9, 30, tzinfo=UTC)
DAY = timedelta(days=1)


@pytest.fixture
def store(tmp_path: Path) -> Store:
    store = open_store(tmp_path)
    publish(YARD, CIRCUIT, store, FIRST)
    return store


def noon(day: str) -> datetime:
    """Noon UTC, which is morning in America."""
    return datetime.fromisoformat(f"{day}T12:00:00+00:00")


def on(day: str, **changes: object) -> Yard:
    """The yard as of a day."""
    return make_season_yard(today=day, **changes)


def list_lines(store: Store, who: tuple[str, str], title: str) -> list[list[str]]:
    """The lines of all events of a title, in order of time."""
    found = split_components(store.read_shelf().feeds[who].body, "VEVENT")
    return [lines for lines in found if pick(lines, "SUMMARY") == title]


def tell_march_otherwise(circuit: Circuit) -> Circuit:
    """Dothan 1 begins and ends a day later, the school before it is a day earlier."""
    march = date(2027, 4, 1)
    return replace(
        circuit,
        outings=tuple(
            replace(
                o,
                first_day=o.first_day + DAY,
                last_day=o.last_day + DAY,
                arrive=o.arrive + DAY,
                leave=o.leave + DAY,
            )
            if o.first_day < march
            else o
            for o in circuit.outings
        ),
        legs=tuple(
            replace(leg, depart=leg.depart + DAY, arrive=leg.arrive + DAY)
            if leg.depart.date() < march
            else leg
            for leg in circuit.legs
        ),
        days=tuple(replace(d, date=d.date - DAY) if d.date < march else d for d in circuit.days),
    )


@pytest.mark.parametrize("today", ["2027-04-01", "2027-02-28"])
@pytest.mark.parametrize("told", ["otherwise", "not at all"])
def test_what_is_over_keeps_every_line(store: Store, told: str, today: str) -> None:
    """On 1 April, by the clock alone or by both: March stays to the letter, in every feed."""
    before = {who: read_events(store, who) for who in store.read_shelf().feeds}
    circuit = tell_march_otherwise(CIRCUIT)
    if told == "not at all":
        circuit = replace(
            CIRCUIT,
            outings=CIRCUIT.outings[2:],
            legs=CIRCUIT.legs[2:],
            days=tuple(d for d in CIRCUIT.days if d.date.month == 4),
        )
    publish(on(today), circuit, store, noon("2027-04-01"))
    for who, known in before.items():
        after = read_events(store, who)
        past = {uid: lines for uid, lines in known.items() if pick(lines, "DTEND")[:6] < "202704"}
        assert {uid: after[uid] for uid in past} == past
        # Nothing else is in March now: what was told otherwise stands once.
        assert [x for x in after.values() if pick(x, "DTEND")[:6] < "202704"] == list(past.values())


def test_the_yard_s_day_counts_where_the_clock_is_behind(store: Store) -> None:
    """Planned as of 1 April on a clock that says February: March is over."""
    before = find_title(read_events(store), r"Alder: show\, Dothan 1")
    publish(on("2027-04-01"), tell_march_otherwise(CIRCUIT), store, noon("2027-02-11"))
    assert find_title(read_events(store), r"Alder: show\, Dothan 1") == before


def test_a_day_written_in_the_settings_stands_for_the_clocks(store: Store) -> None:
    """A season that is tried years later still moves: its own day says what has ended."""
    yard = replace(on("2027-03-01"), today_from=TODAY_WRITTEN)
    publish(yard, tell_march_otherwise(CIRCUIT), store, noon("2031-01-01"))
    stay = find_title(read_events(store), r"Alder: show\, Dothan 1")
    # From the 14th it moved to the 15th, as the new plan says.
    assert pick(stay, "DTSTART").endswith("20270315")


@pytest.mark.parametrize(("hour", "end"), [("04:30", "20270324"), ("05:30", "20270323")])
def test_a_stay_ends_at_midnight_of_its_own_place(store: Store, hour: str, end: str) -> None:
    """On the grounds to 22 March: until 23 March 00:00 CDT, which is 05:00 UTC, 01:00 at home."""
    now = datetime.fromisoformat(f"2027-03-23T{hour}:00+00:00")
    longer = replace(CIRCUIT.outings[0], leave=date(2027, 3, 23))
    circuit = replace(CIRCUIT, outings=(longer, *CIRCUIT.outings[1:]))
    publish(on("2027-03-22"), circuit, store, now)
    (first, *rest) = list_lines(store, ALDER, r"Alder: show\, Dothan 1")
    assert pick(first, "DTEND") == end
    # A stay that was over goes on as a second one, of the day that is left.
    assert [pick(x, "DTSTART") for x in rest] == ([] if end == "20270324" else ["20270323"])


def test_what_is_under_way_keeps_uid_and_start_and_its_end_moves(store: Store) -> None:
    """On 18 March the plan has Alder at Dothan 1 from the 15th to the 24th."""
    before = find_title(read_events(store), r"Alder: show\, Dothan 1")
    other = replace(CIRCUIT.outings[0], arrive=date(2027, 3, 15), leave=date(2027, 3, 24))
    circuit = replace(CIRCUIT, outings=(other, *CIRCUIT.outings[1:]))
    publish(on("2027-03-18"), circuit, store, noon("2027-03-18"))
    (after,) = list_lines(store, ALDER, r"Alder: show\, Dothan 1")
    assert pick(after, "UID") == pick(before, "UID")
    assert (pick(after, "DTSTART"), pick(after, "DTEND")) == ("20270314", "20270325")
    assert pick(after, "SEQUENCE") == "1"


def test_what_is_under_way_and_planned_no_more_ends_today(store: Store) -> None:
    """On 18 March the plan has no Dothan 1 at all: the stay ends that night, not cancelled."""
    gone = replace(CIRCUIT, outings=CIRCUIT.outings[2:])
    publish(on("2027-03-18"), gone, store, noon("2027-03-18"))
    (stay,) = list_lines(store, ALDER, r"Alder: show\, Dothan 1")
    assert (pick(stay, "DTSTART"), pick(stay, "DTEND")) == ("20270314", "20270319")
    assert pick(stay, "STATUS") == "CONFIRMED"


def test_a_drive_on_the_road_is_never_cancelled(store: Store) -> None:
    """Home from Dothan 1 on 22 March, 12:00 UTC to midnight: at 15:00 it stays as it is."""
    title = r"Big Lorry: Dothan 1 to home (Alder\, Birch)"
    (before,) = list_lines(store, ("driver", "Sam"), title)
    publish(on("2027-03-22"), replace(CIRCUIT, legs=CIRCUIT.legs[2:]), store, noon("2027-03-22"))
    assert list_lines(store, ("driver", "Sam"), title) == [before]


def test_of_several_schools_one_less_leaves_the_others_alone(store: Store) -> None:
    """Schools on 1, 3 and 5 April; the first falls away: it is cancelled, two have sequence 0.

    One more comes on 2 April: it takes no other's uid.
    """
    days = [Day("Alder", date(2027, 4, n), "home", "school") for n in (1, 3, 5)]
    rest = [d for d in CIRCUIT.days if d.does != "school"]
    publish(YARD, replace(CIRCUIT, days=(*rest, *days)), store, FIRST + DAY)
    before = read_events(store)
    publish(YARD, replace(CIRCUIT, days=(*rest, *days[1:])), store, FIRST + 2 * DAY)
    after = read_events(store)
    assert set(after) == set(before)
    changed = [lines for uid, lines in after.items() if lines != before[uid]]
    assert [(pick(x, "DTSTART"), pick(x, "STATUS")) for x in changed] == [("20270401", "CANCELLED")]
    # 3 April is the school that the first publishing had: it is never touched.
    second = Day("Alder", date(2027, 4, 2), "home", "school")
    publish(YARD, replace(CIRCUIT, days=(*rest, second, *days)), store, FIRST + 3 * DAY)
    again = read_events(store)
    assert {uid: again[uid] for uid in after if after[uid] not in changed} == {
        uid: lines for uid, lines in after.items() if lines not in changed
    }
    starts = [pick(x, "DTSTART") for x in list_lines(store, ALDER, "Alder: school")]
    assert sorted(starts) == ["20270401", "20270402", "20270403", "20270405"]


def test_numbers_go_on_after_what_is_over(store: Store) -> None:
    """On 12 March the school of the 9th is over; one more before Dothan 1 is another event."""
    before = list_lines(store, ALDER, "Alder: school")[0]
    more = Day("Alder", date(2027, 3, 13), "home", "school")
    days = (more, *(d for d in CIRCUIT.days if d.date != date(2027, 3, 9)))
    publish(on("2027-03-12"), replace(CIRCUIT, days=days), store, noon("2027-03-12"))
    first, second, *_ = list_lines(store, ALDER, "Alder: school")
    assert first == before
    assert (pick(second, "DTSTART"), pick(second, "SEQUENCE")) == ("20270313", "0")
    assert pick(second, "UID") != pick(first, "UID")


def test_a_closing_date_that_has_passed_stays_and_the_late_one_is_another(store: Store) -> None:
    """Entries of Dothan 2 close on 24 March, late ones on the 31st."""
    title = r"Alder: last day to enter\, Dothan 2"
    (before,) = list_lines(store, ALDER, title)
    publish(on("2027-03-25"), CIRCUIT, store, noon("2027-03-25"))
    closed, late = list_lines(store, ALDER, title)
    assert closed == before
    assert pick(late, "DTSTART") == "20270331"


@pytest.mark.parametrize(("today", "days"), [("2027-05-01", 1), ("2027-05-04", 2)])
def test_a_paper_renewed_in_time_moves_and_too_late_is_another(
    store: Store, today: str, days: int
) -> None:
    """The dose of 3 November holds until 3 May; renewed on 1 May it moves, on 4 May it is over."""
    new = make_paper("influenza", today, "Alder", valid_until="2027-07-20")
    publish(on(today, papers=[*YARD.papers, new]), CIRCUIT, store, noon(today))
    papers = [x for x in read_events(store).values() if "CATEGORIES:Paper" in x]
    starts = [pick(lines, "DTSTART") for lines in papers]
    assert starts == ["20270503", "20270720"][-days:]


def test_whoever_comes_in_mid_season_sees_the_season(store: Store) -> None:
    """Olive buys Olga's half on 1 April: her first calendar has Dothan 1 too; Olga keeps it.

    Of what is to come Olga's is cancelled.
    """
    shares = [replace(s, owner="Olive") if s.owner == "Olga" else s for s in YARD.shares]
    people = [*YARD.people, Person("Olive", "owner")]
    before = read_events(store, ("owner", "Olga"))
    publish(on("2027-04-01", shares=shares, people=people), CIRCUIT, store, noon("2027-04-01"))
    stays = list_lines(store, ("owner", "Olive"), r"Alder: show\, Dothan 1")
    assert [pick(x, "DTSTART") for x in stays] == ["20270314"]
    for uid, lines in read_events(store, ("owner", "Olga")).items():
        if pick(lines, "DTEND")[:6] < "202704":
            assert lines == before[uid]
        else:
            assert pick(lines, "STATUS") == "CANCELLED"


def test_a_show_put_off_when_it_was_over_by_the_calendar_is_another_stay(store: Store) -> None:
    """On 1 April the organiser says that Dothan 1 is in May: March stays, May is new."""
    (before,) = list_lines(store, ALDER, r"Alder: show\, Dothan 1")
    shift = timedelta(days=49)
    outing = CIRCUIT.outings[0]
    later = replace(
        outing,
        first_day=outing.first_day + shift,
        last_day=outing.last_day + shift,
        arrive=outing.arrive + shift,
        leave=outing.leave + shift,
    )
    circuit = replace(CIRCUIT, outings=(later, CIRCUIT.outings[2]), legs=CIRCUIT.legs[2:])
    first = make_show("D1", "2027-05-04", name="Dothan 1", place_key="Dothan, AL")
    yard = on("2027-04-01", shows=[first, YARD.shows[1]], entries=[])
    publish(yard, circuit, store, noon("2027-04-01"))
    march, may = list_lines(store, ALDER, r"Alder: show\, Dothan 1")
    assert march == before
    assert (pick(may, "DTSTART"), pick(may, "SEQUENCE")) == ("20270502", "0")


def test_a_show_put_forward_into_the_past_is_cancelled_where_it_stood(store: Store) -> None:
    """On 1 April the results say that Alder was at Dothan 2 in the last week of March."""
    outing = replace(
        CIRCUIT.outings[2],
        first_day=date(2027, 3, 26),
        last_day=date(2027, 3, 27),
        arrive=date(2027, 3, 25),
        leave=date(2027, 3, 28),
    )
    circuit = replace(CIRCUIT, outings=(*CIRCUIT.outings[:2], outing), legs=CIRCUIT.legs[:2])
    publish(on("2027-04-01"), circuit, store, noon("2027-04-01"))
    (stood,) = list_lines(store, ALDER, r"Cancelled: Alder: show\, Dothan 2")
    (done,) = list_lines(store, ALDER, r"Alder: show\, Dothan 2")
    assert pick(stood, "DTSTART") == "20270406"
    assert (pick(done, "DTSTART"), pick(done, "DTEND")) == ("20270325", "20270329")


def test_next_season_takes_no_uid_of_the_last(store: Store) -> None:
    """A year later the same names: 2027 stays as it was and stands beside 2028.

    The year after that, what ended in March 2027 is shown no more, and its uids are nobody's.
    """
    before = read_events(store)
    for years, weeks in ((1, 52), (2, 104)):
        shift = timedelta(weeks=weeks)
        first = date(2027, 3, 1) + shift
        yard, circuit = move_season(shift)
        publish(yard, circuit, store, noon(str(first - 7 * DAY)))
        after = read_events(store)
        stays = [pick(x, "DTSTART") for x in list_lines(store, ALDER, r"Alder: show\, Dothan 1")]
        if years == 1:
            assert {uid: after[uid] for uid in before} == before
            assert stays == ["20270314", "20280312"]
        else:
            assert not set(before) & set(after)
            assert stays == ["20280312", "20290311"]


def move_season(shift: timedelta) -> tuple[Yard, Circuit]:
    """Yard and circuit so many weeks later: the same names, another season."""
    shows = [
        make_show(
            show.show,
            show.days.first + shift,
            show.days.last + shift,
            name=show.name,
            place_key=show.place_key,
            timezone="",
        )
        for show in YARD.shows
    ]
    season = span(YARD.season.first + shift, YARD.season.last + shift)
    yard = make_season_yard(shows=shows, season=season, entries=[], papers=[], vet_checks=[])
    circuit = replace(
        CIRCUIT,
        outings=tuple(
            replace(
                o,
                classes=("C1",),
                first_day=o.first_day + shift,
                last_day=o.last_day + shift,
                arrive=o.arrive + shift,
                leave=o.leave + shift,
            )
            for o in CIRCUIT.outings
        ),
        legs=tuple(
            replace(leg, depart=leg.depart + shift, arrive=leg.arrive + shift, stops=())
            for leg in CIRCUIT.legs
        ),
        days=tuple(replace(d, date=d.date + shift) for d in CIRCUIT.days),
    )
    return yard, circuit


def test_an_unchanged_circuit_changes_no_byte(store: Store) -> None:
    """Neither the same day nor weeks later, and no ETag; the publishing counts all the same.

    On 20 March nothing depends on the day: no closing date has passed since the first day.
    """
    before = store.read_shelf().feeds
    for now in (FIRST + timedelta(minutes=1), noon("2027-03-20")):
        published = publish(on(str(now.date())), CIRCUIT, store, now)
        assert published.changes == ()
        assert store.read_shelf().feeds == before
    assert published.revision == 3


def test_stamps_are_of_the_publishing_in_which_an_event_changed(store: Store) -> None:
    """One school moves: it and the calendar are stamped anew, in the feeds that have it only."""
    before = store.read_shelf().feeds
    days = tuple(
        replace(d, date=d.date + DAY) if (d.horse, d.does) == ("Birch", "school") else d
        for d in CIRCUIT.days
    )
    publish(YARD, replace(CIRCUIT, days=days), store, FIRST + DAY)
    feeds = store.read_shelf().feeds
    changed = {who for who, feed in feeds.items() if feed != before[who]}
    assert changed == {("horse", "Birch"), ("owner", "Otto"), ("yard", "Hill Farm")}
    for lines in read_events(store, ("owner", "Otto")).values():
        moved = pick(lines, "SUMMARY") == "Birch: school"
        assert pick(lines, "DTSTAMP") == pick(lines, "LAST-MODIFIED")
        assert pick(lines, "DTSTAMP") == ("20270211T093000Z" if moved else "20270210T093000Z")
    (head,) = split_components(feeds["owner", "Otto"].body, "VCALENDAR")
    assert pick(head, "LAST-MODIFIED") == "20270211T093000Z"
    assert "Published Thu 11 February 2027" in pick(head, "DESCRIPTION")


def test_a_check_that_was_looked_at_again_is_another_event(store: Store) -> None:
    """Cedar was to be looked at by 8 March; on the 9th it was, and is to be again by the 30th."""
    cedar, title = ("horse", "Cedar"), "Cedar: vet recheck due"
    (before,) = list_lines(store, cedar, title)
    again = make_vet_check("2027-03-09", cleared=False, horse="Cedar", recheck_by="2027-03-30")
    yard = on("2027-03-09", vet_checks=[*YARD.vet_checks, again])
    publish(yard, CIRCUIT, store, noon("2027-03-09"))
    first, second = list_lines(store, cedar, title)
    assert first == before
    assert pick(second, "DTSTART") == "20270330"
