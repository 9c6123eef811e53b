"""Boxes by size, and the panel ends of home runs."""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy
from takeoff.engine.expr import Expr, col
from takeoff.engine.lookups import At, CellAt, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.items import box_uses_of

MONEY = "#,##0"


def home_runs_table(frame: Frame) -> Table:
    """Terminations at panels, kept apart from the boxes: one row for each home-run type, plan and construction."""
    panel_types = [t for t, m in frame.types.by_key.items() if m.place == "panel"]
    rows = [(t, p, w, place) for t in panel_types for place, (p, w) in enumerate(frame.pairs)]
    places = {p: n for n, p in enumerate(frame.compared, start=1)}
    ends = CellAt("built", "counts", col("makeup_row"), col("place"))
    return Table(
        "home_runs",
        "Panel ends of home runs",
        [
            Field("type", "type", role="key"),
            Field("plan", "plan", role="key"),
            Field("wired_as", "wired as", role="key"),
            Field("place", "place of the plan", "no."),
        ],
        [
            Column(
                "makeup_row", "row of the make-up", "no.", Match("makeup", "key", col("type") & "|" & col("wired_as"))
            ),
            Column("count", "home runs", "ea", ends, format=MONEY),
            Column(
                "circuit_ends",
                "circuit terminations",
                "ea",
                col("count") * At("makeup", "circuit_terminations", col("makeup_row")),
                format=MONEY,
            ),
            Column(
                "ground_ends",
                "ground terminations",
                "ea",
                col("count") * At("makeup", "ground_terminations", col("makeup_row")),
                format=MONEY,
            ),
        ],
        {
            "type": [t for t, *_ in rows],
            "plan": [p for _, p, _, _ in rows],
            "wired_as": [w for _, _, w, _ in rows],
            "place": [places[p] for _, p, _, _ in rows],
        },
    )


def box_counts_table(frame: Frame) -> Table:
    """Boxes by size in each plan compared; the sizes are those that serve the job's styles and gangs."""
    boxes = list(dict.fromkeys(str(u["box"]) for u in box_uses_of(frame)))

    def count(place: int) -> Expr:
        return SumBy("box_outcomes", "repeat", {f"chosen_box_{place}": col("box")})

    return Table(
        "box_counts",
        "Boxes by size",
        [Field("box", "box", role="key"), Field("title", "description", role="key", width=36)],
        [
            Column(
                "volume_in3",
                "volume",
                "in3",
                At("box_sizes", "volume_in3", Match("box_sizes", "box", col("box"))),
                format="0.0",
            ),
            *(
                Column(n, p, "ea", count(k), head=p, format=MONEY)
                for k, (n, p) in enumerate(frame.per_compared("as"), start=1)
            ),
        ],
        {"box": boxes, "title": [frame.catalogs["box_sizes"][b]["title"] for b in boxes]},
        {"counts": [n for n, _ in frame.per_compared("as")]},
    )
