"""Draw one box: cables enter at the left, splices stand in the middle, the device at the right, fill below.

The convention is our own, for black and white. Every conductor end that is made up is one dot: in a splice,
under a terminal, on the box screw, in a cap. What a drawing shows can so be counted against the tables.
"""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.drawing.facts import BoxFacts, Cable, RoleFacts
from takeoff.drawing.ground import draw_ground, draw_path, ground_height, ground_rows
from takeoff.drawing.parts import (
    ABOVE,
    BAR_HEIGHT,
    BOX_LEFT,
    BOX_RIGHT,
    BOX_TOP,
    DEVICE_LEFT,
    DEVICE_RIGHT,
    EGC,
    FAN_FROM,
    FITTING_LEFT,
    GROUND,
    MARGIN,
    NODE_LEFT,
    PITCH,
    SMALL,
    SPARE,
    WIDTH,
    Ends,
    cap,
    end_of,
    lead,
    node,
    rows_into,
    style_of,
    terminal,
    wire,
)
from takeoff.drawing.shapes import Drawing, Line, Rect, Text, size_that_fits
from takeoff.drawing.words import words_of

LOWEST = 384.0
"""Least height of a drawing: those of one page have the same, and most need no more."""

BELOW_BOX = 66.0
"""Height of what stands below the box: the fill bar and its figures."""


def draw_box(facts: BoxFacts, height: float = LOWEST) -> Drawing:
    """Return the drawing of one box.

    Parameters
    ----------
    facts
        Cables, conductors, ground path and fill of the box.
    height
        Height wanted, in drawing units; a box with many conductors gets more.
    """
    height = max(height, height_of(facts))
    drawing = Drawing(WIDTH, height, words=words_of(facts))
    bottom = height - BELOW_BOX
    title = f"{facts.called}: {facts.title}"
    drawing.add(Text(MARGIN, 16, title, size_that_fits(title, 21, WIDTH - 2 * MARGIN)))
    drawing.add(Rect(BOX_LEFT, BOX_TOP, BOX_RIGHT, bottom, width=5, means="box"))
    ends = _draw_cables(drawing, facts, bottom)
    _draw_lanes(drawing, facts, ends, bottom)
    _draw_fill(drawing, facts, bottom + 14)
    return drawing


def height_of(facts: BoxFacts) -> float:
    """Return the least height that holds the box."""
    left = sum(_cable_height(cable, facts) for cable in facts.cables)
    right = _top(facts) + sum(_lane_height(role) for role in facts.roles) + ground_height(facts)
    return BOX_TOP + max(left + 20, right) + BELOW_BOX


def _top(facts: BoxFacts) -> float:
    """Return the room above the first lane: the name of the device stands there."""
    return 34.0 if facts.has_device else 12.0


def _rows_of(cable: Cable) -> list[tuple[str, str]]:
    """Return the conductors of a cable from top to bottom: role, and the label of its line."""
    rows = [(role, role.rstrip(" 0123456789")) for role in cable.roles]
    return [*rows, *[(EGC, EGC)] * cable.egcs, *[(SPARE, SPARE)] * cable.spares]


def _cable_height(cable: Cable, facts: BoxFacts) -> float:
    return _sheath_height(cable) + 16 * len(_notes(facts, cable)) + 12


def _sheath_height(cable: Cable) -> float:
    """Return the height of a cable: its name and what is done to its end stand in it."""
    return max(len(_rows_of(cable)) * PITCH, 72.0)


def _notes(facts: BoxFacts, cable: Cable) -> list[str]:
    """Return what is said under the end of a cable; nothing is done to the armor of a control cable."""
    if cable.control or cable.other:
        return []
    notes = {"bare, cut flush": facts.bare, "strip folded back": facts.strips, "bushing": facts.bushings}
    sheath = "armor" if facts.armored else "raceway"
    path = [f"{sheath} is ground"] if facts.armor_path else []
    return [*path, *(note for note, count in notes.items() if count)]


