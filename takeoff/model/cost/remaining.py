"""What of a box is swapped, and what of it is still to do where its feeding run is pulled already."""

from __future__ import annotations

from takeoff.engine.expr import Expr, call, col
from takeoff.engine.lookups import At
from takeoff.engine.tables import Column
from takeoff.model.frame import Frame, places_of


def is_swapped(met: int) -> Expr:
    """Return whether a box is swapped: where the circuit may change at a box, one into which any run comes that is."""
    if not met:
        return At("swap_circuits", "swapped", col("stretch_row"))
    others = (At("swap_circuits", "differs", col(f"met_{n}"), 0) for n in range(1, met + 1))
    return call("max", At("swap_circuits", "differs", col("stretch_row")), *others)


def stretches_met(frame: Frame) -> list[list[int]]:
    """Return the rows of the stretches that runs from each box belong to, other than its own; 0 where no more are."""
    places, of = places_of(frame.stretches), frame.stretch_of_box
    found: dict[int, list[int]] = {id(box): [] for box in frame.job.boxes}
    for box in frame.job.boxes:
        row = places[of[id(box)]] + 1
        up = box.upstream
        if up is not None and of[id(up)] != of[id(box)] and row not in found[id(up)]:
            found[id(up)].append(row)
    most = max(map(len, found.values()))
    return [[rows[n] if n < len(rows) else 0 for rows in found.values()] for n in range(most)]


def left_columns(labor_factor: Expr) -> list[Column]:
    """Return what of a box and its feeding run is still to do where runs are pulled: the make-up, not the run."""
    run = (col("run_minutes") * col("run_left") + col("end_minutes")) * labor_factor
    along = col("cable_usd") + col("connectors_usd") + col("parts_usd")
    return [
        Column("left_minutes", "labor, without pulled runs", "min", run, "a pulled run is still to make up", "0.00"),
        Column(
            "left_usd",
            "material, without pulled runs",
            "USD",
            col("end_usd") + along * col("run_left"),
            "cable, connectors and supports of a pulled run are there",
            "0.00",
        ),
    ]
