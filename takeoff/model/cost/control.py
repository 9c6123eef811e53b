"""Control cables of their own: which boxes have one in which plan, its feet, supports and cost.

Only a job with control pairs has the table. Its lines are read by the lines of the boxes.
"""

from __future__ import annotations

import numpy as np

from takeoff.engine.expr import Expr, call, col, ratio
from takeoff.engine.lookups import At, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.boxes.runs import between_ends
from takeoff.model.cost.each import box, wiring_rows
from takeoff.model.frame import Frame
from takeoff.model.givens.scopes import scope_codes


def control_lines_table(frame: Frame) -> Table:
    """The control cable of its own of each box in each plan compared: none where one armor holds power and pair."""
    rows = [(n, p) for n in frame.control_boxes for p in frame.compared]
    boxes, catalog = frame.job.boxes, frame.catalogs["control_cables"]
    of = [boxes[n - 1] for n, _ in rows]
    catalog_rows = [catalog[b.run.control_awg] for b in of]
    wirings = wiring_rows(frame)
    lines = [frame.lines_of[plan][number - 1] for number, plan in rows]
    codes = {name: values[np.array(lines) - 1] for name, values in scope_codes(frame).items()}

    def unit_cost(name: str) -> Expr:
        return look("unit_costs", name, col("item"), by="item")

    cables: Expr = At("runs", "control_apart", col("run_row"))
    if frame.pulled and frame.of_rest:
        cables = cables * col("run_left")
    run_row = Match("runs", "key", col("kind") & "|" & At("wiring", "wired_as", col("wiring_row")))
    intervals = call("up", ratio(between_ends(col("ft"), col("near_ft")), col("interval_ft"), 0))
    return Table(
        "control_lines",
        "Control cables of their own",
        [
            Field("box", "box", role="key"),
            Field("plan", "plan", role="key", width=15),
            Field("no", "number of the box", "no."),
            Field("wiring_row", "row of the wiring", "no."),
            Field("kind", "kind of run"),
            Field("item", "control cable", width=16),
            Field("key", "cable and plan key"),
            Field("own_ft", "own length", "ft"),
            Field("follows", "goes along the run", "0/1"),
            Field("near_ft", "secured within", "ft"),
            Field("interval_ft", "secured every", "ft"),
            *([Field("run_left", "run is still to pull", "0/1")] if frame.pulled else []),
            *(Field(name, name.replace("_", " "), "no.") for name in codes),
        ],
        [
            Column("repeat", "times built", "ea", box("repeat")),
            Column("run_row", "row of the run", "no.", run_row, "of what the plan wires the circuit in"),
            Column("cables", "cables of their own", "ea", cables),
            Column("ft", "routed", "ft", (col("own_ft") + col("follows") * box("run_ft")) * col("cables")),
            Column(
                "supports",
                "supports",
                "ea",
                (intervals + 1) * col("cables"),
                "one within reach of each end, and between them at the interval",
            ),
            Column("bought_ft", "bought with tails", "ft", col("ft") + box("tails_ft") * col("cables"), format="0.0"),
            Column("all_ft", "bought for all times built", "ft", col("bought_ft") * col("repeat"), format="#,##0.0"),
            Column("usd", "cable", "USD", col("bought_ft") * unit_cost("usd_each"), format="0.00"),
            Column("lacking", "without a price", "0/1", col("cables") * unit_cost("missing")),
        ],
        {
            "box": [b.source.box for b in of],
            "plan": [p for _, p in rows],
            "no": [n for n, _ in rows],
            "wiring_row": [
                wirings[str(frame.box_lines["stretch_key"][line - 1]), p]
                for line, (_, p) in zip(lines, rows, strict=True)
            ],
            "kind": [b.run.kind for b in of],
            "item": [c["sheath_item"] for c in catalog_rows],
            "key": [f"{c['sheath_item']}|{p}" for c, (_, p) in zip(catalog_rows, rows, strict=True)],
            "own_ft": [b.source.control_ft or 0.0 for b in of],
            "follows": [int(b.source.control_ft is None) for b in of],
            "near_ft": [float(str(c["near_in"])) / 12 for c in catalog_rows],
            "interval_ft": [c["interval_ft"] for c in catalog_rows],
            "run_left": [int(not b.source.pulled) for b in of],
            **codes,
        },
        {"codes": list(codes)},
    )
