"""The ground path by itself, from the cables through fittings and box to a device: what a training page draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from takeoff.drawing.parts import (
    ABOVE,
    DEVICE_LEFT,
    DEVICE_RIGHT,
    EGC,
    GROUND_END,
    LABEL,
    MARGIN,
    NODE_LEFT,
    NODE_RIGHT,
    SMALL,
    STYLES,
    WIDTH,
    node,
    rows_into,
    screw,
    terminal,
    wire,
)
from takeoff.drawing.shapes import Drawing, Line, Rect, Text, size_that_fits

SHEATH_RIGHT, WALL, HIGH = 216.0, 252.0, 92.0
"""Right end of a cable, left wall of the box, height that one cable takes."""

PATH = "ground path"


@dataclass(frozen=True)
class Sheath:
    """A cable or raceway of the drawing: its name, whether armor or tubing is a path, whether an EGC comes in."""

    name: str
    is_path: bool
    has_egc: bool
    armored: bool = True


def draw_strip(sheaths: Sequence[Sheath]) -> Drawing:
    """Return the ground path of one device that is fed by the cables given.

    Parameters
    ----------
    sheaths
        What comes into the box, from top to bottom: one, or two where constructions meet.
    """
    height = HIGH * len(sheaths) + 48
    words = "; ".join(f"{s.name}: {_words(s)}" for s in sheaths)
    drawing = Drawing(WIDTH, height, words=f"Ground path. {words}.")
    drawing.add(Rect(WALL, 8, WIDTH - MARGIN, height - 8, width=5, means="box"))
    drawing.add(Rect(DEVICE_LEFT, 22, DEVICE_RIGHT, height - 44, "white", 3, "device"))
    drawing.add(Text((DEVICE_LEFT + DEVICE_RIGHT) / 2, 38, "device", 18, "m"))
    for n, sheath in enumerate(sheaths):
        _draw_sheath(drawing, sheath, 14 + HIGH * n)
    egcs = [14 + HIGH * n + 30 for n, sheath in enumerate(sheaths) if sheath.has_egc]
    at_screw, middle = height - 28, 14 + HIGH * len(sheaths) / 2
    if not egcs:
        x = NODE_RIGHT
        terminal(drawing, EGC, middle, "green", GROUND_END, [(x, at_screw), (x, middle)])
        drawing.add(Text(DEVICE_LEFT - 14, middle - ABOVE, "bonding jumper", SMALL, "r"))
        screw(drawing, x, at_screw)
        drawing.add(Text(x + 17, at_screw, "box screw", SMALL))
        return drawing
    into = rows_into(middle, len(egcs))
    for y, target in zip(egcs, into, strict=True):
        wire(drawing, EGC, [(WALL, y), (NODE_LEFT - 60, y), (NODE_LEFT, target)])
        drawing.add(Text(WALL + 14, y - ABOVE, EGC, SMALL))
    terminal(drawing, EGC, middle, "green", GROUND_END)
    down = middle + 22
    node(drawing, into, [middle, down], GROUND_END)
    x = NODE_RIGHT + 34
    wire(drawing, EGC, [(NODE_RIGHT, down), (x, down), (x, at_screw)])
    screw(drawing, x, at_screw)
    drawing.add(Text(x + 17, at_screw, "box screw", SMALL))
    return drawing


def _draw_sheath(drawing: Drawing, sheath: Sheath, top: float) -> None:
    end = top + 60
    drawing.add(Rect(MARGIN, top, SHEATH_RIGHT, end, "hatch" if sheath.armored else "white", means="cable"))
    drawing.add(Rect(MARGIN + 6, top + 17, SHEATH_RIGHT - 10, end - 17, "white", 1))
    drawing.add(Text((MARGIN + SHEATH_RIGHT) / 2, top + 30, sheath.name, size_that_fits(sheath.name, LABEL, 186), "m"))
    drawing.add(Rect(SHEATH_RIGHT, top + 6, WALL + 2, end - 6, "white", 3, "fitting"))
    said = "path: armor, fitting, box" if sheath.armored else "path: tubing, fitting, box"
    if not sheath.is_path:
        drawing.add(Text(MARGIN, end + 14, "armor: no path to count on", SMALL))
        return
    through, y = (SHEATH_RIGHT + WALL) / 2, top + 46
    dashes, width = STYLES[EGC]
    drawing.add(Line([(MARGIN, end + 3), (through, end + 3), (through, y), (WALL, y)], dashes, width, PATH))
    drawing.add(Line([(WALL - 9, y - 7), (WALL, y), (WALL - 9, y + 7)], width=width))
    drawing.add(Text(MARGIN, end + 17, said, SMALL))


def _words(sheath: Sheath) -> str:
    ways = [("armor" if sheath.armored else "tubing") + " through the fitting to the box"] * sheath.is_path
    ways += ["EGC to splice, box screw and green terminal"] * sheath.has_egc
    return " and ".join(ways)
