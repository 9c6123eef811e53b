"""Put the whole book on sheets and write the file."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.workbook.protection import WorkbookProtection
from openpyxl.worksheet.worksheet import Worksheet

from takeoff.engine.tables import Book, Table
from takeoff.workbook import furnish
from takeoff.workbook.columns import column_list
from takeoff.workbook.file.package import save
from takeoff.workbook.file.rows import SheetRows
from takeoff.workbook.file.styles import Styles
from takeoff.workbook.layout import Spot, inputs_read, names_of, place_rows
from takeoff.workbook.pages import about, crew, ground_path, proposal, summary
from takeoff.workbook.pages import swap as swap_page
from takeoff.workbook.pages.page import Page, Provenance
from takeoff.workbook.sheets.order import SHEETS
from takeoff.workbook.sheets.plan import (
    ABOUT,
    COLUMNS,
    CREW,
    GROUND_PATH,
    KIND_WORDS,
    PROPOSAL,
    SOURCES,
    SUMMARY,
    SWAP,
    SheetPlan,
)

FIRST_TABLE_ROW = 7
"""Row of the headings of a sheet's first table; the rows above hold its title or sums, and the keys of blocks."""


@dataclass
class _Draft:
    """The workbook in the making."""

    book: Book
    file: Workbook
    styles: Styles
    rows: dict[str, SheetRows] = field(default_factory=dict)
    spots: dict[str, list[Spot]] = field(default_factory=dict)


def write_workbook(book: Book, provenance: Provenance, path: Path) -> None:
    """Write the workbook of a build.

    Parameters
    ----------
    book
        Every table and input.
    provenance
        What the about and the sources sheets say of the build.
    path
        Target file; it is replaced when the new one is whole.
    """
    file = Workbook()
    sheets = {plan.title: (file.active if n == 0 else file.create_sheet()) for n, plan in enumerate(SHEETS)}
    for title, sheet in sheets.items():
        sheet.title = title
    draft = _Draft(book, file, Styles(file))
    for plan in SHEETS:
        draft.spots[plan.title] = _spots(plan, book)
        draft.rows[plan.title] = SheetRows()
    every = [spot for spots in draft.spots.values() for spot in spots]
    draft.spots[COLUMNS] = [Spot(column_list(every), COLUMNS, FIRST_TABLE_ROW)]
    _name_ranges(draft)
    for plan in SHEETS:
        _fill(draft, plan, sheets[plan.title], provenance)
    del sheets[SUMMARY]._cells[1, 1]  # the scratch cell of the styles
    file.calculation = furnish.CALC
    file.security = WorkbookProtection(lockStructure=True)
    save(file, path, draft.rows)


def write_crew_book(book: Book, path: Path) -> None:
    """Write a workbook of the crew pages alone, with values in place of the formulas that read other sheets.

    Parameters
    ----------
    book
        Every table and input.
    path
        Target file; it is replaced when the new one is whole.
    """
    file = Workbook()
    file.active.title = CREW
    page = Page(file.active, SheetRows(), Styles(file), book)
    crew.fill_crew(page, {spot.table.name: spot for plan in SHEETS for spot in _spots(plan, book)})
    page.rows.cells = {
        row: {column: replace(cell, formula="") for column, cell in cells.items()}
        for row, cells in page.rows.cells.items()
    }
    furnish.print_setup(page.sheet, "result")
    crew.set_print(page)
    page.sheet.oddHeader.left.text = "Crew pages"  # not the name of a file that nobody keeps
    page.sheet.oddHeader.center.text = ""
    del file.active._cells[1, 1]  # the scratch cell of the styles
    save(file, path, {CREW: page.rows})


def _spots(plan: SheetPlan, book: Book) -> list[Spot]:
    starts = {SUMMARY: summary.FIRST_TABLE_ROW, SWAP: swap_page.FIRST_TABLE_ROW}
    row = starts.get(plan.title, FIRST_TABLE_ROW)
    spots = []
    for name in plan.tables:
        table: Table = book.tables[name]
        spots.append(Spot(table, plan.title, row))
        row += len(table) + 4
    return spots


def _name_ranges(draft: _Draft) -> None:
    every = [spot for spots in draft.spots.values() for spot in spots]
    names = names_of(every)
    by_table = {s.table.name: s for s in every}
    for table in ("numbers", "dates", "choices", "texts"):
        spot = by_table[table]
        for row, key in enumerate(spot.table.data["key"], start=spot.first_row):
            names[str(key)] = f"'{spot.sheet}'!${spot.letter('value')}${row}"
    names["base_construction"] = f"'{SUMMARY}'!{summary.BASE_CELL}"
    names["swap_from"], names["swap_to"] = (f"'{SWAP}'!{c}" for c in (swap_page.FROM_CELL, swap_page.TO_CELL))
    for column in ("part", "text"):
        names[f"proposal.{column}"] = by_table["proposal"].reference(column)
    names["totals.construction"] = by_table["totals"].reference("construction")
    missing = inputs_read(draft.book.tables.values()) - names.keys()
    if missing:
        raise ValueError(f"inputs that no cell holds: {sorted(missing)}")
    for name, where in sorted(names.items()):
        draft.file.defined_names[name] = DefinedName(name, attr_text=where)


def _fill(draft: _Draft, plan: SheetPlan, sheet: Worksheet, provenance: Provenance) -> None:
    rows, spots = draft.rows[plan.title], draft.spots[plan.title]
    page = Page(sheet, rows, draft.styles, draft.book)
    by_table = {s.table.name: s for found in draft.spots.values() for s in found}
    fixed = {SUMMARY: summary.WIDTHS, SWAP: swap_page.WIDTHS}
    wide = furnish.widths(sheet, spots, draft.book, fixed.get(plan.title, {}))
    for spot in spots:
        place_rows(spot, draft.book, draft.styles, rows, wide)
        rows.heights[spot.header_row] = furnish.header_height(spot, wide)
        furnish.add_table(sheet, spot)
        furnish.validate(sheet, spot, by_table)
        furnish.mark_outcomes(sheet, spot)
        if len(spots) > 1 or plan.title == SWAP:
            page.put(spot.header_row - 2, 1, spot.table.title, "heading")
    _fill_page(page, plan, spots, by_table, provenance)
    furnish.print_setup(
        sheet,
        plan.kind,
        one_page=plan.title in (SUMMARY, PROPOSAL),
        upright=plan.title in (PROPOSAL, SWAP),
    )
    if plan.title == CREW:
        crew.set_print(page)
    furnish.protect(sheet)


def _fill_page(
    page: Page, plan: SheetPlan, spots: Sequence[Spot], by_table: Mapping[str, Spot], provenance: Provenance
) -> None:
    """Write what stands on a sheet beside its tables."""
    pages: dict[str, Callable[[], None]] = {
        SUMMARY: lambda: summary.fill(page, spots, provenance),
        SWAP: lambda: swap_page.fill(page, by_table),
        PROPOSAL: lambda: proposal.fill(page),
        ABOUT: lambda: about.fill_about(page, provenance),
        SOURCES: lambda: about.fill_sources(page, provenance),
    }
    if plan.title in pages:
        pages[plan.title]()
        return
    title = spots[0].table.title if len(spots) == 1 else "Crew pages" if plan.title == CREW else plan.title
    page.head(title, f"{KIND_WORDS[plan.kind]}. {plan.intro}")
    if plan.title == CREW:
        crew.fill_crew(page, by_table)
    else:
        furnish.freeze(page.sheet, spots)
    if plan.title == GROUND_PATH:
        ground_path.add_chart(page, spots)
