"""Pages of a PDF: paper, letters, tables, pictures, and the caution at the foot of every page."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib import pagesizes
from reportlab.lib.colors import black, lightgrey
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    Image,
    KeepInFrame,
    PageTemplate,
    Paragraph,
    Table,
    TableStyle,
)

from takeoff.drawing.raster import png
from takeoff.drawing.shapes import Drawing

PAPERS = {"letter": pagesizes.LETTER, "legal": pagesizes.LEGAL, "tabloid": pagesizes.TABLOID, "a4": pagesizes.A4}
"""Papers by name, upright, in points."""

SMALLEST, LARGE = 9.0, 14.0
"""Points of the letters: of the job pages, and of what is read from a wall."""

ENDLESS = 1e6
"""Height in which everything finds room, in points."""

LEADING, LARGE_LEADING = 1.17, 1.13
"""From line to line, as a part of the size of the letters."""

MARGIN, TOP, FOOT = 36.0, 26.0, 56.0


def style(size: float, bold: bool = False, after: float = 0.0) -> ParagraphStyle:
    """Return the look of a text, its size and the space after it in points."""
    font = "Helvetica-Bold" if bold else "Helvetica"
    leading = size * (LARGE_LEADING if size >= LARGE else LEADING)
    return ParagraphStyle(font, fontName=font, fontSize=size, leading=leading, spaceAfter=after)


def text(said: str, size: float = SMALLEST, bold: bool = False, after: float = 0.0) -> Paragraph:
    """Return a paragraph of plain text."""
    return Paragraph(printable(said), style(size, bold, after))


def lead(word: str, said: str, size: float, after: float = 3.0) -> Paragraph:
    """Return a paragraph that begins with a bold word."""
    return Paragraph(f"<b>{printable(word)}</b> {printable(said)}", style(size, after=after))


def printable(said: str) -> str:
    """Return a text with what the font does not have shown as its number, escaped for a paragraph."""
    shown = "".join(c if c.encode("cp1252", "ignore") else f"[U+{ord(c):04X}]" for c in said)
    return escape(shown)


def picture(drawing: Drawing, width: float) -> Image:
    """Return a drawing as wide as given, in points."""
    return Image(io.BytesIO(png(drawing)), width, width * drawing.height / drawing.width)


def height_of(story: Sequence[Flowable], wide: float) -> float:
    """Return how high flowables stand one below the other, in points."""
    return sum(float(f.wrap(wide, ENDLESS)[1]) + float(f.getSpaceAfter()) for f in story)


def room_of(paper: str) -> float:
    """Return the height of a page between its margins, in points."""
    return PAPERS[paper][1] - TOP - FOOT - 1


def wide_enough(drawings: Sequence[Drawing], room: float, least: float, most: float) -> float:
    """Return the width at which drawings are no higher in all than a room, from the least to the most; in points."""
    return min(max(room / sum(d.height / d.width for d in drawings), least), most)


def table(
    rows: Sequence[Sequence[object]], widths: Sequence[float], marked: Sequence[int] = (), right: float = 2.0
) -> Table:
    """Return a table whose first row is its heading, repeated on every page; marked rows are grey.

    `right` is the room at the right of a cell, in points.
    """
    cells = [[_cell(value, n == 0) for value in row] for n, row in enumerate(rows)]
    looks: list[Any] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, black),
        ("LINEABOVE", (0, 0), (-1, 0), 0.8, black),
        *((f"{side}PADDING", (0, 0), (-1, -1), room) for side, room in (("LEFT", 2.0), ("RIGHT", right))),
        *((f"{side}PADDING", (0, 0), (-1, -1), 1.0) for side in ("TOP", "BOTTOM")),
        *(("BACKGROUND", (0, n), (-1, n), lightgrey) for n in marked),
    ]
    made = Table(cells, list(widths), repeatRows=1)
    made.setStyle(TableStyle(looks))
    return made


def figure(value: object, places: int) -> str:
    """Return a number with its decimals, a text as it is."""
    return value if isinstance(value, str) else f"{float(str(value)):.{places}f}"


def shares(wide: float, *parts: float) -> list[float]:
    """Return a width dealt out by parts."""
    return [wide * part / sum(parts) for part in parts]


def two_columns(items: Sequence[Flowable], wide: float) -> Table:
    """Return items one below the other, in two columns that are read one after the other."""
    half = (len(items) + 1) // 2
    rows = [[items[n], items[n + half] if n + half < len(items) else ""] for n in range(half)]
    made = Table(rows, [wide / 2, wide / 2])
    none = [(f"{side}PADDING", (0, 0), (-1, -1), 0.0) for side in ("LEFT", "TOP", "BOTTOM")]
    made.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), *none]))
    return made


def one_page(story: list[Flowable], paper: str) -> KeepInFrame:
    """Return what stands on one page, made a little smaller where it needs more room."""
    return KeepInFrame(PAPERS[paper][0] - 2 * MARGIN, room_of(paper), story, mode="shrink")


def _cell(value: object, bold: bool) -> object:
    return value if isinstance(value, Flowable) else text(str(value), bold=bold)


def write_pages(target: Path, paper: str, story: Sequence[Flowable], foot: Sequence[str], title: str) -> int:
    """Write the pages, the same bytes for the same story.

    Parameters
    ----------
    target
        File to write.
    paper
        A name of `PAPERS`.
    story
        What stands on the pages, in order.
    foot
        Lines at the foot of every page.
    title
        Title of the document.

    Returns
    -------
    int
        Number of pages.
    """
    width, height = PAPERS[paper]

    def draw_foot(canvas: Canvas, document: BaseDocTemplate) -> None:
        canvas.setProducer("takeoff")
        canvas.saveState()
        lines = [text(line) for line in foot]
        y = FOOT - 4
        for line in lines:
            _, high = line.wrap(width - 2 * MARGIN - 60, FOOT)
            y -= high
            line.drawOn(canvas, MARGIN, y)
        canvas.setFont("Helvetica", SMALLEST)
        canvas.drawRightString(width - MARGIN, FOOT - 14, f"page {document.page}")
        canvas.restoreState()

    box = Frame(MARGIN, FOOT, width - 2 * MARGIN, height - TOP - FOOT, 0, 0, 0, 0)
    document = BaseDocTemplate(str(target), pagesize=(width, height), title=title, invariant=1)
    document.addPageTemplates([PageTemplate("page", [box], onPage=draw_foot)])
    document.build(list(story))
    return int(document.page)
