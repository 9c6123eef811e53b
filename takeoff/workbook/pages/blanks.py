"""Blank sheets for readings as a workbook that prints well: how to time fairly, then a sheet for each worker."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.worksheet import Worksheet

from takeoff.drawing.raster import lines_needed
from takeoff.workbook.file.package import save
from takeoff.workbook.file.rows import Cell, SheetRows
from takeoff.workbook.file.styles import FONT, Styles

FAIRLY, FAIRLY_WIDTH = "How to time fairly", 126.0
LINE_POINTS, PAD = 11.5, 3.0
"""Height of one printed line, and what a row is higher than its lines."""

HAND = 36.0
"""Height of a row, at least: half an inch, room for a hand with a pencil."""

PAPER_INCHES, SIDE_INCHES = 11.0, 0.3
"""Width of letter paper that lies on its long side, and of the margin at each side."""


@dataclass(frozen=True)
class BlankColumn:
    """A column of the sheets: its heading, its width, and whether it is to be filled in."""

    name: str
    heading: str
    width: float
    blank: bool


@dataclass(frozen=True)
class BlankSheet:
    """A sheet of one worker: title, labels on top with their entries, row by row, and cells by column name."""

    title: str
    top: Sequence[Sequence[tuple[str, str]]]
    lines: Sequence[Mapping[str, object]]


LETTER = 9.5 * 96 / 72
"""Size of the letters in points of a screen: those of the crew pages, which print at 9 pt or more."""

LABEL_COLUMNS = (1, 3)
"""Where the labels on top stand; the entry of each stands in the next column."""


def write_blanks(
    path: Path, columns: Sequence[BlankColumn], sheets: Sequence[BlankSheet], advice: Sequence[str]
) -> None:
    """Write the workbook, whole or not at all.

    Parameters
    ----------
    path
        Target.
    columns
        Columns of the table of every sheet, under what stands on top: calibrate reads the filled sheets as they are.
    sheets
        One for each worker.
    advice
        Sentences of the page how to time fairly, which comes first.
    """
    file = Workbook()
    styles = Styles(file)
    rows = {FAIRLY: _fairly(file.worksheets[0], styles, advice)}
    for sheet in sheets:
        rows[sheet.title] = _readings(file.create_sheet(), styles, columns, sheet)
    save(file, path, rows.__getitem__)


def _readings(sheet: Worksheet, styles: Styles, columns: Sequence[BlankColumn], made: BlankSheet) -> SheetRows:
    rows = SheetRows()
    for place, column in enumerate(columns, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = column.width
    for number, labels in enumerate(made.top, start=1):
        rows.heights[number] = 20.0
        for place, (label, entry) in zip(LABEL_COLUMNS, labels, strict=False):
            rows.put(number, place, Cell(label, styles.index("crew head")))
            rows.put(number, place + 1, Cell(entry or None, styles.index("crew blank", "@")))
    head = len(made.top) + 1
    rows.heights[head] = 2 * LINE_POINTS + PAD
    for place, column in enumerate(columns, start=1):
        rows.put(head, place, Cell(column.heading, styles.index("crew head")))
    for number, line in enumerate(made.lines, start=head + 1):
        rows.heights[number] = max(HAND, PAD + LINE_POINTS * max(_lines(line, c) for c in columns))
        for place, column in enumerate(columns, start=1):
            form = "@" if column.blank else "General"  # 1:05 stays as it was typed
            style = styles.index("crew blank" if column.blank else "crew cell", form)
            rows.put(number, place, Cell(line.get(column.name), style))
    sheet.freeze_panes = f"A{head + 1}"
    _print(sheet, made.title)
    sheet.print_title_rows = f"1:{head}"
    return rows


def _lines(line: Mapping[str, object], column: BlankColumn) -> int:
    """Return how many lines the text of a cell takes, broken between words."""
    return lines_needed(str(line.get(column.name) or ""), LETTER, column.width * 7)


def _fairly(sheet: Worksheet, styles: Styles, advice: Sequence[str]) -> SheetRows:
    rows = SheetRows()
    sheet.column_dimensions["A"].width, sheet.column_dimensions["B"].width = 4, FAIRLY_WIDTH
    rows.put(1, 1, Cell(FAIRLY, styles.index("title")))
    rows.heights[1] = 26
    for number, text in enumerate(advice, start=1):
        rows.put(number + 1, 1, Cell(number, styles.index("crew bold")))
        rows.put(number + 1, 2, Cell(text, styles.index("crew cell")))
        rows.heights[number + 1] = LINE_POINTS * (1 + lines_needed(text, LETTER, FAIRLY_WIDTH * 7))
    _print(sheet, FAIRLY)
    return rows


def _print(sheet: Worksheet, title: str) -> None:
    """Landscape, one page wide, with room for hole punches."""
    sheet.title = title
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_LETTER
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_margins = PageMargins(
        left=SIDE_INCHES, right=SIDE_INCHES, top=0.55, bottom=0.5, header=0.25, footer=0.25
    )
    sheet.oddHeader.left.text, sheet.oddHeader.right.text = f"Time study: {title}", "&F"
    sheet.oddFooter.left.text = (
        "Dead work only. Times as 65 or 1:05, each of one person; less: interruptions in it. Codes, no names."
    )
    sheet.oddFooter.right.text = "Page &P of &N"
    for part in (sheet.oddHeader.left, sheet.oddHeader.right, sheet.oddFooter.left, sheet.oddFooter.right):
        part.font, part.size = FONT, 10
    sheet.sheet_view.showGridLines = False