def _draw_cables(drawing: Drawing, facts: BoxFacts, bottom: float) -> Ends:
    """Draw the cables and return where each of their conductors stands, by role."""
    heights = [_cable_height(cable, facts) for cable in facts.cables]
    gap = max(0.0, bottom - BOX_TOP - 20 - sum(heights)) / len(heights)
    ends: Ends = {}
    top = BOX_TOP + 10 + gap / 2
    for number, (cable, height) in enumerate(zip(facts.cables, heights, strict=True), start=1):
        rows = _rows_of(cable)
        end = top + _sheath_height(cable)
        first = (top + end - len(rows) * PITCH) / 2
        _draw_sheath(drawing, facts, cable, number, top, end)
        for place, (role, label) in enumerate(rows):
            y = first + (place + 0.66) * PITCH
            drawing.add(Text(BOX_LEFT + 22, y - ABOVE, label, SMALL))
            ends.setdefault(role, []).append((FAN_FROM, y))
        top += height + gap
    return ends


def _draw_sheath(drawing: Drawing, facts: BoxFacts, cable: Cable, number: int, top: float, end: float) -> None:
    """Draw armor or raceway with its fitting, and what is done to its end."""
    half = 10 + 8 * len(cable.sizes)
    plain = cable.control or cable.other
    middle = (top + end) / 2 if plain or not facts.bare + facts.strips else top + half + 6
    armored = bool(facts.armored) and not plain
    drawing.add(Rect(MARGIN, top + 2, FITTING_LEFT, end - 2, "hatch" if armored else "white", means="cable"))
    name = f"{'control' if cable.control else 'other' if cable.other else 'cable' if armored else 'raceway'} {number}"
    drawing.add(Rect(MARGIN + 4, middle - half, FITTING_LEFT - 6, middle + half, "white", 1))
    for line, (text, size) in enumerate(((name, 15.0), *((said, 15.0) for said in cable.sizes))):
        drawing.add(Text((MARGIN + FITTING_LEFT - 2) / 2, middle - half + 10 + 16 * line, text, size, "m"))
    drawing.add(Rect(FITTING_LEFT, top + 8, BOX_LEFT + 2, end - 8, "white", 3, "fitting"))
    drawing.add(Rect(BOX_LEFT + 2, top + 4, BOX_LEFT + 8, end - 4, "black", 0))
    y = end - 12
    if plain:
        return
    if facts.bare:
        _stub(drawing, [(FITTING_LEFT - 34, y), (FITTING_LEFT + 1, y)], "bare")
        drawing.add(Line([(FITTING_LEFT + 1, y - 6), (FITTING_LEFT + 1, y + 6)], width=3))
    if facts.strips:
        back = [(FITTING_LEFT - 34, y - 6), (FITTING_LEFT + 6, y - 6), (FITTING_LEFT + 6, y + 6)]
        _stub(drawing, [*back, (FITTING_LEFT - 20, y + 6)], "strip")
    if facts.armor_path:
        draw_path(drawing, top, end)
    if facts.bushings:
        drawing.add(Rect(FITTING_LEFT - 5, top - 1, FITTING_LEFT + 2, end + 1, "black", 1, "bushing"))
    for line, note in enumerate(_notes(facts, cable)):
        drawing.add(Text(MARGIN, end + 12 + 16 * line, note, 15))


def _stub(drawing: Drawing, points: Sequence[tuple[float, float]], means: str) -> None:
    drawing.add(Line(points, width=10, style="hollow"), Line(points, width=3, means=means))


def _lane_rows(role: RoleFacts) -> int:
    """Return the lines of a role to the right of its splice, or past the place where it would be."""
    return role.terminals + role.leads if role.spliced else max(1, role.ends_in)


def _lane_height(role: RoleFacts) -> float:
    return max(_lane_rows(role) * PITCH, role.ends_in * 10 * role.spliced + 8, PITCH) + 6


def _draw_lanes(drawing: Drawing, facts: BoxFacts, ends: Ends, bottom: float) -> None:
    """Draw what becomes of each role, one below the other, and of the grounds at the bottom."""
    heights = [_lane_height(role) for role in facts.roles]
    used = _top(facts) + sum(heights) + ground_height(facts)
    gap = max(0.0, bottom - BOX_TOP - used) / (len(heights) + 1)
    top = BOX_TOP + _top(facts) + gap / 2
    lanes = []
    for height in heights:
        lanes.append(top + height / 2)
        top += height + gap
    ground = bottom - ground_height(facts)
    if facts.has_device:
        _draw_device(drawing, facts, lanes, ground)
    for role, middle in zip(facts.roles, lanes, strict=True):
        _draw_role(drawing, role, ends.get(role.name, []), middle)
    for start in ends.get(SPARE, []):
        wire(drawing, SPARE, [(BOX_LEFT + 8, start[1]), (FAN_FROM - 20, start[1])])
        cap(drawing, FAN_FROM - 20, start[1], SPARE)
    draw_ground(drawing, facts, ends.get(EGC, []), ground, bottom)


