"""What the papers of horses and riders are worth at a show: one finding for each rule that asks.

`barred` is said of a paper only where it cannot be put right any more between today and the
arrival; nothing written is `unknown` and bars nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Protocol

from tripkit.eligibility.categories import (
    find_entry_day,
    is_too_soon_after,
    normalise_level,
    normalise_levels,
)
from tripkit.eligibility.classes import find_books
from tripkit.eligibility.documents import (
    Cover,
    assess_certificate,
    assess_coggins,
    assess_paper,
    assess_passport,
    assess_registration,
    assess_since,
    assess_temperatures,
    assess_written_end,
    find_test_days,
    make_day_lead,
)
from tripkit.eligibility.vaccination import DoseRules, Doses, find_dose_rules
from tripkit.eligibility.validity import state_rule
from tripkit.yard.answers import (
    BARRED,
    CAUTION,
    DUE,
    ENTRY,
    HOMEWARD,
    OK,
    RANKS,
    THERE,
    UNSANCTIONED,
    Finding,
    Verdict,
    add_sentences,
    give_reason,
    name_paper,
    write_finding,
)
from tripkit.yard.days import DaySpan, add_days
from tripkit.yard.facts import state
from tripkit.yard.horses import Horse
from tripkit.yard.papers import (
    COGGINS,
    HEALTH_CERTIFICATE,
    TEMPERATURE_LOG,
    VACCINATIONS,
    Paper,
)
from tripkit.yard.people import Person
from tripkit.yard.rulebook import Rule, RuleBook
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard

JOURNEYS = (HEALTH_CERTIFICATE, TEMPERATURE_LOG)
"""Papers made for one journey: what is said of one show holds for no other."""

STALLION = "stallion"
STATE = "state"


class Stay(Protocol):
    """A horse's days on the grounds of a show; an `Outing` is one."""

    @property
    def show(self) -> str:
        """The show."""

    @property
    def arrive(self) -> date:
        """The day it comes."""

    @property
    def leave(self) -> date:
        """The day it goes."""


def find_paper_findings(
    yard: Yard,
    horse: Horse,
    show: Show,
    arrive: date,
    last_day: date,
    *,
    leave: date | None = None,
) -> tuple[Finding, ...]:
    """What the papers of a horse say of a stay: one finding for each rule of each book that asks.

    Vaccinations are asked for on the day of arrival, tests and documents from arrival to the
    last class, health certificates on the day of each journey over a border (`leave`: the day
    after the last class unless given), coggins by the states on the way as well.
    Rules: `influenza-*`, `herpes-*`, `coggins-*`, `passport-*`, `registration-*`,
    `health_certificate-*`, `temperature-*`, `unsanctioned-*`, `residency-*`, `arteritis-*`.
    """
    days = DaySpan(arrive, max(arrive, last_day))
    return tuple(Paperwork(yard).list_findings(horse, show, days, leave))


def find_rider_findings(
    yard: Yard, rider: Person, show: Show, days: DaySpan
) -> tuple[Finding, ...]:
    """What a rider's licence, membership and registration say of the days of a show.

    A licence or membership that is written is held against its `valid_until`; where the yard
    writes them of some riders, those of the others are unknown. A registration is asked for by
    the books that have one. No book at the show: no finding.
    """
    books, today = find_books(yard, show), yard.day_of_planning
    rows = yard.papers_by_holder.get((rider.person, "registration"), ())
    verdicts = [assess_registration(rows, book, days, today) for book in books]
    for kind in ("licence", "membership") if books else ():
        own = yard.papers_by_holder.get((rider.person, kind), ())
        is_kept = any(written == kind for _, written in yard.papers_by_holder)
        verdicts.append(assess_written_end(kind, own, days, today, is_kept=is_kept))
    return tuple(
        write_finding(verdict, person=rider.person, show=show.show)
        for verdict in verdicts
        if verdict is not None
    )


