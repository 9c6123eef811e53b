"""Material: every item with its quantity and cost, side by side for the plans compared."""

from __future__ import annotations

from collections.abc import Iterator
from functools import reduce
from operator import add

from takeoff.catalog.packages import counted_in
from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, as_expr, col
from takeoff.engine.lookups import At, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import NOTHING, Frame
from takeoff.model.givens.constructions import drivers_of
from takeoff.model.givens.items import costed_items

QUANTITY, MONEY = "#,##0;-#,##0;-", "#,##0.00;-#,##0.00;-"

SOURCES = (
    ("of_sheath", "cable or raceway", "ft", "orders", ["sheath_ft"], "sheath_item"),
    ("of_coupling", "couplings", "ea", "orders", ["sheath_ft", "couplings"], "coupling_item"),
    ("of_wire", "conductors pulled", "ft", "orders", ["wire_ft", "conductors"], "wire_item"),
    ("of_egc", "EGC pulled", "ft", "orders", ["wire_ft", "wire_egc"], "egc_item"),
    ("of_end", "connectors", "ea", "orders", ["runs", "connectors"], "connector_item"),
    ("of_box", "boxes, rings, covers", "ea", "costs", ["built.counts"], "box_item cover_item"),
    ("of_ground_joint", "ground connectors", "ea", "costs", ["built.counts"], "joint_item"),
)
"""Where a quantity comes from: column, title, unit, table, block by plan and factors, columns of the item."""

UNUSED = "-"
"""Stands in the list of material for the price of nothing, so that no quantity of it is counted."""


def _plan_columns(place: int, title_of_plan: str, plan: str, control: bool) -> Iterator[tuple[str, Column]]:
    """Yield the columns of one plan: its quantity and cost, then where they come from."""

    def mine(name: str) -> Expr:
        return col(f"{name}_{place}")

    def cost(name: str) -> Expr:
        return At("unit_costs", name, col("line"))

    def column(
        name: str, title: str, unit: str, expr: Expr, note: str = "", form: str = QUANTITY
    ) -> tuple[str, Column]:
        return name, Column(f"{name}_{place}", f"{title}, {title_of_plan}", unit, expr, note, form, title_of_plan, 12)

    lengths = mine("of_sheath") + mine("of_coupling") + mine("of_wire") + mine("of_egc")
    pieces = mine("of_box") + mine("of_ground_joint") + mine("of_part")
    yield column("quantity", "quantity", "ft or ea", mine("net") * cost("waste"), "with waste")
    yield column("usd", "cost", "USD", mine("net") * cost("usd_each"), "with waste, escalation and tax", MONEY)
    yield column(
        "net",
        "without waste",
        "ft or ea",
        lengths + mine("of_end") + pieces,
    )
    for name, title, unit, table, (block, *more), item in SOURCES:
        factors: list[str | tuple[str, Expr]] = [(block, _place(place)), *more]
        found: list[Expr] = [SumProducts(table, factors, {name_of: col("item")}) for name_of in item.split()]
        if control and name == "of_sheath":
            found.append(SumBy("control_lines", "all_ft", {"key": col("item") & f"|{plan}"}))
        yield column(name, title, unit, reduce(add, found[1:], as_expr(found[0])))
    joints = SumBy("joint_sums" if control else "joints", "joints", {"item": col("item")})
    parts = SumBy("small_parts", "quantity", {"item": col("item"), "plan": plan})
    yield column("of_part", "circuit connectors and small parts", "ea", joints + parts)


def _place(place: int) -> Expr:
    """Return the place of a plan, as the row of the plans has it."""
    return col(f"plan_{place}")


def material_table(frame: Frame) -> Table:
    """One row for each item: quantity with waste and cost, the plans side by side, and where they come from."""
    items = costed_items(frame)
    places = list(enumerate(((title, plan) for plan, title in frame.titles.items()), start=1))
    by_plan = [list(_plan_columns(n, t, p, bool(frame.control_boxes))) for n, (t, p) in places]
    names = [name for name, _ in by_plan[0]]
    columns = {name: [dict(found)[name] for found in by_plan] for name in names}
    return Table(
        "material",
        "Material by item",
        [
            Field("item", "item", role="key", width=24),
            Field("title", "description", role="key", width=46),
            Field("family", "family"),
            Field("part", "part of the cost"),
            Field("counted_in", "counted in"),
            Field("line", "line", "no."),
            *(Field(f"plan_{n}", f"place of {p}", "no.") for n, (p, _) in places),
        ],
        [column for name in names for column in columns[name]],
        {
            "item": [UNUSED if r["item"] == NOTHING else r["item"] for r in items],
            **{n: [r[n] for r in items] for n in ("title", "family")},
            "part": [frame.catalogs["families"][str(r["family"])]["part"] for r in items],
            "counted_in": [counted_in(r, frame.catalogs) for r in items],
            "line": list(range(1, len(items) + 1)),
            **{f"plan_{n}": [n] * len(items) for n, _ in places},
        },
        {f"{name}s": [c.name for c in found] for name, found in columns.items()},
        key="item",
        totals=[f"usd_{n}" for n, _ in places],
    )


def small_parts_table(frame: Frame) -> Table:
    """Small parts: counted quantity x items for one."""
    uses = list(frame.catalogs["uses"])
    rows = [(u, place, p) for u in uses for place, p in enumerate(frame.compared, start=1)]
    drivers = drivers_of(frame)
    counted = SumProducts("mix", [("drivers", col("driver_place"))], {"plan": col("plan")})
    return Table(
        "small_parts",
        "Small parts",
        [
            Field("use", "use", role="key"),
            Field("item", "item", role="key"),
            Field("plan", "plan", role="key"),
            Field("driver", "for each of"),
            Field("driver_place", "row of the quantity", "no."),
            Field("place", "place of the plan", "no."),
        ],
        [
            Column("counted", "counted", "in its unit", counted, format="#,##0"),
            Column(
                "quantity",
                "items",
                "ea",
                col("counted") * look("part_costs", "quantity", col("use"), by="use"),
                format="#,##0",
            ),
        ],
        {
            **{n: [u[n] for u, _, _ in rows] for n in ("use", "item", "driver")},
            "plan": [p for _, _, p in rows],
            "driver_place": [drivers.index(str(u["driver"])) + 1 for u, _, _ in rows],
            "place": [place for _, place, _ in rows],
        },
    )
