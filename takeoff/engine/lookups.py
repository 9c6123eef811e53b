"""Expressions that fetch entries of other tables, or work across the columns of a row.

Each renders to a plain spreadsheet function (MATCH, INDEX, SUMPRODUCT, SUM, COUNTIF) over ranges, or to a plain
reference where the row is known, and computes the same with numpy.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from takeoff.engine.expr import Expr, Literal, Place, Read, Rows, as_expr, spread


class Match(Expr):
    """Position of a key in a column, counted from 1; 0 where it is missing and `missing_ok`."""

    def __init__(self, table: str, column: str, key: Any, missing_ok: bool = False) -> None:
        self.table, self.column, self.key, self.missing_ok = table, column, as_expr(key), missing_ok

    def text(self, place: Place) -> str:
        if place.known(self):
            return place.number(self)
        found = f"MATCH({self.key.text(place)},{place.column(self.table, self.column)},0)"
        return f"IFERROR({found},0)" if self.missing_ok else found

    def value(self, rows: Rows) -> Any:
        keys = spread(self.key.value(rows), rows.count)
        entries = rows.keys(self.table, (self.column,))
        found = entries.first_rows[entries.find([keys])]
        if not self.missing_ok and (found == 0).any():
            raise LookupError(f"{self.table}.{self.column} has no entry {keys[found == 0][0]!r}")
        return found

    def parts(self) -> tuple[Expr, ...]:
        return (self.key,)

    def reads(self) -> Iterator[Read]:
        yield self.table, self.column
        yield from self.key.reads()


class At(Expr):
    """Entry of a column at a position; `otherwise`, where given, at position 0."""

    def __init__(self, table: str, column: str, position: Expr, otherwise: Any = None) -> None:
        self.table, self.column, self.position, self.otherwise = table, column, position, otherwise

    def text(self, place: Place) -> str:
        if place.known(self.position):
            return place.entry(self.table, self.column, self.position, self.otherwise)
        at = self.position.text(place)
        found = f"INDEX({place.column(self.table, self.column)},{at})"
        return found if self.otherwise is None else f"IF({at}=0,{Literal(self.otherwise).text(place)},{found})"

    def value(self, rows: Rows) -> Any:
        entries = rows.other(self.table, self.column)
        at = spread(self.position.value(rows), rows.count).astype(int)
        if self.otherwise is None:
            return entries[at - 1]
        if isinstance(self.otherwise, str):
            entries = entries.astype(object)
        return np.where(at == 0, self.otherwise, entries[np.maximum(at, 1) - 1])

    def parts(self) -> tuple[Expr, ...]:
        return (self.position,)

    def reads(self) -> Iterator[Read]:
        yield self.table, self.column
        yield from self.position.reads()


class CellAt(Expr):
    """Entry of a block of neighbouring columns at a row and a column position."""

    def __init__(self, table: str, block: str, row: Expr, column: Expr) -> None:
        self.table, self.block, self.row, self.column = table, block, row, column

    def text(self, place: Place) -> str:
        if place.known(self.column) and place.known(self.row):
            return place.spot_of(self.table, self.block, self.row, self.column)
        if place.known(self.column):
            return f"INDEX({place.one_of(self.table, self.block, self.column)},{self.row.text(place)})"
        if place.known(self.row):
            return f"INDEX({place.line(self.table, self.block, self.row)},{self.column.text(place)})"
        return f"INDEX({place.column(self.table, self.block)},{self.row.text(place)},{self.column.text(place)})"

    def value(self, rows: Rows) -> Any:
        matrix = np.column_stack([rows.other(self.table, c) for c in rows.block(self.table, self.block)])
        row, column = (spread(e.value(rows), rows.count).astype(int) for e in (self.row, self.column))
        return matrix[row - 1, column - 1]

    def parts(self) -> tuple[Expr, ...]:
        return (self.row, self.column)

    def reads(self) -> Iterator[Read]:
        yield self.table, self.block
        yield from super().reads()


class Dot(Expr):
    """Sum of products of neighbouring columns of this row with one row of another table's block."""

    def __init__(self, own_block: str, table: str, block: str, row: Expr) -> None:
        self.own_block, self.table, self.block, self.row = own_block, table, block, row

    def text(self, place: Place) -> str:
        if place.known(self.row):
            theirs = place.line(self.table, self.block, self.row)
        else:
            theirs = f"INDEX({place.column(self.table, self.block)},{self.row.text(place)},0)"
        return f"SUMPRODUCT({place.span(self.own_block)},{theirs})"

    def value(self, rows: Rows) -> Any:
        mine = np.column_stack([rows.own(c) for c in rows.block("", self.own_block)]).astype(float)
        theirs = np.column_stack([rows.other(self.table, c) for c in rows.block(self.table, self.block)])
        at = spread(self.row.value(rows), rows.count).astype(int)
        return (mine * theirs[at - 1]).sum(axis=1)

    def parts(self) -> tuple[Expr, ...]:
        return (self.row,)

    def reads(self) -> Iterator[Read]:
        yield "", self.own_block
        yield self.table, self.block
        yield from super().reads()


