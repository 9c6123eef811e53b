"""The two lowest plans that may be used, and what makes the difference between them, part by part."""

from __future__ import annotations

from collections.abc import Mapping
from functools import reduce
from operator import add

from takeoff.engine.aggregates import CountSmaller, SumGaps, SumProducts
from takeoff.engine.expr import Expr, call, col
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.cost.counts import boxes_spaced, stocks_invented
from takeoff.model.cost.labor import OWN
from takeoff.model.cost.parts import CABLE, PARTS
from takeoff.model.cost.stops import NOT_TO_BE_USED
from takeoff.model.frame import Frame
from takeoff.model.givens.cables import routes_invented
from takeoff.model.givens.wages import labor_rate, only

MONEY, SIGNED = "#,##0", "+#,##0;-#,##0;0"
NONE = "none"
"""Stands for a break-even that does not exist, and for a plan where there is none to name."""


def ranks_table(frame: Frame) -> Table:
    """The plans that may be used, by installed cost and by bid, the lowest first."""
    small = call("millionth", col("place"))
    before = {"unusable": col("unusable")}

    def rank(name: str, title: str, table: str, column: str) -> list[Column]:
        usd = At(table, column, col("place"))
        return [
            Column(f"{name}_usd", title, "USD", usd, format=MONEY),
            Column(
                f"{name}_score",
                f"{title}, equal ones parted",
                "in its unit",
                call("nine", col(f"{name}_usd") + small),
                "a millionth for the place: of equal ones the first given",
                "0.000000",
            ),
            Column(
                f"{name}_slot",
                f"{title}: may be used, and lower ones",
                "",
                col("unusable") & "|" & CountSmaller("ranks", before, f"{name}_score", col(f"{name}_score")),
            ),
        ]

    stopped = SumProducts("stop_list", [("counts", col("place"))], {"state": NOT_TO_BE_USED})
    return Table(
        "ranks",
        "Plans by cost",
        [Field("plan", "plan", role="key", width=15), Field("place", "place of the plan", "no.")],
        [
            Column("unusable", "not to be used", "0/1", call("sign", stopped)),
            *rank("installed", "installed", "plan_sums", "installed_cost"),
            *rank("bid", "bid", "bid", "bid_usd"),
        ],
        {"plan": list(frame.compared), "place": list(range(1, len(frame.compared) + 1))},
        key="plan",
    )


def pair_table(_: Frame) -> Table:
    """The two lowest plans that may be used, by installed cost; the lowest by bid."""

    def nth(name: str, title: str, slot: str, key: str) -> Column:
        return Column(name, title, "no.", Match("ranks", slot, key, missing_ok=True), "0: none")

    def named(name: str, title: str, row: str) -> Column:
        return Column(name, title, "", At("ranks", "plan", col(row), NONE), width=15)

    def called(name: str, title: str, row: str) -> Column:
        return Column(name, title, "", At("plan_sums", "title", col(row), NONE), width=20)

    return Table(
        "pair",
        "The two lowest plans that may be used",
        [Field("key", "key", role="key"), Field("parts", "parts of a plan", "ea")],
        [
            nth("first", "place of the lowest installed", "installed_slot", "0|0"),
            nth("second", "place of the next", "installed_slot", "0|1"),
            nth("lowest_bid", "place of the lowest bid", "bid_slot", "0|0"),
            named("first_plan", "lowest installed", "first"),
            named("second_plan", "next lowest installed", "second"),
            named("bid_plan", "lowest bid", "lowest_bid"),
            called("first_title", "lowest installed, its title", "first"),
            called("second_title", "next lowest installed, its title", "second"),
            called("bid_title", "lowest bid, its title", "lowest_bid"),
            Column("one", "place of the lowest, 1 where none", "no.", call("max", 1, col("first")), "for formulas"),
            Column("other", "place of the next, 1 where none", "no.", call("max", 1, col("second")), "for formulas"),
            Column("both", "there are two to compare", "0/1", call("sign", col("second"))),
        ],
        {"key": ["pair"], "parts": [len(PARTS)]},
    )


