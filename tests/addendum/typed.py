"""Changes typed into the cells of a workbook, as a person does: by table, row and heading."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

import openpyxl
from openpyxl.cell import Cell
from openpyxl.workbook import Workbook

Typed = tuple[str, object, str, object]
"""Table, key of the row, begin of the heading, and what is typed."""

KEYS_IN = 5
"""Columns at the left of a table in one of which the key of a row stands."""


def cell_of(book: Workbook, table: str, key: object, heading: str) -> Cell:
    """Return the input cell of a table in the first row that has the key at its left."""
    for sheet in book.worksheets:
        if f"table_{table}" in sheet.tables:
            headings, *lines = sheet[sheet.tables[f"table_{table}"].ref]
            place = next(n for n, c in enumerate(headings) if str(c.value).startswith(heading))
            return next(line[place] for line in lines if key in [c.value for c in line[:KEYS_IN]])
    raise AssertionError(table)


def type_into(source: Path, target: Path, changes: Iterable[Typed]) -> None:
    """Type changes into a copy of a workbook, which keeps no computed value."""
    book = openpyxl.load_workbook(source)
    for table, key, heading, value in changes:
        cell_of(book, table, key, heading).value = value
    book.save(target)


def add_rows(source: Path, target: Path, rows: Iterable[tuple[str, Mapping[str, object]]]) -> None:
    """Type rows below tables into a copy of a workbook, cells by heading."""
    book = openpyxl.load_workbook(source)
    for table, cells in rows:
        sheet = next(s for s in book.worksheets if f"table_{table}" in s.tables)
        headings, *lines = sheet[sheet.tables[f"table_{table}"].ref]
        for heading, value in cells.items():
            column = next(c.column for c in headings if str(c.value).removesuffix(" (input)") == heading)
            sheet.cell(lines[-1][0].row + 1, column).value = value
    book.save(target)
