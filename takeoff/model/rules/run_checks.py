"""Every kind of run of every circuit in every construction: its ground conductor, and what its conductors carry."""

from __future__ import annotations

from takeoff.engine.expr import col, equal, flag
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.rules.ampacity import ampacity_columns, circuit
from takeoff.model.rules.ground_size import ground_columns
from takeoff.wiring.circuits import run_lines


def run_tests_table(frame: Frame) -> Table:
    """One row for each kind of run of each circuit in each construction."""
    rows = [
        (key, line, method)
        for key, boxes in frame.boxes_of_circuit.items()
        for line in run_lines(boxes)
        for method in frame.methods
    ]
    columns = [
        Column("circuit_row", "row of the circuit", "no.", Match("circuits", "key", col("circuit_key"))),
        Column("circuit", "circuit", "", circuit("circuit")),
        Column("method_row", "row of the construction", "no.", Match("methods", "construction", col("construction"))),
        Column("run_row", "row of the run", "no.", Match("runs", "key", col("kind") & "|" & col("construction"))),
        Column("size_row", "row of the size", "no.", Match("sizes", "awg", col("awg"))),
        Column("breaker_a", "breaker", "A", circuit("breaker_a")),
        Column("no_cable", "not in the catalog", "0/1", At("runs", "no_cable", col("run_row"))),
        Column("in_catalog", "in the catalog", "0/1", flag(equal(col("no_cable"), 0))),
        *ampacity_columns(),
        *ground_columns(),
    ]
    return Table(
        "run_tests",
        "Runs of each circuit: ground conductor and ampacity",
        [
            Field("option", "circuit and construction", role="key", width=18),
            Field("circuit_key", "circuit key", role="key"),
            Field("construction", "construction", role="key", width=13),
            Field("kind", "run kind"),
            Field("awg", "size", "AWG"),
            Field("ungrounded", "ungrounded conductors", "ea"),
            Field("neutrals", "neutrals", "ea"),
            Field("shared", "one neutral for three hots", "0/1"),
        ],
        columns,
        {
            "option": [f"{key}|{m}" for key, _, m in rows],
            "circuit_key": [key for key, *_ in rows],
            "construction": [m for *_, m in rows],
            "kind": [line.kind for _, line, _ in rows],
            "awg": [line.awg for _, line, _ in rows],
            "ungrounded": [line.ungrounded for _, line, _ in rows],
            "neutrals": [line.neutrals for _, line, _ in rows],
            "shared": [int(line.neutrals == 1 and line.hots == 3) for _, line, _ in rows],
        },
    )
