"""Shows, the classes they offer, and the tours they belong to."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.horses import Horse
from tripkit.yard.money import round_cents

OPEN = "open"
YOUNG = "young"
JUNIOR = "junior"
AMATEUR = "amateur"
USUAL_WORTH = Decimal(10)
DIVISIONS = (OPEN, YOUNG, JUNIOR, AMATEUR)


@dataclass(frozen=True)
class ShowClass:
    """One competition of a show: day, height [cm], division, fee, prize, worth.

    `worth` is what the yard wrote, see `count_worth`; `points` is what it expects to earn in
    `series` if it goes as usual.
    """

    show: str
    name: str
    day: date
    height_cm: int
    division: str = OPEN
    youngest_horse: int | None = None
    oldest_horse: int | None = None
    fee_cents: int = 0
    prize_cents: int = 0
    worth: Decimal | None = None
    series: str = ""
    points: Decimal = Decimal(0)
    starts_minutes: int | None = None
    ends_minutes: int | None = None

    def __post_init__(self) -> None:
        if self.height_cm <= 0:
            raise BadValue(state("values.height-cm-must-be-above", height_cm=self.height_cm))
        if self.fee_cents < 0 or self.prize_cents < 0:
            raise BadValue(state("values.fee-and-prize-must-not"))
        if self.worth is not None and self.worth < 0:
            raise BadValue(state("values.worth-must-not-be-negative", worth=self.worth))
        youngest, oldest = self.youngest_horse, self.oldest_horse
        if youngest is not None and oldest is not None and oldest < youngest:
            raise BadValue(
                state("values.oldest-horse-is-below-youngest", oldest=oldest, youngest=youngest)
            )


@dataclass(frozen=True)
class Start:
    """One horse in one class, and who rides it: empty where the horse names nobody."""

    horse: Horse
    offered: ShowClass
    rider: str = ""


def count_worth(horse: Horse, offered: ShowClass) -> Decimal:
    """What a start in a class counts for a horse, before its weight: what the yard wrote, else 10.

    With `class_worth` by class, from 10 at the bottom of the horse's heights to 20 at their top, in
    tenths (half up); a horse of one height only has 10.
    """
    if offered.worth is not None:
        return offered.worth
    low, high = horse.from_height_cm, horse.to_height_cm
    if horse.limits.class_worth == "the same" or low == high:
        return USUAL_WORTH
    height_cm = min(max(offered.height_cm, low), high)
    beyond = USUAL_WORTH * (height_cm - low) / (high - low)
    return USUAL_WORTH + beyond.quantize(Decimal("0.1"), ROUND_HALF_UP)


def choose_starts(
    starts: Sequence[Start],
    clashes: Callable[[Start, Sequence[Start]], object],
    weigh: Callable[[Start], tuple[Decimal | int, ...]],
    beside: Sequence[Start] = (),
) -> list[Start]:
    """Of starts that may not all stand together, beside given ones, those that weigh the most.

    They come best first. Each is taken first once, then whatever still may stand: that is exact
    for a limit a day within one a show. Where the given ones leave none, it is the best alone.
    """
    able = [start for start in starts if not clashes(start, beside)] or starts[:1]

    def fill(first: Start) -> list[Start]:
        taken = [*beside, first]
        for start in able:
            if start is not first and not clashes(start, taken):
                taken.append(start)
        return taken[len(beside) :]

    def add_up(taken: list[Start]) -> list[Decimal | int]:
        return [sum(column) for column in zip(*map(weigh, taken), strict=True)]

    return max(map(fill, able), key=add_up, default=[])


@dataclass(frozen=True)
class Show:
    """One event at one place, first to last day, with its classes in day order.

    `place_key` is the place as the yard wrote it: shows with the same key are at the same
    place. `stabling` are the days on which a horse may stand there; between `stables_open_minutes`
    and `stables_close_minutes` after midnight the stables take horses. `places_left` counts
    beyond the entries already sent or paid; None means no known limit. Until `refund_until` the
    organiser gives back `refund_share` of the fees, all where no share is told; None means never.
    """

    show: str
    place_key: str
    days: DaySpan
    stabling: DaySpan
    name: str = ""
    tour: str = ""
    country: str = ""
    timezone: str = ""
    entries_open: date | None = None
    entries_close: date | None = None
    late_entries_until: date | None = None
    late_fee_cents: int = 0
    stall_fee_cents: int = 0
    level: str = ""
    rules: str = ""
    places_left: int | None = None
    notes: str = ""
    stables_open_minutes: int = 0
    stables_close_minutes: int = 24 * 60
    refund_until: date | None = None
    refund_share: Fraction | None = None
    classes: tuple[ShowClass, ...] = ()

    def __post_init__(self) -> None:
        if self.late_fee_cents < 0 or self.stall_fee_cents < 0:
            raise BadValue(state("values.late-fee-and-stall-fee"))
        if self.places_left is not None and self.places_left < 0:
            raise BadValue(state("values.places-left-must-not-be", places_left=self.places_left))
        if not 0 <= self.stables_open_minutes < self.stables_close_minutes <= 24 * 60:
            opens, closes = self.stables_open_minutes, self.stables_close_minutes
            raise BadValue(
                state(
                    "values.stables-open-must-be-before",
                    opens=f"{opens // 60:02d}",
                    opens_2=f"{opens % 60:02d}",
                    closes=f"{closes // 60:02d}",
                    closes_2=f"{closes % 60:02d}",
                )
            )
        if self.refund_share is not None and self.refund_until is None:
            raise BadValue(state("values.refund-share-without-day"))
        for offered in self.classes:
            if offered.day not in self.days:
                raise BadValue(
                    state(
                        "values.class-on-lies-outside-shows",
                        offered_name=offered.name,
                        day=offered.day,
                        days_first=self.days.first,
                        days_last=self.days.last,
                    )
                )

    @property
    def title(self) -> str:
        """What people call the show: its name, or its id where it has none."""
        return self.name or self.show

    @property
    def last_entry_day(self) -> date | None:
        """The last day for a new entry, late entries included; None means no closing date."""
        return self.late_entries_until or self.entries_close

    def is_late(self, day: date) -> bool:
        """Whether a new entry on a day is late: entries have closed before it."""
        return self.entries_close is not None and day > self.entries_close

    def count_lost_cents(self, paid_cents: int, on: date) -> int:
        """What is lost of fees when an entry is withdrawn on a day: less what is given back."""
        if self.refund_until is None or on > self.refund_until:
            return paid_cents
        share = Fraction(1) if self.refund_share is None else self.refund_share
        return paid_cents - round_cents(paid_cents * share)

    def find_class(self, name: str) -> ShowClass | None:
        """The class of that name, None where the show does not offer it."""
        return next((c for c in self.classes if c.name == name), None)
