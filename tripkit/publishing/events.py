"""What each reader's calendar holds: one event per stay, drive, recovery, school, check and date.

A plain list, before any file format: `write` turns it into RFC 5545. Everything is read from
the yard and the circuit; no clock is asked.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from functools import cached_property, lru_cache
from uuid import NAMESPACE_URL, uuid5

from tripkit.publishing import words
from tripkit.publishing.readers import Reader, check_reader, choose_reader_teller
from tripkit.publishing.zones import find_zone
from tripkit.season.bases import count_nights_on_grounds, list_base_stays
from tripkit.season.vetlist import Certificate, VetDays, VetTask, plan_vet_days
from tripkit.words.telling import CALENDAR, Teller
from tripkit.yard.bases import Base
from tripkit.yard.circuit import Circuit, Leg, Outing
from tripkit.yard.days import DaySpan, add_days, count_clear_days
from tripkit.yard.errors import BadCircuits
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.horses import VetCheck
from tripkit.yard.money import split_cents
from tripkit.yard.papers import VACCINATIONS
from tripkit.yard.places import HOME
from tripkit.yard.recovery import ROW_CLEAR_DAYS
from tripkit.yard.shows import Show
from tripkit.yard.yard import SHOW, WHO, Yard, find_first_name

PAPER_DAYS_AFTER_SEASON = 60
CONFIRMED = "CONFIRMED"
TENTATIVE = "TENTATIVE"
CANCELLED = "CANCELLED"

KINDS_SEEN: Mapping[str, frozenset[str]] = {
    **dict.fromkeys(
        ("horse", "owner"),
        frozenset(
            {
                "stay",
                "base",
                "travel",
                "recovery",
                "school",
                "vet check",
                "vaccination",
                "recheck",
                "closing",
            }
        ),
    ),
    "rider": frozenset({"stay", "travel", "way"}),
    "groom": frozenset({"stay", "base", "drive"}),
    "driver": frozenset({"drive"}),
    "vet": frozenset({"vet visit", "recheck", "certificate"}),
    "yard": frozenset(
        {
            "stay",
            "base",
            "drive",
            "recovery",
            "school",
            "vet check",
            "vaccination",
            "recheck",
            "certificate",
            "closing",
        }
    ),
}
"""Which kinds of event each kind of reader sees; papers everybody sees of his own or his horses."""

CATEGORIES: Mapping[str, str] = {
    "stay": "Show",
    "base": "Base",
    "travel there": "Travel",
    "travel home": "Travel",
    "drive": "Travel",
    "way": "Travel",
    "recovery": "Recovery",
    "school": "School",
    "vet check": "Vet",
    "vaccination": "Vet",
    "vet visit": "Vet",
    "recheck": "Vet",
    "certificate": "Vet",
    "paper": "Paper",
    "closing": "Entries",
}
DRIVES = frozenset({"travel there", "travel home", "drive"})
VET_WORK = ("vet check", "vaccination")
UID_SPACE = uuid5(NAMESPACE_URL, "https://tripkit.invalid/feeds")


def make_uid(*parts: str) -> str:
    """A name from parts: always the same for the same parts, never for others; ASCII only.

    **Source:** RFC 5545 section 3.8.4.7 (globally unique); RFC 7986 section 5.3 (UUID).
    """
    return f"{uuid5(UID_SPACE, json.dumps(parts))}@tripkit.invalid"


@lru_cache(maxsize=32768)
def tell_line(teller: Teller, line: Value) -> str:
    """A line as it is told to a reader; horse, owner, groom and yard read many of them alike."""
    return teller.tell(line)


@lru_cache(maxsize=32768)
def find_language(teller: Teller, line: Value) -> str:
    """In which language a line, or several, are told to a reader."""
    return teller.find_language(line)


@dataclass(frozen=True)
class FeedEvent:
    """One event of a reader's calendar.

    `subject` is the horse, the holder of a paper or the vehicle; `topic` the show, or the
    paper; `number` counts within (subject, topic, kind) in order of time. An event of whole
    days has dates, `end` exclusive; a timed one has aware datetimes in the zone of each end.
    `title` and `lines` are facts, told by `teller` to whoever reads it.
    `geo` is (latitude, longitude) in degrees. `zone` is where whole days begin and end.
    `first_names` are reader, subject and topic as they were called at first, where a name was
    corrected since.
    """

    yard: str
    reader: Reader
    kind: str
    subject: str
    topic: str
    number: int
    title: Value
    lines: words.Lines
    start: date
    end: date
    location: str = ""
    geo: tuple[float, float] | None = None
    status: str = CONFIRMED
    zone: str = field(default="", compare=False)
    first_names: tuple[str, ...] = field(default=(), compare=False)
    teller: Teller = field(default=CALENDAR, compare=False, repr=False)

    @cached_property
    def summary(self) -> str:
        """The title, told to the reader."""
        return tell_line(self.teller, self.title)

    @cached_property
    def description(self) -> str:
        """The lines, told to the reader, one below the other."""
        return "\n".join(self.told_lines)

    @cached_property
    def told_lines(self) -> tuple[str, ...]:
        """Each line, told to the reader."""
        return tuple(tell_line(self.teller, line) for line in self.lines)

    @property
    def group(self) -> tuple[str, str, str]:
        """What is numbered together: the kind of event, whose, and for which show."""
        return (self.kind, self.subject, self.topic)

    @property
    def uid_parts(self) -> tuple[str, ...]:
        """What the event is, whatever plan it comes from: the same parts, the same event."""
        names = self.first_names or (self.reader.name, self.subject, self.topic)
        return (self.yard, self.reader.kind, *names, self.kind, str(self.number))

    @cached_property
    def uid(self) -> str:
        """The event's name in every calendar."""
        return make_uid(*self.uid_parts)

    @property
    def is_timed(self) -> bool:
        """Whether the event has hours; else it is whole days."""
        return isinstance(self.start, datetime)

    @property
    def categories(self) -> tuple[str, ...]:
        """The groups a calendar program may sort or colour it by."""
        return (CATEGORIES[self.kind],)

    @property
    def sort_key(self) -> tuple[str, bool, str, str, str, str, int]:
        """Events stand in order of day, whole days first, then of time and of what they are."""
        day, moment = self.start.isoformat(), ""
        if isinstance(self.start, datetime):
            day = self.start.date().isoformat()
            moment = self.start.astimezone(UTC).isoformat()
        return (day, self.is_timed, moment, self.kind, self.subject, self.topic, self.number)


