"""Treatments a horse had, set beside published detection times: figures quoted, nothing advised.

A detection time is not a withdrawal time. No function here says when a horse may compete, and
no date is counted from a figure: that is the vet's.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches

from tripkit.yard.answers import give_reason
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.rulebook import Rule, RuleBook

ASK_YOUR_VET = state("treatments.ask-your-vet")
ANY_ROUTE = "any"
DETECTION, RECOMMENDED = "detection-", "german-withdrawal-"
NEAR_COUNT = 2
ROUTES = {
    "intravenous": "iv",
    "intramuscular": "im",
    "by mouth": "oral",
    "po": "oral",
    "inhaled": "nebulised",
    "ia": "intra-articular",
}
"""Other words for the routes of the published lists."""
SUBSTANCES = {
    "bute": "phenylbutazone",
    "acp": "acepromazine",
    "metamizole": "dipyrone",
    "flunixin meglumine": "flunixin",
}
"""What the stable calls a substance, beside its name in the lists (from memory)."""


@dataclass(frozen=True)
class Treatment:
    """One row of treatments.csv: what a horse was given, by which route, how much, and when.

    Of several doses `date` is the last one's.
    """

    horse: str
    substance: str
    date: date
    route: str = ""
    dose: str = ""

    def __post_init__(self) -> None:
        if not self.substance.strip():
            raise BadValue(state("values.substance-is-empty"))


@dataclass(frozen=True)
class Quote:
    """What is published of one treatment, and the source of its figure."""

    treatment: Treatment
    text: Fact
    source: str


def quote_treatments(treatments: Iterable[Treatment], medicines: RuleBook) -> tuple[Quote, ...]:
    """What the lists say of each treatment: one quote a figure, at least one a treatment.

    A substance that no list held here names is said to be unknown, with the nearest names.
    """
    return tuple(quote for t in treatments for quote in _quote(t, medicines))


def list_substances(medicines: RuleBook) -> tuple[str, ...]:
    """Every substance of the lists, in alphabetical order."""
    return tuple(sorted({rule.substance for rule in medicines.rules if rule.substance}))


def normalise_route(route: str) -> str:
    """A route as the lists write it.

    >>> normalise_route("I.V."), normalise_route("by mouth")
    ('iv', 'oral')
    """
    text = route.strip().casefold().replace(".", "")
    return ROUTES.get(text, text)


def normalise_substance(substance: str) -> str:
    """A substance as the lists write it.

    >>> normalise_substance("Bute"), normalise_substance(" flunixin  Meglumine ")
    ('phenylbutazone', 'flunixin')
    """
    text = " ".join(substance.casefold().split())
    return SUBSTANCES.get(text, text)


def _quote(treatment: Treatment, medicines: RuleBook) -> list[Quote]:
    wanted = normalise_substance(treatment.substance)
    rules = [rule for rule in medicines.rules if rule.substance.casefold() == wanted]
    given = state(
        "treatments.given",
        substance=treatment.substance,
        route=_state_route(treatment.route),
        dose=state("treatments.dose", dose=treatment.dose) if treatment.dose else None,
        day=treatment.date,
    )
    if not rules:
        near = tuple(get_close_matches(wanted, list_substances(medicines), NEAR_COUNT))
        said = state("treatments.near", near=near) if near else state("treatments.unknown")
        text = give_reason(said, ASK_YOUR_VET, of=given)
        return [Quote(treatment, text, "the yard's treatments.csv")]
    published = [rule for rule in rules if rule.id.startswith(DETECTION)]
    fitting = _fit_route(published, treatment.route)
    quotes = [_write_figure(treatment, given, rule) for rule in fitting]
    if published and not fitting:
        routes = tuple(sorted({rule.route for rule in published}))
        only = state("treatments.other-route", routes=routes)
        text = give_reason(only, ASK_YOUR_VET, of=given)
        quotes.append(Quote(treatment, text, published[0].cited))
    if not published:
        text = give_reason(state("treatments.no-time"), ASK_YOUR_VET, of=given)
        quotes.append(Quote(treatment, text, rules[0].cited))
    for rule in _fit_route([r for r in rules if r.id.startswith(RECOMMENDED)], treatment.route):
        text = give_reason(state("treatments.recommended", value=rule.value), of=given)
        quotes.append(Quote(treatment, text, rule.cited))
    for rule in medicines.editions.get("re-uptake", ()):
        if wanted in str(rule.value).split(", "):
            text = give_reason(rule.words, of=treatment.substance)
            quotes.append(Quote(treatment, text, rule.cited))
    return quotes


def _fit_route(rules: Sequence[Rule], route: str) -> list[Rule]:
    """The figures of a route; all of them where none is written."""
    wanted = normalise_route(route)
    return [rule for rule in rules if not wanted or rule.route in (wanted, ANY_ROUTE)]


def _write_figure(treatment: Treatment, given: Fact, rule: Rule) -> Quote:
    route = _state_route(rule.route)
    time = state("treatments.time", value=rule.value, dose=rule.dose, route=route)
    return Quote(treatment, give_reason(time, ASK_YOUR_VET, of=given), rule.cited)


def _state_route(route: str) -> Fact | None:
    if not route:
        return None
    return state("treatments.any-route") if route == ANY_ROUTE else state(
        "treatments.route", route=route
    )  # fmt: skip
