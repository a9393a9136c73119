"""One horse's page: who it is, its strip, its load week by week, what its papers say."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markupsafe import Markup

from tripkit.dashboard.changes import list_shows
from tripkit.dashboard.markup import render, write_table
from tripkit.eligibility.classes import find_last_vet_check
from tripkit.eligibility.paperwork import JOURNEYS
from tripkit.pictures.timeline import DAY_PX, draw_timeline
from tripkit.season.scorecard import find_spare_days_by_horse
from tripkit.season.workload import HIGH_RATIO, LOW_RATIO, WEIGHTS, WeekLoad, weigh_weeks
from tripkit.words import page as words
from tripkit.words.days import find_home_reason
from tripkit.words.figures import write_number
from tripkit.words.formats import write_date, write_day, write_money, write_span
from tripkit.words.telling import choose_teller
from tripkit.yard.answers import Finding
from tripkit.yard.circuit import Circuit
from tripkit.yard.horses import Horse, OutingsWanted
from tripkit.yard.yard import Yard

HIGH_PX = 92.0
"""The bar of the week with the most load."""


def write_horse_facts(yard: Yard, circuit: Circuit, horse: str) -> Markup:
    """Rider, owners, heights, and what the circuit means for this horse."""
    known = yard.horse_by_name[horse]
    outings = circuit.outings_by_horse.get(horse, ())
    spare = find_spare_days_by_horse(yard, circuit.outings, circuit.legs).get(horse)
    owners = ", ".join(
        share.owner
        if share.share == 1
        else words.OWNER_SHARE.format(owner=share.owner, share=share.share)
        for share in yard.shares_of(horse)
    )
    hours = sum(leg.hours for leg in circuit.legs if horse in leg.horses)
    facts = [
        (words.RIDER, known.rider or words.ANY_RIDER),
        (words.OWNERS, owners or words.YARD_PAYS),
        (
            words.HEIGHTS,
            words.HEIGHT_SPAN.format(low=known.from_height_cm, high=known.to_height_cm),
        ),
        (words.OUTINGS, write_number(len(outings))),
        *_write_wanted(known),
        (words.HORSE_HOURS, write_number(hours)),
        (words.SPARE, write_number(spare)),
        (words.COST, write_money(sum(o.cost_cents for o in outings), yard.currency)),
        (words.VET, _write_vet(yard, horse)),
    ]
    reason = find_home_reason(yard, circuit, horse)
    return render("horse_facts", facts=facts, horse=horse, reason=reason)


def _write_wanted(horse: Horse) -> tuple[tuple[str, str], ...]:
    wanted = horse.outings_wanted
    span = words.WANTED_SPAN if wanted.least else words.WANTED_MOST
    said = words.WANTED_LEAST if wanted.most is None else span
    told = ((words.WANTED, said.format(least=wanted.least, most=wanted.most)),)
    return () if wanted == OutingsWanted() else told


def _write_vet(yard: Yard, horse: str) -> str:
    known = yard.horse_by_name[horse]
    check = find_last_vet_check(yard, known, yard.day_of_planning)
    if check is None:
        return words.NO_VET_CHECK
    said = words.CLEARED if check.cleared else words.NOT_CLEARED
    told = said.format(day=write_date(check.date, yard.country))
    if not check.cleared and check.recheck_by:
        told += words.RECHECK.format(day=write_date(check.recheck_by, yard.country))
    return told


def write_why_form(yard: Yard, circuit: Circuit | None, horse: str, side: str) -> Markup:
    """A list of the shows to which the horse does not go, and a button that asks why."""
    outings = () if circuit is None else circuit.outings_by_horse.get(horse, ())
    going = {outing.show for outing in outings}
    shows = list_shows(yard, lambda show: show.show not in going)
    return render("why_form", shows=shows, horse=horse, side=side)


def write_horse_strip(yard: Yard, pair: Sequence[Circuit], horse: str) -> Markup:
    """Both circuits of one horse over the weeks, with a title on each day."""
    svg = draw_timeline(yard, *pair, names=False, titles=True, horses=(horse,))
    # A pattern is found by the first of its name on the page, and that one may lie on a leaf that
    # is turned: each picture needs a name of its own.
    svg = svg.replace("tk-p-road", "tk-p-road-lone")
    return render(
        "strip",
        svg=Markup(svg),
        label=words.STRIP_OF.format(horse=horse, left=pair[0].name, right=pair[1].name),
    )


def write_load(yard: Yard, circuit: Circuit, horse: str) -> Markup:
    """The weeks as bars with their ratio, the weights, and how little the ratio proves."""
    weeks = weigh_weeks(yard, circuit, horse)
    rows = [
        (
            write_day(week.first_day, yard.country),
            write_number(week.classes),
            write_number(week.schools),
            write_number(week.load),
            words.STANDS_OUT.format(ratio=_write_ratio(week))
            if week.stands_out
            else _write_ratio(week),
        )
        for week in weeks
    ]
    weights = ", ".join(f"{kind} {write_number(weight)}" for kind, weight in WEIGHTS.items())
    most = max((week.load for week in weeks), default=0.0) or 1.0
    return render(
        "load",
        rows=rows,
        bars=[_gather_bar(yard, week, HIGH_PX / most) for week in weeks],
        width=yard.season.days * DAY_PX + 1,
        base=HIGH_PX + 24,
        wide=7 * DAY_PX - 20,
        caution=words.LOAD_CAUTION.format(
            weights=weights, low=write_number(LOW_RATIO), high=write_number(HIGH_RATIO)
        ),
    )


def _write_ratio(week: WeekLoad) -> str:
    return "" if week.ratio is None else f"{week.ratio:.2f}"


def _gather_bar(yard: Yard, week: WeekLoad, px: float) -> dict[str, object]:
    """A week as a bar: where it begins, how tall it is, what it tells; `px` a unit of load."""
    when, ratio = write_date(week.first_day, yard.country), _write_ratio(week)
    return {
        "x": max(0.0, (week.first_day - yard.season.first).days * DAY_PX) + 4,
        "tall": week.load * px,
        "solid": week.classes * WEIGHTS["class"] * px,
        "told": words.LOAD_WEEK.format(
            day=when,
            load=write_number(week.load),
            classes=week.classes,
            schools=week.schools,
            ratio=ratio or words.NO_RATIO,
        ),
        "stands_out": week.stands_out,
        "ratio": ratio,
        "when": when,
    }


def write_horse_outings(yard: Yard, circuit: Circuit, horse: str) -> Markup:
    """One row an outing: when, where, what it jumps, with whom, worth and cost."""
    rows = [
        (
            write_span(outing.first_day, outing.last_day, yard.country),
            outing.show,
            ", ".join(outing.classes),
            outing.rider,
            write_number(outing.worth),
            write_money(outing.cost_cents, yard.currency),
        )
        for outing in circuit.outings_by_horse.get(horse, ())
    ]
    if not rows:
        return Markup("")
    return write_table(words.OUTINGS_OF, words.OUTING_HEADS, rows, "table-outings")


def _pick_first(yard: Yard, group: Sequence[Finding]) -> Finding:
    return min(group, key=lambda f: (f.due_by is None, f.due_by or yard.season.last))


def _say_shows(yard: Yard, first: Finding, group: Sequence[Finding]) -> str:
    """Which shows ask; of a paper made for one journey the days hold for its own show alone."""
    shows = list(dict.fromkeys(f.show for f in (first, *group) if f.show))
    if len(shows) > 1 and first.paper in JOURNEYS:
        return words.ASKED_BY_EACH.format(show=shows[0], others=", ".join(shows[1:]))
    return words.ASKED_BY.format(shows=", ".join(shows)) if shows else ""


def write_horse_findings(
    yard: Yard, findings: Iterable[Finding], horse: str, *, named: bool = False
) -> Markup:
    """What is barred, due or unknown for this horse: each rule once, by the first day it is due.

    The reason is that of the earliest day; the shows that ask stand under it. Rules that say the
    same stand once. `named` puts the horse's name before the count.
    """
    grouped: dict[tuple[str, str], list[Finding]] = {}
    ready, asked_anywhere = 0, False
    for finding in findings:
        if finding.horse != horse:
            continue
        asked_anywhere = asked_anywhere or bool(finding.show)
        if finding.answer == "ok":
            ready += 1
            continue
        grouped.setdefault((finding.answer, finding.rule), []).append(finding)
    alike: dict[tuple[object, ...], list[Finding]] = {}
    for (answer, _rule), group in grouped.items():
        first = _pick_first(yard, group)
        key = (answer, first.reason, first.due_by, first.source)
        alike.setdefault(key, []).extend(group)
    teller, listed = choose_teller(yard), []
    for group in alike.values():
        first = _pick_first(yard, group)
        listed.append(
            {
                "answer": first.answer,
                "told": teller.tell(first.reason),
                "due": first.due_by and write_day(first.due_by, yard.country),
                "asked": _say_shows(yard, first, group),
                "source": first.source,
            }
        )
    if listed:
        said = words.FINDINGS_OF.format(count=len(listed), ready=ready)
    elif asked_anywhere:
        said = words.ONE_IN_ORDER if ready == 1 else words.NO_FINDINGS.format(count=ready)
    else:
        said = words.NOT_ASKED
    who = words.OF_HORSE.format(horse=horse) if named else words.PAPERS_OF
    return render("findings", findings=listed, said=who + said, is_open=named)
