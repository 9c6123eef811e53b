"""The parts that a drawing of a box is put together from, where they stand, and what line each role has."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.drawing.shapes import Circle, Drawing, Line, Point, Rect, Text

WIDTH, MARGIN = 840.0, 14.0
BOX_TOP, BOX_LEFT, BOX_RIGHT = 36.0, 138.0, 826.0
FITTING_LEFT = 114.0
FAN_FROM, NODE_LEFT, NODE_RIGHT = 292.0, 392.0, 420.0
DEVICE_LEFT, DEVICE_RIGHT = 620.0, 806.0
"""Where things stand across the drawing: cable, fitting, wall of the box, labels, splices, device."""

PITCH, INTO_STEP = 29.0, 12.0
"""Distance of two conductors, from top to bottom: side by side, and where they come into a splice."""

ABOVE = 13.0
"""From a line up to the middle of what is written over it."""

SMALL, LABEL, BAR_HEIGHT = 16.5, 17.0, 20.0
EGC, SPARE, GROUND, CONTROL = "EGC", "spare", "EGCs", "control"
END, GROUND_END, SPARE_END, CONTROL_END = "circuit end", "ground end", "spare end", "control end"
"""What a dot stands for."""

STYLES = {
    "hot": ("solid", 4.0),
    "neutral": ("hollow", 6.0),
    "switch leg": ("long", 4.0),
    "traveler": ("dots", 5.0),
    "isolated ground": ("dash dot", 3.0),
    CONTROL: ("pairs", 4.0),
    EGC: ("dash", 3.0),
    SPARE: ("solid", 1.5),
}
"""Line of each role: its dashes and its width."""

Ends = dict[str, list[Point]]
"""Where the conductors that come in begin to fan out, by role."""


def style_of(kind: str) -> str:
    """Return the name of the line of a role: roles that the table above does not have look like a hot."""
    return kind if kind in STYLES else "hot"


def end_of(kind: str) -> str:
    """Return what an end of a role counts as."""
    return CONTROL_END if kind == CONTROL else END


def wire(drawing: Drawing, style: str, points: Sequence[Point]) -> None:
    """Draw a conductor."""
    dashes, width = STYLES[style]
    drawing.add(Line(list(points), dashes, width, f"conductor {style}"))


def dot(drawing: Drawing, x: float, y: float, means: str) -> None:
    """Draw the end of a conductor that is made up here."""
    drawing.add(Circle(x, y, 4.5, "black", means))


def rows_into(middle: float, ends_in: int) -> list[float]:
    """Return the heights at which conductors come into a splice, around its middle."""
    return [middle + (n - (ends_in - 1) / 2) * INTO_STEP for n in range(ends_in)]


def node(
    drawing: Drawing, rows_in: Sequence[float], rows_out: Sequence[float], means: str, through: Sequence[float] = ()
) -> None:
    """Draw a splice with the number of its ends, over the conductors that come into it.

    Parameters
    ----------
    rows_in, rows_out
        Heights of the ends that come in from the left and leave to the right.
    means
        What each of its ends stands for.
    through
        Heights at which a conductor leaves that goes on unbroken: it has no end of its own there.
    """
    every, heights = [*rows_in, *rows_out], [*rows_in, *rows_out, *through]
    middle = (min(heights) + max(heights)) / 2
    half = max((max(heights) - min(heights)) / 2 + 9, 13)
    drawing.add(Rect(NODE_LEFT, middle - half, NODE_RIGHT, middle + half, "white", 3, f"splice of {means}s"))
    drawing.add(Text((NODE_LEFT + NODE_RIGHT) / 2, middle, str(len(every)), 18, "m"))
    for x, rows in ((NODE_LEFT, rows_in), (NODE_RIGHT, rows_out)):
        for y in rows:
            dot(drawing, x, y, means)


def terminal(
    drawing: Drawing, style: str, y: float, label: str, means: str, path: Sequence[Point] = ((NODE_RIGHT, 0),)
) -> None:
    """Draw a conductor that ends under a terminal of the device: a pigtail of a splice, or one with a path of its own.

    Parameters
    ----------
    y
        Height of the terminal.
    label
        What stands beside the terminal.
    path
        Points that the conductor comes through; a pigtail comes straight from its splice.
    """
    own = len(path) > 1
    wire(drawing, style, [*(path if own else [(NODE_RIGHT, y)]), (DEVICE_LEFT, y)])
    if not own:
        drawing.add(Text(NODE_RIGHT + 66, y - ABOVE, "pigtail", SMALL))
    drawing.add(Circle(DEVICE_LEFT, y, 10, "white", "terminal"))
    dot(drawing, DEVICE_LEFT, y, means)
    drawing.add(Text(DEVICE_LEFT + 17, y, label, LABEL))


def lead(drawing: Drawing, style: str, y: float, label: str, means: str) -> None:
    """Draw a lead of the device, which ends in the splice; its dot stands there already."""
    wire(drawing, style, [(NODE_RIGHT, y), (DEVICE_LEFT, y)])
    drawing.add(Text(NODE_RIGHT + 66, y - ABOVE, "lead of device", SMALL))
    drawing.add(Text(DEVICE_LEFT + 17, y, label if means else "", LABEL))


def cap(drawing: Drawing, x: float, y: float, means: str) -> None:
    """Draw a single end that is capped."""
    drawing.add(Rect(x, y - 8, x + 26, y + 8, "white", 3, "cap"))
    dot(drawing, x, y, SPARE_END if means == SPARE else means)
    drawing.add(Text(x + 32, y, "cap", SMALL))


def screw(drawing: Drawing, x: float, y: float) -> None:
    """Draw a grounding screw of the box with the end under it."""
    drawing.add(Circle(x, y, 11, "white", "screw"))
    drawing.add(Line([(x - 11, y), (x + 11, y)], width=2))
    dot(drawing, x, y, GROUND_END)
