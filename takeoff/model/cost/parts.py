"""What each plan costs by part, and what that rests on: invented figures, quotes, time studies, stated figures."""

from __future__ import annotations

from functools import reduce
from operator import add

from takeoff.engine.aggregates import SumProducts
from takeoff.engine.expr import Expr, as_expr, call, col, ratio
from takeoff.engine.lookups import At
from takeoff.engine.tables import YES_NO, Column, Field, Table
from takeoff.model.cost.counts import boxes_spaced, stocks_invented
from takeoff.model.frame import Frame
from takeoff.model.givens.cables import routes_invented
from takeoff.model.givens.wages import labor_rate, only

MONEY, HOURS = "#,##0", "#,##0.0"
CABLE, GROUNDS, LABOR = "cable", "grounds", "labor"
PARTS = (
    (CABLE, "cable, raceway, conductors"),
    ("boxes", "boxes, rings, covers"),
    ("fittings", "fittings and small parts"),
    (GROUNDS, "labor on grounds"),
    (LABOR, "all other labor"),
)
"""Parts of the installed cost: key and title. Material is parted by the column `part` of the families."""


def part_rows(frame: Frame) -> list[tuple[str, int, str, str]]:
    """Return plan, its place, key and title of every part."""
    return [(plan, n, key, title) for n, plan in enumerate(frame.compared, start=1) for key, title in PARTS]


def parts_table(frame: Frame) -> Table:
    """Every part of every plan: what it costs, its hours, and on which kinds of figures both rest.

    Labor money rests on an illustrative figure where the minutes or the labor rate are illustrative; of material all
    of an illustrative price, and what illustrative waste, escalation and tax add to another one.
    """
    mine, place = {"part": col("part")}, col("place")

    def material(*names: str) -> SumProducts:
        return SumProducts("material", [("nets", place), *(f"unit_costs.{n}" for n in names)], mine)

    def packages(name: str) -> Expr:
        """Return what whole packages add to the cable of the plan."""
        return At("cable_more", name, place) * col("is_cable")

    def hours(*names: str) -> SumProducts:
        return SumProducts("labor_lines", [("hours", place), *(f"steps.{n}" for n in names)], mine)

    rate, rate_is_sound = labor_rate(), as_expr(1) - only("labor_rate", "invented")
    sound_hours = col("hours") - col("invented_hours")

    sources = _held(frame, place, mine)
    on_work: Expr = At("plan_sums", "on_conditions", place)
    others = [col(c.name) for c in sources if c.unit == "h"]
    if others:
        on_work = call("min", 1, on_work + ratio(reduce(add, others), col("hours"), 0))
    sound_work = as_expr(1) - on_work
    held = reduce(add, (col(c.name) for c in sources if c.unit == "USD"))
    sound_lengths = as_expr(1) - call("min", 1, ratio(col("lengths_usd"), col("material_usd"), 0))
    rows = part_rows(frame)
    return Table(
        "parts",
        "Parts of the installed cost, and what they rest on",
        [
            Field("called", "plan", role="key", width=18),
            Field("plan", "plan key"),
            Field("title", "part", role="key", width=28),
            Field("part", "in short", role="key"),
            Field("place", "place of the plan", "no."),
            Field("is_cable", "holds the coil remainder", "0/1", format=YES_NO),
        ],
        [
            Column("hours", "labor", "h", hours(), format=HOURS),
            *sources,
            Column(
                "invented_hours",
                "on illustrative minutes or conditions",
                "h",
                col("hours") - (col("hours") - hours("invented")) * sound_work,
                "of a condition of the work what its factor adds or takes off",
                HOURS,
            ),
            Column(
                "measured_hours",
                "on measured minutes",
                "h",
                hours("measured") * sound_work,
                format=HOURS,
            ),
            Column("material_usd", "material", "USD", material("usd_each") + packages("usd"), format=MONEY),
            Column("usd", "cost", "USD", col("material_usd") + col("hours") * rate, "material and labor", MONEY),
            Column(
                "lengths_usd",
                "on illustrative lengths and stock",
                "USD",
                held + packages("invented_usd"),
                "tails, feet from box to box, waste at the ends, what is left over, boxes stocked or not",
                MONEY,
            ),
            Column(
                "sound_material_usd",
                "material, not illustrative",
                "USD",
                (material("sound_usd") + packages("sound_usd")) * sound_lengths,
                "what illustrative lengths and stock cost is left out",
                MONEY,
            ),
            Column(
                "sound_usd",
                "on no illustrative figure",
                "USD",
                col("sound_material_usd") + sound_hours * rate * rate_is_sound,
                "neither price nor minutes nor labor rate are illustrative",
                MONEY,
            ),
            Column(
                "quoted_usd",
                "on quotes",
                "USD",
                (material("sound_usd", "quoted") + packages("quoted_usd")) * sound_lengths,
                format=MONEY,
            ),
            Column(
                "measured_usd",
                "on measured minutes",
                "USD",
                col("measured_hours") * rate * rate_is_sound,
                "at a labor rate that is not illustrative",
                MONEY,
            ),
            Column("invented_usd", "on illustrative figures", "USD", col("usd") - col("sound_usd"), format=MONEY),
        ],
        {
            "called": [frame.titles[plan] for plan, *_ in rows],
            "plan": [plan for plan, *_ in rows],
            "title": [title for *_, title in rows],
            "part": [key for _, _, key, _ in rows],
            "place": [n for _, n, *_ in rows],
            "is_cable": [int(key == CABLE) for _, _, key, _ in rows],
        },
        key="plan",
    )