def _draw_device(drawing: Drawing, facts: BoxFacts, lanes: Sequence[float], ground: float) -> None:
    """Draw the device behind its terminals, from the first of its lines to the last."""
    used = [
        y + (n - (rows - 1) / 2) * PITCH
        for role, y in zip(facts.roles, lanes, strict=True)
        if role.terminals + role.leads
        for rows in [_lane_rows(role)]
        for n in range(rows)
    ]
    used += ground_rows(facts, ground)
    first, last = min(used), max(used)
    drawing.add(Rect(DEVICE_LEFT, first - 38, DEVICE_RIGHT, last + 15, "white", 3, "device"))
    size = size_that_fits(facts.device, 18, DEVICE_RIGHT - DEVICE_LEFT - 12)
    drawing.add(Text((DEVICE_LEFT + DEVICE_RIGHT) / 2, first - 25, facts.device, size, "m"))


def _draw_role(drawing: Drawing, role: RoleFacts, starts: Sequence[tuple[float, float]], middle: float) -> None:
    style, means = style_of(role.kind), end_of(role.kind)
    if role.spliced:
        out = role.terminals + role.leads
        rows = [middle + (n - (out - 1) / 2) * PITCH for n in range(out)]
        into = rows_into(middle, len(starts))
        for (x, y), target in zip(starts, into, strict=True):
            wire(drawing, style, [(BOX_LEFT + 8, y), (x, y), (NODE_LEFT, target)])
        for n, y in enumerate(rows):
            (terminal if n < role.terminals else lead)(drawing, style, y, role.kind, means)
        node(drawing, into, rows, means)
        return
    rows = [middle + (n - (len(starts) - 1) / 2) * PITCH for n in range(len(starts))]
    for (x, y), target in zip(starts, rows, strict=True):
        path = [(BOX_LEFT + 8, y), (x, y), (NODE_LEFT, target)]
        if role.capped:
            wire(drawing, style, path)
            cap(drawing, NODE_LEFT, target, means)
        else:
            terminal(drawing, style, target, role.kind, means, path)


def _draw_fill(drawing: Drawing, facts: BoxFacts, top: float) -> None:
    """Draw the fill bar: its frame is the volume of the box, the hatched part its conductors and device."""
    fill, right = facts.fill, WIDTH - MARGIN
    if fill.in3 is None:
        drawing.add(Text(MARGIN, top + 14, "Box fill does not apply: size the box by 314.28"))
        return
    if not fill.volume_in3:
        drawing.add(Text(MARGIN, top + 14, f"Box fill {fill.in3:.2f} in3: no box of the catalog holds it"))
        return
    per_in3 = (right - MARGIN) / fill.volume_in3
    without = MARGIN + (fill.in3 - fill.egc_in3) * per_in3
    drawing.add(Rect(MARGIN, top, without, top + BAR_HEIGHT, "hatch", 2, "fill"))
    parts = [f"hatched: wires and device {fill.in3 - fill.egc_in3:.2f}"]
    if fill.egc_in3:
        drawing.add(Rect(without, top, MARGIN + fill.in3 * per_in3, top + BAR_HEIGHT, "black", 2, "fill of EGCs"))
        parts.append(f"black: {GROUND} {fill.egc_in3:.2f}")
    drawing.add(Rect(MARGIN, top, right, top + BAR_HEIGHT, "none", 3, "volume"))
    said = f"{fill.in3:.2f} of {fill.volume_in3:.1f} in3, {fill.full_pct} % full ({', '.join(parts)})"
    drawing.add(Text(MARGIN, top + BAR_HEIGHT + 13, said, size_that_fits(said, 17, right - MARGIN)))
