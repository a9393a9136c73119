"""Changing the plan: the wishes as a list, the forms that add one, and what moved afterwards."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from tripkit.dashboard.markup import join_pieces, wrap, write_list, write_table, write_text
from tripkit.season.comparison import Comparison, HorseComparison
from tripkit.season.wishes import Wishes, list_wishes
from tripkit.words import page as words
from tripkit.words.figures import write_goal
from tripkit.words.formats import write_span
from tripkit.words.telling import choose_teller
from tripkit.yard.circuit import Circuit, Outing
from tripkit.yard.facts import Fact
from tripkit.yard.yard import Yard


def write_wishes(yard: Yard, wishes: Wishes, planned: Wishes, fault: str) -> Markup:
    """The wishes of the next plan, each with a button, and whether the plan at hand knows them."""
    tell = choose_teller(yard).tell
    listed = [(kind, number, tell(fact)) for kind, number, fact in list_wishes(wishes)]
    parts = []
    if fault:
        parts.append(wrap("p", write_text(fault), "fault", role="alert"))
    if not listed:
        parts.append(wrap("p", write_text(words.NO_WISHES), "empty"))
    else:
        items = join_pieces(
            wrap(
                "li",
                wrap("span", write_text(said), "long", dir="auto")
                + wrap(
                    "button",
                    write_text(words.REMOVE),
                    "small-button",
                    type="button",
                    **{
                        "data-do": "remove",
                        "data-kind": kind,
                        "data-number": str(number),
                        "data-key": f"remove-{kind}-{number}",
                        "aria-label": words.REMOVE_WISH.format(wish=said),
                    },
                ),
            )
            for kind, number, said in listed
        )
        parts.append(wrap("ul", items, "wishes"))
    if wishes != planned:
        parts.append(wrap("p", write_text(words.WISHES_OPEN), "hint"))
    return join_pieces(parts)


def write_wish_forms(yard: Yard, horse: str) -> Markup:
    """Four small forms: an outing, somebody away, the budget and how often, the tour."""
    horses = [(h.horse, h.horse) for h in yard.horses]
    shows = [
        (s.show, f"{s.title}, {write_span(s.days.first, s.days.last, yard.country)}")
        for s in sorted(yard.shows, key=lambda s: (s.days.first, s.show))
        if s.days.last > yard.day_of_planning
    ]
    people = [(p.person, p.person) for p in yard.people if p.role in ("rider", "driver")]
    everybody = [
        *((words.HORSES, name, said) for name, said in horses),
        *((words.PEOPLE, name, said) for name, said in dict(people).items()),
        *((words.LORRIES, v.vehicle, v.vehicle) for v in yard.vehicles),
    ]
    tours = dict.fromkeys(s.tour for s in yard.shows if s.tour)
    ahead = min(max(yard.season.first, yard.day_of_planning), yard.season.last)
    first, last = ahead.isoformat(), yard.season.last.isoformat()
    outing = _form(
        "outing",
        words.FORM_OUTING,
        _choose("horse", words.HORSE, horses, horse)
        + _choose("show", words.SHOW, shows, "")
        + _press("hold", words.HOLD)
        + _press("forbid", words.FORBID),
    )
    away = _form(
        "away",
        words.FORM_AWAY,
        _choose_grouped("who", words.WHO, everybody)
        + _date("first", words.FIRST_DAY, first, last)
        + _date("last", words.LAST_DAY, first, last)
        + _press("away", words.TAKE_OUT),
    )
    numbers = _form(
        "numbers",
        words.FORM_NUMBERS,
        _field("budget", words.BUDGET.format(currency=yard.currency).strip(" ,"), "decimal")
        + _field("often", words.OFTEN, "numeric")
        + _press("numbers", words.SET),
    )
    tour = _form(
        "tour",
        words.FORM_TOUR,
        _choose("tour", words.TOUR, [("", words.EVERY_TOUR), *((t, t) for t in tours)], "")
        + _press("tour", words.SET),
    )
    return wrap(
        "div", (outing if shows else "") + away + numbers + (tour if tours else ""), "wish-forms"
    )


def write_moved(yard: Yard, moved: Sequence[tuple[Circuit, Comparison]]) -> Markup:
    """Goal by goal what the last planning moved, or that it moved nothing."""
    if not moved:
        return Markup("")
    parts = [wrap("h3", write_text(words.MOVED))]
    for circuit, comparison in moved:
        rows = [_row(yard, horse) for horse in comparison.horses if horse.differs]
        if not rows:
            said = words.NOTHING_MOVED.format(goal=write_goal(circuit.goal))
            parts.append(wrap("p", write_text(said), "hint"))
            continue
        caption = words.MOVED_IN.format(goal=write_goal(circuit.goal), count=len(rows))
        parts.append(
            write_table(caption, words.MOVED_HEADS, rows, "table-moved", is_open=len(parts) == 1)
        )
    return join_pieces(parts)


def write_unkept(yard: Yard, unkept: Sequence[Fact]) -> Markup:
    """Wishes that no circuit of the plan could keep, each with its reason."""
    if not unkept:
        return Markup("")
    return wrap("h3", write_text(words.UNKEPT)) + write_list(
        map(choose_teller(yard).tell, unkept), "unkept"
    )


def _row(yard: Yard, horse: HorseComparison) -> tuple[str, ...]:
    def say(outings: Sequence[Outing]) -> str:
        return ", ".join(o.show for o in outings)

    changed = [pair.right for pair in horse.both if pair.differs]
    return (horse.horse, say(horse.only_left), say(horse.only_right), say(changed))


def _form(name: str, said: str, inside: Markup) -> Markup:
    legend = wrap("legend", write_text(said))
    return wrap("form", wrap("fieldset", legend + inside), "form", **{"data-form": name})


def _label(said: str, inside: Markup) -> Markup:
    return wrap("label", wrap("span", write_text(said)) + inside, "field")


def _choose(name: str, said: str, options: Sequence[tuple[str, str]], chosen: str) -> Markup:
    inside = join_pieces(
        wrap(
            "option", write_text(text), value=value, **({"selected": ""} if value == chosen else {})
        )
        for value, text in options
    )
    return _label(said, Markup('<select name="{}">{}</select>').format(name, inside))


def _choose_grouped(name: str, said: str, options: Sequence[tuple[str, str, str]]) -> Markup:
    groups: dict[str, Markup] = {}
    for group, value, text in options:
        groups[group] = groups.get(group, Markup("")) + wrap(
            "option", write_text(text), value=value
        )
    inside = join_pieces(wrap("optgroup", items, label=group) for group, items in groups.items())
    return _label(said, Markup('<select name="{}">{}</select>').format(name, inside))


def _date(name: str, said: str, first: str, last: str) -> Markup:
    box = Markup('<input type="date" name="{}" min="{}" max="{}" value="{}" required>')
    return _label(said, box.format(name, first, last, first))


def _field(name: str, said: str, mode: str) -> Markup:
    box = Markup('<input type="text" inputmode="{}" name="{}">').format(mode, name)
    return _label(said, box)


def _press(value: str, said: str) -> Markup:
    return wrap("button", write_text(said), "small-button", type="submit", value=value)
