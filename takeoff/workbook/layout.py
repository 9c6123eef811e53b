"""Where every table stands, the defined names its columns have, and its rows ready to be written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from openpyxl.utils import get_column_letter

from takeoff.engine.expr import Expr, Given
from takeoff.engine.lookups import Named
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

HIGHEST = 409.0
"""Points of the highest row that a worksheet has."""


@dataclass(frozen=True)
class Spot:
    """The place of a table: its sheet, the row of its headings and its first column."""

    table: Table
    sheet: str
    header_row: int
    first_column: int = 1

    @property
    def first_row(self) -> int:
        """Row of the first line."""
        return self.header_row + 1

    @property
    def last_row(self) -> int:
        """Row of the last line."""
        return self.header_row + len(self.table)

    def letter(self, column: str) -> str:
        """Return the letter of a column."""
        names = [c.name for c in self.table]
        return str(get_column_letter(self.first_column + names.index(self.table.column(column))))

    def columns_of(self, name: str) -> tuple[str, str]:
        """Return the first and the last letter of a column or of a block."""
        members = self.table.blocks.get(name, (name,))
        return self.letter(members[0]), self.letter(members[-1])

    def reference(self, name: str) -> str:
        """Return the absolute range of a column or of a block."""
        first, last = self.columns_of(name)
        return f"'{self.sheet}'!${first}${self.first_row}:${last}${self.last_row}"


@dataclass(frozen=True)
class Here:
    """The place of one formula column, for rendering its expression."""

    spot: Spot
    column: Column

    def cell(self, column: str) -> str:
        return f"${self.spot.letter(column)}{{r}}"

    def head(self) -> str:
        return f"{self.spot.letter(self.column.name)}${self.spot.header_row - 1}"

    def above(self) -> str:
        return f"{self.spot.letter(self.column.name)}{{q}}"

    def all_above(self) -> str:
        letter = self.spot.letter(self.column.name)
        return f"{letter}${self.spot.header_row}:{letter}{{q}}"

    def span(self, block: str) -> str:
        first, last = self.spot.columns_of(block)
        return f"${first}{{r}}:${last}{{r}}"


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
    """Return the defined names: each column or block that a formula reads, and each named figure."""
    by_name = {s.table.name: s for s in spots}
    names: dict[str, str] = {}
    for spot in spots:
        for table, column in _reads(spot.table):
            if table:
                names[f"{table}.{column}"] = by_name[table].reference(column)
        for column in spot.table.exposed:
            names[f"{spot.table.name}.{column}"] = spot.reference(column)
        for field in spot.table.fields:
            if field.choices and "." in field.choices:
                table, _, column = field.choices.partition(".")
                names[field.choices] = by_name[table].reference(column)
        if spot.table.named:
            letter = spot.letter(spot.table.named)
            for row, key in enumerate(spot.table.data[spot.table.key], start=spot.first_row):
                names[f"{spot.table.name}.{key}"] = f"'{spot.sheet}'!${letter}${row}"
    return names


def _reads(table: Table) -> Iterator[tuple[str, str]]:
    for column in table.columns:
        yield from _ranges(column.expr)


def _ranges(expr: Expr) -> Iterator[tuple[str, str]]:
    """Yield what an expression reads by name; a single named figure has a name of its own instead."""
    if isinstance(expr, Named):
        return
    if not expr.parts():
        yield from expr.reads()
        return
    inner = {read for part in expr.parts() for read in part.reads()}
    yield from (read for read in expr.reads() if read not in inner)
    for part in expr.parts():
        yield from _ranges(part)


def inputs_read(tables: Iterable[Table]) -> set[str]:
    """Return the names of the inputs that formulas read."""

    def given(expr: Expr) -> Iterator[str]:
        if isinstance(expr, Given):
            yield expr.name
        for part in expr.parts():
            yield from given(part)

    return {name for table in tables for column in table.columns for name in given(column.expr)}


def place_rows(spot: Spot, book: Book, styles: Styles, rows: SheetRows, widths: Mapping[int, float]) -> None:
    """Put a table's headings and lines into the rows of its sheet, rows high enough for text that wraps."""
    table = spot.table
    columns, lines = [], np.ones(len(table))
    for place, column in enumerate(table, start=spot.first_column):
        values = _values(book, table, column)
        text = any(isinstance(v, str) for v in values[:1])
        wraps = text and _longest(values) > widths[place] * 1.18 - 1
        align = "wrapped" if wraps else "left" if text else "right"
        if wraps:
            sizes = np.fromiter((len(str(v)) for v in values), dtype=float, count=len(table))
            lines = np.maximum(lines, np.ceil((sizes + 1) / (widths[place] * 1.24)))
        is_input = isinstance(column, Field) and column.role == "input"
        header = "header input" if is_input else "header"
        rows.put(spot.header_row, place, Cell(heading(column), styles.index(header, align=align)))
        if isinstance(column, Column) and column.head:
            rows.put(spot.header_row - 1, place, Cell(column.head, styles.index("band")))
        template = column.expr.text(Here(spot, column)) if isinstance(column, Column) else ""
        columns.append(BlockColumn(values, styles.index(style_of(column), number_format(column), align), template))
    for name in table.totals:
        cells = f"{spot.letter(name)}{spot.first_row}:{spot.letter(name)}{spot.last_row}"
        column = next(c for c in table if c.name == name)
        style = styles.index("status", number_format(column), "right")
        total = float(book.values(table.name, name).sum())
        place = spot.first_column + [c.name for c in table].index(name)
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
    longest_word = max(len(word) for word in title.split())
    if any(isinstance(v, str) for v in values[:1]):
        entry = _longest(values)
    else:
        entry = max((len(_shown(v, number_format(column))) for v in _widest(values)), default=0)
    return min(44.0, max(6.5, longest_word * 0.95 + 2.0, len(title) / 3.2, entry * 1.02 + 2.4))


def _longest(values: Sequence[object] | np.ndarray) -> int:
    return max((len(str(v)) for v in set(values)), default=0)


def _widest(values: Sequence[object] | np.ndarray) -> list[object]:
    """Return the first entries of a column and its two ends: numbers between them are no wider."""
    numbers = values if isinstance(values, np.ndarray) and values.dtype.kind == "f" and len(values) else None
    return [*values[:400], *([] if numbers is None else [numbers.min(), numbers.max()])]


def _shown(value: object, form: str) -> str:
    if isinstance(value, str):
        return value
    decimals = len(DECIMALS.search(form.partition(";")[0] + ".")[1])  # type: ignore[index]
    number = float(str(value))
    if form == "General":
        return f"{number:g}"
    return f"{number:,.{decimals}f}"
