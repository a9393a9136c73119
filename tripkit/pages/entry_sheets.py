"""Entry sheets of a circuit as a workbook: what to send by when, per show, and who pays what.

The overview `Entries` has a line for each show by closing date, then come the shows by date, one
sheet each, then `Owners`. Only what the organiser is paid stands here: entry, stall and late fees,
the same lines as in `costs`. What an owner pays is the sum of his parts of his horses' fees at
each show, split to the cent, so every sheet adds up to the same total.

Names come from the yard's files: one that a spreadsheet would take for a formula is kept as text.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.header_footer import HeaderFooterItem, _HeaderFooterPart
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from tripkit.explaining.reasons import say_today
from tripkit.files.atomic import write_whole
from tripkit.files.workbooks import mark_answer
from tripkit.season.bases import count_nights_on_grounds
from tripkit.season.costs import CostLine, needs_late_fee, price
from tripkit.yard.circuit import Circuit, Outing
from tripkit.yard.facts import Fact, state
from tripkit.yard.money import split_cents
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard

FEES = ("entry fee", "stall fee", "late fee")
OVERVIEW, OWNERS = "Entries", "Owners"
TO_SEND = "to send"
LONGEST_NAME = 31
FORBIDDEN = re.compile(r"[\[\]:*?/\\\x00-\x1f\x7f]")
ILLEGAL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
FORMULA = ("=", "+", "-", "@", "\t", "\r")
LETTER, A4, LETTER_COUNTRIES = 1, 9, ("US", "CA", "MX")
MONEY, DAY = "#,##0.00", "yyyy-mm-dd"
WIDEST, NARROWEST = 48, 9
# A workbook is the same whenever it is written, so the date in it is none of the clock's.
FIXED = datetime(2000, 1, 1, tzinfo=UTC)
NOBODY = "the yard"

Cell = str | int | Decimal | date | None


@dataclass(frozen=True)
class EntryLine:
    """One line of a show's sheet: a class, the stall or the late fee of one horse, in cents."""

    horse: str
    rider: str
    owners: str
    kind: str
    class_name: str
    day: date | None
    height_cm: int | None
    cents: int
    status: str


@dataclass(frozen=True)
class ShowSheet:
    """The entries of one show: lines by horse, what is still to send, what each owner pays."""

    show: Show
    lines: tuple[EntryLine, ...]
    late: bool
    stalls: int
    by_owner: Mapping[str, int]

    @property
    def total_cents(self) -> int:
        """All fees of the show."""
        return sum(line.cents for line in self.lines)

    @property
    def to_send(self) -> int:
        """Classes that are not sent yet."""
        return sum(line.kind == FEES[0] and line.status == TO_SEND for line in self.lines)


def write_entries(
    yard: Yard, circuit: Circuit, path: Path | str, broken: Sequence[str] = ()
) -> Path:
    """The entry sheets of a circuit become a workbook, whole or not at all.

    At its head stands what the circuit has `broken`, a line each. Answers the path. Raises
    `CannotWrite`.
    """
    book = Workbook()
    sheets = list_show_sheets(yard, circuit)
    overview = book.active
    assert isinstance(overview, Worksheet)
    overview.title = OVERVIEW
    taken = {OVERVIEW.casefold(), OWNERS.casefold()}
    names = {}
    for sheet in sheets:
        names[sheet.show.show] = name_sheet(sheet.show.show, taken)
    _write_overview(yard, circuit, overview, sheets, names, broken)
    for sheet in sheets:
        _write_show(yard, book.create_sheet(names[sheet.show.show]), sheet)
    _write_owners(yard, book.create_sheet(OWNERS), sheets)
    mark_answer(book)
    book.properties.title = _clean(str(state("entries.of", yard=yard.name, circuit=circuit.name)))
    book.properties.created = book.properties.modified = FIXED.replace(tzinfo=None)
    target = Path(path)
    write_whole(target, _save(book))
    return target


