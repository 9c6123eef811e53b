"""The sheet Changes as a workbook of its own, for two workbooks compared."""

from __future__ import annotations

from pathlib import Path

from openpyxl import Workbook

from takeoff.engine.tables import Book
from takeoff.workbook import furnish, printing
from takeoff.workbook.file.package import save
from takeoff.workbook.file.rows import SheetRows
from takeoff.workbook.file.styles import Styles
from takeoff.workbook.pages.page import TITLE_HEIGHT, Page
from takeoff.workbook.references import References
from takeoff.workbook.sheets.plan import CHANGED
from takeoff.workbook.sheets.results import CHANGES
from takeoff.workbook.writer import place_table, spots_of


def write_changes_book(book: Book, path: Path, intro: str) -> None:
    """Write a workbook of the sheet Changes alone.

    Parameters
    ----------
    book
        The tables of the sheet.
    path
        Target file; it is replaced when the new one is whole.
    intro
        Which workbooks are compared.
    """
    file = Workbook()
    file.active.title = CHANGED
    refs = References(book, spots_of(CHANGES, book))
    refs.settle()
    page, spots = Page(file.active, SheetRows(), Styles(file), book, refs), list(refs.spots.values())
    wide = furnish.widths(page.sheet, spots, book, {})
    for spot in spots:
        place_table(page, spot, wide)
        page.put(spot.header_row - 2, spot.first_column, spot.table.title, "heading")
    page.put(1, 1, CHANGED, "title")
    page.put(2, 1, intro, "note")
    page.rows.heights[1] = TITLE_HEIGHT
    furnish.freeze(page.sheet, spots)
    printing.print_tables(page.sheet, page.rows, spots, "result", CHANGES.printed, CHANGES.workings)
    furnish.protect(page.sheet)
    save(file, path, {CHANGED: page.rows}.__getitem__)
