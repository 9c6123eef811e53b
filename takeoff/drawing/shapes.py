"""A drawing as a list of plain shapes in black and white: what is drawn where, and what it stands for.

Lengths are in drawing units, x to the right and y downwards. Nothing is told by color: lines differ by
their dashes, areas by their hatching, and everything else by its words. `means` says what a shape stands
for, so that what a drawing shows can be counted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

Point = tuple[float, float]

DASHES: dict[str, tuple[float, ...]] = {
    "solid": (),
    "hollow": (),
    "long": (22, 6),
    "dots": (3, 5),
    "dash": (9, 6),
    "dash dot": (14, 5, 3, 5),
    "pairs": (4, 4, 4, 14),
}
"""Kinds of line: drawn and left out, in turn. A hollow line is two thin ones."""

WIDTH_OF_A_LETTER = 0.56
"""Width of an average letter in sizes of the text, rounded up: for planning, before a font is known."""


@dataclass(frozen=True)
class Line:
    """A line through points."""

    points: Sequence[Point]
    style: str = "solid"
    width: float = 2
    means: str = ""


@dataclass(frozen=True)
class Circle:
    """A circle around a point."""

    x: float
    y: float
    radius: float
    fill: str = "white"
    means: str = ""


@dataclass(frozen=True)
class Rect:
    """A rectangle between its upper left and its lower right corner."""

    left: float
    top: float
    right: float
    bottom: float
    fill: str = "none"
    width: float = 2
    means: str = ""


@dataclass(frozen=True)
class Text:
    """A line of text; `anchor` is l, m or r: which end of it stands at x. Its middle stands at y."""

    x: float
    y: float
    text: str
    size: float = 15
    anchor: str = "l"


Shape = Line | Circle | Rect | Text


@dataclass
class Drawing:
    """Shapes on a page; later ones lie over earlier ones. `words` say what it shows to who does not see it."""

    width: float
    height: float
    shapes: list[Shape] = field(default_factory=list)
    words: str = ""

    def add(self, *shapes: Shape) -> None:
        """Lay shapes over those drawn so far."""
        self.shapes.extend(shapes)

    def count(self, means: str) -> int:
        """Return how many shapes stand for something."""
        return sum(getattr(shape, "means", "") == means for shape in self.shapes)


def moved(shape: Shape, x: float, y: float) -> Shape:
    """Return a shape elsewhere."""
    if isinstance(shape, Line):
        return replace(shape, points=[(a + x, b + y) for a, b in shape.points])
    if isinstance(shape, Rect):
        return replace(shape, left=shape.left + x, right=shape.right + x, top=shape.top + y, bottom=shape.bottom + y)
    return replace(shape, x=shape.x + x, y=shape.y + y)


def size_that_fits(text: str, size: float, width: float) -> float:
    """Return the largest size, not above the one given, at which a text is about as wide as allowed."""
    return min(size, width / (WIDTH_OF_A_LETTER * max(1, len(text))))
