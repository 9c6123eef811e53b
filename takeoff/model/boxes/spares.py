"""Spare conductors: what a catalog cable has more than the run needs enters both boxes and is capped there."""

from __future__ import annotations

from collections import Counter

from takeoff.engine.expr import col
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.boxes.allowances import size_in3
from takeoff.model.frame import Frame
from takeoff.wiring.kinds import parts_of_kind


def spares_table(frame: Frame) -> Table:
    """One row for each kind of run that enters a type, in each construction."""
    rows = [
        (t, k, n, m)
        for t, make_up in frame.types.by_key.items()
        for k, n in Counter(make_up.runs).items()
        for m in frame.constructions
    ]
    return Table(
        "spares",
        "Spare conductors of the catalog cable",
        [
            Field("makeup_key", "key of the make-up", role="key", width=17),
            Field("run_key", "key of the run", role="key", width=17),
            Field("number", "runs that enter", "ea"),
            Field("awg", "size", "AWG"),
        ],
        [
            Column("run_row", "row of the run", "no.", Match("runs", "key", col("run_key"))),
            Column("ends", "spare ends", "ea", col("number") * At("runs", "spare", col("run_row"))),
            Column(
                "in3",
                "they take",
                "in3",
                col("ends") * size_in3(col("awg")),
                "314.16(B)(1)",
                format="0.00",
            ),
            *([_control_cables()] if frame.control_boxes else []),
        ],
        {
            "makeup_key": [f"{t}|{m}" for t, _, _, m in rows],
            "run_key": [f"{k}|{m}" for _, k, _, m in rows],
            "number": [n for _, _, n, _ in rows],
            "awg": [parts_of_kind(k)[1] for _, k, _, _ in rows],
        },
    )


def _control_cables() -> Column:
    apart = At("runs", "control_apart", col("run_row"))
    return Column("control_cables", "control cables of their own", "ea", col("number") * apart, "each enters the box")
