"""How long the findings of a big yard take: `python -m tests.bench.findings`."""

from __future__ import annotations

import time
from datetime import date, timedelta

from tests.build import make_class, make_horse, make_paper, make_show, make_yard
from tripkit.eligibility.checklist import findings
from tripkit.rulebooks import known_rule_books, load_rule_books
from tripkit.yard.days import DaySpan
from tripkit.yard.yard import Yard

HORSES, SHOWS = 60, 400
LIMIT_SECONDS = 1.0


def make_big_yard(horses: int, shows: int, *, own_dates: bool = False) -> Yard:
    """A yard with papers of every kind, each show with five classes, under two books.

    Shows begin on as many different days as there can be, so little repeats. `own_dates`: no two
    horses have their papers from the same days, so no answer of one serves another.
    """
    season = DaySpan(date(2027, 1, 1), date(2027, 12, 31))
    calendar = []
    for i in range(shows):
        first = season.first + timedelta(days=3 + (i * 7) % 340)
        classes = [
            make_class(f"C{k}", first + timedelta(days=k % 4), f"S{i}", height_cm=105 + 5 * k)
            for k in range(5)
        ]
        calendar.append(make_show(f"S{i}", first, classes=classes, level="CSI2*"))
    stable = [
        make_horse(f"H{i}", born=date(2012 + i % 10, 5, 1), from_height_cm=105, to_height_cm=120)
        for i in range(horses)
    ]

    def shift(day: str, i: int) -> date:
        """The middle of the month, or for every twelfth horse a day of its own."""
        return date.fromisoformat(day) + timedelta(days=4 * (i // 12) + i % 3 if own_dates else 14)

    papers = [
        make_paper(kind, shift(f"{2024 + year}-{1 + (i + 6 * half) % 12:02d}-01", i), horse.horse)
        for i, horse in enumerate(stable)
        for kind in ("influenza", "herpes", "coggins", "passport", "registration")
        for year in (0, 1, 2)
        for half in (0, 1)
    ]
    return make_yard(
        paper_rules=("us", "fei"),
        rule_books=load_rule_books(known_rule_books()),
        season=season,
        horses=stable,
        shows=calendar,
        papers=papers,
    )


def measure() -> dict[str, float]:
    """Seconds for all findings of 60 horses at 400 shows, the best of three; limit 1 s."""
    measured = {}
    for own_dates, said in ((False, "papers from common days"), (True, "each its own days")):
        yard = make_big_yard(HORSES, SHOWS, own_dates=own_dates)
        taken = []
        for _ in range(3):
            began = time.perf_counter()
            findings(yard)
            taken.append(time.perf_counter() - began)
        measured[f"findings of {HORSES} horses at {SHOWS} shows, {said}"] = min(taken)
    return measured


if __name__ == "__main__":
    for name, seconds in measure().items():
        print(f"{name}: {seconds:.2f} s (limit {LIMIT_SECONDS:g} s)")
