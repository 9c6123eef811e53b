"""Where every table stands, the defined names of single figures, and its rows ready to be written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from heapq import nlargest
from math import ceil
from typing import Any

import numpy as np
from openpyxl.utils import get_column_letter

from takeoff.engine.expr import Expr, Given, Head
from takeoff.engine.tables import YES_NO, Book, Column, Field, Table
from takeoff.text.dates import FORMAT
from takeoff.workbook.file.rows import Block, BlockColumn, Cell, SheetRows
from takeoff.workbook.file.styles import Styles
from takeoff.workbook.measure import HEADER, lines_of, longer, width_for, words_of

FORMATS = {
    "ea": "#,##0",
    "0/1": "0",
    "no.": "0",
    "in3": "0.00",
    "ft": "#,##0.0",
    "min": "0.00",
    "h": "#,##0.0",
    "USD": "#,##0.00",
    "USD/h": "#,##0.00",
    "x": "0.00",
    "A": "0",
    "V": "0",
    "VA": "#,##0",
    "cmil": "#,##0",
    "%": "0.0",
    "date": FORMAT,
}
"""Number format by unit, where the column names none."""

SHOWN_SUM = 109
"""Function number with which SUBTOTAL sums the rows that a filter shows."""

DATE_WIDTH = 12.0
"""Width that shows a date, and that one is not given."""

DECIMALS = re.compile(r"\.([0#]*)")
"""The places after the point in a number format."""

WIDEST = 44.0
"""Width of the widest column that nobody set."""

ROW_POINTS = 12.0
"""Points of a line of text in a table, and of a row that has none of its own on a sheet of tables."""

HEAD_LINES = 4
"""Lines that a heading may take, unless a word of it or the entries need the width anyway."""

NARROWEST = 6.5
"""Width of the narrowest column that nobody set."""

NEARLY = 1.2
"""A column of a width that was set is wider by up to this where no entry then takes a second line."""

LONGEST_TEXTS = 20
"""Entries of a column that are measured, those with the most letters."""

HIGHEST = 409.0
"""Points of the highest row that a worksheet has."""


@dataclass(frozen=True)
class Spot:
    """The place of a table: its sheet, the row of its headings and its first column.

    `kind` is that of the sheet; a table `beside` another one has the same rows and does not repeat its keys; `after`
    is how many columns lie between it and the table to its left, -1 where there is none; `start` is the column that it
    is asked to begin in, 0 where none is; the headings of one that is
    `long` are repeated on printed pages; `hidden` are the columns that have no cells: row numbers that are known, and
    fetches on working sheets, whose readers refer to where the entry stands; `headed` is the style of its headings.
    """

    table: Table
    sheet: str
    header_row: int
    first_column: int = 1
    kind: str = "working"
    beside: bool = False
    after: int = -1
    start: int = 0
    long: bool = False
    hidden: frozenset[str] = frozenset()
    headed: str = "header"

    @property
    def first_row(self) -> int:
        """Row of the first line."""
        return self.header_row + 1

    @property
    def last_row(self) -> int:
        """Row of the last line."""
        return self.header_row + len(self.table)

    @cached_property
    def shown(self) -> list[Field | Column]:
        """Columns that have cells, from left to right."""
        return [c for c in self.table if c.name not in self.hidden]

    @cached_property
    def _letters(self) -> dict[str, str]:
        return {c.name: str(get_column_letter(n)) for n, c in enumerate(self.shown, start=self.first_column)}

    def letter(self, column: str) -> str:
        """Return the letter of a column."""
        return self._letters[self.table.column(column)]

    def columns_of(self, name: str) -> tuple[str, str]:
        """Return the first and the last letter of a column or of a block."""
        members = self.table.blocks.get(name, (name,))
        return self.letter(members[0]), self.letter(members[-1])

    def prefix(self, sheet: str) -> str:
        """Return what stands before a reference to this sheet, as seen from a sheet."""
        if self.sheet == sheet:
            return ""
        return f"{self.sheet}!" if self.sheet.isalnum() else f"'{self.sheet}'!"

    def reference(self, name: str, sheet: str = "") -> str:
        """Return the absolute range of a column or of a block, as seen from a sheet."""
        first, last = self.columns_of(name)
        return f"{self.prefix(sheet)}${first}${self.first_row}:${last}${self.last_row}"


def heading(column: Field | Column) -> str:
    """Return the heading of a column: title, unit where it is read with one, and the word input where it is one."""
    unit = f", {column.unit}" if column.unit and column.format != YES_NO else ""
    word = " (input)" if isinstance(column, Field) and column.role == "input" else ""
    return f"{column.title}{unit}{word}"


def number_format(column: Field | Column) -> str:
    """Return the number format of a column."""
    return column.format or FORMATS.get(column.unit, "General")


def style_of(column: Field | Column) -> str:
    """Return the name of the style of a column's cells."""
    if isinstance(column, Field):
        return column.role
    return "working" if column.unit == "no." or column.title.endswith(" key") else "computed"


def names_of(spots: Sequence[Spot]) -> dict[str, str]:
    """Return the defined names of single figures, such as those of the code in force."""
    names: dict[str, str] = {}
    for spot in spots:
        if spot.table.named:
            letter = spot.letter(spot.table.named)
            for row, key in enumerate(spot.table.data[spot.table.key], start=spot.first_row):
                names[f"{spot.table.name}.{key}"] = f"'{spot.sheet}'!${letter}${row}"
    return names


