"""The legend under the drawings of boxes: every kind of line and every sign, each with its word."""

from __future__ import annotations

from takeoff.drawing.parts import EGC, LABEL, NODE_LEFT, NODE_RIGHT, SPARE, STYLES, dot
from takeoff.drawing.shapes import Circle, Drawing, Line, Rect, Text

WIDTH, HEIGHT = 1700.0, 60.0
ROW = 30.0
WORDS = (
    "Legend of the drawings. Lines: hot solid and thick, neutral hollow, switch leg in long dashes, traveler dotted, "
    "isolated ground dash and dot, EGC, ground pigtail and bonding jumper in short dashes, spare thin. Signs: a dot is "
    "a conductor end made up, a frame with a number is a splice and its ends, a ring is a terminal, a ring with a bar "
    "is a grounding screw of the box, a hatched block is armor, a dashed arrow is the ground path from armor through "
    "fitting to box. Lines that cross without a frame are not joined."
)


def draw_legend() -> Drawing:
    """Return the legend of the drawings of boxes."""
    drawing = Drawing(WIDTH, HEIGHT, words=WORDS)
    names = {EGC: "EGC, ground pigtail, jumper", SPARE: "spare"}
    x = 8.0
    for kind, (dashes, width) in STYLES.items():
        drawing.add(Line([(x, 15), (x + 66, 15)], dashes, width))
        drawing.add(Text(x + 76, 15, names.get(kind, kind), LABEL))
        x += 340.0 if kind == EGC else 150.0 if kind == SPARE else 215.0
    y, half = ROW + 14, (NODE_RIGHT - NODE_LEFT) / 2
    dot(drawing, 16, y, "")
    drawing.add(Text(30, y, "conductor end made up", LABEL))
    drawing.add(Rect(236 - half, y - 13, 236 + half, y + 13, "white", 3), Text(236, y, "3", 16, "m"))
    drawing.add(Text(260, y, "splice, number of its ends", LABEL))
    drawing.add(Circle(486, y, 10))
    drawing.add(Text(504, y, "terminal of the device", LABEL))
    drawing.add(Circle(706, y, 11), Line([(695, y), (717, y)]))
    drawing.add(Text(726, y, "grounding screw of the box", LABEL))
    drawing.add(Rect(960, y - 10, 1000, y + 10, "hatch"), Text(1008, y, "armor", LABEL))
    drawing.add(
        Text(
            1090,
            y,
            "Arrow: armor to box. Crossings are not joined. Roles may change cables.",
            16,
        )
    )
    return drawing
