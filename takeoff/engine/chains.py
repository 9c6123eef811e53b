"""Expressions that read rows above in their own table, or a stretch of neighbouring rows of another one.

A table that uses them is laid out so that what a row reads stands above it; no formula reads its own cell.
`{q}` in a formula is the number of the row above.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from takeoff.engine.expr import Array, Expr, Place, Read, Rows, spread


class Running(Expr):
    """Sum of an amount over all rows down to this one."""

    def __init__(self, amount: Expr) -> None:
        self.amount = amount

    def text(self, place: Place) -> str:
        # the first row adds up the heading above it, a text, which SUM takes for nothing
        return f"SUM({place.above()},{self.amount.text(place)})"

    def value(self, rows: Rows) -> Any:
        return np.cumsum(spread(self.amount.value(rows), rows.count).astype(float))

    def parts(self) -> tuple[Expr, ...]:
        return (self.amount,)


class Chain(Expr):
    """Sum of an amount along a tree: the row's own and that of every row upstream, 0 standing for the root.

    `upstream` gives the place of the row that feeds this one, which stands above it and is known.
    """

    binds = 3

    def __init__(self, upstream: Expr, amount: Expr) -> None:
        self.upstream, self.amount = upstream, amount

    def text(self, place: Place) -> str:
        # + of a call needs no parentheses: what is added binds as tightly or tighter
        return f"{place.own(self.upstream)}+{self.amount.text(place)}"

    def value(self, rows: Rows) -> Any:
        upstream = spread(self.upstream.value(rows), rows.count).astype(int)
        sums = np.zeros(rows.count + 1)
        amounts = spread(self.amount.value(rows), rows.count).astype(float)
        for row, (feeder, amount) in enumerate(zip(upstream.tolist(), amounts.tolist(), strict=True), start=1):
            if feeder >= row:
                raise LookupError(f"row {row} is fed by row {feeder}, which does not stand above it")
            sums[row] = sums[feeder] + amount
        return sums[1:]

    def parts(self) -> tuple[Expr, ...]:
        return (self.upstream, self.amount)


class _Stretch(Expr):
    """Base of what reads the rows from a first to a last place of a column.

    Where `at` is given, the column is that place of a block of neighbouring columns.
    """

    def __init__(self, table: str, column: str, first: Expr, last: Expr, at: Expr | None = None) -> None:
        self.table, self.column, self.first, self.last, self.at = table, column, first, last, at

    def _range(self, place: Place) -> str:
        among = place.between(self.table, self.first, self.last)
        if self.at is None:
            return place.part(self.table, self.column, among)
        return place.one_of(self.table, self.column, self.at, among)

    def _stretches(self, rows: Rows) -> list[Array]:
        first, last = (spread(e.value(rows), rows.count).astype(int).tolist() for e in (self.first, self.last))
        if self.at is None:
            entries = rows.other(self.table, self.column)
            return [entries[a - 1 : b] for a, b in zip(first, last, strict=True)]
        block = [rows.other(self.table, c) for c in rows.block(self.table, self.column)]
        at = spread(self.at.value(rows), rows.count).astype(int).tolist()
        return [block[n - 1][a - 1 : b] for n, a, b in zip(at, first, last, strict=True)]

    def parts(self) -> tuple[Expr, ...]:
        return (self.first, self.last, *([self.at] if self.at else []))

    def reads(self) -> Iterator[Read]:
        yield self.table, self.column
        yield from super().reads()


class Highest(_Stretch):
    """Largest entry from a first to a last row of another table."""

    def text(self, place: Place) -> str:
        return f"MAX({self._range(place)})"

    def value(self, rows: Rows) -> Any:
        return np.array([stretch.max() for stretch in self._stretches(rows)])


class Lowest(_Stretch):
    """Smallest entry from a first to a last row of another table."""

    def text(self, place: Place) -> str:
        return f"MIN({self._range(place)})"

    def value(self, rows: Rows) -> Any:
        return np.array([stretch.min() for stretch in self._stretches(rows)])


class Nth(_Stretch):
    """Entry at a place among the rows from a first to a last one of another table, counted from 1."""

    def __init__(self, table: str, column: str, first: Expr, last: Expr, number: Expr) -> None:
        super().__init__(table, column, first, last)
        self.number = number

    def text(self, place: Place) -> str:
        if place.known(self.number):
            return place.entry(self.table, self.column, self.first + self.number - 1)
        return f"INDEX({self._range(place)},{self.number.text(place)})"

    def value(self, rows: Rows) -> Any:
        number = spread(self.number.value(rows), rows.count).astype(int)
        first = spread(self.first.value(rows), rows.count).astype(int)
        return rows.other(self.table, self.column)[first + number - 2]

    def parts(self) -> tuple[Expr, ...]:
        return (*super().parts(), self.number)


class PlaceOf(_Stretch):
    """Place in the whole column of the first entry that equals a value, among some rows; 0 where none may."""

    binds = 3

    def __init__(
        self,
        value: Expr,
        table: str,
        column: str,
        first: Expr,
        last: Expr,
        at: Expr | None = None,
        missing_ok: bool = False,
    ) -> None:
        super().__init__(table, column, first, last, at)
        self.wanted, self.missing_ok = value, missing_ok

    def text(self, place: Place) -> str:
        found = f"MATCH({self.wanted.text(place)},{self._range(place)},0)+{self.first.text(place)}-1"
        return f"IFERROR({found},0)" if self.missing_ok else found

    def value(self, rows: Rows) -> Any:
        wanted = spread(self.wanted.value(rows), rows.count)
        first = spread(self.first.value(rows), rows.count).astype(int)
        found = [np.flatnonzero(s == w)[:1] for s, w in zip(self._stretches(rows), wanted, strict=True)]
        if not self.missing_ok and not all(len(f) for f in found):
            raise LookupError(f"{self.table}.{self.column} has no such entry")
        return np.array([f[0] + a if len(f) else 0 for f, a in zip(found, first, strict=True)], dtype=int)

    def parts(self) -> tuple[Expr, ...]:
        return (self.wanted, *super().parts())
