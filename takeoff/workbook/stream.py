"""Write a workbook whose formula cells carry their computed values, fast and always the same bytes.

openpyxl makes everything but the rows: styles, tables, names, validation, charts, print set-up. The
rows are rendered here as text, a column at a time from one template, and streamed into the sheet where
openpyxl would have written its own. Nothing in this module knows what the workbook is about.
"""

from __future__ import annotations

import datetime as dt
import io
import math
import os
import re
import tempfile
import zipfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np
from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet._writer import WorksheetWriter
from openpyxl.worksheet.dimensions import SheetDimension
from openpyxl.worksheet.hyperlink import Hyperlink, HyperlinkList
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.writer.excel import ExcelWriter
from openpyxl.xml.functions import Element

from takeoff.workbook.described import Described

CHUNK = 4096
BYTES_OF_A_CELL = 150
"""More than a cell of ours takes before it is packed: tells which sheets need the large form of a zip member."""
_MASK = os.umask(0)
os.umask(_MASK)
NEW_FILE = 0o666 & ~_MASK
"""Rights of a file as if it had been made under its own name, not as a temporary one."""
STAMP = dt.datetime(2000, 1, 1)
"""Fixed date of every part of the file: the same input gives the same bytes."""

_ROWS = re.compile(r"\{[rq]\}")
_ESCAPES = re.compile(r"[&<>\r]|_x[0-9A-Fa-f]{4}_")
_APP = (
    b'<?xml version="1.0"?><Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/'
    b'extended-properties"><Application>takeoff</Application></Properties>'
)


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
    """A column of a block: its values and, for formulas, a template; `{r}` is the row, `{q}` the row above."""

    values: Sequence[Any] | np.ndarray[Any, Any]
    style: int = 0
    template: str = ""


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
        for block in [*blocks, None]:
            while loose and (block is None or loose[0] < block.first_row):
                yield self._row(loose.pop(0)).encode()
            if block is not None:
                yield from _block_rows(block)
                loose = [row for row in loose if row > block.last_row]

    def _row(self, row: int) -> str:
        height = f' ht="{self.heights[row]}" customHeight="1"' if row in self.heights else ""
        cells = (_cell(get_column_letter(c), row, cell) for c, cell in sorted(self.cells.get(row, {}).items()))
        return f'<row r="{row}"{height}>{"".join(cells)}</row>'


def _cell(letter: str, row: int, cell: Cell) -> str:
    style = f' s="{cell.style}"' if cell.style else ""
    return _mixed(letter, row, style, escape(cell.formula), cell.value)


def _block_rows(block: Block) -> Iterator[bytes]:
    count = len(block.columns[0].values)
    columns = [(get_column_letter(block.first_column + n), c) for n, c in enumerate(block.columns)]
    for start in range(0, count, CHUNK):
        first = block.first_row + start
        cells = [_column_cells(letter, c, first, _plain(c.values[start : start + CHUNK])) for letter, c in columns]
        heights = [f' ht="{h}" customHeight="1"' for h in block.heights[start : start + CHUNK]] or [""] * len(cells[0])
        lines = (
            f'<row r="{first + n}"{height}>{"".join(line)}</row>'
            for n, (height, line) in enumerate(zip(heights, zip(*cells, strict=True), strict=True))
        )
        yield "".join(lines).encode()


def _plain(values: Any) -> list[Any]:
    """Return Python values; whole numbers without a decimal point, which also makes the file smaller."""
    array = values if isinstance(values, np.ndarray) else None
    if array is not None and array.dtype.kind == "f" and np.all(array == np.floor(array)):
        return list(array.astype(np.int64).tolist())
    return list(array.tolist()) if array is not None else list(values)


def _column_cells(letter: str, column: BlockColumn, first: int, values: Sequence[Any]) -> list[str]:
    """Render one column of a chunk; columns of one kind take the fast way."""
    style = f' s="{column.style}"' if column.style else ""
    formula = escape(column.template).replace("%", "%%")
    numbers = _numbers_of(_ROWS.findall(formula))
    rows = range(first, first + len(values))
    kinds = set(map(type, values)) if formula else set()
    if kinds and kinds <= {int, float}:
        if not all(map(math.isfinite, values)):
            raise ValueError(f"{letter} has no finite value from row {first} on")
        line = f'<c r="{letter}%d"{style}><f>{_ROWS.sub("%d", formula)}</f><v>%r</v></c>'
        return [line % (*numbers(r), v) for r, v in zip(rows, values, strict=True)]
    if kinds == {str}:
        line = f'<c r="{letter}%d"{style} t="str"><f>{_ROWS.sub("%d", formula)}</f><v>%s</v></c>'
        known = {v: escape(v) for v in set(values)}
        return [line % (*numbers(r), known[v]) for r, v in zip(rows, values, strict=True)]
    body = formula.replace("%%", "%")
    return [
        _mixed(letter, r, style, body.replace("{r}", str(r)).replace("{q}", str(r - 1)), v)
        for r, v in zip(rows, values, strict=True)
    ]


