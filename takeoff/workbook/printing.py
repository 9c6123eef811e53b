"""How sheets print: paper, scale, page breaks, headings on every page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from takeoff.engine.expr import Array
from takeoff.engine.tables import Field
from takeoff.workbook.file.rows import SheetRows
from takeoff.workbook.file.styles import TABS
from takeoff.workbook.layout import ROW_POINTS, Spot
from takeoff.workbook.paging import Area, areas_of, breaks_of, going_on, many_long, pages_along, points, tops_of

CAUTION = "Counts and estimates only. The adopted code, the authority having jurisdiction and licensed practice decide."
LEAST = {"result": 0.78, "input": 0.67, "catalog": 0.56, "working": 0.56}
"""Smallest scale of print by kind of sheet: 9 pt print at 7 pt on results, at 6 pt on inputs, at 5 pt on workings."""

PAPERS = (
    ("portrait", Worksheet.PAPERSIZE_LETTER, 8.5, 11.0),
    ("landscape", Worksheet.PAPERSIZE_LETTER, 11.0, 8.5),
    ("portrait", Worksheet.PAPERSIZE_TABLOID, 11.0, 17.0),
    ("landscape", Worksheet.PAPERSIZE_TABLOID, 17.0, 11.0),
)
"""Papers to choose from, the handiest first: orientation, size, width and height in inches."""

LETTER = PageMargins(left=0.35, right=0.35, top=0.35, bottom=0.45, header=0.2, footer=0.2)
"""Margins of a letter page that is full, and has no header."""

LETTER_ROW_POINTS = 10.5
"""Height of a row of 9 pt print on such a page."""

FULL = PageMargins(left=0.3, right=0.3, top=0.45, bottom=0.4, header=0.25, footer=0.2)
"""Margins of tables, which fill their pages."""

SIDES, ENDS = FULL.left + FULL.right, FULL.top + FULL.bottom
"""Inches that the margins of tables take across and along."""

PAGE_ROW_POINTS = 12.5
"""Height of a row that has none of its own on a page that is more than tables; said in the file: programs differ."""

NUMBERED = ("working", "catalog")
"""Kinds of sheet that print the numbers of rows and the letters of columns, as formulas name them.

A sheet repeats the same columns on all of its pages: where long tables stand side by side, below short ones that share
their columns, keys of one would stand beside rows of another. By its number a row is found again on the next page.
"""

NUMBERS_IN, LETTERS_IN = 0.42, 0.18
"""Inches that they take across and along, at full scale."""

DIGIT = 7.42
"""Points of a screen, 96 to the inch, that a unit of a column's width takes at most: a digit of plain cells."""


def inches(sheet: Worksheet, first: int, last: int) -> float:
    """Return the width of columns of a sheet on paper, at full scale."""
    given = sheet.column_dimensions
    letters = (get_column_letter(n) for n in range(first, last + 1))
    return sum((given[x].width if x in given else 8.43) * DIGIT for x in letters) / 96


def heads_and_feet(sheet: Worksheet, kind: str) -> None:
    """Put file, sheet, page, date and caution on every page."""
    sheet.sheet_properties.tabColor = TABS[kind]
    sheet.page_margins = PageMargins(left=0.4, right=0.4, top=0.7, bottom=0.7, header=0.3, footer=0.3)
    sheet.oddHeader.left.text, sheet.oddHeader.center.text, sheet.oddHeader.right.text = "&F", "&A", "&D"
    sheet.oddFooter.left.text, sheet.oddFooter.right.text = CAUTION, "Page &P of &N"
    sheet.oddFooter.left.size = 7
    sheet.sheet_view.showGridLines = False
    sheet.sheet_view.zoomScale = 90
    sheet.sheet_format.defaultRowHeight, sheet.sheet_format.customHeight = PAGE_ROW_POINTS, True


def print_page(sheet: Worksheet, kind: str, upright: bool = False, high: int = 1) -> None:
    """Print a page that is more than tables: one page wide and so many pages high, 0 for as many as it takes."""
    heads_and_feet(sheet, kind)
    width = sum(d.width for d in sheet.column_dimensions.values())
    sheet.page_setup.orientation = "portrait" if upright else "landscape"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_LETTER if width <= WIDE else sheet.PAPERSIZE_TABLOID
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, high


def full_scale(sheet: Worksheet, kind: str) -> None:
    """Print on upright letter pages at full scale, in letters of 9 points, caution and page number too."""
    heads_and_feet(sheet, kind)
    sheet.page_margins, sheet.page_setup.orientation = FULL, "portrait"
    sheet.page_setup.paperSize, sheet.page_setup.scale = sheet.PAPERSIZE_LETTER, 100
    sheet.sheet_properties.pageSetUpPr.fitToPage = False
    sheet.oddFooter.left.size = sheet.oddFooter.right.size = 9


