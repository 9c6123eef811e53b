"""What the drawing of a box shows, in words with counts: read by people who do not see it."""

from __future__ import annotations

from takeoff.drawing.facts import BoxFacts, RoleFacts
from takeoff.drawing.parts import CONTROL


def words_of(facts: BoxFacts) -> str:
    """Return the alternative text of a drawing."""
    sheath = "cable" if facts.armored else "raceway"
    ground, fill = facts.ground, facts.fill
    said = [
        f"Drawing of one box of type {facts.type}, {facts.make_up}, wired as {facts.called} ({facts.title})",
        f"{_number(len(facts.cables), sheath)} enter: "
        + ", ".join(
            f"{CONTROL} cable " * cable.control + " and ".join(cable.sizes) + " in another construction" * cable.other
            for cable in facts.cables
        ),
        *(_role(role) for role in facts.roles),
    ]
    if ground.splices:
        said.append(f"grounds: one splice of {ground.splice_ends} ends, {ground.egc_ends} of them from the {sheath}s")
    elif ground.egc_ends and ground.device_ends:
        said.append("grounds: the EGC is looped unbroken under the box screw and lands on the device")
    elif ground.egc_ends:
        said.append("grounds: the EGC lands on the box screw")
    else:
        said.append(f"grounds: no wire-type EGC comes in, the {sheath} and its fitting are the ground path")
    said.append(f"ground ends on box screws {ground.screw_ends}, on green terminals {ground.device_ends}")
    if facts.armor_path:
        said.append(f"the ground path runs along the {sheath} through each fitting into the wall of the box")
    made = {"bare conductors cut flush": facts.bare, "bond strips folded back": facts.strips}
    made["anti-short bushings"] = facts.bushings
    said += [f"{what} {count}" for what, count in made.items() if count]
    if fill.in3 is None:
        said.append("box fill does not apply, 314.28 sizes the box")
    else:
        said.append(
            f"fill {fill.in3:.2f} in3, of it EGCs {fill.egc_in3:.2f}; box {fill.box}, {fill.volume_in3:.1f} in3"
        )
    return "; ".join(said) + "."


def _role(role: RoleFacts) -> str:
    out = role.terminals + role.leads
    if role.spliced:
        leave = f"{_number(role.pigtails, 'pigtail')}, {_number(role.leads, 'lead')}"
        return f"{role.name}: splice of {role.ends_in + out} ends, {leave}"
    if role.capped:
        return f"{role.name}: {_number(role.ends_in, 'end')} capped"
    return f"{role.name}: {_number(role.ends_in, 'end')} on terminals of the device"


def _number(count: int, word: str) -> str:
    return f"{count} {word}" + ("" if count == 1 else "s")
