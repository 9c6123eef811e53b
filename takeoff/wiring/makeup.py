"""Make-up types: boxes with the same make-up are one type, with a count.

A type is everything that decides what happens in a box whatever the cable construction: the runs that
enter, the conductors by role, the devices and how they connect, the style of box. The panel end of a
home run is a type too, so that its work is counted once and kept apart from the boxes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from takeoff.catalog.rows import Catalogs
from takeoff.wiring.kinds import Run
from takeoff.wiring.tree import WiredBox

KINDS = {
    "A": "hot",
    "B": "hot",
    "C": "hot",
    "N": "neutral",
    "S": "switch leg",
    "T": "traveler",
    "I": "isolated ground",
    "D": "control",
}
SEAM = "seam"
"""Place of the end of a run that enters a box of another construction."""

SWITCH = "switch"
"""Kind of devices that metal screws may bond to a metal box, NEC 404.9(B)."""

CONTROL = "control"
"""Conductors of a control pair: a class of their own beside circuit and ground."""

ORDER = ("hot", "neutral", "switch leg", "traveler", "isolated ground", CONTROL)


@dataclass(frozen=True, order=True)
class RoleLine:
    """The ends of one conductor role in a box.

    `ends_in` come with the runs; `terminals` and `leads` are the connections of devices to it;
    `through` is 1 where a device's two terminals may carry it on without a splice; `awg` is the
    largest conductor of the role here.
    """

    order: int
    ends_in: int
    terminals: int
    leads: int
    through: int
    awg: str

    @property
    def kind(self) -> str:
        """Name what the conductor is, without its letter."""
        return ORDER[self.order]


@dataclass(frozen=True)
class MakeUp:
    """What is the same in every box of a type; equal make-ups are one type.

    `runs` are those in the construction of the feeding run; `others` are in others, stretch by stretch, and bring
    `other_egcs`, the largest `other_egc_awg`, into the box; they are among its `ground_leads`. What they
    may bring tells `variant` from variant.
    """

    place: str
    devices: tuple[str, ...]
    box_style: str
    gangs: int
    runs: tuple[str, ...]
    roles: tuple[RoleLine, ...]
    fill: tuple[tuple[str, str, int], ...]
    yokes: int
    bonded_terminals: int
    bonded_switches: int
    bonded_leads: int
    ground_leads: int
    isolated_ends: int
    isolated_awg: str
    largest_run: str
    largest_awg: str
    green_lead_awg: str
    shared_neutral: bool = False
    others: tuple[tuple[str, ...], ...] = ()
    other_egcs: int = 0
    other_egc_awg: str = "none"
    variant: int = 0

    @property
    def entries(self) -> int:
        """Count the runs that enter, those in other constructions too."""
        return len(self.runs) + sum(map(len, self.others))

    def describe(self) -> str:
        """Return the make-up in a foreman's words."""
        kinds = [*self.runs, *(kind for of_stretch in self.others for kind in of_stretch)]
        runs = " + ".join(f"{n} x {kind}" if n > 1 else kind for kind, n in Counter(kinds).items())
        if self.place == SEAM:
            return f"end of a run at a box of another construction, {runs}"
        if self.place == "panel":
            return f"panel end of a home run, {runs} ({', '.join(r.kind for r in self.roles)})"
        counts = Counter(self.devices)
        devices = " + ".join(f"{n} {d}" if n > 1 else d for d, n in counts.items())
        shared = ", shared neutral" if self.shared_neutral else ""
        where = "end of run" if self.entries == 1 else "middle of run" if self.entries == 2 else f"{self.entries} runs"
        if self.others:
            apart = self.entries - len(self.runs)
            shared += (
                f", {apart} run{'s' * (apart > 1)} in another construction with {self.other_egcs or 'no'} wire EGC"
            )
        size = f" {self.gangs}-gang" if self.gangs else ""
        return f"{devices}, {where} ({runs}), {self.box_style}{size}{shared}"

    def conductors(self) -> str:
        """Return the ends of each role: how many come in, and how many connections devices make to it."""
        said = (f"{r.kind} {r.ends_in}+{r.terminals + r.leads}" for r in self.roles)
        return ", ".join(said)


def make_ups_of_boxes(boxes: Iterable[WiredBox], catalogs: Catalogs, rank: dict[str, float]) -> list[MakeUp]:
    """Return the make-up of every box; it is found once for those in which everything it hangs on is alike."""
    known: dict[tuple[object, ...], MakeUp] = {}
    found = []
    for box in boxes:
        runs = ((tuple(r.roles), r.awg, r.control_awg, r.apart, r.stretch == box.run.stretch) for r in box.runs)
        devices = tuple(box.source.devices), tuple(map(tuple, box.taps))
        alike = (*devices, box.box_style, box.gangs, box.multiwire, *runs)
        if alike not in known:
            known[alike] = box_make_up(box, catalogs, rank)
        found.append(known[alike])
    return found