def list_events(yard: Yard, circuit: Circuit, reader: Reader) -> tuple[FeedEvent, ...]:
    """A reader sees what concerns him, each thing once, in order of time.

    A horse sees itself; an owner his horses, and of the money his own share; a rider the shows
    he rides, the drives to and from them and his own ways; a groom every stay and every drive with
    horses; a driver his drives; a vet each visit with its horses and the papers a vet signs; the
    yard everything. Raises `BadValue` for a
    reader the yard does not know, `BadCircuits` for a circuit of another yard.
    """
    return list_all_events(yard, circuit, (reader,))[reader]


def list_all_events(
    yard: Yard, circuit: Circuit, readers: Iterable[Reader]
) -> dict[Reader, tuple[FeedEvent, ...]]:
    """The events of several readers, as `list_events` lists them, with the vet's days laid once."""
    chosen = tuple(readers)
    for reader in chosen:
        check_reader(yard, reader)
    _check_names(yard, circuit)
    season = _Season(yard, circuit, plan_vet_days(yard, circuit))
    return {reader: _list_seen(_Scope(season, reader)) for reader in chosen}


def _list_seen(scope: _Scope) -> tuple[FeedEvent, ...]:
    reader = scope.reader
    seen = KINDS_SEEN[reader.kind]
    drafts = [
        *(_list_stays(scope) if "stay" in seen else ()),
        *(_list_bases(scope) if "base" in seen else ()),
        *(_list_travel(scope) if "travel" in seen else ()),
        *(_list_ways(scope) if "way" in seen else ()),
        *(_list_drives(scope) if "drive" in seen else ()),
        *(_list_recoveries(scope) if "recovery" in seen else ()),
        *_list_work(scope, seen),
        *(_list_visits(scope) if "vet visit" in seen else ()),
        *(_list_rechecks(scope) if "recheck" in seen else ()),
        *(_list_certificates(scope) if "certificate" in seen else ()),
        *_list_papers(scope),
        *(_list_closings(scope) if "closing" in seen else ()),
    ]
    return tuple(sorted(_number(drafts), key=lambda event: event.sort_key))


