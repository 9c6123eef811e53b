"""Runs that are pulled already: what they are pulled in is a fact, and their circuit is begun in part."""

from __future__ import annotations

from takeoff.job.overrides import FREE
from takeoff.job.records import NOT_STARTED, PANEL, PARTLY, PULLED, Schedule
from takeoff.wiring.tree import Job, WiredBox


def check_pulled(schedule: Schedule, homes: str) -> None:
    """Tell of runs that are pulled in nothing that is named, or in a circuit that is said not to be started.

    Parameters
    ----------
    schedule
        As read; errors are added to its problems. Rows that have some are passed over.
    homes
        The construction that home runs are held to, or nothing.
    """
    problems = schedule.problems
    wrong = {p.row for p in problems.errors()}
    for circuit in schedule.circuits.values():
        for place, box in enumerate(circuit.boxes):
            if not box.pulled or box.row in wrong:
                continue
            from_panel = box.fed_from.casefold() == PANEL or not (place or box.fed_from)
            if not (box.run_construction or (homes and from_panel)) and circuit.construction == FREE:
                accepted = "the construction that it is pulled in"
                problems.error(box.row, "run_construction", "", "is blank, the run is pulled:", accepted)
            if circuit.work_state == NOT_STARTED:
                message = f"stands in the circuit {circuit.name}, whose work_state is {NOT_STARTED}:"
                problems.error(box.row, "run_state", PULLED, message, "one of them")


def settle_pulled(job: Job) -> None:
    """Give each circuit with runs that are pulled the state that follows from them."""
    of: dict[str, list[WiredBox]] = {}
    for box in job.boxes:
        of.setdefault(box.circuit.name, []).append(box)
    for boxes in of.values():
        circuit, pulled = boxes[0].circuit, [box for box in boxes if box.source.pulled]
        if pulled and not circuit.work_state:
            circuit.work_state = PULLED if len(pulled) == len(boxes) else PARTLY
