"""The ground path in the drawing of a box: its splice and pigtails, or the jumpers from the box screw."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.drawing.facts import BoxFacts
from takeoff.drawing.parts import (
    ABOVE,
    BOX_LEFT,
    DEVICE_LEFT,
    EGC,
    FITTING_LEFT,
    GROUND_END,
    LABEL,
    MARGIN,
    NODE_LEFT,
    NODE_RIGHT,
    PITCH,
    SMALL,
    STYLES,
    lead,
    node,
    rows_into,
    screw,
    terminal,
    wire,
)
from takeoff.drawing.shapes import Drawing, Line, Point, Text

DROP = 44.0
"""From the lowest line of the grounds to the wall of the box: the box screw stands there."""

SCREW_STEP = 30.0

PATH = "ground path"
"""What the line from the armor through the fitting to the box stands for."""


def ground_height(facts: BoxFacts) -> float:
    """Return the height that the grounds take above the lower wall of the box."""
    ground = facts.ground
    rows = max(1, ground.device_ends + ground.leads)
    into = ground.egc_ends * 12 * ground.splices
    return max(rows * PITCH, into) + DROP + 8


def ground_rows(facts: BoxFacts, top: float) -> list[float]:
    """Return the heights of the lines that go from the grounds to the device."""
    return [top + 10 + n * PITCH for n in range(facts.ground.device_ends + facts.ground.leads)]


def draw_ground(drawing: Drawing, facts: BoxFacts, starts: Sequence[Point], top: float, bottom: float) -> None:
    """Draw the ground path between a height and the lower wall of the box."""
    ground, at_screw = facts.ground, bottom - 19
    rows = ground_rows(facts, top)
    if ground.splices:
        _draw_splice(drawing, facts, starts, rows, at_screw)
    elif ground.egc_ends:
        for n, (x, y) in enumerate(starts):
            down = NODE_LEFT + n * SCREW_STEP
            wire(drawing, EGC, [(BOX_LEFT + 8, y), (x, y), (down, top + 10), (down, at_screw)])
            for row in rows:  # left long, it goes on from the screw to the device
                terminal(drawing, EGC, row, "green", GROUND_END, [(down, at_screw), (NODE_RIGHT + 66, row)])
            screw(drawing, down, at_screw)
        _name_screws(drawing, NODE_LEFT + (len(starts) - 1) * SCREW_STEP, at_screw)
    else:
        _draw_jumpers(drawing, facts, rows, at_screw)


def draw_path(drawing: Drawing, top: float, end: float) -> None:
    """Draw the ground path of one cable or raceway: along its sheath, through its fitting, into the wall of the box.

    Parameters
    ----------
    top, end
        Upper and lower edge of the sheath.
    """
    through, y = (FITTING_LEFT + BOX_LEFT) / 2, (top + end) / 2
    dashes, width = STYLES[EGC]
    points = [(MARGIN, end + 2), (through, end + 2), (through, y), (BOX_LEFT + 1, y)]
    drawing.add(Line(points, dashes, width, PATH))
    tip = [(BOX_LEFT - 7, y - 6), (BOX_LEFT + 1, y), (BOX_LEFT - 7, y + 6)]
    drawing.add(Line(tip, width=width))


def _draw_splice(
    drawing: Drawing, facts: BoxFacts, starts: Sequence[Point], rows: Sequence[float], at_screw: float
) -> None:
    """Draw the splice: an EGC left long goes on to a device or to the box screw and has no end of its own for it."""
    ground = facts.ground
    lowest = rows[-1] if rows else at_screw - DROP + 19 - PITCH
    to_box = [lowest + PITCH * 0.8] * max(ground.box_pigtails, ground.looped)
    every = [*rows, *to_box]
    into = rows_into((every[0] + every[-1]) / 2, len(starts))
    for (x, y), target in zip(starts, into, strict=True):
        wire(drawing, EGC, [(BOX_LEFT + 8, y), (x, y), (NODE_LEFT, target)])
    for n, y in enumerate(rows):
        if n < ground.tails:
            terminal(drawing, EGC, y, "green", GROUND_END, [(NODE_LEFT, y), (NODE_RIGHT, y)])
        elif n < ground.device_ends:
            terminal(drawing, EGC, y, "green", GROUND_END)
        else:
            lead(drawing, EGC, y, "green", GROUND_END)
    own = [*rows[ground.tails :], *to_box[: ground.box_pigtails]]
    node(drawing, into, own, GROUND_END, through=[y for y in every if y not in own])
    for y in to_box:
        x = NODE_RIGHT + 34
        wire(drawing, EGC, [(NODE_RIGHT, y), (x, y), (x, at_screw)])
        screw(drawing, x, at_screw)
        _name_screws(drawing, x, at_screw)


def _draw_jumpers(drawing: Drawing, facts: BoxFacts, rows: Sequence[float], at_screw: float) -> None:
    """Draw a jumper from a screw of its own to each device, the outer ones around the inner ones."""
    ground = facts.ground
    for n, y in enumerate(rows):
        x = NODE_RIGHT + 4 + n * SCREW_STEP
        is_jumper = n < ground.device_ends
        path = [(x, at_screw), (x, y)]
        if is_jumper:
            terminal(drawing, EGC, y, "green", GROUND_END, path)
        else:
            wire(drawing, EGC, [*path, (DEVICE_LEFT, y)])
            drawing.add(Text(DEVICE_LEFT + 17, y, "green", LABEL))
        said = "bonding jumper" if is_jumper else "lead of device"
        drawing.add(Text(DEVICE_LEFT - 14, y - ABOVE, said, SMALL, "r"))
        screw(drawing, x, at_screw)
    if rows:
        _name_screws(drawing, NODE_RIGHT + 4 + (len(rows) - 1) * SCREW_STEP, at_screw)


def _name_screws(drawing: Drawing, x: float, y: float) -> None:
    drawing.add(Text(x + 17, y, "box screw", SMALL))
