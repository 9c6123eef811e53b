"""What runs of a count cost whose row does not say their feet: an input for the kind of device does.

Only a job with such rows has the tables.
"""

from __future__ import annotations

from takeoff.engine.aggregates import SumProducts
from takeoff.engine.expr import Expr, col, equal, ratio, when
from takeoff.engine.lookups import At
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.cost.counts import boxes_spaced
from takeoff.model.cost.parts import CABLE, LABOR
from takeoff.model.frame import Frame
from takeoff.model.givens.inputs import invented_in_build

FITTINGS = "fittings"
PARTED = (CABLE, FITTINGS, LABOR)
"""Parts of the cost that go with the feet of a run: cable, its supports, and the work along it."""

MONEY, HOURS = "#,##0.00", "0.00"


def spacing_tables(frame: Frame) -> list[Table]:
    """Return the tables of runs as long as an input says, where the job has any."""
    return [spaced_runs_table(frame), spacing_table(frame)] if boxes_spaced(frame) else []


def spaced_inputs(frame: Frame) -> list[str]:
    """Return the inputs that say the feet of a run in the job, in the order of the catalog."""
    used = {frame.job.boxes[n - 1].source.spaced_by for n in boxes_spaced(frame)}
    return [name for name in frame.catalogs["inputs"].texts("name") if name in used]


def spaced_runs_table(frame: Frame) -> Table:
    """Every run whose feet an input says, in each plan compared: what goes with those feet."""
    rows = [(n, p) for n in boxes_spaced(frame) for p in frame.compared]
    boxes = [frame.job.boxes[n - 1] for n, _ in rows]

    def line(name: str) -> Expr:
        return At("each", name, col("line"))

    def box(name: str) -> Expr:
        return At("boxes", name, col("no"))

    def mine(expr: Expr) -> Expr:
        return expr * col("of_run") * line("repeat")

    hours = ratio(line("run_minutes") * box("labor_factor"), 60, 0)
    return Table(
        "spaced_runs",
        "Runs as long as an input says",
        [
            Field("box", "box", role="key"),
            Field("plan", "plan", role="key", width=15),
            Field("input", "length by"),
            Field("no", "number of the box", "no."),
            Field("line", "line", "no."),
            Field("ft", "by the input", "ft"),
            Field("built_ft", "run, on the build", "ft"),
        ],
        [
            Column(
                "kept_ft", "of the run by the input", "ft", when(equal(box("run_ft"), col("built_ft")), col("ft"), 0)
            ),
            Column(
                "of_run",
                "of the run with tails",
                "1/1",
                ratio(col("kept_ft"), box("with_tails_ft"), 0),
                "0 where the run was changed since",
                "0.000",
            ),
            Column(f"{CABLE}_usd", "cable or raceway", "USD", mine(line("cable_usd")), format=MONEY),
            Column(f"{FITTINGS}_usd", "small parts along it", "USD", mine(line("parts_usd")), format=MONEY),
            Column(f"{LABOR}_hours", "labor along it", "h", mine(hours), format=HOURS),
        ],
        {
            "box": [b.source.box for b in boxes],
            "plan": [p for _, p in rows],
            "input": [b.source.spaced_by for b in boxes],
            "no": [n for n, _ in rows],
            "line": [frame.lines_of[plan][number - 1] for number, plan in rows],
            "ft": [b.source.run_ft for b in boxes],
            "built_ft": [b.run_ft for b in boxes],
        },
        {"parted": [f"{CABLE}_usd", f"{FITTINGS}_usd", f"{LABOR}_hours"]},
    )


def spacing_table(frame: Frame) -> Table:
    """What hangs on every such input, by part of the cost, in each plan compared."""
    rows = [(name, part) for name in spaced_inputs(frame) for part in PARTED]

    def sums(plan: str) -> Expr:
        return SumProducts("spaced_runs", [("parted", col("column"))], {"input": col("key"), "plan": plan})

    names = frame.per_compared("sum")
    return Table(
        "spacing",
        "Feet from box to box",
        [
            Field("key", "input", role="key", width=20),
            Field("part", "part of the cost"),
            Field("column", "column of the runs", "no."),
            Field("is_money", "is money", "0/1"),
            Field("is_labor", "is labor", "0/1"),
            Field("invented", "illustrative length", "0/1"),
        ],
        [
            Column(name, f"USD or h, {plan}", "in its unit", sums(plan), "in proportion to the feet", MONEY)
            for name, plan in names
        ],
        {
            "key": [name for name, _ in rows],
            "part": [part for _, part in rows],
            "column": [PARTED.index(part) + 1 for _, part in rows],
            "is_money": [int(part != LABOR) for _, part in rows],
            "is_labor": [int(part == LABOR) for _, part in rows],
            "invented": [invented_in_build(frame, name) for name, _ in rows],
        },
        {"sums": [name for name, _ in names]},
    )