def list_show_sheets(yard: Yard, circuit: Circuit) -> tuple[ShowSheet, ...]:
    """The shows that the circuit goes to in date order, each with its entries and fees."""
    bill = price(yard, circuit.outings, circuit.legs, circuit.days)
    nights = count_nights_on_grounds(yard, circuit.outings, circuit.legs)
    fees: dict[str, list[CostLine]] = {}
    for line in bill.lines:
        if line.kind in FEES:
            fees.setdefault(line.show, []).append(line)
    by_show: dict[str, list[Outing]] = {}
    for outing in sorted(circuit.outings, key=lambda o: o.horse):
        by_show.setdefault(outing.show, []).append(outing)
    shows = sorted(
        (yard.show_by_name[name] for name in by_show), key=lambda s: (s.days.first, s.show)
    )
    return tuple(
        _make_sheet(yard, show, by_show[show.show], fees.get(show.show, []), nights)
        for show in shows
    )


def name_sheet(show: str, taken: set[str]) -> str:
    """A show's id as a sheet's name: legal, at most 31 characters, not taken yet.

    The name is added to `taken`, which holds names without capitals.

    >>> name_sheet("Spring: 1/2", {"spring  1 2"})
    'Spring  1 2 (2)'
    """
    base = FORBIDDEN.sub(" ", _clean(show)).strip().strip("'") or "Show"
    # Excel keeps this name for itself.
    base = "History of show" if base.casefold() == "history" else base
    name, number = base[:LONGEST_NAME].rstrip(), 1
    while name.casefold() in taken:
        number += 1
        tail = f" ({number})"
        name = base[: LONGEST_NAME - len(tail)].rstrip() + tail
    taken.add(name.casefold())
    return name


# What stands in the sheets


def _make_sheet(
    yard: Yard,
    show: Show,
    outings: Sequence[Outing],
    fees: Sequence[CostLine],
    nights: Mapping[tuple[str, str], int],
) -> ShowSheet:
    stalled = {o.horse for o in outings if nights[o.horse, show.show]}
    lines = tuple(
        line
        for outing in outings
        for line in _list_lines(yard, show, outing, in_stall=outing.horse in stalled)
    )
    by_owner: dict[str, int] = {}
    for outing in outings:
        cents = sum(line.cents for line in fees if line.horse == outing.horse)
        for owner, part in split_fees(yard, outing.horse, cents).items():
            by_owner[owner] = by_owner.get(owner, 0) + part
    late = any(needs_late_fee(yard, outing) for outing in outings)
    return ShowSheet(show, lines, late, len(stalled), by_owner)


def split_fees(yard: Yard, horse: str, cents: int) -> Mapping[str, int]:
    """What each owner of a horse pays of some fees [cents]; without owners the yard pays."""
    shares = yard.owner_shares_of(horse) or {NOBODY: Fraction(1)}
    return dict(zip(shares, split_cents(cents, list(shares.values())), strict=True))


def _list_lines(yard: Yard, show: Show, outing: Outing, *, in_stall: bool) -> Iterator[EntryLine]:
    horse = outing.horse
    owners = ", ".join(
        owner if share == 1 else f"{owner} {_write_share(share)}"
        for owner, share in yard.owner_shares_of(horse).items()
    )
    open_classes = 0
    for name in outing.classes:
        offered = show.find_class(name)
        entry = yard.bound_entries.get((horse, show.show, name))
        open_classes += entry is None
        yield EntryLine(
            horse,
            outing.rider,
            owners or NOBODY,
            FEES[0],
            name,
            None if offered is None else offered.day,
            None if offered is None else offered.height_cm,
            0 if offered is None else offered.fee_cents,
            TO_SEND if entry is None else entry.status,
        )
    status = TO_SEND if open_classes == len(outing.classes) else "with the entry"
    if in_stall and show.stall_fee_cents:
        yield EntryLine(
            horse,
            outing.rider,
            owners or NOBODY,
            FEES[1],
            "stall",
            outing.arrive,
            None,
            show.stall_fee_cents,
            status,
        )
    if needs_late_fee(yard, outing) and show.late_fee_cents:
        yield EntryLine(
            horse,
            outing.rider,
            owners or NOBODY,
            FEES[2],
            "late fee",
            None,
            None,
            show.late_fee_cents,
            TO_SEND,
        )


def _write_share(share: Fraction) -> str:
    percent = share * 100
    return f"{int(percent)} %" if percent.denominator == 1 else f"{float(percent):.2f} %"


