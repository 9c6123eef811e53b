"""What a figure may be asked of: the whole job, an area, a circuit or a box; and the codes that find its lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from takeoff.engine.expr import Array
from takeoff.engine.tables import Field, Table
from takeoff.model.frame import Frame, places_of
from takeoff.wiring.places import NO_AREA, areas_of

WHOLE_JOB = "whole job"

LEVELS = ("job", "area", "circuit", "box")
"""What a scope may be; a line of a box has a code for each of them."""


@dataclass(frozen=True)
class Scope:
    """A scope as it is chosen, what it is, and its first row where its figures stand, counted from 1."""

    title: str
    level: str
    first: int


def scopes_of(frame: Frame) -> list[Scope]:
    """Return everything that may be asked for: areas and circuits have a row for each plan, a box one for all."""
    count = len(frame.compared)
    return [
        Scope(WHOLE_JOB, "job", 1),
        *(Scope(f"area {area}", "area", n * count + 1) for n, area in enumerate(areas_of(frame.job))),
        *(Scope(f"circuit {c}", "circuit", n * count + 1) for n, c in enumerate(frame.stretch_names.values())),
        *(
            Scope(f"box {b.source.box}, circuit {b.circuit.name}", "box", n)
            for n, b in enumerate(frame.job.boxes, start=1)
        ),
    ]


def scope_codes(frame: Frame) -> dict[str, Array]:
    """Return the code of every box line at each level: one number for scope and plan, so that a sum tests one."""
    areas, circuits = places_of(areas_of(frame.job)), places_of(frame.stretches)
    plans, boxes = places_of(frame.compared), frame.job.boxes
    rows_of_boxes = (
        np.zeros(len(boxes)),
        np.array([areas[b.source.area or NO_AREA] for b in boxes]) + 1,
        np.array([circuits[frame.stretch_of_box[id(b)]] for b in boxes]) + 1 + len(areas),
        np.arange(1, len(boxes) + 1) + len(areas) + len(circuits),
    )
    numbers = np.array(frame.box_lines["no"], dtype=int) - 1
    plan = np.array([plans[str(p)] for p in frame.box_lines["plan"]], dtype=float) + 1
    return {
        f"{level}_code": rows[numbers] * len(plans) + plan for level, rows in zip(LEVELS, rows_of_boxes, strict=True)
    }


def scopes_table(frame: Frame) -> Table:
    """The list of scopes, behind the choice on the sheet Trace."""
    scopes = scopes_of(frame)
    return Table(
        "scopes",
        "Scopes to choose from",
        [
            Field("scope", "scope", role="key", width=30),
            Field("row", "row", "no."),
            Field("level", "level", "no."),
            Field("before", "codes before it", "no."),
            *(Field(f"{level}_first", f"first row of the {level}", "no.") for level in LEVELS),
        ],
        [],
        {
            "scope": [s.title for s in scopes],
            "row": list(range(1, len(scopes) + 1)),
            "level": [LEVELS.index(s.level) + 1 for s in scopes],
            "before": [n * len(frame.compared) for n, _ in enumerate(scopes)],
            **{f"{level}_first": [s.first if s.level == level else 0 for s in scopes] for level in LEVELS},
        },
        key="scope",
    )
