"""The door into a yard folder: every file is read and checked, then the yard is built once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from tripkit.files.circuits import parse_circuits
from tripkit.files.columns import TABLES, Row, parse_table
from tripkit.files.crosscheck import Rows, check_all, collect_names
from tripkit.files.faults import Faults
from tripkit.files.folder import find_folder, list_files, read_tables
from tripkit.files.localrules import apply_local_rules, read_local_rules
from tripkit.files.oddities import collect_oddities
from tripkit.files.placing import (
    locate_bases,
    locate_home,
    locate_shows,
    make_place_key,
    open_atlas,
)
from tripkit.files.records import find_known_language, make_everything_else, make_shows
from tripkit.files.remarks import collect_extra_cells, collect_remarks
from tripkit.files.renamed import KNOWN_AS, read_known_as
from tripkit.files.roadbook import build_roads, read_measurements
from tripkit.files.settings import SETTINGS_FILE, Settings, read_settings
from tripkit.files.together import CHANGE_FILE, finish_change
from tripkit.files.venues import Venues
from tripkit.rulebooks import known_rule_books, load_medicines, load_rule_books
from tripkit.season.lived import go_on_from, list_forgotten
from tripkit.store import open_store
from tripkit.yard.circuit import Circuit
from tripkit.yard.days import DaySpan, check_day
from tripkit.yard.errors import BadCircuits, BadStore, BadValue, CannotWrite
from tripkit.yard.facts import Fact, state
from tripkit.yard.names import suggest_near
from tripkit.yard.papers import FINISHED_PAPERS
from tripkit.yard.people import LANGUAGES
from tripkit.yard.places import HOME, Place
from tripkit.yard.rulebook import RuleBook
from tripkit.yard.yard import TODAY_BY_CLOCK, TODAY_EVE, TODAY_GIVEN, TODAY_WRITTEN, Yard

STATE_RULES = "coggins-validity-"

Clock = Callable[[], datetime]


def read_clock() -> datetime:
    """The moment it is now (aware)."""
    return datetime.now(UTC)


def tell_today(season: DaySpan, zone: str, clock: Clock | None = None) -> tuple[date, str]:
    """The clock's date in a zone, never before the day before the season, and what told it."""
    today = (clock or read_clock)().astimezone(ZoneInfo(zone)).date()
    eve = season.first - timedelta(days=1)
    return (eve, TODAY_EVE) if today < eve else (today, TODAY_BY_CLOCK)


def is_of_another_day(yard: Yard, clock: Clock | None = None) -> bool:
    """Whether the clock has moved on from the day as of which a yard was read."""
    if yard.today_from in (TODAY_GIVEN, TODAY_WRITTEN):
        return False
    return tell_today(yard.season, yard.place.timezone, clock)[0] != yard.today