def _numbers_of(marks: Sequence[str]) -> Callable[[int], tuple[int, ...]]:
    """Return what gives the row numbers of a cell: its own, and one for each mark of its formula."""
    if "{q}" not in marks:
        return lambda row: (row,) * (len(marks) + 1)
    return lambda row: (row, *(row - (mark == "{q}") for mark in marks))


def _mixed(letter: str, row: int, style: str, formula: str, value: Any) -> str:
    place = f'<c r="{letter}{row}"{style}'
    if value is None or (value == "" and not formula):
        return f"{place}/>" if style else ""
    if isinstance(value, str):
        if formula:
            return f'{place} t="str"><f>{formula}</f><v>{escape(value)}</v></c>'
        keep = ' xml:space="preserve"' if value != value.strip() or "\n" in value else ""
        return f'{place} t="inlineStr"><is><t{keep}>{escape(value)}</t></is></c>'
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"{letter}{row} has no finite value")
    shown = repr(int(number)) if number.is_integer() else repr(number)
    return f"{place}><f>{formula}</f><v>{shown}</v></c>" if formula else f"{place}><v>{shown}</v></c>"


class _SheetWriter(WorksheetWriter):
    """openpyxl's sheet writer, with a marker where the rows go."""

    def __init__(self, sheet: Worksheet, rows: SheetRows) -> None:
        self.rows_of_sheet = rows
        super().__init__(sheet, out=io.BytesIO())

    def write_dimensions(self) -> None:
        row, column = self.rows_of_sheet.extent()
        self.xf.send(SheetDimension(f"A1:{get_column_letter(column)}{row}").to_tree())

    def write_rows(self) -> None:
        xf = self.xf.send(True)
        with xf.element("sheetData"):
            xf.write(Element("rows"))
        self.xf.send(None)

    def write_hyperlinks(self) -> None:
        links = [Hyperlink(ref=ref, location=target, display=target) for ref, target in self.rows_of_sheet.links]
        if links:
            self.xf.send(HyperlinkList(links).to_tree())


class _FixedZip(zipfile.ZipFile):
    """A zip whose members carry one date and no trace of the machine."""

    def member(self, name: str) -> zipfile.ZipInfo:
        """Return the description of a member."""
        info = zipfile.ZipInfo(name, STAMP.timetuple()[:6])
        info.compress_type, info.external_attr, info.create_system = zipfile.ZIP_DEFLATED, 0o600 << 16, 0
        info._compresslevel = self.compresslevel  # type: ignore[attr-defined]
        return info

    def writestr(self, name: Any, data: Any, *args: Any, **more: Any) -> None:  # type: ignore[override]
        """Write a member, with our own program name in the properties."""
        super().writestr(self.member(name), _APP if name == "docProps/app.xml" else data)


class _BookWriter(ExcelWriter):
    """openpyxl's book writer, streaming the rows of each sheet into the archive."""

    def __init__(self, book: Workbook, archive: _FixedZip, rows: Mapping[str, SheetRows]) -> None:
        super().__init__(book, archive)
        self.rows, self.archive = rows, archive

    def write_worksheet(self, sheet: Worksheet) -> None:
        sheet._drawing = Described()
        sheet._drawing.charts, sheet._drawing.images = sheet._charts, sheet._images
        writer = _SheetWriter(sheet, self.rows[sheet.title])
        writer.write()
        before, after = re.split(rb"<rows\s*/>|<rows></rows>", writer.out.getvalue())
        rows = self.rows[sheet.title]
        large = rows.extent()[0] * rows.extent()[1] * BYTES_OF_A_CELL > 1 << 31
        with self.archive.open(self.archive.member(sheet.path[1:]), "w", force_zip64=large) as out:
            for piece in chain((before,), rows.xml(), (after,)):
                out.write(piece)
        sheet._rels = writer._rels
        self.manifest.append(sheet)


def save(book: Workbook, path: Path, rows: Mapping[str, SheetRows]) -> None:
    """Write the workbook beside its target and move it into place.

    Parameters
    ----------
    book
        openpyxl workbook with empty sheets.
    path
        Target; an existing file stays as it is until the new one is whole.
    rows
        Rows of every sheet, by title.
    """
    book.properties.created = book.properties.modified = STAMP
    book.properties.creator = "takeoff"
    handle, name = tempfile.mkstemp(prefix=".takeoff-", suffix=".xlsx", dir=path.parent)
    pending = Path(name)
    try:
        with os.fdopen(handle, "wb") as out, _FixedZip(out, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
            _BookWriter(book, archive, rows).write_data()
        pending.chmod(NEW_FILE)
        pending.replace(path)
    except BaseException:
        pending.unlink(missing_ok=True)
        raise