@dataclass(frozen=True)
class _Season:
    """What one circuit says to every reader, worked out once for all of them."""

    yard: Yard
    circuit: Circuit
    vet_days: VetDays

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """All legs, in order of time."""
        return tuple(sorted(self.circuit.legs, key=lambda leg: (leg.depart, leg.vehicle)))

    @cached_property
    def goals(self) -> tuple[dict[str, Outing | None], ...]:
        """For each leg, the outing that each horse aboard drives to or comes home from."""
        found: list[dict[str, Outing | None]] = []
        onward: dict[str, tuple[Leg, Outing | None]] = {}
        for leg in reversed(self.legs):
            goals = {h: self._find_outing(h, leg, onward.get(h)) for h in leg.horses}
            onward.update((h, (leg, goal)) for h, goal in goals.items())
            found.append(goals)
        return tuple(reversed(found))

    @cached_property
    def stays(self) -> dict[Outing, tuple[Fact, words.Lines, bool]]:
        """Title, lines and whether it is entered, of each outing."""
        drives: dict[str, list[tuple[Leg, Outing | None]]] = {}
        for leg, goals in zip(self.legs, self.goals, strict=True):
            for horse, goal in goals.items():
                drives.setdefault(horse, []).append((leg, goal))
        return {o: self._describe(o, drives.get(o.horse, ())) for o in self.circuit.outings}

    @cached_property
    def visits(self) -> dict[tuple[date, str], list[tuple[str, str]]]:
        """The horses and the work of each visit of the vet, by day and place."""
        found: dict[tuple[date, str], list[tuple[str, str]]] = {}
        for day in sorted(self.circuit.days, key=lambda d: (d.date, d.at, d.horse)):
            for kind in VET_WORK:
                if kind in (day.does, *day.also):
                    found.setdefault((day.date, day.at), []).append((day.horse, kind))
        return found

    @cached_property
    def tasks(self) -> dict[tuple[date, str, str], tuple[VetTask, ...]]:
        """What is done on a day at a horse, by day, horse and kind of work."""
        found: dict[tuple[date, str, str], tuple[VetTask, ...]] = {}
        for visit in self.vet_days.visits:
            for kind in VET_WORK:
                is_dose = kind == "vaccination"
                tasks = (t for t in visit.tasks if (t.paper in VACCINATIONS) == is_dose)
                found[visit.day, visit.horse, kind] = tuple(tasks)
        return found

    @cached_property
    def places(self) -> dict[tuple[str, date], str]:
        """Where each horse is on each day."""
        return {(line.horse, line.date): line.at for line in self.circuit.days}

    @cached_property
    def nights(self) -> dict[str, tuple[tuple[Base, DaySpan], ...]]:
        """The stays of each horse at a base, by their nights."""
        horses = self.yard.horse_by_name if self.yard.bases else ()
        return {horse: list_base_stays(self.yard, self.circuit, horse) for horse in horses}

    @cached_property
    def nights_on_grounds(self) -> Mapping[tuple[str, str], int]:
        """How many nights each outing sleeps in the stables of its show."""
        return count_nights_on_grounds(self.yard, self.circuit.outings, self.circuit.legs)

    def find_visit(self, certificate: Certificate) -> tuple[date, str] | None:
        """The last visit on which a certificate may be given, where its horses live."""
        found = []
        for day in certificate.visits:
            at = self.places.get((certificate.horses[0], day), HOME)
            found.append((day, at if self.yard.houses(at) else HOME))
        return max((visit for visit in found if visit in self.visits), default=None)

    def has_day_for(self, check: VetCheck) -> bool:
        """Whether the plan has a day, or had one, on which the vet looks again as a check asks."""
        by, today = check.recheck_by, self.yard.day_of_planning
        for line in self.circuit.days_by_horse.get(check.horse, ()):
            is_look = "vet check" in (line.does, *line.also)
            if by is None or not is_look or not check.date < line.date <= by:
                continue
            tasks = self.tasks.get((line.date, check.horse, "vet check"), ())
            if by < today or any(task.what.get("asked") == check.date for task in tasks):
                return True
        return False

    def _find_outing(
        self, horse: str, leg: Leg, onward: tuple[Leg, Outing | None] | None
    ) -> Outing | None:
        """The outing that a horse drives to on a leg, or on the way home comes from.

        Where the lorry only calls, and the horse stays aboard, it is that of its drive `onward`.
        """
        outings = self.circuit.outings_by_horse.get(horse, ())
        if self.yard.houses(leg.start) and self.yard.houses(leg.end):
            return None
        is_call = onward is not None and onward[0].depart.date() == leg.arrive.date()
        if leg.end == HOME or (self.yard.houses(leg.end) and not is_call):
            come = [o for o in outings if o.arrive <= leg.depart.date()]
            there = [o for o in come if self._is_at(o, leg.start)]
            return next(reversed(there or come), None)
        there = [o for o in outings if self._is_at(o, leg.end) and o.leave >= leg.arrive.date()]
        if onward and is_call and not any(o.arrive <= leg.arrive.date() for o in there):
            return onward[1]
        return there[0] if there else None

    def _is_at(self, outing: Outing, stop: str) -> bool:
        return self.yard.place_key_of(outing.show) == self.yard.place_key_of(stop)

    def _describe(
        self, outing: Outing, drives: Sequence[tuple[Leg, Outing | None]]
    ) -> tuple[Fact, words.Lines, bool]:
        yard = self.yard
        there = [
            leg
            for leg, goal in drives
            if not yard.houses(leg.end) and goal == outing and not self._is_at(outing, leg.start)
        ]
        back = [
            leg
            for leg, _ in drives
            if self._is_at(outing, leg.start)
            and outing.last_day <= leg.depart.date() <= outing.leave
        ]
        bound = all((outing.horse, outing.show, c) in yard.bound_entries for c in outing.classes)
        lines = words.describe_stay(
            yard,
            outing,
            # Its drive there begins where the lorry loads it, however often it calls on the way.
            next((leg for leg in there if leg.depart.date() == there[-1].depart.date()), None),
            back[0] if back else None,
            bound=bound,
        )
        return words.title_stay(yard, outing), lines, bound


