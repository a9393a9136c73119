"""A horse's journey under the laws that protect animals on the road.

**Source:** 49 USC 80502, the twenty-eight hour law; Council Regulation (EC) No 1/2005, Annex I
Chapter V. Both are read from a digest; the text of the Regulation itself was not at hand.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from tripkit.judging.logbook_entries import (
    DRIVING,
    HOUR,
    OFF_DUTY,
    ON_DUTY,
    SLEEPER,
    Duty,
    Log,
    LogFault,
    Moment,
    Span,
    check_times,
    count_minutes,
    open_log,
)
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state

ABOARD, WATER, LOADING, UNLOADED = "aboard", "water", "loading", "unloaded"
PASSAGES = (ABOARD, WATER, LOADING, UNLOADED)

US_BOOK = state("laws.us-horses")
US_MINUTES, US_ASKED_MINUTES, US_REST_MINUTES = 28 * HOUR, 36 * HOUR, 5 * HOUR

EU_SHORT_MINUTES, EU_MINUTES, EU_REST_MINUTES = 8 * HOUR, 24 * HOUR, 24 * HOUR
EU_WATER_MINUTES = 8 * HOUR

# A journey is put in order by the same arithmetic as a log.
_AS_KIND = dict(zip(PASSAGES, (DRIVING, ON_DUTY, SLEEPER, OFF_DUTY), strict=True))
_IN_VEHICLE = (DRIVING, ON_DUTY, SLEEPER)


@dataclass(frozen=True)
class Passage:
    """One part of a journey: aboard, given water aboard, being loaded or unloaded, or unloaded.

    Raises `BadValue` for an unknown kind or an end before the start.
    """

    kind: str
    start: Moment
    end: Moment

    def __post_init__(self) -> None:
        if self.kind not in PASSAGES:
            raise BadValue(
                state("values.no-part-of-journey-parts", kind=self.kind, passages=tuple(PASSAGES))
            )
        check_times(self.kind, self.start, self.end)


def find_us_journey_faults(
    journey: Iterable[Passage], *, asked: bool = False, rest_aboard: bool = False
) -> tuple[LogFault, ...]:
    """A horse is confined at most 28 hours in a row, then unloaded for 5 hours in a row.

    Loading and unloading do not count. `asked`: the owner asked in writing for 36 hours.
    `rest_aboard`: the vehicle gives food, water, space and rest, and the law does not apply. Less
    than 5 hours unloaded do not count as confined, and do not begin the hours anew.

    **Source:** 49 USC 80502(a), (b), (c).
    """
    if rest_aboard:
        return ()
    log = _open_journey(journey)
    limit = US_ASKED_MINUTES if asked else US_MINUTES
    return tuple(
        log.make_fault(
            "us-confined-28h",
            state(
                "logbook.us-confined",
                confined_minutes=sum(p.minutes for p in parts),
                since=log.name_moment(parts[0].start),
                rest_minutes=US_REST_MINUTES,
                most_minutes=limit,
            ),
            over,
            US_BOOK,
        )
        for parts in _cut_journey(log, US_REST_MINUTES, (DRIVING, ON_DUTY))
        if (over := _find_overrun(parts, limit)) is not None
    )


def find_eu_journey_faults(
    journey: Iterable[Passage], *, registered: bool, long_journeys: bool = True
) -> tuple[LogFault, ...]:
    """A horse that is not registered drinks every 8 hours and travels 24, then rests 24 unloaded.

    A registered horse is exempt from intervals and journey times. In a vehicle that is not
    equipped for long journeys (`long_journeys` False) the journey ends after 8 hours. Loading
    counts as journey. The two hours more in the interest of the animals (1.8) are left aside.

    **Source:** Regulation (EC) No 1/2005 Annex I Ch. V 1.1 (registered Equidae), 1.2, 1.4(c), 1.5.
    """
    if registered:
        return ()
    log = _open_journey(journey)
    limit = EU_MINUTES if long_journeys else EU_SHORT_MINUTES
    found: list[LogFault] = []
    for parts in _cut_journey(log, EU_REST_MINUTES, _IN_VEHICLE):
        over = _find_overrun(parts, limit)
        if over is not None:
            fact = state(
                "logbook.eu-journey",
                travel_minutes=sum(p.minutes for p in parts),
                since=log.name_moment(parts[0].start),
                rest_minutes=EU_REST_MINUTES,
                most_minutes=limit,
            )
            article = "1.4(c), 1.5" if long_journeys else "1.2"
            found.append(
                log.make_fault(
                    "eu-journey-time", fact, over, state("laws.eu-horses", points=article)
                )
            )
    found += _find_thirst(log)
    return tuple(sorted(found, key=lambda fault: (count_minutes(fault.start), fault.rule)))


def _find_thirst(log: Log) -> Iterator[LogFault]:
    """A horse is offered liquid at least every eight hours; unloaded it has water."""
    since: int | None = None
    for span in log.spans:
        if span.kind in (ON_DUTY, OFF_DUTY):
            since = None
            continue
        since = span.start if since is None else since
        due = since + EU_WATER_MINUTES
        if max(due, span.start) < span.end:
            fact = state(
                "logbook.eu-water",
                since=log.name_moment(since),
                until=log.name_moment(span.end),
                most_minutes=EU_WATER_MINUTES,
            )
            yield log.make_fault(
                "eu-water-8h", fact, max(due, span.start), state("laws.eu-horses", points="1.4(c)")
            )
            since = span.end


def _open_journey(journey: Iterable[Passage]) -> Log:
    return open_log(Duty(_AS_KIND[part.kind], part.start, part.end) for part in journey)


def _cut_journey(log: Log, rest_minutes: int, counted: Sequence[str]) -> Iterator[list[Span]]:
    """The parts that count, each run of them ending with a rest unloaded that is long enough."""
    parts: list[Span] = []
    for span in log.spans:
        if span.kind in counted:
            parts.append(span)
        elif span.kind == OFF_DUTY and span.minutes >= rest_minutes:
            if parts:
                yield parts
            parts = []
    if parts:
        yield parts


def _find_overrun(parts: Sequence[Span], limit: int) -> int | None:
    used = 0
    for part in parts:
        if used + part.minutes > limit:
            return part.start + limit - used
        used += part.minutes
    return None
