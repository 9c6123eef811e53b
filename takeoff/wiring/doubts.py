"""What the schedule says that can hardly be meant: lengths, loads, breakers and voltages far out of the usual.

Nothing here stops a build or tests a rule for its own sake: each is a notice, the worst first, to be compared with
the drawings. The factors are conventions of this project.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import sqrt
from statistics import median

from takeoff.catalog.rows import Catalogs, Row
from takeoff.job.records import Circuit
from takeoff.text.problems import Problem
from takeoff.wiring.circuits import between_of, hots_of_circuit
from takeoff.wiring.taps import HOTS
from takeoff.wiring.tree import Job, WiredBox

FAR = 5.0
"""A run so many times the median of those it is compared with may have a digit too many."""

SHORT_FT = 60.0
"""No run up to this is far, whatever the others are."""

LONG_FT = 500.0
"""Longer than a run of a branch circuit usually is, where there are no others to compare with."""

NEAR = 1.05
"""Voltages so near are one: 115 and 120 V, 230 and 240 V."""

FEW = 50
"""So many runs are each compared with the median of the others; of more, one hardly moves that of all."""

Doubt = tuple[float, Problem]
"""How far out something is, as a factor, and the notice."""


def doubts(job: Job, catalogs: Catalogs) -> list[Problem]:
    """Return the notices, the worst first.

    Parameters
    ----------
    job
        The wired job.
    catalogs
        `systems` gives the voltage to the neutral, `devices` the voltages and the largest breaker of a device.
    """
    of: dict[str, list[WiredBox]] = {}
    for box in job.boxes:
        of.setdefault(box.circuit.name, []).append(box)
    found = list(_lengths(job, of))
    for boxes in of.values():
        circuit = boxes[0].circuit
        neutral_v = _neutral_v(circuit, catalogs)
        found += _load(job, boxes, neutral_v)
        found += _system(job, circuit, boxes)
        found += _devices(job, boxes, neutral_v)
    return [problem for _, problem in sorted(found, key=lambda doubt: -doubt[0])]


def _notice(job: Job, row: int, column: str, value: object, message: str, accepted: str) -> Problem:
    shown = f"{value:g}" if isinstance(value, float) else str(value)
    return Problem(
        job.schedule.file, row, job.schedule.problems.titles.get(column, column), shown, message, accepted, "notice"
    )


def _lengths(job: Job, of: dict[str, list[WiredBox]]) -> Iterator[Doubt]:
    """Compare branch runs with those of their circuit, home runs with those of their panel."""
    groups: dict[tuple[str, str], list[WiredBox]] = {}
    for name, boxes in of.items():
        for box in boxes:
            key = ("panel", box.circuit.panel) if box.from_panel else ("circuit", name)
            groups.setdefault(key, []).append(box)
    for (kind, name), boxes in groups.items():
        lengths = [b.source.run_ft for b in boxes]
        of_all = median(lengths)
        for place, box in enumerate(boxes):
            few = len(boxes) <= FEW
            usual = (median([*lengths[:place], *lengths[place + 1 :]]) if few else of_all) if len(boxes) > 2 else 0.0
            limit = max(SHORT_FT, FAR * usual) if usual else LONG_FT
            if box.source.run_ft > limit:
                what = "home runs of panel" if kind == "panel" else "other runs of circuit"
                times = box.source.run_ft / (usual or LONG_FT / FAR)
                message = f"is {times:.0f} times the median of the {what} {name}, {usual:g} ft:"
                message = message if usual else "is longer than a run of a branch circuit usually is:"
                feet = round(box.source.run_ft, 1)
                yield times, _notice(job, box.source.row, "run_ft", feet, message, "compare it with the drawing")


def _neutral_v(circuit: Circuit, catalogs: Catalogs) -> float:
    key = f"{circuit.volts:g}|{circuit.poles}"
    known = key in catalogs["systems"]
    return float(str(catalogs["systems"][key]["neutral_v"])) if known else circuit.volts


def _load(job: Job, boxes: Sequence[WiredBox], neutral_v: float) -> Iterator[Doubt]:
    """Compare the load of a circuit with all that its breaker can carry, every pole full."""
    circuit = boxes[0].circuit
    volts = circuit.volts
    poles = max(circuit.poles, hots_of_circuit(boxes))
    if poles == 3:
        volts = 3 * neutral_v if neutral_v else sqrt(3) * circuit.volts
    elif poles == 2 and (circuit.neutral or circuit.poles == 1):
        volts = 2 * neutral_v
    most = volts * circuit.breaker_a
    load = sum(b.load_va for b in boxes)
    if load > most:
        message = (
            f"of {circuit.name} together is over what a breaker of {circuit.breaker_a:g} A carries, {most:,.0f} VA:"
        )
        yield (
            load / most,
            _notice(job, circuit.row, "load_va", f"{load:,.0f}", message, "check load, breaker, poles and volts"),
        )


def _system(job: Job, circuit: Circuit, boxes: Sequence[WiredBox]) -> Iterator[Doubt]:
    """Ask for the voltage of a circuit of several poles, unless every load on it is between a hot and the neutral."""
    across = not circuit.neutral or any(between_of(box) > 1 for box in boxes)
    if circuit.poles > 1 and across and "volts" not in circuit.said:
        message = f"of circuit {circuit.name}, {circuit.poles} poles, are not given and taken as:"
        yield 2.0, _notice(job, boxes[0].source.row, "volts", circuit.volts, message, "such as 208, 240 or 480")


def _devices(job: Job, boxes: Sequence[WiredBox], neutral_v: float) -> Iterator[Doubt]:
    """Compare the devices of a circuit with the voltage between their conductors and with the breaker.

    Boxes of one circuit in which the same device stands out in the same way are one notice, at the first of them.
    """
    circuit = boxes[0].circuit
    found: dict[tuple[str, str], list[tuple[WiredBox, Row, float]]] = {}
    for box in boxes:
        for device, roles in zip(box.devices, box.taps, strict=True):
            several = sum(role in HOTS for role in roles) > 1
            volts = circuit.volts if several else neutral_v
            asked = roles and not (several and "volts" not in circuit.said)
            if asked and _factor(device, volts) > 1:
                found.setdefault(("volts", str(device["device"])), []).append((box, device, volts))
            if 0 < float(str(device["most_breaker_a"])) < circuit.breaker_a:
                found.setdefault(("breaker_a", str(device["device"])), []).append((box, device, circuit.breaker_a))
    for (column, key), places in found.items():
        box, device, value = places[0]
        more = f" and {len(places) - 1} more" if places[1:] else ""
        if column == "volts":
            message = f"of circuit {circuit.name} is not a voltage of {key} in {box.source.box}{more}:"
            accepted = f"it is made for {str(device['volts']).replace(' ', ' or ')} V"
            factor = _factor(device, value)
        else:
            message = f"of {circuit.name} is larger than {key} in {box.source.box}{more} is usually behind:"
            accepted = f"up to {device['most_breaker_a']} A"
            factor = value / float(str(device["most_breaker_a"]))
        yield factor * FAR, _notice(job, box.source.row, column, value, message, accepted)


def _factor(device: Row, volts: float) -> float:
    """Return how many times a voltage is over, or under, the nearest that a device is made for; 1 where it fits."""
    if device["volts"] == "any":
        return 1.0
    over = [max(volts / float(v), float(v) / volts) for v in str(device["volts"]).split()]
    return min(over) if min(over) > NEAR else 1.0