@dataclass(frozen=True)
class _Scope:
    """One circuit as one reader sees it."""

    season: _Season
    reader: Reader

    @property
    def yard(self) -> Yard:
        """The yard of the circuit."""
        return self.season.yard

    @property
    def circuit(self) -> Circuit:
        """The circuit that is seen."""
        return self.season.circuit

    @cached_property
    def teller(self) -> Teller:
        """Who tells the reader what he reads."""
        return choose_reader_teller(self.yard, self.reader)

    @cached_property
    def horses(self) -> frozenset[str]:
        """The horses whose own events the reader sees."""
        kind, name = self.reader.kind, self.reader.name
        if kind == "horse":
            return frozenset({name})
        if kind == "owner":
            return frozenset(share.horse for share in self.yard.shares if share.owner == name)
        if kind in ("groom", "vet", "yard"):
            return frozenset(self.yard.horse_by_name)
        return frozenset()

    @cached_property
    def outings(self) -> tuple[Outing, ...]:
        """The outings the reader sees, in order of time."""
        outings = sorted(self.circuit.outings, key=lambda o: (o.first_day, o.horse, o.show))
        return tuple(o for o in outings if self.sees_outing(o))

    def sees_outing(self, outing: Outing) -> bool:
        """Whether an outing concerns the reader."""
        if self.reader.kind == "rider":
            return outing.rider == self.reader.name
        return outing.horse in self.horses

    def draft(
        self,
        kind: str,
        subject: str,
        topic: str,
        title: Fact,
        lines: words.Lines,
        start: date,
        end: date,
        *,
        at: str = "",
        status: str = CONFIRMED,
        number: int = 0,
    ) -> FeedEvent:
        """An event at a stop (home, a base or show; empty: no place); number 0 is given later."""
        name, geo = _locate(self.yard, at)
        location = words.clean_line(tell_line(self.teller, name))
        return FeedEvent(
            self.yard.name,
            self.reader,
            kind,
            subject,
            topic,
            number,
            title,
            lines,
            start,
            end,
            location,
            geo,
            status,
            find_zone(self.yard, at).key,
            _find_first_names(self.yard, self.reader, kind, subject, topic),
            self.teller,
        )


