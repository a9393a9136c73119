"""The door into a yard folder: every file is read and checked, then the yard is built once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from tripkit.errors import BadValue
from tripkit.files.columns import TABLES, Row, parse_table
from tripkit.files.crosscheck import Rows, check_all, collect_names
from tripkit.files.faults import Faults, say_near
from tripkit.files.folder import list_files, read_tables
from tripkit.files.localrules import apply_local_rules, read_local_rules
from tripkit.files.placing import locate_home, locate_shows, make_place_key, open_atlas
from tripkit.files.records import make_everything_else, make_shows
from tripkit.files.remarks import collect_extra_cells, collect_remarks
from tripkit.files.roadbook import build_roads, read_measurements
from tripkit.files.settings import SETTINGS_FILE, Settings, read_settings
from tripkit.files.venues import Venues
from tripkit.papers import FINISHED_PAPERS
from tripkit.places import HOME
from tripkit.roads.transit import list_states_on_way
from tripkit.rulebook import RuleBook
from tripkit.rulebooks import known_rule_books, load_medicines, load_rule_books
from tripkit.yard import Yard

STATE_RULES = "coggins-validity-"


def read_yard(folder: Path | str, *, today: date | None = None) -> Yard:
    """A yard folder becomes a yard; `today` wins over the one in yard.toml.

    `folder` may also be the yard's workbook: yard.toml and calendars are those beside it.
    Raises `BadYard` with every fault of the folder at once, each with file, row and column.
    What is odd but no fault stands in `yard.remarks`.
    """
    faults = Faults()
    folder = Path(folder)
    paths = list_files(folder, faults)
    faults.raise_if_any()
    faults.announce(SETTINGS_FILE)
    settings = read_settings(_find_settings(folder, paths), faults)
    found = read_tables(paths, faults, settings.season, settings.timezone)
    rows = {name: parse_table(name, found.tables.get(name), faults) for name in TABLES}

    names = collect_names(rows, found.unreadable)
    check_all(rows, names, faults)
    _check_born(rows, settings, today, faults)
    _check_finished(rows, settings, today, faults)
    rule_books, rule_remarks = apply_local_rules(
        _find_rule_books(settings, rows, faults), read_local_rules(paths, faults)
    )
    with open_atlas(settings, folder, rows["venues"], found.unreadable, faults) as atlas:
        rows["shows"] = atlas.venues.spell_rows(rows["shows"], "place")
        rows["distances"] = atlas.venues.spell_rows(rows["distances"], "from", "to")
        home = locate_home(settings, atlas, faults)
        places = locate_shows(rows["shows"], settings, home, atlas, faults)
    keys = _list_keys_by_name(rows["shows"], settings, atlas.venues)
    shows_known = names.shows is not None
    measured = read_measurements(rows["distances"], keys, shows_known, faults)
    shows = make_shows(rows, places, faults)
    others = make_everything_else(rows, settings, faults)
    faults.raise_if_any()

    assert home is not None
    assert settings.season is not None
    today = today or settings.today or settings.season.first - timedelta(days=1)
    roads, road_remarks = build_roads(places, measured, settings.driving, folder)
    # Only rules that differ by state ask which states lie on the way.
    if settings.driving.roads != "estimate" and any(
        rule.id.startswith(STATE_RULES) for book in rule_books for rule in book.rules
    ):
        roads = replace(roads, states_on_way=list_states_on_way(places))
    remarks = collect_remarks(found.tables, rows, settings, roads, today)
    try:
        return Yard(
            name=settings.name,
            place=home,
            season=settings.season,
            today=today,
            country=home.country or settings.country,
            units=settings.units,
            currency=settings.currency,
            limits=settings.limits,
            costs=settings.costs,
            driving=settings.driving,
            shows=shows,
            roads=roads,
            medicines=load_medicines() if rows["treatments"] else None,
            rule_books=rule_books,
            paper_rules=settings.paper_rules,
            remarks=(*found.remarks, *atlas.remarks, *road_remarks, *rule_remarks, *remarks),
            extra_cells=collect_extra_cells(found.tables),
            **others,
        )
    except BadValue as error:
        faults.add(folder.name, str(error))
        faults.raise_if_any()
        raise


def _find_settings(folder: Path, paths: Sequence[Path]) -> Path:
    return next((p for p in paths if p.name.casefold() == SETTINGS_FILE), folder / SETTINGS_FILE)


def _check_born(rows: Rows, settings: Settings, today: date | None, faults: Faults) -> None:
    if settings.season is None:
        return
    latest = today or settings.today or settings.season.last
    for table in ("horses", "people"):
        for row in rows[table]:
            if row.reads("born") and row["born"] and row["born"][0] > latest:
                row.complain(faults, f"is after today ({latest})", "born")


def _check_finished(rows: Rows, settings: Settings, today: date | None, faults: Faults) -> None:
    """Tests, documents and treatments are there or not; only a dose may be an appointment.

    Where nobody said which day is today, nothing lies after the season.
    """
    named = today or settings.today
    latest = named or (settings.season and settings.season.last)
    end = "today" if named else "the season"
    for table in ("papers", "treatments"):
        for row in rows[table] if latest is not None else ():
            planned = table == "papers" and row["paper"] not in FINISHED_PAPERS
            if row.reads("date") and row["date"] > latest and not planned:
                row.complain(faults, f"is after {end} ({latest})", "date")


def _find_rule_books(settings: Settings, rows: Rows, faults: Faults) -> tuple[RuleBook, ...]:
    """The rule books of yard.toml and of the shows; an unknown one is a fault."""
    known = known_rule_books()
    wanted = [book for book in settings.paper_rules if book in known]
    for book in settings.paper_rules:
        if book not in known:
            faults.add(
                SETTINGS_FILE,
                f"is no rule book (there are {', '.join(known)}){say_near(book, known)}",
                column="papers.rules",
                value=book,
            )
    for row in rows["shows"]:
        book = row["rules"]
        if book in known:
            wanted.append(book)
        elif book and row.reads("rules"):
            wanted_words = f"is no rule book (there are {', '.join(known)}){say_near(book, known)}"
            row.complain(faults, wanted_words, "rules")
    return load_rule_books(dict.fromkeys(wanted))


def _list_keys_by_name(rows: Sequence[Row], settings: Settings, venues: Venues) -> dict[str, str]:
    """What distances.csv may call a place, and the place key it means.

    A place as written comes before a show of the same name. A venue may stand there before any
    show is at it.
    """
    keys = [(row["show"], make_place_key(row)) for row in rows]
    names = {show: key for show, key in keys if show and key}
    names.update({name: name for name in venues.list_names()})
    if settings.place:
        names[venues.spell(settings.place)] = HOME
    names.update({key: key for _, key in keys if key})
    return {**names, HOME: HOME}
