"""What the wiring says of each circuit, whatever it is wired in: its tree, its conductors, its devices.

These are facts of the schedule. The rules that use them are columns of the model.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from takeoff.job.records import UNKNOWN
from takeoff.wiring.taps import HOTS
from takeoff.wiring.tree import Job, WiredBox


@dataclass(frozen=True)
class TreePlace:
    """The place of a box in its circuit's tree, laid out so that what hangs on a box follows it.

    `upstream` is the place of the box that feeds it, 0 at the panel; `last` the place of the last box
    that hangs on it. Places are counted from 1 over the whole job. `shares` are the shares
    of its current in the ungrounded conductors, `between` 1 for hot to neutral, 2 for two hots, 3 for three.
    """

    box: WiredBox
    number: int
    upstream: int
    last: int
    shares: Mapping[str, float]
    between: int


@dataclass(frozen=True)
class RunLine:
    """A kind of run of a circuit, with the conductors that decide on adjustment."""

    kind: str
    awg: str
    ungrounded: int
    neutrals: int
    hots: int


@dataclass(frozen=True)
class TestedRun:
    """A kind of run behind a breaker: what the rules of ampacity and ground size see of it."""

    line: RunLine
    breaker_a: float
    several_receptacles: bool
    in_insulation: str
    jacketed: bool


def lay_out(job: Job) -> list[TreePlace]:
    """Return every box behind the one that feeds it, circuit by circuit."""
    number = {id(b): n for n, b in enumerate(job.boxes, start=1)}
    fed: dict[int, list[WiredBox]] = {}
    for box in job.boxes:
        fed.setdefault(id(box.upstream) if box.upstream else 0, []).append(box)
    places: list[TreePlace] = []
    homes: dict[int, list[WiredBox]] = {}
    for box in fed.get(0, []):
        homes.setdefault(id(box.circuit), []).append(box)
    for circuit in job.circuits:
        for home in homes.get(id(circuit), []):
            _lay(home, 0, fed, number, places)
    return places


def _lay(
    home: WiredBox, upstream: int, fed: dict[int, list[WiredBox]], number: dict[int, int], places: list[TreePlace]
) -> None:
    """Lay out one home run and all that hangs on it, without recursion: a chain may be long."""
    stack: list[tuple[WiredBox, int]] = [(home, upstream)]
    order: list[tuple[WiredBox, int]] = []
    first = len(places) + 1
    at: dict[int, int] = {}
    while stack:
        box, feeder = stack.pop()
        at[id(box)] = first + len(order)
        order.append((box, feeder))
        stack += [(b, at[id(box)]) for b in reversed(fed.get(id(box), []))]
    last = {at[id(box)]: at[id(box)] for box, _ in order}
    for box, feeder in reversed(order):
        if feeder:
            last[feeder] = max(last[feeder], last[at[id(box)]])
    for box, feeder in order:
        places.append(TreePlace(box, number[id(box)], feeder, last[at[id(box)]], shares_of(box), between_of(box)))


def shares_of(box: WiredBox) -> dict[str, float]:
    """Return the share of a box's current that flows in each ungrounded conductor its load is connected to.

    Devices share the load by what the catalog gives them, alike where it gives none. A switch leg or
    traveler belongs to the hot of the nearest switch upstream that connects it, else to the first hot of
    the home run.
    """
    weights = [float(str(device["load_va"])) for device in box.devices]
    drawing = [(d, w) for d, w in zip(box.taps, weights, strict=True) if d and (w or not any(weights))]
    whole = sum(w or 1 for _, w in drawing)
    shares: dict[str, float] = {}
    for roles, weight in drawing:
        direct = [r for r in roles if r in HOTS]
        for hot in dict.fromkeys(direct or [_hot_behind(box, r) for r in roles if r[0] in "ST"]):
            shares[hot] = shares.get(hot, 0) + (weight or 1) / whole
    return shares


def between_of(box: WiredBox) -> int:
    """Return 1 where the load of a box is between a hot and the neutral, 2 between two hots, 3 between three."""
    return max([1, *(sum(r in HOTS for r in roles) for roles in box.taps)])


def _hot_behind(box: WiredBox, leg: str) -> str:
    home = box
    at: WiredBox | None = box
    while at is not None:
        for roles in at.taps:
            feeding = [r for r in roles if r in HOTS]
            if leg in roles and feeding:
                return feeding[0]
        home, at = at, at.upstream
    return next((r for r in home.run.roles if r in HOTS), "A")


def run_lines(boxes: Sequence[WiredBox]) -> list[RunLine]:
    """Return the distinct kinds of run of a circuit."""

    def lines() -> Iterator[RunLine]:
        for box in boxes:
            roles = box.run.roles
            neutrals = sum(r.startswith("N") for r in roles)
            hots = sum(r in HOTS for r in roles)
            ungrounded = sum(r[0] in "ABCST" for r in roles)
            yield RunLine(box.run.kind, box.run.awg, ungrounded, neutrals, hots)

    return list(dict.fromkeys(lines()))


def kind_of_stretch(boxes: Sequence[WiredBox], circuit_boxes: Sequence[WiredBox]) -> tuple[object, ...]:
    """Return what the rules see of a stretch and its circuit, whatever length and load: those alike are tested once."""
    circuit = boxes[0].circuit
    spaces = tuple(spaces_of(boxes))
    bare, several = bool(switches_without_neutral(boxes)), count_receptacles(circuit_boxes) > 1
    facts = tuple(sorted(circuit.facts.items())), kind_of_load(circuit_boxes)
    return (tuple(run_lines(boxes)), spaces, circuit.breaker_a, circuit.volts, circuit.poles, bare, several, facts)


def spaces_of(boxes: Sequence[WiredBox]) -> list[str]:
    """Return the kinds of space whose rules hold for the runs to boxes."""
    return list(dict.fromkeys(space for box in boxes for space in box.spaces))


def tested_runs(
    boxes: Sequence[WiredBox], circuit_boxes: Sequence[WiredBox], jacketed: Collection[str]
) -> list[TestedRun]:
    """Return the kinds of run of a stretch as the rules of ampacity and ground size see them.

    Parameters
    ----------
    boxes, circuit_boxes
        Those of the stretch, and of all of its circuit.
    jacketed
        Kinds of space where cable has a jacket over its armor.
    """
    circuit, several = boxes[0].circuit, count_receptacles(circuit_boxes) > 1
    insulated = circuit.facts.get("in_insulation", UNKNOWN)
    jacket = any(space in jacketed for space in spaces_of(boxes))
    return [TestedRun(line, circuit.breaker_a, several, insulated, jacket) for line in run_lines(boxes)]


LOADS = ("motor", "compressor", "welder", "fire-pump")
"""Kinds of device whose own article sizes conductors and breaker: 240.4(A), (G)."""


def kind_of_load(boxes: Sequence[WiredBox]) -> str:
    """Return the kind of load that the devices of a circuit say, `equipment` where one is hard-wired, else nothing."""
    kinds = {str(device["device_kind"]) for box in boxes for device in box.devices}
    return next((kind for kind in (*LOADS, "equipment") if kind in kinds), "")


def small_receptacles(boxes: Sequence[WiredBox]) -> int:
    """Count the boxes with a receptacle whose rating is under the breaker of the circuit: 210.21(B)."""
    breaker_a = boxes[0].circuit.breaker_a
    return sum(any(0 < float(str(d["rating_a"])) < breaker_a for d in box.devices) for box in boxes)


def hots_of_circuit(boxes: Sequence[WiredBox]) -> int:
    """Count the hots that the home runs of a circuit bring."""
    return len({role for box in boxes for role in box.run.roles if role in HOTS})


def count_receptacles(boxes: Sequence[WiredBox]) -> int:
    """Count the receptacles of boxes; a duplex is two."""
    return sum(int(str(device["receptacles"])) for box in boxes for device in box.devices)


def switches_without_neutral(boxes: Sequence[WiredBox]) -> int:
    """Count the boxes with a switch into which no run brings a neutral."""
    return sum(
        any(device["device_kind"] == "switch" for device in box.devices)
        and not any(role.startswith("N") for run in box.runs for role in run.roles)
        for box in boxes
    )


def isolated_grounds(boxes: Sequence[WiredBox]) -> list[WiredBox]:
    """Return the boxes whose devices use an isolated ground."""
    return [box for box in boxes if any(role == "IG" for roles in box.taps for role in roles)]