def find_coggins_rule(
    yard: Yard, show: Show, book: RuleBook, on: date, region: str | None = None
) -> Rule | None:
    """How long an EIA test holds: by the region, abroad by the yard's country, else the book's.

    `region` None: that of the show's place; else that of a state on the way.
    """
    if region is None:
        region = _find_region(yard, show)
    origin = f"-from-{yard.country}" if show.country not in ("", yard.country) else ""
    for suffix in (f"-{region}" if region else "", origin, ""):
        rule = book.find_rule(f"coggins-validity{suffix}", on)
        if rule is not None:
            return rule
    return None


def find_entry_finding(yard: Yard, show: Show) -> Finding | None:
    """The last day a book leaves for definite entries, where shows.csv names none or a later one.

    None where the calendar keeps it, where no book of the show's level asks, or it is past.
    """
    for book in find_books(yard, show) if show.level else ():
        last = find_entry_day(book, show.days.first) if _is_of_body(book, show.level) else None
        written = show.last_entry_day
        if last is None or (written is not None and written <= last):
            continue
        if last < yard.day_of_planning:
            continue
        rule = book.find_rule("entry-definite-days", show.days.first)
        assert rule is not None
        named = (
            state("paperwork.no-closing")
            if written is None
            else state("paperwork.late-closing", day=written)
        )
        reason = give_reason(named, state_rule(rule.words), CAUTION, of=state("paperwork.entries"))
        return Finding(rule.id, DUE, reason, rule.cited, show=show.show, due_by=last, paper=ENTRY)
    return None


@dataclass(frozen=True)
class Asked:
    """What one book asks at a show of a horse that arrives on a day, the same for all of them.

    `free`: why no passport is asked for. `region`: the state whose EIA rule alone is known
    although others lie on the way.
    """

    book: RuleBook
    doses: tuple[tuple[str, DoseRules], ...]
    tests: tuple[Rule, ...]
    region: str
    passport: Rule | None
    free: Verdict | None
    registration: Rule | None
    crosses: bool
    logs: bool
    unsanctioned: Rule | None
    residency: Rule | None
    arteritis: Rule | None


