"""Turn a drawing into a picture of black and white dots, the same bytes for the same drawing."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import pairwise
from math import hypot

from PIL import Image, ImageDraw, ImageFont
from PIL.ImageFont import FreeTypeFont

from takeoff.drawing.shapes import DASHES, Circle, Drawing, Line, Point, Rect, Shape, Text

DOTS_PER_UNIT = 2.2
"""Dots for one drawing unit: about 200 to the inch on the printed page."""

HATCH_STEP = 7.0
"""Distance between the lines of a hatched area, in drawing units."""

BLACK, WHITE = 0, 1


def png(drawing: Drawing) -> bytes:
    """Return a drawing as a PNG with one bit for a dot."""
    size = round(drawing.width * DOTS_PER_UNIT), round(drawing.height * DOTS_PER_UNIT)
    image = Image.new("1", size, WHITE)
    pen = ImageDraw.Draw(image)
    for shape in drawing.shapes:
        _draw(pen, shape)
    out = io.BytesIO()
    image.save(out, format="PNG")  # to pack it as well as can be takes five times as long, for a tenth
    return out.getvalue()


@cache
def font(size: float) -> FreeTypeFont:
    """Return the font that comes with the picture library, so that no font file is needed."""
    found = ImageFont.load_default(size)
    if not isinstance(found, FreeTypeFont):
        raise OSError("the picture library was built without its outline font")
    return found


@cache
def lines_needed(text: str, size: float, width: float) -> int:
    """Return how many lines a text takes in a column, broken between words; size and width in one unit."""
    measure, count, line = font(100.0), 1, ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if line and measure.getlength(longer) * size / 100 > width:
            count, line = count + 1, word
        else:
            line = longer
    return count


def _draw(pen: ImageDraw.ImageDraw, shape: Shape) -> None:
    if isinstance(shape, Text):
        where = shape.x * DOTS_PER_UNIT, shape.y * DOTS_PER_UNIT
        pen.text(where, shape.text, BLACK, font(shape.size * DOTS_PER_UNIT), anchor=f"{shape.anchor}m")
    elif isinstance(shape, Line):
        _draw_line(pen, shape)
    elif isinstance(shape, Circle):
        corners = [(shape.x - shape.radius, shape.y - shape.radius), (shape.x + shape.radius, shape.y + shape.radius)]
        pen.ellipse(_dots(corners), BLACK if shape.fill == "black" else WHITE, BLACK, _width(2))
    else:
        _draw_rect(pen, shape)


def _draw_line(pen: ImageDraw.ImageDraw, line: Line) -> None:
    for piece in _pieces(line.points, DASHES[line.style]):
        pen.line(_dots(piece), BLACK, _width(line.width), joint="curve")
    if line.style == "hollow":
        pen.line(_dots(line.points), WHITE, _width(line.width / 2), joint="curve")


def _draw_rect(pen: ImageDraw.ImageDraw, rect: Rect) -> None:
    corners = _dots([(rect.left, rect.top), (rect.right, rect.bottom)])
    if rect.fill in ("white", "hatch", "black"):
        pen.rectangle(corners, BLACK if rect.fill == "black" else WHITE)
    if rect.fill == "hatch":
        for stroke in _hatch(rect):
            pen.line(_dots(stroke), BLACK, _width(1))
    if rect.width:
        pen.rectangle(corners, None, BLACK, _width(rect.width))


def _hatch(rect: Rect) -> Iterator[list[Point]]:
    """Yield slanting strokes that fill a rectangle, cut off at its edges."""
    height, offset = rect.bottom - rect.top, HATCH_STEP
    while offset < rect.right - rect.left + height:
        start = min(offset, rect.right - rect.left)
        end = max(0.0, offset - height)
        yield [(rect.left + start, rect.top + offset - start), (rect.left + end, rect.top + offset - end)]
        offset += HATCH_STEP


def _pieces(points: Sequence[Point], dashes: Sequence[float]) -> Iterator[list[Point]]:
    """Yield the drawn pieces of a dashed line, which goes on around its corners."""
    if not dashes:
        yield list(points)
        return
    place, left = 0, dashes[0]
    for (x, y), (to_x, to_y) in pairwise(points):
        length, gone = hypot(to_x - x, to_y - y), 0.0
        while gone < length:
            step = min(left, length - gone)
            if place % 2 == 0:
                ends = (gone / length, (gone + step) / length)
                yield [(x + (to_x - x) * part, y + (to_y - y) * part) for part in ends]
            gone, left = gone + step, left - step
            if left <= 0:
                place = (place + 1) % len(dashes)
                left = dashes[place]


def _dots(points: Sequence[Point]) -> list[Point]:
    return [(round(x * DOTS_PER_UNIT), round(y * DOTS_PER_UNIT)) for x, y in points]


def _width(units: float) -> int:
    return max(1, round(units * DOTS_PER_UNIT))
