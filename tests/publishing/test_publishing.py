"""Publishing: events move and never double, what falls away is cancelled, all or nothing.

Sequence numbers, days and texts were found by hand from the season of `hand_season`.
"""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import textwrap
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.build import make_entry
from tests.patience import PATIENCE_SECONDS
from tests.publishing.hand_season import (
    make_leg,
    make_season_circuit,
    make_season_yard,
    move_second_show,
    read,
    split_components,
)
from tripkit.publishing import (
    Publishing,
    Reader,
    export_feeds,
    list_last_changes,
    list_readers,
    name_file,
    publish,
    refresh_feeds,
    write_feed,
)
from tripkit.store import Store, open_store
from tripkit.store import database as room
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import BadStore, BadValue, OutOfDate

ROOT = Path(__file__).resolve().parents[2]
YARD = make_season_yard()
CIRCUIT = make_season_circuit()
ALDER = ("horse", "Alder")
FIRST = datetime(2027, 2, 10, 9, 30, 15, 500, tzinfo=UTC)
SECOND = FIRST + timedelta(days=3)


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return open_store(tmp_path)


def read_events(store: Store, who: tuple[str, str] = ALDER) -> dict[str, list[str]]:
    """The lines of each event of a served feed by uid; no uid may stand twice."""
    events = list(split_components(store.read_shelf().feeds[who].body, "VEVENT"))
    found = {pick(lines, "UID"): lines for lines in events}
    assert len(found) == len(events)
    return found


def pick(lines: list[str], name: str) -> str:
    """The value of the only line of a name."""
    (line,) = [x for x in lines if x.split(":")[0].split(";")[0] == name]
    return line.split(":", 1)[1]


def find_title(events: dict[str, list[str]], title: str) -> list[str]:
    """The event of a title."""
    (lines,) = [x for x in events.values() if pick(x, "SUMMARY") == title]
    return lines


def drop_second_show(circuit: Circuit) -> Circuit:
    """The circuit without Dothan 2: no outing, no drive, no school, no check."""
    return replace(
        circuit,
        name="short",
        outings=circuit.outings[:2],
        legs=circuit.legs[:2],
        days=tuple(d for d in circuit.days if d.date.month == 3),
    )


def tell(published: Publishing, kind: str, name: str) -> str:
    """What a publishing changed for one reader."""
    (found,) = [c for c in published.changes if c.reader == Reader(kind, name)]
    return found.text


def test_the_first_publishing_gives_every_reader_a_feed_and_an_address(store: Store) -> None:
    """Eleven readers, each told how many dates there are; stamps are the publishing's, UTC."""
    published = publish(YARD, CIRCUIT, store, FIRST)
    shelf = store.read_shelf()
    who = {(r.kind, r.name) for r in list_readers(YARD)}
    assert published.revision == 1
    assert set(shelf.feeds) == set(shelf.addresses) == who
    # Two stays, four drives, two recoveries, two schools, a check, a closing date, a paper.
    assert tell(published, *ALDER) == "Hill Farm: Alder: a new calendar with 13 dates."
    for lines in read_events(store).values():
        assert pick(lines, "DTSTAMP") == pick(lines, "LAST-MODIFIED") == "20270210T093015Z"
        assert pick(lines, "SEQUENCE") == "0"


def test_a_feed_says_when_it_was_published(store: Store) -> None:
    """09:30 UTC is 04:30 in New York, where the yard is."""
    publish(YARD, CIRCUIT, store, FIRST)
    about = str(read(store.read_shelf().feeds[ALDER].body)["DESCRIPTION"])
    assert "Published Wed 10 February 2027, 04:30 EST." in about


def test_publishing_the_same_again_changes_nothing_for_anybody(store: Store) -> None:
    """No sequence rises, nobody is told anything."""
    publish(YARD, CIRCUIT, store, FIRST)
    published = publish(YARD, CIRCUIT, store, SECOND)
    assert (published.revision, published.changes) == (2, ())
    assert {pick(lines, "SEQUENCE") for lines in read_events(store).values()} == {"0"}


def test_events_move_and_never_double(store: Store) -> None:
    """Dothan 2 a week later: the same uids; what moved has sequence 1, the rest 0."""
    publish(YARD, CIRCUIT, store, FIRST)
    before = {who: read_events(store, who) for who in store.read_shelf().feeds}
    publish(YARD, move_second_show(CIRCUIT, 7), store, SECOND)
    for who, known in before.items():
        after = read_events(store, who)
        assert set(after) == set(known)
        for uid, lines in after.items():
            moved = pick(lines, "DTSTART") != pick(known[uid], "DTSTART")
            assert pick(lines, "SEQUENCE") == ("1" if moved else "0")
    stay = find_title(read_events(store), r"Alder: show\, Dothan 2")
    assert (pick(stay, "DTSTART"), pick(stay, "DTEND")) == ("20270413", "20270420")


