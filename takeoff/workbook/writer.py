"""Put the whole book on sheets and write the file."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import accumulate
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.utils.datetime import from_excel
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

from takeoff.engine.collection import without_collection
from takeoff.engine.tables import Book
from takeoff.model.cost.guards import Guard, guards_of
from takeoff.model.order.crew import ON_THE_PAGE
from takeoff.model.rules import inspection as inspected
from takeoff.workbook import furnish, leads, printing
from takeoff.workbook.file.package import save
from takeoff.workbook.file.rows import SheetRows
from takeoff.workbook.file.styles import Styles
from takeoff.workbook.layout import ROW_POINTS, Spot, inputs_read, names_of, place_rows
from takeoff.workbook.pages import about, crew, ground_path, inspection, proposal, summary, trace
from takeoff.workbook.pages import swap as swap_page
from takeoff.workbook.pages.page import Page, Provenance
from takeoff.workbook.references import References
from takeoff.workbook.sheets.order import sheets_of
from takeoff.workbook.sheets.plan import (
    ABOUT,
    CREW,
    GROUND_PATH,
    INSPECTION,
    KIND_WORDS,
    PROPOSAL,
    SUMMARY,
    SWAP,
    TRACE,
    SheetPlan,
)

READ_BY_PAGES = (
    *(("proposal", name) for name in ("part", "text")),
    *((table, "repeat") for table in ("boxes", "circuits")),
    ("plan_sums", "grounds_per_box"),
    *(("pair_bars", name) for name in ("title", "less_usd")),
)
"""Columns that sentences of the pages read as ranges."""

SHOWN_BY_PAGES = ("crew_boxes", "stop_lines", "heaviest", "pair_parts", "best_mix", "basis")
"""Tables whose cells stand on pages one by one."""

BESIDE = range(300_000, 10_000_000)
"""Cells of a book whose largest sheets are packed beside the others: with fewer it takes longer, with more the memory
of a second process is dearer than the time."""

BACK_ROW = 4
"""Row of the link back to the summary."""

FIRST_TABLE_ROW = 7
"""Row of the headings of a sheet's first table; the rows above hold its title or sums, and the keys of blocks."""


@dataclass
class _Draft:
    """The workbook in the making."""

    book: Book
    file: Workbook
    styles: Styles
    refs: References
    guards: Sequence[Guard]
    spots: dict[str, list[Spot]] = field(default_factory=dict)


@without_collection()
def write_workbook(book: Book, provenance: Provenance, path: Path) -> None:
    """Write the workbook of a build.

    Parameters
    ----------
    book
        Every table and input.
    provenance
        What the sheet About says of the build.
    path
        File to write, staged by whoever moves it into place.
    """
    file, plans = Workbook(), sheets_of(book.tables)
    sheets = {plan.title: (file.active if n == 0 else file.create_sheet()) for n, plan in enumerate(plans)}
    for title, sheet in sheets.items():
        sheet.title = title
    draft = _Draft(book, file, Styles(file), references_of(book), guards_of(book)[0])
    for plan in plans:
        draft.spots[plan.title] = [draft.refs.spots[name] for name in plan.tables]
    _name_ranges(draft)
    file.calculation = furnish.CALC
    plan_of = {plan.title: plan for plan in plans}

    def fill(title: str) -> SheetRows:
        return _fill(draft, plan_of[title], sheets[title], provenance)

    save(file, path, fill, _day(book), _largest(draft))


def _largest(draft: _Draft) -> list[str]:
    """Return the sheets that a process of its own packs: those with two thirds of all cells, if it is worth it.

    Filling all sheets and packing the others takes about as long as packing these.
    """
    cells = {title: sum(len(s.table) * len(s.shown) for s in spots) for title, spots in draft.spots.items()}
    by_size, every = sorted(cells, key=cells.__getitem__, reverse=True), sum(cells.values())
    too_few = [total for total in accumulate(map(cells.__getitem__, by_size)) if total < 2 / 3 * every]
    return by_size[: len(too_few) + 1] if every in BESIDE else []


def _day(book: Book) -> dt.datetime | None:
    """Return the date of the estimate, which the file says as its date of creation."""
    days = float(str(book.inputs["estimate_date"]))
    return from_excel(days) if days else None


def references_of(book: Book) -> References:
    """Return where everything stands, and which columns are not written."""
    refs = References(book, [spot for plan in sheets_of(book.tables) for spot in spots_of(plan, book)])
    elsewhere = [("crew_lines", name) for name in ON_THE_PAGE]
    elsewhere += [("inspected", name) for name in inspected.on_the_page(book.tables["check_list"].data["check"])]
    refs.settle(READ_BY_PAGES, SHOWN_BY_PAGES, elsewhere)
    return refs


def spots_of(plan: SheetPlan, book: Book) -> list[Spot]:
    """Return where the tables of a sheet stand."""
    starts = {SUMMARY: summary.FIRST_TABLE_ROW, SWAP: swap_page.FIRST_TABLE_ROW}
    row = starts.get(plan.title, FIRST_TABLE_ROW)
    headed = "header front" if plan.title == SUMMARY else "header"
    spots = []
    for group in plan.groups:
        names = (group,) if isinstance(group, str) else group
        made = partial(Spot, sheet=plan.title, header_row=row, kind=plan.kind, headed=headed)
        spots += [made(book.tables[n], **_beside(k)) for k, n in enumerate(names)]
        right = plan.right.get(group, {}) if isinstance(group, str) else {}
        spots += [made(book.tables[n], start=column) for n, column in right.items()]
        row += max(len(book.tables[name]) for name in (*names, *right)) + 4
    for number, group in enumerate(plan.long):
        for place, name in enumerate((group,) if isinstance(group, str) else group):
            after = 0 if place else 1 if number else -1
            table = book.tables[name]
            spots.append(Spot(table, plan.title, row, kind=plan.kind, beside=place > 0, after=after, long=True))
    for name in plan.below:
        row = max(spot.last_row for spot in spots) + 4
        spots.append(Spot(book.tables[name], plan.title, row, kind=plan.kind))
    return spots