def _state_due(yard: Yard, sheet: ShowSheet) -> Fact:
    """What is to be done for a show."""
    show, today, count = sheet.show, yard.day_of_planning, sheet.to_send
    if not count:
        return state("entries.all-sent")
    if show.entries_close is None:
        return state("entries.send", count=count)
    if today <= show.entries_close:
        return state("entries.send-by", count=count, day=show.entries_close)
    if show.late_entries_until is not None and today <= show.late_entries_until:
        return state("entries.send-late-by", count=count, day=show.late_entries_until)
    return state("entries.closed", count=count)


# Writing


def _write_overview(
    yard: Yard,
    circuit: Circuit,
    page: Worksheet,
    sheets: Sequence[ShowSheet],
    names: Mapping[str, str],
    broken: Sequence[str],
) -> None:
    heads = (
        "entries close",
        "late until",
        "show",
        "sheet",
        "first day",
        "last day",
        "horses",
        "classes",
        "to send",
        "to do",
        f"entry fees {yard.currency}".strip(),
        "stall fees",
        "late fees",
        "total",
    )
    ordered = sorted(
        sheets,
        key=lambda s: (
            s.show.last_entry_day is None,
            s.show.entries_close or s.show.last_entry_day or date.max,
            s.show.days.first,
            s.show.show,
        ),
    )
    rows: list[Sequence[Cell]] = []
    for sheet in ordered:
        sums = [_sum(line.cents for line in sheet.lines if line.kind == kind) for kind in FEES]
        rows.append(
            (
                sheet.show.entries_close,
                sheet.show.late_entries_until,
                sheet.show.title,
                names[sheet.show.show],
                sheet.show.days.first,
                sheet.show.days.last,
                sheet.stalls,
                sum(line.kind == FEES[0] for line in sheet.lines),
                sheet.to_send,
                str(_state_due(yard, sheet)),
                *sums,
                _sum([sheet.total_cents]),
            )
        )
    title = state("entries.overview", yard=yard.name, circuit=circuit.name, today=say_today(yard))
    _fill(page, str(title), heads, rows, range(10, 14), yard.country, broken)


def _write_show(yard: Yard, page: Worksheet, sheet: ShowSheet) -> None:
    heads = (
        "horse",
        "rider",
        "owner",
        "class",
        "day",
        "height cm",
        "status",
        f"fee {yard.currency}".strip(),
    )
    rows: list[Sequence[Cell]] = [
        (
            line.horse,
            line.rider,
            line.owners,
            line.class_name,
            line.day,
            line.height_cm,
            line.status,
            _sum([line.cents]),
        )
        for line in sheet.lines
    ]
    show = sheet.show
    closes, late = show.entries_close, show.late_entries_until
    title = state(
        "entries.show",
        show=show.title,
        days=show.days,
        closes=state("entries.close", day=closes) if closes else state("entries.no-closing"),
        late=state("entries.late-until", day=late) if late else None,
        stalls=sheet.stalls,
    )
    row = _fill(page, str(title), heads, rows, (7,), yard.country)
    row = _write_row(page, row + 1, (str(state("entries.to-do", due=_state_due(yard, sheet))),))
    row = _write_row(page, row + 1, ("owner", None, None, None, None, None, None, "pays"), True)
    for owner, cents in sheet.by_owner.items():
        row = _write_row(page, row, (owner, None, None, None, None, None, None, _sum([cents])))
    total = ("total", None, None, None, None, None, None, _sum(sheet.by_owner.values()))
    _write_row(page, row, total, True)


def _write_owners(yard: Yard, page: Worksheet, sheets: Sequence[ShowSheet]) -> None:
    owners = [o for o in (*yard.owners, NOBODY) if any(o in s.by_owner for s in sheets)]
    heads = ("show", "first day", *owners, "total")
    rows: list[Sequence[Cell]] = [
        (
            sheet.show.title,
            sheet.show.days.first,
            *(_sum([sheet.by_owner.get(owner, 0)]) for owner in owners),
            _sum([sheet.total_cents]),
        )
        for sheet in sheets
    ]
    currency = state("entries.in-currency", currency=yard.currency) if yard.currency else None
    title = str(state("entries.owners", currency=currency))
    _fill(page, title, heads, rows, range(2, len(heads)), yard.country)


