"""The crew pages: for each make-up type one printed page, its box drawn for two constructions, and its steps."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from openpyxl.drawing.image import Image
from openpyxl.formatting.rule import Rule
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.pagebreak import Break

from takeoff.drawing.box import draw_box
from takeoff.drawing.facts import box_facts
from takeoff.drawing.legend import draw_legend
from takeoff.drawing.raster import lines_needed, png
from takeoff.drawing.shapes import Drawing
from takeoff.model.boxes.types import CONTROL_COUNTS
from takeoff.model.order.crew_boxes import CAUTION, NONE_ALIKE, SIDES, WARNING
from takeoff.workbook.file.styles import CHANGED
from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import Page

FIRST_ROW = 7
"""Row of the first page: the rows above tell how to choose what is compared, and are not printed."""

WIDTHS = (3.0, 69.0, 12.5, 5.3, 5.3, 5.3, 5.3)
TEXT, CHANGE, LAST = 2, 3, len(WIDTHS)
DRAWN_COLUMN = LAST + 2
"""Beside the printed page: the drawings, and behind them what each showed when it was drawn."""

IMAGE_WIDTH, GAP = 640.0, 16.0
"""Width of a drawing, in points of a screen with 96 to the inch, and the most that lies between two of them."""

LINE_HEIGHT, PAD, BLANK_HEIGHT = 11.5, 2.0, 1.5
LETTER = 9.5 * 96 / 72
"""Size of the letters in points of a screen."""

MARGINS = PageMargins(left=0.3, right=0.3, top=0.5, bottom=0.45, header=0.22, footer=0.2)
PAGE_INCHES = (8.5 - 0.6, 11.0 - 0.95)
"""Width and height of a page of letter paper between its margins."""

SPARE = 1.03
"""What programs take more for a column than its width says."""

LEAST_SCALE = 0.95
"""Scale of print at which the letters have 9 pt; a box with more steps goes on on another page."""

FACTS_SHOWN = (
    ("circuit ends", "circuit_terminations", "0"),
    ("ground ends", "ground_terminations", "0"),
    ("secured at, ft", "near_ft", "0.0"),
    ("and every, ft", "interval_ft", "0.0"),
    ("box full, %", "full_pct", "0"),
    ("minutes", "minutes", "0.0"),
)
"""Figures of one box: label, column, number format."""

COUNTS = (("count_from", "0"), ("minutes_from", "0.0"), ("count_to", "0"), ("minutes_to", "0.0"))
HEADINGS = ("", "Step: how. WHY where it changes. SAFETY", "What changes", "from: ea", "from: min", "to: ea", "to: min")

SIGNED = "   ".join(
    ("Trainer " + "_" * 14, "Date " + "_" * 10, "Crew " + "_" * 14, *(f"{w}  [  ]" for w in ("Shown", "Tried", "Seen")))
)
AS_DRAWN, NOT_AS_DRAWN = "drawn as chosen", "DRAWING IS NOT AS CHOSEN NOW: build again"


@dataclass(frozen=True)
class _Source:
    """A table that the pages show: the reference to one of its cells, and its value."""

    page: Page
    spot: Spot

    def put(
        self, row: int, column: int, name: str, line: int, style: str, form: str = "General", say: str = ""
    ) -> None:
        """Show a cell of the table; `say` stands before it."""
        value = self.page.book.values(self.spot.table.name, name)[line]
        table, sheet = self.spot.table.name, self.page.sheet.title
        refs = self.page.refs
        here = (table, name) in refs.elsewhere
        formula = refs.formula(table, name, line, sheet) if here else refs.cell(table, name, line, sheet)
        if say:
            value, formula = f"{say}{value}", f'"{say}"&{formula}'
        self.page.put(row, column, value, style, formula=formula, form=form)

    def text(self, name: str, line: int) -> str:
        """Return a value of the table as text."""
        return str(self.page.book.values(self.spot.table.name, name)[line])


def fill_crew(page: Page, spots: Mapping[str, Spot]) -> None:
    """Write the crew pages.

    Parameters
    ----------
    page
        The sheet; its first rows are left to the caller.
    spots
        Places of all tables, by name.
    """
    boxes, lines = (_Source(page, spots[name]) for name in ("crew_boxes", "crew_lines"))
    types = _Source(page, spots["types"])
    page.put(5, 1, "Choose both plans on the sheet Inputs, crew pages: from and to; texts: sheet Minutes.", "note")
    for place, width in enumerate((*WIDTHS, 2.0, IMAGE_WIDTH / 7, 46.0), start=1):
        page.sheet.column_dimensions[get_column_letter(place)].width = width
    keys = list(dict.fromkeys(spots["crew_boxes"].table.data["type"]))
    order = list(spots["types"].table.data["type"])
    count = len(lines.spot.table) // len(keys)
    row = FIRST_ROW
    for number, key in enumerate(keys):
        line = 2 * number
        title = f"{key}, {number + 1} of {len(keys)}: "
        page.rows.heights[row] = 19
        types.put(row, 1, "description", order.index(key), "crew title", say=title)
        row = _fill_warning(page, boxes, row + 1, line)
        top = row
        row = _fill_box(page, boxes, row, line)
        row = _fill_steps(page, lines, row, number * count, count)
        row = _fill_foot(page, row)
        _put_drawings(page, boxes, top, row, line)
        page.sheet.row_breaks.append(Break(id=row - 1))


def _fill_warning(page: Page, boxes: _Source, row: int, line: int) -> int:
    """Write whether the fitting changes, and the hold point then; return the next row."""
    for name, high in zip(WARNING, (14, 14, 19), strict=True):
        boxes.put(row, 1, name, line + 1, "crew side")
        page.rows.heights[row] = high
        row += 1
    return row


def _fill_box(page: Page, boxes: _Source, row: int, line: int) -> int:
    """Write what is compared, its parts, and the figures of one box beside them; return the next row."""
    facts = _facts_shown(page)
    alike = boxes.text("alike", line)
    left: list[tuple[str, int, str, str]] = [
        (name, line + side, style, f"{SIDES[side].upper()} " if name == "says_plan" else "")
        for side in range(len(SIDES))
        for name, style in (("says_plan", "crew loud"), ("says_wired", "crew text"), ("says_parts", "crew wrapped"))
    ]
    left.append(("says_change", line, "crew loud", ""))
    for place, text in enumerate(("one box", *SIDES)):
        page.put(row, CHANGE + place, text, "crew middle" if place else "crew head")
    for place in range(max(len(left), len(facts) + 1)):
        page.rows.heights[row + place] = LINE_HEIGHT + 1
        if place < len(left):
            name, at, style, say = left[place]
            boxes.put(row + place, TEXT, name, at, style, say=say)
            high = _lines(f"{say}{boxes.text(name, at)}", TEXT) if style == "crew wrapped" else 1
            page.rows.heights[row + place] = LINE_HEIGHT * high + 1
        if 0 < place <= len(facts):
            label, name, form = facts[place - 1]
            page.put(row + place, CHANGE, label, "crew bold" if label.startswith("ground") else "crew cell")
            for side in range(len(SIDES)):
                boxes.put(row + place, CHANGE + 1 + side, name, line + side, "crew figure", form)
    row += max(len(left), len(facts) + 1)
    if alike != NONE_ALIKE:
        page.put(row, TEXT, f"Reads alike: {alike}", "crew wrapped")
        page.rows.heights[row] = LINE_HEIGHT * _lines(f"Reads alike: {alike}", TEXT) + 1
        row += 1
    return row


def _facts_shown(page: Page) -> list[tuple[str, str, str]]:
    """Return the figures of one box, those of control pairs where the job has any."""
    known = {column.name for column in page.book.tables["crew_boxes"].columns}
    control = [("control ends", name, "0") for name in CONTROL_COUNTS[:1] if name in known]
    return [*FACTS_SHOWN[:2], *control, *FACTS_SHOWN[2:]]


def _put_drawings(page: Page, boxes: _Source, top: int, end: int, line: int) -> None:
    """Put the two drawings one below the other beside the page, and their legend; say for what each was drawn.

    Parameters
    ----------
    top, end
        Row of the first line beside the page, and the row after the last one of the page.
    line
        Row of the first side in the table of the boxes.
    """
    drawings = [
        draw_box(box_facts(page.book, boxes.text("type", at), boxes.text("wired_as", at)), 0.0)
        for at in range(line, line + len(SIDES))
    ]
    legend, picture = _legend()
    room = sum(page.rows.heights[r] for r in range(top + len(SIDES), end)) * 96 / 72 - 4 * GAP
    width = min(IMAGE_WIDTH, room / sum(d.height / d.width for d in (*drawings, legend)))
    row = top + len(SIDES)
    for side, drawing in enumerate(drawings):
        _put_check(page, boxes, top + side, line + side, side)
        _put_image(page, drawing, row, DRAWN_COLUMN, width)
        row = _row_below(page, row, width * drawing.height / drawing.width)
    _put_image(page, legend, row, DRAWN_COLUMN, width, picture)


def _row_below(page: Page, row: int, height: float) -> int:
    """Return the first row below a picture that begins at the top of a row, in points of a screen."""
    left = height * 72 / 96
    while left > 0:
        left -= page.rows.heights[row]
        row += 1
    return row


def _put_check(page: Page, boxes: _Source, row: int, line: int, side: int) -> None:
    """Say for what a drawing was drawn, and whether that is still what is chosen."""
    beside = DRAWN_COLUMN + 1
    page.put(row, beside, boxes.text("drawn", line), "note")
    cell = page.refs.cell(boxes.spot.table.name, "drawn", line, page.sheet.title)
    now, then = (f"{SIDES[side].upper()}: {said}" for said in (AS_DRAWN, NOT_AS_DRAWN))
    test = f'IF({cell}=${get_column_letter(beside)}{row},"{now}","{then}")'
    page.put(row, DRAWN_COLUMN, now, "crew loud", formula=test)


@cache
def _legend() -> tuple[Drawing, bytes]:
    """Return the legend and its picture: every page has the same."""
    drawing = draw_legend(840.0)
    return drawing, png(drawing)


def _put_image(page: Page, drawing: Drawing, row: int, column: int, width: float, picture: bytes = b"") -> None:
    image = Image(io.BytesIO(picture or png(drawing)))
    image.width, image.height = round(width), round(width * drawing.height / drawing.width)
    image.anchor = f"{get_column_letter(column)}{row}"
    image.words = drawing.words
    page.sheet.add_image(image)


def _fill_steps(page: Page, lines: _Source, row: int, first: int, count: int) -> int:
    """Write the job breakdown: every step that is done on one of the two sides; return the next row."""
    for place, text in enumerate(HEADINGS, start=1):
        page.put(row, place, text, "crew middle" if place > CHANGE else "crew head")
    page.rows.heights[row] = 2 * LINE_HEIGHT
    for line in range(first, first + count):
        row += 1
        blank = not lines.text("says", line)
        plain, bold, figure = ("crew text",) * 3 if blank else ("crew cell", "crew bold", "crew figure")
        lines.put(row, 1, "number", line, figure, "0")
        lines.put(row, TEXT, "says", line, plain)
        lines.put(row, CHANGE, "change", line, bold)
        for place, (name, form) in enumerate(COUNTS, start=CHANGE + 1):
            lines.put(row, place, name, line, figure, form)
        high = max(_lines(lines.text("says", line), TEXT), _lines(lines.text("change", line), CHANGE))
        page.rows.heights[row] = BLANK_HEIGHT if blank else LINE_HEIGHT * high + PAD
    _mark_changes(page, row - count + 1, row)
    return row + 1


def _lines(text: str, column: int) -> int:
    """Return how many lines a text takes in a column of the page."""
    return lines_needed(text, LETTER, WIDTHS[column - 1] * 7 + 1)


def _mark_changes(page: Page, first: int, last: int) -> None:
    """Shade the steps that change: their word stands in capitals too."""
    letter = get_column_letter(CHANGE)
    test = f'AND(${letter}{first}<>"same",${letter}{first}<>"")'
    cells = f"A{first}:{get_column_letter(LAST)}{last}"
    page.sheet.conditional_formatting.add(cells, Rule(type="expression", dxf=CHANGED, formula=[test]))


def _fill_foot(page: Page, row: int) -> int:
    """Write a line to sign, the caution, and what the minutes rest on; return the next row."""
    page.put(row, TEXT, SIGNED, "crew text")
    page.rows.heights[row] = 20.0
    for text in CAUTION:
        row += 1
        page.put(row, TEXT, text, "crew loud")
        page.rows.heights[row] = LINE_HEIGHT
    for name in ("says_hours", "says"):
        row += 1
        page.figure(row, TEXT, "demonstration", name, "General", "crew loud")
        page.rows.heights[row] = LINE_HEIGHT
    return row + 1


def set_print(page: Page) -> None:
    """Print on letter paper, a kind of box on a page: at a scale of its own, so that the page breaks hold."""
    sheet, ends = page.sheet, [b.id for b in page.sheet.row_breaks.brk]
    starts = [FIRST_ROW, *(end + 1 for end in ends)]
    tallest = max(sum(page.rows.heights[r] for r in range(a, z + 1)) for a, z in zip(starts, ends, strict=False))
    wide = sum(width * 7 + 5 for width in WIDTHS) / 96 * SPARE
    scale = max(LEAST_SCALE, min(1.0, PAGE_INCHES[1] * 72 / tallest, PAGE_INCHES[0] / wide))
    sheet.print_area = f"A{FIRST_ROW}:{get_column_letter(LAST)}{ends[-1]}"
    sheet.page_setup.orientation = "portrait"
    sheet.sheet_properties.pageSetUpPr.fitToPage = False
    sheet.page_setup.paperSize = sheet.PAPERSIZE_LETTER
    sheet.page_setup.fitToWidth = sheet.page_setup.fitToHeight = None
    sheet.page_setup.scale = int(scale * 100)
    sheet.page_margins = MARGINS