def test_of_two_drives_on_a_day_the_one_that_starts_later_keeps_its_name(store: Store) -> None:
    """Home empty and out again on 22 March, this an hour later: same uids, one sequence of 1."""
    empty = make_leg("D1", "home", "2027-03-22T06:00-05:00", "2027-03-22T14:00-04:00")
    again = make_leg("home", "D1", "2027-03-22T15:00-04:00", "2027-03-22T21:00-05:00", "Cedar")
    later = make_leg("home", "D1", "2027-03-22T16:00-04:00", "2027-03-22T22:00-05:00", "Cedar")
    found = []
    for second, now in ((again, FIRST), (later, SECOND)):
        publish(YARD, replace(CIRCUIT, legs=(CIRCUIT.legs[0], empty, second)), store, now)
        found.append(read_events(store, ("driver", "Sam")))
    before, after = found
    assert set(before) == set(after)
    raised = {uid: pick(lines, "SEQUENCE") for uid, lines in after.items()}
    assert sorted(raised.values()) == ["0", "0", "1"]
    (moved,) = [after[uid] for uid, number in raised.items() if number == "1"]
    assert pick(moved, "DTSTART") == "20270322T160000"


def test_what_moved_is_told_in_words(store: Store) -> None:
    """Alder's stay, school, recovery, check and two drives, each with now and before."""
    publish(YARD, CIRCUIT, store, FIRST)
    published = publish(YARD, move_second_show(CIRCUIT, 7), store, SECOND)
    assert tell(published, *ALDER).splitlines() == [
        "Hill Farm: Alder: what changed since Wed 10 February 2027, 04:30",
        "Moved:",
        "- Alder: school: now Sat 10 April, was Sat 3 April",
        "- Alder: show, Dothan 2: now Tue 13 April to Mon 19 April, "
        "was Tue 6 April to Mon 12 April",
        "- Alder: drive to Dothan 2: now Tue 13 April 07:00 to 18:00, "
        "was Tue 6 April 07:00 to 18:00",
        "- Alder: no jumping: now Sun 18 April to Sat 24 April, was Sun 11 April to Sat 17 April",
        "- Alder: drive home from Dothan 2: now Mon 19 April 07:00 to 20:00, "
        "was Mon 12 April 07:00 to 20:00",
        "- Alder: vet check: now Tue 20 April, was Tue 13 April",
    ]
    # Ben does not ride at Dothan 2, and hears nothing.
    assert Reader("rider", "Ben") not in [c.reader for c in published.changes]
    kept = dict(list_last_changes(store))
    assert kept[Reader("horse", "Alder")] == tell(published, *ALDER)


def test_other_words_are_told_and_raise_no_sequence(store: Store) -> None:
    """Another driver for a drive: the same time and place, so SEQUENCE stays 0."""
    publish(YARD, CIRCUIT, store, FIRST)
    legs = (*CIRCUIT.legs[:3], replace(CIRCUIT.legs[3], drivers=("Tom",)))
    published = publish(YARD, replace(CIRCUIT, legs=legs), store, SECOND)
    assert {pick(lines, "SEQUENCE") for lines in read_events(store).values()} == {"0"}
    assert tell(published, *ALDER).splitlines()[1:] == [
        "Details:",
        "- Alder: show, Dothan 2, Tue 6 April to Mon 12 April: "
        "Back: Mon 12 April 07:00, Big Lorry, drives: Tom",
        "- Alder: drive home from Dothan 2, Mon 12 April 07:00 to 20:00: Drives: Tom",
    ]


def test_an_entry_that_is_sent_raises_the_sequence_of_its_stay(store: Store) -> None:
    """TENTATIVE becomes CONFIRMED, and the closing date is no longer needed."""
    publish(YARD, CIRCUIT, store, FIRST)
    entries = [
        *YARD.entries,
        *(make_entry(c, "sent", horse="Alder", show="D2") for c in ("C1", "Grand Prix")),
    ]
    published = publish(make_season_yard(entries=entries), CIRCUIT, store, SECOND)
    stay = find_title(read_events(store), r"Alder: show\, Dothan 2")
    assert (pick(stay, "STATUS"), pick(stay, "SEQUENCE")) == ("CONFIRMED", "1")
    assert tell(published, *ALDER).splitlines()[1:] == [
        "Moved:",
        "- Alder: show, Dothan 2: now Tue 6 April to Mon 12 April, entered",
        "No longer needed:",
        "- Alder: last day to enter, Dothan 2, Wed 24 March",
    ]