def _sum(cents: Iterable[int]) -> Decimal:
    """Cents as an amount with two decimals."""
    return Decimal(sum(cents)).scaleb(-2)


def _fill(
    page: Worksheet,
    title: str,
    heads: Sequence[str],
    rows: Sequence[Sequence[Cell]],
    summed: Iterable[int],
    country: str,
    above: Sequence[str] = (),
) -> int:
    """Title, heads, rows and a line of sums; answers the row after them. The page is set to print.

    `summed` are the columns of money, counted from 0; `above` are lines between title and heads.
    """
    _write_row(page, 1, (title,), True)
    for number, line in enumerate(above, start=2):
        _write_row(page, number, (line,))
    top = 3 + len(above)
    row = _write_row(page, top, heads, True)
    for cell in page[top]:
        cell.alignment = Alignment(wrap_text=True, vertical="top")
    for cells in rows:
        row = _write_row(page, row, cells)
    sums: list[Cell] = ["total", *[None] * (len(heads) - 1)]
    for column in summed:
        amounts = [cells[column] for cells in rows]
        sums[column] = sum((a for a in amounts if isinstance(a, Decimal)), Decimal("0.00"))
    row = _write_row(page, row, sums, True)
    _set_widths(page, heads, rows)
    _set_print(page, country, top)
    return row


def _write_row(page: Worksheet, row: int, cells: Sequence[Cell], strong: bool = False) -> int:
    """Cells of a row, each of its own kind: text is never a formula. Answers the next row."""
    for column, value in enumerate(cells, start=1):
        if value is None:
            continue
        cell = page.cell(row, column)
        if isinstance(value, str):
            text = _clean(value)
            cell.value = text
            # Set after the value, which openpyxl would take for a formula otherwise.
            cell.data_type = "s"
            if text.startswith(FORMULA):
                cell.quotePrefix = True
        else:
            cell.value = value
            if isinstance(value, date):
                cell.number_format = DAY
            elif isinstance(value, Decimal):
                cell.number_format = MONEY
        if strong:
            cell.font = Font(bold=True)
            if row > 1:
                cell.border = Border(bottom=Side(style="thin"))
    return row + 1


def _clean(text: str) -> str:
    """Without the characters that a workbook cannot hold."""
    return ILLEGAL.sub(" ", text)[:32_000]


def _set_widths(page: Worksheet, heads: Sequence[str], rows: Sequence[Sequence[Cell]]) -> None:
    for column in range(len(heads)):
        shown = [
            len(f"{cells[column]:%Y-%m-%d}")
            if isinstance(cells[column], date)
            else len(f"{cells[column]:,}")
            if isinstance(cells[column], Decimal)
            else len(str(cells[column] or ""))
            for cells in rows
        ]
        longest_word = max(len(word) for word in (*heads[column].split(), ""))
        width = min(WIDEST, max(NARROWEST, longest_word, *shown, 0) + 2)
        page.column_dimensions[get_column_letter(column + 1)].width = width


def _set_print(page: Worksheet, country: str, top: int) -> None:
    page.page_setup.orientation = "landscape"
    page.page_setup.paperSize = LETTER if country in LETTER_COUNTRIES else A4
    page.page_setup.fitToWidth, page.page_setup.fitToHeight = 1, 0
    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    page.print_title_rows = f"{top}:{top}" if top > 3 else "1:3"
    page.freeze_panes = f"A{top + 1}" if top == 3 else None
    page.oddFooter = HeaderFooterItem(center=_HeaderFooterPart("&A, page &P of &N"))
    page.print_options.gridLines = True


def _save(book: Workbook) -> bytes:
    """The workbook's bytes, the same for the same content: no part bears the time of writing."""
    raw, fixed = BytesIO(), BytesIO()
    book.save(raw)
    stamp = FIXED.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    with ZipFile(raw) as old, ZipFile(fixed, "w", ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "docProps/core.xml":
                data = re.sub(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", stamp, data)
            info = ZipInfo(name, FIXED.timetuple()[:6])
            info.compress_type = ZIP_DEFLATED
            new.writestr(info, data)
    return fixed.getvalue()
