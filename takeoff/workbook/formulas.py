"""The formulas of columns: a place that knows its table, its sheet and what is known, for rendering expressions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

import numpy as np

from takeoff.engine.expr import Among, Array, Col, Expr
from takeoff.engine.guards import Cells
from takeoff.engine.tables import Column, Table
from takeoff.workbook.file.pieces import formula_pieces, row_by_row
from takeoff.workbook.known import WHOLE, Fill, Known, Stretch
from takeoff.workbook.layout import Spot


@dataclass
class Here:
    """The place of one formula column, for rendering its expression; `fills` are the parts that differ by row."""

    spot: Spot
    column_: Column
    refs: Known
    fills: dict[str, Fill] = field(default_factory=dict)
    tokens: int = 0

    @property
    def seen_from(self) -> str:
        """Return the sheet on which the formula stands."""
        return self.spot.sheet

    @property
    def table(self) -> Table:
        """Return the own table."""
        return self.spot.table

    def render(self) -> str:
        """Return the formula; tokens in it stand for the fills."""
        return self.column_.expr.text(self)

    def _token(self, fill: Fill) -> str:
        if not fill.instead and all(isinstance(p, str) or (p == p[0]).all() for p in fill.parts):
            return "".join(p if isinstance(p, str) else str(int(p[0]) + fill.down) for p in fill.parts)
        self.tokens += 1
        token = f"{{k{self.tokens}}}"
        self.fills[token] = fill
        return token

    def binds(self, expr: Expr) -> int:
        while isinstance(expr, Col) and (self.table.name, self.table.column(expr.name)) in self.refs.inlined:
            expr = self._definition(expr.name).expr
        return expr.binds

    def _definition(self, column: str) -> Column:
        found = self.refs._columns[self.table.name, self.table.column(column)]
        assert isinstance(found, Column)
        return found

    def cell(self, column: str) -> str:
        name = self.table.column(column)
        if (self.table.name, name) in self.refs.inlined:
            return self._definition(name).expr.text(self)
        if self.refs.written(self.table.name, name):
            return f"${self.spot.letter(name)}{{r}}"
        rows = np.arange(1, len(self.table) + 1, dtype=WHOLE)
        return self._token(self.refs.cells(self.table.name, name, rows, self.seen_from))

    def head(self) -> str:
        return f"{self.spot.letter(self.column_.name)}${self.spot.header_row - 1}"

    def above(self) -> str:
        return f"{self.spot.letter(self.column_.name)}{{q}}"

    def span(self, block: str) -> str:
        for member in self.table.blocks[block]:
            if not self.refs.written(self.table.name, member):
                self.refs.needed.add((self.table.name, member))
        first, last = self.spot.columns_of(block)
        return f"${first}{{r}}:${last}{{r}}"

    def column(self, table: str, name: str) -> str:
        return self.refs.column(table, name, self.seen_from)

    def known(self, expr: Expr) -> bool:
        return not self.refs.live_expr(self.table.name, expr)

    def _rows(self, expr: Expr) -> Array:
        return self.refs.rows_of(self.table.name, expr, self.column_)

    def entry(self, table: str, name: str, row: Expr, otherwise: Any = None) -> str:
        column = self.refs.book.tables[table].column(name)
        return self._token(self.refs.cells(table, column, self._rows(row), self.seen_from, otherwise))

    def line(self, table: str, block: str, row: Expr) -> str:
        spot = self.refs.spots[table]
        self.refs.column(table, block)
        first, last = spot.columns_of(block)
        rows = self._rows(row)
        parts: list[str | Array] = [f"{spot.prefix(self.seen_from)}${first}$", rows, f":${last}$", rows]
        return self._token(Fill(parts, down=spot.header_row))

    def spot_of(self, table: str, block: str, row: Expr, place: Expr) -> str:
        members, places = self.refs.members(table, block), self._rows(place)
        found = {
            n: self.refs.cells(table, members[n - 1], self._rows(row), self.seen_from) for n in set(places.tolist())
        }
        texts = {n: fill.rows(slice(0, None)) for n, fill in found.items()}
        return self._token(Fill([places], {line: texts[n][line] for line, n in enumerate(places.tolist())}))

    def one_of(self, table: str, block: str, place: Expr, among: Among | None = None) -> str:
        if not self.known(place):
            return f"INDEX({self.part(table, block, among or Stretch({}))},0,{place.text(self)})"
        members = self.refs.members(table, block)
        places = self._rows(place)
        texts = {n: self.part(table, members[n - 1], among or Stretch({})) for n in np.unique(places).tolist()}
        if len(texts) == 1:
            return next(iter(texts.values()))
        instead: dict[int, str] = {}
        for n, text in texts.items():
            rows = self.fills.pop(text).rows(slice(0, None)) if text in self.fills else [text] * len(places)
            instead |= {int(at): rows[int(at)] for at in np.flatnonzero(places == n)}
        return self._token(Fill([places], instead))

    def own(self, row: Expr) -> str:
        rows = self._rows(row)
        instead = {int(n): "0" for n in np.flatnonzero(rows == 0)}
        return self._token(Fill([f"${self.spot.letter(self.column_.name)}$", rows], instead, self.spot.header_row))

    def number(self, expr: Expr) -> str:
        return self._token(Fill([self._rows(expr)]))

    def among(self, table: str, where: Mapping[str, Expr]) -> Stretch:
        fixed = {c: k for c, k in where.items() if not self.refs.live(table, c) and self.known(k)}
        left = {c: k for c, k in where.items() if c not in fixed}
        if not fixed:
            return Stretch(left)
        key = (self.table.name, self.column_.head, table, *((c, id(k)) for c, k in fixed.items()))
        if key not in self.refs._stretches:
            self.refs._stretches[key] = self._stretch(table, fixed)
        found = self.refs._stretches[key]
        return Stretch({**{c: k for c, k in found.left.items() if c in fixed}, **left}, found.first, found.last)

    def _stretch(self, table: str, fixed: Mapping[str, Expr]) -> Stretch:
        book = self.refs.book
        keys = book.keys(table, tuple(fixed))
        mine = keys.find(book.evaluate(self.table.name, expr, self.column_.head) for expr in fixed.values())
        first, last, found = keys.first_rows[mine], keys.last_rows[mine], keys.counts[mine]
        alone = bool((found == last - first + 1).all() and (found > 0).all())
        first, last = np.where(found == 0, 1, first), np.where(found == 0, 1, last)
        return Stretch({} if alone else dict(fixed), first, last)

    def between(self, table: str, first: Expr, last: Expr) -> Stretch:
        return Stretch({}, self._rows(first), self._rows(last))

    def part(self, table: str, name: str, among: Among) -> str:
        whole = self.refs.column(table, name, self.seen_from)
        if not isinstance(among, Stretch) or among.first is None or among.last is None:
            return whole
        spot = self.refs.spots[table]
        a, z = spot.columns_of(name)
        parts: list[str | Array] = [f"{spot.prefix(self.seen_from)}${a}$", among.first, f":${z}$", among.last]
        return self._token(Fill(parts, down=spot.header_row))

    def figure(self, table: str, key: str) -> str:
        return f"{table}.{key}"

    def _by_row(self, texts: Sequence[str]) -> str:
        return self._token(Fill([np.zeros(len(texts), dtype=WHOLE)], dict(enumerate(texts))))

    def ranges(self, cells: Sequence[Cells]) -> str:
        return self._by_row([self.refs.range_of(each, self.seen_from) for each in cells])

    def fixed(self, column: str, instead: Mapping[int, Cells] = MappingProxyType({})) -> str:
        own = [f"${self.spot.letter(column)}${self.spot.first_row + n}" for n in range(len(self.table))]
        return self._by_row(
            [self.refs.range_of(instead[n], self.seen_from) if n in instead else text for n, text in enumerate(own)]
        )

    def names_of(self, cells: Sequence[Cells]) -> tuple[str, str]:
        above = [self.refs.range_of(Cells(c.table, c.column, c.first - 1, c.first - 1)) for c in cells]
        names = ['"' + text.replace("$", "").rstrip("0123456789") + '"' for text in above]
        return self._by_row(names), self._by_row(above)

    def wholes(self, tables: Sequence[str]) -> str:
        found = []
        for name in tables:
            spot = self.refs.spots[name]
            first, last = spot.letter(spot.shown[0].name), spot.letter(spot.shown[-1].name)
            found.append(f"{spot.prefix(self.seen_from)}${first}${spot.first_row}:${last}${spot.last_row}")
        return self._by_row(found)


@dataclass
class There(Here):
    """A column whose formulas stand on a page: what it reads of its own row is another sheet's cell."""

    sheet: str = ""

    @property
    def seen_from(self) -> str:
        """Return the sheet on which the formula stands."""
        return self.sheet

    def cell(self, column: str) -> str:
        name, rows = self.table.column(column), np.arange(1, len(self.table) + 1, dtype=WHOLE)
        return self._token(self.refs.cells(self.table.name, name, rows, self.sheet))

    def lines(self) -> list[str]:
        """Return the formula of every row."""
        count = len(self.table)
        pieces = formula_pieces(self.render(), self.fills, self.spot.first_row, slice(0, count))
        return list(map("".join, row_by_row(pieces, count)))


def template_of(spot: Spot, column: Column, refs: Known) -> tuple[str, dict[str, Fill]]:
    """Return the formula of a column and its parts that differ by row."""
    here = Here(spot, column, refs)
    return here.render(), here.fills


def formula_of(spot: Spot, column: Column, refs: Known, line: int = 0) -> str:
    """Return the formula of one row, counted from 0, as it stands in the file."""
    text, fills = template_of(spot, column, refs)
    for token, fill in fills.items():
        text = text.replace(token, fill.rows(slice(line, line + 1))[0])
    row = spot.first_row + line
    return text.replace("{r}", str(row)).replace("{q}", str(row - 1))
