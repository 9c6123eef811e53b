"""Where every table stands, the defined names of single figures, and its rows ready to be written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from textwrap import wrap
from typing import Any

import numpy as np
from openpyxl.utils import get_column_letter

from takeoff.engine.expr import Expr, Given
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.text.dates import FORMAT
from takeoff.workbook.file.rows import Block, BlockColumn, Cell, SheetRows
from takeoff.workbook.file.styles import Styles

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

WORDS_OF_A_LINE = re.compile(r"\s|(?<=-)(?=\w)")
"""Where a heading may go on in the next line: programs break lines at a hyphen too."""

HIGHEST = 409.0
"""Points of the highest row that a worksheet has."""


@dataclass(frozen=True)
class Spot:
    """The place of a table: its sheet, the row of its headings and its first column.

    `kind` is that of the sheet; a table `beside` another one has the same rows and does not repeat its keys; `after`
    is how many columns lie between it and the table to its left, -1 where there is none; the headings of one that is
    `long` are repeated on printed pages; `hidden` are the columns that have no cells: row numbers that are known, and
    fetches on working sheets, whose readers refer to where the entry stands.
    """

    table: Table
    sheet: str
    header_row: int
    first_column: int = 1
    kind: str = "working"
    beside: bool = False
    after: int = -1
    long: bool = False
    hidden: frozenset[str] = frozenset()

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
    """Return the heading of a column: title, unit, and the word input where it is one."""
    unit = f", {column.unit}" if column.unit else ""
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
        room = int(widths[place] * 1.18 - 1)
        wraps = text and _longest(values) > room
        align = "wrapped" if wraps else "left" if text else "right"
        if wraps:
            needed = {v: len(wrap(str(v), room)) for v in set(values)}
            lines = np.maximum(lines, np.fromiter((needed[v] for v in values), dtype=float, count=len(table)))
        is_input = isinstance(column, Field) and column.role == "input"
        header = "header input" if is_input else "header"
        rows.put(spot.header_row, place, Cell(heading(column), styles.index(header, align=align)))
        if isinstance(column, Column) and column.head:
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
    heights = np.minimum(HIGHEST, 12.5 * lines) if lines.max() > 1 else ()
    rows.blocks.append(Block(spot.first_row, spot.first_column, columns, heights))


def _values(book: Book, table: Table, column: Field | Column) -> Sequence[object] | np.ndarray:
    if isinstance(column, Field):
        return table.data[column.name]
    return book.values(table.name, column.name)


def width_of(column: Field | Column, values: Sequence[object] | np.ndarray) -> float:
    """Return a width that shows the entries and, over up to four lines, the heading."""
    if column.width:
        return column.width
    if column.unit == "date":
        return DATE_WIDTH
    title = heading(column)
    longest_word = max(len(word) for word in WORDS_OF_A_LINE.split(title))
    if any(isinstance(v, str) for v in values[:1]):
        entry = _longest(values)
    else:
        form = number_format(column)
        entry = max((len(_shown(v, form)) for v in _widest(values)), default=0)
    return min(44.0, max(6.5, longest_word * 0.85 + 1.8, len(title) / 3.2, entry * 1.02 + 2.4))


def _longest(values: Sequence[object] | np.ndarray) -> int:
    return max((len(str(v)) for v in set(values)), default=0)


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
