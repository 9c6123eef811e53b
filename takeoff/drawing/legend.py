"""The legend under the drawings of boxes: every kind of line and every sign, each with its word."""

from __future__ import annotations

from collections.abc import Collection

from takeoff.drawing.parts import EGC, LABEL, NODE_LEFT, NODE_RIGHT, SPARE, STYLES
from takeoff.drawing.raster import font
from takeoff.drawing.shapes import Circle, Drawing, Line, Rect, Shape, Text, moved

WIDTH = 1700.0
MEANS = "conductor "
"""Begins what a line of a drawing stands for."""
ROW = 30.0
WORDS = (
    "Legend of the drawings. Lines: hot solid and thick, neutral hollow, switch leg in long dashes, traveler dotted, "
    "isolated ground dash and dot, control in pairs of dots, EGC, ground pigtail and bonding jumper in short dashes, "
    "spare thin. Signs: a dot is a conductor end made up, a frame with a number is a splice and its ends, a ring is a "
    "terminal, a ring with a bar is a grounding screw of the box, a hatched block is armor, a dashed arrow is the "
    "ground path from armor through fitting to box. Lines that cross without a frame are not joined."
)


def lines_in(drawing: Drawing) -> set[str]:
    """Return the kinds of conductors that a drawing of a box has."""
    return {s.means.removeprefix(MEANS) for s in drawing.shapes if isinstance(s, Line) and s.means.startswith(MEANS)}


def draw_legend(width: float = WIDTH, lines: Collection[str] = tuple(STYLES)) -> Drawing:
    """Return the legend of the drawings of boxes, in as many rows as its width asks for.

    Parameters
    ----------
    width
        In drawing units.
    lines
        Kinds of conductors to name; all of them where not given.
    """
    names = {EGC: "EGC, ground pigtail, jumper", SPARE: "spare"}
    signs: list[tuple[float, str, list[Shape]]] = [
        (74.0, names.get(kind, kind), [Line([(0, 0), (66, 0)], dashes, line)])
        for kind, (dashes, line) in STYLES.items()
        if kind in lines
    ]
    half = (NODE_RIGHT - NODE_LEFT) / 2
    splice: list[Shape] = [Rect(0, -13, 2 * half, 13, "white", 3), Text(half, 0, "3", 16, "m")]
    signs += [
        (18.0, "conductor end made up", [Circle(5, 0, 4.5, "black")]),
        (38.0, "splice, number of its ends", splice),
        (28.0, "terminal of the device", [Circle(10, 0, 10)]),
        (30.0, "grounding screw of the box", [Circle(11, 0, 11), Line([(0, 0), (22, 0)])]),
        (48.0, "armor", [Rect(0, -10, 40, 10, "hatch")]),
        (0.0, "Arrow: armor to box. Crossings are not joined. Roles may change cables.", []),
    ]
    drawing = Drawing(width, 0.0, words=WORDS)
    x, y = 8.0, ROW / 2
    for left, said, shapes in signs:
        wide = left + font(LABEL).getlength(said)
        if x + wide > width:
            x, y = 8.0, y + ROW
        drawing.add(*(moved(shape, x, y) for shape in shapes), Text(x + left, y, said, LABEL))
        x += wide + 26.0
    drawing.height = y + ROW / 2
    return drawing