def fill_letter(sheet: Worksheet) -> None:
    """Print on all of a letter page: small margins, file and day in the foot, no header."""
    sheet.page_margins, sheet.sheet_format.defaultRowHeight = LETTER, LETTER_ROW_POINTS
    sheet.page_setup.paperSize = sheet.PAPERSIZE_LETTER
    sheet.oddHeader.left.text = sheet.oddHeader.center.text = sheet.oddHeader.right.text = None
    sheet.oddFooter.right.text = "&F, &A, &D, page &P of &N"
    sheet.oddFooter.right.size = sheet.oddFooter.left.size = 9


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
    sheet.page_margins, sheet.sheet_format.defaultRowHeight = FULL, ROW_POINTS
    spots = [s for s in spots if not last or s.first_column <= last]
    ends = [_end(s, workings) for s in spots]
    apart = areas_of(spots, [min(end, last) if last else end for end in ends])
    together = [Area(1, max(a.last for a in apart), 1, max(a.bottom for a in apart))]
    tops = tops_of(rows)
    ways = (apart,) if workings or len(apart) == 1 else (apart, together)
    across = along = 0.0
    if kind in NUMBERED:
        sheet.print_options.headings, across, along = True, NUMBERS_IN, LETTERS_IN
    paper, scale, areas = _paper(sheet, ways, tops, spots, LEAST[kind], (across, along))
    orientation, size, width, height = paper
    sheet.page_setup.orientation, sheet.page_setup.paperSize = orientation, size
    sheet.sheet_properties.pageSetUpPr.fitToPage = False
    sheet.page_setup.scale = int(scale * 100)
    long = [s for s in spots if s.long]
    if long:
        sheet.print_title_rows = f"{long[0].header_row - 1}:{long[0].header_row}"
    if len(areas) == 1 and not many_long(spots):
        (area,) = areas
        firsts = _across(sheet, area, (width - SIDES) / scale - across, inches(sheet, 1, _keys(spots)))
        if len(firsts) > 1:
            sheet.print_title_cols = f"A:{get_column_letter(_keys(spots))}"
            top = long[0].header_row - 1 if long else 1
            # a part of its own: a title that the repeated columns cut would stand above each
            areas = [
                Area(first, following - 1, 1 if first == 1 else top, area.bottom)
                for first, following in pairwise([*firsts, area.last + 1])
            ]
    room = ((height - ENDS) / (int(scale * 100) / 100) - along) * 72
    breaks = breaks_of(tops, spots, room)
    if len(areas) == 1 and many_long(spots):
        areas = list(
            going_on(areas[0], tops, [(s, e) for s, e in zip(spots, ends, strict=True) if s.long], breaks, room)
        )
    sheet.print_area = ",".join(
        f"{get_column_letter(a.first)}{a.top}:{get_column_letter(a.last)}{a.bottom}" for a in areas
    )
    for row in breaks:
        sheet.row_breaks.append(Break(id=row))


def _keys(spots: Sequence[Spot]) -> int:
    """Return how many columns of keys are repeated where a table breaks by columns."""
    first = next((s for s in spots if s.long), spots[0])
    return max(1, min(2, sum(isinstance(c, Field) and c.role == "key" for c in first.shown)))


def _end(spot: Spot, workings: Mapping[str, str]) -> int:
    """Return the last column of a table that is printed."""
    names = [c.name for c in spot.shown]
    shown = names.index(workings[spot.table.name]) if spot.table.name in workings else len(names)
    return spot.first_column + shown - 1


Paper = tuple[str, str, float, float]


def _paper(
    sheet: Worksheet,
    ways: Sequence[Sequence[Area]],
    tops: Array,
    spots: Sequence[Spot],
    least: float,
    edge: tuple[float, float],
) -> tuple[Paper, float, Sequence[Area]]:
    """Return the paper that takes the fewest pages, the scale, and what begins a page: least where there are many."""
    aside, above = edge[0], edge[1] * 72
    heads = [points(tops, s.header_row - 1, s.header_row) for s in spots if s.long][:1]

    def pages(paper: Paper, areas: Sequence[Area]) -> tuple[int, float]:
        width, height = paper[2] - SIDES, (paper[3] - ENDS) * 72
        whole = max(inches(sheet, a.first, a.last) for a in areas) + aside
        tall = max(points(tops, a.top, a.bottom) for a in areas) + above
        repeated = inches(sheet, 1, _keys(spots)) if len(areas) == 1 and not many_long(spots) else 0
        scale = max(least, min(1.0, width / whole))
        if tall * scale > height:
            scale = max(least, min(scale, height / tall))
        count, room = 0, height / scale - above
        for area in areas:
            breaks = (row for row in breaks_of(tops, spots, room) if area.top <= row < area.bottom)
            edges = pairwise([area.top - 1, *breaks, area.bottom])
            along = sum(pages_along(points(tops, a + 1, z), room, *heads) for a, z in edges)
            count += along * len(_across(sheet, area, width / scale - aside, repeated))
        return count, scale

    found = [(pages(paper, areas), paper, areas) for paper in PAPERS for areas in ways]
    (_, scale), paper, areas = min(found, key=lambda way: (way[0][0], way[1][2] * way[1][3]))
    return paper, scale, areas


def _across(sheet: Worksheet, area: Area, room: float, repeated: float) -> list[int]:
    """Return the columns that begin a page where columns stand side by side: none is cut, and keys are repeated."""
    found, used = [area.first], 0.0
    for column in range(area.first, area.last + 1):
        wide = inches(sheet, column, column)
        if used and used + wide > room * 1.001:
            found, used = [*found, column], repeated
        used += wide
    return found