def _beside(place: int) -> dict[str, Any]:
    """Return how a table stands among those with the same rows: the first with its keys, the others next to it."""
    return {"beside": True, "after": 0} if place else {}


def _name_ranges(draft: _Draft) -> None:
    every = [spot for spots in draft.spots.values() for spot in spots]
    names = names_of(every)
    by_table = {s.table.name: s for s in every}
    for table in ("numbers", "dates", "choices", "texts"):
        spot = by_table[table]
        for row, key in enumerate(spot.table.data["key"], start=spot.first_row):
            names[str(key)] = f"'{spot.sheet}'!${spot.letter('value')}${row}"
    missing = inputs_read(draft.book.tables.values()) - names.keys()
    if missing:
        raise ValueError(f"inputs that no cell holds: {sorted(missing)}")
    for name, where in sorted(names.items()):
        draft.file.defined_names[name] = DefinedName(name, attr_text=where)


def _fill(draft: _Draft, plan: SheetPlan, sheet: Worksheet, provenance: Provenance) -> SheetRows:
    """Return the rows of a sheet, with all that stands around them put onto it."""
    rows, spots = SheetRows(), draft.spots[plan.title]
    page = Page(sheet, rows, draft.styles, draft.book, draft.refs)
    by_table = {s.table.name: s for found in draft.spots.values() for s in found}
    fixed = {SUMMARY: summary.WIDTHS, SWAP: swap_page.WIDTHS}
    wide = furnish.widths(sheet, spots, draft.book, fixed.get(plan.title, plan.widths))
    for spot in spots:
        place_table(page, spot, wide)
        furnish.validate(sheet, spot, by_table)
        furnish.mark_outcomes(sheet, spot)
        if len(spots) > 1 or plan.title == SWAP:
            page.put(spot.header_row - 2, spot.first_column, spot.table.title, "heading")
    furnish.mark_not_accepted(sheet, draft.guards, draft.refs)
    _fill_page(page, plan, spots, by_table, provenance)
    leads.to_inputs(page, plan)
    if plan.title == SUMMARY:
        leads.explain(page, spots)
    else:
        page.put(BACK_ROW, 1, "to the Summary", "note")
        rows.links.append((f"A{BACK_ROW}", f"'{SUMMARY}'!A1"))
    _set_print(page, plan, spots)
    furnish.protect(sheet)
    return rows


def place_table(page: Page, spot: Spot, wide: Mapping[int, float]) -> None:
    """Write a table with its headings, as a table of the sheet."""
    place_rows(spot, page.book, page.styles, page.rows, wide, page.refs.formulas(spot.table.name))
    beside = page.rows.heights.get(spot.header_row, 0.0)
    page.rows.heights[spot.header_row] = max(beside, furnish.header_height(spot, wide))
    furnish.add_table(page.sheet, spot)


def _set_print(page: Page, plan: SheetPlan, spots: Sequence[Spot]) -> None:
    """Set how a sheet prints: pages as one, tables with their headings on every page."""
    if plan.title == CREW:
        printing.heads_and_feet(page.sheet, plan.kind)
        crew.set_print(page)
    elif plan.title == SUMMARY:
        printing.print_page(page.sheet, plan.kind)
        printing.fill_letter(page.sheet)
    elif plan.title in (SWAP, PROPOSAL):
        printing.full_scale(page.sheet, plan.kind)
        if plan.title == SWAP:
            page.sheet.sheet_format.defaultRowHeight = ROW_POINTS
    elif plan.title == INSPECTION:
        printing.heads_and_feet(page.sheet, plan.kind)
        inspection.set_print(page)
    elif plan.title == ABOUT:
        printing.print_page(page.sheet, plan.kind, upright=True, high=0)
        page.sheet.page_margins, page.sheet.sheet_format.defaultRowHeight = printing.FULL, ROW_POINTS
    else:
        furnish.close_up(page.rows, spots)
        printed = [spot for spot in spots if spot.table.name not in plan.below]
        printing.print_tables(page.sheet, page.rows, printed, plan.kind, plan.printed, plan.workings)


def _fill_page(
    page: Page, plan: SheetPlan, spots: Sequence[Spot], by_table: Mapping[str, Spot], provenance: Provenance
) -> None:
    """Write what stands on a sheet beside its tables."""
    pages: dict[str, Callable[[], None]] = {
        SUMMARY: lambda: summary.fill(page, spots, by_table, provenance),
        SWAP: lambda: swap_page.fill(page, by_table),
        PROPOSAL: lambda: proposal.fill(page),
        INSPECTION: lambda: inspection.fill(page, provenance),
        ABOUT: lambda: about.fill_about(page, provenance),
    }
    if plan.title in pages:
        pages[plan.title]()
        return
    title = spots[0].table.title if len(spots) == 1 else "Crew pages" if plan.title == CREW else plan.title
    page.head(title, f"{KIND_WORDS[plan.kind]}. {plan.intro}")
    if plan.title == CREW:
        crew.fill_crew(page, by_table)
    else:
        if plan.title == TRACE:
            trace.fill_trace(page, by_table)
        furnish.freeze(page.sheet, spots)
    if plan.title == GROUND_PATH:
        ground_path.add_chart(page, spots)
