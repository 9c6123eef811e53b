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

from takeoff.drawing.box import LOWEST, draw_box, height_of
from takeoff.drawing.facts import box_facts
from takeoff.drawing.legend import draw_legend
from takeoff.drawing.raster import lines_needed, png
from takeoff.drawing.shapes import Drawing
from takeoff.model.boxes.types import CONTROL_COUNTS
from takeoff.model.order.crew_boxes import CAUTION, NONE_ALIKE, SIDES
from takeoff.workbook.file.styles import CHANGED
from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import Page

FIRST_ROW = 7
"""Row of the first page: the rows above tell how to choose what is compared, and are not printed."""

WIDTHS = (4.5, 39.0, 62.0, 53.0, 49.0, 24.0, 8.0, 8.0, 8.0, 8.0)
LAST = len(WIDTHS)
DRAWN_COLUMN = LAST + 2
"""Beside the printed page: what each drawing showed when it was drawn."""

LEFT, RIGHT, FACTS = 1, 4, 6
"""Columns where the two drawings and the figures begin."""

IMAGE_WIDTH, IMAGE_HEIGHT, LEGEND_WIDTH = 666.0, 666.0 * LOWEST / 840.0, 1340.0
"""Room for a drawing, in points of a screen with 96 to the inch."""

TALLEST = 1.3
"""Share of the usual room that the drawings of a box with many conductors take; beyond it they are made smaller."""

FACT_HEIGHT, LINE_HEIGHT, BLANK_HEIGHT = 17.7, 13.6, 2.0
LETTER, BOLD_LETTER = 14.0 * 1.02, 14.0 * 1.1
"""Size of the letters of the steps in points of a screen; those of the pages are a little wider than those measured."""

PAGE_INCHES = (15.5, 9.7)
"""Width and height of a page between its margins, paper of 17 by 11 in; a little is left free: programs differ."""

FACTS_SHOWN = (
    ("circuit terminations", "circuit_terminations", "0"),
    ("ground terminations", "ground_terminations", "0"),
    ("circuit splices", "circuit_splices", "0"),
    ("ground splices", "ground_splices", "0"),
    ("EGC ends that come in", "egc_ends", "0"),
    ("ground pigtails, jumpers", "ground_pigtails", "0"),
    ("box fill, in3", "fill_in3", "0.00"),
    ("volume of the box, in3", "chosen_volume_in3", "0.0"),
    ("box full, %", "full_pct", "0"),
    ("secured within, ft", "near_ft", "0.0"),
    ("secured every, ft", "interval_ft", "0.0"),
    ("minutes in the box", "minutes", "0.0"),
)
"""Figures of one box: label, column, number format."""

TEXTS = ("step", "key_point", "reason", "safety")
BOLD = ("step", "safety")
COUNTS = (("count_from", "0"), ("minutes_from", "0.0"), ("count_to", "0"), ("minutes_to", "0.0"))
HEADINGS = ("no.", "Step", "Key point", "Reason", "Safety", "What changes")
COUNT_HEADINGS = ("from: count", "from: minutes", "to: count", "to: minutes")

