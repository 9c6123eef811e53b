"""From schedule rows to wiring: the tree of runs per circuit, and what meets in every box.

A run is one cable from a box, or from the panel, to a box; a box is entered by its feeding run and by
every run it feeds. Conductors are told apart by role (hot, neutral, switch leg, traveler, isolated
ground), and every device connects to roles, by rule or as the schedule's `taps` say.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache, partial
from itertools import chain

from takeoff.catalog.rows import Catalogs, Row
from takeoff.job.pairs import PAIR, size_of_pair
from takeoff.job.records import PANEL, BoxRow, Circuit, Schedule
from takeoff.text.problems import Problem, Problems, nearest
from takeoff.wiring.kinds import Run
from takeoff.wiring.legs import ASK, BLANK, MEND, lead, needs_legs
from takeoff.wiring.loops import loops
from takeoff.wiring.pairs import check_home_run
from takeoff.wiring.sizing import Conditions, Sizing, conditions_in, smallest_awg
from takeoff.wiring.taps import HOTS, WORDS, choose, mismatch

HINTED = 40
"""Problems for which the nearest of many ids is sought."""


@dataclass(slots=True)
class WiredBox:
    """A box with its feeding run, the runs it feeds, and the roles each of its devices connects to.

    `told` are the roles that its devices are told to take, `drop_ft` what the feeding run has of drops; it is
    `led` where the roles of its run were concluded from the order of the devices. `spaces` hold for its feeding run,
    which is `held` to a construction by its row; `home` is the one that home runs are in unless their circuit is held.
    """

    source: BoxRow
    circuit: Circuit
    run: Run
    box_style: str
    gangs: int
    load_va: float
    devices: list[Row]
    fed: list[Run] = field(default_factory=list)
    taps: list[list[str]] = field(default_factory=list)
    multiwire: bool = False
    upstream: WiredBox | None = None
    told: list[str] = field(default_factory=list)
    drop_ft: float = 0.0
    led: bool = False
    sized_by: str = "as said"
    spaces: list[str] = field(default_factory=list)
    held: str = ""
    home: str = ""

    @property
    def run_ft(self) -> float:
        """Length of the feeding run, with its drops."""
        return self.source.run_ft + self.drop_ft

    @property
    def from_panel(self) -> bool:
        """Say whether the feeding run is a home run."""
        return self.upstream is None

    @property
    def runs(self) -> list[Run]:
        """All runs that enter the box, the feeding one first."""
        return [self.run, *self.fed]

    def ends(self, role: str) -> int:
        """Count the conductor ends of a role that come into the box."""
        return sum(role in run.every for run in self.runs)


@dataclass(frozen=True)
class Job:
    """The wired job: boxes in schedule order, circuits, and what the user should know."""

    schedule: Schedule
    boxes: list[WiredBox]
    circuits: list[Circuit]
    notices: list[Problem]


def wire(schedule: Schedule, catalogs: Catalogs, conditions: Conditions) -> Job:
    """Build the runs, check their tree and give every device its conductors.

    Parameters
    ----------
    schedule
        Validated rows.
    catalogs
        Devices and conductor sizes.
    conditions
        What decides on a size that the schedule leaves open.

    Raises
    ------
    InputError
        Loops, unknown parents, parents of another circuit, roles that no run brings, each with its row.
    """
    problems = schedule.problems
    whole = [c for c in schedule.circuits.values() if c.name not in schedule.broken]
    boxes = [b for b in schedule.boxes if b.circuit not in schedule.broken and b.circuit]
    sizing = cache(partial(smallest_awg, catalogs=catalogs))  # thousands of boxes ask the same
    of = {c.name: conditions_in(c, conditions, catalogs) for c in schedule.circuits.values()}
    wired = {b.box.casefold(): _wired(b, schedule, catalogs, of[b.circuit], sizing, problems) for b in boxes}
    broken = {b.box.casefold() for b in schedule.boxes} - wired.keys()
    for circuit in whole:
        mine = [wired[b.box.casefold()] for b in circuit.boxes]
        if _join(circuit, wired, broken, problems) and _lead(mine, problems):
            shared = any("N" in b.run.roles and sum(r in HOTS for r in b.run.roles) > 1 for b in mine)
            for box in mine:
                box.multiwire = shared
                _connect(box, problems)
    problems.stop_on_errors()
    _tell_led([box for box in wired.values() if box.led], problems)
    return Job(schedule, list(wired.values()), whole, list(problems.found))


def _tell_led(boxes: list[WiredBox], problems: Problems) -> None:
    """Say once whose wires were concluded, and show them of the first circuit."""
    names = list(dict.fromkeys(box.circuit.name for box in boxes))
    if names:
        shown = "; ".join(f"{b.source.box} {' '.join(b.run.roles)}" for b in boxes if b.circuit.name == names[0])
        message = (
            f"are blank for {', '.join(names[:6])}{', ...' if names[6:] else ''} and follow from the order of devices:"
        )
        problems.notice(boxes[0].source.row, "wires", shown, message, "check --expanded shows them")


def _num(value: object) -> float:
    return float(str(value))


def _wired(
    box: BoxRow, schedule: Schedule, catalogs: Catalogs, conditions: Conditions, sizing: Sizing, problems: Problems
) -> WiredBox:
    circuit = schedule.circuits[box.circuit]
    devices = [catalogs["devices"][d] for d in box.devices]
    yoked = next((d for d in devices if d["yokes"]), devices[0])
    roles = [r for r in box.wires if r not in PAIR] or [*HOTS[: circuit.poles], *(["N"] if circuit.neutral else [])]
    awg = box.awg or sizing(circuit.breaker_a, tuple(roles), conditions)
    if not awg:
        message = f"no catalog size carries a breaker of {circuit.breaker_a:g} A by rule"
        problems.error(box.row, "awg", "", message, "give awg in the schedule")
    control = size_of_pair(box)
    if not any(role[0] in "ABCST" for role in roles):
        message = "carries neither a hot nor a switch leg nor a traveler:"
        problems.error(box.row, "wires", " ".join(roles), message, "the roles of a circuit, 300.3(B)")
    needs = sum(int(_num(d["yokes"]) * _num(d["gangs_each"])) for d in devices)
    if box.gangs is not None and box.gangs < needs:
        message = f"gangs are fewer than the {needs} that its devices need:"
        problems.notice(box.row, "gangs", str(box.gangs), message, "taken as given")
    load = sum(_num(d["load_va"]) for d in devices) if box.load_va is None else box.load_va
    return WiredBox(
        source=box,
        circuit=circuit,
        run=Run(roles, awg, control_awg=control, apart=bool(control) and box.control_apart),
        box_style=box.box_style or str(yoked["box_style"]),
        gangs=needs if box.gangs is None else box.gangs,
        load_va=load,
        devices=devices,
        told=list(box.taps),
        sized_by="as said" if box.awg else str(conditions),
        spaces=box.spaces,
        held=box.run_construction,
    )


def _join(circuit: Circuit, wired: dict[str, WiredBox], broken: set[str], problems: Problems) -> bool:
    """Resolve every `fed_from` of a circuit and hang the runs on their parents; say whether all is well."""
    before = len(problems.found)
    parents: dict[str, str] = {}
    previous = PANEL
    for box in circuit.boxes:
        parent = box.fed_from.casefold() or previous
        previous = key = box.box.casefold()
        if parent == PANEL:
            check_home_run(wired[key].source, wired[key].run, problems)
            continue
        if parent in broken:
            problems.error(
                box.row, "fed_from", box.fed_from, "is a box of a circuit that has errors:", "mend its rows first"
            )
        elif parent not in wired:
            accepted = "a box of the same circuit, or panel"
            if len(problems.found) < HINTED:
                known = [b.box for b in circuit.boxes if b is not box]
                accepted = f"{nearest(box.fed_from, known)}, or panel" if known else "accepted: panel"
            problems.error(box.row, "fed_from", box.fed_from, "is not a box of the schedule:", accepted)
        elif wired[parent].circuit is not circuit:
            other = wired[parent]
            problems.error(
                box.row,
                "fed_from",
                box.fed_from,
                f"is in circuit {other.circuit.name} (row {other.source.row}), this box in {circuit.name}:",
                "a box of the same circuit, or panel",
            )
        else:
            parents[key] = parent
            wired[key].upstream = wired[parent]
            wired[parent].fed.append(wired[key].run)
    for loop in loops(parents):
        boxes = sorted((wired[k].source for k in loop), key=lambda b: b.row)
        names = ", ".join(f"{b.box} (row {b.row})" for b in boxes)
        problems.error(
            boxes[0].row,
            "fed_from",
            "",
            f"a loop that the panel does not feed: {names}",
            "feed one of them from panel or from a box that the panel feeds",
        )
    if len(problems.found) == before:
        for key, parent in parents.items():
            _check_brought(wired[key], wired[parent], problems)
    return len(problems.found) == before


def _lead(boxes: list[WiredBox], problems: Problems) -> bool:
    """Give the runs of a circuit without wires said their legs and travelers; say whether that could be done."""
    devices = [box.devices for box in boxes]
    said = any(box.source.wires or box.source.taps for box in boxes)
    if said or boxes[0].circuit.poles > 1 or not boxes[0].circuit.neutral or not needs_legs(devices):
        return True
    at = {id(box): place for place, box in enumerate(boxes)}
    found = lead([at[id(box.upstream)] if box.upstream else -1 for box in boxes], devices)
    wrong: dict[tuple[int | None, str], list[str]] = {}
    for box, led in zip(boxes, found, strict=True):
        box.run.roles, box.told, box.led = led.roles, led.taps, True
        if led.wrong:
            wrong.setdefault((box.source.row, led.wrong), []).append(box.source.box)
    for (row, said_of), (first, *more) in wrong.items():
        others = f", and {len(more)} more of its row," if more else ""
        problems.error(row, "wires", "", f"{first}{others} {said_of}", ASK)
    return not wrong


def _check_brought(box: WiredBox, parent: WiredBox, problems: Problems) -> None:
    """A hot, a neutral or an isolated ground must come into the parent to leave it again."""
    for role in box.run.roles:
        if role[0] not in "ST" and role not in parent.run.roles:
            carried = " ".join(parent.run.roles)
            problems.error(
                box.source.row,
                "wires",
                role,
                f"{parent.source.box} (row {parent.source.row}) feeds this box but is fed with {carried} only:",
                "carry it through the feeding run, or take it out here",
            )


def _connect(box: WiredBox, problems: Problems) -> None:
    """Give every device of the box its roles, and note ends that nothing uses."""
    taken: list[str] = []
    explicit = list(box.told)
    needed = [(d, str(d["roles"]).split() if d["roles"] != "none" else []) for d in box.devices]
    if explicit and len(explicit) != sum(len(roles) for _, roles in needed):
        wanted = " + ".join(f"{d['device']} {len(roles)}" for d, roles in needed)
        problems.error(
            box.source.row,
            "taps",
            " ".join(explicit),
            f"conductors named: {len(explicit)}, connections: {sum(len(roles) for _, roles in needed)}:",
            f"one for each connection, in device order: {wanted}",
        )
        return
    runs = [run.every for run in box.runs]
    for device, kinds in needed:
        roles: list[str] = []
        for kind in kinds:
            given = explicit.pop(0) if explicit else ""
            role = given or choose(kind, runs, roles, taken, kinds)
            what = mismatch(kind, given, roles, kinds) if given else ""
            if not what and not role:
                what = f"needs {WORDS[kind]} that no run of the box brings"
            elif not what and not box.ends(role):
                what = f"no run of the box brings {role}"
            if what:
                carried = "; ".join(map(" ".join, runs))
                problems.error(
                    box.source.row,
                    "taps" if box.source.taps else "wires",
                    carried,
                    f"{device['device']}: {what}; its runs carry",
                    MEND if box.source.wires or box.source.taps else BLANK.get(kind, MEND),
                )
                return
            roles.append(role)
            if kind == "leg":
                taken.append(role)
        box.taps.append(roles)
    used = {role for roles in box.taps for role in roles}
    unused = [r for r in dict.fromkeys(chain.from_iterable(runs)) if box.ends(r) == 1 and r not in used]
    if unused:
        problems.notice(box.source.row, "wires", " ".join(unused), "ends here unused and is counted as capped:")
