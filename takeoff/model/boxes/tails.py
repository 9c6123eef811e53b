"""What the tails of cable at boxes and panels cost: lengths that an input says, once for the job."""

from __future__ import annotations

from takeoff.engine.aggregates import SumProducts
from takeoff.engine.expr import Expr, as_expr, col
from takeoff.engine.lookups import look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import NOTHING, Frame
from takeoff.wiring.kinds import pair_of_kind

TAILS = (("box_tail_ft", 2, -1), ("panel_tail_ft", 0, 1))
"""Inputs of tails, with how many ends of each a run has, and how many more where it comes from the panel."""


CONTROL_ITEM = Field("control_item", "control cable of its own", width=16)


def control_item(frame: Frame, kind: str, construction: str) -> str:
    """Return the control cable of its own of a run kind in a construction, or that nothing is bought."""
    pair, _ = pair_of_kind(kind)
    cable = frame.catalogs["control_cables"][pair] if frame.pair_apart(construction, kind) else {}
    return str(cable.get("sheath_item", NOTHING))


def tail_column(frame: Frame) -> Column:
    """Return what a foot of tail of a run kind costs: that of its cable or conductors, and of a pair beside it."""
    usd = col("cable") * col("sheath_usd_per_ft") + col("wires_usd")
    if frame.control_boxes:
        usd += look("unit_costs", "usd_each", col(CONTROL_ITEM.name), by="item")
    said = "cable, or the conductors in a raceway, and a control cable of its own"
    return Column("tail_usd", "a foot of tail", "USD/ft", usd, said, "0.0000")


def tails_table(frame: Frame) -> Table:
    """What the tails of all runs cost, by the input that says their length."""

    def usd(place: int) -> Expr:
        every = SumProducts("orders", [f"runs_{place}", "run_costs.tail_usd"], {})
        homes = SumProducts("orders", [f"homes_{place}", "run_costs.tail_usd"], {})
        return (every * col("of_run") + homes * col("of_home")) * col("length_ft")

    return Table(
        "tails",
        "Tails of cable",
        [
            Field("key", "input", role="key", width=16),
            Field("part", "part of the cost"),
            Field("of_run", "of a run", "ea"),
            Field("of_home", "more of a home run", "ea"),
        ],
        [
            Column("length_ft", "length", "ft", look("numbers", "value", col("key")), format="0.0"),
            Column("invented", "illustrative length", "0/1", as_expr(1) - look("held_inputs", "sound", col("key"))),
            *(
                Column(name, f"cost, {plan}", "USD", usd(n), "with waste, escalation and tax", "#,##0")
                for n, (name, plan) in enumerate(frame.per_compared("usd"), start=1)
            ),
        ],
        {
            "key": [key for key, *_ in TAILS],
            "part": ["cable"] * len(TAILS),
            "of_run": [ends for _, ends, _ in TAILS],
            "of_home": [more for *_, more in TAILS],
        },
        {"usd": [name for name, _ in frame.per_compared("usd")]},
    )
