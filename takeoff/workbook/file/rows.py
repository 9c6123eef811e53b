"""The rows of a sheet as text: cells with their values and, where they are computed, the formulas behind them.

A column of one formula is written as a shared formula of the file format: its first cell carries the formula and
the others name it, for a file of about half the size in less than half the time. Nothing in this module knows
what the workbook is about.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce
from itertools import chain, pairwise
from typing import Any

import numpy as np
from openpyxl.utils import get_column_letter

from takeoff.workbook.file.pieces import Part, Piece, formula_pieces, numbers_as_texts, row_by_row

CHUNK = 1024
"""Rows rendered at once."""

_ESCAPES = re.compile(r"[&<>\r]|_x[0-9A-Fa-f]{4}_")
_CELL = r"\$?[A-Z]{1,3}\$?(?:\d+|\{[rq]\})"
_PLAIN = re.compile(rf'"[^"]*"|{_CELL}:{_CELL}')
"""Texts in a formula, and ranges between two cells: nothing in them bars it from being shared."""
_BARRED = re.compile(r"[:!{\[#\s]")
"""What bars it from being shared, texts and ranges taken away."""


def escape(text: str) -> str:
    """Return text as it stands in XML; what reads as an escape of the format is escaped itself."""

    def one(match: re.Match[str]) -> str:
        return {"&": "&amp;", "<": "&lt;", ">": "&gt;", "\r": "_x000D_"}.get(match[0], f"_x005F_{match[0][1:]}")

    return _ESCAPES.sub(one, text) if _ESCAPES.search(text) else text


@dataclass(frozen=True)
class Cell:
    """A single cell: a constant, or a formula with the value computed for it; `style` is an xf index."""

    value: Any
    style: int = 0
    formula: str = ""


@dataclass(frozen=True)
class BlockColumn:
    """A column of a block: its values and, for formulas, a template; `{r}` is the row, `{q}` the row above.

    `fills` are the parts of the formula that differ otherwise from row to row, by their token in the template.
    """

    values: Sequence[Any] | np.ndarray[Any, Any]
    style: int = 0
    template: str = ""
    fills: Mapping[str, Part] = field(default_factory=dict)


@dataclass(frozen=True)
class Block:
    """Neighbouring columns of equal length, from a first cell downwards; heights in points where rows differ."""

    first_row: int
    first_column: int
    columns: Sequence[BlockColumn]
    heights: Sequence[float] | np.ndarray[Any, Any] = ()

    @property
    def last_row(self) -> int:
        """Row of the last line."""
        return self.first_row + len(self.columns[0].values) - 1


@dataclass
class SheetRows:
    """All rows of one sheet: single cells by row and column, row heights in points, blocks below each other."""

    cells: dict[int, dict[int, Cell]] = field(default_factory=dict)
    heights: dict[int, float] = field(default_factory=dict)
    blocks: list[Block] = field(default_factory=list)
    links: list[tuple[str, str]] = field(default_factory=list)

    def put(self, row: int, column: int, cell: Cell) -> None:
        """Place a single cell."""
        self.cells.setdefault(row, {})[column] = cell

    def extent(self) -> tuple[int, int]:
        """Return the last row and the last column in use."""
        rows = [*self.cells, *(b.last_row for b in self.blocks), 1]
        columns = [c for cells in self.cells.values() for c in cells]
        columns += [b.first_column + len(b.columns) - 1 for b in self.blocks]
        return max(rows), max([*columns, 1])

    def xml(self) -> Iterator[bytes]:
        """Yield the rows from top to bottom, each once: programs take a file whose rows do not ascend for damaged."""
        loose = sorted({*self.cells, *self.heights})
        shared = 0
        for blocks in _side_by_side(self.blocks):
            while loose and loose[0] < blocks[0].first_row:
                yield self._row(loose.pop(0)).encode()
            yield from _block_rows(blocks, shared)
            shared += sum(len(block.columns) for block in blocks)
            last = max(block.last_row for block in blocks)
            loose = [row for row in loose if row > last]
        yield from (self._row(row).encode() for row in loose)

    def _row(self, row: int) -> str:
        height = f' ht="{self.heights[row]}" customHeight="1"' if row in self.heights else ""
        cells = (_cell(f"{get_column_letter(c)}{row}", cell) for c, cell in sorted(self.cells.get(row, {}).items()))
        return f'<row r="{row}"{height}>{"".join(cells)}</row>'


def _cell(place: str, cell: Cell) -> str:
    formula = f"<f>{escape(cell.formula)}</f>" if cell.formula else ""
    return f'<c r="{place}{_ends(place, cell.style, formula, [cell.value])[0]}'


def may_be_shared(template: str) -> bool:
    """Return whether a formula may be written once for a whole column.

    Barred are other sheets, arrays, errors, intersections, and ranges that are not between two cells, such as
    `INDEX(a,1):INDEX(a,2)`; names may stand in it. ECMA-376 Part 1, 18.3.1.40, says nothing of this: the list is
    that of the binary form of the format, Microsoft [MS-XLSB] 2.5.98.98, SharedParsedFormula.
    """
    return not _BARRED.search(_PLAIN.sub("", template).replace("{r}", "").replace("{q}", ""))


def _side_by_side(blocks: Iterable[Block]) -> Iterator[list[Block]]:
    """Yield the blocks from top to bottom, those together that share rows, from left to right."""
    together: list[Block] = []
    for block in sorted(blocks, key=lambda b: (b.first_row, b.first_column)):
        if together and block.first_row > max(b.last_row for b in together):
            yield sorted(together, key=lambda b: b.first_column)
            together = []
        together.append(block)
    if together:
        yield sorted(together, key=lambda b: b.first_column)


def _block_rows(blocks: Sequence[Block], shared: int) -> Iterator[bytes]:
    """Yield blocks side by side by chunks of rows: texts joined at once; shared formulas count from `shared`."""
    columns: list[_Column] = []
    for block in blocks:
        for n, defined in enumerate(block.columns):
            columns.append(_Column(get_column_letter(block.first_column + n), defined, block, shared + len(columns)))
    for start, end in pairwise(_cuts(blocks)):
        numbers = numbers_as_texts(np.arange(start, end))
        pieces: list[Piece] = ['<row r="', numbers, '"', _heights(blocks, start, end), ">"]
        for column in columns:
            if column.block.first_row <= start <= column.block.last_row:
                pieces += [f'<c r="{column.letter}', numbers, *column.ends(start, end)]
        yield "".join(chain.from_iterable(row_by_row([*pieces, "</row>"], end - start))).encode()


def _cuts(blocks: Sequence[Block]) -> list[int]:
    """Return the first row of every chunk, and the row below the last: each block has all rows of a chunk, or none."""
    ends = sorted({row for block in blocks for row in (block.first_row, block.last_row + 1)})
    return [row for first, end in pairwise(ends) for row in range(first, end, CHUNK)] + ends[-1:]


def _heights(blocks: Sequence[Block], start: int, end: int) -> Piece:
    """Return the heights of rows: the highest that a block asks for, or none."""
    here = [b for b in blocks if b.first_row <= start <= b.last_row and len(b.heights)]
    if not here:
        return ""
    highest = reduce(np.maximum, (np.asarray(b.heights)[start - b.first_row : end - b.first_row] for b in here))
    return [f' ht="{h}" customHeight="1"' if h else "" for h in highest.tolist()]


@dataclass(frozen=True)
class _Column:
    """A column of a block in writing: its letter and the number of its shared formula."""

    letter: str
    column: BlockColumn
    block: Block
    number: int

    def ends(self, start: int, end: int) -> list[Piece]:
        """Return the cells of some rows, each from behind its row number on."""
        chunk = slice(start - self.block.first_row, end - self.block.first_row)
        values = self.column.values[chunk]
        values = values.tolist() if isinstance(values, np.ndarray) else values
        place, style, block = f"{self.letter}{start}", self.column.style, self.block
        if not self.column.template:
            return [_ends(place, style, "", values)]
        shared = not self.column.fills and may_be_shared(self.column.template)
        if block.first_row == block.last_row or not shared:
            tails = {v: _tail(v) for v in set(_known(place, values))}
            kinds = _for_each({v: f"{kind}><f>" for v, (kind, _) in tails.items()}, values)
            closes = _for_each({v: f"</f>{tail}" for v, (_, tail) in tails.items()}, values)
            pieces = formula_pieces(escape(self.column.template), self.column.fills, start, chunk)
            return [_look(style), kinds, *pieces, closes]
        named = f'<f t="shared" si="{self.number}"/>'
        if start > block.first_row:
            return [_ends(place, style, named, values)]
        cells = f"{place}:{self.letter}{block.last_row}"
        whole = f'<f t="shared" ref="{cells}" si="{self.number}">{self.formula(start)}</f>'
        below = _ends(place, style, named, values[1:])
        return [[*_ends(place, style, whole, values[:1]), *below]]

    def formula(self, row: int) -> str:
        """Return the formula of one row."""
        return escape(self.column.template).replace("{r}", str(row)).replace("{q}", str(row - 1))


def _known(place: str, values: Sequence[Any]) -> Sequence[Any]:
    """Return values of formulas that a cell can hold."""
    for value in set(values):
        if value is None or not (isinstance(value, str) or math.isfinite(value)):
            raise ValueError(f"no cell holds {value!r}: {place} or below")
    return values


def _ends(place: str, style: int, formula: str, values: Sequence[Any]) -> list[str]:
    """Return cells from behind their row number on; equal values are rendered once."""
    different = set(values)
    for value in different:
        if (value is None and formula) or not (value is None or isinstance(value, str) or math.isfinite(value)):
            raise ValueError(f"no cell holds {value!r}: {place} or below")
    ends = {value: _end(style, formula, value) for value in different}
    return list(map(ends.__getitem__, values))


def _for_each(texts: Mapping[Any, str], values: Sequence[Any]) -> Piece:
    """Return the texts of values, one for all of them where they have the same."""
    return next(iter(texts.values())) if len(set(texts.values())) == 1 else list(map(texts.__getitem__, values))


def _look(style: int) -> str:
    return f'" s="{style}"' if style else '"'


def _tail(value: Any) -> tuple[str, str]:
    """Return what the cell of a formula says of its value: its kind, and what follows the formula."""
    if isinstance(value, str):
        return ' t="str"', f"<v>{escape(value)}</v></c>"
    number = repr(float(value) + 0.0).removesuffix(".0")  # adding 0 takes the sign of a zero away
    return "", f"<v>{number}</v></c>"


def _end(style: int, formula: str, value: Any) -> str:
    look = _look(style)
    if value is None or (value == "" and not formula):
        return f"{look}/>"
    if formula or not isinstance(value, str):
        kind, tail = _tail(value)
        return f"{look}{kind}>{formula}{tail}"
    keep = ' xml:space="preserve"' if value != value.strip() or "\n" in value else ""
    return f'{look} t="inlineStr"><is><t{keep}>{escape(value)}</t></is></c>'
