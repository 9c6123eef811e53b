"""How the formulas of the workbook refer to cells: what no input changes is known when the file is written.

A known row of another table is referred to cell by cell, known rows that stand together as a range: a change of an
input then reaches the cells that depend on it and no others, and recalculation grows with the job, not with its
square. A column that only fetches entries of known rows, or that holds row numbers, is not written: whoever reads it
refers to where the entry stands.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from takeoff.engine.chains import Chain, Running
from takeoff.engine.expr import Col, Expr
from takeoff.engine.guards import CountErrors
from takeoff.engine.tables import Column
from takeoff.workbook.formulas import Here, There, formula_of, template_of
from takeoff.workbook.known import Fill, Known, Line
from takeoff.workbook.layout import Spot

TEXTS = re.compile(r"'[^']*'|\"[^\"]*\"")
BRACKETS = re.compile(r"[A-Z0-9]*\(|\)")
"""Names of sheets and texts, which may hold anything; brackets, those of functions with their names."""

__all__ = ["Here", "References", "formula_of", "template_of"]

LONGEST = 150
"""Characters of a formula."""

SLACK = 9
"""Characters left free where a helper is taken into a formula: references of a longer table take more."""


class References(Known):
    """A book in writing: which columns are written, and the formulas of those that are live."""

    def formula(self, table: str, name: str, line: int, sheet: str) -> str:
        """Return the formula of a column that stands on a page, not in its table: for one row, as seen from a sheet."""
        place = table, name
        if sheet != self._page:  # pages are filled one after the other
            self._page, self._on_pages = sheet, {}
        if place not in self._on_pages:
            column = self._columns[table, name]
            assert isinstance(column, Column)
            self._on_pages[place] = There(self.spots[table], column, self, sheet=sheet).lines()
        return self._on_pages[place][line]

    def settle(self, more: Iterable[Line] = (), whole: Iterable[str] = (), elsewhere: Iterable[Line] = ()) -> None:
        """Find the columns that are not written.

        Parameters
        ----------
        more
            Columns that pages and charts read as ranges.
        whole
            Tables whose cells pages read one by one: every column of them is written.
        elsewhere
            Columns whose formulas stand on a page.
        """
        self.elsewhere = set(elsewhere)
        self.needed |= {(table, m) for table, name in more for m in self.members(table, name)}
        self.needed |= {(table, c.name) for table in whole for c in self.book.tables[table].columns}
        self.needed -= self.elsewhere
        for table, name in self.elsewhere:
            definition = self._columns[table, name]
            if isinstance(definition, Column) and self.live(table, name):
                There(self.spots[table], definition, self, sheet="").render()
        seen: set[Line] = set()
        while fresh := [
            (s, c) for s in self.spots.values() for c in self._formulas(s) if (s.table.name, c.name) not in seen
        ]:
            for spot, column in fresh:  # what a formula reads is needed, which may make it one that is written
                Here(spot, column, self).render()
                seen.add((spot.table.name, column.name))
        self._inline()
        left: Spot | None = None
        for name, spot in self.spots.items():
            hidden = frozenset(c.name for c in spot.table if not self.written(name, c.name))
            first = left.first_column + len(left.shown) + spot.after if left and spot.after >= 0 else spot.start or 1
            left = self.spots[name] = replace(spot, hidden=hidden, first_column=first)

    def _inline(self) -> None:
        """Take helpers that nobody reads into the one formula that uses them, where it stays short."""
        uses = self._uses()
        for spot in self.spots.values():
            if spot.kind != "working":
                continue
            name = spot.table.name
            blocks = {*spot.table.exposed, *(member for block in spot.table.blocks.values() for member in block)}
            for column in self._formulas(spot):
                line = name, column.name
                readers = uses.get(line, [])
                if column.name in blocks or column.note or column.head or line in self.needed or len(readers) != 1:
                    continue
                (reader,) = readers
                if not isinstance(reader, Column) or isinstance(column.expr, Chain | Running):
                    continue
                self.inlined.add(line)
                found = formula_of(spot, reader, self)
                if len(found) > LONGEST - SLACK or is_nested(found):
                    self.inlined.discard(line)

    def _uses(self) -> dict[Line, list[Column | None]]:
        """Return who reads each column: a column of the same row, or None for anybody else."""
        uses: dict[Line, list[Column | None]] = {}
        for spot in self.spots.values():
            name = spot.table.name
            for column in spot.table.columns:
                if not self.live(name, column.name):
                    continue
                for node in (n for n in nodes(column.expr) if not isinstance(n, CountErrors)):
                    if isinstance(node, Col):
                        uses.setdefault((name, spot.table.column(node.name)), []).append(column)
                    else:
                        inner = {read for part in node.parts() for read in part.reads()}
                        for other, read in node.reads():
                            if (other, read) not in inner:
                                for member in self.members(other or name, read):
                                    uses.setdefault((other or name, member), []).append(None)
        return uses

    def _formulas(self, spot: Spot) -> list[Column]:
        """Return the columns of a table that are written as formulas."""
        name = spot.table.name
        return [c for c in spot.table.columns if self.live(name, c.name) and self.written(name, c.name)]

    def formulas(self, table: str) -> dict[str, tuple[str, dict[str, Fill]]]:
        """Return the formulas of a table by column, with their parts that differ from row to row."""
        spot = self.spots[table]
        return {c.name: template_of(spot, c, self) for c in self._formulas(spot)}


def nodes(expr: Expr) -> Iterator[Expr]:
    """Yield an expression and all it is made of."""
    yield expr
    for part in expr.parts():
        yield from nodes(part)


def is_nested(formula: str) -> bool:
    """Return whether a choice stands inside another one."""
    opened: list[str] = []
    for part in BRACKETS.findall(TEXTS.sub("", formula)):
        if part != ")":
            if part == "IF(" and part in opened:
                return True
            opened.append(part)
        else:
            opened.pop()
    return False
