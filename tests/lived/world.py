"""The yard as it lives: days go by, horses are ridden, things go wrong, it is planned anew.

Everything goes through the command line's door, `tripkit.commands.line.main`, and the files of the
folder; what readers see is what the store serves.
"""

from __future__ import annotations

import contextlib
import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from unittest import mock
from zoneinfo import ZoneInfo

import tripkit
from tests.lived.yard import FIRST, append_rows, write_calendar, write_rows
from tests.publishing.subscriber import Seen, Subscriber, read_feed
from tripkit.commands.line import main
from tripkit.files import reader
from tripkit.store import open_store
from tripkit.yard.circuit import Circuit, Outing

CIRCUITS = "c.json"
ZONE = "America/New_York"


@dataclass(frozen=True)
class Counts:
    """What publishings changed for readers; `ended` are events that had ended and stayed."""

    new: int = 0
    moved: int = 0
    cancelled: int = 0
    ended: int = 0

    def __add__(self, other: Counts) -> Counts:
        return Counts(
            self.new + other.new,
            self.moved + other.moved,
            self.cancelled + other.cancelled,
            self.ended + other.ended,
        )


def count_changes(
    before: Mapping[str, Seen], after: Mapping[str, Seen], now: datetime, today: date
) -> Counts:
    """What changed between two editions of a calendar."""
    both = [(before[uid], after[uid]) for uid in before.keys() & after.keys()]
    fell = sum(old.status != event.status == "CANCELLED" for old, event in both)
    return Counts(
        new=len(after.keys() - before.keys()),
        moved=sum(old.core[:2] != event.core[:2] for old, event in both),
        cancelled=fell,
        ended=sum(old == event and old.is_over(now, today) for old, event in both),
    )


class CommandFailed(AssertionError):
    """A command ended otherwise than it should; the words are what it said."""


