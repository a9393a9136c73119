"""The verdict and the tables of what differs between two circuits, as the page writes them.

Every difference is right less left, as `comparison` finds it; nothing is added up here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markupsafe import Markup

from tripkit.dashboard.markup import render, write_note, write_table
from tripkit.season.comparison import (
    Amount,
    ClosingDate,
    Comparison,
    Figure,
    HorseComparison,
    SharedOuting,
    find_verdict,
)
from tripkit.words import page as words
from tripkit.words.figures import write_distance, write_number
from tripkit.words.formats import write_day, write_money
from tripkit.words.telling import Teller
from tripkit.yard.circuit import Outing
from tripkit.yard.days import DaySpan

POINTS = 6


def write_verdict_block(
    comparison: Comparison | None,
    same: bool,
    country: str = "",
    season: DaySpan | None = None,
) -> Markup:
    """The first sentence stands large, the next ones under it, the rest is folded away."""
    if same or comparison is None:
        return write_note(words.VERDICT_SAME if same else words.VERDICT_NONE, "verdict-words")
    teller = Teller(
        country=country,
        units=comparison.units,
        currency=comparison.currency,
        dates="local",
        season=season,
    )
    # A circuit's name may be written small; at the head of a sentence it is not.
    told = map(teller.tell, find_verdict(comparison))
    first, *others = (said[:1].upper() + said[1:] for said in told)
    return render("verdict", first=first, points=others[:POINTS], rest=others[POINTS:])


def write_differences(comparison: Comparison | None, country: str = "") -> Markup:
    """Figures of both, then horse by horse, owner by owner, and the closing dates ahead."""
    if comparison is None:
        return Markup("")
    if not comparison.outings.left and not comparison.outings.right:
        return write_note(words.NOBODY_DIFFERS, "empty")
    return render(
        "differences",
        season=_write_season(comparison),
        owners=_write_owners(comparison),
        horses=_write_horses(comparison),
        closings=_write_closings(comparison, country),
    )


def _write_season(c: Comparison) -> Markup:
    rows = [
        (words.WORTH, *_figures(c.worth)),
        (words.COST, *_amounts(c.cost, c.currency)),
        (words.ROAD, *_distances(c.road_km, c.units)),
        (words.HORSE_HOURS, *_figures(c.horse_road_hours)),
        (words.NIGHTS, *_figures(c.nights_away)),
        (words.OUTINGS, *_figures(c.outings)),
        (words.TIGHTEST, *_figures(c.spare_days)),
        (
            words.AIMS,
            write_number(len(c.left_totals.aims_met) or None),
            write_number(len(c.right_totals.aims_met) or None),
            _count_aims(c),
        ),
    ]
    return write_table(words.IN_ALL, _heads(c, ""), rows, "table-season")


def _write_owners(c: Comparison) -> Markup:
    rows = [(o.owner or words.YARD_PAYS, *_amounts(o.cost, c.currency)) for o in c.owners]
    if not rows:
        return Markup("")
    return write_table(words.BY_OWNER, _heads(c, words.OWNER), rows, "table-owners")


def _write_horses(c: Comparison) -> Markup:
    heads = (
        words.HORSE,
        words.ONLY.format(name=c.left_name),
        words.ONLY.format(name=c.right_name),
        words.IN_BOTH,
        words.HORSE_HOURS,
        words.NIGHTS,
        words.SPARE,
        words.COST_CHANGE,
    )
    rows = [
        (
            horse.horse,
            _list_shows(horse.only_left),
            _list_shows(horse.only_right),
            _list_both(horse.both),
            _change(horse.road_hours),
            _change(horse.nights_away),
            _change(horse.spare_days),
            _money_change(horse, c.currency),
        )
        for horse in c.horses
    ]
    return write_table(words.BY_HORSE, heads, rows, "table-horses")


def _write_closings(c: Comparison, country: str) -> Markup:
    by_key: dict[tuple[str, str], list[ClosingDate | None]] = {}
    for i, side in enumerate((c.closing_left, c.closing_right)):
        for closing in side:
            closes = "" if closing.closes is None else closing.closes.isoformat()
            by_key.setdefault((closes, closing.show), [None, None])[i] = closing
    rows = []
    for (_, show), pair in sorted(by_key.items(), key=lambda item: (not item[0][0], item[0])):
        known = next(closing for closing in pair if closing is not None)
        late = [closing.late_fee_cents for closing in pair if closing is not None]
        when = words.NO_CLOSING if known.closes is None else write_day(known.closes, country)
        if any(late):
            when = words.LATE.format(day=when, fee=write_money(max(late), c.currency))
        rows.append((when, show, *(_count_entries(closing) for closing in pair)))
    if not rows:
        return Markup("")
    heads = (words.CLOSES, words.SHOW, c.left_name, c.right_name)
    return write_table(words.CLOSINGS, heads, rows, "table-closings")


def _heads(c: Comparison, first: str) -> tuple[str, ...]:
    return (first, c.left_name, c.right_name, words.DIFFERENCE)


def _figures(figure: Figure) -> tuple[str, str, str]:
    return (
        write_number(figure.left),
        write_number(figure.right),
        _sign(figure.difference, write_number(figure.difference)),
    )


def _amounts(amount: Amount, currency: str) -> tuple[str, str, str]:
    return (
        write_money(amount.left, currency),
        write_money(amount.right, currency),
        _sign(amount.difference, write_money(amount.difference, currency)),
    )


def _distances(figure: Figure, units: str) -> tuple[str, str, str]:
    def write(km: float | None) -> str:
        return words.NO_FIGURE if km is None else write_distance(km, units)

    return (
        write(figure.left),
        write(figure.right),
        _sign(figure.difference, write(figure.difference)),
    )


def _sign(difference: float | None, written: str) -> str:
    """A difference carries its sign; none at all is said so."""
    if difference is None:
        return ""
    if difference == 0:
        return words.SAME
    return f"+{written}" if difference > 0 else written.replace("-", words.MINUS)


def _change(figure: Figure) -> str:
    left, right = write_number(figure.left), write_number(figure.right)
    return left if left == right else words.CHANGE.format(left=left, right=right)


def _money_change(horse: HorseComparison, currency: str) -> str:
    return _sign(horse.cost.difference, write_money(horse.cost.difference, currency))


def _list_shows(outings: Sequence[Outing]) -> str:
    return ", ".join(outing.show for outing in outings)


def _list_both(pairs: Iterable[SharedOuting]) -> str:
    shows = [
        words.CHANGED.format(show=pair.right.show, what=_name_change(pair))
        if pair.differs
        else pair.right.show
        for pair in pairs
    ]
    return ", ".join(shows)


def _name_change(pair: SharedOuting) -> str:
    if pair.classes_only_left or pair.classes_only_right:
        return words.OTHER_CLASSES
    return words.OTHER_RIDER if pair.left.rider != pair.right.rider else words.OTHER_DAYS


def _count_aims(c: Comparison) -> str:
    """As many aims need not be the same aims: gained and lost are counted apart."""
    gained = [f"+{len(c.aims_only_right)}"] if c.aims_only_right else []
    lost = [f"{words.MINUS}{len(c.aims_only_left)}"] if c.aims_only_left else []
    return ", ".join([*gained, *lost]) or words.SAME


def _count_entries(closing: ClosingDate | None) -> str:
    if closing is None:
        return ""
    horses = ", ".join(dict.fromkeys(horse for horse, _ in closing.entries))
    count = len(closing.entries)
    written = words.ONE_ENTRY if count == 1 else words.ENTRIES
    return written.format(count=count, horses=horses)