def read_yard(folder: Path | str, *, today: date | None = None, clock: Clock | None = None) -> Yard:
    """A yard folder becomes a yard; `today` wins over the one in yard.toml, that over the clock.

    `folder` may also be the yard's workbook: yard.toml and calendars are those beside it.
    Raises `BadYard` with every fault of the folder at once, each with file, row and column.
    What is odd but no fault stands in `yard.remarks`. Raises `BadValue` for a `today` that is no
    day.
    """
    if today is not None:
        check_day(today)
    faults = Faults()
    folder = Path(folder)
    _end_change(folder, faults)
    paths = list_files(folder, faults)
    faults.raise_if_any()
    faults.announce(SETTINGS_FILE)
    settings = read_settings(paths, faults)
    found = read_tables(paths, faults, settings.season, settings.timezone)
    rows = {name: parse_table(name, found.tables.get(name), faults) for name in TABLES}

    names = collect_names(rows, found.unreadable, faults)
    check_all(rows, names, faults)
    rule_books, rule_remarks = apply_local_rules(
        _find_rule_books(settings, rows, faults), read_local_rules(paths, faults)
    )
    with open_atlas(settings, folder, rows["venues"], found.unreadable, faults) as atlas:
        rows["shows"] = atlas.venues.spell_rows(rows["shows"], "place")
        rows["bases"] = atlas.venues.spell_rows(rows["bases"], "place")
        rows["distances"] = atlas.venues.spell_rows(rows["distances"], "from", "to")
        rows["absences"] = atlas.venues.spell_rows(rows["absences"], "at")
        home = locate_home(settings, atlas, faults)
        places = locate_shows(rows["shows"], settings, home, atlas, faults)
        places |= locate_bases(rows["bases"], settings, places, atlas, faults)
    today, today_from = _find_today(settings, home, today, clock)
    _check_dates(rows, settings, today, today_from, faults)
    keys = _list_keys_by_name(rows, settings, atlas.venues)
    keys |= {name: keys[meant] for name, meant in names.respelt.items() if meant in keys}
    shows_known = names.known["show"] is not None
    measured = read_measurements(rows["distances"], keys, shows_known, faults)
    shows = make_shows(rows, places, faults)
    stands = {name: key for name, key in keys.items() if key in (HOME, *places)}
    _check_stands(rows, stands, shows_known, faults)
    others = make_everything_else(rows, settings, places, stands, faults)
    faults.raise_if_any()

    assert home is not None
    assert settings.season is not None
    assert today is not None
    roads, road_remarks = build_roads(places, measured, settings.driving, folder)
    # Only rules that differ by state ask which states lie on the way.
    if settings.driving.roads != "estimate" and any(
        rule.id.startswith(STATE_RULES) for book in rule_books for rule in book.rules
    ):
        from tripkit.roads.transit import list_states_on_way

        roads = replace(roads, states_on_way=list_states_on_way(places))
    for row in rows["bases"]:
        if roads.find_drive(HOME, make_place_key(row)) is None:
            row.complain(faults, state("faults.base-at-no-road"), "place")
    remarks = collect_remarks(found.tables, rows, settings, roads, today)
    published, store_remarks = _read_published(folder, settings.season, today, faults)
    faults.raise_if_any()
    try:
        yard = Yard(
            name=settings.name,
            place=home,
            season=settings.season,
            today=today,
            today_from=today_from,
            country=home.country or settings.country,
            units=settings.units,
            currency=settings.currency,
            language=find_known_language(settings.language) or LANGUAGES[0],
            limits=settings.limits,
            costs=settings.costs,
            driving=settings.driving,
            shows=shows,
            roads=roads,
            medicines=load_medicines() if rows["treatments"] else None,
            rule_books=rule_books,
            paper_rules=settings.paper_rules,
            remarks=(
                *found.remarks,
                *atlas.remarks,
                *road_remarks,
                *rule_remarks,
                *remarks,
                *store_remarks,
            ),
            extra_cells=collect_extra_cells(found.tables),
            known_as=_read_known_as(folder),
            **others,
        )
        odd = collect_oddities(yard, rows, settings, places, measured)
        lived = go_on_from(replace(yard, oddities=odd), published)
        return replace(lived, remarks=(*lived.remarks, *list_forgotten(lived)))
    except BadValue as error:
        faults.add(folder.name, error.fact)
        faults.raise_if_any()
        raise


def _read_published(
    folder: Path, season: DaySpan, today: date, faults: Faults
) -> tuple[Circuit | None, tuple[Fact, ...]]:
    """The circuit that is published, None where there is none, and remarks.

    Where it cannot be read nobody knows what has begun: a fault, as soon as the season has.
    """
    with open_store(folder) as store:
        try:
            document = store.find_current().document
            found = parse_circuits(document, store.path.name) if document else ()
        except (BadStore, BadCircuits) as error:
            said = state("faults.what-is-published-cannot-be", fact=error.fact)
            if today < season.first:
                return None, (said,)
            faults.add(store.path.name, said)
            return None, ()
    return next(iter(found), None), ()


def _read_known_as(folder: Path) -> Mapping[tuple[str, str], str]:
    """What names were at first, for the calendars; a store that cannot be read tells nothing."""
    with open_store(folder) as store, suppress(BadStore):
        return read_known_as(store.find_setting(KNOWN_AS))
    return {}


