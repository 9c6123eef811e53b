"""Guards of input cells: which cells of a column hold what their definition does not accept.

One test is written in two ways: over a column, to find its first cell that is not accepted, and for one cell, so that
it stands out where it is typed. No guard can become an error, whatever a cell holds.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Protocol, cast

import numpy as np

from takeoff.engine.expr import Expr, Place, Read, Rows
from takeoff.engine.tables import Field, Table

NUMBER, CHOICE, TEXT = "number", "choice", "text"
KINDS = (NUMBER, CHOICE, TEXT)
"""Kinds of what an input accepts."""

LAST_DAY = 2_958_465
"""Day number of the last day that a spreadsheet has: 9999-12-31."""

LARGEST = 1e9
"""Largest number of an input that says no other: a spreadsheet keeps fifteen digits."""

LONGEST_TEXT = 1000
"""Characters of a text that is typed into an input cell and says no other."""


@dataclass(frozen=True)
class Cells:
    """Cells of a column, from a first to a last row of its table, counted from 1."""

    table: str
    column: str
    first: int
    last: int


class Guarding(Place, Protocol):
    """A place that knows where cells of other tables stand, by own row."""

    def ranges(self, cells: Sequence[Cells]) -> str:
        """Return cells of other tables."""

    def fixed(self, column: str, instead: Mapping[int, Cells] = MappingProxyType({})) -> str:
        """Return the cell of a column in the own row, fixed; cells of other tables in some of the rows."""

    def names_of(self, cells: Sequence[Cells]) -> tuple[str, str]:
        """Return sheet and column of cells as a text, and the cell above them."""

    def wholes(self, tables: Sequence[str]) -> str:
        """Return all cells of a table."""


def kind_of(table: Table, column: Field) -> str:
    """Return the kind of what an input column accepts."""
    if column.choices or column.listed:
        return CHOICE
    if any(isinstance(value, str) for value in table.data[column.name]):
        return TEXT
    return NUMBER


def limits_of(kind: str, column: Field) -> tuple[float, float]:
    """Return the least and the most that an input column accepts; of a text, characters."""
    if kind == TEXT:
        return 0 if column.blank else 1, column.maximum or LONGEST_TEXT
    most = LAST_DAY if column.unit == "date" else LARGEST
    return column.minimum, column.maximum or most


def test_of(kind: str, cells: str, low: str, high: str, blank: str) -> str:
    """Return what is 0, or an error where the cell is one, for each cell that is not accepted.

    Parameters
    ----------
    kind
        What is accepted; of a choice, `low` are the cells with the words.
    cells
        One cell, or a range.
    low, high
        Limits, as cells.
    blank
        The cell that says 1 where a blank is accepted, else 0.
    """
    if kind == CHOICE:
        return f'COUNTIF({low},{cells}&"")+(LEN({cells})=0)*{blank}'
    if kind == TEXT:
        return f"(LEN({cells})>={low})*(LEN({cells})<={high})"
    return f"({cells}>={low})*({cells}<={high})*(LEN({cells})+{blank})"


def one_test_of(kind: str, cell: str, low: str, high: str, blank: bool, whole: bool) -> str:
    """Return what says of one cell that it is not accepted: the same test, where signs such as `*` are letters."""
    allowed = str(int(blank))
    if kind == CHOICE:
        return f'ISERROR(1/(SUMPRODUCT(1*({low}={cell}&""))+(LEN({cell})=0)*{allowed}))'
    if whole:
        return f"ISERROR(1/({test_of(kind, cell, low, high, allowed)}*(ROUND({cell},0)={cell})))"
    return f"ISERROR(1/({test_of(kind, cell, low, high, allowed)}))"


def is_accepted(kind: str, value: object, low: float, high: float, blank: float, words: Sequence[object] = ()) -> bool:
    """Say of a value what the test says of its cell."""
    if value == "":
        return bool(blank)
    if kind == CHOICE:
        word = f"{value:g}" if isinstance(value, int | float | np.number) else str(value)
        return word.casefold() in {str(w).casefold() for w in words}
    if kind == TEXT:
        return low <= len(str(value)) <= high
    return isinstance(value, int | float | np.number) and bool(low <= value <= high)


class _Guard(Expr):
    """Base of what is said of the cells of an input column: each own row guards one column.

    Parameters
    ----------
    kind
        What all of the columns accept.
    guarded
        Cells by own row.
    limits
        Cells by own row that hold the limits, or the words of a choice; without them, own columns hold the limits.
    """

    def __init__(self, kind: str, guarded: Sequence[Cells], limits: Mapping[int, Sequence[Cells]]) -> None:
        self.kind, self.guarded, self.limits = kind, guarded, limits

    def reads(self) -> Iterator[Read]:
        found = [*self.guarded, *(cells for each in self.limits.values() for cells in each)]
        yield from dict.fromkeys((cells.table, cells.column) for cells in found)
        yield "", "blank"
        if self.kind == CHOICE:
            yield "", "count"
        else:
            yield from (("", "low"), ("", "high"))

    def _words(self, line: int) -> Cells:
        """Return the cells with the words of a choice."""
        return self.limits[line][0]

    def _accepted(self, rows: Rows) -> list[list[bool]]:
        """Return of each cell, by own row, whether it is accepted."""

        def of(cells: Cells) -> list[object]:
            return list(rows.other(cells.table, cells.column)[cells.first - 1 : cells.last])

        def given(line: int, count: int) -> Iterator[list[Any]]:
            if line in self.limits:
                yield from map(of, self.limits[line])
            else:
                yield from ([rows.own(name)[line]] * count for name in ("low", "high"))

        found = []
        for n, cells in enumerate(self.guarded):
            values, blank = of(cells), rows.own("blank")[n]
            if self.kind == CHOICE:
                words = of(self._words(n))
                known = {v: is_accepted(CHOICE, v, 0, 0, blank, words) for v in dict.fromkeys(values)}
                found.append([known[v] for v in values])
            else:
                each = zip(values, *given(n, len(values)), strict=True)
                found.append([is_accepted(self.kind, v, low, high, blank) for v, low, high in each])
        return found

    def _test(self, place: Place) -> str:
        if self.kind == CHOICE:
            low, high = cast("Guarding", place).ranges([self._words(n) for n in range(len(self.guarded))]), ""
        else:
            low, high = (
                cast("Guarding", place).fixed(name, {n: each[side] for n, each in self.limits.items()})
                for side, name in enumerate(("low", "high"))
            )
        return test_of(self.kind, cast("Guarding", place).ranges(self.guarded), low, high, place.cell("blank"))


class FirstNotAccepted(_Guard):
    """Place of the first cell that is not accepted, counted from 1; 0 where none is found.

    It passes over a cell that holds an error, and takes a sign such as `*` for any word: `CountNotAccepted` is exact.
    """

    def text(self, place: Place) -> str:
        return f"IFERROR(SUMPRODUCT(MATCH(0,{self._test(place)},0)),0)"

    def value(self, rows: Rows) -> Any:
        return np.array([next((n for n, good in enumerate(c, start=1) if not good), 0) for c in self._accepted(rows)])


class CountNotAccepted(_Guard):
    """How many cells are not accepted."""

    binds = 3

    def text(self, place: Place) -> str:
        if self.kind != CHOICE:
            return f"SUMPRODUCT(1*ISERROR(1/({self._test(place)})))"
        cells = cast("Guarding", place).ranges(self.guarded)
        words = cast("Guarding", place).ranges([self._words(n) for n in range(len(self.guarded))])
        own = f"{place.cell('count')}-SUMPRODUCT(COUNTIF({cells},{words}))"
        return f"{own}-{place.cell('blank')}*COUNTBLANK({cells})"

    def value(self, rows: Rows) -> Any:
        return np.array([sum(not good for good in c) for c in self._accepted(rows)])


class CountBroken(Expr):
    """How many cells of a column of whole numbers hold a broken one; 1 where one is no number at all."""

    def __init__(self, guarded: Sequence[Cells]) -> None:
        self.guarded = guarded

    def text(self, place: Place) -> str:
        cells = cast("Guarding", place).ranges(self.guarded)
        return f"IFERROR(SUMPRODUCT({place.cell('whole')}*(ROUND({cells},0)<>{cells})),1)"

    def reads(self) -> Iterator[Read]:
        yield "", "whole"
        yield from dict.fromkeys((cells.table, cells.column) for cells in self.guarded)

    def value(self, rows: Rows) -> Any:
        found = []
        for whole, cells in zip(rows.own("whole"), self.guarded, strict=True):
            values = list(rows.other(cells.table, cells.column)[cells.first - 1 : cells.last])
            texts = any(isinstance(v, str) and v for v in values)
            found.append(1 if texts else sum(bool(whole) and v != "" and float(v) % 1 != 0 for v in values))
        return np.array(found)


class CellName(Expr):
    """Name of a cell of the guarded column with its sheet, at a place counted from 1; of the heading at place 0."""

    binds = 2

    def __init__(self, guarded: Sequence[Cells], at: Expr) -> None:
        self.guarded, self.at = guarded, at

    def text(self, place: Place) -> str:
        name, above = cast("Guarding", place).names_of(self.guarded)
        return f"{name}&({self.at.text(place)}+ROW({above}))"

    def parts(self) -> tuple[Expr, ...]:
        return (self.at,)

    def reads(self) -> Iterator[Read]:
        yield from super().reads()
        yield from dict.fromkeys((cells.table, cells.column) for cells in self.guarded)

    def value(self, rows: Rows) -> Any:
        found = zip(self.guarded, self.at.value(rows), strict=True)
        return np.array([f"{c.table}.{c.column} {c.first - 1 + at:g}" for c, at in found], dtype=object)


class CountErrors(Expr):
    """How many cells of whole tables show an error; a build has none."""

    def __init__(self, tables: Sequence[str], columns: Sequence[Read]) -> None:
        self.tables, self.columns = tables, columns

    def text(self, place: Place) -> str:
        cells = cast("Guarding", place).wholes(self.tables)
        return f"IF(ISERROR(SUM({cells})),SUMPRODUCT(1*ISERROR({cells})),0)"

    def reads(self) -> Iterator[Read]:
        yield from self.columns

    def value(self, rows: Rows) -> Any:
        return np.zeros(rows.count)
