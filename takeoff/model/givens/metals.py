"""Copper and aluminum in cables and conductors: their weight, their part of a price, and what a change of it moves."""

from __future__ import annotations

from takeoff.catalog.load import areas_cmil
from takeoff.catalog.rows import Catalogs, Row
from takeoff.engine.expr import Expr, as_expr, call, col, given, ratio
from takeoff.engine.lookups import look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import NOTHING, Frame
from takeoff.model.givens.inputs import sound
from takeoff.model.givens.items import costed_items

METALS = ("copper", "aluminum")
SIGNS = {"copper": "Cu", "aluminum": "Al"}
"""What is marked on conductors, for narrow columns."""

PER_FT = "USD/ft"
EACH = "#,##0.0000"


def weights_of_items(catalogs: Catalogs) -> dict[str, dict[str, float]]:
    """Return the weight of copper and aluminum in 1000 ft of every cable and conductor, lb, by item and metal.

    Insulated conductors are copper, the bare conductor or bond strip of a cable is aluminum. Stranding adds about two
    percent and is left out; the metal of armor and raceway is not counted. Of an item that serves several
    configurations the heaviest counts.
    """
    found: dict[str, dict[str, float]] = {}
    cmil = areas_cmil(catalogs)
    areas_of = [_areas_of(row, cmil) for row in catalogs["cables"]]
    areas_of += [{str(row["sheath_item"]): {"copper": 2 * cmil[str(row["awg"])]}} for row in catalogs["control_cables"]]
    for of_items in areas_of:
        for item, areas in of_items.items():
            for metal, area in areas.items():
                weight = area * float(str(catalogs["metals"][metal]["lb_per_kft_cmil"]))
                mine = found.setdefault(item, dict.fromkeys(METALS, 0.0))
                mine[metal] = max(mine[metal], weight)
    return {item: weights for item, weights in found.items() if any(weights.values())}


def _areas_of(row: Row, cmil: dict[str, float]) -> dict[str, dict[str, float]]:
    """Return the area of each metal in the items of a configuration, cmil: of one conductor where it is pulled in."""

    def area(name: str) -> float:
        return 0.0 if row[name] == NOTHING else cmil[str(row[name])]

    if row["wire_item"] != NOTHING:
        return {
            str(row[item]): {"copper": area(size), "aluminum": 0.0}
            for item, size in (("wire_item", "awg"), ("egc_item", "egc_awg"))
            if row[item] != NOTHING
        }
    copper = area("awg") * float(str(row["conductors"])) + area("egc_awg") + 2 * area("control_awg")
    return {str(row["sheath_item"]): {"copper": copper, "aluminum": area("bare_awg")}}


def items_with_metal(frame: Frame) -> list[str]:
    """Return the items of the job that have copper or aluminum in them, in the order of their costs."""
    weights = weights_of_items(frame.catalogs)
    return [str(r["item"]) for r in costed_items(frame) if r["item"] in weights]


def metal_prices_table(frame: Frame) -> Table:
    """The metals in a foot of each cable and conductor, and what their change moves of its price."""
    items, weights = items_with_metal(frame) or [NOTHING], weights_of_items(frame.catalogs)
    price = look("list_costs", "usd_each", col("item"), by="item")

    def value(metal: str) -> Column:
        weight = ratio(col(f"{metal}_lb_per_kft"), 1000, 0)
        note = "weight x the price of the metal in the inputs"
        return Column(f"{metal}_usd", f"{metal} in it", PER_FT, weight * given(f"{metal}_usd_per_lb"), note, EACH)

    def share(metal: str) -> Column:
        part = ratio(col(f"{metal}_usd") * 100, price, 0)
        return Column(f"{metal}_share", f"{metal}, part of the list price", "%", part, format="0.0")

    def moved(metal: str) -> Expr:
        return ratio(col(f"{metal}_usd") * given(f"{metal}_change_pct"), 100, 0)

    def doubtful(metal: str) -> Expr:
        return call("absolute", moved(metal)) * (as_expr(1) - sound(f"{metal}_usd_per_lb"))

    priced = call("sign", price)
    return Table(
        "metal_prices",
        "Copper and aluminum in a foot",
        [
            Field("item", "item", role="key", width=24),
            *(Field(f"{m}_lb_per_kft", f"{m}", "lb/kft", format="0.0") for m in METALS),
        ],
        [
            *(value(metal) for metal in METALS),
            *(share(metal) for metal in METALS),
            Column(
                "change_usd",
                "moved by the change",
                PER_FT,
                (moved("copper") + moved("aluminum")) * priced,
                "on the price list, and on a quote that has expired; 0 where the list has no price",
                EACH,
            ),
            Column(
                "doubtful_usd",
                "of it on an illustrative price",
                PER_FT,
                (doubtful("copper") + doubtful("aluminum")) * priced,
                "of the metal, up or down",
                EACH,
            ),
        ],
        {
            "item": items,
            **{f"{m}_lb_per_kft": [weights.get(item, {}).get(m, 0.0) for item in items] for m in METALS},
        },
        key="item",
    )
