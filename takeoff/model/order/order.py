"""The order list: what to buy in packages, counted by the cutting plans of the build or by quantity with waste."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from takeoff.catalog.packages import packages_of
from takeoff.engine.aggregates import SumBy
from takeoff.engine.expr import Expr, as_expr, call, col, equal, ratio, when
from takeoff.engine.lookups import At, Match, Total
from takeoff.engine.tables import YES_NO, Book, Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.items import reachable_items
from takeoff.model.order.cables import CableOrder
from takeoff.model.order.cutting import CUT_TO_LENGTH, FRESH, STALE, cable_table, coils_table
from takeoff.model.order.rest import SIDES, Rest

WHOLE, COUNT = "#,##0", "#,##0;-#,##0;-"
BY_PIECE = "by the piece"
"""Stands where a package would, for an item that has none."""

BY_PLAN, BY_QUANTITY = "cutting plan", "quantity with waste"
"""What the packages of an item are counted by."""


def order_tables(book: Book, frame: Frame, orders: Sequence[CableOrder]) -> list[Table]:
    """Return the tables of the order; the cutting plans in them are those given."""
    return [
        order_list_table(frame, orders),
        cable_table(book, orders, frame.titles),
        coils_table(orders, frame.titles),
        _order_plans_table(frame),
        _order_state_table(),
    ]


@dataclass(frozen=True)
class _Row:
    """An item in one of its packages: its place among the items, and whether the cutting plan counts it."""

    item: str
    title: str
    line: int
    package: str
    is_cut: bool


def _order_rows(frame: Frame, orders: Sequence[CableOrder]) -> list[_Row]:
    cables = {o.item for o in orders}
    too_long = {o.item for o in orders if o.cutting.too_long}
    rows = []
    for line, item in enumerate(reachable_items(frame), start=1):
        key, title = str(item["item"]), str(item["title"])
        packages = [package for package, _ in packages_of(key, frame.catalogs)]
        if key in cables:
            packages += [CUT_TO_LENGTH] if key in too_long else []
        else:
            packages = packages[:1] or [BY_PIECE]
        rows += [_Row(key, title, line, package, key in cables) for package in packages]
    return rows


def rest_order(book: Book, frame: Frame, rest: Rest) -> Book:
    """Return a book whose table `order_list` is the order of what remains, in the two plans of the swap.

    Parameters
    ----------
    book
        A computed book, for its packages.
    frame, rest
        The givens of the job, and what remains of it.
    """
    plans = {str(book.inputs[f"swap_{side}"]): list(rest.quantities[side]) for side in SIDES}
    none = [0.0] * len(book.values("material", "item"))
    data = {f"quantity_{n}": plans.get(p, none) for n, p in enumerate(frame.compared, start=1)}
    quantities = Table("material", "", [Field(name, name) for name in data], [], data)
    mine = order_list_table(frame, [o for o in rest.orders if o.plan in plans])
    return Book([quantities, book.tables["packages"], mine], book.inputs)


def order_list_table(frame: Frame, orders: Sequence[CableOrder]) -> Table:
    """Packages of every item, the plans side by side: coils of the cutting plan, or the quantity with waste."""
    rows = _order_rows(frame, orders)
    by_key = {(o.plan, o.item): o for o in orders}
    feet = {str(r["package"]): float(str(r["count"])) for r in frame.catalogs["packages"]}
    marks = {str(r["connector_item"]): str(r["marking"]) for r in frame.catalogs["fittings"]}

    def cut(plan: str, row: _Row) -> float:
        order = by_key.get((plan, row.item))
        if not order or not row.is_cut:
            return 0
        return order.too_long_ft if row.package == CUT_TO_LENGTH else order.count(row.package)

    def bought(place: int) -> Expr:
        with_waste = At("material", f"quantity_{place}", col("line"))
        packed = call("up", ratio(with_waste, col("holds"), 0))
        return col(f"cut_{place}") + packed * (as_expr(1) - col("is_cut"))

    places = list(enumerate(frame.titles.values(), start=1))
    return Table(
        "order_list",
        "What to order, in packages",
        [
            Field("item", "item", role="key", width=24),
            Field("title", "description", role="key", width=56),
            Field("package", "package", width=16),
            Field("by", "counted by", width=20),
            Field("is_cut", "by the cutting plan", "0/1", format=YES_NO),
            Field("line", "line", "no."),
            Field("built_holds", "one held on the build", "ft or ea", format=WHOLE),
            *(Field(f"cut_{n}", f"by the cutting plan as {p}", "ea", format=COUNT) for n, p in places),
        ],
        [
            *(
                Column(f"buy_{n}", f"packages as {p}", "ea", bought(n), "rounded up once for the job", COUNT, p)
                for n, p in places
            ),
            Column("package_row", "row of the package", "no.", Match("packages", "package", col("package"), True)),
            Column("holds", "one holds", "ft or ea", At("packages", "count", col("package_row"), 1), format=WHOLE),
            Column(
                "repacked",
                "coil changed since the build",
                "0/1",
                when(equal(col("holds"), col("built_holds")), 0, col("is_cut")),
                "the cutting plan was made for coils as they were",
                YES_NO,
            ),
        ],
        {
            "item": [r.item for r in rows],
            "title": [r.title + (f"; carton marked {marks[r.item]}" if r.item in marks else "") for r in rows],
            "package": [r.package for r in rows],
            "by": [BY_PLAN if r.is_cut else BY_QUANTITY for r in rows],
            "is_cut": [int(r.is_cut) for r in rows],
            "line": [r.line for r in rows],
            "built_holds": [feet.get(r.package, 1.0) for r in rows],
            **{f"cut_{n}": [cut(p, row) for row in rows] for n, p in enumerate(frame.compared, start=1)},
        },
        key="item",
    )


def _order_plans_table(frame: Frame) -> Table:
    """What the cable of every plan comes to: the bid prices feet with waste, the supplier sells whole coils."""

    def cables(name: str) -> Expr:
        return SumBy("cable_orders", name, {"place": col("place")})

    return Table(
        "order_plans",
        "Cable of every plan: feet with waste, and what is bought",
        [
            Field("plan", "plan", role="key", width=18),
            Field("place", "place of the plan", "no."),
        ],
        [
            Column("with_waste_ft", "feet with waste", "ft", cables("with_waste_ft"), format=WHOLE),
            Column("bought_ft", "bought by the cutting plans", "ft", cables("bought_ft"), format=WHOLE),
            Column("coils", "coils and reels", "ea", cables("coils"), format=WHOLE),
            Column(
                "beyond_usd",
                "bought beyond feet with waste",
                "USD",
                cables("against_waste_usd"),
                "at bare prices; in the price where cable_priced_by is packages: sheet Breakdown",
                "+#,##0;-#,##0;0",
                width=12,
            ),
        ],
        {"plan": list(frame.titles.values()), "place": list(range(1, len(frame.compared) + 1))},
        key="plan",
    )


def _order_state_table() -> Table:
    changed = Total("cable_bought", "open") + Total("run_changes", "open") + Total("order_list", "repacked")
    says = when(equal(col("open"), 0), FRESH, STALE)
    return Table(
        "order_state",
        "Cutting plans as a whole",
        [Field("key", "order", role="key")],
        [
            Column("open", "cables, plans and coils changed since the build", "ea", changed),
            Column("state", "cutting plans", "", says, width=20),
        ],
        {"key": ["order"]},
    )
