"""How sheets print: paper, scale, page breaks, headings on every page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import ceil

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from takeoff.engine.tables import Field
from takeoff.workbook.file.rows import SheetRows
from takeoff.workbook.file.styles import TABS
from takeoff.workbook.layout import Spot

CAUTION = "Counts and estimates only. The adopted code, the authority having jurisdiction and licensed practice decide."
DIGIT, PAD = 7.0, 5.0
"""Points of a screen, 96 to the inch, that a unit of a column's width and its margins take."""

LEAST = {"result": 0.78, "input": 0.67, "catalog": 0.56, "working": 0.56}
"""Smallest scale of print by kind of sheet: 9 pt print at 7 pt on results, at 6 pt on inputs, at 5 pt on workings."""

PAPERS = (
    ("portrait", Worksheet.PAPERSIZE_LETTER, 8.5, 11.0),
    ("landscape", Worksheet.PAPERSIZE_LETTER, 11.0, 8.5),
    ("portrait", Worksheet.PAPERSIZE_TABLOID, 11.0, 17.0),
    ("landscape", Worksheet.PAPERSIZE_TABLOID, 17.0, 11.0),
)
"""Papers to choose from, the handiest first: orientation, size, width and height in inches."""

SIDES, ENDS = 0.8, 1.4
"""Inches that the margins take across and along."""

FULL = PageMargins(left=0.35, right=0.35, top=0.35, bottom=0.45, header=0.2, footer=0.2)
"""Margins of a page that is full, and has no header."""

FULL_ROW_POINTS = 10.5
"""Height of a row of 9 pt print on such a page."""

ROW_POINTS = 12.5
"""Height of a row that has none of its own; said in the file, for programs differ."""

SPARE = 1.03
"""What programs take more than these measures say: their columns are a little wider, their rows a little higher."""

FEWEST = 12
"""Lines of a long table that begin on a page, or else it begins on the next one."""


def inches(sheet: Worksheet, first: int, last: int) -> float:
    """Return the width of columns of a sheet on paper, at full scale."""
    given = sheet.column_dimensions
    letters = (get_column_letter(n) for n in range(first, last + 1))
    return sum((given[x].width if x in given else 8.43) * DIGIT + PAD for x in letters) / 96 * SPARE


def heads_and_feet(sheet: Worksheet, kind: str) -> None:
    """Put file, sheet, page, date and caution on every page."""
    sheet.sheet_properties.tabColor = TABS[kind]
    sheet.page_margins = PageMargins(left=0.4, right=0.4, top=0.7, bottom=0.7, header=0.3, footer=0.3)
    sheet.oddHeader.left.text, sheet.oddHeader.center.text, sheet.oddHeader.right.text = "&F", "&A", "&D"
    sheet.oddFooter.left.text, sheet.oddFooter.right.text = CAUTION, "Page &P of &N"
    sheet.oddFooter.left.size = 7
    sheet.sheet_view.showGridLines = False
    sheet.sheet_view.zoomScale = 90
    sheet.sheet_format.defaultRowHeight, sheet.sheet_format.customHeight = ROW_POINTS, True


def print_page(sheet: Worksheet, kind: str, upright: bool = False, high: int = 1) -> None:
    """Print a page that is more than tables: one page wide and so many pages high, 0 for as many as it takes."""
    heads_and_feet(sheet, kind)
    width = sum(d.width for d in sheet.column_dimensions.values())
    sheet.page_setup.orientation = "portrait" if upright else "landscape"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_LETTER if width <= WIDE else sheet.PAPERSIZE_TABLOID
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, high


def fill_letter(sheet: Worksheet) -> None:
    """Print on all of a letter page: small margins, file and day in the foot, no header."""
    sheet.page_margins, sheet.sheet_format.defaultRowHeight = FULL, FULL_ROW_POINTS
    sheet.page_setup.paperSize = sheet.PAPERSIZE_LETTER
    sheet.oddHeader.left.text = sheet.oddHeader.center.text = sheet.oddHeader.right.text = None
    sheet.oddFooter.right.text = "&F, &A, &D, page &P of &N"
    sheet.oddFooter.right.size = sheet.oddFooter.left.size


WIDE = 160.0
"""Widths of all columns together that a small sheet of paper shows in readable size."""