def test_what_falls_away_is_cancelled_for_thirty_days(store: Store) -> None:
    """Cancelled on 13 February: still shown on 15 March, gone on the 16th, whoever publishes."""
    publish(YARD, CIRCUIT, store, FIRST)
    published = publish(YARD, drop_second_show(CIRCUIT), store, SECOND)
    stay = find_title(read_events(store), r"Cancelled: Alder: show\, Dothan 2")
    assert (pick(stay, "STATUS"), pick(stay, "SEQUENCE")) == ("CANCELLED", "1")
    assert pick(stay, "TRANSP") == "TRANSPARENT"
    assert "- Alder: show, Dothan 2, Tue 6 April to Mon 12 April" in tell(published, *ALDER)
    assert "Cancelled:" in tell(published, *ALDER)
    assert not refresh_feeds(store, SECOND + timedelta(days=30))
    assert len(read_events(store)) == 13
    assert refresh_feeds(store, SECOND + timedelta(days=31))
    statuses = [pick(lines, "STATUS") for lines in read_events(store).values()]
    assert "CANCELLED" not in statuses
    # Of the 13, the stay, two drives, recovery, school, check and closing date fell away.
    assert len(statuses) == 6


def test_what_comes_back_has_a_higher_sequence(store: Store) -> None:
    """0, cancelled 1, back 2, under the same uid."""
    publish(YARD, CIRCUIT, store, FIRST)
    uid = pick(find_title(read_events(store), r"Alder: show\, Dothan 2"), "UID")
    publish(YARD, drop_second_show(CIRCUIT), store, SECOND)
    published = publish(YARD, CIRCUIT, store, SECOND + timedelta(days=40))
    lines = read_events(store)[uid]
    assert (pick(lines, "SEQUENCE"), pick(lines, "STATUS")) == ("2", "TENTATIVE")
    assert "New:\n" in tell(published, *ALDER)


def test_what_is_over_is_not_cancelled(store: Store) -> None:
    """On 1 April a plan without March: Dothan 1 has happened, and stays as it was."""
    publish(YARD, CIRCUIT, store, FIRST)
    rest = replace(
        CIRCUIT,
        outings=CIRCUIT.outings[2:],
        legs=CIRCUIT.legs[2:],
        days=tuple(d for d in CIRCUIT.days if d.date.month == 4),
    )
    later = datetime(2027, 4, 1, 12, tzinfo=UTC)
    published = publish(make_season_yard(today="2027-04-01"), rest, store, later)
    stay = find_title(read_events(store), r"Alder: show\, Dothan 1")
    assert (pick(stay, "STATUS"), pick(stay, "SEQUENCE")) == ("CONFIRMED", "0")
    told = [c for c in published.changes if c.reader == Reader(*ALDER)]
    assert "Cancelled:" not in "".join(c.text for c in told)


def test_whoever_left_the_yard_sees_his_dates_cancelled_then_nothing(store: Store) -> None:
    """Ben left: his feed answers for thirty days more and is dropped with the next publishing."""
    publish(YARD, CIRCUIT, store, FIRST)
    ben = ("rider", "Ben")
    horses = [replace(h, rider="Ana") for h in YARD.horses]
    yard = make_season_yard(horses=horses, people=[p for p in YARD.people if p.person != "Ben"])
    circuit = replace(CIRCUIT, outings=tuple(replace(o, rider="Ana") for o in CIRCUIT.outings))
    publish(yard, circuit, store, SECOND)
    assert {pick(x, "STATUS") for x in read_events(store, ben).values()} == {"CANCELLED"}
    publish(yard, circuit, store, SECOND + timedelta(days=31))
    assert ben not in store.read_shelf().feeds


def test_a_circuit_without_a_plan_is_not_published(store: Store) -> None:
    """There is nothing to show."""
    with pytest.raises(BadValue, match="no plan"):
        publish(YARD, Circuit("none", "most worth", "none exists"), store, FIRST)
    assert store.find_current().revision == 0


def test_two_dashboards_at_once(tmp_path: Path, store: Store) -> None:
    """Both looked at revision 1; the second is told, and what the first published stands."""
    publish(YARD, CIRCUIT, store, FIRST)
    publish(YARD, move_second_show(CIRCUIT, 7), store, SECOND, upon=1)
    before = store.read_shelf()
    with pytest.raises(OutOfDate, match="somebody else published 'moved'"):
        publish(YARD, CIRCUIT, open_store(tmp_path), SECOND, upon=1)
    assert store.read_shelf() == before