def _check_names(yard: Yard, circuit: Circuit) -> None:
    stops = {stop for leg in circuit.legs for stop in (leg.start, leg.end)} - {HOME}
    for what, used, known in (
        ("horse", {outing.horse for outing in circuit.outings}, yard.horse_by_name),
        ("show", {outing.show for outing in circuit.outings}, yard.show_by_name),
        ("show", stops, {**yard.show_by_name, **yard.base_of}),
    ):
        for name in sorted(used):
            if name not in known:
                raise BadCircuits(
                    state(
                        "values.circuit-is-no-of",
                        circuit_name=circuit.name,
                        name=name,
                        what=what,
                        yard_name=yard.name,
                    )
                )


def _find_first_names(
    yard: Yard, reader: Reader, kind: str, subject: str, topic: str
) -> tuple[str, ...]:
    """What an event's names were before any was corrected; empty where they are the same."""
    names = (
        reader.name if reader.kind == "yard" else find_first_name(yard.known_as, WHO, reader.name),
        # The subject of a certificate is a way, and the topic of a paper is the paper.
        subject if kind == "certificate" else find_first_name(yard.known_as, WHO, subject),
        topic if kind == "paper" else find_first_name(yard.known_as, SHOW, topic),
    )
    return () if names == (reader.name, subject, topic) else names


def _number(drafts: Sequence[FeedEvent]) -> Iterator[FeedEvent]:
    counted: Counter[tuple[str, str, str]] = Counter()
    for draft in sorted(drafts, key=lambda event: event.sort_key):
        if draft.number:
            yield draft
            continue
        key = (draft.subject, draft.topic, draft.kind)
        counted[key] += 1
        yield replace(draft, number=counted[key])


def _locate(yard: Yard, at: str) -> tuple[Value, tuple[float, float] | None]:
    if at == HOME:
        place = yard.place
        return place.called, (place.latitude, place.longitude)
    stop = yard.find_stop(at)
    if stop is None:
        return "", None
    found = yard.roads.places.get(stop.place_key)
    if found is None:
        return stop.place_key, None
    return found.called, (found.latitude, found.longitude)


def _list_stays(scope: _Scope) -> Iterator[FeedEvent]:
    for outing in scope.outings:
        title, lines, bound = scope.season.stays[outing]
        yield scope.draft(
            "stay",
            outing.horse,
            outing.show,
            title,
            lines,
            outing.arrive,
            add_days(outing.leave, 1),
            at=outing.show,
            status=CONFIRMED if bound else TENTATIVE,
        )


def _list_bases(scope: _Scope) -> Iterator[FeedEvent]:
    for horse in sorted(scope.horses):
        for base, nights in scope.season.nights.get(horse, ()):
            leaves = min(nights.end, scope.yard.season.last)
            yield scope.draft(
                "base",
                horse,
                base.base,
                words.title_base(horse, base),
                words.describe_base(base, nights),
                nights.first,
                add_days(leaves, 1),
                at=base.base,
            )


def _list_travel(scope: _Scope) -> Iterator[FeedEvent]:
    alone = scope.reader.kind == "horse"
    for leg, goals in zip(scope.season.legs, scope.season.goals, strict=True):
        if scope.reader.kind == "rider":
            aboard = [h for h, goal in goals.items() if goal and scope.sees_outing(goal)]
        else:
            aboard = [h for h in leg.horses if h in scope.horses]
        if not aboard:
            continue
        homeward = leg.end == HOME or (
            scope.yard.houses(leg.end) and not scope.yard.houses(leg.start)
        )
        stop, kind = (leg.start, "travel home") if homeward else (leg.end, "travel there")
        goal = goals[aboard[0]]
        subject = aboard[0] if alone else ""
        topic = goal.show if alone and goal else stop
        title = words.title_travel(scope.yard, leg, aboard)
        yield _draft_leg(scope, leg, kind, subject, topic, title, aboard)


def _list_ways(scope: _Scope) -> Iterator[FeedEvent]:
    """A rider's ways that are no drive to or from a show with a horse that he rides there."""
    driven = {
        (leg.vehicle, leg.depart.date())
        for leg, goals in zip(scope.season.legs, scope.season.goals, strict=True)
        if any(goal and scope.sees_outing(goal) for goal in goals.values())
    }
    for way in scope.circuit.rider_ways:
        if way.rider == scope.reader.name and (way.by, way.date) not in driven:
            title = words.title_way(scope.yard, way)
            topic = way.start if scope.yard.houses(way.end) else way.end
            lines = (state("feeds.way-why"),)
            yield scope.draft(
                "way", "", topic, title, lines, way.date, add_days(way.date, 1), at=way.start
            )


