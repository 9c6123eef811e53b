"""The rows of a sheet as text: cells with their values and, where they are computed, the formulas behind them.

A column of one formula is written as a shared formula of the file format: its first cell carries the formula and
the others name it, for a file of about half the size in less than half the time. Nothing in this module knows
what the workbook is about.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, reduce
from itertools import chain, pairwise
from typing import Any

import numpy as np
from openpyxl.utils import get_column_letter

from takeoff.workbook.file.pieces import Part, Piece, formula_pieces, row_by_row, rows_as_texts

CHUNK = 256
"""Rows rendered at once: a thousand take no less time, and 20 MB more on a wide sheet."""

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


@dataclass(frozen=True, slots=True)
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

    def __post_init__(self) -> None:
        lengths = {len(column.values) for column in self.columns}
        if len(lengths) > 1:
            raise ValueError(f"columns of a block have {sorted(lengths)} rows")

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
    _check(place, {cell.value}, bool(formula))
    return f'<c r="{place}{_end(_look(cell.style), formula, cell.value)}'


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
        numbers = rows_as_texts(start, end)
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

    @cached_property
    def template(self) -> str:
        """The template of its formulas as it stands in XML."""
        return escape(self.column.template)

    @cached_property
    def is_shared(self) -> bool:
        """Whether its formula is written once."""
        alone = self.block.first_row == self.block.last_row
        return not alone and not self.column.fills and may_be_shared(self.column.template)

    def ends(self, start: int, end: int) -> list[Piece]:
        """Return the cells of some rows, each from behind its row number on."""
        chunk = slice(start - self.block.first_row, end - self.block.first_row)
        values = self.column.values[chunk]
        values = values.tolist() if isinstance(values, np.ndarray) else values
        place, look = f"{self.letter}{start}", _look(self.column.style)
        different = set(values)
        _check(place, different, bool(self.template))
        if self.template and not self.is_shared:
            kinds = _for_each({v: f"{_kind(v)}><f>" for v in different}, values)
            closes = _for_each({v: f"</f>{_shown(v)}" for v in different}, values)
            return [look, kinds, *formula_pieces(self.template, self.column.fills, start, chunk), closes]
        formula = f'<f t="shared" si="{self.number}"/>' if self.template else ""
        ends = _for_each({v: _end(look, formula, v) for v in different}, values)
        if self.template and start == self.block.first_row:
            cells = f"{place}:{self.letter}{self.block.last_row}"
            whole = f'<f t="shared" ref="{cells}" si="{self.number}">{self.formula(start)}</f>'
            below = [ends] * (len(values) - 1) if isinstance(ends, str) else ends[1:]
            return [[_end(look, whole, values[0]), *below]]
        return [ends]

    def formula(self, row: int) -> str:
        """Return the formula of one row."""
        return self.template.replace("{r}", str(row)).replace("{q}", str(row - 1))


def _check(place: str, different: Collection[Any], is_formula: bool) -> None:
    """Refuse values that no cell can hold; one without a formula may be blank."""
    for value in different:
        fits = not is_formula if value is None else isinstance(value, str) or math.isfinite(value)
        if not fits:
            raise ValueError(f"no cell holds {value!r}: {place} or below")


def _for_each(texts: Mapping[Any, str], values: Sequence[Any]) -> Piece:
    """Return the texts of values, one for all of them where they have the same."""
    first = next(iter(texts.values()))
    return first if all(text == first for text in texts.values()) else list(map(texts.__getitem__, values))


def _look(style: int) -> str:
    return f'" s="{style}"' if style else '"'


def _kind(value: Any) -> str:
    """Return what the cell of a formula says of the kind of its value."""
    return ' t="str"' if isinstance(value, str) else ""


def _shown(value: Any) -> str:
    """Return the value in a cell, and its end."""
    if isinstance(value, str):
        return f"<v>{escape(value)}</v></c>"
    number = repr(float(value) + 0.0).removesuffix(".0")  # adding 0 takes the sign of a zero away
    return f"<v>{number}</v></c>"


def _end(look: str, formula: str, value: Any) -> str:
    """Return a cell from its look on; equal values of a column are rendered once."""
    if not isinstance(value, str) and value is not None:
        return f"{look}>{formula}{_shown(value)}"
    if formula:
        return f"{look}{_kind(value)}>{formula}{_shown(value)}"
    if not value:
        return f"{look}/>"
    keep = ' xml:space="preserve"' if value != value.strip() or "\n" in value else ""
    return f'{look} t="inlineStr"><is><t{keep}>{escape(value)}</t></is></c>'
