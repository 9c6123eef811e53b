"""Boxes where constructions meet: which of their make-ups they have, by what a plan wires their other runs in."""

from __future__ import annotations

from collections.abc import Iterator

from takeoff.engine.chains import Chain
from takeoff.engine.expr import col
from takeoff.engine.lookups import At, CellAt
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame, places_of


def _parts(frame: Frame) -> Iterator[tuple[int, str, int, int, list[int]]]:
    """Yield box, plan, row of the wiring, row before it of the same box, and rows by construction, part by part."""
    stretches, plans, count = list(frame.stretches.values()), places_of(frame.compared), len(frame.constructions)
    lines = {(s.circuit.name, s.place): n for n, s in enumerate(stretches)}
    row = 0
    for number, seam in frame.types.seams.items():
        for plan, place in plans.items():
            before = 0
            for stretch, steps in seam.steps.items():
                wiring = lines[frame.job.boxes[number].circuit.name, stretch] * len(plans) + place + 1
                yield number, plan, wiring, before, [steps[m] * count for m in frame.constructions]
                row += 1
                before = row


def seam_rows(frame: Frame) -> list[int]:
    """Return for each box in each plan the last row of the table of seams that is its own; 0 where it has none."""
    last = {(number, plan): row for row, (number, plan, *_) in enumerate(_parts(frame), start=1)}
    lines = zip(frame.box_lines["no"], frame.box_lines["plan"], strict=True)
    return [last.get((int(str(no)) - 1, str(plan)), 0) for no, plan in lines]


def seams_table(frame: Frame) -> Table:
    """One row for each box where constructions meet, for each other stretch there, in each plan compared."""
    parts = list(_parts(frame)) or [(0, frame.compared[0], 1, 0, [0] * len(frame.constructions))]
    steps = [f"step_{n}" for n, _ in enumerate(frame.constructions, start=1)]
    place = At("wiring", "place", col("wiring_row"))
    return Table(
        "seams",
        "Boxes where constructions meet",
        [
            Field("line", "line", "no.", role="key"),
            Field("box", "box"),
            Field("plan", "plan", width=15),
            Field("wiring_row", "row of the wiring of the other runs", "no."),
            Field("before", "row before of the same box", "no."),
            *(Field(n, f"rows further as {m}", "no.") for n, m in zip(steps, frame.constructions, strict=True)),
        ],
        [
            Column(
                "rows",
                "rows from its first make-up",
                "no.",
                Chain(col("before"), CellAt("seams", "steps", col("line"), place)),
                "by what the other runs bring: wire-type EGC, its size, spare conductors",
            )
        ],
        {
            "line": list(range(1, len(parts) + 1)),
            "box": [frame.job.boxes[number].source.box if frame.types.seams else "none" for number, *_ in parts],
            "plan": [plan for _, plan, *_ in parts],
            "wiring_row": [wiring for _, _, wiring, *_ in parts],
            "before": [before for *_, before, _ in parts],
            **{n: [rows[k] for *_, rows in parts] for k, n in enumerate(steps)},
        },
        {"steps": steps},
    )