def _list_drives(scope: _Scope) -> Iterator[FeedEvent]:
    counted: Counter[str] = Counter()
    for leg in scope.season.legs:
        counted[leg.vehicle] += 1
        if scope.reader.kind == "driver" and scope.reader.name not in leg.drivers:
            continue
        if scope.reader.kind == "groom" and not leg.horses:
            continue
        title = words.title_drive(scope.yard, leg)
        number = counted[leg.vehicle]
        yield _draft_leg(scope, leg, "drive", leg.vehicle, "", title, leg.horses, number=number)


def _draft_leg(
    scope: _Scope,
    leg: Leg,
    kind: str,
    subject: str,
    topic: str,
    title: Fact,
    aboard: Sequence[str],
    *,
    number: int = 0,
) -> FeedEvent:
    depart = leg.depart.astimezone(find_zone(scope.yard, leg.start))
    arrive = leg.arrive.astimezone(find_zone(scope.yard, leg.end))
    lines = words.describe_drive(scope.yard, leg, aboard, depart, arrive)
    return scope.draft(
        kind, subject, topic, title, lines, depart, arrive, at=leg.start, number=number
    )


def _list_recoveries(scope: _Scope) -> Iterator[FeedEvent]:
    for horse in sorted(scope.horses):
        outings = scope.circuit.outings_by_horse.get(horse, ())
        limits = scope.yard.horse_by_name[horse].limits
        row = 1
        for outing, following in zip(outings, [*outings[1:], None], strict=False):
            if following and row < limits.shows_in_a_row and _is_row(scope.yard, outing, following):
                row += 1
                continue
            row = 1
            last = add_days(outing.last_day, limits.no_jump_days)
            if following:
                last = min(last, add_days(following.first_day, -1))
            if last <= outing.last_day:
                continue
            yield scope.draft(
                "recovery",
                horse,
                outing.show,
                words.title_recovery(horse),
                words.describe_recovery(scope.yard, outing, last),
                add_days(outing.last_day, 1),
                add_days(last, 1),
            )


def _is_row(yard: Yard, outing: Outing, following: Outing) -> bool:
    near = count_clear_days(outing.last_day, following.first_day) <= ROW_CLEAR_DAYS
    return near and yard.place_key_of(outing.show) == yard.place_key_of(following.show)


def _list_work(scope: _Scope, seen: Iterable[str]) -> Iterator[FeedEvent]:
    wanted = [kind for kind in ("school", "vet check", "vaccination") if kind in seen]
    for horse in sorted(scope.horses):
        outings = scope.circuit.outings_by_horse.get(horse, ())
        for day in scope.circuit.days_by_horse.get(horse, ()):
            for kind in wanted:
                if kind not in (day.does, *day.also):
                    continue
                topic = ""
                if kind == "school":
                    topic = next((o.show for o in outings if o.first_day >= day.date), "")
                    lines = words.describe_school(scope.yard, topic)
                elif kind == "vet check":
                    past = [o.show for o in outings if o.last_day <= day.date]
                    topic = past[-1] if past else ""
                    tasks = scope.season.tasks.get((day.date, horse, kind), ())
                    lines = words.describe_vet_check(scope.yard, horse, topic, tasks, day.date)
                else:
                    tasks = scope.season.tasks.get((day.date, horse, kind), ())
                    lines = words.describe_vaccination(scope.yard, tasks, day.date)
                title = words.title_work(horse, kind)
                end = add_days(day.date, 1)
                yield scope.draft(kind, horse, topic, title, lines, day.date, end, at=day.at)


def _list_visits(scope: _Scope) -> Iterator[FeedEvent]:
    for number, ((day_of_visit, at), work) in enumerate(scope.season.visits.items(), start=1):
        certificates = [
            c
            for c in scope.season.vet_days.certificates
            if scope.season.find_visit(c) == (day_of_visit, at)
        ]
        yield scope.draft(
            "vet visit",
            "",
            "",
            words.title_visit(work),
            words.describe_visit(scope.yard, day_of_visit, work, scope.season.tasks, certificates),
            day_of_visit,
            add_days(day_of_visit, 1),
            at=at,
            number=number,
        )