SIGNED = "   ".join(
    ("Trainer " + "_" * 20, "Date " + "_" * 14, "Crew " + "_" * 20, *(f"{w}  [  ]" for w in ("Shown", "Tried", "Seen")))
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
    page.put(5, 1, "Choose crew_from and crew_to on the sheet Inputs; texts stand on the sheet Minutes.", "note")
    for place, width in enumerate(WIDTHS, start=1):
        page.sheet.column_dimensions[get_column_letter(place)].width = width
    page.sheet.column_dimensions[get_column_letter(DRAWN_COLUMN)].width = 46.0
    keys = list(dict.fromkeys(spots["crew_boxes"].table.data["type"]))
    order = list(spots["types"].table.data["type"])
    row = FIRST_ROW
    for number, key in enumerate(keys):
        title = f"{key}, {number + 1} of {len(keys)}: "
        page.rows.heights[row] = 27
        types.put(row, 1, "description", order.index(key), "crew title", say=title)
        row = _fill_warning(page, boxes, row + 1, 2 * number)
        row = _fill_figures(page, boxes, row, 2 * number)
        row = _fill_steps(
            page, lines, row, number * len(lines.spot.table) // len(keys), len(lines.spot.table) // len(keys)
        )
        row = _fill_foot(page, boxes, row, 2 * number)
        page.sheet.row_breaks.append(Break(id=row - 1))


def _fill_warning(page: Page, boxes: _Source, row: int, line: int) -> int:
    """Write whether the fitting changes, the hold point then, and the types that read alike; return the next row."""
    boxes.put(row, 1, "says_fitting", line + 1, "crew side")
    boxes.put(row + 1, 1, "says_hold", line + 1, "crew side")
    page.rows.heights[row], page.rows.heights[row + 1] = 19, 24
    alike = boxes.text("alike", line)
    if alike == NONE_ALIKE:
        return row + 2
    page.put(row + 2, 1, f"Reads alike: {alike}", "crew text")
    page.rows.heights[row + 2] = 16
    return row + 3


def _fill_figures(page: Page, boxes: _Source, row: int, line: int) -> int:
    """Write what is compared, the two drawings and the figures beside them; return the next row."""
    for side, column in enumerate((LEFT, RIGHT)):
        boxes.put(row, column, "says_plan", line + side, "crew side", say=f"{SIDES[side].upper()} ")
        boxes.put(row + 1, column, "says_wired", line + side, "crew text")
        boxes.put(row + 2, column, "says_parts", line + side, "crew loud")
    boxes.put(row + 1, FACTS, "says_change", line, "crew loud")
    page.rows.heights.update({row: 19, row + 1: 16, row + 2: 16})
    top = row + 3
    taller = _put_drawings(page, boxes, top, line)
    for place, (text, style) in enumerate((("one box", "crew head"), *((side, "crew middle") for side in SIDES))):
        page.put(top, FACTS + place, text, style)
    shown = _facts_shown(page)
    for place, (label, name, form) in enumerate(shown, start=1):
        page.put(top + place, FACTS, label, "crew bold" if label.startswith("ground") else "crew cell")
        for side in range(len(SIDES)):
            boxes.put(top + place, FACTS + 1 + side, name, line + side, "crew figure", form)
    row = top + len(shown) + 1
    for place in range(top, row):
        page.rows.heights[place] = round(FACT_HEIGHT * taller, 1)
    for side, column in enumerate((LEFT, RIGHT)):
        _put_check(page, boxes, row, column, line + side)
    page.rows.heights[row], page.rows.heights[row + 1] = 16, 37
    legend, picture = _legend()
    _put_image(page, legend, row + 1, LEFT, LEGEND_WIDTH, picture)
    return row + 2


def _facts_shown(page: Page) -> list[tuple[str, str, str]]:
    """Return the figures of one box, those of control pairs where the job has any."""
    known = {column.name for column in page.book.tables["crew_boxes"].columns}
    control = [(name.replace("_", " "), name, "0") for name in CONTROL_COUNTS if name in known]
    return [*FACTS_SHOWN[:4], *control, *FACTS_SHOWN[4:]]


def _put_check(page: Page, boxes: _Source, row: int, column: int, line: int) -> None:
    """Say for what a drawing was drawn, and whether that is still what is chosen."""
    place = DRAWN_COLUMN + (column == RIGHT)
    page.put(row, place, boxes.text("drawn", line), "note")
    cell = page.refs.cell(boxes.spot.table.name, "drawn", line, page.sheet.title)
    test = f'IF({cell}=${get_column_letter(place)}{row},"{AS_DRAWN}","{NOT_AS_DRAWN}")'
    page.put(row, column, AS_DRAWN, "crew loud", formula=test)


def _put_drawings(page: Page, boxes: _Source, row: int, line: int) -> float:
    """Put the drawings of the two sides beside each other, equally high; return how much more room they take."""
    facts = [
        box_facts(page.book, boxes.text("type", line + side), boxes.text("wired_as", line + side))
        for side in range(len(SIDES))
    ]
    height = max(LOWEST, *(height_of(f) for f in facts))
    taller = min(TALLEST, height / LOWEST)
    for column, fact in zip((LEFT, RIGHT), facts, strict=True):
        drawing = draw_box(fact, height)
        _put_image(page, drawing, row, column, min(IMAGE_WIDTH, IMAGE_HEIGHT * taller * drawing.width / height))
    return taller


@cache
def _legend() -> tuple[Drawing, bytes]:
    """Return the legend and its picture: every page has the same."""
    drawing = draw_legend()
    return drawing, png(drawing)


def _put_image(page: Page, drawing: Drawing, row: int, column: int, width: float, picture: bytes = b"") -> None:
    image = Image(io.BytesIO(picture or png(drawing)))
    image.width, image.height = round(width), round(width * drawing.height / drawing.width)
    image.anchor = f"{get_column_letter(column)}{row}"
    image.words = drawing.words
    page.sheet.add_image(image)


def _fill_steps(page: Page, lines: _Source, row: int, first: int, count: int) -> int:
    """Write the job breakdown: every step that is done on one of the two sides; return the next row."""
    for place, text in enumerate((*HEADINGS, *COUNT_HEADINGS), start=1):
        page.put(row, place, text, "crew middle" if place > FACTS else "crew head")
    page.rows.heights[row] = 29
    for line in range(first, first + count):
        row += 1
        blank = not lines.text("step", line)
        plain, bold, figure = ("crew text",) * 3 if blank else ("crew cell", "crew bold", "crew figure")
        lines.put(row, 1, "number", line, figure, "0")
        for place, name in enumerate(TEXTS, start=2):
            lines.put(row, place, name, line, bold if name in BOLD else plain)
        lines.put(row, FACTS, "change", line, bold)
        for place, (name, form) in enumerate(COUNTS, start=FACTS + 1):
            lines.put(row, place, name, line, figure, form)
        high = max(_lines(lines.text(name, line), n, name) for n, name in enumerate(TEXTS, start=1))
        page.rows.heights[row] = BLANK_HEIGHT if blank else LINE_HEIGHT * high + 3
    _mark_changes(page, row - count + 1, row)
    return row + 1


def _lines(text: str, column: int, name: str) -> int:
    """Return how many lines a text takes on the page."""
    return lines_needed(text, BOLD_LETTER if name in BOLD else LETTER, WIDTHS[column] * 7 - 2)


def _mark_changes(page: Page, first: int, last: int) -> None:
    """Shade the steps that change: their word stands in capitals too."""
    letter = get_column_letter(FACTS)
    test = f'AND(${letter}{first}<>"same",${letter}{first}<>"")'
    cells = f"A{first}:{get_column_letter(LAST)}{last}"
    page.sheet.conditional_formatting.add(cells, Rule(type="expression", dxf=CHANGED, formula=[test]))


def _fill_foot(page: Page, boxes: _Source, row: int, line: int) -> int:
    """Write the sum of the minutes, a line to sign and the caution; return the next row."""
    page.put(row, 2, "All timed steps of one box", "crew loud")
    page.put(row, FACTS, "minutes", "crew loud")
    for side in range(len(SIDES)):
        boxes.put(row, FACTS + 2 + 2 * side, "minutes", line + side, "crew figure", "0.0")
    page.put(row + 1, 2, SIGNED, "crew text")
    page.put(row + 2, 2, CAUTION, "crew loud")
    page.figure(row + 3, 2, "demonstration", "says_hours", "General", "crew loud")
    page.figure(row + 4, 2, "demonstration", "says", "General", "crew loud")
    page.rows.heights.update({row: 17.0, row + 1: 22.0, row + 2: 15.0, row + 3: 15.0, row + 4: 15.0})
    return row + 5


def set_print(page: Page) -> None:
    """Print each page on one sheet of large paper: at a scale of its own, so that the page breaks hold."""
    sheet, ends = page.sheet, [b.id for b in page.sheet.row_breaks.brk]
    starts = [FIRST_ROW, *(end + 1 for end in ends)]
    tallest = max(sum(page.rows.heights[r] for r in range(a, z + 1)) for a, z in zip(starts, ends, strict=False))
    inches = sum(width * 7 + 5 for width in WIDTHS) / 96
    scale = min(PAGE_INCHES[0] / inches, PAGE_INCHES[1] * 72 / tallest)
    sheet.print_area = f"A{FIRST_ROW}:{get_column_letter(LAST)}{ends[-1]}"
    sheet.page_setup.orientation = "landscape"
    sheet.sheet_properties.pageSetUpPr.fitToPage = False
    sheet.page_setup.paperSize = sheet.PAPERSIZE_TABLOID
    sheet.page_setup.fitToWidth = sheet.page_setup.fitToHeight = None
    sheet.page_setup.scale = int(scale * 100)
    sheet.page_margins = PageMargins(left=0.4, right=0.4, top=0.6, bottom=0.55, header=0.3, footer=0.25)