def _held(frame: Frame, place: Expr, mine: dict[str, Expr]) -> list[Column]:
    """Return what hangs on illustrative lengths, stock and route factors, a column for each table that has some."""

    def on(name: str, title: str, unit: str, table: str, block: str, *factors: str) -> Column:
        amount = SumProducts(table, [(block, place), *factors], mine)
        return Column(name, f"on illustrative {title}", unit, amount, format=HOURS if unit == "h" else MONEY)

    found = [on("tails_usd", "tails", "USD", "tails", "usd", "invented")]
    if boxes_spaced(frame):
        found.append(on("spaced_usd", "feet from box to box", "USD", "spacing", "sums", "invented", "is_money"))
        found.append(on("spaced_hours", "feet from box to box", "h", "spacing", "sums", "invented", "is_labor"))
    if stocks_invented(frame):
        found.append(on("stock_usd", "stock of boxes", "USD", "stock", "usd", "invented"))
    if routes_invented(frame):
        found.append(on("routed_hours", "route factors", "h", "route_hours", "hours"))
    return found


def basis_table(frame: Frame) -> Table:
    """What share of the hours, of the installed cost and of the bid of every plan rests on which kind of figure."""

    def share(name: str, title: str, of: str, whole: str) -> Column:
        part = ratio(SumProducts("parts", [of], {"plan": col("plan")}) * 100, col(whole), 0)
        return Column(name, title, "%", part, format="0.0")

    def rest(name: str, title: str, *others: str) -> Column:
        left = as_expr(100)
        for other in others:
            left = left - col(other)
        return Column(name, title, "%", call("max", 0, left), "what is left", "0.0")

    return Table(
        "basis",
        "What hours, installed cost and bid rest on",
        [
            Field("title", "plan", role="key", width=18),
            Field("plan", "plan key"),
            Field("place", "place of the plan", "no."),
        ],
        [
            Column("hours", "labor", "h", SumProducts("parts", ["hours"], {"plan": col("plan")}), format=HOURS),
            Column("usd", "installed", "USD", SumProducts("parts", ["usd"], {"plan": col("plan")}), format=MONEY),
            share("hours_invented_pct", "hours on illustrative minutes", "invented_hours", "hours"),
            share("hours_measured_pct", "hours on measured minutes", "measured_hours", "hours"),
            rest("hours_stated_pct", "hours on stated minutes", "hours_invented_pct", "hours_measured_pct"),
            share("invented_pct", "installed on illustrative figures", "invented_usd", "usd"),
            share("quoted_pct", "installed on quotes", "quoted_usd", "usd"),
            share("measured_pct", "installed on measured minutes", "measured_usd", "usd"),
            rest("stated_pct", "installed on stated figures", "invented_pct", "quoted_pct", "measured_pct"),
        ],
        {
            "title": list(frame.titles.values()),
            "plan": list(frame.compared),
            "place": list(range(1, len(frame.compared) + 1)),
        },
        key="plan",
    )
