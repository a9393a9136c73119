"""What one file says must fit the others: names, keys, orders of dates, shares, classes' days.

Names are checked against the rows as written, so a show whose dates are wrong is still a known
show, and a file that could not be read at all makes no other file wrong.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from tripkit.files.causes import find_alike, find_misspelt
from tripkit.files.columns import FILE_OF_KIND, STOP_KINDS, TABLES, WHO_KINDS, Column, Row
from tripkit.files.faults import Faults
from tripkit.files.values import measure_rounding, parse_clock
from tripkit.yard.errors import state_rows
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Aim
from tripkit.yard.names import find_near, suggest
from tripkit.yard.papers import KNOWN_PAPERS
from tripkit.yard.shows import DIVISIONS

Rows = Mapping[str, Sequence[Row]]
RESERVED_STOPS = ("home", "road")
RIDING = ("rider", "also_ridden_by")


@dataclass(frozen=True)
class Names:
    """The names that other files may use; None where the file that holds them is unreadable.

    `respelt` leads from a name that other files use to what its own file wrongly makes of it; that
    is a fault there, and the name counts as known.
    """

    known: Mapping[str, Collection[str] | None]
    classes: Mapping[str, Collection[str]] | None
    riders: Collection[str] | None
    respelt: Mapping[str, str] = field(default_factory=dict)

    def find_known(self, kinds: Iterable[str]) -> Collection[str] | None:
        """The names of some kinds together; None where those of one are not known."""
        groups = [self.known.get(kind) for kind in kinds]
        if any(group is None for group in groups):
            return None
        return dict.fromkeys(name for group in groups for name in group or ())


def collect_names(rows: Rows, unreadable: Collection[str], faults: Faults) -> Names:
    """The names in the key columns; an optional file that is not there holds no names.

    A key that its own file spells unlike all others is a fault.
    """
    respelt: dict[str, str] = {}

    def is_readable(table: str, *columns: str) -> bool:
        whole = all(name in row.texts for row in rows[table] for name in columns)
        return table not in unreadable and whole

    classes: dict[str, dict[str, None]] | None = None
    if is_readable("classes", "show", "class"):
        classes = {}
        for row in rows["classes"]:
            if row["class"]:
                classes.setdefault(row["show"], {})[row["class"]] = None
    known: dict[str, Collection[str] | None] = {}
    for kind, table in FILE_OF_KIND.items():
        known[kind] = None
        if is_readable(table, kind):
            found = find_misspelt(rows, kind, faults)
            respelt.update(found)
            known[kind] = dict.fromkeys([*(row[kind] for row in rows[table] if row[kind]), *found])
    # A role that cannot be read is a fault of its own; the person may well be a rider.
    riders = dict.fromkeys(
        row["person"] for row in rows["people"] if row["person"] and row["role"] in ("rider", None)
    )
    riders |= {name: None for name, meant in respelt.items() if meant in riders}
    return Names(known, classes, None if known["person"] is None else riders, respelt)


def check_all(rows: Rows, names: Names, faults: Faults) -> None:
    """Every check that needs no place, no rule book and no date of today."""
    for table, columns in TABLES.items():
        _check_keys(rows[table], [column.name for column in columns if column.key], faults)
    for table, columns in TABLES.items():
        _check_orders(rows[table], [column for column in columns if column.after], faults)
        for column in columns:
            _check_column(rows, table, column, names, faults)
    _check_stops(rows, faults)
    _check_classes(rows, faults)
    _check_riders(rows, names, faults)
    _check_shares(rows, names, faults)
    _check_papers(rows, faults)
    _check_plans(rows, names, faults)
    _check_papers_of_horses(rows, faults)
    _check_rates(rows, faults)
    _check_kinds_apart(rows, faults)


def _check_column(rows: Rows, table: str, column: Column, names: Names, faults: Faults) -> None:
    """Whoever or whatever a column names is there; riders are looked at apart."""
    known = names.find_known(column.kinds)
    # A yard without people.csv may still write down who owns what.
    spared = column.free or column.name in RIDING or (column.name == "owner" and not rows["people"])
    if not column.kinds or known is None or spared:
        return
    what = state_kinds(column.kinds)
    for row in rows[table]:
        for name in column.list_names(row):
            _look_up(row, column.name, name, known, what, faults)


def _look_up(
    row: Row,
    column: str,
    name: str,
    known: Collection[str] | None,
    what: Fact,
    faults: Faults,
) -> None:
    """A name that nobody bears is a fault, unless it cannot be told who is there."""
    if known is not None and name and name not in known:
        near = faults.suggest_near(name, known, what)
        wanted = state("faults.no-name-of-kind", what=what, near=near)
        faults.add(row.file, wanted, row=row.number, column=column, value=name)


def state_kinds(kinds: Sequence[str]) -> Fact:
    """What is looked for: a horse in its file, or any name of several kinds."""
    if len(kinds) == 1:
        return state("faults.kind-in-file", kind=kinds[0], file=f"{FILE_OF_KIND[kinds[0]]}.csv")
    return state("faults.kinds-of-yard", kinds=tuple(kinds))


def _check_keys(rows: Sequence[Row], key: Sequence[str], faults: Faults) -> None:
    seen: dict[tuple[object, ...], Row] = {}
    for row in rows if key else ():
        if row.reads(*key):
            first = seen.setdefault(tuple(row[column] for column in key), row)
            if first is not row:
                # An aim for a show as a whole has an empty class.
                *others, column = [column for column in key if row[column]]
                same = state("faults.with-the-same", columns=tuple(others)) if others else None
                row.complain(
                    faults,
                    state("faults.stands-already-in", where=first.where, shared=same),
                    column,
                )


def _check_orders(rows: Sequence[Row], columns: Sequence[Column], faults: Faults) -> None:
    for row in rows:
        for column in columns:
            early, late = column.after, column.name
            low, high = row[early], row[late]
            if not row.reads(early, late) or low is None or high is None:
                continue
            if high < low:
                word = "below"
                if isinstance(high, date):
                    word = "before"
                elif column.parse is parse_clock:
                    word, low = "before", row.texts[early]
                row.complain(faults, state("faults.is", word=word, early=early, low=low), late)


def _check_stops(rows: Rows, faults: Faults) -> None:
    """Legs and days name shows and bases alike, and have words of their own."""
    for kind in STOP_KINDS:
        for row in rows[FILE_OF_KIND[kind]]:
            if row.reads(kind) and row[kind].casefold() in RESERVED_STOPS:
                row.complain(faults, state("faults.word-that-plans-use-themselves"), kind)
    shows = {row["show"]: row for row in rows["shows"] if row.reads("show")}
    for row in rows["bases"]:
        if row.reads("base") and row["base"] in shows:
            where = shows[row["base"]].at
            row.complain(faults, state("faults.base-is-show", where=where), "base")


def _check_classes(rows: Rows, faults: Faults) -> None:
    shows: dict[str, Row] = {}
    for row in rows["shows"]:
        if row.reads("show"):
            shows.setdefault(row["show"], row)
    offered: dict[str, list[Row]] = {}
    for row in rows["classes"]:
        if row.reads("show", "day") and row["show"] in shows:
            offered.setdefault(row["show"], []).append(row)
    for name, classes in offered.items():
        _check_days(shows[name], classes, faults)
    for row in rows["classes"]:
        division = row["division"]
        near = () if division in DIVISIONS else find_near(division, DIVISIONS)
        if near and row.reads("division"):
            row.complain(faults, state("faults.no-division", choice=suggest(near)), "division")


def _check_days(show: Row, classes: Sequence[Row], faults: Faults) -> None:
    """A class outside its show's days is wrong; where all of several are, the show is."""
    first, last = show["first_day"], show["last_day"]
    if not show.reads("first_day", "last_day") or last < first:
        return
    outside = [row for row in classes if not first <= row["day"] <= last]
    if len(outside) == len(classes) > 1:
        days = [row["day"] for row in outside]
        where = state_rows((row.file, row.number) for row in outside)
        show.complain(
            faults,
            state(
                "faults.to-are-not-days-of",
                last=last,
                min_days=min(days),
                max_days=max(days),
                where=where,
            ),
            "first_day",
        )
        return
    for row in outside:
        row.complain(faults, state("faults.outside-shows-days-to", first=first, last=last), "day")


