"""Counted quantities in the job: how much of each driver, by plan and construction."""

from __future__ import annotations

from takeoff.engine.aggregates import SumProducts
from takeoff.engine.expr import Expr, col
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.constructions import drivers_of

WHOLE = "#,##0"


def mix_table(frame: Frame) -> Table:
    """How much of each driver the job has, by plan and construction."""
    return Table(
        "mix",
        "Counted quantities by plan and construction",
        [
            Field("plan", "plan", role="key"),
            Field("wired_as", "wired as", role="key"),
            Field("place", "place of the plan", "no."),
            Field("wired_place", "place of the construction", "no."),
        ],
        [
            *(_driver(frame, d, _at_boxes(d, "counts")) for d in drivers_of(frame, "box")),
            *(_driver(frame, d, _along(d, "repeat")) for d in drivers_of(frame, "run")),
        ],
        {
            "plan": [p for p, _ in frame.pairs],
            "wired_as": [w for _, w in frame.pairs],
            "place": [list(frame.compared).index(p) + 1 for p, _ in frame.pairs],
            "wired_place": [frame.constructions.index(w) + 1 for _, w in frame.pairs],
        },
        {"drivers": drivers_of(frame)},
    )


def efforts_table(frame: Frame) -> Table:
    """How much of each driver labor counts: with the conditions of the work, and with what a crew learns."""
    table = mix_table(frame)
    columns = [
        *(_effort(frame, d, _at_boxes(d, "efforts")) for d in drivers_of(frame, "box")),
        *(_effort(frame, d, _along(d, "effort")) for d in drivers_of(frame, "run")),
    ]
    blocks = {"drivers": [c.name for c in columns]}
    return Table(
        "efforts", "Counted quantities as labor counts them", table.fields, columns, table.data, blocks, "plan"
    )


def _driver(frame: Frame, name: str, expr: Expr) -> Column:
    row = frame.catalogs["drivers"][name]
    return Column(name, str(row["title"]), str(row["unit"]), expr, str(row["source"]), WHOLE)


def _effort(frame: Frame, name: str, expr: Expr) -> Column:
    row = frame.catalogs["drivers"][name]
    title, note = f"{row['title']}, as labor counts it", "with conditions of the work and learning"
    return Column(f"{name}_effort", title, str(row["unit"]), expr, note, WHOLE)


def _at_boxes(driver: str, block: str) -> Expr:
    return SumProducts("work", [driver, (f"built.{block}", col("place"))], {"construction": col("wired_as")})


def _along(column: str, times: str) -> Expr:
    return SumProducts("each", [times, column], {"plan": col("plan"), "place": col("wired_place")})


def quantities_table(frame: Frame) -> Table:
    """How much of each driver the job has, in each plan compared."""
    drivers = drivers_of(frame)
    catalog = frame.catalogs["drivers"]
    return Table(
        "quantities",
        "Counted quantities",
        [
            Field("driver", "driver", role="key"),
            Field("title", "what is counted", role="key"),
            Field("unit", "unit"),
            Field("place", "place among the drivers", "no."),
        ],
        [
            Column(
                n,
                title,
                "in its unit",
                SumProducts("mix", [("drivers", col("place"))], {"plan": p}),
                head=title,
                format="#,##0",
            )
            for n, title, p in frame.per_titled("as")
        ],
        {
            "driver": drivers,
            "title": [catalog[d]["title"] for d in drivers],
            "unit": [catalog[d]["unit"] for d in drivers],
            "place": list(range(1, len(drivers) + 1)),
        },
        {"counts": [n for n, _ in frame.per_compared("as")]},
    )
