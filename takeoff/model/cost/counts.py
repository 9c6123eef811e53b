"""Boxes by size, what hangs on which are stocked, and the panel ends of home runs."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.catalog.rows import Row
from takeoff.engine.aggregates import SumBy
from takeoff.engine.expr import Expr, begins, call, col, flag
from takeoff.engine.lookups import At, CellAt, Match, look
from takeoff.engine.tables import YES_NO, Column, Field, Table
from takeoff.model.frame import INVENTED, Frame
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
                for k, (n, p, _) in enumerate(frame.per_titled("as"), start=1)
            ),
        ],
        {"box": boxes, "title": [frame.catalogs["box_sizes"][b]["title"] for b in boxes]},
        {"counts": [n for n, _ in frame.per_compared("as")]},
    )


def boxes_spaced(frame: Frame) -> list[int]:
    """Return the numbers of boxes whose run is as long as an input says, counted from 1: their row says no feet."""
    return [n for n, box in enumerate(frame.job.boxes, start=1) if box.source.spaced_by]


def stocks_invented(frame: Frame) -> list[Row]:
    """Return the boxes of the job of which the catalog invents whether a shop stocks them."""
    used = dict.fromkeys(str(u["box"]) for u in box_uses_of(frame))
    return [r for r in frame.catalogs["box_sizes"] if r["box"] in used and str(r["source"]).startswith(INVENTED)]


def stock_tables(frame: Frame) -> list[Table]:
    """Return what hangs on whether boxes are stocked; only a job that may use such a box has the table."""
    return [stock_table(frame)] if stocks_invented(frame) else []


def stock_table(frame: Frame) -> Table:
    """What hangs at most on whether a box is stocked: boxes of it, and of the next one listed, by their prices."""
    rows = stocks_invented(frame)
    sizes = {str(r["box"]): r for r in frame.catalogs["box_sizes"]}
    boxes = list(dict.fromkeys(str(u["box"]) for u in box_uses_of(frame)))
    following = [_next_of(str(r["box"]), [r for b, r in sizes.items() if b in boxes]) for r in rows]

    def price(box: str) -> Expr:
        return look("unit_costs", "usd_each", col(box), by="item")

    def usd(name: str) -> Expr:
        return (At("box_counts", name, col("line")) + At("box_counts", name, col("next_line"))) * col("apart_usd")

    return Table(
        "stock",
        "Boxes by what is stocked",
        [
            Field("box", "box", role="key"),
            Field("part", "part of the cost"),
            Field("next_box", "next box of its family"),
            Field("line", "line of the box", "no."),
            Field("next_line", "line of the next", "no."),
        ],
        [
            Column(
                "invented",
                "illustrative stock",
                "0/1",
                flag(begins(look("box_sizes", "source", col("box")), INVENTED)),
                "as its source says",
                YES_NO,
            ),
            Column(
                "apart_usd",
                "their prices apart",
                "USD",
                call("absolute", price("next_box") - price("box")),
                "with waste, escalation and tax",
                "0.00",
            ),
            *(
                Column(name, f"cost, {plan}", "USD", usd(as_plan), "at most, one in place of the other", MONEY)
                for (name, plan, _), (as_plan, _) in zip(frame.per_titled("usd"), frame.per_compared("as"), strict=True)
            ),
        ],
        {
            "box": [r["box"] for r in rows],
            "part": ["boxes"] * len(rows),
            "next_box": following,
            "line": [boxes.index(str(r["box"])) + 1 for r in rows],
            "next_line": [boxes.index(b) + 1 for b in following],
        },
        {"usd": [name for name, _ in frame.per_compared("usd")]},
    )


def _next_of(box: str, boxes: Sequence[Row]) -> str:
    """Return the next box of the family of a box, as the catalog lists them; where it is the last, the box itself."""
    family = next(r["family"] for r in boxes if r["box"] == box)
    names = [str(r["box"]) for r in boxes if r["family"] == family]
    return names[min(names.index(box) + 1, len(names) - 1)]
