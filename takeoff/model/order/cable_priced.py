"""Cable in the price: feet with waste, whole packages, or whole packages less what keeps its value in stock.

The feet are live; what is bought in packages is a fact of the cutting plans, computed on the build, with a mark where
a figure they rest on was changed since. Boxes, circuits and areas are priced by the foot, whatever is chosen: what the
packages come to beyond is one figure of the whole plan, the coil remainder.
"""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.engine.aggregates import CountSmaller, SumBy, SumProducts
from takeoff.engine.expr import Expr, as_expr, call, col, equal, given, ratio, same, when
from takeoff.engine.lookups import At, CellAt, look
from takeoff.engine.tables import YES_NO, Book, Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.inputs import BY_FEET, invented_in_build, sound
from takeoff.model.givens.wages import only
from takeoff.model.order.cables import CableOrder
from takeoff.model.order.changes import changed, run_changes_table
from takeoff.model.order.cutting import FRESH, STALE

FEET, MONEY, SIGNED = "#,##0.0", "#,##0", "+#,##0;-#,##0;0"
BY_PACKAGES, LESS_STOCK = "packages", "packages-less-stock"
WAYS = (BY_FEET, BY_PACKAGES, LESS_STOCK)
"""What the input cable_priced_by may say."""

TITLES = dict(zip(WAYS, ("by feet with waste", "in packages", "in packages less stock"), strict=True))
NAMES = dict(zip(WAYS, ("feet", "packages", "less_stock"), strict=True))


def bought_tables(book: Book, frame: Frame, orders: Sequence[CableOrder]) -> list[Table]:
    """Return the tables that hold facts of the cutting plans: what is bought, and the runs it was planned for."""
    return [_bought_table(book, frame, orders), run_changes_table(book, frame)]


def _bought_table(book: Book, frame: Frame, orders: Sequence[CableOrder]) -> Table:
    """Every cable of every plan: what the cutting plan buys, what the price by feet counts, and the difference."""
    items = list(book.values("material", "item"))
    rows = [o for o in orders if o.pieces]
    data: dict[str, Sequence[object]] = {
        "title": [frame.titles[o.plan] for o in rows],
        "plan": [o.plan for o in rows],
        "item": [o.item for o in rows],
        "line": [items.index(o.item) + 1 for o in rows],
        "place": [frame.compared.index(o.plan) + 1 for o in rows],
        "built_ft": [o.run_ft for o in rows],
        "cut_ft": [sum(p.cut_ft for p in o.pieces) for o in rows],
        "bought_ft": [o.cutting.bought_ft + o.too_long_ft for o in rows],
    }
    data["lost_ft"] = [cut - built for cut, built in zip(data["cut_ft"], data["built_ft"], strict=True)]  # type: ignore[operator]
    if not rows:  # a job without cable still has the table; its row stands for something that is not bought
        standing = {"title": "-", "plan": "-", "item": "-", "line": len(items), "place": 1}
        data = {name: [standing.get(name, 0)] for name in data}

    def of_material(name: str) -> Expr:
        return CellAt("material", name, col("line"), col("place"))

    def price(name: str) -> Expr:
        return At("unit_costs", name, col("line"))

    credit = col("left_ft") * only("cable_way", "credit")
    return Table(
        "cable_bought",
        "Cable bought by the cutting plans, beside feet with waste",
        [
            Field("title", "plan", role="key", width=18),
            Field("plan", "plan key"),
            Field("item", "cable", role="key", width=20),
            Field("line", "line", "no."),
            Field("place", "place of the plan", "no."),
            Field("built_ft", "runs with tails, on the build", "ft", format=FEET),
            Field("cut_ft", "with waste at both ends", "ft", format=FEET),
            Field("bought_ft", "bought by the cutting plan", "ft", format=MONEY),
            Field("lost_ft", "of it waste at the ends", "ft", format=FEET),
        ],
        [
            Column("now_ft", "runs with tails, now", "ft", of_material("of_sheaths"), format=FEET),
            Column("open", "changed since", "0/1", changed(col("now_ft"), col("built_ft")), format=YES_NO),
            Column("with_waste_ft", "feet with waste", "ft", of_material("quantitys"), "priced by feet", FEET),
            Column("left_ft", "left over", "ft", col("bought_ft") - col("cut_ft"), "on coils and reels", FEET),
            Column(
                "more_ft",
                "in the price beyond feet with waste",
                "ft",
                (col("bought_ft") - col("with_waste_ft")) * only("cable_way", "packages") - credit,
                "by cable_priced_by; of what is left over stock_value_pct is taken off",
                "#,##0.0;-#,##0.0;0.0",
            ),
            Column("today_usd", "a foot, at the price of today", "USD/ft", price("bare_usd"), format="0.0000"),
            Column(
                "escalated_usd", "with escalation", "USD/ft", col("today_usd") * price("escalation"), format="0.0000"
            ),
            Column("usd", "with escalation and tax", "USD/ft", col("escalated_usd") * price("tax"), format="0.0000"),
            Column(
                "sound", "of it not illustrative", "1/1", ratio(price("sound_usd"), price("usd_each"), 0), format="0.00"
            ),
            Column("quoted", "quoted price", "0/1", price("quoted"), format=YES_NO),
        ],
        data,
        key="item",
    )


