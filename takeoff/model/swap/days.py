"""The net saving over the day of the decision."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.engine.expr import col, given
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.givens.wages import only
from takeoff.model.swap.draws import Outcome
from takeoff.model.swap.whole import left_when

TENTHS = tuple(n / 10 for n in range(11))
"""Parts of the days to the last of the rough-in that may be gone before it is decided."""

PARTS = (10, 50, 90)


def days_table(outcomes: Sequence[Outcome]) -> Table:
    """The net saving over the day of the decision: by formula, and as drawn on the build."""
    later = col("part") * only("swap", "days")
    left = left_when(only("swap", "wait_days") + later, only("swap", "days"))
    data: dict[str, list[object]] = {
        "part": list(TENTHS[: len(outcomes)]),
        **{f"p{p}_usd": [o.at(p) for o in outcomes] for p in PARTS},
        "chance_pct": [o.chance_pct for o in outcomes],
    }
    return Table(
        "decision_days",
        "Net saving by the day of the decision",
        [
            Field("part", "part of the days gone", "1/1", role="key", format="0.0"),
            *(Field(f"p{p}_usd", f"P{p}", "USD", format="#,##0;-#,##0;0") for p in PARTS),
            Field("chance_pct", "chance of a saving", "%", format="0"),
        ],
        [
            Column("later", "days from today", "day", later, format="0"),
            Column("left", "part still to build by then", "1/1", left, "work taken as even", "0.000"),
            Column("day", "decided on", "date", (given("status_date") + col("later")) * only("swap", "dated")),
            Column(
                "net_usd",
                "net saving",
                "USD",
                only("swap", "gross_usd") * col("left") - only("swap", "one_time_usd"),
                "as estimated, work taken as even, approval and delivery waited for",
                "#,##0;-#,##0;0",
            ),
        ],
        data,
        key="part",
    )
