"""Switch legs and travelers of a circuit whose rows say no wires, from the order of its devices.

The rule, a convention of this project: a switch feeds the luminaires behind it up to the next switch; two
three-way switches, with four-way ones between them, feed those behind the second. Each run brings what is used
behind it and no more, the neutral always. What this rule does not tell is left to the user, who says the wires.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from takeoff.catalog.rows import Row

ASK = 'say with wires what each run brings, such as "A N" to a switch and "S1 N" to what it feeds'

MEND = "correct wires, or say with taps what it uses"
BLANK = {
    "hot": "the poles of the breaker, or a device of fewer poles; or say with wires what the run brings",
    "neutral": "neutral = yes where the circuit has one; or say with wires what the run brings",
    "leg": "put what it feeds in rows behind it, or say with wires what each run brings",
    "traveler": "put the other three-way switch in a row behind it, or say with wires what each run brings",
}
"""What mends a connection that no run serves, by its kind, where the row says no wires; else `MEND`."""


@dataclass
class Led:
    """What the feeding run of a box brings by the rule; `taps` where its devices take other roles than usual.

    `leg` and `travelers` come to the box, `leg_on` and `travelers_on` leave it; `wrong` is what cannot be told.
    """

    feeder: int
    leg: str = ""
    travelers: bool = False
    leg_on: str = ""
    travelers_on: bool = False
    uses_hot: bool = False
    uses_leg: bool = False
    wrong: str = ""
    taps: list[str] = field(default_factory=list)

    @property
    def roles(self) -> list[str]:
        """The roles that the feeding run brings."""
        roles = [*(["A"] if self.uses_hot else []), *([self.leg] if self.uses_leg else [])]
        roles += ["T1", "T2"] if self.travelers else []
        return [*roles, "N"]


def needs_legs(devices: Sequence[Sequence[Row]]) -> bool:
    """Say whether any device of a circuit connects to a switch leg or a traveler."""
    return any({"leg", "traveler"} & set(str(d["roles"]).split()) for of in devices for d in of)


def lead(feeders: Sequence[int], devices: Sequence[Sequence[Row]]) -> list[Led]:
    """Return what the run into each box of a circuit of one pole brings.

    Parameters
    ----------
    feeders
        For each box the place of the one that feeds it, -1 for the panel; no loops.
    devices
        For each box its devices.
    """
    boxes = [Led(feeder) for feeder in feeders]
    order = _from_the_panel(feeders)
    legs = 0
    for at in order:
        box = boxes[at]
        if box.feeder >= 0:
            box.leg, box.travelers = boxes[box.feeder].leg_on, boxes[box.feeder].travelers_on
        legs += _serve(box, devices[at], legs)
    for at in reversed(order):
        box = boxes[at]
        if not (box.uses_hot or box.uses_leg or box.travelers):
            box.uses_leg, box.uses_hot = bool(box.leg), not box.leg  # a dead end, such as a junction for later
        if box.feeder >= 0:
            before = boxes[box.feeder]
            before.uses_hot |= box.uses_hot
            before.uses_leg |= box.uses_leg and box.leg == before.leg
    return boxes


def _from_the_panel(feeders: Sequence[int]) -> list[int]:
    """Return the places of the boxes, each behind the one that feeds it."""
    fed: dict[int, list[int]] = {}
    for at, feeder in enumerate(feeders):
        fed.setdefault(feeder, []).append(at)
    order: list[int] = []
    stack = list(reversed(fed.get(-1, [])))
    while stack:
        order.append(stack.pop())
        stack += reversed(fed.get(order[-1], []))
    return order


def _serve(box: Led, devices: Sequence[Row], legs: int) -> int:
    """Say what the devices of a box use and send on; return how many legs begin here."""
    roles = [str(device["roles"]).split() for device in devices]
    switches = sum("leg" in of for of in roles)
    several_way = [of.count("traveler") for of in roles if "traveler" in of]
    box.leg_on, box.travelers_on = box.leg, box.travelers
    box.uses_hot = any("hot" in of for of in roles)
    if switches + len(several_way) > 1:
        box.wrong = "holds several switches: which of them feeds what is not told by their order"
        return 0
    begins = switches
    if several_way == [2]:
        box.travelers_on = not box.travelers
        begins = int(box.travelers)
        box.uses_hot |= not box.travelers
    elif several_way and not box.travelers:
        box.wrong = "is a four-way switch that no three-way switch feeds"
    if begins:
        box.leg_on = f"S{legs + 1}"
    _light(box, devices)
    return begins


def _light(box: Led, devices: Sequence[Row]) -> None:
    """Let the luminaires of a box take the leg that comes to it, those that are never switched the hot."""
    lit = [d for d in devices if "feed" in str(d["roles"]).split()]
    switched = [d for d in lit if not d["unswitched"]]
    if switched and box.travelers:
        box.wrong = "is a luminaire between three-way switches: which run brings its leg is not told by their order"
    if switched and box.leg:
        box.uses_leg = True
    elif lit:
        box.uses_hot = True
    if len(lit) > len(switched):
        box.uses_hot = True
        if len(devices) > 1 and box.leg:
            box.wrong = "holds a device that is never switched beside others"
        elif box.leg:
            box.taps = ["A", "N"]