@dataclass
class World:
    """A folder, a day, and everybody who subscribed."""

    folder: Path
    today: date = FIRST - timedelta(days=1)
    seconds: int = 20
    keep: int = 1
    subscribers: dict[tuple[str, str], Subscriber] = field(default_factory=dict)
    violations: list[str] = field(default_factory=list)
    circuit: Circuit | None = None
    ridden: set[tuple[str, str, str]] = field(default_factory=set)
    edition: int = 0
    publishings: int = 0

    @property
    def now(self) -> datetime:
        """The clock: seven in the morning at the yard, a minute later with each publishing."""
        morning = datetime.combine(self.today, time(7), ZoneInfo(ZONE))
        return (morning + timedelta(minutes=self.publishings)).astimezone(UTC)

    # Commands

    def run(self, *arguments: object, wanted: tuple[int, ...] = (0,)) -> str:
        """A command of tripkit; what it printed. Any other exit code than wanted fails."""
        out, err = io.StringIO(), io.StringIO()
        words = [str(argument) for argument in arguments]
        with (
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
            mock.patch.object(reader, "read_clock", return_value=self.now),
        ):
            code = main(words)
        if code not in wanted:
            said = "\n".join((out.getvalue()[-1500:], err.getvalue()[-2500:]))
            raise CommandFailed(f"{self.today} tripkit {' '.join(words)}: exit {code}\n{said}")
        return out.getvalue()

    @property
    def file(self) -> Path:
        """Where circuits are written, beside the folder."""
        return self.folder.with_name(f"{self.folder.name}-{CIRCUITS}")

    # The clock

    def pass_days(self, days: int) -> None:
        """Days go by: what was to be jumped meanwhile is ridden and written down."""
        last = self.today + timedelta(days=days)
        yard = tripkit.read_yard(self.folder, today=self.today)
        rows = []
        for outing in self.circuit.outings if self.circuit else ():
            show = yard.show_by_name.get(outing.show)
            if show is None or not self._goes(outing):
                continue
            for name in outing.classes:
                offered = show.find_class(name)
                key = (outing.horse, outing.show, name)
                if offered and self.today <= offered.day < last and key not in self.ridden:
                    self.ridden.add(key)
                    rows.append(
                        {
                            "horse": outing.horse,
                            "date": offered.day,
                            "show": outing.show,
                            "class": name,
                            "height_cm": offered.height_cm,
                            "faults": 4,
                            "series": offered.series,
                            "points": 3 if offered.series else "",
                        }
                    )
        if rows:
            append_rows(self.folder / "results.csv", rows)
        for day in self.circuit.days if self.circuit else ():
            looked_at = "vet check" in (day.does, *day.also)
            if looked_at and self.today <= day.date < last and self._sound(day.horse):
                self.check(day.horse, day.date, "yes")
        self.today = last

    def _goes(self, outing: Outing) -> bool:
        return self._sound(outing.horse) and not any(
            row["who"] in (outing.horse, outing.rider)
            and row["first_day"] <= str(outing.last_day)
            and row["last_day"] >= str(outing.first_day)
            for row in self.read("absences")
        )

    def _sound(self, horse: str) -> bool:
        checks = [row for row in self.read("vet_checks") if row["horse"] == horse]
        return not checks or checks[-1]["cleared"] == "yes"

    def read(self, table: str) -> list[dict[str, str]]:
        """The rows of a table of the folder."""
        path = self.folder / f"{table}.csv"
        if not path.exists():
            return []
        with path.open(encoding="utf-8", newline="") as opened:
            return list(csv.DictReader(opened))

    # What happens

    def check(self, horse: str, on: date, cleared: str, grade: int = 0) -> None:
        """The vet looks at a horse and writes down what he thinks."""
        row = {"horse": horse, "date": on, "limb": "lf", "grade": grade, "cleared": cleared}
        append_rows(self.folder / "vet_checks.csv", [row])

    def go_lame(self, horse: str) -> str:
        """A horse is lame this morning."""
        self.check(horse, self.today, "no", 2)
        return f"{horse} is lame"

    def get_sound(self, horse: str) -> str:
        """The vet clears a horse."""
        self.check(horse, self.today, "yes")
        return f"{horse} is cleared"

    def be_absent(self, who: str, days: int = 7, reason: str = "away") -> str:
        """Somebody, a horse or a lorry is away from today on."""
        last = self.today + timedelta(days=days - 1)
        row = {"who": who, "first_day": self.today, "last_day": last, "reason": reason}
        append_rows(self.folder / "absences.csv", [row])
        return f"{who} is away until {last}"

    def pay_entries(self, days: int = 10) -> str:
        """Entries for shows that close within some days are paid."""
        soon = self.today + timedelta(days=days)
        paid = {(r["horse"], r["show"], r["class"]) for r in self.read("entries")}
        yard = tripkit.read_yard(self.folder, today=self.today)
        rows = []
        for outing in self.circuit.outings if self.circuit else ():
            show = yard.show_by_name.get(outing.show)
            if show is None or not self.today < outing.first_day:
                continue
            closes = show.entries_close or outing.first_day - timedelta(days=5)
            for name in outing.classes:
                if self.today <= closes <= soon and (outing.horse, outing.show, name) not in paid:
                    rows.append(
                        {
                            "horse": outing.horse,
                            "show": outing.show,
                            "class": name,
                            "status": "paid",
                            "date": self.today,
                        }
                    )
        if rows:
            write_rows(self.folder / "entries.csv", [*self.read("entries"), *rows])
        return f"{len(rows)} entries paid" if rows else ""

    def scratch(self) -> str:
        """The first paid entry for a show to come is scratched, all classes of that outing."""
        yard = tripkit.read_yard(self.folder, today=self.today)
        days = {show.show: show.days.first for show in yard.shows}
        entries = self.read("entries")
        for row in entries:
            if row["status"] == "paid" and days.get(row["show"], FIRST) > self.today:
                outing = {"horse": row["horse"], "show": row["show"]}
                classes = {r["class"] for r in entries if outing.items() <= r.items()}
                more = {"status": "scratched", "date": self.today}
                append_rows(
                    self.folder / "entries.csv",
                    [{**outing, "class": name, **more} for name in sorted(classes)],
                )
                return f"{row['horse']} is scratched from {row['show']}"
        return "nothing was paid that could be scratched"

    def move_show(self, show: str, days: int) -> str:
        """The organiser moves a show of the folder's calendar by some days; the change is taken."""
        return self._send(show, days, cancelled=False)

    def cancel_show(self, show: str) -> str:
        """The organiser cancels a show, whatever classes and entries the yard has there."""
        return self._send(show, 0, cancelled=True)

    def is_to_come(self, show: str, days: int = 0) -> bool:
        """Whether a show lies after today, also when it is moved by some days."""
        known = tripkit.read_yard(self.folder, today=self.today).show_by_name.get(show)
        return known is not None and self.today < known.days.first + timedelta(days=min(days, 0))

    def _send(self, show: str, days: int, *, cancelled: bool) -> str:
        yard = tripkit.read_yard(self.folder, today=self.today)
        known = yard.show_by_name[show]
        first, last = (day + timedelta(days=days) for day in (known.days.first, known.days.last))
        self.edition += 1
        event = (show, first, last, known.place_key)
        text = write_calendar([event], [show] if cancelled else [], self.edition)
        path = self.folder.with_name(f"{self.folder.name}-sent.ics")
        path.write_text(text, encoding="utf-8", newline="")
        self.run("import", self.folder, path, "--take")
        return f"{show} is cancelled" if cancelled else f"{show} is moved to {first}"

    def rename(self, kind: str, old: str, new: str) -> str:
        """A name is corrected through all files and the store."""
        self.run("rename", self.folder, kind, old, new)
        self.circuit = tripkit.read_yard(self.folder, today=self.today).published
        self.ridden = {(new if horse == old else horse, *what) for horse, *what in self.ridden}
        # His readers keep their address: it is the same calendar under another name.
        self.subscribers = {
            (who_kind, new if name == old else name): subscriber
            for (who_kind, name), subscriber in self.subscribers.items()
        }
        return f"{kind} {old} is now {new}"

    # Planning and publishing

    def plan_and_publish(self) -> Counts:
        """The yard plans as of today and publishes the first circuit that exists."""
        before = self.circuit
        self.run(
            "plan",
            self.folder,
            "--keep",
            self.keep,
            "--seconds",
            self.seconds,
            "--out",
            self.file,
        )
        self.run("judge", self.folder, self.file)
        yard = tripkit.read_yard(self.folder, today=self.today)
        circuits = [c for c in tripkit.read_circuits(self.file, yard) if c.exists]
        self.publishings += 1
        self.run("publish", self.folder, self.file, circuits[0].name)
        self.circuit = circuits[0]
        self.violations += [f"{self.today} {words}" for words in self._check_circuit(before)]
        return self.read_feeds()

    def read_feeds(self) -> Counts:
        """Every reader's calendar as it is served, held to what he was shown before."""
        counts = Counts()
        with open_store(self.folder) as store:
            feeds = store.read_shelf().feeds
        for who in self.subscribers.keys() - feeds.keys():
            self.violations.append(f"{self.today} the calendar of {' '.join(who)} is gone")
        for who, feed in feeds.items():
            subscriber = self.subscribers.setdefault(who, Subscriber())
            before = dict(subscriber.events)
            try:
                subscriber.fetch(feed.body, self.now, self.today)
            except AssertionError as error:
                self.violations.append(f"{self.today} {' '.join(who)}: {error}")
                subscriber.events = read_feed(feed.body)
            counts += count_changes(before, subscriber.events, self.now, self.today)
        return counts

    def _check_circuit(self, before: Circuit | None) -> Iterator[str]:
        """What was ridden stays, totals count it, and all move on from where they stand."""
        circuit = self.circuit
        assert circuit is not None
        if circuit.totals.outings != len(circuit.outings):
            yield f"totals say {circuit.totals.outings} outings, there are {len(circuit.outings)}"
        rode = {(horse, show) for horse, show, _ in self.ridden}
        for horse, show in sorted(rode - {(o.horse, o.show) for o in circuit.outings}):
            yield f"{horse} was at {show}, and the circuit does not have it"
        worth = sum(outing.worth for outing in circuit.outings)
        if worth > circuit.totals.worth + 0.01:
            yield f"outings are worth {worth}, the total is {circuit.totals.worth}"
        stands: dict[str, str] = {}
        for leg in circuit.legs:
            for who in (leg.vehicle, *leg.horses):
                if not self._is_same_place(stands.get(who, "home"), leg.start):
                    yield f"{who} stands at {stands.get(who, 'home')} and leaves {leg.start}"
                stands[who] = leg.end
        for leg in before.legs if before else ():
            if leg.arrive.date() < self.today and leg.horses:
                key = (leg.vehicle, leg.depart, leg.start, leg.end)
                if key not in {(x.vehicle, x.depart, x.start, x.end) for x in circuit.legs}:
                    yield f"{leg.vehicle}'s drive {leg.start} to {leg.end} on {leg.depart} is gone"

    def _is_same_place(self, left: str, right: str) -> bool:
        yard = tripkit.read_yard(self.folder, today=self.today)
        return left == right or yard.place_key_of(left) == yard.place_key_of(right)