def pair_parts_table(frame: Frame) -> Table:
    """The lowest plan against the next, part by part: what makes the difference, and how far invented figures go."""
    first, second = only("pair", "one"), only("pair", "other")

    def of(plan: Expr, name: str) -> Expr:
        row = (plan - 1) * only("pair", "parts") + col("line")
        return At("parts", name, row)

    def gaps(table: str, block: str, where: Mapping[str, Expr], *factors: str) -> Expr:
        return SumGaps(table, block, first, second, factors, where)

    part, own = {"part": col("part")}, {"own_part": col("part") & OWN}

    of_packages = At("cable_more", "invented_usd", second) - At("cable_more", "invented_usd", first)
    of_cable, packages = (
        call("absolute", of_packages) * col("is_cable"),
        "waste at the ends, value of what is left over",
    )
    more = [Column("off_packages_usd", "differs on illustrative packages", "USD", of_cable, packages, MONEY)]
    if boxes_spaced(frame):
        feet = "differs on illustrative feet from box to box"
        found = [gaps("spacing", "sums", part, "invented", unit) for unit in ("is_money", "is_labor")]
        more += [
            Column("off_spaced_usd", feet, "USD", found[0], format=MONEY),
            Column("off_spaced_h", feet, "h", found[1]),
        ]
    if stocks_invented(frame):
        of_stock = gaps("stock", "usd", part, "invented")
        more.append(Column("off_stock_usd", "differs on illustrative stock of boxes", "USD", of_stock, format=MONEY))

    if routes_invented(frame):
        of_routes = gaps("route_hours", "hours", part)
        more.append(Column("off_routed_h", "differs on illustrative route factors", "h", of_routes, "cable by cable"))

    def off(unit: str, *names: str) -> Expr:
        """Return all that differs in a unit: columns by name, and those that only some jobs have."""
        return reduce(add, (col(n) for n in (*names, *(c.name for c in more if c.unit == unit))))

    off_h = off("h", "off_own_h", "off_shared_h", "off_work_h")
    off_usd = off("USD", "off_material_usd", "off_tails_usd")
    small = call("millionth", col("line"))
    rate_off = call("absolute", col("labor_usd")) * only("labor_rate", "invented")
    return Table(
        "pair_parts",
        "What makes the difference",
        [
            Field("title", "part", role="key", width=28),
            Field("part", "key", role="key"),
            Field("line", "line", "no."),
            Field("all", "all", "no."),
            Field("is_cable", "is cable", "0/1"),
        ],
        [
            Column("less_usd", "next plan less the lowest", "USD", of(second, "usd") - of(first, "usd"), format=SIGNED),
            Column("hours", "hours, next less the lowest", "h", of(second, "hours") - of(first, "hours"), format="0.0"),
            Column("labor_usd", "labor, next less the lowest", "USD", col("hours") * labor_rate(), format=SIGNED),
            Column("first_usd", "of the lowest", "USD", of(first, "usd"), format=MONEY),
            Column("second_usd", "of the next", "USD", of(second, "usd"), format=MONEY),
            Column(
                "off_material_usd",
                "differs on illustrative prices",
                "USD",
                gaps("material", "usds", part, "unit_costs.invented"),
                "item by item, whichever way",
                MONEY,
            ),
            Column(
                "off_own_h",
                "differs on illustrative minutes of one construction",
                "h",
                gaps("labor_lines", "hours", own, "steps.invented"),
                "operation by operation and construction by construction",
            ),
            Column(
                "off_shared_h",
                "differs on illustrative minutes for all",
                "h",
                gaps("labor", "hours", part, "invented"),
                "operation by operation",
            ),
            Column(
                "off_work_h",
                "differs on illustrative conditions of the work",
                "h",
                gaps("condition_hours", "hours", part, "invented"),
                "condition by condition",
            ),
            Column(
                "off_tails_usd",
                "differs on illustrative tails",
                "USD",
                gaps("tails", "usd", part, "invented"),
                "ends at boxes and at panels",
                MONEY,
            ),
            *more,
            Column(
                "off_usd",
                "differs on illustrative figures",
                "USD",
                off_usd + off_h * labor_rate() + rate_off,
                "prices, lengths, stock, minutes, conditions of the work, and labor at an illustrative rate",
                MONEY,
            ),
            Column("off_whole_usd", "differs on illustrative figures, whole", "USD", call("whole", col("off_usd"))),
            Column(
                "score",
                "smallest first",
                "in its unit",
                call("nine", small - call("absolute", col("less_usd"))),
                "size of the difference with its sign turned; a millionth parts equal ones",
                "0.000000",
            ),
            Column(
                "larger",
                "parts that are larger",
                "ea",
                CountSmaller("pair_parts", {"all": col("all")}, "score", col("score")),
            ),
        ],
        {
            "title": [title for _, title in PARTS],
            "part": [key for key, _ in PARTS],
            "line": list(range(1, len(PARTS) + 1)),
            "all": [1] * len(PARTS),
            "is_cable": [int(key == CABLE) for key, _ in PARTS],
        },
        key="part",
    )


def pair_bars_table(_: Frame) -> Table:
    """The parts of the difference, the largest first: the bars of a chart."""
    row = Match("pair_parts", "larger", col("larger"))
    return Table(
        "pair_bars",
        "What makes the difference, the largest first",
        [Field("larger", "parts that are larger", "no.", role="key")],
        [
            Column("row", "row of the part", "no.", row),
            Column("title", "part", "", At("pair_parts", "title", col("row")), width=28),
            Column(
                "less_usd",
                "next plan less the lowest",
                "USD",
                At("pair_parts", "less_usd", col("row")),
                "positive: the lowest saves there",
                SIGNED,
            ),
        ],
        {"larger": list(range(len(PARTS)))},
        key="larger",
    )