def box_make_up(box: WiredBox, catalogs: Catalogs, rank: dict[str, float]) -> MakeUp:
    """Return the make-up of a box, but for what runs in other constructions bring."""
    mine = [run for run in box.runs if run.stretch == box.run.stretch]
    used: Counter[tuple[str, str]] = Counter()
    straight: set[str] = set()
    four_way: set[str] = set()
    largest = {
        role: max((r.awg_of(role) for r in box.runs if role in r.every), key=rank.__getitem__) for role in _roles(box)
    }
    fill: Counter[tuple[str, str]] = Counter()
    top = max((run.awg for run in box.runs), key=rank.__getitem__)
    green: list[str] = []
    for run in box.runs:
        for role in run.every:
            fill["conductor", run.awg_of(role)] += role != "IG"
    for device, roles in zip(box.devices, box.taps, strict=True):
        by = str(device["connects"])
        for role in roles:
            used[role, by] += 1
        if _n(device["terminals_each"]) > 1:
            straight.update(r for r in roles if r[0] not in "DI" and not (r == "N" and box.multiwire))
        four_way.update(r for r in roles if roles.count(r) == 2)
        if _n(device["yokes"]):
            size = max((largest[r] for r in roles), key=rank.__getitem__)
            fill["yoke-gang", size] += _n(device["yokes"]) * _n(device["gangs_each"])
        lead = box.run.awg if device["lead_awg"] == "circuit" else str(device["lead_awg"])
        fill["lead", lead] += _n(device["fill_leads"])
        green += [lead] * _n(device["fill_ground_leads"])
        fill["terminal-block", top] += _n(device["terminal_blocks"])
    style = catalogs["box_styles"][box.box_style]
    fill["clamps", top] += _n(style["clamps"])
    fill["support-fitting", top] += _n(style["support_fittings"])
    lines: list[RoleLine] = []
    for role, size in largest.items():
        ends, terminals, leads = box.ends(role), used[role, "terminals"], used[role, "leads"]
        kind = ORDER.index(KINDS[role[0]])
        if role in four_way and ends == terminals == 2:
            lines += [RoleLine(kind, 1, 1, 0, 0, size)] * 2
        else:
            through = int(role in straight and (ends, terminals, leads) == (2, 1, 0))
            lines.append(RoleLine(kind, ends, terminals, leads, through, size))
    bonded = [d for d in box.devices if d["bond"] and not d["self_grounding"]]
    return MakeUp(
        place="box",
        devices=tuple(sorted(box.source.devices)),
        box_style=box.box_style,
        gangs=box.gangs,
        runs=_kinds(mine, rank),
        roles=tuple(sorted(lines)),
        fill=tuple(sorted((part, size, n) for (part, size), n in fill.items() if n)),
        yokes=sum(_n(d["yokes"]) for d in box.devices),
        bonded_terminals=sum(d["connects"] == "terminals" for d in bonded),
        bonded_switches=sum(d["connects"] == "terminals" and d["device_kind"] == SWITCH for d in bonded),
        bonded_leads=sum(d["connects"] == "leads" for d in bonded),
        ground_leads=len(green),
        isolated_ends=box.ends("IG"),
        isolated_awg=largest.get("IG", top),
        largest_run=max(mine, key=lambda r: (rank[r.awg], len(r.roles))).kind,
        largest_awg=top,
        green_lead_awg=max(green, key=rank.__getitem__, default=box.run.awg),
        shared_neutral=box.multiwire and any(role == "N" for roles in box.taps for role in roles),
    )


def panel_make_up(run: Run) -> MakeUp:
    """Return the make-up of a home run at its panel."""
    lines = sorted(RoleLine(ORDER.index(KINDS[role[0]]), 1, 1, 0, 0, run.awg) for role in run.roles)
    return MakeUp(
        place="panel",
        devices=(),
        box_style="panel",
        gangs=0,
        runs=(run.kind,),
        roles=tuple(lines),
        fill=(),
        yokes=0,
        bonded_terminals=0,
        bonded_switches=0,
        bonded_leads=0,
        ground_leads=0,
        isolated_ends=0,
        isolated_awg=run.awg,
        largest_run=run.kind,
        largest_awg=run.awg,
        green_lead_awg=run.awg,
    )


def _roles(box: WiredBox) -> list[str]:
    return list(dict.fromkeys(role for run in box.runs for role in run.every))


def _kinds(runs: list[Run], rank: dict[str, float]) -> tuple[str, ...]:
    return tuple(run.kind for run in sorted(runs, key=lambda r: (-rank[r.awg], -len(r.roles), r.kind)))


def _n(value: object) -> int:
    return int(float(str(value)))