def _end_change(folder: Path, faults: Faults) -> None:
    """What a kill left half written is written to its end before anything is read."""
    try:
        finish_change(find_folder(folder))
    except (CannotWrite, BadStore) as error:
        faults.add(
            CHANGE_FILE,
            error.fact if isinstance(error.fact, Fact) else state("faults.told", said=error.fact),
        )


def _find_today(
    settings: Settings, home: Place | None, given: date | None, clock: Clock | None
) -> tuple[date | None, str]:
    """Today and who says so; None where neither season nor anybody tells it."""
    if given is not None:
        return given, TODAY_GIVEN
    if settings.today is not None:
        return settings.today, TODAY_WRITTEN
    if settings.season is None:
        return None, TODAY_BY_CLOCK
    zone = home.timezone if home else settings.timezone or "UTC"
    return tell_today(settings.season, zone, clock)


def _check_dates(
    rows: Rows, settings: Settings, today: date | None, today_from: str, faults: Faults
) -> None:
    """Nobody is born after today; tests, documents and treatments are there or not.

    Only a dose may be an appointment. Where nobody said which day is today, nothing lies after
    the season.
    """
    if today is None:
        return
    latest = today
    if settings.season and today_from not in (TODAY_GIVEN, TODAY_WRITTEN):
        latest = max(today, settings.season.last)
    end = "today" if latest == today else "the season"
    for table in ("horses", "people"):
        for row in rows[table]:
            if row.reads("born") and row["born"] and row["born"][0] > latest:
                row.complain(faults, state("faults.is-after", end=end, latest=latest), "born")
    for table in ("papers", "treatments"):
        for row in rows[table]:
            planned = table == "papers" and row["paper"] not in FINISHED_PAPERS
            if row.reads("date") and row["date"] > latest and not planned:
                row.complain(faults, state("faults.is-after", end=end, latest=latest), "date")


def _find_rule_books(settings: Settings, rows: Rows, faults: Faults) -> tuple[RuleBook, ...]:
    """The rule books of yard.toml and of the shows; an unknown one is a fault."""
    known = known_rule_books()
    wanted = [book for book in settings.paper_rules if book in known]
    for book in settings.paper_rules:
        if book not in known:
            faults.add(
                SETTINGS_FILE,
                state("faults.no-rule-book", known=tuple(known), near=suggest_near(book, known)),
                column="papers.rules",
                value=book,
            )
    for row in rows["shows"]:
        book = row["rules"]
        if book in known:
            wanted.append(book)
        elif book and row.reads("rules"):
            near = suggest_near(book, known)
            unknown = state("faults.no-rule-book", known=tuple(known), near=near)
            row.complain(faults, unknown, "rules")
    return load_rule_books(dict.fromkeys(wanted))


def _check_stands(
    rows: Mapping[str, Sequence[Row]], stands: Mapping[str, str], known: bool, faults: Faults
) -> None:
    """A vehicle that is absent stands at home or at a show's place; nobody else stands anywhere."""
    vehicles = {row["vehicle"] for row in rows["vehicles"]}
    for row in rows["absences"]:
        where = row["at"] if row.reads("at", "who") else ""
        if where and row["who"] not in vehicles:
            row.complain(faults, state("faults.only-vehicles-stand", who=row["who"]), "at")
        elif where and known and where not in stands:
            near = suggest_near(where, stands)
            row.complain(faults, state("faults.no-stop", near=near), "at")


def _list_keys_by_name(rows: Rows, settings: Settings, venues: Venues) -> dict[str, str]:
    """What distances.csv may call a place, and the place key it means.

    A place as written comes before a show or base of the same name. A venue may stand there before
    any show is at it.
    """
    stops = (("show", "shows"), ("base", "bases"))
    keys = [(row[kind], make_place_key(row)) for kind, table in stops for row in rows[table]]
    names = {stop: key for stop, key in keys if stop and key}
    names.update({name: name for name in venues.list_names()})
    if settings.place:
        names[venues.spell(settings.place)] = HOME
    names.update({key: key for _, key in keys if key})
    return {**names, HOME: HOME}