def _check_riders(rows: Rows, names: Names, faults: Faults) -> None:
    of_riders = state("faults.kind-in-file", kind="rider", file="people.csv")
    for column in (column for column in TABLES["horses"] if column.name in RIDING):
        for row in rows["horses"]:
            listed = column.list_names(row)
            for i, name in enumerate(listed):
                wrong = None
                if name in (names.known["person"] or ()) and name not in (names.riders or ()):
                    wrong = state("faults.in-peoplecsv-but-not-as")
                elif column.holds_several and name in (row["rider"], *listed[:i]):
                    wrong = state("faults.rides-it-already", horse=row["horse"])
                if wrong is None:
                    _look_up(row, column.name, name, names.riders, of_riders, faults)
                else:
                    faults.add(row.file, wrong, row=row.number, column=column.name, value=name)


def _check_shares(rows: Rows, names: Names, faults: Faults) -> None:
    if not rows["shares"]:
        return
    horses = names.known["horse"]
    held: dict[str, list[Row]] = {}
    for row in rows["shares"]:
        if horses is None or not row.reads("horse") or row["horse"] in horses:
            held.setdefault(row["horse"], []).append(row)
    readable = all(row.reads("horse") for row in rows["shares"])
    unknown = {row["horse"] for row in rows["shares"]} - held.keys()
    for row in rows["horses"]:
        if not readable or not row.reads("horse") or row["horse"] in held:
            continue
        # A share of a name that is much alike is one fault already.
        named = row["horse"] in names.respelt.values() or find_alike(row["horse"], unknown)
        if not named:
            row.complain(faults, state("faults.has-no-owner-in-sharescsv"), "horse")
    for horse, shares in held.items():
        if not all(share.reads() for share in shares):
            continue
        total = sum((share["share"] for share in shares), Fraction(0))
        rounded = sum(
            (measure_rounding(share.texts.get("share", "")) for share in shares), Fraction(0)
        )
        if abs(total - 1) > rounded:
            hint = "; write thirds as 1/3" if abs(total - 1) < Fraction(1, 20) else ""
            shares[-1].complain(
                faults,
                state(
                    "faults.shares-of-sum-to-not",
                    horse=horse,
                    total=f"{float(total):.6g}",
                    hint=hint,
                ),
                "share",
                quote=False,
            )


