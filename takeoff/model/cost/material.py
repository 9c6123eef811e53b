"""Material: every item with its quantity and cost, side by side for the constructions compared."""

from __future__ import annotations

from takeoff.catalog.packages import counted_in
from takeoff.catalog.rows import Row
from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, Head, call, col, flag, less
from takeoff.engine.lookups import At, CellAt, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import NOTHING, Frame
from takeoff.model.givens.constructions import drivers_of

MONEY = "#,##0.00"


def reachable_items(frame: Frame) -> list[Row]:
    """Return the priced items that some input of the workbook can call for in this job.

    Cables of sizes that no run of the job has, and boxes of styles and gangs that no box has, are left out.
    """
    sizes = {(m, kind.partition("c")[2]) for m in frame.methods for kind in frame.run_kinds}
    families = {(m.box_style, m.gangs) for m in frame.types.by_key.values()}
    cables = [c for c in frame.catalogs["cables"] if (c["construction"], c["awg"]) in sizes]
    uses = [u for u in frame.catalogs["box_uses"] if (u["box_style"], u["gangs"]) in families]
    wanted = {str(c[n]) for c in cables for n in ("sheath_item", "wire_item", "egc_item")}
    wanted |= {str(u[n]) for u in uses for n in ("box", "cover")}
    wanted |= {str(f[n]) for f in frame.catalogs["fittings"] for n in ("connector_item", "coupling_item")}
    wanted |= {str(r["item"]) for name in ("connectors", "uses") for r in frame.catalogs[name]}
    return [r for r in frame.catalogs["prices"] if r["item"] in wanted - {NOTHING}]


def material_table(frame: Frame) -> Table:
    """Quantity with waste, and cost, of every item in each construction compared."""
    items = reachable_items(frame)

    def line(name: str) -> SumBy:
        return SumBy("material_lines", name, {"item": col("item"), "construction": Head()})

    return Table(
        "material",
        "Material by item",
        [
            Field("item", "item", role="key", width=24),
            Field("title", "description", role="key", width=46),
            Field("family", "family"),
            Field("counted_in", "counted in"),
        ],
        [
            *(
                Column(n, f"quantity as {p}", "ft or ea", line("with_waste"), head=p, format="#,##0;-#,##0;-", width=12)
                for n, p in frame.per_compared("quantity")
            ),
            *(
                Column(n, f"cost as {p}", "USD", line("material_usd"), head=p, format="#,##0.00;-#,##0.00;-", width=12)
                for n, p in frame.per_compared("usd")
            ),
        ],
        {
            **{n: [r[n] for r in items] for n in ("item", "title", "family")},
            "counted_in": [counted_in(r, frame.catalogs) for r in items],
        },
        totals=[n for n, _ in frame.per_compared("usd")],
    )


def small_parts_table(frame: Frame) -> Table:
    """Small parts: counted quantity x items for one."""
    uses = list(frame.catalogs["uses"])
    rows = [(u, place, p) for u in uses for place, p in enumerate(frame.compared, start=1)]
    drivers = drivers_of(frame)
    counted = CellAt("quantities", "counts", col("driver_place"), col("place"))
    return Table(
        "small_parts",
        "Small parts",
        [
            Field("use", "use", role="key"),
            Field("item", "item", role="key"),
            Field("construction", "compared as", role="key"),
            Field("driver", "for each of"),
            Field("driver_place", "row of the quantity", "no."),
            Field("place", "place among the compared", "no."),
        ],
        [
            Column("counted", "counted", "by driver", counted, format="#,##0"),
            Column("quantity", "items", "ea", col("counted") * look("uses", "quantity", col("use")), format="#,##0"),
        ],
        {
            **{n: [u[n] for u, _, _ in rows] for n in ("use", "item", "driver")},
            "construction": [p for _, _, p in rows],
            "driver_place": [drivers.index(str(u["driver"])) + 1 for u, _, _ in rows],
            "place": [place for _, place, _ in rows],
        },
    )