def test_the_published_circuit_is_exported_as_it_is_served(store: Store, tmp_path: Path) -> None:
    """The same bytes, under readable names or secret ones; another circuit as unpublished."""
    publish(YARD, CIRCUIT, store, FIRST)
    shelf = store.read_shelf()
    export_feeds(YARD, CIRCUIT, store, tmp_path / "plain")
    export_feeds(YARD, CIRCUIT, store, tmp_path / "secret", secret_names=True)
    for who, feed in shelf.feeds.items():
        token = shelf.addresses[who].token
        assert (tmp_path / "plain" / name_file(Reader(*who))).read_bytes() == feed.body
        assert (tmp_path / "secret" / f"{token}.ics").read_bytes() == feed.body
    other = move_second_show(CIRCUIT, 7)
    export_feeds(YARD, other, store, tmp_path / "other")
    alder = Reader(*ALDER)
    assert (tmp_path / "other" / name_file(alder)).read_bytes() == write_feed(YARD, other, alder)
    with pytest.raises(BadValue, match="not published"):
        export_feeds(YARD, other, store, tmp_path / "other", secret_names=True)


def count_steps(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> int:
    """How many steps SQLite asks leave for while a second publishing is written."""
    folder = tmp_path / "count"
    folder.mkdir()
    with open_store(folder) as store:
        publish(YARD, CIRCUIT, store, FIRST)
    steps = [0]
    connect = sqlite3.connect

    def watch(*arguments: object, **options: object) -> sqlite3.Connection:
        connection = connect(*arguments, **options)  # type: ignore[call-overload]
        connection.set_trace_callback(lambda statement: steps.__setitem__(0, steps[0] + 1))
        return connection

    with monkeypatch.context() as patched:
        patched.setattr(room.sqlite3, "connect", watch)
        with open_store(folder) as store:
            publish(YARD, move_second_show(CIRCUIT, 7), store, SECOND)
    return steps[0]


KILLED = """
    import os, signal, sqlite3, sys
    from tests.publishing.test_publishing import CIRCUIT, SECOND, YARD, move_second_show
    from tripkit.publishing import publish
    from tripkit.store import database, open_store

    left = int(sys.argv[2])
    connect = sqlite3.connect

    def count(statement):
        global left
        left -= 1
        if left < 0:
            os.kill(os.getpid(), signal.SIGKILL)

    def watch(*arguments, **options):
        connection = connect(*arguments, **options)
        connection.set_trace_callback(count)
        return connection

    database.sqlite3.connect = watch
    publish(YARD, move_second_show(CIRCUIT, 7), open_store(sys.argv[1]), SECOND)
"""


@pytest.mark.skipif(os.name != "posix", reason="there is no SIGKILL")
def test_killed_at_any_step_readers_see_the_old_or_the_new_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A real process is killed before statements all along the way, the last ones included.

    The old store and the new are compared whole: every feed, address and event.
    """
    steps = count_steps(tmp_path, monkeypatch)
    assert steps > 100
    chosen = sorted({0, 5, 12, 20, steps // 3, steps // 2, steps - 3, steps - 2, steps - 1})
    with open_store(tmp_path / "count") as finished:
        new_feeds = {who: feed.body for who, feed in finished.read_shelf().feeds.items()}
    for step in chosen:
        folder = tmp_path / f"killed-{step}"
        folder.mkdir()
        with open_store(folder) as store:
            publish(YARD, CIRCUIT, store, FIRST)
            old = store.read_shelf()
        ran = subprocess.run(
            [sys.executable, "-c", textwrap.dedent(KILLED), str(folder), str(step)],
            cwd=ROOT,
            check=False,
            timeout=PATIENCE_SECONDS,
        )
        assert ran.returncode == -signal.SIGKILL
        with open_store(folder) as store:
            seen = store.read_shelf()
            if seen.current.revision == 1:
                assert seen == old
            else:
                assert {who: feed.body for who, feed in seen.feeds.items()} == new_feeds
                assert seen.addresses == old.addresses
            # And publishing goes on from there.
            publish(YARD, move_second_show(CIRCUIT, 7), store, SECOND)
            bodies = {who: feed.body for who, feed in store.read_shelf().feeds.items()}
            assert bodies == new_feeds


def test_a_fault_at_any_write_leaves_the_old_state_whole(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SQLite refuses the writing of one table after the other; nothing of it is kept."""
    publish(YARD, CIRCUIT, store, FIRST)
    old = store.read_shelf()
    connect = sqlite3.connect
    for table in ("publishings", "events", "feeds", "addresses"):
        store.close()

        def refuse(action: int, first: str | None, *others: str | None, name: str = table) -> int:
            writes = action in (sqlite3.SQLITE_INSERT, sqlite3.SQLITE_DELETE)
            return sqlite3.SQLITE_DENY if writes and first == name else sqlite3.SQLITE_OK

        def connect_refusing(*arguments: object, **options: object) -> sqlite3.Connection:
            connection = connect(*arguments, **options)  # type: ignore[call-overload]
            connection.set_authorizer(refuse)
            return connection

        with monkeypatch.context() as patched:
            patched.setattr(room.sqlite3, "connect", connect_refusing)
            with pytest.raises(BadStore, match="cannot be used"):
                publish(YARD, move_second_show(CIRCUIT, 7), store, SECOND)
        store.close()
        assert store.read_shelf() == old
