"""What is known of a book when it is written: where tables stand, what no input changes, what has cells of its own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from takeoff.engine.expr import Array, Col, Expr, Given
from takeoff.engine.guards import Cells
from takeoff.engine.lookups import At
from takeoff.engine.tables import Book, Column, Field
from takeoff.workbook.file.pieces import Piece, numbers_as_texts, row_by_row
from takeoff.workbook.layout import Spot

Line = tuple[str, str]
"""A table and one of its columns."""

WHOLE = np.int32
"""Numbers of rows: there are a thousand columns of them."""


@dataclass(frozen=True)
class Fill:
    """A part of a formula that differs from row to row: texts and row numbers in turn, or a text of its own.

    The numbers are those of rows of a table, whose headings stand `down` the sheet: many fills share one array.
    """

    parts: Sequence[str | Array]
    instead: Mapping[int, str] = field(default_factory=dict)
    down: int = 0

    def pieces(self, chunk: slice) -> list[Piece]:
        """Return the part in the rows of a chunk, piece by piece."""
        pieces: list[Piece] = [p if isinstance(p, str) else numbers_as_texts(p[chunk] + self.down) for p in self.parts]
        count = next(len(p) for p in pieces if not isinstance(p, str))
        start = chunk.start or 0
        instead = [row for row in range(start, start + count) if row in self.instead] if self.instead else []
        if not instead:
            return pieces
        found = list(map("".join, row_by_row(pieces, count)))
        for row in instead:
            found[row - start] = self.instead[row]
        return [found]

    def rows(self, chunk: slice) -> list[str]:
        """Return the part in every row of a chunk."""
        count = len(next(part for part in self.parts if not isinstance(part, str))[chunk])
        return list(map("".join, row_by_row(self.pieces(chunk), count)))


@dataclass(frozen=True)
class Stretch:
    """Rows of another table for each own row, counted from 1, with the conditions that are left to test."""

    left: Mapping[str, Expr]
    first: Array | None = None
    last: Array | None = None


class Known:
    """What is known of a book when it is written: live columns, places, columns that are not written.

    Parameters
    ----------
    book
        Every table and input.
    spots
        Where each table stands.
    """

    def __init__(self, book: Book, spots: Iterable[Spot]) -> None:
        self.book = book
        self.spots = {spot.table.name: spot for spot in spots}
        self.needed: set[Line] = set()
        self.inlined: set[Line] = set()
        self.elsewhere: set[Line] = set()
        self._live: dict[Line, bool] = {}
        self._columns = {(t.name, c.name): c for t in book.tables.values() for c in t}
        self._stretches: dict[tuple[Any, ...], Stretch] = {}
        self._page = ""
        self._on_pages: dict[Line, list[str]] = {}

    def members(self, table: str, name: str) -> list[str]:
        """Return the columns of a block, or the one column of that name."""
        found = self.book.tables[table]
        return list(found.blocks[name]) if name in found.blocks else [found.column(name)]

    def live(self, table: str, name: str) -> bool:
        """Return whether an input of the workbook changes a column."""
        line = table, self.book.tables[table].column(name)
        if line not in self._live:
            column = self._columns[line]
            self._live[line] = False  # a column that reads its own rows above
            if isinstance(column, Field):
                self._live[line] = column.role == "input"
            else:
                self._live[line] = self.live_expr(table, column.expr)
        return self._live[line]

    def live_expr(self, table: str, expr: Expr) -> bool:
        """Return whether an input changes an expression of a table."""
        if reads_an_input(expr):
            return True
        reads = dict.fromkeys((other or table, name) for other, name in expr.reads())
        return any(self.live(other, member) for other, name in reads for member in self.members(other, name))

    def written(self, table: str, name: str) -> bool:
        """Return whether a column has cells of its own."""
        line = table, self.book.tables[table].column(name)
        column, spot = self._columns[line], self.spots[table]
        kind = spot.kind
        if line in self.inlined or line in self.elsewhere:
            return False
        if line in self.needed or kind in ("input", "catalog"):
            return True
        if isinstance(column, Field):
            if spot.beside and column.role == "key":
                return False
            return not (column.unit == "no." and column.role == "fact") and not column.title.endswith("key")
        if column.unit == "no." and not self.live(*line):
            return False
        return kind == "result" or self.source(*line) is None

    def source(self, table: str, name: str) -> tuple[str, str, Array, object] | None:
        """Return where a column that only fetches entries takes them: table, column, rows, what stands at row 0."""
        column = self._columns[table, name]
        if not isinstance(column, Column) or not isinstance(column.expr, At) or column.head:
            return None
        if self.live_expr(table, column.expr.position):
            return None
        rows = self.rows_of(table, column.expr.position, column)
        return (
            column.expr.table,
            self.book.tables[column.expr.table].column(column.expr.column),
            rows,
            column.expr.otherwise,
        )

    def rows_of(self, table: str, expr: Expr, column: Column) -> Array:
        """Return the values of a known expression as whole numbers."""
        key = ("rows", table, expr.name if isinstance(expr, Col) else id(expr), column.head)
        if key not in self._stretches:
            values = self.book.evaluate(table, expr, column.head).astype(WHOLE)
            self._stretches[key] = Stretch({"expr": expr}, values, values)
        found = self._stretches[key].first
        assert found is not None
        return found

    def cells(self, table: str, name: str, rows: Array, sheet: str, otherwise: object = None) -> Fill:
        """Return the cells of a column in known rows, as seen from a sheet."""
        instead = {int(n): written_out(otherwise) for n in np.flatnonzero(rows == 0)} if (rows == 0).any() else {}
        while not self.written(table, name):
            found = self.source(table, name)
            safe = np.maximum(rows, 1) - 1
            if found is None and self._columns[table, name].unit != "no.":
                self.needed.add((table, name))
                break
            if found is None:
                return Fill([self.book.values(table, name)[safe].astype(WHOLE)], instead)
            table, name, theirs, other = found
            rows = np.where(rows == 0, 0, theirs[safe])
            fresh = [int(n) for n in np.flatnonzero(rows == 0) if int(n) not in instead]
            instead |= {n: written_out(other) for n in fresh}
        spot = self.spots[table]
        if name in spot.hidden:
            raise LookupError(f"{table}.{name} is read and not written")
        rows = np.maximum(rows, 1) if instead else rows
        return Fill([f"{spot.prefix(sheet)}${spot.letter(name)}$", rows], instead, spot.header_row)

    def cell(self, table: str, name: str, line: int = 0, sheet: str = "") -> str:
        """Return one cell of a column, counted from 0, as seen from a sheet."""
        column = self.book.tables[table].column(name)
        return self.cells(table, column, np.array([line + 1]), sheet).rows(slice(0, 1))[0]

    def explained(self, table: str, name: str, line: int) -> str:
        """Return the cell that a fetched one shows."""
        found = self.source(table, name)
        assert found is not None
        return self.cell(found[0], found[1], int(found[2][line]) - 1)

    def range_of(self, cells: Cells, sheet: str = "") -> str:
        """Return cells of an input or catalog column, as seen from a sheet; one cell where there is one."""
        spot = self.spots[cells.table]
        letter, first, last = spot.letter(cells.column), cells.first + spot.header_row, cells.last + spot.header_row
        one = f"{spot.prefix(sheet)}${letter}${first}"
        return one if first == last else f"{one}:${letter}${last}"

    def column(self, table: str, name: str, sheet: str = "") -> str:
        """Return the range of a column or block, as seen from a sheet."""
        for member in self.members(table, name):
            if not self.written(table, member):
                self.needed.add((table, member))
        return self.spots[table].reference(name, sheet)


def reads_an_input(expr: Expr) -> bool:
    """Return whether an expression reads an input itself."""
    return isinstance(expr, Given) or any(reads_an_input(part) for part in expr.parts())


def written_out(value: object) -> str:
    """Return a text or a number as it stands in a formula."""
    return f'"{value}"' if isinstance(value, str) else f"{float(str(value)):.15g}"