def print_tables(
    sheet: Worksheet, rows: SheetRows, spots: Sequence[Spot], kind: str, last: int, workings: Mapping[str, str]
) -> None:
    """Print a sheet of tables: readable, a short table whole on one page, headings of a long one on every page.

    The columns must have their widths: they decide on the paper and on the scale. Columns that do not fit at the
    smallest scale break, with the keys of the table repeated where it is the only long one. Workings to the right of
    the column `last`, 0 for none, or from a column of a long table on, are not printed.
    """
    heads_and_feet(sheet, kind)
    spots = [s for s in spots if not last or s.first_column <= last]
    ends = [_end(s, workings) for s in spots]
    areas = _areas(spots, [min(end, last) if last else end for end in ends])
    heights = {b.first_row + n: float(h) for b in rows.blocks for n, h in enumerate(b.heights)} | rows.heights
    paper, scale = _paper(sheet, areas, heights, spots, LEAST[kind])
    orientation, size, width, height = paper
    sheet.page_setup.orientation, sheet.page_setup.paperSize = orientation, size
    sheet.sheet_properties.pageSetUpPr.fitToPage = False
    sheet.page_setup.scale = int(scale * 100)
    long = [s for s in spots if s.long]
    if long:
        sheet.print_title_rows = f"{long[0].header_row - 1}:{long[0].header_row}"
    if len(areas) == 1 and not many_long(spots) and inches(sheet, *areas[0][:2]) * scale > width - SIDES:
        sheet.print_title_cols = f"A:{get_column_letter(_keys(spots))}"
    # a sentence in the title that runs beyond the last column would add a page
    printed = areas if workings else [(1, max(z for _, z, _ in areas), max(row for *_, row in areas))]
    tops = {a: min((s.header_row for s in spots if s.long and s.first_column >= a), default=3) - 2 for a, *_ in areas}
    sheet.print_area = ",".join(
        f"{get_column_letter(a)}{1 if a == 1 else tops[a]}:{get_column_letter(z)}{row}" for a, z, row in printed
    )
    for row in _breaks(heights, spots, (height - ENDS) * 72 / (int(scale * 100) / 100)):
        sheet.row_breaks.append(Break(id=row))
    for first, *_ in () if workings else areas[1:]:
        sheet.col_breaks.append(Break(id=first - 1))


def _keys(spots: Sequence[Spot]) -> int:
    """Return how many columns of keys are repeated where a table breaks by columns."""
    first = next((s for s in spots if s.long), spots[0])
    return max(1, min(2, sum(isinstance(c, Field) and c.role == "key" for c in first.shown)))


Area = tuple[int, int, int]
"""First and last column of a part of a sheet that begins on a page of its own, and its last row."""


def _areas(spots: Sequence[Spot], ends: Sequence[int]) -> list[Area]:
    """Return the parts of a sheet: long tables that stand apart begin on a new page, unless a short one is above."""
    long = [s for s in spots if s.long]
    apart = [
        s.first_column
        for s in long[1:]
        if s.after > 0 and all(o.long or end < s.first_column for o, end in zip(spots, ends, strict=True))
    ]
    found = []
    for first, following in pairwise([1, *apart, max(ends) + 2]):
        mine = [(end, s.last_row) for s, end in zip(spots, ends, strict=True) if first <= s.first_column < following]
        found.append((first, max(end for end, _ in mine), max(row for _, row in mine)))
    return found


def _end(spot: Spot, workings: Mapping[str, str]) -> int:
    """Return the last column of a table that is printed."""
    names = [c.name for c in spot.shown]
    shown = names.index(workings[spot.table.name]) if spot.table.name in workings else len(names)
    return spot.first_column + shown - 1


Paper = tuple[str, str, float, float]


def _paper(
    sheet: Worksheet, areas: Sequence[Area], heights: Mapping[int, float], spots: Sequence[Spot], least: float
) -> tuple[Paper, float]:
    """Return the paper that takes the fewest pages, and the scale: the smallest one where there are many."""
    whole = max(inches(sheet, a, z) for a, z, _ in areas)
    tall = max(_points(heights, 1, row) for *_, row in areas)
    repeated = inches(sheet, 1, _keys(spots)) if len(areas) == 1 and not many_long(spots) else 0
    heads = [_points(heights, s.header_row - 1, s.header_row) for s in spots if s.long][:1]

    def pages(paper: Paper) -> tuple[int, float]:
        width, height = paper[2] - SIDES, (paper[3] - ENDS) * 72
        scale = max(least, min(1.0, width / whole))
        if tall * scale > height:
            scale = max(least, min(scale, height / tall))
        count = 0
        for first, last, end in areas:
            edges = [0, *(row for row in _breaks(heights, spots, height / scale) if row < end), end]
            along = sum(_along(_points(heights, a + 1, z), height / scale, *heads) for a, z in pairwise(edges))
            count += along * _across(sheet, first, last, width / scale, repeated)
        return count, scale

    best = min(PAPERS, key=lambda paper: (pages(paper)[0], paper[2] * paper[3]))
    return best, pages(best)[1]


def _along(tall: float, room: float, heads: float = 0) -> int:
    """Return how many pages rows take below each other; headings are repeated on every page but the first."""
    return 1 + max(0, ceil((tall - room) / (room - heads)))


def _across(sheet: Worksheet, first: int, last: int, room: float, repeated: float) -> int:
    """Return how many pages columns take side by side: none is cut, and keys are repeated."""
    count, used = 1, 0.0
    for column in range(first, last + 1):
        wide = inches(sheet, column, column)
        if used and used + wide > room * 1.001:
            count, used = count + 1, repeated
        used += wide
    return count


def many_long(spots: Sequence[Spot]) -> bool:
    """Return whether several long tables stand apart on a sheet."""
    return any(s.after > 0 for s in spots)


def _points(heights: Mapping[int, float], first: int, last: int) -> float:
    return sum(heights.get(row, ROW_POINTS) for row in range(first, last + 1)) * SPARE


def _breaks(heights: Mapping[int, float], spots: Sequence[Spot], room: float) -> list[int]:
    """Return the rows after which a page ends, so that a table begins on a new one where it would not end on this."""
    found, top = [], 1
    for start, last in sorted({(s.header_row - 2, s.first_row + FEWEST if s.long else s.last_row) for s in spots}):
        if start > top and _points(heights, top, last) > room >= _points(heights, start, last):
            found.append(start - 1)
            top = start
    return found
