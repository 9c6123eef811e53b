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
from functools import partial
from itertools import chain, repeat
from typing import Any, Protocol

import numpy as np
from openpyxl.utils import get_column_letter

CHUNK = 4096
"""Rows rendered at once."""

_ESCAPES = re.compile(r"[&<>\r]|_x[0-9A-Fa-f]{4}_")
_CELL = r"\$?[A-Z]{1,3}\$?(?:\d+|\{[rq]\})"
_PLAIN = re.compile(rf'"[^"]*"|{_CELL}:{_CELL}')
"""Texts in a formula, and ranges between two cells: nothing in them bars it from being shared."""
_TOKEN = re.compile(r"(\{[rq]\}|\{k\d+\})")
"""Parts of a template that differ from row to row."""
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


class Part(Protocol):
    """A part of a formula that differs from row to row."""

    def rows(self, chunk: slice) -> list[str]:
        """Return the part in every row of a chunk, rows of the block counted from 0."""


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
        """Yield the rows from top to bottom."""
        blocks = sorted(self.blocks, key=lambda b: b.first_row)
        loose = sorted({*self.cells, *self.heights})
        shared = 0
        for block in [*blocks, None]:
            while loose and (block is None or loose[0] < block.first_row):
                yield self._row(loose.pop(0)).encode()
            if block is not None:
                yield from _block_rows(block, shared)
                shared += len(block.columns)
                loose = [row for row in loose if row > block.last_row]

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


def _block_rows(block: Block, shared: int) -> Iterator[bytes]:
    """Yield a block by chunks of rows: tables of texts, each joined at once; shared formulas count from `shared`."""
    columns = [
        _Column(get_column_letter(block.first_column + n), column, block, shared + n)
        for n, column in enumerate(block.columns)
    ]
    for start in range(0, block.last_row - block.first_row + 1, CHUNK):
        chunk, first = slice(start, start + CHUNK), block.first_row + start
        numbers = [str(row) for row in range(first, min(first + CHUNK, block.last_row + 1))]
        same = partial(repeat, times=len(numbers))
        heights = [f' ht="{h}" customHeight="1"' for h in block.heights[chunk]] or same("")
        texts: list[Iterable[str]] = [same('<row r="'), numbers, same('"'), heights, same(">")]
        for column in columns:
            texts += [same(f'<c r="{column.letter}'), numbers, column.ends(first, chunk)]
        texts.append(same("</row>"))
        yield "".join(chain.from_iterable(zip(*texts, strict=True))).encode()


@dataclass(frozen=True)
class _Column:
    """A column of a block in writing: its letter and the number of its shared formula."""

    letter: str
    column: BlockColumn
    block: Block
    number: int

    def ends(self, first: int, chunk: slice) -> list[str]:
        """Return the cells of a chunk, each from behind its row number on."""
        values = self.column.values[chunk]
        values = values.tolist() if isinstance(values, np.ndarray) else values
        place, style, block = f"{self.letter}{first}", self.column.style, self.block
        if not self.column.template:
            return _ends(place, style, "", values)
        shared = not self.column.fills and may_be_shared(self.column.template)
        if block.first_row == block.last_row or not shared:
            formulas = self.formulas(first, chunk, len(values))
            tails = {v: _tail(v) for v in set(_known(place, values))}
            begins = {v: f"{_look(style)}{kind}><f>" for v, (kind, _) in tails.items()}
            closes = {v: f"</f>{tail}" for v, (_, tail) in tails.items()}
            return [begins[v] + f + closes[v] for f, v in zip(formulas, values, strict=True)]
        ends = _ends(place, style, f'<f t="shared" si="{self.number}"/>', values)
        if first == block.first_row:
            cells = f"{place}:{self.letter}{block.last_row}"
            whole = f'<f t="shared" ref="{cells}" si="{self.number}">{self.formula(first)}</f>'
            ends[:1] = _ends(place, style, whole, values[:1])
        return ends

    def formulas(self, first: int, chunk: slice, count: int) -> list[str]:
        """Return the formulas of a chunk: pieces of the template and what differs, joined row by row."""
        fills = {token: part.rows(chunk) for token, part in self.column.fills.items()}
        rows = range(first, first + count)
        pieces: list[Iterable[str]] = []
        for piece in _TOKEN.split(escape(self.column.template)):
            if piece == "{r}":
                pieces.append(map(str, rows))
            elif piece == "{q}":
                pieces.append(str(row - 1) for row in rows)
            else:
                pieces.append(fills[piece] if piece in fills else repeat(piece, count))
        return list(map("".join, zip(*pieces, strict=True)))

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
    return [ends[value] for value in values]


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