def inputs_read(tables: Iterable[Table]) -> set[str]:
    """Return the names of the inputs that formulas read."""

    def given(expr: Expr) -> Iterator[str]:
        if isinstance(expr, Given):
            yield expr.name
        for part in expr.parts():
            yield from given(part)

    return {name for table in tables for column in table.columns for name in given(column.expr)}


def place_rows(
    spot: Spot,
    book: Book,
    styles: Styles,
    rows: SheetRows,
    widths: Mapping[int, float],
    formulas: Mapping[str, tuple[str, Mapping[str, Any]]],
) -> None:
    """Put a table's headings and lines into the rows of its sheet, rows high enough for text that wraps.

    `formulas` are the formulas by column, with their parts that differ from row to row; a column without one is a
    fact, which no input changes.
    """
    table = spot.table
    columns, lines = [], np.ones(len(table))
    for place, column in enumerate(spot.shown, start=spot.first_column):
        values = _values(book, table, column)
        text = any(isinstance(v, str) for v in values[:1])
        wraps = text and not (isinstance(column, Field) and column.run_on)
        needed = _lines(set(values), widths[place], style_of(column) == "key") if wraps else {}
        align = "wrapped" if needed else "left" if text else "right"
        if needed:
            lines = np.maximum(lines, np.fromiter((needed.get(v, 1) for v in values), float, count=len(table)))
        is_input = isinstance(column, Field) and column.role == "input"
        header = "header input" if is_input else spot.headed
        rows.put(spot.header_row, place, Cell(heading(column), styles.index(header, align=align)))
        if isinstance(column, Column) and column.head and _stands_above(column):
            rows.put(spot.header_row - 1, place, Cell(column.head, styles.index("band")))
        template, fills = formulas.get(column.name, ("", {}))
        look = "fact" if isinstance(column, Column) and not template else style_of(column)
        columns.append(BlockColumn(values, styles.index(look, number_format(column), align), template, fills))
    for name in table.totals:
        cells = f"{spot.letter(name)}{spot.first_row}:{spot.letter(name)}{spot.last_row}"
        column = next(c for c in spot.shown if c.name == name)
        style = styles.index("status", number_format(column), "right")
        total = float(book.values(table.name, name).sum())
        place = spot.first_column + spot.shown.index(column)
        rows.put(spot.header_row - 2, place, Cell(total, style, f"SUBTOTAL({SHOWN_SUM},{cells})"))
    heights = np.minimum(HIGHEST, ROW_POINTS * lines) if lines.max() > 1 else ()
    rows.blocks.append(Block(spot.first_row, spot.first_column, columns, heights))


def _values(book: Book, table: Table, column: Field | Column) -> Sequence[object] | np.ndarray:
    if isinstance(column, Field):
        return table.data[column.name]
    return book.values(table.name, column.name)


def width_of(column: Field | Column, values: Sequence[object] | np.ndarray) -> float:
    """Return a width that shows the entries and the heading over a few lines."""
    if column.unit == "date" and not column.width:
        return DATE_WIDTH
    title = heading(column)
    width = max(NARROWEST, *(width_for(word, HEADER, bold=True) for word in words_of(title)))
    text = any(isinstance(v, str) for v in values[:1])
    longest = nlargest(LONGEST_TEXTS, {str(v) for v in values}, key=len) if text else ()
    needed = max((width_for(v, bold=style_of(column) == "key") for v in longest), default=0.0)
    if column.width:
        return ceil(10 * needed) / 10 if column.width < needed <= min(WIDEST, NEARLY * column.width) else column.width
    if text:
        width = max(width, needed)
    else:
        form = number_format(column)
        width = max(width, max((len(_shown(v, form)) for v in _widest(values)), default=0) + 2.4)
    while width < WIDEST and lines_of(title, width, HEADER, bold=True) > HEAD_LINES:
        width += 0.5
    return min(WIDEST, ceil(10 * width) / 10)


def _stands_above(column: Column) -> bool:
    """Return whether the key of a column is read from the cell above its heading, or its heading does not name it."""

    def read(expr: Expr) -> bool:
        return isinstance(expr, Head) or any(map(read, expr.parts()))

    return column.head not in column.title or read(column.expr)


def _lines(texts: Iterable[object], width: float, bold: bool) -> dict[object, int]:
    """Return how many lines a column's texts take, those that take more than one."""
    found = {text: lines_of(text, width, bold=bold) for text in longer(texts, width)}
    return {text: lines for text, lines in found.items() if lines > 1}


def _widest(values: Sequence[object] | np.ndarray) -> set[object]:
    """Return the first entries of a column and its two ends: numbers between them are no wider."""
    if not isinstance(values, np.ndarray):
        return set(values[:400])
    ends = [values.min(), values.max()] if values.dtype.kind == "f" and len(values) else []
    return {*values[:400].tolist(), *ends}


def _shown(value: object, form: str) -> str:
    if isinstance(value, str):
        return value
    decimals = len(DECIMALS.search(form.partition(";")[0] + ".")[1])  # type: ignore[index]
    number = float(str(value))
    if form == "General":
        return f"{number:g}"
    return f"{number:,.{decimals}f}"
