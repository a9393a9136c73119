"""What a reader of the folder should know although it is no fault."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from tripkit.files.columns import TABLES, Row
from tripkit.files.settings import SETTINGS_FILE, Settings
from tripkit.files.tables import RawTable
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import state_rows
from tripkit.yard.facts import Fact, state
from tripkit.yard.limits import LIMITS_OF_THE_YARD
from tripkit.yard.papers import FINISHED_PAPERS, KNOWN_PAPERS
from tripkit.yard.people import LANGUAGES, find_language
from tripkit.yard.places import HOME, RoadBook
from tripkit.yard.shows import DIVISIONS

DAILY_COSTS = ("groom_day", "rider_day", "overnight_stop", "stabling_day", "vet_check")
Rows = Mapping[str, Sequence[Row]]


def list_extra_columns(name: str, table: RawTable) -> list[str]:
    """The columns of a file that tripkit does not know, in file order."""
    known = {column.name for column in TABLES[name]}
    return [column for column in table.columns if column not in known]


def collect_extra_cells(
    tables: Mapping[str, RawTable],
) -> tuple[tuple[str, int, str, str], ...]:
    """Every filled cell of an unknown column: file, row, column, text."""
    return tuple(
        (row.file, row.number or 0, column, row.cells[column])
        for name, table in tables.items()
        for row in table.rows
        for column in list_extra_columns(name, table)
        if row.cells.get(column)
    )


def collect_remarks(
    tables: Mapping[str, RawTable], rows: Rows, settings: Settings, roads: RoadBook, today: date
) -> Iterator[Fact]:
    """Remarks in file order: what is kept and not used, left out, or probably forgotten."""
    if not settings.names_rules:
        yield state("faults.papers-rules-is-missing-no", settings_file=SETTINGS_FILE)
    yield from _list_missing_costs(rows, settings)
    yield from _list_unknown_languages(rows["people"], settings)
    for name, table in tables.items():
        for column in list_extra_columns(name, table):
            yield state("faults.column-is-not-known-it", file=table.file, column=column)
    for (start, end), drive in roads.drives.items():
        if start == HOME and not drive.km:
            yield (state("faults.showscsv-place-is-0-km", end=end))
    for row in rows["bases"]:
        if settings.season and not DaySpan(row["first_day"], row["last_day"]).overlaps(
            settings.season
        ):
            yield state("faults.base-outside-season", at=row.at, base=row["base"])
    offered = {row["show"] for row in rows["classes"]}
    for row in rows["shows"]:
        if row["show"] not in offered:
            yield state("faults.offers-no-classes", at=row.at, show=row["show"])
    for at, division in _gather(rows["classes"], "division"):
        if division not in DIVISIONS:
            yield state("faults.division-asks-for-no-status", at=at, division=division)
    if "shares" not in tables:
        yield state("faults.sharescsv-is-missing-costs-are")
    for at, paper in _gather(rows["papers"], "paper"):
        if paper not in KNOWN_PAPERS:
            yield state("faults.paper-is-kept-but-no", at=at, paper=paper)
    done = [(row["paper"], row) for row in rows["papers"] if row["paper"] in FINISHED_PAPERS]
    done += [(row["substance"], row) for row in rows["treatments"]]
    for what, row in done:
        if row["date"] > today:
            yield state(
                "faults.of-is-after-today-is", at=row.at, what=what, date=row["date"], today=today
            )
    holders = {row["horse"] for row in rows["papers"]}
    for row in rows["horses"] if rows["papers"] and settings.paper_rules else ():
        if row["horse"] not in holders:
            yield state("faults.has-no-row-in-paperscsv", at=row.at, horse=row["horse"])
    series = {row["series"] for table in ("classes", "results") for row in rows[table]}
    for at, name in _gather(rows["aims"], "series"):
        if name and name not in series:
            yield state("faults.no-class-and-no-result", at=at, name=name)
    for row in rows["results"]:
        if row["date"] > today:
            yield state("faults.after-today-it-is-no", at=row.at, date=row["date"], today=today)
    yield from _list_open_checks(rows["vet_checks"], today)
    for row in rows["horses"]:
        if row["last_jumped"] is not None and row["last_jumped"] > today:
            yield state(
                "faults.last-jumped-is-after-today",
                at=row.at,
                last_jumped=row["last_jumped"],
                today=today,
            )
    for row in rows["horses"]:
        for name in LIMITS_OF_THE_YARD:
            if row[name] is not None:
                about = {"at": row.at, "settings_file": SETTINGS_FILE}
                yield state("faults.number-of-the-yard", name=name, **about)


def _list_open_checks(rows: Sequence[Row], today: date) -> Iterator[Fact]:
    """Checks without an answer, and answers of a day that has not come."""
    for row in rows:
        signs = [name for name in ("limb", "grade", "recheck_by") if row[name]]
        if row["cleared"] is not None:
            if row["date"] > today:
                yield state(
                    "faults.after-today-has-vet-been", at=row.at, date=row["date"], today=today
                )
        elif signs:
            said = f"{signs[0]} {row[signs[0]]}"
            yield state("faults.cleared-is-empty-with-it", at=row.at, said=said)
        elif row["date"] <= today:
            yield (state("faults.cleared-is-empty-what-stood", at=row.at, date=row["date"]))


def _list_missing_costs(rows: Rows, settings: Settings) -> Iterator[Fact]:
    """Where nobody says what a lorry costs to drive, the least cost is proved on the rest alone."""
    rates = ("per_km", "per_mile")
    free = [r for r in rows["vehicles"] if all(r[rate] is None for rate in rates)]
    if not free or settings.named_costs & set(rates):
        return
    others = tuple(key for key in DAILY_COSTS if key not in settings.named_costs)
    more = state("faults.and-so-do", keys=others) if others else None
    yield state("faults.drives-cost-nothing", settings_file=SETTINGS_FILE, more=more)


def _list_unknown_languages(people: Sequence[Row], settings: Settings) -> Iterator[Fact]:
    """Languages in which nobody can be written to."""
    found = [(f"{SETTINGS_FILE}: [words] language", settings.language)]
    found += [(f"{at}: language", word) for at, word in _gather(people, "language")]
    for where, word in found:
        if find_language(word) is None:
            yield state(
                "faults.none-of-english-is-written",
                where=where,
                word=word,
                languages=tuple(LANGUAGES),
            )


def _gather(rows: Sequence[Row], column: str) -> Iterator[tuple[Fact, str]]:
    """Each word of a column once, with the rows in which it stands."""
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(row[column], []).append(row)
    for word, held in found.items():
        yield state_rows((row.file, row.number) for row in held), word
