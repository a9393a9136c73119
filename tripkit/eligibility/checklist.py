"""Everything there is to say before planning, what has to be done first on top."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date

from tripkit.eligibility.categories import compute_horse_age, count_horse_year
from tripkit.eligibility.classes import (
    CALENDAR_SOURCE,
    PEOPLE_SOURCE,
    find_books,
    find_class_findings,
    find_clearance_finding,
    fits_class,
    is_southern,
    list_riders,
)
from tripkit.eligibility.paperwork import Paperwork, find_entry_finding, find_rider_findings
from tripkit.eligibility.validity import state_rule
from tripkit.yard.answers import (
    BARRED,
    CAUTION,
    DOUBLE_ENTRY,
    DUE,
    ELIGIBLE,
    OK,
    RANKS,
    STARTS,
    TREATMENT,
    UNKNOWN,
    YOUNG_HORSE,
    Finding,
    give_reason,
)
from tripkit.yard.days import DaySpan, add_days
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Horse
from tripkit.yard.shows import JUNIOR, YOUNG, Show, ShowClass
from tripkit.yard.treatments import quote_treatments
from tripkit.yard.yard import Yard

CAP_SOURCE = "the yard's own cap in horses.csv, not a published rule (none with a number was found)"


def findings(yard: Yard) -> tuple[Finding, ...]:
    """Everything there is to say before planning, what has to be done first on top.

    For each horse one clearance, its entries held against the yard's caps, its treatments; for
    each show with a class of its height that is not past, one finding `eligible` that sums up
    the classes, and the papers, asked for as if the horse came `arrive_days_before` its first
    class that fits; for each rider named by such a horse the papers of the rider. Order: barred
    and due by date, unknown, ok, each in the yard's own order.
    """
    with _pause_collector():
        return _sort(_list_findings(yard))


@contextmanager
def _pause_collector() -> Iterator[None]:
    """Hundreds of thousands of tuples, none in a circle, are not looked through for circles."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _list_findings(yard: Yard) -> list[Finding]:
    found: list[Finding] = []
    riding: dict[tuple[str, str], DaySpan] = {}
    paperwork = Paperwork(yard)
    offers = [_Offer(yard, show) for show in yard.shows]
    shown: dict[str, Show] = {}
    for horse in yard.horses:
        found.append(find_clearance_finding(yard, horse))
        found.extend(_find_cap_findings(yard, horse))
        before = -horse.limits.arrive_days_before
        for offer in offers:
            show = offer.show
            summed = offer.sum_up(horse)
            if summed is None:
                continue
            found.append(
                Finding(
                    ELIGIBLE,
                    summed.answer,
                    summed.reason,
                    summed.source,
                    horse.horse,
                    horse.rider,
                    show.show,
                    paper=ELIGIBLE,
                )
            )
            days = DaySpan(add_days(summed.days.first, before), summed.days.last)
            found += paperwork.list_findings(horse, show, days)
            if summed.fits:
                shown[show.show] = show
                for rider in list_riders(yard, horse, show) if horse.rider else ():
                    known = riding.get((rider.person, show.show), summed.days)
                    riding[rider.person, show.show] = DaySpan(
                        min(known.first, summed.days.first), max(known.last, summed.days.last)
                    )
        found.extend(_find_year_findings(yard, horse))
    for (person, show_id), days in riding.items():
        show = yard.show_by_name[show_id]
        found.extend(find_rider_findings(yard, yard.riders[person], show, days))
    found.extend(_find_double_entries(yard))
    for show in shown.values():
        entry = find_entry_finding(yard, show)
        if entry is not None:
            found.append(entry)
    found.extend(_find_treatments(yard))
    return found


def _sort(found: Sequence[Finding]) -> tuple[Finding, ...]:
    by_answer: dict[str, list[Finding]] = {answer: [] for answer in RANKS}
    for finding in found:
        by_answer[finding.answer].append(finding)
    for answer in (BARRED, DUE):
        by_answer[answer].sort(key=lambda f: f.due_by or date.max)
    return tuple(finding for answer in RANKS for finding in by_answer[answer])


# Classes


@dataclass(frozen=True)
class _Sum:
    """The classes of a horse's height at a show, summed up: what fits, on which days."""

    answer: str
    reason: Fact
    source: str
    days: DaySpan
    fits: bool


