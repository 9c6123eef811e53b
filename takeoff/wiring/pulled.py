"""Runs that are pulled already: what they are pulled in is a fact, and their circuit is begun in part."""

from __future__ import annotations

from takeoff.job.overrides import FREE
from takeoff.job.records import NOT_STARTED, PARTLY, PULLED
from takeoff.text.problems import Problems
from takeoff.wiring.tree import Job, WiredBox


def settle_pulled(job: Job, problems: Problems) -> None:
    """Give each circuit with runs that are pulled the state that follows from them.

    Parameters
    ----------
    job
        Wired, with what each run is held to; its circuits are changed.
    problems
        Those of the schedule.

    Raises
    ------
    InputError
        A run is pulled in nothing that is named, or in a circuit that is said not to be started.
    """
    of: dict[str, list[WiredBox]] = {}
    for box in job.boxes:
        of.setdefault(box.circuit.name, []).append(box)
    for boxes in of.values():
        circuit, pulled = boxes[0].circuit, [box for box in boxes if box.source.pulled]
        for box in pulled:
            if not (box.held or box.home) and circuit.construction == FREE:
                accepted = "the construction that it is pulled in"
                problems.error(box.source.row, "run_construction", "", "is blank, the run is pulled:", accepted)
            if circuit.work_state == NOT_STARTED:
                message = f"stands in the circuit {circuit.name}, whose work_state is {NOT_STARTED}:"
                problems.error(box.source.row, "run_state", PULLED, message, "one of them")
        if pulled and not circuit.work_state:
            circuit.work_state = PULLED if len(pulled) == len(boxes) else PARTLY
    problems.stop_on_errors()
