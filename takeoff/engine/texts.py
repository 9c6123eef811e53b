"""Which expressions may give a text, and which reckon: a spreadsheet does not reckon with texts."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from takeoff.engine.aggregates import CountSmaller, SumBy, SumProducts, SumWhere
from takeoff.engine.chains import Chain, Highest, Lowest, Nth, Running
from takeoff.engine.errors import DefinitionError
from takeoff.engine.expr import Call, Col, Expr, Given, Head, Literal, Read
from takeoff.engine.lookups import At, CellAt, Dot, Named, Total
from takeoff.engine.tables import Book, Column, Table

TAKE_TEXTS = ("&", "same", "begins", "any", "all")
"""Operations that take texts, or what tests say; the others reckon."""


def parts_of(expr: Expr) -> Iterator[Expr]:
    """Yield an expression and everything it is made of."""
    yield expr
    for part in expr.parts():
        yield from parts_of(part)


class Texts:
    """Finds which columns of a book may hold a text; those it knows it keeps. Columns may not read each other."""

    def __init__(self, book: Book) -> None:
        self.tables, self.inputs = book.tables, book.inputs
        self._columns = {(t.name, c.name): c for t in book.tables.values() for c in t.columns}
        self._known: dict[Read, bool] = {}

    def check(self, table: Table, column: Column) -> None:
        """Refuse to reckon with what may be a text.

        Raises
        ------
        DefinitionError
            The column does.
        """
        for part in parts_of(column.expr):
            if any(self._gives_text(table.name, expr, column) for expr in _reckoned(part)):
                raise DefinitionError("reckons with an expression that may be a text")
            for other, name in _added(part):
                read = other or table.name
                for each in self.tables[read].spread(name):
                    if self._holds_text(read, each):
                        raise DefinitionError(f"reckons with {read}.{each}, which may hold a text")

    def _gives_text(self, table: str, expr: Expr, column: Column) -> bool:
        """Return whether an expression may give a text."""
        if isinstance(expr, Literal):
            return isinstance(expr.content, str)
        if isinstance(expr, Call):
            branches = {"if": expr.args[1:], "ratio": expr.args[2:]}.get(expr.name, ())
            return expr.name in ("&", "fixed") or any(self._gives_text(table, branch, column) for branch in branches)
        if isinstance(expr, Given):
            return isinstance(self.inputs[expr.name], str)
        if isinstance(expr, Head):
            return bool(column.head)
        if isinstance(expr, Col | At | CellAt | Highest | Lowest | Nth | Named):
            other, name = next(expr.reads())
            read = other or table
            otherwise = isinstance(expr, At) and isinstance(expr.otherwise, str)
            return otherwise or any(self._holds_text(read, each) for each in self.tables[read].spread(name))
        return False

    def _holds_text(self, table: str, name: str) -> bool:
        """Return whether a column may hold a text: given ones by what they hold, computed ones by their formula."""
        place = table, name
        if place not in self._known:
            if place in self._columns:
                self._known[place] = self._gives_text(table, self._columns[place].expr, self._columns[place])
            else:
                data = self.tables[table].data[name]
                numbers = isinstance(data, np.ndarray) and data.dtype.kind in "fib"
                self._known[place] = not numbers and any(issubclass(kind, str) for kind in set(map(type, data)))
        return self._known[place]


def _reckoned(expr: Expr) -> tuple[Expr, ...]:
    """Return the parts an expression reckons with."""
    if isinstance(expr, Call) and expr.name not in TAKE_TEXTS:
        return {"if": (), "ratio": expr.args[:2]}.get(expr.name, expr.args)
    if isinstance(expr, Running | Chain):
        return (expr.amount,)
    if isinstance(expr, CountSmaller):
        return (expr.limit, *((expr.least[1],) if expr.least else ()))
    return ()


def _added(expr: Expr) -> list[Read]:
    """Return the columns whose entries an expression adds up or multiplies."""
    if isinstance(expr, SumBy | Total):
        return [(expr.table, expr.column)]
    if isinstance(expr, SumProducts):
        return [*expr.columns, *(place for place, _ in expr.blocks)]
    if isinstance(expr, SumWhere):
        return [expr.amounts]
    return [("", expr.own_block), (expr.table, expr.block)] if isinstance(expr, Dot) else []
