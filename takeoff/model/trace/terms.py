"""The terms of a figure: quantity x minutes for every operation, quantity x cost of one for every item."""

from __future__ import annotations

from dataclasses import dataclass

from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, as_expr, col, ratio
from takeoff.engine.lookups import At, CellAt, look
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.constructions import drivers_of, operations_of
from takeoff.model.givens.items import reachable_items
from takeoff.model.givens.wages import labor_rate
from takeoff.model.trace import choice, counts

QUANTITY, CENTS = "#,##0.0;-#,##0.0;-", "#,##0.00;-#,##0.00;-"


def trace_tables(book: Book, frame: Frame) -> list[Table]:
    """Return the tables of the trace; which minutes an operation takes, and what a run buys, the book knows."""
    minutes = _minutes(book, frame)
    apart = len({m.row for m in minutes}) > len({m.operation for m in minutes})
    sets = list(dict.fromkeys(m.constructions for m in minutes))
    return [
        choice.trace_choice_table(frame),
        choice.trace_keys_table(frame),
        choice.trace_bid_table(frame),
        choice.trace_sums_table(frame),
        choice.trace_figures_table(frame),
        trace_labor_table(frame, minutes, sets, apart),
        trace_material_table(frame),
        counts.trace_built_table(frame),
        counts.trace_mix_table(frame, frame.constructions if apart else [counts.ALL], sets),
        counts.trace_runs_table(book, frame),
        counts.trace_joints_table(book),
        *([counts.trace_control_table(book), counts.trace_cables_table(frame)] if frame.control_boxes else []),
        counts.trace_counted_table(frame),
        counts.trace_parts_table(frame),
    ]


@dataclass(frozen=True)
class _Minutes:
    """A row of the minutes that some constructions take for an operation, with its place counted from 1."""

    operation: str
    title: str
    driver: str
    row: int
    constructions: frozenset[str]


def _minutes(book: Book, frame: Frame) -> list[_Minutes]:
    """Return the rows of minutes in use, in working order."""
    used: dict[tuple[str, int], list[str]] = {}
    columns = (book.values("steps", name).tolist() for name in ("operation", "used_row", "construction"))
    for operation, row, construction in zip(*columns, strict=True):
        used.setdefault((operation, int(row)), []).append(construction)
    return [
        _Minutes(str(o["operation"]), str(o["title"]), str(o["driver"]), row, frozenset(wired))
        for o in operations_of(frame)
        for (operation, row), wired in used.items()
        if operation == o["operation"] and row
    ]


def trace_labor_table(frame: Frame, minutes: list[_Minutes], sets: list[frozenset[str]], apart: bool) -> Table:
    """One row for each row of minutes: quantity in the scope x minutes for one."""
    place = ("drivers", col("driver_place"))
    quantity: Expr = CellAt("trace_mix", "drivers", as_expr(1), place[1])
    if apart:
        quantity = SumProducts("trace_mix", [place, ("sets", col("set_place"))], {})
    drivers, every = drivers_of(frame), frozenset(frame.constructions)
    titles = frame.called

    def wired(m: _Minutes) -> str:
        named = (title for construction, title in titles.items() if construction in m.constructions)
        return counts.ALL if m.constructions == every else ", ".join(named)

    return Table(
        "trace_labor",
        "Labor: quantity x minutes",
        [
            Field("operation", "operation", role="key", width=24),
            Field("title", "what is done", role="key", width=46),
            Field("wired_as", "wired as", width=19),
            Field("driver", "for each of", width=34),
            Field("driver_place", "column of the quantity", "no."),
            Field("minutes_row", "row of the minutes", "no."),
            Field("set_place", "column of the set", "no."),
        ],
        [
            Column(
                "quantity",
                "quantity as labor counts it",
                "in its unit",
                quantity,
                "x conditions of the work x learning",
                QUANTITY,
            ),
            Column("minutes", "minutes for one", "min", At("operations", "minutes", col("minutes_row")), format="0.00"),
            Column("hours", "labor", "h", ratio(col("quantity") * col("minutes"), 60, 0), format=CENTS),
            Column("usd", "labor", "USD", col("hours") * labor_rate(), "at the labor rate in force", CENTS),
        ],
        {
            **{n: [getattr(m, n) for m in minutes] for n in ("operation", "title")},
            "wired_as": [wired(m) for m in minutes],
            "driver": [str(frame.catalogs["drivers"][m.driver]["title"]) for m in minutes],
            "driver_place": [drivers.index(m.driver) + 1 for m in minutes],
            "minutes_row": [m.row for m in minutes],
            "set_place": [sets.index(m.constructions) + 1 for m in minutes],
        },
        key="operation",
        totals=["hours", "usd"],
    )


def trace_material_table(frame: Frame) -> Table:
    """One row for each item: quantity in the scope x cost of one."""
    items = reachable_items(frame)

    def made(item: str) -> Expr:
        return SumProducts("costs", ["trace_built.count"], {item: col("item")})

    circuits: Expr = SumProducts("roles", ["trace_joints.joints"], {"joint_item": col("item")})
    if frame.control_boxes:
        circuits = circuits + SumBy("trace_control", "joints", {"item": col("item")})
    others: Expr = SumBy("trace_runs", "quantity", {"item": col("item")}) + SumBy(
        "trace_parts", "quantity", {"item": col("item")}
    )
    if frame.control_boxes:
        mine = {"item": col("item")}
        others = others + SumBy("trace_cables", "quantity", mine)
    return Table(
        "trace_material",
        "Material: quantity x cost of one",
        [Field("item", "item", role="key", width=24), Field("title", "description", role="key", width=46)],
        [
            Column("of_boxes", "boxes, rings, covers", "ea", made("box_item") + made("cover_item"), format=QUANTITY),
            Column("of_joints", "wire connectors", "ea", made("joint_item") + circuits, format=QUANTITY),
            Column(
                "quantity",
                "quantity",
                "ft or ea",
                col("of_boxes") + col("of_joints") + others,
                "without waste",
                QUANTITY,
            ),
            Column(
                "usd_each",
                "cost of one",
                "USD/ft or ea",
                look("unit_costs", "usd_each", col("item"), by="item"),
                "the price in force with waste, escalation and tax: its row on Rates",
                "#,##0.0000",
                width=11,
            ),
            Column("usd", "cost", "USD", col("quantity") * col("usd_each"), format=CENTS),
        ],
        {n: [r[n] for r in items] for n in ("item", "title")},
        key="item",
        totals=["usd"],
    )