class _Offer:
    """The classes of a show that are still to come; horses that are alike get one answer."""

    def __init__(self, yard: Yard, show: Show) -> None:
        self.show = show
        self._yard = yard
        self._southern = is_southern(yard, show)
        self._classes = [c for c in show.classes if c.day >= yard.day_of_planning]
        self._known: dict[tuple[object, ...], _Sum | None] = {}

    def sum_up(self, horse: Horse) -> _Sum | None:
        """One answer for all classes of the horse's height, None where there are none."""
        if not self._classes:
            return None
        low, high = horse.from_height_cm, horse.to_height_cm
        year = count_horse_year(horse.born, self._southern)
        riders = (horse.rider, *horse.also_ridden_by)
        key = (low, high, year, horse.born_year_only, riders)
        if key not in self._known:
            tall = [c for c in self._classes if low <= c.height_cm <= high]
            self._known[key] = self._sum_up(horse, tall) if tall else None
        return self._known[key]

    def _sum_up(self, horse: Horse, tall: Sequence[ShowClass]) -> _Sum:
        """Barred only where no class fits, unknown only where each that fits is doubtful."""
        fitting = [c for c in tall if fits_class(self._yard, horse, c)]
        answer, source = (OK, CALENDAR_SOURCE) if fitting else (BARRED, PEOPLE_SOURCE)
        doubts: dict[Fact, list[str]] = {}
        doubtful = 0
        for offered in tall:
            plain = offered.division not in (JUNIOR, YOUNG) and offered.youngest_horse is None
            if offered in fitting and plain:
                continue
            found = find_class_findings(self._yard, horse, self.show, offered)
            wrong = [f for f in found if f.answer in (BARRED, UNKNOWN)]
            doubtful += offered in fitting and bool(wrong)
            for finding in wrong:
                doubts.setdefault(finding.reason, []).append(offered.name)
                source = finding.source
        if fitting and doubtful == len(fitting):
            answer = UNKNOWN
        reason = state("eligibility.sum", fitting=len(fitting), count=len(tall))
        if doubts:
            wrong_ones = tuple(
                state("eligibility.doubt", classes=tuple(names), why=why)
                for why, names in doubts.items()
            )
            reason = state("eligibility.sum-doubts", sum=reason, doubts=wrong_ones)
        asked = fitting or tall
        days = DaySpan(min(c.day for c in asked), max(c.day for c in asked))
        return _Sum(answer, reason, source, days, bool(fitting))


# Entries


def _find_cap_findings(yard: Yard, horse: Horse) -> Iterator[Finding]:
    """Entries sent or paid are held against the yard's own caps of starts a day and a show."""
    by_show: dict[str, list[date]] = {}
    for name, show_id, class_name in yard.bound_entries:
        offered = yard.find_class(show_id, class_name) if name == horse.horse else None
        if offered is not None and offered.day >= yard.day_of_planning:
            by_show.setdefault(show_id, []).append(offered.day)
    for show_id, days in by_show.items():
        wrong: list[Fact] = []
        if len(days) > horse.starts_per_show:
            most = horse.starts_per_show
            wrong.append(state("paperwork.show-cap", count=len(days), most=most))
        busiest = max(days, key=lambda day: (days.count(day), -day.toordinal()))
        if days.count(busiest) > horse.starts_per_day:
            wrong.append(
                state(
                    "paperwork.day-cap",
                    count=days.count(busiest),
                    day=busiest,
                    most=horse.starts_per_day,
                )
            )
        for said in wrong:
            reason = give_reason(said, state("actions.scratch"), of=state("paperwork.starts"))
            yield Finding(
                STARTS,
                DUE,
                reason,
                CAP_SOURCE,
                horse.horse,
                show=show_id,
                due_by=min(days),
                paper=STARTS,
            )


def _find_year_findings(yard: Yard, horse: Horse) -> Iterator[Finding]:
    """Young horses whose shows of a year a book counts: those that come after the last allowed."""
    seen = {(o.show, o.first_day) for o in yard.history.get(horse.horse, ())}
    bound = {show_id for name, show_id, _ in yard.bound_entries if name == horse.horse}
    seen |= {(show_id, yard.show_by_name[show_id].days.first) for show_id in bound}
    for show in yard.shows if seen else ():
        first = show.days.first
        if first < yard.day_of_planning:
            continue
        age = compute_horse_age(horse.born, first, is_southern(yard, show))
        for book in find_books(yard, show):
            rule = book.find_rule(f"young-shows-{age}", first)
            if rule is None or not isinstance(rule.value, int):
                continue
            before = {s for s, day in seen if day.year == first.year and day < first}
            if len(before - {show.show}) >= rule.value:
                shown = state("paperwork.shown", count=len(before), year=str(first.year))
                yield Finding(
                    rule.id,
                    BARRED,
                    give_reason(
                        shown, state_rule(rule.words), CAUTION, of=state("paperwork.shows")
                    ),
                    rule.cited,
                    horse.horse,
                    show=show.show,
                    paper=YOUNG_HORSE,
                )


def _find_double_entries(yard: Yard) -> Iterator[Finding]:
    """The same horse and rider definitely entered at two shows whose days overlap."""
    held: dict[str, list[Show]] = {}
    for name, show_id, _ in yard.bound_entries:
        show = yard.show_by_name[show_id]
        shows = held.setdefault(name, [])
        if show not in shows and show.days.last >= yard.day_of_planning:
            shows.append(show)
    for name, shows in held.items():
        for show in shows:
            asked = (b.find_rule("double-entry", show.days.first) for b in find_books(yard, show))
            rule = next((r for r in asked if r is not None), None)
            others = tuple(o.show for o in shows if o is not show and o.days.overlaps(show.days))
            if rule is not None and others:
                rider = yard.horse_by_name[name].rider
                twice = state("paperwork.twice", show=show.show, others=others)
                yield Finding(
                    rule.id,
                    BARRED,
                    give_reason(
                        twice, state_rule(rule.words), CAUTION, of=state("paperwork.entries")
                    ),
                    rule.cited,
                    name,
                    rider,
                    show.show,
                    due_by=show.last_entry_day,
                    paper=DOUBLE_ENTRY,
                )


# Treatments


def _find_treatments(yard: Yard) -> Iterator[Finding]:
    """Published figures of each treatment; they bar nothing and clear nothing."""
    if yard.medicines is not None:
        for quote in quote_treatments(yard.treatments, yard.medicines):
            yield Finding(
                TREATMENT,
                UNKNOWN,
                quote.text,
                quote.source,
                quote.treatment.horse,
                paper=TREATMENT,
            )