def cable_way_table(frame: Frame) -> Table:
    """What the input cable_priced_by says, in figures."""
    way = given("cable_priced_by")
    stocked = ratio(given("stock_value_pct"), 100, 0)
    return Table(
        "cable_way",
        "How cable is priced",
        [Field("key", "key", role="key"), Field("waste_invented", "illustrative waste at the ends", "0/1")],
        [
            Column("packages", "whole packages are priced", "0/1", when(same(way, BY_FEET), 0, 1)),
            Column("stock", "part of what is left over that keeps its value", "1/1", stocked, format="0.00"),
            Column("credit", "taken off for it", "1/1", when(same(way, LESS_STOCK), col("stock"), 0), format="0.00"),
            Column("credit_invented", "illustrative value", "0/1", as_expr(1) - sound("stock_value_pct")),
        ],
        {"key": ["cable"], "waste_invented": [invented_in_build(frame, "cut_waste_ft")]},
        {"invented": ["waste_invented", "credit_invented"]},
    )


def cable_more_table(frame: Frame) -> Table:
    """What the cable of every plan comes to in the three ways, and what the way in force adds to feet with waste."""
    mine = {"plan": col("plan")}

    def way(name: str) -> Expr:
        return only("cable_way", name)

    def cable(name: str, title: str, *factors: str, note: str = "", form: str = MONEY) -> Column:
        return Column(name, title, "USD", SumProducts("cable_bought", factors, mine), note, form)

    return Table(
        "cable_more",
        "Cable of every plan, priced in three ways",
        [Field("title", "plan", role="key", width=18), Field("plan", "plan key")],
        [
            cable("feet_usd", TITLES[BY_FEET], "with_waste_ft", "usd"),
            cable("packages_usd", TITLES[BY_PACKAGES], "bought_ft", "usd"),
            cable(
                "left_usd", "of it left over", "left_ft", "usd", note="what is on coils and reels after the last cut"
            ),
            Column(
                "less_stock_usd",
                TITLES[LESS_STOCK],
                "USD",
                col("packages_usd") - col("left_usd") * only("cable_way", "stock"),
                "less stock_value_pct of what is left over",
                MONEY,
            ),
            cable("today_usd", "coil remainder at prices of today", "more_ft", "today_usd", form=SIGNED),
            Column(
                "escalation_usd",
                "escalation of it",
                "USD",
                SumProducts("cable_bought", ["more_ft", "escalated_usd"], mine) - col("today_usd"),
                format=SIGNED,
            ),
            cable("usd", "coil remainder", "more_ft", "usd", note="with escalation and tax", form=SIGNED),
            Column(
                "lost_usd",
                "waste at the ends of runs, as priced",
                "USD",
                SumProducts("cable_bought", ["lost_ft", "usd"], mine) * only("cable_way", "packages"),
                "0 where cable is priced by feet",
                MONEY,
            ),
            Column("credit_usd", "taken off for what is left over", "USD", col("left_usd") * way("credit"), "", MONEY),
            Column(
                "invented_usd",
                "of it hangs on illustrative waste or value",
                "USD",
                col("lost_usd") * way("waste_invented") + col("credit_usd") * way("credit_invented"),
                "cut_waste_ft and stock_value_pct, taken off or not",
                MONEY,
            ),
            cable("sound_usd", "of it not illustrative", "more_ft", "usd", "sound", form=SIGNED),
            cable("quoted_usd", "of it on quotes", "more_ft", "usd", "sound", "quoted", form=SIGNED),
            Column("tax_usd", "tax on it", "USD", col("usd") - col("today_usd") - col("escalation_usd"), format=SIGNED),
        ],
        {"title": list(frame.titles.values()), "plan": list(frame.compared)},
        {"held": ["lost_usd", "credit_usd"]},
        key="plan",
    )


def cable_priced_table(frame: Frame) -> Table:
    """Every plan installed with its cable priced in the three ways, and whether the order of the plans changes."""
    row, all_ = col("place"), {"all": col("all")}
    feet = At("plan_sums", "labor_cost", row) + At("plan_sums", "feet_material", row)

    def installed(way: str) -> Column:
        more = At("cable_more", f"{NAMES[way]}_usd", row) - At("cable_more", "feet_usd", row)
        # to the cent: a criterion of COUNTIFS carries 15 digits, and dollars with nine decimals may have more
        cents = call("whole", (feet if way == BY_FEET else feet + more) * 100)
        expr = ratio(cents, 100, 0)
        return Column(f"{NAMES[way]}_usd", f"installed, cable {TITLES[way]}", "USD", expr, "to the cent", MONEY)

    def place(way: str) -> Column:
        before = CountSmaller("cable_priced", all_, f"{NAMES[way]}_usd", col(f"{NAMES[way]}_usd"))
        return Column(f"{NAMES[way]}_place", f"place, cable {TITLES[way]}", "ea", before + 1, "1: costs least")

    alike = call(
        "all",
        equal(col("packages_place"), col("feet_place")),
        equal(col("less_stock_place"), col("feet_place")),
    )
    stale = SumBy("cable_bought", "open", {"plan": col("plan")}) + look("run_changes", "open", col("plan"), by="plan")
    return Table(
        "cable_priced",
        "Cable in the price: feet, packages, packages less stock",
        [
            Field("title", "plan", role="key", width=18),
            Field("plan", "plan key"),
            Field("place", "place of the plan", "no."),
            Field("all", "all", "no."),
        ],
        [
            *(installed(way) for way in WAYS),
            *(place(way) for way in WAYS),
            Column(
                "moves",
                "place depends on the way",
                "0/1",
                when(alike, 0, 1),
                "yes: the order of the plans changes",
                YES_NO,
            ),
            Column("open", "changed since the build", "ea", stale + only("package_changes", "open")),
            Column("state", "packages", "", when(equal(col("open"), 0), FRESH, STALE), width=20),
        ],
        {
            "title": list(frame.titles.values()),
            "plan": list(frame.compared),
            "place": list(range(1, len(frame.compared) + 1)),
            "all": [1] * len(frame.compared),
        },
        key="plan",
    )