SOURCES = (
    ("of_sheath", "cable or raceway", "ft", "orders", ["sheath_ft"], "sheath_item"),
    ("of_coupling", "couplings", "ea", "orders", ["sheath_ft", "couplings"], "coupling_item"),
    ("of_wire", "conductors pulled", "ft", "orders", ["wire_ft", "conductors"], "wire_item"),
    ("of_egc", "EGC pulled", "ft", "orders", ["wire_ft", "wire_egc"], "egc_item"),
    ("of_end", "runs", "ea", "orders", ["runs"], "connector_item"),
    ("of_box", "boxes", "ea", "costs", ["counts"], "box_item"),
    ("of_cover", "rings and covers", "ea", "costs", ["counts"], "cover_item"),
    ("of_ground_joint", "ground connectors", "ea", "costs", ["counts"], "joint_item"),
)
"""Where a quantity comes from: column, title, unit, table, block by construction and factors, item column."""


def material_lines_table(frame: Frame) -> Table:
    """Material by item: where its quantity comes from, with waste, and what it costs."""
    rows = [(r, place, p) for place, p in enumerate(frame.compared, start=1) for r in reachable_items(frame)]
    sources = [
        Column(
            name, title, unit, SumProducts(table, [(block, col("place")), *more], {item: col("item")}), format="#,##0"
        )
        for name, title, unit, table, (block, *more), item in SOURCES
    ]
    joints = SumProducts("roles", ["joints", "boxes_of_type"], {"joint_item": col("item")})
    parts = SumBy("small_parts", "quantity", {"item": col("item"), "construction": col("construction")})
    lengths = col("of_sheath") + col("of_coupling") + col("of_wire") + col("of_egc")
    housings = col("of_box") + col("of_cover")

    def cost(name: str) -> Expr:
        return At("unit_costs", name, col("cost_row"))

    second = col("of_end") + col("of_end") + housings + col("of_ground_joint") + col("of_joint") + col("of_part")
    return Table(
        "material_lines",
        "Material by item, where it comes from",
        [
            Field("construction", "compared as", role="key"),
            Field("item", "item", role="key"),
            Field("title", "description", role="key"),
            Field("family", "family"),
            Field("counted_in", "counted in"),
            Field("place", "place among the compared", "no."),
        ],
        [
            *sources,
            Column("of_joint", "circuit connectors", "ea", joints, format="#,##0"),
            Column("of_part", "small parts", "ea", parts, format="#,##0"),
            Column("quantity", "quantity", "ft or ea", lengths + second, "a run has two connectors", "#,##0.0"),
            Column("cost_row", "row of the cost", "no.", Match("unit_costs", "item", col("item"))),
            Column("with_waste", "with waste", "ft or ea", col("quantity") * cost("waste"), format="#,##0.0"),
            Column("usd_each", "cost of one with all", "USD", cost("usd_each"), format="#,##0.0000"),
            Column("material_usd", "material", "USD", col("quantity") * col("usd_each"), format="#,##0.00"),
            Column(
                "today_usd", "of it at today's price", "USD", col("quantity") * cost("today_usd"), "with waste", MONEY
            ),
            Column(
                "escalation_usd",
                "of it escalation",
                "USD",
                col("quantity") * cost("escalated_usd") - col("today_usd"),
                format=MONEY,
            ),
            Column(
                "tax_usd", "of it tax", "USD", col("quantity") * (cost("usd_each") - cost("escalated_usd")), "", MONEY
            ),
            Column(
                "invented_usd", "on illustrative prices", "USD", col("material_usd") * cost("invented"), format=MONEY
            ),
            Column("used", "is used", "0/1", flag(less(0, col("quantity")))),
            Column("missing", "price is missing", "0/1", col("used") * cost("missing")),
            Column("expired", "quote has expired", "0/1", col("used") * cost("expired")),
            Column("slipped", "probable slip of the unit", "0/1", call("sign", col("used") * cost("slips"))),
            Column("length_ft", "cable, raceway, conductors", "ft or ea", lengths, "with couplings", "#,##0.0"),
            Column(
                "bare_cable_usd", "of it before waste and tax", "USD", col("length_ft") * cost("bare_usd"), format=MONEY
            ),
            Column("cable_usd", "cable, raceway, conductors", "USD", col("length_ft") * col("usd_each"), format=MONEY),
            Column("box_usd", "boxes, rings, covers", "USD", housings * col("usd_each"), format=MONEY),
        ],
        {
            "construction": [p for *_, p in rows],
            **{n: [r[n] for r, _, _ in rows] for n in ("item", "title", "family")},
            "counted_in": [counted_in(r, frame.catalogs) for r, _, _ in rows],
            "place": [place for _, place, _ in rows],
        },
    )