class Total(Expr):
    """Sum of a column of another table."""

    def __init__(self, table: str, column: str) -> None:
        self.table, self.column = table, column

    def text(self, place: Place) -> str:
        return f"SUM({place.column(self.table, self.column)})"

    def value(self, rows: Rows) -> Any:
        return rows.other(self.table, self.column).sum()

    def reads(self) -> Iterator[Read]:
        yield self.table, self.column


class CountAcross(Expr):
    """Count of the cells of a block of this row that hold a text."""

    def __init__(self, own_block: str, word: str) -> None:
        self.own_block, self.word = own_block, word

    def text(self, place: Place) -> str:
        return f"COUNTIF({place.span(self.own_block)},{Literal(self.word).text(place)})"

    def value(self, rows: Rows) -> Any:
        matrix = np.column_stack([rows.own(c) for c in rows.block("", self.own_block)])
        return (matrix == self.word).sum(axis=1)

    def reads(self) -> Iterator[Read]:
        yield "", self.own_block


class CountAbove(CountAcross):
    """Count of the cells of a block of this row that are above nothing."""

    def __init__(self, own_block: str) -> None:
        super().__init__(own_block, ">0")

    def value(self, rows: Rows) -> Any:
        return (np.column_stack([rows.own(c) for c in rows.block("", self.own_block)]) > 0).sum(axis=1)


class FirstAcross(CountAcross):
    """Place of the first cell of a block of this row that holds a text; 0 where none does."""

    def text(self, place: Place) -> str:
        return f"IFERROR(MATCH({Literal(self.word).text(place)},{place.span(self.own_block)},0),0)"

    def value(self, rows: Rows) -> Any:
        matrix = np.column_stack([rows.own(c) for c in rows.block("", self.own_block)])
        found = matrix == self.word
        return np.where(found.any(axis=1), found.argmax(axis=1) + 1, 0)


class PlaceAcross(Expr):
    """Place of the first cell of a block of this row that equals a number, which one of them must."""

    def __init__(self, own_block: str, number: Expr) -> None:
        self.own_block, self.number = own_block, number

    def text(self, place: Place) -> str:
        return f"MATCH({self.number.text(place)},{place.span(self.own_block)},0)"

    def value(self, rows: Rows) -> Any:
        matrix = np.column_stack([rows.own(c) for c in rows.block("", self.own_block)])
        return (matrix == spread(self.number.value(rows), rows.count)[:, np.newaxis]).argmax(axis=1) + 1

    def parts(self) -> tuple[Expr, ...]:
        return (self.number,)

    def reads(self) -> Iterator[Read]:
        yield "", self.own_block
        yield from super().reads()


class Named(Expr):
    """One cell of another table that has a defined name of its own, such as a figure of the code."""

    def __init__(self, table: str, column: str, key: str) -> None:
        self.table, self.column, self.key = table, column, key

    def text(self, place: Place) -> str:
        return place.figure(self.table, self.key)

    def value(self, rows: Rows) -> Any:
        at = int(np.flatnonzero(rows.other(self.table, "key") == self.key)[0])
        return rows.other(self.table, self.column)[at]

    def reads(self) -> Iterator[Read]:
        yield self.table, self.column


def look(table: str, column: str, key: Any, by: str = "key") -> Expr:
    """Return the entry of a column in the row of a key that must be there."""
    return At(table, column, Match(table, by, key))