class Paperwork:
    """The papers of a yard, asked for one horse and show after the other.

    What repeats is read once: a book's rules of a day, a horse's course of vaccination, the
    document that covers many shows.
    """

    def __init__(self, yard: Yard) -> None:
        self._yard = yard
        self._today = yard.day_of_planning
        self._asked: dict[tuple[str, date], tuple[Asked, ...]] = {}
        self._same: dict[tuple[int, ...], DoseRules] = {}
        self._alike: dict[tuple[object, ...], int] = {}
        self._rows: dict[tuple[str, str], tuple[int, tuple[Paper, ...]]] = {}
        self._doses: dict[tuple[int, str], Doses] = {}
        self._covers: dict[tuple[int, int], Cover] = {}
        self._logs: dict[tuple[int, str, date], Verdict | None] = {}
        self._journeys: dict[tuple[int, str, date, date], list[Verdict]] = {}

    def list_findings(
        self, horse: Horse, show: Show, days: DaySpan, leave: date | None = None
    ) -> list[Finding]:
        """The findings of one horse's papers for one stay, in the order of the books."""
        name, show_id = horse.horse, show.show
        books = self._asked.get((show_id, days.first))
        if books is None:
            found = find_books(self._yard, show)
            books = tuple(self._look_up(book, show, days.first) for book in found)
            self._asked[show_id, days.first] = books
        return [
            Finding(
                v.rule,
                v.answer,
                v.reason,
                v.source,
                name,
                "",
                show_id,
                "",
                v.due_by,
                v.window,
                v.paper,
                v.journey,
            )
            for asked in books
            for v in self._judge(horse, show, asked, days, leave)
        ]

    def _judge(
        self, horse: Horse, show: Show, asked: Asked, days: DaySpan, leave: date | None
    ) -> Iterator[Verdict]:
        name, book = horse.horse, asked.book
        for kind, rules in asked.doses:
            number, rows = self._list_rows(name, kind)
            doses = self._doses.get((number, book.id))
            if doses is None:
                doses = self._doses[number, book.id] = Doses(kind, rows, book, self._today)
            yield doses.assess(days.first, rules)
        if asked.tests:
            yield self._judge_tests(name, asked, days)
        if asked.passport is not None:
            yield asked.free or self._judge_document("passport", name, asked.passport, book, days)
        if asked.registration is not None:
            yield self._judge_document("registration", name, asked.registration, book, days)
        if asked.crosses:
            yield from self._judge_journeys(name, book, days, leave)
        if asked.logs:
            log = self._judge_log(name, book, days.first)
            if log is not None:
                yield log
        if asked.unsanctioned is not None:
            yield from self._judge_unsanctioned(horse, show, asked.unsanctioned)
        if asked.residency is not None:
            _, rows = self._list_rows(name, "residency")
            yield assess_since("residency", rows, asked.residency, days.first)
        if asked.arteritis is not None and horse.sex == STALLION:
            _, rows = self._list_rows(name, "arteritis")
            crossing = DaySpan(days.first, days.first)
            lead = make_day_lead(days.first)
            yield assess_paper("arteritis", rows, asked.arteritis, lead, crossing, self._today)

    def _look_up(self, book: RuleBook, show: Show, on: date) -> Asked:
        yard, doses = self._yard, []
        for kind in VACCINATIONS:
            rules = find_dose_rules(kind, book, on)
            if rules is not None:
                doses.append((kind, self._same.setdefault(rules.key, rules)))
        states = (None, *yard.roads.states_on_way.get(show.place_key, ()))
        tests = (find_coggins_rule(yard, show, book, on, state) for state in states)
        border = book.find_rule("health_certificate-border", on)
        alone = show.place_key not in yard.roads.states_on_way and self._crosses_state(show)
        origin = yard.country if show.country != yard.country else ""
        unsanctioned = book.find_rule("unsanctioned-months", on)
        return Asked(
            book,
            tuple(doses),
            tuple(dict.fromkeys(rule for rule in tests if rule is not None)),
            _find_region(yard, show) if alone else "",
            book.find_rule("passport-validity", on),
            _find_passport_exemption(yard, show, book, on),
            book.find_rule("registration-validity", on),
            border is not None and self._crosses(show, border),
            bool(show.level) and _is_of_body(book, show.level),
            unsanctioned if yard.unsanctioned_starts else None,
            book.find_rule(f"residency-days-from-{origin}", on),
            book.find_rule(f"arteritis-validity-from-{origin}", on),
        )

    def _list_rows(self, name: str, kind: str) -> tuple[int, tuple[Paper, ...]]:
        """A horse's rows of a kind, with a number that horses share whose rows say the same.

        A vet who comes to a yard gives all horses their doses on one day.
        """
        found = self._rows.get((name, kind))
        if found is None:
            rows = self._yard.papers_by_holder.get((name, kind), ())
            said = (kind, *((row.date, row.valid_until, row.note) for row in rows))
            number = self._alike.setdefault(said, len(self._alike))
            found = self._rows[name, kind] = (number, rows)
        return found

    def _judge_document(
        self, kind: str, name: str, rule: Rule, book: RuleBook, days: DaySpan
    ) -> Verdict:
        number, rows = self._list_rows(name, kind)
        cover = self._covers.get((number, id(rule)))
        if cover is None:
            cover = Cover(rows, rule, written_end_wins=kind != COGGINS)
            self._covers[number, id(rule)] = cover
        known = cover.find(days)
        if known is not None:
            return known
        rows = cover.list_best(days)
        verdict: Verdict | None
        if kind == COGGINS:
            verdict = assess_coggins(rows, book, rule, days, self._today)
        else:
            assess = assess_passport if kind == "passport" else assess_registration
            verdict = assess(rows, book, days, self._today)
        assert verdict is not None
        return cover.keep(days, verdict)

    def _judge_tests(self, name: str, asked: Asked, days: DaySpan) -> Verdict:
        """The EIA test by the state of the show and those on the way: the strictest answer."""
        verdicts = [
            self._judge_document(COGGINS, name, rule, asked.book, find_test_days(rule, days))
            for rule in asked.tests
        ]
        worst = verdicts[0]
        if len(verdicts) > 1:
            worst = min(verdicts, key=_rank_strictness)
        if worst.answer != OK and asked.region:
            why = state("paperwork.one-state", region=asked.region)
            worst = worst._replace(reason=add_sentences(worst.reason, why))
        return worst

    def _judge_log(self, name: str, book: RuleBook, arrive: date) -> Verdict | None:
        number, rows = self._list_rows(name, TEMPERATURE_LOG)
        key = (number, book.id, arrive)
        if key not in self._logs:
            self._logs[key] = assess_temperatures(rows, book, arrive, self._today)
        return self._logs[key]

    def _crosses(self, show: Show, border: Rule) -> bool:
        abroad = bool(show.country and self._yard.country and show.country != self._yard.country)
        return abroad or (border.value == STATE and self._crosses_state(show))

    def _crosses_state(self, show: Show) -> bool:
        region, home = _find_region(self._yard, show), self._yard.place.region
        return bool(region and home and region != home)

    def _judge_journeys(
        self, name: str, book: RuleBook, days: DaySpan, leave: date | None
    ) -> Iterator[Verdict]:
        """The health certificate of the way there, and that of the way home."""
        number, rows = self._list_rows(name, HEALTH_CERTIFICATE)
        back = leave or add_days(days.last, 1)
        key = (number, book.id, days.first, back)
        found = self._journeys.get(key)
        if found is None:
            origin, today = self._yard.country, self._today
            out = assess_certificate(rows, book, days.first, today, THERE, home=back, origin=origin)
            found = [] if out is None else [out]
            # Without a row, the way there says what the way home needs.
            if rows and rows[0].date <= back:
                home = assess_certificate(rows, book, back, today, HOMEWARD)
                if home is not None:
                    found.append(home._replace(rule="health_certificate-home"))
            self._journeys[key] = found
        yield from found

    def _judge_unsanctioned(self, horse: Horse, show: Show, rule: Rule) -> Iterator[Verdict]:
        for start in self._yard.unsanctioned_starts.get(horse.horse, ()):
            if is_too_soon_after(start, show.days.first, rule):
                began = state("paperwork.started", day=start)
                event = state("paperwork.unsanctioned")
                reason = give_reason(began, state_rule(rule.words), CAUTION, of=event)
                yield Verdict(rule.id, BARRED, reason, rule.cited, paper=UNSANCTIONED)


