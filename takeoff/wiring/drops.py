"""Drops: the way from the ceiling, along which the cable is run, to a box on the wall."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from takeoff.text.problems import Problem
from takeoff.wiring.tree import Job, WiredBox


def add_drops(job: Job) -> list[Problem]:
    """Add to every run the drops at its two ends, where the schedule gives heights; return what the user should know.

    A run is taken to rise to the ceiling at the box it comes from and to fall at the box it feeds. The panel has
    no drop: `panel_tail_ft` stands for it. A run that the inputs file gives has them in it. Convention of this project.
    """
    boxes = [b for b in job.boxes if b.source.height_in is not None or b.source.ceiling_ft is not None]
    for box in (b for b in job.boxes if not b.source.drops_in_run):
        box.drop_ft = _drop_ft(box) + (_drop_ft(box.upstream) if box.upstream else 0)
    return list(_told(job, boxes))


def _drop_ft(box: WiredBox) -> float:
    height, ceiling = box.source.height_in, box.source.ceiling_ft
    return 0.0 if height is None or ceiling is None else max(0.0, ceiling - height / 12)


def _told(job: Job, boxes: Sequence[WiredBox]) -> Iterator[Problem]:
    file = job.schedule.file
    for box in boxes:
        height, ceiling = box.source.height_in, box.source.ceiling_ft
        if height is not None and ceiling is not None and height / 12 > ceiling:
            message = f"is above the ceiling of its area, {ceiling:g} ft:"
            yield Problem(file, box.source.row, "height_in", f"{height:g}", message, "no drop is added", "notice")
    without = [b for b in boxes if b.source.ceiling_ft is None]
    if without:
        message = f"is given for {len(without)} boxes without a ceiling_ft for their area"
        yield Problem(file, without[0].source.row, "height_in", "", message, "no drop is added to them", "notice")
    feet = sum(b.drop_ft * b.circuit.repeat for b in job.boxes)
    if feet:
        message = f"drops of {feet:,.0f} ft are added to the runs"
        yield Problem(file, None, "height_in", "", message, "drops=no leaves them out", "notice")
