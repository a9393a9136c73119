"""Changing the plan: the wishes as a list, the forms that add one, and what came of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from markupsafe import Markup

from tripkit.dashboard.markup import render
from tripkit.explaining.reasons import name_demand
from tripkit.season.comparison import Comparison, HorseComparison
from tripkit.season.wishes import Wishes, list_wishes
from tripkit.words import page as words
from tripkit.words.figures import write_goal
from tripkit.words.formats import write_span
from tripkit.words.telling import choose_teller
from tripkit.yard.circuit import Circuit, Outing
from tripkit.yard.facts import Fact
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard


def write_wishes(yard: Yard, wishes: Wishes, planned: Wishes, fault: str) -> Markup:
    """The wishes of the next plan, each with a button, and whether the plan at hand knows them."""
    tell = choose_teller(yard).tell
    listed = [(kind, number, tell(fact)) for kind, number, fact in list_wishes(wishes)]
    return render("wishes", listed=listed, fault=fault, are_open=wishes != planned)


def write_wish_forms(yard: Yard, horse: str) -> Markup:
    """Four small forms: an outing, somebody away, the budget and how often, the tour."""
    people = dict.fromkeys(p.person for p in yard.people if p.role in ("rider", "driver"))
    everybody = {
        words.HORSES: [(h.horse, h.horse) for h in yard.horses],
        words.PEOPLE: [(name, name) for name in people],
        words.LORRIES: [(v.vehicle, v.vehicle) for v in yard.vehicles],
    }
    tours = dict.fromkeys(s.tour for s in yard.shows if s.tour)
    return render(
        "wish_forms",
        yard=yard,
        horse=horse,
        everybody=everybody,
        shows=list_shows(yard, lambda show: show.days.last > yard.day_of_planning),
        tours=[("", words.EVERY_TOUR), *((t, t) for t in tours)] if tours else [],
        ahead=min(max(yard.season.first, yard.day_of_planning), yard.season.last),
    )


def list_shows(yard: Yard, is_asked: Callable[[Show], bool]) -> list[tuple[str, str]]:
    """Shows to choose from in the order of their days: name in the files, and in words."""
    return [
        (s.show, f"{s.title}, {write_span(s.days.first, s.days.last, yard.country)}")
        for s in sorted(yard.shows, key=lambda s: (s.days.first, s.show))
        if is_asked(s)
    ]


def write_outcome(
    yard: Yard,
    moved: Sequence[tuple[Circuit, Comparison]],
    unkept: Sequence[Fact],
    circuits: Sequence[Circuit],
) -> Markup:
    """What the last planning moved, goal by goal, which wishes no circuit keeps, what has no plan.

    That nothing moved is said, too; an unkept wish and a goal without a plan have their reasons.
    """
    teller = choose_teller(yard)
    return render(
        "outcome",
        moved=[
            (write_goal(circuit.goal), [_row(yard, h) for h in comparison.horses if h.differs])
            for circuit, comparison in moved
        ],
        unkept=[teller.tell(fact) for fact in unkept],
        without=[
            (
                words.WITHOUT_PLAN.format(
                    goal=write_goal(circuit.goal),
                    status=words.STATUS_IN_WORDS.get(circuit.status, circuit.status),
                ),
                [teller.tell(name_demand(yard, said)) for said in circuit.reasons],
            )
            for circuit in circuits
            if not circuit.exists
        ],
    )


def _row(yard: Yard, horse: HorseComparison) -> tuple[str, ...]:
    def say(outings: Sequence[Outing]) -> str:
        return ", ".join(o.show for o in outings)

    changed = [pair.right for pair in horse.both if pair.differs]
    return (horse.horse, say(horse.only_left), say(horse.only_right), say(changed))