def _rank_strictness(verdict: Verdict) -> tuple[int, date, int]:
    """The worst answer first, then the earliest limit, then the window that opens last."""
    opens = verdict.window.first.toordinal() if verdict.window is not None else 0
    return RANKS[verdict.answer], verdict.due_by or date.max, -opens


def _find_region(yard: Yard, show: Show) -> str:
    place = yard.roads.places.get(show.place_key)
    return place.region if place is not None else ""


def _is_of_body(book: RuleBook, level: str) -> bool:
    """Whether a level is one of those that the book's body has rules for."""
    return f"minimum-age-{normalise_level(level)}" in book.editions or any(
        normalise_level(level) in normalise_levels(str(rule.value))
        for rule in book.editions.get("passport-free-levels", ())
    )


def _find_passport_exemption(yard: Yard, show: Show, book: RuleBook, on: date) -> Verdict | None:
    """Minor shows in the horse's own country, taken to be the yard's, ask for no passport."""
    if not show.level or not show.country or show.country != yard.country:
        return None
    free = book.find_rule("passport-free-levels", on)
    if free is None:
        return None
    if normalise_level(show.level) not in normalise_levels(str(free.value)):
        return None
    minor = state("paperwork.no-passport", level=show.level, country=show.country)
    reason = give_reason(minor, state_rule(free.words), of=name_paper("passport"))
    return Verdict(free.id, OK, reason, free.cited, paper="passport")