def _check_papers(rows: Rows, faults: Faults) -> None:
    for row in rows["papers"]:
        if row.reads("horse", "person") and bool(row["horse"]) == bool(row["person"]):
            if row["horse"]:
                row.complain(faults, state("faults.stands-beside-horse-paper-has"), "person")
            else:
                row.complain(
                    faults, state("faults.empty-write-horse-or-person"), "horse", quote=False
                )
        if row.reads("paper"):
            near = () if row["paper"] in KNOWN_PAPERS else find_near(row["paper"], KNOWN_PAPERS)
            if near:
                row.complain(faults, state("faults.no-known-paper", choice=suggest(near)), "paper")


def _check_papers_of_horses(rows: Rows, faults: Faults) -> None:
    """Nothing was given to a horse before it was born, and it has one passport at a time."""
    born = {r["horse"]: r["born"] for r in rows["horses"] if r.reads("horse", "born") and r["born"]}
    passports: dict[str, Row] = {}
    for table in ("papers", "treatments"):
        for row in rows[table]:
            day = born.get(row["horse"]) if row.reads("horse", "date") else None
            if day is not None and row["date"] < day[0]:
                row.complain(
                    faults, state("faults.before-horse-was-born", day_first=day[0]), "date"
                )
    kept = [r for r in rows["papers"] if r.reads() and r["horse"] and r["paper"] == "passport"]
    for row in sorted(kept, key=lambda r: (r["horse"], r["date"])):
        other = passports.get(row["horse"])
        passports[row["horse"]] = row
        if other is None:
            continue
        if other["date"] == row["date"]:
            row.complain(faults, state("faults.also-day-of-passport-in", where=other.where), "date")
        ended = other["valid_until"] is not None and other["valid_until"] < row["date"]
        if other["number"] and row["number"] and row["number"] != other["number"] and not ended:
            row.complain(
                faults,
                state(
                    "faults.second-passport-in-has-not",
                    number=other["number"],
                    where=other.where,
                    date=row["date"],
                ),
                "number",
            )


def _check_plans(rows: Rows, names: Names, faults: Faults) -> None:
    for table in ("aims", "entries"):
        for row in rows[table]:
            shows = names.known["show"]
            is_known = row.reads("show") and (shows is None or row["show"] in shows)
            if is_known and names.classes is not None:
                offered = names.classes.get(row["show"], ())
                what = state("faults.class-in-file", show=row["show"])
                _look_up(row, "class", row["class"], offered, what, faults)
    _check_aims_apart(rows["aims"], faults)
    for row in rows["aims"]:
        if row.reads() and not row["series"]:
            for column in ("points_needed", "starts_needed"):
                if row[column] > 0:
                    row.complain(faults, state("faults.asks-for-series"), column)


def _check_aims_apart(rows: Sequence[Row], faults: Faults) -> None:
    """Plans name an aim by its title, so no two aims may share one, as `A at B, C` may be two."""
    seen: dict[str, Row] = {}
    key = ("horse", "show", "class")
    for row in rows:
        if row.reads(*key):
            title = Aim(*(row[column] for column in key)).title
            first = seen.setdefault(title, row)
            if any(row[column] != first[column] for column in key):
                fact = state("faults.same-aim-in-words", title=title, where=first.where)
                row.complain(faults, fact, "show")


def _check_rates(rows: Rows, faults: Faults) -> None:
    for row in rows["vehicles"]:
        if row["per_km"] is not None and row["per_mile"] is not None:
            row.complain(faults, state("faults.stands-beside", other="per_km"), "per_mile")


def _check_kinds_apart(rows: Rows, faults: Faults) -> None:
    """Absences, papers and feeds go by the name alone, so no two kinds may share one."""
    seen: dict[str, Row] = {}
    for column in WHO_KINDS:
        for row in rows[FILE_OF_KIND[column]]:
            if row.reads(column):
                first = seen.setdefault(row[column], row)
                if first.file != row.file:
                    row.complain(
                        faults,
                        state(
                            "faults.also-name-in-row-horses", file=first.file, number=first.number
                        ),
                        column,
                    )
