"""The list of every computed column: where it stands, what it is, and its formula, for whoever checks the workbook."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.engine.tables import Book, Column
from takeoff.text.csv_text import csv_text
from takeoff.workbook.layout import heading
from takeoff.workbook.references import formula_of
from takeoff.workbook.writer import references_of

HEADINGS = ("sheet", "table", "column", "letter", "what it is, and the rule it follows", "formula of its first row")


def columns_text(book: Book) -> str:
    """Return the list as CSV; formulas stand without the equals sign, so that they stay text."""
    refs = references_of(book)
    rows: list[Sequence[object]] = [HEADINGS]
    for name, spot in refs.spots.items():
        for column in spot.shown:
            if isinstance(column, Column) and refs.live(name, column.name):
                formula = formula_of(spot, column, refs)
                place = spot.letter(column.name)
                rows.append((spot.sheet, spot.table.title, heading(column), place, column.note, formula))
    return csv_text(rows)