def _list_rechecks(scope: _Scope) -> Iterator[FeedEvent]:
    """The day by which the vet is to look again, where the plan has no day for it."""
    for horse, checks in sorted(scope.yard.vet_checks_by_horse.items()):
        check = checks[-1]
        if horse not in scope.horses or check.cleared or scope.season.has_day_for(check):
            continue
        if check.recheck_by:
            at = scope.season.places.get((horse, check.recheck_by), HOME)
            yield scope.draft(
                "recheck",
                horse,
                "",
                words.title_recheck(horse),
                words.describe_recheck(check),
                check.recheck_by,
                add_days(check.recheck_by, 1),
                at=at if scope.yard.houses(at) else HOME,
            )


def _list_certificates(scope: _Scope) -> Iterator[FeedEvent]:
    """The last day of each certificate; the vet reads of it in a visit, where one falls well."""
    for certificate in scope.season.vet_days.certificates:
        window, visit = certificate.window, scope.season.find_visit(certificate)
        if window is None or (scope.reader.kind == "vet" and visit is not None):
            continue
        if window.last < scope.yard.day_of_planning:
            continue
        yield scope.draft(
            "certificate",
            certificate.journey,
            certificate.show,
            words.title_certificate(scope.yard, certificate),
            words.describe_certificate(scope.yard, certificate, visit[0] if visit else None),
            window.last,
            window.end,
            at=HOME,
        )


def _list_papers(scope: _Scope) -> Iterator[FeedEvent]:
    yard, reader = scope.yard, scope.reader
    holders = {paper.holder for paper in yard.papers}
    if reader.kind in ("horse", "owner"):
        holders &= scope.horses | {reader.name}
    elif reader.kind not in ("vet", "yard"):
        holders &= {reader.name}
    first = min(yard.day_of_planning, yard.season.first)
    last = add_days(yard.season.last, PAPER_DAYS_AFTER_SEASON)
    for (holder, name), papers in sorted(yard.papers_by_holder.items()):
        paper = max(papers, key=lambda p: (p.date, p.valid_until or date.min))
        until = paper.valid_until
        if reader.kind == "vet" and name not in words.VET_PAPERS and holder != reader.name:
            continue
        if holder in holders and until and first <= until <= last:
            yield scope.draft(
                "paper",
                holder,
                name,
                words.title_paper(paper),
                words.describe_paper(paper, until),
                until,
                add_days(until, 1),
            )


def _list_closings(scope: _Scope) -> Iterator[FeedEvent]:
    yard = scope.yard
    for outing in scope.outings:
        show = yard.show_by_name[outing.show]
        bound = [c for c in outing.classes if (outing.horse, outing.show, c) in yard.bound_entries]
        missing = [c for c in map(show.find_class, outing.classes) if c and c.name not in bound]
        closing = _find_closing_day(yard, show)
        if not missing or closing is None:
            continue
        stalled = scope.season.nights_on_grounds[outing.horse, outing.show]
        lines = words.describe_closing(
            yard,
            show,
            missing,
            stall_fee_cents=show.stall_fee_cents if stalled and not bound else 0,
            late=show.is_late(closing),
            split=_find_split(scope, outing.horse),
        )
        title = words.title_closing(yard, outing.horse, outing.show)
        end = add_days(closing, 1)
        yield scope.draft("closing", outing.horse, outing.show, title, lines, closing, end)


def _find_split(scope: _Scope, horse: str) -> Callable[[int], int] | None:
    """What part of an amount [cents] is the reader's own; None: all of it, or he pays nothing."""
    shares = scope.yard.owner_shares_of(horse)
    if scope.reader.kind != "owner" or len(shares) == 1:
        return None
    mine = list(shares).index(scope.reader.name)
    return lambda cents: split_cents(cents, list(shares.values()))[mine]


def _find_closing_day(yard: Yard, show: Show) -> date | None:
    """The next closing date that has not passed: for entries, else for late ones."""
    dates = (show.entries_close, show.late_entries_until)
    return next((day for day in dates if day and day >= yard.day_of_planning), None)
